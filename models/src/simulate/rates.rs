//! How fast every temperature changes, once the flows are settled, and how that depends on the
//! temperatures.
//!
//! Every exchange of heat is written once: its watts are taken from one state and given to the
//! other, so energy is conserved by construction within the model; the audit compares what crossed
//! the model's border with what the end states hold.

use super::Setup;
use super::settle::Settled;
use crate::air::Exchange;
use crate::circuit::Joint;
use crate::parts::{CORE_CELLS, LawInputs};

/// Heat of melting of ice, J/kg, at 0 °C and atmospheric pressure (IAPWS R10-06).
pub const HEAT_OF_MELTING: f64 = 333_430.0;
/// Density of ice at 0 °C, kg/m³ (IAPWS R10-06).
pub const ICE_DENSITY: f64 = 916.7;
/// Melting point of ice, K.
pub const MELTING_K: f64 = 273.15;

/// A flow below this, kg/s, stands still: it would take weeks to change the coolant in a hose, and
/// the sign of a flow of the size of rounding would decide which end it comes from. The heat that is
/// left out is below a milliwatt.
const STILL: f64 = 1e-9;

/// Flow along a run as far as it carries heat, kg/s.
fn carrying(settled: &Settled, (circuit, run): (usize, usize)) -> f64 {
    let flow = settled.flows[circuit][run];
    if flow.abs() < STILL { 0.0 } else { flow }
}

/// Heat that crosses the border of the model, W.
#[derive(Clone, Debug, Default)]
pub struct Border {
    /// Into each body.
    pub bodies: Vec<f64>,
    /// Into the coolant of each circuit by its pumps.
    pub pumps: Vec<f64>,
    /// From each core into the air.
    pub cores: Vec<f64>,
    /// Into each circuit through its open ends, net.
    pub outside: Vec<f64>,
}

impl Border {
    /// A border without heat, for the given model.
    pub fn of(setup: &Setup<'_>) -> Self {
        let model = setup.model;
        let circuits = vec![0.0; model.circuits.len()];
        Self {
            bodies: vec![0.0; model.bodies.len()],
            pumps: circuits.clone(),
            cores: vec![0.0; model.cores.len()],
            outside: circuits,
        }
    }

    /// All its numbers in a row: bodies, pumps, cores, outside.
    pub fn flat(&self) -> impl Iterator<Item = f64> {
        [&self.bodies, &self.pumps, &self.cores, &self.outside].into_iter().flatten().copied()
    }

    /// The same border with the numbers of `flat`.
    #[must_use]
    pub fn filled(&self, flat: &[f64]) -> Self {
        let mut rest = flat.iter().copied();
        let mut take = |like: &Vec<f64>| rest.by_ref().take(like.len()).collect();
        Self {
            bodies: take(&self.bodies),
            pumps: take(&self.pumps),
            cores: take(&self.cores),
            outside: take(&self.outside),
        }
    }

    /// How many numbers it has.
    pub fn count(&self) -> usize {
        self.bodies.len() + self.pumps.len() + self.cores.len() + self.outside.len()
    }
}

/// Melting of the ice in a tank: the rate in kg/s and the heat it takes, W.
#[derive(Clone, Copy, Debug)]
struct Melt {
    heat: f64,
    by_temperature: f64,
    by_mass: f64,
}

/// q = h A (T − 0 °C), A = A₀ (m/m₀)^(2/3), A₀ = 6 m₀/(ρ e) for cubes of edge e. Near the last of the
/// ice the area goes to zero in proportion to the mass, so that it does end. Ice does not form.
fn melt(setup: &Setup<'_>, ice: crate::parts::Ice, mass: f64, temperature: f64) -> Melt {
    let get = |slot| setup.values.get(slot);
    let start = get(ice.mass).max(1e-9);
    let share = (mass / start).max(0.0);
    let small = 1e-3;
    let shape = share * (share * share + small * small).powf(-1.0 / 6.0);
    let area_0 = 6.0 * start / (ICE_DENSITY * get(ice.piece));
    let excess = (temperature - MELTING_K).max(0.0);
    let conductance = get(ice.film) * area_0;
    let rounded = share * share + small * small;
    let slope = rounded.powf(-1.0 / 6.0) * (1.0 - share * share / (3.0 * rounded));
    Melt {
        heat: conductance * shape * excess,
        by_temperature: conductance * shape,
        by_mass: conductance * excess * slope / start,
    }
}

/// Ice in the Jacobian; the row of the ice has capacity 1. The tank gives the heat of melting and
/// warms what melts: q (1 + h/L). `tank_coolant` gives h and `c_p` of a state.
fn ice_jacobian(
    setup: &Setup<'_>,
    y: &[f64],
    tank_coolant: impl Fn(usize) -> [f64; 2],
    out: &mut [f64],
) {
    for ice in &setup.layout.ice {
        let Some(spec) = setup.ice(ice.part) else { continue };
        let tank = setup.layout.parts[ice.part].first;
        let melt = melt(setup, spec, y[ice.state], y[tank]);
        let [tt, ti, it, ii] = ice.entries;
        let [enthalpy, specific] = tank_coolant(tank);
        let with_water = 1.0 + enthalpy / HEAT_OF_MELTING;
        out[tt] -= melt.by_temperature * with_water + melt.heat / HEAT_OF_MELTING * specific;
        out[ti] -= melt.by_mass * with_water;
        out[it] -= melt.by_temperature / HEAT_OF_MELTING;
        out[ii] -= melt.by_mass / HEAT_OF_MELTING;
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
    heat: Vec<f64>,
    /// Heat capacity of every state, J/K.
    capacity: Vec<f64>,
    /// Heat across the border.
    pub border: Border,
    /// Heat from coolant into the metal of each body, negative, W: summed over its passes.
    pub taken: Vec<f64>,
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
        }
    }

    /// Rates of change of every state, in K/s (kg/s for ice).
    pub fn rates(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64], rate: &mut [f64]) {
        self.properties(setup, y);
        self.heat.fill(0.0);
        self.carry(setup, settled);
        self.contacts(setup, settled, y);
        self.sources(setup, settled);
        self.open_ends(setup, settled);
        self.air(setup, settled, y);
        for (state, rate) in rate.iter_mut().enumerate() {
            *rate = self.heat[state] / self.capacity[state];
        }
        self.ice(setup, y, rate);
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
                self.enthalpy[state] = coolant.enthalpy(y[state]);
                self.specific[state] = coolant.heat_capacity(y[state]);
                self.capacity[state] = prepared.masses[state] * self.specific[state];
            }
        }
        for (core, &first) in layout.walls.iter().enumerate() {
            let metal = values.get(model.cores[core].metal) / CORE_CELLS as f64;
            self.capacity[first..first + CORE_CELLS].fill(metal);
        }
        for (body, &state) in layout.bodies.iter().enumerate() {
            self.capacity[state] = values.get(model.bodies[body].metal);
        }
        for ice in &layout.ice {
            let tank = layout.parts[ice.part].first;
            let melted =
                (setup.ice(ice.part).map_or(0.0, |i| values.get(i.mass)) - y[ice.state]).max(0.0);
            self.capacity[tank] = (prepared.masses[tank] + melted) * self.specific[tank];
        }
    }

    /// Enthalpy that the coolant carries from cell to cell, upwind.
    fn carry(&mut self, setup: &Setup<'_>, settled: &Settled) {
        for link in &setup.layout.neighbours {
            let flow = carrying(settled, link.run);
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
    }

    /// Heat of bodies and pumps.
    fn sources(&mut self, setup: &Setup<'_>, settled: &Settled) {
        let Setup { model, values, layout, .. } = setup;
        let power = values.get(model.drive.power);
        for (body, &state) in layout.bodies.iter().enumerate() {
            let heat = model.bodies[body].heat_w(values, power);
            self.heat[state] += heat;
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
                values: values.reader(),
                density: state.density,
                viscosity: state.viscosity,
            };
            let flow = settled.flows[c][r];
            let heat = model.circuits[c].runs[r].parts[p].part.own_heat_w(&place, flow);
            self.heat[cells.first] += heat;
            self.border.pumps[c] += heat;
        }
    }

    /// Enthalpy through open ends: what enters has the temperature given, what leaves has its own.
    fn open_ends(&mut self, setup: &Setup<'_>, settled: &Settled) {
        let Setup { model, values, prepared, layout, .. } = setup;
        for (c, circuit) in model.circuits.iter().enumerate() {
            self.border.outside[c] = 0.0;
            for (j, junction) in circuit.junctions.iter().enumerate() {
                let (Joint::Held { temperature, .. } | Joint::Fed { temperature, .. }) =
                    &junction.joint
                else {
                    continue;
                };
                let state = layout.junctions[c] + j;
                let flow = settled.outside[c][j];
                let inside = self.enthalpy[state];
                let outside = prepared.coolants[c].enthalpy(values.get(*temperature));
                let entering = if flow > 0.0 { outside } else { inside };
                self.heat[state] += flow * (entering - inside);
                self.border.outside[c] += flow * entering;
            }
        }
    }

    /// Heat from the walls of cores into the air that crosses them.
    fn air(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64]) {
        let Setup { model, layout, .. } = setup;
        for (path, flow) in model.air_paths.iter().zip(&settled.air) {
            for (k, &core) in path.cores.iter().enumerate() {
                let Exchange { wall_air, .. } = settled.exchange[core];
                let entering = flow.temperatures[k];
                let first = layout.walls[core];
                let mut sum = 0.0;
                let cells = first..first + CORE_CELLS;
                for (net, wall) in self.heat[cells.clone()].iter_mut().zip(&y[cells]) {
                    let heat = wall_air * (wall - entering);
                    *net -= heat;
                    sum += heat;
                }
                self.border.cores[core] = sum;
            }
        }
    }

    /// Melting: heat out of the tank, cold water into it.
    fn ice(&mut self, setup: &Setup<'_>, y: &[f64], rate: &mut [f64]) {
        for ice in &setup.layout.ice {
            let Some(spec) = setup.ice(ice.part) else { continue };
            let tank = setup.layout.parts[ice.part].first;
            let melt = melt(setup, spec, y[ice.state], y[tank]);
            let speed = melt.heat / HEAT_OF_MELTING;
            rate[ice.state] = -speed;
            // The water comes in at 0 °C, where its enthalpy is zero.
            rate[tank] -= (melt.heat + speed * self.enthalpy[tank]) / self.capacity[tank];
        }
    }

    /// The Jacobian of the rates for settled flows, in the order of the layout's pattern. How flows
    /// and films change with temperature is left out: the integrator corrects for that.
    pub fn jacobian(&mut self, setup: &Setup<'_>, settled: &Settled, y: &[f64], out: &mut [f64]) {
        self.properties(setup, y);
        out.fill(0.0);
        let layout = &setup.layout;
        for link in &layout.neighbours {
            let flow = carrying(settled, link.run);
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
        self.open_jacobian(setup, settled, out);
        air_jacobian(setup, settled, out);
        ice_jacobian(setup, y, |tank| [self.enthalpy[tank], self.specific[tank]], out);
        for (value, &(row, _)) in out.iter_mut().zip(&layout.pattern) {
            *value /= self.capacity[row];
        }
        for &state in &setup.pinned {
            for (value, &(row, _)) in out.iter_mut().zip(&layout.pattern) {
                if row == state {
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

    /// What every state holds, J, against coolant and ice at 0 °C: the end states of the audit.
    pub fn stored(&mut self, setup: &Setup<'_>, y: &[f64]) -> f64 {
        let Setup { model, values, prepared, layout, .. } = setup;
        self.properties(setup, y);
        let coolant = |state: usize| prepared.masses[state] * self.enthalpy[state];
        let mut sum: f64 =
            (0..layout.states).filter(|&state| layout.coolant[state].is_some()).map(coolant).sum();
        for (core, &first) in layout.walls.iter().enumerate() {
            let metal = values.get(model.cores[core].metal) / CORE_CELLS as f64;
            sum +=
                y[first..first + CORE_CELLS].iter().map(|t| metal * (t - MELTING_K)).sum::<f64>();
        }
        for (body, &state) in layout.bodies.iter().enumerate() {
            sum += values.get(model.bodies[body].metal) * (y[state] - MELTING_K);
        }
        for ice in &layout.ice {
            let tank = layout.parts[ice.part].first;
            let melted = setup.ice(ice.part).map_or(0.0, |i| values.get(i.mass)) - y[ice.state];
            sum += melted * self.enthalpy[tank] - y[ice.state] * HEAT_OF_MELTING;
        }
        sum
    }
}

/// Air in the Jacobian: a wall loses to the air that enters its core, and that air carries heat
/// from the cores it met before.
fn air_jacobian(setup: &Setup<'_>, settled: &Settled, out: &mut [f64]) {
    let Setup { model, prepared, layout, .. } = setup;
    for (a, path) in model.air_paths.iter().enumerate() {
        let flow = settled.air[a].flow;
        let capacity = flow.abs() * prepared.air.heat_capacity(prepared.air_k);
        let count = path.cores.len();
        let width = count * CORE_CELLS;
        let order: Vec<usize> =
            if flow >= 0.0 { (0..count).collect() } else { (0..count).rev().collect() };
        // by[k]: how the air before the present core rises per kelvin of a wall cell of core k.
        let mut by = vec![0.0; count];
        for &k in &order {
            let g = settled.exchange[path.cores[k]].wall_air;
            for cell in 0..CORE_CELLS {
                let row = (k * CORE_CELLS + cell) * width;
                out[layout.air[a][row + k * CORE_CELLS + cell]] -= g;
                for (other, &by) in by.iter().enumerate() {
                    for column in 0..CORE_CELLS {
                        out[layout.air[a][row + other * CORE_CELLS + column]] += g * by;
                    }
                }
            }
            if capacity > 0.0 {
                let passed = 1.0 - g * CORE_CELLS as f64 / capacity;
                for by in &mut by {
                    *by *= passed;
                }
                by[k] += g / capacity;
            }
        }
    }
}
