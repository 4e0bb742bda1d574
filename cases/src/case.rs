//! From the text of a case, with what it includes and with a variant's changes, to a model.

use crate::diagnostic::{Problem, Problems};
use crate::file::{Case, Parts};
use crate::lower::{Ready, lower};
use crate::text::{Edit, FileId, PathStep, Sources, Span, Spanned, Tree};

/// Gets the text of an included file by its name, or says why it cannot be had.
pub type Fetch<'a> = dyn FnMut(&str) -> Result<String, String> + 'a;

/// A case that has been read: its tree with everything it includes, to be built as it stands or as
/// one of its variants.
#[derive(Debug)]
pub struct Reading {
    tree: Tree,
    case: Case,
}

impl Reading {
    /// Reads a case and what it includes. Everything that is wrong goes into `problems`.
    pub fn new(
        sources: &mut Sources,
        file: FileId,
        fetch: &mut Fetch<'_>,
        problems: &mut Problems,
    ) -> Option<Self> {
        let mut tree = Tree::parse(sources, file, problems)?;
        // Only the includes matter now; everything else is read again when they are in.
        let mut first = Problems::new();
        if let Some(case) = tree.read::<Case>(&mut first) {
            for name in &case.include {
                include(sources, &mut tree, name, fetch, problems);
            }
        }
        let case = tree.read::<Case>(problems)?;
        (!problems.has_errors()).then_some(Self { tree, case })
    }

    /// Names of the case's variants, in the order of the file.
    pub fn variants(&self) -> impl Iterator<Item = &str> {
        self.case.variants.names()
    }

    /// Builds the model of the case as it stands.
    pub fn build(&self, problems: &mut Problems) -> Option<Ready> {
        lower(&self.case, problems)
    }

    /// Builds the model of a variant. `None` also where there is no variant of that name.
    pub fn build_variant(
        &self,
        sources: &Sources,
        name: &str,
        problems: &mut Problems,
    ) -> Option<Ready> {
        let variant = self.case.variants.get(name)?;
        let mut tree = self.tree.clone();
        for (address, value) in &variant.change {
            let Some(path) = self.path(address, problems) else { continue };
            let edit = Edit { path, at: address.span, value: Some(value.span) };
            tree.apply(sources, &edit, problems);
        }
        if problems.has_errors() {
            return None;
        }
        let case = tree.read::<Case>(problems)?;
        if problems.has_errors() {
            return None;
        }
        lower(&case, problems)
    }

    /// The way through the tree to what an address names: `main/feed/pump:count` is the field
    /// `count` of the part `pump` of the run `feed` of the circuit `main`.
    fn path(&self, address: &Spanned<String>, problems: &mut Problems) -> Option<Vec<PathStep>> {
        let (path, field) = match address.value.rsplit_once(':') {
            Some((path, field)) => (path, Some(field)),
            None => (address.value.as_str(), None),
        };
        let mut names: Vec<&str> = path.split('/').collect();
        let steps: Option<Vec<&str>> = match names[0] {
            "air_paths" if names.len() == 3 => Some(vec!["air_paths", names[1], "fans", names[2]]),
            "engines" | "coolers" | "cores" | "air_paths" | "pump_curves" | "fan_curves"
            | "limits"
                if names.len() == 2 =>
            {
                Some(std::mem::take(&mut names))
            }
            "site" | "supply" | "duty" if names.len() == 1 => Some(std::mem::take(&mut names)),
            circuit => self.circuit_path(circuit, &names[1..]),
        };
        let Some(steps) = steps else {
            problems.push(
                Problem::error(
                    address.span,
                    format!("`{}` names nothing in this case", address.value),
                )
                .label("not an address")
                .help("an address is a path and a field, as in `main/feed/pump:count`")
                .help(
                    "it begins with a circuit, or engines, coolers, cores, air_paths, site, \
                           supply, duty",
                ),
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

/// Adds an included file to the tree.
fn include(
    sources: &mut Sources,
    tree: &mut Tree,
    name: &Spanned<String>,
    fetch: &mut Fetch<'_>,
    problems: &mut Problems,
) {
    let complain = |problems: &mut Problems, span: Span, why: String| {
        let message = format!("cannot include `{}`", name.value);
        problems.push(Problem::error(span, message).label(why));
    };
    let outside = name.value.contains("..")
        || name.value.starts_with(['/', '\\', '~'])
        || name.value.contains(':');
    if outside {
        let why = "an included file lies beside the case or below it".to_owned();
        complain(problems, name.span, why);
        return;
    }
    match fetch(&name.value) {
        Err(why) => complain(problems, name.span, why),
        Ok(text) => {
            let file = sources.add(name.value.clone(), text);
            let Some(parts) = Tree::parse(sources, file, problems) else { return };
            if parts.read::<Parts>(problems).is_some() {
                tree.absorb(parts, problems);
            }
        }
    }
}
