//! What to order: hoses by bore with what is cut off, clamps, fittings, machines, gauges.

use std::collections::BTreeMap;

use coolwright_cases::lower::Tap;
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Circuit, Hold, Joint};
use coolwright_models::gauge::Reads;
use coolwright_models::ids::Id;
use coolwright_models::parts::HeatPartner;

use super::Papers;
use crate::study::findings::straights::bends;
use crate::study::findings::view::{At, View};

/// What is added to each piece of hose for cutting and fitting: a share of its length, and no less than this, m
/// (common practice, no source).
const ALLOWANCE: (f64, f64) = (0.1, 0.1);
/// Clamps at each piece of hose: one an end.
const CLAMPS: usize = 2;

/// All hose of one bore.
#[derive(Clone, Debug)]
pub struct HoseCut {
    /// Bore, m.
    pub bore_m: f64,
    /// The pieces: address and length, m; `None` where the case tells no length.
    pub pieces: Vec<(String, Option<f64>)>,
    /// Bends: angle (rad), radius of the centre line (m) where it is told, and how many.
    pub bends: Vec<(f64, Option<f64>, u32)>,
}

impl HoseCut {
    /// Length with what is cut off, m.
    pub fn to_order_m(&self) -> f64 {
        let (share, least) = ALLOWANCE;
        self.pieces.iter().filter_map(|(_, m)| *m).map(|m| m + (share * m).max(least)).sum()
    }

    /// Length as it lies in the vehicle, m.
    pub fn length_m(&self) -> f64 {
        self.pieces.iter().filter_map(|(_, m)| *m).sum()
    }

    /// Clamps for all pieces.
    pub fn clamps(&self) -> usize {
        CLAMPS * self.pieces.len()
    }
}

/// Something else to order.
#[derive(Clone, Debug)]
pub struct Fitting {
    /// What it is.
    pub what: &'static str,
    /// Bores at its ends, m, the widest first.
    pub bores_m: Vec<f64>,
    /// A number that tells which: pressure of a cap, Pa; volume of a tank, m³.
    pub size: Option<(Kind, f64)>,
    /// Where they go.
    pub places: Vec<String>,
}

/// What to order.
#[derive(Clone, Debug, Default)]
pub struct Order {
    /// Hoses, the widest bore first.
    pub hoses: Vec<HoseCut>,
    /// Everything else.
    pub fittings: Vec<Fitting>,
}

/// What a case is made of, to be ordered.
pub fn order(papers: &Papers<'_>) -> Order {
    let view = View::new(papers.ready, papers.start, Some(papers.point));
    let mut order = Order::default();
    let mut hoses: BTreeMap<u64, HoseCut> = BTreeMap::new();
    for (c, circuit) in view.circuits() {
        for at in view.parts_of(c) {
            if let Some(way) = view.hose(at) {
                // Bores are ordered by whole micrometres.
                let entry = hoses.entry(micrometres(way.bore_m)).or_insert_with(|| HoseCut {
                    bore_m: way.bore_m,
                    pieces: Vec::new(),
                    bends: Vec::new(),
                });
                entry.pieces.push((view.path(at), view.length(at)));
                for bend in &way.bends {
                    add_bend(&mut entry.bends, (bend.angle_rad, bend.radius_m, bend.count));
                }
                // Those of a route are its corners.
                let corners = if way.bends.is_empty() { bends(&view, at) } else { Vec::new() };
                for bend in corners {
                    add_bend(&mut entry.bends, (bend.angle_rad, way.bend_radius_m, 1));
                }
            } else if let Some(path) = view.path_of_all(at) {
                order.add_part(&view, at, path);
            }
        }
        order.add_joints(&view, c);
        let reference = circuit.reference.map(|reference| reference.hold);
        if let Some(Hold::Cushion(cushion)) = reference {
            let opens = papers.ready.model.values.get(cushion.opens);
            let size = Some((Kind::GaugePressure, opens));
            order.add("pressure cap", Vec::new(), size, circuit.name.clone());
        }
        let taps = &papers.ready.taps[c];
        for (what, list) in [("bleed screw", &taps.bleeds), ("drain plug", &taps.drains)] {
            for tap in list {
                order.add(what, Vec::new(), None, tap_path(papers, c, *tap));
            }
        }
    }
    order.hoses = hoses.into_values().rev().collect();
    order.add_machines(papers);
    order
}

/// Where a bleed or a drain sits.
pub(super) fn tap_path(papers: &Papers<'_>, c: usize, tap: Tap) -> String {
    papers.ready.model.address(match tap {
        Tap::Part(r, p) => Id::Part(c, r, p),
        Tap::Junction(j) => Id::Junction(c, j),
    })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "bores are below a metre"
)]
fn micrometres(bore_m: f64) -> u64 {
    (bore_m * 1e6).round() as u64
}

/// Bores that differ by less than this are one, m.
const SAME_BORE_M: f64 = 0.5e-3;

/// The header that a junction is a piece of: its name stands before a stroke.
fn header_of<'a>(circuit: &Circuit, name: &'a str) -> Option<&'a str> {
    let base = name.split('/').next().unwrap_or(name);
    let piece = format!("{base}/");
    circuit.junctions.iter().any(|other| other.name.starts_with(&piece)).then_some(base)
}

/// Adds bends to those of the same angle and radius.
fn add_bend(
    bends: &mut Vec<(f64, Option<f64>, u32)>,
    (angle, radius, count): (f64, Option<f64>, u32),
) {
    let near = |a: f64, b: f64| (a - b).abs() < 0.02;
    let known = bends.iter_mut().find(|known| near(known.0, angle) && known.1 == radius);
    match known {
        Some(known) => known.2 += count,
        None => bends.push((angle, radius, count)),
    }
}

impl Order {
    fn add(
        &mut self,
        what: &'static str,
        bores_m: Vec<f64>,
        size: Option<(Kind, f64)>,
        place: String,
    ) {
        let same = |known: &&mut Fitting| {
            known.what == what && known.bores_m == bores_m && known.size == size
        };
        match self.fittings.iter_mut().find(same) {
            Some(known) => known.places.push(place),
            None => self.fittings.push(Fitting { what, bores_m, size, places: vec![place] }),
        }
    }

    /// Notes what another way through something has for bores, which may be others.
    fn widen(&mut self, known: usize, place: &str, bores: Vec<f64>) {
        let fitting = &mut self.fittings[known];
        let mut all = [fitting.bores_m.clone(), bores].concat();
        all.sort_by(|a, b| b.total_cmp(a));
        all.dedup();
        if all == fitting.bores_m {
            return;
        }
        let (what, size) = (fitting.what, fitting.size);
        fitting.places.retain(|other| other != place);
        if fitting.places.is_empty() {
            self.fittings.remove(known);
        }
        self.add(what, all, size, place.to_owned());
    }

    fn add_part(&mut self, view: &View<'_>, at: At, path: String) {
        let part = &view.placed(at).part;
        let values = &view.ready.model.values;
        let size = part.as_tank().map(|tank| (Kind::Volume, values.get(tank.room.volume)));
        let (c, r, p) = at;
        let [inlet, outlet] = view.circuit(c).runs[r].part_bores()[p].map(|slot| values.get(slot));
        let mut bores = vec![inlet.max(outlet), inlet.min(outlet)];
        bores.dedup();
        // Cores and coolers are ordered once, whatever leads through them.
        let of =
            match part.partner() {
                Some(HeatPartner::Body(body)) => Some(view.ready.model.address(Id::Body(body))),
                Some(HeatPartner::Core(core)) => {
                    let model = &view.ready.model;
                    let piece = model.cores[core].piece.as_ref();
                    Some(piece.map_or_else(
                        || model.address(Id::Core(core)),
                        |of| format!("cores/{}", of.of),
                    ))
                }
                None => None,
            };
        let word = match (&of, part.word()) {
            (Some(of), _) if of.starts_with("engines/") => "engine",
            (Some(_), "core") => "core",
            (Some(_), "side") => "exchanger",
            (Some(_), _) => "cooler",
            (None, word) => word,
        };
        let place = of.unwrap_or(path);
        let known = self.fittings.iter().position(|fitting| fitting.places.contains(&place));
        if let Some(known) = known {
            self.widen(known, &place, bores);
            return;
        }
        // Equal pumps under one name are ordered each.
        let mut groups = view.circuit(c).groups.iter();
        let units = groups.find(|g| g.units[0] == (r, p)).map_or(1, |g| g.units.len());
        for _ in 0..units {
            self.add(word, bores.clone(), size, place.clone());
        }
    }

    /// Tees, joints of several runs, changes of bore between neighbours.
    fn add_joints(&mut self, view: &View<'_>, c: usize) {
        let circuit = view.circuit(c);
        let values = &view.ready.model.values;
        for (j, junction) in circuit.junctions.iter().enumerate() {
            let runs = view.runs_at(c, j);
            let place = view.junction_path(c, j);
            let mut bores: Vec<f64> = runs
                .iter()
                .flat_map(|&r| {
                    let run = &circuit.runs[r];
                    let [first, last] = run.end_bores().map(|slot| values.get(slot));
                    let starts = (run.from == j).then_some(first);
                    starts.into_iter().chain((run.to == j).then_some(last))
                })
                .collect();
            bores.sort_by(|a, b| b.total_cmp(a));
            match &junction.joint {
                Joint::Tee { .. } => match header_of(circuit, &junction.name) {
                    Some(header) => self.add_header(format!("{}/{header}", circuit.name), &bores),
                    None => self.add("tee", bores, None, place),
                },
                Joint::Tank(room) => {
                    let size = Some((Kind::Volume, values.get(room.volume)));
                    self.add("tank", bores, size, place);
                }
                Joint::Plain { .. } if bores.len() > 2 => {
                    self.add("joint of hoses", bores, None, place);
                }
                _ => {}
            }
        }
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.automatic && placed.part.word() == "bore change" {
                    let [a, b] = run.part_bores()[p].map(|slot| values.get(slot));
                    if (a - b).abs() < SAME_BORE_M {
                        continue;
                    }
                    let place = view.ready.model.address(Id::Part(c, r, p));
                    self.add("reducer", vec![a.max(b), a.min(b)], None, place);
                }
            }
        }
    }

    /// A header, once for all tees that it is made of; each of them has a port, and the last one two.
    fn add_header(&mut self, place: String, bores: &[f64]) {
        let known =
            self.fittings.iter_mut().find(|of| of.what == "header" && of.places == [place.clone()]);
        if let Some(known) = known {
            known.bores_m.extend(bores.last());
            return;
        }
        let bores_m = bores.first().into_iter().chain(bores.last()).copied().collect();
        self.fittings.push(Fitting { what: "header", bores_m, size: None, places: vec![place] });
    }

    /// Fans, relays, gauges.
    fn add_machines(&mut self, papers: &Papers<'_>) {
        let model = &papers.ready.model;
        for (a, path) in model.air_paths.iter().enumerate() {
            for f in 0..path.fans.len() {
                self.add("fan", Vec::new(), None, model.address(Id::Fan(a, f)));
            }
        }
        for wire in super::wires(papers) {
            let what = if wire.volts < super::LOW_V {
                "relay and fuse holder"
            } else {
                "high-voltage switch and fuse, by licensed practice"
            };
            self.add(what, Vec::new(), None, wire.machine);
        }
        for gauge in &model.gauges {
            let what = match gauge.reads {
                Reads::Pressure => "pressure gauge",
                Reads::Temperature => "thermometer",
                Reads::Flow => "flow meter",
            };
            self.add(what, Vec::new(), None, format!("gauges/{}", gauge.name));
        }
    }
}
