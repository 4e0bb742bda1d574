//! Pressure that hoses and cores do not stand.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Hold;

use super::view::View;
use super::{Finding, Findings, Severity};

/// Gauge pressure that usual coolant hoses and cores stand, Pa (common practice, no source).
const STANDS: f64 = 300e3;

/// The highest pressure of each circuit.
pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, _) in view.circuits() {
        let Some((pressure, path, when)) = highest(view, c).filter(|(most, ..)| *most > STANDS)
        else {
            continue;
        };
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: true,
            subject: "more pressure than hoses stand",
            what: format!(
                "the pressure in `{path}` is {} {when}",
                view.say(Kind::GaugePressure, pressure)
            ),
            places: vec![path],
            why: format!(
                "usual coolant hoses and cores stand some {} (common practice, no source)",
                view.say(Kind::GaugePressure, STANDS)
            ),
            remedy: "look for a slip in the head of the pump, in the pressure of the circuit or of its cap; \
                     if it is so, take hoses and cores that are made for it"
                .to_owned(),
        });
    }
}

/// The highest static pressure that parts of a circuit have at their ends, and what its cap or the file
/// lets it come to: Pa gauge, where, when.
fn highest(view: &View<'_>, c: usize) -> Option<(f64, String, &'static str)> {
    let mut all = Vec::new();
    for at in view.parts_of(c) {
        for end in ["pressure_in", "pressure_out"] {
            let start = view.of(at, end).map(|pa| (pa, "at the start"));
            let steady = view.steady(at, end).map(|pa| (pa, "at the operating point"));
            let both = start.into_iter().chain(steady).filter(|(pa, _)| pa.is_finite());
            all.extend(both.map(|(pa, when)| (pa, view.path(at), when)));
        }
    }
    let model = &view.ready.model;
    if let (Some(reference), Some(id)) = (view.circuit(c).reference, model.reference_id(c)) {
        let (slot, when) = match reference.hold {
            Hold::Given(slot) => (slot, "as given"),
            Hold::Cushion(cushion) => (cushion.opens, "before its cap opens"),
        };
        all.push((model.values.get(slot), model.address(id), when));
    }
    // The first of several that are as high: at the start rather than later.
    all.into_iter().reduce(|most, next| if next.0 > most.0 { next } else { most })
}
