//! Slow, stopped and overpowered pumps and fans in whole circuits: answers that go smoothly from full
//! speed to none, with what comes back in them.

use coolwright_cases::lower::Ready;
use coolwright_models::results::Results;
use coolwright_models::simulate::Simulator;

use crate::common::{at, near, point, read, said, with};

/// From full speed to none.
const SPEEDS: [f64; 9] = [1.0, 0.8, 0.5, 0.2, 0.05, 0.01, 1e-3, 1e-4, 0.0];

/// Two pumps that stand as told, with a hose, a core and two fans behind it.
fn case(pumps: &str, how: &str) -> String {
    format!(
        "Case(site: Site(air: \"20 °C\"), circuits: {{ \"c\": Circuit(coolant: Water, start: \"40 °C\", bore: \
         \"20 mm\", runs: {{ {pumps} \"loop\": Run(from: \"out\", to: \"back\", parts: {{ \"tank\": Tank(volume: \
         \"3 L\"), \"hose\": Hose(length: \"3 m\"), \"core\": Through(core: \"core\") }}) }}) }}, cores: {{ \
         \"core\": Core(rated: (heat: \"20 kW\", coolant: \"40 L/min\", air: \"1 kg/s\", difference: \"40 K\"), \
         air_fall: (fall: \"60 Pa\", at: \"1 kg/s\")) }}, air_paths: {{ \"front\": AirPath(cores: [\"core\"], \
         ram: \"60 %\", fans: {{ \"one\": Fan(shut_off: \"200 Pa\", free_flow: \"2000 m3/h\"{how}), \"two\": \
         Fan(shut_off: \"240 Pa\", free_flow: \"2400 m3/h\") }}) }}, coolers: {{ }}, duty: Duty(road_speed: \
         \"0 km/h\"))"
    )
}

const BESIDE: &str = "\"a\": Run(from: \"back\", to: \"out\", parts: { \"one\": Pump(shut_off: \"60 kPa\", \
                      free_flow: \"70 L/min\"HOW) }), \"b\": Run(from: \"back\", to: \"out\", parts: { \"two\": \
                      Pump(shut_off: \"80 kPa\", free_flow: \"80 L/min\") }),";
const BEHIND: &str = "\"a\": Run(from: \"back\", to: \"out\", parts: { \"two\": Pump(shut_off: \"80 kPa\", \
                      free_flow: \"80 L/min\"), \"one\": Pump(shut_off: \"60 kPa\", free_flow: \"70 L/min\"HOW) }),";

/// A result over the speeds of one machine.
fn sweep(ready: &Ready, changes: &[(&str, f64)], command: &str, result: &str) -> Vec<f64> {
    let solve = |speed: &f64| {
        let mut changes = changes.to_vec();
        changes.push((command, *speed));
        at(&point(&ready.model, &with(ready, &changes)).results, result)
    };
    SPEEDS.iter().map(solve).collect()
}

/// Falls with the speed, and goes over into the value at rest: what is left at 1 % is less than 2 % of the
/// way, at 0.01 % less than 0.02 %.
fn falls_smoothly(what: &str, flows: &[f64]) {
    assert!(flows.is_sorted_by(|a, b| *b <= a + 1e-9 * flows[0].abs()), "{what}: {flows:?}");
    let (first, last) = (flows[0], flows[flows.len() - 1]);
    for (speed, flow) in SPEEDS.iter().zip(flows) {
        if *speed <= 0.01 {
            let left = (flow - last) / (first - last);
            assert!(left <= 2.0 * speed + 1e-6, "{what} at {speed}: {left} of the way left");
        }
    }
}

#[test]
fn a_weak_pump_beside_a_stronger_one_lets_back_more_the_slower_it_turns() {
    for how in ["", ", when_stopped: Seized", ", stopped: (fall: \"30 kPa\", at: \"60 L/min\")"] {
        let ready = read(&case(&BESIDE.replace("HOW", how), ""));
        let own = sweep(&ready, &[], "c/a/one:speed", "c/a:flow");
        assert!(own[0] > 0.0 && own[SPEEDS.len() - 1] < -1e-4, "{own:?}");
        falls_smoothly("flow of the slow pump", &own);
        falls_smoothly("flow of the loop", &sweep(&ready, &[], "c/a/one:speed", "c/loop:flow"));
        let solved = point(&ready.model, &with(&ready, &[("c/a/one:speed", 0.3)]));
        let said = said(&ready.model, &solved);
        assert!(said.iter().any(|said| said.contains("driven backwards")), "{said:?}");
    }
}

/// At the same fall a stopped pump passes √(1.49/0.61) times as much freewheeling as seized: by hand
/// that is 1.563.
#[test]
fn a_pump_in_series_slows_the_flow_the_more_the_slower_it_turns() {
    let mut stopped = Vec::new();
    for how in ["", ", when_stopped: Seized"] {
        let ready = read(&case(&BEHIND.replace("HOW", how), ""));
        let flows = sweep(&ready, &[], "c/a/one:speed", "c/a:flow");
        falls_smoothly("flow", &flows);
        let still = point(&ready.model, &with(&ready, &[("c/a/one:speed", 0.0)]));
        let [flow, fall] = ["c/a:flow", "c/a/one:fall"].map(|name| at(&still.results, name));
        stopped.push(flow / fall.sqrt());
    }
    near("free over seized", stopped[0] / stopped[1], (1.49_f64 / 0.61).sqrt(), 1e-3);
}

#[test]
fn a_weak_fan_lets_back_more_the_slower_it_turns_and_never_as_much_as_a_hole() {
    for how in ["", ", when_stopped: Seized"] {
        let ready = read(&case(&BESIDE.replace("HOW", ""), how));
        let command = "air_paths/front/one:speed";
        let own = sweep(&ready, &[], command, "air_paths/front/one:flow");
        assert!(own[0] > 0.0 && own[SPEEDS.len() - 1] < 0.0, "{own:?}");
        falls_smoothly("flow of the slow fan", &own);
        falls_smoothly(
            "air of the core",
            &sweep(&ready, &[], command, "air_paths/front:mass_flow"),
        );
    }
}

/// With the road's air through it a fan helps the more the faster it turns, and resists most at rest.
#[test]
fn fans_that_windmill_resist_less_the_faster_they_are_driven() {
    let ready = read(&case(&BESIDE.replace("HOW", ""), ""));
    let fast = [("duty:road_speed", 40.0), ("air_paths/front/two:speed", 0.0)];
    let flows = sweep(&ready, &fast, "air_paths/front/one:speed", "air_paths/front:mass_flow");
    assert!(flows[SPEEDS.len() - 1] > 0.0);
    falls_smoothly("air of the core", &flows);
}

/// Everything off: nothing moves, and that is an answer.
#[test]
fn all_machines_off_is_an_answer() {
    let ready = read(&case(&BESIDE.replace("HOW", ""), ""));
    let off = [
        ("c/a/one:speed", 0.0),
        ("c/b/two:speed", 0.0),
        ("air_paths/front/one:speed", 0.0),
        ("air_paths/front/two:speed", 0.0),
    ];
    let mut simulator = Simulator::new(&ready.model, with(&ready, &off)).unwrap();
    let start = simulator.start();
    simulator.evaluate(&start).unwrap();
    let still = Results::read(&simulator, &start);
    for result in ["c/a:flow", "c/b:flow", "c/loop:flow", "air_paths/front:mass_flow"] {
        near(result, at(&still, result), 0.0, 1e-12);
    }
}
