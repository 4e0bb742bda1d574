//! With what chance limits hold, what drives that, and what it was drawn from.

use coolwright_cases::case::Change;
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::laws::uncertainty::Law;

use super::verdict;
use crate::answer::{Cell, Form, Lay, Section, Seen, Sentence, Table, Value, Verdict, kinds};
use crate::say;
use crate::study::chance::{Estimate, Input, Inputs, Shares, Source, Spread, law_name, wilson};
use crate::study::{Bound, Judged};

/// All that came of the drawn cases.
#[derive(Clone, Debug)]
pub struct Told<'a> {
    /// The case.
    pub ready: &'a Ready,
    /// How it stands without a spread.
    pub stands: Verdict,
    /// What that says beside its word.
    pub told: Vec<Sentence>,
    /// What is not known exactly.
    pub inputs: &'a Inputs,
    /// What laws disagree by.
    pub laws: LawsTold,
    /// The limits, in their order.
    pub limits: Vec<LimitTold>,
    /// The cases that the chance is told from.
    pub drawn: Vec<Drawn>,
    /// How many cases were solved in all.
    pub solves: usize,
    /// Which cases were drawn.
    pub seed: u32,
}

/// What is said of laws.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LawsTold {
    /// These are spread.
    Spread(Vec<Law>),
    /// The case takes them for exact.
    Exact,
    /// What they disagree by could not be carried to the limits.
    NotCarried,
}

/// A limit over all drawn cases.
#[derive(Clone, Debug)]
pub struct LimitTold {
    /// How it stands without a spread.
    pub judged: Judged,
    /// In how many cases it is kept.
    pub kept: usize,
    /// In how many it could not be judged.
    pub open: usize,
    /// In how many it has no value: it boils there, or could not be solved.
    pub without_value: usize,
    /// What 5, 50 and 95 % of its values are no larger than, SI; `None` where that is one without a value.
    pub quantiles: [Option<f64>; 3],
    /// What drives it, the most first; none where that was not looked at or cannot be told.
    pub drivers: Vec<Driver>,
    /// By case whether it is kept, and its value, SI.
    pub values: Vec<(bool, Option<f64>)>,
    /// By case what laws move its value by, SI.
    pub moved: Vec<f64>,
}

impl LimitTold {
    /// Whether it could be judged in no case, nor without a spread: then it tells nothing here.
    pub fn is_open(&self) -> bool {
        self.open == self.values.len() && !self.judged.holds() && !self.judged.is_broken()
    }
}

/// Something that drives a limit.
#[derive(Clone, Debug)]
pub struct Driver {
    /// What.
    pub what: Driving,
    /// Its shares of the variance.
    pub shares: Shares,
}

/// What drives a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Driving {
    /// An input, by its place.
    Input(usize),
    /// What published values of a law disagree by.
    Law(Law),
    /// So many inputs that do little, together.
    Rest(usize),
}

/// A drawn case.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// Its numbers, SI, in the order of the inputs.
    pub numbers: Vec<f64>,
    /// The same as a variant writes them.
    pub changes: Vec<Change>,
    /// Whether all limits hold.
    pub holds: bool,
    /// A rest that does not make ready.
    pub late: Option<Sentence>,
    /// What stands against it that no limit speaks of.
    pub grave: Option<Sentence>,
    /// Why it was not solved.
    pub refused: Option<Sentence>,
}

/// Before each line of a verdict.
const NEXT: &str = "\n         ";
/// How many limits are named beside the verdict, and have what drives them told to people.
const MOST: usize = 3;

/// A chance with its interval.
fn chance(kept: usize, all: usize) -> Sentence {
    let [least, most] = wilson(kept, all);
    let digits = digits(all);
    say!(
        "{chance} ({least} to {most})",
        chance = Value::percent(kept as f64 / all as f64, digits),
        least = Value::percent(least, digits),
        most = Value::percent(most, digits)
    )
}

/// So many digits of a chance in percent as its interval lets stand.
fn digits(all: usize) -> u8 {
    u8::from(all >= 1000)
}

/// With what chance all limits hold, and what breaks where they do not.
pub fn summary(told: &Told<'_>) -> Section {
    let all = told.drawn.len();
    let kept = told.drawn.iter().filter(|drawn| drawn.holds).count();
    let mut lines = vec![
        say!(
            "all limits hold with a chance of {chance}: in {kept} of {all} cases drawn",
            chance = chance(kept, all),
            kept = kept,
            all = all
        ),
        say!("as the case stands: {verdict}", verdict = verdict::word(told.stands)),
    ];
    lines.extend(told.told.iter().map(|told| say!("  - {told}", told = told.clone())));
    for limit in worst(told).into_iter().take(MOST) {
        lines.push(breaks(told, limit));
    }
    lines.extend(failed(told));
    let open: Vec<&str> = (told.limits.iter().filter(|limit| limit.is_open()))
        .map(|limit| limit.judged.limit.name.as_str())
        .collect();
    if !open.is_empty() {
        lines.push(say!(
            "judged in no case, so left out: {limits}",
            limits = Value::list(open, ", ")
        ));
    }
    let lines = Value::list(lines, NEXT);
    Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

/// The limits that break somewhere, the likeliest first.
fn worst<'a>(told: &'a Told<'_>) -> Vec<&'a LimitTold> {
    let breaks = |limit: &&LimitTold| !limit.is_open() && limit.kept < limit.values.len();
    let mut found: Vec<&LimitTold> = told.limits.iter().filter(breaks).collect();
    found.sort_by_key(|limit| limit.kept);
    found
}

fn breaks(told: &Told<'_>, limit: &LimitTold) -> Sentence {
    let all = limit.values.len();
    let first = limit.drivers.first().filter(|first| tells(&first.shares.in_all));
    let by = match first {
        Some(first) => say!(
            ", driven most by {what} ({share} of what it varies by)",
            what = driving(told, first.what),
            share = Value::percent(first.shares.in_all.value.min(1.0), 0)
        ),
        None => "".into(),
    };
    say!(
        "{limit} breaks with a chance of {chance}{by}",
        limit = &limit.judged.limit.name,
        chance = chance(all - limit.kept, all),
        by = by
    )
}

/// What failed that no broken limit tells of: cases that were not solved, rests that are too short, what stands against
/// a case.
fn failed(told: &Told<'_>) -> Vec<Sentence> {
    let count = |of: &dyn Fn(&Drawn) -> Option<Sentence>| {
        let found: Vec<Sentence> = told.drawn.iter().filter_map(of).collect();
        found.first().cloned().map(|first| (found.len(), first))
    };
    let refused = count(&|drawn| drawn.refused.clone()).map(|(count, why)| {
        say!(
            "{count} could not be solved and count as broken; the first: {why}",
            count = count,
            why = why
        )
    });
    let late = count(&|drawn| drawn.late.clone()).map(|(count, why)| {
        say!("{count} are not ready in time; the first: {why}", count = count, why = why)
    });
    let grave = count(&|drawn| drawn.grave.clone()).map(|(count, why)| {
        say!(
            "{count} have against them what no limit speaks of; the first: {why}",
            count = count,
            why = why
        )
    });
    let without = told.limits.iter().filter(|limit| !limit.is_open() && limit.without_value > 0);
    let refused_count = told.drawn.iter().filter(|drawn| drawn.refused.is_some()).count();
    let most = without.map(|limit| limit.without_value).max().unwrap_or(0);
    let boils = (most > refused_count).then(|| {
        say!(
            "{count} boil, or have no steady state, and count as broken where nothing is judged then",
            count = most - refused_count
        )
    });
    refused.into_iter().chain(boils).chain(late).chain(grave).collect()
}

/// What drives, in words.
fn driving(told: &Told<'_>, what: Driving) -> Sentence {
    match what {
        Driving::Input(k) => input_words(told, &told.inputs.numbers[k]),
        Driving::Law(law) => say!("law: {law}", law = law.words()),
        Driving::Rest(count) => say!("{count} others together", count = count),
    }
}

fn input_words(told: &Told<'_>, input: &Input) -> Sentence {
    let first = input.addresses.first().map_or("", String::as_str);
    let Source::Assumed(k) = input.source else { return say!("`{address}`", address = first) };
    let what = Value::spoken(told.ready.assumptions[k].what);
    match input.addresses.len() {
        0 | 1 => say!("{what} (`{address}`)", what = what, address = first),
        n => {
            say!("{what} (`{address}` and {more} more)", what = what, address = first, more = n - 1)
        }
    }
}

/// With what chance each limit holds, and where its values lie.
pub fn limits(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .broken_words("limit", "limit", 24)
        .words("bound", "bound")
        .values("holds", "holds")
        .words("interval", "95 % sure")
        .values("low", "5 %")
        .values("middle", "50 %")
        .values("high", "95 %")
        .for_programs("chance", Some(Kind::Fraction))
        .for_programs("chance_least", Some(Kind::Fraction))
        .for_programs("chance_most", Some(Kind::Fraction))
        .for_programs("kept", None)
        .for_programs("cases", None)
        .for_programs("not_judged", None)
        .for_programs("without_value", None)
        .for_programs("built_in", None)
        .for_programs("bound_side", None)
        .for_programs("bound_value", None)
        .mixed();
    for limit in told.limits.iter().filter(|limit| !limit.is_open()) {
        let (all, judged) = (limit.values.len(), &limit.judged);
        let [least, most] = wilson(limit.kept, all);
        let share = limit.kept as f64 / all as f64;
        let value = |si: Option<f64>| match si {
            Some(si) => Value::formed(judged.limit.kind, si, Form::Beside(judged.limit.value)),
            None => "no value".into(),
        };
        let percent = |share: f64| Value::percent(share, digits(all));
        let side = match judged.limit.bound {
            Bound::AtLeast => "min",
            Bound::AtMost => "max",
        };
        let [low, middle, high] = limit.quantiles;
        let cells: [Cell; 17] = [
            (&judged.limit.name).into(),
            verdict::bound(judged).into(),
            Cell::from(percent(share)).judged(limit.kept == all),
            say!("{least} to {most}", least = percent(least), most = percent(most)).into(),
            value(low).into(),
            value(middle).into(),
            value(high).into(),
            Value::of(Kind::Fraction, share).into(),
            Value::of(Kind::Fraction, least).into(),
            Value::of(Kind::Fraction, most).into(),
            Value::Count(limit.kept).into(),
            Value::Count(all).into(),
            Value::Count(limit.open).into(),
            Value::Count(limit.without_value).into(),
            judged.limit.built_in.map(coolwright_cases::lower::BuiltInKind::word).into(),
            side.into(),
            Value::of(judged.limit.kind, judged.limit.value).into(),
        ];
        let quiet = judged.limit.built_in.is_some() && limit.kept == all;
        table.add(
            Some(judged.limit.of.clone()),
            cells,
            if quiet { Seen::Programs } else { Seen::All },
        );
    }
    let quiet = told
        .limits
        .iter()
        .filter(|limit| limit.judged.limit.built_in.is_some() && limit.kept == limit.values.len());
    let quiet = quiet.count();
    let section = Section::new("limits", "Limits: with what chance each holds, and what 5, 50 and 95 % of its values are no larger than")
        .table(table);
    if quiet == 0 {
        return section;
    }
    section
        .say(say!("Built in and kept in every case: {count} more.", count = quiet), Lay::Paragraph)
}

/// An interval half as wide as this tells nothing any more.
const TELLS: f64 = 0.2;
/// A share below this is not spoken of.
const LEAST_SHARE: f64 = 0.02;

fn tells(of: &Estimate) -> bool {
    of.half_width <= TELLS
}

/// What drives each limit that may break, or the tightest where none does.
pub fn drivers(told: &Told<'_>) -> Vec<Section> {
    let mut shown: Vec<&str> =
        worst(told).iter().take(MOST).map(|limit| limit.judged.limit.name.as_str()).collect();
    if shown.is_empty() {
        shown.extend(tightest(told));
    }
    let of = |limit: &LimitTold| {
        let section = drivers_of(told, limit);
        if shown.contains(&limit.judged.limit.name.as_str()) {
            section
        } else {
            section.for_programs()
        }
    };
    told.limits.iter().filter(|limit| !limit.drivers.is_empty()).map(of).collect()
}

/// The limit with the least room beside what it varies by.
fn tightest<'a>(told: &'a Told<'_>) -> Option<&'a str> {
    let room = |limit: &LimitTold| {
        let [low, _, high] = limit.quantiles;
        let (low, high) = (low?, high?);
        let of = &limit.judged.limit;
        Some(of.margin(low).min(of.margin(high)) / (high - low).max(f64::MIN_POSITIVE))
    };
    let all = told.limits.iter().filter(|limit| !limit.drivers.is_empty());
    let all = all.filter_map(|limit| Some((room(limit)?, limit.judged.limit.name.as_str())));
    all.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, name)| name)
}

fn drivers_of(told: &Told<'_>, limit: &LimitTold) -> Section {
    let mut table = Table::new()
        .broken_words("driver", "what is not known exactly", 52)
        .values("alone", "alone\n%")
        .values("alone_off", "±")
        .values("in_all", "in all\n%")
        .values("in_all_off", "±")
        .for_programs("kind", None)
        .for_programs("address", None)
        .for_programs("alone_share", Some(Kind::Fraction))
        .for_programs("alone_half_width", Some(Kind::Fraction))
        .for_programs("in_all_share", Some(Kind::Fraction))
        .for_programs("in_all_half_width", Some(Kind::Fraction));
    for driver in &limit.drivers {
        let Shares { alone, in_all } = driver.shares;
        let (kind, address) = match driver.what {
            Driving::Input(k) => ("number", told.inputs.numbers[k].addresses.first().cloned()),
            Driving::Law(law) => ("law", Some(law_name(law).to_owned())),
            Driving::Rest(_) => ("rest", None),
        };
        let points = |share: f64| Value::decimals(100.0 * share, 0);
        let bare = |share: f64| Value::of(Kind::Fraction, share);
        // What is less than nothing or more than all is the estimate's, of few cases.
        let cells: [Cell; 11] = [
            driving(told, driver.what).into(),
            points(alone.value.clamp(0.0, 1.0)).into(),
            points(alone.half_width).into(),
            points(in_all.value.clamp(0.0, 1.0)).into(),
            points(in_all.half_width).into(),
            kind.into(),
            address.into(),
            bare(alone.value).into(),
            bare(alone.half_width).into(),
            bare(in_all.value).into(),
            bare(in_all.half_width).into(),
        ];
        let seen = if in_all.value >= LEAST_SHARE { Seen::All } else { Seen::Programs };
        table.add(None, cells, seen);
    }
    let wide = limit.drivers.iter().any(|driver| !tells(&driver.shares.in_all));
    let title = say!(
        "What {limit} varies by: the share of its variance that goes with each alone, and in all",
        limit = &limit.judged.limit.name
    );
    let section = Section::new("drivers", title).of(&limit.judged.limit.name).table(table);
    if !wide {
        return section;
    }
    section.say(
        "Too few cases to tell them apart for sure: `--samples` asks for more.",
        Lay::Paragraph,
    )
}

/// What cases were drawn from.
pub fn inputs(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .broken_words("input", "what is not known exactly", 44)
        .values("value", "value")
        .broken_words("spread", "spread", 34)
        .words("from", "from")
        .for_programs("address", None)
        .mixed();
    for input in &told.inputs.numbers {
        let cells: [Cell; 5] = [
            input_words(told, input).into(),
            Value::of(input.kind, input.value).into(),
            spread_words(input).into(),
            match input.source {
                Source::Case => "the case",
                Source::Assumed(_) => "assumed",
            }
            .into(),
            Value::list(&input.addresses, ", ").into(),
        ];
        table.row(input.addresses.first().cloned().unwrap_or_default(), cells);
    }
    if let LawsTold::Spread(laws) = &told.laws {
        for law in laws {
            let cells: [Cell; 5] = [
                say!("law: {law}", law = law.words()).into(),
                Value::Nothing.into(),
                "its ± as two standard deviations".into(),
                "the law".into(),
                law_name(*law).into(),
            ];
            table.line(cells);
        }
    }
    Section::new("inputs", "What cases were drawn from").support().table(table)
}

fn spread_words(input: &Input) -> Sentence {
    let value = |si: f64| Value::of(input.kind, si);
    match input.spread {
        Spread::Normal { deviation, .. } => say!(
            "bell, standard deviation {deviation}",
            deviation = Value::of(kinds::difference(input.kind), deviation)
        ),
        Spread::Uniform { from, to } => {
            say!("even, {from} to {to}", from = value(from), to = value(to))
        }
        Spread::Triangular { from, to, .. } => {
            say!("peak, {from} to {to}", from = value(from), to = value(to))
        }
    }
}

/// All drawn cases.
pub fn draws(told: &Told<'_>) -> Section {
    let mut table = Table::new().for_programs("case", None).for_programs("holds", None);
    for input in &told.inputs.numbers {
        let name = input.addresses.first().map_or("", String::as_str);
        table = table.for_programs(name, Some(input.kind));
    }
    for limit in &told.limits {
        let of = &limit.judged.limit;
        let name = name_of(told, limit);
        table = table
            .for_programs(&name, Some(of.kind))
            .for_programs(&format!("{name} by laws"), Some(kinds::difference(of.kind)))
            .for_programs(&format!("{name} holds"), None);
    }
    let mut table = table.for_programs("why", None).for_programs("variant", None);
    for (k, drawn) in told.drawn.iter().enumerate() {
        let mut cells: Vec<Cell> =
            vec![Value::Count(k + 1).into(), if drawn.holds { "true" } else { "false" }.into()];
        let numbers = told.inputs.numbers.iter().zip(&drawn.numbers);
        cells.extend(numbers.map(|(input, si)| Cell::from(Value::of(input.kind, *si))));
        for limit in &told.limits {
            let of = &limit.judged.limit;
            let (kept, value) = limit.values[k];
            cells.extend([
                value.map(|si| Value::of(of.kind, si)).into(),
                Value::of(kinds::difference(of.kind), limit.moved[k]).into(),
                if kept { "true" } else { "false" }.into(),
            ]);
        }
        let why = drawn.refused.clone().or(drawn.grave.clone()).or(drawn.late.clone());
        cells.push(why.map(Value::from).into());
        cells.push(as_variant(&drawn.changes).into());
        table.line(cells);
    }
    Section::new("draws", "Every case that was drawn").for_programs().table(table)
}

/// The name of a limit, with its side where two have one name.
fn name_of(told: &Told<'_>, limit: &LimitTold) -> String {
    let name = &limit.judged.limit.name;
    let same = told.limits.iter().filter(|other| other.judged.limit.name == *name).count();
    match limit.judged.limit.bound {
        _ if same < 2 => name.clone(),
        Bound::AtLeast => format!("{name} min"),
        Bound::AtMost => format!("{name} max"),
    }
}

/// Changes as a variant of the case file makes them.
fn as_variant(changes: &[Change]) -> String {
    let one = |change: &Change| format!("(\"{}\", {})", change.address, change.text);
    format!("[{}]", changes.iter().map(one).collect::<Vec<String>>().join(", "))
}

/// How all of it is meant.
pub fn mind(told: &Told<'_>) -> Section {
    let drawn = say!(
        "{count} cases tell the chance, {solves} were solved in all: points of a scrambled Sobol sequence, seed {seed}, the \
         same on every machine. Intervals are Wilson's, 95 %, as for independent cases, mostly too wide for these.",
        count = told.drawn.len(),
        solves = told.solves,
        seed = told.seed as usize
    );
    let laws: Sentence = match &told.laws {
        LawsTold::Spread(_) => "What laws disagree by is carried to first order around the case as it stands: a ± counts for \
                                two standard deviations, places of one law are half correlated. Where something boils \
                                only by that, it is not seen."
            .into(),
        LawsTold::Exact => "What published laws disagree by is left out, as the case says.".into(),
        LawsTold::NotCarried => "What published laws disagree by is NOT in it: with a thermostat that moves, or in so large a \
                                 model, it cannot be carried to the limits."
            .into(),
    };
    Section::new("mind", "Mind").points([
        laws,
        "Numbers are drawn independently of each other, and once for a whole case. What is in no spread counts as exact: a \
         chance is as good as the spreads. `--only inputs` lists them."
            .into(),
    ])
    .aside(drawn, Lay::Paragraph)
}
