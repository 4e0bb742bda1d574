//! Series and results as CSV, with units in the headings.

use coolwright_cases::quantity::{Kind, UnitSystem, to_unit};
use coolwright_models::cycle::History;
use coolwright_models::results::Results;

/// The histories of a duty cycle: one row a time, one column a result.
///
/// # Errors
/// With a message.
pub fn history(history: &History, units: UnitSystem) -> Result<String, String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let entries = history.catalogue.entries();
    let mut heading = vec!["time [s]".to_owned(), "phase".to_owned()];
    for entry in entries {
        let (_, unit) = to_unit(entry.quantity.kind, 0.0, units);
        let unit = if unit.is_empty() { "1" } else { unit };
        heading.push(format!("{} [{unit}]", entry.address));
    }
    writer.write_record(&heading).map_err(|e| e.to_string())?;
    for phase in &history.phases {
        for row in phase.rows.clone() {
            let mut record = vec![number(history.times_s[row]), phase.name.clone()];
            for (entry, &value) in entries.iter().zip(&history.rows[row]) {
                record.push(number(to_unit(entry.quantity.kind, value, units).0));
            }
            writer.write_record(&record).map_err(|e| e.to_string())?;
        }
    }
    finish(writer)
}

/// All results of a point: address, value, unit, what it is.
///
/// # Errors
/// With a message.
pub fn results(results: &Results, units: UnitSystem) -> Result<String, String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["address", "value", "unit", "meaning"]).map_err(|e| e.to_string())?;
    for (entry, &value) in results.catalogue.entries().iter().zip(&results.values) {
        let kind: Kind = entry.quantity.kind;
        let (value, unit) = to_unit(kind, value, units);
        writer
            .write_record([&entry.address, &number(value), unit, entry.quantity.label])
            .map_err(|e| e.to_string())?;
    }
    finish(writer)
}

/// Seven significant digits; nothing where there is no number.
fn number(value: f64) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let text = format!("{value:.6e}");
    text.parse::<f64>().map_or(text, |rounded| rounded.to_string())
}

fn finish(writer: csv::Writer<Vec<u8>>) -> Result<String, String> {
    let bytes = writer.into_inner().map_err(|e| e.to_string())?;
    String::from_utf8(bytes).map_err(|e| e.to_string())
}
