//! The way through a cooler's pass, an engine's jacket, or a core.

use coolwright_models::parts::{CoreFall, CoreTubes, Pass, TubesFall};
use coolwright_models::slots::Slot;

use super::{Lowered, Spot};
use crate::diagnostic::Problem;
use crate::file::PartSpec;
use crate::lower::air::{EntryFall, pieces};
use crate::lower::bodies::BodyEntry;
use crate::lower::context::{Bound, Context};
use crate::lower::exchangers;
use crate::quantity::{Count, Fraction, Length};
use crate::text::{Span, Spanned};

fn blocked(context: &mut Context<'_>, address: &str, blocked: Option<Fraction>) -> Slot {
    context.or_default(
        &format!("{address}:blocked"),
        blocked,
        Bound::Within(0.0, 0.99),
        ("blocked share", 0.0),
    )
}

fn height(context: &mut Context<'_>, address: &str, rise: Option<Length>) -> Option<Slot> {
    let bound = Bound::Within(-50.0, 50.0);
    rise.map(|rise| context.given(&format!("{address}:rise"), rise, bound, "rise"))
}

pub(super) fn pass(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Pass { cooler, pass, blocked: share, rise } = spec else { return None };
    let address = spot.address.clone();
    let rise = height(context, &address, *rise);
    let entry = body(context, spot, "cooler", cooler)?;
    let number = pass.map_or(1, Count::get);
    take_pass(context, spot, &entry, number, pass.map_or(cooler.span, Count::span))?;
    let share = blocked(context, &address, *share);
    Some(Lowered::One(Box::new(make_pass(&entry, "pass", share, rise))))
}

pub(super) fn jacket(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Jacket { engine, blocked: share, rise } = spec else { return None };
    let address = spot.address.clone();
    let rise = height(context, &address, *rise);
    let entry = body(context, spot, "engine", engine)?;
    take_pass(context, spot, &entry, 1, engine.span)?;
    let share = blocked(context, &address, *share);
    Some(Lowered::One(Box::new(make_pass(&entry, "jacket", share, rise))))
}

pub(super) fn exchanger_side(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::ExchangerSide { exchanger: name, side, blocked: share, rise } = spec else {
        return None;
    };
    let address = spot.address.clone();
    let rise = height(context, &address, *rise);
    let Some(sides) = spot.names.exchangers.get(&name.value) else {
        let known: Vec<String> = spot.names.exchangers.keys().cloned().collect();
        context.unknown(name.span, "exchanger", &name.value, known.iter().map(String::as_str));
        return None;
    };
    let number = exchangers::number(*side);
    let entry = sides[(number - 1) as usize].clone();
    if let Some(other) = spot.names.passes.insert((entry.index, number), spot.span) {
        let message =
            format!("the {} side of `{}` is already in a run", exchangers::word(*side), name.value);
        let problem = Problem::error(name.span, message).label("twice").also(other, "first here");
        context
            .problems
            .push(problem.help("an exchanger has two sides: `side: First` and `side: Second`"));
        return None;
    }
    let share = blocked(context, &address, *share);
    let pass = make_pass(&entry, "side", share, rise);
    Some(Lowered::One(Box::new(Pass { of_exchanger: true, ..pass })))
}

fn make_pass(entry: &BodyEntry, word: &'static str, blocked: Slot, rise: Option<Slot>) -> Pass {
    let BodyEntry { index, bore, channel, film, .. } = *entry;
    Pass { body: index, word, bore, channel, film, blocked, rise, of_exchanger: false }
}

fn body(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    what: &str,
    name: &Spanned<String>,
) -> Option<BodyEntry> {
    let map = if what == "engine" { &spot.names.engines } else { &spot.names.coolers };
    if let Some(entry) = map.get(&name.value) {
        return entry.clone();
    }
    let known: Vec<String> = map.keys().cloned().collect();
    context.unknown(name.span, what, &name.value, known.iter().map(String::as_str));
    None
}

/// Takes a pass of a body for this part; each can be taken once.
fn take_pass(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    entry: &BodyEntry,
    number: u32,
    span: Span,
) -> Option<()> {
    if number > entry.passes {
        let message = format!("`{}` has no pass {number}: it has {}", entry.name, entry.passes);
        let problem = Problem::error(span, message).label("no such pass");
        context.problems.push(problem.help(format!(
            "if it has that many, write `passes: {number}` at the cooler `{}`",
            entry.name
        )));
        return None;
    }
    match spot.names.passes.insert((entry.index, number), spot.span) {
        None => Some(()),
        Some(other) => {
            let message = if entry.passes == 1 {
                format!("`{}` is already in a run", entry.name)
            } else {
                format!("pass {number} of `{}` is already in a run", entry.name)
            };
            let problem =
                Problem::error(span, message).label("taken twice").also(other, "first here");
            context.problems.push(problem.help(how_to_pass_twice(spot, entry)));
            None
        }
    }
}

/// What to write where a body is passed through more than once.
fn how_to_pass_twice(spot: &Spot<'_>, entry: &BodyEntry) -> String {
    let name = entry.name.as_str();
    let runs = spot.case.circuits.values().flat_map(|circuit| circuit.runs.values());
    let parts = runs.flat_map(|run| run.parts.iter());
    let ways = parts.filter_map(|(part, spec)| match spec {
        PartSpec::Pass { cooler, pass, .. } if cooler.value == name => {
            Some((part.span, pass.map(Count::get)))
        }
        _ => None,
    });
    let ways: Vec<(Span, Option<u32>)> = ways.collect();
    if ways.is_empty() {
        let help = "an engine has one jacket: describe two banks or heads as two engines, each with its share";
        return help.to_owned();
    }
    let free = |number: &u32| ways.iter().all(|(_, pass)| *pass != Some(*number));
    let place = ways.iter().position(|(span, _)| *span == spot.span).unwrap_or(1);
    let count = u32::try_from(ways.len()).unwrap_or(u32::MAX).max(entry.passes);
    let place = u32::try_from(place + 1).unwrap_or(count);
    let number = if free(&place) { place } else { (2..=count).find(free).unwrap_or(count) };
    if entry.passes >= count {
        return format!("write `pass: {number}` here");
    }
    format!(
        "a cooler that several ways lead through has `passes: {count}`, and this way is one of them: \
         `Pass(cooler: \"{name}\", pass: {number})`"
    )
}

pub(super) fn core_side(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::CoreSide { core: name, rise } = spec else { return None };
    let rise = height(context, &spot.address, *rise);
    let Some(entry) = spot.names.cores.get(&name.value) else {
        pieces::no_core(context, spot.names, name);
        return None;
    };
    let entry = entry.clone()?;
    if let Some(other) = spot.names.core_runs.insert(entry.index, spot.span) {
        let message = format!("the core `{}` is already in a run", name.value);
        let problem = Problem::error(name.span, message).label("twice").also(other, "first here");
        let help = "describe two cores, one behind the other or side by side in the air, each with its own rating";
        context.problems.push(problem.help(help));
        return None;
    }
    let (drop, built) = match entry.fall {
        EntryFall::Rated(fall) => (CoreFall::Rated(fall), entry.built),
        EntryFall::Tubes { built, loss } => {
            let port = entry.bore.unwrap_or(spot.bore);
            (CoreFall::Tubes(TubesFall { built, loss, port }), Some(built))
        }
    };
    Some(Lowered::One(Box::new(CoreTubes {
        core: entry.index,
        bore: entry.bore,
        drop,
        built,
        volume: entry.volume,
        rise,
    })))
}
