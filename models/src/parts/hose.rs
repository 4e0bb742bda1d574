//! A hose or tube: friction, bends, height.

use coolwright_solver::scalar::Scalar;

use super::{Fall, Part, Place, Shape, bore_area};
use crate::laws::doubt::{Doubt, Law, bend_uncertainty, pipe_uncertainty};
use crate::laws::fittings::{Bend as BendLaw, bend_fall};
use crate::laws::friction::{Pipe, pipe_fall};
use crate::slots::{Slot, Values};

/// A number of equal bends in a hose.
#[derive(Clone, Copy, Debug)]
pub struct Bend {
    /// Angle of one bend, rad.
    pub angle: Slot,
    /// Radius of the centre line, m.
    pub radius: Slot,
    /// How many.
    pub count: Slot,
}

/// A hose of one bore.
#[derive(Debug)]
pub struct Hose {
    /// Inner diameter, m.
    pub bore: Slot,
    /// Length of the centre line, m.
    pub length: Slot,
    /// Roughness, m.
    pub roughness: Slot,
    /// Loss coefficient of whatever else sits in it, velocity heads.
    pub loss: Slot,
    /// Height gained from inlet to outlet, m.
    pub rise: Slot,
    /// Share of its volume that it swells by for every [`Hose::SWELLING_PA`] of pressure.
    pub swelling: Slot,
    /// Bends.
    pub bends: Vec<Bend>,
    /// Cells its coolant is cut into: see [`Hose::cells_for`].
    pub cells: usize,
}

impl Hose {
    /// The pressure for which the swelling of a hose is told, Pa.
    pub const SWELLING_PA: f64 = 100e3;

    /// Most cells of one hose. More would cost time without a difference that a gauge shows.
    pub const MOST_CELLS: usize = 40;

    /// As many stirred cells in a row as spread a front the way turbulent pipe flow does.
    ///
    /// `N = u L/(2 D_x)` with `D_x = 10.1 r u*` (Taylor 1954, Proc. R. Soc. A 223, 446; as quoted, from
    /// memory) and u\*/u = √(f/8) ≈ 0.05: N ≈ L/(1.01 r); at least 3, at most
    /// [`Hose::MOST_CELLS`]. In laminar flow the front is less sharp than this.
    pub fn cells_for(length_m: f64, bore_m: f64) -> usize {
        let cells = (length_m / (1.01 * bore_m / 2.0)).ceil();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // held to 3..=40 before
        let cells = cells.clamp(3.0, Self::MOST_CELLS as f64) as usize;
        cells
    }
}

impl Fall for Hose {
    fn fall<S: Scalar>(&self, place: &Place<'_, S>, flow: S) -> S {
        let [bore, length, roughness, loss] =
            [self.bore, self.length, self.roughness, self.loss].map(|s| place.get(s));
        let (density, viscosity) = (place.density, place.viscosity);
        let mut fall = pipe_fall(flow, density, viscosity, bore, length, roughness, loss);
        for bend in &self.bends {
            let [angle, radius, count] =
                [bend.angle, bend.radius, bend.count].map(|s| place.get(s));
            let law = BendLaw {
                bore_m: bore,
                radius_over_bore: radius / bore,
                angle_rad: angle,
                roughness_m: roughness,
            };
            fall += bend_fall(flow, density, viscosity, &law) * count;
        }
        fall
    }
}

impl Part for Hose {
    fn word(&self) -> &'static str {
        "hose"
    }

    fn shape(&self, place: &Place<'_, f64>) -> Shape {
        if !self.bends.is_empty() {
            return Shape::Law;
        }
        let numbers = [self.bore, self.length, self.roughness, self.loss].map(|s| place.get(s));
        Shape::Pipe(Pipe::new(place.density, place.viscosity, numbers))
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [Some(self.bore), Some(self.bore)]
    }

    fn rise(&self) -> Option<Slot> {
        Some(self.rise)
    }

    fn cells(&self) -> usize {
        self.cells
    }

    fn volume_m3(&self, values: &Values) -> f64 {
        bore_area(values.get(self.bore)) * values.get(self.length)
    }

    fn swelling_m3_pa(&self, values: &Values) -> f64 {
        self.volume_m3(values) * values.get(self.swelling) / Self::SWELLING_PA
    }

    fn doubts(&self, place: &Place<'_, f64>, flow_kg_s: f64) -> Vec<Doubt> {
        let [bore, length, roughness] =
            [self.bore, self.length, self.roughness].map(|s| place.get(s));
        let (density, viscosity) = (place.density, place.viscosity);
        let pipe = pipe_uncertainty(flow_kg_s, density, viscosity, (bore, length, roughness));
        let bend = |bend: &Bend| {
            let law = BendLaw {
                bore_m: bore,
                radius_over_bore: place.get(bend.radius) / bore,
                angle_rad: place.get(bend.angle),
                roughness_m: roughness,
            };
            bend_uncertainty(flow_kg_s, density, viscosity, &law) * place.get(bend.count)
        };
        vec![
            Doubt { law: Law::Friction, pa: pipe },
            Doubt { law: Law::Bend, pa: self.bends.iter().map(bend).sum() },
        ]
    }
}
