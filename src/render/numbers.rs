//! Numbers and sentences with the units of a reader.

use coolwright_cases::quantity::{InUnit, Kind, UnitSystem, ways};
use coolwright_cases::text::steers;

use crate::answer::sentence::Piece;
use crate::answer::{Form, Number, Sentence, Value, kinds};

/// How an answer is to look.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// Units.
    pub units: UnitSystem,
    /// Whether colour may be used: a terminal that has not asked for none.
    pub color: bool,
}

/// What stands where there is no number.
pub(super) const NOTHING: &str = "-";

/// A number and its unit, which is empty where it has none.
pub(super) type Written = (String, &'static str);

impl Style {
    /// SI units without colour, as in answers for programs.
    pub const SI: Self = Self { units: UnitSystem::Si, color: false };

    /// A sentence with what stands in its slots.
    pub fn sentence(&self, sentence: &Sentence) -> String {
        let pieces = sentence.pieces().into_iter().map(|piece| match piece {
            Piece::Words(words) => words.to_owned(),
            Piece::Slot(_, value) => self.value(value),
        });
        pieces.collect()
    }

    /// What stands in a slot.
    pub fn value(&self, value: &Value) -> String {
        match value {
            Value::Nothing => NOTHING.to_owned(),
            Value::Number(number) => joined(Self::number(number, self.unit(number, number.si))),
            Value::Count(count) => count.to_string(),
            Value::Text(text) => shown(text),
            Value::Sentence(sentence) => self.sentence(sentence),
            Value::List(values, between) => {
                let values: Vec<String> = values.iter().map(|value| self.value(value)).collect();
                values.join(between)
            }
            Value::Judged(holds, value) => self.judged(*holds, &self.value(value)),
            Value::Ways(way, asked) => ways(*way, *asked, self.units),
        }
    }

    /// What says that a limit is kept or broken. Colour is never alone: the words say it.
    pub(super) fn judged(&self, holds: bool, words: &str) -> String {
        match (self.color, holds) {
            (false, _) => words.to_owned(),
            (true, true) => format!("\u{1b}[32m{words}\u{1b}[0m"),
            (true, false) => format!("\u{1b}[31m{words}\u{1b}[0m"),
        }
    }

    /// The unit for a number in a column (or sentence) whose largest is `largest`.
    pub(super) fn unit(&self, number: &Number, largest: f64) -> InUnit {
        match number.form {
            Form::Decimals(_) => InUnit::of(number.kind, self.units),
            _ => InUnit::suited(number.kind, largest, self.units),
        }
    }

    /// A number in a unit.
    pub(super) fn number(number: &Number, unit: InUnit) -> Written {
        let Number { si, kind, form } = *number;
        match form {
            Form::Percent(digits) => (fixed(100.0 * si, digits), "%"),
            Form::Clock => (clock(si), ""),
            Form::UpTo | Form::From => inside(kind, unit, si, form),
            // Nobody counts hours or minutes in decimals.
            Form::Usual if kind == Kind::Time && by_clock(si, unit) => (clock(si), ""),
            Form::Decimals(_) if kind == Kind::Time && si >= 60.0 => (clock(si), ""),
            Form::Decimals(digits) => (fixed(unit.number(si), digits), unit.symbol),
            Form::OfColumn if unit.symbol == "MJ" => (whole_zero(fixed(si / 1e6, 3)), "MJ"),
            Form::Off => (unit.shown(two_digits(si, unit.number(si))).number, unit.symbol),
            Form::Beside(other) => (beside(kind, unit, si, other), unit.symbol),
            Form::Full => (unit.shown(si).number, unit.symbol),
            Form::Change if si > 0.0 => {
                (format!("+{}", unit.shown(without_noise(kind, si)).number), unit.symbol)
            }
            _ => (unit.shown(without_noise(kind, si)).number, unit.symbol),
        }
    }
}

/// A text of a case, a log or the command line, without what would steer a terminal or turn reading round. It may have lines.
fn shown(text: &str) -> String {
    let sign = |c| if steers(c) && !['\n', '\t'].contains(&c) { '\u{FFFD}' } else { c };
    text.chars().map(sign).collect()
}

/// Whether a time is told as a clock shows it: from an hour on, and minutes that are not whole.
fn by_clock(si: f64, unit: InUnit) -> bool {
    unit.symbol == "h" || (unit.symbol == "min" && (si / 60.0).fract() != 0.0)
}

/// A size, SI, rounded so that it has two digits where it is `shown` in a unit.
fn two_digits(si: f64, shown: f64) -> f64 {
    if shown == 0.0 || !shown.is_finite() {
        return si;
    }
    let place = 10.0_f64.powf(1.0 - shown.abs().log10().floor());
    si * ((shown * place).round() / place / shown)
}

/// A number in its usual digits, rounded to the side on which it holds.
fn inside(kind: Kind, unit: InUnit, si: f64, form: Form) -> Written {
    let down = form == Form::UpTo;
    let rounded = |number: f64| {
        // What is a whole number of the last digit but for rounding stays it.
        let near = number.round();
        match (number - near).abs() < 1e-6 {
            true => near,
            false if down => number.floor(),
            false => number.ceil(),
        }
    };
    if kind == Kind::Time {
        let smallest = if si < 3600.0 { 0.1 } else { 1.0 };
        return (clock(rounded(si / smallest) * smallest), "");
    }
    let usual = unit.shown(si).number;
    let digits = usual.split_once('.').map_or(0, |(_, behind)| behind.len());
    // Of what is written with an exponent no digits are told off.
    let Some(digits) = u8::try_from(digits).ok().filter(|_| !usual.contains('e')) else {
        return (usual, unit.symbol);
    };
    let scale = 10.0_f64.powi(i32::from(digits));
    (fixed(rounded(unit.number(si) * scale) / scale, digits), unit.symbol)
}

/// A number in its usual digits, or in so many more as tell it from another one; a difference that no gauge
/// could show is none.
fn beside(kind: Kind, unit: InUnit, si: f64, other: f64) -> String {
    let shown = |si: f64| unit.shown(without_noise(kind, si)).number;
    if shown(si) != shown(other) || without_noise(kinds::difference(kind), si - other) == 0.0 {
        return shown(si);
    }
    let in_digits = |digits| [si, other].map(|si| fixed(unit.number(si), digits));
    let apart = (0..=MOST_DIGITS).map(in_digits).find(|[number, other]| number != other);
    apart.map_or_else(|| shown(si), |[number, _]| number)
}

/// So many digits behind the point at most tell a number from another.
const MOST_DIGITS: u8 = 9;

/// A number with its unit.
pub(super) fn joined((number, unit): Written) -> String {
    match unit {
        "" => number,
        "°" => format!("{number}°"),
        unit => format!("{number} {unit}"),
    }
}

/// So many digits behind the point; never minus zero.
pub(super) fn fixed(number: f64, digits: u8) -> String {
    let text = format!("{number:.digits$}", digits = usize::from(digits));
    if text.strip_prefix('-').is_some_and(is_zero) { text[1..].to_owned() } else { text }
}

fn is_zero(text: &str) -> bool {
    text.chars().all(|c| c == '0' || c == '.')
}

/// A zero without digits behind the point.
pub(super) fn whole_zero(text: String) -> String {
    if is_zero(&text) { "0".to_owned() } else { text }
}

/// A time as minutes and seconds, 12:07.5; from an hour on as hours, minutes and seconds, 1:02:05.
fn clock(seconds: f64) -> String {
    let tenths = (seconds * 10.0).round();
    if tenths >= 36000.0 {
        let whole = seconds.round();
        let (hours, rest) = ((whole / 3600.0).floor(), whole % 3600.0);
        return format!("{hours:.0}:{:02.0}:{:02.0}", (rest / 60.0).floor(), rest % 60.0);
    }
    let (minutes, rest) = ((tenths / 600.0).floor(), tenths % 600.0);
    format!("{minutes:.0}:{:04.1}", rest / 10.0)
}

/// Zero for what is far below anything that a gauge could show: what is left of sums that cancel.
fn without_noise(kind: Kind, si: f64) -> f64 {
    let least = match kind {
        Kind::Energy => 0.5,
        Kind::TemperatureDifference => 5e-4,
        Kind::Power
        | Kind::ElectricPower
        | Kind::HeatRate
        | Kind::PressureDifference
        | Kind::GaugePressure => 0.05,
        Kind::AirPressureDifference => 0.005,
        Kind::VolumeFlow | Kind::AirFlow | Kind::MassFlow => 1e-8,
        Kind::Velocity | Kind::Mass => 1e-5,
        Kind::Current => 1e-3,
        _ => 0.0,
    };
    if si.abs() < least { 0.0 } else { si }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::say;

    const METRIC: Style = Style { units: UnitSystem::Metric, color: false };
    const US: Style = Style { units: UnitSystem::Us, color: false };

    #[test]
    fn a_number_is_written_in_the_unit_and_form_that_it_asks_for() {
        let of = |kind, si, form| METRIC.value(&Value::formed(kind, si, form));
        assert_eq!(of(Kind::Temperature, 363.75, Form::Usual), "90.6 °C");
        assert_eq!(of(Kind::TemperatureDifference, 0.25, Form::Change), "+0.25 K");
        assert_eq!(of(Kind::TemperatureDifference, -0.25, Form::Change), "-0.25 K");
        // 1e-9 m³/s is no flow to a gauge.
        assert_eq!(of(Kind::VolumeFlow, 1e-9, Form::Usual), "0 L/min");
        assert_eq!(of(Kind::VolumeFlow, 1e-9, Form::Full), "6e-5 L/min");
        assert_eq!(of(Kind::Time, 55.04, Form::Decimals(1)), "55.0 s");
        assert_eq!(of(Kind::Time, 2239.1, Form::Decimals(1)), "37:19.1");
        assert_eq!(of(Kind::Time, 1510.0, Form::Usual), "25:10.0");
        // A number beside its bound shows on which side it is.
        let [at, bound] = [110_002.0, 110e3];
        assert_eq!(of(Kind::GaugePressure, at, Form::Usual), "110 kPa gauge");
        assert_eq!(of(Kind::GaugePressure, at, Form::Beside(bound)), "110.002 kPa gauge");
        assert_eq!(of(Kind::GaugePressure, bound, Form::Beside(at)), "110.000 kPa gauge");
        assert_eq!(of(Kind::GaugePressure, bound, Form::Beside(90e3)), "110 kPa gauge");
        assert_eq!(of(Kind::GaugePressure, bound, Form::Beside(bound)), "110 kPa gauge");
        assert_eq!(of(Kind::Fraction, 0.9036, Form::UpTo), "90.3 %");
        assert_eq!(of(Kind::Fraction, 0.9032, Form::From), "90.4 %");
        assert_eq!(of(Kind::Fraction, 0.903, Form::From), "90.3 %");
        assert_eq!(of(Kind::Temperature, 273.15 - 0.13, Form::UpTo), "-0.2 °C");
        assert_eq!(of(Kind::Time, 243.984, Form::UpTo), "4:03.9");
        assert_eq!(of(Kind::Time, 243.92, Form::From), "4:04.0");
        assert_eq!(of(Kind::Time, 243.9, Form::UpTo), "4:03.9");
        assert_eq!(of(Kind::Time, 727.46, Form::Clock), "12:07.5");
        assert_eq!(of(Kind::Time, 3599.94, Form::Clock), "59:59.9");
        assert_eq!(of(Kind::Time, 3599.97, Form::Clock), "1:00:00");
        assert_eq!(of(Kind::Time, 3725.2, Form::Clock), "1:02:05");
        assert_eq!(of(Kind::Time, 3725.2, Form::Usual), "1:02:05");
        assert_eq!(of(Kind::Time, 1500.0, Form::Usual), "25 min");
        assert_eq!(of(Kind::Fraction, 0.2505, Form::Percent(1)), "25.1 %");
        assert_eq!(of(Kind::Fraction, -1e-6, Form::Percent(1)), "0.0 %");
        assert_eq!(of(Kind::Length, 1.5, Form::Usual), "1.5 m");
        // 100 kPa are 14.5038 psi (NIST SP 811).
        assert_eq!(US.value(&Value::of(Kind::PressureDifference, 100e3)), "14.5 psi");
        // Engines have horsepower, pumps and fans have watts.
        assert_eq!(US.value(&Value::of(Kind::Power, 74_569.987_158_227_02)), "100 hp");
        assert_eq!(US.value(&Value::of(Kind::ElectricPower, 48.1)), "48.1 W");
        assert_eq!(US.value(&Value::of(Kind::ElectricPower, 1850.0)), "1.85 kW");
    }

    #[test]
    fn a_sentence_takes_the_units_of_its_reader() {
        let sentence = say!(
            "{what} at {flow}, {verdict}",
            what = Value::list(["`a`", "`b`"], " and "),
            flow = Value::of(Kind::VolumeFlow, 1e-3),
            verdict = Value::judged(false, "BROKEN"),
        );
        assert_eq!(METRIC.sentence(&sentence), "`a` and `b` at 60 L/min, BROKEN");
        // 1 L/s is 15.8503 gpm (NIST SP 811).
        let red = Style { color: true, ..US };
        assert_eq!(red.sentence(&sentence), "`a` and `b` at 15.9 gpm, \u{1b}[31mBROKEN\u{1b}[0m");
    }
}
