//! The laws of supplies that sag.

use super::Explained;
use crate::ids::Id;
use crate::laws::card::Applied;
use crate::laws::cards::supply::SAG;
use crate::simulate::Simulator;

/// All of them.
pub(super) fn explain(simulator: &Simulator<'_>, found: &mut Vec<Explained>) {
    let setup = &simulator.setup;
    for (s, supply) in setup.model.supplies.iter().enumerate() {
        let Some(sag) = supply.sag else { continue };
        let [open, resistance] = [sag.open, sag.resistance].map(|slot| setup.values.get(slot));
        let current = setup.drawn_a(&simulator.settled, s);
        let law = Applied::other(&SAG, &[("U₀", open), ("R", resistance), ("I", current)]);
        found.push(Explained { id: Id::Supply(s), law });
    }
}
