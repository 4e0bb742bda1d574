use coolwright_models::laws::curve::{Curve, CurveError, pump_power, pump_rise};
use coolwright_solver::scalar::{Dual, Scalar};

use super::support::{Law, Numbers, assert_close, assert_derivatives};

/// Invented pump: 95(1 − (Q/120)²) kPa, Q in L/min, at seven points.
fn pump() -> Curve {
    let points = (0..=6).map(|i| {
        let q = f64::from(i) * 20.0;
        [q / 6e4, 95e3 * (1.0 - (q / 120.0).powi(2))]
    });
    Curve::falling_ends(points.collect()).unwrap()
}

#[test]
fn a_curve_passes_through_its_points_and_keeps_monotone_stretches_monotone() {
    // The data of Fritsch & Carlson's first example (RPN 14), as often reprinted; from memory.
    let x = [7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0];
    let y =
        [0.0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994];
    let points: Vec<[f64; 2]> = x.iter().zip(y).map(|(x, y)| [*x, y]).collect();
    let curve = Curve::new(points.clone()).unwrap();
    for [x, y] in points {
        assert_close("at a point", curve.value(x), y, 1e-14);
    }
    let values: Vec<f64> =
        (0..=2000).map(|i| curve.value(7.99 + 12.01 * f64::from(i) / 2000.0)).collect();
    assert!(values.is_sorted(), "the curve must rise where its points rise");
    assert!(curve.rises());
    assert_eq!(curve.range(), (7.99, 20.0));
}

/// Closed form: the points lie on a parabola, which the inner slopes reproduce exactly.
#[test]
fn a_parabola_is_met_between_its_points() {
    let curve = pump();
    for q in [25.0, 33.0, 50.0, 90.0, 99.0] {
        let want = 95e3 * (1.0 - (q / 120.0_f64).powi(2));
        assert_close(&format!("rise at {q} L/min"), curve.value(q / 6e4), want, 1e-9);
    }
    assert!(!curve.rises());
}

#[test]
fn a_pump_curve_keeps_falling_beyond_both_ends() {
    let curve = pump();
    let (left, right) = curve.range();
    assert!(curve.value(left - 1e-3) >= curve.value(left));
    let beyond = [0.0, 1e-4, 1e-3, 1e-2].map(|dx| curve.value(right + dx));
    assert!(beyond.is_sorted_by(|a, b| a > b), "{beyond:?}");
    let step = beyond[1] - beyond[0];
    assert_close("straight beyond the end", beyond[3] - beyond[0], 100.0 * step, 1e-9);

    let odd =
        Curve::falling_ends(vec![[0.0, 100.0], [1.0, 120.0], [2.0, 90.0], [3.0, 90.0]]).unwrap();
    assert!(odd.rises());
    assert!(odd.value(-1.0) >= 100.0 && odd.value(4.0) < 90.0);
}

/// Closed form: a level stretch stays level to its end, and a parabola bends it down beyond.
#[test]
fn a_table_that_ends_level_is_met_to_its_last_point() {
    let level = Curve::falling_ends(vec![[0.0, 100.0], [1.0, 100.0], [5.0, 100.0]]).unwrap();
    assert_eq!(level.range(), (0.0, 5.0));
    for x in [0.0, 0.5, 1.0, 3.0, 4.9, 5.0] {
        assert_close(&format!("at {x}"), level.value(x), 100.0, 1e-12);
    }
    // From level to -20 a unit over half a unit: 100 - 20 x²/(2 · 0.5), then straight.
    assert_close("in the bend", level.value(5.25), 100.0 - 20.0 * 0.25 * 0.25, 1e-12);
    assert_close("behind it", level.value(6.5), 100.0 - 5.0 - 20.0, 1e-12);
}

/// The slopes are up to 1e8 Pa/(m³/s).
#[test]
fn the_first_derivative_has_no_steps() {
    let curve = pump();
    for [x, _] in curve.points().to_vec() {
        let below = curve.value(Dual::variable(x - 1e-12)).slope();
        let above = curve.value(Dual::variable(x + 1e-12)).slope();
        assert!((below - above).abs() < 1.0, "{below} {above} at {x}");
    }
}

#[test]
fn bad_points_are_refused_with_their_numbers() {
    assert_eq!(Curve::new(vec![[0.0, 1.0]]), Err(CurveError::TooFewPoints { count: 1 }));
    assert_eq!(
        Curve::new(vec![[0.0, 1.0], [2.0, 1.0], [2.0, 0.0]]),
        Err(CurveError::NotRising { index: 2, before: 2.0, after: 2.0 })
    );
    assert_eq!(
        Curve::new(vec![[0.0, 1.0], [1.0, f64::NAN]]),
        Err(CurveError::NotFinite { index: 1 })
    );
    assert_eq!(
        Curve::with_slopes(vec![[0.0, 1.0], [1.0, 0.0]], vec![0.0]),
        Err(CurveError::SlopeCount { points: 2, slopes: 1 })
    );
}

#[test]
fn affinity_laws_hold_at_homologous_points() {
    let curve = pump();
    for speed in [0.3, 0.8, 1.4] {
        for q in [-1e-3, 0.0, 5e-4, 1.7e-3, 4e-3] {
            let rise = pump_rise(&curve, speed, q * speed);
            assert_close("rise", rise, speed * speed * curve.value(q), 1e-12);
            let power = pump_power(&curve, speed, q * speed);
            assert_close("power", power, speed.powi(3) * curve.value(q), 1e-12);
        }
    }
}

#[test]
fn a_pump_that_stands_still_gives_nothing() {
    let curve = pump();
    for q in [-1e-3, 0.0, 1e-3] {
        let still = pump_rise(&curve, Dual::variable(0.0), Dual::from(q));
        let slow = pump_rise(&curve, Dual::variable(1e-7), Dual::from(q));
        assert_eq!(still.value, 0.0);
        assert!(still.slope().is_finite());
        assert!((still.slope() - slow.slope()).abs() <= 1e-6 * still.slope().abs() + 0.1);
    }
}

struct Rise(Curve);
impl Law for Rise {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        pump_rise(&self.0, x[0], x[1]) + pump_power(&self.0, x[0], x[1])
    }
}

#[test]
fn curve_laws_have_their_derivatives() {
    let mut numbers = Numbers::new(3);
    for round in 0..200 {
        let flow = if round < 4 { 0.0 } else { numbers.between(-3e-3, 5e-3) };
        let at = [numbers.between(0.02, 1.5), flow];
        assert_derivatives("pump", &Rise(pump()), &at, &[1e-4, 1e-7], 1e-5);
    }
}
