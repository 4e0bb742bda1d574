//! What can be wrong with a fluid asked for, and what can be doubtful about a value given.

use std::fmt;

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
        /// The unit of the three numbers; empty for a plain ratio.
        unit: &'static str,
    },
}

impl fmt::Display for FluidError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::OutOfRange { quantity, value, lowest, highest, unit } = self;
        let gap = if unit.is_empty() { "" } else { " " };
        write!(
            f,
            "{quantity} of {value}{gap}{unit} is outside {lowest:.4} to {highest:.4}{gap}{unit}"
        )
    }
}

impl std::error::Error for FluidError {}

/// Passes a value on if it lies in a range.
pub(super) fn within(
    quantity: &'static str,
    value: f64,
    (lowest, highest): (f64, f64),
    unit: &'static str,
) -> Result<f64, FluidError> {
    // Written so that NaN fails.
    if value >= lowest && value <= highest {
        Ok(value)
    } else {
        Err(FluidError::OutOfRange { quantity, value, lowest, highest, unit })
    }
}

/// A coolant temperature at which the properties are less sure than their source promises.
///
/// All temperatures are in K; [`fmt::Display`] gives °C.
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

impl fmt::Display for FluidWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let c = |kelvin: f64| kelvin - 273.15;
        match *self {
            Self::BelowFreezing { temperature_k, freezing_k } => write!(
                f,
                "coolant temperature {:.1} °C is below the freezing point {:.1} °C",
                c(temperature_k),
                c(freezing_k)
            ),
            Self::BelowSource { temperature_k, range_k: (low, high) } => write!(
                f,
                "coolant temperature {:.1} °C is below the range {:.1} to {:.1} °C of the property \
                 source: extrapolated",
                c(temperature_k),
                c(low),
                c(high)
            ),
            Self::AboveSource { temperature_k, range_k: (low, high) } => write!(
                f,
                "coolant temperature {:.1} °C is above the range {:.1} to {:.1} °C of the property \
                 source: extrapolated",
                c(temperature_k),
                c(low),
                c(high)
            ),
            Self::AboveTable { temperature_k, range_k: (low, high) } => write!(
                f,
                "coolant temperature {:.1} °C is above the range {:.1} to {:.1} °C for which \
                 properties are calculated: continued as straight lines",
                c(temperature_k),
                c(low),
                c(high)
            ),
        }
    }
}
