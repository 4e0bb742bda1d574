//! `failures`: what each failure does, how soon, and which gauge shows it first.

use coolwright_cases::lower::Ready;
use coolwright_models::cycle::History;
use coolwright_models::gauge::Reads;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;
use coolwright_models::results::{Entry, Quantity};

use super::case::Built;
use super::compare::over_cycle;
use super::cycle::Way;
use super::point::from_start;
use super::trial::{Found, Trial, of_built, of_cycle};
use super::{Case, Judge};
use crate::answer::{Answer, Sentence, Topic};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::cautions::cautions;
use crate::sections::failures::{
    Broken, Else, Failed, Hottest, Left, Outcome, SEEN_OF_FLOW, SEEN_ON_GAUGE_K, SEEN_PA, Shown,
    Shows, Sound, WhenHot, guards,
};
use crate::sections::{self, compare, verdict};
use crate::study::{
    Failure, Judged, Standing, WORKS, coming_at, failures, last_pull_s, pairs, pulls,
};
use crate::workers::{self, Workers};

/// Lets each thing fail alone, and tells what comes of it.
pub(super) fn answer(
    case: &Case,
    (by, in_pairs): (Judge, bool),
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    let built = case.built(None)?;
    let ready = &built.ready;
    let over_cycle = over_cycle(ready, by)?;
    let (all, set) = failures(ready);
    let hot_s = if over_cycle { last_pull_s(ready) } else { None };
    let last_pull = pulls(&ready.duty.phases).pop().map(|pull| pull.start);
    let sound = match last_pull.filter(|_| hot_s.is_some()) {
        Some(phase) => of_cycle(&built, Way::Keeping(phase))?,
        None => of_built(&built, over_cycle)?,
    };
    let each = |all: Vec<Failure>| -> Vec<Failed> {
        let count = all.len();
        let tried =
            workers::map(workers, count, |k| of_one(case, &all[k], &sound, (over_cycle, hot_s)));
        let told = |outcome: Result<Outcome, Refusal>| outcome.map_err(|refusal| refusal.advice());
        let outcomes = tried.into_iter().map(told);
        all.into_iter()
            .zip(outcomes)
            .map(|(failure, outcome)| Failed { failure, outcome })
            .collect()
    };
    let mut failed = each(all);
    let pulls_s = over_cycle.then(|| first_pull_s(ready)).flatten();
    let sound_is = Sound {
        verdict: sound.verdict,
        told: sound
            .beside
            .told()
            .cloned()
            .chain(verdict::counted_details(&ready.model, &sound.judged))
            .collect(),
        over_cycle,
        pulls_s,
        has_gauges: !ready.model.gauges.is_empty(),
        set,
    };
    sections::failures::sort(&sound_is, &mut failed);
    let together = in_pairs.then(|| {
        let borne = failed.iter().filter(|one| sections::failures::is_borne(&sound_is, one));
        let pairs = pairs(&borne.map(|one| &one.failure).collect::<Vec<_>>());
        let tried = pairs.len();
        let mut bad = each(pairs);
        bad.retain(|pair| !sections::failures::is_borne(&sound_is, pair));
        sections::failures::sort(&sound_is, &mut bad);
        sections::failures::pairs(&sound_is, tried, &bad)
    });
    let mut answer = Answer::new(Topic::Failures, &ready.title);
    answer.verdict = Some(sound_is.verdict);
    answer.beside.clone_from(&sound_is.told);
    let duty = !ready.duty.phases.is_empty();
    let sections = &mut answer.sections;
    sections.push(sections::failures::summary(&sound_is, &failed));
    sections.push(sections::title(ready));
    sections.push(compare::judged_by(over_cycle, duty));
    sections.push(sections::failures::breaks(&sound_is, &failed));
    sections.extend(together);
    sections.push(sections::failures::effects(&failed));
    sections.push(sections::failures::shows(&sound_is, &failed));
    sections.push(sections::failures::mind(&sound_is));
    answer.cautions = cautions(ready, Vec::new());
    Ok(answer)
}

/// When the first pull ends and the next begins, s after the start; the end of the cycle where there is no other.
fn first_pull_s(ready: &Ready) -> Option<[f64; 2]> {
    let phases = &ready.duty.phases;
    let pulls = pulls(phases);
    let next = pulls.get(1).map_or(phases.len(), |pull| pull.start);
    let until = |end: usize| phases[..end].iter().map(|phase| phase.time_s).sum();
    Some([until(pulls.first()?.end), until(next)])
}

/// What comes of one failure.
fn of_one(
    case: &Case,
    failure: &Failure,
    sound: &Trial,
    (over_cycle, hot_s): (bool, Option<f64>),
) -> Result<Outcome, Refusal> {
    let built = case.built_with(&failure.changes)?;
    let trial = of_built(&built, over_cycle)?;
    Ok(Outcome {
        verdict: trial.verdict,
        grave: first_new(&trial.beside.grave, &sound.beside.grave).cloned(),
        late: first_new(&trial.beside.late, &sound.beside.late).cloned(),
        breaks: breaks(&built, &trial, sound, over_cycle),
        hot: hot_s.and_then(|at_s| when_hot(case, (&built, failure), sound, at_s)),
        unjudged: unjudged(&built, &trial, sound),
        left: left(&built, &trial.found, &sound.found),
        hottest: hottest(&trial.found, &sound.found),
        shows: first_gauge(&built, &trial.found, &sound.found),
        judged: trial.judged,
    })
}

/// What breaks where a failure comes as the last pull begins; nothing where it cannot come on the way, or breaks
/// nothing more then.
fn when_hot(
    case: &Case,
    (failed, failure): (&Built<'_>, &Failure),
    sound: &Trial,
    at_s: f64,
) -> Option<Result<WhenHot, Else>> {
    let mut built = case.built(None).ok()?;
    let tracks = coming_at(&built.ready, &failed.ready, failure, at_s)?;
    built.ready.duty.tracks.extend(tracks);
    let way = sound.waypoint.as_ref().map_or(Way::Whole, Way::From);
    let trial = match of_cycle(&built, way) {
        Ok(trial) => trial,
        Err(refusal) => return Some(Err(Else { word: "not known", why: refusal.advice() })),
    };
    let Some(broken) = breaks(&built, &trial, sound, true) else {
        let unjudged = || {
            let (limit, why) = unjudged(&built, &trial, sound)?;
            let why = say!("{limit}: {why}", limit = limit, why = why);
            Some(Else { word: "not judged", why })
        };
        return worse_beside(&trial, sound).or_else(unjudged).map(Err);
    };
    let after = |judged: &Judged| judged.first_s.map(|first_s| (first_s - at_s).max(0.0));
    let harm_after_s = broken.harm.as_ref().and_then(after);
    Some(Ok(WhenHot { after_s: after(&broken.first)?, harm_after_s, first: broken.first }))
}

/// The first sentence that was not said without the failure.
fn first_new<'t>(now: &'t [Sentence], was: &[Sentence]) -> Option<&'t Sentence> {
    now.iter().find(|said| !was.contains(said))
}

/// What stands against the verdict now and did not without the failure: that it is not ready in time, or what is grave.
fn worse_beside(trial: &Trial, sound: &Trial) -> Option<Else> {
    let late = first_new(&trial.beside.late, &sound.beside.late);
    let grave = || first_new(&trial.beside.grave, &sound.beside.grave);
    let of = |word: &'static str| move |why: &Sentence| Else { word, why: why.clone() };
    late.map(of("not ready")).or_else(|| grave().map(of("not known")))
}

/// Whether a broken limit is worse than it is without the failure: not broken there, broken sooner, or by more.
fn is_worse(now: &Judged, was: &Judged) -> bool {
    let sooner = match (now.first_s, was.first_s) {
        (Some(now), Some(was)) => now < was * (1.0 - WORSE),
        _ => false,
    };
    let more = match (now.margin(), was.margin()) {
        (Some(now), Some(was)) => now < was - WORSE * was.abs(),
        (None, Some(_)) => true,
        _ => false,
    };
    !was.is_broken() || sooner || more
}

/// What is sooner or more by less than this share is as it was.
const WORSE: f64 = 0.05;

/// The limit that breaks first of those that are kept without the failure, or broken less or later.
fn breaks(built: &Built<'_>, trial: &Trial, sound: &Trial, over_cycle: bool) -> Option<Broken> {
    let is_new = |judged: &&Judged| {
        let same = |known: &&Judged| {
            known.limit.name == judged.limit.name && known.limit.bound == judged.limit.bound
        };
        judged.is_broken() && sound.judged.iter().find(same).is_none_or(|was| is_worse(judged, was))
    };
    let mut new: Vec<Judged> = trial.judged.iter().filter(is_new).cloned().collect();
    if new.is_empty() {
        return None;
    }
    if !over_cycle && new.iter().all(|judged| judged.first_s.is_none()) {
        // How soon after a start with the failure.
        if let Some(way) = from_start(built, &built.ready.model.values, None) {
            for judged in &mut new {
                let k = built.limits.iter().position(|limit| {
                    limit.name == judged.limit.name && limit.bound == judged.limit.bound
                });
                let place = k.and_then(|k| way.places[k]);
                judged.first_s = place.and_then(|place| way.history.watched[place].first_s());
            }
        }
    }
    let when = |judged: &Judged| judged.first_s.unwrap_or(f64::INFINITY);
    let count = new.len();
    let soonest = |a: Judged, b: Judged| if when(&b) < when(&a) { b } else { a };
    let harm = new.iter().filter(|judged| guards(judged)).cloned().reduce(soonest);
    let first = new.into_iter().reduce(soonest)?;
    Some(Broken { first, more: count - 1, harm })
}

/// A limit that was kept without the failure and cannot be judged with it, and why.
fn unjudged(built: &Built<'_>, trial: &Trial, sound: &Trial) -> Option<(String, Sentence)> {
    trial.judged.iter().find_map(|judged| {
        let Standing::NotJudged(why) = &judged.standing else { return None };
        let same = |known: &&Judged| {
            known.limit.name == judged.limit.name && known.limit.bound == judged.limit.bound
        };
        sound.judged.iter().find(same).filter(|known| known.holds())?;
        let why = verdict::unjudged(&built.ready.model, (judged.limit.kind, why));
        Some((judged.limit.name.clone(), why))
    })
}

/// The mean of a result over the phases at work; `None` over a cycle that has none.
fn mean(ready: &Ready, found: &Found, index: usize) -> Option<f64> {
    let history = match found {
        Found::Point(results) => return Some(results.values[index]),
        Found::Cycle(history) => history,
    };
    let works = |k: usize| ready.duty.phases.get(k).is_some_and(|of| of.power_share > WORKS);
    let (mut sum, mut time_s) = (0.0, 0.0);
    for (_, phase) in history.phases.iter().enumerate().filter(|(k, _)| works(*k)) {
        for row in phase.rows.clone().skip(1) {
            let step_s = history.times_s[row] - history.times_s[row - 1];
            sum += 0.5 * step_s * (history.rows[row][index] + history.rows[row - 1][index]);
            time_s += step_s;
        }
    }
    (time_s > 0.0).then(|| sum / time_s)
}

/// The entries of one result, with their places.
fn entries<'a>(
    found: &'a Found,
    quantity: &'static Quantity,
) -> impl Iterator<Item = (usize, &'a Entry)> {
    found.catalogue().entries().iter().enumerate().filter(move |(_, of)| of.quantity == quantity)
}

/// A flow below this is none, m³/s.
const NO_FLOW: f64 = 1e-7;

/// The source that keeps the least of its flow.
fn left(built: &Built<'_>, now: &Found, sound: &Found) -> Option<Left> {
    let ready = &built.ready;
    let bodies = entries(now, &q::COOLANT_FLOW).filter(|(_, of)| matches!(of.id, Id::Body(_)));
    let shares = bodies.filter_map(|(index, entry)| {
        let was = mean(ready, sound, sound.catalogue().find(&entry.address)?)?;
        let is = mean(ready, now, index)?;
        let source = entry.address.split(':').next().unwrap_or_default().to_owned();
        (was.abs() > NO_FLOW).then(|| Left { source, share: is / was })
    });
    shares.reduce(|least, of| if of.share < least.share { of } else { least })
}

/// The metal that is warmed most by it.
fn hottest(now: &Found, sound: &Found) -> Option<Hottest> {
    let metals = entries(now, &q::METAL).chain(entries(now, &q::WALL));
    let all = metals.filter_map(|(_, entry)| {
        let (is, was) = (now.most(&entry.address)?, sound.most(&entry.address)?);
        let source = entry.address.split(':').next().unwrap_or_default().to_owned();
        Some(Hottest { source, metal_k: is, by_k: is - was })
    });
    all.reduce(|most, of| if of.by_k > most.by_k { of } else { most })
}

/// The gauge that shows it first, over a cycle; at a point that which shows it most. `None` where that is not known.
fn first_gauge(built: &Built<'_>, now: &Found, sound: &Found) -> Option<Shown> {
    // Where nothing is steady a reading is that of the start, and tells nothing beside a warm one.
    if has_unsteady(now) || has_unsteady(sound) {
        return None;
    }
    let gauges = built.ready.model.gauges.iter().enumerate();
    let all = gauges.filter_map(|(g, gauge)| {
        let of = |found: &Found| {
            let entries = found.catalogue().entries();
            entries.iter().position(|entry| entry.id == Id::Gauge(g))
        };
        let (is, was) = (of(now)?, of(sound)?);
        let kind = now.catalogue().entries()[is].quantity.kind;
        // What is within a gauge's own error says nothing.
        let error = gauge.error.map_or(0.0, |slot| built.ready.model.values.get(slot));
        let readable = |reading: f64| match gauge.reads {
            Reads::Pressure => SEEN_PA.max(error),
            Reads::Temperature => SEEN_ON_GAUGE_K.max(error),
            Reads::Flow => (SEEN_OF_FLOW * reading.abs()).max(error),
        };
        let (mut first_s, mut most) = (None, (0.0_f64, 0.0_f64));
        for (phase, at_s, reads) in readings(now, is) {
            let Some(usual) = reading_at(sound, was, (phase, at_s)) else { continue };
            let change = reads - usual;
            // A thermometer that cools tells a crew that all is well.
            if gauge.reads == Reads::Temperature && change < 0.0 {
                continue;
            }
            let times = change.abs() / readable(usual).max(f64::MIN_POSITIVE);
            if times.is_finite() && times > 1.0 && first_s.is_none() {
                first_s = Some(at_s);
            }
            if times.is_finite() {
                most =
                    (times.max(most.0), if change.abs() > most.1.abs() { change } else { most.1 });
            }
        }
        let name = gauge.name.clone();
        Some(Shows { gauge: name, kind, from_s: first_s?, change: most.1, times: most.0 })
    });
    let first = all.reduce(|best, of| {
        let sooner = (of.from_s, -of.times) < (best.from_s, -best.times);
        if sooner { of } else { best }
    });
    Some(first.map_or(Shown::OnNone, Shown::On))
}

/// Whether some circuit of an operating point has no steady state: no temperature of it is a number.
fn has_unsteady(found: &Found) -> bool {
    let Found::Point(results) = found else { return false };
    let hottest = entries(found, &q::HOTTEST);
    hottest.map(|(index, _)| results.values[index]).any(f64::is_nan)
}

/// What a gauge reads over time: the phase, the time, s, and its reading.
fn readings(found: &Found, index: usize) -> Vec<(usize, f64, f64)> {
    let history = match found {
        Found::Point(results) => return vec![(0, 0.0, results.values[index])],
        Found::Cycle(history) => history,
    };
    let phases = history.phases.iter().enumerate();
    let rows = phases.flat_map(|(phase, of)| of.rows.clone().map(move |row| (phase, row)));
    rows.map(|(phase, row)| (phase, history.times_s[row], history.rows[row][index])).collect()
}

/// What a gauge reads at a time of a phase, s: between rows in a straight line. At the end of a phase it may jump, so
/// the next one's rows tell nothing of it.
fn reading_at(found: &Found, index: usize, (phase, at_s): (usize, f64)) -> Option<f64> {
    let history: &History = match found {
        Found::Point(results) => return Some(results.values[index]),
        Found::Cycle(history) => history,
    };
    let rows = history.phases.get(phase)?.rows.clone();
    let times = history.times_s.get(rows.clone())?;
    let reading = |k: usize| history.rows[rows.start + k][index];
    let behind = times.partition_point(|time| *time < at_s);
    if behind == times.len() {
        return None;
    }
    let Some(ahead) = behind.checked_sub(1) else { return Some(reading(0)) };
    let (t, u) = (times[ahead], times[behind]);
    let (a, b) = (reading(ahead), reading(behind));
    Some(a + (b - a) * (at_s - t) / (u - t))
}
