//! The chapters behind the first screen: circuits, machines, heat over time, variants, and every
//! answer as it is.

use std::collections::BTreeSet;

use maud::{Markup, html};

use super::Page;
use crate::answer::Topic;
use crate::pictures::{Picture, in_figure, in_page};

/// A chapter: its id, its name, and what stands in it.
type Chapter = (&'static str, &'static str, Markup);

/// A picture no wider than this is drawn in to the width of a screen, and of a sheet that stands.
const FITS: [f64; 2] = [1500.0, 960.0];

/// A picture that is wider than this is seen in parts on a phone.
const PHONE: f64 = 362.0;

/// What of an answer stands on the first screen already.
const ABOVE: [&str; 3] = ["title", "verdict", "boiled"];

impl Page<'_> {
    /// All chapters.
    pub(super) fn chapters(&self) -> Markup {
        html! {
            @for (id, name, body) in self.list() {
                section id=(id) class="chapter" aria-labelledby={ (id) "-h" } {
                    h2 id={ (id) "-h" } { (name) }
                    (body)
                }
            }
        }
    }

    /// Their ids and names, for the head.
    pub(super) fn chapter_names(&self) -> Vec<(&'static str, &'static str)> {
        let (report, pictures) = (self.report, &self.pictures);
        let there = [
            ("circuits", "Circuits", !pictures.circuits.is_empty()),
            ("machines", "Pumps and fans", !pictures.curves.is_empty()),
            ("cycle", "Duty cycle", report.cycle.is_some()),
            ("variants", "Variants", report.compare.is_some()),
            ("learnt", "Learnt from a log", report.learnt.is_some()),
        ];
        let studies = report.studies.iter().map(|answer| study(answer.topic));
        let behind = [
            ("point", "Operating point", true),
            ("check", "Plumbing and assumptions", true),
            ("why", "Every number", !report.drawing.reasons.is_empty()),
            ("sources", "Laws and sources", !report.drawing.laws.is_empty()),
        ];
        let only = |all: Vec<(&'static str, &'static str, bool)>| {
            all.into_iter().filter(|(.., there)| *there).map(|(id, name, _)| (id, name))
        };
        only(there.to_vec()).chain(studies).chain(only(behind.to_vec())).collect()
    }

    fn list(&self) -> Vec<Chapter> {
        let (report, pictures) = (self.report, &self.pictures);
        let (mut all, mut said): (Vec<Chapter>, _) = (Vec::new(), BTreeSet::new());
        if !pictures.circuits.is_empty() {
            all.push(("circuits", "Circuits", self.circuits()));
        }
        let machines = figures(&pictures.curves, "two");
        if !pictures.curves.is_empty() {
            all.push(("machines", "Pumps and fans", machines));
        }
        if let Some(cycle) = &report.cycle {
            let body = html! {
                (self.histories())
                (figures(&pictures.ledger, "one"))
                (self.answers().sections(cycle, &ABOVE, &mut said))
            };
            all.push(("cycle", "Duty cycle", body));
        }
        if let Some(compare) = &report.compare {
            let judged_by: &[&str] = if report.cycle.is_some() { &["judged_by"] } else { &[] };
            let body = html! {
                @if report.cycle.is_some() { p class="key" { "Judged by the duty cycle." } }
                (figures(&pictures.variants, "two"))
                // What is said there of options is for who has a command line.
                (self.answers().sections(compare, judged_by, &mut said))
            };
            all.push(("variants", "Variants", body));
        }
        if let Some(learnt) = &report.learnt {
            let body = html! {
                (figures(&pictures.learnt, "one"))
                (self.answers().sections(learnt, &["title"], &mut said))
            };
            all.push(("learnt", "Learnt from a log", body));
        }
        for answer in &report.studies {
            let (id, name) = study(answer.topic);
            all.push((id, name, self.answers().sections(answer, &["title"], &mut said)));
        }
        let above = if report.cycle.is_some() { &ABOVE[..1] } else { &ABOVE[..] };
        let body = html! {
            (figures(&pictures.splits, "one"))
            (figures(&pictures.budgets, "two"))
            (figures(&pictures.air, "one"))
            (figures(&pictures.charge, "one"))
            (self.answers().sections(&report.point, above, &mut said))
        };
        all.push(("point", "Operating point", body));
        let body = self.answers().sections(&report.check, &[], &mut said);
        all.push(("check", "Plumbing and assumptions", body));
        if !report.drawing.reasons.is_empty() {
            all.push(("why", "Every number", self.why()));
        }
        if !report.drawing.laws.is_empty() {
            let body = html! {
                details class="section" {
                    summary { "Every law behind these numbers, its range and who published it" }
                    (self.laws())
                }
            };
            all.push(("sources", "Laws and sources", body));
        }
        all
    }

    /// The circuits, each with the cards of its parts.
    fn circuits(&self) -> Markup {
        html! {
            p class="key" {
                "Each circuit unrolled along its flow, at the operating point unless it says another moment, from where its pressure is known and round to it. \
                 The heavy line is total pressure, the fine one static, the broken one the vapour pressure of the coolant; \
                 pumps lift, parts lose. Choose a part to read its numbers."
            }
            @for (circuit, picture) in self.report.drawing.circuits.iter().zip(&self.pictures.circuits) {
                (figure(picture, lies(picture.size[0])))
                (self.cards(circuit))
            }
        }
    }
}

/// The id and the name of the chapter of a study.
fn study(topic: Topic) -> (&'static str, &'static str) {
    let name = match topic {
        Topic::Levers => "What to change",
        Topic::Failures => "If something fails",
        Topic::Chance => "How sure",
        Topic::Day => "The day",
        other => other.word(),
    };
    (topic.word(), name)
}

/// Pictures with what they show.
fn figures(pictures: &[Picture], class: &'static str) -> Markup {
    html! {
        @if !pictures.is_empty() {
            div class={ "figures " (class) } { @for picture in pictures { (figure(picture, "")) } }
        }
    }
}

/// How a circuit of a width is set.
fn lies(width: f64) -> &'static str {
    match width {
        width if width <= FITS[1] => "wide fits",
        width if width <= FITS[0] => "wide fits lying",
        _ => "wide lying",
    }
}

/// A picture with what it shows.
pub(super) fn figure(picture: &Picture, class: &str) -> Markup {
    let slides = picture.size[0] > PHONE;
    html! {
        figure class=(class) {
            figcaption { (in_page(&picture.title)) @if slides { span class="slides" { " (slides sideways)" } } }
            div class="sheet" tabindex="0" role="group" aria-label={ "Picture " (picture.name) } { (in_figure(picture)) }
        }
    }
}
