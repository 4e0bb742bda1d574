//! How far coolant has run straight before a place, and how far it will behind it.

use coolwright_models::circuit::Joint;

use super::view::{At, View};

/// A bend of a hose.
#[derive(Clone, Copy, Debug)]
pub(in crate::study) struct BendAt {
    /// Distance of the middle of the bend from the inlet of the hose, m.
    pub(in crate::study) at_m: f64,
    /// Half of the length that the bend takes up, m.
    pub(in crate::study) half_m: f64,
    /// Its angle, rad.
    pub(in crate::study) angle_rad: f64,
}

/// Below this a corner disturbs nothing, rad (common practice, no source).
const SLIGHT: f64 = 0.26;

/// Centre-line radius of a bend that tells none, in bores: a moulded elbow (common practice, no
/// source).
pub(in crate::study) const ELBOW: f64 = 1.5;

/// The bends of a hose, from its inlet on: the corners of its route, or those it lists, taken as
/// evenly spaced.
pub(in crate::study) fn bends(view: &View<'_>, at: At) -> Vec<BendAt> {
    let (Some(way), Some(length)) = (view.hose(at), view.length(at)) else { return Vec::new() };
    let listed: u32 = way.bends.iter().map(|bends| bends.count).sum();
    if listed > 0 {
        let all = way.bends.iter().flat_map(|b| (0..b.count.min(1000)).map(|_| b.angle_rad));
        let place = |(k, angle_rad)| BendAt {
            at_m: length * (k as f64 + 1.0) / (f64::from(listed) + 1.0),
            half_m: 0.0,
            angle_rad,
        };
        return all.enumerate().map(place).collect();
    }
    let stations = way.stations_m();
    let mut found = Vec::new();
    // Along the centre line an arc of radius R and angle α is shorter than the corner it rounds, by
    // 2 R tan(α/2) − R α. Without a radius the length of the hose is that of its corners.
    let mut saved = 0.0;
    for (k, station) in stations.iter().enumerate().take(stations.len().saturating_sub(1)).skip(1) {
        let angle_rad = corner_angle(&way.route_m, k);
        let off = way.bend_radius_m.unwrap_or(ELBOW * way.bore_m) * (angle_rad / 2.0).tan();
        let (half_m, less) = match way.bend_radius_m {
            Some(radius) => (radius * angle_rad / 2.0, 2.0 * off - radius * angle_rad),
            None => (off, 0.0),
        };
        let at_m = station - saved - less / 2.0;
        saved += less;
        if angle_rad > SLIGHT {
            found.push(BendAt { at_m, half_m, angle_rad });
        }
    }
    found
}

/// By how much a route turns at a point, rad.
pub(in crate::study) fn corner_angle(route: &[[f64; 3]], k: usize) -> f64 {
    let leg = |k: usize| -> [f64; 3] { std::array::from_fn(|i| route[k + 1][i] - route[k][i]) };
    let (a, b) = (leg(k - 1), leg(k));
    let dot = |a: [f64; 3], b: [f64; 3]| -> f64 { (0..3).map(|i| a[i] * b[i]).sum() };
    (dot(a, b) / (dot(a, a) * dot(b, b)).sqrt()).clamp(-1.0, 1.0).acos()
}

/// Where a look along a run begins.
#[derive(Clone, Copy, Debug)]
pub(in crate::study) enum Beside {
    /// At the inlet of the part.
    Inlet,
    /// At its outlet.
    Outlet,
    /// In it, at this distance from its inlet, m.
    Inside(f64),
}

/// What ends a straight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::study) enum Disturber {
    /// A bend of a hose; whether its place is told by a route.
    Bend(At, bool),
    /// A part that is no hose.
    Part(At),
    /// A junction where more than two runs meet, or a vessel.
    Junction(usize, usize),
    /// Nothing on the whole way round.
    Nothing,
}

/// The straight length from a place in a direction along the run (with it, or against it), m, and
/// what ends it.
pub(in crate::study) fn straight(
    view: &View<'_>,
    (c, r, p): At,
    beside: Beside,
    with_run: bool,
) -> (f64, Disturber) {
    let mut total = 0.0;
    let (mut run, mut with_run) = (r, with_run);
    let mut next = match (beside, with_run) {
        (Beside::Inside(distance), _) => {
            let at = (c, r, p);
            match within(view, at, distance, with_run) {
                (length, Some(told)) => return (length, Disturber::Bend(at, told)),
                (length, None) => total += length,
            }
            if with_run { p + 1 } else { p }
        }
        (Beside::Inlet, true) | (Beside::Outlet, false) => p + usize::from(!with_run),
        (Beside::Inlet, false) => p,
        (Beside::Outlet, true) => p + 1,
    };
    for _ in 0..1000 {
        let parts = &view.circuit(c).runs[run].parts;
        let index = if with_run { Some(next) } else { next.checked_sub(1) };
        let Some(index) = index.filter(|&index| index < parts.len()) else {
            let (junction, run_on, on) = match beyond(view, c, run, with_run) {
                Ok((run_on, on)) => (None, run_on, on),
                Err(junction) => (Some(junction), run, with_run),
            };
            if let Some(junction) = junction {
                return (total, Disturber::Junction(c, junction));
            }
            (run, with_run) = (run_on, on);
            next = if with_run { 0 } else { view.circuit(c).runs[run].parts.len() };
            continue;
        };
        let at = (c, run, index);
        if let Some(length) = view.length(at) {
            let begin = if with_run { 0.0 } else { length };
            match within(view, at, begin, with_run) {
                (length, Some(told)) => return (total + length, Disturber::Bend(at, told)),
                (length, None) => total += length,
            }
        } else if !parts[index].automatic {
            return (total, Disturber::Part(at));
        }
        next = if with_run { index + 1 } else { index };
    }
    (total, Disturber::Nothing)
}

/// The straight within a hose from a distance on: its length, and whether a bend of a route ends it,
/// or one that is only listed.
fn within(view: &View<'_>, at: At, from_m: f64, with_run: bool) -> (f64, Option<bool>) {
    let length = view.length(at).unwrap_or(0.0);
    let told = view.hose(at).is_some_and(|way| !way.route_m.is_empty());
    let bends = bends(view, at);
    let ahead = |bend: &&BendAt| if with_run { bend.at_m > from_m } else { bend.at_m < from_m };
    let distance = |bend: &BendAt| ((bend.at_m - from_m).abs() - bend.half_m).max(0.0);
    let nearest = bends.iter().filter(ahead).map(distance).min_by(f64::total_cmp);
    match nearest {
        Some(distance) => (distance, Some(told)),
        None => (if with_run { length - from_m } else { from_m }, None),
    }
}

/// The run that goes on behind the end of one, and its direction; the junction where none does.
fn beyond(view: &View<'_>, c: usize, run: usize, with_run: bool) -> Result<(usize, bool), usize> {
    let circuit = view.circuit(c);
    let spec = &circuit.runs[run];
    let junction = if with_run { spec.to } else { spec.from };
    if !matches!(circuit.junctions[junction].joint, Joint::Plain { .. }) {
        return Err(junction);
    }
    let mut ends = Vec::new();
    for (r, other) in circuit.runs.iter().enumerate() {
        if other.from == junction && (r != run || with_run) {
            ends.push((r, true));
        }
        if other.to == junction && (r != run || !with_run) {
            ends.push((r, false));
        }
    }
    match ends[..] {
        [on] => Ok(on),
        _ => Err(junction),
    }
}
