//! Studies on a built case: limits and their verdict, and what its assumptions could change.

mod assumed;
mod findings;
mod limits;
mod ready;

pub use assumed::{Influence, influences};
pub use findings::{Finding, Findings, Severity, findings};
pub use limits::{Bound, Judged, JudgedOverTime, Limit, built_in, judge, judge_history, resolve};
pub use ready::{Readiness, ReadyTarget, assumed_targets, readiness, ready_targets};

use coolwright_cases::quantity::Kind;
use coolwright_models::results::Measure;

/// The kind of quantity by which a result is read and shown.
pub fn kind_of(measure: Measure) -> Kind {
    match measure {
        Measure::MassFlow => Kind::MassFlow,
        Measure::VolumeFlow => Kind::VolumeFlow,
        Measure::AirFlow => Kind::AirFlow,
        Measure::Velocity => Kind::Velocity,
        Measure::GaugePressure => Kind::GaugePressure,
        Measure::AbsolutePressure => Kind::AbsolutePressure,
        Measure::Length => Kind::Length,
        Measure::Volume => Kind::Volume,
        Measure::PressureDifference => Kind::PressureDifference,
        Measure::AirPressure => Kind::AirPressureDifference,
        Measure::Temperature => Kind::Temperature,
        Measure::TemperatureDifference => Kind::TemperatureDifference,
        Measure::Heat => Kind::HeatRate,
        Measure::ElectricPower => Kind::Power,
        Measure::Current => Kind::Current,
        Measure::Head => Kind::Distance,
        Measure::RotationalSpeed => Kind::RotationalSpeed,
        Measure::Conductance => Kind::Conductance,
        Measure::Mass => Kind::Mass,
        Measure::Number => Kind::Number,
    }
}
