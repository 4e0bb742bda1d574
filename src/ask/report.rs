//! `report`: all answers about a case, and what its pictures are drawn from.

use super::{Case, Chance, Day, Judge, Lengths, Question, Wanted, chance, point};
use coolwright_cases::quantity::Kind;
use coolwright_models::results::quantities as q;

use crate::answer::drawing::{Drawing, Report};
use crate::answer::{Answer, Form, Value};
use crate::drawing::{drawing, redraw};
use crate::refusal::Refusal;
use crate::say;
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
        let mut held: Vec<usize> = Vec::new();
        let show = &mut |state: &crate::drawing::State<'_>| {
            held = state.point.held.iter().map(|held| held.circuit).collect();
            drawn = drawing(state);
        };
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
        let cycle = asked(!plain.duty.phases.is_empty(), cycle)?;
        if let Some(cycle) = cycle.as_ref().filter(|_| !held.is_empty()) {
            self.draw_moment((&mut drawn, &held), cycle);
        }
        Ok(Report {
            studies: studied?,
            check: self.ask(&Question::Check, workers)?,
            point,
            cycle,
            compare: asked(self.reading.variants().next().is_some(), compare)?,
            learnt: None,
            drawing: drawn,
        })
    }
    /// Draws what never comes to rest anew: at the moment of the cycle at which its coolant is hottest, or at the last one
    /// before it boils. It stays as it is where that cannot be had.
    fn draw_moment(&self, (drawn, held): (&mut Drawing, &[usize]), cycle: &Answer) {
        let Some((at_s, boils)) = worst_moment(drawn, held, cycle) else { return };
        let Ok(built) = self.built(None) else { return };
        let Ok((solved, phase)) = point::of_moment(&built, &Moment::At(at_s)) else { return };
        let at = Value::formed(Kind::Time, at_s, Form::Decimals(1));
        let phase = phase.unwrap_or_default();
        let moment = if boils {
            say!(
                "{at} after the start of the duty cycle, in `{phase}`, just before it boils",
                at = at,
                phase = phase
            )
        } else {
            say!(
                "{at} after the start of the duty cycle, in `{phase}`, where it is hottest",
                at = at,
                phase = phase
            )
        };
        solved.show(&built, &mut |state| redraw(state, drawn, (held, &moment)));
    }
}

/// As long before coolant boils there are numbers still, s.
const BEFORE_S: f64 = 0.1;

/// The moment of a cycle at which circuits without a steady state are drawn, s, and whether one boils then.
fn worst_moment(drawn: &Drawing, held: &[usize], cycle: &Answer) -> Option<(f64, bool)> {
    let histories = cycle.histories.as_ref()?;
    if cycle.sections.iter().any(|section| section.name == "boiled") {
        return Some(((histories.times_s.last()? - BEFORE_S).max(0.0), true));
    }
    let circuit = drawn.circuits.iter().find(|circuit| held.contains(&circuit.number))?;
    let address = format!("{}:{}", circuit.name, q::HOTTEST.name);
    let column = histories.columns.iter().position(|column| column.address == address)?;
    let rows = histories.rows.iter().map(|row| row[column]).zip(&histories.times_s);
    let hottest = rows.filter(|(k, _)| k.is_finite()).max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some((*hottest.1, false))
}
