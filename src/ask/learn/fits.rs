//! The fit: which numbers, which clocks are behind, and why there is none.

use std::sync::atomic::Ordering;

use coolwright_models::cycle::History;
use coolwright_solver::least_squares::NoFit;

use super::Learning;
use super::driven::{At, Driven};
use super::log::Logged;
use super::stand::{Number, Shows};
use crate::answer::Value;
use crate::refusal::Refusal;
use crate::say;
use crate::sections::learn as told;
use crate::study::learn::fitting::{
    Channel, Found, Others, Task, Wider, drawn_to, fitted, near, slopes, widen,
};
use crate::study::learn::series::{Cells, behind};
use crate::study::learn::tells::{Tells, chosen, tells};
use crate::workers;

/// What to look at where nothing can be fitted.
const LOOK: &str = "look at what drives, at units, and at `from` and `to` of what is fitted";

/// Clocks are behind as they seem to be only where that leaves less than this share of what right clocks leave.
const LESS: f64 = 0.8;
/// So often clocks and numbers are found in turn, at most.
const TURNS: usize = 4;
/// So often it is fitted anew from where the log tells that it started, at most.
const STARTS: usize = 2;
/// It is where a number would move by more than this for that, in its standard uncertainties.
const MOVES: f64 = 0.5;
/// Clocks rest where none moves by more than this, s.
const AT_REST_S: f64 = 0.1;

/// What was fitted, with what it was fitted to.
pub(super) struct Fits {
    pub(super) numbers: Vec<Number>,
    pub(super) found: Found,
    pub(super) tells: Vec<Tells>,
    pub(super) left: Vec<told::Left>,
    /// The numbers of those.
    pub(super) left_numbers: Vec<Number>,
    pub(super) behind: Vec<f64>,
    /// By number what those that were left do to it.
    pub(super) wider: Vec<Wider>,
}

impl Fits {
    /// How sure a number is with what it hangs on as it was taken to be.
    pub(super) fn uncertainty(&self, k: usize) -> f64 {
        let wider = &self.wider[k];
        if wider.hangs_on.is_empty() { wider.uncertainty } else { self.found.uncertainty(k) }
    }
}

/// Numbers as the case has them, within their ranges.
fn at_case(numbers: &[Number]) -> Vec<f64> {
    numbers.iter().map(|n| n.is.clamp(n.range.0, n.range.1)).collect()
}

impl Learning<'_> {
    pub(super) fn channels(logged: &Logged) -> Vec<Channel> {
        let channel = |(shows, cells): &(Shows, Cells)| {
            let noise = cells.spread().max(0.02 * shows.tolerance);
            Channel {
                measured: cells.values.clone(),
                sigma: noise.max(0.3 * shows.tolerance),
                noise,
                tolerance: shows.tolerance,
            }
        };
        logged.compared.iter().map(channel).collect()
    }

    /// The fit of numbers to the log.
    fn task<'t>(&'t self, driven: &'t Driven<'_>, of: (&Logged, &[Number])) -> Task<'t> {
        let (logged, numbers) = of;
        Task {
            channels: Self::channels(logged),
            ranges: numbers.iter().map(|number| number.range).collect(),
            model: driven,
            workers: self.workers,
        }
    }

    /// Why there is no fit.
    fn no_fit(no: NoFit, driven: &Driven<'_>, at: (&[Number], &[f64])) -> Refusal {
        match no {
            NoFit::Start | NoFit::Jacobian => Self::why_not(driven, at),
            no => Refusal::said(say!("the log cannot be fitted: {why}", why = no.to_string()))
                .help(LOOK),
        }
    }

    /// Chooses what the log can tell, fits it, finds which clock is behind, and fits again.
    pub(super) fn fit(
        &self,
        driven: &mut Driven<'_>,
        (logged, mut numbers, by_itself): (&Logged, Vec<Number>, bool),
        start_within: &[Number],
    ) -> Result<Fits, Refusal> {
        let ranges = |numbers: &[Number]| numbers.iter().map(|n| n.range).collect::<Vec<_>>();
        let (mut left, mut left_numbers) = (Vec::new(), Vec::new());
        if by_itself {
            let task = self.task(driven, (logged, &numbers));
            let as_is = at_case(&numbers);
            let looked = task.looked_at(&as_is);
            let Some((information, _)) = looked else {
                return Err(Self::why_not(driven, (&numbers, &as_is)));
            };
            let (kept, gone) = chosen(&information, &ranges(&numbers));
            for (k, tells, then) in gone {
                let like = self.names(&tells.like, &then, (&numbers, logged));
                let number = &numbers[k];
                left_numbers.push(number.clone());
                left.push(told::Left {
                    address: number.address.clone(),
                    is_unfelt: tells.is_unfelt(),
                    like,
                });
            }
            numbers = kept.iter().map(|&k| numbers[k].clone()).collect();
            driven.numbers = numbers.iter().map(|number| number.address.clone()).collect();
        }
        let mut start = at_case(&numbers);
        let (near_it, behind) = self.clocks(driven, (logged, &numbers, &start))?;
        start = near_it;
        let (found, wider) =
            self.found(driven, (logged, &numbers, start), [&left_numbers, start_within])?;
        let tells = tells(&found.information, &ranges(&numbers));
        Ok(Fits { numbers, found, tells, left, left_numbers, behind, wider })
    }

    /// The best numbers with how sure they are. How warm it was at the start is first taken as its thermometers showed,
    /// which may be off, and then, where that moves a number, as the whole log tells it.
    fn found(
        &self,
        driven: &mut Driven<'_>,
        (logged, numbers, mut from): (&Logged, &[Number], Vec<f64>),
        [left, start]: [&[Number]; 2],
    ) -> Result<(Found, Vec<Wider>), Refusal> {
        let mut start = start.to_vec();
        let half_s = 0.5 * logged.table.step_s;
        let mut rounds = STARTS;
        loop {
            let mut task = self.task(driven, (logged, numbers));
            let mut found = fitted(&mut task, &from)
                .map_err(|no| Self::no_fit(no, driven, (numbers, &from)))?;
            let (others, has_numbers) =
                self.others(driven, &found, (numbers, [left, &start], half_s));
            let known = if has_numbers { left.len() } else { 0 };
            let (drawn, most) = drawn_to(&task, &found, &others);
            if rounds == 0 || start.is_empty() || !has_numbers || most < MOVES {
                let mut wider = widen(&task, &mut found, &others);
                for of in &mut wider {
                    of.hangs_on.retain(|j| *j < known);
                }
                return Ok((found, wider));
            }
            rounds -= 1;
            for (number, k) in start.iter_mut().zip(&drawn[known..]) {
                number.is = *k;
                let fixed = driven.fixed.iter_mut().find(|(address, _)| *address == number.address);
                if let Some(at) = fixed {
                    at.1 = *k;
                }
            }
            from = found.numbers;
        }
    }

    /// What may be otherwise beside what was found: the numbers that were left, how warm it may have been at the start, and
    /// half a sample that all that drives may be late or early; and whether the numbers are among them, which must have
    /// slopes for that.
    fn others(
        &self,
        driven: &Driven<'_>,
        found: &Found,
        (numbers, [left, start], half_s): (&[Number], [&[Number]; 2], f64),
    ) -> (Others, bool) {
        let best = numbers.iter().map(|number| number.address.clone()).zip(found.numbers.clone());
        let open = [left, start].concat();
        let is_open = |(address, _): &&At| open.iter().any(|number| number.address == *address);
        let fixed = driven.fixed.iter().filter(|at| !is_open(at)).cloned();
        let wide = Driven {
            fixed: fixed.chain(best).collect(),
            numbers: open.iter().map(|number| number.address.clone()).collect(),
            ..driven.again()
        };
        let at = at_case(&open);
        let ranges: Vec<(f64, f64)> = open.iter().map(|number| number.range).collect();
        let base = (&at[..], &found.predicted[..]);
        let slopes = slopes((&wide, self.workers), &ranges, base, true);
        let has_numbers = slopes.is_some();
        let mut others = match slopes {
            Some(slopes) => Others { at, ranges, slopes },
            None => Others {
                at: Vec::new(),
                ranges: Vec::new(),
                slopes: vec![Vec::new(); found.predicted.len()],
            },
        };
        let history = wide.follow(&at_case(&open)).ok();
        let late = |by: f64| wide.late(history.as_ref()?, by);
        if let (Some(after), Some(before)) = (late(half_s), late(-half_s)) {
            others.at.push(0.0);
            others.ranges.push((-half_s, half_s));
            for (slopes, (after, before)) in others.slopes.iter_mut().zip(after.iter().zip(&before))
            {
                let pairs = after.iter().zip(before);
                slopes
                    .push(pairs.map(|(after, before)| (after - before) / (2.0 * half_s)).collect());
            }
        }
        driven.followed.fetch_add(wide.followed.load(Ordering::Relaxed), Ordering::Relaxed);
        (others, has_numbers)
    }

    /// Numbers that nearly fit, and by gauge how far its clock is behind, s.
    ///
    /// A clock that is behind and a number that is off can look alike. So all clocks are taken to be right at first,
    /// then to be behind as they seem to be with the case as it stands, and what leaves less unexplained counts; from
    /// there clocks and numbers are found in turn until the clocks rest.
    fn clocks(
        &self,
        driven: &mut Driven<'_>,
        (logged, numbers, start): (&Logged, &[Number], &[f64]),
    ) -> Result<(Vec<f64>, Vec<f64>), Refusal> {
        let shifted = |driven: &mut Driven<'_>, behind: &[f64]| {
            let windows = driven.windows.iter_mut().zip(behind);
            windows.for_each(|(window, shift)| window.1 = *shift);
        };
        let nearest = |driven: &mut Driven<'_>, behind: &[f64], from: &[f64]| {
            shifted(driven, behind);
            let task = self.task(driven, (logged, numbers));
            near(&task, from).map_err(|no| Self::no_fit(no, driven, (numbers, from)))
        };
        let right = vec![0.0; logged.compared.len()];
        let seeming = self.behind(&driven.follow(start)?, logged);
        let (mut best, loss) = nearest(driven, &right, start)?;
        let mut behind = right;
        if seeming.iter().any(|shift| *shift != 0.0) {
            let (late, of_late) = nearest(driven, &seeming, start)?;
            if of_late < LESS * loss {
                (best, behind) = (late, seeming);
            }
        }
        for _ in 0..TURNS {
            let now = self.behind(&driven.follow(&best)?, logged);
            let moved = now.iter().zip(&behind).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            if moved < AT_REST_S {
                break;
            }
            best = nearest(driven, &now, &best)?.0;
            behind = now;
        }
        shifted(driven, &behind);
        Ok((best, behind))
    }

    /// Why there is nothing to fit: what is wrong with numbers a little off their start.
    fn why_not(driven: &Driven<'_>, (numbers, start): (&[Number], &[f64])) -> Refusal {
        for (k, number) in numbers.iter().enumerate() {
            let (least, most) = number.range;
            for sign in [1.0, -1.0] {
                let mut moved = start.to_vec();
                moved[k] = (moved[k] + sign * 0.02 * (most - least)).clamp(least, most);
                let why = match driven.follow(&moved) {
                    Err(refusal) => refusal.message(),
                    Ok(history) if history.boiled.is_some() => "coolant boils".into(),
                    Ok(_) => continue,
                };
                return Refusal::said(say!(
                    "with `{address}` at {value} the log cannot be followed: {why}",
                    address = &number.address,
                    value = Value::of(number.kind, moved[k]),
                    why = why
                ))
                .help(LOOK);
            }
        }
        Refusal::said("the log cannot be fitted: what gauges show has no slopes").help(LOOK)
    }

    /// By gauge how far its clock is behind, s.
    pub(super) fn behind(&self, history: &History, logged: &Logged) -> Vec<f64> {
        let names: Vec<&str> =
            logged.table.channels.iter().map(|channel| channel.name.as_str()).collect();
        workers::map(self.workers, logged.compared.len(), |k| {
            let (shows, cells) = &logged.compared[k];
            let place = names.iter().position(|name| *name == shows.column);
            let column = history.catalogue.find(&shows.result);
            let (Some(place), Some(column)) = (place, column) else { return 0.0 };
            let predicted: Vec<f64> = history.rows.iter().map(|row| row[column]).collect();
            let measured = (&logged.table.times_s[..], &logged.table.columns[place][..]);
            behind(measured, (&history.times_s, &predicted), cells.noise)
        })
    }

    /// What parameters are called: numbers by their address, offsets by their gauge.
    pub(super) fn names(
        &self,
        like: &[(usize, f64)],
        then: &[usize],
        (numbers, logged): (&[Number], &Logged),
    ) -> Vec<told::Like> {
        let name = |(k, correlation): &(usize, f64)| {
            let (name, is_gauge) = if let Some(&number) = then.get(*k) {
                (numbers[number].address.clone(), false)
            } else {
                let gauge = logged.compared[*k - then.len()].0.gauge;
                (self.built.ready.model.gauges[gauge].name.clone(), true)
            };
            told::Like { name, is_gauge, correlation: *correlation }
        };
        like.iter().map(name).collect()
    }
}
