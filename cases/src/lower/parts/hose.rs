//! Hoses: length or route, bends, height.

use coolwright_models::parts::{Bend, Hose};
use coolwright_models::slots::Slot;

use super::{Lowered, Spot, own_bore};
use crate::diagnostic::Problem;
use crate::file::{BendSpec, PartSpec};
use crate::lower::context::{Bound, Context};
use crate::lower::plumbing::HoseWay;
use crate::lower::usual::{BEND_RADIUS, ROUGHNESS, SWELLING};
use crate::lower::{Role, routes, skins};
use crate::quantity::{Fraction, Kind, Length};
use crate::text::Span;

pub(super) fn hose(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Hose {
        length,
        route,
        bend_radius,
        bends,
        bore,
        roughness,
        rise,
        loss,
        swelling,
        wall,
    } = spec
    else {
        return None;
    };
    let address = spot.address.clone();
    let bore = own_bore(context, spot, *bore).unwrap_or(spot.bore);
    check_hose(context, (&spot.address, spot.span), spec);
    let path = (!route.is_empty()).then(|| routes::path(context, route, *bend_radius));
    let length_m = match (length, path.as_ref().and_then(Option::as_ref)) {
        (Some(length), _) => {
            let (si, span) =
                context.told(&format!("{address}:length")).unwrap_or((length.si(), length.span()));
            context.check(si, span, Kind::Length, Bound::Within(1e-4, 1e3), "length of a hose")
        }
        (None, Some(path)) => path.length_m,
        (None, None) => {
            if route.is_empty() {
                let message = "this hose has neither a length nor a route";
                context.absent(spot.span, message, "add `length: \"{one Distance}\"`");
            }
            return None;
        }
    };
    let length_span = length.map(Length::span);
    let length =
        context.addressed(&format!("{address}:length"), Kind::Length, length_m, length_span);
    context.bind(&format!("{address}:length"), Bound::Within(1e-4, 1e3), "length of a hose");
    let roughness = context.or_assumed(
        &format!("{address}:roughness"),
        *roughness,
        Bound::NotNegative,
        ROUGHNESS.fixed(),
    );
    let loss = context.or_default(
        &format!("{address}:loss"),
        *loss,
        Bound::NotNegative,
        ("loss coefficient", 0.0),
    );
    let corners =
        path.as_ref().and_then(Option::as_ref).map_or_else(Vec::new, |p| p.corners.clone());
    let route_rise = path.as_ref().and_then(Option::as_ref).map(|p| p.rise_m);
    if route_rise.is_some() {
        context.cast(&format!("{address}:length"), Role::OfRoute);
    }
    let rise = match (rise, route_rise) {
        (Some(rise), _) => {
            context.given(&format!("{address}:rise"), *rise, Bound::Within(-50.0, 50.0), "rise")
        }
        (None, known) => {
            if let Some((si, span)) = context.told(&format!("{address}:rise")) {
                context.check(si, span, Kind::Length, Bound::Within(-50.0, 50.0), "rise");
            }
            context.addressed(&format!("{address}:rise"), Kind::Length, known.unwrap_or(0.0), None)
        }
    };
    context.bind(&format!("{address}:rise"), Bound::Within(-50.0, 50.0), "rise");
    if route_rise.is_some() {
        context.cast(&format!("{address}:rise"), Role::OfRoute);
    }
    let swelling = swelling_of(context, spot, *swelling);
    let bore_m = context.values.get(bore);
    let way = HoseWay::of(spec, bore_m);
    context.hoses.insert(address.clone(), way);
    let mut lowered = Vec::new();
    for (k, bend) in bends.iter().enumerate() {
        lowered.push(hose_bend(context, &format!("{address}:bend_{}", k + 1), bend, bore));
    }
    if let Some(path) = path.flatten() {
        lowered.extend(routed_bends(context, &address, &path.bends, bore));
    }
    let skin = skins::of_hose(context, &address, [bore, length], *wall);
    let cells = context.count(move |values| Hose::cells_for(values.get(length), values.get(bore)));
    Some(Lowered::One(Box::new(Hose {
        bore,
        length,
        roughness,
        loss,
        rise,
        swelling,
        bends: lowered,
        corners,
        cells,
        skin,
    })))
}

/// Bends that follow from a route: angle, and radius where it is told.
fn routed_bends(
    context: &mut Context<'_>,
    address: &str,
    bends: &[(f64, Option<f64>)],
    bore: Slot,
) -> Vec<Bend> {
    let mut lowered = Vec::new();
    for (k, (angle, radius)) in bends.iter().enumerate() {
        let name = format!("{address}:bend_{}", k + 1);
        let angle = context.addressed(&name, Kind::Angle, *angle, None);
        context.cast(&name, Role::OfRoute);
        let routed = radius.is_some();
        let radius = radius_slot(context, &name, radius.map(|r| (r, None)), bore);
        if routed {
            context.cast(&format!("{name}_radius"), Role::OfRoute);
        }
        lowered.push(Bend { angle, radius, count: context.fixed(1.0) });
    }
    lowered
}

/// What a hose swells by. It changes something only under a cap, so only there it is an assumption.
fn swelling_of(context: &mut Context<'_>, spot: &Spot<'_>, given: Option<Fraction>) -> Slot {
    let address = format!("{}:swelling", spot.address);
    let bound = Bound::Within(0.0, 0.2);
    if given.is_none() && !spot.capped {
        return context.or_default(&address, given, bound, (SWELLING.what, SWELLING.value));
    }
    context.or_assumed(&address, given, bound, SWELLING.fixed())
}

/// A hose tells its way once: by its length and bends, or by its route.
fn check_hose(context: &mut Context<'_>, (address, part): (&str, Span), spec: &PartSpec) {
    let PartSpec::Hose { length, route, bend_radius, bends, rise, .. } = spec else { return };
    let routed = !route.is_empty();
    let twice = "this hose tells its way twice";
    if let (true, Some(length)) = (routed, length) {
        let label = "its route gives a length: leave one of them out";
        context.error(length.span(), twice, label);
    }
    if let (true, Some(bend)) = (routed, bends.first()) {
        let label = "its route gives the bends: leave one of them out";
        context.error(bend.angle.span(), twice, label);
    }
    if let (true, Some(rise)) = (routed, rise) {
        let label = "its route gives the rise: leave one of them out";
        context.error(rise.span(), twice, label);
    }
    if let (false, Some(radius)) = (routed, bend_radius) {
        context.problems.push(
            Problem::error(radius.span(), "`bend_radius` is that of the corners of a route")
                .label("this hose has no route")
                .help("give the radius with the bend: `bends: [Bend(angle: \"90°\", radius: \"{one Length}\")]`")
                .also(part, "this hose"),
        );
    }
    let rise =
        context.told(&format!("{address}:rise")).or(rise.map(|rise| (rise.si(), rise.span())));
    if let (Some(length), Some((rise, span))) = (length, rise) {
        let length_m = context.told_or(&format!("{address}:length"), *length);
        if rise.abs() > length_m * (1.0 + 1e-9) && length_m > 0.0 {
            let problem = Problem::error(span, "a hose cannot rise more than it is long")
                .label("more than its length")
                .also(length.span(), "its length");
            context.value_error(problem);
        }
    }
}

/// Bends of one line of the file.
fn hose_bend(context: &mut Context<'_>, address: &str, bend: &BendSpec, bore: Slot) -> Bend {
    let angle = context.given(
        address,
        bend.angle,
        Bound::Within(0.01, 2.0 * std::f64::consts::PI),
        "angle of a bend",
    );
    let radius = bend.radius.map(|r| (r.si(), Some(r.span())));
    let radius = radius_slot(context, address, radius, bore);
    let bound = Bound::Within(1.0, 1e4);
    let count_address = format!("{address}_count");
    let count = context.or_default(&count_address, bend.count, bound, ("number of bends", 1.0));
    Bend { angle, radius, count }
}

/// The radius of a bend: given, with its place where it has one, or assumed.
fn radius_slot(
    context: &mut Context<'_>,
    address: &str,
    radius: Option<(f64, Option<Span>)>,
    bore: Slot,
) -> Slot {
    let address = format!("{address}_radius");
    let (what, bound) = ("bend radius", Bound::Within(1e-3, 50.0));
    let told = context.told(&address);
    let given = radius.and_then(|(si, span)| span.map(|span| (si, span)));
    if let Some((si, span)) = told.or(given) {
        context.check(si, span, Kind::Length, bound, what);
    }
    let slot = if let Some((radius, span)) = radius {
        context.addressed(&address, Kind::Length, radius, span)
    } else {
        let bore_m = context.values.get(bore);
        let slot = context.assumed(&address, BEND_RADIUS.of(bore_m));
        context.follows(slot, &[bore], move |values| BEND_RADIUS.at(values.get(bore)))
    };
    context.bind(&address, bound, what);
    slot
}
