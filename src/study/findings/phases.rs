//! Phases of the duty cycle that ask of machines what nobody means.

use std::collections::BTreeSet;

use coolwright_cases::lower::LoweredPhase;
use coolwright_cases::quantity::Kind;
use coolwright_models::inputs::{ENGINE_SPEED, Machine, MachineKind, ROAD_SPEED};
use coolwright_models::parts::{HeatPartner, PumpDrive};

use super::view::{View, named};
use super::{Finding, Findings, Severity, at_start, machines, pumps, still};
use crate::study::load::{Load, values_in};
use crate::study::ready::pulling;

/// Share of full power at and below which an engine rests (common practice, no source).
const RESTS: f64 = 0.05;
/// Road speed from which on the wind stands in for fans, m/s (common practice, no source: some 30 km/h).
const WIND: f64 = 8.0;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    let phases = &view.ready.duty.phases;
    // A cycle that is gone through several times says the same of each.
    let mut seen = BTreeSet::new();
    let once: Vec<(usize, &LoweredPhase)> =
        phases.iter().enumerate().filter(|(_, phase)| seen.insert(&phase.plain)).collect();
    driven(view, once.iter().map(|(_, phase)| *phase), found);
    let (load, pulling) = (Load::of(view.ready), pulling(phases));
    for (k, phase) in once {
        let on: Vec<usize> =
            view.circuits().map(|(c, _)| c).filter(|&c| load.is_on(k, Some(c))).collect();
        let told = set_so(view, (k, phase, pulling[k]), (&load, &on), found);
        stopped(view, (phase, &told), &on, found);
    }
}

/// What the pumps do at the temperatures of the start with the settings of a phase, and do not as the case stands; the
/// addresses of what was told.
fn set_so(
    view: &View<'_>,
    (k, phase, pulls): (usize, &LoweredPhase, bool),
    (load, on): (&Load, &[usize]),
    found: &mut Findings,
) -> BTreeSet<String> {
    let mut told = BTreeSet::new();
    if on.is_empty() {
        return told;
    }
    let values = values_in(view.ready, phase);
    let solved = if values.are(&view.ready.model.values) {
        None
    } else {
        // What cannot be solved there is told by `cycle`.
        let Ok(start) = at_start(view.ready, values) else { return told };
        Some(start)
    };
    let then = View::new(view.ready, solved.as_ref().unwrap_or(view.start), None);
    let mut in_phase = Findings::default();
    for &c in on {
        machines::pumps(&then, c, &mut in_phase);
        pumps::each(&then, c, &mut in_phase);
        if pulls {
            still::unrejected(&then, c, &mut in_phase);
            let heat_w = |body| load.in_phase_w(k, body);
            in_phase.list.extend(still::stored(&then, c, &heat_w, true));
        }
    }
    for finding in in_phase.list {
        let known = |known: &Finding| {
            known.what == finding.what
                || (known.subject == "heat without flow"
                    && known.subject == finding.subject
                    && known.places == finding.places)
        };
        if !found.list.iter().any(known) {
            told.extend(finding.places.iter().cloned());
            let what = format!("in the phase `{}`, {}", phase.plain, finding.what);
            found.list.push(Finding { what, ..finding });
        }
    }
    told
}

/// Pumps that an engine drives at the speed of the duty through phases in which it rests.
fn driven<'p>(
    view: &View<'_>,
    phases: impl Iterator<Item = &'p LoweredPhase>,
    found: &mut Findings,
) {
    let model = &view.ready.model;
    let Some(slot) = model.inputs.slot(ENGINE_SPEED) else { return };
    let speed = model.values.get(slot);
    let resting = phases.filter(|phase| {
        phase.power_share <= RESTS && phase.sets.iter().all(|(written, _)| *written != slot)
    });
    let resting: Vec<&LoweredPhase> = resting.collect();
    let turned = |phase: &LoweredPhase| {
        let values = values_in(view.ready, phase);
        let pumps = view.circuits().flat_map(|(c, _)| view.parts_of(c)).filter(|&at| {
            let drive = view.placed(at).part.as_pump().map(|pump| pump.drive);
            matches!(drive, Some(PumpDrive::Engine(drive)) if values.get(drive.ratio) > 0.0)
        });
        pumps.map(|at| view.path(at)).collect::<Vec<String>>()
    };
    let pumps: BTreeSet<String> = resting.iter().flat_map(|phase| turned(phase)).collect();
    if speed <= 0.0 || pumps.is_empty() {
        return;
    }
    let pumps: Vec<String> = pumps.into_iter().collect();
    let names: Vec<String> = resting.iter().map(|phase| phase.plain.clone()).collect();
    let (word, give) = match names.len() {
        1 => ("phase", "the phase"),
        _ => ("phases", "each of them"),
    };
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "engine at speed through a rest",
        what: format!(
            "the engine turns {} at {} in the {word} {}, with {} of its power or less",
            named(&pumps),
            view.say(Kind::RotationalSpeed, speed),
            named(&names),
            view.say(Kind::Fraction, RESTS)
        ),
        places: pumps,
        why: "a phase without an `engine_speed` has that of the duty: the pump moves as much as under power, \
              and the rest cools more than it will"
            .to_owned(),
        remedy: format!("give {give} its `engine_speed`, \"0 rpm\" where the engine stands"),
    });
}

/// Machines that a phase stops while it asks for power, but those whose standing has been told.
fn stopped(
    view: &View<'_>,
    (phase, told): (&LoweredPhase, &BTreeSet<String>),
    on: &[usize],
    found: &mut Findings,
) {
    let model = &view.ready.model;
    let values = values_in(view.ready, phase);
    let wind = model.inputs.value(&values, ROAD_SPEED) >= WIND;
    let stops = |machine: &&Machine| {
        let command = machine.command;
        command.speed(&model.values) > 0.0 && command.speed(&values) <= 0.0
    };
    let machines: Vec<&Machine> = model.machines.iter().filter(stops).collect();
    for (kind, subject, word) in [
        (MachineKind::Pump, "pump stopped while heat comes in", "coolant"),
        (MachineKind::Fan, "fan stopped while heat comes in", "air"),
    ] {
        if kind == MachineKind::Fan && wind {
            continue;
        }
        let of_kind = machines
            .iter()
            .filter(|machine| machine.kind == kind && on.iter().any(|&c| serves(view, machine, c)));
        let names = of_kind.map(|machine| machine.name.clone()).filter(|name| !told.contains(name));
        let names: Vec<String> = names.collect();
        if names.is_empty() {
            continue;
        }
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: true,
            subject,
            what: format!(
                "the phase `{}` stops {} at {} of the power, while heat comes in",
                phase.plain,
                named(&names),
                view.say(Kind::Fraction, phase.power_share)
            ),
            places: names,
            why: format!("what it moves of {word} is missing where the heat is largest"),
            remedy: "let it run in that phase; where this is to try a failure, set its `speed` to \"0 %\" in a \
                     variant"
                .to_owned(),
        });
    }
}

/// Whether a machine moves the coolant of a circuit, or the air over one of its cores.
fn serves(view: &View<'_>, machine: &Machine, c: usize) -> bool {
    match machine.kind {
        MachineKind::Pump => machine.name.starts_with(&format!("{}/", view.circuit(c).name)),
        MachineKind::Fan => {
            let path = view
                .ready
                .model
                .air_paths
                .iter()
                .find(|path| machine.name.starts_with(&format!("air_paths/{}/", path.name)));
            path.is_some_and(|path| {
                view.parts_of(c).any(|at| match view.placed(at).part.partner() {
                    Some(HeatPartner::Core(core)) => path.cores.contains(&core),
                    _ => false,
                })
            })
        }
    }
}
