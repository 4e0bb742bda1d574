//! The way of charge air from filter to manifold: how warm it gets, its pressure, the water that condenses, and the
//! coolant that its coolers get.

use coolwright_cases::quantity::Kind;

use super::canvas::{Anchor, Canvas, Picture, at, width_of};
use super::pen::{Pen, Told, words};
use super::scale::{Scale, left_axis};
use crate::answer::Value;
use crate::answer::drawing::{ChargeDrawn, StageDrawn, StageSymbol};

/// A stage is no narrower.
const STEP: f64 = 118.0;
const LEFT: f64 = 62.0;
/// From where to where temperatures go, and pressures.
const WARM: [f64; 2] = [30.0, 124.0];
const PRESSED: [f64; 2] = [164.0, 228.0];
/// The pipe, and the first line of text below it.
const PIPE: f64 = 266.0;
const TEXT: f64 = 304.0;
/// From line to line.
const LINE: f64 = 14.0;
/// Half the length of what stands for a stage.
const HALF: f64 = 18.0;

/// The way of charge air.
pub(super) fn picture(pen: &Pen, way: &ChargeDrawn) -> Picture {
    let lines: Vec<Vec<(&str, Told)>> = way.stages.iter().map(|stage| told(pen, stage)).collect();
    let widest = lines.iter().flatten().map(|(_, text)| width_of(text, 10.0)).fold(0.0, f64::max);
    let step = STEP.max(widest + 12.0);
    let most = lines.iter().map(Vec::len).max().unwrap_or(0);
    let width = (LEFT + step * way.stages.len() as f64 + 40.0).max(360.0);
    let mut canvas = Canvas::new(pen, width, TEXT + LINE * most as f64 + 4.0);
    let place = |k: usize| LEFT + step * (k as f64 + 0.5);
    plot(&mut canvas, way, Kind::Temperature, WARM, &place);
    plot(&mut canvas, way, Kind::AbsolutePressure, PRESSED, &place);
    let right = width - 16.0;
    canvas.line([LEFT, PIPE], [right - 8.0, PIPE], "pipe");
    canvas.path(&format!("M{:.1} {:.1}l8 4l-8 4z", right - 8.0, PIPE - 4.0), "dot");
    for (k, (stage, lines)) in way.stages.iter().zip(&lines).enumerate() {
        sign(&mut canvas, stage, place(k));
        for (line, (class, text)) in lines.iter().enumerate() {
            let y = TEXT + LINE * line as f64;
            canvas.label(&[at(place(k), y, Anchor::Middle, 10.0)], class, text);
        }
    }
    let title = pen.told(|style| {
        let flow = style.value(&Value::of(Kind::MassFlow, way.flow_kg_s));
        let heat = style.value(&Value::of(Kind::HeatRate, way.heat_w));
        format!(
            "Charge air of `{}`, from the air of the site to the manifold: {flow} to the engine, {heat} into coolant",
            way.name
        )
    });
    canvas.done(format!("charge/{}", way.name), title)
}

/// Temperature or pressure along the way, with its value behind every stage that changes it.
fn plot(
    canvas: &mut Canvas<'_>,
    way: &ChargeDrawn,
    kind: Kind,
    [top, bottom]: [f64; 2],
    place: &dyn Fn(usize) -> f64,
) {
    let ends = |stage: &StageDrawn| match kind {
        Kind::Temperature => stage.air_k,
        _ => stage.air_pa,
    };
    let known = way.stages.iter().flat_map(ends);
    let right = canvas.width - 16.0;
    if !known.clone().all(f64::is_finite) {
        let told = words("not steady with this heat kept up: no numbers to show");
        canvas.label(&[at(LEFT, bottom, Anchor::Start, 11.0)], "num", &told);
        return;
    }
    let y = Scale::around(known, 0.12, [bottom, top]);
    left_axis(canvas, &y, kind, [LEFT, right]);
    let mut points = Vec::new();
    for (k, stage) in way.stages.iter().enumerate() {
        let [before, behind] = ends(stage).map(|si| y.at(si));
        if k == 0 {
            points.push([LEFT, before]);
        }
        points.push([place(k) - HALF, before]);
        points.push([place(k) + HALF, behind]);
    }
    points.push([right, points.last().map_or(f64::NAN, |last| last[1])]);
    canvas.polyline(&points, "line");
    if let Some(first) = way.stages.first() {
        let told = canvas.pen.value(&Value::of(kind, ends(first)[0]));
        let start = at(LEFT + 4.0, y.at(ends(first)[0]) - 6.0, Anchor::Start, 10.0);
        canvas.label(&[start], "value", &told);
    }
    for (k, stage) in way.stages.iter().enumerate() {
        let [before, behind] = ends(stage);
        let told = canvas.pen.value(&Value::of(kind, behind));
        let last = k + 1 == way.stages.len();
        if !last && told == canvas.pen.value(&Value::of(kind, before)) {
            continue;
        }
        let (x, top) = (place(k) + HALF + 4.0, y.at(behind));
        let places =
            [at(x, top - 6.0, Anchor::Start, 10.0), at(x, top + 14.0, Anchor::Start, 10.0)];
        canvas.label(&places, "value", &told);
    }
}

/// The lines below a stage: its name, what it is, what it gives off, where its coolant comes from.
fn told<'a>(pen: &Pen, stage: &StageDrawn) -> Vec<(&'a str, Told)> {
    let what = match stage.kind {
        StageSymbol::Duct => "pipe or filter",
        StageSymbol::Compressor => "compressor",
        StageSymbol::Cooler => "charge cooler",
        StageSymbol::AirCooled => "cooler in the wind",
    };
    let mut lines = vec![("name", words(stage.name.as_str())), ("num", words(what))];
    if let Some(ratio) = stage.ratio {
        let told = pen.told(|style| format!("{} : 1", style.value(&Value::decimals(ratio, 2))));
        lines.push(("num", told));
    }
    if let Some(heat_w) = stage.heat_w.filter(|heat_w| heat_w.is_finite()) {
        let heat = Value::of(Kind::HeatRate, heat_w);
        lines.push(("value", pen.told(|style| format!("{} to coolant", style.value(&heat)))));
    }
    if stage.condensed_kg_s > 0.0 {
        let water = Value::of(Kind::MassFlow, stage.condensed_kg_s);
        lines.push(("value", pen.told(|style| format!("{} of water", style.value(&water)))));
    }
    for pass in &stage.coolant {
        let told = pen.told(|style| {
            let [flow, warm] = [(Kind::VolumeFlow, pass.flow_m3_s), (Kind::Temperature, pass.in_k)]
                .map(|(kind, si)| style.value(&Value::of(kind, si)));
            if pass.in_k.is_finite() { format!("{flow} at {warm}") } else { flow }
        });
        lines.push(("num", words("coolant into")));
        lines.push(("name", words(pass.address.as_str())));
        lines.push(("num", told));
    }
    lines
}

/// What stands for a stage, about a point of the pipe.
fn sign(canvas: &mut Canvas<'_>, stage: &StageDrawn, x: f64) {
    let (left, right, y) = (x - HALF, x + HALF, PIPE);
    match stage.kind {
        StageSymbol::Duct => {
            canvas.rect([left, y - 9.0, right, y + 9.0], "sign");
            for k in 0..3 {
                let x = x - 8.0 + 8.0 * f64::from(k);
                canvas.line([x, y - 9.0], [x, y + 9.0], "pipe thin");
            }
        }
        StageSymbol::Compressor => {
            let d = format!(
                "M{left:.1} {:.1}L{right:.1} {:.1}V{:.1}L{left:.1} {:.1}z",
                y - HALF,
                y - 8.0,
                y + 8.0,
                y + HALF
            );
            canvas.path(&d, "sign");
        }
        StageSymbol::Cooler | StageSymbol::AirCooled => {
            canvas.rect([left, y - HALF, right, y + HALF], "sign");
            let zigzag = format!("M{left:.1} {y:.1}h8l4 -9l8 18l4 -9h12");
            canvas.path(&zigzag, "sign none");
            if stage.kind == StageSymbol::AirCooled {
                canvas.path(&format!("M{x:.1} {:.1}v12m-4 -4l4 4l4 -4", y - 34.0), "sign none");
            }
        }
    }
}
