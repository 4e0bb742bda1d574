//! Pictures of lying bars: the split of a cooler, the heat ledger.

use coolwright_cases::quantity::Kind;

use super::canvas::{Anchor, Canvas, Picture, at, fitted, width_of};
use super::pen::{Pen, Told, words};
use super::rows::{Found, rows, sections};
use super::scale::Scale;
use crate::answer::{Answer, Section, Value};

/// Height of a row.
pub(super) const ROW: f64 = 24.0;
/// Width of a picture.
pub(super) const WIDTH: f64 = 560.0;

/// How the coolant of each cooler is shared out.
pub(super) fn splits(pen: &Pen, answer: &Answer) -> Vec<Picture> {
    sections(answer, "passes").map(|section| split(pen, section)).collect()
}

fn split(pen: &Pen, section: &Section) -> Picture {
    let found = rows(section);
    let flows: Vec<f64> = found.iter().map(|row| row.number("flow").unwrap_or(0.0)).collect();
    let offs: Vec<f64> = found
        .iter()
        .map(|row| row.cell("flow").and_then(|cell| cell.uncertainty).unwrap_or(0.0))
        .collect();
    let mut canvas = Canvas::new(pen, WIDTH, ROW * found.len() as f64 + 40.0);
    let names: Vec<Told> =
        found.iter().map(|row| words(row.text("pass").unwrap_or_default())).collect();
    let left = left_of(&names);
    let ends = flows.iter().zip(&offs).map(|(flow, off)| flow + off);
    let x = Scale { px: [left, WIDTH - 150.0], ..Scale::around(ends.chain([0.0]), 0.0, [0.0; 2]) };
    for (k, ((name, flow), off)) in names.iter().zip(&flows).zip(&offs).enumerate() {
        let y = 8.0 + ROW * (k as f64 + 0.5);
        canvas.label(&[at(left - 8.0, y + 4.0, Anchor::End, 11.0)], "name", &named(name, left));
        canvas.rect(
            [x.at(0.0_f64.min(*flow)), y - 6.0, x.at(0.0_f64.max(*flow)), y + 6.0],
            "bar plain",
        );
        whisker(&mut canvas, &x, (*flow, *off), y);
        let share = found[k].value("share");
        let told = pen.told(|style| {
            let flow = style.value(&Value::of(Kind::VolumeFlow, *flow));
            share.map_or_else(|| flow.clone(), |share| format!("{flow}, {}", style.value(share)))
        });
        canvas.label(&[at(WIDTH - 144.0, y + 4.0, Anchor::Start, 11.0)], "num", &told);
    }
    let mean = flows.iter().sum::<f64>() / flows.len().max(1) as f64;
    let bottom = 8.0 + ROW * found.len() as f64;
    canvas.line([x.at(mean), 6.0], [x.at(mean), bottom], "bound");
    let told =
        pen.told(|style| format!("mean {}", style.value(&Value::of(Kind::VolumeFlow, mean))));
    canvas.label(&[at(x.at(mean), bottom + 18.0, Anchor::Middle, 10.0)], "num", &told);
    let of = section.of.clone().unwrap_or_default();
    let title = section.title.as_ref().map_or_else(|| words(of.as_str()), |t| pen.sentence(t));
    canvas.done(format!("split/{of}"), title)
}

/// A name as it fits left of bars that begin there.
pub(super) fn named(name: &Told, left: f64) -> Told {
    fitted(name, 11.0, left - 8.0)
}

/// Where bars begin: right of the longest name.
pub(super) fn left_of(names: &[Told]) -> f64 {
    let widest = names.iter().map(|name| width_of(name, 11.0)).fold(0.0, f64::max);
    (widest + 16.0).min(WIDTH * 0.45)
}

/// What the end of a bar may be off by.
pub(super) fn whisker(canvas: &mut Canvas<'_>, x: &Scale, (value, off): (f64, f64), y: f64) {
    if off <= 0.0 {
        return;
    }
    let [low, high] = [x.at(value - off), x.at(value + off)];
    canvas.line([low, y], [high, y], "whisker");
    for x in [low, high] {
        canvas.line([x, y - 4.0], [x, y + 4.0], "whisker");
    }
}

/// Where heat comes from and where it goes, phase by phase.
pub(super) fn ledger(pen: &Pen, answer: &Answer) -> Option<Picture> {
    let section = sections(answer, "heat").next()?;
    let found = rows(section).into_iter().filter(|row| row.by_people && !row.is_detail);
    let found: Vec<Found<'_>> = found.collect();
    let row = 50.0;
    let mut canvas = Canvas::new(pen, 620.0, row * found.len() as f64 + 40.0);
    let names: Vec<Told> =
        found.iter().map(|row| words(row.text("phase").unwrap_or_default())).collect();
    let left = left_of(&names) + 44.0;
    let sums = found.iter().map(|row| sides(row).map(|side| side.iter().map(|p| p.1).sum::<f64>()));
    let most = sums.flatten().fold(0.0, f64::max);
    let x = Scale { si: [0.0, most.max(1e-9)], px: [left, 612.0] };
    for (k, (name, row_of)) in names.iter().zip(&found).enumerate() {
        let top = 6.0 + row * k as f64;
        let name = named(name, left - 44.0);
        canvas.label(&[at(left - 52.0, top + 20.0, Anchor::End, 11.0)], "name", &name);
        for (side, (parts, word)) in sides(row_of).into_iter().zip(["from", "to"]).enumerate() {
            let y = top + 4.0 + 20.0 * side as f64;
            canvas.label(&[at(left - 8.0, y + 12.0, Anchor::End, 10.0)], "unit", &words(word));
            stack(&mut canvas, &parts, (&x, y));
        }
    }
    let title = words("Where the heat comes from and where it goes, phase by phase");
    Some(canvas.done("ledger".to_owned(), title))
}

/// What heat comes from and what it goes to, J, with the class of each.
fn sides(row: &Found<'_>) -> [Vec<(&'static str, f64, &'static str)>; 2] {
    let number = |name: &str| row.number(name).unwrap_or(0.0);
    let all = [
        ("heat sources", number("in"), "stack a"),
        ("pumps", number("from_pumps"), "stack b"),
        ("outside", number("from_outside"), "stack c"),
        ("air", -number("to_air"), "stack b"),
        ("store", -number("stored"), "stack c"),
    ];
    let from = all.iter().filter(|(_, heat, _)| *heat > 0.0).copied().collect();
    let to = all.iter().filter(|(_, heat, _)| *heat < 0.0);
    [from, to.map(|(name, heat, class)| (*name, -heat, *class)).collect()]
}

/// Pieces of a bar one behind the other, named where there is room.
fn stack(
    canvas: &mut Canvas<'_>,
    parts: &[(&'static str, f64, &'static str)],
    (x, y): (&Scale, f64),
) {
    let mut at_j = 0.0;
    for (name, heat, class) in parts {
        let [from, to] = [x.at(at_j), x.at(at_j + heat)];
        canvas.rect([from, y, to, y + 17.0], class);
        let told = canvas
            .pen
            .told(|style| format!("{name} {}", style.value(&Value::of(Kind::Energy, *heat))));
        let short = words(*name);
        let middle = at(f64::midpoint(from, to), y + 12.5, Anchor::Middle, 10.0);
        let class = if *class == "stack a" { "num on-dark" } else { "num flat" };
        if width_of(&told, 10.0) + 6.0 < to - from {
            canvas.label(&[middle], class, &told);
        } else if width_of(&short, 10.0) + 6.0 < to - from {
            canvas.label(&[middle], class, &short);
        } else if at_j + heat >= parts.iter().map(|p| p.1).sum::<f64>() * 0.999 {
            // The last of them, if it is narrow, is named behind it.
            canvas.label(&[at(to + 5.0, y + 12.5, Anchor::Start, 10.0)], "num", &told);
        }
        at_j += heat;
    }
}
