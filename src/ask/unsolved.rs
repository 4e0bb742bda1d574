//! What is said where a case could not be solved: with the places in the file of what is named.

use coolwright_cases::lower::Ready;
use coolwright_cases::text::Span;
use coolwright_models::solve::SolveError;

use super::Case;
use crate::refusal::Refusal;
use crate::words::errors;

/// Why a case could not be solved, and what to try.
pub(super) fn unsolved(case: &Case, ready: &Ready, error: &SolveError) -> Refusal {
    let message = errors::sentence(&ready.model, error);
    let helps = errors::helps(&ready.model, error);
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

/// Where the thing of an address stands in the file; of what the program made, that for which it did.
fn place_of(ready: &Ready, address: &str) -> Option<Span> {
    let mut names = std::iter::successors(Some(address), |name| Some(name.rsplit_once('/')?.0));
    names.find_map(|name| ready.places.get(name).copied())
}
