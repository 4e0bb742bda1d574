//! Ramps of machines, and speeds that follow a temperature, on their way from the file into the model.

use coolwright_models::gauge::Reads;
use coolwright_models::govern::{Follows, Governor};
use coolwright_models::model::Model;
use coolwright_models::slots::Slot;
use coolwright_models::switch::Felt;

use super::context::{Bound, Context};
use super::machines::{machines_at, moved};
use super::switches::feels;
use crate::file::{Case, Follows as FollowsSpec};
use crate::quantity::{Kind, Time};

/// Lowers what governs the speeds of all fans and pumps, once the gauges are known.
pub(super) fn lower(context: &mut Context<'_>, case: &Case, model: &mut Model) {
    for moved in moved(case) {
        governed(context, model, &moved.address, (moved.follows, moved.ramp));
    }
}

/// Governs every machine at an address.
fn governed(
    context: &mut Context<'_>,
    model: &mut Model,
    address: &str,
    (spec, ramp): (Option<&FollowsSpec>, Option<Time>),
) {
    let machines = machines_at(model, address);
    if machines.is_empty() || (spec.is_none() && ramp.is_none()) {
        return;
    }
    let (at, bound) = (format!("{address}:ramp"), Bound::Within(0.05, 600.0));
    let ramp = context.or_default(&at, ramp, bound, ("time of a ramp", 2.0));
    let follows = spec.map(|spec| follows(context, model, spec));
    if follows.as_ref().is_some_and(Option::is_none) {
        return;
    }
    for machine in machines {
        let follows = follows.clone().flatten();
        model.governors.push(Governor { machine, ramp, follows });
    }
}

/// What a speed follows; `None` where that cannot be.
fn follows(context: &mut Context<'_>, model: &Model, spec: &FollowsSpec) -> Option<Follows> {
    let feels = feels(context, model, &spec.feels)?;
    if let Felt::Gauge(gauge) = feels
        && model.gauges[gauge].reads != Reads::Temperature
    {
        let label = "this gauge reads something else";
        context.error(spec.feels.span, "a speed follows a temperature here", label);
        return None;
    }
    let points = &spec.shares.value;
    if points.len() < 2 {
        let label = "a line needs two points";
        context.error(spec.shares.span, "a speed follows a temperature from point to point", label);
        return None;
    }
    for pair in points.windows(2) {
        if pair[1].0.si() <= pair[0].0.si() {
            let label = "no warmer than the one before";
            context.error(pair[1].0.span(), "the temperatures of a share rise", label);
            return None;
        }
    }
    let mut lowered: Vec<[Slot; 2]> = Vec::new();
    for (temperature, share) in points {
        let bound = Bound::Within(223.15, 523.15);
        let (si, span) = (temperature.si(), temperature.span());
        let temperature =
            context.check(si, span, Kind::Temperature, bound, "temperature of a share");
        let (si, span) = (share.si(), share.span());
        let share =
            context.check(si, span, Kind::Fraction, Bound::Within(0.0, 2.0), "share of a speed");
        lowered.push([context.fixed(temperature), context.fixed(share)]);
    }
    Some(Follows { feels, points: lowered })
}
