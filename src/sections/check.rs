//! What `check` read, and what stands out in it.

use coolwright_cases::lower::Ready;
use coolwright_models::slots::Values;

use super::coolant_words;
use crate::answer::{Cell, Lay, Section, Seen, Sentence, Table, Value};
use crate::say;
use crate::study::{Finding, Findings, Severity};

/// How many findings people see. A longer list is read by nobody.
const MOST: usize = 12;

/// What stands out, the most serious first.
pub fn findings(findings: &Findings) -> Section {
    let found = &findings.list;
    let head = match found.len() {
        0 => "The case reads, and nothing in its plumbing stands out.".into(),
        1 => "The case reads; 1 thing to look at:".into(),
        n => {
            say!("The case reads; {things} things to look at, the most serious first:", things = n)
        }
    };
    let mut table = Table::new()
        .words("severity", "severity")
        .words("subject", "subject")
        .words("where", "where")
        .words("what", "what")
        .words("why", "why")
        .words("do", "do");
    for finding in found {
        let cells: [Cell; 6] = [
            finding.severity.word().into(),
            finding.subject.into(),
            Value::list(&finding.places, ", ").into(),
            Value::spoken(&finding.what).into(),
            Value::spoken(&finding.why).into(),
            Value::spoken(&finding.remedy).into(),
        ];
        table.add(finding.places.first().cloned(), cells, Seen::Programs);
    }
    let mut section = Section::plain("findings").table(table).say(head, Lay::Lines);
    for (k, finding) in found.iter().take(MOST).enumerate() {
        section = section.say(one(finding), Lay::Numbered(k + 1));
    }
    if found.len() > MOST {
        let more = say!("{more} more of less weight: see `--json`.", more = found.len() - MOST);
        section = section.say(more, Lay::Inset);
    }
    section
}

/// What is said beside a verdict, in words: what will not work, and what a verdict does not look at.
pub fn serious(findings: &Findings) -> Vec<Sentence> {
    what(findings, |finding| finding.severity == Severity::Serious && !finding.beside)
}

/// What speaks against a verdict, though it works or a limit judges it.
pub fn beside(findings: &Findings) -> Vec<Sentence> {
    what(findings, |finding| finding.beside)
}

/// What works and costs something, in words.
pub fn costs(findings: &Findings) -> Vec<Sentence> {
    what(findings, |finding| finding.severity == Severity::Warning && !finding.beside)
}

fn what(findings: &Findings, said: impl Fn(&Finding) -> bool) -> Vec<Sentence> {
    let list = findings.list.iter().filter(|finding| said(finding));
    list.map(|finding| Sentence::spoken(&finding.what)).collect()
}

/// What stands out in the plumbing of a case that another question is asked of.
pub fn layout(findings: &Findings) -> Section {
    let lines = findings.list.iter().filter(|finding| finding.severity != Severity::Advice);
    let line = |finding: &Finding| {
        say!(
            "{severity}: {what}",
            severity = finding.severity.word(),
            what = Value::spoken(&finding.what)
        )
    };
    Section::new("layout", "Layout (`check` says why, and what to do)").points(lines.map(line))
}

/// A finding: what, why, and what to do.
fn one(finding: &Finding) -> Sentence {
    say!(
        "{severity}: {what}.\nWhy: {why}.\nDo: {remedy}.",
        severity = finding.severity.word(),
        what = Value::spoken(&sentence(&finding.what)),
        why = Value::spoken(&finding.why),
        remedy = Value::spoken(&finding.remedy),
    )
}

/// With a capital at its beginning, where it begins with a letter.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What could not be looked at, and why.
pub fn statements(findings: &Findings) -> Section {
    Section::new("not_looked_at", "Not looked at").points(&findings.statements)
}

/// What was read, in numbers of things.
pub fn read(ready: &Ready, variants: usize) -> Section {
    let model = &ready.model;
    let mut section = Section::plain("read");
    if !ready.title.is_empty() {
        section = section.apart().say(&ready.title, Lay::Lines);
    }
    for c in 0..model.circuits.len() {
        section = section.say(circuit(ready, &model.values, c), Lay::Inset);
    }
    let things = say!(
        "{bodies}, {cores}, {air_paths}, {limits}, {phases}, {variants}",
        bodies = count(model.bodies.len(), "heat source"),
        cores = count(model.cores.len(), "core"),
        air_paths = count(model.air_paths.len(), "air path"),
        limits = count(ready.limits.len(), "limit"),
        phases = phases(ready),
        variants = count(variants, "variant"),
    );
    section.say(things, Lay::Inset)
}

/// The phases as they are written, and how often all of them are gone through.
fn phases(ready: &Ready) -> Sentence {
    let all = &ready.duty.phases;
    let once = all.iter().skip(1).position(|phase| phase.plain == all[0].plain);
    let once = once.map_or(all.len(), |before| before + 1);
    let phases = count(once, "phase");
    match all.len().checked_div(once) {
        None | Some(1) => phases,
        Some(rounds) => say!("{phases} in {rounds} rounds", phases = phases, rounds = rounds),
    }
}

fn circuit(ready: &Ready, values: &Values, c: usize) -> Sentence {
    let circuit = &ready.model.circuits[c];
    let runs = circuit.runs.iter().filter(|run| !run.automatic).count();
    let parts = circuit.runs.iter().flat_map(|run| &run.parts);
    let junctions = circuit.junctions.iter().filter(|j| !j.automatic).count();
    say!(
        "circuit `{circuit}`: {coolant}, {runs}, {parts}, {junctions}",
        circuit = &circuit.name,
        coolant = coolant_words(ready, values, c),
        runs = count(runs, "run"),
        parts = count(parts.filter(|placed| !placed.automatic).count(), "part"),
        junctions = count(junctions, "junction"),
    )
}

/// What was assumed, in the order of the case.
pub fn assumed(ready: &Ready) -> Section {
    let mut table = Table::new()
        .words("assumed", "assumed")
        .values("value", "value")
        .values("least", "least")
        .values("most", "most")
        .words("why", "why")
        .words("addresses", "addresses");
    let mut lines = Vec::new();
    for assumption in &ready.assumptions {
        let [what, why] = [assumption.what, assumption.why].map(Value::spoken);
        let value = |si| Value::of(assumption.kind, si);
        let (least, most) = assumption.range;
        let places = match &assumption.addresses[..] {
            [address] => say!("`{address}`", address = address),
            addresses => say!("{places} places", places = addresses.len()),
        };
        lines.push(say!(
            "{what}: {value} ({places}; {why})",
            what = what.clone(),
            value = value(assumption.value),
            places = places,
            why = why.clone(),
        ));
        let cells = [
            what.into(),
            value(assumption.value).into(),
            value(least).into(),
            value(most).into(),
            why.into(),
            Value::list(&assumption.addresses, ", ").into(),
        ];
        table.add(assumption.addresses.first().cloned(), cells, Seen::Programs);
    }
    let title = "Assumed, because the case does not say (`point` sorts by influence)";
    Section::new("assumptions", title).table(table).points(lines)
}

fn count(n: usize, word: &'static str) -> Sentence {
    if n == 1 {
        say!("{count} {of}", count = n, of = word)
    } else {
        say!("{count} {of}s", count = n, of = word)
    }
}
