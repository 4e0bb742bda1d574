//! The sheets as a page that prints: each begins on a new one, with its own cautions.

use std::collections::BTreeSet;

use coolwright_cases::quantity::UnitSystem;
use maud::{DOCTYPE, Markup, html};

use super::answers::Answers;
use super::{STYLE, foot, head_of, titled};
use crate::answer::{Answer, Section};
use crate::pictures::{self, Pen, in_page};

/// The sections that begin a sheet, and what each is called.
const SHEETS: [(&str, &str); 7] = [
    ("order_hoses", "Order list"),
    ("coolant", "Coolant sheet"),
    ("ports", "Port table"),
    ("filling", "Fill and bleed"),
    ("pressure_test", "Pressure test"),
    ("wiring", "Wiring"),
    ("stand", "Stand card"),
];

/// The page of all sheets, in one unit system: what is printed has one.
pub fn papers(answer: &Answer, units: UnitSystem) -> String {
    let pen = Pen::of(units);
    let answers = Answers { pen: &pen };
    let style = format!("{}{STYLE}", pictures::STYLE);
    let title = titled(&answer.title);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            (head_of(&format!("Sheets: {title}"), &style, &[""], false))
            body {
                header {
                    h1 { (title) }
                    @for section in answer.sections.iter().filter(|section| section.name == "standing") {
                        (answers.blocks(section))
                    }
                    nav aria-label="Sheets" {
                        @for (id, name) in SHEETS { a href={ "#" (id) } { (name) } " " }
                    }
                }
                main {
                    @for (k, (id, name)) in SHEETS.into_iter().enumerate() {
                        (paper(answer, &answers, (k, id, name)))
                    }
                }
                (foot())
            }
        }
    };
    page.into_string()
}

/// One sheet.
fn paper(answer: &Answer, answers: &Answers<'_>, (k, id, name): (usize, &str, &str)) -> Markup {
    let own = sections_of(answer, k);
    let one = Answer { sections: own, ..Answer::new(answer.topic, &answer.title) };
    html! {
        section id=(id) class="paper" aria-labelledby={ (id) "-h" } {
            h2 id={ (id) "-h" } { (name) }
            (answers.sections(&one, &[], &mut BTreeSet::new()))
            div class="cautions" {
                ul { @for caution in &answer.cautions { li { (in_page(&answers.pen.sentence(caution))) } } }
            }
        }
    }
}

/// The sections from the first of a sheet up to the first of the next.
fn sections_of(answer: &Answer, sheet: usize) -> Vec<Section> {
    let first = |sheet: usize| {
        let name = SHEETS.get(sheet).map(|(name, _)| *name);
        let at = name.and_then(|name| answer.sections.iter().position(|s| s.name == name));
        at.unwrap_or(answer.sections.len())
    };
    answer.sections[first(sheet)..first(sheet + 1).max(first(sheet))].to_vec()
}
