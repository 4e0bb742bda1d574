//! What published disagreement makes of flows and pressures: closed forms, and full re-solves with
//! each law off by what it states.

use coolwright_cases::lower::Ready;
use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::laws::uncertainty::Law;
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;
use coolwright_models::simulate::Offset;
use coolwright_models::uncertainty::{Term, Uncertainty, uncertainty};

use crate::common::{at, near, point, read, with};

fn uncertain(ready: &Ready) -> Uncertainty {
    let values = &ready.model.values;
    uncertainty(&ready.model, values, &point(&ready.model, values)).expect("an uncertainty")
}

/// What a result may be off by.
fn off(found: &Uncertainty, address: &str) -> f64 {
    found.get(address).unwrap_or_else(|| panic!("nothing at {address}"))
}

/// Water of 20 °C at 120 L/min into two ways that join again, without loss.
fn two_ways(a: &str, b: &str) -> String {
    joined(a, b, "\"split\": Joint(), \"join\": Joint(),")
}

/// The same with junctions of some kind.
fn joined(a: &str, b: &str, junctions: &str) -> String {
    format!(
        "Case(circuits: {{ \"stand\": Circuit(coolant: Water, start: \"20 °C\", bore: \"25 mm\", runs: {{
            \"in\": Run(from: \"mains\", to: \"split\", parts: {{ \"r\": Resistance(fall: \"5 kPa\", at: \"120 L/min\") }}),
            \"a\": Run(from: \"split\", to: \"join\", parts: {{ {a} }}),
            \"b\": Run(from: \"split\", to: \"join\", parts: {{ {b} }}),
            \"out\": Run(from: \"join\", to: \"drain\", parts: {{ \"r\": Resistance(fall: \"5 kPa\", at: \"120 L/min\") }}) }},
            junctions: {{ {junctions}
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
    let found = uncertain(&read(&two_ways(part, part)));
    let own = at(&found.own, "stand/a/r:fall_uncertainty");
    near("own", own, 0.125 * 2.0_f64.ln() * 40e3, 1.0);
    let want = 1e-3 * 0.125 * 2.0_f64.ln() / 4.0;
    for run in ["stand/a", "stand/b"] {
        let flow = off(&found, &format!("{run}:flow"));
        near(run, flow, want, 1e-3 * want);
    }
    near("given", off(&found, "stand/in:flow"), 0.0, 1e-12);
    // The fall over both, as seen at the split (the drain is held): half of each, by the common law
    // together, so (½·(δ/2 + δ/2)² + ½·2(δ/2)²)^½ = δ √(3/4). Nothing else is away from its rating.
    near("split", off(&found, "stand/split:pressure"), own * 0.75_f64.sqrt(), 5.0);

    // Two laws: a bend against a sharp hole do not cancel and do not add up: u² = d_a² + d_b².
    let a = "\"h\": Restrictor(bore: \"15 mm\")";
    let b = "\"r\": Resistance(fall: \"10 kPa\", at: \"30 L/min\", exponent: 2)";
    let ready = read(&two_ways(a, b));
    let found = uncertain(&ready);
    let results = point(&ready.model, &ready.model.values).results;
    let get = |address: &str| at(&results, address);
    let slope = |run: &str, part: &str| {
        2.0 * get(&format!("stand/{run}/{part}:fall")) / get(&format!("stand/{run}:flow"))
    };
    let [hole, rated] =
        ["stand/a/h", "stand/b/r"].map(|p| at(&found.own, &format!("{p}:fall_uncertainty")));
    let want = hole.hypot(rated) / (slope("a", "h") + slope("b", "r"));
    near("two laws", off(&found, "stand/a:flow"), want, 2e-3 * want);
}

/// Where nothing says what the joints are, each way may lose one velocity head of the run that brings or takes all:
/// 120 L/min in 25 mm, q = ½ ρ v² = ½ · 998.2 · 4.0744² Pa. At split and join that moves the flows by `±q/(s_a + s_b)` each;
/// of the same law, those of the two ways cancel: u² = ½ 0 + ½ · 4 d².
#[test]
fn joints_of_which_nothing_is_known_may_lose_a_velocity_head() {
    // Both rated at what they get: the law of the ways is exact.
    let part = "\"r\": Resistance(fall: \"40 kPa\", at: \"60 L/min\", exponent: 2)";
    let ready = read(&joined(part, part, ""));
    let found = uncertain(&ready);
    let velocity = 2e-3 / (std::f64::consts::FRAC_PI_4 * 0.025 * 0.025);
    let head = 0.5 * 998.2 * velocity * velocity;
    let slope = 2.0 * 40e3 / 1e-3;
    let want = head / (2.0 * slope) * 2.0_f64.sqrt();
    near("flow", off(&found, "stand/a:flow"), want, 2e-3 * want);
    let lead = found.leading_of("stand/a:flow").expect("a law");
    assert_eq!(lead.law, Law::PlainJoint);
    let told = uncertain(&read(&two_ways(part, part)));
    near("told to have none", off(&told, "stand/a:flow"), 0.0, 1e-12);
}

/// A way that is rated at a hundred times the flow that it gets: its loss is off by e = 0.125 ln 100, 58 %
/// of itself. Beside a wide way, which sets the pressure over both, its flow is Q exp(∓e/2), from 0.75 to
/// 1.33 of it, not 0.71 to 1.29; and it never gets less than nothing.
#[test]
fn what_does_not_follow_in_a_straight_line_has_a_least_and_a_most() {
    // 10 kPa at 120 L/min against 100 MPa at 120 L/min: 1.2 L/min go the narrow way.
    let a = "\"r\": Resistance(fall: \"10 kPa\", at: \"120 L/min\", exponent: 2)";
    let b = "\"r\": Resistance(fall: \"100 MPa\", at: \"120 L/min\", exponent: 2)";
    let ready = read(&two_ways(a, b));
    let found = uncertain(&ready);
    let results = point(&ready.model, &ready.model.values).results;
    let runs = &ready.model.circuits[0].runs;
    let run = |name: &str| Id::Run(0, runs.iter().position(|run| run.name == name).expect("a run"));
    let flow = at(&results, "stand/b:flow");
    let [least, most] = found.bounds(run("b"), &q::FLOW).expect("a least and a most");
    // The share of the narrow way is 1 % of the flow: all else moves by as much of it at most.
    let half = 0.5 * 0.125 * (120e-3 / 60.0 / flow).ln();
    near("least", least, flow * (-half).exp(), 0.01 * flow);
    near("most", most, flow * half.exp(), 0.01 * flow);
    assert!(most - flow > 1.05 * off(&found, "stand/b:flow"), "bent upwards");
    assert_eq!(found.bounds(run("a"), &q::FLOW), None, "a straight line is good enough");
    near("towards", found.towards("stand/b:flow", false).expect("known"), flow - least, 1e-15);
    near(
        "straight",
        found.towards("stand/a:flow", true).expect("known"),
        off(&found, "stand/a:flow"),
        0.0,
    );
}

/// Every law off by what it states, up and down, and the whole point solved anew: half the difference is
/// what the linear response says, but for the third order.
#[test]
fn each_law_off_by_its_own_amount_moves_a_point_as_the_linear_response_says() {
    let mut tried = [0_usize; 3];
    for file in ["first", "desert_racer", "sled_tractor", "hill_climb_coupe"] {
        let path = format!("{}/cases/{file}.ron", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).expect("a demo case");
        let ready = read(&text);
        let values = &ready.model.values;
        let base = point(&ready.model, values);
        let held: Vec<usize> = base.held.iter().map(|held| held.circuit).collect();
        let mut instance = Instance::new(&ready.model);
        let found = instance.uncertainty(values, &base.states, &held).expect("an uncertainty");
        for (k, term) in found.terms.iter().enumerate() {
            let mut solve = |times: f64| {
                instance.off_by(&[(term.offset, times)]);
                instance.point(values, Some(base.start())).expect("a point").results.clone()
            };
            let [more, less] = [solve(0.3), solve(-0.3)];
            for (body, spec) in ready.model.bodies.iter().enumerate() {
                let id = Id::Body(body);
                for (n, quantity) in
                    [&q::METAL_MEAN, &q::COOLANT_FLOW, &q::COOLANT_RISE].into_iter().enumerate()
                {
                    let get = |results: &Results| results.of(id, quantity).expect("a result");
                    // What has no steady state has no temperatures that could move.
                    if get(&base.results).is_nan() {
                        assert!(
                            !base.held.is_empty() && get(&more).is_nan() && get(&less).is_nan()
                        );
                        continue;
                    }
                    let full = (get(&more) - get(&less)) / 0.6;
                    let linear = found.changes(id, quantity).expect("changes")[k];
                    let size = if n == 0 { 100.0 } else { get(&base.results).abs() };
                    let relative = full.abs() / size;
                    let slack = full.abs() * (5e-3 + 5.0 * relative) + 1e-6 * size;
                    let what = format!("{file} {:?} {:?}, {} {n}", term.from, term.law, spec.name);
                    near(&what, linear, full, slack);
                    tried[n] += usize::from(full.abs() > 1e-6 * size);
                }
            }
        }
    }
    assert!(tried.iter().all(|tried| *tried > 50), "{tried:?} moves");
}

/// The first pump of the first circuit.
fn pump_of(ready: &Ready) -> Id {
    let runs = ready.model.circuits[0].runs.iter().enumerate();
    let places =
        runs.flat_map(|(r, run)| run.parts.iter().enumerate().map(move |(p, at)| (r, p, at)));
    let mut pumps = places.filter(|(_, _, at)| at.part.as_pump().is_some());
    pumps.next().map(|(r, p, _)| Id::Part(0, r, p)).expect("a pump")
}

/// The pressure at a pump's inlet follows its suction hose, counted from the tank: a change of the
/// hose's own loss coefficient moves it as an offset of its friction does.
#[test]
fn the_inlet_pressure_of_a_pump_moves_as_with_a_changed_hose() {
    let ready = read(include_str!("cases/one_loop.ron"));
    let values = &ready.model.values;
    let base = point(&ready.model, values);
    let found = uncertain(&ready);
    for (part, address) in [("suction", "charge/loop/suction"), ("back", "charge/loop/back")] {
        let is_friction =
            |term: &&Term| ready.model.address(term.from) == address && term.law == Law::Friction;
        let term = found.terms.iter().position(|term| is_friction(&term)).expect("friction");
        let Offset::Part { pa, .. } = found.terms[term].offset else { panic!("a fall") };
        let velocity = at(&base.results, &format!("{address}:velocity"));
        let density = at(&base.results, "charge/loop:mass_flow")
            / (velocity * std::f64::consts::FRAC_PI_4 * 0.025 * 0.025);
        let by = pa / (0.5 * density * velocity * velocity);
        let pressure = |loss: f64| {
            let changed = with(&ready, &[(&format!("{address}:loss"), loss)]);
            at(&point(&ready.model, &changed).results, "charge/loop/pump:pressure_in")
        };
        // One-sided, of second order: a loss cannot be below zero.
        let full = 4.0 * pressure(0.5 * by) - pressure(by) - 3.0 * pressure(0.0);
        let pump = pump_of(&ready);
        let linear = found.changes(pump, &q::PRESSURE_IN).expect("changes")[term];
        near(part, linear, full, 1e-3 * full.abs() + 0.01);
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
        let (leading, _) = found.leading(Id::Run(0, 0), &q::FLOW).expect("a leading law");
        assert_eq!(ready.model.address(leading.from), "c/loop/pump");
        off(&found, "c/loop:flow")
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
    let own = ["hose", "hole"].map(|p| at(&found.own, &format!("c/line/{p}:fall_uncertainty")));
    near("in", off(&found, "c/in:pressure"), own[0].hypot(own[1]), 1e-6);
    near("flow", off(&found, "c/line:flow"), 0.0, 1e-15);
    assert!(found.leading(Id::Run(0, 0), &q::FLOW).is_none(), "the flow is given");
    let junction = (0..2).map(|j| Id::Junction(0, j)).find(|id| ready.model.address(*id) == "c/in");
    let leading = found.leading(junction.expect("the inlet"), &q::JUNCTION_PRESSURE);
    assert_eq!(ready.model.address(leading.expect("a law").0.from), "c/line/hole");
}
