//! Fits with wild points, intervals that follow the bends of a model, and the propagation of uncertainty.

use coolwright_solver::least_squares::{self, Fit, NoValue, Settings, fit};
use coolwright_solver::propagate::{Uncertain, propagate};
use coolwright_solver::robust::{Fitted, Huber, K, profile};

const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

fn close(what: &str, got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{what}: got {got}, want {want}");
}

/// One number measured several times.
struct Level(&'static [f64]);

impl Fit for Level {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        for (out, y) in out.iter_mut().zip(self.0) {
            *out = p[0] - y;
        }
        Ok(())
    }
}

/// 1, 2, 3, 4 and a wild 100. By hand: at 3 the residuals count as −k, −1, 0, 1 and k, which add up to nothing, so 3 is
/// the estimate; the mean would be 22.
#[test]
fn a_wild_point_counts_by_its_size_only() {
    let mut level = Level(&[1.0, 2.0, 3.0, 4.0, 100.0]);
    let mut p = [22.0];
    fit(&mut Huber::new(&mut level, K), 5, &mut p, &[FREE], &Settings::default()).unwrap();
    close("level", p[0], 3.0, 1e-6);
    fit(&mut level, 5, &mut p, &[FREE], &Settings::default()).unwrap();
    close("mean", p[0], 22.0, 1e-6);
}

/// Brownlee's stack loss, 21 days of a plant that oxidises ammonia (K. A. Brownlee, Statistical Theory and Methodology,
/// 1965, p. 454): air flow, water temperature, acid, loss.
const STACK_LOSS: [[f64; 4]; 21] = [
    [80.0, 27.0, 89.0, 42.0],
    [80.0, 27.0, 88.0, 37.0],
    [75.0, 25.0, 90.0, 37.0],
    [62.0, 24.0, 87.0, 28.0],
    [62.0, 22.0, 87.0, 18.0],
    [62.0, 23.0, 87.0, 18.0],
    [62.0, 24.0, 93.0, 19.0],
    [62.0, 24.0, 93.0, 20.0],
    [58.0, 23.0, 87.0, 15.0],
    [58.0, 18.0, 80.0, 14.0],
    [58.0, 18.0, 89.0, 14.0],
    [58.0, 17.0, 88.0, 13.0],
    [58.0, 18.0, 82.0, 11.0],
    [58.0, 19.0, 93.0, 12.0],
    [50.0, 18.0, 89.0, 8.0],
    [50.0, 18.0, 86.0, 7.0],
    [50.0, 19.0, 72.0, 8.0],
    [50.0, 19.0, 79.0, 8.0],
    [50.0, 20.0, 80.0, 9.0],
    [56.0, 20.0, 82.0, 15.0],
    [70.0, 20.0, 91.0, 15.0],
];

/// The loss as a plane over the rest, in units of a scale.
struct Stack(f64);

impl Fit for Stack {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        for (out, [air, water, acid, loss]) in out.iter_mut().zip(STACK_LOSS) {
            *out = (p[0] + p[1] * air + p[2] * water + p[3] * acid - loss) / self.0;
        }
        Ok(())
    }
}

/// Coefficients of Huber's estimate as robust regression prints them: W. N. Venables & B. D. Ripley, Modern Applied
/// Statistics with S, 4th edition, the function `rlm` on these data: −41.0265, 0.8294, 0.9261, −0.1278 with the scale
/// 2.441 (from memory).
#[test]
fn stack_loss_has_its_published_coefficients() {
    let mut p = [0.0; 4];
    let mut stack = Stack(2.4407);
    fit(&mut Huber::new(&mut stack, K), 21, &mut p, &[FREE; 4], &Settings::default()).unwrap();
    let want = [(-41.0265, 2e-3), (0.8294, 1e-4), (0.9261, 2e-4), (-0.1278, 1e-4)];
    for (k, (want, within)) in want.into_iter().enumerate() {
        close(&format!("coefficient {k}"), p[k], want, within);
    }
}

/// The same level as the exponential of a parameter: whatever a parameter is called, its profile has the same ends.
struct Exponential(&'static [f64]);

impl Fit for Exponential {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
        for (out, y) in out.iter_mut().zip(self.0) {
            *out = p[0].exp() * p[1] - y;
        }
        Ok(())
    }
}

/// 3, 5, 6, 10: mean 6, and the sum of squares rises by n (m − 6)², so by 4 at 5 and 7.
#[test]
fn a_profile_ends_where_the_sum_of_squares_has_risen() {
    let mut level = Level(&[3.0, 5.0, 6.0, 10.0]);
    let settings = Settings::default();
    let edges = |problem: &mut Level| {
        let of = Fitted {
            best: &[6.0],
            bounds: &[FREE],
            sum_of_squares: 26.0,
            residuals: 4,
            along: &[],
        };
        [-0.3, 4.0].map(|step| profile(problem, &of, (0, step, 4.0), &settings).unwrap())
    };
    let [low, high] = edges(&mut level);
    close("low", low.at, 5.0, 0.021);
    close("high", high.at, 7.0, 0.021);
    // ln 5 and ln 7, with another parameter that may go from 1 to 1: the bend of the exponential is followed.
    let mut bent = Exponential(&[3.0, 5.0, 6.0, 10.0]);
    let best = [6.0_f64.ln(), 1.0];
    let bounds = [FREE, (1.0, 1.0)];
    let of =
        Fitted { best: &best, bounds: &bounds, sum_of_squares: 26.0, residuals: 4, along: &[] };
    for (step, want) in [(-0.2, 5.0_f64.ln()), (0.2, 7.0_f64.ln())] {
        let edge = profile(&mut bent, &of, (0, step, 4.0), &settings).unwrap();
        close("bent", edge.at, want, 0.005);
        assert!(!edge.is_bound);
    }
    // Where the other is free nothing rises, and the bound is told.
    let bounds = [(1.0, 2.0), (0.1, 10.0)];
    let of =
        Fitted { best: &best, bounds: &bounds, sum_of_squares: 26.0, residuals: 4, along: &[] };
    let edge = profile(&mut bent, &of, (0, 0.05, 4.0), &settings).unwrap();
    assert!(edge.is_bound, "{edge:?}");
    close("bound", edge.at, 2.0, 1e-12);
}

/// Example H.2 of JCGM 100:2008, resistance, reactance and impedance from voltage, current and phase: the five sets of
/// observations of table H.2, results of tables H.3 and H.4 as printed.
#[test]
fn example_h2_of_the_gum_has_its_printed_results() {
    let observed = [
        [5.007, 19.663e-3, 1.0456],
        [4.994, 19.639e-3, 1.0438],
        [5.005, 19.640e-3, 1.0468],
        [4.990, 19.685e-3, 1.0428],
        [4.999, 19.678e-3, 1.0433],
    ];
    let mean = |k: usize| observed.iter().map(|set| set[k]).sum::<f64>() / 5.0;
    let means = [0, 1, 2].map(mean);
    let both = |a: usize, b: usize| {
        observed.iter().map(|set| (set[a] - means[a]) * (set[b] - means[b])).sum::<f64>() / 20.0
    };
    let covariance = (0..9).map(|k| both(k / 3, k % 3)).collect();
    let inputs = Uncertain { values: means.to_vec(), covariance };
    // As table H.2 prints them.
    for (k, (value, u)) in
        [(4.9990, 0.0032), (19.6610e-3, 0.0095e-3), (1.04446, 0.00075)].into_iter().enumerate()
    {
        close(&format!("mean {k}"), inputs.values[k], value, 1e-9);
        close(&format!("its uncertainty {k}"), inputs.uncertainty(k), u, 0.02 * u);
    }
    for ((a, b), r) in [((0, 1), -0.36), ((0, 2), 0.86), ((1, 2), -0.65)] {
        close(&format!("correlation of inputs {a} {b}"), inputs.correlation(a, b), r, 5e-3);
    }
    let found = propagate(&inputs, 3, |x, y| {
        y[2] = x[0] / x[1];
        y[0] = y[2] * x[2].cos();
        y[1] = y[2] * x[2].sin();
    });
    for (k, (value, u)) in
        [(127.732, 0.071), (219.847, 0.295), (254.260, 0.236)].into_iter().enumerate()
    {
        close(&format!("value {k}"), found.values[k], value, 6e-4);
        close(&format!("uncertainty {k}"), found.uncertainty(k), u, 6e-4);
    }
    for ((a, b), r) in [((0, 1), -0.588), ((0, 2), -0.485), ((1, 2), 0.993)] {
        close(&format!("correlation {a} {b}"), found.correlation(a, b), r, 6e-4);
    }
}

/// The same with inputs that are told by their uncertainties and correlations.
#[test]
fn correlations_are_told_one_by_one() {
    let inputs = Uncertain::independent(&[(3.0, 0.1), (4.0, 0.2)]).correlated((0, 1), 0.5);
    let sum = propagate(&inputs, 1, |x, y| y[0] = x[0] + x[1]);
    // 0.01 + 0.04 + 2 · 0.5 · 0.1 · 0.2
    close("sum", sum.uncertainty(0), 0.07_f64.sqrt(), 1e-12);
}

#[test]
fn noise_of_a_model_that_is_followed_in_time_ends_a_fit() {
    /// A line with a ripple of a millionth, as what an integration leaves.
    struct Rippled(usize);
    impl Fit for Rippled {
        fn residuals(&mut self, p: &[f64], out: &mut [f64]) -> Result<(), NoValue> {
            self.0 += 1;
            for (k, out) in out.iter_mut().enumerate() {
                let x = k as f64;
                *out = p[0] + p[1] * x - [0.1, 1.9, 4.2, 5.8][k] + 1e-6 * (1e7 * p[0] + x).sin();
            }
            Ok(())
        }
        fn jacobian(&mut self, _: &[f64], out: &mut [f64]) -> Result<bool, NoValue> {
            out.copy_from_slice(&[1.0, 1.0, 1.0, 1.0, 0.0, 1.0, 2.0, 3.0]);
            Ok(true)
        }
    }
    let settings = Settings { offset: 1e-7, noise: 1e-4, ..Settings::default() };
    let (mut problem, mut p) = (Rippled(0), [0.0; 2]);
    let fitted = fit(&mut problem, 4, &mut p, &[FREE; 2], &settings).unwrap();
    assert!(fitted.evaluations < 12, "{} evaluations", fitted.evaluations);
    // By hand: slope 1.94, 0.09 at zero.
    close("slope", p[1], 1.94, 1e-5);
    close("start", p[0], 0.09, 1e-5);
    let wrong = Settings { noise: 1.0, ..settings };
    let none = fit(&mut problem, 4, &mut p, &[FREE; 2], &wrong);
    assert_eq!(none, Err(least_squares::NoFit::Settings));
}
