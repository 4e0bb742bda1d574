use coolwright_models::laws::fittings::signed_head;
use coolwright_models::laws::restriction::{
    Inherent, opening_share, orifice_fall, orifice_loss, valve_fall,
};
use coolwright_solver::scalar::{Dual, Scalar};

use super::support::{Law, Numbers, assert_close, assert_derivatives, references};

/// ISO 5167-2 (discharge coefficient of Reader-Harris & Gallagher, permanent loss from it), by the
/// library fluids 1.3.1. The two disagree by at most 5 % for d/D from 0.2 to 0.75: at most 2.1 %
/// from 0.4 to 0.7.
#[test]
fn orifices_lose_what_iso_5167_says() {
    for row in references("orifice_loss") {
        let [across, re] = row.arguments[..] else { panic!("two arguments") };
        let got = orifice_loss(across * across);
        let within = if (0.35..0.72).contains(&across) { 0.021 } else { 0.05 };
        assert_close(&format!("K at d/D {across}, Re {re}"), got, row.value, within);
    }
}

/// Far from the wall the creeping flow through a hole is Q = Δp·d³/(24·μ) (Sampson 1891), 12·π/Re
/// on the head in the hole.
#[test]
fn an_orifice_ends_in_creeping_flow() {
    let (density, viscosity, bore, hole) = (1000.0, 2e-3, 1.0, 5e-3_f64);
    let flow = 1e-7;
    let want = 24.0 * viscosity * (flow / density) / hole.powi(3);
    assert_close("fall", orifice_fall(flow, density, viscosity, bore, hole), want, 1e-3);
    let rest = orifice_fall(
        Dual::variable(0.0),
        density.into(),
        viscosity.into(),
        0.02.into(),
        hole.into(),
    );
    assert_eq!(rest.value, 0.0);
    assert!(rest.slope() > 0.0 && rest.slope().is_finite());
}

#[test]
fn an_orifice_is_odd_in_the_flow_and_gone_when_as_wide_as_the_bore() {
    let fall = |flow, hole| orifice_fall(flow, 1000.0, 1e-3, 0.02, hole);
    assert_eq!(fall(-0.4, 0.01), -fall(0.4, 0.01));
    let head = orifice_loss(0.25) * signed_head(0.4, 1000.0, 0.02);
    assert_close("turbulent", fall(0.4, 0.01), head, 2e-3);
    for hole in [0.02, 0.03] {
        assert_eq!(fall(0.4, hole), 0.0);
        let at = orifice_fall(
            Dual::variable(0.4),
            1000.0.into(),
            1e-3.into(),
            0.02.into(),
            Dual::from(hole),
        );
        assert_eq!((at.value, at.slope()), (0.0, 0.0));
    }
}

/// IEC 60534-1 from memory: an equal percentage valve of rangeability 50 passes Φ = e^(−3.912·(1 −
/// h)): 2 % shut, 14.1 % half open, 37.6 % at three quarters.
#[test]
fn valves_follow_their_inherent_characteristic() {
    let equal = |h| opening_share(Inherent::EqualPercentage, h, 0.02);
    for (h, want) in [(0.0, 0.02), (0.5, 0.1414), (0.75, 0.3761), (1.0, 1.0)] {
        assert_close(&format!("equal percentage at {h}"), equal(h), want, 1e-3);
    }
    assert_close("equal steps", equal(0.4) / equal(0.3), equal(0.9) / equal(0.8), 1e-12);
    let linear = |h| opening_share(Inherent::Linear, h, 0.005);
    for (h, want) in [(-0.2, 0.005), (0.0, 0.005), (0.5, 0.5025), (1.0, 1.0)] {
        assert_close(&format!("linear at {h}"), linear(h), want, 1e-12);
    }
}

/// Kv = Q·√(1 bar/Δp) for water: Kvs 10 m³/h passes 10 m³/h at 1 bar; at half the coefficient the
/// same flow takes 4 bar (IEC 60534-2-1, Q = Kv·√Δp).
#[test]
fn half_the_flow_coefficient_takes_four_times_the_fall() {
    let flow = 10.0 / 3600.0;
    for (share, bar) in [(1.0, 1.0), (0.5, 4.0), (0.25, 16.0)] {
        let fall = valve_fall(flow * 1000.0, 1000.0, 1e5, flow, share);
        assert_close("fall, bar", fall / 1e5, bar, 1e-12);
        assert_eq!(valve_fall(-flow * 1000.0, 1000.0, 1e5, flow, share), -fall);
    }
}

/// A poppet without a leak opens in proportion to its lift: its curtain is π·d·L (geometry), and full at
/// the area of its seat.
#[test]
fn a_poppet_opens_as_its_curtain() {
    let seat: f64 = 0.032;
    let full = std::f64::consts::FRAC_PI_4 * seat * seat;
    for lift in [0.1, 0.5, 0.9] {
        let curtain = std::f64::consts::PI * seat * (lift * seat / 4.0);
        assert_close("share", curtain / full, opening_share(Inherent::Linear, lift, 0.0), 1e-12);
    }
}

struct Orifice;
impl Law for Orifice {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        orifice_fall(x[0], x[1], x[2], x[3], x[4])
    }
}

struct Valve(Inherent);
impl Law for Valve {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        valve_fall(x[0], x[1], x[2], x[3], opening_share(self.0, x[4], x[5]))
    }
}

#[test]
fn restriction_laws_have_their_derivatives() {
    let mut numbers = Numbers::new(11);
    for round in 0..200 {
        let sign = [1.0, -1.0][round % 2];
        let flow = if round < 4 { 0.0 } else { sign * numbers.log_between(1e-5, 5.0) };
        let bore = numbers.between(0.01, 0.05);
        let at = [flow, 1000.0, 2e-3, bore, bore * numbers.between(0.2, 0.95)];
        assert_derivatives("orifice", &Orifice, &at, &[1e-6, 1.0, 1e-9, 1e-6, 1e-6], 1e-5);
        let at = [flow, 1000.0, 2e4, 1e-3, numbers.between(0.01, 1.0), numbers.between(0.01, 0.1)];
        let floors = [1e-6, 1.0, 1.0, 1e-6, 1e-6, 1e-6];
        assert_derivatives("linear", &Valve(Inherent::Linear), &at, &floors, 1e-5);
        let equal = Valve(Inherent::EqualPercentage);
        assert_derivatives("equal percentage", &equal, &at, &floors, 1e-5);
    }
}
