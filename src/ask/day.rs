//! `day`: whether it holds in the weather of the day, and how far start, pull, rest and ice may go.

use coolwright_cases::case::Change;
use coolwright_cases::lower::{Bound, Ready};
use coolwright_cases::quantity::{Kind, parse};

use super::case::Built;
use super::compare::over_cycle;
use super::lasting::{Lengths, lasting, worst};
use super::trial::{Trial, of_built, tried};
use super::{Case, Judge};
use crate::answer::{Answer, Sentence, Topic, Value, Verdict};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::cautions::cautions;
use crate::sections::day::{Bounded, Cell, Side, Told, What};
use crate::sections::{self, verdict};
use crate::study::{Judged, Lasts, Room, edge};
use crate::workers::{self, Workers};

/// The weather and the place of the day, as they were written; what is left out is that of the case.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Day {
    /// Air temperature.
    pub air: Option<String>,
    /// Altitude.
    pub altitude: Option<String>,
    /// Relative humidity.
    pub humidity: Option<String>,
}

/// The hottest start that is tried, K: above that no circuit waits for a pull.
const HOTTEST_START_K: f64 = 273.15 + 110.0;
/// By how much hotter air is tried, K.
const HOTTER_K: f64 = 30.0;
/// How finely a temperature is found, K, and ice, kg.
const FINE_K: f64 = 0.2;
/// See [`FINE_K`].
const FINE_KG: f64 = 0.1;
/// The most ice that is tried, in times of what the case has.
const MOST_ICE: f64 = 4.0;
/// Air of the table beside that of the day, K.
const AIRS_K: [f64; 5] = [-10.0, -5.0, 0.0, 5.0, 10.0];
/// Starts of the table beside that of the case, K.
const STARTS_K: [f64; 4] = [-10.0, 0.0, 10.0, 20.0];

/// Judges the day.
pub(super) fn answer(case: &Case, day: &Day, workers: &dyn Workers) -> Result<Answer, Refusal> {
    let bay = Bay::of(case)?;
    let weather = bay.along(weather(day)?);
    let built = case.built_with(&weather)?;
    let over_cycle = over_cycle(&built.ready, Judge::Usual)?;
    let today = of_built(&built, over_cycle)?;
    let of_day = OfDay { case, weather: &weather, over_cycle, bay };
    let bounds = of_day.bounds(&built, &today, workers)?;
    let ready = &built.ready;
    let told = Told {
        ready,
        verdict: today.verdict,
        told: (today.beside.told().cloned())
            .chain(verdict::counted_details(&ready.model, &today.judged))
            .collect(),
        judged: &today.judged,
        table: of_day.table(&built, &bounds, workers),
        bounds,
        given: [&day.air, &day.altitude, &day.humidity].map(Option::is_some),
        above: bay.above_k(),
    };
    let mut answer = Answer::new(Topic::Day, &ready.title);
    answer.verdict = Some(told.verdict);
    answer.beside.clone_from(&told.told);
    let all = &mut answer.sections;
    all.push(sections::day::summary(&told));
    all.push(sections::title(ready));
    all.push(sections::day::judged_by(over_cycle));
    all.push(sections::day::bounds(&told));
    all.push(sections::day::table(&told));
    all.push(sections::day::mind(&told));
    answer.cautions = cautions(ready, Vec::new());
    Ok(answer)
}

/// The weather as changes of the case.
fn weather(day: &Day) -> Result<Vec<Change>, Refusal> {
    let told = [
        ("--air", "site:air", Kind::Temperature, &day.air),
        ("--altitude", "site:altitude", Kind::Length, &day.altitude),
        ("--humidity", "site:humidity", Kind::Fraction, &day.humidity),
    ];
    let mut changes = Vec::new();
    for (option, address, kind, text) in told {
        let Some(text) = text else { continue };
        let si = parse(kind, text).map_err(|error| {
            let why = Value::spoken(&error.message);
            let refusal = Refusal::said(say!("`{option}`: {why}", option = option, why = why));
            error.help.iter().fold(refusal, |refusal, help| refusal.help(Sentence::spoken(help)))
        })?;
        changes.push(Change::number(address, kind, si));
    }
    Ok(changes)
}

/// A case in the weather of the day.
struct OfDay<'a> {
    case: &'a Case,
    weather: &'a [Change],
    over_cycle: bool,
    bay: Bay,
}

/// The air of the bay and that of the site as the case tells them, K, where it tells the first by itself.
#[derive(Clone, Copy, Debug)]
struct Bay(Option<[f64; 2]>);

impl Bay {
    fn of(case: &Case) -> Result<Self, Refusal> {
        let ready = case.built_with(&[])?.ready;
        let told = ready.addresses.get("bay:air").filter(|bay| bay.span.is_some());
        let air_k = ready.model.values.get(ready.model.site.temperature);
        Ok(Self(told.map(|bay| [bay.value, air_k])))
    }

    /// By how much it is warmer than the site, K, where it goes along with that.
    fn above_k(self) -> Option<f64> {
        self.0.map(|[bay_k, air_k]| bay_k - air_k)
    }

    /// Changes with the bay as much warmer than the site as the case has it.
    fn along(self, mut changes: Vec<Change>) -> Vec<Change> {
        let air = changes.iter().find(|of| of.address == "site:air");
        let air_k = air.and_then(|of| parse(Kind::Temperature, of.text.trim_matches('"')).ok());
        if let (Some(above_k), Some(air_k)) = (self.above_k(), air_k)
            && !changes.iter().any(|of| of.address == "bay:air")
        {
            changes.push(Change::number("bay:air", Kind::Temperature, air_k + above_k));
        }
        changes
    }
}

impl OfDay<'_> {
    /// How it stands with more changes; those at an address of the weather stand in for it.
    fn with(&self, more: &[Change]) -> Result<Trial, Refusal> {
        let more = &self.bay.along(more.to_vec());
        let own = self.weather.iter().filter(|of| !more.iter().any(|m| m.address == of.address));
        let changes: Vec<Change> = own.chain(more).cloned().collect();
        tried(self.case, &changes, self.over_cycle)
    }

    /// Whether it holds with another number; else what fails.
    fn holds(&self, address: &str, kind: Kind, si: f64) -> Result<(), Sentence> {
        match self.with(&[Change::number(address, kind, si)]) {
            Ok(trial) => fails(&trial).map_or(Ok(()), Err),
            Err(refusal) => Err(refusal.advice()),
        }
    }

    /// How far everything may go, each alone.
    fn bounds(
        &self,
        built: &Built<'_>,
        today: &Trial,
        workers: &dyn Workers,
    ) -> Result<Vec<Bounded>, Refusal> {
        let ready = &built.ready;
        let mut sought = sought(ready, self.over_cycle);
        let mut found = workers::map(workers, sought.len(), |k| {
            let of = &sought[k];
            let trial = &|si: f64| self.holds(&of.address, of.kind, si);
            (of.side, edge([of.today, of.far, of.near], of.fine, trial))
        });
        let mut all: Vec<Bounded> = sought
            .drain(..)
            .zip(found.drain(..))
            .map(|(of, (side, edge))| Bounded {
                what: of.what,
                kind: of.kind,
                address: of.address,
                today: of.today,
                side,
                edge,
            })
            .collect();
        if self.over_cycle {
            let lengths = Lengths { longest: true, rest: true };
            let works = today.beside.grave.is_empty();
            for one in lasting(built, (lengths, works), workers)? {
                let side = if one.is_rest { Side::Least } else { Side::Most };
                let what = if one.is_rest { What::Rest } else { What::Pull };
                let edge = match one.lasts {
                    Lasts::To { s, by } => (Some(s), Some(by.into())),
                    Lasts::All(s) => (Some(s), None),
                    Lasts::None(by) => (None, Some(by.into())),
                };
                let address = format!("duty/{}:time", one.phase);
                let today = one.written_s;
                all.push(Bounded { what, kind: Kind::Time, address, today, side, edge });
            }
        }
        Ok(all)
    }

    /// How it stands by air and by the start of the circuit that bears least.
    fn table(
        &self,
        built: &Built<'_>,
        bounds: &[Bounded],
        workers: &dyn Workers,
    ) -> Option<(String, Vec<Cell>)> {
        let site = &built.ready.model.site;
        let air_k = built.ready.model.values.get(site.temperature);
        let room = |of: &&Bounded| of.edge.0.map_or(f64::NEG_INFINITY, |edge| edge - of.today);
        let starts = bounds.iter().filter(|of| of.what == What::Start);
        let start = starts.min_by(|a, b| room(a).total_cmp(&room(b)))?;
        let count = AIRS_K.len() * STARTS_K.len();
        let cells = workers::map(workers, count, |k| {
            let air = air_k + AIRS_K[k / STARTS_K.len()];
            let start_k = start.today + STARTS_K[k % STARTS_K.len()];
            let changes = [
                Change::number("site:air", Kind::Temperature, air),
                Change::number(&start.address, Kind::Temperature, start_k),
            ];
            let trial = self.with(&changes);
            let fails = match &trial {
                Ok(trial) => fails(trial),
                Err(refusal) => Some(refusal.advice()),
            };
            let tightest = trial.ok().and_then(|trial| {
                let room = |of: &Judged| {
                    let scale = Room::Share(1.0).of(&of.limit, air).max(f64::MIN_POSITIVE);
                    of.margin().unwrap_or(f64::INFINITY) / scale
                };
                let own = trial.judged.into_iter().filter(|of| of.limit.built_in.is_none());
                own.filter(|of| of.margin().is_some()).min_by(|a, b| room(a).total_cmp(&room(b)))
            });
            Cell { air_k: air, start_k, fails, tightest }
        });
        Some((start.address.clone(), cells))
    }
}

/// What fails of a trial, if anything does.
pub(super) fn fails(trial: &Trial) -> Option<Sentence> {
    if trial.verdict == Verdict::Holds {
        return None;
    }
    let limit = worst(&trial.judged);
    if !limit.is_empty() {
        return Some(limit.into());
    }
    let beside = trial.beside.late.iter().chain(&trial.beside.grave).next();
    Some(beside.cloned().unwrap_or_else(|| "what no limit speaks of".into()))
}

/// Something whose furthest value is sought.
struct Sought {
    what: What,
    address: String,
    kind: Kind,
    today: f64,
    /// The furthest value on the side of harm that is tried, and on the other.
    far: f64,
    near: f64,
    fine: f64,
    side: Side,
}

fn sought(ready: &Ready, over_cycle: bool) -> Vec<Sought> {
    let model = &ready.model;
    let air_k = model.values.get(model.site.temperature);
    let air = Sought {
        what: What::Air,
        address: "site:air".to_owned(),
        kind: Kind::Temperature,
        today: air_k,
        far: (air_k + HOTTER_K).min(333.15),
        near: (air_k - HOTTER_K).max(223.15),
        fine: FINE_K,
        side: Side::Most,
    };
    let mut all = vec![air];
    // What is steady knows nothing of its start, nor of ice.
    if !over_cycle {
        return all;
    }
    let iced =
        |path: &str| model.circuits.iter().any(|circuit| circuit.name == path && circuit.has_ice());
    // Of metal that has no start of its own it is that of its coolant.
    let own = |path: &str| !path.contains('/');
    for (address, entry) in &ready.addresses {
        let Some(path) = address.strip_suffix(":start").filter(|path| !iced(path)) else {
            continue;
        };
        let today = entry.value;
        if own(path) || entry.span.is_some() {
            all.push(Sought {
                what: What::Start,
                address: address.clone(),
                kind: Kind::Temperature,
                today,
                far: HOTTEST_START_K.max(today),
                near: air_k.min(today),
                fine: FINE_K,
                side: Side::Most,
            });
        }
    }
    for (address, entry) in &ready.addresses {
        if address.ends_with(":ice") && entry.value > 0.0 {
            // No more than the tank has room for.
            let most = match entry.bound {
                Bound::Within(_, most) => most,
                Bound::Positive | Bound::NotNegative => f64::INFINITY,
            };
            all.push(Sought {
                what: What::Ice,
                address: address.clone(),
                kind: Kind::Mass,
                today: entry.value,
                far: 0.0,
                near: (MOST_ICE * entry.value).min(most),
                fine: FINE_KG,
                side: Side::Least,
            });
        }
    }
    all
}
