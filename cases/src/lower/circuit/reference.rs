//! Where the pressure of a closed circuit is known, and what must close around it.

use coolwright_models::circuit::{Cushion, Hold, Joint, Reference, ReferencePoint};
use coolwright_models::parts::TankRoom;
use petgraph::unionfind::UnionFind;

use super::Draft;
use crate::diagnostic::Problem;
use crate::file::{Circuit as CircuitSpec, Junction as JunctionSpec, PartSpec};
use crate::lower::context::{Bound, Context};
use crate::lower::fluid_of;
use crate::lower::usual::{FILLED_AT, KNOWN_PRESSURE, OPEN_TANK};
use crate::quantity::{Kind, spoken};
use crate::text::Spanned;

impl Draft {
    /// The circuit must hang together, and something must move its coolant.
    pub(super) fn check_pieces(
        &self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        spec: &CircuitSpec,
    ) {
        let mut pieces = UnionFind::new(self.junctions.len());
        for run in &self.runs {
            pieces.union(run.from, run.to);
        }
        if let Some(apart) = (1..self.junctions.len()).find(|&j| !pieces.equiv(0, j)) {
            let message = format!("the circuit `{}` falls into separate pieces", name.value);
            let label = format!(
                "`{}` and `{}` are not connected: make them two circuits",
                self.junctions[0].name, self.junctions[apart].name
            );
            context.error(name.span, message, label);
        }
        let mut parts = spec.runs.values().flat_map(|run| run.parts.values());
        let has_pump = parts.any(|part| matches!(part, PartSpec::Pump { .. }));
        let open = self
            .junctions
            .iter()
            .any(|j| matches!(j.joint, Joint::Held { .. } | Joint::Fed { .. }));
        if !has_pump && !open {
            let message = format!("the circuit `{}` has no pump", name.value);
            context.absent(name.span, message, "nothing moves its coolant");
        }
    }

    /// What is fed into a circuit must leave it again: at an end held at a pressure, or by feeding
    /// as much out as in.
    pub(super) fn check_outlets(&self, context: &mut Context<'_>, spec: &CircuitSpec) {
        let mut sum = 0.0;
        let mut most: f64 = 0.0;
        for junction in &self.junctions {
            match junction.joint {
                Joint::Held { .. } => return,
                Joint::Fed { flow, .. } => {
                    sum += context.values.get(flow);
                    most = most.max(context.values.get(flow).abs());
                }
                Joint::Plain { .. } | Joint::Tank(_) | Joint::Tee { .. } => {}
            }
        }
        if sum.abs() <= 1e-9 * most {
            return;
        }
        let fed = |joint: &JunctionSpec| matches!(joint, JunctionSpec::Open { flow: Some(_), .. });
        let Some((name, _)) = spec.junctions.iter().find(|(_, joint)| fed(joint)) else { return };
        let way = if sum > 0.0 { "enters the circuit" } else { "is drawn off the circuit" };
        let message = format!(
            "{} {way} at its open ends and cannot {}",
            spoken(Kind::VolumeFlow, sum.abs()),
            if sum > 0.0 { "leave" } else { "be made up" }
        );
        context.problems.push(
            Problem::error(name.span, message)
                .label("this end has a given flow")
                .help("hold a pressure at another end: `Open(pressure: \"{one GaugePressure}\")`"),
        );
    }

    /// Where the pressure is known: at a named junction, in a tank, or at the first pump.
    pub(super) fn reference(
        &self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        spec: &CircuitSpec,
    ) -> Option<Reference> {
        let held = self.junctions.iter().any(|j| matches!(j.joint, Joint::Held { .. }));
        if let Some(filled) = spec.fill_pressure
            && filled.si() != 0.0
            && (held || !spec.has_cap())
        {
            let problem =
                Problem::error(filled.span(), "nothing holds the pressure of this filling").label(
                    if held {
                        "the circuit is open at an end"
                    } else {
                        "no tank of the circuit has a cap"
                    },
                );
            let help = "give the tank its cap, `cap: Cap(opens: \"{one GaugePressure}\")`, or leave this out";
            context.value_error(problem.help(help));
        }
        if held {
            if let Some(pressure) = spec.pressure {
                let label = "leave this out, or close the circuit";
                context.error(pressure.span(), "an open end already holds the pressure", label);
            }
            return None;
        }
        let at = match &spec.pressure_at {
            Some(at) => {
                let Some(&junction) = self.index.get(&at.value) else {
                    let known = self.index.keys().map(String::as_str);
                    context.unknown(at.span, "junction", &at.value, known);
                    return None;
                };
                ReferencePoint::Junction(junction)
            }
            None => self.default_reference(context),
        };
        let hold = match self.cushion(context, name, (at, spec)) {
            Some(cushion) if spec.pressure.is_none() && spec.pressure_at.is_none() => {
                Hold::Cushion(cushion)
            }
            cushion => self.given_pressure(context, name, (at, spec), cushion),
        };
        Some(Reference { at, hold })
    }

    /// The pressure where the file gives it, or nothing makes it.
    fn given_pressure(
        &self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        (at, spec): (ReferencePoint, &CircuitSpec),
        cushion: Option<Cushion>,
    ) -> Hold {
        let tank = self.room_at(at).is_some();
        let place = if tank {
            format!("over the surface in `{}`", self.place(at))
        } else {
            format!("at `{}`", self.place(at))
        };
        let usual = if tank { OPEN_TANK } else { KNOWN_PRESSURE };
        let address = format!("{}:pressure", name.value);
        let bound = Bound::Within(-1e5, 5e6);
        let gauge = match spec.pressure {
            Some(pressure) => {
                context.given(&address, pressure, bound, "gauge pressure of the circuit")
            }
            None => context.or_assumed(&address, spec.pressure, bound, usual.fixed()),
        };
        if spec.pressure.is_none() || spec.pressure_at.is_none() {
            context
                .notes
                .push(format!("The pressure of `{}` is counted from that {place}.", name.value));
        }
        if spec.has_cap() {
            context.notes.push(format!(
                "The pressure of `{}` is given, so what its cap and the air under it would make of it is \
                 left out.",
                name.value
            ));
        }
        if let (Some(cushion), Some(pressure)) = (cushion, spec.pressure) {
            let opens = context.values.get(cushion.opens);
            if context.values.get(gauge) > opens {
                let message = format!(
                    "the cap of `{}` opens at {} and cannot hold this pressure",
                    self.place(at),
                    spoken(Kind::GaugePressure, opens)
                );
                let label = "leave it out, and it follows from the cap and the air under it";
                context.value_error(Problem::error(pressure.span(), message).label(label));
            }
        }
        Hold::Given(gauge)
    }

    /// The cap and the filling of the tank at a place, where it has a cap.
    fn cushion(
        &self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        (at, spec): (ReferencePoint, &CircuitSpec),
    ) -> Option<Cushion> {
        let address = format!("{}/{}", name.value, self.place(at));
        let [opens, vacuum] = ["opens", "vacuum"].map(|valve| {
            context
                .addresses
                .get(&format!("{address}:{valve}"))
                .and_then(|a| a.slots.first())
                .copied()
        });
        let (opens, vacuum) = (opens?, vacuum?);
        let air = context.slot("site:air")?;
        let air_k = context.values.get(air);
        let freezing = self.fluid.freezing_point_k();
        let filled_at = context.or_assumed(
            &format!("{}:filled_at", name.value),
            spec.filled_at,
            Bound::Within(freezing.max(223.15), 373.15),
            FILLED_AT.of(air_k).no_less_than(freezing),
        );
        if spec.filled_at.is_none() {
            let coolant = self.coolant.clone();
            let from = [&[air], coolant.slots()].concat();
            context.follows_at_start(filled_at, &from, move |values| {
                values.get(air).max(fluid_of(&coolant, values).freezing_point_k())
            });
        }
        let fill_pressure = context.or_default(
            &format!("{}:fill_pressure", name.value),
            spec.fill_pressure,
            Bound::Within(-50e3, 5e5),
            ("pressure at which a circuit was filled", 0.0),
        );
        if let Some(given) = spec.fill_pressure
            && context.values.get(fill_pressure) > context.values.get(opens)
        {
            let message = "the cap opens before the circuit is filled to this pressure";
            let label =
                format!("it opens at {}", spoken(Kind::GaugePressure, context.values.get(opens)));
            context.value_error(Problem::error(given.span(), message).label(label));
        }
        let altitude = context.slot("site:altitude")?;
        let filled_altitude = context.or_default(
            &format!("{}:filled_altitude", name.value),
            spec.filled_altitude,
            Bound::Within(-430.0, 6000.0),
            ("altitude at which a circuit was filled", context.values.get(altitude)),
        );
        if spec.filled_altitude.is_none() {
            context.follows_at_start(filled_altitude, &[altitude], move |v| v.get(altitude));
        }
        Some(Cushion { filled_at, fill_pressure, filled_altitude, opens, vacuum })
    }

    /// The place of a reference within its circuit.
    fn place(&self, at: ReferencePoint) -> String {
        match at {
            ReferencePoint::Junction(j) => self.junctions[j].name.clone(),
            ReferencePoint::Part(run, part) => {
                format!("{}/{}", self.runs[run].path, self.runs[run].parts[part].name)
            }
        }
    }

    /// The room of the tank at a place.
    fn room_at(&self, at: ReferencePoint) -> Option<&TankRoom> {
        match at {
            ReferencePoint::Junction(j) => match &self.junctions[j].joint {
                Joint::Tank(room) => Some(room),
                _ => None,
            },
            ReferencePoint::Part(run, part) => {
                self.runs[run].parts[part].part.as_tank().map(|tank| &tank.room)
            }
        }
    }

    /// All tanks: those in runs, then those at junctions.
    fn all_tanks(&self) -> Vec<ReferencePoint> {
        let parts = self.tanks.iter().map(|&(run, part)| ReferencePoint::Part(run, part));
        let at = |j: usize| matches!(self.junctions[j].joint, Joint::Tank(_));
        let junctions = (0..self.junctions.len()).filter(|&j| at(j)).map(ReferencePoint::Junction);
        parts.chain(junctions).collect()
    }

    /// The tank with a cap; else the first tank; else the first pump.
    fn default_reference(&self, context: &Context<'_>) -> ReferencePoint {
        let tanks = self.all_tanks();
        let capped = |at: &&ReferencePoint| {
            let address = format!("{}/{}:opens", self.name, self.place(**at));
            context.addresses.contains_key(&address)
        };
        if let Some(&at) = tanks.iter().find(capped).or(tanks.first()) {
            return at;
        }
        let pump = self.runs.iter().enumerate().find_map(|(r, run)| {
            run.parts.iter().position(|p| p.part.as_pump().is_some()).map(|p| (r, p))
        });
        pump.map_or(ReferencePoint::Junction(0), |(run, part)| ReferencePoint::Part(run, part))
    }

    /// Two caps on one circuit: the one that opens at the lower pressure would undo the other.
    pub(super) fn check_caps(&self, context: &mut Context<'_>, spec: &CircuitSpec) {
        let parts = spec.runs.iter().flat_map(|(run, spec)| {
            spec.parts.iter().filter_map(move |(part, spec)| match spec {
                PartSpec::Tank { cap: Some(cap), .. } => {
                    Some((format!("{}/{}", run.value, part.value), cap.span))
                }
                _ => None,
            })
        });
        let junctions = spec.junctions.iter().filter_map(|(name, joint)| match joint {
            JunctionSpec::Tank { cap: Some(cap), .. } => Some((name.value.clone(), cap.span)),
            _ => None,
        });
        let caps: Vec<_> = parts.chain(junctions).collect();
        let [(first, at), (second, again), ..] = caps.as_slice() else { return };
        let message = format!("`{first}` and `{second}` of `{}` both have a cap", self.name);
        context.problems.push(
            Problem::error(*again, message)
                .label("only one of them can make the pressure of the circuit")
                .also(*at, "the other cap")
                .help("leave out the cap of the tank that stands full of coolant"),
        );
    }
}
