//! What can hurt someone, by what the case holds and what came out.

use coolwright_cases::lower::Ready;
use coolwright_models::circuit::Placed;
use coolwright_models::cycle::History;
use coolwright_models::fluids::Base;
use coolwright_models::ids::Id;
use coolwright_models::parts::PumpDrive;
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;

use coolwright_cases::quantity::Kind;

use crate::answer::{Sentence, Value};
use crate::say;

/// Direct voltage from which on it counts as high: 60 V (class B of ISO 6469-3, from memory).
const HIGH_VOLTS: f64 = 60.0;

/// The cautions of a case; `caps` are those about caps that open in the answer.
pub fn cautions(ready: &Ready, caps: Vec<Sentence>) -> Vec<Sentence> {
    let mut list = vec![
        "Estimates, to be checked on a stand; local codes and licensed practice come first.".into(),
        "Hot coolant under pressure scalds: never open a cap or a bleed screw on a hot system."
            .into(),
    ];
    list.extend(caps);
    list.extend(machines(ready));
    list.extend(liquids(ready));
    list.extend(heat(ready));
    list
}

/// What turns, and what feeds it.
fn machines(ready: &Ready) -> Option<Sentence> {
    let model = &ready.model;
    let electric = |placed: &Placed| {
        placed.part.as_pump().is_some_and(|pump| matches!(pump.drive, PumpDrive::Electric(_)))
    };
    let pumps = parts(ready).any(electric);
    let fans = model.air_paths.iter().any(|path| !path.fans.is_empty());
    let what = match (fans, pumps) {
        (false, false) => return None,
        (true, true) => "Fans and pumps start",
        (true, false) => "Fans start",
        (false, true) => "Pumps start",
    };
    let beside =
        if has_engine(ready) { ", keep off belts, exhaust and whatever turns" } else { "" };
    Some(say!(
        "{what} by themselves: pull the fuse first{beside}; fuses and wires by local code.",
        what = what,
        beside = beside
    ))
}

/// What the circuits are filled with.
fn liquids(ready: &Ready) -> Option<Sentence> {
    let coolants = || ready.model.circuits.iter().filter_map(|circuit| circuit.coolant.base());
    let ice =
        parts(ready).any(|placed| placed.part.as_tank().is_some_and(|tank| tank.ice.is_some()));
    let glycol = if coolants().any(|base| base == Base::EthyleneGlycol) {
        "Ethylene glycol is poisonous: collect every drop."
    } else if coolants().any(|base| base != Base::Water) {
        "Collect what is drained: its additives are poisonous."
    } else {
        ""
    };
    let water = if coolants().any(|base| base == Base::Water) {
        "Water that freezes bursts cores: drain it before frost."
    } else {
        ""
    };
    let ice = if ice { "Ice water spills and is slippery." } else { "" };
    let other = ready.model.circuits.iter().any(|circuit| circuit.coolant.base().is_none());
    let other = if other {
        "Hot oil burns skin and takes fire on hot parts: read the safety sheet of what is filled in."
    } else {
        ""
    };
    let said: Vec<&str> =
        [glycol, water, ice, other].into_iter().filter(|words| !words.is_empty()).collect();
    (!said.is_empty()).then(|| Value::list(said, " ")).map(|said| say!("{said}", said = said))
}

/// What an electric drive calls the things that it cools.
const ELECTRIC: [&str; 5] = ["inverter", "motor", "battery", "cells", "converter"];

/// What is hot or live.
fn heat(ready: &Ready) -> Option<Sentence> {
    let supplies = ready.addresses.iter().filter(|(address, _)| address.starts_with("suppl"));
    let volts = supplies.filter(|(address, _)| address.ends_with(":voltage"));
    let values = &ready.model.values;
    let high = volts.flat_map(|(_, at)| &at.slots).any(|slot| values.get(*slot) > HIGH_VOLTS);
    let (engine, coolers) = (has_engine(ready), !ready.model.bodies.is_empty());
    let told = ready.model.bodies.iter().any(|body| body.wall.is_some());
    let wall = if told {
        "The hottest wall is an estimate; after shutdown it may grow hotter."
    } else {
        "Bulk temperatures say nothing of the hottest wall, nor of what happens after shutdown."
    };
    let live =
        "Where high voltage is cooled: qualified persons only, and no coolant on live parts.";
    let drives = |name: &str| ELECTRIC.iter().any(|word| name.contains(word));
    let electric = ready.model.bodies.iter().any(|body| drives(&body.name.to_lowercase()));
    match (engine || told, high || electric || (coolers && !engine && !told)) {
        (true, true) => Some(say!("{wall} {live}", wall = wall, live = live)),
        (true, false) => Some(wall.into()),
        (false, true) => Some(live.into()),
        (false, false) => None,
    }
}

/// The caps that open over a cycle, when first and what they let out.
pub fn caps_of_cycle(ready: &Ready, history: &History) -> Vec<Sentence> {
    let circuits = ready.model.circuits.iter().enumerate();
    let one = |(c, circuit): (usize, &coolwright_models::circuit::Circuit)| {
        let out = || history.openings.iter().filter(|o| o.circuit == c && o.is_out);
        let first = out().map(|opening| opening.from_s).reduce(f64::min)?;
        let coolant: f64 = out().map(|opening| opening.coolant_m3).sum();
        let what = if coolant > 0.0 {
            say!("{litres} of coolant in all", litres = Value::of(Kind::Volume, coolant))
        } else {
            "gas and vapour".into()
        };
        Some(say!(
            "The cap of `{circuit}` opens at {first} and lets out {what}: stay clear of it and of its overflow.",
            circuit = &circuit.name,
            first = Value::clock(first),
            what = what
        ))
    };
    circuits.filter_map(one).collect()
}

/// The caps that stand open at one moment.
pub fn caps_of_point(ready: &Ready, results: &Results) -> Vec<Sentence> {
    let entries = results.catalogue.entries().iter();
    let open = entries.filter(|entry| entry.quantity == &q::CAP);
    let open = open.filter(|entry| results.of(entry.id, &q::CAP) == Some(1.0));
    let one = |id: Id| {
        say!(
            "The cap of `{tank}` opens: stay clear of it and of its overflow.",
            tank = ready.model.address(id)
        )
    };
    open.map(|entry| one(entry.id)).collect()
}

fn parts(ready: &Ready) -> impl Iterator<Item = &Placed> {
    ready.model.circuits.iter().flat_map(|circuit| &circuit.runs).flat_map(|run| &run.parts)
}

fn has_engine(ready: &Ready) -> bool {
    ready.model.bodies.iter().any(|body| body.word == "engine")
}
