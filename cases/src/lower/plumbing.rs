//! What only the checks of the plumbing ask for: the way of every hose through space, bleeds, drains.

use coolwright_models::circuit::Circuit;

use super::context::Context;
use crate::file::{Circuit as CircuitSpec, PartSpec};
use crate::quantity::Length;
use crate::text::Spanned;

/// Equal bends of a hose, as the file gives them.
#[derive(Clone, Copy, Debug)]
pub struct BendsGiven {
    /// Angle of one, rad.
    pub angle_rad: f64,
    /// Radius of the centre line, m, where it is given.
    pub radius_m: Option<f64>,
    /// How many.
    pub count: u32,
}

/// The way of a hose.
#[derive(Clone, Debug)]
pub struct HoseWay {
    /// Corner points of its centre line, m; none where no route is given.
    pub route_m: Vec<[f64; 3]>,
    /// Radius of every corner, m, where it is given.
    pub bend_radius_m: Option<f64>,
    /// Bends, where no route is given.
    pub bends: Vec<BendsGiven>,
    /// Whether the file tells how much it rises, by a route or outright.
    pub rise_told: bool,
    /// Bore, m.
    pub bore_m: f64,
}

impl HoseWay {
    /// The way that the file gives a hose.
    pub(super) fn of(spec: &PartSpec, bore_m: f64) -> Self {
        let mut way = Self {
            route_m: Vec::new(),
            bend_radius_m: None,
            bends: Vec::new(),
            rise_told: false,
            bore_m,
        };
        let PartSpec::Hose { route, bend_radius, bends, rise, .. } = spec else { return way };
        way.route_m = route.iter().map(|(x, y, z)| [x, y, z].map(|c| c.si())).collect();
        way.bend_radius_m = bend_radius.map(Length::si);
        way.rise_told = rise.is_some() || !route.is_empty();
        way.bends = bends
            .iter()
            .map(|bend| BendsGiven {
                angle_rad: bend.angle.si(),
                radius_m: bend.radius.map(Length::si),
                count: bend.count.map_or(1, crate::quantity::Count::get),
            })
            .collect();
        way
    }

    /// Distance of each corner point from the first along the legs between them, m.
    pub fn stations_m(&self) -> Vec<f64> {
        let mut stations = Vec::with_capacity(self.route_m.len());
        let mut sum = 0.0;
        for (k, point) in self.route_m.iter().enumerate() {
            if k > 0 {
                let before = self.route_m[k - 1];
                sum += (0..3).map(|i| (point[i] - before[i]).powi(2)).sum::<f64>().sqrt();
            }
            stations.push(sum);
        }
        stations
    }

    /// Height above the inlet at a distance of `share` times its length along the route, m.
    pub fn height_m(&self, share: f64) -> Option<f64> {
        let stations = self.stations_m();
        let at = share * stations.last()?;
        let first = self.route_m[0][2];
        let after = stations.partition_point(|&s| s < at).clamp(1, stations.len() - 1);
        let [a, b] = [stations[after - 1], stations[after]];
        let [low, high] = [self.route_m[after - 1][2], self.route_m[after][2]];
        Some(low + (high - low) * ((at - a) / (b - a)).clamp(0.0, 1.0) - first)
    }
}

/// Where a tap sits in a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tap {
    /// In a part: run, part.
    Part(usize, usize),
    /// At a junction.
    Junction(usize),
}

/// Bleeds and drains of a circuit.
#[derive(Clone, Debug, Default)]
pub struct Taps {
    /// Where air can be let out.
    pub bleeds: Vec<Tap>,
    /// Where coolant can be let out.
    pub drains: Vec<Tap>,
}

/// Finds the bleeds and drains of a circuit.
pub(super) fn taps(context: &mut Context<'_>, circuit: &Circuit, spec: &CircuitSpec) -> Taps {
    let mut find = |names: &[Spanned<String>]| {
        let found = names.iter().map(|name| {
            let found = find(circuit, &name.value);
            if found.is_empty() && !context.has_failed(&format!("{}/{}", circuit.name, name.value))
            {
                let known = names_in(circuit);
                let what = format!("part or junction in `{}`", circuit.name);
                context.unknown(name.span, &what, &name.value, known.iter().map(String::as_str));
            }
            found
        });
        found.collect::<Vec<_>>().concat()
    };
    Taps { bleeds: find(&spec.bleeds), drains: find(&spec.drains) }
}

/// The part `run/part` or the junction of a name; the pumps that stand under one name.
pub(super) fn find(circuit: &Circuit, name: &str) -> Vec<Tap> {
    if let Some(group) = circuit.groups.iter().find(|group| group.path == name) {
        return group.units.iter().map(|&(run, part)| Tap::Part(run, part)).collect();
    }
    let mut found = Vec::new();
    for (r, run) in circuit.runs.iter().enumerate() {
        for (p, placed) in run.parts.iter().enumerate() {
            if name.strip_prefix(run.path.as_str()).and_then(|rest| rest.strip_prefix('/'))
                == Some(placed.name.as_str())
            {
                found.push(Tap::Part(r, p));
            }
        }
    }
    if found.is_empty() {
        let junction = circuit.junctions.iter().position(|junction| junction.name == name);
        found.extend(junction.map(Tap::Junction));
    }
    found
}

/// What can be named in a circuit: parts and junctions of the file, and pumps under one name.
pub(super) fn names_in(circuit: &Circuit) -> Vec<String> {
    let mut names: Vec<String> = circuit.groups.iter().map(|group| group.path.clone()).collect();
    for run in &circuit.runs {
        let parts = run.parts.iter().filter(|placed| !placed.automatic);
        names.extend(parts.map(|placed| format!("{}/{}", run.path, placed.name)));
    }
    let junctions = circuit.junctions.iter().filter(|junction| !junction.automatic);
    names.extend(junctions.map(|junction| junction.name.clone()));
    names
}
