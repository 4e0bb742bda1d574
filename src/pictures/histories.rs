//! Results over time: one small plot each, phases shaded, limits as lines, events marked.

use std::ops::Range;

use coolwright_cases::quantity::Kind;

use super::canvas::{Anchor, Canvas, Picture, at, fitted, n, texts, thinned, through};
use super::limits::{LimitShown, limits_of};
use super::pen::{Pen, words};
use super::rows::{rows, sections};
use super::scale::{Scale, left_axis};
use crate::answer::{Answer, Histories, Value};

/// Width and height of a plot.
const SIZE: [f64; 2] = [760.0, 150.0];
/// Left, top, right and bottom of what is plotted.
pub const PLOT: [f64; 4] = [62.0, 34.0, 744.0, 124.0];

/// A line is drawn no farther off than this: less than is seen, and a fifth of its points.
const OFF: f64 = 0.12;

/// What happened, and when, s.
#[derive(Clone, Debug)]
pub struct Event {
    /// When, s.
    pub at_s: f64,
    /// What.
    pub what: String,
}

/// All plots of an answer.
pub fn pictures(pen: &Pen, answer: &Answer) -> Vec<Picture> {
    let Some(histories) = &answer.histories else { return Vec::new() };
    let limits: Vec<LimitShown> = sections(answer, "limits").flat_map(limits_of).collect();
    let events = events(answer);
    // What never changes is no picture.
    let moves =
        |k: &usize| histories.rows.iter().any(|row| (row[*k] - histories.rows[0][*k]).abs() > 0.0);
    let all = (0..histories.columns.len()).filter(moves);
    all.map(|k| picture(pen, (histories, k), &limits, &events)).collect()
}

/// What switched, when caps opened, when it was ready.
pub fn events(answer: &Answer) -> Vec<Event> {
    let mut found = Vec::new();
    for section in sections(answer, "switches") {
        for row in rows(section) {
            let (name, goes) = (row.text("switch"), row.text("goes"));
            if let (Some(at_s), Some(name), Some(goes)) = (row.number("at"), name, goes) {
                found.push(Event { at_s, what: format!("{name} {goes}") });
            }
        }
    }
    for section in sections(answer, "caps") {
        for row in rows(section) {
            if let (Some(at_s), Some(circuit)) = (row.number("from"), row.text("circuit")) {
                found.push(Event { at_s, what: format!("cap of {circuit} opens") });
            }
        }
    }
    for section in sections(answer, "ready") {
        for row in rows(section) {
            if let (Some(from), Some(after)) = (row.number("starts"), row.number("ready_after")) {
                found.push(Event { at_s: from + after, what: "ready".to_owned() });
            }
        }
    }
    found.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    found
}

/// One result over time.
fn picture(
    pen: &Pen,
    (histories, k): (&Histories, usize),
    limits: &[LimitShown],
    events: &[Event],
) -> Picture {
    let column = &histories.columns[k];
    let mut canvas = Canvas::new(pen, SIZE[0], SIZE[1]);
    let [left, _, right, _] = PLOT;
    let end = histories.times_s.last().copied().unwrap_or(1.0);
    let x = Scale { si: [0.0, end.max(1e-9)], px: [left, right] };
    let values: Vec<f64> = histories.rows.iter().map(|row| row[k]).collect();
    let of = |limit: &&LimitShown| limit.of == column.address;
    let bounds: Vec<&LimitShown> = limits.iter().filter(of).collect();
    let y = scale(&values, &bounds, column.kind);
    phases(&mut canvas, histories, &x);
    time_axis(&mut canvas, &x);
    left_axis(&mut canvas, &y, column.kind, [left, right]);
    marks(&mut canvas, events, &x);
    for limit in bounds {
        bound(&mut canvas, limit, &y);
    }
    let points = histories.times_s.iter().zip(&values);
    let points: Vec<[f64; 2]> = points.map(|(s, value)| [x.at(*s), y.at(*value)]).collect();
    // The column and its scale are for who draws a part of it anew.
    lens(&mut canvas, Some((k, y.si)));
    canvas.path(&through(&thinned(&points, OFF)), "line still");
    canvas.close("</svg>");
    let title = words(format!("{}: {}", column.address, column.label));
    let name = at(left, 12.0, Anchor::Start, 11.0);
    let told = fitted(&words(column.address.as_str()), 11.0, right - left);
    canvas.push(&texts(name, "name", &told));
    let mut picture = canvas.done(format!("history/{}", column.address), title);
    picture.size = SIZE;
    picture
}

/// Opens a box that shows what is plotted: to zoom is to look at a part of it.
fn lens(canvas: &mut Canvas<'_>, of: Option<(usize, [f64; 2])>) {
    let [left, top, right, bottom] = PLOT;
    let (width, height) = (right - left, bottom - top);
    let of =
        of.map_or_else(String::new, |(k, [low, high])| format!(" data-of=\"{k} {low} {high}\""));
    canvas.open(&format!(
        "<svg class=\"lens\"{of} x=\"{left}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" viewBox=\"{left} {top} \
         {width} {height}\" preserveAspectRatio=\"none\">"
    ));
}

/// The scale of values; a bound that is far off would leave nothing to see, and is left out.
fn scale(values: &[f64], bounds: &[&LimitShown], kind: Kind) -> Scale {
    let px = [PLOT[3], PLOT[1]];
    let own = Scale::around(values.iter().copied(), 0.0, px);
    let span = (own.si[1] - own.si[0]).max(least_span(kind));
    let near = |bound: &f64| (own.si[0] - span..=own.si[1] + span).contains(bound);
    let bounds = bounds.iter().map(|limit| limit.bound_si).filter(near);
    let middle = f64::midpoint(own.si[0], own.si[1]);
    let least = [middle - least_span(kind) / 2.0, middle + least_span(kind) / 2.0];
    Scale::around(values.iter().copied().chain(bounds).chain(least), 0.06, px)
}

/// Less than this is no change that a plot should make large.
fn least_span(kind: Kind) -> f64 {
    match kind {
        Kind::Temperature | Kind::TemperatureDifference => 1.0,
        Kind::GaugePressure | Kind::PressureDifference | Kind::AbsolutePressure => 2e3,
        Kind::VolumeFlow => 1e-5,
        _ => 0.0,
    }
}

/// Every other phase shaded, with its name where there is room.
fn phases(canvas: &mut Canvas<'_>, histories: &Histories, x: &Scale) {
    let [left, top, right, bottom] = PLOT;
    let ends = |range: &Range<usize>| {
        let times = &histories.times_s[range.clone()];
        times.first().zip(times.last()).map(|(from, to)| (x.at(*from), x.at(*to)))
    };
    let shaded = histories.phases.iter().step_by(2).filter_map(|(_, range)| ends(range));
    let shaded = shaded
        .map(|(from, to)| format!("M{} {}H{}V{}H{}z", n(from), n(top), n(to), n(bottom), n(from)));
    let shaded: String = shaded.collect();
    lens(canvas, None);
    canvas.path(&shaded, "shade");
    canvas.close("</svg>");
    canvas.open("<g class=\"moves\">");
    for (name, range) in &histories.phases {
        let Some((from, to)) = ends(range) else { continue };
        let told = words(name.as_str());
        if super::canvas::width_of(&told, 9.0) < to - from && from >= left && to <= right + 0.5 {
            let middle = f64::midpoint(from, to);
            canvas.label(&[at(middle, top - 4.0, Anchor::Middle, 9.0)], "unit", &told);
        }
    }
    canvas.close("</g>");
}

fn time_axis(canvas: &mut Canvas<'_>, x: &Scale) {
    let [_, top, _, bottom] = PLOT;
    let times = x.times(8.0);
    canvas.open("<g class=\"times\">");
    let up = |(s, _): &(f64, String)| [top, bottom].map(|y| [x.at(*s), y]);
    canvas.lines(&times.iter().map(up).collect::<Vec<_>>(), "grid");
    for (s, text) in times {
        let place = x.at(s);
        let number = at(place, bottom + 14.0, Anchor::Middle, 10.0);
        canvas.label(&[number], "num", &words(text));
    }
    canvas.close("</g>");
}

/// Events as small strokes below the plot.
fn marks(canvas: &mut Canvas<'_>, events: &[Event], x: &Scale) {
    let bottom = PLOT[3];
    canvas.open("<g class=\"moves\">");
    for event in events {
        let place = x.at(event.at_s);
        if (PLOT[0]..=PLOT[2]).contains(&place) {
            canvas.path(&format!("M{0:.1} {1:.1}l3 6h-6z", place, bottom - 6.0), "event");
        }
    }
    canvas.close("</g>");
}

/// A limit as a line, with its name.
fn bound(canvas: &mut Canvas<'_>, limit: &LimitShown, y: &Scale) {
    let [left, _, right, _] = PLOT;
    if !(y.si[0]..=y.si[1]).contains(&limit.bound_si) {
        return;
    }
    let place = y.at(limit.bound_si);
    let class = format!("limit {}", limit.class());
    canvas.line([left, place], [right, place], &class);
    let told = canvas.pen.told(|style| {
        let bound = style.value(&Value::of(limit.kind, limit.bound_told));
        format!(
            "{} {} {bound}: {}",
            limit.name,
            if limit.at_most { "\u{2264}" } else { "\u{2265}" },
            limit.word()
        )
    });
    let places = [
        at(right - 4.0, place - 4.0, Anchor::End, 10.0),
        at(right - 4.0, place + 12.0, Anchor::End, 10.0),
        at(left + 4.0, place - 4.0, Anchor::Start, 10.0),
        at(left + 4.0, place + 12.0, Anchor::Start, 10.0),
    ];
    canvas.label(&places, &format!("state {}", limit.class()), &told);
}
