use coolwright_models::laws::exchanger::{most_heat_of_any_w, most_heat_w, rated_conductance_w_k};

use super::support::{assert_close, references};

/// Cross-flow with one stream mixed, by the library: the coolant is the mixed one, so with the smaller
/// capacity flow mixed it has that, and with the larger one mixed it has the other.
#[test]
fn a_rated_core_has_the_conductance_of_the_library() {
    for (law, coolant_is_smaller) in [("cross_mixed_min", true), ("cross_mixed_max", false)] {
        for row in references(law) {
            let [ntu, ratio] = row.arguments[..] else { panic!("two arguments") };
            let (smaller, larger) = (1500.0, 1500.0 / ratio);
            let [coolant, air] =
                if coolant_is_smaller { [smaller, larger] } else { [larger, smaller] };
            let heat = row.value * smaller * 60.0;
            let got = rated_conductance_w_k(heat, coolant, air, 60.0);
            assert_close(&format!("{law} {ntu} {ratio}"), got, ntu * smaller, 1e-9);
        }
    }
}

/// A core without end takes the coolant from each stream of air down to what the air brings:
/// 1 − e^(−C_a/C_c) of the coolant's heat, and all of the air's where the coolant hardly cools.
#[test]
fn no_core_gives_more_than_an_endless_one() {
    let most = most_heat_w(2000.0, 1000.0, 40.0);
    assert_close("most", most, 2000.0 * 40.0 * (1.0 - (-0.5_f64).exp()), 1e-12);
    assert_close("endless coolant", most_heat_w(1e9, 1000.0, 40.0), 40e3, 1e-6);
    // In counterflow all of the smaller capacity flow's heat: 1000 W/K times 40 K, whichever it is.
    assert_close("counterflow", most_heat_of_any_w(2000.0, 1000.0, 40.0), 40e3, 1e-12);
    assert_close("counterflow", most_heat_of_any_w(1000.0, 2000.0, 40.0), 40e3, 1e-12);
    let nearly = rated_conductance_w_k(0.999 * most, 2000.0, 1000.0, 40.0);
    assert!(nearly.is_finite() && nearly > 5.0 * 1000.0, "{nearly} W/K");
    assert!(!rated_conductance_w_k(1.001 * most, 2000.0, 1000.0, 40.0).is_finite());
}
