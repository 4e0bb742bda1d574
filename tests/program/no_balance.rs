//! What is said where the flows of a circuit find no balance: which circuit, which run, between which
//! junctions, what the last steps left over, and what to try.
//!
//! No case is known whose flows are not found, so the laws that find none are the test's own: a source
//! that nothing resists. Names and suspects are those of a real case.

use coolwright::render::Style;
use coolwright::words::errors;
use coolwright_cases::quantity::UnitSystem;
use coolwright_models::simulate::{Simulator, Unsettled};
use coolwright_models::solve::SolveError;
use coolwright_solver::network::{Laws, Network, Settings, Stuck};

const CASE: &str = "Case(circuits: { \"c\": Circuit(coolant: Water, start: \"20 °C\", bore: \"20 mm\", runs: {
    \"feed\": Run(from: \"low\", to: \"high\", parts: {
        \"pump\": Pump(curve: \"hunting\"), \"hose\": Hose(length: \"1 m\") }),
    \"left\": Run(from: \"high\", to: \"low\", parts: {
        \"valve\": Throttle(fall: \"20 kPa\", at: \"60 L/min\", open: \"0 %\", leak: \"0.1 %\") }),
    \"right\": Run(from: \"high\", to: \"low\", parts: { \"hose\": Hose(length: \"1 m\", bore: \"4 mm\") }),
}, junctions: { \"high\": Tee(straight: (\"feed\", \"left\"), side: \"right\") }) },
pump_curves: { \"hunting\": PumpCurve(rising: true, points: [
    (\"0 L/min\", \"60 kPa\"), (\"20 L/min\", \"80 kPa\"), (\"60 L/min\", \"10 kPa\")]) })";

/// The first run pushes with 10 kPa; no run resists.
struct Unresisted;

impl Laws for Unresisted {
    fn evaluate(&mut self, _: &[f64], falls: &mut [f64], slopes: &mut [f64], cross: &mut [f64]) {
        falls.fill(0.0);
        falls[0] = -1e4;
        slopes.fill(0.0);
        cross.fill(0.0);
    }
}

fn stuck() -> Box<Stuck> {
    let mut network = Network::new(2, &[(0, 1), (1, 0), (1, 0)], &[]).expect("a network");
    let (mut flows, mut pressures) = ([0.1; 3], [0.0; 2]);
    network
        .solve(
            &mut Unresisted,
            &[0.0; 2],
            &[None; 2],
            &mut flows,
            &mut pressures,
            &Settings::default(),
        )
        .expect_err("nothing resists")
}

#[test]
fn the_run_the_junctions_the_last_steps_and_what_to_try() {
    let ready = crate::common::read(CASE);
    let values = ready.model.values.clone();
    let simulator = Simulator::new(&ready.model, values).expect("a model");
    let error =
        SolveError::unsettled(&simulator.setup, Unsettled::Circuit { circuit: 0, stuck: stuck() });
    insta::assert_snapshot!(Style::SI.sentence(&errors::sentence(&ready.model, &error)));
    for (name, units) in [("metric", UnitSystem::Metric), ("us", UnitSystem::Us)] {
        let style = Style { units, color: false };
        let helps: Vec<String> =
            errors::stuck(&ready.model, &error).iter().map(|help| style.sentence(help)).collect();
        insta::assert_snapshot!(name, helps.join("\n"));
    }
}
