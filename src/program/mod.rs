//! What the program does with a command.

pub(crate) mod cli;
mod files;
mod form;
mod grid;
mod interrupt;
mod learn;
mod manual;
mod page;
mod question;
mod threads;
mod xlsx;

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use coolwright::answer::{Answer, Topic, Value, Verdict};
use coolwright::ask::Case;
use coolwright::page::papers;
use coolwright::refusal::Refusal;
use coolwright::render::{Extent, Style, csv, json, text};
use coolwright::say;
use coolwright::sections;
use coolwright_cases::STARTER;
use coolwright_cases::quantity::UnitSystem;
use coolwright_cases::text::nearest;

use cli::{Asked, Cli, Command, New, Sheets};
use form::{Doing, Form};
use question::question;
use threads::Threads;

/// Exit status where some limit is broken, or was not judged.
const BROKEN: u8 = 1;
/// Exit status where there is no answer.
const FAILED: u8 = 2;

/// Runs a command: prints its answer, or says what is wrong.
pub(crate) fn run(cli: &Cli) -> ExitCode {
    interrupt::heed();
    match Doing::of(&cli.command) {
        Doing::Answers(form) => answers(&cli.command, &form),
        Doing::New(args) => ended(new(args), Style::SI, false),
        Doing::Completions(args) => ended(manual::completions(args), Style::SI, false),
        Doing::Man(args) => ended(manual::pages(args), Style::SI, false),
        Doing::Report(args) => ended(page::report(args), on_stderr(args.units.into()), false),
        Doing::Chart(args) => ended(page::chart(args), on_stderr(args.units.into()), false),
        Doing::Grid(args) => {
            let style = on_stdout(args.asked.units.into());
            let done = extent(Topic::Grid, args.full, args.only.as_deref())
                .and_then(|extent| grid::grid(args, (style, &extent)));
            ended(done, on_stderr(style.units), args.asked.json)
        }
        Doing::Learn(args) => {
            let style = on_stdout(args.asked.units.into());
            let done = extent(Topic::Learn, args.full, args.only.as_deref())
                .and_then(|extent| learn::learn(args, (style, &extent)));
            ended(done, on_stderr(style.units), args.asked.json)
        }
    }
}

/// Answers a question about a case.
fn answers(command: &Command, form: &Form<'_>) -> ExitCode {
    let Form { asked, csv, .. } = *form;
    let extent = match form.topic {
        Topic::Check => Ok(Extent::Full),
        topic => extent(topic, form.full, form.only),
    };
    let style = on_stdout(asked.units.into());
    let done = extent.and_then(|extent| {
        let case = read_case(&asked.case)?;
        let page = match command {
            Command::Sheets(args) => args.output.as_deref(),
            _ => None,
        };
        files::of_its_form(&[csv, page], false).map_err(Refusal::said)?;
        outputs(&case, asked, &[csv, page])?;
        let case = as_asked(case, form.variant)?;
        let answer = case.ask(&question(command)?, &Threads::new())?;
        book(&answer, None, asked, (style.units, &extent))?;
        if let Command::Sheets(args) = command
            && sheets(args, &answer, style.units)?
        {
            return Ok(answer.verdict);
        }
        let done = put(&answer, asked, csv, (style, &extent));
        if let Some(faults) = &answer.faults {
            to_stderr(&faults.text(&on_stderr(style.units)));
        }
        done
    });
    ended(done, on_stderr(style.units), asked.json)
}

/// How answers are written.
fn on_stdout(units: UnitSystem) -> Style {
    Style { units, color: allowed() && std::io::stdout().is_terminal() }
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

/// Reads a case from disk, with what it includes.
fn read_case(path: &Path) -> Result<Case, Refusal> {
    let name = path.display().to_string();
    let text = files::read(path)
        .map_err(|why| Refusal::said(say!("{file}: {why}", file = &name, why = why)))?;
    let folder: PathBuf = path.parent().map_or_else(PathBuf::new, Path::to_path_buf);
    let mut fetch = |include: &str| files::included(&folder, include);
    Case::read(&name, &text, &mut fetch)
}

/// The case, or one of its variants where a study of that is asked for.
fn as_asked(case: Case, variant: Option<&str>) -> Result<Case, Refusal> {
    match variant {
        Some(name) => case.as_variant(name),
        None => Ok(case),
    }
}

/// Refuses files that cannot be written as they are asked for: the workbook, and `others`.
fn outputs(case: &Case, asked: &Asked, others: &[Option<&Path>]) -> Result<(), Refusal> {
    let book = asked.xlsx.as_deref();
    if book == Some(Path::new("-")) {
        return Err(Refusal::said("`--xlsx`: a workbook goes to a file, as `answer.xlsx`"));
    }
    let all: Vec<Option<&Path>> = others.iter().copied().chain([book]).collect();
    files::apart(case, &asked.case, &all).map_err(Refusal::said)
}

/// Writes an answer as a workbook, where that was asked for.
fn book(
    answer: &Answer,
    rows: Option<xlsx::Rows>,
    asked: &Asked,
    (units, extent): (UnitSystem, &Extent),
) -> Result<(), Refusal> {
    let Some(path) = &asked.xlsx else { return Ok(()) };
    let bytes = xlsx::workbook(answer, rows, &Style { units, color: false }, extent);
    bytes.and_then(|bytes| files::write_bytes(path, &bytes)).map_err(Refusal::said)
}

/// Writes the page of the sheets that was asked for; whether nothing is left to print.
fn sheets(args: &Sheets, answer: &Answer, units: UnitSystem) -> Result<bool, Refusal> {
    if let Some(path) = &args.output {
        files::write(path, &papers(answer, units)).map_err(Refusal::said)?;
    }
    let on_paper = args.output.is_some() || args.asked.xlsx.is_some();
    Ok(on_paper && args.csv.is_none() && !args.asked.json)
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
            (None, Topic::Levers) => csv::tables(answer, &["levers"], style.units),
            (None, Topic::Failures) => csv::tables(answer, &["failures", "pairs"], style.units),
            (None, Topic::Size) => csv::tables(answer, &["tried"], style.units),
            (None, Topic::Day) => csv::tables(answer, &["table"], style.units),
            (None, Topic::Sheets) => csv::every_table(answer, style.units),
            (None, Topic::Why) => csv::tables(answer, &["rests_on"], style.units),
            (None, Topic::Chance) => csv::tables(answer, &["draws"], style.units),
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
