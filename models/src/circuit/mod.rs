//! A coolant circuit as it stands: junctions, and runs of parts between them.

mod compiled;
mod heights;
mod hydraulics;
pub mod made;

pub use compiled::{CompiledAt, CompiledLaws};
pub use hydraulics::{CircuitLaws, PartState};

use std::sync::Arc;

use crate::fluids::{Base, Coolant, FluidError, LiquidTable, Share};
use crate::laws::tee::TeeSet;
use crate::parts::{Part, TankRoom};
use crate::slots::{Slot, Values};

/// The coolant of a circuit.
#[derive(Clone, Debug)]
pub enum CoolantSpec {
    /// Water, alone or with glycol.
    Mixture {
        /// What it is made of.
        base: Base,
        /// Share of glycol by volume, 0 to 0.6.
        share: Slot,
    },
    /// A liquid that is known by points.
    Table(Arc<LiquidTable>),
}

impl CoolantSpec {
    /// The coolant with some values.
    ///
    /// # Errors
    /// When its share of glycol is out of range.
    pub fn liquid(&self, values: &Values) -> Result<Coolant, FluidError> {
        match self {
            Self::Mixture { base, share } => {
                Coolant::new(*base, Share::ByVolume(values.get(*share)))
            }
            Self::Table(table) => Ok(Coolant::of_table(table)),
        }
    }

    /// The numbers that it follows from.
    pub fn slots(&self) -> &[Slot] {
        match self {
            Self::Mixture { share, .. } => std::slice::from_ref(share),
            Self::Table(_) => &[],
        }
    }

    /// What it is mixed from, with the share of glycol; none of a liquid that is known by points.
    pub fn mixture(&self) -> Option<(Base, Slot)> {
        match self {
            Self::Mixture { base, share } => Some((*base, *share)),
            Self::Table(_) => None,
        }
    }

    /// What it is mixed from; none of a liquid that is known by points.
    pub fn base(&self) -> Option<Base> {
        self.mixture().map(|(base, _)| base)
    }
}

/// A part with its name in its run.
#[derive(Debug)]
pub struct Placed {
    /// Its name, unique in the run.
    pub name: String,
    /// Whether it stands there by itself: a bore change, the way along a header.
    pub automatic: bool,
    /// The part.
    pub part: Box<dyn Part>,
}

/// An ordered list of parts between two junctions.
#[derive(Debug)]
pub struct Run {
    /// Its name, unique in the circuit.
    pub name: String,
    /// The name under which its parts are found: that of the run it was cut from.
    pub path: String,
    /// Whether the program made it: a header's own length, one pump of a parallel pair.
    pub automatic: bool,
    /// The junction it starts from.
    pub from: usize,
    /// The junction it ends at.
    pub to: usize,
    /// Its bore where no part says otherwise, m.
    pub bore: Slot,
    /// Its parts, in order.
    pub parts: Vec<Placed>,
}

impl Run {
    /// Bore at the start and at the end of the run. A first part without a bore of its own has that of
    /// the run.
    pub fn end_bores(&self) -> [Slot; 2] {
        let first = self.parts.first().and_then(|p| p.part.bores()[0]);
        let last = self.parts.iter().rev().find_map(|p| p.part.bores()[1]);
        [first.unwrap_or(self.bore), last.unwrap_or(self.bore)]
    }

    /// Bore at the inlet and at the outlet of each part: its own, or that of the part before it.
    pub fn part_bores(&self) -> Vec<[Slot; 2]> {
        let mut bore = self.end_bores()[0];
        let mut bores = Vec::with_capacity(self.parts.len());
        for placed in &self.parts {
            let [inlet, outlet] = placed.part.bores();
            let inlet = inlet.unwrap_or(bore);
            bore = outlet.unwrap_or(inlet);
            bores.push([inlet, bore]);
        }
        bores
    }
}

/// Which end of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Where it starts.
    From,
    /// Where it ends.
    To,
}

/// A run's end at a junction, with its bore there.
#[derive(Clone, Copy, Debug)]
pub struct Leg {
    /// The run.
    pub run: usize,
    /// Which of its ends.
    pub end: End,
    /// Bore of the leg, m.
    pub bore: Slot,
}

/// What a junction is.
#[derive(Clone, Debug)]
pub enum Joint {
    /// Runs meet without loss.
    Plain {
        /// Whether that is known: the case says so, or only two runs meet. Else any leg may lose something.
        known: bool,
    },
    /// A tee: two straight legs and a side leg.
    Tee {
        /// First straight leg, second straight leg, side leg.
        legs: [Leg; 3],
        /// Angle between the side leg and the second straight leg, rad.
        angle: Slot,
        /// Which published formulas.
        set: TeeSet,
    },
    /// A tank that the runs end in; each has a [`crate::parts::TankPort`] there.
    Tank(TankRoom),
    /// Open to the outside at a held gauge pressure (Pa); what enters has the given temperature (K).
    Held {
        /// Gauge pressure, Pa.
        pressure: Slot,
        /// Temperature of what enters, K.
        temperature: Slot,
    },
    /// Fed from outside with a volume flow (m³/s, negative: drawn off).
    Fed {
        /// Volume flow that enters, m³/s.
        flow: Slot,
        /// Temperature of what enters, K.
        temperature: Slot,
    },
}

/// A point with one total pressure and one temperature.
#[derive(Clone, Debug)]
pub struct Junction {
    /// Its name, unique in the circuit.
    pub name: String,
    /// Whether the program made it.
    pub automatic: bool,
    /// What it is.
    pub joint: Joint,
    /// Coolant in it, m³. It is small and real; it keeps the temperature when nothing moves, and
    /// makes mixing free of algebra.
    pub volume: Slot,
}

impl Junction {
    /// Coolant in it, m³.
    pub fn volume_m3(&self, values: &Values) -> f64 {
        match &self.joint {
            Joint::Tank(room) => room.coolant_m3(values),
            _ => values.get(self.volume),
        }
    }
}

/// Where the pressure of a circuit is known.
#[derive(Clone, Copy, Debug)]
pub enum ReferencePoint {
    /// In a part: (run, part). Of a tank it is the pressure of the gas over the surface, of any other
    /// part the total pressure at its inlet.
    Part(usize, usize),
    /// At a junction. Of a tank it is the pressure of the gas over the surface, of any other the total
    /// pressure.
    Junction(usize),
}

/// The one pressure that a closed circuit hangs on.
#[derive(Clone, Copy, Debug)]
pub struct Reference {
    /// Where.
    pub at: ReferencePoint,
    /// What it is.
    pub hold: Hold,
}

/// What holds the pressure at a reference.
#[derive(Clone, Copy, Debug)]
pub enum Hold {
    /// A given gauge pressure, Pa.
    Given(Slot),
    /// The gas shut in over the coolant of a tank, under a cap.
    Cushion(Cushion),
}

/// How a closed tank was filled, and its cap.
#[derive(Clone, Copy, Debug)]
pub struct Cushion {
    /// Temperature of everything when the circuit was filled and shut, K.
    pub filled_at: Slot,
    /// Gauge pressure of the gas then, Pa.
    pub fill_pressure: Slot,
    /// Altitude at which that was, m.
    pub filled_altitude: Slot,
    /// Gauge pressure at which the cap opens, Pa.
    pub opens: Slot,
    /// Pressure below the air around it at which the cap lets air in, Pa.
    pub vacuum: Slot,
}

/// How equal pumps stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrangement {
    /// One behind the other.
    Series,
    /// Side by side.
    Parallel,
}

/// Several equal pumps under one name.
#[derive(Clone, Debug)]
pub struct PumpGroup {
    /// Path of the group within the circuit.
    pub path: String,
    /// How they stand.
    pub arrangement: Arrangement,
    /// Its pumps: (run, part).
    pub units: Vec<(usize, usize)>,
}

/// A coolant circuit.
#[derive(Debug)]
pub struct Circuit {
    /// Its name.
    pub name: String,
    /// Its coolant.
    pub coolant: CoolantSpec,
    /// Junctions.
    pub junctions: Vec<Junction>,
    /// Runs.
    pub runs: Vec<Run>,
    /// Pumps that stand under one name.
    pub groups: Vec<PumpGroup>,
    /// Where its pressure is known. A circuit with a held junction needs none.
    pub reference: Option<Reference>,
    /// Temperature of everything in it at the start, K.
    pub start: Slot,
}

impl Circuit {
    /// Whether one of its tanks has ice in it at the start.
    pub fn has_ice(&self) -> bool {
        let parts = self.runs.iter().flat_map(|run| &run.parts);
        parts.filter_map(|placed| placed.part.as_tank()).any(|tank| tank.ice.is_some())
    }

    /// The tank at the circuit's reference, where there is one.
    pub fn reference_tank(&self) -> Option<&TankRoom> {
        match self.reference?.at {
            ReferencePoint::Part(run, part) => {
                self.runs[run].parts[part].part.as_tank().map(|tank| &tank.room)
            }
            ReferencePoint::Junction(junction) => match &self.junctions[junction].joint {
                Joint::Tank(room) => Some(room),
                _ => None,
            },
        }
    }

    /// Whether coolant that warms has somewhere to go: a tank, or an end that is open to the outside.
    pub fn has_room(&self) -> bool {
        let vessel = |joint: &Joint| !matches!(joint, Joint::Plain { .. } | Joint::Tee { .. });
        let mut parts = self.runs.iter().flat_map(|run| &run.parts);
        self.junctions.iter().any(|junction| vessel(&junction.joint))
            || parts.any(|placed| placed.part.as_tank().is_some())
    }

    /// Path within the circuit of the part or junction at its reference.
    pub fn reference_path(&self) -> Option<String> {
        Some(match self.reference?.at {
            ReferencePoint::Part(run, part) => {
                format!("{}/{}", self.runs[run].path, self.runs[run].parts[part].name)
            }
            ReferencePoint::Junction(junction) => self.junctions[junction].name.clone(),
        })
    }

    /// The ends of runs at each junction.
    pub fn legs(&self) -> Vec<Vec<Leg>> {
        let mut legs = vec![Vec::new(); self.junctions.len()];
        for (run, of) in self.runs.iter().enumerate() {
            let [first, last] = of.end_bores();
            legs[of.from].push(Leg { run, end: End::From, bore: first });
            legs[of.to].push(Leg { run, end: End::To, bore: last });
        }
        legs
    }

    /// Pairs of runs whose falls depend on each other's flow: those that meet at a tee.
    pub fn couplings(&self) -> Vec<(usize, usize)> {
        let mut pairs = Vec::new();
        for junction in &self.junctions {
            if let Joint::Tee { legs, .. } = &junction.joint {
                for a in legs {
                    for b in legs {
                        if a.run != b.run && !pairs.contains(&(a.run, b.run)) {
                            pairs.push((a.run, b.run));
                        }
                    }
                }
            }
        }
        pairs
    }
}
