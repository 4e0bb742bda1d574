//! Bends too tight for their hose, and bends right before a pump.

use coolwright_cases::quantity::Kind;

use super::straights::{Beside, Disturber, ELBOW, corner_angle, straight};
use super::view::{At, View, named, range};
use super::{Finding, Findings, Severity};

/// Centre-line radius in bores that not even a moulded elbow goes below (common practice, no source).
const TIGHTEST: f64 = 1.0;
/// Centre-line radius in bores to which a hose with a wire in it can be bent (common practice, no
/// source).
const BENT_HOSE: f64 = 2.0;
/// Straight length before a pump's inlet, in bores (common practice, no source).
const BEFORE_PUMP: f64 = 3.0;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, _) in view.circuits() {
        let (mut kinked, mut flattened, mut cramped) = (Vec::new(), Vec::new(), Vec::new());
        for at in view.parts_of(c) {
            let Some(way) = view.hose(at) else { continue };
            let listed = way.bends.iter().filter_map(|bends| bends.radius_m);
            let given = way.bend_radius_m.into_iter().filter(|_| way.route_m.len() > 2);
            let tightest = listed.chain(given).fold(f64::INFINITY, f64::min);
            if tightest < TIGHTEST * way.bore_m * (1.0 - 1e-9) {
                kinked.push((at, tightest / way.bore_m));
            } else if given_route(way) && tightest < BENT_HOSE * way.bore_m * (1.0 - 1e-9) {
                flattened.push((at, tightest / way.bore_m));
            }
            if way.bend_radius_m.is_none() && !room_for_elbows(way) {
                cramped.push((at, ELBOW));
            }
        }
        tight(view, found, &kinked, &flattened);
        no_room(view, found, &cramped);
        before_pumps(view, found, c);
    }
}

/// Whether a hose follows a route with a radius: such a hose is bent, not moulded.
fn given_route(way: &coolwright_cases::lower::HoseWay) -> bool {
    way.route_m.len() > 2 && way.bend_radius_m.is_some()
}

/// Whether every leg of a route is long enough for the elbows at its ends.
fn room_for_elbows(way: &coolwright_cases::lower::HoseWay) -> bool {
    let stations = way.stations_m();
    let last = stations.len().saturating_sub(1);
    let half = |k: usize| {
        if k == 0 || k >= last {
            return 0.0;
        }
        ELBOW * way.bore_m * (corner_angle(&way.route_m, k) / 2.0).tan()
    };
    (0..last).all(|k| half(k) + half(k + 1) <= (stations[k + 1] - stations[k]) * (1.0 + 1e-9))
}

fn tight(view: &View<'_>, found: &mut Findings, kinked: &[(At, f64)], flattened: &[(At, f64)]) {
    let sets = [
        (
            kinked,
            Severity::Warning,
            "tighter than a moulded elbow can be (1 bore; common practice, no source): it kinks, and no formula for its loss holds",
            "give it a larger radius, or a machined elbow with a measured fall",
        ),
        (
            flattened,
            Severity::Advice,
            "tighter than a hose with a wire in it bends without flattening (2 bores; common practice, no source)",
            "use a moulded elbow or bent tube there, or give the bends more room",
        ),
    ];
    for (set, severity, why, remedy) in sets {
        if set.is_empty() {
            continue;
        }
        let paths: Vec<String> = set.iter().map(|&(at, _)| view.path(at)).collect();
        let radius = range(Kind::Number, set.iter().map(|&(_, bores)| bores));
        found.list.push(Finding {
            severity,
            beside: false,
            subject: "bend too tight",
            what: format!("bends of {radius} bores radius in {}", named(&paths)),
            places: paths,
            why: why.to_owned(),
            remedy: remedy.to_owned(),
        });
    }
}

fn no_room(view: &View<'_>, found: &mut Findings, cramped: &[(At, f64)]) {
    if cramped.is_empty() {
        return;
    }
    let paths: Vec<String> = cramped.iter().map(|&(at, _)| view.path(at)).collect();
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "corners too close",
        what: format!(
            "corners in the route of {} are too close for elbows of {ELBOW} bores radius",
            named(&paths)
        ),
        places: paths,
        why: "the route gives no `bend_radius`, and the moulded elbows taken for it (common practice, no \
              source) do not fit between its points"
            .to_owned(),
        remedy: "move the corners apart, or give the radius that is really there".to_owned(),
    });
}

/// A bend right before the inlet of a pump.
fn before_pumps(view: &View<'_>, found: &mut Findings, c: usize) {
    let mut close: Vec<(At, f64, bool)> = Vec::new();
    for at in view.parts_of(c).filter(|&at| view.is_pump(at)) {
        let forward = view.mass_flow(c, at.1) >= 0.0;
        let (length, Disturber::Bend(_, told)) = straight(view, at, Beside::Inlet, !forward) else {
            continue;
        };
        let bores = length / view.bore(at);
        if bores < BEFORE_PUMP {
            close.push((at, bores, told));
        }
    }
    if close.is_empty() {
        return;
    }
    let paths: Vec<String> = close.iter().map(|&(at, ..)| view.path(at)).collect();
    let bores = range(Kind::Number, close.iter().map(|&(_, bores, _)| bores));
    let listed = if close.iter().all(|&(.., told)| told) {
        ""
    } else {
        " if the hose's bends are evenly spaced"
    };
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "bend right before a pump",
        what: format!("a bend ends {bores} bores before {}{listed}", named(&paths)),
        places: paths,
        why: format!(
            "the flow enters the pump unevenly, which costs head and margin at its inlet ({BEFORE_PUMP} bores \
             straight are wanted; common practice, no source)"
        ),
        remedy: "lead the last piece before the pump straight".to_owned(),
    });
}
