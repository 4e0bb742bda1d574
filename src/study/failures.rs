//! What can fail of a case, each as a variant would write it.

use std::collections::BTreeMap;

use coolwright_cases::case::Change;
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::ids::Id;

use super::levers::{Pump, all_pumps, at, fan_paths};
use crate::answer::{Sentence, Value};
use crate::say;

/// Something that fails.
#[derive(Clone, Debug)]
pub struct Failure {
    /// What, in words.
    pub what: Sentence,
    /// The same as a variant makes it.
    pub changes: Vec<Change>,
}

/// What a supply gives without its alternator, over what it gives with it: 12.0 of 13.8 V. Common practice, no source.
const BATTERY: f64 = 12.0 / 13.8;
/// How much of a core is blocked.
const BLOCKED: f64 = 0.5;
/// How much of the coolant of a tank is lost.
const LOST: f64 = 0.5;
/// A hose that is pinched to half its bore at one place, as a loss coefficient of its own bore: β = 1/2, a gradual
/// enough way in for the loss 0.5 (1 − β²) and Borda and Carnot's (1 − β²)² behind it, both over β⁴:
/// (0.375 + 0.5625) · 16 = 15. From memory, any handbook.
const PINCHED: f64 = 15.0;
/// Temperatures between which a thermostat's wax may open, K: at the first it is open in any coolant that is warm, at
/// the other shut in any that does not boil.
const OPENS_K: [f64; 2] = [273.15, 423.15];
/// The least that a cap may open at in a case: it holds next to nothing any more.
const LEAKS: &str = "\"1 kPa\"";

/// What can fail, in the order of machines, valves, cores, hoses, coolant and caps, supplies. Behind it what a phase of the
/// duty sets itself, so that it cannot be told as a failure.
pub fn failures(ready: &Ready) -> (Vec<Failure>, Vec<Sentence>) {
    let mut all = pumps(ready);
    all.extend(fans(ready));
    all.extend(thermostats(ready));
    all.extend(cores(ready));
    all.extend(hoses(ready));
    all.extend(tanks(ready));
    all.extend(supplies(ready));
    let (set, free): (Vec<Failure>, Vec<Failure>) =
        all.into_iter().partition(|failure| is_set_by_a_phase(ready, failure));
    (free, set.into_iter().map(|failure| failure.what).collect())
}

/// Two failures at once, for every two that do not speak of the same thing.
pub fn pairs(all: &[&Failure]) -> Vec<Failure> {
    let mut pairs = Vec::new();
    for (k, one) in all.iter().enumerate() {
        for other in all[..k].iter().filter(|other| is_apart(one, other)) {
            let what =
                say!("{one}, and {other}", one = other.what.clone(), other = one.what.clone());
            let changes = other.changes.iter().chain(&one.changes).cloned().collect();
            pairs.push(Failure { what, changes });
        }
    }
    pairs
}

/// Whether two failures can be told together: none writes what the other does, nor one of several that the other writes.
fn is_apart(one: &Failure, other: &Failure) -> bool {
    let same = |a: &str, b: &str| match (a.split_once(':'), b.split_once(':')) {
        (Some((a, a_name)), Some((b, b_name))) => {
            let within = |long: &str, short: &str| {
                long.strip_prefix(short)
                    .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
            };
            a_name == b_name && (within(a, b) || within(b, a))
        }
        _ => a == b,
    };
    let mut both = one.changes.iter().flat_map(|a| other.changes.iter().map(move |b| (a, b)));
    both.all(|(a, b)| !same(&a.address, &b.address))
}

fn is_set_by_a_phase(ready: &Ready, failure: &Failure) -> bool {
    let addresses = failure.changes.iter().map(|change| &change.address);
    let mut slots = addresses.filter_map(|of| ready.addresses.get(of)).flat_map(|of| &of.slots);
    slots.any(|slot| {
        ready.duty.phases.iter().any(|phase| phase.sets.iter().any(|(set, _)| set == slot))
    })
}

fn one(what: Sentence, address: String, text: &str) -> Failure {
    Failure { what, changes: vec![Change::text(address, text)] }
}

const STILL: &str = "\"0 %\"";

fn pumps(ready: &Ready) -> Vec<Failure> {
    let mut found = Vec::new();
    for Pump { path, count, electric, .. } in all_pumps(ready) {
        if !electric {
            let belt = say!("the belt of `{pump}` is off", pump = &path);
            found.push(one(belt, format!("{path}:ratio"), "0"));
            continue;
        }
        if count > 1 {
            let first =
                say!("one of the {count} pumps `{pump}` stops", count = count, pump = &path);
            found.push(one(first, format!("{path}/1:speed"), STILL));
            let all = say!("all pumps `{pump}` stop", pump = &path);
            found.push(one(all, format!("{path}:speed"), STILL));
        } else {
            let stops = say!("the pump `{pump}` stops", pump = &path);
            found.push(one(stops, format!("{path}:speed"), STILL));
        }
    }
    found
}

fn fans(ready: &Ready) -> Vec<Failure> {
    let mut found = Vec::new();
    for path in fan_paths(ready) {
        let count = at(ready, &format!("{path}:count")).map_or(1.0, |(_, count)| count);
        if count > 1.0 {
            let many = Value::of(Kind::Count, count);
            let first = say!("one of the {count} fans `{fan}` stops", count = many, fan = &path);
            found.push(one(first, format!("{path}/1:speed"), STILL));
            let all = say!("all fans `{fan}` stop", fan = &path);
            found.push(one(all, format!("{path}:speed"), STILL));
        } else {
            let stops = say!("the fan `{fan}` stops", fan = &path);
            found.push(one(stops, format!("{path}:speed"), STILL));
        }
    }
    found
}

fn thermostats(ready: &Ready) -> Vec<Failure> {
    let model = &ready.model;
    let mut found = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.part.word() != "thermostat" {
                    continue;
                }
                let path = model.address(Id::Part(c, r, p));
                let shut = say!("the thermostat `{part}` sticks shut", part = &path);
                let open = say!("the thermostat `{part}` sticks open", part = &path);
                let (wax, told) = (format!("{path}:opens"), format!("{path}:open"));
                if let Some((kind, _)) = at(ready, &wax) {
                    let held =
                        |what, si| Failure { what, changes: vec![Change::number(&wax, kind, si)] };
                    found.push(held(shut, OPENS_K[1]));
                    found.push(held(open, OPENS_K[0]));
                } else if ready.addresses.contains_key(&told) {
                    found.push(one(shut, told.clone(), STILL));
                    found.push(one(open, told, "\"100 %\""));
                }
            }
        }
    }
    // A valve that stands where the failure would put it does not fail.
    found.retain(|failure| {
        failure.changes.iter().all(|change| {
            let now = at(ready, &change.address).map(|(_, si)| si);
            let stands = (change.text == STILL && now == Some(0.0))
                || (change.text == "\"100 %\"" && now == Some(1.0));
            !stands
        })
    });
    found
}

fn cores(ready: &Ready) -> Vec<Failure> {
    let one = |k: usize| {
        let path = ready.model.address(Id::Core(k));
        let address = format!("{path}:blocked");
        let (_, now) = at(ready, &address)?;
        let what = say!("half of `{core}` is blocked", core = path);
        (now < BLOCKED).then(|| one(what, address, "\"50 %\""))
    };
    (0..ready.model.cores.len()).filter_map(one).collect()
}

/// One hose of each run: that before a pump where there is one, as it may be sucked flat, else the first.
fn hoses(ready: &Ready) -> Vec<Failure> {
    let model = &ready.model;
    let mut by_run: BTreeMap<String, String> = BTreeMap::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            let is_hose = |p: usize| ready.hoses.contains_key(&model.address(Id::Part(c, r, p)));
            let parts = 0..run.parts.len();
            let sucked = parts.clone().filter(|&p| is_hose(p)).find(|&p| {
                let next = run.parts[p + 1..].iter().find(|placed| !placed.automatic);
                next.is_some_and(|placed| placed.part.as_pump().is_some())
            });
            if let Some(p) = sucked.or_else(|| parts.clone().find(|&p| is_hose(p))) {
                let hose = model.address(Id::Part(c, r, p));
                let run = hose.rsplit_once('/').map_or("", |(run, _)| run).to_owned();
                by_run.entry(run).or_insert(hose);
            }
        }
    }
    let pinched = |hose: String| {
        let address = format!("{hose}:loss");
        let (kind, now) = at(ready, &address)?;
        let changes = vec![Change::number(address, kind, now + PINCHED)];
        let what = say!("the hose `{hose}` is pinched to half its bore", hose = hose);
        Some(Failure { what, changes })
    };
    by_run.into_values().filter_map(pinched).collect()
}

/// Coolant that is lost, caps that hold nothing.
fn tanks(ready: &Ready) -> Vec<Failure> {
    let mut found = Vec::new();
    for address in ready.addresses.keys() {
        let Some(path) = address.strip_suffix(":level") else { continue };
        let number = |name: &str| at(ready, &format!("{path}:{name}"));
        let known = (number("volume"), number("air"), number("level"));
        if let (Some((kind, volume)), Some((_, air)), Some((height, level))) = known {
            // Walls that stand upright: the level goes with what is left.
            let changes = vec![
                Change::number(format!("{path}:air"), kind, air + LOST * (volume - air)),
                Change::number(address, height, (1.0 - LOST) * level),
            ];
            let what = say!("half of the coolant of `{tank}` is lost", tank = path);
            found.push(Failure { what, changes });
        }
        if number("opens").is_some() {
            let what = say!("the cap of `{tank}` leaks", tank = path);
            found.push(one(what, format!("{path}:opens"), LEAKS));
        }
    }
    found
}

/// Supplies without their alternator.
fn supplies(ready: &Ready) -> Vec<Failure> {
    let one = |supply: &coolwright_models::supply::Supply| {
        let address = format!("{}:voltage", supply.path);
        let (kind, volts) = at(ready, &address)?;
        let (from, to) = (Value::of(kind, volts), Value::of(kind, BATTERY * volts));
        let what = say!(
            "`{supply}` falls from {from} to {to}",
            supply = &supply.path,
            from = from,
            to = to
        );
        Some(Failure { what, changes: vec![Change::number(address, kind, BATTERY * volts)] })
    };
    ready.model.supplies.iter().filter_map(one).collect()
}
