//! The values with which all limits hold.

use coolwright_cases::quantity::Kind;

use super::verdict;
use crate::answer::{Cell, Form, Lay, Section, Seen, Sentence, Table, Value, Verdict};
use crate::say;
use crate::study::{Beyond, Edge, Judged, Range, Room, Sample, Sizing, Window};

/// What is sought.
#[derive(Clone, Debug)]
pub struct Sought<'a> {
    /// The addresses that get one value together.
    pub addresses: &'a [String],
    /// Where it is sought.
    pub range: Range,
    /// What every limit is to be kept by.
    pub room: &'a Room,
    /// Of a bore the next that is sold, m, and whether all limits hold with it.
    pub sold: Option<(f64, bool)>,
}

/// Before each line of a verdict.
const NEXT: &str = "\n         ";

impl Sought<'_> {
    fn value(&self, si: f64) -> Value {
        Value::of(self.range.kind, si)
    }

    /// The ends of what holds, rounded so that they hold too.
    fn ends(&self, window: &Window) -> [Value; 2] {
        [(window.from.si, Form::From), (window.to.si, Form::UpTo)]
            .map(|(si, form)| Value::formed(self.range.kind, si, form))
    }

    fn names(&self) -> Value {
        Value::list(self.addresses.iter().map(|of| say!("`{address}`", address = of)), " and ")
    }
}

/// The range that holds which is nearest to the value of the case.
pub fn chosen(range: Range, found: &Sizing) -> Option<&Window> {
    let off = |window: &Window| (window.from.si - range.now).max(range.now - window.to.si).max(0.0);
    found.windows.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// What holds, which way is safe, and what stands beyond it.
pub fn summary(sought: &Sought<'_>, found: &Sizing) -> Section {
    let lines = match chosen(sought.range, found) {
        Some(window) => holding(sought, found, window),
        None => nowhere(sought, found),
    };
    let lines = Value::list(lines, NEXT);
    Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

fn holding(sought: &Sought<'_>, found: &Sizing, window: &Window) -> Vec<Sentence> {
    let open = |edge: &Edge| edge.beyond == Beyond::End;
    let [from, to] = sought.ends(window);
    let so = match (open(&window.from), open(&window.to)) {
        (true, true) => say!("of every value from {from} to {to}", from = from, to = to),
        (false, true) => say!("of at least {from}", from = from),
        (true, false) => say!("of at most {to}", to = to),
        (false, false) => say!("from {from} to {to}", from = from, to = to),
    };
    let now = sought.range.now;
    let [least, most] = sought.range.ends;
    let is_tried = now >= least && now <= most;
    let is_in = now >= window.from.si && now <= window.to.si;
    let stands = say!(
        "{holds} with {addresses} {so}; now {now}, which {does}",
        holds = Value::judged(true, "HOLDS"),
        addresses = sought.names(),
        so = so,
        now = sought.value(now),
        does = match (is_tried, is_in) {
            (false, _) => "was not tried",
            (true, true) => "holds",
            (true, false) => "does not",
        }
    );
    let mut lines = vec![stands];
    lines.extend(sought.sold.map(|(bore_m, holds)| sold(bore_m, holds)));
    for (edge, side) in [(&window.from, "less"), (&window.to, "more")] {
        lines.push(beyond(sought, edge, side));
    }
    if found.windows.len() > 1 {
        lines.push(say!(
            "{count} ranges hold, with values between them that do not: this is the one nearest to what the case has",
            count = found.windows.len()
        ));
    }
    lines
}

fn sold(bore_m: f64, holds: bool) -> Sentence {
    let bore = Value::of(Kind::Length, bore_m);
    if holds {
        say!("the next hose that is sold has {bore}, which holds", bore = bore)
    } else {
        say!("the next hose that is sold has {bore}, which is too wide already", bore = bore)
    }
}

/// What stands beyond an edge.
fn beyond(sought: &Sought<'_>, edge: &Edge, side: &'static str) -> Sentence {
    let lacks = if *sought.room == Room::None { "fails" } else { "lacks its margin" };
    match &edge.beyond {
        Beyond::End => {
            say!("{side} than {end} was not tried", side = side, end = sought.value(edge.si))
        }
        Beyond::Limit(limit) => {
            say!("with {side}, {limit} {lacks}", side = side, limit = limit, lacks = lacks)
        }
        Beyond::NotJudged(limit) => {
            say!("with {side}, {limit} is not judged", side = side, limit = limit)
        }
        Beyond::Other(None) => {
            say!("with {side}, something fails that no limit speaks of", side = side)
        }
        Beyond::Other(Some(why)) => say!("with {side}: {why}", side = side, why = why.clone()),
    }
}

/// That no value holds, what comes closest, and which limits stand in the way.
fn nowhere(sought: &Sought<'_>, found: &Sizing) -> Vec<Sentence> {
    let [a, b] = sought.range.ends.map(|si| sought.value(si));
    let mut lines = vec![say!(
        "{no} of {addresses} from {from} to {to} makes all limits hold",
        no = Value::judged(false, "NO VALUE"),
        addresses = sought.names(),
        from = a,
        to = b
    )];
    if let Some(best) = best(found) {
        let fails = best.fails(&found.scales).map_or_else(
            || "what no limit speaks of stands against it".into(),
            |one| say!("{limit} {margin}", limit = &one.limit.name, margin = is(one)),
        );
        let fails = match best.short() {
            0 | 1 => fails,
            n => say!("{count} limits fail, the tightest: {fails}", count = n, fails = fails),
        };
        lines.push(say!(
            "closest comes {value}: {fails}",
            value = sought.value(best.si),
            fails = fails
        ));
    }
    if found.moves_nothing() {
        lines.push("this number moves no limit at all between the values tried".into());
    }
    let never: Vec<&str> =
        ways(found).into_iter().filter(|way| way.at.is_empty()).map(|way| way.name).collect();
    if !never.is_empty() {
        let names = Value::list(never, ", ");
        lines.push(say!("no value mends {limits}: look elsewhere, with `levers`", limits = names));
    }
    lines
}

fn is(one: &Judged) -> Value {
    match verdict::margin(one) {
        Value::Judged(false, words) => say!("is {words}", words = *words).into(),
        other => say!("{words} only, which is less than asked for", words = other).into(),
    }
}

/// The sample that comes closest to holding: with the fewest limits that fail, and of those the tightest furthest on the
/// good side.
fn best(found: &Sizing) -> Option<&Sample> {
    let score = |sample: &Sample| sample.score(&found.scales);
    let solved = found.samples.iter().filter(|sample| sample.refused.is_none());
    // What only lacks room is better than what fails.
    let fails = |sample: &Sample| sample.judged.iter().filter(|one| !one.holds()).count();
    let key = |sample: &Sample| (fails(sample), sample.short(), -score(sample));
    let better = |a: &Sample, b: &Sample| key(a) < key(b);
    solved.reduce(|best, sample| if better(sample, best) { sample } else { best })
}

/// The ranges that hold, and what stands beyond their edges.
pub fn ranges(sought: &Sought<'_>, found: &Sizing) -> Section {
    let mut table = Table::new()
        .numbers("from", "from", sought.range.kind)
        .numbers("to", "to", sought.range.kind)
        .broken_words("below", "below it", 36)
        .broken_words("above", "above it", 36);
    let words = |edge: &Edge| match &edge.beyond {
        Beyond::End => Value::from("not tried"),
        Beyond::Limit(limit) => say!("{limit} fails", limit = limit).into(),
        Beyond::NotJudged(limit) => say!("{limit} is not judged", limit = limit).into(),
        Beyond::Other(None) => "fails by what no limit speaks of".into(),
        Beyond::Other(Some(why)) => why.clone().into(),
    };
    for window in &found.windows {
        let [from, to] = sought.ends(window);
        let cells: [Cell; 4] =
            [from.into(), to.into(), words(&window.from).into(), words(&window.to).into()];
        table.line(cells);
    }
    let section = Section::new("ranges", "Values with which all limits hold").table(table);
    if found.windows.is_empty() {
        return section;
    }
    section.aside(
        "Every edge is found to 0.02 % of it, and rounded to the side that holds. What ± and assumptions leave open comes \
         on top: `--margin` asks for room.",
        Lay::Paragraph,
    )
}

/// At which values a limit holds.
struct Way<'a> {
    name: &'a str,
    /// The values with which it holds, of those that were tried, SI.
    at: Vec<f64>,
}

/// The limits that some value that was tried does not keep.
fn ways(found: &Sizing) -> Vec<Way<'_>> {
    let solved: Vec<&Sample> = found.samples.iter().filter(|s| s.refused.is_none()).collect();
    let mut all: Vec<Way<'_>> = Vec::new();
    for sample in &solved {
        for (judged, spare) in sample.judged.iter().zip(&sample.spare) {
            let name = judged.limit.name.as_str();
            let k = all.iter().position(|way| way.name == name).unwrap_or_else(|| {
                all.push(Way { name, at: Vec::new() });
                all.len() - 1
            });
            if judged.holds() && spare.is_none_or(|spare| spare >= 0.0) {
                all[k].at.push(sample.si);
            }
        }
    }
    // What is only not judged somewhere, as the cycle ends there, is not what stands in the way.
    let fails = |name: &str| {
        solved.iter().any(|sample| {
            sample.judged.iter().zip(&sample.spare).any(|(judged, spare)| {
                judged.limit.name == name
                    && (judged.is_broken() || spare.is_some_and(|spare| spare < 0.0))
            })
        })
    };
    all.retain(|way| fails(way.name));
    all
}

/// All values that the range was looked at with.
pub fn tried(sought: &Sought<'_>, found: &Sizing) -> Section {
    let mut table = Table::new()
        .numbers("value", "value", sought.range.kind)
        .words("verdict", "all limits")
        .words("tightest", "tightest")
        .broken_words("margin", "which", 40)
        .for_programs("holds", None)
        .for_programs("tightest_value", None);
    for sample in &found.samples {
        let tightest = sample.tightest(&found.scales);
        let fails = sample.fails(&found.scales).is_some();
        let margin = match (&sample.refused, &sample.against, tightest) {
            (Some(why), _, _) => why.clone().into(),
            (None, Some(why), _) if !fails => why.clone().into(),
            (None, _, Some(one)) => verdict::margin(one),
            (None, _, None) => Value::Nothing,
        };
        let value = tightest.and_then(|one| Some(Value::of(one.limit.kind, one.value?)));
        let holds = sample.holds();
        let word = match (&sample.refused, holds) {
            (Some(_), _) => Value::judged(false, "REFUSED"),
            (None, false) if sample.verdict == Verdict::Holds => Value::judged(false, "TOO CLOSE"),
            (None, _) => verdict::word(sample.verdict),
        };
        let cells: [Cell; 6] = [
            Value::formed(sought.range.kind, sample.si, Form::Usual).into(),
            Cell::from(word).judged(holds),
            tightest.map(|one| Value::from(&one.limit.name)).into(),
            margin.into(),
            if holds { "true" } else { "false" }.into(),
            value.into(),
        ];
        table.add(None, cells, if sample.at_first { Seen::All } else { Seen::Programs });
    }
    Section::new("tried", "Values that were tried").support().table(table)
}
