//! Printed answers of a source, and the comparison with them.
//!
//! A file of `tests/reference` begins with comment lines (citation, page, what it exercises),
//! followed by the columns `answer,printed,tolerance,unit,note`.

use std::cell::RefCell;
use std::collections::BTreeMap;

/// The printed answers of one file.
pub(crate) struct Printed {
    file: &'static str,
    rows: BTreeMap<String, (f64, f64)>,
    used: RefCell<Vec<String>>,
}

impl Printed {
    /// Reads a file.
    pub(crate) fn read(file: &'static str) -> Self {
        let path = format!("{}/tests/reference/{file}", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
        let mut lines = text.lines().filter(|line| !line.starts_with('#'));
        assert_eq!(lines.next(), Some("answer,printed,tolerance,unit,note"), "columns of {file}");
        let rows = lines.map(|line| {
            let cells: Vec<&str> = line.splitn(5, ',').collect();
            let number =
                |k: usize| cells[k].parse().unwrap_or_else(|e| panic!("{file}: {line}: {e}"));
            (cells[0].to_owned(), (number(1), number(2)))
        });
        Self { file, rows: rows.collect(), used: RefCell::default() }
    }

    /// The printed number.
    pub(crate) fn number(&self, answer: &str) -> f64 {
        self.row(answer).0
    }

    /// How far off the printed number may be, by its digits.
    pub(crate) fn tolerance(&self, answer: &str) -> f64 {
        self.row(answer).1
    }

    fn row(&self, answer: &str) -> (f64, f64) {
        self.used.borrow_mut().push(answer.to_owned());
        *self.rows.get(answer).unwrap_or_else(|| panic!("{}: no {answer}", self.file))
    }

    /// Asserts that a value is the printed one, within the tolerance that the file gives.
    #[track_caller]
    pub(crate) fn holds(&self, answer: &str, got: f64) {
        let (printed, tolerance) = self.row(answer);
        assert!(
            (got - printed).abs() <= tolerance,
            "{}: {answer}: got {got}, printed {printed} ± {tolerance}",
            self.file
        );
    }

    /// Asserts that nothing in the file was passed over.
    pub(crate) fn all_used(&self) {
        let used = self.used.borrow();
        for answer in self.rows.keys() {
            assert!(used.contains(answer), "{}: {answer} is not checked", self.file);
        }
    }
}
