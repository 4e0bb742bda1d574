//! The port table.

use coolwright_cases::quantity::Kind;
use coolwright_models::gauge::Reads;

use super::{BLANK, bore};
use crate::answer::{Lay, Section, Table, Value};
use crate::say;
use crate::study::sheets::{Port, Purpose};

/// Every port that is needed.
pub fn ports(all: &[Port]) -> Section {
    let mut table = Table::new()
        .words("on", "on")
        .words("place", "in the run")
        .words("end", "end")
        .values("bore", "bore")
        .words("thread", "thread")
        .words("purpose", "for")
        .values("straight", "straight\nwanted")
        .values("has", "has")
        .only_filled()
        .mixed();
    for port in all {
        let end: Value = match (port.end, port.along_m) {
            (Some(true), _) => "outlet".into(),
            (Some(false), _) => "inlet".into(),
            (None, Some(m)) => say!("{m} along", m = bore(m)).into(),
            (None, None) => Value::Nothing,
        };
        let purpose: Value = match (port.purpose, &port.gauge) {
            (Purpose::In, _) => "coolant in".into(),
            (Purpose::Out, _) => "coolant out".into(),
            (Purpose::Still, _) => "nothing flows as the case stands".into(),
            (Purpose::Bleed, _) => "bleed: air out".into(),
            (Purpose::Drain, _) => "drain: coolant out".into(),
            (Purpose::Tap(reads), gauge) => say!(
                "{reads} `{gauge}`",
                reads = match reads {
                    Reads::Pressure => "pressure gauge",
                    Reads::Temperature => "thermometer",
                    Reads::Flow => "flow meter",
                },
                gauge = gauge.as_deref().unwrap_or("")
            )
            .into(),
        };
        table.row(
            &port.on,
            [
                (&port.on).into(),
                (&port.place).into(),
                end,
                port.bore_m.map(bore).into(),
                BLANK.into(),
                purpose,
                port.straight_m.map(|(wants, _)| Value::of(Kind::Length, wants)).into(),
                port.straight_m.map(|(_, has)| Value::of(Kind::Length, has)).into(),
            ]
            .map(Into::into),
        );
    }
    Section::new("ports", "PORTS: what is drilled, welded and screwed in").table(table).say(
        "Directions are those of the flow with the pumps as the case sets them. Threads are blanks: the case does not know \
         them. Let a qualified welder close pressure-bearing seams.",
        Lay::Paragraph,
    )
}
