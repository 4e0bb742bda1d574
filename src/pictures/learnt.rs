//! What a log tells: prediction beside measurement with what is left, and the fitted numbers in their ranges.

use coolwright_cases::quantity::Kind;

use super::canvas::{Anchor, Canvas, Picture, at, fitted, texts, through, width_of};
use super::pen::{Pen, Told, words};
use super::rows::{rows, sections};
use super::scale::{Scale, left_axis};
use crate::answer::{Answer, Histories, Value, kinds};

const SIZE: [f64; 2] = [760.0, 236.0];
/// Left and right of what is plotted; top and bottom of the readings, and of what is left.
const SIDES: [f64; 2] = [62.0, 744.0];
const UPPER: [f64; 2] = [34.0, 138.0];
const LOWER: [f64; 2] = [164.0, 212.0];
/// Of the numbers.
const WIDTH: f64 = 560.0;
const ROW: f64 = 26.0;

/// A picture for every gauge, and one of the numbers.
pub(super) fn pictures(pen: &Pen, answer: &Answer) -> Vec<Picture> {
    let mut all: Vec<Picture> = numbers(pen, answer).into_iter().collect();
    if let Some(histories) = &answer.histories {
        let groups = (0..histories.columns.len() / 3).map(|k| 3 * k);
        all.extend(groups.map(|first| gauge(pen, histories, first)));
    }
    all
}

/// The column of a gauge at a place: times and values on a sheet.
fn points(
    histories: &Histories,
    value: impl Fn(&[f64]) -> f64,
    x: &Scale,
    y: &Scale,
) -> Vec<[f64; 2]> {
    let rows = histories.times_s.iter().zip(&histories.rows);
    rows.map(|(s, row)| [x.at(*s), y.at(value(row))]).collect()
}

/// Measured, as the case stands and as learnt; below it what is left.
fn gauge(pen: &Pen, histories: &Histories, first: usize) -> Picture {
    let [measured, plain, learnt] = [first, first + 1, first + 2];
    let column = &histories.columns[measured];
    let name = column.address.trim_end_matches(":measured");
    let mut canvas = Canvas::new(pen, SIZE[0], SIZE[1]);
    let end = histories.times_s.last().copied().unwrap_or(1.0);
    let x = Scale { si: [0.0, end.max(1e-9)], px: SIDES };
    let all = histories.rows.iter().flat_map(|row| [row[measured], row[plain], row[learnt]]);
    let y = Scale::around(all, 0.06, [UPPER[1], UPPER[0]]);
    let left = |row: &[f64]| row[measured] - row[learnt];
    let around = histories.rows.iter().map(|row| left(row)).chain([0.0]);
    let below = Scale::around(around, 0.1, [LOWER[1], LOWER[0]]);
    for (s, text) in x.times(8.0) {
        let place = x.at(s);
        canvas.line([place, UPPER[0]], [place, LOWER[1]], "grid");
        let number = at(place, LOWER[1] + 14.0, Anchor::Middle, 10.0);
        canvas.label(&[number], "num", &words(text));
    }
    left_axis(&mut canvas, &y, column.kind, SIDES);
    left_axis(&mut canvas, &below, kinds::difference(column.kind), SIDES);
    // What was measured lies below, and is wide enough to be seen beside a line that runs along it.
    canvas.path(&through(&points(histories, |row| row[measured], &x, &y)), "line measured");
    canvas.path(&through(&points(histories, |row| row[plain], &x, &y)), "line dashed");
    canvas.path(&through(&points(histories, |row| row[learnt], &x, &y)), "line");
    let zero = below.at(0.0);
    canvas.line([SIDES[0], zero], [SIDES[1], zero], "axis");
    canvas.path(&through(&points(histories, left, &x, &below)), "line thin");
    let title = words(format!(
        "{name}: measured wide and light, as learnt heavy, as the case stands broken; below: measured less as learnt"
    ));
    let told = fitted(&words(name), 11.0, SIDES[1] - SIDES[0]);
    canvas.push(&texts(at(SIDES[0], 12.0, Anchor::Start, 11.0), "name", &told));
    let mut picture = canvas.done(format!("learnt/{}", name.trim_start_matches("gauges/")), title);
    picture.size = SIZE;
    picture
}

/// A fitted number.
struct Number {
    address: String,
    kind: Kind,
    /// Least, case, low, best, high, most.
    si: [f64; 6],
    is_told: bool,
}

/// Every fitted number in its range, with its interval and what the case has.
fn numbers(pen: &Pen, answer: &Answer) -> Option<Picture> {
    let all = sections(answer, "learnt").flat_map(rows).filter_map(|row| {
        let mut si = [0.0; 6];
        for (slot, name) in si.iter_mut().zip(["least", "is", "low", "to", "high", "most"]) {
            *slot = row.number(name)?;
        }
        let address = match row.value("number")? {
            Value::Sentence(sentence) => crate::render::Style::SI.sentence(sentence),
            Value::Text(text) => text.clone(),
            _ => return None,
        };
        let is_told = row.text("told") == Some("true");
        Some(Number { address, kind: row.kind("to")?, si, is_told })
    });
    let all: Vec<Number> = all.collect();
    if all.is_empty() {
        return None;
    }
    let mut canvas = Canvas::new(pen, WIDTH, ROW * all.len() as f64 + 26.0);
    let names: Vec<Told> = all.iter().map(|of| words(of.address.replace('`', ""))).collect();
    let widest = names.iter().map(|name| width_of(name, 11.0)).fold(0.0, f64::max);
    let (left, right) = ((widest + 22.0).min(260.0), WIDTH - 150.0);
    for (k, (of, name)) in all.iter().zip(&names).enumerate() {
        let y = 10.0 + ROW * (k as f64 + 0.5);
        let [least, is, low, best, high, most] = of.si;
        let x = Scale { si: [least, most], px: [left, right] };
        canvas.label(&[at(left - 12.0, y + 4.0, Anchor::End, 11.0)], "name", name);
        canvas.line([left, y], [right, y], "grid");
        canvas.line([x.at(low), y], [x.at(high), y], "whisker");
        let case = x.at(is.clamp(least, most));
        canvas.line([case, y - 7.0], [case, y + 7.0], "bound");
        canvas.circle([x.at(best), y], 4.5, if of.is_told { "mark" } else { "mark hollow" });
        let told = canvas.pen.told(|style| {
            let value = style.value(&Value::of(of.kind, best));
            if of.is_told { value } else { format!("{value}, not told") }
        });
        canvas.label(&[at(right + 14.0, y + 4.0, Anchor::Start, 11.0)], "value", &told);
    }
    let title = words(
        "What was learnt, each in its range: dot and interval of 95 %, stroke what the case has",
    );
    Some(canvas.done("learnt".to_owned(), title))
}
