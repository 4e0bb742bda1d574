//! A head that rises with flow: every crossing with its system, against a closed form.

use coolwright_models::crossings::crossings;

use crate::common::{at, near, point, read, reference_case};

#[test]
fn every_crossing_of_a_rising_head_is_found_and_the_answer_stands_on_a_stable_one() {
    let ready = read(&reference_case("rising_pump"));
    let values = &ready.model.values;
    let answer = point(&ready.model, values);
    let found = crossings(&ready.model, values, &answer);
    assert_eq!(found.len(), 1);
    let found = &found[0];
    assert_eq!(found.of, ["main/line/pump"]);
    assert_eq!(found.list.len(), 3, "{found:?}");
    for (crossing, (flow, stable)) in
        found.list.iter().zip([(1.0, true), (2.0, false), (3.0, true)])
    {
        near("flow", crossing.flow_m3_s * 1e3, flow, 1e-7);
        near("rise", crossing.rise_pa * 1e-3, 10.0 * flow * flow, 1e-5);
        assert_eq!(crossing.stable, stable, "{crossing:?}");
    }
    let stands = found.list[found.stands_on];
    assert!(stands.stable);
    let flow = at(&answer.results, "main/line/pump:flow");
    near("the answer", flow * 1e3, stands.flow_m3_s * 1e3, 1e-6);
}

/// A second pump in another run would change the system with its own flow: nothing is listed.
#[test]
fn falling_heads_are_not_listed() {
    let ready = read(&reference_case("pumps_on_a_lift"));
    let answer = point(&ready.model, &ready.model.values);
    assert!(crossings(&ready.model, &ready.model.values, &answer).is_empty());
}

/// A fan with a hump against a core: what is listed holds the answer itself.
#[test]
fn a_rising_fan_is_listed_with_the_crossing_that_the_answer_stands_on() {
    let text = r#"Case(
        circuits: { "main": Circuit(coolant: Water, start: "60 °C", bore: "32 mm", runs: { "loop": Run(parts: {
            "tank": Tank(volume: "5 L"), "pump": Pump(shut_off: "90 kPa", free_flow: "120 L/min"),
            "core": CoreSide(core: "core"), "heater": Pass(cooler: "heater") }) }) },
        coolers: { "heater": Cooler(heat: "10 kW", fall: (fall: "20 kPa", at: "60 L/min")) },
        cores: { "core": Core(rated: (heat: "40 kW", coolant: "60 L/min", air: "1.2 kg/s", difference: "50 K"),
            air_fall: (fall: "150 Pa", at: "1.2 kg/s")) },
        air_paths: { "front": AirPath(cores: ["core"], fans: { "fan": Fan(curve: "humped") }) },
        fan_curves: { "humped": FanCurve(rising: true, points: [
            ("0 m3/h", "150 Pa"), ("1500 m3/h", "120 Pa"), ("3000 m3/h", "180 Pa"), ("5000 m3/h", "0 Pa")]) },
    )"#;
    let ready = read(text);
    let answer = point(&ready.model, &ready.model.values);
    let found = crossings(&ready.model, &ready.model.values, &answer);
    assert_eq!(found.len(), 1);
    let stands = found[0].list[found[0].stands_on];
    let flow = at(&answer.results, "air_paths/front/fan:flow");
    near("flow", stands.flow_m3_s, flow, 1e-6 * flow);
    near("rise", stands.rise_pa, at(&answer.results, "air_paths/front/fan:pressure"), 1e-3);
    assert!(found[0].air && stands.stable);
}
