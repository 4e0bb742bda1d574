//! A duty that was logged: columns of a table over time drive the model, and its phases are found in it.

use coolwright_models::inputs::{Machine, Track};
use coolwright_models::slots::Slot;

use super::context::{Bound, Context};
use super::duty::{LoweredPhase, no_value};
use super::logged::{Rows, Told, rows};
use super::roles::Role;
use crate::diagnostic::Problem;
use crate::file::Case;
use crate::quantity::{Kind, QuantityError, parse, spoken};
use crate::text::{Span, Spanned};

/// What a log makes of the duty.
#[derive(Debug, Default)]
pub(super) struct Logged {
    /// Stretches at work and at rest.
    pub phases: Vec<LoweredPhase>,
    /// Numbers over time.
    pub tracks: Vec<(Slot, Track)>,
    /// What was found in it.
    pub report: Vec<String>,
    /// The share of its rows that could not be taken as they stood.
    pub lost: f64,
}

/// One column that drives something, SI.
struct Driving {
    slots: Vec<Slot>,
    values: Vec<f64>,
}

/// What the stretches of a log are called, those at work, those at rest, and all of it where it tells no power.
pub(super) const STRETCHES: [&str; 3] = ["work", "rest", "log"];

/// From this share of the most power on the vehicle is at work, and below the second it rests again.
const WORKS: f64 = 0.5;
/// See [`WORKS`].
const RESTS: f64 = 0.35;
/// Shorter stretches belong to what was before, s.
const SHORTEST_S: f64 = 2.0;

/// Lowers the log of a duty.
pub(super) fn lower(
    context: &mut Context<'_>,
    case: &Case,
    machines: &[Machine],
) -> Option<Logged> {
    let spec = case.duty.log.as_ref()?;
    if !case.duty.phases.is_empty() || case.duty.repeat.is_some() {
        let message = "a duty has phases, or a log that tells them: not both";
        context.error(spec.span, message, "leave this out, or `phases` and `repeat`");
        return None;
    }
    let text = case.log_text.as_ref()?;
    let names: Vec<&Spanned<String>> = spec.value.set.iter().map(|(_, name, _)| name).collect();
    let told = Told { file: &spec.value.file.value, time: &spec.value.time.0, names: &names };
    let unit = scale(context, Kind::Time, &spec.value.time.1)?;
    if spec.value.set.is_empty() {
        context.error(spec.span, "this log drives nothing", "add what it drives to `set`");
        return None;
    }
    let (rows, mut report) = rows(context.problems, text, &told, unit)?;
    twice(context, &spec.value.set);
    let mut driving = Vec::new();
    let mut shares = None;
    for (k, column) in spec.value.set.iter().enumerate() {
        let read = if column.0.value == POWER_NAME {
            power(context, (case, spec.span), column, (&rows, k), &mut report)
        } else {
            number(context, machines, column, (&rows, k))
        };
        let Some(read) = read else { continue };
        if column.0.value == POWER_NAME {
            shares = Some(driving.len());
        }
        driving.push(read);
    }
    let tracks = driving.iter().flat_map(|column| {
        let points = thinned(&rows.times_s, &column.values);
        column.slots.iter().map(move |&slot| (slot, Track::table(points.clone())))
    });
    let tracks = tracks.collect();
    if shares.is_none() {
        let share = context.slot("duty:point").map_or(1.0, |slot| context.values.get(slot));
        let share = spoken(Kind::Fraction, share);
        report.push(format!("the log tells no power: {share} of full power throughout"));
    }
    let phases = phases(&rows.times_s, &driving, shares);
    Some(Logged { phases, tracks, report, lost: rows.lost })
}

/// What a log drives cannot be written: a change of it would have no effect.
fn driven(context: &mut Context<'_>, address: &str) {
    if let Some((_, span)) = context.told(address) {
        let message = format!("`{address}` cannot be written");
        context.error(span, message, "the log of the duty drives it, whatever is written");
    }
    context.cast(address, Role::Driven);
}

/// Name of the column of power, which no slot has as it is: heat goes with the share of full power.
const POWER_NAME: &str = "power";

/// How a number of a column becomes SI: `si = offset + factor · number`.
fn scale(context: &mut Context<'_>, kind: Kind, unit: &Spanned<String>) -> Option<[f64; 2]> {
    match affine(kind, &unit.value) {
        Ok(scale) => Some(scale),
        Err(error) => {
            let problem = Problem::error(unit.span, error.message).label("the unit of this column");
            context.problems.push(error.help.into_iter().fold(problem, Problem::help));
            None
        }
    }
}

fn affine(kind: Kind, unit: &str) -> Result<[f64; 2], QuantityError> {
    let zero = parse(kind, &format!("0 {unit}"))?;
    let one = parse(kind, &format!("1 {unit}"))?;
    Ok([zero, one - zero])
}

/// Complains where the row of units of a table says another unit of the same kind than the case.
fn contradicts(
    context: &mut Context<'_>,
    written: Option<&String>,
    kind: Kind,
    (name, told): (&Spanned<String>, &Spanned<String>),
) {
    let Some(written) = written.filter(|written| !written.is_empty()) else { return };
    let (Ok(here), Ok(there)) = (affine(kind, &told.value), affine(kind, written)) else { return };
    if here.map(f64::to_bits) != there.map(f64::to_bits) {
        let message = format!("below `{}` the log says `{written}`", name.value);
        let problem = Problem::error(told.span, message).label("another unit here");
        context.problems.push(problem.help("tell the unit that the log has"));
    }
}

/// Complains of what is driven twice, and of a log that drives nothing.
fn twice(context: &mut Context<'_>, set: &[(Spanned<String>, Spanned<String>, Spanned<String>)]) {
    for (k, (address, ..)) in set.iter().enumerate() {
        let plain = |of: &str| of.strip_prefix("duty:").unwrap_or(of).to_owned();
        let first = set[..k].iter().find(|(a, ..)| plain(&a.value) == plain(&address.value));
        if let Some((first, ..)) = first {
            let message = format!("the log drives `{}` twice", address.value);
            let problem = Problem::error(address.span, message).label("again here");
            context.problems.push(problem.also(first.span, "first here"));
        }
    }
}

/// A column of power, as shares of full power.
fn power(
    context: &mut Context<'_>,
    (case, span): (&Case, Span),
    (_, name, unit): &(Spanned<String>, Spanned<String>, Spanned<String>),
    (rows, column): (&Rows, usize),
    report: &mut Vec<String>,
) -> Option<Driving> {
    let full = context.slot("duty:power").map(|slot| context.values.get(slot));
    let known = case.duty.power.is_some() || context.told("duty:power").is_some();
    let as_share = affine(Kind::Fraction, &unit.value).ok();
    let kind = if as_share.is_some() { Kind::Fraction } else { Kind::Power };
    contradicts(context, rows.units.get(column), kind, (name, unit));
    let [offset, factor] = match as_share {
        Some(scale) => scale,
        None => scale(context, Kind::Power, unit)?,
    };
    let full = if as_share.is_some() { Some(1.0) } else { full.filter(|_| known) };
    let Some(full) = full.filter(|full| *full > 0.0) else {
        context.absent(
            span,
            "a log tells power, but `duty` gives no full power",
            "add `power: \"{one Power}\"` to `duty`",
        );
        return None;
    };
    let told = &rows.columns[column];
    let below = told.iter().filter(|value| offset + factor * **value < 0.0).count();
    if below > 0 {
        report.push(format!(
            "`{}` is below zero in {below} of {} rows: taken as its size, as what is recovered heats as well",
            name.value,
            told.len()
        ));
    }
    let values: Vec<f64> = told.iter().map(|v| (offset + factor * v).abs() / full).collect();
    let most = values.iter().copied().fold(0.0, f64::max);
    context.check(most, name.span, Kind::Fraction, Bound::Within(0.0, 2.0), "share of full power");
    let slot = context.slot("duty:point")?;
    // Of a power that is told in watts the full one is only what it is divided by; of a share it still counts.
    driven(context, "duty:point");
    if as_share.is_none() {
        driven(context, "duty:power");
    }
    Some(Driving { slots: vec![slot], values })
}

/// A column of any other number, by its address.
fn number(
    context: &mut Context<'_>,
    machines: &[Machine],
    (address, name, unit): &(Spanned<String>, Spanned<String>, Spanned<String>),
    (rows, column): (&Rows, usize),
) -> Option<Driving> {
    // Those of the duty go by their names alone, as power does.
    let short = format!("duty:{}", address.value);
    let known = [address.value.as_str(), &short].into_iter().find_map(|name| {
        context.addresses.get(name).cloned().map(|entry| (name.to_owned(), entry))
    });
    let Some((known, entry)) = known else {
        let problem = no_value(address, context.addresses.keys().map(String::as_str));
        context.problems.push(problem);
        return None;
    };
    if let Some(why) = entry.role.refusal() {
        let message = format!("a log cannot write `{}`", address.value);
        context.problems.push(Problem::error(address.span, message).label(why));
        return None;
    }
    if known.strip_suffix(":voltage").is_some_and(|supply| context.sags.contains_key(supply)) {
        let message = "a voltage that was logged has sagged already";
        let problem = Problem::error(address.span, message).label("under what was drawn then");
        context.problems.push(problem.help("leave out the `resistance` of this supply"));
    }
    contradicts(context, rows.units.get(column), entry.kind, (name, unit));
    let [offset, factor] = scale(context, entry.kind, unit)?;
    let told = &rows.columns[column];
    let values: Vec<f64> = told.iter().map(|v| offset + factor * v).collect();
    let [least, most] =
        [f64::min, f64::max].map(|end| values.iter().copied().reduce(end).unwrap_or(0.0));
    for end in [least, most] {
        context.check(end, name.span, entry.kind, entry.bound, &entry.what);
    }
    driven(context, &known);
    let slots = entry.slots.iter().map(|&slot| {
        // What sets a machine does not undo that it is stopped.
        let set = machines.iter().find(|machine| machine.command.own == slot);
        set.map_or(slot, |machine| machine.command.instead)
    });
    Some(Driving { slots: slots.collect(), values })
}

/// Points of time and value without those that lie between two of the same value.
fn thinned(times: &[f64], values: &[f64]) -> Vec<[f64; 2]> {
    let same = |a: usize, b: usize| values[a].total_cmp(&values[b]).is_eq();
    let last = times.len() - 1;
    let kept =
        (0..times.len()).filter(|&k| k == 0 || k == last || !(same(k, k - 1) && same(k, k + 1)));
    kept.map(|k| [times[k], values[k]]).collect()
}

/// The stretches of a log at work and at rest, by the share of full power; one where it tells none.
fn phases(times: &[f64], driving: &[Driving], shares: Option<usize>) -> Vec<LoweredPhase> {
    let cuts = match shares {
        Some(column) => stretches(times, &driving[column].values),
        None => vec![(0, STRETCHES[2])],
    };
    let last = times.len() - 1;
    let ends = cuts.iter().skip(1).map(|(at, _)| *at).chain([last]);
    let mut counts = std::collections::BTreeMap::new();
    let phase = |((from, plain), to): (&(usize, &'static str), usize)| {
        let count = counts.entry(*plain).and_modify(|count| *count += 1).or_insert(1);
        let mean = |column: &Driving| mean(&times[*from..=to], &column.values[*from..=to]);
        let sets = driving.iter().flat_map(|column| {
            let mean = mean(column);
            column.slots.iter().map(move |&slot| (slot, mean))
        });
        LoweredPhase {
            name: format!("{plain} {count}"),
            plain: (*plain).to_owned(),
            time_s: times[to] - times[*from],
            sets: sets.collect(),
            ramp_s: 0.0,
            refills: Vec::new(),
            power_share: shares.map_or(1.0, |column| mean(&driving[column])),
        }
    };
    cuts.iter().zip(ends).map(phase).collect()
}

/// Where work and rest begin in a log, by the share of full power: rows, and what begins there.
///
/// # Panics
/// When there is no row.
pub fn stretches(times: &[f64], shares: &[f64]) -> Vec<(usize, &'static str)> {
    let most = shares.iter().copied().fold(0.0, f64::max);
    let mut works = shares[0] >= WORKS * most;
    let word = |works: bool| STRETCHES[usize::from(!works)];
    let mut cuts = vec![(0, word(works))];
    for (k, share) in shares.iter().enumerate() {
        let now = if works { *share >= RESTS * most } else { *share >= WORKS * most };
        if now == works {
            continue;
        }
        works = now;
        let (from, _) = cuts[cuts.len() - 1];
        let is_short = times[k] - times[from] < SHORTEST_S;
        match cuts.len() {
            // What is so short goes to the stretch before it, which goes on; at the start to the one behind.
            1 if is_short => cuts[0].1 = word(works),
            _ if is_short => drop(cuts.pop()),
            _ => cuts.push((k, word(works))),
        }
    }
    let end = times[times.len() - 1];
    if cuts.len() > 1 && end - times[cuts[cuts.len() - 1].0] < SHORTEST_S {
        cuts.pop();
    }
    cuts
}

/// Mean over time, with straight lines between rows.
fn mean(times: &[f64], values: &[f64]) -> f64 {
    let whole = times[times.len() - 1] - times[0];
    let pieces = times.windows(2).zip(values.windows(2));
    let sum: f64 = pieces.map(|(t, v)| (t[1] - t[0]) * 0.5 * (v[0] + v[1])).sum();
    if whole > 0.0 { sum / whole } else { values[0] }
}
