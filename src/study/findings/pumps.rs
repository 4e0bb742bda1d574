//! Pumps against each other, beside each other, and past their free flow.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Arrangement;

use super::view::{At, STILL_KG_S, View, named};
use super::{Finding, Findings, Severity, at_start};

/// Share of the largest flow of a circuit that counts as a flow back through a stopped pump.
const BACK: f64 = 0.01;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, _) in view.circuits() {
        each(view, c, found);
        for twins in twins(view, c) {
            side_by_side(view, &twins, found);
        }
    }
}

/// Each pump of a circuit among the others, where anything flows.
pub(super) fn each(view: &View<'_>, c: usize, found: &mut Findings) {
    let most = view.most_flow(c);
    if most < STILL_KG_S {
        return;
    }
    for at in view.parts_of(c).filter(|&at| view.is_pump(at)) {
        one(view, at, most, found);
    }
}

/// Whether coolant cannot run back through a run.
fn has_check_valve(view: &View<'_>, c: usize, r: usize) -> bool {
    view.circuit(c).runs[r].parts.iter().any(|placed| placed.part.word() == "check valve")
}

fn one(view: &View<'_>, at: At, most: f64, found: &mut Findings) {
    let (c, r, _) = at;
    let path = view.path(at);
    let running = view.running(at);
    // What runs backwards is told with the machines.
    if running && view.mass_flow(c, r) < -STILL_KG_S {
        return;
    }
    if running && view.still(c, r, most) {
        let stronger = view
            .parts_of(c)
            .filter(|&other| other != at && view.running(other) && !view.still(c, other.1, most));
        let stronger: Vec<String> = stronger.map(|other| view.path(other)).collect();
        let what = if stronger.is_empty() {
            format!("`{path}` runs and delivers nothing: its way is shut")
        } else {
            format!("`{path}` runs and delivers nothing: {} holds its way shut", named(&stronger))
        };
        found.list.push(Finding {
            severity: Severity::Serious,
            beside: false,
            subject: "pumps against each other",
            places: std::iter::once(path).chain(stronger).collect(),
            what,
            why: "a pump works only where its head at zero flow is above the pressure that it meets; at zero \
                  flow all its power heats the coolant in it"
                .to_owned(),
            remedy: "use equal pumps side by side, put them one behind the other, or turn its run round"
                .to_owned(),
        });
    } else if running && view.of(at, "head").is_some_and(|head| head < 0.0) {
        let head = view.of(at, "head").unwrap_or(0.0);
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "pump past its free flow",
            places: vec![path.clone()],
            what: format!(
                "`{path}` is pushed past its free flow, to {}: it takes {} instead of giving head",
                view.say(Kind::VolumeFlow, view.flow(c, r)),
                view.say(Kind::PressureDifference, -head)
            ),
            why: "another pump drives more through it than it can move; it is only a resistance that draws \
                  current"
                .to_owned(),
            remedy: "leave it out, or choose pumps whose free flows are alike".to_owned(),
        });
    } else if !running && view.mass_flow(c, r) < -BACK * most {
        found.list.push(Finding {
            severity: Severity::Serious,
            beside: false,
            subject: "short circuit through a stopped pump",
            places: vec![path.clone()],
            what: format!(
                "{} run back through the stopped pump `{path}`",
                view.say(Kind::VolumeFlow, -view.flow(c, r))
            ),
            why: "that is lost to everything else in the circuit".to_owned(),
            remedy: "put a check valve behind each of the pumps that stand side by side".to_owned(),
        });
    }
}

/// Pumps side by side, all running, that nothing keeps from running back: each list is one set.
fn twins(view: &View<'_>, c: usize) -> Vec<Vec<At>> {
    let circuit = view.circuit(c);
    let mut sets: Vec<Vec<At>> = Vec::new();
    let free = |at: &At| view.running(*at) && !has_check_valve(view, c, at.1);
    for group in circuit.groups.iter().filter(|g| g.arrangement == Arrangement::Parallel) {
        let units: Vec<At> = group.units.iter().map(|&(run, part)| (c, run, part)).collect();
        if units.len() > 1 && units.iter().all(free) {
            sets.push(units);
        }
    }
    let single: Vec<At> =
        view.parts_of(c).filter(free).filter(|at| !circuit.runs[at.1].automatic).collect();
    for (k, &at) in single.iter().enumerate() {
        let ends = |at: At| (circuit.runs[at.1].from, circuit.runs[at.1].to);
        let beside = |other: At| other.1 != at.1 && ends(other) == ends(at);
        if ends(at).0 == ends(at).1 || single[..k].iter().any(|&other| beside(other)) {
            continue;
        }
        let others = single[k + 1..].iter().copied().filter(|&other| beside(other));
        let set: Vec<At> = std::iter::once(at).chain(others).collect();
        if set.len() > 1 {
            sets.push(set);
        }
    }
    sets
}

/// What becomes of pumps side by side when one of them stops.
fn side_by_side(view: &View<'_>, twins: &[At], found: &mut Findings) {
    let (c, r, _) = twins[0];
    let path = view.path(twins[0]);
    let Some(speed) = view.ready.addresses.get(&format!("{path}:speed")) else { return };
    let writes: Vec<_> = speed.slots.iter().map(|&slot| (slot, 0.0)).collect();
    let mut values = view.ready.model.values.clone();
    view.ready.model.write(&mut values, &writes);
    let Ok(stopped) = at_start(view.ready, values) else { return };
    let circuit = view.circuit(c);
    let flow = |r: usize| {
        stopped.get(&format!("{}/{}:flow", circuit.name, circuit.runs[r].name)).unwrap_or(0.0)
    };
    let back = -flow(r);
    let others: f64 = twins[1..].iter().map(|at| flow(at.1)).sum();
    if others <= 0.0 || back < BACK * others {
        return;
    }
    let before: f64 = twins.iter().map(|at| view.flow(c, at.1)).sum();
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: false,
        subject: "pumps side by side without check valves",
        places: twins.iter().map(|&at| view.path(at)).collect(),
        what: format!(
            "if `{path}` stops, {} of the {} from the pump beside it run back through it: {} are left of {}",
            view.say(Kind::VolumeFlow, back),
            view.say(Kind::VolumeFlow, others),
            view.say(Kind::VolumeFlow, others - back),
            view.say(Kind::VolumeFlow, before)
        ),
        why: "a pump that has stopped is an open pipe, and the shortest way for the other\u{2019}s flow"
            .to_owned(),
        remedy: "give each a check valve (`check_valves: true` for several under one name)".to_owned(),
    });
}
