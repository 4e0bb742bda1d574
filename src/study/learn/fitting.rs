//! Numbers of a model fitted to what its gauges showed, with an offset for each gauge within its tolerance.

use coolwright_solver::information::Information;
use coolwright_solver::least_squares::{Fit, NoFit, NoValue, Settings, fit};
use coolwright_solver::robust::{self, Edge, Huber, profile, weight};
use statrs::distribution::{ContinuousCDF, StudentsT};

use super::series::{inefficiency, robust_deviation};
use crate::workers::{self, Workers};

/// What a model shows for given numbers.
pub trait Predict: Sync {
    /// By channel what it shows in each of its cells; `None` where the model has no answer with these numbers.
    fn predict(&self, numbers: &[f64]) -> Option<Vec<Vec<f64>>>;
}

/// A channel that is compared.
#[derive(Clone, Debug)]
pub struct Channel {
    /// What was measured in each cell, SI.
    pub measured: Vec<f64>,
    /// Standard deviation of a cell around the truth, without the offset, SI.
    pub sigma: f64,
    /// The least that it can be: the noise of the channel itself, SI.
    pub noise: f64,
    /// The most that the gauge is off throughout, SI.
    pub tolerance: f64,
}

impl Channel {
    /// Standard uncertainty of the offset: anything within the tolerance is equally likely (GUM 4.3.7).
    fn offset_u(&self) -> f64 {
        self.tolerance / 3.0_f64.sqrt()
    }
}

/// A fit to be done.
pub struct Task<'a> {
    /// The channels.
    pub channels: Vec<Channel>,
    /// The least and the most of each number.
    pub ranges: Vec<(f64, f64)>,
    /// The model.
    pub model: &'a dyn Predict,
    /// Who works.
    pub workers: &'a dyn Workers,
}

/// What was fitted.
#[derive(Clone, Debug)]
pub struct Found {
    /// The numbers.
    pub numbers: Vec<f64>,
    /// What each channel shows above the truth, SI.
    pub offsets: Vec<f64>,
    /// What the model shows, without offsets, by channel and cell.
    pub predicted: Vec<Vec<f64>>,
    /// Slopes of every cell over every number, by channel, number and cell.
    pub slopes: Slopes,
    /// Information about numbers, then offsets, what is known of offsets beforehand included.
    pub information: Information,
    /// Their covariance; of what is not determined within its range.
    pub covariance: Vec<f64>,
    /// By number the 95 % interval of its profile.
    pub intervals: Vec<[Edge; 2]>,
    /// By channel the deviation of a cell, and how many times as large it counts because neighbours are alike.
    pub spreads: Vec<[f64; 2]>,
    /// By channel how many cells count less because they are wild.
    pub wild: Vec<usize>,
    /// Whether the fit came to rest; else it was ended, and its numbers may still move.
    pub at_rest: bool,
    /// What 95 % of a normal deviate are within, with the degrees of freedom that there are.
    pub factor: f64,
}

impl Found {
    /// Standard uncertainty of a number, or of an offset behind the numbers.
    pub fn uncertainty(&self, k: usize) -> f64 {
        self.covariance[k * (self.information.count() + 1)].max(0.0).sqrt()
    }

    /// The correlation of two of them.
    pub fn correlation(&self, a: usize, b: usize) -> f64 {
        let size = self.uncertainty(a) * self.uncertainty(b);
        let both = self.covariance[a * self.information.count() + b];
        if size > 0.0 { both / size } else { 0.0 }
    }
}

/// So far a number is moved for its slope, as a share of its range.
const MOVED: f64 = 0.02;
/// A fit has come to its end where parameters could still change so much of the residuals: about a twentieth of a
/// standard deviation with a thousand cells. A step of the integration here or there changes the sum of squares by some
/// ten-thousandths.
const SETTINGS: Settings = Settings { offset: 3e-3, max_iterations: 25, noise: 1e-4 };

/// The others of a profile need not be as close: they go along a line that is nearly right.
const PROFILE: Settings = Settings { offset: 6e-3, max_iterations: 4, noise: 1e-4 };

/// The fit as the solver sees it: numbers, then offsets.
struct Problem<'t, 'a> {
    task: &'t Task<'a>,
    /// The last numbers and what the model shows with them.
    known: Option<(Vec<f64>, Vec<Vec<f64>>)>,
    /// Slopes that stay, where they are not to be taken anew.
    frozen: Option<&'t [Vec<Vec<f64>>]>,
    /// Slopes with the numbers that they were taken at.
    taken: Option<(Vec<f64>, Slopes)>,
}

/// Slopes of every cell over every number, by channel, number and cell.
pub type Slopes = Vec<Vec<Vec<f64>>>;

/// Slopes serve until a number has moved by so much of its range since they were taken.
const SERVES: f64 = 0.02;

impl Task<'_> {
    fn cells(&self) -> usize {
        self.channels.iter().map(|channel| channel.measured.len()).sum()
    }

    /// Residuals: one for each cell, then one for each offset.
    fn rows(&self) -> usize {
        self.cells() + self.channels.len()
    }

    /// Slopes of all cells over all numbers, by channel, number and cell.
    fn slopes(&self, numbers: &[f64], base: &[Vec<f64>], both: bool) -> Option<Slopes> {
        slopes((self.model, self.workers), &self.ranges, (numbers, base), both)
    }

    fn bounds(&self) -> Vec<(f64, f64)> {
        let offsets = self.channels.iter().map(|channel| (-channel.tolerance, channel.tolerance));
        self.ranges.iter().copied().chain(offsets).collect()
    }

    /// Information about numbers and offsets at slopes, with what is known of offsets; `weights` by cell.
    fn information(
        &self,
        slopes: &[Vec<Vec<f64>>],
        inflated: &[f64],
        weights: &dyn Fn(usize, usize) -> f64,
    ) -> Information {
        let (count, channels) = (self.ranges.len(), self.channels.len());
        let mut information = Information::none(count + channels);
        let mut row = vec![0.0; count + channels];
        for (c, channel) in self.channels.iter().enumerate() {
            for cell in 0..channel.measured.len() {
                row.fill(0.0);
                let scale = weights(c, cell).sqrt() / (channel.sigma * inflated[c].sqrt());
                for (entry, slopes) in row.iter_mut().zip(&slopes[c]) {
                    *entry = slopes[cell] * scale;
                }
                row[count + c] = scale;
                information.add(&row);
            }
            information.know(count + c, channel.offset_u());
        }
        information
    }

    /// What all candidates would be known to within, at these numbers: the information, with each number within its range
    /// at least.
    pub fn looked_at(&self, numbers: &[f64]) -> Option<(Information, Slopes)> {
        let base = self.model.predict(numbers)?;
        let slopes = self.slopes(numbers, &base, false)?;
        let plain = vec![4.0; self.channels.len()];
        Some((self.information(&slopes, &plain, &|_, _| 1.0), slopes))
    }
}

impl Problem<'_, '_> {
    /// Whether the slopes taken last still serve at these numbers.
    fn serves(&self, numbers: &[f64]) -> bool {
        let Some((at, _)) = &self.taken else { return false };
        let mut moves = numbers.iter().zip(at).zip(&self.task.ranges);
        moves.all(|((now, at), (least, most))| (now - at).abs() <= SERVES * (most - least))
    }

    fn shown(&mut self, numbers: &[f64]) -> Result<&[Vec<f64>], NoValue> {
        let same =
            |known: &[f64]| known.iter().zip(numbers).all(|(a, b)| a.to_bits() == b.to_bits());
        if !self.known.as_ref().is_some_and(|(known, _)| same(known)) {
            let shown = self.task.model.predict(numbers).ok_or(NoValue)?;
            self.known = Some((numbers.to_vec(), shown));
        }
        self.known.as_ref().map(|(_, shown)| &shown[..]).ok_or(NoValue)
    }
}

impl Fit for Problem<'_, '_> {
    fn residuals(&mut self, parameters: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        let task = self.task;
        let (numbers, offsets) = parameters.split_at(task.ranges.len());
        let shown = self.shown(numbers)?;
        let mut rows = out.iter_mut();
        for ((channel, shown), offset) in task.channels.iter().zip(shown).zip(offsets) {
            for ((measured, shown), row) in channel.measured.iter().zip(shown).zip(&mut rows) {
                *row = (shown + offset - measured) / channel.sigma;
            }
        }
        for ((channel, offset), row) in task.channels.iter().zip(offsets).zip(rows) {
            *row = offset / channel.offset_u();
        }
        Ok(())
    }

    fn jacobian(&mut self, parameters: &[f64], out: &mut [f64]) -> Result<bool, NoValue> {
        let task = self.task;
        let count = task.ranges.len();
        let numbers = &parameters[..count];
        if self.frozen.is_none() && !self.serves(numbers) {
            let base = self.shown(numbers)?.to_vec();
            match task.slopes(numbers, &base, false) {
                Some(slopes) => self.taken = Some((numbers.to_vec(), slopes)),
                None if self.taken.is_some() => {}
                None => return Err(NoValue),
            }
        }
        let slopes = match (self.frozen, &self.taken) {
            (Some(frozen), _) => frozen,
            (None, Some((_, slopes))) => &slopes[..],
            (None, None) => return Err(NoValue),
        };
        out.fill(0.0);
        let (rows, cells) = (task.rows(), task.cells());
        let mut first = 0;
        for (c, channel) in task.channels.iter().enumerate() {
            let own = channel.measured.len();
            for k in 0..count {
                let column = &mut out[k * rows + first..][..own];
                for (entry, slope) in column.iter_mut().zip(&slopes[c][k]) {
                    *entry = slope / channel.sigma;
                }
            }
            let column = &mut out[(count + c) * rows..][..rows];
            column[first..first + own].fill(1.0 / channel.sigma);
            column[cells + c] = 1.0 / channel.offset_u();
            first += own;
        }
        Ok(true)
    }
}

/// How far each number is moved for its slope: away from a bound that is near.
fn moved((least, most): (f64, f64), number: f64, sign: f64) -> f64 {
    let step = sign * MOVED * (most - least);
    if (least..=most).contains(&(number + step)) { step } else { -step }
}

/// Slopes of what a model shows over all numbers, by channel, number and cell, as differences: to one side, or from one
/// side to the other. `base` is what it shows with the numbers.
pub fn slopes(
    (model, workers): (&dyn Predict, &dyn Workers),
    ranges: &[(f64, f64)],
    (numbers, base): (&[f64], &[Vec<f64>]),
    both: bool,
) -> Option<Slopes> {
    let count = numbers.len();
    let sides = if both { 2 } else { 1 };
    let shown = workers::map(workers, sides * count, |job| {
        let (k, sign) = (job % count, if job < count { 1.0 } else { -1.0 });
        let step = moved(ranges[k], numbers[k], sign);
        let shown = |step: f64| {
            let mut moved = numbers.to_vec();
            moved[k] += step;
            model.predict(&moved).map(|shown| (step, shown))
        };
        // There may be no answer on one side, as where coolant boils.
        shown(step).or_else(|| shown(-step))
    });
    let shown: Vec<Option<(f64, Vec<Vec<f64>>)>> = shown;
    let of = |channel: usize, k: usize| -> Option<Vec<f64>> {
        let first = shown[k].as_ref()?;
        let second = shown.get(k + count).and_then(Option::as_ref);
        let (below, step) = match second.filter(|second| second.0 * first.0 < 0.0) {
            Some((step, shown)) => (&shown[channel], first.0 - step),
            None => (&base[channel], first.0),
        };
        let pairs = first.1[channel].iter().zip(below);
        Some(pairs.map(|(above, below)| (above - below) / step).collect())
    };
    let channel = |c: usize| (0..count).map(|k| of(c, k)).collect::<Option<Vec<_>>>();
    (0..base.len()).map(channel).collect()
}

/// The covariance of numbers and offsets where each number is one of its range beforehand.
pub fn within_range(information: &Information, ranges: &[(f64, f64)]) -> Vec<f64> {
    let mut known = information.clone();
    for (k, (least, most)) in ranges.iter().enumerate() {
        known.know(k, (most - least) / 12.0_f64.sqrt());
    }
    known.covariance().unwrap_or_else(|| vec![f64::NAN; known.count() * known.count()])
}

/// The best numbers with measurements as good as they were said to be, and the loss that they leave: for a first look.
///
/// # Errors
/// When the model has no answer at the start, or no best numbers were found.
pub fn near(task: &Task<'_>, start: &[f64]) -> Result<(Vec<f64>, f64), NoFit> {
    let mut parameters: Vec<f64> =
        start.iter().copied().chain(task.channels.iter().map(|_| 0.0)).collect();
    let (shown, _) = best(task, &mut parameters, &task.bounds(), None)?;
    let mut problem = Problem { task, known: None, frozen: None, taken: None };
    problem.known = Some((parameters[..task.ranges.len()].to_vec(), shown));
    let mut tamed = Huber::new(&mut problem, robust::K);
    let mut residuals = vec![0.0; task.rows()];
    tamed.residuals(&parameters, &mut residuals).map_err(|NoValue| NoFit::Start)?;
    parameters.truncate(task.ranges.len());
    Ok((parameters, residuals.iter().map(|r| r * r).sum()))
}

/// Fits numbers and offsets, from a start. Measurements further off than their like count by their size. After a first
/// fit every channel is taken to be as good as it fits, and neighbouring cells that go the same way count as fewer.
///
/// # Errors
/// When the model has no answer at the start, or no best numbers were found.
pub fn fitted(task: &mut Task<'_>, start: &[f64]) -> Result<Found, NoFit> {
    let count = task.ranges.len();
    let mut parameters: Vec<f64> =
        start.iter().copied().chain(task.channels.iter().map(|_| 0.0)).collect();
    let bounds = task.bounds();
    let mut inflated = vec![1.0; task.channels.len()];
    let (mut shown, at_rest) = best(task, &mut parameters, &bounds, None)?;
    let mut slopes = task.slopes(&parameters[..count], &shown, false).ok_or(NoFit::Jacobian)?;
    for round in 0..2 {
        if round > 0 {
            // Only weights have changed: the slopes are still right.
            shown = best(task, &mut parameters, &bounds, Some(&slopes))?.0;
        }
        for ((channel, shown), (inflated, offset)) in
            task.channels.iter_mut().zip(&shown).zip(inflated.iter_mut().zip(&parameters[count..]))
        {
            let own = channel.measured.iter().zip(shown).map(|(m, shown)| shown + offset - m);
            let own: Vec<f64> = own.collect();
            let alike = inefficiency(&own);
            *inflated = alike;
            // What neighbours have in common is no news: the weights of the next fit know that.
            channel.sigma = robust_deviation(&own).max(channel.noise) * alike.sqrt();
        }
    }
    shown = best(task, &mut parameters, &bounds, Some(&slopes)).map_or(shown, |(shown, _)| shown);
    let (numbers, offsets) = parameters.split_at(count);
    if count > 0 {
        slopes = task.slopes(numbers, &shown, true).unwrap_or(slopes);
    }
    let off = |c: usize, cell: usize| {
        let channel = &task.channels[c];
        (shown[c][cell] + offsets[c] - channel.measured[cell]) / channel.sigma
    };
    let plain = vec![1.0; task.channels.len()];
    let information = task.information(&slopes, &plain, &|c, cell| weight(off(c, cell), robust::K));
    let covariance = within_range(&information, &task.ranges);
    let cells = |c: usize| task.channels[c].measured.len();
    let independent: f64 =
        inflated.iter().enumerate().map(|(c, alike)| cells(c) as f64 / alike).sum();
    let degrees = (independent - parameters.len() as f64).max(1.0);
    let factor = StudentsT::new(0.0, 1.0, degrees).map_or(1.96, |t| t.inverse_cdf(0.975));
    let wild = (0..task.channels.len())
        .map(|c| (0..cells(c)).filter(|&cell| off(c, cell).abs() > 3.0).count())
        .collect();
    let spreads = task.channels.iter().zip(&inflated);
    let mut found = Found {
        numbers: numbers.to_vec(),
        offsets: offsets.to_vec(),
        spreads: spreads.map(|(c, alike)| [c.sigma / alike.sqrt(), alike.sqrt()]).collect(),
        predicted: shown,
        slopes,
        information,
        covariance,
        intervals: Vec::new(),
        wild,
        at_rest,
        factor,
    };
    found.intervals = profiles(task, &found, (&parameters, &bounds));
    Ok(found)
}

/// Numbers that a fit left as they are.
#[derive(Clone, Debug)]
pub struct Others {
    /// What they are.
    pub at: Vec<f64>,
    /// The least and the most that each may be.
    pub ranges: Vec<(f64, f64)>,
    /// Slopes of every cell over them at the best numbers, by channel, number and cell.
    pub slopes: Slopes,
}

/// What the numbers that a fit left as they are do to one that it found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wider {
    /// Its standard uncertainty with any of them anywhere within its range.
    pub uncertainty: f64,
    /// Whether that is more than without them.
    pub is_wider: bool,
    /// Those that it hangs together with: where they are not as they were taken to be, it is not as it was found.
    pub hangs_on: Vec<usize>,
}

/// A number hangs together with another from this correlation on.
const HANGS: f64 = 0.3;
/// Intervals are widened where others make more of a variance than this.
const WIDER: f64 = 1.01;

/// Widens the intervals of a fit by what the numbers that it left as they are may be: each anywhere within its range
/// beforehand, and what the log tells of it counts. An interval holds both what was found with them as they are, and the
/// 95 % of what may be.
pub fn widen(task: &Task<'_>, found: &mut Found, others: &Others) -> Vec<Wider> {
    let count = task.ranges.len();
    let joint = Joint::of(task, found, others);
    let at = |a: usize, b: usize| joint.at(a, b);
    let one = |k: usize| {
        let narrow = found.uncertainty(k);
        if !at(k, k).is_finite() || at(k, k) < WIDER * narrow * narrow {
            return (Wider { uncertainty: narrow, ..Wider::default() }, 0.0);
        }
        let alike = |j: usize| {
            let j = count + j;
            at(k, j).abs() / (at(k, k) * at(j, j)).sqrt()
        };
        let known = 0..others.at.len();
        let mut hangs_on: Vec<usize> = known.filter(|&j| alike(j) >= HANGS).collect();
        hangs_on.sort_by(|a, b| alike(*b).total_cmp(&alike(*a)));
        (Wider { uncertainty: at(k, k).sqrt(), is_wider: true, hangs_on }, joint.moved(k))
    };
    let wider: Vec<(Wider, f64)> = (0..count).map(one).collect();
    for (k, (wider, moved)) in wider.iter().enumerate().filter(|(_, (of, _))| of.is_wider) {
        let (middle, half) = (found.numbers[k] + moved, found.factor * wider.uncertainty);
        let (least, most) = task.ranges[k];
        let edge =
            |at: f64| Edge { at: at.clamp(least, most), is_bound: at <= least || at >= most };
        let [low, high] = &mut found.intervals[k];
        if middle - half < low.at {
            *low = edge(middle - half);
        }
        if middle + half > high.at {
            *high = edge(middle + half);
        }
    }
    wider.into_iter().map(|(wider, _)| wider).collect()
}

/// Where numbers that a fit left as they are would be if they had been fitted with the others, and the most that a number
/// would move then, in its standard uncertainties: to first order.
pub fn drawn_to(task: &Task<'_>, found: &Found, others: &Others) -> (Vec<f64>, f64) {
    let count = task.ranges.len();
    let joint = Joint::of(task, found, others);
    let to = |j: usize| {
        let (least, most) = others.ranges[j];
        let at = others.at[j] + joint.moved(count + j);
        if at.is_finite() { at.clamp(least, most) } else { others.at[j] }
    };
    let moves = (0..count).map(|k| joint.moved(k).abs() / found.uncertainty(k));
    let most = moves.filter(|by| by.is_finite()).fold(0.0, f64::max);
    ((0..others.at.len()).map(to).collect(), most)
}

/// Numbers that were found, others that were left, and offsets, as they hang together.
struct Joint {
    /// Their covariance.
    covariance: Vec<f64>,
    /// How many they are.
    size: usize,
    /// How many were found: the others stand behind them.
    count: usize,
    /// How strongly each of the others is drawn away from where it is.
    drawn: Vec<f64>,
}

impl Joint {
    fn of(task: &Task<'_>, found: &Found, others: &Others) -> Self {
        let all = Task {
            channels: task.channels.clone(),
            ranges: task.ranges.iter().chain(&others.ranges).copied().collect(),
            ..*task
        };
        let with = |c: usize| found.slopes[c].iter().chain(&others.slopes[c]).cloned().collect();
        let slopes: Slopes = (0..task.channels.len()).map(with).collect();
        let plain = vec![1.0; task.channels.len()];
        let weights = |c: usize, cell: usize| weight(off(task, found, (c, cell)), robust::K);
        let information = all.information(&slopes, &plain, &weights);
        Self {
            covariance: within_range(&information, &all.ranges),
            size: information.count(),
            count: task.ranges.len(),
            drawn: (0..others.at.len()).map(|j| drawn(task, found, (others, j))).collect(),
        }
    }

    fn at(&self, a: usize, b: usize) -> f64 {
        self.covariance[a * self.size + b]
    }

    /// How far one of them moves as the others are drawn.
    fn moved(&self, k: usize) -> f64 {
        let drawn = self.drawn.iter().enumerate();
        drawn.map(|(j, drawn)| self.at(k, self.count + j) * drawn).sum()
    }
}

/// How far a cell is above what was found, over its deviation.
fn off(task: &Task<'_>, found: &Found, (c, cell): (usize, usize)) -> f64 {
    let channel = &task.channels[c];
    (channel.measured[cell] - found.predicted[c][cell] - found.offsets[c]) / channel.sigma
}

/// How strongly the log and the middle of its range draw a number away from what it was taken to be: the slope of both
/// losses over it.
fn drawn(task: &Task<'_>, found: &Found, (others, j): (&Others, usize)) -> f64 {
    let (least, most) = others.ranges[j];
    let middle = (0.5 * (least + most) - others.at[j]) * 12.0 / (most - least).powi(2);
    let of_channel = |(c, channel): (usize, &Channel)| {
        let cell = |(cell, slope): (usize, &f64)| {
            let off = off(task, found, (c, cell));
            weight(off, robust::K) * slope * off / channel.sigma
        };
        others.slopes[c][j].iter().enumerate().map(cell).sum::<f64>()
    };
    middle + task.channels.iter().enumerate().map(of_channel).sum::<f64>()
}

/// Moves parameters to the best ones, and returns what the model shows there, and whether the search came to rest.
fn best(
    task: &Task<'_>,
    parameters: &mut [f64],
    bounds: &[(f64, f64)],
    frozen: Option<&[Vec<Vec<f64>>]>,
) -> Result<(Vec<Vec<f64>>, bool), NoFit> {
    let mut problem = Problem { task, known: None, frozen, taken: None };
    let mut tamed = Huber::new(&mut problem, robust::K);
    let at_rest = match fit(&mut tamed, task.rows(), parameters, bounds, &SETTINGS) {
        Ok(_) => true,
        // Its best are good enough where it was slow.
        Err(NoFit::Iterations { .. }) => false,
        Err(no) => return Err(no),
    };
    let numbers = parameters[..task.ranges.len()].to_vec();
    let shown = problem.shown(&numbers).map(<[_]>::to_vec).map_err(|NoValue| NoFit::Start)?;
    Ok((shown, at_rest))
}

/// The 95 % interval of every number, by the rise of the loss along its profile. Slopes stay those of the best numbers.
fn profiles(
    task: &Task<'_>,
    found: &Found,
    (parameters, bounds): (&[f64], &[(f64, f64)]),
) -> Vec<[Edge; 2]> {
    let mut at_best = vec![0.0; task.rows()];
    let fresh = || Problem {
        task,
        known: Some((found.numbers.clone(), found.predicted.clone())),
        frozen: Some(&found.slopes),
        taken: None,
    };
    let mut problem = fresh();
    let told = Huber::new(&mut problem, robust::K).residuals(parameters, &mut at_best);
    let sum_of_squares: f64 = at_best.iter().map(|r| r * r).sum();
    let rise = found.factor * found.factor;
    let straight = |k: usize, sign: f64| {
        let (least, most) = task.ranges[k];
        let at = found.numbers[k] + sign * found.factor * found.uncertainty(k);
        Edge { at: at.clamp(least, most), is_bound: at <= least || at >= most }
    };
    let edges = workers::map(task.workers, 2 * found.numbers.len(), |job| {
        let (k, sign) = (job / 2, if job % 2 == 0 { -1.0 } else { 1.0 });
        let straight = straight(k, sign);
        let mut problem = fresh();
        let count = found.information.count();
        let variance = found.covariance[k * (count + 1)].max(f64::MIN_POSITIVE);
        let along: Vec<f64> =
            (0..count).map(|other| found.covariance[k * count + other] / variance).collect();
        let residuals = task.rows();
        let of =
            robust::Fitted { best: parameters, bounds, sum_of_squares, residuals, along: &along };
        let way = straight.at - found.numbers[k];
        if told.is_err() || way == 0.0 {
            return straight;
        }
        let mut tamed = Huber::new(&mut problem, robust::K);
        profile(&mut tamed, &of, (k, way, rise), &PROFILE).unwrap_or(straight)
    });
    edges.chunks(2).map(|pair| [pair[0], pair[1]]).collect()
}
