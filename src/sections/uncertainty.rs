//! What the columns headed ± say, and which laws they come from.

use coolwright_models::ids::Id;
use coolwright_models::results::Quantity;
use coolwright_models::results::quantities as q;
use coolwright_models::uncertainty::Uncertainty;

use super::Scene;
use crate::answer::{Form, Lay, Section, Sentence, Value, kinds};
use crate::say;

/// How the uncertainty was made, and what contributes most.
pub fn uncertainty(scene: &Scene<'_>, uncertainty: &Uncertainty) -> Section {
    let title = "How sure the numbers are (columns headed \u{b1})";
    let section = Section::new("uncertainty", title).detail();
    if !uncertainty.is_carried {
        return section.say(
            "The case has too many laws, or nothing determines its temperatures: what each law may be off \
             by is not carried through it.",
            Lay::Paragraph,
        );
    }
    if uncertainty.terms.is_empty() {
        return section;
    }
    section
        .say(
            "Published laws disagree: each fall, film, rating, fan, pump and heat may be off by its own \u{b1}, \
             which the spread of published values allows. Each such offset moves all flows and temperatures; how \
             far follows from the slopes of all laws at this point. They are put together as the root of the \
             sum of squares, the errors of parts that follow the same law taken as half common (correlation \
             0.5). Not in it: numbers of the case that differ from what stands in the vehicle, and what is \
             assumed below.",
            Lay::Paragraph,
        )
        .points(told(scene, uncertainty).into_iter().filter_map(|of| line(scene, uncertainty, of)))
}

/// The numbers of which the leading law is told: of each circuit the flow of its fullest run, then the
/// inlets of its pumps; the metal of each body.
fn told(scene: &Scene<'_>, uncertainty: &Uncertainty) -> Vec<(Id, &'static Quantity)> {
    let mut told = Vec::new();
    for (c, circuit) in scene.ready.model.circuits.iter().enumerate() {
        let flow = |r: usize| scene.of(Id::Run(c, r), &q::MASS_FLOW).unwrap_or(0.0).abs();
        let fullest =
            (0..circuit.runs.len()).max_by(|a, b| flow(*a).total_cmp(&flow(*b)).then(b.cmp(a)));
        let fullest = fullest.map(|r| (Id::Run(c, r), &q::FLOW));
        let moves = fullest.filter(|(id, flow)| uncertainty.leading(*id, flow).is_some());
        // Where the flow is given, pressures are what is uncertain.
        let off =
            |j: usize| uncertainty.of(Id::Junction(c, j), &q::JUNCTION_PRESSURE).unwrap_or(0.0);
        let least_sure = (0..circuit.junctions.len())
            .max_by(|a, b| off(*a).total_cmp(&off(*b)).then(b.cmp(a)))
            .map(|j| (Id::Junction(c, j), &q::JUNCTION_PRESSURE));
        told.extend(moves.or(least_sure));
        for (r, run) in circuit.runs.iter().enumerate() {
            let pumps = run.parts.iter().enumerate().filter(|(_, at)| at.part.as_pump().is_some());
            told.extend(pumps.map(|(p, _)| (Id::Part(c, r, p), &q::PRESSURE_IN)));
        }
    }
    told.extend((0..scene.ready.model.bodies.len()).map(|body| (Id::Body(body), &q::METAL)));
    told
}

/// One number, and the law that makes it most uncertain.
fn line(
    scene: &Scene<'_>,
    uncertainty: &Uncertainty,
    (id, quantity): (Id, &'static Quantity),
) -> Option<Sentence> {
    let (term, alone) = uncertainty.leading(id, quantity)?;
    let kind = kinds::difference(quantity.kind);
    Some(say!(
        "`{of}`: {value} \u{b1} {off}, most of it from `{from}` ({law}; \u{b1} {alone} alone)",
        of = format!("{}:{}", scene.address(id), quantity.name),
        value = scene.at(id, quantity),
        off = Value::formed(kind, uncertainty.of(id, quantity)?, Form::Off),
        from = scene.address(term.from),
        law = term.law.words(),
        alone = Value::formed(kind, alone, Form::Off),
    ))
}
