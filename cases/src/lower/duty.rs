//! Duty, limits and readiness on their way from the file.

use std::collections::BTreeMap;

use coolwright_models::ids::Id;
use coolwright_models::inputs::{MachineKind, Track};
use coolwright_models::model::Model;
use coolwright_models::slots::Slot;

use super::context::{Bound, Context};
use super::log;
use crate::diagnostic::Problem;
use crate::file::{Case, Metal, Phase, WallMetal};
use crate::quantity::{self, Kind};
use crate::text::{Spanned, nearest};

/// A stretch of time with what it sets.
#[derive(Clone, Debug)]
pub struct LoweredPhase {
    /// Its name, with the number of its round where there are several.
    pub name: String,
    /// Its name in the file.
    pub plain: String,
    /// How long, s.
    pub time_s: f64,
    /// Values it writes.
    pub sets: Vec<(Slot, f64)>,
    /// Tanks that get ice as it begins: circuit, run, part.
    pub refills: Vec<(usize, usize, usize)>,
    /// How long what it sets takes to go there from the phase before, s.
    pub ramp_s: f64,
    /// Share of full power.
    pub power_share: f64,
}

/// What the vehicle does.
#[derive(Clone, Debug, Default)]
pub struct LoweredDuty {
    /// All phases in order, repeats written out.
    pub phases: Vec<LoweredPhase>,
    /// When the vehicle is ready for the next pull.
    pub ready: Vec<ReadySpec>,
    /// Share of full power at the operating point, where the case gives one.
    pub point_share: Option<f64>,
    /// Numbers that go over time as they were logged, whatever the phases set.
    pub tracks: Vec<(Slot, Track)>,
    /// What was found in the log.
    pub report: Vec<String>,
    /// The share of its rows that could not be taken as they stood.
    pub lost: f64,
}

/// A result that must be below or above a value before the next pull; the value's unit follows from
/// the result's kind.
#[derive(Clone, Debug)]
pub struct ReadySpec {
    /// Address of the result.
    pub of: Spanned<String>,
    /// The most it may be, as written.
    pub below: Option<Spanned<String>>,
    /// The least it may be, as written.
    pub above: Option<Spanned<String>>,
}

/// A limit on a result, with the values as written: their kind follows from the result's.
#[derive(Clone, Debug)]
pub struct LimitSpec {
    /// Its name.
    pub name: String,
    /// Address of the result.
    pub of: Spanned<String>,
    /// The least it may be.
    pub min: Option<Spanned<String>>,
    /// The most it may be.
    pub max: Option<Spanned<String>>,
    /// The phases that it is tied to, by their names in the file.
    pub during: Option<Vec<String>>,
}

/// What a built-in limit is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BuiltInKind {
    /// No boiling in bulk.
    Boiling,
    /// No freezing.
    Freezing,
    /// No coolant lost through a cap.
    Spill,
    /// Coolant left in the tank.
    Dry,
    /// Static pressure above vapour pressure at the inlet of a pump.
    Suction,
    /// Net positive suction head available above required.
    Npsh,
    /// Metal below what aluminium stands.
    Aluminium,
    /// Metal below what iron stands.
    Iron,
    /// Metal below what copper stands.
    Copper,
    /// Metal that is not named below what any stands.
    Metal,
    /// A hot wall below what aluminium stands.
    WallAluminium,
    /// A hot wall below what iron stands.
    WallIron,
    /// A hot wall below what copper stands.
    WallCopper,
    /// Heat flux at a hot wall below that at which vapour would cover it.
    Critical,
}

impl BuiltInKind {
    /// All of them.
    pub const ALL: [Self; 14] = [
        Self::Boiling,
        Self::Freezing,
        Self::Spill,
        Self::Dry,
        Self::Suction,
        Self::Npsh,
        Self::Aluminium,
        Self::Iron,
        Self::Copper,
        Self::Metal,
        Self::WallAluminium,
        Self::WallIron,
        Self::WallCopper,
        Self::Critical,
    ];

    /// Its name in the file.
    pub fn word(self) -> &'static str {
        match self {
            Self::Boiling => "boiling",
            Self::Freezing => "freezing",
            Self::Spill => "spill",
            Self::Dry => "dry",
            Self::Suction => "suction",
            Self::Npsh => "npsh",
            Self::Aluminium => "aluminium",
            Self::Iron => "iron",
            Self::Copper => "copper",
            Self::Metal => "metal",
            Self::WallAluminium => "wall_aluminium",
            Self::WallIron => "wall_iron",
            Self::WallCopper => "wall_copper",
            Self::Critical => "critical",
        }
    }

    /// The kind of its bound.
    pub fn of(self) -> Kind {
        match self {
            Self::Boiling | Self::Freezing => Kind::TemperatureDifference,
            Self::Spill | Self::Dry => Kind::Volume,
            Self::Suction => Kind::PressureDifference,
            Self::Npsh => Kind::Distance,
            Self::Aluminium
            | Self::Iron
            | Self::Copper
            | Self::Metal
            | Self::WallAluminium
            | Self::WallIron
            | Self::WallCopper => Kind::Temperature,
            Self::Critical => Kind::Fraction,
        }
    }
}

/// The built-in limits as the case wants them.
#[derive(Clone, Debug, Default)]
pub struct BuiltInLimits {
    /// Bounds in the place of the usual ones, SI; `None` where the limit is off.
    pub changed: BTreeMap<BuiltInKind, Option<f64>>,
    /// What the metal of each body is, by its address.
    pub metals: Vec<(String, BuiltInKind)>,
    /// And that of each hot wall, by the address of its body.
    pub walls: Vec<(String, BuiltInKind)>,
}

/// The range of speeds that an engine turns at, rad/s: up to 30000 rpm.
pub(super) const ENGINE_SPEED: Bound = Bound::Within(0.0, 30e3 * std::f64::consts::TAU / 60.0);

/// Lowers the duty cycle.
pub(super) fn duty(context: &mut Context<'_>, case: &Case, model: &Model) -> LoweredDuty {
    let mut once = Vec::new();
    for (name, phase) in &case.duty.phases {
        once.push(lower_phase(context, case, model, (&name.value, phase)));
    }
    let repeat = case.duty.repeat.map_or(1, quantity::Count::get);
    if repeat > 1000 {
        let span = case.duty.repeat.map_or_else(Default::default, quantity::Count::span);
        context.error(span, "a duty cycle is repeated at most 1000 times", "too often");
    }
    let mut phases = Vec::new();
    for round in 1..=repeat.min(1000) {
        phases.extend(once.iter().cloned().map(|mut phase| {
            if repeat > 1 {
                phase.name = format!("{} {round}", phase.name);
            }
            phase
        }));
    }
    for ready in &case.duty.ready {
        if ready.below.is_none() && ready.above.is_none() {
            let message = format!(
                "what is to be ready at `{}` has neither `below` nor `above`",
                ready.of.value
            );
            context.problems.push(
                Problem::error(ready.of.span, message)
                    .label("asks for nothing")
                    .help("for example `below: \"{one Temperature}\"`"),
            );
        }
    }
    let ready = case.duty.ready.iter().map(|r| {
        let (of, below, above) = (r.of.clone(), r.below.clone(), r.above.clone());
        ReadySpec { of, below, above }
    });
    let told = case.duty.point.is_some() || context.told("duty:point").is_some();
    let share = context.slot("duty:point").filter(|_| told);
    let point_share = share.map(|slot| context.values.get(slot));
    let ready = ready.collect();
    let logged = log::lower(context, case, &model.machines).unwrap_or_default();
    phases.extend(logged.phases);
    LoweredDuty {
        phases,
        ready,
        point_share,
        tracks: logged.tracks,
        report: logged.report,
        lost: logged.lost,
    }
}

fn lower_phase(
    context: &mut Context<'_>,
    case: &Case,
    model: &Model,
    (name, phase): (&str, &Phase),
) -> LoweredPhase {
    let machines = &model.machines;
    let time_s = context.checked(phase.time, Bound::Within(1e-3, 1e7), "time of a phase");
    let mut sets = Vec::new();
    let power_share = phase
        .power
        .map_or(1.0, |p| context.checked(p, Bound::Within(0.0, 2.0), "share of full power"));
    sets.extend(context.slot("duty:point").map(|slot| (slot, power_share)));
    if let (Some(power), None) = (phase.power, case.duty.power)
        && context.told("duty:power").is_none()
    {
        context.absent(
            power.span(),
            "a phase has a share of full power, but `duty` gives no full power",
            "add `power: \"{one Power}\"` to `duty`",
        );
    }
    for (fraction, kind, what) in [
        (phase.pumps, MachineKind::Pump, "speed of the pumps"),
        (phase.fans, MachineKind::Fan, "speed of the fans"),
    ] {
        let Some(fraction) = fraction else { continue };
        let speed = context.checked(fraction, Bound::Within(0.0, 2.0), what);
        let commanded = machines.iter().filter(|machine| machine.kind == kind);
        sets.extend(commanded.map(|machine| (machine.command.share, speed)));
    }
    if let Some(boost) = phase.boost {
        let boost = context.checked(boost, Bound::Within(0.0, 2.0), "share of full boost");
        sets.extend(context.slot("duty:boost").map(|slot| (slot, boost)));
    }
    if let Some(speed) = phase.road_speed {
        let speed = context.checked(speed, Bound::Within(0.0, 200.0), "road speed");
        let slots = context.addresses.get("duty:road_speed").map(|a| a.slots.clone());
        sets.extend(slots.into_iter().flatten().map(|slot| (slot, speed)));
    }
    if let Some(speed) = phase.engine_speed {
        let speed = context.checked(speed, ENGINE_SPEED, "engine speed");
        let slots = context.addresses.get("duty:engine_speed").map(|a| a.slots.clone());
        sets.extend(slots.into_iter().flatten().map(|slot| (slot, speed)));
    }
    for (k, (address, value)) in phase.set.iter().enumerate() {
        if let Some((first, _)) = phase.set[..k].iter().find(|(a, _)| a.value == address.value) {
            let message = format!("this phase sets `{}` twice", address.value);
            let problem = Problem::error(address.span, message).label("again here");
            context.problems.push(problem.also(first.span, "first here"));
        }
        // What sets a machine in a phase does not undo that it is stopped.
        sets.extend(set_value(context, address, value).into_iter().map(|(slot, si)| {
            let set = machines.iter().find(|machine| machine.command.own == slot);
            (set.map_or(slot, |machine| machine.command.instead), si)
        }));
    }
    let plain = name.to_owned();
    let refills = refills(context, model, &phase.refill);
    let ramp_s = ramp(context, phase, time_s);
    LoweredPhase { name: plain.clone(), plain, time_s, sets, refills, power_share, ramp_s }
}

/// How long what a phase sets takes to go there, s.
fn ramp(context: &mut Context<'_>, phase: &Phase, time_s: f64) -> f64 {
    let Some(ramp) = phase.ramp else { return 0.0 };
    let ramp_s = context.checked(ramp, Bound::Within(0.0, 1e7), "ramp of a phase");
    if ramp_s > time_s {
        let message = "this ramp lasts longer than its phase";
        context.error(ramp.span(), message, "make the phase longer, or the ramp shorter");
    }
    ramp_s.min(time_s)
}

/// The tanks that a phase gives ice.
fn refills(
    context: &mut Context<'_>,
    model: &Model,
    tanks: &[Spanned<String>],
) -> Vec<(usize, usize, usize)> {
    let mut iced: Vec<(String, (usize, usize, usize))> = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                if placed.part.as_tank().is_some_and(|tank| tank.ice.is_some()) {
                    iced.push((model.address(Id::Part(c, r, p)), (c, r, p)));
                }
            }
        }
    }
    let mut found = Vec::new();
    for tank in tanks {
        match iced.iter().find(|(known, _)| *known == tank.value) {
            Some((_, at)) => found.push(*at),
            None if context.structural > 0 || context.has_failed(&tank.value) => {}
            None => {
                let known = iced.iter().map(|(known, _)| known.as_str());
                context.unknown(tank.span, "tank with ice", &tank.value, known);
            }
        }
    }
    found
}

/// One value that a phase sets by its address.
pub(super) fn set_value(
    context: &mut Context<'_>,
    address: &Spanned<String>,
    value: &Spanned<String>,
) -> Vec<(Slot, f64)> {
    let Some(entry) = context.addresses.get(&address.value).cloned() else {
        if context.has_failed(&address.value) {
            return Vec::new();
        }
        let known = || context.addresses.keys().map(String::as_str);
        // Where not all could be read, it may be among that.
        if context.damaged() && nearest(&address.value, known()).is_none() {
            return Vec::new();
        }
        let problem = no_value(address, known());
        context.problems.push(problem);
        return Vec::new();
    };
    match parse(entry.kind, &value.value) {
        Ok(_) if let Some(why) = entry.role.refusal() => {
            let problem =
                Problem::error(address.span, format!("a phase cannot write `{}`", address.value));
            context.problems.push(problem.label(why));
            Vec::new()
        }
        Ok(si) => {
            let si = context.check(si, value.span, entry.kind, entry.bound, &entry.what);
            entry.slots.iter().map(|&slot| (slot, si)).collect()
        }
        Err(error) => {
            let mut problem = Problem::error(value.span, error.message);
            for help in error.help {
                problem = problem.help(help);
            }
            context.problems.push(problem);
            Vec::new()
        }
    }
}

/// Says that there is no number at an address.
pub(crate) fn no_value<'a>(
    address: &Spanned<String>,
    known: impl Iterator<Item = &'a str>,
) -> Problem {
    let help = nearest(&address.value, known).map(|n| format!("did you mean `{n}`?"));
    Problem::error(address.span, format!("there is no value at `{}`", address.value))
        .label("not known")
        .help_if(help)
        .help("an address is a path and a name, as in `main/loop/pump:speed`")
}

/// Reads a value of a kind.
fn parse(kind: Kind, text: &str) -> Result<f64, quantity::QuantityError> {
    quantity::parse(kind, text)
}

/// The limits as written.
pub(super) fn limits(context: &mut Context<'_>, case: &Case) -> Vec<LimitSpec> {
    for (name, limit) in &case.limits {
        if limit.min.is_none() && limit.max.is_none() {
            let message = format!("the limit `{}` has neither `min` nor `max`", name.value);
            context.problems.push(
                Problem::error(name.span, message)
                    .label("bounds nothing")
                    .help("for example `max: \"{one Temperature}\"`"),
            );
        }
    }
    case.limits
        .iter()
        .map(|(name, limit)| LimitSpec {
            name: name.value.clone(),
            of: limit.of.clone(),
            min: limit.min.clone(),
            max: limit.max.clone(),
            during: limit.during.as_ref().map(|during| phases(context, case, during)),
        })
        .collect()
}

/// The phases that a limit is tied to.
fn phases(
    context: &mut Context<'_>,
    case: &Case,
    during: &Spanned<Vec<Spanned<String>>>,
) -> Vec<String> {
    if during.value.is_empty() {
        let problem = Problem::error(during.span, "`during` names no phase")
            .label("so the limit would never be judged")
            .help("leave `during` out for a limit that always holds");
        context.problems.push(problem);
    }
    for name in &during.value {
        // Where not all could be read, it may be among that.
        let found = case.duty.log.is_some() && log::STRETCHES.contains(&name.value.as_str());
        if !found && !case.duty.phases.contains(&name.value) && !context.damaged() {
            context.unknown(name.span, "phase of the duty", &name.value, case.duty.phases.names());
        }
    }
    during.value.iter().map(|name| name.value.clone()).collect()
}

/// The built-in limits as the case wants them.
pub(super) fn built_in(context: &mut Context<'_>, case: &Case) -> BuiltInLimits {
    use BuiltInKind as K;
    let told = &case.built_in;
    let given = [
        (K::Boiling, &told.boiling),
        (K::Freezing, &told.freezing),
        (K::Spill, &told.spill),
        (K::Dry, &told.dry),
        (K::Suction, &told.suction),
        (K::Npsh, &told.npsh),
        (K::Aluminium, &told.aluminium),
        (K::Iron, &told.iron),
        (K::Copper, &told.copper),
        (K::Metal, &told.metal),
        (K::WallAluminium, &told.wall_aluminium),
        (K::WallIron, &told.wall_iron),
        (K::WallCopper, &told.wall_copper),
        (K::Critical, &told.critical),
    ];
    let mut changed = BTreeMap::new();
    for (kind, text) in given {
        let Some(text) = text else { continue };
        if text.value.trim() == "off" {
            changed.insert(kind, None);
            continue;
        }
        match parse(kind.of(), &text.value) {
            Ok(si) => {
                changed.insert(kind, Some(si));
            }
            Err(error) => {
                let problem = Problem::error(text.span, error.message)
                    .label(format!("the bound of the built-in limit `{}`", kind.word()));
                let problem = error.help.into_iter().fold(problem, Problem::help);
                context.problems.push(problem.help("or \"off\""));
            }
        }
    }
    let engines = case.engines.iter().map(|(name, spec)| ("engines", name, spec.metal.as_ref()));
    let coolers = case.coolers.iter().map(|(name, spec)| ("coolers", name, spec.metal.as_ref()));
    let metals = engines.chain(coolers).map(|(group, name, metal)| {
        let kind = match metal {
            Some(Metal::Aluminium(_)) => K::Aluminium,
            Some(Metal::Iron(_)) => K::Iron,
            Some(Metal::Copper(_)) => K::Copper,
            Some(Metal::Capacity(_)) | None => K::Metal,
        };
        (format!("{group}/{}", name.value), kind)
    });
    let engines = case.engines.iter().map(|(name, spec)| ("engines", name, spec.wall.as_ref()));
    let coolers = case.coolers.iter().map(|(name, spec)| ("coolers", name, spec.wall.as_ref()));
    let walls = engines.chain(coolers).filter_map(|(group, name, wall)| {
        let kind = match wall?.value.of {
            WallMetal::Aluminium => K::WallAluminium,
            WallMetal::Iron => K::WallIron,
            WallMetal::Copper => K::WallCopper,
        };
        Some((format!("{group}/{}", name.value), kind))
    });
    BuiltInLimits { changed, metals: metals.collect(), walls: walls.collect() }
}
