//! An answer as a workbook: a sheet for each of its subjects, numbers as numbers.

mod over_time;

use coolwright::answer::{
    Answer, Block, Cell, ResultValue, Row, Section, State, Table, Value, kinds,
};
use coolwright::ask::Grid;
use coolwright::ask::grid::{Column, Field};
use coolwright::render::{Extent, Style};
use coolwright_cases::quantity::{InUnit, UnitSystem};
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatBorder, Workbook, Worksheet, XlsxError,
};

/// A name of a sheet is no longer than this.
const NAME: usize = 31;
/// Columns are no wider than this, in signs.
const WIDEST: usize = 60;

/// The workbook of an answer.
///
/// # Errors
/// With a message.
pub(super) fn workbook(
    answer: &Answer,
    rows: Option<Rows>,
    style: &Style,
    extent: &Extent,
) -> Result<Vec<u8>, String> {
    book(answer, rows, style, extent).map_err(|error| format!("cannot make a workbook: {error}"))
}

fn book(
    answer: &Answer,
    rows: Option<Rows>,
    style: &Style,
    extent: &Extent,
) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // The same answer is the same file, whenever it was made.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let properties = DocProperties::new().set_title(&answer.title).set_creation_datetime(&made);
    book.set_properties(&properties);
    let wanted = |section: &Section| match extent {
        Extent::Only(name) => section.name == name,
        Extent::Short | Extent::Full => true,
    };
    let shown = |section: &&Section| {
        section.seen.by_people() && !section.is_empty() && !section.brief && wanted(section)
    };
    let mut names: Vec<&str> = Vec::new();
    for section in answer.sections.iter().filter(shown) {
        if !names.contains(&section.name) {
            names.push(section.name);
        }
    }
    for name in names {
        let sheet = book.add_worksheet();
        let words = name.replace('_', " ");
        sheet.set_name(words.chars().take(NAME).collect::<String>())?;
        sheet.set_landscape();
        sheet.set_print_fit_to_pages(1, 0);
        let mut pen = Pen { sheet, style, row: 0, widths: Vec::new() };
        for section in answer.sections.iter().filter(shown).filter(|section| section.name == name) {
            pen.section(section)?;
        }
        pen.row += 1;
        for caution in &answer.cautions {
            pen.line(&style.sentence(caution), None)?;
        }
        for (column, width) in pen.widths.iter().enumerate() {
            let width = width.clamp(&8, &WIDEST);
            pen.sheet.set_column_width(u16::try_from(column).unwrap_or(u16::MAX), *width as f64)?;
        }
    }
    if matches!(extent, Extent::Only(_)) {
        return book.save_to_buffer();
    }
    if let Some((columns, rows)) = rows {
        cases(book.add_worksheet(), &columns, &rows)?;
    }
    if !answer.results.is_empty() {
        results(book.add_worksheet(), &answer.results, style.units)?;
    }
    if let Some(histories) = &answer.histories {
        over_time::sheets(&mut book, histories, style.units)?;
    }
    book.save_to_buffer()
}

/// The rows of a grid, with their columns.
pub(super) type Rows = (Vec<Column>, Vec<String>);

/// The sheet of the rows of a grid: numbers as numbers, their units in the headings.
fn cases(sheet: &mut Worksheet, columns: &[Column], rows: &[String]) -> Result<(), XlsxError> {
    sheet.set_name("rows")?.set_freeze_panes(1, 1)?;
    let head = Format::new().set_bold().set_text_wrap();
    for (at, column) in (0..).zip(columns) {
        sheet.write_string_with_format(0, at, &column.heading, &head)?;
        sheet.set_column_width(at, 14)?;
    }
    for (line, row) in (1..).zip(rows) {
        for (at, field) in (0..).zip(Grid::fields(columns, row)) {
            match field {
                Field::Empty => continue,
                Field::Count(count) => sheet.write_number(line, at, count as f64)?,
                Field::Number(number) => sheet.write_number(line, at, number)?,
                Field::Words(words) => sheet.write_string(line, at, words)?,
            };
        }
    }
    Ok(())
}

/// The sheet of every result: address, number, what it may be off by, unit, what it is.
fn results(
    sheet: &mut Worksheet,
    results: &[ResultValue],
    units: UnitSystem,
) -> Result<(), XlsxError> {
    sheet.set_name("results")?.set_freeze_panes(1, 1)?;
    let head = Format::new().set_bold();
    for (at, heading) in (0..).zip(["address", "value", "±", "least", "most", "unit", "meaning"]) {
        sheet.write_string_with_format(0, at, heading, &head)?;
    }
    for (line, result) in (1..).zip(results) {
        let unit = InUnit::of(result.kind, units);
        let difference = InUnit::of(kinds::difference(result.kind), units);
        let off = result.uncertainty.map(|off| difference.number(off));
        let [least, most] = [0, 1].map(|k| result.bounds.map(|bounds| unit.number(bounds[k])));
        sheet.write_string(line, 0, &result.address)?;
        for (at, number) in (1..).zip([Some(unit.number(result.value)), off, least, most]) {
            if let Some(number) = number.filter(|number| number.is_finite()) {
                sheet.write_number(line, at, rounded(number))?;
            }
        }
        sheet.write_string(line, 5, unit.symbol)?.write_string(line, 6, result.label)?;
    }
    sheet.set_column_width(0, 36)?.set_column_width(6, WIDEST as f64)?;
    Ok(())
}

/// Writes down a sheet.
struct Pen<'a> {
    sheet: &'a mut Worksheet,
    style: &'a Style,
    row: u32,
    widths: Vec<usize>,
}

impl Pen<'_> {
    fn section(&mut self, section: &Section) -> Result<(), XlsxError> {
        if self.row > 0 {
            self.row += 1;
        }
        if let Some(title) = &section.title {
            self.line(&self.style.sentence(title), Some(&Format::new().set_bold()))?;
        }
        for block in &section.blocks {
            match block {
                Block::Table(table) => self.table(table)?,
                Block::Say(sentence, ..) => {
                    for line in self.style.sentence(sentence).lines() {
                        self.line(line.trim(), None)?;
                    }
                }
            }
        }
        Ok(())
    }

    fn line(&mut self, text: &str, format: Option<&Format>) -> Result<(), XlsxError> {
        match format {
            Some(format) => self.sheet.write_string_with_format(self.row, 0, text, format)?,
            None => self.sheet.write_string(self.row, 0, text)?,
        };
        self.row += 1;
        Ok(())
    }

    /// A table: behind every column with numbers one with their units.
    fn table(&mut self, table: &Table) -> Result<(), XlsxError> {
        let table = table.for_people();
        let is_number =
            |k: usize| table.column(k).any(|cell| matches!(cell.value, Value::Number(_)));
        let numbers: Vec<bool> = (0..table.columns.len()).map(is_number).collect();
        let head = Format::new().set_bold().set_border_bottom(FormatBorder::Thin);
        let mut at = 0;
        for (column, number) in table.columns.iter().zip(&numbers) {
            self.put(at, &column.heading.replace('\n', " "), Some(&head))?;
            at += 1;
            if *number {
                self.put(at, "unit", Some(&head))?;
                at += 1;
            }
        }
        self.row += 1;
        for row in &table.rows {
            let Row::Cells { cells, .. } = row else { continue };
            let mut at = 0;
            for (cell, number) in cells.iter().zip(&numbers) {
                at = self.cell(at, cell, *number)?;
            }
            self.row += 1;
        }
        Ok(())
    }

    /// A cell; gives the column behind it.
    fn cell(&mut self, at: u16, cell: &Cell, with_unit: bool) -> Result<u16, XlsxError> {
        match &cell.value {
            Value::Number(number) => {
                let unit = InUnit::of(number.kind, self.style.units);
                let value = rounded(unit.number(number.si));
                if value.is_finite() {
                    match cell.state {
                        State::Broken => {
                            // The number stays one; its look says that it is broken.
                            let marked = Format::new().set_bold().set_num_format("General \"!\"");
                            self.sheet.write_number_with_format(self.row, at, value, &marked)?
                        }
                        _ => self.sheet.write_number(self.row, at, value)?,
                    };
                    self.widen(at, 10);
                }
                self.put(at + 1, unit.symbol, None)?;
            }
            Value::Count(count) => {
                self.sheet.write_number(self.row, at, *count as f64)?;
            }
            Value::Nothing => {}
            other => self.put(at, &self.style.value(other), None)?,
        }
        Ok(at + if with_unit { 2 } else { 1 })
    }

    fn put(&mut self, at: u16, text: &str, format: Option<&Format>) -> Result<(), XlsxError> {
        if !text.is_empty() {
            match format {
                Some(format) => self.sheet.write_string_with_format(self.row, at, text, format)?,
                None => self.sheet.write_string(self.row, at, text)?,
            };
        }
        self.widen(at, text.chars().count());
        Ok(())
    }

    fn widen(&mut self, at: u16, signs: usize) {
        let at = usize::from(at);
        if self.widths.len() <= at {
            self.widths.resize(at + 1, 0);
        }
        self.widths[at] = self.widths[at].max(signs + 1);
    }
}

/// Seven digits that count, as in CSV.
fn rounded(value: f64) -> f64 {
    format!("{value:.6e}").parse().unwrap_or(value)
}
