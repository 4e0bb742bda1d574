//! Circuits: coolant, runs, junctions.

use serde::Deserialize;

use super::parts::{Cap, PartSpec};
use crate::quantity::{Angle, Flow, Fraction, GaugePressure, Length, Temperature, Volume};
use crate::text::{Map, Spanned};

/// A coolant circuit.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Circuit {
    /// Its coolant.
    pub coolant: Spanned<CoolantMix>,
    /// Temperature of everything in it at the start; where left out that of the air, with ice its
    /// freezing point.
    pub start: Option<Temperature>,
    /// Bore of every run that gives none.
    pub bore: Option<Length>,
    /// Its runs.
    pub runs: Map<Run>,
    /// Its junctions, as far as they are more than plain joints.
    #[serde(default)]
    pub junctions: Map<Junction>,
    /// Temperature of everything when it was filled and its cap was shut.
    pub filled_at: Option<Temperature>,
    /// Gauge pressure in its tank when it was filled and its cap was shut; none where left out.
    pub fill_pressure: Option<GaugePressure>,
    /// Altitude at which it was filled and its cap was shut; that of the site where left out.
    pub filled_altitude: Option<Length>,
    /// Gauge pressure over the surface in the tank, or at the junction `pressure_at`; where left out it
    /// follows from the tank's cap and air.
    pub pressure: Option<GaugePressure>,
    /// The junction at which `pressure` is known; the tank where left out.
    pub pressure_at: Option<Spanned<String>>,
    /// Where air can be let out by hand: parts as `run/part`, and junctions.
    #[serde(default)]
    pub bleeds: Vec<Spanned<String>>,
    /// Where coolant can be let out: parts as `run/part`, and junctions.
    #[serde(default)]
    pub drains: Vec<Spanned<String>>,
}

impl Circuit {
    /// Whether there is ice in one of its tanks.
    pub fn has_ice(&self) -> bool {
        let iced = |part: &PartSpec| matches!(part, PartSpec::Tank { ice: Some(_), .. });
        self.runs.values().any(|run| run.parts.values().any(iced))
    }

    /// Whether one of its tanks has a cap.
    pub fn has_cap(&self) -> bool {
        let capped = |part: &PartSpec| matches!(part, PartSpec::Tank { cap: Some(_), .. });
        self.runs.values().any(|run| run.parts.values().any(capped))
            || self.junctions.values().any(|j| matches!(j, Junction::Tank { cap: Some(_), .. }))
    }
}

/// What the coolant is mixed from.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum CoolantMix {
    /// Water.
    Water,
    /// Ethylene glycol and water.
    EthyleneGlycol {
        /// Share of glycol by volume.
        by_volume: Option<Fraction>,
        /// Share of glycol by mass.
        by_mass: Option<Fraction>,
    },
    /// Propylene glycol and water.
    PropyleneGlycol {
        /// Share of glycol by volume.
        by_volume: Option<Fraction>,
        /// Share of glycol by mass.
        by_mass: Option<Fraction>,
    },
    /// One of the `liquids`, by its name there.
    Liquid(Spanned<String>),
}

/// An ordered list of parts between two junctions. A run without `from` and `to` is a loop of its
/// own.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// The junction it starts from.
    pub from: Option<Spanned<String>>,
    /// The junction it ends at.
    pub to: Option<Spanned<String>>,
    /// Bore of every part that gives none.
    pub bore: Option<Length>,
    /// Its parts, in the order of the run.
    pub parts: Map<PartSpec>,
}

/// What a junction is.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Junction {
    /// Runs meet without loss, as in a roomy manifold. Where nothing is said here, two runs meet as parts of one do, with
    /// any change of bore; more meet without loss, and a ± says what that leaves open.
    Joint {},
    /// A tee.
    Tee {
        /// The two runs that go straight through.
        straight: (Spanned<String>, Spanned<String>),
        /// The run at the side.
        side: Spanned<String>,
        /// Angle between the side and the second straight run; 90° where left out.
        angle: Option<Angle>,
        /// Which published formulas: `Unified`, `Gardel` or `TP410`.
        formulas: Option<TeeFormulas>,
    },
    /// A header: one run at its end, ports along its side.
    Header {
        /// The run that feeds it at its end.
        inlet: Option<Spanned<String>>,
        /// The run that leaves at its end.
        outlet: Option<Spanned<String>>,
        /// Runs that leave along it, in order from the inlet.
        #[serde(default)]
        outlets: Vec<Spanned<String>>,
        /// Runs that enter along it, in order; the last is next to the outlet.
        #[serde(default)]
        inlets: Vec<Spanned<String>>,
        /// Its bore.
        bore: Length,
        /// Distance between neighbouring ports.
        spacing: Option<Length>,
        /// Which published formulas for its ports.
        formulas: Option<TeeFormulas>,
    },
    /// A tank that runs end in: an expansion tank at the end of a fill line, with vents into it.
    Tank {
        /// All of its room, for coolant and air.
        volume: Volume,
        /// What of its room is air when the circuit has been filled cold; a fifth where left out, which is an
        /// assumption.
        air: Option<Volume>,
        /// Height of the surface above its ports.
        level: Option<Length>,
        /// Its cap; where left out it is open to the air.
        cap: Option<Spanned<Cap>>,
    },
    /// An end that is open to the outside: a supply, a drain, a bucket.
    Open {
        /// Gauge pressure held there.
        pressure: Option<GaugePressure>,
        /// Flow that enters there; negative where it is drawn off.
        flow: Option<Flow>,
        /// Temperature of what enters.
        temperature: Option<Temperature>,
    },
}

/// A set of published tee formulas.
#[derive(Clone, Copy, Debug, Deserialize)]
pub enum TeeFormulas {
    /// One law for every direction.
    Unified,
    /// Gardel 1957.
    Gardel,
    /// Flow of Fluids, TP 410 (2009).
    #[serde(rename = "TP410")]
    Tp410,
}
