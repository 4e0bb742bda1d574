//! Fans on their way from the file into the model.

use coolwright_models::air::Fan;
use coolwright_models::circuit::made;
use coolwright_models::slots::Slot;

use crate::diagnostic::Problem;
use crate::file::{Case, Fan as FanSpec, WhenStopped};
use crate::lower::context::{Bound, Context};
use crate::lower::curves::{self, FanData};
use crate::lower::machines::{self, Fed};
use crate::lower::usual::{FAN_BACKWARDS, FAN_POWER, FAN_SEIZED, FAN_WINDMILLING};
use crate::quantity::{Count, Kind, spoken};
use crate::text::{Span, Spanned};

/// The fans of one name of an air path: as many as are counted.
pub(super) fn fans(
    context: &mut Context<'_>,
    case: &Case,
    path: &str,
    (name, spec): (&Spanned<String>, &FanSpec),
) -> Vec<Fan> {
    let Some(data) = fan_data(context, case, (path, name), spec) else {
        context.failed.push(format!("{path}/{}", name.value));
        return Vec::new();
    };
    let count = spec.count.map_or(1, |count| {
        let at = format!("{path}/{}:count", name.value);
        let number = (Kind::Count, count.si(), count.span());
        let told = context.structural(&at, number, Bound::Within(1.0, 1e9), "number of fans");
        Count::new(told, count.span()).get()
    });
    if count > 64 {
        context.error(name.span, "at most 64 fans stand under one name", "too many");
    }
    let units = 1..=count.min(64);
    units
        .map(|k| one_fan(context, case, path, (name, spec), &data, (count > 1).then_some(k)))
        .collect()
}

fn fan_data(
    context: &mut Context<'_>,
    case: &Case,
    (path, name): (&str, &Spanned<String>),
    fan: &FanSpec,
) -> Option<FanData> {
    match (&fan.curve, fan.shut_off, fan.free_flow) {
        (Some(curve), None, None) => {
            let Some(spec) = case.fan_curves.get(&curve.value) else {
                context.unknown(curve.span, "fan curve", &curve.value, case.fan_curves.names());
                return None;
            };
            curves::fan(context, spec)
        }
        (None, Some(rise), Some(flow)) => {
            curves::labelled_fan(context, &format!("{path}/{}", name.value), rise, flow)
        }
        _ => {
            let message = "a fan needs a curve, or both numbers of its label";
            context.problems.push(
                Problem::error(name.span, message)
                    .label("this fan")
                    .help("write `curve: \"name\"` with the name under `fan_curves`")
                    .help("or `shut_off: \"{one AirPressureDifference}\", free_flow: \"{one AirFlow}\"`"),
            );
            None
        }
    }
}

/// One fan. Number `unit` of several has an address of its own beside the common one.
fn one_fan(
    context: &mut Context<'_>,
    case: &Case,
    path: &str,
    (name, spec): (&Spanned<String>, &FanSpec),
    data: &FanData,
    unit: Option<u32>,
) -> Fan {
    let address = format!("{path}/{}", name.value);
    let commanded =
        machines::command(context, &address, (spec.speed, unit, "speed of a fan"), spec.run_on);
    let supply = machines::voltage(context, case, (&address, spec.supply.as_ref()))
        .unwrap_or_else(|| context.addresses["supply:voltage"].slots[0]);
    let fed = Fed { rated: spec.rated_voltage, of_curve: data.voltage, regulated: spec.regulated };
    let rated = machines::rated_voltage(context, (&address, fed), supply);
    let [stopped_fall, backwards] = at_rest(context, &address, spec, data);
    let power_address = format!("{address}:power");
    let power = if let Some(current) = spec.current {
        let bound = Bound::Within(0.01, 1e4);
        let amps = context.given(&format!("{address}:current"), current, bound, "current of a fan");
        let power =
            context.addressed(&power_address, Kind::ElectricPower, 0.0, Some(current.span()));
        let volts = rated.unwrap_or(supply);
        context.follows(power, &[amps, volts], move |v| v.get(amps) * v.get(volts));
        over_unity(context, current.span(), data, context.values.get(power));
        power
    } else {
        let best = data.best_power();
        context.assumed(&power_address, FAN_POWER.of(best))
    };
    Fan {
        name: unit.map_or_else(|| name.value.clone(), |k| made::unit(&name.value, k as usize)),
        curve: data.curve.clone(),
        curve_density: context.fixed(data.density),
        commanded,
        stopped_fall,
        stopped_flow: context.fixed(data.free_flow),
        backwards,
        power,
        voltage: supply,
        rated_voltage: rated,
    }
}

/// A fan that gives more power to the air than it takes does not exist.
fn over_unity(context: &mut Context<'_>, span: Span, data: &FanData, power_w: f64) {
    let best = data.best_power();
    if power_w < best {
        let share = 100.0 * best / power_w;
        let message = format!(
            "this fan would take {} and give {} to the air: {share:.0} % efficiency",
            spoken(Kind::ElectricPower, power_w),
            spoken(Kind::ElectricPower, best)
        );
        let problem = Problem::error(span, message).label("too little current");
        let help =
            "look for a slip in the current, the voltage, or the unit of its flow or pressure";
        context.value_error(problem.help(help));
    }
}

/// What a fan resists at rest: its fall at its free flow, and how many times as much it falls backwards.
fn at_rest(context: &mut Context<'_>, address: &str, spec: &FanSpec, data: &FanData) -> [Slot; 2] {
    let seized = matches!(spec.when_stopped, Some(WhenStopped::Seized));
    let fall =
        if seized { FAN_SEIZED.of(data.shut_off) } else { FAN_WINDMILLING.of(data.shut_off) };
    let backwards = FAN_BACKWARDS.fixed();
    let number = |name: &str| format!("{address}:{name}");
    [
        context.assumed(&number("stopped_fall"), fall),
        context.assumed(&number("backwards"), backwards),
    ]
}
