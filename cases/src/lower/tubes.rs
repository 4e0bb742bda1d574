//! Passes of a cooler that are made of flat tubes.

use coolwright_models::circuit::CoolantSpec;
use coolwright_models::parts::{Channel, Film, Tubes};
use coolwright_models::slots::Slot;

use super::bodies::{film, film_factor, wall_and_turns};
use super::context::{BORE, Bound, Context};
use super::liquids::Warmth;
use crate::diagnostic::Problem;
use crate::file::{Cooler, FlatTubes};
use crate::quantity::{Kind, Length};
use crate::text::Spanned;

/// Bore of the ports, channel and film of a pass of flat tubes.
pub(super) fn pass(
    context: &mut Context<'_>,
    address: &str,
    (spec, circuit): (&Cooler, Option<CoolantSpec>),
    (given, bore): (&Spanned<FlatTubes>, Option<Slot>),
) -> Option<(Option<Slot>, Channel, Film)> {
    let twice = "the passes of this cooler are told twice";
    if let Some(length) = spec.length {
        context.error(length.span(), twice, "the tubes have a length of their own: leave this out");
        return None;
    }
    if spec.fall.is_some() {
        context.error(given.span, twice, "leave out either `tubes` or `fall`");
        return None;
    }
    let FlatTubes { count, width, height, length } = &given.value;
    let across = |context: &Context<'_>, what: &str, length: &Length| {
        context.told_or(&format!("{address}:tube_{what}"), *length)
    };
    if across(context, "height", height) > across(context, "width", width) {
        let problem = Problem::error(height.span(), "a flat tube is not higher than wide")
            .label("the narrow way")
            .also(width.span(), "the wide way");
        context.problems.push(problem);
        return None;
    }
    let number = f64::from(count.get());
    let address_of = |what: &str| format!("{address}:tube_{what}");
    let count = context.addressed(&address_of("count"), Kind::Count, number, Some(count.span()));
    context.bind(&address_of("count"), Bound::Within(1.0, 1000.0), "number of tubes");
    let height = context.given(&address_of("height"), *height, BORE, "height of a tube");
    let width = context.given(&address_of("width"), *width, BORE, "width of a tube");
    let most = Bound::Within(1e-3, 100.0);
    let length = context.given(&address_of("length"), *length, most, "length of a tube");
    let [roughness, loss] = wall_and_turns(context, address, spec);
    let tubes = Tubes { count, height, width, length, roughness };
    let film = match &spec.film {
        Some(spec) => film(context, address, spec, (Warmth::Bench, circuit)),
        None => Film::Flat { tubes, factor: film_factor(context, address, spec) },
    };
    Some((bore, Channel::Flat { tubes, loss }, film))
}
