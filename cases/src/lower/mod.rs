//! From the types of the file to a model: every name resolved, every value in a slot, every fault
//! reported with its place.

mod air;
mod bodies;
mod circuit;
mod context;
mod curves;
mod duty;
mod fittings;
mod headers;
mod heights;
mod parts;
mod routes;
mod switches;

pub use context::{Address, Assumption};
pub use duty::{LimitSpec, LoweredDuty, LoweredPhase, ReadySpec};

use std::collections::BTreeMap;

use coolwright_models::fluids::{Base, Coolant, Share};
use coolwright_models::model::{DriveSlots, Model, SiteSlots};
use coolwright_models::slots::Values;

use crate::diagnostic::{Problem, Problems};
use crate::file::{Case, CoolantMix, PartSpec};
use crate::text::Span;
use air::CoreEntry;
use bodies::BodyEntry;
use context::{Assumed, Bound, Context};

/// A case ready to be solved.
#[derive(Debug)]
pub struct Ready {
    /// What the case is about.
    pub title: String,
    /// The model.
    pub model: Model,
    /// Every value that can be written, by its address.
    pub addresses: BTreeMap<String, Address>,
    /// What was assumed.
    pub assumptions: Vec<Assumption>,
    /// Statements about the model that are no numbers.
    pub notes: Vec<String>,
    /// What the vehicle does.
    pub duty: LoweredDuty,
    /// What must hold.
    pub limits: Vec<LimitSpec>,
    /// Names of the variants.
    pub variants: Vec<String>,
}

/// Bodies and cores by name, and who uses them.
#[derive(Default)]
struct Names {
    engines: BTreeMap<String, Option<BodyEntry>>,
    coolers: BTreeMap<String, Option<BodyEntry>>,
    cores: BTreeMap<String, Option<CoreEntry>>,
    /// Passes that are in a run.
    passes: BTreeMap<(usize, u32), Span>,
    /// Cores that are in a run.
    core_runs: BTreeMap<usize, Span>,
    /// Cores that are in an air path.
    core_paths: BTreeMap<usize, Span>,
}

/// Density of water at 20 °C, kg/m³ (IAPWS SR6-08), by which ratings given as mass flows become
/// volume flows.
fn density_of_water() -> f64 {
    998.2
}

/// Voltage of the supply, V, as far as it has been lowered.
fn supply_voltage(context: &Context<'_>) -> f64 {
    let slot = context.addresses.get("supply:voltage").and_then(|a| a.slots.first());
    slot.map_or(13.5, |slot| context.values.get(*slot))
}

/// Lowers a case. Whatever is wrong goes into `problems`; there is a result only where nothing is.
pub fn lower(case: &Case, problems: &mut Problems) -> Option<Ready> {
    let mut context = Context::new(problems);
    let site = site(&mut context, case);
    let drive = drive(&mut context, case);
    let mut names = Names::default();
    let mut model = Model {
        values: Values::default(),
        site,
        drive,
        circuits: Vec::new(),
        bodies: Vec::new(),
        cores: Vec::new(),
        air_paths: Vec::new(),
        switches: Vec::new(),
    };
    if case.circuits.is_empty() {
        let message = "the case has no circuit";
        let span = case.title.as_ref().map_or(Span::default(), |t| t.span);
        context.problems.push(Problem::error(span, message).help("add one under `circuits`"));
    }
    lower_bodies(&mut context, case, &mut model, &mut names);
    lower_cores(&mut context, case, &mut model, &mut names);
    let air_k = context.values.get(site.temperature);
    for (name, spec) in &case.circuits {
        let lowered = circuit::lower(&mut context, case, &mut names, (name, air_k), spec);
        model.circuits.extend(lowered);
    }
    for (name, spec) in &case.air_paths {
        let key = (name.value.as_str(), name.span);
        model.air_paths.push(air::path(&mut context, case, &mut names, key, spec));
    }
    switches::lower(&mut context, case, &mut model);
    check_used(&mut context, case, &names);
    check_sources(&mut context, case);
    let duty = duty::duty(&mut context, case);
    let limits = duty::limits(case);
    model.values = std::mem::take(&mut context.values);
    let Context { addresses, assumptions, notes, .. } = context;
    if problems.has_errors() {
        return None;
    }
    let title = case.title.as_ref().map_or_else(String::new, |t| t.value.clone());
    let variants = case.variants.names().map(str::to_owned).collect();
    Some(Ready { title, model, addresses, assumptions, notes, duty, limits, variants })
}

fn site(context: &mut Context<'_>, case: &Case) -> SiteSlots {
    let temperature = context.or_assumed(
        "site:air",
        case.site.air,
        Bound::Within(223.15, 333.15),
        Assumed {
            what: "air temperature",
            value: 303.15,
            range: (288.15, 318.15),
            why: "a warm day",
        },
    );
    let altitude = context.or_assumed(
        "site:altitude",
        case.site.altitude,
        Bound::Within(-430.0, 6000.0),
        Assumed { what: "altitude", value: 0.0, range: (0.0, 1500.0), why: "sea level" },
    );
    let humidity = context.or_assumed(
        "site:humidity",
        case.site.humidity,
        Bound::Within(0.0, 1.0),
        Assumed { what: "humidity", value: 0.5, range: (0.1, 0.9), why: "neither dry nor wet" },
    );
    SiteSlots { temperature, altitude, humidity }
}

fn drive(context: &mut Context<'_>, case: &Case) -> DriveSlots {
    let voltage = context.or_assumed(
        "supply:voltage",
        case.supply.voltage,
        Bound::Within(1.0, 1500.0),
        Assumed {
            what: "supply voltage",
            value: 13.5,
            range: (12.0, 14.4),
            why: "a 12 V supply with the alternator or a charger at work",
        },
    );
    let power = context.or_default(
        "duty:power",
        case.duty.power,
        Bound::Within(0.0, 1e8),
        ("full power", 0.0),
    );
    if let Some(share) = case.duty.point {
        let share = context.checked(share, Bound::Within(0.0, 2.0), "share of full power");
        let full = context.values.get(power);
        context.values.set(power, full * share);
    }
    let road_speed = context.or_default(
        "duty:road_speed",
        case.duty.road_speed,
        Bound::Within(0.0, 200.0),
        ("road speed", 0.0),
    );
    DriveSlots { power, road_speed, voltage }
}

fn lower_bodies(context: &mut Context<'_>, case: &Case, model: &mut Model, names: &mut Names) {
    for (name, spec) in &case.engines {
        let key = (name.value.as_str(), name.span);
        let (body, entry) = bodies::engine(context, case, key, model.bodies.len(), spec);
        names.engines.insert(name.value.clone(), Some(entry));
        model.bodies.push(body);
    }
    for (name, spec) in &case.coolers {
        let key = (name.value.as_str(), name.span);
        let (body, entry) = bodies::cooler(context, case, key, model.bodies.len(), spec);
        names.coolers.insert(name.value.clone(), entry);
        model.bodies.push(body);
    }
}

fn lower_cores(context: &mut Context<'_>, case: &Case, model: &mut Model, names: &mut Names) {
    for (name, spec) in &case.cores {
        let key = (name.value.as_str(), name.span);
        let coolant = coolant_of_core(case, &name.value);
        let lowered = air::core(context, key, (model.cores.len(), &coolant), spec);
        let entry = lowered.map(|(core, entry)| {
            model.cores.push(core);
            entry
        });
        names.cores.insert(name.value.clone(), entry);
    }
}

/// The coolant of the circuit in which a core stands; water where it stands in none.
fn coolant_of_core(case: &Case, core: &str) -> Coolant {
    let through = |spec: &PartSpec| matches!(spec, PartSpec::Through { core: Some(name), .. } if name.value == core);
    let circuit =
        case.circuits.values().find(|c| c.runs.values().any(|run| run.parts.values().any(through)));
    let (base, share) = circuit.map_or((Base::Water, 0.0), |c| mix(&c.coolant.value));
    Coolant::new(base, Share::ByVolume(share)).unwrap_or_else(|_| Coolant::water())
}

/// Base and share by volume of a mix; faults are reported where the circuit is lowered.
fn mix(mix: &CoolantMix) -> (Base, f64) {
    let (base, by_volume, by_mass) = match mix {
        CoolantMix::Water => return (Base::Water, 0.0),
        CoolantMix::EthyleneGlycol { by_volume, by_mass } => {
            (Base::EthyleneGlycol, by_volume, by_mass)
        }
        CoolantMix::PropyleneGlycol { by_volume, by_mass } => {
            (Base::PropyleneGlycol, by_volume, by_mass)
        }
    };
    let share = match (by_volume, by_mass) {
        (Some(v), _) => v.si(),
        (None, Some(m)) => {
            Coolant::new(base, Share::ByMass(m.si())).map_or(0.5, |c| c.volume_share())
        }
        (None, None) => 0.5,
    };
    (base, share)
}

/// Every pass, core and engine must be in a run, every core in an air path.
fn check_used(context: &mut Context<'_>, case: &Case, names: &Names) {
    for (name, _) in &case.engines {
        let Some(Some(entry)) = names.engines.get(&name.value) else { continue };
        if !names.passes.contains_key(&(entry.index, 1)) {
            let label = format!("no run goes `Through(engine: \"{}\")`", name.value);
            context.error(name.span, "this engine is in no run", label);
        }
    }
    for (name, _) in &case.coolers {
        let Some(Some(entry)) = names.coolers.get(&name.value) else { continue };
        let missing: Vec<String> = (1..=entry.passes)
            .filter(|&pass| !names.passes.contains_key(&(entry.index, pass)))
            .map(|pass| pass.to_string())
            .collect();
        if missing.len() == entry.passes as usize {
            let label = format!("no run goes `Through(cooler: \"{}\", …)`", name.value);
            context.error(name.span, "this cooler is in no run", label);
        } else if !missing.is_empty() {
            let message = format!("pass {} of this cooler is in no run", missing.join(", "));
            context.error(name.span, message, "give it fewer passes, or use them all");
        }
    }
    for (name, _) in &case.cores {
        let Some(Some(entry)) = names.cores.get(&name.value) else { continue };
        if !names.core_runs.contains_key(&entry.index) {
            let label = format!("no run goes `Through(core: \"{}\")`", name.value);
            context.error(name.span, "this core is in no run", label);
        }
        if !names.core_paths.contains_key(&entry.index) {
            let message = "this core is in no air path, so no air crosses it";
            context.error(name.span, message, "add it to `cores` of an air path");
        }
    }
}

/// A case in which nothing makes heat is a slip.
fn check_sources(context: &mut Context<'_>, case: &Case) {
    if case.engines.is_empty() && case.coolers.is_empty() {
        context.notes.push(
            "Nothing in this case makes heat but its pumps: no engines, no coolers.".to_owned(),
        );
    }
}
