//! What the vehicle does, what must hold, and other ways to build it.

use serde::Deserialize;

use crate::quantity::{Count, Fraction, Number, Power, RotationalSpeed, Speed, Time};
use crate::text::{Map, Raw, Spanned, quantity, settings};

/// What the vehicle does.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Duty {
    /// Full power, at the crank or of the motors.
    pub power: Option<Power>,
    /// Share of full power at the operating point; all of it where left out. For a drive whose mean
    /// is far below its peak, the mean is what it can come to rest at.
    pub point: Option<Fraction>,
    /// Share of full boost at the operating point and in every phase that does not set its own; the share of
    /// full power where left out.
    pub boost: Option<Fraction>,
    /// Road speed of the operating point.
    pub road_speed: Option<Speed>,
    /// Speed of the engine at the operating point, and in every phase that does not set its own: it
    /// turns the pumps that are `driven_by: Engine(…)`.
    pub engine_speed: Option<RotationalSpeed>,
    /// Phases, one after the other.
    #[serde(default)]
    pub phases: Map<Phase>,
    /// What was logged, in the place of phases.
    pub log: Option<Spanned<Log>>,
    /// How often all phases are gone through; once where left out.
    pub repeat: Option<Count>,
    /// When the vehicle is ready for the next pull.
    #[serde(default)]
    pub ready: Vec<Ready>,
}

/// A logged table that drives the vehicle: separated by semicolons, tabs or commas, with the names of its columns in
/// one row, and units below it or not.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Log {
    /// The file, beside the case or below it.
    pub file: Spanned<String>,
    /// Name and unit of the column of time.
    pub time: (Spanned<String>, Spanned<String>),
    /// What is driven: `power`, or a number by its address; name and unit of its column.
    pub set: Vec<(Spanned<String>, Spanned<String>, Spanned<String>)>,
}

/// A stretch of time in which what the vehicle does stays the same.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Phase {
    /// How long.
    pub time: Time,
    /// Share of full power.
    pub power: Option<Fraction>,
    /// Share of full boost: of what the ratio of each compressor is above 1.
    pub boost: Option<Fraction>,
    /// Speed of all electric pumps, as a share of what each is set to: a pump that is stopped stays
    /// stopped.
    pub pumps: Option<Fraction>,
    /// Speed of the engine.
    pub engine_speed: Option<RotationalSpeed>,
    /// Speed of all fans, as a share of what each is set to.
    pub fans: Option<Fraction>,
    /// Road speed.
    pub road_speed: Option<Speed>,
    /// How long what it sets takes to get there from what the phase before had, along straight lines; at once where left
    /// out. What a phase sets that stands first is there from the start.
    pub ramp: Option<Time>,
    /// Tanks that get ice as the phase begins, so that they hold as much ice as at the start, in the place of coolant that
    /// is drawn off: `circuit/run/part`.
    #[serde(default)]
    pub refill: Vec<Spanned<String>>,
    /// Any other value, by its address.
    #[serde(default, deserialize_with = "settings")]
    pub set: Vec<(Spanned<String>, Spanned<String>)>,
}

/// What must have come about before the next pull may start: a value below one bound, above another, or
/// both.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ready {
    /// The address of a result.
    pub of: Spanned<String>,
    /// It must be at most this.
    #[serde(default, deserialize_with = "quantity")]
    pub below: Option<Spanned<String>>,
    /// It must be at least this.
    #[serde(default, deserialize_with = "quantity")]
    pub above: Option<Spanned<String>>,
}

/// A limit on a result.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// The address of a result.
    pub of: Spanned<String>,
    /// The least it may be.
    #[serde(default, deserialize_with = "quantity")]
    pub min: Option<Spanned<String>>,
    /// The most it may be.
    #[serde(default, deserialize_with = "quantity")]
    pub max: Option<Spanned<String>>,
    /// The phases in which it must hold, by their names; in all of them, and at every point, where left
    /// out.
    pub during: Option<Spanned<Vec<Spanned<String>>>>,
}

/// The limits that hold without being written, each with another bound or `"off"`.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BuiltIn {
    /// Least margin against boiling anywhere in a circuit; `0 K` where left out. Off or not, no answer
    /// goes beyond boiling.
    pub boiling: Option<Spanned<String>>,
    /// Least margin against freezing anywhere in a circuit; `0 K` where left out.
    pub freezing: Option<Spanned<String>>,
    /// Most coolant that may be lost through a cap or over the edge of an open tank; none where left out.
    pub spill: Option<Spanned<String>>,
    /// Least coolant that must be left in a tank, with its ice: what its ports need to stay covered; `0 L`
    /// where left out.
    pub dry: Option<Spanned<String>>,
    /// Least static pressure above vapour pressure at the inlet of a pump; `0 Pa` where left out.
    pub suction: Option<Spanned<String>>,
    /// Least net positive suction head available less required, where a pump's is given; `0 m` where
    /// left out.
    pub npsh: Option<Spanned<String>>,
    /// Most temperature of the metal of an engine or cooler that is of aluminium; `200 °C` where left
    /// out.
    pub aluminium: Option<Spanned<String>>,
    /// The same of iron or steel; `350 °C` where left out.
    pub iron: Option<Spanned<String>>,
    /// The same of copper; `200 °C` where left out.
    pub copper: Option<Spanned<String>>,
    /// The same where the metal is not named; it is taken for aluminium, `200 °C`, where left out.
    pub metal: Option<Spanned<String>>,
    /// Most temperature of a hot wall of aluminium at its hottest place; `250 °C` where left out.
    pub wall_aluminium: Option<Spanned<String>>,
    /// The same of iron; `400 °C` where left out.
    pub wall_iron: Option<Spanned<String>>,
    /// The same of copper; `250 °C` where left out.
    pub wall_copper: Option<Spanned<String>>,
    /// Most heat flux at the hottest place of a hot wall, over that at which vapour would cover it; `100 %` where
    /// left out.
    pub critical: Option<Spanned<String>>,
}

/// Another way to build it: the same case with some values changed.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Variant {
    /// What is changed: an address and the new value, or `Each([…])` with several, which makes a variant of each. Several
    /// such lists go in step, the first values of all first.
    pub change: Vec<(Spanned<String>, Raw)>,
    /// Whether lists make a variant of every combination of their values instead, the last one changing fastest.
    #[serde(default)]
    pub combine: bool,
    /// What it costs, in your own money: `compare` names the cheapest that holds.
    pub price: Option<Number>,
}
