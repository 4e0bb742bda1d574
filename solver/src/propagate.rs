//! How uncertain what is calculated is, where what it is calculated from is uncertain: the law of propagation of the
//! GUM (JCGM 100:2008, 5.1.2 and 5.2.2), several results at once.
//!
//! ```text
//! u(yₖ, yₗ) = Σᵢ Σⱼ (∂fₖ/∂xᵢ) (∂fₗ/∂xⱼ) u(xᵢ, xⱼ)
//! ```
//!
//! with the slopes taken over one standard uncertainty to either side (5.1.3, note 2).
//!
//! ```
//! use coolwright_solver::propagate::{Uncertain, propagate};
//!
//! // A heat flow of 4186 J/(kg·K) times 0.5 ± 0.01 kg/s times 8 ± 0.3 K.
//! let inputs = Uncertain::independent(&[(0.5, 0.01), (8.0, 0.3)]);
//! let heat = propagate(&inputs, 1, |x, y| y[0] = 4186.0 * x[0] * x[1]);
//! let by_hand = 4186.0 * (0.08_f64.powi(2) + 0.15_f64.powi(2)).sqrt();
//! assert!((heat.values[0] - 16744.0).abs() < 1e-9);
//! assert!((heat.uncertainty(0) - by_hand).abs() < 1e-9);
//! ```

/// Numbers with their covariance.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertain {
    /// The best estimates.
    pub values: Vec<f64>,
    /// Their covariance, row by row.
    pub covariance: Vec<f64>,
}

impl Uncertain {
    /// Numbers that have nothing to do with each other, with their standard uncertainties.
    pub fn independent(numbers: &[(f64, f64)]) -> Self {
        let count = numbers.len();
        let mut covariance = vec![0.0; count * count];
        for (k, (_, u)) in numbers.iter().enumerate() {
            covariance[k * (count + 1)] = u * u;
        }
        Self { values: numbers.iter().map(|(value, _)| *value).collect(), covariance }
    }

    /// The same with a correlation coefficient between two of them.
    ///
    /// # Panics
    /// When there is no such number.
    #[must_use]
    pub fn correlated(mut self, (a, b): (usize, usize), coefficient: f64) -> Self {
        let count = self.values.len();
        let both = coefficient * self.uncertainty(a) * self.uncertainty(b);
        self.covariance[a * count + b] = both;
        self.covariance[b * count + a] = both;
        self
    }

    /// Standard uncertainty of a number.
    ///
    /// # Panics
    /// When there is no such number.
    pub fn uncertainty(&self, k: usize) -> f64 {
        self.covariance[k * (self.values.len() + 1)].max(0.0).sqrt()
    }

    /// Correlation coefficient of two numbers; zero where one of them is exact.
    ///
    /// # Panics
    /// When there is no such number.
    pub fn correlation(&self, a: usize, b: usize) -> f64 {
        let size = self.uncertainty(a) * self.uncertainty(b);
        if size > 0.0 { self.covariance[a * self.values.len() + b] / size } else { 0.0 }
    }
}

/// So many results of inputs with their covariance. `f` writes the results of inputs.
pub fn propagate(
    inputs: &Uncertain,
    results: usize,
    mut f: impl FnMut(&[f64], &mut [f64]),
) -> Uncertain {
    let count = inputs.values.len();
    let mut at = inputs.values.clone();
    let mut values = vec![0.0; results];
    f(&at, &mut values);
    let [mut above, mut below] = [values.clone(), values.clone()];
    // By input the slope of every result.
    let mut slopes = vec![vec![0.0; results]; count];
    for (k, slopes) in slopes.iter_mut().enumerate() {
        let u = inputs.uncertainty(k);
        if u <= 0.0 {
            continue;
        }
        let value = at[k];
        at[k] = value + u;
        f(&at, &mut above);
        at[k] = value - u;
        f(&at, &mut below);
        at[k] = value;
        for (slope, (above, below)) in slopes.iter_mut().zip(above.iter().zip(&below)) {
            *slope = (above - below) / (2.0 * u);
        }
    }
    let mut covariance = vec![0.0; results * results];
    for (i, of_i) in slopes.iter().enumerate() {
        for (j, of_j) in slopes.iter().enumerate() {
            let both = inputs.covariance[i * count + j];
            for k in 0..results {
                for l in 0..results {
                    covariance[k * results + l] += of_i[k] * of_j[l] * both;
                }
            }
        }
    }
    Uncertain { values, covariance }
}
