//! Aligned tables in plain text.

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Padding, Style};

/// A table in the making. Columns hold numbers and are aligned at their points, but for those whose
/// heading starts with `<`, which hold words and are set flush left. Where all numbers of a column
/// share a unit, the unit stands once, in the heading.
#[derive(Debug)]
pub struct Table {
    headings: Vec<String>,
    rows: Vec<Vec<String>>,
    left: Vec<bool>,
    mixed: bool,
}

impl Table {
    /// A table with headings, which may be broken into lines.
    pub fn new(headings: &[&str]) -> Self {
        Self {
            headings: headings.iter().map(|h| h.trim_start_matches('<').to_owned()).collect(),
            rows: Vec::new(),
            left: headings.iter().map(|h| h.starts_with('<')).collect(),
            mixed: false,
        }
    }

    /// Says that the rows are of different kinds, so that each number keeps its unit.
    #[must_use]
    pub fn mixed(mut self) -> Self {
        self.mixed = true;
        self
    }

    /// Adds a row.
    pub fn row<I: IntoIterator<Item = String>>(&mut self, cells: I) {
        self.rows.push(cells.into_iter().collect());
    }

    /// Whether it has no rows.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Leaves out the columns of numbers in which no row has any.
    #[must_use]
    pub fn without_empty_columns(mut self) -> Self {
        for column in (0..self.headings.len()).rev() {
            let empty = |row: &Vec<String>| row.get(column).is_none_or(|cell| cell == NOTHING);
            if !self.left[column] && self.rows.iter().all(empty) {
                self.headings.remove(column);
                self.left.remove(column);
                for row in &mut self.rows {
                    row.remove(column);
                }
            }
        }
        self
    }

    /// The table as text, two spaces in from the left.
    pub fn render(mut self) -> String {
        for column in 0..self.headings.len() {
            if !self.left[column] && !self.mixed {
                self.lift_unit(column);
                self.align_points(column);
            }
        }
        let mut builder = Builder::new();
        for line in heading_lines(&self.headings) {
            builder.push_record(line);
        }
        for row in &self.rows {
            builder.push_record(row);
        }
        let mut table = builder.build();
        table.with(Style::empty());
        table.with(Padding::new(0, 2, 0, 0));
        table.modify(Columns::new(..), Alignment::right());
        for (column, _) in self.left.iter().enumerate().filter(|(_, left)| **left) {
            table.modify(Columns::one(column), Alignment::left());
        }
        let mut text = String::new();
        for line in table.to_string().lines() {
            text.push_str(format!("  {line}").trim_end());
            text.push('\n');
        }
        text
    }

    /// Moves the unit of a column into its heading, where all its numbers have the same.
    fn lift_unit(&mut self, column: usize) {
        let mut unit: Option<&str> = None;
        for cell in self.rows.iter().filter_map(|row| row.get(column)) {
            if cell == NOTHING || cell.is_empty() {
                continue;
            }
            match (unit_of(cell), unit) {
                (Some(here), None) => unit = Some(here),
                (Some(here), Some(before)) if here == before => {}
                // No number with a unit, or another unit than above.
                _ => return,
            }
        }
        let Some(unit) = unit.map(str::to_owned) else { return };
        for row in &mut self.rows {
            if let Some(cell) = row.get_mut(column)
                && cell != NOTHING
                && !cell.is_empty()
            {
                cell.truncate(cell.len() - unit.len() - 1);
            }
        }
        self.headings[column].push_str(&format!("\n{unit}"));
    }

    /// Sets the points of a column of plain numbers under each other.
    fn align_points(&mut self, column: usize) {
        let plain = |cell: &str| cell == NOTHING || cell.is_empty() || cell.parse::<f64>().is_ok();
        let digits = |cell: &str| cell.split_once('.').map_or(0, |(_, digits)| digits.len() + 1);
        let cells = || self.rows.iter().filter_map(|row| row.get(column));
        if !cells().all(|cell| plain(cell)) {
            return;
        }
        let most = cells().map(|cell| digits(cell)).max().unwrap_or(0);
        for row in &mut self.rows {
            if let Some(cell) = row.get_mut(column) {
                let missing = most - digits(cell);
                cell.push_str(&NO_BREAK.repeat(missing));
            }
        }
        if most > 0 {
            // The heading stands over the numbers, not over the blanks behind them.
            let heading = &mut self.headings[column];
            *heading = heading.trim_end().to_owned();
        }
    }
}

/// What stands where there is no number.
const NOTHING: &str = "-";
/// A blank that the table does not trim.
const NO_BREAK: &str = " ";

/// The unit of a cell that is a number and a unit.
fn unit_of(cell: &str) -> Option<&str> {
    let (number, unit) = cell.split_once(' ')?;
    number.parse::<f64>().ok()?;
    let in_unit = |c: char| c.is_alphabetic() || "°%/²³·() ".contains(c);
    (!unit.is_empty() && unit.chars().all(in_unit)).then_some(unit)
}

/// Headings of several lines as so many rows, each heading ending in the last.
fn heading_lines(headings: &[String]) -> Vec<Vec<String>> {
    let height = headings.iter().map(|h| h.split('\n').count()).max().unwrap_or(1);
    (0..height)
        .map(|line| {
            let at = |heading: &String| {
                let lines: Vec<&str> = heading.split('\n').collect();
                let above = height - lines.len();
                line.checked_sub(above).map_or_else(String::new, |k| lines[k].to_owned())
            };
            headings.iter().map(at).collect()
        })
        .collect()
}

/// Words broken into lines of at most so many signs, for a cell.
pub fn broken(text: &str, width: usize) -> String {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split_whitespace() {
        let Some(line) = lines.last_mut() else { break };
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(word.to_owned());
        } else {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines.join("\n")
}
