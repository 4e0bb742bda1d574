//! Files and standard output.

use std::io::{Read, Write};
use std::path::Path;

/// A case file larger than this is no case file, bytes.
const MOST_BYTES: u64 = 16 << 20;

/// The text of a file, or why it cannot be had.
pub(super) fn read(path: &Path) -> Result<String, String> {
    let meta = std::fs::metadata(path).map_err(|error| message(&error))?;
    if meta.is_dir() {
        return Err("this is a folder, not a file".to_owned());
    }
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(|error| message(&error))?;
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(|error| message(&error))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err("this file is larger than 16 MB, which no case is".to_owned());
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..at].split(|&byte| byte == b'\n').count();
        format!(
            "this is not a text in UTF-8: byte {} (in line {line}) is part of no character; save it as \
             plain text in UTF-8",
            at + 1
        )
    })
}

/// An error of the system in plain words.
pub(super) fn message(error: &std::io::Error) -> String {
    use std::io::ErrorKind as Kind;
    match error.kind() {
        Kind::NotFound => "there is no such file".to_owned(),
        Kind::PermissionDenied => "permission denied".to_owned(),
        Kind::StorageFull => "the disk is full".to_owned(),
        Kind::AlreadyExists => "this file exists already".to_owned(),
        _ => error.to_string(),
    }
}

/// Writes a text to standard output.
///
/// # Errors
/// With a message. A reader that has gone away is no error.
pub(super) fn to_stdout(text: &str) -> Result<(), String> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(format!("cannot write the answer: {}", message(&error))),
        Ok(()) => Ok(()),
    }
}

/// Writes a text to a file, whole or not at all: it is written beside it first.
///
/// # Errors
/// With a message.
pub(super) fn write(path: &Path, text: &str) -> Result<(), String> {
    if path == Path::new("-") {
        return to_stdout(text);
    }
    let say =
        |error: &std::io::Error| format!("cannot write {}: {}", path.display(), message(error));
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
