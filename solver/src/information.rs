//! What measurements tell of parameters: information matrices, whose inverse is the covariance.

use nalgebra::{DMatrix, linalg::Cholesky};

/// Information about so many parameters: Σ `JᵀJ` with every row of J over its standard uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Information {
    count: usize,
    matrix: Vec<f64>,
}

impl Information {
    /// No information about so many parameters.
    pub fn none(count: usize) -> Self {
        Self { count, matrix: vec![0.0; count * count] }
    }

    /// How many parameters there are.
    pub fn count(&self) -> usize {
        self.count
    }

    /// An entry.
    ///
    /// # Panics
    /// When there is no such parameter.
    pub fn at(&self, a: usize, b: usize) -> f64 {
        self.matrix[a * self.count + b]
    }

    /// Adds a measurement by its slopes over the parameters, each over its standard uncertainty.
    pub fn add(&mut self, slopes: &[f64]) {
        for (a, first) in slopes.iter().enumerate().filter(|(_, slope)| **slope != 0.0) {
            for (b, second) in slopes.iter().enumerate() {
                self.matrix[a * self.count + b] += first * second;
            }
        }
    }

    /// Adds what is known of a parameter beforehand, as its standard uncertainty.
    pub fn know(&mut self, parameter: usize, uncertainty: f64) {
        if uncertainty > 0.0 {
            self.matrix[parameter * (self.count + 1)] += uncertainty.powi(-2);
        }
    }

    /// The same for more parameters, of which nothing is known yet.
    #[must_use]
    pub fn with_more(&self, more: usize) -> Self {
        let count = self.count + more;
        let mut wider = Self::none(count);
        for a in 0..self.count {
            for b in 0..self.count {
                wider.matrix[a * count + b] = self.at(a, b);
            }
        }
        wider
    }

    /// What is known of some of them where all others are known exactly.
    #[must_use]
    pub fn only(&self, kept: &[usize]) -> Self {
        let matrix = kept.iter().flat_map(|&a| kept.iter().map(move |&b| self.at(a, b)));
        Self { count: kept.len(), matrix: matrix.collect() }
    }

    /// The covariance, row by row; `None` where the measurements do not determine all parameters.
    pub fn covariance(&self) -> Option<Vec<f64>> {
        let count = self.count;
        let sizes: Vec<f64> = (0..count).map(|k| self.at(k, k).sqrt()).collect();
        if sizes.iter().any(|size| !size.is_finite() || *size <= 0.0) {
            return None;
        }
        // Units of the parameters must not matter.
        let scaled = DMatrix::from_fn(count, count, |a, b| self.at(a, b) / (sizes[a] * sizes[b]));
        let factor = Cholesky::new(scaled)?;
        let pivots = (0..count).map(|k| factor.l_dirty()[(k, k)]);
        if pivots.into_iter().any(|pivot| pivot < 1e-7) {
            return None;
        }
        let inverse = factor.inverse();
        let entry =
            |k: usize| inverse[(k / count, k % count)] / (sizes[k / count] * sizes[k % count]);
        Some((0..count * count).map(entry).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line through (0, 0) to (3, …) with unit uncertainty, by hand: the matrix is [4 6; 6 14], its inverse
    /// [14 −6; −6 4]/20.
    #[test]
    fn the_covariance_is_the_inverse() {
        let mut known = Information::none(2);
        (0..4).for_each(|x| known.add(&[1.0, f64::from(x)]));
        let covariance = known.covariance().expect("it is determined");
        for (got, want) in covariance.iter().zip([0.7, -0.3, -0.3, 0.2]) {
            assert!((got - want).abs() < 1e-12, "{covariance:?}");
        }
        let mut sum_only = Information::none(2);
        (0..4).for_each(|_| sum_only.add(&[1.0, 1.0]));
        assert_eq!(sum_only.covariance(), None);
        // With something known beforehand of one of them there is an answer.
        sum_only.know(0, 0.5);
        let covariance = sum_only.covariance().expect("it is determined now");
        assert!((covariance[0] - 0.25).abs() < 1e-9, "{covariance:?}");
        assert!((covariance[3] - 0.5).abs() < 1e-9, "{covariance:?}");
    }
}
