//! What a duty cycle brings: limits at their worst, readiness, peaks, histories.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::{InUnit, Kind, UnitSystem};
use coolwright_models::cycle::{Boiled, History};
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;
use coolwright_models::results::{Catalogue, Quantity};

use super::verdict::{bound, for_programs, kept_besides, margin, numbers, seen, value};
use crate::answer::{Cell, Form, Lay, Section, Seen, Sentence, Table, Value, Weight, kinds};
use crate::say;
use crate::study::{
    Bound, FINE, FINE_S, Judged, Lasting, Lasts, Readiness, ReadyTarget, WORKS, pulling,
};

/// More rests than this people do not see one by one.
const MOST_RESTS: usize = 6;
/// Of more rests than this the first and the last matter.
const FIRST_RESTS: usize = 3;
/// More phases than this are added up by name for people.
pub(super) const MOST_PHASES: usize = 12;
/// How many signs a history has.
const WIDTH: usize = 40;

/// Says when, where and why coolant boils, and that the cycle ends there.
pub fn boils(ready: &Ready, boiled: Boiled) -> Section {
    let Boiled { circuit, at_s, place } = boiled;
    let there = if place.below_vacuum {
        "the pressure there would fall below a perfect vacuum".into()
    } else {
        say!(
            "there it is {temperature}, the boiling point at its {pressure}",
            temperature = Value::of(Kind::Temperature, place.temperature_k),
            pressure = Value::of(Kind::GaugePressure, place.pressure_pa),
        )
    };
    let sentence = say!(
        "The coolant of `{circuit}` boils {at} after the start, where it {leaves} `{part}`: {there}. Beyond \
         that no number would hold, so the cycle ends there.",
        circuit = &ready.model.circuits[circuit].name,
        at = Value::formed(Kind::Time, at_s, Form::Decimals(1)),
        leaves = place.place.word(),
        part = ready.model.address(place.at),
        there = there,
    );
    Section::plain("boiled").of(&ready.model.circuits[circuit].name).say(sentence, Lay::Paragraph)
}

/// The limits at their worst moment.
pub fn limits(ready: &Ready, judged: &[Judged]) -> Section {
    let mut table = for_programs(
        Table::new()
            .words("limit", "limit")
            .words("of", "of")
            .may_go()
            .values("worst", "worst")
            .numbers("at", "when\nmin:s", Kind::Time)
            .words("bound", "bound")
            .words("margin", "margin")
            .numbers("broken_from", "broken\nfrom\nmin:s", Kind::Time)
            .may_go()
            .numbers("broken_for", "broken\nfor\nmin:s", Kind::Time)
            .may_go()
            .only_filled(),
    );
    for worst in judged {
        let broken = worst.is_broken();
        let cells = [
            (&worst.limit.name).into(),
            (&worst.limit.of).into(),
            Cell::from(value(worst)).judged(worst.holds()).within(worst.off),
            worst.at_s.map(Value::clock).into(),
            bound(worst).into(),
            margin(worst).into(),
            worst.first_s.filter(|_| broken).map(Value::clock).into(),
            worst.beyond_s.map(Value::clock).into(),
        ];
        let cells = cells.into_iter().chain(numbers(&ready.model, worst));
        table.add(Some(worst.limit.of.clone()), cells, seen(worst));
    }
    let section = Section::new("limits", "Limits at their worst moment").table(table);
    match kept_besides(judged) {
        Some(kept) => section.aside(kept, Lay::Paragraph),
        None => section,
    }
}

/// How long phases may last, and must; `asked` says whether the first was asked, and the second.
pub fn lasting(ready: &Ready, asked: [bool; 2], all: &[Lasting]) -> Section {
    let mut table = Table::new()
        .words("phase", "phase")
        .numbers("written", "written\nmin:s", Kind::Time)
        .words("bound", "")
        .values("lasts", "min:s")
        .words("by", "what else fails");
    for one in all {
        let (bound, lasts, by): (&str, Value, Value) = match (&one.lasts, one.is_rest) {
            (Lasts::To { s, by }, false) => ("at most", Value::clock(*s), by.as_str().into()),
            (Lasts::To { s, by }, true) => ("at least", Value::clock(*s), by.as_str().into()),
            (Lasts::All(s), false) => {
                ("holds to", Value::clock(*s), "nothing; longer ones are not tried".into())
            }
            (Lasts::All(s), true) => ("holds down to", Value::clock(*s), "".into()),
            (Lasts::None(by), _) => ("no length holds", "".into(), by.as_str().into()),
        };
        let cells = [
            (&one.phase).into(),
            Value::clock(one.written_s).into(),
            bound.into(),
            lasts.into(),
            by.into(),
        ];
        table.add(None, cells, Seen::All);
    }
    let mut section = Section::new("lasting", "How long phases may last, or must").table(table);
    let [longest, rest] = asked;
    if longest && !all.iter().any(|one| !one.is_rest) {
        let most = Value::percent(WORKS, 0);
        let none = say!(
            "No phase asks for more than {most} of full power: none is one under load.",
            most = most
        );
        section = section.say(none, Lay::Paragraph);
    }
    if rest && !all.iter().any(|one| one.is_rest) {
        let none = say!(
            "No phase that asks for {most} of full power or less has one of more behind it, so there is no rest whose length \
             anything tells; with `repeat: 2` in `duty` the first phase comes after the last.",
            most = Value::percent(WORKS, 0)
        );
        section = section.say(none, Lay::Paragraph);
    }
    if all.is_empty() {
        return section;
    }
    let section = if ready.model.switches.is_empty() {
        section
    } else {
        section.aside(
            "Not every length was tried: a fan switch may stand elsewhere when a pull begins, so a length between \
             or beyond may fail all the same. Try the one that you choose.",
            Lay::Paragraph,
        )
    };
    section.aside(
        say!(
            "Each alone, in all its rounds, the others as written; within {fine} or {share} of it, on the side \
             that holds. What ± and assumptions leave open comes on top.",
            fine = Value::of(Kind::Time, FINE_S),
            share = Value::of(Kind::Fraction, FINE)
        ),
        Lay::Paragraph,
    )
}

/// When the vehicle is ready for the next pull.
pub fn readiness(
    ready: &Ready,
    history: &History,
    (targets, rests): (&[ReadyTarget], &[Readiness]),
) -> Section {
    let mut table = Table::new()
        .words("phase", "rest that begins with")
        .numbers("starts", "starts\nmin:s", Kind::Time)
        .words("pull", "before")
        .values("ready_after", "ready after\nmin:s")
        .words("waits_for", "waits for")
        .words("until", "to be")
        .may_go();
    let many = rests.len() > MOST_RESTS;
    let after = |k: &usize| rests[*k].after_s;
    let met = (0..rests.len()).filter(|k| after(k).is_some());
    let slowest =
        met.max_by(|a, b| f64::total_cmp(&after(a).unwrap_or(0.0), &after(b).unwrap_or(0.0)));
    for (k, rest) in rests.iter().enumerate() {
        let phase = &history.phases[rest.phase];
        let target = &targets[rest.last];
        let none = rest.pull == Some(rest.phase);
        let late = if none { "not ready" } else { "not within this rest" };
        let cells = [
            if none { "none".into() } else { Cell::from(&phase.name) },
            Value::clock(phase.from_s).into(),
            rest.pull.map_or("the end", |pull| &history.phases[pull].name).into(),
            rest.after_s.map_or_else(|| late.into(), Value::clock).into(),
            (&target.of).into(),
            wanted(target).into(),
        ];
        // What does not make ready is never left out, nor is the longest wait.
        let tells = rest.after_s.is_none() || slowest == Some(k);
        let ends = tells || k == 0 || k + 1 == rests.len();
        table.add(None, cells, if many && !ends { Seen::Programs } else { Seen::All });
        let first = ends || rests.len() <= FIRST_RESTS;
        table.weigh(if first { Weight::Headline } else { Weight::Support });
    }
    let mut section = Section::new("ready", "Ready for the next pull").table(table);
    if rests.is_empty() {
        return section;
    }
    if many {
        let words = say!(
            "The first, the slowest and the last of {rests} rests, and all that do not make ready.",
            rests = rests.len()
        );
        section = section.say(words, Lay::Inset);
    }
    if let Some(pulls) = pulls(ready) {
        section = section.say(pulls, Lay::Inset);
    }
    if targets.iter().any(|target| target.assumed) {
        section = section.say(
            "The case does not say when it is ready: taken is that the metal of every heat source is back\n  \
             within a fifth of its rise.",
            Lay::Inset,
        );
    }
    section
}

/// Which phases are pulls, where others are driven too.
fn pulls(ready: &Ready) -> Option<Sentence> {
    let phases = &ready.duty.phases;
    let pulling = pulling(phases);
    let driven = |k: usize| phases[k].power_share > 0.0 && !pulling[k];
    (0..phases.len()).find(|&k| driven(k))?;
    let mut names: Vec<&str> = Vec::new();
    for (phase, _) in phases.iter().zip(&pulling).filter(|(_, pulling)| **pulling) {
        if !names.contains(&phase.plain.as_str()) {
            names.push(&phase.plain);
        }
    }
    let names = names.into_iter().map(|name| say!("`{name}`", name = name));
    Some(say!(
        "A pull takes more than half of the most power: {names}.",
        names = Value::list(names, ", ")
    ))
}

/// What has to come about, in words.
fn wanted(target: &ReadyTarget) -> Sentence {
    let value = Value::of(target.kind, target.value);
    match target.bound {
        Bound::AtMost => say!("at most {value}", value = value),
        Bound::AtLeast => say!("at least {value}", value = value),
    }
}

/// The results that deserve a line of their own: metal and hottest coolant, core heat, ice,
/// margins at pumps; of several pumps under one name the worst, which is under that name.
pub fn worth_watching(ready: &Ready, catalogue: &Catalogue) -> Vec<usize> {
    let single = |c: usize, r: usize, p: usize| {
        !super::pumps::in_group(&ready.model.circuits[c].groups, (r, p))
    };
    let wanted = |id: Id, quantity: &Quantity| match id {
        Id::Body(_) => [&q::METAL, &q::WALL, &q::COOLANT_RISE, &q::ICE].contains(&quantity),
        Id::Core(_) => quantity == &q::REJECTED,
        Id::Circuit(_) => quantity == &q::HOTTEST || quantity == &q::BOIL_MARGIN,
        Id::ChargeAir(_) => quantity == &q::MANIFOLD,
        Id::Group(..) => quantity == &q::SUCTION_MARGIN,
        Id::Part(c, r, p) => {
            quantity == &q::ICE || (quantity == &q::SUCTION_MARGIN && single(c, r, p))
        }
        _ => quantity == &q::ICE,
    };
    let entries = catalogue.entries().iter().enumerate();
    entries.filter(|(_, e)| wanted(e.id, e.quantity)).map(|(index, _)| index).collect()
}

/// What results reached, and what they were at start and end.
pub fn peaks(history: &History, watched: &[usize], judged: &[Judged]) -> Section {
    let mut table = Table::new()
        .words("result", "result")
        .values("start", "start")
        .values("least", "least")
        .numbers("least_at", "when\nmin:s", Kind::Time)
        .values("most", "most")
        .numbers("most_at", "when\nmin:s", Kind::Time)
        .values("end", "end")
        .may_go();
    for &index in watched {
        let entry = &history.catalogue.entries()[index];
        let value = |row: usize| history.rows[row][index];
        let rows = 0..history.rows.len();
        let least = rows.clone().min_by(|&a, &b| value(a).total_cmp(&value(b))).unwrap_or(0);
        let most = rows.clone().rev().max_by(|&a, &b| value(a).total_cmp(&value(b))).unwrap_or(0);
        let kind = entry.quantity.kind;
        let known = |si: &f64| kinds::can_be(kind, *si);
        let shown = |si: f64| Cell::from(Some(si).filter(known).map(|si| Value::of(kind, si)));
        let clock = |at_s: f64| Cell::from(Value::clock(at_s));
        // A limit is watched between the rows too.
        let beyond = |bound: Bound, row: usize| {
            let row = (value(row), history.times_s[row]);
            let seen = judged
                .iter()
                .filter(|judged| judged.limit.bound == bound && judged.limit.of == entry.address);
            let seen = seen.filter_map(|judged| judged.value.zip(judged.at_s));
            let side = if bound == Bound::AtMost { 1.0 } else { -1.0 };
            seen.fold(row, |worst, one| if side * one.0 > side * worst.0 { one } else { worst })
        };
        let (least, most) = (beyond(Bound::AtLeast, least), beyond(Bound::AtMost, most));
        let cells = [
            (&entry.address).into(),
            shown(value(0)),
            shown(least.0),
            clock(least.1),
            shown(most.0),
            clock(most.1),
            shown(value(rows.end - 1)),
        ];
        table.row(&entry.address, cells);
        let first = [&q::METAL, &q::WALL, &q::COOLANT_RISE, &q::HOTTEST, &q::ICE, &q::MANIFOLD]
            .contains(&entry.quantity);
        table.weigh(if first { Weight::Headline } else { Weight::Support });
    }
    Section::new("peaks", "Peaks").table(table)
}

/// Histories as small plots in one line each; programs have the numbers.
pub fn histories(history: &History, columns: &[usize], judged: &[Judged]) -> Section {
    let mut table = Table::new()
        .words("history", "history")
        .values("least", "least")
        .words("over_time", "over time")
        .values("most", "most");
    for &index in columns {
        let entry = &history.catalogue.entries()[index];
        let values: Vec<f64> = history.rows.iter().map(|row| row[index]).collect();
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let kind = entry.quantity.kind;
        let shown = |si| Cell::from(Value::of(kind, si));
        let worst = worst_side(judged, &entry.address, entry.quantity);
        let bars = bars(&history.times_s, &values, (least, most), worst);
        table
            .row(&entry.address, [(&entry.address).into(), shown(least), bars.into(), shown(most)]);
        let unit = InUnit::of(kind, UnitSystem::Metric);
        let still = unit.shown(least) == unit.shown(most);
        table.weigh(if still { Weight::Detail } else { Weight::Headline });
    }
    let title = "Histories (the largest within each share of the time; of margins and what must not fall, \
                 the least)";
    Section::new("histories", title).for_people().support().table(table)
}

/// Which end of a result's values is the worse: that of its limit; of a margin and of ice the least.
fn worst_side(judged: &[Judged], address: &str, quantity: &Quantity) -> Bound {
    let margins =
        [&q::BOIL_MARGIN, &q::FREEZE_MARGIN, &q::SUCTION_MARGIN, &q::ONSET_MARGIN, &q::ICE];
    match judged.iter().find(|judged| judged.limit.of == address) {
        Some(judged) => judged.limit.bound,
        None if margins.contains(&quantity) => Bound::AtLeast,
        None => Bound::AtMost,
    }
}

/// A history as a row of bars: each the largest within its share of the time, or the least of what must not
/// fall below a bound.
fn bars(times: &[f64], values: &[f64], (least, most): (f64, f64), worst: Bound) -> String {
    const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    let (Some(&begin), Some(&end)) = (times.first(), times.last()) else { return String::new() };
    if times.len() < 2 || !(least.is_finite() && most.is_finite()) {
        return String::new();
    }
    let at = |time: f64| {
        let k = times.partition_point(|&t| t <= time).clamp(1, times.len() - 1);
        let (t, u) = (times[k - 1], times[k]);
        if u <= t {
            return values[k];
        }
        values[k - 1] + (values[k] - values[k - 1]) * ((time - t) / (u - t)).clamp(0.0, 1.0)
    };
    let edge = |column: usize| begin + (end - begin) * column as f64 / WIDTH as f64;
    let worse = |a: f64, b: f64| match worst {
        Bound::AtMost => a.max(b),
        Bound::AtLeast => a.min(b),
    };
    (0..WIDTH)
        .map(|column| {
            let (from, to) = (edge(column), edge(column + 1));
            let first = times.partition_point(|&t| t < from);
            let last = times.partition_point(|&t| t <= to);
            let within = values[first..last.max(first)].iter().copied();
            let value = within.fold(worse(at(from), at(to)), worse);
            let share = if most > least { (value - least) / (most - least) } else { 0.0 };
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 7")]
            let bar = (share.clamp(0.0, 1.0) * 7.0).round() as usize;
            BARS[bar]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A peak of one second in a cycle of 400: its share of ten seconds shows it in full, and a dip of a
    /// margin likewise.
    #[test]
    fn a_short_peak_is_seen() {
        let times: Vec<f64> = (0..=400).map(f64::from).collect();
        let peak: Vec<f64> = (0..=400).map(|t| if t == 105 { 1.0 } else { 0.0 }).collect();
        let row = bars(&times, &peak, (0.0, 1.0), Bound::AtMost);
        assert_eq!(row.chars().position(|bar| bar == '█'), Some(10));
        assert_eq!(row.chars().filter(|bar| *bar == '▁').count(), WIDTH - 1);
        let dip: Vec<f64> = peak.iter().map(|p| 1.0 - p).collect();
        let row = bars(&times, &dip, (0.0, 1.0), Bound::AtLeast);
        assert_eq!(row.chars().position(|bar| bar == '▁'), Some(10));
        assert_eq!(row.chars().filter(|bar| *bar == '█').count(), WIDTH - 1);
    }
}
