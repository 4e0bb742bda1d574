//! Routes: length, bends and rise from the corner points of a centre line.

use super::context::{Bound, Context};
use coolwright_models::parts::Corner;

use crate::quantity::{Kind, Length, spoken};

/// What follows from a route.
#[derive(Clone, Debug)]
pub(super) struct Path {
    /// Length along straights and arcs, m.
    pub length_m: f64,
    /// Height gained, m.
    pub rise_m: f64,
    /// Where it changes its direction.
    pub corners: Vec<Corner>,
    /// Angle of each bend in rad, with its radius in m where it is known.
    pub bends: Vec<(f64, Option<f64>)>,
}

/// Below this a corner is a straight, rad.
const STRAIGHT: f64 = 1e-3;

/// The path along the points, with each corner rounded by the bend radius: an arc takes R tan(α/2)
/// off both its neighbours and adds R α.
pub(super) fn path(
    context: &mut Context<'_>,
    route: &[(Length, Length, Length)],
    bend_radius: Option<Length>,
) -> Option<Path> {
    let span = route.first()?.0.span();
    let points: Vec<[f64; 3]> = route.iter().map(|(x, y, z)| [x.si(), y.si(), z.si()]).collect();
    if points.iter().flatten().any(|c| c.is_nan()) {
        return None;
    }
    if points.len() < 2 {
        context.error(span, "a route needs at least two points", "only one point");
        return None;
    }
    let radius = bend_radius.map(|r| context.checked(r, Bound::Within(1e-3, 50.0), "bend radius"));
    let legs: Vec<[f64; 3]> =
        points.windows(2).map(|p| std::array::from_fn(|i| p[1][i] - p[0][i])).collect();
    let lengths: Vec<f64> = legs.iter().map(|leg| norm(*leg)).collect();
    if let Some(k) = lengths.iter().position(|&length| length < 1e-6) {
        let span = route[k + 1].0.span();
        context.error(span, "two neighbouring points of a route are the same", "this point again");
        return None;
    }
    let angles: Vec<f64> = (1..legs.len())
        .map(|k| {
            let dot: f64 = (0..3).map(|i| legs[k - 1][i] * legs[k][i]).sum();
            (dot / (lengths[k - 1] * lengths[k])).clamp(-1.0, 1.0).acos()
        })
        .collect();
    let mut length_m: f64 = lengths.iter().sum();
    let mut cut = vec![0.0; lengths.len()];
    let mut bends = Vec::new();
    for (k, &angle) in angles.iter().enumerate() {
        if angle < STRAIGHT {
            continue;
        }
        if angle > std::f64::consts::PI - STRAIGHT {
            let message = "the route turns back on itself here";
            context.error(route[k + 1].0.span(), message, "at this point");
            return None;
        }
        if let Some(radius) = radius {
            let off = radius * (angle / 2.0).tan();
            cut[k] += off;
            cut[k + 1] += off;
            length_m += radius * angle - 2.0 * off;
        }
        bends.push((angle, radius));
    }
    if let Some(k) = (0..cut.len()).find(|&k| cut[k] > lengths[k] * (1.0 + 1e-9)) {
        let message = format!(
            "the bends at both ends need {} of this straight, which is {} long",
            spoken(Kind::Length, cut[k]),
            spoken(Kind::Length, lengths[k])
        );
        context.error(route[k + 1].0.span(), message, "too short for the bend radius");
        return None;
    }
    let rise_m = points[points.len() - 1][2] - points[0][2];
    let whole: f64 = lengths.iter().sum();
    let mut along = 0.0;
    let corners = (1..points.len() - 1).map(|k| {
        along += lengths[k - 1];
        Corner { share: along / whole, height_m: points[k][2] - points[0][2] }
    });
    let corners = corners.collect();
    Some(Path { length_m, rise_m, corners, bends })
}

fn norm(v: [f64; 3]) -> f64 {
    v.iter().map(|c| c * c).sum::<f64>().sqrt()
}
