//! The kinds of quantity that a field can ask for.

/// What a unit measures. Several kinds can share it: three kinds of pressure, two of temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "each name says it all; `name` spells it out")]
pub enum Dimension {
    Length,
    Area,
    Volume,
    Mass,
    Temperature,
    Pressure,
    VolumeFlow,
    MassFlow,
    Power,
    Speed,
    RotationalSpeed,
    Angle,
    Time,
    Fraction,
    Density,
    HeatCapacity,
    SpecificHeat,
    Conductance,
    FilmCoefficient,
    Conductivity,
    Voltage,
    Current,
    Energy,
    HeatPerMass,
    Viscosity,
    Consumption,
    None,
}

impl Dimension {
    /// Its name with an article, for messages.
    pub fn name(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Mass => "a mass",
            Self::Temperature => "a temperature",
            Self::Pressure => "a pressure",
            Self::VolumeFlow => "a volume flow",
            Self::MassFlow => "a mass flow",
            Self::Power => "a power",
            Self::Speed => "a speed",
            Self::RotationalSpeed => "a rotational speed",
            Self::Angle => "an angle",
            Self::Time => "a time",
            Self::Fraction => "a fraction",
            Self::Density => "a density",
            Self::HeatCapacity => "a heat capacity",
            Self::SpecificHeat => "a specific heat",
            Self::Conductance => "a thermal conductance",
            Self::FilmCoefficient => "a heat transfer coefficient",
            Self::Conductivity => "a thermal conductivity",
            Self::Voltage => "a voltage",
            Self::Current => "a current",
            Self::Energy => "an energy",
            Self::HeatPerMass => "a heat per mass",
            Self::Viscosity => "a viscosity",
            Self::Consumption => "a specific consumption",
            Self::None => "a plain number",
        }
    }
}

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
    /// Mechanical or electric power. SI: W.
    Power,
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
    /// Energy. SI: J.
    Energy,
    /// Heat per mass: heating value, heat of melting. SI: J/kg.
    HeatPerMass,
    /// Dynamic viscosity. SI: Pa·s.
    Viscosity,
    /// Fuel mass per energy of the engine. SI: kg/J.
    Consumption,
    /// Number without a unit, such as a loss coefficient.
    Number,
    /// How many: a positive whole number.
    Count,
}

/// What is known about a kind.
pub(super) struct About {
    pub(super) name: &'static str,
    pub(super) dimension: Dimension,
    /// Beyond these, in SI, a value is a slip of the pen and not a quantity of this kind.
    pub(super) range: (f64, f64),
    /// How to write it, for help lines.
    pub(super) examples: &'static [&'static str],
    /// Units for output: US customary, metric, SI.
    pub(super) units: [&'static str; 3],
}

const fn about(
    name: &'static str,
    dimension: Dimension,
    range: (f64, f64),
    examples: &'static [&'static str],
    units: [&'static str; 3],
) -> About {
    About { name, dimension, range, examples, units }
}

const fn up_to(most: f64) -> (f64, f64) {
    (-most, most)
}

use Dimension as D;

impl Kind {
    /// All kinds.
    pub const ALL: [Kind; 36] = [
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
        Kind::Energy,
        Kind::HeatPerMass,
        Kind::Viscosity,
        Kind::Consumption,
        Kind::Number,
        Kind::Count,
    ];

    /// Its name with an article, for messages.
    pub fn name(self) -> &'static str {
        self.about().name
    }

    /// What its units measure.
    pub fn dimension(self) -> Dimension {
        self.about().dimension
    }

    #[rustfmt::skip] // A table.
    pub(super) fn about(self) -> &'static About {
        match self {
            Self::Length => &const { about("a length", D::Length, up_to(1e7), &["32 mm", "1.5 in", "3/4 in"], ["in", "mm", "m"]) },
            Self::Distance => &const { about("a length", D::Length, up_to(1e7), &["1450 m", "4700 ft"], ["ft", "m", "m"]) },
            Self::Area => &const { about("an area", D::Area, up_to(1e6), &["0.4 m²", "600 in²"], ["in²", "cm²", "m²"]) },
            Self::Volume => &const { about("a volume", D::Volume, up_to(1e6), &["40 L", "5 gal"], ["gal", "L", "m³"]) },
            Self::Mass => &const { about("a mass", D::Mass, up_to(1e7), &["15 kg", "30 lb"], ["lb", "kg", "kg"]) },
            Self::Temperature => &const { about("a temperature", D::Temperature, (0.0, 1e4), &["90 °C", "195 °F"], ["°F", "°C", "K"]) },
            Self::TemperatureDifference => &const { about("a temperature difference", D::Temperature, up_to(1e4), &["12 °F", "6 K"], ["°F", "K", "K"]) },
            Self::PressureDifference => &const { about("a pressure difference", D::Pressure, up_to(1e9), &["90 kPa", "15 psi", "1 inH2O"], ["psi", "kPa", "Pa"]) },
            Self::AirPressureDifference => &const { about("a pressure difference", D::Pressure, up_to(1e9), &["150 Pa", "1 inH2O"], ["inH2O", "Pa", "Pa"]) },
            Self::GaugePressure => &const { about("a gauge pressure", D::Pressure, up_to(1e9), &["1.1 bar", "15 psi", "15 psig"], ["psig", "kPa gauge", "Pa gauge"]) },
            Self::AbsolutePressure => &const { about("an absolute pressure", D::Pressure, (0.0, 1e9), &["101 kPa", "29.9 inHg", "14.7 psia"], ["psia", "kPa abs", "Pa abs"]) },
            Self::VolumeFlow => &const { about("a volume flow", D::VolumeFlow, up_to(1e6), &["45 L/min", "12 gpm"], ["gpm", "L/min", "m³/s"]) },
            Self::AirFlow => &const { about("a volume flow", D::VolumeFlow, up_to(1e6), &["2000 cfm", "3400 m³/h"], ["cfm", "m³/h", "m³/s"]) },
            Self::MassFlow => &const { about("a mass flow", D::MassFlow, up_to(1e6), &["0.3 kg/s", "24 lb/min"], ["lb/min", "kg/s", "kg/s"]) },
            Self::Power => &const { about("a power", D::Power, up_to(1e10), &["350 kW", "480 hp"], ["hp", "kW", "W"]) },
            Self::HeatRate => &const { about("a heat flow", D::Power, up_to(1e10), &["350 kW", "20000 Btu/min"], ["Btu/min", "kW", "W"]) },
            Self::Speed => &const { about("a speed", D::Speed, up_to(1e4), &["100 km/h", "65 mph"], ["mph", "km/h", "m/s"]) },
            Self::Velocity => &const { about("a velocity", D::Speed, up_to(1e4), &["2 m/s", "8 ft/s"], ["ft/s", "m/s", "m/s"]) },
            Self::RotationalSpeed => &const { about("a rotational speed", D::RotationalSpeed, up_to(1e6), &["6000 rpm"], ["rpm", "rpm", "rad/s"]) },
            Self::Angle => &const { about("an angle", D::Angle, up_to(1e4), &["90°", "45 deg"], ["°", "°", "rad"]) },
            Self::Time => &const { about("a time", D::Time, up_to(1e9), &["14 s", "35 min"], ["s", "s", "s"]) },
            Self::Fraction => &const { about("a fraction", D::Fraction, up_to(10.0), &["30 %", "0.3"], ["%", "%", ""]) },
            Self::Density => &const { about("a density", D::Density, up_to(1e6), &["998 kg/m³", "62.4 lb/ft³"], ["lb/ft³", "kg/m³", "kg/m³"]) },
            Self::HeatCapacity => &const { about("a heat capacity", D::HeatCapacity, up_to(1e12), &["700 kJ/K", "370 Btu/°F"], ["Btu/°F", "kJ/K", "J/K"]) },
            Self::SpecificHeat => &const { about("a specific heat", D::SpecificHeat, up_to(1e7), &["4.18 kJ/(kg·K)", "1 Btu/(lb·°F)"], ["Btu/(lb·°F)", "kJ/(kg·K)", "J/(kg·K)"]) },
            Self::Conductance => &const { about("a thermal conductance", D::Conductance, up_to(1e10), &["800 W/K"], ["Btu/(h·°F)", "W/K", "W/K"]) },
            Self::FilmCoefficient => &const { about("a heat transfer coefficient", D::FilmCoefficient, up_to(1e9), &["120 W/(m²·K)"], ["Btu/(h·ft²·°F)", "W/(m²·K)", "W/(m²·K)"]) },
            Self::Conductivity => &const { about("a thermal conductivity", D::Conductivity, up_to(1e5), &["0.4 W/(m·K)"], ["Btu/(h·ft·°F)", "W/(m·K)", "W/(m·K)"]) },
            Self::Voltage => &const { about("a voltage", D::Voltage, up_to(1e6), &["13.8 V"], ["V", "V", "V"]) },
            Self::Current => &const { about("a current", D::Current, up_to(1e6), &["25 A"], ["A", "A", "A"]) },
            Self::Energy => &const { about("an energy", D::Energy, up_to(1e14), &["3.3 MJ", "3100 Btu"], ["Btu", "kJ", "J"]) },
            Self::HeatPerMass => &const { about("a heat per mass", D::HeatPerMass, up_to(1e12), &["333.5 kJ/kg", "18400 Btu/lb"], ["Btu/lb", "kJ/kg", "J/kg"]) },
            Self::Viscosity => &const { about("a viscosity", D::Viscosity, up_to(1e6), &["1.0 mPa·s", "1 cP"], ["cP", "mPa·s", "Pa·s"]) },
            Self::Consumption => &const { about("a specific fuel consumption", D::Consumption, up_to(1.0), &["290 g/kWh", "0.45 lb/(hp·h)"], ["lb/(hp·h)", "g/kWh", "kg/J"]) },
            Self::Number => &const { about("a plain number", D::None, up_to(1e15), &["0.9"], ["", "", ""]) },
            Self::Count => &const { about("a whole number", D::None, (1.0, 4294967295.0), &["2"], ["", "", ""]) },
        }
    }
}
