//! What was learnt from a log.

use serde::Deserialize;

use crate::text::{Spanned, written};

/// A number that was learnt from a log, as `learn` writes it: it counts in the place of what the case says at its
/// address. A variant that writes there, or that changes the whole part, counts before it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Learnt {
    /// The address of the number.
    pub at: Spanned<String>,
    /// The number.
    #[serde(deserialize_with = "written")]
    pub is: Spanned<String>,
    /// The least and the most that it is with 95 %: for the reader, and for a tolerance.
    pub sure: Option<(Spanned<String>, Spanned<String>)>,
}
