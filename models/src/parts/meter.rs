//! A flow meter: a measured drop, and the straight bores it wants on both sides.

use coolwright_solver::scalar::Scalar;

use super::{Fall, Local, Part, Place, Rated, Shape};
use crate::laws::card::Applied;
use crate::laws::doubt::Doubt;
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
    fn fall<S: Scalar>(&self, place: &Place<'_, S>, flow: S) -> S {
        self.drop.fall(place, flow)
    }
}

impl Part for Meter {
    fn word(&self) -> &'static str {
        self.drop.word()
    }

    fn shape(&self, place: &Place<'_, f64>) -> Shape {
        self.drop.shape(place)
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        self.drop.bores()
    }

    fn straight_bores(&self, values: &Values) -> Option<[f64; 2]> {
        Some(self.straight.map(|slot| values.get(slot)))
    }

    fn laws(&self, place: &Place<'_, f64>, coolant: &Local, flow_kg_s: f64) -> Vec<Applied> {
        self.drop.laws(place, coolant, flow_kg_s)
    }

    fn doubts(&self, place: &Place<'_, f64>, flow_kg_s: f64) -> Vec<Doubt> {
        self.drop.doubts(place, flow_kg_s)
    }
}
