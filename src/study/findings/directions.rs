//! Runs in which the coolant flows against the direction in which they are written.

use coolwright_cases::quantity::Kind;

use super::view::{STILL_KG_S, View, named};
use super::{Finding, Findings, Severity};

/// Share of the largest flow of a circuit from which on a backward flow is no mere exchange between equals.
const BACKWARD: f64 = 0.02;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, circuit) in view.circuits() {
        let least = (BACKWARD * view.most_flow(c)).max(STILL_KG_S);
        let told = |&r: &usize| {
            let run = &circuit.runs[r];
            let parts = 0..run.parts.len();
            // A pump that is pushed backwards is told with the machines.
            let driven = parts.clone().any(|p| view.running((c, r, p)));
            parts.clone().any(|p| !run.parts[p].automatic) && !run.automatic && !driven
        };
        let written = (0..circuit.runs.len()).filter(told);
        let back: Vec<usize> =
            written.clone().filter(|&r| view.mass_flow(c, r) <= -least).collect();
        let exchanges = |r: &&usize| {
            (0..circuit.runs[**r].parts.len())
                .any(|p| view.placed((c, **r, p)).part.partner().is_some())
        };
        let (exchanging, plain): (Vec<usize>, Vec<usize>) = back.iter().partition(|r| exchanges(r));
        found.list.extend(plain.into_iter().map(|r| against(view, c, r)));
        if exchanging.is_empty() {
            continue;
        }
        let all: Vec<usize> = written.collect();
        let all = all.iter().filter(|r| exchanges(r)).count();
        found.list.push(reversed(view, c, &exchanging, 2 * exchanging.len() > all));
    }
}

/// A run that carries coolant from its end to its start.
fn against(view: &View<'_>, c: usize, r: usize) -> Finding {
    let circuit = view.circuit(c);
    let path = format!("{}/{}", circuit.name, circuit.runs[r].path);
    Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "run written against its flow",
        what: format!(
            "{} flow through `{path}` from its end to its start",
            view.say(Kind::VolumeFlow, -view.flow(c, r))
        ),
        places: vec![path],
        why: "its flow counts as negative, so a limit on a least flow breaks, and where it ends at a header that \
              header's inlet or outlet is another than it says"
            .to_owned(),
        remedy: "swap its `from` and `to` and turn the order of its parts, or leave it if it is a bridge between \
                 equals"
            .to_owned(),
    }
}

/// Runs with coolers, jackets or cores that carry coolant from their end to their start; `most` of their circuit, so
/// that rather its pump stands the wrong way round.
fn reversed(view: &View<'_>, c: usize, runs: &[usize], most: bool) -> Finding {
    let circuit = view.circuit(c);
    let path = |r: usize| format!("{}/{}", circuit.name, circuit.runs[r].path);
    let places: Vec<String> = runs.iter().map(|&r| path(r)).collect();
    let pumping = |&r: &usize| {
        (0..circuit.runs[r].parts.len()).any(|p| view.running((c, r, p)))
            && view.mass_flow(c, r) > 0.0
    };
    let pumps: Vec<String> = (0..circuit.runs.len()).filter(pumping).map(path).collect();
    let flow = runs.iter().map(|&r| -view.flow(c, r)).fold(0.0, f64::max);
    let each = if runs.len() > 1 { "up to " } else { "" };
    let remedy = if most && !pumps.is_empty() {
        format!(
            "if the pump stands the wrong way round, swap `from` and `to` of {}; else turn these runs: swap their \
             `from` and `to` and the order of their parts",
            named(&pumps)
        )
    } else {
        "look for what drives it backwards; if only the writing is wrong, swap `from` and `to` and turn the order \
         of the parts"
            .to_owned()
    };
    Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "run written against its flow",
        what: format!(
            "{each}{} run backwards through {}",
            view.say(Kind::VolumeFlow, flow),
            named(&places)
        ),
        places,
        why: "hot and cold ends are swapped there, and a flow that counts as negative keeps every upper bound"
            .to_owned(),
        remedy,
    }
}
