//! A pump, or fans, against the system: both curves, every crossing, and what the flow may be off by.

use super::canvas::{Anchor, Canvas, Picture, at};
use super::pen::{Pen, words};
use super::scale::{Scale, bottom_axis, left_axis};
use crate::answer::drawing::CurvesDrawn;
use crate::answer::{Sentence, Value};
use crate::say;

const SIZE: [f64; 2] = [360.0, 264.0];
/// Left, top, right and bottom of the plot.
const PLOT: [f64; 4] = [56.0, 34.0, 344.0, 218.0];

/// A machine against its system.
pub(super) fn picture(pen: &Pen, curves: &CurvesDrawn) -> Picture {
    let mut canvas = Canvas::new(pen, SIZE[0], SIZE[1]);
    let [left, top, right, bottom] = PLOT;
    let [flow_kind, rise_kind] = curves.kinds();
    // What is asked for beyond what the machine can give at all says nothing.
    let most = curves.samples.iter().map(|s| s[1]).fold(curves.stands[1], f64::max);
    let flows = curves.samples.iter().map(|s| s[0]).chain([0.0, 1.15 * curves.stands[0]]);
    let x = Scale::around(flows, 0.0, [left, right]);
    let rises = curves.samples.iter().flat_map(|s| [s[1], s[2]]).filter(|r| *r <= 1.05 * most);
    let rises = rises.filter(|rise| *rise >= -0.35 * most).chain([0.0]);
    let y = Scale::around(rises, 0.04, [bottom, top]);
    bottom_axis(&mut canvas, &x, flow_kind, [top, bottom]);
    left_axis(&mut canvas, &y, rise_kind, [left, right]);
    band(&mut canvas, curves, &x);
    let within =
        |rise: f64| if (y.si[0]..=y.si[1]).contains(&rise) { y.at(rise) } else { f64::NAN };
    let line = |which: usize| -> Vec<[f64; 2]> {
        curves.samples.iter().map(|s| [x.at(s[0]), within(s[which])]).collect()
    };
    let (gives, asks) = (line(1), line(2));
    canvas.polyline(&gives, "line");
    canvas.polyline(&asks, "line thin");
    marks(&mut canvas, curves, (&x, &y));
    let machine = if curves.air { "fans" } else { "pump" };
    name(&mut canvas, &gives, 0.25, machine);
    name(&mut canvas, &asks, 0.55, "system");
    let title = title(curves);
    canvas.done(
        format!("{}/{}", if curves.air { "fan" } else { "pump" }, curves.of),
        pen.sentence(&title),
    )
}

/// What the picture shows, in words.
fn title(curves: &CurvesDrawn) -> Sentence {
    let [flow, rise] = curves.kinds();
    let what = match (curves.air, curves.machines.len()) {
        (true, 1) => "Fan",
        (true, _) => "Fans",
        (false, 1) => "Pump",
        (false, _) => "Pumps",
    };
    say!(
        "{what} of `{of}` against the system: {flow} at {rise}",
        what = what,
        of = &curves.of,
        flow = Value::of(flow, curves.stands[0]),
        rise = Value::of(rise, curves.stands[1]),
    )
}

/// The band of what the flow may be off by.
fn band(canvas: &mut Canvas<'_>, curves: &CurvesDrawn, x: &Scale) {
    let [_, top, _, bottom] = PLOT;
    let Some(off) = curves.off_m3_s else { return };
    let flow = curves.stands[0];
    let frame = [x.at(flow - off).max(x.px[0]), top, x.at(flow + off).min(x.px[1]), bottom];
    canvas.rect(frame, "band");
}

/// The crossings: that on which the answer stands is full.
fn marks(canvas: &mut Canvas<'_>, curves: &CurvesDrawn, (x, y): (&Scale, &Scale)) {
    let [flow_kind, rise_kind] = curves.kinds();
    let stands = [x.at(curves.stands[0]), y.at(curves.stands[1])];
    for (flow, rise, stable) in &curves.crossings {
        let place = [x.at(*flow), y.at(*rise)];
        if (place[0] - stands[0]).abs() > 3.0 {
            canvas.circle(place, 4.0, "mark hollow");
            let word = if *stable { "crosses too" } else { "departs" };
            let places = [
                at(place[0] + 7.0, place[1] - 7.0, Anchor::Start, 10.0),
                at(place[0] - 7.0, place[1] + 14.0, Anchor::End, 10.0),
            ];
            canvas.label(&places, "num", &words(word));
        }
    }
    canvas.circle(stands, 4.5, "mark");
    let told = canvas.pen.told(|style| {
        let [flow, rise] =
            [Value::of(flow_kind, curves.stands[0]), Value::of(rise_kind, curves.stands[1])];
        format!("{}, {}", style.value(&flow), style.value(&rise))
    });
    canvas.keep([stands[0] - 6.0, stands[1] - 6.0, stands[0] + 6.0, stands[1] + 6.0]);
    let places = [
        at(stands[0] + 14.0, stands[1] + 4.0, Anchor::Start, 11.0),
        at(stands[0] - 14.0, stands[1] + 4.0, Anchor::End, 11.0),
        at(stands[0] + 8.0, stands[1] + 18.0, Anchor::Start, 11.0),
        at(stands[0] - 8.0, stands[1] + 18.0, Anchor::End, 11.0),
        at(200.0, 16.0, Anchor::Middle, 11.0),
    ];
    canvas.label(&places, "value", &told);
}

/// Names a line near a share of its length.
fn name(canvas: &mut Canvas<'_>, points: &[[f64; 2]], share: f64, name: &str) {
    let known: Vec<&[f64; 2]> = points.iter().filter(|point| point[1].is_finite()).collect();
    if known.is_empty() {
        return;
    }
    let mut places = Vec::new();
    for k in 0..8 {
        let share = (share + 0.09 * f64::from(k)) % 1.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an index")]
        let [x, y] = *known[(share * (known.len() - 1) as f64) as usize];
        places.push(at(x, y - 8.0, Anchor::Middle, 11.0));
        places.push(at(x, y + 16.0, Anchor::Middle, 11.0));
    }
    canvas.label(&places, "name", &words(name));
}
