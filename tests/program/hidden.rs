//! What could hide behind a verdict that holds: a tank that runs dry or over, none at all, a layout that will
//! not work, one port among several.

use serde_json::Value;

use crate::one_loop::{Case, PLAIN, limit, number, rows, run, verdict};

/// The value of a result.
fn result(answer: &Value, address: &str) -> f64 {
    number(&answer["results"][address]["value"])
}

/// A loop that stands in the cold, filled at 60 °C, with next to nothing in its tank: no heat comes in, and the
/// coolant shrinks by more than there is.
const SHRINKS: Case = Case {
    air: "-20 °C",
    start: "-20 °C",
    coolant: "EthyleneGlycol(by_volume: \"50 %\"), filled_at: \"60 °C\"",
    tank: "volume: \"2 L\", air: \"1.9 L\", level: \"0 mm\", cap: Cap(opens: \"110 kPa\", vacuum: \"5 kPa\")",
    duty: "power: \"300 kW\", phases: {\"stands\": Phase(time: \"60 s\", power: \"0 %\")}",
    ..PLAIN
};

/// What is left is what the tank held, less what the coolant of the circuit has shrunk by: V (ρ₂ − ρ₁)/ρ₂.
#[test]
fn a_tank_that_runs_dry_breaks_a_limit() {
    let (code, cycle) = SHRINKS.ask(&["cycle"]);
    let left = limit(&cycle, "loop/way/tank:contents");
    assert_eq!((code, &left["standing"]), (1, &"broken".into()), "{}", verdict(&cycle));
    assert_eq!(left["built_in"], "dry");
    let (_, point) = SHRINKS.ask(&["point", "--at", "0 s"]);
    let (left, all) = (result(&point, "loop/way/tank:contents"), result(&point, "loop:coolant"));
    // Ethylene glycol, 50 % by volume: 1052.035 kg/m³ at 60 °C, 1086.872 at −20 °C (ASHRAE Handbook of
    // Fundamentals 2001, chapter 21, as fitted by Skovrup 2013: tests/reference/fluids_ashrae_glycol.csv).
    let shrunk = all * (1086.872 - 1052.035) / 1086.872;
    let swollen = result(&point, "loop/way/tank:swelling");
    let expected = 0.1e-3 - shrunk - swollen;
    assert!((left - expected).abs() < 5e-3 * shrunk, "{left} left of {all}, {expected} expected");
    // A fuller tank has enough, and a case may ask for more than nothing.
    let full = Case {
        tank: "volume: \"2 L\", air: \"0.5 L\", level: \"0 mm\", cap: Cap(opens: \"110 kPa\", \
                             vacuum: \"5 kPa\")",
        ..SHRINKS
    };
    let (code, cycle) = full.ask(&["cycle"]);
    assert_eq!(code, 0, "{}", verdict(&cycle));
    let (code, cycle) = Case { rest: "built_in: BuiltIn(dry: \"1.4 L\")", ..full }.ask(&["cycle"]);
    let left = limit(&cycle, "loop/way/tank:contents");
    assert_eq!((code, &left["standing"]), (1, &"broken".into()), "{}", verdict(&cycle));
}

/// An open tank with little room runs over when its coolant warms; how much room there is where the case does
/// not say is not known, and that is said.
#[test]
fn an_open_tank_runs_over() {
    let of = |tank| Case {
        tank,
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"5 min\")}",
        ..PLAIN
    };
    let address = "loop/way/tank:lost";
    let (code, cycle) = of("volume: \"8 L\", air: \"0.05 L\"").ask(&["cycle"]);
    let lost = limit(&cycle, address);
    assert_eq!((code, &lost["standing"]), (1, &"broken".into()), "{}", verdict(&cycle));
    let (code, cycle) = of("volume: \"8 L\", air: \"2 L\"").ask(&["cycle"]);
    assert_eq!((code, &limit(&cycle, address)["standing"]), (0, &"kept".into()));
    let (code, cycle) = of("volume: \"8 L\"").ask(&["cycle"]);
    assert_eq!(code, 0);
    assert!(!rows(&cycle, "limits").iter().any(|row| row["address"] == address));
    assert!(cycle.to_string().contains("whether coolant that warms runs over is not judged"));
}

/// Without a tank nothing says where coolant goes that warms, unless the case says what the pressure is; a variant
/// that takes the tank away is no better.
#[test]
fn a_closed_circuit_without_a_tank_is_not_judged() {
    let tank = format!("\"tank\": Tank({}),", PLAIN.tank);
    let without = PLAIN.text().replace(&tank, "");
    let (code, point, _) = run(&without, &["point"]);
    assert_eq!((code, &point["verdict"]), (1, &"not_judged".into()), "{}", verdict(&point));
    assert!(verdict(&point).contains("closed and without a tank"), "{}", verdict(&point));
    assert_eq!(limit(&point, "loop:lost")["standing"], "not_judged");
    let told = without.replace("start: \"30 °C\"", "start: \"30 °C\", pressure: \"50 kPa\"");
    let (code, point, _) = run(&told, &["point"]);
    assert_eq!((code, &point["verdict"]), (0, &"holds".into()), "{}", verdict(&point));
    let off = Case { rest: "built_in: BuiltIn(spill: \"off\")", ..PLAIN }.text().replace(&tank, "");
    let (code, point, _) = run(&off, &["point"]);
    assert_eq!(code, 0, "{}", verdict(&point));
    assert!(verdict(&point).contains("switches built-in limits off"), "{}", verdict(&point));
}

/// Nothing warms and nothing flows: every limit is kept, and the verdict says that the pump stands.
#[test]
fn what_will_not_work_stands_beside_the_verdict() {
    let still = Case {
        pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\", speed: \"0 %\"",
        duty: "power: \"0 kW\"",
        ..PLAIN
    };
    let (code, point) = still.ask(&["point"]);
    assert_eq!(code, 0, "{}", verdict(&point));
    for words in ["something in the layout will not work", "`loop/way/pump` does not turn"] {
        assert!(verdict(&point).contains(words), "{}", verdict(&point));
    }
    let (_, point) = Case { duty: "power: \"0 kW\"", ..PLAIN }.ask(&["point"]);
    assert!(!verdict(&point).contains("layout"), "{}", verdict(&point));
}

/// Two ports side by side, one through a bore of 6 mm: their mean keeps a limit that the narrow one does not.
#[test]
fn a_starved_port_does_not_hide_behind_the_mean() {
    let of = |max: &str| {
        format!(
            "Case(site: Site(air: \"30 °C\"), circuits: {{ \"loop\": Circuit(coolant: Water, bore: \"25 mm\", \
             pressure: \"20 kPa\", runs: {{ \"main\": Run(from: \"out\", to: \"in\", parts: {{ \"pump\": Pump(shut_off: \
             \"75 kPa\", free_flow: \"95 L/min\"), \"radiator\": CoreSide(core: \"radiator\") }}), \"wide\": Run(from: \
             \"in\", to: \"out\", bore: \"16 mm\", parts: {{ \"port\": Pass(cooler: \"block\", pass: 1) }}), \
             \"narrow\": Run(from: \"in\", to: \"out\", bore: \"16 mm\", parts: {{ \"hose\": Hose(length: \"1 m\", bore: \
             \"6 mm\"), \"port\": Pass(cooler: \"block\", pass: 2) }}) }}) }}, coolers: {{ \"block\": Cooler(share: \
             \"8 %\", passes: 2, fall: (fall: \"30 kPa\", at: \"45 L/min\")) }}, cores: {{ \"radiator\": Core(rated: \
             (heat: \"40 kW\", coolant: \"60 L/min\", air: \"1.6 kg/s\", difference: \"40 K\")) }}, air_paths: {{ \
             \"front\": AirPath(cores: [\"radiator\"], fans: {{ \"fan\": Fan(count: 2, shut_off: \"260 Pa\", \
             free_flow: \"2600 m3/h\") }}) }}, duty: Duty(power: \"300 kW\"), limits: {{ \"port\": Limit(of: \
             \"coolers/block:rise\", max: \"{max}\") }})"
        )
    };
    let (_, point, _) = run(&of("100 K"), &["point"]);
    let rise = |pass: &str| result(&point, &format!("loop/{pass}/port:rise"));
    let (mean, largest) =
        (result(&point, "coolers/block:rise"), result(&point, "coolers/block:largest_rise"));
    assert!((largest - rise("narrow").max(rise("wide"))).abs() < 1e-9, "{largest}");
    assert!(largest > 1.3 * mean, "{largest} and {mean}");
    assert!(!verdict(&point).contains("mean of its passes"));
    let between = format!("{} K", 0.5 * (mean + largest));
    for words in [&["point"][..], &["compare", "--point"]] {
        let text = of(&between).replace(
            "limits:",
            "variants: { \"slow\": Variant(change: [(\"loop/main/pump:speed\", \"99 %\")]) }, limits:",
        );
        let (_, answer, _) = run(&text, words);
        assert!(verdict(&answer).contains("being the mean of its passes"), "{}", verdict(&answer));
    }
    let pulls = of(&between).replace(
        "power: \"300 kW\"",
        "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 min\")}",
    );
    let (_, cycle, _) = run(&pulls, &["cycle"]);
    assert!(verdict(&cycle).contains("being the mean of its passes"), "{}", verdict(&cycle));
}

/// A loop near to boiling, with a limit on its hottest coolant that is far away.
fn hot(power: &str, variants: &str) -> (i32, Value, Value) {
    let case = Case {
        cooler: "share: \"8 %\", metal: Iron(\"10 kg\"), fall: (fall: \"30 kPa\", at: \"45 L/min\")",
        duty: String::leak(format!("power: \"{power}\"")),
        rest: String::leak(format!(
            "limits: {{ \"warm\": Limit(of: \"loop:hottest\", max: \"150 °C\") }}, variants: {{ {variants} }},"
        )),
        ..PLAIN
    };
    let (code, point) = case.ask(&["point"]);
    (code, point, case.ask(&["compare", "--point"]).1)
}

/// The verdict of a variant.
fn of_variant(compared: &Value, name: &str) -> Value {
    let variants = compared["variants"].as_array().expect("variants");
    variants.iter().find(|v| v["name"] == name).expect("it is there")["verdict"].clone()
}

/// No assumption breaks it alone, which trying each of those that are named confirms; all of them at once do.
#[test]
fn assumptions_turn_a_limit_together() {
    let ends = [
        ("cores/radiator:air_fall", "300 Pa"),
        ("supply:voltage", "12 V"),
        ("loop/way/pump:rated_voltage", "14.4 V"),
    ];
    let change = |(address, end): (&str, &str)| format!("(\"{address}\", \"{end}\")");
    let each = ends
        .iter()
        .enumerate()
        .map(|(k, &end)| format!("\"end_{k}\": Variant(change: [{}])", change(end)));
    let all = format!("\"all\": Variant(change: [{}])", ends.map(change).join(", "));
    let variants: Vec<String> = each.chain([all]).collect();
    let (code, point, compared) = hot("600 kW", &variants.join(", "));
    assert_eq!(code, 0, "{}", verdict(&point));
    let said = verdict(&point);
    assert!(said.contains("all that is assumed and its ± together"), "{said}");
    for (k, (address, _)) in ends.iter().enumerate() {
        assert!(said.contains(address), "{address} in {said}");
        assert_eq!(of_variant(&compared, &format!("end_{k}")), "holds", "{address}");
    }
    assert_eq!(of_variant(&compared, "all"), "broken");
}

/// At the other end of an assumption the coolant boils: then there is no temperature, and a limit that is kept by
/// 50 K could turn too.
#[test]
fn an_assumption_that_would_boil_turns_every_limit_of_its_circuit() {
    let low = "\"low\": Variant(change: [(\"supply:voltage\", \"12 V\")])";
    let (code, point, compared) = hot("650 kW", low);
    assert_eq!(code, 0, "{}", verdict(&point));
    assert_eq!(of_variant(&compared, "low"), "broken");
    let warm = limit(&point, "loop:hottest");
    assert!(number(&warm["margin_value"]["value"]) > 40.0, "{warm}");
    assert!(warm["could_turn"].to_string().contains("supply:voltage"), "{warm}");
}
