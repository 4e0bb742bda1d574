//! A throttle: a valve set by hand or by an actuator.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::cards::restriction::{VALVE_EQUAL_PERCENTAGE, VALVE_LINEAR};
use crate::laws::restriction::{Inherent, opening_share, valve_fall};
use crate::laws::uncertainty::{Law, UncertaintyTerm, rated_uncertainty, valve_uncertainty};
use crate::slots::Slot;

/// A valve known by its fall when full open, and an opening.
#[derive(Debug)]
pub struct Throttle {
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Fall at the rated flow when full open, Pa.
    pub fall: Slot,
    /// Rated flow, m³/s.
    pub flow: Slot,
    /// Density of the liquid of that fall, kg/m³.
    pub density: Slot,
    /// Opening, 0 shut to 1 full open.
    pub open: Slot,
    /// Share of the full-open flow that it passes when shut, at the same fall; above 0.
    pub leak: Slot,
    /// How the flow goes with the opening.
    pub inherent: Inherent,
}

impl Fall for Throttle {
    /// fall = Δ ρ/ρ₀ (Q/(φ Q₀))²; φ = φ₀ + (1 − φ₀) h, or φ₀^(1 − h).
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [fall, at, open, leak] =
            [self.fall, self.flow, self.open, self.leak].map(|s| place.get(s));
        let fall = fall * (place.density / place.get(self.density));
        valve_fall(flow, place.density, fall, at, opening_share(self.inherent, open, leak))
    }
}

impl Part for Throttle {
    fn word(&self) -> &'static str {
        "throttle"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        let [fall, at, open, leak] =
            [self.fall, self.flow, self.open, self.leak].map(|s| place.get(s));
        let share = opening_share(self.inherent, open, leak);
        let fall = fall * (place.density / place.get(self.density));
        FlowLaw::Rated { per_flow: 1.0 / (place.density * at * share), fall, exponent: 2.0 }
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [self.bore, self.bore]
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        let [fall, at, open, leak] =
            [self.fall, self.flow, self.open, self.leak].map(|s| place.get(s));
        let density = place.get(self.density);
        vec![valve_law(self.inherent, place, flow_kg_s, [fall, at, density, open, leak])]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let [open, leak] = [self.open, self.leak].map(|s| place.get(s));
        let share = opening_share(self.inherent, open, leak);
        let fall = self.fall(place, flow_kg_s);
        let over_rated = flow_kg_s / (place.density * place.get(self.flow));
        vec![
            UncertaintyTerm { law: Law::Valve, pa: valve_uncertainty(fall, share) },
            UncertaintyTerm { law: Law::Rated, pa: rated_uncertainty(fall, over_rated / share) },
        ]
    }
}

/// The law of a valve: fall (Pa) at the rated flow (m³/s) full open, density of that, opening, leak.
pub(super) fn valve_law(
    inherent: Inherent,
    place: &LawInputs<'_, f64>,
    flow_kg_s: f64,
    [fall, flow, rated_density, open, leak]: [f64; 5],
) -> Applied {
    let card = match inherent {
        Inherent::Linear => &VALVE_LINEAR,
        Inherent::EqualPercentage => &VALVE_EQUAL_PERCENTAGE,
    };
    let given = [
        ("m", flow_kg_s),
        ("ρ", place.density),
        ("Δ", fall),
        ("Q", flow),
        ("ρ₀", rated_density),
        ("y", open),
        ("φ₀", leak),
    ];
    Applied::fall(card, &given)
}
