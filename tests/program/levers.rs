//! Which change moves which limit most, against the same changes written into the file.

use std::process::Command;

use serde_json::Value;

use crate::demos::{ask, variant, within};

/// The sections of a name.
pub(crate) fn sections<'a>(answer: &'a Value, name: &str) -> Vec<&'a Value> {
    let all = answer["sections"].as_array().expect("sections");
    all.iter().filter(|section| section["name"] == name).collect()
}

/// The rows of the only table of a section.
pub(crate) fn rows(section: &Value) -> &[Value] {
    section["tables"][0]["rows"].as_array().expect("rows")
}

/// A number, bare or with its kind.
pub(crate) fn number(cell: &Value) -> Option<f64> {
    cell.as_f64().or_else(|| cell["value"].as_f64())
}

/// Writes a case beside the demos' parts and asks a question of it.
pub(crate) fn of_text(text: &str, before: &[&str], behind: &[&str]) -> (i32, Value) {
    let folder = tempfile::tempdir().expect("a folder");
    let parts = concat!(env!("CARGO_MANIFEST_DIR"), "/cases/parts.ron");
    std::fs::copy(parts, folder.path().join("parts.ron")).expect("the parts");
    let path = folder.path().join("case.ron");
    std::fs::write(&path, text).expect("a case that can be written");
    ask(&[before, &[path.to_str().expect("a path")], behind].concat())
}

/// What the program prints with a number of threads.
pub(crate) fn printed(threads: &str, words: &[&str]) -> Vec<u8> {
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(words)
        .env("RAYON_NUM_THREADS", threads)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    [output.stdout, output.stderr].concat()
}

/// The first case with other variants.
pub(crate) fn with_variants(variants: &str) -> String {
    let text = include_str!("../../cases/first.ron");
    let (before, _) = text.split_once("    variants: {").expect("it has variants");
    format!("{before}    variants: {{ {variants} }},\n)\n")
}

/// Every change of the first case as a variant of it: every limit has the same worst value to the last bit, and the case
/// stands as it does there.
#[test]
fn every_lever_is_the_variant_that_it_names() {
    let (code, levers) = ask(&["levers", "cases/first.ron"]);
    assert_eq!(code, 1, "the case as it stands is broken");
    let changes = rows(sections(&levers, "changes")[0]);
    assert!(changes.len() >= 12, "{}", changes.len());
    let text = |row: &Value| row["variant"].as_str().expect("a text").to_owned();
    let named = changes.iter().enumerate();
    let variants: Vec<String> =
        named.map(|(k, row)| format!("\"lever_{k}\": Variant(change: {})", text(row))).collect();
    let (_, compared) = of_text(&with_variants(&variants.join(",\n")), &["compare"], &[]);
    let mut held = 0;
    for section in sections(&levers, "levers") {
        let limit = section["of"].as_str().expect("a limit");
        for row in rows(section) {
            let k = changes.iter().position(|of| text(of) == text(row)).expect("the change");
            let written = variant(&compared, &format!("lever_{k}"));
            let limits = written["limits"]["tables"][0]["rows"].as_array().expect("limits");
            let of_limit = limits.iter().find(|of| of["limit"] == limit).expect("the limit");
            let worst = number(&of_limit["worst"]).expect("a value");
            let told = number(&row["value_after"]).expect("a value");
            assert_eq!(told.to_bits(), worst.to_bits(), "{limit} {}", text(row));
            assert_eq!(row["standing_after"], of_limit["standing"], "{limit} {}", text(row));
            assert_eq!(row["case_after"], written["verdict"], "{}", text(row));
            held += 1;
        }
    }
    assert_eq!(held, 2 * changes.len(), "both limits of the case under every change");
}

/// A bore and a count written into the text of the file itself, without any variant.
#[test]
fn a_lever_is_the_file_with_its_change() {
    let guide = include_str!("../../cases/guide/5_variants.ron");
    let of_far = "\"far\": Run(from: \"spreader\", to: \"collector\", bore: \"16 mm\"";
    let of_fans = "\"fan\": Fan(count: 2,";
    let edits = [
        ("charge/far:bore", of_far, of_far.replace("16 mm", "19 mm")),
        ("air_paths/front/fan:count", of_fans, of_fans.replace('2', "3")),
    ];
    let (_, levers) = ask(&["levers", "cases/guide/5_variants.ron"]);
    for (address, was, is) in edits {
        assert_eq!(guide.matches(was).count(), 1, "{was}");
        let (_, edited) = of_text(&guide.replace(was, &is), &["point"], &[]);
        let limits = rows(sections(&edited, "limits")[0]);
        for section in sections(&levers, "levers") {
            let row = rows(section).iter().find(|row| row["address"] == address).expect("a row");
            let limit = limits.iter().find(|of| of["limit"] == section["of"]).expect("a limit");
            let (told, got) = (number(&row["value_after"]), number(&limit["value"]));
            assert_eq!(told.map(f64::to_bits), got.map(f64::to_bits), "{address} {limit}");
        }
    }
}

/// The demo's own answer, known by hand (`demos.rs`): behind the first a second pump lifts 12.1 to 17.3 L/min, beside it
/// to 12.3; so the one leads the list and makes the case hold, and the other does not.
#[test]
fn the_best_lever_stands_first_and_what_it_costs_beside_it() {
    let (_, levers) = ask(&["levers", "cases/first.ron", "--limit", "inverter_flow"]);
    let sections = sections(&levers, "levers");
    let [section] = &sections[..] else { panic!("one limit was asked for") };
    let rows = rows(section);
    let first = &rows[0];
    assert!(first["variant"].as_str().expect("a text").contains("Series(2)"), "{first:#}");
    assert_eq!(
        (&first["standing_before"], &first["standing_after"]),
        (&"broken".into(), &"kept".into())
    );
    assert_eq!(first["case_after"], "holds");
    let gain = number(&first["gain"]).expect("a gain") * 60e3;
    within("gain of a pump behind, L/min", gain, 17.3 - 12.1 - 0.4, 17.3 - 12.1 + 0.4);
    let beside =
        rows.iter().find(|row| row["variant"].as_str().expect("a text").contains("Parallel(2)"));
    let beside = number(&beside.expect("it was tried")["gain"]).expect("a gain") * 60e3;
    within("gain of a pump beside, L/min", beside, 0.0, 0.4);
    // One more pump draws as much again: 13.5 V on a supply of it, so the current goes with the power on the label.
    let draws = number(&first["draws"]).expect("a current");
    assert!(draws > 1.0 && draws < 10.0, "{draws} A");
    let margins: Vec<f64> = rows.iter().filter_map(|row| number(&row["margin_after"])).collect();
    assert!(margins.windows(2).all(|pair| pair[0] >= pair[1]), "{margins:?}");
}

/// Where only air can help, that is said: a core that is rated for a great deal of coolant and gets it, with a fan behind
/// it that gives little.
#[test]
fn used_up_air_is_told() {
    let (_, levers) = ask(&["levers", "cases/guide/5_variants.ron", "--limit", "engine_out"]);
    let section = sections(&levers, "levers")[0];
    let said = section["says"][0]["text"].as_str().expect("a sentence");
    assert!(said.contains("The air is used up"), "{said}");
    let best = |side: &str| {
        let of_side = rows(section).iter().filter(|row| row["side"] == side);
        of_side.filter_map(|row| number(&row["gain"])).fold(0.0, f64::max)
    };
    assert!(best("coolant") < 0.1 * best("air"), "{} {}", best("coolant"), best("air"));
}

#[test]
fn a_misspelt_limit_is_refused_with_the_nearest_name() {
    let said =
        String::from_utf8(printed("1", &["levers", "cases/first.ron", "--limit", "inverter_fed"]))
            .expect("text");
    assert!(said.contains("Did you mean `inverter_feed`?"), "{said}");
}

/// Any number of threads gives the same bytes.
#[test]
fn studies_do_not_depend_on_threads() {
    let guide = "cases/guide/5_variants.ron";
    for words in [
        &["levers", guide][..],
        &["levers", guide, "--csv", "-"],
        &["size", guide, "charge/far:bore", "--full"],
        &["failures", guide, "--json"],
    ] {
        assert_eq!(printed("1", words), printed("3", words), "{words:?}");
    }
}

/// Every row of the tables is in the CSV, with its unit behind each number.
#[test]
fn what_is_told_is_in_the_csv() {
    let words = ["levers", "cases/first.ron", "--csv", "-", "--units", "us"];
    let text = String::from_utf8(printed("2", &words)).expect("text");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings = reader.headers().expect("headings").clone();
    let place = |name: &str| headings.iter().position(|of| of == name).expect(name);
    let (_, levers) = ask(&["levers", "cases/first.ron"]);
    let all: Vec<&Value> = sections(&levers, "levers").into_iter().flat_map(rows).collect();
    let records: Vec<csv::StringRecord> = reader.records().map(|of| of.expect("a row")).collect();
    assert_eq!(records.len(), all.len());
    for (record, row) in records.iter().zip(all) {
        assert_eq!(&record[place("variant")], row["variant"].as_str().expect("a text"));
        let Some(gain) = number(&row["gain"]) else { continue };
        let factor = match &record[place("gain unit")] {
            "gpm" => 60.0 / 3.785411784e-3,
            "°F" => 1.8,
            other => panic!("{other}"),
        };
        let told: f64 = record[place("gain")].parse().expect("a number");
        assert!((told - factor * gain).abs() <= 1e-6 * told.abs(), "{told} {gain}");
    }
}
