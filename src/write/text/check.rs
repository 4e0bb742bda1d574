//! What `check` found, in text.

use coolwright_cases::lower::Ready;

use super::{coolant, list, wrapped};
use crate::write::Style;

/// What was read and what was found.
pub fn check(style: &Style, ready: &Ready, findings: &[String]) -> String {
    let mut out = if findings.is_empty() {
        "The case reads, and nothing in its plumbing stands out.\n".to_owned()
    } else {
        format!("The case reads; {} to look at:\n", count(findings.len(), "thing"))
    };
    for finding in findings {
        out.push_str(&wrapped(&format!("- {finding}"), 2));
    }
    if !ready.title.is_empty() {
        out.push_str(&format!("\n{}\n", ready.title));
    }
    for (c, circuit) in ready.model.circuits.iter().enumerate() {
        let runs = circuit.runs.iter().filter(|run| !run.automatic).count();
        let parts: usize =
            circuit.runs.iter().map(|r| r.parts.iter().filter(|p| !p.automatic).count()).sum();
        let junctions = circuit.junctions.iter().filter(|j| !j.automatic).count();
        out.push_str(&format!(
            "  circuit `{}`: {}, {}, {}, {}\n",
            circuit.name,
            coolant(style, ready, c, &ready.model.values),
            count(runs, "run"),
            count(parts, "part"),
            count(junctions, "junction"),
        ));
    }
    let model = &ready.model;
    out.push_str(&format!(
        "  {}, {}, {}, {}, {}, {}\n",
        count(model.bodies.len(), "heat source"),
        count(model.cores.len(), "core"),
        count(model.air_paths.len(), "air path"),
        count(ready.limits.len(), "limit"),
        count(ready.duty.phases.len(), "phase"),
        count(ready.variants.len(), "variant"),
    ));
    let assumed: Vec<String> = ready
        .assumptions
        .iter()
        .map(|a| {
            let places = match a.addresses.len() {
                1 => format!("`{}`", a.addresses[0]),
                n => format!("{n} places"),
            };
            format!("{}: {} ({places}; {})", a.what, style.quantity(a.kind, a.value), a.why)
        })
        .collect();
    out.push_str(&list(
        "Assumed, because the case does not say (`point` sorts by influence)",
        &assumed,
    ));
    out.push_str(&list("Notes", &ready.notes));
    out
}

fn count(n: usize, word: &str) -> String {
    if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") }
}
