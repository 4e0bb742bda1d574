//! Pieces of a core whose face does not meet the same air everywhere.

use std::collections::BTreeSet;

use coolwright_models::air::{Core, Piece};
use coolwright_models::slots::Slot;

use super::{CoreEntry, EntryFall};
use crate::diagnostic::Problem;
use crate::file::{Case, Core as CoreSpec, Cut, PartSpec, Piece as PieceSpec};
use crate::lower::Names;
use crate::lower::context::{BORE, Bound, Context};
use crate::lower::roles::Role;
use crate::quantity::Fraction;
use crate::text::Spanned;

/// The names of all cores that are cut into pieces.
pub(in crate::lower) fn cut(case: &Case) -> BTreeSet<String> {
    let pieces = case.cores.values().filter_map(|core| core.piece.as_ref());
    pieces.map(|piece| piece.value.of.value.clone()).collect()
}

/// A core that is named where only a whole one or a piece can be.
pub(in crate::lower) fn no_core(context: &mut Context<'_>, names: &Names, name: &Spanned<String>) {
    if names.wholes.contains_key(&name.value) {
        let message = format!("the core `{}` is cut into pieces", name.value);
        let problem = Problem::error(name.span, message).label("name one of its pieces here");
        context.problems.push(problem);
        return;
    }
    let known: Vec<String> = names.cores.keys().cloned().collect();
    context.unknown(name.span, "core", &name.value, known.iter().map(String::as_str));
}

/// Pieces of one core meet their air side by side.
pub(super) fn one_in_a_row(context: &mut Context<'_>, case: &Case, row: &[Spanned<String>]) {
    let whole = |name: &Spanned<String>| {
        Some(case.cores.get(&name.value)?.piece.as_ref()?.value.of.value.as_str())
    };
    for (k, name) in row.iter().enumerate() {
        let Some(of) = whole(name) else { continue };
        let Some(other) = row[..k].iter().find(|other| whole(other) == Some(of)) else { continue };
        let message = format!("pieces of the core `{of}` stand one behind the other in the air");
        let problem = Problem::error(name.span, message).label("behind").also(other.span, "this");
        let help = "they are parts of one face: give each a lane of its own";
        context.problems.push(problem.help(help));
    }
}

/// Lowers a piece, once all that are whole are lowered.
pub(in crate::lower) fn lower(
    context: &mut Context<'_>,
    (case, names): (&Case, &Names),
    (name, index): (&Spanned<String>, usize),
    (spec, piece): (&CoreSpec, &Spanned<PieceSpec>),
) -> Option<(Core, CoreEntry)> {
    let of = &piece.value.of;
    let Some(whole) = names.wholes.get(&of.value) else {
        if case.cores.contains(&of.value) {
            let message = format!("the core `{}` is a piece itself", of.value);
            let problem = Problem::error(of.span, message).label("not a whole core");
            context
                .problems
                .push(problem.help("name the whole core; its pieces may be any number"));
            return None;
        }
        let wholes = case.cores.iter().filter(|(_, core)| core.piece.is_none());
        let known: Vec<&str> = wholes.map(|(name, _)| name.value.as_str()).collect();
        context.unknown(of.span, "core", &of.value, known);
        return None;
    };
    told_twice(context, spec, piece);
    let (whole, entry) = whole.clone()?;
    let EntryFall::Rated(mut drop) = entry.fall else {
        return by_dimensions(context, piece);
    };
    if entry.built.is_some() {
        return by_dimensions(context, piece);
    }
    let address = format!("cores/{}", name.value);
    let share = share(context, case, (&address, name), piece);
    let in_turn = cut_of(case, &of.value) == Cut::InTurn;
    let tubes = if in_turn { context.fixed(1.0) } else { share };
    let part = |context: &mut Context<'_>, slot| {
        context.derived(&[slot, share], move |values| values.get(slot) * values.get(share))
    };
    let blocked = ("blocked share", 0.0);
    let own = context.or_default(
        &format!("{address}:blocked"),
        spec.blocked,
        Bound::Within(0.0, 0.99),
        blocked,
    );
    if spec.blocked.is_none() {
        let all = whole.blocked;
        context.follows(own, &[all], move |values| values.get(all));
    }
    let volume = part(context, entry.volume);
    if in_turn {
        drop.fall = part(context, drop.fall);
    } else {
        drop.flow = part(context, drop.flow);
    }
    let bore = spec.bore.map(|b| context.given(&format!("{address}:bore"), b, BORE, "bore"));
    let core = Core {
        name: name.value.clone(),
        metal: part(context, whole.metal),
        face: whole.face.map(|face| part(context, face)),
        blocked: own,
        piece: Some(Piece { of: piece.value.of.value.clone(), face: share, tubes }),
        ..whole
    };
    let bore = bore.or(entry.bore);
    Some((core, CoreEntry { index, bore, built: None, fall: EntryFall::Rated(drop), volume }))
}

/// Of a core that is known by its dimensions each piece has its own.
fn by_dimensions(
    context: &mut Context<'_>,
    piece: &Spanned<PieceSpec>,
) -> Option<(Core, CoreEntry)> {
    let message = format!("the core `{}` is known by its dimensions", piece.value.of.value);
    let problem = Problem::error(piece.span, message).label("so it is not cut like this");
    let help =
        "describe each piece by its own `tubes` and `fins`: as long or as far across as it is";
    context.problems.push(problem.help(help));
    None
}

/// How a core is cut: as the first of its pieces says.
fn cut_of(case: &Case, whole: &str) -> Cut {
    let mut cuts = pieces_of(case, whole).filter_map(|(_, piece)| piece.value.cut);
    cuts.next().unwrap_or(Cut::SideBySide)
}

fn pieces_of<'a>(
    case: &'a Case,
    whole: &'a str,
) -> impl Iterator<Item = (&'a Spanned<String>, &'a Spanned<PieceSpec>)> {
    let pieces = case.cores.iter().filter_map(|(name, core)| Some((name, core.piece.as_ref()?)));
    pieces.filter(move |(_, piece)| piece.value.of.value == whole)
}

/// Pieces with tubes of their own stand in runs of their own, and all pieces of a core in one circuit.
pub(in crate::lower) fn check_places(context: &mut Context<'_>, case: &Case) {
    for whole in cut(case) {
        let in_turn = cut_of(case, &whole) == Cut::InTurn;
        let cut = |piece: &Spanned<PieceSpec>| piece.value.cut.unwrap_or(Cut::SideBySide);
        let mut cuts = pieces_of(case, &whole).map(|(_, piece)| piece);
        if let Some(first) = cuts.next()
            && let Some(other) = cuts.find(|other| cut(other) != cut(first))
        {
            let message = format!("the pieces of the core `{whole}` are cut in two ways");
            let problem = Problem::error(other.span, message)
                .label("this way")
                .also(first.span, "and that way");
            let help =
                "a core is cut along its tubes or across them: tell the same `cut` at each piece";
            context.problems.push(problem.help(help));
            continue;
        }
        let mut known: Vec<(&str, &str, &Spanned<String>)> = Vec::new();
        for (circuit, of) in &case.circuits {
            for (run, part) in
                of.runs.iter().flat_map(|(run, of)| of.parts.values().map(move |p| (run, p)))
            {
                let PartSpec::CoreSide { core, .. } = part else { continue };
                if !pieces_of(case, &whole).any(|(name, _)| name.value == core.value) {
                    continue;
                }
                let elsewhere = known.iter().find(|(other, ..)| *other != circuit.value);
                let beside = known.iter().find(|(_, other, _)| *other == run.value);
                if let Some((.., other)) = elsewhere {
                    let message =
                        format!("the pieces of the core `{whole}` stand in several circuits");
                    let problem = Problem::error(core.span, message)
                        .label("this piece")
                        .also(other.span, "another");
                    let help = "its tubes hold one coolant: describe a core for each circuit, with a rating of its own";
                    context.problems.push(problem.help(help));
                } else if let Some((.., other)) = beside.filter(|_| !in_turn) {
                    let message = format!(
                        "the pieces of the core `{whole}` have tubes of their own, and stand in one run"
                    );
                    let problem = Problem::error(core.span, message)
                        .label("one behind the other")
                        .also(other.span, "the first");
                    let help = "give each a run of its own between two joints, or cut the core across its tubes: `cut: InTurn`";
                    context.problems.push(problem.help(help));
                }
                let elsewhere = known.iter().find(|(_, other, _)| *other != run.value);
                if let Some((.., other)) = elsewhere.filter(|_| in_turn) {
                    let message = format!(
                        "the pieces of the core `{whole}` have all its tubes, and stand in several runs"
                    );
                    let problem = Problem::error(core.span, message)
                        .label("this piece")
                        .also(other.span, "another");
                    let help = "put them one behind the other into one run, or cut the core along its tubes: `cut: SideBySide`";
                    context.problems.push(problem.help(help));
                }
                known.push((&circuit.value, &run.value, core));
            }
        }
    }
}

/// What a piece tells beside its share is told at its whole.
fn told_twice(context: &mut Context<'_>, spec: &CoreSpec, piece: &Spanned<PieceSpec>) {
    let of = [
        ("rated", spec.rated.is_some()),
        ("table", spec.table.is_some()),
        ("tubes", spec.tubes.is_some()),
        ("fins", spec.fins.is_some()),
        ("conductance_scale", spec.conductance_scale.is_some()),
        ("fall", spec.fall.is_some()),
        ("air_fall", spec.air_fall.is_some()),
        ("air_falls", spec.air_falls.is_some()),
        ("air_falls_scale", spec.air_falls_scale.is_some()),
        ("volume", spec.volume.is_some()),
        ("metal", spec.metal.is_some()),
        ("face", spec.face.is_some()),
        ("coolant_share", spec.coolant_share.is_some()),
        ("air_exponent", spec.air_exponent.is_some()),
    ];
    for (field, _) in of.iter().filter(|(_, told)| *told) {
        let message = format!("`{field}` of a piece is told at the whole core");
        let whole = &piece.value.of.value;
        let problem = Problem::error(piece.span, message).label("this is a piece");
        context
            .problems
            .push(problem.help(format!("move it to `{whole}`: each piece has its share of that")));
    }
}

/// The share of a piece: what is told, or what the others leave.
fn share(
    context: &mut Context<'_>,
    case: &Case,
    (address, name): (&str, &Spanned<String>),
    piece: &Spanned<PieceSpec>,
) -> Slot {
    let whole = &piece.value.of.value;
    let told = |context: &Context<'_>, name: &str, spec: &PieceSpec| {
        let told = context.told(&format!("cores/{name}:share")).map(|(si, _)| si);
        told.or(spec.share.map(Fraction::si))
    };
    let shares: Vec<(String, Option<f64>)> = pieces_of(case, whole)
        .map(|(name, piece)| (name.value.clone(), told(context, &name.value, &piece.value)))
        .collect();
    let sum: f64 = shares.iter().filter_map(|(_, share)| *share).sum();
    let open = shares.iter().filter(|(_, share)| share.is_none()).count();
    let first = shares.first().is_some_and(|(first, _)| *first == name.value);
    if first && open > 0 && (sum - 1.0).abs() <= 1e-9 {
        let rest = shares.iter().find(|(_, share)| share.is_none());
        let rest = rest.map_or("", |(name, _)| name.as_str());
        let message = format!("nothing of the core `{whole}` is left for its piece `{rest}`");
        context.error(piece.span, message, "the shares of the others add up to 100 %");
    } else if first && sum > 1.0 + 1e-9 {
        let message = format!("the pieces of the core `{whole}` are more than all of it");
        let label = format!("their shares add up to {:.1} %", 100.0 * sum);
        context.error(piece.span, message, label);
    }
    let at = format!("{address}:share");
    let bound = Bound::Within(0.001, 1.0);
    let left = (1.0 - sum).max(0.0) / open.max(1) as f64;
    let slot = match piece.value.share {
        Some(share) => context.given(&at, share, bound, "share of a piece"),
        None => {
            context.or_default(&at, None::<Fraction>, bound, ("share of a piece", left.max(0.001)))
        }
    };
    context.cast(&at, Role::Structure);
    slot
}
