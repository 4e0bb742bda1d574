//! Studies on a built case: limits and their verdict, and what its assumptions could change.

mod assumed;
mod findings;
mod limits;
mod ready;

pub use assumed::{Influence, influences};
pub use findings::{Finding, Findings, Severity, findings};
pub use limits::{Bound, Judged, JudgedOverTime, Limit, built_in, judge, judge_history, resolve};
pub use ready::{Readiness, ReadyTarget, assumed_targets, readiness, ready_targets};
