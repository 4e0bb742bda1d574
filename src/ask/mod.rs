//! From the texts of a case and a question to an answer.
//!
//! ```
//! use coolwright::ask::{Case, Moment, Question};
//! use coolwright::render::{Extent, Style, text};
//! use coolwright::workers::Alone;
//!
//! let mut no_includes = |name: &str| Err(format!("there is no {name}"));
//! let case = Case::read("first.ron", coolwright_cases::STARTER, &mut no_includes).expect("it reads");
//! let question = Question::Point { variant: None, moment: Moment::Full, off: false };
//! let answer = case.ask(&question, &Alone).expect("it can be solved");
//! assert!(text::text(&Style::SI, &answer, &Extent::Short).starts_with("VERDICT  BROKEN"));
//! ```

mod case;
mod chance;
mod check;
mod compare;
mod cycle;
mod day;
mod failures;
pub mod grid;
mod histories;
mod lasting;
mod learn;
mod levers;
mod live;
mod point;
mod report;
mod sheets;
mod size;
mod trial;
mod unsolved;
mod why;

pub use crate::study::Moment;
pub use case::Case;
pub use chance::Chance;
pub use compare::Judge;
pub use day::Day;
pub use grid::{Grid, Over};
pub use histories::Wanted;
pub use lasting::Lengths;
pub use learn::{Balance, Learnt, Next, NextStep, NoBalance, Open, SURER};
pub use live::{About, Live, TRIED, variant_line};
pub use report::Study;
pub use size::Size;
pub use why::Why;

use coolwright_cases::case::Fetch;
use coolwright_models::ids::Id;
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;
use coolwright_models::uncertainty::Uncertainty;

use crate::answer::kinds::can_stand;
use crate::answer::{Answer, Block, Lay, ResultValue, Weight};
use crate::refusal::Refusal;
use crate::say;
use crate::workers::Workers;

/// What can be asked of a case.
#[derive(Clone, Debug)]
pub enum Question {
    /// Does it read, is the plumbing complete and sensible?
    Check,
    /// One operating point.
    Point {
        /// The variant to solve instead of the case as it stands.
        variant: Option<String>,
        /// Which moment is surveyed.
        moment: Moment,
        /// Whether what it may be off by and what assumptions could change is worked out however many runs there are;
        /// else with 2,000 at most, as it would take much longer than all else.
        off: bool,
    },
    /// The duty cycle.
    Cycle {
        /// The variant to follow instead of the case as it stands.
        variant: Option<String>,
        /// Which results are wanted over time.
        wanted: Wanted,
        /// Which lengths of its phases are sought.
        lengths: Lengths,
    },
    /// Variants side by side.
    Compare {
        /// Only these; all of them where empty.
        only: Vec<String>,
        /// By what they are judged.
        by: Judge,
    },
    /// Which change moves which limit most.
    Levers {
        /// Only these limits; all of them where empty.
        limits: Vec<String>,
        /// By what the changes are judged.
        by: Judge,
    },
    /// The value that just meets all limits.
    Size {
        /// What is sought.
        size: Size,
        /// By what the values are judged.
        by: Judge,
    },
    /// What each failure does, how soon, and how it shows.
    Failures {
        /// By what the case is judged with each.
        by: Judge,
        /// Whether two at once are tried too.
        pairs: bool,
    },
    /// With what chance limits hold where numbers are not known exactly, and what drives that.
    Chance(Chance),
    /// Whether it holds on the day, and how far start, pull, rest and ice may go.
    Day(Day),
    /// How one number comes about.
    Why(Why),
    /// The papers for shop and stand.
    Sheets {
        /// The variant instead of the case as it stands.
        variant: Option<String>,
    },
}

/// Reads a case and answers a question. `fetch` gets the texts that the case includes.
///
/// # Errors
/// When the texts have faults, or the question has no answer.
pub fn answer(
    name: &str,
    text: &str,
    fetch: &mut Fetch<'_>,
    question: &Question,
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    Case::read(name, text, fetch)?.ask(question, workers)
}

impl Case {
    /// Answers a question.
    ///
    /// # Errors
    /// When the case has faults that only building it shows, or the question has no answer.
    pub fn ask(&self, question: &Question, workers: &dyn Workers) -> Result<Answer, Refusal> {
        let mut answer = self.answered(question, workers)?;
        self.name_variant(&mut answer);
        Ok(answer)
    }

    /// Says in an answer which variant it is of, where this case is one.
    pub(super) fn name_variant(&self, answer: &mut Answer) {
        let Some(name) = &self.variant else { return };
        answer.variant = Some(name.clone());
        let title = answer.sections.iter_mut().find(|section| section.name == "title");
        if let Some(title) = title {
            let words = say!("Variant `{name}`", name = name);
            title.blocks.push(Block::Say(words, Lay::Lines, Weight::Headline));
        }
    }

    fn answered(&self, question: &Question, workers: &dyn Workers) -> Result<Answer, Refusal> {
        match question {
            Question::Check => check::answer(self),
            Question::Point { variant, moment, off } => {
                point::answer(self, variant.as_deref(), (moment, *off), workers)
            }
            Question::Cycle { variant, wanted, lengths } => {
                cycle::answer(self, variant.as_deref(), (wanted, *lengths), workers)
            }
            Question::Compare { only, by } => compare::answer(self, only, *by, workers),
            Question::Levers { limits, by } => levers::answer(self, limits, *by, workers),
            Question::Failures { by, pairs } => failures::answer(self, (*by, *pairs), workers),
            Question::Chance(asked) => chance::answer(self, *asked, workers),
            Question::Day(day) => day::answer(self, day, workers),
            Question::Sheets { variant } => sheets::answer(self, variant.as_deref()),
            Question::Why(asked) => why::answer(self, asked, workers),
            Question::Size { size, by } => size::answer(self, size, *by, workers),
        }
    }
}

/// All results as they are handed out, with what they may be off by where that is known.
fn values(results: &Results, uncertainty: Option<&Uncertainty>) -> Vec<ResultValue> {
    let entries = results.catalogue.entries().iter().zip(&results.values);
    let air = results.of(Id::Site, &q::AMBIENT);
    let one = |(entry, &value): (&coolwright_models::results::Entry, &f64)| {
        // What has no steady state has no number that could be off.
        let can_be = can_stand(entry.quantity.kind, value, air);
        let known = uncertainty.filter(|_| can_be);
        ResultValue {
            uncertainty: known.and_then(|known| known.of(entry.id, entry.quantity)),
            bounds: known.and_then(|known| known.bounds(entry.id, entry.quantity)),
            address: entry.address.clone(),
            kind: entry.quantity.kind,
            label: entry.quantity.label,
            formula: entry.quantity.formula,
            value: if can_be { value } else { f64::NAN },
        }
    };
    entries.map(one).collect()
}
