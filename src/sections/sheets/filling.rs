//! Fill and bleed.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Circuit;

use super::several;
use crate::answer::{Lay, Section, Sentence, Table, Value};
use crate::say;
use crate::study::sheets::Filling;

/// How every circuit is filled and bled.
pub fn filling(ready: &Ready, all: &[Filling]) -> Vec<Section> {
    all.iter().flat_map(|of| [steps(ready, of), summits(ready, of)]).collect()
}

/// What must not run while hands are at a circuit.
fn nothing_turns(circuit: &Circuit) -> Sentence {
    let pumps = || {
        let parts = circuit.runs.iter().flat_map(|run| &run.parts);
        parts.filter_map(|placed| placed.part.as_pump())
    };
    let by_wire = pumps().any(|pump| pump.drive.supply().is_some());
    let by_engine = pumps().any(|pump| pump.drive.supply().is_none());
    match (by_wire, by_engine) {
        (true, false) => "Everything cold, pumps off, fuses out. Open all bleeds; shut all drains.",
        (false, true) => {
            "Everything cold, what turns the pump stopped and its key out. Open all bleeds; shut all drains."
        }
        (true, true) => {
            "Everything cold, pumps off, fuses out, what turns a pump stopped and its key out. Open all bleeds; shut all \
             drains."
        }
        (false, false) => "Everything cold. Open all bleeds; shut all drains.",
    }
    .into()
}

fn steps(ready: &Ready, of: &Filling) -> Section {
    let circuit = &ready.model.circuits[of.circuit];
    let litres = |m3: f64| Value::of(Kind::Volume, m3);
    if of.open {
        let title = say!("FILL AND BLEED `{circuit}`", circuit = &circuit.name);
        return Section::new("filling", title).of(&circuit.name).say(
            "It is fed from outside: open what shuts it, run the pump for some seconds, and again until no air comes out. \
             Look for leaks before it goes into the water or onto the mains.",
            Lay::Paragraph,
        );
    }
    let mut all: Vec<Sentence> = Vec::new();
    all.push(nothing_turns(circuit));
    let at: Value = match &of.at {
        Some(tank) => say!("at `{tank}`", tank = tank).into(),
        None => "at its highest bleed".into(),
    };
    all.push(say!("Fill slowly {at}.", at = at));
    for (path, height, below) in &of.bleeds {
        if let Some((above, tank)) = above_surface(of, *height) {
            all.push(say!(
                "The bleed `{path}` stands {above} above the surface in `{tank}`: what is poured in there does not rise to \
                 it. Fill it up through this bleed, or by vacuum, or with the tank held higher; then close it.",
                path = path,
                above = Value::of(Kind::Length, above),
                tank = tank
            ));
            continue;
        }
        all.push(say!(
            "Close the bleed `{path}` (at a height of {height}) when coolant comes without air: after about {below}.",
            path = path,
            height = Value::of(Kind::Length, *height),
            below = litres(*below)
        ));
    }
    all.push(say!("Fill to the cold mark: {all} in all.", all = litres(of.volume_m3)));
    if of.ice_kg > 0.0 {
        let ice = Value::of(Kind::Mass, of.ice_kg);
        all.push(say!(
            "Put {ice} of ice in last, before the vehicle runs: it lifts the level.",
            ice = ice
        ));
    }
    all.push(
        "Run each pump for some seconds and stop it at once if it whines: it has air. Fill up, and again until the level \
         stays. Then all pumps, then warm without load, cap shut."
            .into(),
    );
    all.push("Let it cool. Fill up to the cold mark. What is missing now was air.".into());
    let title = say!("FILL AND BLEED `{circuit}`", circuit = &circuit.name);
    let mut section = Section::new("filling", title).of(&circuit.name);
    for (k, step) in all.into_iter().enumerate() {
        section = section.say(step, Lay::Numbered(k + 1));
    }
    if of.silent > 0 {
        section = section.say(
            say!(
                "{hoses} of it told no rise: high points there are not known. Give `rise` or a `route`.",
                hoses = several(of.silent, "hose", "hoses")
            ),
            Lay::Paragraph,
        );
    }
    section.say(
        "Hot coolant scalds: bleed cold. Glycol is poisonous: catch what comes out.",
        Lay::Paragraph,
    )
}

/// By how much a bleed stands above the surface in the tank, m, and that tank; nothing where coolant rises to it.
fn above_surface(of: &Filling, height_m: f64) -> Option<(f64, &String)> {
    let (surface_m, tank) = of.surface_m.zip(of.at.as_ref())?;
    let above = height_m - surface_m;
    (above > AS_HIGH_M).then_some((above, tank))
}

/// Heights that differ by less than this are alike, m: nobody tells them closer.
const AS_HIGH_M: f64 = 0.01;

fn summits(ready: &Ready, of: &Filling) -> Section {
    let mut table = Table::new()
        .words("where", "high point without a bleed")
        .numbers("height", "above the\nsurface", Kind::Length)
        .numbers("air", "air that may\nstay, at most", Kind::Volume)
        .values("sweeps", "flow that\nsweeps it")
        .values("has", "flow there\nwith pumps")
        .words("then", "so")
        .mixed();
    for summit in &of.summits {
        let flow = |m3_s: f64| Value::of(Kind::VolumeFlow, m3_s);
        let then = match summit.sweeps_m3_s {
            Some((wants, has)) if has >= wants => "the pumps sweep it",
            Some(_) => "vent by hand, or tilt",
            None => "not known",
        };
        table.line([
            (&summit.words).into(),
            Value::of(Kind::Length, summit.height_m).into(),
            Value::of(Kind::Volume, summit.air_m3).into(),
            summit.sweeps_m3_s.map(|(wants, _)| flow(wants)).into(),
            summit.sweeps_m3_s.map(|(_, has)| flow(has)).into(),
            then.into(),
        ]);
    }
    let name = &ready.model.circuits[of.circuit].name;
    let section =
        Section::new("summits", say!("Air that may stay in `{circuit}`", circuit = name)).of(name);
    if of.summits.is_empty() {
        return section;
    }
    section.table(table).say(
        "Flow that sweeps a pocket down a pipe by Wisner, Mohsen and Kouwen 1975 (their upper envelope, from memory).",
        Lay::Paragraph,
    )
}
