//! The main way of a circuit: the one way around that carries the most, from a pump round to it.

use crate::answer::drawing::{CircuitDrawn, Symbol, WayDrawn};

use super::circuit::STILL_M3_S;

/// Flows as close as this share of each other are one.
const SAME_FLOW: f64 = 1e-6;

/// The ways of the main way, by their places, in the order of the flow, and whether it closes on itself. At every
/// fork it follows the way that carries the most and still comes back, of equal ones that of the most parts. A circuit
/// with open ends has one that does not close.
pub(super) fn main_way(circuit: &CircuitDrawn) -> (Vec<usize>, bool) {
    let ways = &circuit.ways;
    let walk = Walk { circuit };
    let lift = |k: usize| {
        let pumps = ways[k].parts.iter().filter(|part| part.symbol == Symbol::Pump);
        let rise: f64 = pumps.map(|part| part.ends[1].total_pa - part.ends[0].total_pa).sum();
        if rise.is_finite() { rise.max(0.0) * ways[k].flow_m3_s } else { 0.0 }
    };
    let first = (0..ways.len()).reduce(|a, b| {
        let ahead = lift(b).total_cmp(&lift(a)).then_with(|| walk.more(b, a));
        if ahead.is_gt() { b } else { a }
    });
    let Some(first) = first else { return (Vec::new(), false) };
    let [from, to] = [walk.from(first), walk.to(first)];
    let mut met = vec![to];
    if let Some(back) = walk.back(to, from, &mut met) {
        return (std::iter::once(first).chain(back).collect(), true);
    }
    let ahead = walk.along(to, &[first], |k| [walk.from(k), walk.to(k)]);
    let known: Vec<usize> = std::iter::once(first).chain(ahead.iter().copied()).collect();
    let behind = walk.along(from, &known, |k| [walk.to(k), walk.from(k)]);
    (behind.into_iter().rev().chain(known).collect(), false)
}

/// The ways of a circuit as the flow goes; the two ends at which it was cut are one node.
struct Walk<'a> {
    circuit: &'a CircuitDrawn,
}

impl Walk<'_> {
    fn joined(&self, node: usize) -> usize {
        if node == self.circuit.end { self.circuit.start } else { node }
    }

    fn way(&self, k: usize) -> &WayDrawn {
        &self.circuit.ways[k]
    }

    fn from(&self, k: usize) -> usize {
        self.joined(self.way(k).from)
    }

    fn to(&self, k: usize) -> usize {
        self.joined(self.way(k).to)
    }

    /// Which of two ways carries more, of equal ones which has more parts.
    fn more(&self, a: usize, b: usize) -> std::cmp::Ordering {
        let [a, b] = [a, b].map(|k| self.way(k));
        let most = a.flow_m3_s.max(b.flow_m3_s);
        if (a.flow_m3_s - b.flow_m3_s).abs() <= SAME_FLOW * most {
            return a.parts.len().cmp(&b.parts.len());
        }
        a.flow_m3_s.total_cmp(&b.flow_m3_s)
    }

    /// The ways that flow from a node, by `ends`, those that carry the most first.
    fn out(&self, node: usize, ends: impl Fn(usize) -> [usize; 2]) -> Vec<usize> {
        let flows = |k: &usize| ends(*k)[0] == node && self.way(*k).flow_m3_s > STILL_M3_S;
        let mut out: Vec<usize> = (0..self.circuit.ways.len()).filter(flows).collect();
        out.sort_by(|a, b| self.more(*b, *a).then(a.cmp(b)));
        out
    }

    /// From a node on to another; `met` are the nodes from which that was tried.
    fn back(&self, node: usize, wanted: usize, met: &mut Vec<usize>) -> Option<Vec<usize>> {
        if node == wanted {
            return Some(Vec::new());
        }
        for k in self.out(node, |k| [self.from(k), self.to(k)]) {
            let next = self.to(k);
            if met.contains(&next) {
                continue;
            }
            met.push(next);
            if let Some(mut rest) = self.back(next, wanted, met) {
                rest.insert(0, k);
                return Some(rest);
            }
        }
        None
    }

    /// From a node on, by `ends`, as far as it goes.
    fn along(
        &self,
        from: usize,
        known: &[usize],
        ends: impl Fn(usize) -> [usize; 2],
    ) -> Vec<usize> {
        let (mut at, mut found) = (from, Vec::new());
        loop {
            let new = |k: &usize| !known.contains(k) && !found.contains(k);
            let Some(k) = self.out(at, &ends).into_iter().find(new) else { return found };
            found.push(k);
            at = ends(k)[1];
        }
    }
}
