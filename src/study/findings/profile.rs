//! Heights along all ways of a circuit, and its crests and sinks.

use std::collections::BTreeMap;

use coolwright_cases::lower::Tap;
use coolwright_models::circuit::Joint;

use super::view::{At, View};

/// Where a node of the profile is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::study) enum Where {
    /// At a junction.
    Junction(usize),
    /// Behind a part of a run.
    Behind(usize, usize),
    /// At a corner of the route of a hose: run, part, number of the point.
    Corner(usize, usize, usize),
}

/// A point whose height counts.
pub(in crate::study) struct Node {
    pub(in crate::study) height_m: f64,
    pub(in crate::study) at: Where,
    /// Whether air can leave there.
    vented: bool,
    /// Whether coolant can be let out there.
    drained: bool,
    /// Whether a part begins or ends there whose way up or down is not told.
    unknown: bool,
    edges: Vec<usize>,
}

/// A piece of a run between two nodes, of a part whose heights are told.
pub(in crate::study) struct Edge {
    pub(in crate::study) ends: [usize; 2],
    pub(in crate::study) run: usize,
    pub(in crate::study) part: usize,
    /// Its length, m, where it is known.
    pub(in crate::study) length_m: Option<f64>,
}

/// The heights of a circuit.
pub(in crate::study) struct Profile {
    pub(in crate::study) nodes: Vec<Node>,
    pub(in crate::study) edges: Vec<Edge>,
    /// Hoses that do not tell their rise.
    pub(in crate::study) silent: Vec<At>,
    /// All hoses.
    pub(in crate::study) hoses: usize,
}

/// A crest or a sink: the nodes around an extreme that are within a step of it.
pub(in crate::study) struct Extreme {
    /// All of them.
    pub(in crate::study) nodes: Vec<usize>,
    /// The furthest up (or down).
    pub(in crate::study) tops: Vec<usize>,
    pub(in crate::study) height_m: f64,
}

/// Heights closer than this are level, m.
const LEVEL: f64 = 1e-3;

impl Profile {
    /// The profile of a circuit.
    pub(in crate::study) fn of(view: &View<'_>, c: usize) -> Self {
        let circuit = view.circuit(c);
        let mut profile = Self {
            nodes: Vec::new(),
            edges: Vec::new(),
            silent: Vec::new(),
            hoses: view.parts_of(c).filter(|&at| view.hose(at).is_some()).count(),
        };
        let heights = view.heights_m(c);
        for (j, junction) in circuit.junctions.iter().enumerate() {
            let open = !matches!(junction.joint, Joint::Plain { .. } | Joint::Tee { .. });
            let node = profile.node(heights[j], Where::Junction(j));
            profile.nodes[node].vented = open;
            profile.nodes[node].drained = open;
        }
        for r in 0..circuit.runs.len() {
            profile.add_run(view, c, r);
        }
        profile.open_taps(view, c);
        profile
    }

    fn node(&mut self, height_m: f64, at: Where) -> usize {
        let (vented, drained, unknown) = (false, false, false);
        self.nodes.push(Node { height_m, at, vented, drained, unknown, edges: Vec::new() });
        self.nodes.len() - 1
    }

    fn edge(&mut self, ends: [usize; 2], (run, part): (usize, usize), length_m: Option<f64>) {
        for end in ends {
            self.nodes[end].edges.push(self.edges.len());
        }
        self.edges.push(Edge { ends, run, part, length_m });
    }

    /// Adds the nodes and edges of a run.
    fn add_run(&mut self, view: &View<'_>, c: usize, r: usize) {
        let run = &view.circuit(c).runs[r];
        let mut before = run.from;
        for (p, placed) in run.parts.iter().enumerate() {
            let at = (c, r, p);
            let rise = placed.part.rise().map_or(0.0, |slot| view.ready.model.values.get(slot));
            let height = self.nodes[before].height_m;
            let mut here = before;
            let way = view.hose(at);
            let stations =
                way.map(coolwright_cases::lower::HoseWay::stations_m).unwrap_or_default();
            if let Some(way) = way {
                for k in 1..stations.len().saturating_sub(1) {
                    let z = height + way.route_m[k][2] - way.route_m[0][2];
                    let corner = self.node(z, Where::Corner(r, p, k));
                    self.edge([here, corner], (r, p), Some(stations[k] - stations[k - 1]));
                    here = corner;
                }
            }
            let after = if p + 1 == run.parts.len() {
                run.to
            } else {
                self.node(height + rise, Where::Behind(r, p))
            };
            if way.is_some_and(|way| !way.rise_told) {
                self.silent.push(at);
                self.nodes[here].unknown = true;
                self.nodes[after].unknown = true;
            } else {
                let last = stations.len().checked_sub(2).map(|k| stations[k + 1] - stations[k]);
                self.edge([here, after], (r, p), last.or_else(|| view.length(at)));
            }
            if placed.part.as_tank().is_some() {
                // What stands in a tank is let out, or drawn off, there.
                for n in [before, after] {
                    self.nodes[n].vented = true;
                    self.nodes[n].drained = true;
                }
            }
            before = after;
        }
        if run.parts.is_empty() {
            // A capped end of a header.
            self.edge([run.from, run.to], (r, usize::MAX), None);
        }
    }

    /// Opens the bleeds and drains of the case: each sits where its part is highest, or lowest.
    fn open_taps(&mut self, view: &View<'_>, c: usize) {
        let taps = &view.ready.taps[c];
        let mut of_part: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
        for edge in &self.edges {
            of_part.entry((edge.run, edge.part)).or_default().extend(edge.ends);
        }
        for (list, sign) in [(&taps.bleeds, 1.0), (&taps.drains, -1.0)] {
            for tap in list {
                let nodes = match *tap {
                    Tap::Junction(junction) => vec![junction],
                    Tap::Part(run, part) => of_part.get(&(run, part)).cloned().unwrap_or_default(),
                };
                let top = nodes.iter().map(|&n| sign * self.nodes[n].height_m);
                let top = top.fold(f64::NEG_INFINITY, f64::max);
                for n in nodes {
                    let node = &mut self.nodes[n];
                    let there = sign * node.height_m > top - LEVEL;
                    node.vented |= there && sign > 0.0;
                    node.drained |= there && sign < 0.0;
                }
            }
        }
    }

    /// The crests that stand out by more than a step, and are not vented.
    pub(in crate::study) fn crests(&self, step_m: f64) -> Vec<Extreme> {
        self.extremes(step_m, 1.0, |node| node.vented)
    }

    /// The sinks that go down by more than a step, and are not drained.
    pub(in crate::study) fn sinks(&self, step_m: f64) -> Vec<Extreme> {
        self.extremes(step_m, -1.0, |node| node.drained)
    }

    /// Looks from every node, the highest first, over what is connected to it less than a step
    /// below. Where that reaches something higher, the node is a part of its slope. Where it reaches
    /// a way that is not told, or covers everything, nothing is said.
    fn extremes(&self, step_m: f64, sign: f64, is_open: impl Fn(&Node) -> bool) -> Vec<Extreme> {
        let height = |n: usize| sign * self.nodes[n].height_m;
        let mut order: Vec<usize> = (0..self.nodes.len()).collect();
        order.sort_by(|&a, &b| height(b).total_cmp(&height(a)).then(a.cmp(&b)));
        let mut absorbed = vec![false; self.nodes.len()];
        let mut mark = vec![usize::MAX; self.nodes.len()];
        let mut found = Vec::new();
        for &top in &order {
            if absorbed[top] {
                continue;
            }
            let mut reached = vec![top];
            mark[top] = top;
            let mut slope = false;
            let mut next = 0;
            while next < reached.len() && !slope {
                let n = reached[next];
                next += 1;
                for &edge in &self.nodes[n].edges {
                    let [a, b] = self.edges[edge].ends;
                    let other = if a == n { b } else { a };
                    if mark[other] == top || height(other) <= height(top) - step_m {
                        continue;
                    }
                    slope |= absorbed[other];
                    mark[other] = top;
                    reached.push(other);
                }
            }
            for &n in &reached {
                absorbed[n] = true;
            }
            let said = reached.len() < self.nodes.len()
                && !reached.iter().any(|&n| self.nodes[n].unknown || is_open(&self.nodes[n]));
            if said && !slope {
                let level = |&&n: &&usize| height(n) > height(top) - LEVEL;
                let tops = reached.iter().filter(level).copied().collect();
                found.push(Extreme { nodes: reached, tops, height_m: self.nodes[top].height_m });
            }
        }
        found
    }

    /// The pieces that lead out of an extreme: edge, and its end within.
    pub(in crate::study) fn leaving(&self, extreme: &Extreme) -> Vec<(&Edge, usize)> {
        let mut out = Vec::new();
        for &n in &extreme.nodes {
            for &edge in &self.nodes[n].edges {
                let edge = &self.edges[edge];
                let other = if edge.ends[0] == n { edge.ends[1] } else { edge.ends[0] };
                if !extreme.nodes.contains(&other) {
                    out.push((edge, n));
                }
            }
        }
        out
    }

    /// The edges that touch a node.
    pub(in crate::study) fn edges_at(&self, node: usize) -> impl Iterator<Item = &Edge> {
        self.nodes[node].edges.iter().map(|&edge| &self.edges[edge])
    }
}

/// Height of the inlet of a part above the circuit's reference, m.
pub(in crate::study) fn height_before(view: &View<'_>, (c, r, p): At) -> f64 {
    let (circuit, values) = (view.circuit(c), &view.ready.model.values);
    view.heights_m(c)[circuit.runs[r].from] + circuit.rise_m(values, r, p)
}
