//! `report` and `chart`: one page about a case, and its pictures one by one.

use std::path::Path;

use coolwright::answer::drawing;
use coolwright::answer::{Value, Verdict};
use coolwright::ask::{Case, Study};
use coolwright::page::page;
use coolwright::pictures::{Pen, Pictures, alone};
use coolwright::refusal::Refusal;
use coolwright::say;
use coolwright_cases::text::nearest;

use super::cli::{Chart, Report};
use super::threads::Threads;
use super::{files, read_case};

/// Writes the page of a case.
pub(super) fn report(args: &Report) -> Result<Option<Verdict>, Refusal> {
    let case = read_case(&args.case)?;
    files::apart(&case, &args.case, &[Some(&args.output), args.learn.as_deref()])
        .map_err(Refusal::said)?;
    let studies: Vec<Study> = args.with.iter().map(|study| (*study).into()).collect();
    let report = reported(&case, &studies, args.learn.as_deref())?;
    put(&args.output, &page(&report, args.units.into()))?;
    Ok(report.judge().verdict)
}

/// All answers about a case, with what a log tells where there is one.
fn reported(
    case: &Case,
    studies: &[Study],
    stand: Option<&Path>,
) -> Result<drawing::Report, Refusal> {
    let mut report = case.report(studies, &Threads::new())?;
    if let Some(stand) = stand {
        report.learnt = Some(super::learn::learnt(case, stand)?.0.answer);
    }
    Ok(report)
}

/// Writes one picture of a case, or lists their names.
pub(super) fn chart(args: &Chart) -> Result<Option<Verdict>, Refusal> {
    let case = read_case(&args.case)?;
    files::apart(&case, &args.case, &[args.output.as_deref(), args.learn.as_deref()])
        .map_err(Refusal::said)?;
    let report = reported(&case, &[], args.learn.as_deref())?;
    let pictures = Pictures::of(&Pen::of(args.units.into()), &report);
    let names: Vec<&str> = pictures.all().map(|picture| picture.name.as_str()).collect();
    let Some(wanted) = &args.name else {
        files::to_stdout(&(names.join("\n") + "\n")).map_err(Refusal::said)?;
        return Ok(None);
    };
    let Some(picture) = pictures.all().find(|picture| picture.name == *wanted) else {
        let hint: Value = match nearest(wanted, names.iter().copied()) {
            Some(near) => say!(" Did you mean `{name}`?", name = near).into(),
            None => "".into(),
        };
        return Err(Refusal::said(say!(
            "the case has no picture `{name}`.{hint} It has: {known}",
            name = wanted,
            hint = hint,
            known = Value::list(names, ", "),
        )));
    };
    let output = args.output.as_deref().unwrap_or_else(|| Path::new("-"));
    put(output, &alone(picture))?;
    Ok(None)
}

/// Writes a file whole or not at all.
fn put(path: &Path, text: &str) -> Result<(), Refusal> {
    files::write(path, text).map_err(Refusal::said)
}
