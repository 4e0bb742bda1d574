//! What is not known exactly.

use serde::Deserialize;

use crate::quantity::Count;
use crate::text::{Spanned, written};

/// What `chance` draws cases from: numbers that are not known exactly.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Chance {
    /// From how many cases the chance is told; 256, or 64 where each is followed through a duty cycle, where left
    /// out.
    pub samples: Option<Count>,
    /// Which cases are drawn: another number draws others. 1 where left out.
    pub seed: Option<Count>,
    /// The numbers that are not known exactly, each with its spread.
    #[serde(default)]
    pub of: Vec<Tolerance>,
    /// What is known exactly after all, of what is spread without being told: `"assumptions"`, `"laws"`, or one law
    /// by its name. An assumption alone is held by a tolerance of its own.
    #[serde(default)]
    pub without: Vec<Spanned<String>>,
}

/// A number that is not known exactly.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tolerance {
    /// The address of the number.
    pub at: Spanned<String>,
    /// How far it may be off.
    pub spread: Spread,
}

/// How far a number may be off: an amount, or a share of the number in percent. Of a number that is written in percent
/// itself it is percentage points.
#[derive(Clone, Debug, Deserialize)]
pub enum Spread {
    /// Bell-shaped, by its standard deviation: two of three are no further off.
    Normal(#[serde(deserialize_with = "written")] Spanned<String>),
    /// Equally likely everywhere, no further off than this.
    Uniform(#[serde(deserialize_with = "written")] Spanned<String>),
    /// Most likely as the case has it, falling off in straight lines, no further off than this.
    Triangular(#[serde(deserialize_with = "written")] Spanned<String>),
    /// Equally likely everywhere between two values.
    Between(
        #[serde(deserialize_with = "written")] Spanned<String>,
        #[serde(deserialize_with = "written")] Spanned<String>,
    ),
    /// Known exactly: holds what the case leaves out, and an assumption stands in for.
    Exact,
}
