//! The blocks of the text: round, square and curly brackets, and what to say when they are wrong.

use super::nearest::quoted;
use super::scan::Found;
use super::source::{Span, floor_boundary};
use super::syntax::{DEEPEST, Parser};
use super::tree::{Entry, Field, Node, Value, Word};
use crate::diagnostic::Problem;
use crate::file::form_of;

/// A block that is open.
pub(super) struct Block {
    pub(super) sign: char,
    pub(super) opening: Span,
    pub(super) indent: usize,
}

/// A block whose end does not stand under its beginning.
#[derive(Clone, Copy)]
pub(super) struct Pair {
    pub(super) opening: Span,
    pub(super) closing: Span,
}

/// The open blocks, outermost first.
#[derive(Default)]
pub(super) struct Blocks {
    open: Vec<Block>,
    crooked: Option<Pair>,
}

impl Blocks {
    pub(super) fn depth(&self) -> usize {
        self.open.len()
    }

    pub(super) fn enter(&mut self, block: Block) {
        self.open.push(block);
    }

    pub(super) fn leave(&mut self, closing: Span, indent: Option<usize>) {
        let Some(block) = self.open.pop() else { return };
        if indent.is_some_and(|indent| indent != block.indent) && self.crooked.is_none() {
            self.crooked = Some(Pair { opening: block.opening, closing });
        }
    }

    pub(super) fn innermost(&self) -> Option<&Block> {
        self.open.last()
    }

    pub(super) fn outermost(&self) -> Option<&Block> {
        self.open.first()
    }

    pub(super) fn crooked(&self) -> Option<Pair> {
        self.crooked
    }
}

fn closing_of(opening: char) -> char {
    match opening {
        '[' => ']',
        '{' => '}',
        _ => ')',
    }
}

impl Parser<'_> {
    pub(super) fn parens(&mut self, name: Option<Word>) -> Found<Value> {
        self.open(name.as_ref())?;
        if self.scan.peek() == Some(')') {
            self.close();
            return Ok(Value::Tuple { name, items: Vec::new() });
        }
        if self.field_comes() {
            let mut fields = Vec::new();
            self.separated(|parser| {
                let field = parser.field(fields.last())?;
                let shown = field.value.clone_leaf();
                fields.push(field);
                Ok(shown)
            })?;
            Ok(Value::Struct { name, fields })
        } else {
            Ok(Value::Tuple { name, items: self.items()? })
        }
    }

    pub(super) fn list(&mut self) -> Found<Value> {
        self.open(None)?;
        Ok(Value::List(self.items()?))
    }

    fn items(&mut self) -> Found<Vec<Node>> {
        let mut items = Vec::new();
        self.separated(|parser| {
            let item = parser.value()?;
            let shown = item.clone_leaf();
            items.push(item);
            Ok(shown)
        })?;
        Ok(items)
    }

    pub(super) fn map(&mut self) -> Found<Value> {
        self.open(None)?;
        let mut entries = Vec::new();
        self.separated(|parser| {
            let key = parser.value()?;
            parser.colon(&key.describe())?;
            let value = parser.value()?;
            let shown = value.clone_leaf();
            entries.push(Entry { key, value });
            Ok(shown)
        })?;
        Ok(Value::Map(entries))
    }

    /// Reads parts up to the closing bracket, which it steps over. `part` returns the last value
    /// that it read (blocks without their content), for the message when a comma is missing.
    fn separated(&mut self, mut part: impl FnMut(&mut Self) -> Found<Node>) -> Found<()> {
        let closing = self.blocks.innermost().map_or(')', |block| closing_of(block.sign));
        loop {
            self.scan.skip_blanks()?;
            if self.scan.peek() == Some(closing) {
                self.close();
                return Ok(());
            }
            let last = part(self)?;
            self.scan.skip_blanks()?;
            if self.scan.take(',') {
                continue;
            }
            if self.scan.peek() != Some(closing) {
                return Err(self.no_separator(&last, closing).into());
            }
        }
    }

    /// Whether `name:` comes next; `name =` is a field with the wrong sign.
    fn field_comes(&mut self) -> bool {
        let start = self.scan.at;
        let found = self.scan.take_word().is_some()
            && self.scan.skip_blanks().is_ok()
            && matches!(self.scan.peek(), Some(':' | '='));
        self.scan.at = start;
        found
    }

    fn field(&mut self, before: Option<&Field>) -> Found<Field> {
        let start = self.scan.at;
        let Some(text) = self.scan.take_word() else {
            return Err(self.no_field_name(before).into());
        };
        let key = Word { text: text.to_owned(), span: self.scan.span_from(start) };
        self.colon(&format!("the field {}", quoted(text)))?;
        let value = self.value()?;
        Ok(Field { key, value })
    }

    fn colon(&mut self, after: &str) -> Found<()> {
        self.scan.skip_blanks()?;
        if self.scan.take(':') {
            return self.scan.skip_blanks();
        }
        if self.scan.peek().is_none() {
            return Err(self.ended_inside().into());
        }
        let message = format!("expected `:` after {after}, found {}", self.next_sign());
        let problem = Problem::error(self.scan.here(), message);
        let equals = self.scan.peek() == Some('=');
        let help = equals.then(|| "name and value are joined by `:`, not `=`".to_owned());
        Err(self.in_block(problem.help_if(help)).into())
    }

    fn next_sign(&self) -> String {
        self.scan.peek().map_or("the end of the text".to_owned(), |c| quoted(&c.to_string()))
    }

    /// Adds where the innermost block began.
    fn in_block(&self, problem: Problem) -> Problem {
        match self.blocks.innermost() {
            Some(block) => problem.also(block.opening, "in the block that begins here"),
            None => problem,
        }
    }

    pub(super) fn ended_inside(&self) -> Problem {
        // Right after the last sign, not on the empty line that may follow it.
        let end = self.scan.text[..self.scan.at].trim_end().len();
        let here = Span { start: end, end, ..self.scan.here() };
        let problem = Problem::error(here, "the text ends inside a block");
        match self.blocks.innermost() {
            Some(block) => {
                let closing = closing_of(block.sign);
                problem
                    .label(format!("`{closing}` is missing before this"))
                    .also(block.opening, "the block began here")
            }
            None => problem.label("a value is missing here"),
        }
    }

    pub(super) fn too_deep(&self, opening: Span) -> Problem {
        let problem =
            Problem::error(opening, format!("more than {DEEPEST} blocks lie in one another here"))
                .help("a case needs about a dozen; look for brackets that are never closed");
        match self.blocks.outermost() {
            Some(block) => problem.also(block.opening, "the outermost block began here"),
            None => problem,
        }
    }

    pub(super) fn after_the_end(&self, node: &Node) -> Problem {
        let here = self.scan.here();
        let last_sign = floor_boundary(self.scan.text, node.span.end - 1);
        let last = Span { start: last_sign, ..node.span };
        let next = self.next_sign();
        if self.scan.peek().is_some_and(|c| ")]}".contains(c)) {
            Problem::error(here, format!("{next} closes nothing: all blocks are closed before it"))
                .also(last, "the outermost block ends here")
                .also(node.head(), "it began here")
        } else if let Value::Word(word) = &node.value {
            Problem::error(here, format!("expected `(` after {}", quoted(&word.text)))
                .label(format!("found {next}"))
        } else {
            Problem::error(here, "the text goes on after its end")
                .also(last, "the outermost block ends here")
                .help("one bracket too many before this, or something to delete after it")
        }
    }

    pub(super) fn no_value_here(&mut self) -> Problem {
        let here = self.scan.here();
        let next = self.next_sign();
        let problem = Problem::error(here, format!("expected a value, found {next}"));
        let help = match self.scan.peek() {
            Some('#') if self.blocks.depth() == 0 => {
                Some("extensions need not be switched on here; delete the line")
            }
            Some('“' | '”' | '„' | '«' | '’' | '‘') => {
                Some("use the plain quote `\"`; word processors replace it")
            }
            Some(',') => Some("there is a comma too many, or a value is missing before it"),
            Some('=') => Some("name and value are joined by `:`"),
            Some('/') => Some("a comment starts with `//`"),
            _ => None,
        };
        self.in_block(problem.help_if(help.map(str::to_owned)))
    }

    fn no_field_name(&mut self, before: Option<&Field>) -> Problem {
        if self.scan.peek().is_none() {
            return self.ended_inside();
        }
        let next = self.next_sign();
        let here = self.scan.here();
        if let Some(mismatch) = self.wrong_closing() {
            return mismatch;
        }
        let number_before = before.is_some_and(|f| matches!(f.value.value, Value::Number(_)));
        let digit = self.scan.peek().is_some_and(|c| c.is_ascii_digit());
        let help = if number_before && digit {
            "the decimal sign is a point: `1.5`, not `1,5`"
        } else if self.string_starts() {
            "field names stand without quotes; or the block should have ended before this"
        } else {
            "a field is written `name: value`"
        };
        let problem = Problem::error(here, format!("expected the name of a field, found {next}"));
        self.in_block(problem).help(help)
    }

    /// The message when a bracket of another kind closes the block.
    fn wrong_closing(&self) -> Option<Problem> {
        let found = self.scan.peek().filter(|&c| ")]}".contains(c))?;
        let block = self.blocks.innermost()?;
        let closing = closing_of(block.sign);
        let message = format!("expected `{closing}`, found `{found}`");
        let label = format!("this cannot close a block that began with `{}`", block.sign);
        Some(
            Problem::error(self.scan.here(), message)
                .label(label)
                .also(block.opening, "the block began here"),
        )
    }

    fn no_separator(&mut self, last: &Node, closing: char) -> Problem {
        if self.scan.peek().is_none() {
            return self.ended_inside();
        }
        if let Some(mismatch) = self.wrong_closing() {
            return mismatch;
        }
        let between = &self.scan.text[last.span.end..self.scan.at];
        let same_line = !between.contains('\n');
        let next = self.next_sign();
        let problem =
            Problem::error(self.scan.here(), format!("expected `,` or `{closing}`, found {next}"));
        if let (Value::Word(word), Some(':')) = (&last.value, self.scan.peek()) {
            return self.field_after_values(word);
        }
        let help = match &last.value {
            _ if self.key_comes() => {
                let end = Span { start: last.span.end, ..last.span };
                return self.in_block(Problem::error(end, "a comma is missing after this value"));
            }
            Value::Text(_) if same_line => {
                "a quote inside a string is written `\\\"`; inches may be written `in`, feet and inches `2 ft 6 in`"
                    .to_owned()
            }
            Value::Number(text) if same_line => {
                format!("a number with a unit stands in quotes: \"{} …\"", cut(text))
            }
            Value::Word(word) if same_line => {
                format!("what belongs to a name stands in brackets: `{}(…)`", cut(&word.text))
            }
            _ => "a comma is missing between two values".to_owned(),
        };
        self.in_block(problem).help(help)
    }

    /// The message for a field in a block that began with a value without a name.
    fn field_after_values(&self, field: &Word) -> Problem {
        let message = format!("expected another value, found the field {}", quoted(&field.text));
        let name = self.blocks.innermost().and_then(|block| {
            let opening = &self.scan.text[block.opening.start..block.opening.end];
            Some(opening.strip_suffix('(')?.trim_end())
        });
        let problem = Problem::error(field.span, message);
        self.in_block(problem)
            .help_if(name.and_then(form_of))
            .help("in one block either every value has its name, `name: value`, or none")
    }

    /// Whether `name:` or `"name":` comes next.
    fn key_comes(&mut self) -> bool {
        let start = self.scan.at;
        let long_string = self.scan.long_string;
        let key = if self.string_starts() {
            self.scan.take_string().is_ok()
        } else {
            self.scan.take_word().is_some()
        };
        let found = key && self.scan.skip_blanks().is_ok() && self.scan.peek() == Some(':');
        self.scan.at = start;
        self.scan.long_string = long_string;
        found
    }
}

fn cut(text: &str) -> String {
    text.chars().take(40).collect()
}

impl Node {
    /// The node, blocks without their content: enough to say what it is.
    fn clone_leaf(&self) -> Node {
        let value = match &self.value {
            Value::List(_) => Value::List(Vec::new()),
            Value::Map(_) => Value::Map(Vec::new()),
            Value::Tuple { .. } | Value::Struct { .. } => {
                Value::Tuple { name: None, items: Vec::new() }
            }
            leaf => leaf.clone(),
        };
        Node { span: self.span, value }
    }
}
