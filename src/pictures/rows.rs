//! Rows of the tables of an answer, their cells found by the names that programs know them by.

use coolwright_cases::quantity::Kind;

use crate::answer::{Answer, Block, Cell, Row, Section, Table, Value, Weight};

/// A row of a table.
#[derive(Clone, Copy)]
pub(super) struct Found<'a> {
    /// Address of what it is about.
    pub(super) of: Option<&'a str>,
    table: &'a Table,
    cells: &'a [Cell],
    /// Whether people see it.
    pub(super) by_people: bool,
    /// Whether it stands only where all is asked for.
    pub(super) is_detail: bool,
}

impl<'a> Found<'a> {
    /// A cell.
    pub(super) fn cell(&self, name: &str) -> Option<&'a Cell> {
        let place = self.table.columns.iter().position(|column| column.name == name)?;
        self.cells.get(place)
    }

    /// A number of a cell, SI.
    pub(super) fn number(&self, name: &str) -> Option<f64> {
        match self.cell(name)?.value {
            Value::Number(number) => Some(number.si),
            _ => None,
        }
    }

    /// The kind of the number of a cell.
    pub(super) fn kind(&self, name: &str) -> Option<Kind> {
        match self.cell(name)?.value {
            Value::Number(number) => Some(number.kind),
            _ => None,
        }
    }

    /// The text of a cell.
    pub(super) fn text(&self, name: &str) -> Option<&'a str> {
        match &self.cell(name)?.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// What stands in a cell, if anything does.
    pub(super) fn value(&self, name: &str) -> Option<&'a Value> {
        self.cell(name).map(|cell| &cell.value).filter(|value| !value.is_nothing())
    }
}

/// The rows of all tables of a section.
pub(super) fn rows(section: &Section) -> Vec<Found<'_>> {
    let tables = section.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        Block::Say(..) => None,
    });
    tables.flat_map(of_table).collect()
}

fn of_table(table: &Table) -> impl Iterator<Item = Found<'_>> {
    table.rows.iter().filter_map(move |row| match row {
        Row::Cells { of, cells, seen, weight } => {
            let (by_people, is_detail) = (seen.by_people(), *weight == Weight::Detail);
            Some(Found { of: of.as_deref(), table, cells, by_people, is_detail })
        }
        Row::Gap => None,
    })
}

/// The sections of a name.
pub(super) fn sections<'a>(answer: &'a Answer, name: &'a str) -> impl Iterator<Item = &'a Section> {
    answer.sections.iter().filter(move |section| section.name == name && !section.brief)
}
