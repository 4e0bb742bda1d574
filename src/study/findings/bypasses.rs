//! Bypasses that take more than the way they lead around.

use std::collections::BTreeSet;

use coolwright_cases::quantity::Kind;

use super::view::{View, named};
use super::{Finding, Findings, Severity};

/// Circuits with more runs than this are networks and no plumbing of a vehicle: to follow each way
/// around each run would cost more than it tells.
const MOST_RUNS: usize = 2000;
/// Opening of a valve in the main way below which a bypass is meant to take most.
const THROTTLED: f64 = 0.5;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, circuit) in view.circuits() {
        if circuit.runs.len() > MOST_RUNS {
            continue;
        }
        let most = view.most_flow(c);
        for (r, run) in circuit.runs.iter().enumerate() {
            let told = run.parts.iter().any(|placed| !placed.automatic);
            if run.automatic || !told || view.still(c, r, most) || !is_plain(view, c, r) {
                continue;
            }
            let forward = view.mass_flow(c, r) > 0.0;
            let (start, end) = if forward { (run.from, run.to) } else { (run.to, run.from) };
            let leaving = view.around(c, start).1;
            let taken = view.flow(c, r).abs();
            let others = leaving.iter().filter(|&&other| other != r);
            let rest: f64 = others.clone().map(|&other| view.flow(c, other).abs()).sum();
            if start == end || taken <= rest || rest <= 0.0 {
                continue;
            }
            let mut around = BTreeSet::new();
            // Where a part of it goes elsewhere, this is a split and no bypass.
            if !others.clone().all(|&other| way(view, c, other, [start, end], &mut around))
                || fed_otherwise(view, c, &around, start)
                || throttled(view, c, &around)
            {
                continue;
            }
            let passed: Vec<String> = around
                .iter()
                .flat_map(|&run| (0..circuit.runs[run].parts.len()).map(move |p| (c, run, p)))
                .filter(|&at| view.placed(at).part.partner().is_some())
                .map(|at| view.path(at))
                .collect();
            if passed.is_empty() {
                continue;
            }
            let path = format!("{}/{}", circuit.name, run.name);
            found.list.push(Finding {
                severity: Severity::Warning,
                beside: false,
                subject: "bypass larger than the main way",
                what: format!(
                    "`{path}` takes {} of {} past {}",
                    view.say(Kind::VolumeFlow, taken),
                    view.say(Kind::VolumeFlow, taken + rest),
                    named(&passed)
                ),
                places: vec![path],
                why: "what goes around is neither heated nor cooled there; it only mixes behind it"
                    .to_owned(),
                remedy: "narrow the bypass with a `Restrictor`, or with a smaller bore".to_owned(),
            });
        }
    }
}

/// Whether a run holds nothing that moves coolant, stores it or exchanges heat with it.
fn is_plain(view: &View<'_>, c: usize, r: usize) -> bool {
    view.circuit(c).runs[r].parts.iter().all(|placed| {
        let part = &placed.part;
        part.partner().is_none() && part.as_pump().is_none() && part.as_tank().is_none()
    })
}

/// Follows the flow from a run on; gathers the runs on the way. Whether all of it comes to the end
/// and none around to the start.
fn way(
    view: &View<'_>,
    c: usize,
    first: usize,
    [start, to]: [usize; 2],
    runs: &mut BTreeSet<usize>,
) -> bool {
    let circuit = view.circuit(c);
    let mut ahead = vec![first];
    while let Some(r) = ahead.pop() {
        if !runs.insert(r) {
            continue;
        }
        let forward = view.mass_flow(c, r) > 0.0;
        let end = if forward { circuit.runs[r].to } else { circuit.runs[r].from };
        let on = view.around(c, end).1;
        if end == start || (end != to && on.is_empty()) {
            return false;
        }
        if end != to {
            ahead.extend(on);
        }
    }
    true
}

/// Whether runs get coolant from elsewhere than from each other and a junction.
fn fed_otherwise(view: &View<'_>, c: usize, runs: &BTreeSet<usize>, start: usize) -> bool {
    runs.iter().any(|&r| {
        let run = &view.circuit(c).runs[r];
        let begin = if view.mass_flow(c, r) > 0.0 { run.from } else { run.to };
        begin != start && view.around(c, begin).0.iter().any(|from| !runs.contains(from))
    })
}

/// Whether a valve in the main way is more shut than open, or moves, so that the bypass is meant to take most.
fn throttled(view: &View<'_>, c: usize, runs: &BTreeSet<usize>) -> bool {
    let parts =
        runs.iter().flat_map(|&r| (0..view.circuit(c).runs[r].parts.len()).map(move |p| (r, p)));
    parts.into_iter().any(|(r, p)| {
        // One that moves shuts by itself.
        if view.placed((c, r, p)).part.own().is_some() {
            return true;
        }
        let open = view.ready.addresses.get(&format!("{}:open", view.path((c, r, p))));
        open.is_some_and(|address| view.ready.model.values.get(address.slots[0]) < THROTTLED)
    })
}
