//! The rounds of a duty cycle: repeated by the case, or written out phase by phase.

use coolwright_cases::lower::LoweredPhase;

/// How the phases of a cycle come again.
#[derive(Clone, Copy, Debug)]
pub struct Rounds<'a> {
    phases: &'a [LoweredPhase],
    /// How many phases make a round; `None` where the cycle is one round.
    pub length: Option<usize>,
}

/// Whether a phase is another one again: by its name, or by all that it does.
fn is_again(a: &LoweredPhase, b: &LoweredPhase) -> bool {
    a.plain == b.plain
        || (a.time_s.to_bits() == b.time_s.to_bits()
            && a.sets == b.sets
            && a.refills == b.refills
            && a.ramp_s.to_bits() == b.ramp_s.to_bits())
}

impl<'a> Rounds<'a> {
    /// Those of a cycle: the shortest stretch of phases that all of it repeats at least once. What lies ahead of
    /// the first round may be as long as one; a pull that is written in two equal halves is no two rounds.
    pub fn of(phases: &'a [LoweredPhase]) -> Self {
        let repeats = |&length: &usize| {
            let again = |&k: &usize| is_again(&phases[k - length], &phases[k]);
            let tail = (length..phases.len()).rev().take_while(again).count();
            let lead = phases.len() - length - tail;
            let by_name = || phases.windows(2).all(|pair| pair[0].plain == pair[1].plain);
            if length == 1 { lead == 0 && by_name() } else { tail >= length && lead <= length }
        };
        Self { phases, length: (1..=phases.len() / 2).find(repeats) }
    }

    /// The same phase one round earlier.
    pub fn before(&self, k: usize) -> Option<usize> {
        let before = k.checked_sub(self.length?)?;
        is_again(&self.phases[before], &self.phases[k]).then_some(before)
    }

    /// The same phase one round later.
    pub fn next(&self, k: usize) -> Option<usize> {
        let next = k + self.length?;
        (next < self.phases.len() && is_again(&self.phases[k], &self.phases[next])).then_some(next)
    }

    /// The first phase of the last round.
    pub fn last(&self) -> usize {
        self.phases.len() - self.length.unwrap_or(self.phases.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Phases by the first letter of their name, each letter with a time of its own: `a` and `A` do the same.
    fn length(names: &str) -> Option<usize> {
        let phases = names.chars().map(|name| LoweredPhase {
            name: name.to_string(),
            plain: name.to_string(),
            time_s: f64::from(u32::from(name.to_ascii_lowercase())),
            sets: Vec::new(),
            ramp_s: 0.0,
            refills: Vec::new(),
            power_share: 1.0,
        });
        Rounds::of(&phases.collect::<Vec<_>>()).length
    }

    #[test]
    fn rounds_are_what_all_of_a_cycle_repeats() {
        assert_eq!(length("prprpr"), Some(2));
        // Two equal pulls with other rests between make one round.
        assert_eq!(length("prPs"), None);
        assert_eq!(length("prPsprPs"), Some(4));
        // Pulls cut in two, by the case's repeats and written out.
        assert_eq!(length("pPrpPr"), Some(3));
        assert_eq!(length("pPr"), None);
        assert_eq!(length("rpP"), None);
        // A way to the start, and a last pull without its rest.
        assert_eq!(length("wprpr"), Some(2));
        assert_eq!(length("prprp"), Some(2));
        assert_eq!(length("ppp"), Some(1));
    }
}
