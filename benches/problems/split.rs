//! A charge-cooling circuit of 17 runs: two pumps in series, a radiator, a dividing tee, eight
//! passes between two pairs of headers, a combining tee. All data are invented.
//!
//! It is built of the models' own parts and solved as `point` solves a circuit. The answer below
//! was worked out apart from this program, by a Newton iteration on the flows and pressures of the
//! same laws (Churchill 1977, Gardel 1957, sudden changes of bore, one Hermite pump curve).

use std::sync::Arc;

use approx::relative_ne;
use coolwright_models::circuit::{
    Circuit, CircuitLaws, CoolantSpec, End, Joint, Junction, Leg, PartState, Placed, Run,
};
use coolwright_models::fluids::Base;
use coolwright_models::laws::curve::Curve;
use coolwright_models::laws::tee::TeeSet;
use coolwright_models::parts::{
    BoreChange, ElectricDrive, Hose, Part, Pump, PumpDrive, PumpPower, Rated,
};
use coolwright_models::slots::Values;
use coolwright_solver::network::{Network, Settings};

/// Density, kg/m³.
const DENSITY: f64 = 1040.0;
/// Dynamic viscosity, Pa·s.
const VISCOSITY: f64 = 1.35e-3;
/// m³/s in one L/min.
const LITRE_PER_MINUTE: f64 = 1.0 / 60e3;

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

/// The pump: flow in m³/s, rise in Pa, slope in Pa·s/m³.
const PUMP: [[f64; 3]; 8] = [
    [0.0, 110e3, -1.5e6],
    [4e-4, 108.5e3, -6.0e6],
    [8e-4, 104.5e3, -1.3e7],
    [12e-4, 97.5e3, -2.1e7],
    [16e-4, 86.5e3, -3.3e7],
    [20e-4, 70e3, -5.0e7],
    [24e-4, 46e3, -7.0e7],
    [28e-4, 15e3, -8.5e7],
];

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

/// Writes parts with numbers in mm, m, µm, kPa and L/min.
#[derive(Default)]
struct Maker {
    values: Values,
}

impl Maker {
    fn hose(&mut self, bore: f64, length: f64, roughness: f64, loss: f64) -> Box<dyn Part> {
        let values = [bore * 1e-3, length, roughness * 1e-6, loss, 0.0, 0.0];
        let [bore, length, roughness, loss, rise, swelling] = values.map(|v| self.values.add(v));
        let bends = Vec::new();
        Box::new(Hose { bore, length, roughness, loss, rise, swelling, bends, cells: 1 })
    }

    fn change(&mut self, from: f64, to: f64) -> Box<dyn Part> {
        let [from, to] = [from, to].map(|v| self.values.add(v * 1e-3));
        Box::new(BoreChange { from, to })
    }

    fn rated(&mut self, fall: f64, flow: f64, exponent: f64) -> Box<dyn Part> {
        let values = [fall * 1e3, flow * LITRE_PER_MINUTE, exponent];
        let [fall, flow, exponent] = values.map(|v| self.values.add(v));
        Box::new(Rated { word: "resistance", bore: None, fall, flow, exponent })
    }

    fn pump(&mut self, curve: &Arc<Curve>) -> Box<dyn Part> {
        let values = [DENSITY, 1.0, 13.5, 50e3, 1e-3, 0.0, 1.0, 0.0];
        let [
            curve_density,
            commanded,
            voltage,
            stopped_fall,
            stopped_flow,
            power,
            heat_share,
            volume,
        ] = values.map(|v| self.values.add(v));
        let (rated_voltage, current_limit) = (None, None);
        let drive = ElectricDrive { commanded, voltage, rated_voltage, current_limit };
        Box::new(Pump {
            bore: None,
            curve: Arc::clone(curve),
            given: curve.range().into(),
            by_label: false,
            curve_density,
            drive: PumpDrive::Electric(drive),
            curve_speed: None,
            viscous: None,
            stopped_fall,
            stopped_flow,
            power: PumpPower::Constant(power),
            heat_share,
            volume,
            suction_head: None,
        })
    }

    /// Radiator, suction, two pumps and meter, from the combining to the dividing tee.
    fn feed(&mut self) -> Vec<Box<dyn Part>> {
        let points = PUMP.iter().map(|p| [p[0], p[1]]).collect();
        let slopes = PUMP.iter().map(|p| p[2]).collect();
        let curve = Arc::new(Curve::with_slopes(points, slopes).expect("eight rising points"));
        vec![
            self.hose(38.0, 1.6, 3.0, 0.35),
            self.change(38.0, 45.0),
            self.rated(18.0, 80.0, 1.8),
            self.change(45.0, 38.0),
            self.hose(38.0, 0.7, 3.0, 0.20),
            self.change(38.0, 32.0),
            self.pump(&curve),
            self.hose(32.0, 0.25, 3.0, 0.0),
            self.pump(&curve),
            self.change(32.0, 38.0),
            self.rated(2.5, 60.0, 2.0),
            self.hose(38.0, 1.1, 3.0, 0.35),
        ]
    }

    fn parts(&mut self, run: usize) -> Vec<Box<dyn Part>> {
        match run {
            0 => self.feed(),
            1 => vec![self.change(38.0, 25.0), self.hose(25.0, 0.45, 3.0, 0.30)],
            2 => vec![self.change(38.0, 25.0), self.hose(25.0, 0.95, 3.0, 0.60)],
            5..=12 => {
                let [bore, length] = PASSES[run - 5];
                vec![self.hose(bore, length, 5.0, 1.5)]
            }
            15 => vec![self.hose(25.0, 0.50, 3.0, 0.30), self.change(25.0, 38.0)],
            16 => vec![self.hose(25.0, 1.00, 3.0, 0.60), self.change(25.0, 38.0)],
            _ => vec![self.hose(24.0, 0.12, 5.0, 0.40)],
        }
    }

    /// A tee of 38 mm, straight from the first to the second leg, the third at 90°.
    fn tee(&mut self, legs: [(usize, End); 3]) -> Joint {
        let angle = self.values.add(std::f64::consts::FRAC_PI_2);
        let legs = legs.map(|(run, end)| Leg { run, end, bore: self.values.add(0.038) });
        Joint::Tee { legs, angle, set: TeeSet::Gardel }
    }

    fn circuit(&mut self) -> Circuit {
        let run = |maker: &mut Self, (index, (name, from, to)): (usize, (&str, usize, usize))| {
            let parts = maker.parts(index).into_iter().enumerate();
            let placed = |(k, part)| Placed { name: format!("part_{k}"), automatic: false, part };
            Run {
                name: name.to_owned(),
                path: name.to_owned(),
                automatic: false,
                from,
                to,
                bore: maker.values.add(0.038),
                parts: parts.map(placed).collect(),
            }
        };
        let runs = RUNS.into_iter().enumerate().map(|r| run(self, r)).collect();
        let junctions = JUNCTIONS.into_iter().map(|name| {
            let joint = match name {
                "J" => self.tee([(15, End::To), (0, End::From), (16, End::To)]),
                "S" => self.tee([(0, End::To), (1, End::From), (2, End::From)]),
                _ => Joint::Plain,
            };
            Junction {
                name: name.to_owned(),
                automatic: false,
                joint,
                volume: self.values.add(1e-5),
            }
        });
        Circuit {
            name: "split".to_owned(),
            junctions: junctions.collect(),
            runs,
            coolant: CoolantSpec { base: Base::Water, share: self.values.add(0.0) },
            groups: Vec::new(),
            reference: None,
            start: self.values.add(300.0),
        }
    }
}

/// The problem with the workspace to solve it again and again.
pub(crate) struct Split {
    circuit: Circuit,
    values: Values,
    parts: Vec<PartState>,
    couplings: Vec<(usize, usize)>,
    network: Network,
    flows: [f64; 17],
    pressures: [f64; 10],
}

impl Split {
    pub(crate) fn new() -> Self {
        let mut maker = Maker::default();
        let circuit = maker.circuit();
        let count = circuit.runs.iter().map(|run| run.parts.len()).sum();
        let state = PartState { temperature_k: 300.0, density: DENSITY, viscosity: VISCOSITY };
        let couplings = circuit.couplings();
        let runs: Vec<_> = circuit.runs.iter().map(|run| (run.from, run.to)).collect();
        let network = Network::new(JUNCTIONS.len(), &runs, &couplings).expect("a whole network");
        Self {
            circuit,
            values: maker.values,
            parts: vec![state; count],
            couplings,
            network,
            flows: START,
            pressures: [0.0; 10],
        }
    }

    /// Solves it from the start; the iterations that it took.
    pub(crate) fn solve(&mut self) -> usize {
        self.flows = START;
        let mut laws = CircuitLaws {
            circuit: &self.circuit,
            values: &self.values,
            parts: &self.parts,
            junction_density: &[DENSITY; 10],
            couplings: &self.couplings,
        };
        let (flows, pressures) = (&mut self.flows, &mut self.pressures);
        let solved = self.network.solve(
            &mut laws,
            &[0.0; 10],
            &[None; 10],
            flows,
            pressures,
            &Settings::default(),
        );
        solved.expect("the problem has an answer").iterations
    }

    /// Compares with the known answer.
    ///
    /// # Errors
    /// Names the numbers that are off, got and wanted.
    pub(crate) fn check(&self) -> Result<(), String> {
        let flows = RUNS.iter().map(|run| run.0).zip(self.flows.iter().zip(&FLOWS));
        let pressures = JUNCTIONS.into_iter().zip(self.pressures.iter().zip(&PRESSURES));
        let off: Vec<String> = flows
            .chain(pressures)
            .filter(|(_, (got, want))| relative_ne!(*got, *want, max_relative = TOLERANCE))
            .map(|(name, (got, want))| format!("{name}: got {got:.12}, want {want}"))
            .collect();
        if off.is_empty() { Ok(()) } else { Err(off.join("; ")) }
    }
}
