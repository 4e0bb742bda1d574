//! coolwright: lays out and proves the cooling of hard-worked vehicles before the metal is cut.
//!
//! From the texts of a case and a question to an [`answer::Answer`] made of typed sections ([`ask`]),
//! and from that to text, JSON and CSV ([`render`]), to pictures ([`pictures`]) and a page ([`page`]). No files, threads, arguments or terminal: those
//! are the program's. The physics is in `coolwright-models`, the case file in `coolwright-cases`, the
//! numerics in `coolwright-solver`.

pub mod answer;
pub mod ask;
pub mod drawing;
pub mod live;
pub mod page;
pub mod pictures;
pub mod refusal;
pub mod render;
pub mod sections;
pub mod study;
pub mod words;
pub mod workers;
