//! Parts by themselves: their slope is the derivative of their fall, and a barb against the
//! published formulas it is made of.

// Mirrored values are compared exactly.
#![allow(clippy::float_cmp)]

use coolwright_models::laws::restriction::Inherent;
use coolwright_models::parts::{Barb, LawInputs, Opening, Part, Restrictor, Thermostat, Throttle};
use coolwright_models::slots::Values;
use coolwright_solver::scalar::Dual;

const DENSITY: f64 = 998.2;
const VISCOSITY: f64 = 1.002e-3;

fn fall(part: &dyn Part, values: &Values, flow: f64) -> f64 {
    let place = LawInputs { values: values.reader(), density: DENSITY, viscosity: VISCOSITY };
    part.fall_at(&place, flow)
}

fn slope(part: &dyn Part, values: &Values, flow: f64) -> f64 {
    let place = LawInputs {
        values: values.reader(),
        density: Dual::from(DENSITY),
        viscosity: Dual::from(VISCOSITY),
    };
    part.fall_and_slope(&place, Dual::variable(flow)).slope()
}

/// One of each: a half-open throttle of both characteristics, a shut thermostat.
fn parts(values: &mut Values) -> Vec<Box<dyn Part>> {
    let mut slot = |value| values.add(value);
    let (fall, flow, leak) = (slot(20e3), slot(1e-3), slot(0.02));
    let (half, shut) = (slot(0.5), slot(0.0));
    let (bore, hole) = (slot(0.025), slot(0.012));
    let density = slot(998.2);
    let throttle =
        |inherent| Throttle { bore: None, fall, flow, density, open: half, leak, inherent };
    vec![
        Box::new(Restrictor { bore, hole }),
        Box::new(throttle(Inherent::Linear)),
        Box::new(throttle(Inherent::EqualPercentage)),
        Box::new(Thermostat {
            bore: None,
            fall,
            flow,
            density,
            open: Opening::Told(shut),
            leak,
            bypass: false,
        }),
        Box::new(Thermostat {
            bore: None,
            fall,
            flow,
            density,
            open: Opening::Told(half),
            leak,
            bypass: true,
        }),
        Box::new(Barb {
            from: bore,
            bore: hole,
            to: bore,
            length: slot(0.03),
            roughness: slot(5e-6),
        }),
    ]
}

#[test]
fn slopes_are_derivatives_through_zero_and_in_reverse() {
    let mut values = Values::default();
    for part in parts(&mut values) {
        assert_eq!(fall(part.as_ref(), &values, 0.0), 0.0, "{}", part.word());
        let rest = slope(part.as_ref(), &values, 0.0);
        assert!(rest > 0.0 && rest.is_finite(), "{} at rest: {rest}", part.word());
        for flow in [1e-6, 1e-4, 1e-3, 0.03, 0.2, 0.9, 3.0_f64] {
            for flow in [flow, -flow] {
                let step = 1e-6 * flow.abs();
                let difference = (fall(part.as_ref(), &values, flow + step)
                    - fall(part.as_ref(), &values, flow - step))
                    / (2.0 * step);
                let got = slope(part.as_ref(), &values, flow);
                assert!(
                    (got - difference).abs() <= 1e-5 * got,
                    "{} at {flow} kg/s: slope {got}, difference {difference}",
                    part.word()
                );
            }
            let (ahead, back) =
                (fall(part.as_ref(), &values, flow), fall(part.as_ref(), &values, -flow));
            // What adds up from several losses does so in the other order: the last digit may differ.
            let off = (ahead + back).abs();
            assert!(off <= 4e-16 * ahead.abs(), "{} between equal bores: {off} Pa", part.word());
        }
    }
}

/// TP 410's sudden contraction 0.5·(1 − β²) and Borda–Carnot's (1 − β²)², with Haaland's 1983
/// friction factor along the barb (within 2 % of Colebrook), written out for water of 20 °C, 0.6 kg/s
/// from 25 mm through a 16 mm barb of 30 mm into 19 mm.
#[test]
fn a_barb_is_contraction_friction_and_expansion() {
    let mut values = Values::default();
    let [from, bore, to, length, roughness] =
        [0.025, 0.016, 0.019, 0.03, 5e-6].map(|value| values.add(value));
    let barb = Barb { from, bore, to, length, roughness };
    let area = std::f64::consts::FRAC_PI_4 * 0.016 * 0.016;
    let velocity = 0.6 / (DENSITY * area);
    let reynolds: f64 = DENSITY * velocity * 0.016 / VISCOSITY;
    let haaland = (-1.8 * (6.9 / reynolds + (5e-6_f64 / 0.016 / 3.7).powf(1.11)).log10()).powi(-2);
    let head = 0.5 * DENSITY * velocity * velocity;
    let (before, behind) = ((0.016_f64 / 0.025).powi(2), (0.016_f64 / 0.019).powi(2));
    let friction = haaland * 0.03 / 0.016;
    let ahead = (0.5 * (1.0 - before) + friction + (1.0 - behind).powi(2)) * head;
    let back = (0.5 * (1.0 - behind) + friction + (1.0 - before).powi(2)) * head;
    for (flow, want) in [(0.6, ahead), (-0.6, -back)] {
        let got = fall(&barb, &values, flow);
        let allowed = 0.03 * friction * head;
        assert!((got - want).abs() < allowed, "{flow} kg/s: got {got} Pa, want {want}");
    }
}
