//! The operating point: the state at which the rates of the duty cycle vanish.

use coolwright_solver::integrate::{NoSteadyState, SteadySearch, SteadySettings, System};

use crate::charge::StageKind;
use crate::gauge::Rise;
use crate::ids::Id;
use crate::instance::{Instance, Made, Room, Start};
use crate::model::Model;
use crate::parts::HeatPartner;
use crate::results::Results;
use crate::results::quantities as q;
use crate::simulate::{Flows, Simulator, StateOf};
use crate::slots::Values;
use crate::solve::SolveError;
use crate::warnings::{Warning, warnings};

/// Why a circuit has no steady state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Why {
    /// No heat leaves it: it warms for as long as heat comes in.
    NoWayOut,
    /// With this heat kept up its coolant boils before anything is steady.
    Boils,
    /// Its temperatures do not come to rest: heat comes into a part of it that no coolant cools.
    NotAtRest,
    /// It is cooled by air, or shares metal, with another circuit that has none.
    Follows {
        /// That circuit.
        circuit: usize,
    },
}

/// A circuit that has no steady state: everything in it is held as at the start, and nothing that tells
/// of its temperatures has a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Held {
    /// The circuit.
    pub circuit: usize,
    /// Why.
    pub why: Why,
}

/// How fast something warms at the start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warming {
    /// What: of a held circuit, that which changes fastest.
    pub what: StateOf,
    /// How fast, K/s.
    pub rate_k_s: f64,
}

/// A steady state that an instance has found.
#[derive(Clone, Debug, Default)]
pub struct Solution {
    /// All states, in the order of the layout.
    pub states: Vec<f64>,
    /// All results.
    pub results: Results,
    /// Circuits without a steady state.
    pub held: Vec<Held>,
    /// How fast each of them warms at the start.
    pub warming: Vec<Warming>,
    /// Steps that the search took.
    pub steps: usize,
    /// Flows, as a start for a search close by.
    pub flows: Flows,
}

impl Solution {
    /// This state as the start of a search close by.
    pub fn start(&self) -> Start<'_> {
        Start { states: &self.states, flows: &self.flows }
    }
}

/// An operating point.
#[derive(Clone, Debug)]
pub struct OperatingPoint {
    /// All states, in the order of the layout.
    pub states: Vec<f64>,
    /// All results.
    pub results: Results,
    /// Circuits without a steady state.
    pub held: Vec<Held>,
    /// How fast each of them warms at the start.
    pub warming: Vec<Warming>,
    /// Where it left the range of its laws.
    pub warnings: Vec<Warning>,
    /// Steps that the search took.
    pub steps: usize,
    /// Flows, as a start for a search close by.
    pub flows: Flows,
}

impl OperatingPoint {
    /// The circuit without a steady state that a result of a thing depends on, if there is one.
    pub fn unsteady(&self, model: &Model, id: Id) -> Option<Held> {
        unsteady(model, &self.held, id)
    }

    /// This point as the start of a search close by.
    pub fn start(&self) -> Start<'_> {
        Start { states: &self.states, flows: &self.flows }
    }
}

impl Model {
    /// The circuits that a thing belongs to or hangs on: of a body those that cool it, of an air path those
    /// whose cores stand in it, of the supply all.
    pub fn hangs_on(&self, id: Id) -> Vec<usize> {
        let of_part = |partner: HeatPartner| {
            let mut found = Vec::new();
            for (c, circuit) in self.circuits.iter().enumerate() {
                let mut parts = circuit.runs.iter().flat_map(|run| &run.parts);
                if parts.any(|placed| placed.part.partner() == Some(partner)) {
                    found.push(c);
                }
            }
            found
        };
        match id {
            Id::Body(body) => of_part(HeatPartner::Body(body)),
            Id::Core(core) => of_part(HeatPartner::Core(core)),
            Id::AirPath(path) | Id::Fan(path, _) | Id::Lane(path, _) => {
                let cores = self.air_paths[path].cores.iter();
                cores.flat_map(|&core| of_part(HeatPartner::Core(core))).collect()
            }
            Id::ChargeAir(path) => self.cools_charge_air(path, self.charge_air[path].stages.len()),
            Id::Stage(path, stage) => self.cools_charge_air(path, stage + 1),
            Id::Gauge(gauge) => vec![self.gauges[gauge].circuit],
            Id::Rise(rise) => {
                let Rise { from, to, .. } = self.rises[rise];
                [from, to].map(|gauge| self.gauges[gauge].circuit).to_vec()
            }
            Id::Supply(_) => (0..self.circuits.len()).collect(),
            Id::Site => Vec::new(),
            id => id.circuit().into_iter().collect(),
        }
    }
}

impl Model {
    /// The circuits that cool the charge air of a way in its first stages.
    fn cools_charge_air(&self, path: usize, stages: usize) -> Vec<usize> {
        let coolers = self.charge_air[path].stages[..stages].iter().filter_map(|stage| {
            let StageKind::Cooler { body } = stage.kind else { return None };
            Some(Id::Body(body))
        });
        coolers.flat_map(|body| self.hangs_on(body)).collect()
    }
}

/// The circuit without a steady state that a result of a thing depends on, if there is one.
pub fn unsteady(model: &Model, held: &[Held], id: Id) -> Option<Held> {
    if held.is_empty() {
        return None;
    }
    let circuits = model.hangs_on(id);
    held.iter().find(|held| circuits.contains(&held.circuit)).copied()
}

/// Solves the operating point of a model with the given numbers. `near` is a point close by, to
/// start from.
///
/// Whoever solves a model many times keeps an [`Instance`] and asks that.
///
/// # Errors
/// As [`Instance::point`].
#[expect(clippy::needless_pass_by_value, reason = "callers hand over numbers made for this")]
pub fn operating_point(
    model: &Model,
    values: Values,
    near: Option<&OperatingPoint>,
) -> Result<OperatingPoint, SolveError> {
    let mut instance = Instance::new(model);
    instance.point(&values, near.map(OperatingPoint::start))?;
    let warnings = instance.warnings();
    let Solution { states, results, held, warming, steps, flows } =
        std::mem::take(&mut instance.room.point);
    Ok(OperatingPoint { states, results, held, warming, warnings, steps, flows })
}

impl Instance<'_> {
    /// Solves the operating point with the given numbers, from a start close by where there is one.
    ///
    /// A circuit that takes heat and from which none leaves, or whose coolant would boil before anything
    /// is steady, has no steady state ([`Held`]); nor has what hangs on it by its air or by metal that
    /// they share. Flows and pressures of such circuits are those of the start, and what tells of their
    /// temperatures is no number.
    /// A start lends temperatures and flows only: what held a circuit there is found out anew.
    ///
    /// # Errors
    /// When the numbers are out of range, flows do not come to rest, or temperatures that belong to no
    /// circuit keep moving.
    pub fn point(
        &mut self,
        values: &Values,
        mut near: Option<Start<'_>>,
    ) -> Result<&Solution, SolveError> {
        let (made, room) = self.begin_rest(values)?;
        let Room { point, start, boiling, .. } = room;
        made.simulator.start_into(start);
        settle(&mut made.simulator, start)?;
        point.states.resize(start.len(), 0.0);
        point.held.clear();
        point.warming.clear();
        for circuit in 0..made.simulator.setup.model.circuits.len() {
            if made.simulator.takes_heat(circuit) && !made.simulator.has_way_out(circuit) {
                // What the air of the bay takes is a way out, if one for less heat.
                let airs = made.simulator.setup.layout.has_aired_hoses(circuit);
                let why = if airs { Why::Boils } else { Why::NoWayOut };
                hold(&mut made.simulator, &mut point.held, Held { circuit, why });
            }
        }
        loop {
            point.states.copy_from_slice(start);
            let found = search(made, &mut point.states, near);
            if matches!(found, Err(Failed::Search(_))) {
                // The last flows tried may be far from any; pressures are told for those of the start.
                let _ = made.simulator.settle(start);
            }
            made.read(&point.states, &mut point.results);
            // Of several past boiling the hottest is the cause: it may have warmed the others.
            boiling.clear();
            let mut least = 0.0;
            for circuit in 0..made.boil_margins.len() {
                let margin = made.boil_margin(&point.results.values, circuit);
                let known = point.held.iter().any(|held| held.circuit == circuit);
                if let Some(margin) = margin.filter(|margin| !known && *margin < least) {
                    least = margin;
                    boiling.clear();
                    boiling.push(circuit);
                }
            }
            let why = match found {
                Ok(steps) if boiling.is_empty() => {
                    made.simulator.settled.flows_into(&mut point.flows);
                    point.steps = steps;
                    break;
                }
                // A search that a start close by led astray says nothing about the model, unless it
                // ended past boiling.
                Err(_) if near.is_some() && boiling.is_empty() => {
                    near = None;
                    made.simulator.failure = None;
                    made.simulator.settled.start_anew();
                    continue;
                }
                Err(Failed::Search(report)) if boiling.is_empty() => {
                    let circuit = made.simulator.setup.circuit_of(report.state);
                    let known = |c: &usize| point.held.iter().any(|held| held.circuit == *c);
                    match circuit.filter(|c| made.simulator.failure.is_none() && !known(c)) {
                        Some(circuit) => boiling.push(circuit),
                        None => return Err(no_steady_state(&mut made.simulator, report)),
                    }
                    Why::NotAtRest
                }
                Err(failed) if boiling.is_empty() => return Err(failed.told(&mut made.simulator)),
                _ => Why::Boils,
            };
            made.simulator.failure = None;
            // What hangs on a circuit is found at the flows of the start.
            let _ = made.simulator.settle(start);
            for &circuit in &*boiling {
                hold(&mut made.simulator, &mut point.held, Held { circuit, why });
            }
        }
        if !point.held.is_empty() {
            warming(&mut made.simulator, start, point)?;
            forget_heat(made.simulator.setup.model, point);
        }
        Ok(point)
    }

    /// Where the last point left the range of its laws; nothing before the first.
    pub fn warnings(&self) -> Vec<Warning> {
        self.simulator().map_or_else(Vec::new, |simulator| warned(simulator, &self.room.point))
    }
}

/// Holds a circuit, and all that hang on it, as they are at the start.
fn hold(simulator: &mut Simulator<'_>, held: &mut Vec<Held>, first: Held) {
    if held.iter().any(|known| known.circuit == first.circuit) {
        return;
    }
    let mut waiting = vec![first];
    while let Some(next) = waiting.pop() {
        held.push(next);
        simulator.pin(next.circuit);
        for circuit in simulator.linked(next.circuit) {
            let mut known = held.iter().chain(&waiting);
            if !known.any(|known| known.circuit == circuit) {
                waiting.push(Held { circuit, why: Why::Follows { circuit: next.circuit } });
            }
        }
    }
}

/// Finds how fast held circuits warm at the start.
fn warming(
    simulator: &mut Simulator<'_>,
    start: &[f64],
    point: &mut Solution,
) -> Result<(), SolveError> {
    let pinned = std::mem::take(&mut simulator.setup.pinned);
    let evaluated = simulator.evaluate(start);
    simulator.setup.pinned = pinned;
    evaluated.map_err(|error| SolveError::unsettled(&simulator.setup, error))?;
    for held in &point.held {
        let of = |state: &usize| simulator.setup.circuit_of(*state) == Some(held.circuit);
        let temperature = |state: &usize| {
            !matches!(simulator.setup.state_of(*state), StateOf::Own(..) | StateOf::Wall(_))
        };
        let states = (0..start.len()).filter(|state| of(state) && temperature(state));
        let rates = simulator.last_rates();
        let fastest = states.max_by(|&a, &b| rates[a].total_cmp(&rates[b]).then(b.cmp(&a)));
        point.warming.extend(fastest.map(|state| {
            let what = simulator.setup.state_of(state);
            Warming { what, rate_k_s: rates[state] }
        }));
    }
    settle(simulator, &point.states)
}

/// Takes away what would tell of temperatures that are none.
fn forget_heat(model: &Model, point: &mut Solution) {
    let catalogue = point.results.catalogue.clone();
    for (entry, value) in catalogue.entries().iter().zip(&mut point.results.values) {
        // What charge air brings goes with temperatures.
        let brought = entry.quantity == &q::HEAT_IN
            && matches!(entry.id, Id::Body(body) if model.bodies[body].charge.is_some());
        if (entry.quantity.is_of_heat() || brought)
            && unsteady(model, &point.held, entry.id).is_some()
        {
            *value = f64::NAN;
        }
    }
}

/// How a search ended without a steady state. It is told in words only if nothing else is found: a
/// circuit that boils has none.
#[derive(Debug)]
pub(crate) enum Failed {
    Search(NoSteadyState),
    Flows(Box<SolveError>),
}

impl Failed {
    fn told(self, simulator: &mut Simulator<'_>) -> SolveError {
        match self {
            Self::Search(report) => no_steady_state(simulator, report),
            Self::Flows(error) => *error,
        }
    }
}

/// Searches the steady state from the states given; leaves the last state reached and its flows.
fn search(
    made: &mut Made<'_>,
    states: &mut [f64],
    near: Option<Start<'_>>,
) -> Result<usize, Failed> {
    made.simulator.start_rest(states);
    if made.search.is_none() {
        let room = SteadySearch::new(&made.simulator);
        made.search = Some(room.map_err(Failed::Search)?);
    }
    let mut settings = SteadySettings::default();
    if near.is_none() && made.lifts_at_rest(states)? {
        settings.first_step_s = NEAR_STEP_S;
    }
    let Made { simulator, search, .. } = made;
    if let Some(near) = near {
        for (state, (y, near)) in states.iter_mut().zip(near.states).enumerate() {
            if !simulator.setup.pinned.contains(&state) {
                *y = *near;
            }
        }
        simulator.settled.start_from(near.flows);
        settings.first_step_s = NEAR_STEP_S;
    }
    let room = search.as_mut().expect("there is room by now");
    match room.run(simulator, states, &settings) {
        Ok(report) => {
            settle(simulator, states).map_err(|error| Failed::Flows(Box::new(error)))?;
            Ok(report.steps)
        }
        Err(report) => Err(Failed::Search(report)),
    }
}

/// The warnings of a state that was found.
fn warned(simulator: &Simulator<'_>, point: &Solution) -> Vec<Warning> {
    let results = &point.results;
    let mut warnings = warnings(simulator, &point.states);
    for circuit in 0..simulator.setup.model.circuits.len() {
        let tank = simulator.setup.model.reference_id(circuit);
        let lost_m3 = tank.and_then(|tank| results.of(tank, &q::LOST)).unwrap_or(0.0);
        if lost_m3 > 0.0 {
            warnings.push(Warning::Spills { circuit, lost_m3 });
        }
        if !point.held.iter().any(|held| held.circuit == circuit) {
            ice_gone(simulator, circuit, &mut warnings);
        }
    }
    warnings
}

/// A circuit at rest is one whose ice has melted.
fn ice_gone(simulator: &Simulator<'_>, circuit: usize, warnings: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (r, run) in setup.model.circuits[circuit].runs.iter().enumerate() {
        for (p, placed) in run.parts.iter().enumerate() {
            if let Some(ice) = placed.part.as_tank().and_then(|tank| tank.ice) {
                let mass_kg = setup.values.get(ice.mass);
                warnings.push(Warning::IceGone { tank: Id::Part(circuit, r, p), mass_kg });
            }
        }
    }
}

fn no_steady_state(simulator: &mut Simulator<'_>, report: NoSteadyState) -> SolveError {
    if let Some(failure) = simulator.failure.take() {
        return SolveError::unsettled(&simulator.setup, failure);
    }
    let what = simulator.setup.state_of(report.state);
    // The search ends far beyond any temperature that means something, so the rate is that of the start.
    let start = simulator.start();
    let mut rates = vec![0.0; start.len()];
    let rate_k_s = match simulator.rhs(0.0, &start, &mut rates) {
        Ok(()) => rates[report.state],
        Err(_) => report.rate_per_s,
    };
    SolveError::NoSteadyState { what, rate_k_s, report }
}

/// Settles flows, or says why they do not settle.
///
/// # Errors
/// When a network does not come to rest.
pub fn settle(simulator: &mut Simulator<'_>, states: &[f64]) -> Result<(), SolveError> {
    simulator.evaluate(states).map_err(|error| SolveError::unsettled(&simulator.setup, error))
}

/// First step of a search that starts close by, s.
const NEAR_STEP_S: f64 = 1e4;
