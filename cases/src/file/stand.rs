//! The stand file: which log, what its columns are, and what is to be fitted.

use serde::Deserialize;

use crate::text::{Spanned, quantity};

/// What was logged, and what is to be learnt from it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stand {
    /// What was done, in a line.
    pub title: Option<Spanned<String>>,
    /// The logged table, beside the stand file or below it.
    pub log: Spanned<String>,
    /// Name and unit of the column of time.
    pub time: (Spanned<String>, Spanned<String>),
    /// What is driven: `power`, or a number by its address; name and unit of its column.
    #[serde(default)]
    pub drives: Vec<(Spanned<String>, Spanned<String>, Spanned<String>)>,
    /// What was read: a gauge of the case; name and unit of its column.
    #[serde(default)]
    pub gauges: Vec<(Spanned<String>, Spanned<String>, Spanned<String>)>,
    /// The numbers to be fitted; where left out those that gauges tell of: pumps, cores, shares of heat.
    #[serde(default)]
    pub fit: Vec<Fit>,
}

/// A number that is fitted.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fit {
    /// Its address.
    pub at: Spanned<String>,
    /// The least that it may be; a half of what the case has where left out.
    #[serde(default, deserialize_with = "quantity")]
    pub from: Option<Spanned<String>>,
    /// The most that it may be; half as much again where left out.
    #[serde(default, deserialize_with = "quantity")]
    pub to: Option<Spanned<String>>,
}
