//! How far a number may be off, and where in that it lies.

use statrs::distribution::{ContinuousCDF, Normal};

/// How far a number may be off, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Bell-shaped, cut off at a least and a most value.
    Normal {
        /// The middle.
        mean: f64,
        /// Its standard deviation, above zero.
        deviation: f64,
        /// The least and the most.
        within: [f64; 2],
    },
    /// Equally likely everywhere between two values.
    Uniform {
        /// From.
        from: f64,
        /// To.
        to: f64,
    },
    /// Most likely at a peak, falling off in straight lines.
    Triangular {
        /// From.
        from: f64,
        /// The likeliest.
        peak: f64,
        /// To.
        to: f64,
    },
}

impl Spread {
    /// The value that a share `u` of all values, above 0 and below 1, lies below.
    pub fn at(&self, u: f64) -> f64 {
        match *self {
            Self::Normal { mean, deviation, within: [least, most] } => {
                let below = |end: f64| normal().cdf((end - mean) / deviation);
                let (least_u, most_u) = (below(least), below(most));
                let u = least_u + u * (most_u - least_u);
                (mean + deviation * quantile(u)).clamp(least, most)
            }
            Self::Uniform { from, to } => from + u * (to - from),
            Self::Triangular { from, peak, to } => {
                let width = to - from;
                if width <= 0.0 {
                    return peak;
                }
                if u * width < peak - from {
                    from + (u * width * (peak - from)).sqrt()
                } else {
                    to - ((1.0 - u) * width * (to - peak)).sqrt()
                }
            }
        }
    }

    /// Whether it is no spread: one value alone.
    pub fn is_exact(&self) -> bool {
        match *self {
            Self::Normal { deviation, .. } => deviation <= 0.0,
            Self::Uniform { from, to } | Self::Triangular { from, to, .. } => from >= to,
        }
    }
}

/// The standard normal distribution.
fn normal() -> Normal {
    Normal::standard()
}

/// The standard normal number that a share `u` lies below.
pub fn quantile(u: f64) -> f64 {
    normal().inverse_cdf(u)
}

/// Dimensions of one sequence; more come from another, scrambled by another seed.
const DIMENSIONS: usize = sobol_burley::NUM_DIMENSIONS as usize;

/// One coordinate of one point of a scrambled Sobol sequence, above 0 and below 1. The crate gives 24 bits; the middle of
/// their step is taken, so that neither end is ever met.
pub fn coordinate(point: u32, dimension: usize, seed: u32) -> f64 {
    // Every pair of a seed and a block of dimensions has a scramble of its own.
    let block = u32::try_from(dimension / DIMENSIONS).unwrap_or(u32::MAX);
    let within = u32::try_from(dimension % DIMENSIONS).unwrap_or_default();
    let scramble = seed.wrapping_add(block.wrapping_mul(0x9e37_79b9));
    f64::from(sobol_burley::sample(point, within, scramble)) + 0.5 * STEP
}

/// The seed of A (0) or B (1), two draws that know nothing of each other.
pub fn side(seed: u32, which: usize) -> u32 {
    if which == 0 { seed } else { !seed }
}

/// The step of a coordinate: 2⁻²⁴.
const STEP: f64 = 1.0 / 16_777_216.0;

/// Most points that a sequence has.
pub const MOST_POINTS: usize = 1 << 16;

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    /// Shares of the standard normal: 0.975 lies below 1.959963984540054, 0.84134474606854 below 1 (Abramowitz & Stegun,
    /// table 26.1 and 26.2, to their digits).
    #[test]
    fn values_lie_where_tables_say() {
        assert_relative_eq!(quantile(0.975), 1.959963984540054, max_relative = 1e-9);
        assert_relative_eq!(quantile(0.841344746068543), 1.0, max_relative = 1e-9);
        let far = [f64::NEG_INFINITY, f64::INFINITY];
        let normal = Spread::Normal { mean: 10.0, deviation: 2.0, within: far };
        assert_relative_eq!(normal.at(0.025), 10.0 - 2.0 * 1.959963984540054, max_relative = 1e-9);
        assert_relative_eq!(Spread::Uniform { from: 2.0, to: 6.0 }.at(0.25), 3.0);
        // F(x) = (x − a)²/((b − a)(c − a)) left of the peak c, 1 − (b − x)²/((b − a)(b − c)) right of it.
        let triangle = Spread::Triangular { from: 0.0, peak: 1.0, to: 4.0 };
        assert_relative_eq!(triangle.at(0.25), 1.0);
        assert_relative_eq!(triangle.at(0.0625), 0.5);
        assert_relative_eq!(triangle.at(1.0 - 1.0 / 12.0), 3.0, max_relative = 1e-12);
        // Half of a bell, cut at its middle: the median is where the whole has three quarters, 0.674489750196082.
        let half = Spread::Normal { mean: 0.0, deviation: 1.0, within: [0.0, f64::INFINITY] };
        assert_relative_eq!(half.at(0.5), 0.674489750196082, max_relative = 1e-9);
    }

    #[test]
    fn a_peak_at_an_end_is_no_division_by_zero() {
        for peak in [0.0, 4.0] {
            let triangle = Spread::Triangular { from: 0.0, peak, to: 4.0 };
            for u in [1e-9, 0.3, 0.7, 1.0 - 1e-9] {
                let value = triangle.at(u);
                assert!((0.0..=4.0).contains(&value), "{value}");
            }
        }
        let nothing = Spread::Triangular { from: 3.0, peak: 3.0, to: 3.0 };
        assert!(nothing.is_exact());
        assert_relative_eq!(nothing.at(0.3), 3.0);
    }

    /// The mean over the unit cube of a product of (1 + (xᵢ − ½)) is 1. With 1,024 points of eight dimensions, plain random
    /// points have a standard error of √((1 + 1/12)⁸ − 1)/32 = 0.0296; the sequence must do better than that by far, with
    /// whatever seed.
    #[test]
    fn the_sequence_is_far_better_than_plain_random_points() {
        let plain = (((1.0_f64 + 1.0 / 12.0).powi(8) - 1.0) / 1024.0).sqrt();
        let error = |seed: u32| {
            let value = |k: u32| (0..8).map(|d| 0.5 + coordinate(k, d, seed)).product::<f64>();
            (0..1024).map(value).sum::<f64>() / 1024.0 - 1.0
        };
        let square: f64 = (0..64).map(|seed| error(seed).powi(2)).sum::<f64>() / 64.0;
        let ratio = square.sqrt() / plain;
        assert!(ratio < 0.1, "{ratio}");
        // No scramble of it is biased: the mean of the errors is within three of its own standard errors.
        let mean: f64 = (0..64).map(error).sum::<f64>() / 64.0;
        assert!(mean.abs() < 3.0 * square.sqrt() / 8.0, "{mean}");
    }

    #[test]
    fn dimensions_beyond_the_first_sequence_are_others() {
        let column = |d: usize| (0..64).map(|k| coordinate(k, d, 7)).collect::<Vec<f64>>();
        let (a, b) = (column(3), column(3 + DIMENSIONS));
        assert_ne!(a, b);
        for values in [a, b] {
            assert!(values.iter().all(|u| *u > 0.0 && *u < 1.0));
            // Each 64th of the range has one point: that is what such a sequence is.
            let mut sorted = values.clone();
            sorted.sort_by(f64::total_cmp);
            for (k, u) in (0..64).zip(sorted) {
                let cell = f64::from(k) / 64.0..f64::from(k + 1) / 64.0;
                assert!(cell.contains(&u), "{u} in {cell:?}");
            }
        }
    }
}
