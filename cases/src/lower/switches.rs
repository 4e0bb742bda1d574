//! Switches on their way from the file into the model.

use coolwright_models::gauge::Reads;
use coolwright_models::model::Model;
use coolwright_models::slots::Slot;
use coolwright_models::switch::{Felt, Switch};

use super::context::{Bound, Context};
use super::machines::{machines_at, moved};
use crate::diagnostic::Problem;
use crate::file::{Case, SwitchSpec};
use crate::quantity::{Kind, parse};
use crate::text::Spanned;

/// Lowers the switches of all fans and pumps, once the gauges are known.
pub(super) fn lower(context: &mut Context<'_>, case: &Case, model: &mut Model) {
    for moved in moved(case) {
        let Some(spec) = moved.switch else { continue };
        if let Some(switch) = one(context, model, &moved.address, spec) {
            model.switches.push(switch);
        }
    }
    let of = |switch: &Switch| if switch.name.starts_with("air_paths/") { "fan" } else { "pump" };
    let mut kinds: Vec<&str> = model.switches.iter().map(of).collect();
    kinds.dedup();
    if !kinds.is_empty() {
        let kinds = kinds.join(" and ");
        context.notes.push(format!(
            "`point` has every switched {kinds} on; `cycle` switches them by what they feel."
        ));
    }
}

fn one(
    context: &mut Context<'_>,
    model: &Model,
    address: &str,
    spec: &SwitchSpec,
) -> Option<Switch> {
    let drives = machines_at(model, address);
    if drives.is_empty() {
        // What it belongs to could not be lowered, or the engine turns it; either has been complained about.
        return None;
    }
    let feels = feels(context, model, &spec.feels)?;
    let kind = match feels {
        Felt::Outlet(..) => Kind::Temperature,
        Felt::Gauge(gauge) => match model.gauges[gauge].reads {
            Reads::Temperature => Kind::Temperature,
            Reads::Pressure => Kind::GaugePressure,
            Reads::Flow => Kind::VolumeFlow,
        },
    };
    let on = threshold(context, &format!("{address}:on"), kind, &spec.on)?;
    let off = threshold(context, &format!("{address}:off"), kind, &spec.off)?;
    let [at_on, at_off] = [on, off].map(|slot| context.values.get(slot));
    let falls = kind != Kind::Temperature && at_off > at_on;
    if at_off >= at_on && !falls {
        let label = if kind == Kind::Temperature {
            "a switch goes off at a lower temperature than it goes on"
        } else {
            "it goes on and off at the same"
        };
        context.error(spec.off.span, "this switch would never rest", label);
        return None;
    }
    Some(Switch { name: address.to_owned(), feels, on, off, drives })
}

/// Where a switch changes.
fn threshold(
    context: &mut Context<'_>,
    address: &str,
    kind: Kind,
    text: &Spanned<String>,
) -> Option<Slot> {
    let (bound, what) = match kind {
        Kind::Temperature => (Bound::Within(223.15, 423.15), "temperature of a switch"),
        Kind::GaugePressure => (Bound::Within(-101_325.0, 5e6), "pressure of a switch"),
        _ => (Bound::Within(-1.0, 1.0), "flow of a switch"),
    };
    let si = match parse(kind, &text.value) {
        Ok(si) => si,
        Err(error) => {
            let problem =
                Problem::error(text.span, error.message).label("where this switch changes");
            context.problems.push(error.help.into_iter().fold(problem, Problem::help));
            return None;
        }
    };
    let (si, span) = context.told(address).unwrap_or((si, text.span));
    let si = context.check(si, span, kind, bound, what);
    let slot = context.addressed(address, kind, si, Some(text.span));
    context.bind(address, bound, what);
    Some(slot)
}

/// What a switch feels.
pub(super) fn feels(
    context: &mut Context<'_>,
    model: &Model,
    at: &Spanned<String>,
) -> Option<Felt> {
    let Some(name) = at.value.strip_prefix("gauges/") else {
        return place(context, model, at).map(|(c, r, p)| Felt::Outlet(c, r, p));
    };
    let found = model.gauges.iter().position(|gauge| gauge.name == name);
    if found.is_none() && context.structural == 0 {
        let known: Vec<String> =
            model.gauges.iter().map(|gauge| format!("gauges/{}", gauge.name)).collect();
        context.unknown(at.span, "gauge", &at.value, known.iter().map(String::as_str));
    }
    found.map(Felt::Gauge)
}

/// The part that a switch feels.
fn place(
    context: &mut Context<'_>,
    model: &Model,
    at: &Spanned<String>,
) -> Option<(usize, usize, usize)> {
    if context.has_failed(&at.value) {
        return None;
    }
    let mut known = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.automatic || placed.part.cells() == 0 {
                    continue;
                }
                let name = format!("{}/{}/{}", circuit.name, run.path, placed.name);
                if name == at.value {
                    return Some((c, r, p));
                }
                known.push(name);
            }
        }
    }
    if known.is_empty() {
        // No circuit could be lowered; that is complained about where it stands.
        context.structural += 1;
        return None;
    }
    known.extend(model.gauges.iter().map(|gauge| format!("gauges/{}", gauge.name)));
    context.unknown(
        at.span,
        "part that holds coolant, or gauge,",
        &at.value,
        known.iter().map(String::as_str),
    );
    None
}
