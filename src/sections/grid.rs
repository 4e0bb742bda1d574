//! What many cases come to.

use crate::answer::{Cell, Form, Lay, Section, Seen, Sentence, Table, Value, Verdict};
use crate::say;
use crate::study::{Bound, Limit};

/// What so many cases come to: its size does not grow with them.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// How many cases.
    pub all: usize,
    /// How many hold.
    pub holds: usize,
    /// How many break a limit, or are not ready in time.
    pub broken: usize,
    /// How many could not be judged.
    pub not_judged: usize,
    /// How many could not be solved.
    pub unsolved: usize,
    /// The limits.
    pub limits: Vec<LimitTally>,
    /// The first that hold: their number, and what they are made of.
    pub holding: Vec<(usize, Inputs)>,
    /// The first that could not be solved, and why.
    pub why: Vec<(usize, Inputs, String)>,
}

/// Addresses with their values as people read them.
pub type Inputs = Vec<(String, String)>;

/// A limit over many cases.
#[derive(Clone, Debug)]
pub struct LimitTally {
    /// The limit.
    pub limit: Limit,
    /// In how many cases it is kept.
    pub kept: usize,
    /// In how many it is broken.
    pub broken: usize,
    /// The case with the most room.
    pub best: Option<Extreme>,
    /// The case with the least.
    pub worst: Option<Extreme>,
    /// The first case that breaks it without a value, as where the coolant boils: nothing is worse.
    pub beyond: Option<(usize, Inputs)>,
}

/// A case at one end.
#[derive(Clone, Debug)]
pub struct Extreme {
    /// Its number, from 1.
    pub case: usize,
    /// What it is made of.
    pub inputs: Inputs,
    /// The value of the limit's result, SI.
    pub si: f64,
    /// Its margin, SI.
    pub margin: f64,
}

impl Tally {
    /// So many cases are told one by one.
    pub const SHOWN: usize = 8;

    /// How they stand together.
    pub fn verdict(&self) -> Verdict {
        if self.all > 0 && self.unsolved == self.all {
            Verdict::Unsolved
        } else if self.broken > 0 {
            Verdict::Broken
        } else if self.all > 0 && self.holds == self.all {
            Verdict::Holds
        } else {
            Verdict::NotJudged
        }
    }
}

/// Before each line of a verdict.
const NEXT: &str = "\n         ";

/// How many hold, and which limits stand in the way.
pub fn summary(tally: &Tally) -> Section {
    let mut lines = vec![say!(
        "{holds} of {all} cases hold; {broken} are broken, {open} could not be judged, {unsolved} could not be solved",
        holds = Value::judged(tally.holds > 0, tally.holds),
        all = tally.all,
        broken = tally.broken,
        open = tally.not_judged,
        unsolved = tally.unsolved
    )];
    let mut breaks: Vec<&LimitTally> = tally.limits.iter().filter(|of| of.broken > 0).collect();
    breaks.sort_by_key(|of| std::cmp::Reverse(of.broken));
    if !breaks.is_empty() {
        let each = breaks
            .iter()
            .take(Tally::SHOWN)
            .map(|of| say!("{limit} in {count}", limit = &of.limit.name, count = of.broken));
        lines.push(say!("broken most often: {limits}", limits = Value::list(each, ", ")));
    }
    let lines = Value::list(lines, NEXT);
    Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

/// What a case is made of.
fn made_of(inputs: &Inputs) -> Sentence {
    let each = inputs
        .iter()
        .map(|(address, value)| say!("{address}={value}", address = address, value = value));
    say!("{inputs}", inputs = Value::list(each, ", "))
}

/// Every limit at its best and at its worst.
pub fn limits(tally: &Tally) -> Section {
    let mut table = Table::new()
        .broken_words("limit", "limit", 22)
        .words("bound", "bound")
        .values("kept", "kept\nin")
        .values("worst", "worst")
        .values("worst_case", "in\ncase")
        .values("best", "best")
        .values("best_case", "in\ncase")
        .for_programs("broken", None)
        .for_programs("worst_margin", None)
        .for_programs("worst_inputs", None)
        .for_programs("best_margin", None)
        .for_programs("best_inputs", None)
        .mixed();
    for of in &tally.limits {
        let Limit { kind, bound, value, .. } = of.limit;
        let form = of.worst.as_ref().map_or(Form::Usual, |worst| Form::Beside(worst.si));
        let bound_at = Value::formed(kind, value, form);
        let bounded = match bound {
            Bound::AtLeast => say!("at least {bound}", bound = bound_at),
            Bound::AtMost => say!("at most {bound}", bound = bound_at),
        };
        let shown = |end: &Option<Extreme>| -> Cell {
            let Some(end) = end else { return Value::Nothing.into() };
            Cell::from(Value::formed(kind, end.si, Form::Beside(value))).judged(end.margin >= 0.0)
        };
        let case = |end: &Option<Extreme>| end.as_ref().map(|end| Value::Count(end.case));
        let beyond = of.beyond.as_ref();
        let worst: Cell = match beyond {
            Some(_) => Cell::from(Value::from("broken")).judged(false),
            None => shown(&of.worst),
        };
        let worst_case = beyond.map(|(case, _)| Value::Count(*case)).or_else(|| case(&of.worst));
        let margin = |end: &Option<Extreme>| {
            let kind = crate::answer::kinds::difference(kind);
            end.as_ref().map(|end| Value::of(kind, end.margin))
        };
        let inputs = |end: &Option<Extreme>| end.as_ref().map(|end| made_of(&end.inputs));
        let cells: [Cell; 12] = [
            (&of.limit.name).into(),
            bounded.into(),
            Cell::from(Value::Count(of.kept)).judged(of.kept == tally.all),
            worst,
            worst_case.into(),
            shown(&of.best),
            case(&of.best).into(),
            Value::Count(of.broken).into(),
            margin(&of.worst).filter(|_| beyond.is_none()).into(),
            beyond.map(|(_, inputs)| made_of(inputs)).or_else(|| inputs(&of.worst)).into(),
            margin(&of.best).into(),
            inputs(&of.best).into(),
        ];
        let quiet = of.limit.built_in.is_some() && of.kept == tally.all;
        let seen = if quiet { Seen::Programs } else { Seen::All };
        table.add(Some(of.limit.of.clone()), cells, seen);
    }
    Section::new("limits", "Limits over all cases").table(table)
}

/// What a HOLDS of a study leaves out.
pub const UNWEIGHED: &str = "Whether ± or an assumption could turn a HOLDS is not worked out here: `cycle`, `point` or `compare` of the case \
     that is chosen tells it.";

/// The first cases that hold.
pub fn holding(tally: &Tally) -> Section {
    let mut table = Table::new().values("case", "case").broken_words("inputs", "with", 86);
    for (case, inputs) in &tally.holding {
        let cells: [Cell; 2] = [Value::Count(*case).into(), made_of(inputs).into()];
        table.line(cells);
    }
    let more = tally.holds.saturating_sub(tally.holding.len());
    let section = Section::new("holding", "Cases that hold").table(table);
    let section =
        if tally.holding.is_empty() { section } else { section.say(UNWEIGHED, Lay::Paragraph) };
    if more == 0 {
        return section;
    }
    section.say(
        say!("And {more} more: the rows that `-o` writes have them.", more = more),
        Lay::Paragraph,
    )
}

/// The first cases that could not be solved, and why.
pub fn unsolved(tally: &Tally) -> Section {
    let mut table = Table::new()
        .values("case", "case")
        .broken_words("inputs", "with", 40)
        .broken_words("why", "why", 44);
    for (case, inputs, why) in &tally.why {
        let cells: [Cell; 3] =
            [Value::Count(*case).into(), made_of(inputs).into(), Value::from(why).into()];
        table.line(cells);
    }
    Section::new("unsolved", "Cases that could not be solved").table(table)
}
