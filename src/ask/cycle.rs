//! `cycle`: the duty cycle.

use coolwright_models::cycle::{History, Phase, duty_cycle};
use coolwright_models::inputs::POWER;

use super::Case;
use super::case::Built;
use super::histories::{Wanted, histories};
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

/// Follows a case through its duty cycle.
pub(super) fn follow(built: &Built<'_>) -> Result<Followed, Refusal> {
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
    let history = duty_cycle(model, &model.values, &phases, &mut |_| true)
        .map_err(|error| built.unsolved(&error))?;
    // A history has a catalogue of its own, so places in the case's are found again by address.
    let mut limits = built.limits.clone();
    limits.retain_mut(|limit| place(&mut limit.index, &limit.of, &history));
    let mut targets = built.targets.clone();
    targets.retain_mut(|target| place(&mut target.index, &target.of, &history));
    if built.targets.is_empty() {
        targets = assumed_targets(&history);
    }
    let judged = judge_history(&limits, &history);
    let shares: Vec<f64> = duty.phases.iter().map(|phase| phase.power_share).collect();
    let readiness = readiness(&history, &shares, &targets);
    Ok(Followed { history, judged, targets, readiness })
}

/// Sets the place of an address to that in a history; false where it is not in it.
fn place(index: &mut usize, address: &str, history: &History) -> bool {
    let found = history.catalogue.find(address);
    *index = found.unwrap_or_default();
    found.is_some()
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
    let followed = follow(&built)?;
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
