//! A battery cooled from two sides, 17 runs: behind a dividing tee each side has a pump of its own and
//! four passes between two pairs of headers; what they give back joins in a combining tee before the core.

use coolwright_models::circuit::{Circuit, End, Joint, Leg};
use coolwright_models::laws::tee::TeeSet;
use coolwright_models::parts::Part;
use coolwright_models::slots::Slot;

use super::maker::{Maker, SPLIT_PUMP};
use super::problem::{Fluid, Problem, compare};

const FLUID: Fluid = Fluid { density: 1062.0, viscosity: 2.2e-3 };

/// Junctions; the first is at 0 Pa.
const JUNCTIONS: [&str; 10] = ["S", "J", "U1", "U2", "L1", "L2", "V1", "V2", "M1", "M2"];

/// Runs: name, from, to.
const RUNS: [(&str, usize, usize); 17] = [
    ("main", 1, 0),
    ("upper", 0, 2),
    ("lower", 0, 4),
    ("in_u", 2, 3),
    ("in_l", 4, 5),
    ("pass_1", 2, 6),
    ("pass_2", 2, 6),
    ("pass_3", 3, 7),
    ("pass_4", 3, 7),
    ("pass_5", 4, 8),
    ("pass_6", 4, 8),
    ("pass_7", 5, 9),
    ("pass_8", 5, 9),
    ("out_u", 6, 7),
    ("out_l", 8, 9),
    ("back_u", 7, 1),
    ("back_l", 9, 1),
];

/// Where the search starts, kg/s.
const START: [f64; 17] =
    [0.8, 0.4, 0.4, 0.2, 0.2, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.2, 0.2, 0.4, 0.4];

/// Flows of the answer, kg/s.
const FLOWS: [f64; 17] = [
    1.55561203859,
    0.797703205738,
    0.757908832856,
    0.400120328681,
    0.376105770121,
    0.201673376454,
    0.195909500603,
    0.202935999325,
    0.197184329356,
    0.185350901935,
    0.196452160800,
    0.193576811326,
    0.182528958795,
    0.397582877057,
    0.381803062735,
    0.797703205738,
    0.757908832856,
];

/// Pressures of the answer, Pa.
const PRESSURES: [f64; 10] = [
    0.0,
    33120.4806840,
    70798.6633294,
    70170.0261362,
    66782.5973335,
    66224.1942156,
    37875.1254425,
    37254.1002818,
    36729.9994326,
    36155.2995020,
];

/// Largest error of a number of the answer, in shares of it.
const TOLERANCE: f64 = 1e-9;

/// The passes: bore in mm, length in m.
const PASSES: [[f64; 2]; 8] = [
    [8.6, 1.15],
    [8.5, 1.15],
    [8.7, 1.22],
    [8.6, 1.22],
    [8.4, 1.08],
    [8.6, 1.08],
    [8.5, 1.04],
    [8.3, 1.04],
];

fn hose(
    maker: &mut Maker,
    bore_mm: f64,
    length: f64,
    roughness_um: f64,
    loss: f64,
) -> Box<dyn Part> {
    maker.hose(bore_mm * 1e-3, length, roughness_um * 1e-6, loss)
}

fn change(maker: &mut Maker, from_mm: f64, to_mm: f64) -> Box<dyn Part> {
    maker.change(from_mm * 1e-3, to_mm * 1e-3)
}

/// From the combining to the dividing tee: core and strainer.
fn main_run(maker: &mut Maker) -> Vec<Box<dyn Part>> {
    vec![
        hose(maker, 34.0, 1.35, 4.0, 0.45),
        change(maker, 34.0, 41.0),
        maker.rated(13e3, 70.0, 1.8),
        change(maker, 41.0, 34.0),
        maker.rated(3.2e3, 55.0, 2.0),
        hose(maker, 34.0, 2.10, 4.0, 0.70),
    ]
}

fn upper(maker: &mut Maker) -> Vec<Box<dyn Part>> {
    vec![
        change(maker, 34.0, 28.0),
        hose(maker, 28.0, 0.30, 4.0, 0.15),
        maker.pump(),
        change(maker, 28.0, 22.0),
        hose(maker, 22.0, 0.65, 4.0, 0.50),
    ]
}

/// With a quick coupling.
fn lower(maker: &mut Maker) -> Vec<Box<dyn Part>> {
    vec![
        change(maker, 34.0, 28.0),
        hose(maker, 28.0, 0.55, 4.0, 0.25),
        maker.pump(),
        change(maker, 28.0, 22.0),
        maker.rated(2.1e3, 30.0, 2.0),
        hose(maker, 22.0, 0.80, 4.0, 0.40),
    ]
}

fn parts(maker: &mut Maker, run: usize) -> Vec<Box<dyn Part>> {
    match run {
        0 => main_run(maker),
        1 => upper(maker),
        2 => lower(maker),
        5..=12 => {
            let [bore, length] = PASSES[run - 5];
            vec![hose(maker, bore, length, 6.0, 1.8)]
        }
        15 => vec![hose(maker, 22.0, 0.75, 4.0, 0.50), change(maker, 22.0, 34.0)],
        16 => vec![hose(maker, 22.0, 0.60, 4.0, 0.35), change(maker, 22.0, 34.0)],
        _ => vec![hose(maker, 20.0, 0.18, 6.0, 0.55)],
    }
}

/// A tee of 34 mm, straight from the first to the second leg, the third at 90°.
fn tee(maker: &mut Maker, legs: [(usize, End); 3]) -> Joint {
    let angle = maker.values.add(std::f64::consts::FRAC_PI_2);
    let legs = legs.map(|(run, end)| Leg { run, end, bore: maker.bore(0.034) });
    Joint::Tee { legs, angle, set: TeeSet::Gardel }
}

fn circuit(maker: &mut Maker) -> Circuit {
    let mut runs = Vec::new();
    for (index, (name, from, to)) in RUNS.into_iter().enumerate() {
        let parts = parts(maker, index);
        runs.push(maker.run(name, [from, to], parts));
    }
    let mut junctions = Vec::new();
    for name in JUNCTIONS {
        let joint = match name {
            "J" => tee(maker, [(15, End::To), (0, End::From), (16, End::To)]),
            "S" => tee(maker, [(0, End::To), (1, End::From), (2, End::From)]),
            _ => Joint::Plain { known: true },
        };
        junctions.push(maker.junction(name, joint));
    }
    maker.circuit("split", junctions, runs)
}

/// The problem, and the slots of its bores and speeds.
pub(crate) struct Split {
    pub(crate) problem: Problem,
    pub(crate) bores: Vec<(Slot, f64)>,
    pub(crate) speeds: Vec<Slot>,
}

impl Split {
    pub(crate) fn new() -> Self {
        let mut maker = Maker::new(FLUID, &SPLIT_PUMP);
        let circuit = circuit(&mut maker);
        let problem = Problem::new(circuit, FLUID, maker.values, START.to_vec());
        Self { problem, bores: maker.bores, speeds: maker.speeds }
    }

    /// Compares with the known answer.
    ///
    /// # Errors
    /// Names the numbers that are off, got and wanted.
    pub(crate) fn check(&self) -> Result<(), String> {
        let flows = RUNS.iter().zip(&self.problem.flows).zip(FLOWS);
        let pressures = JUNCTIONS.into_iter().zip(&self.problem.pressures).zip(PRESSURES);
        let flows = flows.map(|((run, got), want)| (run.0, *got, want));
        let pressures = pressures.map(|((name, got), want)| (name, *got, want));
        compare(flows.chain(pressures), TOLERANCE)
    }
}
