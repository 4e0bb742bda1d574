//! Variants out of lists of values, against the same variants written one by one.

use serde_json::Value;

use crate::demos::variant;
use crate::levers::{of_text, with_variants};

fn names(compared: &Value) -> Vec<&str> {
    let all = compared["variants"].as_array().expect("variants");
    all.iter().filter_map(|variant| variant["name"].as_str()).collect()
}

/// The names of a list's variants, each equal to the bit to the one that is written by itself.
fn assert_same(listed: &str, alone: &[(&str, &str)]) {
    let (_, list) = of_text(&with_variants(listed), &["compare"], &[]);
    let written: Vec<String> = (alone.iter().enumerate())
        .map(|(k, (_, change))| format!("\"v{k}\": Variant(change: [{change}])"))
        .collect();
    let (_, one_by_one) = of_text(&with_variants(&written.join(", ")), &["compare"], &[]);
    let wanted: Vec<&str> =
        std::iter::once("as it stands").chain(alone.iter().map(|(name, _)| *name)).collect();
    assert_eq!(names(&list), wanted);
    let mut told = Vec::new();
    for (k, (name, _)) in alone.iter().enumerate() {
        let (of_list, own) = (variant(&list, name), variant(&one_by_one, &format!("v{k}")));
        for what in ["verdict", "limits", "results"] {
            assert_eq!(of_list[what], own[what], "{name}: {what}");
        }
        told.push(of_list["limits"].to_string());
    }
    told.dedup();
    assert_eq!(told.len(), alone.len(), "the values make a difference");
}

#[test]
fn each_value_makes_a_variant() {
    assert_same(
        "\"return\": Variant(change: [(\"drive/loop/return:bore\", Each([\"16 mm\", \"25 mm\"]))])",
        &[
            ("return 16 mm", "(\"drive/loop/return:bore\", \"16 mm\")"),
            ("return 25 mm", "(\"drive/loop/return:bore\", \"25 mm\")"),
        ],
    );
}

/// Lists of one variant go in step, and stand beside what is no list; what has no quotation marks may be listed too.
#[test]
fn lists_go_in_step() {
    assert_same(
        "\"both\": Variant(change: [(\"drive/loop/return:bore\", Each([\"16 mm\", \"25 mm\"])), \
         (\"drive/loop/pump:count\", Each([Series(2), Parallel(2)])), (\"site:air\", \"20 °C\")])",
        &[
            (
                "both 16 mm, Series(2)",
                "(\"drive/loop/return:bore\", \"16 mm\"), (\"drive/loop/pump:count\", Series(2)), (\"site:air\", \"20 °C\")",
            ),
            (
                "both 25 mm, Parallel(2)",
                "(\"drive/loop/return:bore\", \"25 mm\"), (\"drive/loop/pump:count\", Parallel(2)), (\"site:air\", \"20 °C\")",
            ),
        ],
    );
}

#[test]
fn lists_combine_on_request() {
    let one = |bore: &str, air: &str| {
        format!("(\"drive/loop/return:bore\", \"{bore}\"), (\"site:air\", \"{air}\")")
    };
    let all = [("16 mm", "10 °C"), ("16 mm", "20 °C"), ("25 mm", "10 °C"), ("25 mm", "20 °C")];
    let changes: Vec<String> = all.iter().map(|(bore, air)| one(bore, air)).collect();
    let named: Vec<String> = all.iter().map(|(bore, air)| format!("b {bore}, {air}")).collect();
    let alone: Vec<(&str, &str)> =
        named.iter().zip(&changes).map(|(name, change)| (name.as_str(), change.as_str())).collect();
    assert_same(
        "\"b\": Variant(combine: true, change: [(\"drive/loop/return:bore\", Each([\"16 mm\", \"25 mm\"])), \
         (\"site:air\", Each([\"10 °C\", \"20 °C\"]))])",
        &alone,
    );
}

/// The name in the file chooses all of a list, the name of one that one, here and in `point`.
#[test]
fn a_list_is_chosen_whole_or_one_by_one() {
    let text = with_variants(
        "\"a\": Variant(change: [(\"site:air\", Each([\"10 °C\", \"20 °C\"]))]), \
         \"c\": Variant(change: [(\"site:air\", \"5 °C\")])",
    );
    let (_, whole) = of_text(&text, &["compare"], &["--variant", "a"]);
    assert_eq!(names(&whole), ["as it stands", "a 10 °C", "a 20 °C"]);
    let (_, one) = of_text(&text, &["compare"], &["--variant", "a 20 °C"]);
    assert_eq!(names(&one), ["as it stands", "a 20 °C"]);
    let (_, point) = of_text(&text, &["point"], &["--variant", "a 20 °C"]);
    assert_eq!(point["variant"], "a 20 °C");
    let air = &point["results"]["cores/core:air_in"]["value"];
    assert!((air.as_f64().expect("a number") - 293.15).abs() < 1e-9, "{air}");
}

#[test]
fn a_misspelt_each_is_told_what_was_meant() {
    for word in ["each", "Eahc", "EACH"] {
        let text = with_variants(&format!(
            "\"a\": Variant(change: [(\"site:air\", {word}([\"10 °C\", \"20 °C\"]))])"
        ));
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("case.ron");
        std::fs::write(&path, text).expect("a case");
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .args(["compare", path.to_str().expect("a path")])
            .output()
            .expect("the program runs");
        let said = String::from_utf8(output.stderr).expect("text");
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains("did you mean `Each`?"), "{said}");
    }
}
