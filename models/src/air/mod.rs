//! The air side: cores, fans and the way the air takes through them.

mod core;
mod fan;
mod path;

pub(crate) use core::plug_flow_factor;

pub use core::{
    Core, CoreError, CoreRating, CoreSide, Exchange, FILM_AT_REST, RATING_AIR_HEAT_CAPACITY,
    RatedPoint, Resistances, UaTable,
};
pub use fan::Fan;
pub use path::{AirFlow, AirLaws, AirPath, Facing};
