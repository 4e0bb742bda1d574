use coolwright_models::laws::exchanger::{
    Arrangement, ExchangerError, counterflow, cross_unmixed, effectiveness, transfer_units,
};
use coolwright_solver::scalar::Scalar;

use super::support::{Law, Numbers, assert_close, assert_derivatives, assert_near, references};

const ALL: [(Arrangement, &str); 5] = [
    (Arrangement::Counterflow, "counterflow"),
    (Arrangement::Parallel, "parallel"),
    (Arrangement::CrossUnmixed, "cross_unmixed"),
    (Arrangement::CrossSmallerMixed, "cross_mixed_min"),
    (Arrangement::CrossLargerMixed, "cross_mixed_max"),
];

/// The library takes the approximate closed form for both streams unmixed: that row is compared
/// with the exact table below instead.
#[test]
fn closed_forms_agree_with_the_library() {
    for (arrangement, law) in ALL {
        let tolerance = if arrangement == Arrangement::CrossUnmixed { 0.04 } else { 1e-12 };
        for row in references(law) {
            let [ntu, ratio] = row.arguments[..] else { panic!("two arguments") };
            let got = effectiveness(arrangement, ntu, ratio);
            assert_close(&format!("{law} {ntu} {ratio}"), got, row.value, tolerance);
        }
    }
}

/// Mason's series, computed to four digits with independent code.
#[test]
fn both_unmixed_is_exact() {
    let table = [
        (0.5, [0.3751, 0.3578, 0.3416, 0.3263]),
        (1.0, [0.5880, 0.5475, 0.5103, 0.4762]),
        (2.0, [0.7974, 0.7324, 0.6711, 0.6142]),
        (5.0, [0.9591, 0.9017, 0.8293, 0.7509]),
    ];
    for (ntu, row) in table {
        for (ratio, want) in [0.25, 0.5, 0.75, 1.0].into_iter().zip(row) {
            assert_near(&format!("{ntu} {ratio}"), cross_unmixed(ntu, ratio), want, 6e-5);
        }
    }
}

/// Without change of the larger stream every arrangement is 1 − e^−N.
#[test]
fn a_stream_of_constant_temperature_makes_all_arrangements_alike() {
    for (arrangement, law) in ALL {
        for ntu in [0.0, 1e-6, 0.3, 1.0, 4.0, 300.0] {
            let want = -f64::exp_m1(-ntu);
            assert_close(law, effectiveness(arrangement, ntu, 0.0), want, 1e-12);
            let nearly = effectiveness(arrangement, ntu, 1e-9);
            assert_near(law, nearly, want, 1e-8);
        }
    }
    assert_close("balanced counterflow", counterflow(3.0, 1.0), 0.75, 1e-12);
    assert_close("nearly balanced", counterflow(3.0, 1.0 - 1e-10), 0.75, 1e-9);
}

/// The series changes its form at C·N = 1e-3 and must not show it.
#[test]
fn both_forms_of_the_series_meet() {
    for ntu in [0.01, 1.0, 30.0] {
        let at = |product: f64| cross_unmixed(ntu, product / ntu);
        assert_close("at C·N = 1e-3", at(1e-3 - 1e-15), at(1e-3 + 1e-15), 1e-12);
    }
}

/// Incropera et al., example 11.3: gas 300 to 100 °C heats 1 kg/s of water (4197 J/(kgK)) from 35
/// to 125 °C in cross-flow, both unmixed, 100 W/(m²K). Printed from a chart: NTU 2.1, 39.7 m².
/// Exact: 2.081, 39.30 m².
#[test]
fn textbook_gas_heater_has_its_area() {
    let heat = 4197.0 * 90.0;
    let smaller = heat / 200.0;
    let ntu = transfer_units(Arrangement::CrossUnmixed, 200.0 / 265.0, smaller / 4197.0).unwrap();
    assert_near("NTU", ntu, 2.081, 1e-3);
    assert_close("NTU from the chart", ntu, 2.1, 0.01);
    assert_near("area, m²", ntu * smaller / 100.0, 39.30, 0.02);
}

/// Incropera et al., example 11.4: 1.5 kg/s of gas of 250 °C (1000 J/(kgK)) on 1 kg/s of water of
/// 35 °C, UA 4 kW/K. Printed from a chart: 0.82. Exact: 0.8358, 269.5 kW, 70.3 °C, 99.2 °C.
#[test]
fn textbook_gas_cooler_has_its_heat() {
    let share = effectiveness(Arrangement::CrossUnmixed, 4000.0 / 1500.0, 1500.0 / 4197.0);
    assert_close("effectiveness from the chart", share, 0.82, 0.02);
    assert_near("effectiveness", share, 0.8358, 1e-4);
    let heat = share * 1500.0 * 215.0;
    assert_near("heat, kW", heat / 1e3, 269.5, 0.06);
    assert_near("gas out, °C", 250.0 - heat / 1500.0, 70.3, 0.05);
    assert_near("water out, °C", 35.0 + heat / 4197.0, 99.2, 0.05);
}

/// Cengel, example 11-8: effectiveness 0.42857 at C = 0.5819 in counterflow; printed NTU 0.652.
#[test]
fn textbook_counterflow_has_its_transfer_units() {
    let ntu = transfer_units(Arrangement::Counterflow, 0.42857, 0.5819).unwrap();
    assert_near("NTU", ntu, 0.652, 5e-4);
}

#[test]
fn transfer_units_invert_every_arrangement() {
    for (arrangement, law) in ALL {
        for ratio in [0.0, 0.3, 0.8, 1.0] {
            for ntu in [1e-4, 0.2, 1.0, 3.0] {
                let share = effectiveness(arrangement, ntu, ratio);
                let got = transfer_units(arrangement, share, ratio).unwrap();
                assert_close(&format!("{law} {ntu} {ratio}"), got, ntu, 1e-9);
            }
        }
    }
}

#[test]
fn what_no_exchanger_reaches_is_refused() {
    let beyond = transfer_units(Arrangement::CrossLargerMixed, 0.7, 1.0);
    let Err(ExchangerError::OutOfReach { limit, .. }) = beyond else { panic!("{beyond:?}") };
    assert_near("limit 1 − 1/e", limit, 1.0 - (-1.0_f64).exp(), 1e-12);
    let odd = transfer_units(Arrangement::Parallel, 1.2, 0.5);
    assert_eq!(odd, Err(ExchangerError::NotAShare { value: 1.2 }));
    assert!(transfer_units(Arrangement::Parallel, f64::NAN, 0.5).is_err());
}

struct Effect(Arrangement);
impl Law for Effect {
    fn at<S: Scalar>(&self, x: &[S]) -> S {
        effectiveness(self.0, x[0], x[1])
    }
}

#[test]
fn exchanger_laws_have_their_derivatives() {
    let mut numbers = Numbers::new(8);
    for round in 0..100 {
        let ntu = numbers.log_between(1e-2, 10.0);
        let ratio = if round < 5 { 1.0 } else { numbers.between(1e-3, 1.0) };
        for (arrangement, law) in ALL {
            assert_derivatives(law, &Effect(arrangement), &[ntu, ratio], &[1e-3, 1e-3], 1e-5);
        }
    }
}
