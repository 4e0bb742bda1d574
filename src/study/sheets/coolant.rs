//! How much coolant, how it is mixed, how it stands cold and hot, and when the cap lifts.

use coolwright_cases::lower::Ready;
use coolwright_models::circuit::Hold;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;
use coolwright_models::results::{Quantity, Results};
use coolwright_models::simulate::Simulator;

use super::Papers;
use crate::study::findings::ice::melted;

/// The coolant of a circuit.
#[derive(Clone, Debug)]
pub struct CoolantOf {
    /// The circuit.
    pub circuit: usize,
    /// All of it as filled, m³, and at which temperature, K.
    pub volume_m3: f64,
    /// See `volume_m3`.
    pub filled_k: f64,
    /// Share of glycol by volume.
    pub share: f64,
    /// Mass as filled, kg.
    pub mass_kg: f64,
    /// Mass in each part and junction that holds any, kg, the most first.
    pub parts: Vec<(String, f64)>,
    /// Ice in it, kg, and the freezing point when it has melted, K.
    pub ice_kg: f64,
    /// See `ice_kg`.
    pub thinned_k: Option<f64>,
    /// Whether it is open to the outside: what flows in flows out again.
    pub open: bool,
    /// Freezing point, K; boiling point in the open at the site, K, and at the pressure of the cap where there is one.
    pub freezes_k: f64,
    /// See `freezes_k`.
    pub boils_k: [Option<f64>; 2],
    /// Coolant in the tank as filled and at the hottest, m³, and how hot that is, K; where there is a tank.
    pub contents: Option<Contents>,
    /// Pressure at which the cap opens, Pa gauge, and how warm all of the circuit is then at rest, K; the temperature is
    /// `None` where it stays shut up to the hottest that is looked at.
    pub lifts: Option<(f64, Option<f64>)>,
}

/// How a tank stands.
#[derive(Clone, Debug)]
pub struct Contents {
    /// The tank.
    pub tank: String,
    /// Cold, m³.
    pub cold_m3: f64,
    /// Hot, m³, and how hot, K, all of the circuit at one temperature; `None` where that cannot be told.
    pub hot: Option<(f64, f64)>,
    /// All of the tank, m³.
    pub tank_m3: f64,
}

/// A circuit is taken to be no hotter than this at rest, K, for the hot mark: what a thermostat holds and a margin
/// (common practice, no source).
const HOT_K: f64 = 273.15 + 95.0;
/// The hottest that a circuit at rest is looked at, K.
const HOTTEST_K: f64 = 273.15 + 120.0;
/// How finely the temperature is found, K.
const FINE_K: f64 = 0.1;

/// The coolant of every circuit.
pub fn coolants(papers: &Papers<'_>) -> Vec<CoolantOf> {
    let Some(mut still) = Still::of(papers.ready) else { return Vec::new() };
    let circuits = 0..papers.ready.model.circuits.len();
    circuits.filter_map(|c| coolant(papers, &mut still, c)).collect()
}

fn coolant(papers: &Papers<'_>, still: &mut Still<'_>, c: usize) -> Option<CoolantOf> {
    let model = &papers.ready.model;
    let circuit = &model.circuits[c];
    let values = &model.values;
    let share = circuit.coolant.mixture().map_or(0.0, |(_, share)| values.get(share));
    let coolant = circuit.coolant.liquid(values).ok()?;
    let filled_k = filled_k(papers.ready, c);
    let density = coolant.density(filled_k);
    let mut parts = Vec::new();
    for (r, run) in circuit.runs.iter().enumerate() {
        for (p, placed) in run.parts.iter().enumerate() {
            let volume = placed.part.volume_m3(values);
            if volume > 0.0 {
                parts.push((model.address(Id::Part(c, r, p)), volume * density));
            }
        }
    }
    for (j, junction) in circuit.junctions.iter().enumerate() {
        let volume = junction.volume_m3(values);
        if volume > 0.0 && !junction.automatic {
            parts.push((model.address(Id::Junction(c, j)), volume * density));
        }
    }
    parts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let volume_m3 = papers.start.of(Id::Circuit(c), &q::COOLANT_VOLUME)?;
    let ambient_pa = papers.start.of(Id::Site, &q::AMBIENT)?;
    let opens = match circuit.reference.map(|reference| reference.hold) {
        Some(Hold::Cushion(cushion)) => Some(values.get(cushion.opens)),
        _ => None,
    };
    let boils = |gauge_pa: f64| {
        Some(coolant.boiling_point_k(ambient_pa + gauge_pa)).filter(|k| k.is_finite())
    };
    Some(CoolantOf {
        circuit: c,
        volume_m3,
        filled_k,
        share,
        mass_kg: volume_m3 * density,
        parts,
        ice_kg: ice_kg(papers, c),
        thinned_k: melted(papers.ready, papers.start, c).map(|(_, freezes_k)| freezes_k),
        open: super::is_open(papers.ready, c),
        freezes_k: coolant.freezing_point_k(),
        boils_k: [boils(0.0), opens.and_then(boils)],
        contents: contents(papers, still, c),
        lifts: opens.map(|opens| (opens, still.lifts_k(c))),
    })
}

/// Ice in a circuit as it starts, kg.
pub(super) fn ice_kg(papers: &Papers<'_>, c: usize) -> f64 {
    let runs = papers.ready.model.circuits[c].runs.iter().enumerate();
    let parts = runs.flat_map(|(r, run)| (0..run.parts.len()).map(move |p| Id::Part(c, r, p)));
    parts.filter_map(|id| papers.start.of(id, &q::ICE)).sum()
}

/// How warm a circuit is when it is filled, K.
pub(super) fn filled_k(ready: &Ready, c: usize) -> f64 {
    let circuit = &ready.model.circuits[c];
    let slot = match circuit.reference.map(|reference| reference.hold) {
        Some(Hold::Cushion(cushion)) => cushion.filled_at,
        _ => circuit.start,
    };
    ready.model.values.get(slot)
}

fn contents(papers: &Papers<'_>, still: &mut Still<'_>, c: usize) -> Option<Contents> {
    let model = &papers.ready.model;
    let room = model.circuits[c].reference_tank()?;
    let id = model.reference_id(c)?;
    let cold_k = filled_k(papers.ready, c);
    // What has no steady state gets as hot as its cap is there for; without a cap nobody knows how hot.
    let is_held = papers.point.held.iter().any(|held| held.circuit == c);
    let hottest = papers.point.results.of(Id::Circuit(c), &q::HOTTEST).filter(|_| !is_held);
    let capped = matches!(model.circuits[c].reference?.hold, Hold::Cushion(_));
    let hot_k =
        hottest.or_else(|| capped.then_some(HOT_K)).map(|k| k.clamp(cold_k, HOT_K.max(cold_k)));
    Some(Contents {
        tank: model.address(id),
        cold_m3: still.read(c, cold_k, id, &q::CONTENTS)?,
        hot: hot_k.and_then(|k| Some((still.read(c, k, id, &q::CONTENTS)?, k))),
        tank_m3: model.values.get(room.volume),
    })
}

/// The case with everything stopped.
struct Still<'a> {
    ready: &'a Ready,
    simulator: Simulator<'a>,
    /// All states as it starts.
    start: Vec<f64>,
}

impl<'a> Still<'a> {
    /// All machines stopped, no power; `None` where its numbers cannot be set up.
    fn of(ready: &'a Ready) -> Option<Self> {
        let values = super::stand::stopped(ready);
        let simulator = Simulator::new(&ready.model, values).ok()?;
        let start = simulator.start();
        Some(Self { ready, simulator, start })
    }

    /// A result with all coolant of a circuit at one temperature, K.
    fn read(&mut self, c: usize, at_k: f64, id: Id, quantity: &'static Quantity) -> Option<f64> {
        let mut y = self.start.clone();
        let layout = &self.simulator.setup.layout;
        let first = layout.junctions[c];
        y[first..first + self.ready.model.circuits[c].junctions.len()].fill(at_k);
        for cells in &layout.parts[layout.circuit_parts[c]..layout.circuit_parts[c + 1]] {
            y[cells.first..cells.first + cells.count].fill(at_k);
        }
        self.simulator.evaluate(&y).ok()?;
        Results::read(&self.simulator, &y).of(id, quantity)
    }

    /// How warm a circuit at rest is when its cap opens, K.
    fn lifts_k(&mut self, c: usize) -> Option<f64> {
        let id = self.ready.model.reference_id(c)?;
        let (mut shut_k, mut open_k) = (filled_k(self.ready, c), HOTTEST_K);
        let mut open = |at_k: f64| self.read(c, at_k, id, &q::CAP).is_some_and(|cap| cap > 0.5);
        if open(shut_k) || !open(open_k) {
            return None;
        }
        while open_k - shut_k > FINE_K {
            let middle = 0.5 * (shut_k + open_k);
            if open(middle) { open_k = middle } else { shut_k = middle }
        }
        Some(open_k)
    }
}
