//! The one table of units: how they are written, what they measure, and one factor for each.
//!
//! The factors are built from the exact definitions of inch, pound, US gallon, standard gravity
//! and International Table Btu. They are checked in the tests against NIST Special Publication
//! 811 (2008), Appendix B.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::kind::Dimension;
use super::show::UnitSystem;

/// A unit of measure: `si = (number + zero) · factor`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// How it is written in the output.
    pub symbol: &'static str,
    /// Other ways in which people write it.
    pub aliases: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// Size in SI units.
    pub factor: f64,
    /// What to add to a number before the factor: only temperatures on a scale need it.
    pub zero: f64,
    /// Whether letter case does not matter (`GPM`). Never where a prefix could be mistaken.
    any_case: bool,
}

impl Unit {
    /// The SI value of a number of this unit; for temperatures, of a point on the scale.
    pub fn to_si(&self, number: f64) -> f64 {
        (number + self.zero) * self.factor
    }

    /// Whether readers of a system use it: US customary or metric units, or one of both. SI is for any.
    pub fn belongs_to(&self, system: UnitSystem) -> bool {
        let of_both = matches!(
            self.dimension,
            D::RotationalSpeed
                | D::Angle
                | D::Time
                | D::Fraction
                | D::Voltage
                | D::Current
                | D::ElectricResistance
        ) || matches!(self.symbol, "atm" | "cP");
        match system {
            UnitSystem::Si => true,
            UnitSystem::Us => of_both || self.is_us(),
            UnitSystem::Metric => of_both || !self.is_us(),
        }
    }

    fn is_us(&self) -> bool {
        const US: [&str; 18] = [
            "in", "ft", "yd", "mi", "gal", "qt", "pt", "oz", "lb", "°F", "psi", "inH2O", "ftH2O",
            "inHg", "gpm", "gph", "cfm", "mph",
        ];
        let word = |word: &str| US.contains(&word) || word == "hp" || word == "Btu";
        let words = self.symbol.split(|c: char| " /·()²³".contains(c));
        words.into_iter().any(word)
    }

    /// The number of this unit for an SI value; for temperatures, of a point on the scale.
    pub fn from_si(&self, si: f64) -> f64 {
        si / self.factor - self.zero
    }
}

/// The units by how they are written: as they stand, without brackets and raised digits, and of those that
/// people write in capitals also without regard to letter case. Of two units that are written alike the
/// first of the table counts.
struct Names {
    exact: BTreeMap<&'static str, &'static Unit>,
    compact: BTreeMap<String, &'static Unit>,
    folded: BTreeMap<String, &'static Unit>,
}

/// The names of all units, which every number that is read or shown looks up.
static NAMES: LazyLock<Names> = LazyLock::new(|| {
    let (mut exact, mut compact, mut folded) = (BTreeMap::new(), BTreeMap::new(), BTreeMap::new());
    for unit in UNITS {
        for name in std::iter::once(&unit.symbol).chain(unit.aliases) {
            exact.entry(*name).or_insert(unit);
            let plain = name.replace(['(', ')', '·'], "").replace('²', "2").replace('³', "3");
            if unit.any_case {
                folded.entry(plain.to_ascii_lowercase()).or_insert(unit);
            }
            compact.entry(plain).or_insert(unit);
        }
    }
    Names { exact, compact, folded }
});

/// The unit of a name, which may be an alias. The name is compared as it stands, or without
/// regard to letter case where that cannot be mistaken.
pub fn find(name: &str) -> Option<&'static Unit> {
    let Names { exact, compact, folded } = &*NAMES;
    let plain = exact.get(name).or_else(|| compact.get(name));
    plain.or_else(|| folded.get(&name.to_ascii_lowercase())).copied()
}

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.45359237;
const GALLON: f64 = 231.0 * INCH * INCH * INCH;
const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;
/// m/s², the standard acceleration of free fall.
const GRAVITY: f64 = 9.80665;
const POUND_FORCE: f64 = POUND * GRAVITY;
const PSI: f64 = POUND_FORCE / (INCH * INCH);
const HORSEPOWER: f64 = 550.0 * FOOT * POUND_FORCE;
/// International Table Btu, by its definition 1 Btu/lb = 2326 J/kg.
const BTU: f64 = 2326.0 * POUND;
/// One degree Fahrenheit in kelvin.
const DEGREE_F: f64 = 5.0 / 9.0;
const HOUR: f64 = 3600.0;
const TURN: f64 = std::f64::consts::TAU;
/// Conventional densities behind columns of liquid: water 1000 kg/m³, mercury 13595.1 kg/m³.
const WATER_COLUMN: f64 = 1000.0 * GRAVITY;
const MERCURY_COLUMN: f64 = 13595.1 * GRAVITY;

const fn unit(
    symbol: &'static str,
    aliases: &'static [&'static str],
    dimension: Dimension,
    factor: f64,
) -> Unit {
    Unit { symbol, aliases, dimension, factor, zero: 0.0, any_case: false }
}

/// A unit that people also write in capitals.
const fn loud(
    symbol: &'static str,
    aliases: &'static [&'static str],
    dimension: Dimension,
    factor: f64,
) -> Unit {
    Unit { any_case: true, ..unit(symbol, aliases, dimension, factor) }
}

const fn scale(
    symbol: &'static str,
    aliases: &'static [&'static str],
    factor: f64,
    zero: f64,
) -> Unit {
    Unit { zero, ..unit(symbol, aliases, Dimension::Temperature, factor) }
}

use Dimension as D;

/// Every unit that a quantity can be written in.
pub static UNITS: &[Unit] = &[
    unit("m", &["meter", "metre", "meters", "metres"], D::Length, 1.0),
    unit("mm", &[], D::Length, 1e-3),
    unit("cm", &[], D::Length, 1e-2),
    unit("km", &[], D::Length, 1e3),
    unit("µm", &["um", "μm"], D::Length, 1e-6),
    loud("in", &["in.", "inch", "inches", "\"", "″", "''"], D::Length, INCH),
    loud("ft", &["ft.", "foot", "feet", "'", "′"], D::Length, FOOT),
    loud("yd", &["yard", "yards"], D::Length, 3.0 * FOOT),
    loud("mi", &["mile", "miles"], D::Length, 5280.0 * FOOT),
    unit("m²", &["sqm"], D::Area, 1.0),
    unit("cm²", &[], D::Area, 1e-4),
    unit("mm²", &[], D::Area, 1e-6),
    loud("in²", &["sqin", "sq in"], D::Area, INCH * INCH),
    loud("ft²", &["sqft", "sq ft"], D::Area, FOOT * FOOT),
    unit("m³", &[], D::Volume, 1.0),
    unit("L", &["l", "liter", "litre", "liters", "litres", "dm3"], D::Volume, 1e-3),
    unit("mL", &["ml", "cm3", "cc"], D::Volume, 1e-6),
    loud("gal", &["gallon", "gallons", "US gal", "gal US"], D::Volume, GALLON),
    loud("qt", &["quart", "quarts"], D::Volume, GALLON / 4.0),
    loud("pt", &["pint", "pints"], D::Volume, GALLON / 8.0),
    loud("fl oz", &["floz"], D::Volume, GALLON / 128.0),
    loud("ft³", &["cuft", "cu ft"], D::Volume, CUBIC_FOOT),
    loud("in³", &["cuin", "cu in"], D::Volume, INCH * INCH * INCH),
    unit("kg", &[], D::Mass, 1.0),
    unit("g", &[], D::Mass, 1e-3),
    unit("t", &["tonne", "tonnes"], D::Mass, 1e3),
    loud("lb", &["lbs", "lbm", "pound", "pounds"], D::Mass, POUND),
    loud("oz", &["ounce", "ounces"], D::Mass, POUND / 16.0),
    scale("K", &["kelvin"], 1.0, 0.0),
    scale("°C", &["degC", "C", "deg C", "℃", "celsius"], 1.0, 273.15),
    scale("°F", &["degF", "F", "deg F", "℉", "fahrenheit"], DEGREE_F, 459.67),
    unit("Pa", &[], D::Pressure, 1.0),
    unit("hPa", &[], D::Pressure, 100.0),
    unit("kPa", &["KPa", "kpa"], D::Pressure, 1e3),
    unit("MPa", &[], D::Pressure, 1e6),
    unit("bar", &["Bar", "BAR"], D::Pressure, 1e5),
    unit("mbar", &[], D::Pressure, 100.0),
    unit("atm", &[], D::Pressure, 101325.0),
    loud("psi", &["lbf/in2"], D::Pressure, PSI),
    loud(
        "inH2O",
        &[
            "in H2O",
            "inWC",
            "inwg",
            "in WC",
            "in wg",
            "in w.c.",
            "in water",
            "in of water",
            "inches of water",
        ],
        D::Pressure,
        WATER_COLUMN * INCH,
    ),
    loud(
        "ftH2O",
        &["ft H2O", "ftWC", "ft WC", "ft water", "ft of water", "feet of water"],
        D::Pressure,
        WATER_COLUMN * FOOT,
    ),
    unit("mmH2O", &["mm H2O"], D::Pressure, WATER_COLUMN * 1e-3),
    unit("mH2O", &["m H2O"], D::Pressure, WATER_COLUMN),
    loud("inHg", &["in Hg"], D::Pressure, MERCURY_COLUMN * INCH),
    unit("mmHg", &["mm Hg"], D::Pressure, MERCURY_COLUMN * 1e-3),
    unit("m³/s", &[], D::VolumeFlow, 1.0),
    unit("m³/min", &[], D::VolumeFlow, 1.0 / 60.0),
    unit("m³/h", &["m³/hr", "cmh", "CMH"], D::VolumeFlow, 1.0 / HOUR),
    unit("L/s", &["l/s", "lps"], D::VolumeFlow, 1e-3),
    unit("L/min", &["l/min", "lpm", "LPM"], D::VolumeFlow, 1e-3 / 60.0),
    unit("L/h", &["l/h", "lph", "LPH", "L/hr", "l/hr"], D::VolumeFlow, 1e-3 / HOUR),
    loud("gpm", &["gal/min", "usgpm", "US gpm"], D::VolumeFlow, GALLON / 60.0),
    loud("gph", &["gal/h", "gal/hr"], D::VolumeFlow, GALLON / HOUR),
    loud("cfm", &["ft³/min", "cu ft/min"], D::VolumeFlow, CUBIC_FOOT / 60.0),
    loud("ft³/s", &["cfs"], D::VolumeFlow, CUBIC_FOOT),
    unit("kg/s", &[], D::MassFlow, 1.0),
    unit("g/s", &[], D::MassFlow, 1e-3),
    unit("kg/min", &[], D::MassFlow, 1.0 / 60.0),
    unit("kg/h", &["kg/hr"], D::MassFlow, 1.0 / HOUR),
    loud("lb/s", &["lbs/s", "lbm/s"], D::MassFlow, POUND),
    loud("lb/min", &["lbs/min", "lbm/min"], D::MassFlow, POUND / 60.0),
    loud("lb/h", &["lb/hr", "lbs/h", "lbs/hr", "lbm/h"], D::MassFlow, POUND / HOUR),
    unit("W", &[], D::Power, 1.0),
    unit("mW", &[], D::Power, 1e-3),
    unit("kW", &["KW"], D::Power, 1e3),
    unit("MW", &[], D::Power, 1e6),
    loud("hp", &["bhp", "whp", "horsepower"], D::Power, HORSEPOWER),
    loud("Btu/min", &[], D::Power, BTU / 60.0),
    loud("Btu/h", &["Btu/hr", "Btuh"], D::Power, BTU / HOUR),
    loud("Btu/s", &[], D::Power, BTU),
    unit("m/s", &[], D::Speed, 1.0),
    loud("km/h", &["kph", "kmh", "km/hr"], D::Speed, 1.0 / 3.6),
    loud("mph", &["mi/h"], D::Speed, 5280.0 * FOOT / HOUR),
    loud("ft/s", &["fps"], D::Speed, FOOT),
    loud("ft/min", &["fpm"], D::Speed, FOOT / 60.0),
    unit("rad/s", &[], D::RotationalSpeed, 1.0),
    loud("rpm", &["1/min", "rev/min", "r/min"], D::RotationalSpeed, TURN / 60.0),
    unit("rev/s", &["r/s"], D::RotationalSpeed, TURN),
    unit("rad", &[], D::Angle, 1.0),
    unit("°", &["deg", "degree", "degrees"], D::Angle, TURN / 360.0),
    unit("s", &["sec", "second", "seconds"], D::Time, 1.0),
    unit("ms", &[], D::Time, 1e-3),
    unit("min", &["minute", "minutes"], D::Time, 60.0),
    unit("h", &["hr", "hour", "hours"], D::Time, HOUR),
    unit("%", &["percent"], D::Fraction, 0.01),
    unit("kg/m³", &[], D::Density, 1.0),
    unit("g/cm³", &["kg/L", "kg/l", "g/mL", "g/ml", "g/cc"], D::Density, 1e3),
    unit("g/L", &["g/l"], D::Density, 1.0),
    loud("lb/ft³", &["lb/cuft"], D::Density, POUND / CUBIC_FOOT),
    loud("lb/gal", &[], D::Density, POUND / GALLON),
    loud("lb/in³", &[], D::Density, POUND / (INCH * INCH * INCH)),
    unit("J/K", &["J/°C", "J/degC"], D::HeatCapacity, 1.0),
    unit("kJ/K", &["kJ/°C", "kJ/degC"], D::HeatCapacity, 1e3),
    unit("MJ/K", &[], D::HeatCapacity, 1e6),
    loud("Btu/°F", &["Btu/F", "Btu/degF"], D::HeatCapacity, BTU / DEGREE_F),
    unit("J/(kg·K)", &["J/kg/K", "J/kg°C"], D::SpecificHeat, 1.0),
    unit("kJ/(kg·K)", &["kJ/kg/K", "kJ/kg°C", "J/gK"], D::SpecificHeat, 1e3),
    loud(
        "Btu/(lb·°F)",
        &["Btu/lb/°F", "Btu/lbF", "Btu/lb/F", "Btu/lbdegF"],
        D::SpecificHeat,
        BTU / POUND / DEGREE_F,
    ),
    unit("W/K", &["W/°C"], D::Conductance, 1.0),
    unit("kW/K", &["kW/°C"], D::Conductance, 1e3),
    loud(
        "Btu/(h·°F)",
        &["Btu/h/°F", "Btu/hF", "Btu/hr°F", "Btu/hrF"],
        D::Conductance,
        BTU / HOUR / DEGREE_F,
    ),
    loud(
        "Btu/(min·°F)",
        &["Btu/min/°F", "Btu/minF", "Btu/min°F"],
        D::Conductance,
        BTU / 60.0 / DEGREE_F,
    ),
    unit("W/(m²·K)", &["W/m2/K", "W/m2°C"], D::FilmCoefficient, 1.0),
    unit("kW/(m²·K)", &["kW/m2/K"], D::FilmCoefficient, 1e3),
    loud(
        "Btu/(h·ft²·°F)",
        &["Btu/h/ft2/°F", "Btu/hft2F", "Btu/hrft2°F", "Btu/hrft2F"],
        D::FilmCoefficient,
        BTU / HOUR / (FOOT * FOOT) / DEGREE_F,
    ),
    unit("W/(m·K)", &["W/m/K", "W/m°C"], D::Conductivity, 1.0),
    loud(
        "Btu/(h·ft·°F)",
        &["Btu/h/ft/°F", "Btu/hftF", "Btu/hrft°F", "Btu/hrftF"],
        D::Conductivity,
        BTU / HOUR / FOOT / DEGREE_F,
    ),
    unit("V", &["volt", "volts"], D::Voltage, 1.0),
    unit("mV", &[], D::Voltage, 1e-3),
    unit("kV", &[], D::Voltage, 1e3),
    unit("A", &["amp", "amps"], D::Current, 1.0),
    unit("mA", &[], D::Current, 1e-3),
    unit("Ω", &["ohm", "ohms"], D::ElectricResistance, 1.0),
    unit("mΩ", &["mohm", "mohms", "milliohm", "milliohms"], D::ElectricResistance, 1e-3),
    unit("J", &[], D::Energy, 1.0),
    unit("kJ", &[], D::Energy, 1e3),
    unit("MJ", &[], D::Energy, 1e6),
    unit("Wh", &[], D::Energy, HOUR),
    unit("kWh", &[], D::Energy, 1e3 * HOUR),
    loud("Btu", &[], D::Energy, BTU),
    unit("J/kg", &[], D::HeatPerMass, 1.0),
    unit("kJ/kg", &["J/g"], D::HeatPerMass, 1e3),
    unit("MJ/kg", &["kJ/g"], D::HeatPerMass, 1e6),
    loud("Btu/lb", &["Btu/lbm"], D::HeatPerMass, BTU / POUND),
    unit("Pa·s", &["Pas"], D::Viscosity, 1.0),
    unit("mPa·s", &["mPas"], D::Viscosity, 1e-3),
    loud("cP", &[], D::Viscosity, 1e-3),
    unit("m²/s", &[], D::KinematicViscosity, 1.0),
    unit("mm²/s", &[], D::KinematicViscosity, 1e-6),
    loud("cSt", &["centistokes"], D::KinematicViscosity, 1e-6),
    unit("g/kWh", &["g/kW-h"], D::Consumption, 1e-3 / (1e3 * HOUR)),
    unit("kg/J", &[], D::Consumption, 1.0),
    loud(
        "lb/(hp·h)",
        &["lb/hphr", "lb/hp/h", "lb/hp-h"],
        D::Consumption,
        POUND / (HORSEPOWER * HOUR),
    ),
];
