//! Loops of a spanning forest without lists of their edges.
//!
//! Sums around loops are differences of sums from the root, and flows in the forest are sums over
//! the vertices below. Where the ways from the two ends of a chord meet is found on heavy paths
//! (Sleator & Tarjan 1983). All in time and memory of the size of the network.

use super::forest::{Forest, Graph, NONE};

/// A vertex below another and the edge between them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Branch {
    pub(super) vertex: usize,
    pub(super) parent: usize,
    pub(super) edge: usize,
    /// +1 when the edge runs from the parent to the vertex.
    sign: f64,
    looped: bool,
}

/// An edge outside the forest, and the vertex at which the ways up from its ends meet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chord {
    pub(super) edge: usize,
    pub(super) from: usize,
    pub(super) to: usize,
    meet: usize,
}

/// The forest as its loops see it.
#[derive(Clone, Debug, Default)]
pub(super) struct Paths {
    /// Parents before children.
    pub(super) branches: Vec<Branch>,
    pub(super) chords: Vec<Chord>,
    size: Vec<usize>,
    heavy: Vec<usize>,
    head: Vec<usize>,
    passes: Vec<isize>,
}

impl Paths {
    /// Takes over a forest. Allocates only for more chords than ever before.
    pub(super) fn read(&mut self, graph: &Graph, forest: &Forest) {
        self.branches.clear();
        for &vertex in &forest.order {
            if let Some(up) = forest.branch(graph, vertex) {
                let parent = forest.parent[vertex];
                let (edge, sign) = (up.index, up.sign);
                self.branches.push(Branch { vertex, parent, edge, sign, looped: false });
            }
        }
        self.find_heads(graph.junctions + 1);
        self.chords.clear();
        for &edge in &forest.chords {
            let (from, to) = graph.ends[edge];
            let meet = self.meet(forest, from, to);
            self.chords.push(Chord { edge, from, to, meet });
        }
        self.find_looped(graph.junctions + 1);
    }

    /// The first vertex of the heavy path that each vertex lies on.
    fn find_heads(&mut self, vertices: usize) {
        self.size.clear();
        self.size.resize(vertices, 1);
        self.heavy.clear();
        self.heavy.resize(vertices, NONE);
        for branch in self.branches.iter().rev() {
            let size = self.size[branch.vertex];
            self.size[branch.parent] += size;
            let heavy = self.heavy[branch.parent];
            if heavy == NONE || self.size[heavy] < size {
                self.heavy[branch.parent] = branch.vertex;
            }
        }
        self.head.clear();
        self.head.extend(0..vertices);
        for branch in &self.branches {
            if self.heavy[branch.parent] == branch.vertex {
                self.head[branch.vertex] = self.head[branch.parent];
            }
        }
    }

    fn meet(&self, forest: &Forest, mut a: usize, mut b: usize) -> usize {
        while self.head[a] != self.head[b] {
            let (above, beside) = (self.head[a], self.head[b]);
            if forest.depth[above] >= forest.depth[beside] {
                a = forest.parent[above];
            } else {
                b = forest.parent[beside];
            }
        }
        if forest.depth[a] <= forest.depth[b] { a } else { b }
    }

    /// Marks the branches that loops pass through.
    fn find_looped(&mut self, vertices: usize) {
        self.passes.clear();
        self.passes.resize(vertices, 0);
        for chord in &self.chords {
            self.passes[chord.from] += 1;
            self.passes[chord.to] += 1;
            self.passes[chord.meet] -= 2;
        }
        for branch in self.branches.iter_mut().rev() {
            let passes = self.passes[branch.vertex];
            branch.looped = passes != 0;
            self.passes[branch.parent] += passes;
        }
    }

    /// Adds the flows around the loops to the flows of the edges: m + Bᵀ q. A branch without
    /// loops is left as it is. `needs` is scratch over the vertices.
    pub(super) fn add_loop_flows(&self, over_loops: &[f64], flows: &mut [f64], needs: &mut [f64]) {
        needs.fill(0.0);
        for (chord, &flow) in self.chords.iter().zip(over_loops) {
            flows[chord.edge] += flow;
            needs[chord.from] += flow;
            needs[chord.to] -= flow;
        }
        for branch in self.branches.iter().rev() {
            let need = needs[branch.vertex];
            needs[branch.parent] += need;
            if branch.looped {
                flows[branch.edge] += branch.sign * need;
            }
        }
    }

    /// Falls from the roots down to every vertex, with the sign turned: its potential.
    pub(super) fn descend(&self, falls: &[f64], potentials: &mut [f64]) {
        potentials.fill(0.0);
        for branch in &self.branches {
            potentials[branch.vertex] =
                potentials[branch.parent] - branch.sign * falls[branch.edge];
        }
    }

    /// Sums of the falls around the loops: B f.
    pub(super) fn close(&self, falls: &[f64], potentials: &mut [f64], over_loops: &mut [f64]) {
        self.descend(falls, potentials);
        for (chord, sum) in self.chords.iter().zip(over_loops) {
            *sum = falls[chord.edge] - (potentials[chord.from] - potentials[chord.to]);
        }
    }

    /// For every branch the sum over its loops of what has no sign.
    pub(super) fn sum_through_branches(
        &self,
        size: impl Fn(usize) -> f64,
        sums: &mut [f64],
        mut put: impl FnMut(usize, f64),
    ) {
        sums.fill(0.0);
        for chord in &self.chords {
            let size = size(chord.edge);
            sums[chord.from] += size;
            sums[chord.to] += size;
            sums[chord.meet] -= 2.0 * size;
        }
        for branch in self.branches.iter().rev() {
            let sum = sums[branch.vertex];
            sums[branch.parent] += sum;
            put(branch.edge, sum);
        }
    }

    /// Sums around the loops of what has no sign.
    pub(super) fn total(
        &self,
        size: impl Fn(usize) -> f64,
        sums: &mut [f64],
        over_loops: &mut [f64],
    ) {
        sums.fill(0.0);
        for branch in &self.branches {
            sums[branch.vertex] = sums[branch.parent] + size(branch.edge);
        }
        for (chord, sum) in self.chords.iter().zip(over_loops) {
            let way = sums[chord.from] + sums[chord.to] - 2.0 * sums[chord.meet];
            *sum = size(chord.edge) + way.max(0.0);
        }
    }
}
