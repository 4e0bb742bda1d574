//! Heat sources with their passes, and cores.

use coolwright_cases::quantity::Kind;
use coolwright_models::ids::Id;
use coolwright_models::parts::HeatPartner;
use coolwright_models::results::quantities as q;

use super::Scene;
use crate::answer::{Cell, Lay, Section, Sentence, Table, Value};
use crate::say;

/// Heat sources: heat, metal, mean rise of their coolant.
pub fn bodies(scene: &Scene<'_>) -> Section {
    let mut table = Table::new()
        .words("source", "heat comes into")
        .numbers("heat_in", "heat in", Kind::HeatRate)
        .numbers("heat", "heat into\ncoolant", Kind::HeatRate)
        .may_go()
        .numbers("metal", "metal", Kind::Temperature)
        .numbers("flow", "coolant\nflow", Kind::VolumeFlow)
        .numbers("rise", "mean rise\nof coolant", Kind::TemperatureDifference);
    for body in 0..scene.ready.model.bodies.len() {
        let id = Id::Body(body);
        let path = scene.address(id);
        let cells = [
            (&path).into(),
            scene.within(id, &q::HEAT_IN),
            scene.within(id, &q::HEAT),
            scene.within(id, &q::METAL),
            scene.within(id, &q::COOLANT_FLOW),
            scene.within(id, &q::COOLANT_RISE),
        ];
        table.row(path, cells);
    }
    Section::new("heat_sources", "Heat sources").table(table)
}

/// The passes of every body that has more than one.
pub fn passes(scene: &Scene<'_>) -> Vec<Section> {
    let bodies = 0..scene.ready.model.bodies.len();
    bodies.filter_map(|body| passes_of(scene, body)).collect()
}

fn passes_of(scene: &Scene<'_>, body: usize) -> Option<Section> {
    let of_body = parts_of(scene, HeatPartner::Body(body));
    if of_body.len() < 2 {
        return None;
    }
    let id = Id::Body(body);
    let mut table = Table::new()
        .words("pass", "pass")
        .numbers("flow", "flow", Kind::VolumeFlow)
        .numbers("share", "share\nof mass", Kind::Fraction)
        .numbers("velocity", "velocity", Kind::Velocity)
        .numbers("reynolds", "Re", Kind::Number)
        .numbers("fall", "fall", Kind::PressureDifference)
        .numbers("in", "in", Kind::Temperature)
        .numbers("out", "out", Kind::Temperature)
        .numbers("rise", "rise", Kind::TemperatureDifference)
        .numbers("heat", "heat", Kind::HeatRate)
        .only_filled();
    for &(c, r, p) in &of_body {
        let (run, part) = (Id::Run(c, r), Id::Part(c, r, p));
        let share = scene.of(part, &q::SHARE).map(|share| Value::percent(share, 1));
        let reynolds = scene.of(part, &q::REYNOLDS).map(|re| Value::decimals(re, 0));
        let path = scene.address(part);
        let cells = [
            (&path).into(),
            scene.within(run, &q::FLOW),
            Cell::from(share)
                .within(scene.off(part, &q::SHARE))
                .between(scene.bounds(part, &q::SHARE)),
            scene.cell(part, &q::VELOCITY),
            reynolds.into(),
            scene.cell(part, &q::FALL),
            scene.cell(part, &q::TEMPERATURE_IN),
            scene.cell(part, &q::TEMPERATURE_OUT),
            scene.cell(part, &q::RISE),
            scene.cell(part, &q::HEAT),
        ];
        table.row(path, cells);
    }
    let spread = scene.of(id, &q::FLOW_RATIO).unwrap_or(f64::NAN);
    let off = scene.off(id, &q::FLOW_RATIO);
    let off = off.map_or_else(
        || Sentence::from(""),
        |off| say!(" \u{b1} {off}", off = Value::decimals(off, 3)),
    );
    let title = say!(
        "Passes of `{body}`: {passes} passes, largest flow over smallest {spread}{off}",
        body = &scene.ready.model.bodies[body].name,
        passes = of_body.len(),
        spread = Value::decimals(spread, 3),
        off = off,
    );
    Some(Section::new("passes", title).of(scene.address(id)).table(table))
}

/// The parts that exchange heat with a body or a core: circuit, run, part.
fn parts_of(scene: &Scene<'_>, partner: HeatPartner) -> Vec<(usize, usize, usize)> {
    let mut found = Vec::new();
    for (c, circuit) in scene.ready.model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.part.partner() == Some(partner) {
                    found.push((c, r, p));
                }
            }
        }
    }
    found
}

/// Cores: both sides.
pub fn cores(scene: &Scene<'_>) -> Section {
    let mut table = Table::new()
        .words("core", "core")
        .numbers("heat", "heat", Kind::HeatRate)
        .numbers("ua", "UA", Kind::Conductance)
        .numbers("coolant_in", "coolant\nin", Kind::Temperature)
        .numbers("coolant_out", "coolant\nout", Kind::Temperature)
        .numbers("air_in", "air in", Kind::Temperature)
        .numbers("air_out", "air out", Kind::Temperature)
        .numbers("air_fall", "fall of\nthe air", Kind::AirPressureDifference)
        .numbers("face_velocity", "speed at\nthe face", Kind::Velocity)
        .may_go()
        .only_filled();
    for (core, spec) in scene.ready.model.cores.iter().enumerate() {
        let id = Id::Core(core);
        let part = parts_of(scene, HeatPartner::Core(core)).first().copied();
        let coolant = |quantity| {
            part.map_or(Value::Nothing.into(), |(c, r, p)| {
                scene.within(Id::Part(c, r, p), quantity)
            })
        };
        let cells = [
            (&spec.name).into(),
            scene.within(id, &q::REJECTED),
            scene.cell(id, &q::CORE_UA),
            coolant(&q::TEMPERATURE_IN),
            coolant(&q::TEMPERATURE_OUT),
            scene.cell(id, &q::AIR_IN),
            scene.cell(id, &q::AIR_OUT),
            scene.cell(id, &q::AIR_FALL),
            scene.cell(id, &q::AIR_FACE),
        ];
        table.row(scene.address(id), cells);
    }
    let cores = 0..scene.ready.model.cores.len();
    let said = cores.filter_map(|core| limited(scene, core));
    said.fold(Section::new("cores", "Cores").table(table), |section, said| {
        section.say(said, Lay::Inset)
    })
}

/// What limits a core: which of the things that stand in the way would bring most.
fn limited(scene: &Scene<'_>, core: usize) -> Option<Sentence> {
    let id = Id::Core(core);
    let gains = [
        (&q::GAIN_AIR_FLOW, "the air itself limits it", "air"),
        (&q::GAIN_AIR_SIDE, "its air side limits it", "surface on the air side"),
        (&q::GAIN_COOLANT_FLOW, "its coolant flow limits it", "coolant"),
        (&q::GAIN_FILM, "its coolant side limits it", "of the coolant's film"),
    ];
    let mut found: Vec<(f64, &str, &str)> = Vec::new();
    for (quantity, limits, with) in gains {
        found.push((scene.of(id, quantity).filter(|gain| gain.is_finite())?, limits, with));
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let each = found.iter().map(|(gain, _, with)| {
        let gain = Value::of(Kind::TemperatureDifference, *gain);
        say!("{with} {gain}", gain = gain, with = *with)
    });
    let share = |quantity| Value::percent(scene.of(id, quantity).unwrap_or(f64::NAN), 0);
    Some(say!(
        "{core}: {limits}. Coolant colder for the same heat, by 10 % more {each}; at {coolant} of its rated coolant \
         flow and {air} of its rated air flow",
        core = &scene.ready.model.cores[core].name,
        limits = found[0].1,
        each = Value::list(each.collect::<Vec<Sentence>>(), ", "),
        coolant = share(&q::COOLANT_STRETCH),
        air = share(&q::AIR_STRETCH),
    ))
}
