//! Thermostats that their wax moves, against closed forms, hand rules and each other.

use coolwright_models::cycle::{Phase, duty_cycle};
use coolwright_models::model::Model;
use coolwright_models::parts::{Motion, Own, Seen};

use crate::common::{at, column, constant, near, read, solve};

/// An engine with a radiator, a bypass and a thermostat in the run from `from` to `to`; the valves stand where the two
/// strings say.
fn engine(stat: &str, [first, last]: [&str; 2], bypass: &str) -> String {
    format!(
        r#"Case(
            site: Site(air: "20 °C"),
            circuits: {{ "engine": Circuit(coolant: Water, start: "20 °C", bore: "38 mm", pressure: "80 kPa", runs: {{
                "main": Run(from: "suction", to: "housing", parts: {{
                    "pump": Pump(shut_off: "90 kPa", free_flow: "260 L/min"),
                    "block": Jacket(engine: "diesel"),
                    "tank": Tank(volume: "3 L", air: "0 L"),
                }}),
                {bypass}
                "radiator": Run(from: "housing", to: "suction", parts: {{
                    {first}
                    "upper": Hose(length: "0.8 m"),
                    "core": CoreSide(core: "radiator"),
                    "lower": Hose(length: "0.9 m"),
                    {last}
                }}),
            }}) }},
            engines: {{ "diesel": Engine(heat: "60 kW", metal: Iron("120 kg"), fall: (fall: "40 kPa", at: "150 L/min")) }},
            cores: {{ "radiator": Core(rated: (heat: "90 kW", coolant: "150 L/min", air: "2.2 kg/s", difference: "60 K")) }},
            air_paths: {{ "front": AirPath(cores: ["radiator"], fans: {{ "fan": Fan(count: 2, shut_off: "320 Pa", free_flow: "4200 m3/h") }}) }},
        )"#
    )
    .replace("STAT", stat)
}

/// Valves at the outlet of the engine, the bypass valve after its main valve in the file or before it.
fn at_outlet(stat: &str) -> String {
    engine(stat, ["\"stat\": STAT,", ""], BYPASS)
}

const BYPASS: &str = r#""bypass": Run(from: "housing", to: "suction", bore: "19 mm", parts: {
    "shut": Thermostat(side: Bypass), "hose": Hose(length: "0.4 m") }),"#;

const STAT: &str = r#"Thermostat(opens: "82 °C", range: "13 K", hysteresis: "4 K", lag: "15 s", lag_at: "60 L/min")"#;

/// The wax of the part called `stat`.
fn wax(model: &Model) -> &dyn Own {
    let parts = model.circuits[0].runs.iter().flat_map(|run| &run.parts);
    let stat = parts.filter(|placed| placed.name == "stat").find_map(|placed| placed.part.own());
    stat.expect("a thermostat that moves")
}

/// The rates of its wax and its lift, in coolant of a temperature and with a flow.
fn rates(model: &Model, own: [f64; 2], coolant_k: f64, flow_kg_s: f64) -> [f64; 2] {
    let mut rates = [0.0; 2];
    let seen = Seen {
        values: &model.values,
        own: &own,
        temperature_k: coolant_k,
        enthalpy: 0.0,
        flow_kg_s,
        at_rest: false,
    };
    wax(model).motion_at(&seen, &mut Motion { rates: &mut rates, heat_w: 0.0 });
    rates
}

/// A first-order element in closed form: dT/dt = ΔT/τ. At the flow of its lag the film has 1 in its root of squares
/// beside the 0.1 of coolant that stands, which is a tenth; at four times the flow 4^0.618 = 2.356.
#[test]
fn the_wax_lags_by_the_flow_that_washes_it() {
    let model = read(&at_outlet(STAT)).model;
    let lag = |flow: f64| 10.0 / rates(&model, [330.0, 0.0], 340.0, flow)[0];
    // 60 L/min of water at 20 °C: 0.9982 kg/s.
    near("at its flow, s", lag(0.9982), 15.0 / 1.01_f64.sqrt(), 1e-9);
    near("at rest, s", lag(0.0), 150.0, 1e-9);
    near("at four times the flow, s", lag(4.0 * 0.9982), 15.0 / 2.356_f64.hypot(0.1), 2e-3);
    near("either way, s", lag(-0.9982), lag(0.9982), 0.0);
}

/// Play by hand: on the way up the lift is s((T − 82 °C)/13 K) with s(z) = 3 z² − 2 z³, on the way down that of a wax
/// 4 K warmer, and between the two it stays.
#[test]
fn hysteresis_is_play_between_the_way_up_and_the_way_down() {
    let model = read(&at_outlet(STAT)).model;
    let mut lift = 0.0;
    let mut go_to = |celsius: f64| {
        // So long that the stem, which takes a second, has come to rest.
        for _ in 0..2000 {
            lift += 0.01 * rates(&model, [celsius + 273.15, lift], 300.0, 1.0)[1];
        }
        lift
    };
    near("before it opens", go_to(81.9), 0.0, 0.0);
    near("half way up", go_to(88.5), 0.5, 1e-6);
    near("2 K colder it stays", go_to(86.5), 0.5, 1e-6);
    // z = (84.5 + 4 − 82)/13 = 0.5: it is about to move; at 81.25 °C z = 0.25, s = 0.15625.
    near("4 K colder it still stays", go_to(84.5), 0.5, 1e-6);
    near("on the way down", go_to(81.25), 0.156_25, 1e-6);
    near("up again it stays", go_to(83.0), 0.156_25, 1e-6);
    near("full open", go_to(95.5), 1.0, 1e-6);
    near("shut 4 K below where it opens", go_to(77.9), 0.0, 1e-6);
}

/// At rest the wax is as warm as its coolant, the lift is that of the way up, and a valve told to be open so far gives
/// the same point.
#[test]
fn at_rest_it_is_a_valve_told_to_be_open_as_far() {
    let point = solve(&at_outlet(STAT));
    let [wax, lift] =
        ["wax", "opening"].map(|name| at(&point, &format!("engine/radiator/stat:{name}")));
    let z = (wax - 355.15) / 13.0;
    near("lift", lift, z * z * (3.0 - 2.0 * z), 1e-7);
    assert!(lift > 0.02 && lift < 0.9, "part open: {lift}");
    near("as warm as what meets there", wax, at(&point, "engine/main/block:out"), 1e-6);
    near("one stem: the bypass shuts", at(&point, "engine/bypass/shut:opening"), 1.0 - lift, 1e-12);
    let told = solve(&at_outlet(&format!("Thermostat(open: \"{} %\")", 100.0 * lift)));
    for address in [
        "engine/radiator:flow",
        "engine/bypass:flow",
        "engine/main/block:out",
        "engines/diesel:metal",
    ] {
        near(address, at(&point, address), at(&told, address), 1e-6 * at(&told, address).abs());
    }
}

/// Held constant, a cycle comes to rest at the operating point: without hysteresis exactly there, with it within its
/// play.
#[test]
fn a_cycle_held_constant_ends_at_the_point() {
    for (hysteresis, within_k) in [("0 K", 0.01), ("4 K", 4.0)] {
        let stat = STAT.replace("4 K", hysteresis);
        let ready = read(&at_outlet(&stat));
        let history =
            duty_cycle(&ready.model, &ready.model.values, &constant(7200.0), &mut |_| true);
        let history = history.expect("a cycle");
        let point = solve(&at_outlet(&stat));
        let last = |address: &str| *column(&history, address).last().expect("rows");
        for address in ["engine/main/block:out", "engine/radiator/stat:wax", "engines/diesel:metal"]
        {
            near(address, last(address), at(&point, address), within_k);
        }
        for phase in &history.phases {
            near("open, J", phase.open_j(), 0.0, 1e-6 * 60e3 * 7200.0);
        }
    }
}

/// At the inlet it feels what radiator and bypass mix to, and holds that; the bypass valve may stand anywhere in the
/// file.
#[test]
fn at_the_inlet_it_holds_what_enters_the_engine() {
    let bypass = r#""bypass": Run(from: "housing", to: "suction", bore: "19 mm", parts: {
        "hose": Hose(length: "0.4 m"), "shut": Thermostat(side: Bypass) }),"#;
    let point = solve(&engine(STAT, ["", "\"stat\": STAT,"], bypass));
    let wax = at(&point, "engine/radiator/stat:wax");
    near("what enters", wax, at(&point, "engine/main/pump:in"), 1e-6);
    assert!((355.15..368.15).contains(&wax), "it holds {wax} K");
    assert!(at(&point, "engine/main/block:out") > wax + 5.0);
    let outlet = solve(&at_outlet(STAT));
    assert!(at(&point, "engine/main/block:out") > at(&outlet, "engine/main/block:out") + 3.0);
}

/// What is too cold stays shut, what is too hot opens fully, and both are the valve told to be so.
#[test]
fn far_from_its_range_it_is_shut_or_open() {
    for (opens, told) in [("118 °C", "0 %"), ("30 °C", "100 %")] {
        let heat =
            |case: String| case.replace("60 kW", if told == "0 %" { "4 kW" } else { "80 kW" });
        let moved = solve(&heat(at_outlet(&STAT.replace("82 °C", opens))));
        let held = solve(&heat(at_outlet(&format!("Thermostat(open: \"{told}\")"))));
        for address in ["engine/radiator:flow", "engine/main/block:out"] {
            near(address, at(&moved, address), at(&held, address), 1e-6 * at(&held, address).abs());
        }
    }
}

/// A cold slug waits in the radiator: as the thermostat first opens, the coolant that enters the engine gets colder
/// before it gets warmer, and the lag lets the engine shoot over.
#[test]
fn the_first_opening_sends_a_cold_slug() {
    let ready = read(&at_outlet(STAT));
    let phases = vec![Phase { name: "warm".to_owned(), time_s: 900.0, ..Phase::default() }];
    let history =
        duty_cycle(&ready.model, &ready.model.values, &phases, &mut |_| true).expect("a cycle");
    let [entering, lift] = ["engine/main/pump:in", "engine/radiator/stat:opening"]
        .map(|address| column(&history, address));
    let opens = lift.iter().position(|lift| *lift > 1e-3).expect("it opens");
    let before = entering[..=opens].iter().copied().fold(f64::MIN, f64::max);
    let slug = entering[opens..].iter().copied().fold(f64::MAX, f64::min);
    assert!(slug < before - 5.0, "{before} K, then {slug} K");
}
