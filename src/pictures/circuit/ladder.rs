//! The plumbing below the pressure line: ways as lanes, junctions as bars, parts as symbols, flow and
//! temperature beside the lines.

use coolwright_cases::quantity::Kind;
use maud::html;

use super::super::canvas::{Anchor, Canvas, at, n};
use super::super::pen::words;
use super::symbols::{HALF, symbol};
use super::{Sheet, anchor};
use crate::answer::Value;
use crate::answer::drawing::{PartDrawn, Symbol, WayDrawn};

/// A rise below this of a part is not worth a number, K.
const LEAST_RISE_K: f64 = 0.05;
/// Half the width of what is touched to ask for a part.
const TOUCH: f64 = 18.0;

impl Sheet<'_> {
    /// The plumbing.
    pub(super) fn ladder(&self, canvas: &mut Canvas<'_>) {
        for (_, _, placed) in self.ways() {
            let y = self.lane(placed.lane);
            canvas.line([placed.x[0], y], [placed.x[1], y], "pipe");
            canvas.mind(&[[placed.x[0], y], [placed.x[1], y]]);
        }
        let bars: Vec<(usize, f64)> =
            (0..self.circuit.nodes.len()).filter_map(|n| Some((n, self.bar(canvas, n)?))).collect();
        for (node, bottom) in bars {
            self.name_bar(canvas, node, bottom);
        }
        for (k, way, placed) in self.ways() {
            self.start(canvas, way, placed);
            let y = self.lane(placed.lane);
            let sign = if placed.x[1] >= placed.x[0] { 1.0 } else { -1.0 };
            for (p, part, slot) in Self::parts(way, placed) {
                let x = f64::midpoint(slot[0], slot[1]);
                self.part(canvas, part, ([x, y], sign), (k, p));
            }
            self.temperatures(canvas, way, placed);
        }
    }

    /// The bar of a node, with a dot where a way meets it. Gives where it ends.
    fn bar(&self, canvas: &mut Canvas<'_>, node: usize) -> Option<f64> {
        let x = self.layout.nodes[node];
        let drawn = &self.circuit.nodes[node];
        let meets = self.ways().filter(|(_, way, _)| way.from == node || way.to == node);
        let mut lanes: Vec<usize> = meets.map(|(_, _, placed)| placed.lane).collect();
        lanes.sort_unstable();
        lanes.dedup();
        let (Some(&first), Some(&last)) = (lanes.first(), lanes.last()) else { return None };
        let (top, bottom) = (self.lane(first), self.lane(last));
        if drawn.word == "cut" {
            // The way goes on at the other end of the sheet.
            canvas.path(&format!("M{} {}l5 5l-5 5", n(x - 2.0), n(top - 5.0)), "pipe thin");
            return None;
        }
        let class = if drawn.word == "header" { "header" } else { "pipe" };
        canvas.line([x, top - 4.0], [x, bottom + 4.0], class);
        canvas.mind(&[[x, top - 4.0], [x, bottom + 4.0]]);
        for lane in &lanes {
            canvas.circle([x, self.lane(*lane)], 3.0, "dot");
        }
        Some(bottom)
    }

    /// The name of a node, where its bar is free.
    fn name_bar(&self, canvas: &mut Canvas<'_>, node: usize, bottom: f64) {
        let x = self.layout.nodes[node];
        let meets = self.ways().filter(|(_, way, _)| way.from == node || way.to == node);
        let first = meets.map(|(_, _, placed)| placed.lane).min();
        let top = self.lane(first.unwrap_or(0));
        if let Some(name) = &self.circuit.nodes[node].name {
            let places = [
                at(x, top - 24.0, Anchor::Middle, 10.0),
                at(x, bottom + 20.0, Anchor::Middle, 10.0),
                at(x + 4.0, top - 24.0, Anchor::Start, 10.0),
                at(x - 4.0, top - 24.0, Anchor::End, 10.0),
            ];
            canvas.label(&places, "name", &words(name));
        }
    }

    /// The beginning of a way: which way it flows, how much, and its name where there are several.
    fn start(&self, canvas: &mut Canvas<'_>, way: &WayDrawn, placed: &super::layout::Placed) {
        let y = self.lane(placed.lane);
        let sign = if placed.x[1] >= placed.x[0] { 1.0 } else { -1.0 };
        let tip = placed.x[0] + sign * 24.0;
        if way.flow_m3_s > 0.0 {
            let (back, up) = (n(tip - sign * 8.0), n(y - 4.0));
            canvas.path(&format!("M{back} {up}L{} {}L{back} {}z", n(tip), n(y), n(y + 4.0)), "dot");
        }
        let anchor = if sign > 0.0 { Anchor::Start } else { Anchor::End };
        let x = placed.x[0] + sign * 9.0;
        let flow = canvas.pen.value(&Value::of(Kind::VolumeFlow, way.flow_m3_s));
        canvas.label(&[at(x, y - 9.0, anchor, 11.0)], "value", &flow);
        if self.circuit.ways.len() > 1 && !way.name.is_empty() {
            canvas.label(&[at(x, y + 17.0, anchor, 10.0)], "name", &words(&way.name));
        }
    }

    /// A part with its name, and what is touched to ask for it.
    fn part(
        &self,
        canvas: &mut Canvas<'_>,
        part: &PartDrawn,
        ([x, y], sign): ([f64; 2], f64),
        (way, p): (usize, usize),
    ) {
        let linked = canvas.pen.linked;
        if linked {
            let tag = html! { (part.word) " " (part.address) }.into_string();
            let of = self.circuit.number;
            canvas.open(&format!(
                "<a class=\"part\" href=\"#{}\" aria-label=\"{tag}: its numbers\">",
                anchor(of, way, p)
            ));
            canvas.rect([x - TOUCH, y - TOUCH, x + TOUCH, y + TOUCH], "touch");
        }
        symbol(canvas, part.symbol, [x, y], sign);
        if linked {
            canvas.close("</a>");
        }
        let up = match part.symbol {
            Symbol::Core => HALF + 9.0,
            Symbol::Hose => 5.0,
            Symbol::Thermostat => HALF + 8.0,
            _ => HALF,
        };
        canvas.keep([x - HALF, y - up, x + HALF, y + HALF]);
        canvas.label(&[at(x, y + 26.0, Anchor::Middle, 11.0)], "name", &words(&part.name));
    }

    /// Temperatures where they change, and at the beginning of the whole way.
    fn temperatures(
        &self,
        canvas: &mut Canvas<'_>,
        way: &WayDrawn,
        placed: &super::layout::Placed,
    ) {
        let y = self.lane(placed.lane);
        for (p, part, slot) in Self::parts(way, placed) {
            let [inlet, outlet] = part.ends.map(|end| end.coolant_k);
            if p == 0 && way.from == self.circuit.start && inlet.is_finite() {
                let told = canvas.pen.value(&Value::of(Kind::Temperature, outlet));
                let x = slot[1] + (slot[1] - slot[0]).signum() * 4.0;
                canvas.label(&[at(x, y - 9.0, Anchor::Middle, 11.0)], "num", &told);
            } else if (outlet - inlet).abs() >= LEAST_RISE_K {
                let told = canvas.pen.value(&Value::of(Kind::Temperature, outlet));
                let x = slot[1] + (slot[1] - slot[0]).signum() * 4.0;
                let places = [
                    at(x, y - 9.0, Anchor::Middle, 11.0),
                    at(x, y - 9.0, Anchor::Middle, 10.0),
                    at(x, y - 22.0, Anchor::Middle, 10.0),
                ];
                canvas.label(&places, "num", &told);
            }
        }
    }
}
