//! What can be wrong with a fluid asked for, and what can be doubtful about a value given.

use crate::kind::Kind;

/// A fluid or a site that cannot be built.
#[derive(Clone, Debug, PartialEq)]
pub enum FluidError {
    /// A value lies outside the range that a formulation or a definition allows, or is no number.
    OutOfRange {
        /// What the value is, such as "glycol share by volume".
        quantity: &'static str,
        /// The value given.
        value: f64,
        /// The lowest value allowed.
        lowest: f64,
        /// The highest value allowed.
        highest: f64,
        /// What the three numbers are.
        kind: Kind,
    },
}

/// Passes a value on if it lies in a range.
pub(super) fn within(
    quantity: &'static str,
    value: f64,
    (lowest, highest): (f64, f64),
    kind: Kind,
) -> Result<f64, FluidError> {
    // Written so that NaN fails.
    if value >= lowest && value <= highest {
        Ok(value)
    } else {
        Err(FluidError::OutOfRange { quantity, value, lowest, highest, kind })
    }
}

/// A coolant temperature at which the properties are less sure than their source promises.
///
/// All temperatures are in K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FluidWarning {
    /// Below the freezing point: properties are those of a liquid that would not exist.
    BelowFreezing {
        /// The temperature asked for.
        temperature_k: f64,
        /// The freezing point.
        freezing_k: f64,
    },
    /// Below the range of the source formulation, though above the freezing point.
    BelowSource {
        /// The temperature asked for.
        temperature_k: f64,
        /// The range of the source.
        range_k: (f64, f64),
    },
    /// Above the range of the source formulation: extrapolated on a physical form.
    AboveSource {
        /// The temperature asked for.
        temperature_k: f64,
        /// The range of the source.
        range_k: (f64, f64),
    },
    /// Above the range that is calculated at all: continued as straight lines.
    AboveTable {
        /// The temperature asked for.
        temperature_k: f64,
        /// The range calculated.
        range_k: (f64, f64),
    },
}

/// Which end of a coolant's range was left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Left {
    Frozen,
    Cold,
    Hot,
}

impl FluidWarning {
    /// The temperature asked for, K.
    pub fn temperature_k(&self) -> f64 {
        match *self {
            Self::BelowFreezing { temperature_k, .. }
            | Self::BelowSource { temperature_k, .. }
            | Self::AboveSource { temperature_k, .. }
            | Self::AboveTable { temperature_k, .. } => temperature_k,
        }
    }

    fn left(&self) -> Left {
        match self {
            Self::BelowFreezing { .. } => Left::Frozen,
            Self::BelowSource { .. } => Left::Cold,
            Self::AboveSource { .. } | Self::AboveTable { .. } => Left::Hot,
        }
    }

    /// Whether another says that the same end of the range was left.
    pub fn is_like(&self, other: &Self) -> bool {
        self.left() == other.left()
    }

    /// Of two that are alike the one that is farther out.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        let hotter = other.temperature_k() > self.temperature_k();
        if (self.left() == Left::Hot) == hotter { other } else { self }
    }
}
