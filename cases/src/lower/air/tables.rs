//! Cores that are known by tables.

use coolwright_models::air::{AirFall, CoreError, FallTable, RATING_AIR_HEAT_CAPACITY, UaTable};
use coolwright_models::circuit::CoolantSpec;
use coolwright_models::laws::exchanger::{most_heat_of_any_w, most_heat_w, rated_conductance_w_k};
use coolwright_models::laws::film::film_liquid_factor;
use coolwright_models::slots::Slot;

use super::{RATING_AIR, mean_of_cells, sea_level, wrong_rating};
use crate::diagnostic::Problem;
use crate::file::{Core as CoreSpec, TableRow};
use crate::lower::context::{Bound, Context};
use crate::lower::fluid_of;
use crate::lower::roles::Role;
use crate::quantity::{Flow, Kind};
use crate::text::{Span, Spanned};

/// Factors on tables.
const SCALE: Bound = Bound::Within(0.1, 10.0);
/// Face areas, m².
pub(super) const FACE: Bound = Bound::Within(1e-3, 50.0);
/// Inlet difference at which the liquid of a row is taken that tells none, K.
const USUAL_DIFFERENCE: f64 = 50.0;
/// Flows so close are one, relative.
const SAME: f64 = 1e-6;

/// The core that a table belongs to.
pub(super) struct Place<'a> {
    pub address: &'a str,
    pub spec: &'a CoreSpec,
    pub coolant: &'a CoolantSpec,
}

/// The face of a core. Where velocities in front of it tell flows, tables follow from it.
pub(super) fn face(context: &mut Context<'_>, (address, spec): (&str, &CoreSpec)) -> Option<Slot> {
    let slot =
        spec.face.map(|face| context.given(&format!("{address}:face"), face, FACE, "face area"));
    let rows = spec.table.iter().flat_map(|table| &table.value);
    let falls = spec.air_falls.iter().any(|falls| falls.value.by_velocity.is_some());
    if falls || rows.into_iter().any(|row| row.velocity.is_some()) {
        context.cast(&format!("{address}:face"), Role::Structure);
    }
    slot
}

/// The face, m², that a velocity at a place needs: told, or as the dimensions give it.
fn needed_face(context: &mut Context<'_>, (address, spec): (&str, &CoreSpec), span: Span) -> f64 {
    let name = format!("{address}:face");
    let told = context.told(&name).map(|told| told.0);
    let made = context.slot(&name).map(|slot| context.values.get(slot));
    let face = told.or(spec.face.map(crate::quantity::Area::si)).or(made);
    face.filter(|face| *face > 0.0).unwrap_or_else(|| {
        if spec.face.is_none() {
            let problem = Problem::error(span, "a velocity of the air needs the face of the core");
            let problem = problem.label("in front of how large a face?");
            context.problems.push(problem.help("add face: \"{one Area}\" to the core"));
        }
        1.0
    })
}

/// A point of the grid: flows of coolant and air, kg/s, UA, W/K, and viscosity, conductivity and heat capacity of the coolant.
#[derive(Clone, Copy)]
struct Point {
    coolant_flow: f64,
    air_flow: f64,
    ua: f64,
    liquid: [f64; 3],
}

/// UA on the grid of a table's coolant and air flows.
pub(super) fn ua(
    context: &mut Context<'_>,
    place: &Place<'_>,
    table: &Spanned<Vec<TableRow>>,
) -> Option<UaTable> {
    let mut points = Vec::new();
    for row in &table.value {
        points.push(point(context, place, row)?);
    }
    if table.value.iter().any(|row| row.fluid.is_none()) {
        // Its rows are worked out in the coolant of its circuit: with another share it is made anew.
        let own = place.coolant.slots();
        let circuits = context.coolants.iter().filter(|(_, spec)| spec.slots() == own);
        let names: Vec<String> = circuits.map(|(name, _)| format!("{name}:glycol")).collect();
        for address in names {
            context.cast(&address, Role::Structure);
        }
    }
    let scale = scale(context, (place.address, "conductance"), place.spec.conductance_scale);
    let axis = |pick: fn(&Point) -> f64| {
        let mut axis: Vec<f64> = points.iter().map(pick).collect();
        axis.sort_by(f64::total_cmp);
        axis.dedup_by(|a, b| (*a / *b - 1.0).abs() < SAME);
        axis
    };
    let (coolant_flow, air_flow) = (axis(|p| p.coolant_flow), axis(|p| p.air_flow));
    let near = |a: f64, b: f64| (a / b - 1.0).abs() < SAME;
    let at = |m: f64, w: f64| {
        points.iter().find(|p| near(p.coolant_flow, m) && near(p.air_flow, w)).copied()
    };
    let grid: Option<Vec<Vec<Point>>> = coolant_flow
        .iter()
        .map(|&m| air_flow.iter().map(|&w| at(m, w)).collect::<Option<Vec<Point>>>())
        .collect();
    let whole = points.len() == coolant_flow.len() * air_flow.len();
    let Some(grid) = grid.filter(|_| whole && !points.is_empty()) else {
        let message = format!(
            "a core's table needs each of its {} coolant flows at each of its {} air flows, once",
            coolant_flow.len(),
            air_flow.len()
        );
        context.error(table.span, message, format!("{} rows", points.len()));
        return None;
    };
    let coolant = points.last()?.liquid;
    let of = |pick: &dyn Fn(&Point) -> f64| {
        grid.iter().map(|row| row.iter().map(pick).collect()).collect::<Vec<Vec<f64>>>()
    };
    let liquid = |point: &Point| {
        let [viscosity, conductivity, heat_capacity]: [f64; 3] =
            std::array::from_fn(|k| point.liquid[k] / coolant[k]);
        film_liquid_factor(conductivity, heat_capacity, viscosity)
    };
    let (ua, liquid) = (of(&|point| point.ua), of(&liquid));
    Some(UaTable::new((coolant_flow, air_flow), (&ua, &liquid), coolant, scale))
}

fn point(context: &mut Context<'_>, place: &Place<'_>, row: &TableRow) -> Option<Point> {
    let air_k = row.air_in.map_or(RATING_AIR, |t| {
        context.checked(t, Bound::Within(220.0, 370.0), "air temperature of a row")
    });
    let difference = row.difference.map(|d| {
        context.checked(d, Bound::Within(1.0, 300.0), "inlet temperature difference of a row")
    });
    let difference_k = difference.unwrap_or(USUAL_DIFFERENCE);
    let liquid = match &row.fluid {
        Some(fluid) => {
            let of = crate::lower::named(context, &fluid.value);
            fluid_of(&of, &context.values)
        }
        None => fluid_of(place.coolant, &context.values),
    };
    let inlet_k = air_k + difference_k;
    let flow = row.coolant.mass_flow_kg_per_s(liquid.density(inlet_k));
    let coolant_flow = context.check(
        flow,
        row.coolant.span(),
        Kind::MassFlow,
        Bound::Within(1e-6, 1e3),
        "coolant flow of a row",
    );
    let air_flow = air(context, place, row, air_k)?;
    let (capacity, air) =
        (coolant_flow * liquid.heat_capacity(inlet_k), air_flow * RATING_AIR_HEAT_CAPACITY);
    match (row.heat, row.conductance) {
        (Some(heat), None) => {
            if difference.is_none() {
                let message =
                    "a row with `heat` needs the `difference` of the inlets, coolant less air";
                context.error(heat.span(), message, "at which difference?");
                return None;
            }
            let heat_w = context.checked(heat, Bound::Within(1.0, 1e7), "heat of a row");
            let mean_k = air_k + difference_k * mean_of_cells(heat_w / (capacity * difference_k));
            let capacity = coolant_flow * liquid.heat_capacity(mean_k);
            let most_w = most_heat_w(capacity, air, difference_k);
            if heat_w >= 0.999 * most_w {
                let any_w = most_heat_of_any_w(capacity, air, difference_k);
                let error = CoreError::TooMuchHeat { heat_w, most_w, any_w };
                context.error(heat.span(), wrong_rating(&error), "this row of the table");
                return None;
            }
            let ua = rated_conductance_w_k(heat_w, capacity, air, difference_k);
            let liquid = properties(&liquid, mean_k);
            Some(Point { coolant_flow, air_flow, ua, liquid })
        }
        (None, Some(conductance)) => {
            let bound = Bound::Within(0.1, 1e6);
            let ua = context.checked(conductance, bound, "conductance of a row");
            Some(Point { coolant_flow, air_flow, ua, liquid: properties(&liquid, inlet_k) })
        }
        _ => {
            let message = "a row of a core's table needs `heat` or `conductance`";
            let problem = Problem::error(row.coolant.span(), message);
            context.problems.push(problem.label("one of them in this row, not both"));
            None
        }
    }
}

fn properties(liquid: &coolwright_models::fluids::Coolant, at_k: f64) -> [f64; 3] {
    [liquid.viscosity(at_k), liquid.conductivity(at_k), liquid.heat_capacity(at_k)]
}

/// Air flow of a row, kg/s.
fn air(context: &mut Context<'_>, place: &Place<'_>, row: &TableRow, air_k: f64) -> Option<f64> {
    let density = sea_level(air_k);
    match (row.air, row.velocity) {
        (Some(flow), None) => Some(super::air_flow(context, flow, density)),
        (None, Some(velocity)) => {
            let face_m2 = needed_face(context, (place.address, place.spec), velocity.span());
            let bound = Bound::Within(0.01, 100.0);
            let m_s = context.checked(velocity, bound, "velocity of the air of a row");
            Some(m_s * face_m2 * density)
        }
        _ => {
            let message = "a row of a core's table needs `air` or `velocity`";
            let problem = Problem::error(row.coolant.span(), message);
            context.problems.push(problem.label("one of them in this row, not both"));
            None
        }
    }
}

pub(super) fn scale(
    context: &mut Context<'_>,
    (address, of): (&str, &str),
    given: Option<crate::quantity::Fraction>,
) -> Slot {
    context.or_default(&format!("{address}:{of}_scale"), given, SCALE, ("factor on a table", 1.0))
}

/// The fall of the air over its flow, where a table tells it.
pub(super) fn fall(
    context: &mut Context<'_>,
    (address, spec): (&str, &CoreSpec),
    rated_density: Slot,
) -> Option<FallTable> {
    let falls = spec.air_falls.as_ref()?;
    if let Some(own) = &spec.air_fall {
        let message = "a core has `air_fall` or `air_falls`, and not both";
        context.error(own.fall.span(), message, "told twice");
    }
    let told = &falls.value;
    let density = told.density.map_or(context.values.get(rated_density), |density| {
        context.checked(density, Bound::Within(0.2, 2.0), "density of the air of a fall")
    });
    let mut points: Vec<([f64; 2], Span)> = Vec::new();
    match (&told.by_velocity, &told.by_flow) {
        (Some(list), None) => {
            for (velocity, fall) in &list.value {
                let face_m2 = needed_face(context, (address, spec), velocity.span());
                let m_s =
                    context.checked(*velocity, Bound::Within(0.01, 100.0), "velocity of the air");
                points.push(([m_s * face_m2 * density, fall.si() * density], fall.span()));
            }
        }
        (None, Some(list)) => {
            for (flow, fall) in &list.value {
                let flow = super::air_flow(context, Flow::Volume(volume(*flow)), density);
                points.push(([flow, fall.si() * density], fall.span()));
            }
        }
        _ => {
            let message = "`air_falls` needs `by_velocity` or `by_flow`";
            context.error(falls.span, message, "one of them, not both");
            return None;
        }
    }
    if points.len() < 2 {
        let problem = Problem::error(falls.span, "`air_falls` needs two points or more");
        let problem = problem.label("how the fall goes with the flow is not told");
        context.problems.push(problem.help("one point alone is told by `air_fall`"));
        return None;
    }
    let sound = |[flow, fall]: [f64; 2]| flow > 0.0 && fall > 0.0;
    let rises = |two: &[([f64; 2], Span)]| two[1].0[0] > two[0].0[0] && two[1].0[1] > two[0].0[1];
    let first = points.first().filter(|(point, _)| !sound(*point)).map(|(_, span)| *span);
    let wrong = first.or_else(|| points.windows(2).find(|two| !rises(two)).map(|two| two[1].1));
    if let Some(span) = wrong {
        let message = "the fall of the air rises with its flow, the least flow first";
        context.error(span, message, "not above the point before, in flow and fall");
        return None;
    }
    let scale = scale(context, (address, "air_falls"), spec.air_falls_scale);
    let (flow, fall): (Vec<f64>, Vec<f64>) = points.iter().map(|([w, p], _)| (*w, *p)).unzip();
    Some(FallTable::new(flow, &fall, scale))
}

/// A flow of air as one of volume.
fn volume(flow: crate::quantity::AirFlow) -> crate::quantity::VolumeFlow {
    crate::quantity::VolumeFlow::new(flow.si(), flow.span())
}

/// What stands in the place of a fall that a table tells.
pub(super) fn no_fall(context: &mut Context<'_>) -> AirFall {
    let [fall, flow, density, exponent] = [0.0, 1.0, 1.2, 2.0].map(|value| context.fixed(value));
    AirFall { fall, flow, density, exponent }
}
