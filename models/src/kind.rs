//! The kinds of number that there are: what a field of a case asks for and what a result is.
//!
//! The kind of a number decides its units, which are no matter of this crate: here all is SI.

/// A kind of quantity: what a field asks for, and how values of it are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Length of a part, bore, thickness. SI: m.
    Length,
    /// Long length: altitude, route. SI: m.
    Distance,
    /// Area. SI: m².
    Area,
    /// Volume. SI: m³.
    Volume,
    /// Mass. SI: kg.
    Mass,
    /// Temperature on the absolute scale. SI: K.
    Temperature,
    /// Difference of two temperatures. SI: K.
    TemperatureDifference,
    /// Difference of two pressures, in a liquid. SI: Pa.
    PressureDifference,
    /// Difference of two pressures in air, a few hundred pascal. SI: Pa.
    AirPressureDifference,
    /// Pressure above the surrounding air. SI: Pa.
    GaugePressure,
    /// Pressure above vacuum. SI: Pa.
    AbsolutePressure,
    /// Volume flow of a liquid. SI: m³/s.
    VolumeFlow,
    /// Volume flow of air. SI: m³/s.
    AirFlow,
    /// Mass flow. SI: kg/s.
    MassFlow,
    /// Mechanical power, or power of any form. SI: W.
    Power,
    /// Electric power. SI: W.
    ElectricPower,
    /// Flow of heat. SI: W.
    HeatRate,
    /// Speed of a vehicle. SI: m/s.
    Speed,
    /// Velocity of a fluid. SI: m/s.
    Velocity,
    /// Rotational speed. SI: rad/s.
    RotationalSpeed,
    /// Angle. SI: rad.
    Angle,
    /// Time. SI: s.
    Time,
    /// Part of a whole; written in percent or as a number. SI: 1.
    Fraction,
    /// Density. SI: kg/m³.
    Density,
    /// Heat capacity of a whole body. SI: J/K.
    HeatCapacity,
    /// Heat capacity per mass. SI: J/(kg·K).
    SpecificHeat,
    /// Thermal conductance, UA. SI: W/K.
    Conductance,
    /// Heat transfer coefficient of a surface. SI: W/(m²·K).
    FilmCoefficient,
    /// Thermal conductivity. SI: W/(m·K).
    Conductivity,
    /// Voltage. SI: V.
    Voltage,
    /// Electric current. SI: A.
    Current,
    /// Electric resistance. SI: Ω.
    ElectricResistance,
    /// Energy. SI: J.
    Energy,
    /// Heat per mass: heating value, heat of melting. SI: J/kg.
    HeatPerMass,
    /// Dynamic viscosity. SI: Pa·s.
    Viscosity,
    /// Kinematic viscosity. SI: m²/s.
    KinematicViscosity,
    /// Fuel mass per energy of the engine. SI: kg/J.
    Consumption,
    /// Number without a unit, such as a loss coefficient.
    Number,
    /// How many: a positive whole number.
    Count,
}

impl Kind {
    /// All kinds.
    pub const ALL: [Kind; 39] = [
        Kind::Length,
        Kind::Distance,
        Kind::Area,
        Kind::Volume,
        Kind::Mass,
        Kind::Temperature,
        Kind::TemperatureDifference,
        Kind::PressureDifference,
        Kind::AirPressureDifference,
        Kind::GaugePressure,
        Kind::AbsolutePressure,
        Kind::VolumeFlow,
        Kind::AirFlow,
        Kind::MassFlow,
        Kind::Power,
        Kind::ElectricPower,
        Kind::HeatRate,
        Kind::Speed,
        Kind::Velocity,
        Kind::RotationalSpeed,
        Kind::Angle,
        Kind::Time,
        Kind::Fraction,
        Kind::Density,
        Kind::HeatCapacity,
        Kind::SpecificHeat,
        Kind::Conductance,
        Kind::FilmCoefficient,
        Kind::Conductivity,
        Kind::Voltage,
        Kind::Current,
        Kind::ElectricResistance,
        Kind::Energy,
        Kind::HeatPerMass,
        Kind::Viscosity,
        Kind::KinematicViscosity,
        Kind::Consumption,
        Kind::Number,
        Kind::Count,
    ];
}
