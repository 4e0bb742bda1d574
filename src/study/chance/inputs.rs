//! What is not known exactly: the tolerances of the case, what it leaves out, and what laws disagree by.

use std::collections::BTreeSet;

use coolwright_cases::diagnostic::{Problem, Problems};
use coolwright_cases::file;
use coolwright_cases::lower::{Address, Assumption, Bound, Ready, Role};
use coolwright_cases::quantity::{Kind, parse, spoken};
use coolwright_cases::text::{Span, Spanned, nearest};
use coolwright_models::laws::uncertainty::Law;

use super::spread::Spread;
use crate::answer::kinds;

/// Where the spread of an input comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// A tolerance of the case.
    Case,
    /// An assumption, by its place among those of the case.
    Assumed(usize),
}

/// A number that is not known exactly.
#[derive(Clone, Debug)]
pub struct Input {
    /// The addresses that get one value together.
    pub addresses: Vec<String>,
    /// Its kind.
    pub kind: Kind,
    /// Its value in the case, SI.
    pub value: f64,
    /// How far it may be off.
    pub spread: Spread,
    /// Where that comes from.
    pub source: Source,
}

/// All that is not known exactly of a case.
#[derive(Clone, Debug, Default)]
pub struct Inputs {
    /// Numbers: the tolerances of the case in its order, then what it leaves out.
    pub numbers: Vec<Input>,
    /// Laws that are taken for exact; all of them where `None`.
    pub exact_laws: Option<BTreeSet<Law>>,
}

/// The names of laws in a case.
const LAWS: [(&str, Law); 21] = [
    ("friction", Law::Friction),
    ("bends", Law::Bend),
    ("bore_changes", Law::BoreChange),
    ("cones", Law::Cone),
    ("holes", Law::Orifice),
    ("barbs", Law::Barb),
    ("valves", Law::Valve),
    ("rated_falls", Law::Rated),
    ("tank_ends", Law::Tank),
    ("tees", Law::Tee),
    ("plain_joints", Law::PlainJoint),
    ("pump_curves", Law::PumpCurve),
    ("pump_labels", Law::PumpLabel),
    ("films", Law::Film),
    ("core_ratings", Law::CoreRating),
    ("core_dimensions", Law::CoreDimensions),
    ("charge_ratings", Law::ChargeRating),
    ("air_falls", Law::AirFall),
    ("fan_curves", Law::FanCurve),
    ("heat", Law::Heat),
    ("bay", Law::Bay),
];

/// All spreads of a case. What is wrong with those that it tells goes into `problems`.
pub fn inputs(ready: &Ready, problems: &mut Problems) -> Inputs {
    let mut found = Inputs { numbers: Vec::new(), exact_laws: Some(BTreeSet::new()) };
    let mut told: Vec<&Spanned<String>> = Vec::new();
    for tolerance in &ready.chance.of {
        let at = &tolerance.at;
        if let Some(first) = told.iter().find(|first| first.value == at.value) {
            let problem = Problem::error(at.span, format!("`{}` has two spreads", at.value));
            problems.push(problem.label("again here").also(first.span, "first here"));
            continue;
        }
        told.push(at);
        let Some(number) = number(ready, at, problems) else { continue };
        if let Some(spread) = spread(&number, &tolerance.spread, at, problems) {
            let Number { kind, value, .. } = number;
            let (addresses, source) = (vec![at.value.clone()], Source::Case);
            found.numbers.push(Input { addresses, kind, value, spread, source });
        }
    }
    let assumes = without(&ready.chance.without, &mut found, problems);
    let is_told = |address: &String| told.iter().any(|at| at.value == *address);
    for (k, assumption) in ready.assumptions.iter().enumerate().filter(|_| assumes) {
        found.numbers.extend(of_assumption(ready, (k, assumption), &is_told));
    }
    found
}

/// An assumption as an input, at those of its places that have no tolerance of their own.
fn of_assumption(
    ready: &Ready,
    (k, assumption): (usize, &Assumption),
    is_told: &dyn Fn(&String) -> bool,
) -> Option<Input> {
    let addresses = assumption.addresses.iter().filter(|of| !is_told(of)).cloned();
    let addresses: Vec<String> =
        addresses.filter(|of| ready.addresses.get(of).is_some_and(is_free)).collect();
    let spread = spread_of(assumption);
    let known = addresses.is_empty() || assumption.kind == Kind::Count || spread.is_exact();
    let (kind, value) = (assumption.kind, assumption.value);
    (!known).then_some(Input { addresses, kind, value, spread, source: Source::Assumed(k) })
}

/// An assumption is likeliest as it is assumed, and lies in its range.
pub fn spread_of(assumption: &Assumption) -> Spread {
    let (from, to) = assumption.range;
    let peak = assumption.value;
    Spread::Triangular { from: from.min(peak), peak, to: to.max(peak) }
}

/// Whether a number may be anything in between.
fn is_free(entry: &Address) -> bool {
    entry.kind != Kind::Count && !matches!(entry.role, Role::OfRoute | Role::Driven)
}

/// What the case takes for exact; gives whether assumptions are spread.
fn without(names: &[Spanned<String>], found: &mut Inputs, problems: &mut Problems) -> bool {
    let mut assumes = true;
    for name in names {
        let law = LAWS.iter().find(|(word, _)| *word == name.value);
        match (name.value.as_str(), law) {
            ("laws", _) => found.exact_laws = None,
            ("assumptions", _) => assumes = false,
            (_, Some((_, law))) => {
                found.exact_laws.as_mut().map(|exact| exact.insert(*law));
            }
            (other, None) => {
                let known = ["laws", "assumptions"].into_iter().chain(LAWS.map(|(word, _)| word));
                let known: Vec<&str> = known.collect();
                let near = nearest(other, known.iter().copied());
                problems.push(
                    Problem::error(name.span, format!("`chance` spreads nothing called `{other}`"))
                        .label("not known")
                        .help_if(near.map(|near| format!("did you mean `{near}`?")))
                        .help(format!("it can be without: {}", known.join(", "))),
                );
            }
        }
    }
    assumes
}

/// The name of a law in a case.
pub fn law_name(law: Law) -> &'static str {
    LAWS.iter().find(|(_, known)| *known == law).map_or("", |(word, _)| word)
}

/// A number of the case that a tolerance is about.
struct Number {
    kind: Kind,
    value: f64,
    bound: Bound,
}

fn number(ready: &Ready, at: &Spanned<String>, problems: &mut Problems) -> Option<Number> {
    if let Some(entry) = ready.addresses.get(&at.value) {
        if is_free(entry) {
            let Address { kind, value, bound, .. } = *entry;
            return Some(Number { kind, value, bound });
        }
        let why =
            entry.role.refusal().filter(|_| matches!(entry.role, Role::OfRoute | Role::Driven));
        let why = why.unwrap_or("it is a whole number: `grid` goes through those");
        problems
            .push(Problem::error(at.span, format!("`{}` can have no spread", at.value)).label(why));
        return None;
    }
    if let Some(number) = time_of_phase(ready, &at.value) {
        return Some(number);
    }
    let phases = ready.duty.phases.iter().map(|phase| format!("duty/{}:time", phase.plain));
    let phases: Vec<String> = phases.collect();
    let known = ready.addresses.keys().chain(&phases).map(String::as_str);
    let near = nearest(&at.value, known);
    let here = at.value.split(':').next().unwrap_or_default();
    let fields: Vec<&str> = ready
        .addresses
        .keys()
        .filter_map(|known| known.strip_prefix(here)?.strip_prefix(':'))
        .collect();
    let fields = (!fields.is_empty()).then(|| format!("`{here}` has: {}", fields.join(", ")));
    problems.push(
        Problem::error(at.span, format!("there is no number at `{}`", at.value))
            .label("not known")
            .help_if(near.map(|near| format!("did you mean `{near}`?")))
            .help_if(fields)
            .help("an address is a path and a name, as in `main/feed:bore` or `cores/front:heat`"),
    );
    None
}

/// How long a phase lasts, which is in no slot of the model.
fn time_of_phase(ready: &Ready, address: &str) -> Option<Number> {
    let name = address.strip_prefix("duty/")?.strip_suffix(":time")?;
    let phase = ready.duty.phases.iter().find(|phase| phase.plain == name)?;
    let bound = Bound::Within(1e-3, 1e7);
    Some(Number { kind: Kind::Time, value: phase.time_s, bound })
}

fn spread(
    number: &Number,
    told: &file::Spread,
    at: &Spanned<String>,
    problems: &mut Problems,
) -> Option<Spread> {
    let Number { kind, value, bound } = *number;
    match told {
        file::Spread::Exact => None,
        file::Spread::Between(from, to) => {
            let mut end = |text: &Spanned<String>| read(kind, text, problems);
            let (a, b) = (end(from)?, end(to)?);
            if a >= b {
                let problem = Problem::error(to.span, "the second value must be the larger one");
                problems.push(problem.label("not above the first").also(from.span, "the first"));
                return None;
            }
            let fits = [(a, from.span), (b, to.span)]
                .into_iter()
                .all(|(end, span)| fits(bound, kind, end, (span, &at.value), problems));
            fits.then_some(Spread::Uniform { from: a, to: b })
        }
        file::Spread::Normal(text) => {
            let deviation = amount(kind, value, text, problems)?;
            Some(Spread::Normal { mean: value, deviation, within: ends(bound) })
        }
        file::Spread::Uniform(text) | file::Spread::Triangular(text) => {
            let off = amount(kind, value, text, problems)?;
            let (from, to) = (value - off, value + off);
            let place = || (text.span, at.value.as_str());
            let is_fit = fits(bound, kind, from, place(), problems)
                && fits(bound, kind, to, place(), problems);
            let uniform = matches!(told, file::Spread::Uniform(_));
            let spread = if uniform {
                Spread::Uniform { from, to }
            } else {
                Spread::Triangular { from, peak: value, to }
            };
            is_fit.then_some(spread)
        }
    }
}

fn read(kind: Kind, text: &Spanned<String>, problems: &mut Problems) -> Option<f64> {
    match parse(kind, &text.value) {
        Ok(si) => Some(si),
        Err(error) => {
            let problem = Problem::error(text.span, error.message);
            problems.push(error.help.into_iter().fold(problem, Problem::help));
            None
        }
    }
}

/// How far off, SI: an amount, or a share of the value.
fn amount(kind: Kind, value: f64, text: &Spanned<String>, problems: &mut Problems) -> Option<f64> {
    let is_share = text.value.trim().ends_with('%') && kind != Kind::Fraction;
    let si = if is_share {
        if kind == Kind::Temperature {
            let problem = Problem::error(text.span, "a temperature is off by no share of itself");
            problems.push(
                problem
                    .label("counted from absolute zero it would be")
                    .help("write an amount, for example \"{one TemperatureDifference}\""),
            );
            return None;
        }
        read(Kind::Fraction, text, problems)? * value.abs()
    } else {
        read(kinds::difference(kind), text, problems)?
    };
    if si > 0.0 {
        return Some(si);
    }
    let nothing = is_share && value == 0.0;
    let problem = Problem::error(text.span, "a spread must be more than nothing");
    let zero = format!("the number is {}, and a share of nothing is nothing", spoken(kind, value));
    problems.push(
        problem
            .label("no spread")
            .help_if(nothing.then_some(zero))
            .help("write an amount above zero; `Exact` holds a number that would be spread"),
    );
    None
}

/// Whether the end of a spread may stand in the file.
fn fits(
    bound: Bound,
    kind: Kind,
    end: f64,
    (span, address): (Span, &str),
    problems: &mut Problems,
) -> bool {
    let Some(fault) = bound.fault(kind, end) else { return true };
    problems.push(
        Problem::error(span, format!("`{address}` {fault}"))
            .label(format!("this spread reaches {}", spoken(kind, end)))
            .help("a narrower spread, or `Between` with two values that can be"),
    );
    false
}

/// Where a bell is cut off: at what the file would refuse.
fn ends(bound: Bound) -> [f64; 2] {
    match bound {
        Bound::NotNegative => [0.0, f64::INFINITY],
        Bound::Positive => [f64::MIN_POSITIVE, f64::INFINITY],
        Bound::Within(least, most) => [least, most],
    }
}
