//! Circuits that were once answered wrongly or refused, each with what was wrong.

use coolwright_models::laws::friction::{FlatTube, flat_tube_fall};
use coolwright_models::laws::tee::{TeeSet, tee_excess};
use coolwright_solver::scalar::{Dual, Scalar};

use super::judge::{self, Outcome, Start};
use super::kinds::Counts;
use super::sketch::Sketch;

/// Solves a circuit from several starts; every one has to lead to the same answer.
fn one_answer(text: &str) {
    let sketch = Sketch { text: text.to_owned(), monotone: true, celsius: 20.0, spread_k: 0.0 };
    let ready = super::read(text).unwrap_or_else(|what| panic!("{what}"));
    let starts = [Start::Usual, Start::Rest, Start::Random(1), Start::Random(2), Start::Random(3)];
    let answers: Vec<_> = starts
        .into_iter()
        .map(|start| match judge::solve(&ready, &sketch, 7, start, &mut Counts::default()) {
            Ok(Outcome::Solved(answer)) => answer,
            Ok(Outcome::Refused(_, what)) | Err(what) => panic!("{start:?}: {what}"),
        })
        .collect();
    judge::same(&answers).unwrap_or_else(|what| panic!("{what}"));
}

/// Two pumps side by side behind a stronger one, beside an almost shut throttle. Their heads were
/// level in reversed flow: no law said how they share it, the matrix was singular, and the search crept
/// along in steps that the throttle's slope of 1e21 Pa·s/kg made short. It gave up after 400.
#[test]
fn pumps_side_by_side_driven_backwards() {
    one_answer(include_str!("found/flat_pumps.ron"));
}

/// A flow of 3e-5 kg/s through a throttle beside one of 1e-2 kg/s, and pumps whose split nothing
/// determines. On account of these the last step was left out, and the loop of the throttle stayed
/// open by 1e-8 of its falls.
#[test]
fn a_small_flow_beside_an_undetermined_split() {
    one_answer(include_str!("found/small_flow.ron"));
}

/// A tee whose flows die away: their squares were no numbers any more below 1e-154 kg/s, and the
/// derivative of an angle between them was not finite.
#[test]
fn the_tee_of_flows_that_die_away() {
    for set in [TeeSet::Unified, TeeSet::Gardel, TeeSet::Tp410] {
        for exponent in [-150, -153, -155, -164, -200, -308, -320] {
            let size = 10_f64.powi(exponent);
            let flows = [size, -0.7 * size, -0.3 * size];
            let seeded = std::array::from_fn(|leg| Dual::<3>::seeded(flows[leg], leg));
            let [area, angle, density] = [4e-4, 1.2, 998.0].map(Dual::from);
            for excess in tee_excess(set, seeded, [area; 3], angle, density) {
                assert!(excess.value().is_finite(), "{set:?} 1e{exponent}: {excess:?}");
                assert!(
                    excess.slopes.iter().all(|s| s.is_finite()),
                    "{set:?} 1e{exponent}: {excess:?}"
                );
            }
        }
    }
}

/// A flat tube whose flow dies away: f·Re over Re is no number any more below 1e-307.
#[test]
fn the_flat_tube_of_a_flow_that_dies_away() {
    let [short_m, long_m, length_m, roughness_m, loss] =
        [1.8e-3, 16e-3, 0.4, 5e-6, 2.0].map(Dual::<1>::from);
    let tube = FlatTube { short_m, long_m, length_m, roughness_m, loss };
    for flow in [0.0, 1e-200, 7e-315, 1e-323] {
        let [density, viscosity] = [998.0, 1e-3].map(Dual::from);
        let fall = flat_tube_fall(Dual::variable(flow), density, viscosity, &tube);
        assert!(fall.slope() > 0.0 && fall.slope().is_finite(), "{flow:e}: {fall:?}");
    }
}
