//! `compare`: variants side by side.

use coolwright_models::ids::Id;
use coolwright_models::point::operating_point;
use coolwright_models::results::Results;

use super::case::Built;
use super::cycle::{Followed, follow};
use super::{Case, values};
use crate::answer::{Answer, Topic, VariantAnswer, Verdict};
use crate::refusal::Refusal;
use crate::say;
use crate::sections;
use crate::sections::compare::{self, Variant};
use crate::study::judge;
use crate::words::errors;
use crate::workers::{self, Workers};

/// What the case is called where it stands beside its variants.
const BASE: &str = "as it stands";

/// Solves the case and its variants.
pub(super) fn answer(
    case: &Case,
    only: &[String],
    over_cycle: bool,
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    let names = chosen(case, only)?;
    let all: Vec<Option<&str>> =
        std::iter::once(None).chain(names.iter().map(|name| Some(name.as_str()))).collect();
    let solved = workers::map(workers, all.len(), |k| variant(case, all[k], over_cycle));
    let variants = solved.into_iter().collect::<Result<Vec<Variant>, Refusal>>()?;
    let mut answer = Answer::new(Topic::Compare, "");
    let any = |verdict| variants.iter().any(|variant| variant.verdict() == verdict);
    answer.verdict = Some(match (any(Verdict::Unsolved), any(Verdict::Broken)) {
        (true, _) => Verdict::Unsolved,
        (false, true) => Verdict::Broken,
        (false, false) => Verdict::Holds,
    });
    answer.sections = vec![
        compare::summary(&variants),
        compare::limits(&variants, over_cycle),
        compare::pumps(&variants),
        compare::totals(&variants),
    ];
    answer.sections.extend(compare::unsolved(&variants));
    answer.sections.push(sections::caution());
    let one = |variant: Variant| VariantAnswer {
        verdict: variant.verdict(),
        results: variant.results.as_ref().map(|all| values(all, None)).unwrap_or_default(),
        name: variant.name,
        unsolved: variant.unsolved,
    };
    answer.variants = variants.into_iter().map(one).collect();
    Ok(answer)
}

/// The variants to compare.
fn chosen(case: &Case, only: &[String]) -> Result<Vec<String>, Refusal> {
    let known: Vec<String> = case.reading.variants().map(str::to_owned).collect();
    for name in only {
        if !known.contains(name) {
            return Err(case.no_variant(name));
        }
    }
    if known.is_empty() {
        let example = "{\"two_pumps\": Variant(change: [(\"main/loop/pump:count\", Series(2))])}";
        return Err(Refusal::said("the case has no variants to compare")
            .help(say!("for example variants: {example}", example = example)));
    }
    Ok(if only.is_empty() { known } else { only.to_vec() })
}

/// Solves one variant. What cannot be solved is said in its column; what cannot be read refuses all.
fn variant(case: &Case, name: Option<&str>, over_cycle: bool) -> Result<Variant, Refusal> {
    let built = case.built(name)?;
    let name = name.unwrap_or(BASE).to_owned();
    if over_cycle {
        return match follow(&built, None) {
            Ok(followed) => Ok(of_cycle(name, &built, &followed)),
            Err(refusal) => match refusal.message() {
                Some(why) => Ok(Variant::unsolved(name, why.clone())),
                None => Err(refusal),
            },
        };
    }
    let model = &built.ready.model;
    Ok(match operating_point(model, model.values.clone(), None) {
        Ok(point) => {
            let judged = judge(&built.limits, model, &point);
            let (results, pumps) = (Some(point.results), pumps(&built));
            Variant { name, judged, results, boils: false, unsolved: None, pumps }
        }
        Err(error) => Variant::unsolved(name, errors::sentence(model, &error)),
    })
}

/// A variant over a whole cycle: limits at their worst, results at the end of the hardest phase.
fn of_cycle(name: String, built: &Built<'_>, followed: &Followed) -> Variant {
    let history = &followed.history;
    let shares = &built.ready.duty.phases;
    let hardest = (0..history.phases.len())
        .rev()
        .max_by(|&a, &b| shares[a].power_share.total_cmp(&shares[b].power_share));
    let results = hardest.map(|phase| {
        let row = history.phases[phase].rows.end - 1;
        Results { catalogue: history.catalogue.clone(), values: history.rows[row][..].to_vec() }
    });
    let (judged, boils) = (followed.worst(), history.boiled.is_some());
    Variant { name, judged, results, boils, unsolved: None, pumps: pumps(built) }
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
