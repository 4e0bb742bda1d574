//! Disks that are full, folders that take nothing, files that must not grow, names that promise another form.

use std::fs;
use std::path::Path;

use super::{BEFORE, WRITERS, folder, names, run, said};

/// Where no file may grow beyond eight blocks of 512 bytes, what is larger is not written, and what was there stays. The
/// system would end the program by a signal, unless that is ignored: both are tried.
#[cfg(target_os = "linux")]
#[test]
fn what_finds_no_room_leaves_what_was_there() {
    let (mut told, mut ended) = (0, 0);
    for writer in &WRITERS {
        let folder = folder();
        let before = names(folder.path());
        let whole = writer.whole(folder.path());
        for signal in ["trap '' XFSZ; ", ""] {
            fs::write(writer.path(folder.path()), BEFORE).expect("it can be written");
            let script = format!("ulimit -c 0; {signal}ulimit -f 8; exec \"$0\" \"$@\"");
            let mut shell = std::process::Command::new("sh");
            shell.current_dir(folder.path()).args([
                "-c",
                &script,
                env!("CARGO_BIN_EXE_coolwright"),
            ]);
            let output = shell.args(writer.words()).output().expect("a shell");
            let there = fs::read(writer.path(folder.path())).expect("it is there");
            if whole.len() <= 4096 {
                assert!(there == whole, "{:?}: {}", writer.words, said(&output));
                continue;
            }
            assert!(there == BEFORE.as_bytes(), "{:?}: {}", writer.words, said(&output));
            if signal.is_empty() {
                assert_eq!(output.status.code(), None, "{:?}: {}", writer.words, said(&output));
                ended += 1;
                continue;
            }
            assert_eq!(output.status.code(), Some(2), "{:?}: {}", writer.words, said(&output));
            let said = said(&output);
            let wanted = format!("cannot write {}", folder.path().join(writer.name).display());
            let alone = format!("cannot write {}", writer.name);
            assert!(said.contains(&wanted) || said.contains(&alone), "{:?}: {said}", writer.words);
            assert!(said.contains("no file may become that large here"), "{said}");
            told += 1;
            let beside: Vec<String> =
                names(folder.path()).into_iter().filter(|name| name != writer.name).collect();
            assert_eq!(beside, before, "{:?}", writer.words);
        }
    }
    assert!(told >= 8 && told == ended, "{told} and {ended}");
}

/// A full disk, as `/dev/full` is one: said at once, also by what streams rows.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said_by_all() {
    let folder = folder();
    let grid = ["grid", "loop.ron", "--over", "charge/loop:bore=20 mm,25 mm", "-o", "OUT"];
    for words in WRITERS.iter().map(|writer| writer.words).chain([&grid[..]]) {
        let words: Vec<&str> =
            words.iter().map(|word| if *word == "OUT" { "/dev/full" } else { word }).collect();
        let output = run(folder.path(), &words);
        assert_eq!(output.status.code(), Some(2), "{words:?}: {}", said(&output));
        assert!(
            said(&output).contains("/dev/full: the disk is full"),
            "{words:?}: {}",
            said(&output)
        );
    }
    assert!(Path::new("/dev/full").exists());
}

/// The program without the rights of whoever may do all, in a folder that takes nothing.
#[cfg(target_os = "linux")]
fn unprivileged(folder: &Path, program: &str, words: &[&str]) -> std::process::Output {
    use std::process::Command;
    let id = Command::new("id").arg("-u").output().expect("id runs").stdout;
    let mut command = if id.trim_ascii() == b"0" {
        // Who has all rights may write everywhere: without them the owner of a folder is bound by what it allows.
        let mut command = Command::new("setpriv");
        command.args(["--bounding-set=-all", "--inh-caps=-all", program]);
        command
    } else {
        Command::new(program)
    };
    command.current_dir(folder).args(words).output().expect("it runs")
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_nothing_is_said_and_stays_as_it_is() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder();
    let locked = folder.path().join("locked");
    fs::create_dir(&locked).expect("a folder");
    let old = locked.join("old.txt");
    fs::write(&old, BEFORE).expect("it can be written");
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).expect("they can be set");
    // If this could write, nothing would be tried here.
    let touched = unprivileged(folder.path(), "touch", &["locked/try"]);
    assert!(!touched.status.success(), "the folder takes files: {}", said(&touched));
    let grid = ["grid", "loop.ron", "--over", "charge/loop:bore=20 mm,25 mm", "-o", "OUT"];
    let (new, man) = (["new", "OUT"], ["man", "-o", "locked/pages"]);
    let all = WRITERS.iter().map(|writer| (writer.words, writer.name));
    for (words, name) in all.chain([(&grid[..], "rows.csv"), (&new, "new.ron"), (&man, "pages")]) {
        let path = format!("locked/{name}");
        let words: Vec<&str> =
            words.iter().map(|word| if *word == "OUT" { path.as_str() } else { word }).collect();
        let output = unprivileged(folder.path(), env!("CARGO_BIN_EXE_coolwright"), &words);
        assert_eq!(output.status.code(), Some(2), "{words:?}: {}", said(&output));
        let said = said(&output);
        assert!(said.contains(name) && said.contains("permission denied"), "{words:?}: {said}");
    }
    assert_eq!(names(&locked), ["old.txt"]);
    assert_eq!(fs::read_to_string(&old).expect("a text"), BEFORE);
    // So that it can be removed again.
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o755)).expect("they can be set");
}

/// A file that is marked as read-only stays, and one that only its owner may read stays so.
#[cfg(target_os = "linux")]
#[test]
fn the_rights_of_a_file_are_kept() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder();
    let path = folder.path().join("out.csv");
    fs::write(&path, BEFORE).expect("it can be written");
    let mode =
        |mode| fs::set_permissions(&path, fs::Permissions::from_mode(mode)).expect("they can");
    mode(0o444);
    let words = ["point", "loop.ron", "--csv", "out.csv"];
    let output = run(folder.path(), &words);
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("cannot write"), "{}", said(&output));
    assert_eq!(fs::read_to_string(&path).expect("a text"), BEFORE);
    mode(0o600);
    assert_ne!(run(folder.path(), &words).status.code(), Some(2));
    assert!(fs::read_to_string(&path).expect("a text").starts_with("address,"));
    let now = fs::metadata(&path).expect("it is there").permissions().mode();
    assert_eq!(now & 0o777, 0o600);
}

/// A name that promises a workbook, or Parquet, is not filled with something else.
#[test]
fn a_name_is_held_to_its_form() {
    let folder = folder();
    let before = names(folder.path());
    let over = ["--over", "charge/loop:bore=20 mm,25 mm"];
    for (words, told) in [
        (
            &[&["grid", "loop.ron"], &over[..], &["-o", "rows.xlsx"]].concat()[..],
            "`--xlsx rows.xlsx` writes one",
        ),
        (&["point", "loop.ron", "--csv", "a.XLSX"], "`--xlsx a.XLSX` writes one"),
        (&["sheets", "loop.ron", "-o", "a.xlsx"], "`--xlsx a.xlsx` writes one"),
        (&["learn", "small.ron", "stand.ron", "--csv", "a.xlsx"], "`--xlsx a.xlsx` writes one"),
        (&["point", "loop.ron", "--csv", "a.parquet"], "only the rows of `grid`"),
    ] {
        let output = run(folder.path(), words);
        assert_eq!(output.status.code(), Some(2), "{words:?}: {}", said(&output));
        assert!(said(&output).contains(told), "{words:?}: {}", said(&output));
    }
    assert_eq!(names(folder.path()), before);
}
