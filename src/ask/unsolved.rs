//! What is said where a case could not be solved: with the places in the file of what is named.

use coolwright_cases::lower::Ready;
use coolwright_cases::text::Span;
use coolwright_models::simulate::Simulator;
use coolwright_models::solve::SolveError;
use coolwright_models::warnings::{Warning, warnings};

use super::Case;
use crate::answer::{Sentence, Value};
use crate::refusal::Refusal;
use crate::say;
use crate::words::errors;

/// Why a case could not be solved, and what to try.
pub(super) fn unsolved(case: &Case, ready: &Ready, error: &SolveError) -> Refusal {
    let message = errors::sentence(&ready.model, error);
    let mut helps = errors::helps(&ready.model, error);
    if let SolveError::NoSteadyState { .. } = error {
        helps.splice(0..0, standing(ready));
    }
    let places = places(ready, error);
    let refusal = Refusal::said(message).at(&case.sources, places);
    helps.into_iter().fold(refusal, Refusal::help)
}

/// The places in the file of what an error names.
fn places(ready: &Ready, error: &SolveError) -> Vec<Span> {
    let mut places: Vec<Span> = Vec::new();
    for id in error.about() {
        let place = place_of(ready, &ready.model.address(id));
        places.extend(place.filter(|place| !places.contains(place)));
    }
    places
}

/// Where the thing of an address stands in the file: also one of several under one name.
fn place_of(ready: &Ready, address: &str) -> Option<Span> {
    let one = address.rsplit_once('.').map(|(name, _)| name);
    [Some(address), one].into_iter().flatten().find_map(|name| ready.places.get(name).copied())
}

/// Circuits in which nothing flows, where that may be the reason.
fn standing(ready: &Ready) -> Option<Sentence> {
    let stopped = stopped_circuits(ready);
    if !stopped.is_empty() {
        let circuits = Value::list(stopped, ", ");
        return Some(say!("all pumps are stopped in: {circuits}", circuits = circuits));
    }
    held_still(ready)
}

/// Says where pumps turn and nothing flows, at the temperatures of the start.
fn held_still(ready: &Ready) -> Option<Sentence> {
    let mut simulator = Simulator::new(&ready.model, ready.model.values.clone()).ok()?;
    let start = simulator.start();
    simulator.evaluate(&start).ok()?;
    let held = warnings(&simulator, &start).into_iter().filter_map(|warning| match warning {
        Warning::Still { circuit, turns: true } => Some(ready.model.circuits[circuit].name.clone()),
        _ => None,
    });
    let held: Vec<String> = held.collect();
    (!held.is_empty()).then(|| {
        say!(
            "pumps turn and nothing flows in: {circuits}; they push against each other, or the only way is shut \
             (`check` says which)",
            circuits = Value::list(held, ", ")
        )
    })
}

/// Circuits whose pumps all stand still as the case is written.
fn stopped_circuits(ready: &Ready) -> Vec<&str> {
    let circuits = ready.model.circuits.iter().filter(|circuit| {
        let parts = circuit.runs.iter().flat_map(|run| &run.parts);
        let mut pumps = parts.filter_map(|placed| placed.part.as_pump()).peekable();
        let some = pumps.peek().is_some();
        some && !pumps.any(|pump| pump.turns(&ready.model.values))
    });
    circuits.map(|circuit| circuit.name.as_str()).collect()
}
