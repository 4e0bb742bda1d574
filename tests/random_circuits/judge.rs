//! Solves a random circuit and holds the answer to its laws: mass at each junction, pressure around
//! each loop, both counted here from the parts themselves.

use coolwright_cases::lower::Ready;
use coolwright_models::circuit::{CircuitLaws, Joint};
use coolwright_models::results::Results;
use coolwright_models::simulate::{Simulator, Unsettled};
use coolwright_models::solve::SolveError;
use coolwright_solver::network::{Laws, Reason};

use super::kinds::Counts;
use super::sketch::Sketch;
use crate::common::Random;

/// Mass at a junction: what is left over, over the largest flow there.
pub(crate) const MASS: f64 = 1e-10;
/// Falls around a loop: what is left over, over the largest fall of a part in that loop.
pub(crate) const CLOSURE: f64 = 1e-9;
/// A flow is a number of 53 bits. A fall cannot be met closer than its slope times the last of them,
/// and a sum of falls not closer than its own last bits.
const ROUNDING: f64 = 4.0 * f64::EPSILON;
/// What the solver calls closed without further question, Pa.
const FLOOR_PA: f64 = 1e-9;

/// How the flows are started.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Start {
    /// As every answer is: 0.1 kg/s in every run.
    Usual,
    /// At rest.
    Rest,
    /// Anything over eight decades, in any direction.
    Random(u64),
}

/// An answer, as it was found.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) flows: Vec<f64>,
    pub(crate) pressures: Vec<f64>,
    /// Slope of each run's fall over its own flow, Pa·s/kg.
    slopes: Vec<f64>,
    /// The largest fall of a part, or pressure.
    largest_pa: f64,
    /// Worst mass and closure, each over its scale.
    pub(crate) worst_mass: f64,
    pub(crate) worst_closure: f64,
}

/// What came of a circuit.
#[derive(Debug)]
pub(crate) enum Outcome {
    Solved(Answer),
    /// The typed error, and its text.
    Refused(Reason, String),
}

/// A simulator at the temperatures of the sketch.
pub(crate) fn temperatures(simulator: &Simulator<'_>, sketch: &Sketch, seed: u64) -> Vec<f64> {
    let mut y = simulator.start();
    let mut random = Random(seed);
    for (state, circuit) in y.iter_mut().zip(&simulator.setup.layout.coolant) {
        if circuit.is_some() {
            *state = 273.15 + sketch.celsius + sketch.spread_k * random.next();
        }
    }
    y
}

/// Solves the only circuit of a case from a start, and checks the answer. `Err` says what is wrong.
pub(crate) fn solve(
    ready: &Ready,
    sketch: &Sketch,
    seed: u64,
    start: Start,
    counts: &mut Counts,
) -> Result<Outcome, String> {
    let values = ready.model.values.clone();
    let mut simulator =
        Simulator::new(&ready.model, values).map_err(|e| format!("not prepared: {e:?}"))?;
    let y = temperatures(&simulator, sketch, seed);
    let mut random = Random(seed);
    for flow in &mut simulator.settled.flows[0] {
        match start {
            Start::Usual => {}
            Start::Rest => *flow = 0.0,
            Start::Random(salt) => {
                random.0 ^= salt;
                let sign = if random.chance(0.5) { 1.0 } else { -1.0 };
                *flow = sign * random.decades(1e-6, 1e2);
            }
        }
    }
    match simulator.settle(&y) {
        Ok(()) => {
            counts.take(&sketch.text, &simulator);
            counts.laws.extend(crate::common::laws::hold(&simulator)?);
            if simulator.evaluate(&y).is_ok() {
                let results = Results::read(&simulator, &y);
                crate::common::reasons::hold(&simulator, &results)?;
            }
            Ok(Outcome::Solved(check(&simulator)?))
        }
        Err(error) => {
            let reason = match &error {
                Unsettled::Circuit { stuck, .. } => stuck.reason.clone(),
                Unsettled::Air { stuck, .. } => return Err(format!("air: {stuck}")),
            };
            let text = SolveError::unsettled(&simulator.setup, error).to_string();
            Ok(Outcome::Refused(reason, text))
        }
    }
}

/// One run as its parts tell it.
#[derive(Clone, Copy, Debug, Default)]
struct Told {
    fall: f64,
    /// The largest fall of one of its parts, heights and tees.
    largest: f64,
    /// Sum of their sizes.
    sum: f64,
    /// |slope · flow|
    steep: f64,
    slope: f64,
}

/// Falls of all runs at the flows found, part by part.
fn told(simulator: &Simulator<'_>) -> Vec<Told> {
    let settled = &simulator.settled;
    let circuit = &simulator.setup.model.circuits[0];
    let couplings = circuit.couplings();
    let laws = CircuitLaws {
        circuit,
        values: &simulator.setup.values,
        parts: &settled.parts,
        junction_density: &settled.junction_density[0],
        couplings: &couplings,
    };
    let flows = &settled.flows[0];
    let mut told = vec![Told::default(); flows.len()];
    let mut add = |run: usize, fall: f64| {
        told[run].fall += fall;
        told[run].sum += fall.abs();
        told[run].largest = told[run].largest.max(fall.abs());
    };
    let mut index = 0;
    for (r, run) in circuit.runs.iter().enumerate() {
        for part in 0..run.parts.len() {
            let (fall, lift) = laws.part_fall(r, part, index, flows[r]);
            add(r, fall);
            add(r, lift);
            index += 1;
        }
    }
    for junction in 0..circuit.junctions.len() {
        for (run, _, fall) in laws.tee_falls(junction, flows) {
            add(run, fall);
        }
    }
    let mut laws = laws;
    let (mut falls, mut slopes) = (vec![0.0; flows.len()], vec![0.0; flows.len()]);
    let mut cross = vec![0.0; couplings.len()];
    laws.evaluate(flows, &mut falls, &mut slopes, &mut cross);
    for ((told, slope), flow) in told.iter_mut().zip(&slopes).zip(flows) {
        told.steep += (slope * flow).abs();
        told.slope = slope.abs();
    }
    for (&(of, on), cross) in couplings.iter().zip(&cross) {
        told[of].steep += (cross * flows[on]).abs();
    }
    told
}

/// Checks an answer: the worst residuals, or what is wrong.
fn check(simulator: &Simulator<'_>) -> Result<Answer, String> {
    let settled = &simulator.settled;
    let (flows, pressures) = (settled.flows[0].clone(), settled.pressures[0].clone());
    if flows.iter().chain(&pressures).any(|x| !x.is_finite()) {
        return Err(format!("not finite: {flows:?} {pressures:?}"));
    }
    let worst_mass = mass(simulator)?;
    let told = told(simulator);
    let worst_closure = closure(simulator, &told)?;
    let slopes = told.iter().map(|told| told.slope).collect();
    let largest_pa = told.iter().fold(0.0_f64, |most, told| most.max(told.largest));
    let largest_pa = pressures.iter().fold(largest_pa, |most, p| most.max(p.abs()));
    Ok(Answer { flows, pressures, slopes, largest_pa, worst_mass, worst_closure })
}

/// Worst mass of a junction, over the largest flow there.
fn mass(simulator: &Simulator<'_>) -> Result<f64, String> {
    let circuit = &simulator.setup.model.circuits[0];
    let (flows, outside) = (&simulator.settled.flows[0], &simulator.settled.outside[0]);
    let mut worst = 0.0_f64;
    for (j, junction) in circuit.junctions.iter().enumerate() {
        let open = matches!(junction.joint, Joint::Held { .. } | Joint::Fed { .. });
        if !open && outside[j] != 0.0 {
            return Err(format!("{} kg/s from outside at `{}`", outside[j], junction.name));
        }
        let (mut sum, mut largest) = (outside[j], outside[j].abs());
        for (run, flow) in circuit.runs.iter().zip(flows) {
            // A run that starts and ends here brings nothing.
            if (run.from == j) != (run.to == j) {
                sum += if run.to == j { *flow } else { -flow };
                largest = largest.max(flow.abs());
            }
        }
        if sum.abs() > MASS * largest {
            return Err(format!(
                "mass at `{}`: {sum:e} kg/s left over of at most {largest:e} kg/s",
                junction.name
            ));
        }
        if largest > 0.0 {
            worst = worst.max(sum.abs() / largest);
        }
    }
    Ok(worst)
}

/// Worst closure of the loops that a spanning tree of the test's own makes, over the largest fall in
/// the loop. Also each run against the pressures handed out.
fn closure(simulator: &Simulator<'_>, told: &[Told]) -> Result<f64, String> {
    let circuit = &simulator.setup.model.circuits[0];
    let settled = &simulator.settled;
    let tree = Tree::new(simulator, told);
    let mut worst = 0.0_f64;
    let mut all = Told::default();
    for (run, own) in circuit.runs.iter().zip(told) {
        let (left, scale) = tree.close((run.from, run.to), *own);
        all.largest = all.largest.max(own.largest);
        all.sum += own.sum + own.steep;
        let allowed = CLOSURE * scale.largest + ROUNDING * (scale.sum + scale.steep) + FLOOR_PA;
        if left.abs() > allowed {
            return Err(format!(
                "the loop of `{}` is open by {left:e} Pa; largest fall {:e} Pa, slope times flow {:e} Pa",
                run.name, scale.largest, scale.steep
            ));
        }
        if scale.largest > 1e-3 {
            worst = worst.max(left.abs() / scale.largest);
        }
    }
    let pressures = &settled.pressures[0];
    let most = pressures.iter().fold(all.largest, |most, p| most.max(p.abs()));
    for (run, own) in circuit.runs.iter().zip(told) {
        let left = own.fall - (pressures[run.from] - pressures[run.to]);
        if left.abs() > CLOSURE * most + ROUNDING * all.sum + FLOOR_PA {
            return Err(format!("pressures differ from the fall of `{}` by {left:e} Pa", run.name));
        }
    }
    for (j, junction) in circuit.junctions.iter().enumerate() {
        if let Joint::Held { pressure, .. } = &junction.joint {
            let held = simulator.setup.values.get(*pressure);
            if (pressures[j] - held).abs() > 1e-12 * held.abs() {
                return Err(format!("`{}` is not held: {} {held}", junction.name, pressures[j]));
            }
        }
    }
    Ok(worst)
}

/// A spanning tree by breadth, whose roots are the held junctions, or the first one.
struct Tree {
    parent: Vec<usize>,
    depth: Vec<usize>,
    /// What the run from the parent tells, downwards.
    branch: Vec<Told>,
}

impl Tree {
    fn new(simulator: &Simulator<'_>, told: &[Told]) -> Self {
        let circuit = &simulator.setup.model.circuits[0];
        let count = circuit.junctions.len();
        // The outside stands above the held junctions.
        let outside = count;
        let mut tree = Self {
            parent: vec![usize::MAX; count + 1],
            depth: vec![0; count + 1],
            branch: vec![Told::default(); count + 1],
        };
        tree.parent[outside] = outside;
        let mut order = vec![outside];
        for (j, junction) in circuit.junctions.iter().enumerate() {
            if let Joint::Held { pressure, .. } = &junction.joint {
                let fall = -simulator.setup.values.get(*pressure);
                let largest = fall.abs();
                let own = Told { fall, largest, sum: largest, ..Told::default() };
                tree.hang(&mut order, (j, outside), own, 1.0);
            }
        }
        let mut next = 0;
        for root in 0..count {
            while next < order.len() {
                let at = order[next];
                next += 1;
                for (run, own) in circuit.runs.iter().zip(told) {
                    if run.from == at && tree.parent[run.to] == usize::MAX {
                        tree.hang(&mut order, (run.to, at), *own, 1.0);
                    } else if run.to == at && tree.parent[run.from] == usize::MAX {
                        tree.hang(&mut order, (run.from, at), *own, -1.0);
                    }
                }
            }
            if tree.parent[root] == usize::MAX {
                tree.parent[root] = root;
                order.push(root);
            }
        }
        tree
    }

    fn hang(&mut self, order: &mut Vec<usize>, (at, above): (usize, usize), own: Told, sign: f64) {
        self.parent[at] = above;
        self.depth[at] = self.depth[above] + 1;
        self.branch[at] = Told { fall: sign * own.fall, ..own };
        order.push(at);
    }

    /// What is left over around the loop that a run closes, and the scale of that loop.
    fn close(&self, (from, to): (usize, usize), own: Told) -> (f64, Told) {
        let mut scale = own;
        let mut left = own.fall;
        let (mut a, mut b) = (from, to);
        while a != b {
            // The loop comes back from the end of the run: down to its start, up from its end.
            let up = self.depth[b] > self.depth[a];
            let deeper = if up { &mut b } else { &mut a };
            let branch = self.branch[*deeper];
            left += if up { -branch.fall } else { branch.fall };
            scale.largest = scale.largest.max(branch.largest);
            scale.sum += branch.sum;
            scale.steep += branch.steep;
            *deeper = self.parent[*deeper];
        }
        (left, scale)
    }
}

/// By how much answers from different starts may differ, as a share of the largest fall of a part.
const SAME: f64 = 1e-8;

/// Answers of one circuit from different starts must be the same: in every run the fall, as far as
/// the flow makes it, and the pressure of every junction.
pub(crate) fn same(answers: &[Answer]) -> Result<(), String> {
    let first = &answers[0];
    for other in &answers[1..] {
        let allowed = SAME * first.largest_pa + 100.0 * FLOOR_PA;
        for (run, (a, b)) in first.flows.iter().zip(&other.flows).enumerate() {
            if (a - b).abs() * first.slopes[run].min(other.slopes[run]) > allowed {
                return Err(format!("the flow of run {run} differs by start: {a:e} {b:e}"));
            }
        }
        for (junction, (a, b)) in first.pressures.iter().zip(&other.pressures).enumerate() {
            if (a - b).abs() > allowed {
                return Err(format!("pressure {junction} differs by start: {a:e} {b:e}"));
            }
        }
    }
    Ok(())
}
