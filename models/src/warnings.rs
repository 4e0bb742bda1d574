//! Warnings about a solution: where it left the range in which its laws were measured.
//!
//! They are raised once, on the solution, never inside an iteration.

mod pumps;
mod ranges;
mod tees;

use std::fmt;

use crate::air::CoreRating;
use crate::fluids::FluidWarning;
use crate::laws::card::Card;
use crate::laws::cards::core::FILM;
use crate::laws::film::LAMINAR_END;
use crate::laws::pump::{LEAST_BEST_FLOW_M3_S, LEAST_BEST_HEAD_M};
use crate::laws::tee::{OutsideSet, TeeSet};
use crate::parts::HeatPartner;
use crate::simulate::Simulator;

/// Where a solution left a range.
#[derive(Clone, Debug)]
pub enum Warning {
    /// A coolant is outside the range of its property tables.
    Coolant {
        /// The circuit.
        circuit: String,
        /// What the fluid says.
        warning: FluidWarning,
    },
    /// A pump or fan runs beyond the last point of its curve.
    BeyondCurve {
        /// Its address.
        what: String,
        /// Its flow at the speed of the curve, m³/s.
        flow_m3_s: f64,
        /// The last point of the curve, m³/s.
        last_m3_s: f64,
    },
    /// A pump runs at less than the first point of its curve.
    BelowCurve {
        /// Its address.
        what: String,
        /// Its flow at the speed of the curve, m³/s.
        flow_m3_s: f64,
        /// The first point of the curve, m³/s.
        first_m3_s: f64,
    },
    /// A pump turns and moves next to nothing: a valve is shut, or another pump holds against it.
    ShutOff {
        /// Its address.
        what: String,
        /// Its flow at the speed of the curve, m³/s.
        flow_m3_s: f64,
        /// The last point of the curve, m³/s.
        last_m3_s: f64,
    },
    /// Nothing moves in a circuit.
    Still {
        /// The circuit.
        circuit: String,
        /// Whether one of its pumps turns.
        turns: bool,
    },
    /// A pump's curve is corrected for viscosity outside the range of ANSI/HI 9.6.7.
    ViscosityRange {
        /// Its address.
        what: String,
        /// Flow at its best point, m³/s; the data begin at 13 US gpm.
        flow_m3_s: f64,
        /// Head at its best point, m; the data begin at 20 ft.
        head_m: f64,
        /// Parameter B; the fit ends at 40, where the factors are held.
        parameter: f64,
        /// The factor that its head has been given.
        head_factor: f64,
    },
    /// A core works far from the flows at which it was rated.
    FarFromRating {
        /// The core.
        core: String,
        /// Coolant or air.
        side: &'static str,
        /// Its flow over the rated flow.
        ratio: f64,
    },
    /// A body heats up without flow through any of its passes.
    NoFlow {
        /// The body.
        body: String,
    },
    /// A tee or header is used where the formulas that it is to follow do not hold.
    OutsideTeeSet {
        /// Its address.
        junction: String,
        /// At how many of its ports, where it is a header.
        ports: usize,
        /// The formulas.
        set: TeeSet,
        /// What they do not cover.
        why: OutsideSet,
    },
    /// The coolant is laminar where heat has to pass.
    Laminar {
        /// Its addresses.
        what: Vec<String>,
        /// The highest Reynolds number among them.
        reynolds: f64,
    },
    /// The coolant has grown by more than the gas in its tank and its hoses leave room for.
    Spills {
        /// The circuit.
        circuit: String,
        /// What has no room, m³.
        lost_m3: f64,
    },
    /// A law is asked outside the range for which it was published or measured.
    OutsideRange {
        /// Its addresses.
        what: Vec<String>,
        /// The law.
        law: &'static Card,
        /// The symbol of the law that is outside.
        of: &'static str,
        /// The number farthest outside, in the unit of the symbol.
        number: f64,
    },
    /// Coolant boils somewhere at this state.
    Boils {
        /// The circuit.
        circuit: String,
        /// Margin against boiling, K: below zero.
        margin_k: f64,
    },
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Coolant { circuit, warning } => write!(f, "coolant of `{circuit}`: {warning}"),
            Self::BeyondCurve { what, flow_m3_s, last_m3_s } => write!(
                f,
                "`{what}` runs at {:.1} % of the last flow on its curve: the curve is continued as a \
                 straight line there",
                100.0 * flow_m3_s / last_m3_s
            ),
            Self::BelowCurve { what, flow_m3_s, first_m3_s } => write!(
                f,
                "`{what}` runs at {:.1} % of the first flow on its curve: the curve is continued as a \
                 straight line there",
                100.0 * flow_m3_s / first_m3_s
            ),
            Self::ShutOff { what, flow_m3_s, last_m3_s } => write!(
                f,
                "`{what}` turns and moves next to nothing, {:.2} % of the last flow on its curve: look for a \
                 shut valve or a stronger pump in its way; the coolant in it warms",
                100.0 * flow_m3_s / last_m3_s
            ),
            Self::Still { circuit, turns: false } => {
                write!(
                    f,
                    "nothing moves in `{circuit}`: none of its pumps turns, and no open end drives it"
                )
            }
            Self::Still { circuit, turns: true } => {
                write!(f, "nothing moves in `{circuit}`, though a pump turns: its way is shut")
            }
            Self::ViscosityRange { what, flow_m3_s, head_m, parameter, head_factor } => write!(
                f,
                "`{what}` is corrected for viscosity (head × {head_factor:.3}) outside the data of ANSI/HI \
                 9.6.7: best point {:.0} L/min at {head_m:.1} m (data from {:.0} L/min and {:.1} m), \
                 B {parameter:.2} (1 to 40)",
                flow_m3_s * 60e3,
                LEAST_BEST_FLOW_M3_S * 60e3,
                LEAST_BEST_HEAD_M
            ),
            Self::FarFromRating { core, side, ratio } => write!(
                f,
                "`cores/{core}` works at {ratio:.2} times its rated {side} flow: its heat is scaled \
                 from far away"
            ),
            Self::NoFlow { body } => write!(f, "no coolant flows through `{body}`"),
            Self::OutsideTeeSet { junction, ports, set, why } => {
                write!(f, "`{junction}` is to follow {set:?}, but {why}")?;
                if *ports > 1 {
                    write!(f, " (at {ports} of its ports)")?;
                }
                f.write_str(": the unified law holds there instead")
            }
            Self::Laminar { what, reynolds } => {
                write!(f, "the coolant is laminar (Re at most {reynolds:.0}) in `{}`", what[0])?;
                if what.len() > 1 {
                    write!(f, " and {} more", what.len() - 1)?;
                }
                f.write_str(": more flow barely improves the film there")
            }
            Self::Spills { circuit, lost_m3 } => write!(
                f,
                "the coolant of `{circuit}` grows by {:.2} L more than the air in its tank leaves room for: \
                 that much goes out through the cap",
                lost_m3 * 1e3
            ),
            Self::OutsideRange { what, law, of, number } => {
                let range = law.range(of);
                let means = law.symbols.iter().find(|symbol| symbol.sign == *of);
                write!(
                    f,
                    "`{}` follows a law outside its range ({}): {} is {number:.4}, published from {} to {}",
                    what.join("`, `"),
                    law.name,
                    means.map_or(*of, |symbol| symbol.means),
                    range.least,
                    range.most
                )
            }
            Self::Boils { circuit, margin_k } => write!(
                f,
                "the coolant of `{circuit}` would boil, {:.1} K past its boiling point: beyond that the \
                 numbers no longer hold",
                -margin_k
            ),
        }
    }
}

/// Flows below this move nothing, kg/s: a drop an hour.
const STILL_KG_S: f64 = 1e-8;

/// All warnings about a settled state.
pub fn warnings(simulator: &Simulator<'_>, states: &[f64]) -> Vec<Warning> {
    let mut found = Vec::new();
    coolants(simulator, states, &mut found);
    still(simulator, &mut found);
    pumps::pumps(simulator, &mut found);
    fans(simulator, &mut found);
    cores(simulator, &mut found);
    passes(simulator, &mut found);
    tees::tees(simulator, &mut found);
    ranges::ranges(simulator, &mut found);
    found
}

fn coolants(simulator: &Simulator<'_>, states: &[f64], found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (c, circuit) in setup.model.circuits.iter().enumerate() {
        let temperatures = || {
            let of = |(state, owner): (usize, &Option<usize>)| {
                (*owner == Some(c)).then_some(states[state])
            };
            setup.layout.coolant.iter().enumerate().filter_map(of)
        };
        let extremes =
            [temperatures().fold(f64::INFINITY, f64::min), temperatures().fold(0.0, f64::max)];
        for temperature in extremes {
            if let Some(warning) = setup.prepared.coolants[c].range_warning(temperature) {
                found.push(Warning::Coolant { circuit: circuit.name.clone(), warning });
            }
        }
    }
}

/// Circuits in which nothing moves.
fn still(simulator: &Simulator<'_>, found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (circuit, flows) in setup.model.circuits.iter().zip(&simulator.settled.flows) {
        if flows.iter().all(|flow| flow.abs() < STILL_KG_S) {
            let mut parts = circuit.runs.iter().flat_map(|run| &run.parts);
            let turns = parts
                .any(|placed| placed.part.as_pump().is_some_and(|pump| pump.turns(&setup.values)));
            found.push(Warning::Still { circuit: circuit.name.clone(), turns });
        }
    }
}

fn fans(simulator: &Simulator<'_>, found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (a, path) in setup.model.air_paths.iter().enumerate() {
        let density = simulator.settled.air[a].fan_density;
        for (fan, flow) in path.fans.iter().zip(&simulator.settled.air_runs[a][1..]) {
            let speed = setup.values.get(fan.speed);
            let (_, last_m3_s) = fan.curve.range();
            let flow_m3_s = flow / density / speed;
            if speed > 0.0 && flow_m3_s > 1.02 * last_m3_s {
                let what = format!("air_paths/{}/{}", path.name, fan.name);
                found.push(Warning::BeyondCurve { what, flow_m3_s, last_m3_s });
            }
        }
    }
}

fn cores(simulator: &Simulator<'_>, found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    for (a, path) in setup.model.air_paths.iter().enumerate() {
        for &core in &path.cores {
            let (c, r, _) = setup.layout.parts[setup.layout.core_parts[core]].at;
            let side = &setup.prepared.cores[core];
            let spec = &setup.model.cores[core];
            let rated = match &spec.rating {
                CoreRating::Point(_) => [side.coolant_flow, side.air_flow].map(|f| (f, f)),
                CoreRating::Table(t) => [&t.coolant_flow, &t.air_flow].map(|axis| {
                    (axis.first().copied().unwrap_or(1.0), axis.last().copied().unwrap_or(1.0))
                }),
            };
            let flows = [simulator.settled.flows[c][r].abs(), simulator.settled.air[a].flow.abs()];
            for ((name, flow), (least, most)) in
                ["coolant", "air"].into_iter().zip(flows).zip(rated)
            {
                let ratio = if flow < least { flow / least } else { (flow / most).max(1.0) };
                if !FILM.range("x").holds(ratio) {
                    found.push(Warning::FarFromRating {
                        core: spec.name.clone(),
                        side: name,
                        ratio,
                    });
                }
            }
        }
    }
}

fn passes(simulator: &Simulator<'_>, found: &mut Vec<Warning>) {
    let setup = &simulator.setup;
    let mut flows = vec![0.0_f64; setup.model.bodies.len()];
    let mut laminar: Vec<String> = Vec::new();
    let mut highest = 0.0_f64;
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        let (c, r, p) = cells.at;
        let Some(HeatPartner::Body(body)) = setup.part(index).partner() else { continue };
        let flow = simulator.settled.flows[c][r].abs();
        flows[body] = flows[body].max(flow);
        let viscosity = simulator.settled.parts[index].viscosity;
        let tubes = setup.part(index).tube_reynolds(&setup.values, viscosity, flow);
        let bore = setup.part(index).bores()[0].map(|bore| setup.values.get(bore));
        let round = |bore: f64| 4.0 * flow / (std::f64::consts::PI * bore * viscosity);
        let Some(reynolds) = tubes.or(bore.map(round)) else { continue };
        if reynolds < LAMINAR_END && flow > 0.0 {
            let circuit = &setup.model.circuits[c];
            let run = &circuit.runs[r];
            laminar.push(format!("{}/{}/{}", circuit.name, run.path, run.parts[p].name));
            highest = highest.max(reynolds);
        }
    }
    if !laminar.is_empty() {
        found.push(Warning::Laminar { what: laminar, reynolds: highest });
    }
    for (body, flow) in setup.model.bodies.iter().zip(flows) {
        if flow < 1e-6 {
            found.push(Warning::NoFlow { body: format!("{}s/{}", body.word, body.name) });
        }
    }
}
