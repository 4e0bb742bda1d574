//! Air paths with their fans, and where the pressure of their air comes from and goes.

use coolwright_cases::quantity::Kind;
use coolwright_models::air::Element;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;

use super::Scene;
use crate::answer::{Lay, Section, Sentence, Table, Value};
use crate::say;

/// Every air path with its fans.
pub fn paths(scene: &Scene<'_>) -> Section {
    let mut table = Table::new()
        .words("air", "air")
        .numbers("speed", "speed", Kind::Fraction)
        .numbers("flow", "volume\nflow", Kind::AirFlow)
        .numbers("density", "at a\ndensity of", Kind::Density)
        .numbers("mass_flow", "mass flow", Kind::MassFlow)
        .numbers("pressure", "rise of\npressure", Kind::AirPressureDifference)
        .numbers("current", "current", Kind::Current);
    let paths = &scene.ready.model.air_paths;
    for (a, path) in paths.iter().enumerate() {
        row(scene, Id::AirPath(a), &format!("{}, in front", path.name), &mut table);
        for (w, way) in path.ways.iter().enumerate() {
            if let Some(name) = &way.name {
                row(scene, Id::Lane(a, w), &format!("  {name}, lane"), &mut table);
            }
        }
        for (f, fan) in path.fans.iter().enumerate() {
            row(scene, Id::Fan(a, f), &format!("  {}", fan.name), &mut table);
        }
    }
    let mut section = Section::new("air", "Air").support().table(table);
    for (a, path) in paths.iter().enumerate() {
        for w in 0..path.ways.len() {
            section = section.say(balance(scene, a, w), Lay::Inset);
        }
        section =
            ends(scene, a).into_iter().fold(section, |section, said| section.say(said, Lay::Inset));
    }
    section
}

fn row(scene: &Scene<'_>, id: Id, label: &str, table: &mut Table) {
    let path = matches!(id, Id::AirPath(_) | Id::Lane(..));
    let (flow, mass) = (&q::AIR_FLOW, &q::AIR_MASS_FLOW);
    let flow = if path { flow } else { &q::FAN_FLOW };
    let volume = scene.of(id, flow).unwrap_or(0.0);
    let density = scene.of(id, mass).filter(|_| volume != 0.0).map(|mass| mass / volume);
    table.row(
        scene.address(id),
        [
            label.into(),
            scene.percent(id, &q::SPEED).into(),
            scene.within(id, flow),
            density.map(|density| Value::of(Kind::Density, density)).into(),
            scene.cell(id, mass),
            scene.cell(id, &q::FAN_PRESSURE),
            scene.cell(id, &q::CURRENT),
        ],
    );
}

/// How warm the air is in front of the lanes and behind, where that is not that of the site.
fn ends(scene: &Scene<'_>, a: usize) -> Option<Sentence> {
    let id = Id::AirPath(a);
    let [front, leaves] = [&q::AIR_FRONT, &q::AIR_LEAVES].map(|of| scene.of(id, of));
    let [front, leaves] = [front?, leaves?].map(|k| Value::of(Kind::Temperature, k));
    let path = &scene.ready.model.air_paths[a];
    let share = path.round.map(|share| scene.values.get(share)).filter(|share| *share > 0.0);
    Some(match share {
        Some(share) => say!(
            "{path}: {front} in front of the cores, {leaves} behind; {share} of the air in front comes round from there",
            path = &path.name,
            front = front,
            leaves = leaves,
            share = Value::of(Kind::Fraction, share),
        ),
        None => say!(
            "{path}: {front} in front of the lanes, {leaves} behind",
            path = &path.name,
            front = front,
            leaves = leaves,
        ),
    })
}

/// What drives the air of a way and what it costs: both sides of one sum.
fn balance(scene: &Scene<'_>, a: usize, w: usize) -> Sentence {
    let path = &scene.ready.model.air_paths[a];
    let way = &path.ways[w];
    let id = Id::AirPath(a);
    let pressure = |pa: f64| Value::of(Kind::AirPressureDifference, pa);
    let flow = scene.of(id, &q::AIR_FLOW).unwrap_or(0.0);
    let mass = scene.of(id, &q::AIR_MASS_FLOW).unwrap_or(0.0);
    let density = if flow == 0.0 { 0.0 } else { mass / flow };
    let ducts = |id| scene.of(id, &q::DUCTS_FALL);
    let mut ram = 0.0;
    for element in path.elements() {
        if let Element::Ram { share, speed } = element {
            let speed = scene.values.get(speed);
            ram += scene.values.get(share) * 0.5 * density * speed * speed;
        }
    }
    let mut drives = vec![say!("ram {fall}", fall = pressure(ram))];
    let banks = [true, false].map(|pushing| path.banks(w, pushing)).concat();
    for bank in &banks {
        let rise = scene.of(Id::Fan(a, bank[0]), &q::FAN_PRESSURE).unwrap_or(0.0);
        drives.push(match banks.len() {
            1 => say!("fans {rise}", rise = pressure(rise)),
            _ => say!("{fan} {rise}", fan = &path.fans[bank[0]].name, rise = pressure(rise)),
        });
    }
    let core = |&core: &usize| {
        let core = path.cores[core];
        let fall = scene.of(Id::Core(core), &q::AIR_FALL).unwrap_or(0.0);
        say!("{core} {fall}", core = &scene.ready.model.cores[core].name, fall = pressure(fall))
    };
    let mut costs: Vec<Sentence> = way.cores.iter().map(core).collect();
    let own = way.loss.and_then(|_| ducts(Id::Lane(a, w)));
    costs.extend(own.map(|fall| say!("its own {fall}", fall = pressure(fall))));
    let fall = ducts(id).unwrap_or(0.0);
    costs.push(say!("grille, shroud and ducts {fall}", fall = pressure(fall)));
    say!(
        "{path}: {drives} = {costs}",
        path = path.called(way),
        drives = Value::list(drives, " + "),
        costs = Value::list(costs, " + "),
    )
}
