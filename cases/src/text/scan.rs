//! The cursor under the parser: blanks, comments and the extent of single tokens.

use super::source::{FileId, Span};
use crate::diagnostic::Problem;

pub(super) type Found<T> = Result<T, Box<Problem>>;

pub(super) struct Scanner<'a> {
    pub(super) text: &'a str,
    pub(super) file: FileId,
    pub(super) at: usize,
    /// The first string that holds a line break, for the hint that its quote may be missing.
    pub(super) long_string: Option<Span>,
}

impl<'a> Scanner<'a> {
    pub(super) fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Steps over `c` if it comes next.
    pub(super) fn take(&mut self, c: char) -> bool {
        let found = self.peek() == Some(c);
        if found {
            self.at += c.len_utf8();
        }
        found
    }

    pub(super) fn span_from(&self, start: usize) -> Span {
        Span::new(self.file, start, self.at)
    }

    /// The span of the character that comes next; empty at the end of the text.
    pub(super) fn here(&self) -> Span {
        let width = self.peek().map_or(0, char::len_utf8);
        Span::new(self.file, self.at, self.at + width)
    }

    pub(super) fn skip_blanks(&mut self) -> Found<()> {
        loop {
            self.take_while(is_blank);
            if self.rest().starts_with("//") {
                self.take_while(|c| c != '\n');
            } else if self.rest().starts_with("/*") {
                self.skip_block_comment()?;
            } else {
                return Ok(());
            }
        }
    }

    /// Block comments nest in RON.
    fn skip_block_comment(&mut self) -> Found<()> {
        let start = self.at;
        let mut level = 0usize;
        loop {
            let Some(step) = self.rest().find(['/', '*']) else {
                let opening = Span::new(self.file, start, start + 2);
                return Err(Problem::error(opening, "this comment never ends")
                    .label("it begins here")
                    .help("close it with `*/`; comments nest, so each `/*` needs its own")
                    .into());
            };
            self.at += step;
            if self.rest().starts_with("/*") {
                level += 1;
                self.at += 2;
            } else if self.rest().starts_with("*/") {
                level -= 1;
                self.at += 2;
            } else {
                self.at += 1;
            }
            if level == 0 {
                return Ok(());
            }
        }
    }

    pub(super) fn take_while(&mut self, keep: impl Fn(char) -> bool) -> &'a str {
        let rest = self.rest();
        let length = rest.find(|c| !keep(c)).unwrap_or(rest.len());
        self.at += length;
        &rest[..length]
    }

    /// A name, if one comes next.
    pub(super) fn take_word(&mut self) -> Option<&'a str> {
        let starts = self.peek().is_some_and(|c| c == '_' || c.is_alphabetic());
        starts.then(|| self.take_while(is_word))
    }

    /// Steps over a string and returns it with its quotes.
    pub(super) fn take_string(&mut self) -> Found<&'a str> {
        let start = self.at;
        let raw = self.take('r');
        let hashes = self.take_while(|c| c == '#').len();
        let opening = self.at;
        self.take('"');
        let closed = if raw {
            let closing = format!("\"{}", "#".repeat(hashes));
            self.rest().find(&closing).map(|length| length + closing.len())
        } else {
            end_of_string(self.rest())
        };
        let Some(length) = closed else { return Err(self.unclosed_string(opening).into()) };
        self.at += length;
        let string = &self.text[start..self.at];
        if string.contains('\n') && self.long_string.is_none() {
            self.long_string = Some(Span::new(self.file, start, self.at));
        }
        Ok(string)
    }

    fn unclosed_string(&self, opening: usize) -> Problem {
        let span = Span::new(self.file, opening, opening + 1);
        Problem::error(span, "this string never ends")
            .label("its quote opens here")
            .help("close it with `\"`, or look for a missing quote in a line before")
    }
}

/// Length up to and including the closing quote.
fn end_of_string(text: &str) -> Option<usize> {
    let mut escaped = false;
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'"' => return Some(at + 1),
            _ => {}
        }
    }
    None
}

pub(super) fn is_word(c: char) -> bool {
    c == '_' || c.is_alphanumeric()
}

/// Whatever RON takes for a blank.
pub(super) fn is_blank(c: char) -> bool {
    matches!(
        c,
        ' ' | '\t'
            | '\n'
            | '\r'
            | '\x0B'
            | '\x0C'
            | '\u{85}'
            | '\u{200E}'
            | '\u{200F}'
            | '\u{2028}'
            | '\u{2029}'
    )
}
