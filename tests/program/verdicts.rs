//! Verdicts: what may be called kept, what is broken and when, and what could not be judged.

use serde_json::Value;
use std::process::Command;

use crate::one_loop::{Case, PLAIN, limit, number, rows, verdict};

fn column<'a>(answer: &'a Value, name: &str) -> &'a Value {
    let variants = answer["variants"].as_array().expect("variants");
    variants.iter().find(|v| v["name"] == name).unwrap_or_else(|| panic!("no variant {name}"))
}

/// Fans that stand, a pump that stands, no core at all: heat comes in and none leaves. None of them
/// holds, all of them say after how many seconds the coolant boils, and no temperature is shown.
#[test]
fn what_takes_heat_and_cannot_be_steady_never_holds() {
    let cases = [
        ("fans", Case { fans: "count: 2, speed: \"0 %\"", ..PLAIN }),
        (
            "pump",
            Case { pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\", speed: \"0 %\"", ..PLAIN },
        ),
        ("core", Case { core: false, ..PLAIN }),
    ];
    for (name, case) in cases {
        let (code, point) = case.ask(&["point"]);
        assert_eq!((code, &point["verdict"]), (1, &"broken".into()), "{name}: {}", verdict(&point));
        let boils = limit(&point, "loop:boil_margin");
        assert_eq!((&boils["standing"], &boils["built_in"]), (&"broken".into(), &"boiling".into()));
        let after = number(&boils["first_broken"]);
        assert!(after > 5.0 && after < 400.0, "{name}: boils after {after} s");
        for address in ["coolers/block:metal", "loop:hottest", "coolers/block:rise"] {
            assert!(point["results"][address]["value"].is_null(), "{name}: {address}");
        }
    }
    // A fan that all but stands lets no more heat out: the same answer, not an error.
    let slow = Case { fans: "count: 2, speed: \"0.1 %\"", ..PLAIN };
    let (code, point) = slow.ask(&["point"]);
    assert_eq!((code, &point["verdict"]), (1, &"broken".into()));
}

/// Two equal pumps that push against each other move nothing: an answer too, with what stands still.
#[test]
fn pumps_against_each_other_boil_what_they_should_cool() {
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(["point", "tests/program/cases/equal_pumps_against.ron"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    let text = String::from_utf8(output.stdout).expect("text");
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(text.starts_with("VERDICT  BROKEN") && text.contains("after the start"), "{text}");
    assert!(text.contains("nothing moves in `rig`, though a pump turns"), "{text}");
}

/// Without a core the loop is a kettle: water, its volume V told by the program, 24 kW.
///
///   t = (ρ c V + C) (Tᵇ − T₀ − lead) / P, Tᵇ where it boils
///
/// Water at 30 to 99 °C: ρ = 996 kg/m³ when filled, c = 4.19 kJ/(kg·K) (handbook tables, from memory);
/// metal 5 kJ/K, some 24 kW over 10 to 20 kW/K warmer than its coolant, so C counts for 1 to 3 K more.
/// At 97.8 kPa water boils at 99.0 °C (steam tables, from memory). The hottest coolant leads the mean of
/// the loop by at most its rise in the cooler, 24/(0.85 · 4.19) = 7 K.
#[test]
fn a_loop_without_a_core_boils_like_a_kettle() {
    let kettle = Case {
        core: false,
        coolant: "Water",
        cooler: "share: \"8 %\", metal: Capacity(\"5 kJ/K\"), fall: (fall: \"30 kPa\", at: \"45 L/min\")",
        ..PLAIN
    };
    let (_, point) = kettle.ask(&["point"]);
    let volume = number(&point["results"]["loop:coolant"]["value"]);
    let capacity = 996.0 * 4190.0 * volume + 5e3;
    let (slow, quick) = (capacity * 69.0 / 24e3, capacity * 61.0 / 24e3);
    let after = number(&limit(&point, "loop:boil_margin")["first_broken"]);
    assert!((0.99 * quick..1.01 * slow).contains(&after), "{after} s, by hand {quick} to {slow}");
}

/// Nothing moves and no heat comes in: that is an answer, and no limit is broken by it.
#[test]
fn a_vehicle_that_stands_still_and_cold_holds() {
    for core in [true, false] {
        let still = Case {
            pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\", speed: \"0 %\"",
            cooler: "heat: \"0 kW\", fall: (fall: \"30 kPa\", at: \"45 L/min\")",
            duty: "",
            fans: "count: 2, speed: \"0 %\"",
            core,
            ..PLAIN
        };
        let (code, point, err) = still.run(&["point"]);
        assert_eq!((code, &point["verdict"]), (0, &"holds".into()), "{err} {point}");
        let hottest = number(&point["results"]["loop:hottest"]["value"]);
        assert!((hottest - 303.15).abs() < 1e-6, "as at the start: {hottest}");
    }
}

/// When a limit breaks and the coolant boils depends on the pull alone, not on how long the rest after it
/// is: each is located, however far apart the rows are.
#[test]
fn crossings_do_not_depend_on_the_length_of_the_cycle() {
    let limits = "limits: {\"metal\": Limit(of: \"coolers/block:metal\", max: \"60 °C\")}";
    let found: Vec<[f64; 3]> = ["1 min", "500 min"]
        .iter()
        .map(|rest| {
            let duty: &'static str = String::leak(format!(
                "power: \"300 kW\", phases: {{\"pull\": Phase(time: \"120 s\"), \"rest\": Phase(time: \
                 \"{rest}\", power: \"2 %\")}}"
            ));
            let cycle = Case { duty, rest: limits, ..PLAIN }.ask(&["cycle"]).1;
            let metal = limit(&cycle, "coolers/block:metal");
            assert_eq!(metal["standing"], "broken", "{cycle}");
            let hot: &'static str = String::leak(duty.replace("300 kW", "3000 kW"));
            let boiled = Case { duty: hot, ..PLAIN }.ask(&["cycle"]).1;
            let boils = number(&limit(&boiled, "loop:boil_margin")["first_broken"]);
            [number(&metal["first_broken"]), number(&metal["beyond_for"]), boils]
        })
        .collect();
    for (short, long) in found[0].iter().zip(&found[1]) {
        assert!((short - long).abs() < 2e-3, "{found:?}");
    }
}

/// What comes behind boiling was not judged, and what was kept until then is not kept.
#[test]
fn a_cycle_that_boils_judges_nothing_behind_it() {
    let case = Case {
        duty: "power: \"3000 kW\", phases: {\"pull\": Phase(time: \"5 min\"), \"rest\": Phase(time: \"5 min\", \
               power: \"2 %\")}",
        rest: "limits: {\"cool\": Limit(of: \"coolers/block:metal\", max: \"500 °C\", during: [\"rest\"]), \
               \"flow\": Limit(of: \"loop/way:flow\", min: \"1 L/min\")}",
        ..PLAIN
    };
    let (code, cycle) = case.ask(&["cycle"]);
    assert_eq!((code, &cycle["verdict"]), (1, &"broken".into()));
    let cool = limit(&cycle, "coolers/block:metal");
    assert_eq!(cool["standing"], "not_judged");
    assert!(cool["why_not"]["text"].as_str().expect("why").contains("before its phase"), "{cool}");
    let flow = limit(&cycle, "loop/way:flow");
    assert_eq!(flow["standing"], "not_judged");
    // Switched off, the limit on boiling is not broken; but then nothing says that the rest holds.
    let rest = "built_in: BuiltIn(boiling: \"off\")";
    let (code, cycle) = Case { rest, ..case }.ask(&["cycle"]);
    assert_eq!((code, &cycle["verdict"]), (1, &"not_judged".into()));
    assert!(verdict(&cycle).contains("switches built-in limits off: `boiling`"));
}

/// Limits tied to phases hold in each of their rounds, and nowhere else.
#[test]
fn a_limit_may_be_tied_to_phases() {
    let with = |during: &str| Case {
        duty: "power: \"300 kW\", repeat: 2, phases: {\"pull\": Phase(time: \"20 s\"), \"rest\": Phase(time: \
               \"5 min\", power: \"2 %\")}",
        rest: String::leak(format!(
            "limits: {{\"warm\": Limit(of: \"coolers/block:rise\", min: \"4 K\"{during})}}"
        )),
        ..PLAIN
    };
    // The rise builds up in each pull and is gone in each rest.
    let always = with("").ask(&["cycle"]).1;
    let in_pulls = with(", during: [\"pull\"]").ask(&["cycle"]).1;
    let beyond = |answer: &Value| number(&limit(answer, "coolers/block:rise")["beyond_for"]);
    assert!(beyond(&always) > 500.0, "in rests too: {} s", beyond(&always));
    assert!(beyond(&in_pulls) > 1.0 && beyond(&in_pulls) < 40.0, "{} s", beyond(&in_pulls));
    let (code, point) = with(", during: [\"pull\"]").ask(&["point"]);
    assert_eq!((code, &point["verdict"]), (1, &"not_judged".into()));
    let (code, point) = with(", during: [\"pull\"]").ask(&["point", "--phase", "pull 2"]);
    assert_eq!((code, &point["verdict"]), (0, &"holds".into()), "{}", verdict(&point));
    for (during, wanted) in [
        (", during: [\"pul\"]", "did you mean `pull`?"),
        (", during: []", "`during` names no phase"),
    ] {
        let (code, _, err) = with(during).run(&["cycle"]);
        assert!(code == 2 && err.contains(wanted), "{err}");
    }
}

/// Water that freezes, coolant that leaves, a pump without enough head at its inlet, metal that softens:
/// none of it holds, written or not, and each can be loosened by its name.
#[test]
fn some_limits_hold_without_being_written() {
    let pull = "power: \"300 kW\", phases: {\"pull\": Phase(time: \"60 s\")}";
    let frozen = Case {
        air: "-20 °C",
        coolant: "Water",
        start: "5 °C",
        duty: "power: \"5 kW\", phases: {\"pull\": Phase(time: \"10 min\")}",
        ..PLAIN
    };
    let spills = Case {
        tank: "volume: \"8 L\", air: \"0.1 L\", level: \"100 mm\", cap: Cap(opens: \"110 kPa\", vacuum: \"5 kPa\")",
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"5 min\")}",
        ..PLAIN
    };
    // A curve stands beside the duty, whose bracket is closed behind it.
    let starved = Case {
        pump: "curve: \"label\"",
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"60 s\")}), pump_curves: {\"label\": \
               PumpCurve(points: [(\"0 L/min\", \"75 kPa\"), (\"50 L/min\", \"54 kPa\"), (\"95 L/min\", \
               \"0 kPa\")], npsh_required_at: [(\"0 L/min\", \"14 m\"), (\"50 L/min\", \"14 m\"), \
               (\"95 L/min\", \"15 m\")])}, supply: Supply(voltage: \"13.5 V\"",
        ..PLAIN
    };
    // 24 kW through 100 W/K: 240 K above the coolant when steady, 2 kg · 0.91 kJ/(kg·K) · 2.3 = 18 s.
    let soft = Case {
        cooler: "share: \"8 %\", metal: Aluminium(\"2 kg\"), fall: (fall: \"30 kPa\", at: \"45 L/min\"), \
                 volume: \"0.5 L\", film: (conductance: \"100 W/K\", at: \"45 L/min\")",
        duty: pull,
        ..PLAIN
    };
    for (case, address, name, loosened) in [
        (frozen, "loop:freeze_margin", "freezing", "-25 K"),
        (spills, "loop/way/tank:lost", "spill", "3 L"),
        (starved, "loop/way/pump:npsh_margin", "npsh", "-10 m"),
        (soft, "coolers/block:metal", "aluminium", "600 °C"),
    ] {
        let (code, cycle, err) = case.run(&["cycle"]);
        assert_ne!(code, 2, "{name}: {err}");
        let row = limit(&cycle, address);
        assert_eq!((code, &row["standing"]), (1, &"broken".into()), "{name}: {row}");
        assert_eq!(row["built_in"], name);
        assert!(number(&row["beyond_for"]) > 1.0, "{name}: {row}");
        for (bound, wanted) in [(loosened, "kept"), ("off", "")] {
            let rest = String::leak(format!("built_in: BuiltIn({name}: \"{bound}\")"));
            let (code, cycle) = Case { rest, ..case }.ask(&["cycle"]);
            assert_eq!(code, 0, "{name}: {}", verdict(&cycle));
            let rows = rows(&cycle, "limits").iter();
            let found: Vec<&Value> = rows.filter(|row| row["built_in"] == name).collect();
            assert_eq!(found.len(), usize::from(!wanted.is_empty()), "{name}");
            assert!(found.iter().all(|row| row["standing"] == wanted), "{name}");
            assert_eq!(verdict(&cycle).contains("switches built-in limits off"), wanted.is_empty());
        }
        let rest = String::leak(format!("built_in: BuiltIn({name}: \"12 V\")"));
        let (code, _, err) = Case { rest, ..case }.run(&["cycle"]);
        assert!(code == 2 && err.contains("or \"off\""), "{err}");
    }
}

/// A variant may write to what it adds itself: a second pump that it stops is as one of a case with two of them.
#[test]
fn a_variant_writes_to_what_it_adds() {
    let pump = "shut_off: \"75 kPa\", free_flow: \"95 L/min\"";
    let stop = "(\"loop/way/pump/2:speed\", \"0 %\")";
    let variant = |change: String| {
        String::leak(format!("variants: {{ \"stopped\": Variant(change: [{change}]) }},"))
    };
    let flow = |case: Case| {
        let (_, point) = case.ask(&["point", "--variant", "stopped"]);
        number(&point["results"]["loop/way:flow"]["value"])
    };
    let added = flow(Case {
        rest: variant(format!("{stop}, (\"loop/way/pump:count\", Series(2))")),
        ..PLAIN
    });
    let there = Case {
        pump: String::leak(format!("{pump}, count: Series(2)")),
        rest: variant(stop.to_owned()),
        ..PLAIN
    };
    assert_eq!(added.to_bits(), flow(there).to_bits());
}

/// A variant without what a limit speaks of, one whose phase sets what is not there: each is told in its
/// column, and the others are answered.
#[test]
fn a_variant_takes_no_other_along() {
    let case = Case {
        pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\", count: Series(2)",
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\", set: [(\"loop/way/pump/2:speed\", \
               \"50 %\")])}",
        rest: "limits: {\"back\": Limit(of: \"loop/way/back:pressure_in\", max: \"200 kPa\")}, variants: { \
               \"one\": Variant(change: [(\"loop/way/pump:count\", One)]), \"warm\": Variant(change: \
               [(\"site:air\", \"35 °C\")]) }",
        ..PLAIN
    };
    let (code, compare, err) = case.run(&["compare"]);
    assert_eq!(code, 1, "{err}");
    assert_eq!(column(&compare, "as it stands")["verdict"], "holds", "{}", verdict(&compare));
    assert_eq!(column(&compare, "warm")["verdict"], "holds");
    let one = column(&compare, "one");
    assert_eq!(one["verdict"], "unsolved");
    assert!(one["unsolved"]["text"].as_str().expect("why").contains("loop/way/pump/2:speed"));
}

/// What a limit speaks of is there in the case as it stands, and not in the variant.
#[test]
fn a_limit_of_what_a_variant_took_away_is_not_judged() {
    let case = Case {
        pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\", count: Parallel(2)",
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\")}",
        rest: "limits: {\"second\": Limit(of: \"loop/way/pump/2:flow\", min: \"5 L/min\")}, variants: { \
               \"one\": Variant(change: [(\"loop/way/pump:count\", One)]) }",
        ..PLAIN
    };
    for by in [&["compare"][..], &["compare", "--point"]] {
        let (code, compare, err) = case.run(by);
        assert_eq!((code, &compare["verdict"]), (1, &"not_judged".into()), "{err}");
        assert_eq!(column(&compare, "as it stands")["verdict"], "holds", "{}", verdict(&compare));
        let one = column(&compare, "one");
        assert_eq!(one["verdict"], "not_judged");
        let limits = one["limits"]["tables"][0]["rows"].as_array().expect("rows");
        let second = limits.iter().find(|row| row["limit"] == "second").expect("the limit");
        assert!(second["why_not"]["text"].as_str().expect("why").contains("no such result"));
    }
    // Misspelt it is in neither, and that is a fault of the case.
    let rest = "limits: {\"second\": Limit(of: \"loop/way/pump/3:flow\", min: \"5 L/min\")}";
    let (code, _, err) = Case { rest, ..case }.run(&["cycle"]);
    assert!(code == 2 && err.contains("there is no result at `loop/way/pump/3:flow`"), "{err}");
}

/// Without a limit of its own a case cannot say which variant is good enough.
#[test]
fn without_limits_nothing_is_recommended() {
    let case = Case {
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\")}",
        rest: "variants: {\"warm\": Variant(change: [(\"site:air\", \"35 °C\")])}",
        ..PLAIN
    };
    let (code, compare) = case.ask(&["compare"]);
    assert_eq!(code, 0);
    let words = verdict(&compare);
    assert!(!words.contains("no change is needed"), "{words}");
    assert!(words.contains("sets no limits of its own"), "{words}");
}

/// Rows of a comparison over cycles say when: each most and least with its moment.
#[test]
fn peaks_are_compared_with_their_moments() {
    let case = Case {
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\"), \"rest\": Phase(time: \"60 s\", \
               power: \"2 %\")}",
        rest: "variants: {\"warm\": Variant(change: [(\"site:air\", \"35 °C\")])}",
        ..PLAIN
    };
    let compare = case.ask(&["compare"]).1;
    let row = rows(&compare, "totals").iter().find(|row| row["address"] == "coolers/block:metal");
    let cell = &row.expect("the metal")["as it stands"];
    // The metal is hottest where the pull ends.
    assert!((number(&cell["slots"]["moment"]["value"]) - 20.0).abs() < 0.2, "{cell}");
    let cycle = case.ask(&["cycle"]).1;
    let peak = rows(&cycle, "peaks").iter().find(|row| row["address"] == "coolers/block:metal");
    let most = number(&peak.expect("a peak")["most"]["value"]);
    assert!((number(&cell["slots"]["value"]["value"]) - most).abs() < 1e-9);
}

/// `point --at` shows the state of the cycle at that time.
#[test]
fn a_moment_of_the_cycle_can_be_surveyed() {
    let case = Case {
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\"), \"rest\": Phase(time: \"60 s\", \
               power: \"2 %\")}",
        ..PLAIN
    };
    let columns = ["cycle", "--columns", "coolers/block:metal", "--every", "12 s"];
    let cycle = case.ask(&columns).1;
    let times = cycle["histories"]["times_s"].as_array().expect("times");
    let at = times.iter().position(|time| (number(time) - 12.0).abs() < 1e-9).expect("12 s");
    let wanted = number(&cycle["histories"]["rows"][at][0]);
    let (code, point) = case.ask(&["point", "--at", "12 s"]);
    assert_eq!(code, 0);
    assert_eq!(point["phase"], "pull");
    let got = number(&point["results"]["coolers/block:metal"]["value"]);
    // Between rows of the history values go straight, so they are some millikelvins apart.
    assert!((got - wanted).abs() < 0.02, "{got} K, in the history {wanted} K");
    let (code, _, err) = case.run(&["point", "--at", "81 s"]);
    assert!(code == 2 && err.contains("no moment at 1:21.0"), "{err}");
    let (code, _, err) = case.run(&["point", "--at", "12 K"]);
    assert!(code == 2 && err.contains("--at"), "{err}");
}

/// The vehicle may have to be warm enough as well as cool enough.
#[test]
fn ready_asks_for_at_least_as_well_as_at_most() {
    let with = |ready: &str| Case {
        duty: String::leak(format!(
            "power: \"300 kW\", phases: {{\"pull\": Phase(time: \"20 s\"), \"rest\": Phase(time: \"60 s\", \
             power: \"2 %\")}}, ready: [{ready}]"
        )),
        ..PLAIN
    };
    let after = |ready: &str| {
        let cycle = with(ready).ask(&["cycle"]).1;
        rows(&cycle, "ready")[0]["ready_after"].clone()
    };
    let cool = after("Ready(of: \"coolers/block:metal\", below: \"40 °C\")");
    let cool = number(&cool["value"]);
    assert!(cool > 0.5 && cool < 60.0, "{cool}");
    // Warm enough it is from the start of the rest, too warm it never was.
    let warm = after("Ready(of: \"coolers/block:metal\", above: \"20 °C\")");
    assert!(number(&warm["value"]).abs() < 1e-9);
    let never = after("Ready(of: \"coolers/block:metal\", above: \"90 °C\")");
    assert_eq!(never, "not within this rest");
    let both = after("Ready(of: \"coolers/block:metal\", below: \"40 °C\", above: \"20 °C\")");
    assert!((number(&both["value"]) - cool).abs() < 1e-9);
    let (code, _, err) = with("Ready(of: \"coolers/block:metal\")").run(&["cycle"]);
    assert!(code == 2 && err.contains("neither `below` nor `above`"), "{err}");
}

/// What no vehicle can be is not printed: metal at 24 kW over 1 W/K would be 24 000 K hot, a pump that
/// sucks through a hair would stand far below a vacuum. The limits that stand for it are broken.
#[test]
fn impossible_numbers_are_not_printed() {
    let molten = Case {
        cooler: "share: \"8 %\", fall: (fall: \"30 kPa\", at: \"45 L/min\"), volume: \"0.5 L\", film: \
                 (conductance: \"1 W/K\", at: \"45 L/min\")",
        ..PLAIN
    };
    let (code, point) = molten.ask(&["point"]);
    assert_eq!((code, &point["verdict"]), (1, &"broken".into()), "{}", verdict(&point));
    assert!(point["results"]["coolers/block:metal"]["value"].is_null());
    assert_eq!(limit(&point, "coolers/block:metal")["standing"], "broken");
    let cycle =
        Case { duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"10 h\")}", ..molten };
    let (code, cycle) = cycle.ask(&["cycle"]);
    assert_eq!((code, &cycle["verdict"]), (1, &"broken".into()), "{}", verdict(&cycle));
    let peak = rows(&cycle, "peaks").iter().find(|row| row["address"] == "coolers/block:metal");
    assert!(peak.expect("a row")["most"].is_null());
    let dry = Case {
        pump: "shut_off: \"250 kPa\", free_flow: \"95 L/min\"",
        tank: "volume: \"8 L\" ), \"straw\": Hose(length: \"90 m\"",
        ..PLAIN
    };
    let (code, point) = dry.ask(&["point"]);
    assert_eq!((code, &point["verdict"]), (1, &"broken".into()), "{}", verdict(&point));
    let inlet = &point["results"]["loop/way/pump:pressure_in"]["value"];
    let air = point["results"]["site:air_pressure"]["value"].as_f64().expect("an air pressure");
    assert!(inlet.as_f64().is_none_or(|gauge| gauge >= -air), "{inlet} under {air} of air");
    assert!(inlet.is_null(), "{inlet} stands above a vacuum: not what is to be tried");
}

/// Metal of which nothing is said is taken for aluminium, as its assumed heat capacity is: what named
/// metal breaks, unnamed metal breaks too.
#[test]
fn metal_without_a_name_is_judged() {
    let film = "share: \"8 %\", fall: (fall: \"30 kPa\", at: \"45 L/min\"), film: (conductance: \"100 W/K\", at: \
                \"45 L/min\")";
    let named = format!("{film}, metal: Aluminium(\"5.5 kg\")");
    for cooler in [film, &named] {
        let hot = Case { cooler: String::leak(cooler.to_owned()), ..PLAIN };
        // 24 kW over 100 W/K: 240 K above the coolant.
        let (code, point) = hot.ask(&["point"]);
        assert_eq!((code, &point["verdict"]), (1, &"broken".into()), "{}", verdict(&point));
        assert_eq!(limit(&point, "coolers/block:metal")["standing"], "broken");
    }
}

/// A limit that loses margin from round to round says so: what the last of four rounds has lost, and after how
/// many more it breaks, which more rounds confirm. Where the losses die out before, that is said.
#[test]
fn what_a_cycle_leaves_behind_is_told() {
    let ask = |n: usize, max: &str| {
        let case = Case {
            // 8 L of coolant beside a fifth of air.
            tank: "volume: \"10 L\"",
            duty: String::leak(format!(
                "power: \"300 kW\", repeat: {n}, phases: {{\"pull\": Phase(time: \"20 s\"), \"rest\": Phase(time: \
                 \"15 s\", power: \"2 %\")}}"
            )),
            rest: String::leak(format!(
                "limits: {{ \"warm\": Limit(of: \"loop:hottest\", max: \"{max}\") }},"
            )),
            ..PLAIN
        };
        let (_, cycle) = case.ask(&["cycle"]);
        (limit(&cycle, "loop:hottest").clone(), verdict(&cycle))
    };
    let worst = |n: usize| number(&ask(n, "90 °C").0["worst"]["value"]);
    let (row, said) = ask(4, "50 °C");
    assert_eq!(row["standing"], "kept", "{said}");
    let slot = |name: &str| {
        let slot = &row["goes_on"]["slots"][name];
        slot["value"].as_f64().or(slot.as_f64()).unwrap_or_else(|| panic!("{name}: {row}"))
    };
    let lost = worst(4) - worst(3);
    assert!((slot("by") - lost).abs() < 1e-6, "{} told, {lost} lost", slot("by"));
    assert!(said.contains("less in the last round than in the one before"), "{said}");
    assert!((slot("left") - 1.0).abs() < 1e-9, "{row}");
    assert_eq!(ask(5, "50 °C").0["standing"], "kept");
    assert_eq!(ask(6, "50 °C").0["standing"], "broken");
    let (row, said) = ask(4, "52 °C");
    assert_eq!(row["standing"], "kept");
    assert!(said.contains("though each loses less than the one before"), "{said}");
    assert_eq!(ask(12, "52 °C").0["standing"], "kept");
}

/// Without air the coolant warms at an even pace: what a short pull foretells, a long one does.
#[test]
fn a_limit_that_is_worst_at_the_end_says_when_it_would_break() {
    let of = |time: &str| Case {
        fans: "count: 2, speed: 0.0",
        duty: String::leak(format!(
            "power: \"300 kW\", phases: {{\"pull\": Phase(time: \"{time}\")}}"
        )),
        rest: "limits: { \"warm\": Limit(of: \"loop:hottest\", max: \"70 °C\") },",
        ..PLAIN
    };
    let (_, short) = of("40 s").ask(&["cycle"]);
    let row = limit(&short, "loop:hottest");
    assert_eq!(row["standing"], "kept", "{}", verdict(&short));
    let left = row["goes_on"]["slots"]["left"]["value"].as_f64().unwrap_or_else(|| panic!("{row}"));
    let (_, long) = of("200 s").ask(&["cycle"]);
    let first = limit(&long, "loop:hottest")["first_broken"].as_f64().expect("a crossing");
    assert!((40.0 + left - first).abs() < 0.1 * first, "{left} s after 40 s, broken at {first} s");
}

/// A pump that turns at twice the speed of its curve, a core without air.
#[test]
fn machines_beyond_what_they_are_made_for_are_told() {
    let fast = Case {
        pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\", speed: \"200 %\"",
        fans: "count: 2, speed: 0.0",
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\")}",
        ..PLAIN
    };
    let (_, point) = fast.ask(&["point", "--at", "10 s"]);
    let all = point["sections"].to_string();
    assert!(all.contains("turns at 200 % of the speed of its curve"), "{all}");
    assert!(all.contains("no air to speak of goes through `cores/radiator`"), "{all}");
}

/// A moment of the cycle is shown also where its settings would have no steady state: no fan turns.
#[test]
fn a_moment_needs_no_steady_state() {
    let warming = Case {
        fans: "count: 2, speed: 0.0",
        duty: "power: \"300 kW\", phases: {\"pull\": Phase(time: \"20 s\")}",
        ..PLAIN
    };
    for at in ["0 s", "10 s", "20 s"] {
        let (code, point) = warming.ask(&["point", "--at", at]);
        assert_eq!((code, &point["verdict"]), (0, &"holds".into()), "{at}: {}", verdict(&point));
        assert!(point["results"]["loop:hottest"]["value"].is_number(), "{at}");
    }
}

/// A table of heat from 50 kW up says nothing of 10 kW: 1 kW less 40 · (39 kW/250 kW) would be cold. With a
/// row for no power it does, and where it goes on without turning into cold that is said.
#[test]
fn a_table_of_heat_makes_no_cold() {
    let with = |rows: &str| Case {
        cooler: String::leak(format!(
            "table: [{rows}], fall: (fall: \"30 kPa\", at: \"45 L/min\")"
        )),
        duty: "power: \"10 kW\"",
        ..PLAIN
    };
    let (code, _, err) = with("(\"50 kW\", \"1 kW\"), (\"300 kW\", \"40 kW\")").run(&["point"]);
    assert!(code == 2 && err.contains("give it a row for that power"), "{err}");
    assert!(err.contains("-5.24 kW at 10 kW"), "{err}");
    let whole = "(\"0 kW\", \"0.2 kW\"), (\"50 kW\", \"1 kW\"), (\"300 kW\", \"40 kW\")";
    assert_eq!(with(whole).ask(&["point"]).0, 0);
    let (code, point) = with("(\"20 kW\", \"2 kW\"), (\"300 kW\", \"20 kW\")").ask(&["point"]);
    assert!(code == 0 && point.to_string().contains("it goes on straight"), "{point}");
}

/// A liquid of which no vapour pressure is told may boil anywhere: nothing holds, and the answer says what is missing.
#[test]
fn what_nothing_is_told_of_is_not_judged_to_boil() {
    let ask = |words: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .args(words)
            .arg("tests/program/cases/dielectric_without_vapour.ron")
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .expect("the program runs");
        (output.status.code(), String::from_utf8(output.stdout).expect("text"))
    };
    let (code, json) = ask(&["point", "--json"]);
    let point: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!((code, &point["verdict"]), (Some(1), &"not_judged".into()), "{}", verdict(&point));
    let boils = limit(&point, "oil:boil_margin");
    assert_eq!(boils["standing"], "not_judged");
    assert_eq!(boils["value"], "not judged");
    let result = &point["results"]["oil:boil_margin"];
    assert!(result.is_object() && result["value"].is_null(), "{result}");
    let (_, text) = ask(&["point"]);
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "NOT JUDGED",
        "no vapour pressure of its liquid is told",
        "give the liquid `vapour` or `boils`",
    ] {
        assert!(words.contains(said), "{said}: {text}");
    }
    let (_, text) = ask(&["check"]);
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in
        ["whether it boils is not judged", "as if it had no vapour", "down to its first row"]
    {
        assert!(words.contains(said), "{said}: {text}");
    }
}
