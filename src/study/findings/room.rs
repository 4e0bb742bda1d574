//! Room for the coolant to expand.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Joint;
use coolwright_models::fluids::{Coolant, Share};

use super::view::View;
use super::{Finding, Findings, Severity};

/// By how much a circuit warms at least, K, for the number that is shown.
const WARMS: f64 = 60.0;

/// A closed circuit needs a tank.
pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, circuit) in view.circuits() {
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
