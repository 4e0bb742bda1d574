//! A duty cycle of 2740 s: an engine circuit with a thermostat and a fan, an electronics circuit, hoses
//! of ten cells. 83 states, three flows that settle at every instant, five phases, twelve events.
//!
//! States of the first circuit: metal, three coolant cells, upper hose, radiator, lower hose, bypass
//! hose, wax, opening, air flow. Of the second: tank, two hoses, cooler metal, cooler coolant, hose,
//! radiator, hose, air flow. Temperatures in K, air flows in kg/s.

pub(crate) mod balances;
mod flows;

use std::ops::Range;

use balances::Balances;
use coolwright_solver::integrate::{Absolute, Integrator, Outcome, Settings, Statistics};

pub(crate) const STATES: usize = 83;
pub(crate) const METAL: usize = 0;
pub(crate) const CELL_3: usize = 3;
const UPPER: Range<usize> = 4..14;
pub(crate) const RADIATOR: usize = 14;
const LOWER: Range<usize> = 15..25;
const BYPASS: Range<usize> = 25..35;
const WAX: usize = 35;
pub(crate) const OPENING: usize = 36;
pub(crate) const AIR: usize = 37;
const TANK: usize = 38;
pub(crate) const H1: Range<usize> = 39..49;
const H2: Range<usize> = 49..59;
const COOLER: usize = 59;
const COOLANT: usize = 60;
const H3: Range<usize> = 61..71;
pub(crate) const SECOND: usize = 71;
const H4: Range<usize> = 72..82;
const SECOND_AIR: usize = 82;

/// 0 °C in K.
const ZERO_CELSIUS: f64 = 273.15;

/// What jumps at the ends of phases, and with the fan.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Inputs {
    engine_speed: f64,
    engine_heat: f64,
    electronics_speed: f64,
    electronics_heat: f64,
    electronics_air: f64,
    fan: bool,
}

impl Inputs {
    /// Air flow that the engine's fan goes to, kg/s.
    fn fan_air(&self) -> f64 {
        if self.fan { 3.0 } else { 0.15 }
    }
}

/// End s, then the inputs in their order.
const PHASES: [(f64, [f64; 5]); 5] = [
    (300.0, [0.20, 12e3, 0.5, 0.0, 0.05]),
    (320.0, [1.00, 220e3, 1.0, 150e3, 1.5]),
    (1520.0, [0.25, 12e3, 1.0, 0.0, 1.5]),
    (1540.0, [1.00, 220e3, 1.0, 150e3, 1.5]),
    (2740.0, [0.25, 12e3, 1.0, 0.0, 1.5]),
];

fn inputs(values: [f64; 5], fan: bool) -> Inputs {
    let [engine_speed, engine_heat, electronics_speed, electronics_heat, electronics_air] = values;
    Inputs { engine_speed, engine_heat, electronics_speed, electronics_heat, electronics_air, fan }
}

/// The states asked for, and the flows.
const WATCHED: [usize; 9] = [METAL, CELL_3, RADIATOR, WAX, OPENING, TANK, COOLER, COOLANT, SECOND];

/// Time s; metal, third cell, radiator, wax, °C; opening; tank, cooler metal, cooler coolant, second
/// radiator, °C; radiator branch, bypass, electronics, kg/s. From four integrators at relative
/// tolerances of 1e-10 and 1e-11 that agree to 2e-7 K and 2e-6 s.
const ANSWERS: [(f64, [f64; 12]); 8] = [
    (
        300.0,
        [
            95.10981, 91.84590, 87.86768, 91.65973, 0.834218, 34.84599, 34.85391, 34.85343,
            34.83705, 0.665000, 0.091954, 1.038591,
        ],
    ),
    (
        320.0,
        [
            121.75571, 104.31940, 91.71689, 99.83196, 1.000000, 55.29451, 84.68079, 70.08205,
            62.08604, 3.862248, 0.052499, 2.230748,
        ],
    ),
    (
        330.0,
        [
            114.84592, 101.79036, 77.40657, 102.65651, 1.000000, 57.21978, 58.15170, 57.98634,
            55.22954, 0.914407, 0.013510, 2.211237,
        ],
    ),
    (
        400.0,
        [
            90.22065, 87.27397, 83.77531, 86.91827, 0.672185, 42.95773, 43.34006, 43.26734,
            42.17901, 0.770969, 0.194738, 2.180414,
        ],
    ),
    (
        1520.0,
        [
            92.01144, 89.32829, 85.78196, 89.10224, 0.566688, 33.04369, 33.04656, 33.04656,
            33.04213, 0.727099, 0.238433, 2.154743,
        ],
    ),
    (
        1540.0,
        [
            120.98996, 103.69798, 91.20959, 98.78693, 0.999993, 53.75884, 83.11771, 68.51633,
            60.68017, 3.861094, 0.052525, 2.228155,
        ],
    ),
    (
        1550.0,
        [
            114.15756, 101.20857, 77.03981, 101.88584, 1.000000, 55.87730, 56.75762, 56.60236,
            53.99053, 0.914095, 0.013513, 2.208597,
        ],
    ),
    (
        2740.0,
        [
            92.01349, 89.33023, 85.78426, 89.10429, 0.566924, 33.04369, 33.04656, 33.04656,
            33.04213, 0.727206, 0.238340, 2.154743,
        ],
    ),
];

/// The engine's fan on, off, on …, s.
const FAN: [f64; 12] = [
    303.3044, 347.8760, 794.3763, 809.2914, 1315.0384, 1329.9535, 1524.8320, 1567.1834, 2014.2858,
    2029.2009, 2534.9479, 2549.8630,
];

/// The cycle, the integrator that follows it, and what it found.
pub(crate) struct Pull {
    pub(crate) balances: Balances,
    integrator: Integrator,
    rows: [[f64; 12]; ANSWERS.len()],
    events: [f64; FAN.len()],
    event_count: usize,
}

/// How far an answer is off.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Errors {
    pub(crate) kelvin: f64,
    pub(crate) seconds: f64,
    /// Of the opening and of the flows, in kg/s.
    pub(crate) others: f64,
}

/// What one cycle cost.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Effort {
    pub(crate) integration: Statistics,
    pub(crate) sweeps: usize,
}

impl Pull {
    /// Followed to a tolerance: relative, and absolute in K, 1 and kg/s.
    pub(crate) fn new(tolerance: f64) -> Self {
        let change = (1e-2 * tolerance).min(1e-5);
        let balances = Balances::new(inputs(PHASES[0].1, false), change);
        let absolute = Absolute::Same(tolerance);
        let settings = Settings { relative: tolerance, absolute, ..Settings::default() };
        let integrator = Integrator::new(&balances, settings).expect("settings within their range");
        Self {
            balances,
            integrator,
            rows: [[0.0; 12]; ANSWERS.len()],
            events: [0.0; FAN.len()],
            event_count: 0,
        }
    }

    pub(crate) fn start() -> [f64; STATES] {
        let mut y = [358.15; STATES];
        y[TANK..].fill(308.15);
        (y[OPENING], y[AIR], y[SECOND_AIR]) = (0.2, 0.15, 0.05);
        y
    }

    /// Follows the whole cycle from its start; what it cost.
    pub(crate) fn follow(&mut self) -> Effort {
        let (before, sweeps) = (self.integrator.statistics(), self.balances.sweeps);
        self.integrator.restart(0.0, &Self::start());
        self.event_count = 0;
        let (mut fan, mut row) = (false, 0);
        for (end, values) in PHASES {
            self.balances.inputs = inputs(values, fan);
            loop {
                let step = self.integrator.step_towards(&mut self.balances, end);
                let outcome = step.expect("the cycle can be followed");
                self.record(&mut row);
                match outcome {
                    Some(Outcome::Reached) => break,
                    // The first switch turns the fan on, the second off.
                    Some(Outcome::Crossed { switch, rising })
                        if rising == (switch == 0) && fan != rising =>
                    {
                        fan = rising;
                        self.balances.inputs.fan = fan;
                        self.note_event();
                    }
                    None | Some(Outcome::Crossed { .. }) => {}
                }
            }
        }
        let after = self.integrator.statistics();
        let integration = Statistics {
            steps: after.steps - before.steps,
            rejected: after.rejected - before.rejected,
            failed: after.failed - before.failed,
            rhs_calls: after.rhs_calls - before.rhs_calls,
            jacobians: after.jacobians - before.jacobians,
            factorisations: after.factorisations - before.factorisations,
        };
        Effort { integration, sweeps: self.balances.sweeps - sweeps }
    }

    fn note_event(&mut self) {
        if let Some(event) = self.events.get_mut(self.event_count) {
            *event = self.integrator.time();
        }
        self.event_count += 1;
    }

    /// Takes the rows whose time lies within the last step.
    fn record(&mut self, row: &mut usize) {
        while *row < ANSWERS.len() && ANSWERS[*row].0 <= self.integrator.time() {
            let mut y = [0.0; STATES];
            self.integrator.interpolate(ANSWERS[*row].0, &mut y);
            self.balances.solve_flows(&y).expect("flows at every state");
            for (number, state) in self.rows[*row].iter_mut().zip(WATCHED) {
                *number = y[state] - if state == OPENING { 0.0 } else { ZERO_CELSIUS };
            }
            self.rows[*row][9..].copy_from_slice(&self.balances.flows[1..]);
            *row += 1;
        }
    }

    /// Compares with the known answers.
    ///
    /// # Panics
    /// When the number of events is wrong.
    pub(crate) fn errors(&self) -> Errors {
        assert_eq!(self.event_count, FAN.len(), "events of the fan");
        let mut errors = Errors { kelvin: 0.0, seconds: 0.0, others: 0.0 };
        for (row, (_, want)) in self.rows.iter().zip(ANSWERS) {
            for (place, (got, want)) in row.iter().zip(want).enumerate() {
                let is_temperature = WATCHED.get(place).is_some_and(|state| *state != OPENING);
                let most = if is_temperature { &mut errors.kelvin } else { &mut errors.others };
                *most = most.max((got - want).abs());
            }
        }
        for (got, want) in self.events.iter().zip(FAN) {
            errors.seconds = errors.seconds.max((got - want).abs());
        }
        errors
    }
}
