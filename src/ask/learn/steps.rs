//! Which step on the stand would tell most next, with the gauges that are there.

use coolwright_cases::quantity::Kind;

use super::driven::{At, Driven, Through};
use super::log::Logged;
use super::next::best;
use crate::ask::cycle::phases_of;
use crate::study::learn::fitting::{Found, Predict, slopes};
use crate::study::learn::tells::with_readings;
use crate::study::sheets::plans;
use crate::workers::Workers;

/// A step that could be driven and logged next.
#[derive(Clone, Debug)]
pub struct NextStep {
    /// Its name on the stand card; `None` is the duty cycle of the case.
    pub name: Option<String>,
    /// How long it takes, s.
    pub hold_s: f64,
    /// By number its uncertainty with it over that without.
    pub ratios: Vec<f64>,
}

/// A step with where it starts.
struct Candidate {
    through: Through,
    next: NextStep,
    fixed: Vec<At>,
}

/// All of a step is compared in so many stretches at most.
const MOST_CELLS: f64 = 800.0;

/// The steps that would tell most, the best first: those of the stand card, each alone and as warm at its start as the card
/// has it there, and the duty cycle of the case.
pub(super) fn steps(
    driven: &Driven<'_>,
    logged: &Logged,
    (found, ranges): (&Found, &[(f64, f64)]),
    workers: &dyn Workers,
) -> Vec<NextStep> {
    if found.numbers.is_empty() {
        return Vec::new();
    }
    let mut all = candidates(driven, logged, found);
    all.retain_mut(|of| {
        let ratios = ratios(driven, of, (logged, found, ranges), workers);
        of.next.ratios = ratios.unwrap_or_default();
        !of.next.ratios.is_empty()
    });
    best(all.into_iter().map(|of| of.next).collect(), |next| &next.ratios)
}

/// The steps that come to their end with the numbers as they were found.
fn candidates(driven: &Driven<'_>, logged: &Logged, found: &Found) -> Vec<Candidate> {
    let ready = &driven.built.ready;
    let shown = logged.compared.iter().map(|(shows, _)| (shows.result.clone(), Vec::new()));
    let card = driven.with(Through::Card, Vec::new(), shown.collect());
    let mut all = Vec::new();
    if let Ok(history) = card.follow(&found.numbers) {
        let whole = history.phases.len() - usize::from(history.boiled.is_some());
        for (k, plan) in plans(ready).iter().enumerate().take(whole) {
            let row = history.phases[k].rows.start;
            let reads = |result: &str| Some(history.rows[row][history.catalogue.find(result)?]);
            let fixed = driven.fixed.iter().map(|(address, plain)| {
                (address.clone(), warm(driven, (logged, address), &reads).unwrap_or(*plain))
            });
            let (name, hold_s) = (Some(plan.name.clone()), plan.hold_s);
            let next = NextStep { name, hold_s, ratios: Vec::new() };
            all.push(Candidate { through: Through::Step(k), next, fixed: fixed.collect() });
        }
    }
    let hold_s = phases_of(ready).iter().map(|phase| phase.time_s).sum();
    if hold_s > 0.0 {
        let next = NextStep { name: None, hold_s, ratios: Vec::new() };
        all.push(Candidate { through: Through::Duty, next, fixed: Vec::new() });
    }
    all
}

/// How warm a circuit is at the start of a step, by its thermometers as the log of that step would have them.
fn warm(
    driven: &Driven<'_>,
    (logged, start): (&Logged, &str),
    reads: &dyn Fn(&str) -> Option<f64>,
) -> Option<f64> {
    let model = &driven.built.ready.model;
    let own = logged.compared.iter().filter(|(shows, _)| {
        let circuit = &model.circuits[model.gauges[shows.gauge].circuit].name;
        shows.kind == Kind::Temperature && start.strip_suffix(":start") == Some(circuit)
    });
    let all: Vec<f64> = own.filter_map(|(shows, _)| reads(&shows.result)).collect();
    (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64)
}

/// How much surer each number would be with a step; `None` where that cannot be followed.
fn ratios(
    driven: &Driven<'_>,
    of: &Candidate,
    (logged, found, ranges): (&Logged, &Found, &[(f64, f64)]),
    workers: &dyn Workers,
) -> Option<Vec<f64>> {
    let hold_s = of.next.hold_s;
    // The logger is that of the log, and so is the noise of what it writes; over less than a stretch there is more.
    let length = logged.length_s.max(hold_s / MOST_CELLS).min(hold_s);
    let more = (logged.length_s / length).max(1.0).sqrt();
    let mut windows = Vec::new();
    let mut at = 0.0;
    while at + length <= hold_s * (1.0 + 1e-9) {
        windows.push([at, at + length]);
        at += length;
    }
    let shown = logged.compared.iter().map(|(shows, _)| (shows.result.clone(), windows.clone()));
    let step = driven.with(of.through, of.fixed.clone(), shown.collect());
    let base = step.predict(&found.numbers)?;
    let slopes = slopes((&step, workers), ranges, (&found.numbers, &base), false)?;
    let readings = slopes.iter().enumerate().map(|(c, slopes)| {
        let [deviation, alike] = found.spreads[c];
        (ranges.len() + c, &slopes[..], more * deviation * alike)
    });
    let readings: Vec<(usize, &[Vec<f64>], f64)> = readings.collect();
    Some(with_readings(&found.information, ranges, &readings))
}
