//! `point`: one operating point.

use coolwright_cases::quantity::Kind;
use coolwright_cases::text::nearest;
use coolwright_models::crossings::crossings;
use coolwright_models::cycle::{Columns, Phase, Program};
use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::point::{OperatingPoint, operating_point};
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;
use coolwright_models::simulate::Flows;
use coolwright_models::slots::Values;
use coolwright_models::solve::SolveError;
use coolwright_models::uncertainty::{Uncertainty, uncertainty};
use coolwright_models::warnings::warnings as warnings_of;

use super::case::{Built, did_you_mean};
use super::cycle::{no_duty, phases};
use super::{Case, values};
use crate::answer::{Answer, Form, Lay, Section, Topic, Value, Verdict};
use crate::drawing::State;
use crate::refusal::Refusal;
use crate::say;
use crate::sections::beside::Beside;
use crate::sections::cautions::{caps_of_point, cautions};
use crate::sections::{
    self, Scene, air, bodies, charge, check, conditions, gauges, pumps, survey, verdict,
};
use crate::study::{
    Bound, Findings, Influence, Judged, Limit, Moment, Off, Way, judge, judge_moment, looked_at,
    own_error, stands, sway_point, watches,
};
use crate::words::warnings;
use crate::workers::Workers;

/// What was solved: the numbers, the state, and how the limits stand.
pub(super) struct Solved {
    pub(super) values: Values,
    pub(super) point: OperatingPoint,
    pub(super) judged: Vec<Judged>,
    /// The way from the start, where something has no steady state.
    pub(super) way: Option<Way>,
}

impl Solved {
    /// How the limits stand.
    pub(super) fn verdict(&self) -> Verdict {
        stands(&self.judged, self.point.held.is_empty())
    }

    /// What stands beside the verdict, with what was found in the layout.
    pub(super) fn beside(&self, built: &Built<'_>, found: &Findings) -> Beside {
        let mut beside = built.beside.clone();
        beside.layout(found);
        beside.met(&built.ready, self.point.warnings.iter());
        beside.switches(&built.ready, &self.point.results);
        beside.cold(&built.ready, &built.ready.model.values);
        beside.heatless(&built.ready);
        beside
    }

    /// What all of it may be off by.
    pub(super) fn uncertainty(&self, built: &Built<'_>) -> Result<Uncertainty, Refusal> {
        let found = uncertainty(&built.ready.model, &self.values, &self.point);
        found.map_err(|error| built.unsolved(&error))
    }

    /// What assumptions could change; limits get their ± and what could turn them.
    pub(super) fn sway(
        &mut self,
        built: &Built<'_>,
        uncertain: &Uncertainty,
        workers: &dyn Workers,
    ) -> Vec<Influence> {
        let off = |limit: &Limit| {
            let half_width = uncertain.towards(&limit.of, limit.bound == Bound::AtMost)?;
            let most_from = uncertain.leading_of(&limit.of).copied();
            let own = own_error(&built.ready, limit).unwrap_or(0.0);
            Some(Off { half_width, most_from, own })
        };
        let tangent = uncertain.tangent.as_ref().filter(|_| self.point.held.is_empty());
        sway_point(
            &built.ready,
            &self.values,
            (&self.point, tangent, &mut self.judged),
            &off,
            workers,
        )
    }
}

impl Solved {
    /// Shows it to who draws it.
    pub(super) fn show(&self, built: &Built<'_>, shown: Shown<'_>) {
        let (ready, results) = (&built.ready, &self.point.results);
        let (values, point) = (&self.values, &self.point);
        shown(&State { ready, values, point, results, uncertainty: None });
    }
}

/// With more runs than this what the answer may be off by, and what assumptions could change, is left out unless asked
/// for.
pub(super) const MOST_RUNS: usize = 2_000;

/// How long the way from the start is followed at conditions that are kept up, s.
const WAY_S: f64 = 3600.0;

/// Solves the point at which everything is steady with the given numbers. `phase` is the phase that
/// they are of, by its name in the file.
pub(super) fn solve(
    built: &Built<'_>,
    values: Values,
    phase: Option<&str>,
) -> Result<Solved, SolveError> {
    let model = &built.ready.model;
    let point = operating_point(model, values.clone(), None)?;
    Ok(judged_at(built, values, point, phase))
}

/// Judges a point that was found with the given numbers, with the way from the start where something has no steady state.
pub(super) fn judged_at(
    built: &Built<'_>,
    values: Values,
    point: OperatingPoint,
    phase: Option<&str>,
) -> Solved {
    let way = if point.held.is_empty() { None } else { from_start(built, &values, phase) };
    let judged = judge(&built.limits, &built.ready.model, &point, (phase, way.as_ref()));
    Solved { values, point, judged, way }
}

/// Follows the way from the start with numbers that stay as they are; nothing where that fails.
pub(super) fn from_start(built: &Built<'_>, values: &Values, phase: Option<&str>) -> Option<Way> {
    let (watches, places) = watches(&built.limits, &[phase.unwrap_or_default()]);
    let only = Phase { name: "as it is".to_owned(), time_s: WAY_S, ..Phase::default() };
    let program = Program { phases: vec![only], tracks: Vec::new(), watches };
    let mut instance = Instance::new(&built.ready.model);
    let history = instance.follow(values, &program, Columns::Only(&[]), &mut |_| true);
    history.ok().map(|history| Way { history: history.clone(), places })
}

/// The state of the duty cycle at a time.
fn at_time(built: &Built<'_>, at_s: f64) -> Result<(Solved, String), Refusal> {
    let duty = &built.ready.duty;
    if duty.phases.is_empty() {
        return Err(no_duty());
    }
    let model = &built.ready.model;
    let mut left = phases(built);
    let mut begins_s = 0.0;
    let found = left.iter().position(|phase| {
        let ends_s = begins_s + phase.time_s;
        let within = at_s <= ends_s;
        if !within {
            begins_s = ends_s;
        }
        within
    });
    let Some(last) = found.filter(|_| at_s >= 0.0) else {
        let ends: f64 = left.iter().map(|phase| phase.time_s).sum();
        return Err(Refusal::said(say!(
            "the duty cycle ends {ends} after its start, so it has no moment at {at}",
            ends = Value::formed(Kind::Time, ends, Form::Decimals(1)),
            at = Value::formed(Kind::Time, at_s, Form::Decimals(1)),
        )));
    };
    left.truncate(last + 1);
    left[last].time_s = at_s - begins_s;
    let mut instance = Instance::new(model);
    let tracks = duty.tracks.clone();
    let program = Program { phases: left, tracks, watches: Vec::new() };
    let history = instance.follow(&model.values, &program, Columns::All, &mut |_| true);
    let history = history.map_err(|error| built.unsolved(&error))?.clone();
    if let Some(boiled) = history.boiled {
        return Err(Refusal::said(say!(
            "the cycle ends {ends} after its start, where the coolant of `{circuit}` boils, so it has no moment \
             at {at}",
            ends = Value::formed(Kind::Time, boiled.at_s, Form::Decimals(1)),
            circuit = &model.circuits[boiled.circuit].name,
            at = Value::formed(Kind::Time, at_s, Form::Decimals(1)),
        )));
    }
    let simulator = instance.simulator().expect("it has been followed");
    let mut flows = Flows::default();
    simulator.settled.flows_into(&mut flows);
    let values = simulator.numbers();
    let warnings = warnings_of(simulator, &history.states);
    let results = Results {
        catalogue: history.catalogue.clone(),
        values: history.rows.last().unwrap_or_default().to_vec(),
    };
    let (held, warming, steps) = (Vec::new(), Vec::new(), 0);
    let states = history.states.clone();
    let point = OperatingPoint { states, results, held, warming, warnings, steps, flows };
    let plain = &duty.phases[last].plain;
    let judged = judge_moment(&built.limits, (model, &point.results.values), plain);
    Ok((Solved { values, point, judged, way: None }, duty.phases[last].name.clone()))
}

/// Solves the moment that is asked for; with the phase that it is of.
pub(super) fn of_moment(
    built: &Built<'_>,
    moment: &Moment,
) -> Result<(Solved, Option<String>), Refusal> {
    let steady =
        |values, phase| solve(built, values, phase).map_err(|error| built.unsolved(&error));
    match moment {
        Moment::At(at_s) => at_time(built, *at_s).map(|(solved, phase)| (solved, Some(phase))),
        Moment::Full => Ok((steady(built.ready.model.values.clone(), None)?, None)),
        Moment::Phase(name) => {
            let (values, plain) = values_of(built, name)?;
            Ok((steady(values, Some(&plain))?, Some(name.clone())))
        }
    }
}

/// Solves an operating point.
pub(super) fn answer(
    case: &Case,
    variant: Option<&str>,
    wanted: (&Moment, bool),
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    answer_shown(case, variant, wanted, (workers, &mut |_| ()))
}

/// Is shown what was solved.
pub(super) type Shown<'f> = &'f mut dyn FnMut(&State<'_>);

/// Solves an operating point, and shows what was solved.
pub(super) fn answer_shown(
    case: &Case,
    variant: Option<&str>,
    (moment, off): (&Moment, bool),
    (workers, shown): (&dyn Workers, Shown<'_>),
) -> Result<Answer, Refusal> {
    let built = case.built(variant)?;
    let ready = &built.ready;
    let (mut solved, phase) = of_moment(&built, moment)?;
    // A moment of the cycle is no balance that laws and assumptions could be moved in.
    let steady = !matches!(moment, Moment::At(_));
    let runs: usize = ready.model.circuits.iter().map(|circuit| circuit.runs.len()).sum();
    let off = off || runs <= MOST_RUNS;
    let (uncertain, influences) = if steady && off {
        let uncertain = solved.uncertainty(&built)?;
        let influences = solved.sway(&built, &uncertain, workers);
        (Some(uncertain), influences)
    } else {
        (None, Vec::new())
    };
    let Solved { values: set, point, judged, way } = &solved;
    let around = uncertain.as_ref();
    let results = if let Some(uncertain) = around {
        point.results.joined(&uncertain.own)
    } else {
        let own = Instance::new(&ready.model).fall_uncertainty(set, &point.states);
        point.results.joined(&own.map_err(|error| built.unsolved(&error))?)
    };
    let found = looked_at(ready, steady.then_some(point));
    let scene = Scene { ready, values: set, results: &results, uncertainty: around };
    let circuits = 0..ready.model.circuits.len();
    shown(&State { ready, values: set, point, results: &results, uncertainty: around });
    let mut answer = Answer::new(Topic::Point, &ready.title);
    answer.variant = variant.map(str::to_owned);
    answer.phase.clone_from(&phase);
    let at = match moment {
        Moment::At(at_s) => conditions::which_at(*at_s, phase.as_deref(), variant),
        _ => conditions::which(ready, set, variant, phase.as_deref()),
    };
    let all = &mut answer.sections;
    let mut beside = built.beside.clone();
    beside.layout(&found);
    beside.met(ready, point.warnings.iter());
    if steady {
        beside.switches(ready, &results);
    }
    if steady && !off {
        beside.against.push(say!(
            "with {runs} runs neither what it may be off by nor what assumptions could change was worked out: `--full` \
             does",
            runs = runs
        ));
    }
    beside.cold(ready, set);
    beside.heatless(ready);
    let verdict = beside.weighs(solved.verdict());
    answer.verdict = Some(verdict);
    let said = (verdict, if steady { "" } else { "at this moment" });
    answer.beside = verdict::told(&ready.model, judged, &beside);
    all.push(verdict::of_moment(&ready.model, judged, said, &beside));
    all.push(conditions::moment(moment, built.judge_command(variant)));
    all.push(sections::title(ready));
    all.push(conditions::conditions(ready, set, at));
    all.push(conditions::held(ready, point, way.as_ref()));
    all.push(verdict::limits(&ready.model, judged));
    all.push(warnings::section(&ready.model, &point.warnings));
    all.push(check::layout(&found));
    all.extend(circuits.clone().map(|c| survey::survey(&scene, c)));
    all.push(bodies::bodies(&scene));
    all.extend(bodies::walls(&scene));
    all.extend(bodies::passes(&scene));
    all.push(bodies::exchangers(&scene));
    all.push(bodies::cores(&scene));
    all.push(bodies::limiting(&scene));
    all.push(air::paths(&scene));
    all.extend(charge::ways(&scene));
    all.extend(circuits.flat_map(|c| sections::circuit::circuit(&scene, c)));
    all.extend(around.map(|uncertain| sections::uncertainty::uncertainty(&scene, uncertain)));
    all.push(gauges::gauges(&scene));
    all.push(supply(&scene));
    if steady {
        all.extend(pumps::crossings(&crossings(&ready.model, set, point)));
    }
    if steady && off {
        all.push(sections::assumptions::assumptions(ready, &influences));
    }
    all.push(sections::notes(ready));
    answer.cautions = cautions(ready, caps_of_point(ready, &results));
    answer.results = values(&results, around);
    Ok(answer)
}

/// What all pumps and fans draw, of each supply in a line: currents of different voltages are no sum.
fn supply(scene: &Scene<'_>) -> Section {
    let supplies = &scene.ready.model.supplies;
    let mut section = Section::plain("supply").apart();
    for (s, supply) in supplies.iter().enumerate() {
        let current = scene.at(Id::Supply(s), &q::SUPPLY);
        let open = |slot| Value::of(Kind::Voltage, scene.values.get(slot));
        let volts = match supply.sag {
            Some(_) => scene.at(Id::Supply(s), &q::TERMINAL),
            None => open(supply.voltage),
        };
        let sentence = if supplies.len() == 1 {
            say!(
                "All pumps and fans together draw {current}, at {volts}.",
                current = current,
                volts = volts
            )
        } else {
            say!(
                "The pumps and fans of `{supply}` together draw {current}, at {volts}.",
                supply = &supply.path,
                current = current,
                volts = volts
            )
        };
        section = section.say(sentence, Lay::Lines);
        if let Some(sag) = supply.sag {
            let (supply, from) = (&supply.path, open(sag.open));
            let sags =
                say!("With nothing drawn `{supply}` has {from}.", supply = supply, from = from);
            section = section.say(sags, Lay::Lines);
        }
    }
    section
}

/// The values of the case with what a phase sets, and the name of the phase in the file. Of a phase that
/// is repeated either name will do.
fn values_of(built: &Built<'_>, name: &str) -> Result<(Values, String), Refusal> {
    let mut values = built.ready.model.values.clone();
    let phases = &built.ready.duty.phases;
    let found = phases.iter().find(|phase| phase.name == name || phase.plain == name);
    let Some(phase) = found else {
        let mut known: Vec<&str> = Vec::new();
        for phase in phases {
            if !known.contains(&phase.plain.as_str()) {
                known.push(&phase.plain);
            }
        }
        let rounds = phases.iter().map(|phase| phase.name.as_str());
        let hint = did_you_mean(nearest(name, known.iter().copied().chain(rounds)));
        let known = if known.is_empty() { Value::from("none") } else { Value::list(known, ", ") };
        return Err(Refusal::said(say!(
            "the duty has no phase `{name}`.{hint} It has: {known}",
            name = name,
            hint = hint,
            known = known,
        )));
    };
    built.ready.model.write_running(&mut values, &phase.sets);
    Ok((values, phase.plain.clone()))
}
