//! The charge air on its way from stage to stage.

use coolwright_solver::scalar::Scalar;

use super::gas::{Gas, LEWIS_FACTOR, latent_heat};
use super::plan::{ChargeAir, Stage, StageKind};
use super::side::{LAYERS, Way};
use crate::body::Body;
use crate::fluids::Air;
use crate::parts::PASS_CELLS;
use crate::slots::Values;

/// What the charge air stands in at one instant.
#[derive(Clone, Copy, Debug)]
pub struct Along<'a> {
    /// The numbers of the model.
    pub values: &'a Values,
    /// The way.
    pub path: &'a ChargeAir,
    /// The model's bodies.
    pub bodies: &'a [Body],
    /// Where the metal of the charge coolers on the way stands.
    pub places: &'a Places,
    /// The air of the site.
    pub air: &'a Air,
    /// Its temperature, K.
    pub air_k: f64,
    /// Conductance of the air side of one node of each body at its rating, W/K, with what its law is off by.
    pub rated: &'a [f64],
}

/// The metal of the charge coolers on a way, in the order in which the air meets it.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// Groups of nodes that the air meets at once.
    pub groups: Vec<Group>,
    /// The state of every node, group after group.
    pub states: Vec<usize>,
}

/// Nodes of a cooler that the air meets at once, each with an equal share of it.
#[derive(Clone, Debug)]
pub struct Group {
    /// The stage.
    pub stage: usize,
    /// The nodes, by their place among those of the way.
    pub nodes: std::ops::Range<usize>,
}

impl Places {
    /// The places of the nodes of a way; `first_node` gives the first state of a body.
    pub fn of(path: &ChargeAir, bodies: &[Body], first_node: impl Fn(usize) -> usize) -> Self {
        let mut places = Self::default();
        for (s, stage) in path.stages.iter().enumerate() {
            let StageKind::Cooler { body } = stage.kind else { continue };
            let Some(side) = &bodies[body].charge else { continue };
            let first = first_node(body);
            let all: Vec<usize> = (0..side.passes).collect();
            let groups: Vec<&[usize]> = match &side.way {
                Way::SideBySide => vec![&all],
                Way::InTurn(order) => order.chunks(1).collect(),
            };
            for (passes, layer) in
                groups.into_iter().flat_map(|passes| (0..LAYERS).map(move |layer| (passes, layer)))
            {
                let start = places.states.len();
                for pass in passes {
                    let first = first + (pass * LAYERS + layer) * PASS_CELLS;
                    places.states.extend(first..first + PASS_CELLS);
                }
                places.groups.push(Group { stage: s, nodes: start..places.states.len() });
            }
        }
        places
    }
}

/// What a stage did to the air.
#[derive(Clone, Copy, Debug)]
pub struct AtStage<S = f64> {
    /// The air in front of it.
    pub entering: Gas<S>,
    /// The air behind it.
    pub leaving: Gas<S>,
    /// Heat that the air gave off, by cooling and by condensing, W; below zero of a compressor, by what it
    /// was compressed with.
    pub heat_w: S,
    /// Water that condensed, kg/s.
    pub condensed: S,
}

impl AtStage {
    /// A stage that has done nothing yet: all its numbers zero.
    pub(crate) fn nothing() -> Self {
        let gas = Gas { temperature_k: 0.0, pressure_pa: 0.0, humidity: 0.0 };
        Self { entering: gas, leaving: gas, heat_w: 0.0, condensed: 0.0 }
    }
}

/// Follows the charge air from the site to the manifold, for the temperatures `metal_k` of the metal that
/// it meets, in the order of [`Places::states`]. Writes what each stage did, and the heat into each node, W.
pub fn follow<S: Scalar>(
    along: &Along<'_>,
    metal_k: &[S],
    stages: &mut Vec<AtStage<S>>,
    heat_w: &mut Vec<S>,
) {
    stages.clear();
    heat_w.clear();
    let flow = along.values.get(along.path.flow);
    let dry = flow / (1.0 + along.air.humidity_ratio);
    let mut gas = Gas::<S>::of(along.air, along.air_k);
    for (s, stage) in along.path.stages.iter().enumerate() {
        let entering = gas;
        let mut heat = S::from(0.0);
        match stage.kind {
            StageKind::Duct { soak } => {
                let site = Gas { temperature_k: S::from(along.air_k), ..gas };
                let passed = passed(along.values.get(soak), capacity(&gas, dry));
                gas.temperature_k -= (gas.temperature_k - site.temperature_k) * passed;
            }
            StageKind::Compressor { ratio, efficiency } => {
                let told = (ratio, efficiency);
                let efficiency = along.path.efficiency(along.values, told, &gas);
                gas = gas.compressed(along.values.get(ratio), efficiency);
            }
            StageKind::AirCooled { effectiveness } => {
                let share = along.values.get(effectiveness);
                gas.temperature_k -= (gas.temperature_k - along.air_k) * share;
                gas.humidity = gas.dried(gas.temperature_k, S::from(1.0));
            }
            StageKind::Cooler { body } => {
                let groups = along.places.groups.iter().filter(|group| group.stage == s);
                for group in groups {
                    gas = through(along, (body, group), (gas, dry), metal_k, heat_w);
                    for node in &heat_w[group.nodes.clone()] {
                        heat += *node;
                    }
                }
            }
        }
        if !matches!(stage.kind, StageKind::Cooler { .. }) {
            let mean = Gas {
                temperature_k: (entering.temperature_k + gas.temperature_k) * 0.5,
                ..entering
            };
            let dropped = (entering.humidity - gas.humidity) * dry;
            heat = capacity(&mean, dry) * (entering.temperature_k - gas.temperature_k)
                + dropped * latent_heat(gas.temperature_k);
        }
        fall(along, stage, (&entering, &mut gas), flow);
        let condensed = (entering.humidity - gas.humidity) * dry;
        stages.push(AtStage { entering, leaving: gas, heat_w: heat, condensed });
    }
}

/// Capacity flow of the air, W/K, for a flow of its dry air, kg/s.
fn capacity<S: Scalar>(gas: &Gas<S>, dry: f64) -> S {
    gas.dry_based_heat_capacity(gas.temperature_k) * dry
}

/// 1 − e^(−a/C): the share of what could pass between air and a wall at one temperature that does.
fn passed<S: Scalar>(conductance: f64, capacity: S) -> S {
    let least = S::from(conductance * LEAST_CAPACITY);
    let capacity = if capacity.value() > least.value() { capacity } else { least };
    if conductance > 0.0 { -((S::from(-conductance) / capacity).exp_m1()) } else { S::from(0.0) }
}

/// Air whose capacity flow is below this share of a conductance takes on the temperature of the wall.
const LEAST_CAPACITY: f64 = 1e-3;

/// The air behind nodes that it meets at once; the heat into each is added to the list.
///
/// q = C·(1 − e^(−a/C))·(T − T_m) + w_d·(ω − ω_s(T_m))·(1 − e^(−a/(C·Le^(2/3))))·L
fn through<S: Scalar>(
    along: &Along<'_>,
    (body, group): (usize, &Group),
    (gas, dry): (Gas<S>, f64),
    metal_k: &[S],
    heat_w: &mut Vec<S>,
) -> Gas<S> {
    let count = group.nodes.len() as f64;
    let flow = along.values.get(along.path.flow);
    let side = along.bodies[body].charge.as_ref().expect("a charge cooler has a charge side");
    let conductance = side.air_side_at(along.values, along.rated[body], flow);
    let each = capacity(&gas, dry) / count;
    let share = passed(conductance, each);
    let moist = passed(conductance / LEWIS_FACTOR, each);
    let (mut cooled_sum, mut dropped) = (S::from(0.0), S::from(0.0));
    for metal in &metal_k[group.nodes.clone()] {
        let cooled = (gas.temperature_k - *metal) * share;
        let left = gas.dried(*metal, moist);
        let latent = (gas.humidity - left) * latent_heat(*metal) * (dry / count);
        heat_w.push(each * cooled + latent);
        cooled_sum += cooled;
        dropped += gas.humidity - left;
    }
    Gas {
        temperature_k: gas.temperature_k - cooled_sum / count,
        humidity: gas.humidity - dropped / count,
        ..gas
    }
}

/// Takes the fall of a stage off the pressure: at its mean temperature and the pressure in front of it, and
/// never more than most of that.
fn fall<S: Scalar>(
    along: &Along<'_>,
    stage: &Stage,
    (entering, gas): (&Gas<S>, &mut Gas<S>),
    flow: f64,
) {
    let Some(known) = &stage.fall else { return };
    let mean =
        Gas { temperature_k: (entering.temperature_k + gas.temperature_k) * 0.5, ..*entering };
    let fall = known.at(along.values, 1.0, S::from(flow), mean.density());
    let most = entering.pressure_pa * MOST_FALL;
    gas.pressure_pa -= if fall.value() < most.value() { fall } else { most };
}

/// The share of the pressure in front of a stage that it takes at most: more would leave none, and such a flow does not
/// pass ([`crate::warnings::Warning::Choked`]).
const MOST_FALL: f64 = 0.9;
