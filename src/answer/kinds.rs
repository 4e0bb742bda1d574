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

/// Iron melts at 1811 K (from memory): beyond that no metal of a vehicle is there to be warm.
const MOLTEN_K: f64 = 1811.0;
/// Critical pressure of water, Pa (IAPWS R2-83): beyond it there is no vapour pressure.
const CRITICAL_PA: f64 = 22.064e6;
/// No site has more air over it than this, Pa, so nothing can stand further below it.
const MOST_AIR_PA: f64 = 110e3;

/// Whether a number of a kind can be at all. Models that are asked beyond what they hold for give others,
/// which are not shown.
pub fn can_be(kind: Kind, si: f64) -> bool {
    match kind {
        Kind::GaugePressure => si >= -MOST_AIR_PA,
        Kind::Temperature => (0.0..MOLTEN_K).contains(&si),
        Kind::AbsolutePressure => (0.0..CRITICAL_PA).contains(&si),
        _ => !si.is_nan(),
    }
}

/// Whether a number of a kind can be at a site: nothing stands further below its air than that is high.
pub fn can_stand(kind: Kind, si: f64, air_pa: Option<f64>) -> bool {
    let below = kind == Kind::GaugePressure && air_pa.is_some_and(|air| si < -air);
    can_be(kind, si) && !below
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
        Kind::ElectricPower => "electric_power",
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
        Kind::ElectricResistance => "electric_resistance",
        Kind::Energy => "energy",
        Kind::HeatPerMass => "heat_per_mass",
        Kind::Viscosity => "viscosity",
        Kind::KinematicViscosity => "kinematic_viscosity",
        Kind::Consumption => "consumption",
        Kind::Number => "number",
        Kind::Count => "count",
    }
}
