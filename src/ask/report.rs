//! `report`: all answers about a case, and what its pictures are drawn from.

use super::{Case, Chance, Day, Judge, Lengths, Question, Wanted, chance, point};
use crate::answer::Answer;
use crate::answer::drawing::{Drawing, Report};
use crate::drawing::drawing;
use crate::refusal::Refusal;
use crate::study::Moment;
use crate::workers::Workers;

/// A study that a page holds where it is asked for: it takes longer than all that a page always holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Study {
    /// Which change moves which limit most.
    Levers,
    /// What each failure breaks.
    Failures,
    /// With what chance limits hold.
    Chance,
    /// How far the day may go.
    Day,
}

impl Study {
    fn question(self) -> Question {
        let by = Judge::Usual;
        match self {
            Self::Levers => Question::Levers { limits: Vec::new(), by },
            Self::Failures => Question::Failures { by, pairs: false },
            Self::Chance => Question::Chance(Chance::default()),
            Self::Day => Question::Day(Day::default()),
        }
    }
}

impl Case {
    /// Answers all that a page holds: check, point, the duty cycle where there is one, the variants
    /// where there are any, and the studies that are asked for, each once.
    ///
    /// # Errors
    /// When the case has faults that only building it shows, or cannot be solved.
    pub fn report(&self, studies: &[Study], workers: &dyn Workers) -> Result<Report, Refusal> {
        let mut drawn = Drawing::default();
        let show = &mut |state: &crate::drawing::State<'_>| drawn = drawing(state);
        let point = point::answer_shown(self, None, (&Moment::Full, false), (workers, show))?;
        let plain = self.build(None)?;
        drawn.numbers = self.numbers(&plain, &plain.model.values);
        let asked = |any: bool, question: Question| -> Result<Option<Answer>, Refusal> {
            if any { self.ask(&question, workers).map(Some) } else { Ok(None) }
        };
        let (wanted, lengths) = (Wanted::default(), Lengths::default());
        let cycle = Question::Cycle { variant: None, wanted, lengths };
        let compare = Question::Compare { only: Vec::new(), by: Judge::Usual };
        let mut studies = studies.to_vec();
        studies.sort_unstable();
        studies.dedup();
        let study = |study: Study| match study.question() {
            Question::Chance(asked) => chance::chapter(self, asked, workers),
            question => self.ask(&question, workers),
        };
        let studied: Result<Vec<Answer>, Refusal> = studies.into_iter().map(study).collect();
        Ok(Report {
            studies: studied?,
            check: self.ask(&Question::Check, workers)?,
            point,
            cycle: asked(!plain.duty.phases.is_empty(), cycle)?,
            compare: asked(self.reading.variants().next().is_some(), compare)?,
            learnt: None,
            drawing: drawn,
        })
    }
}
