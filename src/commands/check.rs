//! `check`: does the case read, is the plumbing complete and sensible?

use coolwright_cases::quantity::UnitSystem;
use serde_json::json;

use super::{Outcome, Prepared, print, style};
use crate::cli::Asked;
use crate::load::Refused;
use crate::write::{json, text};

/// Reads a case, solves its flows once, and says what was found.
pub(super) fn run(args: &Asked) -> Result<Outcome, Refused> {
    let prepared = Prepared::new(args, None)?;
    let ready = &prepared.ready;
    prepared.loaded.check_all(super::color_for_errors())?;
    // JSON answers are in SI units, their sentences too.
    let units = if args.json { UnitSystem::Si } else { style(args).units };
    let findings =
        crate::study::findings(ready, units).map_err(|error| prepared.unsolved(&error))?;
    if args.json {
        let mut map = json::head("check", &ready.title);
        map.insert("reads".into(), json!(true));
        map.insert("findings".into(), json::findings(&findings.list));
        map.insert("statements".into(), json!(findings.statements));
        map.insert("notes".into(), json!(ready.notes));
        map.insert("results".into(), json!(prepared.catalogue.entries().len()));
        print(&json::render(map))?;
    } else {
        print(&text::check(&style(args), ready, &findings))?;
    }
    Ok(Outcome::Holds)
}
