//! Pumps and fans beyond their curve, against published complete characteristics.

use coolwright_models::laws::curve::Curve;
use coolwright_models::laws::quadrants::{
    AtRest, RADIAL, RADIAL_BACKWARDS, RADIAL_FREE, RADIAL_HELD, machine_rise,
};
use coolwright_solver::scalar::Dual;

use super::support::{assert_close, assert_near};

/// F at an angle in degrees, from −90 to +90, between the entries of the table.
fn published(degrees: f64) -> f64 {
    let at = (degrees + 90.0) / (360.0 / 88.0);
    let whole = at.floor().clamp(0.0, (RADIAL.len() - 2) as f64);
    let k = (0..RADIAL.len()).find(|&k| k as f64 >= whole).unwrap();
    RADIAL[k] + (RADIAL[k + 1] - RADIAL[k]) * (at - whole)
}

/// Head over that at the best point, at a flow over that of the best point and the speed α.
fn head(alpha: f64, v: f64) -> f64 {
    (alpha * alpha + v * v) * published(v.atan2(alpha).to_degrees())
}

/// Flow without head at full speed: between 57.3° (0.125) and 61.4° (0.011) the table falls on to
/// −0.102, so the zero lies at 61.76°, tan 1.861.
const FREE_FLOW: f64 = 1.861;
const SHUT_OFF: f64 = 1.288;

/// The radial pump of the table as a curve, from no flow to its free flow.
fn curve() -> Curve {
    let points = (0..=12).map(|k| {
        let v = FREE_FLOW * f64::from(k) / 12.0;
        [v, if k == 12 { 0.0 } else { head(1.0, v) }]
    });
    Curve::falling_ends(points.collect()).unwrap()
}

fn held() -> AtRest<f64> {
    let backwards = RADIAL_BACKWARDS / RADIAL_HELD;
    AtRest { fall: RADIAL_HELD * SHUT_OFF, flow: FREE_FLOW, backwards }
}

fn free() -> AtRest<f64> {
    let backwards = RADIAL_BACKWARDS / RADIAL_FREE;
    AtRest { fall: RADIAL_FREE * SHUT_OFF, flow: FREE_FLOW, backwards }
}

fn rise(at_rest: &AtRest<f64>, speed: f64, flow: f64) -> f64 {
    machine_rise(&curve(), at_rest, speed, flow).iter().sum()
}

/// By hand from the table, θ = ±90° and the angle of no torque (71.2°, where the torque of the same
/// source goes from 0.037 at 69.5° to −0.053 at 73.6°; there F = −0.168 − 0.41·0.087 = −0.204 and
/// tan θ = 2.94): held −0.556·1.861²/1.288 = −1.495, backwards 0.692·1.861²/1.288 = 1.861; free
/// −0.204·(1 + 1/2.94²)·1.861²/1.288 = −0.612.
#[test]
fn the_numbers_of_a_machine_at_rest_are_those_of_the_table() {
    let at_free_flow = FREE_FLOW * FREE_FLOW / SHUT_OFF;
    assert_close("held", RADIAL_HELD, -RADIAL[44] * at_free_flow, 5e-3);
    assert_close("backwards", RADIAL_BACKWARDS, RADIAL[0] * at_free_flow, 5e-3);
    let no_torque: f64 = 69.545 + (73.636 - 69.545) * 0.037 / 0.090;
    let alpha = 1.0 / no_torque.to_radians().tan();
    assert_close("free", RADIAL_FREE, -head(alpha, 1.0) * at_free_flow, 5e-3);
    assert_near("free flow", head(1.0, FREE_FLOW) / SHUT_OFF, 0.0, 2e-3);
}

/// A held rotor over half the circle, from backwards at rest to forwards at rest: within a tenth of the
/// larger of the pressures at shut-off and of the flow at rest.
#[test]
fn a_held_machine_follows_the_complete_characteristics() {
    for k in -90_i32..=90 {
        let angle = f64::from(k);
        let (v, alpha) = angle.to_radians().sin_cos();
        let alpha = if k.abs() == 90 { 0.0 } else { alpha };
        let (got, want) = (rise(&held(), alpha, v), head(alpha, v));
        assert!((got - want).abs() < 0.1 * SHUT_OFF, "{k}°: {got} against {want}");
    }
}

/// A free rotor follows the held one up to about where its torque ends and the parabola without torque
/// from there on.
#[test]
fn a_free_machine_goes_over_into_windmilling() {
    let still = RADIAL_FREE * SHUT_OFF / (FREE_FLOW * FREE_FLOW);
    for k in -90_i32..=90 {
        let angle = f64::from(k);
        let (v, alpha) = angle.to_radians().sin_cos();
        let alpha = if k.abs() == 90 { 0.0 } else { alpha };
        let want = if angle < 71.2 { head(alpha, v) } else { -still * v * v };
        let got = rise(&free(), alpha, v);
        assert!((got - want).abs() < 0.1 * SHUT_OFF, "{k}°: {got} against {want}");
    }
}

/// At a given flow a machine never gives less for turning faster, and at a given speed never more for
/// more flow: so networks of them have one answer.
#[test]
fn more_speed_gives_more_and_more_flow_costs() {
    let speeds = [0.0, 1e-6, 1e-4, 1e-3, 0.01, 0.05, 0.2, 0.5, 0.8, 1.0, 1.3];
    for at_rest in [held(), free()] {
        for k in -60..=200 {
            let flow = f64::from(k) * 0.05;
            for pair in speeds.windows(2) {
                let (slow, fast) = (rise(&at_rest, pair[0], flow), rise(&at_rest, pair[1], flow));
                assert!(fast >= slow - 1e-12, "{flow} at {pair:?}: {slow}, {fast}");
            }
            for speed in speeds {
                let (less, more) =
                    (rise(&at_rest, speed, flow), rise(&at_rest, speed, flow + 0.01));
                assert!(more <= less + 1e-12, "{flow} at {speed}: {less}, {more}");
            }
        }
    }
}

/// Slow is nearly still: at a ten thousandth of its speed the rise differs from that at rest by what the
/// affinity laws leave, H s² and |slope| s Q.
#[test]
fn slow_goes_over_into_still() {
    for at_rest in [held(), free()] {
        for flow in [-2.0, -0.4, -0.01, 0.0, 0.01, 0.4, 2.0] {
            let still = rise(&at_rest, 0.0, flow);
            for speed in [1e-4, 1e-6, 1e-9] {
                let slow = rise(&at_rest, speed, flow);
                let allowed = 2.0 * (speed * speed + 2.0 * speed * flow.abs());
                assert!((slow - still).abs() <= allowed, "{speed}, {flow}: {slow}, {still}");
            }
        }
    }
}

/// Slopes by speed, flow and what it resists at rest, against central differences.
#[test]
fn slopes_are_derivatives_in_every_quadrant() {
    let curve = curve();
    for (fall, speed) in [(0.8, 0.7), (2.2, 0.7), (0.8, 0.02), (2.2, 1e-4)] {
        for k in -40..=120 {
            let flow = f64::from(k) * 0.05 + 0.0123;
            let at = |x: [f64; 3]| {
                let at_rest = AtRest { fall: x[2], flow: FREE_FLOW, backwards: 2.0 };
                machine_rise(&curve, &at_rest, x[0], x[1]).iter().sum::<f64>()
            };
            let x = [speed, flow, fall];
            let seeded: [Dual<3>; 3] = std::array::from_fn(|i| Dual::seeded(x[i], i));
            let at_rest =
                AtRest { fall: seeded[2], flow: Dual::from(FREE_FLOW), backwards: Dual::from(2.0) };
            let [own, rest] = machine_rise(&curve, &at_rest, seeded[0], seeded[1]);
            let got = own + rest;
            for (i, size) in x.iter().enumerate() {
                let h = 1e-6 * size.abs();
                let moved = |by: f64| {
                    let mut y = x;
                    y[i] += by;
                    at(y)
                };
                let want = (moved(h) - moved(-h)) / (2.0 * h);
                let off = (got.slopes[i] - want).abs();
                assert!(off < 1e-5 * (1.0 + want.abs()), "{x:?} by {i}: {} {want}", got.slopes[i]);
            }
        }
    }
}

/// Beyond the end of a curve value and slope go on without a jump, at the touch too.
#[test]
fn nothing_jumps() {
    let curve = curve();
    for at_rest in [held(), free()] {
        let slope = |flow: f64| {
            let at_rest = AtRest {
                fall: Dual::<1>::from(at_rest.fall),
                flow: at_rest.flow.into(),
                backwards: at_rest.backwards.into(),
            };
            let [own, rest] = machine_rise(&curve, &at_rest, Dual::from(1.0), Dual::variable(flow));
            (own + rest).slope()
        };
        for k in -2000..=8000 {
            let flow = f64::from(k) * 1e-3;
            let jump = slope(flow + 1e-3) - slope(flow);
            assert!(jump.abs() < 0.02, "{flow}: {jump}");
        }
    }
}
