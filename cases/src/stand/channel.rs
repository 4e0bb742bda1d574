//! One channel of a log: spikes, texts between numbers, sensors that froze or are dead.

use crate::quantity::{Kind, spoken};

/// How often something was found in a channel, and where first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Faults {
    /// Fields without anything in them.
    pub holes: usize,
    /// Fields with a text in the place of a number.
    pub texts: usize,
    /// The first of them, and its line.
    pub text: Option<(String, usize)>,
    /// Numbers that no such thing can have.
    pub impossible: usize,
    /// Numbers that stand alone, far from those around them.
    pub spikes: usize,
    /// Numbers in stretches in which a channel that moves otherwise stands still.
    pub frozen: usize,
    /// The longest of those stretches: when it begins, and how long it is, s.
    pub froze: Option<[f64; 2]>,
}

/// What was found of a channel.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChannelReport {
    /// Its name.
    pub name: String,
    /// What was found and left out.
    pub faults: Faults,
    /// Whether it has one value throughout, or none.
    pub is_dead: bool,
    /// How many numbers are left.
    pub left: usize,
}

impl ChannelReport {
    /// What was found, in words.
    pub fn words(&self) -> Vec<String> {
        let mut words = Vec::new();
        let name = &self.name;
        let Faults { holes, texts, text, impossible, spikes, frozen, froze } = &self.faults;
        let s = |count: &usize| if *count == 1 { "" } else { "s" };
        if self.left == 0 {
            words.push(format!("`{name}` has no number at all: left out"));
        } else if self.is_dead {
            words
                .push(format!("`{name}` has the same value in all rows: dead, or nothing happens"));
        }
        if *holes > 0 && self.left > 0 {
            words.push(format!("`{name}` is empty in {holes} row{}", s(holes)));
        }
        if let (Some((text, line)), true) = (text, self.left > 0) {
            words.push(format!(
                "`{name}` has a text in {texts} row{}, first `{text}` in line {line}: left out",
                s(texts)
            ));
        }
        if *impossible > 0 {
            words.push(format!(
                "`{name}` is far beyond anything possible in {impossible} row{}: left out",
                s(impossible)
            ));
        }
        if *spikes > 0 {
            words.push(format!("`{name}` has {spikes} spike{}: left out", s(spikes)));
        }
        if let Some([at, long]) = froze {
            let (at, long) = (spoken(Kind::Time, *at), spoken(Kind::Time, *long));
            words.push(format!(
                "`{name}` stands still in {frozen} rows, longest for {long} from {at} on: frozen, left out"
            ));
        }
        words
    }
}

/// A spike is so many times further off than values usually are from the middle of the five around them.
const SPIKE: f64 = 12.0;
/// A spike is at least this share of all that the channel goes through.
const SPIKE_SHARE: f64 = 0.02;
/// A channel froze where it stands still for so many rows and this long, while most rows differ from the one before.
const FROZEN_ROWS: usize = 50;
/// See [`FROZEN_ROWS`], s.
const FROZEN_S: f64 = 5.0;

/// The middle of five.
fn middle(mut of: [f64; 5]) -> f64 {
    of.sort_unstable_by(f64::total_cmp);
    of[2]
}

fn quantile(sorted: &[f64], share: f64) -> f64 {
    let last = sorted.len().saturating_sub(1) as f64;
    let at = (0..sorted.len()).find(|k| *k as f64 >= share * last).unwrap_or(0);
    sorted[at]
}

/// Takes spikes out of values: what is left in their place is no number.
pub(super) fn despike(values: &mut [f64], faults: &mut Faults) {
    let places: Vec<usize> = (0..values.len()).filter(|&k| values[k].is_finite()).collect();
    if places.len() < 9 {
        return;
    }
    let numbers: Vec<f64> = places.iter().map(|&k| values[k]).collect();
    let off: Vec<f64> = numbers
        .windows(5)
        .map(|five| five[2] - middle([five[0], five[1], five[2], five[3], five[4]]))
        .collect();
    let thin = 1 + numbers.len() / 4096;
    let sorted = |of: &[f64]| {
        let mut some: Vec<f64> = of.iter().step_by(thin).copied().collect();
        some.sort_unstable_by(f64::total_cmp);
        some
    };
    let range = sorted(&numbers);
    let range = quantile(&range, 0.98) - quantile(&range, 0.02);
    let sizes: Vec<f64> = off.iter().map(|x| x.abs()).filter(|x| *x > 0.0).collect();
    let usual = if sizes.is_empty() { 0.0 } else { quantile(&sorted(&sizes), 0.5) };
    let most = (SPIKE * usual).max(SPIKE_SHARE * range);
    for (k, off) in off.iter().enumerate() {
        if off.abs() > most {
            values[places[k + 2]] = f64::NAN;
            faults.spikes += 1;
        }
    }
}

/// Takes out stretches in which a channel that moves otherwise stands still.
pub(super) fn thaw(times_s: &[f64], values: &mut [f64], faults: &mut Faults) {
    let same = |a: f64, b: f64| a.total_cmp(&b).is_eq();
    let places: Vec<usize> = (0..values.len()).filter(|&k| values[k].is_finite()).collect();
    let moving = places.windows(2).filter(|pair| !same(values[pair[0]], values[pair[1]])).count();
    // Of a channel in coarse steps most rows are like the one before, so none is frozen.
    if 4 * moving < places.len() {
        return;
    }
    let mut from = 0;
    for to in 1..=places.len() {
        let goes_on = to < places.len() && same(values[places[to]], values[places[from]]);
        if goes_on {
            continue;
        }
        let long = times_s[places[to - 1]] - times_s[places[from]];
        if to - from >= FROZEN_ROWS && long >= FROZEN_S {
            places[from..to].iter().for_each(|&k| values[k] = f64::NAN);
            faults.frozen += to - from;
            if faults.froze.is_none_or(|[_, known]| known < long) {
                faults.froze = Some([times_s[places[from]], long]);
            }
        }
        from = to;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A slow wave with a small ripple.
    fn wave(count: usize) -> Vec<f64> {
        let at = |k: usize| {
            let x = k as f64;
            50.0 + 10.0 * (x / 60.0).sin() + 0.05 * (7.0 * x).sin()
        };
        (0..count).map(at).collect()
    }

    #[test]
    fn spikes_go_and_steps_stay() {
        let mut values = wave(600);
        (values[100], values[300], values[301]) = (500.0, -40.0, -40.0);
        values[400..].iter_mut().for_each(|value| *value += 30.0);
        let mut faults = Faults::default();
        despike(&mut values, &mut faults);
        let gone: Vec<usize> = (0..600).filter(|&k| values[k].is_nan()).collect();
        assert_eq!((gone, faults.spikes), (vec![100, 300, 301], 3));
    }

    #[test]
    fn what_stands_still_among_what_moves_is_frozen() {
        let times: Vec<f64> = (0..600).map(|k| 0.5 * f64::from(k)).collect();
        let mut values = wave(600);
        let stuck = values[200];
        values[200..320].fill(stuck);
        let mut faults = Faults::default();
        thaw(&times, &mut values, &mut faults);
        assert_eq!(faults.frozen, 120);
        assert_eq!(faults.froze, Some([100.0, 59.5]));
        assert!(values[199].is_finite() && values[200].is_nan() && values[320].is_finite());
        // Whole degrees that hardly change are no frozen channel.
        let mut coarse: Vec<f64> = wave(600).iter().map(|value| value.round()).collect();
        thaw(&times, &mut coarse, &mut faults);
        assert_eq!(faults.frozen, 120);
    }
}
