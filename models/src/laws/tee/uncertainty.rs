//! How far published tee formulas disagree at given flows.

use std::f64::consts::FRAC_PI_2;

use super::{Pattern, RUN_A, RUN_B, SIDE, TeeSet, tee_excess, tee_uncertainty};
use crate::laws::fittings::contraction_loss;
use crate::laws::uncertainty::{CONTRACTION, PLAIN_JOINT_HEADS};

/// What the excess of each leg of a tee may be off by, Pa, with the sign of a larger loss: above zero in
/// a leg that supplies the junction, below zero in a leg that is supplied. The combined leg has none,
/// because losses are counted from it.
///
/// Half the distance between the largest and the smallest of the three sets ([`TeeSet`]) at these flows;
/// where both straight legs flow into the side leg or the side leg into both, printed coefficients stand
/// beside the unified law, because the classical sets have none. At least [`tee_uncertainty`] velocity
/// heads of the combined flow.
///
/// Where the flow leaves by the narrower straight leg, what the contraction there may be off by is added,
/// for a dividing tee in that leg, for a joining one in both legs that supply it: what handbooks differ by
/// ([`bore_change_uncertainty`]), and all of it for the share of the flow that leaves elsewhere, because
/// what is left need not contract. With that the published tables for such legs (named at the unified law)
/// lie within the spread: A-11V throughout, A-11T for velocities of the narrower leg from 0.3 to 1.4 of
/// that of the supply. Inputs as those of [`tee_excess`].
///
/// [`bore_change_uncertainty`]: crate::laws::uncertainty::bore_change_uncertainty
pub fn tee_spread_pa(
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
    let sets = [TeeSet::Unified, TeeSet::Gardel, TeeSet::Tp410]
        .map(|set| tee_excess(set, flows_in_kg_s, areas_m2, angle_rad, density));
    let mut spread = [0.0; 3];
    for leg in [RUN_A, RUN_B, SIDE] {
        if leg == combined {
            continue;
        }
        let of_leg = sets.map(|set| set[leg] - set[combined]);
        let square = (angle_rad - FRAC_PI_2).abs() < FRAC_PI_12;
        let others = match pattern {
            Pattern::Opposed | Pattern::Splitting if square => {
                let sign = if pattern.supplies(leg) { head } else { -head };
                let share = (flows_in_kg_s[leg] / flows_in_kg_s[SIDE]).abs();
                let area_ratio = areas_m2[SIDE] / areas_m2[leg];
                symmetric(pattern == Pattern::Opposed, share, area_ratio).map(|k| k * sign)
            }
            _ => [of_leg[0]; 2],
        };
        let all = || of_leg.into_iter().chain(others);
        let most = all().fold(f64::NEG_INFINITY, f64::max);
        let fewest = all().fold(f64::INFINITY, f64::min);
        let leaves = if pattern.supplies(leg) { combined } else { leg };
        let contraction = contraction_spread_pa(flows_in_kg_s, areas_m2, leaves, density);
        let half = (0.5 * (most - fewest)).max(least) + contraction;
        spread[leg] = if pattern.supplies(leg) { half } else { -half };
    }
    spread
}

/// What each leg of a plain joint of three runs or more may be off by, Pa, with signs as in [`tee_spread_pa`]: such a
/// joint is taken without loss, because nothing tells which of its runs go straight through. The fullest leg has none.
///
/// One velocity head of the fullest leg: what the unified law gives for a side leg of 90° that takes little of the flow
/// (K_s = 1 + (q/φ)² − 2·q/φ·cos(¾·δ) → 1), and what a straight leg regains at most.
///
/// `flows_in_kg_s` into the joint, `areas_m2` of the legs.
pub fn plain_joint_spread_pa(flows_in_kg_s: &[f64], areas_m2: &[f64], density: f64) -> Vec<f64> {
    let fuller = |a: &usize, b: &usize| {
        flows_in_kg_s[*a].abs().total_cmp(&flows_in_kg_s[*b].abs()).then(b.cmp(a))
    };
    let Some(fullest) = (0..flows_in_kg_s.len()).max_by(fuller) else { return Vec::new() };
    let flux = flows_in_kg_s[fullest] / areas_m2[fullest];
    let half = PLAIN_JOINT_HEADS * flux * flux / (2.0 * density);
    let of = |(leg, flow): (usize, &f64)| match *flow {
        flow if leg == fullest || flow == 0.0 => 0.0,
        flow => half.copysign(flow),
    };
    flows_in_kg_s.iter().enumerate().map(of).collect()
}

/// Uncertainty of the contraction towards a leg that the flow leaves by, Pa; 0 where it is not the
/// narrower straight leg.
fn contraction_spread_pa(flows: [f64; 3], areas: [f64; 3], leg: usize, density: f64) -> f64 {
    let wider = areas[RUN_A].max(areas[RUN_B]);
    if leg == SIDE || areas[leg] >= wider {
        return 0.0;
    }
    let flux = flows[leg] / areas[leg];
    let share = (flows[leg] / flows.map(f64::abs).into_iter().fold(0.0, f64::max)).abs();
    let off_by = CONTRACTION * share + (1.0 - share);
    off_by * contraction_loss(areas[leg] / wider) * flux * flux / (2.0 * density)
}

/// 15°: how far a tee may lean and still count as one of 90°.
const FRAC_PI_12: f64 = std::f64::consts::PI / 12.0;

/// Published coefficients, least and most, for one straight leg of a 90° tee in which both join into the
/// side leg (`joins`) or divide from it, on the velocity head of the side leg, −.
///
/// Joining: K = A·(1 + r² + 3r²(q² − q)), with A = 1 and with the factor A that Idelchik has for joining
/// flows: 1 for legs narrower than 0.35 of the side, else 0.9(1 − q), not below 0.55. At half the flow and
/// equal areas that is 1.25 and 0.69; the law used here gives 0.99. Dividing: K = 1 + k(q·r)², k from 0.3
/// (smooth welded) to 1.5 (threaded).
///
/// `share` q of the leg in the flow of the side leg; `area_ratio` r of the side leg over the leg.
///
/// Source: Idelchik, Handbook of Hydraulic Resistance, diagram 7-29 (not seen in print; with A); 0.3 from memory.
fn symmetric(joins: bool, share: f64, area_ratio: f64) -> [f64; 2] {
    let (q, square) = (share, area_ratio * area_ratio);
    if joins {
        let bare = 1.0 + square + 3.0 * square * (q * q - q);
        let factor = if area_ratio >= 1.0 / 0.35 { 1.0 } else { (0.9 * (1.0 - q)).max(0.55) };
        [factor * bare, bare]
    } else {
        [0.3, 1.5].map(|k| 1.0 + k * q * q * square)
    }
}
