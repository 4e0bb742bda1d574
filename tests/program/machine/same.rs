//! The same bytes whatever the threads, the language of the machine, its clock, and the names of folders.

use std::fs;

use super::{WRITERS, fill, folder, program, run, said};

/// Threads that are asked for; the machine may have fewer.
const THREADS: [&str; 3] = ["1", "3", "64"];

#[test]
fn every_number_of_threads_writes_the_same_bytes() {
    let folder = folder();
    for writer in WRITERS.iter().filter(|writer| writer.name != "out.xlsx") {
        let whole = writer.whole(folder.path());
        for threads in THREADS {
            let mut program = program(folder.path());
            program.args(writer.words()).env("RAYON_NUM_THREADS", threads);
            let output = program.output().expect("it runs");
            assert_ne!(output.status.code(), Some(2), "{}", said(&output));
            let there = fs::read(writer.path(folder.path())).expect("it is there");
            assert!(there == whole, "{:?} with {threads} threads", writer.words);
        }
    }
}

/// A decimal comma is one of the machine, not of answers; nor does a zone of time change any.
#[test]
fn the_language_of_the_machine_changes_nothing() {
    let folder = folder();
    for words in [
        &["point", "loop.ron"][..],
        &["point", "loop.ron", "--csv", "-", "--units", "us"],
        &["cycle", "duty.ron"],
        &["report", "loop.ron", "-o", "-"],
        &["chart", "loop.ron", "circuit/charge"],
        &["learn", "small.ron", "stand.ron"],
        &["point", "missing.ron"],
    ] {
        let plain = run(folder.path(), words);
        let mut other = program(folder.path());
        other.args(words);
        for name in ["LC_ALL", "LANG", "LC_NUMERIC", "LANGUAGE"] {
            other.env(name, "de_DE.UTF-8");
        }
        let other = other.env("TZ", "Pacific/Chatham").output().expect("it runs");
        assert_eq!(said(&plain), said(&other), "{words:?}");
        assert_eq!(plain.status.code(), other.status.code(), "{words:?}");
    }
    let book = ["point", "loop.ron", "--xlsx", "out.xlsx"];
    run(folder.path(), &book);
    let whole = fs::read(folder.path().join("out.xlsx")).expect("it is there");
    program(folder.path()).args(book).env("TZ", "Pacific/Chatham").output().expect("it runs");
    assert!(whole == fs::read(folder.path().join("out.xlsx")).expect("it is there"));
}

/// Folders and files whose names hold blanks, signs of shells and letters of other scripts.
#[test]
fn names_with_blanks_and_other_letters_are_names() {
    let outside = folder();
    let inside = outside.path().join("Kühlung & Öl (neu) 冷却 'x' #1 %41");
    fs::create_dir(&inside).expect("a folder");
    fill(&inside);
    // Every kind of file, each once.
    for writer in WRITERS
        .iter()
        .filter(|writer| ["point", "report", "chart", "sheets", "learn"].contains(&writer.words[0]))
    {
        let whole = writer.whole(outside.path());
        let name = format!("außen 温度 {}", writer.name);
        let words: Vec<&str> = writer
            .words
            .iter()
            .map(|word| if *word == "OUT" { name.as_str() } else { word })
            .collect();
        let output = run(&inside, &words);
        assert!(matches!(output.status.code(), Some(0 | 1)), "{words:?}: {}", said(&output));
        let there = fs::read(inside.join(&name)).unwrap_or_else(|e| panic!("{words:?}: {e}"));
        assert!(there == whole, "{words:?}");
        // By its whole path, from somewhere else.
        let case = inside.join(writer.words[1]);
        let mut words = words;
        let case = case.to_str().expect("a name").to_owned();
        let out = inside.join(&name).to_str().expect("a name").to_owned();
        words[1] = &case;
        let words: Vec<&str> =
            words.into_iter().map(|word| if word == name { out.as_str() } else { word }).collect();
        let output = run(outside.path(), &words);
        assert!(matches!(output.status.code(), Some(0 | 1)), "{words:?}: {}", said(&output));
    }
    // An include of such a name is found beside its case, and named in messages as it is.
    let text = include_str!("../../../cases/guide/1_one_loop.ron");
    let text = text.replacen("Case(", "Case(\n    include: [\"Teile für 冷却/Pumpe №1.ron\"],", 1);
    fs::write(inside.join("mit Teilen.ron"), text).expect("it can be written");
    let output = run(&inside, &["check", "mit Teilen.ron"]);
    assert!(said(&output).contains("Teile für 冷却/Pumpe №1.ron"), "{}", said(&output));
    fs::create_dir(inside.join("Teile für 冷却")).expect("a folder");
    fs::write(inside.join("Teile für 冷却/Pumpe №1.ron"), "Parts()").expect("it can be written");
    let output = run(&inside, &["check", "mit Teilen.ron"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
}
