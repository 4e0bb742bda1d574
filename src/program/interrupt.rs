//! Ctrl-C: what is half written is taken away, what is whole is named, and the exit status is that of shells.

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::exit;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Exit status of a program that Ctrl-C ended: 128 and the number of the signal, as shells count (POSIX).
const INTERRUPTED: i32 = 130;
/// Exit status of a program that writes to a pipe which nobody reads any more.
const UNREAD: i32 = 141;

/// What an interrupt finds.
struct Found {
    /// Files that are not whole yet, under the names that they have until then.
    half: Vec<PathBuf>,
    /// Files that were written.
    whole: Vec<String>,
    /// What is said instead, where rows are kept as they come.
    kept: Option<String>,
}

static FOUND: Mutex<Found> = Mutex::new(Found { half: Vec::new(), whole: Vec::new(), kept: None });

/// Nobody leaves it in a bad state, so one who failed while holding it changes nothing.
fn found() -> MutexGuard<'static, Found> {
    FOUND.lock().unwrap_or_else(PoisonError::into_inner)
}

/// From now on Ctrl-C is heeded. Where whoever started the program ignores it (`nohup`, a job in the background of a
/// script), it stays ignored.
pub(super) fn heed() {
    // Where that cannot be had, Ctrl-C ends the program as it ends any.
    let _ = ctrlc::try_set_handler(|| {
        let found = found();
        for half in &found.half {
            // It is of no use to anyone; that it cannot be removed changes nothing.
            let _ = std::fs::remove_file(half);
        }
        let mut out = std::io::stderr();
        // Behind `^C` and a bar.
        let line = if out.is_terminal() { "\n" } else { "" };
        let _ = writeln!(out, "{line}interrupted: {}", said(&found));
        exit(INTERRUPTED);
    });
}

/// What was kept.
fn said(found: &Found) -> String {
    match (&found.kept, &found.whole[..]) {
        (Some(kept), _) => kept.clone(),
        (None, []) => "nothing was written".to_owned(),
        (None, whole) => format!("the answer is not whole; written before: {}", whole.join(", ")),
    }
}

/// Ends the program quietly: it streams to a pipe that nobody reads any more.
pub(super) fn unread() -> ! {
    exit(UNREAD)
}

/// What an interrupt says from now on: that rows are kept.
pub(super) fn keeps(what: String) {
    found().kept = Some(what);
}

/// Makes a file that will not be whole for a while.
pub(super) fn begun<T>(
    make: impl FnOnce() -> std::io::Result<(T, PathBuf)>,
) -> std::io::Result<(T, PathBuf)> {
    let mut found = found();
    let (made, name) = make()?;
    found.half.push(name.clone());
    Ok((made, name))
}

/// Puts such a file in its place, `path`, when it is whole.
pub(super) fn placed(
    name: &Path,
    path: &Path,
    place: impl FnOnce() -> std::io::Result<()>,
) -> std::io::Result<()> {
    let mut found = found();
    place()?;
    found.half.retain(|half| half != name);
    found.whole.push(path.display().to_string());
    Ok(())
}

/// Takes such a file away.
pub(super) fn given_up(name: &Path) {
    let mut found = found();
    // What is half written is of no use to anyone; that it cannot be removed changes nothing.
    let _ = std::fs::remove_file(name);
    found.half.retain(|half| half != name);
}
