//! Reading a table of reference values and comparing with it.

/// A table of `tests/reference`: comment lines, a line of column names, rows.
pub(crate) struct Table {
    name: &'static str,
    columns: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) fn read(name: &'static str) -> Self {
        let path = format!("{}/../tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
        let mut lines = text
            .lines()
            .filter(|line| !line.starts_with('#'))
            .map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>());
        let columns = lines.next().expect("a line of column names");
        let rows: Vec<_> = lines.collect();
        assert!(!rows.is_empty(), "{name} has no rows");
        Self { name, columns, rows }
    }

    pub(crate) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { table: self, cells })
    }
}

/// One row of a table.
#[derive(Clone, Copy)]
pub(crate) struct Row<'a> {
    table: &'a Table,
    cells: &'a [String],
}

impl Row<'_> {
    pub(crate) fn text(&self, column: &str) -> &str {
        let at = self.table.columns.iter().position(|name| name == column);
        &self.cells[at.unwrap_or_else(|| panic!("{}: no column {column}", self.table.name))]
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or_else(|e| panic!("{}: {column}: {e}", self.table.name))
    }

    /// Compares a value with a column, by a relative tolerance.
    pub(crate) fn check(&self, column: &str, got: f64, tolerance: f64) {
        let want = self.number(column);
        assert!(
            (got - want).abs() <= tolerance * want.abs(),
            "{}: {column} of {:?}: got {got}, want {want}, off by {:.3e} of it, allowed {tolerance:e}",
            self.table.name,
            self.cells,
            got / want - 1.0,
        );
    }
}

#[track_caller]
pub(crate) fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{what}: got {got}, want {want} ± {tolerance}");
}
