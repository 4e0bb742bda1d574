//! The air side: cores, fans and the networks of air that cross them.

mod built;
mod core;
mod falls;
mod fan;
mod limiting;
mod mixing;
mod network;
mod plan;
mod table;
mod ways;

pub(crate) use core::{LEAST_CAPACITY, plug_flow_factor};

pub use built::{Built, BuiltFins, BuiltTubes, Louvres, Sizes};
pub use core::{
    AirTemperatures, Core, CoreError, CoreRating, CoreSide, Exchange, FILM_AT_REST, Inside,
    Outside, Piece, RATING_AIR_HEAT_CAPACITY, RatedPoint, Resistances,
};
pub use fan::Fan;
pub use limiting::Limiting;
pub use network::{Around, AtFan, AtLoss, Facing, GasNetwork, Met};
pub use plan::{AirFall, AirPath, Backflow, Element, Lane, Plenum};
pub use table::{FallTable, UaTable};
pub use ways::{Stand, Way, WayPlan};
