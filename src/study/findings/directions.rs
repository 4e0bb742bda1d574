//! Runs in which the coolant flows against the direction in which they are written.

use coolwright_cases::quantity::Kind;

use super::view::{STILL_KG_S, View};
use super::{Finding, Findings, Severity};

/// Share of the largest flow of a circuit from which on a backward flow is no mere exchange between equals.
const BACKWARD: f64 = 0.02;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, circuit) in view.circuits() {
        let least = (BACKWARD * view.most_flow(c)).max(STILL_KG_S);
        for (r, run) in circuit.runs.iter().enumerate() {
            let parts = 0..run.parts.len();
            let told = parts.clone().any(|p| !run.parts[p].automatic);
            // A pump that is pushed backwards is told with the machines.
            let driven = parts.clone().any(|p| view.running((c, r, p)));
            if !told || run.automatic || driven || view.mass_flow(c, r) > -least {
                continue;
            }
            let path = format!("{}/{}", circuit.name, run.path);
            found.list.push(Finding {
                severity: Severity::Advice,
                beside: false,
                subject: "run written against its flow",
                what: format!(
                    "{} flow through `{path}` from its end to its start",
                    view.say(Kind::VolumeFlow, -view.flow(c, r))
                ),
                places: vec![path],
                why: "its flow counts as negative, so a limit on a least flow breaks, and where it ends at a \
                      header that header's inlet or outlet is another than it says"
                    .to_owned(),
                remedy: "swap its `from` and `to` and turn the order of its parts, or leave it if it is a \
                         bridge between equals"
                    .to_owned(),
            });
        }
    }
}
