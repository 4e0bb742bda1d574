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
        let held = || self.junctions.iter().position(|j| matches!(j.joint, Joint::Held { .. }));
        match self.reference.map(|reference| reference.at) {
            Some(ReferencePoint::Junction(junction)) => heights[junction] = 0.0,
            Some(ReferencePoint::Part(run, part)) => {
                heights[self.runs[run].from] = -self.rise_m(values, run, part);
            }
            None => heights[held().unwrap_or(0)] = 0.0,
        }
        let mut runs_at = vec![Vec::new(); self.junctions.len()];
        for (r, run) in self.runs.iter().enumerate() {
            runs_at[run.from].push(r);
            runs_at[run.to].push(r);
        }
        let mut reached: Vec<usize> =
            (0..heights.len()).filter(|&j| !heights[j].is_nan()).collect();
        while let Some(junction) = reached.pop() {
            for &r in &runs_at[junction] {
                let run = &self.runs[r];
                let rise = self.rise_m(values, r, run.parts.len());
                let (other, height) = if run.from == junction {
                    (run.to, heights[junction] + rise)
                } else {
                    (run.from, heights[junction] - rise)
                };
                if heights[other].is_nan() {
                    heights[other] = height;
                    reached.push(other);
                }
            }
        }
        heights
    }

    /// What a run rises from its start to the inlet of a part, m; to its end for the number of parts.
    pub fn rise_m(&self, values: &Values, run: usize, part: usize) -> f64 {
        let parts = self.runs[run].parts[..part].iter();
        parts.filter_map(|placed| placed.part.rise()).map(|slot| values.get(slot)).sum()
    }
}
