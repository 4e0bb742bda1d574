//! The variants of a case, each list of values made into one variant a value.

use crate::diagnostic::{Problem, Problems};
use crate::file::{Case, Variant};
use crate::quantity::Number;
use crate::text::{OneOf, Sources, Span, Spanned, each};

/// Most variants that one entry of a file makes.
const MOST: usize = 1000;

/// A variant that can be built.
#[derive(Clone, Debug)]
pub(super) struct Listed {
    /// Its name: that in the file, and behind it the values that it was given out of lists.
    pub(super) name: String,
    /// The name in the file.
    pub(super) entry: String,
    /// What it changes: an address, and where the new value stands.
    pub(super) change: Vec<(Spanned<String>, Span)>,
    /// What it costs.
    pub(super) price: Option<f64>,
}

/// All variants, in the order of the file.
pub(super) fn listed(case: &Case, sources: &Sources, problems: &mut Problems) -> Vec<Listed> {
    let mut all = Vec::new();
    for (name, variant) in &case.variants {
        match of_entry(name, variant, sources) {
            Ok(listed) => all.extend(listed),
            Err(problem) => problems.push(*problem),
        }
    }
    all
}

fn of_entry(
    name: &Spanned<String>,
    variant: &Variant,
    sources: &Sources,
) -> Result<Vec<Listed>, Box<Problem>> {
    for (k, (address, _)) in variant.change.iter().enumerate() {
        if let Some((first, _)) =
            variant.change[..k].iter().find(|one| one.0.value == address.value)
        {
            let message = format!("`{}` is changed twice in one variant", address.value);
            let problem = Problem::error(address.span, message).label("again here");
            return Err(Box::new(problem.also(first.span, "first here")));
        }
    }
    let mut lists: Vec<(usize, Vec<OneOf>)> = Vec::new();
    for (k, (_, value)) in variant.change.iter().enumerate() {
        if let Some(list) = each(sources, value.span)? {
            lists.push((k, list));
        }
    }
    let count = count(name, variant, &lists)?;
    let price = variant.price.map(Number::si);
    let mut all: Vec<Listed> = Vec::with_capacity(count);
    for k in 0..count {
        let chosen = chosen(&lists, variant.combine, k);
        let plain = variant.change.iter().map(|(address, value)| (address.clone(), value.span));
        let mut change: Vec<(Spanned<String>, Span)> = plain.collect();
        for (place, value) in &chosen {
            change[*place].1 = value.span;
        }
        let listed =
            Listed { name: named(&name.value, &chosen), entry: name.value.clone(), change, price };
        if all.iter().any(|other| other.name == listed.name) {
            let message = format!("two variants of `{}` are the same", name.value);
            let again = chosen.last().map_or(name.span, |(_, value)| value.span);
            return Err(Box::new(Problem::error(again, message).label("the same values again")));
        }
        all.push(listed);
    }
    Ok(all)
}

/// How many variants an entry makes.
fn count(
    name: &Spanned<String>,
    variant: &Variant,
    lists: &[(usize, Vec<OneOf>)],
) -> Result<usize, Box<Problem>> {
    let lengths = || lists.iter().map(|(_, list)| list.len());
    let count = if variant.combine {
        lengths().fold(1, usize::saturating_mul)
    } else {
        let first = lengths().next().unwrap_or(1);
        if let Some((place, list)) = lists.iter().find(|(_, list)| list.len() != first) {
            let (span, before) = (variant.change[*place].1.span, variant.change[lists[0].0].1.span);
            let message = "lists of one variant go in step, so they are of one length";
            return Err(Problem::error(span, message)
                .label(format!("{} here", list.len()))
                .also(before, format!("{first} here"))
                .help("with `combine: true` every combination of their values is a variant")
                .into());
        }
        first
    };
    if count > MOST {
        let message = format!("`{}` makes {count} variants", name.value);
        return Err(Problem::error(name.span, message)
            .label(format!("at most {MOST}"))
            .help("`grid` goes through many cases, a row each")
            .into());
    }
    Ok(count)
}

/// The values of the variant number `k`, each with its place in the changes: of lists in step those of one place, of
/// combinations as a number whose digits are the lists.
fn chosen(lists: &[(usize, Vec<OneOf>)], combine: bool, k: usize) -> Vec<(usize, &OneOf)> {
    let mut rest = k;
    let mut chosen: Vec<(usize, &OneOf)> = Vec::new();
    for (place, list) in lists.iter().rev() {
        let at = if combine { rest % list.len() } else { k };
        rest /= list.len();
        chosen.push((*place, &list[at]));
    }
    chosen.reverse();
    chosen
}

/// The name with the values behind it; what several addresses get alike stands once. A value that is a block of some length
/// is told by its place in its list.
fn named(name: &str, chosen: &[(usize, &OneOf)]) -> String {
    let mut values: Vec<&str> = chosen.iter().map(|(_, value)| value.text.as_str()).collect();
    values.dedup();
    if values.is_empty() { name.to_owned() } else { format!("{name} {}", values.join(", ")) }
}
