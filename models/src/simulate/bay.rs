//! Heat between the outside of hoses, tanks and blocks and the air of the bay.

use super::layout::Layout;
use super::rates::Rates;
use super::{Settled, Setup};
use crate::model::Model;
use crate::skin::Skin;

/// Something that stands in the air of the bay.
#[derive(Clone, Debug)]
pub struct Exposed {
    /// What it is.
    pub of: ExposedOf,
    /// First of its states.
    pub first: usize,
    /// Share of its outside that each of its states has.
    pub shares: Vec<f64>,
}

/// What stands in the air of the bay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExposedOf {
    /// A part, among all parts.
    Part(usize),
    /// The metal of a body.
    Body(usize),
}

impl Exposed {
    /// Its states with the share of each.
    pub(crate) fn states(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.shares.iter().enumerate().map(|(k, share)| (self.first + k, *share))
    }

    /// Its mean temperature, K.
    pub(crate) fn mean_k(&self, y: &[f64]) -> f64 {
        self.states().map(|(state, share)| share * y[state]).sum()
    }

    /// Its outside.
    pub(crate) fn skin<'m>(&self, setup: &Setup<'m>) -> Option<&'m Skin> {
        match self.of {
            ExposedOf::Part(index) => {
                let (c, r, p) = setup.layout.parts[index].at;
                setup.model.circuits[c].runs[r].parts[p].part.skin()
            }
            ExposedOf::Body(body) => setup.model.bodies[body].skin.as_ref(),
        }
    }
}

impl Layout {
    /// All that stands in the air of the bay.
    pub(super) fn exposed_of(&self, model: &Model) -> Vec<Exposed> {
        let parts = self.parts.iter().enumerate().filter_map(|(index, cells)| {
            let (c, r, p) = cells.at;
            let has_skin = model.circuits[c].runs[r].parts[p].part.skin().is_some();
            let shares = vec![1.0 / cells.count as f64; cells.count];
            let of = ExposedOf::Part(index);
            (has_skin && cells.count > 0).then_some(Exposed { of, first: cells.first, shares })
        });
        let bodies = self.bodies.iter().enumerate().filter_map(|(body, nodes)| {
            let (of, shares) = (ExposedOf::Body(body), nodes.shares.clone());
            model.bodies[body].skin.map(|_| Exposed { of, first: nodes.first, shares })
        });
        parts.chain(bodies).collect()
    }
}

impl Layout {
    /// Whether something of a circuit stands in the air of the bay.
    pub(crate) fn airs(&self, circuit: usize) -> bool {
        self.exposed.iter().any(|exposed| match exposed.of {
            ExposedOf::Part(index) => self.parts[index].at.0 == circuit,
            ExposedOf::Body(_) => false,
        })
    }
}

impl Setup<'_> {
    /// Temperature of the air of the bay, K.
    pub(super) fn bay_k(&self) -> f64 {
        self.values.get(self.model.bay.air)
    }

    /// Conductance between something and the air of the bay with its mean temperature at `mean_k`, K; W/K.
    pub(super) fn bay_conductance(&self, exposed: &Exposed, mean_k: f64) -> f64 {
        let Some(skin) = exposed.skin(self) else { return 0.0 };
        skin.conductance_w_k(&self.values, &self.model.bay, &self.prepared.air, mean_k)
    }
}

impl Settled {
    /// Conductances between all that stands in the air of the bay and that.
    pub(super) fn bay(&mut self, setup: &Setup<'_>, y: &[f64]) {
        let Self { exposed: conductances, exposed_k, .. } = self;
        let all = conductances.iter_mut().zip(exposed_k).zip(&setup.layout.exposed);
        for ((conductance, mean_k), exposed) in all {
            *mean_k = exposed.mean_k(y);
            *conductance = setup.bay_conductance(exposed, *mean_k);
        }
    }
}

impl Rates {
    /// Heat that the air of the bay brings, into every state: q = U A (T_bay − T).
    pub(super) fn bay(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        let bay_k = setup.bay_k();
        for (exposed, conductance) in setup.layout.exposed.iter().zip(&settled.exposed) {
            for (state, share) in exposed.states() {
                self.heat[state] += conductance * share * (bay_k - y[state]);
            }
        }
        self.bay_border(setup, settled, y);
    }

    /// The same over the border of the model.
    pub(super) fn bay_border(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        if setup.layout.exposed.is_empty() {
            return;
        }
        self.border.bay.fill(0.0);
        self.border.bay_bodies.fill(0.0);
        let bay_k = setup.bay_k();
        for (exposed, conductance) in setup.layout.exposed.iter().zip(&settled.exposed) {
            let heat =
                exposed.states().map(|(state, share)| share * (bay_k - y[state])).sum::<f64>();
            match exposed.of {
                ExposedOf::Part(index) => {
                    self.border.bay[setup.layout.parts[index].at.0] += conductance * heat;
                }
                ExposedOf::Body(body) => self.border.bay_bodies[body] += conductance * heat,
            }
        }
    }

    /// How it goes with each state, conductances held.
    pub(super) fn bay_jacobian(setup: &Setup<'_>, settled: &Settled, out: &mut [f64]) {
        for (exposed, conductance) in setup.layout.exposed.iter().zip(&settled.exposed) {
            for (state, share) in exposed.states() {
                out[setup.layout.diagonal[state]] -= conductance * share;
            }
        }
    }
}
