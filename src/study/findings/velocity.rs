//! Velocities out of practice.

use std::collections::BTreeSet;

use coolwright_cases::quantity::Kind;
use coolwright_models::parts::HeatPartner;

use super::suction::suction_line;
use super::view::{At, STILL_KG_S, View, named, range};
use super::{Finding, Findings, Severity};

/// Velocity beyond which a suction line takes too much from its pump, m/s (common practice, no
/// source: at most 1.5 to 2).
const SUCTION: f64 = 2.0;
/// Velocity beyond which a pressure line costs too much head, m/s (common practice, no source: at
/// most 3 to 4).
const PRESSURE: f64 = 4.0;
/// Velocity in a pressure line that is more than a matter of taste, m/s (common practice, no source).
const WEARS: f64 = 5.0;
/// Velocities in the tubes of coolers, m/s (common practice, no source).
const TUBES: (f64, f64) = (0.5, 2.0);

/// Share of the margin at a pump's inlet from which on the fall of its suction line is no advice any
/// more (common practice, no source).
const OF_MARGIN: f64 = 0.1;

/// A part with its velocity.
struct Fast {
    at: At,
    velocity: f64,
}

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, _) in view.circuits() {
        let pumps = view.parts_of(c).filter(|&at| view.is_pump(at));
        let suction: BTreeSet<At> = pumps.flat_map(|at| suction_line(view, at).parts).collect();
        let most = view.most_flow(c);
        let (mut before, mut behind) = (Vec::new(), Vec::new());
        let (mut slow, mut quick) = (Vec::new(), Vec::new());
        for at in view.parts_of(c) {
            let velocity = view.of(at, "velocity").unwrap_or(0.0).abs();
            let fast = Fast { at, velocity };
            let part = &view.placed(at).part;
            if view.hose(at).is_some() {
                let line = if suction.contains(&at) {
                    (SUCTION, &mut before)
                } else {
                    (PRESSURE, &mut behind)
                };
                if velocity > line.0 && !leads_around(view, at) {
                    line.1.push(fast);
                }
            } else if matches!(part.partner(), Some(HeatPartner::Body(_)))
                && part.bores()[0].is_some()
            {
                // What stands still is another finding.
                if velocity > TUBES.1 {
                    quick.push(fast);
                } else if velocity < TUBES.0 && most >= STILL_KG_S && !view.still(c, at.1, most) {
                    slow.push(fast);
                }
            }
        }
        lines(view, found, &before, true);
        lines(view, found, &behind, false);
        tubes(view, found, &quick, &slow);
    }
}

/// Whether a hose belongs to a run that leads around a core or a cooler: narrow on purpose, and its
/// fall is not added to that of the main way.
fn leads_around(view: &View<'_>, (c, r, _): At) -> bool {
    let exchanges = |r: usize| {
        view.circuit(c).runs[r].parts.iter().any(|placed| placed.part.partner().is_some())
    };
    let run = &view.circuit(c).runs[r];
    let start = if view.mass_flow(c, r) > 0.0 { run.from } else { run.to };
    let moves = run.parts.iter().any(|placed| placed.part.as_pump().is_some());
    !moves
        && !exchanges(r)
        && view.around(c, start).1.into_iter().any(|other| other != r && exchanges(other))
}

fn lines(view: &View<'_>, found: &mut Findings, fast: &[Fast], suction: bool) {
    if fast.is_empty() {
        return;
    }
    let most = if suction { SUCTION } else { PRESSURE };
    let paths: Vec<String> = fast.iter().map(|fast| view.path(fast.at)).collect();
    let falls: f64 = fast.iter().filter_map(|fast| view.of(fast.at, "fall")).sum();
    // The flow is given by more than this line, so the same flow is kept: v D² = constant.
    let bores = fast.iter().map(|fast| view.bore(fast.at) * (fast.velocity / most).sqrt());
    let bores = range(Kind::Length, bores);
    let margins = view.parts_of(fast[0].at.0).filter_map(|at| view.of(at, "suction_margin"));
    let share = falls / margins.fold(f64::INFINITY, f64::min).max(1.0);
    let fastest = fast.iter().map(|fast| fast.velocity).fold(0.0, f64::max);
    let hard = if suction { share >= OF_MARGIN } else { fastest > WEARS };
    let falls = view.say(Kind::PressureDifference, falls);
    found.list.push(Finding {
        severity: if hard { Severity::Warning } else { Severity::Advice },
        beside: false,
        subject: if suction { "fast suction line" } else { "fast pressure line" },
        what: format!(
            "coolant runs at {} in {} (good practice: up to {} {})",
            range(Kind::Velocity, fast.iter().map(|fast| fast.velocity)),
            named(&paths),
            view.say(Kind::Velocity, most),
            if suction { "before a pump" } else { "elsewhere" },
        ),
        places: paths,
        why: if suction {
            format!("its fall of {falls} comes off the pressure at the pump's inlet; common practice, no source")
        } else {
            format!("it falls {falls}, which goes with the square of the velocity, and wears soft metal; common practice, no source")
        },
        remedy: format!("for this flow at {} take a bore of {bores}", view.say(Kind::Velocity, most)),
    });
}

fn tubes(view: &View<'_>, found: &mut Findings, quick: &[Fast], slow: &[Fast]) {
    let sets = [
        (
            quick,
            "fast tubes",
            TUBES.1,
            "at most",
            "it wears the tubes of aluminium and costs head as its square, while the coolant's film gains little; common practice, no source",
            "share the flow among more passes, or wider ones",
        ),
        (
            slow,
            "slow tubes",
            TUBES.0,
            "at least",
            "the coolant's film is poor, dirt settles and air is not carried along; common practice, no source",
            "put passes one behind the other, or narrow them",
        ),
    ];
    for (set, subject, bound, side, why, remedy) in sets {
        if set.is_empty() {
            continue;
        }
        let paths: Vec<String> = set.iter().map(|fast| view.path(fast.at)).collect();
        found.list.push(Finding {
            severity: Severity::Advice,
            beside: false,
            subject,
            what: format!(
                "coolant runs at {} in {} (tubes of coolers: {side} {})",
                range(Kind::Velocity, set.iter().map(|fast| fast.velocity)),
                named(&paths),
                view.say(Kind::Velocity, bound)
            ),
            places: paths,
            why: why.to_owned(),
            remedy: remedy.to_owned(),
        });
    }
}
