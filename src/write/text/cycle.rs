//! The duty cycle in text.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::{Kind, UnitSystem};
use coolwright_models::cycle::History;
use coolwright_models::inputs::POWER;
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
            "VERDICT  {}: the coolant of `{}` boils {:.1} s after the start; beyond that the numbers would \
             not hold, so the cycle stops there\n",
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
    // The values are those of the operating point, which may lie at a share of full power.
    let mut at_full = (*values).clone();
    let power = ready.model.inputs.slot(POWER);
    let share = ready.duty.point_share.filter(|share| *share > 0.0);
    if let (Some(power), Some(share)) = (power, share) {
        at_full.set(power, values.get(power) / share);
    }
    out.push_str(&conditions(style, ready, &at_full, &which));
    out.push_str(&limits(style, judged));
    out.push_str(&readiness(style, answer));
    out.push_str(&switched(answer));
    out.push_str(&peaks(style, answer));
    out.push_str(&heat(style, history));
    out.push_str(&where_heat_went(style, answer));
    out.push_str(&histories(style, answer));
    out.push_str(&list("Notes", &ready.notes));
    out.push_str(CAUTION);
    out
}

/// A time as minutes and seconds: 12:07.5.
fn clock(seconds: f64) -> String {
    let tenths = (seconds * 10.0).round();
    let (minutes, rest) = ((tenths / 600.0).floor(), tenths % 600.0);
    format!("{minutes:.0}:{:04.1}", rest / 10.0)
}

/// More rests than this are not printed one by one.
const MOST_RESTS: usize = 6;
/// More phases than this are added up by name.
const MOST_PHASES: usize = 12;

fn limits(style: &Style, judged: &[JudgedOverTime]) -> String {
    let mut table = Table::new(&[
        "<limit",
        "<of",
        "worst",
        "when\nmin:s",
        "<bound",
        "<margin",
        "broken for\nmin:s",
    ]);
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
    section("Limits at their worst moment", table.without_empty_columns())
}

fn readiness(style: &Style, answer: &CycleAnswer<'_>) -> String {
    let CycleAnswer { history, targets, readiness, .. } = answer;
    if readiness.is_empty() {
        return String::new();
    }
    let mut table = Table::new(&[
        "<rest that begins with",
        "starts\nmin:s",
        "ready again after\nmin:s",
        "<waits for",
        "<to fall below",
    ]);
    let many = readiness.len() > MOST_RESTS;
    for (k, rest) in readiness.iter().enumerate() {
        if many && k > 0 && k + 1 < readiness.len() {
            continue;
        }
        let phase = &history.phases[rest.phase];
        let target = &targets[rest.last];
        table.row([
            phase.name.clone(),
            clock(phase.from_s),
            rest.after_s.map_or_else(|| "not before the next pull".to_owned(), clock),
            target.of.clone(),
            style.quantity(target.kind, target.below),
        ]);
    }
    let mut out = section("Ready for the next pull", table);
    if many {
        out.push_str(&format!("  The first and the last of {} rests.\n", readiness.len()));
    }
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
    let mut table = Table::new(&["<switch", "<goes", "at\nmin:s"]);
    for event in &answer.history.switched {
        let name = answer.ready.model.switches[event.switch].name.clone();
        let goes = if event.on { "on" } else { "off" };
        table.row([name, goes.to_owned(), clock(event.at_s)]);
    }
    section("Switches", table)
}

/// Which results deserve a line of their own: metal and hottest coolant, core heat, ice.
fn worth_watching(answer: &CycleAnswer<'_>) -> Vec<usize> {
    let history = answer.history;
    // Of several pumps under one name the worst is under that name.
    let of_group = |path: &str| {
        answer.ready.model.circuits.iter().any(|circuit| {
            let group = |group: &str| path.starts_with(&format!("{}/{group}.", circuit.name));
            circuit.groups.iter().any(|g| group(&g.path))
        })
    };
    let wanted = |address: &str| {
        let (path, name) = address.rsplit_once(':').unwrap_or((address, ""));
        let body = path.starts_with("engines/") || path.starts_with("coolers/");
        (body && (name == "metal" || name == "rise"))
            || (path.starts_with("cores/") && name == "heat")
            || (!path.contains('/') && matches!(name, "hottest" | "boil_margin"))
            || name == "ice"
            || (name == "suction_margin" && !of_group(path))
    };
    let entries = history.catalogue.entries().iter().enumerate();
    entries.filter(|(_, entry)| wanted(&entry.address)).map(|(index, _)| index).collect()
}

/// What each result reached, and what it was at the end of every phase.
fn peaks(style: &Style, answer: &CycleAnswer<'_>) -> String {
    let history = answer.history;
    let mut table =
        Table::new(&["<result", "start", "least", "when\nmin:s", "most", "when\nmin:s", "end"]);
    for index in worth_watching(answer) {
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
        "from\nmin:s",
        "to\nmin:s",
        "heat in",
        "from\npumps",
        "from\noutside",
        "to the\nair",
        "stored",
        "open",
    ]);
    let mut sums = [0.0; 6];
    let mut rows: Vec<([String; 3], [f64; 6])> = Vec::new();
    let many = history.phases.len() > MOST_PHASES;
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
        if !many {
            rows.push((head, row));
            continue;
        }
        // Of many rounds, those of one name are one row.
        let name = phase.name.rsplit_once(' ').map_or(phase.name.as_str(), |(name, _)| name);
        let name = format!("{name}, all rounds");
        if let Some((_, sums)) = rows.iter_mut().find(|(head, _)| head[0] == name) {
            sums.iter_mut().zip(row).for_each(|(sum, value)| *sum += value);
        } else {
            rows.push(([name, "-".to_owned(), "-".to_owned()], row));
        }
    }
    let end = history.phases.last().map_or(0.0, |phase| phase.to_s);
    let head = ["all".to_owned(), clock(0.0), clock(end)];
    rows.push((head, sums));
    // One unit for a column: the larger where its largest number asks for it.
    let largest: [f64; 6] =
        std::array::from_fn(|k| rows.iter().map(|(_, row)| row[k].abs()).fold(0.0, f64::max));
    for (head, row) in rows {
        let cells = (0..row.len()).map(|k| energy(style, row[k], largest[k]));
        table.row(head.into_iter().chain(cells));
    }
    let mut out = section(
        "Heat (in + from pumps + from outside = to the air + stored + open)",
        table.without_empty_columns(),
    );
    let turned = sums[0].abs() + sums[1].abs() + sums[2].abs();
    if turned > 0.0 {
        let share = 100.0 * sums[5].abs() / turned;
        out.push_str(&format!("  The audit closes to {share:.3} % of the heat turned over.\n"));
    }
    out
}

/// An energy in the unit that the largest of its column has.
fn energy(style: &Style, joule: f64, largest: f64) -> String {
    if style.units == UnitSystem::Metric && largest >= 1e6 {
        let digits = if largest >= 1e8 { 1 } else { 3 };
        let rounded = format!("{:.digits$}", joule / 1e6);
        let zero = rounded.trim_start_matches('-').chars().all(|c| "0.".contains(c));
        return if zero { "0 MJ".to_owned() } else { format!("{rounded} MJ") };
    }
    style.quantity(Kind::Energy, joule)
}

/// Heat of each source and each core over the whole cycle.
fn where_heat_went(style: &Style, answer: &CycleAnswer<'_>) -> String {
    let CycleAnswer { ready, history, .. } = answer;
    let mut table = Table::new(&["<", "over the cycle"]);
    let total = |pick: &dyn Fn(&coolwright_models::simulate::Border) -> f64| {
        history.phases.iter().map(|phase| pick(&phase.border)).sum::<f64>()
    };
    let mut rows: Vec<(String, f64)> = Vec::new();
    for (k, body) in ready.model.bodies.iter().enumerate() {
        rows.push((
            format!("into {}s/{}", body.word, body.name),
            total(&|border| border.bodies[k]),
        ));
    }
    for (k, core) in ready.model.cores.iter().enumerate() {
        rows.push((
            format!("from cores/{} to the air", core.name),
            total(&|border| border.cores[k]),
        ));
    }
    let largest = rows.iter().map(|(_, heat)| heat.abs()).fold(0.0, f64::max);
    for (name, heat) in rows {
        table.row([name, energy(style, heat, largest)]);
    }
    section("Where the heat came from and went", table)
}

/// Histories as small plots in one line each.
fn histories(style: &Style, answer: &CycleAnswer<'_>) -> String {
    let CycleAnswer { history, judged, .. } = answer;
    let mut indices: Vec<usize> = judged.iter().map(|j| j.worst.limit.index).collect();
    indices.extend(worth_watching(answer));
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
const WIDTH: usize = 48;

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
