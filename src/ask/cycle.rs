//! `cycle`: the duty cycle.

use coolwright_models::cycle::{Columns, History, Phase};
use coolwright_models::inputs::POWER;
use coolwright_models::instance::Instance;

use super::Case;
use super::case::Built;
use super::histories::{Resolved, Wanted, histories};
use super::point::stands;
use crate::answer::{Answer, Topic, Verdict};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::{self, conditions, cycle, verdict};
use crate::study::{
    Judged, JudgedOverTime, Readiness, ReadyTarget, assumed_targets, judge_history, readiness,
};

/// A duty cycle that was followed, and what it says about limits and readiness.
pub(super) struct Followed {
    pub(super) history: History,
    pub(super) judged: Vec<JudgedOverTime>,
    targets: Vec<ReadyTarget>,
    readiness: Vec<Readiness>,
}

impl Followed {
    /// The limits at their worst.
    pub(super) fn worst(&self) -> Vec<Judged> {
        self.judged.iter().map(|over_time| over_time.worst.clone()).collect()
    }
}

/// Follows a case through its duty cycle and records the results at the given places of its catalogue;
/// all of them where none are given.
pub(super) fn follow(built: &Built<'_>, places: Option<&[usize]>) -> Result<Followed, Refusal> {
    let duty = &built.ready.duty;
    if duty.phases.is_empty() {
        return Err(Refusal::said("the case has no duty cycle: `duty` gives no phases").help(say!(
            "for example phases: {example}",
            example = "{\"pull\": Phase(time: \"14 s\"), \"rest\": Phase(time: \"20 min\", power: \"2 %\")}"
        )));
    }
    let phase = |phase: &coolwright_cases::lower::LoweredPhase| Phase {
        name: phase.name.clone(),
        time_s: phase.time_s,
        sets: phase.sets.clone(),
    };
    let phases: Vec<Phase> = duty.phases.iter().map(phase).collect();
    let model = &built.ready.model;
    let columns = places.map_or(Columns::All, Columns::Only);
    let mut instance = Instance::new(model);
    let history = instance.cycle(&model.values, &phases, columns, &mut |_| true);
    let history = history.map_err(|error| built.unsolved(&error))?.clone();
    // What is judged stands elsewhere in a history that holds less.
    let here = |address: &str| history.catalogue.find(address).expect("what is judged is recorded");
    let mut limits = built.limits.clone();
    for limit in &mut limits {
        limit.index = here(&limit.of);
    }
    let judged = judge_history(&limits, &history);
    let mut targets = built.targets.clone();
    for target in &mut targets {
        target.index = here(&target.of);
    }
    if targets.is_empty() {
        targets = assumed_targets(&history);
    }
    let shares: Vec<f64> = duty.phases.iter().map(|phase| phase.power_share).collect();
    let readiness = readiness(&history, &shares, &targets);
    Ok(Followed { history, judged, targets, readiness })
}

/// The places in the catalogue of what an answer needs over time: limits, readiness, what is worth
/// watching, and what is wanted.
fn recorded(built: &Built<'_>, wanted: &Resolved) -> Vec<usize> {
    let mut places = cycle::worth_watching(&built.ready, &built.catalogue);
    places.extend(built.limits.iter().map(|limit| limit.index));
    places.extend(built.targets.iter().map(|target| target.index));
    places.extend(wanted.places(&built.catalogue));
    places.sort_unstable();
    places.dedup();
    places
}

/// Follows the duty cycle.
pub(super) fn answer(
    case: &Case,
    variant: Option<&str>,
    wanted: &Wanted,
) -> Result<Answer, Refusal> {
    let built = case.built(variant)?;
    let ready = &built.ready;
    let wanted = wanted.resolved(&built.catalogue)?;
    let followed = follow(&built, Some(&recorded(&built, &wanted)))?;
    let Followed { history, judged, targets, readiness } = &followed;
    let worst = followed.worst();
    let mut answer = Answer::new(Topic::Cycle, &ready.title);
    answer.verdict = Some(if history.boiled.is_some() { Verdict::Broken } else { stands(&worst) });
    answer.variant = variant.map(str::to_owned);
    let watched = cycle::worth_watching(ready, &history.catalogue);
    let mut columns: Vec<usize> = judged.iter().map(|j| j.worst.limit.index).collect();
    columns.extend(&watched);
    let mut seen = Vec::new();
    columns.retain(|index| {
        let new = !seen.contains(index);
        seen.push(*index);
        new
    });
    let all = &mut answer.sections;
    all.push(match history.boiled {
        Some(boiled) => cycle::boils(ready, boiled),
        None => verdict::line(&worst),
    });
    all.push(sections::title(ready));
    all.push(conditions_at_full(&built, variant));
    all.push(cycle::limits(judged));
    all.push(cycle::readiness(history, targets, readiness));
    all.push(cycle::switched(ready, history));
    all.push(cycle::peaks(history, &watched));
    all.push(cycle::heat(history));
    all.push(cycle::where_heat_went(ready, history));
    all.push(cycle::histories(history, &columns));
    all.push(sections::notes(ready));
    all.push(sections::caution());
    columns.extend(targets.iter().map(|target| target.index));
    answer.histories = Some(histories(history, &wanted, columns));
    Ok(answer)
}

/// The conditions at full power: the values are those of the operating point, which may lie at a share of it.
fn conditions_at_full(built: &Built<'_>, variant: Option<&str>) -> crate::answer::Section {
    let ready = &built.ready;
    let mut at_full = ready.model.values.clone();
    let power = ready.model.inputs.slot(POWER);
    let share = ready.duty.point_share.filter(|share| *share > 0.0);
    if let (Some(power), Some(share)) = (power, share) {
        at_full.set(power, at_full.get(power) / share);
    }
    let which = match variant {
        None => "full power".into(),
        Some(variant) => say!("variant `{variant}`, full power", variant = variant),
    };
    conditions::conditions(ready, &at_full, which)
}
