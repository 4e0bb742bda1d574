//! Intervals over many draws of noise and offsets, with numbers that are known: they must hold them as often as they say.

use coolwright::study::learn::fitting::{Channel, Found, Predict, Task, fitted};
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
