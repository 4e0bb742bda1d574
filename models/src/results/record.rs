//! Reads every result off a settled model, in a fixed order.

use super::Recorder;
use super::pumps::{Inlet, PumpPoint, Whole};
use super::quantities as q;
use super::tank::Held;
use crate::air::AirPath;
use crate::circuit::{Circuit, CircuitLaws, End, Joint, PumpGroup};
use crate::ids::Id;
use crate::parts::{CoolantAt, HeatPartner, LawInputs, bore_area};
use crate::simulate::Simulator;

/// Records every result of a model that has been evaluated at the temperatures `y`.
pub fn record(simulator: &Simulator<'_>, y: &[f64], to: &mut impl Recorder) {
    to.put(Id::Site, &q::AMBIENT, simulator.setup.prepared.ambient_pa);
    let mut current = 0.0;
    for c in 0..simulator.setup.model.circuits.len() {
        current += CircuitReader::new(simulator, c, y).record(to);
    }
    for body in 0..simulator.setup.model.bodies.len() {
        record_body(simulator, body, y, to);
    }
    for (a, path) in simulator.setup.model.air_paths.iter().enumerate() {
        current += record_air(simulator, a, path, to);
    }
    super::gauges::record(simulator, y, to);
    to.put(Id::Supply, &q::SUPPLY, current);
}

/// A point along a run.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub(super) total_pa: f64,
    pub(super) static_pa: f64,
    pub(super) temperature_k: f64,
}

/// Where a point along a run stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Site {
    /// Height above the circuit's reference, m.
    pub(super) height_m: f64,
    /// Bore there, m.
    pub(super) bore_m: f64,
}

/// What is found along the way through a circuit.
#[derive(Clone, Copy, Debug)]
struct Extremes {
    boil_margin: f64,
    hottest: f64,
    lowest_pa: f64,
}

/// For each point along a run, the state whose coolant is there: the one upstream.
fn states_along(simulator: &Simulator<'_>, c: usize, run: usize) -> Vec<usize> {
    let layout = &simulator.setup.layout;
    let spec = &simulator.setup.model.circuits[c].runs[run];
    let first = layout.run_parts[c][run];
    let count = spec.parts.len();
    let mut states = vec![0; count + 1];
    if simulator.settled.flows[c][run] >= 0.0 {
        states[0] = layout.junctions[c] + spec.from;
        for k in 0..count {
            let cells = &layout.parts[first + k];
            states[k + 1] = if cells.count > 0 { cells.first + cells.count - 1 } else { states[k] };
        }
    } else {
        states[count] = layout.junctions[c] + spec.to;
        for k in (0..count).rev() {
            let cells = &layout.parts[first + k];
            states[k] = if cells.count > 0 { cells.first } else { states[k + 1] };
        }
    }
    states
}

/// Reads one circuit.
pub(super) struct CircuitReader<'a> {
    pub(super) simulator: &'a Simulator<'a>,
    pub(super) c: usize,
    pub(super) circuit: &'a Circuit,
    pub(super) y: &'a [f64],
    /// What the tees add to the start and the end of every run, Pa.
    tee_falls: Vec<[f64; 2]>,
    /// Height of every junction above the reference, m.
    heights_m: Vec<f64>,
    /// The pressure at the reference.
    pub(super) held: Held,
}

impl<'a> CircuitReader<'a> {
    pub(super) fn new(simulator: &'a Simulator<'a>, c: usize, y: &'a [f64]) -> Self {
        let circuit = &simulator.setup.model.circuits[c];
        let tee_falls = vec![[0.0; 2]; circuit.runs.len()];
        let heights_m = circuit.heights_m(&simulator.setup.values);
        let held = Held::default();
        let mut reader = Self { simulator, c, circuit, y, tee_falls, heights_m, held };
        let mut falls = reader.tee_falls.clone();
        for junction in 0..circuit.junctions.len() {
            for (run, end, fall) in reader.laws().tee_falls(junction, &simulator.settled.flows[c]) {
                falls[run][usize::from(end == End::To)] += fall;
            }
        }
        reader.tee_falls = falls;
        reader.held = reader.held();
        reader
    }

    fn laws(&self) -> CircuitLaws<'a> {
        let setup = &self.simulator.setup;
        let settled = &self.simulator.settled;
        let range = setup.layout.circuit_parts[self.c]..setup.layout.circuit_parts[self.c + 1];
        CircuitLaws {
            circuit: self.circuit,
            values: &setup.values,
            parts: &settled.parts[range],
            junction_density: &settled.junction_density[self.c],
            couplings: &[],
        }
    }

    /// Index of a run's first part within the circuit's parts and among all parts.
    pub(super) fn first_part(&self, run: usize) -> (usize, usize) {
        let layout = &self.simulator.setup.layout;
        let first = layout.run_parts[self.c][run];
        (first - layout.circuit_parts[self.c], first)
    }

    /// The points before the first part, between all parts, and after the last.
    pub(super) fn points(&self, run: usize) -> Vec<Point> {
        let settled = &self.simulator.settled;
        let spec = &self.circuit.runs[run];
        let flow = settled.flows[self.c][run];
        let laws = self.laws();
        let (first, _) = self.first_part(run);
        let bores = spec.part_bores();
        let states = states_along(self.simulator, self.c, run);
        let mut total_pa =
            settled.pressures[self.c][spec.from] - self.tee_falls[run][0] + self.held.shift;
        let mut points = Vec::with_capacity(spec.parts.len() + 1);
        for k in 0..=spec.parts.len() {
            let temperature_k = self.y[states[k]];
            let bore = if k < bores.len() { bores[k][0] } else { spec.end_bores()[1] };
            let density = self.simulator.setup.prepared.coolants[self.c].density(temperature_k);
            let area = bore_area(self.simulator.setup.values.get(bore));
            let static_pa = total_pa - flow * flow / (2.0 * density * area * area);
            points.push(Point { total_pa, static_pa, temperature_k });
            if k < spec.parts.len() {
                let (fall, lift) = laws.part_fall(run, k, first + k, flow);
                total_pa -= fall + lift;
            }
        }
        points
    }

    /// Where the points of a run stand, in the order of [`Self::points`].
    pub(super) fn sites(&self, run: usize) -> Vec<Site> {
        let values = &self.simulator.setup.values;
        let spec = &self.circuit.runs[run];
        let bores = spec.part_bores();
        let mut height_m = self.heights_m[spec.from];
        let mut sites = Vec::with_capacity(spec.parts.len() + 1);
        for k in 0..=spec.parts.len() {
            let bore = if k < bores.len() { bores[k][0] } else { spec.end_bores()[1] };
            sites.push(Site { height_m, bore_m: values.get(bore) });
            if let Some(placed) = spec.parts.get(k) {
                height_m += placed.part.rise().map_or(0.0, |slot| values.get(slot));
            }
        }
        sites
    }

    /// Records the circuit; returns the current that its pumps draw.
    fn record(&self, to: &mut impl Recorder) -> f64 {
        let settled = &self.simulator.settled;
        let mut current = 0.0;
        let mut extremes = Extremes {
            boil_margin: f64::INFINITY,
            hottest: f64::NEG_INFINITY,
            lowest_pa: f64::INFINITY,
        };
        for run in 0..self.circuit.runs.len() {
            current += self.record_run(run, &mut extremes, to);
        }
        for group in self.circuit.groups.iter().enumerate() {
            self.record_group(group, to);
        }
        self.record_tank(to);
        let setup = &self.simulator.setup;
        let first = setup.layout.junctions[self.c];
        for (j, junction) in self.circuit.junctions.iter().enumerate() {
            let id = Id::Junction(self.c, j);
            let pressure = settled.pressures[self.c][j] + self.held.shift;
            to.put(id, &q::JUNCTION_PRESSURE, pressure);
            to.put(id, &q::JUNCTION_TEMPERATURE, self.y[first + j]);
            let vapour = setup.prepared.coolants[self.c].vapour_pressure(self.y[first + j]);
            to.put(id, &q::JUNCTION_HEIGHT, self.heights_m[j]);
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
        to.put(id, &q::BOIL_MARGIN, extremes.boil_margin);
        to.put(id, &q::BALANCE, self.imbalance());
        current
    }

    /// Largest error of mass at a junction, kg/s.
    fn imbalance(&self) -> f64 {
        let settled = &self.simulator.settled;
        let mut sums = settled.outside[self.c].clone();
        for (run, flow) in self.circuit.runs.iter().zip(&settled.flows[self.c]) {
            sums[run.from] -= flow;
            sums[run.to] += flow;
        }
        sums.into_iter().fold(0.0, |worst, sum| worst.max(sum.abs()))
    }

    fn record_run(&self, run: usize, extremes: &mut Extremes, to: &mut impl Recorder) -> f64 {
        let setup = &self.simulator.setup;
        let coolant = &setup.prepared.coolants[self.c];
        let spec = &self.circuit.runs[run];
        let flow = self.simulator.settled.flows[self.c][run];
        let points = self.points(run);
        let id = Id::Run(self.c, run);
        to.put(id, &q::MASS_FLOW, flow);
        let density = coolant.density(points[0].temperature_k);
        to.put(id, &q::FLOW, flow / density);
        let tee =
            |junction: usize| matches!(self.circuit.junctions[junction].joint, Joint::Tee { .. });
        if tee(spec.from) {
            to.put(id, &q::ENTRY_FALL, self.tee_falls[run][0]);
        }
        if tee(spec.to) {
            to.put(id, &q::EXIT_FALL, self.tee_falls[run][1]);
        }
        for point in &points {
            let boiling = coolant.boiling_point_k(point.static_pa + setup.prepared.ambient_pa);
            extremes.boil_margin = extremes.boil_margin.min(boiling - point.temperature_k);
            extremes.hottest = extremes.hottest.max(point.temperature_k);
            extremes.lowest_pa = extremes.lowest_pa.min(point.static_pa);
        }
        let sites = self.sites(run);
        let along = (points.as_slice(), sites.as_slice());
        (0..spec.parts.len()).map(|k| self.record_part(run, k, along, to)).sum()
    }

    /// Records one part; returns the current it draws.
    fn record_part(
        &self,
        run: usize,
        k: usize,
        (points, sites): (&[Point], &[Site]),
        to: &mut impl Recorder,
    ) -> f64 {
        let setup = &self.simulator.setup;
        let spec = &self.circuit.runs[run];
        let placed = &spec.parts[k];
        let id = Id::Part(self.c, run, k);
        let flow = self.simulator.settled.flows[self.c][run];
        let (first, index) = self.first_part(run);
        let state = self.simulator.settled.parts[index + k];
        let bore = setup.values.get(spec.part_bores()[k][0]);
        let (fall, lift) = self.laws().part_fall(run, k, first + k, flow);
        to.put(id, &q::FALL, fall);
        to.put(id, &q::LIFT, lift);
        self.record_ends((run, k), (points, sites), to);
        to.put(id, &q::VELOCITY, flow / (state.density * bore_area(bore)));
        let round = 4.0 * flow.abs() / (std::f64::consts::PI * bore * state.viscosity);
        let tubes = placed.part.tube_reynolds(&setup.values, state.viscosity, flow);
        let reynolds = tubes.unwrap_or(round);
        to.put(id, &q::REYNOLDS, reynolds);
        let (inlet, outlet) =
            if flow >= 0.0 { (points[k], points[k + 1]) } else { (points[k + 1], points[k]) };
        if placed.part.cells() > 0 {
            to.put(id, &q::TEMPERATURE_IN, inlet.temperature_k);
            to.put(id, &q::TEMPERATURE_OUT, outlet.temperature_k);
            to.put(id, &q::RISE, outlet.temperature_k - inlet.temperature_k);
        }
        if placed.part.partner().is_some() {
            to.put(id, &q::HEAT, self.simulator.rates.taken[index + k]);
        }
        if let Some(ice) = setup.layout.ice.iter().find(|ice| ice.part == index + k) {
            to.put(id, &q::ICE, self.y[ice.state].max(0.0));
        }
        let Some(pump) = self.pump_point(run, k, points) else { return 0.0 };
        pump.record(id, to);
        pump.current()
    }

    /// Records the points before and after a part.
    fn record_ends(
        &self,
        (run, k): (usize, usize),
        (points, sites): (&[Point], &[Site]),
        to: &mut impl Recorder,
    ) {
        let setup = &self.simulator.setup;
        let coolant = &setup.prepared.coolants[self.c];
        let flow = self.simulator.settled.flows[self.c][run];
        let id = Id::Part(self.c, run, k);
        for (at, names) in [(k, &q::AT_INLET), (k + 1, &q::AT_OUTLET)] {
            let (point, site) = (points[at], sites[at]);
            let vapour = coolant.vapour_pressure(point.temperature_k);
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
    fn pump_point(&self, run: usize, k: usize, points: &[Point]) -> Option<PumpPoint<'a>> {
        let setup = &self.simulator.setup;
        let flow = self.simulator.settled.flows[self.c][run];
        let (first, index) = self.first_part(run);
        let state = self.simulator.settled.parts[index + k];
        let pump = self.circuit.runs[run].parts[k].part.as_pump()?;
        let at = if flow >= 0.0 { points[k] } else { points[k + 1] };
        let coolant = &setup.prepared.coolants[self.c];
        let inlet = Inlet {
            total_pa: at.total_pa + setup.prepared.ambient_pa,
            static_pa: at.static_pa + setup.prepared.ambient_pa,
            vapour_pa: coolant.vapour_pressure(at.temperature_k),
            density: coolant.density(at.temperature_k),
        };
        let place = LawInputs {
            values: setup.values.reader(),
            density: state.density,
            viscosity: state.viscosity,
        };
        let head = -self.laws().part_fall(run, k, first + k, flow).0;
        Some(PumpPoint::of(pump, &place, (flow, head), inlet))
    }

    /// Records several pumps as one.
    fn record_group(&self, (g, group): (usize, &PumpGroup), to: &mut impl Recorder) {
        let unit = |&(run, part): &(usize, usize)| self.pump_point(run, part, &self.points(run));
        let units: Vec<PumpPoint<'_>> = group.units.iter().filter_map(unit).collect();
        if let Some(whole) = Whole::all(&units, group.arrangement) {
            whole.record(Id::Group(self.c, g), to);
        }
    }
}

/// Records a body and the flows of its passes.
fn record_body(simulator: &Simulator<'_>, body: usize, y: &[f64], to: &mut impl Recorder) {
    let setup = &simulator.setup;
    let id = Id::Body(body);
    let (mut least, mut most, mut sum, mut heat) = (f64::INFINITY, 0.0_f64, 0.0, 0.0);
    let (mut weighted, mut weights) = (0.0, 0.0);
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
        sum += flow;
        heat += simulator.rates.taken[index];
        // Where nothing flows anywhere, every pass counts alike.
        let weight =
            mass_flow * setup.prepared.coolants[c].heat_capacity(state.temperature_k) + 1e-9;
        let along = states_along(simulator, c, r);
        let (first, last) = (y[along[p]], y[along[p + 1]]);
        let forward = simulator.settled.flows[c][r] >= 0.0;
        weighted += weight * if forward { last - first } else { first - last };
        weights += weight;
    }
    to.put(id, &q::METAL, y[setup.layout.bodies[body]]);
    to.put(id, &q::HEAT_IN, simulator.rates.border.bodies[body]);
    to.put(id, &q::HEAT, heat);
    to.put(id, &q::COOLANT_FLOW, sum);
    to.put(id, &q::COOLANT_RISE, if weights > 0.0 { weighted / weights } else { 0.0 });
    to.put(id, &q::SPREAD, if least > 0.0 { most / least } else { f64::INFINITY });
}

/// Records an air path with its cores and fans; returns the current of its fans.
fn record_air(simulator: &Simulator<'_>, a: usize, path: &AirPath, to: &mut impl Recorder) -> f64 {
    let setup = &simulator.setup;
    let (model, values) = (setup.model, &setup.values);
    let air = &simulator.settled.air[a];
    let site_density = setup.prepared.air.density(setup.prepared.air_k);
    let id = Id::AirPath(a);
    to.put(id, &q::AIR_MASS_FLOW, air.flow);
    to.put(id, &q::AIR_FLOW, air.flow / site_density);
    for (k, &core) in path.cores.iter().enumerate() {
        record_core(simulator, core, (air.flow, air.temperatures[k], air.falls[k]), to);
    }
    let mut current = 0.0;
    for (f, (fan, &flow)) in path.fans.iter().zip(&simulator.settled.air_runs[a][1..]).enumerate() {
        let id = Id::Fan(a, f);
        let power = fan.power_w(values, air.fan_density);
        let amps = power / values.get(model.drive.voltage);
        let fall = fan.fall(&values.reader(), air.fan_density, flow);
        to.put(id, &q::FAN_FLOW, flow / air.fan_density);
        to.put(id, &q::FAN_PRESSURE, -fall);
        to.put(id, &q::SPEED, values.get(fan.speed));
        to.put(id, &q::CURRENT, amps);
        current += amps;
    }
    current
}

/// Records a core: its heat, its air, how much of what could pass does.
fn record_core(
    simulator: &Simulator<'_>,
    core: usize,
    (air_flow, air_in, air_fall): (f64, f64, f64),
    to: &mut impl Recorder,
) {
    let setup = &simulator.setup;
    let spec = &setup.model.cores[core];
    let index = setup.layout.core_parts[core];
    let (c, r, _) = setup.layout.parts[index].at;
    let flow = simulator.settled.flows[c][r];
    let local =
        CoolantAt::of(&setup.prepared.coolants[c], simulator.settled.parts[index].temperature_k);
    let heat = simulator.rates.border.cores[core];
    let air_capacity = air_flow.abs() * setup.prepared.air.heat_capacity(setup.prepared.air_k);
    let coolant = [local.viscosity, local.conductivity, local.heat_capacity];
    let whole =
        setup.prepared.cores[core].resistances(&setup.values, spec, (flow, coolant), air_flow);
    let id = Id::Core(core);
    to.put(id, &q::REJECTED, heat);
    to.put(id, &q::AIR_IN, air_in);
    let air_out = if air_capacity > 0.0 { air_in + heat / air_capacity } else { air_in };
    to.put(id, &q::AIR_OUT, air_out);
    to.put(id, &q::CORE_UA, 1.0 / (whole.film + whole.wall + whole.air));
    to.put(id, &q::AIR_FALL, air_fall);
    if let Some(face) = spec.face {
        let density = setup.prepared.air.density(air_in);
        to.put(id, &q::AIR_FACE, air_flow / (density * setup.values.get(face)));
    }
}
