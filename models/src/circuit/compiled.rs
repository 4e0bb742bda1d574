//! The pressure laws of a circuit, compiled for speed while its flows are sought.
//!
//! A search for flows asks for all falls again and again, while bores, openings, densities and
//! viscosities stand still. [`CompiledLaws`] asks each part once for its law of the flow alone
//! ([`FlowLaw`]), and keeps equal ones together: hoses eight at a time, their bends too, quadratic losses
//! as one number for each run. A part that has nothing simpler is asked as [`CircuitLaws`] asks it. These
//! remain the reference: both give the same numbers but for their last digits.

use coolwright_solver::network::Laws;
use coolwright_solver::scalar::Dual;

use super::{Circuit, CircuitLaws, End, Joint, Leg};
use crate::laws::fittings::odd_power;
use crate::laws::pipes::Pipes;
use crate::laws::quadrants::{AtRest, machine_rise};
use crate::laws::tee::TeeForms;
use crate::parts::{FlowLaw, LawInputs, bore_area};

/// No coupling: a run's own slope.
const OWN: usize = usize::MAX;

/// A part known by a rated point.
#[derive(Clone, Copy, Debug)]
struct RatedPart {
    run: usize,
    per_flow: f64,
    fall: f64,
    exponent: f64,
}

/// A pump at a speed of its own.
#[derive(Clone, Copy, Debug)]
struct CompiledPump {
    run: usize,
    part: usize,
    speed: f64,
    per_flow: f64,
    factor: f64,
    at_rest: AtRest<f64>,
}

/// A part whose law is asked itself.
#[derive(Clone, Copy, Debug)]
struct OtherPart {
    run: usize,
    part: usize,
    /// Its place among the states of all parts.
    state: usize,
}

/// A tee, with the couplings between its legs found beforehand.
#[derive(Clone, Debug)]
struct CompiledTee {
    junction: usize,
    legs: [Leg; 3],
    /// For each pair of legs the place of the coupling, or [`OWN`].
    couplings: [[usize; 3]; 3],
    forms: TeeForms,
}

/// The laws of one circuit, sorted. Its memory is kept from use to use.
#[derive(Clone, Debug)]
pub struct CompiledLaws {
    pipes: Pipes,
    rated: Vec<RatedPart>,
    pumps: Vec<CompiledPump>,
    others: Vec<OtherPart>,
    tees: Vec<CompiledTee>,
    /// Fall of each run by the height that it gains, Pa.
    lifts: Vec<f64>,
    /// c of each run's c·m·|m|, for m ≥ 0 and for m < 0.
    quadratics: Vec<[f64; 2]>,
}

/// The laws of a circuit at one instant, sorted.
#[derive(Debug)]
pub struct CompiledAt<'a> {
    laws: CircuitLaws<'a>,
    compiled: &'a mut CompiledLaws,
}

impl CompiledLaws {
    /// An empty compiled for a circuit, whose couplings are those of [`Circuit::couplings`].
    ///
    /// # Panics
    /// When the couplings are not those of the circuit.
    pub fn new(circuit: &Circuit, couplings: &[(usize, usize)]) -> Self {
        let parts = circuit.runs.iter().map(|run| run.parts.len()).sum();
        let place = |of: &Leg, on: &Leg| {
            let pair = (of.run, on.run);
            let at = couplings.iter().position(|coupling| *coupling == pair);
            if of.run == on.run { OWN } else { at.expect("legs of a tee are coupled") }
        };
        let tees = circuit.junctions.iter().enumerate().filter_map(|(junction, known)| {
            let Joint::Tee { legs, set, .. } = &known.joint else { return None };
            let couplings = legs.map(|of| legs.map(|on| place(&of, &on)));
            // Made anew as soon as the areas are known.
            let forms = TeeForms::new(*set, [f64::NAN; 3], f64::NAN);
            Some(CompiledTee { junction, legs: *legs, couplings, forms })
        });
        Self {
            pipes: Pipes::with_room(parts),
            rated: Vec::with_capacity(parts),
            pumps: Vec::with_capacity(parts),
            others: Vec::with_capacity(parts),
            tees: tees.collect(),
            lifts: vec![0.0; circuit.runs.len()],
            quadratics: vec![[0.0; 2]; circuit.runs.len()],
        }
    }

    /// Sorts the laws of the circuit as its numbers and states stand now. Nothing is allocated.
    pub fn compile<'a>(&'a mut self, laws: CircuitLaws<'a>) -> CompiledAt<'a> {
        self.pipes.clear();
        self.rated.clear();
        self.pumps.clear();
        self.others.clear();
        let mut state = 0;
        for (run, known) in laws.circuit.runs.iter().enumerate() {
            let (mut lift, mut quadratic) = (0.0, [0.0; 2]);
            for (part, placed) in known.parts.iter().enumerate() {
                let here = &laws.parts[state];
                let (density, viscosity) = (here.density, here.viscosity);
                let place =
                    LawInputs { values: laws.values.reader().owning(here.own), density, viscosity };
                match placed.part.flow_law(&place) {
                    FlowLaw::Other => self.others.push(OtherPart { run, part, state }),
                    FlowLaw::Quadratic([forward, backward]) => {
                        quadratic[0] += forward;
                        quadratic[1] += backward;
                    }
                    FlowLaw::Rated { per_flow, fall, exponent } => {
                        self.rated.push(RatedPart { run, per_flow, fall, exponent });
                    }
                    FlowLaw::Pipe(pipe) => self.pipes.push(run, &pipe),
                    FlowLaw::Bent(pipe, bends) => {
                        self.pipes.push(run, &pipe);
                        self.pipes.push_bends(run, &bends);
                    }
                    FlowLaw::Pump { speed, per_flow, factor, at_rest } => {
                        let pump = CompiledPump { run, part, speed, per_flow, factor, at_rest };
                        self.pumps.push(pump);
                    }
                }
                lift += laws.lift(run, part, density);
                state += 1;
            }
            self.lifts[run] = lift;
            self.quadratics[run] = quadratic;
        }
        for tee in &mut self.tees {
            let Joint::Tee { legs, angle, set } = &laws.circuit.junctions[tee.junction].joint
            else {
                continue;
            };
            let areas = legs.map(|leg| bore_area(laws.values.get(leg.bore)));
            let angle = laws.values.get(*angle);
            if !tee.forms.is(areas, angle) {
                tee.forms = TeeForms::new(*set, areas, angle);
            }
        }
        CompiledAt { laws, compiled: self }
    }
}

impl CompiledAt<'_> {
    /// Adds to the fall of each run what its laws are off by: Pa, and c of c·m·|m|.
    pub fn offset(&mut self, runs_pa: &[f64], squares: &[f64]) {
        for (lift, pa) in self.compiled.lifts.iter_mut().zip(runs_pa) {
            *lift += pa;
        }
        for ([forward, backward], square) in self.compiled.quadratics.iter_mut().zip(squares) {
            *forward += square;
            *backward += square;
        }
    }
}

impl CompiledPump {
    /// Adds its fall and slope to those of its run.
    fn add(&self, laws: &CircuitLaws<'_>, flow: f64, fall: &mut f64, slope: &mut f64) {
        let placed = &laws.circuit.runs[self.run].parts[self.part];
        let Some(pump) = placed.part.as_pump() else { return };
        let flow = Dual::<1>::variable(flow) * self.per_flow;
        let AtRest { fall: still, flow: at, backwards } = self.at_rest;
        let at_rest = AtRest { fall: still.into(), flow: at.into(), backwards: backwards.into() };
        let [own, rest] = machine_rise(&pump.curve, &at_rest, Dual::from(self.speed), flow);
        let added = (own + rest) * self.factor;
        *fall += added.value;
        *slope += added.slope();
    }
}

impl CompiledTee {
    /// Adds the excesses of the legs to the falls of their runs.
    fn add(
        &mut self,
        laws: &CircuitLaws<'_>,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        let sign = |leg: &Leg| if leg.end == End::To { 1.0 } else { -1.0 };
        let [a, b, side] = &self.legs;
        let signs = [sign(a), sign(b), sign(side)];
        let inward = [signs[0] * flows[a.run], signs[1] * flows[b.run], signs[2] * flows[side.run]];
        let density = laws.junction_density[self.junction];
        let excess = match self.forms.excess(inward, density) {
            Some(excess) => excess,
            None => laws.tee_excess(self.junction, inward),
        };
        for (k, leg) in self.legs.iter().enumerate() {
            falls[leg.run] += signs[k] * excess[k].value;
            for (other, &coupling) in self.couplings[k].iter().enumerate() {
                let slope = signs[k] * signs[other] * excess[k].slopes[other];
                if coupling == OWN {
                    slopes[leg.run] += slope;
                } else {
                    cross[coupling] += slope;
                }
            }
        }
    }
}

impl Laws for CompiledAt<'_> {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        let (compiled, laws) = (&mut *self.compiled, &self.laws);
        let simple = compiled.lifts.iter().zip(&compiled.quadratics);
        let runs = flows.iter().zip(simple).zip(falls.iter_mut().zip(slopes.iter_mut()));
        for ((&flow, (lift, [forward, backward])), (fall, slope)) in runs {
            let per_flow = flow.abs() * if flow < 0.0 { backward } else { forward };
            *fall = lift + per_flow * flow;
            *slope = 2.0 * per_flow;
        }
        compiled.pipes.add(flows, falls, slopes);
        for part in &compiled.rated {
            let (value, slope) = odd_power(flows[part.run] * part.per_flow, part.exponent);
            falls[part.run] += part.fall * value;
            slopes[part.run] += part.fall * slope * part.per_flow;
        }
        for pump in &compiled.pumps {
            pump.add(laws, flows[pump.run], &mut falls[pump.run], &mut slopes[pump.run]);
        }
        for other in &compiled.others {
            let fall = laws.part_fall_and_slope(
                other.run,
                other.part,
                other.state,
                Dual::variable(flows[other.run]),
            );
            falls[other.run] += fall.value;
            slopes[other.run] += fall.slope();
        }
        cross.fill(0.0);
        for tee in &mut compiled.tees {
            tee.add(laws, flows, falls, slopes, cross);
        }
    }
}
