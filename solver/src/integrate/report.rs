//! What can be asked of an integration, and what it answers.

use std::fmt;

/// Error tolerated in each state beside the relative one.
#[derive(Clone, Debug, PartialEq)]
pub enum Absolute {
    /// The same for every state.
    Same(f64),
    /// One for each state.
    Each(Vec<f64>),
}

/// How accurate, and within which bounds.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Error per step relative to the size of each state. Default 1e-5; accepted 1e-12 to 1e-1.
    pub relative: f64,
    /// Error per step beside it, in the units of the states. Default 1e-6 for all; accepted above
    /// zero. The error counted is that of the worst state, not a mean.
    pub absolute: Absolute,
    /// Longest step, s. Default none. Switches are looked for at four points of every step: a
    /// pair of crossings closer than that can be missed, and this bounds it.
    pub max_step_s: f64,
    /// Shortest step, s, below which the integration gives up. Default 1e-10.
    pub min_step_s: f64,
    /// Most steps in one call of advance. Default 1,000,000.
    pub max_steps: usize,
    /// First step, s. Default: found from the rates.
    pub first_step_s: Option<f64>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            relative: 1e-5,
            absolute: Absolute::Same(1e-6),
            max_step_s: f64::INFINITY,
            min_step_s: 1e-10,
            max_steps: 1_000_000,
            first_step_s: None,
        }
    }
}

impl Settings {
    pub(super) fn fault(&self, states: usize) -> Option<&'static str> {
        let positive = |x: &f64| x.is_finite() && *x > 0.0;
        let absolute = match &self.absolute {
            Absolute::Same(tolerance) => positive(tolerance),
            Absolute::Each(each) => each.len() == states && each.iter().all(positive),
        };
        if !(1e-12..=0.1).contains(&self.relative) {
            Some("the relative tolerance must lie between 1e-12 and 1e-1")
        } else if !absolute {
            Some("there must be one absolute tolerance above zero for each state, or one for all")
        } else if !positive(&self.min_step_s) || self.max_step_s.is_nan() {
            Some("the step bounds must be above zero")
        } else if self.max_step_s < self.min_step_s {
            Some("the longest step is shorter than the shortest")
        } else if self.first_step_s.is_some_and(|step| !positive(&step)) {
            Some("the first step must be above zero")
        } else if self.max_steps == 0 {
            Some("max_steps must be at least 1")
        } else {
            None
        }
    }
}

/// A system cannot give its rates. What is behind it the system keeps for itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Interrupt {
    /// Not at this state; a shorter step may avoid it.
    Shorten,
    /// The integration has to end.
    Stop,
}

/// Where an advance ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// At the time asked for.
    Reached,
    /// At a crossing. Time and state are those just beyond it, where the function has its new sign.
    Crossed {
        /// Which switch function.
        switch: usize,
        /// Whether it went from negative to positive.
        rising: bool,
    },
}

/// Why an integration cannot go on.
#[derive(Clone, Debug, PartialEq)]
pub enum Failure {
    /// A setting is outside its accepted range.
    Settings(&'static str),
    /// The Jacobian's pattern is unusable.
    Pattern(crate::sparse::SparseError),
    /// The time asked for lies before the present one, or is no number.
    Backward {
        /// The present time, s.
        from_s: f64,
        /// The time asked for, s.
        to_s: f64,
    },
    /// The system ended it.
    Stopped {
        /// When, s.
        at_s: f64,
    },
    /// A rate is not a finite number.
    NotFinite {
        /// When, s.
        at_s: f64,
        /// Which state's.
        state: usize,
    },
    /// The step fell below the shortest.
    StepTooSmall {
        /// When, s.
        at_s: f64,
        /// The step, s.
        step_s: f64,
        /// The state with the largest error, or that moved most in the last correction.
        state: usize,
    },
    /// The most steps were taken.
    TooManySteps {
        /// How far it came, s.
        at_s: f64,
        /// The last step, s.
        step_s: f64,
    },
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Settings(fault) => f.write_str(fault),
            Self::Pattern(error) => write!(f, "the pattern of the Jacobian is unusable: {error}"),
            Self::Backward { from_s, to_s } => write!(f, "cannot go from {from_s} s to {to_s} s"),
            Self::Stopped { at_s } => write!(f, "the system stopped at {at_s} s"),
            Self::NotFinite { at_s, state } => {
                write!(f, "the rate of state {state} is not a finite number at {at_s} s")
            }
            Self::StepTooSmall { at_s, step_s, state } => {
                write!(f, "the step fell to {step_s} s at {at_s} s, because of state {state}")
            }
            Self::TooManySteps { at_s, step_s } => {
                write!(f, "too many steps: at {at_s} s with steps of {step_s} s")
            }
        }
    }
}

impl std::error::Error for Failure {}

/// What an integration has cost so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Statistics {
    /// Steps taken.
    pub steps: usize,
    /// Steps refused because of their error.
    pub rejected: usize,
    /// Steps refused because a stage did not converge.
    pub failed: usize,
    /// Evaluations of the rates.
    pub rhs_calls: usize,
    /// Evaluations of the Jacobian.
    pub jacobians: usize,
    /// Factorisations.
    pub factorisations: usize,
}
