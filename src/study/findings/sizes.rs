//! Bores, volumes, metal, films and ratings that no vehicle has: a slip in a unit, most likely.

use coolwright_cases::quantity::Kind;
use coolwright_models::ids::Id;

use super::view::View;
use super::{Finding, Findings, Severity};

// All of common practice, no source: no vehicle has more, or less, and no bench works so far above its air.

/// Most bore of a part, m.
const MOST_BORE_M: f64 = 0.15;
/// Most coolant in a hose, m³.
const MOST_IN_HOSE_M3: f64 = 0.06;
/// Most metal of a heat source, J/K.
const MOST_METAL_J_K: f64 = 2e6;
/// Most conductance from metal to coolant, W/K: ten times that of a large engine.
const MOST_FILM_W_K: f64 = 1e5;
/// Most difference of a core's rating, K.
const MOST_DIFFERENCE_K: f64 = 150.0;
/// Most flow on the curve of a pump, m³/s.
const MOST_PUMP_M3_S: f64 = 0.03;
/// Most area of a hot wall, m²: heads and liners of a large engine have a third of it.
const MOST_WALL_M2: f64 = 1.5;
/// Least measured fall of coolant through a heat source, Pa.
const LEAST_FALL_PA: f64 = 100.0;

/// Which side of what is usual a number lies on.
#[derive(Clone, Copy)]
enum Usual {
    /// No vehicle has more.
    Most(f64),
    /// No vehicle has less.
    Least(f64),
}

impl Usual {
    fn is_left_by(self, value: f64) -> bool {
        match self {
            Self::Most(most) => value > most,
            Self::Least(least) => value < least,
        }
    }
}

/// A number of the case.
struct Size {
    /// What it is of, or its address.
    of: String,
    kind: Kind,
    value: f64,
    usual: Usual,
}

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    let sizes = [of_parts(view), of_bodies(view), of_cores(view)].into_iter().flatten();
    found.list.extend(
        sizes.filter(|size| size.usual.is_left_by(size.value)).map(|size| finding(view, size)),
    );
}

fn of_parts(view: &View<'_>) -> Vec<Size> {
    let values = &view.ready.model.values;
    let mut sizes = Vec::new();
    for at in view.circuits().flat_map(|(c, _)| view.parts_of(c)) {
        let path = view.path(at);
        sizes.extend(told(view, format!("{path}:bore"), Usual::Most(MOST_BORE_M)));
        let part = &view.placed(at).part;
        let (kind, value, usual) = match part.as_pump() {
            Some(pump) => (Kind::VolumeFlow, pump.curve.range().1, Usual::Most(MOST_PUMP_M3_S)),
            None if part.word() == "hose" => {
                (Kind::Volume, part.volume_m3(values), Usual::Most(MOST_IN_HOSE_M3))
            }
            None => continue,
        };
        sizes.push(Size { of: path, kind, value, usual });
    }
    sizes
}

fn of_bodies(view: &View<'_>) -> Vec<Size> {
    let model = &view.ready.model;
    let of_one = |body| {
        let path = model.address(Id::Body(body));
        [
            ("metal", Usual::Most(MOST_METAL_J_K)),
            ("conductance", Usual::Most(MOST_FILM_W_K)),
            ("fall", Usual::Least(LEAST_FALL_PA)),
            ("wall_area", Usual::Most(MOST_WALL_M2)),
        ]
        .map(|(name, usual)| told(view, format!("{path}:{name}"), usual))
    };
    (0..model.bodies.len()).flat_map(of_one).flatten().collect()
}

fn of_cores(view: &View<'_>) -> Vec<Size> {
    let model = &view.ready.model;
    let of_one = |core| {
        let path = model.address(Id::Core(core));
        [("difference", Usual::Most(MOST_DIFFERENCE_K)), ("fall", Usual::Least(LEAST_FALL_PA))]
            .map(|(name, usual)| told(view, format!("{path}:{name}"), usual))
    };
    (0..model.cores.len()).flat_map(of_one).flatten().collect()
}

/// The number at an address, where the case tells it.
fn told(view: &View<'_>, of: String, usual: Usual) -> Option<Size> {
    let told = view.ready.addresses.get(&of).filter(|told| told.span.is_some())?;
    let value = view.ready.model.values.get(told.slots[0]);
    Some(Size { of, kind: told.kind, value, usual })
}

fn finding(view: &View<'_>, size: Size) -> Finding {
    let Size { of, kind, value, usual } = size;
    let (why, remedy) = match usual {
        Usual::Most(most) => (
            format!(
                "no vehicle has more than {} there (common practice, no source), and what stores or passes on so much \
                 keeps limits that will not be kept",
                view.say(kind, most)
            ),
            "look for a slip in its unit, or ten times too large a number",
        ),
        Usual::Least(least) => (
            format!(
                "no vehicle has less than {} there (common practice, no source), and what resists so little keeps \
                 limits that will not be kept",
                view.say(kind, least)
            ),
            "look for a slip in its unit: Pa for kPa, for one",
        ),
    };
    Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "size out of practice",
        what: format!("`{of}` is {}", view.say(kind, value)),
        places: vec![of],
        why,
        remedy: remedy.to_owned(),
    }
}
