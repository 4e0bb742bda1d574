//! Exchangers between two liquids on their way from the file into the model.

use coolwright_models::body::Body;
use coolwright_models::circuit::CoolantSpec;
use coolwright_models::exchanger::{Exchange, RatedSide};
use coolwright_models::laws::film::film_liquid_factor;
use coolwright_models::laws::two_liquids::{Passing, most_passed_w};
use coolwright_models::parts::{Channel, Film, RatedFall, RatedFilm};
use coolwright_models::slots::{Slot, Values};

use super::bodies::{BodyEntry, metal};
use super::context::{Assumed, BORE, Bound, Context};
use super::liquids::Liquid;
use super::parts::{MOST_FALL_PA, Way, exponent, rated_flow};
use super::usual::{
    EXCHANGER_FALL, EXCHANGER_FIRST, EXCHANGER_METAL, EXCHANGER_PLATE, EXCHANGER_VOLUME,
};
use super::{fluid_of, named, skins, water};
use crate::diagnostic::Problem;
use crate::file::{Case, Exchanger, LiquidSide, LiquidWay, PartSpec, WhichSide};
use crate::quantity::{Fraction, Kind, spoken};
use crate::text::{Span, Spanned};

/// One side on its way into the model.
struct Side {
    rated: RatedSide,
    /// Its film, but for the conductance.
    film: RatedFilm,
    fall: RatedFall,
    volume: Slot,
    bore: Option<Slot>,
}

/// Lowers an exchanger: the body that it is, and what goes through its first and its second side.
pub(super) fn lower(
    context: &mut Context<'_>,
    case: &Case,
    (name, span): (&Spanned<String>, Span),
    (index, power): (usize, Slot),
    spec: &Exchanger,
) -> (Body, [BodyEntry; 2]) {
    let address = format!("exchangers/{}", name.value);
    let places = places(case, &name.value);
    let heat =
        context.given(&format!("{address}:heat"), spec.heat, Bound::Within(1.0, 1e8), "heat");
    let entering = [&spec.first, &spec.second].map(|told| told.value.entering.si());
    let gives = entering[0] >= entering[1];
    let mut side = |which: WhichSide, told: &Spanned<LiquidSide>, gives: bool| {
        let at = format!("{address}/{}", word(which));
        let circuit = places.iter().find(|(of, _)| *of == which).map(|(_, circuit)| *circuit);
        let circuit = circuit.and_then(|circuit| context.coolant_of(circuit));
        self::side(context, &at, (&told.value, circuit), (heat, gives))
    };
    let sides =
        [side(WhichSide::First, &spec.first, gives), side(WhichSide::Second, &spec.second, !gives)];
    let mut exchange = Exchange {
        heat,
        sides: [&sides[0], &sides[1]].map(|side| side.rated),
        passing: match spec.way {
            None | Some(LiquidWay::CounterFlow) => Passing::Counter,
            Some(LiquidWay::ParallelFlow) => Passing::Parallel,
        },
        plate: heat,
        second_leads: places.first().is_some_and(|(first, _)| *first == WhichSide::Second),
    };
    check(context, (name, span), (spec, &exchange));
    let shares = shares(context, &address, spec, &sides);
    let mut conductance = |share: Slot| {
        let from = [&[heat, share], &sides_slots(&exchange)[..]].concat();
        context.derived(&from, move |values| {
            exchange.rated_conductance_w_k(values) / values.get(share)
        })
    };
    let [first, plate, second] = shares.map(&mut conductance);
    exchange.plate = plate;
    let metal = metal(context, &address, spec.metal.as_ref(), EXCHANGER_METAL.fixed());
    let start = spec.start.map(|t| {
        let bound = Bound::Within(200.0, 1000.0);
        context.given(&format!("{address}:start"), t, bound, "start temperature")
    });
    let none = context.fixed(0.0);
    let body = Body {
        name: name.value.clone(),
        word: "exchanger",
        metal,
        heat: none,
        power,
        share: none,
        fuel: None,
        table: None,
        map: None,
        battery: None,
        exchange: Some(exchange),
        start,
        charge: None,
        skin: skins::of_body(context, &address, spec.surface),
        wall: None,
    };
    let entry = |side: &Side, conductance: Slot| BodyEntry {
        index,
        name: name.value.clone(),
        passes: 2,
        bore: side.bore,
        channel: Channel::Rated { drop: side.fall, volume: side.volume },
        film: Film::Rated(RatedFilm { conductance, ..side.film }),
    };
    (body, [entry(&sides[0], first), entry(&sides[1], second)])
}

/// The number of a side.
pub(super) fn number(side: WhichSide) -> u32 {
    match side {
        WhichSide::First => 1,
        WhichSide::Second => 2,
    }
}

/// The word for a side in addresses.
pub(super) fn word(side: WhichSide) -> &'static str {
    match side {
        WhichSide::First => "first",
        WhichSide::Second => "second",
    }
}

/// All slots of both sides at the rating.
fn sides_slots(exchange: &Exchange) -> Vec<Slot> {
    exchange.sides.iter().flat_map(RatedSide::slots).collect()
}

/// The sides of an exchanger in the order of the file, each with its circuit.
fn places<'c>(case: &'c Case, exchanger: &str) -> Vec<(WhichSide, &'c str)> {
    let mut found = Vec::new();
    for (circuit, spec) in &case.circuits {
        for part in spec.runs.values().flat_map(|run| run.parts.values()) {
            match part {
                PartSpec::ExchangerSide { exchanger: of, side, .. } if of.value == exchanger => {
                    found.push((*side, circuit.value.as_str()));
                }
                _ => {}
            }
        }
    }
    found
}

/// One side at its rating: its liquid as told, else that of its circuit, else water. `heat` is that of the rating, which it gives
/// or gets.
fn side(
    context: &mut Context<'_>,
    address: &str,
    (spec, circuit): (&LiquidSide, Option<CoolantSpec>),
    (heat, gives): (Slot, bool),
) -> Side {
    let of = match (&spec.fluid, circuit) {
        (Some(fluid), _) => named(context, &fluid.value),
        (None, Some(circuit)) => circuit,
        (None, None) => water(context),
    };
    let freezing = fluid_of(&of, &context.values).freezing_point_k();
    let entering = context.given(
        &format!("{address}:entering"),
        spec.entering,
        Bound::Within(freezing.max(233.15), 453.15),
        "temperature of what enters",
    );
    let liquid = Liquid::of(of.clone(), entering);
    let density = liquid.density(context);
    let flow = rated_flow(context, &format!("{address}:at"), spec.at, density);
    let specific = liquid.of_film(context, [flow, flow, density]).heat_capacity;
    let liquid = Liquid::of(of, between(context, [entering, heat, flow, density, specific], gives));
    let fall = context.or_assumed(
        &format!("{address}:fall"),
        spec.fall,
        Bound::Within(0.0, MOST_FALL_PA),
        EXCHANGER_FALL.fixed(),
    );
    let fall = RatedFall {
        fall,
        flow,
        exponent: exponent(context, address, spec.exponent, Way::Narrow),
        liquid: liquid.of_fall(context),
    };
    let film = liquid.of_film(context, [flow, flow, density]);
    let rated = RatedSide { flow, entering, density, heat_capacity: film.heat_capacity };
    let volume = context.or_assumed(
        &format!("{address}:volume"),
        spec.volume,
        Bound::Within(1e-6, 1.0),
        EXCHANGER_VOLUME.fixed(),
    );
    let bore = spec.bore.map(|b| context.given(&format!("{address}:bore"), b, BORE, "bore"));
    Side { rated, film, fall, volume, bore }
}

/// Temperature half the way from inlet to outlet of a side, K: T ∓ Q/(2·C).
fn between(context: &mut Context<'_>, from: [Slot; 5], gives: bool) -> Slot {
    context.derived(&from, move |values| {
        let [entering, heat, flow, density, specific] = from.map(|slot| values.get(slot));
        let half = heat / (2.0 * flow * density * specific);
        // What is refused as a rating may ask for temperatures that no liquid has.
        (if gives { entering - half } else { entering + half }).clamp(233.15, 473.15)
    })
}

/// Shares of the resistance at the rating: the film on the first side, the plate, the film on the second.
fn shares(
    context: &mut Context<'_>,
    address: &str,
    spec: &Exchanger,
    [first, second]: &[Side; 2],
) -> [Slot; 3] {
    let plate = context.or_assumed(
        &format!("{address}:plate_share"),
        spec.plate_share,
        Bound::Within(1e-3, 0.8),
        EXCHANGER_PLATE.fixed(),
    );
    let sides = [first, second].map(|side| (side.rated, side.film));
    let alike = move |values: &Values| (1.0 - values.get(plate)) * of_like_ways(values, sides);
    let usual = alike(&context.values);
    let rest = 1.0 - context.values.get(plate);
    let range = (0.5 * usual, 0.5 * (usual + rest));
    let assumed = Assumed { value: usual, range, ..EXCHANGER_FIRST.fixed() };
    let at = format!("{address}:first_share");
    let share = context.or_assumed(&at, spec.first_share, Bound::Within(0.01, 0.98), assumed);
    if spec.first_share.is_none() {
        let films = sides.map(|(_, film)| [film.viscosity, film.conductivity]).concat();
        let rated = sides.map(|(rated, _)| rated.slots()).concat();
        let from = [vec![plate], rated, films].concat();
        context.follows(share, &from, alike);
    }
    let rest =
        context.derived(&[plate, share], move |values| 1.0 - values.get(plate) - values.get(share));
    [share, plate, rest]
}

/// What the film on the first side holds of the resistance of both films where both have like ways for their liquid:
/// h₂/(h₁ + h₂), h ∝ m^0.8·λ^0.6·(c/μ)^0.4, as of turbulent films.
fn of_like_ways(values: &Values, [first, second]: [(RatedSide, RatedFilm); 2]) -> f64 {
    let over =
        |of: fn(&(RatedSide, RatedFilm)) -> Slot| values.get(of(&first)) / values.get(of(&second));
    let flow = first.0.mass_flow(values) / second.0.mass_flow(values);
    let by_liquid = film_liquid_factor(
        over(|(_, film)| film.conductivity),
        over(|(_, film)| film.heat_capacity),
        over(|(_, film)| film.viscosity),
    );
    1.0 / (1.0 + flow.powf(0.8) * by_liquid)
}

/// Refuses a rating that no exchanger reaches, and one without a difference.
fn check(
    context: &mut Context<'_>,
    (name, span): (&Spanned<String>, Span),
    (spec, exchange): (&Exchanger, &Exchange),
) {
    let name = &name.value;
    let difference = exchange.difference(&context.values);
    if difference < 0.1 {
        let message =
            format!("both liquids enter the exchanger `{name}` equally warm at its rating");
        let problem = Problem::error(spec.second.value.entering.span(), message);
        let problem = problem.label("so no heat passes").also(span, "this exchanger");
        context.value_error(problem.help("a rating has a warmer and a colder liquid"));
        return;
    }
    let capacities = exchange.capacities(&context.values);
    let most = most_passed_w(difference, capacities, exchange.passing);
    let told = context.values.get(exchange.heat);
    if told >= most {
        let message = format!(
            "no exchanger passes on {} at this rating: even an endless one passes on less than {}",
            spoken(Kind::HeatRate, told),
            spoken(Kind::HeatRate, most)
        );
        let problem = Problem::error(spec.heat.span(), message).label("more than there is");
        context.value_error(problem.help("check both flows and both temperatures"));
    }
    let shares = [spec.first_share, spec.plate_share].map(|share| share.map(Fraction::si));
    if let ([Some(first), Some(plate)], Some(at)) = (shares, spec.first_share)
        && first + plate >= 0.99
    {
        let message =
            "the first film and the plate leave nothing of the resistance to the second film";
        let problem = Problem::error(at.span(), message).label("with the share of the plate");
        context.value_error(problem.help("the three shares add up to 100 %"));
    }
}
