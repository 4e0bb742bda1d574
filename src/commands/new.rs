//! `new`: a starter case.

use std::io::Write;

use super::{Outcome, print};
use crate::cli::New;
use crate::load::{Refused, io_message};

/// The starter case: about twenty lines that run as they stand.
pub(super) const STARTER: &str = include_str!("../../cases/first.ron");

/// Writes the starter case.
pub(super) fn run(args: &New) -> Result<Outcome, Refused> {
    let path = &args.file;
    let refuse = |error: std::io::Error| {
        Refused(format!("error: cannot write {}: {}", path.display(), io_message(&error)))
    };
    let mut file = std::fs::File::create_new(path).map_err(refuse)?;
    if let Err(error) = file.write_all(STARTER.as_bytes()).and_then(|()| file.sync_all()) {
        // A half-written case is of no use; that it cannot be removed changes nothing.
        let _ = std::fs::remove_file(path);
        return Err(refuse(error));
    }
    let path = path.display();
    print(&format!(
        "Wrote {path}. Next:\n  coolwright point {path}\n  coolwright compare {path}\n  coolwright cycle {path}\n"
    ))?;
    Ok(Outcome::Holds)
}
