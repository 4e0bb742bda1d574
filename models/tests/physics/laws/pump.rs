use coolwright_models::laws::curve::Curve;
use coolwright_models::laws::pump::{
    PowerLaw, speed_at_power, suction_head_m, viscosity_parameter, viscous_efficiency_factor,
    viscous_flow_factor, viscous_head_factor,
};
use coolwright_solver::scalar::{Dual, Scalar};

use super::support::{Law, Numbers, assert_close, assert_derivatives, assert_near};

const RPM: f64 = std::f64::consts::TAU / 60.0;

/// The worked example of ANSI/HI 9.6.7: 110 m³/h, 77 m, 2950 rpm, 120 cSt. Printed, from memory,
/// B 5.50, C_Q 0.938, C_η 0.738; recomputed from the printed formulas 5.52, 0.9378, 0.7380.
#[test]
fn viscosity_factors_are_those_of_the_standards_example() {
    let b = viscosity_parameter(120e-6, 77.0, 110.0 / 3600.0, 2950.0 * RPM);
    assert_near("B", b, 5.50, 0.03);
    assert_near("C_Q", viscous_flow_factor(b), 0.938, 0.0005);
    assert_near("C_η", viscous_efficiency_factor(b), 0.738, 0.0005);
    assert_close("C_H at the best point", viscous_head_factor(0.938, 1.0), 0.938, 1e-12);
}

/// The same formula in US customary units, B = 26.6 ν^0.5 H^0.0625/(Q^0.375 N^0.25) with ft and US
/// gpm (ANSI/HI 9.6.7, from memory). Both constants are printed to three digits, so they may
/// differ by 0.05/26.6 + 0.05/16.5.
#[test]
fn parameter_b_agrees_with_its_form_in_us_units() {
    for (cst, ft, gpm, rpm) in [(120.0, 250.0, 480.0, 2950.0), (9.0, 20.0, 13.0, 4500.0_f64)] {
        let us = 26.6 * f64::sqrt(cst) * f64::powf(ft, 0.0625)
            / (f64::powf(gpm, 0.375) * f64::powf(rpm, 0.25));
        let si = viscosity_parameter(
            cst * 1e-6,
            ft * 0.3048,
            gpm * 231.0 * 0.0254_f64.powi(3) / 60.0,
            rpm * RPM,
        );
        assert_close("B", si, us, 0.05 / 26.6 + 0.05 / 16.5);
    }
}

/// C_H = 1 − (1 − C_Q)(Q/Q_best)^0.75, written out.
#[test]
fn the_head_factor_follows_its_printed_form_and_ends_at_no_flow() {
    for share in [0.6, 0.8, 1.0, 1.2_f64] {
        let want = 1.0 - 0.062 * share.powf(0.75);
        assert_close("C_H", viscous_head_factor(0.938, share), want, 1e-12);
    }
    for share in [0.0, -1e-9, -2.0] {
        assert_eq!(viscous_head_factor(0.7, share), 1.0);
    }
    let falls: Vec<f64> = (0..200).map(|k| viscous_head_factor(0.7, f64::from(k) * 1e-3)).collect();
    assert!(falls.is_sorted_by(|a, b| a >= b), "{falls:?}");
    assert_eq!([0.1, 1.0].map(viscous_flow_factor), [1.0; 2]);
    assert_eq!([0.1, 1.0].map(viscous_efficiency_factor), [1.0; 2]);
    assert_eq!(viscous_flow_factor(40.0), viscous_flow_factor(400.0));
}

struct Factors;
impl Law for Factors {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        let b = viscosity_parameter(x[0], x[1], x[2], x[3]);
        let flow = viscous_flow_factor(b);
        viscous_head_factor(flow, x[4]) * viscous_efficiency_factor(b) + flow
    }
}

#[test]
fn viscosity_factors_have_their_derivatives() {
    let mut numbers = Numbers::new(11);
    for _ in 0..300 {
        let at = [
            numbers.log_between(2e-6, 3e-4),
            numbers.log_between(3.0, 100.0),
            numbers.log_between(3e-4, 3e-2),
            numbers.log_between(100.0, 600.0),
            numbers.between(-0.2, 1.6),
        ];
        assert_derivatives("viscosity", &Factors, &at, &[1e-9, 1e-3, 1e-7, 1e-2, 1e-4], 1e-4);
    }
}

/// P = c s³ + k s² Q, the straight power curve under the affinity laws.
struct Straight<S> {
    c: S,
    k: S,
    flow: S,
}

fn straight<S: Scalar>(c: S, k: S, flow: S, s: S) -> S {
    s * s * s * c + s * s * k * flow
}

impl<S: Scalar> PowerLaw<S> for Straight<S> {
    fn power_w(&self, speed: S) -> S {
        straight(self.c, self.k, self.flow, speed)
    }

    fn power_by_speed_w(&self, speed: Dual<1>) -> Dual<1> {
        let plain = |x: S| Dual::from(x.value());
        straight(plain(self.c), plain(self.k), plain(self.flow), speed)
    }
}

/// With k = 0 the speed is the cube root of the power's share.
#[test]
fn a_constant_power_leaves_the_cube_root_of_the_speed() {
    let law = Straight { c: 200.0, k: 0.0, flow: 1.0 };
    assert_close("s", speed_at_power(&law, 1.0, 25.0), 0.5, 1e-12);
    assert_eq!(speed_at_power(&law, 1.0, 0.0), 0.0);
}

struct Limited;
impl Law for Limited {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        speed_at_power(&Straight { c: x[0], k: x[1], flow: x[2] }, 1.2, x[3])
    }
}

#[test]
fn the_speed_under_a_limit_of_power_has_its_derivatives() {
    let mut numbers = Numbers::new(12);
    for _ in 0..300 {
        let at = [
            numbers.between(100.0, 300.0),
            numbers.between(1e4, 1e5),
            numbers.between(0.0, 2e-3),
            numbers.between(5.0, 100.0),
        ];
        let speed = Limited.at(&at);
        let power = straight(at[0], at[1], at[2], speed);
        assert_close("power at that speed", power, at[3], 1e-12);
        assert_derivatives("speed", &Limited, &at, &[1e-3, 1.0, 1e-6, 1e-3], 1e-5);
    }
}

/// Schaschke, Worked Examples for Engineers, example 9.6 (not seen in print): NPSH 5 m, vapour
/// pressure 18 kPa, 0.94 atm, 970 kg/m³, pump 3 m above the bottom of a tank of 3 m bore filled to
/// 2.5 m, suction loss 0.5 m, 5 m³/h. Printed: 14.95 m³ can be drawn, 2.99 h.
#[test]
fn a_tank_can_be_drawn_down_to_the_printed_level() {
    let (density, gravity) = (970.0, 9.80665);
    // Down to the printed volume the level is this, and the head available what the pump requires.
    let level = 2.5 - 14.95 / (std::f64::consts::FRAC_PI_4 * 9.0);
    let total = 0.94 * 101_325.0 + density * gravity * (level - 3.0 - 0.5);
    assert_near("NPSH", suction_head_m(total, 18e3, density), 5.0, 0.01);
    assert_near("hours", 14.95 / 5.0, 2.99, 0.005);
}

/// Closed form: up to the third power a polynomial is met everywhere.
#[test]
fn a_polynomial_is_met_and_goes_on_straight_beyond_both_ends() {
    let value = |x: f64| 90.0 - 2.0 * x - 0.5 * x * x - 0.1 * x.powi(3);
    let curve = Curve::of_polynomial(&[90.0, -2.0, -0.5, -0.1], 6.0).unwrap();
    for x in [0.0, 0.1, 1.234, 3.0, 5.99, 6.0] {
        assert_close("inside", curve.value(x), value(x), 1e-13);
    }
    // Slopes there: −2 at 0, −2 − 6 − 10.8 at 6. The cubic itself would rise again backwards.
    assert_close("behind", curve.value(-10.0), 90.0 + 20.0, 1e-12);
    assert_close("beyond", curve.value(8.0), value(6.0) - 2.0 * 18.8, 1e-12);
    assert!(!curve.rises());

    let rising = Curve::of_polynomial(&[90.0, 2.0, -0.5], 6.0).unwrap();
    for x in [0.0, 0.05, 2.0, 6.0] {
        assert_close("inside", rising.value(x), 90.0 + 2.0 * x - 0.5 * x * x, 1e-13);
    }
    assert!(rising.rises());
    // Level at what it has bent to within a quarter: 90 − 2·0.25/2.
    assert_close("backwards", rising.value(-50.0), 89.75, 1e-13);
}
