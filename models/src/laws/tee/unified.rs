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
//! The last rule is applied to opposed joining as well, where ΔQ is all of the flow from o. That
//! extension is derived here, not published; it is what keeps the law continuous when a run leg
//! reverses. With it, symmetric opposed joining of equal bores has K = 0.99, without it 0.87.
//! Idelchik's diagram 7-29 gives 1.25, or 0.69 with its factor A for joining flows: the law lies
//! between, and the distance is carried as uncertainty.

use coolwright_solver::scalar::Scalar;

use super::{Pattern, RUN_A, RUN_B, SIDE, Tee, atan2};

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

    // Total pressure over p_d, divided by the density.
    let mut work: [S; 3] = std::array::from_fn(|leg| {
        let u = tee.velocity(leg);
        if supplies[leg] {
            u * u * 0.5
        } else {
            let turn = turn(tee, supplies, leg);
            -u * u * 0.5 - u * supply_velocity * (turn * 0.75).cos()
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

/// ¼U_o·ΔQ/A_r, m²/s²: what the flow `turned` into the side leg leaves to the run.
fn run_rise<S: Scalar>(tee: &Tee<S>, from: usize, to: usize, turned: S) -> S {
    tee.velocity(from) * turned / (tee.density * tee.areas[to]) * 0.25
}

/// Angle δ by which the supplied flow turns into a collecting leg, rad.
fn turn<S: Scalar>(tee: &Tee<S>, supplies: [bool; 3], leg: usize) -> S {
    let mut across = S::from(0.0);
    let mut along = S::from(0.0);
    for supply in (0..3).filter(|supply| supplies[*supply]) {
        let between = tee.between(supply, leg);
        across += tee.flows[supply] * between.sin();
        along -= tee.flows[supply] * between.cos();
    }
    atan2(across, along)
}
