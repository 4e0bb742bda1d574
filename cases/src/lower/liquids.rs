//! The liquids in which ratings were measured.

use coolwright_models::circuit::CoolantSpec;
use coolwright_models::fluids::{Base, Coolant};
use coolwright_models::parts::{RatedFilm, RatedLiquid};
use coolwright_models::slots::Slot;

use super::context::{Bound, Context};
use super::{fluid_of, named, water as plain_water};
use crate::file::{Case, CoolantMix, PartSpec};
use crate::lower::usual::{BENCH_COOLANT, BENCH_LIQUID, BENCH_WATER, WARM_COOLANT, WARM_WATER};
use crate::quantity::{Flow, Temperature};
use crate::text::Spanned;

/// What the file says of the liquid of a rating.
#[derive(Clone, Copy)]
pub(in crate::lower) struct Told<'a> {
    pub fluid: Option<&'a Spanned<CoolantMix>>,
    pub temperature: Option<Temperature>,
}

impl Told<'_> {
    /// Nothing.
    pub(in crate::lower) const NOTHING: Self = Told { fluid: None, temperature: None };
}

/// How warm the liquid of a rating is where nothing is said.
#[derive(Clone, Copy, Debug)]
pub(in crate::lower) enum Warmth {
    /// A bench at room temperature.
    Bench,
    /// An engine that has warmed up.
    Engine,
}

/// A liquid at the temperature of a rating.
#[derive(Clone)]
pub(in crate::lower) struct Liquid {
    of: CoolantSpec,
    temperature: Slot,
}

/// The liquid of a rating whose address begins with `address`: as told; else water, but the coolant of its
/// circuit for a flow that is given as a mass, and where that is a liquid by points.
pub(in crate::lower) fn liquid(
    context: &mut Context<'_>,
    address: &str,
    (told, at): (Told<'_>, Option<Flow>),
    (warmth, circuit): (Warmth, Option<CoolantSpec>),
) -> Liquid {
    let of = match (told.fluid, at, circuit) {
        (Some(fluid), ..) => named(context, &fluid.value),
        (None, Some(Flow::Mass(_)), Some(circuit)) => circuit,
        // Nobody measures an oil cooler in water.
        (None, _, Some(circuit)) if circuit.base().is_none() => circuit,
        _ => plain_water(context),
    };
    let is_water = of.base() == Some(Base::Water);
    let assumed = match (warmth, is_water) {
        (Warmth::Bench, false) if of.base().is_none() => BENCH_LIQUID,
        (Warmth::Bench, true) => BENCH_WATER,
        (Warmth::Bench, false) => BENCH_COOLANT,
        (Warmth::Engine, true) => WARM_WATER,
        (Warmth::Engine, false) => WARM_COOLANT,
    };
    let freezing = fluid_of(&of, &context.values).freezing_point_k();
    let temperature = context.or_assumed(
        &format!("{address}fluid_temperature"),
        told.temperature,
        Bound::Within(freezing.max(233.15), 403.15),
        assumed.fixed(),
    );
    Liquid { of, temperature }
}

/// A slot for the density of water at 20 °C, kg/m³ (IAPWS SR6-08).
pub(in crate::lower) fn water(context: &mut Context<'_>) -> Slot {
    context.fixed(998.2)
}

impl Liquid {
    /// A coolant at the temperature in a slot.
    pub(in crate::lower) fn of(of: CoolantSpec, temperature: Slot) -> Self {
        Self { of, temperature }
    }

    fn property(&self, context: &mut Context<'_>, of: fn(&Coolant, f64) -> f64) -> Slot {
        let Self { of: spec, temperature } = self.clone();
        let from = [&[temperature], spec.slots()].concat();
        context.derived(&from, move |values| of(&fluid_of(&spec, values), values.get(temperature)))
    }

    /// Its density, kg/m³.
    pub(in crate::lower) fn density(&self, context: &mut Context<'_>) -> Slot {
        self.property(context, Coolant::density)
    }

    /// What a fall goes with.
    pub(in crate::lower) fn of_fall(&self, context: &mut Context<'_>) -> RatedLiquid {
        let density = self.density(context);
        RatedLiquid { density, viscosity: self.property(context, Coolant::viscosity) }
    }

    /// What a film goes with, for a conductance at a flow.
    pub(in crate::lower) fn of_film(
        &self,
        context: &mut Context<'_>,
        [conductance, flow, density]: [Slot; 3],
    ) -> RatedFilm {
        RatedFilm {
            conductance,
            flow,
            density,
            viscosity: self.property(context, Coolant::viscosity),
            conductivity: self.property(context, Coolant::conductivity),
            heat_capacity: self.property(context, Coolant::heat_capacity),
        }
    }
}

/// The coolant of the circuit in which a cooler or an engine stands; `None` where it stands in none.
pub(in crate::lower) fn of_body(
    context: &Context<'_>,
    case: &Case,
    (is_engine, body): (bool, &str),
) -> Option<CoolantSpec> {
    let through = |spec: &PartSpec| match spec {
        PartSpec::Pass { cooler, .. } => !is_engine && cooler.value == body,
        PartSpec::Jacket { engine, .. } => is_engine && engine.value == body,
        _ => false,
    };
    let mut circuits = case.circuits.iter();
    let (name, _) =
        circuits.find(|(_, spec)| spec.runs.values().any(|run| run.parts.values().any(through)))?;
    context.coolant_of(&name.value)
}
