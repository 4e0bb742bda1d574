//! The unified junction law.
//!
//! With p_d the static pressure that the supply legs share, U the velocities as magnitudes and λ a
//! supply leg's share of the incoming flow:
//!
//! * supply leg i: P_i = p_d + ½ρU_i²
//! * collecting leg j: p_d − p_j = ρ(U_j² − U_j·U_d·cos(¾δ_j)), hence
//!   P_j = p_d − ½ρU_j² + ρU_j·U_d·cos(¾δ_j)
//! * effective supply: U_d = Σλ_i·U_i, and δ_j = atan2(Σλ_i·sin φ_ij, −Σλ_i·cos φ_ij), φ_ij the
//!   angle between the legs; δ is the angle by which the flow turns, 0 straight on.
//!
//! For one supply leg this is the dividing branch of Bassett et al., K = 1 + (qψ)² − 2qψ·cos(¾δ).
//! Several supply legs as one effective leg, so that nothing jumps at reversal: Mynard &
//! Valen-Sendstad. Their correction for energy passed between diverging streams, fitted to computed
//! flow at Re 350 to 2400, is not used; Bassett's momentum balance of the run stands for it:
//!
//! * run leg r behind a run leg o that supplies: p_r rises by ¼ρU_o·ΔQ/A_r, ΔQ the part of the
//!   flow from o that leaves by the side leg, because that part keeps ¾ of U_o along the run.
//!   For equal areas this is Bassett's K = s² − 1.5s + 0.5, s the run's share.
//!
//! **A narrower run leg.** The body of the tee is as wide as the wider run leg. What leaves by the
//! narrower one does so as from that body, with its area in U_j and A_r, and then passes a sudden
//! contraction at its own flow: with no flow in the side leg only that is left. Taking A_r itself in
//! Bassett's balance of the run presumes the pressure of the supply on the shoulder around the narrower
//! leg, where that after the division stands; it made K = (1 − v)² − ½q·A_o/A_r, v the leg's velocity
//! over that of the supply, which is −0.5 for half the area and half the flow. Two published tables for
//! such legs decide, both from SMACNA, HVAC Systems Duct Design (not seen in print), on the
//! head of the supply, for half the area:
//!
//! | share that goes straight on | A-11T, sharp, 90° | A-11V, rounded branch | here | Bassett |
//! |---|---|---|---|---|
//! | 0.3 | 0.23 | 0.09, 0.06 | 0.23 | −0.54 |
//! | 0.5 | 0.20 | 0.05, 0.08 | 0.25 | −0.50 |
//! | 0.7 | 0.79 | 0.28, 0.23 | 0.43 | −0.14 |
//! | 0.9 | 2.40 | 0.72, 0.62 | 0.77 | 0.54 |
//!
//! Neither has a gain of more than 0.04 heads. A-11T goes on to 4.0 where all of the flow goes straight on,
//! where handbooks have a contraction of 1.0, and it is not followed there. Up to 0.4 of the area it has no
//! loss at equal velocities, and here it is 0.4 to 0.7: a stream that is as narrow as the leg already does
//! not contract. The spread reaches that far down to a fifth of the area.
//! A wider run leg needs nothing: the balance leaves Borda–Carnot there.
//!
//! The rule for the run is applied to opposed joining as well, where ΔQ is all of the flow from o. That
//! extension is derived here, not published; it is what keeps the law continuous when a run leg
//! reverses. With it, symmetric opposed joining of equal bores has K = 0.99, without it 0.87.
//! Idelchik's diagram 7-29 gives 1.25, or 0.69 with its factor A for joining flows: the law lies
//! between, and the distance is carried as uncertainty.

use coolwright_solver::scalar::Scalar;

use super::{Pattern, RUN_A, RUN_B, SIDE, Tee, atan2};
use crate::laws::fittings::contraction_loss;

/// Excesses of one pattern, Pa.
pub(super) fn excess<S: Scalar>(tee: &Tee<S>, pattern: Pattern) -> [S; 3] {
    let supplies = [RUN_A, RUN_B, SIDE].map(|leg| pattern.supplies(leg));
    let zero = S::from(0.0);
    let mut incoming = zero;
    let mut flux = zero;
    for leg in (0..3).filter(|leg| supplies[*leg]) {
        incoming += tee.flows[leg];
        flux += tee.flows[leg] * tee.velocity(leg);
    }
    let supply_velocity = flux / incoming;
    let of_side = [tee.angle.sin(), tee.angle.cos()];

    // Total pressure over p_d, divided by the density.
    let mut work: [S; 3] = std::array::from_fn(|leg| {
        let u = tee.velocity(leg);
        if supplies[leg] {
            return u * u * 0.5;
        }
        let turn = turn(tee, (supplies, of_side), leg);
        let leaving = |u: S| -u * u * 0.5 - u * supply_velocity * (turn * 0.75).cos();
        match wider_run(tee, leg) {
            Some(body) => {
                let loss = contraction_loss(tee.areas[leg] / body);
                leaving(tee.flows[leg] / (tee.density * body)) - loss * u * u * 0.5
            }
            None => leaving(u),
        }
    });
    match pattern {
        Pattern::DividingFrom(from) => {
            let to = other_run(from);
            work[to] += run_rise(tee, from, to, -tee.flows[SIDE]);
        }
        Pattern::Opposed => {
            work[RUN_A] += run_rise(tee, RUN_B, RUN_A, tee.flows[RUN_B]);
            work[RUN_B] += run_rise(tee, RUN_A, RUN_B, tee.flows[RUN_A]);
        }
        Pattern::CombiningTo(_) | Pattern::Splitting => {}
    }
    tee.over_reference(pattern, work.map(|w| w * tee.density))
}

/// The other run leg.
fn other_run(run: usize) -> usize {
    if run == RUN_A { RUN_B } else { RUN_A }
}

/// Area of the other run leg where a run leg is narrower than that, m².
fn wider_run<S: Scalar>(tee: &Tee<S>, leg: usize) -> Option<S> {
    if leg == SIDE {
        return None;
    }
    let other = tee.areas[other_run(leg)];
    (tee.areas[leg].value() < other.value()).then_some(other)
}

/// ¼U_o·ΔQ/A_r, m²/s²: what the flow `turned` into the side leg leaves to the run, A_r the area of the
/// wider run leg.
fn run_rise<S: Scalar>(tee: &Tee<S>, from: usize, to: usize, turned: S) -> S {
    let area = wider_run(tee, to).unwrap_or(tee.areas[to]);
    tee.velocity(from) * turned / (tee.density * area) * 0.25
}

/// Angle δ by which the supplied flow turns into a collecting leg, rad; `of_side` are sine and cosine of the
/// angle between the side leg and the run leg at the end of the run.
fn turn<S: Scalar>(tee: &Tee<S>, (supplies, of_side): ([bool; 3], [S; 2]), leg: usize) -> S {
    let mut across = S::from(0.0);
    let mut along = S::from(0.0);
    for supply in (0..3).filter(|supply| supplies[*supply]) {
        let [sine, cosine] = between(supply, leg, of_side);
        across += tee.flows[supply] * sine;
        along -= tee.flows[supply] * cosine;
    }
    atan2(across, along)
}

/// Sine and cosine of the angle between two legs.
fn between<S: Scalar>(one: usize, other: usize, [sine, cosine]: [S; 2]) -> [S; 2] {
    match (one, other) {
        (RUN_A, RUN_B) | (RUN_B, RUN_A) => [S::from(0.0), S::from(-1.0)],
        (RUN_B, _) | (_, RUN_B) => [sine, cosine],
        _ => [sine, -cosine],
    }
}
