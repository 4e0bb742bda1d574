//! `why`: how one number comes about, one step at a time.

use coolwright_cases::case::Change;
use coolwright_cases::lower::{Address, Assumption, Ready, Role};
use coolwright_cases::quantity::Kind;
use coolwright_cases::text::nearest;
use coolwright_models::explain::{Explained, explain, pressures};
use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::parts::HeatPartner;
use coolwright_models::reasons::{Comes, reason};
use coolwright_models::results::Entry;
use coolwright_models::slots::Values;
use coolwright_models::uncertainty::Uncertainty;

use super::Case;
use super::case::{Built, did_you_mean};
use super::point::{MOST_RUNS, Solved, of_moment};
use crate::answer::drawing::NumberDrawn;
use crate::answer::{Answer, Sentence, Topic, Value};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::cautions::{caps_of_point, cautions};
use crate::sections::why::{Known, OfNumber, OfResult, Written};
use crate::sections::{Scene, conditions, why};
use crate::study::{Moment, Move, follows, moves};
use crate::workers::{self, Workers};

/// Which number is asked for, and at which moment.
#[derive(Clone, Debug)]
pub struct Why {
    /// Its address, or the path of a thing: then all that there is of it.
    pub address: String,
    /// The variant to solve instead of the case as it stands.
    pub variant: Option<String>,
    /// Which moment is looked at.
    pub moment: Moment,
}

/// Says how a number comes about.
pub(super) fn answer(case: &Case, asked: &Why, workers: &dyn Workers) -> Result<Answer, Refusal> {
    let built = case.built(asked.variant.as_deref())?;
    let of = Subject::find(&built, &asked.address)?;
    let (solved, phase) = of_moment(&built, &asked.moment)?;
    let ready = &built.ready;
    // A moment of the cycle is no balance that laws could be moved in, and a large case takes too long.
    let steady = !matches!(asked.moment, Moment::At(_));
    let runs: usize = ready.model.circuits.iter().map(|circuit| circuit.runs.len()).sum();
    let carried = steady && runs <= MOST_RUNS;
    let uncertain = carried.then(|| solved.uncertainty(&built)).transpose()?;
    let scene = Scene {
        ready,
        values: &solved.values,
        results: &solved.point.results,
        uncertainty: uncertain.as_ref(),
    };
    let mut answer = Answer::new(Topic::Why, &ready.title);
    answer.variant.clone_from(&asked.variant);
    answer.phase.clone_from(&phase);
    let variant = asked.variant.as_deref();
    let at = match asked.moment {
        Moment::At(at_s) => conditions::which_at(at_s, phase.as_deref(), variant),
        _ => conditions::which(ready, &solved.values, variant, phase.as_deref()),
    };
    let as_it_stands = variant.is_none() && matches!(asked.moment, Moment::Full);
    let path = asked.address.rsplit_once(':').map_or(asked.address.as_str(), |(path, _)| path);
    let told = Told {
        built: &built,
        solved: &solved,
        uncertain: uncertain.as_ref(),
        variant,
        as_it_stands,
    };
    if let Some(place) = of.result {
        let entry = &solved.point.results.catalogue.entries()[place];
        let result = told.result(place, entry, workers)?;
        answer.sections.extend(why::result(&scene, &result));
    }
    if let Some((address, entry)) = of.number {
        let number = told.number(address, entry);
        answer.sections.push(why::number(&scene, &number));
    }
    let mut paths = vec![path.to_owned()];
    paths.extend(of.result.map_or_else(Vec::new, |place| told.belongs_to(place)));
    let numbers = told.numbers_of(&paths, of.number.map(|(address, _)| address.as_str()));
    answer.sections.push(why::numbers(&scene, path, &numbers));
    if of.result.is_none() && of.number.is_none() {
        answer.sections.insert(0, why::thing(&scene, path));
    }
    answer.sections.push(conditions::conditions(ready, &solved.values, at));
    answer.cautions = cautions(ready, caps_of_point(ready, &solved.point.results));
    Ok(answer)
}

/// What was asked for: a result, a number of the case, or both under one address; none of them where a thing was.
struct Subject<'a> {
    result: Option<usize>,
    number: Option<(&'a String, &'a Address)>,
}

impl<'a> Subject<'a> {
    fn find(built: &'a Built<'_>, address: &str) -> Result<Self, Refusal> {
        let ready = &built.ready;
        let result = built.catalogue.find(address);
        let number = ready.addresses.get_key_value(address);
        if result.is_some() || number.is_some() {
            return Ok(Self { result, number });
        }
        let results = built.catalogue.entries().iter().map(|entry| entry.address.as_str());
        let all = || results.clone().chain(ready.addresses.keys().map(String::as_str));
        let path_of = |all: &'a str| all.rsplit_once(':').map(|(path, _)| path);
        let (path, name) = address.rsplit_once(':').unwrap_or((address, ""));
        let own = all().filter(|of| path_of(of) == Some(path));
        let mut own: Vec<&str> =
            own.filter_map(|of| of.rsplit_once(':')).map(|(_, of)| of).collect();
        own.sort_unstable();
        own.dedup();
        let of_what = name.strip_suffix("_uncertainty").filter(|of| own.contains(of));
        if let Some(of) = of_what {
            return Err(Refusal::said(say!(
                "`{address}` is what the laws of `{path}:{of}` alone may be off by at its flow: ask `why` of `{path}:{of}`",
                address = address,
                path = path,
                of = of
            )));
        }
        if path.is_empty() {
            return Err(Refusal::said(
                "an address is wanted, as `main/loop:flow`, or the path of a thing",
            ));
        }
        let limit = path.strip_prefix("limits/").unwrap_or(path);
        if let Some(limit) = built.limits.iter().find(|of| of.name == limit && own.is_empty()) {
            return Err(Refusal::said(say!(
                "`{limit}` is a limit, on `{of}`: ask `why` of that",
                limit = &limit.name,
                of = &limit.of
            )));
        }
        if own.is_empty() {
            let mut paths: Vec<&str> = all().filter_map(path_of).collect();
            paths.dedup();
            let hint = did_you_mean(nearest(path, paths));
            let message =
                say!("the case has nothing called `{path}`.{hint}", path = path, hint = hint);
            return Err(Refusal::said(message).help(say!(
                "addresses stand in every answer and in `--json`; the path of a thing alone, as `{example}`, lists all \
                 that there is of it",
                example = ready.model.address(Id::Circuit(0))
            )));
        }
        if name.is_empty() && !address.contains(':') {
            return Ok(Self { result: None, number: None });
        }
        let hint = did_you_mean(nearest(name, own.iter().copied()));
        Err(Refusal::said(say!(
            "`{path}` has no `{name}`.{hint} It has: {own}",
            path = path,
            name = name,
            hint = hint,
            own = Value::list(own, ", "),
        )))
    }
}

impl Case {
    /// Every number of a case that was built, and how it is known.
    pub(super) fn numbers(&self, ready: &Ready, values: &Values) -> Vec<NumberDrawn> {
        let one = |(address, entry): (&String, &Address)| {
            let known = self.known(ready, address, entry);
            NumberDrawn {
                address: address.clone(),
                kind: entry.kind,
                value: entry.slots.first().map_or(entry.value, |&slot| values.get(slot)),
                what: Value::spoken(&entry.what),
                known: why::known(ready, &known),
            }
        };
        ready.addresses.iter().map(one).collect()
    }

    /// How a number is known: written, assumed, or following from others.
    fn known(&self, ready: &Ready, address: &str, entry: &Address) -> Known {
        let places = |of: &Assumption| of.addresses.iter().any(|a| a == address);
        let assumed = ready.assumptions.iter().position(places);
        let sources = &self.sources;
        let written = entry.span.filter(|span| !sources.name(span.file).is_empty()).map(|span| {
            let place = sources.place(span.file, span.start);
            let text = sources.text(span.file).lines().nth(place.line - 1).unwrap_or("");
            Written {
                file: sources.name(span.file).to_owned(),
                line: place.line,
                column: place.column,
                text: text.trim().to_owned(),
                word: sources.slice(span).to_owned(),
            }
        });
        let follows = entry.slots.iter().find_map(|&slot| follows(ready, slot));
        match (assumed, follows, written) {
            // What is written in another quantity, as a volume flow where a mass flow counts, follows from that.
            (None, _, Some(written)) => Known::Written(written),
            (assumed, Some(from), _) => Known::Follows { from, assumed },
            (Some(assumed), None, _) => Known::Assumed(assumed),
            (None, None, None) => Known::Usual,
        }
    }
}

/// Numbers that make the model anew, with what each is changed to: a tenth more, else a tenth less.
fn rebuilding(ready: &Ready) -> Vec<(&String, Kind, f64, [f64; 2])> {
    let anew = |(_, entry): &(&String, &Address)| {
        let alone =
            !matches!(entry.role, Role::OfRoute | Role::Driven) && entry.kind != Kind::Count;
        !entry.has_slots() && alone && entry.value != 0.0 && entry.kind != Kind::Temperature
    };
    let one = |(address, entry): (_, &Address)| {
        (address, entry.kind, entry.value, [1.1, 0.9].map(|by| by * entry.value))
    };
    ready.addresses.iter().filter(anew).map(one).collect()
}

/// What is told of: a solved case.
struct Told<'a> {
    built: &'a Built<'a>,
    solved: &'a Solved,
    uncertain: Option<&'a Uncertainty>,
    variant: Option<&'a str>,
    /// Whether it is the case as it stands at its point: then what makes the model anew can be tried too.
    as_it_stands: bool,
}

impl<'a> Told<'a> {
    /// How a result comes about.
    fn result(
        &self,
        place: usize,
        entry: &'a Entry,
        workers: &dyn Workers,
    ) -> Result<OfResult<'a>, Refusal> {
        let Solved { values, point, judged, .. } = self.solved;
        let model = &self.built.ready.model;
        let mut instance = Instance::new(model);
        let simulator =
            instance.at(values, &point.states).map_err(|error| self.built.unsolved(&error))?;
        let mut laws: Vec<Explained> = explain(simulator);
        laws.extend(pressures(simulator, &point.results));
        let reason = reason(simulator, &point.results, &laws, (entry.id, entry.quantity));
        let by = match reason.comes {
            Comes::Law(law) => laws.get(law).map(|of| of.law.clone()),
            _ => None,
        };
        let off = self.uncertain.and_then(|known| {
            let changes = known.changes(entry.id, entry.quantity)?;
            let mut all: Vec<_> = known.terms.iter().copied().zip(changes).collect();
            all.retain(|(_, change)| change.is_finite() && *change != 0.0);
            all.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
            Some(all)
        });
        let tangent = self.uncertain.and_then(|known| known.tangent.as_ref());
        let tangent = tangent.filter(|_| point.held.is_empty());
        let now = point.results.values[place];
        let moved = tangent.filter(|_| now.is_finite()).map(|known| {
            let mut all = moves(&self.built.ready, values, (known, place, now), workers);
            if self.as_it_stands {
                all.extend(self.rebuilt(&entry.address, now, workers));
                all.sort_by(|a, b| b.change.abs().total_cmp(&a.change.abs()));
            }
            all
        });
        Ok(OfResult {
            entry,
            value: now,
            reason,
            by,
            laws: laws.into_iter().filter(|law| law.id == entry.id).map(|law| law.law).collect(),
            off: off.unwrap_or_default(),
            moves: moved,
            judged: judged.iter().filter(|judged| judged.limit.of == entry.address).collect(),
        })
    }

    /// Where a number of the case comes from.
    fn number(&self, address: &'a String, entry: &'a Address) -> OfNumber<'a> {
        let slot = entry.slots.first();
        let value = slot.map_or(entry.value, |&slot| self.solved.values.get(slot));
        let known = self.built.case.known(&self.built.ready, address, entry);
        OfNumber { address, entry, value, known, instead: self.instead(address, entry, value) }
    }

    /// What sets a number at this moment, where the case as it stands has another there.
    fn instead(&self, address: &str, entry: &Address, value: f64) -> Option<Sentence> {
        let same = |other: f64| (other - value).abs() <= 1e-12 * value.abs();
        let slot = entry.slots.first();
        let as_built = slot.map_or(entry.value, |&slot| self.built.ready.model.values.get(slot));
        if !same(as_built) {
            return Some("the phase, or what drives it over time".into());
        }
        let variant = self.variant?;
        let plain = self.built.case.plain_ready()?;
        let was = plain.addresses.get(address).map(|entry| {
            entry.slots.first().map_or(entry.value, |&slot| plain.model.values.get(slot))
        });
        let differs = was.is_none_or(|was| !same(was));
        differs.then(|| say!("the variant `{variant}`", variant = variant))
    }

    /// What a part's numbers stand at besides itself: its run, and the body or core that it leads through.
    fn belongs_to(&self, place: usize) -> Vec<String> {
        let model = &self.built.ready.model;
        let Id::Part(c, r, p) = self.solved.point.results.catalogue.entries()[place].id else {
            return Vec::new();
        };
        let run = &model.circuits[c].runs[r];
        let partner = match run.parts[p].part.partner() {
            Some(HeatPartner::Body(body)) => Some(Id::Body(body)),
            Some(HeatPartner::Core(core)) => Some(Id::Core(core)),
            None => None,
        };
        std::iter::once(Id::Run(c, r)).chain(partner).map(|id| model.address(id)).collect()
    }

    /// What numbers do that make the model anew, as those of a label: each written into the file, and solved.
    fn rebuilt(&self, address: &str, now: f64, workers: &dyn Workers) -> Vec<Move> {
        let all = rebuilding(&self.built.ready);
        let found = workers::map(workers, all.len(), |k| {
            let (number, kind, from, tos) = &all[k];
            tos.iter().find_map(|&to| {
                let built =
                    self.built.case.built_with(&[Change::number(*number, *kind, to)]).ok()?;
                let values = built.ready.model.values.clone();
                let mut instance = Instance::new(&built.ready.model);
                let point = instance.point(&values, None).ok()?;
                let change = point.results.get(address).filter(|_| point.held.is_empty())? - now;
                let (address, kind) = ((*number).clone(), *kind);
                change.is_finite().then_some(Move { address, kind, from: *from, to, change })
            })
        });
        let moves = |of: &Move| of.change.abs() > 1e-6 * now.abs();
        found.into_iter().flatten().filter(moves).collect()
    }

    /// The numbers of the case that belong to a thing, but the one that is told of by itself.
    fn numbers_of(&self, paths: &[String], but: Option<&str>) -> Vec<OfNumber<'a>> {
        let own = |of: &&'a String| {
            of.rsplit_once(':').is_some_and(|(own, _)| paths.iter().any(|path| path == own))
        };
        let all = self.built.ready.addresses.iter();
        all.filter(|(address, _)| own(address) && but != Some(address.as_str()))
            .map(|(address, entry)| self.number(address, entry))
            .collect()
    }
}
