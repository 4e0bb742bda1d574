//! Ice: more than fits, and what melts in a mixture of water and glycol.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::fluids::{Base, Coolant, Share};
use coolwright_models::ids::Id;
use coolwright_models::parts::{ICE_DENSITY, WATER_DENSITY};
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;

use super::view::{At, View, named};
use super::{Finding, Findings, Severity};

/// From this rise of the freezing point on, K, temperatures that rest on it are not to be relied on (judgement, no
/// source).
const THINNED_K: f64 = 3.0;

/// Share of a tank that pieces of ice fill when poured: common practice, no source (equal spheres fill 60 to 64 %).
const PACKED: f64 = 0.65;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, _) in view.circuits() {
        for at in view.parts_of(c) {
            packed(view, at, found);
        }
    }
    thinned(view, found);
}

/// More ice than pieces of it fit.
fn packed(view: &View<'_>, at: At, found: &mut Findings) {
    let Some(tank) = view.placed(at).part.as_tank() else { return };
    let Some(ice) = &tank.ice else { return };
    let get = |slot| view.ready.model.values.get(slot);
    let share = get(ice.mass) / ICE_DENSITY / get(tank.room.volume);
    if share <= PACKED {
        return;
    }
    let path = view.path(at);
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "more ice than fits in pieces",
        what: format!("ice fills {} of `{path}`", view.say(Kind::Fraction, share)),
        places: vec![path],
        why: format!(
            "pieces leave gaps: poured, they fill some {} at most (common practice, no source), and what is packed \
             closer lets no coolant through",
            view.say(Kind::Fraction, PACKED)
        ),
        remedy: "take less ice, or a larger tank".to_owned(),
    });
}

/// A mixture that all ice of its circuit has melted into: its share of glycol, and where that freezes, K; `None` where
/// there is no ice, or no glycol.
///
/// `x = x₀·V/(V + V_melt)`: the melt adds water and no glycol.
pub(in crate::study) fn melted(ready: &Ready, start: &Results, c: usize) -> Option<(f64, f64)> {
    let circuit = &ready.model.circuits[c];
    let (base, share) = circuit.coolant.mixture()?;
    let share = ready.model.values.get(share);
    if base == Base::Water || share <= 0.0 {
        return None;
    }
    let parts = circuit.runs.iter().flat_map(|run| &run.parts);
    let ice = parts.filter_map(|placed| Some(placed.part.as_tank()?.ice.as_ref()?.mass));
    let melt: f64 = ice.map(|mass| ready.model.values.get(mass) / WATER_DENSITY).sum();
    let filled = start.of(Id::Circuit(c), &q::COOLANT_VOLUME).filter(|m3| *m3 > 0.0)?;
    let thin = share * filled / (filled + melt);
    let coolant = Coolant::new(base, Share::ByVolume(thin)).ok()?;
    (melt > 0.0).then(|| (thin, coolant.freezing_point_k()))
}

/// Ice that would thin its mixture as it melts.
fn thinned(view: &View<'_>, found: &mut Findings) {
    for (c, circuit) in view.circuits() {
        let values = &view.ready.model.values;
        let Some((_, share)) = circuit.coolant.mixture() else { continue };
        let share = values.get(share);
        let Some((thin, at_last)) = melted(view.ready, view.start, c) else { continue };
        let Ok(mixture) = circuit.coolant.liquid(values) else { continue };
        let at_first = mixture.freezing_point_k();
        let with_ice =
            |at: &At| view.placed(*at).part.as_tank().is_some_and(|tank| tank.ice.is_some());
        let places: Vec<String> =
            view.parts_of(c).filter(with_ice).map(|at| view.path(at)).collect();
        let serious = at_last - at_first > THINNED_K;
        found.list.push(Finding {
            severity: if serious { Severity::Serious } else { Severity::Warning },
            beside: !serious,
            subject: "ice in a mixture",
            what: format!(
                "the ice of {} thins its mixture from {} to {} as it melts, which is left out: the coolant is shown \
                 too cold, and too safe from freezing",
                named(&places),
                view.say(Kind::Fraction, share),
                view.say(Kind::Fraction, thin)
            ),
            places,
            why: format!(
                "ice melts at the freezing point of what surrounds it, taken as {} throughout; the thinned mixture \
                 freezes at {}",
                view.say(Kind::Temperature, at_first),
                view.say(Kind::Temperature, at_last)
            ),
            remedy: "run plain water with the ice, and drain it before frost; or write the thinned mixture as the \
                     coolant, and `start` as warm as it is"
                .to_owned(),
        });
    }
}
