//! Histories of a duty cycle as a sheet of numbers, and as charts of the workbook's own.

use coolwright::answer::Histories;
use coolwright_cases::quantity::{InUnit, UnitSystem};
use rust_xlsxwriter::{Chart, ChartLegendPosition, ChartType, Format, Workbook, XlsxError};

use super::rounded;

/// The sheet of charts.
const CHARTS: &str = "charts";
/// The sheet of numbers.
const NUMBERS: &str = "over time";
/// The first column of results in it.
const FIRST: u16 = 2;
/// Size of a chart, in pixels, and the rows of a sheet that it covers.
const SIZE: (u32, u32, u32) = (900, 360, 19);

/// Adds both sheets: a chart for every unit, with all results of that unit.
pub(super) fn sheets(
    book: &mut Workbook,
    histories: &Histories,
    units: UnitSystem,
) -> Result<(), XlsxError> {
    let columns: Vec<InUnit> =
        histories.columns.iter().map(|column| InUnit::of(column.kind, units)).collect();
    let mut symbols: Vec<&str> = Vec::new();
    for unit in &columns {
        if !symbols.contains(&unit.symbol) {
            symbols.push(unit.symbol);
        }
    }
    let last = u32::try_from(histories.times_s.len()).unwrap_or(u32::MAX);
    let drawn = book.add_worksheet();
    drawn.set_name(CHARTS)?;
    for (k, symbol) in symbols.iter().enumerate() {
        let mut chart = Chart::new(ChartType::ScatterStraight);
        let same = (FIRST..).zip(&columns).filter(|(_, unit)| unit.symbol == *symbol);
        for (at, _) in same {
            chart
                .add_series()
                .set_name((NUMBERS, 0, at))
                .set_categories((NUMBERS, 1, 0, last, 0))
                .set_values((NUMBERS, 1, at, last, at));
        }
        chart.x_axis().set_name("time, s").set_min(0.0);
        chart.y_axis().set_name(*symbol);
        chart.legend().set_position(ChartLegendPosition::Bottom);
        chart.set_width(SIZE.0).set_height(SIZE.1);
        drawn.insert_chart(SIZE.2 * u32::try_from(k).unwrap_or(0), 0, &chart)?;
    }
    numbers(book, histories, &columns)
}

/// The sheet of numbers: time, phase, and a column for each result.
fn numbers(book: &mut Workbook, histories: &Histories, units: &[InUnit]) -> Result<(), XlsxError> {
    let sheet = book.add_worksheet();
    sheet.set_name(NUMBERS)?.set_freeze_panes(1, 2)?;
    let head = Format::new().set_bold().set_text_wrap();
    sheet.write_string_with_format(0, 0, "time, s", &head)?;
    sheet.write_string_with_format(0, 1, "phase", &head)?;
    for (at, (column, unit)) in (FIRST..).zip(histories.columns.iter().zip(units)) {
        let heading = format!("{}, {}", column.address, unit.symbol);
        sheet.write_string_with_format(0, at, heading, &head)?;
        sheet.set_column_width(at, 16)?;
    }
    let phases = histories.phases.iter();
    let rows = phases.flat_map(|(name, rows)| rows.clone().map(move |row| (name, row)));
    for (line, (name, row)) in (1..).zip(rows) {
        sheet.write_number(line, 0, rounded(histories.times_s[row]))?;
        sheet.write_string(line, 1, name)?;
        for (at, (unit, &si)) in (FIRST..).zip(units.iter().zip(&histories.rows[row])) {
            let value = unit.number(si);
            if value.is_finite() {
                sheet.write_number(line, at, rounded(value))?;
            }
        }
    }
    Ok(())
}
