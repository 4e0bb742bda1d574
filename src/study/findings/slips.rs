//! Numbers so far from what is usual that a slip is likely: power, heat, air.

use coolwright_cases::quantity::Kind;
use coolwright_models::air::CoreRating;
use coolwright_models::circuit::Joint;
use coolwright_models::ids::Id;
use coolwright_models::parts::PumpPower;

use super::view::{View, named};
use super::{Finding, Findings, Severity};
use crate::study::load::{coldest_air_k, full_power_w};

/// Current and electric power of a pump above which they count, A and W (common practice, no source).
const PUMP: (f64, f64) = (300.0, 5e3);
/// Heat of an engine into its coolant over its power: below the first and above the second it counts. By
/// Heywood, Internal Combustion Engine Fundamentals (1988), table 12.1 (from memory), 17 to 26 % of the
/// fuel of a petrol engine go into the coolant and 25 to 28 % to the crank: 0.6 to 1.0; diesels have 0.45
/// and more. What lies twofold beyond either end, or near it, is no engine.
const ENGINE: (f64, f64) = (0.05, 1.2);
/// What an engine heats in all, over its power: 17 to 26 % to the coolant and 3 to 10 % to oil and
/// surface (as above), over 25 %: 1.44 at most.
const OF_ENGINES: f64 = 1.5;
/// Rated air of a core or fan above which it counts, kg/s (common practice, no source).
const AIR: f64 = 30.0;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    pumps(view, found);
    shares(view, found);
    air(view, found);
    switches(view, found);
    power(view, found);
}

/// Full power below which the vehicle of a duty is a toy, W (common practice, no source).
const TOY_W: f64 = 5e3;

/// A full power that a slip of a thousand makes.
fn power(view: &View<'_>, found: &mut Findings) {
    let full_w = full_power_w(view.ready);
    if full_w <= 0.0 || full_w >= TOY_W {
        return;
    }
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "power out of practice",
        what: format!("full power is {}", view.say(Kind::Power, full_w)),
        places: vec!["duty:power".to_owned()],
        why: "heats that are shares of it, or follow it by a table, are as small".to_owned(),
        remedy: "look for a slip in its unit: it is a thousand times less than usual".to_owned(),
    });
}

/// Machines whose switch goes off at less than the air has in any phase, so that it never does.
fn switches(view: &View<'_>, found: &mut Findings) {
    let ready = view.ready;
    let air_k = coldest_air_k(ready);
    for switch in &ready.model.switches {
        let off_k = ready.model.values.get(switch.off);
        let (_, felt) = switch.felt(&ready.model);
        let circuit = &ready.model.circuits[switch.circuit(&ready.model)];
        // What has ice, or is fed from outside, may be colder than the air.
        let iced = circuit.runs.iter().flat_map(|run| &run.parts);
        let mut iced = iced.filter_map(|placed| placed.part.as_tank());
        let colder = iced.any(|tank| tank.ice.is_some())
            || circuit
                .junctions
                .iter()
                .any(|junction| matches!(junction.joint, Joint::Held { .. } | Joint::Fed { .. }));
        if felt.kind != Kind::Temperature || colder || off_k >= air_k {
            continue;
        }
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: true,
            subject: "switch below the air",
            what: format!(
                "the switch of `{}` goes off at {}, below the air of {}: it never does",
                switch.name,
                view.say(Kind::Temperature, off_k),
                view.say(Kind::Temperature, air_k)
            ),
            places: vec![switch.name.clone()],
            why: "it runs from the start, and what it cools begins its pull colder than it will"
                .to_owned(),
            remedy: "look for a slip in `on` and `off`".to_owned(),
        });
    }
}

/// A source that nothing says a heat of, while the vehicle makes power: forgotten, or it would say that it is none.
fn heatless(view: &View<'_>, body: usize, found: &mut Findings) {
    let ready = view.ready;
    let of = &ready.model.bodies[body];
    let path = ready.model.address(Id::Body(body));
    let told = |name: &str| {
        let address = ready.addresses.get(&format!("{path}:{name}"));
        address.is_some_and(|address| address.span.is_some())
    };
    let drives = ready.model.values.get(of.power) > 0.0;
    let sets = ready.duty.phases.iter().flat_map(|phase| &phase.sets);
    let by_phase = || sets.clone().any(|(slot, _)| *slot == of.heat || *slot == of.share);
    if !drives
        || of.charge.is_some()
        || of.table.is_some()
        || of.map.is_some()
        || told("heat")
        || told("share")
        || by_phase()
    {
        return;
    }
    found.list.push(Finding {
        severity: Severity::Serious,
        beside: false,
        subject: "no heat told",
        what: format!("nothing says what heat comes into `{path}`, so none does"),
        places: vec![path],
        why: "what it is there to cool is left out of every temperature".to_owned(),
        remedy: "give it `share`, `heat` or `table`; `heat: \"0 W\"` where it takes none"
            .to_owned(),
    });
}

/// Pumps that draw more than any in a vehicle, where their power was guessed from flow and head.
fn pumps(view: &View<'_>, found: &mut Findings) {
    for at in view.circuits().flat_map(|(c, _)| view.parts_of(c)) {
        let Some(pump) = view.placed(at).part.as_pump() else { continue };
        let PumpPower::Constant(slot) = pump.power else { continue };
        let [Some(power), Some(current)] = ["power", "current"].map(|name| view.of(at, name))
        else {
            continue;
        };
        if !view.is_assumed(slot) || (current <= PUMP.0 && power <= PUMP.1) {
            continue;
        }
        let Some(path) = view.path_of_all(at) else { continue };
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "pump of a power out of practice",
            what: format!(
                "`{path}` draws {} and {}, as its flow and head let one assume",
                view.say(Kind::ElectricPower, power),
                view.say(Kind::Current, current)
            ),
            places: vec![path],
            why: format!(
                "electric coolant pumps of vehicles draw less than {} and {} (common practice, no source)",
                view.say(Kind::ElectricPower, PUMP.1),
                view.say(Kind::Current, PUMP.0)
            ),
            remedy: "look for a slip in its flow or pressure, ten or a hundred times too large; if it is so, give \
                     it a curve with its current or power"
                .to_owned(),
        });
    }
}

/// Shares of the power that become heat.
fn shares(view: &View<'_>, found: &mut Findings) {
    let model = &view.ready.model;
    let (mut sum, mut told, mut engine) = (0.0, Vec::new(), false);
    for (b, body) in model.bodies.iter().enumerate() {
        let share = body.share_of_power(&model.values);
        if share <= 0.0 {
            heatless(view, b, found);
            continue;
        }
        let path = model.address(Id::Body(b));
        let is_engine = body.word == "engine";
        engine |= is_engine;
        sum += share;
        told.push(path.clone());
        if !is_engine || view.is_assumed(body.share) || (ENGINE.0..=ENGINE.1).contains(&share) {
            continue;
        }
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "heat of an engine out of practice",
            what: format!(
                "`{path}` gives {} of its power to the coolant",
                view.say(Kind::Fraction, share)
            ),
            places: vec![path],
            why: format!(
                "{} to {} of the power at the crank are usual (from the heat balances in Heywood, Internal \
                 Combustion Engine Fundamentals, table 12.1, from memory)",
                view.say(Kind::Fraction, 0.45),
                view.say(Kind::Fraction, 1.0)
            ),
            remedy: "look for a slip: `share` is heat into the coolant over power at the crank".to_owned(),
        });
    }
    let most = if engine { OF_ENGINES } else { 1.0 };
    if sum <= most {
        return;
    }
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: false,
        subject: "more heat than there can be",
        what: format!(
            "{} together take {} of the power as heat",
            named(&told),
            view.say(Kind::Fraction, sum)
        ),
        places: told,
        why: if engine {
            format!(
                "all that an engine heats but its exhaust comes to {} of its power at most (as in Heywood, \
                 Internal Combustion Engine Fundamentals, table 12.1, from memory)",
                view.say(Kind::Fraction, most)
            )
        } else {
            "motors and what feeds them lose no more than they take".to_owned()
        },
        remedy: "look for a slip in the shares, as 50 % for 5 %".to_owned(),
    });
}

/// Cores and fans that are rated with more air than any in a vehicle.
fn air(view: &View<'_>, found: &mut Findings) {
    let model = &view.ready.model;
    let cores = model.cores.iter().enumerate().map(|(k, core)| {
        let flow = match &core.rating {
            CoreRating::Point(point) => model.values.get(point.air_flow),
            CoreRating::Table(table) => table.air_flow.last().copied().unwrap_or(0.0),
            CoreRating::Built(_) => 0.0,
        };
        (model.address(Id::Core(k)), flow)
    });
    let fans = model.air_paths.iter().enumerate().flat_map(|(a, path)| {
        path.fans.iter().enumerate().map(move |(k, fan)| {
            let density = model.values.get(fan.curve_density);
            (model.address(Id::Fan(a, k)), density * fan.curve.range().1)
        })
    });
    for (path, flow) in cores.chain(fans).filter(|(_, flow)| *flow > AIR) {
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "air out of practice",
            what: format!("`{path}` is rated with {} of air", view.say(Kind::MassFlow, flow)),
            places: vec![path],
            why: format!(
                "no vehicle moves more than {} through one (common practice, no source)",
                view.say(Kind::MassFlow, AIR)
            ),
            remedy: "look for a slip in its unit: per second for per minute or hour, or ten times too large"
                .to_owned(),
        });
    }
}
