//! One page about a case: everything in one file that asks nothing of anyone else.
//!
//! The page holds the sections of all answers, so that a new section shows up by itself, and the
//! pictures of [`crate::pictures`] beside them. It is right without its script; the script adds what
//! moves: a cursor that reads histories, zoom, the numbers of a part where it is touched. Where the solver is put into it
//! ([`live`]), numbers of the case can be moved in it too.

mod answers;
mod cards;
mod chapters;
mod first;
mod histories;
pub mod live;
mod papers;
mod policy;
mod why;

use coolwright_cases::quantity::UnitSystem;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::answer::drawing::Report;
use crate::pictures::{self, Pen, Pictures};
use answers::Answers;
pub use live::Solver;
pub use papers::papers;

/// How the page looks.
const STYLE: &str = include_str!("style.css");
/// What moves on it.
const SCRIPT: &str = include_str!("script.js");

/// A page while it is made.
struct Page<'a> {
    report: &'a Report,
    /// The solver, where the page holds it.
    live: Option<&'a Solver<'a>>,
    pen: Pen,
    pictures: Pictures,
}

/// The page of a case, in the units that were asked for; a reader can switch to others.
pub fn page(report: &Report, asked: UnitSystem) -> String {
    made(report, asked, None)
}

/// The same page with the solver in it, and sliders for the numbers that a reader can move.
pub fn live_page(report: &Report, asked: UnitSystem, solver: &Solver<'_>) -> String {
    made(report, asked, Some(solver))
}

fn made(report: &Report, asked: UnitSystem, live: Option<&Solver<'_>>) -> String {
    let pen = Pen::of_page(asked);
    let pictures = Pictures::of(&pen, report);
    lean(&Page { report, live, pen, pictures }.whole().into_string())
}

/// A page without the end tags of rows and cells, which HTML lets out where the next begins or the table ends: a fiftieth of it.
/// No script and no text holds one: in texts a `<` is written as `&lt;`.
fn lean(page: &str) -> String {
    page.replace("</td>", "").replace("</th>", "").replace("</tr>", "")
}

impl Page<'_> {
    /// What puts sections down.
    fn answers(&self) -> Answers<'_> {
        Answers { pen: &self.pen }
    }

    fn whole(&self) -> Markup {
        let own = if self.live.is_some() { live::STYLE } else { "" };
        let style = format!("{}{STYLE}{own}", pictures::STYLE);
        let scripts: &[&str] =
            if self.live.is_some() { &[SCRIPT, live::SCRIPT] } else { &[SCRIPT] };
        let title = titled(&self.report.point.title);
        html! {
            (DOCTYPE)
            html lang="en" {
                (head_of(title, &style, scripts, self.live.is_some()))
                body {
                    (self.switches())
                    (self.head(title))
                    main {
                        (self.first())
                        (self.cautions())
                        (self.moving())
                        (self.chapters())
                    }
                    (foot())
                    (self.data())
                    (self.solver())
                    @for script in scripts { script { (PreEscaped(script)) } }
                }
            }
        }
    }

    /// What chooses the units: it stands before all that it changes, and needs no script.
    fn switches(&self) -> Markup {
        html! {
            @for (k, units) in self.pen.units().iter().enumerate() {
                @let (id, name) = units_of(*units);
                input type="radio" name="units" class="units" id=(id) checked[k == 0]
                    aria-label={ "Units: " (name) };
            }
        }
    }

    fn head(&self, title: &str) -> Markup {
        html! {
            header {
                h1 { (title) }
                div class="tools" {
                    nav aria-label="Chapters" {
                        @if self.live.is_some() { a href="#live" class="script-only" { (live::NAME) } " " }
                        @for (id, name) in self.chapter_names() { a href={ "#" (id) } { (name) } " " }
                    }
                    div class="choose" {
                        @for units in self.pen.units() {
                            @let (id, name) = units_of(*units);
                            label for=(id) { (name) }
                        }
                    }
                }
            }
        }
    }
}

/// The title of a case, or a word for one that has none.
fn titled(title: &str) -> &str {
    if title.is_empty() { "A cooling case without a title" } else { title }
}

/// What stands before the body of a page: its name, how it looks, what it may do.
fn head_of(name: &str, style: &str, scripts: &[&str], solves: bool) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta http-equiv="Content-Security-Policy" content=(policy::policy(style, scripts, solves));
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            meta name="generator" content={ "coolwright " (env!("CARGO_PKG_VERSION")) };
            title { (name) }
            style { (PreEscaped(style)) }
        }
    }
}

/// What every page ends with.
fn foot() -> Markup {
    html! {
        footer {
            p { "Estimates, to be checked on a stand. Made by coolwright " (env!("CARGO_PKG_VERSION")) "." }
        }
    }
}

/// The id and the name of a unit system.
fn units_of(units: UnitSystem) -> (&'static str, &'static str) {
    match units {
        UnitSystem::Us => ("units-us", "US"),
        UnitSystem::Metric => ("units-metric", "metric"),
        UnitSystem::Si => ("units-si", "SI"),
    }
}
