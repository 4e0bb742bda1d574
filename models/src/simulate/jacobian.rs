//! The true Jacobian of the rates: with flows, films and air settled for every temperature.
//!
//! ```text
//! J = ∂f/∂y at held flows + Σ over runs ∂f/∂m_r dm_r/dy + Σ over channels e g'
//! ```
//!
//! How the flows go with the temperatures follows from the network: the derivative of each run's fall
//! with what its parts and tees feel, on the factor that the last solve left. What acts through one
//! number only is a channel: its gradient g over the states, and its effect e on the rates, taken as a
//! difference of explicit laws. The matrix is dense; the integrator and the search for a steady state
//! work with [`super::Rates::jacobian`], which is sparse.

use coolwright_solver::scalar::Dual;

use super::governed::SPEED_SCALE;
use super::layout::Contact;
use super::sagging::VOLTAGE_SCALE;
use super::simulator::Simulator;
use super::still::CARRIES_NO_HEAT;
use super::{Setup, Unsettled, around};
use crate::air::{CoreRating, Facing};
use crate::circuit::{CircuitLaws, Joint, PartState};
use crate::parts::{CORE_CELLS, CoolantAt, HeatPartner, LawInputs, MOST_OWN};
use crate::wall::WallCell;

/// Differences of laws are taken over this, K.
const STEP_K: f64 = 1e-2;
/// And over this share of a flow.
const STEP_SHARE: f64 = 1e-5;
/// And over this much of a state of its own kind, in shares of its scale.
const STEP_OWN: f64 = 1e-4;

/// A dense matrix, row after row.
struct Dense<'a> {
    out: &'a mut [f64],
    states: usize,
}

impl Dense<'_> {
    fn add(&mut self, row: usize, column: usize, value: f64) {
        self.out[row * self.states + column] += value;
    }

    /// Adds e g' with g = 1/count on some neighbouring states: the mean of them is the channel.
    fn mean_channel(&mut self, effect: &[f64], (first, count): (usize, usize)) {
        for (row, effect) in effect.iter().enumerate().filter(|(_, effect)| **effect != 0.0) {
            for column in first..first + count {
                self.add(row, column, effect / count as f64);
            }
        }
    }
}

impl Simulator<'_> {
    /// Writes the derivative of every rate with respect to every state at the temperatures `y`, row
    /// after row: `out[row · states + column]`, per second.
    ///
    /// # Errors
    /// When a network does not come to rest.
    ///
    /// # Panics
    /// When `out` has not one number for each pair of states.
    pub fn true_jacobian(&mut self, y: &[f64], out: &mut [f64]) -> Result<(), Unsettled> {
        let states = self.setup.layout.states;
        assert_eq!(out.len(), states * states, "one number for each pair of states");
        self.evaluate(y)?;
        let rates = self.last_rates().to_vec();
        out.fill(0.0);
        let mut matrix = Dense { out, states };
        let mut held = vec![0.0; self.setup.layout.pattern.len()];
        self.rates.jacobian_without_air(&self.setup, &self.settled, y, &mut held);
        for (value, &(row, column)) in held.iter().zip(&self.setup.layout.pattern) {
            matrix.add(row, column, *value);
        }
        self.capacities(y, &rates, &mut matrix);
        self.films_and_pumps(y, &mut matrix);
        self.through_bay(y, &mut matrix);
        self.through_air(y, &mut matrix);
        self.through_flows(y, &mut matrix);
        self.through_boiling_and_draws(y, &mut matrix)?;
        self.through_speeds(y, &mut matrix)?;
        for &state in &self.setup.pinned {
            matrix.out[state * states..(state + 1) * states].fill(0.0);
        }
        self.evaluate(y)
    }

    /// A rate is heat over capacity, and the capacity of coolant goes with its temperature.
    fn capacities(&self, y: &[f64], rates: &[f64], matrix: &mut Dense<'_>) {
        let Setup { prepared, layout, .. } = &self.setup;
        for (state, circuit) in layout.coolant.iter().enumerate() {
            let Some(circuit) = *circuit else { continue };
            let at = |t: f64| prepared.coolants[circuit].heat_capacity(t);
            let slope = (at(y[state] + STEP_K) - at(y[state] - STEP_K)) / (2.0 * STEP_K);
            matrix.add(state, state, -rates[state] * slope / at(y[state]));
        }
        for owner in &layout.owners {
            let own = self.setup.own(owner);
            let mut moved = [0.0; MOST_OWN];
            let mut added = |k: usize, by: f64| {
                moved[..owner.count].copy_from_slice(&y[owner.states()]);
                moved[k] += by;
                self.setup.added_kg(owner, &moved[..owner.count])
            };
            let mass = prepared.masses[owner.coolant] + added(0, 0.0);
            for (k, state) in own.states().iter().enumerate() {
                let step = STEP_OWN * state.scale;
                let slope = (added(k, step) - added(k, -step)) / (2.0 * step);
                if slope != 0.0 {
                    matrix.add(
                        owner.coolant,
                        owner.first + k,
                        -rates[owner.coolant] * slope / mass,
                    );
                }
            }
        }
    }

    /// Films of bodies and heat of pumps go with the temperature of their coolant.
    fn films_and_pumps(&self, y: &[f64], matrix: &mut Dense<'_>) {
        let Setup { model, values, prepared, layout, .. } = &self.setup;
        for (index, cells) in layout.parts.iter().enumerate() {
            let (c, r, p) = cells.at;
            let part = &model.circuits[c].runs[r].parts[p].part;
            let state = self.settled.parts[index];
            let flow = self.settled.flows[c][r];
            let slope = |of: &dyn Fn(f64) -> f64| {
                let t = state.temperature_k;
                (of(t + STEP_K) - of(t - STEP_K)) / (2.0 * STEP_K)
            };
            let mut effect = vec![0.0; layout.states];
            if let Some(HeatPartner::Body(_)) = part.partner() {
                let conductance = |t: f64| {
                    let local = CoolantAt::of(&prepared.coolants[c], t);
                    self.settled.cell_conductance(&self.setup, index, &local)
                };
                let by_k = slope(&conductance);
                for contact in layout.contacts.iter().filter(|contact| contact.part == index) {
                    let [coolant, metal] = contact.states;
                    let heat = by_k * (y[metal] - y[coolant]);
                    effect[coolant] += heat / self.rates.capacity[coolant];
                    effect[metal] -= heat / self.rates.capacity[metal];
                }
            }
            self.wall_films(index, y, &mut effect);
            if cells.count > 0 {
                let heat = |t: f64| {
                    let place = LawInputs {
                        values: values.reader().owning(state.own),
                        density: prepared.coolants[c].density(t),
                        viscosity: prepared.coolants[c].viscosity(t),
                    };
                    part.own_heat_w(&place, flow)
                };
                effect[cells.first] += slope(&heat) / self.rates.capacity[cells.first];
            }
            matrix.mean_channel(&effect, cells.near);
        }
    }

    /// How the outside of what stands in the air of the bay goes with its mean temperature.
    fn through_bay(&self, y: &[f64], matrix: &mut Dense<'_>) {
        let setup = &self.setup;
        let bay_k = setup.bay_k();
        for (exposed, mean_k) in setup.layout.exposed.iter().zip(&self.settled.exposed_k) {
            let [above, below] =
                [STEP_K, -STEP_K].map(|by| setup.bay_conductance(exposed, mean_k + by));
            let by_k = (above - below) / (2.0 * STEP_K);
            let between = super::rates::Rates::between_by_hose(setup, exposed, y);
            for (row, heat) in between {
                let effect = by_k * heat / self.rates.capacity[row];
                for (column, of_mean) in exposed.states() {
                    matrix.add(row, column, effect * of_mean);
                }
            }
            for (row, share) in exposed.states() {
                let effect = by_k * share * (bay_k - y[row]) / self.rates.capacity[row];
                for (column, of_mean) in exposed.states() {
                    matrix.add(row, column, effect * of_mean);
                }
            }
        }
    }

    /// How the film on a hot wall along a part goes with the mean temperature of its coolant.
    fn wall_films(&self, part: usize, y: &[f64], effect: &mut [f64]) {
        let Setup { model, values, prepared, layout, offsets, .. } = &self.setup;
        let (c, r, _) = layout.parts[part].at;
        let t = self.settled.parts[part].temperature_k;
        let flow = self.settled.flows[c][r];
        for ((body, contact), cell) in layout.wall_contacts().zip(&self.settled.walls) {
            let wall = model.bodies[body].wall.filter(|_| contact.part == part);
            let nodes = layout.bodies[body].wall.as_ref();
            let Some((wall, nodes)) = wall.zip(nodes) else { continue };
            let [coolant, metal] = contact.states;
            let heat = |t: f64| {
                let local = CoolantAt::of(&prepared.coolants[c], t);
                let off = (values, offsets.films[part]);
                let [through, film] = wall.of_piece(off, (&local, flow), nodes.cells);
                WallCell { through, film, ..*cell }.heat(y[metal], y[coolant]).heat_w
            };
            let by_k = (heat(t + STEP_K) - heat(t - STEP_K)) / (2.0 * STEP_K);
            effect[coolant] += by_k / self.rates.capacity[coolant];
            effect[metal] -= by_k / self.rates.capacity[metal];
        }
    }

    /// How the boiling points at hot walls, and what is drawn from supplies that sag, go with every state of the model,
    /// everything settled.
    fn through_boiling_and_draws(
        &mut self,
        y: &[f64],
        matrix: &mut Dense<'_>,
    ) -> Result<(), Unsettled> {
        if self.settled.walls.is_empty() && self.setup.layout.sagging.is_empty() {
            return Ok(());
        }
        let states = self.setup.layout.states;
        let contacts: Vec<_> =
            self.setup.layout.wall_contacts().map(|(_, contact)| *contact).collect();
        let held = self.settled.walls.clone();
        let (layout, scales) = (self.setup.layout.clone(), self.scales());
        let mut moved = y.to_vec();
        let heats = |walls: &[WallCell]| {
            let of = |(cell, contact): (&WallCell, &Contact), held: &WallCell| {
                let [coolant, metal] = contact.states;
                let cell = WallCell { through: held.through, film: held.film, ..*cell };
                cell.heat(y[metal], y[coolant]).heat_w
            };
            let cells = walls.iter().zip(&contacts).zip(&held);
            cells.map(|(cell, held)| of(cell, held)).collect::<Vec<f64>>()
        };
        for column in 0..states {
            let mut sides = [Vec::new(), Vec::new()];
            let mut draws = [Vec::new(), Vec::new()];
            let own = layout.owners.iter().any(|owner| owner.states().contains(&column))
                || layout.governed.iter().any(|governed| governed.state == column)
                || layout.sagging.iter().any(|sagging| sagging.state == column);
            let step = if own { STEP_OWN * scales[column] } else { STEP_K };
            for (k, step) in [step, -step].into_iter().enumerate() {
                moved[column] = y[column] + step;
                self.settle(&moved)?;
                sides[k] = heats(&self.settled.walls);
                draws[k].resize(states, 0.0);
                self.setup.sagging_rates(&self.settled, y, &mut draws[k]);
            }
            for sagging in &layout.sagging {
                let row = sagging.state;
                // In place of what came by the flows: here is all of it.
                let by_state = (draws[0][row] - draws[1][row]) / (2.0 * step);
                matrix.out[row * states + column] = by_state;
            }
            moved[column] = y[column];
            for (k, contact) in contacts.iter().enumerate() {
                let by_k = (sides[0][k] - sides[1][k]) / (2.0 * step);
                let [coolant, metal] = contact.states;
                matrix.add(coolant, column, by_k / self.rates.capacity[coolant]);
                matrix.add(metal, column, -by_k / self.rates.capacity[metal]);
            }
        }
        self.settle(y)
    }

    /// How every rate goes with the speeds of governed machines and with the voltages of supplies, everything settled.
    fn through_speeds(&mut self, y: &[f64], matrix: &mut Dense<'_>) -> Result<(), Unsettled> {
        let layout = self.setup.layout.clone();
        let mut moved = y.to_vec();
        let speeds = layout.governed.iter().map(|governed| (governed.state, SPEED_SCALE));
        let voltages = layout.sagging.iter().map(|sagging| (sagging.state, VOLTAGE_SCALE));
        for (column, scale) in speeds.chain(voltages) {
            let step = STEP_OWN * scale;
            let mut sides = [Vec::new(), Vec::new()];
            for (side, by) in sides.iter_mut().zip([step, -step]) {
                moved[column] = y[column] + by;
                self.evaluate(&moved)?;
                *side = self.last_rates().to_vec();
            }
            moved[column] = y[column];
            for (row, (above, below)) in sides[0].iter().zip(&sides[1]).enumerate() {
                matrix.out[row * matrix.states + column] = (above - below) / (2.0 * step);
            }
        }
        Ok(())
    }

    /// What goes through the air: by the mean temperature of each wall, and by the temperature of the
    /// coolant in each core.
    fn through_air(&mut self, y: &[f64], matrix: &mut Dense<'_>) {
        for path in 0..self.setup.model.air_paths.len() {
            for k in 0..self.setup.model.air_paths[path].cores.len() {
                let core = self.setup.model.air_paths[path].cores[k];
                let wall_slope =
                    self.wall_viscosity_slope(core, self.settled.gases[path].faces()[k].wall_k);
                let wall = |at: usize, face: &mut Facing<Dual<1>>| {
                    if at == core {
                        face.wall_k.slopes = [1.0];
                        face.wall_viscosity.slopes = [wall_slope];
                    }
                };
                let effect = self.effect_of_faces(path, y, &wall);
                matrix.mean_channel(&effect, (self.setup.layout.walls[core], CORE_CELLS));

                let part = self.setup.layout.core_parts[core];
                let near = self.setup.layout.parts[part].near;
                let slopes = self.coolant_slopes(part);
                let coolant = |at: usize, face: &mut Facing<Dual<1>>| {
                    if at == core {
                        for (property, slope) in face.coolant.iter_mut().zip(slopes) {
                            property.slopes = [slope];
                        }
                    }
                };
                let effect = self.effect_of_faces(path, y, &coolant);
                matrix.mean_channel(&effect, near);
            }
        }
    }

    /// How viscosity, conductivity and heat capacity of the coolant in a part go with its temperature,
    /// per K.
    fn coolant_slopes(&self, part: usize) -> [f64; 3] {
        let (c, _, _) = self.setup.layout.parts[part].at;
        let [above, below] = [STEP_K, -STEP_K].map(|by| {
            let temperature_k = self.settled.parts[part].temperature_k + by;
            let local = CoolantAt::of(&self.setup.prepared.coolants[c], temperature_k);
            [local.viscosity, local.conductivity, local.heat_capacity]
        });
        std::array::from_fn(|k| (above[k] - below[k]) / (2.0 * STEP_K))
    }

    /// How the viscosity of its coolant at the wall of a core goes with the temperature of that, Pa·s/K; nothing where
    /// it does not matter.
    fn wall_viscosity_slope(&self, core: usize, wall_k: f64) -> f64 {
        let CoreRating::Built(_) = self.setup.model.cores[core].rating else { return 0.0 };
        let (c, _, _) = self.setup.layout.parts[self.setup.layout.core_parts[core]].at;
        let coolant = &self.setup.prepared.coolants[c];
        let [above, below] = [STEP_K, -STEP_K].map(|by| coolant.viscosity(wall_k + by));
        (above - below) / (2.0 * STEP_K)
    }

    /// How the rates go with a change of what the air of a path faces, through the air and the
    /// exchange of its cores: `change` is given each core of the path and writes the slopes of what
    /// changes there. Nothing where the air left no factor to follow it on.
    fn effect_of_faces(
        &mut self,
        path: usize,
        y: &[f64],
        change: &impl Fn(usize, &mut Facing<Dual<1>>),
    ) -> Vec<f64> {
        let Self { setup, settled, rates, .. } = self;
        let mut effect = vec![0.0; setup.layout.states];
        let faces = settled.gases[path].faces().to_vec();
        let changed = |k: usize| {
            let mut face = faces[k].lifted();
            change(face.core, &mut face);
            face
        };
        let Ok(met) = settled.gases[path].respond(&around(setup, path), &changed) else {
            return effect;
        };
        let layout = &setup.layout;
        for met in met {
            let part = layout.core_parts[met.core];
            let by = met.exchange.coolant_wall.slope();
            for contact in layout.contacts.iter().filter(|contact| contact.part == part) {
                let [coolant, metal] = contact.states;
                let heat = by * (y[metal] - y[coolant]);
                effect[coolant] += heat / rates.capacity[coolant];
                effect[metal] -= heat / rates.capacity[metal];
            }
            let first = layout.walls[met.core];
            for wall in first..first + CORE_CELLS {
                let heat = met.exchange.wall_air * (Dual::from(y[wall]) - met.entering_k);
                effect[wall] -= heat.slope() / rates.capacity[wall];
            }
        }
        effect
    }

    /// What goes through the flows of the runs.
    fn through_flows(&mut self, y: &[f64], matrix: &mut Dense<'_>) {
        let states = self.setup.layout.states;
        for c in 0..self.setup.model.circuits.len() {
            let runs = self.setup.model.circuits[c].runs.len();
            let by_state = self.falls_by_state(c, y);
            // gradients[r]: how the flow of run r goes with every state.
            let mut gradients = vec![vec![0.0; states]; runs];
            let (mut falls, mut flows) = (vec![0.0; runs], vec![0.0; runs]);
            let mut pressures = vec![0.0; self.setup.model.circuits[c].junctions.len()];
            for run in 0..runs {
                falls.fill(0.0);
                falls[run] = 1.0;
                if self.settled.respond(c, &falls, &mut flows, &mut pressures).is_err() {
                    break;
                }
                for (gradient, flow) in gradients.iter_mut().zip(&flows) {
                    for &(_, state, slope) in by_state.iter().filter(|(of, ..)| *of == run) {
                        gradient[state] += flow * slope;
                    }
                }
            }
            for (run, gradient) in gradients.iter().enumerate() {
                let effect = self.effect_of_flow(c, run, y);
                for (row, effect) in effect.iter().enumerate().filter(|(_, e)| **e != 0.0) {
                    for (column, gradient) in gradient.iter().enumerate() {
                        matrix.add(row, column, effect * gradient);
                    }
                }
            }
        }
    }

    /// How the fall of each run goes with the states, at held flows: (run, state, Pa per unit).
    fn falls_by_state(&self, c: usize, y: &[f64]) -> Vec<(usize, usize, f64)> {
        let layout = &self.setup.layout;
        let mut found = Vec::new();
        for index in layout.circuit_parts[c]..layout.circuit_parts[c + 1] {
            self.part_by_state(index, &mut found);
        }
        self.tees_by_state(c, y, &mut found);
        found
    }

    /// The same for one part: by the temperature of its coolant and by states of its own.
    fn part_by_state(&self, index: usize, found: &mut Vec<(usize, usize, f64)>) {
        let Setup { model, values, prepared, layout, .. } = &self.setup;
        let (c, r, p) = layout.parts[index].at;
        let held = self.settled.parts[index];
        let fall = |state: PartState| {
            let laws = CircuitLaws {
                circuit: &model.circuits[c],
                values,
                parts: &[state],
                junction_density: &[],
                couplings: &[],
            };
            let (fall, lift) = laws.part_fall(r, p, 0, self.settled.flows[c][r]);
            fall + lift
        };
        let warmer = |by: f64| {
            let mut state = held;
            state.temperature_k += by;
            state.density = prepared.coolants[c].density(state.temperature_k);
            state.viscosity = prepared.coolants[c].viscosity(state.temperature_k);
            fall(state)
        };
        let slope = (warmer(STEP_K) - warmer(-STEP_K)) / (2.0 * STEP_K);
        let (first, count) = layout.parts[index].near;
        found.extend((first..first + count).map(|state| (r, state, slope / count as f64)));
        let Some(owner) = layout.owners.iter().find(|owner| owner.part == index) else { return };
        for (k, own) in self.setup.own(owner).states().iter().enumerate() {
            let step = STEP_OWN * own.scale;
            let [above, below] = [step, -step].map(|by| {
                let mut state = held;
                state.own[k] += by;
                fall(state)
            });
            found.push((r, owner.first + k, (above - below) / (2.0 * step)));
        }
    }

    /// The same for the tees of a circuit, by the temperature at each.
    fn tees_by_state(&self, c: usize, y: &[f64], found: &mut Vec<(usize, usize, f64)>) {
        let Setup { model, values, prepared, layout, .. } = &self.setup;
        let circuit = &model.circuits[c];
        let mut densities = self.settled.junction_density[c].clone();
        for j in 0..circuit.junctions.len() {
            let state = layout.junctions[c] + j;
            let held = densities[j];
            let [above, below] = [STEP_K, -STEP_K].map(|by| {
                densities[j] = prepared.coolants[c].density(y[state] + by);
                let laws = CircuitLaws {
                    circuit,
                    values,
                    parts: &[],
                    junction_density: &densities,
                    couplings: &[],
                };
                laws.tee_falls(j, &self.settled.flows[c]).collect::<Vec<_>>()
            });
            densities[j] = held;
            for ((run, _, above), (_, _, below)) in above.iter().zip(&below) {
                found.push((*run, state, (above - below) / (2.0 * STEP_K)));
            }
        }
    }

    /// How the rates go with the flow of one run, everything but the other flows settled, per kg/s.
    fn effect_of_flow(&mut self, c: usize, run: usize, y: &[f64]) -> Vec<f64> {
        let states = self.setup.layout.states;
        let held = self.settled.flows[c][run];
        let step = STEP_SHARE * held.abs();
        // What stands still carries nothing, and goes on standing still.
        if step < CARRIES_NO_HEAT * 1e-3 {
            return vec![0.0; states];
        }
        let outside = self.settled.outside[c].clone();
        let (from, to) = {
            let run = &self.setup.model.circuits[c].runs[run];
            (run.from, run.to)
        };
        let mut sides = Vec::new();
        for by in [step, -step] {
            self.settled.flows[c][run] = held + by;
            self.settled.outside[c].copy_from_slice(&outside);
            for (junction, sign) in [(from, 1.0), (to, -1.0)] {
                let joint = &self.setup.model.circuits[c].junctions[junction].joint;
                if matches!(joint, Joint::Held { .. }) {
                    self.settled.outside[c][junction] += sign * by;
                }
            }
            self.settled.films(&self.setup);
            let mut rates = vec![0.0; states];
            self.rates.rates(&self.setup, &self.settled, y, &mut rates);
            sides.push(rates);
        }
        self.settled.flows[c][run] = held;
        self.settled.outside[c].copy_from_slice(&outside);
        self.settled.films(&self.setup);
        let mut effect = difference(&sides, 2.0 * step);
        for path in 0..self.setup.model.air_paths.len() {
            let stands: Vec<usize> = self.setup.model.air_paths[path].cores.clone();
            let here = |core: usize| {
                let (circuit, of, _) =
                    self.setup.layout.parts[self.setup.layout.core_parts[core]].at;
                (circuit, of) == (c, run)
            };
            let washed: Vec<usize> = stands.into_iter().filter(|&core| here(core)).collect();
            if washed.is_empty() {
                continue;
            }
            let flow = |core: usize, face: &mut Facing<Dual<1>>| {
                if washed.contains(&core) {
                    face.flow.slopes = [1.0];
                }
            };
            let through_air = self.effect_of_faces(path, y, &flow);
            effect.iter_mut().zip(through_air).for_each(|(sum, more)| *sum += more);
        }
        effect
    }
}

fn difference(sides: &[Vec<f64>], over: f64) -> Vec<f64> {
    sides[0].iter().zip(&sides[1]).map(|(above, below)| (above - below) / over).collect()
}
