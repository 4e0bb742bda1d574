//! Thermometers in a sheath, which lag behind their coolant.

/// Share of the rated film that is left on a sheath in coolant that stands still.
pub const STILL_FILM: f64 = 0.1;
/// Lags below this, s, are none.
pub const LEAST_LAG_S: f64 = 1e-3;

/// How fast a thermometer follows what it sees, 1/s, with `share` of the flow at which its lag holds.
///
/// 1/τ = √x/τ₀, no less than a tenth of 1/τ₀
///
/// One lump of metal behind a film that goes with the root of the flow. `lag_s` from 1 ms.
///
/// Source: Hilpert 1933, Forsch. Ing.-Wes. 4, 215: Nu ∝ Re^0.466 across a cylinder at Re 40 to 4000 (from memory);
/// that the film alone decides, and what is left at rest: common practice, no source.
pub fn follows_per_s(lag_s: f64, share: f64) -> f64 {
    share.abs().sqrt().max(STILL_FILM) / lag_s.max(LEAST_LAG_S)
}
