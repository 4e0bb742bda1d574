//! Fits, against the certified values of NIST's reference datasets and closed forms.

use coolwright_solver::least_squares::{Fit, NoFit, NoValue, Settings, fit};
use coolwright_solver::scalar::{Dual, Scalar};

/// A dataset as it stands in its file.
struct Dataset {
    starts: Vec<Vec<f64>>,
    certified: Vec<f64>,
    deviations: Vec<f64>,
    sum_of_squares: f64,
    residual_deviation: f64,
    degrees_of_freedom: f64,
    data: Vec<[f64; 2]>,
}

fn read(text: &str) -> Dataset {
    let lines = |key: &str| -> Vec<Vec<f64>> {
        let lines = text.lines().filter_map(|line| line.strip_prefix(key)?.strip_prefix(','));
        lines.map(|line| line.split(',').map(|x| x.parse().unwrap()).collect()).collect()
    };
    let only = |key| lines(key).remove(0);
    Dataset {
        starts: lines("start"),
        certified: only("certified"),
        deviations: only("deviation"),
        sum_of_squares: only("sum_of_squares")[0],
        residual_deviation: only("residual_deviation")[0],
        degrees_of_freedom: only("degrees_of_freedom")[0],
        data: lines("data").into_iter().map(|pair| [pair[0], pair[1]]).collect(),
    }
}

/// A model of N parameters over x.
trait Model<const N: usize> {
    fn value<S: Scalar>(b: [S; N], x: f64) -> S;
}

struct Misra;
impl Model<2> for Misra {
    fn value<S: Scalar>([b1, b2]: [S; 2], x: f64) -> S {
        b1 * (-(b2 * -x).exp() + 1.0)
    }
}

struct Chwirut;
impl Model<3> for Chwirut {
    fn value<S: Scalar>([b1, b2, b3]: [S; 3], x: f64) -> S {
        (b1 * -x).exp() / (b2 + b3 * x)
    }
}

struct Thurber;
impl Model<7> for Thurber {
    fn value<S: Scalar>([b1, b2, b3, b4, b5, b6, b7]: [S; 7], x: f64) -> S {
        (b1 + (b2 + (b3 + b4 * x) * x) * x) / ((b5 + (b6 + b7 * x) * x) * x + 1.0)
    }
}

struct Kowalik;
impl Model<4> for Kowalik {
    fn value<S: Scalar>([b1, b2, b3, b4]: [S; 4], x: f64) -> S {
        b1 * (b2 * x + x * x) / (b3 * x + b4 + x * x)
    }
}

/// The model over the data; with its Jacobian or without.
struct Problem<'a, M, const N: usize> {
    data: &'a [[f64; 2]],
    differences: bool,
    model: std::marker::PhantomData<M>,
}

impl<M: Model<N>, const N: usize> Fit for Problem<'_, M, N> {
    fn residuals(&mut self, parameters: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        let b: [f64; N] = parameters.try_into().unwrap();
        for (out, [x, y]) in out.iter_mut().zip(self.data) {
            *out = M::value(b, *x) - y;
        }
        Ok(())
    }

    fn jacobian(&mut self, parameters: &[f64], out: &mut [f64]) -> Result<bool, NoValue> {
        if self.differences {
            return Ok(false);
        }
        for (own, column) in out.chunks_exact_mut(self.data.len()).enumerate() {
            let b: [Dual<1>; N] = std::array::from_fn(|i| {
                if i == own { Dual::variable(parameters[i]) } else { Dual::from(parameters[i]) }
            });
            for (out, [x, _]) in column.iter_mut().zip(self.data) {
                *out = M::value(b, *x).slope();
            }
        }
        Ok(true)
    }
}

const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

fn check<M: Model<N>, const N: usize>(name: &str, text: &str) {
    let set = read(text);
    assert_eq!(set.starts.len(), 2, "{name}");
    for (start, differences) in set.starts.iter().flat_map(|start| [(start, false), (start, true)])
    {
        let what = format!("{name} from {start:?}, differences {differences}");
        let mut problem =
            Problem::<M, N> { data: &set.data, differences, model: std::marker::PhantomData };
        let mut b = start.clone();
        let settings = Settings { offset: 1e-10, ..Settings::default() };
        let fitted = fit(&mut problem, set.data.len(), &mut b, &[FREE; N], &settings)
            .unwrap_or_else(|no| panic!("{what}: {no}, at {b:?}"));
        println!("{what}: {} iterations, {} evaluations", fitted.iterations, fitted.evaluations);
        // Eleven digits are printed; differences leave about nine of the Jacobian.
        let digits = if differences { 1e-7 } else { 1e-9 };
        let compare = |part: &str, got: f64, want: f64, digits: f64| {
            let off = (got / want - 1.0).abs();
            assert!(
                off < digits,
                "{what}, {part}: got {got:.12e}, want {want:.10e}, off {off:.1e}"
            );
        };
        for (i, (want, deviation)) in set.certified.iter().zip(&set.deviations).enumerate() {
            compare(&format!("b{}", i + 1), b[i], *want, digits);
            let got = fitted.deviation(i).expect("all are determined");
            compare(&format!("deviation of b{}", i + 1), got, *deviation, 1e-6);
        }
        compare("sum of squares", fitted.sum_of_squares, set.sum_of_squares, 2e-10);
        compare("deviation", fitted.residual_deviation(), set.residual_deviation, 2e-10);
        compare("degrees", fitted.degrees_of_freedom as f64, set.degrees_of_freedom, 1e-12);
    }
}

#[test]
fn misra1a_has_its_certified_values() {
    check::<Misra, 2>("misra1a", include_str!("../reference/nist_misra1a.csv"));
}

#[test]
fn chwirut2_has_its_certified_values() {
    check::<Chwirut, 3>("chwirut2", include_str!("../reference/nist_chwirut2.csv"));
}

#[test]
fn thurber_has_its_certified_values() {
    check::<Thurber, 7>("thurber", include_str!("../reference/nist_thurber.csv"));
}

#[test]
fn mgh09_has_its_certified_values() {
    check::<Kowalik, 4>("mgh09", include_str!("../reference/nist_mgh09.csv"));
}

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
