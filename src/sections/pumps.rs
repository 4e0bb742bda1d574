//! Pumps: where each stands on its curve, its margin at the inlet, what it takes.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Arrangement, PumpGroup};
use coolwright_models::crossings::Crossings;
use coolwright_models::ids::Id;
use coolwright_models::parts::SpeedHeld;
use coolwright_models::results::quantities as q;

use super::Scene;
use crate::answer::{Cell, Lay, Section, Sentence, Table, Value};
use crate::say;

/// A line of the tables: several pumps under one name together, or one pump.
struct Line {
    id: Id,
    /// How it is called.
    label: Value,
    /// Density over that of the curve's fluid; none for several together.
    density: Option<f64>,
}

/// Pumps at their operating points; several under one name together, then each of them.
pub(super) fn pumps(scene: &Scene<'_>, c: usize) -> Section {
    let (lines, name) = (lines(scene, c), &scene.circuit(c).name);
    let section =
        Section::new("pumps", say!("Pumps of `{circuit}`", circuit = name)).below().of(name);
    let section = section.table(points(scene, &lines));
    if lines.is_empty() {
        return section;
    }
    let corrected = lines.iter().any(|line| scene.of(line.id, &q::VISCOUS_HEAD).is_some());
    let head = if corrected {
        "A head is that of the curve at this flow and speed, times density over that of the curve's fluid;\n  \
         the flow of the curve times its factor, the head times its own, for viscosity (ANSI/HI 9.6.7, against \
         the\n  fluid of the curve)."
    } else {
        "A head is that of the curve at this flow and speed, times density over that of the curve's fluid."
    };
    let section = section.aside(head, Lay::Inset);
    best_points(scene, c).into_iter().fold(section, |section, best| section.aside(best, Lay::Inset))
}

/// What the corrections for viscosity rest on.
fn best_points(scene: &Scene<'_>, c: usize) -> Vec<Sentence> {
    let mut told: Vec<Sentence> = Vec::new();
    for placed in scene.circuit(c).runs.iter().flat_map(|run| &run.parts) {
        let Some(viscous) = placed.part.as_pump().and_then(|pump| pump.viscous) else { continue };
        let get = |slot| scene.values.get(slot);
        let sentence = say!(
            "B of a curve is that of its best point: {flow} at {head} and {speed}; its own fluid has {viscosity} \
             cSt.",
            flow = Value::of(Kind::VolumeFlow, get(viscous.best_flow)),
            head = Value::of(Kind::Distance, get(viscous.best_head)),
            speed = Value::of(Kind::RotationalSpeed, get(viscous.curve_speed)),
            viscosity = Value::decimals(1e6 * get(viscous.curve_viscosity), 3),
        );
        if !told.contains(&sentence) {
            told.push(sentence);
        }
    }
    told
}

/// Where heads that rise with flow meet their systems several times or once.
pub fn crossings(all: &[Crossings]) -> Vec<Section> {
    all.iter().map(crossings_of).collect()
}

fn crossings_of(crossings: &Crossings) -> Section {
    let (flow, rise) = if crossings.air {
        (Kind::AirFlow, Kind::AirPressureDifference)
    } else {
        (Kind::VolumeFlow, Kind::PressureDifference)
    };
    let mut table = Table::new()
        .words("crossing", "crossing")
        .numbers("flow", "flow", flow)
        .numbers("rise", "rise", rise)
        .words("disturbed", "disturbed there, the flow");
    for (k, crossing) in crossings.list.iter().enumerate() {
        table.line([
            (k + 1).into(),
            Value::of(flow, crossing.flow_m3_s).into(),
            Value::of(rise, crossing.rise_pa).into(),
            if crossing.stable { "returns" } else { "departs" }.into(),
        ]);
    }
    let title = say!(
        "Where `{of}`, whose head rises with flow, meets its system",
        of = Value::list(&crossings.of, "`, `")
    );
    let stands = say!(
        "The answer stands on crossing {at} of {crossings}, all at the temperatures of the answer.",
        at = crossings.stands_on + 1,
        crossings = crossings.list.len(),
    );
    Section::new("crossings", title).table(table).say(stands, Lay::Inset)
}

/// The lines of a circuit's pumps.
fn lines(scene: &Scene<'_>, c: usize) -> Vec<Line> {
    let circuit = scene.circuit(c);
    let mut lines = Vec::new();
    for (g, group) in circuit.groups.iter().enumerate() {
        let how = match group.arrangement {
            Arrangement::Series => "in series",
            Arrangement::Parallel => "in parallel",
        };
        let label = say!(
            "{group}: {count} {how}, together",
            group = &group.path,
            count = group.units.len(),
            how = how
        );
        lines.push(Line { id: Id::Group(c, g), label: label.into(), density: None });
        lines.extend(group.units.iter().map(|&unit| single(scene, c, unit, "  ")));
    }
    for (r, run) in circuit.runs.iter().enumerate() {
        for (p, placed) in run.parts.iter().enumerate() {
            if placed.part.as_pump().is_some() && !in_group(&circuit.groups, (r, p)) {
                lines.push(single(scene, c, (r, p), ""));
            }
        }
    }
    lines
}

/// Whether a pump is one of several under one name.
pub(super) fn in_group(groups: &[PumpGroup], unit: (usize, usize)) -> bool {
    groups.iter().any(|group| group.units.contains(&unit))
}

/// The line of one pump.
fn single(scene: &Scene<'_>, c: usize, (r, p): (usize, usize), indent: &str) -> Line {
    let run = &scene.circuit(c).runs[r];
    let placed = &run.parts[p];
    let id = Id::Part(c, r, p);
    let mass = scene.of(Id::Run(c, r), &q::MASS_FLOW);
    let flow = scene.of(id, &q::FLOW).filter(|flow| *flow != 0.0);
    let density = mass
        .zip(flow)
        .zip(placed.part.as_pump())
        .map(|((mass, flow), pump)| mass / flow / scene.values.get(pump.curve_density));
    Line { id, label: format!("{indent}{}/{}", run.path, placed.name).into(), density }
}

/// Where the pumps stand on their curves, and their margins at the inlet.
fn points(scene: &Scene<'_>, lines: &[Line]) -> Table {
    let mut table = Table::new()
        .words("pump", "pump")
        .numbers("speed", "speed", Kind::Fraction)
        .numbers("turning", "turning", Kind::RotationalSpeed)
        .numbers("flow", "flow", Kind::VolumeFlow)
        .numbers("head", "head", Kind::PressureDifference)
        .numbers("density_ratio", "density over\nthat of its curve", Kind::Number)
        .may_go()
        .numbers("viscous_parameter", "B", Kind::Number)
        .may_go()
        .numbers("flow_factor", "flow\nfactor", Kind::Number)
        .may_go()
        .numbers("head_factor", "head\nfactor", Kind::Number)
        .may_go()
        .numbers("pressure_in", "static pressure\nat the inlet", Kind::GaugePressure)
        .numbers("suction_margin", "inlet above\nvapour pressure", Kind::PressureDifference)
        .numbers("npsh_available", "NPSH\navailable", Kind::Distance)
        .numbers("npsh_required", "NPSH\nrequired", Kind::Distance)
        .numbers("npsh_margin", "NPSH\nmargin", Kind::Distance)
        .only_filled();
    let heads = lines.iter().any(|line| scene.of(line.id, &q::SUCTION_HEAD_REQUIRED).is_some());
    for line in lines {
        let id = line.id;
        let available =
            if heads { scene.cell(id, &q::SUCTION_HEAD) } else { Value::Nothing.into() };
        let cells = [
            line.label.clone().into(),
            scene.percent(id, &q::SPEED).into(),
            scene.cell(id, &q::TURNING),
            scene.within(id, &q::FLOW),
            scene.cell(id, &q::HEAD),
            line.density.map(|ratio| Value::of(Kind::Number, ratio)).into(),
            scene.cell(id, &q::VISCOUS_PARAMETER),
            scene.cell(id, &q::VISCOUS_FLOW),
            scene.cell(id, &q::VISCOUS_HEAD),
            scene.within(id, &q::PRESSURE_IN),
            scene.cell(id, &q::SUCTION_MARGIN),
            available,
            scene.cell(id, &q::SUCTION_HEAD_REQUIRED),
            scene.cell(id, &q::SUCTION_HEAD_MARGIN),
        ];
        table.row(scene.address(id), cells);
    }
    table
}

/// What the pumps take from the supply or the engine, and what they give to the coolant.
pub(super) fn taken(scene: &Scene<'_>, c: usize) -> Section {
    let mut table = Table::new()
        .words("pump", "pump")
        .words("speed_held_by", "speed held by")
        .numbers("power", "electric\npower", Kind::ElectricPower)
        .numbers("shaft_power", "shaft\npower", Kind::Power)
        .numbers("current", "current", Kind::Current)
        .numbers("efficiency", "efficiency", Kind::Fraction)
        .numbers("efficiency_factor", "of it the factor\nfor viscosity", Kind::Number)
        .numbers("heat", "heat into\nthe coolant", Kind::HeatRate)
        .only_filled();
    for line in lines(scene, c) {
        let id = line.id;
        let held = scene.of(id, &q::SPEED_HELD);
        let held = SpeedHeld::ALL.iter().find(|by| Some(by.number()) == held);
        let efficiency = scene.of(id, &q::PUMP_EFFICIENCY).map(|e| Value::percent(e, 1));
        let cells: [Cell; 8] = [
            line.label.into(),
            held.map(|by| by.word()).into(),
            scene.cell(id, &q::POWER),
            scene.cell(id, &q::SHAFT_POWER),
            scene.cell(id, &q::CURRENT),
            efficiency.into(),
            scene.cell(id, &q::VISCOUS_EFFICIENCY),
            scene.cell(id, &q::PUMP_HEAT),
        ];
        table.row(scene.address(id), cells);
    }
    Section::new("pumps_take", "What the pumps take")
        .below()
        .support()
        .of(&scene.circuit(c).name)
        .table(table)
}
