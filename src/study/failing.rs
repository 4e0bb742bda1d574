//! A failure that comes on the way: what it writes, from a moment on.

use coolwright_cases::lower::Ready;
use coolwright_models::inputs::Track;
use coolwright_models::slots::Slot;

use super::{Failure, pulls};

/// When the last pull begins, s after the start: by then the vehicle is as warm as it gets. `None` where it begins at
/// the start, or where there is none.
pub fn last_pull_s(ready: &Ready) -> Option<f64> {
    let phases = &ready.duty.phases;
    let last = pulls(phases).pop()?;
    let begins: f64 = phases[..last.start].iter().map(|phase| phase.time_s).sum();
    (begins > 0.0).then_some(begins)
}

/// What a failure changes of a case, from a time on, s; nothing where it cannot come on the way: it tells how much
/// there is, or how things are put together.
pub fn coming_at(
    plain: &Ready,
    failed: &Ready,
    failure: &Failure,
    at_s: f64,
) -> Option<Vec<(Slot, Track)>> {
    let settings = failure.changes.iter().all(|change| {
        let entry = plain.addresses.get(&change.address);
        entry.is_some_and(|entry| entry.has_slots() && entry.role.refusal().is_none())
    });
    if !settings || !plain.model.fits(&failed.model.values) {
        return None;
    }
    let mut found = Vec::new();
    for (address, entry) in &plain.addresses {
        let slots = failed.addresses.get(address).map(|entry| entry.slots.as_slice())?;
        if slots.len() != entry.slots.len() {
            return None;
        }
        for (&slot, &other) in entry.slots.iter().zip(slots) {
            let [was, is] = [plain.model.values.get(slot), failed.model.values.get(other)];
            if slot == other && was.to_bits() != is.to_bits() {
                found.push((slot, Track::steps(&[[0.0, was], [at_s, is]])));
            }
        }
    }
    (!found.is_empty()).then_some(found)
}
