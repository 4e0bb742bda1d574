//! The head of a log: which encoding, what separates its columns, where their names and units stand.

use std::io::Read;
use std::ops::Range;

use crate::quantity::{Kind, parse};

use super::numbers::{Marks, Written, bare, time_of_day, written};

/// Why a log cannot be used, with advice. Quantities stand in braces, as everywhere below the program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogFault {
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub help: Vec<String>,
    /// The line, from one, where one line is to blame.
    pub line: Option<usize>,
}

impl LogFault {
    pub(super) fn new(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { message: message.into(), help: vec![help.into()], line: None }
    }

    pub(super) fn at(self, line: usize) -> Self {
        Self { line: Some(line), ..self }
    }
}

/// So much of a log is looked at for its head, bytes.
const LOOKED_AT: usize = 256 << 10;
/// Names stand within so many lines.
const LINES: usize = 400;
/// More columns than this have no logger.
const MOST_COLUMNS: usize = 4000;

/// The head of a log.
#[derive(Clone, Debug, Default)]
pub struct Head {
    /// The names of its columns, without units behind them in brackets.
    pub names: Vec<String>,
    /// The names as they stand.
    pub written: Vec<String>,
    /// The unit of each; empty where none is told.
    pub units: Vec<String>,
    /// What separates columns.
    pub separator: u8,
    /// The decimal marks that the beginning of each column tells of, and those of the whole.
    pub(super) marks: Vec<Marks>,
    /// See `marks`.
    pub(super) all_marks: Marks,
    /// How many lines stand before the first row of numbers.
    pub lines: usize,
    /// The first rows of numbers, as texts.
    pub first: Vec<Vec<String>>,
}

/// The text of bytes in UTF-8 or, where they are none, in Latin-1: of which a degree sign is the usual one.
pub(super) fn text(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|byte| char::from(*byte)).collect(),
    }
}

/// What a column is called: of a name in quotation marks a doubled one is one (RFC 4180).
fn called(field: &[u8]) -> String {
    text(field).replace("\"\"", "\"")
}

/// The beginning of a source, as far as the head is looked for.
pub(super) fn beginning(source: &mut dyn Read) -> Result<Vec<u8>, LogFault> {
    let mut bytes = Vec::new();
    let read = source.take(LOOKED_AT as u64).read_to_end(&mut bytes);
    read.map_err(|error| LogFault::new("the log cannot be read", error.to_string()))?;
    Ok(bytes)
}

impl Head {
    /// The head in the beginning of a log. Names stand in the row that holds `time`, where it is told, else in the last
    /// row of words before the first numbers, or in the one above where the last are units.
    ///
    /// # Errors
    /// When there is no table.
    pub fn of(bytes: &[u8], time: Option<&str>) -> Result<Self, LogFault> {
        if bytes.is_empty() {
            return Err(LogFault::new("the log is empty", "is it the right file?"));
        }
        let wide = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
        if wide || bytes.iter().take(4096).any(|byte| *byte == 0) {
            let message = "the log is no plain text: it holds bytes of no character, or is UTF-16";
            return Err(LogFault::new(message, "export it as CSV in UTF-8"));
        }
        let bytes = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes);
        let lines: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').take(LINES).collect();
        let separator = separator(&lines, time);
        let rows: Vec<Vec<&[u8]>> = lines.iter().map(|line| parts(line, separator)).collect();
        if rows.iter().any(|row| row.len() > MOST_COLUMNS) {
            return Err(LogFault::new(
                "a line of the log has thousands of columns",
                "is it a log?",
            ));
        }
        let numeric = |row: &[&[u8]]| {
            let told = row.iter().filter(|field| !field.is_empty());
            let read =
                row.iter().filter(|field| written(field).is_some() || time_of_day(field).is_some());
            let (told, read) = (told.count(), read.count());
            told > 0 && 2 * read > told
        };
        let is_unit_row = |row: &[&[u8]]| {
            let known = row.iter().filter(|field| is_unit(&text(field))).count();
            known > 0 && 2 * known >= row.iter().filter(|field| !field.is_empty()).count()
        };
        let named = if let Some(time) = time {
            rows.iter().position(|row| row.iter().any(|name| is_called(name, time)))
        } else {
            let first = rows.iter().position(|row| row.len() > 1 && numeric(row));
            first.and_then(|first| {
                let before = (0..first).rev().find(|&k| rows[k].len() > 1)?;
                let above = before.checked_sub(1).filter(|&k| rows[k].len() > 1);
                above.filter(|_| is_unit_row(&rows[before])).or(Some(before))
            })
        };
        let Some(named) = named else { return Err(none(&lines, time)) };
        let mut from = named + 1;
        let mut below: Vec<String> = Vec::new();
        while from < rows.len() && !numeric(&rows[from]) && from < named + 4 {
            if below.is_empty() && is_unit_row(&rows[from]) {
                below = rows[from].iter().map(|field| text(field)).collect();
            }
            from += 1;
        }
        if !rows.get(from).is_some_and(|row| numeric(row)) {
            let message = "the log has names and no rows of numbers below them";
            return Err(LogFault::new(message, "a log needs at least two rows").at(named + 1));
        }
        let as_written: Vec<String> = rows[named].iter().map(|field| called(field)).collect();
        let (names, mut units): (Vec<String>, Vec<String>) =
            as_written.iter().map(|name| apart(name)).unzip();
        for (unit, below) in units.iter_mut().zip(&below) {
            let plain = bared(below);
            if unit.is_empty() && is_unit(plain) {
                plain.clone_into(unit);
            }
        }
        let first = rows[from..].iter().take(20);
        let first = first.map(|row| row.iter().map(|field| text(field)).collect()).collect();
        // Where the beginning ends within a line, its last field is cut.
        let cut = bytes.len() + 3 >= LOOKED_AT;
        let end = bytes.iter().rposition(|byte| *byte == b'\n').filter(|_| cut);
        let below = bytes[..end.unwrap_or(bytes.len())].split(|byte| *byte == b'\n').skip(from);
        let (marks, all_marks) = marks(below, separator, names.len());
        let written = as_written;
        Ok(Self { names, written, units, separator, marks, all_marks, lines: from, first })
    }

    /// Looks at the head of a log.
    ///
    /// # Errors
    /// When there is no table.
    pub fn look(source: &mut dyn Read) -> Result<Self, LogFault> {
        Self::of(&beginning(source)?, None)
    }

    /// The decimal mark of a column, where its numbers or those of the log tell one.
    pub fn decimal(&self, column: usize) -> Option<char> {
        let own = self.marks.get(column).copied().unwrap_or_default();
        own.decimal(self.all_marks).map(char::from)
    }

    /// The columns of a name, as it stands or without its unit.
    pub(super) fn places(&self, name: &str) -> Vec<usize> {
        let whole: Vec<usize> =
            (0..self.written.len()).filter(|&k| self.written[k] == name).collect();
        if !whole.is_empty() {
            return whole;
        }
        (0..self.names.len()).filter(|&k| self.names[k] == name).collect()
    }
}

/// The decimal marks that each column tells of, and those of all. A comma that parts columns is no decimal mark in them.
fn marks<'a>(
    rows: impl Iterator<Item = &'a [u8]>,
    separator: u8,
    columns: usize,
) -> (Vec<Marks>, Marks) {
    let mut own = vec![Marks::default(); columns];
    for row in rows {
        for (field, marks) in parts(row, separator).into_iter().zip(&mut own) {
            if let Some(Written::Plain(_, mark)) = written(field) {
                marks.take(mark);
            }
        }
    }
    let mut all = own.iter().fold(Marks::default(), |all, own| all.and(*own));
    if separator == b',' {
        all.take(Some(b'.'));
    }
    (own, all)
}

/// The fields of a line, without blanks and quotation marks.
fn parts(line: &[u8], separator: u8) -> Vec<&[u8]> {
    let mut fields = Vec::new();
    split(line, separator, usize::MAX, &mut fields);
    fields.into_iter().map(|range| bare(&line[range])).collect()
}

/// The fields of a line up to the last that is wanted. A separator within quotation marks that begin a field separates
/// nothing; a quotation mark left open is a sign like any other.
pub(super) fn split(line: &[u8], separator: u8, last: usize, fields: &mut Vec<Range<usize>>) {
    for quotes in [true, false] {
        fields.clear();
        let (mut from, mut quoted, mut begins) = (0, false, true);
        for (k, &byte) in line.iter().enumerate() {
            if byte == b'"' && quotes && (quoted || begins) {
                (quoted, begins) = (!quoted, false);
            } else if byte == separator && !quoted {
                fields.push(from..k);
                (from, begins) = (k + 1, true);
                if fields.len() > last {
                    return;
                }
            } else {
                begins &= byte.is_ascii_whitespace();
            }
        }
        if !quoted {
            break;
        }
    }
    fields.push(from_last(fields)..line.len());
}

/// Where the field behind the last begins.
fn from_last(fields: &[Range<usize>]) -> usize {
    fields.last().map_or(0, |last| last.end + 1)
}

fn is_called(field: &[u8], name: &str) -> bool {
    let written = called(field);
    written == name || apart(&written).0 == name
}

/// Why no head was found.
fn none(lines: &[&[u8]], time: Option<&str>) -> LogFault {
    let first = lines.iter().map(|line| text(line.trim_ascii())).find(|line| !line.is_empty());
    let shown: String = first.unwrap_or_default().chars().take(60).collect();
    match time {
        Some(time) => LogFault::new(
            format!("no line of the log has a column `{time}`"),
            format!("its first line is: {shown}"),
        ),
        None => LogFault::new(
            "no table was found in the log: no row of names above rows of numbers",
            format!("its first line is: {shown}"),
        ),
    }
}

/// A name and the unit in brackets behind it.
fn apart(written: &str) -> (String, String) {
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some((name, rest)) = written.rsplit_once(open)
            && let Some(unit) = rest.trim().strip_suffix(close)
            && (is_unit(unit.trim()) || open == '[')
            && !name.trim().is_empty()
        {
            return (name.trim().to_owned(), unit.trim().to_owned());
        }
    }
    (written.to_owned(), String::new())
}

/// A unit without the brackets that it may stand in.
fn bared(text: &str) -> &str {
    let text = text.trim();
    let within = |open, close| text.strip_prefix(open)?.strip_suffix(close);
    within('[', ']').or_else(|| within('(', ')')).map_or(text, str::trim)
}

/// Whether a text is a unit that is known.
pub(super) fn is_unit(text: &str) -> bool {
    let text = bared(text);
    let of_pressure = |kind| parse(kind, &format!("1 {text}")).is_ok();
    !text.is_empty()
        && (crate::quantity::find_unit(text).is_some()
            || ["-", "1"].contains(&text)
            || [Kind::GaugePressure, Kind::AbsolutePressure].into_iter().any(of_pressure))
}

/// What separates columns: of semicolon, tab, bar and comma the first that stands in the row of names, or in most lines.
/// A comma may be a decimal one, so it comes last.
fn separator(lines: &[&[u8]], time: Option<&str>) -> u8 {
    let all = [b';', b'\t', b'|', b','];
    let parted = |line: &[u8], separator: u8| {
        let mut fields = Vec::new();
        split(line, separator, 1, &mut fields);
        fields.len() > 1
    };
    if let Some(time) = time {
        let called = |line: &[u8], s: u8| parts(line, s).iter().any(|name| is_called(name, time));
        let named = lines
            .iter()
            .find_map(|line| all.into_iter().find(|s| parted(line, *s) && called(line, *s)));
        if let Some(found) = named {
            return found;
        }
    }
    let count = |s: &u8| lines.iter().filter(|line| parted(line, *s)).count();
    let told = lines.iter().filter(|line| !line.trim_ascii().is_empty()).count();
    all.into_iter().find(|s| 3 * count(s) >= 2 * told).unwrap_or(b',')
}
