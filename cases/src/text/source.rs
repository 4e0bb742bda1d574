//! The texts that the program handed in, and places in them.

/// Which text of a [`Sources`] store.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct FileId(pub(crate) u32);

impl FileId {
    /// The number of the text in its store, counted from zero.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// A stretch of bytes in one text, from `start` up to but not including `end`.
///
/// Spans sort by file, then by place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Span {
    /// The text that it lies in.
    pub file: FileId,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// The span from `start` to `end` in `file`.
    pub const fn new(file: FileId, start: usize, end: usize) -> Self {
        Self { file, start, end }
    }
}

/// Line and column of a place, both counted from one; the column counts characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Line, from one.
    pub line: usize,
    /// Column in characters, from one.
    pub column: usize,
}

/// The texts that were read, with their names. It touches no files: the program hands texts in.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
}

#[derive(Clone, Debug)]
struct Source {
    name: String,
    text: String,
    line_starts: Vec<usize>,
}

impl Sources {
    /// An empty store.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a text under the name that messages shall show, and returns its id.
    ///
    /// # Panics
    /// When there are more than 2³² texts.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<String>) -> FileId {
        let text = text.into();
        let breaks = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
        let line_starts = std::iter::once(0).chain(breaks.map(|(at, _)| at + 1)).collect();
        let id = u32::try_from(self.files.len()).expect("fewer than 2^32 texts");
        self.files.push(Source { name: name.into(), text, line_starts });
        FileId(id)
    }

    /// The name of a text; empty for an id of another store.
    pub fn name(&self, file: FileId) -> &str {
        self.files.get(file.index()).map_or("", |source| &source.name)
    }

    /// A whole text; empty for an id of another store.
    pub fn text(&self, file: FileId) -> &str {
        self.files.get(file.index()).map_or("", |source| &source.text)
    }

    /// The text of a span; empty when the span does not fit its text.
    pub fn slice(&self, span: Span) -> &str {
        self.text(span.file).get(span.start..span.end).unwrap_or("")
    }

    /// Ids and names of all texts, in the order in which they were added.
    pub fn files(&self) -> impl Iterator<Item = (FileId, &str)> {
        (0u32..).map(FileId).zip(self.files.iter().map(|source| source.name.as_str()))
    }

    /// Line and column of a byte of a text. A place past the end gives the end.
    pub fn place(&self, file: FileId, offset: usize) -> Place {
        let (line, start) = self.line_of(file, offset);
        let text = self.text(file);
        let end = floor_boundary(text, offset);
        let column = text.get(start..end).map_or(0, |before| before.chars().count()) + 1;
        Place { line, column }
    }

    /// Number of the line (from one) that holds a byte, and the byte at which the line starts.
    pub(crate) fn line_of(&self, file: FileId, offset: usize) -> (usize, usize) {
        let Some(source) = self.files.get(file.index()) else { return (1, 0) };
        let line = source.line_starts.partition_point(|&start| start <= offset).max(1);
        (line, source.line_starts[line - 1])
    }
}

/// The nearest character boundary at or before `offset`.
pub(crate) fn floor_boundary(text: &str, offset: usize) -> usize {
    let mut at = offset.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// The text of a table that a case names.
#[derive(Clone, Debug)]
pub struct TableText {
    /// The file.
    pub file: FileId,
    /// What stands in it.
    pub text: std::sync::Arc<str>,
}
