//! What README and guide show is what the program prints.
//!
//! A block that begins with `$ coolwright …` holds a command and its answer, standard output and then what was said on
//! standard error. A line `[...]` stands for any number of lines that are left out. `WRITE_PRINTED=1` writes the lines of
//! all blocks anew, in their place, and leaves out what was left out before.

mod aligned;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Arc, Mutex, OnceLock};

/// A line that stands for any number of lines.
const LEFT_OUT: &str = "[...]";

/// The folder that holds README and guide.
pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The pages of the guide and the README, from the folder of the crate.
pub(crate) fn pages() -> Vec<PathBuf> {
    let mut pages = vec![PathBuf::from("README.md")];
    pages.extend(guide_pages());
    pages
}

/// The pages of the guide, by name.
pub(crate) fn guide_pages() -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![PathBuf::from("guide/src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(root().join(&folder)).expect("the guide has a folder") {
            let entry = entry.expect("an entry");
            let path = folder.join(entry.file_name());
            if entry.file_type().expect("its kind").is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "md") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The text of a page.
pub(crate) fn text(page: &Path) -> String {
    let text = std::fs::read_to_string(root().join(page));
    text.unwrap_or_else(|error| panic!("{}: {error}", page.display()))
}

/// The fenced blocks of a page: what stands behind the fence, and the lines.
pub(crate) fn blocks(text: &str) -> Vec<(&str, Vec<&str>)> {
    let (mut found, mut open): (Vec<(&str, Vec<&str>)>, bool) = (Vec::new(), false);
    for line in text.lines() {
        match (line.strip_prefix("```"), open) {
            (Some(word), false) => {
                found.push((word, Vec::new()));
                open = true;
            }
            (Some(_), true) => open = false,
            (None, true) => found.last_mut().expect("an open block").1.push(line),
            (None, false) => {}
        }
    }
    assert!(!open, "a block is not closed");
    found
}

/// The words of a command line; double quotes hold a word together.
pub(crate) fn words(command: &str) -> Vec<String> {
    let (mut words, mut quoted) = (vec![String::new()], false);
    for letter in command.chars() {
        match letter {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            _ => words.last_mut().expect("a word").push(letter),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// What the program prints for the words behind its name, in the folder of the crate. Each command runs once.
pub(crate) fn printed(command: &str) -> String {
    static PRINTED: Mutex<BTreeMap<String, Arc<OnceLock<String>>>> = Mutex::new(BTreeMap::new());
    let place = {
        let mut printed = PRINTED.lock().expect("no command panics while it is sought");
        Arc::clone(printed.entry(command.to_owned()).or_default())
    };
    place.get_or_init(|| run(command)).clone()
}

fn run(command: &str) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .current_dir(root())
        .args(words(command))
        .output()
        .expect("the program runs");
    let [out, err] = [output.stdout, output.stderr].map(|b| String::from_utf8(b).expect("text"));
    out + &err
}

/// Whether lines match a pattern in which `[...]` stands for any number of them.
pub(crate) fn matches(pattern: &[&str], lines: &[&str]) -> bool {
    match pattern.split_first() {
        None => lines.is_empty(),
        Some((&LEFT_OUT, rest)) => (0..=lines.len()).any(|skip| matches(rest, &lines[skip..])),
        Some((first, rest)) => {
            lines.split_first().is_some_and(|(line, others)| line == first && matches(rest, others))
        }
    }
}

/// A page with the lines of all its blocks as the program prints them now, and how many blocks it shows.
fn as_printed(page: &Path) -> (String, usize) {
    let text = text(page);
    let (mut new, mut count) = (String::new(), 0);
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        new.push_str(line);
        new.push('\n');
        let opens = line.strip_prefix("```").is_some_and(|word| !word.is_empty());
        let Some(command) =
            lines.peek().filter(|_| opens).and_then(|l| l.strip_prefix("$ coolwright "))
        else {
            continue;
        };
        new.push_str(lines.next().expect("the command"));
        new.push('\n');
        let mut shown = Vec::new();
        while let Some(line) = lines.next_if(|line| !line.starts_with("```")) {
            shown.push(line);
        }
        let now = printed(command);
        let now: Vec<&str> = now.lines().collect();
        let again = if matches(&shown, &now) {
            shown
        } else {
            aligned::again(&shown, &now)
                .unwrap_or_else(|why| panic!("{}: `{command}`: {why}", page.display()))
        };
        for line in again {
            new.push_str(line);
            new.push('\n');
        }
        count += 1;
    }
    (new, count)
}

/// Holds the blocks of some pages to what the program prints, two pages at a time; how many there are.
pub(crate) fn hold(pages: &[PathBuf]) -> usize {
    let held = |first: usize| -> usize {
        pages.iter().skip(first).step_by(2).map(|page| hold_one(page)).sum()
    };
    std::thread::scope(|scope| {
        let other = scope.spawn(move || held(1));
        let one = held(0);
        one + other.join().expect("every block is what is printed")
    })
}

fn hold_one(page: &Path) -> usize {
    let (new, count) = as_printed(page);
    let known = text(page);
    if std::env::var_os("WRITE_PRINTED").is_some() && new != known {
        std::fs::write(root().join(page), &new).expect("the page can be written");
        return count;
    }
    let differs = known.lines().zip(new.lines()).find(|(a, b)| a != b);
    assert!(
        new == known,
        "{} shows something else than the program prints; WRITE_PRINTED=1 writes its blocks anew. The first line that \
         differs: {differs:#?}",
        page.display()
    );
    count
}
