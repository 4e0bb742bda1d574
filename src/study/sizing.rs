//! The value that just meets all limits: a scan of the range, then a root at every edge of what holds.

use coolwright_cases::lower::{Address, Assumption, Bound as Allowed, BuiltInKind, Ready};
use coolwright_cases::quantity::Kind;
use coolwright_solver::roots::bracketed;

use super::limits::Limit;
use super::{Judged, Standing};
use crate::answer::{Sentence, Verdict, kinds};
use crate::workers::{self, Workers};

/// How much room every limit is to have.
#[derive(Clone, Debug, PartialEq)]
pub enum Room {
    /// None: it is enough that it holds.
    None,
    /// A share of its bound; of a temperature, of what that is above the air of the site.
    Share(f64),
    /// So much of a kind of difference, SI: limits on other kinds need none.
    Of(Vec<(Kind, f64)>),
}

impl Room {
    /// Whether a limit has room to speak of. Of the built-in ones only that against boiling has: ice stands at its
    /// freezing point, and what is spilt is nothing or too much.
    pub fn counts_for(limit: &Limit) -> bool {
        limit.built_in.is_none_or(|kind| kind == BuiltInKind::Boiling)
    }

    /// What a limit is to be kept by, SI.
    pub fn of(&self, limit: &Limit, air_k: f64) -> f64 {
        if !Self::counts_for(limit) {
            return 0.0;
        }
        match self {
            Self::None => 0.0,
            Self::Share(share) if limit.kind == Kind::Temperature => {
                share * (limit.value - air_k).abs()
            }
            Self::Share(share) => share * limit.value.abs(),
            Self::Of(all) => {
                let kind = kinds::difference(limit.kind);
                all.iter().find(|(of, _)| *of == kind).map_or(0.0, |(_, si)| *si)
            }
        }
    }
}

/// What came of one value.
#[derive(Clone, Debug)]
pub struct Sample {
    /// The value, SI.
    pub si: f64,
    /// Its limits; none where the case refuses the value or could not be solved with it.
    pub judged: Vec<Judged>,
    /// By how much each of them is kept beyond the room that it is to have, SI, in their order.
    pub spare: Vec<Option<f64>>,
    /// How it stands.
    pub verdict: Verdict,
    /// What no limit speaks of and keeps it from holding.
    pub against: Option<Sentence>,
    /// Why it is refused or not solved.
    pub refused: Option<Sentence>,
    /// Whether it belongs to the first look at the range, and not to a closer one.
    pub at_first: bool,
}

impl Sample {
    /// Whether every limit is judged, kept, and has its room.
    pub fn holds(&self) -> bool {
        self.verdict == Verdict::Holds
            && self.spare.iter().all(|spare| spare.is_none_or(|s| s >= 0.0))
    }

    /// The limit that is closest to its bound or furthest beyond it, counted in what each moves by over the range; of
    /// those that have no number the first.
    pub fn tightest(&self, scales: &[(String, f64)]) -> Option<&Judged> {
        let open = self.judged.iter().find(|one| !one.holds() && one.margin().is_none());
        let counted = self.counted(scales);
        open.or_else(|| counted.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(one, _)| one))
    }

    /// The limits that have a number, and by what share of what each moves by they are kept. What stands at its bound by
    /// nature, as coolant that is not lost, tells nothing.
    fn counted(&self, scales: &[(String, f64)]) -> impl Iterator<Item = (&Judged, f64)> {
        let all = self.judged.iter().zip(&self.spare);
        let told = all.filter_map(|(one, spare)| spare.map(|spare| (one, spare)));
        told.filter(|(_, spare)| *spare != 0.0)
            .map(|(one, spare)| (one, spare / scale(scales, one)))
    }

    /// The limit that fails it, or lacks its room; nothing where it is something else, or it holds.
    pub fn fails(&self, scales: &[(String, f64)]) -> Option<&Judged> {
        let one = self.tightest(scales)?;
        let mut all = self.judged.iter().zip(&self.spare);
        let short =
            all.any(|(of, spare)| std::ptr::eq(of, one) && spare.is_some_and(|spare| spare < 0.0));
        // What is kept by its number may be judged by none.
        let open = || self.judged.iter().find(|one| !one.holds());
        if !one.holds() || short { Some(one) } else { open() }
    }

    /// How many limits fail, lack their room, or are not judged.
    pub fn short(&self) -> usize {
        let all = self.judged.iter().zip(&self.spare);
        all.filter(|(one, spare)| !one.holds() || spare.is_some_and(|spare| spare < 0.0)).count()
    }

    /// Above zero where it holds, below where not; it goes with the tightest limit.
    pub fn score(&self, scales: &[(String, f64)]) -> f64 {
        if self.refused.is_some() {
            return REFUSED;
        }
        let worst = self.counted(scales).map(|(_, share)| share).fold(MOST_SCORE, f64::min);
        let unnumbered =
            self.judged.iter().any(|one| one.standing != Standing::Kept && one.margin().is_none());
        let held = self.verdict == Verdict::Holds || worst < 0.0;
        if unnumbered || !held { worst.min(NO_NUMBER) } else { worst }
    }
}

/// The score of what boils, is not judged, or fails by what no limit speaks of; and of what is refused.
const NO_NUMBER: f64 = -1.0;
const REFUSED: f64 = -2.0;
/// The score of what has no limit with a number.
const MOST_SCORE: f64 = 1.0;

fn name_of(judged: &Judged) -> String {
    format!("{}{:?}", judged.limit.name, judged.limit.bound)
}

/// What a limit moves by over the range, by its name.
fn scale(scales: &[(String, f64)], judged: &Judged) -> f64 {
    let name = name_of(judged);
    scales.iter().find(|(of, _)| *of == name).map_or(1.0, |(_, scale)| *scale)
}

fn scales(samples: &[Sample]) -> Vec<(String, f64)> {
    let mut found: Vec<(String, f64)> = Vec::new();
    for sample in samples {
        for (judged, spare) in sample.judged.iter().zip(&sample.spare) {
            let size = spare.filter(|spare| spare.is_finite()).map_or(0.0, f64::abs);
            let name = name_of(judged);
            match found.iter_mut().find(|(of, _)| *of == name) {
                Some((_, known)) => *known = known.max(size),
                None => found.push((name, size)),
            }
        }
    }
    found.retain(|(_, size)| *size > 0.0);
    found
}

impl Sizing {
    /// Whether every value that could be solved gave the same margins, to the last bit.
    pub fn moves_nothing(&self) -> bool {
        let bits = |sample: &Sample| -> Vec<Option<u64>> {
            sample.spare.iter().map(|spare| spare.map(f64::to_bits)).collect()
        };
        let mut solved = self.samples.iter().filter(|sample| sample.refused.is_none()).map(bits);
        let Some(first) = solved.next() else { return false };
        let mut rest = solved.peekable();
        rest.peek().is_some() && rest.all(|of| of == first)
    }
}

/// An end of a range that holds.
#[derive(Clone, Debug)]
pub struct Edge {
    /// The last value that is known to hold, SI.
    pub si: f64,
    /// Beyond it: the limit that fails first, or that the range ends there.
    pub beyond: Beyond,
}

/// What lies beyond an edge.
#[derive(Clone, Debug, PartialEq)]
pub enum Beyond {
    /// The end of what was tried.
    End,
    /// A limit by its name fails, or lacks its room.
    Limit(String),
    /// A limit by its name cannot be judged.
    NotJudged(String),
    /// Something that no limit speaks of, in words where there are any.
    Other(Option<Sentence>),
}

/// Values that hold, from one edge to another.
#[derive(Clone, Debug)]
pub struct Window {
    /// The least of them.
    pub from: Edge,
    /// The most.
    pub to: Edge,
}

/// What was found.
#[derive(Clone, Debug)]
pub struct Sizing {
    /// What was tried, in the order of the values.
    pub samples: Vec<Sample>,
    /// The ranges that hold.
    pub windows: Vec<Window>,
    /// What each limit moves by over the range.
    pub scales: Vec<(String, f64)>,
}

/// The range in which a value is sought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Its kind.
    pub kind: Kind,
    /// Least and most, SI.
    pub ends: [f64; 2],
    /// The value that the case has.
    pub now: f64,
}

/// How many values a range is first looked at with, and around the best where none holds.
const LOOKS: usize = 13;
const CLOSER: usize = 4;
/// Beyond this ratio of its ends a range is looked at by equal ratios.
const WIDE: f64 = 2.0;
/// So many whole numbers are all tried; of more some are, and those between where it matters.
const MOST_COUNT: f64 = 24.0;
/// How finely an edge is found, as a share of it.
const FINE: f64 = 2e-4;
/// What counts for a temperature in the place of itself, K.
const OF_K: f64 = 10.0;

impl Range {
    /// What a share of a value is counted in.
    fn size(&self, si: f64) -> f64 {
        match self.kind {
            Kind::Temperature => OF_K,
            _ => si.abs().max(1e-2 * (self.ends[1] - self.ends[0])),
        }
    }

    /// The values that it is looked at with.
    fn looks(&self) -> Vec<f64> {
        let [a, b] = self.ends;
        let whole = self.kind == Kind::Count;
        if whole && b - a <= MOST_COUNT {
            let whole = std::iter::successors(Some(a.ceil()), |n| Some(n + 1.0));
            return whole.take_while(|n| *n <= b).collect();
        }
        let share = |k: usize| k as f64 / (LOOKS - 1) as f64;
        let by_ratio = a > 0.0 && b > WIDE * a;
        let one = |k: usize| match k {
            0 => a,
            k if k == LOOKS - 1 => b,
            k if by_ratio => a * (b / a).powf(share(k)),
            k => a + (b - a) * share(k),
        };
        let mut all: Vec<f64> = (0..LOOKS).map(one).collect();
        if self.now > a && self.now < b {
            all.push(self.now);
        }
        if whole {
            all = all.into_iter().map(f64::round).filter(|n| *n >= a && *n <= b).collect();
        }
        sorted(all)
    }
}

fn sorted(mut all: Vec<f64>) -> Vec<f64> {
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

/// Where a value is sought if nothing else is said: where it is assumed, in the range of that; else up to four times and
/// down to a quarter of what it is, a temperature 30 K either way, and a share between nothing and all; always within
/// what the file allows. Nothing where it is zero and could be anything.
pub fn usual_range(ready: &Ready, address: &str, entry: &Address) -> Option<[f64; 2]> {
    let now = entry.value;
    let of_it = |one: &&Assumption| one.addresses.iter().any(|known| known == address);
    let assumed = ready.assumptions.iter().find(of_it).map(|one| [one.range.0, one.range.1]);
    let wide = match entry.kind {
        Kind::Temperature => [now - 30.0, now + 30.0],
        Kind::Fraction if now <= 1.0 => [0.0, 1.0],
        Kind::Count => [1.0, (4.0 * now).max(4.0)],
        _ if now == 0.0 => return assumed,
        _ if now < 0.0 => [4.0 * now, 0.25 * now],
        _ => [0.25 * now, 4.0 * now],
    };
    let [a, b] = assumed.filter(|[a, b]| a < b).unwrap_or(wide);
    Some(match entry.bound {
        Allowed::Within(low, high) => [a.max(low), b.min(high)],
        Allowed::NotNegative => [a.max(0.0), b],
        // A share of nothing is refused where it must be above zero.
        Allowed::Positive => [if a > 0.0 { a } else { 0.01 * b }, b],
    })
}

/// Looks at a range and finds every edge of what holds in it.
pub fn sizing(
    range: Range,
    trial: &(dyn Fn(f64) -> Sample + Sync),
    workers: &dyn Workers,
) -> Sizing {
    let all = |values: &[f64]| workers::map(workers, values.len(), |k| trial(values[k]));
    let mut samples = all(&range.looks());
    for _ in 0..2 {
        if range.kind == Kind::Count || samples.iter().any(Sample::holds) {
            break;
        }
        let closer = around_best(&samples);
        samples.extend(all(&closer).into_iter().map(|of| Sample { at_first: false, ..of }));
        samples.sort_by(|a, b| a.si.total_cmp(&b.si));
    }
    let scales = scales(&samples);
    let ends: Vec<usize> =
        (1..samples.len()).filter(|&k| samples[k - 1].holds() != samples[k].holds()).collect();
    let edges = workers::map(workers, ends.len(), |e| {
        let pair = [&samples[ends[e] - 1], &samples[ends[e]]];
        edge(range, pair, &scales, trial)
    });
    let at = |k: usize| ends.iter().position(|end| *end == k).map(|e| edges[e].clone());
    let mut windows = Vec::new();
    let mut k = 0;
    while k < samples.len() {
        if !samples[k].holds() {
            k += 1;
            continue;
        }
        let last = (k..samples.len()).take_while(|&j| samples[j].holds()).last().unwrap_or(k);
        let end = |si| Edge { si, beyond: Beyond::End };
        let from = at(k).unwrap_or_else(|| end(samples[k].si));
        let to = at(last + 1).unwrap_or_else(|| end(samples[last].si));
        windows.push(Window { from, to });
        k = last + 1;
    }
    Sizing { samples, windows, scales }
}

/// Values between the best and its neighbours.
fn around_best(samples: &[Sample]) -> Vec<f64> {
    let scales = scales(samples);
    let scores = samples.iter().map(|sample| sample.score(&scales)).enumerate();
    let Some((best, _)) = scores.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0))) else {
        return Vec::new();
    };
    let ends = [best.saturating_sub(1), (best + 1).min(samples.len() - 1)];
    let mut found = Vec::new();
    for pair in [[ends[0], best], [best, ends[1]]] {
        let [a, b] = pair.map(|k| samples[k].si);
        let share = |k: usize| k as f64 / (CLOSER + 1) as f64;
        found.extend((1..=CLOSER).map(|k| a + (b - a) * share(k)).filter(|_| a < b));
    }
    sorted(found)
}

/// The edge between a value that holds and one that does not.
fn edge(
    range: Range,
    [a, b]: [&Sample; 2],
    scales: &[(String, f64)],
    trial: &(dyn Fn(f64) -> Sample + Sync),
) -> Edge {
    let (mut good, mut bad) =
        if a.holds() { (a.clone(), b.clone()) } else { (b.clone(), a.clone()) };
    if range.kind == Kind::Count {
        while (good.si - bad.si).abs() > 1.0 {
            let sample = trial((0.5 * (good.si + bad.si)).round());
            let end = if sample.holds() { &mut good } else { &mut bad };
            *end = sample;
        }
    } else {
        let [from, to] = [a.si, b.si];
        let tolerance = FINE * range.size(good.si);
        let known = [a, b].map(|sample| sample.score(scales));
        let score = |si: f64| {
            if si.total_cmp(&from).is_eq() {
                return known[0];
            }
            if si.total_cmp(&to).is_eq() {
                return known[1];
            }
            let sample = trial(si);
            let score = sample.score(scales);
            if (si - good.si) * (bad.si - si) > 0.0 {
                let end = if sample.holds() { &mut good } else { &mut bad };
                *end = sample;
            }
            score
        };
        // Where the score jumps Brent's method halves; what it returns is in `good` and `bad` already.
        let _ = bracketed(score, from, to, tolerance);
    }
    let beyond = match bad.fails(scales) {
        Some(one) if one.holds() || one.is_broken() => Beyond::Limit(one.limit.name.clone()),
        Some(one) => Beyond::NotJudged(one.limit.name.clone()),
        None => Beyond::Other(bad.refused.clone().or_else(|| bad.against.clone())),
    };
    Edge { si: good.si, beyond }
}
