//! How the pressure law of a part goes with the flow, where that can be told at once.
//!
//! While the flows of a circuit are sought, bores, densities and viscosities stand still. A part
//! that says what is then left of its law need not be asked again at every step. That is no second
//! law: its numbers come from the law itself.

use super::{Fall, LawInputs};
use crate::laws::fittings::Bends;
use crate::laws::friction::Pipe;
use crate::laws::quadrants::AtRest;

/// The fall of a part as a function of the mass flow m alone.
#[derive(Clone, Copy, Debug)]
pub enum FlowLaw {
    /// Nothing simpler than the law.
    Other,
    /// c·m·|m|, in Pa·s²/kg², c for m ≥ 0 and for m < 0.
    Quadratic([f64; 2]),
    /// That of [`crate::laws::fittings::rated_fall`].
    Rated {
        /// Share of the rated flow in 1 kg/s, s/kg.
        per_flow: f64,
        /// Fall at the rated flow, Pa.
        fall: f64,
        /// How the fall goes with flow.
        exponent: f64,
    },
    /// That of [`crate::laws::friction::pipe_fall`].
    Pipe(Pipe),
    /// The same with bends, each that of [`crate::laws::fittings::bend_fall`].
    Bent(Pipe, Bends),
    /// factor·Δp(s, m/ρ), Δp that of [`crate::laws::quadrants::machine_rise`] for the curve of the pump
    /// that the part is.
    Pump {
        /// Speed s over that of the curve, above zero.
        speed: f64,
        /// 1/ρ, m³/kg.
        per_flow: f64,
        /// −ρ/ρ₁.
        factor: f64,
        /// What it resists at rest.
        at_rest: AtRest<f64>,
    },
}

impl FlowLaw {
    /// That of a part whose law goes with the square of the flow, from its falls at 1 kg/s along
    /// and against the run.
    pub(super) fn quadratic(part: &impl Fall, place: &LawInputs<'_, f64>) -> Self {
        Self::Quadratic([part.fall(place, 1.0), -part.fall(place, -1.0)])
    }
}
