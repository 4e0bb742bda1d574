//! Series and results as CSV, with units in the headings. A unit is looked up once a column.

use std::fmt::Write as _;

use coolwright_cases::quantity::{InUnit, UnitSystem};

use super::numbers::Style;
use crate::answer::{Answer, Block, Histories, ResultValue, Row, Section, Value, kinds};

/// The histories of a duty cycle: one row a time, one column a result.
///
/// # Errors
/// With a message.
pub fn histories(histories: &Histories, units: UnitSystem) -> Result<String, String> {
    finished(histories_into(histories, units, csv::Writer::from_writer(Vec::new())))
}

fn histories_into(histories: &Histories, units: UnitSystem, mut out: Writer) -> Written {
    let columns: Vec<InUnit> =
        histories.columns.iter().map(|column| InUnit::of(column.kind, units)).collect();
    out.write_field("time [s]")?;
    out.write_field("phase")?;
    for (column, unit) in histories.columns.iter().zip(&columns) {
        out.write_field(format!("{} [{}]", column.address, symbol(unit)))?;
    }
    out.write_record(None::<&[u8]>)?;
    let mut field = String::new();
    for (name, rows) in &histories.phases {
        for row in rows.clone() {
            number(histories.times_s[row], &mut field);
            out.write_field(&field)?;
            out.write_field(name)?;
            for (unit, &value) in columns.iter().zip(&histories.rows[row]) {
                number(unit.number(value), &mut field);
                out.write_field(&field)?;
            }
            out.write_record(None::<&[u8]>)?;
        }
    }
    Ok(out)
}

/// All results of a point: address, value, what it may be off by, unit, what it is.
///
/// # Errors
/// With a message.
pub fn results(results: &[ResultValue], units: UnitSystem) -> Result<String, String> {
    finished(results_into(results, units, csv::Writer::from_writer(Vec::new())))
}

fn results_into(results: &[ResultValue], units: UnitSystem, mut out: Writer) -> Written {
    out.write_record(["address", "value", "uncertainty", "least", "most", "unit", "meaning"])?;
    let mut field = String::new();
    for result in results {
        let unit = InUnit::of(result.kind, units);
        number(unit.number(result.value), &mut field);
        out.write_field(&result.address)?;
        out.write_field(&field)?;
        let difference = InUnit::of(kinds::difference(result.kind), units);
        number(result.uncertainty.map_or(f64::NAN, |off| difference.number(off)), &mut field);
        out.write_field(&field)?;
        for end in 0..2 {
            let bound = result.bounds.map_or(f64::NAN, |bounds| unit.number(bounds[end]));
            number(bound, &mut field);
            out.write_field(&field)?;
        }
        out.write_record([unit.symbol, result.label])?;
    }
    Ok(out)
}

/// The variants of a comparison side by side: one row for each result that is compared, one column for each
/// variant, and over a cycle one for the moment of each, s.
///
/// # Errors
/// With a message.
pub fn comparison(answer: &Answer, units: UnitSystem) -> Result<String, String> {
    finished(comparison_into(answer, units, csv::Writer::from_writer(Vec::new())))
}

fn comparison_into(answer: &Answer, units: UnitSystem, mut out: Writer) -> Written {
    let style = Style { units, color: false };
    out.write_record(
        ["section", "result", "address", "unit"].into_iter().map(str::to_owned).chain(
            answer.variants.iter().flat_map(|v| [v.name.clone(), format!("{} at [s]", v.name)]),
        ),
    )?;
    let mut field = String::new();
    for brief in answer.sections.iter().filter(|section| section.brief) {
        let whole = answer.sections.iter().find(|s| s.name == brief.name && !s.brief);
        for (row, with_moments) in rows(brief).zip(whole.into_iter().flat_map(rows)) {
            let (Row::Cells { of, cells, .. }, Row::Cells { cells: moments, .. }) =
                (row, with_moments)
            else {
                continue;
            };
            let kind = cells[1..].iter().find_map(|cell| match &cell.value {
                Value::Number(number) => Some(number.kind),
                _ => None,
            });
            let unit = kind.map(|kind| InUnit::of(kind, units));
            out.write_field(brief.name)?;
            out.write_field(style.value(&moments[0].value))?;
            out.write_field(of.as_deref().unwrap_or_default())?;
            out.write_field(unit.as_ref().map_or("", symbol))?;
            for (cell, moment) in cells[1..].iter().zip(&moments[1..]) {
                match (&cell.value, &unit) {
                    (Value::Number(of), Some(unit)) => number(unit.number(of.si), &mut field),
                    (Value::Nothing, _) => field.clear(),
                    (other, _) => field = style.value(other),
                }
                out.write_field(&field)?;
                number(at(&moment.value).unwrap_or(f64::NAN), &mut field);
                out.write_field(&field)?;
            }
            out.write_record(None::<&[u8]>)?;
        }
    }
    Ok(out)
}

/// The tables of the sections of some names, which have the same columns: one row for each of theirs, and behind every
/// column of numbers one with their units.
///
/// # Errors
/// With a message.
pub fn tables(answer: &Answer, names: &[&str], units: UnitSystem) -> Result<String, String> {
    finished(tables_into(answer, names, units, csv::Writer::from_writer(Vec::new())))
}

/// The tables of all sections, one below the other: each with a line that names it, its heading, and its rows.
///
/// # Errors
/// With a message.
pub fn every_table(answer: &Answer, units: UnitSystem) -> Result<String, String> {
    let mut out = String::new();
    let mut done: Vec<&str> = Vec::new();
    for section in &answer.sections {
        if done.contains(&section.name) || section.is_empty() {
            continue;
        }
        done.push(section.name);
        let rows = tables(answer, &[section.name], units)?;
        if !rows.is_empty() {
            out.push_str(&format!(
                "{}{}\n{rows}",
                if out.is_empty() { "" } else { "\n" },
                section.name
            ));
        }
    }
    Ok(out)
}

fn tables_into(answer: &Answer, names: &[&str], units: UnitSystem, mut out: Writer) -> Written {
    let style = Style { units, color: false };
    let found: Vec<&Section> =
        answer.sections.iter().filter(|s| names.contains(&s.name) && !s.brief).collect();
    let all = || found.iter().flat_map(|section| section.blocks.iter().map(move |b| (section, b)));
    let tables = all().filter_map(|(section, block)| match block {
        Block::Table(table) => Some((section, table)),
        Block::Say(..) => None,
    });
    let tables: Vec<_> = tables.collect();
    let Some((_, first)) = tables.first() else { return Ok(out) };
    // A column with a number in any row has a unit.
    let is_number = |k: usize| {
        let mut cells = tables.iter().flat_map(|(_, table)| table.column(k));
        cells.any(|cell| matches!(cell.value, Value::Number(_)))
    };
    let numbers: Vec<bool> = (0..first.columns.len()).map(is_number).collect();
    out.write_field("of")?;
    for (column, number) in first.columns.iter().zip(&numbers) {
        out.write_field(&column.name)?;
        if *number {
            out.write_field(format!("{} unit", column.name))?;
        }
    }
    out.write_record(None::<&[u8]>)?;
    let mut field = String::new();
    for (section, table) in &tables {
        for row in &table.rows {
            let Row::Cells { cells, .. } = row else { continue };
            out.write_field(section.of.as_deref().unwrap_or_default())?;
            for (cell, is_number) in cells.iter().zip(&numbers) {
                let unit = match &cell.value {
                    Value::Number(of) => {
                        let unit = InUnit::of(of.kind, units);
                        number(unit.number(of.si), &mut field);
                        symbol(&unit)
                    }
                    Value::Nothing => {
                        field.clear();
                        ""
                    }
                    other => {
                        field = style.value(other);
                        ""
                    }
                };
                out.write_field(&field)?;
                if *is_number {
                    out.write_field(unit)?;
                }
            }
            out.write_record(None::<&[u8]>)?;
        }
    }
    Ok(out)
}

fn rows(section: &Section) -> impl Iterator<Item = &Row> {
    section.blocks.iter().flat_map(|block| match block {
        Block::Table(table) => table.rows.as_slice(),
        Block::Say(..) => &[],
    })
}

/// The moment that stands beside a value, s.
fn at(value: &Value) -> Option<f64> {
    let Value::Sentence(sentence) = value else { return None };
    sentence.slots.iter().find_map(|(name, value)| match value {
        Value::Number(number) if *name == "moment" => Some(number.si),
        _ => None,
    })
}

/// A number as a field: seven significant digits; nothing where there is none.
pub(crate) fn field(value: f64) -> String {
    let mut out = String::new();
    number(value, &mut out);
    out
}

/// Fields as a line, without its end.
pub(crate) fn line(fields: &[String]) -> String {
    let mut out = csv::Writer::from_writer(Vec::new());
    let written = out.write_record(fields).map(|()| out);
    // Writing to memory cannot fail.
    finished(written).unwrap_or_default().trim_end_matches('\n').to_owned()
}

/// The records of a text, its header among them.
pub(crate) fn records(text: &str) -> Result<Vec<Vec<String>>, String> {
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let own = |record: csv::StringRecord| record.iter().map(str::to_owned).collect();
    reader.records().map(|record| record.map(own).map_err(|error| error.to_string())).collect()
}

type Writer = csv::Writer<Vec<u8>>;
type Written = Result<Writer, csv::Error>;

fn finished(written: Written) -> Result<String, String> {
    let bytes = written.map_err(|error| error.to_string())?;
    let bytes = bytes.into_inner().map_err(|error| error.to_string())?;
    String::from_utf8(bytes).map_err(|error| error.to_string())
}

/// What stands in the heading of a column.
fn symbol(unit: &InUnit) -> &'static str {
    if unit.symbol.is_empty() { "1" } else { unit.symbol }
}

/// Puts a number into `out` in seven significant digits, without zeros at the end; nothing where there is
/// none.
fn number(value: f64, out: &mut String) {
    out.clear();
    if !value.is_finite() {
        return;
    }
    // Writing to a string cannot fail.
    let _ = write!(out, "{:.6e}", value.abs());
    let Some((mantissa, exponent)) = out.split_once('e') else { return };
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let mantissa = mantissa.trim_end_matches('0').trim_end_matches('.');
    let mut digits = [0; 8];
    let mut count = 0;
    for byte in mantissa.bytes().filter(|&byte| byte != b'.') {
        digits[count] = byte;
        count += 1;
    }
    out.clear();
    if count == 0 {
        out.push('0');
        return;
    }
    if value < 0.0 {
        out.push('-');
    }
    if exponent < 0 {
        out.push_str("0.");
        out.extend(std::iter::repeat_n('0', exponent.unsigned_abs() as usize - 1));
    }
    // How many digits stand before the point; all of those of a number below one are behind it.
    let whole = if exponent < 0 { usize::MAX } else { exponent.unsigned_abs() as usize + 1 };
    for (k, &digit) in digits[..count].iter().enumerate() {
        if k == whole {
            out.push('.');
        }
        out.push(char::from(digit));
    }
    if exponent >= 0 {
        out.extend(std::iter::repeat_n('0', whole.saturating_sub(count)));
    }
}

#[cfg(test)]
mod tests {
    use coolwright_cases::quantity::Kind;

    use super::*;
    use crate::answer::HistoryColumn;

    fn written(value: f64) -> String {
        let mut out = String::new();
        number(value, &mut out);
        out
    }

    #[test]
    fn seven_digits_without_zeros_at_the_end() {
        let cases = [
            (0.0, "0"),
            (-0.0, "0"),
            (1.0, "1"),
            (-12.5, "-12.5"),
            (1234567.8, "1234568"),
            (123456789.0, "123456800"),
            (9.9999999, "10"),
            (0.00012345678, "0.0001234568"),
            (6.0e-9, "0.000000006"),
            (100.0, "100"),
            (f64::NAN, ""),
            (f64::INFINITY, ""),
        ];
        for (value, wanted) in cases {
            assert_eq!(written(value), wanted, "{value:?}");
        }
    }

    /// What is written is the number rounded to seven digits, whatever its size.
    #[test]
    fn what_is_written_is_the_rounded_number() {
        let mut value = 1.234567891e-12_f64;
        while value < 1e15 {
            let rounded: f64 = format!("{value:.6e}").parse().expect("a number");
            assert_eq!(written(value), rounded.to_string());
            assert_eq!(written(-value), (-rounded).to_string());
            value *= 7.3;
        }
    }

    #[test]
    fn histories_have_a_row_a_time_and_a_unit_a_column() {
        let column = |address: &str, kind| HistoryColumn {
            address: address.to_owned(),
            kind,
            label: "",
            formula: "",
        };
        let histories = Histories {
            columns: vec![column("a:metal", Kind::Temperature), column("b:speed", Kind::Number)],
            times_s: vec![0.0, 1.5],
            phases: vec![("pull, hard".to_owned(), 0..2)],
            rows: vec![vec![293.15, 1.0], vec![294.15, f64::NAN]],
        };
        assert_eq!(
            super::histories(&histories, UnitSystem::Metric).expect("CSV"),
            "time [s],phase,a:metal [°C],b:speed [1]\n0,\"pull, hard\",20,1\n1.5,\"pull, hard\",21,\n"
        );
    }
}
