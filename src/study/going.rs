//! What a kept limit would do if the cycle went on.

use coolwright_cases::lower::LoweredPhase;
use coolwright_models::watch::Watched;

use super::limits::Limit;
use super::rounds::Rounds;

/// A limit that is kept to the end of a cycle, and less so the longer it goes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Going {
    /// In its last round by so much less than in the one before, SI: in so many more rounds it would break.
    Rounds {
        /// What the margin has lost, SI.
        by: f64,
        /// How many more rounds.
        left: f64,
        /// Whether each round loses less than the one before, by so much that in the end it would hold.
        dies_out: bool,
    },
    /// In the second of two rounds by less than in the first, which began as the case says: only more rounds tell
    /// whether that goes on.
    Second {
        /// What the margin has lost, SI.
        by: f64,
    },
    /// The only round ends nearer to the bound than it began, by more than what is left.
    Once {
        /// How much nearer, SI.
        by: f64,
    },
    /// Its worst is at the end, and it still goes on.
    AtEnd {
        /// After how many more seconds it would break at that pace.
        left_s: f64,
        /// Whether it goes so much more slowly than its last phase in the mean that it may come to rest before.
        slows: bool,
    },
}

/// A limit that breaks in fewer rounds than this, at the pace of the last, is spoken of. Common practice, no
/// source: who pulls twice pulls ten times.
const ROUNDS: f64 = 10.0;

/// What goes more slowly than this share of its mean over a phase may come to rest. Common practice, no source.
const SLOWS: f64 = 0.5;

/// What would break within this time after the end of a cycle is spoken of, however short its last phase, s.
const SOON_S: f64 = 600.0;

/// In how many more rounds a margin is gone that the last round has made smaller by `by`, and the round before
/// by `earlier`; `None` where it never is.
///
/// Each round loses a share r of what the one before lost, r = by/earlier ≤ 1: by (r + r² + … + rⁿ) = margin.
/// That is how a body comes to its cycle.
fn rounds_left(margin: f64, by: f64, earlier: f64) -> Option<f64> {
    let ratio = by / earlier;
    if !(ratio > 0.0 && ratio < 1.0 - ROUNDING) {
        return Some(margin / by);
    }
    // Σ rᵏ from 1 to n = r (1 − rⁿ)/(1 − r).
    let stays = 1.0 - margin / by * (1.0 - ratio) / ratio;
    (stays > 0.0).then(|| stays.ln() / ratio.ln())
}

/// A change below this share of a value is rounding.
const ROUNDING: f64 = 1e-6;

/// What is at its worst within this share of a phase has that from the phase before.
const EARLY: f64 = 0.1;

/// What a margin was in a round that comes again, and what it lost.
struct Lost {
    /// In the last round, SI.
    margin: f64,
    /// Since the round before, SI.
    by: f64,
    /// In the round before that, SI; `None` where there were only two.
    earlier: Option<f64>,
}

impl Lost {
    /// What the margin of a limit lost in the rounds of phase `k`, which begins at `from_s` and lasts `time_s`; `None` where it is not the
    /// last of several, or where its worst is what the phase before left behind: that one tells, and the first round
    /// begins as the case says.
    fn of(
        limit: &Limit,
        watched: &Watched,
        rounds: &Rounds<'_>,
        (k, [from_s, time_s]): (usize, [f64; 2]),
    ) -> Option<Self> {
        let worst_of = |k: usize| watched.worst_of_phases.get(k).copied().flatten();
        if rounds.next(k).is_some() {
            return None;
        }
        let of = |k: usize| Some(limit.margin(worst_of(k)?.0));
        let before = rounds.before(k)?;
        let (margin, was) = (of(k)?, of(before)?);
        let early = worst_of(k)?.1 <= from_s + EARLY * time_s;
        let left_behind = k.checked_sub(1).and_then(of).is_some_and(|left| left <= margin);
        if early && left_behind {
            return None;
        }
        let earlier = rounds.before(before).and_then(of).map(|earlier| earlier - was);
        Some(Self { margin, by: was - margin, earlier })
    }

    /// What it comes to; `None` where it is far away.
    fn going(&self) -> Option<Going> {
        let Self { margin, by, earlier } = *self;
        let straight = margin / by;
        if straight >= ROUNDS {
            return None;
        }
        let Some(earlier) = earlier else { return Some(Going::Second { by }) };
        let left = rounds_left(margin, by, earlier);
        let (left, dies_out) = left.map_or((straight, true), |left| (left, false));
        Some(Going::Rounds { by, left, dies_out })
    }
}

impl Going {
    /// What a kept limit would do if the cycle went on.
    pub(super) fn of(
        limit: &Limit,
        watched: &Watched,
        (phases, end_s): (&[LoweredPhase], f64),
    ) -> Option<Self> {
        let (worst, at_s) = watched.worst?;
        let rounds = Rounds::of(phases);
        let starts = phases.iter().scan(0.0, |from_s, phase| {
            let start = *from_s;
            *from_s += phase.time_s;
            Some([start, phase.time_s])
        });
        let lost = starts.enumerate().filter_map(|at| Lost::of(limit, watched, &rounds, at));
        let lost = lost.filter(|lost| lost.by > ROUNDING * worst.abs());
        // The phase that is the worst of its round.
        if let Some(lost) = lost.min_by(|a, b| a.margin.total_cmp(&b.margin)) {
            return lost.going();
        }
        if rounds.length.is_some() {
            return None;
        }
        let margin = limit.margin(worst);
        let rate = watched.end_rate;
        let left_s = margin / rate;
        let soon_s = (ROUNDS * phases.last()?.time_s).max(SOON_S);
        if end_s - at_s <= 1e-9 * end_s && rate > 0.0 && left_s < soon_s {
            let slows = rate < SLOWS * watched.mean_rate;
            return Some(Self::AtEnd { left_s, slows });
        }
        let [first, last] = watched.ends.filter(|_| limit.during.is_none() && phases.len() > 1)?;
        let by = limit.margin(first) - limit.margin(last);
        (by > margin).then_some(Self::Once { by })
    }
}

#[cfg(test)]
mod tests {
    use super::rounds_left;

    /// Halving losses 8, 4 leave 2 + 1 + 0.5 + …: 3 are gone after two rounds, 4 never.
    #[test]
    fn rounds_follow_a_series_that_dies_out() {
        let after = |margin| rounds_left(margin, 4.0, 8.0);
        assert!((after(3.0).expect("it breaks") - 2.0).abs() < 1e-12);
        assert_eq!(after(4.0), None);
        assert_eq!(after(5.0), None);
    }

    #[test]
    fn rounds_go_straight_where_the_losses_grow() {
        assert_eq!(rounds_left(6.0, 2.0, 1.0), Some(3.0));
        assert_eq!(rounds_left(6.0, 2.0, -1.0), Some(3.0));
    }
}
