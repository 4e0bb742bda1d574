//! Two circuits with a thermostat, hoses of ten cells and fans: 83 states, three flows.
//!
//! The bench problem `pull` of the project; quantities in SI units. States of the first circuit:
//! metal, three coolant cells, upper hose, radiator, lower hose, bypass hose, wax, opening, air
//! flow. Of the second: tank, two hoses, cooler metal, cooler coolant, hose, radiator, hose, air
//! flow.

use super::laws::{GRID, churchill, rise};
use coolwright_solver::integrate::{Interrupt, System};
use coolwright_solver::network::{Laws, Network, Settings};
use coolwright_solver::scalar::{Dual, Scalar};
use std::f64::consts::PI;
use std::ops::Range;

pub(crate) const STATES: usize = 83;
pub(crate) const METAL: usize = 0;
pub(crate) const CELL_3: usize = 3;
const UPPER: Range<usize> = 4..14;
pub(crate) const RADIATOR: usize = 14;
const LOWER: Range<usize> = 15..25;
const BYPASS: Range<usize> = 25..35;
pub(crate) const WAX: usize = 35;
pub(crate) const OPENING: usize = 36;
const AIR: usize = 37;
pub(crate) const TANK: usize = 38;
const H1: Range<usize> = 39..49;
const H2: Range<usize> = 49..59;
pub(crate) const COOLER: usize = 59;
pub(crate) const COOLANT: usize = 60;
const H3: Range<usize> = 61..71;
pub(crate) const SECOND: usize = 71;
const H4: Range<usize> = 72..82;
const SECOND_AIR: usize = 82;

const AMBIENT: f64 = 306.15;
const BAY: f64 = 318.15;
const AIR_HEAT: f64 = 1006.0;

/// One of the two coolants: density, heat capacity, viscosity A exp(B/(T − C)).
struct Fluid {
    rho: f64,
    heat: f64,
    mu: [f64; 3],
}

const ENGINE: Fluid = Fluid { rho: 1050.0, heat: 3600.0, mu: [2.13e-5, 850.0, 130.0] };
const CHARGE: Fluid = Fluid { rho: 1030.0, heat: 3850.0, mu: [4.85e-5, 500.0, 160.0] };

impl Fluid {
    fn mu(&self, t: f64) -> f64 {
        self.mu[0] * (self.mu[1] / (t - self.mu[2])).exp()
    }

    fn velocity_pressure(&self, area: f64, m: Dual<1>) -> Dual<1> {
        m * m.abs() / (2.0 * self.rho * area * area)
    }

    /// Friction of ten cells, each at the viscosity of its own temperature.
    fn friction(&self, cells: &[f64], bore: f64, length: f64, m: Dual<1>) -> Dual<1> {
        let area = PI * bore * bore / 4.0;
        let mut sum = Dual::from(0.0);
        for t in cells {
            let re = (m.abs() * (4.0 / (PI * bore * self.mu(*t)))).max(Dual::from(1e-3));
            sum += churchill(re, 3e-6 / bore) * (0.1 * length / bore);
        }
        sum * self.velocity_pressure(area, m)
    }

    /// Mass of one of ten cells, and its bay conductance over its capacity.
    fn cell(&self, bore: f64, length: f64) -> (f64, f64) {
        let mass = self.rho * PI * bore * bore / 4.0 * length / 10.0;
        (mass, 8.0 * PI * bore * length / 10.0 / (mass * self.heat))
    }
}

fn power(m: Dual<1>, unit: f64, exponent: f64) -> Dual<1> {
    if m.value == 0.0 {
        return m * 0.0;
    }
    let size = (m.abs() / unit).powf(exponent);
    if m.value < 0.0 { -size } else { size }
}

/// Effectiveness of cross-flow, both sides unmixed: the exact series.
pub(crate) fn effectiveness(n: f64, r: f64) -> f64 {
    let (mut a_term, mut a_sum) = ((-n).exp(), (-n).exp());
    let (mut b_term, mut b_sum) = ((-r * n).exp(), (-r * n).exp());
    let mut sum = 0.0;
    for k in 1..500 {
        let term = (1.0 - a_sum) * (1.0 - b_sum);
        sum += term;
        if term < 1e-16 * sum {
            break;
        }
        a_term *= n / f64::from(k);
        b_term *= r * n / f64::from(k);
        a_sum += a_term;
        b_sum += b_term;
    }
    sum / (r * n)
}

#[derive(Clone, Copy)]
struct Radiator {
    coolant: f64,
    m0: f64,
    mu0: f64,
    wall: f64,
    air: f64,
    w0: f64,
}

impl Radiator {
    /// Effectiveness times the smaller capacity flow, W/K.
    fn conductance(&self, fluid: &Fluid, m: f64, w: f64, t_in: f64) -> f64 {
        let coolant =
            self.coolant * (m / self.m0).powf(0.8) * (self.mu0 / fluid.mu(t_in)).powf(0.4);
        let ua = 1.0 / (1.0 / coolant + self.wall + 1.0 / (self.air * (w / self.w0).powf(0.6)));
        let (a, b) = (m * fluid.heat, w * AIR_HEAT);
        let least = a.min(b);
        effectiveness(ua / least, least / a.max(b)) * least
    }
}

const FIRST: Radiator =
    Radiator { coolant: 16000.0, m0: 3.0, mu0: 8e-4, wall: 5e-6, air: 7000.0, w0: 3.0 };
const OTHER: Radiator =
    Radiator { coolant: 7000.0, m0: 1.2, mu0: 1e-3, wall: 1e-5, air: 3500.0, w0: 1.5 };

/// Inputs that jump at phase ends and with the fan.
#[derive(Clone, Copy)]
pub(crate) struct Inputs {
    pub(crate) engine_speed: f64,
    pub(crate) engine_heat: f64,
    pub(crate) charge_speed: f64,
    pub(crate) charge_heat: f64,
    pub(crate) charge_air: f64,
    pub(crate) fan: bool,
}

/// Runs: source, radiator branch, bypass; and the charge loop as a run that closes on itself.
struct Flow<'a> {
    y: &'a [f64],
    inputs: Inputs,
}

impl Laws for Flow<'_> {
    fn evaluate(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64], _: &mut [f64]) {
        for run in 0..4 {
            let m = Dual::variable(flows[run]);
            let fall = match run {
                0 => self.source(m),
                1 => self.branch(m),
                2 => self.bypass(m),
                _ => self.charge(m),
            };
            falls[run] = fall.value;
            slopes[run] = fall.slope();
        }
    }
}

impl Flow<'_> {
    fn source(&self, m: Dual<1>) -> Dual<1> {
        let thick = (ENGINE.mu(self.y[CELL_3]) / 8e-4).powf(0.1);
        m * m.abs() * (3.0e9 / (1050.0 * 1050.0)) + power(m, 1050.0 * 0.004, 1.9) * (3e4 * thick)
            - 1.2e5 * self.inputs.engine_speed.powi(2)
    }

    fn branch(&self, m: Dual<1>) -> Dual<1> {
        let area = PI * 0.036 * 0.036 / 4.0;
        let valve = 8e-4 * (0.01 + 0.99 * self.y[OPENING]);
        let thick = (ENGINE.mu(self.y[UPPER.end - 1]) / 8e-4).powf(0.2);
        ENGINE.friction(&self.y[UPPER], 0.036, 1.0, m)
            + ENGINE.friction(&self.y[LOWER], 0.036, 1.2, m)
            + ENGINE.velocity_pressure(area, m) * 2.0
            + ENGINE.velocity_pressure(valve, m)
            + power(m, 1050.0 * 0.003, 1.8) * (15e3 * thick)
    }

    fn bypass(&self, m: Dual<1>) -> Dual<1> {
        let area = PI * 0.018 * 0.018 / 4.0;
        let valve = 2.5e-4 * (0.02 + 0.98 * (1.0 - self.y[OPENING]));
        ENGINE.friction(&self.y[BYPASS], 0.018, 0.5, m)
            + ENGINE.velocity_pressure(area, m) * 1.5
            + ENGINE.velocity_pressure(valve, m)
    }

    fn charge(&self, m: Dual<1>) -> Dual<1> {
        let speed = self.inputs.charge_speed;
        let area = PI * 0.036 * 0.036 / 4.0;
        let thick = |t: f64| (CHARGE.mu(t) / 1e-3).powf(0.2);
        let rated = 22e3 * thick(self.y[COOLANT]) + 18e3 * thick(self.y[H3.end - 1]);
        let mut fall =
            CHARGE.velocity_pressure(area, m) * 2.8 + power(m, 1030.0 * 0.0012, 1.8) * rated;
        for (cells, length) in [(H1, 0.7), (H2, 1.5), (H3, 1.8), (H4, 1.2)] {
            fall += CHARGE.friction(&self.y[cells], 0.036, length, m);
        }
        fall - rise(&GRID, m / (1030.0 * speed)) * (2.0 * speed * speed)
    }
}

pub(crate) struct Pull {
    pub(crate) inputs: Inputs,
    pub(crate) flows: [f64; 4],
    network: Network,
    pattern: Vec<(usize, usize)>,
    pub(crate) sweeps: usize,
}

fn opening(z: f64) -> f64 {
    let z = z.clamp(0.0, 1.0);
    z * z * (3.0 - 2.0 * z)
}

impl Pull {
    pub(crate) fn new(inputs: Inputs) -> Self {
        let network = Network::new(3, &[(0, 1), (1, 0), (1, 0), (2, 2)], &[]).unwrap();
        let mut pull =
            Self { inputs, flows: [0.7, 0.35, 0.35, 1.0], network, pattern: vec![], sweeps: 0 };
        let mut pattern = vec![];
        pull.links(&[350.0; STATES], [1.0; 2], |row, column, _| pattern.push((row, column)));
        pattern.extend(Self::differenced());
        pull.pattern = pattern;
        pull
    }

    /// Entries that are taken by differences: the valve moves all flows of its circuit.
    fn differenced() -> impl Iterator<Item = (usize, usize)> {
        let valve = (0..TANK).map(|row| (row, OPENING));
        let others = [(OPENING, WAX), (RADIATOR, AIR), (AIR, AIR)];
        valve.chain(others).chain([(SECOND, SECOND_AIR), (SECOND_AIR, SECOND_AIR)])
    }

    pub(crate) fn start() -> [f64; STATES] {
        let mut y = [358.15; STATES];
        y[TANK..].fill(308.15);
        (y[OPENING], y[AIR], y[SECOND_AIR]) = (0.2, 0.15, 0.05);
        y
    }

    pub(crate) fn solve_flows(&mut self, y: &[f64]) -> Result<(), Interrupt> {
        let mut laws = Flow { y, inputs: self.inputs };
        let settings = Settings::default();
        let solved = self.network.solve(
            &mut laws,
            &[0.0; 3],
            &[None; 3],
            &mut self.flows,
            &mut [0.0; 3],
            &settings,
        );
        self.sweeps += solved.map_err(|_| Interrupt::Shorten)?.evaluations;
        Ok(())
    }

    /// The linear part of the balances: how fast each state follows another.
    fn links(&self, y: &[f64], conductance: [f64; 2], mut add: impl FnMut(usize, usize, f64)) {
        let [m, mr, mb, mc] = self.flows;
        let mut both = |row: usize, from: usize, rate: f64| {
            add(row, from, rate);
            add(row, row, -rate);
        };
        let film = 9000.0 * (m / 4.0).powf(0.8) / 3.0;
        let mass = 1050.0 * 0.002;
        for cell in 1..4 {
            both(METAL, cell, film / 60000.0);
            both(cell, METAL, film / (3600.0 * mass));
        }
        both(1, LOWER.end - 1, mr / mass);
        both(1, BYPASS.end - 1, mb / mass);
        both(2, 1, m / mass);
        both(3, 2, m / mass);
        let hoses = [
            (UPPER, CELL_3, mr, ENGINE.cell(0.036, 1.0)),
            (LOWER, RADIATOR, mr, ENGINE.cell(0.036, 1.2)),
            (BYPASS, CELL_3, mb, ENGINE.cell(0.018, 0.5)),
            (H1, TANK, mc, CHARGE.cell(0.036, 0.7)),
            (H2, H1.end - 1, mc, CHARGE.cell(0.036, 1.5)),
            (H3, COOLANT, mc, CHARGE.cell(0.036, 1.8)),
            (H4, SECOND, mc, CHARGE.cell(0.036, 1.2)),
        ];
        for (cells, feed, flow, (mass, _)) in hoses {
            let mut from = feed;
            for cell in cells {
                both(cell, from, flow / mass);
                from = cell;
            }
        }
        let capacity = [1050.0 * 0.005 * 3600.0 + 9000.0, 1030.0 * 0.0025 * 3850.0 + 7200.0];
        both(RADIATOR, UPPER.end - 1, mr * 3600.0 / capacity[0]);
        both(SECOND, H3.end - 1, mc * 3850.0 / capacity[1]);
        both(WAX, CELL_3, 0.1);
        both(TANK, H4.end - 1, mc / (1030.0 * 0.012));
        let cooler = 6000.0 * (mc / 1.2).powf(0.8);
        both(COOLER, COOLANT, cooler / 5400.0);
        both(COOLANT, COOLER, cooler / (1030.0 * 0.0015 * 3850.0));
        both(COOLANT, H2.end - 1, mc / (1030.0 * 0.0015));
        add(RADIATOR, UPPER.end - 1, -conductance[0] / capacity[0]);
        add(SECOND, H3.end - 1, -conductance[1] / capacity[1]);
        let _ = y;
    }

    fn conductances(&self, y: &[f64]) -> [f64; 2] {
        [
            FIRST.conductance(&ENGINE, self.flows[1], y[AIR], y[UPPER.end - 1]),
            OTHER.conductance(&CHARGE, self.flows[3], y[SECOND_AIR], y[H3.end - 1]),
        ]
    }
}

impl System for Pull {
    fn states(&self) -> usize {
        STATES
    }

    fn pattern(&self) -> &[(usize, usize)] {
        &self.pattern
    }

    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        if y.iter().any(|t| !(0.0..600.0).contains(&(t + 1.0)))
            || y[AIR] <= 0.0
            || y[SECOND_AIR] <= 0.0
        {
            return Err(Interrupt::Shorten);
        }
        self.solve_flows(y)?;
        rate.fill(0.0);
        let conductance = self.conductances(y);
        self.links(y, conductance, |row, column, k| rate[row] += k * y[column]);
        // What is not linear: heat sources, bay, air, and the valve's play.
        rate[METAL] += (self.inputs.engine_heat - 15.0 * (y[METAL] - BAY)) / 60000.0;
        rate[COOLER] += self.inputs.charge_heat / 5400.0;
        rate[RADIATOR] += conductance[0] * AMBIENT / (1050.0 * 0.005 * 3600.0 + 9000.0);
        rate[SECOND] += conductance[1] * AMBIENT / (1030.0 * 0.0025 * 3850.0 + 7200.0);
        let hoses = [
            (UPPER, ENGINE.cell(0.036, 1.0)),
            (LOWER, ENGINE.cell(0.036, 1.2)),
            (BYPASS, ENGINE.cell(0.018, 0.5)),
            (H1, CHARGE.cell(0.036, 0.7)),
            (H2, CHARGE.cell(0.036, 1.5)),
            (H3, CHARGE.cell(0.036, 1.8)),
            (H4, CHARGE.cell(0.036, 1.2)),
        ];
        for (cells, (_, bay)) in hoses {
            for cell in cells {
                rate[cell] -= bay * (y[cell] - BAY);
            }
        }
        let (up, down) = (opening((y[WAX] - 355.15) / 13.0), opening((y[WAX] - 351.15) / 13.0));
        rate[OPENING] = (up - y[OPENING]).max(0.0) + (down - y[OPENING]).min(0.0);
        rate[AIR] = (if self.inputs.fan { 3.0 } else { 0.15 } - y[AIR]) / 2.0;
        rate[SECOND_AIR] = (self.inputs.charge_air - y[SECOND_AIR]) / 2.0;
        Ok(())
    }

    fn jacobian(&mut self, t: f64, y: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        // Flows held fixed except towards the valve: approximate on purpose.
        let mut base = [0.0; STATES];
        self.rhs(t, y, &mut base)?;
        let mut next = values.iter_mut();
        self.links(y, self.conductances(y), |_, _, k| *next.next().expect("as the pattern") = k);
        let (mut moved, mut rate, mut at) = (y.to_vec(), base, usize::MAX);
        for (row, column) in Self::differenced() {
            if column != at {
                moved.copy_from_slice(y);
                moved[column] += 1e-5;
                self.rhs(t, &moved, &mut rate)?;
                at = column;
            }
            *next.next().expect("as the pattern") = (rate[row] - base[row]) / 1e-5;
        }
        Ok(())
    }

    fn switches(&self) -> usize {
        2
    }

    fn switch_values(&mut self, _: f64, y: &[f64], out: &mut [f64]) {
        out.copy_from_slice(&[y[CELL_3] - 368.15, y[CELL_3] - 361.15]);
    }
}
