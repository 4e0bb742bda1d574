//! Ice in a stirred tank: it melts, which keeps the tank cold, and its water mixes with the coolant.

use coolwright_solver::scalar::Scalar;

use super::own::{Motion, Moves, Own, OwnState, Seen};
use crate::results::quantities::ICE;
use crate::slots::{Slot, Values};

/// Heat of melting of ice, J/kg, at 0 °C and atmospheric pressure (IAPWS R10-06).
pub const HEAT_OF_MELTING: f64 = 333_430.0;
/// Density of ice at 0 °C, kg/m³ (IAPWS R10-06).
pub const ICE_DENSITY: f64 = 916.7;
/// Melting point of ice, K.
pub const MELTING_K: f64 = 273.15;

/// Ice in a tank. Its state is the mass that is left, kg.
#[derive(Clone, Copy, Debug)]
pub struct Ice {
    /// Mass at the start, kg.
    pub mass: Slot,
    /// Film coefficient between the stirred coolant and the ice, W/(m²·K).
    pub film: Slot,
    /// Size of a piece, m: the edge of a cube of the same volume.
    pub piece: Slot,
}

/// Share of the ice below which its area goes in proportion to its mass, so that it does end.
const LAST_OF_IT: f64 = 1e-3;

impl Moves for Ice {
    /// q = h A (T − 0 °C), A = A₀ (m/m₀)^(2/3), A₀ = 6 m₀/(ρ e) for cubes of edge e. Near the last of
    /// the ice the area goes to zero in proportion to the mass, so that it does end. Ice does not form.
    /// The water comes into the tank at 0 °C, where its enthalpy is zero.
    fn motion<S: Scalar>(&self, seen: &Seen<'_, S>, out: &mut Motion<'_, S>) {
        let get = |slot| seen.values.get(slot);
        let start = get(self.mass).max(1e-9);
        let none = S::from(0.0);
        let share = (seen.own[0] / start).max(none);
        let shape = share * (share * share + LAST_OF_IT * LAST_OF_IT).powf(-1.0 / 6.0);
        let area_0 = 6.0 * start / (ICE_DENSITY * get(self.piece));
        let excess = (seen.temperature_k - S::from(MELTING_K)).max(none);
        let heat = shape * excess * (get(self.film) * area_0);
        let melting = heat / HEAT_OF_MELTING;
        out.rates[0] = -melting;
        out.heat_w = -(heat + melting * seen.enthalpy);
    }
}

static STATES: [OwnState; 1] =
    [OwnState { words: "ice", quantity: Some(&ICE), least: 0.0, scale: 1.0 }];

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

    fn coolant_kg(&self, values: &Values, own: &[f64]) -> f64 {
        values.get(self.mass) - own[0]
    }

    fn stored_j(&self, _values: &Values, own: &[f64]) -> f64 {
        -own[0] * HEAT_OF_MELTING
    }
}
