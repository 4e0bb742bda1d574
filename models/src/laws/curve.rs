//! Curves through given points, and the affinity laws of pumps and fans.

use std::error::Error;
use std::fmt;

use coolwright_solver::scalar::Scalar;

use super::compose;

/// Why points do not make a [`Curve`].
#[derive(Clone, Debug, PartialEq)]
pub enum CurveError {
    /// Fewer than two points.
    TooFewPoints {
        /// How many there are.
        count: usize,
    },
    /// A coordinate or slope is not a finite number.
    NotFinite {
        /// Which point, from 0.
        index: usize,
    },
    /// x does not rise from one point to the next.
    NotRising {
        /// The later of the two points, from 0.
        index: usize,
        /// x of the earlier point.
        before: f64,
        /// x of the later point.
        after: f64,
    },
    /// The number of slopes is not that of the points.
    SlopeCount {
        /// How many points there are.
        points: usize,
        /// How many slopes there are.
        slopes: usize,
    },
}

impl fmt::Display for CurveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewPoints { count } => {
                write!(f, "a curve needs at least two points, got {count}")
            }
            Self::NotFinite { index } => {
                write!(f, "point {} of the curve is not a finite number", index + 1)
            }
            Self::NotRising { index, before, after } => write!(
                f,
                "x must rise from point to point, but point {} has {after} after {before}",
                index + 1
            ),
            Self::SlopeCount { points, slopes } => {
                write!(f, "{points} points with {slopes} slopes")
            }
        }
    }
}

impl Error for CurveError {}

/// A smooth curve through points, continued as a straight line beyond both ends.
///
/// Between the points it is the cubic that keeps the points' monotone stretches monotone; value
/// and first derivative are continuous everywhere. Units are those of the points.
///
/// Source: Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17, 238.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    points: Vec<[f64; 2]>,
    slopes: Vec<f64>,
    /// First and last x that were given; a point beyond them only bends the curve.
    given: (f64, f64),
}

impl Curve {
    /// The curve through `points` (x, y), x rising strictly.
    ///
    /// The end slopes come from the parabola through the last three points, held between 0 and 3
    /// times the end segment's slope at the left end, and between a quarter and 3 times at the
    /// right end: a curve that falls towards an end goes on falling beyond it.
    ///
    /// # Errors
    /// Any [`CurveError`] but the last.
    pub fn new(points: Vec<[f64; 2]>) -> Result<Self, CurveError> {
        check_points(&points)?;
        let slopes = monotone_slopes(&points);
        let given = ends(&points);
        Ok(Self { points, slopes, given })
    }

    /// The curve through `points` of a pump or fan: as [`Curve::new`], but never rising towards
    /// the left and always falling towards the right beyond its ends, even where the table itself
    /// rises near an end.
    ///
    /// A head that rises from shut-off is continued into backflow level. A table that does not fall
    /// at its right end is met as it is; beyond it the curve bends, as a parabola over a tenth of the
    /// table's width, into a line that falls as steeply as the whole table is high and wide.
    ///
    /// # Errors
    /// As [`Curve::new`].
    pub fn falling_ends(points: Vec<[f64; 2]>) -> Result<Self, CurveError> {
        let mut curve = Self::new(points)?;
        let last = curve.slopes.len() - 1;
        curve.slopes[0] = curve.slopes[0].min(0.0);
        if curve.slopes[last] >= 0.0 {
            let (x_from, x_to) = curve.given;
            let ys = curve.points.iter().map(|p| p[1]);
            let highest = ys.clone().fold(f64::NEG_INFINITY, f64::max);
            let lowest = ys.fold(f64::INFINITY, f64::min);
            let fall = (highest - lowest).max(highest.abs()).max(f64::MIN_POSITIVE);
            let slope = -fall / (x_to - x_from);
            let bend = 0.1 * (x_to - x_from);
            let y = curve.points[last][1] + 0.5 * bend * (curve.slopes[last] + slope);
            curve.points.push([x_to + bend, y]);
            curve.slopes.push(slope);
        }
        Ok(curve)
    }

    /// The curve through `points` with a given slope at each of them.
    ///
    /// # Errors
    /// Any [`CurveError`].
    pub fn with_slopes(points: Vec<[f64; 2]>, slopes: Vec<f64>) -> Result<Self, CurveError> {
        check_points(&points)?;
        if slopes.len() != points.len() {
            return Err(CurveError::SlopeCount { points: points.len(), slopes: slopes.len() });
        }
        if let Some(index) = slopes.iter().position(|slope| !slope.is_finite()) {
            return Err(CurveError::NotFinite { index });
        }
        let given = ends(&points);
        Ok(Self { points, slopes, given })
    }

    /// The curve of a polynomial Σ c_k x^k from 0 to `to`, with its exact values and slopes at 25
    /// points; up to the third power it is the polynomial itself. Beyond `to` it is a straight line.
    ///
    /// Below zero it is a straight line too where the polynomial does not rise at zero. Where it does,
    /// it bends within one twenty-fourth of `to` into a level one: a head that went on falling
    /// backwards would drive a backflow without end.
    ///
    /// # Errors
    /// When a number is not finite, or `to` is not above zero.
    pub fn of_polynomial(coefficients: &[f64], to: f64) -> Result<Self, CurveError> {
        let value = |x: f64| coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c);
        let slope = |x: f64| {
            let powers = (1..coefficients.len()).rev();
            powers.fold(0.0, |sum, k| sum * x + coefficients[k] * k as f64)
        };
        let step = to / PIECES;
        let at: Vec<f64> = (0..=24).map(|k| to * f64::from(k) / PIECES).collect();
        let mut points: Vec<[f64; 2]> = at.iter().map(|&x| [x, value(x)]).collect();
        let mut slopes: Vec<f64> = at.iter().map(|&x| slope(x)).collect();
        if slopes[0] > 0.0 {
            points.insert(0, [-step, points[0][1] - 0.5 * slopes[0] * step]);
            slopes.insert(0, 0.0);
        }
        let mut curve = Self::with_slopes(points, slopes)?;
        curve.given = (0.0, to);
        Ok(curve)
    }

    /// The value at `x`.
    pub fn value<S: Scalar>(&self, x: S) -> S {
        let (value, slope) = self.value_and_slope(x.value());
        x.chain(value, slope)
    }

    /// First and last x that were given; outside, the curve bends into a straight line, and the answer
    /// is an extrapolation.
    pub fn range(&self) -> (f64, f64) {
        self.given
    }

    /// The points that the curve passes through.
    pub fn points(&self) -> &[[f64; 2]] {
        &self.points
    }

    /// Whether y rises with x anywhere, within the range or beyond its ends.
    pub fn rises(&self) -> bool {
        self.slopes.iter().any(|slope| *slope > 0.0)
            || self.points.windows(2).any(|pair| pair[1][1] > pair[0][1])
    }

    /// The value at `x` and the slope there.
    pub(crate) fn value_and_slope(&self, x: f64) -> (f64, f64) {
        let last = self.points.len() - 1;
        let above = self.points.partition_point(|point| point[0] <= x);
        if above == 0 || above > last {
            let end = if above == 0 { 0 } else { last };
            let [x_end, y_end] = self.points[end];
            return (y_end + self.slopes[end] * (x - x_end), self.slopes[end]);
        }
        let ([x0, y0], [x1, y1]) = (self.points[above - 1], self.points[above]);
        hermite(
            x1 - x0,
            (x - x0) / (x1 - x0),
            [y0, y1],
            [self.slopes[above - 1], self.slopes[above]],
        )
    }

    /// The last point, and the slope there.
    pub(crate) fn last(&self) -> ([f64; 2], f64) {
        let last = self.points.len() - 1;
        (self.points[last], self.slopes[last])
    }

    /// The straight line beyond the right or left end: y = start + slope·x.
    fn end_line(&self, right: bool) -> (f64, f64) {
        let end = if right { self.points.len() - 1 } else { 0 };
        let [x, y] = self.points[end];
        (y - self.slopes[end] * x, self.slopes[end])
    }

    /// s²·y(x/s): the rise of a pump or fan by the affinity laws, straight beyond both ends.
    pub(crate) fn rise<S: Scalar>(&self, speed: S, flow_m3_s: S) -> S {
        self.scaled(speed, flow_m3_s, 2)
    }

    /// s^power·y(x/s), which stays finite and smooth as s → 0, because y is straight far out.
    fn scaled<S: Scalar>(&self, scale: S, x: S, power: i32) -> S {
        let (s, at) = (scale.value(), x.value());
        if s < 0.0 {
            return S::from(0.0);
        }
        let (left, right) = ends(&self.points);
        if s > 0.0 && at >= s * left && at <= s * right {
            let (value, slope) = self.value_and_slope(at / s);
            let lower = s.powi(power - 1);
            let by_scale = lower * (f64::from(power) * value - slope * at / s);
            return compose(lower * s * value, [(scale, by_scale), (x, lower * slope)]);
        }
        // s^n·(c + k·x/s) = c·s^n + k·s^(n−1)·x
        let (start, slope) = self.end_line(at > s * right);
        let (full, lower) = (s.powi(power), s.powi(power - 1));
        let by_scale = f64::from(power) * start * lower
            + f64::from(power - 1) * slope * at * s.powi(power - 2);
        compose(start * full + slope * lower * at, [(scale, by_scale), (x, slope * lower)])
    }
}

/// How many pieces a polynomial is cut into.
const PIECES: f64 = 24.0;

/// The cubic over one interval, and its slope; `t` from 0 to 1.
fn hermite(width: f64, t: f64, y: [f64; 2], slopes: [f64; 2]) -> (f64, f64) {
    let secant = (y[1] - y[0]) / width;
    let bend = 3.0 * secant - 2.0 * slopes[0] - slopes[1];
    let twist = slopes[0] + slopes[1] - 2.0 * secant;
    let value = y[0] + width * t * (slopes[0] + t * (bend + t * twist));
    (value, slopes[0] + t * (2.0 * bend + 3.0 * t * twist))
}

/// First and last x.
fn ends(points: &[[f64; 2]]) -> (f64, f64) {
    (points[0][0], points[points.len() - 1][0])
}

fn check_points(points: &[[f64; 2]]) -> Result<(), CurveError> {
    if points.len() < 2 {
        return Err(CurveError::TooFewPoints { count: points.len() });
    }
    if let Some(index) = points.iter().position(|p| !p[0].is_finite() || !p[1].is_finite()) {
        return Err(CurveError::NotFinite { index });
    }
    for (index, pair) in points.windows(2).enumerate() {
        let (before, after) = (pair[0][0], pair[1][0]);
        if after <= before {
            return Err(CurveError::NotRising { index: index + 1, before, after });
        }
    }
    Ok(())
}

/// Slopes that keep monotone stretches monotone (Fritsch & Carlson), with the ends of
/// [`Curve::new`].
fn monotone_slopes(points: &[[f64; 2]]) -> Vec<f64> {
    let widths: Vec<f64> = points.windows(2).map(|p| p[1][0] - p[0][0]).collect();
    let secants: Vec<f64> =
        points.windows(2).map(|p| (p[1][1] - p[0][1]) / (p[1][0] - p[0][0])).collect();
    let last = secants.len() - 1;
    if last == 0 {
        return vec![secants[0]; 2];
    }
    let mut slopes = vec![end_slope(&widths, &secants, 0, 1, 0.0)];
    for i in 1..=last {
        slopes.push(inner_slope(secants[i - 1], secants[i], widths[i - 1], widths[i]));
    }
    slopes.push(end_slope(&widths, &secants, last, last - 1, 0.25));
    slopes
}

/// Slope of the parabola through three points at the middle one, 0 at a turning point, and at most
/// three times the flatter neighbour.
fn inner_slope(before: f64, after: f64, width_before: f64, width_after: f64) -> f64 {
    if before * after <= 0.0 {
        return 0.0;
    }
    let mean = (before * width_after + after * width_before) / (width_before + width_after);
    let limit = 3.0 * before.abs().min(after.abs());
    mean.clamp(-limit, limit)
}

/// Slope of the parabola through three points at the outer one, between `least` and three times
/// the slope of the end segment.
fn end_slope(widths: &[f64], secants: &[f64], end: usize, next: usize, least: f64) -> f64 {
    let (h, k) = (widths[end], widths[next]);
    let parabola = secants[end] + (secants[end] - secants[next]) * h / (h + k);
    if secants[end] == 0.0 {
        return 0.0;
    }
    secants[end] * (parabola / secants[end]).clamp(least, 3.0)
}

/// Rise of total pressure or head over a pump or fan at a speed, in the unit of the curve's y.
///
/// H(Q, s) = s²·H₁(Q/s)
///
/// `curve` is H₁ over the volume flow at reference speed; `speed` s is the share of that speed, not
/// negative; `flow_m3_s` Q is signed. Beyond both ends the curve is straight, so the rise there is
/// s²·c + s·k·Q: it goes smoothly to zero with the speed. What a machine resists there and at rest is
/// [`super::quadrants::machine_rise`]. A negative speed counts as standing still.
///
/// Source: affinity laws, Q ∝ n and H ∝ n², between homologous points. For fans the pressure is
/// also proportional to the density at the fan: the caller applies it.
pub fn pump_rise<S: Scalar>(curve: &Curve, speed: S, flow_m3_s: S) -> S {
    curve.rise(speed, flow_m3_s)
}

/// Shaft power of a pump or fan at a speed, W: s³·P₁(Q/s).
///
/// `curve` is P₁ in W over the volume flow at reference speed; arguments and ends as for
/// [`pump_rise`]. Source: affinity laws, P ∝ n³.
pub fn pump_power<S: Scalar>(curve: &Curve, speed: S, flow_m3_s: S) -> S {
    curve.scaled(speed, flow_m3_s, 3)
}
