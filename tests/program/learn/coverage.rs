//! Intervals over many draws of noise and offsets, with numbers that are known: they must hold them as often as they say.

use coolwright::study::learn::fitting::{Channel, Found, Others, Predict, Task, fitted, widen};
use coolwright::workers::Alone;

use super::made::Dice;

/// A lump of metal heated by a share of 100 kW, cooled over a conductance into air at 300 K: by hand
/// `T = T_air + P/G (1 − e^(−G t/C))`, with C = 60 kJ/K, heated for 300 s and then left alone. A flow meter beside it shows
/// what the conductance goes with.
struct Lump;

const CELLS: usize = 200;

fn temperature(share: f64, conductance: f64, t: f64) -> f64 {
    let (power, capacity) = (100e3 * share, 60e3);
    let after = |s: f64| power / conductance * (1.0 - (-conductance * s / capacity).exp());
    if t <= 300.0 { after(t) } else { after(300.0) * (-conductance * (t - 300.0) / capacity).exp() }
}

fn shown([share, conductance]: [f64; 2]) -> Vec<Vec<f64>> {
    let time = |k: usize| 3.0 * k as f64;
    let hot = (0..CELLS).map(|k| 300.0 + temperature(share, conductance, time(k))).collect();
    let flow = (0..CELLS).map(|_| (conductance / 1000.0).powf(1.25)).collect();
    vec![hot, flow]
}

impl Predict for Lump {
    fn predict(&self, numbers: &[f64]) -> Option<Vec<Vec<f64>>> {
        Some(shown([numbers[0], numbers[1]]))
    }
}

const TRUTH: [f64; 2] = [0.3, 1200.0];
const NOISE: [f64; 2] = [0.4, 0.02];
const TOLERANCE: [f64; 2] = [1.0, 0.05];

/// One draw: an offset of each gauge anywhere within its tolerance, noise that neighbours share by `alike`, and a wild
/// point in a hundred where asked for.
fn draw(seed: u64, alike: f64, wild: bool) -> Found {
    let mut dice = Dice::new(seed);
    let channels = shown(TRUTH).into_iter().enumerate().map(|(c, truth)| {
        let offset = TOLERANCE[c] * (2.0 * dice.share() - 1.0);
        let mut noise = 0.0;
        let fresh = (1.0 - alike * alike).sqrt() * NOISE[c];
        let measured = truth.iter().map(|value| {
            noise = alike * noise + fresh * dice.normal();
            let off = if wild && dice.share() < 0.01 { 40.0 * NOISE[c] } else { 0.0 };
            value + offset + noise + off
        });
        Channel {
            measured: measured.collect(),
            sigma: 0.3 * TOLERANCE[c],
            noise: 0.2 * NOISE[c],
            tolerance: TOLERANCE[c],
        }
    });
    let channels = channels.collect();
    let ranges = vec![(0.1, 0.6), (500.0, 2500.0)];
    let mut task = Task { channels, ranges, model: &Lump, workers: &Alone };
    fitted(&mut task, &[0.4, 1000.0]).expect("it can be fitted")
}

/// How many of 200 draws have the truth within their intervals, by number.
fn held(alike: f64, wild: bool) -> [usize; 2] {
    let mut held = [0; 2];
    for seed in 0..200 {
        let found = draw(seed, alike, wild);
        for (k, held) in held.iter_mut().enumerate() {
            let [low, high] = found.intervals[k].map(|edge| edge.at);
            *held += usize::from((low..=high).contains(&TRUTH[k]));
        }
    }
    held
}

/// 95 % of 200 are 190, with a standard deviation of √(200 · 0.95 · 0.05) = 3.1: less than 181 is beyond three of them.
/// More is no fault as long as it is not all: offsets are anywhere within their tolerance, which the fit takes for a
/// normal deviate of the same variance, so its tails are a little too long.
fn hold(what: &str, held: [usize; 2]) {
    for held in held {
        assert!((181..=200).contains(&held), "{what}: {held} of 200");
    }
}

#[test]
fn intervals_hold_the_truth_in_nineteen_of_twenty_draws() {
    hold("independent noise", held(0.0, false));
}

#[test]
fn intervals_hold_with_wild_points_and_with_noise_that_goes_on() {
    hold("wild points", held(0.0, true));
    hold("noise that goes on", held(0.7, false));
}

/// They are no wider than they must be: with offsets and noise known to be as they are, the conductance is told by the
/// flow meter, 1.25 ΔG/G = ΔQ/Q with ΔQ from its offset alone, 0.05/√3 of 1.256.
#[test]
fn intervals_are_as_narrow_as_the_gauges_allow() {
    let found = draw(3, 0.0, false);
    let flow: f64 = 1.2_f64.powf(1.25);
    let by_hand = 0.05 / 3.0_f64.sqrt() / flow / 1.25 * 1200.0;
    let got = found.uncertainty(1);
    // The temperature tells a little as well.
    assert!(got < 1.02 * by_hand && got > 0.2 * by_hand, "{got} and by hand {by_hand}");
}

/// What one gauge shows: so many times a number for each second, with half of another number on top.
struct Straight;

const SECONDS: usize = 100;
const OTHER: f64 = 1.0;
/// What the gauge may be off by.
const TOLERATED: f64 = 0.002;

impl Predict for Straight {
    fn predict(&self, numbers: &[f64]) -> Option<Vec<Vec<f64>>> {
        Some(vec![(0..SECONDS).map(|t| numbers[0] * t as f64 + 0.5 * OTHER).collect()])
    }
}

/// A fit of that to a truth, with noise from row to row, widened by others with slopes of their own.
fn straight(
    truth: &dyn Fn(f64) -> f64,
    others: &Others,
) -> (Found, coolwright::study::learn::fitting::Wider) {
    let mut dice = Dice::new(5);
    let measured = (0..SECONDS).map(|t| truth(t as f64) + 0.02 * dice.normal()).collect();
    let channels = vec![Channel { measured, sigma: 0.03, noise: 0.005, tolerance: TOLERATED }];
    let ranges = vec![(-1.0, 1.0)];
    let mut task = Task { channels, ranges, model: &Straight, workers: &Alone };
    let mut found = fitted(&mut task, &[0.1]).expect("it can be fitted");
    let wider = widen(&task, &mut found, others).remove(0);
    (found, wider)
}

/// Uncertainty of a slope from rows of noise σ around a straight line from an intercept that is known to ± s, by hand: the
/// inverse of `Σt²/σ² − (Σt/σ²)²/(n/σ² + 1/s²)`.
fn by_hand(sigma: f64, s: f64) -> f64 {
    let times = (0..SECONDS).map(|t| t as f64);
    let (n, v) = (SECONDS as f64, sigma * sigma);
    let [sum, squares] = [times.clone().sum::<f64>(), times.map(|t| t * t).sum()];
    (squares / v - (sum / v).powi(2) / (n / v + 1.0 / (s * s))).sqrt().recip()
}

/// Half of a number that may be anywhere within 0.4 and 1.6 is an intercept known to ± 0.6/√12, beside the offset of its
/// gauge.
#[test]
fn an_interval_counts_with_what_a_number_that_is_not_told_may_be() {
    let range = (0.4, 1.6);
    let slopes = vec![vec![vec![0.5; SECONDS]]];
    let others = Others { at: vec![OTHER], ranges: vec![range], slopes };
    for other in [range.0, 0.7, OTHER, 1.3, range.1] {
        let (found, wider) = straight(&|t| 0.3 * t + 0.5 * other, &others);
        let sigma = found.spreads[0][0] * found.spreads[0][1];
        let own = by_hand(sigma, TOLERATED / 3.0_f64.sqrt());
        let with = by_hand(sigma, (0.6_f64.powi(2) / 12.0 + TOLERATED.powi(2) / 3.0).sqrt());
        assert!((found.uncertainty(0) / own - 1.0).abs() < 0.1, "{other}");
        assert!((wider.uncertainty / with - 1.0).abs() < 0.1, "{other}: {wider:?} {with}");
        assert_eq!((wider.is_wider, &wider.hangs_on[..]), (true, &[0][..]), "{other}");
        let [low, high] = found.intervals[0].map(|edge| edge.at);
        assert!((low..=high).contains(&0.3), "{other}: {low} to {high}");
        assert!((low..=high).contains(&found.numbers[0]), "{other}: {low} to {high}");
    }
}

/// What drives is late by up to half a second: for a straight line an intercept of its slope times that, ± 0.3 · 0.5/√3.
#[test]
fn an_interval_counts_with_half_a_sample_that_what_drives_is_late() {
    for late in [-0.5, -0.3, 0.0, 0.3, 0.5] {
        let slopes = vec![vec![vec![-0.3; SECONDS]]];
        let others = Others { at: vec![0.0], ranges: vec![(-0.5, 0.5)], slopes };
        let (found, wider) = straight(&|t| 0.3 * (t - late) + 0.5 * OTHER, &others);
        let sigma = found.spreads[0][0] * found.spreads[0][1];
        let with = by_hand(sigma, (0.15_f64.powi(2) / 3.0 + TOLERATED.powi(2) / 3.0).sqrt());
        assert!((wider.uncertainty / with - 1.0).abs() < 0.1, "{late}: {wider:?} {with}");
        let [low, high] = found.intervals[0].map(|edge| edge.at);
        assert!((low..=high).contains(&0.3), "{late}: {low} to {high}");
    }
}
