//! Room for the coolant to expand.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Joint, ReferencePoint};
use coolwright_models::fluids::{Coolant, Share};
use coolwright_models::ids::Id;
use coolwright_models::parts::GRAVITY;
use coolwright_models::results::quantities as q;

use super::view::{View, named, range};
use super::{Finding, Findings, Severity};

/// By how much a circuit warms at least, K, for the number that is shown.
const WARMS: f64 = 60.0;

/// Pressure over the surface of an open tank from which on it counts, Pa: 5 cm of water.
const RUNS_OVER: f64 = 500.0;

/// Tanks beside the one that holds the pressure of a circuit have no cap: the surface in each of them
/// stands under the air, or it runs over or sucks.
fn open_tanks(view: &View<'_>, c: usize, found: &mut Findings) {
    let circuit = view.circuit(c);
    let values = &view.ready.model.values;
    let holds = circuit.reference.map(|reference| reference.at);
    let mut over = Vec::new();
    for (j, junction) in circuit.junctions.iter().enumerate() {
        let Joint::Tank(room) = &junction.joint else { continue };
        if matches!(holds, Some(ReferencePoint::Junction(at)) if at == j) {
            continue;
        }
        let density = circuit.runs.iter().position(|run| run.from == j || run.to == j);
        let density = density.map_or(1000.0, |r| view.density(c, r));
        let ports = view.start.of(Id::Junction(c, j), &q::JUNCTION_PRESSURE).unwrap_or(0.0);
        let surface = ports - density * GRAVITY * values.get(room.level);
        if surface.abs() > RUNS_OVER {
            over.push((view.junction_path(c, j), surface));
        }
    }
    if over.is_empty() {
        return;
    }
    let places: Vec<String> = over.iter().map(|(path, _)| path.clone()).collect();
    let pressures = range(Kind::GaugePressure, over.iter().map(|(_, surface)| *surface));
    found.list.push(Finding {
        severity: Severity::Warning,
        subject: "open tanks under pressure",
        what: format!("over the surface in {} stand {pressures}", named(&places)),
        places,
        why: "a tank without a cap is open to the air: above its pressure it runs over, below it it sucks air"
            .to_owned(),
        remedy: "keep one tank, where the pressure is to be held, and let the others be joints or headers"
            .to_owned(),
    });
}

/// A closed circuit needs a tank, and one alone.
pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, circuit) in view.circuits() {
        open_tanks(view, c, found);
        let vessel = |joint: &Joint| !matches!(joint, Joint::Plain | Joint::Tee { .. });
        let standing = circuit.junctions.iter().any(|junction| vessel(&junction.joint));
        if standing || view.parts_of(c).any(|at| view.placed(at).part.as_tank().is_some()) {
            continue;
        }
        let values = &view.ready.model.values;
        let share = Share::ByVolume(values.get(circuit.coolant.share));
        let Ok(coolant) = Coolant::new(circuit.coolant.base, share) else { continue };
        let start = values.get(circuit.start);
        let grows = coolant.density(start) / coolant.density(start + WARMS) - 1.0;
        found.list.push(Finding {
            severity: Severity::Warning,
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
