//! Where a classical set was published for, and what holds elsewhere.

use coolwright_solver::scalar::Scalar;
use std::f64::consts::{FRAC_PI_2, PI};

use super::{Pattern, RUN_A, RUN_B, Tee, TeeSet};

/// Why a set does not hold for a tee and the directions of its flows. The unified law holds instead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutsideSet {
    /// Both run legs supply the side leg, or the side leg both.
    NotAlongTheRun,
    /// The two run legs are not equally wide: area of the first over that of the second.
    UnequalRuns(f64),
    /// The side leg is wider than the run: its area over that of the narrower run leg.
    WideSide(f64),
    /// The side leg's flow turns by an angle that the set does not have, rad.
    Turn(f64),
}

/// How far two areas may differ and still count as equal.
const EQUAL: f64 = 0.02;
const ANGLE_SLACK: f64 = 1e-6;

/// Why a set does not hold for a tee at its flows; `None` where it does. [`TeeSet::Unified`] always does.
///
/// Inputs as those of [`super::tee_excess`].
pub fn outside_set(
    set: TeeSet,
    flows_in_kg_s: [f64; 3],
    areas_m2: [f64; 3],
    angle_rad: f64,
) -> Option<OutsideSet> {
    if set == TeeSet::Unified {
        return None;
    }
    let tee = Tee { flows: flows_in_kg_s, areas: areas_m2, angle: angle_rad, density: 1.0 };
    tee.outside(set, Pattern::of(flows_in_kg_s))
}

impl<S: Scalar> Tee<S> {
    /// Why a classical set does not hold for a pattern in this tee; `None` where it does.
    pub(super) fn outside(&self, set: TeeSet, pattern: Pattern) -> Option<OutsideSet> {
        let (Pattern::DividingFrom(_) | Pattern::CombiningTo(_)) = pattern else {
            return Some(OutsideSet::NotAlongTheRun);
        };
        let [a, b, side] = self.areas.map(Scalar::value);
        if (a / b - 1.0).abs() >= EQUAL {
            return Some(OutsideSet::UnequalRuns(a / b));
        }
        let narrower = self.areas[RUN_A].value().min(self.areas[RUN_B].value());
        if side >= (1.0 + EQUAL) * narrower {
            return Some(OutsideSet::WideSide(side / narrower));
        }
        let turn = self.turn(pattern).value();
        let (least, most) = match set {
            TeeSet::Gardel => (PI / 4.0, 3.0 * PI / 4.0),
            TeeSet::Tp410 | TeeSet::Unified => (0.0, FRAC_PI_2),
        };
        let within = turn > least - ANGLE_SLACK && turn < most + ANGLE_SLACK;
        (!within).then_some(OutsideSet::Turn(turn))
    }
}
