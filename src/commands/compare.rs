//! `compare`: variants side by side.

use coolwright_models::cycle::History;
use coolwright_models::point::operating_point;
use coolwright_models::results::Results;
use rayon::prelude::*;
use serde_json::{Value, json};

use super::cycle::{Findings, history};
use super::{Outcome, Prepared, print, style};
use crate::cli::Compare;
use crate::load::{Loaded, Refused, load};
use crate::study::{Judged, judge};
use crate::write::text::{self, Column};
use crate::write::{Style, json};

/// What the case is called where it stands beside its variants.
const BASE: &str = "as it stands";

/// Solves the case and its variants and prints them side by side.
pub(super) fn run(args: &Compare) -> Result<Outcome, Refused> {
    let color = super::color_for_errors();
    let loaded = load(&args.asked.case, color)?;
    let names = chosen(args, &loaded)?;
    let all: Vec<Option<&str>> =
        std::iter::once(None).chain(names.iter().map(|name| Some(name.as_str()))).collect();
    let columns: Vec<Result<Column, Refused>> =
        all.par_iter().map(|variant| column(args, *variant)).collect();
    let columns = columns.into_iter().collect::<Result<Vec<Column>, Refused>>()?;
    let solved = columns.iter().all(|c| c.unsolved.is_none());
    let holds = solved && columns.iter().all(|c| c.judged.iter().all(Judged::holds) && !c.boils);
    let style: Style = style(&args.asked);
    if args.asked.json {
        print(&as_json(args, &columns))?;
    } else {
        print(&text::compare(&style, &columns, args.cycle))?;
    }
    Ok(match (solved, holds) {
        (false, _) => Outcome::Failed,
        (true, true) => Outcome::Holds,
        (true, false) => Outcome::Broken,
    })
}

/// The variants to compare.
fn chosen(args: &Compare, loaded: &Loaded) -> Result<Vec<String>, Refused> {
    let known: Vec<String> = loaded.reading.variants().map(str::to_owned).collect();
    for name in &args.only {
        if !known.contains(name) {
            return Err(Refused(loaded.no_variant(name)));
        }
    }
    if known.is_empty() {
        return Err(Refused(
            "error: the case has no variants to compare\nhelp: for example variants: {\"two_pumps\": \
             Variant(change: [(\"main/loop/pump:count\", Series(2))])}\n"
                .to_owned(),
        ));
    }
    Ok(if args.only.is_empty() { known } else { args.only.clone() })
}

/// Solves one variant. What cannot be solved is said in its column; what cannot be read refuses all.
fn column(args: &Compare, variant: Option<&str>) -> Result<Column, Refused> {
    let prepared = Prepared::new(&args.asked, variant)?;
    let name = variant.unwrap_or(BASE).to_owned();
    let values = prepared.ready.model.values.clone();
    if args.cycle {
        return Ok(match history(&prepared, &values) {
            Ok(history) => of_history(name, &prepared, &history),
            Err(Refused(why)) => {
                let first = why.lines().next().unwrap_or_default();
                Column::unsolved(name, first.trim_start_matches("error: "))
            }
        });
    }
    Ok(match operating_point(&prepared.ready.model, values, None) {
        Ok(point) => {
            let judged = judge(&prepared.limits, &prepared.ready.model, &point);
            let pumps = pump_paths(&prepared);
            Column {
                name,
                judged,
                results: Some(point.results),
                pumps,
                boils: false,
                unsolved: None,
            }
        }
        Err(error) => Column::unsolved(name, &error.to_string()),
    })
}

/// A column for a whole cycle: limits at their worst, results at the end of the hardest phase.
fn of_history(name: String, prepared: &Prepared, history: &History) -> Column {
    let findings = Findings::of(prepared, history);
    let judged = findings.judged.iter().map(|j| j.worst.clone()).collect();
    let shares = &prepared.ready.duty.phases;
    let hardest = (0..history.phases.len())
        .rev()
        .max_by(|&a, &b| shares[a].power_share.total_cmp(&shares[b].power_share));
    let results = hardest.map(|phase| {
        let row = history.phases[phase].rows.end - 1;
        Results { catalogue: history.catalogue.clone(), values: history.rows[row].to_vec() }
    });
    let pumps = pump_paths(prepared);
    Column { name, judged, results, pumps, boils: history.boiled.is_some(), unsolved: None }
}

/// The pumps of a case, several under one name as one.
fn pump_paths(prepared: &Prepared) -> Vec<String> {
    let mut paths = Vec::new();
    for circuit in &prepared.ready.model.circuits {
        let mut grouped = Vec::new();
        for group in &circuit.groups {
            paths.push(format!("{}/{}", circuit.name, group.path));
            grouped.extend(group.units.iter().copied());
        }
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.part.as_pump().is_some() && !grouped.contains(&(r, p)) {
                    paths.push(format!("{}/{}/{}", circuit.name, run.path, placed.name));
                }
            }
        }
    }
    paths.sort();
    paths
}

fn as_json(args: &Compare, columns: &[Column]) -> String {
    let mut map = json::head("compare", "");
    map.insert("over".into(), json!(if args.cycle { "cycle" } else { "point" }));
    let one = |column: &Column| {
        json!({
            "name": column.name,
            "verdict": if column.boils { json!("broken") } else { json::verdict(&column.judged) },
            "limits": json::limits(&column.judged),
            "results": column.results.as_ref().map_or(Value::Null, json::results),
            "pumps": column.pumps,
            "unsolved": column.unsolved,
        })
    };
    map.insert("variants".into(), columns.iter().map(one).collect());
    json::render(map)
}
