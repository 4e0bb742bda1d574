//! Heat of engines by fuel or by a map, on its way from the file into the model.

use coolwright_models::body::{BatteryHeat, FuelHeat, HeatMap};
use coolwright_models::slots::Slot;

use super::context::{Bound, Context};
use super::usual::FUEL_SHARE;
use crate::diagnostic::Problem;
use crate::file::{Battery, Case, Engine, Fuel, HeatRow};
use crate::quantity::{Flow, Fraction, Kind, spoken};
use crate::text::Spanned;

/// Heat by the fuel of an engine.
pub(super) fn fuel(
    context: &mut Context<'_>,
    (case, address): (&Case, &str),
    fuel: &Spanned<Fuel>,
) -> Option<FuelHeat> {
    let spec = &fuel.value;
    let bound = Bound::Within(1e6, 1.5e8);
    let at = format!("{address}:heating_value");
    let heating_value = context.given(&at, spec.heating_value, bound, "heating value of a fuel");
    let burns = match (spec.burns, spec.flow) {
        (Some(burns), None) => {
            let (at, bound) = (format!("{address}:burns"), Bound::Within(1e-9, 1e-6));
            context.given(&at, burns, bound, "fuel burnt for the power")
        }
        (None, Some(flow)) => by_flow(context, (case, address), flow)?,
        _ => {
            let problem = Problem::error(fuel.span, "how much fuel is burnt: `burns` or `flow`?");
            let help = "for example burns: \"{one Consumption}\", or flow: \"{one MassFlow}\" at full power";
            context.problems.push(problem.label("one of them, not both").help(help));
            return None;
        }
    };
    let given = context.values.get(burns) * context.values.get(heating_value);
    if given > 0.0 && given <= 1.0 {
        let message =
            format!("this fuel holds {:.0} % of the power that is made of it", 100.0 * given);
        let problem = Problem::error(fuel.span, message).label("less than it gives");
        let help = "look for a slip in a unit: engines burn 200 to 400 g/kWh of petrol or diesel, twice that of methanol \
                    (common practice, no source)";
        context.value_error(problem.help(help));
    }
    let at = format!("{address}:fuel_share");
    let share = context.or_assumed(&at, spec.share, Bound::Within(0.0, 1.0), FUEL_SHARE.fixed());
    Some(FuelHeat { share, burns, heating_value })
}

/// Fuel burnt for the power, where it is told at full power.
fn by_flow(context: &mut Context<'_>, (case, address): (&Case, &str), flow: Flow) -> Option<Slot> {
    let Flow::Mass(mass) = flow else {
        let message = "fuel is told by its mass";
        let problem = Problem::error(flow.span(), message).label("a volume");
        context
            .problems
            .push(problem.help("for example \"{one MassFlow}\": its density is not known here"));
        return None;
    };
    let at = format!("{address}:fuel_flow");
    let flow = context.given(&at, mass, Bound::Within(1e-6, 10.0), "fuel burnt at full power");
    let full = case.duty.power.is_some() || context.told("duty:power").is_some();
    let power = context.slot("duty:power").filter(|_| full)?;
    Some(context.derived(&[flow, power], move |values| {
        let full = values.get(power);
        if full > 0.0 { values.get(flow) / full } else { 0.0 }
    }))
}

/// Values on an axis of a map are the same within this share.
const SAME: f64 = 1e-6;

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME * (a.abs() + b.abs())
}

/// The values of one axis of a map, rising, each once.
pub(super) fn axis(rows: &[[f64; 3]], k: usize) -> Vec<f64> {
    let mut axis: Vec<f64> = rows.iter().map(|row| row[k]).collect();
    axis.sort_by(f64::total_cmp);
    axis.dedup_by(|a, b| same(*a, *b));
    axis
}

/// What a map tells at every value of its first axis, at each of its second; `None` where it does not have each once, or not
/// two or more of both.
pub(super) fn grid(rows: &[[f64; 3]], [first, second]: [&[f64]; 2]) -> Option<Vec<Vec<f64>>> {
    let at = |a: f64, b: f64| rows.iter().find(|row| same(row[0], a) && same(row[1], b));
    let whole = rows.len() == first.len() * second.len() && first.len() > 1 && second.len() > 1;
    let row = |&a: &f64| second.iter().map(|&b| at(a, b).map(|row| row[2])).collect();
    whole.then(|| first.iter().map(row).collect()).flatten()
}

/// Heat of a battery that gives the power.
pub(super) fn battery(
    context: &mut Context<'_>,
    address: &str,
    spec: &Spanned<Battery>,
) -> BatteryHeat {
    let of = &spec.value;
    let at = |name: &str| format!("{address}:{name}");
    let bound = Bound::Within(1.0, 2000.0);
    let voltage = context.given(&at("voltage"), of.voltage, bound, "voltage of a battery");
    let bound = Bound::Within(1e-6, 10.0);
    let resistance =
        context.given(&at("resistance"), of.resistance, bound, "resistance of a battery");
    let battery = BatteryHeat { voltage, resistance };
    let full = context.slot("duty:power").map_or(0.0, |slot| context.values.get(slot));
    let [open, ohm] = [voltage, resistance].map(|slot| context.values.get(slot));
    let most = open * open / (4.0 * ohm);
    if full > most {
        let message = format!(
            "this battery cannot give {}: {} is the most that its resistance lets out",
            spoken(Kind::Power, full),
            spoken(Kind::Power, most)
        );
        let problem = Problem::error(spec.span, message).label("of this voltage and resistance");
        context.value_error(
            problem.help("the resistance is that from pole to pole, all cells in one"),
        );
    }
    battery
}

/// Heat by a map over speed and power.
pub(super) fn map(
    context: &mut Context<'_>,
    (case, speed): (&Case, Slot),
    map: &Spanned<Vec<HeatRow>>,
) -> Option<HeatMap> {
    let rows: Vec<[f64; 3]> = map
        .value
        .iter()
        .map(|row| {
            let speed = context.checked(row.engine_speed, Bound::Within(1.0, 1e4), "engine speed");
            [speed, row.power.si(), context.checked(row.heat, Bound::NotNegative, "heat")]
        })
        .collect();
    let [speeds, powers] = [0, 1].map(|k| axis(&rows, k));
    let Some(heats) = grid(&rows, [&speeds, &powers]) else {
        let message = format!(
            "a map of heat needs each of its {} speeds at each of its {} powers, once, and two or more of both",
            speeds.len(),
            powers.len()
        );
        context.error(map.span, message, format!("{} rows", rows.len()));
        return None;
    };
    if case.duty.engine_speed.is_none() && context.told("duty:engine_speed").is_none() {
        let message = "the heat of this engine follows its speed, but `duty` gives no engine speed";
        let problem = Problem::error(map.span, message).label("this map");
        let help = "add `duty: Duty(engine_speed: \"{one RotationalSpeed}\")` to the case";
        context.problems.push(problem.help(help));
    }
    Some(HeatMap { speed, speeds, powers, heats })
}

/// What a map and a table tell together would be counted twice.
pub(super) fn told_once(context: &mut Context<'_>, spec: &Engine) {
    let told = [
        ("share", spec.share.map(Fraction::span)),
        ("table", spec.table.as_ref().map(|table| table.span)),
        ("map", spec.map.as_ref().map(|map| map.span)),
        ("fuel", spec.fuel.as_ref().map(|fuel| fuel.span)),
    ];
    let mut told = told.iter().filter_map(|(name, span)| span.map(|span| (*name, span)));
    let (Some((first, at)), Some((second, other))) = (told.next(), told.next()) else { return };
    if [first, second] == ["share", "table"] {
        return;
    }
    let message = format!("`{first}` and `{second}` both tell the heat that goes with the power");
    let problem = Problem::error(other, message).label("this").also(at, "and this");
    context.problems.push(problem.help("keep one of them; `heat` may stand beside it"));
}
