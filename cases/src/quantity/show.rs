//! Writing quantities for people and for tables.

use coolwright_models::kind::Kind;

use super::kind::about;
use super::units::{self, Unit};

/// The family of units that the output uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum UnitSystem {
    /// US customary: gpm, psi, °F, inches. Engine power in hp, heat in Btu/min.
    Us,
    /// Metric as used in workshops: L/min, kPa, °C, millimetres, kW.
    #[default]
    Metric,
    /// SI base units throughout: m³/s, Pa, K, m, W.
    Si,
}

/// A quantity as text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// The number, rounded to about three significant digits.
    pub number: String,
    /// Its unit; empty for plain numbers.
    pub unit: &'static str,
}

impl std::fmt::Display for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.unit {
            "" => f.write_str(&self.number),
            "°" => write!(f, "{}°", self.number),
            unit => write!(f, "{} {unit}", self.number),
        }
    }
}

/// A unit that has been looked up once, for as many numbers of its kind as there are.
#[derive(Clone, Copy, Debug)]
pub struct InUnit {
    /// How it is written, with a word for the reference of a pressure; empty for plain numbers.
    pub symbol: &'static str,
    kind: Kind,
    unit: Option<&'static Unit>,
}

impl InUnit {
    /// The unit that a kind always has in a system: for files, and tables of any numbers.
    pub fn of(kind: Kind, system: UnitSystem) -> Self {
        let [us, metric, si] = about(kind).units;
        Self::new(
            kind,
            match system {
                UnitSystem::Us => us,
                UnitSystem::Metric => metric,
                UnitSystem::Si => si,
            },
        )
    }

    /// The unit in which people read a number of this size: long lengths, long times and large areas,
    /// volumes, energies and conductances go to the larger unit of the system, small powers to the smaller.
    pub fn suited(kind: Kind, si: f64, system: UnitSystem) -> Self {
        suited_unit(kind, si, system)
            .map_or_else(|| Self::of(kind, system), |suited| Self::new(kind, suited))
    }

    fn new(kind: Kind, symbol: &'static str) -> Self {
        let base = match symbol {
            "psig" | "psia" => "psi",
            other => other.split(' ').next().unwrap_or(other),
        };
        Self { symbol, kind, unit: units::find(base) }
    }

    /// The number of this unit for an SI value, not rounded.
    pub fn number(&self, si: f64) -> f64 {
        match self.unit {
            Some(unit) if self.kind == Kind::Temperature => unit.from_si(si),
            Some(unit) => si / unit.factor,
            None => si,
        }
    }

    /// The SI value of a number of this unit.
    pub fn si(&self, number: f64) -> f64 {
        match self.unit {
            Some(unit) if self.kind == Kind::Temperature => unit.to_si(number),
            Some(unit) => number * unit.factor,
            None => number,
        }
    }

    /// An SI value in this unit, for people.
    pub fn shown(&self, si: f64) -> Shown {
        let number = self.number(si);
        let number = match self.kind {
            // Nobody reads a thermometer to three digits: 90.6 °C, 195.3 °F.
            Kind::Temperature => rounded(number, 1),
            Kind::Count => rounded(number, 0),
            _ => three_digits(number),
        };
        Shown { number, unit: self.symbol }
    }
}

/// The number and unit of an SI value, not rounded, in the unit that the kind always has in that
/// system.
pub fn to_unit(kind: Kind, si: f64, system: UnitSystem) -> (f64, &'static str) {
    let unit = InUnit::of(kind, system);
    (unit.number(si), unit.symbol)
}

/// A quantity for people.
pub fn show(kind: Kind, si: f64, system: UnitSystem) -> Shown {
    InUnit::suited(kind, si, system).shown(si)
}

fn suited_unit(kind: Kind, si: f64, system: UnitSystem) -> Option<&'static str> {
    let size = si.abs();
    match (kind, system) {
        (Kind::Length, UnitSystem::Us) if size >= 0.6096 => Some("ft"),
        (Kind::Length, UnitSystem::Metric) if size >= 1.0 => Some("m"),
        (Kind::Area, UnitSystem::Us) if size >= 0.0929 => Some("ft²"),
        (Kind::Area, UnitSystem::Metric) if size >= 0.1 => Some("m²"),
        (Kind::Power | Kind::ElectricPower | Kind::HeatRate, UnitSystem::Metric)
            if size > 0.0 && size < 100.0 =>
        {
            Some("W")
        }
        (Kind::ElectricPower, UnitSystem::Us) if size >= 1e3 => Some("kW"),
        // So that with a difference in kelvin it is a heat in kW.
        (Kind::Conductance, UnitSystem::Metric) if size >= 100.0 => Some("kW/K"),
        (Kind::Energy, UnitSystem::Metric) if size >= 1e6 => Some("MJ"),
        (Kind::HeatPerMass, UnitSystem::Metric) if size >= 1e6 => Some("MJ/kg"),
        (Kind::Time, UnitSystem::Us | UnitSystem::Metric) if size >= 3600.0 => Some("h"),
        (Kind::Time, UnitSystem::Us | UnitSystem::Metric) if size >= 300.0 => Some("min"),
        _ => None,
    }
}

/// About three significant digits, whole numbers in full, without zeros at the end.
fn three_digits(number: f64) -> String {
    let size = number.abs();
    if size == 0.0 || !number.is_finite() {
        return rounded(number, 0);
    }
    if !(1e-4..1e9).contains(&size) {
        let text = format!("{number:.2e}");
        let (digits, exponent) = text.split_once('e').unwrap_or((&text, "0"));
        return format!("{}e{exponent}", trimmed(digits));
    }
    // 9.996 has one digit before the point here and two when rounded; one digit more is harmless.
    let mut before = 0usize;
    let mut bound = 1.0;
    while size >= bound && before < 12 {
        bound *= 10.0;
        before += 1;
    }
    let mut zeros = 0usize;
    let mut bound = 0.1;
    while size < bound && zeros < 8 {
        bound /= 10.0;
        zeros += 1;
    }
    rounded(number, if before > 0 { 3usize.saturating_sub(before) } else { 3 + zeros })
}

fn rounded(number: f64, decimals: usize) -> String {
    if number.is_nan() {
        return "unknown".to_owned();
    }
    if number.is_infinite() {
        return if number > 0.0 { "∞" } else { "-∞" }.to_owned();
    }
    trimmed(&format!("{number:.decimals$}"))
}

/// Without zeros after the last digit that counts, and never minus zero.
fn trimmed(text: &str) -> String {
    let short =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text };
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
