//! Variants that cannot be built.

use coolwright_cases::diagnostic::{Problems, Severity as Weight};
use coolwright_cases::text::Sources;

use super::{Finding, Severity};

/// A variant in which something is wrong: the first fault, where it stands, and what to do.
pub fn variant_with_faults(name: &str, problems: &Problems, sources: &Sources) -> Finding {
    let first = problems.iter().find(|problem| problem.severity == Weight::Error);
    let fault = first.map_or_else(String::new, |problem| format!(": {}", problem.message));
    let at = first.map_or_else(String::new, |problem| {
        let span = problem.primary.0;
        let place = sources.place(span.file, span.start);
        format!(" at {}:{}:{}", sources.name(span.file), place.line, place.column)
    });
    Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "variant with a fault",
        places: vec![format!("variants/{name}")],
        what: format!("the variant `{name}` cannot be built{fault}"),
        why: "`compare` says so in its column and answers the rest".to_owned(),
        remedy: format!("mend what stands{at}"),
    }
}
