//! Variants side by side.

use coolwright_cases::case::Change;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::History;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;
use coolwright_models::results::{Catalogue, Entry, Quantity, Results};

use super::beside::Beside;
use super::changed::{Changed, smallest};
use super::verdict;
use crate::answer::{Cell, Lay, ResultValue, Section, Seen, Sentence, Table, Value, Verdict};
use crate::say;
use crate::study::{Influence, Judged};
use crate::words::warnings::together;

/// Least and most of one result over a cycle.
#[derive(Clone, Debug)]
pub struct Peak {
    /// Whose.
    pub entry: Entry,
    /// Least value, SI, and when, s.
    pub least: (f64, f64),
    /// Most, and when.
    pub most: (f64, f64),
}

/// Least and most of results over a cycle, with their moments.
#[derive(Clone, Debug, Default)]
pub struct Peaks(Vec<Peak>);

impl Peaks {
    /// Those of all that a history holds.
    pub fn of(history: &History) -> Self {
        let entries = history.catalogue.entries().iter().enumerate();
        let one = |(index, entry): (usize, &Entry)| {
            let values = || history.rows.iter().map(|row| row[index]).zip(&history.times_s);
            let pick = |a: (f64, f64), b: (f64, f64), sign: f64| {
                if sign * b.0 < sign * a.0 { b } else { a }
            };
            let all = || values().filter(|(v, _)| v.is_finite()).map(|(v, &t)| (v, t));
            let least = all().reduce(|a, b| pick(a, b, 1.0))?;
            let most = all().reduce(|a, b| pick(a, b, -1.0))?;
            Some(Peak { entry: entry.clone(), least, most })
        };
        Self(entries.filter_map(one).collect())
    }

    fn find(&self, address: &str) -> Option<&Peak> {
        self.0.iter().find(|peak| peak.entry.address == address)
    }
}

/// What was found of a variant.
#[derive(Clone, Debug)]
pub enum Found {
    /// Nothing: it could not be solved.
    Nothing,
    /// The results at its operating point.
    Point(Results),
    /// Least and most over its duty cycle.
    Cycle(Peaks),
}

/// One variant, solved or not.
#[derive(Clone, Debug)]
pub struct Variant {
    /// Its name.
    pub name: String,
    /// How it stands.
    pub verdict: Verdict,
    /// Its limits.
    pub judged: Vec<Judged>,
    /// The same as a section, for programs.
    pub limits: Option<Section>,
    /// What is broken and what was not judged, in words.
    pub details: Vec<Sentence>,
    /// The same with limits counted where many are not judged for one reason.
    pub counted: Vec<Sentence>,
    /// What stands beside its verdict.
    pub beside: Beside,
    /// What would come of it if its cycle went on.
    pub outlook: Vec<Sentence>,
    /// What has no steady state, or where its cycle ends early.
    pub ends: Option<Section>,
    /// What was found.
    pub found: Found,
    /// Why it could not be solved.
    pub unsolved: Option<Sentence>,
    /// Paths of its pumps, several under one name as one.
    pub pumps: Vec<String>,
    /// What its assumptions could change.
    pub influences: Vec<Influence>,
    /// Where laws left their ranges, in words.
    pub warnings: Vec<Sentence>,
    /// What it changes, and what there is of it.
    pub changed: Changed,
}

impl Variant {
    /// A variant that could not be solved.
    pub fn unsolved(name: String, why: Sentence) -> Self {
        Self {
            name,
            verdict: Verdict::Unsolved,
            judged: Vec::new(),
            limits: None,
            details: Vec::new(),
            counted: Vec::new(),
            beside: Beside::default(),
            outlook: Vec::new(),
            ends: None,
            found: Found::Nothing,
            unsolved: Some(why),
            pumps: Vec::new(),
            influences: Vec::new(),
            warnings: Vec::new(),
            changed: Changed::default(),
        }
    }

    /// How it stands.
    pub fn verdict(&self) -> Verdict {
        self.verdict
    }

    /// What its verdict says beside its word.
    pub fn told(&self) -> Vec<Sentence> {
        let bars = &self.beside.variant_bars;
        let all = self.beside.told().chain(&self.details).chain(&self.outlook).chain(bars);
        all.cloned().collect()
    }

    /// Its results at the operating point, for programs.
    pub fn results(&self) -> Vec<ResultValue> {
        match &self.found {
            Found::Point(results) => results
                .catalogue
                .entries()
                .iter()
                .zip(&results.values)
                .map(|(entry, &value)| ResultValue {
                    address: entry.address.clone(),
                    kind: entry.quantity.kind,
                    label: entry.quantity.label,
                    formula: entry.quantity.formula,
                    value,
                    uncertainty: None,
                    bounds: None,
                })
                .collect(),
            Found::Nothing | Found::Cycle(_) => Vec::new(),
        }
    }

    /// Notes what it changes and costs, with what there is of its coolant and current.
    pub fn note(&mut self, changes: Vec<Change>, price: Option<f64>) {
        let least = |value: f64, (_, least): (&Entry, [f64; 2])| value + least[0];
        let all = self.ends();
        let circuits = || all.iter().filter(|(entry, _)| entry.quantity == &q::COOLANT_VOLUME);
        // While there is ice there is less of it.
        let coolant_m3 = circuits().next().map(|_| circuits().copied().fold(0.0, least));
        let mut supplies = all
            .iter()
            .filter(|(entry, _)| matches!(entry.id, Id::Supply(_)) && entry.quantity == &q::SUPPLY);
        let current_a = supplies.next().map(|(_, [_, most])| *most);
        let current_a = current_a.filter(|_| supplies.next().is_none());
        self.changed = Changed { changes, price, coolant_m3, current_a };
    }

    /// Its results with least and most.
    fn ends(&self) -> Vec<(&Entry, [f64; 2])> {
        match &self.found {
            Found::Nothing => Vec::new(),
            Found::Point(results) => {
                let values = results.values.iter().map(|value| [*value; 2]);
                results.catalogue.entries().iter().zip(values).collect()
            }
            Found::Cycle(peaks) => {
                peaks.0.iter().map(|peak| (&peak.entry, [peak.least.0, peak.most.0])).collect()
            }
        }
    }
}

/// Which of them hold, in a sentence each, and what follows from it. `survey` says that it is of one moment
/// of a case that has a duty cycle.
pub fn summary(variants: &[Variant], survey: bool, case_bars: &[Sentence]) -> Vec<Section> {
    let with = |details: fn(&Variant) -> &[Sentence]| {
        let one = |variant| line(variant, details(variant), &variants[0]);
        let mut lines: Vec<Sentence> = variants.iter().map(one).collect();
        lines.extend(conclusion(variants, survey));
        lines.extend(smallest(variants));
        lines.extend(case_bars.iter().cloned());
        let lines = Value::list(lines, "\n         ");
        Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
    };
    let whole = with(|variant| &variant.details);
    if variants.len() > MANY {
        return vec![in_short(variants, survey, case_bars).brief(), whole.detail()];
    }
    if variants.iter().all(|variant| variant.counted == variant.details) {
        return vec![whole];
    }
    vec![with(|variant| &variant.counted).brief(), whole.detail()]
}

/// Of more variants than this each has one line where the answer is cut to what matters.
const MANY: usize = 8;

/// The same with a line for each.
fn in_short(variants: &[Variant], survey: bool, case_bars: &[Sentence]) -> Section {
    let one = |variant: &Variant| match &variant.unsolved {
        Some(why) => say!(
            "{variant}: {verdict}, {why}",
            variant = &variant.name,
            verdict = verdict::word(variant.verdict),
            why = why.clone()
        ),
        None => say!(
            "{variant}: {verdict}{but}",
            variant = &variant.name,
            verdict = verdict::word(variant.verdict),
            but = but(variant)
        ),
    };
    let mut lines: Vec<Sentence> = variants.iter().map(one).collect();
    lines.extend(conclusion(variants, survey));
    lines.extend(smallest(variants));
    lines.extend(case_bars.iter().cloned());
    let lines = Value::list(lines, "\n         ");
    Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

/// What speaks against a variant that holds.
fn but(variant: &Variant) -> &'static str {
    let turns = variant.judged.iter().any(Judged::may_turn);
    match (holds(variant), turns, variant.beside.is_quiet()) {
        (true, true, true) => ", but it could turn",
        (true, true, false) => ", but it could turn, and something speaks against it",
        (true, false, false) => ", but something speaks against it",
        _ => "",
    }
}

/// How a variant stands. What its cycle would come to is told where it holds, and where that is not what
/// is told of the case as it stands.
fn line(variant: &Variant, details: &[Sentence], base: &Variant) -> Sentence {
    let (name, word) = (&variant.name, verdict::word(variant.verdict));
    let of_base = |words: &&Sentence| {
        variant.name != base.name && base.outlook.iter().any(|known| known == *words)
    };
    let outlook = variant.outlook.iter().filter(|words| holds(variant) && !of_base(words));
    let bars = &variant.beside.variant_bars;
    // What all stands against the case as it is stands against a variant in the same words.
    let in_variant = |words| variant.beside.told().any(|own| own == words);
    let all_of_base = variant.name != base.name && base.beside.told().all(in_variant);
    let known =
        |words: &Sentence| all_of_base && base.beside.told().any(|of_base| of_base == words);
    let own = variant.beside.told().filter(|words| !known(words));
    let all = own.chain(details).chain(outlook).chain(bars);
    let mut told: Vec<Sentence> = all.cloned().collect();
    if variant.beside.told().any(known) {
        told.push("what else speaks against the case as it stands speaks against it too".into());
    }
    match &variant.unsolved {
        Some(why) => {
            say!("{variant}: {verdict}, {why}", variant = name, verdict = word, why = why.clone())
        }
        None if told.is_empty() => {
            say!("{variant}: {verdict}", variant = name, verdict = word)
        }
        None => {
            say!(
                "{variant}: {verdict}{but}{next}{which}",
                variant = name,
                verdict = word,
                but = but(variant),
                next = DETAIL,
                which = Value::list(told, DETAIL)
            )
        }
    }
}

/// Before each detail of a variant.
const DETAIL: &str = "\n           - ";

/// Whether a variant holds all limits.
fn holds(variant: &Variant) -> bool {
    variant.verdict == Verdict::Holds
}

/// What follows from it; a survey of one moment is no judge.
fn conclusion(variants: &[Variant], survey: bool) -> Option<Sentence> {
    let (base, others) = variants.split_first()?;
    if variants.iter().all(|variant| variant.verdict == Verdict::Unsolved) {
        return Some("None of them could be solved.".into());
    }
    let own = |variant: &Variant| variant.judged.iter().any(|j| j.limit.built_in.is_none());
    if !variants.iter().any(own) {
        return Some(
            "The case sets no limits of its own: this says only that the built-in ones are kept or not, \
             not which is better."
                .into(),
        );
    }
    let is_sure = |variant: &&Variant| {
        variant.beside.is_quiet() && !variant.judged.iter().any(Judged::may_turn)
    };
    let (sure, unsure): (Vec<&Variant>, Vec<&Variant>) =
        others.iter().filter(|variant| holds(variant)).partition(is_sure);
    // What holds as it asks for less, or by moved limits, is no remedy.
    let (easier, unsure): (Vec<&Variant>, Vec<&Variant>) =
        unsure.into_iter().partition(|variant| !variant.beside.variant_bars.is_empty());
    let enough = match (survey, is_sure(&base)) {
        (true, _) => " at this moment",
        (false, true) => ": no change is needed",
        (false, false) => ", but not for sure",
    };
    let hold = hold(&sure, &unsure, holds(base))
        .map_or_else(|| Sentence::from(""), |hold| say!(" {hold}.", hold = hold));
    let none = match (sure.is_empty() && unsure.is_empty(), easier.is_empty()) {
        (false, _) => "",
        // Where nothing has to change, what would change it holds no better.
        (true, _) if holds(base) && !survey && is_sure(&base) => {
            "; every variant is broken, not judged, or not for sure"
        }
        (true, true) => "; no variant is known to hold",
        (true, false) => "; no other variant is known to hold",
    };
    let easier = if easier.is_empty() {
        Sentence::from("")
    } else {
        say!(" For asking less, or by other limits: {names}.", names = names(&easier))
    };
    let base_is = match base.verdict {
        Verdict::Holds => say!("The case holds as it stands{enough}", enough = enough),
        Verdict::Broken => "The case does not hold as it stands".into(),
        _ => "The case is not known to hold as it stands".into(),
    };
    Some(say!(
        "{base_is}{none}.{hold}{easier}",
        base_is = base_is,
        none = none,
        hold = hold,
        easier = easier
    ))
}

/// Names of variants.
fn names(variants: &[&Variant]) -> Value {
    Value::list(variants.iter().map(|variant| say!("`{name}`", name = &variant.name)), ", ")
}

/// Which variants hold, and which of them not for sure: what could turn them, or speaks against them, stands above.
fn hold(sure: &[&Variant], unsure: &[&Variant], too: bool) -> Option<Sentence> {
    let does = |variants: &[&Variant]| if variants.len() == 1 { "holds" } else { "hold" };
    match (sure.is_empty(), unsure.is_empty()) {
        (true, true) => None,
        (false, true) => Some(say!(
            "{names} {hold}{too}",
            names = names(sure),
            hold = does(sure),
            too = if too { " too" } else { "" }
        )),
        (true, false) => Some(say!(
            "{names} {hold}, but not for sure",
            names = names(unsure),
            hold = does(unsure)
        )),
        (false, false) => Some(say!(
            "{names} {hold}; {others} {too} too, but not for sure",
            names = names(sure),
            hold = does(sure),
            others = names(unsure),
            too = does(unsure)
        )),
    }
}

/// By what the variants were judged.
pub fn judged_by(over_cycle: bool, duty: bool) -> Section {
    let words = match (over_cycle, duty) {
        (true, _) => "Judged by the duty cycle; `--point` compares operating points instead.",
        (false, true) => {
            "A survey of one moment, everything kept up for good. The duty cycle is the judge: leave `--point` \
             out."
        }
        (false, false) => {
            "Judged at one operating point, everything kept up: the case has no duty cycle."
        }
    };
    Section::plain("judged_by").say(words, Lay::Paragraph)
}

/// What has no steady state, and which cycles end early.
pub fn ends(variants: &[Variant]) -> Vec<Section> {
    let of = |variant: &Variant| {
        let mut section = variant.ends.clone()?;
        let title = say!("`{variant}`", variant = &variant.name);
        (section.title, section.apart) = (Some(title), true);
        Some(section.of(&variant.name))
    };
    variants.iter().filter_map(of).collect()
}

/// How the tables of an answer are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Made {
    /// With the moment of each value, for those who ask for all.
    Whole { over_cycle: bool },
    /// Values alone, where the answer is cut to what matters.
    Brief { over_cycle: bool },
}

impl Made {
    fn both(over_cycle: bool) -> [Self; 2] {
        [Self::Brief { over_cycle }, Self::Whole { over_cycle }]
    }

    /// Whether a row says which end of a range it tells; else its title does.
    fn told_of_ends(self) -> bool {
        self == Self::Whole { over_cycle: true }
    }

    /// A table with a column for each variant; what the rows are is `name`.
    fn table(self, variants: &[Variant], name: &str) -> Table {
        let table = match self {
            Self::Whole { .. } => Table::new().words(name, "").mixed().in_blocks(),
            Self::Brief { .. } => Table::new().words(name, "").compared(),
        };
        variants.iter().fold(table, |table, variant| table.values(&variant.name, &variant.name))
    }

    fn section(self, name: &'static str, title: &'static str, table: Table) -> Section {
        let section = Section::new(name, title).table(table);
        match self {
            Self::Whole { .. } => section.detail(),
            Self::Brief { .. } => section.brief(),
        }
    }

    /// A value, with its moment where that is told.
    fn value(self, kind: Kind, (value, at): (f64, f64)) -> Value {
        let value = Value::of(kind, value);
        match self {
            Self::Whole { .. } => {
                say!("{value} at {moment}", value = value, moment = Value::clock(at)).into()
            }
            Self::Brief { .. } => value,
        }
    }
}

/// The limits, side by side, with moments and without. People see the built-in ones where one of them is not kept, and those against
/// boiling.
pub fn limits(variants: &[Variant], over_cycle: bool) -> [Section; 2] {
    Made::both(over_cycle).map(|made| limits_as(made, variants))
}

fn limits_as(made: Made, variants: &[Variant]) -> Section {
    let mut rows = made.table(variants, "limit").marked();
    let key =
        |judged: &Judged| (judged.limit.name.clone(), judged.limit.of.clone(), judged.limit.bound);
    let mut known = Vec::new();
    for judged in variants.iter().flat_map(|variant| &variant.judged) {
        if known.contains(&key(judged)) {
            continue;
        }
        known.push(key(judged));
        let limit = &judged.limit.name;
        let name = match made {
            Made::Brief { .. } if judged.limit.built_in.is_some() => say!("{limit}", limit = limit),
            _ => say!("{limit} ({bound})", limit = limit, bound = verdict::bound(judged)),
        };
        let of = |variant: &Variant| variant.judged.iter().find(|j| key(j) == key(judged)).cloned();
        let cell = |found: &Option<Judged>| match found {
            None => Cell::from(Value::Nothing),
            Some(judged) => Cell::from(at_worst(made, judged)).judged(judged.holds()),
        };
        let found: Vec<Option<Judged>> = variants.iter().map(of).collect();
        let seen = found.iter().flatten().any(|judged| verdict::seen(judged).by_people());
        let cells = std::iter::once(name.into()).chain(found.iter().map(cell));
        let seen = if seen { Seen::All } else { Seen::Programs };
        rows.add(Some(judged.limit.of.clone()), cells, seen);
    }
    let title = match made {
        Made::Whole { over_cycle: true } => {
            "Limits (worst over the cycle, with its moment); ! is broken or not judged"
        }
        Made::Brief { over_cycle: true } => {
            "Limits (worst over the cycle); ! is broken or not judged"
        }
        _ => "Limits; ! is broken or not judged",
    };
    made.section("limits", title, rows)
}

/// A value, with its moment where there is one.
fn at_worst(made: Made, judged: &Judged) -> Value {
    match (judged.value, judged.at_s) {
        (Some(value), Some(at)) => made.value(judged.limit.kind, (value, at)),
        _ => verdict::value(judged),
    }
}

/// Which end of a result's range matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Least,
    Most,
}

/// What is told of a pump.
static OF_PUMPS: [(&Quantity, &str, End); 4] = [
    (&q::FLOW, "flow", End::Least),
    (&q::HEAD, "head", End::Most),
    (&q::CURRENT, "current", End::Most),
    (&q::SUCTION_MARGIN, "suction margin", End::Least),
];

/// Which results are compared over a cycle, by their places.
pub fn worth_comparing(catalogue: &Catalogue, pumps: &[String]) -> Vec<usize> {
    let entries = catalogue.entries().iter().enumerate();
    let of_pump = |entry: &Entry| {
        OF_PUMPS.iter().any(|(quantity, ..)| {
            &entry.quantity == quantity
                && pumps.iter().any(|path| entry.address == format!("{path}:{}", quantity.name))
        })
    };
    let beside = [&q::ICE, &q::COOLANT_VOLUME];
    let worth = |e: &Entry| of_totals(e).is_some() || of_pump(e) || beside.contains(&e.quantity);
    entries.filter(|(_, e)| worth(e)).map(|(index, _)| index).collect()
}

/// Flow, head, current and suction of every pump.
pub fn pumps(variants: &[Variant], over_cycle: bool) -> [Section; 2] {
    Made::both(over_cycle).map(|made| pumps_as(made, variants))
}

fn pumps_as(made: Made, variants: &[Variant]) -> Section {
    let mut paths: Vec<&String> = variants.iter().flat_map(|variant| &variant.pumps).collect();
    paths.sort();
    paths.dedup();
    let mut rows = made.table(variants, "pump");
    for path in paths {
        for (quantity, label, end) in OF_PUMPS {
            let cell =
                |variant: &Variant| at(made, variant, &format!("{path}:{}", quantity.name), end);
            let end = word(end, made.told_of_ends());
            let name = say!("{pump} {end}{what}", pump = path, end = end, what = label);
            let cells = std::iter::once(name.into()).chain(variants.iter().map(cell));
            rows.row(format!("{path}:{}", quantity.name), cells);
        }
    }
    let title = match made {
        Made::Brief { over_cycle: true } => {
            "Pumps (several under one name together; least flow and suction margin, most head and current)"
        }
        _ => "Pumps (several under one name together)",
    };
    made.section("pumps", title, rows)
}

/// The word for an end of a range over a cycle.
fn word(end: End, over_cycle: bool) -> &'static str {
    match (over_cycle, end) {
        (false, _) => "",
        (true, End::Least) => "least ",
        (true, End::Most) => "most ",
    }
}

/// The result of a variant at an address; things of two variants that have the same address may stand at
/// different places of their models. Over a cycle it is least or most, with its moment.
fn at(made: Made, variant: &Variant, address: &str, end: End) -> Cell {
    let value = match &variant.found {
        Found::Nothing => None,
        Found::Point(results) => results.catalogue.find(address).and_then(|index| {
            let kind = results.catalogue.entries()[index].quantity.kind;
            let value = results.values[index];
            (!value.is_nan()).then(|| Value::of(kind, value))
        }),
        Found::Cycle(peaks) => peaks.find(address).map(|peak| {
            let at = if end == End::Least { peak.least } else { peak.most };
            made.value(peak.entry.quantity.kind, at)
        }),
    };
    value.into()
}

/// Which results of heat sources, cores, charge air and the supply are compared, and which end of them.
fn of_totals(entry: &Entry) -> Option<End> {
    let quantity = entry.quantity;
    match entry.id {
        Id::Body(_) if quantity == &q::COOLANT_FLOW => Some(End::Least),
        Id::Body(_)
            if [&q::COOLANT_RISE, &q::METAL, &q::WALL, &q::CRITICAL_SHARE, &q::FLOW_RATIO]
                .contains(&quantity) =>
        {
            Some(End::Most)
        }
        Id::Core(_) if quantity == &q::REJECTED => Some(End::Most),
        Id::Circuit(_) if quantity == &q::BOIL_MARGIN => Some(End::Least),
        Id::ChargeAir(_) if [&q::MANIFOLD, &q::CHARGE_CONDENSED].contains(&quantity) => {
            Some(End::Most)
        }
        Id::ChargeAir(_) if quantity == &q::MANIFOLD_DENSITY => Some(End::Least),
        Id::Supply(_) if quantity == &q::TERMINAL => Some(End::Least),
        Id::Supply(_) => Some(End::Most),
        _ => None,
    }
}

/// The results of a variant that are worth a row.
fn entries(variant: &Variant) -> Vec<(&Entry, f64)> {
    variant.ends().into_iter().map(|(entry, [_, most])| (entry, most)).collect()
}

/// Heat sources, cores, and the current of everything.
pub fn totals(variants: &[Variant], over_cycle: bool) -> [Section; 2] {
    Made::both(over_cycle).map(|made| totals_as(made, variants))
}

fn totals_as(made: Made, variants: &[Variant]) -> Section {
    // A single pass has nothing to share out.
    let even = |address: &str| {
        let of = |variant: &Variant| {
            entries(variant).iter().all(|(e, value)| e.address != address || *value <= 1.0)
        };
        variants.iter().all(of)
    };
    let mut wanted: Vec<(String, End)> = Vec::new();
    for variant in variants {
        for (entry, _) in entries(variant) {
            let Some(end) = of_totals(entry) else { continue };
            let known = wanted.iter().any(|(address, _)| *address == entry.address);
            if !known && (entry.quantity != &q::FLOW_RATIO || !even(&entry.address)) {
                wanted.push((entry.address.clone(), end));
            }
        }
    }
    let mut rows = made.table(variants, "result");
    for (address, end) in &wanted {
        let cells = variants.iter().map(|variant| at(made, variant, address, *end));
        let name = say!("{end}{result}", end = word(*end, made.told_of_ends()), result = address);
        rows.row(address, std::iter::once(name.into()).chain(cells));
    }
    let title = match made {
        Made::Brief { over_cycle: true } => {
            "Heat sources, cores, supply (least margins and flows, most of the rest)"
        }
        _ => "Heat sources, cores, supply",
    };
    made.section("totals", title, rows)
}

/// Why some could not be solved.
pub fn unsolved(variants: &[Variant]) -> Vec<Section> {
    let why = |variant: &Variant| {
        let why = variant.unsolved.clone()?;
        let sentence =
            say!("`{variant}` could not be solved: {why}", variant = &variant.name, why = why);
        Some(Section::plain("unsolved").of(&variant.name).apart().say(sentence, Lay::Lines))
    };
    variants.iter().filter_map(why).collect()
}

/// How far out a warning says that something is, whichever way: more is worse.
fn reach(warning: &Sentence) -> Option<f64> {
    warning.slots.iter().find_map(|(name, value)| match (*name, value) {
        ("hottest", Value::Number(number)) => Some(number.si),
        ("coldest", Value::Number(number)) => Some(-number.si),
        (_, Value::Sentence(of)) => reach(of),
        _ => None,
    })
}

/// Whether two warnings say the same, but for how far out it is.
fn same_but_reach(a: &Sentence, b: &Sentence) -> bool {
    let same = |((name, a), (of, b)): (&(&str, Value), &(&str, Value))| match (a, b) {
        _ if name != of => false,
        _ if ["hottest", "coldest"].contains(name) => true,
        (Value::Sentence(a), Value::Sentence(b)) => same_but_reach(a, b),
        (a, b) => a.is_like(b),
    };
    a.words == b.words && a.slots.len() == b.slots.len() && a.slots.iter().zip(&b.slots).all(same)
}

/// Where laws left their ranges, and in which variants; of each the variant that is farthest out.
pub fn mind(variants: &[Variant]) -> Section {
    let mut found: Vec<(&Sentence, Vec<&str>)> = Vec::new();
    for variant in variants {
        for warning in &variant.warnings {
            match found.iter_mut().find(|(known, _)| same_but_reach(known, warning)) {
                Some((known, names)) => {
                    names.push(&variant.name);
                    if reach(warning) > reach(known) {
                        *known = warning;
                    }
                }
                None => found.push((warning, vec![&variant.name])),
            }
        }
    }
    let line = |(warning, names): (&Sentence, Vec<&str>)| {
        let all = names.len() == variants.len();
        let names = if all { "all".into() } else { Value::list(names, ", ") };
        say!("{names}: {warning}", names = names, warning = warning.clone())
    };
    Section::new("warnings", "Warnings").points(together(found.into_iter().map(line)))
}
