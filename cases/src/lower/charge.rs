//! Charge air on its way from the file into the model.

use std::collections::BTreeMap;

use coolwright_models::air::AirFall;
use coolwright_models::charge::{
    ChargeAir, ChargeError, ChargeSide, CompressorMap, Efficiency, Meeting, Stage, StageKind, Way,
};
use coolwright_models::circuit::CoolantSpec;
use coolwright_models::fluids::{Air, Coolant, Site};
use coolwright_models::inputs::{self, Inputs};
use coolwright_models::parts::{CoolantAt, PASS_CELLS, RatedFilm};
use coolwright_models::slots::{Slot, Values};

use super::air::{air_exponent, air_flow, air_flow_slot};
use super::context::{Bound, Context};
use super::liquids::{Liquid, of_body};
use super::parts::{assumed_flow, rated_flow};
use super::{fluid_of, heat};
use crate::diagnostic::Problem;
use crate::file::{
    AirFall as AirFallSpec, Case, ChargeAir as PathSpec, ChargeCooler, ChargeStage, ChargeWay,
    Cooler, EfficiencyRow, PartSpec,
};
use crate::lower::usual::{
    CHARGE_AIR_EXPONENT, CHARGE_COOLANT, CHARGE_COOLANT_IN, CHARGE_COOLANT_SHARE,
    CHARGE_EFFECTIVENESS, CHARGE_FALL, CHARGE_FALL_DENSITY, CHARGE_FALL_EXPONENT,
    COMPRESSOR_EFFICIENCY, COMPRESSOR_MAP_AIR, COMPRESSOR_MAP_PRESSURE,
};
use crate::quantity::{Conductance, Count, Density, Flow, Fraction, Kind, Power, spoken};
use crate::text::{Span, Spanned};

/// All charge air of a case.
#[derive(Default)]
pub(super) struct Charges {
    /// The ways.
    pub paths: Vec<ChargeAir>,
    /// The charge sides of coolers, by the name of each.
    pub coolers: BTreeMap<String, Charged>,
}

/// What a cooler has from the charge air.
pub(super) struct Charged {
    /// Where the stage stands that says so.
    span: Span,
    /// Its charge side.
    pub side: ChargeSide,
    /// The film of a pass that follows from the rating; `None` where the cooler tells its own.
    pub film: Option<RatedFilm>,
}

impl Charged {
    /// Whatever else says how much heat comes in would count it twice.
    pub(super) fn alone(
        &self,
        context: &mut Context<'_>,
        (name, span): (&str, Span),
        spec: &Cooler,
    ) {
        let told = |field: &str| context.told(&format!("coolers/{name}:{field}")).is_some();
        let twice = spec.heat.is_some() || spec.share.is_some() || spec.table.is_some();
        if twice || told("heat") || told("share") {
            let message = format!("the heat of the cooler `{name}` is told twice");
            let problem = Problem::error(span, message)
                .label("by `heat`, `share` or `table` here")
                .also(self.span, "and by what charge air gives it")
                .help("leave one of them out");
            context.problems.push(problem);
        }
    }
}

/// What the stages of a way share.
struct Along {
    /// Its path.
    address: String,
    /// Flow at full power, kg/s.
    full: Slot,
    /// Share of full boost.
    boost: Slot,
}

/// Mass flows that an engine breathes, kg/s.
const FLOW: Bound = Bound::Within(1e-4, 50.0);

/// Lowers all charge air.
pub(super) fn lower(context: &mut Context<'_>, case: &Case, inputs: &Inputs) -> Charges {
    let mut charges = Charges::default();
    for (name, spec) in &case.charge_air {
        let path = path(context, case, (name, spec), (inputs, &mut charges.coolers));
        charges.paths.push(path);
    }
    charges
}

fn path(
    context: &mut Context<'_>,
    case: &Case,
    (name, spec): (&Spanned<String>, &PathSpec),
    (inputs, coolers): (&Inputs, &mut BTreeMap<String, Charged>),
) -> ChargeAir {
    let address = format!("charge_air/{}", name.value);
    let full = site_flow(context, &format!("{address}:flow"), spec.flow);
    let input = |name| inputs.slot(name).expect("the inputs of a case hold power and boost");
    let share = input(inputs::FULL_SHARE);
    let flow = context.derived(&[full, share], move |values| values.get(full) * values.get(share));
    let boost = input(inputs::BOOST);
    let along = Along { address, full, boost };
    if spec.stages.is_empty() {
        context.error(
            name.span,
            "this charge air goes through no stage",
            "list its `stages` in order",
        );
    }
    let (mut stages, mut maps) = (Vec::new(), Vec::new());
    for (name, spec) in &spec.stages {
        stages.extend(stage(context, case, (name, spec), (&along, coolers, &mut maps)));
    }
    ChargeAir { name: name.value.clone(), flow, stages, maps }
}

/// A flow, kg/s: a volume is counted in the air of the site.
fn site_flow(context: &mut Context<'_>, address: &str, flow: Flow) -> Slot {
    let [air, altitude, humidity] = ["site:air", "site:altitude", "site:humidity"]
        .map(|address| context.addresses[address].slots[0]);
    let density = move |values: &Values| {
        let [air, altitude, humidity] = [air, altitude, humidity].map(|slot| values.get(slot));
        Site::new(air, altitude, humidity).map_or(1.2, |site| site.density())
    };
    let at = density(&context.values);
    let value = air_flow(context, flow, at);
    let slot = air_flow_slot(context, address, value, Some(flow.span()));
    context.bind(address, FLOW, "flow of charge air");
    if let Flow::Volume(volume) = flow
        && volume.si() > 0.0
    {
        context
            .follows(slot, &[air, altitude, humidity], move |values| volume.si() * density(values));
    }
    slot
}

fn stage(
    context: &mut Context<'_>,
    case: &Case,
    (name, spec): (&Spanned<String>, &ChargeStage),
    (along, coolers, maps): (&Along, &mut BTreeMap<String, Charged>, &mut Vec<CompressorMap>),
) -> Option<Stage> {
    let address = format!("{}/{}", along.address, name.value);
    let (kind, fall) = match spec {
        ChargeStage::Duct(duct) => {
            let soak = context.or_default::<Conductance>(
                &format!("{address}:soak"),
                duct.soak,
                Bound::Within(0.0, 1e5),
                ("conductance to the air around a pipe", 0.0),
            );
            let fall = duct.fall.as_ref().map(|fall| told_fall(context, &address, fall));
            (StageKind::Duct { soak }, fall)
        }
        ChargeStage::Compressor(spec) => (compressor(context, &address, spec, (along, maps)), None),
        ChargeStage::ChargeCooler(spec) => {
            let body = charge_cooler(context, case, (&address, spec), (along, coolers))?;
            let rated = coolers[&spec.cooler.value].side.air_flow;
            let fall = fall(context, &address, (spec.fall.as_ref(), rated));
            (StageKind::Cooler { body }, Some(fall))
        }
        ChargeStage::AirCooled(spec) => {
            let effectiveness = context.given(
                &format!("{address}:effectiveness"),
                spec.effectiveness,
                EFFECTIVENESS,
                "effectiveness",
            );
            context.notes.push(format!(
                "The effectiveness of `{address}` holds as told, at any road speed and flow."
            ));
            let fall = fall(context, &address, (spec.fall.as_ref(), along.full));
            (StageKind::AirCooled { effectiveness }, Some(fall))
        }
    };
    Some(Stage { name: name.value.clone(), kind, fall })
}

/// The most that is assumed of an effectiveness, of what the flows allow.
const OF_THE_MOST: f64 = 0.98;
/// What an effectiveness may be.
const EFFECTIVENESS: Bound = Bound::Within(0.01, 0.9995);

fn compressor(
    context: &mut Context<'_>,
    address: &str,
    spec: &crate::file::Compressor,
    (along, maps): (&Along, &mut Vec<CompressorMap>),
) -> StageKind {
    let bound = Bound::Within(1.0, 10.0);
    let full = context.given(&format!("{address}:ratio"), spec.ratio, bound, "pressure ratio");
    let efficiency = match &spec.map {
        Some(map) => by_map(context, (address, spec), map, maps),
        None => Efficiency::Told(context.or_assumed(
            &format!("{address}:efficiency"),
            spec.efficiency,
            EFFICIENCY,
            COMPRESSOR_EFFICIENCY.fixed(),
        )),
    };
    let boost = along.boost;
    let ratio = context
        .derived(&[full, boost], move |values| 1.0 + (values.get(full) - 1.0) * values.get(boost));
    StageKind::Compressor { ratio, efficiency }
}

/// Isentropic efficiencies of compressors.
const EFFICIENCY: Bound = Bound::Within(0.2, 1.0);

/// The efficiency of a compressor by its map; that of the first point after a problem.
fn by_map(
    context: &mut Context<'_>,
    (address, spec): (&str, &crate::file::Compressor),
    map: &Spanned<Vec<EfficiencyRow>>,
    maps: &mut Vec<CompressorMap>,
) -> Efficiency {
    if let Some(told) = spec.efficiency {
        let problem =
            Problem::error(told.span(), "the efficiency of this compressor is told twice");
        let problem = problem.label("here").also(map.span, "and by its map");
        context.problems.push(problem.help("keep one of them"));
    }
    let mut row = |row: &EfficiencyRow| {
        let flow = context.checked(row.flow, Bound::Within(1e-4, 100.0), "flow of a map");
        let ratio = context.checked(row.ratio, Bound::Within(1.0, 10.0), "pressure ratio");
        [ratio, flow, context.checked(row.efficiency, EFFICIENCY, "efficiency")]
    };
    let rows: Vec<[f64; 3]> = map.value.iter().map(&mut row).collect();
    let [ratios, flows] = [0, 1].map(|k| heat::axis(&rows, k));
    let bound = Bound::Within(233.15, 333.15);
    let at = format!("{address}:map_air");
    let at_k = context.or_assumed(&at, spec.map_air, bound, COMPRESSOR_MAP_AIR.fixed());
    let bound = Bound::Within(5e4, 1.2e5);
    let at = format!("{address}:map_pressure");
    let at_pa = context.or_assumed(&at, spec.map_pressure, bound, COMPRESSOR_MAP_PRESSURE.fixed());
    let Some(efficiencies) = heat::grid(&rows, [&ratios, &flows]) else {
        let message = format!(
            "a map of a compressor needs each of its {} flows at each of its {} ratios, once, and two or more of both",
            flows.len(),
            ratios.len()
        );
        context.error(map.span, message, format!("{} points", rows.len()));
        return Efficiency::Told(context.fixed(0.7));
    };
    maps.push(CompressorMap { flows, ratios, efficiencies, at_k, at_pa });
    Efficiency::Map(maps.len() - 1)
}

/// The fall of a cooler: as told, else assumed at the flow of its rating.
fn fall(
    context: &mut Context<'_>,
    address: &str,
    (spec, rated): (Option<&AirFallSpec>, Slot),
) -> AirFall {
    if let Some(spec) = spec {
        return told_fall(context, address, spec);
    }
    let at = format!("{address}:fall");
    let fall = context.assumed(&at, CHARGE_FALL.fixed());
    let flow = air_flow_slot(context, &format!("{at}_at"), 0.0, None);
    context.follows(flow, &[rated], move |values| values.get(rated));
    let density = fall_density(context, &at, None);
    let exponent = air_exponent(context, &at, None, CHARGE_FALL_EXPONENT.fixed());
    AirFall { fall, flow, density, exponent }
}

fn told_fall(context: &mut Context<'_>, address: &str, spec: &AirFallSpec) -> AirFall {
    let at = format!("{address}:fall");
    let bound = Bound::Within(0.0, 2e5);
    let fall = context.given(&at, spec.fall, bound, "fall of air pressure");
    let density = fall_density(context, &at, spec.density);
    let value = air_flow(context, spec.at, context.values.get(density));
    let flow = air_flow_slot(context, &format!("{at}_at"), value, Some(spec.at.span()));
    if let Flow::Volume(volume) = spec.at
        && volume.si() > 0.0
    {
        context.follows(flow, &[density], move |values| volume.si() * values.get(density));
    }
    let exponent = air_exponent(context, &at, spec.exponent, CHARGE_FALL_EXPONENT.fixed());
    AirFall { fall, flow, density, exponent }
}

/// Densities of charge air, kg/m³.
const DENSITY: Bound = Bound::Within(0.2, 50.0);

/// Density of the air in which a fall of charge air was measured.
fn fall_density(context: &mut Context<'_>, address: &str, told: Option<Density>) -> Slot {
    let assumed = CHARGE_FALL_DENSITY.fixed();
    context.or_assumed(&format!("{address}_density"), told, DENSITY, assumed)
}

/// Lowers the charge side of a cooler; gives the cooler's place among the bodies.
fn charge_cooler(
    context: &mut Context<'_>,
    case: &Case,
    (address, spec): (&str, &ChargeCooler),
    (along, coolers): (&Along, &mut BTreeMap<String, Charged>),
) -> Option<usize> {
    let name = &spec.cooler;
    let place = case.coolers.names().position(|known| known == name.value);
    let (Some(place), Some(cooler)) = (place, case.coolers.get(&name.value)) else {
        context.unknown(name.span, "cooler", &name.value, case.coolers.names());
        return None;
    };
    if let Some(other) = coolers.get(&name.value) {
        let message = format!("charge air already goes through the cooler `{}`", name.value);
        let problem =
            Problem::error(name.span, message).label("twice").also(other.span, "first here");
        context.problems.push(problem.help("give each stage a cooler of its own under `coolers`"));
        return None;
    }
    let water = super::water(context);
    let coolant = of_body(context, case, (false, &name.value)).unwrap_or(water);
    let side = side(context, case, (address, spec), (along, coolant.clone()));
    let own = cooler.film.is_some() || cooler.film_factor.is_some() || cooler.tubes.is_some();
    if let (true, Some(share)) = (own, spec.coolant_share) {
        context.error(
            share.span(),
            format!("the film of the cooler `{}` is told twice", name.value),
            "by this share, and by `film`, `film_factor` or `tubes` of the cooler",
        );
    }
    let film = (!own).then(|| film(context, (address, spec), (&side, coolant.clone())));
    check(context, (spec, &side), &coolant);
    coolers.insert(name.value.clone(), Charged { span: name.span, side, film });
    Some(case.engines.len() + place)
}

/// The rating of a charge side.
fn side(
    context: &mut Context<'_>,
    case: &Case,
    (address, spec): (&str, &ChargeCooler),
    (along, coolant): (&Along, CoolantSpec),
) -> ChargeSide {
    let at = |field: &str| format!("{address}:{field}");
    let air_flow = rated_air(context, &at("at"), spec.at, along.full);
    let coolant_k = context.or_assumed(
        &at("coolant_in"),
        spec.coolant_in,
        Bound::Within(233.15, 403.15),
        CHARGE_COOLANT_IN.fixed(),
    );
    let density = Liquid::of(coolant.clone(), coolant_k).density(context);
    let volume = if let Some(flow) = spec.coolant {
        rated_flow(context, &at("coolant"), flow, density)
    } else {
        let assumed = CHARGE_COOLANT.fixed();
        let slot = assumed_flow(context, &at("coolant"), assumed.value);
        if context.told(&at("coolant")).is_none() {
            context.assume(&at("coolant"), slot, assumed);
        }
        slot
    };
    let coolant_flow =
        context.derived(&[volume, density], move |values| values.get(volume) * values.get(density));
    let exponent = context.or_assumed(
        &at("air_exponent"),
        spec.air_exponent,
        Bound::Within(0.1, 1.0),
        CHARGE_AIR_EXPONENT.fixed(),
    );
    let passes = passes(case, &spec.cooler.value);
    let (way, meeting, streams) = met(&passes, spec.way.unwrap_or(ChargeWay::SideBySide));
    let mut side = ChargeSide {
        effectiveness: context.fixed(0.5),
        air_flow,
        coolant_flow,
        coolant_k,
        exponent,
        way,
        meeting,
        passes: passes.len().max(1),
        streams,
    };
    // What is assumed is no more than these flows allow.
    let most =
        side.most_effectiveness(&context.values, &at_rating(&context.values, &coolant, coolant_k));
    if let Some(heat) = spec.heat {
        side.effectiveness = by_heat(context, (address, spec), heat, &side);
        return side;
    }
    let assumed = CHARGE_EFFECTIVENESS.fixed().no_more_than(OF_THE_MOST * most);
    let told = spec.effectiveness;
    side.effectiveness = context.or_assumed(&at("effectiveness"), told, EFFECTIVENESS, assumed);
    if told.is_none() {
        let (rated, usual) = (side.clone(), CHARGE_EFFECTIVENESS.fixed().value);
        let from = [&[air_flow, coolant_flow, coolant_k], coolant.slots()].concat();
        context.follows(side.effectiveness, &from, move |values| {
            let local = at_rating(values, &coolant, coolant_k);
            usual.min(OF_THE_MOST * rated.most_effectiveness(values, &local))
        });
    }
    side
}

/// The effectiveness of a rating that tells its heat: `ε = Q/(w·c·(T_air − T_coolant))`, c that of dry air at the mean of both ends.
fn by_heat(
    context: &mut Context<'_>,
    (address, spec): (&str, &ChargeCooler),
    heat: Power,
    side: &ChargeSide,
) -> Slot {
    if let Some(told) = spec.effectiveness {
        let problem = Problem::error(told.span(), "this charge cooler is rated twice");
        let problem = problem.label("by its effectiveness").also(heat.span(), "and by its heat");
        context.problems.push(problem.help("keep one of them"));
    }
    let Some(air_in) = spec.air_in else {
        let problem = Problem::error(heat.span(), "a rating by heat needs the air that enters");
        let help = "add `air_in: \"{one Temperature}\"`; the coolant's is `coolant_in`";
        context.problems.push(problem.label("so warm as what?").help(help));
        return context.fixed(0.7);
    };
    let at = |field: &str| format!("{address}:{field}");
    let heat = context.given(&at("heat"), heat, Bound::Within(1.0, 1e7), "heat of a rating");
    let bound = Bound::Within(233.15, 700.0);
    let air_k = context.given(&at("air_in"), air_in, bound, "air that enters at the rating");
    let (flow, coolant_k) = (side.air_flow, side.coolant_k);
    let law = move |values: &Values| {
        let [heat, flow, air_k, coolant_k] =
            [heat, flow, air_k, coolant_k].map(|slot| values.get(slot));
        let air = Air::dry(101_325.0);
        let fall = heat / (flow * air.heat_capacity(air_k));
        let mean = air.heat_capacity(air_k - 0.5 * fall);
        heat / (flow * mean * (air_k - coolant_k))
    };
    let effectiveness = law(&context.values);
    if !(effectiveness > 0.0 && effectiveness < 1.0) {
        let message = "this charge cooler would take more heat than the air has above the coolant";
        let label = "more than there is at this flow and these temperatures";
        context.value_error(Problem::error(air_in.span(), message).label(label));
    }
    context.derived(&[heat, flow, air_k, coolant_k], law)
}

/// Air flow of a rating, kg/s: that of full power where none is told.
fn rated_air(context: &mut Context<'_>, address: &str, told: Option<Flow>, full: Slot) -> Slot {
    let Some(flow) = told else {
        let slot = air_flow_slot(context, address, 0.0, None);
        return context.follows(slot, &[full], move |values| values.get(full));
    };
    site_flow(context, address, flow)
}

/// The passes of a cooler in the order of the file: the run of each, and its number.
fn passes(case: &Case, cooler: &str) -> Vec<((usize, usize), u32)> {
    let mut found = Vec::new();
    for (c, circuit) in case.circuits.values().enumerate() {
        for (r, run) in circuit.runs.values().enumerate() {
            for part in run.parts.values() {
                match part {
                    PartSpec::Pass { cooler: name, pass, .. } if name.value == cooler => {
                        found.push(((c, r), pass.map_or(1, Count::get)));
                    }
                    _ => {}
                }
            }
        }
    }
    found
}

/// How the air goes through passes, how it meets the coolant, and how many streams of that there are.
fn met(passes: &[((usize, usize), u32)], way: ChargeWay) -> (Way, Meeting, usize) {
    let mut runs: Vec<(usize, usize)> = passes.iter().map(|(run, _)| *run).collect();
    runs.dedup();
    let streams = runs.len().max(1);
    if way == ChargeWay::SideBySide || passes.len() < 2 {
        return (Way::SideBySide, Meeting::Across(passes.len().max(1).div_ceil(streams)), streams);
    }
    let mut order: Vec<usize> = (0..passes.len()).collect();
    order.sort_by_key(|&place| passes[place].1);
    if way == ChargeWay::LastToFirst {
        order.reverse();
    }
    let meeting = if streams > 1 {
        Meeting::EachItsOwn
    } else if order.is_sorted() {
        Meeting::Along
    } else if order.is_sorted_by(|a, b| a > b) {
        Meeting::Against
    } else {
        Meeting::EachItsOwn
    };
    (Way::InTurn(order), meeting, streams)
}

/// The film of a pass that follows from the rating and the share of the coolant in it.
fn film(
    context: &mut Context<'_>,
    (address, spec): (&str, &ChargeCooler),
    (side, coolant): (&ChargeSide, CoolantSpec),
) -> RatedFilm {
    let local = at_rating(&context.values, &coolant, side.coolant_k);
    let most = side.rated_cell(&context.values, &local).map_or(0.9, |cell| cell.most_share());
    let share = context.or_assumed(
        &format!("{address}:coolant_share"),
        spec.coolant_share,
        Bound::Within(0.01, 0.9),
        CHARGE_COOLANT_SHARE.fixed().up_to(most),
    );
    if let Some(told) = spec.coolant_share.filter(|told| told.si() > most && told.si() <= 0.9) {
        let message = format!(
            "the coolant film cannot hold {} of the resistance of so good a cooler: {} is the most",
            spoken(Kind::Fraction, told.si()),
            spoken(Kind::Fraction, most)
        );
        let problem = Problem::error(told.span(), message).label("with the effectiveness told");
        context.value_error(problem);
    }
    let liquid = Liquid::of(coolant.clone(), side.coolant_k);
    let density = liquid.density(context);
    let (flow, streams) = (side.coolant_flow, side.streams as f64);
    let each = context
        .derived(&[flow, density], move |values| values.get(flow) / values.get(density) / streams);
    let rated = side.clone();
    let ChargeSide { effectiveness, air_flow, coolant_k, .. } = *side;
    let from = [&[effectiveness, air_flow, flow, coolant_k, share], coolant.slots()].concat();
    let conductance = context.derived(&from, move |values| {
        let cell = rated.rated_cell(values, &at_rating(values, &coolant, coolant_k));
        cell.map_or(f64::NAN, |cell| {
            PASS_CELLS as f64 * ChargeSide::film_of_share(&cell, values.get(share))
        })
    });
    liquid.of_film(context, [conductance, each, density])
}

/// The coolant of a rating.
fn at_rating(values: &Values, coolant: &CoolantSpec, temperature: Slot) -> CoolantAt {
    let liquid: Coolant = fluid_of(coolant, values);
    CoolantAt::of(&liquid, values.get(temperature))
}

/// Refuses a rating that cannot be.
fn check(
    context: &mut Context<'_>,
    (spec, side): (&ChargeCooler, &ChargeSide),
    coolant: &CoolantSpec,
) {
    let local = at_rating(&context.values, coolant, side.coolant_k);
    let Err(ChargeError::TooEffective { told, most }) = side.rated_cell(&context.values, &local)
    else {
        return;
    };
    // None at all is out of bounds, and told as that.
    if told <= 0.0 {
        return;
    }
    let span = spec.effectiveness.map_or(spec.cooler.span, Fraction::span);
    let across = match side.way {
        Way::SideBySide => "when the air crosses all passes side by side",
        Way::InTurn(_) => "with its passes in turn like this",
    };
    let message = format!(
        "an effectiveness of {} is more than a charge cooler of any size reaches with these flows {across}: {} is \
         the most",
        spoken(Kind::Fraction, told),
        spoken(Kind::Fraction, most.max(0.0)),
    );
    let untold = spec
        .effectiveness
        .is_none()
        .then(|| "tell its `effectiveness`: where it is left out, that much is assumed".to_owned());
    let problem = Problem::error(span, message)
        .label("counted against the coolant that enters")
        .help_if(untold)
        .help("look at `coolant`, the coolant flow of the rating; several passes that coolant and air meet in turn, against each \
             other (`passes`, `way: LastToFirst`), reach more");
    context.value_error(problem);
}
