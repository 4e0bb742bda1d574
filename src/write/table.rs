//! Aligned tables in plain text.

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Padding, Style};

/// A table in the making. Columns whose heading ends in a unit hold numbers and are set flush
/// right; those named in `text` are set flush left.
#[derive(Debug)]
pub struct Table {
    builder: Builder,
    left: Vec<usize>,
    rows: usize,
}

impl Table {
    /// A table with headings; columns whose heading starts with `<` are set flush left.
    pub fn new(headings: &[&str]) -> Self {
        let mut builder = Builder::new();
        builder.push_record(headings.iter().map(|h| h.trim_start_matches('<')));
        let left = (0..headings.len()).filter(|&k| headings[k].starts_with('<')).collect();
        Self { builder, left, rows: 0 }
    }

    /// Adds a row.
    pub fn row<I: IntoIterator<Item = String>>(&mut self, cells: I) {
        self.builder.push_record(cells);
        self.rows += 1;
    }

    /// Whether it has no rows.
    pub fn is_empty(&self) -> bool {
        self.rows == 0
    }

    /// The table as text, two spaces in from the left.
    pub fn render(self) -> String {
        let mut table = self.builder.build();
        table.with(Style::empty());
        table.with(Padding::new(0, 2, 0, 0));
        table.modify(Columns::new(..), Alignment::right());
        for column in self.left {
            table.modify(Columns::one(column), Alignment::left());
        }
        let mut text = String::new();
        for line in table.to_string().lines() {
            text.push_str(&format!("  {}\n", line.trim_end()));
        }
        text
    }
}
