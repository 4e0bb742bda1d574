//! `why`: down from any number to the line of the case.

use coolwright::ask::{Case, Moment, Question, Why};
use coolwright::workers::Alone;
use serde_json::Value;

use crate::levers::{number, of_text, rows, sections};

const FIRST: &str = include_str!("../../cases/first.ron");

fn read(text: &str) -> Case {
    let mut none = |name: &str| Err(format!("there is no {name}"));
    Case::read("first.ron", text, &mut none).expect("it reads")
}

fn asked(address: &str) -> Question {
    Question::Why(Why { address: address.to_owned(), variant: None, moment: Moment::Full })
}

/// A walk from results down: everything that an answer rests on can be asked for, and at the bottom stand numbers of
/// the case, each with its line, a rule or an assumption.
#[test]
fn whatever_a_number_rests_on_can_be_asked_for() {
    let case = read(FIRST);
    let mut open = vec![
        "drive/loop:flow".to_owned(),
        "cores/core:heat".to_owned(),
        "coolers/motor:metal".to_owned(),
    ];
    let mut known: Vec<String> = Vec::new();
    let mut written = 0;
    while let Some(address) = open.pop().filter(|_| known.len() < 60) {
        if known.contains(&address) {
            continue;
        }
        let answer = case.ask(&asked(&address), &Alone);
        let answer = answer.unwrap_or_else(|_| panic!("`{address}` cannot be asked for"));
        let json: Value =
            serde_json::from_str(&coolwright::render::json::json(&answer)).expect("JSON");
        for section in sections(&json, "rests_on") {
            for row in rows(section) {
                let next = row["address"].as_str().unwrap_or_default();
                open.extend(next.split(", ").filter(|next| !next.is_empty()).map(str::to_owned));
            }
        }
        written += usize::from(json.to_string().contains("written in first.ron, line"));
        known.push(address);
    }
    assert!(known.len() >= 40 && written >= 3, "{} asked for, {written} written", known.len());
}

/// The line that is told is the line of the file.
#[test]
fn a_number_of_the_case_tells_its_line() {
    let (code, answer) = of_text(FIRST, &["why"], &["drive:bore"]);
    assert_eq!(code, 0);
    let line =
        1 + FIRST.lines().position(|line| line.contains("bore: \"19 mm\"")).expect("the bore");
    let says = sections(&answer, "number")[0].to_string();
    assert!(says.contains(&format!("line {line}, column")), "{says}");
}

/// What a variant sets is told as that, and not as the line that it replaces.
#[test]
fn a_number_that_a_variant_sets_is_told_so() {
    let text = FIRST.replace(
        "    variants: {",
        "    variants: { \"wide\": Variant(change: [(\"drive:bore\", \"25 mm\")]),",
    );
    assert_ne!(text, FIRST);
    let (_, plain) = of_text(&text, &["why"], &["drive:bore"]);
    assert!(!sections(&plain, "number")[0].to_string().contains("set by"));
    let (_, wide) = of_text(&text, &["why"], &["drive:bore", "--variant", "wide"]);
    assert!(sections(&wide, "number")[0].to_string().contains("wide"));
}

/// A law whose part has a state of its own is told at that state: of a thermostat that moves, at its opening.
#[test]
fn the_law_of_a_thermostat_gives_its_fall() {
    let coupe = include_str!("../../cases/hill_climb_coupe.ron");
    let (_, answer) = of_text(coupe, &["why"], &["engine/cooled/stat:fall"]);
    let law = sections(&answer, "laws")[0];
    let fall = rows(law).iter().find(|row| row["sign"] == "\u{394}p").expect("the fall");
    let told = number(&fall["value"]).expect("a number");
    let (_, point) = of_text(coupe, &["point"], &[]);
    let is = point["results"]["engine/cooled/stat:fall"]["value"].as_f64().expect("a number");
    assert!((told - is).abs() < 1e-6 * is, "{told} against {is}");
}

/// What is told to move a result moves it so in the file.
#[test]
fn what_moves_a_number_is_the_file_with_that_change() {
    let (_, answer) = of_text(FIRST, &["why"], &["drive/loop:flow"]);
    let all = rows(sections(&answer, "moves")[0]);
    let told =
        all.iter().find(|row| row["address"] == "coolers/motor:at").expect("the motor's rating");
    let flow = |text: &str| {
        let (_, point) = of_text(text, &["point"], &[]);
        point["results"]["drive/loop:flow"]["value"].as_f64().expect("a number")
    };
    // The motor is rated at 15 L/min; a tenth more is 16.5.
    let motor = FIRST.find("\"motor\": Cooler(").expect("the motor");
    let (before, behind) = FIRST.split_at(motor);
    assert!(behind.contains("at: \"15 L/min\""));
    let edited =
        format!("{before}{}", behind.replacen("at: \"15 L/min\"", "at: \"16.5 L/min\"", 1));
    let moved = flow(&edited) - flow(FIRST);
    let change = number(&told["change"]).expect("a change");
    assert!((change - moved).abs() < 1e-3 * moved.abs(), "{change} against {moved}");
}

#[test]
fn a_misspelt_address_is_refused_with_the_nearest_name() {
    for (address, wanted) in [
        ("drive/loop/pmp:speed", "Did you mean `drive/loop/pump`?"),
        ("drive/loop/pump:sped", "Did you mean `speed`?"),
    ] {
        let case = read(FIRST);
        let refusal = case.ask(&asked(address), &Alone).expect_err("there is no such number");
        let text = refusal.text(&coolwright::render::Style::SI);
        assert!(text.contains(wanted), "{text}");
    }
}

/// A thing alone lists all that there is of it.
#[test]
fn the_path_of_a_thing_lists_its_results_and_numbers() {
    let (code, answer) = of_text(FIRST, &["why"], &["drive/loop/pump"]);
    assert_eq!(code, 0);
    let results = rows(sections(&answer, "thing")[0]);
    assert!(results.iter().any(|row| row["address"] == "drive/loop/pump:head"));
    let numbers = rows(sections(&answer, "numbers")[0]);
    assert!(numbers.iter().any(|row| row["address"] == "drive/loop/pump:shut_off"));
}

/// Where a circuit boils its coolant has no density: the formula is told without numbers, not with a 0 below the line.
#[test]
fn what_has_no_steady_state_is_not_divided_by() {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(["why", "cases/sled_tractor.ron", "charge/feed:flow"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    let said = String::from_utf8(output.stdout).expect("text");
    assert!(said.contains("ρ     unknown"), "it has no density: {said}");
    assert!(
        said.contains("m/ρ, not worked out with numbers here") && !said.contains("/0 ="),
        "{said}"
    );
}
