//! What the columns headed ± say, and which laws they come from.

use coolwright_models::results::quantities as q;
use coolwright_models::uncertainty::{Leading, Uncertainty};

use super::Scene;
use crate::answer::{Lay, Section, Sentence, Value, kinds};
use crate::say;

/// How the uncertainty was made, and what contributes most.
pub fn uncertainty(scene: &Scene<'_>, uncertainty: &Uncertainty) -> Section {
    let title = "How sure flows and pressures are (columns headed \u{b1})";
    let mut section = Section::new("uncertainty", title);
    if uncertainty.leading.is_empty() && uncertainty.without.is_empty() {
        return section;
    }
    section = section.say(
        "Published laws disagree: each fall may be off by its own \u{b1}, which the spread of published \
         values allows. Each such offset moves all flows and pressures of its circuit; how far follows from the \
         slopes of all falls at this point, at these temperatures. They are put together as the root of \
         the sum of squares, the errors of parts that follow the same law taken as half common (correlation \
         0.5). Not in it: numbers of the case that differ from what stands in the vehicle, and what is \
         assumed below.",
        Lay::Paragraph,
    );
    section = section.points(uncertainty.leading.iter().map(|leading| line(scene, leading)));
    for &circuit in &uncertainty.without {
        let sentence = say!(
            "Circuit `{circuit}` is too large, or nothing moves in it: it has none here.",
            circuit = &scene.circuit(circuit).name
        );
        section = section.say(sentence, Lay::Paragraph);
    }
    section
}

/// One number, and the law that makes it most uncertain.
fn line(scene: &Scene<'_>, leading: &Leading) -> Sentence {
    let (id, quantity) = leading.of;
    let off = if quantity == &q::FLOW { &q::FLOW_UNCERTAINTY } else { &q::PRESSURE_IN_UNCERTAINTY };
    let kind = kinds::difference(quantity.kind);
    say!(
        "`{of}`: {value} \u{b1} {off}, most of it from `{from}` ({law}; \u{b1} {alone} alone)",
        of = format!("{}:{}", scene.address(id), quantity.name),
        value = scene.at(id, quantity),
        off = scene.at(id, off),
        from = scene.address(leading.from),
        law = leading.law.words(),
        alone = Value::of(kind, leading.alone),
    )
}
