//! A flow meter: a measured drop, and the straight bores it wants on both sides.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part, Rated};
use crate::laws::card::Applied;
use crate::laws::uncertainty::UncertaintyTerm;
use crate::slots::{Slot, Values};

/// A flow meter.
#[derive(Debug)]
pub struct Meter {
    /// Its drop and its bore.
    pub drop: Rated,
    /// Straight bores that it wants before and behind it, in diameters.
    pub straight: [Slot; 2],
}

impl Fall for Meter {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        self.drop.fall(place, flow)
    }
}

impl Part for Meter {
    fn word(&self) -> &'static str {
        self.drop.word()
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        self.drop.flow_law(place)
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        self.drop.bores()
    }

    fn straight_bores(&self, values: &Values) -> Option<[f64; 2]> {
        Some(self.straight.map(|slot| values.get(slot)))
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        self.drop.laws(place, coolant, flow_kg_s)
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        self.drop.uncertainty_terms(place, flow_kg_s)
    }
}
