//! From a log to numbers of the model: what is measured beside what is predicted, the best numbers with how sure they
//! are, what the log cannot tell, and which gauge would.

pub mod fitting;
pub mod series;
pub mod tells;
pub mod tracks;
