//! A case that has been read, and a model of it that is built.

use std::sync::{Arc, OnceLock};

use coolwright_cases::case::{Change, Fetch, Reading};
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::lower::Ready;
use coolwright_cases::text::{Sources, nearest};
use coolwright_models::results::Catalogue;
use coolwright_models::simulate::Simulator;
use coolwright_models::solve::SolveError;

use super::unsolved::unsolved;
use crate::answer::Value;
use crate::refusal::Refusal;
use crate::say;
use crate::sections::beside::Beside;
use crate::study::chance::inputs;
use crate::study::{Limit, ReadyTarget, built_in, ready_targets, resolve};

/// A case that has been read, with the texts behind it.
#[derive(Debug)]
pub struct Case {
    /// What it is called: the path of its file.
    pub(super) name: String,
    pub(super) sources: Sources,
    pub(super) reading: Reading,
    /// The case as it stands, beside which every variant is judged; made when it is first needed.
    plain: OnceLock<Option<Arc<Plain>>>,
    /// Which of its variants it is, if it is one.
    pub(super) variant: Option<String>,
}

/// The case as it stands.
#[derive(Debug)]
struct Plain {
    ready: Ready,
    /// Its results, where it can be prepared.
    catalogue: Option<Arc<Catalogue>>,
}

/// A case that is built and whose limits are resolved.
pub(super) struct Built<'a> {
    pub(super) case: &'a Case,
    pub(super) ready: Ready,
    pub(super) limits: Vec<Limit>,
    pub(super) targets: Vec<ReadyTarget>,
    pub(super) catalogue: Arc<Catalogue>,
    /// What the case and its variant say of their limits.
    pub(super) beside: Beside,
}

impl Case {
    /// Reads a case and, by `fetch`, what it includes. `name` is what messages call it.
    ///
    /// # Errors
    /// With every problem of the texts.
    pub fn read(name: &str, text: &str, fetch: &mut Fetch<'_>) -> Result<Self, Refusal> {
        let mut sources = Sources::new();
        let file = sources.add(name, text);
        let mut problems = Problems::new();
        let Some(reading) = Reading::new(&mut sources, file, fetch, &mut problems) else {
            return Err(Refusal::faults(&sources, problems));
        };
        let (name, plain) = (name.to_owned(), OnceLock::new());
        let case = Self { name, sources, reading, plain, variant: None };
        if problems.has_errors() {
            // What could be read is checked as well, so that all problems come at once.
            case.build_into(None, &mut problems);
            return Err(case.faults(problems));
        }
        Ok(case)
    }

    /// One of its variants as a case of its own, of which all can be asked; it is judged beside the case as it stands.
    ///
    /// # Errors
    /// With every problem; also where there is no such variant.
    pub fn as_variant(&self, name: &str) -> Result<Self, Refusal> {
        if !self.reading.variants().any(|known| known == name) {
            return Err(self.no_variant(name));
        }
        let mut problems = Problems::new();
        let reading = self.reading.as_variant(&self.sources, name, &mut problems);
        let Some(reading) = reading.filter(|_| !problems.has_errors()) else {
            return Err(self.faults(problems));
        };
        Ok(self.with(reading, self.sources.clone(), Some(name.to_owned())))
    }

    /// The same case read otherwise; it is judged beside the case as it stands.
    pub(super) fn with(&self, reading: Reading, sources: Sources, variant: Option<String>) -> Self {
        self.plain();
        Self { name: self.name.clone(), sources, reading, plain: self.plain.clone(), variant }
    }

    pub(super) fn faults(&self, problems: Problems) -> Refusal {
        Refusal::faults(&self.sources, problems)
    }

    /// Builds the case as it stands, or one of its variants.
    ///
    /// # Errors
    /// With every problem; also where there is no such variant.
    pub fn build(&self, variant: Option<&str>) -> Result<Ready, Refusal> {
        if let Some(name) = variant
            && !self.reading.variants().any(|known| known == name)
        {
            return Err(self.no_variant(name));
        }
        let mut problems = Problems::new();
        match self.build_into(variant, &mut problems) {
            Some(ready) if !problems.has_errors() => Ok(ready),
            _ => Err(self.faults(problems)),
        }
    }

    /// Builds the case or a variant, with its limits.
    pub(super) fn built(&self, variant: Option<&str>) -> Result<Built<'_>, Refusal> {
        let ready = self.build(variant)?;
        self.with_limits(ready, variant.is_some(), &self.sources)
    }

    /// Builds the case with changes, as a variant that makes them.
    pub(super) fn built_with(&self, changes: &[Change]) -> Result<Built<'_>, Refusal> {
        let mut sources = self.sources.clone();
        let mut problems = Problems::new();
        match self.reading.build_changed(&mut sources, changes, &mut problems) {
            Some(ready) if !problems.has_errors() => {
                self.with_limits(ready, !changes.is_empty(), &sources)
            }
            _ => Err(Refusal::faults(&sources, problems)),
        }
    }

    /// Resolves the limits of what was built; of what was `changed` also against the case as it stands.
    fn with_limits(
        &self,
        ready: Ready,
        changed: bool,
        sources: &Sources,
    ) -> Result<Built<'_>, Refusal> {
        let changed = changed || self.variant.is_some();
        let plain = if changed { self.plain() } else { None };
        // Numbers out of range are told by whoever solves them, where the structure is known already.
        let catalogue = match ready.model.known_catalogue() {
            Some(known) => known,
            None => match Simulator::new(&ready.model, ready.model.values.clone()) {
                Ok(simulator) => simulator.catalogue().clone(),
                Err(error) => {
                    let error = SolveError::Prepare(error);
                    return Err(unsolved(self, &ready, &error));
                }
            },
        };
        let mut problems = Problems::new();
        let known = plain.and_then(|plain| plain.catalogue.clone());
        let mut limits = resolve(&ready.limits, &catalogue, known.as_deref(), &mut problems);
        limits.extend(built_in(&ready, &catalogue));
        let targets = ready_targets(&ready.duty.ready, &catalogue, known.as_deref(), &mut problems);
        if problems.has_errors() {
            return Err(Refusal::faults(sources, problems));
        }
        let beside = Beside::of(&ready, plain.map(|plain| &plain.ready));
        Ok(Built { case: self, ready, limits, targets, catalogue, beside })
    }

    /// The case as it stands, built once; `None` where it has faults.
    pub(super) fn plain_ready(&self) -> Option<&Ready> {
        self.plain().map(|plain| &plain.ready)
    }

    /// The names of all texts behind it: its own, then those that it includes, beside or below it.
    pub fn files(&self) -> impl Iterator<Item = &str> {
        self.sources.files().map(|(_, name)| name)
    }

    /// The same with their names.
    pub fn texts(&self) -> impl Iterator<Item = (&str, &str)> {
        self.sources.files().map(|(file, name)| (name, self.sources.text(file)))
    }

    /// The case as it stands; `None` where it has faults.
    fn plain(&self) -> Option<&Plain> {
        let made = self.plain.get_or_init(|| {
            let ready = self.reading.build(&mut Problems::new())?;
            let catalogue = catalogue_of(&ready);
            Some(Arc::new(Plain { ready, catalogue }))
        });
        made.as_deref()
    }

    /// The variants that cannot be built, with every problem of each; the case itself has been built, and
    /// `known` are its own results.
    pub(super) fn faulty_variants(&self, known: &Catalogue) -> Vec<(&str, Problems)> {
        let built = self.reading.variants().map(|name| {
            let mut problems = Problems::new();
            self.variant_into(name, Some(known), &mut problems);
            (name, problems)
        });
        built.filter(|(_, problems)| problems.has_errors()).collect()
    }

    /// Builds the case or a variant; where there is a model, limits are held against it too.
    fn build_into(&self, variant: Option<&str>, problems: &mut Problems) -> Option<Ready> {
        let Some(name) = variant else {
            let ready = self.reading.build(problems)?;
            if self.variant.is_some() {
                let known = self.plain().and_then(|plain| plain.catalogue.clone());
                self.hold_against(&ready, known.as_deref(), problems);
                return Some(ready);
            }
            self.hold_against(&ready, None, problems);
            // What a variant takes away need not be there with it.
            let mut found = Problems::new();
            inputs(&ready, &mut found);
            self.reading.push_own(found, problems);
            return Some(ready);
        };
        let plain = self.reading.build(&mut Problems::new());
        let known = plain.as_ref().and_then(catalogue_of);
        self.variant_into(name, known.as_deref(), problems)
    }

    /// Builds a variant; `known` are the results of the case without it.
    fn variant_into(
        &self,
        name: &str,
        known: Option<&Catalogue>,
        problems: &mut Problems,
    ) -> Option<Ready> {
        let ready = self.reading.build_variant(&self.sources, name, problems)?;
        self.hold_against(&ready, known, problems);
        Some(ready)
    }

    /// Holds limits and targets against the results that there are.
    fn hold_against(&self, ready: &Ready, known: Option<&Catalogue>, problems: &mut Problems) {
        let Some(catalogue) = catalogue_of(ready) else { return };
        let mut found = Problems::new();
        resolve(&ready.limits, &catalogue, known, &mut found);
        ready_targets(&ready.duty.ready, &catalogue, known, &mut found);
        self.reading.push_own(found, problems);
    }

    /// What is said where there is no variant of a name.
    pub(super) fn no_variant(&self, name: &str) -> Refusal {
        let known: Vec<&str> = self.reading.variants().collect();
        if known.is_empty() {
            return Refusal::said(say!(
                "the case has no variants, so there is no `{name}`",
                name = name
            ));
        }
        let named = |names: Vec<&str>| {
            Value::list(names.into_iter().map(|name| say!("`{name}`", name = name)), ", ")
        };
        let listed: Vec<&str> = self.reading.variants_of(name).collect();
        if !listed.is_empty() {
            return Refusal::said(say!(
                "`{name}` is a list of variants, one of which is to be named: {known}",
                name = name,
                known = named(listed)
            ));
        }
        let hint = did_you_mean(nearest(name, known.iter().copied()));
        Refusal::said(say!(
            "the case has no variant `{name}`.{hint} It has: {known}",
            name = name,
            hint = hint,
            known = named(known),
        ))
    }
}

impl Built<'_> {
    /// The command that judges by the duty cycle; nothing where there is none.
    pub(super) fn judge_command(&self, variant: Option<&str>) -> Option<String> {
        let variant = variant.map_or_else(String::new, |name| format!(" --variant {name}"));
        let name = &self.case.name;
        let any = !self.ready.duty.phases.is_empty();
        any.then(|| format!("coolwright cycle {name}{variant}"))
    }

    /// What is said where the case could not be solved.
    pub(super) fn unsolved(&self, error: &SolveError) -> Refusal {
        unsolved(self.case, &self.ready, error)
    }
}

/// The results of a case, where it can be prepared.
fn catalogue_of(ready: &Ready) -> Option<Arc<Catalogue>> {
    let simulator = Simulator::new(&ready.model, ready.model.values.clone()).ok()?;
    Some(simulator.catalogue().clone())
}

/// The name that was perhaps meant.
pub(super) fn did_you_mean(near: Option<&str>) -> Value {
    match near {
        Some(near) => say!(" Did you mean `{name}`?", name = near).into(),
        None => "".into(),
    }
}
