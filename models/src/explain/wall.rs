//! The laws of hot walls.

use super::Explained;
use crate::ids::Id;
use crate::laws::GRAVITY;
use crate::laws::boiling::nucleate_w_m2_k3;
use crate::laws::card::Applied;
use crate::laws::cards::boiling as cards;
use crate::results::{Piece, pieces};
use crate::simulate::Simulator;

/// Those of the piece of each hot wall that the coolant meets first.
pub(super) fn explain(simulator: &Simulator<'_>, found: &mut Vec<Explained>) {
    for body in 0..simulator.setup.model.bodies.len() {
        let Some(piece) = pieces(simulator, body).next() else { continue };
        let laws = laws(simulator, &piece);
        found.extend(laws.into_iter().map(|law| Explained { id: Id::Body(body), law }));
    }
}

fn laws(simulator: &Simulator<'_>, piece: &Piece<'_>) -> Vec<Applied> {
    let get = |slot| simulator.setup.values.get(slot);
    let boils = &piece.cell.at;
    let (flux, surface_k) = piece.hottest_surface();
    let surface = get(piece.wall.surface);
    let liquid = [("L", boils.latent_heat), ("g", GRAVITY), ("ρ", boils.density)];
    let vapour = [("ρ_v", boils.vapour_density), ("σ", boils.surface_tension)];
    let heat_capacity = ("c", boils.heat_capacity);
    let mut nucleate = liquid.to_vec();
    nucleate.extend(vapour);
    nucleate.extend([heat_capacity, ("μ", boils.viscosity), ("λ", boils.conductivity)]);
    nucleate.push(("C", surface));
    let mut critical = liquid.to_vec();
    critical.extend(vapour);
    critical.extend([heat_capacity, ("D", boils.temperature_k - piece.cell.coolant_k)]);
    let at_surface = [
        ("h", piece.cell.film / piece.area),
        ("B", nucleate_w_m2_k3(boils, surface)),
        ("T_s", surface_k),
        ("T_c", piece.cell.coolant_k),
        ("T_b", boils.temperature_k),
    ];
    vec![
        Applied::other(&cards::WALL, &at_surface),
        Applied::other(&cards::NUCLEATE, &nucleate),
        Applied::other(&cards::ONSET, &[("q", flux), ("p", boils.pressure_pa)]),
        Applied::other(&cards::CRITICAL, &critical),
    ]
}
