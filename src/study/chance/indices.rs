//! Which inputs drive a number: shares of its variance.
//!
//! With two independent draws of all inputs, A and B, and A with input i of B (Aᵢ), the share of the variance V that
//! goes with input i alone, and that which is gone where i is held, are
//!
//! ```text
//! Sᵢ = mean[(f(B) − m) (f(Aᵢ) − f(A))] / V        Tᵢ = mean[(f(A) − f(Aᵢ))²] / (2 V)
//! ```
//!
//! (Saltelli et al. 2010, Comput. Phys. Commun. 181, 259, table 2, rows b and f; from memory.) The interval of each is
//! that of a ratio of two means, to first order, as for independent points; a scrambled sequence is mostly closer.

use super::interval::NORMAL_95;

/// A number that was estimated, and half the width of its interval, 95 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The number.
    pub value: f64,
    /// Half the width of its interval.
    pub half_width: f64,
}

/// What goes with one input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// The share of the variance that goes with it alone.
    pub alone: Estimate,
    /// The share that is gone where it is held: alone, and together with others.
    pub in_all: Estimate,
}

/// Fewer points than this tell nothing.
const LEAST_POINTS: usize = 8;

/// The shares of one input from f(A), f(B) and f(Aᵢ), point by point. Points without a number are left out; `None` where
/// too few are left, or nothing varies.
pub fn shares(a: &[f64], b: &[f64], ab: &[f64]) -> Option<Shares> {
    let points = a.iter().zip(b).zip(ab).map(|((a, b), ab)| [*a, *b, *ab]);
    let points: Vec<[f64; 3]> = points.filter(|all| all.iter().all(|v| v.is_finite())).collect();
    if points.len() < LEAST_POINTS || 2 * points.len() < a.len() {
        return None;
    }
    let n = points.len() as f64;
    let mean = points.iter().map(|[a, b, _]| 0.5 * (a + b)).sum::<f64>() / n;
    let spread = |[a, b, _]: &[f64; 3]| 0.5 * ((a - mean).powi(2) + (b - mean).powi(2));
    let variance = points.iter().map(spread).sum::<f64>() / n;
    // What is lost in rounding is no variance.
    if variance.sqrt() <= 1e-12 * mean.abs() {
        return None;
    }
    let ratio = |part: &dyn Fn(&[f64; 3]) -> f64| {
        let value = points.iter().map(part).sum::<f64>() / n / variance;
        let off = points.iter().map(|p| ((part(p) - value * spread(p)) / variance).powi(2));
        Estimate { value, half_width: NORMAL_95 * (off.sum::<f64>() / n / (n - 1.0)).sqrt() }
    };
    Some(Shares {
        alone: ratio(&|[a, b, ab]| (b - mean) * (ab - a)),
        in_all: ratio(&|[a, _, ab]| 0.5 * (a - ab).powi(2)),
    })
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::spread::{coordinate, quantile, side};
    use super::*;

    /// The shares of every input of a function on the unit cube.
    fn of(f: &dyn Fn(&[f64]) -> f64, inputs: usize, points: u32, seed: u32) -> Vec<Shares> {
        let row = |k: u32, which: usize| -> Vec<f64> {
            (0..inputs).map(|d| coordinate(k, d, side(seed, which))).collect()
        };
        let (a, b): (Vec<Vec<f64>>, Vec<Vec<f64>>) =
            (0..points).map(|k| (row(k, 0), row(k, 1))).unzip();
        let at = |rows: &[Vec<f64>]| rows.iter().map(|x| f(x)).collect::<Vec<f64>>();
        let (of_a, of_b) = (at(&a), at(&b));
        let one = |i: usize| {
            let mut mixed = a.clone();
            mixed.iter_mut().zip(&b).for_each(|(mixed, b)| mixed[i] = b[i]);
            shares(&of_a, &of_b, &at(&mixed)).expect("it varies")
        };
        (0..inputs).map(one).collect()
    }

    /// sin x₁ + a sin² x₂ + b x₃⁴ sin x₁ on (−π, π)³, a = 7, b = 0.1 (Ishigami & Homma 1990): V₁ = ½ (1 + b π⁴/5)²,
    /// V₂ = a²/8, V₁₃ = b² π⁸ (1/18 − 1/50), nothing else.
    fn ishigami(x: &[f64]) -> f64 {
        let x: Vec<f64> = x.iter().map(|u| PI * (2.0 * u - 1.0)).collect();
        x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin()
    }

    fn ishigami_shares() -> [[f64; 2]; 3] {
        let one = 0.5 * (1.0 + 0.1 * PI.powi(4) / 5.0_f64).powi(2);
        let two = 49.0 / 8.0;
        let both = 0.01 * PI.powi(8) * (1.0 / 18.0 - 1.0 / 50.0);
        let v = one + two + both;
        [[one / v, (one + both) / v], [two / v, two / v], [0.0, both / v]]
    }

    /// ∏ (|4 xᵢ − 2| + aᵢ)/(1 + aᵢ) on the unit cube (Saltelli & Sobol' 1995): Vᵢ = 1/(3 (1 + aᵢ)²), V = ∏ (1 + Vᵢ) − 1,
    /// in all Vᵢ ∏ over the others (1 + Vⱼ).
    const G: [f64; 6] = [0.0, 0.5, 3.0, 9.0, 99.0, 99.0];

    fn g(x: &[f64]) -> f64 {
        x.iter().zip(G).map(|(x, a)| ((4.0 * x - 2.0).abs() + a) / (1.0 + a)).product()
    }

    fn g_shares() -> Vec<[f64; 2]> {
        let own = G.map(|a| 1.0 / (3.0 * (1.0 + a) * (1.0 + a)));
        let v = own.iter().map(|v| 1.0 + v).product::<f64>() - 1.0;
        let others = |i: usize| {
            let all = own.iter().enumerate().filter(|(j, _)| *j != i);
            all.map(|(_, v)| 1.0 + v).product::<f64>()
        };
        (0..6).map(|i| [own[i] / v, own[i] * others(i) / v]).collect()
    }

    #[test]
    fn shares_come_out_as_in_closed_form() {
        for (found, wanted) in [
            (of(&ishigami, 3, 8192, 1), ishigami_shares().to_vec()),
            (of(&g, 6, 8192, 1), g_shares()),
        ] {
            for (i, (found, [alone, in_all])) in found.iter().zip(wanted).enumerate() {
                let off =
                    (found.alone.value - alone).abs().max((found.in_all.value - in_all).abs());
                assert!(off < 0.03, "input {i}: {found:?}, {alone} {in_all}");
            }
        }
    }

    /// Of many draws at least so many intervals hold the true share as they promise; a scrambled sequence may only do
    /// better.
    #[test]
    fn intervals_hold_the_closed_form_as_often_as_they_say() {
        let (mut held, mut all) = (0, 0);
        let mut count = |found: Vec<Shares>, wanted: Vec<[f64; 2]>| {
            for (found, [alone, in_all]) in found.iter().zip(wanted) {
                for (of, truth) in [(found.alone, alone), (found.in_all, in_all)] {
                    held += usize::from((of.value - truth).abs() <= of.half_width);
                    all += 1;
                }
            }
        };
        for seed in 0..100 {
            count(of(&ishigami, 3, 256, seed), ishigami_shares().to_vec());
            // The last two of the g-function do next to nothing.
            count(of(&g, 6, 256, seed)[..4].to_vec(), g_shares()[..4].to_vec());
        }
        assert!(held * 100 >= all * 93, "{held} of {all}");
    }

    /// A sum of forty normal numbers, the k-th with weight 0.9ᵏ: its share is 0.81ᵏ over their sum, alone and in all. So many
    /// inputs have points that are no longer spread evenly in every pair of them, and the intervals must still hold.
    #[test]
    fn intervals_hold_with_many_inputs() {
        let sum = |x: &[f64]| {
            let of = |(k, u): (i32, &f64)| 0.9_f64.powi(k) * quantile(*u);
            (0..40).zip(x).map(of).sum::<f64>()
        };
        let all = (1.0 - 0.81_f64.powi(40)) / 0.19;
        let (mut alone, mut in_all, mut count) = (0, 0, 0);
        for seed in 0..20 {
            for (k, of) in (0..10).zip(of(&sum, 40, 128, seed)) {
                let truth = 0.81_f64.powi(k) / all;
                let holds = |e: Estimate| usize::from((e.value - truth).abs() <= e.half_width);
                (alone, in_all) = (alone + holds(of.alone), in_all + holds(of.in_all));
                count += 1;
            }
        }
        assert!(
            alone * 100 >= count * 90 && in_all * 100 >= count * 90,
            "{alone} {in_all} {count}"
        );
    }

    #[test]
    fn what_does_not_vary_or_has_no_number_has_no_shares() {
        let same = vec![3.0; 64];
        assert_eq!(shares(&same, &same, &same), None);
        let mut gone = vec![f64::NAN; 64];
        gone[..20].iter_mut().enumerate().for_each(|(k, x)| *x = k as f64);
        assert_eq!(shares(&gone, &same, &same), None);
    }
}
