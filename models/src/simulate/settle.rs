//! Everything that follows a given set of temperatures at once: flows, pressures, films, air.

use coolwright_solver::network::{Network, NoFactor, Settings};

use super::Setup;
use super::layout::Layout;
use super::simulator::Simulator;
use crate::air::{Around, CoreRating, Exchange, Facing, GasNetwork, Inside, Met, plug_flow_factor};
use crate::charge::{Along, AtStage, ChargeAir, Gas, follow};
use crate::circuit::{CircuitLaws, CompiledLaws, Joint, PartState};
use crate::model::Model;
use crate::parts::{CORE_CELLS, CoolantAt, HeatPartner, MOST_OWN};
use crate::wall::WallCell;

/// Why flows could not be settled.
#[derive(Clone, Debug)]
pub enum Unsettled {
    /// The coolant flows of a circuit.
    Circuit {
        /// The circuit.
        circuit: usize,
        /// What the network solver says.
        stuck: Box<coolwright_solver::network::Stuck>,
    },
    /// The air flows of a path.
    Air {
        /// The path.
        path: usize,
        /// What the network solver says.
        stuck: Box<coolwright_solver::network::Stuck>,
    },
}

/// Flows and conductances that belong to one set of temperatures. Kept between calls as the start
/// of the next.
#[derive(Clone, Debug)]
pub struct Settled {
    networks: Vec<Network>,
    couplings: Vec<Vec<(usize, usize)>>,
    compiled: Vec<CompiledLaws>,
    inflow: Vec<Vec<f64>>,
    held: Vec<Vec<Option<f64>>>,
    /// State of every part, all circuits.
    pub parts: Vec<PartState>,
    /// Density at every junction.
    pub junction_density: Vec<Vec<f64>>,
    /// Mass flow of every run, kg/s.
    pub flows: Vec<Vec<f64>>,
    /// Total gauge pressure of every junction, Pa; for a closed circuit up to a constant.
    pub pressures: Vec<Vec<f64>>,
    /// Mass flow from outside into every junction, kg/s.
    pub outside: Vec<Vec<f64>>,
    /// Conductance between each cell of a part and each node of the metal of its body that it touches, W/K.
    pub conductance: Vec<f64>,
    /// Where each piece of each hot wall touches coolant, body after body.
    pub walls: Vec<WallCell>,
    /// Conductance between each thing that stands in the air of the bay and that, W/K.
    pub exposed: Vec<f64>,
    /// Mean temperature of what each of them holds, K.
    pub exposed_k: Vec<f64>,
    /// Conductance between a kilogram of coolant in the hoses of each circuit and the air of the bay, W/(K·kg).
    pub bay_per_kg: Vec<f64>,
    /// Exchange of each core's cells.
    pub exchange: Vec<Exchange<f64>>,
    /// The air of each path.
    pub gases: Vec<GasNetwork>,
    /// The charge air of each way.
    pub charges: Vec<Charge>,
    settings: Settings,
}

/// What a way of charge air does at one set of temperatures.
#[derive(Clone, Debug, Default)]
pub struct Charge {
    /// What each stage did.
    pub stages: Vec<AtStage>,
    /// Heat into the metal that it met, W, in the order of the layout's places.
    pub heat_w: Vec<f64>,
    /// Room: temperatures of that metal, K.
    metal_k: Vec<f64>,
    /// Room: conductances of the air side of one node of each body at its rating, W/K.
    rated: Vec<f64>,
}

impl Charge {
    /// A way whose air has met nothing yet.
    fn of(path: &ChargeAir) -> Self {
        Self { stages: vec![AtStage::nothing(); path.stages.len()], ..Self::default() }
    }

    /// Temperatures of the metal that it met, K, in the order of the layout's places.
    pub fn metal_k(&self) -> &[f64] {
        &self.metal_k
    }

    /// The air behind all stages; `None` where there is no stage.
    pub fn manifold(&self) -> Option<&Gas> {
        self.stages.last().map(|stage| &stage.leaving)
    }
}

/// Flows to start a search from: those of a point close by.
#[derive(Clone, Debug, Default)]
pub struct Flows {
    /// Mass flow of every run of every circuit, kg/s.
    coolant: Vec<Vec<f64>>,
    /// Mass flow of every lane of every air path, kg/s.
    air: Vec<Vec<f64>>,
}

/// Where a search for flows starts without any that are close, kg/s.
const START_KG_S: f64 = 0.1;

impl Settled {
    /// Makes the networks of a model; no flow yet.
    ///
    /// # Panics
    /// When the structure of the model is broken: a run names a junction that is not there.
    pub fn new(model: &Model, layout: &Layout) -> Self {
        let couplings: Vec<_> =
            model.circuits.iter().map(crate::circuit::Circuit::couplings).collect();
        let network = |(circuit, pairs): (&crate::circuit::Circuit, &Vec<(usize, usize)>)| {
            let runs: Vec<_> = circuit.runs.iter().map(|run| (run.from, run.to)).collect();
            Network::new(circuit.junctions.len(), &runs, pairs).expect("runs join known junctions")
        };
        let networks = model.circuits.iter().zip(&couplings).map(network).collect();
        let compiled =
            model.circuits.iter().zip(&couplings).map(|(c, pairs)| CompiledLaws::new(c, pairs));
        let junctions = |c: &crate::circuit::Circuit| vec![0.0; c.junctions.len()];
        Self {
            networks,
            compiled: compiled.collect(),
            couplings,
            inflow: model.circuits.iter().map(junctions).collect(),
            held: model.circuits.iter().map(|c| vec![None; c.junctions.len()]).collect(),
            parts: vec![PartState::default(); layout.parts.len()],
            junction_density: model.circuits.iter().map(junctions).collect(),
            flows: model.circuits.iter().map(|c| vec![START_KG_S; c.runs.len()]).collect(),
            pressures: model.circuits.iter().map(junctions).collect(),
            outside: model.circuits.iter().map(junctions).collect(),
            conductance: vec![0.0; layout.parts.len()],
            walls: vec![WallCell::default(); layout.wall_contacts().count()],
            exposed: vec![0.0; layout.exposed.len()],
            exposed_k: vec![0.0; layout.exposed.len()],
            bay_per_kg: vec![0.0; model.circuits.len()],
            exchange: vec![Exchange { coolant_wall: 0.0, wall_air: 0.0 }; model.cores.len()],
            gases: model.air_paths.iter().map(GasNetwork::new).collect(),
            charges: model.charge_air.iter().map(Charge::of).collect(),
            settings: Settings::default(),
        }
    }

    /// Forgets the flows, so that the next search starts as the first one did and goes as far.
    pub fn start_anew(&mut self) {
        self.settings = Settings::default();
        self.gases.iter_mut().for_each(|gas| gas.settings = Settings::default());
        self.flows.iter_mut().for_each(|flows| flows.fill(START_KG_S));
        self.gases.iter_mut().for_each(GasNetwork::start_anew);
    }

    /// Starts the next search from the flows of a point close by.
    pub fn start_from(&mut self, near: &Flows) {
        self.flows.iter_mut().zip(&near.coolant).for_each(|(now, near)| now.clone_from(near));
        self.gases.iter_mut().zip(&near.air).for_each(|(gas, near)| gas.start_from(near));
    }

    /// Starts the next search from the flows of the last one, moved by what lies between two points of
    /// another course.
    pub(crate) fn start_moved(&mut self, from: &Flows, to: &Flows) {
        let moved = |flows: &mut [f64], from: &[f64], to: &[f64]| {
            let moves = from.iter().zip(to);
            flows.iter_mut().zip(moves).for_each(|(flow, (from, to))| *flow += to - from);
        };
        for ((flows, from), to) in self.flows.iter_mut().zip(&from.coolant).zip(&to.coolant) {
            moved(flows, from, to);
        }
        for ((gas, from), to) in self.gases.iter_mut().zip(&from.air).zip(&to.air) {
            moved(&mut gas.flows, from, to);
        }
    }

    /// From now on a search for flows ends with a step of Newton's method that is below this share of the
    /// largest flow, until [`Settled::start_anew`].
    pub(crate) fn settle_by_steps_below(&mut self, share: f64) {
        let settings = Settings { closure: share, change: share, ..Settings::default() };
        self.settings = settings;
        self.gases.iter_mut().for_each(|gas| gas.settings = settings);
    }

    /// Writes the flows as a start for a search close by.
    pub fn flows_into(&self, out: &mut Flows) {
        out.coolant.clone_from(&self.flows);
        out.air.resize_with(self.gases.len(), Vec::new);
        for (out, gas) in out.air.iter_mut().zip(&self.gases) {
            out.clear();
            out.extend_from_slice(gas.flows());
        }
    }

    /// Settles everything for the temperatures `y`.
    ///
    /// # Errors
    /// When a network does not come to rest.
    pub(super) fn settle(&mut self, setup: &Setup<'_>, y: &[f64]) -> Result<(), Unsettled> {
        for circuit in 0..setup.model.circuits.len() {
            self.coolant(circuit, setup, y)?;
        }
        self.films(setup);
        self.bay(setup, y);
        for path in 0..setup.model.air_paths.len() {
            self.air(path, setup, y)?;
        }
        self.charge_air(setup, y);
        Ok(())
    }

    /// Follows the charge air of every way.
    fn charge_air(&mut self, setup: &Setup<'_>, y: &[f64]) {
        for (a, charge) in self.charges.iter_mut().enumerate() {
            let Charge { stages, heat_w, metal_k, rated } = charge;
            metal_k.clear();
            metal_k.extend(setup.layout.charges[a].states.iter().map(|&state| y[state]));
            rated.clear();
            rated.extend(rated_charges(setup));
            follow(&along(setup, a, rated), metal_k, stages, heat_w);
        }
    }

    /// Coolant flows of one circuit.
    fn coolant(&mut self, c: usize, setup: &Setup<'_>, y: &[f64]) -> Result<(), Unsettled> {
        let Setup { model, values, prepared, layout, .. } = setup;
        let circuit = &model.circuits[c];
        let coolant = &prepared.coolants[c];
        let range = layout.circuit_parts[c]..layout.circuit_parts[c + 1];
        for index in range.clone() {
            let (first, count) = layout.parts[index].near;
            let temperature_k = y[first..first + count].iter().sum::<f64>() / count as f64;
            self.parts[index] = PartState {
                temperature_k,
                density: coolant.density(temperature_k),
                viscosity: coolant.viscosity(temperature_k) * setup.offsets.viscosities[c],
                own: [0.0; MOST_OWN],
            };
        }
        for owner in layout.owners.iter().filter(|owner| range.contains(&owner.part)) {
            self.parts[owner.part].own[..owner.count].copy_from_slice(&y[owner.states()]);
        }
        for (j, junction) in circuit.junctions.iter().enumerate() {
            let density = coolant.density(y[layout.junctions[c] + j]);
            self.junction_density[c][j] = density;
            (self.held[c][j], self.inflow[c][j]) = match &junction.joint {
                Joint::Held { pressure, .. } => (Some(values.get(*pressure)), 0.0),
                Joint::Fed { flow, temperature } => {
                    (None, values.get(*flow) * coolant.density(values.get(*temperature)))
                }
                Joint::Plain { .. } | Joint::Tank(_) | Joint::Tee { .. } => (None, 0.0),
            };
        }
        let laws = CircuitLaws {
            circuit,
            values,
            parts: &self.parts[range],
            junction_density: &self.junction_density[c],
            couplings: &self.couplings[c],
        };
        let mut laws = self.compiled[c].compile(laws);
        laws.offset(&setup.offsets.runs[c], &setup.offsets.run_squares[c]);
        self.networks[c]
            .solve(
                &mut laws,
                &self.inflow[c],
                &self.held[c],
                &mut self.flows[c],
                &mut self.pressures[c],
                &self.settings,
            )
            .map_err(|stuck| Unsettled::Circuit { circuit: c, stuck })?;
        self.outside[c].copy_from_slice(self.networks[c].outside());
        Ok(())
    }

    /// Response of one circuit to an offset in the falls of its runs, Pa: change of all flows, kg/s,
    /// and of all pressures, Pa, linear, on the factor that the last solve left.
    ///
    /// # Errors
    /// When the last solve left no factor.
    pub fn respond(
        &mut self,
        circuit: usize,
        falls: &[f64],
        flows: &mut [f64],
        pressures: &mut [f64],
    ) -> Result<(), NoFactor> {
        self.networks[circuit].sensitivity_solve(falls, flows, pressures)
    }

    /// Conductances between coolant and the metal of bodies, their hot walls too.
    pub(super) fn films(&mut self, setup: &Setup<'_>) {
        let Setup { prepared, layout, .. } = setup;
        for (index, cells) in layout.parts.iter().enumerate() {
            if let Some(HeatPartner::Body(_)) = setup.part(index).partner() {
                let coolant = &prepared.coolants[cells.at.0];
                let local = CoolantAt::of(coolant, self.parts[index].temperature_k);
                self.conductance[index] = self.cell_conductance(setup, index, &local);
            }
        }
        let mut pass: Option<(usize, [f64; 2])> = None;
        for (place, (body, contact)) in layout.wall_contacts().enumerate() {
            let nodes = layout.bodies[body].wall.as_ref();
            let Some((wall, nodes)) = setup.model.bodies[body].wall.zip(nodes) else { continue };
            let part = contact.part;
            // All pieces along a pass are alike.
            let known = pass.filter(|(of, _)| *of == part).map(|(_, known)| known);
            let conductances = known.unwrap_or_else(|| {
                let (c, r, _) = layout.parts[part].at;
                let local = CoolantAt::of(&prepared.coolants[c], self.parts[part].temperature_k);
                let washed = (&local, self.flows[c][r]);
                wall.of_piece((&setup.values, setup.offsets.films[part]), washed, nodes.cells)
            });
            pass = Some((part, conductances));
            [self.walls[place].through, self.walls[place].film] = conductances;
        }
    }

    /// Conductance of the film of a whole pass, W/K, with its coolant as it is.
    pub(crate) fn film_w_k(&self, setup: &Setup<'_>, part: usize) -> f64 {
        let coolant = &setup.prepared.coolants[setup.layout.parts[part].at.0];
        self.pass_film(setup, part, &CoolantAt::of(coolant, self.parts[part].temperature_k))
    }

    /// The same with the coolant as given.
    fn pass_film(&self, setup: &Setup<'_>, part: usize, coolant: &CoolantAt) -> f64 {
        let (c, r, _) = setup.layout.parts[part].at;
        let law = setup.part(part).conductance_w_k(&setup.values, coolant, self.flows[c][r]);
        law * setup.offsets.films[part]
    }

    /// Conductance between one cell of a pass and each node of metal that it touches, W/K, with the coolant as given. A row of
    /// stirred cells is to take as much from the metal as plug flow does.
    pub(super) fn cell_conductance(
        &self,
        setup: &Setup<'_>,
        part: usize,
        coolant: &CoolantAt,
    ) -> f64 {
        let (c, r, _) = setup.layout.parts[part].at;
        let flow = self.flows[c][r];
        let whole = self.pass_film(setup, part, coolant);
        let each = whole / setup.layout.parts[part].count as f64;
        let passing = (flow.abs() * coolant.heat_capacity).max(1e-12);
        each * plug_flow_factor(each / passing) / setup.layers(part) as f64
    }

    /// Air of one path, and the exchange of its cores.
    fn air(&mut self, a: usize, setup: &Setup<'_>, y: &[f64]) -> Result<(), Unsettled> {
        let Self { gases, exchange, parts, flows, .. } = self;
        let faces = setup.model.air_paths[a].cores.iter().map(|&core| {
            let (c, r, _) = setup.layout.parts[setup.layout.core_parts[core]].at;
            let temperature_k = parts[setup.layout.core_parts[core]].temperature_k;
            facing(core, setup, (flows[c][r], temperature_k), y)
        });
        let settled = gases[a].settle(&around(setup, a), faces);
        settled.map_err(|stuck| Unsettled::Air { path: a, stuck })?;
        for met in gases[a].cores() {
            exchange[met.core] = met.exchange;
        }
        Ok(())
    }
}

/// The coolant in a core at its flow (kg/s) and temperature (K), with a wall of the given mean temperature (K).
pub(crate) fn inside(
    setup: &Setup<'_>,
    core: usize,
    (flow, coolant_k): (f64, f64),
    wall_k: f64,
) -> Inside<f64> {
    let Setup { prepared, layout, .. } = setup;
    let (c, _, _) = layout.parts[layout.core_parts[core]].at;
    let local = CoolantAt::of(&prepared.coolants[c], coolant_k);
    let wall_viscosity = match setup.model.cores[core].rating {
        CoreRating::Built(_) => prepared.coolants[c].viscosity(wall_k),
        CoreRating::Point(_) | CoreRating::Table(_) => local.viscosity,
    };
    let coolant = [local.viscosity, local.conductivity, local.heat_capacity];
    Inside { flow, coolant, wall_viscosity }
}

/// The coolant in a core as it was met by the air.
pub(crate) fn inside_met(simulator: &Simulator<'_>, met: &Met) -> Inside<f64> {
    let index = simulator.setup.layout.core_parts[met.core];
    let (c, r, _) = simulator.setup.layout.parts[index].at;
    let coolant = (simulator.settled.flows[c][r], simulator.settled.parts[index].temperature_k);
    inside(&simulator.setup, met.core, coolant, met.wall_k)
}

/// A core as the air sees it, with a coolant flow (kg/s) of the given temperature (K).
fn facing(core: usize, setup: &Setup<'_>, coolant: (f64, f64), y: &[f64]) -> Facing {
    let Setup { prepared, layout, .. } = setup;
    let walls = &y[layout.walls[core]..layout.walls[core] + CORE_CELLS];
    let wall_k = walls.iter().sum::<f64>() / CORE_CELLS as f64;
    let Inside { flow, coolant, wall_viscosity } = inside(setup, core, coolant, wall_k);
    Facing {
        core,
        side: prepared.cores[core],
        conductance: setup.offsets.cores[core],
        flow,
        coolant,
        wall_viscosity,
        wall_k,
    }
}

/// Conductances of the air side of one node of each body at its rating, W/K, with what their laws are off by.
pub(crate) fn rated_charges(setup: &Setup<'_>) -> impl Iterator<Item = f64> {
    setup.prepared.charges.iter().zip(&setup.offsets.charges).map(|(rated, off)| rated * off)
}

/// What the charge air of a way stands in.
pub(crate) fn along<'a>(setup: &'a Setup<'_>, a: usize, rated: &'a [f64]) -> Along<'a> {
    let Setup { model, values, prepared, layout, .. } = setup;
    Along {
        values,
        path: &model.charge_air[a],
        bodies: &model.bodies,
        places: &layout.charges[a],
        air: &prepared.air,
        air_k: prepared.air_k,
        rated,
    }
}

/// The share of the rated air flow below which a lane among others counts as turning round.
const NEXT_TO_REST: f64 = 0.02;

/// What the air of a path stands in.
pub(crate) fn around<'a>(setup: &'a Setup<'_>, path: usize) -> Around<'a> {
    let Setup { model, values, prepared, offsets, .. } = setup;
    let rated = model.air_paths[path].cores.iter().map(|&core| prepared.cores[core].air_flow);
    Around {
        small: if model.air_paths[path].has_lanes() {
            NEXT_TO_REST * rated.fold(0.0, f64::max)
        } else {
            0.0
        },
        off_pa: &offsets.lanes[path],
        values,
        path: &model.air_paths[path],
        cores: &model.cores,
        air: &prepared.air,
        air_k: prepared.air_k,
        heat_capacity: prepared.air.heat_capacity(prepared.air_k),
        cells: CORE_CELLS as f64,
    }
}
