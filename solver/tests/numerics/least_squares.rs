//! Fits, against closed forms; `nist.rs` has published ones.

use coolwright_solver::least_squares::{Fit, NoFit, NoValue, Settings, fit};

const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// A straight line a + b·x through (0, 1), (1, 3), (2, 5.5), (3, 6.5), all by hand: b 1.9, a 1.15;
/// Σ r² 0.45 over two degrees of freedom; var b = 0.225/5, var a = 0.225·14/20, cov −0.225·6/20.
struct Line;

impl Fit for Line {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        for (out, (x, y)) in out.iter_mut().zip([(0.0, 1.0), (1.0, 3.0), (2.0, 5.5), (3.0, 6.5)]) {
            *out = p[0] + p[1] * x - y;
        }
        Ok(())
    }
}

fn close(what: &str, got: f64, want: f64) {
    assert!((got - want).abs() < 1e-8, "{what}: got {got}, want {want}");
}

#[test]
fn a_line_has_its_closed_form_and_covariance() {
    let mut p = [0.0, 0.0];
    let fitted = fit(&mut Line, 4, &mut p, &[FREE; 2], &Settings::default()).unwrap();
    close("a", p[0], 1.15);
    close("b", p[1], 1.9);
    close("sum of squares", fitted.sum_of_squares, 0.45);
    let covariance = fitted.covariance.unwrap();
    for (got, want) in covariance.iter().zip([0.1575, -0.0675, -0.0675, 0.045]) {
        close("covariance", *got, want);
    }
}

/// With b at most 1.5 the best a is the mean of y − 1.5 x, 1.75, and only a has a spread:
/// Σ r² = 0.5625 + 0.0625 + 0.5625 + 0.0625 = 1.25, over three degrees of freedom and four points.
#[test]
fn a_bound_holds_and_the_rest_is_the_best_there() {
    let mut p = [0.0, 0.0];
    let bounds = [FREE, (0.0, 1.5)];
    let fitted = fit(&mut Line, 4, &mut p, &bounds, &Settings::default()).unwrap();
    close("a", p[0], 1.75);
    assert_eq!(
        (p[1].total_cmp(&1.5), &fitted.at_bound[..]),
        (std::cmp::Ordering::Equal, &[false, true][..])
    );
    close("sum of squares", fitted.sum_of_squares, 1.25);
    close("spread of a", fitted.deviation(0).unwrap(), (1.25_f64 / 3.0 / 4.0).sqrt());
    close("spread of b", fitted.deviation(1).unwrap(), 0.0);
    // A start at the bound is left again where the fit pulls it away.
    let mut p = [9.0, 3.0];
    let fitted = fit(&mut Line, 4, &mut p, &[FREE, (0.0, 3.0)], &Settings::default()).unwrap();
    close("b", p[1], 1.9);
    assert_eq!(fitted.at_bound, [false, false]);
}

/// Two parameters of which only the sum shows.
struct Sum;

impl Fit for Sum {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        for (out, y) in out.iter_mut().zip([1.0, 2.0, 3.0]) {
            *out = p[0] + p[1] - y;
        }
        Ok(())
    }
}

#[test]
fn what_is_not_determined_has_no_covariance() {
    let mut p = [0.0, 0.0];
    let fitted = fit(&mut Sum, 3, &mut p, &[FREE; 2], &Settings::default()).unwrap();
    close("sum", p[0] + p[1], 2.0);
    assert_eq!(fitted.covariance, None);
}

/// √p, which is no number below zero.
struct Root;

impl Fit for Root {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        if p[0] < 0.0 {
            return Err(NoValue);
        }
        out[0] = p[0].sqrt() - 0.1;
        Ok(())
    }
}

#[test]
fn where_there_is_no_value_a_shorter_step_is_taken() {
    // The first full step leads to −8.4.
    let mut p = [9.0];
    fit(&mut Root, 1, &mut p, &[FREE], &Settings::default()).unwrap();
    close("p", p[0], 0.01);
}

#[test]
fn faults_are_told() {
    let settings = Settings::default();
    let mut p = [-1.0];
    assert_eq!(fit(&mut Root, 1, &mut p, &[FREE], &settings), Err(NoFit::Start));
    let crossed = fit(&mut Root, 1, &mut p, &[(2.0, 1.0)], &settings);
    assert_eq!(crossed, Err(NoFit::Bounds { parameter: 0 }));
    let none = fit(&mut Root, 1, &mut p, &[FREE], &Settings { offset: 0.0, ..settings });
    assert_eq!(none, Err(NoFit::Settings));
    let hurried = Settings { max_iterations: 1, ..settings };
    let mut p = [9.0];
    let early = fit(&mut Root, 1, &mut p, &[FREE], &hurried);
    assert!(matches!(early, Err(NoFit::Iterations { offset }) if offset > 0.5), "{early:?}");
}
