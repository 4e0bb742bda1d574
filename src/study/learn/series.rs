//! Measured and predicted series side by side: means over short stretches of time, their noise, and by how much one
//! is behind the other.

/// A measured series as means over stretches.
#[derive(Clone, Debug, Default)]
pub struct Cells {
    /// From when to when, s.
    pub windows: Vec<[f64; 2]>,
    /// The means.
    pub values: Vec<f64>,
    /// Standard deviation of a single value around its neighbours.
    pub noise: f64,
    /// How many values make one mean, usually.
    pub of: f64,
}

impl Cells {
    /// The means of a series with holes, over stretches of a length (s); gaps of `gap_s` and more part them.
    pub fn of(times_s: &[f64], values: &[f64], (length_s, step_s): (f64, f64)) -> Self {
        let mut cells = Self { noise: noise(values), ..Self::default() };
        let mut from = 0;
        let known: Vec<usize> = (0..values.len()).filter(|&k| values[k].is_finite()).collect();
        let mut counts = Vec::new();
        while from < known.len() {
            let begin = times_s[known[from]];
            let ends = |k: &usize| {
                let (at, before) = (times_s[known[*k]], times_s[known[*k - 1]]);
                at - begin >= length_s - 0.5 * step_s || at - before > 3.0 * step_s
            };
            let to = (from + 1..known.len()).find(ends).unwrap_or(known.len());
            let own = &known[from..to];
            let sum: f64 = own.iter().map(|&k| values[k]).sum();
            cells.values.push(sum / own.len() as f64);
            let (first, last) = (times_s[own[0]], times_s[own[own.len() - 1]]);
            cells.windows.push([first - 0.5 * step_s, last + 0.5 * step_s]);
            counts.push(own.len() as f64);
            from = to;
        }
        cells.of = middle(&counts);
        cells
    }

    /// Standard deviation of a mean, by the noise of single values.
    pub fn spread(&self) -> f64 {
        self.noise / self.of.max(1.0).sqrt()
    }
}

/// The middle of numbers; zero where there are none.
pub fn middle(of: &[f64]) -> f64 {
    let mut sorted: Vec<f64> = of.iter().copied().filter(|x| x.is_finite()).collect();
    sorted.sort_unstable_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
}

/// A standard deviation by the middle of the sizes: wild values do not count. 1.4826 for the normal distribution.
pub fn robust_deviation(of: &[f64]) -> f64 {
    let sizes: Vec<f64> = of.iter().map(|x| x.abs()).collect();
    1.4826 * middle(&sizes)
}

/// The noise of a series by its second differences, whose variance is six times that of noise alone.
pub fn noise(values: &[f64]) -> f64 {
    let bends: Vec<f64> = values.windows(3).map(|w| w[0] - 2.0 * w[1] + w[2]).collect();
    robust_deviation(&bends) / 6.0_f64.sqrt()
}

/// Means of a history, straight between its rows, over windows; beyond its ends it stays.
pub fn means(times_s: &[f64], values: &[f64], windows: &[[f64; 2]], shift_s: f64) -> Vec<f64> {
    // Its integral at each row.
    let mut sums = Vec::with_capacity(times_s.len());
    let mut sum = 0.0;
    for k in 0..times_s.len() {
        if k > 0 {
            sum += (times_s[k] - times_s[k - 1]) * 0.5 * (values[k] + values[k - 1]);
        }
        sums.push(sum);
    }
    let last = times_s.len() - 1;
    let integral = |at: f64| {
        let after = times_s.partition_point(|time| *time <= at);
        if after == 0 {
            return (at - times_s[0]) * values[0];
        }
        let before = after - 1;
        let way = at - times_s[before];
        if before == last {
            return sums[last] + way * values[last];
        }
        let slope = (values[after] - values[before]) / (times_s[after] - times_s[before]);
        sums[before] + way * (values[before] + 0.5 * slope * way)
    };
    let mean = |&[from, to]: &[f64; 2]| {
        let (from, to) = (from - shift_s, to - shift_s);
        (integral(to) - integral(from)) / (to - from)
    };
    windows.iter().map(mean).collect()
}

/// How many times as large the variance of a mean of residuals is as that of as many independent ones: one plus twice
/// the sum of their correlations as long as those are above nothing.
pub fn inefficiency(residuals: &[f64]) -> f64 {
    let count = residuals.len();
    if count < 20 {
        return 1.0;
    }
    let mean = residuals.iter().sum::<f64>() / count as f64;
    let at = |k: usize| residuals[k] - mean;
    let variance: f64 = (0..count).map(|k| at(k) * at(k)).sum();
    if variance <= 0.0 {
        return 1.0;
    }
    let noise = 2.0 / (count as f64).sqrt();
    let mut sum = 1.0;
    for lag in 1..count / 4 {
        let along: f64 = (lag..count).map(|k| at(k) * at(k - lag)).sum();
        let correlation = along / variance;
        if correlation < noise {
            break;
        }
        sum += 2.0 * correlation;
    }
    sum.clamp(1.0, count as f64 / 8.0)
}

/// The furthest that one series is looked for behind another, s.
const FURTHEST_S: f64 = 30.0;
/// So many points are compared at most.
const POINTS: f64 = 6000.0;
/// A shift counts where it leaves this much less unexplained.
const WORTH: f64 = 1.25;

/// By how much a measured series is behind a predicted one, s; nothing where it cannot be told, or is none.
pub fn behind(
    (times_s, measured): (&[f64], &[f64]),
    (predicted_s, predicted): (&[f64], &[f64]),
    noise: f64,
) -> f64 {
    let whole = times_s[times_s.len() - 1];
    let step = (whole / POINTS).max(0.05);
    let most = FURTHEST_S.min(0.1 * whole);
    let points = (whole / step).max(1.0);
    // So many rows that no more than those points are left.
    let thin = (1..measured.len()).find(|by| measured.len() as f64 <= points * *by as f64);
    let thin = thin.unwrap_or(1);
    let known: Vec<[f64; 2]> = (0..measured.len())
        .step_by(thin)
        .filter(|&k| measured[k].is_finite() && times_s[k] > most && times_s[k] < whole - most)
        .map(|k| [times_s[k], measured[k]])
        .collect();
    let least = predicted.iter().copied().fold(f64::INFINITY, f64::min);
    let largest = predicted.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if known.len() < 100 || largest - least < 8.0 * noise {
        return 0.0;
    }
    let unexplained = |shift: f64| {
        let mut after = 0;
        let [mut n, mut x, mut y, mut xx, mut xy, mut yy] = [0.0; 6];
        for [at, value] in &known {
            let at = at - shift;
            while after < predicted_s.len() && predicted_s[after] <= at {
                after += 1;
            }
            if after == 0 || after == predicted_s.len() {
                continue;
            }
            let (from, to) = (predicted_s[after - 1], predicted_s[after]);
            let share = (at - from) / (to - from);
            let p =
                predicted[after - 1] + share * (predicted[after] - predicted[after - 1]) - least;
            let v = value - least;
            (n, x, y) = (n + 1.0, x + p, y + v);
            (xx, xy, yy) = (xx + p * p, xy + p * v, yy + v * v);
        }
        let [xx, xy, yy] = [xx - x * x / n, xy - x * y / n, yy - y * y / n];
        if xx > 0.0 && yy > 0.0 && xy > 0.0 { (1.0 - xy * xy / (xx * yy)).max(1e-12) } else { 1.0 }
    };
    let steps = (1..300_u16).find(|steps| f64::from(*steps) * step >= most).unwrap_or(300);
    let count = f64::from(steps);
    let grid = most / count;
    let shifts = (0..=2 * steps).map(|k| (f64::from(k) - count) * grid);
    let tried: Vec<[f64; 2]> = shifts.map(|shift| [shift, unexplained(shift)]).collect();
    let best = (0..tried.len()).min_by(|a, b| tried[*a][1].total_cmp(&tried[*b][1])).unwrap_or(0);
    let plain = unexplained(0.0);
    let [shift, left] = tried[best];
    if best == 0 || best == tried.len() - 1 || plain < WORTH * left || shift.abs() < 1.5 * grid {
        return 0.0;
    }
    // A parabola through the best and both beside it.
    let (a, b) = (tried[best - 1][1] - left, tried[best + 1][1] - left);
    shift + if a + b > 0.0 { 0.5 * grid * (a - b) / (a + b) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(what: &str, got: f64, want: f64, within: f64) {
        assert!((got - want).abs() <= within, "{what}: got {got}, want {want}");
    }

    /// t² straight between whole seconds: over [0, 2] the trapezia are 0.5 and 2.5.
    #[test]
    fn means_are_those_of_straight_lines() {
        let found = means(&[0.0, 1.0, 2.0], &[0.0, 1.0, 4.0], &[[0.0, 2.0], [0.5, 1.0]], 0.0);
        close("whole", found[0], 1.5, 1e-12);
        close("half", found[1], 0.75, 1e-12);
        let shifted = means(&[0.0, 1.0, 2.0], &[0.0, 1.0, 4.0], &[[1.0, 2.0]], 1.0);
        close("shifted", shifted[0], 0.5, 1e-12);
    }

    /// An autoregressive series of 0.6 has (1 + 0.6)/(1 − 0.6) = 4 times the variance of the mean.
    #[test]
    fn inefficiency_is_that_of_an_autoregressive_series() {
        let (mut seed, mut value) = (7_u64, 0.0);
        let mut uniform = || {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
        };
        let series: Vec<f64> = (0..20000)
            .map(|_| {
                value = 0.6 * value + uniform();
                value
            })
            .collect();
        close("0.6", inefficiency(&series), 4.0, 0.5);
        let plain: Vec<f64> = (0..20000).map(|_| uniform()).collect();
        close("white", inefficiency(&plain), 1.0, 0.1);
    }

    #[test]
    fn what_is_behind_is_found_and_what_is_not_stays() {
        let times: Vec<f64> = (0..4000).map(|k| 0.25 * f64::from(k)).collect();
        let wave = |t: f64| 60.0 + 8.0 * (t / 40.0).sin() + 5.0 * (t / 13.0).sin();
        let noisy = |shift: f64| -> Vec<f64> {
            times.iter().map(|t| wave(t - shift) + 0.2 * (37.0 * t).sin() + 1.5).collect()
        };
        let predicted: Vec<f64> = times.iter().map(|t| wave(*t)).collect();
        let of = |shift: f64| behind((&times, &noisy(shift)), (&times, &predicted), 0.2);
        close("late", of(3.2), 3.2, 0.2);
        close("early", of(-6.0), -6.0, 0.2);
        close("in time", of(0.0), 0.0, 1e-12);
    }
}
