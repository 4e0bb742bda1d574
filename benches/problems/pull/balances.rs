//! The rates of the 83 states of the pull.

use std::f64::consts::PI;
use std::ops::Range;

use coolwright_solver::integrate::{Interrupt, System};
use coolwright_solver::network::{Network, Settings};

use super::flows::{ELECTRONICS, ENGINE, FlowLaws, Fluid};
use super::{
    AIR, BYPASS, CELL_3, COOLANT, COOLER, H1, H2, H3, H4, Inputs, LOWER, METAL, OPENING, RADIATOR,
    SECOND, SECOND_AIR, STATES, TANK, UPPER, WAX,
};

/// K.
const AMBIENT: f64 = 306.15;
const BAY: f64 = 318.15;
/// J/(kg·K).
const AIR_HEAT: f64 = 1006.0;
/// Of the radiators with their coolant, J/K.
const CAPACITY: [f64; 2] = [1050.0 * 0.005 * 3600.0 + 9000.0, 1030.0 * 0.0025 * 3850.0 + 7200.0];
/// A change of flow, in shares of it, that shows how rates go with the flows.
const NUDGE: f64 = 1e-5;

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
        let per_k = 1.0 / f64::from(k);
        a_term *= n * per_k;
        b_term *= r * n * per_k;
        a_sum += a_term;
        b_sum += b_term;
    }
    sum / (r * n)
}

struct Radiator {
    coolant: f64,
    m0: f64,
    mu0: f64,
    wall: f64,
    air: f64,
    w0: f64,
}

const FIRST: Radiator =
    Radiator { coolant: 16000.0, m0: 3.0, mu0: 8e-4, wall: 5e-6, air: 7000.0, w0: 3.0 };
const OTHER: Radiator =
    Radiator { coolant: 7000.0, m0: 1.2, mu0: 1e-3, wall: 1e-5, air: 3500.0, w0: 1.5 };

impl Radiator {
    /// Effectiveness times the smaller capacity flow, W/K.
    fn conductance(&self, fluid: &Fluid, m: f64, w: f64, t_in: f64) -> f64 {
        let coolant = self.coolant * (m / self.m0).powf(0.8) / fluid.thickness(t_in, self.mu0, 0.4);
        let ua = 1.0 / (1.0 / coolant + self.wall + 1.0 / (self.air * (w / self.w0).powf(0.6)));
        let (a, b) = (m * fluid.heat, w * AIR_HEAT);
        let least = a.min(b);
        effectiveness(ua / least, least / a.max(b)) * least
    }
}

/// r(z) = 3z² − 2z³ with z held to 0…1, and its slope.
fn rounded_step(z: f64) -> (f64, f64) {
    let z = z.clamp(0.0, 1.0);
    (z * z * (3.0 - 2.0 * z), 6.0 * z * (1.0 - z))
}

/// The rate of the opening, and its slopes by the opening and by the temperature of the wax: it rests
/// between its rising and its falling curve.
fn opening_rate(x: f64, wax: f64) -> (f64, f64, f64) {
    let (up, up_slope) = rounded_step((wax - 355.15) / 13.0);
    let (down, down_slope) = rounded_step((wax - 351.15) / 13.0);
    if up > x {
        (up - x, -1.0, up_slope / 13.0)
    } else if down < x {
        (down - x, -1.0, down_slope / 13.0)
    } else {
        (0.0, 0.0, 0.0)
    }
}

/// The system that is followed: its inputs, and the flows of its last state, kg/s.
pub(crate) struct Balances {
    pub(crate) inputs: Inputs,
    pub(crate) flows: [f64; 4],
    /// Evaluations of the laws of the flows so far.
    pub(crate) sweeps: usize,
    network: Network,
    laws: FlowLaws,
    settings: Settings,
    hoses: [Hose; 7],
    pattern: Vec<(usize, usize)>,
}

/// Ten cells fed by a state, in a run: mass of a cell, and what the bay takes from it, per second.
struct Hose {
    cells: Range<usize>,
    feed: usize,
    run: usize,
    per_mass: f64,
    bay: f64,
}

impl Hose {
    fn new(fluid: &Fluid, cells: Range<usize>, feed: usize, run: usize, size: [f64; 2]) -> Self {
        let [bore, length] = size;
        let mass = fluid.density * PI * bore * bore / 4.0 * length / 10.0;
        let bay = 8.0 * PI * bore * length / 10.0 / (mass * fluid.heat);
        Self { cells, feed, run, per_mass: 1.0 / mass, bay }
    }
}

fn hoses() -> [Hose; 7] {
    [
        Hose::new(&ENGINE, UPPER, CELL_3, 1, [0.036, 1.0]),
        Hose::new(&ENGINE, LOWER, RADIATOR, 1, [0.036, 1.2]),
        Hose::new(&ENGINE, BYPASS, CELL_3, 2, [0.018, 0.5]),
        Hose::new(&ELECTRONICS, H1, TANK, 3, [0.036, 0.7]),
        Hose::new(&ELECTRONICS, H2, H1.end - 1, 3, [0.036, 1.5]),
        Hose::new(&ELECTRONICS, H3, COOLANT, 3, [0.036, 1.8]),
        Hose::new(&ELECTRONICS, H4, SECOND, 3, [0.036, 1.2]),
    ]
}

impl Balances {
    /// Flows are solved to the share `change` of the largest.
    pub(crate) fn new(inputs: Inputs, change: f64) -> Self {
        let runs = [(0, 1), (1, 0), (1, 0), (2, 2)];
        let network = Network::new(3, &runs, &[]).expect("two whole circuits");
        let settings = Settings { change, closure: change.min(1e-6), ..Settings::default() };
        let mut balances = Self {
            inputs,
            flows: [0.7, 0.35, 0.35, 1.0],
            sweeps: 0,
            network,
            laws: FlowLaws::new(),
            settings,
            hoses: hoses(),
            pattern: Vec::new(),
        };
        let mut pattern = Vec::new();
        balances.links([1.0; 4], [1.0; 2], |row, column, _| pattern.push((row, column)));
        pattern.extend((0..TANK).map(|row| (row, OPENING)));
        pattern.extend([
            (OPENING, WAX),
            (RADIATOR, AIR),
            (AIR, AIR),
            (SECOND, SECOND_AIR),
            (SECOND_AIR, SECOND_AIR),
        ]);
        balances.pattern = pattern;
        balances
    }

    /// Finds the flows that belong to a state.
    ///
    /// # Errors
    /// When there are none.
    pub(crate) fn solve_flows(&mut self, y: &[f64]) -> Result<(), Interrupt> {
        self.laws.take(y, &self.inputs);
        let (mut pressures, settings) = ([0.0; 3], &self.settings);
        let solved = self.network.solve(
            &mut self.laws,
            &[0.0; 3],
            &[None; 3],
            &mut self.flows,
            &mut pressures,
            settings,
        );
        self.sweeps += solved.map_err(|_| Interrupt::Shorten)?.evaluations;
        Ok(())
    }

    /// The linear part of the balances: how fast each state follows another.
    #[inline]
    fn links(
        &self,
        flows: [f64; 4],
        conductance: [f64; 2],
        mut add: impl FnMut(usize, usize, f64),
    ) {
        let [m, mr, mb, mc] = flows;
        for hose in &self.hoses {
            let (through, mut from) = (flows[hose.run] * hose.per_mass, hose.feed);
            for cell in hose.cells.clone() {
                add(cell, from, through);
                add(cell, cell, -through - hose.bay);
                from = cell;
            }
        }
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
        both(RADIATOR, UPPER.end - 1, mr * 3600.0 / CAPACITY[0]);
        both(SECOND, H3.end - 1, mc * 3850.0 / CAPACITY[1]);
        both(WAX, CELL_3, 0.1);
        both(TANK, H4.end - 1, mc / (1030.0 * 0.012));
        let cooler = 6000.0 * (mc / 1.2).powf(0.8);
        both(COOLER, COOLANT, cooler / 5400.0);
        both(COOLANT, COOLER, cooler / (1030.0 * 0.0015 * 3850.0));
        both(COOLANT, H2.end - 1, mc / (1030.0 * 0.0015));
        add(RADIATOR, UPPER.end - 1, -conductance[0] / CAPACITY[0]);
        add(SECOND, H3.end - 1, -conductance[1] / CAPACITY[1]);
        add(METAL, METAL, -15.0 / 60000.0);
    }

    /// The rates at a state with its flows.
    fn rates(&self, y: &[f64], flows: [f64; 4], conductance: [f64; 2], rate: &mut [f64]) {
        rate.fill(0.0);
        self.links(flows, conductance, |row, column, k| rate[row] += k * y[column]);
        for hose in &self.hoses {
            for cell in hose.cells.clone() {
                rate[cell] += hose.bay * BAY;
            }
        }
        rate[METAL] += (self.inputs.engine_heat + 15.0 * BAY) / 60000.0;
        rate[COOLER] += self.inputs.electronics_heat / 5400.0;
        rate[RADIATOR] += conductance[0] * AMBIENT / CAPACITY[0];
        rate[SECOND] += conductance[1] * AMBIENT / CAPACITY[1];
        rate[OPENING] = opening_rate(y[OPENING], y[WAX]).0;
        rate[AIR] = (self.inputs.fan_air() - y[AIR]) / 2.0;
        rate[SECOND_AIR] = (self.inputs.electronics_air - y[SECOND_AIR]) / 2.0;
    }

    /// Of the two radiators, W/K, at air flows that may differ from the state's.
    fn conductances(y: &[f64], flows: [f64; 4], air: [f64; 2]) -> [f64; 2] {
        [
            FIRST.conductance(&ENGINE, flows[1], air[0], y[UPPER.end - 1]),
            OTHER.conductance(&ELECTRONICS, flows[3], air[1], y[H3.end - 1]),
        ]
    }

    /// How all rates of the first circuit go with the opening of the valve: through the flows.
    fn opening_column(&mut self, y: &[f64], base: &[f64]) -> Result<[f64; STATES], Interrupt> {
        let by_opening = self.laws.by_opening(&self.flows);
        let (mut flow_rates, mut pressure_rates) = ([0.0; 4], [0.0; 3]);
        self.network
            .sensitivity_solve(&by_opening, &mut flow_rates, &mut pressure_rates)
            .map_err(|_| Interrupt::Shorten)?;
        let most = flow_rates.iter().fold(1e-12_f64, |most, rate| most.max(rate.abs()));
        let nudge = NUDGE * self.flows[1].min(self.flows[2]) / most;
        let mut flows = self.flows;
        for (flow, rate) in flows.iter_mut().zip(flow_rates) {
            *flow += nudge * rate;
        }
        let mut column = [0.0; STATES];
        let conductance = Self::conductances(y, flows, [y[AIR], y[SECOND_AIR]]);
        self.rates(y, flows, conductance, &mut column);
        for (column, base) in column.iter_mut().zip(base) {
            *column = (*column - base) / nudge;
        }
        column[OPENING] = opening_rate(y[OPENING], y[WAX]).1;
        Ok(column)
    }
}

impl System for Balances {
    fn states(&self) -> usize {
        STATES
    }

    fn pattern(&self) -> &[(usize, usize)] {
        &self.pattern
    }

    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        let outside = y.iter().any(|t| !(0.0..600.0).contains(&(t + 1.0)));
        if outside || y[AIR] <= 0.0 || y[SECOND_AIR] <= 0.0 {
            return Err(Interrupt::Shorten);
        }
        self.solve_flows(y)?;
        let conductance = Self::conductances(y, self.flows, [y[AIR], y[SECOND_AIR]]);
        self.rates(y, self.flows, conductance, rate);
        Ok(())
    }

    /// True but for the small part that temperatures have in the flows, through the viscosity.
    fn jacobian(&mut self, t: f64, y: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        let mut base = [0.0; STATES];
        self.rhs(t, y, &mut base)?;
        let air = [y[AIR], y[SECOND_AIR]];
        let conductance = Self::conductances(y, self.flows, air);
        let more = Self::conductances(y, self.flows, air.map(|w| (1.0 + NUDGE) * w));
        let mut next = values.iter_mut();
        let mut put = |value: f64| *next.next().expect("as the pattern") = value;
        self.links(self.flows, conductance, |_, _, k| put(k));
        let column = self.opening_column(y, &base)?;
        column[..TANK].iter().for_each(|value| put(*value));
        put(opening_rate(y[OPENING], y[WAX]).2);
        let by_air = |which: usize, fed: usize| {
            let slope = (more[which] - conductance[which]) / (NUDGE * air[which]);
            -slope * (y[fed] - AMBIENT) / CAPACITY[which]
        };
        put(by_air(0, UPPER.end - 1));
        put(-0.5);
        put(by_air(1, H3.end - 1));
        put(-0.5);
        Ok(())
    }

    fn switches(&self) -> usize {
        2
    }

    fn switch_values(&mut self, _: f64, y: &[f64], out: &mut [f64]) {
        out.copy_from_slice(&[y[CELL_3] - 368.15, y[CELL_3] - 361.15]);
    }
}
