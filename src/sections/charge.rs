//! Charge air, from the air of the site to the manifold.

use coolwright_cases::quantity::Kind;
use coolwright_models::charge::StageKind;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;

use super::Scene;
use crate::answer::{Cell, Lay, Section, Sentence, Table, Value};
use crate::say;

/// Every way of charge air, stage by stage.
pub fn ways(scene: &Scene<'_>) -> Vec<Section> {
    (0..scene.ready.model.charge_air.len()).map(|a| way(scene, a)).collect()
}

fn way(scene: &Scene<'_>, a: usize) -> Section {
    let path = &scene.ready.model.charge_air[a];
    let mut table = Table::new()
        .words("stage", "stage")
        .words("does", "what it is")
        .numbers("in", "air in", Kind::Temperature)
        .numbers("out", "air out", Kind::Temperature)
        .numbers("pressure_out", "pressure\nbehind it", Kind::AbsolutePressure)
        .numbers("heat", "heat to\ncoolant", Kind::HeatRate)
        .numbers("effectiveness", "cools\nby", Kind::Fraction)
        .numbers("condensed", "water that\ncondenses", Kind::MassFlow)
        .may_go()
        .only_filled();
    for (s, stage) in path.stages.iter().enumerate() {
        let id = Id::Stage(a, s);
        let cools = matches!(stage.kind, StageKind::Cooler { .. });
        let blank = || Cell::from(Value::Nothing);
        let condensed = scene.of(id, &q::STAGE_CONDENSED).filter(|flow| *flow > 0.0);
        let effectiveness = scene.of(id, &q::EFFECTIVENESS).map(|share| Value::percent(share, 1));
        table.row(
            scene.address(id),
            [
                (&stage.name).into(),
                kind_of(scene, stage.kind).into(),
                scene.within(id, &q::STAGE_IN),
                scene.within(id, &q::STAGE_OUT),
                scene.cell(id, &q::STAGE_PRESSURE_OUT),
                if cools { scene.within(id, &q::STAGE_HEAT) } else { blank() },
                effectiveness.into(),
                condensed.map(|flow| Value::of(Kind::MassFlow, flow)).into(),
            ],
        );
    }
    let title = say!("Charge air of `{path}`", path = &path.name);
    let id = Id::ChargeAir(a);
    let section = Section::new("charge_air", title).support().of(scene.address(id)).table(table);
    match scene.of(id, &q::MANIFOLD).filter(|t| t.is_finite()) {
        Some(manifold_k) => {
            section.say(manifold(scene, id), Lay::Inset).say(worth(manifold_k), Lay::Inset)
        }
        None => section,
    }
}

fn kind_of(scene: &Scene<'_>, kind: StageKind) -> Sentence {
    match kind {
        StageKind::Duct { .. } => "pipe or filter".into(),
        StageKind::Compressor { ratio, .. } => {
            say!("compressor, ratio {ratio}", ratio = Value::decimals(scene.values.get(ratio), 2))
        }
        StageKind::Cooler { body } => {
            say!("`{cooler}`", cooler = scene.ready.model.address(Id::Body(body)))
        }
        StageKind::AirCooled { .. } => "cooler in the wind".into(),
    }
}

/// What reaches the engine.
fn manifold(scene: &Scene<'_>, id: Id) -> Sentence {
    let of = |quantity: &'static coolwright_models::results::Quantity| {
        scene.of(id, quantity).map_or(Value::Nothing, |si| Value::of(quantity.kind, si))
    };
    let number = |quantity| scene.of(id, quantity).unwrap_or(f64::NAN);
    let breathed = number(&q::CHARGE_FLOW) - number(&q::CHARGE_CONDENSED);
    let said = say!(
        "to the engine: {flow} at {temperature} and {pressure}, {density}; {heat} into coolant",
        flow = Value::of(Kind::MassFlow, breathed),
        temperature = of(&q::MANIFOLD),
        pressure = of(&q::MANIFOLD_PRESSURE),
        density = of(&q::MANIFOLD_DENSITY),
        heat = of(&q::CHARGE_HEAT),
    );
    if scene.of(id, &q::CHARGE_CONDENSED).is_some_and(|water| water > 0.0) {
        say!("{said}, {water} of water condense", said = said, water = of(&q::CHARGE_CONDENSED))
    } else {
        said
    }
}

/// What a few kelvins in the manifold are worth.
fn worth(manifold_k: f64) -> Sentence {
    say!(
        "{step} less in the manifold is {share} more density at the same pressure, and about as much power (common \
         practice, no source)",
        step = Value::of(Kind::TemperatureDifference, STEP_K),
        share = Value::percent(STEP_K / (manifold_k - STEP_K), 1),
    )
}

/// A step of the manifold's temperature that a builder thinks in, K.
const STEP_K: f64 = 10.0;
