//! A body: metal that heat comes into and that coolant cools. An engine block, a charge cooler, a
//! motor, an inverter, a battery.

use std::sync::Arc;

use crate::charge::ChargeSide;
use crate::exchanger::Exchange;
use crate::laws::curve::Curve;
use crate::skin::Skin;
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
    /// The word for it: engine, cooler or exchanger.
    pub word: &'static str,
    /// Heat capacity of the metal that takes part, J/K.
    pub metal: Slot,
    /// Heat that comes in whatever the vehicle does, W.
    pub heat: Slot,
    /// The input that drives it: the vehicle's power, W.
    pub power: Slot,
    /// Share of that power that comes in as heat.
    pub share: Slot,
    /// What share of the fuel's heat comes in, where it is known so.
    pub fuel: Option<FuelHeat>,
    /// Heat in W against that power in W, where it is known by a table.
    pub table: Option<Arc<Curve>>,
    /// Heat over engine speed and that power, where it is known by a map.
    pub map: Option<HeatMap>,
    /// Heat of the current that gives that power, where it is a battery.
    pub battery: Option<BatteryHeat>,
    /// What makes it an exchanger between two liquids, its first and its second pass; `None` where no heat is
    /// counted to go from pass to pass.
    pub exchange: Option<Exchange>,
    /// Temperature at the start, K; `None` where it starts as warm as its coolant.
    pub start: Option<Slot>,
    /// What it takes from charge air; `None` where none goes through it.
    pub charge: Option<ChargeSide>,
    /// Its outside; `None` where none of its heat is counted to go to the air of the bay.
    pub skin: Option<Skin>,
    /// The hot wall that its heat comes in through; `None` where it comes into its metal at once.
    pub wall: Option<HotWall>,
}

/// Heat of fuel that comes into a body.
#[derive(Clone, Copy, Debug)]
pub struct FuelHeat {
    /// Its share of the heat in the fuel.
    pub share: Slot,
    /// Fuel burnt for the power, kg/J.
    pub burns: Slot,
    /// Lower heating value, J/kg.
    pub heating_value: Slot,
}

/// Heat of the current through the resistance of a battery that gives the power.
#[derive(Clone, Copy, Debug)]
pub struct BatteryHeat {
    /// Voltage with nothing drawn, V.
    pub voltage: Slot,
    /// Resistance of all its cells and joints from pole to pole, Ω.
    pub resistance: Slot,
}

impl BatteryHeat {
    /// The current that gives a power at the poles, A: U₀·I − R·I² = P, I = 2·P/(U₀ + √(U₀² − 4·R·P)); that of the most power
    /// where it is asked for more than U₀²/(4·R). Below zero where it is charged.
    ///
    /// Source: Ohm’s law.
    pub fn current_a(&self, values: &Values, power_w: f64) -> f64 {
        let [voltage, resistance] = [self.voltage, self.resistance].map(|slot| values.get(slot));
        let root = (voltage * voltage - 4.0 * resistance * power_w).max(0.0).sqrt();
        if root > 0.0 { 2.0 * power_w / (voltage + root) } else { voltage / (2.0 * resistance) }
    }

    /// Its heat at a power, W: R·I².
    pub fn heat_w(&self, values: &Values, power_w: f64) -> f64 {
        values.get(self.resistance) * self.current_a(values, power_w).powi(2)
    }
}

/// Heat over engine speed and power: every speed of it at every power.
#[derive(Clone, Debug)]
pub struct HeatMap {
    /// The input of the engine's speed, rad/s.
    pub speed: Slot,
    /// Speeds, rad/s, rising; two or more.
    pub speeds: Vec<f64>,
    /// Powers, W, rising; two or more.
    pub powers: Vec<f64>,
    /// Heat, W, a row for each speed.
    pub heats: Vec<Vec<f64>>,
}

impl HeatMap {
    /// Heat at a speed and a power, W: straight between the rows and between the points of a row. Beyond their ends the outer
    /// lines go on where that is more than at the end, and the end holds where it would be less. An engine that stands and
    /// gives no power gives no heat.
    fn at(&self, speed: f64, power: f64) -> f64 {
        if speed <= 0.0 && power <= 0.0 {
            return 0.0;
        }
        let of_row = |row: usize| {
            let heats = &self.heats[row];
            let line = straight(self.powers.len(), |k| [self.powers[k], heats[k]], power);
            let last = heats.len() - 1;
            if power > self.powers[last] {
                line.max(heats[last])
            } else if power < self.powers[0] {
                line.max(heats[0])
            } else {
                line
            }
        };
        let last = self.speeds.len() - 1;
        let line = straight(self.speeds.len(), |row| [self.speeds[row], of_row(row)], speed);
        if speed > self.speeds[last] {
            line.max(of_row(last))
        } else if speed < self.speeds[0] {
            line.max(of_row(0))
        } else {
            line
        }
    }

    /// Whether a speed and a power lie beyond its ends: beyond its powers, or beyond its speeds.
    pub fn is_left(&self, values: &Values, power_w: f64) -> bool {
        let speed = values.get(self.speed);
        let ends = |axis: &[f64]| [axis[0], axis[axis.len() - 1]];
        let ([slow, fast], [least, most]) = (ends(&self.speeds), ends(&self.powers));
        let near = 1.0 + 1e-6;
        let stands = speed <= 0.0 && power_w <= 0.0;
        let of_power = power_w > most * near || power_w * near < least;
        !stands && (of_power || speed > fast * near || speed * near < slow)
    }
}

impl Body {
    /// Heat into the body that does not go with temperatures, W, with the power P that drives it and the engine's speed n:
    /// q = q₀ + (share + s·b·H)·P + table(P) + map(n, P) + R·I(P)², s the share of the heat of the fuel, b the fuel burnt for the power,
    /// H its lower heating value.
    pub fn heat_w(&self, values: &Values) -> f64 {
        let power_w = values.get(self.power);
        values.get(self.heat) + self.share_of_power(values) * power_w + self.told_w(values)
    }

    /// The share of the power that drives it that comes in as heat, by itself or by its fuel; what tables tell is beside it.
    pub fn share_of_power(&self, values: &Values) -> f64 {
        let fuel = self.fuel.map_or(0.0, |fuel| {
            values.get(fuel.share) * values.get(fuel.burns) * values.get(fuel.heating_value)
        });
        values.get(self.share) + fuel
    }

    /// Whether its map is left by the power that drives it and the engine's speed.
    pub fn leaves_map(&self, values: &Values) -> bool {
        self.map.as_ref().is_some_and(|map| map.is_left(values, values.get(self.power)))
    }

    /// The heat that a table, a map or a battery tells, W.
    pub fn told_w(&self, values: &Values) -> f64 {
        let power_w = values.get(self.power);
        let table = self.table.as_ref().map_or(0.0, |table| {
            let points = table.points();
            straight(points.len(), |k| points[k], power_w)
        });
        let map = self.map.as_ref().map_or(0.0, |map| map.at(values.get(map.speed), power_w));
        let battery = self.battery.map_or(0.0, |battery| battery.heat_w(values, power_w));
        table + map + battery
    }
}

/// Straight lines from point to point of so many, as a builder draws them; the first and the last go on.
fn straight(count: usize, point: impl Fn(usize) -> [f64; 2], x: f64) -> f64 {
    let after = (1..count - 1).find(|&k| point(k)[0] > x).unwrap_or(count - 1);
    let ([x0, y0], [x1, y1]) = (point(after - 1), point(after));
    y0 + (y1 - y0) * (x - x0) / (x1 - x0)
}

#[cfg(test)]
mod tests {
    use super::{BatteryHeat, HeatMap, straight};
    use crate::slots::Values;

    /// Bilinear between the corners, and on beyond them: of a map that is itself a + b n + c P + d n P it is that.
    #[test]
    fn a_map_of_heat_is_met_at_its_points_and_straight_between_them() {
        let law = |n: f64, p: f64| 3.0 + 0.5 * n + 0.2 * p + 0.01 * n * p;
        let (speeds, powers) = (vec![100.0, 250.0, 600.0], vec![0.0, 40.0, 90.0, 130.0]);
        let heats = speeds.iter().map(|n| powers.iter().map(|p| law(*n, *p)).collect()).collect();
        let map = HeatMap { speed: Values::default().add(0.0), speeds, powers, heats };
        for (n, p) in [(100.0, 0.0), (250.0, 90.0), (170.0, 63.0), (600.0, 130.0), (700.0, 150.0)] {
            let want = law(n, p);
            assert!((map.at(n, p) - want).abs() < 1e-9 * want.abs(), "at {n}, {p}");
        }
        assert!((map.at(50.0, 90.0) - law(100.0, 90.0)).abs() < 1e-9, "slower than its speeds");
        assert!(map.at(0.0, 0.0).abs() < 1e-12, "an engine that stands gives no heat");
        // One whose heat falls with speed is not carried on below its end.
        let heats = vec![vec![60.0, 90.0], vec![40.0, 60.0]];
        let (speeds, powers) = (vec![200.0, 300.0], vec![50.0, 100.0]);
        let map = HeatMap { speed: Values::default().add(0.0), speeds, powers, heats };
        assert!((map.at(800.0, 100.0) - 60.0).abs() < 1e-12);
        assert!((map.at(200.0, 150.0) - 120.0).abs() < 1e-12, "more power, more heat");
        assert!(
            (map.at(200.0, 10.0) - 60.0).abs() < 1e-12,
            "less power than it knows, no less heat"
        );
    }

    /// 100 V, 50 mΩ: 20 A give 100·20 − 0.05·400 = 1980 W and leave 20 W of heat; charged with 20 A it takes 2020 W.
    #[test]
    fn a_battery_is_warmed_by_its_current_both_ways() {
        let mut values = Values::default();
        let (voltage, resistance) = (values.add(100.0), values.add(0.05));
        let battery = BatteryHeat { voltage, resistance };
        for (power, current) in [(1980.0, 20.0), (-2020.0, -20.0), (0.0, 0.0)] {
            assert!((battery.current_a(&values, power) - current).abs() < 1e-9, "{power}");
            assert!((battery.heat_w(&values, power) - 0.05 * current * current).abs() < 1e-9);
        }
        // No more than U₀²/(4·R) = 50 kW at 1000 A.
        assert!((battery.current_a(&values, 60e3) - 1000.0).abs() < 1e-9);
    }

    #[test]
    fn a_table_of_heat_goes_straight_between_its_points_and_on_beyond_them() {
        let points = [[0.0, 2.0], [10.0, 4.0], [20.0, 10.0]];
        for (x, want) in
            [(0.0, 2.0), (5.0, 3.0), (10.0, 4.0), (15.0, 7.0), (20.0, 10.0), (25.0, 13.0)]
        {
            assert!((straight(3, |k| points[k], x) - want).abs() < 1e-12, "at {x}");
        }
    }
}
