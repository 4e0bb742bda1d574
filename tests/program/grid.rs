//! Many cases in rows: against the same numbers in the file, killed and taken up again, in pieces and joined.

use std::path::Path;
use std::process::{Command, Output};

use crate::demos::{ask, variant, within};
use crate::levers::{number, rows, sections};

/// Runs the program in the folder of the project.
pub(crate) fn run(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(words)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs")
}

pub(crate) fn said(output: &Output) -> String {
    String::from_utf8([output.stdout.clone(), output.stderr.clone()].concat()).expect("text")
}

pub(crate) const CASE: &str = "cases/guide/5_variants.ron";
pub(crate) const OVER: [&str; 4] = [
    "--over",
    "charge/far:bore=16 mm..20 mm by 1 mm",
    "--over",
    "charge/feed/pump:count=1,Series(2),Parallel(2)",
];

pub(crate) fn grid(more: &[&str]) -> Output {
    run(&[&["grid", CASE][..], &OVER, more].concat())
}

/// The records of a file by the names of its header.
pub(crate) fn table(path: &Path) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_path(path).expect("a file");
    let own = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect();
    let head = own(reader.headers().expect("a header"));
    (head, reader.records().map(|record| own(&record.expect("a row"))).collect())
}

/// Rows are the variants of the guide: a bore and a count, with their verdicts and values.
#[test]
fn every_row_is_the_variant_that_it_names() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("grid.csv");
    let output = grid(&["-o", path.to_str().expect("a path"), "--units", "si"]);
    let (head, all) = table(&path);
    assert_eq!((output.status.code(), all.len()), (Some(1), 15), "{}", said(&output));
    let column = |name: &str| head.iter().position(|of| of == name).expect(name);
    let find = |bore: f64, count: &str| {
        let row = all.iter().find(|row| {
            let of: f64 = row[column("charge/far:bore [m]")].parse().expect("a bore");
            (of - bore).abs() < 1e-9 && row[column("charge/feed/pump:count")] == count
        });
        row.expect("the case").clone()
    };
    let (_, compared) = ask(&["compare", CASE]);
    for (name, row) in [
        ("as it stands", find(0.016, "1")),
        ("wide_far", find(0.019, "1")),
        ("second_pump", find(0.016, "Series(2)")),
    ] {
        let of = variant(&compared, name);
        assert_eq!(row[column("verdict")], of["verdict"].as_str().expect("a word"), "{name}");
        for limit in of["limits"]["tables"][0]["rows"].as_array().expect("limits") {
            let limit_name = limit["limit"].as_str().expect("a name");
            let at = head
                .iter()
                .position(|of| of == limit_name || of.starts_with(&format!("{limit_name} [")));
            let told = &row[at.expect(limit_name)];
            let Some(is) = number(&limit["value"]) else { continue };
            // Seven digits.
            let told: f64 = told.parse().expect("a number");
            within(limit_name, told, is - 1e-6 * is.abs(), is + 1e-6 * is.abs());
            let standing = &row[column(&format!("{limit_name} standing"))];
            assert_eq!(standing, limit["standing"].as_str().expect("a word"), "{limit_name}");
        }
    }
    // The words count what the rows say.
    let (code, answer) = ask(&[&["grid", CASE][..], &OVER].concat());
    let count = |word: &str| all.iter().filter(|row| row[column("verdict")] == word).count();
    let words = sections(&answer, "verdict")[0]["says"][0]["text"].as_str().expect("words");
    let wanted = format!("{} of 15 cases hold; {} are broken", count("holds"), count("broken"));
    assert!(code == 1 && words.contains(&wanted), "{words}");
    let limit = rows(sections(&answer, "limits")[0]).iter();
    let limit = limit.clone().find(|row| row["limit"] == "port_split").expect("the limit");
    let values = all.iter().map(|row| row[column("port_split")].parse::<f64>().expect("a value"));
    let most = values.fold(0.0, f64::max);
    within("worst split", number(&limit["worst"]).expect("a value"), most - 1e-6, most + 1e-6);
}

/// Cut anywhere, a file goes on where it is whole, and ends as if nothing had happened.
#[test]
fn a_file_that_was_cut_anywhere_is_completed_to_the_same_bytes() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("grid.csv");
    let name = path.to_str().expect("a path");
    grid(&["-o", name]);
    let whole = std::fs::read(&path).expect("rows");
    let lines: Vec<usize> = (0..whole.len()).filter(|k| whole[*k] == b'\n').collect();
    assert_eq!(lines.len(), 16);
    // Within the header, at its end, within a row, one byte before and at the end of a row, a digit before the seal.
    for cut in
        [10, lines[0] + 1, lines[3] + 40, lines[5], lines[5] + 1, lines[9] - 14, whole.len() - 1]
    {
        std::fs::write(&path, &whole[..cut]).expect("a cut file");
        let output = grid(&["-o", name]);
        assert_eq!(output.status.code(), Some(1), "{cut}: {}", said(&output));
        assert!(std::fs::read(&path).expect("rows") == whole, "cut at {cut}");
    }
    // A row that was changed by a digit is no row of it: it and what is behind it are made anew.
    let mut other = whole.clone();
    let at = lines[6] + 12;
    other[at] = if other[at] == b'1' { b'2' } else { b'1' };
    std::fs::write(&path, &other).expect("a changed file");
    grid(&["-o", name]);
    assert!(std::fs::read(&path).expect("rows") == whole);
    // Of another grid nothing is touched.
    let output = run(&["grid", CASE, "--over", "charge/far:bore=16 mm", "-o", name]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("something else than these cases"), "{}", said(&output));
    assert!(std::fs::read(&path).expect("rows") == whole);
}

#[test]
fn pieces_joined_in_any_order_are_the_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let name = |name: &str| folder.path().join(name).to_str().expect("a path").to_owned();
    let (whole, joined) = (name("whole.csv"), name("joined.csv"));
    let output = grid(&["-o", &whole]);
    let pieces: Vec<String> = (1..=4).map(|k| name(&format!("{k}.csv"))).collect();
    for (k, piece) in pieces.iter().enumerate() {
        grid(&["-o", piece, "--piece", &format!("{}/4", k + 1)]);
    }
    let [a, b, c, d] = [&pieces[0], &pieces[1], &pieces[2], &pieces[3]].map(String::as_str);
    let together = grid(&["-o", &joined, "--join", c, a, d, b]);
    assert_eq!(said(&output), said(&together));
    let bytes = |path: &str| std::fs::read(path).expect("rows");
    assert!(bytes(&whole) == bytes(&joined));
    // One is missing, one is there twice, one is cut.
    for (pieces, hint) in [
        (vec![a, b, d], "goes on with case"),
        (vec![a, b, c], "are missing"),
        (vec![a, b, b, c, d], "goes on with case"),
    ] {
        // What is not whole is not left under the name of what is.
        let half = name("half.csv");
        let output = grid(&[&["-o", &half, "--join"][..], &pieces].concat());
        assert_eq!(output.status.code(), Some(2));
        assert!(said(&output).contains(hint), "{}", said(&output));
        assert!(!Path::new(&half).exists(), "{}", said(&output));
    }
    let cut = bytes(b);
    std::fs::write(b, &cut[..cut.len() - 3]).expect("a cut piece");
    let output = grid(&["--join", a, b, c, d]);
    assert!(said(&output).contains("is not whole"), "{}", said(&output));
}

/// Where a limit is broken without a value, as where the coolant boils, nothing is worse; and what was not judged, as in a
/// cycle that boiling ended, is not the best.
#[test]
fn nothing_is_worse_than_what_boils() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rows.csv");
    let over = ["--over", "charge/feed/pump:speed=100 %,0 %"];
    let file = ["--json", "-o", path.to_str().expect("a path")];
    let output = run(&[&["grid", "cases/sled_tractor.ron"][..], &over, &file].concat());
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let (head, all) = table(&path);
    let column = |name: &str| head.iter().position(|of| of == name).expect(name);
    let (mut boiled, mut ended) = (0, 0);
    for row in rows(sections(&answer, "limits")[0]) {
        let name = row["limit"].as_str().expect("a name");
        let at = column(&format!("{name} standing"));
        let standing = |case: usize| all[case][at].as_str();
        assert_eq!(standing(0), "kept", "{name}: with the pump on it holds");
        if standing(1) == "broken" && all[1][at - 1].is_empty() {
            boiled += 1;
            assert_eq!((&row["worst"], number(&row["worst_case"])), (&"broken".into(), Some(2.0)));
        }
        if standing(1) == "not_judged" {
            ended += 1;
            assert_eq!(number(&row["best_case"]), Some(1.0), "{name}");
        }
    }
    assert!(boiled > 0 && ended > 0, "{boiled} boil, {ended} are not judged");
}

#[test]
fn a_table_gives_cases_line_by_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("cases.csv");
    std::fs::write(&path, "charge/far:bore,air_paths/front/fan:count\n16 mm,2\n19 mm,\n,3\n")
        .expect("it");
    let out = folder.path().join("rows.csv");
    let words = ["--table", path.to_str().expect("a path"), "-o", out.to_str().expect("a path")];
    let output = run(&[&["grid", CASE][..], &words].concat());
    let (head, all) = table(&out);
    let column = |name: &str| head.iter().position(|of| of == name).expect(name);
    assert_eq!(all.len(), 3, "{}", said(&output));
    let verdicts: Vec<&str> = all.iter().map(|row| row[column("verdict")].as_str()).collect();
    // As it stands, `wide_far` and `more_fans` of the guide.
    assert_eq!(verdicts, ["broken", "holds", "broken"]);
    assert_eq!(all[1][column("air_paths/front/fan:count")], "");
}

#[test]
fn the_same_bytes_come_from_one_thread_and_from_three() {
    let with = |threads: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .args([&["grid", CASE][..], &OVER, &["-o", "-", "--units", "us"]].concat())
            .env("RAYON_NUM_THREADS", threads)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output();
        output.expect("the program runs").stdout
    };
    let one = with("1");
    assert!(one.len() > 1000 && one == with("3"));
    assert!(String::from_utf8(one).expect("text").contains("charge_feed [°F]"));
}

#[test]
fn what_cannot_be_varied_is_refused_with_a_hint() {
    for (words, hint) in [
        (&["--over", "charge/far:bore"][..], "has no `=`"),
        (&["--over", "charge/fer:bore=16 mm"], "did you mean `charge/far:bore`"),
        (&["--over", "charge/far:bore=16 mm,2 gpm"], "expected a length"),
        (&["--over", "charge/far:bore=16 mm..20 mm by 1 K"], "expected a length"),
        (
            &["--over", "charge/far:bore=20 mm..16 mm by 1 mm"],
            "from the smaller value to the larger",
        ),
        (&["--over", "charge/far:bore=900 mm"], "must lie between"),
        (&["--over", "charge/far:bore=16 mm", "--over", "charge/far:bore=19 mm"], "varied twice"),
        (&["--over", "charge/far:bore=16 mm", "--piece", "6/5"], "is no piece"),
        (&[], "what is to be varied?"),
        (&["--table", "cases/none.csv"], "there is no such file"),
    ] {
        let output = run(&[&["grid", CASE][..], words].concat());
        assert_eq!(output.status.code(), Some(2), "{words:?}");
        let said = said(&output);
        assert!(said.to_lowercase().contains(&hint.to_lowercase()), "{words:?}: {said}");
    }
}

/// What cannot be solved has a row too, with the reason, and is counted.
#[test]
fn a_case_that_cannot_be_solved_has_a_row() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("rows.csv");
    // In a table values are met one by one: 60 °C air is all that the file allows, a bore of 900 mm is not.
    let table_path = folder.path().join("cases.csv");
    std::fs::write(&table_path, "charge/far:bore\n19 mm\n900 mm\n").expect("it");
    let words =
        ["--table", table_path.to_str().expect("a path"), "-o", out.to_str().expect("a path")];
    let output = run(&[&["grid", CASE][..], &words].concat());
    let (head, all) = table(&out);
    let column = |name: &str| head.iter().position(|of| of == name).expect(name);
    assert_eq!(all[1][column("verdict")], "unsolved");
    assert!(all[1][column("why")].contains("must lie between"), "{:?}", all[1]);
    assert!(said(&output).contains("1 could not be solved"), "{}", said(&output));
    // So it is in a list, where another value of it may stand.
    let words = ["--over", "charge/far:bore=19 mm,900 mm", "-o", out.to_str().expect("a path")];
    run(&[&["grid", CASE][..], &words].concat());
    let (_, all) = table(&out);
    assert!(all.len() == 2 && all[1][column("why")].contains("must lie between"), "{all:?}");
}
