//! When something counts as standing still, in one place. What must not depend on rounding asks for
//! little, what is told to a reader for more.

/// A flow below this, kg/s, carries no heat: it would take weeks to change the coolant in a hose, and
/// the sign of a flow of the size of rounding would decide which end it comes from. The heat that is
/// left out is below a milliwatt.
pub const CARRIES_NO_HEAT: f64 = 1e-9;

/// All flows of a circuit below this, kg/s, a drop an hour: nothing moves in it.
pub const NOTHING_MOVES: f64 = 1e-8;

/// A flow of coolant or air below this, kg/s, is no way out for the heat of a circuit: at a hundred
/// kelvins it takes less than half a watt.
pub const NO_WAY_OUT: f64 = 1e-6;

/// Less heat than this into a circuit, W, is none: in a year it would warm a litre by a few kelvins.
pub const NO_HEAT_W: f64 = 1e-3;

/// Less pressure than this, Pa, moves no air worth the name: below it a search for the balance ends in
/// rounding.
pub const MOVES_NO_AIR_PA: f64 = 1e-6;

/// Volume flow through a pump, m³/s, up to which it is not driven backwards: 0.01 L/min; what leaks
/// through a check valve is less.
pub const NOT_BACKWARDS_M3_S: f64 = 0.01 / 60e3;

/// A flow as far as it carries heat, kg/s.
pub fn carrying(flow_kg_s: f64) -> f64 {
    if flow_kg_s.abs() < CARRIES_NO_HEAT { 0.0 } else { flow_kg_s }
}
