//! Machines whose speed takes its time, and follows a temperature.

use crate::model::Model;
use crate::slots::{Slot, Values};
use crate::switch::Felt;

/// What governs the speed of a machine: it goes where it is commanded to no faster than its ramp lets it, and is
/// commanded to a share that goes with a temperature.
#[derive(Clone, Debug)]
pub struct Governor {
    /// The machine, by its place among the model's machines.
    pub machine: usize,
    /// The time from rest to the speed of its curve, s.
    pub ramp: Slot,
    /// What the share goes with; all of what is commanded at any temperature where `None`.
    pub follows: Option<Follows>,
}

/// A share that goes with a temperature.
#[derive(Clone, Debug)]
pub struct Follows {
    /// The temperature that it feels.
    pub feels: Felt,
    /// Temperature, K, and share of the speed commanded: straight lines between, the ends' beyond.
    pub points: Vec<[Slot; 2]>,
}

/// Within this much of the speed that it is to have a machine gets slower in its approach, over that of its curve.
pub(crate) const NEAR: f64 = 0.02;

impl Follows {
    /// The share of the speed commanded at a temperature, K, and how that goes with the temperature, per K.
    pub fn share(&self, values: &Values, felt_k: f64) -> [f64; 2] {
        let at = |point: &[Slot; 2]| point.map(|slot| values.get(slot));
        let points = &self.points;
        let after = points.partition_point(|point| at(point)[0] < felt_k);
        if after == 0 || after == points.len() {
            return [at(&points[after.min(points.len() - 1)])[1], 0.0];
        }
        let [[from_k, low], [to_k, high]] = [at(&points[after - 1]), at(&points[after])];
        let slope = (high - low) / (to_k - from_k);
        [low + slope * (felt_k - from_k), slope]
    }
}

impl Governor {
    /// The most of it at any temperature.
    pub fn most(&self, values: &Values) -> f64 {
        let points = self.follows.iter().flat_map(|follows| &follows.points);
        points.map(|point| values.get(point[1])).reduce(f64::max).unwrap_or(1.0)
    }

    /// How fast its speed s goes to the one it is to have, over that of its curve per second, and how that goes with
    /// the difference d of the two: ds/dt = x/(`t_ramp` √(1 + x²)) with x = d/0.02: as its ramp lets it, and softly where
    /// it comes near.
    pub fn rate(&self, values: &Values, difference: f64) -> [f64; 2] {
        let x = difference / NEAR;
        let root = x.hypot(1.0);
        let ramp = values.get(self.ramp);
        [x / (ramp * root), 1.0 / (ramp * NEAR * root * root * root)]
    }

    /// The circuit whose temperature it feels, where it feels one.
    pub fn circuit(&self, model: &Model) -> Option<usize> {
        Some(self.follows.as_ref()?.feels.circuit(model))
    }
}
