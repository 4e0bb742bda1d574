//! Reading a quantity from text.

use std::fmt;

use coolwright_models::kind::Kind;

use super::kind::{Dimension, InWords, about};
use super::number;
use super::types::marker;
use super::units::{self, UNITS, Unit};
use crate::text::{nearest, quoted};

/// Why a text is not a quantity of the kind asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuantityError {
    /// What is wrong, in one line.
    pub message: String,
    /// What to do about it, one sentence each.
    pub help: Vec<String>,
}

impl QuantityError {
    pub(super) fn new(message: impl Into<String>) -> Self {
        Self { message: message.into(), help: Vec::new() }
    }

    pub(super) fn help(mut self, help: impl Into<String>) -> Self {
        self.help.push(help.into());
        self
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)?;
        self.help.iter().try_for_each(|help| write!(f, "; {help}"))
    }
}

impl std::error::Error for QuantityError {}

/// What a field asks for: one kind, or a flow given as a volume or as a mass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Asked {
    Kind(Kind),
    Flow,
}

/// The name under which a flow asks the reader for its value.
pub(super) const FLOW: &str = "$coolwright::Flow";

impl Asked {
    pub(crate) fn from_marker(name: &str) -> Option<Self> {
        if name == FLOW {
            return Some(Self::Flow);
        }
        Kind::ALL.into_iter().find(|kind| marker(*kind) == name).map(Self::Kind)
    }

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Kind(kind) => kind.name(),
            Self::Flow => "a volume flow or a mass flow",
        }
    }

    pub(crate) fn example(self) -> String {
        let examples = match self {
            Self::Kind(kind) => about(kind).examples,
            Self::Flow => &["45 L/min", "12 gpm", "0.3 kg/s"],
        };
        let quoted: Vec<String> = examples.iter().map(|example| format!("\"{example}\"")).collect();
        quoted.join(" or ")
    }

    fn takes(self, dimension: Dimension) -> bool {
        match self {
            Self::Kind(kind) => kind.dimension() == dimension,
            Self::Flow => matches!(dimension, Dimension::VolumeFlow | Dimension::MassFlow),
        }
    }

    /// The kind that a value gets whose unit measures `dimension`.
    fn kind(self, dimension: Dimension) -> Kind {
        match self {
            Self::Kind(kind) => kind,
            Self::Flow if dimension == Dimension::MassFlow => Kind::MassFlow,
            Self::Flow => Kind::VolumeFlow,
        }
    }

    /// Symbols of the units that fit.
    fn symbols(self) -> Vec<&'static str> {
        UNITS.iter().filter(|unit| self.takes(unit.dimension)).map(|unit| unit.symbol).collect()
    }
}

/// Reads a quantity of one kind and gives its value in SI units.
///
/// # Errors
/// When the text is not one finite number with a unit of that kind, or the value is beyond
/// anything real.
pub fn parse(kind: Kind, text: &str) -> Result<f64, QuantityError> {
    parse_asked(Asked::Kind(kind), text).map(|(si, _)| si)
}

/// Reads a flow given as a volume (m³/s) or a mass (kg/s); the kind says which.
///
/// # Errors
/// As [`parse`].
pub fn parse_flow(text: &str) -> Result<(Kind, f64), QuantityError> {
    let (si, mass) = parse_asked(Asked::Flow, text)?;
    Ok((if mass { Kind::MassFlow } else { Kind::VolumeFlow }, si))
}

/// The value in SI units, and whether it is a mass flow.
pub(crate) fn parse_asked(asked: Asked, text: &str) -> Result<(f64, bool), QuantityError> {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        let message = format!("expected {}, found an empty text", asked.name());
        return Err(QuantityError::new(message).help(format!("for example {}", asked.example())));
    }
    let (number, rest) = number::take(trimmed)
        .map_err(|error| error.help(format!("for example {}", asked.example())))?;
    if rest.is_empty() {
        return unitless(asked, number, trimmed);
    }
    let (unit, reference) = find_unit(asked, rest)?;
    if !asked.takes(unit.dimension) {
        return Err(wrong_unit(asked, unit, rest));
    }
    let kind = asked.kind(unit.dimension);
    check_reference(kind, reference, rest)?;
    let si = if kind == Kind::Temperature { unit.to_si(number) } else { number * unit.factor };
    in_range(kind, si, trimmed)?;
    Ok((si, kind == Kind::MassFlow))
}

/// A number that stands in the text without quotes.
pub(crate) fn parse_bare(asked: Asked, text: &str) -> Result<(f64, bool), QuantityError> {
    let number = ron::from_str::<f64>(text).unwrap_or(f64::NAN);
    if !number.is_finite() {
        return Err(QuantityError::new(format!("{} is not a finite number", quoted(text))));
    }
    unitless(asked, number, text)
}

fn unitless(asked: Asked, number: f64, text: &str) -> Result<(f64, bool), QuantityError> {
    match asked {
        Asked::Kind(kind @ Kind::Count) if number.fract() != 0.0 || number < 1.0 => {
            let message = format!("expected {} from 1 up, found {}", kind.name(), quoted(text));
            Err(QuantityError::new(message))
        }
        Asked::Kind(kind) if matches!(kind.dimension(), Dimension::None | Dimension::Fraction) => {
            in_range(kind, number, text)?;
            Ok((number, false))
        }
        _ => Err(QuantityError::new(format!(
            "expected {}, found {} without a unit",
            asked.name(),
            quoted(text)
        ))
        .help(format!("write it in quotes with its unit: for example {}", asked.example()))
        .help(units_help(asked))),
    }
}

fn units_help(asked: Asked) -> String {
    match asked {
        Asked::Kind(kind) if kind.dimension() == Dimension::None => {
            format!("{} has no unit: for example {}", kind.name(), asked.example())
        }
        _ => format!("units of {}: {}", asked.name(), asked.symbols().join(", ")),
    }
}

fn in_range(kind: Kind, si: f64, text: &str) -> Result<(), QuantityError> {
    let about = about(kind);
    let (least, most) = about.range;
    if (least..=most).contains(&si) {
        return Ok(());
    }
    if kind == Kind::Temperature && si < 0.0 {
        return Err(QuantityError::new(format!("{} is below absolute zero", quoted(text))));
    }
    let message = format!("{} is beyond anything real for {}", quoted(text), about.name);
    let shown = |bound: f64| match bound.abs() {
        size if size >= 1e5 => format!("{bound:e}"),
        _ => format!("{bound}"),
    };
    let unit = about.units[2];
    let help = format!("it must lie from {} to {} {unit}", shown(least), shown(most));
    let error = QuantityError::new(message).help(help.trim_end());
    Err(if kind == Kind::Fraction {
        error.help("write percent with its sign: \"30 %\"")
    } else {
        error
    })
}

/// What a pressure says it is measured from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reference {
    Unsaid,
    Gauge,
    Absolute,
    Difference,
}

/// What may follow the unit of a pressure.
const ENDINGS: [(&str, Reference); 12] = [
    ("absolute", Reference::Absolute),
    ("abs.", Reference::Absolute),
    ("abs", Reference::Absolute),
    ("a", Reference::Absolute),
    ("A", Reference::Absolute),
    ("gauge", Reference::Gauge),
    ("gage", Reference::Gauge),
    ("g", Reference::Gauge),
    ("G", Reference::Gauge),
    ("diff", Reference::Difference),
    ("d", Reference::Difference),
    ("D", Reference::Difference),
];

fn find_unit(asked: Asked, written: &str) -> Result<(&'static Unit, Reference), QuantityError> {
    let name = normal(written);
    if let Some(unit) = units::find(&name) {
        return Ok((unit, Reference::Unsaid));
    }
    for (ending, reference) in ENDINGS {
        let base = name.strip_suffix(ending).map(str::trim_end).and_then(units::find);
        if let Some(unit) = base.filter(|unit| unit.dimension == Dimension::Pressure) {
            return Ok((unit, reference));
        }
    }
    Err(unknown_unit(asked, written, &name))
}

/// One way of writing for the many: superscripts, dots, brackets and blanks in products go.
fn normal(written: &str) -> String {
    let mut name = String::new();
    for c in written.trim().chars().take(60) {
        match c {
            '²' | '₂' => name.push('2'),
            '³' => name.push('3'),
            'º' | '˚' => name.push('°'),
            '·' | '⋅' | '*' | '×' | '(' | ')' | '^' => {}
            '∕' | '⁄' => name.push('/'),
            c if c.is_whitespace() => {
                // After a slash a blank means a product; elsewhere it parts two words.
                if !name.contains('/') && !name.ends_with(' ') {
                    name.push(' ');
                }
            }
            '/' => {
                name.truncate(name.trim_end().len());
                name.push('/');
            }
            c => name.push(c),
        }
    }
    name
}

fn unknown_unit(asked: Asked, written: &str, name: &str) -> QuantityError {
    let names =
        |unit: &'static Unit| std::iter::once(unit.symbol).chain(unit.aliases.iter().copied());
    let fitting = UNITS.iter().filter(|unit| asked.takes(unit.dimension)).flat_map(names);
    let near = nearest(name, fitting).or_else(|| nearest(name, UNITS.iter().flat_map(names)));
    let mut error = QuantityError::new(format!("unknown unit {}", quoted(written)));
    if let Some(near) = near {
        error = error.help(format!("did you mean `{near}`?"));
    }
    error.help(units_help(asked))
}

fn wrong_unit(asked: Asked, unit: &Unit, written: &str) -> QuantityError {
    let found = unit.dimension.name();
    let message = format!("expected {}, found {found} ({})", asked.name(), quoted(written));
    let error = QuantityError::new(message);
    let degrees = unit.symbol == "°" && asked.takes(Dimension::Temperature);
    let error = if degrees { error.help("write `°C` or `°F`") } else { error };
    error.help(units_help(asked))
}

fn check_reference(kind: Kind, found: Reference, written: &str) -> Result<(), QuantityError> {
    let fits = match found {
        Reference::Unsaid => true,
        Reference::Gauge => kind == Kind::GaugePressure,
        Reference::Absolute => kind == Kind::AbsolutePressure,
        Reference::Difference => {
            matches!(kind, Kind::PressureDifference | Kind::AirPressureDifference)
        }
    };
    if fits {
        return Ok(());
    }
    let said = match found {
        Reference::Gauge => "a gauge pressure",
        Reference::Absolute => "an absolute pressure",
        _ => "a pressure difference",
    };
    let message = format!("expected {}, found {said} ({})", kind.name(), quoted(written));
    Err(QuantityError::new(message)
        .help(format!("for example {}", Asked::Kind(kind).example()))
        .help("absolute pressure is gauge pressure plus that of the surrounding air"))
}
