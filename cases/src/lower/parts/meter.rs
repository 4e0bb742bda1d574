//! Flow meters: their drop, and the straight bores that their kind wants.

use coolwright_models::parts::{Meter, Rated};

use super::{Lowered, Spot, Way, own_bore, resistance};
use crate::file::{MeterKind, PartSpec, Resistance};
use crate::lower::context::{Bound, Context};

/// Straight bores before and behind a meter: common practice, no source. Behind a pump or a half-open valve up to
/// 50 before it are asked for.
fn straight_of(kind: MeterKind) -> [f64; 2] {
    match kind {
        MeterKind::Turbine | MeterKind::Ultrasonic | MeterKind::Paddle => [10.0, 5.0],
        MeterKind::Vortex => [15.0, 5.0],
        MeterKind::Orifice => [20.0, 5.0],
        MeterKind::Magnetic => [5.0, 3.0],
    }
}

pub(super) fn meter(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Meter {
        fall,
        at,
        exponent,
        fluid,
        fluid_temperature,
        bore,
        kind,
        straight_before,
        straight_after,
    } = spec
    else {
        return None;
    };
    let drop = Resistance {
        fall: *fall,
        at: *at,
        exponent: *exponent,
        fluid: fluid.clone(),
        fluid_temperature: *fluid_temperature,
        bore: *bore,
    };
    let bore = own_bore(context, spot, *bore);
    let address = spot.address.clone();
    let coolant = spot.coolant(context);
    let drop = resistance(context, &address, &drop, (Way::Fitting, coolant));
    let [before, after] = straight_of(kind.unwrap_or(MeterKind::Turbine));
    let mut straight = |name: &str, given, usual| {
        let address = format!("{address}:{name}");
        let what = ("straight bores at a meter", usual);
        context.or_default(&address, given, Bound::Within(0.0, 100.0), what)
    };
    let straight = [
        straight("straight_before", *straight_before, before),
        straight("straight_after", *straight_after, after),
    ];
    let drop = Rated { word: "meter", bore, drop };
    Some(Lowered::One(Box::new(Meter { drop, straight })))
}
