//! What stands beside a verdict: what speaks against one that holds, and the bars that were moved for it.

use coolwright_cases::lower::{BuiltInKind, Ready};
use coolwright_cases::quantity::Kind;
use coolwright_models::charge::expected_heats_w;
use coolwright_models::circuit::{Circuit, Joint};
use coolwright_models::cycle::History;
use coolwright_models::ids::Id;
use coolwright_models::inputs::POWER;
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;
use coolwright_models::slots::Values;
use coolwright_models::warnings::Warning;

use super::check;
use super::eased::{eased, moved};
use crate::answer::{Sentence, Value, Verdict};
use crate::say;
use crate::study::{
    Bound, Findings, Load, Readiness, ReadyTarget, Rounds, coldest_air_k, hardly, loosened,
    passed_over,
};
use crate::words::warnings;

/// What stands beside a verdict.
#[derive(Clone, Debug, Default)]
pub struct Beside {
    /// What takes the right from a verdict that holds: it will not work, whatever the limits say.
    pub grave: Vec<Sentence>,
    /// Rests that do not make ready, where the case says when it is.
    pub late: Vec<Sentence>,
    /// What speaks against a verdict that holds.
    pub against: Vec<Sentence>,
    /// Limits that the case has loosened or switched off.
    pub case_bars: Vec<Sentence>,
    /// Limits that a variant has changed, and what it asks less of.
    pub variant_bars: Vec<Sentence>,
}

/// From this share of rows that are not as they should be on a log is spoken of.
const LOST: f64 = 0.02;
/// And from this on nothing that it tells is taken for what was driven.
const MOST_LOST: f64 = 0.2;

impl Beside {
    /// What a log lacks.
    pub fn log(&mut self, ready: &Ready) {
        let lost = ready.duty.lost;
        if lost > LOST {
            let said = say!(
                "{share} of the rows of the log could not be taken as they stand: what it tells may have been harder",
                share = Value::percent(lost, 0)
            );
            if lost > MOST_LOST { self.grave.push(said) } else { self.against.push(said) }
        }
    }

    /// What the case and its variant say of their limits. `plain` is the case without the variant.
    pub fn of(ready: &Ready, plain: Option<&Ready>) -> Self {
        let variant_bars = plain.map_or_else(Vec::new, |plain| {
            moved(ready, plain).into_iter().chain(eased(ready, plain)).collect()
        });
        Self { case_bars: case_bars(ready), variant_bars, ..Self::default() }
    }

    /// Whether nothing speaks against a verdict, and no variant has moved a bar for it.
    pub fn is_quiet(&self) -> bool {
        self.told().next().is_none() && self.variant_bars.is_empty()
    }

    /// All that speaks against a verdict, the gravest first.
    pub fn told(&self) -> impl Iterator<Item = &Sentence> {
        self.grave.iter().chain(&self.late).chain(&self.against)
    }

    /// A verdict on limits, with what no limit speaks of: readiness that is missed is broken, and where something
    /// grave stands nothing holds.
    pub fn weighs(&self, verdict: Verdict) -> Verdict {
        match verdict {
            Verdict::Holds if !self.late.is_empty() => Verdict::Broken,
            Verdict::Holds if !self.grave.is_empty() => Verdict::NotJudged,
            other => other,
        }
    }

    /// Adds what `check` finds that will not work.
    pub fn layout(&mut self, findings: &Findings) {
        let of = |what| say!("layout: {what}; see `check`", what = what);
        self.grave.extend(check::serious(findings).into_iter().map(of));
        self.against.extend(check::beside(findings).into_iter().map(of));
    }

    /// Adds what was met that no limit speaks of.
    pub fn met<'w>(&mut self, ready: &Ready, met: impl Iterator<Item = &'w Warning>) {
        for warning in met {
            let stands = matches!(warning, Warning::Still { turns: false, .. });
            if stands && is_switched(ready, warning.about()) {
                continue;
            }
            if warnings::is_grave(warning) {
                self.grave.push(warnings::sentence(&ready.model, warning));
            } else if warnings::speaks_against(warning) && !is_switched(ready, warning.about()) {
                self.against.push(warnings::sentence(&ready.model, warning));
            }
        }
    }

    /// Takes the gravity from what is grave where no heat comes in: then nothing needs what does not work.
    pub fn cold(&mut self, ready: &Ready, values: &Values) {
        let heats = expected_heats_w(&ready.model, values);
        let mut bodies = ready.model.bodies.iter().zip(heats);
        if !bodies.all(|(body, heat)| heat <= 0.0 && values.get(body.power) <= 0.0) {
            return;
        }
        let grave = std::mem::take(&mut self.grave);
        self.against.splice(0..0, grave);
    }

    /// Adds the bodies into which no heat comes in any phase, and those that heat is taken from.
    pub fn heatless(&mut self, ready: &Ready) {
        let load = Load::of(ready);
        // Charge air that a compressor leaves cold cools what it meets, and that is no slip; an exchanger has no heat of its own.
        let told = |body: &usize| {
            let spec = &ready.model.bodies[*body];
            spec.charge.is_none() && spec.exchange.is_none()
        };
        let bodies = (0..ready.model.bodies.len()).filter(told);
        let is = |least: fn([f64; 2]) -> bool| {
            let found = bodies.clone().filter(|&body| least(load.range_w(body)));
            let names =
                found.map(|body| say!("`{body}`", body = ready.model.address(Id::Body(body))));
            names.collect::<Vec<Sentence>>()
        };
        let (none, takes) = (is(|[_, most]| most == 0.0), is(|[least, _]| least < 0.0));
        if !none.is_empty() {
            let names = Value::list(none, ", ");
            self.against.push(say!("no heat ever comes into {names}", names = names));
        }
        if !takes.is_empty() {
            let names = Value::list(takes, ", ");
            self.against.push(say!("heat below zero comes into {names}: it cools", names = names));
        }
    }

    /// Adds pulls of less than a second, and that no phase takes half of full power: a unit or a share may have slipped.
    pub fn hardly(&mut self, ready: &Ready) {
        let (short, most) = hardly(&ready.duty.phases);
        let has_power = ready.model.inputs.value(&ready.model.values, POWER) > 0.0;
        if !short.is_empty() && has_power {
            let names = short.into_iter().map(|name| say!("`{name}`", name = name));
            self.against.push(say!(
                "a pull of less than a second heats next to nothing: {names}",
                names = Value::list(names, ", ")
            ));
        }
        if let Some(most) = most.filter(|_| has_power) {
            self.against.push(say!(
                "no phase takes more than {most} of full power",
                most = Value::percent(most, 0)
            ));
        }
    }

    /// Adds thermostats that stay open while their circuit cools to where a real one is shut, and that what one that
    /// moves leaves open is not worked out.
    pub fn thermostats(&mut self, ready: &Ready, history: &History) {
        let model = &ready.model;
        if model.has_lifts() {
            self.against.push(say!(
                "what published laws (±) and assumptions could change is not worked out over a cycle in which a thermostat \
                 moves: `point` has that at rest; try the ends that matter as variants"
            ));
        }
        if model.has_followers() {
            self.against.push(say!(
                "what published laws (±) and assumptions could change is not worked out over a cycle in which a speed \
                 follows a temperature: `point` has that at rest; try the ends that matter as variants"
            ));
        }
        for (c, circuit) in model.circuits.iter().enumerate() {
            let runs = circuit.runs.iter().enumerate();
            let places = runs.flat_map(|(r, run)| (0..run.parts.len()).map(move |p| (r, p)));
            let open =
                places.filter(|&(r, p)| circuit.runs[r].parts[p].part.word() == "thermostat");
            let open = open.map(|(r, p)| model.address(Id::Part(c, r, p))).find(|path| {
                let told = ready.addresses.get(&format!("{path}:open"));
                let slot = told.map(|told| told.slots[0]);
                let mut sets = ready.duty.phases.iter().flat_map(|phase| &phase.sets);
                slot.is_some_and(|slot| {
                    model.values.get(slot) >= OPEN && sets.all(|(set, _)| *set != slot)
                })
            });
            let entries = history.catalogue.entries().iter();
            let hottest = entries
                .enumerate()
                .find(|(_, entry)| entry.id == Id::Circuit(c) && entry.quantity == &q::HOTTEST);
            let Some((path, (index, _))) = open.zip(hottest) else { continue };
            let least_k = history.rows.iter().map(|row| row[index]).fold(f64::INFINITY, f64::min);
            if least_k < SHUT_K && least_k < model.values.get(circuit.start) - COLD_START_K {
                self.against.push(say!(
                    "`{path}` stays open while `{circuit}` cools to {least}: a real one shuts, and the next pull begins \
                     warmer",
                    path = path,
                    circuit = &circuit.name,
                    least = Value::of(Kind::Temperature, least_k)
                ));
            }
        }
    }

    /// Adds the circuits without ice that start colder than all air: they have a store of cold that nothing makes.
    pub fn cold_starts(&mut self, ready: &Ready) {
        let model = &ready.model;
        let air_k = coldest_air_k(ready);
        // What comes in from outside has its own temperature.
        let open = |circuit: &Circuit| {
            let mut joints = circuit.junctions.iter().map(|junction| &junction.joint);
            joints.any(|joint| matches!(joint, Joint::Held { .. } | Joint::Fed { .. }))
        };
        let closed = model.circuits.iter().filter(|circuit| !open(circuit));
        let circuits = closed.filter(|circuit| !circuit.has_ice());
        let circuits = circuits.map(|circuit| (circuit.name.clone(), circuit.start));
        let bodies = model.bodies.iter().enumerate();
        let bodies = bodies.filter_map(|(k, of)| Some((model.address(Id::Body(k)), of.start?)));
        for (name, start) in circuits.chain(bodies) {
            let start_k = model.values.get(start);
            if start_k < air_k - COLD_START_K {
                self.against.push(say!(
                    "`{name}` starts at {start}, {below} colder than any air of the case, without ice",
                    name = name,
                    start = Value::of(Kind::Temperature, start_k),
                    below = Value::of(Kind::TemperatureDifference, air_k - start_k)
                ));
            }
        }
    }

    /// Adds what became of ice: that the next round has less than it needs, or of one round that all of it is gone.
    pub fn ice(&mut self, ready: &Ready, history: &History) {
        let length = Rounds::of(&ready.duty.phases).length.unwrap_or(usize::MAX);
        let last = history.phases.len().saturating_sub(length);
        let row_s = &history.times_s;
        for (index, entry) in history.catalogue.entries().iter().enumerate() {
            let at = |row: usize| history.rows[row][index];
            let end = at(history.rows.len() - 1);
            let melts = at(history.phases[last].rows.start) - end;
            if entry.quantity != &q::ICE || at(0) <= 0.0 {
                continue;
            }
            let tank = ready.model.address(entry.id);
            let gone = (0..history.rows.len()).find(|&row| at(row) <= GONE * at(0));
            match gone {
                Some(row) => self.against.push(say!(
                    "all but {rest} of the ice of `{tank}` is gone {at} after the start",
                    rest = Value::percent(GONE, 1),
                    tank = tank,
                    at = Value::clock(row_s[row])
                )),
                // What is put in again melts as it did.
                None if end < melts && !is_refilled(ready, entry.id) => self.against.push(say!(
                    "`{tank}` has {end} of ice left of {start}, and the last round melted {melts}: the next one runs \
                     out of it",
                    tank = tank,
                    end = Value::of(Kind::Mass, end),
                    start = Value::of(Kind::Mass, at(0)),
                    melts = Value::of(Kind::Mass, melts)
                )),
                None => {}
            }
        }
    }

    /// Adds pulls that begin before the vehicle is ready for them, where the case says when it is.
    pub fn rests(&mut self, ready: &Ready, targets: &[ReadyTarget], rests: &[Readiness]) {
        if targets.iter().all(|target| target.assumed) {
            return;
        }
        if rests.is_empty() {
            self.grave.push(
                "`ready` is not judged: the cycle is one pull, and nothing follows it".into(),
            );
        }
        let over = passed_over(&ready.duty.phases);
        if !over.is_empty() {
            self.against.push(say!(
                "`ready` is not asked before {phases}: too little power for a pull, and too much for a rest",
                phases = Value::list(over.into_iter().map(|name| say!("`{name}`", name = name)), ", ")
            ));
        }
        let late: Vec<&Readiness> = rests.iter().filter(|rest| rest.after_s.is_none()).collect();
        let Some(first) = late.first() else { return };
        let when = match first.pull {
            Some(pull) => say!("when `{pull}` begins", pull = &ready.duty.phases[pull].name),
            None => "at the end of the cycle".into(),
        };
        let more = match late.len() - 1 {
            0 => Sentence::from(""),
            1 => ", and once more".into(),
            more => say!(", and {more} times more", more = more),
        };
        let of = &targets[first.last].of;
        self.late.push(say!("not ready {when}{more}: {of}", when = when, more = more, of = of));
    }

    /// Adds switches that go on and off too often for what they switch.
    pub fn restless(&mut self, ready: &Ready, history: &History) {
        for (k, switch) in ready.model.switches.iter().enumerate() {
            let times_s = history.switched.iter().filter(|switched| switched.switch == k);
            let times_s: Vec<f64> = times_s.map(|switched| switched.at_s).collect();
            let shortest = times_s.windows(RESTLESS).map(|times| times[RESTLESS - 1] - times[0]);
            if shortest.fold(f64::INFINITY, f64::min) < 60.0 {
                self.against.push(say!(
                    "the switch of `{machine}` changes {times} times in all, at times more than {most} times a minute: \
                     set its `on` and `off` further apart",
                    machine = &switch.name,
                    times = times_s.len(),
                    most = RESTLESS
                ));
            }
        }
    }

    /// Adds that a survey takes machines as on that their switches would leave off.
    pub fn switches(&mut self, ready: &Ready, results: &Results) {
        let values = &ready.model.values;
        for switch in &ready.model.switches {
            let (id, quantity) = switch.felt(&ready.model);
            let Some(feels) = results.of(id, quantity).filter(|feels| feels.is_finite()) else {
                continue;
            };
            if !switch.starts_on(values, feels) {
                self.against.push(say!(
                    "taken as on, though its switch feels {feels} only and goes on at {on}: {fan}; `cycle` \
                     follows switches",
                    fan = &switch.name,
                    feels = Value::of(quantity.kind, feels),
                    on = Value::of(quantity.kind, values.get(switch.on)),
                ));
            }
        }
    }
}

/// More changes of a switch than this within a minute wear out what it switches (common practice, no source).
const RESTLESS: usize = 10;

/// Whether a phase puts ice into a tank.
fn is_refilled(ready: &Ready, tank: Id) -> bool {
    let mut tanks = ready.duty.phases.iter().flat_map(|phase| &phase.refills);
    tanks.any(|&(c, r, p)| Id::Part(c, r, p) == tank)
}

/// Whether a core stands behind fans that a switch drives, or a circuit or what it cools behind such pumps: while they are
/// off nothing is meant to move there.
fn is_switched(ready: &Ready, id: Id) -> bool {
    let model = &ready.model;
    let Id::Core(core) = id else {
        let circuits = model.hangs_on(id);
        let mut pumps = model.switches.iter().flat_map(|switch| &switch.drives);
        let in_circuit = |&m: &usize| model.machines[m].id.circuit();
        return pumps.any(|m| in_circuit(m).is_some_and(|circuit| circuits.contains(&circuit)));
    };
    let path = model.air_paths.iter().position(|path| path.cores.contains(&core));
    let Some(path) = path.map(|path| model.address(Id::AirPath(path))) else { return false };
    model.switches.iter().any(|switch| switch.name.starts_with(&format!("{path}/")))
}

/// Built-in limits that are off, or looser than usual.
fn case_bars(ready: &Ready) -> Vec<Sentence> {
    let mut bars = Vec::new();
    let off = ready.built_in.changed.iter().filter(|(_, bound)| bound.is_none());
    let off: Vec<Sentence> = off.map(|(kind, _)| say!("`{name}`", name = kind.word())).collect();
    if !off.is_empty() {
        bars.push(say!(
            "The case switches built-in limits off: {names}",
            names = Value::list(off, ", ")
        ));
    }
    let looser = loosened(&ready.built_in);
    if !looser.is_empty() {
        let names = Value::list(looser.into_iter().map(loose), ", ");
        bars.push(say!("The case loosens built-in limits: {names}", names = names));
    }
    bars
}

fn loose((kind, bound, told, usual): (BuiltInKind, Bound, f64, f64)) -> Sentence {
    let side = match bound {
        Bound::AtLeast => "at least",
        Bound::AtMost => "at most",
    };
    let of = |si| Value::of(kind.of(), si);
    say!(
        "`{name}` {side} {told} (usual {usual})",
        name = kind.word(),
        side = side,
        told = of(told),
        usual = of(usual)
    )
}

/// A thermostat at least so far open is meant to be open.
const OPEN: f64 = 0.5;
/// Below this a thermostat is shut, K (common practice, no source: they begin to open at 75 to 90 °C).
const SHUT_K: f64 = 348.15;

/// A start that is so much colder than the air, K, is spoken of (judgement, no source).
const COLD_START_K: f64 = 3.0;

/// Ice below this share of what there was is gone.
const GONE: f64 = 1e-3;
