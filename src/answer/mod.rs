//! Answers as data: typed sections of tables and sentences, which text, JSON and CSV only put down.
//!
//! Every number is in SI units and carries its kind; units and digits are chosen where an answer is
//! put down. Words that people read stand in the sentences and headings of the sections, once for all
//! forms.

pub mod drawing;
pub mod kinds;
pub mod sentence;
pub mod table;

pub use sentence::{Form, Number, Sentence, Value};
pub use table::{Abreast, Align, Cell, Column, Columns, Row, Seen, State, Table, Weight};

use std::ops::Range;

use coolwright_cases::quantity::Kind;

use crate::refusal::Refusal;

/// What was asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Topic {
    /// Does the case read, is the plumbing sensible?
    Check,
    /// One operating point.
    Point,
    /// The duty cycle.
    Cycle,
    /// Variants side by side.
    Compare,
    /// Which change moves which limit most.
    Levers,
    /// The value that just meets all limits.
    Size,
    /// What each failure does, how soon, and how it shows.
    Failures,
    /// With what chance limits hold, and what drives that.
    Chance,
    /// Many cases over any addresses.
    Grid,
    /// Whether it holds on the day, and what is left.
    Day,
    /// How one number comes about.
    Why,
    /// The papers for shop and stand.
    Sheets,
    /// What a log tells.
    Learn,
}

impl Topic {
    /// Its name, also that of its command.
    pub fn word(self) -> &'static str {
        match self {
            Self::Check => "check",
            Self::Point => "point",
            Self::Cycle => "cycle",
            Self::Compare => "compare",
            Self::Levers => "levers",
            Self::Size => "size",
            Self::Failures => "failures",
            Self::Chance => "chance",
            Self::Grid => "grid",
            Self::Day => "day",
            Self::Why => "why",
            Self::Sheets => "sheets",
            Self::Learn => "learn",
        }
    }
}

/// How limits stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// All were judged and are kept.
    Holds,
    /// Some limit is broken.
    Broken,
    /// None is known to be broken, but not all were judged.
    NotJudged,
    /// Nothing was solved, so nothing is known.
    Unsolved,
}

impl Verdict {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Broken => "broken",
            Self::NotJudged => "not_judged",
            Self::Unsolved => "unsolved",
        }
    }
}

/// An answer.
#[derive(Clone, Debug)]
pub struct Answer {
    /// What was asked.
    pub topic: Topic,
    /// How the limits stand; `None` where none was asked for.
    pub verdict: Option<Verdict>,
    /// What the verdict says beside its word: what is broken and why, what could turn what is kept, what speaks
    /// against it. None for one that holds without a doubt.
    pub beside: Vec<Sentence>,
    /// What the case is about, in its own words.
    pub title: String,
    /// The variant, if it is one.
    pub variant: Option<String>,
    /// The phase of the duty cycle, if it is one.
    pub phase: Option<String>,
    /// What people read, in this order.
    pub sections: Vec<Section>,
    /// Every result; of `compare` those of each variant are in `variants`.
    pub results: Vec<ResultValue>,
    /// Results over time.
    pub histories: Option<Histories>,
    /// The variants of a comparison.
    pub variants: Vec<VariantAnswer>,
    /// What can hurt someone, by what the case holds and what came out.
    pub cautions: Vec<Sentence>,
    /// Faults of the texts that left an answer: those of variants where `check` looks at the case.
    pub faults: Option<Refusal>,
}

impl Answer {
    /// An answer without content.
    pub fn new(topic: Topic, title: &str) -> Self {
        Self {
            topic,
            verdict: None,
            beside: Vec::new(),
            title: title.to_owned(),
            variant: None,
            phase: None,
            sections: Vec::new(),
            results: Vec::new(),
            histories: None,
            variants: Vec::new(),
            cautions: Vec::new(),
            faults: None,
        }
    }
}

/// One result.
#[derive(Clone, Debug)]
pub struct ResultValue {
    /// Its address.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// What it is, in words.
    pub label: &'static str,
    /// How it comes about.
    pub formula: &'static str,
    /// The number, SI.
    pub value: f64,
    /// What it may be off by because published laws disagree, SI; `None` where that is not known.
    pub uncertainty: Option<f64>,
    /// Its least and most, SI, where it does not follow in a straight line; instead of the half width.
    pub bounds: Option<[f64; 2]>,
}

/// One variant of a comparison.
#[derive(Clone, Debug)]
pub struct VariantAnswer {
    /// Its name.
    pub name: String,
    /// How its limits stand.
    pub verdict: Verdict,
    /// What that says beside its word.
    pub beside: Vec<Sentence>,
    /// Why it could not be solved, if it could not.
    pub unsolved: Option<Sentence>,
    /// Its limits, as they stand; none where it could not be solved.
    pub limits: Option<Section>,
    /// Its results at the operating point; none where it was judged by its cycle.
    pub results: Vec<ResultValue>,
}

/// Results over time.
#[derive(Clone, Debug)]
pub struct Histories {
    /// What the columns are.
    pub columns: Vec<HistoryColumn>,
    /// The times, s. At the end of a phase there are two of the same: the phase's last instant and the
    /// next one's first.
    pub times_s: Vec<f64>,
    /// The phases: name, and the rows that belong to it.
    pub phases: Vec<(String, Range<usize>)>,
    /// The numbers in SI units, one row a time.
    pub rows: Vec<Vec<f64>>,
}

/// What a column of histories holds.
#[derive(Clone, Debug)]
pub struct HistoryColumn {
    /// Address of the result.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// What it is, in words.
    pub label: &'static str,
    /// How it comes about.
    pub formula: &'static str,
}

/// A piece of an answer under one heading.
#[derive(Clone, Debug)]
pub struct Section {
    /// Its name, the same in every answer.
    pub name: &'static str,
    /// What it is about, by its address, where there are several of that name.
    pub of: Option<String>,
    /// Its heading; none where it needs none.
    pub title: Option<Sentence>,
    /// Whether it is set in and stands under the section before it.
    pub below: bool,
    /// Whether it stands apart from what is above it.
    pub apart: bool,
    /// Who reads it.
    pub seen: Seen,
    /// Whether it stands in an answer that is cut to what matters.
    pub weight: Weight,
    /// Whether it stands in such an answer only, in the place of one that is left out of it.
    pub brief: bool,
    /// What it says.
    pub blocks: Vec<Block>,
}

/// What a section is made of.
#[derive(Clone, Debug)]
pub enum Block {
    /// A table.
    Table(Table),
    /// A sentence, how it is set, and whether it stands in an answer that is cut to what matters.
    Say(Sentence, Lay, Weight),
}

/// How a sentence is set in text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lay {
    /// As it is, lines broken where the sentence says so.
    Lines,
    /// As it is, set in by two.
    Inset,
    /// Wrapped as a paragraph, from the left.
    Flush,
    /// Wrapped as a paragraph, set in by two.
    Paragraph,
    /// A point of a list.
    Point,
    /// A numbered point: every line of the sentence begins a line of its own.
    Numbered(usize),
}

impl Section {
    /// A section with a heading, apart from what is above it.
    pub fn new(name: &'static str, title: impl Into<Sentence>) -> Self {
        let title = Some(title.into());
        Self {
            name,
            of: None,
            title,
            below: false,
            apart: true,
            seen: Seen::All,
            weight: Weight::Headline,
            brief: false,
            blocks: Vec::new(),
        }
    }

    /// A section that needs no heading.
    pub fn plain(name: &'static str) -> Self {
        Self {
            name,
            of: None,
            title: None,
            below: false,
            apart: false,
            seen: Seen::All,
            weight: Weight::Headline,
            brief: false,
            blocks: Vec::new(),
        }
    }

    /// The same, apart from what is above it.
    #[must_use]
    pub fn apart(mut self) -> Self {
        self.apart = true;
        self
    }

    /// The same for people only.
    #[must_use]
    pub fn for_people(mut self) -> Self {
        self.seen = Seen::People;
        self
    }

    /// The same for programs only.
    #[must_use]
    pub fn for_programs(mut self) -> Self {
        self.seen = Seen::Programs;
        self
    }

    /// The same, shown where there is room for it.
    #[must_use]
    pub fn support(mut self) -> Self {
        self.weight = Weight::Support;
        self
    }

    /// The same, shown only where all is asked for.
    #[must_use]
    pub fn detail(mut self) -> Self {
        self.weight = Weight::Detail;
        self
    }

    /// The same for people only, where the answer is cut to what matters.
    #[must_use]
    pub fn brief(mut self) -> Self {
        self.brief = true;
        self.for_people()
    }

    /// The same about a thing.
    #[must_use]
    pub fn of(mut self, address: impl Into<String>) -> Self {
        self.of = Some(address.into());
        self
    }

    /// The same, set in under the section before it.
    #[must_use]
    pub fn below(mut self) -> Self {
        self.below = true;
        self
    }

    /// The same with a table.
    #[must_use]
    pub fn table(mut self, table: Table) -> Self {
        self.blocks.push(Block::Table(table));
        self
    }

    /// The same with a sentence.
    #[must_use]
    pub fn say(mut self, sentence: impl Into<Sentence>, lay: Lay) -> Self {
        self.blocks.push(Block::Say(sentence.into(), lay, Weight::Headline));
        self
    }

    /// The same with a sentence that explains, for those who ask for all.
    #[must_use]
    pub fn aside(mut self, sentence: impl Into<Sentence>, lay: Lay) -> Self {
        self.blocks.push(Block::Say(sentence.into(), lay, Weight::Detail));
        self
    }

    /// The same with sentences as points of a list.
    #[must_use]
    pub fn points<S: Into<Sentence>>(mut self, sentences: impl IntoIterator<Item = S>) -> Self {
        let points =
            sentences.into_iter().map(|s| Block::Say(s.into(), Lay::Point, Weight::Headline));
        self.blocks.extend(points);
        self
    }

    /// The same with sentences as points of a list, shown where there is room for them.
    #[must_use]
    pub fn more_points<S: Into<Sentence>>(
        mut self,
        sentences: impl IntoIterator<Item = S>,
    ) -> Self {
        let points =
            sentences.into_iter().map(|s| Block::Say(s.into(), Lay::Point, Weight::Support));
        self.blocks.extend(points);
        self
    }

    /// Whether it says nothing: no sentence, and no table with rows.
    pub fn is_empty(&self) -> bool {
        self.blocks.iter().all(|block| match block {
            Block::Table(table) => table.rows.is_empty(),
            Block::Say(..) => false,
        })
    }
}
