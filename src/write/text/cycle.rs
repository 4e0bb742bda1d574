//! The duty cycle in text.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::History;
use coolwright_models::slots::Values;

use super::{CAUTION, conditions, list, section};
use crate::study::{JudgedOverTime, Readiness, ReadyTarget, kind_of};
use crate::write::table::Table;
use crate::write::{Style, verdict};

/// Everything that the answer is made of.
pub struct CycleAnswer<'a> {
    /// The case.
    pub ready: &'a Ready,
    /// The values at full power.
    pub values: &'a Values,
    /// The histories.
    pub history: &'a History,
    /// The limits.
    pub judged: &'a [JudgedOverTime],
    /// What must have fallen before the next pull.
    pub targets: &'a [ReadyTarget],
    /// How each rest brought the vehicle back.
    pub readiness: &'a [Readiness],
    /// The variant, if it is one.
    pub variant: Option<&'a str>,
}

/// The duty cycle in text.
pub fn cycle(style: &Style, answer: &CycleAnswer<'_>) -> String {
    let CycleAnswer { ready, values, history, judged, .. } = answer;
    let worst: Vec<_> = judged.iter().map(|j| j.worst.clone()).collect();
    let mut out = String::new();
    if let Some(boiled) = history.boiled {
        out.push_str(&format!(
            "VERDICT  {}: the coolant of `{}` boils at {:.1} s; beyond that the numbers would not hold, so \
             the cycle stops there\n",
            style.judged(false, "BROKEN"),
            ready.model.circuits[boiled.circuit].name,
            boiled.at_s
        ));
    } else {
        out.push_str(&verdict::line(style, &worst));
    }
    if !ready.title.is_empty() {
        out.push_str(&format!("{}\n", ready.title));
    }
    let which =
        answer.variant.map_or("full power".to_owned(), |v| format!("variant `{v}`, full power"));
    out.push_str(&conditions(style, ready, values, &which));
    out.push_str(&limits(style, judged));
    out.push_str(&readiness(style, answer));
    out.push_str(&switched(answer));
    out.push_str(&peaks(style, history));
    out.push_str(&heat(style, history));
    out.push_str(&where_heat_went(style, answer));
    out.push_str(&histories(style, answer));
    out.push_str(&list("Notes", &ready.notes));
    out.push_str(CAUTION);
    out
}

/// A time after the start, as people say it.
fn clock(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{seconds:.1} s")
    } else {
        let (minutes, rest) = ((seconds / 60.0).floor(), seconds % 60.0);
        format!("{minutes:.0} min {rest:02.0} s")
    }
}

fn limits(style: &Style, judged: &[JudgedOverTime]) -> String {
    let mut table =
        Table::new(&["<limit", "<of", "peak", "when", "<bound", "<margin", "time broken"]);
    for over_time in judged {
        let worst = &over_time.worst;
        table.row([
            worst.limit.name.clone(),
            worst.limit.of.clone(),
            style.quantity(worst.limit.kind, worst.value),
            clock(over_time.at_s),
            verdict::bound(style, worst),
            verdict::margin(style, worst),
            if over_time.broken_for_s > 0.0 {
                clock(over_time.broken_for_s)
            } else {
                "-".to_owned()
            },
        ]);
    }
    section("Limits at their worst moment", table)
}

fn readiness(style: &Style, answer: &CycleAnswer<'_>) -> String {
    let CycleAnswer { history, targets, readiness, .. } = answer;
    if readiness.is_empty() {
        return String::new();
    }
    let mut table =
        Table::new(&["<rest", "starts", "ready again after", "<waits for", "<to fall below"]);
    for rest in *readiness {
        let phase = &history.phases[rest.phase];
        let target = &targets[rest.last];
        table.row([
            phase.name.clone(),
            clock(phase.from_s),
            rest.after_s
                .map_or_else(|| format!("not within {}", clock(phase.to_s - phase.from_s)), clock),
            target.of.clone(),
            style.quantity(target.kind, target.below),
        ]);
    }
    let mut out = section("Ready for the next pull", table);
    if targets.iter().any(|target| target.assumed) {
        out.push_str(
            "  The case does not say when it is ready: taken is that the metal of every heat source is \
             back\n  within a fifth of its rise.\n",
        );
    }
    out
}

/// What switched, and when.
fn switched(answer: &CycleAnswer<'_>) -> String {
    let mut table = Table::new(&["<switch", "goes", "at"]);
    for event in &answer.history.switched {
        let name = answer.ready.model.switches[event.switch].name.clone();
        let goes = if event.on { "on" } else { "off" };
        table.row([name, goes.to_owned(), clock(event.at_s)]);
    }
    section("Switches", table)
}

/// Which results deserve a line of their own: metal and hottest coolant, core heat, ice.
fn worth_watching(history: &History) -> Vec<usize> {
    let wanted = |address: &str| {
        let (path, name) = address.rsplit_once(':').unwrap_or((address, ""));
        let body = path.starts_with("engines/") || path.starts_with("coolers/");
        (body && (name == "metal" || name == "rise"))
            || (path.starts_with("cores/") && name == "heat")
            || (!path.contains('/') && matches!(name, "hottest" | "boil_margin"))
            || name == "ice"
            || name == "suction_margin"
    };
    let entries = history.catalogue.entries().iter().enumerate();
    entries.filter(|(_, entry)| wanted(&entry.address)).map(|(index, _)| index).collect()
}

/// What each result reached, and what it was at the end of every phase.
fn peaks(style: &Style, history: &History) -> String {
    let mut headings = vec!["<result", "start", "least", "when", "most", "when", "end"];
    headings.truncate(7);
    let mut table = Table::new(&headings);
    for index in worth_watching(history) {
        let entry = &history.catalogue.entries()[index];
        let kind = kind_of(entry.quantity.measure);
        let value = |row: usize| history.rows[row][index];
        let rows = 0..history.rows.len();
        let least = rows.clone().min_by(|&a, &b| value(a).total_cmp(&value(b))).unwrap_or(0);
        let most = rows.clone().rev().max_by(|&a, &b| value(a).total_cmp(&value(b))).unwrap_or(0);
        table.row([
            entry.address.clone(),
            style.quantity(kind, value(0)),
            style.quantity(kind, value(least)),
            clock(history.times_s[least]),
            style.quantity(kind, value(most)),
            clock(history.times_s[most]),
            style.quantity(kind, value(rows.end - 1)),
        ]);
    }
    section("Peaks", table)
}

/// Heat in, out and stored, phase by phase, with what the audit leaves open.
fn heat(style: &Style, history: &History) -> String {
    let mut table = Table::new(&[
        "<phase",
        "from",
        "to",
        "heat in",
        "from pumps",
        "from outside",
        "to the air",
        "stored",
        "open",
    ]);
    let energy = |joule: f64| style.quantity(Kind::Energy, joule);
    let mut sums = [0.0; 6];
    for phase in &history.phases {
        let sum = |x: &[f64]| x.iter().sum::<f64>();
        let border = &phase.border;
        let row = [
            sum(&border.bodies),
            sum(&border.pumps),
            sum(&border.outside),
            sum(&border.cores),
            phase.stored_j,
            phase.open_j(),
        ];
        for (total, value) in sums.iter_mut().zip(row) {
            *total += value;
        }
        let head = [phase.name.clone(), clock(phase.from_s), clock(phase.to_s)];
        table.row(head.into_iter().chain(row.map(energy)));
    }
    let end = history.phases.last().map_or(0.0, |phase| phase.to_s);
    let head = ["all".to_owned(), clock(0.0), clock(end)];
    table.row(head.into_iter().chain(sums.map(energy)));
    let mut out =
        section("Heat (in + from pumps + from outside = to the air + stored + open)", table);
    let turned = sums[0].abs() + sums[1].abs() + sums[2].abs();
    if turned > 0.0 {
        let share = 100.0 * sums[5].abs() / turned;
        out.push_str(&format!("  The audit closes to {share:.3} % of the heat turned over.\n"));
    }
    out
}

/// Heat of each source and each core over the whole cycle.
fn where_heat_went(style: &Style, answer: &CycleAnswer<'_>) -> String {
    let CycleAnswer { ready, history, .. } = answer;
    let mut table = Table::new(&["<", "over the cycle"]);
    let total = |pick: &dyn Fn(&coolwright_models::simulate::Border) -> f64| {
        history.phases.iter().map(|phase| pick(&phase.border)).sum::<f64>()
    };
    let energy = |joule: f64| style.quantity(Kind::Energy, joule);
    for (k, body) in ready.model.bodies.iter().enumerate() {
        let heat = total(&|border| border.bodies[k]);
        table.row([format!("into {}s/{}", body.word, body.name), energy(heat)]);
    }
    for (k, core) in ready.model.cores.iter().enumerate() {
        let heat = total(&|border| border.cores[k]);
        table.row([format!("from cores/{} to the air", core.name), energy(heat)]);
    }
    section("Where the heat came from and went", table)
}

/// Histories as small plots in one line each.
fn histories(style: &Style, answer: &CycleAnswer<'_>) -> String {
    let CycleAnswer { history, judged, .. } = answer;
    let mut indices: Vec<usize> = judged.iter().map(|j| j.worst.limit.index).collect();
    indices.extend(worth_watching(history));
    let mut seen = Vec::new();
    indices.retain(|index| {
        let new = !seen.contains(index);
        seen.push(*index);
        new
    });
    let mut table = Table::new(&["<history", "least", "<over time", "most"]);
    for index in indices {
        let entry = &history.catalogue.entries()[index];
        let kind = kind_of(entry.quantity.measure);
        let values: Vec<f64> = history.rows.iter().map(|row| row[index]).collect();
        let (least, most) = (
            values.iter().copied().fold(f64::INFINITY, f64::min),
            values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        );
        table.row([
            entry.address.clone(),
            style.quantity(kind, least),
            spark(&history.times_s, &values, (least, most)),
            style.quantity(kind, most),
        ]);
    }
    section("Histories", table)
}

/// How many signs a history has.
const WIDTH: usize = 60;

/// A history as a row of bars: each the mean over its share of the time.
fn spark(times: &[f64], values: &[f64], (least, most): (f64, f64)) -> String {
    const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    let (Some(&begin), Some(&end)) = (times.first(), times.last()) else { return String::new() };
    let at = |time: f64| {
        let k = times.partition_point(|&t| t <= time).clamp(1, times.len() - 1);
        let (t, u) = (times[k - 1], times[k]);
        if u <= t {
            return values[k];
        }
        values[k - 1] + (values[k] - values[k - 1]) * ((time - t) / (u - t)).clamp(0.0, 1.0)
    };
    if times.len() < 2 || !(least.is_finite() && most.is_finite()) {
        return String::new();
    }
    (0..WIDTH)
        .map(|column| {
            let time = begin + (end - begin) * (column as f64 + 0.5) / WIDTH as f64;
            let share = if most > least { (at(time) - least) / (most - least) } else { 0.0 };
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 7")]
            let bar = (share.clamp(0.0, 1.0) * 7.0).round() as usize;
            BARS[bar]
        })
        .collect()
}
