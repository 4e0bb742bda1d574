//! Tees: the total pressures of three legs at one junction, from three signed flows.
//!
//! The legs are `run_a`, `run_b` and `side`, in this order everywhere. The two run legs lie on one
//! line. The angle of the side leg is the angle between the direction in which the side leg points
//! and the direction in which `run_b` points, both seen from the junction: 90° for a plain tee; in
//! a 45° wye that splits flow from `run_a` gently, the side leg leans towards `run_b` at 45°.
//!
//! **Reference.** Excesses are counted from the junction's total pressure p_J, the total pressure
//! of the run:
//!
//! | flow | p_J |
//! |---|---|
//! | from one run leg, divided into the other legs | total pressure of that run leg |
//! | from the other legs, combined to one run leg | total pressure of that run leg |
//! | from both run legs to the side leg, or from the side leg to both run legs | mean of the two run legs, weighted by their flows |
//!
//! This is the one choice that gives the combined leg of a dividing or combining tee the excess 0
//! and still stays continuous when a run leg reverses while the flow turns into the side leg.
//! Only differences between legs have a physical meaning.
//!
//! **Reversal.** Each of the six flow patterns has its law. Where one leg's flow is small, the laws
//! on both sides of its reversal are blended by a cubic, so that value and first derivative are
//! continuous. Flows whose sum is not zero are first shifted by a third of the sum each.

use std::f64::consts::PI;

use coolwright_solver::scalar::Scalar;

use super::{atan2, smooth_step};

mod applied;
mod classical;
mod coverage;
mod forms;
mod uncertainty;
mod unified;

pub use applied::tee_law;
pub use coverage::{OutsideSet, outside_set};
pub use forms::TeeForms;
pub use uncertainty::{plain_joint_spread_pa, tee_spread_pa};

const RUN_A: usize = 0;
const RUN_B: usize = 1;
const SIDE: usize = 2;

/// Share of the through flow within which two laws of one set are blended around a reversal.
const BLEND: f64 = 0.02;

/// Share of the through flow over which a classical set hands over to the unified law, all of it
/// on the unified law's side. Wider than [`BLEND`], because the two differ at the reversal by up to
/// half a velocity head.
pub(crate) const HAND_OVER: f64 = 0.1;

/// Which published coefficients a tee follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TeeSet {
    /// The unified junction law: covers every direction and angle.
    ///
    /// Dividing: Bassett, Winterbone & Pearson 2001, Proc. IMechE C 215, 861. Every other
    /// direction: their momentum balance with all supply legs merged into one effective supply leg,
    /// Mynard & Valen-Sendstad 2015, Int. J. Numer. Meth. Biomed. Engng, DOI 10.1002/cnm.2717.
    Unified,
    /// Gardel 1957, EPF Lausanne, publication 44 (from memory), sharp-edged: flow between the run
    /// legs with the side leg splitting off or joining at 45° to 135°, side area at most the run's,
    /// equal run areas. Elsewhere [`TeeSet::Unified`].
    Gardel,
    /// Flow of Fluids, TP 410 (2009): flow between the run legs with the side leg turning by at most 90°,
    /// side area at most the run's, equal run areas. Elsewhere [`TeeSet::Unified`].
    Tp410,
}

impl TeeSet {
    /// Its name, as a case asks for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Unified => "Unified",
            Self::Gardel => "Gardel",
            Self::Tp410 => "TP410",
        }
    }

    /// Its name and its sources, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Unified => {
                "unified junction law (Bassett et al. 2001; Mynard & Valen-Sendstad 2015)"
            }
            Self::Gardel => "Gardel 1957, sharp-edged",
            Self::Tp410 => "Flow of Fluids, TP 410",
        }
    }
}

/// Which way the three flows go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pattern {
    /// In by one run leg, out by the other two.
    DividingFrom(usize),
    /// Out by one run leg, in by the other two.
    CombiningTo(usize),
    /// In by both run legs, out by the side leg.
    Opposed,
    /// In by the side leg, out by both run legs.
    Splitting,
}

impl Pattern {
    /// The pattern of three flows whose sum is zero; a flow of zero counts as going in.
    fn of(flows: [f64; 3]) -> Self {
        match flows.map(|flow| flow >= 0.0) {
            [true, false, false] => Self::DividingFrom(RUN_A),
            [false, true, false] => Self::DividingFrom(RUN_B),
            [true, true, _] => Self::Opposed,
            [false, false, _] => Self::Splitting,
            [true, false, true] => Self::CombiningTo(RUN_B),
            [false, true, true] => Self::CombiningTo(RUN_A),
        }
    }

    /// Whether a leg supplies the junction.
    fn supplies(self, leg: usize) -> bool {
        match self {
            Self::DividingFrom(from) => leg == from,
            Self::CombiningTo(to) => leg != to,
            Self::Opposed => leg != SIDE,
            Self::Splitting => leg == SIDE,
        }
    }

    /// The pattern after `leg` alone reverses; only possible for a leg that is not alone in its
    /// direction.
    fn reversed(self, leg: usize) -> Self {
        let mut flows = [RUN_A, RUN_B, SIDE].map(|l| if self.supplies(l) { 1.0 } else { -1.0 });
        flows[leg] = -flows[leg];
        Self::of(flows)
    }
}

/// A tee and the flows through it, as the laws of one pattern see them.
#[derive(Clone, Copy)]
struct Tee<S> {
    /// Mass flow of each leg into the junction, kg/s, with the sum zero.
    flows: [S; 3],
    /// Flow area of each leg, m².
    areas: [S; 3],
    /// Angle between the side leg and the direction of `run_b`, rad.
    angle: S,
    /// Density, kg/m³.
    density: S,
}

impl<S: Scalar> Tee<S> {
    /// Velocity of a leg, m/s, positive into the junction.
    fn velocity(&self, leg: usize) -> S {
        self.flows[leg] / (self.density * self.areas[leg])
    }

    /// Excesses over the reference from total pressures over any common level.
    fn over_reference(&self, pattern: Pattern, pressures: [S; 3]) -> [S; 3] {
        let reference = match pattern {
            Pattern::DividingFrom(leg) | Pattern::CombiningTo(leg) => pressures[leg],
            Pattern::Opposed | Pattern::Splitting => {
                let [a, b, _] = self.flows;
                (a * pressures[RUN_A] + b * pressures[RUN_B]) / (a + b)
            }
        };
        pressures.map(|pressure| pressure - reference)
    }

    /// Excesses of one pattern after one set, Pa.
    fn excess(&self, set: TeeSet, pattern: Pattern) -> [S; 3] {
        if self.covers(set, pattern) {
            classical::excess(self, set, pattern)
        } else {
            unified::excess(self, pattern)
        }
    }

    /// Whether a classical set holds for a pattern in this tee.
    fn covers(&self, set: TeeSet, pattern: Pattern) -> bool {
        set != TeeSet::Unified && self.outside(set, pattern).is_none()
    }

    /// Angle by which the side leg's flow turns from or into the run, rad.
    fn turn(&self, pattern: Pattern) -> S {
        match pattern {
            Pattern::DividingFrom(RUN_A) | Pattern::CombiningTo(RUN_A) => self.angle,
            _ => -self.angle + PI,
        }
    }
}

/// Excess of each leg's total pressure over the junction's, Pa.
///
/// `flows_in_kg_s` are signed and positive into the junction; `areas_m2` are the flow areas of the
/// legs; `angle_rad` is the angle between the side leg and the direction of `run_b`, between 0 and
/// π, both excluded; `density` kg/m³, one for all legs. The page of this module defines the legs,
/// the junction's total pressure and what happens at reversal.
///
/// An outgoing leg of a dividing tee has the excess −K·½ρv² and a supply leg of a combining tee
/// +K·½ρv², K on the velocity v of the combined leg, as handbooks print it. K may be negative and
/// is never cut off. The result is homogeneous of second degree in the flows, so all of it vanishes
/// with them, with its derivatives.
///
/// Turbulent flow, legs long enough for a developed profile. See [`tee_uncertainty`].
///
/// The power lost, −Σ over outgoing and + over incoming legs of flow·excess/ρ, is not negative but
/// for traces: up to 0.1 % of the combined flow's power within the blend of the unified set, and up
/// to 2.5 % for small side flows in TP 410's row for narrow combining legs.
pub fn tee_excess<S: Scalar>(
    set: TeeSet,
    flows_in_kg_s: [S; 3],
    areas_m2: [S; 3],
    angle_rad: S,
    density: S,
) -> [S; 3] {
    let [a, b, side] = flows_in_kg_s;
    let third = (a + b + side) / 3.0;
    let flows = flows_in_kg_s.map(|flow| flow - third);
    let values = flows.map(Scalar::value);
    let small = smallest(values.map(f64::abs));
    let [one, other] = [(small + 1) % 3, (small + 2) % 3];
    // The two larger flows are opposite, so their difference is twice the mean through flow.
    let mut through = (flows[one] - flows[other]) * 0.5;
    if through.value() < 0.0 {
        through = -through;
    }
    // Below this its squares, and with them every excess, are no numbers any more.
    if through.value() < f64::MIN_POSITIVE.sqrt() {
        return [S::from(0.0); 3];
    }
    let tee = Tee { flows, areas: areas_m2, angle: angle_rad, density };
    let pattern = Pattern::of(values);
    let share = flows[small] / through;
    if share.value().abs() >= HAND_OVER {
        return tee.excess(set, pattern);
    }
    blended(&tee, set, pattern, small, share)
}

fn smallest(sizes: [f64; 3]) -> usize {
    let run = if sizes[RUN_A] <= sizes[RUN_B] { RUN_A } else { RUN_B };
    if sizes[SIDE] <= sizes[run] { SIDE } else { run }
}

/// The law near the reversal of `leg`, whose flow is `share` of the through flow.
fn blended<S: Scalar>(tee: &Tee<S>, set: TeeSet, pattern: Pattern, leg: usize, share: S) -> [S; 3] {
    let (inward, outward) = if share.value() >= 0.0 {
        (pattern, pattern.reversed(leg))
    } else {
        (pattern.reversed(leg), pattern)
    };
    // Weight of the inward law: from 0 at share = start to 1 at share = end.
    let (start, end) = match (tee.covers(set, inward), tee.covers(set, outward)) {
        (true, false) => (-HAND_OVER, 0.0),
        (false, true) => (0.0, HAND_OVER),
        _ => (-BLEND, BLEND),
    };
    let weight = smooth_step((share - start) / (end - start));
    if weight.value() <= 0.0 {
        return tee.excess(set, outward);
    }
    if weight.value() >= 1.0 {
        return tee.excess(set, inward);
    }
    let of_inward = tee.excess(set, inward);
    let of_outward = tee.excess(set, outward);
    std::array::from_fn(|i| of_outward[i] + (of_inward[i] - of_outward[i]) * weight)
}

/// Least uncertainty of a tee, velocity heads: up to half of the flow in the side leg.
pub const LEAST_TEE_HEADS: f64 = 0.2;
/// The same where all of the flow turns, and where both straight legs join or divide.
pub const MOST_TEE_HEADS: f64 = 0.4;

/// Least uncertainty of a tee's loss coefficients, ±, velocity heads of the combined flow.
///
/// Published sets differ from each other by up to 0.45 velocity heads for a 90° tee of equal bores.
/// 0.2 where the flow goes between the run legs with up to half of it in the side leg; rising to
/// 0.4 as all of it turns; 0.4 for opposed joining and for splitting from the side leg, which few
/// have measured. Source: spread of TP 410, Gardel 1957 and Bassett et al. 2001 for that tee.
pub fn tee_uncertainty(flows_in_kg_s: [f64; 3]) -> f64 {
    match Pattern::of(flows_in_kg_s) {
        Pattern::Opposed | Pattern::Splitting => MOST_TEE_HEADS,
        Pattern::DividingFrom(_) | Pattern::CombiningTo(_) => {
            let largest = flows_in_kg_s.map(f64::abs).into_iter().fold(0.0, f64::max);
            let side = if largest > 0.0 { flows_in_kg_s[SIDE].abs() / largest } else { 0.0 };
            let turned = 2.0 * (side - 0.5).clamp(0.0, 0.5);
            LEAST_TEE_HEADS + (MOST_TEE_HEADS - LEAST_TEE_HEADS) * turned
        }
    }
}
