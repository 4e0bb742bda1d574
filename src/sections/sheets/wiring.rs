//! The wiring sheet.

use coolwright_cases::quantity::Kind;

use super::BLANK;
use crate::answer::{Lay, Section, Table, Value};
use crate::say;
use crate::study::sheets::{RunOn, Wire};

/// Fuses and wires, and what is drawn in rests.
pub fn wiring(wires: &[Wire], run_on: &[RunOn]) -> Vec<Section> {
    vec![machines(wires), rests(run_on)]
}

fn machines(wires: &[Wire]) -> Section {
    let mut table = Table::new()
        .words("machine", "machine")
        .numbers("volts", "supply", Kind::Voltage)
        .numbers("runs", "runs at", Kind::Current)
        .numbers("surge", "start surge\nup to", Kind::Current)
        .values("fuse", "fuse")
        .words("wire", "wire no less than")
        .values("longest", "longest\none way")
        .words("length", "length")
        .mixed();
    for wire in wires {
        let blank = |value: Option<Value>| value.unwrap_or_else(|| BLANK.into());
        let amps = |si: f64| Value::of(Kind::Current, si);
        let size = wire.size.map(|size| {
            say!(
                "{mm2} mm\u{b2} or {gauge} gauge",
                mm2 = format!("{}", size.mm2),
                gauge = size.gauge
            )
        });
        table.row(
            &wire.machine,
            [
                (&wire.machine).into(),
                Value::of(Kind::Voltage, wire.volts).into(),
                amps(wire.runs_a).into(),
                amps(crate::study::sheets::SURGE * wire.runs_a).into(),
                blank(wire.fuse_a.map(amps)).into(),
                blank(size.map(Value::from)).into(),
                blank(wire.longest_m.map(|m| Value::of(Kind::Distance, m))).into(),
                BLANK.into(),
            ],
        );
    }
    Section::new("wiring", "WIRES AND FUSES").table(table).say(
        "A relay and a fuse of its own for each, the fuse next to the battery. Wires: 33 CFR 183.425, Table 5, insulation \
         for 105 \u{b0}C, in an engine space; resistance by IEC 60228, class 5, 60 \u{b0}C warm, 3 % drop there and back; \
         fuse values of ISO 8820 (from memory), 1.33 of the running current; surge of a motor with brushes and no soft \
         start: common practice, no source. Bundles carry less. Above 50 V: licensed practice alone.",
        Lay::Paragraph,
    )
}

fn rests(run_on: &[RunOn]) -> Section {
    let mut table = Table::new()
        .words("phase", "rest")
        .numbers("time", "how long", Kind::Time)
        .words("supply", "supply")
        .values("charge", "draws, A h")
        .values("mean", "on average");
    for of in run_on {
        let mean = of.charge_as / of.time_s.max(f64::MIN_POSITIVE);
        table.line([
            (&of.phase).into(),
            Value::clock(of.time_s).into(),
            (&of.supply).into(),
            Value::decimals(of.charge_as / 3600.0, 2).into(),
            Value::of(Kind::Current, mean).into(),
        ]);
    }
    Section::new(
        "run_on",
        "What pumps and fans draw while the vehicle rests: the battery has to give it",
    )
    .table(table)
}
