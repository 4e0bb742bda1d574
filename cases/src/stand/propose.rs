//! What the columns of a log may be: by the words of their names and by their units.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use coolwright_models::gauge::Reads;

use super::head::Head;
use crate::lower::Ready;
use crate::quantity::{Kind, parse};

/// A stand file as it may be, with what could not be placed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proposal {
    /// The column of time: name and unit.
    pub time: Option<(String, String)>,
    /// What is driven: address, column, unit.
    pub drives: Vec<[String; 3]>,
    /// What is read: gauge, column, unit.
    pub gauges: Vec<[String; 3]>,
    /// Columns that are nothing known.
    pub unplaced: Vec<String>,
    /// Gauges of the case without a column.
    pub missing: Vec<String>,
}

/// Something that a column may be.
struct Candidate {
    /// Its address, or the name of its gauge.
    name: String,
    is_gauge: bool,
    kinds: Vec<Kind>,
    /// Words that mean it alone, and words that only fit.
    own: BTreeSet<String>,
    fits: BTreeSet<String>,
    /// The unit where the log tells none.
    unit: &'static str,
}

/// Words that mean the same, the first of a row for all.
const SAME: [&[&str]; 17] = [
    &["temperature", "temp", "t", "tmp"],
    &["pressure", "press", "p", "prs"],
    &["flow", "q", "vdot", "flowrate"],
    &["in", "inlet", "feed", "supply"],
    &["out", "outlet", "return"],
    &["engine", "eng", "motor"],
    &["coolant", "water", "clt", "ect", "cool"],
    &["ambient", "amb", "outside", "oat", "air"],
    &["power", "pwr", "load", "kw"],
    &["speed", "spd", "v", "velocity"],
    &["rpm", "n", "rev", "revs"],
    &["voltage", "volt", "volts", "u", "batt", "battery", "vbat"],
    &["charge", "chg", "lt"],
    &["radiator", "rad", "core"],
    &["time", "zeit", "clock", "stamp", "timestamp"],
    &["road", "vehicle", "veh", "gps"],
    &["suction", "suct"],
];

/// The words of a name: cut at signs, at digits and where a capital letter follows a small one.
fn words(name: &str) -> BTreeSet<String> {
    let mut words = BTreeSet::new();
    let mut word = String::new();
    let mut before = ' ';
    for sign in name.chars().chain([' ']) {
        let begins = sign.is_uppercase() && before.is_lowercase();
        let changes = sign.is_ascii_digit() != before.is_ascii_digit();
        if (!sign.is_alphanumeric() || begins || changes) && !word.is_empty() {
            let plain = word.to_lowercase();
            let same = SAME.iter().find(|row| row.contains(&plain.as_str()));
            words.insert(same.map_or(plain, |row| row[0].to_owned()));
            word.clear();
        }
        if sign.is_alphanumeric() {
            word.push(sign);
        }
        before = sign;
    }
    words
}

fn set(of: &[&str]) -> BTreeSet<String> {
    of.iter().map(|word| (*word).to_owned()).collect()
}

/// What drives: its name in a stand file, its address, its kinds, words that mean it, words that fit it, its unit.
type Driving = (
    &'static str,
    &'static str,
    &'static [Kind],
    &'static [&'static str],
    &'static [&'static str],
    &'static str,
);

/// Numbers that drive a case, with the words that mean them.
fn drives(ready: &Ready) -> Vec<Candidate> {
    let all: [Driving; 5] = [
        (
            "power",
            "duty:power",
            &[Kind::Power, Kind::Fraction],
            &["power"],
            &["engine", "shaft"],
            "kW",
        ),
        ("road_speed", "duty:road_speed", &[Kind::Speed], &["road", "speed"], &[], "km/h"),
        (
            "engine_speed",
            "duty:engine_speed",
            &[Kind::RotationalSpeed],
            &["rpm"],
            &["engine", "speed"],
            "rpm",
        ),
        ("site:air", "site:air", &[Kind::Temperature], &["ambient"], &["temperature"], "°C"),
        (
            "supply:voltage",
            "supply:voltage",
            &[Kind::Voltage],
            &["voltage"],
            &["supply", "in"],
            "V",
        ),
    ];
    let known = all.into_iter().filter(|(_, address, ..)| ready.addresses.contains_key(*address));
    known
        .map(|(name, _, kinds, own, fits, unit)| Candidate {
            name: name.to_owned(),
            is_gauge: false,
            kinds: kinds.to_vec(),
            own: set(own),
            fits: set(fits),
            unit,
        })
        .collect()
}

/// The gauges of a case, with the words of their names and places.
fn gauges(ready: &Ready) -> Vec<Candidate> {
    let of = |gauge: &coolwright_models::gauge::Gauge| {
        let (kind, word, unit) = match gauge.reads {
            Reads::Pressure => (Kind::GaugePressure, "pressure", "kPa"),
            Reads::Temperature => (Kind::Temperature, "temperature", "°C"),
            Reads::Flow => (Kind::VolumeFlow, "flow", "L/min"),
        };
        let mut fits = set(&[word]);
        fits.extend(words(&ready.model.circuits[gauge.circuit].name));
        fits.insert("coolant".to_owned());
        let kinds = vec![kind];
        let (name, own) = (gauge.name.clone(), words(&gauge.name));
        Candidate { name, is_gauge: true, kinds, own, fits, unit }
    };
    ready.model.gauges.iter().map(of).collect()
}

/// What speaks for a gauge that is called as its column is: more than any words.
const CALLED: usize = 1000;

/// How much speaks for a column being something; nothing where its unit or a word speaks against it.
fn score(candidate: &Candidate, name: &str, unit: &str) -> Option<usize> {
    let unit_fits = |kind: &Kind| parse(*kind, &format!("1 {unit}")).is_ok();
    if !unit.is_empty() && !candidate.kinds.iter().any(unit_fits) {
        return None;
    }
    if candidate.is_gauge && name.eq_ignore_ascii_case(&candidate.name) {
        return Some(CALLED);
    }
    let words = words(name);
    let against = [["in", "out"], ["out", "in"]];
    if against.iter().any(|[a, b]| words.contains(*a) && candidate.own.contains(*b)) {
        return None;
    }
    let kind_words = set(&["temperature", "pressure", "flow"]);
    let tells = |word: &&String| !kind_words.contains(*word);
    // A `P` in kilowatts is no pressure.
    let power = candidate.name == "power" && !unit.is_empty() && words.contains("pressure");
    let own = words.intersection(&candidate.own).filter(tells).count() + usize::from(power);
    if own == 0 {
        return None;
    }
    let all = words.is_superset(&candidate.own);
    let fits = words.intersection(&candidate.fits).count();
    let strange = words
        .iter()
        .filter(tells)
        .filter(|word| !candidate.own.contains(*word) && !candidate.fits.contains(*word));
    let lacking = candidate.own.difference(&words).filter(tells).count();
    let points =
        20 + 10 * own + 4 * fits + 6 * usize::from(all) + 2 * usize::from(!unit.is_empty());
    points.checked_sub(5 * strange.count() + 4 * lacking).filter(|points| *points > 20)
}

/// Proposes what the columns of a log are.
pub fn propose(head: &Head, ready: &Ready) -> Proposal {
    let columns: Vec<usize> =
        (0..head.names.len()).filter(|&k| !head.names[k].is_empty()).collect();
    let time = time(head, &columns);
    let candidates: Vec<Candidate> = drives(ready).into_iter().chain(gauges(ready)).collect();
    let mut pairs = Vec::new();
    for &k in columns.iter().filter(|k| Some(**k) != time) {
        for (c, candidate) in candidates.iter().enumerate() {
            if let Some(points) = score(candidate, &head.names[k], &head.units[k]) {
                pairs.push((std::cmp::Reverse(points), k, c));
            }
        }
    }
    pairs.sort_unstable();
    let mut proposal = Proposal {
        time: time.map(|k| {
            let unit = if head.units[k].is_empty() { "s" } else { &head.units[k] };
            (head.names[k].clone(), unit.to_owned())
        }),
        ..Proposal::default()
    };
    let (mut taken, mut given) = (BTreeSet::new(), BTreeSet::new());
    let mut placed = Vec::new();
    for (_, k, c) in pairs {
        if taken.contains(&k) || given.contains(&c) {
            continue;
        }
        taken.insert(k);
        given.insert(c);
        placed.push((c, k));
    }
    placed.sort_unstable();
    for (c, k) in placed {
        let candidate = &candidates[c];
        let unit = if head.units[k].is_empty() { candidate.unit } else { &head.units[k] };
        let row = [candidate.name.clone(), head.names[k].clone(), unit.to_owned()];
        if candidate.is_gauge { proposal.gauges.push(row) } else { proposal.drives.push(row) }
    }
    let left = |k: &&usize| !taken.contains(*k) && Some(**k) != time;
    proposal.unplaced = columns.iter().filter(left).map(|&k| head.names[k].clone()).collect();
    let missing = candidates.iter().enumerate().filter(|(c, of)| of.is_gauge && !given.contains(c));
    proposal.missing = missing.map(|(_, of)| of.name.clone()).collect();
    proposal
}

/// The column of time: by its name, else by its unit, else the first whose numbers grow.
fn time(head: &Head, columns: &[usize]) -> Option<usize> {
    let is_time = |unit: &str| parse(Kind::Time, &format!("1 {unit}")).is_ok();
    let called = |k: &&usize| {
        let name = head.names[**k].to_lowercase();
        let plain = ["t", "ts", "x_value"].contains(&name.as_str());
        (plain || words(&name).contains("time"))
            && (head.units[**k].is_empty() || is_time(&head.units[**k]))
    };
    let timed = |k: &&usize| !head.units[**k].is_empty() && is_time(&head.units[**k]);
    let grows = |k: &&usize| {
        let read = |row: &Vec<String>| {
            let field = row.get(**k)?.as_bytes().to_vec();
            let mark = head.decimal(**k).and_then(|mark| u8::try_from(mark).ok());
            super::numbers::number(&field, mark).or_else(|| super::numbers::time_of_day(&field))
        };
        let numbers: Vec<Option<f64>> = head.first.iter().map(read).collect();
        numbers.len() > 1
            && numbers.windows(2).all(|pair| matches!(pair, [Some(a), Some(b)] if b > a))
    };
    let found = columns.iter().find(called).or_else(|| columns.iter().find(timed));
    found.or_else(|| columns.iter().find(grows)).copied()
}

impl Proposal {
    /// The stand file, for the log of a name.
    pub fn text(&self, log: &str) -> String {
        let mut text = String::from(
            "// Proposed from the names and units of the columns: look at every line before it counts.\n",
        );
        let quoted = |text: &str| format!("{text:?}");
        let (name, unit) = self.time.clone().unwrap_or_else(|| ("time".into(), "s".into()));
        let _ = writeln!(text, "Stand(\n    log: {},", quoted(log));
        if self.time.is_none() {
            text.push_str("    // No column of time was found: name it here.\n");
        }
        let _ = writeln!(text, "    time: ({}, {}),", quoted(&name), quoted(&unit));
        for (field, rows) in [("drives", &self.drives), ("gauges", &self.gauges)] {
            let _ = writeln!(text, "    {field}: [");
            for [of, column, unit] in rows {
                let _ = writeln!(
                    text,
                    "        ({}, {}, {}),",
                    quoted(of),
                    quoted(column),
                    quoted(unit)
                );
            }
            text.push_str("    ],\n");
        }
        if !self.unplaced.is_empty() {
            let unplaced = crate::text::calm(&self.unplaced.join(", "));
            let _ = writeln!(text, "    // Not placed: {unplaced}");
        }
        if !self.missing.is_empty() {
            let _ = writeln!(text, "    // Gauges without a column: {}", self.missing.join(", "));
        }
        text.push_str(")\n");
        text
    }
}
