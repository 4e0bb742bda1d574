//! Which change moves which limit, by how much, and what it costs elsewhere.

use coolwright_cases::quantity::Kind;

use super::grid::UNWEIGHED;
use super::verdict;
use crate::answer::{
    Cell, Form, Lay, Section, Seen, Sentence, Table, Value, Verdict, Weight, kinds,
};
use crate::say;
use crate::study::{Bound, Judged, Lever, Side};

/// What came of a case.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Its limits.
    pub judged: Vec<Judged>,
    /// How it stands.
    pub verdict: Verdict,
    /// What it asks less of than the case as it stands.
    pub bars: Vec<Sentence>,
    /// The most current that is drawn, A; nothing where there are several supplies.
    pub current_a: Option<f64>,
    /// All coolant, m³.
    pub coolant_m3: Option<f64>,
}

/// The case as it stands.
#[derive(Clone, Debug)]
pub struct Base<'a> {
    /// What came of it.
    pub outcome: Outcome,
    /// What its verdict says beside its word.
    pub told: Vec<Sentence>,
    /// The limits that are asked for; all where empty.
    pub only: &'a [String],
}

/// A change, and what came of it, or why nothing did.
#[derive(Clone, Debug)]
pub struct Pulled {
    /// The change.
    pub lever: Lever,
    /// What came of it.
    pub outcome: Result<Outcome, Sentence>,
}

/// So many changes of a limit people are told of, of one that is kept fewer.
const MOST: usize = 6;
const MOST_KEPT: usize = 3;
/// What moves a limit by less than this share of what the best does is no remedy.
const WEAK: f64 = 0.05;
/// Where the coolant side brings less than this share of what the air side does, the air is what limits.
const USED_UP: f64 = 0.1;
/// What takes more than this share of the margin of another limit costs something.
const COSTS: f64 = 0.1;
/// So many things that a change costs stand beside it.
const MOST_COSTS: usize = 2;
/// A smaller share than this is no change: of a margin, of the current, of the coolant.
const NEXT_TO_NOTHING: f64 = 0.01;
/// Less coolant and less current than this, m³ and A, costs nothing.
const LEAST_M3: f64 = 2e-5;
/// See [`LEAST_M3`].
const LEAST_A: f64 = 0.05;
/// Before each line of a verdict.
const NEXT: &str = "\n         ";

/// What a change does to a limit.
struct Move<'a> {
    pulled: &'a Pulled,
    outcome: &'a Outcome,
    now: &'a Judged,
    /// By how much more the limit is kept, SI.
    gain: Option<f64>,
}

impl Move<'_> {
    /// What is better is more: whether it holds, by how much, else how late it breaks.
    fn rank(&self) -> (bool, f64, f64) {
        let margin = self.now.margin().unwrap_or(f64::NEG_INFINITY);
        (self.now.holds(), margin, self.now.first_s.unwrap_or(f64::NEG_INFINITY))
    }
}

fn is_same(a: &Judged, b: &Judged) -> bool {
    let key = |of: &Judged| (of.limit.bound, of.limit.built_in);
    a.limit.name == b.limit.name && a.limit.of == b.limit.of && key(a) == key(b)
}

fn find<'a>(outcome: &'a Outcome, limit: &Judged) -> Option<&'a Judged> {
    outcome.judged.iter().find(|judged| is_same(judged, limit))
}

/// What all changes do to a limit, the best first.
fn moves<'a>(limit: &Judged, pulled: &'a [Pulled]) -> Vec<Move<'a>> {
    let one = |pulled: &'a Pulled| {
        let outcome = pulled.outcome.as_ref().ok()?;
        let now = find(outcome, limit)?;
        let gain = now.margin().zip(limit.margin()).map(|(now, was)| now - was);
        Some(Move { pulled, outcome, now, gain })
    };
    let mut all: Vec<Move<'_>> = pulled.iter().filter_map(one).collect();
    all.sort_by(|a, b| {
        let ((a_holds, a_margin, a_s), (b_holds, b_margin, b_s)) = (a.rank(), b.rank());
        b_holds.cmp(&a_holds).then(b_margin.total_cmp(&a_margin)).then(b_s.total_cmp(&a_s))
    });
    all
}

/// Whether a change is worth a row: it makes the limit hold, or brings a share of what the best does.
fn helps(limit: &Judged, best: f64, of: &Move<'_>) -> bool {
    match of.gain {
        Some(gain) => {
            let margin = limit.margin().unwrap_or(0.0).abs();
            gain > (WEAK * best).max(NEXT_TO_NOTHING * margin)
        }
        None => of.now.holds() || (limit.margin().is_none() && of.now.margin().is_some()),
    }
}

/// The most that any of some changes brings, SI; zero where none helps.
fn best(moves: &[Move<'_>], of: impl Fn(&Lever) -> bool) -> f64 {
    let gains = moves.iter().filter(|one| of(&one.pulled.lever)).filter_map(|one| one.gain);
    gains.fold(0.0, f64::max)
}

/// The limits that are told of: those of the case, and those built in that are not kept or were asked for.
fn told<'a>(base: &'a Base<'_>) -> impl Iterator<Item = &'a Judged> {
    base.outcome.judged.iter().filter(|judged| {
        let asked = base.only.contains(&judged.limit.name);
        let usual = judged.limit.built_in.is_none() || !judged.holds();
        if base.only.is_empty() { usual } else { asked }
    })
}

/// A change with what it was and becomes.
fn words(lever: &Lever) -> Sentence {
    say!(
        "{what} ({from} to {to})",
        what = lever.what.clone(),
        from = lever.from.clone(),
        to = lever.to.clone()
    )
}

/// How the case stands, what would mend what is broken, and what would make all of it hold.
pub fn summary(base: &Base<'_>, pulled: &[Pulled]) -> Section {
    let holds = base.outcome.verdict == Verdict::Holds;
    let mut lines = vec![say!(
        "as it stands: {verdict}{but}",
        verdict = verdict::word(base.outcome.verdict),
        but = if holds && !base.told.is_empty() { ", but something speaks against it" } else { "" }
    )];
    lines.extend(base.told.iter().map(|told| say!("  - {told}", told = told.clone())));
    let open = told(base).filter(|judged| !judged.holds());
    lines.extend(open.map(|limit| remedy(limit, &moves(limit, pulled))));
    lines.push(whole(base, pulled));
    lines.push(UNWEIGHED.into());
    Section::plain("verdict")
        .say(say!("VERDICT  {lines}", lines = Value::list(lines, NEXT)), Lay::Lines)
}

/// What moves a limit most that is not kept.
fn remedy(limit: &Judged, moves: &[Move<'_>]) -> Sentence {
    let name = &limit.limit.name;
    let most = best(moves, |_| true);
    let mut useful = moves.iter().filter(|one| helps(limit, most, one));
    let Some(first) = useful.next() else {
        return say!("{limit}: no single change here helps", limit = name);
    };
    let others = useful.filter(|one| one.now.holds()).count();
    let change = words(&first.pulled.lever);
    // Others may move it farther, and leave it or something else open.
    let does = match (first.gain.is_some_and(|gain| gain < most), first.now.holds()) {
        (false, _) => "moves it most",
        (true, true) => "mends it best",
        (true, false) => "comes closest",
    };
    if !first.now.holds() {
        return say!(
            "{limit}: no single change here is enough; {change} {does}, and it is {margin} then",
            limit = name,
            change = change,
            does = does,
            margin = verdict::margin(first.now)
        );
    }
    let others = match others {
        0 => Sentence::from(""),
        1 => "; one other is enough too".into(),
        n => say!("; {count} others are enough too", count = n),
    };
    say!(
        "{limit}: {change} {does}, and it {margin} then{others}",
        limit = name,
        change = change,
        does = does,
        margin = verdict::margin(first.now),
        others = others
    )
}

/// Which changes make the whole case hold.
fn whole(base: &Base<'_>, pulled: &[Pulled]) -> Sentence {
    let holds =
        |one: &&Pulled| one.outcome.as_ref().is_ok_and(|outcome| outcome.verdict == Verdict::Holds);
    if base.outcome.verdict == Verdict::Holds {
        let breaks = pulled.iter().filter(|one| !holds(one)).count();
        let breaks = match breaks {
            0 => Sentence::from("none of the changes here breaks it"),
            n => say!(
                "{count} of the {all} changes here would break it",
                count = n,
                all = pulled.len()
            ),
        };
        return say!(
            "It holds as it stands; {breaks}. What gives each limit more room stands below.",
            breaks = breaks
        );
    }
    let (easier, enough): (Vec<&Pulled>, Vec<&Pulled>) = pulled
        .iter()
        .filter(holds)
        .partition(|one| one.outcome.as_ref().is_ok_and(|outcome| !outcome.bars.is_empty()));
    let list = |all: &[&Pulled]| {
        let more = all.len().saturating_sub(MOST_KEPT);
        let mut shown: Vec<Sentence> =
            all.iter().take(MOST_KEPT).map(|one| words(&one.lever)).collect();
        if more > 0 {
            shown.push(say!("{more} more", more = more));
        }
        Value::list(shown, "; ")
    };
    let easier_too = if easier.is_empty() {
        Sentence::from("")
    } else {
        say!(" By asking for less: {changes}.", changes = list(&easier))
    };
    if enough.is_empty() {
        return say!(
            "No single change here makes the whole case hold.{easier}",
            easier = easier_too
        );
    }
    let any = if enough.len() == 1 { "with" } else { "with any one of" };
    say!(
        "The whole case holds {any}: {changes}.{easier}",
        any = any,
        changes = list(&enough),
        easier = easier_too
    )
}

/// By limit what moves it, the best first. People see what helps, programs all.
pub fn limits(base: &Base<'_>, pulled: &[Pulled]) -> Vec<Section> {
    told(base).map(|limit| of_limit(base, limit, pulled)).collect()
}

fn of_limit(base: &Base<'_>, limit: &Judged, pulled: &[Pulled]) -> Section {
    let all = moves(limit, pulled);
    let most = best(&all, |_| true);
    let kept = limit.holds();
    let shown = if kept { MOST_KEPT } else { MOST };
    let mut table = for_programs(
        Table::new()
            .broken_words("change", "change", 36)
            .numbers("gain", "moves\nit by", kinds::difference(limit.limit.kind))
            .words("then", "then it")
            .numbers("draws", "draws\nmore", Kind::Current)
            .numbers("coolant", "coolant\nmore", Kind::Volume)
            .may_go()
            .broken_words("costs", "what it costs elsewhere", 24)
            .only_filled(),
    );
    let mut rows = 0;
    for one in &all {
        let useful = helps(limit, most, one);
        let seen = if useful && rows < shown { Seen::All } else { Seen::Programs };
        rows += usize::from(useful);
        let first = one.pulled.lever.changes.first().map(|change| change.address.clone());
        table.add(first, cells(base, limit, one), seen);
    }
    let title = say!(
        "What moves {limit} ({bound}), which {margin} as it stands",
        limit = &limit.limit.name,
        bound = verdict::bound(limit),
        margin = stands(limit)
    );
    let section = Section::new("levers", title).of(&limit.limit.name).table(table);
    let section = match used_up(limit, &all) {
        Some(words) => section.say(words, Lay::Paragraph),
        None if rows == 0 => section.say("No change here helps it.", Lay::Paragraph),
        None => section,
    };
    if kept { section.support() } else { section }
}

/// How a limit stands, as a part of a sentence.
fn stands(limit: &Judged) -> Value {
    match verdict::margin(limit) {
        Value::Judged(holds, words) if !holds => {
            Value::judged(false, say!("is {words}", words = *words))
        }
        other => other,
    }
}

/// A change of a number, without one where both are not known.
pub(super) fn change(kind: Kind, [now, was]: [Option<f64>; 2]) -> Value {
    let by = now.zip(was).map(|(now, was)| now - was);
    let least = if kind == Kind::Volume { LEAST_M3 } else { LEAST_A };
    by.filter(|by| by.abs() > least).map(|by| Value::formed(kind, by, Form::Change)).into()
}

fn cells(base: &Base<'_>, limit: &Judged, one: &Move<'_>) -> Vec<Cell> {
    let kind = kinds::difference(limit.limit.kind);
    let gain: Value = one.gain.map(|gain| Value::formed(kind, gain, Form::Change)).into();
    let (now, was) = (one.outcome, &base.outcome);
    let margin = |of: &Judged| Cell::from(of.margin().map(|margin| Value::of(kind, margin)));
    let standing = |of: &Judged| match (of.holds(), of.is_broken()) {
        (true, _) => "kept",
        (false, true) => "broken",
        (false, false) => "not_judged",
    };
    let lever = &one.pulled.lever;
    vec![
        words(lever).into(),
        gain.into(),
        Cell::from(verdict::margin(one.now)).judged(one.now.holds()),
        change(Kind::Current, [now.current_a, was.current_a]).into(),
        change(Kind::Volume, [now.coolant_m3, was.coolant_m3]).into(),
        costs(base, limit, one).into(),
        lever.from.clone().into(),
        lever.to.clone().into(),
        as_variant(lever).into(),
        lever.side.word().into(),
        margin(limit),
        margin(one.now),
        one.now.value.map(|value| Value::of(limit.limit.kind, value)).into(),
        standing(limit).into(),
        standing(one.now).into(),
        now.verdict.word().into(),
    ]
}

/// What programs are told beside what people read.
fn for_programs(table: Table) -> Table {
    let columns = [
        "from",
        "to",
        "variant",
        "side",
        "margin_before",
        "margin_after",
        "value_after",
        "standing_before",
        "standing_after",
        "case_after",
    ];
    columns.iter().fold(table, |table, name| table.for_programs(name, None))
}

/// A change as a variant of the case file makes it.
fn as_variant(lever: &Lever) -> String {
    let one = |change: &coolwright_cases::case::Change| {
        format!("(\"{}\", {})", change.address, change.text)
    };
    let all: Vec<String> = lever.changes.iter().map(one).collect();
    format!("[{}]", all.join(", "))
}

/// What a change costs elsewhere: limits that break, then those that lose much of their margin; nothing where it costs
/// none of that.
fn costs(base: &Base<'_>, limit: &Judged, one: &Move<'_>) -> Value {
    let others = base.outcome.judged.iter().filter(|other| !is_same(other, limit) && other.holds());
    let (mut breaks, mut loses) = (Vec::new(), Vec::new());
    for other in others {
        let Some(now) = find(one.outcome, other) else { continue };
        let name = &other.limit.name;
        if now.is_broken() {
            breaks.push(say!("breaks {limit}", limit = name));
        } else if !now.holds() {
            breaks.push(say!("{limit} is not judged", limit = name));
        } else if let Some((was, is)) = other.margin().zip(now.margin())
            && was - is > COSTS * was
            && was > 0.0
        {
            let kind = kinds::difference(other.limit.kind);
            let by = Value::of(kind, was - is);
            let words = say!("{limit} loses {by} of its margin", limit = name, by = by);
            loses.push((other.limit.built_in.is_some(), words));
        }
    }
    // What a limit of the case loses comes before what a built-in one does.
    let loses = loses.into_iter().min_by_key(|(built_in, _)| *built_in).map(|(_, words)| words);
    let all: Vec<Sentence> = breaks.into_iter().chain(loses).take(MOST_COSTS).collect();
    if all.is_empty() { Value::Nothing } else { Value::list(all, "; ") }
}

/// That the air is used up, where it is a temperature that counts and only the air side moves it.
fn used_up(limit: &Judged, moves: &[Move<'_>]) -> Option<Sentence> {
    let warm = limit.limit.kind == Kind::Temperature && limit.limit.bound == Bound::AtMost;
    let air = best(moves, |lever| lever.side == Side::Air);
    let coolant = best(moves, |lever| lever.side == Side::Coolant);
    if !warm || air <= 0.0 || coolant >= USED_UP * air {
        return None;
    }
    let kind = kinds::difference(limit.limit.kind);
    Some(say!(
        "Next to nothing on the coolant side helps here: {coolant} at best, where the air side brings {air}. The air \
         is used up: more of it, or a larger core, comes first.",
        coolant = Value::of(kind, coolant),
        air = Value::of(kind, air)
    ))
}

/// All changes that were tried, what comes of the whole case, and how a variant makes them.
pub fn changes(base: &Base<'_>, pulled: &[Pulled]) -> Section {
    let mut table = Table::new()
        .broken_words("change", "change", 36)
        .words("verdict", "the case")
        .numbers("draws", "draws\nmore", Kind::Current)
        .numbers("coolant", "coolant\nmore", Kind::Volume)
        .broken_words("variant", "as a variant: change", 40)
        .broken_words("note", "mind", 28)
        .only_filled();
    for one in pulled {
        let lever = &one.lever;
        let (verdict, current, coolant, note) = match &one.outcome {
            Ok(now) => {
                let was = &base.outcome;
                let current = change(Kind::Current, [now.current_a, was.current_a]);
                let coolant = change(Kind::Volume, [now.coolant_m3, was.coolant_m3]);
                let notes = lever.note.iter().chain(&now.bars).cloned();
                (now.verdict, current, coolant, Value::list(notes, "; "))
            }
            Err(why) => (Verdict::Unsolved, Value::Nothing, Value::Nothing, why.clone().into()),
        };
        let cells = [
            words(lever).into(),
            verdict::word(verdict).into(),
            current.into(),
            coolant.into(),
            as_variant(lever).into(),
            Cell::from(note),
        ];
        let first = lever.changes.first().map(|change| change.address.clone());
        table.add(first, cells, Seen::All);
        if one.outcome.is_ok() {
            table.weigh(Weight::Detail);
        }
    }
    Section::new("changes", "Changes that were tried, each alone")
        .detail()
        .table(table)
        .aside(
            "A bore, a cap and a count go to the next that is sold; cores grow by a tenth, ice, tanks, metal and rests by \
             a quarter. Each was solved anew. What ± and assumptions leave open comes on top.",
            Lay::Paragraph,
        )
}
