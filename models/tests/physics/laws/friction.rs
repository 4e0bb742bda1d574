use std::f64::consts::PI;

use coolwright_models::laws::friction::{
    FlatTube, darcy_factor, flat_tube_fall, pipe_fall, tube_laminar_factor,
};
use coolwright_solver::scalar::Scalar;

use super::support::{
    Law, Numbers, assert_close, assert_derivatives, assert_near, colebrook_factor, references,
};

#[test]
fn darcy_factor_is_churchills_formula() {
    for row in references("churchill") {
        let [re, rough] = row.arguments[..] else { panic!("two arguments") };
        assert_close(&format!("f({re}, {rough})"), darcy_factor(re, rough), row.value, 1e-12);
    }
}

#[test]
fn colebrook_factor_solves_colebrooks_equation() {
    for row in references("colebrook") {
        let [re, rough] = row.arguments[..] else { panic!("two arguments") };
        assert_close(&format!("f({re}, {rough})"), colebrook_factor(re, rough), row.value, 1e-11);
    }
}

/// The two published formulas differ by up to 3.0 % near Re 4000.
#[test]
fn churchill_stays_within_its_known_distance_of_colebrook() {
    for re in [4e3, 1e4, 3e4, 1e5, 1e6, 1e7] {
        for rough in [0.0, 1e-5, 1e-4, 1e-3, 1e-2] {
            let (got, want) = (darcy_factor(re, rough), colebrook_factor(re, rough));
            assert_close(&format!("f({re}, {rough})"), got, want, 0.031);
        }
    }
}

/// Cengel & Cimbala, Fluid Mechanics, example 8-3: water, 6 L/s through 60 m of 50 mm pipe with
/// 0.002 mm roughness. Colebrook gives 96.2 kPa; printed with the factor read off as 0.0172,
/// 96.5 kPa. Churchill's factor may differ from Colebrook's by 1 % here.
#[test]
fn textbook_pipe_loses_what_the_textbook_says() {
    let fall = pipe_fall(5.994, 999.0, 1.138e-3, 0.05, 60.0, 2e-6, 0.0);
    assert_close("fall, Pa", fall, 96.5e3, 0.01);
    let velocity = 5.994 / (999.0 * PI * 0.05 * 0.05 / 4.0);
    let factor = colebrook_factor(999.0 * velocity * 0.05 / 1.138e-3, 4e-5);
    let colebrook = factor * 60.0 / 0.05 * 999.0 * velocity * velocity / 2.0;
    assert_close("fall after Colebrook, Pa", colebrook, 96.2e3, 0.001);
}

/// Cengel & Cimbala, example 8-8: ΣK = 2.36 on 89 m of 50 mm pipe with 0.26 mm roughness, 6 L/s;
/// printed 31.8 m for z1 with 4 m behind it, so 27.8 m of head are lost. Colebrook's factor was used
/// there; Churchill's is up to 1 % above it here.
#[test]
fn loss_coefficients_add_to_friction() {
    let fall = pipe_fall(6e-3 * 999.7, 999.7, 1.307e-3, 0.05, 89.0, 2.6e-4, 2.36);
    assert_close("head, m", fall / (999.7 * 9.81), 27.8, 0.01);
}

/// Hagen–Poiseuille, closed form.
#[test]
fn slow_flow_is_hagen_poiseuille_exactly_and_odd() {
    for flow in [1e-12, 1e-9, 1e-6] {
        let want = 128.0 * 1e-3 * 2.0 * flow / (PI * 1000.0 * 0.02_f64.powi(4));
        let got = pipe_fall(flow, 1000.0, 1e-3, 0.02, 2.0, 1e-5, 0.0);
        assert_close("fall, Pa", got, want, 1e-15);
        assert_eq!(-got, pipe_fall(-flow, 1000.0, 1e-3, 0.02, 2.0, 1e-5, 0.0));
    }
    assert_eq!(pipe_fall(0.0, 1000.0, 1e-3, 0.02, 2.0, 1e-5, 1.0), 0.0);
}

/// The laminar shortcut must not show as a step.
#[test]
fn the_laminar_branch_joins_without_a_step() {
    let below = darcy_factor(700.0_f64.next_down(), 0.01);
    assert_close("f at Re 700", darcy_factor(700.0, 0.01), below, 1e-14);
}

/// Shah & London 1978: f·Re 96 between plates, 62.19 at 1:2, 72.93 at 1:4, 56.91 in a square
/// (their table as quoted in heat-transfer textbooks, from memory); 88.6 at 1:16 by the formula.
#[test]
fn rectangular_ducts_have_their_published_laminar_constants() {
    for (aspect, want) in [(0.0, 96.0), (0.25, 72.93), (0.5, 62.19), (1.0, 56.91)] {
        assert_close(&format!("f·Re at {aspect}"), tube_laminar_factor(aspect), want, 1e-3);
    }
    assert_near("f·Re at 1:16", tube_laminar_factor(1.0 / 16.0), 88.6, 0.05);
}

/// Between wide plates h apart the closed form is Δp = 12·μ·L·Q/(w·h³); and far into turbulence
/// the factor is the round bore's on the hydraulic diameter.
#[test]
fn flat_tubes_have_the_right_limits() {
    let tube = FlatTube { short_m: 1e-3, long_m: 1.0, length_m: 0.5, roughness_m: 0.0, loss: 0.0 };
    let got = flat_tube_fall(1e-3, 1000.0, 1e-3, &tube);
    let want = 12.0 * 1e-3 * 0.5 * 1e-6 / 1e-9;
    assert_close("laminar, Pa", got, want, 2e-3);

    let tube = FlatTube { long_m: 16e-3, ..tube };
    let (area, diameter) = (tube.area(), tube.hydraulic_diameter());
    let flow = 2e5 * area * 1e-3 / diameter;
    let flux = flow / area;
    let want = darcy_factor(2e5, 0.0) * 0.5 / diameter * flux * flux / 2000.0;
    assert_close("turbulent, Pa", flat_tube_fall(flow, 1000.0, 1e-3, &tube), want, 1e-9);
}

struct Pipe;
impl Law for Pipe {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        pipe_fall(x[0], x[1], x[2], x[3], x[4], x[5], x[6])
    }
}

struct Flat;
impl Law for Flat {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        let tube =
            FlatTube { short_m: x[3], long_m: x[4], length_m: x[5], roughness_m: x[6], loss: x[7] };
        flat_tube_fall(x[0], x[1], x[2], &tube)
    }
}

struct Factor;
impl Law for Factor {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        darcy_factor(x[0], x[1])
    }
}

#[test]
fn friction_laws_have_their_derivatives() {
    let mut numbers = Numbers::new(1);
    for round in 0..300 {
        let sign = [1.0, -1.0][round % 2];
        let flow = if round < 4 { 0.0 } else { sign * numbers.log_between(1e-5, 10.0) };
        let mu = numbers.log_between(3e-4, 3e-2);
        let rough = numbers.log_between(1e-6, 1e-4);
        let loss = numbers.between(0.0, 5.0);
        let bore = numbers.between(8e-3, 6e-2);
        let length = numbers.between(0.1, 5.0);
        let pipe = [flow, 1030.0, mu, bore, length, rough, loss];
        let floors = [1e-6, 1.0, 1e-9, 1e-6, 1e-3, 1e-9, 1e-3];
        assert_derivatives("pipe", &Pipe, &pipe, &floors, 1e-6);
        let flat = [flow * 1e-2, 1030.0, mu, 1.5e-3, 2.2e-2, 0.5, rough, loss];
        let floors = [1e-8, 1.0, 1e-9, 1e-6, 1e-6, 1e-3, 1e-9, 1e-3];
        assert_derivatives("flat tube", &Flat, &flat, &floors, 1e-6);
        let factor = [numbers.log_between(1.0, 1e7), numbers.log_between(1e-6, 5e-2)];
        assert_derivatives("factor", &Factor, &factor, &[1e-3, 1e-9], 1e-6);
    }
}
