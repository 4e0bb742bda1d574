//! Warnings about a solution: where it left the range in which its laws were measured.
//!
//! They are raised once, on the solution, never inside an iteration.

mod charge;
mod pumps;
mod ranges;
mod tees;

use crate::air::{CoreRating, Met};
use crate::fluids::FluidWarning;
use crate::ids::Id;
use crate::laws::card::Card;
use crate::laws::cards::core::FILM;
use crate::laws::film::{CORNER, LAMINAR_END};
use crate::laws::tee::{OutsideSet, TeeSet};
use crate::parts::HeatPartner;
use crate::simulate::Simulator;
use crate::simulate::governed::Waits;
use crate::simulate::still::{NO_WAY_OUT, NOTHING_MOVES};

/// The two sides of a core.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Coolant in its tubes.
    Coolant,
    /// Air through its fins.
    Air,
}

/// Over this share of the speed of its curve a machine turns faster than it was made for: 15 % more voltage
/// than it is rated for turns it so (common practice, no source).
const OVER_SPEED: f64 = 1.15;

/// Where a solution left a range. All numbers are SI; words and units are made by those who show it.
#[derive(Clone, Debug)]
pub enum Warning {
    /// A coolant is outside the range of its property tables.
    Coolant {
        /// The circuit.
        circuit: usize,
        /// What the fluid says.
        warning: FluidWarning,
    },
    /// A pump or fan runs beyond the last point of its curve.
    BeyondCurve {
        /// Which.
        what: Id,
        /// Its flow at the speed of the curve, m³/s.
        flow_m3_s: f64,
        /// The last point of the curve, m³/s.
        last_m3_s: f64,
    },
    /// A pump runs at less than the first point of its curve.
    BelowCurve {
        /// Which.
        what: Id,
        /// Its flow at the speed of the curve, m³/s.
        flow_m3_s: f64,
        /// The first point of the curve, m³/s.
        first_m3_s: f64,
    },
    /// A pump or fan turns and is driven backwards all the same.
    Backwards {
        /// Which.
        what: Id,
        /// The pumps or fans that push against it.
        others: Vec<Id>,
        /// Flow through it, m³/s: below zero.
        flow_m3_s: f64,
    },
    /// A pump turns and moves next to nothing: a valve is shut, or another pump holds against it.
    ShutOff {
        /// Which.
        what: Id,
        /// Its flow at the speed of the curve, m³/s.
        flow_m3_s: f64,
        /// The last point of the curve, m³/s.
        last_m3_s: f64,
    },
    /// A pump or fan turns far faster than its curve was measured.
    OverSpeed {
        /// Which.
        what: Id,
        /// Its speed over that of the curve.
        speed: f64,
    },
    /// Nothing moves in a circuit.
    Still {
        /// The circuit.
        circuit: usize,
        /// Whether one of its pumps turns.
        turns: bool,
        /// Whether one that stands is called for, and follows a temperature at which it does.
        waits: bool,
    },
    /// A core gives heat to its coolant, at rest: the air that comes to it is the warmer one.
    CoreWarms {
        /// The core.
        core: usize,
        /// Temperature of the air that enters it, K.
        air_k: f64,
        /// Temperature of the coolant that enters it, K.
        coolant_k: f64,
    },
    /// A compressor works beyond the flows or the pressure ratios of its map.
    LeftCompressorMap {
        /// The stage of charge air.
        stage: Id,
        /// Its corrected flow, kg/s.
        corrected: f64,
    },
    /// A map of heat is left: beyond its speeds, or above its powers.
    LeftMap {
        /// The body.
        body: usize,
    },
    /// A pump's curve is corrected for viscosity outside the range of ANSI/HI 9.6.7.
    ViscosityRange {
        /// Which.
        what: Id,
        /// Flow at its best point, m³/s; the data begin at 13 US gpm.
        flow_m3_s: f64,
        /// Head at its best point, m; the data begin at 20 ft.
        head_m: f64,
        /// Parameter B; the fit ends at 40, where the factors are held.
        parameter: f64,
        /// The factor that its head has been given.
        head_factor: f64,
    },
    /// A core or a charge cooler works far from the flows at which it was rated.
    FarFromRating {
        /// Which.
        what: Id,
        /// On which side.
        side: Side,
        /// Its flow over the rated flow.
        ratio: f64,
    },
    /// A core works beyond the rows of a table of its.
    BeyondTable {
        /// Which.
        what: Id,
        /// On which side.
        side: Side,
        /// What the table tells.
        of: OfTable,
        /// Its flow over the last one of the table; over the first one where it is less than that.
        ratio: f64,
    },
    /// A stage takes so much of the pressure of the charge air that the flow that is told would not pass.
    Choked {
        /// The stage.
        stage: Id,
        /// Share of the pressure in front of it that is gone behind it.
        share: f64,
    },
    /// A body heats up without flow through any of its passes.
    NoFlow {
        /// The body.
        body: usize,
    },
    /// A tee or header is used where the formulas that it is to follow do not hold.
    OutsideTeeSet {
        /// The junction, of a header the first.
        junction: Id,
        /// At how many of its ports, where it is a header.
        ports: usize,
        /// The formulas.
        set: TeeSet,
        /// What they do not cover.
        why: OutsideSet,
    },
    /// The coolant is laminar where heat has to pass.
    Laminar {
        /// Where: parts.
        what: Vec<Id>,
        /// The highest Reynolds number among them.
        reynolds: f64,
    },
    /// The coolant has grown by more than the gas in its tank and its hoses leave room for.
    Spills {
        /// The circuit.
        circuit: usize,
        /// What has no room, m³.
        lost_m3: f64,
    },
    /// Ice in a tank does not last at a steady state: it is shown without.
    IceGone {
        /// The tank.
        tank: Id,
        /// Ice at the start, kg.
        mass_kg: f64,
    },
    /// A law is asked outside the range for which it was published or measured.
    OutsideRange {
        /// What follows it.
        what: Vec<Id>,
        /// The law.
        law: &'static Card,
        /// The symbol of the law that is outside.
        of: &'static str,
        /// The number farthest outside, in the unit of the symbol.
        number: f64,
    },
}

/// What a table of a core tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfTable {
    /// Its heat.
    Heat,
    /// The fall of the air through it.
    FallOfAir,
}

impl Warning {
    /// The thing that it is about, of several the first.
    pub fn about(&self) -> Id {
        match *self {
            Self::Coolant { circuit, .. }
            | Self::Still { circuit, .. }
            | Self::Spills { circuit, .. } => Id::Circuit(circuit),
            Self::BeyondCurve { what, .. }
            | Self::BelowCurve { what, .. }
            | Self::Backwards { what, .. }
            | Self::ShutOff { what, .. }
            | Self::OverSpeed { what, .. }
            | Self::ViscosityRange { what, .. }
            | Self::FarFromRating { what, .. }
            | Self::BeyondTable { what, .. } => what,
            Self::Choked { stage, .. } | Self::LeftCompressorMap { stage, .. } => stage,
            Self::NoFlow { body } | Self::LeftMap { body } => Id::Body(body),
            Self::CoreWarms { core, .. } => Id::Core(core),
            Self::IceGone { tank, .. } => tank,
            Self::OutsideTeeSet { junction, .. } => junction,
            Self::Laminar { ref what, .. } | Self::OutsideRange { ref what, .. } => what[0],
        }
    }
}

impl Warning {
    /// Whether another says the same of the same thing, with other numbers perhaps.
    pub fn is_like(&self, other: &Self) -> bool {
        let law = |warning: &Self| match warning {
            Self::OutsideRange { law, of, .. } => Some((law.key, *of)),
            _ => None,
        };
        let table = |warning: &Self| match warning {
            Self::BeyondTable { side, of, .. } => Some((*side, *of)),
            _ => None,
        };
        let still = |warning: &Self| match warning {
            Self::Still { turns, waits, .. } => Some((*turns, *waits)),
            _ => None,
        };
        let fluid = match (self, other) {
            (Self::Coolant { warning, .. }, Self::Coolant { warning: of, .. }) => {
                warning.is_like(of)
            }
            _ => true,
        };
        std::mem::discriminant(self) == std::mem::discriminant(other)
            && self.about() == other.about()
            && law(self) == law(other)
            && table(self) == table(other)
            && still(self) == still(other)
            && fluid
    }

    /// Takes the temperature of another that is like it where a coolant is farther out of its range there.
    pub(crate) fn worsen(&mut self, other: &Self) {
        if let (Self::Coolant { warning, .. }, Self::Coolant { warning: of, .. }) = (self, other) {
            *warning = warning.worse(*of);
        }
    }
}

/// All warnings about a settled state.
pub fn warnings(simulator: &Simulator<'_>, states: &[f64]) -> Vec<Warning> {
    let mut found = Vec::new();
    coolants(simulator, states, &mut found);
    still(simulator, states, &mut found);
    let setup = &simulator.setup;
    let bodies = setup.model.bodies.iter().enumerate();
    let left = bodies.filter(|(_, body)| body.leaves_map(&setup.values));
    found.extend(left.map(|(body, _)| Warning::LeftMap { body }));
    pumps::pumps(simulator, states, &mut found);
    fans(simulator, states, &mut found);
    cores(simulator, states, &mut found);
    charge::charge_air(simulator, &mut found);
    passes(simulator, &mut found);
    tees::tees(simulator, &mut found);
    ranges::ranges(simulator, &mut found);
    found
}

fn coolants(simulator: &Simulator<'_>, states: &[f64], found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for c in 0..setup.model.circuits.len() {
        let temperatures = || {
            let of = |(state, owner): (usize, &Option<usize>)| {
                (*owner == Some(c)).then_some(states[state])
            };
            setup.layout.coolant.iter().enumerate().filter_map(of)
        };
        let extremes =
            [temperatures().fold(f64::INFINITY, f64::min), temperatures().fold(0.0, f64::max)];
        for temperature in extremes {
            let Some(warning) = setup.prepared.coolants[c].range_warning(temperature) else {
                continue;
            };
            let warning = Warning::Coolant { circuit: c, warning };
            match found.iter_mut().find(|known| known.is_like(&warning)) {
                Some(known) => known.worsen(&warning),
                None => found.push(warning),
            }
        }
    }
}

/// Circuits in which nothing moves.
fn still(simulator: &Simulator<'_>, states: &[f64], found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    let circuits = setup.model.circuits.iter().zip(&simulator.settled.flows);
    for (c, (circuit, flows)) in circuits.enumerate() {
        if flows.iter().any(|flow| flow.abs() >= NOTHING_MOVES) {
            continue;
        }
        let governors =
            setup.model.governors.iter().enumerate().filter(|(_, governor)| {
                setup.model.machines[governor.machine].id.circuit() == Some(c)
            });
        let wait = |(g, _)| setup.governed_waits(&simulator.settled, states, g);
        let waits: Vec<Waits> = governors.filter_map(wait).collect();
        // A pump that begins to turn is not one that stands.
        if waits.contains(&Waits::Begins) {
            continue;
        }
        let mut parts = circuit.runs.iter().flat_map(|run| &run.parts);
        let turns =
            parts.any(|placed| placed.part.as_pump().is_some_and(|pump| pump.turns(&setup.values)));
        found.push(Warning::Still { circuit: c, turns, waits: !waits.is_empty() });
    }
}

fn fans(simulator: &Simulator<'_>, states: &[f64], found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (a, path) in setup.model.air_paths.iter().enumerate() {
        let fans = path.fans.iter().zip(simulator.settled.gases[a].fans());
        for (f, (fan, at)) in fans.enumerate() {
            let speed = fan.speed(&setup.values.reader::<f64>());
            let (_, last_m3_s) = fan.curve.range();
            if speed > OVER_SPEED {
                found.push(Warning::OverSpeed { what: Id::Fan(a, f), speed });
            }
            if speed > 0.0 && at.flow < -NO_WAY_OUT {
                if setup.changes_speed(&simulator.settled, states, Id::Fan(a, f)) {
                    continue;
                }
                let gases = simulator.settled.gases[a].fans().iter().enumerate();
                let forward = gases.filter(|(_, other)| other.flow > 0.0);
                let others = forward.map(|(other, _)| Id::Fan(a, other)).collect();
                let flow_m3_s = at.flow / at.density;
                found.push(Warning::Backwards { what: Id::Fan(a, f), others, flow_m3_s });
                continue;
            }
            let flow_m3_s = at.flow / at.density / speed;
            if speed > 0.0 && flow_m3_s > 1.02 * last_m3_s {
                let what = Id::Fan(a, f);
                found.push(Warning::BeyondCurve { what, flow_m3_s, last_m3_s });
            }
        }
    }
}

/// Less heat than this into the coolant of a core is none to speak of, W (judgement, no source).
const WARMS_W: f64 = 50.0;

/// Whether a core gives heat to its coolant at rest. On the way it may do so for a while, as with coolant that begins cold.
fn warms(simulator: &Simulator<'_>, met: &Met, states: &[f64]) -> Option<Warning> {
    let setup = &simulator.setup;
    let index = setup.layout.core_parts[met.core];
    let cells = setup.layout.parts[index];
    let (c, r, _) = cells.at;
    let last = cells.first + cells.count - 1;
    let inlet = if simulator.settled.flows[c][r] >= 0.0 { cells.first } else { last };
    let (air_k, coolant_k) = (met.entering_k, states[inlet]);
    let warms = setup.at_rest && simulator.rates.taken[index] > WARMS_W && air_k > coolant_k;
    warms.then_some(Warning::CoreWarms { core: met.core, air_k, coolant_k })
}

fn cores(simulator: &Simulator<'_>, states: &[f64], found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for gas in &simulator.settled.gases {
        for met in gas.cores() {
            let core = met.core;
            let (c, r, _) = setup.layout.parts[setup.layout.core_parts[core]].at;
            let rating = &setup.prepared.cores[core];
            let spec = &setup.model.cores[core];
            let through = met.flow.abs() / spec.open(&setup.values);
            let coolant = simulator.settled.flows[c][r];
            found.extend(warms(simulator, met, states));
            let stretch = rating.stretch(&setup.values, spec, [coolant, met.flow]);
            let coolant = coolant.abs() / spec.tubes(&setup.values);
            let what = Id::Core(core);
            match &spec.rating {
                // Its cards say where its laws leave their ranges.
                CoreRating::Built(_) => {}
                CoreRating::Point(_) => {
                    found.extend(far(what, Side::Coolant, stretch[0]));
                    found.extend(far(what, Side::Air, stretch[1]));
                }
                CoreRating::Table(table) => {
                    for (side, flow, axis, stretch) in [
                        (Side::Coolant, coolant, &table.coolant_flow, stretch[0]),
                        (Side::Air, through, &table.air_flow, stretch[1]),
                    ] {
                        // A flow of which there is one only is that of a rated point.
                        if axis.len() == 1 {
                            found.extend(far(what, side, stretch));
                            continue;
                        }
                        let of = OfTable::Heat;
                        let beyond = beyond(axis, flow);
                        found.extend(beyond.map(|ratio| Warning::BeyondTable {
                            what,
                            side,
                            of,
                            ratio,
                        }));
                    }
                }
            }
            if let Some(table) = &spec.fall_table {
                let (side, of) = (Side::Air, OfTable::FallOfAir);
                let beyond = beyond(&table.flow, through);
                found.extend(beyond.map(|ratio| Warning::BeyondTable { what, side, of, ratio }));
            }
        }
    }
}

/// A core that works far from the flow of its rating.
fn far(what: Id, side: Side, ratio: f64) -> Option<Warning> {
    let near = FILM.range("x").holds(ratio);
    (!near).then_some(Warning::FarFromRating { what, side, ratio })
}

/// Rows are met within this share of their flow.
const AT_A_ROW: f64 = 0.02;

/// How far a flow lies beyond the rows of a table, where it does: over the last of them, or over the first where it is less.
fn beyond(axis: &[f64], flow: f64) -> Option<f64> {
    let (first, last) = (axis.first()?, axis.last()?);
    let ratio = if flow < *first { flow / first } else { (flow / last).max(1.0) };
    ((ratio - 1.0).abs() > AT_A_ROW).then_some(ratio)
}

fn passes(simulator: &Simulator<'_>, found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    let mut flows = vec![0.0_f64; setup.model.bodies.len()];
    let mut laminar: Vec<Id> = Vec::new();
    let mut highest = 0.0_f64;
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        let (c, r, p) = cells.at;
        let part = setup.part(index);
        let flow = simulator.settled.flows[c][r].abs();
        match part.partner() {
            Some(HeatPartner::Body(body)) => flows[body] = flows[body].max(flow),
            // A core by its rating or table tells nothing of its tubes.
            Some(HeatPartner::Core(_)) if part.tube_reynolds(&setup.values, 1.0, 1.0).is_some() => {
            }
            _ => continue,
        }
        let viscosity = simulator.settled.parts[index].viscosity;
        let tubes = part.tube_reynolds(&setup.values, viscosity, flow);
        let bore = part.bores()[0].map(|bore| setup.values.get(bore));
        let round = |bore: f64| 4.0 * flow / (std::f64::consts::PI * bore * viscosity);
        let Some(reynolds) = tubes.or(bore.map(round)) else { continue };
        // From there on more flow helps as much as anywhere.
        if reynolds < LAMINAR_END - 2.0 * CORNER && flow > 0.0 {
            laminar.push(Id::Part(c, r, p));
            highest = highest.max(reynolds);
        }
    }
    if !laminar.is_empty() {
        found.push(Warning::Laminar { what: laminar, reynolds: highest });
    }
    for (body, flow) in flows.into_iter().enumerate() {
        if flow < 1e-6 {
            found.push(Warning::NoFlow { body });
        }
    }
}
