//! Gauges on their way from the file into the model.

use coolwright_models::circuit::Circuit;
use coolwright_models::gauge::{Gauge, GaugePlace, Reads, Rise, Sheath, Spot};
use coolwright_models::model::Model;
use coolwright_models::slots::Slot;

use super::context::{Bound, Context};
use super::plumbing::{Tap, find, names_in};
use crate::diagnostic::Problem;
use crate::file::{Case, Gauge as GaugeSpec, PartEnd, Reads as ReadsSpec};
use crate::quantity::{Kind, Length, Time, VolumeFlow, parse};
use crate::text::Spanned;

/// Lowers the gauges of a case into a model whose circuits are made.
pub(super) fn lower(context: &mut Context<'_>, case: &Case, model: &mut Model) {
    // Where a circuit could not be made, what stands in it is not known.
    if model.circuits.len() < case.circuits.len() {
        context.structural += usize::from(!case.gauges.is_empty());
        return;
    }
    for (name, spec) in &case.gauges {
        if let Some((circuit, place)) = place(context, model, name, spec) {
            let reads = match spec.reads {
                ReadsSpec::Pressure => Reads::Pressure,
                ReadsSpec::Temperature => Reads::Temperature,
                ReadsSpec::Flow => Reads::Flow,
            };
            let sheath = sheath(context, name, spec);
            let error = error(context, name, spec);
            let offset = offset(context, name, spec);
            let name = name.value.clone();
            model.gauges.push(Gauge { name, reads, circuit, place, sheath, error, offset });
        }
    }
}

/// Lowers the rises between gauges of a model.
pub(super) fn rises(context: &mut Context<'_>, case: &Case, model: &mut Model) {
    if model.gauges.len() < case.gauges.len() {
        return;
    }
    for (name, spec) in &case.rises {
        let mut gauge = |at: &Spanned<String>| {
            let mut gauges = model.gauges.iter();
            let found = gauges.position(|gauge| gauge.name == at.value);
            if found.is_none() {
                let known = model.gauges.iter().map(|gauge| gauge.name.as_str());
                context.unknown(at.span, "gauge", &at.value, known);
            }
            found
        };
        let (Some(from), Some(to)) = (gauge(&spec.from), gauge(&spec.to)) else { continue };
        let reads = [from, to].map(|gauge| model.gauges[gauge].reads);
        let fault = match reads {
            _ if from == to => Some(("a rise goes from one gauge to another", "the same one")),
            [Reads::Flow, _] | [_, Reads::Flow] => {
                Some(("a rise is one of temperature or of pressure", "a flow meter is among them"))
            }
            [a, b] if a != b => Some(("a rise lies between two gauges of a kind", "another kind")),
            _ => None,
        };
        if let Some((message, label)) = fault {
            context.problems.push(
                Problem::error(spec.to.span, message)
                    .label(label)
                    .also(spec.from.span, "from this one"),
            );
            continue;
        }
        model.rises.push(Rise { name: name.value.clone(), from, to });
    }
}

/// The lag of a thermometer.
fn sheath(context: &mut Context<'_>, name: &Spanned<String>, spec: &GaugeSpec) -> Option<Sheath> {
    let address = |field: &str| format!("gauges/{}:{field}", name.value);
    let span = spec.lag.map(Time::span).or(spec.lag_at.map(VolumeFlow::span))?;
    let (Some(lag), ReadsSpec::Temperature) = (spec.lag, spec.reads) else {
        let (message, label) = if spec.reads == ReadsSpec::Temperature {
            ("this thermometer tells at which flow its lag holds, and no lag", "add `lag`")
        } else {
            ("only a thermometer lags here: pressure and flow are shown at once", "leave this out")
        };
        context.error(span, message, label);
        return None;
    };
    let lag = context.given(&address("lag"), lag, Bound::Within(1e-3, 3600.0), "lag of a gauge");
    let at = spec.lag_at.map(|at| {
        let bound = Bound::Within(1e-9, 10.0);
        context.given(&address("lag_at"), at, bound, "flow at which a lag holds")
    });
    Some(Sheath { lag, at })
}

/// The kind of what a gauge is off by.
fn kind_of_error(spec: &GaugeSpec) -> Kind {
    match spec.reads {
        ReadsSpec::Pressure => Kind::PressureDifference,
        ReadsSpec::Temperature => Kind::TemperatureDifference,
        ReadsSpec::Flow => Kind::VolumeFlow,
    }
}

/// An amount that a gauge is off by, SI.
fn amount(context: &mut Context<'_>, text: &Spanned<String>, spec: &GaugeSpec) -> Option<f64> {
    match parse(kind_of_error(spec), &text.value) {
        Ok(si) => Some(si),
        Err(error) => {
            let problem = Problem::error(text.span, error.message).label("the error of this gauge");
            context.problems.push(error.help.into_iter().fold(problem, Problem::help));
            None
        }
    }
}

/// What a gauge is known to show above the truth.
fn offset(context: &mut Context<'_>, name: &Spanned<String>, spec: &GaugeSpec) -> Slot {
    let kind = kind_of_error(spec);
    let text = spec.offset.as_ref();
    let given = text.and_then(|text| amount(context, text, spec));
    let address = format!("gauges/{}:offset", name.value);
    let most = match spec.reads {
        ReadsSpec::Pressure => 1e6,
        ReadsSpec::Temperature => 100.0,
        ReadsSpec::Flow => 0.1,
    };
    let (bound, what) = (Bound::Within(-most, most), "what a gauge shows above the truth");
    let span = text.map(|text| text.span);
    let told = context.told(&address).or(span.zip(given).map(|(span, si)| (si, span)));
    if let Some((si, span)) = told {
        context.check(si, span, kind, bound, what);
    }
    let slot = context.addressed(&address, kind, given.unwrap_or(0.0), span);
    context.bind(&address, bound, what);
    slot
}

/// What a gauge may be off by.
fn error(context: &mut Context<'_>, name: &Spanned<String>, spec: &GaugeSpec) -> Option<Slot> {
    let text = spec.error.as_ref()?;
    let kind = kind_of_error(spec);
    let si = amount(context, text, spec)?;
    let address = format!("gauges/{}:error", name.value);
    let what = "error of a gauge";
    let si = context.check(si, text.span, kind, Bound::NotNegative, what);
    let slot = context.addressed(&address, kind, si, Some(text.span));
    context.bind(&address, Bound::NotNegative, what);
    Some(slot)
}

/// Where a gauge sits: circuit, and place in it.
fn place(
    context: &mut Context<'_>,
    model: &Model,
    name: &Spanned<String>,
    spec: &GaugeSpec,
) -> Option<(usize, GaugePlace)> {
    let at = &spec.at;
    if context.has_failed(&at.value) {
        return None;
    }
    let (circuit_name, rest) = at.value.split_once('/').unwrap_or((&at.value, ""));
    let found = model.circuits.iter().enumerate().find(|(_, c)| c.name == circuit_name);
    let taps = found.map(|(_, circuit)| find(circuit, rest)).unwrap_or_default();
    let (Some((c, circuit)), Some(&first), Some(&last)) = (found, taps.first(), taps.last()) else {
        let of = |circuit: &Circuit| -> Vec<String> {
            names_in(circuit).iter().map(|name| format!("{}/{name}", circuit.name)).collect()
        };
        let known: Vec<String> = model.circuits.iter().flat_map(of).collect();
        context.unknown(at.span, "part or junction", &at.value, known.iter().map(String::as_str));
        return None;
    };
    let end = spec.end.unwrap_or(PartEnd::Inlet);
    let (run, part) = match if end == PartEnd::Inlet { first } else { last } {
        Tap::Junction(junction) => return at_junction(context, spec, c, junction),
        Tap::Part(run, part) => (run, part),
    };
    let side_by_side = matches!(first, Tap::Part(first, _) if first != run) || {
        let path = circuit.groups.iter().find(|group| group.path == rest);
        path.is_some_and(|g| {
            g.arrangement == coolwright_models::circuit::Arrangement::Parallel && g.units.len() > 1
        })
    };
    if side_by_side && spec.reads == ReadsSpec::Flow {
        let message =
            format!("`{}` is several pumps side by side, each with a flow of its own", at.value);
        context.problems.push(
            Problem::error(at.span, message)
                .label("which of them?")
                .help(format!("name one, as in `{}/1`, or a part before or behind them", at.value)),
        );
        return None;
    }
    let spot = match (spec.along, end) {
        (Some(distance), _) => along(context, (name, spec), circuit, (run, part), distance)?,
        (None, PartEnd::Inlet) => Spot::Inlet,
        (None, PartEnd::Outlet) => Spot::Outlet,
    };
    Some((c, GaugePlace::Part { run, part, spot }))
}

/// A gauge at a junction has no ends, and no one flow.
fn at_junction(
    context: &mut Context<'_>,
    spec: &GaugeSpec,
    circuit: usize,
    junction: usize,
) -> Option<(usize, GaugePlace)> {
    let at = &spec.at;
    let message = if spec.reads == ReadsSpec::Flow {
        "several flows meet at a junction: a flow meter sits in a part"
    } else if spec.end.is_some() || spec.along.is_some() {
        "a gauge at a junction has neither `end` nor `along`"
    } else {
        return Some((circuit, GaugePlace::Junction(junction)));
    };
    context.error(at.span, message, "this is a junction");
    None
}

/// A place between the ends of a hose.
fn along(
    context: &mut Context<'_>,
    (name, spec): (&Spanned<String>, &GaugeSpec),
    circuit: &Circuit,
    (run, part): (usize, usize),
    distance: Length,
) -> Option<Spot> {
    let placed = &circuit.runs[run].parts[part];
    let address = format!("{}/{}/{}", circuit.name, circuit.runs[run].path, placed.name);
    if spec.end.is_some() {
        let label = "leave out `end`, or this";
        context.error(distance.span(), "this gauge tells its place twice", label);
    }
    let length = context.addresses.get(&format!("{address}:length")).map(|a| a.slots[0]);
    let (Some(way), Some(length)) = (context.hoses.get(&address).cloned(), length) else {
        let message = format!("`{address}` is no hose, so there is no distance along it");
        context.error(distance.span(), message, "give `end: Inlet` or `end: Outlet`");
        return None;
    };
    let whole = context.values.get(length);
    let own = format!("gauges/{}:along", name.value);
    let distance =
        context.given(&own, distance, Bound::Within(0.0, whole), "distance along this hose");
    let height = way.height_m(context.values.get(distance) / whole).map(|_| {
        context.derived(&[distance, length], move |values| {
            way.height_m(values.get(distance) / values.get(length)).unwrap_or(0.0)
        })
    });
    Some(Spot::Along { distance, length, height })
}
