//! Parts of a run, and pump curves.

use serde::Deserialize;

use crate::quantity::{
    Angle, Count, Current, Density, FilmCoefficient, Flow, Fraction, Length, Mass, Number, Power,
    PressureDifference, Voltage, Volume, VolumeFlow,
};
use crate::text::Spanned;

/// A part of a run.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum PartSpec {
    /// A hose or tube.
    Hose {
        /// Length of the centre line.
        length: Option<Length>,
        /// Corner points of the centre line, in the place of a length.
        #[serde(default)]
        route: Vec<(Length, Length, Length)>,
        /// Radius of every bend of the route.
        bend_radius: Option<Length>,
        /// Bends, where no route is given.
        #[serde(default)]
        bends: Vec<BendSpec>,
        /// Bore.
        bore: Option<Length>,
        /// Roughness of the wall.
        roughness: Option<Length>,
        /// Height gained from inlet to outlet.
        rise: Option<Length>,
        /// Loss coefficient of whatever else sits in it.
        loss: Option<Number>,
    },
    /// A cone between two bores.
    Reducer {
        /// Bore at the inlet; that of the part before where left out.
        from: Option<Length>,
        /// Bore at the outlet.
        to: Length,
        /// Whole angle of the cone.
        angle: Option<Angle>,
    },
    /// A flow meter.
    Meter(Resistance),
    /// A filter.
    Filter(Resistance),
    /// A quick coupling.
    Coupling(Resistance),
    /// Any other part known by a measured drop.
    Resistance(Resistance),
    /// A pump, or several equal ones.
    Pump {
        /// Its curve: a name under `pump_curves`.
        curve: Option<Spanned<String>>,
        /// Rise of pressure without flow, where only the label is known.
        shut_off: Option<PressureDifference>,
        /// Flow without rise of pressure, where only the label is known.
        free_flow: Option<VolumeFlow>,
        /// How many, and how they stand.
        count: Option<PumpCount>,
        /// Whether each of several in parallel has a check valve.
        check_valves: Option<bool>,
        /// Speed over the speed of the curve; 0 is stopped.
        speed: Option<Fraction>,
        /// Bore of its ports.
        bore: Option<Length>,
        /// Fall through it when stopped.
        stopped: Option<Resistance>,
        /// Share of its electric power that ends in the coolant.
        heat_share: Option<Fraction>,
    },
    /// A check valve, open along the run.
    CheckValve {
        /// Fall when open.
        fall: Option<PressureDifference>,
        /// Flow of that fall.
        at: Option<Flow>,
        /// `PressureDifference` that just opens it.
        cracking: Option<PressureDifference>,
        /// Bore of its ports.
        bore: Option<Length>,
    },
    /// A sharp-edged orifice in the bore of the part before it, or of its run.
    Restrictor {
        /// Bore of the hole.
        bore: Length,
    },
    /// A valve set by hand or by an actuator.
    Throttle {
        /// Fall when full open.
        fall: PressureDifference,
        /// Flow of that fall.
        at: Flow,
        /// Opening, from 0 to 100 %; full open where left out.
        open: Option<Fraction>,
        /// Share of the full-open flow that it passes when shut, at the same fall.
        leak: Option<Fraction>,
        /// How the flow goes with the opening: `Linear`, which counts where left out, or
        /// `EqualPercentage`.
        characteristic: Option<Characteristic>,
        /// Bore of its ports.
        bore: Option<Length>,
    },
    /// A thermostat's valve, at the lift that it is given.
    Thermostat {
        /// Fall when full open.
        fall: Option<PressureDifference>,
        /// Flow of that fall.
        at: Option<Flow>,
        /// Lift over full lift, from 0 to 100 %; full open where left out.
        open: Option<Fraction>,
        /// Area of bleed hole and leaking seat over the full-open area.
        leak: Option<Fraction>,
        /// Bore of its ports.
        bore: Option<Length>,
    },
    /// A hose barb.
    Barb {
        /// Its own bore, below those of the parts before and after.
        bore: Length,
        /// Its length.
        length: Length,
        /// Bore behind it; that of the part before where left out.
        to: Option<Length>,
        /// Roughness of its bore.
        roughness: Option<Length>,
    },
    /// The way through a pass of a cooler, a core, or the jacket of an engine.
    Through {
        /// The cooler.
        cooler: Option<Spanned<String>>,
        /// Which of its passes, from 1.
        pass: Option<Count>,
        /// The core.
        core: Option<Spanned<String>>,
        /// The engine.
        engine: Option<Spanned<String>>,
        /// Share of the way that is blocked.
        blocked: Option<Fraction>,
    },
    /// A stirred tank.
    Tank {
        /// Coolant in it.
        volume: Volume,
        /// Ice in it at the start.
        ice: Option<Mass>,
        /// Edge of a piece of ice.
        ice_piece: Option<Length>,
        /// Film coefficient at the ice.
        ice_film: Option<FilmCoefficient>,
        /// Bore of the pipe at inlet and outlet.
        bore: Option<Length>,
    },
}

/// Equal bends in a hose.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename = "Bend", deny_unknown_fields)]
pub struct BendSpec {
    /// Angle of one bend.
    pub angle: Angle,
    /// Radius of the centre line.
    pub radius: Option<Length>,
    /// How many.
    pub count: Option<Count>,
}

/// Inherent flow characteristic of a valve (IEC 60534-1).
#[derive(Clone, Copy, Debug, Deserialize)]
pub enum Characteristic {
    /// Equal steps of the opening give equal steps of flow.
    Linear,
    /// Equal steps of the opening give equal percentages of change.
    EqualPercentage,
}

/// A drop measured at one flow.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resistance {
    /// Fall of pressure.
    pub fall: PressureDifference,
    /// Flow of that fall.
    pub at: Flow,
    /// How the fall goes with flow; 2 where left out.
    pub exponent: Option<Number>,
    /// Bore of its ports.
    pub bore: Option<Length>,
}

/// How many pumps, and how they stand.
#[derive(Clone, Debug, Deserialize)]
pub enum PumpCount {
    /// One.
    One,
    /// One behind the other.
    Series(Count),
    /// Side by side.
    Parallel(Count),
}

/// A pump's curve at one speed.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PumpCurve {
    /// Flow and rise of pressure.
    pub points: Spanned<Vec<(VolumeFlow, PressureDifference)>>,
    /// Current drawn at each point, at `voltage`.
    pub current: Option<Spanned<Vec<Current>>>,
    /// Voltage at which the current was measured.
    pub voltage: Option<Voltage>,
    /// Electric power drawn at each point.
    pub power: Option<Spanned<Vec<Power>>>,
    /// Overall efficiency at each point.
    pub efficiency: Option<Spanned<Vec<Fraction>>>,
    /// Density of the fluid in which it was measured; water where left out.
    pub density: Option<Density>,
    /// Says that the head really rises with flow somewhere.
    pub rising: Option<bool>,
}
