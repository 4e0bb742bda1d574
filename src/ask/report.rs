//! `report`: all answers about a case, and what its pictures are drawn from.

use super::{Case, Judge, Lengths, Question, Wanted, point};
use crate::answer::Answer;
use crate::answer::drawing::{Drawing, Report};
use crate::drawing::drawing;
use crate::refusal::Refusal;
use crate::study::Moment;
use crate::workers::Workers;

impl Case {
    /// Answers all that a page holds: check, point, the duty cycle where there is one, and the variants
    /// where there are any.
    ///
    /// # Errors
    /// When the case has faults that only building it shows, or cannot be solved.
    pub fn report(&self, workers: &dyn Workers) -> Result<Report, Refusal> {
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
        Ok(Report {
            check: self.ask(&Question::Check, workers)?,
            point,
            cycle: asked(!plain.duty.phases.is_empty(), cycle)?,
            compare: asked(self.reading.variants().next().is_some(), compare)?,
            learnt: None,
            drawing: drawn,
        })
    }
}
