//! What so many of so many cases tell of a chance, and where values lie.

/// A standard normal number is no further from zero than this with a chance of 95 %.
pub const NORMAL_95: f64 = 1.959963984540054;

/// The interval of a chance, 95 %, where `kept` of `all` cases hold (Wilson 1927):
///
/// ```text
/// (p + z²/2n ± z √(p (1 − p)/n + z²/4n²)) / (1 + z²/n)
/// ```
///
/// It is meant for independent cases; those of a scrambled sequence are spread more evenly, so it is mostly too wide.
pub fn wilson(kept: usize, all: usize) -> [f64; 2] {
    if all == 0 {
        return [0.0, 1.0];
    }
    let (n, z2) = (all as f64, NORMAL_95 * NORMAL_95);
    let p = kept as f64 / n;
    let middle = p + z2 / (2.0 * n);
    let half = NORMAL_95 * (p * (1.0 - p) / n + z2 / (4.0 * n * n)).sqrt();
    let end = |x: f64| (x / (1.0 + z2 / n)).clamp(0.0, 1.0);
    // At either end rounding would leave a little.
    let least = if kept == 0 { 0.0 } else { end(middle - half) };
    let most = if kept == all { 1.0 } else { end(middle + half) };
    [least, most]
}

/// The value that a share of some values, in order, lies below: straight between the two next to it.
pub fn quantile_of(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = share.clamp(0.0, 1.0) * last as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to last")]
    let below = place.floor() as usize;
    let (a, b) = (sorted[below], sorted[(below + 1).min(last)]);
    // An end without a value would spoil a value at the other.
    let part = place - below as f64;
    Some(if part == 0.0 { a } else { a + part * (b - a) })
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::super::spread::{coordinate, quantile};
    use super::*;

    /// 81 of 263: 0.2553 to 0.3662; 15 of 148: 0.0624 to 0.1605; 0 of 20: 0 to 0.1611; 1 of 29: 0.0061 to 0.1718 (Newcombe
    /// 1998, Statist. Med. 17, 857, table I, method 3).
    #[test]
    fn intervals_are_those_that_were_printed() {
        for (kept, all, least, most) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let [a, b] = wilson(kept, all);
            assert!((a - least).abs() < 6e-5 && (b - most).abs() < 6e-5, "{kept}/{all}: {a} {b}");
        }
    }

    /// Every count of 256 with its exact binomial chance: on the whole the interval holds the truth in 93 to 97 of 100
    /// cases, whatever the truth, and with few exceptions near the ends in 90 at least.
    #[test]
    fn the_interval_holds_the_truth_as_often_as_it_says() {
        let n = 256_usize;
        let covered = |p: f64| {
            // (1 − p)ⁿ and from there by the ratio of neighbours, in logarithms.
            let mut ln_chance = n as f64 * (1.0 - p).ln();
            let mut sum = 0.0;
            for kept in 0..=n {
                let [least, most] = wilson(kept, n);
                sum += if (least..=most).contains(&p) { ln_chance.exp() } else { 0.0 };
                ln_chance += ((n - kept) as f64 / (kept + 1) as f64 * p / (1.0 - p)).ln();
            }
            sum
        };
        let all: Vec<f64> = (1..100).map(|k| covered(f64::from(k) / 100.0)).collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        assert!((0.94..0.96).contains(&mean), "{mean}");
        assert!(all.iter().all(|of| *of > 0.90), "{all:?}");
    }

    /// The chance that a sum of five normal numbers is below a bound, told from 256 points of the sequence with each of
    /// 200 seeds: the interval must hold the truth at least as often as it says.
    #[test]
    fn points_of_the_sequence_are_no_worse_than_independent_ones() {
        let mut held = 0;
        for seed in 0..200 {
            let sum = |k: u32| (0..5).map(|d| quantile(coordinate(k, d, seed))).sum::<f64>();
            // 1.2816 standard deviations: a chance of 0.9.
            let bound = 5.0_f64.sqrt() * quantile(0.9);
            let kept = (0..256).filter(|k| sum(*k) <= bound).count();
            let [least, most] = wilson(kept, 256);
            held += usize::from((least..=most).contains(&0.9));
        }
        assert!(held >= 190, "{held} of 200");
    }

    #[test]
    fn quantiles_lie_between_neighbours() {
        let values = [1.0, 2.0, 4.0, 8.0, 16.0];
        assert_eq!(quantile_of(&values, 0.5), Some(4.0));
        assert_eq!(quantile_of(&values, 0.125), Some(1.5));
        assert_eq!(quantile_of(&[], 0.5), None);
        assert_relative_eq!(quantile_of(&values, 1.0).expect("a value"), 16.0);
        assert_eq!(quantile_of(&[1.0, 2.0, 3.0, f64::INFINITY], 1.0 / 3.0), Some(2.0));
    }
}
