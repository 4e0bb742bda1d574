//! Cores by tables: conductance over coolant and air flow, and the fall of the air over its flow.

use coolwright_solver::scalar::Scalar;

use crate::laws::monotone::slope_between;
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
    /// Logarithms of the coolant and of the air flows.
    ln_flow: [Vec<f64>; 2],
    /// Logarithm of UA, one row per coolant flow.
    ln_ua: Vec<Vec<f64>>,
    /// Logarithm of what the film of each row gains by its liquid.
    ln_liquid: Vec<Vec<f64>>,
    /// Viscosity (Pa·s), conductivity (W/(m·K)) and heat capacity (J/(kg·K)) of the coolant of its last row.
    pub coolant: [f64; 3],
    /// Factor on all its conductances.
    pub scale: Slot,
}

/// The least flow that a logarithm is taken of, kg/s.
const LEAST_FLOW: f64 = 1e-9;

impl UaTable {
    /// The table of `ua`, W/K, a row for each coolant flow with one for each air flow, both in kg/s and rising. `liquid` is what
    /// the coolant film of each gains by its liquid over that of the last, as a factor; `coolant` and `scale` as in the fields.
    pub fn new(
        (coolant_flow, air_flow): (Vec<f64>, Vec<f64>),
        (ua, liquid): (&[Vec<f64>], &[Vec<f64>]),
        coolant: [f64; 3],
        scale: Slot,
    ) -> Self {
        let rows = |grid: &[Vec<f64>]| grid.iter().map(|row| logarithms(row)).collect();
        Self {
            ln_flow: [logarithms(&coolant_flow), logarithms(&air_flow)],
            ln_ua: rows(ua),
            ln_liquid: rows(liquid),
            coolant_flow,
            air_flow,
            coolant,
            scale,
        }
    }

    /// UA at a coolant and an air flow, W/K.
    pub fn at<S: Scalar>(&self, values: &Values, coolant_flow: S, air_flow: S) -> S {
        self.on(&self.ln_ua, coolant_flow, air_flow) * values.get(self.scale)
    }

    /// What the film of the table's coolant gains there by its liquid over that of the last row.
    pub fn liquid_at<S: Scalar>(&self, coolant_flow: S, air_flow: S) -> S {
        self.on(&self.ln_liquid, coolant_flow, air_flow)
    }

    fn on<S: Scalar>(&self, grid: &[Vec<f64>], coolant_flow: S, air_flow: S) -> S {
        let ln = |flow: S| flow.max(S::from(LEAST_FLOW)).ln();
        let (m, w) = (ln(coolant_flow), ln(air_flow));
        let [coolant, air] = &self.ln_flow;
        monotone(coolant, |i| monotone(air, |j| S::from(grid[i][j]), w), m).exp()
    }
}

fn logarithms(numbers: &[f64]) -> Vec<f64> {
    numbers.iter().map(|number| number.ln()).collect()
}

/// The monotone cubic through values over an axis of logarithms, straight beyond its ends, at the logarithm `x`.
fn monotone<S: Scalar>(axis: &[f64], value: impl Fn(usize) -> S, x: S) -> S {
    let last = axis.len() - 1;
    if last == 0 {
        return value(0);
    }
    let i = (1..last).take_while(|&i| axis[i] <= x.value()).count();
    let width = |i: usize| axis[i + 1] - axis[i];
    let (a, b) = (value(i), value(i + 1));
    let chord = (b - a) / width(i);
    let u = x - axis[i];
    // What falls with the flow at an end is noise: carried on to rest, it would grow without bound.
    let end_chord = chord.max(S::from(0.0));
    if x.value() <= axis[0] {
        return a + end_chord * u;
    }
    if x.value() >= axis[last] {
        return b + end_chord * (x - axis[last]);
    }
    let own = (chord, width(i));
    let left = match i {
        0 => end_chord,
        _ => slope_between(((a - value(i - 1)) / width(i - 1), width(i - 1)), own),
    };
    let right = match i + 1 {
        end if end == last => end_chord,
        end => slope_between(own, ((value(end + 1) - b) / width(end), width(end))),
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
    /// Logarithms of those flows and of fall × density of the air, Pa·kg/m³.
    ln: [Vec<f64>; 2],
    /// Factor on all its falls.
    pub scale: Slot,
}

/// Share of its first flow below which a fall goes in proportion to the flow.
const LINEAR_SHARE: f64 = 0.01;

impl FallTable {
    /// The table of `fall`, fall × density of the air, Pa·kg/m³, over `flow`, kg/s, both rising; `scale` as in the fields.
    pub fn new(flow: Vec<f64>, fall: &[f64], scale: Slot) -> Self {
        Self { ln: [logarithms(&flow), logarithms(fall)], flow, scale }
    }

    /// The fall, Pa, at a mass flow of air of a density, kg/s and kg/m³, with the share `open` of the face open. Odd in the
    /// flow.
    pub fn at<S: Scalar>(&self, values: &Values, open: f64, flow: S, density: S) -> S {
        let through = flow / open;
        let first = self.flow[0];
        let of_density = if through.value().abs() >= first {
            let [flow, fall] = &self.ln;
            let size = monotone(flow, |i| S::from(fall[i]), through.abs().ln());
            if through.value() < 0.0 { -size.exp() } else { size.exp() }
        } else {
            let share = through / first;
            let small = LINEAR_SHARE * LINEAR_SHARE;
            // As steep at the first point as the curve is.
            let power = (self.power() - 1.0) * (1.0 + small);
            let size = ((share * share + small) / (1.0 + small)).sqrt();
            share * size.powf(power) * self.ln[1][0].exp()
        };
        of_density * values.get(self.scale) / density
    }

    /// The power of the flow with which the fall goes below its first points.
    fn power(&self) -> f64 {
        match (&self.ln[0][..], &self.ln[1][..]) {
            ([w, next, ..], [fall, more, ..]) => (more - fall) / (next - w),
            _ => 1.6,
        }
    }
}
