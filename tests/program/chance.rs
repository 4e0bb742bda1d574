//! With what chance limits hold, against the same numbers written into the file, and chances known in closed form.

use serde_json::Value;

use crate::demos::{variant, within};
use crate::levers::{number, of_text, printed, rows, sections};
use crate::size::system;

/// The first case with a `chance` and with variants.
fn first(chance: &str, variants: &str) -> String {
    let text = include_str!("../../cases/first.ron");
    let (before, _) = text.split_once("    variants: {").expect("it has variants");
    format!("{before}    variants: {{ {variants} }},\n    chance: {chance},\n)\n")
}

/// Numbers of every kind that a tolerance may be on: of a part, a core, the site, a phase; and assumptions, some of which
/// follow from the air.
const OF: &str = "Chance(of: [
    Tolerance(at: \"drive/loop/pump:speed\", spread: Normal(\"5 %\")),
    Tolerance(at: \"drive/loop:bore\", spread: Triangular(\"1 mm\")),
    Tolerance(at: \"site:air\", spread: Between(\"15 °C\", \"40 °C\")),
    Tolerance(at: \"duty/pull:time\", spread: Uniform(\"10 %\")),
], without: [\"laws\"])";

/// A drawn case is the variant that it names: every limit has the same value to the last bit.
fn each_is_its_variant(more: &[&str], compared: &[&str], value: &str) {
    let (_, chance) = of_text(&first(OF, ""), &["chance"], &[more, &["--samples", "8"]].concat());
    let drawn = rows(sections(&chance, "draws")[0]);
    assert_eq!(drawn.len(), 8);
    let named = drawn.iter().enumerate().map(|(k, row)| {
        format!("\"draw_{k}\": Variant(change: {})", row["variant"].as_str().expect("a text"))
    });
    let variants: Vec<String> = named.collect();
    let text = first("Chance()", &variants.join(",\n"));
    let (_, compared) = of_text(&text, &["compare"], compared);
    let mut held = 0;
    for (k, row) in drawn.iter().enumerate() {
        let of = variant(&compared, &format!("draw_{k}"));
        assert_eq!(row["holds"] == "true", of["verdict"] == "holds", "{k}");
        for limit in of["limits"]["tables"][0]["rows"].as_array().expect("limits") {
            let name = limit["limit"].as_str().expect("a name");
            let (told, is) = (number(&row[name]), number(&limit[value]));
            assert_eq!(told.map(f64::to_bits), is.map(f64::to_bits), "{k}: {name}");
            let kept = limit["standing"] == "kept";
            assert_eq!(row[&format!("{name} holds")] == "true", kept, "{k}: {name}");
            held += usize::from(is.is_some());
        }
    }
    assert!(held >= 8 * 4, "{held}");
    // No two are alike, and what is assumed of the start follows the air.
    let speeds: Vec<u64> = drawn
        .iter()
        .map(|row| number(&row["drive/loop/pump:speed"]).expect("a speed").to_bits())
        .collect();
    assert!((0..8).all(|k| !speeds[..k].contains(&speeds[k])), "{speeds:?}");
}

#[test]
fn a_drawn_case_is_the_variant_that_it_names() {
    each_is_its_variant(&["--point"], &["--point"], "value");
}

#[test]
fn a_drawn_case_is_the_variant_that_it_names_over_a_cycle_too() {
    each_is_its_variant(&[], &[], "worst");
}

/// The system of a textbook with a resistance that is equally likely from 20 to 40 kPa at 10 L/s, all else known exactly.
/// Its flow falls with the resistance, and keeps its limit up to 3 m of water: so the chance is that of less than that,
/// and half of all flows lie above that of 30 kPa.
#[test]
fn a_chance_of_one_number_is_its_share_of_the_spread() {
    let text = system("", (5.0_f64 / 0.11).sqrt());
    let (before, _) = text.rsplit_once(')').expect("an end");
    let chance = "chance: Chance(samples: 1024, of: [Tolerance(at: \"water/line/system:fall\",
        spread: Between(\"20 kPa\", \"40 kPa\"))], without: [\"laws\", \"assumptions\"])";
    let (_, answer) = of_text(&format!("{before}    {chance},\n)\n"), &["chance"], &[]);
    let limit = &rows(sections(&answer, "limits")[0]).iter().find(|row| row["limit"] == "flow");
    let limit = limit.expect("the limit");
    let wanted = (3.0 * 998.21 * 9.80665 / 1e3 - 20.0) / 20.0;
    // Points of the sequence in one dimension: two draws of 512 are off by 1/512 at most, and a little by the flow's own
    // digits.
    within("chance", number(&limit["chance"]).expect("a chance"), wanted - 0.004, wanted + 0.004);
    // Q = √(5/(0.08 + k)) in L/s, k the resistance in m at 1 L/s: the median is that of 30 kPa, the 5 % that of 39 kPa.
    for (column, kpa) in [("middle", 30.0), ("low", 39.0), ("high", 21.0)] {
        let metres = kpa * 1e3 / (998.21 * 9.80665);
        let flow = (5.0 / (0.08 + metres / 100.0_f64)).sqrt() / 1e3;
        within(column, number(&limit[column]).expect("a flow"), 0.998 * flow, 1.002 * flow);
    }
    // One number drives all of it, alone and in all.
    let drivers = rows(sections(&answer, "drivers")[0]);
    assert_eq!(drivers.len(), 1);
    for share in ["alone_share", "in_all_share"] {
        let (of, off) = (
            number(&drivers[0][share]),
            number(&drivers[0][&share.replace("share", "half_width")]),
        );
        within(share, of.expect("a share"), 1.0 - off.expect("±"), 1.0 + off.expect("±"));
    }
}

/// Laws alone: with everything else exact the values of a limit scatter around that of the case as its ± says, 5 and 95 %
/// being 1.645 standard deviations off, of which two make a ±.
#[test]
fn laws_scatter_as_their_uncertainty_says() {
    let text = first("Chance(samples: 2048, without: [\"assumptions\"])", "");
    let (_, chance) = of_text(&text, &["chance"], &["--point"]);
    let (_, point) = of_text(&text, &["point"], &[]);
    let of = |answer: &Value, section: &str| {
        let found = rows(sections(answer, section)[0]).iter();
        found.clone().find(|row| row["limit"] == "inverter_feed").expect("the limit").clone()
    };
    let (limit, wanted) = (of(&chance, "limits"), of(&point, "limits"));
    let half = number(&wanted["value_uncertainty"]).expect("±");
    let value = number(&wanted["value"]).expect("a value");
    for (column, times) in [("low", -1.645), ("middle", 0.0), ("high", 1.645)] {
        let at = value + times * 0.5 * half;
        within(
            column,
            number(&limit[column]).expect("a value"),
            at - 0.05 * half,
            at + 0.05 * half,
        );
    }
}

/// Heat that some cases boil of: they are counted and told, and count as broken.
#[test]
fn cases_that_boil_count_as_broken() {
    let chance = "Chance(samples: 32, of: [Tolerance(at: \"coolers/motor:share\",
        spread: Between(\"1 %\", \"100 %\"))], without: [\"laws\", \"assumptions\"])";
    let (_, answer) = of_text(&first(chance, ""), &["chance"], &["--point"]);
    let drawn = rows(sections(&answer, "draws")[0]);
    let boils = |row: &&Value| row["no boiling in drive holds"] == "false";
    let count = drawn.iter().filter(boils).count();
    assert!(count > 4 && count < 32, "{count}");
    assert!(drawn.iter().filter(boils).all(|row| row["holds"] == "false"));
    let limit = rows(sections(&answer, "limits")[0]).iter();
    let limit = limit.clone().find(|row| row["limit"] == "no boiling in drive").expect("it");
    assert_eq!(number(&limit["kept"]).or(limit["kept"].as_f64()), Some(32.0 - count as f64));
    assert_eq!(limit["cases"], 32);
}

#[test]
fn the_same_bytes_come_from_one_thread_and_from_three() {
    for words in [
        &["chance", "cases/tolerances.ron", "--samples", "32", "--json"][..],
        &["chance", "cases/first.ron", "--samples", "8", "--full"],
    ] {
        assert_eq!(printed("1", words), printed("3", words), "{words:?}");
    }
}

/// A row for each drawn case, with its numbers, in the units asked for.
#[test]
fn every_drawn_case_is_in_the_table() {
    let words = ["chance", "cases/tolerances.ron", "--samples", "6", "--csv", "-", "--units", "us"];
    let text = String::from_utf8(printed("1", &words)).expect("text");
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let head = table.headers().expect("a head").clone();
    let column = |name: &str| head.iter().position(|of| of == name).expect("a column");
    let (air, unit) = (column("site:air"), column("site:air unit"));
    let all: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
    assert_eq!(all.len(), 6);
    for row in &all {
        // 22 °C to 38 °C.
        within("air, °F", row[air].parse().expect("a number"), 71.6, 100.4);
        assert_eq!(&row[unit], "°F");
    }
}

#[test]
fn what_cannot_be_drawn_is_refused() {
    for (words, hint) in [
        (&["cases/first.ron", "--samples", "1"][..], "from 2 to 131072 cases"),
        (&["cases/first.ron", "--samples", "many"], "invalid value 'many'"),
    ] {
        let said = String::from_utf8(printed("1", &[&["chance"], words].concat())).expect("text");
        assert!(said.contains(hint), "{words:?}: {said}");
    }
    let exact = first("Chance(without: [\"laws\", \"assumptions\"])", "");
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("case.ron");
    std::fs::write(&path, exact).expect("a case");
    let said = printed("1", &["chance", path.to_str().expect("a path")]);
    let said = String::from_utf8(said).expect("text");
    assert!(said.contains("nothing is uncertain in this case"), "{said}");
}
