//! The pressure laws of a circuit, as the network solver asks for them.

use coolwright_solver::network::Laws;
use coolwright_solver::scalar::Dual;

use super::{Circuit, End, Joint, Leg};
use crate::laws::tee::tee_excess;
use crate::parts::{GRAVITY, LawInputs, bore_area};
use crate::slots::Values;

/// The coolant in a part, as the pressure laws need it.
#[derive(Clone, Copy, Debug, Default)]
pub struct PartState {
    /// Mean temperature, K.
    pub temperature_k: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Dynamic viscosity, Pa·s.
    pub viscosity: f64,
}

/// The laws of one circuit at one instant.
#[derive(Debug)]
pub struct CircuitLaws<'a> {
    /// The circuit.
    pub circuit: &'a Circuit,
    /// The numbers of the model.
    pub values: &'a Values,
    /// The state of every part, run after run.
    pub parts: &'a [PartState],
    /// Density at every junction, kg/m³.
    pub junction_density: &'a [f64],
    /// The pairs of [`Circuit::couplings`].
    pub couplings: &'a [(usize, usize)],
}

impl CircuitLaws<'_> {
    /// Falls of the parts of a run at a flow, height included, with their slopes. `first` is the
    /// index of the run's first part among all parts.
    fn run_fall(&self, run: usize, first: usize, flow: Dual<1>) -> Dual<1> {
        let mut sum = Dual::from(0.0);
        for k in 0..self.circuit.runs[run].parts.len() {
            sum += self.part_fall_and_slope(run, k, first + k, flow);
            sum += Dual::from(self.lift(run, k, self.parts[first + k].density));
        }
        sum
    }

    /// Fall of one part by friction and losses, with its slope. `index` is that among all parts.
    pub(super) fn part_fall_and_slope(
        &self,
        run: usize,
        part: usize,
        index: usize,
        flow: Dual<1>,
    ) -> Dual<1> {
        let state = &self.parts[index];
        let place = LawInputs {
            values: self.values.reader(),
            density: Dual::from(state.density),
            viscosity: Dual::from(state.viscosity),
        };
        self.circuit.runs[run].parts[part].part.fall_and_slope(&place, flow)
    }

    /// Fall of pressure by the height that a part gains, Pa.
    pub(super) fn lift(&self, run: usize, part: usize, density: f64) -> f64 {
        let rise = self.circuit.runs[run].parts[part].part.rise();
        rise.map_or(0.0, |slot| density * GRAVITY * self.values.get(slot))
    }

    /// Fall of total pressure of one part by friction and losses, and by height, Pa.
    pub fn part_fall(&self, run: usize, part: usize, index: usize, flow: f64) -> (f64, f64) {
        let state = &self.parts[index];
        let place = LawInputs {
            values: self.values.reader(),
            density: state.density,
            viscosity: state.viscosity,
        };
        let fall = self.circuit.runs[run].parts[part].part.fall_at(&place, flow);
        (fall, self.lift(run, part, state.density))
    }

    /// Excess of each leg's total pressure over that of the tee, Pa, with the derivatives with
    /// respect to the flows of the three runs.
    fn tee(&self, junction: usize, flows: &[f64]) -> Option<([Leg; 3], [Dual<3>; 3])> {
        let Joint::Tee { legs, .. } = &self.circuit.junctions[junction].joint else {
            return None;
        };
        let sign = |leg: &Leg| if leg.end == End::To { 1.0 } else { -1.0 };
        let inward = legs.each_ref().map(|leg| sign(leg) * flows[leg.run]);
        let mut excess = self.tee_excess(junction, inward);
        for excess in &mut excess {
            for (slope, leg) in excess.slopes.iter_mut().zip(legs) {
                *slope *= sign(leg);
            }
        }
        Some((*legs, excess))
    }

    /// The same, with the derivatives with respect to the flows into the tee.
    ///
    /// # Panics
    /// When there is no tee at the junction.
    pub(super) fn tee_excess(&self, junction: usize, inward: [f64; 3]) -> [Dual<3>; 3] {
        let Joint::Tee { legs, angle, set } = &self.circuit.junctions[junction].joint else {
            panic!("junction {junction} is no tee");
        };
        let area = |k: usize| Dual::from(bore_area(self.values.get(legs[k].bore)));
        tee_excess(
            *set,
            std::array::from_fn(|k| Dual::seeded(inward[k], k)),
            std::array::from_fn(area),
            Dual::from(self.values.get(*angle)),
            Dual::from(self.junction_density[junction]),
        )
    }

    /// Derivatives of the falls that the tee at a junction adds to its three runs, with respect to the
    /// flows of the three runs, Pa·s/kg: by leg, then by run.
    pub fn tee_slopes(&self, junction: usize, flows: &[f64]) -> Vec<[f64; 3]> {
        let Some((legs, excess)) = self.tee(junction, flows) else { return Vec::new() };
        legs.iter().zip(excess).map(|(leg, excess)| along_run(leg.end, excess).slopes).collect()
    }

    /// What the tee at a junction adds to the fall of each run that ends there: (run, end, Pa).
    pub fn tee_falls(&self, junction: usize, flows: &[f64]) -> Vec<(usize, End, f64)> {
        let Some((legs, excess)) = self.tee(junction, flows) else { return Vec::new() };
        legs.iter()
            .zip(excess)
            .map(|(leg, excess)| (leg.run, leg.end, along_run(leg.end, excess).value))
            .collect()
    }
}

/// The excess of a leg as a fall along its run: a run that ends at the tee loses it on entering.
fn along_run(end: End, excess: Dual<3>) -> Dual<3> {
    match end {
        End::To => excess,
        End::From => -excess,
    }
}

impl Laws for CircuitLaws<'_> {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        let mut first = 0;
        for (run, &flow) in flows.iter().enumerate() {
            let fall = self.run_fall(run, first, Dual::variable(flow));
            falls[run] = fall.value;
            slopes[run] = fall.slope();
            first += self.circuit.runs[run].parts.len();
        }
        cross.fill(0.0);
        for junction in 0..self.circuit.junctions.len() {
            let Some((legs, excess)) = self.tee(junction, flows) else { continue };
            for (leg, excess) in legs.iter().zip(excess) {
                let fall = along_run(leg.end, excess);
                falls[leg.run] += fall.value;
                for (other, slope) in legs.iter().zip(fall.slopes) {
                    if other.run == leg.run {
                        slopes[leg.run] += slope;
                    } else if let Some(at) =
                        self.couplings.iter().position(|&pair| pair == (leg.run, other.run))
                    {
                        cross[at] += slope;
                    }
                }
            }
        }
    }
}
