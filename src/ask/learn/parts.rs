//! What was learnt as changes of the case, and as a parts file.

use coolwright_cases::case::{Change, written};
use coolwright_cases::file::Stand;
use coolwright_cases::quantity::Kind;

use super::Learning;
use super::fits::Fits;
use super::log::Logged;

impl Learning<'_> {
    /// What was learnt as changes of the case: numbers that the log tells, and offsets of gauges that are sure.
    pub(super) fn changes(&self, fits: &Fits, logged: &Logged) -> Vec<(Change, [f64; 2])> {
        let found = &fits.found;
        let mut changes = Vec::new();
        for (k, number) in fits.numbers.iter().enumerate() {
            if fits.tells[k].is_told() {
                let [low, high] = found.intervals[k];
                let si = rounded(found.numbers[k]);
                let change = Change::number(&number.address, number.kind, si);
                changes.push((change, [rounded(low.at), rounded(high.at)]));
            }
        }
        for (c, (shows, _)) in logged.compared.iter().enumerate() {
            let (beside, u) = (found.offsets[c], found.uncertainty(fits.numbers.len() + c));
            let gauge = &self.built.ready.model.gauges[shows.gauge];
            // What the case knows of it already counts in what it shows, and stays where no more is sure.
            let known = self.built.ready.model.values.get(gauge.offset);
            let is_sure = beside.abs() > 2.0 * u;
            if is_sure || known != 0.0 {
                let offset = known + if is_sure { beside } else { 0.0 };
                let address = format!("gauges/{}:offset", gauge.name);
                let Some(entry) = self.built.ready.addresses.get(&address) else { continue };
                let half = found.factor * u;
                let change = Change::number(&address, entry.kind, rounded(offset));
                changes.push((change, [offset - half, offset + half].map(rounded)));
            }
        }
        changes
    }

    /// The parts file with what was learnt.
    pub(super) fn parts(&self, file: &Stand, fits: &Fits, logged: &Logged) -> String {
        let ready = &self.built.ready;
        let mut text = format!(
            "// What was learnt of {} from {}. In the case, `include: [\"…\"]` with the name of this file\n\
             // lets every command reckon with it. `sure`: with 95 % it lies between these two.\n\
             Parts(\n    learnt: [\n",
            self.case.name.rsplit(['/', '\\']).next().unwrap_or_default(),
            file.log.value
        );
        for (change, sure) in self.changes(fits, logged) {
            let kind =
                ready.addresses.get(&change.address).map_or(Kind::Number, |entry| entry.kind);
            let quoted =
                |text: String| if text.starts_with('"') { text } else { format!("\"{text}\"") };
            let [low, high] = sure.map(|si| quoted(written(kind, si)));
            text.push_str(&format!(
                "        Learnt(at: \"{}\", is: {}, sure: ({low}, {high})),\n",
                change.address,
                quoted(change.text.clone())
            ));
        }
        text.push_str("    ],\n)\n");
        text
    }
}

/// A number with five digits: more are not known.
fn rounded(si: f64) -> f64 {
    format!("{si:.4e}").parse().unwrap_or(si)
}
