//! `report` and `chart`: one page about a case, and its pictures one by one.

use std::path::Path;

use coolwright::answer::drawing;
use coolwright::answer::{Value, Verdict};
use coolwright::ask::{Case, Study};
use coolwright::page::{Solver, live_page, page};
use coolwright::pictures::{Pen, Pictures, alone};
use coolwright::refusal::Refusal;
use coolwright::say;
use coolwright::study::Slider;
use coolwright_cases::text::nearest;

use super::cli::{Chart, Report};
use super::threads::Threads;
use super::{files, read_case};

/// The solver of a page, packed, where it was built in.
#[cfg(feature = "live")]
const SOLVER: Option<&[u8]> = Some(include_bytes!(concat!(env!("OUT_DIR"), "/solver.wasm.gz")));
/// The solver of a page, packed, where it was built in.
#[cfg(not(feature = "live"))]
const SOLVER: Option<&[u8]> = None;

/// Writes the page of a case.
pub(super) fn report(args: &Report) -> Result<Option<Verdict>, Refusal> {
    let case = read_case(&args.case)?;
    files::apart(&case, &args.case, &[Some(&args.output), args.learn.as_deref()])
        .map_err(Refusal::said)?;
    let told = told(&case, &args.live)?;
    let studies: Vec<Study> = args.with.iter().map(|study| (*study).into()).collect();
    let report = reported(&case, &studies, args.learn.as_deref())?;
    let page = match SOLVER {
        Some(packed) if !args.still => {
            let sliders = case.sliders(told, &report, &Threads::new())?;
            let texts = texts(&case);
            let solver = Solver { packed, texts: &texts, sliders: &sliders };
            live_page(&report, args.units.into(), &solver)
        }
        _ => page(&report, args.units.into()),
    };
    put(&args.output, &page)?;
    Ok(report.judge().verdict)
}

/// The numbers that are to have sliders.
fn told(case: &Case, addresses: &[String]) -> Result<Vec<Slider>, Refusal> {
    if SOLVER.is_none() && !addresses.is_empty() {
        return Err(Refusal::said("`--live`: this program was built without the live page")
            .help("`.ci/live` of its sources builds it with that"));
    }
    case.movable(addresses)
}

/// The texts of a case, by the names that it has for them; its own without the folder that it lies in.
fn texts(case: &Case) -> Vec<(String, String)> {
    let text = |(k, (name, text)): (usize, (&str, &str))| {
        let own = Path::new(name).file_name().map(|name| name.to_string_lossy().into_owned());
        let name = own.filter(|_| k == 0).unwrap_or_else(|| name.to_owned());
        (name, text.to_owned())
    };
    case.texts().enumerate().map(text).collect()
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
