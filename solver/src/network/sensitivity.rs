//! Derivatives of the answer, on the factors that the solve left behind.

use super::Network;
use std::fmt;

/// There are no factors: no solve has succeeded yet, or its loop matrix was singular.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoFactor;

impl fmt::Display for NoFactor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("no factors: solve first, with flows that the laws determine")
    }
}

impl std::error::Error for NoFactor {}

impl Network {
    /// Derivatives of flows and pressures with respect to a parameter of the laws.
    ///
    /// `fall_rates` is d fall / d parameter of each run at constant flow (Pa per unit of the
    /// parameter); the answer is d flow / d parameter of each run and d pressure / d parameter of
    /// each junction. Held pressures and inflows do not vary.
    ///
    /// ```text
    /// dm = −Bᵀ J⁻¹ B df
    /// ```
    ///
    /// # Errors
    /// When there are no factors.
    ///
    /// # Panics
    /// When a slice has the wrong length.
    pub fn sensitivity_solve(
        &mut self,
        fall_rates: &[f64],
        flow_rates: &mut [f64],
        pressure_rates: &mut [f64],
    ) -> Result<(), NoFactor> {
        if let Some(careful) = self.careful.as_mut().filter(|careful| careful.answers) {
            return careful.network.sensitivity_solve(fall_rates, flow_rates, pressure_rates);
        }
        self.check_factor(flow_rates.len(), fall_rates.len(), pressure_rates.len())?;
        let runs = self.graph.runs;
        let graph = &self.graph;
        let forest = self.forests.current();
        let work = &mut self.work;
        // The anchor is free between solves; ties do not vary.
        work.anchor.fill(0.0);
        work.anchor[..runs].copy_from_slice(fall_rates);
        self.system.respond(forest, &work.anchor).map_err(|_| NoFactor)?;
        self.system.change(forest, &mut work.change);
        flow_rates.copy_from_slice(&work.change[..runs]);
        for ((fall, slope), rate) in work.anchor.iter_mut().zip(&work.slopes).zip(&*flow_rates) {
            *fall += slope * rate;
        }
        for (&(of, on), cross) in self.couplings.iter().zip(&work.cross) {
            work.anchor[of] += cross * flow_rates[on];
        }
        for &vertex in forest.order.iter().filter(|vertex| **vertex != graph.ground()) {
            let above = forest.parent[vertex];
            let top = above == vertex || above == graph.ground();
            let at = if top { 0.0 } else { pressure_rates[above] };
            let fall =
                forest.branch(graph, vertex).map_or(0.0, |up| up.sign * work.anchor[up.index]);
            pressure_rates[vertex] = at - fall;
        }
        Ok(())
    }

    /// Derivatives of one number with respect to the fall of every run at once.
    ///
    /// The number varies by Σ `flow_weights`·dm + Σ `pressure_weights`·dp; the answer
    /// `fall_weights` says that it varies by Σ `fall_weights`·df with the falls of the runs at
    /// constant flow. One call serves any number of parameters.
    ///
    /// # Errors
    /// When there are no factors.
    ///
    /// # Panics
    /// When a slice has the wrong length.
    pub fn adjoint_solve(
        &mut self,
        flow_weights: &[f64],
        pressure_weights: &[f64],
        fall_weights: &mut [f64],
    ) -> Result<(), NoFactor> {
        if let Some(careful) = self.careful.as_mut().filter(|careful| careful.answers) {
            return careful.network.adjoint_solve(flow_weights, pressure_weights, fall_weights);
        }
        self.check_factor(flow_weights.len(), fall_weights.len(), pressure_weights.len())?;
        let (runs, ground) = (self.graph.runs, self.graph.ground());
        let forest = self.forests.current();
        let work = &mut self.work;
        // Weight of each forest run's fall in the pressures below it.
        work.outside_scratch(pressure_weights);
        work.anchor.fill(0.0);
        for &vertex in forest.order.iter().rev().filter(|vertex| **vertex != ground) {
            if let Some(up) = forest.branch(&self.graph, vertex) {
                let weight = work.base[vertex];
                work.anchor[up.index] = -up.sign * weight;
                if forest.parent[vertex] != ground {
                    work.base[forest.parent[vertex]] += weight;
                }
            }
        }
        work.change.fill(0.0);
        work.change[..runs].copy_from_slice(flow_weights);
        for ((weight, slope), fall) in work.change.iter_mut().zip(&work.slopes).zip(&work.anchor) {
            *weight += slope * fall;
        }
        for (&(of, on), cross) in self.couplings.iter().zip(&work.cross) {
            work.change[on] += cross * work.anchor[of];
        }
        self.system.respond_transposed(forest, &work.change).map_err(|_| NoFactor)?;
        self.system.change(forest, &mut work.change);
        for ((weight, own), through) in fall_weights.iter_mut().zip(&work.anchor).zip(&work.change)
        {
            *weight = own + through;
        }
        Ok(())
    }

    fn check_factor(&self, flows: usize, falls: usize, pressures: usize) -> Result<(), NoFactor> {
        assert_eq!(flows, self.graph.runs, "one flow for each run");
        assert_eq!(falls, self.graph.runs, "one fall for each run");
        assert_eq!(pressures, self.graph.junctions, "one pressure for each junction");
        if self.work.factored { Ok(()) } else { Err(NoFactor) }
    }
}

impl super::Work {
    /// Puts weights of junctions into the base flows, which the next solve makes anew.
    fn outside_scratch(&mut self, weights: &[f64]) {
        self.base[..weights.len()].copy_from_slice(weights);
    }
}
