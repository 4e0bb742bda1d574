//! The efficiency of a compressor over its flow and its pressure ratio.

use coolwright_solver::scalar::Scalar;

use super::gas::Gas;
use crate::laws::compressor::corrected_flow;
use crate::slots::{Slot, Values};

/// Isentropic efficiency over corrected flow and pressure ratio: every flow at every ratio.
#[derive(Clone, Debug)]
pub struct CompressorMap {
    /// Corrected flows, kg/s, rising; two or more.
    pub flows: Vec<f64>,
    /// Pressure ratios, rising; two or more.
    pub ratios: Vec<f64>,
    /// Efficiencies, a row for each ratio.
    pub efficiencies: Vec<Vec<f64>>,
    /// Temperature that its flows are counted at, K.
    pub at_k: Slot,
    /// Pressure that they are counted at, Pa absolute.
    pub at_pa: Slot,
}

impl CompressorMap {
    /// The corrected flow of a mass flow, kg/s, of a gas in front of the compressor.
    pub fn corrected<S: Scalar>(&self, values: &Values, flow_kg_s: f64, gas: &Gas<S>) -> S {
        let of_map = (values.get(self.at_k), values.get(self.at_pa));
        corrected_flow(flow_kg_s, (gas.temperature_k, gas.pressure_pa), of_map)
    }

    /// The efficiency at a corrected flow and a ratio: straight between its points both ways, and that of the edge beyond.
    pub fn efficiency<S: Scalar>(&self, flow: S, ratio: f64) -> S {
        let (row, up) = place(&self.ratios, ratio);
        let of_row = |row: usize| along(&self.flows, &self.efficiencies[row], flow);
        let (low, high) = (of_row(row), of_row(row + 1));
        low + (high - low) * up
    }

    /// Whether a corrected flow and a ratio lie beyond its edges. With no more than its least ratio little flow is an engine that
    /// idles, and neither surges.
    pub fn is_left(&self, flow: f64, ratio: f64) -> bool {
        let above = |axis: &[f64], x: f64| x > axis[axis.len() - 1] * (1.0 + NEAR);
        let boosts = ratio > self.ratios[0] * (1.0 + NEAR);
        let little = flow < self.flows[0] * (1.0 - NEAR);
        above(&self.flows, flow) || above(&self.ratios, ratio) || (boosts && little)
    }
}

/// What lies so near to an edge is on it.
const NEAR: f64 = 1e-6;

/// The place before a value on a rising axis, and its share of the way to the next; the edges hold beyond.
fn place(axis: &[f64], x: f64) -> (usize, f64) {
    let last = axis.len() - 2;
    let k = axis[1..=last].iter().filter(|&&corner| corner <= x).count();
    let share = (x - axis[k]) / (axis[k + 1] - axis[k]);
    (k, share.clamp(0.0, 1.0))
}

/// Straight lines through points; the ends hold beyond.
fn along<S: Scalar>(axis: &[f64], of: &[f64], x: S) -> S {
    let (k, share) = place(axis, x.value());
    if share <= 0.0 || share >= 1.0 {
        return S::from(of[k] + (of[k + 1] - of[k]) * share);
    }
    (x - axis[k]) * ((of[k + 1] - of[k]) / (axis[k + 1] - axis[k])) + of[k]
}

#[cfg(test)]
mod tests {
    use super::CompressorMap;
    use crate::charge::Gas;
    use crate::fluids::Air;
    use crate::slots::Values;

    /// A map of a + b w + c Π + d w Π is that everywhere between its points.
    #[test]
    fn a_map_is_met_at_its_points_and_straight_between_them() {
        let law = |w: f64, r: f64| 0.6 + 0.2 * w + 0.01 * r + 0.02 * w * r;
        let mut values = Values::default();
        let (flows, ratios) = (vec![0.1, 0.3, 0.6], vec![1.5, 2.0, 3.0]);
        let row = |r: &f64| flows.iter().map(|w| law(*w, *r)).collect();
        let efficiencies = ratios.iter().map(row).collect();
        let (at_k, at_pa) = (values.add(288.15), values.add(101_325.0));
        let map = CompressorMap { flows, ratios, efficiencies, at_k, at_pa };
        for (w, r) in [(0.1, 1.5), (0.2, 1.7), (0.6, 3.0), (0.45, 2.0), (0.3, 2.9)] {
            assert!((map.efficiency(w, r) - law(w, r)).abs() < 1e-12, "{w} {r}");
            assert!(!map.is_left(w, r), "{w} {r}");
        }
        assert!(
            (map.efficiency(0.9, 5.0) - law(0.6, 3.0)).abs() < 1e-12,
            "the corner holds beyond"
        );
        assert!(map.is_left(0.9, 2.0) && map.is_left(0.2, 3.2) && map.is_left(0.05, 2.0));
        assert!(!map.is_left(0.05, 1.2), "an engine that idles");
        // Air as that of the map is counted as it is; hot and thin air counts for more.
        let gas = |t_k: f64, pa: f64| Gas::<f64>::of(&Air::dry(pa), t_k);
        let as_is = map.corrected(&values, 0.3, &gas(288.15, 101_325.0));
        assert!((as_is - 0.3).abs() < 1e-12, "{as_is}");
        let thin = map.corrected(&values, 0.3, &gas(4.0 * 288.15, 101_325.0 / 3.0));
        assert!((thin - 0.3 * 2.0 * 3.0).abs() < 1e-12, "{thin}");
    }
}
