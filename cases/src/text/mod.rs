//! From text to checked data: sources, a tree with places, and a reader that reports every problem
//! of a file at once.
//!
//! The text is RON. Every node of the tree knows where it stands, so a complaint about a value can
//! show the line it came from, also long after the reading is done ([`Spanned`], and the span in
//! every quantity). Start with [`Sources`] and [`read`].
//!
//! ```
//! use coolwright_cases::diagnostic::Problems;
//! use coolwright_cases::quantity::Length;
//! use coolwright_cases::text::{Map, Sources, read};
//!
//! #[derive(serde::Deserialize)]
//! struct Hose {
//!     length: Length,
//!     bore: Option<Length>,
//! }
//!
//! let mut sources = Sources::new();
//! let mut problems = Problems::new();
//! let good = sources.add("good.ron", r#"{ "feed": Hose(length: "3.1 m", bore: "1-1/4 in") }"#);
//! let hoses: Map<Hose> = read(&sources, good, &mut problems).expect("well written");
//! assert!(problems.is_empty());
//! assert_eq!(hoses.get("feed").map(|hose| hose.length.si()), Some(3.1));
//!
//! let bad = sources.add("bad.ron", r#"{ "feed": Hose(length: "12 gpm", bor: "1 in") }"#);
//! let _: Option<Map<Hose>> = read(&sources, bad, &mut problems);
//! assert_eq!(problems.error_count(), 2);
//! let report = problems.render(&sources, false);
//! assert!(report.contains("expected a length, found a volume flow"));
//! assert!(report.contains("did you mean `bore`?"));
//! ```

mod access;
mod dummy;
mod each;
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

pub(crate) use each::{OneOf, each};
pub(crate) use edit::name_in;
pub use edit::{Edit, PathStep};
pub use map::Map;
pub use nearest::{calm, nearest, steers};
pub use reader::{read, read_with_edits};
pub use source::{FileId, Place, Sources, Span, TableText};
pub use spanned::{Raw, Spanned};
pub use tree::Tree;

pub(crate) use edit::plain_text;
pub(crate) use nearest::quoted;
pub(crate) use source::floor_boundary;
pub(crate) use spanned::{located, quantity, settings, written};
