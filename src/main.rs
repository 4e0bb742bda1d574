//! coolwright.
fn main() {}
