//! Where nothing flows: dead ends, ways that are shut, valves that stand against the flow.

use std::collections::{BTreeMap, BTreeSet};

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Joint;
use coolwright_models::ids::Id;
use coolwright_models::parts::HeatPartner;
use coolwright_models::slots::Slot;

use super::view::{At, STILL_KG_S, View, named};
use super::{Finding, Findings, Severity};
use crate::study::load::Load;

/// Opening at and below which a valve counts as shut.
const SHUT: f64 = 0.02;
/// Pressure across a shut valve below which its ends count as level, Pa.
const SEEN: f64 = 1.0;
/// No more still runs than this are looked at one by one.
const MOST: usize = 100;

/// Why nothing flows in a run.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Reason {
    /// A check valve, held shut by a pressure difference in whole Pa.
    Held(String, i64),
    /// A check valve with less pressure before it than opens it: what it needs and what it has, whole Pa.
    Weak(String, [i64; 2]),
    /// A throttle or thermostat that is shut.
    Shut(String),
    /// A pump that does not turn.
    Stopped(String),
    /// The only way to what lies behind it.
    DeadEnd,
    /// Both ends at the same pressure.
    Level,
}

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    // Where there are phases, cores are looked at in each pull as it is set.
    let load = Load::of(view.ready);
    let stands = view.ready.duty.phases.is_empty();
    for (c, circuit) in view.circuits() {
        if stands && load.is_on(0, Some(c)) {
            unrejected(view, c, found);
        }
        found.list.extend(stored(view, c, &|body| load.most_w(body), false));
        let most = view.most_flow(c);
        let running: Vec<At> = view.parts_of(c).filter(|&at| view.running(at)).collect();
        if most < STILL_KG_S {
            if !running.is_empty() {
                found.list.push(all_shut(view, c, &running));
            }
            continue;
        }
        let flowing = view.parts_of(c).filter(|&(_, r, _)| !view.still(c, r, most));
        throttled(view, c, found);
        let shut = |at| leaks(view, at).or_else(|| hardly_opens(view, at));
        found.list.extend(flowing.filter_map(shut));
        let told = |r: &usize| circuit.runs[*r].parts.iter().any(|placed| !placed.automatic);
        let still = (0..circuit.runs.len()).filter(|&r| view.still(c, r, most)).filter(told);
        let mut useless: Vec<(Reason, Vec<String>)> = Vec::new();
        let mut dead = Vec::new();
        for r in still.take(MOST) {
            let parts = 0..circuit.runs[r].parts.len();
            if parts.clone().any(|p| view.running((c, r, p))) {
                continue;
            }
            let exchanging = parts.filter(|&p| view.placed((c, r, p)).part.partner().is_some());
            let paths: Vec<String> = exchanging.map(|p| view.path((c, r, p))).collect();
            let reason = reason(view, c, r);
            if !paths.is_empty() {
                match useless.iter_mut().find(|(known, _)| *known == reason) {
                    Some((_, known)) => known.extend(paths),
                    None => useless.push((reason, paths)),
                }
            } else if reason == Reason::DeadEnd && !fills(view, c, r) {
                dead.push(format!("{}/{}", circuit.name, circuit.runs[r].name));
            }
        }
        for (reason, paths) in useless {
            found.list.push(without_flow(view, &reason, paths));
        }
        if !dead.is_empty() {
            found.list.push(Finding {
                severity: Severity::Warning,
                beside: false,
                subject: "dead end",
                what: format!("nothing flows in {}: the only way to what lies behind", named(&dead)),
                places: dead,
                why: "coolant and air stay there: it does not warm up with the circuit, may freeze, and \
                      rots"
                    .to_owned(),
                remedy: "join its far end to the circuit, or leave it out".to_owned(),
            });
        }
    }
}

/// Cores that get next to none of the coolant of a circuit that takes heat. `view` is of that moment.
pub(super) fn unrejected(view: &View<'_>, c: usize, found: &mut Findings) {
    let cores: Vec<At> = view
        .parts_of(c)
        .filter(|&at| matches!(view.placed(at).part.partner(), Some(HeatPartner::Core(_))))
        .collect();
    let most = view.most_flow(c);
    let through = |at: &At| view.mass_flow(c, at.1).abs();
    if cores.is_empty() || most < STILL_KG_S || cores.iter().any(|at| through(at) > TRICKLE * most)
    {
        return;
    }
    let places: Vec<String> = cores.iter().map(|&at| view.path(at)).collect();
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "cores without coolant",
        what: format!(
            "next to nothing flows through {} while heat comes into `{}`",
            named(&places),
            view.circuit(c).name
        ),
        places,
        why:
            "the coolant warms until a way to a core opens, and nothing in the case opens one then"
                .to_owned(),
        remedy: "open the thermostat or throttle before it, or turn its check valve round"
            .to_owned(),
    });
}

/// What is heated by so much more than the coolant through it can take that only its metal is left to warm. `heat_w`
/// is the heat into a body; what has no flow at all is told elsewhere.
pub(super) fn stored(
    view: &View<'_>,
    c: usize,
    heat_w: &dyn Fn(usize) -> f64,
    in_phase: bool,
) -> Option<Finding> {
    let mut takes_w_k: BTreeMap<usize, f64> = BTreeMap::new();
    let mut of = BTreeMap::new();
    for at in view.parts_of(c) {
        if let Some(HeatPartner::Body(body)) = view.placed(at).part.partner() {
            *takes_w_k.entry(body).or_default() += view.mass_flow(c, at.1).abs() * SPECIFIC;
            of.entry(body).or_insert_with(|| view.path(at));
        }
    }
    let least = STILL_KG_S * SPECIFIC;
    let rises = takes_w_k.iter().filter(|(_, takes)| **takes >= least);
    let rises = rises.map(|(&body, takes)| (body, heat_w(body) / takes));
    let most = rises.filter(|(_, rise)| *rise > DOUBTFUL_RISE_K);
    let (body, rise) = most.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let path = view.ready.model.address(Id::Body(body));
    // What a phase sets for a while is said, and judged by its limits.
    let serious = rise > MOST_RISE_K && !in_phase;
    Some(Finding {
        severity: if serious { Severity::Serious } else { Severity::Warning },
        beside: !serious,
        subject: "heat without flow",
        what: format!(
            "the coolant through `{path}` would warm by {} if it took the {} that come in: it takes next to none",
            view.say(Kind::TemperatureDifference, rise),
            view.say(Kind::Power, heat_w(body))
        ),
        places: vec![path],
        why: "what comes in stays in the metal, and no limit on the coolant sees it".to_owned(),
        remedy: format!(
            "look for what holds the flow through `{}`: a pump that hardly turns, a valve that is nearly shut, a bore",
            of[&body]
        ),
    })
}

/// Heat capacity of a coolant where only its size matters, J/(kg K): that of water.
const SPECIFIC: f64 = 4186.0;
/// Rises in balance that boil what starts at any usual temperature, and that no liquid coolant stands at all, K (common
/// practice, no source).
const DOUBTFUL_RISE_K: f64 = 150.0;
const MOST_RISE_K: f64 = 300.0;

/// Share of the largest flow of a circuit below which a core gets next to nothing.
const TRICKLE: f64 = 0.02;

/// A circuit in which pumps run and nothing moves.
fn all_shut(view: &View<'_>, c: usize, running: &[At]) -> Finding {
    let valves = view.parts_of(c).filter(|&at| {
        let shut = view.ready.addresses.get(&format!("{}:open", view.path(at)));
        let open = shut.map(|address| view.ready.model.values.get(address.slots[0]));
        view.placed(at).part.word() == "check valve" || open.is_some_and(|open| open <= SHUT)
    });
    let valves: Vec<String> = valves.map(|at| view.path(at)).collect();
    let pumps: Vec<String> = running.iter().map(|&at| view.path(at)).collect();
    let (verb, opposed) = (if pumps.len() == 1 { "runs" } else { "run" }, pumps.len() > 1);
    let (shut, why, remedy) = match (valves.is_empty(), opposed) {
        (true, true) => (
            ": they push against each other".to_owned(),
            "what one pump gives the other takes, and the coolant in them heats up",
            "turn one of their runs round (`from` and `to`), or stop one",
        ),
        (empty, _) => (
            if empty {
                String::new()
            } else {
                format!(": the only way is shut at {}", named(&valves))
            },
            "a check valve opens along its run only, and a pump at zero flow heats the coolant in it",
            "turn the run of the valve round (`from` and `to`), or open the way",
        ),
    };
    Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "nothing flows",
        what: format!("{} {verb} and nothing flows in the circuit{shut}", named(&pumps)),
        places: pumps.into_iter().chain(valves).collect(),
        why: why.to_owned(),
        remedy: remedy.to_owned(),
    }
}

fn without_flow(view: &View<'_>, reason: &Reason, paths: Vec<String>) -> Finding {
    let (because, remedy) = match reason {
        Reason::Held(valve, pascals) => {
            #[allow(clippy::cast_precision_loss)] // whole Pa, far below 2^52
            let difference = view.say(Kind::PressureDifference, *pascals as f64);
            (
                format!(
                    "its check valve `{valve}` stands against the flow: the pressure behind it is {difference} \
                     higher than before it"
                ),
                "turn the run round (`from` and `to`), or take the valve out".to_owned(),
            )
        }
        Reason::Weak(valve, pascals) => {
            #[allow(clippy::cast_precision_loss)] // whole Pa, far below 2^52
            let [needs, has] = pascals.map(|pa| view.say(Kind::PressureDifference, pa as f64));
            (
                format!("its check valve `{valve}` needs {needs} to open and has only {has}"),
                format!(
                    "take a valve with a softer spring (`cracking` of `{valve}`), or lead the run from where there \
                         is more pressure"
                ),
            )
        }
        Reason::Shut(valve) => (format!("`{valve}` is shut"), format!("open `{valve}`")),
        Reason::Stopped(pump) => (
            format!("its pump `{pump}` is stopped"),
            format!("let `{pump}` run, or see `cycle` for when it does"),
        ),
        Reason::DeadEnd => {
            ("it is a dead end".to_owned(), "join its far end to the circuit".to_owned())
        }
        Reason::Level => (
            "both ends of its run stand at the same pressure".to_owned(),
            "lead it from the pressure side of the pump to its suction side".to_owned(),
        ),
    };
    Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "nothing flows",
        what: format!("nothing flows through {}: {because}", named(&paths)),
        places: paths,
        why: "what should be cooled there is not, whatever the pumps do elsewhere".to_owned(),
        remedy,
    }
}

/// The slot of the opening of a throttle or thermostat that is shut.
fn shut(view: &View<'_>, path: &str) -> Option<Slot> {
    let slot = view.ready.addresses.get(&format!("{path}:open"))?.slots[0];
    (view.ready.model.values.get(slot) <= SHUT).then_some(slot)
}

/// A shut valve in the run of what should be cooled, past which no more flows than leaks; no phase opens it.
fn leaks(view: &View<'_>, at: At) -> Option<Finding> {
    let path = view.path(at);
    let slot = shut(view, &path)?;
    let sets = view.ready.duty.phases.iter().flat_map(|phase| &phase.sets);
    if sets.clone().any(|(set, _)| *set == slot) {
        return None;
    }
    let (c, r, _) = at;
    let heated = |p: &usize| {
        let partner = view.placed((c, r, *p)).part.partner();
        matches!(partner, Some(HeatPartner::Body(_)))
    };
    let parts = 0..view.circuit(c).runs[r].parts.len();
    let paths: Vec<String> = parts.filter(heated).map(|p| view.path((c, r, p))).collect();
    (!paths.is_empty()).then(|| Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "shut valve before what is heated",
        what: format!("`{path}` is shut: only what leaks past it flows through {}", named(&paths)),
        places: vec![path.clone()],
        why: "what is heated there is not cooled, whatever the pumps do".to_owned(),
        remedy: format!("open `{path}`, or let a phase set its `open`"),
    })
}

/// Thermostats that stay less than half open, whatever the phase. A bypass says so with its main valve.
fn throttled(view: &View<'_>, c: usize, found: &mut Findings) {
    let ready = view.ready;
    let mut seen = BTreeSet::new();
    for at in view.parts_of(c).filter(|&at| view.placed(at).part.word() == "thermostat") {
        let path = view.path(at);
        let Some(address) = ready.addresses.get(&format!("{path}:open")) else { continue };
        let slot = address.slots[0];
        let open = ready.model.values.get(slot);
        let set = ready.duty.phases.iter().flat_map(|phase| &phase.sets).any(|(s, _)| *s == slot);
        if set || open <= SHUT || open >= HALF_OPEN || !seen.insert(slot) {
            continue;
        }
        found.list.push(Finding {
            severity: Severity::Advice,
            beside: false,
            subject: "thermostat nearly shut",
            what: format!("`{path}` stays {} open in all that is asked", view.say(Kind::Fraction, open)),
            places: vec![path],
            why: "nothing opens it as the coolant warms; a real one does".to_owned(),
            remedy: "give it the opening that it has when the coolant is hot, as `open: \"95 %\"`, or let each \
                     phase set it"
                .to_owned(),
        });
    }
}

/// A thermostat less open than this is looked at.
const HALF_OPEN: f64 = 0.5;

/// A check valve with less pressure across it than opens it, in the run of pumps that turn or of what is heated.
fn hardly_opens(view: &View<'_>, at: At) -> Option<Finding> {
    let (c, r, _) = at;
    if view.placed(at).part.word() != "check valve" {
        return None;
    }
    let Reason::Weak(valve, [needs, has]) = of_check_valve(view, at, view.path(at))? else {
        return None;
    };
    let needy = |p: &usize| {
        let at = (c, r, *p);
        matches!(view.placed(at).part.partner(), Some(HeatPartner::Body(_))) || view.running(at)
    };
    let parts = 0..view.circuit(c).runs[r].parts.len();
    let paths: Vec<String> = parts.filter(needy).map(|p| view.path((c, r, p))).collect();
    #[allow(clippy::cast_precision_loss)] // whole Pa, far below 2^52
    let [told_needs, told_has] =
        [needs, has].map(|pa| view.say(Kind::PressureDifference, pa as f64));
    (!paths.is_empty() && has * 50 < needs * 49).then(|| Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "check valve that does not open",
        what: format!(
            "`{valve}` needs {told_needs} to open and has only {told_has}: only what leaks past it flows through {}",
            named(&paths)
        ),
        places: vec![valve.clone()],
        why: "all that drives its run stands across it".to_owned(),
        remedy: format!("take a valve with a softer spring (`cracking` of `{valve}`), or a stronger pump"),
    })
}

fn reason(view: &View<'_>, c: usize, r: usize) -> Reason {
    let run = &view.circuit(c).runs[r];
    for (p, placed) in run.parts.iter().enumerate() {
        let path = view.path((c, r, p));
        if shut(view, &path).is_some() {
            return Reason::Shut(path);
        }
        if view.is_pump((c, r, p)) {
            return Reason::Stopped(path);
        }
        if placed.part.word() == "check valve"
            && let Some(reason) = of_check_valve(view, (c, r, p), path)
        {
            return reason;
        }
    }
    if only_way(view, c, r) { Reason::DeadEnd } else { Reason::Level }
}

/// Why a check valve is shut: across it stands all that drives its run.
fn of_check_valve(view: &View<'_>, at: At, path: String) -> Option<Reason> {
    let number = |name: &str| {
        let entry = view.ready.addresses.get(&format!("{path}:{name}"))?;
        Some(view.ready.model.values.get(entry.slots[0]))
    };
    // Pressures of circuits are far below 2^63 Pa.
    #[allow(clippy::cast_possible_truncation)]
    let whole = |pascals: f64| pascals.round() as i64;
    let has = view.of(at, "fall")?;
    // No more than all of its fall when open holds it shut.
    let needs = number("cracking")?.min(number("fall")?);
    if has < 0.0 {
        Some(Reason::Held(path, whole(-has)))
    } else if has >= SEEN && has < needs {
        Some(Reason::Weak(path, [needs, has].map(whole)))
    } else {
        None
    }
}

/// Whether a run leads to a tank or an open end, or holds a tank: nothing need flow there.
fn fills(view: &View<'_>, c: usize, r: usize) -> bool {
    let circuit = view.circuit(c);
    let run = &circuit.runs[r];
    let vessel = |junction: usize| {
        !matches!(circuit.junctions[junction].joint, Joint::Plain { .. } | Joint::Tee { .. })
    };
    vessel(run.from) || vessel(run.to) || run.parts.iter().any(|p| p.part.as_tank().is_some())
}

/// Whether a run is the only way between its ends, or a loop on one junction.
fn only_way(view: &View<'_>, c: usize, r: usize) -> bool {
    let circuit = view.circuit(c);
    let run = &circuit.runs[r];
    if run.from == run.to {
        return true;
    }
    let mut seen = BTreeSet::from([run.from]);
    let mut reached = vec![run.from];
    while let Some(junction) = reached.pop() {
        for &other in view.runs_at(c, junction).iter().filter(|&&other| other != r) {
            let spec = &circuit.runs[other];
            let on = if spec.from == junction { spec.to } else { spec.from };
            if seen.insert(on) {
                reached.push(on);
            }
        }
        if seen.contains(&run.to) {
            return false;
        }
    }
    true
}
