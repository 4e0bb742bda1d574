//! Bodies that take heat in: engines, coolers.

use super::{Joins, Writer, sub};
use crate::ids::Id;
use crate::kind::Kind;
use crate::parts::HeatPartner;
use crate::results::Quantity;
use crate::results::quantities as q;

impl Writer<'_> {
    /// A body.
    pub(super) fn body(&mut self, body: usize, quantity: &'static Quantity) {
        if [&q::PASSED, &q::EXCHANGER_UA, &q::PASSED_SHARE].contains(&quantity) {
            self.exchanger(body, quantity);
            return;
        }
        let of = |sign: &'static str, what: &'static Quantity, joins| (sign, what, joins);
        let from_passes = [
            (&q::HEAT, of("q", &q::HEAT, Joins::Sum)),
            (&q::LARGEST_RISE, of("ΔT", &q::RISE, Joins::Most)),
        ];
        if let Some((_, (sign, what, joins))) = from_passes.iter().find(|(of, _)| *of == quantity) {
            for (k, id) in self.passes(body).into_iter().enumerate() {
                self.result(&sub(sign, k + 1), id, what);
            }
            self.all(*joins);
        } else if quantity == &q::HEAT_IN {
            self.heat_in(body);
        } else if quantity == &q::BAY_HEAT {
            self.number("T_bay", self.simulator.setup.model.bay.air, Kind::Temperature);
            self.own("T", &q::METAL_MEAN);
        } else if [&q::METAL, &q::METAL_MEAN, &q::WALL, &q::WALL_SURFACE].contains(&quantity) {
            self.own("q_in", &q::HEAT_IN);
            self.number("C", self.simulator.setup.model.bodies[body].metal, Kind::HeatCapacity);
            for (k, id) in self.passes(body).into_iter().enumerate() {
                self.result(&sub("q", k + 1), id, &q::HEAT);
                self.result(&sub("T", k + 1), id, &q::TEMPERATURE_OUT);
            }
        } else if quantity == &q::ONSET_MARGIN || quantity == &q::CRITICAL_SHARE {
            self.own("T_s", &q::WALL_SURFACE);
            self.own("q_in", &q::HEAT_IN);
        } else {
            // Flows of the passes, each by its run.
            for (k, id) in self.passes(body).into_iter().enumerate() {
                let Id::Part(c, r, _) = id else { continue };
                self.result(&sub("m", k + 1), Id::Run(c, r), &q::MASS_FLOW);
                if quantity == &q::COOLANT_RISE {
                    self.result(&sub("ΔT", k + 1), id, &q::RISE);
                }
            }
        }
    }

    /// An exchanger between two liquids.
    fn exchanger(&mut self, body: usize, quantity: &'static Quantity) {
        let setup = &self.simulator.setup;
        let Some(exchange) = setup.model.bodies[body].exchange else { return };
        let mut sides = self.passes(body);
        if exchange.second_leads {
            sides.reverse();
        }
        let &[first, second] = sides.as_slice() else { return };
        if quantity == &q::PASSED {
            self.result("q₂", second, &q::HEAT);
            self.same();
        } else if quantity == &q::EXCHANGER_UA {
            let films = [first, second].map(|side| {
                let parts = &setup.layout.parts;
                let index = parts
                    .iter()
                    .position(|cells| Id::Part(cells.at.0, cells.at.1, cells.at.2) == side);
                index.map_or(f64::NAN, |index| self.simulator.settled.film_w_k(setup, index))
            });
            let plate = setup.values.get(exchange.plate);
            let what = "conductance of the film on the first side";
            self.property("h₁A", what, (Kind::Conductance, films[0]));
            self.property("G", "conductance of the plate", (Kind::Conductance, plate));
            let what = "conductance of the film on the second side";
            self.property("h₂A", what, (Kind::Conductance, films[1]));
        } else {
            self.own("q", &q::PASSED);
            for (k, side) in [first, second].into_iter().enumerate() {
                let Id::Part(c, r, _) = side else { continue };
                self.result(&sub("m", k + 1), Id::Run(c, r), &q::MASS_FLOW);
                self.result(&sub("T", k + 1), side, &q::TEMPERATURE_IN);
            }
        }
    }

    /// The passes of a body, in their order.
    fn passes(&self, body: usize) -> Vec<Id> {
        let setup = &self.simulator.setup;
        let all = setup.layout.parts.iter().enumerate();
        let own =
            all.filter(|(index, _)| setup.part(*index).partner() == Some(HeatPartner::Body(body)));
        own.map(|(_, cells)| Id::Part(cells.at.0, cells.at.1, cells.at.2)).collect()
    }

    /// Heat that comes into a body: by itself, by the power that drives it, from charge air.
    fn heat_in(&mut self, body: usize) {
        let setup = &self.simulator.setup;
        let spec = &setup.model.bodies[body];
        self.number("q₀", spec.heat, Kind::HeatRate);
        self.number("P", spec.power, Kind::Power);
        self.number("k", spec.share, Kind::Fraction);
        let mut formula = "q₀ + k·P".to_owned();
        if let Some(fuel) = spec.fuel {
            self.number("s", fuel.share, Kind::Fraction);
            self.number("b", fuel.burns, Kind::Consumption);
            self.number("H", fuel.heating_value, Kind::HeatPerMass);
            formula += " + s·b·H·P";
        }
        if spec.table.is_some() || spec.map.is_some() {
            let told = spec.told_w(&setup.values)
                - spec.battery.map_or(0.0, |battery| {
                    battery.heat_w(&setup.values, setup.values.get(spec.power))
                });
            let what = "heat by the table of heat against power";
            let what =
                if spec.map.is_some() { "heat by the map over speed and power" } else { what };
            self.property("q_P", what, (Kind::HeatRate, told));
            formula += " + q_P";
        }
        if let Some(battery) = spec.battery {
            let current = battery.current_a(&setup.values, setup.values.get(spec.power));
            self.number("R", battery.resistance, Kind::ElectricResistance);
            self.property("I", "current that gives the power", (Kind::Current, current));
            formula += " + R·I^2";
        }
        let mut count = 0;
        for (a, path) in setup.model.charge_air.iter().enumerate() {
            for (s, stage) in path.stages.iter().enumerate() {
                let cooler = matches!(stage.kind, crate::charge::StageKind::Cooler { body: of } if of == body);
                if cooler {
                    count += 1;
                    let sign = sub("q", count);
                    self.result(&sign, Id::Stage(a, s), &q::STAGE_HEAT);
                    formula += &format!(" + {sign}");
                }
            }
        }
        self.is(&formula);
    }
}
