//! What the unit of a symbol of a law is counted in.

use coolwright_cases::quantity::{InUnit, Kind, UnitSystem};

/// The kind of a number of a law by its sign and SI unit; `None` where no kind has that unit.
pub fn kind_of(sign: &str, unit: &str) -> Option<Kind> {
    let of_unit = |kind: &&Kind| InUnit::of(**kind, UnitSystem::Si).symbol == unit;
    match unit {
        "1" => Some(Kind::Number),
        "K" if sign.starts_with('T') => Some(Kind::Temperature),
        "K" => Some(Kind::TemperatureDifference),
        "W" => Some(Kind::HeatRate),
        _ => Kind::ALL.iter().find(of_unit).copied(),
    }
}
