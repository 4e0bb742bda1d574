//! What happened in a cycle, and when: what ran on, ice put in, switches, caps; and what the log told.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::History;
use coolwright_models::ids::Id;

use super::cycle::MOST_PHASES;
use crate::answer::{Section, Seen, Sentence, Table, Value, Weight};
use crate::say;

/// So many events are told of in any answer.
const MOST_EVENTS: usize = 4;

/// Of what happens again and again the first few times matter.
fn among_first(k: usize) -> Weight {
    if k < MOST_EVENTS { Weight::Headline } else { Weight::Support }
}

/// What ran on after a switch or a phase had stopped it: since when, until when, how long.
pub fn ran_on(ready: &Ready, history: &History) -> Section {
    let mut table = Table::new()
        .words("machine", "machine")
        .numbers("stopped", "stopped\nmin:s", Kind::Time)
        .numbers("stood", "stood\nmin:s", Kind::Time)
        .numbers("for", "ran on\nfor", Kind::Time);
    for (k, late) in history.ran_on.iter().enumerate() {
        table.line([
            (&ready.model.machines[late.machine].name).into(),
            Value::clock(late.from_s).into(),
            late.to_s.map_or("not yet".into(), |to_s| Value::clock(to_s).into()),
            late.to_s.map(|to_s| Value::of(Kind::Time, to_s - late.from_s)).into(),
        ]);
        table.weigh(among_first(k));
    }
    Section::new("ran_on", "What ran on").table(table)
}

/// Ice that was put in: when, how much, and what was drawn off for it.
pub fn refills(ready: &Ready, history: &History) -> Section {
    let mut table = Table::new()
        .words("tank", "tank")
        .numbers("at", "at\nmin:s", Kind::Time)
        .numbers("ice", "ice\nput in", Kind::Mass)
        .numbers("drawn_off", "coolant drawn\noff before", Kind::Volume);
    for (k, refilled) in history.refilled.iter().enumerate() {
        let (c, r, p) = refilled.tank;
        table.line([
            ready.model.address(Id::Part(c, r, p)).into(),
            Value::clock(refilled.at_s).into(),
            Value::of(Kind::Mass, refilled.ice_kg).into(),
            Value::of(Kind::Volume, refilled.coolant_m3).into(),
        ]);
        table.weigh(among_first(k));
    }
    Section::new("refills", "Ice put in").table(table)
}

/// What switched, and when.
pub fn switched(ready: &Ready, history: &History) -> Section {
    let mut table = Table::new().words("switch", "switch").words("goes", "goes").numbers(
        "at",
        "at\nmin:s",
        Kind::Time,
    );
    for (k, event) in history.switched.iter().enumerate() {
        let name = &ready.model.switches[event.switch].name;
        let goes = if event.on { "on" } else { "off" };
        table.line([name.into(), goes.into(), Value::clock(event.at_s).into()]);
        table.weigh(among_first(k));
    }
    Section::new("switches", "Switches").table(table)
}

/// What went through caps, and when.
pub fn caps(ready: &Ready, history: &History) -> Section {
    let mut table = Table::new()
        .words("circuit", "circuit")
        .words("goes", "goes")
        .numbers("from", "from\nmin:s", Kind::Time)
        .numbers("to", "to\nmin:s", Kind::Time)
        .numbers("gas", "gas", Kind::Volume)
        .numbers("coolant", "coolant", Kind::Volume)
        .only_filled();
    for (k, opening) in history.openings.iter().enumerate() {
        let lost = Some(opening.coolant_m3).filter(|lost| *lost > 0.0);
        let cells = [
            (&ready.model.circuits[opening.circuit].name).into(),
            if opening.is_out { "out" } else { "in" }.into(),
            Value::clock(opening.from_s).into(),
            Value::clock(opening.to_s).into(),
            Value::of(Kind::Volume, opening.gas_m3).into(),
            lost.map(|lost| Value::of(Kind::Volume, lost)).into(),
        ];
        table.add(None, cells, if k < MOST_PHASES { Seen::All } else { Seen::Programs });
        table.weigh(among_first(k));
    }
    // The state at which gas is counted: ISO 13443.
    let title = say!(
        "Through caps (gas at {temperature} and {pressure})",
        temperature = Value::of(Kind::Temperature, 288.15),
        pressure = Value::of(Kind::AbsolutePressure, 101_325.0)
    );
    Section::new("caps", title).support().table(table)
}

/// What was found in the log that drives the cycle.
pub fn log(ready: &Ready) -> Option<Section> {
    (!ready.duty.report.is_empty()).then(|| {
        let lines = ready.duty.report.iter().map(|line| Sentence::spoken(line));
        Section::new("log", "Driven by a log").points(lines)
    })
}
