//! What stands between a circuit and its freezing.

use coolwright_cases::lower::{BuiltInKind, Ready};
use coolwright_models::circuit::Circuit;
use coolwright_models::model::Model;

use super::Limit;
use super::load::{Load, coldest_air_k};

/// By how much the air of the site is colder than the coolant of a limit against freezing freezes at, K.
pub(super) fn colder_air(limit: &Limit, model: &Model) -> Option<f64> {
    let circuit = guarded(limit, model)?;
    Some(freezes_k(circuit, model)? - model.values.get(model.site.temperature))
}

/// The circuit of a limit against freezing.
fn guarded<'a>(limit: &Limit, model: &'a Model) -> Option<&'a Circuit> {
    let own = limit.of.split(':').next()?;
    let freezing = limit.built_in == Some(BuiltInKind::Freezing);
    model.circuits.iter().find(|circuit| freezing && circuit.name == own)
}

/// The freezing point of the coolant of a circuit, K.
fn freezes_k(circuit: &Circuit, model: &Model) -> Option<f64> {
    Some(circuit.coolant.liquid(&model.values).ok()?.freezing_point_k())
}

/// Whether a limit is one against freezing and nothing is there that could freeze its circuit, whatever is assumed:
/// no air and no coolant that starts colder than it freezes at, and nothing that takes heat. Ice melts at the
/// freezing point of what surrounds it and cools no further.
pub(super) fn cannot_freeze(ready: &Ready, limit: &Limit) -> bool {
    let model = &ready.model;
    let Some(circuit) = guarded(limit, model) else { return false };
    let freezes_k = |circuit: &Circuit| freezes_k(circuit, model).unwrap_or(f64::NAN);
    let coldest_k = |circuit: &Circuit| {
        if circuit.has_ice() { freezes_k(circuit) } else { model.values.get(circuit.start) }
    };
    let mut all_k = model.circuits.iter().map(coldest_k).chain([coldest_air_k(ready)]);
    let load = Load::of(ready);
    let heated = (0..model.bodies.len()).all(|body| load.range_w(body)[0] >= 0.0);
    let freezes_k = freezes_k(circuit);
    heated && all_k.all(|of_k| of_k >= freezes_k - ROUNDING_K)
}

/// Temperatures closer than this are one, K.
const ROUNDING_K: f64 = 1e-6;
