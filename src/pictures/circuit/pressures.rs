//! The pressure along the way: total and static, against the vapour pressure of the coolant; and heights.

use coolwright_cases::quantity::Kind;

use super::super::canvas::{Anchor, At, Canvas, at, width_of};
use super::super::pen::words;
use super::super::scale::{Scale, left_axis};
use super::layout::Placed;
use super::{FEW, HEIGHTS, LEFT, PRESSURE, Sheet};
use crate::answer::Value;
use crate::answer::drawing::{Station, WayDrawn};

/// A part that changes the pressure by more than this share of the whole range has its number.
const WORTH: f64 = 0.06;

impl Sheet<'_> {
    /// The lines of pressure.
    pub(super) fn pressures(&self, canvas: &mut Canvas<'_>) {
        let scale = self.pressure_scale();
        let right = self.layout.right;
        left_axis(canvas, &scale, Kind::GaugePressure, [LEFT, right]);
        let (place, told) = self.boiling(canvas, &scale);
        if (scale.si[0]..scale.si[1]).contains(&0.0) {
            canvas.line([LEFT, scale.at(0.0)], [right, scale.at(0.0)], "axis");
            canvas.mind(&[[LEFT, scale.at(0.0)], [right, scale.at(0.0)]]);
        }
        for x in &self.layout.nodes {
            canvas.line([*x, PRESSURE[0]], [*x, self.top], "guide");
        }
        for (_, way, placed) in self.ways() {
            let vapour = Self::along(way, placed, &|s: &Station| self.vapour(s), None);
            line(canvas, &scaled(&vapour, &scale), "line dashed");
        }
        for (_, way, placed) in self.ways() {
            let still = Self::along(way, placed, &|s: &Station| s.static_pa, None);
            line(canvas, &scaled(&still, &scale), "line thin");
            let total = Self::along(way, placed, &|s: &Station| s.total_pa, Some(way.ends_pa));
            line(canvas, &scaled(&total, &scale), "line");
        }
        canvas.label(&[place], "unit", &words(told));
        self.lowest(canvas, &scale);
        self.name_lines(canvas, &scale);
        self.changes(canvas, &scale);
        self.name_ways(canvas, &scale);
    }

    /// Vapour pressure as a gauge would show it.
    fn vapour(&self, station: &Station) -> f64 {
        station.vapour_pa - self.circuit.ambient_pa
    }

    fn pressure_scale(&self) -> Scale {
        let parts = self.circuit.ways.iter().flat_map(|way| &way.parts);
        let stations = parts.flat_map(|part| part.ends);
        let numbers = stations.flat_map(|s| [s.total_pa, s.static_pa, self.vapour(&s)]);
        let ends = self.circuit.ways.iter().flat_map(|way| way.ends_pa);
        let px = [PRESSURE[1], PRESSURE[0]];
        let mut scale = Scale::around(numbers.chain(ends).chain([0.0]), 0.05, px);
        // Room for what is written below the vapour pressure.
        scale.si[0] -= 0.08 * (scale.si[1] - scale.si[0]);
        scale
    }

    /// A quantity along a way: at the ends of its parts, and at its own where that is known.
    fn along(
        way: &WayDrawn,
        placed: &Placed,
        of: &dyn Fn(&Station) -> f64,
        ends: Option<[f64; 2]>,
    ) -> Vec<[f64; 2]> {
        let mut points = Vec::new();
        points.extend(ends.map(|ends| [placed.x[0], ends[0]]));
        for (_, part, slot) in Self::parts(way, placed) {
            // The law of a part acts where its symbol stands.
            let middle = f64::midpoint(slot[0], slot[1]);
            let half = (slot[1] - slot[0]) * 0.32;
            points.push([middle - half, of(&part.ends[0])]);
            points.push([middle + half, of(&part.ends[1])]);
        }
        let last = points.last().map(|point: &[f64; 2]| point[1]);
        let first = points.first().map(|point| point[1]);
        match ends {
            Some(ends) => points.push([placed.x[1], ends[1]]),
            // What is known at parts only is taken on to where the way begins and ends.
            None => {
                if let (Some(first), Some(last)) = (first, last) {
                    points.insert(0, [placed.x[0], first]);
                    points.push([placed.x[1], last]);
                }
            }
        }
        points
    }

    /// What lies below the vapour pressure of the way that carries most: there coolant boils. Gives what is to be said of
    /// it, and where.
    fn boiling(&self, canvas: &mut Canvas<'_>, scale: &Scale) -> (At, &'static str) {
        let lowest = at(LEFT + 8.0, PRESSURE[1] - 6.0, Anchor::Start, 10.0);
        let mut points = Vec::new();
        if !self.circuit.vapour_told {
            return (lowest, "its vapour pressure is not told, so nothing is known of its boiling");
        }
        for (_, way, placed) in self.ways().filter(|(_, _, placed)| placed.lane == 0) {
            points.extend(Self::along(way, placed, &|s: &Station| self.vapour(s), None));
        }
        points.retain(|point| point[1].is_finite());
        points.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) else {
            return (lowest, "not steady with this heat kept up: no vapour pressure to show");
        };
        let floor = scale.si[0];
        let mut area = vec![[LEFT, floor], [LEFT, first[1]]];
        area.extend(&points);
        area.extend([[self.layout.right, last[1]], [self.layout.right, floor]]);
        canvas.polyline(&scaled(&area, scale), "boils");
        let y = scale.at(first[1].max(last[1])).min(PRESSURE[1] - 3.0);
        let below = f64::midpoint(y, PRESSURE[1]) + 4.0;
        // Where the line is low, its words stand at the foot.
        let below = below.max(y + 12.0).min(PRESSURE[1] - 3.0);
        (at(LEFT + 8.0, below, Anchor::Start, 10.0), "below its vapour pressure: boils")
    }

    /// Marks the place with the least room over the vapour pressure.
    fn lowest(&self, canvas: &mut Canvas<'_>, scale: &Scale) {
        let mut least: Option<(f64, [f64; 2])> = None;
        for (_, way, placed) in self.ways() {
            let still = Self::along(way, placed, &|s: &Station| s.static_pa, None);
            let vapour = Self::along(way, placed, &|s: &Station| self.vapour(s), None);
            for (point, below) in still.iter().zip(&vapour) {
                let room = point[1] - below[1];
                if room.is_finite() && least.is_none_or(|(known, _)| room < known) {
                    least = Some((room, *point));
                }
            }
        }
        let Some((room, [x, pa])) = least else { return };
        let y = scale.at(pa);
        canvas.circle([x, y], 4.0, "mark");
        let told = canvas.pen.told(|style| {
            let room = style.value(&Value::of(Kind::PressureDifference, room));
            format!("least room over boiling {room}")
        });
        let places = [
            at(x + 8.0, y + 15.0, Anchor::Start, 11.0),
            at(x - 8.0, y + 15.0, Anchor::End, 11.0),
            at(x + 8.0, y + 29.0, Anchor::Start, 11.0),
            at(x - 8.0, y + 29.0, Anchor::End, 11.0),
            at(x + 8.0, y - 10.0, Anchor::Start, 11.0),
            at(x - 8.0, y - 10.0, Anchor::End, 11.0),
            at(x + 8.0, y + 43.0, Anchor::Start, 11.0),
            at(x - 8.0, y + 43.0, Anchor::End, 11.0),
        ];
        canvas.label(&places, "value", &told);
    }

    /// Names the lines where they end.
    fn name_lines(&self, canvas: &mut Canvas<'_>, scale: &Scale) {
        let last = self.ways().filter(|(_, way, _)| !way.parts.is_empty()).max_by(|a, b| {
            let ends = |placed: &Placed| placed.x[1].max(placed.x[0]);
            ends(a.2).total_cmp(&ends(b.2))
        });
        let Some((_, way, _)) = last else { return };
        let x = self.layout.right + 6.0;
        let mut name = |value: f64, name: &str| {
            if !value.is_finite() {
                return;
            }
            let y = scale.at(value) + 4.0;
            let places: Vec<_> =
                [0.0, 12.0, -12.0, 24.0, -24.0].map(|dy| at(x, y + dy, Anchor::Start, 10.0)).into();
            canvas.label(&places, "name", &words(name));
        };
        let end = way.parts.last().map(|part| part.ends[1]);
        name(way.ends_pa[1], "total");
        name(end.map_or(f64::NAN, |end| end.static_pa), "static");
        name(end.map_or(f64::NAN, |end| self.vapour(&end)), "vapour");
    }

    /// Names the lines of ways that lie over each other, where they are few enough to be told apart.
    fn name_ways(&self, canvas: &mut Canvas<'_>, scale: &Scale) {
        let over = |a: &Placed, b: &Placed| {
            let ends = |of: &Placed| [of.x[0].min(of.x[1]), of.x[0].max(of.x[1])];
            let ([a, b], [c, d]) = (ends(a), ends(b));
            b.min(d) - a.max(c) > 1.0
        };
        for (k, way, placed) in self.ways().filter(|(_, way, _)| !way.parts.is_empty()) {
            let others = self.ways().filter(|(j, _, other)| *j != k && over(placed, other));
            if !(1..FEW).contains(&others.count()) || way.name.is_empty() {
                continue;
            }
            let total = Self::along(way, placed, &|s: &Station| s.total_pa, Some(way.ends_pa));
            let total = scaled(&total, scale);
            let mut places = Vec::new();
            for ends in total.windows(2).filter(|ends| ends.iter().flatten().all(|x| x.is_finite()))
            {
                let [x, y] = [0, 1].map(|k| f64::midpoint(ends[0][k], ends[1][k]));
                for dy in [-5.0, 13.0, -17.0, 25.0] {
                    places.push(at(x, y + dy, Anchor::Middle, 10.0));
                }
            }
            canvas.label(&places, "num", &words(&way.name));
        }
    }

    /// What pumps lift and parts lose, where it is much.
    fn changes(&self, canvas: &mut Canvas<'_>, scale: &Scale) {
        let span = scale.si[1] - scale.si[0];
        for (_, way, placed) in self.ways() {
            for (_, part, slot) in Self::parts(way, placed) {
                let [inlet, outlet] = part.ends.map(|end| end.total_pa);
                let change = outlet - inlet;
                if !change.is_finite() || change.abs() < WORTH * span {
                    continue;
                }
                let sign = if change > 0.0 { "+" } else { "\u{2212}" };
                let told = canvas.pen.told(|style| {
                    let size = Value::of(Kind::PressureDifference, change.abs());
                    format!("{sign}{}", style.value(&size))
                });
                let x = f64::midpoint(slot[0], slot[1]);
                let (high, low) = (scale.at(inlet.max(outlet)), scale.at(inlet.min(outlet)));
                let half = width_of(&told, 10.0) / 2.0;
                let side = if change > 0.0 { -1.0 } else { 1.0 };
                let places = [
                    at(
                        x + side * (half + 8.0),
                        f64::midpoint(high, low) + 3.0,
                        Anchor::Middle,
                        10.0,
                    ),
                    at(x, high - 6.0, Anchor::Middle, 10.0),
                    at(x, low + 14.0, Anchor::Middle, 10.0),
                    at(x, high - 18.0, Anchor::Middle, 10.0),
                    at(x, low + 26.0, Anchor::Middle, 10.0),
                    at(x - half, high - 12.0, Anchor::End, 10.0),
                    at(x + half, high - 12.0, Anchor::Start, 10.0),
                    at(x - half, low + 18.0, Anchor::End, 10.0),
                    at(x + half, low + 18.0, Anchor::Start, 10.0),
                ];
                canvas.label(&places, "num", &told);
            }
        }
    }

    /// How high everything stands.
    pub(super) fn heights(&self, canvas: &mut Canvas<'_>) {
        let parts = self.circuit.ways.iter().flat_map(|way| &way.parts);
        let numbers = parts.flat_map(|part| part.ends).map(|end| end.height_m);
        let scale = Scale::around(numbers, 0.05, [HEIGHTS[1], HEIGHTS[0]]);
        canvas.keep([0.0, HEIGHTS[0] - 14.0, LEFT, HEIGHTS[1] + 8.0]);
        let mut ends = [(f64::INFINITY, 0.0), (f64::NEG_INFINITY, 0.0)];
        for (_, way, placed) in self.ways() {
            let points = Self::along(way, placed, &|s: &Station| s.height_m, None);
            for [x, height] in points.iter().filter(|point| point[1].is_finite()) {
                if *height < ends[0].0 {
                    ends[0] = (*height, *x);
                }
                if *height > ends[1].0 {
                    ends[1] = (*height, *x);
                }
            }
            canvas.polyline(&scaled(&points, &scale), "line thin");
        }
        for (height, x) in ends.into_iter().filter(|(height, _)| height.is_finite()) {
            let told = canvas.pen.value(&Value::of(Kind::Distance, (height * 1e4).round() / 1e4));
            let y = scale.at(height);
            let places = [
                at(x, y - 5.0, Anchor::Start, 10.0),
                at(x, y + 12.0, Anchor::Start, 10.0),
                at(x, y - 5.0, Anchor::End, 10.0),
            ];
            canvas.label(&places, "num", &told);
        }
        let place = at(self.layout.right + 6.0, HEIGHTS[1] - 12.0, Anchor::Start, 10.0);
        canvas.label(&[place], "name", &words("height"));
    }
}

/// A line that texts keep off.
fn line(canvas: &mut Canvas<'_>, points: &[[f64; 2]], class: &str) {
    canvas.polyline(points, class);
    canvas.mind(points);
}

fn scaled(points: &[[f64; 2]], scale: &Scale) -> Vec<[f64; 2]> {
    let place = |[x, si]: &[f64; 2]| [*x, if si.is_finite() { scale.at(*si) } else { f64::NAN }];
    points.iter().map(place).collect()
}
