//! The air of the bay, and the outside of what stands in it.

use coolwright_models::laws::skin::Shape;
use coolwright_models::model::SiteSlots;
use coolwright_models::parts::TankRoom;
use coolwright_models::skin::{Bay, Skin};
use coolwright_models::slots::{Slot, Values};

use super::context::{Bound, Context};
use super::usual::{BAY_AIR, HOSE_WALL, TANK_SURFACE};
use crate::file::Case;
use crate::quantity::{Area, Length};

/// Conductivity of the rubber of a hose, W/(m·K) (common practice, no source: 0.16 to 0.3).
const RUBBER: f64 = 0.25;
/// Conductivity of what an ice box is lined with, W/(m·K): foam (common practice, no source: 0.03 to 0.04).
const FOAM: f64 = 0.035;

/// The air around hoses, tanks and blocks; that of the site, at rest, where a case says nothing of it.
pub(super) fn bay(context: &mut Context<'_>, case: &Case, site: &SiteSlots) -> Bay {
    let outside = site.temperature;
    let Some(spec) = &case.bay else {
        let air = context.derived(&[outside], move |values| values.get(outside));
        return Bay { air, speed: context.fixed(0.0) };
    };
    context.has_bay = true;
    let outside_k = context.values.get(outside);
    let bound = Bound::Within(223.15, 473.15);
    let air = context.or_assumed("bay:air", spec.air, bound, BAY_AIR.of(outside_k));
    if spec.air.is_none() {
        context.follows(air, &[outside], move |values| BAY_AIR.at(values.get(outside)));
    }
    let speed = ("speed of the air in the bay", 0.0);
    let speed = context.or_default("bay:speed", spec.speed, Bound::Within(0.0, 100.0), speed);
    Bay { air, speed }
}

/// The outside of a hose, where a case has a bay.
pub(super) fn of_hose(
    context: &mut Context<'_>,
    address: &str,
    [bore, length]: [Slot; 2],
    wall: Option<Length>,
) -> Option<Skin> {
    let address = format!("{address}:wall");
    let bound = Bound::Within(1e-4, 0.1);
    if !context.has_bay {
        // It changes nothing without one, and is written all the same.
        wall.map(|wall| context.given(&address, wall, bound, HOSE_WALL.what));
        return None;
    }
    let wall = context.or_assumed(&address, wall, bound, HOSE_WALL.fixed());
    let size = context.derived(&[bore, wall], move |v| v.get(bore) + 2.0 * v.get(wall));
    let area = context.derived(&[size, length], move |values| {
        std::f64::consts::PI * values.get(size) * values.get(length)
    });
    let wall = context.derived(&[bore, wall], move |values| {
        Shape::Lying.wall(values.get(bore), values.get(wall), RUBBER)
    });
    Some(Skin { shape: Shape::Lying, size, area, wall })
}

/// The outside of a tank, where a case has a bay, and of one with ice in it always.
pub(super) fn of_tank(
    context: &mut Context<'_>,
    address: &str,
    (room, has_ice): (TankRoom, bool),
    (surface, insulation): (Option<Area>, Option<Length>),
) -> Option<Skin> {
    let at = |name: &str| format!("{address}:{name}");
    let thickness = Bound::Within(0.0, 1.0);
    let insulation =
        context.or_default(&at("insulation"), insulation, thickness, ("insulation of a tank", 0.0));
    if !context.has_bay && !has_ice {
        surface.map(|area| context.given(&at("surface"), area, Bound::Positive, TANK_SURFACE.what));
        return None;
    }
    let volume = room.volume;
    let side = |m3: f64| m3.powf(2.0 / 3.0);
    let assumed = TANK_SURFACE.of(side(context.values.get(volume)));
    let area = context.or_assumed(&at("surface"), surface, Bound::Positive, assumed);
    if surface.is_none() {
        context.follows_at_start(area, &[volume], move |v| TANK_SURFACE.at(side(v.get(volume))));
    }
    // The foam lies around the tank, a cube of that area: what the air meets is larger.
    let edge = move |values: &Values| (values.get(area) / 6.0).sqrt();
    let from = [area, insulation];
    let size = context.derived(&from, move |v| edge(v) + 2.0 * v.get(insulation));
    let outside = context.derived(&[size], move |values| 6.0 * values.get(size).powi(2));
    let wall =
        context.derived(&from, move |v| Shape::Upright.wall(edge(v), v.get(insulation), FOAM));
    Some(Skin { shape: Shape::Upright, size, area: outside, wall })
}

/// The outside of a block, where it is told.
pub(super) fn of_body(
    context: &mut Context<'_>,
    address: &str,
    surface: Option<Area>,
) -> Option<Skin> {
    let at = format!("{address}:surface");
    let area =
        surface.map(|area| context.given(&at, area, Bound::Positive, "outside of a block"))?;
    let wall = context.fixed(0.0);
    // Four upright sides of six that are alike.
    let size = context.derived(&[area], move |values| (values.get(area) / 6.0).sqrt());
    Some(Skin { shape: Shape::Upright, size, area, wall })
}
