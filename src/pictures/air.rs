//! The way of the air from front to back: what it meets, how warm it gets, what its pressure costs.

use coolwright_cases::quantity::Kind;

use super::canvas::{Anchor, Canvas, Picture, at, fitted};
use super::pen::{Pen, words};
use super::scale::{Scale, left_axis};
use crate::answer::Value;
use crate::answer::drawing::{AirDrawn, AirStep};

/// Width of what the air meets.
const STEP: f64 = 118.0;
const LEFT: f64 = 62.0;
/// From where to where temperatures go.
const PLOT: [f64; 2] = [30.0, 130.0];

/// The way of the air.
pub(super) fn picture(pen: &Pen, air: &AirDrawn) -> Picture {
    let width = (LEFT + STEP * (air.steps.len() as f64 + 0.5) + 20.0).max(360.0);
    let mut canvas = Canvas::new(pen, width, 262.0);
    let right = width - 16.0;
    let numbers = air.steps.iter().flat_map(|step| step.air_k).chain([air.site_k]);
    let y = Scale::around(numbers, 0.08, [PLOT[1], PLOT[0]]);
    let is_steady = air.steps.iter().all(|step| step.air_k.iter().all(|k| k.is_finite()));
    if is_steady {
        left_axis(&mut canvas, &y, Kind::Temperature, [LEFT, right]);
    } else {
        let told = words("not steady with this heat kept up: no temperatures to show");
        canvas.label(&[at(LEFT, PLOT[1], Anchor::Start, 11.0)], "num", &told);
    }
    let mut points = vec![[LEFT, y.at(air.site_k)]];
    for (k, step) in air.steps.iter().enumerate() {
        let (from, to) = place(k);
        points.push([from, y.at(step.air_k[0])]);
        points.push([to, y.at(step.air_k[1])]);
    }
    points.push([right, points.last().map_or(f64::NAN, |last| last[1])]);
    if is_steady {
        canvas.polyline(&points, "line");
    }
    canvas.line([LEFT, 186.0], [right - 8.0, 186.0], "pipe");
    canvas.path(&format!("M{} 182l8 4l-8 4z", right - 8.0), "dot");
    for (k, step) in air.steps.iter().enumerate() {
        draw(&mut canvas, step, place(k), &y);
    }
    let title = pen.told(|style| {
        let flow = style.value(&Value::of(Kind::AirFlow, air.flow_m3_s));
        let when = air.moment.as_ref().map(|moment| format!(", {}", style.sentence(moment)));
        let when = when.unwrap_or_default();
        format!("Air of `{}`, front to back: {flow} at the density of the site{when}", air.name)
    });
    canvas.done(format!("air/{}", air.name), title)
}

/// From where to where a step goes.
fn place(k: usize) -> (f64, f64) {
    let middle = LEFT + STEP * (k as f64 + 0.5);
    (middle - 16.0, middle + 16.0)
}

fn draw(canvas: &mut Canvas<'_>, step: &AirStep, (from, to): (f64, f64), y: &Scale) {
    let middle = f64::midpoint(from, to);
    match step.word {
        "fan" => {
            canvas.circle([middle, 186.0], 14.0, "sign");
            for turn in [-1.0, 1.0] {
                let d = format!(
                    "M{middle:.1} 186q{:.1} {:.1} 0 {:.1}q{:.1} {:.1} 0 {:.1}",
                    7.0,
                    -6.0 * turn,
                    -12.0 * turn,
                    -7.0,
                    6.0 * turn,
                    12.0 * turn
                );
                canvas.path(&d, "sign none");
            }
        }
        "core" => {
            canvas.rect([from, 168.0, to, 204.0], "sign");
            canvas.path(&format!("M{from:.1} 186h6l4 -9l8 18l4 -9h10"), "sign none");
        }
        "ram" => {
            canvas.path(&format!("M{from:.1} 176l20 10l-20 10z"), "sign");
        }
        _ => {
            for k in 0..3 {
                let x = middle - 6.0 + 6.0 * f64::from(k);
                canvas.line([x, 172.0], [x, 200.0], "pipe thin");
            }
        }
    }
    let name = fitted(&words(step.name.as_str()), 10.0, STEP - 6.0);
    canvas.label(&[at(middle, 222.0, Anchor::Middle, 10.0)], "name", &name);
    let told = canvas.pen.told(|style| {
        let rise = Value::of(Kind::AirPressureDifference, step.rise_pa.abs());
        let sign = if step.rise_pa < 0.0 { "\u{2212}" } else { "+" };
        format!("{sign}{}", style.value(&rise))
    });
    canvas.label(&[at(middle, 237.0, Anchor::Middle, 10.0)], "num", &told);
    if step.word == "core" && step.heat_w.is_finite() {
        let heat = canvas.pen.value(&Value::of(Kind::HeatRate, step.heat_w));
        canvas.label(&[at(middle, 252.0, Anchor::Middle, 10.0)], "num", &heat);
        let told = canvas.pen.value(&Value::of(Kind::Temperature, step.air_k[1]));
        let top = y.at(step.air_k[1]);
        let places = [
            at(to + 4.0, top - 6.0, Anchor::Start, 10.0),
            at(to + 4.0, top + 14.0, Anchor::Start, 10.0),
        ];
        canvas.label(&places, "value", &told);
    }
}
