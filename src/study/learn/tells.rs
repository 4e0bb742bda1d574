//! What a log tells of numbers, which it cannot tell apart, and what would tell more.

use coolwright_solver::information::Information;

use super::fitting::within_range;

/// A number is told where its 95 % interval is no wider than half of the range that it may have.
const TOLD: f64 = 0.25;
/// 95 % of a normal deviate.
const SURE: f64 = 1.96;
/// Two are hardly told apart from this correlation on.
const APART: f64 = 0.9;
/// What trades with a number that is not told has at least this correlation with it.
const TRADES: f64 = 0.5;

/// How well a log tells a number.
#[derive(Clone, Debug, PartialEq)]
pub struct Tells {
    /// Half of the 95 % interval over the range that it may have.
    pub share: f64,
    /// The same if everything else were known exactly.
    pub alone: f64,
    /// What it cannot be told apart from, the worst first: numbers, then offsets behind them, with the correlation.
    pub like: Vec<(usize, f64)>,
}

impl Tells {
    /// Whether it is told.
    pub fn is_told(&self) -> bool {
        self.share <= TOLD
    }

    /// Whether the log hardly feels it, whatever else were known.
    pub fn is_unfelt(&self) -> bool {
        self.alone > TOLD
    }
}

/// How well each number is told by information about numbers and offsets.
pub fn tells(information: &Information, ranges: &[(f64, f64)]) -> Vec<Tells> {
    let covariance = within_range(information, ranges);
    let count = information.count();
    let deviation = |k: usize| covariance[k * (count + 1)].max(0.0).sqrt();
    let of = |(k, (least, most)): (usize, &(f64, f64))| {
        let range = most - least;
        let share = SURE * deviation(k) / range;
        let alone = SURE / (information.at(k, k).sqrt() * range);
        let correlation =
            |other: usize| covariance[k * count + other] / (deviation(k) * deviation(other));
        let least = if share > TOLD { TRADES } else { APART };
        let mut like: Vec<(usize, f64)> = (0..count)
            .filter(|&other| other != k)
            .map(|other| (other, correlation(other)))
            .filter(|(_, correlation)| correlation.abs() >= least)
            .collect();
        like.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        Tells { share, alone, like }
    };
    ranges.iter().enumerate().map(of).collect()
}

/// A number that is left out, how it stood then, and the numbers that were there then.
pub type LeftOut = (usize, Tells, Vec<usize>);

/// The numbers that a log tells together; each that it does not is left out, the worst first, with how it stood then and
/// the numbers that were there then.
pub fn chosen(information: &Information, ranges: &[(f64, f64)]) -> (Vec<usize>, Vec<LeftOut>) {
    let numbers = ranges.len();
    let offsets: Vec<usize> = (numbers..information.count()).collect();
    let mut kept: Vec<usize> = (0..numbers).collect();
    let mut left = Vec::new();
    while !kept.is_empty() {
        let all: Vec<usize> = kept.iter().chain(&offsets).copied().collect();
        let own: Vec<(f64, f64)> = kept.iter().map(|&k| ranges[k]).collect();
        let told = tells(&information.only(&all), &own);
        let worst = (0..kept.len()).max_by(|a, b| told[*a].share.total_cmp(&told[*b].share));
        let Some(worst) = worst.filter(|&worst| !told[worst].is_told()) else { break };
        left.push((kept[worst], told[worst].clone(), kept.clone()));
        kept.remove(worst);
    }
    (kept, left)
}

/// What a gauge that is not there would tell: by number its uncertainty with it over that without.
///
/// `slopes` are those of what it would show over the numbers, at times far enough apart to be independent; `noise` is
/// that of one reading, `tolerance` what it may be off by throughout.
pub fn with_gauge(
    information: &Information,
    ranges: &[(f64, f64)],
    slopes: &[Vec<f64>],
    (noise, tolerance): (f64, f64),
) -> Vec<f64> {
    let mut wider = information.with_more(1);
    let offset = information.count();
    wider.know(offset, tolerance / 3.0_f64.sqrt());
    add(&mut wider, (offset, slopes), noise);
    ratios(information, &wider, ranges)
}

/// What gauges that are there would tell in another hour: by number its uncertainty with that over that without.
///
/// By gauge the place of its offset, which is the same then, the slopes of its readings over the numbers, and the noise of
/// one of them.
pub fn with_readings(
    information: &Information,
    ranges: &[(f64, f64)],
    readings: &[(usize, &[Vec<f64>], f64)],
) -> Vec<f64> {
    let mut more = information.clone();
    for (offset, slopes, noise) in readings {
        add(&mut more, (*offset, slopes), *noise);
    }
    ratios(information, &more, ranges)
}

/// Adds readings of one gauge: their slopes over the numbers, and the place of its offset.
fn add(information: &mut Information, (offset, slopes): (usize, &[Vec<f64>]), noise: f64) {
    let mut row = vec![0.0; information.count()];
    for at in 0..slopes.first().map_or(0, Vec::len) {
        for (entry, slopes) in row.iter_mut().zip(slopes) {
            *entry = slopes[at] / noise;
        }
        row[offset] = 1.0 / noise;
        information.add(&row);
    }
}

/// By number its uncertainty with more information over that with less.
fn ratios(less: &Information, more: &Information, ranges: &[(f64, f64)]) -> Vec<f64> {
    let [plain, with] = [less, more].map(|known| (within_range(known, ranges), known.count()));
    let variance = |(covariance, count): &(Vec<f64>, usize), k: usize| covariance[k * (count + 1)];
    (0..ranges.len()).map(|k| (variance(&with, k) / variance(&plain, k)).max(0.0).sqrt()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pump and a core that only show in one temperature: their sum is told, neither of them, until a flow meter shows
    /// the pump alone.
    fn sum_only() -> (Information, Vec<(f64, f64)>) {
        let mut information = Information::none(3);
        (0..100).for_each(|_| information.add(&[20.0, 20.0, 1.0]));
        information.know(2, 0.3);
        (information, vec![(0.5, 1.2), (0.5, 1.2)])
    }

    #[test]
    fn what_trades_is_not_told_and_a_gauge_tells_it() {
        let (information, ranges) = sum_only();
        let told = tells(&information, &ranges);
        assert!(!told[0].is_told() && !told[0].is_unfelt(), "{told:?}");
        assert_eq!(told[0].like[0].0, 1);
        assert!(told[0].like[0].1 < -0.9);
        let (kept, left) = chosen(&information, &ranges);
        assert_eq!((kept.len(), left.len()), (1, 1));
        let flow = vec![vec![1.0; 20], vec![0.0; 20]];
        let ratios = with_gauge(&information, &ranges, &flow, (0.02, 0.03));
        // Of the pump by hand: the offset alone, 0.03/√3, against a range of 0.7/√12 shared by two.
        assert!(ratios.iter().all(|ratio| *ratio < 0.25), "{ratios:?}");
    }

    /// One number seen by a hundred readings with the same slope and an offset that is known beforehand; another hour has
    /// as many with twice that slope. By hand, with N = 100, σ = 1 and u the offset: of sum and difference the information is
    /// `[N(s² + t²), N(s + t); N(s + t), 2N + u⁻²]` over number and offset, of one hour `[N s², N s; N s, N + u⁻²]`.
    #[test]
    fn another_hour_with_the_same_gauge_shares_its_offset() {
        let (s, t, u, n) = (1.0, 2.0, 0.5_f64, 100.0);
        let known = u.powi(-2);
        let wide = 1e6;
        let mut information = Information::none(2);
        (0..100).for_each(|_| information.add(&[s, 1.0]));
        information.know(1, u);
        let slopes = vec![vec![t; 100]];
        let ratios = with_readings(&information, &[(0.0, wide)], &[(1, &slopes, 1.0)]);
        let one = (n + known) / (n * s * s * (n + known) - (n * s).powi(2));
        let of = n * (s * s + t * t) * (2.0 * n + known) - (n * (s + t)).powi(2);
        let both = (2.0 * n + known) / of;
        assert!(
            (ratios[0] - (both / one).sqrt()).abs() < 1e-6,
            "{ratios:?}, {}",
            (both / one).sqrt()
        );
        // With an offset of its own it would tell less.
        let apart = with_gauge(&information, &[(0.0, wide)], &slopes, (1.0, u * 3.0_f64.sqrt()));
        assert!(apart[0] > 1.5 * ratios[0], "{apart:?}");
    }

    #[test]
    fn what_is_not_felt_is_said_so() {
        let mut information = Information::none(1);
        information.add(&[0.1]);
        let told = tells(&information, &[(0.0, 1.0)]);
        assert!(told[0].is_unfelt() && !told[0].is_told() && told[0].like.is_empty());
    }
}
