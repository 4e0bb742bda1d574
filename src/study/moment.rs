//! Which moment a survey is of.

/// Which moment is surveyed.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Moment {
    /// Full power, or the share of it that the case gives for the point, kept up for good.
    #[default]
    Full,
    /// The settings of a phase, kept up for good.
    Phase(String),
    /// A time of the duty cycle, s after its start.
    At(f64),
}
