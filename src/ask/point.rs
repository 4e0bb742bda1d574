//! `point`: one operating point.

use coolwright_cases::text::nearest;
use coolwright_models::crossings::crossings;
use coolwright_models::ids::Id;
use coolwright_models::point::operating_point;
use coolwright_models::results::quantities as q;
use coolwright_models::slots::Values;
use coolwright_models::uncertainty::uncertainty;

use super::case::{Built, did_you_mean};
use super::{Case, values};
use crate::answer::{Answer, Lay, Section, Topic, Value, Verdict};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::{self, Scene, air, bodies, conditions, gauges, pumps, survey, verdict};
use crate::study::{Judged, influences, judge};
use crate::words::warnings;
use crate::workers::Workers;

/// Solves an operating point.
pub(super) fn answer(
    case: &Case,
    variant: Option<&str>,
    phase: Option<&str>,
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    let built = case.built(variant)?;
    let ready = &built.ready;
    let set = values_of(&built, phase)?;
    let point = operating_point(&ready.model, set.clone(), None).map_err(|e| built.unsolved(&e))?;
    let uncertain = uncertainty(&ready.model, &set, &point).map_err(|e| built.unsolved(&e))?;
    let results = point.results.joined(&uncertain.own);
    let judged = judge(&built.limits, &ready.model, &point);
    let influences = influences(ready, &set, &built.limits, &point, workers);
    let crossings = crossings(&ready.model, &set, &point);
    let scene = Scene { ready, values: &set, results: &results, uncertainty: Some(&uncertain) };
    let circuits = 0..ready.model.circuits.len();
    let mut answer = Answer::new(Topic::Point, &ready.title);
    answer.verdict = Some(stands(&judged));
    answer.variant = variant.map(str::to_owned);
    answer.phase = phase.map(str::to_owned);
    let which = conditions::which(ready, &set, variant, phase);
    let all = &mut answer.sections;
    all.push(verdict::line(&judged));
    all.push(sections::title(ready));
    all.push(conditions::conditions(ready, &set, which));
    all.push(conditions::held(ready, &set, &point.held));
    all.push(verdict::limits(&judged));
    all.push(warnings::section(&ready.model, &point.warnings));
    all.extend(circuits.clone().map(|c| survey::survey(&scene, c)));
    all.push(bodies::bodies(&scene));
    all.extend(bodies::passes(&scene));
    all.push(bodies::cores(&scene));
    all.push(air::paths(&scene));
    all.extend(circuits.flat_map(|c| sections::circuit::circuit(&scene, c)));
    all.push(sections::uncertainty::uncertainty(&scene, &uncertain));
    all.push(gauges::gauges(&scene));
    all.push(supply(&scene));
    all.extend(pumps::crossings(&crossings));
    all.push(sections::assumptions::assumptions(ready, &influences));
    all.push(sections::notes(ready));
    all.push(sections::caution());
    answer.results = values(&results, Some(&uncertain));
    Ok(answer)
}

/// How limits stand.
pub(super) fn stands<'a>(judged: impl IntoIterator<Item = &'a Judged>) -> Verdict {
    if judged.into_iter().all(Judged::holds) { Verdict::Holds } else { Verdict::Broken }
}

/// What all pumps and fans draw.
fn supply(scene: &Scene<'_>) -> Section {
    let current = scene.at(Id::Supply, &q::SUPPLY);
    let sentence = say!("All pumps and fans together draw {current}.", current = current);
    Section::plain("supply").apart().say(sentence, Lay::Lines)
}

/// The values of the point: those of the case, with what a phase sets.
fn values_of(built: &Built<'_>, phase: Option<&str>) -> Result<Values, Refusal> {
    let mut values = built.ready.model.values.clone();
    let Some(name) = phase else { return Ok(values) };
    let phases = &built.ready.duty.phases;
    let Some(phase) = phases.iter().find(|phase| phase.name == name) else {
        let known: Vec<&str> = phases.iter().map(|phase| phase.name.as_str()).collect();
        let hint = did_you_mean(nearest(name, known.iter().copied()));
        let known = if known.is_empty() { Value::from("none") } else { Value::list(known, ", ") };
        return Err(Refusal::said(say!(
            "the duty has no phase `{name}`.{hint} It has: {known}",
            name = name,
            hint = hint,
            known = known,
        )));
    };
    built.ready.model.write_running(&mut values, &phase.sets);
    Ok(values)
}
