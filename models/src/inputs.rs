//! What comes from outside: inputs that drive sources and machines, machines that take commands, and
//! how a number goes over time.

use std::collections::BTreeMap;

use crate::air::AirPath;
use crate::circuit::Circuit;
use crate::ids::Id;
use crate::parts::PumpDrive;
use crate::slots::{Slot, Values};

/// Power at the crank or of the motors, W.
pub const POWER: &str = "power";
/// Share of full power.
pub const FULL_SHARE: &str = "full_share";
/// Share of full boost.
pub const BOOST: &str = "boost";
/// Road speed, m/s.
pub const ROAD_SPEED: &str = "road_speed";
/// Speed of the engine that drives pumps, rad/s.
pub const ENGINE_SPEED: &str = "engine_speed";
/// Supply voltage, V.
pub const VOLTAGE: &str = "voltage";

/// A number from outside that drives sources or machines.
#[derive(Clone, Debug)]
pub struct Input {
    /// Its name.
    pub name: String,
    /// Its number.
    pub slot: Slot,
}

/// All inputs of a model: an open list. What is driven keeps the slot of its input, so nothing else
/// has to know which inputs there are.
#[derive(Clone, Debug, Default)]
pub struct Inputs(Vec<Input>);

impl Inputs {
    /// Adds an input.
    pub fn add(&mut self, name: &str, slot: Slot) {
        self.0.push(Input { name: name.to_owned(), slot });
    }

    /// All of them, in the order in which they were added.
    pub fn list(&self) -> &[Input] {
        &self.0
    }

    /// The slot of an input; `None` where there is none of that name.
    pub fn slot(&self, name: &str) -> Option<Slot> {
        self.0.iter().find(|input| input.name == name).map(|input| input.slot)
    }

    /// The number of an input; zero where there is none of that name.
    pub fn value(&self, values: &Values, name: &str) -> f64 {
        self.slot(name).map_or(0.0, |slot| values.get(slot))
    }
}

/// What kind of machine takes a command.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MachineKind {
    /// A pump with a motor of its own.
    Pump,
    /// A fan.
    Fan,
}

/// What commands the speed of a machine, all over the speed of its curve.
///
/// A phase of a duty cycle scales what the machine is set to, and a machine that is set to stand still
/// stands still, whatever a phase asks for: a failure stays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Command {
    /// What the machine is set to; 0 where it is stopped or has failed.
    pub own: Slot,
    /// What a phase sets this machine to instead; below zero where it does not.
    pub instead: Slot,
    /// What a phase asks of all machines of its kind, as a share of what each is set to.
    pub share: Slot,
    /// How long the machine runs on after a switch or a phase has stopped it, s; not at all where `None`.
    pub run_on: Option<Slot>,
}

impl Command {
    /// A machine that no phase sets to anything else.
    pub const NOT_SET: f64 = -1.0;

    /// The speed that follows: own · share; where a phase sets the machine, that times share; 0 where
    /// own is 0.
    pub fn speed(&self, values: &Values) -> f64 {
        let [own, instead, share] = [self.own, self.instead, self.share].map(|s| values.get(s));
        if own <= 0.0 {
            return 0.0;
        }
        share * if instead < 0.0 { own } else { instead }
    }
}

/// A machine that takes a command of its speed.
#[derive(Clone, Debug)]
pub struct Machine {
    /// Its path, as in `charge/loop/pump` or `air_paths/front/fan.2`.
    pub name: String,
    /// Which thing of the model it is.
    pub id: Id,
    /// What it is.
    pub kind: MachineKind,
    /// The speed that follows from its command, before its voltage has its say; 0 is stopped.
    pub speed: Slot,
    /// What commands it.
    pub command: Command,
}

impl Machine {
    /// The machines of a model: the electric pumps of its circuits, then its fans; `commands` by the
    /// slots of the speeds that follow from them.
    ///
    /// # Panics
    /// When a machine has no command.
    pub fn all(
        circuits: &[Circuit],
        air_paths: &[AirPath],
        commands: &BTreeMap<Slot, Command>,
    ) -> Vec<Self> {
        let mut machines = Vec::new();
        for (c, circuit) in circuits.iter().enumerate() {
            for (r, run) in circuit.runs.iter().enumerate() {
                for (p, placed) in run.parts.iter().enumerate() {
                    let drive = placed.part.as_pump().map(|pump| pump.drive);
                    if let Some(PumpDrive::Electric(drive)) = drive {
                        let name = format!("{}/{}/{}", circuit.name, run.path, placed.name);
                        let (kind, speed) = (MachineKind::Pump, drive.commanded);
                        let (id, command) = (Id::Part(c, r, p), commands[&speed]);
                        machines.push(Self { name, id, kind, speed, command });
                    }
                }
            }
        }
        for (a, path) in air_paths.iter().enumerate() {
            for (f, fan) in path.fans.iter().enumerate() {
                let name = format!("air_paths/{}/{}", path.name, fan.name);
                let (kind, speed) = (MachineKind::Fan, fan.commanded);
                let (id, command) = (Id::Fan(a, f), commands[&speed]);
                machines.push(Self { name, id, kind, speed, command });
            }
        }
        machines
    }

    /// Whether a name means this machine: its own, or the common one of several, as
    /// `air_paths/front/fan` of `air_paths/front/fan/2`.
    pub fn answers_to(&self, name: &str) -> bool {
        let Some(rest) = self.name.strip_prefix(name) else { return false };
        let number = rest.strip_prefix('/');
        rest.is_empty()
            || number.is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()))
    }
}

/// How a number goes over time: straight lines from point to point, a jump where two points have one
/// time, constant before the first and after the last.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// Time in s and value, in the order of time.
    points: Vec<[f64; 2]>,
}

impl Track {
    /// Always the same.
    pub fn constant(value: f64) -> Self {
        Self { points: vec![[0.0, value]] }
    }

    /// A value from each of the given times (s) on, in their order; the first also before.
    ///
    /// # Panics
    /// When there is none, or times fall.
    pub fn steps(steps: &[[f64; 2]]) -> Self {
        let mut points = Vec::new();
        for (k, &[time, value]) in steps.iter().enumerate() {
            if k > 0 {
                points.push([time, steps[k - 1][1]]);
            }
            points.push([time, value]);
        }
        Self::table(points)
    }

    /// Straight lines between points of time (s) and value.
    ///
    /// # Panics
    /// When there is no point, or times fall.
    pub fn table(points: Vec<[f64; 2]>) -> Self {
        assert!(!points.is_empty(), "a track has a point");
        assert!(points.windows(2).all(|pair| pair[0][0] <= pair[1][0]), "times do not fall");
        Self { points }
    }

    /// The value just before and just after a time, s.
    pub fn around(&self, time: f64) -> [f64; 2] {
        let points = &self.points;
        let line = |after: usize| {
            if after == 0 {
                return points[0][1];
            }
            let [from, value] = points[after - 1];
            match points.get(after) {
                Some(&[_, next]) if same(next, value) => value,
                Some(&[to, next]) => value + (next - value) * (time - from) / (to - from),
                None => value,
            }
        };
        let reached = points.partition_point(|point| point[0] < time);
        let before = match points.get(reached) {
            Some(&[at, value]) if same(at, time) => value,
            _ => line(reached),
        };
        let passed = points.partition_point(|point| point[0] <= time);
        let after = match points[..passed].last() {
            Some(&[at, value]) if same(at, time) => value,
            _ => line(passed),
        };
        [before, after]
    }

    /// Times at which it jumps or bends, s.
    pub fn corners(&self) -> impl Iterator<Item = f64> {
        self.points.iter().map(|point| point[0])
    }
}

/// Whether two numbers are the same to the last bit.
fn same(a: f64, b: f64) -> bool {
    a.total_cmp(&b).is_eq()
}

/// A number on its way along a straight line.
#[derive(Clone, Copy, Debug)]
pub struct Ramp {
    /// The number.
    pub slot: Slot,
    /// Time (s) and value at its start.
    pub from: [f64; 2],
    /// Time (s) and value at its end.
    pub to: [f64; 2],
}

impl Ramp {
    /// The value at a time, s; beyond its ends that of the end.
    pub fn at(&self, time: f64) -> f64 {
        let ([from, start], [to, end]) = (self.from, self.to);
        if time <= from {
            start
        } else if time >= to {
            end
        } else {
            start + (end - start) * (time - from) / (to - from)
        }
    }
}
