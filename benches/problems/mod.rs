//! Problems with known answers, shared by the benches and by the test that holds them right.

pub(crate) mod split;
