//! Under which conditions an answer was worked out, and what has no steady state under them.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::inputs;
use coolwright_models::model::Model;
use coolwright_models::point::{OperatingPoint, Why};
use coolwright_models::simulate::StateOf;
use coolwright_models::slots::Values;
use coolwright_models::watch::Watched;

use crate::answer::{Form, Lay, Section, Sentence, Value};
use crate::say;
use crate::study::{Moment, Way};

/// The conditions of an answer in one line.
pub fn conditions(ready: &Ready, values: &Values, which: Sentence) -> Section {
    let model = &ready.model;
    let get = |slot| values.get(slot);
    let input = |name| model.inputs.value(values, name);
    let power = match input(inputs::POWER) {
        0.0 => Sentence::from(""),
        power => say!(": {power}", power = Value::of(Kind::Power, power)),
    };
    let engine = match input(inputs::ENGINE_SPEED) {
        0.0 => Sentence::from(""),
        speed => say!(", engine at {speed}", speed = Value::of(Kind::RotationalSpeed, speed)),
    };
    let road: Value = match input(inputs::ROAD_SPEED) {
        0.0 => "standing still".into(),
        speed => Value::of(Kind::Speed, speed),
    };
    let sentence = say!(
        "At {which}{power}{engine}, {road}, air {air}, {altitude} above sea level, humidity {humidity}",
        which = which,
        power = power,
        engine = engine,
        road = road,
        air = Value::of(Kind::Temperature, get(model.site.temperature)),
        altitude = Value::of(Kind::Distance, get(model.site.altitude)),
        humidity = Value::of(Kind::Fraction, get(model.site.humidity)),
    );
    Section::plain("conditions").say(sentence, Lay::Lines)
}

/// What is solved, in words: a variant, a phase, or a share of full power.
pub fn which(
    ready: &Ready,
    values: &Values,
    variant: Option<&str>,
    phase: Option<&str>,
) -> Sentence {
    let at = phase.map_or_else(
        || load(ready.duty.point_share, ready.model.inputs.value(values, inputs::POWER)),
        |phase| say!("phase `{phase}`", phase = phase),
    );
    match variant {
        None => at,
        Some(variant) => say!("variant `{variant}`, {at}", variant = variant, at = at),
    }
}

/// The power of a point that is no phase, in words.
fn load(share: Option<f64>, power_w: f64) -> Sentence {
    match share {
        _ if power_w == 0.0 => "the heats of the case, no drive power".into(),
        Some(share) if share < 1.0 => {
            say!("{share} of full power", share = Value::percent(share, 1))
        }
        _ => "full power".into(),
    }
}

/// A moment of the duty cycle in words.
pub fn which_at(at_s: f64, phase: Option<&str>, variant: Option<&str>) -> Sentence {
    let at = Value::formed(Kind::Time, at_s, Form::Decimals(1));
    let moment = match phase {
        None => say!("{at} of the duty cycle", at = at),
        Some(phase) => say!("{at} of the duty cycle, in `{phase}`", at = at, phase = phase),
    };
    match variant {
        None => moment,
        Some(variant) => say!("variant `{variant}`, {at}", variant = variant, at = moment),
    }
}

/// That an answer is a survey of one moment, and what judges where the case has a duty cycle.
pub fn moment(moment: &Moment, judge: Option<String>) -> Section {
    let what: Sentence = match moment {
        Moment::At(_) => {
            "A survey of one moment of the duty cycle, as it is then: coolant and metal take up or give off heat, so \
             flow × rise × heat capacity is not quite the heat beside it."
                .into()
        }
        Moment::Full | Moment::Phase(_) => {
            "A survey of one moment: everything as below, kept up until nothing changes any more."
                .into()
        }
    };
    let judge =
        judge.map(|command| say!(" The duty cycle is the judge: `{command}`.", command = command));
    let sentence = match judge {
        None => what,
        Some(judge) => say!("{what}{judge}", what = what, judge = judge),
    };
    Section::plain("moment").say(sentence, Lay::Paragraph)
}

/// What has no steady state: why, how fast it warms, and when something breaks on the way from the start.
pub fn held(ready: &Ready, point: &OperatingPoint, way: Option<&Way>) -> Section {
    let model = &ready.model;
    let mut section = Section::plain("held");
    for (held, warming) in point.held.iter().zip(&point.warming) {
        let why: Sentence = match held.why {
            Why::NoWayOut => "heat comes in and none leaves it here, so it has".into(),
            Why::Boils => "with this heat kept up its coolant boils, so it has".into(),
            Why::NotAtRest => {
                "heat comes into a part of it that no coolant cools, or what follows a temperature hunts, so it has".into()
            }
            Why::Follows { circuit } => {
                let other = &model.circuits[circuit].name;
                say!("it shares air or metal with `{other}`, so it too has", other = other)
            }
        };
        let sentence = say!(
            "Circuit `{circuit}`: {why} no steady state. Its flows and pressures are those of the start; there are \
             no temperatures and heats to show. At the start the {what} changes by {rate}/s.",
            circuit = &model.circuits[held.circuit].name,
            why = why,
            what = state_words(model, warming.what),
            rate = Value::formed(Kind::TemperatureDifference, warming.rate_k_s, Form::Decimals(3)),
        );
        section = section.say(sentence, Lay::Paragraph);
    }
    match way {
        Some(way) if !point.held.is_empty() => section.say(way_words(ready, way), Lay::Paragraph),
        _ => section,
    }
}

/// What changes at the start, in words.
fn state_words(model: &Model, what: StateOf) -> Sentence {
    let name = model.address(what.id());
    match what {
        StateOf::Metal(_) => say!("metal of `{name}`", name = name),
        StateOf::Wall(_) => say!("wall of `{name}`", name = name),
        StateOf::Gauge(_) => say!("reading of `{name}`", name = name),
        _ => say!("coolant of `{name}`", name = name),
    }
}

/// What happens on the way from the start.
fn way_words(ready: &Ready, way: &Way) -> Sentence {
    let time = |s: f64| Value::formed(Kind::Time, s, Form::Decimals(1));
    let first = way.history.watched.iter().filter_map(Watched::first_s).reduce(f64::min);
    let boils = way.history.boiled.map(|boiled| {
        let place = boiled.place;
        say!(
            "the coolant of `{circuit}` boils {at} after the start, where it {leaves} `{part}` at {temperature}",
            circuit = &ready.model.circuits[boiled.circuit].name,
            at = time(boiled.at_s),
            leaves = place.place.word(),
            part = ready.model.address(place.at),
            temperature = Value::of(Kind::Temperature, place.temperature_k),
        )
    });
    match (first, boils) {
        (Some(first), Some(boils)) => say!(
            "Kept up from the start, the first limit breaks after {first}, and {boils}.",
            first = time(first),
            boils = boils
        ),
        (None, Some(boils)) => say!("Kept up from the start, {boils}.", boils = boils),
        (Some(first), None) => {
            say!(
                "Kept up from the start, the first limit breaks after {first}.",
                first = time(first)
            )
        }
        (None, None) => say!(
            "Kept up from the start, no limit breaks within {end}.",
            end = Value::formed(Kind::Time, way.end_s(), Form::Clock)
        ),
    }
}
