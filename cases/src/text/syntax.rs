//! The parser: text to tree.
//!
//! The RON library gives a place for the first syntax error only and none for values, so blocks
//! are parsed here, with places and with messages that say where a block began. The library still
//! has the last word: it decodes strings and numbers, and the whole text must pass it as well.

use ron::value::RawValue;

use super::nearest::quoted;
use super::scan::{Found, Scanner};
use super::source::{FileId, Sources, Span};
use super::structure::{Block, Blocks};
use super::tree::{Node, Value, Word};
use crate::diagnostic::Problem;

/// Blocks may lie this deep in one another. The RON library stops at 64; a case needs about 12.
pub(super) const DEEPEST: usize = 50;

pub(super) fn parse_file(sources: &Sources, file: FileId) -> Found<Node> {
    let text = sources.text(file);
    let start = if text.starts_with('\u{FEFF}') { '\u{FEFF}'.len_utf8() } else { 0 };
    parse_part(text, Span::new(file, start, text.len()))
}

/// Parses the one value that a part of a text holds.
pub(super) fn parse_part(text: &str, part: Span) -> Found<Node> {
    let text = text.get(..part.end).unwrap_or("");
    refuse_binary(text, part)?;
    let scanner = Scanner { text, file: part.file, at: part.start, long_string: None };
    let mut parser = Parser { scan: scanner, blocks: Blocks::default() };
    let node = parser.whole().map_err(|problem| parser.with_context(*problem))?;
    library_check(text, part)?;
    Ok(node)
}

fn refuse_binary(text: &str, part: Span) -> Found<()> {
    match text.get(part.start..).and_then(|text| text.find('\0')) {
        None => Ok(()),
        Some(at) => {
            let span = Span::new(part.file, part.start + at, part.start + at + 1);
            Err(Problem::error(span, "this is not a text file: it holds a zero byte")
                .help("save it as plain text in UTF-8")
                .into())
        }
    }
}

/// What the parser here accepts must pass the RON library too.
fn library_check(text: &str, part: Span) -> Found<()> {
    let own = &text[part.start..];
    // A line comment at the very end needs its line break, says the library.
    let with_break = format!("{own}\n");
    let Err(error) = RawValue::from_ron(&with_break) else { return Ok(()) };
    let line_start = own.split_inclusive('\n').take(error.span.start.line - 1).map(str::len).sum();
    let line = own.get(line_start..).unwrap_or("");
    let within: usize = line.chars().take(error.span.start.col - 1).map(char::len_utf8).sum();
    let at = (part.start + line_start + within).min(text.len());
    let span = Span::new(part.file, at, at);
    Err(Problem::error(span, format!("this is not RON: {}", error.code)).into())
}

pub(super) struct Parser<'a> {
    pub(super) scan: Scanner<'a>,
    pub(super) blocks: Blocks,
}

impl Parser<'_> {
    fn whole(&mut self) -> Found<Node> {
        let start = self.scan.at;
        self.scan.skip_blanks()?;
        if self.scan.peek().is_none() {
            let only =
                if self.scan.at > start { "nothing but blanks and comments" } else { "empty" };
            let span = Span::new(self.scan.file, start, start);
            return Err(Problem::error(span, format!("this text is {only}"))
                .label("a value is expected here")
                .into());
        }
        let node = self.value()?;
        self.scan.skip_blanks()?;
        match self.scan.peek() {
            None => Ok(node),
            Some(_) => Err(self.after_the_end(&node).into()),
        }
    }

    /// Adds what may be the true cause, further up in the text.
    fn with_context(&self, mut problem: Problem) -> Problem {
        if let Some(string) = self.scan.long_string {
            let first_line = self.scan.text[string.start..string.end].split('\n').next();
            let end = string.start + first_line.map_or(0, str::len);
            let span = Span { end, ..string };
            problem = problem.also(span, "this string goes over a line break: is a quote missing?");
        } else if let Some(pair) = self.blocks.crooked() {
            problem = problem
                .also(pair.opening, "this block began here")
                .also(pair.closing, "and was closed here, which does not line up");
        }
        problem
    }

    pub(super) fn value(&mut self) -> Found<Node> {
        let start = self.scan.at;
        let value = match self.scan.peek() {
            None => return Err(self.ended_inside().into()),
            Some('(') => self.parens(None)?,
            Some('[') => self.list()?,
            Some('{') => self.map()?,
            Some('\'') => self.character()?,
            Some(c) if c.is_ascii_digit() || "+-.".contains(c) => self.number()?,
            Some(_) if self.string_starts() => self.string()?,
            Some(_) => self.word_or_block()?,
        };
        Ok(Node { span: self.scan.span_from(start), value })
    }

    pub(super) fn string_starts(&self) -> bool {
        let rest = self.scan.rest();
        let raw = rest.strip_prefix('r').map(|rest| rest.trim_start_matches('#'));
        rest.starts_with('"') || raw.is_some_and(|rest| rest.starts_with('"'))
    }

    fn string(&mut self) -> Found<Value> {
        let start = self.scan.at;
        let string = self.scan.take_string()?;
        match ron::from_str::<String>(string) {
            Ok(text) => match text.chars().find(|c| is_hidden(*c)) {
                None => Ok(Value::Text(text)),
                Some(c) => {
                    let span = self.scan.span_from(start);
                    let message = "a control character does not belong in a text";
                    let help =
                        format!("take out the sign U+{:04X}, which nobody sees", u32::from(c));
                    Err(Problem::error(span, message).help(help).into())
                }
            },
            Err(error) => {
                let span = self.scan.span_from(start);
                Err(Problem::error(span, format!("this string cannot be read: {}", error.code))
                    .help("in a string, `\\` starts an escape: write `\\\\` for the sign itself")
                    .into())
            }
        }
    }

    fn character(&mut self) -> Found<Value> {
        let start = self.scan.at;
        self.scan.at += 1;
        if self.scan.take('\\') {
            self.scan.take_while(|c| c != '\'' && c != '\n');
            self.scan.take('\'');
        } else {
            let next = self.scan.here();
            self.scan.at = next.end;
        }
        self.scan.take('\'');
        let span = self.scan.span_from(start);
        match ron::from_str::<char>(&self.scan.text[span.start..span.end]) {
            Ok(c) => Ok(Value::Char(c)),
            Err(_) => Err(Problem::error(span, "a text stands in double quotes")
                .help("write `\"…\"` instead of `'…'`")
                .into()),
        }
    }

    fn number(&mut self) -> Found<Value> {
        let start = self.scan.at;
        let is_part = |c: char| c.is_alphanumeric() || "+-._".contains(c);
        let text = self.scan.take_while(is_part);
        if let Ok(ron::Value::Number(_)) = ron::from_str::<ron::Value>(text) {
            return Ok(Value::Number(text.to_owned()));
        }
        let message = format!("{} is not a number", quoted(text));
        Err(Problem::error(self.scan.span_from(start), message)
            .help("a number with a unit stands in quotes, as in `\"12 mm\"`")
            .into())
    }

    fn word_or_block(&mut self) -> Found<Value> {
        let start = self.scan.at;
        let Some(text) = self.scan.take_word() else { return Err(self.no_value_here().into()) };
        let word = Word { text: text.to_owned(), span: self.scan.span_from(start) };
        match text {
            "true" => return Ok(Value::Bool(true)),
            "false" => return Ok(Value::Bool(false)),
            "inf" | "inff32" | "inff64" | "NaN" | "NaNf32" | "NaNf64" => {
                return Ok(Value::Number(word.text));
            }
            _ => {}
        }
        let after_word = self.scan.at;
        self.scan.skip_blanks()?;
        if self.scan.peek() == Some('(') {
            return self.parens(Some(word));
        }
        self.scan.at = after_word;
        Ok(Value::Word(word))
    }

    /// Steps over an opening bracket and notes where its block begins.
    pub(super) fn open(&mut self, name: Option<&Word>) -> Found<()> {
        let bracket = self.scan.here();
        let start = name.map_or(bracket.start, |word| word.span.start);
        let opening = Span { start, ..bracket };
        let indent = indent_of(self.scan.text, start);
        let sign = self.scan.peek().unwrap_or('(');
        self.scan.at = bracket.end;
        if self.blocks.depth() >= DEEPEST {
            return Err(self.too_deep(opening).into());
        }
        self.blocks.enter(Block { sign, opening, indent });
        self.scan.skip_blanks()
    }

    /// Steps over the closing bracket of the innermost block.
    pub(super) fn close(&mut self) {
        let closing = self.scan.here();
        let line_start = self.scan.text[..closing.start].rfind('\n').map_or(0, |at| at + 1);
        let alone = self.scan.text[line_start..closing.start].trim().is_empty();
        let indent = alone.then(|| indent_of(self.scan.text, closing.start));
        let multi_line = self.blocks.innermost().is_some_and(|b| b.opening.start < line_start);
        self.scan.at = closing.end;
        self.blocks.leave(closing, indent.filter(|_| multi_line));
    }
}

/// Blanks before the first sign of the line that holds `at`.
fn indent_of(text: &str, at: usize) -> usize {
    let line_start = text[..at].rfind('\n').map_or(0, |at| at + 1);
    let line = &text[line_start..];
    line.len() - line.trim_start_matches([' ', '\t']).len()
}

/// Whether a sign of a text shows nothing, but changes what is shown of the others, or of what comes behind: control
/// characters but ends of lines and tabs, and those that turn the direction of writing (Unicode Standard Annex 9).
fn is_hidden(c: char) -> bool {
    let turns = matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    turns || (c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
}
