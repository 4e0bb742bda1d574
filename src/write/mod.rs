//! Answers as text, JSON and CSV. Everything is worked out before; here it is only put down.

pub mod csv;
pub mod json;
pub mod table;
pub mod text;
pub mod verdict;

use std::io::Write;
use std::path::Path;

use coolwright_cases::quantity::{Kind, UnitSystem, show};

use crate::load::io_message;

/// How an answer is to look.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// Units.
    pub units: UnitSystem,
    /// Whether colour may be used: a terminal that has not asked for none.
    pub color: bool,
}

impl Style {
    /// A quantity with its unit.
    pub fn quantity(&self, kind: Kind, si: f64) -> String {
        let shown = show(kind, without_noise(kind, si), self.units);
        if shown.unit.is_empty() {
            shown.number
        } else {
            format!("{} {}", shown.number, shown.unit)
        }
    }

    /// A change of a quantity with its sign and unit: of a temperature it is a difference.
    pub fn change(&self, kind: Kind, si: f64) -> String {
        let sign = if si > 0.0 { "+" } else { "" };
        format!("{sign}{}", self.quantity(difference(kind), si))
    }

    /// A word that says that a limit is kept or broken. Colour is never alone: the word says it.
    pub fn judged(&self, holds: bool, word: &str) -> String {
        match (self.color, holds) {
            (false, _) => word.to_owned(),
            (true, true) => format!("\u{1b}[32m{word}\u{1b}[0m"),
            (true, false) => format!("\u{1b}[31m{word}\u{1b}[0m"),
        }
    }
}

/// Zero for what is far below anything that a gauge could show: what is left of sums that cancel.
fn without_noise(kind: Kind, si: f64) -> f64 {
    let least = match kind {
        Kind::Energy => 0.5,
        Kind::TemperatureDifference => 5e-4,
        Kind::Power | Kind::HeatRate | Kind::PressureDifference | Kind::GaugePressure => 0.05,
        Kind::AirPressureDifference => 0.005,
        Kind::VolumeFlow | Kind::AirFlow | Kind::MassFlow => 1e-8,
        Kind::Velocity | Kind::Mass => 1e-5,
        Kind::Current => 1e-3,
        _ => 0.0,
    };
    if si.abs() < least { 0.0 } else { si }
}

/// The kind of a difference of two values of a kind.
pub fn difference(kind: Kind) -> Kind {
    match kind {
        Kind::Temperature => Kind::TemperatureDifference,
        Kind::GaugePressure | Kind::AbsolutePressure => Kind::PressureDifference,
        other => other,
    }
}

/// Writes a text to standard output.
///
/// # Errors
/// With a message. A reader that has gone away is no error.
pub fn to_stdout(text: &str) -> Result<(), String> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(format!("cannot write the answer: {}", io_message(&error))),
        Ok(()) => Ok(()),
    }
}

/// Writes a text to a file, whole or not at all: it is written beside it first.
///
/// # Errors
/// With a message.
pub fn to_file(path: &Path, text: &str) -> Result<(), String> {
    if path == Path::new("-") {
        return to_stdout(text);
    }
    let say =
        |error: &std::io::Error| format!("cannot write {}: {}", path.display(), io_message(error));
    // A device or a pipe cannot be replaced by a file; a link stays one to what it points at.
    let target = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let path = target.as_path();
    match std::fs::metadata(path) {
        Ok(meta) if meta.is_dir() => {
            return Err(format!("cannot write {}: this is a folder", path.display()));
        }
        Ok(meta) if !meta.is_file() => {
            let written = std::fs::OpenOptions::new().write(true).open(path);
            let written = written.and_then(|mut file| file.write_all(text.as_bytes()));
            return written.map_err(|error| say(&error));
        }
        _ => {}
    }
    let name = path.file_name().ok_or_else(|| format!("{} is no file name", path.display()))?;
    let mut beside = name.to_owned();
    beside.push(".part");
    let beside = path.with_file_name(beside);
    let written = std::fs::File::create(&beside)
        .and_then(|mut file| file.write_all(text.as_bytes()).and_then(|()| file.sync_all()))
        .and_then(|()| std::fs::rename(&beside, path));
    written.map_err(|error| {
        // What is half written is of no use to anyone; that it cannot be removed changes nothing.
        let _ = std::fs::remove_file(&beside);
        say(&error)
    })
}
