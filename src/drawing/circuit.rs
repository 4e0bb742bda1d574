//! A circuit unrolled along its flow: cut where its pressure is known, headers taken as one.

use coolwright_models::circuit::{Circuit, Joint, Placed, ReferencePoint, Run, made};
use coolwright_models::ids::Id;
use coolwright_models::parts::HeatPartner;
use coolwright_models::results::Quantity;
use coolwright_models::results::quantities as q;

use super::State;
use super::laws::LawBook;
use super::main_way::main_way;
use crate::answer::drawing::{CircuitDrawn, NodeDrawn, PartDrawn, Station, Symbol, WayDrawn};
use crate::sections::is_piece;

/// Less than this is no flow, m³/s.
pub(super) const STILL_M3_S: f64 = 1e-9;

/// A circuit while it is unrolled.
struct Unrolled<'a> {
    state: &'a State<'a>,
    laws: &'a LawBook,
    c: usize,
    circuit: &'a Circuit,
    /// The node of each junction, and its place within that.
    node: Vec<usize>,
    port: Vec<usize>,
    nodes: Vec<NodeDrawn>,
    ways: Vec<WayDrawn>,
}

/// Unrolls a circuit.
pub(super) fn circuit(state: &State<'_>, laws: &LawBook, c: usize) -> CircuitDrawn {
    let circuit = &state.ready.model.circuits[c];
    let (node, port, nodes) = nodes(circuit);
    let mut unrolled = Unrolled { state, laws, c, circuit, node, port, nodes, ways: Vec::new() };
    let [start, end] = unrolled.unroll();
    let liquid = circuit.coolant.liquid(state.values);
    let mut drawn = CircuitDrawn {
        number: c,
        name: circuit.name.clone(),
        ambient_pa: state.of(Id::Site, &q::AMBIENT),
        vapour_told: liquid.is_ok_and(|liquid| liquid.has_vapour()),
        nodes: unrolled.nodes,
        ways: unrolled.ways,
        start,
        end,
        main: Vec::new(),
        closes: false,
        moment: None,
    };
    (drawn.main, drawn.closes) = main_way(&drawn);
    drawn
}

/// The node of each junction, its place in it, and the nodes: junctions that pieces of a header join are one.
fn nodes(circuit: &Circuit) -> (Vec<usize>, Vec<usize>, Vec<NodeDrawn>) {
    let count = circuit.junctions.len();
    let mut of: Vec<usize> = (0..count).collect();
    for run in circuit.runs.iter().filter(|run| is_piece(run)) {
        let (a, b) = (of[run.from], of[run.to]);
        of.iter_mut().filter(|node| **node == b).for_each(|node| *node = a);
    }
    let mut kept: Vec<usize> = of.clone();
    kept.sort_unstable();
    kept.dedup();
    let mut port = vec![0; count];
    for (of_node, members) in kept.iter().map(|k| {
        let members: Vec<usize> = (0..count).filter(|j| of[*j] == *k).collect();
        (k, members)
    }) {
        debug_assert!(members.contains(of_node), "a node is one of its junctions");
        for (place, &junction) in members.iter().enumerate() {
            port[junction] = place;
        }
    }
    let node: Vec<usize> =
        of.iter().map(|k| kept.binary_search(k).expect("every node is kept")).collect();
    let nodes = kept.iter().map(|&junction| {
        let several = of.iter().filter(|k| **k == junction).count() > 1;
        let known = &circuit.junctions[junction];
        let name = made::of(&known.name);
        NodeDrawn {
            name: (!known.automatic || several).then(|| name.to_owned()),
            word: word(&known.joint, several),
        }
    });
    let nodes = nodes.collect();
    (node, port, nodes)
}

fn word(joint: &Joint, several: bool) -> &'static str {
    match joint {
        _ if several => "header",
        Joint::Plain { .. } => "joint",
        Joint::Tee { .. } => "tee",
        Joint::Tank(_) => "tank",
        Joint::Held { .. } | Joint::Fed { .. } => "open end",
    }
}

impl Unrolled<'_> {
    /// Makes the ways; gives the node that they start from and that at which they end, which are the same where nothing
    /// was cut.
    fn unroll(&mut self) -> [usize; 2] {
        let reference = self.circuit.reference.map(|reference| reference.at);
        let cut = match reference {
            Some(ReferencePoint::Part(run, part)) => Some((run, part)),
            _ => None,
        };
        for (r, run) in self.circuit.runs.iter().enumerate() {
            if is_piece(run) {
                continue;
            }
            match cut {
                Some((of, part)) if of == r => self.cut_run(r, part),
                _ => {
                    let all: Vec<usize> = (0..run.parts.len()).collect();
                    let way = self.way(r, &all);
                    self.ways.push(way);
                }
            }
        }
        match reference {
            // The cut run made the last two nodes.
            Some(ReferencePoint::Part(..)) => [self.nodes.len() - 2, self.nodes.len() - 1],
            Some(ReferencePoint::Junction(junction)) => {
                let node = self.flowing(self.node[junction]);
                self.cut_node(node)
            }
            None => {
                let held = self.circuit.junctions.iter().position(|junction| {
                    matches!(junction.joint, Joint::Held { .. } | Joint::Fed { .. })
                });
                let entered = self.ways.iter().map(|way| way.from);
                let open = held.map(|junction| self.node[junction]);
                let start = open
                    .filter(|node| entered.clone().any(|from| from == *node))
                    .or_else(|| entered.clone().next())
                    .unwrap_or(0);
                [start; 2]
            }
        }
    }

    /// Cuts a run where the flow comes to a part: from there it starts, and there it ends.
    fn cut_run(&mut self, r: usize, part: usize) {
        let run = &self.circuit.runs[r];
        let forward = self.flow(r) >= 0.0;
        let count = run.parts.len();
        let (ahead, behind): (Vec<usize>, Vec<usize>) =
            (0..count).partition(|p| if forward { *p >= part } else { *p <= part });
        let first = self.nodes.len();
        for _ in 0..2 {
            self.nodes.push(NodeDrawn { name: None, word: "cut" });
        }
        let whole_loop = run.from == run.to;
        let mut first_way = self.way(r, &ahead);
        let mut last_way = self.way(r, &behind);
        (first_way.from, last_way.to) = (first, first + 1);
        // Within the run the pressure is that of its parts.
        let total = |part: Option<&PartDrawn>, end: usize| part.map(|part| part.ends[end].total_pa);
        let (starts, ends) = (total(first_way.parts.first(), 0), total(last_way.parts.last(), 1));
        // Where nothing stands on one side of the cut, it has the pressure of the other.
        if let Some(pa) = starts.or(ends) {
            first_way.ends_pa[0] = pa;
        }
        if let Some(pa) = ends.or(starts) {
            last_way.ends_pa[1] = pa;
        }
        if whole_loop && self.legs(run.from) == 2 {
            // One run that closes on itself: nothing meets at its joint.
            first_way.to = first + 1;
            if !last_way.parts.is_empty() {
                first_way.ends_pa[1] = last_way.ends_pa[1];
            }
            first_way.parts.append(&mut last_way.parts);
            self.ways.push(first_way);
        } else {
            self.ways.push(first_way);
            self.ways.push(last_way);
        }
    }

    /// The node itself, or, where nothing flows to it or from it, the next along its ways where something does:
    /// a bottle that stands beside a loop is no place to unroll that from.
    fn flowing(&self, node: usize) -> usize {
        let (mut seen, mut next) = (vec![node], 0);
        while let Some(&at) = seen.get(next) {
            let ways = || self.ways.iter().filter(|way| way.from == at || way.to == at);
            if ways().any(|way| way.flow_m3_s > STILL_M3_S) {
                return at;
            }
            for other in ways().flat_map(|way| [way.from, way.to]) {
                if !seen.contains(&other) {
                    seen.push(other);
                }
            }
            next += 1;
        }
        node
    }

    /// Cuts a node in two: what flows from it starts there, what flows into it ends in its double. Gives both.
    fn cut_node(&mut self, node: usize) -> [usize; 2] {
        let double = self.nodes.len();
        self.nodes.push(self.nodes[node].clone());
        self.ways.iter_mut().filter(|way| way.to == node).for_each(|way| way.to = double);
        [node, double]
    }

    /// How many ends of runs meet at a junction.
    fn legs(&self, junction: usize) -> usize {
        let ends = |run: &Run| usize::from(run.from == junction) + usize::from(run.to == junction);
        self.circuit.runs.iter().map(ends).sum()
    }

    fn flow(&self, r: usize) -> f64 {
        self.state.of(Id::Run(self.c, r), &q::FLOW)
    }

    /// A run or some of its parts, along the flow.
    fn way(&self, r: usize, parts: &[usize]) -> WayDrawn {
        let run = &self.circuit.runs[r];
        let id = Id::Run(self.c, r);
        let forward = self.flow(r) >= 0.0;
        let mut ends = [run.from, run.to];
        let mut order: Vec<usize> =
            parts.iter().copied().filter(|p| !run.parts[*p].automatic).collect();
        if !forward {
            ends.reverse();
            order.reverse();
        }
        let pressure = |j: usize| self.state.of(Id::Junction(self.c, j), &q::JUNCTION_PRESSURE);
        WayDrawn {
            address: self.state.ready.model.address(id),
            name: made::plain(&run.name),
            from: self.node[ends[0]],
            to: self.node[ends[1]],
            flow_m3_s: self.flow(r).abs(),
            forward,
            ports: ends.map(|j| self.port[j]),
            ends_pa: ends.map(pressure),
            parts: order.into_iter().map(|p| self.part(r, p, forward)).collect(),
        }
    }

    fn part(&self, r: usize, p: usize, forward: bool) -> PartDrawn {
        let placed = &self.circuit.runs[r].parts[p];
        let id = Id::Part(self.c, r, p);
        let of = |quantity: &'static Quantity| self.state.of(id, quantity);
        let inlet = Station {
            height_m: of(&q::HEIGHT_IN),
            total_pa: of(&q::TOTAL_IN),
            static_pa: of(&q::PRESSURE_IN),
            vapour_pa: of(&q::VAPOUR_IN),
            coolant_k: of(&q::COOLANT_IN),
        };
        let outlet = Station {
            height_m: of(&q::HEIGHT_OUT),
            total_pa: of(&q::TOTAL_OUT),
            static_pa: of(&q::PRESSURE_OUT),
            vapour_pa: of(&q::VAPOUR_OUT),
            coolant_k: of(&q::COOLANT_OUT),
        };
        PartDrawn {
            address: self.state.ready.model.address(id),
            name: made::plain(&placed.name),
            word: placed.part.word(),
            symbol: symbol(placed),
            ends: if forward { [inlet, outlet] } else { [outlet, inlet] },
            laws: self.laws.get(id),
        }
    }
}

/// What stands for a part.
fn symbol(placed: &Placed) -> Symbol {
    let part = &placed.part;
    match part.partner() {
        Some(HeatPartner::Body(_)) if part.word() == "side" => return Symbol::Core,
        Some(HeatPartner::Body(_)) => return Symbol::Source,
        Some(HeatPartner::Core(_)) => return Symbol::Core,
        None => {}
    }
    if part.as_pump().is_some() {
        return Symbol::Pump;
    }
    if part.as_tank().is_some() {
        return Symbol::Vessel;
    }
    match part.word() {
        "hose" => Symbol::Hose,
        "check valve" => Symbol::CheckValve,
        "thermostat" => Symbol::Thermostat,
        "reducer" | "bore change" => Symbol::Reducer,
        "throttle" | "restrictor" | "valve" => Symbol::Valve,
        "meter" | "flow meter" => Symbol::Meter,
        _ => Symbol::Other,
    }
}
