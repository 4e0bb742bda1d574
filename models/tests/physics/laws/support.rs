//! Reading reference values, comparing numbers and testing derivatives.

use std::path::Path;

use coolwright_solver::scalar::{Dual, Scalar};

/// One reference value: the law's arguments and what it should give.
pub(crate) struct Reference {
    pub(crate) arguments: Vec<f64>,
    pub(crate) value: f64,
}

/// All reference values of one law in `tests/reference/laws_fluids.csv` (fluids 1.3.1, ht 1.2.0).
pub(crate) fn references(law: &str) -> Vec<Reference> {
    references_in("laws_fluids.csv", law)
}

/// All reference values of one law in a file of `tests/reference`.
pub(crate) fn references_in(file: &str, law: &str) -> Vec<Reference> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/reference");
    let path = folder.join(file);
    let text = std::fs::read_to_string(&path).expect("the reference file is in the tree");
    let number = |text: &str| text.parse::<f64>().expect("a number in the reference file");
    let rows: Vec<Reference> = text
        .lines()
        .filter_map(|line| line.strip_prefix(law)?.strip_prefix(','))
        .map(|rest| {
            let (arguments, value) = rest.split_once(',').expect("arguments and value");
            let arguments = arguments.split(' ').map(number).collect();
            Reference { arguments, value: number(value) }
        })
        .collect();
    assert!(!rows.is_empty(), "no reference values of {law}");
    rows
}

/// Fails unless `got` is within `relative`·|want| + 1e-12 of `want`.
#[track_caller]
pub(crate) fn assert_close(what: &str, got: f64, want: f64, relative: f64) {
    let error = (got - want).abs();
    assert!(
        error <= relative * want.abs() + 1e-12,
        "{what}: got {got}, want {want}, off by {error:e}"
    );
}

/// Fails unless `got` is within `absolute` of `want`.
#[track_caller]
pub(crate) fn assert_near(what: &str, got: f64, want: f64, absolute: f64) {
    assert!((got - want).abs() <= absolute, "{what}: got {got}, want {want}, within {absolute}");
}

/// A law of several inputs that can be evaluated with and without derivatives.
pub(crate) trait Law {
    fn at<S: Scalar>(&self, inputs: &[S]) -> S;

    /// Size of the numbers that cancel inside the law, whose rounding a difference shows.
    fn inner_scale(&self) -> f64 {
        0.0
    }
}

/// Fails unless every analytic derivative of `law` at `point` agrees with a central difference
/// (steps `relative_step` of each input, or of `floor` where the input is small) within `tolerance`
/// of the law's scale.
#[track_caller]
pub(crate) fn assert_derivatives(
    what: &str,
    law: &impl Law,
    point: &[f64],
    floors: &[f64],
    tolerance: f64,
) {
    let plain = law.at(point);
    for index in 0..point.len() {
        let duals: Vec<Dual<1>> = point
            .iter()
            .enumerate()
            .map(|(i, x)| if i == index { Dual::variable(*x) } else { Dual::from(*x) })
            .collect();
        let dual = law.at(&duals);
        assert!(
            (dual.value - plain).abs() <= 1e-12 * plain.abs(),
            "{what} at {point:?}: {} with derivatives, {plain} without",
            dual.value
        );
        let step = 1e-5 * point[index].abs().max(floors[index]);
        let moved = |by: f64| {
            let mut inputs = point.to_vec();
            inputs[index] += by;
            law.at(&inputs)
        };
        // Extrapolated to no step, so that |x|·x at zero is met as well.
        let quotient = |h: f64| (moved(h) - moved(-h)) / (2.0 * h);
        let want = 2.0 * quotient(0.5 * step) - quotient(step);
        let size = want.abs().max(dual.slope().abs());
        let rounding = 1e-14 * plain.abs().max(law.inner_scale()) / step;
        assert!(
            (dual.slope() - want).abs() <= tolerance * size + 10.0 * rounding + 1e-300,
            "{what} at {point:?}: derivative by input {index} is {}, difference quotient {want}",
            dual.slope()
        );
    }
}

/// Random numbers between 0 and 1, the same in every run (a 64-bit linear congruential generator).
pub(crate) struct Numbers(u64);

impl Numbers {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub(crate) fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    pub(crate) fn log_between(&mut self, low: f64, high: f64) -> f64 {
        (self.between(low.ln(), high.ln())).exp()
    }
}

/// Darcy friction factor after Colebrook, −, for turbulent flow: what Churchill's is held against.
///
/// 1/√f = −2·log10(ε/(3.7·D) + 2.51/(Re·√f)), solved for 1/√f by Newton's method. Re from 4000.
///
/// Source: Colebrook 1939, J. Inst. Civ. Eng. 11, 133.
pub(crate) fn colebrook_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    let slope = 2.51 / reynolds;
    let mut x = 6.0;
    for _ in 0..50 {
        let inside = relative_roughness / 3.7 + slope * x;
        let residual = x + 2.0 * inside.log10();
        let step = residual / (1.0 + 2.0 / std::f64::consts::LN_10 * slope / inside);
        x -= step;
        if step.abs() < 1e-14 * x {
            break;
        }
    }
    1.0 / (x * x)
}
