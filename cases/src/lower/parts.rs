//! Parts of a run on their way from the file into the model.

use coolwright_models::parts::{
    Bend, CheckValve, CoreTubes, Hose, Ice, Part, Pass, Pump, Rated, Reducer, Tank,
};
use coolwright_models::slots::Slot;

use super::bodies::BodyEntry;
use super::context::{Assumed, BORE, Bound, Context};
use super::curves::{self, PumpData};
use super::fittings;
use super::routes;
use super::{Names, density_of_water};
use crate::diagnostic::Problem;
use crate::file::{BendSpec, Case, PartSpec, PumpCount, Resistance};
use crate::quantity::{Count, Flow, Fraction, Kind, Length};
use crate::text::{Span, Spanned};

/// A part in the making: the model's part, or several pumps under one name.
pub(super) enum Lowered {
    /// One part.
    One(Box<dyn Part>),
    /// Pumps one behind the other.
    Series(Vec<Box<dyn Part>>),
    /// Pumps side by side, each with a check valve or not.
    Parallel(Vec<Unit>),
}

/// A pump of several side by side, with its check valve.
pub(super) type Unit = (Box<dyn Part>, Option<Box<dyn Part>>);

/// Where a part stands while it is lowered.
pub(super) struct Spot<'a> {
    /// Its address: circuit/run/part.
    pub address: String,
    /// Bore of the run.
    pub bore: Slot,
    /// Bore of the part before, or of the run.
    pub before: Slot,
    /// The whole case.
    pub case: &'a Case,
    /// Bodies and cores, and which of their passes are taken.
    pub names: &'a mut Names,
    /// Where the part's name stands.
    pub span: Span,
}

/// Lowers one part. `None` after a problem.
pub(super) fn part(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    match spec {
        PartSpec::Hose { .. } => hose(context, spot, spec),
        PartSpec::Reducer { from, to, angle } => {
            let address = spot.address.clone();
            let from = from.map_or(spot.before, |b| {
                context.given(&format!("{address}:from"), b, BORE, "bore")
            });
            let to = context.given(&format!("{address}:to"), *to, BORE, "bore");
            let angle = context.or_assumed(
                &format!("{address}:angle"),
                *angle,
                Bound::Within(0.02, std::f64::consts::PI),
                Assumed {
                    what: "whole angle of a reducer's cone",
                    value: 30.0_f64.to_radians(),
                    range: (15.0_f64.to_radians(), 60.0_f64.to_radians()),
                    why: "silicone and cast reducers; common practice, no source",
                },
            );
            Some(Lowered::One(Box::new(Reducer { from, to, angle })))
        }
        PartSpec::Meter(r) => Some(rated(context, spot, "meter", r)),
        PartSpec::Filter(r) => Some(rated(context, spot, "filter", r)),
        PartSpec::Coupling(r) => Some(rated(context, spot, "coupling", r)),
        PartSpec::Resistance(r) => Some(rated(context, spot, "resistance", r)),
        PartSpec::Pump { .. } => pumps(context, spot, spec),
        PartSpec::CheckValve { fall, at, cracking, bore } => {
            let bore = own_bore(context, spot, *bore);
            let address = spot.address.clone();
            let area = area(context, bore.unwrap_or(spot.bore));
            // 2.5 velocity heads at 2 m/s.
            let (assumed_fall, assumed_flow) = (2.5 * 0.5 * 1000.0 * 4.0, 2.0 * area);
            let fall = context.or_assumed(
                &format!("{address}:fall"),
                *fall,
                Bound::NotNegative,
                Assumed {
                    what: "fall of an open check valve at 2 m/s",
                    value: assumed_fall,
                    range: (0.5 * assumed_fall, 3.0 * assumed_fall),
                    why: "2.5 velocity heads; common practice, no source",
                },
            );
            let flow = at.map_or(assumed_flow, |f| flow_of(context, f));
            let flow = context.addressed(&format!("{address}:at"), Kind::VolumeFlow, flow, None);
            let cracking = context.or_assumed(
                &format!("{address}:cracking"),
                *cracking,
                Bound::NotNegative,
                Assumed {
                    what: "cracking pressure of a check valve",
                    value: 700.0,
                    range: (0.0, 3500.0),
                    why: "soft spring; common practice, no source",
                },
            );
            Some(Lowered::One(Box::new(CheckValve { bore, fall, flow, cracking })))
        }
        PartSpec::Through { .. } => through(context, spot, spec),
        PartSpec::Tank { .. } => tank(context, spot, spec),
        PartSpec::Restrictor { .. }
        | PartSpec::Throttle { .. }
        | PartSpec::Thermostat { .. }
        | PartSpec::Barb { .. } => fittings::part(context, spot, spec),
    }
}

/// The part's own bore, where it has one.
pub(super) fn own_bore(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    bore: Option<Length>,
) -> Option<Slot> {
    bore.map(|b| context.given(&format!("{}:bore", spot.address), b, BORE, "bore"))
}

/// Area of a round bore, m².
pub(super) fn area(context: &Context<'_>, bore: Slot) -> f64 {
    let bore = context.values.get(bore);
    bore * bore * std::f64::consts::FRAC_PI_4
}

/// A flow as a volume flow of water; the flows of ratings are measured with water unless said.
pub(super) fn flow_of(context: &mut Context<'_>, flow: Flow) -> f64 {
    let value = match flow {
        Flow::Volume(volume) => volume.si(),
        Flow::Mass(mass) => mass.si() / density_of_water(),
    };
    if value.is_nan() {
        return 1e-3;
    }
    if value <= 0.0 || value > 10.0 {
        let problem = Problem::error(flow.span(), "this flow must be above zero and below 10 m³/s");
        context.value_error(problem.label("not a flow for a rating"));
        return 1e-3;
    }
    value
}

/// Fall, flow and exponent of a measured drop.
pub(super) fn resistance(
    context: &mut Context<'_>,
    address: &str,
    spec: &Resistance,
    exponent: f64,
) -> [Slot; 3] {
    let fall = context.given(
        &format!("{address}:fall"),
        spec.fall,
        Bound::NotNegative,
        "fall of pressure",
    );
    let flow = flow_of(context, spec.at);
    let flow =
        context.addressed(&format!("{address}:at"), Kind::VolumeFlow, flow, Some(spec.at.span()));
    let exponent = context.or_default(
        &format!("{address}:exponent"),
        spec.exponent,
        Bound::Within(0.5, 3.0),
        ("exponent", exponent),
    );
    [fall, flow, exponent]
}

fn rated(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    word: &'static str,
    spec: &Resistance,
) -> Lowered {
    let bore = own_bore(context, spot, spec.bore);
    let [fall, flow, exponent] = resistance(context, &spot.address, spec, 2.0);
    Lowered::One(Box::new(Rated { word, bore, fall, flow, exponent }))
}

fn hose(context: &mut Context<'_>, spot: &mut Spot<'_>, spec: &PartSpec) -> Option<Lowered> {
    let PartSpec::Hose { length, route, bend_radius, bends, bore, roughness, rise, loss } = spec
    else {
        return None;
    };
    let address = spot.address.clone();
    let bore = own_bore(context, spot, *bore).unwrap_or(spot.bore);
    check_hose(context, spot.span, spec);
    let path = (!route.is_empty()).then(|| routes::path(context, route, *bend_radius));
    let length_m = match (length, path.as_ref().and_then(Option::as_ref)) {
        (Some(length), _) => context.checked(*length, Bound::Within(1e-4, 1e3), "length of a hose"),
        (None, Some(path)) => path.length_m,
        (None, None) => {
            if route.is_empty() {
                let message = "this hose has neither a length nor a route";
                context.absent(spot.span, message, "add `length: \"0.8 m\"`");
            }
            return None;
        }
    };
    let length_span = length.map(Length::span);
    let length =
        context.addressed(&format!("{address}:length"), Kind::Length, length_m, length_span);
    context.bind(&format!("{address}:length"), Bound::Within(1e-4, 1e3), "length of a hose");
    let roughness = context.or_assumed(
        &format!("{address}:roughness"),
        *roughness,
        Bound::NotNegative,
        Assumed {
            what: "roughness of hoses and tubes",
            value: 5e-6,
            range: (1.5e-6, 50e-6),
            why: "between drawn tube (1.5 µm) and used rubber hose; common practice, no source",
        },
    );
    let loss = context.or_default(
        &format!("{address}:loss"),
        *loss,
        Bound::NotNegative,
        ("loss coefficient", 0.0),
    );
    let route_rise = path.as_ref().and_then(Option::as_ref).map(|p| p.rise_m);
    let rise = match (rise, route_rise) {
        (Some(rise), _) => {
            context.given(&format!("{address}:rise"), *rise, Bound::Within(-50.0, 50.0), "rise")
        }
        (None, known) => {
            context.addressed(&format!("{address}:rise"), Kind::Length, known.unwrap_or(0.0), None)
        }
    };
    context.bind(&format!("{address}:rise"), Bound::Within(-50.0, 50.0), "rise");
    let bore_m = context.values.get(bore);
    let mut lowered = Vec::new();
    for (k, bend) in bends.iter().enumerate() {
        lowered.push(hose_bend(context, &format!("{address}:bend-{}", k + 1), bend, bore_m));
    }
    if let Some(path) = path.flatten() {
        for (k, (angle, radius)) in path.bends.iter().enumerate() {
            let name = format!("{address}:bend-{}", k + 1);
            let angle = context.addressed(&name, Kind::Angle, *angle, None);
            let radius = radius_slot(context, &name, *radius, bore_m);
            lowered.push(Bend { angle, radius, count: context.fixed(1.0) });
        }
    }
    let cells = Hose::cells_for(length_m, bore_m);
    Some(Lowered::One(Box::new(Hose {
        bore,
        length,
        roughness,
        loss,
        rise,
        bends: lowered,
        cells,
    })))
}

/// A hose tells its way once: by its length and bends, or by its route.
fn check_hose(context: &mut Context<'_>, part: Span, spec: &PartSpec) {
    let PartSpec::Hose { length, route, bend_radius, bends, rise, .. } = spec else { return };
    let routed = !route.is_empty();
    let twice = "this hose tells its way twice";
    if let (true, Some(length)) = (routed, length) {
        let label = "its route gives a length: leave one of them out";
        context.error(length.span(), twice, label);
    }
    if let (true, Some(bend)) = (routed, bends.first()) {
        let label = "its route gives the bends: leave one of them out";
        context.error(bend.angle.span(), twice, label);
    }
    if let (true, Some(rise)) = (routed, rise) {
        let label = "its route gives the rise: leave one of them out";
        context.error(rise.span(), twice, label);
    }
    if let (false, Some(radius)) = (routed, bend_radius) {
        context.problems.push(
            Problem::error(radius.span(), "`bend_radius` is that of the corners of a route")
                .label("this hose has no route")
                .help("give the radius with the bend: `bends: [Bend(angle: \"90°\", radius: \"60 mm\")]`")
                .also(part, "this hose"),
        );
    }
    if let (Some(length), Some(rise)) = (length, rise)
        && rise.si().abs() > length.si() * (1.0 + 1e-9)
        && length.si() > 0.0
    {
        let problem = Problem::error(rise.span(), "a hose cannot rise more than it is long")
            .label("more than its length")
            .also(length.span(), "its length");
        context.value_error(problem);
    }
}

/// Bends of one line of the file.
fn hose_bend(context: &mut Context<'_>, address: &str, bend: &BendSpec, bore_m: f64) -> Bend {
    let angle = context.given(
        address,
        bend.angle,
        Bound::Within(0.01, 2.0 * std::f64::consts::PI),
        "angle of a bend",
    );
    let radius = bend.radius.map(|r| context.checked(r, Bound::Within(1e-3, 50.0), "bend radius"));
    let radius = radius_slot(context, address, radius, bore_m);
    let count = bend.count.map_or(1.0, |c| f64::from(c.get()));
    Bend { angle, radius, count: context.fixed(count) }
}

fn radius_slot(context: &mut Context<'_>, address: &str, radius: Option<f64>, bore: f64) -> Slot {
    let address = format!("{address}-radius");
    match radius {
        Some(radius) => context.addressed(&address, Kind::Length, radius, None),
        None => context.assumed(
            &address,
            Kind::Length,
            Assumed {
                what: "centre-line radius of bends",
                value: 1.5 * bore,
                range: (bore, 4.0 * bore),
                why: "1.5 bores, a moulded hose elbow; common practice, no source",
            },
        ),
    }
}

/// The pump of a part: a curve of the case, or the two numbers of a label.
fn pump_data(context: &mut Context<'_>, spot: &Spot<'_>, spec: &PartSpec) -> Option<PumpData> {
    let PartSpec::Pump { curve, shut_off, free_flow, .. } = spec else { return None };
    match (curve, shut_off, free_flow) {
        (Some(name), None, None) => {
            let Some(spec) = spot.case.pump_curves.get(&name.value) else {
                let known = spot.case.pump_curves.names();
                context.unknown(name.span, "pump curve", &name.value, known);
                return None;
            };
            curves::pump(context, spec)
        }
        (None, Some(rise), Some(flow)) => curves::labelled_pump(context, *rise, *flow),
        _ => {
            let message = "a pump needs a curve, or both numbers of its label";
            context.problems.push(
                Problem::error(spot.span, message)
                    .label("this pump")
                    .help("write `curve: \"name\"` with the name under `pump_curves`")
                    .help("or `shut_off: \"90 kPa\", free_flow: \"120 L/min\"`"),
            );
            None
        }
    }
}

fn pumps(context: &mut Context<'_>, spot: &mut Spot<'_>, spec: &PartSpec) -> Option<Lowered> {
    let PartSpec::Pump { count, check_valves, .. } = spec else { return None };
    let data = pump_data(context, spot, spec)?;
    let most = 12;
    let number = |context: &mut Context<'_>, n: &Count| {
        if n.get() > most {
            context.error(
                n.span(),
                format!("at most {most} pumps stand under one name"),
                "too many",
            );
        }
        n.get().min(most)
    };
    let valves = check_valves.unwrap_or(false);
    if valves && !matches!(count, Some(PumpCount::Parallel(_))) {
        let problem = Problem::error(spot.span, "check valves belong to pumps side by side")
            .label("this pump has `check_valves`")
            .help("add `count: Parallel(2)`, or put a part `CheckValve()` behind the pump");
        context.problems.push(problem);
    }
    match count {
        None | Some(PumpCount::One) => {
            Some(Lowered::One(Box::new(one_pump(context, spot, spec, &data, None)?)))
        }
        Some(PumpCount::Series(n)) => {
            let n = number(context, n);
            let mut units: Vec<Box<dyn Part>> = Vec::new();
            for k in 1..=n {
                units.push(Box::new(one_pump(context, spot, spec, &data, Some(k))?));
            }
            Some(Lowered::Series(units))
        }
        Some(PumpCount::Parallel(n)) => {
            let n = number(context, n);
            let mut units: Vec<Unit> = Vec::new();
            for k in 1..=n {
                let pump = one_pump(context, spot, spec, &data, Some(k))?;
                let valve = valves.then(|| pump_valve(context, spot, &data));
                units.push((Box::new(pump), valve));
            }
            Some(Lowered::Parallel(units))
        }
    }
}

/// The check valve of one pump of several in parallel.
fn pump_valve(context: &mut Context<'_>, spot: &Spot<'_>, data: &PumpData) -> Box<dyn Part> {
    let address = format!("{}:valve", spot.address);
    let fall = context.assumed(
        &format!("{address}-fall"),
        Kind::PressureDifference,
        Assumed {
            what: "fall of a pump's open check valve at 60 % of the pump's free flow",
            value: 4e3,
            range: (1e3, 12e3),
            why: "a swing or spring valve of the pump's own bore; common practice, no source",
        },
    );
    let flow = context.fixed(0.6 * data.free_flow);
    let cracking = context.fixed(500.0);
    Box::new(CheckValve { bore: None, fall, flow, cracking })
}

/// One pump. Number `unit` of several has addresses of its own beside the common ones.
fn one_pump(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    spec: &PartSpec,
    data: &PumpData,
    unit: Option<u32>,
) -> Option<Pump> {
    let PartSpec::Pump { speed, bore, stopped, heat_share, .. } = spec else { return None };
    let address = &spot.address;
    let bore = bore.map(|b| context.given(&format!("{address}:bore"), b, BORE, "bore"));
    let speed_slot = context.or_default(
        &format!("{address}:speed"),
        *speed,
        Bound::Within(0.0, 2.0),
        ("speed of a pump", 1.0),
    );
    if let Some(unit) = unit {
        context.alias(&format!("{address}:speed"), &format!("{address}.{unit}:speed"), speed_slot);
    }
    let (stopped_fall, stopped_flow) = if let Some(r) = stopped {
        let [fall, flow, _] = resistance(context, &format!("{address}:stopped"), r, 2.0);
        (fall, flow)
    } else {
        let fall = context.assumed(
            &format!("{address}:stopped-fall"),
            Kind::PressureDifference,
            Assumed {
                what: "fall through a stopped pump at its free flow",
                value: 0.4 * data.shut_off,
                range: (0.15 * data.shut_off, data.shut_off),
                why: "40 % of its shut-off pressure; common practice, no source",
            },
        );
        (fall, context.fixed(data.free_flow))
    };
    let power = curves::power_of(context, address, data);
    let heat_share = context.or_assumed(
        &format!("{address}:heat_share"),
        *heat_share,
        Bound::Within(0.0, 1.0),
        Assumed {
            what: "share of a pump's electric power that ends in the coolant",
            value: 1.0,
            range: (0.4, 1.0),
            why: "wet motor; common practice, no source",
        },
    );
    Some(Pump {
        bore,
        curve: data.curve.clone(),
        curve_density: context.fixed(data.density),
        speed: speed_slot,
        stopped_fall,
        stopped_flow,
        power,
        heat_share,
        volume: context.fixed(PUMP_VOLUME),
    })
}

/// Coolant in the volute of an electric pump, m³ (common practice, no source).
const PUMP_VOLUME: f64 = 0.15e-3;

fn blocked(context: &mut Context<'_>, address: &str, blocked: Option<Fraction>) -> Slot {
    context.or_default(
        &format!("{address}:blocked"),
        blocked,
        Bound::Within(0.0, 0.99),
        ("blocked share", 0.0),
    )
}

fn through(context: &mut Context<'_>, spot: &mut Spot<'_>, spec: &PartSpec) -> Option<Lowered> {
    let PartSpec::Through { cooler, pass, core, engine, blocked: share } = spec else {
        return None;
    };
    let address = spot.address.clone();
    match (cooler, core, engine) {
        (Some(name), None, None) => {
            let entry = body(context, spot, "cooler", name)?;
            let number = pass.map_or(1, Count::get);
            take_pass(context, spot, &entry, number, pass.map_or(name.span, Count::span))?;
            let share = blocked(context, &address, *share);
            Some(Lowered::One(Box::new(make_pass(&entry, "pass", share))))
        }
        (None, None, Some(name)) => {
            if let Some(pass) = pass {
                context.error(
                    pass.span(),
                    "an engine has one jacket, not passes",
                    "leave this out",
                );
            }
            let entry = body(context, spot, "engine", name)?;
            take_pass(context, spot, &entry, 1, name.span)?;
            let share = blocked(context, &address, *share);
            Some(Lowered::One(Box::new(make_pass(&entry, "jacket", share))))
        }
        (None, Some(name), None) => core_tubes(context, spot, name, share.is_some()),
        _ => {
            context.problems.push(
                Problem::error(spot.span, "`Through` names one of `cooler`, `core`, `engine`")
                    .label("this part")
                    .help("for example `Through(core: \"radiator\")`"),
            );
            None
        }
    }
}

fn make_pass(entry: &BodyEntry, word: &'static str, blocked: Slot) -> Pass {
    let BodyEntry { index, bore, channel, film, .. } = *entry;
    Pass { body: index, word, bore, channel, film, blocked }
}

fn body(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    what: &str,
    name: &Spanned<String>,
) -> Option<BodyEntry> {
    let map = if what == "engine" { &spot.names.engines } else { &spot.names.coolers };
    if let Some(entry) = map.get(&name.value) {
        return entry.clone();
    }
    let known: Vec<String> = map.keys().cloned().collect();
    context.unknown(name.span, what, &name.value, known.iter().map(String::as_str));
    None
}

/// Takes a pass of a body for this part; each can be taken once.
fn take_pass(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    entry: &BodyEntry,
    number: u32,
    span: Span,
) -> Option<()> {
    if number > entry.passes {
        let message = format!("`{}` has no pass {number}: it has {}", entry.name, entry.passes);
        context.error(span, message, "no such pass");
        return None;
    }
    match spot.names.passes.insert((entry.index, number), spot.span) {
        None => Some(()),
        Some(other) => {
            let message = if entry.passes == 1 {
                format!("`{}` is already in a run", entry.name)
            } else {
                format!("pass {number} of `{}` is already in a run", entry.name)
            };
            let problem =
                Problem::error(span, message).label("taken twice").also(other, "first here");
            context.problems.push(problem);
            None
        }
    }
}

fn core_tubes(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    name: &Spanned<String>,
    blocked: bool,
) -> Option<Lowered> {
    if blocked {
        let message = "give a blocked core as `blocked` of the core itself";
        context.error(spot.span, message, "not here");
    }
    let Some(entry) = spot.names.cores.get(&name.value) else {
        let known: Vec<String> = spot.names.cores.keys().cloned().collect();
        context.unknown(name.span, "core", &name.value, known.iter().map(String::as_str));
        return None;
    };
    let entry = entry.clone()?;
    if let Some(other) = spot.names.core_runs.insert(entry.index, spot.span) {
        let message = format!("the core `{}` is already in a run", name.value);
        let problem = Problem::error(name.span, message).label("twice").also(other, "first here");
        context.problems.push(problem);
        return None;
    }
    let [fall, flow, exponent] = entry.fall;
    Some(Lowered::One(Box::new(CoreTubes {
        core: entry.index,
        bore: entry.bore,
        fall,
        flow,
        exponent,
        volume: entry.volume,
    })))
}

fn tank(context: &mut Context<'_>, spot: &mut Spot<'_>, spec: &PartSpec) -> Option<Lowered> {
    let PartSpec::Tank { volume, ice, ice_piece, ice_film, bore } = spec else { return None };
    let address = spot.address.clone();
    let bore = own_bore(context, spot, *bore).unwrap_or(spot.bore);
    let volume = context.given(
        &format!("{address}:volume"),
        *volume,
        Bound::Within(1e-5, 100.0),
        "volume of a tank",
    );
    let ice = ice.map(|mass| Ice {
        mass: context.given(
            &format!("{address}:ice"),
            mass,
            Bound::Within(1e-3, 1e4),
            "mass of ice",
        ),
        film: context.or_assumed(
            &format!("{address}:ice_film"),
            *ice_film,
            Bound::Positive,
            Assumed {
                what: "film coefficient at the ice",
                value: 700.0,
                range: (300.0, 1500.0),
                why: "stirred tank; common practice, no source",
            },
        ),
        piece: context.or_assumed(
            &format!("{address}:ice_piece"),
            *ice_piece,
            Bound::Within(1e-3, 1.0),
            Assumed {
                what: "edge of a piece of ice",
                value: 25e-3,
                range: (15e-3, 60e-3),
                why: "bagged cubes; common practice, no source",
            },
        ),
    });
    Some(Lowered::One(Box::new(Tank { bore, volume, ice })))
}
