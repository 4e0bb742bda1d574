//! What was logged on the stand or on the way: the file that says what its columns are, and the table itself, read as
//! loggers write it.

mod channel;
mod clock;
mod head;
mod numbers;
mod propose;
mod table;

pub use channel::{ChannelReport, Faults};
pub use clock::ClockReport;
pub use head::{Head, LogFault};
pub use propose::{Proposal, propose};
pub use table::{Column, Table, Wanted, read};
