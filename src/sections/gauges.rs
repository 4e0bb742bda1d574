//! What the gauges show.

use coolwright_cases::quantity::Kind;
use coolwright_models::gauge::{Gauge, GaugePlace, Reads, Spot};
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;

use super::Scene;
use crate::answer::{Section, Sentence, Table, Value};
use crate::say;

/// The reading of every gauge, in the order of the case.
pub fn gauges(scene: &Scene<'_>) -> Section {
    let mut table = Table::new()
        .words("gauge", "gauge")
        .words("reads", "reads")
        .words("at", "at")
        .values("shows", "shows")
        .mixed();
    for (g, gauge) in scene.ready.model.gauges.iter().enumerate() {
        let (reads, reading) = match gauge.reads {
            Reads::Pressure => ("static pressure", &q::READING_PRESSURE),
            Reads::Temperature => ("temperature", &q::READING_TEMPERATURE),
            Reads::Flow => ("flow", &q::READING_FLOW),
        };
        let cells = [
            (&gauge.name).into(),
            reads.into(),
            place(scene, gauge).into(),
            scene.within(Id::Gauge(g), reading),
        ];
        table.row(scene.address(Id::Gauge(g)), cells);
    }
    Section::new("gauges", "What the gauges show").support().table(table)
}

/// Where a gauge sits, in words.
fn place(scene: &Scene<'_>, gauge: &Gauge) -> Sentence {
    let c = gauge.circuit;
    match gauge.place {
        GaugePlace::Junction(junction) => scene.address(Id::Junction(c, junction)).into(),
        GaugePlace::Part { run, part, spot } => {
            let part = scene.address(Id::Part(c, run, part));
            match spot {
                Spot::Inlet => say!("{part}, inlet", part = part),
                Spot::Outlet => say!("{part}, outlet", part = part),
                Spot::Along { distance, .. } => say!(
                    "{part}, {distance} from its inlet",
                    part = part,
                    distance = Value::of(Kind::Length, scene.values.get(distance)),
                ),
            }
        }
    }
}
