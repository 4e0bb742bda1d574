//! A log as a table, read in one pass and in bounded memory.
//!
//! Rows come in blocks. A block is looked through for spikes and frozen stretches and then put into the table; where
//! that grows over its bound, two neighbours each become one, from the beginning on, so that a log of any length stays
//! a table of some hundred thousand rows.

use std::io::{BufRead, BufReader, Read};

use super::channel::{ChannelReport, Faults, despike, thaw};
use super::clock::{Clock, ClockReport, Stamp};
use super::head::{Head, LogFault, beginning, split, text};
use super::numbers::{Marks, Written, bare, time_of_day, written};
use crate::quantity::{Kind, spoken};

/// Most rows that are kept.
const MOST_ROWS: usize = 1 << 18;
/// Rows of a block.
const BLOCK: usize = 1 << 15;
/// A line longer than this is no line of a log, bytes.
const LONGEST_LINE: usize = 1 << 20;
/// A step so many times the usual is a gap.
const GAP: f64 = 5.0;

/// A column that is wanted.
#[derive(Clone, Debug)]
pub struct Column {
    /// Its name in the log.
    pub name: String,
    /// What makes SI of its numbers: offset and factor.
    pub scale: [f64; 2],
    /// What such a thing can be at all, SI.
    pub possible: [f64; 2],
    /// Whether it is read and not commanded: what is commanded may jump.
    pub is_read: bool,
}

/// What is wanted of a log.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// The column of time.
    pub time: String,
    /// What makes seconds of its numbers; a time of day needs none.
    pub to_seconds: f64,
    /// The other columns.
    pub columns: Vec<Column>,
}

/// A log as far as it is wanted.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// Times, s, from that of the first row on, growing.
    pub times_s: Vec<f64>,
    /// The columns, SI; what is not known is no number.
    pub columns: Vec<Vec<f64>>,
    /// The units that the log itself tells of the columns; empty where it tells none.
    pub units: Vec<String>,
    /// Rows of the file that make one of these.
    pub merged: usize,
    /// Rows of the file with a time.
    pub rows: usize,
    /// The usual step between rows of this table, s.
    pub step_s: f64,
    /// Gaps: when, and how long, s; the longest first.
    pub gaps: Vec<[f64; 2]>,
    /// How the clock ran.
    pub clock: ClockReport,
    /// What was found in each column.
    pub channels: Vec<ChannelReport>,
    /// Columns of the log that nothing was wanted of.
    pub unused: Vec<String>,
}

/// Rows underway.
struct Rows<'w> {
    wanted: &'w Wanted,
    times_s: Vec<f64>,
    columns: Vec<Vec<f64>>,
    /// How many rows with the last stamp are in the last row, by column.
    shares: Vec<u32>,
    faults: Vec<Faults>,
    table: Table,
    /// Sums of the row of the table underway: times and how many; values and how many, by column.
    sum: (f64, usize),
    sums: Vec<(f64, u32)>,
}

/// Reads a log. Only how the file is read ends it; whatever is wrong with single rows and fields is counted.
///
/// # Errors
/// When there is no table, no such column, or too few rows.
pub fn read(source: &mut dyn Read, wanted: &Wanted) -> Result<Table, LogFault> {
    let begin = beginning(source)?;
    let head = Head::of(&begin, Some(&wanted.time))?;
    let place = |name: &str| match head.places(name)[..] {
        [place] => Ok(place),
        [] => Err(no_column(name, &head)),
        _ => Err(LogFault::new(
            format!("the log has several columns `{name}`"),
            "give each a name of its own",
        )),
    };
    let time = place(&wanted.time)?;
    let places = wanted.columns.iter().map(|column| place(&column.name));
    let places = places.collect::<Result<Vec<usize>, LogFault>>()?;
    let mut rows = Rows::new(wanted);
    let mut marks: Vec<Marking> = places.iter().map(|&k| Marking::of(&head, k)).collect();
    let mut of_time = Marking::of(&head, time);
    let named = |k: &usize| *k != time && !places.contains(k) && !head.names[*k].is_empty();
    rows.table.unused =
        (0..head.names.len()).filter(named).map(|k| head.names[k].clone()).collect();
    rows.table.units = places.iter().map(|&k| head.units[k].clone()).collect();
    through(
        BufReader::with_capacity(1 << 18, begin.chain(source)),
        (&head, time, &places),
        (&mut rows, &mut of_time, &mut marks),
    )?;
    rows.finish()
}

fn no_column(name: &str, head: &Head) -> LogFault {
    let near = crate::text::nearest(name, head.names.iter().map(String::as_str));
    let known = head.names.iter().filter(|name| !name.is_empty()).take(24).cloned();
    let known = format!("it has: {}", known.collect::<Vec<_>>().join(", "));
    let mut fault = LogFault::new(format!("the log has no column `{name}`"), known);
    if let Some(near) = near {
        fault.help.insert(0, format!("did you mean `{near}`?"));
    }
    fault
}

/// How the numbers of a column are marked.
struct Marking {
    own: Marks,
    log: Marks,
    /// The first field that could be read in two ways and was read by a mark told elsewhere, and its line.
    settled: Option<(String, usize)>,
}

impl Marking {
    fn of(head: &Head, column: usize) -> Self {
        let own = head.marks.get(column).copied().unwrap_or_default();
        Self { own, log: head.all_marks, settled: None }
    }

    /// A field as a number; nothing where it is none.
    ///
    /// # Errors
    /// When it can be read in two ways and nothing says in which.
    fn number(
        &mut self,
        field: &[u8],
        (name, line): (&str, usize),
    ) -> Result<Option<f64>, LogFault> {
        let (mark, readings) = match written(field) {
            None => return Ok(None),
            Some(Written::Plain(value, None)) => return Ok(Some(value)),
            Some(Written::Plain(value, mark)) => {
                let before = self.own.decimal(self.log);
                self.own.take(mark);
                if let Some((shown, at)) = self.settled.take_if(|_| before != mark) {
                    let plain = text(bare(field));
                    return Err(two_ways(
                        name,
                        (&shown, at),
                        &format!(
                            "`{plain}` in line {line} speaks \
                        against how it was read"
                        ),
                    ));
                }
                return Ok(Some(value));
            }
            Some(Written::Either(mark, readings)) => (mark, readings),
        };
        let shown = || text(bare(field));
        let Some(decimal) = self.own.decimal(self.log) else {
            let [a, b] = readings;
            return Err(two_ways(name, (&shown(), line), &format!("it is {a} or {b}")));
        };
        if self.settled.is_none() {
            self.settled = Some((shown(), line));
        }
        Ok(Some(readings[usize::from(decimal != mark)]))
    }
}

/// A number that can be read in two ways.
fn two_ways(name: &str, (shown, line): (&str, usize), why: &str) -> LogFault {
    let message = format!("`{shown}` in the column `{name}` can be read in two ways: {why}");
    LogFault::new(
        message,
        "export the log without signs between thousands, or with one decimal more or less",
    )
    .at(line)
}

/// Goes through all lines.
fn through(
    mut lines: impl BufRead,
    (head, time, places): (&Head, usize, &[usize]),
    (rows, of_time, marks): (&mut Rows<'_>, &mut Marking, &mut [Marking]),
) -> Result<(), LogFault> {
    let mut clock = Clock::default();
    let last = places.iter().copied().max().unwrap_or(0).max(time);
    let mut fields: Vec<std::ops::Range<usize>> = Vec::with_capacity(last + 1);
    let (mut line, mut number_of_line, mut row) = (Vec::new(), 0_usize, 0_usize);
    let mut numbers = vec![f64::NAN; places.len()];
    let mut held = numbers.clone();
    loop {
        line.clear();
        let read = lines.by_ref().take(LONGEST_LINE as u64).read_until(b'\n', &mut line);
        let read = read.map_err(|error| {
            LogFault::new("the log cannot be read to its end", error.to_string())
        })?;
        if read == 0 {
            break;
        }
        number_of_line += 1;
        if line.len() >= LONGEST_LINE {
            let message = "a line of the log is longer than a million signs";
            return Err(LogFault::new(message, "is it a log?").at(number_of_line));
        }
        if number_of_line <= head.lines {
            continue;
        }
        split(&line, head.separator, last, &mut fields);
        let field = |place: usize| fields.get(place).map_or(&[][..], |range| &line[range.clone()]);
        let told = field(time);
        let at = of_time.number(told, (&rows.wanted.time, number_of_line))?;
        let of_day = at.is_none().then(|| time_of_day(told)).flatten();
        clock.of_day |= of_day.is_some();
        let Some(at) = at.map(|at| at * rows.wanted.to_seconds).or(of_day) else {
            clock.report.timeless += usize::from(!line.trim_ascii().is_empty());
            continue;
        };
        row += 1;
        for (k, &place) in places.iter().enumerate() {
            let name = &rows.wanted.columns[k].name;
            let read = marks[k].number(field(place), (name, number_of_line))?;
            numbers[k] = rows.number(k, read, (field(place), number_of_line));
        }
        let (released, stamp) = clock.take(at, row);
        if let Some(at) = released {
            rows.push(at, &held);
        }
        match stamp {
            Stamp::Next(at) => rows.push(at, &numbers),
            Stamp::Again => rows.again(&numbers),
            Stamp::Held => held.copy_from_slice(&numbers),
        }
    }
    clock.end();
    rows.table.clock = clock.report;
    Ok(())
}

impl<'w> Rows<'w> {
    fn new(wanted: &'w Wanted) -> Self {
        let count = wanted.columns.len();
        let table = Table { columns: vec![Vec::new(); count], merged: 1, ..Table::default() };
        Self {
            wanted,
            times_s: Vec::new(),
            columns: vec![Vec::new(); count],
            shares: vec![0; count],
            faults: vec![Faults::default(); count],
            table,
            sum: (0.0, 0),
            sums: vec![(0.0, 0); count],
        }
    }

    /// A field as a number, SI; what it is else is counted.
    fn number(&mut self, k: usize, read: Option<f64>, (field, line): (&[u8], usize)) -> f64 {
        let Column { scale: [offset, factor], possible: [least, most], .. } =
            self.wanted.columns[k];
        let faults = &mut self.faults[k];
        let Some(read) = read else {
            let field = bare(field);
            if field.is_empty() {
                faults.holes += 1;
            } else {
                faults.texts += 1;
                if faults.text.is_none() {
                    faults.text = Some((text(field).chars().take(20).collect(), line));
                }
            }
            return f64::NAN;
        };
        let si = offset + factor * read;
        if (least..=most).contains(&si) {
            return si;
        }
        faults.impossible += 1;
        f64::NAN
    }

    fn push(&mut self, at: f64, numbers: &[f64]) {
        if self.times_s.len() >= BLOCK {
            self.flush();
        }
        self.table.rows += 1;
        self.times_s.push(at);
        for ((column, share), number) in self.columns.iter_mut().zip(&mut self.shares).zip(numbers)
        {
            column.push(*number);
            *share = u32::from(number.is_finite());
        }
    }

    /// A row of the same time: the mean of both.
    fn again(&mut self, numbers: &[f64]) {
        self.table.rows += 1;
        for ((column, share), number) in self.columns.iter_mut().zip(&mut self.shares).zip(numbers)
        {
            let Some(mean) = column.last_mut().filter(|_| number.is_finite()) else { continue };
            *share += 1;
            *mean =
                if *share == 1 { *number } else { *mean + (number - *mean) / f64::from(*share) };
        }
    }

    /// Looks a block through and puts it into the table.
    fn flush(&mut self) {
        for ((column, faults), of) in
            self.columns.iter_mut().zip(&mut self.faults).zip(&self.wanted.columns)
        {
            if of.is_read {
                despike(column, faults);
                thaw(&self.times_s, column, faults);
            }
        }
        for k in 0..self.times_s.len() {
            if self.sum.1 == self.table.merged {
                self.close();
            }
            self.sum = (self.sum.0 + self.times_s[k], self.sum.1 + 1);
            for (sum, column) in self.sums.iter_mut().zip(&self.columns) {
                if column[k].is_finite() {
                    *sum = (sum.0 + column[k], sum.1 + 1);
                }
            }
        }
        self.times_s.clear();
        self.columns.iter_mut().for_each(Vec::clear);
    }

    /// Closes the row of the table underway.
    fn close(&mut self) {
        let (sum, count) = std::mem::take(&mut self.sum);
        if count == 0 {
            return;
        }
        if self.table.times_s.len() >= MOST_ROWS {
            self.table.halve();
        }
        self.table.times_s.push(sum / count as f64);
        for (column, sum) in self.table.columns.iter_mut().zip(&mut self.sums) {
            let (sum, count) = std::mem::take(sum);
            column.push(if count == 0 { f64::NAN } else { sum / f64::from(count) });
        }
    }

    fn finish(mut self) -> Result<Table, LogFault> {
        self.flush();
        self.close();
        let mut table = self.table;
        let (Some(&first), Some(&last)) = (table.times_s.first(), table.times_s.last()) else {
            let message = "the log has no row with a time";
            return Err(LogFault::new(message, "look at the column of time and its unit"));
        };
        if table.times_s.len() < 2 || last <= first {
            let message = "the log has a single row: nothing happens in it";
            return Err(LogFault::new(message, "a log needs at least two rows"));
        }
        table.times_s.iter_mut().for_each(|time| *time -= first);
        table.find_gaps();
        let columns = self.wanted.columns.iter().zip(self.faults).zip(&table.columns);
        table.channels = columns
            .map(|((wanted, mut faults), column)| {
                let numbers = column.iter().filter(|value| value.is_finite());
                let one = numbers.clone().next().copied().unwrap_or(f64::NAN);
                if let Some(froze) = &mut faults.froze {
                    froze[0] -= first;
                }
                ChannelReport {
                    name: wanted.name.clone(),
                    faults,
                    is_dead: numbers.clone().all(|value| value.total_cmp(&one).is_eq()),
                    left: numbers.count(),
                }
            })
            .collect();
        Ok(table)
    }
}

impl Table {
    /// Makes one row of two neighbours each.
    fn halve(&mut self) {
        let mean = |pair: &[f64]| {
            let (sum, count) = pair
                .iter()
                .filter(|value| value.is_finite())
                .fold((0.0, 0_u8), |(sum, count), value| (sum + value, count + 1));
            if count == 0 { f64::NAN } else { sum / f64::from(count) }
        };
        self.times_s = self.times_s.chunks(2).map(mean).collect();
        for column in &mut self.columns {
            *column = column.chunks(2).map(mean).collect();
        }
        self.merged *= 2;
    }

    fn find_gaps(&mut self) {
        let steps: Vec<f64> = self.times_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let mut sorted = steps.clone();
        sorted.sort_unstable_by(f64::total_cmp);
        self.step_s = sorted[sorted.len() / 2];
        let gap = |(k, step): (usize, &f64)| {
            (*step > GAP * self.step_s).then(|| [self.times_s[k], *step])
        };
        self.gaps = steps.iter().enumerate().filter_map(gap).collect();
        self.gaps.sort_by(|a, b| b[1].total_cmp(&a[1]));
    }

    /// What was found in the log, in words.
    pub fn words(&self) -> Vec<String> {
        let seconds = |s: f64| spoken(Kind::Time, s);
        let whole = self.times_s[self.times_s.len() - 1];
        let every = whole / (self.rows.max(2) - 1) as f64;
        let mut words = vec![format!(
            "{} rows over {}, one every {} on average",
            self.rows,
            seconds(whole),
            seconds(every)
        )];
        if self.merged > 1 {
            words.push(format!(
                "it is long: {} rows each are taken as one, their mean",
                self.merged
            ));
        }
        if let Some([at, long]) = self.gaps.first() {
            let count = self.gaps.len();
            words.push(format!(
                "{count} gap{}, the longest of {} after {}: nothing is compared there, and what drives goes \
                 straight across",
                if count == 1 { "" } else { "s" },
                seconds(*long),
                seconds(*at)
            ));
        }
        words.extend(self.clock.words());
        words.extend(self.channels.iter().flat_map(ChannelReport::words));
        words
    }
}
