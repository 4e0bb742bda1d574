//! Cores by tables: conductance over coolant and air flow, and the fall of the air over its flow.

use coolwright_solver::scalar::Scalar;

use crate::slots::{Slot, Values};

/// UA in W/K on a grid of coolant and air flow.
///
/// Between the rows ln UA follows a monotone cubic over the logarithm of each flow, so that it passes through every row, keeps
/// powers of the flows as they are, and rises where the rows rise; beyond them it goes on with the power between the last two,
/// level where they fall.
///
/// Source of the cubics: Fritsch & Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300.
#[derive(Clone, Debug)]
pub struct UaTable {
    /// Coolant flows, kg/s, rising.
    pub coolant_flow: Vec<f64>,
    /// Air flows, kg/s, rising.
    pub air_flow: Vec<f64>,
    /// UA in W/K, one row per coolant flow.
    pub ua: Vec<Vec<f64>>,
    /// What the coolant film of each row gains by its liquid over that of the last row, as a factor.
    pub liquid: Vec<Vec<f64>>,
    /// Viscosity (Pa·s), conductivity (W/(m·K)) and heat capacity (J/(kg·K)) of the coolant of its last row.
    pub coolant: [f64; 3],
    /// Factor on all its conductances.
    pub scale: Slot,
}

/// The least flow that a logarithm is taken of, kg/s.
const LEAST_FLOW: f64 = 1e-9;

impl UaTable {
    /// UA at a coolant and an air flow, W/K.
    pub fn at<S: Scalar>(&self, values: &Values, coolant_flow: S, air_flow: S) -> S {
        self.on(&self.ua, coolant_flow, air_flow) * values.get(self.scale)
    }

    /// What the film of the table's coolant gains there by its liquid over that of the last row.
    pub fn liquid_at<S: Scalar>(&self, coolant_flow: S, air_flow: S) -> S {
        self.on(&self.liquid, coolant_flow, air_flow)
    }

    fn on<S: Scalar>(&self, grid: &[Vec<f64>], coolant_flow: S, air_flow: S) -> S {
        let ln = |flow: S| flow.max(S::from(LEAST_FLOW)).ln();
        let (m, w) = (ln(coolant_flow), ln(air_flow));
        let row = |i: usize| monotone(&self.air_flow, |j| S::from(grid[i][j].ln()), w);
        monotone(&self.coolant_flow, row, m).exp()
    }
}

/// The monotone cubic through values over the logarithms of an axis, straight beyond its ends, at the logarithm `x`.
fn monotone<S: Scalar>(axis: &[f64], value: impl Fn(usize) -> S, x: S) -> S {
    let last = axis.len() - 1;
    if last == 0 {
        return value(0);
    }
    let ln = |i: usize| axis[i].ln();
    let i = (1..last).take_while(|&i| ln(i) <= x.value()).count();
    let width = |i: usize| ln(i + 1) - ln(i);
    let (a, b) = (value(i), value(i + 1));
    let chord = (b - a) / width(i);
    let u = x - ln(i);
    // What falls with the flow at an end is noise: carried on to rest, it would grow without bound.
    let end_chord = chord.max(S::from(0.0));
    if x.value() <= ln(0) {
        return a + end_chord * u;
    }
    if x.value() >= ln(last) {
        return b + end_chord * (x - ln(last));
    }
    let slope = |before: (S, f64), after: (S, f64)| {
        let ((p, h), (q, k)) = (before, after);
        if p.value() * q.value() <= 0.0 {
            return S::from(0.0);
        }
        let (first, second) = (2.0 * k + h, k + 2.0 * h);
        S::from(first + second) / (S::from(first) / p + S::from(second) / q)
    };
    let own = (chord, width(i));
    let left = match i {
        0 => end_chord,
        _ => slope(((a - value(i - 1)) / width(i - 1), width(i - 1)), own),
    };
    let right = match i + 1 {
        end if end == last => end_chord,
        end => slope(own, ((value(end + 1) - b) / width(end), width(end))),
    };
    let t = u / width(i);
    let (rise, left, right) = (b - a, left * width(i), right * width(i));
    a + t * (left + t * ((rise * 3.0 - left * 2.0 - right) + t * (left + right - rise * 2.0)))
}

/// The fall of the air through a core over its flow: fall × density is a function of the mass flow, and between its points a
/// monotone cubic of their logarithms, as in [`UaTable`].
///
/// Below its first point it goes on with the power between the first two, in proportion to the flow next to rest, as in
/// [`super::AirFall`].
#[derive(Clone, Debug)]
pub struct FallTable {
    /// Air flows, kg/s, rising.
    pub flow: Vec<f64>,
    /// Fall × density of the air, Pa·kg/m³.
    pub fall: Vec<f64>,
    /// Factor on all its falls.
    pub scale: Slot,
}

/// Share of its first flow below which a fall goes in proportion to the flow.
const LINEAR_SHARE: f64 = 0.01;

impl FallTable {
    /// The fall, Pa, at a mass flow of air of a density, kg/s and kg/m³, with the share `open` of the face open. Odd in the
    /// flow.
    pub fn at<S: Scalar>(&self, values: &Values, open: f64, flow: S, density: S) -> S {
        let through = flow / open;
        let first = self.flow[0];
        let of_density = if through.value().abs() >= first {
            let size = monotone(&self.flow, |i| S::from(self.fall[i].ln()), through.abs().ln());
            if through.value() < 0.0 { -size.exp() } else { size.exp() }
        } else {
            let share = through / first;
            let small = LINEAR_SHARE * LINEAR_SHARE;
            // As steep at the first point as the curve is.
            let power = (self.power() - 1.0) * (1.0 + small);
            let size = ((share * share + small) / (1.0 + small)).sqrt();
            share * size.powf(power) * self.fall[0]
        };
        of_density * values.get(self.scale) / density
    }

    /// The power of the flow with which the fall goes below its first points.
    fn power(&self) -> f64 {
        match (&self.flow[..], &self.fall[..]) {
            ([w, next, ..], [fall, more, ..]) => (more / fall).ln() / (next / w).ln(),
            _ => 1.6,
        }
    }
}
