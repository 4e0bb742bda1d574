//! Heat between the outside of hoses, tanks and blocks and the air of the bay.

use super::layout::Layout;
use super::rates::Rates;
use super::{Settled, Setup, Simulator};
use crate::laws::skin::Shape;
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
    /// How it stands.
    pub shape: Shape,
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

/// Coolant of a circuit that stands between its hoses: in junctions, pumps and fittings. Kilogram for kilogram it exchanges with
/// the air of the bay what the coolant in the hoses does, as their bores are alike; else what stands there would keep its heat
/// for ever once nothing flows.
#[derive(Clone, Copy, Debug)]
pub struct Between {
    /// Its state.
    pub state: usize,
    /// Its circuit.
    pub circuit: usize,
}

impl Layout {
    /// The coolant between the hoses of circuits whose hoses stand in the air of the bay.
    pub(super) fn between_of(&self, model: &Model) -> Vec<Between> {
        let with_hoses: Vec<usize> = self.exposed.iter().filter_map(|e| self.hose_of(e)).collect();
        let mut own = vec![false; self.states];
        for cells in &self.parts {
            let (c, r, p) = cells.at;
            let part = &model.circuits[c].runs[r].parts[p].part;
            let exchanges = part.skin().is_some() || part.partner().is_some();
            own[cells.first..cells.first + cells.count].fill(exchanges);
        }
        let coolant = self.coolant.iter().enumerate();
        coolant
            .filter_map(|(state, circuit)| Some(Between { state, circuit: (*circuit)? }))
            .filter(|between| !own[between.state] && with_hoses.contains(&between.circuit))
            .collect()
    }

    /// Whether hoses of a circuit stand in the air of the bay.
    pub(crate) fn has_aired_hoses(&self, circuit: usize) -> bool {
        self.exposed.iter().any(|exposed| self.hose_of(exposed) == Some(circuit))
    }

    /// The circuit of a hose that stands in the air of the bay; `None` of a tank or a body.
    fn hose_of(&self, exposed: &Exposed) -> Option<usize> {
        match exposed.of {
            ExposedOf::Part(index) if exposed.shape == Shape::Lying => Some(self.parts[index].at.0),
            _ => None,
        }
    }

    /// All that stands in the air of the bay.
    pub(super) fn exposed_of(&self, model: &Model) -> Vec<Exposed> {
        let parts = self.parts.iter().enumerate().filter_map(|(index, cells)| {
            let (c, r, p) = cells.at;
            let shape = model.circuits[c].runs[r].parts[p].part.skin()?.shape;
            let shares = vec![1.0 / cells.count as f64; cells.count];
            let of = ExposedOf::Part(index);
            (cells.count > 0).then_some(Exposed { of, first: cells.first, shares, shape })
        });
        let bodies = self.bodies.iter().enumerate().filter_map(|(body, nodes)| {
            let (of, shares) = (ExposedOf::Body(body), nodes.shares.clone());
            let skin = model.bodies[body].skin?;
            Some(Exposed { of, first: nodes.first, shares, shape: skin.shape })
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
        let law = skin.conductance_w_k(&self.values, &self.model.bay, &self.prepared.air, mean_k);
        law * self.offsets.bay
    }

    /// Coolant in a hose, kg.
    fn held_kg(&self, exposed: &Exposed) -> f64 {
        exposed.states().map(|(state, _)| self.prepared.masses[state]).sum()
    }

    /// Conductance between coolant between the hoses and the air of the bay, W/K.
    pub(super) fn between_conductance(&self, settled: &Settled, between: &Between) -> f64 {
        settled.bay_per_kg[between.circuit] * self.prepared.masses[between.state]
    }
}

impl Simulator<'_> {
    /// Heat from the air of the bay into each part that stands in it: circuit, run, part, W.
    pub(crate) fn bay_heats(&self) -> impl Iterator<Item = (usize, usize, usize, f64)> + '_ {
        let layout = &self.setup.layout;
        let settled = self.settled.exposed.iter().zip(&self.settled.exposed_k);
        layout.exposed.iter().zip(settled).filter_map(|(exposed, (conductance, mean_k))| {
            let ExposedOf::Part(index) = exposed.of else { return None };
            let (c, r, p) = layout.parts[index].at;
            Some((c, r, p, conductance * (self.setup.bay_k() - mean_k)))
        })
    }
}

impl Settled {
    /// Conductances between all that stands in the air of the bay and that.
    pub(super) fn bay(&mut self, setup: &Setup<'_>, y: &[f64]) {
        let Self { exposed: conductances, exposed_k, bay_per_kg, .. } = self;
        let all = conductances.iter_mut().zip(exposed_k).zip(&setup.layout.exposed);
        for ((conductance, mean_k), exposed) in all {
            *mean_k = exposed.mean_k(y);
            *conductance = setup.bay_conductance(exposed, *mean_k);
        }
        for (circuit, per_kg) in bay_per_kg.iter_mut().enumerate() {
            let all = setup.layout.exposed.iter().zip(&*conductances);
            let hoses = all.filter(|(exposed, _)| setup.layout.hose_of(exposed) == Some(circuit));
            let sums = hoses.fold([0.0; 2], |[sum, kg], (exposed, conductance)| {
                [sum + conductance, kg + setup.held_kg(exposed)]
            });
            *per_kg = if sums[1] > 0.0 { sums[0] / sums[1] } else { 0.0 };
        }
    }
}

impl Rates {
    /// Heat that the air of the bay brings, into every state: `q = U A (T_bay − T)`.
    pub(super) fn bay(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        let bay_k = setup.bay_k();
        for (exposed, conductance) in setup.layout.exposed.iter().zip(&settled.exposed) {
            for (state, share) in exposed.states() {
                self.heat[state] += conductance * share * (bay_k - y[state]);
            }
        }
        for between in &setup.layout.between {
            let conductance = setup.between_conductance(settled, between);
            self.heat[between.state] += conductance * (bay_k - y[between.state]);
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
        for between in &setup.layout.between {
            let conductance = setup.between_conductance(settled, between);
            self.border.bay[between.circuit] += conductance * (bay_k - y[between.state]);
        }
    }

    /// How it goes with each state, conductances held.
    pub(super) fn bay_jacobian(setup: &Setup<'_>, settled: &Settled, out: &mut [f64]) {
        for (exposed, conductance) in setup.layout.exposed.iter().zip(&settled.exposed) {
            for (state, share) in exposed.states() {
                out[setup.layout.diagonal[state]] -= conductance * share;
            }
        }
        for between in &setup.layout.between {
            let conductance = setup.between_conductance(settled, between);
            out[setup.layout.diagonal[between.state]] -= conductance;
        }
    }

    /// How the heat of coolant between the hoses of a circuit goes with the conductance of one of them, per W/K: the state, and
    /// W.
    pub(super) fn between_by_hose<'s>(
        setup: &'s Setup<'_>,
        exposed: &Exposed,
        y: &'s [f64],
    ) -> impl Iterator<Item = (usize, f64)> + 's {
        let layout = &setup.layout;
        let circuit = layout.hose_of(exposed);
        let hoses = layout
            .exposed
            .iter()
            .filter(move |of| circuit.is_some() && layout.hose_of(of) == circuit);
        let kg: f64 = hoses.map(|of| setup.held_kg(of)).sum();
        let bay_k = setup.bay_k();
        let between = layout.between.iter().filter(move |of| Some(of.circuit) == circuit);
        between
            .map(move |of| (of.state, setup.prepared.masses[of.state] / kg * (bay_k - y[of.state])))
    }
}
