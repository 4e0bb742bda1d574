//! What is said where a case could not be solved: with the places in the file of what is named.

use coolwright_cases::lower::Ready;
use coolwright_cases::text::Span;
use coolwright_models::simulate::Simulator;
use coolwright_models::solve::SolveError;
use coolwright_models::warnings::{Warning, warnings};

use super::Case;
use crate::answer::{Sentence, Value};
use crate::refusal::Refusal;
use crate::render::Style;
use crate::say;
use crate::words::errors;

/// Why a case could not be solved, and what to try.
pub(super) fn unsolved(case: &Case, ready: &Ready, error: &SolveError) -> Refusal {
    let message = errors::sentence(error);
    let mut helps = errors::helps(error);
    if let SolveError::NoSteadyState { .. } = error {
        helps.splice(0..0, standing(ready));
    }
    let places = places(ready, &message);
    let refusal = Refusal::said(message).at(&case.sources, places);
    helps.into_iter().fold(refusal, Refusal::help)
}

/// The places of what a message names: it sets addresses in back-quotes.
fn places(ready: &Ready, message: &Sentence) -> Vec<Span> {
    let text = Style::SI.sentence(message);
    let mut places: Vec<Span> = Vec::new();
    for name in text.split('`').skip(1).step_by(2) {
        places.extend(place_of(ready, name).filter(|place| !places.contains(place)));
    }
    places
}

/// Where the thing of an address stands in the file: also one of several under one name.
fn place_of(ready: &Ready, address: &str) -> Option<Span> {
    let whole = address.split(':').next().unwrap_or(address);
    let one = whole.rsplit_once('.').map(|(name, _)| name);
    [Some(whole), one].into_iter().flatten().find_map(|name| ready.places.get(name).copied())
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
        Warning::Still { circuit, turns: true } => Some(circuit),
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
