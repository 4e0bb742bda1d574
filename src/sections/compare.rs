//! Variants side by side.

use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;
use coolwright_models::results::{Entry, Quantity, Results};

use super::verdict;
use crate::answer::{Cell, Lay, Section, Sentence, Table, Value, Verdict};
use crate::say;
use crate::study::Judged;

/// One variant, solved or not.
#[derive(Clone, Debug)]
pub struct Variant {
    /// Its name.
    pub name: String,
    /// Its limits.
    pub judged: Vec<Judged>,
    /// Its results.
    pub results: Option<Results>,
    /// Whether coolant boiled on the way.
    pub boils: bool,
    /// Why it could not be solved.
    pub unsolved: Option<Sentence>,
    /// Paths of its pumps, several under one name as one.
    pub pumps: Vec<String>,
}

impl Variant {
    /// A variant that could not be solved.
    pub fn unsolved(name: String, why: Sentence) -> Self {
        let (judged, pumps) = (Vec::new(), Vec::new());
        Self { name, judged, results: None, boils: false, unsolved: Some(why), pumps }
    }

    /// How it stands.
    pub fn verdict(&self) -> Verdict {
        if self.unsolved.is_some() {
            Verdict::Unsolved
        } else if self.boils || !self.judged.iter().all(Judged::holds) {
            Verdict::Broken
        } else {
            Verdict::Holds
        }
    }
}

/// Which of them hold, in a sentence each, and what follows from it.
pub fn summary(variants: &[Variant]) -> Section {
    let section = Section::plain("verdict");
    if variants.iter().all(|variant| variant.judged.is_empty()) {
        return section.say("VERDICT  none: the case sets no limits", Lay::Lines);
    }
    let lines = variants.iter().map(line).chain(conclusion(variants));
    let lines = Value::list(lines, "\n         ");
    section.say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

fn line(variant: &Variant) -> Sentence {
    let name = &variant.name;
    let broken = Value::judged(false, "BROKEN");
    match variant.verdict() {
        Verdict::Unsolved => say!(
            "{variant}: {verdict}",
            variant = name,
            verdict = Value::judged(false, "NOT SOLVED")
        ),
        Verdict::Holds => {
            say!("{variant}: {verdict}", variant = name, verdict = Value::judged(true, "HOLDS"))
        }
        Verdict::Broken if variant.boils => {
            say!("{variant}: {verdict}, its coolant boils", variant = name, verdict = broken)
        }
        Verdict::Broken => {
            let which = variant.judged.iter().filter(|j| !j.holds()).map(verdict::in_words);
            say!(
                "{variant}: {verdict}, {which}",
                variant = name,
                verdict = broken,
                which = Value::list(which, "; ")
            )
        }
    }
}

/// What follows from it.
fn conclusion(variants: &[Variant]) -> Option<Sentence> {
    let (base, others) = variants.split_first()?;
    let holds = |variant: &&Variant| variant.verdict() == Verdict::Holds;
    let good: Vec<&String> = others.iter().filter(holds).map(|variant| &variant.name).collect();
    let (does, so_does) = if good.len() == 1 { ("does", "so does") } else { ("do", "and so do") };
    let names = Value::list(good.iter().map(|name| say!("`{name}`", name = *name)), ", ");
    Some(match (holds(&base), good.is_empty()) {
        (true, true) => "The case holds as it stands; none of the variants does.".into(),
        (true, false) => say!(
            "The case holds as it stands, {so_does} {names}: no change is needed.",
            so_does = so_does,
            names = names
        ),
        (false, true) => "Neither the case as it stands nor any variant holds all limits.".into(),
        (false, false) => {
            say!("The case does not hold as it stands; {names} {does}.", names = names, does = does)
        }
    })
}

/// A table with a column for each variant; what the rows are is `name`.
fn table(variants: &[Variant], name: &str) -> Table {
    let table = Table::new().words(name, "").mixed();
    variants.iter().fold(table, |table, variant| table.values(&variant.name, &variant.name))
}

/// The limits, side by side.
pub fn limits(variants: &[Variant], over_cycle: bool) -> Section {
    let mut rows = table(variants, "limit").marked();
    if let Some(first) = variants.iter().find(|variant| !variant.judged.is_empty()) {
        for (k, judged) in first.judged.iter().enumerate() {
            let name = say!(
                "{limit} ({bound})",
                limit = &judged.limit.name,
                bound = verdict::bound(judged)
            );
            let cell = |variant: &Variant| match variant.judged.get(k) {
                None => Cell::from(Value::Nothing),
                Some(judged) => Cell::from(verdict::value(judged)).judged(judged.holds()),
            };
            rows.row(
                &judged.limit.of,
                std::iter::once(name.into()).chain(variants.iter().map(cell)),
            );
        }
    }
    let title = if over_cycle {
        "Limits (worst over the cycle); ! is broken"
    } else {
        "Limits; ! is broken"
    };
    Section::new("limits", title).table(rows)
}

/// What is told of a pump.
static OF_PUMPS: [(&Quantity, &str); 4] = [
    (&q::FLOW, "flow"),
    (&q::HEAD, "head"),
    (&q::CURRENT, "current"),
    (&q::SUCTION_MARGIN, "inlet above vapour pressure"),
];

/// Flow, head, current and suction of every pump.
pub fn pumps(variants: &[Variant]) -> Section {
    let mut paths: Vec<&String> = variants.iter().flat_map(|variant| &variant.pumps).collect();
    paths.sort();
    paths.dedup();
    let mut rows = table(variants, "pump");
    for path in paths {
        for (quantity, label) in OF_PUMPS {
            let cell = |variant: &Variant| at(variant, &format!("{path}:{}", quantity.name));
            let name = say!("{pump} {what}", pump = path, what = label);
            let cells = std::iter::once(name.into()).chain(variants.iter().map(cell));
            rows.row(format!("{path}:{}", quantity.name), cells);
        }
    }
    Section::new("pumps", "Pumps (several under one name together)").table(rows)
}

/// The result of a variant at an address; things of two variants that have the same address may stand at
/// different places of their models.
fn at(variant: &Variant, address: &str) -> Cell {
    let value = variant.results.as_ref().and_then(|results| {
        let index = results.catalogue.find(address)?;
        let kind = results.catalogue.entries()[index].quantity.kind;
        Some(Value::of(kind, results.values[index]))
    });
    value.into()
}

/// Heat sources, cores, and the current of everything.
pub fn totals(variants: &[Variant]) -> Section {
    let of_bodies = [&q::COOLANT_FLOW, &q::COOLANT_RISE, &q::METAL, &q::SPREAD];
    let wanted = |entry: &Entry| match entry.id {
        Id::Body(_) => of_bodies.contains(&entry.quantity),
        Id::Core(_) => entry.quantity == &q::REJECTED,
        Id::Circuit(_) => entry.quantity == &q::BOIL_MARGIN,
        Id::Supply => true,
        _ => false,
    };
    // A single pass has nothing to share out.
    let even = |entry: &Entry| {
        entry.quantity == &q::SPREAD
            && variants
                .iter()
                .filter_map(|variant| variant.results.as_ref())
                .all(|results| results.get(&entry.address).is_none_or(|spread| spread <= 1.0))
    };
    let mut addresses: Vec<String> = Vec::new();
    for results in variants.iter().filter_map(|variant| variant.results.as_ref()) {
        for entry in results.catalogue.entries() {
            if wanted(entry) && !even(entry) && !addresses.contains(&entry.address) {
                addresses.push(entry.address.clone());
            }
        }
    }
    let mut rows = table(variants, "result");
    for address in &addresses {
        let cells = variants.iter().map(|variant| at(variant, address));
        rows.row(address, std::iter::once(address.into()).chain(cells));
    }
    Section::new("totals", "Heat sources, cores, supply").table(rows)
}

/// Why some could not be solved.
pub fn unsolved(variants: &[Variant]) -> Vec<Section> {
    let why = |variant: &Variant| {
        let why = variant.unsolved.clone()?;
        let sentence =
            say!("`{variant}` could not be solved: {why}", variant = &variant.name, why = why);
        Some(Section::plain("unsolved").of(&variant.name).apart().say(sentence, Lay::Lines))
    };
    variants.iter().filter_map(why).collect()
}
