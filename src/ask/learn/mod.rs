//! `learn`: with a log from the stand, prediction beside measurement, fitted numbers and how sure they are, what the log
//! cannot tell, and the verdict again with what was learnt.

mod driven;
mod heat;
mod next;
mod stand;

pub use heat::{Balance, NoBalance};
pub use next::Next;

use std::io::Read;
use std::sync::Mutex;

use coolwright_cases::case::{Change, written};
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::file::Stand;
use coolwright_cases::lower::{Ready, stretches};
use coolwright_cases::quantity::Kind;
use coolwright_cases::stand::{Head, Table, propose, read as read_log};
use coolwright_cases::text::{Sources, read};
use coolwright_models::cycle::History;
use coolwright_solver::least_squares::NoFit;

use self::driven::{At, Drive, Driven};
use self::stand::{Meant, Number, Shows, candidates, meant, refused};
use super::case::Built;
use super::compare::over_cycle;
use super::trial::{Trial, of_built, tried};
use super::{Case, Judge};
use crate::answer::{Answer, Histories, HistoryColumn, Topic};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::cautions::cautions;
use crate::sections::learn as told;
use crate::sections::{self};
use crate::study::edge;
use crate::study::learn::fitting::{Channel, Found, Task, fitted};
use crate::study::learn::series::{Cells, behind, means};
use crate::study::learn::tells::{Tells, chosen, tells};
use crate::study::learn::tracks::{filled, thinned};
use crate::workers::{self, Workers};

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

/// A channel is compared in so many stretches.
const CELLS: f64 = 800.0;
/// A channel with fewer numbers than this is not compared.
const FEWEST: usize = 20;
/// By how much hotter air is tried, K, and how finely.
const HOTTER_K: f64 = 30.0;
const FINE_K: f64 = 0.5;

/// What to look at where nothing can be fitted.
const LOOK: &str = "look at what drives, at units, and at `from` and `to` of what is fitted";

/// The log as far as it drives and is compared.
struct Logged {
    table: Table,
    drives: Vec<Drive>,
    phases: Vec<(String, f64)>,
    /// What is compared: its place among what was read, and its cells.
    compared: Vec<(Shows, Cells)>,
    /// What was not, and why.
    left: Vec<(Shows, &'static str)>,
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
        let (file, meant) = self.meant(stand, &mut sources, &built.ready)?;
        let logged = logged(&sources, (&file, &meant), &built, open)?;
        let learning = Learning { case: self, built: &built, meant, workers };
        learning.learn(&file, logged)
    }

    /// Reads a stand file and holds it against the case.
    fn meant(
        &self,
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

/// Reads the log and makes of it what drives and what is compared.
fn logged(
    sources: &Sources,
    (file, meant): (&Stand, &Meant),
    built: &Built<'_>,
    open: &mut Open<'_>,
) -> Result<Logged, Refusal> {
    let (span, name) = (file.log.span, &file.log.value);
    let fault = |message: String, help: &str| {
        let fault =
            coolwright_cases::stand::LogFault { message, help: vec![help.to_owned()], line: None };
        refused(fault, sources, span, name)
    };
    let mut source =
        open(name).map_err(|why| fault(format!("cannot read the log `{name}`"), &why))?;
    let table = read_log(&mut *source, &meant.wanted);
    let table = table.map_err(|fault| refused(fault, sources, span, name))?;
    let mut problems = Problems::new();
    meant.held_against(&table, &mut problems);
    if problems.has_errors() {
        return Err(Refusal::faults(sources, problems));
    }
    let column = |name: &str| table.channels.iter().position(|channel| channel.name == name);
    let whole = table.times_s[table.times_s.len() - 1];
    let mut drives = Vec::new();
    let mut power = None;
    for of in &meant.drives {
        let Some(place) = column(&of.column) else { continue };
        let Some(mut values) = filled(&table.times_s, &table.columns[place]) else {
            let message = format!("`{}` has no number in the log, and drives the case", of.column);
            return Err(fault(message, "leave it out of `drives`, or look at its unit"));
        };
        if of.address == "duty:point" {
            // What is recovered heats as well.
            values.iter_mut().for_each(|value| *value = value.abs());
            power = Some(values.clone());
        }
        let points = thinned(&table.times_s, &values);
        drives.push(Drive { address: of.address.clone(), points });
    }
    let phases = phases(&table, power.as_deref());
    let length = (whole / CELLS).max(table.step_s);
    let (mut compared, mut left) = (Vec::new(), Vec::new());
    for shows in &meant.shows {
        let Some(place) = column(&shows.column) else { continue };
        let channel = &table.channels[place];
        let cells = Cells::of(&table.times_s, &table.columns[place], (length, table.step_s));
        if channel.left == 0 || cells.values.len() < FEWEST {
            left.push((shows.clone(), "too few numbers"));
        } else if channel.is_dead {
            left.push((shows.clone(), "the same value throughout"));
        } else {
            compared.push((shows.clone(), cells));
        }
    }
    if compared.is_empty() {
        let message = "no gauge of the log has numbers to compare".to_owned();
        return Err(fault(message, "look at the names and units of its columns"));
    }
    let _ = built;
    Ok(Logged { table, drives, phases, compared, left })
}

/// Stretches at work and at rest, by the share of full power.
fn phases(table: &Table, power: Option<&[f64]>) -> Vec<(String, f64)> {
    let times = &table.times_s;
    let whole = times[times.len() - 1];
    let Some(power) = power else { return vec![("log".to_owned(), whole)] };
    let cuts = stretches(times, power);
    let ends = cuts.iter().skip(1).map(|(at, _)| times[*at]).chain([whole]);
    let mut counts = std::collections::BTreeMap::new();
    cuts.iter()
        .zip(ends)
        .map(|((from, word), to)| {
            let count = counts.entry(*word).and_modify(|count| *count += 1).or_insert(1);
            (format!("{word} {count}"), to - times[*from])
        })
        .filter(|(_, time_s)| *time_s > 0.0)
        .collect()
}

/// Everything that learning goes by.
struct Learning<'a> {
    case: &'a Case,
    built: &'a Built<'a>,
    meant: Meant,
    workers: &'a dyn Workers,
}

/// What was fitted, with what it was fitted to.
struct Fits {
    numbers: Vec<Number>,
    found: Found,
    tells: Vec<Tells>,
    left: Vec<told::Left>,
    behind: Vec<f64>,
}

impl Learning<'_> {
    fn learn(&self, file: &Stand, logged: Logged) -> Result<Learnt, Refusal> {
        let ready = &self.built.ready;
        let chosen_by_itself = self.meant.numbers.is_none();
        let numbers = match &self.meant.numbers {
            Some(numbers) => numbers.clone(),
            None => {
                let shows: Vec<Shows> = logged.compared.iter().map(|(s, _)| s.clone()).collect();
                candidates(ready, &shows)
            }
        };
        let (fixed, started) = self.start(&logged, &numbers);
        let mut driven = Driven {
            case: self.case,
            built: self.built,
            drives: logged.drives.clone(),
            phases: logged.phases.clone(),
            fixed,
            numbers: numbers.iter().map(|number| number.address.clone()).collect(),
            results: logged.compared.iter().map(|(shows, _)| shows.result.clone()).collect(),
            windows: logged.compared.iter().map(|(_, c)| (c.windows.clone(), 0.0)).collect(),
            pool: Mutex::new(Vec::new()),
        };
        let as_is: Vec<f64> = numbers.iter().map(|number| number.is).collect();
        let before = driven.follow(&as_is)?;
        if let Some(boiled) = before.boiled {
            let circuit = ready.model.circuits[boiled.circuit].name.clone();
            let message = say!(
                "as the log drives it, the coolant of `{circuit}` boils at {time}: there is nothing to compare behind it",
                circuit = circuit,
                time = crate::answer::Value::clock(boiled.at_s)
            );
            return Err(Refusal::said(message).help(
                "look at what drives: full power, units, how warm it was at the start, `drives` that are missing",
            ));
        }
        let fits = self.fit(&mut driven, (&logged, numbers, chosen_by_itself))?;
        let after = driven.follow(&fits.found.numbers)?;
        let parts = self.parts(file, &fits, &logged);
        self.answer(&driven, (&logged, started), (&before, &after), (fits, parts))
    }

    /// How warm everything was at the start: each circuit as its thermometers showed first.
    fn start(&self, logged: &Logged, numbers: &[Number]) -> (Vec<At>, Vec<told::Started>) {
        let ready = &self.built.ready;
        let (mut fixed, mut started) = (Vec::new(), Vec::new());
        for (c, circuit) in ready.model.circuits.iter().enumerate() {
            let address = format!("{}:start", circuit.name);
            let own = logged.compared.iter().filter(|(shows, _)| {
                shows.kind == Kind::Temperature && ready.model.gauges[shows.gauge].circuit == c
            });
            let first: Vec<f64> = own.map(|(_, cells)| cells.values[0]).collect();
            let is_fitted = numbers.iter().any(|number| number.address == address);
            let known = ready.addresses.get(&address);
            let Some(known) = known.filter(|_| !first.is_empty() && !is_fitted) else { continue };
            if circuit.has_ice() {
                continue;
            }
            let mean = first.iter().sum::<f64>() / first.len() as f64;
            let [least, most] =
                [f64::min, f64::max].map(|end| first.iter().copied().reduce(end).unwrap_or(mean));
            started.push(told::Started {
                circuit: circuit.name.clone(),
                k: mean,
                case_k: known.value,
                apart_k: most - least,
            });
            fixed.push((address, mean));
        }
        (fixed, started)
    }

    fn channels(&self, logged: &Logged) -> Vec<Channel> {
        let channel = |(shows, cells): &(Shows, Cells)| {
            let noise = cells.spread().max(0.02 * shows.tolerance);
            Channel {
                measured: cells.values.clone(),
                sigma: noise.max(0.3 * shows.tolerance),
                noise,
                tolerance: shows.tolerance,
            }
        };
        logged.compared.iter().map(channel).collect()
    }

    /// Chooses what the log can tell, fits it, finds which clock is behind, and fits again.
    fn fit(
        &self,
        driven: &mut Driven<'_>,
        (logged, mut numbers, by_itself): (&Logged, Vec<Number>, bool),
    ) -> Result<Fits, Refusal> {
        let ranges = |numbers: &[Number]| numbers.iter().map(|n| n.range).collect::<Vec<_>>();
        let mut left = Vec::new();
        if by_itself {
            let task = Task {
                channels: self.channels(logged),
                ranges: ranges(&numbers),
                model: driven,
                workers: self.workers,
            };
            let as_is: Vec<f64> = numbers.iter().map(|number| number.is).collect();
            let looked = task.looked_at(&as_is);
            let Some((information, _)) = looked else {
                return Err(self.why_not(driven, (&numbers, &as_is)));
            };
            let (kept, gone) = chosen(&information, &ranges(&numbers));
            for (k, tells, then) in gone {
                let like = self.names(&tells.like, &then, (&numbers, logged));
                let number = &numbers[k];
                left.push(told::Left {
                    address: number.address.clone(),
                    is_unfelt: tells.is_unfelt(),
                    like,
                });
            }
            numbers = kept.iter().map(|&k| numbers[k].clone()).collect();
            driven.numbers = numbers.iter().map(|number| number.address.clone()).collect();
        }
        let mut start: Vec<f64> =
            numbers.iter().map(|n| n.is.clamp(n.range.0, n.range.1)).collect();
        let mut behind = vec![0.0; logged.compared.len()];
        let mut found = None;
        for round in 0..2 {
            let mut task = Task {
                channels: self.channels(logged),
                ranges: ranges(&numbers),
                model: driven,
                workers: self.workers,
            };
            let fit = fitted(&mut task, &start);
            let fit = match fit {
                Ok(fit) => fit,
                Err(NoFit::Start | NoFit::Jacobian) => {
                    return Err(self.why_not(driven, (&numbers, &start)));
                }
                Err(no) => {
                    let said = say!("the log cannot be fitted: {why}", why = no.to_string());
                    return Err(Refusal::said(said).help(LOOK));
                }
            };
            start.clone_from(&fit.numbers);
            let history = driven.follow(&fit.numbers)?;
            found = Some(fit);
            if round > 0 {
                break;
            }
            behind = self.behind(&history, logged);
            if behind.iter().all(|shift| *shift == 0.0) {
                break;
            }
            for (window, shift) in driven.windows.iter_mut().zip(&behind) {
                window.1 = *shift;
            }
        }
        let found = found.ok_or_else(|| Refusal::said("nothing was fitted"))?;
        let tells = tells(&found.information, &ranges(&numbers));
        Ok(Fits { numbers, found, tells, left, behind })
    }

    /// Why there is nothing to fit: what is wrong with numbers a little off their start.
    fn why_not(&self, driven: &Driven<'_>, (numbers, start): (&[Number], &[f64])) -> Refusal {
        for (k, number) in numbers.iter().enumerate() {
            let (least, most) = number.range;
            for sign in [1.0, -1.0] {
                let mut moved = start.to_vec();
                moved[k] = (moved[k] + sign * 0.02 * (most - least)).clamp(least, most);
                let why = match driven.follow(&moved) {
                    Err(refusal) => refusal.message(),
                    Ok(history) if history.boiled.is_some() => "coolant boils".into(),
                    Ok(_) => continue,
                };
                return Refusal::said(say!(
                    "with `{address}` at {value} the log cannot be followed: {why}",
                    address = &number.address,
                    value = crate::answer::Value::of(number.kind, moved[k]),
                    why = why
                ))
                .help(LOOK);
            }
        }
        Refusal::said("the log cannot be fitted: what gauges show has no slopes").help(LOOK)
    }

    /// By gauge how far its clock is behind, s.
    fn behind(&self, history: &History, logged: &Logged) -> Vec<f64> {
        let names: Vec<&str> =
            logged.table.channels.iter().map(|channel| channel.name.as_str()).collect();
        workers::map(self.workers, logged.compared.len(), |k| {
            let (shows, cells) = &logged.compared[k];
            let place = names.iter().position(|name| *name == shows.column);
            let column = history.catalogue.find(&shows.result);
            let (Some(place), Some(column)) = (place, column) else { return 0.0 };
            let predicted: Vec<f64> = history.rows.iter().map(|row| row[column]).collect();
            let measured = (&logged.table.times_s[..], &logged.table.columns[place][..]);
            behind(measured, (&history.times_s, &predicted), cells.noise)
        })
    }

    /// What parameters are called: numbers by their address, offsets by their gauge.
    fn names(
        &self,
        like: &[(usize, f64)],
        then: &[usize],
        (numbers, logged): (&[Number], &Logged),
    ) -> Vec<told::Like> {
        let name = |(k, correlation): &(usize, f64)| {
            let (name, is_gauge) = match then.get(*k) {
                Some(&number) => (numbers[number].address.clone(), false),
                None => {
                    let gauge = logged.compared[*k - then.len()].0.gauge;
                    (self.built.ready.model.gauges[gauge].name.clone(), true)
                }
            };
            told::Like { name, is_gauge, correlation: *correlation }
        };
        like.iter().map(name).collect()
    }

    /// What was learnt as changes of the case: numbers that the log tells, and offsets of gauges that are sure.
    fn changes(&self, fits: &Fits, logged: &Logged) -> Vec<(Change, [f64; 2])> {
        let found = &fits.found;
        let mut changes = Vec::new();
        for (k, number) in fits.numbers.iter().enumerate() {
            if fits.tells[k].is_told() {
                let [low, high] = found.intervals[k];
                let si = rounded(found.numbers[k]);
                let change = Change::number(&number.address, number.kind, si);
                changes.push((change, [rounded(low.at), rounded(high.at)]));
            }
        }
        for (c, (shows, _)) in logged.compared.iter().enumerate() {
            let (offset, u) = (found.offsets[c], found.uncertainty(fits.numbers.len() + c));
            if offset.abs() > 2.0 * u {
                let name = &self.built.ready.model.gauges[shows.gauge].name;
                let address = format!("gauges/{name}:offset");
                let Some(entry) = self.built.ready.addresses.get(&address) else { continue };
                let half = found.factor * u;
                let change = Change::number(&address, entry.kind, rounded(offset));
                changes.push((change, [offset - half, offset + half].map(rounded)));
            }
        }
        changes
    }

    /// The parts file with what was learnt.
    fn parts(&self, file: &Stand, fits: &Fits, logged: &Logged) -> String {
        let ready = &self.built.ready;
        let mut text = format!(
            "// What was learnt of {} from {}. In the case, `include: [\"…\"]` with the name of this file\n\
             // lets every command reckon with it. `sure`: with 95 % it lies between these two.\n\
             Parts(\n    learnt: [\n",
            self.case.name.rsplit(['/', '\\']).next().unwrap_or_default(),
            file.log.value
        );
        for (change, sure) in self.changes(fits, logged) {
            let kind =
                ready.addresses.get(&change.address).map_or(Kind::Number, |entry| entry.kind);
            let quoted =
                |text: String| if text.starts_with('"') { text } else { format!("\"{text}\"") };
            let [low, high] = sure.map(|si| quoted(written(kind, si)));
            text.push_str(&format!(
                "        Learnt(at: \"{}\", is: {}, sure: ({low}, {high})),\n",
                change.address,
                quoted(change.text.clone())
            ));
        }
        text.push_str("    ],\n)\n");
        text
    }

    /// How far the air may be hotter, K, and what fails beyond.
    fn hottest(&self, changes: &[Change], over_cycle: bool) -> told::Hottest {
        let ready = &self.built.ready;
        let air_k = ready.model.values.get(ready.model.site.temperature);
        let ends = [air_k, (air_k + HOTTER_K).min(333.15), (air_k - HOTTER_K).max(223.15)];
        edge(ends, FINE_K, &|si| {
            let mut all = changes.to_vec();
            all.push(Change::number("site:air", Kind::Temperature, si));
            let trial = tried(self.case, &all, over_cycle);
            match trial {
                Ok(trial) => super::day::fails(&trial).map_or(Ok(()), Err),
                Err(refusal) => Err(refusal.advice()),
            }
        })
    }

    /// By limit what its margin is off by because the numbers are, one standard uncertainty.
    fn margins(&self, fits: &Fits, (changes, with): (&[Change], &Trial), over: bool) -> Vec<f64> {
        let told: Vec<usize> =
            (0..fits.numbers.len()).filter(|&k| fits.tells[k].is_told()).collect();
        let moved = workers::map(self.workers, told.len(), |job| {
            let k = told[job];
            let number = &fits.numbers[k];
            let (least, most) = number.range;
            let u = fits.found.uncertainty(k);
            let up = fits.found.numbers[k] + u;
            let to = if up > most { fits.found.numbers[k] - u } else { up };
            let change = Change::number(&number.address, number.kind, to.clamp(least, most));
            let sign = if up > most { -1.0 } else { 1.0 };
            let all = changes.iter().filter(|known| known.address != number.address);
            let all: Vec<Change> = all.cloned().chain([change]).collect();
            tried(self.case, &all, over).ok().map(|trial| (sign, trial))
        });
        let margin = |trial: &Trial, k: usize| trial.judged.get(k).and_then(|j| j.margin());
        (0..with.judged.len())
            .map(|limit| {
                let Some(plain) = margin(with, limit) else { return f64::NAN };
                let by: Vec<f64> = moved
                    .iter()
                    .map(|moved| {
                        let moved = moved.as_ref();
                        let to = moved.and_then(|(sign, t)| Some((sign, margin(t, limit)?)));
                        to.map_or(0.0, |(sign, to)| sign * (to - plain))
                    })
                    .collect();
                let mut variance = 0.0;
                for (a, &ka) in told.iter().enumerate() {
                    for (b, &kb) in told.iter().enumerate() {
                        variance += by[a] * by[b] * fits.found.correlation(ka, kb);
                    }
                }
                variance.max(0.0).sqrt()
            })
            .collect()
    }

    fn answer(
        &self,
        driven: &Driven<'_>,
        (logged, started): (&Logged, Vec<told::Started>),
        (before, after): (&History, &History),
        (fits, parts): (Fits, String),
    ) -> Result<Learnt, Refusal> {
        let ready = &self.built.ready;
        let over_cycle = over_cycle(ready, Judge::Usual)?;
        let plain = of_built(self.built, over_cycle)?;
        let changes: Vec<Change> =
            self.changes(&fits, logged).into_iter().map(|(change, _)| change).collect();
        let with = tried(self.case, &changes, over_cycle)?;
        let shows: Vec<Shows> = logged.compared.iter().map(|(shows, _)| shows.clone()).collect();
        let ranges: Vec<(f64, f64)> = fits.numbers.iter().map(|n| n.range).collect();
        let next = next::next(driven, &shows, (&fits.found, &ranges), self.workers);
        let (balances, no_balance) =
            heat::balances(&ready.model, &shows, (&logged.table, &logged.phases), after);
        let margins = self.margins(&fits, (&changes, &with), over_cycle);
        let hottest = workers::map(self.workers, 2, |k| {
            self.hottest(if k == 0 { &[] } else { &changes }, over_cycle)
        });
        let told = told::Told {
            ready,
            plain: (&plain.judged, plain.verdict),
            with: (&with.judged, with.verdict),
            beside: with.beside.told().cloned().collect(),
            margins,
            hottest,
            over_cycle,
            read: logged.table.words(),
            unused: logged.table.unused.clone(),
            started,
            phases: logged.phases.clone(),
            gauges: self.gauges(logged, (before, after), &fits),
            left_gauges: logged
                .left
                .iter()
                .map(|(s, why)| (ready.model.gauges[s.gauge].name.clone(), *why))
                .collect(),
            numbers: self.numbers(&fits, logged),
            left: fits.left.clone(),
            changes: changes.iter().map(|change| change.address.clone()).collect(),
            balances,
            no_balance,
            next,
        };
        let mut answer = Answer::new(Topic::Learn, &ready.title);
        answer.verdict = Some(with.verdict);
        answer.beside.clone_from(&told.beside);
        answer.sections = told::sections(&told);
        answer.sections.insert(1, sections::title(ready));
        answer.cautions = cautions(ready, Vec::new());
        answer.histories = Some(self.histories(logged, (before, after), &fits.behind));
        Ok(Learnt { answer, parts })
    }

    fn gauges(
        &self,
        logged: &Logged,
        (before, _): (&History, &History),
        fits: &Fits,
    ) -> Vec<told::Beside> {
        let found = &fits.found;
        let of = |(c, (shows, cells)): (usize, &(Shows, Cells))| {
            let gauge = &self.built.ready.model.gauges[shows.gauge];
            let column = before.catalogue.find(&shows.result);
            let values: Vec<f64> =
                column.map_or_else(Vec::new, |k| before.rows.iter().map(|row| row[k]).collect());
            let plain = if values.is_empty() {
                Vec::new()
            } else {
                means(&before.times_s, &values, &cells.windows, fits.behind[c])
            };
            let off = |shown: &[f64], by: f64| -> Vec<f64> {
                shown.iter().zip(&cells.values).map(|(p, m)| m - p - by).collect()
            };
            told::Beside {
                gauge: gauge.name.clone(),
                kind: shows.kind,
                cells: cells.values.len(),
                tolerance: shows.tolerance,
                is_told: shows.is_told,
                behind_s: fits.behind[c],
                plain: told::Off::of(&off(&plain, 0.0), &cells.windows),
                learnt: told::Off::of(&off(&found.predicted[c], found.offsets[c]), &cells.windows),
                offset: found.offsets[c],
                offset_u: found.factor * found.uncertainty(fits.numbers.len() + c),
                wild: found.wild[c],
                alike: found.spreads[c][1].powi(2),
            }
        };
        logged.compared.iter().enumerate().map(of).collect()
    }

    fn numbers(&self, fits: &Fits, logged: &Logged) -> Vec<told::Fitted> {
        let all: Vec<usize> = (0..fits.numbers.len()).collect();
        let of = |(k, number): (usize, &Number)| told::Fitted {
            address: number.address.clone(),
            kind: number.kind,
            is: number.is,
            range: number.range,
            to: fits.found.numbers[k],
            u: fits.found.uncertainty(k),
            sure: fits.found.intervals[k].map(|edge| (edge.at, edge.is_bound)),
            is_told: fits.tells[k].is_told(),
            is_unfelt: fits.tells[k].is_unfelt(),
            like: self.names(&fits.tells[k].like, &all, (&fits.numbers, logged)),
        };
        fits.numbers.iter().enumerate().map(of).collect()
    }

    /// Measured, as it stands and as learnt, over time.
    fn histories(
        &self,
        logged: &Logged,
        (before, after): (&History, &History),
        behind: &[f64],
    ) -> Histories {
        let table = &logged.table;
        let whole = table.times_s[table.times_s.len() - 1];
        let length = (whole / CELLS).max(table.step_s);
        let mut windows = Vec::new();
        let mut at = 0.0;
        while at < whole {
            windows.push([at, (at + length).min(whole)]);
            at += length;
        }
        let mut columns = Vec::new();
        let mut series: Vec<Vec<f64>> = Vec::new();
        for (c, (shows, cells)) in logged.compared.iter().enumerate() {
            let name = &self.built.ready.model.gauges[shows.gauge].name;
            let mut add = |word: &str, label: &'static str, formula: &'static str, values| {
                let address = format!("gauges/{name}:{word}");
                columns.push(HistoryColumn { address, kind: shows.kind, label, formula });
                series.push(values);
            };
            let mut measured = vec![f64::NAN; windows.len()];
            for (window, value) in cells.windows.iter().zip(&cells.values) {
                let middle = 0.5 * (window[0] + window[1]);
                let place = windows.partition_point(|own| own[1] <= middle);
                if let Some(slot) = measured.get_mut(place) {
                    *slot = *value;
                }
            }
            add("measured", "what was measured", "mean over the stretch", measured);
            for (history, word, label) in [
                (before, "as_it_stands", "what the case as it stands would have shown"),
                (after, "as_learnt", "the same with what was learnt"),
            ] {
                let column = history.catalogue.find(&shows.result);
                let values: Vec<f64> = column
                    .map_or_else(Vec::new, |k| history.rows.iter().map(|row| row[k]).collect());
                let shown = if values.is_empty() {
                    vec![f64::NAN; windows.len()]
                } else {
                    means(&history.times_s, &values, &windows, behind[c])
                };
                add(word, label, "mean over the stretch, late as the clock of the gauge is", shown);
            }
        }
        let times_s: Vec<f64> = windows.iter().map(|w| 0.5 * (w[0] + w[1])).collect();
        let rows = (0..windows.len()).map(|k| series.iter().map(|of| of[k]).collect()).collect();
        let mut phases = Vec::new();
        let (mut from, mut end) = (0, 0.0);
        for (name, time_s) in &logged.phases {
            end += time_s;
            let to = times_s.partition_point(|at| *at <= end);
            phases.push((name.clone(), from..to));
            from = to;
        }
        Histories { columns, times_s, phases, rows }
    }
}

/// A number with five digits: more are not known.
fn rounded(si: f64) -> f64 {
    format!("{si:.4e}").parse().unwrap_or(si)
}
