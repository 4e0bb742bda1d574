//! A part known by one measured drop: a meter, a filter, a quick coupling.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::cards::fittings::RATED;
use crate::laws::fittings::{liquid_factor, rated_fall};
use crate::laws::uncertainty::{Law, UncertaintyTerm, rated_uncertainty};
use crate::slots::Slot;

/// The liquid in which a fall was measured.
#[derive(Clone, Copy, Debug)]
pub struct RatedLiquid {
    /// Its density, kg/m³.
    pub density: Slot,
    /// Its viscosity, Pa·s.
    pub viscosity: Slot,
}

impl RatedLiquid {
    /// Factor on the fall at the same volume flow, for the coolant where the part stands.
    pub fn factor<S: Scalar>(&self, place: &LawInputs<'_, S>, exponent: f64) -> S {
        liquid_factor(
            place.density / place.get(self.density),
            place.viscosity / place.get(self.viscosity),
            exponent,
        )
    }
}

/// A fall that was measured at one flow in one liquid.
#[derive(Clone, Copy, Debug)]
pub struct RatedFall {
    /// Fall at the rated flow, Pa.
    pub fall: Slot,
    /// Rated flow, m³/s.
    pub flow: Slot,
    /// How the fall goes with flow: 2 for an orifice, 1 for a laminar element.
    pub exponent: Slot,
    /// The liquid of that fall.
    pub liquid: RatedLiquid,
}

impl RatedFall {
    /// The fall at a mass flow, kg/s.
    pub(super) fn at<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [fall, at, exponent] = [self.fall, self.flow, self.exponent].map(|s| place.get(s));
        let fall = fall * self.liquid.factor(place, exponent.value());
        rated_fall(flow, place.density, fall, at, exponent.value())
    }

    /// How it goes with the flow of a part of which `share` kg/s pass here for each kg/s.
    pub(super) fn flow_law(&self, place: &LawInputs<'_, f64>, share: f64) -> FlowLaw {
        let [fall, at, exponent] = [self.fall, self.flow, self.exponent].map(|s| place.get(s));
        let fall = fall * self.liquid.factor(place, exponent);
        FlowLaw::Rated { per_flow: share / (place.density * at), fall, exponent }
    }

    /// Its law with its numbers.
    pub(super) fn law(&self, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> Applied {
        let given = [
            ("m", flow_kg_s),
            ("ρ", place.density),
            ("μ", place.viscosity),
            ("Δ", place.get(self.fall)),
            ("Q", place.get(self.flow)),
            ("n", place.get(self.exponent)),
            ("ρ₀", place.get(self.liquid.density)),
            ("μ₀", place.get(self.liquid.viscosity)),
        ];
        Applied::fall(&RATED, &given)
    }

    /// What the fall may be off by.
    pub(super) fn uncertainty(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> UncertaintyTerm {
        let RatedLiquid { density, viscosity } = self.liquid;
        let rated = place.get(density) * place.get(self.flow) / place.get(viscosity);
        let over_rated = flow_kg_s / place.viscosity / rated;
        let pa = rated_uncertainty(self.at(place, flow_kg_s), over_rated);
        UncertaintyTerm { law: Law::Rated, pa }
    }
}

/// A resistance known by its fall at one flow.
#[derive(Debug)]
pub struct Rated {
    /// The trade's word for it: meter, filter, coupling.
    pub word: &'static str,
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Its fall.
    pub drop: RatedFall,
}

impl Fall for Rated {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        self.drop.at(place, flow)
    }
}

impl Part for Rated {
    fn word(&self) -> &'static str {
        self.word
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        self.drop.flow_law(place, 1.0)
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
        vec![self.drop.law(place, flow_kg_s)]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        vec![self.drop.uncertainty(place, flow_kg_s)]
    }
}
