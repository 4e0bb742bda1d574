//! Changes of bore where the ends of two runs meet, or the two ends of a loop: pipework is the same wherever the list
//! of its parts begins, and however it is cut into runs.

use coolwright_models::circuit::{End, Joint, Junction, Placed, made};
use coolwright_models::parts::BoreChange;
use coolwright_models::slots::Slot;

use super::Draft;
use crate::file::Circuit as CircuitSpec;

/// An end of a run.
type At = (usize, End);

impl Draft {
    /// Puts a change of bore where exactly two ends of runs meet in a plain joint with bores of their own.
    pub(super) fn seams(&mut self, spec: &CircuitSpec) {
        let mut ends = vec![Vec::new(); self.junctions.len()];
        for (run, of) in self.runs.iter().enumerate() {
            ends[of.from].push((run, End::From));
            ends[of.to].push((run, End::To));
        }
        let seam = |(junction, ends): (usize, Vec<At>)| match ends[..] {
            // Behind the seam, where something begins there.
            [a, b] if b.1 == End::From => Some((junction, b, a)),
            [a, b] => Some((junction, a, b)),
            _ => None,
        };
        // What is told to be a joint has no loss.
        let plain = |(junction, ..): &(usize, At, At)| {
            let Junction { joint, name, .. } = &self.junctions[*junction];
            matches!(joint, Joint::Plain { .. }) && !spec.junctions.contains(name)
        };
        let seams: Vec<_> = ends.into_iter().enumerate().filter_map(seam).filter(plain).collect();
        // One run may hand on the bore of another: as often as there are runs at most.
        for _ in 0..seams.len() {
            let led = seams.iter().filter(|(_, one, other)| self.led(spec, *one, *other)).count();
            if led == 0 {
                break;
            }
        }
        for (junction, one, other) in seams {
            self.change(junction, one, other);
        }
    }

    /// Gives the parts at the head of a run, where they have no bore of their own, that of what is before them. Whether
    /// that changes anything.
    fn led(&mut self, spec: &CircuitSpec, (run, end): At, (other, at): At) -> bool {
        let of = &self.runs[run];
        let silent = of.parts.first().is_none_or(|placed| placed.part.bores()[0].is_none());
        let told = spec.runs.get(&of.path).is_some_and(|run| run.bore.is_some());
        let bore = self.end_bore(other, at);
        let leads = end == End::From && silent && !told && bore != self.runs[run].bore;
        if leads {
            self.lead(run, bore);
        }
        leads
    }

    /// The change of bore at a seam, put into the run of the first end.
    fn change(&mut self, junction: usize, (run, end): At, (other, at): At) {
        let [own, bore] = [self.end_bore(run, end), self.end_bore(other, at)];
        if own == bore {
            return;
        }
        let joint = || made::joint(&self.junctions[junction].name);
        let first = self.runs[run].parts.first().map(|placed| made::ahead(&placed.name));
        let (place, name, from, to) = match end {
            End::From => (0, first.unwrap_or_else(joint), bore, own),
            End::To => (self.runs[run].parts.len(), joint(), own, bore),
        };
        let change = Box::new(BoreChange { from, to });
        self.insert_part(run, place, Placed { name, automatic: true, part: change });
    }

    fn lead(&mut self, run: usize, bore: Slot) {
        let run = &mut self.runs[run];
        let taken = std::mem::replace(&mut run.bore, bore);
        let first = run.parts.iter_mut().find(|placed| placed.part.bores()[0].is_some());
        if let Some(placed) = first
            && placed.automatic
            && let [Some(from), Some(to)] = placed.part.bores()
            && from == taken
        {
            placed.part = Box::new(BoreChange { from: bore, to });
        }
    }
}
