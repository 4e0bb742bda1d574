//! Problems with known answers, shared by the benches and by the tests that hold them right.
//!
//! Networks are built of the models' own parts and solved as `point` solves a circuit; the pull states
//! its own balances. Their data are invented. Their answers were worked out apart from this program, by
//! Newton iterations on flows and pressures of the same laws (Churchill 1977, Gardel 1957, sudden
//! changes of bore, two Hermite pump curves), and those of the pull by four other integrators.

#![allow(dead_code)] // Each bench takes only some of them.

pub(crate) mod grid;
pub(crate) mod maker;
pub(crate) mod problem;
pub(crate) mod pull;
pub(crate) mod split;
pub(crate) mod sweep;
