//! Bounds on results that are watched while a cycle is followed, their crossings located on the
//! interpolant of the steps: when a bound is first broken, and for how long, depends neither on how long
//! the cycle is nor on the times at which results are recorded.

use std::ops::Range;

use coolwright_solver::minima;

/// Which side a bound is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// The value must be at least this.
    AtLeast,
    /// The value must be at most this.
    AtMost,
}

impl Bound {
    /// How far a value is on the good side of a bound; below zero on the other.
    pub fn margin(self, value: f64, bound: f64) -> f64 {
        match self {
            Self::AtLeast => value - bound,
            Self::AtMost => bound - value,
        }
    }
}

/// A bound on a result.
#[derive(Clone, Debug, PartialEq)]
pub struct Watch {
    /// The place of the result in the instance's catalogue.
    pub place: usize,
    /// Which side it is on.
    pub side: Bound,
    /// The bound, SI.
    pub bound: f64,
    /// The phases in which it holds, by their number; all of them where `None`.
    pub phases: Option<Vec<usize>>,
}

impl Watch {
    fn in_phase(&self, phase: usize) -> bool {
        self.phases.as_ref().is_none_or(|phases| phases.contains(&phase))
    }
}

/// What became of a bound.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Watched {
    /// The value with the least margin, SI, and when it was, s; `None` where it was never looked at.
    pub worst: Option<(f64, f64)>,
    /// The stretches of time beyond the bound, from and to, s, one after the other.
    pub beyond: Vec<[f64; 2]>,
    /// The first and the last value, SI; `None` where it was never looked at.
    pub ends: Option<[f64; 2]>,
    /// When the value was no finite number for the first time, s.
    pub unknown_s: Option<f64>,
    /// For how long it was watched, s.
    pub watched_s: f64,
    /// The value with the least margin in each phase, SI, and when, s; `None` in one in which it was not watched.
    pub worst_of_phases: Vec<Option<(f64, f64)>>,
    /// How fast it goes towards the bound when the cycle ends, SI per s; below zero where it goes away from it.
    pub end_rate: f64,
    /// How fast it went towards the bound over its last phase, in the mean, SI per s.
    pub mean_rate: f64,
}

impl Watched {
    /// For how long the bound was broken in all, s.
    pub fn beyond_s(&self) -> f64 {
        self.beyond.iter().map(|[from, to]| to - from).sum()
    }

    /// When it was broken for the first time, s.
    pub fn first_s(&self) -> Option<f64> {
        self.beyond.first().map(|[from, _]| *from)
    }

    fn clear(&mut self) {
        self.worst = None;
        self.ends = None;
        self.beyond.clear();
        self.unknown_s = None;
        self.watched_s = 0.0;
        self.worst_of_phases.clear();
        self.end_rate = 0.0;
        self.mean_rate = 0.0;
    }
}

/// A moment at which margins were read: when, s, and all margins.
#[derive(Clone, Debug, Default)]
struct Look {
    at_s: f64,
    margins: Vec<f64>,
}

impl Look {
    /// How fast a margin went since an earlier look, SI per s; 0 where that is not known.
    fn rate_since(&self, earlier: &Self, watch: usize) -> f64 {
        let rate = (earlier.margins[watch] - self.margins[watch]) / (self.at_s - earlier.at_s);
        if rate.is_finite() { rate } else { 0.0 }
    }
}

/// The bounds of a cycle underway.
#[derive(Clone, Debug, Default)]
pub(crate) struct Watching {
    watches: Vec<Watch>,
    pub(crate) watched: Vec<Watched>,
    /// Which are watched in this phase.
    active: Vec<bool>,
    /// Since when each is broken, s.
    open: Vec<Option<f64>>,
    /// The looks of this step, its start included.
    looks: Vec<Look>,
    /// How many of them there are.
    count: usize,
    /// The first look of this phase; `None` before it.
    began: Option<Look>,
}

/// Asks for the value of a watch at a time within the last step.
type Ask<'a> = dyn FnMut(usize, f64) -> Option<f64> + 'a;

/// Share of an interval to which the bottom of a dip is found.
const NARROW: f64 = 1e-5;
/// A dip between looks that is shallower than this share of how far they are apart is none.
const SHALLOW: f64 = 1e-3;

impl Watching {
    /// Begins with these bounds.
    pub(crate) fn begin(&mut self, watches: &[Watch]) {
        self.watches.clear();
        self.watches.extend_from_slice(watches);
        self.watched.resize(watches.len(), Watched::default());
        self.watched.iter_mut().for_each(Watched::clear);
        self.active.clear();
        self.active.resize(watches.len(), false);
        self.open.clear();
        self.open.resize(watches.len(), None);
        self.count = 0;
    }

    /// Whether nothing is watched.
    pub(crate) fn is_empty(&self) -> bool {
        self.watches.is_empty()
    }

    /// The margin of a watch at a value.
    pub(crate) fn margin(&self, watch: usize, value: f64) -> f64 {
        let Watch { side, bound, .. } = self.watches[watch];
        side.margin(value, bound)
    }

    /// A phase begins. What is not watched in it is no longer broken.
    pub(crate) fn phase(&mut self, phase: usize, at_s: f64) {
        for watch in 0..self.watches.len() {
            self.watched[watch].worst_of_phases.push(None);
            self.active[watch] = self.watches[watch].in_phase(phase);
            if !self.active[watch] {
                self.close(watch, at_s);
            }
        }
        self.count = 0;
        self.began = None;
    }

    fn close(&mut self, watch: usize, at_s: f64) {
        if let Some(from) = self.open[watch].take() {
            self.watched[watch].beyond.push([from, at_s]);
        }
    }

    /// The cycle ends.
    pub(crate) fn end(&mut self, at_s: f64) {
        for watch in 0..self.watches.len() {
            self.close(watch, at_s);
            if let [.., before, last] = &self.looks[..self.count]
                && self.active[watch]
            {
                let began = self.began.as_ref().unwrap_or(before);
                self.watched[watch].end_rate = last.rate_since(before, watch);
                self.watched[watch].mean_rate = last.rate_since(began, watch);
            }
        }
    }

    /// Takes a look where something has jumped, or where a phase begins: what is broken now is broken
    /// from here on. `value` gives the value of a watch.
    pub(crate) fn jump(&mut self, at_s: f64, value: impl Fn(usize) -> f64) {
        self.count = 0;
        self.take(at_s, value);
        for watch in 0..self.watches.len() {
            let margin = self.looks[0].margins[watch];
            if !self.active[watch] {
                continue;
            }
            if margin < 0.0 && self.open[watch].is_none() {
                self.open[watch] = Some(at_s);
            } else if margin >= 0.0 {
                self.close(watch, at_s);
            }
        }
    }

    /// Takes a look; what was looked at in this step stays.
    fn take(&mut self, at_s: f64, value: impl Fn(usize) -> f64) {
        if self.looks.len() == self.count {
            self.looks.push(Look::default());
        }
        let mut look = std::mem::take(&mut self.looks[self.count]);
        look.at_s = at_s;
        look.margins.clear();
        for watch in 0..self.watches.len() {
            let (value, active) = (value(watch), self.active[watch]);
            let margin = self.margin(watch, value);
            look.margins.push(if margin.is_finite() { margin } else { f64::NAN });
            if active && margin.is_finite() {
                let [first, _] = self.watched[watch].ends.unwrap_or([value; 2]);
                self.watched[watch].ends = Some([first, value]);
                self.note(watch, value, at_s);
            } else if active {
                let watched = &mut self.watched[watch];
                watched.unknown_s = watched.unknown_s.or(Some(at_s));
            }
        }
        if self.began.is_none() {
            self.began = Some(look.clone());
        }
        self.looks[self.count] = look;
        self.count += 1;
    }

    /// Notes a value, if it is the worst so far, of all or of this phase.
    fn note(&mut self, watch: usize, value: f64, at_s: f64) {
        let Watch { side, bound, .. } = self.watches[watch];
        let worse = |known: f64| side.margin(value, bound) < side.margin(known, bound);
        let watched = &mut self.watched[watch];
        if watched.worst.is_none_or(|(known, _)| worse(known)) {
            watched.worst = Some((value, at_s));
        }
        if let Some(of_phase) = watched.worst_of_phases.last_mut()
            && of_phase.is_none_or(|(known, _)| worse(known))
        {
            *of_phase = Some((value, at_s));
        }
    }

    /// A step begins where the last one ended.
    pub(crate) fn step(&mut self) {
        if self.count > 1 {
            self.looks.swap(0, self.count - 1);
            self.count = 1;
        }
    }

    /// Takes a look within a step. Where a margin changed sign since the look before, the crossing is
    /// located; where it dips between three looks, the bottom is.
    pub(crate) fn look(&mut self, at_s: f64, value: impl Fn(usize) -> f64, ask: &mut Ask<'_>) {
        self.take(at_s, value);
        let n = self.count;
        if n < 2 {
            return;
        }
        for watch in 0..self.watches.len() {
            if !self.active[watch] {
                continue;
            }
            let at = |k: usize| (self.looks[k].at_s, self.looks[k].margins[watch]);
            let (before, now) = (at(n - 2), at(n - 1));
            let three = (n > 2).then(|| [at(n - 3), before, now]);
            self.watched[watch].watched_s += now.0 - before.0;
            if !(before.1.is_finite() && now.1.is_finite()) {
                self.close(watch, now.0);
                continue;
            }
            if (before.1 < 0.0) != (now.1 < 0.0) {
                let Watch { side, bound, .. } = self.watches[watch];
                let margin = &mut |at| ask(watch, at).map(|value| side.margin(value, bound));
                let at = located(margin, before.0..now.0);
                if now.1 < 0.0 {
                    self.open[watch] = Some(at);
                } else {
                    self.close(watch, at);
                }
            }
            if let Some(three) = three {
                self.dip(watch, three, ask);
            }
        }
    }

    /// Looks for a dip, or a bump out of what is broken, between three looks.
    fn dip(&mut self, watch: usize, three: [(f64, f64); 3], ask: &mut Ask<'_>) {
        let kept = three.iter().all(|(_, margin)| *margin >= 0.0);
        let broken = three.iter().all(|(_, margin)| *margin < 0.0);
        let down = extreme(three, 1.0);
        let known = self.watched[watch].worst.map_or(f64::INFINITY, |(v, _)| self.margin(watch, v));
        let [(from, _), _, (to, _)] = three;
        let Watch { side, bound, .. } = self.watches[watch];
        let mut ask = |at| ask(watch, at).map(|value| side.margin(value, bound));
        if let Some(bottom) = down
            && (bottom < known || (kept && bottom < 0.0))
            && let Some((at, margin)) = searched(&mut ask, 1.0, from..to)
        {
            let value = match side {
                Bound::AtLeast => bound + margin,
                Bound::AtMost => bound - margin,
            };
            self.note(watch, value, at);
            if kept && margin < 0.0 {
                let stretch = [located(&mut ask, from..at), located(&mut ask, at..to)];
                self.watched[watch].beyond.push(stretch);
            }
        }
        if broken
            && extreme(three, -1.0).is_some_and(|top| -top > 0.0)
            && let Some((at, margin)) = searched(&mut ask, -1.0, from..to)
            && margin > 0.0
        {
            self.close(watch, located(&mut ask, from..at));
            self.open[watch] = Some(located(&mut ask, at..to));
        }
    }
}

/// The least of `sign` times the parabola through three points, where it lies between them and is
/// deeper than they are.
fn extreme(three: [(f64, f64); 3], sign: f64) -> Option<f64> {
    let [(a, fa), (b, fb), (c, fc)] = three.map(|(t, margin)| (t, sign * margin));
    let (left, right) = ((fb - fa) / (b - a), (fc - fb) / (c - b));
    let curve = (right - left) / (c - a);
    // Slope at b of the parabola, and from there its vertex.
    let slope = (left * (c - b) + right * (b - a)) / (c - a);
    let vertex = b - slope / (2.0 * curve);
    if !(curve > 0.0 && vertex > a && vertex < c) {
        return None;
    }
    let bottom = fb - slope * slope / (4.0 * curve);
    let (least, most) = (fa.min(fb).min(fc), fa.max(fb).max(fc));
    let deep = least - bottom > SHALLOW * (most - least);
    let real = most - least > 1e-9 * (1.0 + most.abs());
    ((deep || fb <= least) && real).then_some(bottom.min(least))
}

/// Where `sign` times a margin is least, to some 10⁻⁵ of the interval: the time and the margin.
fn searched(
    ask: &mut dyn FnMut(f64) -> Option<f64>,
    sign: f64,
    within: Range<f64>,
) -> Option<(f64, f64)> {
    let Range { start, end } = within;
    let long = end - start;
    let signed = |by: f64| ask(start + by).map(|margin| sign * margin);
    let (by, least) = minima::least(signed, 0.0, long, NARROW * long)?;
    Some((start + by, sign * least))
}

/// When a margin crosses zero, s, to a billionth of the interval or the spacing of times; its end
/// where it jumps there.
pub(crate) fn located(ask: &mut dyn FnMut(f64) -> Option<f64>, within: Range<f64>) -> f64 {
    let Range { start, end } = within;
    let spacing = (4.0 * f64::EPSILON * end.abs()).max(1e-9 * (end - start));
    let open = |at: f64| ask(at).unwrap_or(f64::NAN);
    coolwright_solver::roots::bracketed(open, start, end, spacing).map_or(end, |root| root.x)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Follows margin(t) of one watch over steps of a length, with a look in the middle of each.
    fn followed(margin: impl Fn(f64) -> f64, step: f64, steps: usize) -> Watched {
        let watch = Watch { place: 0, side: Bound::AtLeast, bound: 0.0, phases: None };
        let mut watching = Watching::default();
        watching.begin(&[watch]);
        watching.phase(0, 0.0);
        watching.jump(0.0, |_| margin(0.0));
        for k in 0..steps {
            watching.step();
            for at in [(k as f64 + 0.5) * step, (k as f64 + 1.0) * step] {
                watching.look(at, |_| margin(at), &mut |_, t| Some(margin(t)));
            }
        }
        watching.end(step * steps as f64);
        watching.watched[0].clone()
    }

    #[test]
    fn a_dip_between_two_looks_is_found_with_its_times_and_its_bottom() {
        // (t − 0.6)² − 0.01 is below zero from 0.5 to 0.7 s, at least −0.01 at 0.6 s: the looks at 0,
        // 0.5 (where it is zero) and 1 s see nothing of it.
        let found = followed(|t| (t - 0.6) * (t - 0.6) - 0.01, 1.0, 1);
        assert_eq!(found.beyond.len(), 1, "{found:?}");
        let [from, to] = found.beyond[0];
        assert!((from - 0.5).abs() < 1e-7 && (to - 0.7).abs() < 1e-7, "{found:?}");
        let (value, at) = found.worst.expect("it was looked at");
        assert!((value + 0.01).abs() < 1e-9 && (at - 0.6).abs() < 1e-3, "{found:?}");
    }

    #[test]
    fn crossings_do_not_depend_on_the_steps() {
        // cos t is below zero from π/2 to 3π/2, and again from 5π/2 on.
        use std::f64::consts::PI;
        for (step, steps) in [(0.1, 100), (0.25, 40), (1.0, 10)] {
            let found = followed(f64::cos, step, steps);
            assert_eq!(found.beyond.len(), 2, "{found:?}");
            assert!((found.first_s().expect("broken") - 0.5 * PI).abs() < 1e-7);
            assert!((found.beyond_s() - (PI + 10.0 - 2.5 * PI)).abs() < 1e-6, "{found:?}");
            assert!((found.watched_s - 10.0).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_no_number_is_not_kept() {
        let found = followed(|t| if t < 2.0 { 1.0 } else { f64::INFINITY }, 1.0, 4);
        assert_eq!(found.unknown_s, Some(2.0));
        assert!(found.beyond.is_empty());
        assert_eq!(found.worst, Some((1.0, 0.0)));
    }

    #[test]
    fn a_bound_that_is_met_exactly_is_kept() {
        let found = followed(|_| 0.0, 1.0, 4);
        assert!(found.beyond.is_empty() && found.unknown_s.is_none(), "{found:?}");
    }
}
