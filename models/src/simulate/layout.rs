//! Which state of the model stands where in the vector of states, and which depend on which.
//!
//! The layout depends on the structure only, never on the direction of a flow: neighbours along a
//! run depend on each other both ways.

use super::bay::{Between, Exposed};
use super::gauges::LaggingGauge;
use super::governed::Governed;
use super::sagging::Sagging;
use crate::charge::{LAYERS, Places};
use crate::circuit::Circuit;
use crate::laws::two_liquids::Passing;
use crate::model::Model;
use crate::parts::{Feels, HeatPartner, MOST_OWN};
use crate::wall::{HotWall, WALL_LAYERS};

/// The cells of one part.
#[derive(Clone, Copy, Debug)]
pub struct PartCells {
    /// Circuit, run and part.
    pub at: (usize, usize, usize),
    /// First state of its cells.
    pub first: usize,
    /// How many cells it has.
    pub count: usize,
    /// The states whose mean is the part's temperature: its own cells, or the state before it.
    pub near: (usize, usize),
}

/// Two neighbouring states along a run, with the places of the four entries that the flow between
/// them has in the Jacobian.
#[derive(Clone, Copy, Debug)]
pub struct Neighbours {
    /// Circuit and run.
    pub run: (usize, usize),
    /// The state before and the state after.
    pub states: [usize; 2],
    /// Entries (before, before), (before, after), (after, before), (after, after).
    pub entries: [usize; 4],
}

/// A coolant cell and the metal it exchanges heat with.
#[derive(Clone, Copy, Debug)]
pub struct Contact {
    /// Index of the part among all parts.
    pub part: usize,
    /// Coolant state and metal state.
    pub states: [usize; 2],
    /// Entries (coolant, coolant), (coolant, metal), (metal, coolant), (metal, metal).
    pub entries: [usize; 4],
}

/// A component with states of its own.
#[derive(Clone, Debug)]
pub struct Owner {
    /// Index of the part among all parts.
    pub part: usize,
    /// First of its own states.
    pub first: usize,
    /// How many it has.
    pub count: usize,
    /// The coolant state that it sees and acts on.
    pub coolant: usize,
    /// The runs whose flows make up the flow that it sees, and the share that each counts: its own whole, of a
    /// junction half of all that come in or go out.
    pub washed_by: (Vec<usize>, f64),
    /// Entries of coolant and own states, row after row.
    pub entries: Vec<usize>,
    /// Its states that move flows, each with its entry in the row of every temperature of the model.
    pub columns: Vec<(usize, Vec<(usize, usize)>)>,
}

impl Owner {
    /// Its own states.
    pub fn states(&self) -> std::ops::Range<usize> {
        self.first..self.first + self.count
    }

    /// All states that it joins: the coolant, then its own.
    pub fn joined(&self) -> impl Iterator<Item = usize> + Clone {
        std::iter::once(self.coolant).chain(self.states())
    }
}

/// The metal of a body: one node for each cell of coolant in its passes, pass after pass, of a charge cooler
/// in each of its layers across the air; one node where it has no pass.
#[derive(Clone, Debug)]
pub struct BodyNodes {
    /// First node.
    pub first: usize,
    /// How many cells each of its passes has, in the order of the parts.
    pub passes: Vec<usize>,
    /// How many nodes each cell touches, in layers one after the other: a pass has all cells of the first,
    /// then all of the next.
    pub layers: usize,
    /// Share of metal and heat of each node: equal for all passes, equal for the cells of a pass.
    pub shares: Vec<f64>,
    /// Of an exchanger: between the cells of both passes: two nodes, their entries, and the share of the
    /// conductance of its plate.
    pub links: Vec<NodeLink>,
    /// Its hot wall, where it has one.
    pub wall: Option<WallNodes>,
}

/// The nodes of a hot wall: one for each cell of coolant in each of its layers, those next to the coolant first.
#[derive(Clone, Debug)]
pub struct WallNodes {
    /// First node.
    pub first: usize,
    /// How many pieces it has along the coolant.
    pub cells: usize,
    /// Where it touches coolant, piece after piece.
    pub contacts: Vec<Contact>,
    /// Between layers, with the share of the conductance of the whole wall from side to side.
    pub links: Vec<NodeLink>,
}

impl WallNodes {
    /// Wall beside so many cells of coolant.
    fn of(first: usize, cells: usize) -> Self {
        Self { first, cells, contacts: Vec::new(), links: Vec::new() }
    }

    /// The states of its nodes.
    pub fn states(&self) -> std::ops::Range<usize> {
        self.first..self.first + self.cells * WALL_LAYERS
    }

    /// The states of the layer on its hot side.
    pub fn hot(&self) -> std::ops::Range<usize> {
        self.first + self.cells * (WALL_LAYERS - 1)..self.first + self.cells * WALL_LAYERS
    }

    /// Links each layer with the next.
    fn link(&mut self, pattern: &mut Pattern) {
        for place in 0..self.cells * (WALL_LAYERS - 1) {
            let states = [self.first + place, self.first + place + self.cells];
            let share = HotWall::between(place / self.cells) / self.cells as f64;
            self.links.push(NodeLink { states, entries: pattern.square(states), share });
        }
    }
}

/// Two nodes of a body between which heat is conducted.
#[derive(Clone, Copy, Debug)]
pub struct NodeLink {
    /// The nodes.
    pub states: [usize; 2],
    /// Entries as in [`Contact`].
    pub entries: [usize; 4],
    /// Its share of the conductance.
    pub share: f64,
}

impl BodyNodes {
    /// The states of its nodes.
    pub fn states(&self) -> std::ops::Range<usize> {
        self.first..self.first + self.shares.len()
    }

    /// Whether a state is that of one of its nodes or of its hot wall.
    pub fn has(&self, state: usize) -> bool {
        let wall = self.wall.as_ref().is_some_and(|wall| wall.states().contains(&state));
        wall || self.states().contains(&state)
    }

    /// Nodes for passes with so many cells each, in layers.
    fn of(first: usize, passes: Vec<usize>, layers: usize) -> Self {
        let count = passes.len() as f64;
        let each = |&cells: &usize| {
            let nodes = cells * layers;
            std::iter::repeat_n(1.0 / (count * nodes as f64), nodes)
        };
        let mut shares: Vec<f64> = passes.iter().flat_map(each).collect();
        if shares.is_empty() {
            shares.push(1.0);
        }
        Self { first, passes, layers, shares, links: Vec::new(), wall: None }
    }

    /// Links both sides of an exchanger, cell by cell.
    fn link(&mut self, passing: Passing, pattern: &mut Pattern) {
        let &[cells, beside] = self.passes.as_slice() else { return };
        debug_assert_eq!(cells, beside, "both sides are cut alike");
        for k in 0..cells {
            let across = match passing {
                Passing::Counter => cells - 1 - k,
                Passing::Parallel => k,
            };
            let states = [self.first + k, self.first + cells + across];
            let entries = pattern.square(states);
            self.links.push(NodeLink { states, entries, share: 1.0 / cells as f64 });
        }
    }
}

/// The places of all states.
#[derive(Clone, Debug)]
pub struct Layout {
    /// All parts, circuit after circuit, run after run.
    pub parts: Vec<PartCells>,
    /// First part of each circuit, and the end.
    pub circuit_parts: Vec<usize>,
    /// First part of each run of each circuit.
    pub run_parts: Vec<Vec<usize>>,
    /// First junction state of each circuit.
    pub junctions: Vec<usize>,
    /// Which states are coolant, and of which circuit.
    pub coolant: Vec<Option<usize>>,
    /// First wall state of each core.
    pub walls: Vec<usize>,
    /// The part that is each core's coolant side.
    pub core_parts: Vec<usize>,
    /// Metal of each body.
    pub bodies: Vec<BodyNodes>,
    /// Components with states of their own.
    pub owners: Vec<Owner>,
    /// Thermometers that lag behind the coolant.
    pub gauges: Vec<LaggingGauge>,
    /// What stands in the air of the bay.
    pub exposed: Vec<Exposed>,
    /// Coolant between hoses that stand in it.
    pub between: Vec<Between>,
    /// Governed machines, in the order of the model's governors.
    pub governed: Vec<Governed>,
    /// Supplies that sag.
    pub sagging: Vec<Sagging>,
    /// Neighbours along runs.
    pub neighbours: Vec<Neighbours>,
    /// Contacts of coolant with metal.
    pub contacts: Vec<Contact>,
    /// Diagonal entry of each state.
    pub diagonal: Vec<usize>,
    /// Metal that each way of charge air meets.
    pub charges: Vec<Places>,
    /// For each of them, which node's heat goes with which node's temperature: places of both among its
    /// nodes, and the entry.
    pub charge_entries: Vec<Vec<(usize, usize, usize)>>,
    /// For each air path: entries (wall row, wall column) of each core's cells on every core's
    /// cells of that path, row after row.
    pub air: Vec<Vec<usize>>,
    /// How many states there are.
    pub states: usize,
    /// The entries of the Jacobian: (row, column).
    pub pattern: Vec<(usize, usize)>,
}

/// Collects the entries of the Jacobian, each once.
#[derive(Default)]
pub(super) struct Pattern {
    entries: Vec<(usize, usize)>,
    /// For each row its columns, with the places of their entries: a few, so they are searched one by one.
    rows: Vec<Vec<(usize, usize)>>,
}

impl Pattern {
    pub(super) fn entry(&mut self, row: usize, column: usize) -> usize {
        if self.rows.len() <= row {
            self.rows.resize_with(row + 1, Vec::new);
        }
        if let Some((_, entry)) = self.rows[row].iter().find(|(known, _)| *known == column) {
            return *entry;
        }
        let entry = self.entries.len();
        self.entries.push((row, column));
        self.rows[row].push((column, entry));
        entry
    }

    fn square(&mut self, [a, b]: [usize; 2]) -> [usize; 4] {
        [self.entry(a, a), self.entry(a, b), self.entry(b, a), self.entry(b, b)]
    }
}

impl Layout {
    /// Where hot walls touch coolant: their body, and the place.
    pub fn wall_contacts(&self) -> impl Iterator<Item = (usize, &Contact)> {
        self.bodies.iter().enumerate().flat_map(|(body, nodes)| {
            let contacts = nodes.wall.as_ref().map_or(&[][..], |wall| wall.contacts.as_slice());
            contacts.iter().map(move |contact| (body, contact))
        })
    }

    /// Lays out the states of a model.
    pub fn of(model: &Model, core_cells: usize) -> Self {
        let mut layout = Self::places(model, core_cells);
        layout.exposed = layout.exposed_of(model);
        layout.between = layout.between_of(model);
        let mut pattern = Pattern::default();
        layout.diagonal = (0..layout.states).map(|state| pattern.entry(state, state)).collect();
        layout.link_runs(model, &mut pattern);
        layout.link_metal(model, core_cells, &mut pattern);
        layout.pattern = pattern.entries;
        layout
    }

    /// Gives every cell, junction, wall, body and ice its place.
    fn places(model: &Model, core_cells: usize) -> Self {
        let mut layout = Self {
            parts: Vec::new(),
            circuit_parts: vec![0],
            run_parts: Vec::new(),
            junctions: Vec::new(),
            coolant: Vec::new(),
            walls: Vec::new(),
            core_parts: vec![usize::MAX; model.cores.len()],
            bodies: Vec::new(),
            owners: Vec::new(),
            gauges: Vec::new(),
            exposed: Vec::new(),
            between: Vec::new(),
            governed: Vec::new(),
            sagging: Vec::new(),
            neighbours: Vec::new(),
            contacts: Vec::new(),
            diagonal: Vec::new(),
            charges: Vec::new(),
            charge_entries: Vec::new(),
            air: Vec::new(),
            states: 0,
            pattern: Vec::new(),
        };
        for (c, circuit) in model.circuits.iter().enumerate() {
            let junctions = layout.take(circuit.junctions.len(), Some(c));
            layout.junctions.push(junctions);
            let mut firsts = Vec::new();
            for (r, run) in circuit.runs.iter().enumerate() {
                firsts.push(layout.parts.len());
                let mut near = (junctions + run.from, 1);
                for (p, placed) in run.parts.iter().enumerate() {
                    let count = placed.part.cells();
                    let first = layout.take(count, Some(c));
                    if count > 0 {
                        near = (first, count);
                    }
                    layout.parts.push(PartCells { at: (c, r, p), first, count, near });
                    near = (near.0 + near.1 - 1, 1);
                }
            }
            layout.run_parts.push(firsts);
            layout.circuit_parts.push(layout.parts.len());
        }
        layout.walls = model.cores.iter().map(|_| layout.take(core_cells, None)).collect();
        for body in 0..model.bodies.len() {
            let passes: Vec<usize> = layout.passes(model, body).collect();
            let charged = model.bodies[body].charge.is_some();
            let mut nodes = BodyNodes::of(layout.states, passes, if charged { LAYERS } else { 1 });
            layout.take(nodes.shares.len(), None);
            if model.bodies[body].wall.is_some() {
                let wall = WallNodes::of(layout.states, nodes.shares.len());
                layout.take(wall.states().len(), None);
                nodes.wall = Some(wall);
            }
            layout.bodies.push(nodes);
        }
        layout
    }

    /// How many cells each pass of a body has.
    fn passes<'l>(&'l self, model: &'l Model, body: usize) -> impl Iterator<Item = usize> + 'l {
        let cells = move |part: &PartCells| {
            let (c, r, p) = part.at;
            let partner = model.circuits[c].runs[r].parts[p].part.partner();
            (partner == Some(HeatPartner::Body(body)) && part.count > 0).then_some(part.count)
        };
        self.parts.iter().filter_map(cells)
    }

    /// Takes the next `count` places.
    pub(super) fn take(&mut self, count: usize, circuit: Option<usize>) -> usize {
        let first = self.states;
        self.states += count;
        self.coolant.resize(self.states, circuit);
        first
    }

    /// Links the states along every run, from its first junction to its last.
    fn link_runs(&mut self, model: &Model, pattern: &mut Pattern) {
        for (c, circuit) in model.circuits.iter().enumerate() {
            for (r, run) in circuit.runs.iter().enumerate() {
                let mut before = self.junctions[c] + run.from;
                let mut link = |after: usize| {
                    let states = [before, after];
                    let entries = pattern.square(states);
                    self.neighbours.push(Neighbours { run: (c, r), states, entries });
                    before = after;
                };
                for p in 0..run.parts.len() {
                    let cells = self.parts[self.run_parts[c][r] + p];
                    (cells.first..cells.first + cells.count).for_each(&mut link);
                }
                link(self.junctions[c] + run.to);
            }
        }
    }

    /// Links coolant with metal, the metal of passes, walls with the walls behind them in the air,
    /// components with their own states.
    fn link_metal(&mut self, model: &Model, core_cells: usize, pattern: &mut Pattern) {
        let mut node: Vec<usize> = self.bodies.iter().map(|nodes| nodes.first).collect();
        for index in 0..self.parts.len() {
            let PartCells { at: (c, r, p), first, count, .. } = self.parts[index];
            let part = &model.circuits[c].runs[r].parts[p].part;
            let metal = match part.partner() {
                Some(HeatPartner::Body(body)) => {
                    let (metal, layers) = (node[body], self.bodies[body].layers);
                    node[body] += count * layers;
                    let before = metal - self.bodies[body].first;
                    if let Some(wall) = &mut self.bodies[body].wall {
                        for k in 0..count {
                            let states = [first + k, wall.first + before + k];
                            let entries = pattern.square(states);
                            wall.contacts.push(Contact { part: index, states, entries });
                        }
                    }
                    Some((metal, layers))
                }
                Some(HeatPartner::Core(core)) => {
                    self.core_parts[core] = index;
                    Some((self.walls[core], 1))
                }
                None => None,
            };
            if let Some((metal, layers)) = metal {
                for k in 0..count * layers {
                    let states = [first + k % count, metal + k];
                    let entries = pattern.square(states);
                    self.contacts.push(Contact { part: index, states, entries });
                }
            }
        }
        for (nodes, body) in self.bodies.iter_mut().zip(&model.bodies) {
            if let Some(exchange) = body.exchange {
                nodes.link(exchange.passing, pattern);
            }
        }
        let walls = self.bodies.iter_mut().filter_map(|nodes| nodes.wall.as_mut());
        walls.for_each(|wall| wall.link(pattern));
        let temperatures = self.states;
        self.link_owners(model, pattern);
        self.link_gauges(model, pattern);
        self.link_governed(model, temperatures, pattern);
        self.link_sagging(model, temperatures, pattern);
        self.link_charge_air(model, pattern);
        for path in &model.air_paths {
            let cells = |core: &usize| self.walls[*core]..self.walls[*core] + core_cells;
            let all: Vec<usize> = path.cores.iter().flat_map(cells).collect();
            let mut entries = Vec::with_capacity(all.len() * all.len());
            for &row in &all {
                entries.extend(all.iter().map(|&column| pattern.entry(row, column)));
            }
            self.air.push(entries);
        }
    }

    /// Links the metal of charge coolers with all metal that the air meets before it.
    fn link_charge_air(&mut self, model: &Model, pattern: &mut Pattern) {
        for path in &model.charge_air {
            let places = Places::of(path, &model.bodies, |body| self.bodies[body].first);
            let mut entries = Vec::new();
            for group in &places.groups {
                for row in group.nodes.clone() {
                    let columns = (0..group.nodes.start).chain(std::iter::once(row));
                    entries.extend(columns.map(|column| {
                        let [at, on] = [row, column].map(|node| places.states[node]);
                        (row, column, pattern.entry(at, on))
                    }));
                }
            }
            self.charges.push(places);
            self.charge_entries.push(entries);
        }
    }

    /// Gives components their own states, and links them with the coolant that they see.
    fn link_owners(&mut self, model: &Model, pattern: &mut Pattern) {
        for index in 0..self.parts.len() {
            let PartCells { at: (c, r, p), near, .. } = self.parts[index];
            let Some(own) = model.circuits[c].runs[r].parts[p].part.own() else { continue };
            let count = own.states().len();
            assert!(count <= MOST_OWN, "a component has at most {MOST_OWN} states of its own");
            let first = self.take(count, None);
            let run = &model.circuits[c].runs[r];
            let junction = match own.feels() {
                Feels::Here => None,
                Feels::Start => Some(run.from),
                Feels::End => Some(run.to),
            };
            let (coolant, washed_by) = match junction {
                None => (near.0 + near.1 - 1, (vec![r], 1.0)),
                Some(j) => (self.junctions[c] + j, (runs_at(&model.circuits[c], j), 0.5)),
            };
            let (entries, columns) = (Vec::new(), Vec::new());
            let mut owner =
                Owner { part: index, first, count, coolant, washed_by, entries, columns };
            for state in owner.states() {
                self.diagonal.push(pattern.entry(state, state));
            }
            let mut entries = Vec::with_capacity((count + 1) * (count + 1));
            for row in owner.joined() {
                entries.extend(owner.joined().map(|column| pattern.entry(row, column)));
            }
            owner.entries = entries;
            self.owners.push(owner);
        }
        self.link_flows(model, pattern);
    }

    /// Links what components move by their flows: all that has a temperature.
    fn link_flows(&mut self, model: &Model, pattern: &mut Pattern) {
        let temperatures = self.owners.first().map_or(0, |owner| owner.first);
        for owner in &mut self.owners {
            let (c, r, p) = self.parts[owner.part].at;
            let Some(own) = model.circuits[c].runs[r].parts[p].part.own() else { continue };
            let moving = owner.states().zip(own.states()).filter(|(_, own)| own.moves_flows);
            let columns = moving.map(|(state, _)| {
                (state, (0..temperatures).map(|row| (row, pattern.entry(row, state))).collect())
            });
            owner.columns = columns.collect();
        }
    }
}

/// The runs that end at a junction; one that starts there too stands twice.
fn runs_at(circuit: &Circuit, junction: usize) -> Vec<usize> {
    let ends = circuit.runs.iter().enumerate().flat_map(|(r, run)| [(r, run.from), (r, run.to)]);
    ends.filter(|(_, at)| *at == junction).map(|(r, _)| r).collect()
}
