//! What could hide behind a verdict that holds: a tank that runs dry or over, none at all, a layout that will
//! not work, one port among several.

use serde_json::Value;

use crate::one_loop::{Case, PLAIN, limit, number, run, verdict};

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

/// An open tank with little room runs over when its coolant warms, a full one at once, and what has run over does
/// not come back: then the tank runs dry where it held no more than that.
#[test]
fn an_open_tank_runs_over() {
    let duty = "power: \"300 kW\", phases: {\"pull\": Phase(time: \"5 min\"), \"rest\": Phase(time: \"20 min\", \
                power: \"0 %\")}";
    let of = |tank| Case { tank, duty, ..PLAIN };
    let address = "loop/way/tank:lost";
    for air in ["0.05 L", "0 L"] {
        let tank: &str = String::leak(format!("volume: \"8 L\", air: \"{air}\""));
        let (code, cycle) = of(tank).ask(&["cycle"]);
        let lost = limit(&cycle, address);
        assert_eq!((code, &lost["standing"]), (1, &"broken".into()), "{}", verdict(&cycle));
    }
    for tank in ["volume: \"8 L\", air: \"2 L\"", "volume: \"8 L\""] {
        let (code, cycle) = of(tank).ask(&["cycle"]);
        assert_eq!((code, &limit(&cycle, address)["standing"]), (0, &"kept".into()), "{tank}");
    }
    let tiny = Case {
        rest: "built_in: BuiltIn(spill: \"1 L\")",
        ..of("volume: \"0.03 L\", air: \"0 L\"")
    };
    let (code, cycle) = tiny.ask(&["cycle"]);
    let left = limit(&cycle, "loop/way/tank:contents");
    assert_eq!((code, &left["standing"]), (1, &"broken".into()), "{}", verdict(&cycle));
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

/// A pump that is called for and stands at the temperature that its speed follows waits, and that is no slip; one whose speed
/// nobody asks for stands, and then nothing holds.
#[test]
fn a_pump_that_waits_for_its_coolant_is_not_one_that_stands() {
    let waits = Case {
        pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\", follows: (feels: \"loop/way/cooler\", shares: \
               [(\"70 °C\", \"0 %\"), (\"80 °C\", \"100 %\")])",
        duty: "power: \"300 kW\", phases: {\"short\": Phase(time: \"5 s\")}",
        ..PLAIN
    };
    let (code, cycle) = waits.ask(&["cycle"]);
    assert_eq!(code, 0, "{}", verdict(&cycle));
    let told = cycle.to_string();
    assert!(told.contains("its pump stands at the temperature that its speed follows"), "{told}");
    let stands =
        Case { pump: "speed: \"0 %\", shut_off: \"75 kPa\", free_flow: \"95 L/min\"", ..waits };
    let (code, cycle) = stands.ask(&["cycle"]);
    assert_eq!(code, 1, "{}", verdict(&cycle));
    assert!(verdict(&cycle).contains("NOT JUDGED"), "{}", verdict(&cycle));
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
    for words in ["something speaks against it", "`loop/way/pump` does not turn"] {
        assert!(verdict(&point).contains(words), "{}", verdict(&point));
    }
    let (_, point) = Case { duty: "power: \"0 kW\"", ..PLAIN }.ask(&["point"]);
    assert!(!verdict(&point).contains("layout"), "{}", verdict(&point));
}

/// With heat coming in, a pump that stands takes the right from every limit that is kept; a run written against its
/// flow keeps any upper bound, and a source that nothing says a heat of is no source; neither is judged.
#[test]
fn nothing_holds_by_what_does_not_work() {
    let stopped = Case {
        pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\", speed: \"0 %\"",
        duty: "power: \"100 kW\", phases: {\"pull\": Phase(time: \"5 s\")}",
        ..PLAIN
    };
    for words in [&["cycle"][..], &["point", "--at", "4 s"]] {
        let (code, answer) = stopped.ask(words);
        assert_eq!((code, &answer["verdict"]), (1, &"not_judged".into()), "{}", verdict(&answer));
        assert!(verdict(&answer).contains("what no limit speaks of stands against it"));
    }
    let heatless = Case { cooler: "fall: (fall: \"30 kPa\", at: \"45 L/min\")", ..PLAIN };
    let (code, point) = heatless.ask(&["point"]);
    assert_eq!((code, &point["verdict"]), (1, &"not_judged".into()), "{}", verdict(&point));
    assert!(verdict(&point).contains("nothing says what heat comes into `coolers/block`"));
    let late = Case {
        duty: "power: \"100 kW\", phases: {\"pull\": Phase(time: \"5 s\"), \"rest\": Phase(time: \"5 s\", power: \
               \"0 %\")}, ready: [Ready(of: \"coolers/block:metal\", below: \"20 °C\")]",
        ..PLAIN
    };
    let (code, cycle) = late.ask(&["cycle"]);
    assert_eq!((code, &cycle["verdict"]), (1, &"broken".into()), "{}", verdict(&cycle));
    let never = late.text().replace("below: \"20 °C\"", "below: \"20 °C\", above: \"30 °C\"");
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("case.ron");
    std::fs::write(&path, never).expect("a case that can be written");
    let refused = std::process::Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(["cycle", path.to_str().expect("a path")])
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(refused.status.code() == Some(2) && said.contains("both below the one"), "{said}");
}

/// Two ports side by side, one through a bore of 6 mm: their mean or sum keeps a limit that the narrow one does not.
#[test]
fn a_starved_port_does_not_hide_behind_the_mean() {
    let of = |limit: &str| {
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
             \"coolers/block:{limit}) }})"
        )
    };
    let (_, point, _) = run(&of("rise\", max: \"100 K\""), &["point"]);
    let get = |name: &str| result(&point, name);
    let largest = get("coolers/block:largest_rise");
    let rises = ["narrow", "wide"].map(|pass| get(&format!("loop/{pass}/port:rise")));
    assert!((largest - rises[0].max(rises[1])).abs() < 1e-9, "{largest}");
    let starved = get("coolers/block:starved_flow");
    // The port's coolant is 12 K warmer in the mean than the run's, and 0.7 % thinner.
    let twice = 2.0 * get("loop/narrow:flow");
    assert!((starved - 1.007 * twice).abs() < 0.003 * twice, "{starved} {twice}");
    assert!(!verdict(&point).contains("not judged"));
    for (of_all, worst, bound, unit, less) in [
        ("rise", "largest_rise", "max", "K", 0.0),
        ("metal_mean", "metal", "max", "°C", 273.15),
        ("flow", "starved_flow", "min", "m3/s", 0.0),
    ] {
        let [all, one] = [of_all, worst].map(|name| get(&format!("coolers/block:{name}")));
        assert!((one - all).abs() > 0.05 * (all - less), "{of_all}: {one} and {all}");
        let between = 0.5 * (all + one) - less;
        let text = of(&format!("{of_all}\", {bound}: \"{between} {unit}\""));
        let others = "variants: { \"slow\": Variant(change: [(\"loop/main/pump:speed\", \"99 %\")]) }, limits:";
        let phases = "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 min\")}";
        for (text, words) in [
            (text.clone(), &["point"][..]),
            (text.replace("limits:", others), &["compare", "--point"]),
            (text.replace("power: \"300 kW\"", phases), &["cycle"]),
        ] {
            let (_, answer, _) = run(&text, words);
            let said = "kept by the mean or sum of its passes only";
            assert!(verdict(&answer).contains(said), "{of_all}: {}", verdict(&answer));
            assert!(!verdict(&answer).contains("HOLDS"), "{of_all}: {}", verdict(&answer));
        }
    }
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

/// A hump within one hose is as high as the same hump at the joint of two: what boils there boils in both, and a
/// gauge on the top reads what the verdict was held against.
#[test]
fn a_hump_within_a_hose_is_judged() {
    let up = "(\"0 m\", \"0 m\", \"0 m\"), (\"0.5 m\", \"0 m\", \"9 m\")";
    let down = "(\"0.5 m\", \"0 m\", \"9 m\"), (\"1 m\", \"0 m\", \"0 m\")";
    let whole = format!("\"back\": Hose(route: [{up}, (\"1 m\", \"0 m\", \"0 m\")]),");
    let halves = format!("\"back\": Hose(route: [{up}]), \"back_2\": Hose(route: [{down}]),");
    let of = |hose: &str| {
        let text = PLAIN.text().replace("\"back\": Hose(length: \"1.5 m\"),", hose);
        let text = text.replace("Hose(length: \"2 m\")", "Hose(length: \"2 m\", rise: \"0 m\")");
        let text = text.replace("Hose(route: [", "Hose(bend_radius: \"100 mm\", route: [");
        let (_, point, err) = run(&text, &["point"]);
        assert!(point["results"].is_object(), "{err}");
        ["loop:lowest_pressure", "loop:boil_margin"].map(|address| result(&point, address))
    };
    let (one, two) = (of(&whole), of(&halves));
    // 9 m of a glycol mixture at about 50 °C weigh some 90 kPa; the bend at the top is in one of them only.
    assert!(one[0] < -60e3, "{one:?}");
    assert!((one[0] - two[0]).abs() < 1.5e3 && (one[1] - two[1]).abs() < 2.0, "{one:?} {two:?}");
}

/// A case that loosens what is built in, and a variant that moves its own bar, say so beside the verdict.
#[test]
fn bars_that_were_moved_are_told() {
    let loose = Case { rest: "built_in: BuiltIn(freezing: \"-80 K\", iron: \"300 °C\")", ..PLAIN };
    let (_, point) = loose.ask(&["point"]);
    let said = verdict(&point);
    assert!(
        said.contains("loosens built-in limits: `freezing`") && !said.contains("`iron`"),
        "{said}"
    );
    let moved = Case {
        rest: "limits: { \"warm\": Limit(of: \"loop:hottest\", max: \"40 °C\") }, variants: { \"lower\": \
               Variant(change: [(\"limits/warm:max\", \"140 °C\")]) },",
        ..PLAIN
    };
    let (_, compared) = moved.ask(&["compare"]);
    let said = verdict(&compared);
    assert!(said.contains("this variant changes limits: `warm`"), "{said}");
    assert!(said.contains("For asking less, or by other limits: `lower`."), "{said}");
    let (_, point) = moved.ask(&["point", "--variant", "lower"]);
    assert!(verdict(&point).contains("this variant changes limits: `warm`"), "{}", verdict(&point));
}

/// Where air is colder than the mixture freezes at, only running keeps it from that: nothing is known.
#[test]
fn coolant_that_stands_in_the_cold_could_freeze() {
    let cold = Case { air: "-30 °C", duty: "power: \"900 kW\"", ..PLAIN };
    let (_, point) = cold.ask(&["point"]);
    let row = limit(&point, "loop:freeze_margin");
    assert_eq!(row["standing"], "not_judged", "{}", verdict(&point));
    assert!(row["why_not"].to_string().contains("the air is colder by"), "{row}");
    let (_, point) = PLAIN.ask(&["point"]);
    assert_eq!(limit(&point, "loop:freeze_margin")["standing"], "kept");
}

/// A survey takes a switched fan as on; where its switch would leave it off, that stands beside the verdict.
#[test]
fn a_survey_says_which_fans_its_switches_would_leave_off() {
    let of = |on: &str| Case {
        fans: String::leak(format!(
            "count: 2, switch: (feels: \"loop/way/cooler\", on: \"{on}\", off: \"20 °C\")"
        )),
        ..PLAIN
    };
    let (_, point) = of("110 °C").ask(&["point"]);
    assert!(verdict(&point).contains("though its switch feels"), "{}", verdict(&point));
    let (_, point) = of("25 °C").ask(&["point"]);
    assert!(!verdict(&point).contains("though its switch feels"), "{}", verdict(&point));
}
