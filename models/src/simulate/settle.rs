//! Everything that follows a given set of temperatures at once: flows, pressures, films, air.

use coolwright_solver::network::{Laws, Network, NoFactor, Settings};

use super::Setup;
use super::layout::Layout;
use crate::air::{AirFlow, AirLaws, AirPath, Exchange, Facing};
use crate::circuit::{CircuitLaws, CompiledLaws, Joint, PartState};
use crate::model::Model;
use crate::parts::{CORE_CELLS, CoolantAt, HeatPartner};

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
#[derive(Debug)]
pub struct Settled {
    networks: Vec<Network>,
    couplings: Vec<Vec<(usize, usize)>>,
    compiled: Vec<CompiledLaws>,
    air_networks: Vec<Network>,
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
    /// Conductance between each cell of a part and the metal of its body, W/K.
    pub conductance: Vec<f64>,
    /// Exchange of each core's cells.
    pub exchange: Vec<Exchange<f64>>,
    /// Air flow of each path.
    pub air: Vec<AirFlow>,
    /// Mass flow through the stack and the fans of each path, kg/s.
    pub air_runs: Vec<Vec<f64>>,
    air_pressures: Vec<Vec<f64>>,
    facing: Vec<Vec<Facing>>,
    settings: Settings,
}

/// Less than this, Pa, moves no air worth the name: below it a search for the balance ends in
/// rounding.
const STILL_PA: f64 = 1e-6;

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
        let air_network = |path: &AirPath| {
            let fans = path.fans.len();
            let runs: Vec<_> = std::iter::once((0, 1)).chain((0..fans).map(|_| (1, 2))).collect();
            let pairs: Vec<_> = (1..=fans).map(|fan| (fan, 0)).collect();
            Network::new(3, &runs, &pairs).expect("an air path has three junctions")
        };
        let start = |value: f64| move |c: &crate::circuit::Circuit| vec![value; c.runs.len()];
        let junctions = |c: &crate::circuit::Circuit| vec![0.0; c.junctions.len()];
        Self {
            networks,
            compiled: compiled.collect(),
            couplings,
            air_networks: model.air_paths.iter().map(air_network).collect(),
            inflow: model.circuits.iter().map(junctions).collect(),
            held: model.circuits.iter().map(|c| vec![None; c.junctions.len()]).collect(),
            parts: vec![PartState::default(); layout.parts.len()],
            junction_density: model.circuits.iter().map(junctions).collect(),
            flows: model.circuits.iter().map(start(0.1)).collect(),
            pressures: model.circuits.iter().map(junctions).collect(),
            outside: model.circuits.iter().map(junctions).collect(),
            conductance: vec![0.0; layout.parts.len()],
            exchange: vec![Exchange { coolant_wall: 0.0, wall_air: 0.0 }; model.cores.len()],
            air: model.air_paths.iter().map(|path| AirFlow::still(path.cores.len())).collect(),
            air_runs: model.air_paths.iter().map(|p| vec![0.1; p.fans.len() + 1]).collect(),
            air_pressures: model.air_paths.iter().map(|_| vec![0.0; 3]).collect(),
            facing: model.air_paths.iter().map(|_| Vec::new()).collect(),
            settings: Settings::default(),
        }
    }

    /// Settles everything for the temperatures `y`.
    ///
    /// # Errors
    /// When a network does not come to rest.
    pub fn settle(&mut self, setup: &Setup<'_>, y: &[f64]) -> Result<(), Unsettled> {
        for circuit in 0..setup.model.circuits.len() {
            self.coolant(circuit, setup, y)?;
        }
        self.films(setup);
        for path in 0..setup.model.air_paths.len() {
            self.air(path, setup, y)?;
        }
        Ok(())
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
                viscosity: coolant.viscosity(temperature_k),
            };
        }
        for (j, junction) in circuit.junctions.iter().enumerate() {
            let density = coolant.density(y[layout.junctions[c] + j]);
            self.junction_density[c][j] = density;
            (self.held[c][j], self.inflow[c][j]) = match &junction.joint {
                Joint::Held { pressure, .. } => (Some(values.get(*pressure)), 0.0),
                Joint::Fed { flow, temperature } => {
                    (None, values.get(*flow) * coolant.density(values.get(*temperature)))
                }
                Joint::Plain | Joint::Tank(_) | Joint::Tee { .. } => (None, 0.0),
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

    /// Conductances between coolant and the metal of bodies.
    fn films(&mut self, setup: &Setup<'_>) {
        let Setup { model, values, prepared, layout, .. } = setup;
        for (index, cells) in layout.parts.iter().enumerate() {
            let (c, r, p) = cells.at;
            let part = &model.circuits[c].runs[r].parts[p].part;
            if let Some(HeatPartner::Body(_)) = part.partner() {
                let local = CoolantAt::of(&prepared.coolants[c], self.parts[index].temperature_k);
                let whole = part.conductance_w_k(values, &local, self.flows[c][r]);
                self.conductance[index] = whole / cells.count as f64;
            }
        }
    }

    /// Air flow of one path, and the exchange of its cores.
    fn air(&mut self, a: usize, setup: &Setup<'_>, y: &[f64]) -> Result<(), Unsettled> {
        let Setup { model, values, prepared, .. } = setup;
        let path = &model.air_paths[a];
        let mut facing = std::mem::take(&mut self.facing[a]);
        facing.clear();
        for &core in &path.cores {
            facing.push(self.facing_core(core, setup, y));
        }
        let mut laws = air_laws(setup, path, &facing);
        let held = [Some(0.0), path.fans.is_empty().then_some(0.0), Some(0.0)];
        let flows = &mut self.air_runs[a];
        let pressures = &mut self.air_pressures[a];
        let ram_pa = 0.6 * laws.road_speed * laws.road_speed * values.get(path.ram_share);
        let fans_pa = path.fans.iter().map(|fan| {
            let speed = values.get(fan.speed);
            fan.curve.value(0.0) * speed * speed
        });
        let still = fans_pa.fold(ram_pa, f64::max) < STILL_PA;
        if still {
            // Nothing moves this air. Its falls go with powers of the flow above one, so a search
            // for the balance would end at slopes of zero.
            flows.fill(0.0);
            pressures.fill(0.0);
        } else {
            self.air_networks[a]
                .solve(&mut laws, &[0.0; 3], &held, flows, pressures, &self.settings)
                .map_err(|stuck| Unsettled::Air { path: a, stuck })?;
        }
        let flow = self.air_runs[a][0];
        let air = &mut self.air[a];
        air.flow = flow;
        air.temperatures.resize(facing.len() + 1, prepared.air_k);
        air.falls.resize(facing.len(), 0.0);
        let (_, behind) = laws.through_stack(flow, |at, before, fall| {
            air.temperatures[at] = before;
            air.falls[at] = fall;
        });
        air.temperatures[facing.len()] = behind;
        air.fan_density = laws.fan_density(flow);
        for facing in &facing {
            self.exchange[facing.core] = laws.exchange(facing, flow);
        }
        self.facing[a] = facing;
        Ok(())
    }

    /// Falls of pressure of stack and fan of an air path with one fan, with a mass flow (kg/s) forced
    /// through both, Pa; coolant and temperatures as settled. The stack's is less what the road speed
    /// gives. `None` where the path has several fans or none.
    pub fn air_falls(
        &self,
        setup: &Setup<'_>,
        y: &[f64],
        path: usize,
        flow: f64,
    ) -> Option<(f64, f64)> {
        let path = &setup.model.air_paths[path];
        if path.fans.len() != 1 {
            return None;
        }
        let facing: Vec<_> =
            path.cores.iter().map(|&core| self.facing_core(core, setup, y)).collect();
        let mut laws = air_laws(setup, path, &facing);
        let mut falls = [0.0; 2];
        laws.evaluate(&[flow; 2], &mut falls, &mut [0.0; 2], &mut [0.0]);
        Some((falls[0], falls[1]))
    }

    /// A core as the air sees it.
    fn facing_core(&self, core: usize, setup: &Setup<'_>, y: &[f64]) -> Facing {
        let Setup { prepared, layout, .. } = setup;
        let walls = &y[layout.walls[core]..layout.walls[core] + CORE_CELLS];
        let index = layout.core_parts[core];
        let (c, r, _) = layout.parts[index].at;
        let local = CoolantAt::of(&prepared.coolants[c], self.parts[index].temperature_k);
        Facing {
            core,
            side: prepared.cores[core],
            flow: self.flows[c][r],
            coolant: [local.viscosity, local.conductivity, local.heat_capacity],
            wall_k: walls.iter().sum::<f64>() / CORE_CELLS as f64,
        }
    }
}

/// The laws of an air path whose cores have their coolant side settled.
fn air_laws<'a>(setup: &'a Setup<'_>, path: &'a AirPath, facing: &'a [Facing]) -> AirLaws<'a> {
    let Setup { model, values, prepared, .. } = setup;
    AirLaws {
        values,
        path,
        cores: &model.cores,
        facing,
        air: &prepared.air,
        air_k: prepared.air_k,
        road_speed: values.get(model.drive.road_speed),
        cells: CORE_CELLS as f64,
    }
}
