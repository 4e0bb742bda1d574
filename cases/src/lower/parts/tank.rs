//! Tanks, with ice or without.

use coolwright_models::parts::{ICE_DENSITY, Ice, Tank, TankRoom, WATER_DENSITY};

use coolwright_models::fluids::{Base, Coolant};
use coolwright_models::slots::Slot;

use super::{Lowered, Spot, own_bore};
use crate::diagnostic::Problem;
use crate::file::{Cap, PartSpec};
use crate::lower::context::{Assumed, Bound, Context};
use crate::lower::fluid_of;
use crate::quantity::{Length, Mass, Volume};
use crate::text::Spanned;

pub(super) fn tank(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Tank { volume, air, level, cap, ice, ice_piece, ice_film, bore } = spec else {
        return None;
    };
    let address = spot.address.clone();
    let bore = own_bore(context, spot, *bore).unwrap_or(spot.bore);
    let room = room(context, &address, (*volume, *air, *level), cap.as_ref());
    let ice = ice.map(|mass| Ice {
        melting: melting(context, spot),
        mass: ice_mass(context, &address, mass, room),
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
    Some(Lowered::One(Box::new(Tank { bore, room, ice })))
}

/// Most of the coolant of a tank that ice may displace: what is left must still be pumped.
const MOST_DISPLACED: f64 = 0.95;

/// The mass of ice in a tank: all of it has room in the tank, and what it displaces is coolant.
fn ice_mass(context: &mut Context<'_>, address: &str, mass: Mass, room: TankRoom) -> Slot {
    let [volume_m3, air_m3] = [room.volume, room.air].map(|slot| context.values.get(slot));
    let displacing = MOST_DISPLACED * WATER_DENSITY;
    let most = (displacing * (volume_m3 - air_m3)).min(ICE_DENSITY * volume_m3);
    let of_ice = format!("{address}:ice");
    let (bound, what) =
        (Bound::Within(1e-3, most.max(1e-3)), "mass of ice that floats in this tank");
    if context.told_or(&of_ice, mass) == 0.0 {
        let (_, span) = context.told(&of_ice).unwrap_or((0.0, mass.span()));
        let problem = Problem::error(span, format!("the {what} is zero"));
        let problem = problem.label("a tank without ice has no `ice`");
        context.value_error(problem.help("leave `ice` out; a variant writes `None` here"));
        return context.addressed(&of_ice, crate::quantity::Kind::Mass, 1e-3, Some(span));
    }
    let slot = context.given(&of_ice, mass, bound, what);
    // What is written later must leave the ice its room.
    let mass_kg = context.values.get(slot);
    let least_m3 = (mass_kg / ICE_DENSITY).max(air_m3 + mass_kg / displacing).min(volume_m3);
    let bound = Bound::Within(least_m3, 100.0);
    context.bind(&format!("{address}:volume"), bound, "volume of a tank with ice");
    let most_air_m3 = (volume_m3 - mass_kg / displacing).max(air_m3);
    let bound = Bound::Within(0.0, most_air_m3);
    context.bind(&format!("{address}:air"), bound, "air in a tank with ice");
    slot
}

/// Where ice stands in the coolant of its circuit, K.
fn melting(context: &mut Context<'_>, spot: &Spot<'_>) -> Slot {
    let coolant = spot.coolant(context).filter(|coolant| coolant.base != Base::Water);
    let Some(coolant) = coolant else {
        return context.fixed(Coolant::water().freezing_point_k());
    };
    context.notes.push(format!(
        "The ice in `{}` melts at the freezing point of its mixture as filled. That the melt thins the mixture \
         is left out: with much ice the coolant is shown too cold and too safe from freezing.",
        spot.address
    ));
    context.derived(&[coolant.share], move |values| fluid_of(coolant, values).freezing_point_k())
}

/// The room in a tank, and its cap: where it has one, there are numbers at `:opens` and `:vacuum` of
/// its address.
pub(in crate::lower) fn room(
    context: &mut Context<'_>,
    address: &str,
    (volume, air, level): (Volume, Option<Volume>, Option<Length>),
    cap: Option<&Spanned<Cap>>,
) -> TankRoom {
    let bound = Bound::Within(1e-5, 100.0);
    let air_given = air;
    let volume_slot =
        context.given(&format!("{address}:volume"), volume, bound, "volume of a tank");
    // Its stand-in where the volume itself is faulty.
    let room_m3 = context.values.get(volume_slot);
    let sound =
        context.told_or(&format!("{address}:volume"), volume).to_bits() == room_m3.to_bits();
    if let Some(air) = air
        && sound
        && context.told_or(&format!("{address}:air"), air) >= room_m3
    {
        let message = "the air in a tank cannot fill all of it";
        let problem = Problem::error(air.span(), message)
            .label("`air` is the part of `volume` that is not coolant")
            .also(volume.span(), "all of its room");
        context.value_error(problem);
    }
    let air_address = format!("{address}:air");
    let air = context.or_assumed(
        &air_address,
        air,
        Bound::NotNegative,
        Assumed {
            what: "air in a tank when filled cold",
            value: 0.2 * room_m3,
            range: (0.1 * room_m3, 0.4 * room_m3),
            why: "a fifth of the tank; common practice, no source",
        },
    );
    if air_given.is_none() {
        context.follows_at_start(air, &[volume_slot], move |values| 0.2 * values.get(volume_slot));
    }
    context.bind(&air_address, Bound::Within(0.0, room_m3), "air in a tank");
    let level = context.or_assumed(
        &format!("{address}:level"),
        level,
        Bound::Within(0.0, 10.0),
        Assumed {
            what: "height of the surface in a tank above its ports",
            value: 0.0,
            range: (0.0, 0.3),
            why: "the least there is: the ports are just covered",
        },
    );
    if let Some(cap) = cap {
        self::cap(context, address, &cap.value);
    }
    TankRoom { volume: volume_slot, air, level }
}

fn cap(context: &mut Context<'_>, address: &str, cap: &Cap) {
    context.given(
        &format!("{address}:opens"),
        cap.opens,
        Bound::Within(1e3, 1e6),
        "pressure at which a cap opens",
    );
    context.or_assumed(
        &format!("{address}:vacuum"),
        cap.vacuum,
        Bound::Within(0.0, 50e3),
        Assumed {
            what: "vacuum at which a cap lets air in",
            value: 5e3,
            range: (1e3, 10e3),
            why: "a soft valve in the cap; common practice, no source",
        },
    );
}
