//! What the columns headed ± say, and which laws they come from.

use coolwright_cases::lower::Ready;
use coolwright_models::uncertainty::{Leading, Uncertainty};

use super::{Shown, broken, wrapped};

/// How the uncertainty was made, and what contributes most.
pub(super) fn doubt(ready: &Ready, uncertainty: &Uncertainty, shown: &Shown<'_>) -> String {
    if uncertainty.leading.is_empty() && uncertainty.without.is_empty() {
        return String::new();
    }
    let mut out = String::from("\nHow sure flows and pressures are (columns headed \u{b1})\n");
    out.push_str(&wrapped(
        "Published laws disagree: each fall may be off by its own \u{b1}, which the spread of published \
         values allows. Each such offset moves all flows and pressures of its circuit; how far follows from the \
         slopes of all falls at this point, at these temperatures. They are put together as the root of \
         the sum of squares, the errors of parts that follow the same law taken as half common (correlation \
         0.5). Not in it: numbers of the case that differ from what stands in the vehicle, and what is \
         assumed below.",
        2,
    ));
    for leading in &uncertainty.leading {
        out.push_str(&line(ready, leading, shown));
    }
    for &circuit in &uncertainty.without {
        let name = &ready.model.circuits[circuit].name;
        out.push_str(&wrapped(
            &format!("Circuit `{name}` is too large, or nothing moves in it: it has none here."),
            2,
        ));
    }
    out
}

/// One number, and the law that makes it most uncertain.
fn line(ready: &Ready, leading: &Leading, shown: &Shown<'_>) -> String {
    let (id, quantity) = leading.of;
    let (path, name) = (&ready.model.address(id), quantity.name);
    let by = format!("{name}_uncertainty");
    let text = format!(
        "`{path}:{name}`: {} \u{b1} {}, most of it from `{}` ({}; \u{b1} {} alone)",
        shown.at(path, name),
        shown.at(path, &by),
        ready.model.address(leading.from),
        leading.law.words(),
        shown.alike(path, &by, leading.alone),
    );
    format!("  - {}\n", broken(&text, 106).replace('\n', "\n    "))
}
