//! What the vehicle does, what must hold, and other ways to build it.

use serde::Deserialize;

use crate::quantity::{Count, Fraction, Power, RotationalSpeed, Speed, Time};
use crate::text::{Map, Raw, Spanned};

/// What the vehicle does.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Duty {
    /// Full power, at the crank or of the motors.
    pub power: Option<Power>,
    /// Share of full power at the operating point; all of it where left out. For a drive whose mean
    /// is far below its peak, the mean is what it can come to rest at.
    pub point: Option<Fraction>,
    /// Road speed of the operating point.
    pub road_speed: Option<Speed>,
    /// Speed of the engine at the operating point, and in every phase that does not set its own: it
    /// turns the pumps that are `driven_by: Engine(…)`.
    pub engine_speed: Option<RotationalSpeed>,
    /// Phases, one after the other.
    #[serde(default)]
    pub phases: Map<Phase>,
    /// How often all phases are gone through; once where left out.
    pub repeat: Option<Count>,
    /// When the vehicle is ready for the next pull.
    #[serde(default)]
    pub ready: Vec<Ready>,
}

/// A stretch of time in which what the vehicle does stays the same.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Phase {
    /// How long.
    pub time: Time,
    /// Share of full power.
    pub power: Option<Fraction>,
    /// Commanded speed of all electric pumps.
    pub pumps: Option<Fraction>,
    /// Speed of the engine.
    pub engine_speed: Option<RotationalSpeed>,
    /// Speed of all fans.
    pub fans: Option<Fraction>,
    /// Road speed.
    pub road_speed: Option<Speed>,
    /// Any other value, by its address.
    #[serde(default)]
    pub set: Vec<(Spanned<String>, Spanned<String>)>,
}

/// A value that must have fallen before the next pull may start.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ready {
    /// The address of a result.
    pub of: Spanned<String>,
    /// It must be below this.
    pub below: Spanned<String>,
}

/// A limit on a result.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// The address of a result.
    pub of: Spanned<String>,
    /// The least it may be.
    pub min: Option<Spanned<String>>,
    /// The most it may be.
    pub max: Option<Spanned<String>>,
}

/// Another way to build it: the same case with some values changed.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Variant {
    /// What is changed: an address and the new value.
    pub change: Vec<(Spanned<String>, Raw)>,
}
