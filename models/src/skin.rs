//! The outside of hoses, tanks and blocks, and the air of the bay that it stands in.

use crate::fluids::Air;
use crate::laws::skin::{Outside, Shape};
use crate::slots::{Slot, Values};

/// The air around hoses, tanks and blocks.
#[derive(Clone, Copy, Debug)]
pub struct Bay {
    /// Its temperature, K.
    pub air: Slot,
    /// How fast it blows along them, m/s.
    pub speed: Slot,
}

/// The outside of something that stands in that air.
#[derive(Clone, Copy, Debug)]
pub struct Skin {
    /// How it stands.
    pub shape: Shape,
    /// Its diameter, or its height, m.
    pub size: Slot,
    /// Its area, m².
    pub area: Slot,
    /// Resistance of what lies between it and what it holds, of its area, m²·K/W.
    pub wall: Slot,
}

impl Skin {
    /// How it stands in the air of the bay; `air` is that of the site.
    pub fn outside<'a>(&self, values: &Values, bay: &Bay, air: &'a Air) -> Outside<'a> {
        Outside {
            shape: self.shape,
            size_m: values.get(self.size),
            air,
            air_k: values.get(bay.air),
            speed_m_s: values.get(bay.speed),
        }
    }

    /// Conductance between what it holds, at a temperature in K, and the air of the bay, W/K.
    pub fn conductance_w_k(&self, values: &Values, bay: &Bay, air: &Air, inside_k: f64) -> f64 {
        let (through, _) = self.outside(values, bay, air).through(inside_k, values.get(self.wall));
        through * values.get(self.area)
    }
}
