//! `compare`: variants side by side.

use coolwright_cases::lower::Ready;
use coolwright_models::ids::Id;

use super::Case;
use super::case::Built;
use super::cycle::{follow, no_duty};
use super::point::solve;
use crate::answer::{Answer, Topic, VariantAnswer, Verdict};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::assumptions::assumptions;
use crate::sections::beside::Beside;
use crate::sections::cautions::cautions;
use crate::sections::changed::{self, Changed};
use crate::sections::compare::{self, Found, Peaks, Variant};
use crate::sections::{check, conditions, cycle, verdict};
use crate::study::looked_at;
use crate::words::warnings::sentence;
use crate::workers::{self, Workers};

/// What the case is called where it stands beside its variants.
const BASE: &str = "as it stands";

/// By what variants are judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Judge {
    /// By the duty cycle where the case has one, else by the operating point.
    #[default]
    Usual,
    /// By the duty cycle.
    Cycle,
    /// By the operating point, all kept up for good.
    Point,
}

/// Solves the case and its variants.
pub(super) fn answer(
    case: &Case,
    only: &[String],
    by: Judge,
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    let names = chosen(case, only)?;
    // Whether the case as it stands can be solved is said in its column.
    let plain = case.build(None)?;
    let duty = !plain.duty.phases.is_empty();
    let over_cycle = over_cycle(&plain, by)?;
    let all: Vec<Option<&str>> =
        std::iter::once(None).chain(names.iter().map(|name| Some(name.as_str()))).collect();
    let variants = workers::map(workers, all.len(), |k| variant(case, all[k], over_cycle));
    let mut answer = Answer::new(Topic::Compare, &plain.title);
    let any = |verdict| variants.iter().any(|variant| variant.verdict() == verdict);
    let none_solved = variants.iter().all(|variant| variant.verdict() == Verdict::Unsolved);
    answer.verdict = Some(match (none_solved, any(Verdict::Broken)) {
        (true, _) => Verdict::Unsolved,
        (false, true) => Verdict::Broken,
        (false, false) if any(Verdict::NotJudged) || any(Verdict::Unsolved) => Verdict::NotJudged,
        (false, false) => Verdict::Holds,
    });
    let case_bars = Beside::of(&plain, None).case_bars;
    answer.sections = compare::summary(&variants, duty && !over_cycle, &case_bars);
    answer.sections.push(compare::judged_by(over_cycle, duty));
    answer.sections.extend(compare::ends(&variants));
    answer.sections.push(changed::changes(&variants));
    answer.sections.extend(compare::limits(&variants, over_cycle));
    answer.sections.extend(compare::pumps(&variants, over_cycle));
    answer.sections.extend(compare::totals(&variants, over_cycle));
    answer.sections.extend(compare::unsolved(&variants));
    answer.sections.push(compare::mind(&variants));
    answer.sections.push(assumptions(&plain, &variants[0].influences));
    answer.cautions = cautions(&plain, Vec::new());
    let one = |variant: Variant| VariantAnswer {
        verdict: variant.verdict(),
        beside: variant.told(),
        results: variant.results(),
        limits: variant.limits,
        name: variant.name,
        unsolved: variant.unsolved,
    };
    answer.variants = variants.into_iter().map(one).collect();
    Ok(answer)
}

/// Whether a case is judged by its duty cycle.
pub(super) fn over_cycle(plain: &Ready, by: Judge) -> Result<bool, Refusal> {
    match (by, !plain.duty.phases.is_empty()) {
        (Judge::Usual, duty) => Ok(duty),
        (Judge::Point, _) => Ok(false),
        (Judge::Cycle, true) => Ok(true),
        (Judge::Cycle, false) => Err(no_duty()),
    }
}

/// The variants to compare.
fn chosen(case: &Case, only: &[String]) -> Result<Vec<String>, Refusal> {
    let known: Vec<String> = case.reading.variants().map(str::to_owned).collect();
    let mut wanted: Vec<String> = Vec::new();
    for name in only {
        let mut of_name = case.reading.variants_of(name).peekable();
        if of_name.peek().is_none() {
            return Err(case.no_variant(name));
        }
        for name in of_name {
            if !wanted.iter().any(|known| known == name) {
                wanted.push(name.to_owned());
            }
        }
    }
    if known.is_empty() {
        let example = "{\"two_pumps\": Variant(change: [(\"main/loop/pump:count\", Series(2))])}";
        return Err(Refusal::said("the case has no variants to compare")
            .help(say!("for example variants: {example}", example = example)));
    }
    Ok(if only.is_empty() { known } else { wanted })
}

/// Solves one variant. What cannot be read, solved or judged is said in its column.
fn variant(case: &Case, name: Option<&str>, over_cycle: bool) -> Variant {
    let shown = name.unwrap_or(BASE).to_owned();
    let solved = case.built(name).and_then(|built| {
        if over_cycle { of_cycle(shown.clone(), &built) } else { of_point(shown.clone(), &built) }
    });
    let mut variant = solved.unwrap_or_else(|refusal| Variant::unsolved(shown, refusal.advice()));
    let (changes, price) =
        name.map_or_else(Default::default, |name| case.reading.changes_of(&case.sources, name));
    variant.note(changes, price);
    variant
}

/// A variant at its operating point.
fn of_point(name: String, built: &Built<'_>) -> Result<Variant, Refusal> {
    let values = built.ready.model.values.clone();
    let mut solved = solve(built, values, None).map_err(|error| built.unsolved(&error))?;
    let uncertain = solved.uncertainty(built)?;
    let influences = solved.sway(built, &uncertain, &workers::Alone);
    let verdict = solved.verdict();
    let details = verdict::details(&built.ready.model, &solved.judged);
    let counted = verdict::counted_details(&built.ready.model, &solved.judged);
    let found = looked_at(&built.ready, Some(&solved.point));
    let beside = solved.beside(built, &found);
    let mut warnings = check::costs(&found);
    warnings.extend(solved.point.warnings.iter().map(|w| sentence(&built.ready.model, w)));
    let outlook = verdict::outlook(&solved.judged);
    let held = conditions::held(&built.ready, &solved.point, solved.way.as_ref());
    Ok(Variant {
        name,
        verdict: beside.weighs(verdict),
        limits: Some(verdict::limits(&built.ready.model, &solved.judged)),
        judged: solved.judged,
        details,
        counted,
        outlook,
        ends: (!held.is_empty()).then_some(held),
        found: Found::Point(solved.point.results),
        unsolved: None,
        pumps: pumps(built),
        influences,
        beside,
        warnings,
        changed: Changed::default(),
    })
}

/// A variant over its duty cycle.
fn of_cycle(name: String, built: &Built<'_>) -> Result<Variant, Refusal> {
    let pumps = pumps(built);
    let mut places = compare::worth_comparing(&built.catalogue, &pumps);
    places.extend(built.limits.iter().filter_map(|limit| limit.index));
    places.sort_unstable();
    places.dedup();
    let followed = follow(built, Some(&places), &workers::Alone)?;
    let verdict = followed.verdict();
    let ready = &built.ready;
    let details = verdict::details(&ready.model, &followed.judged);
    let counted = verdict::counted_details(&ready.model, &followed.judged);
    let outlook = verdict::outlook(&followed.judged);
    let ends = followed.history.boiled.map(|boiled| cycle::boils(ready, boiled));
    let limits = Some(cycle::limits(ready, &followed.judged));
    let found = looked_at(ready, None);
    let beside = followed.beside(built, &found);
    let mut warnings = check::costs(&found);
    warnings.extend(followed.warnings.iter().map(|(_, w)| sentence(&ready.model, w)));
    Ok(Variant {
        name,
        verdict: beside.weighs(verdict),
        judged: followed.judged,
        limits,
        details,
        counted,
        outlook,
        ends,
        found: Found::Cycle(Peaks::of(&followed.history)),
        unsolved: None,
        pumps,
        influences: followed.influences,
        beside,
        warnings,
        changed: Changed::default(),
    })
}

/// The pumps of a case, several under one name as one.
fn pumps(built: &Built<'_>) -> Vec<String> {
    let model = &built.ready.model;
    let mut found = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        found.extend((0..circuit.groups.len()).map(|group| Id::Group(c, group)));
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                let grouped = circuit.groups.iter().any(|group| group.units.contains(&(r, p)));
                if placed.part.as_pump().is_some() && !grouped {
                    found.push(Id::Part(c, r, p));
                }
            }
        }
    }
    let mut paths: Vec<String> = found.into_iter().map(|id| model.address(id)).collect();
    paths.sort();
    paths
}
