//! Tanks, with ice or without.

use coolwright_models::parts::{Ice, Tank};

use super::{Lowered, Spot, own_bore};
use crate::file::PartSpec;
use crate::lower::context::{Assumed, Bound, Context};

pub(super) fn tank(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Tank { volume, ice, ice_piece, ice_film, bore } = spec else { return None };
    let address = spot.address.clone();
    let bore = own_bore(context, spot, *bore).unwrap_or(spot.bore);
    let volume = context.given(
        &format!("{address}:volume"),
        *volume,
        Bound::Within(1e-5, 100.0),
        "volume of a tank",
    );
    let ice = ice.map(|mass| Ice {
        mass: context.given(
            &format!("{address}:ice"),
            mass,
            Bound::Within(1e-3, 1e4),
            "mass of ice",
        ),
        film: context.or_assumed(
            &format!("{address}:ice_film"),
            *ice_film,
            Bound::Positive,
            Assumed {
                what: "film coefficient at the ice",
                value: 700.0,
                range: (300.0, 1500.0),
                why: "stirred tank; common practice, no source",
            },
        ),
        piece: context.or_assumed(
            &format!("{address}:ice_piece"),
            *ice_piece,
            Bound::Within(1e-3, 1.0),
            Assumed {
                what: "edge of a piece of ice",
                value: 25e-3,
                range: (15e-3, 60e-3),
                why: "bagged cubes; common practice, no source",
            },
        ),
    });
    Some(Lowered::One(Box::new(Tank { bore, volume, ice })))
}
