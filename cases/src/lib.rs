//! The case file.
