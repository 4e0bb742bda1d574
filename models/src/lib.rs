//! The physics of cooling circuits, in SI units: fluids, laws, parts, cores, fans, circuits, and
//! the operating point and duty cycle of a whole model.

#![forbid(unsafe_code)]

pub mod air;
pub mod body;
pub mod charge;
pub mod circuit;
pub mod crossings;
pub mod cycle;
pub mod exchanger;
pub mod explain;
pub mod fluids;
pub mod gauge;
pub mod govern;
pub mod ids;
pub mod inputs;
pub mod instance;
pub mod kind;
pub mod laws;
mod lifts;
pub mod model;
pub mod parts;
pub mod point;
pub mod reasons;
pub mod results;
pub mod rules;
pub mod simulate;
pub mod skin;
pub mod slots;
pub mod solve;
pub mod supply;
pub mod sway;
pub mod switch;
pub mod tangent;
pub mod uncertainty;
pub mod wall;
pub mod warnings;
pub mod watch;
pub mod waypoint;
