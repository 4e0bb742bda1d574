//! Every port that is needed: where, how wide, what for, which way coolant goes, how much straight it wants.

use coolwright_models::circuit::Joint;
use coolwright_models::gauge::{GaugePlace, Reads, Spot};
use coolwright_models::ids::Id;
use coolwright_models::parts::HeatPartner;

use super::Papers;
use super::order::tap_path;
use crate::study::findings::straights::{Beside, straight};
use crate::study::findings::view::View;

/// What a port is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Coolant comes in.
    In,
    /// Coolant goes out.
    Out,
    /// Nothing flows there as the case stands.
    Still,
    /// Air is let out.
    Bleed,
    /// Coolant is let out.
    Drain,
    /// A gauge is screwed in.
    Tap(Reads),
}

/// A port.
#[derive(Clone, Debug)]
pub struct Port {
    /// What it is on: a core, a cooler, a pump, a tank, a hose.
    pub on: String,
    /// The part of a run, and which end of it.
    pub place: String,
    /// See `place`.
    pub end: Option<bool>,
    /// How far along the part it is, m, where it is at neither end.
    pub along_m: Option<f64>,
    /// Bore, m, where it is told.
    pub bore_m: Option<f64>,
    /// What for.
    pub purpose: Purpose,
    /// The gauge that it is for.
    pub gauge: Option<String>,
    /// Straight length that it wants, and what it has, m.
    pub straight_m: Option<(f64, f64)>,
}

/// All ports of a case: of what is bought or made, not of hoses.
pub fn ports(papers: &Papers<'_>) -> Vec<Port> {
    let view = View::new(papers.ready, papers.start, Some(papers.point));
    let model = &papers.ready.model;
    let mut all = Vec::new();
    for (c, _) in view.circuits() {
        for at in view.parts_of(c) {
            let part = &view.placed(at).part;
            let on = match part.partner() {
                Some(HeatPartner::Body(body)) => model.address(Id::Body(body)),
                Some(HeatPartner::Core(core)) => model.address(Id::Core(core)),
                None if part.as_pump().is_some() || part.as_tank().is_some() => view.path(at),
                None if view.hose(at).is_some() => continue,
                None => view.path(at),
            };
            all.extend(two_ends(&view, at, &on));
        }
        let taps = &papers.ready.taps[c];
        for (purpose, list) in [(Purpose::Bleed, &taps.bleeds), (Purpose::Drain, &taps.drains)] {
            all.extend(list.iter().map(|tap| {
                let place = tap_path(papers, c, *tap);
                let (bore_m, gauge, straight_m, along_m) = (None, None, None, None);
                Port {
                    on: place.clone(),
                    place,
                    end: None,
                    along_m,
                    bore_m,
                    purpose,
                    gauge,
                    straight_m,
                }
            }));
        }
        all.extend(joint_ports(&view, c));
    }
    all.extend(gauge_taps(papers));
    all
}

/// Both ends of a part.
fn two_ends(view: &View<'_>, at: (usize, usize, usize), on: &str) -> [Port; 2] {
    let (c, r, p) = at;
    let values = &view.ready.model.values;
    let bores = view.circuit(c).runs[r].part_bores()[p].map(|slot| values.get(slot));
    let flow = view.mass_flow(c, r);
    let wanted = view.placed(at).part.straight_bores(values);
    [false, true].map(|outlet| {
        let bore_m = bores[usize::from(outlet)];
        let purpose = match (flow == 0.0, (flow > 0.0) == outlet) {
            (true, _) => Purpose::Still,
            (_, true) => Purpose::Out,
            (_, false) => Purpose::In,
        };
        let beside = if outlet { Beside::Outlet } else { Beside::Inlet };
        let straight_m = wanted.map(|wanted| wanted[usize::from(outlet)] * bore_m);
        let straight_m = straight_m.filter(|m| *m > 0.0);
        let straight_m = straight_m.map(|wants| (wants, straight(view, at, beside, outlet).0));
        Port {
            on: on.to_owned(),
            place: view.path(at),
            end: Some(outlet),
            along_m: None,
            bore_m: Some(bore_m),
            purpose,
            gauge: None,
            straight_m,
        }
    })
}

/// The ports of what stands at junctions: tees, headers, tanks, ends that are open.
fn joint_ports(view: &View<'_>, c: usize) -> Vec<Port> {
    let circuit = view.circuit(c);
    let values = &view.ready.model.values;
    let mut all = Vec::new();
    for (j, junction) in circuit.junctions.iter().enumerate() {
        if matches!(junction.joint, Joint::Plain { .. }) {
            continue;
        }
        for &r in view.runs_at(c, j) {
            let run = &circuit.runs[r];
            // Pieces of a header have no port between them.
            if run.automatic {
                continue;
            }
            let [first, last] = run.end_bores().map(|slot| values.get(slot));
            let ends = run.to == j;
            let flow = view.mass_flow(c, r);
            let purpose = match (flow == 0.0, (flow > 0.0) == ends) {
                (true, _) => Purpose::Still,
                (_, true) => Purpose::In,
                (_, false) => Purpose::Out,
            };
            all.push(Port {
                on: view.junction_path(c, j),
                place: view.ready.model.address(Id::Run(c, r)),
                end: Some(ends),
                along_m: None,
                bore_m: Some(if ends { last } else { first }),
                purpose,
                gauge: None,
                straight_m: None,
            });
        }
    }
    all
}

/// A tap for every gauge.
fn gauge_taps<'a>(papers: &'a Papers<'_>) -> impl Iterator<Item = Port> + 'a {
    let model = &papers.ready.model;
    model.gauges.iter().map(|gauge| {
        let (place, end, along_m) = match gauge.place {
            GaugePlace::Part { run, part, spot } => {
                let (end, along_m) = match spot {
                    Spot::Inlet => (Some(false), None),
                    Spot::Outlet => (Some(true), None),
                    Spot::Along { distance, .. } => (None, Some(model.values.get(distance))),
                };
                (model.address(Id::Part(gauge.circuit, run, part)), end, along_m)
            }
            GaugePlace::Junction(j) => (model.address(Id::Junction(gauge.circuit, j)), None, None),
        };
        Port {
            on: place.clone(),
            place,
            end,
            along_m,
            bore_m: None,
            purpose: Purpose::Tap(gauge.reads),
            gauge: Some(gauge.name.clone()),
            straight_m: None,
        }
    })
}
