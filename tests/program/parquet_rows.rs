//! Rows of a grid as Parquet, read back by the reader of a general library and held to the CSV of the same grid.

use std::collections::BTreeMap;
use std::fs::File;
use std::path::Path;
use std::process::Command;

use parquet::basic::Type;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field;

use crate::grid::{CASE, OVER, grid, run, said, table};

/// Headings with their types, and rows, as the library reads them.
fn read(path: &Path) -> (Vec<(String, Type)>, Vec<Vec<Field>>) {
    let reader = SerializedFileReader::new(File::open(path).expect("a file")).expect("Parquet");
    let schema = reader.metadata().file_metadata().schema_descr_ptr();
    let head = schema.columns().iter().map(|of| (of.name().to_owned(), of.physical_type()));
    let row = |row: Result<parquet::record::Row, _>| {
        row.expect("a row").into_columns().into_iter().map(|(_, field)| field).collect()
    };
    (head.collect(), reader.get_row_iter(None).expect("rows").map(row).collect())
}

fn bytes(path: &Path) -> Vec<u8> {
    std::fs::read(path).expect("a file")
}

fn name(path: &Path) -> &str {
    path.to_str().expect("a path")
}

/// The names in a folder.
fn listed(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("a folder");
    let name = |entry: std::io::Result<std::fs::DirEntry>| {
        entry.expect("an entry").file_name().into_string().expect("text")
    };
    let mut names: Vec<String> = entries.map(name).collect();
    names.sort();
    names
}

/// Each heading, number and word is that of the CSV; numbers are numbers; what is empty there is null.
#[test]
fn parquet_holds_what_the_csv_holds_in_typed_columns() {
    let folder = tempfile::tempdir().expect("a folder");
    let [rows, text] = ["rows.parquet", "rows.csv"].map(|name| folder.path().join(name));
    for units in ["si", "us"] {
        let told = [&rows, &text].map(|path| grid(&["-o", name(path), "--units", units]));
        assert_eq!(said(&told[0]), said(&told[1]));
        assert_eq!(listed(folder.path()), ["rows.csv", "rows.parquet"], "nothing else is left");
        let ((head, found), (headings, wanted)) = (read(&rows), table(&text));
        let names: Vec<&str> = head.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!((names, found.len()), (headings.iter().map(String::as_str).collect(), 15));
        let (mut numbers, mut empty) = (0, 0);
        for (row, texts) in found.iter().zip(&wanted) {
            for ((field, text), (heading, kind)) in row.iter().zip(texts).zip(&head) {
                match (field, kind) {
                    (Field::Null, _) => assert_eq!(text, "", "{heading}"),
                    (Field::Long(of), Type::INT64) => {
                        assert_eq!(Ok(*of), text.parse(), "{heading}");
                    }
                    (Field::Double(of), Type::DOUBLE) => {
                        assert_eq!(Ok(*of), text.parse(), "{heading}");
                    }
                    (Field::Str(of), Type::BYTE_ARRAY) => assert_eq!(of, text, "{heading}"),
                    other => panic!("{heading}: {other:?}"),
                }
                numbers += usize::from(*kind == Type::DOUBLE);
                empty += usize::from(*field == Field::Null);
            }
        }
        let types: BTreeMap<&str, Type> = head.iter().map(|(of, kind)| (&**of, *kind)).collect();
        let length = if units == "si" { "charge/far:bore [m]" } else { "charge/far:bore [in]" };
        assert_eq!(types[length], Type::DOUBLE);
        // A count that is told by words in one case is words in all.
        assert_eq!(types["charge/feed/pump:count"], Type::BYTE_ARRAY);
        assert_eq!((types["case"], types["verdict"]), (Type::INT64, Type::BYTE_ARRAY));
        assert!(numbers > 100 && empty > 0, "{numbers} numbers, {empty} empty");
        std::fs::remove_file(&rows).and_then(|()| std::fs::remove_file(&text)).expect("both");
    }
}

#[test]
fn the_same_parquet_comes_from_one_thread_and_from_three() {
    let folder = tempfile::tempdir().expect("a folder");
    let with = |threads: &str| {
        let path = folder.path().join(format!("{threads}.parquet"));
        let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .args([&["grid", CASE][..], &OVER, &["-o", name(&path)]].concat())
            .env("RAYON_NUM_THREADS", threads)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output();
        assert_eq!(output.expect("the program runs").status.code(), Some(1));
        bytes(&path)
    };
    assert!(with("1") == with("3"));
}

/// A run that was killed leaves rows under another name, and the same command goes on with them.
#[test]
fn a_killed_run_is_taken_up_and_leaves_nothing_half_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    let (rows, kept, text) = (at("rows.parquet"), at("rows.parquet.part"), at("rows.csv"));
    let first = grid(&["-o", name(&rows)]);
    let whole = bytes(&rows);
    grid(&["-o", name(&text)]);
    let lines = bytes(&text);
    for cut in [10, lines.len() / 2, lines.len() - 1, lines.len()] {
        std::fs::remove_file(&rows).expect("it was there");
        std::fs::write(&kept, &lines[..cut]).expect("what a kill leaves");
        let output = grid(&["-o", name(&rows)]);
        assert_eq!(said(&output), said(&first), "{cut}");
        assert!(bytes(&rows) == whole, "cut at {cut}");
        assert!(!kept.exists(), "cut at {cut}");
    }
    // What is there and whole is counted, and what a kill left behind it goes.
    std::fs::write(&kept, &lines).expect("what a kill leaves");
    assert_eq!(said(&grid(&["-o", name(&rows)])), said(&first));
    assert!(bytes(&rows) == whole && !kept.exists());
    // Of another grid nothing is touched, neither rows that are kept nor a file that is whole.
    let other = ["grid", CASE, "--over", "charge/far:bore=16 mm", "-o", name(&rows)];
    let output = run(&other);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("something else than these cases"), "{}", said(&output));
    assert!(bytes(&rows) == whole);
    std::fs::remove_file(&rows).expect("it was there");
    std::fs::write(&kept, &lines).expect("what a kill leaves");
    assert_eq!(run(&other).status.code(), Some(2));
    assert!(bytes(&kept) == lines && !rows.exists());
}

#[test]
fn parquet_pieces_are_joined_and_never_mixed() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name).to_str().expect("a path").to_owned();
    let (whole, joined) = (at("whole.parquet"), at("joined.parquet"));
    let together = grid(&["-o", &whole]);
    let pieces: Vec<String> = (1..=3).map(|k| at(&format!("{k}.parquet"))).collect();
    for (k, piece) in pieces.iter().enumerate() {
        grid(&["-o", piece, "--piece", &format!("{}/3", k + 1)]);
    }
    let [a, b, c] = [&pieces[0], &pieces[1], &pieces[2]].map(String::as_str);
    let text = at("2.csv");
    grid(&["-o", &text, "--piece", "2/3"]);
    let refused = |words: &[&str], hint: &str| {
        let before = listed(folder.path());
        let output = grid(words);
        assert_eq!(output.status.code(), Some(2), "{words:?}");
        assert!(said(&output).contains(hint), "{words:?}: {}", said(&output));
        assert_eq!(listed(folder.path()), before, "{words:?}");
    };
    refused(&["-o", &joined, "--join", a, c], "goes on with case");
    refused(&["-o", &joined, "--join", a, b], "are missing");
    refused(&["-o", &joined, "--join", a, &text, c], "not of one form");
    refused(&["-o", &at("joined.csv"), "--join", a, b, c], "not of one form");
    refused(&["--join", a, &text, c], "not of one form");
    let output = grid(&["-o", &joined, "--join", c, a, b]);
    assert_eq!(said(&output), said(&together));
    assert!(bytes(Path::new(&whole)) == bytes(Path::new(&joined)));
    refused(&["-o", &joined, "--join", a, b, c], "exists already");
    // A number of a row that is another one is found out: 18 mm, the first bore of a row of the second piece.
    let mut changed = bytes(Path::new(b));
    let is: Vec<usize> =
        (0..changed.len() - 8).filter(|k| changed[*k..k + 8] == 18.0_f64.to_le_bytes()).collect();
    assert!(!is.is_empty(), "bores are plain numbers");
    changed[is[0]..is[0] + 8].copy_from_slice(&18.5_f64.to_le_bytes());
    std::fs::write(b, &changed).expect("a changed piece");
    refused(&["--join", a, b, c], "of another grid");
    // Without its end it is no Parquet.
    std::fs::write(b, &changed[..changed.len() / 2]).expect("a cut piece");
    refused(&["--join", a, b, c], "2.parquet");
}

/// More rows than a group holds are several groups, and read as one.
#[test]
fn many_rows_are_several_groups() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    let (cases, rows, again) = (at("cases.csv"), at("rows.parquet"), at("again.parquet"));
    // What cannot be built is a row too, and is worked out at once.
    let lines: String = (0..5000).map(|k| format!("{} mm\n", 900 + k)).collect();
    std::fs::write(&cases, format!("drive:bore\n{lines}")).expect("a table");
    let words = ["grid", "cases/first.ron", "--point", "--table", name(&cases)];
    let output = run(&[&words[..], &["-o", name(&rows)]].concat());
    assert!(said(&output).contains("5000 could not be solved"), "{}", said(&output));
    let reader = SerializedFileReader::new(File::open(&rows).expect("a file")).expect("Parquet");
    assert_eq!(reader.num_row_groups(), 2);
    let (_, found) = read(&rows);
    let numbers: Vec<Field> = found.iter().map(|row| row[0].clone()).collect();
    assert_eq!(numbers, (1..=5000).map(Field::Long).collect::<Vec<_>>());
    run(&[&words[..], &["-o", name(&again), "--join", name(&rows)]].concat());
    assert!(bytes(&rows) == bytes(&again));
}
