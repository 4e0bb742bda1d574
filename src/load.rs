//! Case files from disk: the case, what it includes, and the complaints about them.

use std::io::Read;
use std::path::{Path, PathBuf};

use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::lower::Ready;
use coolwright_cases::text::Sources;
use coolwright_models::results::Catalogue;
use coolwright_models::simulate::Simulator;

use crate::study::{ready_targets, resolve};

/// A case file larger than this is no case file, bytes.
const MOST_BYTES: u64 = 16 << 20;

/// A case that has been read from disk, with the texts behind it.
#[derive(Debug)]
pub struct Loaded {
    /// The texts.
    pub sources: Sources,
    /// The case.
    pub reading: Reading,
}

/// Why a case is of no use: the whole message, ready to print.
#[derive(Debug)]
pub struct Refused(pub String);

/// Reads a case file and what it includes.
///
/// # Errors
/// With every problem of the files, rendered.
pub fn load(path: &Path, color: bool) -> Result<Loaded, Refused> {
    let text =
        read_text(path).map_err(|why| Refused(format!("error: {}: {why}\n", path.display())))?;
    let mut sources = Sources::new();
    let file = sources.add(path.display().to_string(), text);
    let mut problems = Problems::new();
    let folder: PathBuf = path.parent().map_or_else(PathBuf::new, Path::to_path_buf);
    let mut fetch = |name: &str| read_text(&folder.join(name));
    let Some(reading) = Reading::new(&mut sources, file, &mut fetch, &mut problems) else {
        return Err(Refused(problems.render(&sources, color)));
    };
    let loaded = Loaded { sources, reading };
    if problems.has_errors() {
        // What could be read is checked as well, so that all problems come at once.
        loaded.build_into(None, &mut problems);
        return Err(Refused(problems.render(&loaded.sources, color)));
    }
    Ok(loaded)
}

impl Loaded {
    /// Builds the case as it stands, or one of its variants.
    ///
    /// # Errors
    /// With every problem, rendered; also where there is no such variant.
    pub fn build(&self, variant: Option<&str>, color: bool) -> Result<Ready, Refused> {
        if let Some(name) = variant
            && !self.reading.variants().any(|known| known == name)
        {
            return Err(Refused(self.no_variant(name)));
        }
        let mut problems = Problems::new();
        match self.build_into(variant, &mut problems) {
            Some(ready) if !problems.has_errors() => Ok(ready),
            _ => Err(Refused(problems.render(&self.sources, color))),
        }
    }

    /// Checks the case and all its variants.
    ///
    /// # Errors
    /// With every problem of them all, rendered.
    pub fn check_all(&self, color: bool) -> Result<(), Refused> {
        let mut problems = Problems::new();
        self.build_into(None, &mut problems);
        if !problems.has_errors() {
            for name in self.reading.variants() {
                self.build_into(Some(name), &mut problems);
            }
        }
        if problems.has_errors() {
            return Err(Refused(problems.render(&self.sources, color)));
        }
        Ok(())
    }

    /// Builds the case or a variant; where there is a model, limits are held against it too.
    fn build_into(&self, variant: Option<&str>, problems: &mut Problems) -> Option<Ready> {
        let ready = match variant {
            None => self.reading.build(problems),
            Some(name) => self.reading.build_variant(&self.sources, name, problems),
        }?;
        if let Ok(simulator) = Simulator::new(&ready.model, ready.model.values.clone()) {
            let catalogue = Catalogue::of(&simulator);
            let mut found = Problems::new();
            resolve(&ready.limits, &catalogue, &mut found);
            ready_targets(&ready.duty.ready, &catalogue, &mut found);
            self.reading.push_own(found, problems);
        }
        Some(ready)
    }

    /// What is said where there is no variant of a name.
    pub fn no_variant(&self, name: &str) -> String {
        let known: Vec<&str> = self.reading.variants().collect();
        let nearest = coolwright_cases::text::nearest(name, known.iter().copied());
        let hint = nearest.map_or_else(String::new, |n| format!(" Did you mean `{n}`?"));
        if known.is_empty() {
            return format!("error: the case has no variants, so there is no `{name}`\n");
        }
        format!("error: the case has no variant `{name}`.{hint} It has: {}\n", known.join(", "))
    }
}

/// The text of a file, or why it cannot be had.
fn read_text(path: &Path) -> Result<String, String> {
    let meta = std::fs::metadata(path).map_err(|error| io_message(&error))?;
    if meta.is_dir() {
        return Err("this is a folder, not a file".to_owned());
    }
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(|error| io_message(&error))?;
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(|error| io_message(&error))?;
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
pub fn io_message(error: &std::io::Error) -> String {
    use std::io::ErrorKind as Kind;
    match error.kind() {
        Kind::NotFound => "there is no such file".to_owned(),
        Kind::PermissionDenied => "permission denied".to_owned(),
        Kind::StorageFull => "the disk is full".to_owned(),
        Kind::AlreadyExists => "this file exists already".to_owned(),
        _ => error.to_string(),
    }
}
