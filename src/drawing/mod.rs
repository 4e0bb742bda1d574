//! What pictures are drawn from, taken from a solved state: nothing is worked out here but which way
//! things follow each other.

mod air;
mod charge;
mod circuit;
mod laws;
mod main_way;
mod reasons;

use coolwright_cases::lower::Ready;
use coolwright_models::crossings::{Curves, curves};
use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::point::OperatingPoint;
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;
use coolwright_models::slots::Values;
use coolwright_models::uncertainty::Uncertainty;

use crate::answer::Sentence;
use crate::answer::drawing::{AirDrawn, CurvesDrawn, Drawing};
use laws::LawBook;

/// With more runs than this a circuit is no picture, and its system takes too long to be asked flow by flow.
const MOST_RUNS: usize = 120;

/// A solved state.
#[derive(Clone, Copy)]
pub struct State<'a> {
    /// The case.
    pub ready: &'a Ready,
    /// The numbers it was solved with.
    pub values: &'a Values,
    /// The operating point.
    pub point: &'a OperatingPoint,
    /// What came out.
    pub results: &'a Results,
    /// What that may be off by, where that is known.
    pub uncertainty: Option<&'a Uncertainty>,
}

/// What pictures of a state are drawn from.
pub fn drawing(state: &State<'_>) -> Drawing {
    let model = &state.ready.model;
    let small = |c: &usize| model.circuits[*c].runs.len() <= MOST_RUNS;
    let mut instance = Instance::new(model);
    let laws = LawBook::of(&mut instance, state);
    let circuits = (0..model.circuits.len()).filter(small);
    let circuits = circuits.map(|c| circuit::circuit(state, &laws, c)).collect();
    let all_small = (0..model.circuits.len()).all(|c| small(&c));
    let found = if all_small {
        curves(&mut instance, state.values, &state.point.states)
    } else {
        Vec::new()
    };
    let curves = found.into_iter().map(|curves| of_curves(state, curves)).collect();
    let air = (0..model.air_paths.len()).flat_map(|a| air::paths(state, a)).collect();
    let charge = (0..model.charge_air.len()).map(|a| charge::way(state, a)).collect();
    // A large model has millions of results.
    let reasons = if all_small { reasons::reasons(&mut instance, state) } else { Vec::new() };
    Drawing { circuits, curves, air, charge, laws: laws.all(), reasons, numbers: Vec::new() }
}

/// Draws circuits, and the air that has no temperatures, anew from another state: that of a moment, in words.
pub fn redraw(state: &State<'_>, drawn: &mut Drawing, (circuits, moment): (&[usize], &Sentence)) {
    let mut instance = Instance::new(&state.ready.model);
    let laws = LawBook::of(&mut instance, state);
    for of in drawn.circuits.iter_mut().filter(|of| circuits.contains(&of.number)) {
        *of = circuit::circuit(state, &laws, of.number);
        of.moment = Some(moment.clone());
    }
    let model = &state.ready.model;
    let air = (0..model.air_paths.len()).flat_map(|a| air::paths(state, a));
    for (of, anew) in drawn.air.iter_mut().zip(air) {
        if of.steps.iter().flat_map(|step| step.air_k).any(|k| !k.is_finite()) {
            *of = AirDrawn { moment: Some(moment.clone()), ..anew };
        }
    }
}

/// The curves of a machine, with what its flow may be off by.
fn of_curves(state: &State<'_>, curves: Curves) -> CurvesDrawn {
    let model = &state.ready.model;
    let quantity = match curves.of {
        Id::AirPath(_) => &q::AIR_FLOW,
        _ => &q::FLOW,
    };
    let known = state.uncertainty.and_then(|known| known.of(curves.of, quantity));
    // A path's flow is counted at the density of the site, that of its fans at their own.
    let named = state.results.of(curves.of, quantity).filter(|flow| *flow != 0.0);
    let off_m3_s = known.zip(named).map(|(off, flow)| off * curves.stands[0] / flow);
    CurvesDrawn {
        of: model.address(curves.of),
        machines: curves.machines.iter().map(|id| model.address(*id)).collect(),
        air: curves.air,
        samples: curves.samples,
        crossings: curves.crossings.iter().map(|c| (c.flow_m3_s, c.rise_pa, c.stable)).collect(),
        stands: curves.stands,
        off_m3_s: off_m3_s.map(f64::abs),
    }
}

impl State<'_> {
    /// A result; NaN where there is none.
    fn of(&self, id: Id, quantity: &'static coolwright_models::results::Quantity) -> f64 {
        self.results.of(id, quantity).unwrap_or(f64::NAN)
    }
}
