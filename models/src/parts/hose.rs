//! A hose or tube: friction, bends, height.

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part, bore_area};
use crate::laws::card::Applied;
use crate::laws::cards::fittings::BEND;
use crate::laws::cards::friction::ROUND;
use crate::laws::fittings::{Bend as BendLaw, Bends, bend_fall};
use crate::laws::friction::{Pipe, pipe_fall};
use crate::laws::uncertainty::{Law, UncertaintyTerm, bend_uncertainty, pipe_uncertainty};
use crate::skin::Skin;
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

impl Bend {
    /// One of them as its law sees it, in a hose of the given bore and roughness, m.
    fn law<S: Scalar>(&self, place: &LawInputs<'_, S>, bore_m: S, roughness_m: S) -> BendLaw<S> {
        BendLaw {
            bore_m,
            radius_over_bore: place.get(self.radius) / bore_m,
            angle_rad: place.get(self.angle),
            roughness_m,
        }
    }
}

/// A place between the ends of a hose where it changes its direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Share of the length up to there, 0 to 1.
    pub share: f64,
    /// Height above the inlet, m.
    pub height_m: f64,
}

impl Corner {
    /// In which of so many cells it lies.
    pub fn cell(&self, cells: usize) -> usize {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a share of few cells
        let cell = (self.share * cells as f64) as usize;
        cell.min(cells.saturating_sub(1))
    }
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
    /// Corners of its route, as far as that is known.
    pub corners: Vec<Corner>,
    /// Cells its coolant is cut into: see [`Hose::cells_for`].
    pub cells: usize,
    /// Its outside, where heat is counted to go to the air of the bay.
    pub skin: Option<Skin>,
}

impl Hose {
    /// The pressure for which the swelling of a hose is told, Pa.
    pub const SWELLING_PA: f64 = 100e3;

    /// Most cells of one hose: those of some 13 m at a bore of 25 mm. A longer one spreads a front more than it should,
    /// of 50 m twice as wide.
    pub const MOST_CELLS: usize = 1000;

    /// As many stirred cells in a row as spread a front the way turbulent pipe flow does.
    ///
    /// `N = u L/(2 D_x)` with `D_x = 10.1 r u*` (Taylor 1954, Proc. R. Soc. A 223, 446; as quoted, from
    /// memory) and u\*/u = √(f/8) = 0.05, as at Re 60 000 in a smooth bore: N ≈ L/(1.01 r); at least 3, at most
    /// [`Hose::MOST_CELLS`]. At Re 10 000 that is a fifth too many; in laminar flow the front is less sharp than this.
    pub fn cells_for(length_m: f64, bore_m: f64) -> usize {
        let cells = (length_m / (1.01 * bore_m / 2.0)).ceil();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // held to 3..=1000 before
        let cells = cells.clamp(3.0, Self::MOST_CELLS as f64) as usize;
        cells
    }
}

impl Fall for Hose {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [bore, length, roughness, loss] =
            [self.bore, self.length, self.roughness, self.loss].map(|s| place.get(s));
        let (density, viscosity) = (place.density, place.viscosity);
        let mut fall = pipe_fall(flow, density, viscosity, bore, length, roughness, loss);
        for bend in &self.bends {
            let law = bend.law(place, bore, roughness);
            fall += bend_fall(flow, density, viscosity, &law) * place.get(bend.count);
        }
        fall
    }
}

impl Part for Hose {
    fn skin(&self) -> Option<&Skin> {
        self.skin.as_ref()
    }

    fn word(&self) -> &'static str {
        "hose"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        let numbers = [self.bore, self.length, self.roughness, self.loss].map(|s| place.get(s));
        let pipe = Pipe::new(place.density, place.viscosity, numbers);
        if self.bends.is_empty() {
            return FlowLaw::Pipe(pipe);
        }
        let [bore, _, roughness, _] = numbers;
        let mut bends = Bends::none(place.viscosity, bore, roughness);
        for bend in &self.bends {
            let law = bend.law(place, bore, roughness);
            bends.add(place.density, place.viscosity, &law, place.get(bend.count));
        }
        FlowLaw::Bent(pipe, bends)
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [Some(self.bore), Some(self.bore)]
    }

    fn rise(&self) -> Option<Slot> {
        Some(self.rise)
    }

    fn corners(&self) -> &[Corner] {
        &self.corners
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

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        let [bore, length, roughness, loss] =
            [self.bore, self.length, self.roughness, self.loss].map(|s| place.get(s));
        let mut laws = vec![pipe_law(place, flow_kg_s, [bore, length, roughness, loss])];
        for bend in &self.bends {
            let given = [
                ("m", flow_kg_s),
                ("ρ", place.density),
                ("μ", place.viscosity),
                ("D", bore),
                ("k", roughness),
                ("r", place.get(bend.radius)),
                ("α", place.get(bend.angle)),
            ];
            laws.push(Applied::fall(&BEND, &given).times(place.get(bend.count)));
        }
        laws
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let [bore, length, roughness] =
            [self.bore, self.length, self.roughness].map(|s| place.get(s));
        let (density, viscosity) = (place.density, place.viscosity);
        let pipe = pipe_uncertainty(flow_kg_s, density, viscosity, (bore, length, roughness));
        let bend = |bend: &Bend| {
            let law = bend.law(place, bore, roughness);
            bend_uncertainty(flow_kg_s, density, viscosity, &law) * place.get(bend.count)
        };
        vec![
            UncertaintyTerm { law: Law::Friction, pa: pipe },
            UncertaintyTerm { law: Law::Bend, pa: self.bends.iter().map(bend).sum() },
        ]
    }
}

/// The law of friction in a round bore: bore, length and roughness in m, and a loss coefficient.
pub(super) fn pipe_law(
    place: &LawInputs<'_, f64>,
    flow_kg_s: f64,
    [bore, length, roughness, loss]: [f64; 4],
) -> Applied {
    let given = [
        ("m", flow_kg_s),
        ("ρ", place.density),
        ("μ", place.viscosity),
        ("D", bore),
        ("L", length),
        ("k", roughness),
        ("K", loss),
    ];
    Applied::fall(&ROUND, &given)
}
