//! Restrictors, throttles, thermostats and barbs on their way from the file into the model.

use coolwright_models::laws::restriction::Inherent;
use coolwright_models::parts::{Barb, Restrictor, Throttle};
use coolwright_models::slots::Slot;

use super::thermostat;
use super::{Lowered, MOST_FALL_PA, Spot, own_bore, rated_flow};
use crate::diagnostic::Problem;
use crate::file::{Characteristic, PartSpec};
use crate::lower::Role;
use crate::lower::context::{BORE, Bound, Context};
use crate::lower::liquids::{Told, Warmth, liquid};
use crate::lower::usual::{
    BARB_ROUGHNESS, EQUAL_PERCENTAGE_LEAK, THROTTLE_LEAK, THROTTLE_OPENING, Usual,
};
use crate::quantity::{Fraction, Kind, Length, spoken};

/// A fall of a valve at its flow, Pa.
pub(super) const FALL: Bound = Bound::Within(1e-3, MOST_FALL_PA);
/// An opening: from shut to full open.
pub(super) const OPEN: Bound = Bound::Within(0.0, 1.0);
/// A leak: some coolant always gets past, so that the pressure behind a shut valve is defined.
pub(super) const LEAK: Bound = Bound::Within(1e-5, 0.5);

/// Lowers a part that narrows its run. `None` for any other part, and after a problem.
pub(super) fn part(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    match spec {
        PartSpec::Restrictor { bore } => Some(restrictor(context, spot, *bore)),
        PartSpec::Throttle { .. } => throttle(context, spot, spec),
        PartSpec::Thermostat { .. } => thermostat::thermostat(context, spot, spec),
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
