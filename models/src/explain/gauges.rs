//! The laws of lagging thermometers.

use super::Explained;
use crate::ids::Id;
use crate::laws::card::Applied;
use crate::laws::cards::sheath::SHEATH;
use crate::simulate::Simulator;

/// All of them.
pub(super) fn explain(simulator: &Simulator<'_>, found: &mut Vec<Explained>) {
    for known in &simulator.setup.layout.gauges {
        let [lag, share] = simulator.setup.sheath(&simulator.settled, known.gauge);
        let law = Applied::other(&SHEATH, &[("τ₀", lag), ("x", share)]);
        found.push(Explained { id: Id::Gauge(known.gauge), law });
    }
}
