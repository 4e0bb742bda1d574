//! Pump and fan curves: checked, and brought into the form that the laws take.

mod pump;

pub(super) use pump::{PumpData, labelled_pump, power_of, pump};

use std::sync::Arc;

use coolwright_models::laws::curve::{Curve, CurveError};

use super::context::{Bound, Context, Given};
use crate::diagnostic::Problem;
use crate::file::FanCurve;
use crate::quantity::{AirFlow, AirPressureDifference};
use crate::text::{Span, Spanned};

/// Air density in which fan curves are stated, kg/m³ (ISO 5801 standard air: 1.2).
const STANDARD_AIR: f64 = 1.2;

/// The most of flow times rise between no flow and free flow, W.
fn best_power(curve: &Curve, free_flow: f64) -> f64 {
    (0..=100)
        .map(|k| {
            let flow = free_flow * f64::from(k) / 100.0;
            flow * curve.value(flow)
        })
        .fold(0.0, f64::max)
}

/// Two numbers off a label: H = H₀ (1 − (Q/Q₀)²), the shape of most centrifugal pumps (common
/// practice, no source).
fn label_points(shut_off: f64, free_flow: f64) -> Vec<[f64; 2]> {
    (0..=8)
        .map(|k| {
            let share = f64::from(k) / 8.0;
            [free_flow * share, shut_off * (1.0 - share * share)]
        })
        .collect()
}

/// A fan as its curve tells it.
#[derive(Clone, Debug)]
pub(super) struct FanData {
    pub curve: Arc<Curve>,
    pub density: f64,
    pub shut_off: f64,
    pub free_flow: f64,
    /// Voltage at which it was measured, V, where the file tells it.
    pub voltage: Option<f64>,
}

impl FanData {
    /// The most air power on the curve, W.
    pub(super) fn best_power(&self) -> f64 {
        best_power(&self.curve, self.free_flow)
    }
}

/// A fan from its curve.
pub(super) fn fan(context: &mut Context<'_>, spec: &FanCurve) -> Option<FanData> {
    let points = points(context, &spec.points, spec.rising.unwrap_or(false), "pressure")?;
    let density = spec.density.map_or(STANDARD_AIR, |d| {
        context.checked(d, Bound::Within(0.3, 2.0), "air density of the curve")
    });
    let curve = curve(context, points, spec.points.span)?;
    let (shut_off, free_flow) = ends(&curve);
    let bound = Bound::Within(1.0, 1500.0);
    let voltage = spec.voltage.map(|v| context.checked(v, bound, "voltage of the curve"));
    Some(FanData { curve: Arc::new(curve), density, shut_off, free_flow, voltage })
}

/// A fan from its label.
pub(super) fn labelled_fan(
    context: &mut Context<'_>,
    address: &str,
    shut_off: AirPressureDifference,
    free_flow: AirFlow,
) -> Option<FanData> {
    let [rise, flow] = label(
        context,
        address,
        (shut_off, Bound::Within(1.0, 2e4)),
        (free_flow, Bound::Within(1e-3, 100.0)),
    );
    let curve = Curve::falling_ends(label_points(rise, flow)).ok()?;
    Some(FanData {
        curve: Arc::new(curve),
        density: STANDARD_AIR,
        shut_off: rise,
        free_flow: flow,
        voltage: None,
    })
}

/// The two numbers of a label: pressure at shut-off and free flow.
fn label<P: Given, Q: Given>(
    context: &mut Context<'_>,
    address: &str,
    (shut_off, pressures): (P, Bound),
    (free_flow, flows): (Q, Bound),
) -> [f64; 2] {
    let rise = (P::KIND, shut_off.si(), shut_off.span());
    let rise =
        context.structural(&format!("{address}:shut_off"), rise, pressures, "pressure at shut-off");
    let flow = (Q::KIND, free_flow.si(), free_flow.span());
    let flow = context.structural(&format!("{address}:free_flow"), flow, flows, "free flow");
    [rise, flow]
}

/// The points of a curve, with everything that can be wrong with them said.
fn points<P: Given, Q: Given>(
    context: &mut Context<'_>,
    spec: &Spanned<Vec<(Q, P)>>,
    rising: bool,
    what: &str,
) -> Option<Vec<[f64; 2]>> {
    let mut points: Vec<[f64; 2]> = Vec::with_capacity(spec.value.len());
    let before = context.problems.error_count();
    if spec.value.len() < 3 {
        context.error(spec.span, "a curve needs at least three points", "too few points");
        return None;
    }
    let still = spec.value[0].1.si();
    for (flow, rise) in &spec.value {
        if still > 0.0 && rise.si() < -still {
            let message =
                format!("the {what} lies further below zero here than it begins above it");
            context.error(rise.span(), message, "look at its sign and unit");
        }
        let q = context.checked(*flow, Bound::NotNegative, "flow of a curve point");
        let h = rise.si();
        if q.is_nan() || h.is_nan() || flow.si().is_nan() {
            // What could not be read has been said; its neighbours are not to blame.
            continue;
        }
        if let Some([q0, h0]) = points.last().copied() {
            if q <= q0 {
                context.error(
                    flow.span(),
                    "flows along a curve must grow",
                    "not above the one before",
                );
            } else if h > h0 && !rising {
                context.problems.push(
                    Problem::error(rise.span(), format!("the {what} rises with flow here"))
                        .label("above the point before")
                        .help("a falling curve is usual; add `rising: true` if it really rises"),
                );
            }
        }
        points.push([q, h]);
    }
    if points.len() < spec.value.len() {
        context.structural += 1;
        return None;
    }
    if points[0][1] <= 0.0 {
        let span = spec.value[0].1.span();
        context.error(
            span,
            format!("the {what} at the first point must be above zero"),
            "not above zero",
        );
    }
    (context.problems.error_count() == before).then_some(points)
}

fn curve(context: &mut Context<'_>, points: Vec<[f64; 2]>, span: Span) -> Option<Curve> {
    match Curve::falling_ends(points) {
        Ok(curve) => Some(curve),
        Err(error) => {
            let error: CurveError = error;
            context.error(span, error.to_string(), "this curve");
            None
        }
    }
}

/// Rise without flow, and the flow at which the rise is gone, by continuation if need be.
fn ends(curve: &Curve) -> (f64, f64) {
    let shut_off = curve.value(0.0);
    let (_, last) = curve.range();
    let (mut low, mut high) = (0.0, last);
    while curve.value(high) > 0.0 && high < 1e3 * last {
        high *= 1.5;
    }
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if curve.value(middle) > 0.0 { low = middle } else { high = middle }
    }
    (shut_off, high)
}
