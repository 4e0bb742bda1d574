//! What the gauges show.

use std::ops::Range;

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::History;
use coolwright_models::gauge::{Gauge, GaugePlace, Reads, Rise, Spot};
use coolwright_models::ids::Id;
use coolwright_models::results::{Quantity, quantities as q};
use coolwright_models::slots::Values;

use super::Scene;
use crate::answer::{Cell, Section, Sentence, Table, Value};
use crate::say;
use crate::study::pulls;

/// The reading of every gauge, in the order of the case.
pub fn gauges(scene: &Scene<'_>) -> Section {
    let mut table = Table::new()
        .words("gauge", "gauge")
        .words("reads", "reads")
        .words("at", "at")
        .values("shows", "shows")
        .values("error", "own\nerror")
        .only_filled()
        .mixed();
    for (g, gauge) in scene.ready.model.gauges.iter().enumerate() {
        let reading = gauge.reading();
        let cells = [
            (&gauge.name).into(),
            reads(gauge).into(),
            place(scene, gauge).into(),
            scene.within(Id::Gauge(g), reading),
            own_error(gauge, scene.values).into(),
        ];
        table.row(scene.address(Id::Gauge(g)), cells);
    }
    let model = &scene.ready.model;
    for (r, rise) in model.rises.iter().enumerate() {
        let shown = rise.shown(&model.gauges);
        let cells = [
            (&rise.name).into(),
            rise_words(shown).into(),
            between(&model.gauges, rise).into(),
            scene.within(Id::Rise(r), shown),
            rise_error(&model.gauges, rise, scene.values).into(),
        ];
        table.row(scene.address(Id::Rise(r)), cells);
    }
    Section::new("gauges", "What the gauges show").support().table(table)
}

/// What a gauge reads, in words.
fn reads(gauge: &Gauge) -> &'static str {
    match gauge.reads {
        Reads::Pressure => "static pressure",
        Reads::Temperature => "temperature",
        Reads::Flow => "flow",
    }
}

/// What a rise is of, in words.
fn rise_words(shown: &Quantity) -> &'static str {
    if shown.kind == Kind::PressureDifference { "rise of pressure" } else { "rise of temperature" }
}

/// Between which gauges a rise is, in words.
fn between(gauges: &[Gauge], rise: &Rise) -> Sentence {
    say!("{from} to {to}", from = &gauges[rise.from].name, to = &gauges[rise.to].name)
}

/// What a rise may be off by of its gauges: they are off independently, so their squares add. Nothing where one tells
/// no error.
fn rise_error(gauges: &[Gauge], rise: &Rise, values: &Values) -> Option<Value> {
    let [from, to] = [rise.from, rise.to].map(|gauge| gauges[gauge].error.map(|e| values.get(e)));
    Some(Value::of(rise.shown(gauges).kind, from?.hypot(to?)))
}

/// What a gauge may be off by of itself.
fn own_error(gauge: &Gauge, values: &Values) -> Option<Value> {
    let kind = match gauge.reads {
        Reads::Pressure => Kind::PressureDifference,
        Reads::Temperature => Kind::TemperatureDifference,
        Reads::Flow => Kind::VolumeFlow,
    };
    gauge.error.map(|slot| Value::of(kind, values.get(slot)))
}

/// What every gauge shows over a cycle: at the start, at the end of the first pull and of the last, at the least
/// and at the most, and by how much a thermometer is behind its coolant at the most.
pub fn over_cycle(ready: &Ready, history: &History) -> Option<Section> {
    let mut table = Table::new()
        .words("gauge", "gauge")
        .values("start", "start")
        .values("first_pull", "end of the\nfirst pull")
        .values("last_pull", "end of the\nlast pull")
        .values("least", "least")
        .numbers("least_at", "when\nmin:s", Kind::Time)
        .may_go()
        .values("most", "most")
        .numbers("most_at", "when\nmin:s", Kind::Time)
        .numbers("behind", "behind\nat most", Kind::TemperatureDifference)
        .values("error", "own\nerror")
        .only_filled();
    let count = history.phases.len().min(ready.duty.phases.len());
    let pulls = pulls(&ready.duty.phases[..count]);
    let model = &ready.model;
    let mut any = false;
    for (g, gauge) in model.gauges.iter().enumerate() {
        let id = Id::Gauge(g);
        let Some(place) = history.catalogue.place(id, gauge.reading()) else { continue };
        any = true;
        let coolant = history.catalogue.place(id, &q::TRUE_TEMPERATURE);
        let behind = coolant.map(|coolant| {
            let behind = history.rows.iter().map(|row| (row[coolant] - row[place]).abs());
            Value::of(Kind::TemperatureDifference, behind.fold(0.0, f64::max))
        });
        let error = own_error(gauge, &model.values);
        let cells = told(history, &pulls, (&gauge.name, place), [behind, error]);
        table.row(model.address(id), cells);
    }
    for (r, rise) in model.rises.iter().enumerate() {
        let id = Id::Rise(r);
        let shown = rise.shown(&model.gauges);
        let Some(place) = history.catalogue.place(id, shown) else { continue };
        let error = rise_error(&model.gauges, rise, &model.values);
        table.row(model.address(id), told(history, &pulls, (&rise.name, place), [None, error]));
    }
    any.then(|| Section::new("gauges", "What the gauges show").support().table(table))
}

/// What a result in a column is told of over a cycle.
fn told(
    history: &History,
    pulls: &[Range<usize>],
    (name, column): (&str, usize),
    [behind, error]: [Option<Value>; 2],
) -> [Cell; 10] {
    let kind = history.catalogue.entries()[column].quantity.kind;
    let value = |row: usize| history.rows[row][column];
    let at = |row: usize| Cell::from(Value::of(kind, value(row)));
    let by = |a: &usize, b: &usize| value(*a).total_cmp(&value(*b));
    let least = (0..history.rows.len()).min_by(by).unwrap_or(0);
    let most = (0..history.rows.len()).rev().max_by(by).unwrap_or(0);
    let end_of = |pull: Option<&Range<usize>>| {
        pull.map_or(Value::Nothing.into(), |pull| at(history.phases[pull.end - 1].rows.end - 1))
    };
    [
        name.into(),
        at(0),
        end_of(pulls.first()),
        end_of(pulls.last().filter(|_| pulls.len() > 1)),
        at(least),
        Value::clock(history.times_s[least]).into(),
        at(most),
        Value::clock(history.times_s[most]).into(),
        behind.into(),
        error.into(),
    ]
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
