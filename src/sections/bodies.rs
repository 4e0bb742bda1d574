//! Heat sources with their passes, and cores.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Joint;
use coolwright_models::ids::Id;
use coolwright_models::parts::HeatPartner;
use coolwright_models::results::{Quantity, quantities as q};

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
    for body in sources(scene) {
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

/// All bodies but exchangers between two liquids.
fn sources(scene: &Scene<'_>) -> impl Iterator<Item = usize> {
    let bodies = &scene.ready.model.bodies;
    (0..bodies.len()).filter(|&body| bodies[body].exchange.is_none())
}

/// Exchangers between two liquids: what passes, and both sides.
pub fn exchangers(scene: &Scene<'_>) -> Section {
    let mut table = Table::new()
        .words("exchanger", "exchanger")
        .words("side", "side")
        .numbers("heat", "heat to\nthe second", Kind::HeatRate)
        .numbers("ua", "UA", Kind::Conductance)
        .numbers("effectiveness", "of the\nmost", Kind::Fraction)
        .numbers("flow", "flow", Kind::VolumeFlow)
        .numbers("fall", "fall", Kind::PressureDifference)
        .numbers("in", "in", Kind::Temperature)
        .numbers("out", "out", Kind::Temperature);
    for (body, spec) in scene.ready.model.bodies.iter().enumerate() {
        let Some(exchange) = spec.exchange else { continue };
        let id = Id::Body(body);
        let mut sides = parts_of(scene, HeatPartner::Body(body));
        if exchange.second_leads {
            sides.reverse();
        }
        for (k, &(c, r, p)) in sides.iter().enumerate() {
            let (run, part) = (Id::Run(c, r), Id::Part(c, r, p));
            let of_whole = |quantity: &'static Quantity| match k {
                0 => scene.within(id, quantity),
                _ => Value::Nothing.into(),
            };
            let path = scene.address(part);
            let name = if k == 0 { spec.name.as_str() } else { "" };
            let cells = [
                name.into(),
                (&path).into(),
                of_whole(&q::PASSED),
                of_whole(&q::EXCHANGER_UA),
                of_whole(&q::PASSED_SHARE),
                scene.within(run, &q::FLOW),
                scene.cell(part, &q::FALL),
                scene.cell(part, &q::TEMPERATURE_IN),
                scene.cell(part, &q::TEMPERATURE_OUT),
            ];
            table.row(path, cells);
        }
    }
    Section::new("exchangers", "Exchangers between two liquids").table(table)
}

/// From this share of the critical heat flux on a wall is near to burning.
const NEAR_CRITICAL: f64 = 0.7;

/// Hot walls: both sides, boiling, and how near vapour is to covering them.
pub fn walls(scene: &Scene<'_>) -> Option<Section> {
    let mut table = Table::new()
        .words("source", "hottest place\nof the wall of")
        .numbers("wall", "hot side", Kind::Temperature)
        .numbers("wall_surface", "coolant\nside", Kind::Temperature)
        .numbers("onset_margin", "to onset\nof boiling", Kind::TemperatureDifference)
        .numbers("critical_share", "of critical\nheat flux", Kind::Fraction);
    let bodies = 0..scene.ready.model.bodies.len();
    let walls: Vec<usize> =
        bodies.filter(|&body| scene.ready.model.bodies[body].wall.is_some()).collect();
    if walls.is_empty() {
        return None;
    }
    let (mut boils, mut near) = (false, false);
    for body in walls {
        let id = Id::Body(body);
        let path = scene.address(id);
        boils |= scene.of(id, &q::ONSET_MARGIN).is_some_and(|margin| margin < 0.0);
        let cells = [
            (&path).into(),
            scene.within(id, &q::WALL),
            scene.within(id, &q::WALL_SURFACE),
            scene.within(id, &q::ONSET_MARGIN),
            scene.within(id, &q::CRITICAL_SHARE),
        ];
        table.row(path, cells);
        near |= scene.of(id, &q::CRITICAL_SHARE).is_some_and(|share| share > NEAR_CRITICAL);
    }
    let section = Section::new("walls", "Hot walls").support().table(table);
    let normal = "Beyond onset it boils in bubbles, which is normal; at 100 % vapour covers the wall: it burns.";
    let danger = "Vapour is near to covering the wall, or covers it: it burns. Less heat, more area or pressure.";
    Some(match (near, boils) {
        (true, _) => section.say(danger, Lay::Inset),
        (false, true) => section.say(normal, Lay::Inset),
        (false, false) => section,
    })
}

/// The passes of every body that has more than one.
pub fn passes(scene: &Scene<'_>) -> Vec<Section> {
    sources(scene).filter_map(|body| passes_of(scene, body)).collect()
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

/// What stands in the way of a core's heat: what 10 % more of it gives, in words of its own.
static GAINS: [(&Quantity, &str); 4] = [
    (&q::GAIN_AIR_FLOW, "the air itself"),
    (&q::GAIN_AIR_SIDE, "its air side"),
    (&q::GAIN_COOLANT_FLOW, "its coolant flow"),
    (&q::GAIN_FILM, "its coolant side"),
];

/// What would bring most to a core, then the rest, with how much colder its coolant could enter, K. Nothing of a core
/// whose coolant is held back: a thermostat that is shut says nothing of the core. One that is known by its dimensions has no
/// rating to be held back from.
fn limits(scene: &Scene<'_>, core: usize) -> Option<Vec<(&'static str, f64)>> {
    let id = Id::Core(core);
    let passes = scene.of(id, &q::COOLANT_STRETCH).is_none_or(|share| share > HELD_BACK);
    let gain = |quantity| scene.of(id, quantity).filter(|gain| gain.is_finite());
    let gains = GAINS.iter().map(|(quantity, words)| Some((*words, gain(quantity)?)));
    let mut gains: Vec<(&str, f64)> = gains.collect::<Option<_>>().filter(|_| passes)?;
    gains.sort_by(|a, b| b.1.total_cmp(&a.1));
    Some(gains)
}

/// At less than this share of its rated coolant flow a core is held back.
const HELD_BACK: f64 = 0.1;
/// What brings more than this share of what brings most limits alike.
const ALIKE: f64 = 0.95;

/// The words for what limits a core.
fn limited_by(gains: &[(&'static str, f64)]) -> Sentence {
    let [(first, most), (second, next), ..] = gains else { return Sentence::from("") };
    if *next > ALIKE * most {
        say!("{first} and {second}", first = *first, second = *second)
    } else {
        Sentence::from(*first)
    }
}

/// What limits a core, in a line.
fn limited(scene: &Scene<'_>, core: usize) -> Option<Sentence> {
    let gains = limits(scene, core)?;
    Some(say!(
        "{core}: limited by {limits}; 10 % more takes {gain} off its coolant",
        core = &scene.ready.model.cores[core].name,
        limits = limited_by(&gains),
        gain = Value::of(Kind::TemperatureDifference, gains[0].1),
    ))
}

/// What 10 % more of each thing would bring to every core, and how far its rating is stretched.
pub fn limiting(scene: &Scene<'_>) -> Section {
    let mut table = Table::new()
        .words("core", "entering coolant\ncolder by 10 % more")
        .numbers("colder_by_air", "air", Kind::TemperatureDifference)
        .numbers("colder_by_surface", "air-side\nsurface", Kind::TemperatureDifference)
        .numbers("colder_by_coolant", "coolant", Kind::TemperatureDifference)
        .numbers("colder_by_film", "coolant\nfilm", Kind::TemperatureDifference)
        .numbers("colder_by_core", "of the\ncore", Kind::TemperatureDifference)
        .numbers("over_rated_coolant", "coolant over\nits rating", Kind::Fraction)
        .numbers("over_rated_air", "air over\nits rating", Kind::Fraction)
        .words("limits", "limited by");
    for (core, spec) in scene.ready.model.cores.iter().enumerate() {
        let id = Id::Core(core);
        let Some(gains) = limits(scene, core) else { continue };
        let limits = limited_by(&gains);
        let share = |quantity| scene.of(id, quantity).map(|share| Value::percent(share, 0));
        let [air, side, flow, film] = GAINS.map(|(quantity, _)| scene.cell(id, quantity));
        let stretch = [&q::COOLANT_STRETCH, &q::AIR_STRETCH].map(|quantity| share(quantity).into());
        let [coolant, rated_air] = stretch;
        let whole = scene.cell(id, &q::GAIN_CORE);
        let name = (&spec.name).into();
        let cells = [name, air, side, flow, film, whole, coolant, rated_air, limits.into()];
        table.row(scene.address(id), cells);
    }
    let section =
        Section::new("limiting", "What limits the cores, for the same heat").support().table(table);
    let circuits = 0..scene.ready.model.circuits.len();
    let said = circuits.filter_map(|circuit| without_core(scene, circuit));
    said.fold(section, |section, said| section.say(said, Lay::Inset))
}

/// What takes the heat of a circuit without a core; `None` of one that has a core or nothing that is hot.
fn without_core(scene: &Scene<'_>, c: usize) -> Option<Sentence> {
    let model = &scene.ready.model;
    let circuit = &model.circuits[c];
    let parts = || circuit.runs.iter().flat_map(|run| &run.parts);
    let partners = || parts().filter_map(|placed| placed.part.partner());
    if partners().any(|partner| matches!(partner, HeatPartner::Core(_))) {
        return None;
    }
    let name = &circuit.name;
    let exchanger = partners().find_map(|partner| match partner {
        HeatPartner::Body(body) => model.bodies[body].exchange.map(|_| body),
        HeatPartner::Core(_) => None,
    });
    if let Some(body) = exchanger {
        let share = scene.of(Id::Body(body), &q::PASSED_SHARE)?;
        return Some(say!(
            "`{circuit}` has no core: `{exchanger}` passes {share} of what could pass between its liquids; the more of it, the \
             more a larger flow of the scarcer liquid brings, and the less of it, the more a larger exchanger",
            circuit = name,
            exchanger = scene.address(Id::Body(body)),
            share = Value::percent(share, 0),
        ));
    }
    if circuit.has_ice() {
        return Some(say!(
            "`{circuit}` has no core: its ice takes the heat, while it lasts",
            circuit = name
        ));
    }
    let open = circuit
        .junctions
        .iter()
        .any(|junction| matches!(junction.joint, Joint::Held { .. } | Joint::Fed { .. }));
    partners().next()?;
    Some(if open {
        say!(
            "`{circuit}` has no core: what comes in from outside carries the heat away; more of it is all that helps",
            circuit = name
        )
    } else {
        say!(
            "`{circuit}` has no core: nothing takes its heat but its own coolant and metal",
            circuit = name
        )
    })
}
