//! What laws that are off, and assumptions at the ends of their ranges, do to the limits: at an operating
//! point by true solves, over a duty cycle to first order.

use std::sync::Mutex;

use coolwright_cases::lower::{Assumption, Ready};
use coolwright_models::cycle::{Program, Rows};
use coolwright_models::instance::Instance;
use coolwright_models::point::OperatingPoint;
use coolwright_models::results::{Catalogue, Results, Selection};
use coolwright_models::simulate::{PrepareError, Simulator};
use coolwright_models::slots::Values;
use coolwright_models::sway::{Course, Glancing, Moments, Sway};
use coolwright_models::tangent::Tangent;
use coolwright_models::uncertainty::{Term, Uncertainty, half_width};

use super::assumed::{Ends, Headline, Off, add_spread, add_turns, headlines, ranked};
use super::chance::LawMoves;
use super::frost::cannot_freeze;
use super::gauged::own_error;
use super::{Influence, Judged, Limit};
use crate::workers::{self, Workers};

/// The share of what a law may be off by at which the response of a cycle is taken.
const SHARE: f64 = 0.01;

/// A change of a result below this share of it is rounding.
const ROUNDING: f64 = 1e-11;

/// How far a result has moved.
fn moved(now: f64, was: f64) -> f64 {
    let moves = now - was;
    if moves.abs() <= ROUNDING * was.abs() { 0.0 } else { moves }
}

/// Instances that are not in use: each job takes one, and what it answers does not depend on which.
pub(super) struct Idle<'m, T> {
    kept: Mutex<Vec<T>>,
    make: &'m (dyn Fn() -> T + Sync),
}

impl<'m, T> Idle<'m, T> {
    /// None made yet.
    pub(super) fn of(make: &'m (dyn Fn() -> T + Sync)) -> Self {
        Self { kept: Mutex::new(Vec::new()), make }
    }

    /// Does a job with one of them.
    pub(super) fn with<R>(&self, job: impl FnOnce(&mut T) -> R) -> R {
        let kept = self.kept.lock().ok().and_then(|mut kept| kept.pop());
        let mut one = kept.unwrap_or_else(|| (self.make)());
        let done = job(&mut one);
        if let Ok(mut kept) = self.kept.lock() {
            kept.push(one);
        }
        done
    }
}

/// The numbers with an assumption moved to a value.
fn assuming(ready: &Ready, values: &Values, assumption: &Assumption, value: f64) -> Values {
    let mut values = values.clone();
    let writes: Vec<_> = assumption.slots.iter().map(|&slot| (slot, value)).collect();
    ready.model.write(&mut values, &writes);
    values
}

/// How often the way from what is assumed to an end of its range is halved where the end cannot be.
const HALVINGS: i32 = 5;

/// The number nearest to an end of the range of an assumption that the rest of the case leaves room for: a rating may rule
/// out what would be plausible by itself. `None` where the end itself can be.
fn nearest_possible(
    ready: &Ready,
    values: &Values,
    assumption: &Assumption,
    end: f64,
) -> Option<f64> {
    let can_be = |value: f64| {
        let values = assuming(ready, values, assumption, value);
        !matches!(
            Simulator::new(&ready.model, values),
            Err(PrepareError::Core { .. } | PrepareError::Charge { .. })
        )
    };
    if can_be(end) {
        return None;
    }
    let back = |k: i32| assumption.value + (end - assumption.value) * 0.5_f64.powi(k);
    Some((1..=HALVINGS).map(back).find(|&value| can_be(value)).unwrap_or(assumption.value))
}

/// What assumptions do to an operating point, and adds to its limits what could turn them. `off` tells how
/// far the value of a limit may be off towards its bound; `tangent` is that of the point, where it has one and
/// every circuit a steady state.
pub fn sway_point(
    ready: &Ready,
    values: &Values,
    (point, tangent, judged): (&OperatingPoint, Option<&Tangent>, &mut [Judged]),
    off: &dyn Fn(&Limit) -> Option<Off>,
    workers: &dyn Workers,
) -> Vec<Influence> {
    let headlines = headlines(judged, Some(&point.results));
    let catalogue = &point.results.catalogue;
    let places: Vec<Option<usize>> =
        headlines.iter().map(|headline| catalogue.find(&headline.address)).collect();
    let make = || Instance::new(&ready.model);
    let idle = Idle::of(&make);
    let at = |assumption: &Assumption, value: f64| {
        let values = assuming(ready, values, assumption, value);
        let read = |results: &Results| -> Vec<f64> {
            let of = |(place, headline): (&Option<usize>, &Headline)| {
                let now = place.map_or(f64::NAN, |k| results.values[k]);
                headline.value + moved(now, headline.value)
            };
            places.iter().zip(&headlines).map(of).collect()
        };
        idle.with(|instance| {
            let beside = tangent.and_then(|known| instance.beside(&values, known).map(read));
            beside
                .or_else(|| Some(read(&instance.point(&values, Some(point.start())).ok()?.results)))
        })
    };
    let end = |assumption: &Assumption, value: f64| {
        at(assumption, value)
            .or_else(|| at(assumption, nearest_possible(ready, values, assumption, value)?))
    };
    // What has no steady state has no number that could move.
    if headlines.is_empty() {
        return Vec::new();
    }
    let ends: Vec<Ends> = workers::map(workers, ready.assumptions.len(), |k| {
        let assumption = &ready.assumptions[k];
        let (low, high) = assumption.range;
        [end(assumption, low), end(assumption, high)]
    });
    let widths: Vec<Option<Off>> = judged.iter().map(|judged| off(&judged.limit)).collect();
    add_spread(ready, judged, &widths);
    add_turns(ready, judged, &headlines, &ends);
    ranked(&headlines, judged, &ends)
}

/// A cycle that was followed with its moments kept.
#[derive(Clone, Copy, Debug)]
pub struct Kept<'a> {
    /// The program.
    pub program: &'a Program,
    /// The instance that followed it.
    pub instance: &'a Instance<'a>,
    /// Its moments.
    pub moments: &'a Moments,
}

/// What assumptions do to the limits of a duty cycle, and adds to the limits what could turn them.
/// `phases` are the phases by their names in the file. Nothing where a thermostat moves.
pub fn sway_cycle(
    ready: &Ready,
    kept: Kept<'_>,
    (phases, judged): (&[&str], &mut [Judged]),
    workers: &dyn Workers,
) -> Vec<Influence> {
    if let Some((influences, _)) = swayed_cycle(ready, kept, (phases, judged), (workers, true)) {
        return influences;
    }
    // What laws do cannot be told; what gauges are off by of themselves can.
    let widths: Vec<Option<Off>> = judged.iter().map(|of| gauged(ready, &of.limit, None)).collect();
    add_spread(ready, judged, &widths);
    Vec::new()
}

/// What each law that is off moves each limit of a duty cycle by, in the order of `judged`. `None` where a thermostat
/// moves, or nothing can be told.
pub fn cycle_laws(
    ready: &Ready,
    kept: Kept<'_>,
    (phases, judged): (&[&str], &[Judged]),
    workers: &dyn Workers,
) -> Option<LawMoves> {
    let mut judged = judged.to_vec();
    Some(swayed_cycle(ready, kept, (phases, &mut judged), (workers, false))?.1)
}

/// What each law that is off moves each limit of an operating point by, in the order of `judged`. `None` where the model
/// is too large for that.
pub fn point_laws(
    ready: &Ready,
    uncertain: &Uncertainty,
    (catalogue, judged): (&Catalogue, &[Judged]),
) -> Option<LawMoves> {
    if !uncertain.is_carried {
        return None;
    }
    let mut changes = vec![vec![0.0; judged.len()]; uncertain.terms.len()];
    for (k, judged) in judged.iter().enumerate() {
        let moved = catalogue.find(&judged.limit.of).and_then(|place| {
            let entry = &catalogue.entries()[place];
            uncertain.changes(entry.id, entry.quantity)
        });
        let is_number = judged.value.is_some() && !cannot_freeze(ready, &judged.limit);
        for (of, change) in changes.iter_mut().zip(moved.filter(|_| is_number).unwrap_or_default())
        {
            of[k] = if change.is_finite() { change } else { 0.0 };
        }
    }
    Some(LawMoves { terms: uncertain.terms.clone(), changes })
}

/// What a limit may be off by, with what the gauge under it is off by of itself: both are independent, so their squares
/// add.
fn gauged(ready: &Ready, limit: &Limit, off: Option<Off>) -> Option<Off> {
    let Some(own) = own_error(ready, limit) else { return off };
    let (by_laws, most_from) = off.map_or((0.0, None), |off| (off.half_width, off.most_from));
    Some(Off { half_width: by_laws.hypot(own), most_from, own })
}

/// The same as [`sway_cycle`], with what each law moves each limit by; what assumptions do only where it `assumes`.
fn swayed_cycle(
    ready: &Ready,
    kept: Kept<'_>,
    (phases, judged): (&[&str], &mut [Judged]),
    (workers, assumes): (&dyn Workers, bool),
) -> Option<(Vec<Influence>, LawMoves)> {
    // A lift that moves flows turns a small change into another time at which it opens, which no answer to first order
    // can tell.
    if ready.model.has_lifts() || ready.model.has_followers() {
        return None;
    }
    let headlines = headlines(judged, None);
    let values = &ready.model.values;
    let course = Course::of(kept.instance, values, kept.program, kept.moments);
    let course = course.filter(|_| !headlines.is_empty())?;
    let make = || Swaying::of(ready, values, &headlines);
    let idle = Idle::of(&make);
    let phase_of: Vec<usize> = kept.moments.phases().collect();
    let follow = |sway: &Sway<'_>, read: &[bool]| {
        idle.with(|swaying| {
            let Swaying { instance, selection, columns } = swaying.as_mut()?;
            let rows = course.swayed(instance, sway, (selection, &|k| read[k])).ok()?;
            let read = read.iter().zip(&phase_of).filter(|(read, _)| **read);
            let phases = read.map(|(_, phase)| phases[*phase]).collect();
            Some(Read { rows, columns: columns.clone(), phases })
        })
    };
    let all = follow(&Sway::Numbers(values), &vec![true; phase_of.len()])?;
    let read = all.near_worst(&headlines, judged);
    let base = all.worst(&headlines, judged);
    let follow = |sway: &Sway<'_>| Some(follow(sway, &read)?.worst(&headlines, judged));
    // The worst of the cycle itself stands for that of its moments; what is rounding moves nothing.
    let shifted = |found: Vec<f64>| {
        let all = found.iter().zip(&base).zip(&headlines);
        all.map(|((now, was), headline)| headline.value + moved(*now, *was)).collect::<Vec<f64>>()
    };
    let worst: Option<Vec<usize>> = (headlines.iter().enumerate())
        .map(|(k, headline)| Some(all.margins(k, headline, judged).first()?.0))
        .collect();
    let laws = weighty(&course, &idle, (kept.moments.laws(), worst), workers);
    let changes = workers::map(workers, laws.len(), |k| follow(&Sway::Law(&laws[k], SHARE)));
    let assumptions = if assumes { ready.assumptions.len() } else { 0 };
    let ends: Vec<Ends> = workers::map(workers, assumptions, |k| {
        let assumption = &ready.assumptions[k];
        let (low, high) = assumption.range;
        let end = |value: f64| {
            if value.to_bits() == assumption.value.to_bits() {
                return Some(shifted(base.clone()));
            }
            let at = |value: f64| {
                let values = assuming(ready, values, assumption, value);
                follow(&Sway::Numbers(&values)).map(shifted)
            };
            at(value).or_else(|| at(nearest_possible(ready, values, assumption, value)?))
        };
        [end(low), end(high)]
    });
    let mut widths = vec![None; judged.len()];
    let mut moves =
        LawMoves { terms: laws.clone(), changes: vec![vec![0.0; judged.len()]; laws.len()] };
    for (k, headline) in headlines.iter().enumerate() {
        let change = |found: &Option<Vec<f64>>| {
            found.as_ref().map_or(0.0, |found| (found[k] - base[k]) / SHARE)
        };
        let limit = headline.limit.filter(|limit| !cannot_freeze(ready, &judged[*limit].limit));
        for (of, found) in moves.changes.iter_mut().zip(&changes) {
            if let Some(limit) = limit.filter(|_| change(found).is_finite()) {
                of[limit] = change(found);
            }
        }
        let half_width = half_width(laws.iter().map(|law| law.law).zip(changes.iter().map(change)));
        let most = |a: &usize, b: &usize| {
            change(&changes[*a]).abs().total_cmp(&change(&changes[*b]).abs()).then(b.cmp(a))
        };
        if let Some(limit) = headline.limit.filter(|_| half_width.is_finite()) {
            let most_from = (0..laws.len()).max_by(most).map(|law| laws[law]);
            widths[limit] = Some(Off { half_width, most_from, own: 0.0 });
        }
    }
    for (width, judged) in widths.iter_mut().zip(judged.iter()) {
        *width = gauged(ready, &judged.limit, *width);
    }
    add_spread(ready, judged, &widths);
    add_turns(ready, judged, &headlines, &ends);
    Some((ranked(&headlines, judged, &ends), moves))
}

/// A law that moves no limit by more than this share of what the weightiest law moves it by adds next to
/// nothing to the root of the sum of squares.
const WEIGHTY: f64 = 0.03;

/// The laws that matter to a limit, by what each does to the limits where it is glanced at: at the `worst`
/// moment of each. All of them where a limit has none.
fn weighty(
    course: &Course<'_>,
    idle: &Idle<'_, Option<Swaying<'_>>>,
    (laws, worst): (Vec<Term>, Option<Vec<usize>>),
    workers: &dyn Workers,
) -> Vec<Term> {
    let Some(worst) = worst else { return laws };
    let mut looked_at = worst.clone();
    looked_at.sort_unstable();
    looked_at.dedup();
    let moments: Vec<Option<Glancing>> = workers::map(workers, looked_at.len(), |k| {
        idle.with(|swaying| {
            let Swaying { instance, selection, .. } = swaying.as_mut()?;
            course.glancing(instance, looked_at[k], selection).ok()
        })
    });
    let glanced = |law: &Term| {
        idle.with(|swaying| {
            let Swaying { instance, selection, columns } = swaying.as_mut()?;
            let mut changes = vec![0.0_f64; worst.len()];
            for (at, moment) in looked_at.iter().zip(&moments) {
                let row =
                    course.glance(instance, moment.as_ref()?, (law, SHARE), selection).ok()?;
                for k in (0..worst.len()).filter(|&k| worst[k] == *at) {
                    changes[k] = row[columns[k]].abs();
                }
            }
            Some(changes)
        })
    };
    let seen = workers::map(workers, laws.len(), |k| glanced(&laws[k]));
    let most = |k: usize| seen.iter().flatten().fold(0.0_f64, |most, all| most.max(all[k]));
    let most: Vec<f64> = (0..worst.len()).map(most).collect();
    let matters = |seen: &Option<Vec<f64>>| {
        // What could not be glanced at may matter.
        seen.as_ref().is_none_or(|all| all.iter().zip(&most).any(|(d, m)| *d > WEIGHTY * m))
    };
    laws.into_iter().zip(&seen).filter(|(_, seen)| matters(seen)).map(|(law, _)| law).collect()
}

/// What follows a changed cycle: an instance, and the results under limits.
struct Swaying<'m> {
    instance: Instance<'m>,
    selection: Selection,
    /// Column of each headline.
    columns: Vec<usize>,
}

impl<'m> Swaying<'m> {
    fn of(ready: &'m Ready, values: &Values, headlines: &[Headline]) -> Option<Self> {
        let mut instance = Instance::new(&ready.model);
        let catalogue = instance.catalogue(values).ok()?;
        let place = |headline: &Headline| catalogue.find(&headline.address);
        let places: Vec<usize> = headlines.iter().map(place).collect::<Option<_>>()?;
        let selection = Selection::of(instance.simulator()?, &catalogue, &places);
        let column = |headline: &Headline| selection.catalogue().find(&headline.address);
        let columns = headlines.iter().map(column).collect::<Option<_>>()?;
        Some(Self { instance, selection, columns })
    }
}

/// Results at moments.
struct Read<'a> {
    rows: Rows,
    /// Column of each headline.
    columns: Vec<usize>,
    /// The phase of each row, by its name in the file.
    phases: Vec<&'a str>,
}

/// How many moments are looked at for each limit.
const LOOKED_AT: usize = 6;

impl Read<'_> {
    /// The rows in which the limit of a headline holds, with its margin, the least first.
    fn margins(&self, k: usize, headline: &Headline, judged: &[Judged]) -> Vec<(usize, f64)> {
        let Some(limit) = headline.limit.map(|limit| &judged[limit].limit) else {
            return Vec::new();
        };
        let rows = self.rows.iter().zip(&self.phases).enumerate();
        let held = rows.filter(|(_, (_, phase))| limit.in_phase(phase));
        let mut found: Vec<(usize, f64)> =
            held.map(|(n, (row, _))| (n, limit.margin(row[self.columns[k]]))).collect();
        found.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        found
    }

    /// Which rows are among those of least margin for one of the headlines.
    fn near_worst(&self, headlines: &[Headline], judged: &[Judged]) -> Vec<bool> {
        let mut near = vec![false; self.rows.len()];
        for (k, headline) in headlines.iter().enumerate() {
            for (n, _) in self.margins(k, headline, judged).iter().take(LOOKED_AT) {
                near[*n] = true;
            }
        }
        near
    }

    /// The worst value of each headline.
    fn worst(&self, headlines: &[Headline], judged: &[Judged]) -> Vec<f64> {
        let of = |(k, headline): (usize, &Headline)| {
            let margins = self.margins(k, headline, judged);
            margins.first().map_or(f64::NAN, |(n, _)| self.rows[*n][self.columns[k]])
        };
        headlines.iter().enumerate().map(of).collect()
    }
}
