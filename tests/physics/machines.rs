//! Slow, stopped and overpowered pumps and fans in whole circuits: answers that go smoothly from full
//! speed to none, with what comes back in them.

use coolwright_cases::lower::Ready;
use coolwright_models::results::Results;
use coolwright_models::simulate::Simulator;

use crate::common::{at, near, point, read, said, slots, with};

/// From full speed to none.
const SPEEDS: [f64; 9] = [1.0, 0.8, 0.5, 0.2, 0.05, 0.01, 1e-3, 1e-4, 0.0];

/// Two pumps that stand as told, with a hose, a core and two fans behind it.
fn case(pumps: &str, how: &str) -> String {
    format!(
        "Case(site: Site(air: \"20 °C\"), circuits: {{ \"c\": Circuit(coolant: Water, start: \"40 °C\", bore: \
         \"20 mm\", runs: {{ {pumps} \"loop\": Run(from: \"out\", to: \"back\", parts: {{ \"tank\": Tank(volume: \
         \"3 L\"), \"hose\": Hose(length: \"3 m\"), \"core\": CoreSide(core: \"core\") }}) }}) }}, cores: {{ \
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

/// A pump with a curve measured at 16 V and a fan of 20 A on the supplies told, with two phases.
fn fed(supply: &str, pump: &str, fan: &str) -> Ready {
    let all = if supply.is_empty() { String::new() } else { format!("{supply}, ") };
    read(&format!(
        "Case(site: Site(air: \"20 °C\"), {all}circuits: {{ \"c\": Circuit(coolant: Water, start: \"40 \
         °C\", bore: \"20 mm\", runs: {{ \"loop\": Run(parts: {{ \"pump\": Pump(curve: \"p\"{pump}), \"hose\": \
         Hose(length: \"3 m\"), \"core\": CoreSide(core: \"core\") }}) }}) }}, pump_curves: {{ \"p\": \
         PumpCurve(points: [(\"0 L/min\", \"80 kPa\"), (\"50 L/min\", \"60 kPa\"), (\"100 L/min\", \"0 kPa\")], \
         voltage: \"16 V\", current: [\"8 A\", \"10 A\", \"11 A\"]) }}, cores: {{ \"core\": Core(rated: (heat: \"20 \
         kW\", coolant: \"40 L/min\", air: \"1 kg/s\", difference: \"40 K\")) }}, air_paths: {{ \"front\": \
         AirPath(cores: [\"core\"], fans: {{ \"fan\": Fan(shut_off: \"200 Pa\", free_flow: \"2000 m3/h\", \
         current: \"20 A\"{fan}) }}) }}, duty: Duty(phases: {{ \"all\": Phase(time: \"1 s\", pumps: \"100 %\", fans: \
         \"100 %\"), \"half\": Phase(time: \"1 s\", pumps: \"50 %\", fans: \"50 %\"), \"set\": Phase(time: \"1 s\", \
         set: [(\"c/loop/pump:speed\", \"80 %\")]) }}))"
    ))
}

fn speeds(ready: &Ready) -> [f64; 2] {
    let solved = point(&ready.model, &ready.model.values).results;
    ["c/loop/pump:speed", "air_paths/front/fan:speed"].map(|name| at(&solved, name))
}

/// U/U₁ by hand: 12/16 and 12/13.5. What a fan draws goes as s³/U: at 6 V half of what it draws at 12 V,
/// squared, but for the density of air that meets a core of another warmth.
#[test]
fn speeds_follow_the_voltage_unless_a_controller_holds_them() {
    let supply = "supply: Supply(voltage: \"12 V\")";
    let [pump, fan] = speeds(&fed(supply, "", ""));
    near("pump", pump, 0.75, 1e-12);
    near("fan", fan, 12.0 / 13.5, 1e-12);
    let [pump, fan] = speeds(&fed(supply, ", regulated: true", ", rated_voltage: \"15 V\""));
    near("regulated pump", pump, 1.0, 1e-12);
    near("fan of 15 V", fan, 0.8, 1e-12);
    let ready = fed(supply, "", "");
    let drawn = |volts: f64| {
        let values = with(&ready, &[("supply:voltage", volts)]);
        at(&point(&ready.model, &values).results, "air_paths/front/fan:current")
    };
    near("half the voltage, a quarter of the current", drawn(6.0) / drawn(12.0), 0.25, 1e-3);
    // 20 A at 13.5 V; the air at 20 °C has 1.199/1.2 of the density of the curve.
    near("at 1 V", drawn(1.0), 20.0 / (13.5 * 13.5), 2e-3 * 20.0 / (13.5 * 13.5));
}

#[test]
fn a_machine_names_its_supply() {
    let supplies =
        "supplies: { \"low\": Supply(voltage: \"12 V\"), \"high\": Supply(voltage: \"48 V\") }";
    let ready = fed(supplies, ", supply: \"low\"", ", supply: \"high\", rated_voltage: \"60 V\"");
    let [pump, fan] = speeds(&ready);
    near("pump", pump, 0.75, 1e-12);
    near("fan", fan, 0.8, 1e-12);
    let values = with(&ready, &[("supplies/high:voltage", 30.0)]);
    let solved = point(&ready.model, &values).results;
    near("fan at 30 V", at(&solved, "air_paths/front/fan:speed"), 0.5, 1e-12);
    near("pump all the same", at(&solved, "c/loop/pump:speed"), 0.75, 1e-12);
    // The only one feeds all.
    let [pump, _] = speeds(&fed("supplies: { \"one\": Supply(voltage: \"8 V\") }", "", ""));
    near("pump", pump, 0.5, 1e-12);
}

/// What a label says is what is drawn: P, or U I at the voltage of the label, times s³ and the density over
/// that of water at 20 °C; a share of it ends in the coolant, and the current is P over the supply's voltage.
/// By hand at full speed and 13.5 V, two pumps: 2 · 120 W/13.5 V = 17.8 A, 2 · 0.75 · 120 W = 180 W.
#[test]
fn a_label_may_tell_power_or_current() {
    let of = |told: &str| {
        let both = BEHIND
            .replace(
                "\"80 L/min\")",
                "\"80 L/min\", heat_share: \"75 %\", rated_voltage: \"13.5 V\", TOLD)",
            )
            .replace("HOW", ", heat_share: \"75 %\", rated_voltage: \"13.5 V\", TOLD")
            .replace("TOLD", told);
        read(&case(&both, ""))
    };
    // 120 W at 13.5 V are 8.889 A.
    for (told, watts) in [("power: \"120 W\"", 120.0), ("current: \"9 A\"", 121.5)] {
        let ready = of(told);
        assert!(!ready.assumptions.iter().any(|a| a.what.contains("electric power of a pump")));
        for speed in [1.0, 0.5] {
            let changes =
                [("c/a/one:speed", speed), ("c/a/two:speed", speed), ("supply:voltage", 13.5)];
            let solved = point(&ready.model, &with(&ready, &changes)).results;
            let get = |name: &str| at(&solved, name);
            let mut amps = 0.0;
            for pump in ["one", "two"] {
                let density = get("c/a:mass_flow") / get(&format!("c/a/{pump}:flow"));
                let takes = watts * speed * speed * speed * density / 998.2;
                near("power", get(&format!("c/a/{pump}:power")), takes, 1e-9);
                near("heat", get(&format!("c/a/{pump}:pump_heat")), 0.75 * takes, 1e-9);
                near("current", get(&format!("c/a/{pump}:current")), takes / 13.5, 1e-9);
                amps += takes / 13.5;
            }
            let fans = ["one", "two"].map(|fan| get(&format!("air_paths/front/{fan}:current")));
            near("all", get("supply:current"), amps + fans[0] + fans[1], 1e-9);
        }
    }
}

/// Currents of different voltages are no sum: each supply has its own.
#[test]
fn every_supply_has_its_current() {
    let supplies =
        "supplies: { \"low\": Supply(voltage: \"12 V\"), \"high\": Supply(voltage: \"48 V\") }";
    let ready = fed(supplies, ", supply: \"low\"", ", supply: \"high\", rated_voltage: \"60 V\"");
    let solved = point(&ready.model, &ready.model.values).results;
    let get = |name: &str| at(&solved, name);
    near("low", get("supplies/low:current"), get("c/loop/pump:current"), 1e-12);
    near("high", get("supplies/high:current"), get("air_paths/front/fan:current"), 1e-12);
    assert!(solved.catalogue.find("supply:current").is_none(), "it feeds nothing");
    let one = point(&fed("", "", "").model, &fed("", "", "").model.values).results;
    let all = at(&one, "c/loop/pump:current") + at(&one, "air_paths/front/fan:current");
    near("one supply", at(&one, "supply:current"), all, 1e-12);
}

/// What a pump and a fan are set to, then their speeds in the phases, which ask for 100 %, for 50 % and,
/// of the pump, for 80 % instead. The voltage leaves all of it.
#[test]
fn a_failure_stays_and_a_phase_scales_what_is_set() {
    let ready = fed("supply: Supply(voltage: \"16 V\")", "", "");
    for (own, want) in [
        ([1.0, 1.0], [[1.0, 1.0], [0.5, 0.5], [0.8, 1.0]]),
        ([0.6, 0.4], [[0.6, 0.4], [0.3, 0.2], [0.8, 0.4]]),
        ([0.0, 0.0], [[0.0, 0.0], [0.0, 0.0], [0.0, 0.0]]),
    ] {
        let set = [("c/loop/pump:speed", own[0]), ("air_paths/front/fan:speed", own[1])];
        for (phase, want) in ready.duty.phases.iter().zip(want) {
            let mut values = with(&ready, &set);
            ready.model.write_running(&mut values, &phase.sets);
            let machines = ready.model.machines.iter().map(|machine| values.get(machine.speed));
            for (speed, want) in machines.zip(want) {
                near(&phase.name, speed, want, 1e-12);
            }
        }
    }
}

/// One of two side by side stands behind its shut check valve: the head of both is that of the one that works.
#[test]
fn the_head_of_pumps_side_by_side_is_that_of_the_one_that_works() {
    let ready = read(
        r#"Case(site: Site(air: "20 °C"), circuits: { "c": Circuit(coolant: Water, start: "20 °C", bore: "25 mm", runs: {
            "loop": Run(parts: {
                "tank": Tank(volume: "10 L"),
                "pump": Pump(shut_off: "70 kPa", free_flow: "80 L/min", count: Parallel(2), check_valves: true),
                "load": Resistance(fall: "30 kPa", at: "40 L/min") }) }) })"#,
    );
    let mut values = ready.model.values.clone();
    let stops: Vec<_> =
        slots(&ready, "c/loop/pump/1:speed").iter().map(|&slot| (slot, 0.0)).collect();
    ready.model.write(&mut values, &stops);
    let results = point(&ready.model, &values).results;
    let [both, works] =
        ["c/loop/pump", "c/loop/pump/2"].map(|pump| at(&results, &format!("{pump}:head")));
    assert!(works > 20e3, "{works}");
    near("head, Pa", both, works, 0.0);
    // Hydraulic power over electric power, from the same head.
}

/// What stands has no direction: read against the one that rounding gives it, an outlet would be an inlet, and what a
/// limit may be off by as large as the rise.
#[test]
fn what_stands_is_read_one_way() {
    let ready = read(&case(
        "\"feed\": Run(from: \"back\", to: \"out\", parts: { \"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\", \
         speed: \"0 %\") }),",
        "",
    ));
    let values = ready.model.values.clone();
    let mut simulator = Simulator::new(&ready.model, values).expect("its numbers are right");
    let mut y = simulator.start();
    for (k, state) in y.iter_mut().enumerate() {
        *state += 0.1 * f64::from(u8::try_from(k).unwrap_or(u8::MAX));
    }
    simulator.evaluate(&y).expect("nothing flows");
    let mut rounded = |flow: f64| {
        simulator.settled.flows[0].fill(flow);
        Results::read(&simulator, &y)
    };
    let [along, against, backwards] = [1e-30, -1e-30, -1e-3].map(&mut rounded);
    for address in ["c/loop/hose:in", "c/loop/hose:out", "c/loop/core:out", "c:boil_margin"] {
        near(address, at(&against, address), at(&along, address), 0.0);
    }
    assert!((at(&backwards, "c/loop/hose:out") - at(&along, "c/loop/hose:out")).abs() > 0.05);
}
