//! Problems found in a text, and how they are shown.

use std::fmt::Write as _;

use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};

use crate::quantity::{UnitSystem, in_units};
use crate::text::{Sources, Span};

mod excerpt;

use excerpt::Excerpt;

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The text cannot be used.
    Error,
    /// The text can be used, but look at this.
    Warning,
}

/// One thing wrong with a text, and where. Quantities in its words stand in braces, as
/// [`crate::quantity::spoken`] puts them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Error or warning.
    pub severity: Severity,
    /// What is wrong, in one line.
    pub message: String,
    /// The place that has to change, and a word about it (may be empty).
    pub primary: (Span, String),
    /// Other places that belong to it, such as the first of two equal keys.
    pub secondary: Vec<(Span, String)>,
    /// What to do about it, one sentence each.
    pub help: Vec<String>,
}

impl Problem {
    /// An error at a place.
    pub fn error(span: Span, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, span, message.into())
    }

    /// A warning at a place.
    pub fn warning(span: Span, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, span, message.into())
    }

    fn new(severity: Severity, span: Span, message: String) -> Self {
        let primary = (span, String::new());
        Self { severity, message, primary, secondary: Vec::new(), help: Vec::new() }
    }

    /// The same with a word at the mark.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.primary.1 = label.into();
        self
    }

    /// The same with another place.
    #[must_use]
    pub fn also(mut self, span: Span, label: impl Into<String>) -> Self {
        self.secondary.push((span, label.into()));
        self
    }

    /// The same with one more piece of advice.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help.push(help.into());
        self
    }

    /// The same with one more piece of advice, if there is one.
    #[must_use]
    pub fn help_if(mut self, help: Option<String>) -> Self {
        self.help.extend(help);
        self
    }

    /// The same with its quantities in the units of one system.
    #[must_use]
    pub fn in_units(&self, system: UnitSystem) -> Self {
        let said = |text: &String| in_units(text, system);
        let place = |(span, label): &(Span, String)| (*span, said(label));
        Self {
            severity: self.severity,
            message: said(&self.message),
            primary: place(&self.primary),
            secondary: self.secondary.iter().map(place).collect(),
            help: self.help.iter().map(said).collect(),
        }
    }
}

/// The log of problems, kept in the order of the text and without repeats.
#[derive(Clone, Debug, Default)]
pub struct Problems {
    list: Vec<Problem>,
}

/// So many problems are shown in full; the rest are counted.
const SHOWN: usize = 20;

impl Problems {
    /// An empty log.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a problem. One that says the same of the same place is dropped.
    pub fn push(&mut self, problem: Problem) {
        let key = |p: &Problem| (p.primary.0, p.severity);
        let from = self.list.partition_point(|p| key(p) < key(&problem));
        let to = self.list.partition_point(|p| key(p) <= key(&problem));
        if self.list[from..to].iter().all(|known| known.message != problem.message) {
            self.list.insert(to, problem);
        }
    }

    /// Adds all problems of another log.
    pub fn extend(&mut self, other: Problems) {
        for problem in other.list {
            self.push(problem);
        }
    }

    /// Adds advice to the first error.
    pub fn advise(&mut self, help: &str) {
        if let Some(first) = self.list.iter_mut().find(|p| p.severity == Severity::Error) {
            first.help.push(help.to_owned());
        }
    }

    /// All problems, sorted by file and place.
    pub fn iter(&self) -> impl Iterator<Item = &Problem> {
        self.list.iter()
    }

    /// How many problems there are, of both severities.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there is no problem at all.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// How many errors there are.
    pub fn error_count(&self) -> usize {
        self.list.iter().filter(|p| p.severity == Severity::Error).count()
    }

    /// How many warnings there are.
    pub fn warning_count(&self) -> usize {
        self.len() - self.error_count()
    }

    /// Whether there is an error: then nothing that was read may be used.
    pub fn has_errors(&self) -> bool {
        self.list.iter().any(|p| p.severity == Severity::Error)
    }

    /// The problems as text for a person, with quantities in SI units.
    pub fn render(&self, sources: &Sources, color: bool) -> String {
        self.render_in(UnitSystem::Si, sources, color)
    }

    /// The problems as text for a person: message, file, line and column, the line with a mark
    /// under it, and advice. Twenty problems are shown, the rest are counted, and long lines are
    /// cut to the part around the mark. Errors go before warnings when not all can be shown.
    pub fn render_in(&self, units: UnitSystem, sources: &Sources, color: bool) -> String {
        let renderer = if color { Renderer::styled().hyperlink(false) } else { Renderer::plain() };
        let errors = self.error_count();
        let spare = SHOWN.saturating_sub(errors);
        let (mut errors_left, mut warnings_left) = (SHOWN, spare);
        let mut out = String::new();
        for problem in &self.list {
            let left = match problem.severity {
                Severity::Error => &mut errors_left,
                Severity::Warning => &mut warnings_left,
            };
            if *left > 0 {
                *left -= 1;
                out.push_str(&render_one(&renderer, &problem.in_units(units), sources));
                out.push_str("\n\n");
            }
        }
        let shown = SHOWN - errors_left + spare - warnings_left;
        if self.len() > shown {
            let _ = writeln!(out, "… and {} more", self.len() - shown);
        } else if out.ends_with("\n\n") {
            out.pop();
        }
        out
    }
}

/// A sentence for a person: names in it may be of any length.
fn cut(text: &str) -> String {
    const LONGEST: usize = 600;
    let mut shown: String = text.chars().take(LONGEST).collect();
    if text.chars().nth(LONGEST).is_some() {
        shown.push('…');
    }
    shown
}

fn render_one(renderer: &Renderer, problem: &Problem, sources: &Sources) -> String {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let message = cut(&problem.message);
    let mut group: Group<'_> = Group::with_title(level.primary_title(message.as_str()));
    for excerpt in excerpts(problem, sources) {
        group = group.elements(excerpt_elements(&excerpt));
    }
    for help in &problem.help {
        group = group.element(Level::HELP.message(cut(help)));
    }
    renderer.render(&[group])
}

/// The places of a problem, those on one line or a few lines apart together.
fn excerpts(problem: &Problem, sources: &Sources) -> Vec<Excerpt> {
    let (span, label) = &problem.primary;
    let mut list = vec![Excerpt::new(sources, *span, label, true)];
    for (span, label) in &problem.secondary {
        let near = list.iter_mut().any(|excerpt| excerpt.absorb(sources, *span, label));
        if !near {
            list.push(Excerpt::new(sources, *span, label, false));
        }
    }
    list
}

fn excerpt_elements(excerpt: &Excerpt) -> Vec<Element<'static>> {
    let mut snippet =
        Snippet::source(excerpt.text.clone()).line_start(excerpt.first_line).fold(false);
    for mark in &excerpt.marks {
        let kind = if mark.primary { AnnotationKind::Primary } else { AnnotationKind::Context };
        let annotation = kind.span(mark.start..mark.end);
        let annotation = match mark.label.as_str() {
            "" => annotation,
            label => annotation.label(label.to_owned()),
        };
        snippet = snippet.annotation(annotation);
    }
    if excerpt.is_whole() {
        return vec![snippet.path(excerpt.name.clone()).into()];
    }
    // The columns of a line that was cut are not those of the file.
    let place = excerpt.place;
    let origin = Origin::path(excerpt.name.clone()).line(place.line).char_column(place.column);
    vec![origin.into(), snippet.into()]
}
