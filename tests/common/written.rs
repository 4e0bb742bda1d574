//! A number written at its address is the number in the file: the same model, the same answer, to
//! the last bit.

use std::collections::BTreeMap;

use coolwright_cases::case::{Reading, Written};
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::lower::{Address, Ready, Role, Writes};
use coolwright_cases::quantity::Kind;
use coolwright_cases::text::{Sources, Span};
use coolwright_models::model::Model;
use coolwright_models::point::operating_point;
use coolwright_models::slots::Values;

/// How many addresses went which way.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    /// Written into the model that there was.
    pub(crate) fast: usize,
    /// Made anew.
    pub(crate) anew: usize,
    /// Held against an edited file.
    pub(crate) edited: usize,
    /// Have no place in the file.
    pub(crate) placeless: usize,
    /// Refused, with the reason.
    pub(crate) refused: usize,
    /// Operating points compared.
    pub(crate) points: usize,
}

/// Reads a case that must be free of faults.
pub(crate) fn reading(sources: &mut Sources, text: &str) -> Reading {
    let mut problems = Problems::new();
    let file = sources.add("case.ron", text);
    let mut fetch = |name: &str| {
        let path = format!("{}/cases/{name}", env!("CARGO_MANIFEST_DIR"));
        std::fs::read_to_string(&path).map_err(|error| error.to_string())
    };
    let reading = Reading::new(sources, file, &mut fetch, &mut problems);
    assert!(!problems.has_errors(), "{}", problems.render(sources, false));
    reading.expect("a case without faults")
}

/// Other numbers that may stand at an address, the likelier ones first.
fn others(entry: &Address) -> Vec<f64> {
    let v = entry.value;
    let tried = match entry.kind {
        Kind::Count => vec![v + 1.0, v - 1.0],
        _ => vec![v * 1.0625, v * 0.9375, v + 0.03, v - 0.03, v + 2e-4, v + 2.0, v + 2e3],
    };
    let fits = |x: &f64| x.to_bits() != v.to_bits() && entry.bound.fault(entry.kind, *x).is_none();
    tried.into_iter().filter(fits).collect()
}

/// Every number of a model by address, as bits.
fn numbers(ready: &Ready, values: &Values) -> BTreeMap<String, Vec<u64>> {
    let of = |(address, entry): (&String, &Address)| {
        let bits = entry.slots.iter().map(|&slot| values.get(slot).to_bits()).collect();
        (address.clone(), bits)
    };
    ready.addresses.iter().map(of).collect()
}

/// The answer of an operating point as text, every bit of it, or why there is none.
fn answer(model: &Model, values: &Values) -> String {
    match operating_point(model, values.clone(), None) {
        Ok(point) => {
            let entries = point.results.catalogue.entries().iter().zip(&point.results.values);
            let line = |(entry, value): (_, &f64)| {
                let entry: &coolwright_models::results::Entry = entry;
                format!("{} {:x} {value}\n", entry.address, value.to_bits())
            };
            entries.map(line).collect()
        }
        Err(error) => format!("{error}"),
    }
}

/// The first line in which two answers differ.
fn difference(a: &str, b: &str) -> String {
    let pair = a.lines().zip(b.lines()).find(|(a, b)| a != b);
    pair.map_or_else(|| "one is longer".to_owned(), |(a, b)| format!("{a} | {b}"))
}

fn same_numbers(what: &str, a: &BTreeMap<String, Vec<u64>>, b: &BTreeMap<String, Vec<u64>>) {
    for (address, bits) in a {
        let Some(other) = b.get(address) else { panic!("{what}: `{address}` is gone") };
        let value = |bits: &[u64]| bits.iter().map(|&b| f64::from_bits(b)).collect::<Vec<_>>();
        assert!(bits == other, "{what}: `{address}` is {:?} and {:?}", value(bits), value(other));
    }
    assert_eq!(a.len(), b.len(), "{what}: addresses");
}

/// Writes another number at every address of a case, in every way that there is. `solved` says of
/// which addresses, by number, the operating points are compared too.
pub(crate) fn check(text: &str, solved: impl Fn(usize) -> bool, tally: &mut Tally) {
    let mut sources = Sources::new();
    let reading = reading(&mut sources, text);
    let mut problems = Problems::new();
    let ready = reading.build(&mut problems).expect("a case that can be built");
    assert!(!ready.addresses.is_empty());
    let mut failed = 0;
    for (number, (address, entry)) in ready.addresses.iter().enumerate() {
        let of = std::panic::AssertUnwindSafe(|| {
            one(&reading, (&ready, address, entry), &mut sources, solved(number), tally);
        });
        // One after the other, so that all that differ are told.
        failed += usize::from(std::panic::catch_unwind(of).is_err());
    }
    assert!(failed == 0, "{failed} addresses of {} differ", ready.addresses.len());
}

fn one(
    reading: &Reading,
    (ready, address, entry): (&Ready, &str, &Address),
    sources: &mut Sources,
    solved: bool,
    tally: &mut Tally,
) {
    let tried = others(entry);
    assert!(!tried.is_empty(), "no other number than {} for `{address}`", entry.value);
    if entry.role == Role::OfRoute {
        let mut problems = Problems::new();
        let writes = writes(address, tried[0]);
        assert!(reading.build_with(&writes, &mut problems).is_none() || problems.has_errors());
        let told = problems.render(sources, false);
        assert!(told.contains("follows from the route"), "{address}: {told}");
        tally.refused += 1;
        return;
    }
    let mut said = String::new();
    for si in tried {
        let mut problems = Problems::new();
        let built = reading.build_with(&writes(address, si), &mut problems);
        let built = built.filter(|_| !problems.has_errors());
        let edits = reading.file_edits(ready, address, si);
        let file = edits.as_ref().map(|edits| {
            let mut problems = Problems::new();
            let edited = reading.edited(sources, edits, &mut problems);
            let ready = edited.and_then(|edited| edited.build(&mut problems));
            (ready.filter(|_| !problems.has_errors()), problems.render(sources, false))
        });
        if let Some((edited, why)) = &file {
            let both = edited.is_some() == built.is_some();
            let own = problems.render(sources, false);
            assert!(both, "{address} = {si}: the file says {why}\nthe address says {own}");
        }
        let Some(built) = built else {
            said = problems.render(sources, false);
            continue;
        };
        let what = format!("`{address}` = {si}");
        let expected = numbers(&built, &built.model.values);
        let answered = solved.then(|| answer(&built.model, &built.model.values));
        if let Some((Some(edited), _)) = &file {
            same_numbers(
                &format!("{what} in the file"),
                &numbers(edited, &edited.model.values),
                &expected,
            );
            if let Some(answered) = &answered {
                let other = answer(&edited.model, &edited.model.values);
                assert!(other == *answered, "{what} in the file: {}", difference(&other, answered));
            }
            tally.edited += 1;
        } else {
            tally.placeless += 1;
        }
        let mut problems = Problems::new();
        match reading.write(ready, &[(address, si)], &mut problems).expect("it was built before") {
            Written::Anew(_) => tally.anew += 1,
            Written::Numbers(values) => {
                same_numbers(&what, &numbers(ready, &values), &expected);
                if let Some(answered) = &answered {
                    let other = answer(&ready.model, &values);
                    assert!(other == *answered, "{what}: {}", difference(&other, answered));
                }
                tally.fast += 1;
            }
        }
        tally.points += usize::from(solved);
        return;
    }
    // No number but its own can stand here, and both ways say so.
    assert!(said.contains("error"), "{address}: {said}");
    tally.refused += 1;
}

fn writes(address: &str, si: f64) -> Writes {
    Writes::from([(address.to_owned(), (si, Span::default()))])
}
