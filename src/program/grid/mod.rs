//! `grid`: rows written as they come, taken up again where they ended, and joined.

mod parquet;
mod text;

use std::path::Path;
use std::time::Instant;

use coolwright::answer::Verdict;
use coolwright::ask::{Grid, Judge, Over};
use coolwright::refusal::Refusal;
use coolwright::render;
use coolwright::render::{Extent, Style};
use coolwright::say;
use coolwright::sections::grid::Tally;
use rayon::prelude::*;

use super::cli;
use super::threads::Threads;
use super::{as_asked, book, files, interrupt, outputs, read_case};

/// So many rows are worked out before they are written, at first and at most: what a kill loses at most.
const FIRST_AT_ONCE: usize = 4;
/// See [`FIRST_AT_ONCE`].
const AT_ONCE: usize = 64;
/// A lot that took less than this, s, is followed by one twice as large.
const QUICK_S: f64 = 0.5;

/// Goes through the cases, or joins pieces.
pub(super) fn grid(
    args: &cli::Grid,
    (style, extent): (Style, &Extent),
) -> Result<Option<Verdict>, Refusal> {
    let case = read_case(&args.asked.case)?;
    let output = args.output.as_deref();
    files::of_its_form(&[output], true).map_err(Refusal::said)?;
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
    let mut counted = Counted::of(&grid, args)?;
    if args.join.is_empty() {
        through(&grid, args, &mut counted)?;
    } else {
        join(&grid, args, &mut counted)?;
    }
    let Counted { tally, kept } = counted;
    if args.output.as_deref().is_some_and(|path| path.as_os_str() == "-") {
        return Ok(Some(tally.verdict()));
    }
    let answer = grid.answer(&tally);
    book(&answer, kept.map(|rows| (grid.columns(), rows)), &args.asked, (style.units, extent))?;
    let said = if args.asked.json {
        render::json::json(&answer)
    } else {
        render::text::text(&style, &answer, extent)
    };
    files::to_stdout(&said).map_err(Refusal::said)?;
    Ok(answer.verdict)
}

fn of_file(path: &Path, why: &str) -> Refusal {
    Refusal::said(say!("{file}: {why}", file = path.display().to_string(), why = why))
}

/// That a file to be written holds something else.
fn foreign(path: &Path) -> Refusal {
    of_file(path, "this file holds something else than these cases of this grid")
        .help("the case, what it is varied over, the piece, the units or the program may have changed")
        .help("name another file, or remove this one")
}

/// That a file to be read holds something else.
fn no_piece(path: &Path) -> Refusal {
    of_file(path, "this file holds something else than a piece of this grid")
}

/// What rows come to, and the rows themselves where a workbook wants them.
struct Counted {
    tally: Tally,
    kept: Option<Vec<String>>,
}

impl Counted {
    /// A workbook of more rows is refused: all of it is in memory before it is written.
    const MOST_IN_BOOK: usize = 50_000;

    fn of(grid: &Grid<'_>, args: &cli::Grid) -> Result<Self, Refusal> {
        let cases = piece(args.piece.as_deref(), grid.len())?.len();
        if args.asked.xlsx.is_some() && cases > Self::MOST_IN_BOOK {
            return Err(Refusal::said(say!(
                "a workbook holds at most {most} rows, and this grid has {cases}",
                most = Self::MOST_IN_BOOK,
                cases = cases
            ))
            .help("write them with `-o rows.parquet` or `-o rows.csv`, which take any number"));
        }
        Ok(Self { tally: grid.tally(), kept: args.asked.xlsx.is_some().then(Vec::new) })
    }

    fn count(&mut self, grid: &Grid<'_>, row: &str) {
        grid.count(row, &mut self.tally);
        if let Some(kept) = &mut self.kept {
            kept.push(row.to_owned());
        }
    }
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
fn through(grid: &Grid<'_>, args: &cli::Grid, counted: &mut Counted) -> Result<(), Refusal> {
    let cases = piece(args.piece.as_deref(), grid.len())?;
    let parquet = args.output.as_deref().filter(|path| parquet::is_meant(path));
    if let Some(path) = parquet
        && path.exists()
    {
        return parquet::count(path, grid, cases, counted);
    }
    let kept = parquet.map(parquet::kept);
    let mut out =
        text::Out::open(kept.as_deref().or(args.output.as_deref()), grid, &cases, counted)?;
    let threads = Threads::new();
    let mut next = cases.start + out.there;
    interrupt::keeps(kept_rows(args, out.there, cases.len()));
    let mut at_once = FIRST_AT_ONCE;
    while next < cases.end {
        let until = (next + at_once).min(cases.end);
        let began = Instant::now();
        let rows: Vec<String> = (next..until).into_par_iter().map(|k| grid.row(k)).collect();
        for row in &rows {
            counted.count(grid, row);
        }
        out.write(&rows)?;
        next = until;
        interrupt::keeps(kept_rows(args, next - cases.start, cases.len()));
        let is_quick = began.elapsed().as_secs_f64() < QUICK_S;
        at_once = if is_quick { (2 * at_once).min(AT_ONCE) } else { at_once };
        threads.shows((next - cases.start) as f64 / cases.len() as f64, "of the cases");
    }
    out.done()?;
    parquet.map_or(Ok(()), |path| parquet::turn(path, grid))
}

/// What an interrupt leaves.
fn kept_rows(args: &cli::Grid, done: usize, all: usize) -> String {
    match args.output.as_deref().filter(|path| path.as_os_str() != "-") {
        Some(path) => format!(
            "{done} of {all} rows are whole; the same command goes on with {}",
            path.display()
        ),
        None => format!(
            "after {done} of {all} cases; with `-o FILE` their rows are kept, and the same command goes on with them"
        ),
    }
}

/// The rows of a piece, in one form or the other.
enum Rows<'p> {
    Text(text::Rows<'p>),
    Parquet(parquet::Rows<'p>),
}

impl<'p> Rows<'p> {
    fn open(path: &'p Path, grid: &Grid<'_>) -> Result<Self, Refusal> {
        if parquet::is_meant(path) {
            return parquet::Rows::open(path, grid).map(Self::Parquet);
        }
        text::Rows::open(path, grid).map(Self::Text)
    }

    fn next(&mut self, grid: &Grid<'_>) -> Result<Option<(usize, String)>, Refusal> {
        match self {
            Self::Text(rows) => rows.next(grid),
            Self::Parquet(rows) => rows.next(grid),
        }
    }
}

/// What pieces are joined into.
enum Joined {
    Text(text::Out),
    Parquet(Box<parquet::Out>),
}

impl Joined {
    fn write(&mut self, row: String) -> Result<(), Refusal> {
        match self {
            Self::Text(out) => out.write(&[row]),
            Self::Parquet(out) => out.write(&row),
        }
    }

    fn done(self) -> Result<(), Refusal> {
        match self {
            Self::Text(out) => out.done(),
            Self::Parquet(out) => out.done(),
        }
    }
}

/// Refuses to join CSV and Parquet.
fn of_one_form(args: &cli::Grid) -> Result<(), Refusal> {
    let output = args.output.iter().filter(|path| path.as_os_str() != "-");
    let mut all = args.join.iter().chain(output);
    let Some(first) = all.next() else { return Ok(()) };
    let Some(other) = all.find(|path| parquet::is_meant(path) != parquet::is_meant(first)) else {
        return Ok(());
    };
    Err(Refusal::said(say!(
        "{first} and {other} are not of one form: CSV and Parquet are not joined",
        first = first.display().to_string(),
        other = other.display().to_string()
    ))
    .help("a name that ends in `.parquet` is Parquet, any other CSV"))
}

/// Joins pieces, in whatever order they are named: every case once, whole and of this grid.
fn join(grid: &Grid<'_>, args: &cli::Grid, counted: &mut Counted) -> Result<(), Refusal> {
    of_one_form(args)?;
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
        Some(path) if parquet::is_meant(path) => {
            Joined::Parquet(Box::new(parquet::Out::new(path, grid)?))
        }
        Some(path) if path.as_os_str() != "-" => Joined::Text(text::Out::anew(path, grid)?),
        path => Joined::Text(text::Out::open(path, grid, &(0..grid.len()), counted)?),
    };
    join_into(&mut out, &pieces, grid, counted)?;
    out.done()
}

/// Writes all rows of pieces in their order.
fn join_into(
    out: &mut Joined,
    pieces: &[(usize, &Path)],
    grid: &Grid<'_>,
    counted: &mut Counted,
) -> Result<(), Refusal> {
    let mut wanted = 0;
    for &(first, path) in pieces {
        if first != wanted {
            return Err(gap(wanted, first, path));
        }
        let mut rows = Rows::open(path, grid)?;
        while let Some((case, row)) = rows.next(grid)? {
            if case != wanted {
                return Err(gap(wanted, case, path));
            }
            wanted += 1;
            counted.count(grid, &row);
            out.write(row)?;
        }
    }
    if wanted != grid.len() {
        return Err(Refusal::said(say!(
            "cases {from} to {to} are missing: give all pieces, each whole",
            from = wanted + 1,
            to = grid.len()
        )));
    }
    Ok(())
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
