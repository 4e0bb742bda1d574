//! Gauges: what is read, and where.

use serde::Deserialize;

use crate::quantity::{Length, Time, VolumeFlow};
use crate::text::Spanned;

/// A gauge: what it reads and where it sits.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gauge {
    /// What it reads.
    pub reads: Reads,
    /// The part (`circuit/run/part`) or the junction (`circuit/junction`) where it sits.
    pub at: Spanned<String>,
    /// Which end of the part; its inlet where left out.
    pub end: Option<PartEnd>,
    /// Distance from the inlet of a hose, where it sits in a hose between its ends.
    pub along: Option<Length>,
    /// Of a thermometer: time in which it has come 63 % of the way after a step; at once where left out.
    pub lag: Option<Time>,
    /// Flow at which that holds; the lag goes with the root of it. Without one the lag stays as it is.
    pub lag_at: Option<VolumeFlow>,
    /// What it may be off by, as an amount: `1.5 K`. It counts in the ± of what it reads at a point.
    pub error: Option<Spanned<String>>,
    /// What it shows above the truth, as an amount, as `learn` finds it: `-0.4 K`. Nothing where left out.
    pub offset: Option<Spanned<String>>,
}

/// The rise from one gauge to another of its kind: of temperature or of pressure.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rise {
    /// The gauge before what lies between them, by its name under `gauges`.
    pub from: Spanned<String>,
    /// The gauge behind it.
    pub to: Spanned<String>,
}

/// What a gauge reads.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
pub enum Reads {
    /// Static pressure above that of the air, at a hole in the wall of the bore.
    Pressure,
    /// Temperature of the coolant.
    Temperature,
    /// Volume flow.
    Flow,
}

/// An end of a part, along its run.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
pub enum PartEnd {
    /// Where the run enters it.
    Inlet,
    /// Where the run leaves it.
    Outlet,
}
