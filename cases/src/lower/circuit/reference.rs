//! Where the pressure of a closed circuit is known, and what must close around it.

use coolwright_models::circuit::{Joint, Reference, ReferencePoint};

use super::Draft;
use crate::diagnostic::Problem;
use crate::file::{Circuit as CircuitSpec, Junction as JunctionSpec, PartSpec};
use crate::lower::context::{Assumed, Bound, Context};
use crate::text::Spanned;

impl Draft {
    /// The circuit must hang together, and something must move its coolant.
    pub(super) fn check_pieces(
        &self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        spec: &CircuitSpec,
    ) {
        let mut piece: Vec<usize> = (0..self.junctions.len()).collect();
        for run in &self.runs {
            let (a, b) = (piece[run.from], piece[run.to]);
            piece.iter_mut().filter(|p| **p == b).for_each(|p| *p = a);
        }
        if let Some(apart) = (1..piece.len()).find(|&j| piece[j] != piece[0]) {
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
                Joint::Plain | Joint::Tee { .. } => {}
            }
        }
        if sum.abs() <= 1e-9 * most {
            return;
        }
        let fed = |joint: &JunctionSpec| matches!(joint, JunctionSpec::Open { flow: Some(_), .. });
        let Some((name, _)) = spec.junctions.iter().find(|(_, joint)| fed(joint)) else { return };
        let way = if sum > 0.0 { "enters the circuit" } else { "is drawn off the circuit" };
        let message = format!(
            "{:.1} L/min {way} at its open ends and cannot {}",
            sum.abs() * 60e3,
            if sum > 0.0 { "leave" } else { "be made up" }
        );
        context.problems.push(
            Problem::error(name.span, message)
                .label("this end has a given flow")
                .help("hold a pressure at another end: `Open(pressure: \"0 kPa\")`"),
        );
    }

    /// Where the pressure is known: at the tank, at a named junction, or at the first pump.
    pub(super) fn reference(
        &self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        spec: &CircuitSpec,
    ) -> Option<Reference> {
        let held = self.junctions.iter().any(|j| matches!(j.joint, Joint::Held { .. }));
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
            None => self.default_reference(),
        };
        let place = match at {
            ReferencePoint::Junction(j) => format!("at `{}`", self.junctions[j].name),
            ReferencePoint::Part(run, part) => {
                format!("at `{}/{}`", self.runs[run].path, self.runs[run].parts[part].name)
            }
        };
        let gauge = context.or_assumed(
            &format!("{}:pressure", name.value),
            spec.pressure,
            Bound::Within(-1e5, 5e6),
            Assumed {
                what: "gauge pressure where the circuit's pressure is known",
                value: 0.0,
                range: (0.0, 100e3),
                why: "a cold or uncapped system stands near zero gauge",
            },
        );
        if spec.pressure.is_none() || spec.pressure_at.is_none() {
            context
                .notes
                .push(format!("The pressure of `{}` is counted from that {place}.", name.value));
        }
        Some(Reference { at, gauge })
    }

    fn default_reference(&self) -> ReferencePoint {
        if let Some(&(run, part)) = self.tanks.first() {
            return ReferencePoint::Part(run, part);
        }
        let pump = self.runs.iter().enumerate().find_map(|(r, run)| {
            run.parts.iter().position(|p| p.part.as_pump().is_some()).map(|p| (r, p))
        });
        pump.map_or(ReferencePoint::Junction(0), |(run, part)| ReferencePoint::Part(run, part))
    }
}
