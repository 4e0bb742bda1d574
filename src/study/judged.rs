//! The verdict on limits: kept, broken, or not judged. Nothing is kept that was not judged.

use coolwright_cases::lower::{BuiltInKind, LoweredPhase};
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Circuit;
use coolwright_models::cycle::{Boiled, History};
use coolwright_models::model::Model;
use coolwright_models::point::{Held, OperatingPoint};
use coolwright_models::results::quantities::{BOIL_MARGIN, is_of_vapour};
use coolwright_models::watch::Watched;

use super::frost::colder_air;
use super::going::Going;
use super::in_pulls::{InPull, in_pulls};
use super::limits::{Bound, Limit};
use crate::answer::{Sentence, Verdict, kinds};

/// Why a limit was not judged.
#[derive(Clone, Debug, PartialEq)]
pub enum Unjudged {
    /// What it is about has no steady state, and nothing broke on the way from the start.
    NotSteady {
        /// The circuit without a steady state.
        held: Held,
        /// For how long from the start it was kept, s; `None` where that could not be followed.
        kept_s: Option<f64>,
    },
    /// A variant took away what it is about.
    Gone,
    /// The circuit is closed and has no tank: nothing says where coolant goes that warms.
    NoTank,
    /// The result is no finite number: a ratio to nothing.
    NoNumber {
        /// When in a cycle, s.
        at_s: Option<f64>,
    },
    /// It is about boiling, and no vapour pressure of the liquid is told.
    NoVapour,
    /// It is kept by the mean or the sum of what has several passes, and not by the worst of them.
    Hidden {
        /// What the result would be if all passes were like the worst, SI.
        worst: f64,
    },
    /// Coolant runs backwards, by more than the bound.
    Backwards {
        /// The result, SI.
        value: f64,
    },
    /// The air is colder than the coolant freezes at.
    Cold {
        /// By how much, K.
        below_k: f64,
    },
    /// It is tied to phases, and this is none of them.
    OtherPhase,
    /// The cycle ended before its phase came.
    NotReached {
        /// When the cycle ended, s.
        at_s: f64,
    },
    /// It was kept until the cycle ended early.
    CutShort {
        /// When the cycle ended, s.
        at_s: f64,
    },
}

/// How a limit stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Standing {
    /// It was judged and is kept.
    Kept,
    /// It is broken.
    Broken,
    /// It was not judged.
    NotJudged(Unjudged),
}

/// A reason for which a limit that is kept could be broken all the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Turn {
    /// What could turn it, in words.
    pub by: Sentence,
    /// How far it may move the value towards the bound, SI, zero or more.
    pub moves: f64,
    /// Whether there is no value then, as something boils or is never steady.
    pub no_value: bool,
}

impl Turn {
    /// What moves the value so far, SI.
    pub fn of(by: Sentence, moves: f64) -> Self {
        Self { by, moves, no_value: false }
    }
}

/// A limit with the value that it was held against.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The limit.
    pub limit: Limit,
    /// How it stands.
    pub standing: Standing,
    /// The value with the least margin, SI; `None` where there is none.
    pub value: Option<f64>,
    /// When that was, s, where time was followed.
    pub at_s: Option<f64>,
    /// When it was broken first, s after the start, where time was followed.
    pub first_s: Option<f64>,
    /// For how long it was broken in all, s, where that was followed to the end.
    pub beyond_s: Option<f64>,
    /// What the value may be off by towards its bound because published laws disagree, SI; `None` where
    /// that is not known.
    pub off: Option<f64>,
    /// What could turn it.
    pub turns: Vec<Turn>,
    /// The most that a temperature reaches outside the phases that its bound is tied to, SI, and when, s, where that is
    /// beyond the bound: what is hot peaks behind its pull.
    pub outside: Option<(f64, f64)>,
    /// Where a cycle leaves it, if it goes on.
    pub going: Option<Going>,
    /// How it stands in each pull of a cycle that has several.
    pub pulls: Vec<InPull>,
}

impl Limit {
    /// Whether it bounds a temperature from above in some phases only.
    fn peaks_late(&self) -> bool {
        self.during.is_some() && self.kind == Kind::Temperature && self.bound == Bound::AtMost
    }

    /// Why its result is no number, at a time of a cycle, s: a margin against boiling, and one over the vapour pressure,
    /// is one wherever that is known.
    fn no_number(&self, model: &Model, at_s: Option<f64>) -> Unjudged {
        if over_vapour(model, &self.of) { Unjudged::NoVapour } else { Unjudged::NoNumber { at_s } }
    }

    /// Why there is no result that it could be held against.
    fn missing(&self) -> Unjudged {
        match self.built_in {
            Some(BuiltInKind::Spill) => Unjudged::NoTank,
            _ => Unjudged::Gone,
        }
    }
}

impl Judged {
    /// Where air is colder than the coolant freezes at: what stands in it long enough freezes, and still air takes no
    /// heat here, so nothing is known.
    fn in_the_cold(self, below_k: Option<f64>) -> Self {
        let colder = |below: &f64| *below > 0.0 && self.limit.margin(-below) < 0.0;
        match below_k.filter(|below| self.holds() && colder(below)) {
            Some(below_k) => self.unjudged(Unjudged::Cold { below_k }),
            None => self,
        }
    }

    /// Where the result is a mean or a sum of passes: kept by that, and not by the worst of them, it is not judged.
    fn hiding(self, worst: Option<f64>) -> Self {
        match worst.filter(|worst| self.holds() && self.limit.margin(*worst) < 0.0) {
            Some(worst) => self.unjudged(Unjudged::Hidden { worst }),
            None => self,
        }
    }

    /// Where coolant or air runs backwards: a flow or a fall below nothing keeps every upper bound.
    fn backwards(self) -> Self {
        let kinds = [
            Kind::VolumeFlow,
            Kind::MassFlow,
            Kind::PressureDifference,
            Kind::AirFlow,
            Kind::AirPressureDifference,
            Kind::Velocity,
        ];
        let signed = kinds.contains(&self.limit.kind) && self.limit.bound == Bound::AtMost;
        match self.value.filter(|value| signed && self.holds() && -value > self.limit.value) {
            Some(value) => self.unjudged(Unjudged::Backwards { value }),
            None => self,
        }
    }

    fn unjudged(self, why: Unjudged) -> Self {
        Self { standing: Standing::NotJudged(why), going: None, ..self }
    }

    fn new(limit: &Limit, standing: Standing) -> Self {
        Self {
            limit: limit.clone(),
            standing,
            value: None,
            at_s: None,
            first_s: None,
            beyond_s: None,
            off: None,
            turns: Vec::new(),
            outside: None,
            going: None,
            pulls: Vec::new(),
        }
    }

    fn not(limit: &Limit, why: Unjudged) -> Self {
        Self::new(limit, Standing::NotJudged(why))
    }

    /// Whether the limit was judged and is kept.
    pub fn holds(&self) -> bool {
        self.standing == Standing::Kept
    }

    /// Whether it is broken.
    pub fn is_broken(&self) -> bool {
        self.standing == Standing::Broken
    }

    /// How far the value is on the good side of the bound, SI; below zero where it is broken.
    pub fn margin(&self) -> Option<f64> {
        self.value.map(|value| self.limit.margin(value))
    }

    /// Whether it is kept by less than what could move its value.
    pub fn may_turn(&self) -> bool {
        self.holds() && self.turns.iter().any(|turn| self.margin().is_some_and(|m| turn.moves > m))
    }
}

/// How all limits stand together. `whole` says that nothing was left out: no circuit without a steady
/// state, no cycle that ended early.
pub fn stands(judged: &[Judged], whole: bool) -> Verdict {
    if judged.iter().any(Judged::is_broken) {
        Verdict::Broken
    } else if whole && !judged.is_empty() && judged.iter().all(Judged::holds) {
        Verdict::Holds
    } else {
        Verdict::NotJudged
    }
}

/// Whether a result, by its address, follows from a vapour pressure that nobody tells.
fn over_vapour(model: &Model, address: &str) -> bool {
    let Some((path, name)) = address.rsplit_once(':') else { return false };
    let inside = |of: &str| {
        path.strip_prefix(of).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    let untold = |circuit: &Circuit| {
        let liquid = circuit.coolant.liquid(&model.values);
        inside(&circuit.name) && liquid.is_ok_and(|liquid| !liquid.has_vapour())
    };
    is_of_vapour(name) && model.circuits.iter().any(untold)
}

/// A limit held against its value at one moment.
fn at_moment(limit: &Limit, index: usize, (model, values): (&Model, &[f64])) -> Judged {
    let value = values[index];
    if !value.is_finite() {
        return Judged::not(limit, limit.no_number(model, None));
    }
    let kept = limit.margin(value) >= 0.0;
    let standing = if kept { Standing::Kept } else { Standing::Broken };
    let value = Some(value).filter(|value| kinds::can_be(limit.kind, *value));
    let judged = Judged { value, ..Judged::new(limit, standing) };
    judged.hiding(limit.worst_of_mean.map(|k| values[k])).backwards()
}

/// What the way from the start showed of a limit.
fn boiled_of(limit: &Limit, model: &Model, boiled: Option<Boiled>) -> Option<f64> {
    let boiled = boiled?;
    let name = &model.circuits[boiled.circuit].name;
    let own = limit.built_in == Some(BuiltInKind::Boiling)
        && limit.of == format!("{name}:{}", BOIL_MARGIN.name);
    own.then_some(boiled.at_s)
}

/// The way from the start at conditions that are kept up, for what has no steady state.
#[derive(Clone, Debug)]
pub struct Way {
    /// What was followed; the limits were watched.
    pub history: History,
    /// Where each limit stands among what was watched.
    pub places: Vec<Option<usize>>,
}

impl Way {
    /// When it ended, s.
    pub fn end_s(&self) -> f64 {
        self.history.phases.last().map_or(0.0, |phase| phase.to_s)
    }
}

/// Holds a point against the limits. `phase` is the phase whose settings hold, by its name in the file.
/// What has no steady state is broken where the way from the start breaks it, and else not judged.
pub fn judge(
    limits: &[Limit],
    model: &Model,
    point: &OperatingPoint,
    (phase, way): (Option<&str>, Option<&Way>),
) -> Vec<Judged> {
    let one = |(k, limit): (usize, &Limit)| {
        let Some(index) = limit.index else { return Judged::not(limit, limit.missing()) };
        if limit.during.is_some() && !phase.is_some_and(|phase| limit.in_phase(phase)) {
            return Judged::not(limit, Unjudged::OtherPhase);
        }
        let entry = &point.results.catalogue.entries()[index];
        let Some(held) = point.unsteady(model, entry.id) else {
            let judged = at_moment(limit, index, (model, &point.results.values));
            return judged.in_the_cold(colder_air(limit, model));
        };
        let watched = way.and_then(|way| Some(&way.history.watched[way.places[k]?]));
        let boiled = way.and_then(|way| boiled_of(limit, model, way.history.boiled));
        let first_s = boiled.or_else(|| watched?.first_s());
        let kept_s = way.map(Way::end_s);
        match first_s {
            Some(_) => Judged { first_s, ..Judged::new(limit, Standing::Broken) },
            None => Judged::not(limit, Unjudged::NotSteady { held, kept_s }),
        }
    };
    limits.iter().enumerate().map(one).collect()
}

/// Holds a state in a cycle against the limits.
pub fn judge_moment(
    limits: &[Limit],
    (model, values): (&Model, &[f64]),
    phase: &str,
) -> Vec<Judged> {
    let one = |limit: &Limit| match limit.index {
        None => Judged::not(limit, limit.missing()),
        Some(_) if !limit.in_phase(phase) => Judged::not(limit, Unjudged::OtherPhase),
        Some(index) => at_moment(limit, index, (model, values)),
    };
    limits.iter().map(one).collect()
}

/// Holds a duty cycle against the limits. `places` tells where each stands among what was watched.
pub fn judge_history(
    limits: &[Limit],
    model: &Model,
    (phases, history): (&[LoweredPhase], &History),
    places: &[Option<usize>],
) -> Vec<Judged> {
    let ended = history.boiled.map(|boiled| boiled.at_s);
    let one = |(limit, place): (&Limit, &Option<usize>)| {
        let Some(place) = *place else { return Judged::not(limit, limit.missing()) };
        let watched = &history.watched[place];
        if let Some(at_s) = boiled_of(limit, model, history.boiled) {
            let first_s = watched.first_s().or(Some(at_s));
            return Judged { at_s: Some(at_s), first_s, ..Judged::new(limit, Standing::Broken) };
        }
        let pulls = in_pulls(limit, watched, (phases, &history.phases));
        if !watched.beyond.is_empty() {
            return Judged { pulls, ..seen(limit, watched, Standing::Broken) };
        }
        // The phase in which the cycle ended early is not whole, nor are those behind it.
        let cut = ended.map_or(phases.len(), |_| history.phases.len().saturating_sub(1));
        let whole = phases[cut..].iter().all(|phase| !limit.in_phase(&phase.plain));
        let standing = match (watched.worst, watched.unknown_s, ended) {
            (_, Some(at_s), _) => Standing::NotJudged(limit.no_number(model, Some(at_s))),
            (None, _, at_s) => {
                Standing::NotJudged(Unjudged::NotReached { at_s: at_s.unwrap_or(0.0) })
            }
            (Some(_), None, Some(at_s)) if !whole => {
                Standing::NotJudged(Unjudged::CutShort { at_s })
            }
            (Some(_), None, _) => Standing::Kept,
        };
        // Ice brings coolant to its freezing point and no further, however often.
        let freezing = limit.built_in == Some(BuiltInKind::Freezing);
        let going = if standing == Standing::Kept && !freezing {
            let end_s = history.phases.last().map_or(0.0, |phase| phase.to_s);
            Going::of(limit, watched, (phases, end_s))
        } else {
            None
        };
        let hidden = limit.worst_of_mean.and_then(|_| history.watched.get(place + 1)?.worst);
        let outside = history.watched.get(place + 1 + usize::from(limit.worst_of_mean.is_some()));
        let outside = outside.filter(|_| limit.peaks_late() && standing == Standing::Kept);
        let outside =
            outside.and_then(|all| all.worst).filter(|(worst, _)| limit.margin(*worst) < 0.0);
        let judged = Judged { outside, going, pulls, ..seen(limit, watched, standing) };
        let judged = judged.hiding(hidden.map(|(worst, _)| worst)).backwards();
        judged.in_the_cold(colder_air(limit, model))
    };
    limits.iter().zip(places).map(one).collect()
}

fn seen(limit: &Limit, watched: &Watched, standing: Standing) -> Judged {
    let broken = standing == Standing::Broken;
    Judged {
        value: watched.worst.map(|(value, _)| value).filter(|si| kinds::can_be(limit.kind, *si)),
        at_s: watched.worst.map(|(_, at_s)| at_s),
        first_s: watched.first_s(),
        beyond_s: broken.then(|| watched.beyond_s()),
        ..Judged::new(limit, standing)
    }
}
