//! Heat of engines by their fuel and by a map over speed and power.

use crate::common::{at, near, point, read, said, solve};

/// An engine of 200 kW with water through it, at a share of its power and a speed.
fn case(heat: &str, share: &str, rpm: f64) -> String {
    format!(
        r#"Case(
            site: Site(air: "20 °C"),
            circuits: {{ "c": Circuit(coolant: Water, start: "60 °C", bore: "40 mm", runs: {{ "line": Run(from: "in", to: "out", parts: {{
                "block": Jacket(engine: "engine") }}) }}, junctions: {{ "in": Open(flow: "200 L/min", temperature: "60 °C"), "out": Open(pressure: "80 kPa", temperature: "60 °C") }}) }},
            engines: {{ "engine": Engine({heat}) }},
            duty: Duty(power: "200 kW", point: "{share}", engine_speed: "{rpm} rpm"),
        )"#
    )
}

fn heat(told: &str, share: &str, rpm: f64) -> f64 {
    at(&solve(&case(told, share, rpm)), "engines/engine:heat_in")
}

/// 235 g/kWh of 42.6 MJ/kg is a brake efficiency of 1/(0.235 · 42.6/3.6) = 36.0 %; 24 % of the fuel's heat is then 66.7 % of the
/// power. Told as a flow at full power it is the same.
#[test]
fn a_share_of_the_fuel_is_heat() {
    let by_power = 0.24 * 0.235 / 3.6e6 * 42.6e6;
    let burns = r#"fuel: (burns: "235 g/kWh", heating_value: "42.6 MJ/kg", share: "24 %")"#;
    let grams = 0.235 / 3.6e6 * 200e3 * 1e3;
    let flow = format!(r#"fuel: (flow: "{grams} g/s", heating_value: "42.6 MJ/kg")"#);
    for (share, part) in [("100 %", 1.0), ("40 %", 0.4)] {
        let want = by_power * 200e3 * part;
        near("by consumption, W", heat(burns, share, 4000.0), want, 1e-6 * want);
        // What is left out is assumed to be 24 %.
        near("by flow, W", heat(&flow, share, 4000.0), want, 1e-6 * want);
    }
    let ready = read(&case(&flow, "100 %", 4000.0));
    let assumed = ready
        .assumptions
        .iter()
        .find(|of| of.addresses.iter().any(|at| at == "engines/engine:fuel_share"));
    assert!(assumed.is_some(), "the share is told as assumed");
}

/// What a map does not tell is said.
#[test]
fn a_map_that_is_left_is_told() {
    let map = r#"map: [
        (engine_speed: "2000 rpm", power: "0 kW", heat: "10 kW"), (engine_speed: "2000 rpm", power: "200 kW", heat: "110 kW"),
        (engine_speed: "6000 rpm", power: "0 kW", heat: "5 kW"), (engine_speed: "6000 rpm", power: "200 kW", heat: "70 kW")]"#;
    for (rpm, left) in [(4000.0, false), (8000.0, true), (1000.0, true)] {
        let ready = read(&case(map, "100 %", rpm));
        let found = said(&ready.model, &point(&ready.model, &ready.model.values)).join("\n");
        assert_eq!(
            found.contains("beyond the speeds or the powers of its map"),
            left,
            "{rpm}: {found}"
        );
    }
    // Heat that falls with speed is not carried on below the end.
    near("heat, W", heat(map, "100 %", 9000.0), 70e3, 1e-3);
}

/// Straight between the points: 60 + (100 − 60)/2 at half way along either side.
#[test]
fn a_map_over_speed_and_power_is_met_between_its_points() {
    let map = r#"map: [
        (engine_speed: "2000 rpm", power: "0 kW", heat: "10 kW"), (engine_speed: "2000 rpm", power: "200 kW", heat: "110 kW"),
        (engine_speed: "6000 rpm", power: "0 kW", heat: "30 kW"), (engine_speed: "6000 rpm", power: "200 kW", heat: "170 kW")]"#;
    for (share, rpm, want) in [
        ("100 %", 2000.0, 110e3),
        ("50 %", 2000.0, 60e3),
        ("100 %", 4000.0, 140e3),
        ("50 %", 4000.0, 80e3),
        ("25 %", 6000.0, 65e3),
    ] {
        near("heat, W", heat(map, share, rpm), want, 1e-6 * want);
    }
}

/// 400 V, 80 mΩ that give 60 kW: I = 2·60 000/(400 + √(400² − 4·0.08·60 000)) = 154.8 A, 0.08·154.8² = 1.917 kW.
#[test]
fn a_battery_is_warmed_by_what_it_gives() {
    let case = r#"Case(
        site: Site(air: "20 °C"),
        circuits: { "c": Circuit(coolant: Water, start: "25 °C", bore: "16 mm", runs: { "line": Run(from: "in", to: "out", parts: {
            "plate": Pass(cooler: "pack") }) }, junctions: { "in": Open(flow: "15 L/min", temperature: "25 °C"), "out": Open(pressure: "20 kPa", temperature: "25 °C") }) },
        coolers: { "pack": Cooler(battery: Battery(voltage: "400 V", resistance: "80 mΩ"), fall: Resistance(fall: "10 kPa", at: "15 L/min")) },
        duty: Duty(power: "60 kW"),
    )"#;
    let current = 2.0 * 60e3 / (400.0 + f64::sqrt(160e3 - 4.0 * 0.08 * 60e3));
    near("heat, W", at(&solve(case), "coolers/pack:heat_in"), 0.08 * current * current, 1e-6);
}

/// Below the least power of its map an engine is not taken for colder than there, and that is told.
#[test]
fn a_map_that_begins_above_no_power_does_not_run_cold() {
    let map = r#"map: [
        (engine_speed: "1000 rpm", power: "10 kW", heat: "2 kW"), (engine_speed: "1000 rpm", power: "200 kW", heat: "100 kW"),
        (engine_speed: "6000 rpm", power: "10 kW", heat: "8 kW"), (engine_speed: "6000 rpm", power: "200 kW", heat: "110 kW")]"#;
    near("at 4 kW, W", heat(map, "2 %", 1000.0), 2e3, 1e-6);
    let ready = read(&case(map, "2 %", 1000.0));
    let found = said(&ready.model, &point(&ready.model, &ready.model.values)).join("\n");
    assert!(found.contains("beyond the speeds or the powers of its map"), "{found}");
}
