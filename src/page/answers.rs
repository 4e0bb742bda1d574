//! The sections of an answer as they are: headings, sentences, tables.

use std::collections::BTreeSet;

use maud::{Markup, html};

use crate::answer::{
    Abreast, Align, Answer, Block, Lay, Row, Section, Sentence, State, Table, Weight,
};
use crate::pictures::{Pen, in_page, words};
use crate::render::grid::{Column, columns};

/// Puts sections of answers down on a page.
pub(super) struct Answers<'a> {
    pub(super) pen: &'a Pen,
}

impl Answers<'_> {
    /// All sections of an answer that people see; what is detail is folded. What another answer has `said`
    /// before, word for word, is not said again.
    pub(super) fn sections(
        &self,
        answer: &Answer,
        leave: &[&str],
        said: &mut BTreeSet<String>,
    ) -> Markup {
        let shown = |section: &&Section| {
            section.seen.by_people() && !section.is_empty() && !leave.contains(&section.name)
        };
        let new = |section: &&Section| said.insert(self.blocks(section).into_string());
        let sections: Vec<&Section> = answer.sections.iter().filter(shown).filter(new).collect();
        // What stands in short above is told in full where it is asked for.
        let in_full = |section: &Section| {
            let short = |other: &&Section| other.brief && other.name == section.name;
            section.title.is_none() && !section.brief && sections.iter().any(short)
        };
        html! {
            @for section in &sections {
                @if in_full(section) {
                    details class="section" {
                        summary { "The same in full" }
                        (self.blocks(section))
                    }
                } @else if is_folded(section) {
                    details class="section" {
                        summary { (self.heading(section)) }
                        (self.blocks(section))
                    }
                } @else {
                    section class="section" {
                        @if section.title.is_some() { h3 { (self.heading(section)) } }
                        (self.blocks(section))
                    }
                }
            }
        }
    }

    fn heading(&self, section: &Section) -> Markup {
        section.title.as_ref().map_or_else(|| html! {}, |title| in_page(&self.pen.sentence(title)))
    }

    /// What a section says.
    pub(super) fn blocks(&self, section: &Section) -> Markup {
        html! {
            @for run in runs(&section.blocks) {
                @match run {
                    Run::Points(points) => ul {
                        @for point in points { li { (self.sentence(point)) } }
                    },
                    Run::One(Block::Table(table)) => (self.table(table)),
                    Run::One(Block::Say(sentence, lay, weight)) => {
                        @let class = if *weight == Weight::Detail { "aside" } else { "say" };
                        @match lay {
                            Lay::Numbered(number) => p class=(class) { b { (number) ". " } (self.sentence(sentence)) },
                            _ => p class=(class) { (self.sentence(sentence)) },
                        }
                    }
                }
            }
        }
    }

    /// A sentence; a line that does not go on from the one before begins a line of its own.
    fn sentence(&self, sentence: &Sentence) -> Markup {
        let told = self.pen.sentence(sentence);
        let lines = |text: &str| flowing(text.trim_start_matches("VERDICT  "));
        let lines: Vec<_> = told.iter().map(|(class, text)| (*class, lines(text))).collect();
        html! {
            @for (class, lines) in &lines {
                span class=[*class] {
                    @for (k, line) in lines.iter().enumerate() {
                        @if let Some(point) = line.strip_prefix("- ") {
                            span class="dash" { (in_page(&words(point))) }
                        } @else {
                            @if k > 0 && !lines[k - 1].starts_with("- ") { br; }
                            (in_page(&words(line.as_str())))
                        }
                    }
                }
            }
        }
    }

    /// A table, in every unit system.
    pub(super) fn table(&self, table: &Table) -> Markup {
        if table.rows_of_people() == 0 {
            return html! {};
        }
        let all: Vec<(Option<&'static str>, Vec<Column>)> =
            self.pen.styles().map(|(style, class)| (class, columns(&style, table))).collect();
        let seen = table.for_people();
        let rows = seen
            .rows
            .iter()
            .filter(|row| !(table.abreast == Abreast::Compared && matches!(row, Row::Gap)));
        let first = &all[0].1;
        html! {
            div class="table" tabindex="0" role="group" aria-label="table" {
                table {
                    thead { tr {
                        @for (k, (_, align, _)) in first.iter().enumerate() {
                            th scope="col" class=[side(*align)] {
                                (in_page(&told(&all, &|column| column[k].0.replace('\n', " "))))
                            }
                        }
                    } }
                    tbody {
                        @for (r, row) in rows.enumerate() {
                            tr class=[class_of(row)] {
                                @for (k, (_, align, _)) in first.iter().enumerate() {
                                    @let cell = told(&all, &|column| column[k].2[r].clone());
                                    @if k == 0 {
                                        th scope="row" class=[indented(&cell[0].1, *align)] { (in_page(&cell)) }
                                    } @else {
                                        td class=[side(*align)] { (in_page(&cell)) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Whether a section is folded: detail, and plots made of signs, which stand as pictures above.
fn is_folded(section: &Section) -> bool {
    section.title.is_some() && (section.weight == Weight::Detail || section.name == "histories")
}

/// A text of the columns in every unit system.
fn told(
    all: &[(Option<&'static str>, Vec<Column>)],
    of: &dyn Fn(&[Column]) -> String,
) -> crate::pictures::Told {
    let texts: Vec<_> = all.iter().map(|(class, columns)| (*class, of(columns))).collect();
    if texts.iter().all(|(_, text)| *text == texts[0].1) {
        return words(texts[0].1.clone());
    }
    texts
}

/// The class of a cell; none of what stands on the left, as most does.
fn side(align: Align) -> Option<&'static str> {
    match align {
        Align::Left => None,
        Align::Right => Some("right"),
    }
}

/// The first cell of a row: set in where its words are.
fn indented(text: &str, align: Align) -> Option<&'static str> {
    match align {
        Align::Left if text.starts_with(' ') => Some("in"),
        other => side(other),
    }
}

/// What is broken in a row stands out; words in it say so too.
fn class_of(row: &Row) -> Option<&'static str> {
    match row {
        Row::Gap => Some("gap"),
        Row::Cells { cells, .. } => {
            cells.iter().any(|cell| cell.state == State::Broken).then_some("has-broken")
        }
    }
}

/// The lines of a text that stand by themselves: a line that was only broken to fit a screen is joined again.
fn flowing(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines() {
        let words = line.trim();
        // Points of their own stand further in.
        let goes_on = line.len() - line.trim_start().len() == 2
            && words.chars().next().is_some_and(|first| first.is_lowercase() || first == '(');
        match lines.last_mut() {
            Some(last) if goes_on => {
                last.push(' ');
                last.push_str(words);
            }
            _ => lines.push(words.to_owned()),
        }
    }
    lines
}

/// Blocks that belong together.
enum Run<'a> {
    /// Points of one list.
    Points(Vec<&'a Sentence>),
    /// Anything else.
    One(&'a Block),
}

fn runs(blocks: &[Block]) -> Vec<Run<'_>> {
    let mut runs: Vec<Run<'_>> = Vec::new();
    for block in blocks {
        match (block, runs.last_mut()) {
            (Block::Say(point, Lay::Point, _), Some(Run::Points(points))) => points.push(point),
            (Block::Say(point, Lay::Point, _), _) => runs.push(Run::Points(vec![point])),
            _ => runs.push(Run::One(block)),
        }
    }
    runs
}
