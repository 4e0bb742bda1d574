//! How far published tee formulas disagree at given flows.

use super::{Pattern, RUN_A, RUN_B, SIDE, TeeSet, tee_excess, tee_uncertainty};

/// What the excess of each leg of a tee may be off by, Pa, with the sign of a larger loss: above zero in
/// a leg that supplies the junction, below zero in a leg that is supplied. The combined leg has none,
/// because losses are counted from it.
///
/// Half the distance between the largest and the smallest of the three sets ([`TeeSet`]) at these flows,
/// and at least [`tee_uncertainty`] velocity heads of the combined flow. Inputs as those of
/// [`tee_excess`].
pub fn tee_doubt(
    flows_in_kg_s: [f64; 3],
    areas_m2: [f64; 3],
    angle_rad: f64,
    density: f64,
) -> [f64; 3] {
    let pattern = Pattern::of(flows_in_kg_s);
    let combined = match pattern {
        Pattern::DividingFrom(leg) | Pattern::CombiningTo(leg) => leg,
        Pattern::Opposed | Pattern::Splitting => SIDE,
    };
    let flux = flows_in_kg_s[combined] / areas_m2[combined];
    let head = flux * flux / (2.0 * density);
    let least = tee_uncertainty(flows_in_kg_s) * head;
    let sets = [TeeSet::Unified, TeeSet::Gardel, TeeSet::Crane]
        .map(|set| tee_excess(set, flows_in_kg_s, areas_m2, angle_rad, density));
    let mut doubt = [0.0; 3];
    for leg in [RUN_A, RUN_B, SIDE] {
        if leg == combined {
            continue;
        }
        let of_leg = sets.map(|set| set[leg] - set[combined]);
        let most = of_leg.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let fewest = of_leg.into_iter().fold(f64::INFINITY, f64::min);
        let half = (0.5 * (most - fewest)).max(least);
        doubt[leg] = if pattern.supplies(leg) { half } else { -half };
    }
    doubt
}
