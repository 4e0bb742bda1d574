//! Parts of a run, and pump curves.

use serde::Deserialize;

use super::{CoolantMix, Follows, SwitchSpec, WhichSide};
use crate::quantity::{
    Angle, Area, Count, Current, Density, FilmCoefficient, Flow, Fraction, GaugePressure, Length,
    Mass, Number, Power, PressureDifference, RotationalSpeed, Temperature, TemperatureDifference,
    Time, Viscosity, Voltage, Volume, VolumeFlow,
};
use crate::text::Spanned;

/// A part of a run.
#[expect(clippy::large_enum_variant, reason = "a case has few parts, and reads them once")]
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
        /// Share of its volume that it swells by under 100 kPa of pressure.
        swelling: Option<Fraction>,
        /// Thickness of its wall, for the heat through it; of no account in a case without `bay`.
        wall: Option<Length>,
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
    Meter {
        /// Fall of pressure through it.
        fall: PressureDifference,
        /// Flow of that fall.
        at: Flow,
        /// How the fall goes with flow; where left out, 2, which is an assumption.
        exponent: Option<Number>,
        /// Liquid in which it was measured; where left out water, but the coolant of its circuit where the flow is
        /// given as a mass.
        fluid: Option<Spanned<CoolantMix>>,
        /// Temperature of that liquid; where left out 20 °C, which is an assumption.
        fluid_temperature: Option<Temperature>,
        /// Bore of its ports.
        bore: Option<Length>,
        /// How it measures; `Turbine` where left out. It fixes the straight bores that it wants.
        kind: Option<MeterKind>,
        /// Straight bores that it wants before it, in diameters; those of its kind where left out.
        straight_before: Option<Number>,
        /// The same behind it.
        straight_after: Option<Number>,
    },
    /// A filter.
    Filter(Resistance),
    /// A quick coupling.
    Coupling(Resistance),
    /// Any other part known by a measured drop.
    Resistance(Resistance),
    /// A pump, or several equal ones.
    ///
    /// Beyond its curve, driven backwards, slow and at rest it goes over into what it resists when
    /// stopped; the answer says so where a pump runs there.
    Pump {
        /// Its curve: a name under `pump_curves`.
        curve: Option<Spanned<String>>,
        /// Rise of pressure without flow, where only the label is known.
        shut_off: Option<PressureDifference>,
        /// Flow without rise of pressure, where only the label is known.
        free_flow: Option<VolumeFlow>,
        /// Rotational speed that the label holds for; a curve has its own.
        at_speed: Option<RotationalSpeed>,
        /// Power on the label, at full speed: electric, or at the shaft where the engine turns it; a curve has
        /// its own. Taken to be drawn at every flow.
        power: Option<Power>,
        /// Current on the label instead, at full speed and the voltage of that.
        current: Option<Current>,
        /// How many, and how they stand; one where left out.
        count: Option<PumpCount>,
        /// Whether each of several in parallel has a check valve.
        check_valves: Option<bool>,
        /// What turns it: `Motor`, which counts where left out, or `Engine(ratio: 1.25)`.
        driven_by: Option<Spanned<DrivenBy>>,
        /// Commanded speed over the speed of the curve; 0 is stopped. Not for a pump that the engine
        /// turns.
        speed: Option<Fraction>,
        /// Switches it by a coolant temperature or by a gauge; always on where left out. Not for a pump that the
        /// engine turns.
        switch: Option<SwitchSpec>,
        /// How long it runs on, commanded as before, after its switch or a phase has stopped it; not at all where left
        /// out.
        run_on: Option<Time>,
        /// Its speed follows a temperature. Not for a pump that the engine turns.
        follows: Option<Follows>,
        /// Time from rest to the speed of its curve; at once where left out, 2 s where its speed follows a temperature.
        ramp: Option<Time>,
        /// The supply that feeds it, by its name under `supplies`.
        supply: Option<Spanned<String>>,
        /// Supply voltage at which it turns at the speed of its curve: it turns at the least of `speed`,
        /// voltage over this, and what `current_limit` leaves. A `speed` beyond 100 % is that of another motor, which reaches it
        /// at this voltage. That of its curve where left out.
        rated_voltage: Option<Voltage>,
        /// Whether a controller holds its speed at any voltage.
        regulated: Option<bool>,
        /// The most current that it draws: its controller slows it down to keep to that.
        current_limit: Option<Current>,
        /// Bore of its ports.
        bore: Option<Length>,
        /// Fall through it when stopped, as measured.
        stopped: Option<Resistance>,
        /// How it stands when stopped, where no fall was measured: `Freewheeling`, which counts where
        /// left out, or `Seized`.
        when_stopped: Option<WhenStopped>,
        /// Share of its electric power, or of its shaft power where the engine turns it, that ends in
        /// the coolant.
        heat_share: Option<Fraction>,
        /// Its head over that of its curve or label, as `learn` finds it of a pump that is worn or better than
        /// its label; 1 where left out.
        head_scale: Option<Fraction>,
        /// Its flow over that of its curve or label at the same share of head; 1 where left out.
        flow_scale: Option<Fraction>,
    },
    /// A check valve. It opens along its run, `from` to `to`; to turn it, turn the run.
    CheckValve {
        /// Fall when open: all that is measured across it, what holds its spring open included.
        fall: Option<PressureDifference>,
        /// Flow of that fall.
        at: Option<Flow>,
        /// Difference of pressure that just opens it; no more than its fall is taken.
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
        /// Liquid in which it was measured; where left out water, but the coolant of its circuit where the flow is
        /// given as a mass.
        fluid: Option<Spanned<CoolantMix>>,
        /// Temperature of that liquid; where left out 20 °C, which is an assumption.
        fluid_temperature: Option<Temperature>,
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
    /// A thermostat's valve: moved by wax that `opens` at a temperature, or at the opening that it is given.
    Thermostat {
        /// Fall when full open.
        fall: Option<PressureDifference>,
        /// Flow of that fall.
        at: Option<Flow>,
        /// Liquid in which it was measured; where left out water, but the coolant of its circuit where the flow is
        /// given as a mass.
        fluid: Option<Spanned<CoolantMix>>,
        /// Temperature of that liquid; where left out 20 °C, which is an assumption.
        fluid_temperature: Option<Temperature>,
        /// Temperature at which its wax begins to open it.
        opens: Option<Temperature>,
        /// By how much warmer it is full open; in between it lifts along an S, as wax melts.
        range: Option<TemperatureDifference>,
        /// How much colder it has to get before it begins to shut again; an operating point is that after warming.
        hysteresis: Option<TemperatureDifference>,
        /// Lag of its wax behind the coolant.
        lag: Option<Time>,
        /// Flow of that lag, as one of water: the lag gets longer as less washes the wax.
        lag_at: Option<VolumeFlow>,
        /// Opening where it does not move, from 0 to 100 % of full; full open where `opens` is left out too.
        open: Option<Fraction>,
        /// Which valve of the thermostat this is: `Main`, which `open` is of and counts where
        /// left out, or `Bypass`, which shuts as that opens.
        side: Option<ThermostatSide>,
        /// The thermostat whose opening moves this bypass: `run/part` of the same circuit. Where this and `open` are
        /// left out, the only one there is.
        of: Option<Spanned<String>>,
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
    /// The way through a pass of a cooler.
    Pass {
        /// The cooler.
        cooler: Spanned<String>,
        /// Which of its passes, from 1; the first where left out.
        pass: Option<Count>,
        /// Share of the way that is blocked.
        blocked: Option<Fraction>,
        /// Height gained from inlet to outlet; level where left out.
        rise: Option<Length>,
    },
    /// The way through the jacket of an engine.
    Jacket {
        /// The engine.
        engine: Spanned<String>,
        /// Share of the way that is blocked.
        blocked: Option<Fraction>,
        /// Height gained from inlet to outlet; level where left out.
        rise: Option<Length>,
    },
    /// The coolant's side of a core.
    CoreSide {
        /// The core.
        core: Spanned<String>,
        /// Height gained from inlet to outlet; level where left out.
        rise: Option<Length>,
    },
    /// The way through one side of an exchanger.
    ExchangerSide {
        /// The exchanger.
        exchanger: Spanned<String>,
        /// Which of its sides.
        side: WhichSide,
        /// Share of the way that is blocked.
        blocked: Option<Fraction>,
        /// Height gained from inlet to outlet; level where left out.
        rise: Option<Length>,
    },
    /// A stirred tank.
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
        /// Ice that floats in it at the start, within `volume`: it displaces its own mass of coolant.
        ice: Option<Mass>,
        /// Edge of a piece of ice.
        ice_piece: Option<Length>,
        /// Film coefficient at the ice.
        ice_film: Option<FilmCoefficient>,
        /// Its outside, without foam, that heat of the bay goes through, or of the site where the case has no `bay` and it holds
        /// ice.
        surface: Option<Area>,
        /// Thickness of foam around it.
        insulation: Option<Length>,
        /// Bore of the pipe at inlet and outlet.
        bore: Option<Length>,
    },
}

/// The cap of a tank: it opens outwards at one pressure and inwards at another, and holds nothing
/// between them.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cap {
    /// Gauge pressure at which it opens.
    pub opens: GaugePressure,
    /// How far below the air around it the pressure falls before it lets air in.
    pub vacuum: Option<PressureDifference>,
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

/// How a flow meter measures.
#[derive(Clone, Copy, Debug, Deserialize)]
pub enum MeterKind {
    /// A turbine in the bore.
    Turbine,
    /// A small wheel at the wall, read by a magnet.
    Paddle,
    /// Transit time of ultrasound.
    Ultrasonic,
    /// A field across the bore.
    Magnetic,
    /// Vortices behind a bluff body.
    Vortex,
    /// The fall over an orifice.
    Orifice,
}

/// Inherent flow characteristic of a valve (IEC 60534-1).
#[derive(Clone, Copy, Debug, Deserialize)]
pub enum Characteristic {
    /// Equal steps of the opening give equal steps of flow.
    Linear,
    /// Equal steps of the opening give equal percentages of change.
    EqualPercentage,
}

/// The two valves of a thermostat with bypass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum ThermostatSide {
    /// The main valve.
    Main,
    /// Shuts as the main valve opens.
    Bypass,
}

/// A drop measured at one flow.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resistance {
    /// Fall of pressure.
    pub fall: PressureDifference,
    /// Flow of that fall.
    pub at: Flow,
    /// How the fall goes with flow; where left out, 2 through a fitting, 1.9 through an engine's jacket,
    /// 1.8 through a cooler or a core, which is an assumption.
    pub exponent: Option<Number>,
    /// Liquid in which it was measured; where left out water, but the coolant of its circuit where the flow is
    /// given as a mass.
    pub fluid: Option<Spanned<CoolantMix>>,
    /// Temperature of that liquid; where left out 20 °C, 90 °C of an engine, which is an assumption.
    pub fluid_temperature: Option<Temperature>,
    /// Bore of its ports.
    pub bore: Option<Length>,
}

/// How many pumps, and how they stand.
#[derive(Clone, Debug, Deserialize)]
pub enum PumpCount {
    /// One; written `1` too.
    One,
    /// One behind the other.
    Series(Count),
    /// Side by side.
    Parallel(Count),
}

/// What turns a pump.
#[derive(Clone, Copy, Debug, Deserialize)]
pub enum DrivenBy {
    /// An electric motor of its own, on the supply.
    Motor,
    /// The engine, through belt or gears: its speed is `engine_speed` of the duty or phase times the
    /// ratio. The curve must say its speed, `at_speed`.
    Engine {
        /// Turns of the pump for one of the engine; 0 where the belt is off.
        ratio: Number,
    },
}

/// How a pump stands when it is stopped.
#[derive(Clone, Copy, Debug, Deserialize)]
pub enum WhenStopped {
    /// Its wheel spins with the flow.
    Freewheeling,
    /// Its wheel is held.
    Seized,
}

/// A head by a polynomial of the flow: Σ `coefficient_k` · flow^k.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Polynomial {
    /// Unit of the rise of pressure that the polynomial gives.
    pub rise: Spanned<String>,
    /// Unit of the flow that it takes.
    pub flow: Spanned<String>,
    /// Coefficients, that of the power 0 first.
    pub coefficients: Spanned<Vec<Number>>,
    /// Flow up to which it holds, from none; beyond, the curve is a straight line.
    pub to: VolumeFlow,
}

/// A pump's curve at one speed: `points`, or `polynomial`.
///
/// What belongs to the points of the curve is a list with one entry for each point, or a list of
/// pairs of flow and value with `_at` behind its name, which also goes with a polynomial.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PumpCurve {
    /// Flow and rise of pressure.
    pub points: Option<Spanned<Vec<(VolumeFlow, PressureDifference)>>>,
    /// Rise of pressure as a polynomial of the flow.
    pub polynomial: Option<Spanned<Polynomial>>,
    /// Current drawn at each point, at `voltage`.
    pub current: Option<Spanned<Vec<Current>>>,
    /// Flow and current drawn, at `voltage`.
    pub current_at: Option<Spanned<Vec<(VolumeFlow, Current)>>>,
    /// Voltage at which the current was measured.
    pub voltage: Option<Voltage>,
    /// Power taken at each point: from the supply, or at the shaft where the engine turns the pump.
    pub power: Option<Spanned<Vec<Power>>>,
    /// Flow and power taken.
    pub power_at: Option<Spanned<Vec<(VolumeFlow, Power)>>>,
    /// Overall efficiency at each point.
    pub efficiency: Option<Spanned<Vec<Fraction>>>,
    /// Flow and overall efficiency.
    pub efficiency_at: Option<Spanned<Vec<(VolumeFlow, Fraction)>>>,
    /// Net positive suction head required at each point, as a height of the fluid.
    pub npsh_required: Option<Spanned<Vec<Length>>>,
    /// Flow and net positive suction head required.
    pub npsh_required_at: Option<Spanned<Vec<(VolumeFlow, Length)>>>,
    /// Rotational speed at which it was measured. Needed for an engine-driven pump and for the
    /// correction for viscosity, which is left out without it.
    pub at_speed: Option<RotationalSpeed>,
    /// Fluid in which it was measured; water where left out.
    pub fluid: Option<Spanned<CoolantMix>>,
    /// Temperature of that fluid; 20 °C where left out.
    pub fluid_temperature: Option<Temperature>,
    /// Density of the fluid in which it was measured, in the place of `fluid`.
    pub density: Option<Density>,
    /// Dynamic viscosity of the fluid in which it was measured, in the place of `fluid`.
    pub viscosity: Option<Viscosity>,
    /// Says that the head really rises with flow somewhere.
    pub rising: Option<bool>,
}
