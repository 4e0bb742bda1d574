//! A body: metal that heat comes into and that coolant cools. An engine block, a charge cooler, a
//! motor, an inverter, a battery.

use std::sync::Arc;

use crate::charge::ChargeSide;
use crate::laws::curve::Curve;
use crate::slots::{Slot, Values};
use crate::wall::HotWall;

/// Metal with passes of coolant through it and a source of heat.
///
/// Its metal is cut as finely as its coolant: each cell of each pass has a node. Heat and metal are
/// shared equally by the passes and by the cells of a pass, and a node gives heat to its own coolant
/// only, so a pass that gets less coolant is hotter.
#[derive(Clone, Debug)]
pub struct Body {
    /// Its name.
    pub name: String,
    /// The word for it: engine or cooler.
    pub word: &'static str,
    /// Heat capacity of the metal that takes part, J/K.
    pub metal: Slot,
    /// Heat that comes in whatever the vehicle does, W.
    pub heat: Slot,
    /// The input that drives it: the vehicle's power, W.
    pub power: Slot,
    /// Share of that power that comes in as heat.
    pub share: Slot,
    /// Heat in W against that power in W, where it is known by a table.
    pub table: Option<Arc<Curve>>,
    /// Conductance of the metal between each pass and the next, W/K; `None` where nothing is known
    /// of it and none is counted on.
    pub between_passes: Option<Slot>,
    /// Temperature at the start, K; `None` where it starts as warm as its coolant.
    pub start: Option<Slot>,
    /// What it takes from charge air; `None` where none goes through it.
    pub charge: Option<ChargeSide>,
    /// The hot wall that its heat comes in through; `None` where it comes into its metal at once.
    pub wall: Option<HotWall>,
}

impl Body {
    /// Heat into the body that does not go with temperatures, W: q = q₀ + share·P + table(P) with the power P
    /// that drives it.
    pub fn heat_w(&self, values: &Values) -> f64 {
        let power_w = values.get(self.power);
        let table = self.table.as_ref().map_or(0.0, |table| straight(table.points(), power_w));
        values.get(self.heat) + values.get(self.share) * power_w + table
    }
}

/// Straight lines from point to point, as a builder draws them; the first and the last go on.
fn straight(points: &[[f64; 2]], x: f64) -> f64 {
    let after = points.partition_point(|p| p[0] <= x).clamp(1, points.len() - 1);
    let ([x0, y0], [x1, y1]) = (points[after - 1], points[after]);
    y0 + (y1 - y0) * (x - x0) / (x1 - x0)
}

#[cfg(test)]
mod tests {
    use super::straight;

    #[test]
    fn a_table_of_heat_goes_straight_between_its_points_and_on_beyond_them() {
        let points = [[0.0, 2.0], [10.0, 4.0], [20.0, 10.0]];
        for (x, want) in
            [(0.0, 2.0), (5.0, 3.0), (10.0, 4.0), (15.0, 7.0), (20.0, 10.0), (25.0, 13.0)]
        {
            assert!((straight(&points, x) - want).abs() < 1e-12, "at {x}");
        }
    }
}
