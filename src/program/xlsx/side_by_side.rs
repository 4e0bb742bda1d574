//! Limits as charts of the workbook's own: what is left of each, and of variants where each stands against its bound.

use coolwright::answer::{
    Answer, Block, Cell, Row, Section, Seen, Table, Value, VariantAnswer, kinds,
};
use coolwright_cases::quantity::{InUnit, UnitSystem};
use rust_xlsxwriter::{Chart, ChartLegendPosition, ChartType, Format, Workbook, XlsxError};

use super::rounded;

/// The sheets.
const MARGINS: &str = "margins";
const VARIANTS: &str = "by limit";
/// Size of a chart, in pixels, and the rows of a sheet that it covers.
const SIZE: (u32, u32, u32) = (720, 300, 16);
/// Where charts stand: right of the numbers.
const BESIDE: u16 = 6;
/// Charts of single limits.
const MOST_CHARTS: usize = 12;

/// A limit with its numbers, SI.
struct Known<'a> {
    name: &'a str,
    value: f64,
    off: Option<f64>,
    bound: f64,
    margin: f64,
    unit: InUnit,
    difference: InUnit,
}

/// The limits of a section of which there are numbers, in its order; only those that people see where that is wanted.
fn known(section: &Section, by_people: bool, units: UnitSystem) -> Vec<Known<'_>> {
    let tables = section.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        Block::Say(..) => None,
    });
    let mut found = Vec::new();
    for table in tables {
        for row in &table.rows {
            let Row::Cells { cells, seen, .. } = row else { continue };
            if !by_people || *seen != Seen::Programs {
                found.extend(of_row(table, cells, units));
            }
        }
    }
    found
}

fn of_row<'a>(table: &'a Table, cells: &'a [Cell], units: UnitSystem) -> Option<Known<'a>> {
    let place = |name: &str| table.columns.iter().position(|column| column.name == name);
    let cell = |name: &str| cells.get(place(name)?);
    let number = |cell: &Cell| match cell.value {
        Value::Number(number) if number.si.is_finite() => Some(number),
        _ => None,
    };
    let Value::Text(name) = &cell("limit")?.value else { return None };
    let value = cell("value").or_else(|| cell("worst"))?;
    let bound = number(cell("bound_value")?)?;
    Some(Known {
        name,
        value: number(value)?.si,
        off: value.uncertainty,
        bound: bound.si,
        margin: number(cell("margin_value")?)?.si,
        unit: InUnit::of(bound.kind, units),
        difference: InUnit::of(kinds::difference(bound.kind), units),
    })
}

/// Adds the sheets that an answer has numbers for.
pub(super) fn sheets(
    book: &mut Workbook,
    answer: &Answer,
    units: UnitSystem,
) -> Result<(), XlsxError> {
    let limits = answer.sections.iter().find(|of| of.name == "limits" && !of.brief);
    let mut all = limits.map_or_else(Vec::new, |section| known(section, true, units));
    if !all.is_empty() {
        // Bars of one chart have one unit.
        all.sort_by_key(|limit| limit.difference.symbol);
        margins(book, &all)?;
    }
    if answer.variants.len() > 1 {
        variants(book, &answer.variants, units)?;
    }
    Ok(())
}

/// What is left of each limit: numbers, and bars unit by unit.
fn margins(book: &mut Workbook, all: &[Known<'_>]) -> Result<(), XlsxError> {
    let sheet = book.add_worksheet();
    sheet.set_name(MARGINS)?.set_freeze_panes(1, 1)?;
    let head = Format::new().set_bold();
    for (at, heading) in (0..).zip(["limit", "margin", "±", "unit"]) {
        sheet.write_string_with_format(0, at, heading, &head)?;
    }
    for (line, limit) in (1..).zip(all) {
        let number = |si: f64| rounded(limit.difference.number(si));
        sheet.write_string(line, 0, limit.name)?;
        sheet.write_number(line, 1, number(limit.margin))?;
        if let Some(off) = limit.off.filter(|off| off.is_finite()) {
            sheet.write_number(line, 2, number(off))?;
        }
        sheet.write_string(line, 3, limit.difference.symbol)?;
    }
    sheet.set_column_width(0, 36)?;
    let (mut first, mut drawn) = (1, 0);
    for same in all.chunk_by(|a, b| a.difference.symbol == b.difference.symbol) {
        let last = first + u32::try_from(same.len()).unwrap_or(0) - 1;
        let mut chart = Chart::new(ChartType::Bar);
        chart
            .add_series()
            .set_name((MARGINS, 0, 1))
            .set_categories((MARGINS, first, 0, last, 0))
            .set_values((MARGINS, first, 1, last, 1));
        chart.title().set_name("Margin to the bound; below zero it is broken");
        chart.x_axis().set_name(same[0].difference.symbol);
        chart.y_axis().set_reverse();
        chart.legend().set_hidden();
        chart.set_width(SIZE.0).set_height(SIZE.1);
        sheet.insert_chart(SIZE.2 * drawn, BESIDE, &chart)?;
        (first, drawn) = (last + 1, drawn + 1);
    }
    Ok(())
}

/// Where every variant stands against each limit that people see in one of them.
fn variants(
    book: &mut Workbook,
    all: &[VariantAnswer],
    units: UnitSystem,
) -> Result<(), XlsxError> {
    let of = |variant: &'_ VariantAnswer, by_people| -> Vec<String> {
        let limits = variant.limits.iter().flat_map(|section| known(section, by_people, units));
        limits.map(|limit| limit.name.to_owned()).collect()
    };
    let mut names: Vec<String> = Vec::new();
    for name in all.iter().flat_map(|variant| of(variant, true)) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if names.is_empty() {
        return Ok(());
    }
    let sheet = book.add_worksheet();
    sheet.set_name(VARIANTS)?;
    let head = Format::new().set_bold();
    let mut line = 0;
    for (k, name) in names.iter().enumerate() {
        let rows: Vec<(&str, Known<'_>)> = all
            .iter()
            .filter_map(|variant| {
                let limits = known(variant.limits.as_ref()?, false, units);
                let limit = limits.into_iter().find(|limit| limit.name == name)?;
                Some((variant.name.as_str(), limit))
            })
            .collect();
        let Some((_, first)) = rows.first() else { continue };
        for (at, heading) in (0..).zip([name.as_str(), "value", "bound", "margin", "unit"]) {
            sheet.write_string_with_format(line, at, heading, &head)?;
        }
        for (below, (variant, limit)) in (line + 1..).zip(&rows) {
            sheet.write_string(below, 0, *variant)?;
            sheet.write_number(below, 1, rounded(limit.unit.number(limit.value)))?;
            sheet.write_number(below, 2, rounded(limit.unit.number(limit.bound)))?;
            sheet.write_number(below, 3, rounded(limit.difference.number(limit.margin)))?;
            sheet.write_string(below, 4, limit.unit.symbol)?;
        }
        let last = line + u32::try_from(rows.len()).unwrap_or(0);
        if k < MOST_CHARTS {
            let mut chart = Chart::new(ChartType::Bar);
            for at in [1, 2] {
                chart
                    .add_series()
                    .set_name((VARIANTS, line, at))
                    .set_categories((VARIANTS, line + 1, 0, last, 0))
                    .set_values((VARIANTS, line + 1, at, last, at));
            }
            chart.title().set_name(name.as_str());
            chart.x_axis().set_name(first.unit.symbol);
            chart.y_axis().set_reverse();
            chart.legend().set_position(ChartLegendPosition::Bottom);
            chart.set_width(SIZE.0).set_height(SIZE.1);
            sheet.insert_chart(SIZE.2 * u32::try_from(k).unwrap_or(0), BESIDE, &chart)?;
        }
        line = last + 2;
    }
    sheet.set_column_width(0, 36)?;
    Ok(())
}
