//! Pumps: one, or several equal ones under one name.

use coolwright_models::circuit::made;
use coolwright_models::parts::{
    CheckValve, ElectricDrive, EngineDrive, Part, Pump, PumpDrive, PumpPower, Viscous,
};
use coolwright_models::slots::Slot;

use super::{Lowered, Spot, Unit, assumed_flow, rated_flow};
use crate::diagnostic::Problem;
use crate::file::{DrivenBy, PartSpec, PumpCount, WhenStopped};
use crate::lower::context::{BORE, Bound, Context};
use crate::lower::curves::{self, PumpData};
use crate::lower::liquids::{Told, Warmth, liquid, water};
use crate::lower::machines::{self, Fed};
use crate::lower::usual::{
    PUMP_BACKWARDS_FREE, PUMP_BACKWARDS_SEIZED, PUMP_FREE, PUMP_HEAT, PUMP_SEIZED, SHAFT_HEAT,
    VALVE_OF_PUMP,
};
use crate::quantity::{Count, Current, ElectricPower, Kind, Power, spoken};

/// The pump of a part: a curve of the case, or the two numbers of a label.
fn pump_data(context: &mut Context<'_>, spot: &Spot<'_>, spec: &PartSpec) -> Option<PumpData> {
    let PartSpec::Pump { curve, shut_off, free_flow, at_speed, .. } = spec else { return None };
    if let (Some(_), Some(speed)) = (curve, at_speed) {
        let message = "the speed of a curve stands with the curve";
        context.error(speed.span(), message, "this is the speed of a label");
    }
    match (curve, shut_off, free_flow) {
        (Some(name), None, None) => {
            let Some(spec) = spot.case.pump_curves.get(&name.value) else {
                let known = spot.case.pump_curves.names();
                context.unknown(name.span, "pump curve", &name.value, known);
                return None;
            };
            curves::pump(context, (&name.value, name.span), spec)
        }
        (None, Some(rise), Some(flow)) => {
            curves::labelled_pump(context, &spot.address, *rise, *flow, *at_speed)
        }
        _ => {
            let message = "a pump needs a curve, or both numbers of its label";
            context.problems.push(
                Problem::error(spot.span, message)
                    .label("this pump")
                    .help("write `curve: \"name\"` with the name under `pump_curves`")
                    .help("or `shut_off: \"{one PressureDifference}\", free_flow: \"{one VolumeFlow}\"`"),
            );
            None
        }
    }
}

pub(super) fn pumps(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Pump { count, check_valves, .. } = spec else { return None };
    let data = pump_data(context, spot, spec)?;
    let most = 12;
    let count_address = format!("{}:count", spot.address);
    let number = |context: &mut Context<'_>, n: &Count| {
        let told = (Kind::Count, n.si(), n.span());
        let bound = Bound::Within(1.0, 1e9);
        let told = context.structural(&count_address, told, bound, "number of pumps");
        let n = Count::new(told, n.span());
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
    let fall = context.assumed(&format!("{address}_fall"), VALVE_OF_PUMP.fixed());
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
    let PartSpec::Pump { bore, heat_share, head_scale, flow_scale, .. } = spec else {
        return None;
    };
    let address = &spot.address;
    let [head_scale, flow_scale] =
        [("head_scale", *head_scale), ("flow_scale", *flow_scale)].map(|(name, given)| {
            let about = ("head or flow of a pump over that of its curve", 1.0);
            context.or_default(&format!("{address}:{name}"), given, SCALE, about)
        });
    let bore = bore.map(|b| context.given(&format!("{address}:bore"), b, BORE, "bore"));
    let drive = drive(context, spot, spec, (data, unit))?;
    let [stopped_fall, stopped_flow, backwards] = at_rest(context, address, spec, data);
    let engine = matches!(drive, PumpDrive::Engine(_));
    let power = power(context, spec, (address, data), &drive);
    let assumed = if engine { SHAFT_HEAT.fixed() } else { PUMP_HEAT.fixed() };
    let heat_share = context.or_assumed(
        &format!("{address}:heat_share"),
        *heat_share,
        Bound::Within(0.0, 1.0),
        assumed,
    );
    Some(Pump {
        bore,
        curve: data.curve.clone(),
        given: data.given,
        by_label: data.by_label,
        curve_density: context.fixed(data.density),
        head_scale,
        flow_scale,
        drive,
        curve_speed: data.at_speed.map(|speed| context.fixed(speed)),
        viscous: viscous(context, spec, data),
        stopped_fall,
        stopped_flow,
        backwards,
        power,
        heat_share,
        volume: context.fixed(PUMP_VOLUME),
        suction_head: data.suction_head.clone(),
    })
}

/// What a pump takes: as told on its label or by its curve, else assumed from its best point.
fn power(
    context: &mut Context<'_>,
    spec: &PartSpec,
    (address, data): (&str, &PumpData),
    drive: &PumpDrive,
) -> PumpPower {
    let PartSpec::Pump { curve, power, current, .. } = spec else { unreachable!("a pump") };
    let span = power.map(Power::span).or(current.map(Current::span));
    let Some(span) = span else {
        let engine = matches!(drive, PumpDrive::Engine(_));
        return curves::power_of(context, address, (data, engine));
    };
    if curve.is_some() {
        let message = "what a pump takes stands with its curve";
        context.error(span, message, "this is what a label tells");
    }
    let at = format!("{address}:power");
    let slot = match (power, current, drive) {
        (Some(power), None, PumpDrive::Electric(_)) => {
            let power = ElectricPower::new(power.si(), power.span());
            context.given(&at, power, Bound::Positive, "power of a pump")
        }
        (Some(power), None, _) => context.given(&at, *power, Bound::Positive, "power of a pump"),
        (None, Some(current), PumpDrive::Electric(electric)) => {
            let bound = Bound::Within(0.01, 1e4);
            let named = format!("{address}:current");
            let amps = context.given(&named, *current, bound, "current of a pump");
            let slot = context.addressed(&at, Kind::ElectricPower, 0.0, Some(span));
            let volts = electric.rated_voltage.unwrap_or(electric.voltage);
            // P = U I at the speed of the curve.
            context.follows(slot, &[amps, volts], move |v| v.get(amps) * v.get(volts))
        }
        (power, ..) => {
            if let (Some(power), Some(current)) = (power, current) {
                let message = "what this pump takes is told twice";
                let problem = Problem::error(current.span(), message).label("as a current");
                context.problems.push(problem.also(power.span(), "as a power"));
            }
            context.fixed(data.best_power())
        }
    };
    let (takes, gives) = (context.values.get(slot), data.best_power());
    if takes < gives * (1.0 - 1e-9) {
        let kind = match drive {
            PumpDrive::Electric(_) => Kind::ElectricPower,
            PumpDrive::Engine(_) => Kind::Power,
        };
        let message = format!(
            "this pump would take {} and give {} to the coolant: {:.0} % efficiency",
            spoken(kind, takes),
            spoken(kind, gives),
            100.0 * gives / takes
        );
        let help = "look for a slip in a unit: of the power, the current and its voltage, the flow or the head";
        let problem = Problem::error(span, message).label("too little power");
        context.value_error(problem.help(help));
    }
    PumpPower::Constant(slot)
}

/// What turns a pump.
fn drive(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    spec: &PartSpec,
    (data, unit): (&PumpData, Option<u32>),
) -> Option<PumpDrive> {
    let PartSpec::Pump {
        driven_by,
        speed,
        switch,
        run_on,
        follows,
        ramp,
        supply,
        rated_voltage,
        regulated,
        current,
        current_limit,
        ..
    } = spec
    else {
        return None;
    };
    let address = &spot.address;
    let own = |context: &mut Context<'_>, name: &str, slot: Slot| {
        if let Some(unit) = unit {
            let common = format!("{address}:{name}");
            context.alias(&common, &format!("{}:{name}", made::unit(address, unit as usize)), slot);
        }
    };
    if let Some(driven) = driven_by
        && let DrivenBy::Engine { ratio } = driven.value
    {
        let electric = [
            speed.map(|s| (s.span(), "speed")),
            rated_voltage.map(|v| (v.span(), "rated_voltage")),
            current_limit.map(|i| (i.span(), "current_limit")),
            current.map(|i| (i.span(), "current")),
            run_on.map(|time| (time.span(), "run_on")),
            switch.as_ref().map(|switch| (switch.feels.span, "switch")),
            follows.as_ref().map(|follows| (follows.feels.span, "follows")),
            ramp.map(|time| (time.span(), "ramp")),
        ];
        for (span, name) in electric.into_iter().flatten() {
            let message = format!("a pump that the engine turns has no `{name}`");
            let problem = Problem::error(span, message).label("of an electric pump");
            context.problems.push(problem.also(driven.span, "turned by the engine"));
        }
        let help = "with `at_speed: \"5000 rpm\"` the ratio and the engine's speed tell its own";
        let Some(at_speed) = data.at_speed else {
            let message = "the curve of a pump that the engine turns needs its speed";
            let problem =
                Problem::error(driven.span, message).label("at what speed was it measured?");
            context.problems.push(problem.help(help));
            return None;
        };
        if spot.case.duty.engine_speed.is_none() {
            let label = "add `engine_speed: \"6000 rpm\"` to `duty`";
            context.absent(
                driven.span,
                "the speed of the engine that turns this pump is not known",
                label,
            );
            return None;
        }
        let slot =
            context.given(&format!("{address}:ratio"), ratio, Bound::Within(0.0, 20.0), "ratio");
        own(context, "ratio", slot);
        let engine_speed = context.addresses.get("duty:engine_speed")?.slots[0];
        let curve_speed = context.fixed(at_speed);
        return Some(PumpDrive::Engine(EngineDrive { ratio: slot, engine_speed, curve_speed }));
    }
    let told = (*speed, unit, "speed of a pump");
    let commanded = machines::command(context, address, told, *run_on);
    let voltage = machines::voltage(context, spot.case, (address, supply.as_ref()))?;
    let fed = Fed { rated: *rated_voltage, of_curve: data.voltage, regulated: *regulated };
    let rated_voltage = machines::rated_voltage(context, (address, fed), voltage);
    let current_limit = current_limit.map(|i| {
        let bound = Bound::Within(0.1, 2000.0);
        let slot = context.given(&format!("{address}:current_limit"), i, bound, "current limit");
        own(context, "current_limit", slot);
        slot
    });
    Some(PumpDrive::Electric(ElectricDrive { commanded, voltage, rated_voltage, current_limit }))
}

/// What a pump resists at rest: its fall, the flow of that fall, and how many times as much it falls
/// backwards; as measured, or assumed by how it stands.
fn at_rest(
    context: &mut Context<'_>,
    address: &str,
    spec: &PartSpec,
    data: &PumpData,
) -> [Slot; 3] {
    let PartSpec::Pump { stopped, when_stopped, .. } = spec else { unreachable!("a pump") };
    let seized = matches!(when_stopped, Some(WhenStopped::Seized));
    let backwards = context.assumed(
        &format!("{address}:backwards"),
        if seized { PUMP_BACKWARDS_SEIZED.fixed() } else { PUMP_BACKWARDS_FREE.fixed() },
    );
    if let Some(r) = stopped {
        let address = format!("{address}:stopped");
        let bound = Bound::NotNegative;
        let fall = context.given(&format!("{address}_fall"), r.fall, bound, "fall of pressure");
        let told = Told { fluid: r.fluid.as_ref(), temperature: r.fluid_temperature };
        let density = if told.fluid.is_some() || told.temperature.is_some() {
            let measured = (told, Some(r.at));
            liquid(context, &format!("{address}_"), measured, (Warmth::Bench, None))
                .density(context)
        } else {
            water(context)
        };
        return [fall, rated_flow(context, &format!("{address}_at"), r.at, density), backwards];
    }
    let assumed = if seized { PUMP_SEIZED.of(data.shut_off) } else { PUMP_FREE.of(data.shut_off) };
    let address = format!("{address}:stopped");
    let fall = context.assumed(&format!("{address}_fall"), assumed);
    [fall, assumed_flow(context, &format!("{address}_at"), data.free_flow), backwards]
}

/// The correction for viscosity, where the curve says its speed; a note where it does not.
fn viscous(context: &mut Context<'_>, spec: &PartSpec, data: &PumpData) -> Option<Viscous> {
    let PartSpec::Pump { curve, .. } = spec else { return None };
    let speed = if data.at_speed.is_some() { "with" } else { "without" };
    let name = curve.as_ref().map_or_else(
        || format!("pumps known by a label {speed} `at_speed`"),
        |name| format!("pumps with the curve `{}`", name.value),
    );
    let note = match (data.at_speed, &data.power) {
        (None, _) => {
            format!("{name} are not corrected for viscosity: that needs the rotational speed.")
        }
        (Some(_), None) => format!(
            "{name} are corrected for viscosity by a best point at 70 % of the free flow, because no \
             efficiency is known (common practice, no source)."
        ),
        (Some(_), Some(_)) => String::new(),
    };
    let note = note.replacen("pumps", "Pumps", 1);
    if !note.is_empty() && !context.notes.contains(&note) {
        context.notes.push(note);
    }
    let curve_speed = context.fixed(data.at_speed?);
    let [best_flow, best_head] = data.best_point();
    let [curve_viscosity, best_flow, best_head, free_flow] =
        [data.viscosity, best_flow, best_head, data.free_flow].map(|value| context.fixed(value));
    Some(Viscous { curve_viscosity, best_flow, best_head, free_flow, curve_speed })
}

/// Head and flow of a pump over those of its curve.
const SCALE: Bound = Bound::Within(0.1, 3.0);

/// Coolant in the volute of an electric pump, m³ (common practice, no source).
const PUMP_VOLUME: f64 = 0.15e-3;
