//! Names of states and flows, for messages.

use super::Setup;
use crate::parts::CORE_CELLS;

impl Setup<'_> {
    /// What a state is, in words a builder knows.
    pub fn state_name(&self, state: usize) -> String {
        let Setup { model, layout, .. } = self;
        for cells in &layout.parts {
            if (cells.first..cells.first + cells.count).contains(&state) {
                let (c, r, p) = cells.at;
                let circuit = &model.circuits[c];
                let run = &circuit.runs[r];
                let part = &run.parts[p].name;
                return format!("the coolant in `{}/{}/{part}`", circuit.name, run.path);
            }
        }
        for (circuit, &first) in model.circuits.iter().zip(&layout.junctions) {
            if (first..first + circuit.junctions.len()).contains(&state) {
                let junction = &circuit.junctions[state - first].name;
                return format!("the coolant at `{}/{junction}`", circuit.name);
            }
        }
        for (core, &first) in model.cores.iter().zip(&layout.walls) {
            if (first..first + CORE_CELLS).contains(&state) {
                return format!("the wall of `cores/{}`", core.name);
            }
        }
        for (body, nodes) in model.bodies.iter().zip(&layout.bodies) {
            if nodes.states().contains(&state) {
                return format!("the metal of `{}s/{}`", body.word, body.name);
            }
        }
        let owner = layout.owners.iter().find(|owner| owner.states().contains(&state));
        owner.map_or_else(String::new, |owner| {
            self.own(owner).states()[state - owner.first].words.to_owned()
        })
    }

    /// The address of a run.
    pub fn run_name(&self, circuit: usize, run: usize) -> String {
        let circuit = &self.model.circuits[circuit];
        format!("{}/{}", circuit.name, circuit.runs[run].name)
    }
}
