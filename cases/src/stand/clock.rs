//! The clock of a logger: repeated stamps, rows out of order, clocks that jump.

use crate::quantity::{Kind, spoken};

/// A step forward of more than this is no gap in a drive but a clock that was set, s.
const SET_FORWARD_S: f64 = 6.0 * 3600.0;
/// Half a day: a time of day that falls by more has gone past midnight, s.
const HALF_DAY_S: f64 = 12.0 * 3600.0;
/// A day and an hour, s.
const DAY_S: f64 = 86400.0;
/// See [`DAY_S`].
const HOUR_S: f64 = 3600.0;
/// From so many of the first steps the usual one is told.
const STEPS: usize = 101;

/// What was found of the clock.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ClockReport {
    /// Rows with the stamp of the row before: taken together.
    pub repeated: usize,
    /// Rows out of order: left out.
    pub backwards: usize,
    /// Rows without a time: left out.
    pub timeless: usize,
    /// Where the clock jumped, closed up: the number of the row, from one, and by how much, s.
    pub jumps: Vec<(usize, f64)>,
    /// Those of them that are an hour, as when daylight saving time begins or ends.
    pub hours: Vec<usize>,
    /// The first rows past midnight, of a time of day that begins anew there.
    pub midnights: Vec<usize>,
    /// How many more jumps there were than are kept.
    pub more_jumps: usize,
}

/// What becomes of a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stamp {
    /// It is the next, at this time, s.
    Next(f64),
    /// It has the time of the last.
    Again,
    /// It is held until the next tells what it is.
    Held,
}

/// Puts rows in the order of time.
#[derive(Debug, Default)]
pub(super) struct Clock {
    last: Option<f64>,
    shift: f64,
    steps: Vec<f64>,
    /// The raw time of a row that went backwards.
    held: Option<f64>,
    /// Whether its times are times of day.
    pub(super) of_day: bool,
    pub(super) report: ClockReport,
}

impl Clock {
    /// The usual step, s.
    fn usual(&self) -> f64 {
        let mut steps = self.steps.clone();
        steps.sort_by(f64::total_cmp);
        steps.get(steps.len() / 2).copied().unwrap_or(1.0)
    }

    fn jumped(&mut self, row: usize, by: f64) {
        if self.report.jumps.len() < 20 {
            if self.is_hour(by) {
                self.report.hours.push(row);
            }
            self.report.jumps.push((row, by));
        } else {
            self.report.more_jumps += 1;
        }
    }

    /// Whether a step is that of a clock that was set by an hour, as it is twice a year.
    fn is_hour(&self, by: f64) -> bool {
        let usual = self.usual();
        let set = (by - usual).abs();
        self.of_day && 20.0 * usual < HOUR_S && (set - HOUR_S).abs() <= 0.5 + 0.5 * usual
    }

    /// Takes a time. Where a row was held, the first says what becomes of it: its time, where it begins a new count.
    pub(super) fn take(&mut self, raw: f64, row: usize) -> (Option<f64>, Stamp) {
        let Some(last) = self.last else {
            self.last = Some(raw);
            return (None, Stamp::Next(raw));
        };
        if let Some(held) = self.held.take() {
            if raw > held && raw + self.shift < last {
                // Two rows go on from there: the clock was set back.
                let usual = self.usual();
                self.jumped(row - 1, held + self.shift - last);
                self.shift = last + usual - held;
                let first = held + self.shift;
                self.last = Some(first);
                return (Some(first), self.step(raw, row));
            }
            self.report.backwards += 1;
        }
        (None, self.step(raw, row))
    }

    fn step(&mut self, raw: f64, row: usize) -> Stamp {
        let last = self.last.unwrap_or(raw);
        let time = raw + self.shift;
        let step = time - last;
        if self.of_day && step < -HALF_DAY_S && step + DAY_S >= 0.0 {
            self.shift += DAY_S;
            self.report.midnights.push(row);
            return self.step(raw, row);
        }
        if step < 0.0 {
            self.held = Some(raw);
            return Stamp::Held;
        }
        if step == 0.0 {
            self.report.repeated += 1;
            return Stamp::Again;
        }
        if step > SET_FORWARD_S || self.is_hour(step) {
            let usual = self.usual();
            self.jumped(row, step);
            self.shift -= step - usual;
            self.last = Some(last + usual);
            return Stamp::Next(last + usual);
        }
        if self.steps.len() < STEPS {
            self.steps.push(step);
        }
        self.last = Some(time);
        Stamp::Next(time)
    }

    /// No more rows come.
    pub(super) fn end(&mut self) {
        self.report.backwards += usize::from(self.held.take().is_some());
    }
}

impl ClockReport {
    /// What was found, in words.
    pub fn words(&self) -> Vec<String> {
        let mut words = Vec::new();
        for (count, what) in [
            (self.repeated, "with the stamp of the row before: taken together"),
            (self.backwards, "out of order: left out"),
            (self.timeless, "without a time: left out"),
        ] {
            if count > 0 {
                words.push(format!("{count} row{} {what}", if count == 1 { "" } else { "s" }));
            }
        }
        if let Some(row) = self.midnights.first() {
            let more = match self.midnights.len() {
                1 => String::new(),
                count => format!(", and {} times more later", count - 1),
            };
            words.push(format!("at row {row} the clock goes past midnight{more}: the next day"));
        }
        for (row, by) in &self.jumps {
            if self.hours.contains(row) {
                let (way, when) = if *by < 0.0 { ("back", "ends") } else { ("forward", "begins") };
                words.push(format!(
                    "at row {row} the clock goes {way} by an hour, as when daylight saving time {when}: closed up"
                ));
                continue;
            }
            let way = if *by < 0.0 { "back" } else { "forward" };
            let by = spoken(Kind::Time, by.abs());
            words.push(format!("at row {row} the clock jumps {way} by {by}: closed up"));
        }
        if self.more_jumps > 0 {
            words.push(format!("{} more jumps of the clock: closed up", self.more_jumps));
        }
        words
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times(raw: &[f64]) -> (Vec<f64>, ClockReport) {
        of(raw, Clock::default())
    }

    fn of(raw: &[f64], mut clock: Clock) -> (Vec<f64>, ClockReport) {
        let mut times = Vec::new();
        for (row, at) in raw.iter().enumerate() {
            let (held, stamp) = clock.take(*at, row + 1);
            times.extend(held);
            if let Stamp::Next(at) = stamp {
                times.push(at);
            }
        }
        clock.end();
        (times, clock.report)
    }

    #[test]
    fn a_row_out_of_order_is_left_out_and_a_clock_that_is_set_goes_on() {
        let (found, report) = times(&[0.0, 1.0, 2.0, 1.5, 3.0, 4.0]);
        assert_eq!((found, report.backwards), (vec![0.0, 1.0, 2.0, 3.0, 4.0], 1));
        let (found, report) = times(&[10.0, 11.0, 12.0, 0.0, 1.0, 2.0]);
        assert_eq!(found, [10.0, 11.0, 12.0, 13.0, 14.0, 15.0]);
        assert_eq!((report.backwards, &report.jumps[..]), (0, &[(4, -12.0)][..]));
        let (found, report) = times(&[0.0, 1.0, 2.0, 1e6, 1e6 + 1.0]);
        assert_eq!(found, [0.0, 1.0, 2.0, 3.0, 4.0]);
        assert_eq!(report.jumps, [(4, 999998.0)]);
        let (found, report) = times(&[0.0, 1.0, 1.0, 2.0, 0.0]);
        assert_eq!((found, report.repeated, report.backwards), (vec![0.0, 1.0, 2.0], 1, 1));
    }

    /// A clock that shows the time of day, by hand: set forward an hour at two, set back an hour at three, past midnight
    /// with a pause of ten minutes.
    #[test]
    fn a_time_of_day_goes_past_midnight_and_is_set_by_an_hour() {
        let clock = || Clock { of_day: true, ..Clock::default() };
        let two = 2.0 * 3600.0;
        let (found, report) = of(&[two - 2.0, two - 1.0, two + 3600.0, two + 3601.0], clock());
        assert_eq!(found, [7198.0, 7199.0, 7200.0, 7201.0]);
        assert_eq!(
            report.words(),
            [
                "at row 3 the clock goes forward by an hour, as when daylight saving time begins: closed up"
            ]
        );
        let three = 3.0 * 3600.0;
        let (found, report) = of(&[three - 2.0, three - 1.0, two, two + 1.0], clock());
        assert_eq!(found, [10798.0, 10799.0, 10800.0, 10801.0]);
        assert_eq!(
            report.words(),
            [
                "at row 3 the clock goes back by an hour, as when daylight saving time ends: closed up"
            ]
        );
        let (found, report) = of(&[86398.0, 86399.0, 600.0, 601.0], clock());
        assert_eq!(found, [86398.0, 86399.0, 87000.0, 87001.0]);
        assert_eq!(report.words(), ["at row 3 the clock goes past midnight: the next day"]);
        // Seconds since the start know no daylight saving: an hour without rows is a gap.
        let (found, report) = times(&[0.0, 1.0, 3602.0, 3603.0]);
        assert_eq!((found[2], report.jumps.len()), (3602.0, 0));
    }
}
