//! Charge air: what an engine breathes, on its way to the manifold.

use serde::Deserialize;

use super::air::AirFall;
use crate::quantity::{
    AbsolutePressure, Conductance, Flow, Fraction, MassFlow, Number, Power, Temperature,
    flow_of_air, some_flow_of_air,
};
use crate::text::{Map, Spanned};

/// The air that an engine breathes, from the air of the site to its manifold.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChargeAir {
    /// Flow at full power; a volume is counted in the air of the site. It goes with the share of full power.
    #[serde(deserialize_with = "flow_of_air")]
    pub flow: Flow,
    /// What it goes through, one after the other.
    pub stages: Map<ChargeStage>,
}

/// One stage on the way of charge air.
#[derive(Debug, Deserialize)]
pub enum ChargeStage {
    /// A filter, a pipe, a throttle body.
    Duct(ChargeDuct),
    /// A compressor.
    Compressor(Compressor),
    /// A charge cooler with coolant, from `coolers`.
    ChargeCooler(Box<ChargeCooler>),
    /// A charge cooler in the wind, cooled by the air of the site.
    AirCooled(AirCooled),
}

/// A filter, a pipe, a throttle body.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChargeDuct {
    /// Fall of pressure; none where left out.
    pub fall: Option<AirFall>,
    /// Conductance between the air in it and the air around it, which is as warm as that of the site; none
    /// where left out.
    pub soak: Option<Conductance>,
}

/// A compressor.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Compressor {
    /// Pressure behind it over pressure in front of it, at full boost.
    pub ratio: Number,
    /// Isentropic efficiency.
    pub efficiency: Option<Fraction>,
    /// Isentropic efficiency over corrected flow and pressure ratio, in its place: each of its flows at each of its ratios.
    pub map: Option<Spanned<Vec<EfficiencyRow>>>,
    /// Temperature in front of the compressor that the flows of its map are counted at.
    pub map_air: Option<Temperature>,
    /// Pressure in front of it that they are counted at.
    pub map_pressure: Option<AbsolutePressure>,
}

/// One point of the map of a compressor.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename = "Point", deny_unknown_fields)]
pub struct EfficiencyRow {
    /// Corrected mass flow.
    pub flow: MassFlow,
    /// Pressure ratio.
    pub ratio: Number,
    /// Isentropic efficiency there.
    pub efficiency: Fraction,
}

/// The charge side of a cooler.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChargeCooler {
    /// The cooler, by its name under `coolers`. All heat that it gets is what the charge air gives.
    pub cooler: Spanned<String>,
    /// Fall of the air's temperature over its inlet temperature less that of the coolant, at the rating.
    pub effectiveness: Option<Fraction>,
    /// Heat that the air gives at the rating, with `air_in`, in the place of `effectiveness`.
    pub heat: Option<Power>,
    /// Temperature of the air that enters at the rating, with `heat`.
    pub air_in: Option<Temperature>,
    /// Air flow of the rating; the flow at full power where left out.
    #[serde(default, deserialize_with = "some_flow_of_air")]
    pub at: Option<Flow>,
    /// Coolant flow of the rating, through the whole cooler.
    pub coolant: Option<Flow>,
    /// Coolant temperature of the rating.
    pub coolant_in: Option<Temperature>,
    /// Share of the heat resistance at the rating that lies in the coolant film; the cooler's own film, where
    /// that is told by `film`, `film_factor` or `tubes`, takes its place.
    pub coolant_share: Option<Fraction>,
    /// How the conductance of the air side goes with the flow of air.
    pub air_exponent: Option<Number>,
    /// How the air goes through the passes: `SideBySide`, which counts where left out, or in turn.
    pub way: Option<ChargeWay>,
    /// Fall of the air's pressure.
    pub fall: Option<AirFall>,
}

/// How charge air goes through the passes of a cooler.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum ChargeWay {
    /// Each pass cools its share of the air.
    SideBySide,
    /// All of the air through pass 1, then through the next, to the last.
    FirstToLast,
    /// All of the air through the last pass first, to pass 1.
    LastToFirst,
}

/// A charge cooler in the wind.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AirCooled {
    /// Fall of the charge air's temperature over its inlet temperature less that of the site's air, as it
    /// stands in the wind that it gets.
    pub effectiveness: Fraction,
    /// Fall of the charge air's pressure.
    pub fall: Option<AirFall>,
}
