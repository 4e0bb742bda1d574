//! What could not be read, as far as it decides which further complaints make sense.

use std::collections::BTreeSet;

use crate::text::{PathStep, Span, Tree};

/// What of a case could not be read. A complaint that something is missing is held back where it
/// may stand in a place that could not be read.
#[derive(Clone, Debug, Default)]
pub struct Damage {
    faults: Vec<Span>,
    /// Circuits whose runs and junctions may be joined otherwise than it seems.
    loose: BTreeSet<String>,
    /// Whether an included file is not there.
    includes: bool,
}

impl Damage {
    /// From the places of the faults of a tree, its circuits with their runs, and where it names
    /// files to include.
    pub fn new<'a>(
        tree: &Tree,
        faults: Vec<Span>,
        circuits: impl Iterator<Item = (&'a str, Vec<&'a str>)>,
        mut includes: impl Iterator<Item = Span>,
    ) -> Self {
        let mut loose = BTreeSet::new();
        for (circuit, runs) in circuits {
            let place = |rest: &[&str]| {
                let circuits = ["circuits", circuit];
                let steps = circuits.iter().chain(rest);
                let path: Vec<PathStep> =
                    steps.map(|step| PathStep::Name((*step).to_owned())).collect();
                tree.span_of(&path)
            };
            let whole = [place(&["runs"]), place(&["junctions"])];
            let parts: Vec<Span> =
                runs.iter().filter_map(|run| place(&["runs", run, "parts"])).collect();
            let joins = |fault: &Span| {
                whole.iter().flatten().any(|span| inside(*fault, *span))
                    && !parts.iter().any(|span| inside(*fault, *span))
            };
            if faults.iter().any(joins) {
                loose.insert(circuit.to_owned());
            }
        }
        let includes = includes.any(|name| faults.iter().any(|fault| inside(*fault, name)));
        Self { faults, loose, includes }
    }

    /// Whether anything could not be read.
    pub fn any(&self) -> bool {
        !self.faults.is_empty()
    }

    /// Whether the runs of a circuit may be joined otherwise than it seems.
    pub fn is_loose(&self, circuit: &str) -> bool {
        self.loose.contains(circuit)
    }

    /// Whether an included file is not there, and with it the curves and cores in it.
    pub fn lacks_a_file(&self) -> bool {
        self.includes
    }

    /// Whether something inside a place could not be read.
    pub fn touches(&self, place: Span) -> bool {
        self.faults.iter().any(|fault| inside(*fault, place))
    }
}

fn inside(fault: Span, place: Span) -> bool {
    fault.file == place.file && place.start <= fault.start && fault.end <= place.end
}
