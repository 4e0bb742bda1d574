//! What is worked out once for every circuit before its results are read: heights, bores, falls and
//! points along its runs. The room for it is kept from one state to the next.

use super::tank::Held;
use crate::circuit::{Circuit, CircuitLaws, End};
use crate::parts::{GRAVITY, bore_area};
use crate::simulate::Simulator;

/// A point along a run.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Point {
    pub(super) total_pa: f64,
    pub(super) static_pa: f64,
    pub(super) temperature_k: f64,
}

/// Where a point along a run stands.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Site {
    /// Height above the circuit's reference, m.
    pub(super) height_m: f64,
    /// Bore there, m.
    pub(super) bore_m: f64,
}

/// Room for reading a model, made once and used for every state of it.
#[derive(Debug, Default)]
pub struct Room {
    pub(super) circuits: Vec<CircuitRoom>,
    /// What is drawn from each supply, A.
    pub(super) amps: Vec<f64>,
}

impl Room {
    /// Room for the model of a simulator.
    pub fn of(simulator: &Simulator<'_>) -> Self {
        let circuits = simulator.setup.model.circuits.iter();
        Self {
            circuits: circuits.map(CircuitRoom::of).collect(),
            amps: vec![0.0; simulator.setup.model.supplies.len()],
        }
    }
}

/// What is known along the runs of one circuit.
///
/// Lists of points have one more for each run than it has parts: before the first part, between all
/// parts, and after the last.
#[derive(Debug)]
pub(super) struct CircuitRoom {
    /// Runs in the order in which heights are found from one junction to the next: the run, and
    /// whether it is gone along.
    order: Vec<(usize, bool)>,
    /// What the tees add to the start and the end of every run, Pa.
    pub(super) tee_falls: Vec<[f64; 2]>,
    /// Height of every junction above the reference, m.
    pub(super) heights_m: Vec<f64>,
    /// Place of the first point of each run, and the end.
    first_points: Vec<usize>,
    /// For each point, the state whose coolant is there: the one upstream.
    states: Vec<usize>,
    sites: Vec<Site>,
    points: Vec<Point>,
    /// Points within parts, in the order of the runs: run, part, point.
    inside: Vec<(usize, usize, Point)>,
    /// Bore at the inlet of each part, m.
    pub(super) bores: Vec<f64>,
    /// Fall of each part by friction and losses, and by height, Pa.
    pub(super) falls: Vec<(f64, f64)>,
    /// Mass that each junction gains, kg/s.
    pub(super) gains: Vec<f64>,
    /// The pressure at the reference.
    pub(super) held: Held,
}

impl CircuitRoom {
    fn of(circuit: &Circuit) -> Self {
        let mut first_points = vec![0];
        for run in &circuit.runs {
            let last = first_points.last().copied().unwrap_or(0);
            first_points.push(last + run.parts.len() + 1);
        }
        let points = first_points.last().copied().unwrap_or(0);
        let parts = points - circuit.runs.len();
        let all = circuit.runs.iter().flat_map(|run| &run.parts);
        let corners = all.map(|placed| placed.part.corners().len()).sum();
        Self {
            order: circuit.height_order(),
            tee_falls: vec![[0.0; 2]; circuit.runs.len()],
            heights_m: vec![f64::NAN; circuit.junctions.len()],
            first_points,
            states: vec![0; points],
            sites: vec![Site::default(); points],
            points: vec![Point::default(); points],
            inside: Vec::with_capacity(corners),
            bores: vec![0.0; parts],
            falls: vec![(0.0, 0.0); parts],
            gains: vec![0.0; circuit.junctions.len()],
            held: Held::default(),
        }
    }

    /// The points of a run.
    pub(super) fn points(&self, run: usize) -> &[Point] {
        &self.points[self.first_points[run]..self.first_points[run + 1]]
    }

    /// The points within the parts of a run, with their parts.
    pub(super) fn inside(&self, run: usize) -> impl Iterator<Item = (usize, Point)> + '_ {
        // They were put there run by run.
        let from = self.inside.partition_point(|(of, ..)| *of < run);
        let own = self.inside[from..].iter().take_while(move |(of, ..)| *of == run);
        own.map(|&(_, part, point)| (part, point))
    }

    /// Where the points of a run stand, in the same order.
    pub(super) fn sites(&self, run: usize) -> &[Site] {
        &self.sites[self.first_points[run]..self.first_points[run + 1]]
    }

    /// The states whose coolant is at the points of a run.
    pub(super) fn states(&self, run: usize) -> &[usize] {
        &self.states[self.first_points[run]..self.first_points[run + 1]]
    }

    /// The place of a part among all parts of the circuit.
    pub(super) fn part(&self, run: usize, part: usize) -> usize {
        self.first_points[run] - run + part
    }

    /// Works out everything but the pressure at the reference, with pressures as solved.
    pub(super) fn fill(&mut self, simulator: &Simulator<'_>, c: usize, y: &[f64]) {
        let circuit = &simulator.setup.model.circuits[c];
        self.held = Held::default();
        circuit.heights_along(&simulator.setup.values, &self.order, &mut self.heights_m);
        self.fill_tees(simulator, c);
        self.fill_gains(simulator, c);
        for run in 0..circuit.runs.len() {
            self.fill_sites(simulator, (c, run));
            self.fill_states(simulator, (c, run));
            self.fill_falls(simulator, (c, run));
        }
        self.fill_points(simulator, c, y);
    }

    fn fill_tees(&mut self, simulator: &Simulator<'_>, c: usize) {
        let laws = laws(simulator, c);
        self.tee_falls.copy_from_slice(&simulator.setup.offsets.tees[c]);
        for junction in 0..laws.circuit.junctions.len() {
            let falls = laws.tee_falls(junction, &simulator.settled.flows[c]);
            for (run, end, fall) in falls {
                self.tee_falls[run][usize::from(end == End::To)] += fall;
            }
        }
    }

    fn fill_gains(&mut self, simulator: &Simulator<'_>, c: usize) {
        let settled = &simulator.settled;
        self.gains.copy_from_slice(&settled.outside[c]);
        let runs = &simulator.setup.model.circuits[c].runs;
        for (run, flow) in runs.iter().zip(&settled.flows[c]) {
            self.gains[run.from] -= flow;
            self.gains[run.to] += flow;
        }
    }

    fn fill_sites(&mut self, simulator: &Simulator<'_>, (c, r): (usize, usize)) {
        let values = &simulator.setup.values;
        let run = &simulator.setup.model.circuits[c].runs[r];
        let (first, part) = (self.first_points[r], self.part(r, 0));
        let ends = run.end_bores();
        let mut height_m = self.heights_m[run.from];
        let mut bore = ends[0];
        for (k, placed) in run.parts.iter().enumerate() {
            let [inlet, outlet] = placed.part.bores();
            let inlet = inlet.unwrap_or(bore);
            bore = outlet.unwrap_or(inlet);
            let bore_m = values.get(inlet);
            self.bores[part + k] = bore_m;
            self.sites[first + k] = Site { height_m, bore_m };
            height_m += placed.part.rise().map_or(0.0, |slot| values.get(slot));
        }
        self.sites[first + run.parts.len()] = Site { height_m, bore_m: values.get(ends[1]) };
    }

    fn fill_states(&mut self, simulator: &Simulator<'_>, (c, r): (usize, usize)) {
        let layout = &simulator.setup.layout;
        let run = &simulator.setup.model.circuits[c].runs[r];
        let parts = &layout.parts[layout.run_parts[c][r]..][..run.parts.len()];
        let states = &mut self.states[self.first_points[r]..self.first_points[r + 1]];
        if super::is_forward(simulator.settled.flows[c][r]) {
            states[0] = layout.junctions[c] + run.from;
            for (k, cells) in parts.iter().enumerate() {
                let own = cells.count > 0;
                states[k + 1] = if own { cells.first + cells.count - 1 } else { states[k] };
            }
        } else {
            states[parts.len()] = layout.junctions[c] + run.to;
            for (k, cells) in parts.iter().enumerate().rev() {
                states[k] = if cells.count > 0 { cells.first } else { states[k + 1] };
            }
        }
    }

    fn fill_falls(&mut self, simulator: &Simulator<'_>, (c, r): (usize, usize)) {
        let (laws, setup) = (laws(simulator, c), &simulator.setup);
        let flow = simulator.settled.flows[c][r];
        for k in 0..laws.circuit.runs[r].parts.len() {
            let at = self.part(r, k);
            let (fall, lift) = laws.part_fall(r, k, at, flow);
            let off = setup.offsets.of_part(setup.layout.run_parts[c][r] + k, flow);
            self.falls[at] = (fall + off, lift);
        }
    }

    /// Works out the points of every run, with pressures shifted by what the reference asks for.
    pub(super) fn fill_points(&mut self, simulator: &Simulator<'_>, c: usize, y: &[f64]) {
        let coolant = &simulator.setup.prepared.coolants[c];
        let settled = &simulator.settled;
        self.inside.clear();
        for (r, run) in simulator.setup.model.circuits[c].runs.iter().enumerate() {
            let flow = settled.flows[c][r];
            let (first, part) = (self.first_points[r], self.part(r, 0));
            let mut total_pa =
                settled.pressures[c][run.from] - self.tee_falls[r][0] + self.held.shift;
            for k in 0..=run.parts.len() {
                let temperature_k = y[self.states[first + k]];
                let density = coolant.density(temperature_k);
                let area = bore_area(self.sites[first + k].bore_m);
                let static_pa = total_pa - flow * flow / (2.0 * density * area * area);
                self.points[first + k] = Point { total_pa, static_pa, temperature_k };
                if k < run.parts.len() {
                    let (fall, lift) = self.falls[part + k];
                    total_pa -= fall + lift;
                }
            }
            self.fill_inside(simulator, (c, r), y);
        }
    }

    /// The points within the parts of a run: `p = p_in − s Δp − ρ g z` at the share s of the way, z above the
    /// inlet.
    fn fill_inside(&mut self, simulator: &Simulator<'_>, (c, r): (usize, usize), y: &[f64]) {
        let layout = &simulator.setup.layout;
        let run = &simulator.setup.model.circuits[c].runs[r];
        let (first, part) = (self.first_points[r], self.part(r, 0));
        for (k, placed) in run.parts.iter().enumerate() {
            let index = layout.run_parts[c][r] + k;
            let (cells, inlet) = (layout.parts[index], self.points[first + k]);
            for corner in placed.part.corners() {
                let weight = simulator.settled.parts[index].density * GRAVITY * corner.height_m;
                let total_pa = inlet.total_pa - corner.share * self.falls[part + k].0 - weight;
                let static_pa = total_pa - (inlet.total_pa - inlet.static_pa);
                let state = cells.first + corner.cell(cells.count);
                let temperature_k = if cells.count > 0 { y[state] } else { inlet.temperature_k };
                self.inside.push((r, k, Point { total_pa, static_pa, temperature_k }));
            }
        }
    }
}

/// The laws of a circuit at the flows of the last evaluation.
fn laws<'a>(simulator: &'a Simulator<'_>, c: usize) -> CircuitLaws<'a> {
    let (setup, settled) = (&simulator.setup, &simulator.settled);
    let range = setup.layout.circuit_parts[c]..setup.layout.circuit_parts[c + 1];
    CircuitLaws {
        circuit: &setup.model.circuits[c],
        values: &setup.values,
        parts: &settled.parts[range],
        junction_density: &settled.junction_density[c],
        couplings: &[],
    }
}
