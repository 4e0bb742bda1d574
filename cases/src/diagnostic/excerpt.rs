//! The few lines of a text around the places of a problem, cut to a size that can be shown.

use crate::text::{FileId, Place, Sources, Span, calm, steers};

/// Up to so many characters a line goes to the renderer as it is, which cuts it to its width.
const LONGEST_LINE: usize = 1000;
/// Of a longer line, so many characters before and after its mark are shown.
const BEFORE: usize = 60;
const AFTER: usize = 60;
/// Two places this many lines apart are shown in one piece.
const NEAR: usize = 4;
/// A piece in which several places are shown must not be longer than this.
const LONGEST_PIECE: usize = 3000;

pub(super) struct Mark {
    pub(super) start: usize,
    pub(super) end: usize,
    pub(super) label: String,
    pub(super) primary: bool,
}

pub(super) struct Excerpt {
    pub(super) name: String,
    pub(super) place: Place,
    pub(super) first_line: usize,
    pub(super) text: String,
    pub(super) marks: Vec<Mark>,
    file: FileId,
    /// Bytes of the source shown, when they are shown as they are.
    whole: Option<(usize, usize)>,
}

impl Excerpt {
    pub(super) fn new(sources: &Sources, span: Span, label: &str, primary: bool) -> Self {
        let (line, line_start) = sources.line_of(span.file, span.start);
        let text = sources.text(span.file);
        let line_end = line_end(text, line_start);
        let end = span.end.clamp(span.start, line_end.max(span.start));
        let mut excerpt = Self {
            name: calm(sources.name(span.file)),
            place: sources.place(span.file, span.start),
            first_line: line,
            text: String::new(),
            marks: Vec::new(),
            file: span.file,
            whole: None,
        };
        let line_text = text.get(line_start..line_end).unwrap_or("");
        let fits = line_text.len() <= LONGEST_LINE && !has_controls(line_text);
        let (start, end) = (span.start - line_start.min(span.start), end - line_start.min(end));
        let (start, end) = if fits {
            excerpt.whole = Some((line_start, line_end));
            line_text.clone_into(&mut excerpt.text);
            (start, end)
        } else {
            excerpt.cut(line_text, start, end)
        };
        excerpt.mark(start, end, label, primary);
        excerpt
    }

    /// Whether whole lines are shown, just as they stand in the source.
    pub(super) fn is_whole(&self) -> bool {
        self.whole.is_some()
    }

    /// Takes one more place if it lies close by in the same file.
    pub(super) fn absorb(&mut self, sources: &Sources, span: Span, label: &str) -> bool {
        let Some((from, to)) = self.whole else { return false };
        if span.file != self.file {
            return false;
        }
        let text = sources.text(span.file);
        let (line, line_start) = sources.line_of(span.file, span.start);
        let (last_line, _) = sources.line_of(span.file, to);
        let line_end = line_end(text, line_start);
        let (new_from, new_to) = (from.min(line_start), to.max(line_end));
        let near = line + NEAR >= self.first_line && line <= last_line + NEAR;
        let Some(piece) = text.get(new_from..new_to) else { return false };
        if !near || piece.len() > LONGEST_PIECE || piece.lines().any(has_controls) {
            return false;
        }
        for mark in &mut self.marks {
            mark.start += from - new_from;
            mark.end += from - new_from;
        }
        piece.clone_into(&mut self.text);
        self.whole = Some((new_from, new_to));
        self.first_line = self.first_line.min(line);
        let end = span.end.clamp(span.start, line_end.max(span.start));
        self.mark(span.start - new_from, end - new_from, label, false);
        true
    }

    fn mark(&mut self, start: usize, end: usize, label: &str, primary: bool) {
        let start = crate::text::floor_boundary(&self.text, start);
        let end = crate::text::floor_boundary(&self.text, end).max(start);
        let label = label.to_owned();
        self.marks.push(Mark { start, end, label, primary });
    }

    /// Keeps the part of a long line around its mark, and shows control characters as `�`.
    fn cut(&mut self, line: &str, start: usize, end: usize) -> (usize, usize) {
        let start = crate::text::floor_boundary(line, start);
        let end = crate::text::floor_boundary(line, end).max(start);
        let before: Vec<char> = line[..start].chars().rev().take(BEFORE).collect();
        let cut_before = line[..start].chars().nth(BEFORE).is_some();
        let clean = |c: char| if steers(c) && c != '\t' { '\u{FFFD}' } else { c };
        if cut_before {
            self.text.push('…');
        }
        self.text.extend(before.into_iter().rev().map(clean));
        let mark_start = self.text.len();
        self.text.extend(line[start..end].chars().take(AFTER).map(clean));
        let mark_end = self.text.len();
        let marked = line[start..end].chars().take(AFTER).count();
        let mut rest = line[start..].chars().skip(marked);
        self.text.extend(rest.by_ref().take(AFTER - marked).map(clean));
        if rest.next().is_some() {
            self.text.push('…');
        }
        (mark_start, mark_end)
    }
}

/// The byte at which the line that starts at `start` ends, without its line break.
fn line_end(text: &str, start: usize) -> usize {
    let rest = text.get(start..).unwrap_or("");
    let line = rest.split_once('\n').map_or(rest, |(line, _)| line);
    start + line.strip_suffix('\r').unwrap_or(line).len()
}

fn has_controls(line: &str) -> bool {
    line.strip_suffix('\r').unwrap_or(line).chars().any(|c| steers(c) && c != '\t')
}
