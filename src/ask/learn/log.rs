//! The log as what drives and what is compared.

use coolwright_cases::diagnostic::Problems;
use coolwright_cases::file::Stand;
use coolwright_cases::lower::stretches;
use coolwright_cases::stand::{LogFault, Table, read};
use coolwright_cases::text::Sources;

use super::Open;
use super::driven::Drive;
use super::stand::{Meant, Shows, refused};
use crate::refusal::Refusal;
use crate::sections::learn::Along;
use crate::study::learn::series::Cells;
use crate::study::learn::tracks::{filled, off, thinned};

/// A channel is compared in so many stretches.
pub(super) const CELLS: f64 = 800.0;
/// A channel with fewer numbers than this is not compared.
const FEWEST: usize = 20;

/// The log as far as it drives and is compared.
pub(super) struct Logged {
    pub(super) table: Table,
    pub(super) drives: Vec<Drive>,
    pub(super) phases: Vec<(String, f64)>,
    /// How long a stretch is over which it is compared, s.
    pub(super) length_s: f64,
    /// What is compared: its place among what was read, and its cells.
    pub(super) compared: Vec<(Shows, Cells)>,
    /// What was not, and why.
    pub(super) left: Vec<(Shows, &'static str)>,
}

/// Reads the log and makes of it what drives and what is compared.
pub(super) fn logged(
    sources: &Sources,
    (file, meant): (&Stand, &Meant),
    open: &mut Open<'_>,
) -> Result<Logged, Refusal> {
    let (span, name) = (file.log.span, &file.log.value);
    let fault = |message: String, help: &str| {
        let fault = LogFault { message, help: vec![help.to_owned()], line: None };
        refused(fault, sources, span, name)
    };
    let mut source =
        open(name).map_err(|why| fault(format!("cannot read the log `{name}`"), &why))?;
    let table = read(&mut *source, &meant.wanted);
    let table = table.map_err(|fault| refused(fault, sources, span, name))?;
    let mut problems = Problems::new();
    meant.held_against(&table, &mut problems);
    if problems.has_errors() {
        return Err(Refusal::faults(sources, problems));
    }
    let column = |name: &str| table.channels.iter().position(|channel| channel.name == name);
    let whole = table.times_s[table.times_s.len() - 1];
    let mut drives = Vec::new();
    let mut power = None;
    for of in &meant.drives {
        let Some(place) = column(&of.column) else { continue };
        let Some(mut values) = filled(&table.times_s, &table.columns[place]) else {
            let message = format!("`{}` has no number in the log, and drives the case", of.column);
            return Err(fault(message, "leave it out of `drives`, or look at its unit"));
        };
        if of.address == "duty:point" {
            // What is recovered heats as well.
            for value in &mut values {
                *value = value.abs();
            }
            power = Some(values.clone());
        }
        let points = thinned(&table.times_s, &values);
        let [spread, most] = off(&table.times_s, &values, &points);
        let along = Along { kind: of.kind, lines: points.len().saturating_sub(1), spread, most };
        drives.push(Drive { address: of.address.clone(), points, along });
    }
    let phases = phases(&table, power.as_deref());
    let length = (whole / CELLS).max(table.step_s);
    let (mut compared, mut left) = (Vec::new(), Vec::new());
    for shows in &meant.shows {
        let Some(place) = column(&shows.column) else { continue };
        let channel = &table.channels[place];
        let cells = Cells::of(&table.times_s, &table.columns[place], (length, table.step_s));
        if channel.left == 0 || cells.values.len() < FEWEST {
            left.push((shows.clone(), "too few numbers"));
        } else if channel.is_dead {
            left.push((shows.clone(), "the same value throughout"));
        } else {
            compared.push((shows.clone(), cells));
        }
    }
    if compared.is_empty() {
        let message = "no gauge of the log has numbers to compare".to_owned();
        return Err(fault(message, "look at the names and units of its columns"));
    }
    Ok(Logged { table, drives, phases, length_s: length, compared, left })
}

/// Stretches at work and at rest, by the share of full power.
fn phases(table: &Table, power: Option<&[f64]>) -> Vec<(String, f64)> {
    let times = &table.times_s;
    let whole = times[times.len() - 1];
    let Some(power) = power else { return vec![("log".to_owned(), whole)] };
    let cuts = stretches(times, power);
    let ends = cuts.iter().skip(1).map(|(at, _)| times[*at]).chain([whole]);
    let mut counts = std::collections::BTreeMap::new();
    cuts.iter()
        .zip(ends)
        .map(|((from, word), to)| {
            let count = counts.entry(*word).and_modify(|count| *count += 1).or_insert(1);
            (format!("{word} {count}"), to - times[*from])
        })
        .filter(|(_, time_s)| *time_s > 0.0)
        .collect()
}
