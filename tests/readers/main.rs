//! Texts that nobody would write, through every reader: of cases, of parts, of stand files, of tables, of logs, of quantities.
//!
//! Each reader comes back with a value or with a reason: it does not panic, it takes no longer than a second, and its memory
//! is bounded by the size of the text. Texts are the cases of this project damaged token by token (`mutate.rs`), parts of one
//! case put into another, and texts written by the types that are read (`generate.rs`).
//!
//! `READER_INPUTS=1000000 READER_SEED=7 cargo test --release --test readers -- --nocapture` tries more, and others; a text
//! that fails is put into a file, which is named.

#[path = "../common/mod.rs"]
mod common;

mod corpus;
#[allow(dead_code, reason = "the circuits use more of it")]
#[path = "../random_circuits/draw.rs"]
mod draw;
mod generate;
mod mutate;
mod tried;

use coolwright::ask::{Case, Over};
use coolwright::render::Style;
use coolwright::workers::Alone;
use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::file::{self, Stand};
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::{Kind, UnitSystem, parse};
use coolwright_cases::stand::{Column, Head, Wanted, propose, read};
use coolwright_cases::text::{self, Sources};
use corpus::Corpus;
use generate::written;
use mutate::damaged;
use tried::tried;

/// A case that is free of faults, for what is read beside one.
const TENDER: &str = include_str!("../../cases/learn/tender.ron");
const STAND: &str = include_str!("../../cases/learn/stand.ron");
const LOG: &str = include_str!("../../cases/learn/stand.csv");

/// Reads and builds a case with its variants, and tells in words whatever is wrong: how far it came.
fn case(content: &str, included: &str) -> Result<&'static str, String> {
    let mut sources = Sources::new();
    let file = sources.add("try.ron", content);
    let mut problems = Problems::new();
    let mut fetch = |name: &str| match name {
        "none.ron" => Err("there is no such file".to_owned()),
        _ => Ok(included.to_owned()),
    };
    let reading = Reading::new(&mut sources, file, &mut fetch, &mut problems);
    let is_read = reading.is_some();
    let ready = reading.as_ref().and_then(|reading| reading.build(&mut problems));
    if ready.is_none() && !problems.has_errors() {
        return Err("no model, and no word why".to_owned());
    }
    // Some variants: all of them, where there are thousands, would be many cases.
    if let Some(reading) = &reading {
        for name in reading.variants().take(4).map(str::to_owned).collect::<Vec<_>>() {
            let mut own = Problems::new();
            let built = reading.build_variant(&sources, &name, &mut own);
            if built.is_none() && !own.has_errors() && !problems.has_errors() {
                return Err(format!("no variant `{name}`, and no word why"));
            }
            told(&own, &sources)?;
        }
    }
    told(&problems, &sources)?;
    Ok(match (ready, problems.has_errors()) {
        (Some(_), false) => "built",
        _ if is_read => "refused",
        _ => "not read",
    })
}

/// What is wrong is told at a place of the text, in words of bounded length.
fn told(problems: &Problems, sources: &Sources) -> Result<(), String> {
    for problem in problems.iter() {
        let span = problem.primary.0;
        let text = sources.text(span.file);
        let is_in = span.start <= span.end && span.end <= text.len();
        if !is_in || !text.is_char_boundary(span.start) || !text.is_char_boundary(span.end) {
            return Err(format!("a place outside of the text: {problem:?}"));
        }
    }
    let said = problems.render(sources, false);
    if said.is_empty() != problems.is_empty() {
        return Err("problems without words, or words without problems".to_owned());
    }
    // Each has its lines, cut to a width.
    if said.len() > 200_000 {
        return Err(format!("{} bytes of words", said.len()));
    }
    Ok(())
}

#[test]
fn damaged_cases_are_built_or_refused() {
    let corpus = Corpus::new();
    tried(
        "cases",
        1500,
        |random| {
            let from = if random.chance(0.6) { &corpus.sound } else { &corpus.cases };
            let case = random.one_of(from).as_str();
            let text = damaged(random, &corpus, case);
            let parts = random.one_of(&corpus.parts).as_str();
            let included =
                if random.chance(0.3) { damaged(random, &corpus, parts) } else { parts.to_owned() };
            (text + "\n//included\n" + &included, ())
        },
        |text, ()| {
            let (text, included) = text.rsplit_once("\n//included\n").unwrap_or((text, ""));
            case(text, included)
        },
    );
}

#[test]
fn cases_written_by_their_types_are_built_or_refused() {
    let corpus = Corpus::new();
    tried(
        "types",
        1000,
        |random| {
            let text = match random.below(3) {
                0 => written::<file::Case>(random, &corpus),
                _ => corpus.with_other_blocks(random),
            };
            let text = if random.chance(0.3) { damaged(random, &corpus, &text) } else { text };
            let included = written::<file::Parts>(random, &corpus);
            (text + "\n//included\n" + &included, ())
        },
        |text, ()| {
            let (text, included) = text.rsplit_once("\n//included\n").unwrap_or((text, ""));
            case(text, included)
        },
    );
}

#[test]
fn parts_files_are_read_or_refused() {
    let corpus = Corpus::new();
    let host = TENDER.replacen("Case(", "Case(\n    include: [\"parts.ron\"],", 1);
    tried(
        "parts",
        600,
        |random| {
            let text = if random.chance(0.5) {
                written::<file::Parts>(random, &corpus)
            } else {
                random.one_of(&corpus.parts).clone()
            };
            (if random.chance(0.7) { damaged(random, &corpus, &text) } else { text }, ())
        },
        |text, ()| case(&host, text),
    );
}

#[test]
fn stand_files_are_read_or_refused() {
    let corpus = Corpus::new();
    let mut nothing = |_: &str| Err("there is no such file".to_owned());
    let tender = Case::read("tender.ron", TENDER, &mut nothing).expect("it reads");
    tried(
        "stands",
        600,
        |random| {
            let text = if random.chance(0.4) {
                written::<Stand>(random, &corpus)
            } else {
                STAND.to_owned()
            };
            (if random.chance(0.7) { damaged(random, &corpus, &text) } else { text }, ())
        },
        |text, ()| {
            let mut sources = Sources::new();
            let file = sources.add("stand.ron", text);
            let mut problems = Problems::new();
            let stand: Option<Stand> = text::read(&sources, file, &mut problems);
            told(&problems, &sources)?;
            // Held against the case, up to where its log would be opened.
            let learnt =
                tender.learn(("stand.ron", text), &mut |_| Err("no log".to_owned()), &Alone);
            match learnt {
                Ok(_) => Err("it learns from no log".to_owned()),
                Err(refusal) if refusal.text(&Style::SI).is_empty() => {
                    Err("no word why".to_owned())
                }
                Err(_) => Ok(if stand.is_some() { "read" } else { "refused" }),
            }
        },
    );
}

/// The tender, ready for what is held against it.
fn tender() -> Ready {
    common::read(TENDER)
}

#[test]
fn logs_are_read_or_refused() {
    let ready = tender();
    let lines: Vec<&str> = LOG.lines().collect();
    tried(
        "logs",
        1500,
        |random| {
            let from = 3 + random.below(lines.len() - 3);
            let rows = random.below(120);
            let mut some = lines[..3].to_vec();
            some.extend(lines[from..].iter().take(rows));
            let end = *random.one_of(&["\n", "\n", "\n", "\r\n", "\r"]);
            (mutate::log(random, &some.join(end)), ())
        },
        |text, ()| {
            let bytes: Vec<u8> = mutate::bytes(text);
            let Ok(head) = Head::look(&mut &bytes[..]) else {
                return Ok("no table");
            };
            if propose(&head, &ready).text("log.csv").is_empty() {
                return Err("an empty proposal".to_owned());
            }
            let mut outcome = "no rows";
            for time in ["t", "note", "T_eng_in"] {
                let column = |name: &&str| Column {
                    name: (*name).to_owned(),
                    scale: [273.15, 1.0],
                    possible: [213.15, 673.15],
                    is_read: true,
                };
                let columns = ["T_eng_out", "P_shaft", "missing"][..2].iter().map(column).collect();
                let wanted = Wanted { time: time.to_owned(), to_seconds: 1.0, columns };
                match read(&mut &bytes[..], &wanted) {
                    Err(fault) if fault.message.is_empty() => return Err("no word why".to_owned()),
                    Err(_) => {}
                    Ok(table) => {
                        let grows = table.times_s.windows(2).all(|pair| pair[0] < pair[1]);
                        if !grows || table.times_s.iter().any(|time| !time.is_finite()) {
                            return Err(format!("times that do not grow: {:?}", table.times_s));
                        }
                        if table.columns.iter().any(|column| column.len() != table.times_s.len()) {
                            return Err("columns of other lengths".to_owned());
                        }
                        if table.columns.iter().flatten().any(|number| number.is_infinite()) {
                            return Err("a number without an end".to_owned());
                        }
                        let _ = table.words();
                        outcome = "read";
                    }
                }
            }
            Ok(outcome)
        },
    );
}

#[test]
fn tables_of_cases_are_read_or_refused() {
    const TABLE: &str = "charge/loop/pump:speed,charge/loop:bore,site:air\n90 %,25 mm,30 °C\n,28 mm,\n\
                         100 %,\"1 in\",86 °F\n";
    let corpus = Corpus::new();
    let mut nothing = |_: &str| Err("there is no such file".to_owned());
    let tender = Case::read("tender.ron", TENDER, &mut nothing).expect("it reads");
    tried(
        "tables",
        400,
        |random| {
            let table = if random.chance(0.8) {
                damaged(random, &corpus, TABLE)
            } else {
                mutate::log(random, TABLE)
            };
            let list = damaged(random, &corpus, "charge/loop:bore=16 mm..30 mm by 1 mm");
            (table + "\n//list\n" + &list, ())
        },
        |text, ()| {
            let (table, list) = text.rsplit_once("\n//list\n").unwrap_or((text, ""));
            let table = Over { table: Some(table.to_owned()), ..Over::default() };
            let list = Over { lists: vec![list.to_owned()], ..Over::default() };
            let mut outcome = "refused";
            for over in [table, list] {
                match tender.grid(&over, UnitSystem::Metric) {
                    Ok(grid) => {
                        if grid.is_empty() || grid.header().is_empty() {
                            return Err("a grid of nothing".to_owned());
                        }
                        outcome = "read";
                    }
                    Err(refusal) if refusal.text(&Style::SI).is_empty() => {
                        return Err("no word why".to_owned());
                    }
                    Err(_) => {}
                }
            }
            Ok(outcome)
        },
    );
}

#[test]
fn quantities_are_finite_or_refused() {
    let corpus = Corpus::new();
    tried(
        "quantities",
        20_000,
        |random| {
            let kind = *random.one_of(&Kind::ALL);
            let text = random.one_of(&corpus.literals);
            (damaged(random, &corpus, text), kind)
        },
        |text, kind| match parse(*kind, text) {
            Ok(si) if si.is_finite() && si.abs() <= 1e15 => Ok("read"),
            Ok(si) => Err(format!("it is {si}")),
            Err(error) if error.message.is_empty() => Err("no word why".to_owned()),
            Err(_) => Ok("refused"),
        },
    );
}
