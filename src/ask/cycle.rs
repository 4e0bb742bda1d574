//! `cycle`: the duty cycle.

use coolwright_cases::lower::{LoweredPhase, Ready};
use coolwright_models::cycle::{Columns, History, Phase, Program};
use coolwright_models::ids::Id;
use coolwright_models::inputs::POWER;
use coolwright_models::instance::Instance;
use coolwright_models::warnings::Warning;
use coolwright_models::watch::Watched;
use coolwright_models::waypoint::Waypoint;

use super::Case;
use super::case::Built;
use super::histories::{Resolved, Wanted, histories};
use super::lasting::{Lengths, lasting};
use crate::answer::{Answer, Section, Topic, Verdict};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::assumptions::assumptions;
use crate::sections::beside::Beside;
use crate::sections::cautions::{caps_of_cycle, cautions};
use crate::sections::story::story;
use crate::sections::{self, check, conditions, cycle, gauges, happened, ledger, pulls, verdict};
use crate::study::{
    self, Findings, Influence, Judged, Kept, Load, Readiness, ReadyTarget, add_switching,
    assumed_targets, judge_history, looked_at, readiness, stands, sway_cycle, values_in, watches,
};
use crate::words::warnings as words;
use crate::workers::Workers;

/// A duty cycle that was followed, and what it says about limits and readiness.
pub(super) struct Followed {
    pub(super) history: History,
    pub(super) judged: Vec<Judged>,
    /// What assumptions could change of it.
    pub(super) influences: Vec<Influence>,
    /// Where laws left their ranges, and when that was first, s.
    pub(super) warnings: Vec<(f64, Warning)>,
    /// The same, phase by phase.
    pub(super) met: Vec<(usize, Warning)>,
    pub(super) targets: Vec<ReadyTarget>,
    pub(super) readiness: Vec<Readiness>,
    /// How it stood where it was to be kept.
    pub(super) waypoint: Option<Waypoint>,
}

/// How much of a cycle is followed.
#[derive(Clone, Copy)]
pub(super) enum Way<'a> {
    /// All of it.
    Whole,
    /// All of it, and how it stands where a phase begins is kept.
    Keeping(usize),
    /// From where another stood that went the same way up to there.
    From(&'a Waypoint),
}

impl Followed {
    /// How the limits stand.
    pub(super) fn verdict(&self) -> Verdict {
        stands(&self.judged, self.history.boiled.is_none())
    }

    /// What stands beside it, with what was found in the layout.
    pub(super) fn beside(&self, built: &Built<'_>, found: &Findings) -> Beside {
        let ready = &built.ready;
        let mut beside = built.beside.clone();
        beside.layout(found);
        beside.met(ready, met_under_load(ready, &self.met).into_iter());
        // A cycle that ended early has not come to its rests.
        if self.history.boiled.is_none() {
            beside.rests(ready, &self.targets, &self.readiness);
        }
        beside.ice(ready, &self.history);
        beside.restless(ready, &self.history);
        beside.cold(ready, &ready.model.values);
        beside.heatless(ready);
        beside.cold_starts(ready);
        beside.hardly(ready);
        beside.thermostats(ready, &self.history);
        beside.log(ready);
        beside
    }
}

/// What was met in a phase in which something that it cools is at work, each kind and place once.
fn met_under_load<'w>(ready: &Ready, met: &'w [(usize, Warning)]) -> Vec<&'w Warning> {
    let load = Load::of(ready);
    let mut found: Vec<&Warning> = Vec::new();
    for (phase, warning) in met {
        let known = |known: &&Warning| known.is_like(warning);
        if load.is_on(*phase, warning.about().circuit()) && !found.iter().any(known) {
            found.push(warning);
        }
    }
    found
}

/// The phases of a case as they are followed.
pub(super) fn phases(built: &Built<'_>) -> Vec<Phase> {
    phases_of(&built.ready)
}

/// The same of a case without its limits.
pub(super) fn phases_of(ready: &Ready) -> Vec<Phase> {
    let phase = |phase: &LoweredPhase| Phase {
        name: phase.name.clone(),
        time_s: phase.time_s,
        sets: phase.sets.clone(),
        ramp_s: phase.ramp_s,
        refills: phase.refills.clone(),
    };
    ready.duty.phases.iter().map(phase).collect()
}

/// That a case has no duty cycle.
pub(super) fn no_duty() -> Refusal {
    Refusal::said("the case has no duty cycle: `duty` gives no phases").help(say!(
        "for example phases: {example}",
        example =
            "{\"pull\": Phase(time: \"14 s\"), \"rest\": Phase(time: \"20 min\", power: \"2 %\")}"
    ))
}

/// What is followed of a case, and what is watched of it.
pub(super) struct Course {
    pub(super) program: Program,
    /// What is watched for each limit, if it has a result.
    at: Vec<Option<usize>>,
    /// What the case calls ready.
    pub(super) targets: Vec<ReadyTarget>,
    /// What is watched for each of them.
    targets_at: Vec<Option<usize>>,
    /// Places in the catalogue of what limits and targets are on.
    pub(super) columns: Vec<usize>,
}

impl Course {
    /// The phases of a case, of whatever length.
    pub(super) fn of(built: &Built<'_>, phases: Vec<Phase>) -> Self {
        let duty = &built.ready.duty.phases;
        let plain: Vec<&str> = duty.iter().map(|phase| phase.plain.as_str()).collect();
        let (mut watches, at) = watches(&built.limits, &plain);
        let targets = built.targets.clone();
        let watched = |target: &ReadyTarget| {
            let watch = target.watch()?;
            watches.push(watch);
            Some(watches.len() - 1)
        };
        let targets_at = targets.iter().map(watched).collect();
        let limits = built.limits.iter().filter_map(|limit| limit.index);
        let mut columns: Vec<usize> =
            limits.chain(targets.iter().filter_map(|t| t.index)).collect();
        columns.sort_unstable();
        columns.dedup();
        Self {
            program: Program { phases, tracks: built.ready.duty.tracks.clone(), watches },
            at,
            targets,
            targets_at,
            columns,
        }
    }

    /// How the limits stand.
    pub(super) fn judged(&self, built: &Built<'_>, history: &History) -> Vec<Judged> {
        let Ready { model, duty, .. } = &built.ready;
        judge_history(&built.limits, model, (&duty.phases, history), &self.at)
    }

    /// When each rest makes ready, by what the case says.
    pub(super) fn rests(&self, built: &Built<'_>, history: &History) -> Vec<Readiness> {
        let of = |place: &Option<usize>| place.map(|place| &history.watched[place]);
        let watched: Vec<Option<&Watched>> = self.targets_at.iter().map(of).collect();
        readiness(history, &built.ready.duty.phases, &self.targets, &watched)
    }
}

/// Follows a case through its duty cycle and records the results at the given places of its catalogue;
/// all of them where none are given.
pub(super) fn follow(
    built: &Built<'_>,
    places: Option<&[usize]>,
    workers: &dyn Workers,
) -> Result<Followed, Refusal> {
    follow_by(built, places, (workers, true), Way::Whole)
}

/// The same; what laws and assumptions could change is worked out only where it `sways`.
pub(super) fn follow_by(
    built: &Built<'_>,
    places: Option<&[usize]>,
    (workers, sways): (&dyn Workers, bool),
    way: Way<'_>,
) -> Result<Followed, Refusal> {
    let duty = &built.ready.duty;
    if duty.phases.is_empty() {
        return Err(no_duty());
    }
    let course = Course::of(built, phases(built));
    let model = &built.ready.model;
    let columns = places.map_or(Columns::All, Columns::Only);
    let mut instance = Instance::new(model);
    if sways {
        instance.keep_moments();
    } else {
        instance.keep_warnings();
    }
    match way {
        Way::Whole => {}
        Way::Keeping(phase) => instance.keep_waypoint(phase),
        Way::From(waypoint) => instance.take_up(waypoint),
    }
    let whole_s: f64 = course.program.phases.iter().map(|phase| phase.time_s).sum();
    let history = instance.follow(&model.values, &course.program, columns, &mut |at_s| {
        workers.hears(at_s / whole_s);
        true
    });
    let history = history.map_err(|error| built.unsolved(&error))?.clone();
    let waypoint = instance.waypoint();
    let mut judged = course.judged(built, &history);
    let (influences, warnings, met) = match instance.moments() {
        None => (Vec::new(), Vec::new(), Vec::new()),
        Some(moments) => {
            let plain: Vec<&str> = duty.phases.iter().map(|phase| phase.plain.as_str()).collect();
            let kept = Kept { program: &course.program, instance: &instance, moments };
            let influences = if sways {
                let influences = sway_cycle(&built.ready, kept, (&plain, &mut judged), workers);
                add_switching(&built.ready, &history, &mut judged);
                influences
            } else {
                Vec::new()
            };
            (influences, moments.warnings().to_vec(), moments.met().to_vec())
        }
    };
    let readiness;
    let mut targets = course.targets.clone();
    if targets.is_empty() {
        targets = assumed_targets(&history);
        let unwatched = vec![None; targets.len()];
        readiness = study::readiness(&history, &duty.phases, &targets, &unwatched);
    } else {
        readiness = course.rests(built, &history);
    }
    Ok(Followed { history, judged, influences, warnings, met, targets, readiness, waypoint })
}

/// The places in the catalogue of what an answer needs over time: limits, readiness, what is worth
/// watching, and what is wanted.
fn recorded(built: &Built<'_>, wanted: &Resolved) -> Vec<usize> {
    let mut places = cycle::worth_watching(&built.ready, &built.catalogue);
    places.extend(built.limits.iter().filter_map(|limit| limit.index));
    places.extend(built.targets.iter().filter_map(|target| target.index));
    places.extend(wanted.places(&built.catalogue));
    let entries = built.catalogue.entries().iter().enumerate();
    let gauges = entries.filter(|(_, entry)| matches!(entry.id, Id::Gauge(_) | Id::Rise(_)));
    places.extend(gauges.map(|(place, _)| place));
    places.sort_unstable();
    places.dedup();
    places
}

/// Follows the duty cycle.
pub(super) fn answer(
    case: &Case,
    variant: Option<&str>,
    (wanted, lengths): (&Wanted, Lengths),
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    let built = case.built(variant)?;
    let ready = &built.ready;
    let wanted = wanted.resolved(&built.catalogue)?;
    let followed = follow(&built, Some(&recorded(&built, &wanted)), workers)?;
    let mut answer = Answer::new(Topic::Cycle, &ready.title);
    let Followed { history, judged, influences, warnings, targets, readiness, .. } = &followed;
    answer.variant = variant.map(str::to_owned);
    let watched = cycle::worth_watching(ready, &history.catalogue);
    let place = |of: &str| history.catalogue.find(of);
    let own = judged.iter().filter(|j| verdict::seen(j).by_people());
    let mut columns: Vec<usize> = own.filter_map(|j| place(&j.limit.of)).collect();
    columns.extend(&watched);
    let mut seen = Vec::new();
    columns.retain(|index| {
        let new = !seen.contains(index);
        seen.push(*index);
        new
    });
    let all = &mut answer.sections;
    let found = looked_at(ready, None);
    let beside = followed.beside(&built, &found);
    let verdict = beside.weighs(followed.verdict());
    answer.verdict = Some(verdict);
    answer.beside = verdict::told(&ready.model, judged, &beside);
    all.push(verdict::line(&ready.model, judged, verdict, &beside));
    all.extend(history.boiled.map(|boiled| cycle::boils(ready, boiled)));
    all.push(sections::title(ready));
    all.push(conditions_of(&built, variant));
    all.extend(happened::log(ready));
    let at = all.len();
    all.push(cycle::limits(ready, judged));
    all.push(pulls::limits(judged));
    all.push(words::over_time(&ready.model, warnings));
    all.push(check::layout(&found));
    all.push(cycle::readiness(ready, history, (targets, readiness)));
    let lasts = lasting(&built, (lengths, beside.grave.is_empty()), workers)?;
    all.push(cycle::lasting(ready, [lengths.longest, lengths.rest], &lasts));
    all.insert(at, story(ready, history, judged, (targets, readiness), &lasts));
    all.push(happened::switched(ready, history));
    all.push(happened::ran_on(ready, history));
    all.push(happened::refills(ready, history));
    all.push(happened::caps(ready, history));
    all.push(cycle::peaks(history, &watched, judged));
    all.extend(gauges::over_cycle(ready, history));
    all.push(pulls::gauges(ready, history));
    all.push(ledger::heat(ready, history));
    all.push(ledger::stores(ready, history));
    all.push(ledger::where_heat_went(ready, history));
    all.push(cycle::histories(history, &columns, judged));
    all.push(assumptions(ready, influences));
    all.push(sections::notes(ready));
    columns.extend(judged.iter().filter_map(|judged| place(&judged.limit.of)));
    columns.extend(targets.iter().filter_map(|target| place(&target.of)));
    answer.cautions = cautions(ready, caps_of_cycle(ready, history));
    answer.histories = Some(histories(history, &wanted, columns));
    Ok(answer)
}

/// The conditions of the phase that takes the most power, with all that it sets.
fn conditions_of(built: &Built<'_>, variant: Option<&str>) -> Section {
    let ready = &built.ready;
    let power = |phase: &LoweredPhase| ready.model.inputs.value(&values_in(ready, phase), POWER);
    let most = ready
        .duty
        .phases
        .iter()
        .reduce(|most, phase| if power(phase) > power(most) { phase } else { most });
    let values = most.map_or_else(|| ready.model.values.clone(), |phase| values_in(ready, phase));
    let phase = most.map_or("", |phase| phase.plain.as_str());
    let which = conditions::which(ready, &values, variant, Some(phase));
    conditions::conditions(ready, &values, which)
}
