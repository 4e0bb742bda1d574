//! Parts of a run on their way from the file into the model.

mod fittings;
mod hose;
mod meter;
mod pump;
pub(in crate::lower) mod tank;
mod thermostat;
mod through;

use coolwright_models::circuit::CoolantSpec;
use coolwright_models::parts::{CheckValve, Part, Rated, RatedFall, Reducer};
use coolwright_models::slots::{Slot, Values};

use super::Names;
use super::context::{BORE, Bound, Context};
use super::liquids::{Told, Warmth, liquid, water};
use crate::diagnostic::Problem;
use crate::file::{Case, PartSpec, Resistance};
use crate::lower::usual::{
    CHECK_VALVE_FALL, CONE, CRACKING, FITTING_EXPONENT, JACKET_EXPONENT, NARROW_EXPONENT, USUAL_M_S,
};
use crate::quantity::{Flow, Kind, Length, Number};
use crate::text::Span;

/// A part in the making: the model's part, or several pumps under one name.
pub(in crate::lower) enum Lowered {
    /// One part.
    One(Box<dyn Part>),
    /// Pumps one behind the other.
    Series(Vec<Box<dyn Part>>),
    /// Pumps side by side, each with a check valve or not.
    Parallel(Vec<Unit>),
}

impl Lowered {
    /// The last of several one behind the other: what follows stands in its bore.
    pub(in crate::lower) fn last_in_series(&self) -> Option<&dyn Part> {
        match self {
            Self::Series(units) => units.last().map(AsRef::as_ref),
            Self::One(_) | Self::Parallel(_) => None,
        }
    }
}

/// A pump of several side by side, with its check valve.
pub(in crate::lower) type Unit = (Box<dyn Part>, Option<Box<dyn Part>>);

/// Where a part stands while it is lowered.
pub(in crate::lower) struct Spot<'a> {
    /// Its address: circuit/run/part.
    pub address: String,
    /// Bore of the run.
    pub bore: Slot,
    /// Bore of the part before, or of the run.
    pub before: Slot,
    /// The whole case.
    pub case: &'a Case,
    /// Whether a tank of its circuit has a cap.
    pub capped: bool,
    /// Bodies and cores, and which of their passes are taken.
    pub names: &'a mut Names,
    /// Where the part's name stands.
    pub span: Span,
}

impl Spot<'_> {
    /// The coolant of its circuit.
    pub(in crate::lower) fn coolant(&self, context: &Context<'_>) -> Option<CoolantSpec> {
        context.coolant_of(self.address.split('/').next().unwrap_or_default())
    }
}

/// Lowers one part. `None` after a problem.
pub(in crate::lower) fn part(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    match spec {
        PartSpec::Hose { .. } => hose::hose(context, spot, spec),
        PartSpec::Reducer { .. } => reducer(context, spot, spec),
        PartSpec::Meter { .. } => meter::meter(context, spot, spec),
        PartSpec::Filter(r) => Some(rated(context, spot, "filter", r)),
        PartSpec::Coupling(r) => Some(rated(context, spot, "coupling", r)),
        PartSpec::Resistance(r) => Some(rated(context, spot, "resistance", r)),
        PartSpec::Pump { .. } => pump::pumps(context, spot, spec),
        PartSpec::CheckValve { .. } => check_valve(context, spot, spec),
        PartSpec::Pass { .. } => through::pass(context, spot, spec),
        PartSpec::Jacket { .. } => through::jacket(context, spot, spec),
        PartSpec::CoreSide { .. } => through::core_side(context, spot, spec),
        PartSpec::ExchangerSide { .. } => through::exchanger_side(context, spot, spec),
        PartSpec::Tank { .. } => tank::tank(context, spot, spec),
        PartSpec::Restrictor { .. }
        | PartSpec::Throttle { .. }
        | PartSpec::Thermostat { .. }
        | PartSpec::Barb { .. } => fittings::part(context, spot, spec),
    }
}

/// The part's own bore, where it has one.
pub(in crate::lower) fn own_bore(
    context: &mut Context<'_>,
    spot: &Spot<'_>,
    bore: Option<Length>,
) -> Option<Slot> {
    // A run without a bore of its own follows its first hose, and has made its slot.
    let address = format!("{}:bore", spot.address);
    let bore = bore?;
    let known = context.slot(&address);
    Some(known.unwrap_or_else(|| context.given(&address, bore, BORE, "bore")))
}

/// The flow at a velocity in a round bore, m³/s.
pub(in crate::lower) fn usual_flow(values: &Values, bore: Slot) -> f64 {
    let bore = values.get(bore);
    USUAL_M_S * (bore * bore * std::f64::consts::FRAC_PI_4)
}

/// A slot for the flow of a rating, m³/s, at an address. A mass flow is that of a liquid with the density
/// in a slot.
pub(in crate::lower) fn rated_flow(
    context: &mut Context<'_>,
    address: &str,
    flow: Flow,
    density: Slot,
) -> Slot {
    let value = flow_of(context, flow, density);
    let (kind, bound, value) = match flow {
        Flow::Volume(_) => (Kind::VolumeFlow, RATED_FLOW, value),
        // Written as what it is, so that it stays the mass of whatever liquid it is.
        Flow::Mass(mass) if mass.si() > 0.0 => (Kind::MassFlow, RATED_MASS_FLOW, mass.si()),
        Flow::Mass(_) => (Kind::MassFlow, RATED_MASS_FLOW, value),
    };
    if let Some((si, span)) = context.told(address) {
        context.check(si, span, kind, bound, "flow of a rating");
    }
    let slot = context.addressed(address, kind, value, Some(flow.span()));
    context.bind(address, bound, "flow of a rating");
    match flow {
        Flow::Volume(_) => slot,
        Flow::Mass(_) => {
            context.derived(&[slot, density], move |values| values.get(slot) / values.get(density))
        }
    }
}

/// A slot for the flow of a rating that the file leaves out.
pub(in crate::lower) fn assumed_flow(context: &mut Context<'_>, address: &str, flow: f64) -> Slot {
    if let Some((si, span)) = context.told(address) {
        context.check(si, span, Kind::VolumeFlow, RATED_FLOW, "flow of a rating");
    }
    let slot = context.addressed(address, Kind::VolumeFlow, flow, None);
    context.bind(address, RATED_FLOW, "flow of a rating");
    slot
}

/// Flows that something is rated at, m³/s.
const RATED_FLOW: Bound = Bound::Within(1e-9, 10.0);
/// The same in kg/s.
const RATED_MASS_FLOW: Bound = Bound::Within(1e-6, 1e4);

/// A flow of a rating as a volume flow, m³/s, of a liquid with the density in a slot.
pub(in crate::lower) fn flow_of(context: &mut Context<'_>, flow: Flow, density: Slot) -> f64 {
    let value = match flow {
        Flow::Volume(volume) => volume.si(),
        Flow::Mass(mass) => mass.si() / context.values.get(density),
    };
    if value.is_nan() {
        return 1e-3;
    }
    if value <= 0.0 || value > 10.0 {
        let problem =
            Problem::error(flow.span(), "this flow must be above zero and below {VolumeFlow 10}");
        context.value_error(problem.label("not a flow for a rating"));
        return 1e-3;
    }
    value
}

/// A measured drop, with the liquid that it was measured in.
pub(in crate::lower) fn resistance(
    context: &mut Context<'_>,
    address: &str,
    spec: &Resistance,
    (way, circuit): (Way, Option<CoolantSpec>),
) -> RatedFall {
    let fall = context.given(
        &format!("{address}:fall"),
        spec.fall,
        Bound::Within(0.0, MOST_FALL_PA),
        "fall of pressure",
    );
    let told = Told { fluid: spec.fluid.as_ref(), temperature: spec.fluid_temperature };
    let warmth = if matches!(way, Way::Jacket) { Warmth::Engine } else { Warmth::Bench };
    let liquid = liquid(context, &format!("{address}:"), (told, Some(spec.at)), (warmth, circuit));
    let liquid = liquid.of_fall(context);
    let flow = rated_flow(context, &format!("{address}:at"), spec.at, liquid.density);
    let exponent = exponent(context, address, spec.exponent, way);
    RatedFall { fall, flow, exponent, liquid }
}

/// A drop that the file leaves out, with its flow in a slot.
pub(in crate::lower) fn assumed_resistance(
    context: &mut Context<'_>,
    address: &str,
    [fall, flow]: [Slot; 2],
    (way, circuit): (Way, Option<CoolantSpec>),
) -> RatedFall {
    let warmth = if matches!(way, Way::Jacket) { Warmth::Engine } else { Warmth::Bench };
    let liquid = liquid(context, &format!("{address}:"), (Told::NOTHING, None), (warmth, circuit));
    let liquid = liquid.of_fall(context);
    let exponent = exponent(context, address, None, way);
    RatedFall { fall, flow, exponent, liquid }
}

/// The most that a part may fall by at the flow of its rating, Pa: far beyond what hoses stand.
pub(in crate::lower) const MOST_FALL_PA: f64 = 1e8;

/// What a measured drop is a drop of.
#[derive(Clone, Copy, Debug)]
pub(in crate::lower) enum Way {
    /// A filter, a coupling, a meter: abrupt ways.
    Fitting,
    /// The jacket of an engine.
    Jacket,
    /// The narrow ways of a cooler or a core.
    Narrow,
}

/// How a drop goes with its flow.
pub(in crate::lower) fn exponent(
    context: &mut Context<'_>,
    address: &str,
    given: Option<Number>,
    way: Way,
) -> Slot {
    let assumed = match way {
        Way::Fitting => FITTING_EXPONENT.fixed(),
        Way::Jacket => JACKET_EXPONENT.fixed(),
        Way::Narrow => NARROW_EXPONENT.fixed(),
    };
    let address = format!("{address}:exponent");
    context.or_assumed(&address, given, Bound::Within(0.5, 3.0), assumed)
}

fn rated(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    word: &'static str,
    spec: &Resistance,
) -> Lowered {
    let bore = own_bore(context, spot, spec.bore);
    let coolant = spot.coolant(context);
    let drop = resistance(context, &spot.address, spec, (Way::Fitting, coolant));
    Lowered::One(Box::new(Rated { word, bore, drop }))
}

fn reducer(context: &mut Context<'_>, spot: &mut Spot<'_>, spec: &PartSpec) -> Option<Lowered> {
    let PartSpec::Reducer { from, to, angle } = spec else { return None };
    let address = spot.address.clone();
    let from =
        from.map_or(spot.before, |b| context.given(&format!("{address}:from"), b, BORE, "bore"));
    let to = context.given(&format!("{address}:to"), *to, BORE, "bore");
    let angle = context.or_assumed(
        &format!("{address}:angle"),
        *angle,
        Bound::Within(0.02, std::f64::consts::PI),
        CONE.fixed(),
    );
    Some(Lowered::One(Box::new(Reducer { from, to, angle })))
}

fn check_valve(context: &mut Context<'_>, spot: &mut Spot<'_>, spec: &PartSpec) -> Option<Lowered> {
    let PartSpec::CheckValve { fall, at, cracking, bore } = spec else { return None };
    let bore = own_bore(context, spot, *bore);
    let address = spot.address.clone();
    let cracking_address = format!("{address}:cracking");
    let cracking_slot =
        context.or_assumed(&cracking_address, *cracking, Bound::NotNegative, CRACKING.fixed());
    let opens = context.values.get(cracking_slot);
    let fall_address = format!("{address}:fall");
    let fall_slot = context.or_assumed(
        &fall_address,
        *fall,
        Bound::NotNegative,
        CHECK_VALVE_FALL.fixed().no_less_than(opens),
    );
    match (fall, cracking) {
        (None, _) => {
            context.follows(fall_slot, &[cracking_slot], move |v| {
                CHECK_VALVE_FALL.value.max(v.get(cracking_slot))
            });
        }
        (Some(all), Some(opens)) if opens.si() > all.si() => {
            let message = "what opens this valve cannot be more than all of its fall when open";
            let problem = Problem::error(opens.span(), message)
                .label("held open by this much")
                .also(all.span(), "measured across it, its spring included");
            context.value_error(problem);
        }
        (Some(all), _) => {
            let bound = Bound::Within(0.0, all.si());
            context.bind(&cracking_address, bound, "cracking pressure of a check valve");
        }
    }
    let around = bore.unwrap_or(spot.bore);
    let at_address = format!("{address}:at");
    let flow = if let Some(at) = at {
        let density = water(context);
        rated_flow(context, &at_address, *at, density)
    } else {
        let flow = assumed_flow(context, &at_address, 0.0);
        context.follows(flow, &[around], move |values| usual_flow(values, around))
    };
    let (fall, cracking) = (fall_slot, cracking_slot);
    Some(Lowered::One(Box::new(CheckValve { bore, fall, flow, cracking })))
}
