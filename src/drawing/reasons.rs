//! How every result of a state comes about.

use coolwright_cases::lower::Ready;
use coolwright_models::explain::{explain, pressures};
use coolwright_models::instance::Instance;
use coolwright_models::reasons::{Comes, Origin, Reason, reason};

use super::State;
use crate::answer::drawing::{InputDrawn, ReasonDrawn};
use crate::study::addresses_of;

/// The reasons of all results of a state; none where it cannot be set up again.
pub(super) fn reasons(instance: &mut Instance<'_>, state: &State<'_>) -> Vec<ReasonDrawn> {
    let results = &state.point.results;
    let Ok(simulator) = instance.at(state.values, &state.point.states) else { return Vec::new() };
    let mut laws = explain(simulator);
    laws.extend(pressures(simulator, results));
    let entries = results.catalogue.entries().iter();
    let one = |entry: &coolwright_models::results::Entry| {
        let reason = reason(simulator, results, &laws, (entry.id, entry.quantity));
        drawn(state.ready, &entry.address, &reason)
    };
    entries.map(one).collect()
}

/// How a result comes about, as a page tells it.
fn drawn(ready: &Ready, address: &str, reason: &Reason) -> ReasonDrawn {
    let inputs = reason.inputs.iter().map(|input| {
        let (addresses, property) = match input.from {
            Origin::Result(id, quantity) => {
                (vec![format!("{}:{}", ready.model.address(id), quantity.name)], None)
            }
            Origin::Number(slot) => (addresses_of(ready, slot), None),
            Origin::Property(what) => (Vec::new(), Some((what, input.kind, input.value))),
        };
        InputDrawn { sign: input.sign.clone(), addresses, property }
    });
    let formula = match &reason.comes {
        Comes::Formula(formula) => Some(formula.clone()),
        Comes::Balance([left, right]) => Some(format!("{left} = {right}")),
        Comes::Law(_) | Comes::Together => None,
    };
    ReasonDrawn { address: address.to_owned(), formula, inputs: inputs.collect() }
}
