//! A tank in the way of the flow: stirred, and cold as long as there is ice in it.

use coolwright_solver::scalar::Scalar;

use super::{Fall, Part, Place};
use crate::laws::fittings::loss_fall;
use crate::slots::{Slot, Values};

/// Velocity heads lost where a pipe ends in a tank (Borda–Carnot into a large space: 1).
const INTO_TANK: f64 = 1.0;
/// Velocity heads lost where a pipe leaves a tank through a square edge (0.5 in most handbooks).
const OUT_OF_TANK: f64 = 0.5;

/// Ice in a tank.
#[derive(Clone, Copy, Debug)]
pub struct Ice {
    /// Mass at the start, kg.
    pub mass: Slot,
    /// Film coefficient between the stirred coolant and the ice, W/(m²·K).
    pub film: Slot,
    /// Size of a piece, m: the edge of a cube of the same volume.
    pub piece: Slot,
}

/// A stirred tank that the run passes through.
#[derive(Debug)]
pub struct Tank {
    /// Bore of the pipe at inlet and outlet, m.
    pub bore: Slot,
    /// Coolant in it, m³.
    pub volume: Slot,
    /// Ice in it at the start.
    pub ice: Option<Ice>,
}

impl Fall for Tank {
    fn fall<S: Scalar>(&self, place: &Place<'_, S>, flow: S) -> S {
        let loss = S::from(INTO_TANK + OUT_OF_TANK);
        loss_fall(flow, place.density, place.get(self.bore), loss)
    }
}

impl Part for Tank {
    fn word(&self) -> &'static str {
        "tank"
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [Some(self.bore), Some(self.bore)]
    }

    fn cells(&self) -> usize {
        1
    }

    fn volume_m3(&self, values: &Values) -> f64 {
        values.get(self.volume)
    }

    fn as_tank(&self) -> Option<&Tank> {
        Some(self)
    }
}
