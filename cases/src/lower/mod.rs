//! From the types of the file to a model: every name resolved, every value in a slot, every fault
//! reported with its place.

mod air;
mod bodies;
mod charge;
mod circuit;
mod context;
mod curves;
mod damage;
mod duty;
mod exchangers;
mod gauges;
mod governors;
mod headers;
mod heat;
mod heights;
mod liquids;
mod log;
mod logged;
mod machines;
mod parts;
mod plumbing;
mod roles;
mod routes;
mod skins;
mod switches;
mod tabled;
mod tables;
mod tubes;
mod usual;
mod wall;

pub use context::{Address, Assumption, Bound};
pub use damage::Damage;
pub(crate) use duty::no_value;
pub use duty::{BuiltInKind, BuiltInLimits, LimitSpec, LoweredDuty, LoweredPhase, ReadySpec};
pub use log::stretches;
pub use plumbing::{BendsGiven, HoseWay, Tap, Taps};
pub use roles::Role;

use std::collections::BTreeMap;
use std::sync::Arc;

use coolwright_models::air::Core;
use coolwright_models::circuit::CoolantSpec;
use coolwright_models::fluids::{Base, Coolant, Share};
use coolwright_models::inputs::{self, Inputs, Machine};
use coolwright_models::model::{Model, SiteSlots};
use coolwright_models::rules::Rules;
use coolwright_models::slots::{Slot, Values};
use coolwright_models::supply::Supply;

use crate::diagnostic::{Problem, Problems};
use crate::file::{Case, Chance, CoolantMix, PartSpec, WhichSide};
use crate::lower::usual::{AIR, ALTITUDE, HUMIDITY, NAMED_VOLTAGE, VOLTAGE};
use crate::quantity::Count;
use crate::text::{Span, Spanned, calm, nearest};
use air::CoreEntry;
use bodies::BodyEntry;
use charge::Charges;
use context::Context;

/// A case ready to be solved.
#[derive(Debug)]
pub struct Ready {
    /// What the case is about.
    pub title: String,
    /// The model.
    pub model: Model,
    /// Every value that can be written, by its address.
    pub addresses: BTreeMap<String, Address>,
    /// Where circuits, runs, parts, bodies, cores, air paths and fans stand in the file.
    pub places: BTreeMap<String, Span>,
    /// What was assumed.
    pub assumptions: Vec<Assumption>,
    /// Statements about the model that are no numbers.
    pub notes: Vec<String>,
    /// The way of every hose, by its address.
    pub hoses: BTreeMap<String, HoseWay>,
    /// Bleeds and drains of each circuit of the model.
    pub taps: Vec<Taps>,
    /// What the vehicle does.
    pub duty: LoweredDuty,
    /// What must hold.
    pub limits: Vec<LimitSpec>,
    /// What must hold without being written.
    pub built_in: BuiltInLimits,
    /// What is not known exactly, as written: what it means follows from the numbers.
    pub chance: Chance,
}

impl Ready {
    /// The slots that numbers at addresses stand in. Addresses that there are not are left out.
    pub fn slots_of(&self, writes: &[(&str, f64)]) -> Vec<(Slot, f64)> {
        let slots = |&(address, si): &(&str, f64)| {
            let entry = self.addresses.get(address);
            entry.into_iter().flat_map(move |entry| entry.slots.iter().map(move |&slot| (slot, si)))
        };
        writes.iter().flat_map(slots).collect()
    }
}

/// Bodies and cores by name, and who uses them.
#[derive(Default)]
struct Names {
    engines: BTreeMap<String, Option<BodyEntry>>,
    coolers: BTreeMap<String, Option<BodyEntry>>,
    /// First and second side.
    exchangers: BTreeMap<String, [BodyEntry; 2]>,
    cores: BTreeMap<String, Option<CoreEntry>>,
    /// Cores that are cut into pieces, which stand in their place.
    wholes: BTreeMap<String, Option<(Core, CoreEntry)>>,
    /// Passes that are in a run.
    passes: BTreeMap<(usize, u32), Span>,
    /// Cores that are in a run.
    core_runs: BTreeMap<usize, Span>,
    /// Cores that are in an air path.
    core_paths: BTreeMap<usize, Span>,
}

/// Numbers by their address, SI, with the place that tells each: they stand in for what the file gives
/// or leaves out.
pub type Writes = BTreeMap<String, (f64, Span)>;

/// Lowers a case. Whatever is wrong goes into `problems`.
///
/// What comes back may be solved only where no error was logged. Where all errors were single
/// numbers it still comes back, with a stand-in for each, so that addresses can be checked too.
pub fn lower(case: &Case, problems: &mut Problems) -> Option<Ready> {
    lower_all(case, Damage::default(), &Writes::new(), problems)
}

/// Lowers a case with numbers in the place of those that the file gives or leaves out.
pub fn lower_with(case: &Case, writes: &Writes, problems: &mut Problems) -> Option<Ready> {
    lower_all(case, Damage::default(), writes, problems)
}

/// Lowers a case of which something could not be read.
pub fn lower_damaged(case: &Case, damage: Damage, problems: &mut Problems) -> Option<Ready> {
    lower_all(case, damage, &Writes::new(), problems)
}

/// Notes what was learnt from a log.
fn note_learnt(context: &mut Context<'_>, case: &Case) {
    for of in &case.learnt {
        let address = &of.at.value;
        let kind = context.addresses.get(address).map(|entry| entry.kind);
        if let (Some(kind), Some((si, _))) = (kind, context.told(address)) {
            let is = crate::quantity::spoken(kind, si);
            context.notes.push(format!("Learnt from a log: `{address}` is {is}."));
        }
    }
}

/// Refuses a case without a circuit.
fn has_circuits(context: &mut Context<'_>, case: &Case) {
    if !case.circuits.is_empty() {
        return;
    }
    let span = case.title.as_ref().map_or(Span::default(), |t| t.span);
    if context.damaged() {
        context.structural += 1;
    } else {
        let problem = Problem::error(span, "the case has no circuit");
        context.problems.push(problem.help("add one under `circuits`"));
    }
}

fn lower_all(
    case: &Case,
    damage: Damage,
    writes: &Writes,
    problems: &mut Problems,
) -> Option<Ready> {
    let errors = problems.error_count();
    let mut context = Context::new(problems, damage, writes);
    let site = site(&mut context, case);
    let bay = skins::bay(&mut context, case, &site);
    let inputs = inputs(&mut context, case);
    let mut names = Names::default();
    let mut model = Model {
        values: Values::default(),
        rules: Rules::default(),
        site,
        bay,
        inputs,
        circuits: Vec::new(),
        bodies: Vec::new(),
        cores: Vec::new(),
        air_paths: Vec::new(),
        charge_air: Vec::new(),
        machines: Vec::new(),
        switches: Vec::new(),
        governors: Vec::new(),
        gauges: Vec::new(),
        rises: Vec::new(),
        supplies: Vec::new(),
        shared: Arc::default(),
    };
    has_circuits(&mut context, case);
    context.liquids = tabled::lower(&mut context, case);
    let coolants: Vec<CoolantSpec> = case
        .circuits
        .iter()
        .map(|(name, spec)| circuit::coolant(&mut context, case, (&name.value, spec)))
        .collect();
    let names_of = case.circuits.iter().map(|(name, _)| name.value.clone());
    context.coolants = names_of.zip(coolants.iter().cloned()).collect();
    let charges = charge::lower(&mut context, case, &model.inputs);
    lower_bodies(&mut context, case, (&mut model, &charges), &mut names);
    model.charge_air = charges.paths;
    lower_cores(&mut context, (case, &coolants), &mut model, &mut names);
    let mut taps = Vec::new();
    for ((name, spec), coolant) in case.circuits.iter().zip(coolants) {
        let lowered = circuit::lower(&mut context, case, &mut names, (name, coolant), spec);
        let Some(circuit) = lowered else {
            // Bodies and cores of the model would be left without their passes.
            context.structural += 1;
            continue;
        };
        taps.push(plumbing::taps(&mut context, &circuit, spec));
        model.circuits.push(circuit);
    }
    for (name, spec) in &case.air_paths {
        let key = (name.value.as_str(), name.span);
        model.air_paths.push(air::path(&mut context, case, &mut names, key, spec));
    }
    model.machines = Machine::all(&model.circuits, &model.air_paths, &context.commands);
    gauges::lower(&mut context, case, &mut model);
    gauges::rises(&mut context, case, &mut model);
    switches::lower(&mut context, case, &mut model);
    governors::lower(&mut context, case, &mut model);
    note_learnt(&mut context, case);
    check_used(&mut context, case);
    check_sources(&mut context, case);
    check_writes(&mut context);
    let duty = duty::duty(&mut context, case, &model);
    tables::check(&mut context, case, &duty);
    let limits = duty::limits(&mut context, case);
    let built_in = duty::built_in(&mut context, case);
    model.supplies = supplies(&context, case, &model);
    model.values = std::mem::take(&mut context.values);
    model.rules = std::mem::take(&mut context.rules);
    for entry in context.addresses.values_mut() {
        if let Some(&slot) = entry.slots.first() {
            entry.value = model.values.get(slot);
        }
    }
    let Context { addresses, assumptions, notes, hoses, value_errors, structural, .. } = context;
    if structural > 0 || problems.error_count() > errors + value_errors {
        limits_by_name(case, problems);
        return None;
    }
    let places = places(case);
    let title = case.title.as_ref().map_or_else(String::new, |title| calm(&title.value));
    Some(Ready {
        title,
        model,
        addresses,
        places,
        assumptions,
        notes,
        hoses,
        taps,
        duty,
        limits,
        built_in,
        chance: case.chance.clone(),
    })
}

/// Where each thing that has an address stands in the file.
fn places(case: &Case) -> BTreeMap<String, Span> {
    let mut places = BTreeMap::new();
    for (circuit, spec) in &case.circuits {
        let name = &circuit.value;
        places.insert(name.clone(), circuit.span);
        for (junction, _) in &spec.junctions {
            places.insert(format!("{name}/{}", junction.value), junction.span);
        }
        for (run, spec) in &spec.runs {
            places.insert(format!("{name}/{}", run.value), run.span);
            for (part, _) in &spec.parts {
                places.insert(format!("{name}/{}/{}", run.value, part.value), part.span);
            }
        }
    }
    for (path, spec) in &case.air_paths {
        places.insert(format!("air_paths/{}", path.value), path.span);
        let inside = spec.fans.iter().map(|(fan, _)| fan).chain(spec.lanes.iter().map(|(l, _)| l));
        for thing in inside {
            places.insert(format!("air_paths/{}/{}", path.value, thing.value), thing.span);
        }
    }
    for (path, spec) in &case.charge_air {
        places.insert(format!("charge_air/{}", path.value), path.span);
        for (stage, _) in &spec.stages {
            places.insert(format!("charge_air/{}/{}", path.value, stage.value), stage.span);
        }
    }
    let mut put = |group: &str, name: &Spanned<String>| {
        places.insert(format!("{group}/{}", name.value), name.span);
    };
    case.engines.iter().for_each(|(name, _)| put("engines", name));
    case.coolers.iter().for_each(|(name, _)| put("coolers", name));
    case.exchangers.iter().for_each(|(name, _)| put("exchangers", name));
    case.cores.iter().for_each(|(name, _)| put("cores", name));
    case.gauges.iter().for_each(|(name, _)| put("gauges", name));
    case.rises.iter().for_each(|(name, _)| put("rises", name));
    case.liquids.iter().for_each(|(name, _)| put("liquids", name));
    places
}

/// Without a model, the addresses of limits can only be held against the names of the case: what
/// they speak of must be there.
fn limits_by_name(case: &Case, problems: &mut Problems) {
    let places = places(case);
    let limits = case.limits.values().map(|limit| &limit.of);
    for of in limits.chain(case.duty.ready.iter().map(|ready| &ready.of)) {
        let path = of.value.split(':').next().unwrap_or_default();
        let names: Vec<&str> = path.split('/').collect();
        let groups = [
            "engines",
            "coolers",
            "exchangers",
            "cores",
            "air_paths",
            "charge_air",
            "gauges",
            "rises",
        ];
        let group = groups.contains(&names[0]);
        let known = match names.as_slice() {
            [circuit, _] if !group => places.contains_key(*circuit),
            _ => places.contains_key(path),
        };
        // What the program makes stands under a thing of the file.
        let of_made = match names.as_slice() {
            [circuit, thing, _] if !group => case.circuits.get(circuit).is_some_and(|circuit| {
                !circuit.runs.contains(thing) && circuit.junctions.contains(thing)
            }),
            [first, second, _, _, ..] => places.contains_key(&format!("{first}/{second}")),
            _ => false,
        };
        if known || of_made || names[0] == "site" {
            continue;
        }
        let near = nearest(path, places.keys().map(String::as_str));
        problems.push(
            Problem::error(of.span, format!("there is no result at `{}`", of.value))
                .label("not known")
                .help_if(
                    near.map(|near| format!("did you mean `{near}{}`?", &of.value[path.len()..])),
                ),
        );
    }
}

fn site(context: &mut Context<'_>, case: &Case) -> SiteSlots {
    let temperature =
        context.or_assumed("site:air", case.site.air, Bound::Within(223.15, 333.15), AIR.fixed());
    let altitude = context.or_assumed(
        "site:altitude",
        case.site.altitude,
        Bound::Within(-430.0, 6000.0),
        ALTITUDE.fixed(),
    );
    let humidity = context.or_assumed(
        "site:humidity",
        case.site.humidity,
        Bound::Within(0.0, 1.0),
        HUMIDITY.fixed(),
    );
    SiteSlots { temperature, altitude, humidity }
}

/// The supplies that feed pumps or fans, that of the vehicle first; that alone where nothing is fed.
fn supplies(context: &Context<'_>, case: &Case, model: &Model) -> Vec<Supply> {
    let named = case.supplies.names().map(|name| format!("supplies/{name}"));
    let all = std::iter::once("supply".to_owned()).chain(named);
    let all = all.filter_map(|path| {
        let (voltage, sag) = machines::supplied(context, &path)?;
        Some(Supply { path, voltage, sag })
    });
    let parts = model.circuits.iter().flat_map(|circuit| &circuit.runs).flat_map(|run| &run.parts);
    let pumps = parts.filter_map(|placed| placed.part.as_pump()?.drive.supply());
    let fans = model.air_paths.iter().flat_map(|path| &path.fans).map(|fan| fan.voltage);
    let fed: Vec<Slot> = pumps.chain(fans).collect();
    let all: Vec<Supply> = all.collect();
    let feeds = |supply: &&Supply| fed.contains(&supply.voltage);
    let feeding: Vec<Supply> = all.iter().filter(feeds).cloned().collect();
    if feeding.is_empty() { all.into_iter().take(1).collect() } else { feeding }
}

fn inputs(context: &mut Context<'_>, case: &Case) -> Inputs {
    let voltage = context.or_assumed(
        "supply:voltage",
        case.supply.voltage,
        Bound::Within(1.0, 1500.0),
        VOLTAGE.fixed(),
    );
    machines::sag(context, "supply", &case.supply);
    for (name, supply) in &case.supplies {
        let assumed = NAMED_VOLTAGE.fixed();
        let path = format!("supplies/{}", name.value);
        context.or_assumed(&format!("{path}:voltage"), supply.voltage, machines::VOLTAGE, assumed);
        machines::sag(context, &path, supply);
    }
    let power = context.or_default(
        "duty:power",
        case.duty.power,
        Bound::Within(0.0, 1e8),
        ("full power", 0.0),
    );
    let share = context.or_default(
        "duty:point",
        case.duty.point,
        Bound::Within(0.0, 2.0),
        ("share of full power", 1.0),
    );
    let power =
        context.derived(&[power, share], move |values| values.get(power) * values.get(share));
    let boost = context.or_default(
        "duty:boost",
        case.duty.boost,
        Bound::Within(0.0, 2.0),
        ("share of full boost", 1.0),
    );
    if case.duty.boost.is_none() {
        context.follows(boost, &[share], move |values| values.get(share));
    }
    let road_speed = context.or_default(
        "duty:road_speed",
        case.duty.road_speed,
        Bound::Within(0.0, 200.0),
        ("road speed", 0.0),
    );
    let engine_speed = context.or_default(
        "duty:engine_speed",
        case.duty.engine_speed,
        duty::ENGINE_SPEED,
        ("engine speed", 0.0),
    );
    let mut list = Inputs::default();
    list.add(inputs::POWER, power);
    list.add(inputs::FULL_SHARE, share);
    list.add(inputs::BOOST, boost);
    list.add(inputs::ROAD_SPEED, road_speed);
    list.add(inputs::ENGINE_SPEED, engine_speed);
    list.add(inputs::VOLTAGE, voltage);
    list
}

fn lower_bodies(
    context: &mut Context<'_>,
    case: &Case,
    (model, charges): (&mut Model, &Charges),
    names: &mut Names,
) {
    let power = model.inputs.slot(inputs::POWER).expect("the inputs of a case hold its power");
    let speed = model.inputs.slot(inputs::ENGINE_SPEED).expect("and the speed of the engine");
    for (name, spec) in &case.engines {
        let key = (name.value.as_str(), name.span);
        let place = (model.bodies.len(), power, speed);
        let (body, entry) = bodies::engine(context, case, key, place, spec);
        names.engines.insert(name.value.clone(), Some(entry));
        model.bodies.push(body);
    }
    for (name, spec) in &case.coolers {
        let key = (name.value.as_str(), name.span);
        let charged = charges.coolers.get(&name.value);
        let place = (model.bodies.len(), power);
        let (body, entry) = bodies::cooler(context, case, key, place, (spec, charged));
        names.coolers.insert(name.value.clone(), entry);
        model.bodies.push(body);
    }
    for (name, spec) in &case.exchangers {
        let place = (model.bodies.len(), power);
        let (body, sides) = exchangers::lower(context, case, (name, name.span), place, spec);
        names.exchangers.insert(name.value.clone(), sides);
        model.bodies.push(body);
    }
}

fn lower_cores(
    context: &mut Context<'_>,
    (case, coolants): (&Case, &[CoolantSpec]),
    model: &mut Model,
    names: &mut Names,
) {
    let cut = air::pieces::cut(case);
    for (name, spec) in case.cores.iter().filter(|(_, spec)| spec.piece.is_none()) {
        let key = (name.value.as_str(), name.span);
        let coolant = coolant_of_core(context, (case, coolants), &name.value);
        let lowered = air::core(context, key, (model.cores.len(), coolant), spec);
        if cut.contains(&name.value) {
            names.wholes.insert(name.value.clone(), lowered);
            continue;
        }
        let entry = lowered.map(|(core, entry)| {
            model.cores.push(core);
            entry
        });
        names.cores.insert(name.value.clone(), entry);
    }
    for (name, spec) in &case.cores {
        let Some(piece) = &spec.piece else { continue };
        let key = (name, model.cores.len());
        let lowered = air::pieces::lower(context, (case, names), key, (spec, piece));
        let entry = lowered.map(|(core, entry)| {
            model.cores.push(core);
            entry
        });
        names.cores.insert(name.value.clone(), entry);
    }
}

/// The coolant of the circuit in which a core or a piece of it stands; water where it stands in none.
fn coolant_of_core(
    context: &mut Context<'_>,
    (case, coolants): (&Case, &[CoolantSpec]),
    core: &str,
) -> CoolantSpec {
    let is_piece = |name: &str| {
        let piece = case.cores.get(name).and_then(|spec| spec.piece.as_ref());
        piece.is_some_and(|piece| piece.value.of.value == core)
    };
    let through = |spec: &PartSpec| matches!(spec, PartSpec::CoreSide { core: name, .. } if name.value == core || is_piece(&name.value));
    let mut circuits = case.circuits.values();
    let circuit = circuits.position(|c| c.runs.values().any(|run| run.parts.values().any(through)));
    circuit.map_or_else(|| water(context), |circuit| coolants[circuit].clone())
}

/// Plain water as a coolant.
fn water(context: &mut Context<'_>) -> CoolantSpec {
    CoolantSpec::Mixture { base: Base::Water, share: context.fixed(0.0) }
}

/// The coolant of a circuit with some values; water where there is none, which is reported elsewhere.
fn fluid_of(spec: &CoolantSpec, values: &Values) -> Coolant {
    spec.liquid(values).unwrap_or_else(|_| Coolant::water())
}

/// What a file names as a coolant; water where it is faulty: of a mixture that is reported where the circuit is lowered.
fn named(context: &mut Context<'_>, mix: &CoolantMix) -> CoolantSpec {
    match mixture(mix) {
        Ok((base, share)) => CoolantSpec::Mixture { base, share: context.fixed(share) },
        Err(name) => by_name(context, name),
    }
}

/// One of the liquids of the case; water where there is none of that name, or its table is faulty.
fn by_name(context: &mut Context<'_>, name: &Spanned<String>) -> CoolantSpec {
    if let Some(liquid) = context.liquids.get(&name.value) {
        return liquid.clone();
    }
    if context.faulty_liquids.contains(&name.value) {
        context.structural += 1;
    } else {
        let known: Vec<String> = context.liquids.keys().cloned().collect();
        context.unknown(name.span, "liquid", &name.value, known.iter().map(String::as_str));
    }
    water(context)
}

/// Base and share by volume of a mixture, or the name of another liquid; faults are reported where the circuit is
/// lowered.
fn mixture(mix: &CoolantMix) -> Result<(Base, f64), &Spanned<String>> {
    let (base, by_volume, by_mass) = match mix {
        CoolantMix::Water => return Ok((Base::Water, 0.0)),
        CoolantMix::Liquid(name) => return Err(name),
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
    Ok((base, share))
}

/// Every pass, core and engine must be in a run, every core in an air path. What a part names
/// wrongly is complained about there, and not as missing here.
fn check_used(context: &mut Context<'_>, case: &Case) {
    let runs = case.circuits.values().flat_map(|circuit| circuit.runs.values());
    let mut named: [Vec<(&str, u32)>; 4] = Default::default();
    for part in runs.flat_map(|run| run.parts.values()) {
        match part {
            PartSpec::Jacket { engine, .. } => named[0].push((engine.value.as_str(), 1)),
            PartSpec::Pass { cooler, pass, .. } => {
                named[1].push((cooler.value.as_str(), pass.map_or(1, Count::get)));
            }
            PartSpec::CoreSide { core, .. } => named[2].push((core.value.as_str(), 1)),
            PartSpec::ExchangerSide { exchanger, side, .. } => {
                named[3].push((exchanger.value.as_str(), exchangers::number(*side)));
            }
            _ => {}
        }
    }
    air::pieces::check_places(context, case);
    let [engines, coolers, cores, sides] = named;
    check_sides(context, case, &sides);
    let strange = [
        engines.iter().any(|(name, _)| !case.engines.contains(name)),
        coolers.iter().any(|(name, _)| !case.coolers.contains(name)),
        cores.iter().any(|(name, _)| !case.cores.contains(name)),
    ];
    for (name, _) in &case.engines {
        if !strange[0] && !engines.iter().any(|(named, _)| *named == name.value) {
            let label = format!("no run goes `Jacket(engine: \"{}\")`", name.value);
            context.absent(name.span, "this engine is in no run", label);
        }
    }
    for (name, spec) in &case.coolers {
        let mine: Vec<u32> =
            coolers.iter().filter(|(named, _)| *named == name.value).map(|n| n.1).collect();
        if !strange[1] {
            let told = context.told(&format!("coolers/{}:passes", name.value));
            let told = told.map(|(si, span)| Count::new(si, span)).or(spec.passes);
            unused_passes(context, name, told.map_or(1, Count::get).min(64), &mine);
        }
    }
    let stacks = || {
        case.air_paths.values().flat_map(|path| {
            path.cores.iter().chain(path.lanes.values().flat_map(|lane| &lane.cores))
        })
    };
    let cut = air::pieces::cut(case);
    let strange_stack = stacks().any(|core| !case.cores.contains(&core.value));
    for (name, _) in case.cores.iter().filter(|(name, _)| !cut.contains(&name.value)) {
        if !strange[2] && !cores.iter().any(|(named, _)| *named == name.value) {
            let label = format!("no run goes `CoreSide(core: \"{}\")`", name.value);
            context.absent(name.span, "this core is in no run", label);
        }
        if !strange_stack && !stacks().any(|core| core.value == name.value) {
            let message = "this core is in no air path, so no air crosses it";
            context.absent(
                name.span,
                message,
                "add it to `cores` of an air path, or of one of its lanes",
            );
        }
    }
}

/// Every exchanger must be gone through by both liquids.
fn check_sides(context: &mut Context<'_>, case: &Case, sides: &[(&str, u32)]) {
    if sides.iter().any(|(name, _)| !case.exchangers.contains(name)) {
        return;
    }
    for (name, _) in &case.exchangers {
        for side in [WhichSide::First, WhichSide::Second] {
            let wanted = (name.value.as_str(), exchangers::number(side));
            if !sides.contains(&wanted) {
                let message = format!(
                    "no liquid goes through the {} side of this exchanger",
                    exchangers::word(side)
                );
                let label = format!(
                    "no run goes `ExchangerSide(exchanger: \"{}\", side: {side:?})`",
                    name.value
                );
                context.absent(name.span, message, label);
            }
        }
    }
}

/// Passes of a cooler that no part goes through.
fn unused_passes(context: &mut Context<'_>, name: &Spanned<String>, passes: u32, named: &[u32]) {
    if named.is_empty() {
        let label = format!("no run goes `Pass(cooler: \"{}\", …)`", name.value);
        context.absent(name.span, "this cooler is in no run", label);
        return;
    }
    let missing: Vec<String> =
        (1..=passes).filter(|pass| !named.contains(pass)).map(|pass| pass.to_string()).collect();
    // One that is named twice was meant to be one of these.
    let twice = (1..).zip(named).filter(|(k, pass)| named[*k..].contains(pass)).count();
    if twice > 0 && twice >= missing.len() {
        return;
    }
    // A pass that there is not was meant to be one of these.
    if missing.is_empty() || named.iter().any(|&pass| pass > passes) {
        return;
    }
    let message = match missing.as_slice() {
        [one] => format!("pass {one} of this cooler is in no run"),
        _ => format!("passes {} of this cooler are in no run", missing.join(", ")),
    };
    context.absent(name.span, message, "give it fewer passes, or use them all");
}

/// Every number written must have an address, and one that may be written.
fn check_writes(context: &mut Context<'_>) {
    for (address, &(si, span)) in context.writes {
        let at = Spanned::new(address.clone(), span);
        match context.addresses.get(address).cloned() {
            None => {
                let problem = no_value(&at, context.addresses.keys().map(String::as_str));
                context.problems.push(problem);
            }
            Some(entry) if entry.role == Role::OfRoute => {
                let message = format!("`{address}` cannot be written");
                context.error(span, message, "it follows from the route of this hose");
            }
            // What follows from another number is held to its range only here.
            Some(entry) if !context.problems.iter().any(|problem| problem.primary.0 == span) => {
                context.check(si, span, entry.kind, entry.bound, &entry.what);
            }
            Some(_) => {}
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
