//! Cores that are known by their dimensions.

use coolwright_models::air::{Built, BuiltFins, BuiltTubes, Louvres};
use coolwright_models::slots::{Slot, Values};

use super::tables;
use crate::diagnostic::Problem;
use crate::file::{Core as CoreSpec, CoreMetal, CoreTubes, Fins};
use crate::lower::context::{Bound, Context, Given};
use crate::lower::usual::{
    CORE_ALUMINIUM, CORE_BRASS, CORE_COPPER, CORE_FIN_DEPTH, CORE_FIN_THICKNESS, CORE_TANKS,
    CORE_TUBE_LOSS, CORE_TUBE_ROUGHNESS, CORE_TUBE_THICKNESS, CORE_TUBE_WALL, LOUVRE_ANGLE,
    LOUVRE_LENGTH, LOUVRE_PITCH, Usual,
};
use crate::quantity::{Conductivity, Count, Kind};
use crate::text::{Span, Spanned};

/// Lengths and widths of faces, m.
const FACE: Bound = Bound::Within(0.02, 5.0);
/// Outside thicknesses of tubes, m.
const THICKNESS: Bound = Bound::Within(0.5e-3, 0.02);
/// Depths of tubes and fins, m.
const DEPTH: Bound = Bound::Within(3e-3, 0.5);
/// Distances from fin to fin, m.
const FIN_PITCH: Bound = Bound::Within(0.4e-3, 0.01);
/// An inch, m: the stretch on which fins are counted where nothing else is told.
const INCH: f64 = 0.0254;

/// A core as its dimensions give it.
pub(super) struct BuiltCore {
    pub built: Built,
    /// Loss coefficient of the ends of its tubes, where the fall of its coolant follows from them.
    pub loss: Option<Slot>,
    pub volume: Slot,
    pub metal: Slot,
    pub face: Slot,
}

/// Density, kg/m³, heat capacity, J/(kg·K), and conductivity of a metal (common handbook values, from memory).
const fn metal(of: CoreMetal) -> (f64, f64, &'static Usual) {
    match of {
        CoreMetal::Aluminium => (2730.0, 900.0, &CORE_ALUMINIUM),
        CoreMetal::Copper => (8930.0, 390.0, &CORE_COPPER),
        CoreMetal::Brass => (8530.0, 380.0, &CORE_BRASS),
    }
}

/// Lowers the dimensions of a core.
pub(super) fn core(
    context: &mut Context<'_>,
    (name, address): (&str, &str),
    spec: &CoreSpec,
    (tubes, fins): (&Spanned<CoreTubes>, &Spanned<Fins>),
) -> Option<BuiltCore> {
    let errors = context.problems.error_count();
    told_otherwise(context, spec);
    let of_fall =
        [spec.fall.is_some(), tubes.value.roughness.is_some() || tubes.value.loss.is_some()];
    if of_fall == [true; 2] {
        let message = "the fall of this core's coolant is told twice";
        context.error(tubes.span, message, "leave out `fall`, or `roughness` and `loss`");
    }
    let count = tube_count(context, address, (tubes, fins));
    let built_tubes = tubes_of(context, address, tubes, (count?, spec.fall.is_none()));
    let fins_of = fins_of(context, address, fins, &built_tubes)?;
    let scale = tables::scale(context, (address, "conductance"), spec.conductance_scale);
    let mut built = Built { tubes: built_tubes, fins: fins_of, scale };
    built.fins.louvres = louvres(context, address, fins, &built);
    let loss = spec.fall.is_none().then(|| {
        context.or_assumed(
            &format!("{address}:tube_loss"),
            tubes.value.loss,
            Bound::Within(0.0, 50.0),
            CORE_TUBE_LOSS.fixed(),
        )
    });
    let free = loss.is_some() && tubes.value.loss.is_none();
    if free && context.values.get(built.tubes.factor) > 1.0 {
        context.notes.push(format!(
            "The turbulators of the core `{}` are counted on its film and cost no pressure: tell what they do by `loss` of its tubes \
             or by `fall`.",
            address.trim_start_matches("cores/")
        ));
    }
    let volume = volume(context, address, (spec, tubes), built);
    let metals =
        [tubes.value.of, fins.value.of].map(|of| metal(of.unwrap_or(CoreMetal::Aluminium)));
    let metal = context.or_default(
        &format!("{address}:metal"),
        spec.metal,
        Bound::Positive,
        ("heat capacity of a core's metal", 1.0),
    );
    if spec.metal.is_none() {
        let [tubes, fins] = metals.map(|(density, specific, _)| density * specific);
        follow(context, metal, built, move |built, values| {
            let sizes = built.sizes(values);
            (tubes * sizes.tube_metal + fins * sizes.fin_metal).max(1.0)
        });
    }
    let face = face(context, address, spec, built);
    // What is wrong with a number alone has been said.
    if context.problems.error_count() == errors
        && let Some(fault) = built.fault(&context.values)
    {
        let message = format!("the core `{name}` cannot be worked out: {fault}");
        let problem = Problem::error(tubes.span, message).label("its tubes");
        context.problems.push(problem.also(fins.span, "its fins"));
    }
    Some(BuiltCore { built, loss, volume, metal, face })
}

/// What a rating tells cannot be told of a core that is known by its dimensions.
fn told_otherwise(context: &mut Context<'_>, spec: &CoreSpec) {
    let told = [
        (spec.coolant_share.map(Given::span), "coolant_share"),
        (spec.air_exponent.map(Given::span), "air_exponent"),
    ];
    for (span, field) in told {
        let Some(span) = span else { continue };
        let message = format!("`{field}` belongs to a core that is known by its rating");
        context.error(span, message, "here it follows from the dimensions: leave this out");
    }
}

/// How a whole number is told that the model is made for.
fn whole(
    context: &mut Context<'_>,
    address: &str,
    (told, otherwise): (Option<Count>, Span),
    (most, what): (f64, &str),
) -> Slot {
    let bound = Bound::Within(1.0, most);
    let number = (Kind::Count, told.map_or(1.0, Count::si), told.map_or(otherwise, Count::span));
    let number = context.structural(address, number, bound, what);
    if let (None, Some(entry)) = (told, context.addresses.get_mut(address)) {
        entry.span = None;
    }
    context.fixed(number)
}

/// What tells how many tubes stand side by side.
enum Tubes {
    /// Their number.
    Count(Slot),
    /// The distance from tube to tube, m.
    Pitch(f64),
    /// The height of the fins between them, m.
    Height(f64),
}

/// How many tubes stand side by side, as it is told.
fn tube_count(
    context: &mut Context<'_>,
    address: &str,
    (tubes, fins): (&Spanned<CoreTubes>, &Spanned<Fins>),
) -> Option<Tubes> {
    let at = |name: &str| format!("{address}:{name}");
    let (count, pitch, height) = (tubes.value.count, tubes.value.pitch, fins.value.height);
    let length = |of: crate::quantity::Length| (Kind::Length, of.si(), of.span());
    let bound = Bound::Within(1e-3, 0.1);
    match (count, pitch, height) {
        (Some(count), None, None) => {
            let told = (Some(count), tubes.span);
            let most = (1000.0, "number of tubes side by side");
            Some(Tubes::Count(whole(context, &at("tube_count"), told, most)))
        }
        (None, Some(pitch), None) => {
            let what = "distance from tube to tube";
            let told = context.structural(&at("tube_pitch"), length(pitch), bound, what);
            Some(Tubes::Pitch(told))
        }
        (None, None, Some(height)) => {
            let what = "height of the fins";
            let told = context.structural(&at("fin_height"), length(height), bound, what);
            Some(Tubes::Height(told))
        }
        (None, None, None) => {
            let problem = Problem::error(tubes.span, "how many tubes this core has is not told");
            let problem = problem.label("here");
            context.problems.push(problem.help(
                "add `count`, or `pitch`, the distance from tube to tube, or to `fins` their `height` from tube to tube",
            ));
            None
        }
        _ => {
            let message = "how many tubes this core has is told twice";
            let problem = Problem::error(tubes.span, message).label("here");
            context.problems.push(
                problem.help("`count`, `pitch` and the `height` of the fins follow from one another: leave one of them"),
            );
            None
        }
    }
}

/// The tubes; `by_tubes` says whether the fall of the coolant follows from them.
fn tubes_of(
    context: &mut Context<'_>,
    address: &str,
    spec: &Spanned<CoreTubes>,
    (told, by_tubes): (Tubes, bool),
) -> BuiltTubes {
    let at = |name: &str| format!("{address}:{name}");
    let CoreTubes { length, across, depth, .. } = spec.value;
    let tubes = &spec.value;
    let length = context.given(&at("tube_length"), length, FACE, "length of the tubes");
    let across = context.given(&at("tube_across"), across, FACE, "size of a face across its tubes");
    let depth = context.given(&at("tube_depth"), depth, DEPTH, "depth of the tubes");
    let thickness = context.or_assumed(
        &at("tube_thickness"),
        tubes.thickness,
        THICKNESS,
        CORE_TUBE_THICKNESS.fixed(),
    );
    let wall = context.or_assumed(
        &at("tube_wall"),
        tubes.wall,
        Bound::Within(5e-5, 3e-3),
        CORE_TUBE_WALL.fixed(),
    );
    let conductivity =
        conductivity(context, &at("tube_conductivity"), tubes.conductivity, tubes.of);
    let rows = (tubes.rows, spec.span);
    let rows = whole(context, &at("tube_rows"), rows, (4.0, "number of rows of tubes"));
    let passes = (tubes.passes, spec.span);
    let passes = whole(context, &at("tube_passes"), passes, (50.0, "number of passes"));
    let roughness = if by_tubes {
        let bound = Bound::Within(0.0, 1e-3);
        let usual = CORE_TUBE_ROUGHNESS.fixed();
        context.or_assumed(&at("tube_roughness"), tubes.roughness, bound, usual)
    } else {
        context.fixed(0.0)
    };
    let factor = context.or_default(
        &at("turbulators"),
        tubes.turbulators,
        Bound::Within(0.2, 20.0),
        ("factor of turbulators on a film", 1.0),
    );
    // One strip of fins more than tubes: (n + 1)·pitch = across + thickness.
    let nearest = move |pitch: f64, values: &Values| {
        ((values.get(across) + values.get(thickness)) / pitch - 1.0).round().max(1.0)
    };
    let count = match told {
        Tubes::Count(count) => count,
        Tubes::Pitch(pitch) => {
            context.derived(&[across, thickness], move |values| nearest(pitch, values))
        }
        Tubes::Height(height) => context.derived(&[across, thickness], move |values| {
            nearest(height + values.get(thickness), values)
        }),
    };
    BuiltTubes {
        count,
        rows,
        passes,
        length,
        across,
        thickness,
        depth,
        wall,
        conductivity,
        roughness,
        factor,
    }
}

fn conductivity(
    context: &mut Context<'_>,
    address: &str,
    told: Option<Conductivity>,
    of: Option<CoreMetal>,
) -> Slot {
    let (_, _, usual) = metal(of.unwrap_or(CoreMetal::Aluminium));
    context.or_assumed(address, told, Bound::Within(1.0, 1000.0), usual.fixed())
}

/// The fins, without their louvres.
fn fins_of(
    context: &mut Context<'_>,
    address: &str,
    spec: &Spanned<Fins>,
    tubes: &BuiltTubes,
) -> Option<BuiltFins> {
    let at = |name: &str| format!("{address}:{name}");
    let fins = &spec.value;
    let pitch = fin_pitch(context, address, spec)?;
    let (rows, depth) = (tubes.rows, tubes.depth);
    let deep = move |values: &Values| CORE_FIN_DEPTH.at(values.get(rows) * values.get(depth));
    let size = context.values.get(rows) * context.values.get(depth);
    let depth_of_fins =
        context.or_assumed(&at("fin_depth"), fins.depth, DEPTH, CORE_FIN_DEPTH.of(size));
    if fins.depth.is_none() {
        context.follows(depth_of_fins, &[rows, depth], deep);
    }
    let thickness = context.or_assumed(
        &at("fin_thickness"),
        fins.thickness,
        Bound::Within(2e-5, 2e-3),
        CORE_FIN_THICKNESS.fixed(),
    );
    let conductivity = conductivity(context, &at("fin_conductivity"), fins.conductivity, fins.of);
    Some(BuiltFins { pitch, depth: depth_of_fins, thickness, conductivity, louvres: None })
}

/// Distance from fin to fin, told as such or by how many stand on a stretch.
fn fin_pitch(context: &mut Context<'_>, address: &str, spec: &Spanned<Fins>) -> Option<Slot> {
    let at = |name: &str| format!("{address}:{name}");
    let fins = &spec.value;
    match (fins.pitch, fins.count) {
        (Some(pitch), None) => {
            if let Some(over) = fins.over {
                let message =
                    "`over` is the stretch on which fins are counted, and no `count` is told";
                context.error(over.span(), message, "add `count`, or leave this out");
            }
            Some(context.given(&at("fin_pitch"), pitch, FIN_PITCH, "distance from fin to fin"))
        }
        (None, Some(count)) => {
            let bound = Bound::Within(1e-3, 1e5);
            let number = context.given(&at("fin_count"), count, bound, "number of fins");
            let over = context.or_default(
                &at("fin_over"),
                fins.over,
                Bound::Within(1e-3, 10.0),
                ("stretch on which fins are counted", INCH),
            );
            let law = move |values: &Values| values.get(over) / values.get(number);
            let pitch = context.derived(&[over, number], law);
            let si = context.values.get(pitch);
            context.check(si, count.span(), Kind::Length, FIN_PITCH, "distance from fin to fin");
            Some(pitch)
        }
        _ => {
            let message = "fins are told by their `pitch`, or by their `count` on a stretch";
            let problem = Problem::error(spec.span, message).label("one of them, not both");
            context.problems.push(
                problem.help("for example `pitch: \"{Length 1.4 mm}\"`, or `count: 14`, which are then counted on an inch, or `over` another length"),
            );
            None
        }
    }
}

/// The louvres, where anything is said of them.
fn louvres(
    context: &mut Context<'_>,
    address: &str,
    spec: &Spanned<Fins>,
    built: &Built,
) -> Option<Louvres> {
    let at = |name: &str| format!("{address}:{name}");
    let Fins { louvre_pitch, louvre_angle, louvre_length, .. } = spec.value;
    if louvre_pitch.is_none() && louvre_angle.is_none() && louvre_length.is_none() {
        return None;
    }
    let pitch = context.or_assumed(
        &at("louvre_pitch"),
        louvre_pitch,
        Bound::Within(0.3e-3, 0.02),
        LOUVRE_PITCH.fixed(),
    );
    let angle = context.or_assumed(
        &at("louvre_angle"),
        louvre_angle,
        Bound::Within(0.08, 1.1),
        LOUVRE_ANGLE.fixed(),
    );
    let high = built.sizes(&context.values).fin_height;
    let length = context.or_assumed(
        &at("louvre_length"),
        louvre_length,
        Bound::Within(1e-4, 0.1),
        LOUVRE_LENGTH.of(high),
    );
    if louvre_length.is_none() {
        follow(context, length, *built, |built, values| {
            LOUVRE_LENGTH.at(built.sizes(values).fin_height)
        });
    }
    Some(Louvres { pitch, angle, length })
}

/// Lets a number follow from the dimensions.
fn follow(
    context: &mut Context<'_>,
    slot: Slot,
    built: Built,
    law: impl Fn(&Built, &Values) -> f64 + Send + Sync + 'static,
) {
    let from: Vec<Slot> = built.slots().collect();
    context.follows(slot, &from, move |values| law(&built, values));
}

/// Coolant in its tubes and its tanks.
fn volume(
    context: &mut Context<'_>,
    address: &str,
    (spec, tubes): (&CoreSpec, &Spanned<CoreTubes>),
    built: Built,
) -> Slot {
    let address_of = format!("{address}:volume");
    let in_tubes = |built: &Built, values: &Values| {
        let sizes = built.sizes(values);
        sizes.inside.iter().product::<f64>().max(0.0) * sizes.tubes
    };
    let size = in_tubes(&built, &context.values);
    let (name, bound) = (format!("{address}:tanks"), Bound::Within(0.0, 1.0));
    let assumed = CORE_TANKS.of(size);
    // Where the whole is told, nothing hangs on it.
    let is_told = spec.volume.is_some() || context.told(&address_of).is_some();
    let tanks = if is_told {
        context.or_default(&name, tubes.value.tanks, bound, (assumed.what, assumed.value))
    } else {
        context.or_assumed(&name, tubes.value.tanks, bound, assumed)
    };
    if tubes.value.tanks.is_none() {
        follow(context, tanks, built, move |built, values| CORE_TANKS.at(in_tubes(built, values)));
    }
    let (bound, what) = (Bound::Within(1e-5, 1.0), "coolant in a core");
    if let Some(told) = spec.volume {
        return context.given(&address_of, told, bound, what);
    }
    let volume = context.or_default(&address_of, spec.volume, bound, (what, 1e-3));
    let mut from: Vec<Slot> = built.slots().collect();
    from.push(tanks);
    context.follows(volume, &from, move |values| {
        (in_tubes(&built, values) + values.get(tanks)).max(1e-5)
    })
}

/// Its face.
fn face(context: &mut Context<'_>, address: &str, spec: &CoreSpec, built: Built) -> Slot {
    if let Some(face) = tables::face(context, (address, spec)) {
        return face;
    }
    let name = format!("{address}:face");
    let slot =
        context.or_default::<crate::quantity::Area>(&name, None, tables::FACE, ("face area", 1.0));
    let BuiltTubes { length, across, .. } = built.tubes;
    context.follows(slot, &[length, across], move |values| values.get(length) * values.get(across))
}
