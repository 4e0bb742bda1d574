//! Tanks, with ice or without.

use coolwright_models::circuit::CoolantSpec;
use coolwright_models::parts::{ICE_DENSITY, Ice, Tank, TankRoom, WATER_DENSITY};

use coolwright_models::fluids::{Base, Coolant};
use coolwright_models::slots::Slot;

use super::{Lowered, Spot, own_bore};
use crate::diagnostic::Problem;
use crate::file::{Cap, PartSpec};
use crate::lower::context::{Bound, Context};
use crate::lower::usual::{CAP_VACUUM, ICE_FILM, ICE_PIECE, LEVEL, TANK_AIR};
use crate::lower::{fluid_of, skins};
use crate::quantity::{Kind, Length, Mass, Volume, spoken};
use crate::text::{Span, Spanned};

pub(super) fn tank(
    context: &mut Context<'_>,
    spot: &mut Spot<'_>,
    spec: &PartSpec,
) -> Option<Lowered> {
    let PartSpec::Tank {
        volume,
        air,
        level,
        cap,
        ice,
        ice_piece,
        ice_film,
        surface,
        insulation,
        bore,
    } = spec
    else {
        return None;
    };
    let address = spot.address.clone();
    let bore = own_bore(context, spot, *bore).unwrap_or(spot.bore);
    let room = room(context, &address, (*volume, *air, *level), cap.as_ref());
    let ice = ice.map(|mass| Ice {
        melting: melting(context, spot, mass.span()),
        mass: ice_mass(context, &address, mass, room),
        film: context.or_assumed(
            &format!("{address}:ice_film"),
            *ice_film,
            Bound::Positive,
            ICE_FILM.fixed(),
        ),
        piece: context.or_assumed(
            &format!("{address}:ice_piece"),
            *ice_piece,
            Bound::Within(1e-3, 1.0),
            ICE_PIECE.fixed(),
        ),
    });
    let outside = (*surface, *insulation);
    let skin = skins::of_tank(context, &address, (room, ice.is_some()), outside);
    Some(Lowered::One(Box::new(Tank { bore, room, ice, skin })))
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
        return context.addressed(&of_ice, Kind::Mass, 1e-3, Some(span));
    }
    if let Some(problem) = too_much(context, (&of_ice, mass), (bound, what), room) {
        context.value_error(problem);
        return context.addressed(&of_ice, Kind::Mass, most.max(1e-3), Some(mass.span()));
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

/// What is said of more ice than a tank has room for: the bound, and that it comes from the tank.
fn too_much(
    context: &Context<'_>,
    (address, mass): (&str, Mass),
    (bound, what): (Bound, &str),
    room: TankRoom,
) -> Option<Problem> {
    let (si, span) = context.told(address).unwrap_or((mass.si(), mass.span()));
    let Bound::Within(_, most) = bound else { return None };
    let fault = bound.fault(Kind::Mass, si).filter(|_| si > most)?;
    let [volume, air] =
        [room.volume, room.air].map(|slot| spoken(Kind::Volume, context.values.get(slot)));
    Some(
        Problem::error(span, format!("the {what} {fault}"))
            .label(format!("this is {}", spoken(Kind::Mass, si)))
            .help(format!(
                "the most comes from the tank: ice fits into its {volume}, and displaces its own mass of what is no \
                 air ({air}), of which a twentieth has to stay coolant"
            )),
    )
}

/// Where ice stands in the coolant of its circuit, K.
fn melting(context: &mut Context<'_>, spot: &Spot<'_>, span: Span) -> Slot {
    let coolant = spot.coolant(context).filter(|coolant| coolant.base() != Some(Base::Water));
    let Some(coolant) = coolant else {
        return context.fixed(Coolant::water().freezing_point_k());
    };
    if matches!(coolant, CoolantSpec::Table(_)) {
        let message =
            "ice belongs into water or glycol: in another liquid it melts into a layer of its own";
        context.error(span, message, "in a circuit of another liquid");
    }
    context.notes.push(format!(
        "The ice in `{}` melts at the freezing point of its mixture as filled. That the melt thins the mixture \
         is left out: with much ice the coolant is shown too cold and too safe from freezing.",
        spot.address
    ));
    let from = coolant.slots().to_vec();
    context.derived(&from, move |values| fluid_of(&coolant, values).freezing_point_k())
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
    let air = context.or_assumed(&air_address, air, Bound::NotNegative, TANK_AIR.of(room_m3));
    if air_given.is_none() {
        context.follows_at_start(air, &[volume_slot], move |values| {
            TANK_AIR.at(values.get(volume_slot))
        });
    }
    context.bind(&air_address, Bound::Within(0.0, room_m3), "air in a tank");
    let level = context.or_assumed(
        &format!("{address}:level"),
        level,
        Bound::Within(0.0, 10.0),
        LEVEL.fixed(),
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
        CAP_VACUUM.fixed(),
    );
}
