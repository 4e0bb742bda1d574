//! Heights in a circuit, counted from its reference.

use super::{Circuit, Joint, ReferencePoint};
use crate::slots::Values;

impl Circuit {
    /// Height of every junction above the reference, m: above the ports of a tank, the inlet of
    /// another part, or a junction; above the first held end where the circuit is open.
    ///
    /// Around a loop heights close, so any way to a junction gives the same.
    pub fn heights_m(&self, values: &Values) -> Vec<f64> {
        let mut heights = vec![f64::NAN; self.junctions.len()];
        self.heights_along(values, &self.height_order(), &mut heights);
        heights
    }

    /// The junction whose height is known first.
    fn first_height(&self) -> usize {
        match self.reference.map(|reference| reference.at) {
            Some(ReferencePoint::Junction(junction)) => junction,
            Some(ReferencePoint::Part(run, _)) => self.runs[run].from,
            None => {
                let held = |joint: &Joint| matches!(joint, Joint::Held { .. });
                self.junctions.iter().position(|j| held(&j.joint)).unwrap_or(0)
            }
        }
    }

    /// The runs by which heights are found from one junction to the next: each run, and whether it is
    /// gone along from its start to its end.
    pub(crate) fn height_order(&self) -> Vec<(usize, bool)> {
        let mut runs_at = vec![Vec::new(); self.junctions.len()];
        for (r, run) in self.runs.iter().enumerate() {
            runs_at[run.from].push(r);
            runs_at[run.to].push(r);
        }
        let first = self.first_height();
        let mut known = vec![false; self.junctions.len()];
        known[first] = true;
        let mut reached = vec![first];
        let mut order = Vec::new();
        while let Some(junction) = reached.pop() {
            for &r in &runs_at[junction] {
                let along = self.runs[r].from == junction;
                let other = if along { self.runs[r].to } else { self.runs[r].from };
                if !known[other] {
                    known[other] = true;
                    order.push((r, along));
                    reached.push(other);
                }
            }
        }
        order
    }

    /// Writes [`Circuit::heights_m`] into `heights`, in the order of [`Circuit::height_order`].
    pub(crate) fn heights_along(
        &self,
        values: &Values,
        order: &[(usize, bool)],
        heights: &mut [f64],
    ) {
        heights.fill(f64::NAN);
        heights[self.first_height()] = match self.reference.map(|reference| reference.at) {
            Some(ReferencePoint::Part(run, part)) => -self.rise_m(values, run, part),
            _ => 0.0,
        };
        for &(r, along) in order {
            let run = &self.runs[r];
            let rise = self.rise_m(values, r, run.parts.len());
            if along {
                heights[run.to] = heights[run.from] + rise;
            } else {
                heights[run.from] = heights[run.to] - rise;
            }
        }
    }

    /// What a run rises from its start to the inlet of a part, m; to its end for the number of parts.
    pub fn rise_m(&self, values: &Values, run: usize, part: usize) -> f64 {
        let parts = self.runs[run].parts[..part].iter();
        parts.filter_map(|placed| placed.part.rise()).map(|slot| values.get(slot)).sum()
    }
}
