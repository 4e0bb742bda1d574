//! A check valve: lets coolant through one way and almost none the other.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::cards::fittings::{CHECK_VALVE_OPEN, CHECK_VALVE_SHUT};
use crate::laws::fittings::rated_fall;
use crate::laws::uncertainty::{CRACKING, Law, UncertaintyTerm, rated_uncertainty};
use crate::slots::Slot;

/// Share of the rated flow that a shut valve leaks at [`LEAK_PRESSURE_PA`] (common practice, no
/// source: a soft-seated valve that is sound). Without a leak the flow through a shut valve in the
/// only path would leave the pressure behind it undefined.
const LEAK_SHARE: f64 = 1e-4;

/// Pressure at which [`LEAK_SHARE`] is meant, Pa.
const LEAK_PRESSURE_PA: f64 = 1e5;

/// Least cracking pressure, Pa. A valve without a spring would have a kink at rest, from its shut
/// slope to none; over this pressure, far below what any gauge shows, the slope goes on.
const LEAST_CRACKING_PA: f64 = 1.0;

/// A valve that opens along the run and shuts against it.
#[derive(Debug)]
pub struct CheckValve {
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Fall at the rated flow when open, Pa: all of it, what holds the spring open included.
    pub fall: Slot,
    /// Rated flow, m³/s.
    pub flow: Slot,
    /// Pressure that just opens it, Pa; at least 1 Pa is taken, and no more than `fall`.
    pub cracking: Slot,
}

impl Fall for CheckValve {
    /// Open (m ≥ 0): `fall = (Δ − p_c + p_c m_c/(ρQ + m_c)) (m/ρQ)² + p_c m/(m + m_c)`, which is Δ at the
    /// rated flow, with `m_c = p_c/s` so that the slope s of the shut valve goes on through zero. Shut
    /// (m < 0): fall = s·m, s = 100 kPa/(1e-4 ρQ).
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let rated = place.get(self.flow);
        let shut = S::from(LEAK_PRESSURE_PA / LEAK_SHARE) / (place.density * rated);
        if flow.value() < 0.0 {
            return flow * shut;
        }
        let fall = place.get(self.fall);
        let cracking = place.get(self.cracking).min(fall).max(S::from(LEAST_CRACKING_PA));
        let opens = cracking / shut;
        let rest = (fall - cracking) + cracking * opens / (place.density * rated + opens);
        let held = flow * cracking / (flow + opens);
        rated_fall(flow, place.density, rest, rated, 2.0) + held
    }
}

impl Part for CheckValve {
    fn word(&self) -> &'static str {
        "check valve"
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
        let [fall, at] = [self.fall, self.flow].map(|s| place.get(s));
        let cracking = place.get(self.cracking).min(fall).max(LEAST_CRACKING_PA);
        let (flow, density, at) = (("m", flow_kg_s), ("ρ", place.density), ("Q", at));
        if flow_kg_s < 0.0 {
            return vec![Applied::fall(&CHECK_VALVE_SHUT, &[flow, density, at])];
        }
        let given = [flow, density, at, ("Δ", fall), ("p_c", cracking)];
        vec![Applied::fall(&CHECK_VALVE_OPEN, &given)]
    }

    /// That of its fall away from the rating, and half of the cracking pressure while it is barely open: a
    /// seat lifts sooner or later than it says (judgement, no source).
    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let over_rated = flow_kg_s / (place.density * place.get(self.flow));
        let rated = place.get(self.fall) * over_rated * over_rated.abs();
        let cracking = if flow_kg_s > 0.0 { place.get(self.cracking) } else { 0.0 };
        vec![
            UncertaintyTerm { law: Law::Rated, pa: rated_uncertainty(rated, over_rated) },
            UncertaintyTerm { law: Law::Valve, pa: CRACKING * cracking },
        ]
    }
}
