//! Workbooks of answers, read back by a general library and held to the JSON and CSV of the same answer.

use std::path::Path;
use std::process::Command;

use calamine::{Data, DataType, Range, Reader, Xlsx, open_workbook};
use serde_json::Value;

use crate::levers::number;

/// What a command prints, with its workbook in `book`.
fn made(words: &[&str], book: &Path) -> String {
    let done = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(words)
        .arg("--xlsx")
        .arg(book)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/cases"))
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&done.stderr);
    assert!(done.status.code().is_some_and(|code| code < 2), "{words:?}: {said}");
    String::from_utf8(done.stdout).expect("text")
}

fn sheet(book: &Path, name: &str) -> Range<Data> {
    let mut found: Xlsx<_> = open_workbook(book).expect("a workbook");
    found.worksheet_range(name).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn float(cell: Option<&Data>) -> Option<f64> {
    if let Some(Data::Float(value)) = cell { Some(*value) } else { None }
}

/// Every result of a point stands in the workbook with its ±, to the seven digits that are written.
#[test]
fn a_workbook_of_a_point_holds_every_result() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("point.xlsx");
    let said = made(&["point", "sled_tractor.ron", "--json", "--units", "si"], &book);
    let answer: Value = serde_json::from_str(&said).expect("JSON");
    let results = answer["results"].as_object().expect("results");
    let found = sheet(&book, "results");
    assert_eq!(found.height(), results.len() + 1);
    let near = |found: f64, wanted: f64| (found - wanted).abs() <= 1e-6 * wanted.abs();
    let mut with_uncertainty = 0;
    for row in found.rows().skip(1) {
        let address = row[0].to_string();
        let wanted = &results[&address];
        match number(&wanted["value"]) {
            Some(value) => assert!(float(row.get(1)).is_some_and(|x| near(x, value)), "{address}"),
            None => assert!(float(row.get(1)).is_none(), "{address}"),
        }
        if let Some(off) = number(&wanted["uncertainty"]) {
            assert!(float(row.get(2)).is_some_and(|x| near(x, off)), "{address}");
            with_uncertainty += 1;
        }
    }
    assert!(with_uncertainty > 100, "{with_uncertainty}");
}

/// The histories stand in the workbook as in the CSV of the same answer; a chart draws each unit.
#[test]
fn a_workbook_of_a_cycle_holds_the_histories_and_draws_them() {
    let folder = tempfile::tempdir().expect("a folder");
    let [book, again, csv] =
        ["one.xlsx", "two.xlsx", "one.csv"].map(|name| folder.path().join(name));
    let words = ["cycle", "sled_tractor.ron", "--units", "us", "--every", "5 s"];
    let table: Vec<&str> =
        words.iter().copied().chain(["--csv", csv.to_str().expect("text")]).collect();
    made(&table, &book);
    made(&words, &again);
    let bytes = |path: &Path| std::fs::read(path).expect("it is there");
    assert_eq!(bytes(&book), bytes(&again));
    let found = sheet(&book, "over time");
    let mut lines = csv::Reader::from_path(&csv).expect("CSV");
    assert_eq!(found.width(), lines.headers().expect("a header").len());
    let (mut rows, mut numbers) = (0, 0);
    for (line, row) in lines.records().map(|line| line.expect("a line")).zip(found.rows().skip(1)) {
        assert_eq!(row[1].to_string(), line[1]);
        for (cell, field) in row.iter().zip(&line).filter(|(cell, _)| cell.is_float()) {
            assert_eq!(float(Some(cell)), field.parse().ok());
            numbers += 1;
        }
        rows += 1;
    }
    assert_eq!(rows + 1, found.height());
    assert!(numbers > 2 * rows, "{numbers} in {rows} rows");
    let units: std::collections::BTreeSet<String> = found.rows().next().expect("a header")[2..]
        .iter()
        .map(|cell| cell.to_string().rsplit(", ").next().unwrap_or_default().to_owned())
        .collect();
    // Beside them a chart for each unit of the margins of limits.
    let margins = sheet(&book, "margins");
    let of_margins: std::collections::BTreeSet<String> =
        margins.rows().skip(1).map(|row| row[3].to_string()).collect();
    assert_eq!(charts(&book), units.len() + of_margins.len());
}

/// A row of a sheet that begins with these words, by the headings of the row above it that begins with `heads`.
fn row_of(
    found: &Range<Data>,
    heads: &str,
    begins: &str,
) -> std::collections::BTreeMap<String, Data> {
    let at = |words: &str| {
        let place = found.rows().position(|row| row[0] == words);
        place.unwrap_or_else(|| panic!("no row {words}"))
    };
    let (head, row) = (&found[at(heads)], &found[at(begins)]);
    let mut kept = std::collections::BTreeMap::new();
    let (mut last, mut seen) = (String::new(), 0);
    for (heading, cell) in head.iter().zip(row) {
        let heading = heading.to_string();
        let own = if ["±", "unit"].contains(&heading.as_str()) {
            format!("{last} {heading}")
        } else {
            heading.clone()
        };
        if own == heading {
            last = heading;
        }
        seen += 1;
        kept.insert(own, cell.clone());
    }
    assert!(seen > 3, "{kept:?}");
    kept
}

/// Bounds, margins and ± are numbers; times stand in seconds, and no heading says otherwise; margins are drawn.
#[test]
fn limits_stand_in_a_workbook_as_numbers_with_what_they_may_be_off_by() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("cycle.xlsx");
    made(&["cycle", "sled_tractor.ron", "--units", "si"], &book);
    let found = sheet(&book, "limits");
    let head = found.rows().find(|row| row[0] == "limit").expect("headings");
    let headings: Vec<String> = head.iter().map(ToString::to_string).collect();
    assert!(headings.iter().all(|heading| !heading.contains("min:s")), "{headings:?}");
    let margins = sheet(&book, "margins");
    let name = margins.rows().nth(1).expect("a limit")[0].to_string();
    let row = row_of(&found, "limit", &name);
    for number in ["worst", "worst ±", "bound as a number", "margin as a number", "when"] {
        assert!(row.get(number).is_some_and(DataType::is_float), "{number}: {row:?}");
    }
    let of = |heading: &str| float(row.get(heading)).expect("a number");
    let margin = (of("bound as a number") - of("worst")).abs();
    assert!((margin - of("margin as a number").abs()).abs() < 1e-4 * margin.max(1.0), "{row:?}");
    assert!(charts(&book) >= 2, "{}", charts(&book));
}

/// Variants side by side are numbers too, and have a chart for each limit.
#[test]
fn variants_stand_in_a_workbook_as_numbers() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("compare.xlsx");
    made(&["compare", "guide/5_variants.ron", "--units", "si"], &book);
    let limits = sheet(&book, "limits");
    let numbers = limits.rows().flatten().filter(|cell| cell.is_float()).count();
    assert!(numbers > 6, "{numbers}");
    let by_limit = sheet(&book, "by limit");
    let numbers = by_limit.rows().flatten().filter(|cell| cell.is_float()).count();
    assert!(numbers >= 6 && charts(&book) >= 1, "{numbers}");
}

/// How many charts a workbook holds: a part of the package each (ECMA-376).
fn charts(book: &Path) -> usize {
    let bytes = std::fs::read(book).expect("it is there");
    // The names of the parts stand in the directory at the end of the archive, uncompressed.
    let name = b"xl/charts/chart";
    let twice = bytes.windows(name.len()).filter(|window| window == name).count();
    twice / 2
}

/// Every command that answers writes one, and its sentences and tables have their sheets.
#[test]
fn every_command_writes_a_workbook() {
    let folder = tempfile::tempdir().expect("a folder");
    for (words, wanted) in [
        (&["check", "first.ron"][..], "findings"),
        (&["compare", "first.ron"], "limits"),
        (&["levers", "first.ron", "--point"], "levers"),
        (&["size", "first.ron", "drive:bore", "--point"], "tried"),
        (&["failures", "first.ron", "--point"], "failures"),
        (&["chance", "first.ron", "--point", "--samples", "64"], "drivers"),
        (&["why", "first.ron", "drive/loop:flow"], "rests on"),
        (&["grid", "first.ron", "--over", "site:air=20 °C,30 °C", "--point"], "limits"),
    ] {
        let book = folder.path().join("answer.xlsx");
        made(words, &book);
        let mut found: Xlsx<_> = open_workbook(&book).expect("a workbook");
        let names = found.sheet_names();
        assert!(names.iter().any(|name| name == wanted), "{words:?}: {names:?}");
        for name in names {
            found.worksheet_range(&name).expect("it reads");
        }
        std::fs::remove_file(&book).expect("it was there");
    }
}

/// Every row of a grid stands in its workbook as in its CSV, numbers as numbers; too many are refused before they are solved.
#[test]
fn a_workbook_of_a_grid_holds_its_rows() {
    let folder = tempfile::tempdir().expect("a folder");
    let [book, csv] = ["grid.xlsx", "grid.csv"].map(|name| folder.path().join(name));
    let over = ["grid", "first.ron", "--over", "site:air=20 °C,30 °C,40 °C", "--point"];
    let words = [&over[..], &["-o", csv.to_str().expect("text")]].concat();
    made(&words, &book);
    // The second time all rows are taken from the file.
    for _ in 0..2 {
        let found = sheet(&book, "rows");
        let mut lines = csv::ReaderBuilder::new().has_headers(false).from_path(&csv).expect("CSV");
        let (mut numbers, mut rows) = (0, 0);
        for (line, row) in lines.records().map(|line| line.expect("a line")).zip(found.rows()) {
            assert_eq!(line.len(), row.len());
            for (cell, field) in row.iter().zip(&line) {
                match float(Some(cell)) {
                    Some(number) => assert_eq!(Ok(number), field.parse()),
                    None => assert_eq!(cell.to_string(), field),
                }
                numbers += usize::from(cell.is_float());
            }
            rows += 1;
        }
        assert_eq!((rows, found.height()), (4, 4));
        assert!(numbers > 3 * 10, "{numbers}");
        made(&words, &book);
    }
    let many = ["grid", "first.ron", "--over", "site:air=10 °C..40 °C by 0.0005 K", "--point"];
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(many)
        .arg("--xlsx")
        .arg(&book)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/cases"))
        .output()
        .expect("the program runs");
    let said = String::from_utf8(output.stderr).expect("text");
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("at most 50000 rows") && said.contains("rows.parquet"), "{said}");
}
