//! Hot walls on their way from the file into the model.

use coolwright_models::circuit::CoolantSpec;
use coolwright_models::slots::Slot;
use coolwright_models::wall::HotWall;

use super::bodies::{ALUMINIUM, COPPER, IRON};
use super::context::{Bound, Context};
use super::liquids::{Told, Warmth, liquid};
use super::parts::rated_flow;
use super::usual::{
    ALUMINIUM_WALL, COOLER_WALL_AT, COPPER_WALL, ENGINE_WALL_AT, IRON_WALL, Usual, WALL_FILM,
    WALL_PEAK, WALL_SURFACE, WALL_THICKNESS,
};
use crate::diagnostic::Problem;
use crate::file::{Wall, WallMetal};
use crate::quantity::VolumeFlow;
use crate::text::Spanned;

/// Conductivity, density, kg/m³, and heat capacity, J/(kg·K), near 150 °C: cast aluminium alloy with silicon, grey
/// cast iron, copper (common handbook values, from memory).
const fn metal(of: WallMetal) -> (&'static Usual, f64, f64) {
    match of {
        WallMetal::Aluminium => (&ALUMINIUM_WALL, 2680.0, ALUMINIUM),
        WallMetal::Iron => (&IRON_WALL, 7200.0, IRON),
        WallMetal::Copper => (&COPPER_WALL, 8930.0, COPPER),
    }
}

/// Lowers the hot wall of a body.
pub(super) fn wall(
    context: &mut Context<'_>,
    address: &str,
    spec: &Spanned<Wall>,
    (warmth, circuit): (Warmth, Option<CoolantSpec>),
) -> HotWall {
    if matches!(circuit, Some(CoolantSpec::Table(_))) {
        let message = "a hot wall needs water or glycol beside it: how another liquid boils at it is not known";
        let problem = Problem::error(spec.span, message).label("in a circuit of another liquid");
        context
            .problems
            .push(problem.help("leave this out: then the heat comes into the metal at once"));
    }
    let spec = &spec.value;
    let at = |name: &str| format!("{address}:wall_{name}");
    let area = context.given(&at("area"), spec.area, Bound::Within(1e-5, 1e3), "area of a wall");
    let thickness = context.or_assumed(
        &at("thickness"),
        spec.thickness,
        Bound::Within(1e-4, 0.2),
        WALL_THICKNESS.fixed(),
    );
    let (usual, density, specific) = metal(spec.of);
    let conductivity = context.or_assumed(
        &at("conductivity"),
        spec.conductivity,
        Bound::Within(0.1, 1000.0),
        usual.fixed(),
    );
    if let (Some(fluid), None) = (&spec.fluid, spec.film) {
        let message = "`fluid` is that in which `film` holds, and no film is told";
        context.error(fluid.span, message, "add `film`, or leave this out");
    }
    let coefficient =
        context.or_assumed(&at("film"), spec.film, Bound::Within(10.0, 1e6), WALL_FILM.fixed());
    let (flow, rated) = film_flow(context, address, spec, (warmth, circuit));
    let film = rated.of_film(context, [coefficient, flow.0, flow.1]);
    let surface = context.or_assumed(
        &at("surface"),
        spec.surface,
        Bound::Within(1e-3, 0.1),
        WALL_SURFACE.fixed(),
    );
    let peak =
        context.or_assumed(&at("peak"), spec.peak, Bound::Within(1.0, 20.0), WALL_PEAK.fixed());
    let capacity = context.fixed(density * specific);
    HotWall { area, thickness, conductivity, capacity, film, surface, peak }
}

/// Flow and density at which the film of a wall holds, and the liquid.
fn film_flow(
    context: &mut Context<'_>,
    address: &str,
    spec: &Wall,
    (warmth, circuit): (Warmth, Option<CoolantSpec>),
) -> ((Slot, Slot), super::liquids::Liquid) {
    let told = Told { fluid: spec.fluid.as_ref(), temperature: spec.fluid_temperature };
    let liquid = liquid(context, &format!("{address}:wall_"), (told, spec.at), (warmth, circuit));
    let density = liquid.density(context);
    let name = format!("{address}:wall_at");
    let flow = if let Some(at) = spec.at {
        rated_flow(context, &name, at, density)
    } else {
        let usual: &Usual = match warmth {
            Warmth::Engine => &ENGINE_WALL_AT,
            Warmth::Bench => &COOLER_WALL_AT,
        };
        context.or_assumed::<VolumeFlow>(&name, None, Bound::Within(1e-9, 10.0), usual.fixed())
    };
    ((flow, density), liquid)
}
