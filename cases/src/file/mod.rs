//! The case file as types: what a builder may write.
//!
//! A case is one [`Case`] block. Curves and parts that several cases share may stand in files of
//! their own ([`Parts`]), which a case includes.

mod air;
mod bodies;
mod called;
mod chance;
mod charge;
mod circuit;
mod duty;
mod exchangers;
mod gauges;
mod learnt;
mod liquids;
mod parts;
mod short;
mod stand;

pub use air::{
    AirFall, AirFalls, AirPath, Core, CoreMetal, CoreTubes, Cut, Fan, FanCurve, Fins, Follows,
    Lane, Piece, RatedCore, SwitchSpec, TableRow,
};
pub use bodies::{Battery, Cooler, Engine, Film, FlatTubes, Fuel, HeatRow, Metal, Wall, WallMetal};
pub use chance::{Chance, Spread, Tolerance};
pub use charge::{
    AirCooled, ChargeAir, ChargeCooler, ChargeDuct, ChargeStage, ChargeWay, Compressor,
    EfficiencyRow,
};
pub use circuit::{Circuit, CoolantMix, Junction, Run, TeeFormulas};
pub use duty::{BuiltIn, Duty, Limit, Log, Phase, Ready, Variant};
pub use exchangers::{Exchanger, LiquidSide, LiquidWay, WhichSide};
pub use gauges::{Gauge, PartEnd, Reads, Rise};
pub use learnt::Learnt;
pub use liquids::{Liquid, LiquidRow};
pub use parts::{
    BendSpec, Cap, Characteristic, DrivenBy, MeterKind, PartSpec, Polynomial, PumpCount, PumpCurve,
    Resistance, ThermostatSide, WhenStopped,
};

pub use stand::{Fit, Stand};

pub(crate) use called::{
    counted, field as field_called, field_of, form as form_of, kind as kind_called,
};

use serde::Deserialize;

use crate::quantity::{ElectricResistance, Fraction, Length, Temperature, Velocity, Voltage};
use crate::text::{Map, Spanned, TableText};

/// A whole case.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// What the case is about, in a line.
    pub title: Option<Spanned<String>>,
    /// Parts files to include, relative to the case and never above it.
    #[serde(default)]
    pub include: Vec<Spanned<String>>,
    /// The site.
    #[serde(default)]
    pub site: Site,
    /// The air around hoses, tanks and blocks; where left out no heat is counted to go there, but that which comes into a
    /// tank with ice.
    pub bay: Option<Bay>,
    /// Liquids by points over temperature, beside water and glycol: oils, dielectric coolants.
    #[serde(default)]
    pub liquids: Map<Liquid>,
    /// Coolant circuits.
    pub circuits: Map<Circuit>,
    /// Engines: heat as a share of their power, into a jacket.
    #[serde(default)]
    pub engines: Map<Engine>,
    /// What coolant cools: charge coolers, motors, inverters, batteries.
    #[serde(default)]
    pub coolers: Map<Cooler>,
    /// Exchangers in which one liquid passes heat to another.
    #[serde(default)]
    pub exchangers: Map<Exchanger>,
    /// Radiator cores.
    #[serde(default)]
    pub cores: Map<Core>,
    /// The ways of the air.
    #[serde(default)]
    pub air_paths: Map<AirPath>,
    /// The ways of charge air.
    #[serde(default)]
    pub charge_air: Map<ChargeAir>,
    /// Pump curves.
    #[serde(default)]
    pub pump_curves: Map<PumpCurve>,
    /// Fan curves.
    #[serde(default)]
    pub fan_curves: Map<FanCurve>,
    /// Electric supply.
    #[serde(default)]
    pub supply: Supply,
    /// More supplies, by name: a machine says which feeds it. One alone, without a voltage under
    /// `supply`, feeds all.
    #[serde(default)]
    pub supplies: Map<Supply>,
    /// What is read on the stand and in the vehicle.
    #[serde(default)]
    pub gauges: Map<Gauge>,
    /// What one gauge shows above another, as the rise over an engine.
    #[serde(default)]
    pub rises: Map<Rise>,
    /// What the vehicle does.
    #[serde(default)]
    pub duty: Duty,
    /// What must hold.
    #[serde(default)]
    pub limits: Map<Limit>,
    /// What must hold without being written.
    #[serde(default)]
    pub built_in: BuiltIn,
    /// Other ways to build it.
    #[serde(default)]
    pub variants: Map<Variant>,
    /// The text of the log that its duty names.
    #[serde(skip)]
    pub log_text: Option<TableText>,
    /// What is not known exactly.
    #[serde(default)]
    pub chance: Chance,
    /// What was learnt from a log: numbers that count in the place of those that the case has.
    #[serde(default)]
    pub learnt: Vec<Learnt>,
}

/// A parts file: curves, cores and liquids to be shared, and what was learnt.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Parts {
    /// Liquids by points over temperature.
    #[serde(default)]
    pub liquids: Map<Liquid>,
    /// Pump curves.
    #[serde(default)]
    pub pump_curves: Map<PumpCurve>,
    /// Fan curves.
    #[serde(default)]
    pub fan_curves: Map<FanCurve>,
    /// Radiator cores.
    #[serde(default)]
    pub cores: Map<Core>,
    /// What was learnt from a log.
    #[serde(default)]
    pub learnt: Vec<Learnt>,
}

/// The site.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Air temperature.
    pub air: Option<Temperature>,
    /// Altitude.
    pub altitude: Option<Length>,
    /// Relative humidity.
    pub humidity: Option<Fraction>,
}

/// The air around hoses, tanks and blocks.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bay {
    /// Its temperature.
    pub air: Option<Temperature>,
    /// How fast it blows along them; it rests where left out.
    pub speed: Option<Velocity>,
}

/// The electric supply of pumps and fans.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// Voltage at the pumps and fans; where it sags, with nothing drawn.
    pub voltage: Option<Voltage>,
    /// What it sags by: the resistance of battery, leads and joints up to the pumps and fans and back. Left out, it holds its
    /// voltage whatever they draw.
    pub resistance: Option<ElectricResistance>,
}
