//! The pressure survey: the pressure along every way the coolant takes, against its vapour pressure.

mod walk;

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Circuit, Cushion, Hold, ReferencePoint};
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;

use super::Scene;
use crate::answer::{Lay, Section, Sentence, Table, Value};
use crate::say;
use walk::Walk;

/// Margins as near as this are the same, Pa: the first of them is marked.
const SAME_PA: f64 = 0.5;
/// The survey of a circuit, from its pump round to it.
pub fn survey(scene: &Scene<'_>, c: usize) -> Section {
    let circuit = scene.circuit(c);
    let mut walk = Walk::new(scene, c);
    walk.all();
    let mut table = Table::new()
        .words("after", "after")
        .words("before", "before")
        .numbers("height", "height", Kind::Distance)
        .numbers("bore", "bore", Kind::Length)
        .numbers("velocity", "velocity", Kind::Velocity)
        .numbers("total", "total,\ngauge", Kind::PressureDifference)
        .numbers("static", "static,\ngauge", Kind::PressureDifference)
        .numbers("coolant", "coolant", Kind::Temperature)
        .numbers("vapour", "vapour,\nabs", Kind::PressureDifference)
        .may_go()
        .numbers("margin", "margin", Kind::PressureDifference)
        .words("mark", "");
    let margins = || walk.rows.iter().map(|row| row.as_ref().map_or(f64::INFINITY, |r| r.margin));
    let least = margins().fold(f64::INFINITY, f64::min);
    let lowest = margins().position(|margin| margin <= least + SAME_PA);
    for (k, row) in walk.rows.iter().enumerate() {
        match row {
            Some(row) => {
                table.row(scene.address(row.of), row.cells(lowest == Some(k)));
            }
            None => table.gap(),
        }
    }
    let vacuum = walk.rows.iter().flatten().any(|row| row.below_vacuum);
    let title = say!(
        "PRESSURE SURVEY of `{circuit}` along the flow, from the pump round to it; air of the site {air}",
        circuit = &circuit.name,
        air = scene.at(Id::Site, &q::AMBIENT),
    );
    let section = Section::new("survey", title).support().of(&circuit.name).table(table);
    let section = if scene.coolant(c).is_none_or(|coolant| coolant.has_vapour()) {
        section.aside(
            "static = total \u{2212} \u{bd}\u{3c1}v\u{b2}; margin = static + air of the site \u{2212} vapour: \
             below zero it boils there.",
            Lay::Paragraph,
        )
    } else {
        section.aside(
            "static = total \u{2212} \u{bd}\u{3c1}v\u{b2}; no vapour pressure of its liquid is told, so there is no margin \
             over it.",
            Lay::Paragraph,
        )
    };
    let section = if vacuum {
        section.say(
            "Where no pressure stands it would be below a perfect vacuum: these flows cannot be.",
            Lay::Paragraph,
        )
    } else {
        section
    };
    match tank(scene, c) {
        Some(tank) => section.aside(tank, Lay::Paragraph),
        None => section,
    }
}

/// The thing at whose place the pressure of a circuit is known.
fn reference(c: usize, circuit: &Circuit) -> Option<Id> {
    Some(match circuit.reference?.at {
        ReferencePoint::Part(run, part) => Id::Part(c, run, part),
        ReferencePoint::Junction(junction) => Id::Junction(c, junction),
    })
}

/// What makes the pressure in the tank at the reference, in words.
fn tank(scene: &Scene<'_>, c: usize) -> Option<Sentence> {
    let circuit = scene.circuit(c);
    let (held, path) = (circuit.reference?, circuit.reference_path()?);
    let id = reference(c, circuit)?;
    circuit.reference_tank()?;
    let still = "Inside it nothing moves: its ports stand under the gas and the coolant above them. A pipe \
                 loses its whole \u{bd}\u{3c1}v\u{b2} on entering it and half of one on leaving.";
    Some(match held.hold {
        Hold::Given(slot) => {
            let assumptions = &scene.ready.assumptions;
            let open = assumptions.iter().any(|assumption| assumption.slots.contains(&slot));
            say!(
                "`{tank}`: {pressure} over the surface, {why}. {still}",
                tank = path,
                pressure = scene.at(id, &q::GAS_PRESSURE),
                why =
                    if open { "without a cap, so open to the air" } else { "as the case gives it" },
                still = still,
            )
        }
        Hold::Cushion(cushion) => {
            let cushion = cushion_words(scene, c, &cushion, (&path, id));
            say!("{cushion} {still}", cushion = cushion, still = still)
        }
    })
}

/// The gas under a cap: how it was shut in, and what has become of it.
fn cushion_words(
    scene: &Scene<'_>,
    c: usize,
    cushion: &Cushion,
    (path, id): (&str, Id),
) -> Sentence {
    let get = |slot| scene.values.get(slot);
    let vapour = scene.coolant(c).map(|coolant| {
        Value::of(Kind::AbsolutePressure, coolant.vapour_pressure(get(cushion.filled_at)))
    });
    let air = scene.circuit(c).reference_tank().map_or(0.0, |room| get(room.air));
    let Some(cap) = scene.of(id, &q::CAP).filter(|_| scene.of(id, &q::GAS_VOLUME).is_some()) else {
        return say!("`{tank}`: what is in it has no steady state.", tank = path);
    };
    let since = match cap {
        0.0 => Sentence::from(
            ": (static + air of the site \u{2212} vapour) \u{b7} volume / absolute temperature is as when \
             filled.",
        ),
        1.0 => match scene.of(id, &q::LOST) {
            Some(lost) if lost > 0.0 => say!(
                ": shut in, it would stand above the cap, so gas has gone out, and {lost} of coolant with it.",
                lost = Value::of(Kind::Volume, lost)
            ),
            _ => ": shut in, it would stand above the cap, so gas has gone out.".into(),
        },
        _ => ": shut in, it would stand below the cap\u{2019}s vacuum, so air has come in.".into(),
    };
    say!(
        "`{tank}`: {pressure} of gas over the surface, {cap} (it opens at {opens} and lets air in at {vacuum} below the \
         air). Filled at {filled_at} and {filled} with {air} of air over {coolant} of coolant in all (vapour pressure {vapour}). \
         Since then the coolant has grown by {expansion} and the hoses by {swelling}, which leaves {gas} of gas at the \
         tank\u{2019}s temperature{since}",
        tank = path,
        pressure = scene.at(id, &q::GAS_PRESSURE),
        cap = match cap {
            1.0 => "CAP OPEN",
            -1.0 => "cap lets air in",
            _ => "cap shut",
        },
        opens = Value::of(Kind::GaugePressure, get(cushion.opens)),
        vacuum = Value::of(Kind::PressureDifference, get(cushion.vacuum)),
        filled_at = Value::of(Kind::Temperature, get(cushion.filled_at)),
        filled = Value::of(Kind::GaugePressure, get(cushion.fill_pressure)),
        air = Value::of(Kind::Volume, air),
        coolant = scene.at(Id::Circuit(c), &q::COOLANT_VOLUME),
        vapour = vapour,
        expansion = scene.at(id, &q::EXPANSION),
        swelling = scene.at(id, &q::SWELLING),
        gas = scene.at(id, &q::GAS_VOLUME),
        since = since,
    )
}
