//! What the assumptions of a case could change: each is moved to both ends of its range, and the
//! operating point is solved again.

use std::sync::Mutex;

use coolwright_cases::lower::{Assumption, Ready};
use coolwright_cases::quantity::Kind;
use coolwright_models::instance::Instance;
use coolwright_models::point::OperatingPoint;
use coolwright_models::results::Results;
use coolwright_models::slots::Values;

use super::Limit;
use crate::workers::{self, Workers};

/// What an assumption could change.
#[derive(Clone, Debug)]
pub struct Influence {
    /// The assumption's place among those of the case.
    pub assumption: usize,
    /// The result that it moves most, by address.
    pub address: String,
    /// The kind of that result.
    pub kind: Kind,
    /// How far the result moves with the assumption at its least and at its most, SI; `None` where
    /// there is no operating point then.
    pub change: [Option<f64>; 2],
    /// The size of the change, in shares of what that result usually allows: for sorting.
    pub weight: f64,
}

/// A result that a builder looks at first, with the change of it that matters.
struct Headline {
    index: usize,
    kind: Kind,
    scale: f64,
}

/// What a change of one result is measured by, where no limit says more.
fn scale_of(kind: Kind, value: f64) -> f64 {
    match kind {
        Kind::Temperature => 5.0,
        Kind::TemperatureDifference => 2.0,
        Kind::GaugePressure | Kind::PressureDifference => 20e3,
        _ => 0.2 * value.abs().max(1e-9),
    }
}

/// The results by which assumptions are ranked: those under a limit; without limits, metal
/// temperatures, the rise across each body and the flow through it.
fn headlines(limits: &[Limit], results: &Results) -> Vec<Headline> {
    let finite = |index: usize| results.values[index].is_finite();
    if limits.iter().any(|limit| limit.built_in.is_none()) {
        let of = |limit: &Limit| {
            let index = limit.index.filter(|&index| finite(index))?;
            let scale = scale_of(limit.kind, limit.value);
            Some(Headline { index, kind: limit.kind, scale })
        };
        return limits.iter().filter(|limit| limit.built_in.is_none()).filter_map(of).collect();
    }
    let bodies = ["engines/", "coolers/"];
    let names = [":metal", ":rise", ":flow"];
    let entries = results.catalogue.entries().iter().enumerate();
    entries
        .filter(|(_, entry)| bodies.iter().any(|b| entry.address.starts_with(b)))
        .filter(|(_, entry)| names.iter().any(|n| entry.address.ends_with(n)))
        .filter(|(index, _)| finite(*index))
        .map(|(index, entry)| {
            let kind = entry.quantity.kind;
            Headline { index, kind, scale: scale_of(kind, results.values[index]) }
        })
        .collect()
}

/// The influence of every assumption, the largest first.
pub fn influences(
    ready: &Ready,
    values: &Values,
    limits: &[Limit],
    base: &OperatingPoint,
    workers: &dyn Workers,
) -> Vec<Influence> {
    let headlines = headlines(limits, &base.results);
    let of = |instance: &mut Instance<'_>, (index, assumption): (usize, &Assumption)| {
        let (low, high) = assumption.range;
        let moved = [low, high].map(|value| moved(instance, values, assumption, value, base));
        influence(index, &headlines, base, &moved)
    };
    // Each worker takes an instance that is not in use; what it answers does not depend on which.
    let idle: Mutex<Vec<Instance<'_>>> = Mutex::new(Vec::new());
    let all = workers::map(workers, ready.assumptions.len(), |k| {
        let kept = idle.lock().ok().and_then(|mut idle| idle.pop());
        let mut instance = kept.unwrap_or_else(|| Instance::new(&ready.model));
        let influence = of(&mut instance, (k, &ready.assumptions[k]));
        if let Ok(mut idle) = idle.lock() {
            idle.push(instance);
        }
        influence
    });
    let mut found: Vec<Influence> = all.into_iter().flatten().collect();
    found.sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.assumption.cmp(&b.assumption)));
    found
}

/// The results with an assumption moved to a value.
fn moved(
    instance: &mut Instance<'_>,
    values: &Values,
    assumption: &Assumption,
    value: f64,
    base: &OperatingPoint,
) -> Option<Results> {
    let mut values = values.clone();
    let writes: Vec<_> = assumption.slots.iter().map(|&slot| (slot, value)).collect();
    instance.model().write(&mut values, &writes);
    instance.point(&values, Some(base.start())).ok().map(|point| point.results.clone())
}

fn influence(
    assumption: usize,
    headlines: &[Headline],
    base: &OperatingPoint,
    moved: &[Option<Results>; 2],
) -> Option<Influence> {
    let change = |results: &Option<Results>, index: usize| {
        let change = results.as_ref().map(|r| r.values[index] - base.results.values[index]);
        change.filter(|change| change.is_finite())
    };
    headlines
        .iter()
        .map(|headline| {
            let change = [change(&moved[0], headline.index), change(&moved[1], headline.index)];
            let size = |c: Option<f64>| c.map_or(f64::INFINITY, |c| (c / headline.scale).abs());
            let address = base.results.catalogue.entries()[headline.index].address.clone();
            let weight = size(change[0]).max(size(change[1]));
            Influence { assumption, address, kind: headline.kind, change, weight }
        })
        .max_by(|a, b| a.weight.total_cmp(&b.weight))
}
