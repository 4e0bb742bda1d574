//! The error that travels through serde while a tree is read, and the log behind it.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::fmt;

use super::source::Span;
use super::tree::Node;
use crate::diagnostic::{Problem, Problems};

/// Why a value could not be made. Everything that a person shall see is in the log instead.
#[derive(Debug)]
pub(super) enum ReadError {
    /// The cause is logged already.
    Logged,
    /// A stand-in for a faulty value was refused, so what holds it needs a stand-in itself.
    StandIn,
    /// A struct lacks a field.
    Missing(&'static str),
    /// A type refused a value, in its own words.
    Refused(String),
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Logged => f.write_str("see the log of problems"),
            Self::StandIn => f.write_str("a stand-in was refused"),
            Self::Missing(field) => write!(f, "the field `{field}` is missing"),
            Self::Refused(message) => f.write_str(message),
        }
    }
}

impl std::error::Error for ReadError {}

impl serde::de::Error for ReadError {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self::Refused(message.to_string())
    }

    fn missing_field(field: &'static str) -> Self {
        Self::Missing(field)
    }
}

/// What one reading of a tree has found so far.
///
/// serde stops a struct at its first failing field, so a tree is read several times: each time
/// the nodes that failed before get a stand-in, and what stands after them comes to light.
#[derive(Default)]
pub(super) struct Context {
    problems: RefCell<Problems>,
    settled: RefCell<BTreeSet<Span>>,
    hopeless: RefCell<BTreeSet<Span>>,
    supplied: RefCell<BTreeSet<(Span, &'static str)>>,
    progress: Cell<bool>,
}

impl Context {
    pub(super) fn log(&self, problem: Problem) {
        self.problems.borrow_mut().push(problem);
    }

    /// Whether this node failed before and is not looked at again.
    pub(super) fn is_settled(&self, node: &Node) -> bool {
        self.settled.borrow().contains(&node.span)
    }

    /// Missing fields of a struct that are filled by a stand-in.
    pub(super) fn supplied(&self, node: &Node) -> Vec<&'static str> {
        let supplied = self.supplied.borrow();
        supplied.iter().filter(|(span, _)| *span == node.span).map(|&(_, field)| field).collect()
    }

    /// Whether something new was found since the last call.
    pub(super) fn take_progress(&self) -> bool {
        self.progress.replace(false)
    }

    pub(super) fn into_problems(self) -> Problems {
        self.problems.into_inner()
    }

    /// Whether this node fails with a stand-in as well: its type checks what it is given.
    pub(super) fn is_hopeless(&self, node: &Node) -> bool {
        self.hopeless.borrow().contains(&node.span)
    }

    /// Notes that a node failed: once, then with a stand-in, then for good. The last makes what
    /// holds it fail; until then the next reading can get past it.
    fn step_back(&self, node: &Node) -> ReadError {
        let new = self.settled.borrow_mut().insert(node.span)
            || self.hopeless.borrow_mut().insert(node.span);
        if new {
            self.progress.set(true);
            return ReadError::Logged;
        }
        ReadError::StandIn
    }

    /// Logs the failure of a node, once, and notes where the next reading needs a stand-in.
    pub(super) fn finish<T>(
        &self,
        node: &Node,
        result: Result<T, ReadError>,
    ) -> Result<T, ReadError> {
        let error = match result {
            Ok(value) => return Ok(value),
            Err(error) => error,
        };
        Err(match error {
            ReadError::Logged => ReadError::Logged,
            ReadError::StandIn => self.step_back(node),
            _ if self.is_settled(node) => self.step_back(node),
            ReadError::Refused(message) => {
                self.log(Problem::error(node.head(), message));
                self.step_back(node)
            }
            ReadError::Missing(field) => {
                self.log(missing_field(node, field));
                if self.supplied.borrow_mut().insert((node.span, field)) {
                    self.progress.set(true);
                    ReadError::Logged
                } else {
                    self.step_back(node)
                }
            }
        })
    }
}

fn missing_field(node: &Node, field: &str) -> Problem {
    let message = match node.name() {
        Some(word) => format!("`{}` lacks the field `{field}`", word.text),
        None => format!("the field `{field}` is missing"),
    };
    Problem::error(node.head(), message).label(format!("`{field}: …` belongs in here"))
}
