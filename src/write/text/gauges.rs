//! What the gauges show, in text.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::gauge::{Gauge, GaugePlace, Reads, Spot};
use coolwright_models::slots::Values;

use super::{Shown, section};
use crate::write::Style;
use crate::write::table::Table;

/// The reading of every gauge, in the order of the case.
pub(super) fn gauges(style: &Style, ready: &Ready, values: &Values, shown: &Shown<'_>) -> String {
    let mut table = Table::new(&["<gauge", "<reads", "<at", "shows"]).mixed();
    for gauge in &ready.model.gauges {
        let reads = match gauge.reads {
            Reads::Pressure => "static pressure",
            Reads::Temperature => "temperature",
            Reads::Flow => "flow",
        };
        table.row([
            gauge.name.clone(),
            reads.to_owned(),
            place(style, ready, values, gauge),
            shown.at(&format!("gauges/{}", gauge.name), "reading"),
        ]);
    }
    section("What the gauges show", table)
}

/// Where a gauge sits, in words.
fn place(style: &Style, ready: &Ready, values: &Values, gauge: &Gauge) -> String {
    let circuit = &ready.model.circuits[gauge.circuit];
    let (run, part, spot) = match gauge.place {
        GaugePlace::Junction(junction) => {
            return format!("{}/{}", circuit.name, circuit.junctions[junction].name);
        }
        GaugePlace::Part { run, part, spot } => (&circuit.runs[run], part, spot),
    };
    let path = format!("{}/{}/{}", circuit.name, run.path, run.parts[part].name);
    match spot {
        Spot::Inlet => format!("{path}, inlet"),
        Spot::Outlet => format!("{path}, outlet"),
        Spot::Along { distance, .. } => {
            let distance = style.quantity(Kind::Length, values.get(distance));
            format!("{path}, {distance} from its inlet")
        }
    }
}
