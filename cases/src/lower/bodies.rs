//! Engines and coolers on their way from the file into the model.

use std::sync::Arc;

use coolwright_models::body::Body;
use coolwright_models::circuit::CoolantSpec;
use coolwright_models::laws::curve::Curve;
use coolwright_models::parts::{Channel, Film, RatedFall};
use coolwright_models::slots::Slot;

use super::charge::Charged;
use super::context::{Assumed, BORE, Bound, Context};
use super::liquids::{Told, Warmth, liquid, of_body};
use super::parts::{Way, assumed_flow, assumed_resistance, rated_flow, resistance};
use super::{heat, skins, tubes, wall};
use crate::file::{Case, Cooler, Engine, Film as FilmSpec, Metal};
use crate::lower::usual::{
    COOLER_FILM, COOLER_METAL, ENGINE_FALL, ENGINE_FILM, ENGINE_METAL, ENGINE_SHARE, ENGINE_VOLUME,
    PASS_LOSS, PASS_ROUGHNESS, PASS_VOLUME,
};
use crate::quantity::{Count, Fraction, Kind, Power};
use crate::text::{Span, Spanned};

/// A body of the model, as the parts that go through it need it.
#[derive(Clone, Debug)]
pub(super) struct BodyEntry {
    pub index: usize,
    pub name: String,
    pub passes: u32,
    pub bore: Option<Slot>,
    pub channel: Channel,
    pub film: Film,
}

/// How heat comes into a body, as the file tells it.
struct HeatSpec<'a> {
    share: Option<Fraction>,
    heat: Option<Power>,
    table: Option<&'a Spanned<Vec<(Power, Power)>>>,
    /// Whether anything else tells it.
    beside: bool,
}

/// Specific heat capacities, J/(kg·K), near 90 °C: aluminium casting alloy, cast iron, copper
/// (common handbook values: 0.91, 0.50, 0.39 kJ/(kg·K); from memory).
pub(super) const ALUMINIUM: f64 = 910.0;
pub(super) const IRON: f64 = 500.0;
pub(super) const COPPER: f64 = 390.0;

pub(super) fn metal(
    context: &mut Context<'_>,
    address: &str,
    given: Option<&Metal>,
    assumed: Assumed,
) -> Slot {
    let address = format!("{address}:metal");
    let bound = Bound::Within(1e-3, 1e6);
    let (mass, specific) = match given {
        None => return context.assumed(&address, assumed),
        Some(Metal::Capacity(c)) => {
            return context.given(&address, *c, Bound::Within(1.0, 1e9), "heat capacity");
        }
        Some(Metal::Aluminium(mass)) => (mass, ALUMINIUM),
        Some(Metal::Iron(mass)) => (mass, IRON),
        Some(Metal::Copper(mass)) => (mass, COPPER),
    };
    let capacity = context.checked(*mass, bound, "mass of metal") * specific;
    let told = context.told(&address);
    let bound = Bound::Within(1.0, 1e9);
    if let Some((si, span)) = told {
        context.check(si, span, Kind::HeatCapacity, bound, "heat capacity");
    }
    let slot = context.addressed(&address, Kind::HeatCapacity, capacity, Some(mass.span()));
    context.bind(&address, bound, "heat capacity");
    slot
}

/// Heat that comes into a body: constant, share of power, table. An engine that tells nothing gets
/// an assumed share.
fn heat(
    context: &mut Context<'_>,
    address: &str,
    spec: &HeatSpec<'_>,
    assumed_share: Option<Assumed>,
) -> (Slot, Slot, Option<Arc<Curve>>) {
    let constant = context.or_default(
        &format!("{address}:heat"),
        spec.heat,
        Bound::NotNegative,
        ("heat", 0.0),
    );
    let silent =
        spec.heat.is_none() && spec.share.is_none() && spec.table.is_none() && !spec.beside;
    let share_address = format!("{address}:share");
    let bound = Bound::Within(0.0, 3.0);
    let share = match assumed_share {
        Some(assumed) if silent && context.told(&format!("{address}:heat")).is_none() => {
            let share = context.or_assumed::<Fraction>(&share_address, None, bound, assumed);
            // Whoever tells the heat means all of it.
            context.follows(share, &[constant], move |values| {
                if values.is_written(constant) { 0.0 } else { assumed.value }
            })
        }
        // What fuel or a map tell stands in the place of a share.
        _ if spec.beside && spec.share.is_none() => context.fixed(0.0),
        _ => context.or_default(
            &share_address,
            spec.share,
            Bound::Within(0.0, 3.0),
            ("share of power", 0.0),
        ),
    };
    let table = spec.table.and_then(|table| {
        let points: Vec<[f64; 2]> = table.value.iter().map(|(p, q)| [p.si(), q.si()]).collect();
        if points.iter().flatten().any(|x| x.is_nan()) {
            return None;
        }
        match Curve::new(points) {
            Ok(curve) => Some(Arc::new(curve)),
            Err(error) => {
                context.error(table.span, error.to_string(), "this table of power and heat");
                None
            }
        }
    });
    (constant, share, table)
}

/// Whether nothing tells the power that heat may follow.
fn no_power(context: &Context<'_>, case: &Case) -> bool {
    case.duty.power.is_none() && context.told("duty:power").is_none()
}

/// A film conductance of the file.
pub(super) fn film(
    context: &mut Context<'_>,
    address: &str,
    spec: &FilmSpec,
    (warmth, circuit): (Warmth, Option<CoolantSpec>),
) -> Film {
    let conductance = context.given(
        &format!("{address}:conductance"),
        spec.conductance,
        Bound::Within(1e-3, 1e8),
        "conductance",
    );
    let told = Told { fluid: spec.fluid.as_ref(), temperature: spec.fluid_temperature };
    let liquid =
        liquid(context, &format!("{address}:film_"), (told, Some(spec.at)), (warmth, circuit));
    let density = liquid.density(context);
    let flow = rated_flow(context, &format!("{address}:film_at"), spec.at, density);
    Film::Rated(liquid.of_film(context, [conductance, flow, density]))
}

/// A film conductance that the file leaves out.
fn assumed_film(
    context: &mut Context<'_>,
    address: &str,
    (assumed, at): (Assumed, f64),
    (warmth, circuit): (Warmth, Option<CoolantSpec>),
) -> Film {
    let conductance = context.assumed(&format!("{address}:conductance"), assumed);
    let flow = assumed_flow(context, &format!("{address}:film_at"), at);
    let liquid =
        liquid(context, &format!("{address}:film_"), (Told::NOTHING, None), (warmth, circuit));
    let density = liquid.density(context);
    Film::Rated(liquid.of_film(context, [conductance, flow, density]))
}

/// Lowers an engine.
pub(super) fn engine(
    context: &mut Context<'_>,
    case: &Case,
    (name, span): (&str, Span),
    (index, power, speed): (usize, Slot, Slot),
    spec: &Engine,
) -> (Body, BodyEntry) {
    let address = format!("engines/{name}");
    let beside = spec.fuel.is_some() || spec.map.is_some();
    let told = HeatSpec { share: spec.share, heat: spec.heat, table: spec.table.as_ref(), beside };
    let assumed_share = ENGINE_SHARE.fixed();
    let (heat, share, table) = self::heat(context, &address, &told, Some(assumed_share));
    heat::told_once(context, spec);
    let fuel = spec.fuel.as_ref().and_then(|fuel| heat::fuel(context, (case, &address), fuel));
    let map = spec.map.as_ref().and_then(|map| heat::map(context, (case, speed), map));
    let told = |name: &str| context.told(&format!("{address}:{name}")).is_some();
    let shared = spec.share.is_some() || told("share") || table.is_some() || beside;
    if no_power(context, case) && ((spec.heat.is_none() && !told("heat")) || shared) {
        context.absent(
            span,
            "the heat of this engine follows the power, but `duty` gives no power",
            "add `duty: Duty(power: \"{one Power}\")` to the case",
        );
    }
    let metal = metal(context, &address, spec.metal.as_ref(), ENGINE_METAL.fixed());
    let circuit = of_body(context, case, (true, name));
    let drop = jacket_fall(context, &address, spec, circuit.clone());
    let volume = context.or_assumed(
        &format!("{address}:volume"),
        spec.volume,
        Bound::Within(1e-5, 1.0),
        ENGINE_VOLUME.fixed(),
    );
    let film = match &spec.film {
        Some(spec) => film(context, &address, spec, (Warmth::Engine, circuit.clone())),
        None => assumed_film(
            context,
            &address,
            (ENGINE_FILM.fixed(), 200.0 / 60e3),
            (Warmth::Engine, circuit.clone()),
        ),
    };
    let start = spec.start.map(|t| {
        context.given(
            &format!("{address}:start"),
            t,
            Bound::Within(200.0, 1000.0),
            "start temperature",
        )
    });
    let wall = spec
        .wall
        .as_ref()
        .map(|spec| wall::wall(context, &address, spec, (Warmth::Engine, circuit)));
    let channel = Channel::Rated { drop, volume };
    let skin = skins::of_body(context, &address, spec.surface);
    let body = Body {
        name: name.to_owned(),
        word: "engine",
        metal,
        heat,
        power,
        share,
        fuel,
        table,
        map,
        battery: None,
        exchange: None,
        start,
        charge: None,
        skin,
        wall,
    };
    let entry = BodyEntry { index, name: name.to_owned(), passes: 1, bore: None, channel, film };
    (body, entry)
}

/// Fall through an engine's jacket.
fn jacket_fall(
    context: &mut Context<'_>,
    address: &str,
    spec: &Engine,
    circuit: Option<CoolantSpec>,
) -> RatedFall {
    if let Some(r) = &spec.fall {
        return resistance(context, address, r, (Way::Jacket, circuit));
    }
    let fall = context.assumed(&format!("{address}:fall"), ENGINE_FALL.fixed());
    let flow = assumed_flow(context, &format!("{address}:at"), 200.0 / 60e3);
    assumed_resistance(context, address, [fall, flow], (Way::Jacket, circuit))
}

/// Lowers a cooler.
pub(super) fn cooler(
    context: &mut Context<'_>,
    case: &Case,
    (name, span): (&str, Span),
    (index, power): (usize, Slot),
    (spec, charged): (&Cooler, Option<&Charged>),
) -> (Body, Option<BodyEntry>) {
    let address = format!("coolers/{name}");
    let told =
        HeatSpec { share: spec.share, heat: spec.heat, table: spec.table.as_ref(), beside: false };
    let (heat, share, table) = heat(context, &address, &told, None);
    let battery = spec.battery.as_ref().map(|of| heat::battery(context, &address, of));
    let shared = spec.share.is_some()
        || context.told(&format!("{address}:share")).is_some()
        || table.is_some()
        || battery.is_some();
    if no_power(context, case) && shared {
        context.absent(
            span,
            "the heat of this cooler follows the power, but `duty` gives no power",
            "add `duty: Duty(power: \"{one Power}\")` to the case",
        );
    }
    let metal = metal(context, &address, spec.metal.as_ref(), COOLER_METAL.fixed());
    let start = spec.start.map(|t| {
        context.given(
            &format!("{address}:start"),
            t,
            Bound::Within(200.0, 1000.0),
            "start temperature",
        )
    });
    let circuit = of_body(context, case, (false, name));
    let wall = spec.wall.as_ref().map(|spec| {
        if charged.is_some() {
            let message = "a charge cooler has no hot wall: its heat comes with the charge air";
            context.error(spec.span, message, "this wall");
        }
        wall::wall(context, &address, spec, (Warmth::Bench, circuit.clone()))
    });
    let skin = skins::of_body(context, &address, spec.surface);
    let body = Body {
        name: name.to_owned(),
        word: "cooler",
        metal,
        heat,
        power,
        share,
        fuel: None,
        table,
        map: None,
        battery,
        exchange: None,
        start,
        charge: charged.map(|charged| charged.side.clone()),
        skin,
        wall,
    };
    if let Some(charged) = charged {
        charged.alone(context, (name, span), spec);
    }
    let passes = spec.passes.map_or(1, |count| {
        let number = (Kind::Count, count.si(), count.span());
        let bound = Bound::Within(1.0, 1e9);
        let at = format!("{address}:passes");
        let told = context.structural(&at, number, bound, "number of passes");
        Count::new(told, count.span()).get()
    });
    if passes > 64 {
        let span = spec.passes.map_or(span, Count::span);
        context.error(span, "a cooler has at most 64 passes", "too many");
    }
    let entry = pass_data(context, &address, (name, span), (spec, circuit, charged)).map(
        |(bore, channel, film)| BodyEntry {
            index,
            name: name.to_owned(),
            passes: passes.min(64),
            bore,
            channel,
            film,
        },
    );
    (body, entry)
}

/// Bore, channel and film of one pass of a cooler.
fn pass_data(
    context: &mut Context<'_>,
    address: &str,
    (name, span): (&str, Span),
    (spec, circuit, charged): (&Cooler, Option<CoolantSpec>, Option<&Charged>),
) -> Option<(Option<Slot>, Channel, Film)> {
    let bore = spec.bore.map(|b| context.given(&format!("{address}:bore"), b, BORE, "bore"));
    let length = spec.length.map(|l| {
        context.given(
            &format!("{address}:length"),
            l,
            Bound::Within(1e-3, 100.0),
            "length of a pass",
        )
    });
    if let Some(tubes) = &spec.tubes {
        return tubes::pass(context, address, (spec, circuit), (tubes, bore));
    }
    let channel = match (&spec.fall, bore, length) {
        (Some(r), _, None) => {
            let drop = resistance(context, address, r, (Way::Narrow, circuit.clone()));
            let volume = context.or_assumed(
                &format!("{address}:volume"),
                spec.volume,
                Bound::Within(1e-6, 1.0),
                PASS_VOLUME.fixed(),
            );
            Channel::Rated { drop, volume }
        }
        (None, Some(_), Some(length)) => {
            let [roughness, loss] = wall_and_turns(context, address, spec);
            Channel::Round { length, roughness, loss }
        }
        _ => {
            let message =
                format!("the passes of `{name}` need bore and length, or a measured fall");
            let label = "add `bore: …, length: …` or `fall: Resistance(fall: …, at: …)`";
            context.error(span, message, label);
            return None;
        }
    };
    let film = match charged.and_then(|charged| charged.film) {
        Some(film) => Film::Rated(film),
        None => pass_film(context, address, (spec, circuit), (bore, length)),
    };
    let bore =
        if matches!(channel, Channel::Round { .. }) { bore } else { spec.fall.as_ref().and(bore) };
    Some((bore, channel, film))
}

/// Roughness of the passes of a cooler, and the loss coefficient of their turns.
pub(super) fn wall_and_turns(context: &mut Context<'_>, address: &str, spec: &Cooler) -> [Slot; 2] {
    let roughness = context.or_assumed(
        &format!("{address}:roughness"),
        spec.roughness,
        Bound::NotNegative,
        PASS_ROUGHNESS.fixed(),
    );
    let loss = context.or_assumed(
        &format!("{address}:loss"),
        spec.loss,
        Bound::NotNegative,
        PASS_LOSS.fixed(),
    );
    [roughness, loss]
}

/// Factor of turbulators or ribs on the film coefficient in the passes of a cooler.
pub(super) fn film_factor(context: &mut Context<'_>, address: &str, spec: &Cooler) -> Slot {
    context.or_default(
        &format!("{address}:film_factor"),
        spec.film_factor,
        Bound::Within(0.2, 20.0),
        ("factor on the film", 1.0),
    )
}

/// Film of one pass of a cooler.
fn pass_film(
    context: &mut Context<'_>,
    address: &str,
    (spec, circuit): (&Cooler, Option<CoolantSpec>),
    (bore, length): (Option<Slot>, Option<Slot>),
) -> Film {
    match (&spec.film, bore, length) {
        (Some(spec), _, _) => film(context, address, spec, (Warmth::Bench, circuit)),
        (None, Some(_), Some(length)) => {
            let factor = film_factor(context, address, spec);
            Film::Round { length, factor }
        }
        _ => assumed_film(
            context,
            address,
            (COOLER_FILM.fixed(), 30.0 / 60e3),
            (Warmth::Bench, circuit),
        ),
    }
}
