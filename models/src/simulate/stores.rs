//! Where a model holds heat.

use super::Setup;
use crate::circuit::Joint;
use crate::parts::CORE_CELLS;
use crate::wall::LAYER_SHARES;

/// What stored heat is counted from, K: 0 °C.
const ZERO_C: f64 = 273.15;

/// Heat by what holds it, J, against coolant, metal and ice at 0 °C.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stores {
    /// In hot walls.
    pub walls: f64,
    /// In the other metal of engines, coolers and exchangers.
    pub metal: f64,
    /// In the metal of cores.
    pub cores: f64,
    /// In the coolant outside of tanks.
    pub coolant: f64,
    /// In the coolant of tanks.
    pub tanks: f64,
    /// In ice: below zero, as it has to melt first.
    pub ice: f64,
}

impl Stores {
    /// All of it, J.
    pub fn sum(&self) -> f64 {
        let Self { walls, metal, cores, coolant, tanks, ice } = self;
        walls + metal + cores + coolant + tanks + ice
    }

    /// What is held more than at another time, J.
    #[must_use]
    pub fn since(&self, before: &Self) -> Self {
        Self {
            walls: self.walls - before.walls,
            metal: self.metal - before.metal,
            cores: self.cores - before.cores,
            coolant: self.coolant - before.coolant,
            tanks: self.tanks - before.tanks,
            ice: self.ice - before.ice,
        }
    }

    /// What a model holds at the states `y`; `enthalpy` is that of every coolant state, J/kg.
    pub(super) fn at(setup: &Setup<'_>, enthalpy: &[f64], y: &[f64]) -> Self {
        let Setup { model, values, prepared, layout, .. } = setup;
        let mut held = Self::default();
        let coolant = |state: usize| prepared.masses[state] * enthalpy[state];
        held.coolant =
            (0..layout.states).filter(|&state| layout.coolant[state].is_some()).map(coolant).sum();
        held.tanks = tanks(setup).map(coolant).sum();
        for (core, &first) in layout.walls.iter().enumerate() {
            let metal = values.get(model.cores[core].metal) / CORE_CELLS as f64;
            held.cores +=
                y[first..first + CORE_CELLS].iter().map(|t| metal * (t - ZERO_C)).sum::<f64>();
        }
        for (body, nodes) in layout.bodies.iter().enumerate() {
            let metal = values.get(model.bodies[body].metal);
            for (t, share) in y[nodes.states()].iter().zip(&nodes.shares) {
                held.metal += metal * share * (t - ZERO_C);
            }
            if let Some((wall, spec)) = nodes.wall.as_ref().zip(model.bodies[body].wall) {
                let of_cell = spec.capacity_j_k(values) / wall.cells as f64;
                for (layer, share) in y[wall.states()].chunks(wall.cells).zip(LAYER_SHARES) {
                    held.walls += layer.iter().map(|t| of_cell * share * (t - ZERO_C)).sum::<f64>();
                }
            }
        }
        for owner in &layout.owners {
            let (own, states) = (setup.own(owner), &y[owner.states()]);
            let added = setup.added_kg(owner, states) * enthalpy[owner.coolant];
            held.coolant += added;
            // Ice displaces coolant of its own tank.
            if setup.part(owner.part).as_tank().is_some() {
                held.tanks += added;
            }
            held.ice += own.stored_j(values, states);
        }
        held.coolant -= held.tanks;
        held
    }
}

/// The coolant states of tanks: in runs, and where runs end in one.
fn tanks<'s>(setup: &'s Setup<'_>) -> impl Iterator<Item = usize> + 's {
    let parts = setup.layout.parts.iter().enumerate();
    let in_runs = parts
        .filter(|(index, _)| setup.part(*index).as_tank().is_some())
        .flat_map(|(_, cells)| cells.first..cells.first + cells.count);
    let circuits = setup.model.circuits.iter().zip(&setup.layout.junctions);
    let at_junctions = circuits.flat_map(|(circuit, &first)| {
        let junctions = circuit.junctions.iter().enumerate();
        junctions
            .filter(|(_, junction)| matches!(junction.joint, Joint::Tank(_)))
            .map(move |(j, _)| first + j)
    });
    in_runs.chain(at_junctions)
}
