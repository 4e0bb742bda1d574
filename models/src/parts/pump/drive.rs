//! What turns a pump, and how fast that lets it turn.

use coolwright_solver::scalar::Scalar;

use crate::slots::{Reader, Slot};
use crate::supply::speed_allowed;

/// What turns a pump.
#[derive(Clone, Copy, Debug)]
pub enum PumpDrive {
    /// A motor of its own.
    Electric(ElectricDrive),
    /// The engine, through a belt or gears.
    Engine(EngineDrive),
}

/// An electric drive: the speed is the least of what is commanded, what the voltage allows and what
/// the current limit allows.
#[derive(Clone, Copy, Debug)]
pub struct ElectricDrive {
    /// Commanded speed over the speed of the curve; 0 is stopped.
    pub commanded: Slot,
    /// Voltage of the supply, V.
    pub voltage: Slot,
    /// Voltage that gives the speed of the curve, or more where more is commanded, V: the voltage allows
    /// U/U₁ of it. `None` where a
    /// controller holds the speed at any voltage.
    pub rated_voltage: Option<Slot>,
    /// Most current that it draws, A: above it the speed falls until P(s, Q) = U I.
    pub current_limit: Option<Slot>,
}

/// A drive from the engine: s = ratio · n_engine/n_curve.
#[derive(Clone, Copy, Debug)]
pub struct EngineDrive {
    /// Turns of the pump for one of the engine; 0 where the belt is off.
    pub ratio: Slot,
    /// Speed of the engine, rad/s.
    pub engine_speed: Slot,
    /// Speed of the curve, rad/s.
    pub curve_speed: Slot,
}

/// What holds a pump at its speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpeedHeld {
    /// The command.
    Command,
    /// The voltage of the supply.
    Voltage,
    /// The limit of its current.
    CurrentLimit,
    /// The engine.
    Engine,
}

impl SpeedHeld {
    /// All of them, in the order of their numbers.
    pub const ALL: [Self; 4] = [Self::Command, Self::Voltage, Self::CurrentLimit, Self::Engine];

    /// Its number among results, from 1.
    pub fn number(self) -> f64 {
        match self {
            Self::Command => 1.0,
            Self::Voltage => 2.0,
            Self::CurrentLimit => 3.0,
            Self::Engine => 4.0,
        }
    }

    /// What it is, in a word or two.
    pub fn word(self) -> &'static str {
        match self {
            Self::Command => "command",
            Self::Voltage => "voltage",
            Self::CurrentLimit => "current limit",
            Self::Engine => "engine",
        }
    }
}

impl PumpDrive {
    /// The highest speed over that of the curve that the drive gives, whatever the current, and what
    /// holds it there.
    pub(super) fn most_speed<S: Scalar>(&self, values: &Reader<'_, S>) -> (S, SpeedHeld) {
        match self {
            Self::Electric(drive) => {
                let fed = (drive.voltage, drive.rated_voltage);
                let (speed, by_voltage) = speed_allowed(values, drive.commanded, fed);
                (speed, if by_voltage { SpeedHeld::Voltage } else { SpeedHeld::Command })
            }
            Self::Engine(drive) => {
                let speed = values.get(drive.engine_speed) * values.get(drive.ratio);
                (speed / values.get(drive.curve_speed), SpeedHeld::Engine)
            }
        }
    }

    /// The most power that the current limit lets it take, W.
    pub(super) fn power_allowed<S: Scalar>(&self, values: &Reader<'_, S>) -> Option<S> {
        let Self::Electric(drive) = self else { return None };
        Some(values.get(drive.current_limit?) * values.get(drive.voltage))
    }

    /// Voltage of the supply that it draws current from, V; `None` where the engine turns it.
    pub fn supply(&self) -> Option<Slot> {
        match self {
            Self::Electric(drive) => Some(drive.voltage),
            Self::Engine(_) => None,
        }
    }
}
