//! Files and standard output.

use std::fs::Metadata;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use coolwright::ask::Case;

use super::interrupt;

/// A case file larger than this is no case file, bytes.
const MOST_BYTES: u64 = 16 << 20;

/// How often a file that changes under the reader is read anew.
const TRIES: usize = 3;

/// The text of a file, or why it cannot be had.
pub(super) fn read(path: &Path) -> Result<String, String> {
    for _ in 0..TRIES {
        if let Some(text) = read_once(path)? {
            return Ok(text);
        }
    }
    Err("this file changes while it is read; try again when it is written".to_owned())
}

/// The text of a file that a case in a folder includes: a plain file in that folder or below it, where
/// links lead no further either.
pub(super) fn included(folder: &Path, name: &str) -> Result<String, String> {
    let here = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let real = |path: &Path| std::fs::canonicalize(path).map_err(|error| message(&error));
    let (within, file) = (real(here)?, real(&here.join(name))?);
    if !file.starts_with(&within) {
        return Err("this is a link that leads out of the folder of the case".to_owned());
    }
    let meta = std::fs::metadata(&file).map_err(|error| message(&error))?;
    if !meta.is_file() && !meta.is_dir() {
        return Err("this is a device or a pipe, not a file".to_owned());
    }
    read(&file)
}

/// A file in a folder or below it, open for reading however long it is; links lead no further either.
pub(super) fn open_beside(folder: &Path, name: &str) -> Result<std::fs::File, String> {
    let here = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let real = |path: &Path| std::fs::canonicalize(path).map_err(|error| message(&error));
    let (within, file) = (real(here)?, real(&here.join(name))?);
    if !file.starts_with(&within) {
        return Err("a log lies beside the stand file or below it".to_owned());
    }
    if std::fs::metadata(&file).map_err(|error| message(&error))?.is_dir() {
        return Err("this is a folder, not a log".to_owned());
    }
    std::fs::File::open(&file).map_err(|error| message(&error))
}

/// What tells whether a file has changed: its length and when it was written. A pipe has none.
fn stamp(meta: &Metadata) -> Option<(u64, SystemTime)> {
    meta.is_file().then(|| meta.modified().ok().map(|time| (meta.len(), time))).flatten()
}

/// The text of a file; `None` where it changed meanwhile.
fn read_once(path: &Path) -> Result<Option<String>, String> {
    let said = |error: std::io::Error| message(&error);
    if std::fs::metadata(path).map_err(said)?.is_dir() {
        return Err("this is a folder, not a file".to_owned());
    }
    let mut bytes = Vec::new();
    let mut file = std::fs::File::open(path).map_err(said)?;
    let before = stamp(&file.metadata().map_err(said)?);
    Read::by_ref(&mut file).take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(said)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err("this file is larger than 16 MB, which no case is".to_owned());
    }
    let after = stamp(&file.metadata().map_err(said)?);
    let whole = after.is_none_or(|(length, _)| length == bytes.len() as u64);
    if before != after || !whole {
        return Ok(None);
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..at].split(|&byte| byte == b'\n').count();
        format!(
            "this is not a text in UTF-8: byte {} (in line {line}) is part of no character; save it as \
             plain text in UTF-8",
            at + 1
        )
    })?;
    Ok(Some(text))
}

/// An error of the system in plain words.
pub(super) fn message(error: &std::io::Error) -> String {
    use std::io::ErrorKind as Kind;
    match error.kind() {
        Kind::NotFound => "there is no such file".to_owned(),
        Kind::PermissionDenied => "permission denied".to_owned(),
        Kind::StorageFull => "the disk is full".to_owned(),
        Kind::QuotaExceeded => "your share of the disk is full".to_owned(),
        Kind::FileTooLarge => "no file may become that large here".to_owned(),
        Kind::AlreadyExists => "this file exists already".to_owned(),
        Kind::ReadOnlyFilesystem => "nothing can be written there".to_owned(),
        _ => error.to_string(),
    }
}

/// Writes a text to standard output.
///
/// # Errors
/// With a message. A reader that has gone away is no error.
pub(super) fn to_stdout(text: &str) -> Result<(), String> {
    is_heard(text).map(|_| ())
}

/// Writes a text to standard output; tells whether anybody still reads there.
///
/// # Errors
/// With a message.
pub(super) fn is_heard(text: &str) -> Result<bool, String> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(false),
        Err(error) => Err(format!("cannot write the answer: {}", message(&error))),
        Ok(()) => Ok(true),
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
    write_bytes(path, text.as_bytes())
}

/// Refuses to write over the case at a path or what it includes, or twice to one file; `-` is no file.
///
/// # Errors
/// With a message.
pub(super) fn apart(case: &Case, path: &Path, outputs: &[Option<&Path>]) -> Result<(), String> {
    let real = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = path.parent().unwrap_or(Path::new(""));
    let included = case.files().skip(1).map(|name| real(&folder.join(name)));
    let mut known: Vec<PathBuf> = std::iter::once(real(path)).chain(included).collect();
    let of_case = known.len();
    for path in outputs.iter().flatten().filter(|path| **path != Path::new("-")) {
        let target = real(path);
        match known.iter().position(|known| *known == target) {
            Some(k) if k < of_case => {
                return Err(format!(
                    "{} is what the case is read from: it would be written over",
                    path.display()
                ));
            }
            Some(_) => {
                return Err(format!(
                    "{} is asked for twice: one would be written over the other",
                    path.display()
                ));
            }
            None => known.push(target),
        }
    }
    Ok(())
}

/// Refuses a name that promises another form than what is written to it: a workbook, or Parquet where `parquet` is not
/// written.
///
/// # Errors
/// With a message.
pub(super) fn of_its_form(paths: &[Option<&Path>], parquet: bool) -> Result<(), String> {
    let ends =
        |path: &Path, ending| path.extension().is_some_and(|end| end.eq_ignore_ascii_case(ending));
    for path in paths.iter().flatten() {
        let name = path.display();
        if ends(path, "xlsx") {
            return Err(format!(
                "{name}: what is written there is no workbook; `--xlsx {name}` writes one"
            ));
        }
        if !parquet && ends(path, "parquet") {
            return Err(format!("{name}: only the rows of `grid` are written as Parquet"));
        }
    }
    Ok(())
}

/// Writes bytes to a file, whole or not at all.
///
/// # Errors
/// With a message.
pub(super) fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let say = |error: &std::io::Error| {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
        let missing = folder.filter(|folder| !folder.exists());
        match missing.filter(|_| error.kind() == std::io::ErrorKind::NotFound) {
            Some(folder) => {
                format!("cannot write {}: there is no folder {}", path.display(), folder.display())
            }
            None => format!("cannot write {}: {}", path.display(), message(error)),
        }
    };
    // A device or a pipe cannot be replaced by a file; a link stays one to what it points at.
    let target = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let path = target.as_path();
    match std::fs::metadata(path) {
        Ok(meta) if meta.is_dir() => {
            return Err(format!("cannot write {}: this is a folder", path.display()));
        }
        Ok(meta) if !meta.is_file() => {
            let written = std::fs::OpenOptions::new().write(true).open(path);
            return match written.and_then(|mut file| file.write_all(bytes)) {
                Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(say(&error)),
                _ => Ok(()),
            };
        }
        _ => {}
    }
    beside(path, bytes).map_err(|error| say(&error))
}

/// Writes a text to a file that is not there yet, whole or not at all.
///
/// # Errors
/// With that of the system, which says so where the file exists.
pub(super) fn write_new(path: &Path, text: &str) -> std::io::Result<()> {
    if path.symlink_metadata().is_ok() {
        return Err(std::io::ErrorKind::AlreadyExists.into());
    }
    let place = Beside::new(path)?;
    place.file()?.write_all(text.as_bytes())?;
    place.placed_anew()
}

/// Writes bytes beside a file and puts it in its place.
fn beside(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let place = Beside::new(path)?;
    place.file()?.write_all(bytes)?;
    place.placed()
}

/// A file that is written beside its place, and put there when it is whole.
pub(super) struct Beside {
    file: std::fs::File,
    /// What it is called until then; nothing when it is in its place.
    name: Option<PathBuf>,
    path: PathBuf,
}

impl Beside {
    /// A new file for this place, that whoever may read what stands there may read too. A link stays one to what it
    /// points at, and what is marked as read-only stays.
    pub(super) fn new(path: &Path) -> std::io::Result<Self> {
        let path = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let there = std::fs::metadata(&path).ok().map(|meta| meta.permissions());
        if there.as_ref().is_some_and(std::fs::Permissions::readonly) {
            return Err(std::io::ErrorKind::PermissionDenied.into());
        }
        let (file, name) = interrupt::begun(|| unnamed(&path))?;
        let new = Self { file, name: Some(name), path };
        there.map_or(Ok(()), |permissions| new.file.set_permissions(permissions))?;
        Ok(new)
    }

    /// The file to write.
    pub(super) fn file(&self) -> std::io::Result<std::fs::File> {
        self.file.try_clone()
    }

    /// Puts it in its place.
    pub(super) fn placed(self) -> std::io::Result<()> {
        self.put(|name, path| std::fs::rename(name, path))
    }

    /// Puts it in its place, where nothing may be.
    fn placed_anew(self) -> std::io::Result<()> {
        self.put(|name, path| {
            // A second name fails where the first is taken, which to rename would not.
            match std::fs::hard_link(name, path) {
                Ok(()) => std::fs::remove_file(name).or(Ok(())),
                Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => Err(error),
                // Some disks know no second names.
                Err(_) => std::fs::rename(name, path),
            }
        })
    }

    fn put(
        mut self,
        place: impl FnOnce(&Path, &Path) -> std::io::Result<()>,
    ) -> std::io::Result<()> {
        self.file.sync_all()?;
        if let Some(name) = &self.name {
            interrupt::placed(name, &self.path, || place(name, &self.path))?;
        }
        self.name = None;
        Ok(())
    }
}

impl Drop for Beside {
    fn drop(&mut self) {
        if let Some(name) = &self.name {
            interrupt::given_up(name);
        }
    }
}

/// A new file beside another, under a name that nothing has yet: neither a file of somebody else's nor a
/// link is written through.
fn unnamed(path: &Path) -> std::io::Result<(std::fs::File, PathBuf)> {
    let name = path.file_name().ok_or(std::io::ErrorKind::InvalidInput)?;
    let mut last = std::io::ErrorKind::AlreadyExists.into();
    for k in 0..100 {
        let mut other = std::ffi::OsString::from(".");
        other.push(name);
        other.push(format!(".{}-{k}.part", std::process::id()));
        let other = path.with_file_name(other);
        match std::fs::File::create_new(&other) {
            Ok(file) => return Ok((file, other)),
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => last = error,
            Err(error) => return Err(error),
        }
    }
    Err(last)
}
