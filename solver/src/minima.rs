//! The least value of a function of one unknown between two points.
//!
//! Brent's method (R. P. Brent, Algorithms for Minimization without Derivatives, 1973, ch. 5): the
//! vertex of the parabola through the three best points where that converges, a golden section where
//! it does not.

/// Share of the larger part that a golden section cuts off: (3 − √5) / 2.
const GOLDEN: f64 = 0.381_966_011_250_105_1;
/// Most function values one search asks for; golden sections alone need some 50 to a billionth.
const MOST: usize = 100;

/// Where `f` is least between `lower` and `upper`, to within `tolerance` (absolute, not below a
/// hundred-millionth of the point: a parabola says no more in double precision), and its value
/// there. Of several lows one is found. `None` where `f` gives nothing.
pub fn least(
    mut f: impl FnMut(f64) -> Option<f64>,
    lower: f64,
    upper: f64,
    tolerance: f64,
) -> Option<(f64, f64)> {
    let (mut a, mut b) = (lower, upper);
    let first = a + GOLDEN * (b - a);
    let value = f(first)?;
    // The best point, the second best, and the second best before.
    let [mut x, mut w, mut v] = [(first, value); 3];
    let (mut step, mut last) = (0.0_f64, 0.0_f64);
    for _ in 1..MOST {
        let middle = 0.5 * (a + b);
        let near = 1e-8 * x.0.abs() + tolerance / 3.0;
        if (x.0 - middle).abs() <= 2.0 * near - 0.5 * (b - a) {
            break;
        }
        let vertex = if last.abs() > near { vertex(x, w, v) } else { None };
        let inside = |to: f64| to > a && to < b;
        (step, last) = match vertex {
            Some(by) if by.abs() < 0.5 * last.abs() && inside(x.0 + by) => {
                let close = x.0 + by - a < 2.0 * near || b - x.0 - by < 2.0 * near;
                (if close { near.copysign(middle - x.0) } else { by }, step)
            }
            _ => {
                let part = if x.0 >= middle { a - x.0 } else { b - x.0 };
                (GOLDEN * part, part)
            }
        };
        let at = x.0 + if step.abs() >= near { step } else { near.copysign(step) };
        let u = (at, f(at)?);
        if u.1 <= x.1 {
            *(if u.0 >= x.0 { &mut a } else { &mut b }) = x.0;
            (v, w, x) = (w, x, u);
        } else {
            *(if u.0 < x.0 { &mut a } else { &mut b }) = u.0;
            let same = |one: (f64, f64), other: (f64, f64)| one.0.total_cmp(&other.0).is_eq();
            if u.1 <= w.1 || same(w, x) {
                (v, w) = (w, u);
            } else if u.1 <= v.1 || same(v, x) || same(v, w) {
                v = u;
            }
        }
    }
    Some(x)
}

/// The way from x to the vertex of the parabola through three points; `None` where they have none.
fn vertex(x: (f64, f64), w: (f64, f64), v: (f64, f64)) -> Option<f64> {
    let r = (x.0 - w.0) * (x.1 - v.1);
    let q = (x.0 - v.0) * (x.1 - w.1);
    let by = ((x.0 - w.0) * r - (x.0 - v.0) * q) / (2.0 * (q - r));
    by.is_finite().then_some(by)
}
