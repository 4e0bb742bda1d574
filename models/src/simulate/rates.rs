//! How fast every temperature changes, once the flows are settled, and how that depends on the
//! temperatures.
//!
//! Every exchange of heat is written once: its watts are taken from one state and given to the
//! other, so energy is conserved by construction within the model; the audit compares what crossed
//! the model's border with what the end states hold.

use coolwright_solver::scalar::Dual;

use super::Setup;
use super::border::{Border, crossing};
use super::layout::{Contact, NodeLink, Owner, WallNodes};
use super::settle::{Settled, along, rated_charges};
use super::still::carrying;
use super::stores::Stores;
use crate::air::GasNetwork;
use crate::charge::{AtStage, StageKind, follow};
use crate::parts::{CORE_CELLS, LawInputs, MOST_OWN, Motion, Seen};
use crate::wall::{AtSurface, LAYER_SHARES};

/// The links between the nodes of bodies and of their walls, with their conductances, W/K.
fn body_links<'s>(setup: &'s Setup<'_>) -> impl Iterator<Item = (NodeLink, f64)> + 's {
    let bodies = setup.model.bodies.iter().zip(&setup.layout.bodies);
    bodies.flat_map(|(body, nodes)| {
        let between = body.exchange.map_or(0.0, |exchange| setup.values.get(exchange.plate));
        let links = nodes.links.as_slice();
        let wall = body.wall.map_or(0.0, |wall| wall.across(&setup.values));
        let of_wall = nodes.wall.as_ref().map_or(&[][..], |wall| wall.links.as_slice());
        let passes = links.iter().map(move |link| (*link, between * link.share));
        passes.chain(of_wall.iter().map(move |link| (*link, wall * link.share)))
    })
}

/// Where hot walls touch coolant, and what goes through there.
fn wall_contacts<'s>(
    setup: &'s Setup<'_>,
    settled: &'s Settled,
    y: &'s [f64],
) -> impl Iterator<Item = (Contact, AtSurface)> + 's {
    let walls = setup.layout.bodies.iter().filter_map(|nodes| nodes.wall.as_ref());
    let contacts = walls.flat_map(|wall| &wall.contacts);
    contacts.zip(&settled.walls).map(|(contact, cell)| {
        let [coolant, metal] = contact.states;
        (*contact, cell.heat(y[metal], y[coolant]))
    })
}

/// Room for what one component with states of its own does.
#[derive(Debug)]
struct OwnRoom<S> {
    own: [S; MOST_OWN],
    rates: [S; MOST_OWN],
}

/// The mass flow that a component sees, kg/s: along its run, or through the junction.
fn flow_at(setup: &Setup<'_>, settled: &Settled, owner: &Owner) -> f64 {
    let flows = &settled.flows[setup.layout.parts[owner.part].at.0];
    match &owner.washed_by {
        (runs, share) if *share < 1.0 => share * runs.iter().map(|&r| flows[r].abs()).sum::<f64>(),
        (runs, _) => flows[runs[0]],
    }
}

/// Motion of a component in plain numbers: rates of its states, heat into its coolant, W.
pub(super) fn own_motion(
    setup: &Setup<'_>,
    settled: &Settled,
    owner: &Owner,
    y: &[f64],
    enthalpy: f64,
) -> ([f64; MOST_OWN], f64) {
    let seen = Seen {
        values: &setup.values,
        own: &y[owner.states()],
        temperature_k: y[owner.coolant],
        enthalpy,
        flow_kg_s: flow_at(setup, settled, owner),
        at_rest: setup.at_rest,
    };
    let mut rates = [0.0; MOST_OWN];
    let mut motion = Motion { rates: &mut rates[..owner.count], heat_w: 0.0 };
    setup.own(owner).motion_at(&seen, &mut motion);
    let heat = motion.heat_w;
    (rates, heat)
}

/// States of components in the Jacobian; their rows have capacity 1. `coolant` gives h and `c_p` of a
/// state.
fn own_jacobian(
    setup: &Setup<'_>,
    settled: &Settled,
    y: &[f64],
    coolant: impl Fn(usize) -> [f64; 2],
    out: &mut [f64],
) {
    for owner in &setup.layout.owners {
        let [enthalpy, specific] = coolant(owner.coolant);
        let width = owner.count + 1;
        for varied in 0..width {
            let dual = |value: f64, slope: f64| Dual { value, slopes: [slope] };
            let of = |column: usize| if varied == column { 1.0 } else { 0.0 };
            let mut room =
                OwnRoom { own: [Dual::from(0.0); MOST_OWN], rates: [Dual::from(0.0); MOST_OWN] };
            for (k, state) in owner.states().enumerate() {
                room.own[k] = dual(y[state], of(k + 1));
            }
            let seen = Seen {
                values: &setup.values,
                own: &room.own[..owner.count],
                temperature_k: dual(y[owner.coolant], of(0)),
                enthalpy: dual(enthalpy, of(0) * specific),
                flow_kg_s: flow_at(setup, settled, owner),
                at_rest: setup.at_rest,
            };
            let mut motion =
                Motion { rates: &mut room.rates[..owner.count], heat_w: Dual::from(0.0) };
            setup.own(owner).motion_and_slopes(&seen, &mut motion);
            out[owner.entries[varied]] += motion.heat_w.slope();
            for (k, rate) in room.rates[..owner.count].iter().enumerate() {
                out[owner.entries[(k + 1) * width + varied]] += rate.slope();
            }
        }
    }
}

/// The work of one evaluation: heat into every state and the capacity it meets.
#[derive(Debug)]
pub struct Rates {
    /// Enthalpy of every coolant state, J/kg.
    enthalpy: Vec<f64>,
    /// Heat capacity `c_p` of every coolant state, J/(kg·K).
    specific: Vec<f64>,
    /// Net heat into every state, W.
    pub(super) heat: Vec<f64>,
    /// Heat capacity of every state, J/K.
    pub(super) capacity: Vec<f64>,
    /// Heat across the border.
    pub border: Border,
    /// Heat from coolant into the metal of each body, negative, W: summed over its passes.
    pub taken: Vec<f64>,
    /// Sum of the temperatures of the wall of each core, K.
    pub(super) walls_k: Vec<f64>,
    charge_room: ChargeRoom<Dual<1>>,
    pub(super) charge_beside: ChargeRoom<f64>,
}

/// Room to follow charge air, with or without its derivatives.
#[derive(Debug)]
pub(super) struct ChargeRoom<S> {
    pub(super) rated: Vec<f64>,
    pub(super) metal_k: Vec<S>,
    pub(super) stages: Vec<AtStage<S>>,
    pub(super) heat_w: Vec<S>,
}

impl<S> Default for ChargeRoom<S> {
    fn default() -> Self {
        let (metal_k, stages, heat_w) = (Vec::new(), Vec::new(), Vec::new());
        Self { rated: Vec::new(), metal_k, stages, heat_w }
    }
}

/// Sum of the temperatures of the wall of a core, K.
pub(super) fn wall_sum(setup: &Setup<'_>, core: usize, y: &[f64]) -> f64 {
    y[setup.layout.walls[core]..][..CORE_CELLS].iter().sum()
}

impl Rates {
    /// Room for the work.
    pub fn of(setup: &Setup<'_>) -> Self {
        let states = setup.layout.states;
        Self {
            enthalpy: vec![0.0; states],
            specific: vec![0.0; states],
            heat: vec![0.0; states],
            capacity: vec![1.0; states],
            border: Border::of(setup),
            taken: vec![0.0; setup.layout.parts.len()],
            walls_k: vec![0.0; setup.model.cores.len()],
            charge_room: ChargeRoom::default(),
            charge_beside: ChargeRoom::default(),
        }
    }

    /// Rates of change of every state, in K/s (kg/s for ice).
    pub fn rates(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64], rate: &mut [f64]) {
        self.properties(setup, y);
        self.heat.fill(0.0);
        self.carry(setup, settled);
        self.contacts(setup, settled, y);
        self.sources(setup, settled);
        self.charge_air(setup, settled);
        self.open_ends(setup, settled);
        self.air(setup, settled, y);
        self.own(setup, settled, y);
        self.bay(setup, settled, y);
        self.gauges(setup, settled, y);
        setup.governed_rates(settled, y, &mut self.heat);
        setup.sagging_rates(settled, y, &mut self.heat);
        for (state, rate) in rate.iter_mut().enumerate() {
            *rate = self.heat[state] / self.capacity[state];
        }
        for &state in &setup.pinned {
            rate[state] = 0.0;
        }
    }

    /// Enthalpy and capacity of every state.
    fn properties(&mut self, setup: &Setup<'_>, y: &[f64]) {
        let Setup { model, values, prepared, layout, .. } = setup;
        for (state, circuit) in layout.coolant.iter().enumerate() {
            if let Some(circuit) = *circuit {
                let coolant = &prepared.coolants[circuit];
                let off = setup.offsets.heat_capacities[circuit];
                [self.enthalpy[state], self.specific[state]] =
                    coolant.heat(y[state]).map(|of_law| of_law * off);
                self.capacity[state] = prepared.masses[state] * self.specific[state];
            }
        }
        for (core, &first) in layout.walls.iter().enumerate() {
            let metal = values.get(model.cores[core].metal) / CORE_CELLS as f64;
            self.capacity[first..first + CORE_CELLS].fill(metal);
        }
        for (body, nodes) in layout.bodies.iter().enumerate() {
            let metal = values.get(model.bodies[body].metal);
            for (capacity, share) in self.capacity[nodes.states()].iter_mut().zip(&nodes.shares) {
                *capacity = metal * share;
            }
            if let Some((wall, spec)) = nodes.wall.as_ref().zip(model.bodies[body].wall) {
                let of_cell = spec.capacity_j_k(values) / wall.cells as f64;
                let layers = self.capacity[wall.states()].chunks_mut(wall.cells);
                for (layer, share) in layers.zip(LAYER_SHARES) {
                    layer.fill(of_cell * share);
                }
            }
        }
        for owner in &layout.owners {
            let added = setup.added_kg(owner, &y[owner.states()]);
            self.capacity[owner.coolant] += added * self.specific[owner.coolant];
        }
    }

    /// Enthalpy that the coolant carries from cell to cell, upwind.
    fn carry(&mut self, setup: &Setup<'_>, settled: &Settled) {
        for link in &setup.layout.neighbours {
            let flow = carrying(settled.flows[link.run.0][link.run.1]);
            let [before, after] = link.states;
            let from = if flow >= 0.0 { before } else { after };
            // The enthalpy that the receiving cell already has is taken off on both sides: what a
            // flow brings is measured against what it meets, and a uniform loop stays uniform to
            // the last bit.
            let carried = flow * self.enthalpy[from];
            self.heat[before] -= carried - flow * self.enthalpy[before];
            self.heat[after] += carried - flow * self.enthalpy[after];
        }
    }

    /// Heat between coolant and metal.
    fn contacts(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        self.taken.fill(0.0);
        for contact in &setup.layout.contacts {
            let [coolant, metal] = contact.states;
            let heat = setup.contact_conductance(settled, contact.part) * (y[metal] - y[coolant]);
            self.heat[coolant] += heat;
            self.heat[metal] -= heat;
            self.taken[contact.part] += heat;
        }
        for (contact, at) in wall_contacts(setup, settled, y) {
            let [coolant, metal] = contact.states;
            self.heat[coolant] += at.heat_w;
            self.heat[metal] -= at.heat_w;
            self.taken[contact.part] += at.heat_w;
        }
        for (link, conductance) in body_links(setup) {
            let [a, b] = link.states;
            let heat = conductance * (y[a] - y[b]);
            self.heat[a] -= heat;
            self.heat[b] += heat;
        }
    }

    /// Heat of bodies and pumps.
    fn sources(&mut self, setup: &Setup<'_>, settled: &Settled) {
        let Setup { model, values, layout, .. } = setup;
        for (body, nodes) in layout.bodies.iter().enumerate() {
            let heat = model.bodies[body].heat_w(values) * setup.offsets.heats[body];
            let enters = nodes.wall.as_ref().map_or(nodes.states(), WallNodes::hot);
            for (net, share) in self.heat[enters].iter_mut().zip(&nodes.shares) {
                *net += heat * share;
            }
            self.border.bodies[body] = heat;
        }
        self.border.pumps.fill(0.0);
        for (index, cells) in layout.parts.iter().enumerate() {
            if cells.count == 0 {
                continue;
            }
            let (c, r, p) = cells.at;
            let state = &settled.parts[index];
            let place = LawInputs {
                values: values.reader().owning(state.own),
                density: state.density,
                viscosity: state.viscosity,
            };
            let flow = settled.flows[c][r];
            let heat = model.circuits[c].runs[r].parts[p].part.own_heat_w(&place, flow);
            self.heat[cells.first] += heat;
            self.border.pumps[c] += heat;
        }
    }

    /// Heat that charge air brings to the metal that it meets.
    fn charge_air(&mut self, setup: &Setup<'_>, settled: &Settled) {
        for (a, charge) in settled.charges.iter().enumerate() {
            for (&state, heat) in setup.layout.charges[a].states.iter().zip(&charge.heat_w) {
                self.heat[state] += heat;
            }
            for (stage, at) in setup.model.charge_air[a].stages.iter().zip(&charge.stages) {
                if let StageKind::Cooler { body } = stage.kind {
                    self.border.bodies[body] += at.heat_w;
                }
            }
        }
    }

    /// Enthalpy through open ends: what enters has the temperature given, what leaves has its own.
    fn open_ends(&mut self, setup: &Setup<'_>, settled: &Settled) {
        let Setup { model, layout, .. } = setup;
        for (c, circuit) in model.circuits.iter().enumerate() {
            self.border.outside[c] = 0.0;
            for (j, junction) in circuit.junctions.iter().enumerate() {
                let state = layout.junctions[c] + j;
                let flow = settled.outside[c][j];
                let inside = self.enthalpy[state];
                let Some(entering) = crossing(setup, (c, junction), flow, || inside) else {
                    continue;
                };
                self.heat[state] += flow * (entering - inside);
                self.border.outside[c] += flow * entering;
            }
        }
    }

    /// Heat from the walls of cores into the air that crosses them.
    fn air(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        for met in settled.gases.iter().flat_map(GasNetwork::cores) {
            let first = setup.layout.walls[met.core];
            let mut sum = 0.0;
            let cells = first..first + CORE_CELLS;
            for (net, wall) in self.heat[cells.clone()].iter_mut().zip(&y[cells]) {
                let heat = met.exchange.wall_air * (wall - met.entering_k);
                *net -= heat;
                sum += heat;
            }
            self.border.cores[met.core] = sum;
            self.walls_k[met.core] = wall_sum(setup, met.core, y);
        }
    }

    /// What components with states of their own do to the coolant that they see.
    fn own(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        for owner in &setup.layout.owners {
            let enthalpy = self.enthalpy[owner.coolant];
            let (rates, heat) = own_motion(setup, settled, owner, y, enthalpy);
            self.heat[owner.coolant] += heat;
            self.heat[owner.states()].copy_from_slice(&rates[..owner.count]);
        }
    }

    /// Thermometers towards what they see; the capacity of their states is 1.
    fn gauges(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        for known in &setup.layout.gauges {
            let sees = y[setup.seen_by(settled, known.gauge)];
            self.heat[known.state] = setup.follows(settled, known.gauge) * (sees - y[known.state]);
        }
    }

    /// The Jacobian of the rates for settled flows, in the order of the layout's pattern. How flows
    /// and films change with temperature is left out: the integrator corrects for that.
    pub fn jacobian(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64], out: &mut [f64]) {
        self.jacobian_of(setup, settled, y, true, out);
    }

    /// The same with the air that enters each core held as well.
    pub(super) fn jacobian_without_air(
        &mut self,
        setup: &Setup<'_>,
        settled: &Settled,
        y: &[f64],
        out: &mut [f64],
    ) {
        self.jacobian_of(setup, settled, y, false, out);
    }

    fn jacobian_of(
        &mut self,
        setup: &Setup<'_>,
        settled: &Settled,
        y: &[f64],
        air_moves: bool,
        out: &mut [f64],
    ) {
        self.properties(setup, y);
        out.fill(0.0);
        let layout = &setup.layout;
        for link in &layout.neighbours {
            let flow = carrying(settled.flows[link.run.0][link.run.1]);
            let [before, after] = link.states;
            let [bb, ba, ab, aa] = link.entries;
            if flow >= 0.0 {
                out[ab] += flow * self.specific[before];
                out[aa] -= flow * self.specific[after];
            } else {
                out[ba] -= flow * self.specific[after];
                out[bb] += flow * self.specific[before];
            }
        }
        for contact in &layout.contacts {
            let g = setup.contact_conductance(settled, contact.part);
            for (entry, sign) in contact.entries.into_iter().zip([-1.0, 1.0, 1.0, -1.0]) {
                out[entry] += sign * g;
            }
        }
        for (contact, at) in wall_contacts(setup, settled, y) {
            let slopes = [at.by_coolant, at.by_metal, -at.by_coolant, -at.by_metal];
            for (entry, slope) in contact.entries.into_iter().zip(slopes) {
                out[entry] += slope;
            }
        }
        for (link, g) in body_links(setup) {
            for (entry, sign) in link.entries.into_iter().zip([-1.0, 1.0, 1.0, -1.0]) {
                out[entry] += sign * g;
            }
        }
        self.open_jacobian(setup, settled, out);
        Self::bay_jacobian(setup, settled, out);
        if air_moves {
            air_jacobian(setup, settled, out);
        } else {
            for (core, &first) in layout.walls.iter().enumerate() {
                for state in first..first + CORE_CELLS {
                    out[layout.diagonal[state]] -= settled.exchange[core].wall_air;
                }
            }
        }
        charge_jacobian(setup, y, &mut self.charge_room, out);
        let coolant = |state: usize| [self.enthalpy[state], self.specific[state]];
        own_jacobian(setup, settled, y, coolant, out);
        for known in &layout.gauges {
            let follows = setup.follows(settled, known.gauge);
            let seen = setup.seen_by(settled, known.gauge);
            out[known.own] -= follows;
            let sees = known.sees.iter().find(|(state, _)| *state == seen);
            if let Some((_, entry)) = sees {
                out[*entry] += follows;
            }
        }
        setup.governed_jacobian(settled, y, out);
        setup.sagging_jacobian(out);
        for (value, &(row, _)) in out.iter_mut().zip(&layout.pattern) {
            *value /= self.capacity[row];
        }
        if !setup.pinned.is_empty() {
            for (value, (row, _)) in out.iter_mut().zip(&layout.pattern) {
                if setup.pinned.binary_search(row).is_ok() {
                    *value = 0.0;
                }
            }
        }
    }

    /// Open ends in the Jacobian.
    fn open_jacobian(&self, setup: &Setup<'_>, settled: &Settled, out: &mut [f64]) {
        for (c, flows) in settled.outside.iter().enumerate() {
            for (j, &flow) in flows.iter().enumerate() {
                let state = setup.layout.junctions[c] + j;
                out[setup.layout.diagonal[state]] -= flow.max(0.0) * self.specific[state];
            }
        }
    }

    /// What the model holds, J, by what holds it: the end states of the audit.
    pub fn stores(&mut self, setup: &Setup<'_>, y: &[f64]) -> Stores {
        self.properties(setup, y);
        Stores::at(setup, &self.enthalpy, y)
    }
}

/// Charge air in the Jacobian: what it brings to a piece of metal goes with the temperature of that, and of
/// all metal that it met before.
fn charge_jacobian(setup: &Setup<'_>, y: &[f64], room: &mut ChargeRoom<Dual<1>>, out: &mut [f64]) {
    let ChargeRoom { rated, metal_k, stages, heat_w } = room;
    rated.clear();
    rated.extend(rated_charges(setup));
    for (a, places) in setup.layout.charges.iter().enumerate() {
        metal_k.clear();
        metal_k.extend(places.states.iter().map(|&state| Dual::from(y[state])));
        for varied in 0..metal_k.len() {
            metal_k[varied].slopes = [1.0];
            follow(&along(setup, a, rated), metal_k, stages, heat_w);
            metal_k[varied].slopes = [0.0];
            let entries = setup.layout.charge_entries[a].iter();
            for &(row, _, entry) in entries.filter(|(_, column, _)| *column == varied) {
                out[entry] += heat_w[row].slope();
            }
        }
    }
}

/// Air in the Jacobian: a wall loses to the air that enters its core, and that air carries heat
/// from the cores it met before.
fn air_jacobian(setup: &Setup<'_>, settled: &Settled, out: &mut [f64]) {
    for (gas, entries) in settled.gases.iter().zip(&setup.layout.air) {
        let width = gas.cores().len() * CORE_CELLS;
        for (k, met) in gas.cores().iter().enumerate() {
            let g = met.exchange.wall_air;
            for cell in k * CORE_CELLS..(k + 1) * CORE_CELLS {
                let row = &entries[cell * width..(cell + 1) * width];
                out[row[cell]] -= g;
                for (column, &entry) in row.iter().enumerate() {
                    out[entry] += g * gas.entering_by_cell(k, column / CORE_CELLS);
                }
            }
        }
    }
}
