//! A thermostat as a resistance, at the opening that it is given.

use coolwright_solver::scalar::Scalar;

use super::throttle::valve_law;
use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::restriction::{Inherent, opening_share, valve_fall};
use crate::laws::uncertainty::{Law, UncertaintyTerm, rated_uncertainty, valve_uncertainty};
use crate::slots::Slot;

/// A thermostat's valve in a run: its main valve, or the bypass valve on the same stem. The lift is a
/// value; what moves it is not part of it. At the inlet or the outlet of an engine, with a bypass that is
/// shut as it opens or always open: each valve stands in a run of its own.
#[derive(Debug)]
pub struct Thermostat {
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Fall at the rated flow when full open, Pa.
    pub fall: Slot,
    /// Rated flow, m³/s.
    pub flow: Slot,
    /// Density of the liquid of that fall, kg/m³.
    pub density: Slot,
    /// Lift over full lift, 0 shut to 1 full open.
    pub open: Slot,
    /// Area of bleed hole and leaking seat over the full-open area; above 0.
    pub leak: Slot,
    /// Whether this is the bypass valve, which shuts with the lift.
    pub bypass: bool,
}

impl Thermostat {
    /// Open area over the full-open area.
    fn area_share<S: Scalar>(&self, place: &LawInputs<'_, S>) -> S {
        let lift = place.get(self.open);
        let open = if self.bypass { -lift + 1.0 } else { lift };
        opening_share(Inherent::Linear, open, place.get(self.leak))
    }
}

impl Fall for Thermostat {
    /// fall = Δ ρ/ρ₀ (Q/(a Q₀))²; a = a₀ + (1 − a₀) h: the curtain π d L of a poppet grows with its lift
    /// (geometry), and at equal fall the flow with the area. A bypass has 1 − h in the place of h.
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [fall, at] = [self.fall, self.flow].map(|s| place.get(s));
        let fall = fall * (place.density / place.get(self.density));
        valve_fall(flow, place.density, fall, at, self.area_share(place))
    }
}

impl Part for Thermostat {
    fn word(&self) -> &'static str {
        "thermostat"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        let [fall, at] = [self.fall, self.flow].map(|s| place.get(s));
        let fall = fall * (place.density / place.get(self.density));
        let per_flow = 1.0 / (place.density * at * self.area_share(place));
        FlowLaw::Rated { per_flow, fall, exponent: 2.0 }
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
        let lift = place.get(self.open);
        let open = if self.bypass { 1.0 - lift } else { lift };
        let [fall, at, density, leak] =
            [self.fall, self.flow, self.density, self.leak].map(|s| place.get(s));
        vec![valve_law(Inherent::Linear, place, flow_kg_s, [fall, at, density, open, leak])]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let share = self.area_share(place);
        let fall = self.fall(place, flow_kg_s);
        let over_rated = flow_kg_s / (place.density * place.get(self.flow));
        vec![
            UncertaintyTerm { law: Law::Valve, pa: valve_uncertainty(fall, share) },
            UncertaintyTerm { law: Law::Rated, pa: rated_uncertainty(fall, over_rated / share) },
        ]
    }
}
