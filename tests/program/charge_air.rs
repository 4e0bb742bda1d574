//! Charge air as a builder meets it: what passes, what condenses, what is told twice.

use serde_json::Value;

use crate::one_loop::{limit, number, run, verdict};

/// A charge cooler that gets water of 40 °C from outside.
fn bench(stages: &str, more: &str) -> String {
    format!(
        r#"Case(
            site: Site(air: "30 °C", altitude: "0 m", humidity: "50 %"),
            circuits: {{ "c": Circuit(coolant: Water, start: "40 °C", bore: "25 mm", runs: {{
                "r": Run(from: "in", to: "out", parts: {{ "p": Pass(cooler: "cc") }}),
            }}, junctions: {{ "in": Open(flow: "50 L/min", temperature: "40 °C"), "out": Open(pressure: "0 kPa") }}) }},
            coolers: {{ "cc": Cooler(metal: Aluminium("6 kg"), fall: (fall: "20 kPa", at: "50 L/min")) }},
            charge_air: {{ "in": ChargeAir(flow: "0.4 kg/s", stages: {{ {stages} }}) }},
            {more}
        )"#
    )
}

const STAGES: &str = r#"
    "comp": Compressor(ratio: 2.5, efficiency: "72 %"),
    "cool": ChargeCooler(cooler: "cc", effectiveness: "80 %", at: "0.4 kg/s", coolant: "50 L/min", coolant_in: "40 °C"),"#;

fn result(answer: &Value, name: &str) -> f64 {
    number(&answer["results"][format!("charge_air/in{name}")]["value"])
}

/// By hand: 303.15 K · (1 + (2.5^0.2857 − 1)/0.72) = 429 K; 0.8 of the way down to 40 °C is 63 °C; 0.4 kg/s · 1.01
/// kJ/(kg·K) · 93 K = 37.5 kW.
#[test]
fn a_charge_cooler_is_what_hand_sums_say() {
    let (_, point, _) = run(&bench(STAGES, ""), &["point"]);
    let hot = 303.15 * (1.0 + (f64::powf(2.5, 0.2857) - 1.0) / 0.72);
    let behind = hot - 0.8 * (hot - 313.15);
    for (name, want, within) in [
        ("/comp:out", hot, 1.5),
        (":manifold", behind, 1.0),
        ("/cool:heat", 0.4 * 1010.0 * (hot - behind), 600.0),
    ] {
        let got = result(&point, name);
        assert!((got - want).abs() < within, "{name}: {got}, by hand {want}");
    }
}

/// A fall that leaves next to no pressure is no answer: such a flow does not pass.
#[test]
fn a_flow_that_would_not_pass_never_holds() {
    let choked = format!(r#""f": Duct(fall: (fall: "150 kPa", at: "0.4 kg/s")), {STAGES}"#);
    let (code, point, _) = run(&bench(&choked, ""), &["point"]);
    assert_eq!(code, 1, "{}", verdict(&point));
    assert!(verdict(&point).contains("such a flow does not pass"), "{}", verdict(&point));
    let open = format!(r#""f": Duct(fall: (fall: "3 kPa", at: "0.4 kg/s")), {STAGES}"#);
    assert_eq!(run(&bench(&open, ""), &["point"]).0, 0);
}

/// Air that a cooler in the wind has left at its dew point drops its water there, and comes to the next no wetter than it
/// can be; where nothing condenses, it is nothing to the last bit.
#[test]
fn what_the_wind_condenses_stays_there() {
    let stages =
        STAGES.replace(r#""cool":"#, r#""wind": AirCooled(effectiveness: "95 %"), "cool":"#);
    let wet = bench(&stages, "").replace("humidity: \"50 %\"", "humidity: \"100 %\"");
    let (_, point, _) = run(&wet, &["point"]);
    assert!(result(&point, "/wind:condensed") > 1e-3);
    // The coolant is warmer than the air by now, and there is nothing left to condense on it.
    assert!(result(&point, "/cool:condensed").abs() < 1e-12);
    let effectiveness = result(&point, "/cool:effectiveness");
    assert!((0.5..1.0).contains(&effectiveness), "{effectiveness}");
    let dry = bench(STAGES, "").replace("humidity: \"50 %\"", "humidity: \"5 %\"");
    let (_, point, _) = run(&dry, &["point"]);
    assert_eq!(result(&point, "/cool:condensed").to_bits(), 0.0_f64.to_bits());
}

/// A pull at the end of each round that comes to the same is no loss from round to round, though the rest before it
/// began colder the first time.
#[test]
fn rounds_that_end_alike_lose_nothing() {
    let duty = r#"duty: Duty(power: "300 kW", repeat: 2, phases: {
        "idle": Phase(time: "60 s", power: "5 %"), "run": Phase(time: "12 s") }),
        limits: { "m": Limit(of: "charge_air/in:manifold", max: "70 °C") },"#;
    let (code, cycle, _) = run(&bench(STAGES, duty), &["cycle"]);
    assert_eq!(code, 0, "{}", verdict(&cycle));
    assert!(!verdict(&cycle).contains("took more of the margin"), "{}", verdict(&cycle));
    assert!(!verdict(&cycle).contains("m ("), "{}", verdict(&cycle));
    assert!(number(&limit(&cycle, "charge_air/in:manifold")["worst"]["value"]) > 330.0);
}

/// What is assumed of a cooler is within what its flows allow, so no end of its range is refused.
#[test]
fn an_assumed_effectiveness_can_be() {
    let bare = r#""comp": Compressor(ratio: 2.5), "cool": ChargeCooler(cooler: "cc"),"#;
    let (code, point, _) = run(&bench(bare, ""), &["point"]);
    assert_eq!(code, 0, "{}", verdict(&point));
    assert!(!verdict(&point).contains("never steady"), "{}", verdict(&point));
}
