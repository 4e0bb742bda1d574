//! How the answer of a command is wanted.

use std::path::{Path, PathBuf};

use coolwright::answer::Topic;

use super::cli::{Asked, Chart, Command, Completions, Grid, Learn, Man, New, Report};

/// What a command does.
pub(super) enum Doing<'a> {
    /// It prints an answer, which is wanted so.
    Answers(Form<'a>),
    /// It writes a starter case.
    New(&'a New),
    /// It writes a page.
    Report(&'a Report),
    /// It writes a picture.
    Chart(&'a Chart),
    /// It streams rows.
    Grid(&'a Grid),
    /// It learns from a log.
    Learn(&'a Learn),
    /// It writes what a shell completes by.
    Completions(&'a Completions),
    /// It writes manual pages.
    Man(&'a Man),
}

/// How an answer is wanted.
pub(super) struct Form<'a> {
    /// Case, units, JSON.
    pub(super) asked: &'a Asked,
    /// Where its table goes as CSV.
    pub(super) csv: Option<&'a Path>,
    /// What was asked.
    pub(super) topic: Topic,
    /// Whether all of it is wanted.
    pub(super) full: bool,
    /// The section that is wanted alone.
    pub(super) only: Option<&'a str>,
    /// The variant that a study is of.
    pub(super) variant: Option<&'a str>,
}

impl<'a> Doing<'a> {
    /// What a command does.
    pub(super) fn of(command: &'a Command) -> Self {
        let form = |topic, asked, csv: &'a Option<PathBuf>, full, only: &'a Option<String>| Form {
            asked,
            csv: csv.as_deref(),
            topic,
            full,
            only: only.as_deref(),
            variant: variant_of(command),
        };
        Self::Answers(match command {
            Command::Check(asked) => form(Topic::Check, asked, &None, false, &None),
            Command::Point(a) => form(Topic::Point, &a.asked, &a.csv, a.full, &a.only),
            Command::Cycle(a) => form(Topic::Cycle, &a.asked, &a.csv, a.full, &a.only),
            Command::Compare(a) => form(Topic::Compare, &a.asked, &a.csv, a.full, &a.only),
            Command::Levers(a) => form(Topic::Levers, &a.asked, &a.csv, a.full, &a.only),
            Command::Failures(a) => form(Topic::Failures, &a.asked, &a.csv, a.full, &a.only),
            Command::Size(a) => form(Topic::Size, &a.asked, &a.csv, a.full, &a.only),
            Command::Day(a) => form(Topic::Day, &a.asked, &a.csv, a.full, &a.only),
            Command::Chance(a) => form(Topic::Chance, &a.asked, &a.csv, a.full, &a.only),
            Command::Why(a) => form(Topic::Why, &a.asked, &a.csv, a.full, &a.only),
            Command::Sheets(a) => form(Topic::Sheets, &a.asked, &a.csv, true, &a.only),
            Command::New(args) => return Self::New(args),
            Command::Report(args) => return Self::Report(args),
            Command::Chart(args) => return Self::Chart(args),
            Command::Grid(args) => return Self::Grid(args),
            Command::Learn(args) => return Self::Learn(args),
            Command::Completions(args) => return Self::Completions(args),
            Command::Man(args) => return Self::Man(args),
        })
    }
}

/// The variant that a study is of. The other questions name theirs themselves.
fn variant_of(command: &Command) -> Option<&str> {
    match command {
        Command::Levers(args) => args.variant.as_deref(),
        Command::Size(args) => args.variant.as_deref(),
        Command::Failures(args) => args.variant.as_deref(),
        Command::Chance(args) => args.variant.as_deref(),
        Command::Day(args) => args.variant.as_deref(),
        _ => None,
    }
}
