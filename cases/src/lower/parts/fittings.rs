//! Restrictors, throttles, thermostats and barbs on their way from the file into the model.

use coolwright_models::laws::restriction::Inherent;
use coolwright_models::parts::{Barb, Restrictor, Thermostat, Throttle};
use coolwright_models::slots::Slot;

use super::{Lowered, MOST_FALL_PA, Spot, assumed_flow, own_bore, rated_flow, usual_flow};
use crate::diagnostic::Problem;
use crate::file::{Characteristic, PartSpec, ThermostatSide};
use crate::lower::Role;
use crate::lower::context::{BORE, Bound, Context};
use crate::lower::liquids::{Told, Warmth, liquid};
use crate::lower::usual::{
    BARB_ROUGHNESS, EQUAL_PERCENTAGE_LEAK, THERMOSTAT_FALL, THERMOSTAT_LEAK, THERMOSTAT_OPENING,
    THROTTLE_LEAK, THROTTLE_OPENING, Usual,
};
use crate::quantity::{Fraction, Kind, Length, spoken};
use crate::text::Spanned;

/// A fall of a valve at its flow, Pa.
const FALL: Bound = Bound::Within(1e-3, MOST_FALL_PA);
/// An opening: from shut to full open.
const OPEN: Bound = Bound::Within(0.0, 1.0);
/// A leak: some coolant always gets past, so that the pressure behind a shut valve is defined.
const LEAK: Bound = Bound::Within(1e-5, 0.5);

/// Lowers a part that narrows its run. `None` for any other part, and after a problem.
pub(super) fn part(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    match spec {
        PartSpec::Restrictor { bore } => Some(restrictor(context, spot, *bore)),
        PartSpec::Throttle { .. } => throttle(context, spot, spec),
        PartSpec::Thermostat { .. } => thermostat(context, spot, spec),
        PartSpec::Barb { bore, length, to, roughness } => {
            Some(barb(context, spot, (*bore, *length), *to, *roughness))
        }
        _ => None,
    }
}

/// Says that a bore is not narrower than the one it sits in.
fn narrower(context: &mut Context<'_>, what: &str, (bore, slot): (Length, Slot), around: Slot) {
    let around = context.values.get(around);
    if bore.si().is_nan() {
        return;
    }
    if context.values.get(slot) >= around {
        let message = format!("the bore of this {what} is not below the bore that it sits in");
        context.problems.push(
            Problem::error(bore.span(), message)
                .label(format!("must be below {}", spoken(Kind::Length, around)))
                .help("the bore around it is that of the part before it, or of its run"),
        );
    }
}

fn restrictor(context: &mut Context<'_>, spot: &Spot<'_>, bore: Length) -> Lowered {
    let address = format!("{}:bore", spot.address);
    let hole = context.given(&address, bore, BORE, "bore");
    context.cast(&address, Role::Setting);
    narrower(context, "restrictor", (bore, hole), spot.before);
    Lowered::One(Box::new(Restrictor { bore: spot.before, hole }))
}

fn throttle(context: &mut Context<'_>, spot: &Spot<'_>, spec: &PartSpec) -> Option<Lowered> {
    let PartSpec::Throttle { fall, at, fluid, fluid_temperature, open, leak, characteristic, bore } =
        spec
    else {
        return None;
    };
    let address = &spot.address;
    let bore = own_bore(context, spot, *bore);
    let fall = context.given(&format!("{address}:fall"), *fall, FALL, "fall of pressure");
    let told = Told { fluid: fluid.as_ref(), temperature: *fluid_temperature };
    let circuit = spot.coolant(context);
    let liquid =
        liquid(context, &format!("{address}:"), (told, Some(*at)), (Warmth::Bench, circuit));
    let density = liquid.density(context);
    let flow = rated_flow(context, &format!("{address}:at"), *at, density);
    let open = opening(context, address, *open, THROTTLE_OPENING);
    let (inherent, assumed) = match characteristic {
        None | Some(Characteristic::Linear) => (Inherent::Linear, THROTTLE_LEAK.fixed()),
        Some(Characteristic::EqualPercentage) => {
            (Inherent::EqualPercentage, EQUAL_PERCENTAGE_LEAK.fixed())
        }
    };
    let leak = context.or_assumed(&format!("{address}:leak"), *leak, LEAK, assumed);
    Some(Lowered::One(Box::new(Throttle { bore, fall, flow, density, open, leak, inherent })))
}

fn thermostat(context: &mut Context<'_>, spot: &Spot<'_>, spec: &PartSpec) -> Option<Lowered> {
    let PartSpec::Thermostat { open, side, of, leak, bore, .. } = spec else { return None };
    let address = &spot.address;
    let bore = own_bore(context, spot, *bore);
    let [fall, flow, density] = thermostat_fall(context, spot, bore, spec)?;
    let bypass = *side == Some(ThermostatSide::Bypass);
    let mains = if bypass { mains(spot) } else { Vec::new() };
    let open = match (of, mains.as_slice()) {
        (Some(of), _) => shared_lift(context, spot, (of, *open), bypass)?,
        (None, [(main, of)]) if open.is_none() => follow(context, spot, (main, *of)),
        (None, mains) => {
            alone(context, address, mains);
            main_opening(context, address, *open)
        }
    };
    let leak = context.or_assumed(&format!("{address}:leak"), *leak, LEAK, THERMOSTAT_LEAK.fixed());
    Some(Lowered::One(Box::new(Thermostat { bore, fall, flow, density, open, leak, bypass })))
}

/// Says that nothing moves a thermostat, and which one could.
fn alone(context: &mut Context<'_>, address: &str, mains: &[(String, Option<Fraction>)]) {
    let stem = mains.first().map_or(String::new(), |(main, _)| {
        format!(" Nor does it shut as `{main}` opens: for that write `of: \"{main}\"` and leave its `open` out.")
    });
    context.notes.push(format!(
        "`{address}` stays as far open as its `open` says, or as a phase sets it: it does not follow the \
         temperature of the coolant. A real one shuts when that falls.{stem}"
    ));
}

/// The main valves in the circuit of a place: `run/part`, and its opening as the file has it.
fn mains(spot: &Spot<'_>) -> Vec<(String, Option<Fraction>)> {
    let circuit = spot.address.split('/').next().unwrap_or_default();
    let runs = spot.case.circuits.get(circuit).into_iter().flat_map(|circuit| &circuit.runs);
    let parts = runs.flat_map(|(run, spec)| spec.parts.iter().map(move |part| (run, part)));
    let found = parts.filter_map(|(run, (part, spec))| match spec {
        PartSpec::Thermostat { side: None | Some(ThermostatSide::Main), open, .. } => {
            Some((format!("{}/{}", run.value, part.value), *open))
        }
        _ => None,
    });
    found.collect()
}

/// The opening of a main valve of this circuit, shared with a bypass.
fn follow(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    (main, open): (&str, Option<Fraction>),
) -> Slot {
    let circuit = spot.address.split('/').next().unwrap_or_default();
    let address = format!("{circuit}/{main}");
    let slot = main_opening(context, &address, open);
    context.alias(&format!("{address}:open"), &format!("{}:open", spot.address), slot);
    slot
}

/// The opening of a thermostat; a bypass that stands before it in the file has made its slot.
fn main_opening(context: &mut Context<'_>, address: &str, open: Option<Fraction>) -> Slot {
    let known = context.slot(&format!("{address}:open"));
    known.unwrap_or_else(|| opening(context, address, open, THERMOSTAT_OPENING))
}

/// The opening of the thermostat that moves a bypass.
fn shared_lift(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    (of, open): (&Spanned<String>, Option<Fraction>),
    bypass: bool,
) -> Option<Slot> {
    if !bypass {
        let message = "`of` names the thermostat that moves a bypass";
        context.error(of.span, message, "add `side: Bypass`, or leave this out");
        return None;
    }
    if let Some(open) = open {
        let label = "its opening is that of the thermostat in `of`: leave this out";
        context.error(open.span(), "the opening of this bypass is told twice", label);
        return None;
    }
    let mains = mains(spot);
    let Some((main, open)) = mains.iter().find(|(main, _)| *main == of.value) else {
        let message = format!("`{}` is no thermostat of this circuit", of.value);
        context.error(of.span, message, "the `run/part` of the main valve");
        return None;
    };
    Some(follow(context, spot, (main, *open)))
}

/// Full-open fall and flow, both of the file or both assumed, and the density of the liquid of that.
fn thermostat_fall(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    bore: Option<Slot>,
    spec: &PartSpec,
) -> Option<[Slot; 3]> {
    let PartSpec::Thermostat { fall, at, fluid, fluid_temperature, .. } = spec else { return None };
    let address = &spot.address;
    let told = Told { fluid: fluid.as_ref(), temperature: *fluid_temperature };
    let circuit = spot.coolant(context);
    let liquid = liquid(context, &format!("{address}:"), (told, *at), (Warmth::Bench, circuit));
    let density = liquid.density(context);
    match (*fall, *at) {
        (Some(fall), Some(at)) => {
            let fall = context.given(&format!("{address}:fall"), fall, FALL, "fall of pressure");
            Some([fall, rated_flow(context, &format!("{address}:at"), at, density), density])
        }
        (None, None) => {
            let fall = context.assumed(&format!("{address}:fall"), THERMOSTAT_FALL.fixed());
            let around = bore.unwrap_or(spot.bore);
            let flow = assumed_flow(context, &format!("{address}:at"), 0.0);
            context.follows(flow, &[around], move |values| usual_flow(values, around));
            Some([fall, flow, density])
        }
        _ => {
            context.problems.push(
                Problem::error(spot.span, "a thermostat's `fall` and `at` belong together")
                    .label("one of the two is missing")
                    .help("for example `fall: \"{one PressureDifference}\", at: \"{one VolumeFlow}\"`, both full open"),
            );
            None
        }
    }
}

fn barb(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    (bore, length): (Length, Length),
    to: Option<Length>,
    roughness: Option<Length>,
) -> Lowered {
    let address = &spot.address;
    let narrow = context.given(&format!("{address}:bore"), bore, BORE, "bore");
    narrower(context, "barb", (bore, narrow), spot.before);
    let to = to.map_or(spot.before, |to| {
        let slot = context.given(&format!("{address}:to"), to, BORE, "bore");
        narrower(context, "barb", (bore, narrow), slot);
        slot
    });
    let length = context.given(
        &format!("{address}:length"),
        length,
        Bound::Within(1e-4, 1.0),
        "length of a barb",
    );
    let roughness = context.or_assumed(
        &format!("{address}:roughness"),
        roughness,
        Bound::NotNegative,
        BARB_ROUGHNESS.fixed(),
    );
    Lowered::One(Box::new(Barb { from: spot.before, bore: narrow, to, length, roughness }))
}

fn opening(context: &mut Context<'_>, address: &str, open: Option<Fraction>, usual: Usual) -> Slot {
    context.or_assumed(&format!("{address}:open"), open, OPEN, usual.fixed())
}
