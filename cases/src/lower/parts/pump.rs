//! Pumps: one, or several equal ones under one name.

use coolwright_models::parts::{CheckValve, Part, Pump};

use super::{Lowered, Spot, Unit, resistance};
use crate::diagnostic::Problem;
use crate::file::{PartSpec, PumpCount};
use crate::lower::context::{Assumed, BORE, Bound, Context};
use crate::lower::curves::{self, PumpData};
use crate::quantity::{Count, Kind};

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

pub(super) fn pumps(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
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
