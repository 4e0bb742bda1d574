//! High points without a bleed, low points without a drain, and whether the flow carries air on.

use std::collections::BTreeSet;

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Joint;
use coolwright_models::parts::GRAVITY;

use super::profile::{Extreme, Profile, Where};
use super::suction::suction_line;
use super::view::{At, View, named, range};
use super::{Finding, Findings, Severity};

/// Least step of height that counts, m: below it is how a hose happens to hang (common practice, no
/// source). It is raised to half of the widest bore.
pub(in crate::study) const LEAST_STEP: f64 = 10e-3;
/// Least depth of a sink worth a drain of its own, m (common practice, no source).
const LEAST_SINK: f64 = 100e-3;

/// Velocity that carries a pocket of air down a pipe, m/s: `v = (0.25 √(sin θ) + 0.825) √(g D)`
/// (Wisner, Mohsen and Kouwen 1975, J. Hydraulics Division ASCE 101 (HY2); the upper envelope of
/// their tests, from memory). Tests in bores of 25 and 38 mm found much the same (May, Allen and
/// Nelson 2018, Int. J. Hydraulic Engineering 7(3), 51).
pub(in crate::study) fn carrying_velocity(bore_m: f64, sine: f64) -> f64 {
    (0.25 * sine.sqrt() + 0.825) * (GRAVITY * bore_m).sqrt()
}

/// A crest with what is known about it.
struct Crest {
    words: String,
    path: String,
    height_m: f64,
    /// Height above the tank, m.
    above_tank: Option<f64>,
    /// Velocity of the way out that carries best, and what it would need, m/s.
    out: Option<(f64, f64)>,
    suction: bool,
}

impl Crest {
    fn carried(&self) -> bool {
        self.out.is_some_and(|(velocity, needed)| velocity >= needed)
    }

    fn over_tank(&self, step_m: f64) -> bool {
        self.above_tank.is_some_and(|above| above > step_m)
    }

    /// What makes crests alike: they share a finding.
    fn class(&self, step_m: f64) -> (bool, bool, bool) {
        (!self.suction, !self.over_tank(step_m), self.carried())
    }
}

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    let (mut silent, mut hoses) = (Vec::new(), 0);
    for (c, circuit) in view.circuits() {
        let profile = Profile::of(view, c);
        hoses += profile.hoses;
        if profile.silent.len() == profile.hoses && profile.hoses > 0 {
            silent.push((profile.silent.len(), circuit.name.clone()));
        } else {
            let paths = profile.silent.iter().map(|&at| (1, view.path(at)));
            silent.extend(paths);
        }
        let widest = view.parts_of(c).filter_map(|at| view.hose(at)).map(|way| way.bore_m);
        let step_m = widest.map(|bore| 0.5 * bore).fold(LEAST_STEP, f64::max);
        high_points(view, c, &profile, step_m, found);
        low_points(view, c, &profile, step_m, found);
    }
    let number: usize = silent.iter().map(|(n, _)| n).sum();
    if number > 0 {
        let paths: Vec<String> = silent.into_iter().map(|(_, path)| path).collect();
        let (all, they) = match hoses {
            1 => ("1 hose is".to_owned(), "it rises"),
            _ => (format!("{hoses} hoses are"), "they rise"),
        };
        found.statements.push(format!(
            "{number} of {all} not told how much {they} ({}), so high and low points along them are \
             not looked for: give each a `route` or a `rise`.",
            named(&paths)
        ));
    }
}

/// Height of the tank's coolant above the first junction, m, and its address.
pub(in crate::study) fn tank(
    view: &View<'_>,
    c: usize,
    profile: &Profile,
) -> Option<(f64, String)> {
    let circuit = view.circuit(c);
    let in_runs = profile.edges.iter().filter(|edge| {
        let part = circuit.runs[edge.run].parts.get(edge.part);
        part.is_some_and(|placed| placed.part.as_tank().is_some())
    });
    let in_runs = in_runs
        .map(|edge| (profile.nodes[edge.ends[0]].height_m, view.path((c, edge.run, edge.part))));
    let standing = circuit.junctions.iter().enumerate().filter(|(_, junction)| {
        use Joint::{Fed, Held, Plain, Tee};
        !matches!(junction.joint, Plain { .. } | Tee { .. } | Held { .. } | Fed { .. })
    });
    let standing = standing.map(|(j, _)| (profile.nodes[j].height_m, view.junction_path(c, j)));
    let filled = in_runs.chain(standing).map(|(height, path)| {
        let level = view.start.get(&format!("{path}:level")).unwrap_or(0.0);
        (height + level, path)
    });
    filled.max_by(|a, b| a.0.total_cmp(&b.0))
}

fn high_points(view: &View<'_>, c: usize, profile: &Profile, step_m: f64, found: &mut Findings) {
    let tank = tank(view, c, profile);
    let pumps = view.parts_of(c).filter(|&at| view.is_pump(at));
    let suction: BTreeSet<At> = pumps.flat_map(|at| suction_line(view, at).parts).collect();
    let mut crests: Vec<Crest> = profile
        .crests(step_m)
        .iter()
        .map(|extreme| {
            let (words, path) = place(view, c, profile, extreme);
            let leaving = profile.leaving(extreme);
            let in_suction =
                |edge: &super::profile::Edge| suction.contains(&(c, edge.run, edge.part));
            Crest {
                words,
                path,
                height_m: extreme.height_m,
                above_tank: tank.as_ref().map(|(height, _)| extreme.height_m - height),
                out: way_out(view, c, profile, &leaving),
                suction: !leaving.is_empty() && leaving.iter().all(|(edge, _)| in_suction(edge)),
            }
        })
        .collect();
    crests.sort_by_key(|crest| crest.class(step_m));
    let lowest = profile.nodes.iter().map(|node| node.height_m).fold(f64::INFINITY, f64::min);
    // What flows out of an open line takes its air along.
    if view.circuit(c).junctions.iter().any(|j| matches!(j.joint, Joint::Held { .. })) {
        crests.retain(|crest| !crest.carried() || crest.suction);
    }
    for alike in crests.chunk_by(|a, b| a.class(step_m) == b.class(step_m)) {
        let of = |crest: &Crest| match (&tank, crest.above_tank) {
            (Some((_, path)), Some(above)) => over(view, above, &format!("`{path}`")),
            _ => over(view, crest.height_m - lowest, "the lowest point"),
        };
        let places: Vec<String> =
            alike.iter().map(|crest| format!("{}, {}", crest.words, of(crest))).collect();
        let points = if alike.len() == 1 { "high point" } else { "high points" };
        let crest = &alike[0];
        let soft = crest.carried() && !crest.suction && !crest.over_tank(step_m);
        found.list.push(Finding {
            severity: if soft { Severity::Advice } else { Severity::Warning },
            beside: false,
            subject: "high point without a bleed",
            places: alike.iter().map(|crest| crest.path.clone()).collect(),
            what: format!("{points} without a bleed: {}", places.join("; ")),
            why: why(alike, step_m),
            remedy:
                "put a bleed there and name it under `bleeds` of the circuit, or lead a vent line \
                     from there up to the tank"
                    .to_owned(),
        });
    }
}

/// A height against something, in words.
fn over(view: &View<'_>, above_m: f64, what: &str) -> String {
    if above_m.abs() < 1e-3 {
        return format!("as high as {what}");
    }
    let way = if above_m > 0.0 { "above" } else { "below" };
    format!("{} {way} {what}", view.say(Kind::Length, above_m.abs()))
}

/// Why crests that are alike matter.
fn why(alike: &[Crest], step_m: f64) -> String {
    let crest = &alike[0];
    let mut reasons = Vec::new();
    if crest.suction {
        reasons.push("air that gathers in a suction line breaks off the pump's flow".to_owned());
    }
    if crest.over_tank(step_m) {
        reasons.push("coolant poured in at the tank does not rise to it".to_owned());
    }
    let ways = || alike.iter().filter_map(|crest| crest.out);
    if ways().next().is_none() {
        reasons.push("nothing flows there that would carry air away, so it stays".to_owned());
    } else {
        let velocity = range(Kind::Velocity, ways().map(|(velocity, _)| velocity));
        let needed = range(Kind::Velocity, ways().map(|(_, needed)| needed));
        let source = "Wisner, Mohsen and Kouwen 1975";
        reasons.push(if crest.carried() {
            format!(
                "air stays there when the circuit is filled; once the pump runs, the {velocity} on the \
                 way down carry it on (from {needed}, {source}), until it finds a way out"
            )
        } else {
            format!(
                "it is a trap: on the way down coolant runs at {velocity}, and it takes {needed} to \
                 carry a pocket of air down ({source})"
            )
        });
    }
    reasons.join("; ")
}

/// The way out downstream that carries air best: its velocity and what it needs, m/s.
fn way_out(
    view: &View<'_>,
    c: usize,
    profile: &Profile,
    leaving: &[(&super::profile::Edge, usize)],
) -> Option<(f64, f64)> {
    let ways = leaving.iter().filter_map(|(edge, within)| {
        let at = (c, edge.run, edge.part);
        view.circuit(c).runs[edge.run].parts.get(edge.part)?;
        let velocity = view.of(at, "velocity")?;
        let outward = (edge.ends[0] == *within) == (velocity > 0.0);
        let [a, b] = edge.ends.map(|n| profile.nodes[n].height_m);
        let sine = edge.length_m.map_or(1.0, |length| ((a - b).abs() / length).min(1.0));
        let needed = carrying_velocity(view.bore(at), sine);
        (outward && velocity != 0.0).then_some((velocity.abs(), needed))
    });
    ways.max_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)))
}

fn low_points(view: &View<'_>, c: usize, profile: &Profile, step_m: f64, found: &mut Findings) {
    let sinks = profile.sinks(step_m.max(LEAST_SINK));
    if sinks.is_empty() {
        return;
    }
    let places: Vec<(String, String)> =
        sinks.iter().map(|sink| place(view, c, profile, sink)).collect();
    let words: Vec<String> = places.iter().map(|(words, _)| words.clone()).collect();
    let points = if sinks.len() == 1 { "low point" } else { "low points" };
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "low point without a drain",
        places: places.into_iter().map(|(_, path)| path).collect(),
        what: format!("{points} without a drain: {}", words.join("; ")),
        why: "what stands there stays behind when the circuit is emptied for work or for frost"
            .to_owned(),
        remedy: "put a drain plug there and name it under `drains` of the circuit".to_owned(),
    });
}

/// Where an extreme is, in words and as an address.
pub(in crate::study) fn place(
    view: &View<'_>,
    c: usize,
    profile: &Profile,
    extreme: &Extreme,
) -> (String, String) {
    let circuit = view.circuit(c);
    let told = |run: usize, part: usize| {
        let placed = circuit.runs[run].parts.get(part)?;
        (!placed.automatic).then_some((c, run, part))
    };
    let touching = |node: usize| {
        let edges = profile.edges_at(node);
        edges.filter_map(|edge| told(edge.run, edge.part)).collect::<BTreeSet<At>>()
    };
    // A part that is no hose says best where it is: one that lies there as a whole, or one at its end.
    let whole = profile.edges.iter().filter(|edge| {
        edge.ends.iter().all(|end| extreme.tops.contains(end)) && edge.ends[0] != edge.ends[1]
    });
    let whole = whole.filter_map(|edge| told(edge.run, edge.part));
    let near = extreme.tops.iter().flat_map(|&node| touching(node));
    if let Some(at) = whole.chain(near).find(|&at| view.hose(at).is_none()) {
        let path = view.path(at);
        return (format!("`{path}`"), path);
    }
    let top = extreme.tops[0];
    match profile.nodes[top].at {
        Where::Corner(run, part, k) => {
            let at = (c, run, part);
            let path = view.path(at);
            let station = view.hose(at).map_or(f64::NAN, |way| way.stations_m()[k]);
            let station = view.say(Kind::Length, station);
            (format!("`{path}`, {station} along its route"), path)
        }
        Where::Junction(junction) if !circuit.junctions[junction].automatic => {
            let path = view.junction_path(c, junction);
            (format!("`{path}`"), path)
        }
        _ => {
            let paths: Vec<String> = touching(top).into_iter().map(|at| view.path(at)).collect();
            match paths.as_slice() {
                [] => (circuit.name.clone(), circuit.name.clone()),
                [one] => (format!("an end of `{one}`"), one.clone()),
                [a, b, ..] => (format!("between `{a}` and `{b}`"), a.clone()),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::carrying_velocity;

    /// In a vertical pipe a long bubble rises at 0.35 √(g D) against still water (Dumitrescu 1943,
    /// Davies and Taylor 1950): flow that carries it down is faster. The formula by hand: 25 mm,
    /// √(9.80665 · 0.025) = 0.4951 m/s; level 0.825 of it, vertical 1.075 of it.
    #[test]
    fn air_needs_more_than_its_own_rise() {
        for (sine, wanted) in [(0.0, 0.408_5), (0.25, 0.470_4), (1.0, 0.532_3)] {
            let got = carrying_velocity(0.025, sine);
            assert!((got - wanted).abs() < 1e-4, "{sine}: {got}");
            assert!(got > 0.35 * 0.4951);
        }
    }
}
