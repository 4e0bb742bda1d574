//! What `check` found, in text.

use coolwright_cases::lower::Ready;

use super::{coolant, list};
use crate::study::{Finding, Findings};
use crate::write::Style;
use crate::write::table::broken;

/// How many findings are printed. A longer list is read by nobody.
const MOST: usize = 12;

/// What was read and what was found.
pub fn check(style: &Style, ready: &Ready, findings: &Findings) -> String {
    let Findings { list: found, statements } = findings;
    let mut out = match found.len() {
        0 => "The case reads, and nothing in its plumbing stands out.\n".to_owned(),
        1 => "The case reads; 1 thing to look at:\n".to_owned(),
        n => format!("The case reads; {n} things to look at, the most serious first:\n"),
    };
    for (k, finding) in found.iter().take(MOST).enumerate() {
        out.push_str(&one(k + 1, finding));
    }
    if found.len() > MOST {
        out.push_str(&format!("  {} more of less weight: see `--json`.\n", found.len() - MOST));
    }
    out.push_str(&self::list("Not looked at", statements));
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

/// A finding: what, why, and what to do.
fn one(number: usize, finding: &Finding) -> String {
    let mut lines = Vec::new();
    let what = format!("{}: {}.", finding.severity.word(), sentence(&finding.what));
    lines.push(format!("{number:>3}. {}", set_in(&what)));
    lines.push(format!("     Why: {}.", set_in(&finding.why)));
    lines.push(format!("     Do: {}.", set_in(&finding.remedy)));
    lines.join("\n") + "\n"
}

/// Lines of a finding, each set in below its number.
fn set_in(text: &str) -> String {
    broken(text, 98).replace('\n', "\n     ")
}

/// With a capital at its beginning, where it begins with a letter.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn count(n: usize, word: &str) -> String {
    if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") }
}
