//! Liquids by points in whole circuits, against printed examples and balances by hand.

use coolwright_models::cycle::duty_cycle;

use crate::common::{at, column, constant, near, read, slots, solve};

/// Oil fed in at one end, through one part, out at the other.
fn fed(liquid: &str, flow: &str, part: &str, beside: &str) -> String {
    format!(
        r#"Case(
            include: ["liquids.ron"],
            liquids: {{ {liquid} }},
            circuits: {{ "oil": Circuit(coolant: Liquid("{name}"), bore: "300 mm", runs: {{
                "line": Run(from: "in", to: "out", parts: {{ "part": {part} }}),
            }}, junctions: {{
                "in": Open(flow: "{flow}", temperature: "60 °C"),
                "out": Open(pressure: "0 kPa"),
            }}) }},
            {beside}
        )"#,
        name = if liquid.is_empty() { "engine_oil" } else { "pipeline_oil" },
    )
}

/// Çengel, Heat and Mass Transfer, example "Flow of oil in a pipeline through a lake" (from memory): engine oil at 20 °C,
/// 888 kg/m³ and 901·10⁻⁶ m²/s, at 2 m/s through 200 m of 300 mm: Re 666, 1.14·10⁵ Pa.
#[test]
fn thick_oil_falls_as_in_laminar_flow() {
    let row = |celsius: f64| {
        format!(
            r#"(temperature: "{celsius} °C", density: "888 kg/m³", heat_capacity: "1.88 kJ/(kg·K)",
                kinematic_viscosity: "901 mm²/s", conductivity: "0.145 W/(m·K)")"#
        )
    };
    let liquid = format!(r#""pipeline_oil": Liquid(table: [{}, {}])"#, row(0.0), row(100.0));
    let flow = format!("{} m³/h", 2.0 * std::f64::consts::PI * 0.15 * 0.15 * 3600.0);
    let text = fed(&liquid, &flow, r#"Hose(length: "200 m")"#, "");
    let results = solve(&text);
    near("Re", at(&results, "oil/line/part:reynolds"), 666.0, 1.0);
    near("fall, Pa", at(&results, "oil/line/part:fall"), 1.14e5, 0.01e5);
}

/// Incropera et al., example 11.1: 0.1 kg/s of engine oil from 100 to 60 °C give 8524 W, with the heat capacity
/// 2131 J/(kg·K) of their table A.5 in the middle. As much heat brings it back from 60 to 100 °C.
#[test]
fn oil_takes_the_heat_that_a_textbook_has_it_take() {
    let beside =
        r#"coolers: { "heater": Cooler(heat: "8524 W", fall: (fall: "1 kPa", at: "5 L/min")) },"#;
    let results = solve(&fed("", "0.1 kg/s", r#"Pass(cooler: "heater")"#, beside));
    near("out, K", at(&results, "oil/line/part:out"), 373.15, 0.05);
}

const LOOP: &str = r#"Case(
    include: ["liquids.ron"],
    site: Site(air: "25 °C"),
    circuits: { "oil": Circuit(coolant: Liquid("LIQUID"), start: "25 °C", bore: "19 mm", runs: { "loop": Run(parts: {
        "tank": Tank(volume: "8 L", air: "2 L"),
        "pump": Pump(shut_off: "300 kPa", free_flow: "60 L/min"),
        "hose": Hose(length: "3 m"),
        "box": Pass(cooler: "box"),
        "core": CoreSide(core: "core"),
    }) }) },
    coolers: { "box": Cooler(heat: "6 kW", bore: "12 mm", length: "2 m", metal: Iron("20 kg")) },
    cores: { "core": Core(rated: (heat: "12 kW", coolant: "30 L/min", air: "0.6 kg/s", difference: "60 K")) },
    air_paths: { "front": AirPath(cores: ["core"], fans: { "fan": Fan(shut_off: "250 Pa", free_flow: "2500 m3/h") }) },
)"#;

/// Cold oil creeps at first, Re far below a hundred, and thins as it warms; what comes in is stored or given to the air, and a
/// cycle held at these conditions ends where the operating point is.
#[test]
fn a_circuit_of_oil_keeps_its_ledger_from_creeping_to_warm() {
    let text = LOOP.replace("LIQUID", "engine_oil");
    let ready = read(&text);
    let history =
        duty_cycle(&ready.model, &ready.model.values, &constant(4.0 * 3600.0), &mut |_| true);
    let history = history.expect("a cycle");
    for phase in &history.phases {
        near("open, J", phase.open_j(), 0.0, 1e-4 * 6e3 * 4.0 * 3600.0);
    }
    let reynolds = column(&history, "oil/loop/box:reynolds");
    assert!(reynolds[0] > 5.0 && reynolds[0] < 100.0, "{}", reynolds[0]);
    let warm = solve(&text);
    for address in ["oil/loop/box:out", "coolers/box:metal", "oil/loop:flow"] {
        let last = *column(&history, address).last().expect("rows");
        near(address, last, at(&warm, address), 2e-4 * at(&warm, address));
    }
    assert!(at(&warm, "oil/loop/box:reynolds") > 3.0 * reynolds[0]);
}

/// Twice the viscosity in laminar hoses is twice their fall at the same flow: the factor reaches the law, from its address as
/// from the file.
#[test]
fn a_factor_on_the_viscosity_is_one_on_the_fall_of_thick_oil() {
    let plain = fed("", "4 L/min", r#"Hose(bore: "25 mm", length: "2 m")"#, "");
    let fall = |text: &str| at(&solve(text), "oil/line/part:fall");
    let own = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/cases/liquids.ron"));
    let own = own.expect("the liquids");
    let entry = &own[own.find("\"engine_oil\"").expect("it is there")
        ..own.find("// A thin").expect("it is there")];
    let scaled = entry.replace("\"engine_oil\"", "\"pipeline_oil\"");
    let scaled = scaled.replace("freezes:", "viscosity_scale: \"200 %\", freezes:");
    let doubled = plain.replace("liquids: {  }", &format!("liquids: {{ {scaled} }}"));
    let doubled = doubled.replace("Liquid(\"engine_oil\")", "Liquid(\"pipeline_oil\")");
    near("twice", fall(&doubled) / fall(&plain), 2.0, 2e-3);
    let ready = read(&doubled);
    let entry = &ready.addresses["liquids/pipeline_oil:viscosity_scale"];
    near("its address", entry.value, 2.0, 1e-12);
    assert!(
        entry.slots.is_empty() && slots(&ready, "liquids/pipeline_oil:viscosity_scale").is_empty()
    );
}

/// Where nothing is told of its vapour there is no margin against boiling, and none above its vapour pressure at a pump.
#[test]
fn without_a_vapour_pressure_there_is_no_margin_against_boiling() {
    let told = solve(&LOOP.replace("LIQUID", "engine_oil"));
    assert!(at(&told, "oil:boil_margin") > 50.0);
    let untold = solve(&LOOP.replace("LIQUID", "silicone_dielectric"));
    assert!(at(&untold, "oil:boil_margin").is_nan());
    assert!(at(&told, "oil/loop/pump:suction_margin") > 0.0);
    assert!(at(&untold, "oil/loop/pump:suction_margin").is_nan());
}
