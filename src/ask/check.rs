//! `check`: does the case read, is the plumbing complete and sensible?

use coolwright_cases::diagnostic::Problems;
use coolwright_models::point::operating_point;

use super::Case;
use crate::answer::{Answer, Lay, Section, Topic, Verdict};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::cautions::cautions;
use crate::sections::{self, check};
use crate::study;

/// With more runs than this a case is looked at without its heat, which would take much longer than all else.
const MOST_RUNS: usize = 10_000;

/// Builds a case and its variants, solves its flows once, and says what was found.
pub(super) fn answer(case: &Case) -> Result<Answer, Refusal> {
    let built = case.built(None)?;
    let faulty = case.faulty_variants(&built.catalogue);
    let ready = &built.ready;
    let runs: usize = ready.model.circuits.iter().map(|circuit| circuit.runs.len()).sum();
    // A case without a steady state is one for `cycle`.
    let point = if runs > MOST_RUNS {
        None
    } else {
        operating_point(&ready.model, ready.model.values.clone(), None).ok()
    };
    let mut findings =
        study::findings(ready, point.as_ref()).map_err(|error| built.unsolved(&error))?;
    if runs > MOST_RUNS {
        findings.statements.push(format!(
            "The {runs} runs are looked at as they start, without the heat: `point` solves that too."
        ));
    }
    let mut faults = Problems::new();
    for (place, (name, problems)) in faulty.into_iter().enumerate() {
        findings.list.insert(place, study::variant_with_faults(name, &problems, &case.sources));
        faults.extend(problems);
    }
    let mut answer = Answer::new(Topic::Check, &ready.title);
    let results = say!("{results} results", results = built.catalogue.entries().len());
    // The exit status: a serious finding is a case that will not work.
    answer.verdict = findings.serious().then_some(Verdict::Broken);
    answer.sections = vec![
        check::findings(&findings),
        check::statements(&findings),
        check::read(ready, case.reading.variants().count()),
        check::assumed(ready),
        sections::notes(ready),
        Section::plain("results").for_programs().say(results, Lay::Lines),
    ];
    answer.cautions = cautions(ready, Vec::new());
    answer.faults = faults.has_errors().then(|| case.faults(faults));
    Ok(answer)
}
