//! A case with changes, solved and judged as a variant of it would be.

use coolwright_cases::case::Change;
use coolwright_models::cycle::History;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;
use coolwright_models::results::{Catalogue, Entry, Results};
use coolwright_models::waypoint::Waypoint;

use super::Case;
use super::case::Built;
use super::cycle::{Followed, Way, follow_by};
use super::point::solve;
use crate::answer::Verdict;
use crate::refusal::Refusal;
use crate::sections::beside::Beside;
use crate::study::{Judged, looked_at};
use crate::workers;

/// What came out of a case with changes.
pub(super) struct Trial {
    pub(super) judged: Vec<Judged>,
    pub(super) verdict: Verdict,
    pub(super) beside: Beside,
    pub(super) found: Found,
    /// Temperature of the air of the site, K.
    pub(super) air_k: f64,
    /// How its cycle stood where it was to be kept.
    pub(super) waypoint: Option<Waypoint>,
}

/// Its results.
pub(super) enum Found {
    /// At its operating point.
    Point(Results),
    /// Over its duty cycle.
    Cycle(Box<History>),
}

/// Builds a case with changes, and solves and judges it.
pub(super) fn tried(case: &Case, changes: &[Change], over_cycle: bool) -> Result<Trial, Refusal> {
    of_built(&case.built_with(changes)?, over_cycle)
}

/// Solves and judges what is built.
pub(super) fn of_built(built: &Built<'_>, over_cycle: bool) -> Result<Trial, Refusal> {
    if over_cycle { of_cycle(built, Way::Whole) } else { of_point(built) }
}

/// Follows and judges the cycle of what is built.
pub(super) fn of_cycle(built: &Built<'_>, way: Way<'_>) -> Result<Trial, Refusal> {
    let places = recorded(built);
    let followed = follow_by(built, Some(&places), (&workers::Alone, false), way)?;
    let beside = followed.beside(built, &looked_at(&built.ready, None));
    let verdict = beside.weighs(followed.verdict());
    let Followed { history, judged, waypoint, .. } = followed;
    let found = Found::Cycle(Box::new(history));
    Ok(Trial { judged, verdict, beside, found, air_k: air_k(built), waypoint })
}

/// Temperature of the air of the site, K.
fn air_k(built: &Built<'_>) -> f64 {
    built.ready.model.values.get(built.ready.model.site.temperature)
}

fn of_point(built: &Built<'_>) -> Result<Trial, Refusal> {
    let values = built.ready.model.values.clone();
    let solved = solve(built, values, None).map_err(|error| built.unsolved(&error))?;
    let beside = solved.beside(built, &looked_at(&built.ready, Some(&solved.point)));
    let verdict = beside.weighs(solved.verdict());
    let found = Found::Point(solved.point.results);
    let air_k = air_k(built);
    Ok(Trial { judged: solved.judged, verdict, beside, found, air_k, waypoint: None })
}

/// The places in the catalogue of what studies look at over time.
fn recorded(built: &Built<'_>) -> Vec<usize> {
    let entries = built.catalogue.entries().iter().enumerate();
    let worth = entries.filter(|(_, entry)| worth_watching(entry)).map(|(place, _)| place);
    let limits = built.limits.iter().filter_map(|limit| limit.index);
    let mut places: Vec<usize> = worth.chain(limits).collect();
    places.sort_unstable();
    places.dedup();
    places
}

/// Whether studies look at a result: what is drawn, what there is of coolant and ice, how hot it gets, how much flows,
/// what gauges show.
fn worth_watching(entry: &Entry) -> bool {
    match entry.id {
        Id::Body(_) => [&q::COOLANT_FLOW, &q::METAL, &q::WALL].contains(&entry.quantity),
        Id::Circuit(_) => {
            [&q::BOIL_MARGIN, &q::HOTTEST, &q::COOLANT_VOLUME].contains(&entry.quantity)
        }
        Id::Supply(_) | Id::Gauge(_) | Id::Rise(_) => true,
        // The beginning of what stands beside a verdict: ice that is gone.
        Id::Part(..) => entry.quantity == &q::ICE,
        _ => false,
    }
}

impl Found {
    /// What the results are.
    pub(super) fn catalogue(&self) -> &Catalogue {
        match self {
            Self::Point(results) => &results.catalogue,
            Self::Cycle(history) => &history.catalogue,
        }
    }

    /// The values of a result that are numbers, in the order of time.
    fn values(&self, index: usize) -> Vec<f64> {
        let values: Vec<f64> = match self {
            Self::Point(results) => vec![results.values[index]],
            Self::Cycle(history) => history.rows.iter().map(|row| row[index]).collect(),
        };
        values.into_iter().filter(|value| value.is_finite()).collect()
    }

    /// The most of a result.
    pub(super) fn most(&self, address: &str) -> Option<f64> {
        self.values(self.catalogue().find(address)?).into_iter().reduce(f64::max)
    }

    /// The most that a supply gives, A; nothing where there are several, as currents of different voltages are no sum.
    pub(super) fn current_a(&self) -> Option<f64> {
        let entries = self.catalogue().entries().iter();
        let supplies: Vec<&Entry> =
            entries.filter(|e| matches!(e.id, Id::Supply(_)) && e.quantity == &q::SUPPLY).collect();
        let [only] = supplies[..] else { return None };
        self.most(&only.address)
    }

    /// All coolant that is filled in, m³.
    pub(super) fn coolant_m3(&self) -> Option<f64> {
        let entries = self.catalogue().entries().iter().enumerate();
        let circuits = entries.filter(|(_, entry)| entry.quantity == &q::COOLANT_VOLUME);
        circuits.map(|(index, _)| self.values(index).first().copied()).sum()
    }
}
