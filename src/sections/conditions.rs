//! Under which conditions an answer was worked out, and what has no steady state under them.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::inputs;
use coolwright_models::point::{Held, Why};
use coolwright_models::slots::Values;

use crate::answer::{Lay, Section, Sentence, Value};
use crate::say;

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

/// Circuits without a steady state.
pub fn held(ready: &Ready, values: &Values, held: &[Held]) -> Section {
    let mut section = Section::plain("held");
    for held in held {
        let circuit = &ready.model.circuits[held.circuit];
        let why = match held.why {
            Why::NoWayOut => "No heat leaves it here, so it has",
            Why::Boils => "With this heat kept up its coolant boils, so it has",
        };
        let sentence = say!(
            "Circuit `{circuit}`: {why} no steady state. All about it is shown with its tank (or first junction) \
             held at {start}, where it starts; `cycle` shows how it warms.",
            circuit = &circuit.name,
            why = why,
            start = Value::of(Kind::Temperature, values.get(circuit.start)),
        );
        section = section.say(sentence, Lay::Paragraph);
    }
    section
}
