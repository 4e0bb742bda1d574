//! Cautions: every answer ends with what can hurt someone, by what the case holds and what came out.

use std::process::Command;

use serde_json::Value;

const CASES: [&str; 4] = ["first", "desert_racer", "sled_tractor", "hill_climb_coupe"];

fn answer(command: &str, case: &str, more: &[&str]) -> String {
    let path = format!("{}/cases/{case}.ron", env!("CARGO_MANIFEST_DIR"));
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args([command, &path])
        .args(more)
        .output()
        .expect("the program");
    String::from_utf8(output.stdout).expect("text")
}

fn listed(command: &str, case: &str) -> Vec<String> {
    let answer: Value = serde_json::from_str(&answer(command, case, &["--json"])).expect("JSON");
    let all = answer["cautions"].as_array().expect("a list of cautions").iter();
    all.map(|caution| caution.as_str().expect("a string").to_owned()).collect()
}

#[test]
fn every_answer_ends_with_cautions() {
    for case in CASES {
        for command in ["check", "point", "cycle", "compare"] {
            let text = answer(command, case, &[]);
            let (_, last) = text.rsplit_once("\nCautions\n").expect("cautions");
            assert!(
                last.lines().count() <= 10 && !last.contains("\n\n"),
                "{command} {case}: {last}"
            );
            let listed = listed(command, case);
            assert!(listed[0].contains("Estimates") && listed[1].contains("scalds"), "{listed:?}");
            assert!((3..=6).contains(&listed.len()), "{command} {case}: {listed:?}");
            let said = last.matches("\n  - ").count() + 1;
            assert_eq!(said, listed.len(), "{command} {case}");
        }
    }
}

/// What a case does not hold is not warned of.
#[test]
fn cautions_know_the_case() {
    let of = |command: &str, case: &str| listed(command, case).join(" ");
    let sled = of("cycle", "sled_tractor");
    for word in
        ["cap of `engine` opens at 0:", "Ice", "belts", "hottest wall", "glycol is poisonous"]
    {
        assert!(sled.contains(word), "{word} in {sled}");
    }
    assert!(!sled.contains("high voltage"), "{sled}");
    let racer = of("cycle", "desert_racer");
    for word in ["high voltage", "by themselves"] {
        assert!(racer.contains(word), "{word} in {racer}");
    }
    for word in ["belts", "Ice", "hottest wall", "cap of"] {
        assert!(!racer.contains(word), "{word} in {racer}");
    }
    assert!(!of("check", "sled_tractor").contains("opens"), "nothing is heated yet");
}
