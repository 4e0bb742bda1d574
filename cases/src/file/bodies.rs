//! Engines and coolers: metal that heat comes into and coolant cools.

use serde::Deserialize;

use super::CoolantMix;
use super::parts::Resistance;
use crate::quantity::{
    Area, Conductance, Conductivity, Consumption, Count, ElectricResistance, FilmCoefficient, Flow,
    Fraction, HeatCapacity, HeatPerMass, Length, Mass, Number, Power, RotationalSpeed, Temperature,
    Voltage, Volume,
};
use crate::text::Spanned;

/// An engine with its jacket.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Engine {
    /// Heat to coolant as a share of the vehicle's power.
    pub share: Option<Fraction>,
    /// Heat to coolant that is always there.
    pub heat: Option<Power>,
    /// Heat to coolant against the vehicle's power.
    pub table: Option<Spanned<Vec<(Power, Power)>>>,
    /// Heat to coolant over engine speed and the vehicle's power: each of its speeds at each of its powers.
    pub map: Option<Spanned<Vec<HeatRow>>>,
    /// Heat to coolant as a share of what its fuel holds, in the place of `share`.
    pub fuel: Option<Spanned<Fuel>>,
    /// The metal that takes part.
    pub metal: Option<Metal>,
    /// Fall of pressure through the jacket.
    pub fall: Option<Resistance>,
    /// Coolant in the jacket.
    pub volume: Option<Volume>,
    /// How well the heat passes from metal to coolant.
    pub film: Option<Film>,
    /// The hot wall that the heat comes in through; where left out it comes into the metal at once. Its numbers stand
    /// at `engines/NAME:wall_area`, `wall_thickness`, `wall_film`, `wall_peak` and so on.
    pub wall: Option<Spanned<Wall>>,
    /// Temperature of the metal at the start.
    pub start: Option<Temperature>,
    /// Its outside, that gives heat to the air of the bay; none where left out.
    pub surface: Option<Area>,
}

/// The fuel of an engine. Its numbers stand at `engines/NAME:burns`, `fuel_flow`, `heating_value` and `fuel_share`.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fuel {
    /// Fuel burnt for the power at the crank.
    pub burns: Option<Consumption>,
    /// Fuel burnt at full power, in the place of `burns`: at less it goes with the power.
    pub flow: Option<Flow>,
    /// Its lower heating value.
    pub heating_value: HeatPerMass,
    /// Share of its heat that comes into the coolant.
    pub share: Option<Fraction>,
}

/// One point of a map of heat.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename = "Heat", deny_unknown_fields)]
pub struct HeatRow {
    /// Engine speed.
    pub engine_speed: RotationalSpeed,
    /// Power of the vehicle.
    pub power: Power,
    /// Heat to coolant.
    pub heat: Power,
}

/// A liquid-cooled exchanger with one or more passes.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cooler {
    /// Heat as a share of the vehicle's power.
    pub share: Option<Fraction>,
    /// Heat that is always there.
    pub heat: Option<Power>,
    /// Heat against the vehicle's power.
    pub table: Option<Spanned<Vec<(Power, Power)>>>,
    /// The battery that it cools, which gives the vehicle's power: its heat is that of the current in its resistance.
    pub battery: Option<Spanned<Battery>>,
    /// The metal that takes part.
    pub metal: Option<Metal>,
    /// How many passes it has.
    pub passes: Option<Count>,
    /// Bore of a pass.
    pub bore: Option<Length>,
    /// Length of a pass.
    pub length: Option<Length>,
    /// Roughness of a pass.
    pub roughness: Option<Length>,
    /// Loss coefficient of the turns in a pass.
    pub loss: Option<Number>,
    /// Factor of turbulators or ribs on the film coefficient.
    pub film_factor: Option<Number>,
    /// Flat tubes side by side that a pass is made of, in the place of bore and length.
    pub tubes: Option<Spanned<FlatTubes>>,
    /// Fall of pressure through a pass, in the place of bore and length.
    pub fall: Option<Resistance>,
    /// Coolant in a pass, with `fall`.
    pub volume: Option<Volume>,
    /// How well the heat passes from metal to coolant in a pass, in the place of bore and length.
    pub film: Option<Film>,
    /// The hot wall that the heat comes in through; where left out it comes into the metal at once.
    pub wall: Option<Spanned<Wall>>,
    /// Temperature of the metal at the start.
    pub start: Option<Temperature>,
    /// Its outside, that gives heat to the air of the bay; none where left out.
    pub surface: Option<Area>,
}

/// A battery that gives the vehicle's power. Its numbers stand at `coolers/NAME:voltage` and `coolers/NAME:resistance`.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Battery {
    /// Voltage with nothing drawn.
    pub voltage: Voltage,
    /// Resistance from pole to pole: of all its cells and joints.
    pub resistance: ElectricResistance,
}

/// Equal flat tubes side by side.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlatTubes {
    /// How many.
    pub count: Count,
    /// Inside width, the wide way.
    pub width: Length,
    /// Inside height, the narrow way.
    pub height: Length,
    /// Length along the flow.
    pub length: Length,
}

/// Metal by kind and mass, or by its heat capacity.
#[derive(Clone, Debug, Deserialize)]
pub enum Metal {
    /// Aluminium alloy.
    Aluminium(Mass),
    /// Cast iron or steel.
    Iron(Mass),
    /// Copper.
    Copper(Mass),
    /// Anything else, by its heat capacity.
    Capacity(HeatCapacity),
}

/// The wall between flame or windings and coolant.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wall {
    /// Area that the heat goes through, of all passes together. Its metal comes on top of `metal`.
    pub area: Area,
    /// What it is made of.
    pub of: WallMetal,
    /// Thickness.
    pub thickness: Option<Length>,
    /// Conductivity, in the place of that of its metal.
    pub conductivity: Option<Conductivity>,
    /// Film between it and the coolant.
    pub film: Option<FilmCoefficient>,
    /// Flow through one pass at which that holds.
    pub at: Option<Flow>,
    /// Liquid in which it holds, with `film`; where left out water, but the coolant of its circuit where the flow is
    /// given as a mass.
    pub fluid: Option<Spanned<CoolantMix>>,
    /// Temperature of that liquid; where left out 20 °C, 90 °C of an engine, which is an assumption.
    pub fluid_temperature: Option<Temperature>,
    /// Heat flux at its hottest place over the mean.
    pub peak: Option<Number>,
    /// What boiling depends on of the surface: 0.0068 scored copper, 0.0132 steel, in water.
    pub surface: Option<Number>,
}

/// Metal of a wall.
#[derive(Clone, Copy, Debug, Deserialize)]
pub enum WallMetal {
    /// Cast aluminium alloy, 2680 kg/m³, 910 J/(kg·K).
    Aluminium,
    /// Cast iron, 7200 kg/m³, 500 J/(kg·K).
    Iron,
    /// Copper, 8930 kg/m³, 390 J/(kg·K).
    Copper,
}

/// A conductance from metal to coolant known at one flow.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Film {
    /// Conductance.
    pub conductance: Conductance,
    /// Flow at which it holds.
    pub at: Flow,
    /// Liquid in which it was measured; where left out water, but the coolant of its circuit where the flow is
    /// given as a mass.
    pub fluid: Option<Spanned<CoolantMix>>,
    /// Temperature of that liquid; where left out 20 °C, 90 °C of an engine, which is an assumption.
    pub fluid_temperature: Option<Temperature>,
}
