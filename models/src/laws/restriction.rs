//! Losses of what narrows a run on purpose: orifices, and valves with an opening.

use coolwright_solver::scalar::Scalar;

use super::fittings::{rated_fall, signed_head};

/// Loss of a thin sharp-edged orifice in a straight bore, on the velocity head in the bore, −.
///
/// K = ((1 + 0.707·√(1 − f) − f)/f)², f = (d/D)²
///
/// `area_ratio` f of hole over bore, above 0; at and above 1 nothing is left of the plate and K
/// is 0. Turbulent flow (Reynolds number of the hole above 10⁴, from memory). Within 5 % of the
/// permanent loss of ISO 5167-2 for orifice plates with d/D from 0.2 to 0.75. A bevelled, rounded or
/// thick edge loses less: a hole drilled through a thick plug about half (common practice, no
/// source).
///
/// Source: Idelchik, Handbook of Hydraulic Resistance, sharp-edged orifice in a straight pipe.
pub fn orifice_loss<S: Scalar>(area_ratio: S) -> S {
    if area_ratio.value() >= 1.0 {
        return S::from(0.0);
    }
    let rest = -area_ratio + 1.0;
    let root = (rest + rest.sqrt() * 0.707) / area_ratio;
    root * root
}

/// Fall of total pressure at a sharp-edged orifice in a straight bore, Pa, for both directions.
///
/// Δp = K·8·m·|m|/(π²·ρ·D⁴) + 24·(1 − f)·μ·m/(ρ·d³), K from [`orifice_loss`]
///
/// The second term is the creeping flow through a round hole in a wide thin wall: it makes value
/// and slope finite at rest. The factor (1 − f), which lets it vanish with the plate, has no source.
/// The sum meets both ends for small f; between them (Reynolds number of the hole from 1 to 10⁴) it
/// has not been held against measurements.
///
/// `flow_kg_s` signed, `density` kg/m³, `viscosity` Pa·s, `bore_m` D and `hole_m` d in m.
///
/// Sources: [`orifice_loss`]; Sampson 1891, Phil. Trans. R. Soc. A 182, 449: Q = Δp·d³/(24·μ).
pub fn orifice_fall<S: Scalar>(flow_kg_s: S, density: S, viscosity: S, bore_m: S, hole_m: S) -> S {
    let across = hole_m / bore_m;
    let ratio = across * across;
    if ratio.value() >= 1.0 {
        return flow_kg_s * 0.0;
    }
    let slow = viscosity * flow_kg_s * (-ratio + 1.0) * 24.0 / (density * hole_m * hole_m * hole_m);
    orifice_loss(ratio) * signed_head(flow_kg_s, density, bore_m) + slow
}

/// How the flow through a valve goes with its opening when the fall across it stays the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Inherent {
    /// φ = φ₀ + (1 − φ₀)·h: equal steps of the opening give equal steps of flow. The curtain
    /// π·d·L around the edge of a poppet grows so with its lift L (geometry).
    Linear,
    /// φ = φ₀^(1 − h): equal steps of the opening give equal percentages of change.
    EqualPercentage,
}

/// Share of the full-open flow that a valve passes at an opening and equal fall, −.
///
/// φ = φ₀ + (1 − φ₀)·h, or φ = φ₀^(1 − h), by [`Inherent`]
///
/// `open` h from 0 (shut) to 1 (full open); `leak` φ₀ above 0 and below 1 is the share at h = 0.
/// Both formulas go on outside 0 to 1, except that the linear one stops at φ₀ for h below 0, where
/// it would turn negative.
///
/// Source: IEC 60534-1, inherent flow characteristics: Φ = Φ₀ + m·h and Φ = Φ₀·e^(n·h), with m and n
/// so that Φ = 1 at h = 1.
pub fn opening_share<S: Scalar>(inherent: Inherent, open: S, leak: S) -> S {
    match inherent {
        Inherent::Linear if open.value() < 0.0 => leak,
        Inherent::Linear => leak + (-leak + 1.0) * open,
        Inherent::EqualPercentage => (leak.ln() * (-open + 1.0)).exp(),
    }
}

/// Fall of total pressure of a valve known by its fall when full open, Pa, for both directions.
///
/// Δp = Δ·(m/(ρ·Q·φ))·|m/(ρ·Q·φ)|, linear near rest as [`rated_fall`] is
///
/// `flow_kg_s` signed, `density` kg/m³; `rated_fall_pa` Δ at the volume flow `rated_flow_m3_s` Q
/// full open; `share` φ of [`opening_share`]. Turbulent flow, no cavitation.
///
/// Source: IEC 60534-2-1, Q = Kv·√(Δp/ρ) with Kv = φ·Kvs.
pub fn valve_fall<S: Scalar>(
    flow_kg_s: S,
    density: S,
    rated_fall_pa: S,
    rated_flow_m3_s: S,
    share: S,
) -> S {
    rated_fall(flow_kg_s, density, rated_fall_pa, rated_flow_m3_s * share, 2.0)
}
