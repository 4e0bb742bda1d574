//! A case whose numbers are moved again and again: what a page solves while its reader moves them.

mod chosen;

use std::sync::Arc;

use coolwright_cases::case::Change;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::quantity::{Kind, parse};
use coolwright_models::instance::Instance;
use coolwright_models::model::Model;
use coolwright_models::point::OperatingPoint;

use super::case::Built;
use super::cycle::Way;
use super::histories::{Wanted, histories};
use super::point::{Solved, judged_at};
use super::trial::{Found, Trial, of_cycle};
use super::{Case, Lengths, check, cycle, point};
use crate::answer::{Answer, Sentence, Topic, Value};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::{conditions, verdict};
use crate::study::{Moment, looked_at};
use crate::workers::Alone;

/// What a variant is called that makes the changes of a reader.
pub const TRIED: &str = "tried";

/// A case that is solved anew for every change of its numbers, as a variant with these changes would be.
///
/// What it answers depends on what it is asked only, to the last bit, never on what it was asked before.
#[derive(Debug)]
pub struct Live {
    case: Case,
    /// Solves whatever differs by numbers alone; made once, and kept for as long as the program runs.
    warm: Instance<'static>,
    /// Whether there is a duty cycle.
    has_duty: bool,
}

impl Live {
    /// Takes a case. Its model as it stands is kept until the program ends: a page has one case, for good.
    ///
    /// # Errors
    /// When the case has faults that only building it shows.
    pub fn of(case: Case) -> Result<Self, Refusal> {
        let built = case.built_with(&[])?;
        let has_duty = !built.ready.duty.phases.is_empty();
        // An instance borrows its model, and both are wanted from one call to the next.
        let model: &'static Model = Box::leak(Box::new(built.ready.model));
        Ok(Self { case, warm: Instance::new(model), has_duty })
    }

    /// The case as it stands.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// Whether there is a duty cycle.
    pub fn has_duty(&self) -> bool {
        self.has_duty
    }

    /// The operating point with changes, at once: the verdict, what has no steady state, and the limits. What laws leave
    /// open (±) and what assumptions could change is left to [`Live::whole`].
    ///
    /// # Errors
    /// When the changes have faults, or the case cannot be solved with them.
    pub fn point(&mut self, changes: &[Change]) -> Result<Answer, Refusal> {
        let built = self.case.built_with(changes)?;
        let model = &built.ready.model;
        // What shares all that follows from its structure differs by numbers alone.
        let solved = if Arc::ptr_eq(&model.shared, &self.warm.model().shared) {
            solved(&mut self.warm, &built)
        } else {
            solved(&mut Instance::new(model), &built)
        }?;
        let mut answer = Answer::new(Topic::Point, &built.ready.title);
        let beside = solved.beside(&built, &looked_at(&built.ready, Some(&solved.point)));
        let stands = beside.weighs(solved.verdict());
        answer.verdict = Some(stands);
        answer.beside = verdict::told(model, &solved.judged, &beside);
        answer.sections = vec![
            verdict::line(model, &solved.judged, stands, &beside),
            conditions::held(&built.ready, &solved.point, solved.way.as_ref()),
            verdict::limits(model, &solved.judged),
        ];
        Ok(answer)
    }

    /// The duty cycle with changes: the verdict, the limits at their worst, and the histories of what they are on.
    ///
    /// # Errors
    /// When the changes have faults, the case cannot be followed with them, or it has no duty cycle.
    pub fn cycle(&self, changes: &[Change]) -> Result<Answer, Refusal> {
        let built = self.case.built_with(changes)?;
        let model = &built.ready.model;
        let wanted = Wanted::default().resolved(&built.catalogue)?;
        let Trial { judged, verdict: stands, beside, found, .. } = of_cycle(&built, Way::Whole)?;
        let mut answer = Answer::new(Topic::Cycle, &built.ready.title);
        answer.verdict = Some(stands);
        answer.beside = verdict::told(model, &judged, &beside);
        answer.sections.push(verdict::line(model, &judged, stands, &beside));
        if let Found::Cycle(history) = &found {
            let boils = |boiled| crate::sections::cycle::boils(&built.ready, boiled);
            answer.sections.extend(history.boiled.map(boils));
            let shown = judged.iter().filter(|judged| verdict::seen(judged).by_people());
            let columns =
                shown.filter_map(|judged| history.catalogue.find(&judged.limit.of)).collect();
            answer.histories = Some(histories(history, &wanted, columns));
        }
        answer.sections.push(crate::sections::cycle::limits(&built.ready, &judged));
        Ok(answer)
    }

    /// All that is answered about the case with changes, as of a case of its own.
    ///
    /// # Errors
    /// When the changes have faults, or the question has no answer.
    pub fn whole(&self, changes: &[Change], about: About) -> Result<Answer, Refusal> {
        if changes.is_empty() {
            return about.of(&self.case);
        }
        let case = self.case.as_changed(changes)?;
        let mut answer = about.of(&case)?;
        case.name_variant(&mut answer);
        Ok(answer)
    }

    /// Whether every change that is in quotation marks, at an address of a number, is a quantity of its kind: of others a
    /// variant would look for a field that the file does not have, which says nothing to who has typed a value.
    ///
    /// # Errors
    /// With what is wrong with the first that is none.
    pub fn quantities(&self, changes: &[Change]) -> Result<(), Refusal> {
        for Change { address, text } in changes.iter().filter(|change| change.text.starts_with('"'))
        {
            let entry = self.case.plain_ready().and_then(|ready| ready.addresses.get(address));
            let Some(entry) = entry else { continue };
            if let Err(error) = parse(entry.kind, text.trim_matches('"')) {
                let why = Value::spoken(&error.message);
                let refusal =
                    Refusal::said(say!("`{address}`: {why}", address = address, why = why));
                let helps = error.help.iter().map(|help| Sentence::spoken(help));
                return Err(helps.fold(refusal, Refusal::help));
            }
        }
        Ok(())
    }

    /// Of each change of a number its kind, what it is in the case and what it is moved to, SI; nothing of other changes.
    pub fn numbers(&self, changes: &[Change]) -> Vec<Option<(Kind, f64, f64)>> {
        let number = |change: &Change| {
            let entry = self.case.plain_ready()?.addresses.get(&change.address)?;
            let to = parse(entry.kind, change.text.trim_matches('"')).ok()?;
            Some((entry.kind, entry.value, to))
        };
        changes.iter().map(number).collect()
    }
}

/// What a page can be told whole. It is asked for by itself, not by a [`Question`](super::Question): what a page never
/// asks is then no part of the solver that it holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// Does it read, is the plumbing sensible?
    Check,
    /// The operating point.
    Point,
    /// The duty cycle.
    Cycle,
}

impl About {
    fn of(self, case: &Case) -> Result<Answer, Refusal> {
        match self {
            Self::Check => check::answer(case),
            Self::Point => point::answer(case, None, (&Moment::Full, false), &Alone),
            Self::Cycle => {
                let (wanted, lengths) = (Wanted::default(), Lengths::default());
                cycle::answer(case, None, (&wanted, lengths), &Alone)
            }
        }
    }
}

/// The line of a case file that makes these changes: an entry of `variants`.
pub fn variant_line(changes: &[Change]) -> String {
    let all =
        changes.iter().map(|Change { address, text }| format!("    (\"{address}\", {text}),\n"));
    format!("\"{TRIED}\": Variant(change: [\n{}]),", all.collect::<String>())
}

/// The operating point by an instance of the same structure.
fn solved(instance: &mut Instance<'_>, built: &Built<'_>) -> Result<Solved, Refusal> {
    let values = &built.ready.model.values;
    let found = instance.point(values, None).map_err(|error| built.unsolved(&error))?.clone();
    let warnings = instance.warnings();
    let coolwright_models::point::Solution { states, results, held, warming, steps, flows } = found;
    let point = OperatingPoint { states, results, held, warming, warnings, steps, flows };
    Ok(judged_at(built, values.clone(), point, None))
}

impl Case {
    /// The case with changes, as a variant that makes them, as a case of its own.
    ///
    /// # Errors
    /// With every problem.
    pub fn as_changed(&self, changes: &[Change]) -> Result<Self, Refusal> {
        let mut sources = self.sources.clone();
        let mut problems = Problems::new();
        let reading = self.reading.as_changed(&mut sources, changes, &mut problems);
        match reading.filter(|_| !problems.has_errors()) {
            Some(reading) => Ok(self.with(reading, sources, Some(TRIED.to_owned()))),
            None => Err(Refusal::faults(&sources, problems)),
        }
    }
}
