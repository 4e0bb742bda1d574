//! What the papers for shop and stand say: what to order and to mix, where ports are, how to fill, to test, to wire,
//! and what each gauge shows at each step on the stand.

mod coolant;
mod filling;
mod order;
mod ports;
mod pressing;
mod stand;
mod wiring;

pub use coolant::{CoolantOf, coolants};
pub use filling::{Filling, Summit, fillings};
pub use order::{Fitting, HoseCut, Order, order};
pub use ports::{Port, Purpose, ports};
pub use pressing::{PressureTest, pressure_tests};
pub use stand::{Card, OnGauge, Plan, Step, plans, stand};
pub use wiring::{LOW_V, RunOn, SURGE, Size, WAYS_M, Wire, run_on, wires};

use coolwright_cases::lower::Ready;
use coolwright_models::point::OperatingPoint;
use coolwright_models::results::Results;
use coolwright_models::solve::SolveError;

use super::findings::at_start;

/// A case as the papers see it.
#[derive(Clone, Copy)]
pub struct Papers<'a> {
    /// The case.
    pub ready: &'a Ready,
    /// Its results at the temperatures of the start, pumps as set.
    pub start: &'a Results,
    /// Its operating point.
    pub point: &'a OperatingPoint,
}

/// Whether a circuit is open to the outside.
fn is_open(ready: &Ready, circuit: usize) -> bool {
    use coolwright_models::circuit::Joint;
    let junctions = &ready.model.circuits[circuit].junctions;
    junctions
        .iter()
        .any(|junction| matches!(junction.joint, Joint::Held { .. } | Joint::Fed { .. }))
}

/// The results at the temperatures of the start.
///
/// # Errors
/// When the flows do not come to rest.
pub fn results_at_start(ready: &Ready) -> Result<Results, SolveError> {
    at_start(ready, ready.model.values.clone())
}
