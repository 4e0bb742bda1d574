//! Air in lanes and cores in pieces: what is said of what cannot be, and of what goes astray.

use std::process::Command;

/// The demo with a core before a part of another, with words changed.
fn changed(changes: &[(&str, &str)]) -> String {
    let mut text = include_str!("../../cases/side_by_side.ron").to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "no {from:?} in the demo");
        text = text.replace(from, to);
    }
    text
}

/// What a question says of a case, on both channels, and its exit status.
fn asked(text: &str, words: &[&str]) -> (i32, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("case.ron");
    std::fs::write(&path, text).expect("it can be written");
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .arg(words[0])
        .arg(&path)
        .args(&words[1..])
        .output()
        .expect("the program runs");
    let said = [output.stdout, output.stderr].concat();
    let said = String::from_utf8_lossy(&said).split_whitespace().collect::<Vec<_>>().join(" ");
    (output.status.code().expect("an exit status"), said)
}

#[test]
fn what_no_core_and_no_lane_can_be_is_refused_with_the_cure() {
    let upper = r#""upper": Core(piece: (of: "radiator"))"#;
    for (from, to, said) in [
        (r#"share: "35 %""#, r#"share: "135 %""#, "add up to 135.0 %"),
        (r#"share: "35 %""#, r#"share: "100 %""#, "left for its piece `upper`"),
        (upper, r#""upper": Core(piece: (of: "radiater"))"#, "`radiator`"),
        (upper, r#""upper": Core(piece: (of: "lower"))"#, "is a piece itself"),
        (upper, r#""upper": Core(piece: (of: "radiator", cut: InTurn))"#, "cut in two ways"),
        (
            upper,
            r#""upper": Core(piece: (of: "radiator"), metal: "3 kJ/K")"#,
            "told at the whole core",
        ),
        (r#"CoreSide(core: "upper")"#, r#"CoreSide(core: "radiator")"#, "name one of its pieces"),
        (r#"Lane(cores: ["upper"])"#, r#"Lane(cores: ["radiator"])"#, "name one of its pieces"),
        (r#"Lane(cores: ["upper"])"#, "Lane()", "nothing stands in the way"),
        (
            r#"["charge_core", "lower"]"#,
            r#"["charge_core", "lower", "upper"]"#,
            "one behind the other in the air",
        ),
        (
            r#"Lane(gap: "220 cm2")"#,
            r#"Lane(gap: "220 cm2", loss: (fall: "9 Pa", at: "1 kg/s"))"#,
            "not both",
        ),
        (r#"Lane(cores: ["upper"])"#, r#"Lane(cores: ["upper"], gap: "20 cm2")"#, "past the cores"),
        (
            r#"Lane(cores: ["upper"])"#,
            r#"Lane(cores: ["upper"], gap_loss: 2)"#,
            "this lane has none",
        ),
        ("Fan(count: 2,", r#"Fan(count: 2, lane: "fre","#, "`free`"),
        (r#""fan": Fan"#, r#""free": Fan"#, "one name"),
        (r#"recirculation: "12 %""#, r#"recirculation: "120 %""#, "recirculation"),
    ] {
        let (code, answer) = asked(&changed(&[(from, to)]), &["check"]);
        assert!(code == 2 && answer.contains(said), "{to}: exit {code}, no {said:?} in {answer}");
    }
}

#[test]
fn fuel_that_holds_less_than_is_made_of_it_is_refused() {
    let by = |fuel: &str| changed(&[(r#"Engine(share: "48 %","#, &format!("Engine({fuel},"))]);
    for (fuel, said) in [
        (
            r#"fuel: (burns: "20 g/kWh", heating_value: "42.6 MJ/kg")"#,
            "of the power that is made of it",
        ),
        (r#"fuel: (heating_value: "42.6 MJ/kg")"#, "`burns` or `flow`"),
        (r#"fuel: (flow: "60 L/h", heating_value: "42.6 MJ/kg")"#, "fuel is told by its mass"),
        (
            r#"share: "48 %", fuel: (burns: "220 g/kWh", heating_value: "42.6 MJ/kg")"#,
            "both tell the heat",
        ),
        (
            r#"map: [(engine_speed: "2000 rpm", power: "0 kW", heat: "9 kW")]"#,
            "two or more of both",
        ),
    ] {
        let (code, answer) = asked(&by(fuel), &["check"]);
        assert!(code == 2 && answer.contains(said), "{fuel}: exit {code}: {answer}");
    }
    let (code, answer) =
        asked(&by(r#"fuel: (burns: "220 g/kWh", heating_value: "42.6 MJ/kg")"#), &["point"]);
    assert!(code != 2, "{answer}");
}

#[test]
fn pieces_stand_where_their_tubes_are() {
    // Both in one run: with tubes of their own they are side by side, not in turn.
    let one_run = [
        (
            r#""below": Run(from: "front", to: "behind", parts: { "core": CoreSide(core: "lower") }),"#,
            "",
        ),
        (
            r#"parts: { "core": CoreSide(core: "upper") }"#,
            r#"parts: { "a": CoreSide(core: "lower"), "b": CoreSide(core: "upper") }"#,
        ),
    ];
    let (code, answer) = asked(&changed(&one_run), &["check"]);
    assert!(code == 2 && answer.contains("stand in one run"), "{answer}");
    let in_turn = [
        (r#"share: "35 %")"#, r#"share: "35 %", cut: InTurn)"#),
        (r#"Core(piece: (of: "radiator"))"#, r#"Core(piece: (of: "radiator", cut: InTurn))"#),
    ];
    let (code, answer) = asked(&changed(&in_turn), &["check"]);
    assert!(code == 2 && answer.contains("stand in several runs"), "{answer}");
    let (code, answer) = asked(&changed(&[one_run, in_turn].concat()), &["check"]);
    assert!(code != 2, "{answer}");
}

/// A tenth of a core that is nowhere, and air that goes past all cores, are told.
#[test]
fn what_is_not_there_and_what_goes_past_is_told() {
    let less =
        [(r#"Core(piece: (of: "radiator"))"#, r#"Core(piece: (of: "radiator", share: "55 %"))"#)];
    let (_, answer) = asked(&changed(&less), &["check"]);
    assert!(answer.contains("10 % of the core `radiator` is in none of its pieces"), "{answer}");
    let (_, answer) = asked(&changed(&[]), &["check"]);
    assert!(answer.contains("goes past its cores through `air_paths/front/edge`"), "{answer}");
    let (_, answer) = asked(&changed(&[]), &["point", "--only", "air"]);
    assert!(answer.contains("12 % of the air in front comes round from there"), "{answer}");
}

/// A fan in one lane draws back through a gap what it has blown out: that is told, and it is no cure for anything.
#[test]
fn air_that_comes_back_is_told() {
    let own = [("Fan(count: 2,", r#"Fan(count: 2, lane: "free","#)];
    let (_, answer) = asked(&changed(&own), &["check"]);
    assert!(
        answer.contains("of the air that goes through `air_paths/front` comes back through"),
        "{answer}"
    );
    let (_, answer) = asked(&changed(&[]), &["check"]);
    assert!(!answer.contains("comes back through"), "{answer}");
}

/// Each way of seeing the front says the same: as a result, by its formula, behind the grille of the lane without a core.
#[test]
fn the_air_in_front_is_explained() {
    let (_, answer) = asked(&changed(&[]), &["why", "air_paths/front:front"]);
    assert!(answer.contains("T + s·(T_e − T)"), "{answer}");
    let (_, answer) = asked(&changed(&[]), &["why", "air_paths/front/edge:ducts_fall"]);
    assert!(
        answer.contains("through a gap past the cores") && answer.contains("Kirchhoff"),
        "{answer}"
    );
}
