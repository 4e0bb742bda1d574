//! The laws of what stands in the air of the bay.

use super::Explained;
use crate::ids::Id;
use crate::laws::card::Applied;
use crate::laws::cards::skin as cards;
use crate::laws::skin::{EMISSIVITY, STEFAN, Shape};
use crate::simulate::{Exposed, ExposedOf, Simulator};

/// Those of everything that stands in it.
pub(super) fn explain(simulator: &Simulator<'_>, found: &mut Vec<Explained>) {
    let setup = &simulator.setup;
    for (exposed, inside_k) in setup.layout.exposed.iter().zip(&simulator.settled.exposed_k) {
        let id = match exposed.of {
            ExposedOf::Part(index) => {
                let (c, r, p) = setup.layout.parts[index].at;
                Id::Part(c, r, p)
            }
            ExposedOf::Body(body) => Id::Body(body),
        };
        let laws = laws(simulator, exposed, *inside_k);
        found.extend(laws.into_iter().map(|law| Explained { id, law }));
    }
}

fn laws(simulator: &Simulator<'_>, exposed: &Exposed, inside_k: f64) -> Vec<Applied> {
    let setup = &simulator.setup;
    let values = &setup.values;
    let Some(skin) = exposed.skin(setup) else { return Vec::new() };
    let outside = skin.outside(values, &setup.model.bay, &setup.prepared.air);
    let wall = values.get(skin.wall);
    let (_, surface_k) = outside.through(inside_k, wall);
    let met = outside.met(surface_k);
    let (rising, blown) = match skin.shape {
        Shape::Lying => (&cards::RISING_ROUND, &cards::BLOWN_ROUND),
        Shape::Upright => (&cards::RISING_WALL, &cards::BLOWN_WALL),
    };
    let prandtl = ("Pr", met.prandtl);
    let [nu_r, nu_b] = outside.nusselt(&met);
    let given = [
        ("A", values.get(skin.area)),
        ("T_bay", outside.air_k),
        ("T_i", inside_k),
        ("R", wall),
        ("k", met.over_size),
        ("Nu_r", nu_r),
        ("Nu_b", nu_b),
        ("ε", EMISSIVITY),
        ("σ", STEFAN),
        ("T_s", surface_k),
    ];
    let mut laws = vec![
        Applied::other(&cards::THROUGH, &given),
        Applied::other(rising, &[("Ra", met.rayleigh), prandtl]),
    ];
    if met.reynolds > 0.0 {
        laws.push(Applied::other(blown, &[("Re", met.reynolds), prandtl]));
    }
    laws
}
