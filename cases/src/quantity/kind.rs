//! What the kinds of quantity are called, and which units they have.

use coolwright_models::kind::Kind;

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
    ElectricResistance,
    Energy,
    HeatPerMass,
    Viscosity,
    KinematicViscosity,
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
            Self::ElectricResistance => "an electric resistance",
            Self::Energy => "an energy",
            Self::HeatPerMass => "a heat per mass",
            Self::Viscosity => "a viscosity",
            Self::KinematicViscosity => "a kinematic viscosity",
            Self::Consumption => "a specific consumption",
            Self::None => "a plain number",
        }
    }
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

const fn row(
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

/// The words and the units of a kind.
pub trait InWords {
    /// Its name with an article, for messages.
    fn name(self) -> &'static str;
    /// What its units measure.
    fn dimension(self) -> Dimension;
}

impl InWords for Kind {
    fn name(self) -> &'static str {
        about(self).name
    }

    fn dimension(self) -> Dimension {
        about(self).dimension
    }
}

/// What is known about a kind.
#[rustfmt::skip] // A table.
pub(super) fn about(kind: Kind) -> &'static About {
    match kind {
        Kind::Length => &const { row("a length", D::Length, up_to(1e7), &["32 mm", "1.5 in", "3/4 in"], ["in", "mm", "m"]) },
        Kind::Distance => &const { row("a length", D::Length, up_to(1e7), &["1450 m", "4700 ft"], ["ft", "m", "m"]) },
        Kind::Area => &const { row("an area", D::Area, up_to(1e6), &["0.4 m²", "600 in²"], ["in²", "cm²", "m²"]) },
        Kind::Volume => &const { row("a volume", D::Volume, up_to(1e6), &["40 L", "5 gal"], ["gal", "L", "m³"]) },
        Kind::Mass => &const { row("a mass", D::Mass, up_to(1e7), &["15 kg", "30 lb"], ["lb", "kg", "kg"]) },
        Kind::Temperature => &const { row("a temperature", D::Temperature, (0.0, 1e4), &["90 °C", "195 °F"], ["°F", "°C", "K"]) },
        Kind::TemperatureDifference => &const { row("a temperature difference", D::Temperature, up_to(1e4), &["15 °F", "8 K"], ["°F", "K", "K"]) },
        Kind::PressureDifference => &const { row("a pressure difference", D::Pressure, up_to(1e9), &["90 kPa", "15 psi", "1 inH2O"], ["psi", "kPa", "Pa"]) },
        Kind::AirPressureDifference => &const { row("a pressure difference", D::Pressure, up_to(1e9), &["150 Pa", "1 inH2O"], ["inH2O", "Pa", "Pa"]) },
        Kind::GaugePressure => &const { row("a gauge pressure", D::Pressure, up_to(1e9), &["1.1 bar", "15 psi", "15 psig"], ["psig", "kPa gauge", "Pa gauge"]) },
        Kind::AbsolutePressure => &const { row("an absolute pressure", D::Pressure, (0.0, 1e9), &["101 kPa", "29.9 inHg", "14.7 psia"], ["psia", "kPa abs", "Pa abs"]) },
        Kind::VolumeFlow => &const { row("a volume flow", D::VolumeFlow, up_to(1e6), &["45 L/min", "12 gpm"], ["gpm", "L/min", "m³/s"]) },
        Kind::AirFlow => &const { row("a volume flow", D::VolumeFlow, up_to(1e6), &["2000 cfm", "3400 m³/h"], ["cfm", "m³/h", "m³/s"]) },
        Kind::MassFlow => &const { row("a mass flow", D::MassFlow, up_to(1e6), &["0.3 kg/s", "24 lb/min"], ["lb/min", "kg/s", "kg/s"]) },
        Kind::Power => &const { row("a power", D::Power, up_to(1e10), &["350 kW", "480 hp"], ["hp", "kW", "W"]) },
        Kind::ElectricPower => &const { row("an electric power", D::Power, up_to(1e10), &["120 W", "1.5 kW"], ["W", "kW", "W"]) },
        Kind::HeatRate => &const { row("a heat flow", D::Power, up_to(1e10), &["350 kW", "20000 Btu/min"], ["Btu/min", "kW", "W"]) },
        Kind::Speed => &const { row("a speed", D::Speed, up_to(1e4), &["100 km/h", "65 mph"], ["mph", "km/h", "m/s"]) },
        Kind::Velocity => &const { row("a velocity", D::Speed, up_to(1e4), &["2 m/s", "8 ft/s"], ["ft/s", "m/s", "m/s"]) },
        Kind::RotationalSpeed => &const { row("a rotational speed", D::RotationalSpeed, up_to(1e6), &["6000 rpm"], ["rpm", "rpm", "rad/s"]) },
        Kind::Angle => &const { row("an angle", D::Angle, up_to(1e4), &["90°", "45 deg"], ["°", "°", "rad"]) },
        Kind::Time => &const { row("a time", D::Time, up_to(1e9), &["14 s", "35 min"], ["s", "s", "s"]) },
        Kind::Fraction => &const { row("a fraction", D::Fraction, up_to(10.0), &["30 %", "0.3"], ["%", "%", ""]) },
        Kind::Density => &const { row("a density", D::Density, up_to(1e6), &["998 kg/m³", "62.4 lb/ft³"], ["lb/ft³", "kg/m³", "kg/m³"]) },
        Kind::HeatCapacity => &const { row("a heat capacity", D::HeatCapacity, up_to(1e12), &["700 kJ/K", "370 Btu/°F"], ["Btu/°F", "kJ/K", "J/K"]) },
        Kind::SpecificHeat => &const { row("a specific heat", D::SpecificHeat, up_to(1e7), &["4.18 kJ/(kg·K)", "1 Btu/(lb·°F)"], ["Btu/(lb·°F)", "kJ/(kg·K)", "J/(kg·K)"]) },
        Kind::Conductance => &const { row("a thermal conductance", D::Conductance, up_to(1e10), &["800 W/K", "25 Btu/(min·°F)"], ["Btu/(min·°F)", "W/K", "W/K"]) },
        Kind::FilmCoefficient => &const { row("a heat transfer coefficient", D::FilmCoefficient, up_to(1e9), &["120 W/(m²·K)", "20 Btu/(h·ft²·°F)"], ["Btu/(h·ft²·°F)", "W/(m²·K)", "W/(m²·K)"]) },
        Kind::Conductivity => &const { row("a thermal conductivity", D::Conductivity, up_to(1e5), &["0.4 W/(m·K)", "0.23 Btu/(h·ft·°F)"], ["Btu/(h·ft·°F)", "W/(m·K)", "W/(m·K)"]) },
        Kind::Voltage => &const { row("a voltage", D::Voltage, up_to(1e6), &["13.8 V"], ["V", "V", "V"]) },
        Kind::Current => &const { row("a current", D::Current, up_to(1e6), &["25 A"], ["A", "A", "A"]) },
        Kind::ElectricResistance => &const { row("an electric resistance", D::ElectricResistance, up_to(1e6), &["15 mΩ", "0.015 ohm"], ["mΩ", "mΩ", "Ω"]) },
        Kind::Energy => &const { row("an energy", D::Energy, up_to(1e14), &["3.3 MJ", "3100 Btu"], ["Btu", "kJ", "J"]) },
        Kind::HeatPerMass => &const { row("a heat per mass", D::HeatPerMass, up_to(1e12), &["333.5 kJ/kg", "18400 Btu/lb"], ["Btu/lb", "kJ/kg", "J/kg"]) },
        Kind::Viscosity => &const { row("a viscosity", D::Viscosity, up_to(1e6), &["1 cP", "1.0 mPa·s"], ["cP", "mPa·s", "Pa·s"]) },
        Kind::KinematicViscosity => &const { row("a kinematic viscosity", D::KinematicViscosity, up_to(1e3), &["12 cSt", "12 mm²/s"], ["cSt", "mm²/s", "m²/s"]) },
        Kind::Consumption => &const { row("a specific fuel consumption", D::Consumption, up_to(1.0), &["290 g/kWh", "0.45 lb/(hp·h)"], ["lb/(hp·h)", "g/kWh", "kg/J"]) },
        Kind::Number => &const { row("a plain number", D::None, up_to(1e15), &["0.9"], ["", "", ""]) },
        Kind::Count => &const { row("a whole number", D::None, (1.0, 4294967295.0), &["2"], ["", "", ""]) },
    }
}
