//! The card of the law that a tee follows at its flows, with its numbers.

use super::{Pattern, RUN_A, RUN_B, SIDE, Tee, TeeSet};
use crate::laws::card::Applied;
use crate::laws::cards::tee as cards;

/// The law of a tee at its flows; `None` where nothing flows. Inputs as those of [`super::tee_excess`].
///
/// Within a tenth of the through flow around the reversal of a leg, two laws are blended: the card says so
/// by its range.
pub fn tee_law(
    set: TeeSet,
    flows_in_kg_s: [f64; 3],
    areas_m2: [f64; 3],
    angle_rad: f64,
) -> Option<Applied> {
    let most = flows_in_kg_s.map(f64::abs).into_iter().fold(0.0, f64::max);
    if most <= 0.0 {
        return None;
    }
    let tee = Tee { flows: flows_in_kg_s, areas: areas_m2, angle: angle_rad, density: 1.0 };
    let pattern = Pattern::of(flows_in_kg_s);
    let least = flows_in_kg_s.map(f64::abs).into_iter().fold(f64::INFINITY, f64::min);
    let small = ("i", least / most);
    Some(match pattern {
        Pattern::DividingFrom(main) | Pattern::CombiningTo(main) => {
            let run = if main == RUN_A { RUN_B } else { RUN_A };
            let divides = matches!(pattern, Pattern::DividingFrom(_));
            let q = (tee.flows[SIDE] / tee.flows[main]).abs();
            let phi = tee.areas[SIDE] / tee.areas[main];
            let given = [("q", q), ("φ", phi), ("δ", tee.turn(pattern)), small];
            if tee.covers(set, pattern) {
                classical(set, divides, &given, q, phi)
            } else {
                let card = if divides { &cards::UNIFIED_DIVIDING } else { &cards::UNIFIED_JOINING };
                let straight = ("φ_r", tee.areas[run] / tee.areas[main]);
                Applied::other(card, &[&given[..], &[straight]].concat())
            }
        }
        Pattern::Opposed | Pattern::Splitting => {
            let opposed = pattern == Pattern::Opposed;
            let card = if opposed { &cards::UNIFIED_OPPOSED } else { &cards::UNIFIED_SPLITTING };
            let share = (tee.flows[RUN_A] / tee.flows[SIDE]).abs();
            let [a, b, side] = tee.areas;
            let areas = [("φ_a", a / side), ("φ_b", b / side)];
            Applied::other(card, &[("q_a", share), areas[0], areas[1], ("α", tee.angle), small])
        }
    })
}

/// The card of Gardel or TP 410, with what the latter reads off its rows.
fn classical(
    set: TeeSet,
    divides: bool,
    given: &[(&'static str, f64)],
    q: f64,
    phi: f64,
) -> Applied {
    match (set, divides) {
        (TeeSet::Gardel, true) => Applied::other(&cards::GARDEL_DIVIDING, given),
        (TeeSet::Gardel, false) => Applied::other(&cards::GARDEL_JOINING, given),
        (_, true) => {
            let narrow = phi <= 0.35;
            let g = if narrow { (1.1 - 0.7 * q).max(0.85) } else { (1.0 - 0.6 * q).max(0.6) };
            let times = if q <= 0.5 { 2.0 } else { 0.3 };
            let m = if phi <= 0.4 { 0.4 } else { times * (2.0 * q - 1.0) };
            Applied::other(&cards::TP410_DIVIDING, &[given, &[("g", g), ("M", m)]].concat())
        }
        (_, false) => {
            let c = if phi <= 0.35 { 1.0 } else { (0.9 * (1.0 - q)).max(0.55) };
            Applied::other(&cards::TP410_JOINING, &[given, &[("C", c)]].concat())
        }
    }
}
