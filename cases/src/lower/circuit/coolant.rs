//! The coolant of a circuit: its mixture, and whether it is liquid at the start.

use coolwright_models::circuit::CoolantSpec;
use coolwright_models::fluids::{Base, Coolant, FluidError, Share};
use coolwright_models::slots::Slot;

use crate::diagnostic::Problem;
use crate::file::{Case, Circuit as CircuitSpec, CoolantMix};
use crate::lower::context::{Bound, Context};
use crate::lower::{by_name, mixture, tabled};
use crate::quantity::{Kind, spoken};
use crate::text::Spanned;

/// The coolant, checked against the range of its tables.
pub(in crate::lower) fn coolant(
    context: &mut Context<'_>,
    case: &Case,
    (name, spec): (&str, &CircuitSpec),
) -> CoolantSpec {
    let (base, value) = match mixture(&spec.coolant.value) {
        Ok(mixture) => mixture,
        Err(liquid) => {
            if let Some(table) = case.liquids.get(&liquid.value) {
                tabled::note(context, name, (&liquid.value, table));
            }
            return by_name(context, liquid);
        }
    };
    if let CoolantMix::EthyleneGlycol { by_volume, by_mass }
    | CoolantMix::PropyleneGlycol { by_volume, by_mass } = &spec.coolant.value
        && by_volume.is_some() == by_mass.is_some()
    {
        context.problems.push(
            Problem::error(
                spec.coolant.span,
                "give the share of glycol either by volume or by mass",
            )
            .label("one of them")
            .help("for example `EthyleneGlycol(by_volume: \"50 %\")`"),
        );
    }
    check_share(context, base, &spec.coolant.value);
    let address = format!("{name}:glycol");
    if base == Base::Water {
        return CoolantSpec::Mixture { base, share: context.fixed(0.0) };
    }
    let bound = Bound::Within(0.0, most_glycol(base, Share::ByVolume));
    if let Some((si, span)) = context.told(&address) {
        context.check(si, span, Kind::Fraction, bound, "share of glycol by volume");
    }
    let share = context.addressed(&address, Kind::Fraction, value, Some(spec.coolant.span));
    context.bind(&address, bound, "share of glycol by volume");
    CoolantSpec::Mixture { base, share }
}

/// The largest share of glycol for which there are properties.
fn most_glycol(base: Base, share: fn(f64) -> Share) -> f64 {
    match Coolant::new(base, share(2.0)) {
        Err(FluidError::OutOfRange { highest, .. }) => highest,
        Ok(_) => 1.0,
    }
}

/// Points at a share of glycol for which there are no properties.
fn check_share(context: &mut Context<'_>, base: Base, mix: &CoolantMix) {
    let (CoolantMix::EthyleneGlycol { by_volume, by_mass }
    | CoolantMix::PropyleneGlycol { by_volume, by_mass }) = mix
    else {
        return;
    };
    if let Some(given) = by_volume {
        let bound = Bound::Within(0.0, most_glycol(base, Share::ByVolume));
        context.checked(*given, bound, "share of glycol by volume");
    }
    if let Some(given) = by_mass {
        let bound = Bound::Within(0.0, most_glycol(base, Share::ByMass));
        context.checked(*given, bound, "share of glycol by mass");
    }
}

/// A circuit must not start as ice.
pub(super) fn check_frozen(
    context: &mut Context<'_>,
    case: &Case,
    (name, start): (&Spanned<String>, Slot),
    (spec, fluid): (&CircuitSpec, &Coolant),
) {
    let start = context.values.get(start);
    let freezing = fluid.freezing_point_k();
    if start.is_nan() || start >= freezing {
        return;
    }
    let (ice, remedy) = match fluid.table() {
        None => {
            ("its first ice forms at", "take more glycol, or give the circuit a warmer `start`")
        }
        Some(_) => (
            "it freezes or stops to flow at",
            "give the circuit a warmer `start`, or another liquid",
        ),
    };
    let message = format!(
        "the coolant of `{}` is frozen at the start: {ice} {}",
        name.value,
        spoken(Kind::Temperature, freezing)
    );
    let (span, label) = match (spec.start, case.site.air) {
        (Some(start), _) => (start.span(), "colder than that"),
        (None, Some(air)) => (air.span(), "the circuit starts as cold as this air"),
        (None, None) => (name.span, "as cold as the air"),
    };
    let problem =
        Problem::error(span, message).label(label).also(spec.coolant.span, "this coolant");
    context.value_error(problem.help(remedy));
}
