//! What the answer may be off by, because published laws disagree.
//!
//! Every part and every tee states what its fall may be off by at its flow ([`crate::laws::uncertainty`]).
//! Each of these offsets moves all flows and pressures of its circuit; how far follows from the linear
//! response of the network, on the factor that the solve left behind, at fixed temperatures. The
//! contributions dᵢ to one number are put together as
//!
//! ```text
//! u² = ½ Σ over laws (Σᵢ dᵢ)² + ½ Σᵢ dᵢ²
//! ```
//!
//! that is, the square root of the sum of squares, where the errors of two parts that follow the same law
//! are correlated by one half: in part they come from the law, which is the same everywhere, in part
//! from the part. (Treated as independent, ten equal hoses would be known better than the law of one;
//! treated as one error, the split between equal passes would be known exactly.)
//!
//! Wrong inputs are not in it: a bore, a roughness, a number off a label that differs from what stands in
//! the vehicle. What the case leaves out is in the list of assumptions.

mod propagate;

use crate::ids::Id;
use crate::instance::Instance;
use crate::laws::uncertainty::Law;
use crate::model::Model;
use crate::parts::HeatPartner;
use crate::results::quantities as q;
use crate::results::{Entries, Quantity, Recorder, Results};
use crate::simulate::Simulator;
use crate::slots::Values;
use crate::solve::SolveError;

use propagate::{Propagated, Spread};

/// Most runs of a circuit whose uncertainty is carried through it: the work grows with the square of
/// their number.
const MOST_RUNS: usize = 1000;

/// Which law, and where, contributes most to the uncertainty of a number.
#[derive(Clone, Debug)]
pub struct Leading {
    /// The number: of what, and which.
    pub of: (Id, &'static Quantity),
    /// The part, or the junction, whose law it is.
    pub from: Id,
    /// The law.
    pub law: Law,
    /// What it would change by because of this law alone, in the unit of the number.
    pub alone: f64,
}

/// The uncertainty of an operating point.
#[derive(Clone, Debug)]
pub struct Uncertainty {
    /// Half widths, by address: `flow_uncertainty` and so on.
    pub results: Results,
    /// For each circuit, what moves the flow of its fullest run and the pressure at its pumps most.
    pub leading: Vec<Leading>,
    /// Circuits that are too large to carry the uncertainty through, or in which nothing moves.
    pub without: Vec<usize>,
}

/// Works out the uncertainty of a model with the given numbers at the temperatures `states`.
///
/// # Errors
/// When the numbers are out of range or the flows do not come to rest.
#[expect(clippy::needless_pass_by_value, reason = "callers hand over numbers made for this")]
pub fn uncertainty(
    model: &Model,
    values: Values,
    states: &[f64],
) -> Result<Uncertainty, SolveError> {
    of_instance(&mut Instance::new(model), &values, states)
}

/// The same on an instance that is kept.
///
/// # Errors
/// As [`uncertainty`].
pub fn of_instance(
    instance: &mut Instance<'_>,
    values: &Values,
    states: &[f64],
) -> Result<Uncertainty, SolveError> {
    let model = instance.model();
    let simulator = instance.at(values, states)?;
    let mut entries = Entries::of(model);
    let mut leading = Vec::new();
    let mut without = Vec::new();
    let mut circuits = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        let propagated = Propagated::of(simulator, c, circuit.runs.len() <= MOST_RUNS);
        propagated.record_own(&mut entries);
        if propagated.carried() {
            propagated.record(&mut entries, &mut leading);
        } else {
            without.push(c);
        }
        circuits.push(propagated);
    }
    for body in 0..model.bodies.len() {
        record_body(simulator, body, &circuits, &mut entries);
    }
    Ok(Uncertainty { results: entries.results(), leading, without })
}

/// The offset of one law, and what it alone moves.
#[derive(Clone, Debug)]
pub struct Moved {
    /// The part, or the junction, whose law it is.
    pub from: Id,
    /// The law.
    pub law: Law,
    /// The run whose fall is offset.
    pub run: usize,
    /// The offset, Pa, with the sign of a larger loss in the direction of the flow.
    pub pa: f64,
    /// Change of the mass flow of every run of the circuit, kg/s.
    pub flows: Vec<f64>,
    /// Change of the total pressure at every junction, Pa.
    pub pressures: Vec<f64>,
    /// Change of the static pressure at the inlet of every pump, Pa.
    pub pump_inlets: Vec<(Id, f64)>,
}

/// What the offset of each law moves, circuit by circuit; nothing for a circuit in
/// [`Uncertainty::without`].
///
/// # Errors
/// As [`uncertainty`].
#[expect(clippy::needless_pass_by_value, reason = "callers hand over numbers made for this")]
pub fn moved(model: &Model, values: Values, states: &[f64]) -> Result<Vec<Vec<Moved>>, SolveError> {
    let mut instance = Instance::new(model);
    let simulator = instance.at(&values, states)?;
    let circuits = 0..model.circuits.len();
    let of = |c| Propagated::of(simulator, c, model.circuits[c].runs.len() <= MOST_RUNS);
    Ok(circuits.map(of).map(|propagated| propagated.moved()).collect())
}

/// A pass of a body: circuit, run, part, and the volume flow through it, m³/s.
struct PassFlow {
    circuit: usize,
    run: usize,
    part: usize,
    density: f64,
    mass_flow: f64,
}

/// Records the uncertainty of a body's flow, of the shares of its passes, and of their spread.
fn record_body(
    simulator: &Simulator<'_>,
    body: usize,
    circuits: &[Propagated<'_>],
    to: &mut Entries<'_>,
) {
    let setup = &simulator.setup;
    let mut passes = Vec::new();
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        if setup.part(index).partner() == Some(HeatPartner::Body(body)) {
            let (circuit, run, part) = cells.at;
            let density = simulator.settled.parts[index].density;
            let mass_flow = simulator.settled.flows[circuit][run];
            passes.push(PassFlow { circuit, run, part, density, mass_flow });
        }
    }
    let flow = |pass: &PassFlow| pass.mass_flow.abs() / pass.density;
    let total: f64 = passes.iter().map(flow).sum();
    let carried = |pass: &PassFlow| circuits[pass.circuit].carried();
    if passes.is_empty() || total <= 0.0 || !passes.iter().all(carried) {
        return;
    }
    // Weights w of the passes: the number moves by Σ w dQ.
    let spread_of = |weights: &[f64]| -> f64 {
        let mut sum = Spread::default();
        for (c, circuit) in circuits.iter().enumerate() {
            let of_circuit = circuit.spread(|contribution| {
                let mut change = 0.0;
                for (pass, weight) in passes.iter().zip(weights) {
                    if pass.circuit == c {
                        let mass = circuit.flow_change(contribution, pass.run);
                        change += weight * mass * pass.mass_flow.signum() / pass.density;
                    }
                }
                change
            });
            sum.join(&of_circuit);
        }
        sum.half_width()
    };
    let id = Id::Body(body);
    to.put(id, &q::FLOW_UNCERTAINTY, spread_of(&vec![1.0; passes.len()]));
    if passes.len() < 2 {
        return;
    }
    for (k, pass) in passes.iter().enumerate() {
        let share = flow(pass) / total;
        let weights: Vec<f64> =
            (0..passes.len()).map(|i| (f64::from(u8::from(i == k)) - share) / total).collect();
        let part = Id::Part(pass.circuit, pass.run, pass.part);
        to.put(part, &q::SHARE, share);
        to.put(part, &q::SHARE_UNCERTAINTY, spread_of(&weights));
    }
    let by = |a: &usize, b: &usize| flow(&passes[*a]).total_cmp(&flow(&passes[*b]));
    let (Some(most), Some(least)) = ((0..passes.len()).max_by(by), (0..passes.len()).min_by(by))
    else {
        return;
    };
    if flow(&passes[least]) <= 0.0 {
        return;
    }
    let mut weights = vec![0.0; passes.len()];
    weights[most] += 1.0 / flow(&passes[least]);
    weights[least] -= flow(&passes[most]) / (flow(&passes[least]) * flow(&passes[least]));
    to.put(id, &q::SPREAD_UNCERTAINTY, spread_of(&weights));
}
