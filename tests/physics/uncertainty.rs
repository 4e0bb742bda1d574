//! What published disagreement makes of flows and pressures: closed forms, and full re-solves with
//! each law off by what it states.

use coolwright_cases::lower::Ready;
use coolwright_models::circuit::{CircuitLaws, Joint};
use coolwright_models::ids::Id;
use coolwright_models::laws::uncertainty::Law;
use coolwright_models::results::quantities as q;
use coolwright_models::simulate::Simulator;
use coolwright_models::uncertainty::{Uncertainty, moved, uncertainty};
use coolwright_solver::network::{Laws, Network, Settings};

use crate::common::{at, near, point, read, with};

fn uncertain(ready: &Ready) -> Uncertainty {
    let values = &ready.model.values;
    let states = point(&ready.model, values).states;
    uncertainty(&ready.model, values.clone(), &states).expect("an uncertainty")
}

/// Water of 20 °C at 120 L/min into two ways that join again.
fn two_ways(a: &str, b: &str) -> String {
    format!(
        "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
            \"in\": Run(from: \"mains\", to: \"split\", parts: {{ \"r\": Resistance(fall: \"5 kPa\", at: \"120 L/min\") }}),
            \"a\": Run(from: \"split\", to: \"join\", parts: {{ {a} }}),
            \"b\": Run(from: \"split\", to: \"join\", parts: {{ {b} }}),
            \"out\": Run(from: \"join\", to: \"drain\", parts: {{ \"r\": Resistance(fall: \"5 kPa\", at: \"120 L/min\") }}) }},
            junctions: {{
                \"mains\": Open(flow: \"120 L/min\", temperature: \"20 °C\"),
                \"drain\": Open(pressure: \"0 kPa\", temperature: \"20 °C\") }}) }})"
    )
}

#[test]
fn two_parallel_ways_by_hand() {
    // Rated at 30 L/min, 60 L/min each: the fall of 40 kPa is uncertain by 0.125 ln 2 of it. The flows
    // of both move by δ/(s_a + s_b), s = 2 Δp/m: u/Q = 0.125 ln 2/4. The errors of the two cancel where
    // they are one and the same, so u² = ½ 0 + ½ (d² + d²).
    let part = "\"r\": Resistance(fall: \"10 kPa\", at: \"30 L/min\", exponent: 2)";
    let found = uncertain(&read(&two_ways(part, part))).results;
    let own = at(&found, "stand/a/r:fall_uncertainty");
    near("own", own, 0.125 * 2.0_f64.ln() * 40e3, 1.0);
    let want = 1e-3 * 0.125 * 2.0_f64.ln() / 4.0;
    for run in ["stand/a", "stand/b"] {
        let flow = at(&found, &format!("{run}:flow_uncertainty"));
        near(run, flow, want, 1e-3 * want);
    }
    near("given", at(&found, "stand/in:flow_uncertainty"), 0.0, 1e-12);
    // The fall over both, as seen at the split (the drain is held): half of each, by the common law
    // together, so (½·(δ/2 + δ/2)² + ½·2(δ/2)²)^½ = δ √(3/4). Nothing else is away from its rating.
    near("split", at(&found, "stand/split:pressure_uncertainty"), own * 0.75_f64.sqrt(), 5.0);

    // Two laws: a bend against a sharp hole do not cancel and do not add up: u² = d_a² + d_b².
    let a = "\"h\": Restrictor(bore: \"15 mm\")";
    let b = "\"r\": Resistance(fall: \"10 kPa\", at: \"30 L/min\", exponent: 2)";
    let ready = read(&two_ways(a, b));
    let found = uncertain(&ready).results;
    let results = point(&ready.model, &ready.model.values).results;
    let get = |address: &str| at(&results, address);
    let slope = |run: &str, part: &str| {
        2.0 * get(&format!("stand/{run}/{part}:fall")) / get(&format!("stand/{run}:flow"))
    };
    let [hole, rated] =
        ["stand/a/h", "stand/b/r"].map(|p| at(&found, &format!("{p}:fall_uncertainty")));
    let want = hole.hypot(rated) / (slope("a", "h") + slope("b", "r"));
    near("two laws", at(&found, "stand/a:flow_uncertainty"), want, 2e-3 * want);
}

/// The laws of a circuit with one run's fall off by an amount.
struct Off<'a> {
    laws: CircuitLaws<'a>,
    run: usize,
    pa: f64,
}

impl Laws for Off<'_> {
    fn evaluate(&mut self, m: &[f64], falls: &mut [f64], slopes: &mut [f64], cross: &mut [f64]) {
        self.laws.evaluate(m, falls, slopes, cross);
        falls[self.run] += self.pa;
    }
}

/// Flows and pressures of a circuit with one run's fall off by an amount.
fn solved(simulator: &Simulator<'_>, c: usize, run: usize, pa: f64) -> (Vec<f64>, Vec<f64>) {
    let setup = &simulator.setup;
    let circuit = &setup.model.circuits[c];
    let couplings = circuit.couplings();
    let ends: Vec<_> = circuit.runs.iter().map(|run| (run.from, run.to)).collect();
    let mut network = Network::new(circuit.junctions.len(), &ends, &couplings).expect("a network");
    let range = setup.layout.circuit_parts[c]..setup.layout.circuit_parts[c + 1];
    let mut off = Off {
        laws: CircuitLaws {
            circuit,
            values: &setup.values,
            parts: &simulator.settled.parts[range],
            junction_density: &simulator.settled.junction_density[c],
            couplings: &couplings,
        },
        run,
        pa,
    };
    let mut inflow = simulator.settled.outside[c].clone();
    let mut held = vec![None; inflow.len()];
    for (j, junction) in circuit.junctions.iter().enumerate() {
        if let Joint::Held { pressure, .. } = junction.joint {
            held[j] = Some(setup.values.get(pressure));
            inflow[j] = 0.0;
        }
    }
    let mut flows = simulator.settled.flows[c].clone();
    let mut pressures = vec![0.0; inflow.len()];
    let settings = Settings::default();
    network
        .solve(&mut off, &inflow, &held, &mut flows, &mut pressures, &settings)
        .unwrap_or_else(|stuck| panic!("{stuck:?}"));
    (flows, pressures)
}

/// Each law off by what it states, up and down, in a full solve at the same temperatures: half the
/// difference is what the linear response says, but for the third order.
#[test]
fn each_law_off_by_its_own_amount_moves_flows_as_the_linear_response_says() {
    let mut tried = 0;
    for file in ["first", "desert_racer", "sled_tractor"] {
        let path = format!("{}/cases/{file}.ron", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("a demo case");
        let ready = read(&text);
        let values = &ready.model.values;
        let states = point(&ready.model, values).states;
        let mut simulator = Simulator::new(&ready.model, values.clone()).expect("a simulator");
        simulator.evaluate(&states).expect("flows");
        let all = moved(&ready.model, values.clone(), &states).expect("moves");
        for (c, of_circuit) in all.iter().enumerate() {
            let most = simulator.settled.flows[c].iter().fold(0.0_f64, |a, b| a.max(b.abs()));
            for one in of_circuit {
                let (more, above) = solved(&simulator, c, one.run, one.pa);
                let (less, below) = solved(&simulator, c, one.run, -one.pa);
                let flows = &simulator.settled.flows[c];
                let largest = one.flows.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
                let changes = one.flows.iter().zip(flows).filter(|(_, flow)| **flow != 0.0);
                let relative = changes.fold(0.0_f64, |a, (d, flow)| a.max((d / flow).abs()));
                // The third order goes with the square of the relative change.
                let slack = 1e-9 * most + largest * (1e-5 + 5.0 * relative * relative);
                for (r, linear) in one.flows.iter().enumerate() {
                    let full = 0.5 * (more[r] - less[r]);
                    let what = format!("{file} {c}: {:?} {:?}, run {r}", one.from, one.law);
                    near(&what, *linear, full, slack);
                }
                let shift = one.pressures[0] - 0.5 * (above[0] - below[0]);
                let largest = one.pressures.iter().fold(one.pa.abs(), |a, b| a.max(b.abs()));
                for (j, linear) in one.pressures.iter().enumerate() {
                    let full = 0.5 * (above[j] - below[j]) + shift;
                    let what = format!("{file} {c}: {:?} {:?}, junction {j}", one.from, one.law);
                    near(&what, *linear, full, 0.01 + 0.02 * largest);
                }
                tried += 1;
            }
        }
    }
    assert!(tried > 100, "{tried} laws");
}

/// The pressure at a pump's inlet follows its suction hose, counted from the tank: a change of the
/// hose's own loss coefficient moves it as an offset of its friction does.
#[test]
fn the_inlet_pressure_of_a_pump_moves_as_with_a_changed_hose() {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/cases/first.ron"))
        .expect("the first case");
    let ready = read(&text);
    let values = &ready.model.values;
    let base = point(&ready.model, values);
    let all = moved(&ready.model, values.clone(), &base.states).expect("moves");
    for (part, address) in [("suction", "charge/loop/suction"), ("back", "charge/loop/back")] {
        let one = all[0]
            .iter()
            .find(|one| ready.model.address(one.from) == address && one.law == Law::Friction)
            .expect("friction");
        let velocity = at(&base.results, &format!("{address}:velocity"));
        let density = at(&base.results, "charge/loop:mass_flow")
            / (velocity * std::f64::consts::FRAC_PI_4 * 0.025 * 0.025);
        let by = one.pa / (0.5 * density * velocity * velocity);
        // Temperatures are held, as in the uncertainty: at the states of the base.
        let pressure = |loss: f64| {
            let changed = with(&ready, &[(&format!("{address}:loss"), loss)]);
            let mut simulator = Simulator::new(&ready.model, changed).expect("a simulator");
            simulator.evaluate(&base.states).expect("flows");
            let results = coolwright_models::results::Results::read(&simulator, &base.states);
            at(&results, "charge/loop/pump:pressure_in")
        };
        // One-sided, of second order: a loss cannot be below zero.
        let full = 4.0 * pressure(0.5 * by) - pressure(by) - 3.0 * pressure(0.0);
        let (_, linear) = &one.pump_inlets[0];
        near(part, *linear, full, 1e-3 * full.abs() + 0.01);
        assert!(linear.abs() > 1.0, "{part} moves the inlet");
    }
}

#[test]
fn a_label_is_trusted_less_than_a_curve() {
    let circuit = |pump: &str| {
        format!(
            "Case(circuits: {{ \"c\": Circuit(coolant: Water, start: \"40 °C\", bore: \"25 mm\", runs: {{ \"loop\": Run(parts: {{
                \"tank\": Tank(volume: \"8 L\"), \"pump\": {pump}, \"hose\": Hose(length: \"6 m\") }}) }}) }},
             pump_curves: {{ \"big\": PumpCurve(points: [(\"0 L/min\", \"75 kPa\"), (\"30 L/min\", \"67.5 kPa\"),
                (\"60 L/min\", \"45 kPa\"), (\"95 L/min\", \"0 kPa\")]) }})"
        )
    };
    let flow = |pump: &str| {
        let ready = read(&circuit(pump));
        let found = uncertain(&ready);
        let of = (Id::Run(0, 0), &q::FLOW);
        let leading = found.leading.iter().find(|l| l.of == of).expect("a leading law");
        assert_eq!(ready.model.address(leading.from), "c/loop/pump");
        at(&found.results, "c/loop:flow_uncertainty")
    };
    let (label, curve) =
        (flow("Pump(shut_off: \"75 kPa\", free_flow: \"95 L/min\")"), flow("Pump(curve: \"big\")"));
    assert!(label > 1.2 * curve, "label {label}, curve {curve}");
}

#[test]
fn where_the_flow_is_given_the_pressure_is_what_is_uncertain() {
    let ready = read(
        "Case(circuits: { \"c\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {
            \"line\": Run(from: \"in\", to: \"out\", parts: {
                \"hose\": Hose(length: \"5 m\"), \"hole\": Restrictor(bore: \"15 mm\") }) },
            junctions: {
                \"in\": Open(flow: \"60 L/min\", temperature: \"20 °C\"),
                \"out\": Open(pressure: \"0 kPa\", temperature: \"20 °C\") }) })",
    );
    let found = uncertain(&ready);
    // Two parts in a row by two laws: their falls add up, their doubts as squares.
    let own = ["hose", "hole"].map(|p| at(&found.results, &format!("c/line/{p}:fall_uncertainty")));
    near("in", at(&found.results, "c/in:pressure_uncertainty"), own[0].hypot(own[1]), 1e-6);
    near("flow", at(&found.results, "c/line:flow_uncertainty"), 0.0, 1e-15);
    assert_eq!(found.leading.len(), 1, "{:?}", found.leading);
    let (id, quantity) = found.leading[0].of;
    assert_eq!((ready.model.address(id).as_str(), quantity), ("c/in", &q::JUNCTION_PRESSURE));
    assert_eq!(ready.model.address(found.leading[0].from), "c/line/hole");
}
