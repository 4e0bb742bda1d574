//! The way of the air on its way from the file into the model: cores in a row or in lanes side by side, and where fans stand.

use coolwright_models::air::{AirFall, AirPath, Stand, WayPlan};
use coolwright_models::slots::Slot;

use super::{PATH_FALL, ducts_fall, fans, given_air_fall, pieces};
use crate::diagnostic::Problem;
use crate::file::{AirPath as PathSpec, Case, Fan as FanSpec, Lane as LaneSpec};
use crate::lower::Names;
use crate::lower::context::{Bound, Context};
use crate::lower::usual::{GAP_LOSS, PATH_LOSS_EXPONENT, RAM};
use crate::text::{Span, Spanned};

/// Lowers an air path.
pub(in crate::lower) fn path(
    context: &mut Context<'_>,
    case: &Case,
    names: &mut Names,
    (name, span): (&str, Span),
    spec: &PathSpec,
) -> AirPath {
    let address = format!("air_paths/{name}");
    let mut plans = Vec::new();
    if spec.lanes.is_empty() {
        let cores = row(context, names, &spec.cores);
        pieces::one_in_a_row(context, case, &spec.cores);
        if spec.cores.is_empty() {
            context.error(span, "this air path has no core", "list its cores from front to back");
        }
        plans.push(WayPlan { name: None, cores, loss: None, gap: None });
    }
    if let Some(first) = spec.cores.first().filter(|_| !spec.lanes.is_empty()) {
        let message = "an air path has `cores` or `lanes`, and not both";
        let problem = Problem::error(first.span, message).label("which lane is it in?");
        context.problems.push(problem.help("list each core in the lanes whose air crosses it"));
    }
    for (lane, of) in &spec.lanes {
        let cores = row(context, names, &of.cores);
        pieces::one_in_a_row(context, case, &of.cores);
        if let (Some(gap), false) = (of.gap, of.cores.is_empty()) {
            let message = "a gap is an opening past the cores, and this lane has some";
            let problem = Problem::error(gap.span(), message).label("this gap");
            let help =
                "give the gap a lane of its own; what the duct of this one costs is its `loss`";
            context.problems.push(problem.help(help));
        }
        let at = format!("{address}/{}", lane.value);
        let (loss, gap) = lane_loss(context, &at, of).unzip();
        let gap = gap.flatten();
        let blows =
            spec.fans.values().any(|fan| fan.lane.as_ref().is_some_and(|l| l.value == lane.value));
        if of.cores.is_empty() && loss.is_none() && !blows {
            let problem =
                Problem::error(lane.span, "nothing stands in the way of the air in this lane");
            let help = "give it `cores`, or the area of its `gap`, or a `loss`";
            context.problems.push(problem.label("all air would go here").help(help));
        }
        if let Some(fan) = spec.fans.iter().map(|(fan, _)| fan).find(|fan| fan.value == lane.value)
        {
            let problem =
                Problem::error(lane.span, "a lane and a fan of one air path have one name");
            context.problems.push(problem.label("this lane").also(fan.span, "this fan"));
        }
        plans.push(WayPlan { name: Some(lane.value.clone()), cores, loss, gap });
    }
    let mut machines = Vec::new();
    for (fan_name, fan) in &spec.fans {
        let stand = stand(context, spec, fan);
        let made = fans::fans(context, case, &address, (fan_name, fan));
        machines.extend(made.into_iter().map(|fan| (fan, stand)));
    }
    let loss = ducts_fall(context, &address, spec.loss.as_ref());
    let share = Bound::Within(0.0, 1.0);
    let ram = context.or_assumed(&format!("{address}:ram"), spec.ram, share, RAM.fixed());
    let road_speed = context.addresses["duty:road_speed"].slots[0];
    let what = "share of the air that comes round again";
    let at = format!("{address}:recirculation");
    let within = Bound::Within(0.0, 0.9);
    let round = spec.recirculation.map(|share| context.given(&at, share, within, what));
    AirPath::of_ways(name.to_owned(), plans, machines, (loss, (ram, road_speed)), round)
}

/// The cores of a row, by their place in the model.
fn row(context: &mut Context<'_>, names: &mut Names, listed: &[Spanned<String>]) -> Vec<usize> {
    let mut cores = Vec::new();
    for core in listed {
        let Some(entry) = names.cores.get(&core.value) else {
            pieces::no_core(context, names, core);
            continue;
        };
        let Some(entry) = entry else { continue };
        if let Some(other) = names.core_paths.insert(entry.index, core.span) {
            let message = format!("the core `{}` is already in an air path", core.value);
            let problem =
                Problem::error(core.span, message).label("twice").also(other, "first here");
            let help =
                "where a part of its face meets other air, cut it: cores with a `piece` of it";
            context.problems.push(problem.help(help));
            continue;
        }
        cores.push(entry.index);
    }
    cores
}

/// What a lane costs beside its cores.
fn lane_loss(
    context: &mut Context<'_>,
    address: &str,
    spec: &LaneSpec,
) -> Option<(AirFall, Option<[Slot; 2]>)> {
    if let (None, Some(coefficient)) = (spec.gap, spec.gap_loss) {
        let message = "`gap_loss` is that of a `gap`, and this lane has none";
        context.error(coefficient.span(), message, "of no account");
    }
    if let Some(loss) = &spec.loss {
        if let Some(gap) = spec.gap {
            let message = "a lane has a `gap` or a `loss`, and not both";
            let problem = Problem::error(gap.span(), message).label("one of them");
            context.problems.push(problem.also(loss.fall.span(), "or the other"));
        }
        let (at, exponent) = (format!("{address}:loss"), PATH_LOSS_EXPONENT.fixed());
        return Some((given_air_fall(context, &at, (loss, PATH_FALL, exponent), None), None));
    }
    let gap = spec.gap?;
    let bound = Bound::Within(1e-6, 10.0);
    let area = context.given(&format!("{address}:gap"), gap, bound, "area of a gap");
    let at = format!("{address}:gap_loss");
    let coefficient =
        context.or_assumed(&at, spec.gap_loss, Bound::Within(0.1, 100.0), GAP_LOSS.fixed());
    Some((edge(context, area, coefficient), Some([area, coefficient])))
}

/// Velocity and density at which the fall through a gap is told, m/s and kg/m³: any would do.
const GAP_AT: [f64; 2] = [10.0, 1.2];

/// The fall through an opening: `Δp = ζ·w²/(2·ρ·A²)`.
fn edge(context: &mut Context<'_>, area: Slot, coefficient: Slot) -> AirFall {
    let [velocity, density] = GAP_AT;
    let dynamic = 0.5 * density * velocity * velocity;
    AirFall {
        fall: context.derived(&[coefficient], move |values| values.get(coefficient) * dynamic),
        flow: context.derived(&[area], move |values| values.get(area) * velocity * density),
        density: context.fixed(density),
        exponent: context.fixed(2.0),
    }
}

/// Where a fan stands.
fn stand(context: &mut Context<'_>, path: &PathSpec, spec: &FanSpec) -> Stand {
    let pushes = spec.pushes.unwrap_or(false);
    let Some(lane) = &spec.lane else { return Stand { way: None, pushes } };
    let way = path.lanes.names().position(|name| name == lane.value);
    if way.is_none() {
        context.unknown(lane.span, "lane", &lane.value, path.lanes.names());
    }
    Stand { way, pushes }
}
