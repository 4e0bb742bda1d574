//! Least and most of flows and shares whose half width is a large part of themselves.
//!
//! A port that gets 3 % ± 5 % of the flow does not get -2 %. The linear response of a number to the
//! offsets xᵢ (in units of what each law may be off by) is Σ gᵢ xᵢ. Of all offsets that are as likely, those
//! that move it furthest are
//!
//! ```text
//! x = ± C g/√(gᵀ C g),   C = ½ I + ½ (1 for two laws of one kind)
//! ```
//!
//! (the design point of first-order reliability, Hasofer and Lind 1974, from memory). There the whole
//! model is solved anew. A loss Δp that is off by e of itself is multiplied by exp(x e): it never turns
//! into a gain.

use std::collections::BTreeMap;

use super::respond::Base;
use super::terms::Term;
use crate::instance::Made;
use crate::laws::uncertainty::Law;
use crate::results::Results;
use crate::results::quantities as q;
use crate::simulate::{Loss, Offset};

/// The share of a flow from which on its half width is no straight line: a loss that goes with the
/// square of the flow is bent by an eighth of that there.
const WIDE: f64 = 0.25;
/// Flows below this, kg/s or m³/s, count as none.
const NO_FLOW: f64 = 1e-12;
/// Most numbers that are looked at so closely.
const MOST: usize = 60;

/// The linear response.
pub(super) struct Known<'a> {
    pub(super) terms: &'a [Term],
    /// For each term, the change of every result.
    pub(super) changes: &'a [Vec<f64>],
    pub(super) half_widths: &'a [f64],
}

/// Least and most of the flows and shares that do not follow in a straight line, by their place. What
/// cannot be solved has none.
pub(super) fn bounds(
    made: &mut Made<'_>,
    base: &Base,
    known: &Known<'_>,
) -> BTreeMap<usize, [f64; 2]> {
    let catalogue = made.catalogue.clone();
    let flows = [&q::FLOW, &q::SHARE, &q::COOLANT_FLOW];
    let wide = |&place: &usize| {
        let value = base.results[place].abs();
        let is_flow =
            flows.iter().any(|flow| std::ptr::eq(*flow, catalogue.entries()[place].quantity));
        is_flow && value > NO_FLOW && known.half_widths[place] > WIDE * value
    };
    let mut results = Results::default();
    let mut near = vec![0.0; base.states()];
    let mut found = BTreeMap::new();
    for place in (0..known.half_widths.len()).filter(wide).take(MOST) {
        let design = design(known, place);
        let ends = [-1.0, 1.0].map(|way| {
            let off: Vec<(Offset, f64)> = known
                .terms
                .iter()
                .zip(&design)
                .map(|(term, x)| (term.offset, times(term, way * x)))
                .collect();
            base.solve(made, &off, &mut near).ok()?;
            made.read(&near, &mut results);
            Some(results.values[place]).filter(|value| value.is_finite())
        });
        // One end alone says nothing.
        if let [Some(least), Some(most)] = ends {
            let value = base.results[place];
            found.insert(place, [least.min(value), most.max(value)]);
        }
    }
    made.simulator.setup.offsets.clear();
    found
}

/// The offsets, each in units of what its law may be off by, that move a result furthest upwards.
fn design(known: &Known<'_>, place: usize) -> Vec<f64> {
    let own: Vec<f64> = known.changes.iter().map(|all| all[place]).collect();
    let mut common: BTreeMap<Law, f64> = BTreeMap::new();
    for (term, change) in known.terms.iter().zip(&own) {
        *common.entry(term.law).or_default() += change;
    }
    let laws = known.terms.iter().map(|term| common[&term.law]);
    laws.zip(&own).map(|(law, own)| 0.5 * (law + own) / known.half_widths[place]).collect()
}

/// How many times its offset a law is off at x: a loss is multiplied by exp(x e), e its offset over it.
fn times(term: &Term, x: f64) -> f64 {
    match term.offset {
        Offset::Part { pa, of: Some(Loss { fall, .. }), .. } if fall != 0.0 => {
            let share = pa / fall;
            (x * share).exp_m1() / share
        }
        _ => x,
    }
}
