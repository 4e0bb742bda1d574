//! The classical coefficients for flow between the run legs: Gardel and TP 410.
//!
//! q = side flow / combined flow, φ = β² = side area / run area, δ the angle by which the side
//! leg's flow turns, K on the velocity head of the combined flow.

use std::f64::consts::{FRAC_PI_2, PI};

use coolwright_solver::scalar::Scalar;

use super::{Pattern, RUN_A, RUN_B, SIDE, Tee, TeeSet};

/// What the coefficients depend on.
#[derive(Clone, Copy)]
struct Split<S> {
    /// Share of the combined flow in the side leg, −.
    q: S,
    /// Side area over run area, −.
    area_ratio: S,
    /// Angle by which the side leg's flow turns, rad.
    turn: S,
}

/// Excesses of a pattern that the set covers, Pa.
pub(super) fn excess<S: Scalar>(tee: &Tee<S>, set: TeeSet, pattern: Pattern) -> [S; 3] {
    let (main, sign) = match pattern {
        Pattern::DividingFrom(leg) => (leg, -1.0),
        Pattern::CombiningTo(leg) => (leg, 1.0),
        Pattern::Opposed | Pattern::Splitting => unreachable!("not covered by a classical set"),
    };
    let run = if main == RUN_A { RUN_B } else { RUN_A };
    let split = Split {
        q: -tee.flows[SIDE] / tee.flows[main],
        area_ratio: tee.areas[SIDE] / tee.areas[main],
        turn: tee.turn(pattern),
    };
    let dividing = sign < 0.0;
    let [of_run, of_side] = match (set, dividing) {
        (TeeSet::Gardel, true) => gardel_dividing(split),
        (TeeSet::Gardel, false) => gardel_combining(split),
        (_, true) => tp410_dividing(split),
        (_, false) => tp410_combining(split),
    };
    let velocity = tee.velocity(main);
    let head = tee.density * velocity * velocity * (0.5 * sign);
    let mut result = [S::from(0.0); 3];
    result[run] = of_run * head;
    result[SIDE] = of_side * head;
    result
}

/// Gardel's coefficients of run and side for dividing flow, sharp-edged.
///
/// K_s = 0.95(1−q)² + q²(1.3·tan(δ/2) − 0.3 + (0.4 − 0.1φ)/φ²) + 0.4q(1−q)·(1+φ)/φ·tan(δ/2);
/// K_r = 0.03(1−q)² + 0.35q² − 0.2q(1−q).
fn gardel_dividing<S: Scalar>(split: Split<S>) -> [S; 2] {
    let Split { q, area_ratio: phi, turn } = split;
    let rest = -q + 1.0;
    let tangent = (turn * 0.5).sin() / (turn * 0.5).cos();
    let narrowing = (phi * -0.1 + 0.4) / (phi * phi);
    let side = rest * rest * 0.95
        + q * q * (tangent * 1.3 - 0.3 + narrowing)
        + q * rest * 0.4 * (phi + 1.0) / phi * tangent;
    let run = rest * rest * 0.03 + q * q * 0.35 - q * rest * 0.2;
    [run, side]
}

/// Gardel's coefficients of run and side for combining flow, sharp-edged.
///
/// K_s = −0.92(1−q)² − q²(1.2(cos δ/φ − 1) + 0.8(1 − 1/φ²) − (1/φ − 1)cos δ) + (2−φ)q(1−q);
/// K_r = 0.03(1−q)² − q²(1 + 1.62(cos δ/φ − 1) − 0.38(1−φ)) + (2−φ)q(1−q).
fn gardel_combining<S: Scalar>(split: Split<S>) -> [S; 2] {
    let Split { q, area_ratio: phi, turn } = split;
    let rest = -q + 1.0;
    let one = S::from(1.0);
    let cosine = turn.cos();
    let mixing = (-phi + 2.0) * q * rest;
    let of_side =
        (cosine / phi - 1.0) * 1.2 + (one - one / (phi * phi)) * 0.8 - (one / phi - 1.0) * cosine;
    let of_run = (cosine / phi - 1.0) * 1.62 + 1.0 - (-phi + 1.0) * 0.38;
    let side = mixing - rest * rest * 0.92 - q * q * of_side;
    let run = mixing + rest * rest * 0.03 - q * q * of_run;
    [run, side]
}

/// Share of the 90° rows, rising from 0 at 75° to 1 at 90°; the source has nothing in between.
fn squareness<S: Scalar>(turn: S) -> S {
    let x = (turn - FRAC_PI_2) * (12.0 / PI) + 1.0;
    x.max(S::from(0.0)).min(S::from(1.0))
}

fn mixed<S: Scalar>(slanted: S, square: S, squareness: S) -> S {
    slanted + (square - slanted) * squareness
}

/// Coefficients of run and side after TP 410 for combining flow.
///
/// K_s = C(1 + (q/φ)² − 2(1−q)² − (F/φ)q²), F = 2cos δ (the printed 1.74, 1.41, 1 and 0),
/// C = 1 for φ ≤ 0.35, else 0.9(1−q), but not below 0.55;
/// K_r = 1.55q − q² at 90°, 1 − (1−q)² − (F/φ)q² up to 75°.
///
/// The source switches C at q = 0.4, where its two lines differ by 0.01; here the upper one counts,
/// so that there is no step.
fn tp410_combining<S: Scalar>(split: Split<S>) -> [S; 2] {
    let Split { q, area_ratio: phi, turn } = split;
    let rest = -q + 1.0;
    let ratio = q / phi;
    let angle_term = turn.cos() * 2.0 / phi * q * q;
    let c = if phi.value() <= 0.35 { S::from(1.0) } else { (rest * 0.9).max(S::from(0.55)) };
    let side = c * (ratio * ratio - rest * rest * 2.0 - angle_term + 1.0);
    let slanted = -(rest * rest) - angle_term + 1.0;
    let run = mixed(slanted, q * 1.55 - q * q, squareness(turn));
    [run, side]
}

/// Coefficients of run and side after TP 410 for dividing flow.
///
/// K_s = G(1 + H(q/φ)² − J(q/φ)cos δ), up to 75° with H = 1, J = 2, and G = 1.1 − 0.7q, not below
/// 0.85, for φ ≤ 0.35, else 1 − 0.6q, not below 0.6; at 90° G = 1, J = 0 and H = 1 for β ≤ 2/3,
/// 0.3 for β = 1, linear in between. K_r = M·q², M = 0.4 for φ ≤ 0.4, else 2(2q−1) for q ≤ 0.5 and
/// 0.3(2q−1) above.
///
/// Transcriptions of the 90° row for β = 1 give G = 1 + 0.3q² together with H = 0.3, which counts
/// the same term twice (1.69 at q = 1). Idelchik, from whom the row stems, has K = 1 + 0.3q², and
/// Gardel measured 1.30 at q = 1; so it is counted once here. The steps of G, up to 0.04, are
/// closed as in [`tp410_combining`].
fn tp410_dividing<S: Scalar>(split: Split<S>) -> [S; 2] {
    let Split { q, area_ratio: phi, turn } = split;
    let ratio = q / phi;
    let g = if phi.value() <= 0.35 {
        (q * -0.7 + 1.1).max(S::from(0.85))
    } else {
        (q * -0.6 + 1.0).max(S::from(0.6))
    };
    let slanted = g * (ratio * ratio - ratio * turn.cos() * 2.0 + 1.0);
    let beta = phi.sqrt();
    let h = (-(beta * 3.0 - 2.0) * 0.7 + 1.0).min(S::from(1.0)).max(S::from(0.3));
    let square = h * ratio * ratio + 1.0;
    let side = mixed(slanted, square, squareness(turn));
    let m = if phi.value() <= 0.4 {
        S::from(0.4)
    } else if q.value() <= 0.5 {
        (q * 2.0 - 1.0) * 2.0
    } else {
        (q * 2.0 - 1.0) * 0.3
    };
    [m * q * q, side]
}
