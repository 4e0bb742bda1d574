//! Gauges: places in the circuits where something is read.

use crate::results::{Quantity, quantities as q};
use crate::slots::Slot;

/// What a gauge reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reads {
    /// Static pressure above that of the air, Pa.
    Pressure,
    /// Temperature of the coolant, K.
    Temperature,
    /// Volume flow along the run, m³/s.
    Flow,
}

/// Where in a part a gauge sits.
#[derive(Clone, Copy, Debug)]
pub enum Spot {
    /// At its inlet, counted along the run.
    Inlet,
    /// At its outlet.
    Outlet,
    /// Between its ends.
    Along {
        /// Distance from its inlet, m.
        distance: Slot,
        /// Length of the part, m.
        length: Slot,
        /// Height above its inlet, m; `None` where it rises evenly.
        height: Option<Slot>,
    },
}

/// Where a gauge sits.
#[derive(Clone, Copy, Debug)]
pub enum GaugePlace {
    /// In a part of a run.
    Part {
        /// The run.
        run: usize,
        /// The part.
        part: usize,
        /// Where in it.
        spot: Spot,
    },
    /// At a junction: pressure is that in the widest bore there, of equal ones in that with the most
    /// flow; temperature is that of the streams mixed.
    Junction(usize),
}

/// A gauge.
#[derive(Clone, Debug)]
pub struct Gauge {
    /// Its name.
    pub name: String,
    /// What it reads.
    pub reads: Reads,
    /// The circuit that it sits in.
    pub circuit: usize,
    /// Where in the circuit.
    pub place: GaugePlace,
    /// What makes a thermometer lag behind the coolant; `None` where it shows it at once.
    pub sheath: Option<Sheath>,
    /// What it may be off by, SI; `None` where nothing is said of it.
    pub error: Option<Slot>,
    /// What it shows above the truth, SI, as far as that is known.
    pub offset: Slot,
}

impl Gauge {
    /// The result that tells what it shows.
    pub fn reading(&self) -> &'static Quantity {
        match self.reads {
            Reads::Pressure => &q::READING_PRESSURE,
            Reads::Temperature if self.sheath.is_some() => &q::READING_LAGGING,
            Reads::Temperature => &q::READING_TEMPERATURE,
            Reads::Flow => &q::READING_FLOW,
        }
    }
}

/// What one gauge shows above another of its kind: the rise over what lies between them.
#[derive(Clone, Debug)]
pub struct Rise {
    /// Its name.
    pub name: String,
    /// The gauge before.
    pub from: usize,
    /// The gauge behind.
    pub to: usize,
}

impl Rise {
    /// The result that tells it: that of its gauges, which read the same.
    pub fn shown(&self, gauges: &[Gauge]) -> &'static Quantity {
        match gauges[self.from].reads {
            Reads::Pressure => &q::PRESSURE_RISE_SHOWN,
            Reads::Temperature | Reads::Flow => &q::RISE_SHOWN,
        }
    }
}

/// How a thermometer lags behind the coolant.
#[derive(Clone, Copy, Debug)]
pub struct Sheath {
    /// Time in which it has come 63 % of the way after a step, s.
    pub lag: Slot,
    /// Flow at which that holds, m³/s; `None` where it does not go with the flow.
    pub at: Option<Slot>,
}
