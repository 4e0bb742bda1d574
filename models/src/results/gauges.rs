//! What the gauges show.

use super::Recorder;
use super::quantities as q;
use super::record::CircuitReader;
use super::room::{Point, Room};
use crate::gauge::{Gauge, GaugePlace, Reads, Spot};
use crate::ids::Id;
use crate::parts::{GRAVITY, bore_area};
use crate::simulate::Simulator;
use crate::simulate::gauges::along;

/// Records the reading of every gauge, and every rise between two.
pub(super) fn record(simulator: &Simulator<'_>, y: &[f64], room: &Room, to: &mut impl Recorder) {
    let model = simulator.setup.model;
    for (g, gauge) in model.gauges.iter().enumerate() {
        if !to.wants(Id::Gauge(g)) {
            continue;
        }
        let (value, shown) = (coolant(simulator, y, room, g), shown(simulator, y, room, g));
        to.put(Id::Gauge(g), gauge.reading(), shown);
        if gauge.sheath.is_some() {
            to.put(Id::Gauge(g), &q::TRUE_TEMPERATURE, value);
        }
    }
    for (r, rise) in model.rises.iter().enumerate() {
        if !to.wants(Id::Rise(r)) {
            continue;
        }
        let [before, behind] = [rise.from, rise.to].map(|g| shown(simulator, y, room, g));
        to.put(Id::Rise(r), rise.shown(&model.gauges), behind - before);
    }
}

/// What a gauge shows between two steps of a cycle, SI, of a model whose flows are settled for the states `y`.
pub(crate) fn shown_within_step(
    simulator: &Simulator<'_>,
    y: &[f64],
    room: &mut Room,
    g: usize,
) -> f64 {
    let c = simulator.setup.model.gauges[g].circuit;
    CircuitReader::fill_within_step(simulator, c, y, &mut room.circuits[c]);
    shown(simulator, y, room, g)
}

/// What is there where a gauge sits, SI.
fn coolant(simulator: &Simulator<'_>, y: &[f64], room: &Room, g: usize) -> f64 {
    let gauge = &simulator.setup.model.gauges[g];
    let reader = CircuitReader::new(simulator, gauge.circuit, y, &room.circuits[gauge.circuit]);
    reading(simulator, &reader, gauge, y)
}

/// What a gauge shows, SI: what it has come to where it lags, and what it is off by.
fn shown(simulator: &Simulator<'_>, y: &[f64], room: &Room, g: usize) -> f64 {
    let setup = &simulator.setup;
    let lagging = setup.layout.gauges.iter().find(|known| known.gauge == g);
    let value = match lagging {
        None => coolant(simulator, y, room, g),
        Some(known) => y[known.state],
    };
    value + setup.values.get(setup.model.gauges[g].offset)
}

/// What a gauge reads where it sits, SI.
fn reading(simulator: &Simulator<'_>, reader: &CircuitReader<'_>, gauge: &Gauge, y: &[f64]) -> f64 {
    match gauge.place {
        GaugePlace::Part { run, part, spot } => {
            let point = point_in(simulator, reader, (gauge.circuit, run, part), spot, y);
            let coolant = &simulator.setup.prepared.coolants[gauge.circuit];
            match gauge.reads {
                Reads::Pressure => point.static_pa,
                Reads::Temperature => point.temperature_k,
                Reads::Flow => {
                    let flow = simulator.settled.flows[gauge.circuit][run];
                    flow / coolant.density(point.temperature_k)
                }
            }
        }
        GaugePlace::Junction(junction) => match gauge.reads {
            Reads::Temperature => y[simulator.setup.layout.junctions[gauge.circuit] + junction],
            Reads::Pressure | Reads::Flow => {
                let Some((run, last)) = widest(simulator, gauge.circuit, junction) else {
                    return f64::NAN;
                };
                let points = reader.room.points(run);
                points[if last { points.len() - 1 } else { 0 }].static_pa
            }
        },
    }
}

/// The point of a part where a gauge sits.
fn point_in(
    simulator: &Simulator<'_>,
    reader: &CircuitReader<'_>,
    (c, run, part): (usize, usize, usize),
    spot: Spot,
    y: &[f64],
) -> Point {
    let points = reader.room.points(run);
    let (inlet, outlet) = (points[part], points[part + 1]);
    let Spot::Along { distance, length, height } = spot else {
        return if matches!(spot, Spot::Inlet) { inlet } else { outlet };
    };
    let setup = &simulator.setup;
    let get = |slot| setup.values.get(slot);
    let share = (get(distance) / get(length)).clamp(0.0, 1.0);
    let cells = setup.layout.parts[setup.layout.run_parts[c][run] + part];
    let temperature_k = if cells.count > 0 {
        y[cells.first + along(share, cells.count)]
    } else {
        inlet.temperature_k
    };
    let spec = &setup.model.circuits[c].runs[run];
    let flow = simulator.settled.flows[c][run];
    let rise = spec.parts[part].part.rise().map_or(0.0, get);
    let height = height.map_or(share * rise, get);
    let mean = simulator.settled.parts[setup.layout.run_parts[c][run] + part].density;
    // Friction and bends spread evenly over the length: p = p₁ − s Δp − ρ g z.
    let lost = inlet.total_pa - outlet.total_pa - mean * GRAVITY * rise;
    let total_pa = inlet.total_pa - share * lost - mean * GRAVITY * height;
    let density = setup.prepared.coolants[c].density(temperature_k);
    let area = bore_area(reader.room.bores[reader.room.part(run, part)]);
    let static_pa = total_pa - flow * flow / (2.0 * density * area * area);
    Point { total_pa, static_pa, temperature_k }
}

/// The end of a run with the widest bore at a junction, of equal ones that with the most flow: the
/// run, and whether it ends there.
fn widest(simulator: &Simulator<'_>, c: usize, junction: usize) -> Option<(usize, bool)> {
    let setup = &simulator.setup;
    let circuit = &setup.model.circuits[c];
    let mut best: Option<((f64, f64), (usize, bool))> = None;
    for (r, run) in circuit.runs.iter().enumerate() {
        let bores = run.end_bores().map(|slot| setup.values.get(slot));
        let flow = simulator.settled.flows[c][r].abs();
        for (end, bore, last) in [(run.from, bores[0], false), (run.to, bores[1], true)] {
            let key = (bore, flow);
            if end == junction && best.is_none_or(|(known, _)| key > known) {
                best = Some((key, (r, last)));
            }
        }
    }
    best.map(|(_, end)| end)
}
