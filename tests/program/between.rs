//! What lies between pulls, and what rounds leave to the next: readiness, losses from round to round, ice, variants
//! that ask for less.

use serde_json::Value;

use crate::one_loop::{Case, PLAIN, limit, number, rows, run, verdict};

/// The plain loop with these phases; ready where its metal is back below a temperature.
fn driven(phases: &str, more: &str, ready: &str) -> Case {
    Case {
        duty: String::leak(format!(
            "power: \"300 kW\", phases: {{{phases}}}, {more} ready: [{ready}]"
        )),
        ..PLAIN
    }
}

fn cool(below: &str) -> String {
    format!("Ready(of: \"coolers/block:metal\", below: \"{below}\")")
}

const PULL: &str = "\"pull\": Phase(time: \"20 s\")";
const REST: &str = "\"rest\": Phase(time: \"2 min\", power: \"0 %\")";
const STAGE: &str = "\"stage\": Phase(time: \"3 min\", power: \"40 %\", fans: \"0 %\")";

/// Cool after the rest, and warm again when the next pull begins: what counts is that.
#[test]
fn a_vehicle_is_ready_when_the_next_pull_begins() {
    let phases = format!("{PULL}, {REST}, {STAGE}");
    let (code, cycle) = driven(&phases, "repeat: 2,", &cool("45 °C")).ask(&["cycle"]);
    assert_eq!((code, &cycle["verdict"]), (1, &"broken".into()), "{}", verdict(&cycle));
    assert!(verdict(&cycle).contains("not ready when `pull 2` begins"), "{}", verdict(&cycle));
    let found = rows(&cycle, "ready");
    assert_eq!(found.len(), 2);
    assert_eq!((&found[0]["phase"], &found[0]["pull"]), (&"rest 1".into(), &"pull 2".into()));
    assert_eq!(found[0]["ready_after"], "not within this rest");
    assert_eq!(found[1]["pull"], "the end");
    // Without staging it is.
    let (code, cycle) =
        driven(&format!("{PULL}, {REST}"), "repeat: 2,", &cool("45 °C")).ask(&["cycle"]);
    assert_eq!(code, 0, "{}", verdict(&cycle));
    let after = number(&rows(&cycle, "ready")[0]["ready_after"]["value"]);
    assert!(after > 0.0 && after < 120.0, "{after}");
}

/// Two pulls with nothing between them, or two parts of one pull: the first has to be ready in between.
#[test]
fn pulls_without_a_rest_are_pulls() {
    let (_, twice) = driven(PULL, "repeat: 2,", &cool("45 °C")).ask(&["cycle"]);
    assert_eq!(twice["verdict"], "broken", "{}", verdict(&twice));
    let found = rows(&twice, "ready");
    assert_eq!(
        (found.len(), &found[0]["phase"], &found[0]["pull"]),
        (1, &"none".into(), &"pull 2".into())
    );
    assert_eq!(found[0]["ready_after"], "not ready");
    let (_, twice) = driven(PULL, "repeat: 2,", &cool("200 °C")).ask(&["cycle"]);
    let after = number(&rows(&twice, "ready")[0]["ready_after"]["value"]);
    assert!(after.abs() < 1e-9, "{after}");
    // One pull of two phases, and nothing behind it: there is nothing to be ready for.
    let launch = format!("\"launch\": Phase(time: \"3 s\", power: \"80 %\"), {PULL}");
    let (code, once) = driven(&launch, "", &cool("200 °C")).ask(&["cycle"]);
    assert_eq!((code, &once["verdict"]), (1, &"not_judged".into()), "{}", verdict(&once));
    assert!(verdict(&once).contains("`ready` is not judged"), "{}", verdict(&once));
}

/// What comes ahead of the first pull has to make ready too: warm enough, say.
#[test]
fn the_first_pull_has_to_be_ready_for() {
    let warms = "\"warm\": Phase(time: \"60 s\", power: \"20 %\", fans: \"0 %\")";
    let ready = |above: &str| {
        let ready = format!("Ready(of: \"loop:hottest\", above: \"{above}\")");
        let (_, cycle) = driven(&format!("{warms}, {PULL}"), "", &ready).ask(&["cycle"]);
        rows(&cycle, "ready")[0].clone()
    };
    let row = ready("32 °C");
    assert_eq!((&row["phase"], &row["pull"]), (&"warm".into(), &"pull".into()));
    assert!(number(&row["ready_after"]["value"]) > 0.0, "{row}");
    assert_eq!(ready("95 °C")["ready_after"], "not within this rest");
}

/// A cycle of so many rounds under a limit on the hottest coolant.
fn rounds(n: usize, max: &str) -> (Value, String) {
    let case = Case {
        tank: "volume: \"10 L\"",
        duty: String::leak(format!(
            "power: \"300 kW\", repeat: {n}, phases: {{{PULL}, \"rest\": Phase(time: \"15 s\", power: \"2 %\")}}"
        )),
        rest: String::leak(format!(
            "limits: {{ \"warm\": Limit(of: \"loop:hottest\", max: \"{max}\") }},"
        )),
        ..PLAIN
    };
    let (_, cycle) = case.ask(&["cycle"]);
    (limit(&cycle, "loop:hottest").clone(), verdict(&cycle))
}

/// The first round begins as the case says, so that two tell no pace, and one nothing of the next; more rounds do.
#[test]
fn few_rounds_tell_no_pace() {
    let worst = |n: usize| number(&rounds(n, "90 °C").0["worst"]["value"]);
    let (one, two) = (worst(1), worst(2));
    let said = rounds(2, &format!("{} K", two + 0.5)).1;
    assert!(
        said.contains("took more of the margin than is left, so one more like it breaks warm ("),
        "{said}"
    );
    let said = rounds(2, &format!("{} K", 2.0 * two - one + 0.5)).1;
    assert!(said.contains("kept by less in the second round than in the first: warm ("), "{said}");
    assert!(!said.contains("at that pace"), "{said}");
    let said = rounds(1, &format!("{} K", one + 0.5)).1;
    assert!(
        said.contains("one round only, which ends nearer to its limits than it began"),
        "{said}"
    );
    let said = rounds(1, "90 °C").1;
    assert!(!said.contains("one round only"), "{said}");
}

/// A fan switch that does not yet do the same in each round could turn a limit that is kept by less than lies between
/// its on and its off; where the fan runs throughout it cannot.
#[test]
fn a_switch_without_a_rhythm_may_turn_a_limit() {
    let switched = |on: &str, off: &str| {
        let case = |max: &str| Case {
            fans: String::leak(format!(
                "count: 2, switch: (feels: \"loop/way/cooler\", on: \"{on}\", off: \"{off}\")"
            )),
            duty: String::leak(format!("power: \"300 kW\", repeat: 2, phases: {{{PULL}, {REST}}}")),
            rest: String::leak(format!(
                "limits: {{ \"warm\": Limit(of: \"loop:hottest\", max: \"{max}\") }},"
            )),
            ..PLAIN
        };
        let (_, cycle) = case("90 °C").ask(&["cycle"]);
        let worst = number(&limit(&cycle, "loop:hottest")["worst"]["value"]);
        verdict(&case(&format!("{} K", worst + 1.0)).ask(&["cycle"]).1)
    };
    let said = switched("36 °C", "33 °C");
    assert!(said.contains("where the switch of `air_paths/front/fan"), "{said}");
    let said = switched("29 °C", "28 °C");
    assert!(!said.contains("where the switch of"), "{said}");
}

/// A variant that asks for less holds for that, and not for what was changed in the vehicle.
#[test]
fn a_variant_that_asks_for_less_is_told() {
    let case = Case {
        duty: String::leak(format!("power: \"300 kW\", repeat: 2, phases: {{{PULL}, {REST}}}")),
        rest: "limits: { \"warm\": Limit(of: \"loop:hottest\", max: \"42 °C\") }, variants: { \
               \"weaker\": Variant(change: [(\"duty:power\", \"100 kW\")]), \
               \"once\": Variant(change: [(\"duty:repeat\", 1)]), \
               \"cooler\": Variant(change: [(\"site:air\", \"10 °C\")]), \
               \"cold_pull\": Variant(change: [(\"duty:phases\", {\"pull\": Phase(time: \"20 s\", set: [(\"site:air\", \"5 °C\")]), \"rest\": Phase(time: \"2 min\", power: \"0 %\")})]), \
               \"short\": Variant(change: [(\"duty/pull:time\", \"10 s\")]), \
               \"hurry\": Variant(change: [(\"duty/rest:time\", \"1 min\")]), \
               \"patient\": Variant(change: [(\"duty/rest:time\", \"4 min\")]), \
               \"cold\": Variant(change: [(\"loop:start\", \"10 °C\")]), \
               \"low\": Variant(change: [(\"site:altitude\", \"0 m\")]), \
               \"wind\": Variant(change: [(\"duty:road_speed\", \"100 km/h\")]), \
               \"share\": Variant(change: [(\"coolers/block:share\", \"4 %\")]), \
               \"target\": Variant(change: [(\"duty:ready\", [Ready(of: \"coolers/block:metal\", below: \"90 °C\")])]), \
               \"pump\": Variant(change: [(\"loop/way/pump:shut_off\", \"90 kPa\")]) },",
        ..PLAIN
    };
    let (_, compared) = case.ask(&["compare"]);
    let said = |name: &str| {
        let variants = compared["variants"].as_array().expect("variants");
        let found = variants.iter().find(|v| v["name"] == name).expect("the variant");
        found["beside"].to_string()
    };
    assert!(
        said("weaker").contains("this variant asks for less: full power 100000 W"),
        "{}",
        said("weaker")
    );
    assert!(
        said("once").contains("this variant asks for less: pulls 1 (else 2)"),
        "{}",
        said("once")
    );
    assert!(said("cooler").contains("air in `pull` 283.1 K (else 303.1 K)"), "{}", said("cooler"));
    assert!(
        said("cold_pull").contains("air in `pull` 278.1 K (else 303.1 K)"),
        "{}",
        said("cold_pull")
    );
    assert!(said("short").contains("time of `pull` 10 s (else 20 s)"), "{}", said("short"));
    assert!(said("cold").contains("start of `loop` 283.1 K (else 303.1 K)"), "{}", said("cold"));
    assert!(said("low").contains("altitude 0 m (else "), "{}", said("low"));
    // A shorter rest is no less, though less heat comes in all; a longer one is a remedy.
    assert!(!said("hurry").contains("asks for less"), "{}", said("hurry"));
    assert!(!said("patient").contains("asks for less"), "{}", said("patient"));
    assert!(said("wind").contains("on the road at"), "{}", said("wind"));
    assert!(said("share").contains("heat into `coolers/block`"), "{}", said("share"));
    assert!(said("target").contains("this variant changes limits: `ready`"), "{}", said("target"));
    assert!(!said("pump").contains("asks for less"), "{}", said("pump"));
}

/// Coolant that starts colder than the air has a store of cold that nothing makes; ice does.
#[test]
fn a_start_colder_than_the_air_is_told() {
    let said = |start: &'static str, tank: &'static str| {
        let duty = "power: \"300 kW\", phases: {\"pull\": Phase(time: \"5 s\")}";
        verdict(&Case { start, tank, duty, ..PLAIN }.ask(&["cycle"]).1)
    };
    let (plain, iced) = ("volume: \"10 L\"", "volume: \"10 L\", ice: \"1 kg\"");
    let cold = said("5 °C", plain);
    assert!(cold.contains("`loop` starts at 278.1 K, 25 K colder than any air"), "{cold}");
    assert!(!said("30 °C", plain).contains("colder than any air"));
    assert!(!said("5 °C", iced).contains("colder than any air"));
}

/// A power that is asked for a moment only makes no pull, and pulls stay pulls beside it; what is neither pull nor rest
/// is told.
#[test]
fn a_moment_of_more_power_does_not_make_a_rest_of_a_pull() {
    let runs = format!(
        "{PULL}, \"rest\": Phase(time: \"1 s\", power: \"0 %\"), \"again\": Phase(time: \"20 s\")"
    );
    let blip = format!("\"blip\": Phase(time: \"0.05 s\", power: \"200 %\"), {runs}");
    for phases in [&runs, &blip] {
        let (code, cycle) = driven(phases, "", &cool("33 °C")).ask(&["cycle"]);
        assert_eq!(code, 1, "{}", verdict(&cycle));
        assert!(verdict(&cycle).contains("not ready when `again` begins"), "{}", verdict(&cycle));
    }
    let (_, cycle) = driven(
        "\"pull\": Phase(time: \"45 ms\"), \"rest\": Phase(time: \"2 min\", power: \"4 %\")",
        "repeat: 2,",
        "",
    )
    .ask(&["cycle"]);
    let said = verdict(&cycle);
    assert!(said.contains("a pull of less than a second heats next to nothing: `pull`"), "{said}");
    let long = blip.replace("0.05 s", "2 s");
    let (_, cycle) = driven(&long, "", &cool("200 °C")).ask(&["cycle"]);
    let said = verdict(&cycle);
    assert!(said.contains("`ready` is not asked before `again`"), "{said}");
}

/// A thermostat that stays open through a rest cools its circuit to where a real one is shut; one that a phase sets
/// does not.
#[test]
fn a_thermostat_that_stays_open_in_the_cold_is_told() {
    let said = |set: &str| {
        let case = Case {
            pump: "shut_off: \"60 kPa\", free_flow: \"80 L/min\"), \"stat\": Thermostat(open: \"95 %\"",
            start: "85 °C",
            duty: String::leak(format!(
                "power: \"300 kW\", phases: {{{PULL}, \"rest\": Phase(time: \"10 min\", power: \"0 %\"{set})}}"
            )),
            ..PLAIN
        };
        verdict(&case.ask(&["cycle"]).1)
    };
    assert!(said("").contains("`loop/way/stat` stays open while `loop` cools to"), "{}", said(""));
    let set = said(", set: [(\"loop/way/stat:open\", \"5 %\")]");
    assert!(!set.contains("stays open while"), "{set}");
}

/// What is not worked out over a cycle with a thermostat that moves is said beside its verdict.
#[test]
fn a_cycle_with_a_moving_thermostat_says_what_it_leaves_open() {
    let case = Case {
        pump: "shut_off: \"60 kPa\", free_flow: \"80 L/min\"), \"stat\": Thermostat(opens: \"60 °C\"",
        start: "85 °C",
        duty: String::leak(format!(
            "power: \"300 kW\", phases: {{{PULL}, \"rest\": Phase(time: \"10 min\", power: \"0 %\")}}"
        )),
        ..PLAIN
    };
    let said = verdict(&case.ask(&["cycle"]).1);
    assert!(said.contains("is not worked out over a cycle in which a thermostat moves"), "{said}");
    assert!(!said.contains("stays open while"), "{said}");
}

/// Without a core, 24 kW for 60 s melt 1.44 MJ/333.4 kJ/kg = 4.3 kg in each of two rounds: 2 kg are gone in the first,
/// 11 kg last for both and not for a third, 20 kg do.
#[test]
fn ice_that_is_gone_or_will_be_is_told() {
    let with = |ice: &str, coolant: &'static str| Case {
        coolant,
        start: "1 °C",
        core: false,
        tank: String::leak(format!("volume: \"60 L\", air: \"5 L\", ice: \"{ice}\"")),
        duty: "power: \"300 kW\", repeat: 2, phases: {\"pull\": Phase(time: \"60 s\"), \"rest\": Phase(time: \"20 min\", power: \"0 %\")}",
        ..PLAIN
    };
    let said = |ice: &str, coolant| verdict(&with(ice, coolant).ask(&["cycle"]).1);
    let gone = said("2 kg", "Water");
    assert!(gone.contains("all but 0.1 % of the ice of `loop/way/tank` is gone"), "{gone}");
    let left = said("11 kg", "Water");
    assert!(
        left.contains("of ice left of 11 kg") && left.contains("the next one runs out of it"),
        "{left}"
    );
    assert!(!said("20 kg", "Water").contains("runs out"), "{}", said("20 kg", "Water"));
    // In a mixture its water thins what it floats in.
    let thins = said("20 kg", "EthyleneGlycol(by_volume: \"30 %\")");
    assert!(thins.contains("thins its mixture from 0.3 to"), "{thins}");
}

/// A fan of 2 kPa and 40 m³/s takes more than a vehicle has; without power there is nothing to cool.
#[test]
fn what_no_vehicle_gives_is_told() {
    let text = PLAIN.text().replace(
        "shut_off: \"260 Pa\", free_flow: \"2600 m3/h\"",
        "shut_off: \"2 kPa\", free_flow: \"40000 m3/h\"",
    );
    let (_, point, _) = run(&text, &["point"]);
    assert!(verdict(&point).contains("pumps and fans take"), "{}", verdict(&point));
    let (_, point) = Case { duty: "power: \"0 kW\"", ..PLAIN }.ask(&["point"]);
    assert!(
        verdict(&point).contains("no heat ever comes into `coolers/block`"),
        "{}",
        verdict(&point)
    );
    let (_, point) = PLAIN.ask(&["point"]);
    assert!(!verdict(&point).contains("take"), "{}", verdict(&point));
}

/// A tank of 5 L is not 10 m high, and 60 L do not hold 50 kg of ice in pieces; heat below zero cools.
#[test]
fn what_no_vehicle_has_is_told() {
    let said = |case: Case| verdict(&case.ask(&["point"]).1);
    let high = said(Case { tank: "volume: \"5 L\", level: \"10 m\"", ..PLAIN });
    assert!(high.contains("coolant stands 10 m over the ports"), "{high}");
    let ice = Case {
        coolant: "Water",
        start: "1 °C",
        tank: "volume: \"60 L\", air: \"1 L\", ice: \"50 kg\"",
        ..PLAIN
    };
    assert!(said(ice).contains("ice fills 0.909 of"), "{}", said(ice));
    let cools = said(Case {
        cooler: "table: [(\"0 kW\", \"0 kW\"), (\"300 kW\", \"-5 kW\")], fall: (fall: \"30 kPa\", at: \"45 L/min\")",
        ..PLAIN
    });
    assert!(cools.contains("heat below zero comes into `coolers/block`"), "{cools}");
}

/// A source that keeps its heat in a phase of little power needs its pump there too.
#[test]
fn a_pump_that_stands_while_a_constant_heat_comes_in_is_grave() {
    let case = |heat: &'static str| Case {
        cooler: heat,
        duty: "power: \"300 kW\", repeat: 2, phases: {\"pull\": Phase(time: \"10 s\"), \"idle\": Phase(time: \"10 s\", \
               power: \"5 %\", pumps: \"0 %\")}",
        ..PLAIN
    };
    let (_, constant) =
        case("heat: \"2 kW\", fall: (fall: \"30 kPa\", at: \"45 L/min\")").ask(&["cycle"]);
    assert_eq!(constant["verdict"], "not_judged", "{}", verdict(&constant));
    let (_, shared) =
        case("share: \"1 %\", fall: (fall: \"30 kPa\", at: \"45 L/min\")").ask(&["cycle"]);
    assert_eq!(shared["verdict"], "holds", "{}", verdict(&shared));
}

/// Nothing is known of a joint that is only named: a split behind it holds by its ±, or where the case says that it has
/// no loss.
#[test]
fn a_split_behind_unknown_joints_may_turn() {
    let case = |junctions: &str| {
        format!(
            r#"Case(site: Site(air: "20 °C"), circuits: {{ "c": Circuit(coolant: Water, start: "30 °C", bore: "25 mm", runs: {{
                "feed": Run(from: "o", to: "i", parts: {{ "tank": Tank(volume: "10 L"), "pump": Pump(shut_off: "70 kPa", free_flow: "110 L/min"), "core": CoreSide(core: "core") }}),
                "a": Run(from: "i", to: "o", bore: "16 mm", parts: {{ "pass": Pass(cooler: "k", pass: 1) }}),
                "b": Run(from: "i", to: "o", bore: "16 mm", parts: {{ "pass": Pass(cooler: "k", pass: 2) }}) }}, junctions: {{ {junctions} }}) }},
                coolers: {{ "k": Cooler(heat: "10 kW", passes: 2, fall: (fall: "2 kPa", at: "20 L/min")) }},
                cores: {{ "core": Core(rated: (heat: "20 kW", coolant: "40 L/min", air: "1 kg/s", difference: "40 K"), fall: (fall: "7 kPa", at: "40 L/min")) }},
                air_paths: {{ "front": AirPath(cores: ["core"], fans: {{ "fan": Fan(shut_off: "300 Pa", free_flow: "4000 m3/h") }}) }},
                limits: {{ "split": Limit(of: "coolers/k:flow_ratio", max: "1.2") }})"#
        )
    };
    let said = |junctions: &str| {
        let (_, point, _) = run(&case(junctions), &["point"]);
        assert_eq!(point["verdict"], "holds", "{}", verdict(&point));
        verdict(&point)
    };
    let unknown = said("");
    assert!(unknown.contains("plain joint, taken without loss"), "{unknown}");
    let told = said("\"i\": Joint(), \"o\": Joint()");
    assert!(!told.contains("plain joint"), "{told}");
}

/// Behind a pull the hot coolant is still on its way: a bound that holds in the pull only says what comes behind it.
#[test]
fn a_bound_of_a_pull_says_what_comes_behind_it() {
    let ask = |max: &str, during: &str| {
        let case = Case {
            duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\"), \"rest\": Phase(time: \"60 s\", power: \"0 %\")}",
            rest: String::leak(format!(
                "limits: {{ \"back\": Limit(of: \"loop/way/back:out\", max: \"{max}\"{during}) }},"
            )),
            ..PLAIN
        };
        let (_, cycle) = case.ask(&["cycle"]);
        (limit(&cycle, "loop/way/back:out").clone(), verdict(&cycle))
    };
    let (all, _) = ask("400 K", "");
    let [worst, at] =
        ["worst", "at"].map(|key| all[key]["value"].as_f64().unwrap_or_else(|| number(&all[key])));
    assert!(at > 20.0, "its peak comes at {at} s");
    let (row, said) = ask(&format!("{} K", worst - 0.02), ", during: [\"pull\"]");
    assert_eq!(row["standing"], "kept", "{said}");
    assert!(said.contains("back is kept in `pull` only: it is "), "{said}");
    let (row, said) = ask(&format!("{} K", worst + 0.02), ", during: [\"pull\"]");
    assert_eq!(row["standing"], "kept", "{said}");
    assert!(!said.contains("in `pull` only"), "{said}");
    // Broken by less than it may be off by: that is said too.
    let (row, said) = ask(&format!("{} K", worst - 0.02), "");
    assert_eq!(row["standing"], "broken", "{said}");
    assert!(said.contains("less than its \u{b1} of"), "{said}");
}

/// What was met in a rest first is met in the pull behind it too, and weighs there.
#[test]
fn what_was_met_in_a_rest_counts_in_the_pull_behind_it() {
    let said = |phases: &str| {
        let duty = String::leak(format!("power: \"300 kW\", phases: {{{phases}}}"));
        verdict(&Case { duty, ..PLAIN }.ask(&["cycle"]).1)
    };
    let rest = "\"rest\": Phase(time: \"10 s\", power: \"0 %\", pumps: \"0 %\")";
    let pull = "\"pull\": Phase(time: \"3 s\", pumps: \"0 %\")";
    let still = "nothing moves in `loop`";
    assert!(
        said(&format!("{rest}, {pull}")).contains(still),
        "{}",
        said(&format!("{rest}, {pull}"))
    );
    assert!(
        !said(&format!("{rest}, {PULL}")).contains(still),
        "{}",
        said(&format!("{rest}, {PULL}"))
    );
}
