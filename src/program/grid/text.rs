//! Rows as text: CSV that is taken up again where it is whole.

use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::{Path, PathBuf};

use coolwright::ask::Grid;
use coolwright::refusal::Refusal;
use coolwright::say;

use super::super::files::{self, Beside};
use super::super::interrupt;
use super::{Counted, foreign, no_piece, of_file};

/// Where rows go as text.
pub(super) struct Out {
    file: Option<File>,
    to_stdout: bool,
    /// Whether the file is a device or a pipe.
    is_stream: bool,
    /// Where it is put when all rows are in it, if not before.
    place: Option<Beside>,
    path: PathBuf,
    /// How many rows were there already.
    pub(super) there: usize,
}

impl Out {
    /// A file that is new, or one that holds the beginning of these cases: what is not whole behind that is cut off.
    pub(super) fn open(
        path: Option<&Path>,
        grid: &Grid<'_>,
        cases: &Range<usize>,
        counted: &mut Counted,
    ) -> Result<Self, Refusal> {
        let mut out = Self {
            file: None,
            to_stdout: false,
            is_stream: false,
            place: None,
            path: PathBuf::new(),
            there: 0,
        };
        let Some(path) = path else { return Ok(out) };
        if path.as_os_str() == "-" {
            out.to_stdout = true;
            stream(&(grid.header() + "\n"))?;
            return Ok(out);
        }
        path.clone_into(&mut out.path);
        let said = |error: std::io::Error| of_file(path, &files::message(&error));
        if std::fs::metadata(path).is_ok_and(|meta| !meta.is_file() && !meta.is_dir()) {
            // A device or a pipe is written to as standard output is: it holds no rows to go on with.
            let mut file = OpenOptions::new().write(true).open(path).map_err(said)?;
            writeln!(file, "{}", grid.header()).map_err(said)?;
            out.file = Some(file);
            out.is_stream = true;
            return Ok(out);
        }
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)
            .map_err(said)?;
        let whole = out.whole(&mut file, grid, cases, counted)?;
        file.set_len(whole).map_err(said)?;
        file.seek(SeekFrom::Start(whole)).map_err(said)?;
        if whole == 0 {
            writeln!(file, "{}", grid.header()).map_err(said)?;
        }
        out.file = Some(file);
        Ok(out)
    }

    /// A file that is written beside its place until all rows are in it.
    pub(super) fn anew(path: &Path, grid: &Grid<'_>) -> Result<Self, Refusal> {
        let said = |error: std::io::Error| of_file(path, &files::message(&error));
        let place = Beside::new(path).map_err(said)?;
        let mut file = place.file().map_err(said)?;
        writeln!(file, "{}", grid.header()).map_err(said)?;
        Ok(Self {
            file: Some(file),
            to_stdout: false,
            is_stream: false,
            place: Some(place),
            path: path.to_owned(),
            there: 0,
        })
    }

    /// How many bytes of a file are whole rows of these cases, in their order.
    fn whole(
        &mut self,
        file: &mut File,
        grid: &Grid<'_>,
        cases: &Range<usize>,
        counted: &mut Counted,
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
            return Err(foreign(&self.path));
        }
        while let Some((row, bytes)) = next()? {
            let wanted = cases.start + self.there;
            if grid.is_own(&row) != Some(wanted) || wanted >= cases.end {
                if self.there == 0 {
                    return Err(foreign(&self.path));
                }
                break;
            }
            counted.count(grid, &row);
            self.there += 1;
            whole += bytes;
        }
        Ok(whole)
    }

    pub(super) fn write(&mut self, rows: &[String]) -> Result<(), Refusal> {
        let text: String = rows.iter().flat_map(|row| [row.as_str(), "\n"]).collect();
        if self.to_stdout {
            return stream(&text);
        }
        let Some(file) = &mut self.file else { return Ok(()) };
        let written = file.write_all(text.as_bytes()).and_then(|()| file.flush());
        written.map_err(|error| of_file(&self.path, &files::message(&error)))
    }

    pub(super) fn done(self) -> Result<(), Refusal> {
        let said = |error: std::io::Error| of_file(&self.path, &files::message(&error));
        if let Some(place) = self.place {
            return place.placed().map_err(said);
        }
        let Some(file) = self.file.filter(|_| !self.is_stream) else { return Ok(()) };
        file.sync_all().map_err(said)
    }
}

/// Rows for a pipe that nobody reads any more are not worked out.
fn stream(text: &str) -> Result<(), Refusal> {
    if files::is_heard(text).map_err(Refusal::said)? { Ok(()) } else { interrupt::unread() }
}

/// The rows of a piece.
pub(super) struct Rows<'p> {
    lines: BufReader<File>,
    path: &'p Path,
    line: usize,
}

impl<'p> Rows<'p> {
    pub(super) fn open(path: &'p Path, grid: &Grid<'_>) -> Result<Self, Refusal> {
        let file = File::open(path).map_err(|error| of_file(path, &files::message(&error)))?;
        let mut rows = Self { lines: BufReader::new(file), path, line: 0 };
        match rows.read()? {
            Some(head) if head == grid.header() => Ok(rows),
            _ => Err(no_piece(path)),
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

    pub(super) fn next(&mut self, grid: &Grid<'_>) -> Result<Option<(usize, String)>, Refusal> {
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
