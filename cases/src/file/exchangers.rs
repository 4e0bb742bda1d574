//! Exchangers in which one liquid passes heat to another.

use serde::Deserialize;

use super::CoolantMix;
use super::bodies::Metal;
use crate::quantity::{
    Area, Flow, Fraction, Length, Number, Power, PressureDifference, Temperature, Volume,
};
use crate::text::Spanned;

/// An exchanger in which one liquid passes heat to another through a plate: an oil cooler in the coolant, a plate between two
/// circuits, a cooler in the water of a lake. It is known by one rated point.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exchanger {
    /// Heat at its rating, from the warmer liquid to the colder.
    pub heat: Power,
    /// Its first side at the rating. Its numbers stand at `exchangers/NAME/first:at` and so on.
    pub first: Spanned<LiquidSide>,
    /// Its second side at the rating, at `exchangers/NAME/second:at` and so on.
    pub second: Spanned<LiquidSide>,
    /// How the liquids go past each other; `CounterFlow` where left out.
    pub way: Option<LiquidWay>,
    /// Share of the heat resistance at the rating that lies in the film on the first side; where left out, as both sides have
    /// like ways for the liquid.
    pub first_share: Option<Fraction>,
    /// Share of it that lies in the plate.
    pub plate_share: Option<Fraction>,
    /// Its metal, shared by both sides.
    pub metal: Option<Metal>,
    /// Temperature of the metal at the start.
    pub start: Option<Temperature>,
    /// Its outside, that gives heat to the air of the bay; none where left out.
    pub surface: Option<Area>,
}

/// One side of an exchanger at its rating.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LiquidSide {
    /// Flow at the rating.
    pub at: Flow,
    /// Temperature of what enters at the rating.
    pub entering: Temperature,
    /// Liquid of the rating; that of its circuit where left out.
    pub fluid: Option<Spanned<CoolantMix>>,
    /// Fall of pressure at the rating.
    pub fall: Option<PressureDifference>,
    /// How the fall goes with flow; where left out, 1.8, which is an assumption.
    pub exponent: Option<Number>,
    /// Coolant in it.
    pub volume: Option<Volume>,
    /// Bore of its ports.
    pub bore: Option<Length>,
}

/// How two liquids go past each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum LiquidWay {
    /// One against the other.
    CounterFlow,
    /// Both the same way.
    ParallelFlow,
}

/// Which side of an exchanger.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum WhichSide {
    /// The first.
    First,
    /// The second.
    Second,
}
