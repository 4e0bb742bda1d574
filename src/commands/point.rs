//! `point`: one operating point.

use coolwright_models::crossings::crossings;
use coolwright_models::inputs::POWER;
use coolwright_models::point::operating_point;
use coolwright_models::slots::Values;
use coolwright_models::uncertainty::uncertainty;
use serde_json::json;

use super::{Outcome, Prepared, print, style};
use crate::cli::Point;
use crate::load::Refused;
use crate::study::{influences, judge};
use crate::write::{csv, json, text, to_file};

/// Solves and prints an operating point.
pub(super) fn run(args: &Point) -> Result<Outcome, Refused> {
    let prepared = Prepared::new(&args.asked, args.variant.as_deref())?;
    let values = values_of(&prepared, args.phase.as_deref())?;
    let ready = &prepared.ready;
    let point =
        operating_point(&ready.model, values.clone(), None).map_err(|e| prepared.unsolved(&e))?;
    let uncertainty = uncertainty(&ready.model, values.clone(), &point.states)
        .map_err(|e| prepared.unsolved(&e))?;
    let results = point.results.joined(&uncertainty.results);
    let judged = judge(&prepared.limits, &ready.model, &point);
    let outcome = Outcome::of(&judged);
    let style = style(&args.asked);
    if let Some(file) = &args.csv {
        csv::results(&results, style.units)
            .and_then(|text| to_file(file, &text))
            .map_err(|why| Refused(format!("error: {why}")))?;
        if file.as_os_str() == "-" {
            return Ok(outcome);
        }
    }
    let influences = influences(ready, &values, &prepared.limits, &point);
    let crossings = crossings(&ready.model, &values, &point);
    if args.asked.json {
        let mut map = json::head("point", &ready.title);
        map.insert("verdict".into(), json::verdict(&judged));
        map.insert("limits".into(), json::limits(&judged));
        map.insert("results".into(), json::results(&results));
        map.insert("assumptions".into(), json::assumptions(ready, &influences));
        map.insert("notes".into(), json!(ready.notes));
        let warnings: Vec<String> = point.warnings.iter().map(ToString::to_string).collect();
        map.insert("warnings".into(), json!(warnings));
        map.insert("crossings".into(), json::crossings(&crossings));
        print(&json::render(map))?;
    } else {
        let answer = text::PointAnswer {
            ready,
            values: &values,
            point: &point,
            results: &results,
            uncertainty: &uncertainty,
            judged: &judged,
            influences: &influences,
            crossings: &crossings,
            which: which(args, ready.duty.point_share, ready.model.inputs.value(&values, POWER)),
        };
        print(&text::point(&style, &answer))?;
    }
    Ok(outcome)
}

/// What was solved, in words.
fn which(args: &Point, share: Option<f64>, power_w: f64) -> String {
    let variant = args.variant.as_ref().map(|v| format!("variant `{v}`"));
    let phase =
        args.phase.as_ref().map_or_else(|| load(share, power_w), |p| format!("phase `{p}`"));
    variant.map_or(phase.clone(), |variant| format!("{variant}, {phase}"))
}

/// The power of a point that is no phase, in words.
fn load(share: Option<f64>, power_w: f64) -> String {
    match share {
        _ if power_w == 0.0 => "the heats of the case, no drive power".to_owned(),
        Some(share) if share < 1.0 => format!("{:.1} % of full power", 100.0 * share),
        _ => "full power".to_owned(),
    }
}

/// The values of the point: those of the case, with what a phase sets.
fn values_of(prepared: &Prepared, phase: Option<&str>) -> Result<Values, Refused> {
    let mut values = prepared.ready.model.values.clone();
    let Some(name) = phase else { return Ok(values) };
    let phases = &prepared.ready.duty.phases;
    let Some(phase) = phases.iter().find(|phase| phase.name == name) else {
        let known: Vec<&str> = phases.iter().map(|phase| phase.name.as_str()).collect();
        let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
        let near = coolwright_cases::text::nearest(name, phases.iter().map(|p| p.name.as_str()));
        let hint = near.map_or_else(String::new, |near| format!(" Did you mean `{near}`?"));
        return Err(Refused(format!(
            "error: the duty has no phase `{name}`.{hint} It has: {known}"
        )));
    };
    for &(slot, value) in &phase.sets {
        values.set(slot, value);
    }
    Ok(values)
}
