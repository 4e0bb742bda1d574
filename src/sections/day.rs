//! Whether it holds on the day, and how far everything may go.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;

use super::verdict;
use crate::answer::{self, Form, Lay, Section, Sentence, Table, Value, Verdict, kinds};
use crate::say;
use crate::study::Judged;

/// How a case stands on the day.
#[derive(Clone, Debug)]
pub struct Told<'a> {
    /// The case in the weather of the day.
    pub ready: &'a Ready,
    /// How it stands.
    pub verdict: Verdict,
    /// What that says beside its word.
    pub told: Vec<Sentence>,
    /// Its limits.
    pub judged: &'a [Judged],
    /// How far everything may go, each alone.
    pub bounds: Vec<Bounded>,
    /// How it stands by air and start, with the address of that start; nothing where nothing starts.
    pub table: Option<(String, Vec<Cell>)>,
    /// Whether air, altitude and humidity were given for the day.
    pub given: [bool; 3],
    /// By how much the air of the bay stays above that of the site, K, where the case tells the first by itself.
    pub above: Option<f64>,
}

/// What may go how far.
#[derive(Clone, Debug)]
pub struct Bounded {
    /// What it is.
    pub what: What,
    /// Its kind.
    pub kind: Kind,
    /// Its address.
    pub address: String,
    /// Its value today, SI.
    pub today: f64,
    /// Which side is bounded.
    pub side: Side,
    /// The furthest value that holds, and what fails beyond.
    pub edge: (Option<f64>, Option<Sentence>),
}

/// What is bounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// The air of the day.
    Air,
    /// How warm something is at the start.
    Start,
    /// Ice to bring.
    Ice,
    /// How long a phase under load may last.
    Pull,
    /// How long a rest must last.
    Rest,
}

/// Which side is bounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// It may be so much at most.
    Most,
    /// It must be so much at least.
    Least,
}

/// How it stands with an air and a start.
#[derive(Clone, Debug)]
pub struct Cell {
    /// The air, K.
    pub air_k: f64,
    /// The start, K.
    pub start_k: f64,
    /// What fails first, if anything does.
    pub fails: Option<Sentence>,
    /// The limit of the case with the least room.
    pub tightest: Option<Judged>,
}

/// Before each line of a verdict.
const NEXT: &str = "\n         ";

/// How it stands today, and what breaks first.
pub fn summary(told: &Told<'_>) -> Section {
    let values = &told.ready.model.values;
    let site = &told.ready.model.site;
    let mut lines = vec![say!(
        "{verdict} on this day: air {air}, {altitude} above sea level, humidity {humidity}",
        verdict = verdict::word(told.verdict),
        air = Value::of(Kind::Temperature, values.get(site.temperature)),
        altitude = Value::of(Kind::Distance, values.get(site.altitude)),
        humidity = Value::of(Kind::Fraction, values.get(site.humidity))
    )];
    lines.extend(told.told.iter().cloned());
    lines.push(decides(told));
    let lines = Value::list(lines, NEXT);
    Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

/// By what the day is judged.
pub fn judged_by(over_cycle: bool) -> Section {
    let words = if over_cycle {
        "Judged by the duty cycle."
    } else {
        "Judged at one operating point, everything kept up: the case has no duty cycle, so nothing is told of starts, \
         lengths and ice."
    };
    Section::plain("judged_by").say(words, Lay::Paragraph)
}

/// Which limit breaks first, or that none does, and whose decision it is.
fn decides(told: &Told<'_>) -> Sentence {
    let broken = told.judged.iter().filter(|of| of.is_broken());
    let when = |of: &&Judged| of.first_s.unwrap_or(f64::INFINITY);
    let first = broken.min_by(|a, b| when(a).total_cmp(&when(b)));
    match (first, told.verdict) {
        (Some(first), _) => {
            let at = first.first_s.map_or_else(
                || "if it is kept up".into(),
                |s| say!("{time} after the start", time = Value::formed(Kind::Time, s, Form::Decimals(1))),
            );
            say!(
                "By this estimate {limit} breaks first, {at}; the decision is the crew's.",
                limit = &first.limit.name,
                at = at
            )
        }
        (None, Verdict::Holds) => {
            "By this estimate no limit is broken today; the decision is the crew's.".into()
        }
        (None, _) => {
            "By this estimate no limit is known to be broken, and yet it does not hold; the decision is the crew's."
                .into()
        }
    }
}

/// What is bounded, in words.
fn words(of: &Bounded) -> Sentence {
    let path = || of.address.split(':').next().unwrap_or_default().to_owned();
    match of.what {
        What::Air => "air of the day".into(),
        What::Start => say!("`{path}` at the start", path = path()),
        What::Ice => say!("ice in `{path}`", path = path()),
        What::Pull => say!("time of `{path}`", path = path()),
        What::Rest => say!("wait in `{path}`", path = path()),
    }
}

fn value(of: &Bounded, si: f64) -> Value {
    if of.kind == Kind::Time { Value::clock(si) } else { Value::of(of.kind, si) }
}

/// How far everything may go, each alone.
pub fn bounds(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .broken_words("what", "what", 32)
        .values("today", "today")
        .words("so", "holds")
        .values("bound", "to")
        .broken_words("fails", "then this fails", 34)
        .for_programs("side", None)
        .for_programs("kind", None)
        .mixed();
    for of in &told.bounds {
        let (bound, by) = &of.edge;
        let so = match (bound, of.side) {
            (None, _) => "with none",
            (Some(_), Side::Most) => "up to",
            (Some(_), Side::Least) => "down to",
        };
        let side = match of.side {
            Side::Most => "most",
            Side::Least => "least",
        };
        let form = if of.side == Side::Most { Form::UpTo } else { Form::From };
        let shown = bound.map(|si| Value::formed(of.kind, si, form));
        let fails = by.clone().map_or_else(|| Value::from("nothing that was tried"), Value::from);
        let cells: [answer::Cell; 7] = [
            words(of).into(),
            value(of, of.today).into(),
            so.into(),
            answer::Cell::from(shown).judged(is_kept(of)),
            fails.into(),
            side.into(),
            kinds::word(of.kind).into(),
        ];
        table.row(of.address.clone(), cells);
    }
    Section::new("bounds", "How far each may go alone, all else as it is today").table(table)
}

/// Whether today's value is on the side that holds.
fn is_kept(of: &Bounded) -> bool {
    of.edge.0.is_some_and(|edge| match of.side {
        Side::Most => of.today <= edge,
        Side::Least => of.today >= edge,
    })
}

/// How it stands by air and start.
pub fn table(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .numbers("air", "air", Kind::Temperature)
        .numbers("start", "start", Kind::Temperature)
        .words("stands", "stands")
        .broken_words("fails", "what fails first", 30)
        .words("tightest", "tightest of the case")
        .words("margin", "which")
        .for_programs("holds", None)
        .for_programs("margin_value", None);
    let Some((address, cells)) = &told.table else {
        return Section::new("table", "By air and start").table(table);
    };
    let mut before = None;
    for cell in cells {
        if before.is_some_and(|air_k: f64| air_k.to_bits() != cell.air_k.to_bits()) {
            table.gap();
        }
        before = Some(cell.air_k);
        let holds = cell.fails.is_none();
        let margin = cell
            .tightest
            .as_ref()
            .and_then(|of| Some(Value::of(kinds::difference(of.limit.kind), of.margin()?)));
        let row: [answer::Cell; 8] = [
            Value::of(Kind::Temperature, cell.air_k).into(),
            Value::of(Kind::Temperature, cell.start_k).into(),
            Value::judged(holds, if holds { "holds" } else { "FAILS" }).into(),
            cell.fails.clone().map(Value::from).into(),
            cell.tightest.as_ref().map(|of| Value::from(&of.limit.name)).into(),
            cell.tightest.as_ref().map(verdict::margin).into(),
            if holds { "true" } else { "false" }.into(),
            margin.into(),
        ];
        table.line(row);
    }
    let path = address.split(':').next().unwrap_or_default();
    let title = say!("By air and by how warm `{path}` starts, which bears least", path = path);
    Section::new("table", title).support().table(table)
}

/// How all of it is meant.
pub fn mind(told: &Told<'_>) -> Section {
    let options = ["--air", "--altitude", "--humidity"];
    let left: Vec<&str> = options
        .iter()
        .zip(told.given)
        .filter(|(_, given)| !given)
        .map(|(option, _)| *option)
        .collect();
    let left = (!left.is_empty()).then(|| {
        say!(
            "As the case has it, not as the day is: give {options}.",
            options = Value::list(left, ", ")
        )
    });
    let bay = told.above.map(|above| {
        say!(
            "The air of the bay is moved with that of the site: it stays {above} above it, as the case has it.",
            above = Value::of(Kind::TemperatureDifference, above)
        )
    });
    Section::new("mind", "Mind").points(left).points(bay).points([
        "Each bound is the last value that held, within a fraction of a degree, a tenth of a second or of the ice; what ± and \
         assumptions leave open comes on top: `chance` tells.",
        "What the crew see, hear and smell comes first. In doubt stop.",
    ])
}
