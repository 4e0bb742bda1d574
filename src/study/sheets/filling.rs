//! How a circuit is filled and bled: where from, in which order, what air stays where, and what carries it away.

use coolwright_cases::lower::Tap;
use coolwright_models::ids::Id;
use coolwright_models::parts::bore_area;
use coolwright_models::results::quantities as q;

use super::Papers;
use super::order::tap_path;
use crate::study::findings::heights::{LEAST_STEP, carrying_velocity, place, tank};
use crate::study::findings::profile::{Extreme, Profile, Where};
use crate::study::findings::view::View;

/// A high point without a bleed.
#[derive(Clone, Debug)]
pub struct Summit {
    /// Where, in words.
    pub words: String,
    /// Its height above the tank's surface, or above the lowest point where there is no tank, m.
    pub height_m: f64,
    /// The most air that can stay there, m³: all of the way down from it to the next low point.
    pub air_m3: f64,
    /// Volume flow that carries it down, and what flows there with all pumps as set, m³/s.
    pub sweeps_m3_s: Option<(f64, f64)>,
}

/// How a circuit is filled.
#[derive(Clone, Debug)]
pub struct Filling {
    /// The circuit.
    pub circuit: usize,
    /// Where it is filled: its tank, else its highest bleed.
    pub at: Option<String>,
    /// Litres that go in, m³.
    pub volume_m3: f64,
    /// Bleeds, the lowest first, with their heights above the first junction, m, and what of the coolant stands below
    /// each, m³.
    pub bleeds: Vec<(String, f64, f64)>,
    /// Height of the surface in its tank, where it has one and that is known, above the first junction, m.
    pub surface_m: Option<f64>,
    /// High points without a bleed.
    pub summits: Vec<Summit>,
    /// Hoses of which nobody told how they rise.
    pub silent: usize,
    /// Ice that goes in last, kg.
    pub ice_kg: f64,
    /// Whether it is open to the outside: what flows in flows out again.
    pub open: bool,
}

/// How every circuit is filled.
pub fn fillings(papers: &Papers<'_>) -> Vec<Filling> {
    let view = View::new(papers.ready, papers.start, Some(papers.point));
    let one = |c: usize| filling(papers, &view, c);
    (0..papers.ready.model.circuits.len()).map(one).collect()
}

fn filling(papers: &Papers<'_>, view: &View<'_>, c: usize) -> Filling {
    let profile = Profile::of(view, c);
    let tank = tank(view, c, &profile);
    let heights = heights(view, c);
    let volume_m3 = papers.start.of(Id::Circuit(c), &q::COOLANT_VOLUME).unwrap_or(f64::NAN);
    let mut bleeds: Vec<(String, f64, f64)> = papers.ready.taps[c]
        .bleeds
        .iter()
        .map(|tap| {
            let path = tap_path(papers, c, *tap);
            let height = tap_height(view, c, &profile, *tap);
            let below =
                heights.iter().filter(|(at, _)| *at <= height).map(|(_, volume)| volume).sum();
            (path, height, f64::min(below, volume_m3))
        })
        .collect();
    bleeds.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let lowest = profile.nodes.iter().map(|node| node.height_m).fold(f64::INFINITY, f64::min);
    let level = tank.as_ref().map_or(lowest, |(height, _)| *height);
    let widest = view.parts_of(c).filter_map(|at| view.hose(at)).map(|way| way.bore_m);
    let step_m = widest.map(|bore| 0.5 * bore).fold(LEAST_STEP, f64::max);
    let crests = profile.crests(step_m);
    let summits = crests.iter().map(|crest| summit(view, c, &profile, (crest, level)));
    Filling {
        circuit: c,
        surface_m: tank.as_ref().map(|(height, _)| *height),
        at: tank.map(|(_, path)| path),
        volume_m3,
        bleeds,
        summits: summits.collect(),
        silent: profile.silent.len(),
        ice_kg: super::coolant::ice_kg(papers, c),
        open: super::is_open(papers.ready, c),
    }
}

/// A high point over the level of the tank, with what may stay there and what sweeps it.
fn summit(view: &View<'_>, c: usize, profile: &Profile, (crest, level): (&Extreme, f64)) -> Summit {
    let (words, _) = place(view, c, profile, crest);
    let mut air_m3 = 0.0;
    let mut sweeps: Option<(f64, f64)> = None;
    for (edge, within) in profile.leaving(crest) {
        let at = (c, edge.run, edge.part);
        let Some(length) = edge.length_m else { continue };
        let bore = view.bore(at);
        let area = bore_area(bore);
        let [a, b] = edge.ends.map(|n| profile.nodes[n].height_m);
        air_m3 += area * length * share_above([a, b], level);
        let velocity = view.of(at, "velocity").unwrap_or(0.0);
        let outward = (edge.ends[0] == within) == (velocity > 0.0);
        let sine = ((a - b).abs() / length).min(1.0);
        let needed = carrying_velocity(bore, sine) * area;
        let has = if outward { velocity.abs() * area } else { 0.0 };
        if sweeps.is_none_or(|(wants, known)| has / needed > known / wants) {
            sweeps = Some((needed, has));
        }
    }
    Summit { words, height_m: crest.height_m - level, air_m3, sweeps_m3_s: sweeps }
}

/// The share of a straight way between two heights that is above a level: air below the surface of the tank is filled up.
fn share_above([a, b]: [f64; 2], level: f64) -> f64 {
    let (top, bottom) = (a.max(b), a.min(b));
    if bottom >= level || top <= level {
        return if top > level { 1.0 } else { 0.0 };
    }
    (top - level) / (top - bottom)
}

/// The highest place of a tap, m.
fn tap_height(view: &View<'_>, c: usize, profile: &Profile, tap: Tap) -> f64 {
    let of_part = |run: usize, part: usize| {
        let edges = profile.edges.iter().filter(move |edge| (edge.run, edge.part) == (run, part));
        edges.flat_map(|edge| edge.ends).map(|n| profile.nodes[n].height_m)
    };
    match tap {
        Tap::Junction(j) => view.heights_m(c)[j],
        Tap::Part(run, part) => {
            let top = of_part(run, part).fold(f64::NEG_INFINITY, f64::max);
            if top.is_finite() {
                return top;
            }
            let node = profile.nodes.iter().find(|node| node.at == Where::Behind(run, part));
            node.map_or(0.0, |node| node.height_m)
        }
    }
}

/// Coolant by the mean height at which it stands, m and m³.
fn heights(view: &View<'_>, c: usize) -> Vec<(f64, f64)> {
    let circuit = view.circuit(c);
    let values = &view.ready.model.values;
    let mut all = Vec::new();
    for (r, run) in circuit.runs.iter().enumerate() {
        for (p, placed) in run.parts.iter().enumerate() {
            let id = Id::Part(c, r, p);
            let end = |quantity| view.start.of(id, quantity).unwrap_or(0.0);
            let height = 0.5 * (end(&q::HEIGHT_IN) + end(&q::HEIGHT_OUT));
            all.push((height, placed.part.volume_m3(values)));
        }
    }
    for (j, junction) in circuit.junctions.iter().enumerate() {
        all.push((view.heights_m(c)[j], junction.volume_m3(values)));
    }
    all
}
