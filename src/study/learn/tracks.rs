//! What drives a model over time, with as few corners as it takes: every corner ends a step of the integration.

use coolwright_models::inputs::Track;

use super::series::noise;

/// The most corners of one track.
const MOST: usize = 160;
/// How far a line may be off what was logged, as a share of all that it goes through.
const SHARE: f64 = 0.02;
/// The same in times of the noise where that is largest.
const NOISE: f64 = 6.0;
/// The noise is told from stretches of so many rows.
const STRETCH: usize = 64;

/// Values without holes: straight across them, and constant before the first and behind the last.
///
/// Nothing where there is no number.
pub fn filled(times_s: &[f64], values: &[f64]) -> Option<Vec<f64>> {
    let known: Vec<usize> = (0..values.len()).filter(|&k| values[k].is_finite()).collect();
    let (&first, &last) = (known.first()?, known.last()?);
    let mut filled = values.to_vec();
    filled[..first].fill(values[first]);
    filled[last..].fill(values[last]);
    for pair in known.windows(2).filter(|pair| pair[1] > pair[0] + 1) {
        let [from, to] = [pair[0], pair[1]];
        let slope = (values[to] - values[from]) / (times_s[to] - times_s[from]);
        for k in from + 1..to {
            filled[k] = values[from] + slope * (times_s[k] - times_s[from]);
        }
    }
    Some(filled)
}

/// The noise of a series where that is largest: power has more of it where there is more power.
fn largest_noise(values: &[f64]) -> f64 {
    let stretches = values.chunks(STRETCH).filter(|stretch| stretch.len() > 8);
    let mut all: Vec<f64> = stretches.map(noise).collect();
    all.sort_unstable_by(f64::total_cmp);
    all.get(all.len().saturating_sub(1 + all.len() / 20)).copied().unwrap_or(0.0)
}

/// Straight lines through a series: time and value at each corner. Between corners it is off by no more than noise and
/// a share of its range; the values at the corners are those of least squares, so that what flows in all stays.
pub fn thinned(times_s: &[f64], values: &[f64]) -> Vec<[f64; 2]> {
    let noise = largest_noise(values);
    let [least, most] =
        [f64::min, f64::max].map(|end| values.iter().copied().reduce(end).unwrap_or(0.0));
    if most - least <= 0.0 {
        return vec![[times_s[0], values[0]]];
    }
    let mut within = (SHARE * (most - least)).max(NOISE * noise);
    let mut corners = corners(times_s, values, within);
    while corners.len() > MOST {
        within *= 1.4;
        corners = self::corners(times_s, values, within);
    }
    fitted(times_s, values, &corners)
}

/// Rows between which straight lines are no further off than `within` (D. H. Douglas & T. K. Peucker, Cartographica 10
/// (1973) 112).
fn corners(times_s: &[f64], values: &[f64], within: f64) -> Vec<usize> {
    let last = times_s.len() - 1;
    let (mut corners, mut open) = (vec![0], vec![[0, last]]);
    while let Some([from, to]) = open.pop() {
        let slope = (values[to] - values[from]) / (times_s[to] - times_s[from]);
        let off =
            |k: &usize| (values[*k] - values[from] - slope * (times_s[*k] - times_s[from])).abs();
        let worst = (from + 1..to).max_by(|a, b| off(a).total_cmp(&off(b)));
        match worst.filter(|worst| off(worst) > within) {
            // The earlier half comes first.
            Some(worst) => open.extend([[worst, to], [from, worst]]),
            None => corners.push(to),
        }
        if corners.len() + open.len() > 8 * MOST {
            corners.extend(open.iter().rev().map(|piece| piece[1]));
            break;
        }
    }
    corners
}

/// Values at corners by least squares over all rows: hat functions between corners, so the matrix has three diagonals.
fn fitted(times_s: &[f64], values: &[f64], corners: &[usize]) -> Vec<[f64; 2]> {
    let count = corners.len();
    let (mut diagonal, mut beside, mut right) =
        (vec![0.0; count], vec![0.0; count], vec![0.0; count]);
    let mut piece = 0;
    for k in 0..times_s.len() {
        while piece + 2 < count && k >= corners[piece + 1] {
            piece += 1;
        }
        let (from, to) = (times_s[corners[piece]], times_s[corners[piece + 1]]);
        let b = (times_s[k] - from) / (to - from);
        let a = 1.0 - b;
        diagonal[piece] += a * a;
        diagonal[piece + 1] += b * b;
        beside[piece] += a * b;
        right[piece] += a * values[k];
        right[piece + 1] += b * values[k];
    }
    // Thomas' algorithm; each corner is a row itself, so no pivot is below one.
    for k in 1..count {
        let factor = beside[k - 1] / diagonal[k - 1];
        diagonal[k] -= factor * beside[k - 1];
        right[k] -= factor * right[k - 1];
    }
    for k in (0..count).rev() {
        let after = if k + 1 < count { beside[k] * right[k + 1] } else { 0.0 };
        right[k] = (right[k] - after) / diagonal[k];
    }
    corners.iter().zip(right).map(|(&k, value)| [times_s[k], value]).collect()
}

/// How far straight lines are off a series: as a standard deviation, and at most.
pub fn off(times_s: &[f64], values: &[f64], points: &[[f64; 2]]) -> [f64; 2] {
    let track = Track::table(points.to_vec());
    let (mut squares, mut most) = (0.0, 0.0_f64);
    for (time, value) in times_s.iter().zip(values) {
        let off = track.around(*time)[1] - value;
        squares += off * off;
        most = most.max(off.abs());
    }
    [(squares / times_s.len() as f64).sqrt(), most]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_and_ramps_keep_their_corners_and_their_mean() {
        let times: Vec<f64> = (0..1000).map(|k| 0.1 * f64::from(k)).collect();
        let power = |t: f64| if t < 30.0 { 100.0 } else { 20.0 + 0.5 * (t - 30.0) };
        let ripple = |k: usize| 0.3 * (k as f64 * 2.4).sin();
        let values: Vec<f64> =
            times.iter().enumerate().map(|(k, t)| power(*t) + ripple(k)).collect();
        let track = thinned(&times, &values);
        assert!(track.len() < 12, "{track:?}");
        let at = |t: f64| {
            let after = track.partition_point(|point| point[0] <= t).clamp(1, track.len() - 1);
            let ([from, a], [to, b]) = (track[after - 1], track[after]);
            a + (b - a) * (t - from) / (to - from)
        };
        let [spread, most] = off(&times, &values, &track);
        // Away from the ramp only the ripple is left: 0.3/√2.
        assert!(spread < 0.8 && most < 12.0, "{spread} {most}");
        let off: f64 = times.iter().zip(&values).map(|(t, value)| at(*t) - value).sum();
        assert!((off / 1000.0).abs() < 1e-9, "{off}");
        assert!((at(28.0) - 100.0).abs() < 0.5 && (at(34.0) - 22.0).abs() < 1.5);
    }

    #[test]
    fn holes_are_bridged() {
        let nan = f64::NAN;
        let found = filled(&[0.0, 1.0, 2.0, 4.0, 5.0], &[nan, 1.0, nan, 7.0, nan]);
        assert_eq!(found, Some(vec![1.0, 1.0, 3.0, 7.0, 7.0]));
        assert_eq!(filled(&[0.0], &[nan]), None);
    }
}
