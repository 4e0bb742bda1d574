//! What pumps and fans have in common: what commands their speed, and the supply that feeds them.

use coolwright_models::circuit::made;
use coolwright_models::inputs::Command;
use coolwright_models::model::Model;
use coolwright_models::slots::Slot;
use coolwright_models::supply::Sag;

use super::context::{Assumed, Bound, Context};
use crate::diagnostic::Problem;
use crate::file::{Case, Follows, PartSpec, Supply, SwitchSpec};
use crate::lower::usual::RATED_VOLTAGE;
use crate::quantity::{Fraction, Time, Voltage};
use crate::text::Spanned;

/// The range of supply voltages, V.
pub(super) const VOLTAGE: Bound = Bound::Within(1.0, 1500.0);

/// How the speed of a machine goes with the voltage of its supply, as the file tells it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fed {
    /// Voltage at which it turns at the speed of its curve.
    pub rated: Option<Voltage>,
    /// Voltage at which its curve was measured, V.
    pub of_curve: Option<f64>,
    /// Whether a controller holds the speed at any voltage.
    pub regulated: Option<bool>,
}

/// The command of a machine at an address, and the slot of the speed that follows from it: what it is
/// set to, what a phase sets it to instead, and what a phase asks of all. Number `unit` of several has an
/// address of its own.
pub(super) fn command(
    context: &mut Context<'_>,
    address: &str,
    (speed, unit, what): (Option<Fraction>, Option<u32>, &str),
    run_on: Option<Time>,
) -> Slot {
    let common = format!("{address}:speed");
    let own = context.or_default(&common, speed, Bound::Within(0.0, 2.0), (what, 1.0));
    if let Some(unit) = unit {
        context.alias(&common, &format!("{}:speed", made::unit(address, unit as usize)), own);
    }
    let instead = context.fixed(Command::NOT_SET);
    let share = context.fixed(1.0);
    let bound = Bound::Within(0.0, 86_400.0);
    let at = format!("{address}:run_on");
    let run_on = run_on.map(|time| context.given(&at, time, bound, "time that it runs on"));
    if let Some((unit, slot)) = unit.zip(run_on) {
        context.alias(&at, &format!("{}:run_on", made::unit(address, unit as usize)), slot);
    }
    let command = Command { own, instead, share, run_on };
    let speed = context.derived(&[own, instead, share], move |values| command.speed(values));
    context.commands.insert(speed, command);
    speed
}

/// Resistances of supplies, Ω.
const RESISTANCE: Bound = Bound::Within(0.0, 10.0);

/// What a supply sags by, where that is told. Where nothing is drawn its machines find its voltage.
pub(super) fn sag(context: &mut Context<'_>, path: &str, supply: &Supply) {
    let address = format!("{path}:resistance");
    let Some(open) = context.slot(&format!("{path}:voltage")) else { return };
    if supply.resistance.is_none() && context.told(&address).is_none() {
        return;
    }
    let what = ("resistance of a supply", 0.0);
    let resistance = context.or_default(&address, supply.resistance, RESISTANCE, what);
    let found = context.derived(&[open], move |values| values.get(open));
    context.sags.insert(path.to_owned(), (found, Sag { open, resistance }));
}

/// The voltage that the machines of a supply find, and what is behind it where it sags.
pub(super) fn supplied(context: &Context<'_>, path: &str) -> Option<(Slot, Option<Sag>)> {
    let sagging = context.sags.get(path).map(|&(found, sag)| (found, Some(sag)));
    sagging.or_else(|| Some((context.slot(&format!("{path}:voltage"))?, None)))
}

/// The voltage of the supply that a machine names, or of the only one.
pub(super) fn voltage(
    context: &mut Context<'_>,
    case: &Case,
    (address, name): (&str, Option<&Spanned<String>>),
) -> Option<Slot> {
    if let Some(name) = name {
        if let Some((slot, _)) = supplied(context, &format!("supplies/{}", name.value)) {
            return Some(slot);
        }
        let known: Vec<String> = case.supplies.names().map(str::to_owned).collect();
        context.unknown(name.span, "supply", &name.value, known.iter().map(String::as_str));
        return None;
    }
    let told = case.supply.voltage.is_some() || context.told("supply:voltage").is_some();
    let mut names = case.supplies.iter();
    match (names.next(), names.next()) {
        (Some((only, _)), None) if !told => {
            Some(supplied(context, &format!("supplies/{}", only.value))?.0)
        }
        (Some((first, _)), Some((second, _))) if !told => {
            let message = format!("which of the supplies feeds `{address}`?");
            let help = format!("add `supply: \"{}\"` to it", first.value);
            let problem = Problem::error(first.span, message).label("this one?");
            context.problems.push(problem.also(second.span, "or this one?").help(help));
            None
        }
        _ => Some(supplied(context, "supply")?.0),
    }
}

/// The voltage at which a machine turns at the speed of its curve; `None` where a controller holds its
/// speed at any.
pub(super) fn rated_voltage(
    context: &mut Context<'_>,
    (address, fed): (&str, Fed),
    supply: Slot,
) -> Option<Slot> {
    let at = format!("{address}:rated_voltage");
    if fed.regulated == Some(true) {
        if let Some(rated) = fed.rated {
            let message = "a machine whose controller holds its speed has no `rated_voltage`";
            context.error(rated.span(), message, "leave this out, or `regulated`");
        }
        let note =
            format!("The controller of `{address}` holds its speed at any voltage of its supply.");
        if !context.notes.contains(&note) {
            context.notes.push(note);
        }
        return None;
    }
    if fed.rated.is_some() || fed.of_curve.is_some() {
        let default = fed.of_curve.unwrap_or(1.0);
        return Some(context.or_default(&at, fed.rated, VOLTAGE, ("rated voltage", default)));
    }
    let volts = context.values.get(supply);
    let nominal = nominal(volts);
    let assumed = Assumed { value: nominal, range: made_for(volts), ..RATED_VOLTAGE.fixed() };
    let slot = context.assumed(&at, assumed);
    context.bind(&at, VOLTAGE, "rated voltage");
    Some(context.follows(slot, &[supply], move |values| self::nominal(values.get(supply))))
}

/// Supplies of neither 12 nor 24 V, V: what they feed may be made for either.
const BETWEEN: std::ops::Range<f64> = 15.5..22.0;

/// The voltages for which the curves of machines on a supply may hold, V.
fn made_for(supply: f64) -> (f64, f64) {
    if BETWEEN.contains(&supply) {
        return (12.0, 28.8);
    }
    let nominal = nominal(supply);
    (nominal * 12.0 / 13.5, nominal * 14.4 / 13.5)
}

/// The voltage that machines on a supply are made for, V.
fn nominal(supply: f64) -> f64 {
    match supply {
        ..18.0 => 13.5,
        18.0..36.0 => 27.0,
        other => other,
    }
}

/// A fan or a pump of the file, with what moves its speed.
pub(super) struct Moved<'a> {
    pub address: String,
    pub switch: Option<&'a SwitchSpec>,
    pub follows: Option<&'a Follows>,
    pub ramp: Option<Time>,
}

/// All fans and pumps of a case, in its order.
pub(super) fn moved(case: &Case) -> Vec<Moved<'_>> {
    let mut all = Vec::new();
    for (path, spec) in &case.air_paths {
        for (fan, spec) in &spec.fans {
            let address = format!("air_paths/{}/{}", path.value, fan.value);
            let (switch, follows) = (spec.switch.as_ref(), spec.follows.as_ref());
            all.push(Moved { address, switch, follows, ramp: spec.ramp });
        }
    }
    for (circuit, spec) in &case.circuits {
        for (run, spec) in &spec.runs {
            for (part, spec) in &spec.parts {
                let PartSpec::Pump { switch, follows, ramp, .. } = spec else { continue };
                let address = format!("{}/{}/{}", circuit.value, run.value, part.value);
                let (switch, follows) = (switch.as_ref(), follows.as_ref());
                all.push(Moved { address, switch, follows, ramp: *ramp });
            }
        }
    }
    all
}

/// The machines of the model at an address of the file: several where it has a count, none where it could not be lowered
/// or the engine turns it.
pub(super) fn machines_at(model: &Model, address: &str) -> Vec<usize> {
    let machines = model.machines.iter().enumerate();
    machines.filter(|(_, machine)| machine.answers_to(address)).map(|(m, _)| m).collect()
}
