//! Studies on a built case: limits and their verdict, and what its assumptions could change.

mod addresses;
mod assumed;
mod bores;
pub mod chance;
mod failing;
mod failures;
mod findings;
mod frost;
mod gauged;
mod going;
mod in_pulls;
mod judged;
mod lasting;
pub mod learn;
mod levers;
mod limits;
mod load;
mod moment;
mod moves;
mod ready;
mod rounds;
pub mod sheets;
mod sizing;
mod sliders;
mod sway;
mod switching;

pub use addresses::{addresses_of, follows};
pub use assumed::{Influence, Off};
pub use bores::{bore_from, next_bore};
pub use failing::{coming_at, last_pull_s};
pub use failures::{Failure, failures, pairs};
pub use findings::{Finding, Findings, Severity, findings, looked_at, variant_with_faults};
pub(crate) use gauged::own_error;
pub use going::Going;
pub use in_pulls::InPull;
pub use judged::{
    Judged, Standing, Turn, Unjudged, Way, judge, judge_history, judge_moment, stands,
};
pub use lasting::{FINE, FINE_S, Lasting, Lasts, Trial, edge, lasts};
pub use levers::{Lever, Side, fan_paths, levers};
pub use limits::{Bound, Limit, built_in, loosened, resolve, watches};
pub use load::{Load, WORKS, coldest_air_k, full_power_w, values_in};
pub use moment::Moment;
pub use moves::{Move, moves};
pub use ready::{
    Readiness, ReadyTarget, assumed_targets, hardly, passed_over, pulling, pulls, readiness,
    ready_targets,
};
pub use rounds::Rounds;
pub use sizing::{Beyond, Edge, Range, Room, Sample, Sizing, Window, sizing, usual_range};
pub use sliders::{Slider, slider, sliders};
pub use sway::{Kept, cycle_laws, point_laws, sway_cycle, sway_point};
pub use switching::add_switching;
