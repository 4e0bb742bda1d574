//! `sheets`: the papers for shop and stand.

use super::compare::over_cycle;
use super::point::solve;
use super::trial::of_built;
use super::{Case, Judge};
use crate::answer::{Answer, Topic};
use crate::refusal::Refusal;
use crate::sections::cautions::{caps_of_point, cautions};
use crate::sections::{self, sheets as sections_of};
use crate::study::sheets::{self, Papers};

/// Makes all sheets of a case or a variant.
pub(super) fn answer(case: &Case, variant: Option<&str>) -> Result<Answer, Refusal> {
    let built = case.built(variant)?;
    let ready = &built.ready;
    let unsolved = |error| built.unsolved(&error);
    let solved = solve(&built, ready.model.values.clone(), None).map_err(unsolved)?;
    let start = sheets::results_at_start(ready).map_err(unsolved)?;
    let over_cycle = over_cycle(ready, Judge::Usual)?;
    let stands = of_built(&built, over_cycle)?;
    let papers = Papers { ready, start: &start, point: &solved.point };
    let mut answer = Answer::new(Topic::Sheets, &ready.title);
    answer.variant = variant.map(str::to_owned);
    let all = &mut answer.sections;
    all.push(sections::title(ready));
    let failing = stands.judged.iter().filter(|of| of.is_broken()).map(|of| of.limit.name.as_str());
    let mut failing: Vec<&str> = failing.collect();
    failing.dedup();
    all.push(sections_of::standing((stands.verdict, over_cycle), &failing, variant));
    all.extend(sections_of::order(&sheets::order(&papers)));
    all.extend(sections_of::coolant(ready, &sheets::coolants(&papers)));
    all.push(sections_of::ports(&sheets::ports(&papers)));
    all.extend(sections_of::filling(ready, &sheets::fillings(&papers)));
    all.push(sections_of::pressing(ready, &sheets::pressure_tests(&papers)));
    all.extend(sections_of::wiring(&sheets::wires(&papers), &sheets::run_on(&papers)));
    all.extend(sections_of::stand(ready, &sheets::stand(&papers, &built.limits)));
    answer.cautions = cautions(ready, caps_of_point(ready, &solved.point.results));
    Ok(answer)
}
