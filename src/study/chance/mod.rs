//! With what chance limits hold where numbers are not known exactly: inputs, draws, intervals, and which inputs drive it.

mod indices;
mod inputs;
mod interval;
mod laws;
mod spread;

pub use indices::{Estimate, Shares, shares};
pub use inputs::{Input, Inputs, Source, inputs, law_name, spread_of};
pub use interval::{NORMAL_95, quantile_of, wilson};
pub use laws::{LawMoves, Laws, Normals};
pub use spread::{MOST_POINTS, Spread, coordinate, quantile, side};
