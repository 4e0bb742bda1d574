//! Limits with a known answer: nothing moves, all ports alike, nothing heats.

use crate::common::{at, column, constant, cycle, near, phases, point, read, with};

/// A loop with one cooler of 10 kJ/K and 5 kW.
const LOOP: &str = r#"Case(
    site: Site(air: "25 °C"),
    circuits: { "c": Circuit(coolant: EthyleneGlycol(by_volume: "50 %"), start: "25 °C", bore: "25 mm", runs: {
        "loop": Run(parts: {
            "tank": Tank(volume: "3 L"),
            "pump": Pump(shut_off: "75 kPa", free_flow: "95 L/min"),
            "up": Hose(length: "1 m", rise: "0.7 m"),
            "cooler": Pass(cooler: "cooler"),
            "down": Hose(length: "1 m", rise: "-0.7 m"),
            "core": CoreSide(core: "core"),
        }) }) },
    coolers: { "cooler": Cooler(heat: "5 kW", metal: Capacity("10 kJ/K"),
        film: (conductance: "800 W/K", at: "40 L/min"), fall: (fall: "30 kPa", at: "45 L/min")) },
    cores: { "core": Core(rated: (heat: "40 kW", coolant: "60 L/min", air: "1.6 kg/s", difference: "40 K")) },
    air_paths: { "front": AirPath(cores: ["core"], fans: { "fan": Fan(shut_off: "260 Pa", free_flow: "5200 m3/h") }) },
    duty: Duty(phases: { "still": Phase(time: "60 s", pumps: "0 %", fans: "0 %") }),
)"#;

/// Without flow and without a film the metal warms at q/C, exactly; the coolant stays as it is.
#[test]
fn without_flow_the_metal_warms_at_heat_over_capacity() {
    let ready = read(LOOP);
    let values = with(&ready, &[("coolers/cooler:conductance", 0.0)]);
    let history = cycle(&ready.model, &values, &phases(&ready));
    let metal = column(&history, "coolers/cooler:metal");
    for (t, metal) in history.times_s.iter().zip(&metal) {
        near(&format!("metal at {t} s"), *metal, 298.15 + 5e3 / 10e3 * t, 1e-8);
    }
    near("time", *history.times_s.last().expect("rows"), 60.0, 1e-12);
    for address in ["c/loop:mass_flow", "air_paths/front:mass_flow", "coolers/cooler:heat"] {
        for value in column(&history, address) {
            near(address, value, 0.0, 1e-9);
        }
    }
    for temperature in column(&history, "c:hottest") {
        near("coolant", temperature, 298.15, 1e-9);
    }
}

/// Without flow but with what is left of the film, heat goes into the pass alone: what the metal
/// does not keep is in the coolant.
#[test]
fn without_flow_heat_stays_in_the_pass() {
    let ready = read(LOOP);
    let history = cycle(&ready.model, &ready.model.values, &phases(&ready));
    let last = |address| *column(&history, address).last().expect("rows");
    let metal = last("coolers/cooler:metal");
    assert!(metal < 298.15 + 30.0 - 1.0, "the coolant takes some: {metal} K");
    near("stored", history.phases[0].stored.sum(), 5e3 * 60.0, 1.0);
    near("tank", last("c/loop/tank:out"), 298.15, 1e-9);
    near("core", last("c/loop/core:out"), 298.15, 1e-9);
    assert!(last("c/loop/cooler:out") > 300.0, "the coolant in the pass warms");
}

/// Nothing makes heat and all is as warm as the air: nothing changes.
#[test]
fn without_heat_nothing_changes() {
    let ready = read(LOOP);
    let values = with(&ready, &[("coolers/cooler:heat", 0.0), ("c/loop/pump:heat_share", 0.0)]);
    let history = cycle(&ready.model, &values, &constant(600.0));
    for address in ["c:hottest", "coolers/cooler:metal", "cores/core:air_out", "c/loop/tank:out"] {
        for temperature in column(&history, address) {
            near(address, temperature, 298.15, 1e-9);
        }
    }
    assert!(at(&point(&ready.model, &values).results, "c/loop:flow") > 1e-4, "coolant moves");
}

/// Eight equal runs between two plain joints share alike; between two headers they do not.
#[test]
fn equal_ports_at_plain_joints_have_equal_flows() {
    let runs: String = (1..=8)
        .map(|k| {
            format!(
                "\"p{k}\": Run(from: \"spread\", to: \"collect\", bore: \"12 mm\", parts: {{ \
                 \"hose\": Hose(length: \"0.5 m\"), \"pass\": Pass(cooler: \"pack\", pass: {k}) }}),"
            )
        })
        .collect();
    let text = |junctions: &str| {
        format!(
            r#"Case(
                site: Site(air: "25 °C"),
                circuits: {{ "c": Circuit(coolant: Water, start: "25 °C", runs: {{
                    "feed": Run(from: "collect", to: "spread", bore: "32 mm", parts: {{
                        "core": CoreSide(core: "core"),
                        "pump": Pump(shut_off: "90 kPa", free_flow: "130 L/min"),
                        "hose": Hose(length: "1 m") }}),
                    {runs} }}, {junctions}) }},
                coolers: {{ "pack": Cooler(heat: "20 kW", passes: 8, bore: "10 mm", length: "0.9 m") }},
                cores: {{ "core": Core(rated: (heat: "40 kW", coolant: "60 L/min", air: "1.6 kg/s", difference: "40 K")) }},
                air_paths: {{ "front": AirPath(cores: ["core"], fans: {{ "fan": Fan(shut_off: "260 Pa", free_flow: "5200 m3/h") }}) }},
            )"#
        )
    };
    let flows = |results: &_| -> Vec<f64> {
        (1..=8).map(|k| at(results, &format!("c/p{k}:mass_flow"))).collect()
    };
    let solve = |text: &str| {
        let ready = read(text);
        point(&ready.model, &ready.model.values).results
    };
    let plain = solve(&text(""));
    let shares = flows(&plain);
    for flow in &shares {
        near("flow of a port", *flow, shares[0], 1e-9 * shares[0]);
    }
    near("spread", at(&plain, "coolers/pack:flow_ratio"), 1.0, 1e-9);

    let ports = (1..=8).map(|k| format!("\"p{k}\"")).collect::<Vec<_>>().join(", ");
    let headers = solve(&text(&format!(
        "junctions: {{ \"spread\": Header(inlet: \"feed\", outlets: [{ports}], bore: \"25 mm\"), \
         \"collect\": Header(inlets: [{ports}], outlet: \"feed\", bore: \"25 mm\") }}"
    )));
    assert!(at(&headers, "coolers/pack:flow_ratio") > 1.01, "headers make ports uneven");
    let total: f64 = flows(&headers).iter().sum();
    near("sum of the ports", total, at(&headers, "c/feed:mass_flow"), 1e-9);
}
