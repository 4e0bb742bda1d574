//! Parts, runs and junctions of the problems.

use std::sync::Arc;

use coolwright_models::circuit::{Circuit, CoolantSpec, Joint, Junction, Placed, Run};
use coolwright_models::fluids::Base;
use coolwright_models::laws::curve::Curve;
use coolwright_models::parts::{
    BoreChange, ElectricDrive, Hose, Part, Pump, PumpDrive, PumpPower, Rated, RatedFall,
    RatedLiquid,
};
use coolwright_models::slots::{Slot, Values};
use coolwright_solver::scalar::Dual;

use super::problem::Fluid;

/// m³/s in one L/min.
const LITRE_PER_MINUTE: f64 = 1.0 / 60e3;

/// A pump curve: flow in m³/s, rise in Pa, slope in Pa·s/m³.
pub(crate) type Table = [[f64; 3]; 8];

/// The pumps of the split.
pub(crate) const SPLIT_PUMP: Table = [
    [0.0, 88e3, -4.5e6],
    [2.5e-4, 86e3, -1.2e7],
    [5e-4, 81.8e3, -2.3e7],
    [7.5e-4, 74.4e3, -3.65e7],
    [10e-4, 63.4e3, -5.2e7],
    [12.5e-4, 48.4e3, -6.8e7],
    [15e-4, 29.2e3, -8.6e7],
    [17.5e-4, 5.4e3, -1.05e8],
];

/// The pumps of the grids, and half that of the pull.
pub(crate) const GRID_PUMP: Table = [
    [0.0, 110e3, -1.5e6],
    [4e-4, 108.5e3, -6.0e6],
    [8e-4, 104.5e3, -1.3e7],
    [12e-4, 97.5e3, -2.1e7],
    [16e-4, 86.5e3, -3.3e7],
    [20e-4, 70e3, -5.0e7],
    [24e-4, 46e3, -7.0e7],
    [28e-4, 15e3, -8.5e7],
];

/// Makes parts and keeps their numbers.
pub(crate) struct Maker {
    pub(crate) fluid: Fluid,
    pub(crate) values: Values,
    /// The slots of all bores, with their numbers.
    pub(crate) bores: Vec<(Slot, f64)>,
    /// The slots of the speeds of all pumps.
    pub(crate) speeds: Vec<Slot>,
    curve: Arc<Curve>,
}

impl Maker {
    pub(crate) fn new(fluid: Fluid, pump: &Table) -> Self {
        let points = pump.iter().map(|p| [p[0], p[1]]).collect();
        let slopes = pump.iter().map(|p| p[2]).collect();
        let curve = Arc::new(Curve::with_slopes(points, slopes).expect("eight rising points"));
        Self { fluid, values: Values::default(), bores: Vec::new(), speeds: Vec::new(), curve }
    }

    pub(crate) fn bore(&mut self, bore_m: f64) -> Slot {
        let slot = self.values.add(bore_m);
        self.bores.push((slot, bore_m));
        slot
    }

    /// All in m, and velocity heads.
    pub(crate) fn hose(
        &mut self,
        bore: f64,
        length: f64,
        roughness: f64,
        loss: f64,
    ) -> Box<dyn Part> {
        let bore = self.bore(bore);
        let values = [length, roughness, loss, 0.0, 0.0];
        let [length, roughness, loss, rise, swelling] = values.map(|v| self.values.add(v));
        let bends = Vec::new();
        Box::new(Hose {
            bore,
            length,
            roughness,
            loss,
            rise,
            swelling,
            bends,
            corners: Vec::new(),
            cells: 1,
            skin: None,
        })
    }

    /// In m.
    pub(crate) fn change(&mut self, from: f64, to: f64) -> Box<dyn Part> {
        let (from, to) = (self.bore(from), self.bore(to));
        Box::new(BoreChange { from, to })
    }

    /// In Pa and L/min.
    pub(crate) fn rated(&mut self, fall: f64, flow: f64, exponent: f64) -> Box<dyn Part> {
        let Fluid { density, viscosity, .. } = self.fluid;
        let values = [fall, flow * LITRE_PER_MINUTE, exponent, density, viscosity];
        let [fall, flow, exponent, density, viscosity] = values.map(|v| self.values.add(v));
        let liquid = RatedLiquid { density, viscosity };
        let drop = RatedFall { fall, flow, exponent, liquid };
        Box::new(Rated { word: "resistance", bore: None, drop })
    }

    pub(crate) fn pump(&mut self) -> Box<dyn Part> {
        // Beyond both ends their curve is to be straight: driven backwards they resist by nothing else,
        // and forwards the parabola of what they resist at rest touches the line, K = k²/(4(y − k x)).
        let [x, y] = *self.curve.points().last().expect("eight points");
        let slope = self.curve.value(Dual::<1>::variable(x)).slope();
        let still = 1e-6 * slope * slope / (4.0 * (y - slope * x));
        let values = [self.fluid.density, 1.0, 13.5, still, 1e-3, 0.0, 0.0, 1.0, 0.0];
        let [
            curve_density,
            commanded,
            voltage,
            stopped_fall,
            stopped_flow,
            backwards,
            power,
            heat_share,
            volume,
        ] = values.map(|v| self.values.add(v));
        self.speeds.push(commanded);
        let (rated_voltage, current_limit) = (None, None);
        let drive = ElectricDrive { commanded, voltage, rated_voltage, current_limit };
        Box::new(Pump {
            bore: None,
            curve: Arc::clone(&self.curve),
            given: self.curve.range().into(),
            by_label: false,
            curve_density,
            head_scale: self.values.add(1.0),
            flow_scale: self.values.add(1.0),
            drive: PumpDrive::Electric(drive),
            curve_speed: None,
            viscous: None,
            stopped_fall,
            stopped_flow,
            backwards,
            power: PumpPower::Constant(power),
            heat_share,
            volume,
            suction_head: None,
        })
    }

    pub(crate) fn run(
        &mut self,
        name: &str,
        [from, to]: [usize; 2],
        parts: Vec<Box<dyn Part>>,
    ) -> Run {
        let placed = |(k, part)| Placed { name: format!("part_{k}"), automatic: false, part };
        Run {
            name: name.to_owned(),
            path: name.to_owned(),
            automatic: false,
            from,
            to,
            bore: self.values.add(0.038),
            parts: parts.into_iter().enumerate().map(placed).collect(),
        }
    }

    pub(crate) fn junction(&mut self, name: &str, joint: Joint) -> Junction {
        Junction { name: name.to_owned(), automatic: false, joint, volume: self.values.add(1e-5) }
    }

    pub(crate) fn circuit(
        &mut self,
        name: &str,
        junctions: Vec<Junction>,
        runs: Vec<Run>,
    ) -> Circuit {
        Circuit {
            name: name.to_owned(),
            junctions,
            runs,
            coolant: CoolantSpec::Mixture { base: Base::Water, share: self.values.add(0.0) },
            groups: Vec::new(),
            reference: None,
            start: self.values.add(300.0),
        }
    }
}
