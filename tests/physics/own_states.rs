//! A component with states of its own is one file: here a thermostat whose lift lags behind its
//! temperature, which the program knows nothing of.

use coolwright_models::cycle::{Columns, Phase};
use coolwright_models::instance::Instance;
use coolwright_models::model::Model;
use coolwright_models::parts::{Fall, LawInputs, Motion, Moves, Own, OwnState, Part, Seen};
use coolwright_models::slots::Values;
use coolwright_solver::scalar::Scalar;

use crate::common::{at, near, read};

/// A valve that opens from 50 °C to 70 °C, with a first-order lag of its lift. Its fall is 20 kPa at
/// 1 kg/s when full open, and the tenth part of the area is open when it is shut.
#[derive(Debug)]
struct LaggingThermostat;

const LAG_S: f64 = 7.0;

static STATES: [OwnState; 1] = [OwnState {
    words: "the lift of a thermostat",
    quantity: None,
    least: 0.0,
    scale: 0.1,
    moves_flows: false,
}];

fn lift_at_rest<S: Scalar>(temperature_k: S) -> S {
    ((temperature_k - 323.15) / 20.0).max(S::from(0.0)).min(S::from(1.0))
}

impl Moves for LaggingThermostat {
    fn motion<S: Scalar>(&self, seen: &Seen<'_, S>, out: &mut Motion<'_, S>) {
        out.rates[0] = (lift_at_rest(seen.temperature_k) - seen.own[0]) / LAG_S;
    }
}

impl Own for LaggingThermostat {
    fn states(&self) -> &'static [OwnState] {
        &STATES
    }

    fn start(&self, _values: &Values, temperature_k: f64, own: &mut [f64]) {
        own[0] = lift_at_rest(temperature_k);
    }
}

impl Fall for LaggingThermostat {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let area = place.own(0) * 0.9 + 0.1;
        flow * flow.abs() * 20e3 / (area * area)
    }
}

impl Part for LaggingThermostat {
    fn word(&self) -> &'static str {
        "thermostat"
    }

    fn own(&self) -> Option<&dyn Own> {
        Some(self)
    }
}

/// One loop with the toy in the place of its last hose but one.
fn model() -> Model {
    let mut model = read(include_str!("cases/one_loop.ron")).model;
    let parts = &mut model.circuits[0].runs[0].parts;
    let back = parts.iter_mut().find(|placed| placed.name == "back").expect("a hose back");
    back.part = Box::new(LaggingThermostat);
    model
}

#[test]
fn a_thermostat_that_lags_is_one_file() {
    let model = model();
    let values = &model.values;
    let mut instance = Instance::new(&model);
    let catalogue = instance.catalogue(values).expect("a catalogue");
    let lift = {
        let simulator = instance.simulator().expect("it has been set up");
        simulator.setup.layout.owners[0].first
    };

    // At rest the lift is that of the temperature, and the fall that of the lift.
    let point = instance.point(values, None).expect("a point").clone();
    let felt = at(&point.results, "charge/loop/cooler:out");
    near("lift at rest", point.states[lift], lift_at_rest(felt), 1e-6);
    assert!(
        point.states[lift] > 0.2 && point.states[lift] < 0.99,
        "part open: {} at {felt} K",
        point.states[lift]
    );
    let (area, flow) =
        (0.1 + 0.9 * point.states[lift], at(&point.results, "charge/loop:mass_flow"));
    let fall = 20e3 * (flow / area).powi(2);
    near("fall at rest", at(&point.results, "charge/loop/back:fall"), fall, 1e-3);

    // In time the lift follows the temperature with its lag: dh/dt = (h(T) − h)/τ, by its own history.
    let warming = vec![Phase { name: "warming".to_owned(), time_s: 120.0, ..Phase::default() }];
    let columns: Vec<usize> =
        ["charge/loop/cooler:out", "charge/loop/back:fall", "charge/loop:mass_flow"]
            .map(|address| catalogue.find(address).expect("a result"))
            .to_vec();
    let history = instance
        .cycle(values, &warming, Columns::Only(&columns), &mut |_| true)
        .expect("a cycle")
        .clone();
    let [felt, falls, flows] =
        [0, 1, 2].map(|at| history.rows.iter().map(|row| row[at]).collect::<Vec<f64>>());
    let lifts: Vec<f64> = falls
        .iter()
        .zip(&flows)
        .map(|(fall, flow)| ((20e3 * flow * flow / fall).sqrt() - 0.1) / 0.9)
        .collect();
    let mut followed = lifts[0];
    let mut behind = 0.0_f64;
    for k in 1..lifts.len() {
        let step = history.times_s[k] - history.times_s[k - 1];
        let target = 0.5 * (lift_at_rest(felt[k - 1]) + lift_at_rest(felt[k]));
        followed = target + (followed - target) * (-step / LAG_S).exp();
        near("lift in time", lifts[k], followed, 2e-3);
        behind = behind.max(lift_at_rest(felt[k]) - lifts[k]);
    }
    assert!(behind > 0.02, "it lags: at most {behind} behind");
}
