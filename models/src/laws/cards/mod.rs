//! The cards of all laws in use, by subject. The tests make `models/NOMENCLATURE.md` from them.

pub mod boiling;
pub mod charge;
pub mod core;
pub mod film;
pub mod fins;
pub mod fittings;
pub mod fluids;
pub mod friction;
pub mod pump;
pub mod restriction;
pub mod sheath;
pub mod skin;
pub mod supply;
pub mod tank;
pub mod tee;
pub mod two_liquids;

use super::card::{Card, Outside, Range, Spread, Step, Symbol, common, step, sym, within};

/// A range outside of which another law takes over, or the formula is rounded into one.
const fn other_law(of: &'static str, least: f64, most: f64) -> Range {
    Range { of, least, most, outside: Outside::OtherLaw }
}

/// All cards, by subject.
pub static ALL: &[&Card] = &[
    &friction::ROUND,
    &friction::FLAT,
    &friction::HEIGHT,
    &fittings::BEND,
    &fittings::EXPANSION_LOSS,
    &fittings::CONTRACTION_LOSS,
    &fittings::CONE_WIDENING_LOSS,
    &fittings::CONE_NARROWING_LOSS,
    &fittings::VESSEL,
    &fittings::BARB_LOSS,
    &fittings::RATED,
    &fittings::CHECK_VALVE_OPEN,
    &fittings::CHECK_VALVE_SHUT,
    &restriction::ORIFICE_LOSS,
    &restriction::VALVE_LINEAR,
    &restriction::VALVE_EQUAL_PERCENTAGE,
    &tee::UNIFIED_DIVIDING,
    &tee::UNIFIED_JOINING,
    &tee::UNIFIED_OPPOSED,
    &tee::UNIFIED_SPLITTING,
    &tee::GARDEL_DIVIDING,
    &tee::GARDEL_JOINING,
    &tee::TP410_DIVIDING,
    &tee::TP410_JOINING,
    &tee::PLAIN,
    &pump::CURVE_RISE,
    &pump::LABEL_RISE,
    &pump::POWER,
    &pump::VISCOUS,
    &pump::ELECTRIC,
    &pump::CURRENT_LIMIT,
    &pump::ENGINE,
    &supply::SAG,
    &pump::SUCTION,
    &pump::SUCTION_REQUIRED,
    &fittings::STOPPED_PUMP,
    &film::LAMINAR_ROUND,
    &film::LAMINAR_FLAT,
    &film::TRANSITION,
    &film::TURBULENT,
    &film::RATED_FILM,
    &fins::WALL_VISCOSITY,
    &sheath::SHEATH,
    &skin::THROUGH,
    &skin::RISING_ROUND,
    &skin::RISING_WALL,
    &skin::BLOWN_ROUND,
    &skin::BLOWN_WALL,
    &boiling::WALL,
    &boiling::NUCLEATE,
    &boiling::ONSET,
    &boiling::CRITICAL,
    &two_liquids::RATING,
    &core::RATING,
    &core::FILM,
    &core::AIR_SIDE,
    &core::TABLE,
    &core::EXCHANGE,
    &core::AIR_FALL_OF_CORE,
    &core::FALL_TABLE,
    &fins::LOUVRED_HEAT,
    &fins::PLAIN_HEAT,
    &fins::TUBE_WALL,
    &fins::TWO_ROWS,
    &fins::THREE_ROWS,
    &fins::FOUR_ROWS,
    &fins::FINS_FALL,
    &fins::LOUVRED_SLOW,
    &fins::LOUVRED_FIRST,
    &fins::LOUVRED_BETWEEN,
    &fins::LOUVRED_SECOND,
    &fins::PLAIN_FRICTION,
    &core::DUCTS,
    &core::FAN,
    &core::STOPPED_FAN,
    &core::FAN_POWER,
    &core::FAN_WARMS,
    &charge::COMPRESSOR,
    &charge::RATING,
    &charge::AIR_SIDE,
    &charge::CELL,
    &charge::CONDENSING,
    &charge::SOAK,
    &charge::AIR_COOLED,
    &charge::FALL,
    &tank::CUSHION,
    &fluids::AIR,
    &fluids::HUMIDITY,
    &fluids::ATMOSPHERE,
    &fluids::WATER,
    &fluids::GLYCOL,
    &fluids::TABLE,
    &fluids::TABLE_VISCOSITY,
];
