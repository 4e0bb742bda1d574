//! Which thing a state belongs to, for messages.

use super::Setup;
use crate::ids::Id;
use crate::parts::{CORE_CELLS, HeatPartner};

/// What a state describes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StateOf {
    /// The coolant in a part or at a junction.
    Coolant(Id),
    /// The wall of a core.
    Wall(Id),
    /// The metal of a body.
    Metal(Id),
    /// What a thermometer shows.
    Gauge(Id),
    /// A state that a component has of its own, and what it is in words.
    Own(Id, &'static str),
}

impl StateOf {
    /// The thing that the state belongs to.
    pub fn id(self) -> Id {
        let (Self::Coolant(id)
        | Self::Wall(id)
        | Self::Metal(id)
        | Self::Gauge(id)
        | Self::Own(id, _)) = self;
        id
    }
}

impl Setup<'_> {
    /// The circuit that a state belongs to: that of its coolant, of the core whose wall it is, of the
    /// first pass through the body whose metal it is. `None` of a body without a pass.
    pub fn circuit_of(&self, state: usize) -> Option<usize> {
        let layout = &self.layout;
        if let Some(circuit) = layout.coolant[state] {
            return Some(circuit);
        }
        let cells = |first: usize| (first..first + CORE_CELLS).contains(&state);
        if let Some(core) = layout.walls.iter().position(|&first| cells(first)) {
            return layout.parts.get(layout.core_parts[core]).map(|part| part.at.0);
        }
        if let Some(body) = layout.bodies.iter().position(|nodes| nodes.has(state)) {
            let cools =
                |index: &usize| self.part(*index).partner() == Some(HeatPartner::Body(body));
            return (0..layout.parts.len()).find(cools).map(|index| layout.parts[index].at.0);
        }
        if let Some(known) = layout.gauges.iter().find(|known| known.state == state) {
            return Some(self.model.gauges[known.gauge].circuit);
        }
        if let Some(governor) = layout.governed.iter().position(|known| known.state == state) {
            let governor = &self.model.governors[governor];
            let of_machine = || self.model.hangs_on(self.model.machines[governor.machine].id);
            return governor.circuit(self.model).or_else(|| of_machine().first().copied());
        }
        let owner = layout.owners.iter().find(|owner| owner.states().contains(&state))?;
        Some(layout.parts[owner.part].at.0)
    }

    /// What a state describes.
    ///
    /// # Panics
    /// When there is no such state.
    pub fn state_of(&self, state: usize) -> StateOf {
        let Setup { model, layout, .. } = self;
        // Parts stand in the order of their states, so a search among 100,000 runs is short.
        let part = layout.parts.partition_point(|cells| cells.first + cells.count <= state);
        if let Some(cells) = layout.parts.get(part).filter(|cells| cells.first <= state) {
            let (c, r, p) = cells.at;
            return StateOf::Coolant(Id::Part(c, r, p));
        }
        for (c, (circuit, &first)) in model.circuits.iter().zip(&layout.junctions).enumerate() {
            if (first..first + circuit.junctions.len()).contains(&state) {
                return StateOf::Coolant(Id::Junction(c, state - first));
            }
        }
        for (core, &first) in layout.walls.iter().enumerate() {
            if (first..first + CORE_CELLS).contains(&state) {
                return StateOf::Wall(Id::Core(core));
            }
        }
        if let Some(body) = layout.bodies.iter().position(|nodes| nodes.has(state)) {
            return StateOf::Metal(Id::Body(body));
        }
        if let Some(known) = layout.gauges.iter().find(|known| known.state == state) {
            return StateOf::Gauge(Id::Gauge(known.gauge));
        }
        if let Some(governor) = layout.governed.iter().position(|known| known.state == state) {
            let machine = model.governors[governor].machine;
            return StateOf::Own(model.machines[machine].id, "speed");
        }
        if let Some(sagging) = layout.sagging.iter().find(|known| known.state == state) {
            return StateOf::Own(Id::Supply(sagging.supply), "voltage");
        }
        let owner = layout.owners.iter().find(|owner| owner.states().contains(&state));
        let owner = owner.expect("a state of the model");
        let (c, r, p) = layout.parts[owner.part].at;
        StateOf::Own(Id::Part(c, r, p), self.own(owner).states()[state - owner.first].words)
    }
}
