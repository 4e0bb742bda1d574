//! Tables: columns of a kind, and rows of cells.

use coolwright_cases::quantity::Kind;

use super::Value;

/// Where the cells of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words, flush left.
    Left,
    /// Numbers, at their points.
    Right,
}

/// A column of a table.
#[derive(Clone, Debug)]
pub struct Column {
    /// Its name for programs.
    pub name: String,
    /// Its heading for people, which may be broken into lines.
    pub heading: String,
    /// The kind of all its numbers; `None` where it holds words, or numbers of several kinds.
    pub kind: Option<Kind>,
    /// Where its cells stand.
    pub align: Align,
    /// At how many signs its words are broken into lines for people, if they are.
    pub width: Option<usize>,
    /// Who sees it.
    pub seen: Seen,
    /// Whether it stays where the table is too wide.
    pub weight: Weight,
}

/// Who sees a row or a column. People see the few that matter, programs take all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// Everyone.
    All,
    /// People only: what programs have elsewhere.
    People,
    /// Programs only: what would be too much for people.
    Programs,
}

impl Seen {
    /// Whether people see it.
    pub fn by_people(self) -> bool {
        self != Self::Programs
    }

    /// Whether programs see it.
    pub fn by_programs(self) -> bool {
        self != Self::People
    }
}

/// Where a part of an answer stands when people get only what matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Always there.
    Headline,
    /// There where there is room.
    Support,
    /// There where all is asked for.
    Detail,
}

/// Which columns a table shows to people.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Columns {
    /// All of them.
    All,
    /// Columns of numbers only where some row has one.
    Filled,
}

/// How a limit on the number of a cell stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// There is no limit on it.
    Free,
    /// It is kept.
    Holds,
    /// It is broken.
    Broken,
}

/// A cell of a table.
#[derive(Clone, Debug)]
pub struct Cell {
    /// What it holds.
    pub value: Value,
    /// Half width of what a number may be, because published laws disagree, SI.
    pub uncertainty: Option<f64>,
    /// Least and most instead, SI, where it does not follow in a straight line.
    pub bounds: Option<[f64; 2]>,
    /// How a limit on it stands.
    pub state: State,
}

impl Cell {
    /// The same with what its number may be off by.
    #[must_use]
    pub fn within(mut self, uncertainty: Option<f64>) -> Self {
        self.uncertainty = uncertainty;
        self
    }

    /// The same between a least and a most.
    #[must_use]
    pub fn between(mut self, bounds: Option<[f64; 2]>) -> Self {
        self.bounds = bounds;
        self
    }

    /// The same under a limit.
    #[must_use]
    pub fn judged(mut self, holds: bool) -> Self {
        self.state = if holds { State::Holds } else { State::Broken };
        self
    }
}

impl<V: Into<Value>> From<V> for Cell {
    fn from(value: V) -> Self {
        Self { value: value.into(), uncertainty: None, bounds: None, state: State::Free }
    }
}

/// A row of a table.
#[derive(Clone, Debug)]
pub enum Row {
    /// Cells, one for each column.
    Cells {
        /// Address of what they are about.
        of: Option<String>,
        /// The cells.
        cells: Vec<Cell>,
        /// Who sees them.
        seen: Seen,
        /// Whether they stand in an answer that is cut to what matters.
        weight: Weight,
    },
    /// Sets the rows above it apart from those below.
    Gap,
}

/// A table.
#[derive(Clone, Debug)]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
    /// Which columns people see.
    pub shown: Columns,
    /// Whether rows are of different kinds, so that every number keeps its unit.
    pub mixed: bool,
    /// Whether numbers over a limit carry a mark for people.
    pub marked: bool,
    /// How its columns stand beside each other.
    pub abreast: Abreast,
}

/// How the columns of a table stand beside each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Abreast {
    /// As they are, however wide.
    All,
    /// Those that do not fit a line in blocks below, each beside the first column.
    InBlocks,
    /// The same for comparison: every row has one unit of its own, and one whose cells all say the same is left out where
    /// the answer is cut to what matters.
    Compared,
}

impl Table {
    /// A table without columns.
    pub fn new() -> Self {
        Self {
            columns: Vec::new(),
            rows: Vec::new(),
            shown: Columns::All,
            mixed: false,
            marked: false,
            abreast: Abreast::All,
        }
    }

    /// The same with a column.
    fn with(mut self, name: &str, heading: &str, kind: Option<Kind>, align: Align) -> Self {
        let (name, heading) = (name.to_owned(), heading.to_owned());
        let (width, seen, weight) = (None, Seen::All, Weight::Headline);
        self.columns.push(Column { name, heading, kind, align, width, seen, weight });
        self
    }

    /// The same with a column of words.
    #[must_use]
    pub fn words(self, name: &str, heading: &str) -> Self {
        self.with(name, heading, None, Align::Left)
    }

    /// The same with a column of words that are broken into lines of so many signs.
    #[must_use]
    pub fn broken_words(self, name: &str, heading: &str, width: usize) -> Self {
        let mut table = self.words(name, heading);
        if let Some(column) = table.columns.last_mut() {
            column.width = Some(width);
        }
        table
    }

    /// The same with a column of numbers of one kind.
    #[must_use]
    pub fn numbers(self, name: &str, heading: &str, kind: Kind) -> Self {
        self.with(name, heading, Some(kind), Align::Right)
    }

    /// The same with a column of numbers of several kinds, or of numbers and words.
    #[must_use]
    pub fn values(self, name: &str, heading: &str) -> Self {
        self.with(name, heading, None, Align::Right)
    }

    /// The same without the columns of numbers in which no row has any, for people.
    #[must_use]
    pub fn only_filled(mut self) -> Self {
        self.shown = Columns::Filled;
        self
    }

    /// The same with rows of different kinds, so that every number keeps its unit.
    #[must_use]
    pub fn mixed(mut self) -> Self {
        self.mixed = true;
        self
    }

    /// The same with a mark at numbers over a limit.
    #[must_use]
    pub fn marked(mut self) -> Self {
        self.marked = true;
        self
    }

    /// The same with rows to be compared.
    #[must_use]
    pub fn compared(mut self) -> Self {
        self.abreast = Abreast::Compared;
        self
    }

    /// The same, in blocks of columns that each fit a line.
    #[must_use]
    pub fn in_blocks(mut self) -> Self {
        self.abreast = Abreast::InBlocks;
        self
    }

    /// The same, whose last column may go where the table is too wide.
    #[must_use]
    pub fn may_go(mut self) -> Self {
        if let Some(column) = self.columns.last_mut() {
            column.weight = Weight::Support;
        }
        self
    }

    /// The same with a column that only programs see.
    #[must_use]
    pub fn for_programs(self, name: &str, kind: Option<Kind>) -> Self {
        let mut table = self.with(name, name, kind, Align::Left);
        if let Some(column) = table.columns.last_mut() {
            column.seen = Seen::Programs;
        }
        table
    }

    /// Adds a row about a thing.
    pub fn row<I: IntoIterator<Item = Cell>>(&mut self, of: impl Into<String>, cells: I) {
        self.add(Some(of.into()), cells, Seen::All);
    }

    /// Adds a row about nothing that has an address.
    pub fn line<I: IntoIterator<Item = Cell>>(&mut self, cells: I) {
        self.add(None, cells, Seen::All);
    }

    /// Adds a row for some of those who read it.
    pub fn add<I: IntoIterator<Item = Cell>>(&mut self, of: Option<String>, cells: I, seen: Seen) {
        let cells = self.checked(cells);
        self.rows.push(Row::Cells { of, cells, seen, weight: Weight::Headline });
    }

    /// Says whether the last row stands in an answer that is cut to what matters.
    pub fn weigh(&mut self, weight: Weight) {
        if let Some(Row::Cells { weight: of, .. }) = self.rows.last_mut() {
            *of = weight;
        }
    }

    /// Sets what follows apart.
    pub fn gap(&mut self) {
        self.rows.push(Row::Gap);
    }

    /// The table as people see it: without what is for programs.
    #[must_use]
    pub fn for_people(&self) -> Self {
        let keep = |column: &Column| column.seen.by_people();
        let kept: Vec<bool> = self.columns.iter().map(keep).collect();
        let rows = self.rows.iter().filter_map(|row| match row {
            Row::Cells { seen: Seen::Programs, .. } => None,
            Row::Cells { of, cells, seen, weight } => {
                let cells = cells.iter().zip(&kept).filter(|(_, kept)| **kept);
                let cells = cells.map(|(cell, _)| cell.clone()).collect();
                Some(Row::Cells { of: of.clone(), cells, seen: *seen, weight: *weight })
            }
            Row::Gap => Some(Row::Gap),
        });
        let columns = self.columns.iter().filter(|column| keep(column)).cloned().collect();
        Self { columns, rows: rows.collect(), ..*self }
    }

    fn checked<I: IntoIterator<Item = Cell>>(&self, cells: I) -> Vec<Cell> {
        let cells: Vec<Cell> = cells.into_iter().collect();
        debug_assert_eq!(cells.len(), self.columns.len(), "a cell for each column");
        for (cell, column) in cells.iter().zip(&self.columns) {
            let kind = match &cell.value {
                Value::Number(number) => Some(number.kind),
                _ => None,
            };
            debug_assert!(
                column.kind.is_none() || kind.is_none() || kind == column.kind,
                "{kind:?} in the column `{}`",
                column.name
            );
        }
        cells
    }

    /// How many rows people see.
    pub fn rows_of_people(&self) -> usize {
        let seen = |row: &&Row| matches!(row, Row::Cells { seen, .. } if seen.by_people());
        self.rows.iter().filter(seen).count()
    }

    /// All cells of a column.
    pub fn column(&self, column: usize) -> impl Iterator<Item = &Cell> {
        self.rows.iter().filter_map(move |row| match row {
            Row::Cells { cells, .. } => cells.get(column),
            Row::Gap => None,
        })
    }
}

impl Default for Table {
    fn default() -> Self {
        Self::new()
    }
}
