//! Where everything of an unrolled circuit stands: nodes along the way, ways in lanes, parts in slots.

use crate::answer::drawing::{CircuitDrawn, PartDrawn, Symbol, WayDrawn};

/// Where a way begins before its first part: there its flow stands.
const LEAD: f64 = 86.0;
/// Where it ends behind its last part.
const TAIL: f64 = 34.0;
/// The least width of a part.
const SLOT: f64 = 66.0;
/// Width of a sign of a name.
const SIGN: f64 = 6.2;

/// A way with its place.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    /// From where to where the flow goes along x.
    pub(super) x: [f64; 2],
    /// Its lane, from the top.
    pub(super) lane: usize,
    /// From where to where each part goes.
    pub(super) slots: Vec<[f64; 2]>,
}

/// Where everything stands.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    /// x of each node.
    pub(super) nodes: Vec<f64>,
    /// The ways.
    pub(super) ways: Vec<Placed>,
    /// How many lanes there are.
    pub(super) lanes: usize,
    /// How far it all goes.
    pub(super) right: f64,
}

/// The width of a part: that of its name, if it is long.
fn slot(part: &PartDrawn) -> f64 {
    let name = part.name.chars().count() as f64 * SIGN + 12.0;
    let least = match part.symbol {
        Symbol::Hose => 0.85 * SLOT,
        // Behind it stands a temperature.
        Symbol::Source | Symbol::Core => 1.2 * SLOT,
        _ => SLOT,
    };
    name.max(least)
}

fn width(way: &WayDrawn) -> f64 {
    LEAD + TAIL + way.parts.iter().map(slot).sum::<f64>()
}

/// Lays a circuit out from `left` on.
pub(super) fn layout(circuit: &CircuitDrawn, left: f64) -> Layout {
    let order = order(circuit);
    let place = |node: usize| order.iter().position(|known| *known == node).unwrap_or(0);
    // Ways that lead back to where the flow has been go from right to left.
    let ends = |way: &WayDrawn| {
        if place(way.from) <= place(way.to) { [way.from, way.to] } else { [way.to, way.from] }
    };
    let mut nodes = vec![left; circuit.nodes.len()];
    for &node in &order {
        for way in &circuit.ways {
            let [from, to] = ends(way);
            if from == node && to != node {
                nodes[to] = nodes[to].max(nodes[node] + width(way));
            }
        }
    }
    draw_up(circuit, &order, &ends, &mut nodes);
    let span = |way: &WayDrawn| {
        let [from, to] = [nodes[way.from], nodes[way.to]];
        if way.from == way.to { [from, from + width(way)] } else { [from, to] }
    };
    let spans: Vec<[f64; 2]> = circuit.ways.iter().map(span).collect();
    let (lanes_of, lanes) = lanes(circuit, &spans);
    let ways = circuit.ways.iter().zip(&spans).zip(lanes_of);
    let ways: Vec<Placed> =
        ways.map(|((way, x), lane)| Placed { x: *x, lane, slots: slots(way, *x) }).collect();
    let right = spans.iter().flatten().copied().fold(left, f64::max);
    Layout { nodes, ways, lanes, right }
}

/// Draws nodes that nothing flows to before them up to those that they flow to.
fn draw_up(
    circuit: &CircuitDrawn,
    order: &[usize],
    ends: &impl Fn(&WayDrawn) -> [usize; 2],
    nodes: &mut [f64],
) {
    for &node in order.iter().rev() {
        let into = circuit.ways.iter().any(|way| ends(way)[1] == node && ends(way)[0] != node);
        if into || node == circuit.start {
            continue;
        }
        let out = circuit.ways.iter().filter(|way| ends(way)[0] == node && ends(way)[1] != node);
        let most = out.map(|way| nodes[ends(way)[1]] - width(way)).fold(f64::INFINITY, f64::min);
        if most.is_finite() {
            nodes[node] = nodes[node].max(most);
        }
    }
}

/// The nodes in the order in which the flow comes to them; a way back to one that it has been to counts for nothing.
fn order(circuit: &CircuitDrawn) -> Vec<usize> {
    let count = circuit.nodes.len();
    let mut seen = vec![false; count];
    let mut found = Vec::new();
    let starts = std::iter::once(circuit.start).chain(0..count);
    for start in starts {
        if seen[start] {
            continue;
        }
        // Depth first; a node is done when all that flows from it is.
        let mut stack = vec![(start, 0)];
        seen[start] = true;
        let mut done = Vec::new();
        while let Some((node, next)) = stack.pop() {
            let mut ways = circuit.ways.iter().enumerate().skip(next);
            match ways.find(|(_, way)| way.from == node && !seen[way.to]) {
                Some((k, way)) => {
                    stack.push((node, k + 1));
                    seen[way.to] = true;
                    stack.push((way.to, 0));
                }
                None => done.push(node),
            }
        }
        done.reverse();
        // What is found later flows into what is known.
        if found.is_empty() { found = done } else { found.splice(1..1, done).for_each(drop) }
    }
    found
}

/// The lane of each way: the topmost that is free along it, ways of a header in the order of its ports.
fn lanes(circuit: &CircuitDrawn, spans: &[[f64; 2]]) -> (Vec<usize>, usize) {
    let ends = |k: usize| {
        let [a, b] = spans[k];
        if a <= b { [a, b] } else { [b, a] }
    };
    let mut order: Vec<usize> = (0..spans.len()).collect();
    let key = |k: usize| (ends(k)[0], circuit.ways[k].ports[0], k);
    order.sort_by(|a, b| {
        let ((x, p, k), (y, q, l)) = (key(*a), key(*b));
        x.total_cmp(&y).then(p.cmp(&q)).then(k.cmp(&l))
    });
    let mut taken: Vec<Vec<[f64; 2]>> = Vec::new();
    let mut lanes = vec![0; spans.len()];
    for k in order {
        let [from, to] = ends(k);
        let free =
            |lane: &Vec<[f64; 2]>| lane.iter().all(|[a, b]| to <= *a + 1.0 || from >= *b - 1.0);
        let lane = taken.iter().position(free).unwrap_or(taken.len());
        if lane == taken.len() {
            taken.push(Vec::new());
        }
        taken[lane].push([from, to]);
        lanes[k] = lane;
    }
    (lanes, taken.len())
}

/// The slots of the parts of a way: as wide as each needs, what is left shared out between them.
fn slots(way: &WayDrawn, [from, to]: [f64; 2]) -> Vec<[f64; 2]> {
    let needed: f64 = way.parts.iter().map(slot).sum();
    let room = (to - from).abs() - LEAD - TAIL - needed;
    let gap = room.max(0.0) / (way.parts.len() + 1) as f64;
    let sign = if to >= from { 1.0 } else { -1.0 };
    let mut at = LEAD + gap;
    let mut slots = Vec::with_capacity(way.parts.len());
    for part in &way.parts {
        let next = at + slot(part);
        slots.push([from + sign * at, from + sign * next]);
        at = next + gap;
    }
    slots
}
