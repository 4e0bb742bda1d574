//! Reads a logged table: separators, decimal commas, a row of units, gaps and repeats.

use crate::diagnostic::{Problem, Problems};
use crate::quantity::{Kind, spoken};
use crate::text::{Span, Spanned, TableText, nearest};

/// What is wanted of a table.
pub(super) struct Told<'a> {
    /// Its file.
    pub file: &'a str,
    /// The column of time.
    pub time: &'a Spanned<String>,
    /// The other columns.
    pub names: &'a [&'a Spanned<String>],
}

/// The rows of a table.
pub(super) struct Rows {
    /// Time of each, s, from that of the first.
    pub times_s: Vec<f64>,
    /// Numbers of each column as they stand.
    pub columns: Vec<Vec<f64>>,
    /// What the row of units says of each column; none where there is no such row.
    pub units: Vec<String>,
    /// The share of what was in the table that could not be taken as it stood.
    pub lost: f64,
}

/// A step so many times the usual is a gap.
const GAP: f64 = 5.0;
/// Most rows that are taken in.
const MOST_ROWS: usize = 200_000;

/// What is not as it should be, counted.
#[derive(Default)]
struct Counts {
    repeated: usize,
    backwards: usize,
    timeless: usize,
    held: Vec<usize>,
}

/// Reads the rows; what was found in them comes in words. `None` after a problem.
pub(super) fn rows(
    problems: &mut Problems,
    log: &TableText,
    told: &Told<'_>,
    [_, to_seconds]: [f64; 2],
) -> Option<(Rows, Vec<String>)> {
    let separator = separator(&log.text, &told.time.value);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(log.text.as_bytes());
    let records: Vec<csv::StringRecord> = match reader.records().collect() {
        Ok(records) => records,
        Err(error) => {
            let message = format!("`{}` cannot be read: {error}", told.file);
            problems.push(Problem::error(told.time.span, message).label("a column of it"));
            return None;
        }
    };
    let has_time = |record: &csv::StringRecord| record.iter().any(|name| name == told.time.value);
    let Some(head) = records.iter().position(has_time) else {
        let first = records.first().map(|r| r.iter().collect::<Vec<_>>()).unwrap_or_default();
        problems.push(no_column(told.file, told.time, &first));
        return None;
    };
    let header: Vec<&str> = records[head].iter().collect();
    let place = |name: &Spanned<String>| header.iter().position(|known| *known == name.value);
    let errors = problems.error_count();
    for name in told.names.iter().chain([&told.time]) {
        match header.iter().filter(|known| **known == name.value).count() {
            0 => problems.push(no_column(told.file, name, &header)),
            1 => {}
            several => {
                let message = format!("`{}` has {several} columns `{}`", told.file, name.value);
                problems.push(Problem::error(name.span, message).label("which of them?"));
            }
        }
    }
    if problems.error_count() > errors {
        return None;
    }
    let time = place(told.time)?;
    let places: Vec<usize> = told.names.iter().filter_map(|name| place(name)).collect();
    let comma = separator != b',';
    let columns = vec![Vec::new(); places.len()];
    let mut rows = Rows { times_s: Vec::new(), columns, units: Vec::new(), lost: 0.0 };
    let mut counts = Counts { held: vec![0; places.len()], ..Counts::default() };
    for (k, record) in records[head + 1..].iter().enumerate() {
        let at = record.get(time).and_then(|text| number(text, comma));
        let Some(at) = at.map(|at| at * to_seconds) else {
            // Right below the names stand units.
            counts.timeless += usize::from(k > 0);
            if k == 0 {
                let unit = |&p: &usize| record.get(p).unwrap_or_default().to_owned();
                rows.units = places.iter().map(unit).collect();
            }
            continue;
        };
        let numbers = places.iter().map(|&p| record.get(p).and_then(|text| number(text, comma)));
        take(&mut rows, &mut counts, at, numbers);
    }
    finish(problems, log, told, rows, &counts)
}

/// Takes one row in.
fn take(rows: &mut Rows, counts: &mut Counts, at: f64, numbers: impl Iterator<Item = Option<f64>>) {
    let last = rows.times_s.last().copied().unwrap_or(f64::NEG_INFINITY);
    if at < last {
        counts.backwards += 1;
        return;
    }
    // Two rows of one time are a step; of more the first and the last count.
    let count = rows.times_s.len();
    let again = count > 1 && at - last == 0.0 && last - rows.times_s[count - 2] == 0.0;
    counts.repeated += usize::from(at - last == 0.0);
    for ((column, number), held) in rows.columns.iter_mut().zip(numbers).zip(&mut counts.held) {
        *held += usize::from(number.is_none());
        let value = number.or(column.last().copied()).unwrap_or(f64::NAN);
        match column.last_mut().filter(|_| again) {
            Some(last) => *last = value,
            None => column.push(value),
        }
    }
    if !again {
        rows.times_s.push(at);
    }
}

/// Checks what came of all rows, and tells what was found.
fn finish(
    problems: &mut Problems,
    log: &TableText,
    told: &Told<'_>,
    mut rows: Rows,
    counts: &Counts,
) -> Option<(Rows, Vec<String>)> {
    let whole = Span::new(log.file, 0, log.text.len().min(1));
    if rows.times_s.len() < 2 || rows.times_s.len() > MOST_ROWS {
        let message = format!(
            "`{}` has {} rows with a time in `{}`: from 2 to {MOST_ROWS} can be driven by",
            told.file,
            rows.times_s.len(),
            told.time.value
        );
        problems.push(Problem::error(told.time.span, message).also(whole, "this file"));
        return None;
    }
    for (column, name) in rows.columns.iter_mut().zip(told.names) {
        let Some(first) = column.iter().copied().find(|value| value.is_finite()) else {
            let message = format!("`{}` has no number in column `{}`", told.file, name.value);
            problems.push(Problem::error(name.span, message).also(whole, "this file"));
            return None;
        };
        // Ahead of the first number stands that.
        column.iter_mut().take_while(|v| v.is_nan()).for_each(|value| *value = first);
    }
    let begin = rows.times_s[0];
    rows.times_s.iter_mut().for_each(|time| *time -= begin);
    let held = counts.held.iter().copied().max().unwrap_or(0);
    let bad = held.max(counts.backwards + counts.timeless);
    rows.lost = bad as f64 / (rows.times_s.len() + counts.backwards + counts.timeless) as f64;
    let report = report(told, &rows, counts);
    Some((rows, report))
}

/// What was found in a table, in words.
fn report(told: &Told<'_>, rows: &Rows, counts: &Counts) -> Vec<String> {
    let steps = rows.times_s.windows(2).map(|pair| pair[1] - pair[0]);
    let mut steps: Vec<f64> = steps.filter(|step| *step > 0.0).collect();
    let longest = steps.iter().copied().fold(0.0, f64::max);
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    let gaps = steps.iter().filter(|step| **step > GAP * usual).count();
    let whole = rows.times_s[rows.times_s.len() - 1];
    let seconds = |s: f64| spoken(Kind::Time, s);
    let mut report = vec![format!(
        "`{}`: {} rows over {}, one every {}",
        told.file,
        rows.times_s.len(),
        seconds(whole),
        seconds(usual)
    )];
    if gaps > 0 {
        let s = if gaps == 1 { "" } else { "s" };
        let longest = seconds(longest);
        report.push(format!("{gaps} gap{s}, the longest of {longest}: bridged by straight lines"));
    }
    for (count, what) in [
        (counts.repeated, "with the time of the row before: a step there"),
        (counts.backwards, "with a time before that of the row above: left out"),
        (counts.timeless, "without a time: left out"),
    ] {
        if count > 0 {
            report.push(format!("{count} row{} {what}", if count == 1 { "" } else { "s" }));
        }
    }
    for (name, held) in told.names.iter().zip(&counts.held).filter(|(_, held)| **held > 0) {
        let s = if *held == 1 { "" } else { "s" };
        report.push(format!(
            "`{}` has no number in {held} row{s}: the last one holds on",
            name.value
        ));
    }
    report
}

/// Says that a table has no such column.
fn no_column(file: &str, name: &Spanned<String>, known: &[&str]) -> Problem {
    let help = nearest(&name.value, known.iter().copied()).map(|n| format!("did you mean `{n}`?"));
    let message = format!("`{file}` has no column `{}`", name.value);
    let all = known.iter().take(20).copied().collect::<Vec<_>>().join(", ");
    Problem::error(name.span, message)
        .label("not among its names")
        .help_if(help)
        .help(format!("its first row has: {all}"))
}

/// What separates columns: of semicolon, tab and comma the one that stands most often in the row of names, with the
/// first two before a comma, which may be a decimal one.
fn separator(text: &str, time: &str) -> u8 {
    let names = text.lines().find(|line| line.contains(time)).unwrap_or_default();
    [b';', b'\t', b','].into_iter().find(|s| names.as_bytes().contains(s)).unwrap_or(b',')
}

/// A number as loggers write it.
fn number(text: &str, comma: bool) -> Option<f64> {
    let text = text.trim();
    let read = if comma { text.replace(',', ".").parse() } else { text.parse() };
    read.ok().filter(|value: &f64| value.is_finite())
}
