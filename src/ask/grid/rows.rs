//! What the rows of a grid hold: their columns, and what stands in each field.

use coolwright_cases::quantity::{InUnit, Kind};

use super::{Grid, Setting};
use crate::answer::kinds;
use crate::render::csv;
use crate::study::Bound;

/// A column of the rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its heading, with its unit in brackets where it has one.
    pub heading: String,
    /// What stands in it.
    pub holds: Holds,
}

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Whole numbers.
    Counts,
    /// Numbers, or nothing.
    Numbers,
    /// Words, or nothing.
    Words,
}

/// A field of a row.
#[derive(Clone, Debug, PartialEq)]
pub enum Field {
    /// Nothing.
    Empty,
    /// A whole number.
    Count(i64),
    /// A number in the unit of its column.
    Number(f64),
    /// Words.
    Words(String),
}

impl Grid<'_> {
    /// The columns of the rows.
    pub fn columns(&self) -> Vec<Column> {
        let unit = |kind: Kind| InUnit::of(kind, self.units);
        let heading = |name: &str, kind: Kind| match unit(kind).symbol {
            "" => name.to_owned(),
            symbol => format!("{name} [{symbol}]"),
        };
        let column = |heading: String, holds| Column { heading, holds };
        let words = |heading: &str| column(heading.to_owned(), Holds::Words);
        let mut columns = vec![column("case".to_owned(), Holds::Counts)];
        for (k, axis) in self.axes.iter().enumerate() {
            let heading =
                axis.kind.map_or_else(|| axis.address.clone(), |kind| heading(&axis.address, kind));
            let has_words = self.settings_of(k).any(|of| matches!(of, Setting::Text(_)));
            columns.push(column(heading, if has_words { Holds::Words } else { Holds::Numbers }));
        }
        columns.extend(["verdict", "why"].map(words));
        for limit in &self.built.limits {
            let name = format!("{}{}", limit.name, self.side(&limit.name, limit.bound));
            let margin = heading(&format!("{name} margin"), kinds::difference(limit.kind));
            columns.push(column(heading(&name, limit.kind), Holds::Numbers));
            columns.push(column(margin, Holds::Numbers));
            columns.push(words(&format!("{name} standing")));
        }
        columns.push(words("seal"));
        columns
    }

    /// All that an axis goes through.
    fn settings_of(&self, axis: usize) -> impl Iterator<Item = &Setting> {
        let behind = self.axes.len() - self.lists.len();
        let listed = axis.checked_sub(behind).map(|k| &self.lists[k]);
        let tabled = self.table.iter().filter_map(move |row| row.get(axis));
        listed.into_iter().flatten().chain(tabled)
    }

    /// The side of a bound where two limits have one name.
    fn side(&self, name: &str, bound: Bound) -> &'static str {
        let same = self.built.limits.iter().filter(|other| other.name == name).count();
        match bound {
            _ if same < 2 => "",
            Bound::AtLeast => " min",
            Bound::AtMost => " max",
        }
    }

    /// The header of the rows, without the end of its line.
    pub fn header(&self) -> String {
        let headings: Vec<String> = self.columns().into_iter().map(|of| of.heading).collect();
        csv::line(&headings)
    }

    /// The fields of a row; a field that is none of its column's is words.
    pub fn fields(columns: &[Column], row: &str) -> Vec<Field> {
        let texts = csv::records(row).ok().and_then(|rows| rows.into_iter().next());
        let field = |(column, text): (&Column, String)| {
            if text.is_empty() {
                return Field::Empty;
            }
            let read = match column.holds {
                Holds::Counts => text.parse().ok().map(Field::Count),
                Holds::Numbers => text.parse().ok().map(Field::Number),
                Holds::Words => None,
            };
            read.unwrap_or(Field::Words(text))
        };
        columns.iter().zip(texts.unwrap_or_default()).map(field).collect()
    }

    /// The row with such fields: the text that they were taken from.
    pub fn row_of(fields: &[Field]) -> String {
        let text = |field: &Field| match field {
            Field::Empty => String::new(),
            Field::Count(count) => count.to_string(),
            Field::Number(number) => csv::field(*number),
            Field::Words(words) => words.clone(),
        };
        csv::line(&fields.iter().map(text).collect::<Vec<_>>())
    }
}
