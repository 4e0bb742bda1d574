use std::f64::consts::PI;

use coolwright_models::laws::film::{
    film_coefficient, flat_film_coefficient, nusselt_flat, nusselt_laminar, nusselt_rectangular,
    nusselt_round, nusselt_turbulent,
};
use coolwright_solver::scalar::{Dual, Scalar};

use super::support::{Law, Numbers, assert_close, assert_derivatives, assert_near, references};

#[test]
fn laminar_and_turbulent_laws_agree_with_the_library() {
    for row in references("hausen") {
        assert_close("Hausen", nusselt_laminar(row.arguments[0]), row.value, 1e-12);
    }
    for row in references("gnielinski") {
        let [re, pr] = row.arguments[..] else { panic!("two arguments") };
        assert_close("Gnielinski", nusselt_turbulent(re, pr, 0.0), row.value, 1e-12);
    }
}

/// Edwards et al. 1979 at Re 1060, Pr 22, L/D 200: 10.1, against 7.54 developed.
#[test]
fn cold_glycol_develops_over_the_whole_flat_tube() {
    assert_near("Nu of a wide tube", nusselt_flat(1060.0, 22.0, 1.0 / 200.0, 0.0), 10.1, 0.05);
}

/// Developed values for one wall temperature as heat-transfer textbooks quote them from Shah &
/// London (Incropera et al., table 8.1): square 2.98, 1:2 3.39, 1:4 4.44, 1:8 5.60, plates 7.54.
#[test]
fn rectangular_ducts_have_their_published_nusselt_numbers() {
    for (aspect, want) in [(1.0, 2.98), (0.5, 3.39), (0.25, 4.44), (0.125, 5.60), (0.0, 7.54)] {
        assert_close(&format!("Nu at {aspect}"), nusselt_rectangular(aspect), want, 3e-3);
    }
}

/// Incropera et al., example 11.1: 0.2 kg/s of water in the 25 mm tube of an oil cooler; oil side
/// Nu 5.63 on 20 mm with 0.138 W/(mK), 8524 W at a mean difference of 43.2 K; printed Re 14050, h 2250 (by another
/// correlation, Nu 90), length 65.9 m.
#[test]
fn textbook_oil_cooler_has_its_length() {
    let (mu, k, cp) = (725e-6, 0.625, 4178.0);
    let inside = film_coefficient(0.2, 0.025, 65.9, mu, k, cp);
    assert_close("film, W/(m²K)", inside, 2250.0, 0.06);
    let overall = 1.0 / (1.0 / inside + 0.02 / (5.63 * 0.138));
    let length = 8524.0 / (overall * PI * 0.025 * 43.2);
    assert_close("length, m", length, 65.9, 0.005);
}

/// Gnielinski 2013: linear between the laminar value at 2300 and the turbulent one at 4000.
#[test]
fn the_transition_is_linear_and_without_corners() {
    let (pr, slender) = (8.0, 0.01);
    let first = nusselt_laminar(2300.0 * pr * slender);
    let last = nusselt_turbulent(4000.0, pr, slender);
    for re in [2600.0, 3150.0, 3800.0] {
        let want = first + (last - first) * (re - 2300.0) / 1700.0;
        assert_close(&format!("Nu at {re}"), nusselt_round(re, pr, slender), want, 1e-12);
    }
    for re in [2000.0, 2150.0, 2300.0, 2450.0, 2600.0, 3700.0, 3850.0, 4000.0, 4150.0, 4300.0] {
        let at = |re| nusselt_round(Dual::variable(re), pr.into(), slender.into());
        let (below, above) = (at(re - 1e-7), at(re + 1e-7));
        assert_close(&format!("value at {re}"), below.value, above.value, 1e-9);
        assert_close(&format!("slope at {re}"), below.slope(), above.slope(), 1e-6);
    }
    for (pr, slender) in [(8.0, 0.01), (0.7, 0.5), (300.0, 0.001)] {
        let values: Vec<f64> =
            (0..=1000).map(|i| nusselt_round(f64::from(i) * 8.0, pr, slender)).collect();
        assert!(values.is_sorted(), "more flow, better film: Pr {pr}, D/L {slender}");
    }
}

#[test]
fn a_film_is_even_in_the_flow_and_conducts_at_rest() {
    let h = |flow: f64| film_coefficient(flow, 0.02, 1.0, 1e-3, 0.5, 3800.0);
    assert_close("at rest", h(0.0), 3.66 * 0.5 / 0.02, 1e-12);
    for flow in [1e-6, 1e-3, 0.05, 1.0] {
        assert_eq!(h(flow), h(-flow));
    }
    let wide = 7.541 * 0.5 / 2e-3;
    let flat = flat_film_coefficient(0.0, 1e-3, 1e6, 0.5, 1e-3, 0.5, 3800.0);
    assert_close("flat tube at rest", flat, wide, 1e-6);
}

struct Round;
impl Law for Round {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        film_coefficient(x[0], x[1], x[2], x[3], x[4], x[5])
    }
}

struct Flat;
impl Law for Flat {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        flat_film_coefficient(x[0], x[1], x[1] * 12.0, x[2], x[3], x[4], x[5])
    }
}

#[test]
fn film_laws_have_their_derivatives() {
    let mut numbers = Numbers::new(7);
    for round in 0..300 {
        let sign = [1.0, -1.0][round % 2];
        let flow = if round < 4 { 0.0 } else { sign * numbers.log_between(1e-5, 3.0) };
        let mu = numbers.log_between(4e-4, 3e-2);
        let at = [flow, numbers.between(0.01, 0.04), numbers.between(0.2, 3.0), mu, 0.45, 3700.0];
        let floors = [1e-6, 1e-6, 1e-3, 1e-9, 1e-3, 1.0];
        assert_derivatives("round", &Round, &at, &floors, 1e-5);
        let at = [flow * 1e-2, 1.5e-3, 0.5, mu, 0.45, 3700.0];
        let floors = [1e-8, 1e-6, 1e-3, 1e-9, 1e-3, 1.0];
        assert_derivatives("flat", &Flat, &at, &floors, 1e-5);
    }
}

/// A film in another liquid against Nu = 0.023·Re^0.8·Pr^0.4 (Dittus and Boelter 1930, from memory), worked
/// out in full in both: water at 20 °C, and a glycol mix at 60 °C, at 0.5 kg/s in 15 mm.
#[test]
fn a_film_in_another_liquid_is_that_of_dittus_and_boelter() {
    let (m, d) = (0.5_f64, 0.015);
    let h = |[viscosity, conductivity, heat_capacity]: [f64; 3]| {
        let reynolds = 4.0 * m / (std::f64::consts::PI * d * viscosity);
        let prandtl = heat_capacity * viscosity / conductivity;
        0.023 * reynolds.powf(0.8) * prandtl.powf(0.4) * conductivity / d
    };
    let (water, mix) = ([1.0e-3, 0.598, 4184.0], [1.45e-3, 0.40, 3450.0]);
    let want = h(mix) / h(water);
    let got = coolwright_models::laws::film::film_liquid_factor(
        mix[1] / water[1],
        mix[2] / water[2],
        mix[0] / water[0],
    );
    assert!((got / want - 1.0).abs() < 1e-12, "{got}, want {want}");
}
