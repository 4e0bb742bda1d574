//! The air side: cores, fans and the networks of air that cross them.

mod core;
mod fan;
mod mixing;
mod network;
mod plan;

pub use core::{Core, CoreError, CoreRating, CoreSide, Exchange, RatedPoint, Resistances, UaTable};
pub use fan::Fan;
pub use network::{Around, AtFan, Facing, GasNetwork, Met};
pub use plan::{AirPath, Backflow, Element, Lane, Plenum};
