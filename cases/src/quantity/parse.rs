//! Reading a quantity from text.

use std::fmt;

use coolwright_models::kind::Kind;

use super::compound;
use super::kind::{Dimension, InWords, about};
use super::number;
use super::show::UnitSystem;
use super::spoken::{self, spoken};
use super::trade;
use super::types::marker;
use super::units::{self, UNITS, Unit};
use crate::text::{nearest, quoted};

/// Why a text is not a quantity of the kind asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuantityError {
    /// What is wrong, in one line; with quantities as in [`super::spoken`].
    pub message: String,
    /// What to do about it, one sentence each, likewise.
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
        let said = |text: &str| spoken::in_units(text, UnitSystem::Si);
        f.write_str(&said(&self.message))?;
        self.help.iter().try_for_each(|help| write!(f, "; {}", said(help)))
    }
}

impl std::error::Error for QuantityError {}

/// What a field asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// One kind.
    Kind(Kind),
    /// A flow of liquid, given as a volume or as a mass.
    Flow,
    /// A flow of air, given as a volume or as a mass.
    AirFlow,
}

/// The name under which a flow asks the reader for its value.
pub(super) const FLOW: &str = "$coolwright::Flow";
/// The same of air.
pub(super) const AIR_FLOW: &str = "$coolwright::FlowOfAir";

impl Asked {
    pub(crate) fn from_marker(name: &str) -> Option<Self> {
        match name {
            FLOW => Some(Self::Flow),
            AIR_FLOW => Some(Self::AirFlow),
            _ => Kind::ALL.into_iter().find(|kind| marker(*kind) == name).map(Self::Kind),
        }
    }

    /// What is asked for, by the name that it has in texts for people.
    pub(super) fn named(name: &str) -> Option<Self> {
        match name {
            "Flow" => Some(Self::Flow),
            "FlowOfAir" => Some(Self::AirFlow),
            _ => Kind::ALL.into_iter().find(|kind| format!("{kind:?}") == name).map(Self::Kind),
        }
    }

    fn mark(self) -> String {
        match self {
            Self::Kind(kind) => format!("{kind:?}"),
            Self::Flow => "Flow".to_owned(),
            Self::AirFlow => "FlowOfAir".to_owned(),
        }
    }

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Kind(Kind::AirFlow) => "a volume flow of air",
            Self::Kind(kind) => kind.name(),
            Self::Flow => "a volume flow or a mass flow",
            Self::AirFlow => "a volume flow or a mass flow of air",
        }
    }

    /// Quoted examples, for texts for people.
    pub(crate) fn examples(self) -> String {
        format!("{{examples {}}}", self.mark())
    }

    fn takes(self, dimension: Dimension) -> bool {
        match self {
            Self::Kind(kind) => kind.dimension() == dimension,
            Self::Flow | Self::AirFlow => {
                matches!(dimension, Dimension::VolumeFlow | Dimension::MassFlow)
            }
        }
    }

    /// Whether it is of air, where that decides the units; `None` where it does not.
    fn of_air(self) -> Option<bool> {
        match self {
            Self::Kind(Kind::AirFlow) | Self::AirFlow => Some(true),
            Self::Kind(Kind::VolumeFlow) | Self::Flow => Some(false),
            Self::Kind(_) => None,
        }
    }

    /// Whether it can be written in a unit.
    pub(super) fn takes_unit(self, unit: &Unit) -> bool {
        self.takes(unit.dimension) && !self.is_of_the_other(unit)
    }

    /// Whether a unit is one of liquids where air is asked for, or the other way round.
    fn is_of_the_other(self, unit: &Unit) -> bool {
        self.of_air().is_some_and(|air| match unit.symbol {
            "gpm" | "gph" => air,
            "cfm" => !air,
            _ => false,
        })
    }

    /// The kind that a value gets whose unit measures `dimension`.
    fn kind(self, dimension: Dimension) -> Kind {
        match self {
            Self::Kind(kind) => kind,
            Self::Flow | Self::AirFlow if dimension == Dimension::MassFlow => Kind::MassFlow,
            Self::Flow => Kind::VolumeFlow,
            Self::AirFlow => Kind::AirFlow,
        }
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
        return Err(QuantityError::new(message).help(for_example(asked)));
    }
    if asked.takes(Dimension::Length)
        && let Some(refused) = trade::size(trimmed)
    {
        return Err(refused);
    }
    if asked == Asked::Kind(Kind::Time)
        && let Some(seconds) = compound::clock(trimmed)
    {
        let si = seconds?;
        in_range(Kind::Time, si, trimmed)?;
        return Ok((si, false));
    }
    let (number, rest) = number::take(trimmed).map_err(|error| error.help(for_example(asked)))?;
    if rest.is_empty() {
        return unitless(asked, number, trimmed);
    }
    let negative = trimmed.starts_with(['-', '−']);
    if let Some((unit, more)) = compound::split(rest).filter(|(unit, _)| asked.takes_unit(unit)) {
        let kind = asked.kind(unit.dimension);
        let more = compound::sum(unit, more)?;
        let si = number * unit.factor + if negative { -more } else { more };
        in_range(kind, si, trimmed)?;
        return Ok((si, kind == Kind::MassFlow));
    }
    let (unit, reference) = find_unit(asked, rest)?;
    if !asked.takes_unit(unit) {
        return Err(wrong_unit(asked, unit, (number, rest)));
    }
    let kind = asked.kind(unit.dimension);
    check_reference(kind, reference, rest)?;
    let si = if kind == Kind::Temperature { unit.to_si(number) } else { number * unit.factor };
    if kind == Kind::Temperature && unit.symbol == "K" && (0.0..COLDEST_K).contains(&si) {
        return Err(no_rise(number, trimmed));
    }
    in_range(kind, si, trimmed)?;
    Ok((si, kind == Kind::MassFlow))
}

/// Nothing here is colder than this, K: a smaller number of kelvin is a difference of temperatures.
const COLDEST_K: f64 = 150.0;

/// Why so few kelvin are refused where a temperature is asked for.
fn no_rise(kelvin: f64, text: &str) -> QuantityError {
    let celsius = kelvin - 273.15;
    QuantityError::new(format!(
        "{} is a temperature of {celsius:.0} °C, counted from absolute zero",
        quoted(text)
    ))
    .help("a temperature is written as \"{one Temperature}\"")
    .help("a limit on how much something warms needs the result that tells it, as in `coolers/motor:rise`")
}

fn for_example(asked: Asked) -> String {
    format!("for example {}", asked.examples())
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
        // Up to 200 % may be meant; 8 is 8 % that has lost its sign.
        Asked::Kind(kind @ Kind::Fraction) if number >= 2.0 => {
            let message = format!("expected {}, found {} without `%`", kind.name(), quoted(text));
            let help = format!(
                "for {number} % write \"{number} %\", for {number} times as much \"{} %\"",
                100.0 * number
            );
            Err(QuantityError::new(message).help(help))
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
        .help(format!("write it in quotes with its unit: for example {}", asked.examples()))
        .help(units_help(asked))),
    }
}

fn units_help(asked: Asked) -> String {
    match asked {
        Asked::Kind(kind) if kind.dimension() == Dimension::None => {
            format!("{} has no unit: for example {}", kind.name(), asked.examples())
        }
        _ => format!("units of {}: {{units {}}}", asked.name(), asked.mark()),
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
    let bounds = [least, most].map(|bound| spoken(kind, bound));
    Err(QuantityError::new(message)
        .help(format!("it must lie from {} to {}", bounds[0], bounds[1])))
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
    if asked.takes(Dimension::Pressure)
        && let Some(help) = trade::head(name)
    {
        let message = format!("{} is a head, not {}", quoted(written), asked.name());
        return QuantityError::new(message).help(help);
    }
    if asked.takes(Dimension::Power)
        && let Some(help) = trade::metric_horsepower(name)
    {
        let message = format!("unknown unit {}", quoted(written));
        return QuantityError::new(message).help(help).help(units_help(asked));
    }
    let fitting = UNITS.iter().filter(|unit| asked.takes_unit(unit)).flat_map(names);
    let near = nearest(name, fitting).or_else(|| nearest(name, UNITS.iter().flat_map(names)));
    let mut error = QuantityError::new(format!("unknown unit {}", quoted(written)));
    if let Some(near) = near {
        error = error.help(format!("did you mean `{near}`?"));
    }
    error.help(units_help(asked))
}

fn wrong_unit(asked: Asked, unit: &Unit, (number, written): (f64, &str)) -> QuantityError {
    if asked.is_of_the_other(unit) {
        let (unit_of, wanted) =
            if asked.of_air() == Some(true) { ("liquids", "air") } else { ("air", "liquids") };
        let message =
            format!("{} is a unit for flows of {unit_of}, not of {wanted}", quoted(written));
        return QuantityError::new(message).help(units_help(asked));
    }
    let found = unit.dimension.name();
    let message = format!("expected {}, found {found} ({})", asked.name(), quoted(written));
    let error = QuantityError::new(message);
    let degrees = unit.symbol == "°" && asked.takes(Dimension::Temperature);
    let error = if degrees { error.help("write `°C` or `°F`") } else { error };
    let pounds = unit.symbol == "lb" && asked.takes(Dimension::Pressure);
    let error = if pounds {
        error.help(format!(
            "a pressure in pounds is one in pounds per square inch: write \"{number} psi\""
        ))
    } else {
        error
    };
    let (dynamic, kinematic) = (Dimension::Viscosity, Dimension::KinematicViscosity);
    let error = if asked.takes(dynamic) && unit.dimension == kinematic {
        error.help("the row of a liquid tells it as `kinematic_viscosity`")
    } else if asked.takes(kinematic) && unit.dimension == dynamic {
        error.help("the row of a liquid tells it as `viscosity`")
    } else {
        error
    };
    let head = asked.takes(Dimension::Pressure) && unit.dimension == Dimension::Length;
    match trade::column(unit).filter(|_| head) {
        Some(column) => error.help(format!(
            "a head is a pressure here, as a column of water: write \"{number} {column}\""
        )),
        None => error,
    }
    .help(units_help(asked))
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
        .help(for_example(Asked::Kind(kind)))
        .help("absolute pressure is gauge pressure plus that of the surrounding air"))
}
