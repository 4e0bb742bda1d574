//! What stands for parts: the symbols of ISO 14617 and ISO 10628, in one ink.

use super::super::canvas::{Canvas, n};
use crate::answer::drawing::Symbol;

/// Half the height of a symbol.
pub(super) const HALF: f64 = 11.0;

/// Draws what stands for a part about a point of its line; `sign` is 1 where the flow goes to the right.
pub(super) fn symbol(canvas: &mut Canvas<'_>, symbol: Symbol, [x, y]: [f64; 2], sign: f64) {
    let h = HALF;
    let d = |dx: f64, dy: f64| format!("{} {}", n(x + sign * dx), n(y + dy));
    match symbol {
        Symbol::Hose => {
            // A pipe that bends is nothing but its line; the strokes say where it begins and ends.
            canvas.line([x - 9.0, y - 4.0], [x - 9.0, y + 4.0], "pipe thin");
            canvas.line([x + 9.0, y - 4.0], [x + 9.0, y + 4.0], "pipe thin");
        }
        Symbol::Pump => {
            canvas.circle([x, y], h, "sign");
            canvas.path(
                &format!("M{}L{}L{}", d(1.5, -h + 0.5), d(h, 0.0), d(1.5, h - 0.5)),
                "sign none",
            );
        }
        Symbol::Source => {
            canvas.circle([x, y], h, "sign");
            // The zigzag of an exchanger.
            let zigzag =
                [d(-h, 0.0), d(-4.0, 0.0), d(-1.5, -6.0), d(2.0, 6.0), d(4.5, 0.0), d(h, 0.0)];
            canvas.path(&format!("M{}", zigzag.join("L")), "sign none");
        }
        Symbol::Core => {
            canvas.rect([x - h, y - h, x + h, y + h], "sign");
            let zigzag =
                [d(-h, 0.0), d(-6.0, 0.0), d(-3.0, -6.0), d(3.0, 6.0), d(6.0, 0.0), d(h, 0.0)];
            canvas.path(&format!("M{}", zigzag.join("L")), "sign none");
            // Air crosses it.
            canvas.path(
                &format!(
                    "M{}L{}M{}L{}L{}",
                    d(0.0, h + 7.0),
                    d(0.0, h + 1.0),
                    d(-2.5, -h - 4.0),
                    d(0.0, -h - 8.0),
                    d(2.5, -h - 4.0)
                ),
                "sign none",
            );
        }
        Symbol::Vessel => {
            let (w, r) = (9.0, 5.0);
            canvas.path(
                &format!(
                    "M{} {}V{}a{w} {r} 0 0 0 {} 0V{}a{w} {r} 0 0 0 {} 0z",
                    n(x - w),
                    n(y - h + 3.0),
                    n(y + h - 3.0),
                    n(2.0 * w),
                    n(y - h + 3.0),
                    n(-2.0 * w)
                ),
                "sign",
            );
        }
        Symbol::Valve | Symbol::Thermostat => {
            let bow = [d(-h, -7.0), d(h, 7.0), d(h, -7.0), d(-h, 7.0)];
            canvas.path(&format!("M{}z", bow.join("L")), "sign");
            if symbol == Symbol::Thermostat {
                canvas.line([x, y], [x, y - 12.0], "sign");
                canvas.circle([x, y - 15.0], 4.0, "sign");
            }
        }
        Symbol::CheckValve => {
            canvas.path(&format!("M{}L{}L{}z", d(-7.0, -7.0), d(7.0, 0.0), d(-7.0, 7.0)), "sign");
            canvas.path(&format!("M{}L{}", d(7.0, -7.0), d(7.0, 7.0)), "sign");
        }
        Symbol::Reducer => {
            let cone = [d(-h, -8.0), d(h, -4.0), d(h, 4.0), d(-h, 8.0)];
            canvas.path(&format!("M{}z", cone.join("L")), "sign");
        }
        Symbol::Meter => {
            canvas.circle([x, y], h, "sign");
            canvas.line([x - 5.0, y + 5.0], [x + 5.0, y - 5.0], "sign");
        }
        Symbol::Other => canvas.rect([x - h, y - 8.0, x + h, y + 8.0], "sign"),
    }
}
