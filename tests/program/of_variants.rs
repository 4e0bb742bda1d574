//! Studies of a variant, against the same studies of a file in which its changes are written.

use serde_json::Value;

use crate::demos::ask;
use crate::levers::of_text;

/// The sections of an answer but those that say what was asked, and what stands on the case's own lines.
fn told(answer: &Value) -> Vec<&Value> {
    let all = answer["sections"].as_array().expect("sections");
    let own = ["title", "judged_by", "mind", "draws", "inputs"];
    all.iter().filter(|section| !own.iter().any(|name| section["name"] == *name)).collect()
}

/// Two pumps behind one another and narrower hoses back, in a variant and in the file itself.
#[test]
fn a_study_of_a_variant_is_that_of_the_edited_file() {
    let text = include_str!("../../cases/first.ron");
    let (before, _) = text.split_once("    variants: {").expect("it has variants");
    let pump = "Pump(shut_off: \"50 kPa\", free_flow: \"60 L/min\")";
    let back = "\"return\":   Hose(length: \"3.0 m\"";
    assert_eq!((before.matches(pump).count(), before.matches(back).count()), (1, 1));
    let edited = before
        .replace(pump, "Pump(shut_off: \"50 kPa\", free_flow: \"60 L/min\", count: Series(2))")
        .replace(back, "\"return\":   Hose(bore: \"16 mm\", length: \"3.0 m\"");
    let edited = format!("{edited})\n");
    let varied = format!(
        "{before}    variants: {{ \"two\": Variant(change: [(\"drive/loop/pump:count\", Series(2)), \
         (\"drive/loop/return:bore\", \"16 mm\")]) }},\n)\n"
    );
    for words in [
        &["levers"][..],
        &["size", "cores/core:heat", "--point"],
        &["failures"],
        &["chance", "--point", "--samples", "32"],
        &["day"],
        &["grid", "--over", "site:air=20 °C,40 °C"],
    ] {
        let (code, own) = of_text(&edited, &words[..1], &words[1..]);
        let (of_variant, variant) =
            of_text(&varied, &words[..1], &[&words[1..], &["--variant", "two"]].concat());
        assert_eq!(code, of_variant, "{words:?}");
        assert_eq!(variant["variant"], "two", "{words:?}");
        let (own, variant) = (told(&own), told(&variant));
        assert!(own.len() > 1, "{words:?}");
        assert_eq!(own, variant, "{words:?}");
        let (_, plain) = of_text(&varied, &words[..1], &words[1..]);
        assert_ne!(told(&plain), variant, "{words:?}: the variant is another case");
    }
}

/// What a variant takes away is not missed, and a name that is none says which there are.
#[test]
fn a_variant_without_a_part_is_studied_too() {
    let (code, answer) =
        ask(&["levers", "cases/desert_racer.ron", "--point", "--variant", "one_pump"]);
    assert!(code < 2 && answer["variant"] == "one_pump");
    let (code, answer) = ask(&["day", "cases/first.ron", "--variant", "behnd"]);
    assert_eq!(code, 2);
    let said = answer.to_string();
    assert!(said.contains("behind") && said.contains("beside"), "{said}");
}
