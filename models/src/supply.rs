//! Electric supplies: what a machine makes of the voltage of the one that feeds it, and how a supply sags under what all of
//! them draw.

use coolwright_solver::scalar::Scalar;

use crate::slots::{Reader, Slot, Values};

/// An electric supply.
#[derive(Clone, Debug)]
pub struct Supply {
    /// Its path.
    pub path: String,
    /// Voltage at its machines, V.
    pub voltage: Slot,
    /// What is behind that, where it sags.
    pub sag: Option<Sag>,
}

/// A source with a resistance between it and the machines.
#[derive(Clone, Copy, Debug)]
pub struct Sag {
    /// Voltage with nothing drawn, V.
    pub open: Slot,
    /// Resistance of battery, leads and joints, to the machines and back, Ω.
    pub resistance: Slot,
}

/// How long the voltage takes to follow the current, s (common practice, no source: the regulator of an alternator and the
/// windings of the motors take a tenth of a second).
const LAG_S: f64 = 0.1;

/// Machines find this share of the open voltage at the least: below that no controller works.
const LEAST: f64 = 0.05;

impl Sag {
    /// Voltage U at machines that draw the current I, V.
    ///
    /// `U = U₀ − R·I`
    pub fn terminal_v(&self, values: &Values, current_a: f64) -> f64 {
        values.get(self.open) - values.get(self.resistance) * current_a
    }

    /// How fast the voltage goes to the one that it is to have, V/s, and how that goes with the difference of the two:
    /// `dU/dt = (U₀ − R·I − U)/τ`.
    pub fn rate(&self, values: &Values, (voltage_v, current_a): (f64, f64)) -> [f64; 2] {
        [(self.terminal_v(values, current_a) - voltage_v) / LAG_S, 1.0 / LAG_S]
    }

    /// What machines find where the voltage is so, V.
    pub fn found_v(&self, values: &Values, voltage_v: f64) -> f64 {
        voltage_v.max(LEAST * values.get(self.open))
    }

    /// Whether its machines hold their power by drawing ever more: less is left than half of what it has with nothing drawn,
    /// the most that a source gives to what holds its power.
    pub fn collapses(&self, values: &Values, voltage_v: f64) -> bool {
        voltage_v < 0.5 * values.get(self.open)
    }
}

/// The speed of a machine over that of its curve, as command and voltage leave it, and whether the voltage holds it: the least
/// of what is commanded and what the voltage U allows, U/U₁ of that of its curve. What may be commanded beyond that is reached
/// at the rated voltage U₁. At any voltage what is commanded where that is `None`.
pub(crate) fn speed_allowed<S: Scalar>(
    values: &Reader<'_, S>,
    commanded: Slot,
    (voltage, rated): (Slot, Option<Slot>),
) -> (S, bool) {
    let commanded = values.get(commanded);
    let Some(rated) = rated else { return (commanded, false) };
    let most = commanded.max(S::from(1.0));
    let allowed = values.get(voltage) / values.get(rated) * most;
    if allowed.value() < commanded.value() { (allowed, true) } else { (commanded, false) }
}
