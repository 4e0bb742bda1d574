//! Cores and air paths on their way from the file into the model.

mod built;
mod fans;
mod lanes;
pub(super) mod pieces;
mod tables;

pub(super) use lanes::path;

use coolwright_models::air::{AirFall, Built, Core, CoreError, CoreRating, RatedPoint};
use coolwright_models::circuit::CoolantSpec;
use coolwright_models::fluids::{Coolant, Site};
use coolwright_models::parts::{CORE_CELLS, RatedFall};
use coolwright_models::slots::Slot;

use super::context::{Assumed, BORE, Bound, Context};
use super::parts::{Way, assumed_flow, assumed_resistance, flow_of, resistance};
use super::roles::Role;
use super::{fluid_of, named};
use crate::diagnostic::Problem;
use crate::file::{AirFall as AirFallSpec, Core as CoreSpec, RatedCore};
use crate::lower::usual::{
    CORE_AIR_EXPONENT, CORE_AIR_FALL, CORE_AIR_FALL_EXPONENT, CORE_COOLANT_SHARE, CORE_FALL,
    CORE_METAL, CORE_OIL_SHARE, CORE_VOLUME, PATH_LOSS, PATH_LOSS_EXPONENT, Usual,
};
use crate::quantity::{Density, Flow, Kind, Number, Temperature, spoken};
use crate::text::Span;

/// A core of the model, as the part that goes through it needs it.
#[derive(Clone, Debug)]
pub(super) struct CoreEntry {
    pub index: usize,
    pub bore: Option<Slot>,
    /// Its dimensions, where they are known.
    pub built: Option<Built>,
    pub fall: EntryFall,
    pub volume: Slot,
}

/// How the pressure of the coolant falls through a core.
#[derive(Clone, Copy, Debug)]
pub(super) enum EntryFall {
    /// As it was measured at one flow.
    Rated(RatedFall),
    /// By its tubes, with a loss coefficient of their ends.
    Tubes {
        /// Its dimensions.
        built: Built,
        /// That coefficient.
        loss: Slot,
    },
}

/// Falls of air through a core that was measured, Pa.
const AIR_FALL: Bound = Bound::Within(0.1, 1e4);

/// Air temperature of a rating that gives none, K.
pub(super) const RATING_AIR: f64 = 298.15;

/// Density of dry air at a temperature and sea level, kg/m³.
pub(super) fn sea_level(temperature: f64) -> f64 {
    Site::new(temperature, 0.0, 0.0).map_or(1.184, |site| site.density())
}

/// Mass flow of air of a rating, kg/s, with air of a density, kg/m³.
pub(super) fn air_flow(context: &mut Context<'_>, flow: Flow, density: f64) -> f64 {
    let value = flow.mass_flow_kg_per_s(density);
    if value.is_nan() {
        return 1.0;
    }
    if value <= 0.0 || value > 1e3 {
        let problem = Problem::error(flow.span(), "this air flow must be above zero");
        context.value_error(problem.label("not an air flow for a rating"));
        return 1.0;
    }
    value
}

/// Lowers a core. `coolant` is that of its circuit: its rating is taken to hold with that.
pub(super) fn core(
    context: &mut Context<'_>,
    (name, span): (&str, Span),
    (index, coolant): (usize, CoolantSpec),
    spec: &CoreSpec,
) -> Option<(Core, CoreEntry)> {
    let address = format!("cores/{name}");
    let rated = spec.rated.is_some() || spec.table.is_some();
    match (rated, &spec.tubes, &spec.fins) {
        (false, Some(tubes), Some(fins)) => {
            let built = built::core(context, (name, &address), spec, (tubes, fins))?;
            Some(built_core(context, (name, &address, index), (spec, coolant), &built))
        }
        (true, None, None) => rated_core(context, (name, span), (index, coolant), spec),
        (false, Some(tubes), None) => {
            let message = format!("the core `{name}` has tubes and no fins");
            context.error(tubes.span, message, "add `fins` to be known by its dimensions");
            None
        }
        (false, None, Some(fins)) => {
            let message = format!("the core `{name}` has fins and no tubes");
            context.error(fins.span, message, "add `tubes` to be known by its dimensions");
            None
        }
        _ => {
            context.problems.push(known_by(name, span));
            None
        }
    }
}

/// What is wrong with a core that is told by nothing, or twice.
fn known_by(name: &str, span: Span) -> Problem {
    Problem::error(span, format!("the core `{name}` needs `rated`, `table`, or `tubes` and `fins`"))
        .label("one of them, not several")
        .help(
            "for example rated: (heat: \"{one HeatRate}\", coolant: \"{one VolumeFlow}\", air: \"{one FlowOfAir}\", \
             difference: \"{one TemperatureDifference}\")",
        )
}

/// A core that is known by its dimensions.
fn built_core(
    context: &mut Context<'_>,
    (name, address, index): (&str, &str, usize),
    (spec, circuit): (&CoreSpec, CoolantSpec),
    built: &built::BuiltCore,
) -> (Core, CoreEntry) {
    let built::BuiltCore { built, loss, volume, metal, face } = *built;
    let fall = match (&spec.fall, loss) {
        (None, Some(loss)) => EntryFall::Tubes { built, loss },
        _ => EntryFall::Rated(core_fall(context, address, (spec, circuit), None)),
    };
    let density = context.fixed(sea_level(RATING_AIR));
    if spec.air_falls.iter().any(|falls| falls.value.by_velocity.is_some()) {
        // The flows of such a table follow from the face.
        for name in ["face", "tube_length", "tube_across"] {
            context.cast(&format!("{address}:{name}"), Role::Structure);
        }
    }
    let fall_table = tables::fall(context, (address, spec), density);
    let (air_fall, fall_of_fins) = match (&fall_table, &spec.air_fall) {
        (None, Some(told)) => {
            let (bound, exponent) = (AIR_FALL, CORE_AIR_FALL_EXPONENT.fixed());
            let at = format!("{address}:air_fall");
            (given_air_fall(context, &at, (told, bound, exponent), Some(density)), None)
        }
        (Some(_), _) => (tables::no_fall(context), None),
        (None, None) => {
            let scale = tables::scale(context, (address, "air_falls"), spec.air_falls_scale);
            (tables::no_fall(context), Some(scale))
        }
    };
    let [coolant_share, wall_share, air_exponent] = [0.2, 0.02, 0.5].map(|n| context.fixed(n));
    let core = Core {
        name: name.to_owned(),
        rating: CoreRating::Built(built),
        coolant_share,
        wall_share,
        air_exponent,
        air_fall,
        fall_table,
        fall_of_fins,
        metal,
        blocked: blocked(context, address, spec),
        face: Some(face),
        piece: None,
    };
    let bore = spec.bore.map(|b| context.given(&format!("{address}:bore"), b, BORE, "bore"));
    (core, CoreEntry { index, bore, built: Some(built), fall, volume })
}

/// A core that is known by a rated point or by a table.
fn rated_core(
    context: &mut Context<'_>,
    (name, span): (&str, Span),
    (index, coolant): (usize, CoolantSpec),
    spec: &CoreSpec,
) -> Option<(Core, CoreEntry)> {
    let address = format!("cores/{name}");
    let coolant_of_circuit = coolant.clone();
    let told = match (&spec.rated, &spec.table) {
        (Some(rated), _) => rated.value.fluid.as_ref(),
        (None, table) => table.as_ref().and_then(|table| table.value.last()?.fluid.as_ref()),
    };
    let coolant = if let Some(fluid) = told {
        named(context, &fluid.value)
    } else {
        context.notes.push(format!(
            "The rating of the core `{name}` is taken to hold in the coolant of its circuit; `fluid` in the rating \
             names another."
        ));
        coolant
    };
    let share = if coolant.base().is_some() { &CORE_COOLANT_SHARE } else { &CORE_OIL_SHARE };
    let rating = match (&spec.rated, &spec.table) {
        (Some(rated), None) => {
            let point = rated_point(context, &address, rated, &coolant);
            check_rating(context, rated, &point);
            CoreRating::Point(point)
        }
        (None, Some(table)) => {
            let point = tables::Place { address: &address, spec, coolant: &coolant };
            CoreRating::Table(tables::ua(context, &point, table)?)
        }
        _ => {
            context.problems.push(known_by(name, span));
            return None;
        }
    };
    let [coolant_flow, rated_air] = match &rating {
        CoreRating::Point(p) => [p.coolant_flow, p.air_flow],
        CoreRating::Table(t) => {
            [&t.coolant_flow, &t.air_flow].map(|axis| context.fixed(last(axis)))
        }
        CoreRating::Built(_) => return None,
    };
    let density = match context.slot(&format!("{address}:air_in")) {
        Some(air_in) => context.derived(&[air_in], move |values| sea_level(values.get(air_in))),
        None => context.fixed(sea_level(table_air(spec))),
    };
    let rated_air = RatedAir { flow: rated_air, density };
    let fall = core_fall(context, &address, (spec, coolant_of_circuit), Some(coolant_flow));
    let volume = context.or_assumed(
        &format!("{address}:volume"),
        spec.volume,
        Bound::Within(1e-5, 1.0),
        CORE_VOLUME.fixed(),
    );
    let core = core_body(context, (name, &address), (spec, share), rating, rated_air);
    let bore = spec.bore.map(|b| context.given(&format!("{address}:bore"), b, BORE, "bore"));
    Some((core, CoreEntry { index, bore, built: None, fall: EntryFall::Rated(fall), volume }))
}

/// Share of a core's face that is blocked.
fn blocked(context: &mut Context<'_>, address: &str, spec: &CoreSpec) -> Slot {
    context.or_default(
        &format!("{address}:blocked"),
        spec.blocked,
        Bound::Within(0.0, 0.99),
        ("blocked share", 0.0),
    )
}

/// Air temperature of a table's last row, K.
fn table_air(spec: &CoreSpec) -> f64 {
    let last = spec.table.as_ref().and_then(|table| table.value.last()?.air_in);
    last.map_or(RATING_AIR, Temperature::si)
}

fn last(axis: &[f64]) -> f64 {
    axis.last().copied().unwrap_or(1.0)
}

/// What a core is beside its rating.
fn core_body(
    context: &mut Context<'_>,
    (name, address): (&str, &str),
    (spec, share): (&CoreSpec, &Usual),
    rating: CoreRating,
    rated_air: RatedAir,
) -> Core {
    let coolant_share = context.or_assumed(
        &format!("{address}:coolant_share"),
        spec.coolant_share,
        Bound::Within(0.01, 0.9),
        share.fixed(),
    );
    let air_exponent = context.or_assumed(
        &format!("{address}:air_exponent"),
        spec.air_exponent,
        Bound::Within(0.1, 1.0),
        CORE_AIR_EXPONENT.fixed(),
    );
    let face = tables::face(context, (address, spec));
    let fall_table = tables::fall(context, (address, spec), rated_air.density);
    let air_fall = match &fall_table {
        Some(_) => tables::no_fall(context),
        None => core_air_fall(context, address, spec.air_fall.as_ref(), rated_air),
    };
    Core {
        name: name.to_owned(),
        rating,
        coolant_share,
        wall_share: context.fixed(0.02),
        air_exponent,
        air_fall,
        fall_table,
        fall_of_fins: None,
        metal: context.or_assumed(
            &format!("{address}:metal"),
            spec.metal,
            Bound::Positive,
            CORE_METAL.fixed(),
        ),
        blocked: blocked(context, address, spec),
        face,
        piece: None,
    }
}

/// What is rated at the flow and the air of a core's rating.
#[derive(Clone, Copy)]
struct RatedAir {
    flow: Slot,
    /// Its density, kg/m³.
    density: Slot,
}

/// The fall of the air's pressure through a core.
fn core_air_fall(
    context: &mut Context<'_>,
    address: &str,
    spec: Option<&AirFallSpec>,
    rated: RatedAir,
) -> AirFall {
    let address = format!("{address}:air_fall");
    let exponent = CORE_AIR_FALL_EXPONENT.fixed();
    if let Some(spec) = spec {
        return given_air_fall(context, &address, (spec, AIR_FALL, exponent), Some(rated.density));
    }
    let fall = context.assumed(&address, CORE_AIR_FALL.fixed());
    let flow = air_flow_slot(context, &format!("{address}_at"), 0.0, None);
    context.follows(flow, &[rated.flow], move |values| values.get(rated.flow));
    let density = air_density(context, &address, None, Some(rated.density));
    let exponent = air_exponent(context, &address, None, exponent);
    AirFall { fall, flow, density, exponent }
}

/// The range of falls of grille, shroud and ducts, Pa.
const PATH_FALL: Bound = Bound::Within(0.0, 1e4);

/// The fall of grille, shroud and ducts.
fn ducts_fall(context: &mut Context<'_>, address: &str, spec: Option<&AirFallSpec>) -> AirFall {
    let address = format!("{address}:loss");
    let exponent = PATH_LOSS_EXPONENT.fixed();
    if let Some(spec) = spec {
        return given_air_fall(context, &address, (spec, PATH_FALL, exponent), None);
    }
    let fall = context.assumed(&address, PATH_LOSS.fixed());
    let flow = air_flow_slot(context, &format!("{address}_at"), 2.0, None);
    let density = air_density(context, &address, None, None);
    let exponent = air_exponent(context, &address, None, exponent);
    AirFall { fall, flow, density, exponent }
}

/// A fall of air that the file gives: a volume flow is counted at the density of the fall.
fn given_air_fall(
    context: &mut Context<'_>,
    address: &str,
    (spec, bound, exponent): (&AirFallSpec, Bound, Assumed),
    rated_density: Option<Slot>,
) -> AirFall {
    let fall = context.given(address, spec.fall, bound, "fall of air pressure");
    let density = air_density(context, address, spec.density, rated_density);
    let at = spec.at;
    let value = air_flow(context, at, context.values.get(density));
    let flow = air_flow_slot(context, &format!("{address}_at"), value, Some(at.span()));
    if let Flow::Volume(volume) = at
        && volume.si() > 0.0
    {
        context.follows(flow, &[density], move |values| volume.si() * values.get(density));
    }
    let exponent = air_exponent(context, address, spec.exponent, exponent);
    AirFall { fall, flow, density, exponent }
}

/// Density of the air of a fall; that of the rating it belongs to where it is left out.
fn air_density(
    context: &mut Context<'_>,
    address: &str,
    given: Option<Density>,
    rated: Option<Slot>,
) -> Slot {
    let address = format!("{address}_density");
    let slot = context.or_default(
        &address,
        given,
        Bound::Within(0.2, 2.0),
        ("density of the air of a fall", sea_level(RATING_AIR)),
    );
    if let (None, Some(rated)) = (given, rated) {
        context.follows(slot, &[rated], move |values| values.get(rated));
    }
    slot
}

pub(super) fn air_exponent(
    context: &mut Context<'_>,
    address: &str,
    given: Option<Number>,
    assumed: Assumed,
) -> Slot {
    context.or_assumed(&format!("{address}_exponent"), given, Bound::Within(1.0, 2.5), assumed)
}

/// A slot for an air flow at an address, kg/s.
pub(super) fn air_flow_slot(
    context: &mut Context<'_>,
    address: &str,
    flow: f64,
    span: Option<Span>,
) -> Slot {
    let bound = Bound::Within(1e-6, 1e3);
    if let Some((si, at)) = context.told(address) {
        context.check(si, at, Kind::MassFlow, bound, "air flow");
    }
    let slot = context.addressed(address, Kind::MassFlow, flow, span);
    context.bind(address, bound, "air flow");
    slot
}

fn core_fall(
    context: &mut Context<'_>,
    address: &str,
    (spec, circuit): (&CoreSpec, CoolantSpec),
    rated: Option<Slot>,
) -> RatedFall {
    if let Some(r) = &spec.fall {
        return resistance(context, address, r, (Way::Narrow, Some(circuit)));
    }
    let fall = context.assumed(&format!("{address}:fall"), CORE_FALL.fixed());
    let flow = assumed_flow(context, &format!("{address}:at"), 0.0);
    if let Some(rated) = rated {
        context.follows(flow, &[rated], move |values| values.get(rated) / 970.0);
    }
    assumed_resistance(context, address, [fall, flow], (Way::Narrow, Some(circuit)))
}

fn rated_point(
    context: &mut Context<'_>,
    address: &str,
    rated: &RatedCore,
    fluid: &CoolantSpec,
) -> RatedPoint {
    let heat = context.given(
        &format!("{address}:heat"),
        rated.heat,
        Bound::Within(1.0, 1e7),
        "rated heat",
    );
    let difference = context.given(
        &format!("{address}:difference"),
        rated.difference,
        Bound::Within(1.0, 300.0),
        "rated inlet temperature difference",
    );
    let air_in = context.or_default(
        &format!("{address}:air_in"),
        rated.air_in,
        Bound::Within(220.0, 370.0),
        ("air temperature of the rating", RATING_AIR),
    );
    let coolant_flow = rated_coolant(context, address, rated, (air_in, difference, fluid));
    let air_flow = rated_air(context, address, rated, air_in);
    let from = [&[air_in, difference, heat, coolant_flow], fluid.slots()].concat();
    let of = fluid.clone();
    let mean = context.derived(&from, move |values| {
        let [air_k, difference, heat, flow] =
            [air_in, difference, heat, coolant_flow].map(|slot| values.get(slot));
        let carried = flow * fluid_of(&of, values).heat_capacity(air_k + difference) * difference;
        air_k + difference * mean_of_cells(heat / carried)
    });
    let mut property = |of: fn(&Coolant, f64) -> f64| {
        let (from, fluid) = ([&[mean], fluid.slots()].concat(), fluid.clone());
        context.derived(&from, move |values| of(&fluid_of(&fluid, values), values.get(mean)))
    };
    RatedPoint {
        heat,
        coolant_flow,
        air_flow,
        inlet_difference: difference,
        coolant_heat_capacity: property(Coolant::heat_capacity),
        coolant_viscosity: property(Coolant::viscosity),
        coolant_conductivity: property(Coolant::conductivity),
    }
}

/// Coolant flow of a rating, kg/s: a volume flow is counted at the inlet of the rating.
fn rated_coolant(
    context: &mut Context<'_>,
    address: &str,
    rated: &RatedCore,
    (air_in, difference, fluid): (Slot, Slot, &CoolantSpec),
) -> Slot {
    let at = context.values.get(air_in) + context.values.get(difference);
    let inlet = context.fixed(fluid_of(fluid, &context.values).density(at));
    let volume = flow_of(context, rated.coolant, inlet);
    let mass = match rated.coolant {
        Flow::Mass(mass) => mass.si().max(1e-9),
        Flow::Volume(_) => 0.0,
    };
    let address = format!("{address}:coolant");
    let bound = Bound::Within(1e-9, 1e4);
    if let Some((si, span)) = context.told(&address) {
        context.check(si, span, Kind::MassFlow, bound, "coolant flow");
    }
    let slot = context.addressed(&address, Kind::MassFlow, mass, Some(rated.coolant.span()));
    context.bind(&address, bound, "coolant flow");
    if matches!(rated.coolant, Flow::Volume(_)) {
        let (from, fluid) = ([&[air_in, difference], fluid.slots()].concat(), fluid.clone());
        context.follows(slot, &from, move |values| {
            let inlet = values.get(air_in) + values.get(difference);
            volume * fluid_of(&fluid, values).density(inlet)
        });
    }
    slot
}

/// Air flow of a rating, kg/s.
fn rated_air(context: &mut Context<'_>, address: &str, rated: &RatedCore, air_in: Slot) -> Slot {
    let flow = rated.air;
    let value = air_flow(context, flow, sea_level(context.values.get(air_in)));
    let slot = air_flow_slot(context, &format!("{address}:air"), value, Some(flow.span()));
    if matches!(flow, Flow::Volume(volume) if !volume.si().is_nan() && volume.si() > 0.0) {
        context.follows(slot, &[air_in], move |values| {
            flow.mass_flow_kg_per_s(sea_level(values.get(air_in)))
        });
    }
    slot
}

/// Mean excess of the cells of a core over the entering air, as a share of that at the inlet, when
/// the coolant gives off `fraction` of what it could: cell i stands at e^(−x i), e^(−x N) = 1 −
/// fraction. Properties are taken at the same mean when the core works, so that it meets its rating.
fn mean_of_cells(fraction: f64) -> f64 {
    if !(0.0..1.0).contains(&fraction) {
        return 1.0;
    }
    let cell = (1.0 - fraction).powf(1.0 / CORE_CELLS as f64);
    (1..=CORE_CELLS).map(|i| cell.powf(i as f64)).sum::<f64>() / CORE_CELLS as f64
}

/// No core gives more heat than its flows carry.
fn check_rating(context: &mut Context<'_>, rated: &RatedCore, point: &RatedPoint) {
    let told = [rated.heat.si(), rated.difference.si()];
    let flows = [rated.coolant, rated.air].map(|flow| flow.mass_flow_kg_per_s(1.0));
    if told.iter().chain(&flows).any(|x| x.is_nan() || *x <= 0.0) {
        return;
    }
    if let Err(error) = Core::rated_ua(&context.values, point) {
        let (label, help) = match &error {
            CoreError::TooMuchHeat { heat_w, any_w, .. } if heat_w < any_w => (
                "more than this arrangement passes on",
                "look whether the core was rated with more air or coolant than stands here, and whether \
                 `difference` is that of the inlets, coolant in less air in; a core of \
                 another arrangement cannot be counted here",
            ),
            _ => (
                "more than these flows carry",
                "look for a slip in a unit: heat, flows, or the difference of the inlets (coolant in less \
                 air in)",
            ),
        };
        context.problems.push(
            Problem::error(rated.heat.span(), wrong_rating(&error))
                .label(label)
                .also(rated.coolant.span(), "coolant flow")
                .also(rated.air.span(), "air flow")
                .help(help),
        );
    }
}

/// What is wrong with a rated point.
pub(super) fn wrong_rating(error: &CoreError) -> String {
    match error {
        CoreError::TooMuchHeat { heat_w, most_w, any_w } => format!(
            "the rated heat of {} is more than a core of any size gives at these flows and temperatures: \
             the most is {} in cross-flow with the air unmixed and the coolant mixed, which is what is \
             counted here, and {} at most in any other arrangement (counterflow, both fluids unmixed)",
            spoken(Kind::HeatRate, *heat_w),
            spoken(Kind::HeatRate, *most_w),
            spoken(Kind::HeatRate, *any_w)
        ),
        CoreError::NotPositive(what) => format!("the rated {what} must be above zero"),
        CoreError::Dimensions(what) => format!("it cannot be worked out: {what}"),
    }
}
