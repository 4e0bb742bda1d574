//! coolwright.
