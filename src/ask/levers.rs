//! `levers`: which change moves which limit most.

use coolwright_cases::text::nearest;

use super::case::did_you_mean;
use super::compare::over_cycle;
use super::trial::{Trial, of_built, tried};
use super::{Case, Judge};
use crate::answer::{Answer, Topic, Value};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::cautions::cautions;
use crate::sections::levers::{Base, Outcome, Pulled};
use crate::sections::{self, compare, verdict};
use crate::study::levers;
use crate::workers::{self, Workers};

/// Makes every change that a builder can make, each alone, and judges what comes of it.
pub(super) fn answer(
    case: &Case,
    only: &[String],
    by: Judge,
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    let built = case.built(None)?;
    let ready = &built.ready;
    let over_cycle = over_cycle(ready, by)?;
    for name in only {
        if !built.limits.iter().any(|limit| limit.name == *name) {
            return Err(no_limit(name, built.limits.iter().map(|limit| limit.name.as_str())));
        }
    }
    let all = levers(ready, over_cycle);
    // The case as it stands is the first job.
    let mut done = workers::map(workers, all.len() + 1, |k| match k.checked_sub(1) {
        None => of_built(&built, over_cycle).map(|trial| (outcome(&trial), Some(trial))),
        Some(k) => tried(case, &all[k].changes, over_cycle).map(|trial| (outcome(&trial), None)),
    });
    let (stands, trial) = done.remove(0)?;
    let told = trial.map_or_else(Vec::new, |trial| {
        let beside = trial.beside.told().cloned();
        beside.chain(verdict::counted_details(&ready.model, &trial.judged)).collect()
    });
    let pulled = all.into_iter().zip(done).map(|(lever, outcome)| Pulled {
        lever,
        outcome: outcome.map(|(outcome, _)| outcome).map_err(|refusal| refusal.advice()),
    });
    let pulled: Vec<Pulled> = pulled.collect();
    let base = Base { outcome: stands, told, only };
    let mut answer = Answer::new(Topic::Levers, &ready.title);
    answer.verdict = Some(base.outcome.verdict);
    answer.beside.clone_from(&base.told);
    let duty = !ready.duty.phases.is_empty();
    let all = &mut answer.sections;
    all.push(sections::levers::summary(&base, &pulled));
    all.push(sections::title(ready));
    all.push(compare::judged_by(over_cycle, duty));
    all.extend(sections::levers::limits(&base, &pulled));
    all.push(sections::levers::changes(&base, &pulled));
    answer.cautions = cautions(ready, Vec::new());
    Ok(answer)
}

/// What sections need of a trial.
fn outcome(trial: &Trial) -> Outcome {
    Outcome {
        judged: trial.judged.clone(),
        verdict: trial.verdict,
        bars: trial.beside.variant_bars.clone(),
        current_a: trial.found.current_a(),
        coolant_m3: trial.found.coolant_m3(),
    }
}

/// What is said where there is no limit of a name.
fn no_limit<'a>(name: &str, known: impl Iterator<Item = &'a str> + Clone) -> Refusal {
    let hint = did_you_mean(nearest(name, known.clone()));
    let known: Vec<Value> = known.map(|name| say!("`{name}`", name = name).into()).collect();
    Refusal::said(say!(
        "the case has no limit `{name}`.{hint} It has: {known}",
        name = name,
        hint = hint,
        known = Value::list(known, ", "),
    ))
}
