//! Words for kinds of numbers, for programs.

use coolwright_cases::quantity::Kind;

/// The kind of a difference of two values of a kind.
pub fn difference(kind: Kind) -> Kind {
    match kind {
        Kind::Temperature => Kind::TemperatureDifference,
        Kind::GaugePressure | Kind::AbsolutePressure => Kind::PressureDifference,
        other => other,
    }
}

/// The name of a kind in answers for programs.
pub fn word(kind: Kind) -> &'static str {
    match kind {
        Kind::Length => "length",
        Kind::Distance => "distance",
        Kind::Area => "area",
        Kind::Volume => "volume",
        Kind::Mass => "mass",
        Kind::Temperature => "temperature",
        Kind::TemperatureDifference => "temperature_difference",
        Kind::PressureDifference => "pressure_difference",
        Kind::AirPressureDifference => "air_pressure_difference",
        Kind::GaugePressure => "gauge_pressure",
        Kind::AbsolutePressure => "absolute_pressure",
        Kind::VolumeFlow => "volume_flow",
        Kind::AirFlow => "air_flow",
        Kind::MassFlow => "mass_flow",
        Kind::Power => "power",
        Kind::HeatRate => "heat_rate",
        Kind::Speed => "speed",
        Kind::Velocity => "velocity",
        Kind::RotationalSpeed => "rotational_speed",
        Kind::Angle => "angle",
        Kind::Time => "time",
        Kind::Fraction => "fraction",
        Kind::Density => "density",
        Kind::HeatCapacity => "heat_capacity",
        Kind::SpecificHeat => "specific_heat",
        Kind::Conductance => "conductance",
        Kind::FilmCoefficient => "film_coefficient",
        Kind::Conductivity => "conductivity",
        Kind::Voltage => "voltage",
        Kind::Current => "current",
        Kind::Energy => "energy",
        Kind::HeatPerMass => "heat_per_mass",
        Kind::Viscosity => "viscosity",
        Kind::Consumption => "consumption",
        Kind::Number => "number",
        Kind::Count => "count",
    }
}
