//! Why there is no answer: what is wrong, where, and what to do.

use coolwright_cases::diagnostic::{Problem, Problems, Severity};
use coolwright_cases::quantity::UnitSystem;
use coolwright_cases::text::{Sources, Span};

use crate::answer::Sentence;
use crate::render::Style;
use crate::say;

/// Why there is no answer.
#[derive(Clone, Debug)]
pub struct Refusal {
    sources: Sources,
    what: What,
}

#[derive(Clone, Debug)]
enum What {
    /// The texts have faults.
    Faults(Problems),
    /// Something else is wrong, with things of the texts or without.
    Said { message: Sentence, helps: Vec<Sentence>, places: Vec<Span> },
}

/// One thing that is wrong, in SI units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Complaint {
    /// `error` or `warning`.
    pub severity: &'static str,
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub help: Vec<String>,
    /// Where, the place that has to change first.
    pub places: Vec<At>,
}

/// A place in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct At {
    /// The name of the text.
    pub file: String,
    /// Its line, from one.
    pub line: usize,
    /// Its column in characters, from one.
    pub column: usize,
    /// A word about it; may be empty.
    pub label: String,
}

impl Refusal {
    /// For faults of the texts.
    pub fn faults(sources: &Sources, problems: Problems) -> Self {
        Self { sources: sources.clone(), what: What::Faults(problems) }
    }

    /// For anything that has no place in a text.
    pub fn said(message: impl Into<Sentence>) -> Self {
        let (message, helps, places) = (message.into(), Vec::new(), Vec::new());
        Self { sources: Sources::new(), what: What::Said { message, helps, places } }
    }

    /// The same with advice.
    #[must_use]
    pub fn help(mut self, help: impl Into<Sentence>) -> Self {
        if let What::Said { helps, .. } = &mut self.what {
            helps.push(help.into());
        }
        self
    }

    /// The same about places of the texts.
    #[must_use]
    pub fn at(mut self, sources: &Sources, spans: Vec<Span>) -> Self {
        if let What::Said { places, .. } = &mut self.what {
            *places = spans;
            self.sources = sources.clone();
        }
        self
    }

    /// What is wrong in one sentence, with the first thing to try.
    pub fn advice(&self) -> Sentence {
        let help = match &self.what {
            What::Faults(problems) => {
                let first = problems.iter().find(|p| p.severity == Severity::Error);
                first.and_then(|p| p.help.first()).map(|help| Sentence::spoken(help))
            }
            What::Said { helps, .. } => helps.first().cloned(),
        };
        let message = self.message();
        match help {
            Some(help) => say!("{message} ({help})", message = message, help = help),
            None => message,
        }
    }

    /// What is wrong in one sentence; of several faults of the texts the first.
    pub fn message(&self) -> Sentence {
        match &self.what {
            What::Faults(problems) => {
                let first = problems.iter().find(|p| p.severity == Severity::Error);
                first.map_or_else(|| "it has faults".into(), |p| Sentence::spoken(&p.message))
            }
            What::Said { message, .. } => message.clone(),
        }
    }

    /// As text for people.
    pub fn text(&self, style: &Style) -> String {
        match &self.what {
            What::Faults(problems) => problems.render_in(style.units, &self.sources, style.color),
            What::Said { message, helps, places } => {
                let problems = problems(style, message, helps, places);
                if let Some(problems) = problems {
                    return problems.render_in(style.units, &self.sources, style.color);
                }
                let mut text = format!("error: {}\n", style.sentence(message));
                for help in helps {
                    text.push_str(&format!("help: {}\n", style.sentence(help)));
                }
                text
            }
        }
    }

    /// One by one, for programs.
    pub fn complaints(&self) -> Vec<Complaint> {
        match &self.what {
            What::Faults(problems) => self.list(problems),
            What::Said { message, helps, places } => {
                match problems(&Style::SI, message, helps, places) {
                    Some(problems) => self.list(&problems),
                    None => vec![Complaint {
                        severity: "error",
                        message: Style::SI.sentence(message),
                        help: helps.iter().map(|help| Style::SI.sentence(help)).collect(),
                        places: Vec::new(),
                    }],
                }
            }
        }
    }

    fn list(&self, problems: &Problems) -> Vec<Complaint> {
        let one = |problem: &Problem| {
            let problem = problem.in_units(UnitSystem::Si);
            let places = std::iter::once(&problem.primary).chain(&problem.secondary);
            Complaint {
                severity: match problem.severity {
                    Severity::Error => "error",
                    Severity::Warning => "warning",
                },
                message: problem.message.clone(),
                help: problem.help.clone(),
                places: places.map(|(span, label)| self.place(*span, label)).collect(),
            }
        };
        problems.iter().map(one).collect()
    }

    fn place(&self, span: Span, label: &str) -> At {
        let place = self.sources.place(span.file, span.start);
        let file = self.sources.name(span.file).to_owned();
        At { file, line: place.line, column: place.column, label: label.to_owned() }
    }
}

/// What was said as a problem of the texts, where it has a place in them.
fn problems(
    style: &Style,
    message: &Sentence,
    helps: &[Sentence],
    places: &[Span],
) -> Option<Problems> {
    let (first, others) = places.split_first()?;
    let mut problem = Problem::error(*first, style.sentence(message));
    for help in helps {
        problem = problem.help(style.sentence(help));
    }
    for other in others {
        problem = problem.also(*other, "and this");
    }
    let mut problems = Problems::new();
    problems.push(problem);
    Some(problems)
}
