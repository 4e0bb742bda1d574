//! Which gauge would tell most next.

use coolwright_models::gauge::{GaugePlace, Reads};
use coolwright_models::ids::Id;
use coolwright_models::model::Model;

use super::driven::{Driven, Through};
use super::stand::Shows;
use crate::study::learn::fitting::{Found, Predict, slopes};
use crate::study::learn::tells::with_gauge;
use crate::workers::Workers;

/// A gauge that is not there.
#[derive(Clone, Debug)]
pub struct Next {
    /// What it reads.
    pub reads: Reads,
    /// Where: a run, or the part and whether at its outlet.
    pub at: String,
    /// See `at`.
    pub outlet: Option<bool>,
    /// What it may be off by, SI.
    pub tolerance: f64,
    /// By number its uncertainty with it over that without.
    pub ratios: Vec<f64>,
}

/// The best of what could come next, by the uncertainty of each number with it over that without: those that make a number
/// surer at all, the one first that makes all uncertainties together least.
pub(super) fn best<T>(mut all: Vec<T>, ratios: impl Fn(&T) -> &[f64]) -> Vec<T> {
    let gain = |of: &T| ratios(of).iter().map(|ratio| -ratio.max(1e-6).ln()).sum::<f64>();
    all.retain(|of| ratios(of).iter().any(|ratio| *ratio < SURER));
    all.sort_by(|a, b| gain(b).total_cmp(&gain(a)));
    all.truncate(MOST);
    all
}

/// Readings that are taken as independent over a log.
const READINGS: usize = 40;
/// The noise of one of them over what the gauge may be off by.
const NOISE: f64 = 0.3;
/// What makes no number surer by a tenth is not told.
pub const SURER: f64 = 0.9;
/// So many are told.
const MOST: usize = 3;

/// A gauge with the result that it would show.
struct Candidate {
    next: Next,
    result: String,
}

/// What a flow meter is off by, as a share of what it shows; a thermometer, K; a pressure gauge, Pa (common practice, no
/// source).
const FLOW_SHARE: f64 = 0.02;
const WARM_K: f64 = 0.7;
const PRESSURE_PA: f64 = 2e3;

/// Gauges that a builder could add: flow in runs with a pump, temperatures on both sides of what takes or gives heat,
/// pressure on both sides of pumps; not where there is one of that kind already.
fn candidates(model: &Model, shows: &[Shows]) -> Vec<Candidate> {
    let mut all = Vec::new();
    let read = |c: usize, r: usize, p: Option<usize>, reads: Reads| {
        shows.iter().map(|shows| &model.gauges[shows.gauge]).any(|gauge| {
            let here = match gauge.place {
                GaugePlace::Part { run, part, .. } => run == r && p.is_none_or(|p| part == p),
                GaugePlace::Junction(_) => false,
            };
            gauge.circuit == c && gauge.reads == reads && here
        })
    };
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            let mut add = |reads: Reads, p: Option<usize>, outlet: Option<bool>, name: &str| {
                let id = p.map_or(Id::Run(c, r), |p| Id::Part(c, r, p));
                let at = model.address(id);
                let tolerance = match reads {
                    Reads::Flow => FLOW_SHARE,
                    Reads::Temperature => WARM_K,
                    Reads::Pressure => PRESSURE_PA,
                };
                if !read(c, r, p, reads) {
                    let result = format!("{at}:{name}");
                    let next = Next { reads, at, outlet, tolerance, ratios: Vec::new() };
                    all.push(Candidate { next, result });
                }
            };
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.part.as_pump().is_some() {
                    add(Reads::Flow, None, None, "flow");
                    add(Reads::Pressure, Some(p), Some(false), "pressure_in");
                    add(Reads::Pressure, Some(p), Some(true), "pressure_out");
                }
                if placed.part.partner().is_some() {
                    add(Reads::Temperature, Some(p), Some(false), "in");
                    add(Reads::Temperature, Some(p), Some(true), "out");
                }
            }
        }
    }
    all
}

/// The gauges that would tell most, the best first.
pub(super) fn next(
    driven: &Driven<'_>,
    shows: &[Shows],
    (found, ranges): (&Found, &[(f64, f64)]),
    workers: &dyn Workers,
) -> Vec<Next> {
    let model = &driven.built.ready.model;
    let mut all = candidates(model, shows);
    all.retain(|of| driven.built.catalogue.find(&of.result).is_some());
    if all.is_empty() || found.numbers.is_empty() {
        return Vec::new();
    }
    let whole: f64 = driven.phases.iter().map(|phase| phase.1).sum();
    let length = whole / READINGS as f64;
    let windows: Vec<[f64; 2]> =
        (0..READINGS).map(|k| [k as f64 * length, (k + 1) as f64 * length]).collect();
    let shown = all.iter().map(|of| (of.result.clone(), windows.clone())).collect();
    let wide = driven.with(Through::Log, driven.fixed.clone(), shown);
    let Some(base) = wide.predict(&found.numbers) else { return Vec::new() };
    let slopes = slopes((&wide, workers), ranges, (&found.numbers, &base), false);
    let Some(slopes) = slopes else { return Vec::new() };
    for (g, of) in all.iter_mut().enumerate() {
        if of.next.reads == Reads::Flow {
            let most = base[g].iter().map(|flow| flow.abs()).fold(0.0, f64::max);
            of.next.tolerance = FLOW_SHARE * most.max(1e-6);
        }
        let tolerance = of.next.tolerance;
        of.next.ratios =
            with_gauge(&found.information, ranges, &slopes[g], (NOISE * tolerance, tolerance));
    }
    best(all.into_iter().map(|of| of.next).collect(), |next| &next.ratios)
}
