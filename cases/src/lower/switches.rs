//! Switches on their way from the file into the model.

use coolwright_models::model::{Model, Switch};

use super::context::{Bound, Context};
use crate::file::{Case, SwitchSpec};
use crate::text::Spanned;

/// The range of temperatures that a switch is made for, K.
const SWITCHING: Bound = Bound::Within(223.15, 423.15);

/// Lowers the switches of all fans.
pub(super) fn lower(context: &mut Context<'_>, case: &Case, model: &mut Model) {
    for (path, spec) in &case.air_paths {
        for (fan, spec) in &spec.fans {
            let Some(switch) = &spec.switch else { continue };
            let address = format!("air_paths/{}/{}", path.value, fan.value);
            if let Some(switch) = one(context, model, &address, switch) {
                model.switches.push(switch);
            }
        }
    }
    if !model.switches.is_empty() {
        context.notes.push(
            "`point` has every switched fan on; `cycle` switches them by temperature.".to_owned(),
        );
    }
}

fn one(
    context: &mut Context<'_>,
    model: &Model,
    address: &str,
    spec: &SwitchSpec,
) -> Option<Switch> {
    let feels = place(context, model, &spec.feels)?;
    let on = context.given(&format!("{address}:on"), spec.on, SWITCHING, "temperature of a switch");
    let off =
        context.given(&format!("{address}:off"), spec.off, SWITCHING, "temperature of a switch");
    if context.values.get(off) >= context.values.get(on) {
        let label = "a switch goes off at a lower temperature than it goes on";
        context.error(spec.off.span(), "this switch would never rest", label);
        return None;
    }
    let machines = model.machines.iter().enumerate();
    let drives = machines.filter(|(_, m)| m.answers_to(address)).map(|(m, _)| m).collect();
    Some(Switch { name: address.to_owned(), feels, on, off, drives })
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
    context.unknown(
        at.span,
        "part that holds coolant",
        &at.value,
        known.iter().map(String::as_str),
    );
    None
}
