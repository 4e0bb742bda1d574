//! The simulator: a set-up model with its flows and rates, as the integrator asks for it.

use coolwright_solver::integrate::{Interrupt, System};
use coolwright_solver::sparse::{Sparse, SparseError};

use super::governed::SPEED_SCALE;
use super::rates::{Rates, own_motion};
use super::sagging::VOLTAGE_SCALE;
use super::settle::{Settled, Unsettled};
use super::still::{NO_HEAT_W, NO_WAY_OUT};
use super::stores::Stores;
use super::{ExposedOf, Modes, Offsets, PrepareError, Prepared, Setup, Standing};
use crate::air::GasNetwork;
use crate::charge::StageKind;
use crate::govern::Governor;
use crate::inputs::Ramp;
use crate::laws::cushion::Content;
use crate::model::Model;
use crate::parts::{CORE_CELLS, HeatPartner};
use crate::results::{Room, boiling_points};
use crate::slots::{Slot, Values};

/// A model in motion.
#[derive(Debug)]
pub struct Simulator<'m> {
    /// The model and its numbers.
    pub setup: Setup<'m>,
    /// Flows and conductances of the last evaluation.
    pub settled: Settled,
    /// Rates and heats of the last evaluation.
    pub rates: Rates,
    /// What is on and what is off.
    pub modes: Modes,
    /// What the cap of each circuit has kept in; `None` as long as that is what it was filled with.
    pub contents: Vec<Option<Content>>,
    /// Gauge pressure of the gas in the closed tank of each circuit when the last step was taken, Pa; `None` where
    /// none was: then it is worked out at every evaluation that asks for it.
    pub gas_pa: Vec<Option<f64>>,
    /// Why the last evaluation failed, where it did.
    pub failure: Option<Unsettled>,
    scratch: Vec<f64>,
    /// Room to find the pressure at hot walls.
    wall_room: Room,
    /// Room for what gauges show to switches, and what each switch feels.
    pub(super) gauge_room: Room,
    pub(super) felt: Vec<f64>,
    /// States and rates of a model moved a little.
    beside: [Vec<f64>; 3],
    /// Numbers that are on their way.
    ramps: Vec<Ramp>,
    /// Whether what is prepared moves with them.
    prepares: bool,
    /// Room: the numbers on their way at one time, and all numbers at their end.
    moved: Vec<(Slot, f64)>,
    end: Values,
}

/// A circuit that comes to rest only when it is hotter than this, K, has no way out for its heat by its hoses and tanks: it
/// boils before under any cap of a vehicle (water at 4.5 bar: IAPWS-IF97, table 35, from memory). Below it the search finds out.
const AIRED_K: f64 = 420.0;

/// Over how much of a state of a component its effect on the flows is taken, in shares of its scale.
const STEP_OWN: f64 = 1e-2;

impl<'m> Simulator<'m> {
    /// Sets a model up with the given numbers.
    ///
    /// # Errors
    /// When a coolant, a core's rating or the site is out of range.
    pub fn new(model: &'m Model, values: Values) -> Result<Self, PrepareError> {
        let layout = model.layout();
        let prepared = Prepared::new(model, &values, &layout)?;
        let modes = Modes::all_on(model, values.clone());
        let offsets = Offsets::none(model, &layout);
        let governed = |governor: &Governor| values.get(model.machines[governor.machine].speed);
        let commanded = model.governors.iter().map(governed).collect();
        let pinned = Vec::new();
        let setup =
            Setup { model, values, commanded, prepared, layout, pinned, offsets, at_rest: false };
        let settled = Settled::new(model, &setup.layout);
        let rates = Rates::of(&setup);
        let scratch = vec![0.0; setup.layout.states];
        let mut simulator = Self {
            setup,
            settled,
            rates,
            modes,
            contents: vec![None; model.circuits.len()],
            gas_pa: vec![None; model.circuits.len()],
            failure: None,
            beside: std::array::from_fn(|_| scratch.clone()),
            scratch,
            ramps: Vec::new(),
            prepares: false,
            moved: Vec::new(),
            end: Values::default(),
            wall_room: Room::default(),
            gauge_room: Room::default(),
            felt: vec![0.0; model.switches.len()],
        };
        if model.switches.iter().any(|switch| model.feels_flows(switch)) {
            simulator.gauge_room = Room::of(&simulator);
        }
        if !simulator.settled.walls.is_empty() {
            simulator.wall_room = Room::of(&simulator);
        }
        Ok(simulator)
    }

    /// Writes other numbers into the model; flows are kept as a start.
    ///
    /// Masses of coolant stay as they were at the start: a phase changes what the vehicle does, not
    /// what was filled in.
    ///
    /// # Errors
    /// When a coolant, a core's rating or the site is out of range.
    pub fn set_values(&mut self, values: &Values) -> Result<(), PrepareError> {
        self.ramps.clear();
        self.setup.prepared.update(self.setup.model, values)?;
        self.modes.command(values);
        self.apply_modes();
        Ok(())
    }

    /// Writes other numbers into the model, some of which go along ramps from the values that they
    /// have there. Then [`Simulator::set_time`] must be told the time before the model is evaluated.
    ///
    /// # Errors
    /// When a coolant, a core's rating or the site is out of range at the start or the end.
    pub fn set_ramped(&mut self, values: &Values, ramps: &[Ramp]) -> Result<(), PrepareError> {
        let Setup { model, prepared, .. } = &mut self.setup;
        self.prepares = false;
        if !ramps.is_empty() {
            self.moved.clear();
            self.moved.extend(ramps.iter().map(|ramp| (ramp.slot, ramp.to[1])));
            self.end.copy_from(values);
            model.write_running(&mut self.end, &self.moved);
            self.prepares = Prepared::differs(model, values, &self.end);
            if self.prepares {
                prepared.update(model, &self.end)?;
            }
        }
        self.set_values(values)?;
        self.ramps.extend_from_slice(ramps);
        Ok(())
    }

    /// Moves what goes along ramps to a time, s, and what follows from it.
    ///
    /// # Errors
    /// When a coolant, a core's rating or the site is out of range there.
    pub fn set_time(&mut self, time: f64) -> Result<(), PrepareError> {
        if self.ramps.is_empty() {
            return Ok(());
        }
        let model = self.setup.model;
        self.moved.clear();
        self.moved.extend(self.ramps.iter().map(|ramp| (ramp.slot, ramp.at(time))));
        self.modes.write(model, &self.moved);
        self.apply_modes();
        if self.prepares {
            let Setup { prepared, .. } = &mut self.setup;
            prepared.update(model, self.modes.commanded())?;
        }
        Ok(())
    }

    /// Begins anew with the given numbers, as a simulator that has just been made.
    ///
    /// # Errors
    /// When a coolant, a core's rating or the site is out of range.
    pub fn begin(&mut self, values: &Values) -> Result<(), PrepareError> {
        self.modes.begin();
        self.setup.pinned.clear();
        self.setup.offsets.clear();
        self.setup.at_rest = false;
        self.contents.fill(None);
        self.gas_pa.fill(None);
        self.failure = None;
        self.set_values(values)?;
        self.setup.prepared.fill(self.setup.model, values, &self.setup.layout);
        self.settled.start_anew();
        Ok(())
    }

    /// Takes over which switches were on and what ran on.
    pub fn stand(&mut self, standing: &Standing) {
        if self.modes.standing() != standing {
            self.modes.stand(standing);
            self.apply_modes();
        }
    }

    /// The numbers as they hold now: what is off stands, what runs on turns, and governed machines have the speeds that they
    /// are commanded to.
    pub fn numbers(&self) -> Values {
        let mut numbers = self.setup.values.clone();
        self.modes.apply(self.setup.model, &mut numbers);
        numbers
    }

    /// Temperatures at the start: each circuit at its own, walls as their coolant, bodies as given or
    /// as their coolant.
    pub fn start(&self) -> Vec<f64> {
        let mut y = vec![0.0; self.setup.layout.states];
        self.start_into(&mut y);
        y
    }

    /// Writes [`Simulator::start`] into `y`.
    pub fn start_into(&self, y: &mut [f64]) {
        let Setup { model, values, layout, .. } = &self.setup;
        let circuit_start = |c: usize| values.get(model.circuits[c].start);
        for (y, circuit) in y.iter_mut().zip(&layout.coolant) {
            *y = circuit.map_or(0.0, circuit_start);
        }
        for (core, &first) in layout.walls.iter().enumerate() {
            let (c, _, _) = layout.parts[layout.core_parts[core]].at;
            y[first..first + CORE_CELLS].fill(circuit_start(c));
        }
        for (body, nodes) in layout.bodies.iter().enumerate() {
            let own = model.bodies[body].start.map(|slot| values.get(slot));
            let start = own.unwrap_or_else(|| self.coolant_start(body));
            y[nodes.states()].fill(start);
            if let Some(wall) = &nodes.wall {
                y[wall.states()].fill(start);
            }
        }
        for owner in &layout.owners {
            let temperature_k = y[owner.coolant];
            self.setup.own(owner).start(values, temperature_k, &mut y[owner.states()]);
        }
        for known in &layout.gauges {
            y[known.state] = y[self.setup.seen_by(&self.settled, known.gauge)];
        }
        self.setup.governed_at_most(y);
        self.start_voltages(y);
    }

    /// Moves the states that components have of their own to where a search for a steady state
    /// starts.
    pub fn start_rest(&self, y: &mut [f64]) {
        for owner in &self.setup.layout.owners {
            // What is held stays as it is at the start; the ice of a circuit that is held is told as gone all the same.
            if !owner.columns.is_empty() && self.setup.pinned.contains(&owner.first) {
                continue;
            }
            self.setup.own(owner).start_of_rest(&self.setup.values, &mut y[owner.states()]);
        }
    }

    /// Opens what moves flows: thermostats, as hot coolant does.
    pub fn open(&self, y: &mut [f64]) {
        self.lifts().for_each(|state| y[state] = 1.0);
    }

    /// The states that move flows.
    pub fn lifts(&self) -> impl Iterator<Item = usize> + '_ {
        let columns = self.setup.layout.owners.iter().flat_map(|owner| &owner.columns);
        columns.map(|(state, _)| *state)
    }

    /// What is small for each state, as 1 K is for a temperature.
    pub fn scales(&self) -> Vec<f64> {
        let layout = &self.setup.layout;
        let mut scales = vec![1.0; layout.states];
        for owner in &layout.owners {
            let states = self.setup.own(owner).states();
            for (scale, state) in scales[owner.states()].iter_mut().zip(states) {
                *scale = state.scale;
            }
        }
        layout.governed.iter().for_each(|governed| scales[governed.state] = SPEED_SCALE);
        layout.sagging.iter().for_each(|sagging| scales[sagging.state] = VOLTAGE_SCALE);
        scales
    }

    /// Start temperature of the coolant that cools a body; of the site where none does.
    fn coolant_start(&self, body: usize) -> f64 {
        let Setup { model, values, layout, prepared, .. } = &self.setup;
        let cools =
            |index: &usize| self.setup.part(*index).partner() == Some(HeatPartner::Body(body));
        (0..layout.parts.len()).find(cools).map_or(prepared.air_k, |index| {
            values.get(model.circuits[layout.parts[index].at.0].start)
        })
    }

    /// Settles flows, films and air for the temperatures `y`, and boiling at hot walls under the pressure there.
    ///
    /// # Errors
    /// When a network does not come to rest.
    pub fn settle(&mut self, y: &[f64]) -> Result<(), Unsettled> {
        self.govern(y);
        self.settled.settle(&self.setup, y)?;
        self.boil_walls(y);
        Ok(())
    }

    /// Boiling at every piece of every hot wall, under the pressure that the flows of the last settling and the
    /// tank make there.
    fn boil_walls(&mut self, y: &[f64]) {
        if self.settled.walls.is_empty() {
            return;
        }
        let mut room = std::mem::take(&mut self.wall_room);
        let mut walls = std::mem::take(&mut self.settled.walls);
        boiling_points(self, y, &mut room, &mut walls);
        (self.wall_room, self.settled.walls) = (room, walls);
    }

    /// Settles flows and heats for the temperatures `y`.
    ///
    /// # Errors
    /// When a network does not come to rest.
    pub fn evaluate(&mut self, y: &[f64]) -> Result<(), Unsettled> {
        self.settle(y)?;
        let mut rate = std::mem::take(&mut self.scratch);
        self.rates.rates(&self.setup, &self.settled, y, &mut rate);
        self.scratch = rate;
        Ok(())
    }

    /// The Jacobian of the rates at the states that flows were last settled for, in the order of the layout's
    /// pattern. How flows and films change with temperature is left out: the integrator corrects for that. How flows
    /// change with what components have of their own is in it, by differences: a thermostat holds a temperature by it.
    pub fn jacobian_into(&mut self, y: &[f64], out: &mut [f64]) {
        let layout = self.setup.layout.clone();
        let moves_flows = !layout.governed.is_empty() || !layout.sagging.is_empty();
        if !moves_flows && layout.owners.iter().all(|owner| owner.columns.is_empty()) {
            self.rates.jacobian(&self.setup, &self.settled, y, out);
            return;
        }
        // The flows may be those of states that were tried and refused.
        let _ = self.settle(y);
        self.rates.jacobian(&self.setup, &self.settled, y, out);
        let mut room = std::mem::take(&mut self.beside);
        self.rates.rates(&self.setup, &self.settled, y, &mut room[1]);
        for owner in &layout.owners {
            for (state, entries) in &owner.columns {
                let scale = self.setup.own(owner).states()[state - owner.first].scale;
                self.column_through_flows((*state, scale), y, entries, &mut room, out);
            }
        }
        for governed in &layout.governed {
            let state = (governed.state, SPEED_SCALE);
            self.column_through_flows(state, y, &governed.column, &mut room, out);
        }
        for sagging in &layout.sagging {
            let state = (sagging.state, VOLTAGE_SCALE);
            self.column_through_flows(state, y, &sagging.column, &mut room, out);
        }
        // From flows so near these are found again.
        let _ = self.settle(y);
        self.rates.rates(&self.setup, &self.settled, y, &mut room[2]);
        self.beside = room;
    }

    /// How the rates go with a state that moves flows, by a difference; `room` holds the rates at `y` in its middle.
    fn column_through_flows(
        &mut self,
        (state, scale): (usize, f64),
        y: &[f64],
        entries: &[(usize, usize)],
        room: &mut [Vec<f64>; 3],
        out: &mut [f64],
    ) {
        let [moved, base, rates] = room;
        moved.copy_from_slice(y);
        // Towards the middle, so that the law goes on both ways.
        let step = if y[state] > 0.5 { -STEP_OWN * scale } else { STEP_OWN * scale };
        moved[state] += step;
        if self.settle(moved).is_err() {
            return;
        }
        self.rates.rates(&self.setup, &self.settled, moved, rates);
        for &(row, entry) in entries {
            out[entry] = (rates[row] - base[row]) / step;
        }
    }

    /// The rate of a state that moves flows, whether it is held or not, at the flows of the last evaluation; `owner` of
    /// those of the layout.
    pub fn lift_rate(&self, owner: usize, state: usize, y: &[f64]) -> f64 {
        let owner = &self.setup.layout.owners[owner];
        // Its coolant takes no heat from it, so the enthalpy of that is nothing to it.
        let (rates, _) = own_motion(&self.setup, &self.settled, owner, y, 0.0);
        rates[state - owner.first]
    }

    /// Rates of change found by the last call of [`Simulator::evaluate`].
    pub fn last_rates(&self) -> &[f64] {
        &self.scratch
    }

    /// Heat that the model holds, by what holds it.
    pub fn stores(&mut self, y: &[f64]) -> Stores {
        self.rates.stores(&self.setup, y)
    }

    /// Whether heat leaves a circuit at the flows of the last evaluation: through a core with
    /// coolant in it and air across it, through an open end, or through exchangers into a circuit that it leaves.
    pub fn has_way_out(&self, circuit: usize) -> bool {
        let has_exchangers = self.setup.model.bodies.iter().any(|body| body.exchange.is_some());
        if self.is_left_by_heat(circuit) || !has_exchangers {
            return self.is_left_by_heat(circuit);
        }
        let mut reached = vec![circuit];
        let mut next = 0;
        while let Some(&at) = reached.get(next) {
            if self.is_left_by_heat(at) {
                return true;
            }
            for other in self.exchanging(at) {
                if !reached.contains(&other) {
                    reached.push(other);
                }
            }
            next += 1;
        }
        false
    }

    /// The circuits that a circuit passes heat to through exchangers, at the flows of the last evaluation.
    fn exchanging(&self, circuit: usize) -> Vec<usize> {
        let setup = &self.setup;
        let mut found = Vec::new();
        let exchangers = setup.model.bodies.iter().enumerate();
        for (body, _) in exchangers.filter(|(_, spec)| spec.exchange.is_some()) {
            let sides = setup.layout.parts.iter().enumerate();
            let sides = sides
                .filter(|(index, _)| setup.part(*index).partner() == Some(HeatPartner::Body(body)));
            let washed = sides
                .filter(|(_, cells)| self.settled.flows[cells.at.0][cells.at.1].abs() > NO_WAY_OUT);
            let circuits: Vec<usize> = washed.map(|(_, cells)| cells.at.0).collect();
            if circuits.len() == 2 && circuits.contains(&circuit) {
                found.extend(circuits.into_iter().filter(|&other| other != circuit));
            }
        }
        found
    }

    /// Whether heat leaves a circuit by itself.
    fn is_left_by_heat(&self, circuit: usize) -> bool {
        let layout = &self.setup.layout;
        let outside = &self.settled.outside[circuit];
        let cooled = self.settled.gases.iter().flat_map(GasNetwork::cores).any(|met| {
            let (c, r, _) = layout.parts[layout.core_parts[met.core]].at;
            let washed = c == circuit && self.settled.flows[c][r].abs() > NO_WAY_OUT;
            washed && met.flow.abs() > NO_WAY_OUT
        });
        cooled || outside.iter().any(|flow| flow.abs() > NO_WAY_OUT) || self.bay_takes(circuit)
    }

    /// Whether the air of the bay takes all the heat of a circuit before its coolant is as hot as [`AIRED_K`].
    fn bay_takes(&self, circuit: usize) -> bool {
        let Setup { layout, .. } = &self.setup;
        let all = layout.exposed.iter().zip(&self.settled.exposed);
        let of = all.filter(|(exposed, _)| match exposed.of {
            ExposedOf::Part(index) => layout.parts[index].at.0 == circuit,
            ExposedOf::Body(body) => self.cools(circuit, body),
        });
        let conductance: f64 = of.map(|(_, conductance)| conductance).sum();
        let border = &self.rates.border;
        let bodies = (0..border.bodies.len()).filter(|&body| self.cools(circuit, body));
        let heat = bodies.map(|body| border.bodies[body]).sum::<f64>() + border.pumps[circuit];
        let room_k = AIRED_K - self.setup.values.get(self.setup.model.bay.air);
        conductance > 0.0 && conductance * room_k > heat
    }

    /// Whether heat comes into a circuit at the flows of the last evaluation: from a body, a pump, or
    /// through an open end.
    pub fn takes_heat(&self, circuit: usize) -> bool {
        let border = &self.rates.border;
        let bodies = (0..border.bodies.len()).filter(|&body| self.cools(circuit, body));
        let heats = bodies.map(|body| border.bodies[body]);
        let others = [border.pumps[circuit], border.outside[circuit]];
        heats.chain(others).any(|heat| heat.abs() > NO_HEAT_W)
    }

    /// Whether a circuit has a pass through a body.
    fn cools(&self, circuit: usize, body: usize) -> bool {
        let layout = &self.setup.layout;
        let mut parts = layout.circuit_parts[circuit]..layout.circuit_parts[circuit + 1];
        parts.any(|index| self.setup.part(index).partner() == Some(HeatPartner::Body(body)))
    }

    /// Circuits whose temperatures follow those of a circuit at the flows of the last evaluation: by
    /// metal that they share, or by the air of a path that its core warms, whose flow goes with its
    /// density too.
    pub fn linked(&self, circuit: usize) -> Vec<usize> {
        let layout = &self.setup.layout;
        let of_core = |core: usize| layout.parts.get(layout.core_parts[core]).map(|part| part.at.0);
        let warms = |gas: &GasNetwork| {
            gas.cores().iter().any(|met| {
                let (c, r, _) = layout.parts[layout.core_parts[met.core]].at;
                let washed = self.settled.flows[c][r].abs() > NO_WAY_OUT;
                c == circuit && washed && met.flow.abs() > NO_WAY_OUT
            })
        };
        let mut found: Vec<usize> = Vec::new();
        for gas in self.settled.gases.iter().filter(|gas| warms(gas)) {
            found.extend(gas.cores().iter().filter_map(|met| of_core(met.core)));
        }
        for stages in self.setup.model.charge_air.iter().map(|path| &path.stages) {
            let bodies = stages.iter().filter_map(|stage| match stage.kind {
                StageKind::Cooler { body } => Some(body),
                _ => None,
            });
            let behind = bodies.skip_while(|&body| !self.cools(circuit, body));
            found.extend(behind.filter_map(|body| self.setup.model.circuit_of_body(body)));
        }
        for body in (0..layout.bodies.len()).filter(|&body| self.cools(circuit, body)) {
            let circuits = 0..self.setup.model.circuits.len();
            found.extend(circuits.filter(|&other| self.cools(other, body)));
        }
        found.retain(|&other| other != circuit);
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Holds every state of a circuit as it is: its coolant, the walls of its cores, the metal of its
    /// bodies, what its parts have of their own.
    pub fn pin(&mut self, circuit: usize) {
        let states = 0..self.setup.layout.states;
        let of = |state: &usize| self.setup.circuit_of(*state) == Some(circuit);
        let states: Vec<usize> = states.filter(of).collect();
        self.setup.pinned.extend(states);
        self.setup.pinned.sort_unstable();
        self.setup.pinned.dedup();
    }
}

/// No coolant is this hot, K, and none comes back from there: a search that gets so far has passed boiling long
/// before, and what it would find beyond is of no use.
const NO_COOLANT_K: f64 = 1500.0;

impl Simulator<'_> {
    fn has_coolant_above(&self, most_k: f64, y: &[f64]) -> bool {
        self.setup.layout.coolant.iter().zip(y).any(|(of, t)| of.is_some() && *t > most_k)
    }
}

impl System for Simulator<'_> {
    fn states(&self) -> usize {
        self.setup.layout.states
    }

    fn pattern(&self) -> &[(usize, usize)] {
        &self.setup.layout.pattern
    }

    fn matrix(&self) -> Result<Sparse, SparseError> {
        self.blank_matrix()
    }

    fn rhs(&mut self, t: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        self.set_time(t).map_err(|_| Interrupt::Stop)?;
        if self.has_coolant_above(2.0 * NO_COOLANT_K, y) {
            return Err(Interrupt::Shorten);
        }
        if let Err(failure) = self.settle(y) {
            self.failure = Some(failure);
            return Err(Interrupt::Shorten);
        }
        self.rates.rates(&self.setup, &self.settled, y, rate);
        Ok(())
    }

    fn jacobian(&mut self, _t: f64, y: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        if self.has_coolant_above(NO_COOLANT_K, y) {
            // Where a search for a steady state gets, it stays; a step that gets there was too long.
            let at_rest = self.setup.at_rest;
            return Err(if at_rest { Interrupt::Stop } else { Interrupt::Shorten });
        }
        self.jacobian_into(y, values);
        Ok(())
    }

    fn switches(&self) -> usize {
        self.setup.model.switches.len() + self.modes.timers()
    }

    fn switch_values(&mut self, t: f64, y: &[f64], out: &mut [f64]) {
        // Both ends of each ramp have been prepared, so nothing between them fails.
        let _ = self.set_time(t);
        let (felt, ends) = out.split_at_mut(self.setup.model.switches.len());
        self.felt_into(y, felt);
        self.modes.crossings(self.setup.model, &self.setup.values, felt);
        self.modes.ends(t, ends);
    }

    fn audits(&self) -> usize {
        self.rates.border.count()
    }

    fn audit_rates(&mut self, y: &[f64], out: &mut [f64]) {
        self.rates.border_beside(&self.setup, &self.settled, y);
        for (out, rate) in out.iter_mut().zip(self.rates.border.flat()) {
            *out = rate;
        }
    }
}
