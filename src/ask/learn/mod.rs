//! `learn`: with a log from the stand, prediction beside measurement, fitted numbers and how sure they are, what the log
//! cannot tell, and the verdict again with what was learnt.

mod again;
mod answer;
mod driven;
mod fits;
mod heat;
mod log;
mod next;
mod parts;
mod stand;
mod steps;

pub use heat::{Balance, NoBalance};
pub use next::{Next, SURER};
pub use steps::NextStep;

use std::io::Read;
use std::sync::Mutex;
use std::sync::atomic::AtomicUsize;

use coolwright_cases::diagnostic::Problems;
use coolwright_cases::file::Stand;
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_cases::stand::{Head, propose};
use coolwright_cases::text::{Sources, read};

use self::driven::{At, Driven, Through};
use self::log::{Logged, logged};
use self::stand::{Meant, Number, Shows, candidates, meant};
use super::Case;
use super::case::Built;
use crate::answer::{Answer, Value};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::learn as told;
use crate::workers::Workers;

/// Gets a log by its name.
pub type Open<'a> = dyn FnMut(&str) -> Result<Box<dyn Read>, String> + 'a;

/// What was learnt.
#[derive(Debug)]
pub struct Learnt {
    /// The answer.
    pub answer: Answer,
    /// A parts file with what was learnt, for the case to include.
    pub parts: String,
}

impl Case {
    /// Proposes the stand file of a log: what its columns may be.
    ///
    /// # Errors
    /// When the case has faults, or there is no table.
    pub fn columns(&self, log: &str, source: &mut dyn Read) -> Result<String, Refusal> {
        let ready = self.build(None)?;
        let head = Head::look(source).map_err(|fault| {
            let refusal = Refusal::said(say!("`{log}`: {why}", log = log, why = fault.message));
            fault.help.into_iter().fold(refusal, Refusal::help)
        })?;
        Ok(propose(&head, &ready).text(log))
    }

    /// Learns from a log. `stand` is the name and the text of the stand file.
    ///
    /// # Errors
    /// When the texts have faults, the log is none, or the case cannot be solved as the log drives it.
    pub fn learn(
        &self,
        stand: (&str, &str),
        open: &mut Open<'_>,
        workers: &dyn Workers,
    ) -> Result<Learnt, Refusal> {
        let built = self.built(None)?;
        let mut sources = self.sources.clone();
        let (file, meant) = Self::meant(stand, &mut sources, &built.ready)?;
        let logged = logged(&sources, (&file, &meant), open)?;
        let learning = Learning { case: self, built: &built, meant, workers };
        learning.learn(&file, &logged)
    }

    /// Reads a stand file and holds it against the case.
    fn meant(
        (name, text): (&str, &str),
        sources: &mut Sources,
        ready: &Ready,
    ) -> Result<(Stand, Meant), Refusal> {
        let file = sources.add(name, text);
        let mut problems = Problems::new();
        let stand: Option<Stand> = read(sources, file, &mut problems);
        if problems.has_errors() {
            problems.advise(
                "a stand file begins with `Stand(`: `learn CASE --columns LOG` proposes one",
            );
            return Err(Refusal::faults(sources, problems));
        }
        let meant = stand.and_then(|stand| meant(&stand, ready, &mut problems).map(|m| (stand, m)));
        meant.ok_or_else(|| Refusal::faults(sources, problems))
    }
}

/// Everything that learning goes by.
struct Learning<'a> {
    case: &'a Case,
    built: &'a Built<'a>,
    meant: Meant,
    workers: &'a dyn Workers,
}

impl Learning<'_> {
    fn learn(&self, file: &Stand, logged: &Logged) -> Result<Learnt, Refusal> {
        let ready = &self.built.ready;
        let chosen_by_itself = self.meant.numbers.is_none();
        let numbers = self.meant.numbers.clone().unwrap_or_else(|| {
            let shows: Vec<Shows> = logged.compared.iter().map(|(s, _)| s.clone()).collect();
            candidates(ready, &shows)
        });
        let Start { fixed, told: started, within } = self.start(logged, &numbers);
        let mut driven = Driven {
            through: Through::Log,
            case: self.case,
            built: self.built,
            drives: logged.drives.clone(),
            phases: logged.phases.clone(),
            fixed,
            numbers: numbers.iter().map(|number| number.address.clone()).collect(),
            results: logged.compared.iter().map(|(shows, _)| shows.result.clone()).collect(),
            windows: logged.compared.iter().map(|(_, c)| (c.windows.clone(), 0.0)).collect(),
            followed: AtomicUsize::new(0),
            pool: Mutex::new(Vec::new()),
        };
        let as_is: Vec<f64> = numbers.iter().map(|number| number.is).collect();
        let before = driven.follow(&as_is)?;
        if let Some(boiled) = before.boiled {
            let circuit = ready.model.circuits[boiled.circuit].name.clone();
            let message = say!(
                "as the log drives it, the coolant of `{circuit}` boils at {time}: there is nothing to compare behind it",
                circuit = circuit,
                time = Value::clock(boiled.at_s)
            );
            return Err(Refusal::said(message).help(
                "look at what drives: full power, units, how warm it was at the start, `drives` that are missing",
            ));
        }
        let fits = self.fit(&mut driven, (logged, numbers, chosen_by_itself), &within)?;
        let after = driven.follow(&fits.found.numbers)?;
        let parts = self.parts(file, &fits, logged);
        self.answer(&driven, (logged, started), (&before, &after), (fits, parts))
    }

    /// How warm everything was at the start: each circuit as its thermometers showed first.
    fn start(&self, logged: &Logged, numbers: &[Number]) -> Start {
        let ready = &self.built.ready;
        let mut start = Start::default();
        for (c, circuit) in ready.model.circuits.iter().enumerate() {
            let address = format!("{}:start", circuit.name);
            let own = logged.compared.iter().filter(|(shows, _)| {
                shows.kind == Kind::Temperature && ready.model.gauges[shows.gauge].circuit == c
            });
            let (tolerances, first): (Vec<f64>, Vec<f64>) =
                own.map(|(shows, cells)| (shows.tolerance, cells.values[0])).unzip();
            let is_fitted = numbers.iter().any(|number| number.address == address);
            let known = ready.addresses.get(&address);
            let Some(known) = known.filter(|_| !first.is_empty() && !is_fitted) else { continue };
            if circuit.has_ice() {
                continue;
            }
            let mean = first.iter().sum::<f64>() / first.len() as f64;
            let [least, most] =
                [f64::min, f64::max].map(|end| first.iter().copied().reduce(end).unwrap_or(mean));
            // The offsets of thermometers are each their own, and their mean is the truth by that much less.
            let half = tolerances.iter().map(|t| t * t).sum::<f64>().sqrt() / first.len() as f64;
            start.within.extend((half > 0.0).then(|| Number {
                address: address.clone(),
                kind: known.kind,
                is: mean,
                range: (mean - half, mean + half),
            }));
            start.told.push(told::Started {
                circuit: circuit.name.clone(),
                k: mean,
                case_k: known.value,
                apart_k: most - least,
            });
            start.fixed.push((address, mean));
        }
        start
    }
}

/// How warm everything was at the start of a log.
#[derive(Default)]
struct Start {
    /// The addresses of the circuits, with the mean of what their thermometers showed.
    fixed: Vec<At>,
    /// The same in words.
    told: Vec<told::Started>,
    /// The same as numbers: within what these thermometers may be off by.
    within: Vec<Number>,
}
