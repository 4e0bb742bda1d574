//! Cautions: every answer ends with what can hurt someone, by what the case holds and what came out.

use coolwright::answer::Answer;
use coolwright::render::{Extent, json};
use coolwright_cases::quantity::UnitSystem;

use crate::answered::{self, ANSWERS};

fn listed(answer: &Answer) -> Vec<String> {
    let tree = json::tree(answer);
    let all = tree["cautions"].as_array().expect("a list of cautions").iter();
    all.map(|caution| caution.as_str().expect("a string").to_owned()).collect()
}

#[test]
fn every_answer_ends_with_cautions() {
    for (name, answer) in ANSWERS.iter() {
        let text = answered::printed(answer, UnitSystem::Metric, &Extent::Short);
        let (_, last) = text.rsplit_once("\nCautions\n").expect("cautions");
        assert!(last.lines().count() <= 10 && !last.contains("\n\n"), "{name}: {last}");
        let listed = listed(answer);
        assert!(listed[0].contains("Estimates") && listed[1].contains("scalds"), "{listed:?}");
        assert!((3..=6).contains(&listed.len()), "{name}: {listed:?}");
        let said = last.matches("\n  - ").count() + 1;
        assert_eq!(said, listed.len(), "{name}");
    }
}

/// What a case does not hold is not warned of.
#[test]
fn cautions_know_the_case() {
    let of = |command: &str, case: &str| {
        listed(answered::answer(&format!("{command} {case}"))).join(" ")
    };
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
