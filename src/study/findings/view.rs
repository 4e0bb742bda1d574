//! The case as the checks of its plumbing see it.

use std::collections::BTreeSet;

use coolwright_cases::lower::{HoseWay, Ready};
use coolwright_cases::quantity::{Kind, spoken};
use coolwright_models::circuit::{Circuit, Joint, Placed, Run};
use coolwright_models::ids::Id;
use coolwright_models::point::OperatingPoint;
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;
use coolwright_models::slots::Slot;

use crate::answer::kinds::can_stand;

/// Two numbers that differ by less than this share are shown as one.
const SAME: f64 = 5e-3;

/// A share of the largest flow of a circuit below which a run counts as still: shut valves leak.
const STILL: f64 = 2e-3;

/// A mass flow below which a whole circuit counts as still, kg/s: some 6 mL/min.
pub(in crate::study) const STILL_KG_S: f64 = 1e-4;

/// A case with its results at the start and at its operating point.
pub(in crate::study) struct View<'a> {
    pub(in crate::study) ready: &'a Ready,
    /// At the temperatures of the start.
    pub(in crate::study) start: &'a Results,
    /// With everything steady, where there is such a state.
    pub(in crate::study) point: Option<&'a OperatingPoint>,
    /// What every check asks of each circuit, read once.
    read: Vec<Circulation>,
}

/// What moves in a circuit at the start, and how its runs hang together.
struct Circulation {
    /// Mass flow of every run, kg/s.
    mass_flow: Vec<f64>,
    /// Volume flow of every run, m³/s.
    flow: Vec<f64>,
    /// Largest mass flow of any run, kg/s.
    most: f64,
    /// Runs that end at each junction.
    runs_at: Vec<Vec<usize>>,
    /// Height of every junction above the circuit's reference, m.
    heights_m: Vec<f64>,
}

impl Circulation {
    fn of(ready: &Ready, start: &Results, circuit: &Circuit) -> Self {
        let read = |name: &str| -> Vec<f64> {
            let address = |run: &Run| format!("{}/{}:{name}", circuit.name, run.name);
            circuit.runs.iter().map(|run| start.get(&address(run)).unwrap_or(0.0)).collect()
        };
        let mass_flow = read("mass_flow");
        let most = mass_flow.iter().fold(0.0, |most: f64, flow| most.max(flow.abs()));
        let mut runs_at = vec![Vec::new(); circuit.junctions.len()];
        for (r, run) in circuit.runs.iter().enumerate() {
            runs_at[run.from].push(r);
            if run.to != run.from {
                runs_at[run.to].push(r);
            }
        }
        let heights_m = circuit.heights_m(&ready.model.values);
        Self { flow: read("flow"), mass_flow, most, runs_at, heights_m }
    }
}

/// A part of a circuit: circuit, run, part.
pub(in crate::study) type At = (usize, usize, usize);

impl<'a> View<'a> {
    pub(in crate::study) fn new(
        ready: &'a Ready,
        start: &'a Results,
        point: Option<&'a OperatingPoint>,
    ) -> Self {
        let circuits = ready.model.circuits.iter();
        let read = circuits.map(|circuit| Circulation::of(ready, start, circuit)).collect();
        Self { ready, start, point, read }
    }

    pub(in crate::study) fn circuits(
        &self,
    ) -> impl Iterator<Item = (usize, &'a Circuit)> + use<'a> {
        self.ready.model.circuits.iter().enumerate()
    }

    pub(in crate::study) fn circuit(&self, c: usize) -> &'a Circuit {
        &self.ready.model.circuits[c]
    }

    pub(in crate::study) fn placed(&self, (c, r, p): At) -> &'a Placed {
        &self.ready.model.circuits[c].runs[r].parts[p]
    }

    /// Every part of a circuit that the file names.
    pub(in crate::study) fn parts_of(&self, c: usize) -> impl Iterator<Item = At> + use<'a> {
        let runs = self.ready.model.circuits[c].runs.iter().enumerate();
        runs.flat_map(move |(r, run)| {
            let told = run.parts.iter().enumerate().filter(|(_, placed)| !placed.automatic);
            told.map(move |(p, _)| (c, r, p))
        })
    }

    /// The address of a part.
    pub(in crate::study) fn path(&self, (c, r, p): At) -> String {
        let circuit = self.circuit(c);
        let run = &circuit.runs[r];
        format!("{}/{}/{}", circuit.name, run.path, run.parts[p].name)
    }

    /// The address of a part, or of all of several equal pumps, of which the first speaks for the others:
    /// `None` of those.
    pub(in crate::study) fn path_of_all(&self, at: At) -> Option<String> {
        let circuit = self.circuit(at.0);
        match circuit.groups.iter().find(|g| g.units.contains(&(at.1, at.2))) {
            Some(group) if group.units[0] != (at.1, at.2) => None,
            Some(group) => Some(format!("{}/{}", circuit.name, group.path)),
            None => Some(self.path(at)),
        }
    }

    /// The address of a junction.
    pub(in crate::study) fn junction_path(&self, c: usize, junction: usize) -> String {
        let circuit = self.circuit(c);
        format!("{}/{}", circuit.name, circuit.junctions[junction].name)
    }

    /// A result of a part at the start, SI.
    pub(in crate::study) fn of(&self, at: At, name: &str) -> Option<f64> {
        self.start.get(&format!("{}:{name}", self.path(at)))
    }

    /// A result of a part at the operating point, where its circuit has one.
    pub(in crate::study) fn steady(&self, at: At, name: &str) -> Option<f64> {
        let point = self.point.filter(|point| !point.held.iter().any(|h| h.circuit == at.0))?;
        point.results.get(&format!("{}:{name}", self.path(at)))
    }

    /// Mass flow of a run at the start, kg/s.
    pub(in crate::study) fn mass_flow(&self, c: usize, r: usize) -> f64 {
        self.read[c].mass_flow[r]
    }

    /// Volume flow of a run at the start, m³/s.
    pub(in crate::study) fn flow(&self, c: usize, r: usize) -> f64 {
        self.read[c].flow[r]
    }

    /// Largest mass flow of any run of a circuit, kg/s.
    pub(in crate::study) fn most_flow(&self, c: usize) -> f64 {
        self.read[c].most
    }

    /// Runs that end at a junction, each once.
    pub(in crate::study) fn runs_at(&self, c: usize, junction: usize) -> &[usize] {
        &self.read[c].runs_at[junction]
    }

    /// Height of every junction of a circuit above its reference, m.
    pub(in crate::study) fn heights_m(&self, c: usize) -> &[f64] {
        &self.read[c].heights_m
    }

    /// Whether next to nothing flows in a run although something does in its circuit.
    pub(in crate::study) fn still(&self, c: usize, r: usize, most: f64) -> bool {
        self.mass_flow(c, r).abs() < STILL * most
    }

    /// Whether a number is assumed.
    pub(in crate::study) fn is_assumed(&self, slot: Slot) -> bool {
        self.ready.assumptions.iter().any(|assumption| assumption.slots.contains(&slot))
    }

    /// Whether a part is a pump that turns.
    pub(in crate::study) fn running(&self, at: At) -> bool {
        self.is_pump(at) && self.of(at, "speed").is_some_and(|speed| speed > 0.0)
    }

    pub(in crate::study) fn is_pump(&self, at: At) -> bool {
        self.placed(at).part.as_pump().is_some()
    }

    /// Density of the coolant in a run at the start, kg/m³.
    pub(in crate::study) fn density(&self, c: usize, r: usize) -> f64 {
        let (mass, volume) = (self.mass_flow(c, r), self.flow(c, r));
        if volume == 0.0 { 1000.0 } else { mass / volume }
    }

    /// Velocity head ½ρv² in the bore at the inlet of a part, Pa.
    pub(in crate::study) fn velocity_head(&self, at: At) -> f64 {
        let velocity = self.of(at, "velocity").unwrap_or(0.0);
        0.5 * self.density(at.0, at.1) * velocity * velocity
    }

    /// Total pressure at the inlet of a part, Pa gauge.
    pub(in crate::study) fn total_in(&self, at: At) -> f64 {
        self.of(at, "pressure_in").unwrap_or(f64::NAN) + self.velocity_head(at)
    }

    /// The way of a hose.
    pub(in crate::study) fn hose(&self, at: At) -> Option<&'a HoseWay> {
        self.ready.hoses.get(&self.path(at))
    }

    /// The length of a hose, m.
    pub(in crate::study) fn length(&self, at: At) -> Option<f64> {
        let address = self.ready.addresses.get(&format!("{}:length", self.path(at)))?;
        self.hose(at).map(|_| self.ready.model.values.get(address.slots[0]))
    }

    /// Bore at the inlet of a part, m.
    pub(in crate::study) fn bore(&self, (c, r, p): At) -> f64 {
        self.ready.model.values.get(self.circuit(c).runs[r].part_bores()[p][0])
    }

    /// A quantity for a text that is read in any units.
    pub(in crate::study) fn say(&self, kind: Kind, si: f64) -> String {
        let air = self.start.of(Id::Site, &q::AMBIENT);
        if kind == Kind::GaugePressure && !can_stand(kind, si, air) {
            return "less than a perfect vacuum".to_owned();
        }
        spoken(kind, si)
    }

    /// Runs whose coolant flows into a junction and out of it at the start.
    pub(in crate::study) fn around(&self, c: usize, junction: usize) -> (Vec<usize>, Vec<usize>) {
        let (mut arriving, mut leaving) = (Vec::new(), Vec::new());
        for &r in self.runs_at(c, junction) {
            let run = &self.circuit(c).runs[r];
            let flow = self.mass_flow(c, r);
            if flow.abs() < STILL_KG_S {
                continue;
            }
            let (from, to) = if flow > 0.0 { (run.from, run.to) } else { (run.to, run.from) };
            if to == junction {
                arriving.push(r);
            }
            if from == junction {
                leaving.push(r);
            }
        }
        (arriving, leaving)
    }

    /// The parts upstream of a part, nearest first, as far as there is one way only: up to where
    /// streams meet, a tank or an open end, or all the way round.
    pub(in crate::study) fn upstream(&self, (c, r, p): At) -> Upstream {
        let circuit = self.circuit(c);
        let mut parts = Vec::new();
        let mut seen: BTreeSet<(usize, usize)> = BTreeSet::from([(r, p)]);
        let (mut run, mut from) = (r, Some(p));
        for _ in 0..=circuit.runs.len() {
            let forward = self.mass_flow(c, run) >= 0.0;
            let count = circuit.runs[run].parts.len();
            let before: Vec<usize> = if forward {
                (0..from.unwrap_or(count)).rev().collect()
            } else {
                (from.map_or(0, |p| p + 1)..count).collect()
            };
            for k in before {
                if !seen.insert((run, k)) {
                    return Upstream { parts, end: UpstreamEnd::Round };
                }
                parts.push((c, run, k));
            }
            let start = if forward { circuit.runs[run].from } else { circuit.runs[run].to };
            if !matches!(circuit.junctions[start].joint, Joint::Plain { .. } | Joint::Tee { .. }) {
                return Upstream { parts, end: UpstreamEnd::Vessel(start) };
            }
            let [feeding] = self.around(c, start).0[..] else {
                return Upstream { parts, end: UpstreamEnd::Meeting(start) };
            };
            (run, from) = (feeding, None);
        }
        Upstream { parts, end: UpstreamEnd::Round }
    }
}

/// What lies upstream of a part.
pub(in crate::study) struct Upstream {
    /// Parts, nearest first, with those that stand by themselves.
    pub(in crate::study) parts: Vec<At>,
    /// Why the walk ended.
    pub(in crate::study) end: UpstreamEnd,
}

/// Why a walk upstream ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::study) enum UpstreamEnd {
    /// At a junction where streams meet, or from which nothing flows.
    Meeting(usize),
    /// At a tank or an open end.
    Vessel(usize),
    /// It came round to where it began.
    Round,
}

/// A list of addresses for a sentence: all of a few, the first of many.
pub(in crate::study) fn named(paths: &[String]) -> String {
    const MOST: usize = 4;
    let quoted: Vec<String> = paths.iter().take(MOST).map(|path| format!("`{path}`")).collect();
    match paths.len() {
        0 => String::new(),
        1 => quoted[0].clone(),
        n if n <= MOST => format!("{} and {}", quoted[..n - 1].join(", "), quoted[n - 1]),
        n => format!("{} and {} more", quoted.join(", "), n - MOST),
    }
}

/// A number of things in words.
pub(in crate::study) fn count(n: usize, word: &str) -> String {
    if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") }
}

/// The least and the most of some numbers, as one quantity or as a range.
pub(in crate::study) fn range(kind: Kind, numbers: impl Iterator<Item = f64>) -> String {
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for number in numbers {
        least = least.min(number);
        most = most.max(number);
    }
    if most - least <= SAME * most.abs() {
        spoken(kind, most)
    } else {
        format!("{} to {}", spoken(kind, least), spoken(kind, most))
    }
}
