//! Quantities: kinds, units, reading them from text and writing them back.
//!
//! Each kind is a type of its own that holds its value in SI units and the place where it was
//! written. A kind decides what a unit means: `°F` is a step of 5/9 K in a
//! [`TemperatureDifference`] and a point on the scale in a [`Temperature`].

mod compound;
mod kind;
mod number;
mod parse;
mod show;
mod spoken;
mod trade;
mod types;
mod units;

pub use coolwright_models::kind::Kind;
pub use kind::{Dimension, InWords};
pub use parse::{Asked, QuantityError, parse, parse_flow};
pub use show::{InUnit, Shown, UnitSystem, show, to_unit};
pub use spoken::{Spoken, Way, in_units, pieces, spoken, ways};
pub use types::*;
pub use units::{UNITS, Unit, find as find_unit};

pub(crate) use parse::{parse_asked, parse_bare};
