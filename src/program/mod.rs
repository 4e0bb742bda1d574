//! What the program does with a command.

pub(crate) mod cli;
mod files;
mod grid;
mod learn;
mod page;
mod threads;

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use coolwright::answer::{Answer, Sentence, Topic, Value, Verdict};
use coolwright::ask::{Case, Chance, Day, Judge, Lengths, Moment, Question, Size, Wanted};
use coolwright::refusal::Refusal;
use coolwright::render::{Extent, Style, csv, json, text};
use coolwright::say;
use coolwright::sections;
use coolwright_cases::quantity::{Kind, UnitSystem, parse};
use coolwright_cases::text::nearest;

use cli::{Asked, Cli, Command, New};
use threads::Threads;

/// The starter case: about thirty lines that run as they stand.
const STARTER: &str = include_str!("../../cases/first.ron");

/// Exit status where some limit is broken, or was not judged.
const BROKEN: u8 = 1;
/// Exit status where there is no answer.
const FAILED: u8 = 2;

/// Runs a command: prints its answer, or says what is wrong.
pub(crate) fn run(cli: &Cli) -> ExitCode {
    let (asked, csv, extent) = match &cli.command {
        Command::New(args) => return ended(new(args), Style::SI, false),
        Command::Report(args) => {
            return ended(page::report(args), on_stderr(args.units.into()), false);
        }
        Command::Chart(args) => {
            return ended(page::chart(args), on_stderr(args.units.into()), false);
        }
        Command::Grid(args) => {
            let units: UnitSystem = args.asked.units.into();
            let color = allowed() && std::io::stdout().is_terminal();
            let done = extent(Topic::Grid, args.full, args.only.as_deref())
                .and_then(|extent| grid::grid(args, (Style { units, color }, &extent)));
            return ended(done, on_stderr(units), args.asked.json);
        }
        Command::Learn(args) => {
            let units: UnitSystem = args.asked.units.into();
            let color = allowed() && std::io::stdout().is_terminal();
            let done = extent(Topic::Learn, args.full, args.only.as_deref())
                .and_then(|extent| learn::learn(args, (Style { units, color }, &extent)));
            return ended(done, on_stderr(units), args.asked.json);
        }
        Command::Check(asked) => (asked, None, Ok(Extent::Full)),
        Command::Point(args) => (
            &args.asked,
            args.csv.as_deref(),
            extent(Topic::Point, args.full, args.only.as_deref()),
        ),
        Command::Cycle(args) => (
            &args.asked,
            args.csv.as_deref(),
            extent(Topic::Cycle, args.full, args.only.as_deref()),
        ),
        Command::Compare(args) => (
            &args.asked,
            args.csv.as_deref(),
            extent(Topic::Compare, args.full, args.only.as_deref()),
        ),
        Command::Levers(args) => (
            &args.asked,
            args.csv.as_deref(),
            extent(Topic::Levers, args.full, args.only.as_deref()),
        ),
        Command::Failures(args) => (
            &args.asked,
            args.csv.as_deref(),
            extent(Topic::Failures, args.full, args.only.as_deref()),
        ),
        Command::Size(args) => {
            (&args.asked, args.csv.as_deref(), extent(Topic::Size, args.full, args.only.as_deref()))
        }
        Command::Day(args) => {
            (&args.asked, args.csv.as_deref(), extent(Topic::Day, args.full, args.only.as_deref()))
        }
        Command::Chance(args) => (
            &args.asked,
            args.csv.as_deref(),
            extent(Topic::Chance, args.full, args.only.as_deref()),
        ),
    };
    let units: UnitSystem = asked.units.into();
    let color = allowed() && std::io::stdout().is_terminal();
    let done = extent.and_then(|extent| {
        let answer = read_and_answer(&asked.case, &question(&cli.command)?)?;
        let done = put(&answer, asked, csv, (Style { units, color }, &extent));
        if let Some(faults) = &answer.faults {
            to_stderr(&faults.text(&on_stderr(units)));
        }
        done
    });
    ended(done, on_stderr(units), asked.json)
}

/// How messages are written.
fn on_stderr(units: UnitSystem) -> Style {
    Style { units, color: allowed() && std::io::stderr().is_terminal() }
}

/// Says something on standard error. That nobody listens there any more changes nothing.
fn to_stderr(text: &str) {
    let _ = writeln!(std::io::stderr(), "{}", text.trim_end());
}

/// The exit status; what went wrong is said on standard error, and as JSON where that was asked for.
fn ended(done: Result<Option<Verdict>, Refusal>, style: Style, as_json: bool) -> ExitCode {
    match done {
        Ok(Some(Verdict::Unsolved)) => ExitCode::from(FAILED),
        Ok(Some(Verdict::Broken | Verdict::NotJudged)) => ExitCode::from(BROKEN),
        Ok(Some(Verdict::Holds) | None) => ExitCode::SUCCESS,
        Err(refusal) => {
            to_stderr(&refusal.text(&style));
            if as_json {
                // That standard output cannot be written either has been said already, or adds nothing.
                let _ = files::to_stdout(&json::refusal(&refusal));
            }
            ExitCode::from(FAILED)
        }
    }
}

/// Colour is off where `NO_COLOR` is set to anything.
fn allowed() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// How much of an answer is asked for.
fn extent(topic: Topic, full: bool, only: Option<&str>) -> Result<Extent, Refusal> {
    let Some(name) = only else {
        return Ok(if full { Extent::Full } else { Extent::Short });
    };
    let known = sections::names(topic);
    if known.contains(&name) {
        return Ok(Extent::Only(name.to_owned()));
    }
    let hint: Value = match nearest(name, known.iter().copied()) {
        Some(near) => say!(" Did you mean `{name}`?", name = near).into(),
        None => "".into(),
    };
    Err(Refusal::said(say!(
        "an answer of `{command}` has no section `{name}`.{hint} It can have: {known}",
        command = topic.word(),
        name = name,
        hint = hint,
        known = Value::list(known.iter().copied(), ", "),
    )))
}

/// What a command asks.
fn question(command: &Command) -> Result<Question, Refusal> {
    Ok(match command {
        Command::Check(_)
        | Command::New(_)
        | Command::Grid(_)
        | Command::Learn(_)
        | Command::Report(_)
        | Command::Chart(_) => Question::Check,
        Command::Point(args) => {
            let moment = match (&args.phase, args.at.as_deref()) {
                (Some(phase), _) => Moment::Phase(phase.clone()),
                (None, Some(at)) => Moment::At(seconds("--at", at)?),
                (None, None) => Moment::Full,
            };
            Question::Point { variant: args.variant.clone(), moment, off: args.full }
        }
        Command::Cycle(args) => {
            let every_s = args.every.as_deref().map(|text| seconds("--every", text)).transpose()?;
            let wanted = Wanted { columns: args.columns.clone(), every_s };
            let lengths = Lengths { longest: args.longest, rest: args.rest };
            Question::Cycle { variant: args.variant.clone(), wanted, lengths }
        }
        Command::Compare(args) => {
            let by = match (args.cycle, args.point) {
                (true, _) => Judge::Cycle,
                (_, true) => Judge::Point,
                _ => Judge::Usual,
            };
            Question::Compare { only: args.variant.clone(), by }
        }
        Command::Levers(args) => {
            let by = if args.point { Judge::Point } else { Judge::Usual };
            Question::Levers { limits: args.limit.clone(), by }
        }
        Command::Failures(args) => {
            Question::Failures { by: if args.point { Judge::Point } else { Judge::Usual } }
        }
        Command::Day(args) => Question::Day(Day {
            air: args.air.clone(),
            altitude: args.altitude.clone(),
            humidity: args.humidity.clone(),
        }),
        Command::Chance(args) => {
            let by = if args.point { Judge::Point } else { Judge::Usual };
            Question::Chance(Chance { samples: args.samples, by })
        }
        Command::Size(args) => {
            let by = if args.point { Judge::Point } else { Judge::Usual };
            let between = args.between.as_ref().and_then(|ends| {
                let [least, most] = &ends[..] else { return None };
                Some([least.clone(), most.clone()])
            });
            let (addresses, margin) = (args.address.clone(), args.margin.clone());
            Question::Size { size: Size { addresses, margin, between }, by }
        }
    })
}

/// A time with its unit, given with an option.
fn seconds(option: &'static str, text: &str) -> Result<f64, Refusal> {
    parse(Kind::Time, text).map_err(|error| {
        let refusal = Refusal::said(say!(
            "`{option}`: {why}",
            option = option,
            why = Value::spoken(&error.message)
        ));
        let helps = error.help.iter().map(|help| Sentence::spoken(help));
        helps.fold(refusal, Refusal::help)
    })
}

/// Reads a case from disk, with what it includes, and answers a question.
fn read_and_answer(path: &Path, question: &Question) -> Result<Answer, Refusal> {
    read_case(path)?.ask(question, &Threads::new())
}

/// Reads a case from disk, with what it includes.
fn read_case(path: &Path) -> Result<Case, Refusal> {
    let name = path.display().to_string();
    let text = files::read(path)
        .map_err(|why| Refusal::said(say!("{file}: {why}", file = &name, why = why)))?;
    let folder: PathBuf = path.parent().map_or_else(PathBuf::new, Path::to_path_buf);
    let mut fetch = |include: &str| files::included(&folder, include);
    Case::read(&name, &text, &mut fetch)
}

/// Puts an answer where it was asked for.
fn put(
    answer: &Answer,
    asked: &Asked,
    file: Option<&Path>,
    (style, extent): (Style, &Extent),
) -> Result<Option<Verdict>, Refusal> {
    if let Some(file) = file {
        let table = match (&answer.histories, answer.topic) {
            (Some(histories), _) => csv::histories(histories, style.units),
            (None, Topic::Compare) => csv::comparison(answer, style.units),
            (None, Topic::Levers) => csv::tables(answer, "levers", style.units),
            (None, Topic::Failures) => csv::tables(answer, "failures", style.units),
            (None, Topic::Size) => csv::tables(answer, "tried", style.units),
            (None, Topic::Day) => csv::tables(answer, "table", style.units),
            (None, Topic::Chance) => csv::tables(answer, "draws", style.units),
            (None, _) => csv::results(&answer.results, style.units),
        };
        table.and_then(|table| files::write(file, &table)).map_err(Refusal::said)?;
        if file.as_os_str() == "-" {
            return Ok(answer.verdict);
        }
    }
    let text = if asked.json { json::json(answer) } else { text::text(&style, answer, extent) };
    files::to_stdout(&text).map_err(Refusal::said)?;
    Ok(answer.verdict)
}

/// Writes the starter case.
fn new(args: &New) -> Result<Option<Verdict>, Refusal> {
    let path = &args.file;
    files::write_new(path, STARTER).map_err(|error| {
        let (file, why) = (path.display().to_string(), files::message(&error));
        Refusal::said(say!("cannot write {file}: {why}", file = file, why = why))
    })?;
    let path = path.display();
    let next = format!(
        "Wrote {path}. Next:\n  coolwright point {path}\n  coolwright compare {path}\n  coolwright cycle {path}\n"
    );
    files::to_stdout(&next).map_err(Refusal::said)?;
    Ok(None)
}
