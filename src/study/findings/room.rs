//! Room for the coolant to expand.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Joint, ReferencePoint};
use coolwright_models::ids::Id;
use coolwright_models::parts::{GRAVITY, TankRoom};
use coolwright_models::results::quantities as q;

use super::view::{View, named, range};
use super::{Finding, Findings, Severity};

/// By how much a circuit warms at least, K, for the number that is shown.
const WARMS: f64 = 60.0;

/// Pressure over the surface of an open tank from which on it counts, Pa: 5 cm of water.
const RUNS_OVER: f64 = 500.0;

/// Share of a tank below which it is nearly empty when filled (common practice, no source).
const NEARLY_EMPTY: f64 = 0.1;

/// A tank of a circuit.
struct Vessel<'a> {
    path: String,
    room: &'a TankRoom,
    /// Gauge pressure at its ports, Pa.
    ports: f64,
    density: f64,
    /// Whether it holds the pressure of its circuit.
    holds: bool,
}

/// The tanks of a circuit, at junctions and in runs.
fn tanks<'a>(view: &View<'a>, c: usize) -> Vec<Vessel<'a>> {
    let circuit = view.circuit(c);
    let holds = circuit.reference.map(|reference| reference.at);
    let mut tanks = Vec::new();
    for (j, junction) in circuit.junctions.iter().enumerate() {
        let Joint::Tank(room) = &junction.joint else { continue };
        let density = circuit.runs.iter().position(|run| run.from == j || run.to == j);
        tanks.push(Vessel {
            path: view.junction_path(c, j),
            room,
            ports: view.start.of(Id::Junction(c, j), &q::JUNCTION_PRESSURE).unwrap_or(0.0),
            density: density.map_or(1000.0, |r| view.density(c, r)),
            holds: matches!(holds, Some(ReferencePoint::Junction(at)) if at == j),
        });
    }
    for at in view.parts_of(c) {
        let Some(tank) = view.placed(at).part.as_tank() else { continue };
        // What enters loses its velocity head: inside stands the static pressure of the inlet. What leaves
        // there costs half of one more.
        let inwards = view.mass_flow(c, at.1) >= 0.0;
        let lost = if inwards { 0.0 } else { 1.5 * view.velocity_head(at) };
        tanks.push(Vessel {
            path: view.path(at),
            room: &tank.room,
            ports: view.of(at, "pressure_in").unwrap_or(0.0) + lost,
            density: view.density(c, at.1),
            holds: matches!(holds, Some(ReferencePoint::Part(r, p)) if (r, p) == (at.1, at.2)),
        });
    }
    tanks
}

/// Tanks beside the one that holds the pressure of a circuit have no cap: the surface in each of them
/// stands under the air, or it runs over or sucks.
fn open_tanks(view: &View<'_>, tanks: &[Vessel<'_>], found: &mut Findings) {
    let values = &view.ready.model.values;
    let mut over = Vec::new();
    for tank in tanks.iter().filter(|tank| !tank.holds) {
        let surface = tank.ports - tank.density * GRAVITY * values.get(tank.room.level);
        if surface.abs() > RUNS_OVER {
            over.push((tank.path.clone(), surface));
        }
    }
    if over.is_empty() {
        return;
    }
    let places: Vec<String> = over.iter().map(|(path, _)| path.clone()).collect();
    let pressures = range(Kind::GaugePressure, over.iter().map(|(_, surface)| *surface));
    found.list.push(Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "open tanks under pressure",
        what: format!("over the surface in {} stand {pressures}", named(&places)),
        places,
        why: "only the tank that holds the pressure of the circuit can have a cap: any other is open to the air, \
              and above its pressure it runs over, below it it sucks air. The program takes such a tank as full of \
              coolant, whatever runs over or in"
            .to_owned(),
        remedy: "keep one tank, where the pressure is to be held, and let the others be joints or headers"
            .to_owned(),
    });
}

/// Tanks with next to nothing in them.
fn nearly_empty(view: &View<'_>, tanks: &[Vessel<'_>], found: &mut Findings) {
    let values = &view.ready.model.values;
    for tank in tanks {
        let [volume, air] = [tank.room.volume, tank.room.air].map(|slot| values.get(slot));
        // Ice counts: `air` is what is neither.
        let left = volume - air;
        if left >= NEARLY_EMPTY * volume {
            continue;
        }
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: true,
            subject: "tank nearly empty",
            places: vec![tank.path.clone()],
            what: format!(
                "of the {} of `{}` only {} are coolant and ice when it is filled",
                view.say(Kind::Volume, volume),
                tank.path,
                view.say(Kind::Volume, left)
            ),
            why: format!(
                "below some {} of it the ports uncover where it leans or is shaken, and the pump draws air \
                 (common practice, no source)",
                view.say(Kind::Fraction, NEARLY_EMPTY)
            ),
            remedy: "fill it further: `air` is the part of `volume` that is not coolant".to_owned(),
        });
    }
}

/// Coolant that stands higher over the ports of a tank than such a tank is.
fn too_high(view: &View<'_>, tanks: &[Vessel<'_>], found: &mut Findings) {
    let get = |slot| view.ready.model.values.get(slot);
    for tank in tanks {
        let (level, volume) = (get(tank.room.level), get(tank.room.volume));
        if level <= TALL * volume.cbrt() {
            continue;
        }
        let beyond = level > 2.0 * TALL * volume.cbrt();
        found.list.push(Finding {
            severity: if beyond { Severity::Serious } else { Severity::Warning },
            beside: !beyond,
            subject: "level higher than the tank",
            places: vec![tank.path.clone()],
            what: format!(
                "coolant stands {} over the ports of `{}`, which holds {}",
                view.say(Kind::Distance, level),
                tank.path,
                view.say(Kind::Volume, volume)
            ),
            why: "the level makes pressure at the ports, of which a tank of that volume has little (common practice, no \
                  source: no tank is five times as high as a cube of its volume)"
                .to_owned(),
            remedy: "`level` is from the ports of the tank up to the surface in it; how high the tank stands is told by \
                     `rise` or `route` of the hoses"
                .to_owned(),
        });
    }
}

/// How many times the edge of a cube of its volume a tank is high at most (common practice, no source).
const TALL: f64 = 5.0;

/// A closed circuit needs a tank, and one alone.
pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, circuit) in view.circuits() {
        let tanks = tanks(view, c);
        open_tanks(view, &tanks, found);
        nearly_empty(view, &tanks, found);
        too_high(view, &tanks, found);
        if circuit.has_room() {
            continue;
        }
        let values = &view.ready.model.values;
        let Ok(coolant) = circuit.coolant.liquid(values) else { continue };
        let start = values.get(circuit.start);
        let grows = coolant.density(start) / coolant.density(start + WARMS) - 1.0;
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "no room to expand",
            places: vec![circuit.name.clone()],
            what: format!("the circuit `{}` is closed and has no tank", circuit.name),
            why: format!(
                "its coolant grows by {} when it warms by {}; with nowhere to go it lifts the pressure until \
                 something bursts, and air has nowhere to leave",
                view.say(Kind::Fraction, grows),
                view.say(Kind::TemperatureDifference, WARMS)
            ),
            remedy: "add a `Tank` with a cap, high up on the suction side".to_owned(),
        });
    }
}
