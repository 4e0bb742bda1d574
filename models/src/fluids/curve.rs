//! A smooth curve through points.

use coolwright_solver::scalar::Scalar;

use crate::laws::monotone::slope_between;

/// A continuously differentiable curve through points: cubic between neighbours and straight beyond both
/// ends. Points at even spacing have the slope that their two neighbours give; others bring their own.
#[derive(Clone, Debug)]
pub(super) struct Curve {
    start: f64,
    /// Spacing of the points; one where it is uneven, so that pieces are counted in x itself.
    step: f64,
    /// One over the step.
    per_step: f64,
    /// Where the points are, where their spacing is uneven.
    nodes: Vec<f64>,
    /// The straight piece before the start, the pieces between the points, the straight one beyond the end.
    pieces: Vec<Piece>,
    /// Integrals from the start of each piece, per step: of c0 u + c1 u²/2 + c2 u³/3 + c3 u⁴/4 the
    /// coefficients behind u. Before the start they begin at the start.
    integrals: Vec<Piece>,
    /// Integral from the start to the beginning of each piece, per step.
    areas: Vec<f64>,
}

/// c0 + c1 u + c2 u² + c3 u³ for u from 0 to 1.
#[derive(Clone, Copy, Debug)]
struct Piece([f64; 4]);

impl Piece {
    fn value(self, u: f64) -> f64 {
        let [a, b, c, d] = self.0;
        a + u * (b + u * (c + u * d))
    }

    fn slope(self, u: f64) -> f64 {
        let [_, b, c, d] = self.0;
        b + u * (c * 2.0 + u * d * 3.0)
    }

    /// The piece that times u is the integral from 0 to u.
    fn integral(self) -> Self {
        let [a, b, c, d] = self.0;
        Self([a, b / 2.0, c / 3.0, d / 4.0])
    }
}

impl Curve {
    /// The curve through `values` at `start`, `start + step` and so on; three or more of them.
    pub(super) fn new(start: f64, step: f64, values: &[f64]) -> Self {
        let last = values.len() - 1;
        let slope = |i: usize| {
            if i == 0 {
                (values[1] * 4.0 - values[0] * 3.0 - values[2]) * 0.5
            } else if i == last {
                (values[last] * 3.0 - values[last - 1] * 4.0 + values[last - 2]) * 0.5
            } else {
                (values[i + 1] - values[i - 1]) * 0.5
            }
        };
        let straight = |i: usize| Piece([values[i], slope(i), 0.0, 0.0]);
        let between = |i: usize| {
            let (a, b, ra, rb) = (values[i], values[i + 1], slope(i), slope(i + 1));
            Piece([a, ra, (b - a) * 3.0 - ra * 2.0 - rb, (a - b) * 2.0 + ra + rb])
        };
        let pieces: Vec<Piece> = std::iter::once(straight(0))
            .chain((0..last).map(between))
            .chain([straight(last)])
            .collect();
        Self::of_pieces((start, step), Vec::new(), pieces)
    }

    /// The curve through `points`, x rising, with a given slope at each; two or more of them.
    pub(super) fn uneven(points: &[[f64; 2]], slopes: &[f64]) -> Self {
        let last = points.len() - 1;
        let straight = |i: usize| Piece([points[i][1], slopes[i], 0.0, 0.0]);
        let between = |i: usize| {
            let ([x, a], [x_end, b]) = (points[i], points[i + 1]);
            let width = x_end - x;
            let (ra, rb) = (slopes[i] * width, slopes[i + 1] * width);
            let (square, cube) = ((b - a) * 3.0 - ra * 2.0 - rb, (a - b) * 2.0 + ra + rb);
            Piece([a, slopes[i], square / (width * width), cube / (width * width * width)])
        };
        let pieces: Vec<Piece> = std::iter::once(straight(0))
            .chain((0..last).map(between))
            .chain([straight(last)])
            .collect();
        let nodes = points.iter().map(|point| point[0]).collect();
        Self::of_pieces((points[0][0], 1.0), nodes, pieces)
    }

    fn of_pieces((start, step): (f64, f64), nodes: Vec<f64>, pieces: Vec<Piece>) -> Self {
        let integrals: Vec<Piece> = pieces.iter().map(|piece| piece.integral()).collect();
        let mut areas = vec![0.0, 0.0];
        for (i, integral) in integrals[1..pieces.len() - 1].iter().enumerate() {
            let width = nodes.get(i + 1).map_or(1.0, |end| end - nodes[i]);
            areas.push(areas[areas.len() - 1] + width * integral.value(width));
        }
        Self { start, step, per_step: 1.0 / step, nodes, pieces, integrals, areas }
    }

    /// The value at `x`.
    #[inline]
    pub(super) fn at<S: Scalar>(&self, x: S) -> S {
        let (value, slope) = self.at_plain(x.value());
        x.chain(value, slope)
    }

    /// The value and the slope at `x`.
    #[inline]
    pub(super) fn at_plain(&self, x: f64) -> (f64, f64) {
        let (index, u) = self.place(x);
        let piece = self.pieces[index];
        (piece.value(u), piece.slope(u) * self.per_step)
    }

    /// The integral from the first point to `x`. Its derivative is [`Curve::at`].
    #[inline]
    pub(super) fn integral<S: Scalar>(&self, x: S) -> S {
        let [integral, value] = self.integral_and_value(x.value());
        x.chain(integral, value)
    }

    /// The integral from the first point to `x`, and the value there.
    #[inline]
    pub(super) fn integral_and_value(&self, x: f64) -> [f64; 2] {
        let (index, u) = self.place(x);
        let area = self.areas[index] + u * self.integrals[index].value(u);
        [area * self.step, self.pieces[index].value(u)]
    }

    /// The piece for `x` and the position in it.
    #[inline]
    fn place(&self, x: f64) -> (usize, f64) {
        if !self.nodes.is_empty() {
            let index = self.nodes.partition_point(|node| *node <= x);
            return (index, x - self.nodes[index.saturating_sub(1)]);
        }
        let u = (x - self.start) * self.per_step;
        // A cast of a negative number or of NaN gives 0: the straight piece before the start.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let index = ((u + 1.0) as usize).min(self.pieces.len() - 1);
        (index, u - (index as f64 - 1.0).max(0.0))
    }
}

/// The slopes of a monotone curve through points, after [`slope_between`]; at the ends those of the end chords. Two or more points,
/// x rising.
pub(super) fn monotone_slopes(points: &[[f64; 2]]) -> Vec<f64> {
    let chord = |i: usize| {
        let ([x, y], [x_end, y_end]) = (points[i], points[i + 1]);
        ((y_end - y) / (x_end - x), x_end - x)
    };
    let last = points.len() - 1;
    let slope = |i: usize| match i {
        0 => chord(0).0,
        i if i == last => chord(last - 1).0,
        i => slope_between(chord(i - 1), chord(i)),
    };
    (0..=last).map(slope).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use coolwright_solver::scalar::Dual;

    /// Hermite's cubic through the ends of a cubic with its slopes is that cubic; its integral is known.
    #[test]
    fn a_cubic_through_uneven_points_and_its_integral_are_exact() {
        let f = |x: f64| 1.0 + x * (2.0 + x * (-1.0 + 0.25 * x));
        let slope = |x: f64| 2.0 + x * (-2.0 + 0.75 * x);
        let area = |x: f64| x * (1.0 + x * (1.0 + x * (-1.0 / 3.0 + x / 16.0)));
        let at = [-1.0, 0.5, 0.75, 4.0];
        let curve = Curve::uneven(&at.map(|x| [x, f(x)]), &at.map(slope));
        for x in [-1.0, -0.3, 0.5, 0.6, 0.75, 3.9, 4.0] {
            let got = curve.at(Dual::variable(x));
            assert!((got.value - f(x)).abs() < 1e-12, "{x}: {got:?}");
            assert!((got.slope() - slope(x)).abs() < 1e-12, "{x}: {got:?}");
            assert!((curve.integral(x) - (area(x) - area(-1.0))).abs() < 1e-12, "{x}");
        }
        assert!((curve.at(-3.0) - (f(-1.0) - 2.0 * slope(-1.0))).abs() < 1e-12);
        let beyond = area(4.0) - area(-1.0) + 2.0 * f(4.0) + 2.0 * slope(4.0);
        assert!((curve.integral(6.0) - beyond).abs() < 1e-12);
    }

    /// Slopes of SciPy 1.17's `PchipInterpolator` at inner points, which follows the same paper.
    #[test]
    fn slopes_keep_what_is_monotone() {
        let slopes = monotone_slopes(&[[0.0, 0.0], [1.0, 1.0], [3.0, 2.0], [4.0, 6.0], [5.0, 5.0]]);
        let printed = [1.0, 9.0 / (5.0 + 4.0 / 0.5), 9.0 / (4.0 / 0.5 + 5.0 / 4.0), 0.0, -1.0];
        for (got, want) in slopes.iter().zip(printed) {
            assert!((got - want).abs() < 1e-14, "{got} {want}");
        }
    }

    /// The scheme reproduces every quadratic exactly; its integral is known in closed form.
    #[test]
    fn a_quadratic_and_its_integral_are_exact_and_straight_beyond() {
        let f = |x: f64| 3.0 - x + 0.5 * x * x;
        let area = |x: f64| 3.0 * x - 0.5 * x * x + x * x * x / 6.0;
        let values: Vec<f64> = (0..=8).map(|i| f(2.0 + 0.5 * f64::from(i))).collect();
        let curve = Curve::new(2.0, 0.5, &values);
        for x in [2.0, 2.2, 3.5, 4.9, 5.99, 6.0] {
            let got = curve.at(Dual::variable(x));
            assert!((got.value - f(x)).abs() < 1e-13, "{x}: {got:?}");
            assert!((got.slope() - (x - 1.0)).abs() < 1e-12, "{x}: {got:?}");
            let got = curve.integral(x);
            assert!((got - area(x) + area(2.0)).abs() < 1e-12, "{x}: {got}");
        }
        assert!((curve.at(8.0) - (f(6.0) + 2.0 * 5.0)).abs() < 1e-12);
        assert!((curve.at(0.0) - (f(2.0) - 2.0)).abs() < 1e-12);
        assert!((curve.integral(1.0) - (0.5 - f(2.0))).abs() < 1e-12);
    }
}
