//! Limits: what must hold, and whether it does.

use coolwright_cases::diagnostic::{Problem, Problems};
use coolwright_cases::lower::LimitSpec;
use coolwright_cases::quantity::{Kind, parse};
use coolwright_cases::text::{Spanned, nearest};
use coolwright_models::cycle::History;
use coolwright_models::model::Model;
use coolwright_models::point::OperatingPoint;
use coolwright_models::results::Catalogue;
use coolwright_models::results::quantities::BOIL_MARGIN;

/// Which side a limit bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// The value must be at least this.
    AtLeast,
    /// The value must be at most this.
    AtMost,
}

/// A limit on a result, resolved.
#[derive(Clone, Debug)]
pub struct Limit {
    /// Its name.
    pub name: String,
    /// The address of the result.
    pub of: String,
    /// The result's place in the catalogue.
    pub index: usize,
    /// Its kind.
    pub kind: Kind,
    /// Which side is bounded.
    pub bound: Bound,
    /// The bound, SI.
    pub value: f64,
    /// Whether it holds for every case, written or not: no coolant may boil.
    pub built_in: bool,
}

/// A limit with the value that it was held against.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The limit.
    pub limit: Limit,
    /// The value, SI.
    pub value: f64,
    /// How far the value is on the good side of the bound, SI; negative where it is broken.
    pub margin: f64,
}

impl Judged {
    /// Whether the limit holds. A value that is no number holds nothing.
    pub fn holds(&self) -> bool {
        self.margin >= 0.0
    }
}

impl Limit {
    /// Margin of a value: positive on the good side.
    pub fn margin(&self, value: f64) -> f64 {
        match self.bound {
            Bound::AtLeast => value - self.value,
            Bound::AtMost => self.value - value,
        }
    }

    /// The limit with a value held against it.
    pub fn judge(&self, value: f64) -> Judged {
        Judged { limit: self.clone(), value, margin: self.margin(value) }
    }
}

/// Finds what the limits of a case speak of, and reads their values.
pub fn resolve(specs: &[LimitSpec], catalogue: &Catalogue, problems: &mut Problems) -> Vec<Limit> {
    let mut limits = Vec::new();
    for spec in specs {
        let Some((index, kind)) = find(&spec.of, catalogue, problems) else { continue };
        let bounds = [&spec.min, &spec.max].map(|text| {
            text.as_ref().and_then(|text| Some((parse(kind, &text.value).ok()?, text.span)))
        });
        if let [Some((min, first)), Some((max, second))] = bounds
            && min > max
        {
            problems.push(
                Problem::error(second, format!("nothing can hold the limit `{}`", spec.name))
                    .label("`max` is below `min`")
                    .also(first, "`min`"),
            );
        }
        for (text, bound) in [(&spec.min, Bound::AtLeast), (&spec.max, Bound::AtMost)] {
            let Some(text) = text else { continue };
            if let Some(value) = read(kind, text, problems) {
                let (name, of) = (spec.name.clone(), spec.of.value.clone());
                limits.push(Limit { name, of, index, kind, bound, value, built_in: false });
            }
        }
    }
    limits
}

/// The limits that hold for every case: beyond bulk boiling no number means anything.
pub fn built_in(catalogue: &Catalogue) -> Vec<Limit> {
    let entries = catalogue.entries().iter().enumerate();
    entries
        .filter(|(_, entry)| entry.quantity == &BOIL_MARGIN)
        .map(|(index, entry)| {
            let circuit = entry.address.split(':').next().unwrap_or_default();
            Limit {
                name: format!("no boiling in {circuit}"),
                of: entry.address.clone(),
                index,
                kind: Kind::TemperatureDifference,
                bound: Bound::AtLeast,
                value: 0.0,
                built_in: true,
            }
        })
        .collect()
}

/// The place and kind of a result.
pub(super) fn find(
    of: &Spanned<String>,
    catalogue: &Catalogue,
    problems: &mut Problems,
) -> Option<(usize, Kind)> {
    if let Some(index) = catalogue.find(&of.value) {
        return Some((index, catalogue.entries()[index].quantity.kind));
    }
    let addresses = catalogue.entries().iter().map(|entry| entry.address.as_str());
    let mut problem =
        Problem::error(of.span, format!("there is no result at `{}`", of.value)).label("not known");
    let (path, _) = of.value.rsplit_once(':').unwrap_or((&of.value, ""));
    let here: Vec<&str> = catalogue
        .entries()
        .iter()
        .filter(|entry| entry.address.rsplit_once(':').is_some_and(|(p, _)| p == path))
        .map(|entry| entry.quantity.name)
        .collect();
    if here.is_empty() {
        problem = match nearest(&of.value, addresses) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => problem
                .help("an address is a path and a result: `main/loop:flow`, `coolers/motor:rise`")
                .help("`point --json` lists all of them"),
        };
    } else {
        problem = problem.help(format!("`{path}` has: {}", here.join(", ")));
    }
    problems.push(problem);
    None
}

/// A value of a kind as written in the case.
pub(super) fn read(kind: Kind, text: &Spanned<String>, problems: &mut Problems) -> Option<f64> {
    match parse(kind, &text.value) {
        Ok(value) => Some(value),
        Err(error) => {
            let mut problem = Problem::error(text.span, error.message);
            for help in error.help {
                problem = problem.help(help);
            }
            problems.push(problem);
            None
        }
    }
}

/// Holds a point against the limits. Where a circuit has no steady state below boiling, its limit
/// against boiling is broken whatever the temperatures shown are.
pub fn judge(limits: &[Limit], model: &Model, point: &OperatingPoint) -> Vec<Judged> {
    let boils = |limit: &Limit| {
        let named = |name: &str| limit.of == format!("{name}:{}", BOIL_MARGIN.name);
        let circuit = model.circuits.iter().position(|circuit| named(&circuit.name));
        circuit.is_some_and(|circuit| point.boils(circuit))
    };
    limits
        .iter()
        .map(|limit| {
            let value = point.results.values[limit.index];
            limit.judge(if boils(limit) { f64::NEG_INFINITY } else { value })
        })
        .collect()
}

/// A limit held against a whole duty cycle.
#[derive(Clone, Debug)]
pub struct JudgedOverTime {
    /// The limit with the worst value.
    pub worst: Judged,
    /// When that was, s.
    pub at_s: f64,
    /// For how long the limit was broken, s.
    pub broken_for_s: f64,
}

/// Holds the histories of a duty cycle against the limits. Between two rows values go straight.
pub fn judge_history(limits: &[Limit], history: &History) -> Vec<JudgedOverTime> {
    let over_time = |limit: &Limit| {
        let margin = |row: usize| limit.margin(history.rows[row][limit.index]);
        let worst = (0..history.rows.len())
            .min_by(|&a, &b| margin(a).total_cmp(&margin(b)))
            .unwrap_or_default();
        let broken_for_s = history
            .phases
            .iter()
            .flat_map(|phase| phase.rows.clone().skip(1))
            .map(|row| {
                let step = history.times_s[row] - history.times_s[row - 1];
                step * share_below_zero(margin(row - 1), margin(row))
            })
            .sum();
        JudgedOverTime {
            worst: limit.judge(history.rows[worst][limit.index]),
            at_s: history.times_s[worst],
            broken_for_s,
        }
    };
    limits.iter().map(over_time).collect()
}

/// The share of a straight line from `a` to `b` that lies below zero.
fn share_below_zero(a: f64, b: f64) -> f64 {
    match (a < 0.0, b < 0.0) {
        (true, true) => 1.0,
        (false, false) => 0.0,
        (true, false) => a / (a - b),
        (false, true) => b / (b - a),
    }
}
