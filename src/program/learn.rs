//! `learn`: opens the log, writes what was learnt.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use coolwright::answer::Verdict;
use coolwright::ask::{Case, Learnt};
use coolwright::refusal::Refusal;
use coolwright::render::{Extent, Style, csv, json, text};
use coolwright::say;

use super::cli;
use super::threads::Threads;
use super::{book, files, outputs, read_case};

/// Learns from a log, or proposes what its columns are.
pub(super) fn learn(
    args: &cli::Learn,
    (style, extent): (Style, &Extent),
) -> Result<Option<Verdict>, Refusal> {
    let case = read_case(&args.asked.case)?;
    if let Some(log) = &args.columns {
        let text = case.columns(&name(log), &mut open(log).map_err(|why| of(log, &why))?)?;
        files::to_stdout(&text).map_err(Refusal::said)?;
        return Ok(None);
    }
    let Some(path) = &args.stand else {
        return Err(Refusal::said("`learn` needs a stand file, or a log").help(
            "`coolwright learn CASE --columns LOG.csv` proposes a stand file to start from",
        ));
    };
    let named = [args.output.as_deref(), args.csv.as_deref(), Some(path.as_path())];
    files::of_its_form(&named[..2], false).map_err(Refusal::said)?;
    outputs(&case, &args.asked, &named)?;
    let (learnt, log) = learnt(&case, path)?;
    let log = log.as_deref().filter(|log| *log != path.as_path());
    outputs(&case, &args.asked, &[&named[..2], &[log]].concat())?;
    if let Some(output) = &args.output {
        files::write(output, &learnt.parts).map_err(Refusal::said)?;
    }
    let answer = &learnt.answer;
    book(answer, None, &args.asked, (style.units, extent))?;
    if let (Some(file), Some(histories)) = (&args.csv, &answer.histories) {
        let table = csv::histories(histories, style.units);
        table.and_then(|table| files::write(file, &table)).map_err(Refusal::said)?;
        if file.as_os_str() == "-" {
            return Ok(answer.verdict);
        }
    }
    let said =
        if args.asked.json { json::json(answer) } else { text::text(&style, answer, extent) };
    files::to_stdout(&said).map_err(Refusal::said)?;
    Ok(answer.verdict)
}

/// What a stand file tells of a case, or a log with its columns taken by their names; and where the log lies.
pub(super) fn learnt(case: &Case, path: &Path) -> Result<(Learnt, Option<PathBuf>), Refusal> {
    let is_stand = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("ron"));
    if is_stand {
        let text = files::read(path).map_err(|why| of(path, &why))?;
        let folder: PathBuf = path.parent().map_or_else(PathBuf::new, Path::to_path_buf);
        let mut opened = None;
        let mut beside = |log: &str| {
            opened = Some(folder.join(log));
            files::open_beside(&folder, log).map(boxed)
        };
        let name = path.display().to_string();
        let learnt = case.learn((&name, &text), &mut beside, &Threads::new())?;
        return Ok((learnt, opened));
    }
    let text = case.columns(&name(path), &mut open(path).map_err(|why| of(path, &why))?)?;
    let mut itself = |_: &str| open(path).map(boxed);
    let learnt = case.learn(("the stand file as proposed", &text), &mut itself, &Threads::new())?;
    Ok((learnt, Some(path.to_owned())))
}

fn boxed(file: File) -> Box<dyn Read> {
    Box::new(file)
}

/// The name of a file without its folder.
fn name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

fn of(path: &Path, why: &str) -> Refusal {
    Refusal::said(say!("{file}: {why}", file = path.display().to_string(), why = why))
}

fn open(path: &Path) -> Result<File, String> {
    let file = File::open(path).map_err(|error| files::message(&error))?;
    let meta = file.metadata().map_err(|error| files::message(&error))?;
    if meta.is_dir() { Err("this is a folder, not a log".to_owned()) } else { Ok(file) }
}
