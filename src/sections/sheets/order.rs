//! The order list.

use coolwright_cases::quantity::Kind;

use super::{BLANK, bore, bores};
use crate::answer::{Cell, Lay, Section, Table, Value};
use crate::say;
use crate::study::sheets::Order;

/// What to order: hose by bore, bends, everything else.
pub fn order(order: &Order) -> Vec<Section> {
    vec![hoses(order), bends(order), fittings(order)]
}

fn hoses(order: &Order) -> Section {
    let mut table = Table::new()
        .numbers("bore", "bore", Kind::Length)
        .values("pieces", "pieces")
        .numbers("length", "as it lies", Kind::Distance)
        .numbers("to_order", "to order", Kind::Distance)
        .values("clamps", "clamps")
        .broken_words("where", "where", 44)
        .mixed();
    for hose in &order.hoses {
        let where_to = hose.pieces.iter().map(|(path, length)| match length {
            Some(m) => say!("{path} {length}", path = path, length = Value::of(Kind::Length, *m)),
            None => say!("{path} ({blank})", path = path, blank = BLANK),
        });
        let cells: [Cell; 6] = [
            bore(hose.bore_m).into(),
            hose.pieces.len().into(),
            Value::of(Kind::Distance, hose.length_m()).into(),
            Value::of(Kind::Distance, hose.to_order_m()).into(),
            hose.clamps().into(),
            Value::list(where_to, "; ").into(),
        ];
        table.line(cells);
    }
    Section::new("order_hoses", "ORDER: hose by bore")
        .table(table)
        .say(
            say!(
                "Common practice, no source: 10 % and at least {least} more for each piece, two clamps a piece. Hose for hot \
                 coolant under pressure, rated above the test pressure at the hottest coolant.",
                least = bore(0.1)
            ),
            Lay::Paragraph,
        )
}

fn bends(order: &Order) -> Section {
    let mut table = Table::new()
        .numbers("bore", "bore", Kind::Length)
        .numbers("angle", "bend", Kind::Angle)
        .values("radius", "radius")
        .values("count", "how many")
        .mixed();
    for hose in &order.hoses {
        for (angle, radius, count) in &hose.bends {
            table.line([
                bore(hose.bore_m).into(),
                Value::of(Kind::Angle, *angle).into(),
                radius.map_or_else(|| BLANK.into(), bore).into(),
                (*count as usize).into(),
            ]);
        }
    }
    Section::new("order_bends", "Bends in those hoses, to be bent or bought as elbows").table(table)
}

fn fittings(order: &Order) -> Section {
    let mut table = Table::new()
        .words("what", "what")
        .values("count", "how\nmany")
        .words("bores", "bores")
        .words("size", "size")
        .words("thread", "thread")
        .broken_words("where", "where", 28)
        .mixed();
    for fitting in &order.fittings {
        let size = fitting.size.map(|(kind, si)| Value::of(kind, si));
        table.line([
            fitting.what.into(),
            fitting.places.len().into(),
            bores(&fitting.bores_m).into(),
            size.into(),
            BLANK.into(),
            Value::list(counted(&fitting.places), ", ").into(),
        ]);
    }
    Section::new("order_fittings", "Fittings, machines, gauges").table(table).say(
        "Blanks are what the case does not tell: fill them in from the part that you hold. High-voltage parts, wiring and \
         pressure vessels are for qualified persons and local codes.",
        Lay::Paragraph,
    )
}

/// Places, each once, with how often it stands there.
fn counted(places: &[String]) -> Vec<Value> {
    let mut all: Vec<(&str, usize)> = Vec::new();
    for place in places {
        match all.iter_mut().find(|(known, _)| known == place) {
            Some((_, count)) => *count += 1,
            None => all.push((place, 1)),
        }
    }
    let one = |(place, count): (&str, usize)| match count {
        1 => place.into(),
        _ => say!("{place} ({count})", place = place, count = count).into(),
    };
    all.into_iter().map(one).collect()
}
