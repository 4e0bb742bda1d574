//! A circuit unrolled along its way, under its own pressure line: drawing and numbers are one picture.

mod ladder;
mod layout;
mod pressures;
mod symbols;

use super::canvas::{Canvas, Picture};
use super::pen::Pen;
use crate::answer::drawing::{CircuitDrawn, PartDrawn, WayDrawn};
use crate::say;
use layout::{Layout, layout};

/// Left of the plot, where its numbers stand.
const LEFT: f64 = 64.0;
/// Right of the way.
const RIGHT: f64 = 66.0;
/// From where to where the pressure line goes.
const PRESSURE: [f64; 2] = [30.0, 214.0];
/// From where to where heights go, below it.
const HEIGHTS: [f64; 2] = [242.0, 280.0];
/// Height of a lane, and where there are more than a few.
const LANE: [f64; 2] = [66.0, 54.0];
/// So many lanes are a few.
const FEW: usize = 4;

/// A circuit while it is drawn.
struct Sheet<'a> {
    circuit: &'a CircuitDrawn,
    layout: Layout,
    /// Where the first lane lies.
    top: f64,
    /// From lane to lane.
    step: f64,
}

/// A circuit under its pressure line.
pub fn picture(pen: &Pen, circuit: &CircuitDrawn) -> Picture {
    let layout = layout(circuit, LEFT);
    let heights = has_heights(circuit);
    let top = if heights { HEIGHTS[1] + 58.0 } else { PRESSURE[1] + 62.0 };
    let step = if layout.lanes > FEW { LANE[1] } else { LANE[0] };
    let height = top + step * layout.lanes as f64 - 12.0;
    let mut canvas = Canvas::new(pen, layout.right + RIGHT, height);
    let sheet = Sheet { circuit, layout, top, step };
    sheet.pressures(&mut canvas);
    if heights {
        sheet.heights(&mut canvas);
    }
    sheet.ladder(&mut canvas);
    let name = &circuit.name;
    let title = match &circuit.moment {
        None => say!("Circuit `{circuit}` along its way, under its pressure", circuit = name),
        Some(moment) => say!(
            "Circuit `{circuit}` along its way, under its pressure; it never comes to rest, so it is drawn {moment}",
            circuit = name,
            moment = moment.clone()
        ),
    };
    canvas.done(format!("circuit/{}", circuit.name), pen.sentence(&title))
}

/// The name by which a page tells of a part: circuit, way, part.
pub fn anchor(circuit: usize, way: usize, part: usize) -> String {
    format!("part-{circuit}-{way}-{part}")
}

/// Whether anything stands higher than anything else.
fn has_heights(circuit: &CircuitDrawn) -> bool {
    let parts = circuit.ways.iter().flat_map(|way| &way.parts);
    parts.flat_map(|part| part.ends).any(|end| end.height_m.abs() > 0.005)
}

impl Sheet<'_> {
    /// y of a lane.
    fn lane(&self, lane: usize) -> f64 {
        self.top + self.step * lane as f64
    }

    /// Every way with its place.
    fn ways(&self) -> impl Iterator<Item = (usize, &WayDrawn, &layout::Placed)> {
        let ways = self.circuit.ways.iter().zip(&self.layout.ways).enumerate();
        ways.map(|(k, (way, placed))| (k, way, placed))
    }

    /// The parts of a way with their slots.
    fn parts<'a>(
        way: &'a WayDrawn,
        placed: &'a layout::Placed,
    ) -> impl Iterator<Item = (usize, &'a PartDrawn, [f64; 2])> {
        let parts = way.parts.iter().zip(&placed.slots).enumerate();
        parts.map(|(k, (part, slot))| (k, part, *slot))
    }
}
