//! Ice in a stirred tank: it floats, so it displaces its own mass of coolant; it melts, which keeps the
//! tank cold, and its water takes the place of that coolant.

use coolwright_solver::scalar::Scalar;

use super::own::{Motion, Moves, Own, OwnState, Seen};
use crate::fluids::BESIDE_ICE_K;
use crate::results::quantities::ICE;
use crate::slots::{Slot, Values};

/// Heat of melting of ice, J/kg, at 0 °C and atmospheric pressure (IAPWS R10-06).
pub const HEAT_OF_MELTING: f64 = 333_430.0;
/// Density of ice at 0 °C, kg/m³ (IAPWS R10-06).
pub const ICE_DENSITY: f64 = 916.7;
/// Highest density of water, kg/m³, at 4 °C (IAPWS SR6-08): what ice displaces is at least its mass over this.
pub const WATER_DENSITY: f64 = 999.97;

/// Ice in a tank. Its state is the mass that is left, kg.
#[derive(Clone, Copy, Debug)]
pub struct Ice {
    /// Mass at the start, kg.
    pub mass: Slot,
    /// Film coefficient between the stirred coolant and the ice, W/(m²·K).
    pub film: Slot,
    /// Size of a piece, m: the edge of a cube of the same volume.
    pub piece: Slot,
    /// Temperature at which it stands and melts, K: the freezing point of the coolant around it, as it was
    /// filled.
    pub melting: Slot,
}

/// Share of the ice below which its area goes in proportion to its mass, so that it does end.
const LAST_OF_IT: f64 = 1e-3;

impl Moves for Ice {
    /// q = h A (T − `T_f`), A = A₀ (m/m₀)^(2/3), A₀ = 6 m₀/(ρ e) for cubes of edge e, `T_f` the freezing point
    /// of the coolant. Near the last of the ice the area goes to zero in proportion to the mass, so that it
    /// does end. It grows again only on what is colder by 0.05 K at most, so that coolant beside ice comes back
    /// to `T_f`; what is colder is told as freezing. Ice and its water count as at 0 °C, where the enthalpy of the coolant is
    /// zero: right in water. In a mixture the melt thins the coolant and raises its freezing point, and
    /// colder ice holds less heat: both are left out.
    fn motion<S: Scalar>(&self, seen: &Seen<'_, S>, out: &mut Motion<'_, S>) {
        let get = |slot| seen.values.get(slot);
        let start = get(self.mass).max(1e-9);
        let none = S::from(0.0);
        let share = (seen.own[0] / start).max(none);
        let shape = share * (share * share + LAST_OF_IT * LAST_OF_IT).powf(-1.0 / 6.0);
        let area_0 = 6.0 * start / (ICE_DENSITY * get(self.piece));
        let excess = (seen.temperature_k - S::from(get(self.melting))).max(S::from(-BESIDE_ICE_K));
        let heat = shape * excess * (get(self.film) * area_0);
        let melting = heat / HEAT_OF_MELTING;
        out.rates[0] = -melting;
        out.heat_w = -(heat + melting * seen.enthalpy);
    }
}

static STATES: [OwnState; 1] =
    [OwnState { words: "ice", quantity: Some(&ICE), least: 0.0, scale: 1.0, moves_flows: false }];

impl Own for Ice {
    fn states(&self) -> &'static [OwnState] {
        &STATES
    }

    fn start(&self, values: &Values, _temperature_k: f64, own: &mut [f64]) {
        own[0] = values.get(self.mass);
    }

    /// Ice would melt before anything is steady, so a steady state has none.
    fn start_of_rest(&self, _values: &Values, own: &mut [f64]) {
        own[0] = 0.0;
    }

    /// Δm = −m: ice afloat displaces its own mass of coolant (Archimedes), and as it melts its water fills
    /// just that room. That it stands out of the surface takes no coolant's room.
    fn coolant_kg(&self, _values: &Values, own: &[f64]) -> f64 {
        -own[0].max(0.0)
    }

    fn stored_j(&self, _values: &Values, own: &[f64]) -> f64 {
        -own[0] * HEAT_OF_MELTING
    }
}
