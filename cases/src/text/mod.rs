//! From text to checked data: sources, a tree with places, and a reader that reports every problem
//! of a file at once.
//!
//! The text is RON. Every node of the tree knows where it stands, so a complaint about a value can
//! show the line it came from, also long after the reading is done ([`Spanned`], and the span in
//! every quantity). Start with [`Sources`] and [`read`].

mod access;
mod dummy;
mod edit;
mod error;
mod leaf;
mod map;
mod merge;
mod nearest;
mod reader;
mod scan;
mod source;
mod spanned;
mod structure;
mod syntax;
mod tree;

pub use edit::{Edit, PathStep};
pub use map::Map;
pub use nearest::nearest;
pub use reader::{read, read_with_edits};
pub use source::{FileId, Place, Sources, Span};
pub use spanned::{Raw, Spanned};
pub use tree::Tree;

pub(crate) use nearest::quoted;
pub(crate) use source::floor_boundary;
pub(crate) use spanned::located;
