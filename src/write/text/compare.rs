//! Variants side by side in text.

use coolwright_models::results::Results;

use super::{CAUTION, Shown, section};
use crate::study::Judged;
use crate::write::table::Table;
use crate::write::{Style, verdict};

/// One variant, solved.
#[derive(Clone, Debug)]
pub struct Column {
    /// Its name.
    pub name: String,
    /// The limits.
    pub judged: Vec<Judged>,
    /// All results.
    pub results: Option<Results>,
    /// Paths of its pumps.
    pub pumps: Vec<String>,
    /// Whether coolant boiled on the way.
    pub boils: bool,
    /// Why it could not be solved.
    pub unsolved: Option<String>,
}

impl Column {
    /// A variant that could not be solved.
    pub fn unsolved(name: String, why: &str) -> Self {
        let unsolved = Some(why.trim().to_owned());
        Self { name, judged: Vec::new(), results: None, pumps: Vec::new(), boils: false, unsolved }
    }

    fn holds(&self) -> bool {
        self.unsolved.is_none() && !self.boils && self.judged.iter().all(Judged::holds)
    }
}

/// Variants side by side.
pub fn compare(style: &Style, columns: &[Column], cycle: bool) -> String {
    let mut out = summary(style, columns);
    let when = if cycle { " (worst over the cycle)" } else { "" };
    out.push_str(&limits(style, columns, when));
    out.push_str(&pumps(style, columns));
    out.push_str(&totals(style, columns));
    for column in columns {
        if let Some(why) = &column.unsolved {
            out.push_str(&format!("\n`{}` could not be solved: {why}\n", column.name));
        }
    }
    out.push_str(CAUTION);
    out
}

/// Which of them hold, in a sentence each.
fn summary(style: &Style, columns: &[Column]) -> String {
    let limited = columns.iter().any(|c| !c.judged.is_empty());
    if !limited {
        return "VERDICT  none: the case sets no limits\n".to_owned();
    }
    let mut out = String::new();
    for column in columns {
        let name = &column.name;
        let line = if column.unsolved.is_some() {
            format!("{name}: {}", style.judged(false, "NOT SOLVED"))
        } else if column.boils {
            format!("{name}: {}, its coolant boils", style.judged(false, "BROKEN"))
        } else if column.holds() {
            format!("{name}: {}", style.judged(true, "HOLDS"))
        } else {
            let broken: Vec<String> = column
                .judged
                .iter()
                .filter(|j| !j.holds())
                .map(|j| verdict::in_words(style, j))
                .collect();
            format!("{name}: {}, {}", style.judged(false, "BROKEN"), broken.join("; "))
        };
        out.push_str(&format!(
            "{}{line}\n",
            if out.is_empty() { "VERDICT  " } else { "         " }
        ));
    }
    out.push_str(&conclusion(columns));
    out
}

/// What follows from it.
fn conclusion(columns: &[Column]) -> String {
    let Some((base, variants)) = columns.split_first() else { return String::new() };
    let good: Vec<String> =
        variants.iter().filter(|c| c.holds()).map(|c| format!("`{}`", c.name)).collect();
    let names = good.join(", ");
    let (does, do_so) = if good.len() == 1 { ("does", "so does") } else { ("do", "and so do") };
    let line = match (base.holds(), good.is_empty()) {
        (true, true) => "The case holds as it stands; none of the variants does.".to_owned(),
        (true, false) => {
            format!("The case holds as it stands, {do_so} {names}: no change is needed.")
        }
        (false, true) => {
            "Neither the case as it stands nor any variant holds all limits.".to_owned()
        }
        (false, false) => format!("The case does not hold as it stands; {names} {does}."),
    };
    format!("         {line}\n")
}

fn headings(columns: &[Column]) -> Vec<String> {
    std::iter::once("<".to_owned()).chain(columns.iter().map(|c| c.name.clone())).collect()
}

fn table(columns: &[Column]) -> Table {
    let headings = headings(columns);
    Table::new(&headings.iter().map(String::as_str).collect::<Vec<_>>()).mixed()
}

fn limits(style: &Style, columns: &[Column], when: &str) -> String {
    let mut rows = table(columns);
    let Some(first) = columns.iter().find(|c| !c.judged.is_empty()) else { return String::new() };
    for (k, judged) in first.judged.iter().enumerate() {
        let cell = |column: &Column| {
            column.judged.get(k).map_or_else(
                || "-".to_owned(),
                |j| {
                    let mark = if j.holds() { "" } else { " !" };
                    style.judged(j.holds(), &format!("{}{mark}", verdict::value(style, j)))
                },
            )
        };
        let name = format!("{} ({})", judged.limit.name, verdict::bound(style, judged));
        rows.row(std::iter::once(name).chain(columns.iter().map(cell)));
    }
    section(&format!("Limits{when}; ! is broken"), rows)
}

/// Flow, head, current and suction of every pump.
fn pumps(style: &Style, columns: &[Column]) -> String {
    let mut paths: Vec<&String> = columns.iter().flat_map(|c| &c.pumps).collect();
    paths.sort();
    paths.dedup();
    let mut rows = table(columns);
    for path in paths {
        for (name, label) in [
            ("flow", "flow"),
            ("head", "head"),
            ("current", "current"),
            ("suction_margin", "inlet above vapour pressure"),
        ] {
            let cell = |column: &Column| {
                column.results.as_ref().map_or_else(
                    || "-".to_owned(),
                    |results| Shown { style, results }.at(path, name),
                )
            };
            rows.row(std::iter::once(format!("{path} {label}")).chain(columns.iter().map(cell)));
        }
    }
    section("Pumps (several under one name together)", rows)
}

/// Heat sources, cores, and the current of everything.
fn totals(style: &Style, columns: &[Column]) -> String {
    let wanted = |address: &str| {
        let (path, name) = address.rsplit_once(':').unwrap_or((address, ""));
        let body = path.starts_with("engines/") || path.starts_with("coolers/");
        (body && matches!(name, "flow" | "rise" | "metal" | "spread"))
            || (path.starts_with("cores/") && name == "heat")
            || (!path.contains('/') && name == "boil_margin")
            || path == "supply"
    };
    let mut addresses: Vec<String> = Vec::new();
    for results in columns.iter().filter_map(|c| c.results.as_ref()) {
        for entry in results.catalogue.entries() {
            if wanted(&entry.address) && !addresses.contains(&entry.address) {
                addresses.push(entry.address.clone());
            }
        }
    }
    let mut rows = table(columns);
    for address in &addresses {
        let (path, name) = address.rsplit_once(':').unwrap_or((address, ""));
        let cell = |column: &Column| {
            column
                .results
                .as_ref()
                .map_or_else(|| "-".to_owned(), |results| Shown { style, results }.at(path, name))
        };
        // A single pass has nothing to share out.
        let even = |column: &Column| {
            column.results.as_ref().is_none_or(|r| r.get(address).is_none_or(|v| v <= 1.0))
        };
        if name == "spread" && columns.iter().all(even) {
            continue;
        }
        rows.row(std::iter::once(address.clone()).chain(columns.iter().map(cell)));
    }
    section("Heat sources, cores, supply", rows)
}
