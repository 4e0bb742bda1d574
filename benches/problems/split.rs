//! A charge-cooling circuit of 17 runs: two pumps in series, a radiator, a dividing tee, eight
//! passes between two pairs of headers, a combining tee.

use coolwright_models::circuit::{Circuit, End, Joint, Leg};
use coolwright_models::laws::tee::TeeSet;
use coolwright_models::parts::Part;
use coolwright_models::slots::Slot;

use super::maker::Maker;
use super::problem::{Problem, compare};

/// Junctions; the first is at 0 Pa.
const JUNCTIONS: [&str; 10] = ["J", "S", "L1", "L2", "R1", "R2", "M1", "M2", "N1", "N2"];

/// Runs: name, from, to.
const RUNS: [(&str, usize, usize); 17] = [
    ("feed", 0, 1),
    ("left", 1, 2),
    ("right", 1, 4),
    ("head_l", 2, 3),
    ("head_r", 4, 5),
    ("pass_1", 2, 6),
    ("pass_2", 2, 6),
    ("pass_3", 3, 7),
    ("pass_4", 3, 7),
    ("pass_5", 4, 8),
    ("pass_6", 4, 8),
    ("pass_7", 5, 9),
    ("pass_8", 5, 9),
    ("coll_l", 7, 6),
    ("coll_r", 9, 8),
    ("back_l", 6, 0),
    ("back_r", 8, 0),
];

/// Where the search starts, kg/s.
const START: [f64; 17] = [
    1.0, 0.5, 0.5, 0.25, 0.25, 0.125, 0.125, 0.125, 0.125, 0.125, 0.125, 0.125, 0.125, 0.25, 0.25,
    0.5, 0.5,
];

/// Flows of the answer, kg/s.
const FLOWS: [f64; 17] = [
    2.39100497404,
    1.24538936276,
    1.14561561128,
    0.603545223479,
    0.575496536090,
    0.317094979979,
    0.324749159297,
    0.298114773019,
    0.305430450460,
    0.291982534266,
    0.278136540928,
    0.294620725224,
    0.280875810867,
    0.603545223479,
    0.575496536090,
    1.24538936276,
    1.14561561128,
];

/// Pressures of the answer, Pa.
const PRESSURES: [f64; 10] = [
    0.0,
    36490.3942429,
    33402.3119802,
    32951.6782886,
    30380.0942465,
    29969.2859087,
    4111.68918897,
    4562.32288061,
    5298.36777204,
    5709.17610987,
];

/// Largest error of a number of the answer, in shares of it.
const TOLERANCE: f64 = 1e-9;

/// The passes: bore in mm, length in m.
const PASSES: [[f64; 2]; 8] = [
    [10.0, 0.90],
    [10.1, 0.90],
    [9.9, 0.96],
    [10.0, 0.96],
    [10.0, 0.90],
    [9.8, 0.90],
    [10.2, 0.96],
    [10.0, 0.96],
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

/// Radiator, suction, two pumps and meter, from the combining to the dividing tee.
fn feed(maker: &mut Maker) -> Vec<Box<dyn Part>> {
    vec![
        hose(maker, 38.0, 1.6, 3.0, 0.35),
        change(maker, 38.0, 45.0),
        maker.rated(18e3, 80.0, 1.8),
        change(maker, 45.0, 38.0),
        hose(maker, 38.0, 0.7, 3.0, 0.20),
        change(maker, 38.0, 32.0),
        maker.pump(),
        hose(maker, 32.0, 0.25, 3.0, 0.0),
        maker.pump(),
        change(maker, 32.0, 38.0),
        maker.rated(2.5e3, 60.0, 2.0),
        hose(maker, 38.0, 1.1, 3.0, 0.35),
    ]
}

fn parts(maker: &mut Maker, run: usize) -> Vec<Box<dyn Part>> {
    match run {
        0 => feed(maker),
        1 => vec![change(maker, 38.0, 25.0), hose(maker, 25.0, 0.45, 3.0, 0.30)],
        2 => vec![change(maker, 38.0, 25.0), hose(maker, 25.0, 0.95, 3.0, 0.60)],
        5..=12 => {
            let [bore, length] = PASSES[run - 5];
            vec![hose(maker, bore, length, 5.0, 1.5)]
        }
        15 => vec![hose(maker, 25.0, 0.50, 3.0, 0.30), change(maker, 25.0, 38.0)],
        16 => vec![hose(maker, 25.0, 1.00, 3.0, 0.60), change(maker, 25.0, 38.0)],
        _ => vec![hose(maker, 24.0, 0.12, 5.0, 0.40)],
    }
}

/// A tee of 38 mm, straight from the first to the second leg, the third at 90°.
fn tee(maker: &mut Maker, legs: [(usize, End); 3]) -> Joint {
    let angle = maker.values.add(std::f64::consts::FRAC_PI_2);
    let legs = legs.map(|(run, end)| Leg { run, end, bore: maker.bore(0.038) });
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
            _ => Joint::Plain,
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
        let mut maker = Maker::new();
        let circuit = circuit(&mut maker);
        let problem = Problem::new(circuit, maker.values, START.to_vec());
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
