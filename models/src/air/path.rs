//! The way of the air: in at the front, through a stack of cores one behind the other, through
//! fans side by side, and out.
//!
//! It is a network of its own, solved by the same Newton method as the coolant: junction 0 is the
//! air in front, 1 the space between the last core and the fans, 2 the air behind. Run 0 is the
//! stack; each fan is a run. Without a fan the air leaves from junction 1.

use coolwright_solver::network::Laws;
use coolwright_solver::scalar::{Dual, Scalar};

use super::{Core, CoreSide, Exchange, Fan};
use crate::fluids::Air;
use crate::slots::{Slot, Values};

/// The way of the air through cores and fans.
#[derive(Clone, Debug)]
pub struct AirPath {
    /// Its name.
    pub name: String,
    /// The cores in it from front to back (indices among the model's cores).
    pub cores: Vec<usize>,
    /// The fans behind them, side by side.
    pub fans: Vec<Fan>,
    /// Fall of grille, shroud and ducts at `fall_flow`, Pa.
    pub fall: Slot,
    /// Mass flow of that fall, kg/s.
    pub fall_flow: Slot,
    /// Share of the dynamic pressure of the road speed that stands in front of the stack.
    pub ram_share: Slot,
}

/// A core as the air sees it at one instant: its coolant side is settled.
#[derive(Clone, Debug)]
pub struct Facing {
    /// The core among the model's cores.
    pub core: usize,
    /// Its resistances at the rating.
    pub side: CoreSide,
    /// Coolant flow, kg/s.
    pub flow: f64,
    /// Viscosity, conductivity and heat capacity of its coolant.
    pub coolant: [f64; 3],
    /// Mean temperature of its wall, K.
    pub wall_k: f64,
}

/// What the air does at one instant.
#[derive(Clone, Debug)]
pub struct AirFlow {
    /// Mass flow through the stack, kg/s; negative when it comes from behind.
    pub flow: f64,
    /// Temperature before each core and behind the last, K, in the order of the stack.
    pub temperatures: Vec<f64>,
    /// Pressure fall of each core, Pa.
    pub falls: Vec<f64>,
    /// Density at the fans, kg/m³.
    pub fan_density: f64,
}

impl AirFlow {
    /// No air moves yet.
    pub fn still(cores: usize) -> Self {
        let (temperatures, falls) = (vec![0.0; cores + 1], vec![0.0; cores]);
        Self { flow: 0.0, temperatures, falls, fan_density: 0.0 }
    }
}

/// The laws of one air path for the network solver.
#[derive(Debug)]
pub struct AirLaws<'a> {
    /// The numbers of the model.
    pub values: &'a Values,
    /// The path.
    pub path: &'a AirPath,
    /// The model's cores.
    pub cores: &'a [Core],
    /// The cores of the path with their coolant side settled, front to back.
    pub facing: &'a [Facing],
    /// The air of the site.
    pub air: &'a Air,
    /// Its temperature, K.
    pub air_k: f64,
    /// Road speed, m/s.
    pub road_speed: f64,
    /// Cells per core.
    pub cells: f64,
}

impl AirLaws<'_> {
    /// The exchange of one cell of a core with the air flow `flow`.
    pub fn exchange<S: Scalar>(&self, facing: &Facing, flow: S) -> Exchange<S> {
        let core = &self.cores[facing.core];
        let side = &facing.side;
        let whole = side.resistances(self.values, core, (facing.flow, facing.coolant), flow);
        let still = side.air_flow * 1e-6;
        let air = (flow * flow + still * still).sqrt() * self.air.heat_capacity(self.air_k);
        Exchange::of_cell(whole, air, facing.flow.abs() * facing.coolant[2], self.cells)
    }

    /// Falls of the stack's cores at a mass flow, with the temperature before each core and behind
    /// the last. Called for each core in the order in which the air meets them.
    pub fn through_stack<S: Scalar>(&self, flow: S, mut each: impl FnMut(usize, S, S)) -> (S, S) {
        let count = self.facing.len();
        let mut temperature = S::from(self.air_k);
        let mut fall = S::from(0.0);
        for step in 0..count {
            let at = if flow.value() >= 0.0 { step } else { count - 1 - step };
            let facing = &self.facing[at];
            let before = temperature;
            // A flow of exactly zero takes no heat along; just above it the air leaves at the
            // temperature of the wall.
            if flow.value() != 0.0 {
                let exchange = self.exchange(facing, flow);
                let capacity = flow.abs() * self.air.heat_capacity(self.air_k);
                let rise = exchange.wall_air * self.cells / capacity;
                temperature += rise * (S::from(facing.wall_k) - before);
            }
            let mean = (before + temperature) * 0.5;
            let core_fall = self.core_fall(&self.cores[facing.core], flow, self.air.density(mean));
            each(at, before, core_fall);
            fall += core_fall;
        }
        (fall, temperature)
    }

    /// Fall of one core: Δp ρ = Δp₀ ρ₀ (w/w₀)^n, odd in the flow, with the open share of the face.
    fn core_fall<S: Scalar>(&self, core: &Core, flow: S, density: S) -> S {
        let get = |slot| self.values.get(slot);
        let share = flow / ((1.0 - get(core.blocked)) * get(core.air_fall_flow));
        let product = get(core.air_fall) * get(core.air_fall_density);
        // A linear start below 1 % of the rated flow keeps the slope above zero at rest.
        let small = 0.01;
        let exponent = get(core.air_fall_exponent) - 1.0;
        let size = ((share * share + small * small) / (1.0 + small * small)).sqrt();
        share * size.powf(exponent) * product / density
    }

    /// Fall along the stack with grille, shroud and ducts, less the ram pressure.
    fn stack<S: Scalar>(&self, flow: S) -> (S, S) {
        let get = |slot| self.values.get(slot);
        let (fall, behind) = self.through_stack(flow, |_, _, _| ());
        let share = flow / get(self.path.fall_flow);
        let density = self.air.density(self.air_k);
        let ram = get(self.path.ram_share) * 0.5 * density * self.road_speed * self.road_speed;
        (fall + share * share.abs() * get(self.path.fall) - ram, behind)
    }

    /// Density of the air at the fans for a flow through the stack.
    pub fn fan_density<S: Scalar>(&self, flow: S) -> S {
        let behind = if flow.value() >= 0.0 {
            self.through_stack(flow, |_, _, _| ()).1
        } else {
            S::from(self.air_k)
        };
        self.air.density(behind)
    }
}

impl Laws for AirLaws<'_> {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        let flow = Dual::variable(flows[0]);
        let (fall, behind) = self.stack(flow);
        falls[0] = fall.value;
        slopes[0] = fall.slope();
        let behind = if flow.value >= 0.0 { behind } else { Dual::from(self.air_k) };
        let density = self.air.density(behind);
        for (k, fan) in self.path.fans.iter().enumerate() {
            let density = Dual { value: density.value, slopes: [density.slope(), 0.0] };
            let through = Dual::<2>::seeded(flows[k + 1], 1);
            let fall = fan.fall(&self.values.reader(), density, through);
            falls[k + 1] = fall.value;
            slopes[k + 1] = fall.slopes[1];
            cross[k] = fall.slopes[0];
        }
    }
}
