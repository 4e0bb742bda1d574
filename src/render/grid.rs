//! Aligned tables in plain text.

use coolwright_cases::quantity::InUnit;
use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Padding, Style as TableStyle};

use super::numbers::{NOTHING, Style, Written, fixed, joined, whole_zero};
use super::plan::LINE;
use crate::answer::{self, Abreast, Align, Cell, Form, Number, Row, State, Table, Value, kinds};

/// Signs that a column of names keeps at least.
const NARROWEST: usize = 16;

/// A heading of what is compared that is longer than this, in signs, is broken.
const LONGEST_HEADING: usize = 16;

/// What stands behind a number with fewer digits than others of its column.
const BLANK: &str = " ";

/// A cell as it is written.
#[derive(Clone, Debug, PartialEq)]
enum Put {
    /// No number.
    Nothing,
    /// A number and its unit, which may be empty.
    Number(Written),
    /// Words.
    Words(String),
}

impl Put {
    /// With its unit.
    fn text(self) -> String {
        match self {
            Self::Nothing => NOTHING.to_owned(),
            Self::Number(written) => joined(written),
            Self::Words(words) => words,
        }
    }
}

/// A column as it is written: its heading, where its cells stand, and the cells.
struct Strip {
    heading: String,
    align: Align,
    cells: Vec<Put>,
}

/// A table as text, two spaces in from the left. Where all numbers of a column share a unit, the unit
/// stands once, in the heading; numbers stand with their points under each other.
pub(super) fn grid(style: &Style, table: &Table) -> String {
    let table = &table.for_people();
    let blocks = match table.abreast {
        Abreast::Compared => blocks(compared(style, table), 2),
        Abreast::InBlocks => blocks(uncompared(style, table), 1),
        Abreast::All => return set(&uncompared(style, table)),
    };
    blocks.into_iter().map(within).collect::<Vec<_>>().join("\n")
}

/// Compared columns in blocks that each fit a screen beside the first ones, the names and units of the rows.
fn blocks(mut columns: Vec<Column>, first: usize) -> Vec<Vec<Column>> {
    if columns.len() <= first {
        return vec![columns];
    }
    for (heading, ..) in &mut columns[first..] {
        if heading.chars().count() > LONGEST_HEADING {
            *heading = broken(heading, LONGEST_HEADING);
        }
    }
    let width = |(heading, _, cells): &Column| {
        let lines = heading.lines().chain(cells.iter().flat_map(|cell| cell.lines()));
        lines.map(|line| line.chars().count()).max().unwrap_or(0) + 2
    };
    // Names may be broken to their narrowest.
    let others: usize = columns[1..first].iter().map(width).sum();
    let names = width(&columns[0]).min(NARROWEST + 2) + others;
    let rows = columns[..first].to_vec();
    let mut blocks: Vec<Vec<Column>> = Vec::new();
    let mut wide = 0;
    for column in columns.drain(first..) {
        let own = width(&column);
        match blocks.last_mut() {
            Some(block) if wide + own <= LINE => {
                block.push(column);
                wide += own;
            }
            _ => {
                wide = names + own;
                blocks.push(rows.iter().cloned().chain([column]).collect());
            }
        }
    }
    if blocks.is_empty() { vec![rows] } else { blocks }
}

/// The columns of a table as people see them, its words not broken: heading, where its cells stand, cells.
pub(crate) fn columns(style: &Style, table: &Table) -> Vec<Column> {
    let mut table = table.for_people();
    table.columns.iter_mut().for_each(|column| column.width = None);
    if table.abreast == Abreast::Compared {
        compared(style, &table)
    } else {
        uncompared(style, &table)
    }
}

/// A column as it is set.
pub(crate) type Column = (String, Align, Vec<String>);

/// The columns of a table whose columns are each of a kind.
fn uncompared(style: &Style, table: &Table) -> Vec<Column> {
    let mut strips: Vec<Strip> = Vec::new();
    for (k, column) in table.columns.iter().enumerate() {
        strips.push(strip(style, table, k, column));
        if table.column(k).any(|cell| cell.uncertainty.is_some()) {
            strips.push(uncertainty(style, table, k));
        }
    }
    if table.shown == answer::Columns::Filled {
        strips.retain(|s| s.align == Align::Left || s.cells.iter().any(|c| *c != Put::Nothing));
    }
    strips.into_iter().map(|strip| finished(strip, table.mixed)).collect()
}

/// The columns of a table whose rows are compared: the unit of each row stands once, behind its name.
fn compared(style: &Style, table: &Table) -> Vec<Column> {
    let heading = |k: usize| table.columns[k].heading.clone();
    let mut columns =
        vec![(heading(0), Align::Left, Vec::new()), (String::new(), Align::Left, Vec::new())];
    columns.extend((1..table.columns.len()).map(|k| (heading(k), Align::Right, Vec::new())));
    for row in &table.rows {
        let Row::Cells { cells, .. } = row else { continue };
        let numbers = || {
            cells[1..].iter().filter_map(|cell| match &cell.value {
                Value::Number(number) => Some(number),
                _ => None,
            })
        };
        let sizes = numbers().map(|number| number.si.abs()).filter(|size| size.is_finite());
        let largest = sizes.fold(0.0, f64::max);
        let unit = numbers().next().map(|number| style.unit(number, largest));
        columns[0].2.push(style.value(&cells[0].value));
        columns[1].2.push(unit.map_or("", |unit| unit.symbol).to_owned());
        for (cell, column) in cells[1..].iter().zip(&mut columns[2..]) {
            let text = match (&cell.value, unit) {
                (Value::Number(number), Some(unit)) => Style::number(number, unit).0,
                (other, _) => style.value(other),
            };
            column.2.push(match cell.state {
                State::Holds => style.judged(true, &text),
                State::Broken => style.judged(false, &format!("{text} !")),
                State::Free => text,
            });
        }
    }
    columns
}

/// One column of a table.
fn strip(style: &Style, table: &Table, k: usize, column: &answer::Column) -> Strip {
    // One unit for all numbers of one kind: that which suits the largest.
    let sizes = table.column(k).filter_map(|cell| match &cell.value {
        Value::Number(number) => Some(number.si.abs()),
        _ => None,
    });
    let largest = column.kind.map(|_| sizes.filter(|size| size.is_finite()).fold(0.0, f64::max));
    let put = |cells: &[Cell]| {
        let cell = &cells[k];
        let put = match &cell.value {
            Value::Nothing => Put::Nothing,
            Value::Number(number) => {
                let unit = style.unit(number, largest.unwrap_or_else(|| largest_in(cells, number)));
                Put::Number(in_column(number, unit, largest))
            }
            other => Put::Words(match column.width {
                Some(width) => broken(&style.value(other), width),
                None => style.value(other),
            }),
        };
        match cell.state {
            _ if !table.marked => put,
            State::Free => put,
            State::Holds => Put::Words(style.judged(true, &put.text())),
            State::Broken => Put::Words(style.judged(false, &format!("{} !", put.text()))),
        }
    };
    let cells = cells(table, put);
    let hours =
        |cell: &Put| matches!(cell, Put::Number((clock, _)) if clock.matches(':').count() == 2);
    let heading = if cells.iter().any(hours) {
        column.heading.replace("min:s", "h:min:s")
    } else {
        column.heading.clone()
    };
    Strip { heading, align: column.align, cells }
}

/// A number in a column: an energy in so many digits as the largest of its column needs.
fn in_column(number: &Number, unit: InUnit, largest: Option<f64>) -> Written {
    match number.form {
        Form::OfColumn if unit.symbol == "MJ" => {
            let digits = if largest.unwrap_or(0.0) >= 1e8 { 1 } else { 3 };
            (whole_zero(fixed(number.si / 1e6, digits)), unit.symbol)
        }
        _ => Style::number(number, unit),
    }
}

/// The column of what the numbers of a column may be off by.
fn uncertainty(style: &Style, table: &Table, k: usize) -> Strip {
    let put = |cells: &[Cell]| match (&cells[k].value, cells[k].uncertainty) {
        (Value::Number(number), Some(_)) if let Some([least, most]) = cells[k].bounds => {
            let of = |si| Number { si, ..*number };
            let [least, most] = [of(least), of(most)];
            let unit = style.unit(&most, most.si);
            Put::Words(format!(
                "{} to {}",
                Style::number(&least, unit).0,
                joined(Style::number(&most, unit))
            ))
        }
        (Value::Number(number), Some(si)) => {
            let form = match number.form {
                Form::Percent(digits) => Form::Percent(digits + 1),
                Form::Usual | Form::Full | Form::Beside(_) | Form::UpTo | Form::From => Form::Off,
                other => other,
            };
            let off = Number { si, kind: kinds::difference(number.kind), form };
            Put::Number(Style::number(&off, style.unit(&off, si)))
        }
        _ => Put::Nothing,
    };
    Strip { heading: "\u{b1}".to_owned(), align: Align::Right, cells: cells(table, put) }
}

/// The size of the largest number of a row that is of one kind with this: all of them take one unit.
fn largest_in(cells: &[Cell], number: &Number) -> f64 {
    let sizes = cells.iter().filter_map(|cell| match &cell.value {
        Value::Number(other) if other.kind == number.kind => Some(other.si.abs()),
        _ => None,
    });
    sizes.filter(|size| size.is_finite()).fold(0.0, f64::max)
}

fn cells(table: &Table, put: impl Fn(&[Cell]) -> Put) -> Vec<Put> {
    let cell = |row: &Row| match row {
        Row::Cells { cells, .. } => put(cells),
        Row::Gap => Put::Words(String::new()),
    };
    table.rows.iter().map(cell).collect()
}

/// A column with its unit in the heading and its numbers at their points, where that can be.
fn finished(strip: Strip, mixed: bool) -> (String, Align, Vec<String>) {
    let Strip { mut heading, align, cells } = strip;
    if align == Align::Left || mixed {
        return (heading, align, cells.into_iter().map(Put::text).collect());
    }
    let mut cells: Vec<String> = match common_unit(&cells) {
        Some(unit) => {
            heading.push_str(&format!("\n{unit}"));
            let number = |cell| match cell {
                Put::Number((number, _)) => number,
                other => other.text(),
            };
            cells.into_iter().map(number).collect()
        }
        None => cells.into_iter().map(Put::text).collect(),
    };
    align_points(&mut cells);
    (heading, align, cells)
}

/// The unit that all numbers of a column share, if all of it are numbers.
fn common_unit(cells: &[Put]) -> Option<&'static str> {
    let mut unit = None;
    for cell in cells {
        match (cell, unit) {
            (Put::Nothing, _) => {}
            (Put::Words(words), _) if words.is_empty() => {}
            (Put::Number((number, here)), _) if here.is_empty() || !is_plain(number) => {
                return None;
            }
            (Put::Number((_, here)), None) => unit = Some(*here),
            (Put::Number((_, here)), Some(before)) if *here == before => {}
            _ => return None,
        }
    }
    unit
}

fn is_plain(cell: &str) -> bool {
    cell.parse::<f64>().is_ok()
}

/// Sets the points of a column of plain numbers under each other.
fn align_points(cells: &mut [String]) {
    if !cells.iter().all(|cell| cell == NOTHING || cell.is_empty() || is_plain(cell)) {
        return;
    }
    let digits = |cell: &str| cell.split_once('.').map_or(0, |(_, digits)| digits.len() + 1);
    let most = cells.iter().map(|cell| digits(cell)).max().unwrap_or(0);
    for cell in cells {
        let missing = most - digits(cell);
        cell.push_str(&BLANK.repeat(missing));
    }
}

/// Columns side by side, the words of the first broken where that keeps the table within a screen.
fn within(mut columns: Vec<(String, Align, Vec<String>)>) -> String {
    let text = set(&columns);
    let over =
        text.lines().map(|line| line.chars().count()).max().unwrap_or(0).saturating_sub(LINE);
    let names = &mut columns[0].2;
    let widest = names.iter().map(|name| name.chars().count()).max().unwrap_or(0);
    if over == 0 || widest < over + NARROWEST {
        return text;
    }
    for name in names {
        *name = broken(name, widest - over);
    }
    set(&columns)
}

/// Columns side by side.
fn set(columns: &[(String, Align, Vec<String>)]) -> String {
    let headings: Vec<&str> = columns.iter().map(|(heading, ..)| heading.as_str()).collect();
    let mut builder = Builder::new();
    for line in heading_lines(&headings) {
        builder.push_record(line);
    }
    let rows = columns.first().map_or(0, |(_, _, cells)| cells.len());
    for row in 0..rows {
        builder.push_record(columns.iter().map(|(_, _, cells)| cells[row].as_str()));
    }
    let mut table = builder.build();
    table.with(TableStyle::empty());
    table.with(Padding::new(0, 2, 0, 0));
    table.modify(Columns::new(..), Alignment::right());
    for (k, _) in columns.iter().enumerate().filter(|(_, (_, align, _))| *align == Align::Left) {
        table.modify(Columns::one(k), Alignment::left());
    }
    let mut text = String::new();
    for line in table.to_string().lines() {
        text.push_str(format!("  {line}").trim_end());
        text.push('\n');
    }
    text
}

/// Headings of several lines as so many rows, each heading ending in the last.
fn heading_lines<'a>(headings: &[&'a str]) -> Vec<Vec<&'a str>> {
    let height = headings.iter().map(|h| h.split('\n').count()).max().unwrap_or(1);
    (0..height)
        .map(|line| {
            let at = |heading: &&'a str| {
                let lines: Vec<&str> = heading.split('\n').collect();
                let above = height - lines.len();
                line.checked_sub(above).map_or("", |k| lines[k])
            };
            headings.iter().map(at).collect()
        })
        .collect()
}

/// Words broken into lines of at most so many signs; an address may end its line at a stroke or a colon.
pub(super) fn broken(text: &str, width: usize) -> String {
    let mut lines: Vec<String> = vec![String::new()];
    for (k, word) in text.split_whitespace().enumerate() {
        for (piece, bit) in pieces(word, width).into_iter().enumerate() {
            let gap = if k > 0 && piece == 0 { " " } else { "" };
            let Some(line) = lines.last_mut() else { break };
            if line.is_empty() {
                line.push_str(bit);
            } else if line.chars().count() + gap.len() + bit.chars().count() > width {
                lines.push(bit.to_owned());
            } else {
                line.push_str(gap);
                line.push_str(bit);
            }
        }
    }
    lines.join("\n")
}

/// A word as it is, or, where it is longer than a line, what stands between its strokes and colons.
fn pieces(word: &str, width: usize) -> Vec<&str> {
    if word.chars().count() <= width {
        return vec![word];
    }
    word.split_inclusive(['/', ':']).collect()
}

#[cfg(test)]
mod tests {
    use coolwright_cases::quantity::{Kind, UnitSystem};

    use super::*;

    const METRIC: Style = Style { units: UnitSystem::Metric, color: false };

    fn lines(table: &Table) -> Vec<String> {
        grid(&METRIC, table).lines().map(str::to_owned).collect()
    }

    #[test]
    fn a_unit_that_all_share_stands_in_the_heading_and_points_under_each_other() {
        let mut table = Table::new().words("run", "run").numbers("flow", "flow", Kind::VolumeFlow);
        table.row("a", ["a".into(), Value::of(Kind::VolumeFlow, 1e-3).into()]);
        table.row("b", ["b".into(), Value::of(Kind::VolumeFlow, 5.5e-5).into()]);
        table.row("c", ["c".into(), Value::Nothing.into()]);
        assert_eq!(
            lines(&table),
            ["        flow", "  run  L/min", "  a     60", "  b      3.3", "  c      -"]
                .map(str::to_owned)
        );
    }

    #[test]
    fn a_column_of_one_kind_has_one_unit() {
        let mut table = Table::new().numbers("length", "length", Kind::Length);
        for si in [0.025, 1.5] {
            table.line([Value::of(Kind::Length, si).into()]);
        }
        assert_eq!(lines(&table)[1].trim(), "m");
        assert_eq!(lines(&table)[2].trim(), "0.025");
    }

    #[test]
    fn what_a_number_is_off_by_stands_behind_it_and_empty_columns_go() {
        let mut table = Table::new()
            .words("part", "part")
            .numbers("fall", "fall", Kind::PressureDifference)
            .numbers("lift", "lift", Kind::PressureDifference)
            .only_filled();
        let fall = Cell::from(Value::of(Kind::PressureDifference, 2e3)).within(Some(100.0));
        table.row("a", ["a".into(), fall, Value::Nothing.into()]);
        assert_eq!(lines(&table)[2].split_whitespace().collect::<Vec<_>>(), ["a", "2", "0.1"]);
        assert!(lines(&table)[0].ends_with('\u{b1}'), "{:?}", lines(&table));
    }

    #[test]
    fn numbers_of_different_kinds_keep_their_units() {
        let mut table = Table::new().values("value", "value").mixed().marked();
        table.line([Value::of(Kind::PressureDifference, 2e3).into()]);
        let broken = Cell::from(Value::of(Kind::TemperatureDifference, 2.0)).judged(false);
        table.line([broken]);
        let lines = lines(&table);
        assert_eq!((lines[1].trim(), lines[2].trim()), ("2 kPa", "2 K !"));
    }

    #[test]
    fn an_energy_takes_the_digits_of_the_largest_of_its_column() {
        let mut table = Table::new().numbers("heat", "heat", Kind::Energy);
        for si in [2.5e6, 120.0, 4.8e5] {
            table.line([Value::formed(Kind::Energy, si, Form::OfColumn).into()]);
        }
        let cells: Vec<String> = lines(&table)[1..].iter().map(|l| l.trim().to_owned()).collect();
        assert_eq!(cells, ["MJ", "2.500", "0", "0.480"]);
    }

    #[test]
    fn many_variants_stand_in_blocks_that_fit_a_line() {
        let names: Vec<String> = (0..9).map(|k| format!("variant_number_{k}")).collect();
        let mut table = Table::new().words("limit", "").mixed().in_blocks();
        for name in &names {
            table = table.values(name, name);
        }
        let cells = |k: usize| Cell::from(format!("{k}1.9 L/min at 38:20.0").as_str());
        let first = std::iter::once(Cell::from("charge_feed (at most 55 °C)"));
        table.line(first.chain((0..9).map(cells)));
        let lines = lines(&table);
        assert!(lines.iter().all(|line| line.chars().count() <= LINE), "{lines:#?}");
        let text = lines.join("\n");
        for (k, name) in names.iter().enumerate() {
            assert_eq!(text.matches(name).count(), 1, "{name}");
            assert_eq!(text.matches(&format!("{k}1.9 L/min at")).count(), 1, "{name}");
        }
        assert!(text.matches("charge_feed").count() > 1, "each block tells its rows");
    }
}
