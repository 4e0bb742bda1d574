//! Which state of the model stands where in the vector of states, and which depend on which.
//!
//! The layout depends on the structure only, never on the direction of a flow: neighbours along a
//! run depend on each other both ways.

use std::collections::BTreeMap;

use crate::model::Model;
use crate::parts::HeatPartner;

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

/// A tank with ice.
#[derive(Clone, Copy, Debug)]
pub struct IceState {
    /// Index of the tank among all parts.
    pub part: usize,
    /// State that is the mass of ice, kg.
    pub state: usize,
    /// Entries (tank, tank), (tank, ice), (ice, tank), (ice, ice).
    pub entries: [usize; 4],
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
    /// State of each body.
    pub bodies: Vec<usize>,
    /// Tanks with ice.
    pub ice: Vec<IceState>,
    /// Neighbours along runs.
    pub neighbours: Vec<Neighbours>,
    /// Contacts of coolant with metal.
    pub contacts: Vec<Contact>,
    /// Diagonal entry of each state.
    pub diagonal: Vec<usize>,
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
struct Pattern {
    entries: Vec<(usize, usize)>,
    index: BTreeMap<(usize, usize), usize>,
}

impl Pattern {
    fn entry(&mut self, row: usize, column: usize) -> usize {
        *self.index.entry((row, column)).or_insert_with(|| {
            self.entries.push((row, column));
            self.entries.len() - 1
        })
    }

    fn square(&mut self, [a, b]: [usize; 2]) -> [usize; 4] {
        [self.entry(a, a), self.entry(a, b), self.entry(b, a), self.entry(b, b)]
    }
}

impl Layout {
    /// Lays out the states of a model.
    pub fn of(model: &Model, core_cells: usize) -> Self {
        let mut layout = Self::places(model, core_cells);
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
            ice: Vec::new(),
            neighbours: Vec::new(),
            contacts: Vec::new(),
            diagonal: Vec::new(),
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
        layout.bodies = model.bodies.iter().map(|_| layout.take(1, None)).collect();
        layout
    }

    /// Takes the next `count` places.
    fn take(&mut self, count: usize, circuit: Option<usize>) -> usize {
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

    /// Links coolant with metal, walls with the walls behind them in the air, tanks with their ice.
    fn link_metal(&mut self, model: &Model, core_cells: usize, pattern: &mut Pattern) {
        for index in 0..self.parts.len() {
            let PartCells { at: (c, r, p), first, count, .. } = self.parts[index];
            let part = &model.circuits[c].runs[r].parts[p].part;
            let metal = match part.partner() {
                Some(HeatPartner::Body(body)) => Some((self.bodies[body], 0)),
                Some(HeatPartner::Core(core)) => {
                    self.core_parts[core] = index;
                    Some((self.walls[core], 1))
                }
                None => None,
            };
            if let Some((metal, step)) = metal {
                for k in 0..count {
                    let states = [first + k, metal + k * step];
                    let entries = pattern.square(states);
                    self.contacts.push(Contact { part: index, states, entries });
                }
            }
            if part.as_tank().is_some_and(|tank| tank.ice.is_some()) {
                let state = self.take(1, None);
                self.diagonal.push(pattern.entry(state, state));
                let entries = pattern.square([first, state]);
                self.ice.push(IceState { part: index, state, entries });
            }
        }
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
}
