//! What the flows of the pull follow: two circuits in one network.

use std::f64::consts::PI;
use std::ops::Range;

use coolwright_models::laws::curve::{Curve, pump_rise};
use coolwright_models::laws::friction::Pipe;
use coolwright_models::laws::pipes::Pipes;
use coolwright_solver::network::Laws;
use coolwright_solver::scalar::Dual;

use super::super::maker::GRID_PUMP;
use super::{BYPASS, CELL_3, COOLANT, H1, H2, H3, H4, Inputs, LOWER, OPENING, UPPER};

/// A coolant: density kg/m³, heat capacity J/(kg·K), viscosity A·exp(B/(T − C)) in Pa·s.
pub(super) struct Fluid {
    pub(super) density: f64,
    pub(super) heat: f64,
    pub(super) viscosity: [f64; 3],
}

pub(super) const ENGINE: Fluid =
    Fluid { density: 1050.0, heat: 3600.0, viscosity: [2.13e-5, 850.0, 130.0] };
pub(super) const ELECTRONICS: Fluid =
    Fluid { density: 1030.0, heat: 3850.0, viscosity: [4.85e-5, 500.0, 160.0] };

/// Hoses: cells, bore m, length m, run.
const ENGINE_HOSES: [(Range<usize>, f64, f64, usize); 3] =
    [(UPPER, 0.036, 1.0, 1), (LOWER, 0.036, 1.2, 1), (BYPASS, 0.018, 0.5, 2)];
const ELECTRONICS_HOSES: [(Range<usize>, f64, f64, usize); 4] =
    [(H1, 0.036, 0.7, 3), (H2, 0.036, 1.5, 3), (H3, 0.036, 1.8, 3), (H4, 0.036, 1.2, 3)];
/// Of all hoses, m.
const ROUGHNESS: f64 = 3e-6;

impl Fluid {
    /// Pa·s at a temperature in K.
    pub(super) fn viscosity(&self, t: f64) -> f64 {
        let [a, b, c] = self.viscosity;
        a * (b / (t - c)).exp()
    }

    /// (μ/μ₀)^p
    pub(super) fn thickness(&self, t: f64, reference: f64, power: f64) -> f64 {
        let [a, b, c] = self.viscosity;
        (power * ((a / reference).ln() + b / (t - c))).exp()
    }

    /// Half of one over density and the square of an area: Pa·s²/kg².
    fn head(&self, area: f64) -> f64 {
        0.5 / (self.density * area * area)
    }
}

/// The runs: source, radiator branch and bypass of the first circuit, the second as one run that
/// closes on itself. Each falls by a·m|m| + Σ b·(|m|/unit)^n and the friction of its cells.
pub(super) struct FlowLaws {
    pipes: Pipes,
    curve: Curve,
    quadratic: [f64; 4],
    powers: [Option<Power>; 4],
    /// Areas of the two valves, m², and how they go with the opening.
    valves: [(f64, f64); 2],
    lift: f64,
    speed: f64,
}

/// `fall · (|m| · per_flow)^exponent`
#[derive(Clone, Copy)]
struct Power {
    fall: f64,
    per_flow: f64,
    exponent: f64,
}

impl FlowLaws {
    pub(super) fn new() -> Self {
        let points = GRID_PUMP.iter().map(|p| [p[0], p[1]]).collect();
        let slopes = GRID_PUMP.iter().map(|p| p[2]).collect();
        Self {
            pipes: Pipes::with_room(70),
            curve: Curve::with_slopes(points, slopes).expect("eight rising points"),
            quadratic: [0.0; 4],
            powers: [None; 4],
            valves: [(0.0, 0.0); 2],
            lift: 0.0,
            speed: 0.0,
        }
    }

    /// Works out all that does not vary with the flows, at the state `y`.
    pub(super) fn take(&mut self, y: &[f64], inputs: &Inputs) {
        self.pipes.clear();
        self.take_hoses(&ENGINE, ENGINE_HOSES, y);
        self.take_hoses(&ELECTRONICS, ELECTRONICS_HOSES, y);
        let opening = y[OPENING];
        self.valves = [
            (8e-4 * (0.01 + 0.99 * opening), 8e-4 * 0.99),
            (2.5e-4 * (0.02 + 0.98 * (1.0 - opening)), -2.5e-4 * 0.98),
        ];
        let [wide, narrow] = [0.036, 0.018].map(|bore: f64| PI * bore * bore / 4.0);
        self.quadratic = [
            3e9 / (1050.0 * 1050.0),
            2.0 * ENGINE.head(wide) + ENGINE.head(self.valves[0].0),
            1.5 * ENGINE.head(narrow) + ENGINE.head(self.valves[1].0),
            2.8 * ELECTRONICS.head(wide),
        ];
        let block = 3e4 * ENGINE.thickness(y[CELL_3], 8e-4, 0.1);
        let radiator = 15e3 * ENGINE.thickness(y[UPPER.end - 1], 8e-4, 0.2);
        let cooler = 22e3 * ELECTRONICS.thickness(y[COOLANT], 1e-3, 0.2);
        let second = 18e3 * ELECTRONICS.thickness(y[H3.end - 1], 1e-3, 0.2);
        let power =
            |fall, unit: f64, exponent| Some(Power { fall, per_flow: 1.0 / unit, exponent });
        self.powers = [
            power(block, 1050.0 * 0.004, 1.9),
            power(radiator, 1050.0 * 0.003, 1.8),
            None,
            power(cooler + second, 1030.0 * 0.0012, 1.8),
        ];
        self.lift = 1.2e5 * inputs.engine_speed * inputs.engine_speed;
        self.speed = inputs.electronics_speed;
    }

    fn take_hoses<const N: usize>(
        &mut self,
        fluid: &Fluid,
        hoses: [(Range<usize>, f64, f64, usize); N],
        y: &[f64],
    ) {
        for (cells, bore, length, run) in hoses {
            for t in &y[cells] {
                let numbers = [bore, 0.1 * length, ROUGHNESS, 0.0];
                self.pipes.push(run, &Pipe::new(fluid.density, fluid.viscosity(*t), numbers));
            }
        }
    }

    /// d fall / d opening of the two branches with valves, at these flows.
    pub(super) fn by_opening(&self, flows: &[f64]) -> [f64; 4] {
        let mut rates = [0.0; 4];
        for (run, (area, by_opening)) in [1, 2].into_iter().zip(self.valves) {
            let fall = ENGINE.head(area) * flows[run] * flows[run].abs();
            rates[run] = -2.0 * fall / area * by_opening;
        }
        rates
    }
}

impl Laws for FlowLaws {
    fn evaluate(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64], _: &mut [f64]) {
        for run in 0..4 {
            let (m, size) = (flows[run], flows[run].abs());
            falls[run] = self.quadratic[run] * m * size;
            slopes[run] = 2.0 * self.quadratic[run] * size;
            if let Some(power) = self.powers[run].filter(|_| m != 0.0) {
                let fall = power.fall * (size * power.per_flow).powf(power.exponent);
                falls[run] += fall.copysign(m);
                slopes[run] += power.exponent * fall / size;
            }
        }
        falls[0] -= self.lift;
        let flow = Dual::variable(flows[3]) / ELECTRONICS.density;
        let rise = pump_rise(&self.curve, Dual::from(self.speed), flow) * 2.0;
        falls[3] -= rise.value;
        slopes[3] -= rise.slope();
        self.pipes.add(flows, falls, slopes);
    }
}
