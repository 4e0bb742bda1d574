//! The suction side of pumps: what holds its pressure, and what stands in its way.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::ReferencePoint;
use coolwright_models::parts::{GRAVITY, HeatPartner};

use super::profile::height_before;
use super::view::{At, UpstreamEnd, View, count, named};
use super::{Finding, Findings, Severity};

/// Fall of total pressure between what holds a circuit's pressure and the inlet of its pump that
/// counts, Pa (common practice, no source).
const FAR: f64 = 10e3;
/// Margin at the inlet of a pump of which nothing is given, Pa: 1 m, the upper end of 0.5 to 1 m for
/// general service (ANSI/HI 9.6.1, from memory).
const LEAST_MARGIN: f64 = 10e3;
/// The same over a required net positive suction head, m (as above, lower end).
const LEAST_HEAD_MARGIN: f64 = 0.5;
/// Gauge pressure at which a plain suction hose begins to flatten, Pa (common practice, no source).
const FLATTENS: f64 = -20e3;
/// Right angles in a suction line from which on they count (common practice, no source).
const MANY_BENDS: usize = 3;
/// A bend that counts as one, rad: more than 40°.
const SHARP: f64 = 0.7;
/// Length of a suction line that counts, m, and its fall, Pa (common practice, no source).
const LONG: (f64, f64) = (1.5, 2e3);
/// Difference of vapour pressure for which it pays to move a pump, Pa (common practice, no source).
const HOTTER: f64 = 5e3;

/// Share of a flow that rounding may make of it.
const ROUNDING: f64 = 1e-6;

/// What leads to the inlet of a pump.
pub(super) struct SuctionLine {
    /// Parts upstream, nearest first, up to the first that is a pump, a tank, or exchanges heat.
    pub(super) parts: Vec<At>,
    pub(super) end: LineEnd,
}

/// What a suction line begins at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LineEnd {
    /// Another pump.
    Pump,
    /// A tank, a core, a pass.
    Part,
    /// Where streams meet, or an open end.
    Junction,
    /// Nothing else stands in the loop.
    Round,
}

/// The suction line of a pump.
pub(super) fn suction_line(view: &View<'_>, pump: At) -> SuctionLine {
    let upstream = view.upstream(pump);
    let mut parts = Vec::new();
    for at in upstream.parts {
        let part = &view.placed(at).part;
        if part.as_pump().is_some() {
            return SuctionLine { parts, end: LineEnd::Pump };
        }
        if part.partner().is_some() || part.as_tank().is_some() {
            return SuctionLine { parts, end: LineEnd::Part };
        }
        parts.push(at);
    }
    let end = match upstream.end {
        UpstreamEnd::Meeting(_) | UpstreamEnd::Vessel(_) => LineEnd::Junction,
        UpstreamEnd::Round => LineEnd::Round,
    };
    SuctionLine { parts, end }
}

/// A pump, or the first of several under one name.
struct Pump {
    at: At,
    /// Address of the pump or of all under its name.
    path: String,
    line: SuctionLine,
}

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    for (c, _) in view.circuits() {
        for at in view.parts_of(c).filter(|&at| view.running(at)) {
            let Some(path) = view.path_of_all(at) else { continue };
            let pump = Pump { at, path, line: suction_line(view, at) };
            margin(view, &pump, found);
            beyond_required(view, &pump, found);
            // The suction of a pump behind another belongs to the first.
            if pump.line.end != LineEnd::Pump {
                held_elsewhere(view, &pump, found);
                hot(view, &pump, found);
                port(view, &pump, found);
                narrowed(view, &pump, found);
                bent(view, &pump, found);
                long(view, &pump, found);
            }
        }
    }
}

/// The margin against boiling at the inlet, at the start and when warm.
fn margin(view: &View<'_>, pump: &Pump, found: &mut Findings) {
    let states = [("at the start", false), ("at the operating point", true)];
    let of = |name: &str, warm: bool| {
        if warm { view.steady(pump.at, name) } else { view.of(pump.at, name) }
    };
    let worst = |name: &str| {
        let each = states.iter().filter_map(|&(when, warm)| Some((of(name, warm)?, when)));
        each.min_by(|a, b| a.0.total_cmp(&b.0))
    };
    let required = of("npsh_required", false).and_then(|_| worst("npsh_margin"));
    if let Some((head, when)) = required
        && head < LEAST_HEAD_MARGIN
    {
        let shown = view.say(Kind::Length, head);
        push_margin(
            view,
            pump,
            (head < 0.0, when),
            found,
            (
                format!("{shown} of net positive suction head over what it requires"),
                format!(
                    "{} are usual (ANSI/HI 9.6.1, from memory)",
                    view.say(Kind::Length, LEAST_HEAD_MARGIN)
                ),
            ),
        );
    }
    if let (None, Some((margin, when))) = (required, worst("suction_margin"))
        && margin < LEAST_MARGIN
    {
        push_margin(
            view,
            pump,
            (margin < 0.0, when),
            found,
            (
                format!("{} over the vapour pressure", view.say(Kind::PressureDifference, margin)),
                format!(
                    "{} are the least for general service (ANSI/HI 9.6.1, from memory)",
                    view.say(Kind::PressureDifference, LEAST_MARGIN)
                ),
            ),
        );
    }
    let Some((pressure, when)) = worst("pressure_in").filter(|(pressure, _)| *pressure < FLATTENS)
    else {
        return;
    };
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "suction below the pressure of the air",
        places: vec![pump.path.clone()],
        what: format!(
            "the inlet of `{}` stands at {} {when}",
            pump.path,
            view.say(Kind::GaugePressure, pressure)
        ),
        why: format!(
            "a plain hose flattens there (from some {} below the air on; common practice, no source), and \
             every leak draws air in",
            view.say(Kind::PressureDifference, -FLATTENS)
        ),
        remedy: "hold pressure at the pump's inlet (tank and cap there), widen or shorten what leads to \
                 it, and use hose with a wire in it"
            .to_owned(),
    });
}

fn push_margin(
    view: &View<'_>,
    pump: &Pump,
    (boils, when): (bool, &str),
    found: &mut Findings,
    (has, usual): (String, String),
) {
    let pressure = view.of(pump.at, "pressure_in").unwrap_or(f64::NAN);
    found.list.push(Finding {
        severity: if boils { Severity::Serious } else { Severity::Warning },
        // Below the margin that is usual it cavitates, though nothing boils.
        beside: true,
        subject: "little margin at a pump's inlet",
        places: vec![pump.path.clone()],
        what: format!("`{}` has {has} at its inlet {when}", pump.path),
        why: format!(
            "{usual}; below that it cavitates, loses head and eats its impeller. Static pressure there at \
             the start is {}",
            view.say(Kind::GaugePressure, pressure)
        ),
        remedy: "raise the pressure that tank and cap hold, bring them to the pump's inlet, or take \
                 falls out of its suction line"
            .to_owned(),
    });
}

/// A required net positive suction head at a flow for which the case gives none.
fn beyond_required(view: &View<'_>, pump: &Pump, found: &mut Findings) {
    let Some(part) = view.placed(pump.at).part.as_pump() else { return };
    let Some(curve) = part.suction_head.as_ref() else { return };
    let (least, most) = curve.range();
    let Some(speed) = view.of(pump.at, "speed").filter(|speed| *speed > 0.0) else { return };
    // N = s² N₁(Q/s): the flows for which it is given go with the speed.
    let (least, most) = (speed * least, speed * most);
    let flow = view.flow(pump.at.0, pump.at.1);
    if flow <= 0.0 || (least - ROUNDING * most..=most * (1.0 + ROUNDING)).contains(&flow) {
        return;
    }
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: false,
        subject: "required suction head beyond what is given",
        places: vec![pump.path.clone()],
        what: format!(
            "`{}` delivers {}, and its net positive suction head required is given from {} to {} at its speed",
            pump.path,
            view.say(Kind::VolumeFlow, flow),
            view.say(Kind::VolumeFlow, least),
            view.say(Kind::VolumeFlow, most)
        ),
        why: "it is continued as a straight line, and what a pump requires rises faster than that".to_owned(),
        remedy: "give it for that flow too (`npsh_required_at`)".to_owned(),
    });
}

/// What holds the pressure of the circuit should do so at the pump's inlet.
fn held_elsewhere(view: &View<'_>, pump: &Pump, found: &mut Findings) {
    let (c, r, p) = pump.at;
    let circuit = view.circuit(c);
    let Some(reference) = circuit.reference else { return };
    let (held_pa, height_m, path) = match reference.at {
        ReferencePoint::Junction(junction) => {
            let path = view.junction_path(c, junction);
            let pressure = view.start.get(&format!("{path}:ports_pressure"));
            let pressure = pressure.or_else(|| view.start.get(&format!("{path}:pressure")));
            let height = view.heights_m(c)[junction];
            (pressure.unwrap_or(f64::NAN), height, path)
        }
        ReferencePoint::Part(run, part) => {
            let at = (c, run, part);
            let total = if view.placed(at).part.as_tank().is_some() {
                view.of(at, "pressure_out").unwrap_or(f64::NAN) + view.velocity_head(at)
            } else {
                view.total_in(at)
            };
            let total = view.of(at, "ports_pressure").unwrap_or(total);
            (total, height_before(view, at), view.path(at))
        }
    };
    let lift = view.density(c, r) * GRAVITY * (height_before(view, (c, r, p)) - height_m);
    let lost = held_pa - view.total_in(pump.at) - lift;
    if lost.is_nan() || lost < FAR {
        return;
    }
    let mut takers: Vec<(f64, String)> = Vec::new();
    let held_in = match reference.at {
        ReferencePoint::Part(run, part) => Some((c, run, part)),
        ReferencePoint::Junction(_) => None,
    };
    for at in view.upstream(pump.at).parts.into_iter().take_while(|&at| Some(at) != held_in) {
        let fall = view.of(at, "fall").unwrap_or(0.0);
        if fall > 0.15 * lost && !view.placed(at).automatic {
            takers.push((fall, view.path(at)));
        }
    }
    takers.sort_by(|a, b| b.0.total_cmp(&a.0));
    let takers: Vec<String> = takers
        .into_iter()
        .take(3)
        .map(|(fall, path)| format!("`{path}` {}", view.say(Kind::PressureDifference, fall)))
        .collect();
    let most = if takers.is_empty() { String::new() } else { format!(" ({})", takers.join(", ")) };
    found.list.push(Finding {
        severity: Severity::Warning,
        beside: false,
        subject: "pressure held far from the pump's inlet",
        places: vec![path.clone(), pump.path.clone()],
        what: format!(
            "the pressure of `{}` is held at `{path}`, and {} are lost from there to the inlet of `{}`{most}",
            circuit.name,
            view.say(Kind::PressureDifference, lost),
            pump.path
        ),
        why: format!(
            "the inlet of the pump then stands that far below what tank and cap hold, {} here; the place \
             for tank, cap and fill line is the slow, low-pressure side right before the pump",
            view.say(Kind::GaugePressure, view.of(pump.at, "pressure_in").unwrap_or(f64::NAN))
        ),
        remedy: format!("bring the tank, or a fill line from it, to the inlet of `{}`", pump.path),
    });
}

/// A pump that takes coolant straight from what heats it.
fn hot(view: &View<'_>, pump: &Pump, found: &mut Findings) {
    let c = pump.at.0;
    let upstream = view.upstream(pump.at).parts;
    let Some(&source) = upstream.iter().find(|&&at| view.placed(at).part.partner().is_some())
    else {
        return;
    };
    if !matches!(view.placed(source).part.partner(), Some(HeatPartner::Body(_))) {
        return;
    }
    let Some(inlet) = view.steady(pump.at, "in") else { return };
    let coldest = view.parts_of(c).filter_map(|at| Some((view.steady(at, "in")?, at)));
    let Some((cold, at)) = coldest.min_by(|a, b| a.0.total_cmp(&b.0)) else { return };
    let values = &view.ready.model.values;
    let Ok(coolant) = view.circuit(c).coolant.liquid(values) else { return };
    let more = coolant.vapour_pressure(inlet) - coolant.vapour_pressure(cold);
    if more < HOTTER {
        return;
    }
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "hot coolant into a pump",
        places: vec![pump.path.clone(), view.path(source)],
        what: format!(
            "`{}` takes the coolant from `{}` at {}; at `{}` it has {}",
            pump.path,
            view.path(source),
            view.say(Kind::Temperature, inlet),
            view.path(at),
            view.say(Kind::Temperature, cold)
        ),
        why: format!(
            "the hotter coolant has {} more vapour pressure, which come off the margin at the pump's inlet",
            view.say(Kind::PressureDifference, more)
        ),
        remedy: "put the pump behind the core, where the coolant is coldest".to_owned(),
    });
}

/// A suction hose narrower than the pump's port.
fn port(view: &View<'_>, pump: &Pump, found: &mut Findings) {
    let Some(slot) = view.placed(pump.at).part.bores()[0] else { return };
    let port = view.ready.model.values.get(slot);
    let Some(&hose) = pump.line.parts.iter().find(|&&at| view.hose(at).is_some()) else { return };
    let bore = view.bore(hose);
    if bore > port * 0.99 {
        return;
    }
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "suction narrower than the pump's port",
        places: vec![view.path(hose), pump.path.clone()],
        what: format!(
            "`{}` has a bore of {}, the port of `{}` has {}",
            view.path(hose),
            view.say(Kind::Length, bore),
            pump.path,
            view.say(Kind::Length, port)
        ),
        why: format!(
            "its fall of {} comes off the pressure at the pump's inlet, and goes with the fifth power of \
             the bore; a suction line is as wide as the port or wider (common practice, no source)",
            view.say(Kind::PressureDifference, view.of(hose, "fall").unwrap_or(f64::NAN))
        ),
        remedy: format!("take at least the bore of the port, {}", view.say(Kind::Length, port)),
    });
}

/// Filters, meters and valves belong on the pressure side.
fn narrowed(view: &View<'_>, pump: &Pump, found: &mut Findings) {
    let kinds = ["filter", "meter", "throttle", "restrictor"];
    let parts = pump.line.parts.iter().filter(|&&at| kinds.contains(&view.placed(at).part.word()));
    for &at in parts {
        let word = view.placed(at).part.word();
        let why = if word == "filter" {
            "what it falls comes off the pressure at the pump's inlet, and grows as it clogs"
        } else {
            "what it falls comes off the pressure at the pump's inlet"
        };
        found.list.push(Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "something narrow in a suction line",
            places: vec![view.path(at), pump.path.clone()],
            what: format!(
                "the {word} `{}` stands in the suction line of `{}` and falls {}",
                view.path(at),
                pump.path,
                view.say(Kind::PressureDifference, view.of(at, "fall").unwrap_or(f64::NAN))
            ),
            why: why.to_owned(),
            remedy: "move it behind the pump".to_owned(),
        });
    }
}

/// Bends in the suction line.
fn bent(view: &View<'_>, pump: &Pump, found: &mut Findings) {
    let mut bends = 0;
    let mut hoses = Vec::new();
    for &at in &pump.line.parts {
        let all = super::straights::bends(view, at);
        let sharp = all.iter().filter(|bend| bend.angle_rad > SHARP).count();
        if sharp > 0 {
            bends += sharp;
            hoses.push(view.path(at));
        }
    }
    if bends < MANY_BENDS {
        return;
    }
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "many bends before a pump",
        what: format!(
            "the suction line of `{}` has {} ({})",
            pump.path,
            count(bends, "bend"),
            named(&hoses)
        ),
        places: hoses,
        why: "each takes pressure from the pump's inlet and makes its flow uneven (common practice, no \
              source: at most two)"
            .to_owned(),
        remedy: "lead the suction line straight, and put the bends on the pressure side".to_owned(),
    });
}

/// A pump far from its tank.
fn long(view: &View<'_>, pump: &Pump, found: &mut Findings) {
    let length: f64 = pump.line.parts.iter().filter_map(|&at| view.length(at)).sum();
    let fall: f64 = pump.line.parts.iter().filter_map(|&at| view.of(at, "fall")).sum();
    if length <= LONG.0 || fall <= LONG.1 {
        return;
    }
    let told = pump.line.parts.iter().filter(|&&at| view.length(at).is_some());
    found.list.push(Finding {
        severity: Severity::Advice,
        beside: false,
        subject: "long suction line",
        places: told.map(|&at| view.path(at)).collect(),
        what: format!(
            "the suction line of `{}` is {} long and falls {}",
            pump.path,
            view.say(Kind::Length, length),
            view.say(Kind::PressureDifference, fall)
        ),
        why: format!(
            "that comes off the pressure at the pump's inlet, and a long line holds air when it is filled \
             (common practice, no source: up to {})",
            view.say(Kind::Length, LONG.0)
        ),
        remedy: "move the pump next to the tank, or widen the line".to_owned(),
    });
}
