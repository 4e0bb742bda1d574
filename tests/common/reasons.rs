//! Results against their own reasons: what a formula gives with what goes into it is the result, both sides of a
//! balance are equal, and every result has something that it rests on.

use std::collections::BTreeMap;

use coolwright_models::explain::{explain, pressures};
use coolwright_models::laws::card::Outside;
use coolwright_models::reasons::{Comes, Reason, reason};
use coolwright_models::results::Results;
use coolwright_models::simulate::Simulator;

/// How many results came about in which way.
#[derive(Debug, Default)]
pub(crate) struct Counts {
    /// By a formula, by a law, by a balance, with others together.
    pub(crate) ways: [usize; 4],
    /// Names of those that nothing goes into, and how often.
    pub(crate) bare: BTreeMap<&'static str, usize>,
    /// Names of those that have no formula, law or balance, and how often.
    pub(crate) together: BTreeMap<&'static str, usize>,
}

/// Holds every result of a settled state to its reason. `Err` names the first that differs.
pub(crate) fn hold(simulator: &Simulator<'_>, results: &Results) -> Result<Counts, String> {
    let mut laws = explain(simulator);
    laws.extend(pressures(simulator, results));
    let mut counts = Counts::default();
    for (entry, &value) in results.catalogue.entries().iter().zip(&results.values) {
        if !value.is_finite() {
            continue;
        }
        let reason = reason(simulator, results, &laws, (entry.id, entry.quantity));
        let way = match &reason.comes {
            Comes::Formula(formula) => {
                let got = reason.work(formula);
                near(&entry.address, formula, (got, value), size(&reason))?;
                0
            }
            Comes::Law(law) => {
                let law = &laws[*law].law;
                // Another law may have taken over from the one on the card.
                if law.outside().all(|(range, _)| range.outside != Outside::OtherLaw) {
                    let size = value.abs().max(1e-6);
                    near(&entry.address, law.card.key, (law.result(), value), 1e3 * size)?;
                }
                1
            }
            Comes::Balance([left, right]) => {
                let sides = (reason.work(left), reason.work(right).unwrap_or(f64::NAN));
                // The flows are solved to about a billionth of what drives them.
                near(&entry.address, left, sides, 1e3 * size(&reason))?;
                2
            }
            Comes::Together => {
                *counts.together.entry(entry.quantity.name).or_default() += 1;
                3
            }
        };
        counts.ways[way] += 1;
        if reason.inputs.is_empty() && way != 1 {
            *counts.bare.entry(entry.quantity.name).or_default() += 1;
        }
    }
    Ok(counts)
}

/// The largest of what goes in: sums and differences are as exact as that.
fn size(reason: &Reason) -> f64 {
    reason.inputs.iter().fold(0.0, |most, input| {
        if input.value.is_finite() { most.max(input.value.abs()) } else { most }
    })
}

fn near(
    address: &str,
    formula: &str,
    (got, want): (Option<f64>, f64),
    size: f64,
) -> Result<(), String> {
    let Some(got) = got else { return Err(format!("{address}: {formula} cannot be worked out")) };
    let off = (got - want).abs();
    // Written so that a number that is none fails.
    // Heights that cancel leave a rounding of their own.
    if off <= 1e-9 * want.abs().max(got.abs()) + 1e-12 * size + 1e-15 {
        Ok(())
    } else {
        Err(format!("{address}: {formula} gives {got}, the result is {want}"))
    }
}
