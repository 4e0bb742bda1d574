//! Reads every result off a settled model, in a fixed order.

use super::Recorder;
use super::pumps::{Inlet, PumpPoint, Whole};
use super::quantities as q;
use super::room::{CircuitRoom, Room};
use crate::air::{AirPath, AtFan, CoreRating, Limiting, Met, Outside};
use crate::circuit::{Circuit, Joint, PumpGroup};
use crate::ids::Id;
use crate::parts::{HeatPartner, LawInputs, bore_area};
use crate::simulate::{Simulator, inside_met};
use crate::slots::Slot;

/// Records the results of a model that has been evaluated at the temperatures `y`, those that `to`
/// wants.
pub fn record(simulator: &Simulator<'_>, y: &[f64], room: &mut Room, to: &mut impl Recorder) {
    to.put(Id::Site, &q::AMBIENT, simulator.setup.prepared.ambient_pa);
    let (air, air_k) = (&simulator.setup.prepared.air, simulator.setup.prepared.air_k);
    let dew_k = if air.humidity_ratio > 0.0 { air.dew_point_k() } else { f64::NAN };
    to.put(Id::Site, &q::DEW_POINT, dew_k);
    to.put(Id::Site, &q::AIR_DENSITY, air.density(air_k));
    to.put(Id::Site, &q::AIR_ENTHALPY, air.enthalpy(air_k));
    for (c, room) in room.circuits.iter_mut().enumerate() {
        CircuitReader::fill(simulator, c, y, room);
    }
    let mut amps = std::mem::take(&mut room.amps);
    amps.fill(0.0);
    let supplies = &simulator.setup.model.supplies;
    // Currents of different voltages are no sum.
    let mut draw = |voltage: Slot, current: f64| {
        if let Some(s) = supplies.iter().position(|supply| supply.voltage == voltage) {
            amps[s] += current;
        }
    };
    for (c, room) in room.circuits.iter().enumerate() {
        CircuitReader::new(simulator, c, y, room).record(to, &mut draw);
    }
    for body in 0..simulator.setup.model.bodies.len() {
        record_shares(simulator, body, to);
        if to.wants(Id::Body(body)) {
            record_body(simulator, body, (y, room), to);
        }
    }
    for (a, path) in simulator.setup.model.air_paths.iter().enumerate() {
        record_air(simulator, a, path, to, &mut draw);
    }
    super::charge::record(simulator, (y, room), to);
    super::gauges::record(simulator, y, room, to);
    for (s, current) in amps.iter().enumerate() {
        to.put(Id::Supply(s), &q::SUPPLY, *current);
        if supplies[s].sag.is_some() {
            to.put(Id::Supply(s), &q::TERMINAL, simulator.setup.values.get(supplies[s].voltage));
        }
    }
    room.amps = amps;
}

/// What is found along the way through a circuit.
#[derive(Clone, Copy, Debug)]
struct Extremes {
    boil_margin: f64,
    coldest: f64,
    hottest: f64,
    lowest_pa: f64,
}

/// Reads one circuit.
pub(super) struct CircuitReader<'a> {
    pub(super) simulator: &'a Simulator<'a>,
    pub(super) c: usize,
    pub(super) circuit: &'a Circuit,
    pub(super) y: &'a [f64],
    pub(super) room: &'a CircuitRoom,
}

impl<'a> CircuitReader<'a> {
    /// Works out what the results of a circuit are read from.
    pub(super) fn fill(simulator: &Simulator<'_>, c: usize, y: &[f64], room: &mut CircuitRoom) {
        room.fill(simulator, c, y);
        room.held = CircuitReader::new(simulator, c, y, room).held();
        room.fill_points(simulator, c, y);
    }

    /// The same with the gas of a closed tank as it was when the last step was taken.
    pub(super) fn fill_within_step(
        simulator: &Simulator<'_>,
        c: usize,
        y: &[f64],
        room: &mut CircuitRoom,
    ) {
        room.fill(simulator, c, y);
        room.held.shift = CircuitReader::new(simulator, c, y, room).shift_within_step();
        room.fill_points(simulator, c, y);
    }

    pub(super) fn new(
        simulator: &'a Simulator<'a>,
        c: usize,
        y: &'a [f64],
        room: &'a CircuitRoom,
    ) -> Self {
        Self { simulator, c, circuit: &simulator.setup.model.circuits[c], y, room }
    }

    /// Index of a run's first part among all parts of the model.
    pub(super) fn first_part(&self, run: usize) -> usize {
        self.simulator.setup.layout.run_parts[self.c][run]
    }

    /// Records the circuit, and tells what its pumps draw from which voltage.
    fn record(&self, to: &mut impl Recorder, draw: &mut impl FnMut(Slot, f64)) {
        let settled = &self.simulator.settled;
        let mut extremes = Extremes {
            boil_margin: f64::INFINITY,
            coldest: f64::INFINITY,
            hottest: f64::NEG_INFINITY,
            lowest_pa: f64::INFINITY,
        };
        let asks = to.wants(Id::Circuit(self.c));
        for run in 0..self.circuit.runs.len() {
            if asks {
                self.widen(run, &mut extremes);
            }
            self.record_run(run, to, draw);
        }
        for group in self.circuit.groups.iter().enumerate() {
            self.record_group(group, to);
        }
        self.record_tank(to);
        let setup = &self.simulator.setup;
        let first = setup.layout.junctions[self.c];
        for (j, junction) in self.circuit.junctions.iter().enumerate() {
            let id = Id::Junction(self.c, j);
            if !to.wants(id) {
                continue;
            }
            let pressure = settled.pressures[self.c][j] + self.room.held.shift;
            to.put(id, &q::JUNCTION_PRESSURE, pressure);
            to.put(id, &q::JUNCTION_TEMPERATURE, self.y[first + j]);
            let vapour = setup.prepared.coolants[self.c].told_vapour_pressure(self.y[first + j]);
            to.put(id, &q::JUNCTION_HEIGHT, self.room.heights_m[j]);
            to.put(id, &q::JUNCTION_VAPOUR, vapour);
            to.put(id, &q::JUNCTION_MARGIN, pressure + setup.prepared.ambient_pa - vapour);
            if matches!(junction.joint, Joint::Held { .. } | Joint::Fed { .. }) {
                let flow = settled.outside[self.c][j] / settled.junction_density[self.c][j];
                to.put(id, &q::OUTSIDE, flow);
            }
        }
        let id = Id::Circuit(self.c);
        to.put(id, &q::HOTTEST, extremes.hottest);
        to.put(id, &q::LOWEST_PRESSURE, extremes.lowest_pa);
        let known = setup.prepared.coolants[self.c].has_vapour();
        to.put(id, &q::BOIL_MARGIN, if known { extremes.boil_margin } else { f64::NAN });
        let freezes = setup.prepared.coolants[self.c].freezing_point_k();
        to.put(id, &q::FREEZE_MARGIN, extremes.coldest - freezes);
        to.put(id, &q::BALANCE, self.imbalance());
        if setup.layout.airs(self.c) {
            to.put(id, &q::BAY_HEAT, self.simulator.rates.border.bay[self.c]);
        }
        for (c, r, p, heat) in self.simulator.bay_heats().filter(|(c, ..)| *c == self.c) {
            to.put(Id::Part(c, r, p), &q::BAY_HEAT, heat);
        }
    }

    /// Largest error of mass at a junction, kg/s.
    fn imbalance(&self) -> f64 {
        self.room.gains.iter().fold(0.0, |worst, gain| worst.max(gain.abs()))
    }

    /// Takes the points of a run into the extremes of the circuit.
    fn widen(&self, run: usize, extremes: &mut Extremes) {
        let prepared = &self.simulator.setup.prepared;
        let points = self.room.points(run).iter().copied();
        for point in points.chain(self.room.inside(run).map(|(_, point)| point)) {
            let boiling =
                prepared.coolants[self.c].boiling_point_k(point.static_pa + prepared.ambient_pa);
            extremes.boil_margin = extremes.boil_margin.min(boiling - point.temperature_k);
            extremes.coldest = extremes.coldest.min(point.temperature_k);
            extremes.hottest = extremes.hottest.max(point.temperature_k);
            extremes.lowest_pa = extremes.lowest_pa.min(point.static_pa);
        }
    }

    /// Records a run and its parts, and tells what its pumps draw.
    fn record_run(&self, run: usize, to: &mut impl Recorder, draw: &mut impl FnMut(Slot, f64)) {
        let coolant = &self.simulator.setup.prepared.coolants[self.c];
        let spec = &self.circuit.runs[run];
        let flow = self.simulator.settled.flows[self.c][run];
        let points = self.room.points(run);
        let id = Id::Run(self.c, run);
        to.put(id, &q::MASS_FLOW, flow);
        let density = coolant.density(points[0].temperature_k);
        to.put(id, &q::FLOW, flow / density);
        let tee =
            |junction: usize| matches!(self.circuit.junctions[junction].joint, Joint::Tee { .. });
        if tee(spec.from) {
            to.put(id, &q::ENTRY_FALL, self.room.tee_falls[run][0]);
        }
        if tee(spec.to) {
            to.put(id, &q::EXIT_FALL, self.room.tee_falls[run][1]);
        }
        for (k, placed) in spec.parts.iter().enumerate() {
            let amps = self.record_part(run, k, to);
            if let Some(voltage) = placed.part.as_pump().and_then(|pump| pump.drive.supply()) {
                draw(voltage, amps);
            }
        }
    }

    /// Records one part; returns the current it draws.
    fn record_part(&self, run: usize, k: usize, to: &mut impl Recorder) -> f64 {
        let setup = &self.simulator.setup;
        let spec = &self.circuit.runs[run];
        let placed = &spec.parts[k];
        let id = Id::Part(self.c, run, k);
        let flow = self.simulator.settled.flows[self.c][run];
        let points = self.room.points(run);
        if !to.wants(id) {
            let supplies = 0..setup.model.supplies.len();
            let wanted = || supplies.into_iter().any(|s| to.wants(Id::Supply(s)));
            let pump = wanted().then(|| self.pump_point(run, k)).flatten();
            return pump.map_or(0.0, |pump| pump.current());
        }
        let index = self.first_part(run);
        let state = self.simulator.settled.parts[index + k];
        let at = self.room.part(run, k);
        let (bore, (fall, lift)) = (self.room.bores[at], self.room.falls[at]);
        to.put(id, &q::FALL, fall);
        to.put(id, &q::LIFT, lift);
        self.record_ends((run, k), to);
        to.put(id, &q::VELOCITY, flow / (state.density * bore_area(bore)));
        let round = 4.0 * flow.abs() / (std::f64::consts::PI * bore * state.viscosity);
        let tubes = placed.part.tube_reynolds(&setup.values, state.viscosity, flow);
        let reynolds = tubes.unwrap_or(round);
        to.put(id, &q::REYNOLDS, reynolds);
        let (inlet, outlet) = if super::is_forward(flow) {
            (points[k], points[k + 1])
        } else {
            (points[k + 1], points[k])
        };
        if placed.part.cells() > 0 {
            to.put(id, &q::TEMPERATURE_IN, inlet.temperature_k);
            to.put(id, &q::TEMPERATURE_OUT, outlet.temperature_k);
            to.put(id, &q::RISE, outlet.temperature_k - inlet.temperature_k);
        }
        if placed.part.partner().is_some() {
            to.put(id, &q::HEAT, self.simulator.rates.taken[index + k]);
        }
        let owner = setup.layout.owners.iter().find(|owner| owner.part == index + k);
        if let Some((owner, own)) = owner.zip(placed.part.own()) {
            let states = own.states().iter().zip(&self.y[owner.states()]);
            for (k, (state, y)) in states.enumerate() {
                if let Some(quantity) = state.quantity {
                    to.put(id, quantity, own.told(k, y.max(state.least)));
                }
            }
        }
        let Some(pump) = self.pump_point(run, k) else { return 0.0 };
        pump.record(id, to);
        pump.current()
    }

    /// Records the points before and after a part.
    fn record_ends(&self, (run, k): (usize, usize), to: &mut impl Recorder) {
        let (points, sites) = (self.room.points(run), self.room.sites(run));
        let setup = &self.simulator.setup;
        let coolant = &setup.prepared.coolants[self.c];
        let flow = self.simulator.settled.flows[self.c][run];
        let id = Id::Part(self.c, run, k);
        for (at, names) in [(k, &q::AT_INLET), (k + 1, &q::AT_OUTLET)] {
            let (point, site) = (points[at], sites[at]);
            let vapour = coolant.told_vapour_pressure(point.temperature_k);
            let area = bore_area(site.bore_m);
            to.put(id, names.height, site.height_m);
            to.put(id, names.bore, site.bore_m);
            to.put(id, names.velocity, flow / (coolant.density(point.temperature_k) * area));
            to.put(id, names.total, point.total_pa);
            to.put(id, names.of_bore, point.static_pa);
            to.put(id, names.temperature, point.temperature_k);
            to.put(id, names.vapour, vapour);
            to.put(id, names.margin, point.static_pa + setup.prepared.ambient_pa - vapour);
        }
    }

    /// The operating point of a part that is a pump.
    fn pump_point(&self, run: usize, k: usize) -> Option<PumpPoint<'a>> {
        let setup = &self.simulator.setup;
        let flow = self.simulator.settled.flows[self.c][run];
        let state = self.simulator.settled.parts[self.first_part(run) + k];
        let points = self.room.points(run);
        let pump = self.circuit.runs[run].parts[k].part.as_pump()?;
        let at = if super::is_forward(flow) { points[k] } else { points[k + 1] };
        let coolant = &setup.prepared.coolants[self.c];
        let inlet = Inlet {
            total_pa: at.total_pa + setup.prepared.ambient_pa,
            static_pa: at.static_pa + setup.prepared.ambient_pa,
            vapour_pa: coolant.told_vapour_pressure(at.temperature_k),
            density: coolant.density(at.temperature_k),
        };
        let place = LawInputs {
            values: setup.values.reader().owning(state.own),
            density: state.density,
            viscosity: state.viscosity,
        };
        let head = -self.room.falls[self.room.part(run, k)].0;
        Some(PumpPoint::of(pump, &place, (flow, head), inlet))
    }

    /// Records several pumps as one.
    fn record_group(&self, (g, group): (usize, &PumpGroup), to: &mut impl Recorder) {
        let id = Id::Group(self.c, g);
        if !to.wants(id) {
            return;
        }
        let units = group.units.iter().filter_map(|&(run, part)| self.pump_point(run, part));
        if let Some(whole) = Whole::all(units, group.arrangement) {
            whole.record(id, to);
        }
    }
}

/// Below this a flow is rounding, m³/s: less than a drop an hour.
const NO_FLOW_M3_S: f64 = 1e-11;

/// Records a body and the flows of its passes.
fn record_body(
    simulator: &Simulator<'_>,
    body: usize,
    (y, room): (&[f64], &Room),
    to: &mut impl Recorder,
) {
    let setup = &simulator.setup;
    let id = Id::Body(body);
    let (mut least, mut most, mut sum, mut heat) = (f64::INFINITY, 0.0_f64, 0.0, 0.0);
    let (mut weighted, mut weights, mut largest, mut passes) = (0.0, 0.0, f64::NEG_INFINITY, 0);
    let (mut streams, mut last_run) = (0, None);
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        if setup.part(index).partner() != Some(HeatPartner::Body(body)) {
            continue;
        }
        let (c, r, p) = cells.at;
        let state = simulator.settled.parts[index];
        let mass_flow = simulator.settled.flows[c][r].abs();
        let flow = mass_flow / state.density;
        least = least.min(flow);
        most = most.max(flow);
        // Passes of one run stand one after the other: the same coolant goes through all of them.
        let again = last_run == Some((c, r));
        last_run = Some((c, r));
        if !again {
            sum += flow;
            streams += 1;
        }
        heat += simulator.rates.taken[index];
        // Where nothing flows anywhere, every pass counts alike.
        let weight =
            mass_flow * setup.prepared.coolants[c].heat_capacity(state.temperature_k) + 1e-9;
        let along = room.circuits[c].states(r);
        let (first, last) = (y[along[p]], y[along[p + 1]]);
        let forward = super::is_forward(simulator.settled.flows[c][r]);
        let rise = if forward { last - first } else { first - last };
        weighted += weight * rise;
        weights += if again { 0.0 } else { weight };
        largest = largest.max(rise);
        passes += 1;
    }
    let exchange = setup.model.bodies[body].exchange;
    let nodes = &setup.layout.bodies[body];
    let metal = &y[nodes.states()];
    to.put(id, &q::METAL, metal.iter().fold(f64::NEG_INFINITY, |most, t| most.max(*t)));
    let mean = metal.iter().zip(&nodes.shares).map(|(t, share)| t * share).sum();
    to.put(id, &q::METAL_MEAN, mean);
    if setup.model.bodies[body].skin.is_some() {
        to.put(id, &q::BAY_HEAT, simulator.rates.border.bay_bodies[body]);
    }
    if let Some(exchange) = exchange {
        super::exchangers::record(simulator, (body, exchange), (y, room), to);
        return;
    }
    super::walls::record(simulator, body, to);
    to.put(id, &q::HEAT_IN, simulator.rates.border.bodies[body]);
    to.put(id, &q::HEAT, heat);
    to.put(id, &q::COOLANT_FLOW, sum);
    to.put(id, &q::COOLANT_RISE, if weights > 0.0 { weighted / weights } else { 0.0 });
    if passes > 1 {
        to.put(id, &q::LARGEST_RISE, largest);
        to.put(id, &q::STARVED_FLOW, f64::from(streams) * least);
    }
    // Of flows that are rounding there is no ratio.
    let ratio = match (most > NO_FLOW_M3_S, least > NO_FLOW_M3_S) {
        (true, true) => most / least,
        (true, false) => f64::INFINITY,
        (false, _) => f64::NAN,
    };
    to.put(id, &q::FLOW_RATIO, ratio);
}

/// Records the share of each pass of a body in the mass flow of all, where there are several: of masses the
/// shares add up to one, whatever the temperature in each pass.
fn record_shares(simulator: &Simulator<'_>, body: usize, to: &mut impl Recorder) {
    let setup = &simulator.setup;
    let passes = || {
        let parts = setup.layout.parts.iter().enumerate();
        parts.filter(|(index, _)| setup.part(*index).partner() == Some(HeatPartner::Body(body)))
    };
    let id = |(c, r, p): (usize, usize, usize)| Id::Part(c, r, p);
    let wanted = passes().any(|(_, cells)| to.wants(id(cells.at)));
    let exchanges = setup.model.bodies[body].exchange.is_some();
    if exchanges || !wanted || passes().nth(1).is_none() {
        return;
    }
    let flow = |(c, r, _): (usize, usize, usize)| simulator.settled.flows[c][r].abs();
    let all: f64 = passes().map(|(_, cells)| flow(cells.at)).sum();
    for (_, cells) in passes() {
        to.put(id(cells.at), &q::SHARE, flow(cells.at) / all);
    }
}

/// Records an air path with its cores and fans, and tells what those draw.
fn record_air(
    simulator: &Simulator<'_>,
    a: usize,
    path: &AirPath,
    to: &mut impl Recorder,
    draw: &mut impl FnMut(Slot, f64),
) {
    let setup = &simulator.setup;
    let values = &setup.values;
    let gas = &simulator.settled.gases[a];
    let site_density = setup.prepared.air.density(setup.prepared.air_k);
    let id = Id::AirPath(a);
    to.put(id, &q::AIR_MASS_FLOW, gas.through());
    to.put(id, &q::AIR_FLOW, gas.through() / site_density);
    to.put(id, &q::DUCTS_FALL, gas.losses()[0].fall_pa);
    if path.may_warm_in_front() {
        let [front_k, leaves_k] = gas.ends_k();
        to.put(id, &q::AIR_FRONT, front_k);
        to.put(id, &q::AIR_LEAVES, leaves_k);
    }
    for (w, way) in path.ways.iter().enumerate().filter(|(_, way)| way.name.is_some()) {
        let id = Id::Lane(a, w);
        let flow: f64 = way.lanes.iter().map(|&lane| gas.flows()[lane]).sum();
        to.put(id, &q::AIR_MASS_FLOW, flow);
        to.put(id, &q::AIR_FLOW, flow / site_density);
        if let Some(loss) = way.loss {
            to.put(id, &q::DUCTS_FALL, gas.losses()[loss].fall_pa);
        }
    }
    for met in gas.cores() {
        if !to.wants(Id::Core(met.core)) {
            continue;
        }
        record_core(simulator, met, to);
    }
    for (f, (fan, &AtFan { flow, density, .. })) in path.fans.iter().zip(gas.fans()).enumerate() {
        let id = Id::Fan(a, f);
        let power = fan.power_w(values, density);
        let amps = power / values.get(fan.voltage);
        let fall = fan.fall(&values.reader(), density, flow);
        to.put(id, &q::FAN_FLOW, flow / density);
        to.put(id, &q::FAN_PRESSURE, -fall);
        to.put(id, &q::SPEED, fan.speed(&values.reader::<f64>()));
        to.put(id, &q::CURRENT, amps);
        draw(fan.voltage, amps);
    }
}

/// Records a core: its heat, its air, how much of what could pass does.
fn record_core(simulator: &Simulator<'_>, met: &Met, to: &mut impl Recorder) {
    let &Met { core, flow: air_flow, entering_k: air_in, fall_pa: air_fall, .. } = met;
    let setup = &simulator.setup;
    let spec = &setup.model.cores[core];
    let heat = simulator.rates.border.cores[core];
    let air_capacity = air_flow.abs() * setup.prepared.air.heat_capacity(setup.prepared.air_k);
    let side = &setup.prepared.cores[core];
    let inside = inside_met(simulator, met);
    let outside = Outside { flow: air_flow, air: &setup.prepared.air, film_k: met.film_k() };
    let whole = side.resistances(&setup.values, spec, &inside, &outside);
    let whole = whole.times(1.0 / setup.offsets.cores[core]);
    let id = Id::Core(core);
    to.put(id, &q::REJECTED, heat);
    to.put(id, &q::AIR_IN, air_in);
    let air_out = if air_capacity > 0.0 { air_in + heat / air_capacity } else { air_in };
    to.put(id, &q::AIR_OUT, air_out);
    to.put(id, &q::CORE_UA, 1.0 / (whole.film + whole.wall + whole.air));
    to.put(id, &q::AIR_FALL, air_fall);
    let capacity = setup.prepared.air.heat_capacity(setup.prepared.air_k);
    let streams = (&inside, &setup.prepared.air, capacity);
    let limiting = Limiting::of(&setup.values, (spec, side), met, streams, heat);
    let gain = |of: fn(&Limiting) -> f64| limiting.as_ref().map_or(f64::NAN, of);
    to.put(id, &q::GAIN_COOLANT_FLOW, gain(|by| by.coolant_flow));
    to.put(id, &q::GAIN_FILM, gain(|by| by.film));
    to.put(id, &q::GAIN_AIR_SIDE, gain(|by| by.air_side));
    to.put(id, &q::GAIN_AIR_FLOW, gain(|by| by.air_flow));
    to.put(id, &q::GAIN_CORE, gain(|by| by.core));
    // One that is known by its dimensions has no rating to be stretched from.
    if !matches!(spec.rating, CoreRating::Built(_)) {
        let [coolant, air] = side.stretch(&setup.values, spec, [inside.flow, air_flow]);
        to.put(id, &q::COOLANT_STRETCH, coolant);
        to.put(id, &q::AIR_STRETCH, air);
    }
    if let Some(face) = spec.face {
        let density = setup.prepared.air.density(air_in);
        to.put(id, &q::AIR_FACE, air_flow / (density * setup.values.get(face)));
    }
}
