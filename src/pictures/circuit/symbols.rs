//! What stands for parts: the symbols of ISO 14617 and ISO 10628, in one ink.

use super::super::canvas::{Canvas, n};
use crate::answer::drawing::Symbol;

/// Half the height of a symbol.
pub(super) const HALF: f64 = 11.0;

/// A point of a line, and 1 where the flow goes to the right, −1 where it goes to the left.
#[derive(Clone, Copy)]
struct Spot {
    x: f64,
    y: f64,
    sign: f64,
}

impl Spot {
    /// A point so far along the flow and below the line.
    fn to(self, dx: f64, dy: f64) -> String {
        format!("{} {}", n(self.x + self.sign * dx), n(self.y + dy))
    }

    /// A path through points.
    fn through(self, points: &[[f64; 2]]) -> String {
        let points: Vec<String> = points.iter().map(|[dx, dy]| self.to(*dx, *dy)).collect();
        format!("M{}", points.join("L"))
    }
}

/// Draws what stands for a part about a point of its line; `sign` is 1 where the flow goes to the right.
pub(super) fn symbol(canvas: &mut Canvas<'_>, symbol: Symbol, [x, y]: [f64; 2], sign: f64) {
    let (h, spot) = (HALF, Spot { x, y, sign });
    match symbol {
        Symbol::Hose => {
            // A pipe that bends is nothing but its line; the strokes say where it begins and ends.
            for end in [-9.0, 9.0] {
                canvas.line([x + end, y - 4.0], [x + end, y + 4.0], "pipe thin");
            }
        }
        Symbol::Pump => {
            canvas.circle([x, y], h, "sign");
            let tip = spot.through(&[[1.5, 0.5 - h], [h, 0.0], [1.5, h - 0.5]]);
            canvas.path(&tip, "sign none");
        }
        Symbol::Source | Symbol::Core => exchanger(canvas, symbol, spot),
        Symbol::Vessel => vessel(canvas, spot),
        Symbol::Valve | Symbol::Thermostat | Symbol::CheckValve => valve(canvas, symbol, spot),
        Symbol::Reducer => {
            let cone = spot.through(&[[-h, -8.0], [h, -4.0], [h, 4.0], [-h, 8.0]]);
            canvas.path(&format!("{cone}z"), "sign");
        }
        Symbol::Meter => {
            canvas.circle([x, y], h, "sign");
            canvas.line([x - 5.0, y + 5.0], [x + 5.0, y - 5.0], "sign");
        }
        Symbol::Other => canvas.rect([x - h, y - 8.0, x + h, y + 8.0], "sign"),
    }
}

/// The zigzag of an exchanger; a core is crossed by air.
fn exchanger(canvas: &mut Canvas<'_>, symbol: Symbol, spot: Spot) {
    let (h, Spot { x, y, .. }) = (HALF, spot);
    if symbol == Symbol::Core {
        canvas.rect([x - h, y - h, x + h, y + h], "sign");
        canvas.path(&spot.through(&[[0.0, h + 7.0], [0.0, h + 1.0]]), "sign none");
        let air = [[-2.5, -h - 4.0], [0.0, -h - 8.0], [2.5, -h - 4.0]];
        canvas.path(&spot.through(&air), "sign none");
    } else {
        canvas.circle([x, y], h, "sign");
    }
    let zigzag = [[-h, 0.0], [-5.0, 0.0], [-2.0, -6.0], [2.0, 6.0], [5.0, 0.0], [h, 0.0]];
    canvas.path(&spot.through(&zigzag), "sign none");
}

fn vessel(canvas: &mut Canvas<'_>, Spot { x, y, .. }: Spot) {
    let (half, bulge) = (9.0, 5.0);
    let [top, bottom] = [n(y - HALF + 3.0), n(y + HALF - 3.0)];
    let (left, across) = (n(x - half), n(2.0 * half));
    let arc = format!("a{half} {bulge} 0 0 0");
    let d = format!("M{left} {top}V{bottom}{arc} {across} 0V{top}{arc} -{across} 0z");
    canvas.path(&d, "sign");
}

/// A bow-tie; with a bulb where the temperature opens it; half of one where it opens one way.
fn valve(canvas: &mut Canvas<'_>, symbol: Symbol, spot: Spot) {
    let (h, Spot { x, y, .. }) = (HALF, spot);
    if symbol == Symbol::CheckValve {
        let half = spot.through(&[[-7.0, -7.0], [7.0, 0.0], [-7.0, 7.0]]);
        canvas.path(&format!("{half}z"), "sign");
        canvas.path(&spot.through(&[[7.0, -7.0], [7.0, 7.0]]), "sign");
        return;
    }
    let bow = spot.through(&[[-h, -7.0], [h, 7.0], [h, -7.0], [-h, 7.0]]);
    canvas.path(&format!("{bow}z"), "sign");
    if symbol == Symbol::Thermostat {
        canvas.line([x, y], [x, y - 12.0], "sign");
        canvas.circle([x, y - 15.0], 4.0, "sign");
    }
}
