//! An answer as a workbook: a sheet for each of its subjects, numbers as numbers.

mod over_time;
mod side_by_side;

use coolwright::answer::{
    Answer, Block, Cell, Number, ResultValue, Row, Section, Seen, State, Table, Value, kinds,
};
use coolwright::ask::Grid;
use coolwright::ask::grid::{Column, Field};
use coolwright::render::{Extent, Style};
use coolwright_cases::quantity::{InUnit, Kind, UnitSystem};
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
    side_by_side::sheets(&mut book, answer, style.units)?;
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

/// What the cells of a column hold.
#[derive(Clone, Copy)]
#[expect(clippy::struct_excessive_bools, reason = "each column beside it is there or not")]
struct Held {
    numbers: bool,
    off: bool,
    bounds: bool,
    moment: bool,
}

impl Held {
    fn of(table: &Table, k: usize) -> Self {
        let numbers = || table.column(k).filter_map(|cell| Some((cell, in_cell(&cell.value)?)));
        Self {
            numbers: numbers().next().is_some(),
            off: numbers().any(|(cell, _)| cell.uncertainty.is_some()),
            bounds: numbers().any(|(cell, _)| cell.bounds.is_some()),
            moment: numbers().any(|(_, (_, moment))| moment.is_some()),
        }
    }

    /// The heading of a column. Times stand in seconds, whatever people read.
    fn heading(self, column: &coolwright::answer::Column) -> String {
        let heading = match column.name.as_str() {
            _ if column.seen.by_people() => column.heading.replace('\n', " "),
            "bound_value" => "bound as a number".to_owned(),
            _ => "margin as a number".to_owned(),
        };
        let is_time = self.numbers || column.kind == Some(Kind::Time);
        let heading = if is_time { heading.replace("min:s", "") } else { heading };
        heading.trim().to_owned()
    }

    /// The headings of the columns behind it.
    fn behind(self) -> impl Iterator<Item = &'static str> {
        let all = [
            (self.off, "±"),
            (self.bounds, "least"),
            (self.bounds, "most"),
            (self.numbers, "unit"),
            (self.moment, "when, s"),
        ];
        all.into_iter().filter(|(is_there, _)| *is_there).map(|(_, heading)| heading)
    }
}

/// The number of a cell, and the moment that it stands for, where it is a number or the sentence of one with its moment.
fn in_cell(value: &Value) -> Option<(Number, Option<Number>)> {
    let number = |value: &Value| match value {
        Value::Number(number) => Some(*number),
        _ => None,
    };
    match value {
        Value::Number(number) => Some((*number, None)),
        Value::Sentence(sentence) => match &sentence.slots[..] {
            [("value", value), ("moment", moment)] => Some((number(value)?, number(moment))),
            _ => None,
        },
        _ => None,
    }
}

/// The table as people see it, and behind that what programs are told of bounds and margins as numbers.
fn with_numbers(table: &Table) -> Table {
    let mut told = table.clone();
    let wanted = ["bound_value", "margin_value"];
    let keep: Vec<bool> = table
        .columns
        .iter()
        .map(|column| column.seen.by_people() || wanted.contains(&column.name.as_str()))
        .collect();
    let mut kept = keep.iter();
    told.columns.retain(|_| *kept.next().unwrap_or(&false));
    told.rows.retain(|row| !matches!(row, Row::Cells { seen: Seen::Programs, .. }));
    for row in &mut told.rows {
        if let Row::Cells { cells, .. } = row {
            let mut kept = keep.iter();
            cells.retain(|_| *kept.next().unwrap_or(&false));
        }
    }
    told
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

    /// A table: behind every column with numbers one with what they may be off by and one with their units, where they
    /// stand for a moment that too. What programs are told of limits as numbers stands behind it.
    fn table(&mut self, table: &Table) -> Result<(), XlsxError> {
        let table = with_numbers(table);
        let columns: Vec<Held> = (0..table.columns.len()).map(|k| Held::of(&table, k)).collect();
        let head = Format::new().set_bold().set_border_bottom(FormatBorder::Thin);
        let mut at = 0;
        for (column, held) in table.columns.iter().zip(&columns) {
            self.put(at, &held.heading(column), Some(&head))?;
            at += 1;
            for heading in held.behind() {
                self.put(at, heading, Some(&head))?;
                at += 1;
            }
        }
        self.row += 1;
        for row in &table.rows {
            let Row::Cells { cells, .. } = row else { continue };
            let mut at = 0;
            for (cell, held) in cells.iter().zip(&columns) {
                at = self.cell(at, cell, *held)?;
            }
            self.row += 1;
        }
        Ok(())
    }

    /// A cell; gives the column behind it.
    fn cell(&mut self, at: u16, cell: &Cell, held: Held) -> Result<u16, XlsxError> {
        let next = at + 1 + u16::try_from(held.behind().count()).unwrap_or(0);
        match (in_cell(&cell.value), &cell.value) {
            (Some((number, moment)), _) => {
                let unit = InUnit::of(number.kind, self.style.units);
                let difference = InUnit::of(kinds::difference(number.kind), self.style.units);
                self.number(at, unit.number(number.si), cell.state)?;
                let off = cell.uncertainty.map(|off| difference.number(off));
                let [least, most] = [0, 1].map(|k| cell.bounds.map(|ends| unit.number(ends[k])));
                let shown = [(held.off, off), (held.bounds, least), (held.bounds, most)];
                let mut behind = at + 1;
                for (_, number) in shown.into_iter().filter(|(is_shown, _)| *is_shown) {
                    if let Some(number) = number {
                        self.number(behind, number, State::Free)?;
                    }
                    behind += 1;
                }
                self.put(behind, unit.symbol, None)?;
                if let Some(moment) = moment.filter(|_| held.moment) {
                    self.number(behind + 1, moment.si, State::Free)?;
                }
            }
            (None, Value::Count(count)) => {
                self.sheet.write_number(self.row, at, *count as f64)?;
            }
            (None, Value::Nothing) => {}
            (None, other) => self.put(at, &self.style.value(other), None)?,
        }
        Ok(next)
    }

    /// A number; one that breaks a limit stays a number, and its look says so.
    fn number(&mut self, at: u16, number: f64, state: State) -> Result<(), XlsxError> {
        let value = rounded(number);
        if !value.is_finite() {
            return Ok(());
        }
        if state == State::Broken {
            let marked = Format::new().set_bold().set_num_format("General \"!\"");
            self.sheet.write_number_with_format(self.row, at, value, &marked)?;
        } else {
            self.sheet.write_number(self.row, at, value)?;
        }
        self.widen(at, 10);
        Ok(())
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
