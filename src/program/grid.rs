//! `grid`: rows written as they come, taken up again where they ended, and joined.

use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use coolwright::answer::Verdict;
use coolwright::ask::{Grid, Judge, Over};
use coolwright::refusal::Refusal;
use coolwright::render::{Extent, Style, json, text};
use coolwright::say;
use coolwright::sections::grid::Tally;
use rayon::prelude::*;

use super::cli;
use super::threads::Threads;
use super::{as_asked, book, files, outputs, read_case};

/// So many rows are worked out before they are written: what a kill loses at most.
const AT_ONCE: usize = 64;

/// Goes through the cases, or joins pieces.
pub(super) fn grid(
    args: &cli::Grid,
    (style, extent): (Style, &Extent),
) -> Result<Option<Verdict>, Refusal> {
    let case = read_case(&args.asked.case)?;
    let output = args.output.as_deref();
    outputs(&case, &args.asked, &[output])?;
    for read in args.table.iter().chain(&args.join) {
        outputs(&case, &args.asked, &[output, Some(read)])?;
    }
    let case = as_asked(case, args.variant.as_deref())?;
    let table = match &args.table {
        Some(path) => Some(files::read(path).map_err(|why| of_file(path, &why))?),
        None => None,
    };
    let by = if args.point { Judge::Point } else { Judge::Usual };
    let grid = case.grid(&Over { lists: args.over.clone(), table, by }, style.units)?;
    let mut tally = grid.tally();
    if args.join.is_empty() {
        through(&grid, args, &mut tally)?;
    } else {
        join(&grid, args, &mut tally)?;
    }
    if args.output.as_deref().is_some_and(|path| path.as_os_str() == "-") {
        return Ok(Some(tally.verdict()));
    }
    let answer = grid.answer(&tally);
    book(&answer, &args.asked, (style.units, extent))?;
    let said =
        if args.asked.json { json::json(&answer) } else { text::text(&style, &answer, extent) };
    files::to_stdout(&said).map_err(Refusal::said)?;
    Ok(answer.verdict)
}

fn of_file(path: &Path, why: &str) -> Refusal {
    Refusal::said(say!("{file}: {why}", file = path.display().to_string(), why = why))
}

/// The cases of a piece, `K/N`.
fn piece(text: Option<&str>, all: usize) -> Result<std::ops::Range<usize>, Refusal> {
    let Some(text) = text else { return Ok(0..all) };
    let numbers = text.split_once('/').and_then(|(k, n)| Some((k.parse().ok()?, n.parse().ok()?)));
    let Some((k, n)) = numbers.filter(|(k, n): &(usize, usize)| *k >= 1 && k <= n) else {
        return Err(Refusal::said(say!("`--piece {text}` is no piece", text = text))
            .help("the second of five pieces is `--piece 2/5`"));
    };
    let end = |k: usize| usize::try_from(all as u128 * k as u128 / n as u128).unwrap_or(all);
    Ok(end(k - 1)..end(k))
}

/// Works out what is still missing, and counts all.
fn through(grid: &Grid<'_>, args: &cli::Grid, tally: &mut Tally) -> Result<(), Refusal> {
    let cases = piece(args.piece.as_deref(), grid.len())?;
    let mut out = Out::open(args.output.as_deref(), grid, &cases, tally)?;
    let threads = Threads::new();
    let mut next = cases.start + out.there;
    while next < cases.end {
        let until = (next + AT_ONCE).min(cases.end);
        let rows: Vec<String> = (next..until).into_par_iter().map(|k| grid.row(k)).collect();
        for row in &rows {
            grid.count(row, tally);
        }
        out.write(&rows)?;
        next = until;
        threads.shows((next - cases.start) as f64 / cases.len() as f64, "of the cases");
    }
    out.done()
}

/// Where rows go.
struct Out {
    file: Option<File>,
    to_stdout: bool,
    path: PathBuf,
    /// How many rows were there already.
    there: usize,
}

impl Out {
    /// A file that is new, or one that holds the beginning of these cases: what is not whole behind that is cut off.
    fn open(
        path: Option<&Path>,
        grid: &Grid<'_>,
        cases: &std::ops::Range<usize>,
        tally: &mut Tally,
    ) -> Result<Self, Refusal> {
        let mut out = Self { file: None, to_stdout: false, path: PathBuf::new(), there: 0 };
        let Some(path) = path else { return Ok(out) };
        if path.as_os_str() == "-" {
            out.to_stdout = true;
            files::to_stdout(&(grid.header() + "\n")).map_err(Refusal::said)?;
            return Ok(out);
        }
        path.clone_into(&mut out.path);
        let said = |error: std::io::Error| of_file(path, &files::message(&error));
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)
            .map_err(said)?;
        let whole = out.whole(&mut file, grid, cases, tally)?;
        file.set_len(whole).map_err(said)?;
        file.seek(SeekFrom::Start(whole)).map_err(said)?;
        if whole == 0 {
            writeln!(file, "{}", grid.header()).map_err(said)?;
        }
        out.file = Some(file);
        Ok(out)
    }

    /// How many bytes of a file are whole rows of these cases, in their order.
    fn whole(
        &mut self,
        file: &mut File,
        grid: &Grid<'_>,
        cases: &std::ops::Range<usize>,
        tally: &mut Tally,
    ) -> Result<u64, Refusal> {
        let mut reader = BufReader::new(file);
        let mut line = Vec::new();
        let mut next = || -> Result<Option<(String, u64)>, Refusal> {
            line.clear();
            let read = reader.read_until(b'\n', &mut line);
            let bytes = read.map_err(|error| of_file(&self.path, &files::message(&error)))? as u64;
            let text = line.strip_suffix(b"\n").and_then(|text| std::str::from_utf8(text).ok());
            Ok(text.map(|text| (text.to_owned(), bytes)))
        };
        let Some((head, mut whole)) = next()? else { return Ok(0) };
        if head != grid.header() {
            return Err(self.foreign());
        }
        while let Some((row, bytes)) = next()? {
            let wanted = cases.start + self.there;
            if grid.is_own(&row) != Some(wanted) || wanted >= cases.end {
                if self.there == 0 {
                    return Err(self.foreign());
                }
                break;
            }
            grid.count(&row, tally);
            self.there += 1;
            whole += bytes;
        }
        Ok(whole)
    }

    /// That a file holds something else.
    fn foreign(&self) -> Refusal {
        of_file(&self.path, "this file holds something else than these cases of this grid")
            .help("the case, what it is varied over, the piece, the units or the program may have changed")
            .help("name another file, or remove this one")
    }

    fn write(&mut self, rows: &[String]) -> Result<(), Refusal> {
        let text: String = rows.iter().flat_map(|row| [row.as_str(), "\n"]).collect();
        if self.to_stdout {
            return files::to_stdout(&text).map_err(Refusal::said);
        }
        let Some(file) = &mut self.file else { return Ok(()) };
        let written = file.write_all(text.as_bytes()).and_then(|()| file.flush());
        written.map_err(|error| of_file(&self.path, &files::message(&error)))
    }

    fn done(self) -> Result<(), Refusal> {
        let Some(file) = self.file else { return Ok(()) };
        file.sync_all().map_err(|error| of_file(&self.path, &files::message(&error)))
    }
}

/// Joins pieces, in whatever order they are named: every case once, whole and of this grid.
fn join(grid: &Grid<'_>, args: &cli::Grid, tally: &mut Tally) -> Result<(), Refusal> {
    let mut pieces: Vec<(usize, &Path)> = Vec::new();
    for path in &args.join {
        let mut rows = Rows::open(path, grid)?;
        match rows.next(grid)? {
            Some((case, _)) => pieces.push((case, path.as_path())),
            None => return Err(of_file(path, "this piece holds no case")),
        }
    }
    pieces.sort_unstable();
    let mut out = match args.output.as_deref() {
        Some(path) if path.exists() => {
            return Err(
                of_file(path, "this file exists already").help("pieces are joined into a new file")
            );
        }
        path => Out::open(path, grid, &(0..grid.len()), tally)?,
    };
    let mut wanted = 0;
    for (first, path) in pieces {
        if first != wanted {
            return Err(gap(wanted, first, path));
        }
        let mut rows = Rows::open(path, grid)?;
        while let Some((case, row)) = rows.next(grid)? {
            if case != wanted {
                return Err(gap(wanted, case, path));
            }
            wanted += 1;
            grid.count(&row, tally);
            out.write(&[row])?;
        }
    }
    if wanted != grid.len() {
        return Err(Refusal::said(say!(
            "cases {from} to {to} are missing: give all pieces, each whole",
            from = wanted + 1,
            to = grid.len()
        )));
    }
    out.done()
}

/// That cases are missing before a piece, or are in it twice.
fn gap(wanted: usize, found: usize, path: &Path) -> Refusal {
    let words = say!(
        "case {wanted} was to come next, and {file} goes on with case {found}",
        wanted = wanted + 1,
        file = path.display().to_string(),
        found = found + 1
    );
    Refusal::said(words).help("a piece is missing, not whole, or there twice: `--piece` with its number again completes it")
}

/// The rows of a piece.
struct Rows<'p> {
    lines: BufReader<File>,
    path: &'p Path,
    line: usize,
}

impl<'p> Rows<'p> {
    fn open(path: &'p Path, grid: &Grid<'_>) -> Result<Self, Refusal> {
        let file = File::open(path).map_err(|error| of_file(path, &files::message(&error)))?;
        let mut rows = Self { lines: BufReader::new(file), path, line: 0 };
        match rows.read()? {
            Some(head) if head == grid.header() => Ok(rows),
            _ => Err(of_file(path, "this file holds something else than a piece of this grid")),
        }
    }

    fn read(&mut self) -> Result<Option<String>, Refusal> {
        let mut text = String::new();
        let read = self.lines.read_line(&mut text);
        let bytes = read.map_err(|error| of_file(self.path, &files::message(&error)))?;
        self.line += 1;
        if bytes == 0 {
            return Ok(None);
        }
        // Without its end a row is not whole, and its seal says so.
        Ok(Some(text.strip_suffix('\n').map_or_else(String::new, str::to_owned)))
    }

    fn next(&mut self, grid: &Grid<'_>) -> Result<Option<(usize, String)>, Refusal> {
        let Some(row) = self.read()? else { return Ok(None) };
        match grid.is_own(&row) {
            Some(case) => Ok(Some((case, row))),
            None => Err(Refusal::said(say!(
                "{file}: line {line} is not whole, or of another grid",
                file = self.path.display().to_string(),
                line = self.line
            ))
            .help("run its piece again with the same file: it goes on where that is whole")),
        }
    }
}
