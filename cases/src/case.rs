//! From the text of a case, with what it includes and with a variant's changes, to a model.

mod places;
mod variants;

pub use places::{FileEdit, written};

use std::sync::OnceLock;

use variants::{Listed, listed};

use crate::diagnostic::{Problem, Problems, Severity};
use crate::file::{Case, Parts};
use coolwright_models::slots::Values;

use crate::lower::{Address, Damage, Ready, Writes, lower, lower_damaged, lower_with, no_value};
use crate::quantity;
use crate::text::{
    Edit, FileId, PathStep, Sources, Span, Spanned, TableText, Tree, name_in, nearest, plain_text,
};

/// What an address of a variant begins with that is in no circuit.
const GROUPS: [&str; 17] = [
    "engines",
    "coolers",
    "exchangers",
    "cores",
    "air_paths",
    "charge_air",
    "pump_curves",
    "fan_curves",
    "supplies",
    "limits",
    "gauges",
    "rises",
    "liquids",
    "site",
    "bay",
    "supply",
    "duty",
];

/// Gets the text of an included file by its name, or says why it cannot be had.
pub type Fetch<'a> = dyn FnMut(&str) -> Result<String, String> + 'a;

/// What has come of numbers written into a case.
#[derive(Debug)]
pub enum Written {
    /// Values for the model that there was.
    Numbers(Values),
    /// Another model, because its structure depends on one of the numbers.
    Anew(Box<Ready>),
}

/// A change as a variant makes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The address of what is changed.
    pub address: String,
    /// The new value as the file writes it, with its quotation marks where it has any.
    pub text: String,
}

impl Change {
    /// A number, SI, at an address of a kind.
    pub fn number(address: impl Into<String>, kind: quantity::Kind, si: f64) -> Self {
        Self { address: address.into(), text: written(kind, si) }
    }

    /// Anything else.
    pub fn text(address: impl Into<String>, text: impl Into<String>) -> Self {
        Self { address: address.into(), text: text.into() }
    }
}

/// A case that has been read: its tree with everything it includes, to be built as it stands or as
/// one of its variants.
#[derive(Debug)]
pub struct Reading {
    tree: Tree,
    case: Case,
    /// Places of what could not be read.
    faults: Vec<Span>,
    /// The text of the log that drives it.
    log: Option<TableText>,
    /// What was learnt, by address: it counts before what the file says.
    learnt: Writes,
    variants: Vec<Listed>,
    /// The case without what was learnt or changed, for its addresses and its structure; made when it is first needed.
    plain: OnceLock<Option<Box<Ready>>>,
}

/// What changes come to.
struct Changed {
    /// The tree and what it reads as, where more than numbers changed.
    edited: Option<(Tree, Case)>,
    /// Numbers that count before that.
    writes: Writes,
}

impl Reading {
    /// Reads a case and what it includes. Everything that is wrong goes into `problems`.
    ///
    /// Where something is wrong there may still be a result: it can be built to bring more problems
    /// to light, not to be solved.
    pub fn new(
        sources: &mut Sources,
        file: FileId,
        fetch: &mut Fetch<'_>,
        problems: &mut Problems,
    ) -> Option<Self> {
        let mut own = Problems::new();
        let reading = Self::with_includes(sources, file, fetch, &mut own);
        let mut lines = sources.text(file).lines().filter(|line| !line.trim().starts_with("//"));
        if !lines.any(|line| line.contains("Case") || line.contains("circuits")) {
            own.advise(
                "a case file begins with `Case(`: `coolwright new my.ron` writes one to start from",
            );
        }
        problems.extend(own);
        reading
    }

    fn with_includes(
        sources: &mut Sources,
        file: FileId,
        fetch: &mut Fetch<'_>,
        problems: &mut Problems,
    ) -> Option<Self> {
        let mut tree = Tree::parse(sources, file, problems)?;
        // Only the includes matter now; everything else is read again when they are in.
        let mut first = Problems::new();
        if let Some(case) = tree.read::<Case>(&mut first) {
            let mut taken: Vec<&Spanned<String>> = Vec::new();
            for name in &case.include {
                if let Some(first) = taken.iter().find(|first| first.value == name.value) {
                    let message = format!("`{}` is included twice", name.value);
                    let problem = Problem::error(name.span, message).label("again here");
                    problems.push(problem.also(first.span, "first here"));
                } else {
                    include(sources, file, &mut tree, name, fetch, problems);
                }
                taken.push(name);
            }
        }
        let mut case = read_case(&tree, None, problems)?;
        let log = case.duty.log.as_ref().map(|log| &log.value.file);
        let log = log.and_then(|name| log_text(sources, name, fetch, problems));
        case.log_text.clone_from(&log);
        let errors = problems.iter().filter(|p| p.severity == Severity::Error);
        let faults: Vec<Span> = errors.map(|problem| problem.primary.0).collect();
        let learnt = if faults.is_empty() { learnt(&case, problems) } else { Writes::new() };
        let variants = listed(&case, sources, problems);
        Some(Self { tree, case, faults, log, learnt, variants, plain: OnceLock::new() })
    }

    /// Names of the case's variants, in the order of the file. Where values are lists, each value makes a variant, and
    /// stands behind the name.
    pub fn variants(&self) -> impl Iterator<Item = &str> {
        self.variants.iter().map(|variant| variant.name.as_str())
    }

    /// Names of the variants that an entry of the file makes; the name of a variant makes itself.
    pub fn variants_of<'a>(&'a self, entry: &'a str) -> impl Iterator<Item = &'a str> {
        let is_of = move |variant: &&Listed| variant.entry == entry || variant.name == entry;
        self.variants.iter().filter(is_of).map(|variant| variant.name.as_str())
    }

    /// What a variant changes, as the file writes it, and its price.
    pub fn changes_of(&self, sources: &Sources, name: &str) -> (Vec<Change>, Option<f64>) {
        let Some(listed) = self.variants.iter().find(|variant| variant.name == name) else {
            return (Vec::new(), None);
        };
        let changes = listed.change.iter();
        let changes =
            changes.map(|(address, span)| Change::text(&address.value, sources.slice(*span)));
        (changes.collect(), listed.price)
    }

    /// Builds the model of the case as it stands. It may be solved only where no error is logged; see
    /// [`lower`].
    pub fn build(&self, problems: &mut Problems) -> Option<Ready> {
        if self.faults.is_empty() {
            if self.case.circuits.is_empty() {
                let place = self.tree.span_of(&[PathStep::Name("circuits".to_owned())]);
                let span = place.unwrap_or(self.tree.span());
                let problem = Problem::error(span, "the case has no circuit").label("none in here");
                problems.push(problem.help("for example `\"main\": Circuit(coolant: Water, …)`"));
                return None;
            }
            return lower_with(&self.case, &self.learnt, problems);
        }
        let mut found = Problems::new();
        let ready = lower_damaged(&self.case, self.damage(), &mut found);
        self.push_own(found, problems);
        ready
    }

    /// What could not be read.
    fn damage(&self) -> Damage {
        let circuits = self.case.circuits.iter();
        let runs =
            circuits.map(|(name, circuit)| (name.value.as_str(), circuit.runs.names().collect()));
        let included = self.case.include.iter().map(|name| name.span);
        Damage::new(&self.tree, self.faults.clone(), runs, included)
    }

    /// Adds those of the problems found that are not the echo of something that could not be read.
    pub fn push_own(&self, found: Problems, problems: &mut Problems) {
        if self.faults.is_empty() {
            problems.extend(found);
            return;
        }
        let damage = self.damage();
        // A complaint about a thing in which something could not be read is only its echo.
        let echo = |problem: &&Problem| {
            let place = problem.primary.0;
            place == Span::default()
                || damage.touches(place)
                || self.tree.value_of_key(place).is_some_and(|value| damage.touches(value))
        };
        for problem in found.iter().filter(|problem| !echo(problem)) {
            problems.push(problem.clone());
        }
    }

    /// Builds the model of a variant. `None` also where there is no variant of that name.
    pub fn build_variant(
        &self,
        sources: &Sources,
        name: &str,
        problems: &mut Problems,
    ) -> Option<Ready> {
        let variant = self.variants.iter().find(|variant| variant.name == name)?;
        let change = variant.change.iter().map(|(address, value)| (address, *value));
        self.build_changes(sources, &change.collect::<Vec<_>>(), problems)
    }

    /// Builds the model with changes, as that of a variant that makes them. Their texts go into `sources`.
    pub fn build_changed(
        &self,
        sources: &mut Sources,
        changes: &[Change],
        problems: &mut Problems,
    ) -> Option<Ready> {
        let placed = placed(sources, changes);
        let change = placed.iter().map(|(address, value)| (address, *value));
        self.build_changes(sources, &change.collect::<Vec<_>>(), problems)
    }

    /// The case as one of its variants makes it, to be changed further. `None` also where there is no variant of that
    /// name.
    pub fn as_variant(
        &self,
        sources: &Sources,
        name: &str,
        problems: &mut Problems,
    ) -> Option<Self> {
        let variant = self.variants.iter().find(|variant| variant.name == name)?;
        let change = variant.change.iter().map(|(address, value)| (address, *value));
        self.with(sources, &change.collect::<Vec<_>>(), problems)
    }

    /// The case with changes, as a variant that makes them. Their texts go into `sources`.
    pub fn as_changed(
        &self,
        sources: &mut Sources,
        changes: &[Change],
        problems: &mut Problems,
    ) -> Option<Self> {
        let placed = placed(sources, changes);
        let change = placed.iter().map(|(address, value)| (address, *value));
        self.with(sources, &change.collect::<Vec<_>>(), problems)
    }

    /// What its variants change: each address with the text that stands there, in the order of the file.
    pub fn changed_by_variants<'a>(
        &'a self,
        sources: &'a Sources,
    ) -> impl Iterator<Item = (&'a str, Option<String>)> {
        let all = self.variants.iter().flat_map(|variant| &variant.change);
        all.map(|(address, value)| {
            (address.value.as_str(), plain_text(sources, *value).map(|text| text.value))
        })
    }

    fn with(
        &self,
        sources: &Sources,
        changes: &[(&Spanned<String>, Span)],
        problems: &mut Problems,
    ) -> Option<Self> {
        let Changed { edited, writes } = self.changed(sources, changes, problems)?;
        let (log, variants) = (self.log.clone(), self.variants.clone());
        let (tree, case) = match edited {
            Some(edited) => edited,
            None => (self.tree.clone(), read_case(&self.tree, self.log.as_ref(), problems)?),
        };
        let (faults, plain) = (Vec::new(), OnceLock::new());
        Some(Self { tree, case, faults, log, learnt: writes, variants, plain })
    }

    fn build_changes(
        &self,
        sources: &Sources,
        changes: &[(&Spanned<String>, Span)],
        problems: &mut Problems,
    ) -> Option<Ready> {
        let Changed { edited, writes } = self.changed(sources, changes, problems)?;
        let Some((_, case)) = edited else {
            let mut ready = lower_with(&self.case, &writes, problems)?;
            self.shares(&mut ready, &writes);
            return Some(ready);
        };
        lower_with(&case, &writes, problems)
    }

    /// The case as it stands in the file.
    fn plain(&self) -> Option<&Ready> {
        // Faults of the case itself are told where it is built.
        let made = || lower(&self.case, &mut Problems::new()).map(Box::new);
        self.plain.get_or_init(made).as_deref()
    }

    /// Lets a model that differs by numbers alone have what follows from the structure of the case.
    fn shares(&self, ready: &mut Ready, writes: &Writes) {
        let Some(plain) = self.plain() else { return };
        let has_slots =
            |address: &String| plain.addresses.get(address).is_some_and(Address::has_slots);
        if writes.keys().all(has_slots) && plain.model.fits(&ready.model.values) {
            ready.model.shared = plain.model.shared.clone();
        }
    }

    /// What changes come to: of the text where it must be, else of numbers alone.
    fn changed(
        &self,
        sources: &Sources,
        changes: &[(&Spanned<String>, Span)],
        problems: &mut Problems,
    ) -> Option<Changed> {
        if !self.faults.is_empty() {
            return None;
        }
        let mut tree: Option<Tree> = None;
        let errors = problems.error_count();
        let mut writes = self.learnt.clone();
        // What is changed whole is another thing than the one of which something was learnt.
        for (changed, _) in changes {
            let path = changed.value.as_str();
            writes.retain(|address, _| {
                let own = address.strip_prefix(path);
                address != path && own.is_none_or(|rest| !rest.starts_with([':', '/']))
            });
        }
        let plain = self.plain();
        let is_known =
            |address: &str| plain.is_some_and(|ready| ready.addresses.contains_key(address));
        // What comes about by another change of the same variant.
        let mut later = Vec::new();
        for &(address, value) in changes {
            if let Some(text) = plain_text(sources, value) {
                if is_of_one(&address.value) && !is_known(&address.value) {
                    later.push((address, text));
                    continue;
                }
                if let Some(si) = number(plain, address, &text, problems) {
                    writes.insert(address.value.clone(), (si, value));
                    continue;
                }
            }
            let Some(path) = self.path(sources, address, problems) else { continue };
            let edit = Edit { path, at: address.span, value: Some(value) };
            tree.get_or_insert_with(|| self.tree.clone()).apply(sources, &edit, problems);
        }
        if problems.error_count() > errors {
            return None;
        }
        let edited = match tree {
            Some(tree) => {
                let case = read_case(&tree, self.log.as_ref(), problems)?;
                Some((tree, case))
            }
            None => None,
        };
        if !later.is_empty() {
            let case = edited.as_ref().map_or(&self.case, |(_, case)| case);
            let changed = lower_with(case, &writes, &mut Problems::new());
            for (address, text) in later {
                if let Some(si) = number(changed.as_ref(), address, &text, problems) {
                    writes.insert(address.value.clone(), (si, text.span));
                }
            }
        }
        if problems.error_count() > errors {
            return None;
        }
        Some(Changed { edited, writes })
    }

    /// Builds the model with numbers, by their address, in the place of those that the file gives or
    /// leaves out. What follows from them, counts included, follows.
    pub fn build_with(&self, writes: &Writes, problems: &mut Problems) -> Option<Ready> {
        if !self.faults.is_empty() {
            return None;
        }
        let mut all = self.learnt.clone();
        all.extend(writes.iter().map(|(address, write)| (address.clone(), *write)));
        lower_with(&self.case, &all, problems)
    }

    /// Numbers written by their address into a case that has been built: values of its model where
    /// its structure stays, else a model made anew. `None` after a problem.
    pub fn write(
        &self,
        ready: &Ready,
        writes: &[(&str, f64)],
        problems: &mut Problems,
    ) -> Option<Written> {
        let roles = writes.iter().map(|(address, _)| ready.addresses.get(*address));
        let structural = roles.map(|entry| entry.is_none_or(|entry| !entry.has_slots()));
        if !structural.into_iter().any(|structural| structural) {
            let mut values = ready.model.values.clone();
            ready.model.write(&mut values, &ready.slots_of(writes));
            if ready.model.fits(&values) {
                return Some(Written::Numbers(values));
            }
        }
        let nowhere = Span::default();
        let writes =
            writes.iter().map(|&(address, si)| (address.to_owned(), (si, nowhere))).collect();
        self.build_with(&writes, problems).map(|ready| Written::Anew(Box::new(ready)))
    }

    /// The way through the tree to what an address names: `main/feed/pump:count` is the field
    /// `count` of the part `pump` of the run `feed` of the circuit `main`.
    fn path(
        &self,
        sources: &Sources,
        address: &Spanned<String>,
        problems: &mut Problems,
    ) -> Option<Vec<PathStep>> {
        let (path, field) = match address.value.rsplit_once(':') {
            Some((path, field)) => (path, Some(field)),
            None => (address.value.as_str(), None),
        };
        let mut names: Vec<&str> = path.split('/').collect();
        let steps: Option<Vec<&str>> = match names[0] {
            "air_paths" if names.len() == 3 => {
                Some(vec!["air_paths", names[1], self.case.in_path(names[1], names[2]), names[2]])
            }
            "charge_air" if names.len() == 3 => {
                Some(vec!["charge_air", names[1], "stages", names[2]])
            }
            "exchangers" if names.len() == 3 => Some(std::mem::take(&mut names)),
            "engines" | "coolers" | "exchangers" | "cores" | "air_paths" | "charge_air"
            | "pump_curves" | "fan_curves" | "supplies" | "limits" | "gauges" | "rises"
            | "liquids"
                if names.len() == 2 =>
            {
                Some(std::mem::take(&mut names))
            }
            "duty" if names.len() == 2 => Some(vec!["duty", "phases", names[1]]),
            "site" | "bay" | "supply" | "duty" if names.len() == 1 => {
                Some(std::mem::take(&mut names))
            }
            circuit => self.circuit_path(circuit, &names[1..]),
        };
        let Some(steps) = steps else {
            let first = address.value.split(['/', ':']).next().unwrap_or_default();
            let near = nearest(first, self.case.circuits.names().chain(GROUPS));
            let near = near.filter(|near| *near != first);
            // Of a name that is only misspelt the mark stands under it alone.
            let again = names[1..].iter().chain(&field).filter(|name| **name == first).count();
            let place = near.and_then(|_| name_in(sources, address.span, first, again));
            let phase = (first == "duty" && names.get(1) == Some(&"phases"))
                .then_some("a phase stands at `duty/` and its name, as in `duty/pull:time`");
            problems.push(
                Problem::error(
                    place.unwrap_or(address.span),
                    format!("`{}` names nothing in this case", address.value),
                )
                .label("not an address")
                .help_if(near.map(|n| format!("did you mean `{n}`?")))
                .help_if(phase.map(str::to_owned))
                .help("an address is a path and a field, as in `main/feed/pump:count`")
                .help(format!("it begins with a circuit, or {}", GROUPS.join(", "))),
            );
            return None;
        };
        let steps = steps.into_iter().chain(field).map(|step| PathStep::Name(step.to_owned()));
        Some(steps.collect())
    }

    fn circuit_path<'a>(&self, name: &'a str, rest: &[&'a str]) -> Option<Vec<&'a str>> {
        let circuit = self.case.circuits.get(name)?;
        let mut steps = vec!["circuits", name];
        match rest {
            [] => {}
            [junction] if !circuit.runs.contains(junction) => {
                steps.extend(["junctions", junction]);
            }
            [run] => steps.extend(["runs", run]),
            [run, part] => steps.extend(["runs", run, "parts", part]),
            _ => return None,
        }
        Some(steps)
    }
}

/// Where the addresses and the texts of changes stand, which go into `sources`.
fn placed(sources: &mut Sources, changes: &[Change]) -> Vec<(Spanned<String>, Span)> {
    let mut placed = Vec::new();
    for Change { address, text } in changes {
        let file = sources.add("a change", format!("(\"{address}\", {text})"));
        let behind = address.len() + 3;
        let value = Span::new(file, behind + 2, behind + 2 + text.len());
        placed.push((Spanned { value: address.clone(), span: Span::new(file, 1, behind) }, value));
    }
    placed
}

/// A case with all its names short.
fn read_case(tree: &Tree, log: Option<&TableText>, problems: &mut Problems) -> Option<Case> {
    let mut case = tree.read::<Case>(problems)?;
    case.shorten();
    case.log_text = log.cloned();
    Some(case)
}

/// What a variant writes at an address of a number; `None` where it changes the file in another
/// way: a field that is not there yet, a block, or what is no quantity of this address.
fn number(
    plain: Option<&Ready>,
    address: &Spanned<String>,
    text: &Spanned<String>,
    problems: &mut Problems,
) -> Option<f64> {
    let entry = plain.and_then(|ready| ready.addresses.get(&address.value));
    let own = is_of_one(&address.value);
    let Some(entry) = entry else {
        // Nothing in the file has this name, so no field of it can be meant.
        if own {
            let known = plain.into_iter().flat_map(|ready| ready.addresses.keys());
            problems.push(no_value(address, known.map(String::as_str)));
            return Some(f64::NAN);
        }
        return None;
    };
    match quantity::parse(entry.kind, &text.value) {
        Ok(si) => Some(si),
        Err(error) if own => {
            let problem = Problem::error(text.span, error.message);
            problems.push(error.help.into_iter().fold(problem, Problem::help));
            Some(f64::NAN)
        }
        Err(_) => None,
    }
}

/// What was learnt of a case, SI by address.
fn learnt(case: &Case, problems: &mut Problems) -> Writes {
    let mut learnt = Writes::new();
    if case.learnt.is_empty() {
        return learnt;
    }
    let plain = lower(case, &mut Problems::new());
    for of in &case.learnt {
        let Some(entry) = plain.as_ref().and_then(|ready| ready.addresses.get(&of.at.value)) else {
            let known = plain.iter().flat_map(|ready| ready.addresses.keys());
            problems.push(no_value(&of.at, known.map(String::as_str)));
            continue;
        };
        if let Some((_, first)) = learnt.get(&of.at.value) {
            let message = format!("`{}` was learnt twice", of.at.value);
            let problem = Problem::error(of.is.span, message).label("again here");
            problems.push(problem.also(*first, "first here"));
            continue;
        }
        match quantity::parse(entry.kind, &of.is.value) {
            Ok(si) => drop(learnt.insert(of.at.value.clone(), (si, of.is.span))),
            Err(error) => {
                let problem = Problem::error(of.is.span, error.message);
                problems.push(error.help.into_iter().fold(problem, Problem::help));
            }
        }
    }
    learnt
}

/// Whether an address is of one of several under one name, as in `main/loop/pump/2:speed`: it is in no
/// block of the file, so a variant writes it into the model.
fn is_of_one(address: &str) -> bool {
    address.split_once(':').is_some_and(|(path, _)| path.matches('/').count() > 2)
}

/// Whether a name leads away from the case.
fn is_outside(name: &str) -> bool {
    name.contains("..") || name.starts_with(['/', '\\', '~']) || name.contains(':')
}

/// Gets the text of a log.
fn log_text(
    sources: &mut Sources,
    name: &Spanned<String>,
    fetch: &mut Fetch<'_>,
    problems: &mut Problems,
) -> Option<TableText> {
    let text = if is_outside(&name.value) {
        Err("a log lies beside the case or below it".to_owned())
    } else {
        fetch(&name.value)
    };
    match text {
        Ok(text) => {
            let file = sources.add(name.value.clone(), text.clone());
            Some(TableText { file, text: text.into() })
        }
        Err(why) => {
            let message = format!("cannot read the log `{}`", name.value);
            problems.push(Problem::error(name.span, message).label(why));
            None
        }
    }
}

/// Adds an included file to the tree.
fn include(
    sources: &mut Sources,
    case: FileId,
    tree: &mut Tree,
    name: &Spanned<String>,
    fetch: &mut Fetch<'_>,
    problems: &mut Problems,
) {
    let complain = |problems: &mut Problems, span: Span, why: String| {
        let message = format!("cannot include `{}`", name.value);
        problems.push(Problem::error(span, message).label(why));
    };
    if is_outside(&name.value) {
        let why = "an included file lies beside the case or below it".to_owned();
        complain(problems, name.span, why);
        return;
    }
    match fetch(&name.value) {
        Err(why) => complain(problems, name.span, why),
        Ok(text) if text == sources.text(case) => {
            complain(problems, name.span, "this is the case itself".to_owned());
        }
        Ok(text) => {
            let file = sources.add(name.value.clone(), text);
            let Some(parts) = Tree::parse(sources, file, problems) else { return };
            if parts.read::<Parts>(problems).is_some() {
                tree.absorb(parts, problems);
            }
        }
    }
}
