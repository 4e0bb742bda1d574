//! Thermostats on their way from the file into the model: at an opening that is told, or moved by wax.

use coolwright_models::parts::{Element, Feels, Opening, Thermostat};
use coolwright_models::slots::Slot;

use super::fittings::{FALL, LEAK, OPEN};
use super::{Lowered, Spot, assumed_flow, own_bore, rated_flow, usual_flow};
use crate::diagnostic::Problem;
use crate::file::{PartSpec, Run, ThermostatSide};
use crate::lower::context::{Bound, Context};
use crate::lower::liquids::{Told, Warmth, liquid};
use crate::lower::usual::{
    THERMOSTAT_FALL, THERMOSTAT_HYSTERESIS, THERMOSTAT_LAG, THERMOSTAT_LAG_AT, THERMOSTAT_LEAK,
    THERMOSTAT_OPENING, THERMOSTAT_RANGE,
};
use crate::quantity::{Fraction, TemperatureDifference, Time, VolumeFlow};

/// Where wax melts, K.
const OPENS: Bound = Bound::Within(273.15, 423.15);
/// From the beginning to full open, K.
const RANGE: Bound = Bound::Within(1.0, 60.0);
/// How much of hysteresis there may be, K.
const HYSTERESIS: Bound = Bound::Within(0.0, 40.0);
/// Lag of wax, s.
const LAG: Bound = Bound::Within(0.1, 600.0);
/// Flow of that lag, m³/s.
const LAG_AT: Bound = Bound::Within(1e-6, 0.1);

/// A main valve of the circuit of a place.
struct Main<'a> {
    /// `run/part`.
    path: String,
    run: &'a Run,
    part: &'a str,
    spec: &'a PartSpec,
}

impl Main<'_> {
    /// Whether its wax moves it.
    fn moves(&self) -> bool {
        matches!(self.spec, PartSpec::Thermostat { opens: Some(_), .. })
    }
}

pub(super) fn thermostat(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Thermostat { side, of, leak, bore, .. } = spec else { return None };
    let address = &spot.address;
    let bore = own_bore(context, spot, *bore);
    let [fall, flow, density] = thermostat_fall(context, spot, bore, spec)?;
    let bypass = *side == Some(ThermostatSide::Bypass);
    if let (Some(of), false) = (of, bypass) {
        let message = "`of` names the thermostat that moves a bypass";
        context.error(of.span, message, "add `side: Bypass`, or leave this out");
        return None;
    }
    let open = if bypass { follower(context, spot, spec) } else { mover(context, spot, spec) }?;
    let leak = context.or_assumed(&format!("{address}:leak"), *leak, LEAK, THERMOSTAT_LEAK.fixed());
    Some(Lowered::One(Box::new(Thermostat { bore, fall, flow, density, open, leak, bypass })))
}

/// What opens a main valve.
fn mover(context: &mut Context<'_>, spot: &Spot<'_>, spec: &PartSpec) -> Option<Opening> {
    let PartSpec::Thermostat { open, opens, .. } = spec else { return None };
    if opens.is_none() {
        only_with_wax(context, spec)?;
        alone(context, &spot.address, None);
        return Some(Opening::Told(main_opening(context, &spot.address, *open)));
    }
    if let Some(open) = open {
        let label = "it `opens` by its wax: leave this out, or that";
        context.error(open.span(), "the opening of this thermostat is told twice", label);
        return None;
    }
    let main =
        mains(spot).into_iter().find(|main| spot.address.ends_with(&format!("/{}", main.path)))?;
    let feels = place(&main);
    let at = junction(&main, feels);
    context.notes.push(match at {
        Some(junction) => format!(
            "The wax of `{}` feels what meets at `{junction}`, where it stands.",
            spot.address
        ),
        None => format!("The wax of `{}` feels the coolant before it in its run.", spot.address),
    });
    element(context, &spot.address, spec, feels).map(Opening::Wax)
}

/// What opens a bypass valve: the wax or the opening of its main valve, or an opening of its own.
fn follower(context: &mut Context<'_>, spot: &Spot<'_>, spec: &PartSpec) -> Option<Opening> {
    let PartSpec::Thermostat { open, of, opens, .. } = spec else { return None };
    only_with_wax(context, spec)?;
    if let Some(opens) = opens {
        let label = "a bypass is moved by its main valve: leave this out";
        context.error(opens.span(), "this bypass has a wax of its own", label);
        return None;
    }
    if let (Some(_), Some(open)) = (of, open) {
        let label = "its opening is that of the thermostat in `of`: leave this out";
        context.error(open.span(), "the opening of this bypass is told twice", label);
        return None;
    }
    let mains = mains(spot);
    let main = match (of, mains.as_slice()) {
        (Some(of), mains) => {
            let Some(main) = mains.iter().find(|main| main.path == of.value) else {
                let message = format!("`{}` is no thermostat of this circuit", of.value);
                context.error(of.span, message, "the `run/part` of the main valve");
                return None;
            };
            main
        }
        (None, [main]) if open.is_none() => main,
        (None, mains) if open.is_none() && mains.iter().any(Main::moves) => {
            let message = "this bypass does not say which thermostat moves it";
            let paths: Vec<String> =
                mains.iter().map(|main| format!("`of: \"{}\"`", main.path)).collect();
            let problem = Problem::error(spot.span, message).label("there are several");
            context.problems.push(problem.help(format!("write {}", paths.join(" or "))));
            return None;
        }
        (None, mains) => {
            alone(context, &spot.address, Some(mains));
            return Some(Opening::Told(main_opening(context, &spot.address, *open)));
        }
    };
    let circuit = spot.address.split('/').next().unwrap_or_default();
    let address = format!("{circuit}/{}", main.path);
    let PartSpec::Thermostat { open, opens, .. } = main.spec else { return None };
    if opens.is_some() {
        let feels = beside(context, spot, main)?;
        let element = element(context, &address, main.spec, feels)?;
        return Some(Opening::Wax(Element { bypass: true, ..element }));
    }
    let slot = main_opening(context, &address, *open);
    context.alias(&format!("{address}:open"), &format!("{}:open", spot.address), slot);
    Some(Opening::Told(slot))
}

/// The wax of a main valve, by the address of that. A bypass that stands before it in the file has made its slots.
fn element(
    context: &mut Context<'_>,
    address: &str,
    spec: &PartSpec,
    feels: Feels,
) -> Option<Element> {
    let PartSpec::Thermostat { opens, range, hysteresis, lag, lag_at, .. } = spec else {
        return None;
    };
    let known = |context: &Context<'_>, name: &str| context.slot(&format!("{address}:{name}"));
    let at = |name: &str| format!("{address}:{name}");
    let opens = match known(context, "opens") {
        Some(slot) => slot,
        None => context.given(
            &at("opens"),
            (*opens)?,
            OPENS,
            "temperature at which a thermostat begins to open",
        ),
    };
    let range = known(context, "range").unwrap_or_else(|| {
        context.or_assumed(&at("range"), *range, RANGE, THERMOSTAT_RANGE.fixed())
    });
    let hysteresis = known(context, "hysteresis").unwrap_or_else(|| {
        context.or_assumed(
            &at("hysteresis"),
            *hysteresis,
            HYSTERESIS,
            THERMOSTAT_HYSTERESIS.fixed(),
        )
    });
    let lag = known(context, "lag")
        .unwrap_or_else(|| context.or_assumed(&at("lag"), *lag, LAG, THERMOSTAT_LAG.fixed()));
    let lag_at = known(context, "lag_at").unwrap_or_else(|| {
        context.or_assumed(&at("lag_at"), *lag_at, LAG_AT, THERMOSTAT_LAG_AT.fixed())
    });
    Some(Element { opens, range, hysteresis, lag, lag_at, feels, bypass: false })
}

/// What is told of wax needs a temperature at which it opens.
fn only_with_wax(context: &mut Context<'_>, spec: &PartSpec) -> Option<()> {
    let PartSpec::Thermostat { opens: None, range, hysteresis, lag, lag_at, .. } = spec else {
        return Some(());
    };
    let told = [
        ("range", range.map(TemperatureDifference::span)),
        ("hysteresis", hysteresis.map(TemperatureDifference::span)),
        ("lag", lag.map(Time::span)),
        ("lag_at", lag_at.map(VolumeFlow::span)),
    ];
    let Some((name, span)) = told.into_iter().find_map(|(name, span)| Some((name, span?))) else {
        return Some(());
    };
    let message = format!("`{name}` is of a thermostat that moves");
    context.error(span, message, "say with `opens` at which temperature the main valve begins to");
    None
}

/// Where a main valve feels its coolant: at the junction next to it, where only valves are between.
fn place(main: &Main<'_>) -> Feels {
    let Main { run, part, .. } = main;
    let holds = |spec: &PartSpec| {
        !matches!(
            spec,
            PartSpec::Thermostat { .. }
                | PartSpec::Throttle { .. }
                | PartSpec::Restrictor { .. }
                | PartSpec::CheckValve { .. }
                | PartSpec::Reducer { .. }
        )
    };
    let parts: Vec<_> = run.parts.iter().collect();
    let Some(at) = parts.iter().position(|(name, _)| name.value == *part) else {
        return Feels::Here;
    };
    let (before, behind) = (&parts[..at], &parts[at + 1..]);
    match (&run.from, &run.to) {
        (Some(_), _) if !before.iter().any(|(_, spec)| holds(spec)) => Feels::Start,
        (_, Some(_)) if !behind.iter().any(|(_, spec)| holds(spec)) => Feels::End,
        _ => Feels::Here,
    }
}

/// The junction at which a main valve feels its coolant.
fn junction<'a>(main: &Main<'a>, feels: Feels) -> Option<&'a str> {
    let at = match feels {
        Feels::Here => None,
        Feels::Start => main.run.from.as_ref(),
        Feels::End => main.run.to.as_ref(),
    };
    at.map(|junction| junction.value.as_str())
}

/// Where a bypass valve feels what its main valve feels: it has to end at the same junction.
fn beside(context: &mut Context<'_>, spot: &Spot<'_>, main: &Main<'_>) -> Option<Feels> {
    let mut names = spot.address.split('/');
    let circuit = spot.case.circuits.get(names.next()?)?;
    let run = circuit.runs.get(names.next()?)?;
    let at = junction(main, place(main));
    let ends = [(&run.from, Feels::Start), (&run.to, Feels::End)];
    let shared = ends
        .into_iter()
        .find(|(end, _)| at.is_some() && end.as_ref().map(|end| end.value.as_str()) == at);
    if let Some((_, feels)) = shared {
        return Some(feels);
    }
    let message = format!("this bypass does not meet `{}`, whose wax moves it", main.path);
    context.problems.push(Problem::error(spot.span, message).label("on the same stem").help(
        "let both runs start or end at one junction, each with its valve next to it: there the wax feels the coolant",
    ));
    None
}

/// Says that nothing moves a thermostat, and what could: of a bypass one of the main valves.
fn alone(context: &mut Context<'_>, address: &str, mains: Option<&[Main<'_>]>) {
    let real = match mains {
        None => " A real one shuts when that falls: write `opens` for `open`.",
        Some(_) => "",
    };
    let stem = mains.and_then(<[_]>::first).map_or(String::new(), |main| {
        let main = &main.path;
        format!(" Nor does it shut as `{main}` opens: for that write `of: \"{main}\"` and leave its `open` out.")
    });
    context.notes.push(format!(
        "`{address}` stays as far open as its `open` says, or as a phase sets it: it does not follow the \
         temperature of the coolant.{real}{stem}"
    ));
}

/// The main valves in the circuit of a place.
fn mains<'a>(spot: &Spot<'a>) -> Vec<Main<'a>> {
    let circuit = spot.address.split('/').next().unwrap_or_default();
    let runs = spot.case.circuits.get(circuit).into_iter().flat_map(|circuit| &circuit.runs);
    let parts = runs.flat_map(|(name, run)| run.parts.iter().map(move |part| (name, run, part)));
    let found = parts.filter_map(|(name, run, (part, spec))| match spec {
        PartSpec::Thermostat { side: None | Some(ThermostatSide::Main), .. } => {
            let path = format!("{}/{}", name.value, part.value);
            Some(Main { path, run, part: &part.value, spec })
        }
        _ => None,
    });
    found.collect()
}

/// The opening of a thermostat; a bypass that stands before it in the file has made its slot.
fn main_opening(context: &mut Context<'_>, address: &str, open: Option<Fraction>) -> Slot {
    let at = format!("{address}:open");
    let known = context.slot(&at);
    known.unwrap_or_else(|| context.or_assumed(&at, open, OPEN, THERMOSTAT_OPENING.fixed()))
}

/// Full-open fall and flow, both of the file or both assumed, and the density of the liquid of that.
fn thermostat_fall(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    bore: Option<Slot>,
    spec: &PartSpec,
) -> Option<[Slot; 3]> {
    let PartSpec::Thermostat { fall, at, fluid, fluid_temperature, .. } = spec else { return None };
    let address = &spot.address;
    let told = Told { fluid: fluid.as_ref(), temperature: *fluid_temperature };
    let circuit = spot.coolant(context);
    let liquid = liquid(context, &format!("{address}:"), (told, *at), (Warmth::Bench, circuit));
    let density = liquid.density(context);
    match (*fall, *at) {
        (Some(fall), Some(at)) => {
            let fall = context.given(&format!("{address}:fall"), fall, FALL, "fall of pressure");
            Some([fall, rated_flow(context, &format!("{address}:at"), at, density), density])
        }
        (None, None) => {
            let fall = context.assumed(&format!("{address}:fall"), THERMOSTAT_FALL.fixed());
            let around = bore.unwrap_or(spot.bore);
            let flow = assumed_flow(context, &format!("{address}:at"), 0.0);
            context.follows(flow, &[around], move |values| usual_flow(values, around));
            Some([fall, flow, density])
        }
        _ => {
            context.problems.push(
                Problem::error(spot.span, "a thermostat's `fall` and `at` belong together")
                    .label("one of the two is missing")
                    .help("for example `fall: \"{one PressureDifference}\", at: \"{one VolumeFlow}\"`, both full open"),
            );
            None
        }
    }
}
