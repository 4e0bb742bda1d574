//! Heights close around every loop: what goes up comes down.
//!
//! A run whose hoses all tell their rise ties the heights of its junctions. A run with a hose that
//! tells none takes up what is left, in equal parts on the hoses that are silent. What remains open
//! is an error.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use coolwright_models::circuit::made;

use super::circuit::Draft;
use super::context::Context;
use crate::quantity::{Kind, spoken};

/// A difference of height below this is none, m.
const LEVEL: f64 = 1e-3;

/// Closes the heights of a circuit.
pub(super) fn close(context: &mut Context<'_>, draft: &Draft) {
    let mut height: Vec<Option<f64>> = vec![None; draft.junctions.len()];
    if height.is_empty() {
        return;
    }
    // Told runs first, then silent ones: a silent run only ties what nothing else does.
    let order: Vec<usize> = [true, false]
        .into_iter()
        .flat_map(|told| (0..draft.runs.len()).filter(move |&r| told == told_run(draft, r)))
        .collect();
    // Of the runs that touch a junction with a height, the first in that order ties the next one.
    let mut touching = vec![Vec::new(); draft.junctions.len()];
    for (place, &run) in order.iter().enumerate() {
        let run = &draft.runs[run];
        touching[run.from].push(Reverse(place));
        touching[run.to].push(Reverse(place));
    }
    height[0] = Some(0.0);
    let mut waiting = BinaryHeap::from(std::mem::take(&mut touching[0]));
    while let Some(Reverse(place)) = waiting.pop() {
        let run = order[place];
        let (from, to) = (draft.runs[run].from, draft.runs[run].to);
        let rise = told_rise(context, draft, run);
        let reached = match (height[from], height[to]) {
            (Some(h), None) => {
                height[to] = Some(h + rise);
                to
            }
            (None, Some(h)) => {
                height[from] = Some(h - rise);
                from
            }
            _ => continue,
        };
        waiting.append(&mut BinaryHeap::from(std::mem::take(&mut touching[reached])));
    }
    for run in 0..draft.runs.len() {
        let (Some(from), Some(to)) = (height[draft.runs[run].from], height[draft.runs[run].to])
        else {
            continue;
        };
        let left = to - from - told_rise(context, draft, run);
        if left.abs() <= LEVEL {
            continue;
        }
        if told_run(draft, run) {
            let message = format!(
                "the heights do not close around the loop with `{}`: they are {} apart",
                made::plain(&draft.runs[run].name),
                spoken(Kind::Length, left.abs())
            );
            let label = "what rises in one run must fall in the others; leave one `rise` out";
            context.error(draft.run_spans[run], message, label);
            return;
        }
        spread(context, draft, run, left);
    }
}

/// Whether all hoses of a run tell their rise.
fn told_run(draft: &Draft, run: usize) -> bool {
    draft.rise_known[run]
}

/// Heights that the hoses of a run tell, added up, m.
fn told_rise(context: &Context<'_>, draft: &Draft, run: usize) -> f64 {
    let rises = draft.runs[run].parts.iter().filter_map(|placed| placed.part.rise());
    rises.map(|slot| context.values.get(slot)).sum()
}

/// Spreads what is left of a height over the silent hoses of a run.
fn spread(context: &mut Context<'_>, draft: &Draft, run: usize, left: f64) {
    let silent: Vec<_> = draft.runs[run]
        .parts
        .iter()
        .filter_map(|placed| placed.part.rise())
        .filter(|slot| draft.silent.contains(slot))
        .collect();
    let run = &draft.runs[run];
    let Some(count) = (!silent.is_empty()).then_some(silent.len()) else { return };
    for slot in silent {
        context.values.set(slot, left / count as f64);
    }
    context.notes.push(format!(
        "`{}/{}` is taken to {} by {}, so that heights close.",
        draft.name,
        made::plain(&run.name),
        if left > 0.0 { "rise" } else { "fall" },
        spoken(Kind::Length, left.abs())
    ));
}
