//! Intervals over two hundred draws on a duty cycle: a small circuit whose pump and core are known, followed in time. Many
//! thousand times it would take too long, so it is followed at the nodes of a table over both numbers, and the polynomial
//! through them is held to the model.

use std::sync::Mutex;

use coolwright::study::learn::fitting::{Channel, Predict, Task, fitted};
use coolwright::study::learn::series::means;
use coolwright::workers::Alone;
use coolwright_cases::lower::Ready;
use coolwright_models::cycle::{Columns, Phase, Program};
use coolwright_models::inputs::Track;
use coolwright_models::instance::Instance;

use super::made::Dice;
use crate::common::{read, slots, with};

pub(crate) const CASE: &str = r#"Case(
    title: "One small circuit",
    site: Site(air: "25 °C"),
    circuits: {
        "main": Circuit(coolant: Water, start: "26 °C", bore: "19 mm", runs: {
            "loop": Run(parts: {
                "tank":   Tank(volume: "1 L", air: "0.2 L"),
                "pump":   Pump(shut_off: "60 kPa", free_flow: "40 L/min"),
                "out":    Hose(length: "0.5 m"),
                "block":  Pass(cooler: "block"),
                "back":   Hose(length: "0.5 m"),
                "core":   CoreSide(core: "core"),
            }),
        }),
    },
    coolers: { "block": Cooler(share: "10 %", metal: Aluminium("3 kg"), fall: (fall: "15 kPa", at: "20 L/min")) },
    cores: { "core": Core(rated: (heat: "8 kW", coolant: "20 L/min", air: "0.5 kg/s", difference: "30 K"),
        air_fall: (fall: "60 Pa", at: "0.5 kg/s")) },
    air_paths: { "front": AirPath(cores: ["core"], fans: { "fan": Fan(shut_off: "200 Pa", free_flow: "2000 m3/h") }) },
    gauges: {
        "hot":  Gauge(reads: Temperature, at: "main/loop/block", end: Outlet, lag: "2 s", error: "0.5 K"),
        "cold": Gauge(reads: Temperature, at: "main/loop/block", end: Inlet, lag: "2 s", error: "0.5 K"),
        "flow": Gauge(reads: Flow, at: "main/loop/out", error: "0.6 L/min"),
    },
    duty: Duty(power: "60 kW"),
    limits: {},
)"#;

pub(super) const NUMBERS: [&str; 2] = ["main/loop/pump:head_scale", "cores/core:heat"];
pub(super) const TRUTH: [f64; 2] = [0.8, 7000.0];
const AS_IS: [f64; 2] = [1.0, 8000.0];
/// What each gauge is off by at most, and the noise of one cell: hot, cold, K, and flow, m³/s.
const GAUGES: [(&str, f64, f64); 3] =
    [("hot", 0.5, 0.08), ("cold", 0.5, 0.08), ("flow", 1e-5, 2e-6)];
const CELL_S: f64 = 4.0;
const CELLS: usize = 60;

/// The circuit followed through four minutes of work and rest.
struct Followed<'a> {
    ready: &'a Ready,
    program: Program,
    pool: Mutex<Vec<Instance<'a>>>,
}

impl<'a> Followed<'a> {
    fn new(ready: &'a Ready) -> Self {
        let power = vec![[0.0, 1.0], [120.0, 1.0], [122.0, 0.1], [240.0, 0.1]];
        let track = Track::table(power);
        let tracks = slots(ready, "duty:point").iter().map(|slot| (*slot, track.clone())).collect();
        let phases = vec![Phase { name: "log".to_owned(), time_s: 240.0, ..Phase::default() }];
        let program = Program { phases, tracks, watches: Vec::new() };
        Self { ready, program, pool: Mutex::new(Vec::new()) }
    }
}

impl Predict for Followed<'_> {
    fn predict(&self, numbers: &[f64]) -> Option<Vec<Vec<f64>>> {
        let changes: Vec<(&str, f64)> = NUMBERS.into_iter().zip(numbers.iter().copied()).collect();
        let values = with(self.ready, &changes);
        let taken = self.pool.lock().expect("no test has failed").pop();
        let mut instance = taken.unwrap_or_else(|| Instance::new(&self.ready.model).coarse());
        let catalogue = instance.catalogue(&values).expect("it can be solved");
        let place = |(gauge, ..): &(&str, f64, f64)| {
            catalogue.find(&format!("gauges/{gauge}:reading")).expect("a reading")
        };
        let places: Vec<usize> = GAUGES.iter().map(place).collect();
        let columns = Columns::Only(&places);
        let history = instance.follow(&values, &self.program, columns, &mut |_| true).ok()?;
        let windows: Vec<[f64; 2]> =
            (0..CELLS).map(|k| [k as f64 * CELL_S, (k + 1) as f64 * CELL_S]).collect();
        let shown = (0..GAUGES.len()).map(|column| {
            let values: Vec<f64> = history.rows.iter().map(|row| row[column]).collect();
            means(&history.times_s, &values, &windows, 0.0)
        });
        let shown = shown.collect();
        self.pool.lock().expect("no test has failed").push(instance);
        Some(shown)
    }
}

/// Nodes of the table along each number: those of Chebyshev's polynomial.
const NODES: usize = 8;
const RANGES: [(f64, f64); 2] = [(0.5, 1.3), (5000.0, 11000.0)];

/// What gauges show at the nodes, and by Lagrange's polynomials between them.
struct Tabulated {
    nodes: [Vec<f64>; 2],
    shown: Vec<Vec<Vec<f64>>>,
}

impl Tabulated {
    fn of(model: &Followed<'_>) -> Self {
        let nodes = RANGES.map(|(least, most)| {
            let node = |k: usize| {
                let angle = std::f64::consts::PI * (k as f64 + 0.5) / NODES as f64;
                0.5 * (least + most) - 0.5 * (most - least) * angle.cos()
            };
            (0..NODES).map(node).collect::<Vec<f64>>()
        });
        let shown = (0..NODES * NODES).map(|k| {
            let numbers = [nodes[0][k / NODES], nodes[1][k % NODES]];
            model.predict(&numbers).expect("it can be followed")
        });
        Self { shown: shown.collect(), nodes }
    }

    fn weights(&self, number: usize, at: f64) -> Vec<f64> {
        let nodes = &self.nodes[number];
        let weight = |k: usize| {
            let others = (0..NODES).filter(|&other| other != k);
            others.map(|other| (at - nodes[other]) / (nodes[k] - nodes[other])).product()
        };
        (0..NODES).map(weight).collect()
    }
}

impl Predict for Tabulated {
    fn predict(&self, numbers: &[f64]) -> Option<Vec<Vec<f64>>> {
        let [a, b] = [0, 1].map(|number| self.weights(number, numbers[number]));
        let mut sum = vec![vec![0.0; CELLS]; GAUGES.len()];
        for (k, shown) in self.shown.iter().enumerate() {
            let weight = a[k / NODES] * b[k % NODES];
            for (sum, shown) in sum.iter_mut().zip(shown) {
                for (sum, shown) in sum.iter_mut().zip(shown) {
                    *sum += weight * shown;
                }
            }
        }
        Some(sum)
    }
}

/// Whether the intervals of a draw hold the truth, by number.
fn draw(model: &Tabulated, truth: &[Vec<f64>], seed: u64) -> [bool; 2] {
    let mut dice = Dice::new(1000 + seed);
    let channels = truth.iter().zip(GAUGES).map(|(truth, (_, tolerance, noise))| {
        let offset = tolerance * (2.0 * dice.share() - 1.0);
        Channel {
            measured: truth.iter().map(|value| value + offset + noise * dice.normal()).collect(),
            sigma: 0.3 * tolerance,
            noise: 0.2 * noise,
            tolerance,
        }
    });
    let channels = channels.collect();
    let ranges = RANGES.to_vec();
    let mut task = Task { channels, ranges, model, workers: &Alone };
    let found = fitted(&mut task, &AS_IS).expect("it can be fitted");
    [0, 1].map(|k| {
        let [low, high] = found.intervals[k].map(|edge| edge.at);
        (low..=high).contains(&TRUTH[k])
    })
}

/// 95 % of 200 are 190 with a standard deviation of √(200 · 0.95 · 0.05) = 3.1: fewer than 181 is beyond three of them.
/// More is no fault: offsets are anywhere within their tolerance, which the fit takes for a normal deviate.
#[test]
fn intervals_hold_the_truth_of_a_duty_cycle_in_nineteen_of_twenty_draws() {
    let ready = read(CASE);
    let model = Followed::new(&ready);
    let truth = model.predict(&TRUTH).expect("the truth can be followed");
    let table = Tabulated::of(&model);
    let between = table.predict(&TRUTH).expect("there always is one");
    for ((truth, between), (gauge, _, noise)) in truth.iter().zip(&between).zip(GAUGES) {
        for (a, b) in truth.iter().zip(between) {
            assert!((a - b).abs() < 0.5 * noise, "{gauge}: {a} by the model, {b} by the table");
        }
    }
    let held: Vec<[bool; 2]> = (0..200).map(|seed| draw(&table, &truth, seed)).collect();
    for k in 0..2 {
        let held = held.iter().filter(|held| held[k]).count();
        assert!((181..=200).contains(&held), "{}: {held} of 200", NUMBERS[k]);
    }
}
