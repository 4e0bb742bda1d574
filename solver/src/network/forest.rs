//! A spanning forest, and the loops that its chords close.
//!
//! Runs, and one tie from the ground to each held junction, are the edges; the ground is one more
//! vertex. Every edge outside the forest is a chord and closes one loop: through the chord from
//! its first end to its second, and back through the forest.

use petgraph::unionfind::UnionFind;

pub(crate) const NONE: usize = usize::MAX;

/// The edges: first the runs, then for each junction the tie from the ground to it.
#[derive(Clone, Debug)]
pub(crate) struct Graph {
    pub(crate) junctions: usize,
    pub(crate) runs: usize,
    pub(crate) ends: Vec<(usize, usize)>,
    /// Label of each junction's component: its lowest-numbered junction.
    pub(crate) component: Vec<usize>,
    incident_start: Vec<usize>,
    incident: Vec<usize>,
}

impl Graph {
    pub(crate) fn new(junctions: usize, runs: &[(usize, usize)]) -> Self {
        let mut ends = runs.to_vec();
        ends.extend((0..junctions).map(|junction| (junctions, junction)));
        let mut incident_start = vec![0; junctions + 1];
        for &(from, to) in runs {
            incident_start[from + 1] += 1;
            incident_start[to + 1] += usize::from(from != to);
        }
        for i in 0..junctions {
            incident_start[i + 1] += incident_start[i];
        }
        let mut next = incident_start.clone();
        let mut incident = vec![0; incident_start[junctions]];
        for (run, &(from, to)) in runs.iter().enumerate() {
            incident[next[from]] = run;
            next[from] += 1;
            if from != to {
                incident[next[to]] = run;
                next[to] += 1;
            }
        }
        let component = components(junctions, runs);
        Self { junctions, runs: runs.len(), ends, component, incident_start, incident }
    }

    pub(crate) fn ground(&self) -> usize {
        self.junctions
    }

    /// Loops when `held` junctions are tied to the ground; `grounded` components have one.
    pub(crate) fn loops(&self, held: usize, grounded: usize) -> usize {
        let components = self.component.iter().enumerate().filter(|(i, c)| i == *c).count();
        self.runs + components + held - self.junctions - grounded
    }

    fn incident_runs(&self, junction: usize) -> &[usize] {
        &self.incident[self.incident_start[junction]..self.incident_start[junction + 1]]
    }
}

/// Where loops are listed there are never so many edges that this fails.
pub(crate) fn short(index: usize) -> u32 {
    u32::try_from(index).expect("a small network has fewer than 2^32 edges")
}

/// For each junction the lowest-numbered junction that it is connected to.
fn components(junctions: usize, runs: &[(usize, usize)]) -> Vec<usize> {
    let mut sets = UnionFind::new(junctions);
    for &(from, to) in runs {
        sets.union(from, to);
    }
    let labels = sets.into_labeling();
    let mut lowest = vec![NONE; junctions];
    for (junction, &label) in labels.iter().enumerate() {
        lowest[label] = lowest[label].min(junction);
    }
    labels.iter().map(|&label| lowest[label]).collect()
}

/// One edge of a loop, or one loop through an edge, with the sense in which they agree.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Part {
    pub(crate) index: usize,
    pub(crate) sign: f64,
}

/// One edge of one loop. A list of all of them is walked faster than loop after loop: small loops are
/// over before the machine has guessed their length.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Link {
    pub(crate) edge: u32,
    pub(crate) chord: u32,
    pub(crate) sign: f64,
}

/// The forest and its loops. All storage is kept between rebuilds.
#[derive(Clone, Debug, Default)]
pub(crate) struct Forest {
    /// Vertices, parents before children.
    pub(crate) order: Vec<usize>,
    pub(crate) parent: Vec<usize>,
    /// The edge to the parent, or NONE at a root.
    pub(crate) up: Vec<usize>,
    pub(crate) depth: Vec<usize>,
    root: Vec<usize>,
    pub(crate) chords: Vec<usize>,
    loop_start: Vec<usize>,
    loop_parts: Vec<Part>,
    /// The same, each with its loop.
    pub(crate) links: Vec<Link>,
    edge_start: Vec<usize>,
    edge_loops: Vec<Part>,
    in_tree: Vec<bool>,
    set: Vec<usize>,
    need: Vec<f64>,
    sources: Vec<usize>,
    /// Whether the edges of every loop are listed: their number grows faster than the network.
    listed: bool,
}

impl Forest {
    pub(crate) fn new(graph: &Graph, loops: usize, listed: bool) -> Self {
        let (vertices, edges) = (graph.junctions + 1, graph.ends.len());
        let longest = if listed { loops * (vertices + 1).min(edges) } else { 0 };
        Self {
            order: Vec::with_capacity(vertices),
            parent: vec![NONE; vertices],
            up: vec![NONE; vertices],
            depth: vec![0; vertices],
            root: vec![NONE; vertices],
            chords: Vec::with_capacity(loops),
            loop_start: Vec::with_capacity(loops + 1),
            loop_parts: Vec::with_capacity(longest),
            links: Vec::with_capacity(longest),
            edge_start: vec![0; edges + 1],
            edge_loops: Vec::with_capacity(longest),
            in_tree: vec![false; edges],
            set: vec![0; vertices],
            need: vec![0.0; vertices],
            sources: vec![0; vertices],
            listed,
        }
    }

    pub(crate) fn loop_parts(&self, chord: usize) -> &[Part] {
        &self.loop_parts[self.loop_start[chord]..self.loop_start[chord + 1]]
    }

    pub(crate) fn loops_through(&self, edge: usize) -> &[Part] {
        &self.edge_loops[self.edge_start[edge]..self.edge_start[edge + 1]]
    }

    /// The edge to the parent and its sense: +1 when it runs from the parent to `vertex`.
    pub(crate) fn branch(&self, graph: &Graph, vertex: usize) -> Option<Part> {
        let edge = self.up[vertex];
        (edge != NONE).then(|| Part {
            index: edge,
            sign: if graph.ends[edge].1 == vertex { 1.0 } else { -1.0 },
        })
    }

    /// Whether nothing but the ground or a held junction's tie stands above the vertex: its
    /// pressure is given.
    pub(crate) fn is_top(&self, graph: &Graph, vertex: usize) -> bool {
        self.up[vertex] == NONE || self.parent[vertex] == graph.ground()
    }

    /// Takes runs into the forest in the order of `ranking`, after the ties of held junctions.
    pub(crate) fn build(&mut self, graph: &Graph, held: &[bool], ranking: &[usize]) {
        for (vertex, set) in self.set.iter_mut().enumerate() {
            *set = vertex;
        }
        self.in_tree.fill(false);
        let ties = held.iter().enumerate().filter(|(_, held)| **held);
        for edge in ties.map(|(j, _)| graph.runs + j).chain(ranking.iter().copied()) {
            let (from, to) = graph.ends[edge];
            let (a, b) = (self.find(from), self.find(to));
            if a != b {
                self.set[a.max(b)] = a.min(b);
                self.in_tree[edge] = true;
            }
        }
        self.order_breadth_first(graph, held);
        self.chords.clear();
        self.chords.extend((0..graph.runs).filter(|run| !self.in_tree[*run]));
        if self.listed {
            self.close_loops(graph);
        }
    }

    fn find(&mut self, mut vertex: usize) -> usize {
        while self.set[vertex] != vertex {
            self.set[vertex] = self.set[self.set[vertex]];
            vertex = self.set[vertex];
        }
        vertex
    }

    /// Orders the vertices from the roots down, breadth first: the ground, and the lowest junction of each component
    /// that is not tied to it.
    fn order_breadth_first(&mut self, graph: &Graph, held: &[bool]) {
        self.order.clear();
        self.root.fill(NONE);
        let ground = graph.ground();
        self.place(ground, ground, NONE, ground);
        for (junction, _) in held.iter().enumerate().filter(|(_, held)| **held) {
            self.place(junction, ground, graph.runs + junction, ground);
        }
        let mut next = 1;
        for junction in 0..=graph.junctions {
            while next < self.order.len() {
                let vertex = self.order[next];
                next += 1;
                for &run in graph.incident_runs(vertex) {
                    let (from, to) = graph.ends[run];
                    let other = if from == vertex { to } else { from };
                    if self.in_tree[run] && self.root[other] == NONE {
                        self.place(other, vertex, run, self.root[vertex]);
                    }
                }
            }
            if junction < graph.junctions && self.root[junction] == NONE {
                self.place(junction, junction, NONE, junction);
            }
        }
    }

    fn place(&mut self, vertex: usize, parent: usize, up: usize, root: usize) {
        self.depth[vertex] = if up == NONE { 0 } else { self.depth[parent] + 1 };
        self.parent[vertex] = parent;
        self.up[vertex] = up;
        self.root[vertex] = root;
        self.order.push(vertex);
    }

    fn close_loops(&mut self, graph: &Graph) {
        self.loop_parts.clear();
        self.loop_start.clear();
        self.loop_start.push(0);
        for &run in &self.chords {
            self.loop_parts.push(Part { index: run, sign: 1.0 });
            let (mut head, mut tail) = (graph.ends[run].1, graph.ends[run].0);
            while head != tail {
                // The loop comes back from the head: up from it, down towards the tail.
                let upward = self.depth[head] >= self.depth[tail];
                let vertex = if upward { head } else { tail };
                let down = if graph.ends[self.up[vertex]].1 == vertex { 1.0 } else { -1.0 };
                let sign = if upward { -down } else { down };
                self.loop_parts.push(Part { index: self.up[vertex], sign });
                let above = self.parent[vertex];
                if upward {
                    head = above;
                } else {
                    tail = above;
                }
            }
            self.loop_start.push(self.loop_parts.len());
        }
        self.list_by_edge();
    }

    fn list_by_edge(&mut self) {
        self.links.clear();
        for (chord, range) in self.loop_start.windows(2).enumerate() {
            for part in &self.loop_parts[range[0]..range[1]] {
                let [edge, chord] = [part.index, chord].map(short);
                self.links.push(Link { edge, chord, sign: part.sign });
            }
        }
        self.edge_start.fill(0);
        for part in &self.loop_parts {
            self.edge_start[part.index] += 1;
        }
        let mut total = 0;
        for start in &mut self.edge_start {
            total += *start;
            *start = total;
        }
        // Each start stands at its end now; filling backwards moves it to its beginning.
        self.edge_loops.clear();
        self.edge_loops.resize(total, Part { index: 0, sign: 0.0 });
        for chord in (0..self.chords.len()).rev() {
            for part in &self.loop_parts[self.loop_start[chord]..self.loop_start[chord + 1]] {
                self.edge_start[part.index] -= 1;
                self.edge_loops[self.edge_start[part.index]] =
                    Part { index: chord, sign: part.sign };
            }
        }
    }

    /// The flows that carry `inflow` through the forest alone, chords at rest. A branch with no
    /// source on one of its sides carries exactly zero.
    pub(crate) fn tree_flows(&mut self, graph: &Graph, inflow: &[f64], base: &mut [f64]) {
        base.fill(0.0);
        if inflow.iter().all(|flow| *flow == 0.0) {
            return;
        }
        let ground = graph.ground();
        self.need[..ground].copy_from_slice(inflow);
        self.need[ground] = 0.0;
        for (count, flow) in self.sources.iter_mut().zip(&self.need) {
            *count = usize::from(*flow != 0.0);
        }
        for &vertex in self.order.iter().rev().filter(|vertex| self.up[**vertex] != NONE) {
            let parent = self.parent[vertex];
            self.need[parent] += self.need[vertex];
            self.sources[parent] += self.sources[vertex];
        }
        for &vertex in &self.order {
            let edge = self.up[vertex];
            let (within, root) = (self.sources[vertex], self.root[vertex]);
            if edge == NONE || within == 0 || (root != ground && within == self.sources[root]) {
                continue;
            }
            let downward = graph.ends[edge].1 == vertex;
            base[edge] = if downward { -self.need[vertex] } else { self.need[vertex] };
        }
    }
}
