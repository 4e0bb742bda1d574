//! Gauges and meters in the wrong place.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Joint;
use coolwright_models::gauge::{Gauge, GaugePlace, Reads, Spot};

use super::straights::{Beside, Disturber, straight};
use super::view::{At, View};
use super::{Finding, Findings, Severity};

/// Straight bores that a flow gauge of which nothing more is known wants before and behind it: those
/// of a turbine meter (common practice, no source: 10 before it, 3 to 5 behind it).
const METER: [f64; 2] = [10.0, 5.0];
/// Straight bores before a pressure tap (common practice, no source).
const TAP: f64 = 5.0;
/// Bores behind a junction within which streams are not mixed yet (common practice, no source).
const MIXED: f64 = 10.0;
/// Velocity head that a disturbed tap may be wrong by, from which on it counts, Pa (common practice,
/// no source).
const TAP_HEAD: f64 = 1e3;
/// Static pressure that is missing in a narrow bore, from which on it counts, Pa (common practice, no
/// source).
const HIDDEN: f64 = 3e3;
/// Difference of streams that a thermometer shows, K.
const APART: f64 = 0.5;

/// A meter or a gauge in a part.
struct Placed {
    /// Its address.
    path: String,
    at: At,
    /// Its sides, upstream first.
    sides: [Beside; 2],
}

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, _) in view.circuits() {
        for at in view.parts_of(c).filter(|&at| view.placed(at).part.word() == "meter") {
            let sides = sides(view, at, [Beside::Inlet, Beside::Outlet]);
            let wanted = view.placed(at).part.straight_bores(&view.ready.model.values);
            let placed = Placed { path: view.path(at), at, sides };
            meter(view, &placed, wanted.unwrap_or(METER), found);
        }
    }
    for gauge in &view.ready.model.gauges {
        match gauge.place {
            GaugePlace::Junction(junction) => {
                if gauge.reads == Reads::Temperature {
                    let path = format!("gauges/{}", gauge.name);
                    unmixed(view, &path, (gauge.circuit, junction), 0.0, found);
                }
            }
            GaugePlace::Part { run, part, spot } => {
                let placed = in_part(view, gauge, (gauge.circuit, run, part), spot);
                match gauge.reads {
                    Reads::Flow => meter(view, &placed, METER, found),
                    Reads::Pressure => tap(view, &placed, found),
                    Reads::Temperature => thermometer(view, &placed, found),
                }
            }
        }
    }
}

fn in_part(view: &View<'_>, gauge: &Gauge, at: At, spot: Spot) -> Placed {
    let beside = match spot {
        Spot::Inlet => Beside::Inlet,
        Spot::Outlet => Beside::Outlet,
        Spot::Along { distance, .. } => Beside::Inside(view.ready.model.values.get(distance)),
    };
    let sides = [beside, beside];
    Placed { path: format!("gauges/{}", gauge.name), at, sides }
}

/// The sides of a part, upstream first.
fn sides(view: &View<'_>, at: At, [inlet, outlet]: [Beside; 2]) -> [Beside; 2] {
    if view.mass_flow(at.0, at.1) >= 0.0 { [inlet, outlet] } else { [outlet, inlet] }
}

impl Placed {
    /// Bore where it sits, m.
    fn bore(&self, view: &View<'_>) -> f64 {
        let (c, r, p) = self.at;
        let end = usize::from(matches!(self.sides[0], Beside::Outlet));
        view.ready.model.values.get(view.circuit(c).runs[r].part_bores()[p][end])
    }

    /// Straight bores upstream or downstream, and what ends them.
    fn straight(&self, view: &View<'_>, upstream: bool) -> (f64, Disturber) {
        let forward = view.mass_flow(self.at.0, self.at.1) >= 0.0;
        let side = self.sides[usize::from(!upstream)];
        let (length, by) = straight(view, self.at, side, forward != upstream);
        (length / self.bore(view), by)
    }
}

/// What ends a straight, in words, and whether its place is only taken.
fn words(view: &View<'_>, by: Disturber) -> Option<String> {
    match by {
        Disturber::Bend(at, true) => Some(format!("a bend of `{}`", view.path(at))),
        Disturber::Bend(at, false) => {
            Some(format!("a bend of `{}` (its bends taken as evenly spaced)", view.path(at)))
        }
        Disturber::Part(at) => {
            Some(format!("the {} `{}`", view.placed(at).part.word(), view.path(at)))
        }
        Disturber::Junction(c, junction) => {
            let name = view.junction_path(c, junction);
            Some(match view.circuit(c).junctions[junction].joint {
                Joint::Tee { .. } => format!("the tee `{name}`"),
                _ => format!("the junction `{name}`"),
            })
        }
        Disturber::Nothing => None,
    }
}

/// A flow meter wants straight bores on both sides.
fn meter(view: &View<'_>, placed: &Placed, wanted: [f64; 2], found: &mut Findings) {
    let mut lacks = Vec::new();
    for (upstream, wanted) in [(true, wanted[0]), (false, wanted[1])] {
        let (bores, by) = placed.straight(view, upstream);
        let Some(by) = words(view, by).filter(|_| bores < wanted) else { continue };
        let side = if upstream { "behind" } else { "before" };
        lacks.push(format!(
            "{} bores {side} {by}, {} wanted",
            view.say(Kind::Number, bores),
            view.say(Kind::Number, wanted)
        ));
    }
    if lacks.is_empty() {
        return;
    }
    let bore = placed.bore(view);
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: false,
        subject: "meter too close to a fitting",
        places: vec![placed.path.clone()],
        what: format!("the flow meter `{}` sits {}", placed.path, lacks.join("; ")),
        why: "swirl and a lopsided flow shift what it shows; wanted is what is usual for its kind \
              (common practice, no source), or what the case says; up to 50 bores behind a pump or valve"
            .to_owned(),
        remedy: format!(
            "put it {} behind the last bend, valve, tee or pump, and {} before the next",
            view.say(Kind::Length, wanted[0] * bore),
            view.say(Kind::Length, wanted[1] * bore)
        ),
    });
}

/// A pressure tap shows the static pressure of a flow that runs straight past it.
fn tap(view: &View<'_>, placed: &Placed, found: &mut Findings) {
    let (c, r, _) = placed.at;
    let bore = placed.bore(view);
    let velocity = view.flow(c, r).abs() / (std::f64::consts::FRAC_PI_4 * bore * bore);
    let head = 0.5 * view.density(c, r) * velocity * velocity;
    let shown = view.say(Kind::PressureDifference, head);
    let bores = view.circuit(c).runs[r].part_bores().into_iter().flatten();
    let widest = bores.map(|slot| view.ready.model.values.get(slot)).fold(bore, f64::max);
    // p₂ − p₁ = ½ρv₁² (1 − (D₁/D₂)⁴), without the loss between them.
    let hidden = head * (1.0 - (bore / widest).powi(4));
    if hidden >= HIDDEN {
        found.list.push(Finding {
            severity: Severity::Advice,
            beside: false,
            subject: "gauge in a narrow bore",
            places: vec![placed.path.clone()],
            what: format!(
                "`{}` sits in a bore of {} at {}, and shows {} less than it would in the {} of the same run",
                placed.path,
                view.say(Kind::Length, bore),
                view.say(Kind::Velocity, velocity),
                view.say(Kind::PressureDifference, hidden),
                view.say(Kind::Length, widest)
            ),
            why: "a gauge shows static pressure: where the flow is fast, ½ρv² of it is missing".to_owned(),
            remedy: "put it where the bore is wide, or compare it only with what this program shows for it"
                .to_owned(),
        });
    }
    let (bores, by) = placed.straight(view, true);
    let disturbs = match by {
        Disturber::Part(at) => {
            let part = &view.placed(at).part;
            part.partner().is_none() && part.as_tank().is_none()
        }
        Disturber::Junction(c, junction) => {
            matches!(
                view.circuit(c).junctions[junction].joint,
                Joint::Plain { .. } | Joint::Tee { .. }
            )
        }
        Disturber::Bend(..) => true,
        Disturber::Nothing => false,
    };
    let Some(by) = words(view, by).filter(|_| disturbs && bores < TAP && head >= TAP_HEAD) else {
        return;
    };
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "gauge too close to a fitting",
        places: vec![placed.path.clone()],
        what: format!(
            "the pressure gauge `{}` sits {} bores behind {by}",
            placed.path,
            view.say(Kind::Number, bores)
        ),
        why: format!(
            "there the pressure differs around the bore, and the gauge may be wrong by up to ½ρv², {shown} \
             ({TAP} bores straight are wanted; common practice, no source)"
        ),
        remedy: format!("put it {} behind that", view.say(Kind::Length, TAP * bore)),
    });
}

/// A thermometer shortly behind a junction shows one stream or the other.
fn thermometer(view: &View<'_>, placed: &Placed, found: &mut Findings) {
    let (bores, by) = placed.straight(view, true);
    if let Disturber::Junction(c, junction) = by {
        unmixed(view, &placed.path, (c, junction), bores, found);
    }
}

fn unmixed(
    view: &View<'_>,
    path: &str,
    (c, junction): (usize, usize),
    bores: f64,
    found: &mut Findings,
) {
    if bores >= MIXED {
        return;
    }
    let circuit = view.circuit(c);
    let arriving = view.around(c, junction).0;
    let temperatures: Vec<(f64, String)> = arriving
        .into_iter()
        .filter_map(|r| {
            let count = circuit.runs[r].parts.len();
            let forward = view.mass_flow(c, r) > 0.0;
            let mut parts: Vec<usize> = (0..count).collect();
            if forward {
                parts.reverse();
            }
            let last = parts.into_iter().find_map(|p| view.steady((c, r, p), "out"));
            Some((last?, format!("{}/{}", circuit.name, circuit.runs[r].name)))
        })
        .collect();
    let coldest = temperatures.iter().min_by(|a, b| a.0.total_cmp(&b.0));
    let hottest = temperatures.iter().max_by(|a, b| a.0.total_cmp(&b.0));
    let (Some(cold), Some(hot)) = (coldest, hottest) else { return };
    if hot.0 - cold.0 < APART {
        return;
    }
    let where_ = if bores > 0.0 {
        format!("sits {} bores behind", view.say(Kind::Number, bores))
    } else {
        "sits at".to_owned()
    };
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "thermometer before streams have mixed",
        places: vec![path.to_owned()],
        what: format!(
            "the thermometer `{path}` {where_} `{}`, where `{}` at {} meets `{}` at {}",
            view.junction_path(c, junction),
            cold.1,
            view.say(Kind::Temperature, cold.0),
            hot.1,
            view.say(Kind::Temperature, hot.0)
        ),
        why: format!(
            "it may show either of them; streams have mixed some {MIXED} bores on (common practice, no source)"
        ),
        remedy: "put it further on, best behind a bend or the pump".to_owned(),
    });
}
