//! Which numbers of a case move one result most: each is changed alone, and the point solved anew.

use coolwright_cases::lower::{Address, Ready, Role};
use coolwright_cases::quantity::Kind;
use coolwright_models::instance::Instance;
use coolwright_models::slots::Values;
use coolwright_models::tangent::Tangent;

use super::sway::Idle;
use crate::workers::{self, Workers};

/// What a change of one number does to a result.
#[derive(Clone, Debug)]
pub struct Move {
    /// Where the number stands.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// What it is, SI.
    pub from: f64,
    /// What it is changed to, SI.
    pub to: f64,
    /// How far the result moves, SI.
    pub change: f64,
}

/// By what share of itself a number is changed.
const SHARE: f64 = 0.1;
/// By how much a temperature is changed, K.
const WARMER_K: f64 = 5.0;
/// A change below this share of the result is rounding of the search.
const ROUNDING: f64 = 1e-6;

/// What each number of a case does to the result at a place of the catalogue, the largest change first. `known` is
/// the point as it stands.
pub fn moves(
    ready: &Ready,
    values: &Values,
    (known, place, now): (&Tangent, usize, f64),
    workers: &dyn Workers,
) -> Vec<Move> {
    let sought = changed(ready, values);
    let make = || Instance::new(&ready.model);
    let idle = Idle::of(&make);
    let found = workers::map(workers, sought.len(), |k| {
        let (address, entry, to) = &sought[k];
        let mut with = values.clone();
        let writes: Vec<_> = entry.slots.iter().map(|&slot| (slot, *to)).collect();
        ready.model.write(&mut with, &writes);
        let result = idle
            .with(|instance| instance.beside(&with, known).map(|results| results.values[place]))?;
        let change = result - now;
        let (kind, from) = (entry.kind, values.get(entry.slots[0]));
        let moves = change.is_finite() && change.abs() > ROUNDING * now.abs();
        moves.then(|| Move { address: (*address).clone(), kind, from, to: *to, change })
    });
    let mut found: Vec<Move> = found.into_iter().flatten().collect();
    found.sort_by(|a, b| b.change.abs().total_cmp(&a.change.abs()));
    found
}

/// The numbers that can be changed alone, each with its new value. What several addresses write stands once.
fn changed<'a>(ready: &'a Ready, values: &Values) -> Vec<(&'a String, &'a Address, f64)> {
    let mut known = Vec::new();
    let mut found = Vec::new();
    for (address, entry) in &ready.addresses {
        if !entry.has_slots() || entry.role == Role::Driven || known.contains(&&entry.slots) {
            continue;
        }
        let now = values.get(entry.slots[0]);
        let tos = match entry.kind {
            Kind::Count => continue,
            Kind::Temperature => [now + WARMER_K, now - WARMER_K],
            _ => [1.0 + SHARE, 1.0 - SHARE].map(|by| by * now),
        };
        let fits = |to: &f64| {
            entry.bound.fault(entry.kind, *to).is_none() && to.is_finite() && (to - now).abs() > 0.0
        };
        // What may not be more is made less.
        if let Some(to) = tos.into_iter().find(fits) {
            known.push(&entry.slots);
            found.push((address, entry, to));
        }
    }
    found
}
