//! Pumps, alone and several under one name.

use super::{Joins, Writer, sub};
use crate::circuit::Arrangement;
use crate::govern::Governor;
use crate::ids::Id;
use crate::kind::Kind;
use crate::model::Model;
use crate::parts::{GRAVITY, PumpDrive};
use crate::results::quantities as q;
use crate::results::{Quantity, is_forward};
use crate::slots::Slot;

/// A governed machine is where it rests within this share of its speed.
const AT_REST: f64 = 1e-9;

impl Writer<'_> {
    /// A pump.
    pub(super) fn pump(
        &mut self,
        at @ (c, r, p): (usize, usize, usize),
        quantity: &'static Quantity,
    ) {
        let circuit = &self.simulator.setup.model.circuits[c];
        let Some(pump) = circuit.runs[r].parts[p].part.as_pump() else { return };
        let forward = is_forward(self.simulator.settled.flows[c][r]);
        let [pressure, total, vapour, temperature] = if forward {
            [&q::PRESSURE_IN, &q::TOTAL_IN, &q::VAPOUR_IN, &q::COOLANT_IN]
        } else {
            [&q::PRESSURE_OUT, &q::TOTAL_OUT, &q::VAPOUR_OUT, &q::COOLANT_OUT]
        };
        if quantity == &q::HEAD {
            self.own("Δp", &q::FALL);
            self.is("−Δp");
        } else if quantity == &q::FLOW {
            self.result("m", Id::Run(c, r), &q::MASS_FLOW);
            let index = self.simulator.setup.layout.run_parts[c][r] + p;
            let density = self.simulator.settled.parts[index].density;
            self.property("ρ", "density of the coolant in the part", (Kind::Density, density));
            self.is("m/ρ");
        } else if quantity == &q::CURRENT {
            self.own("P", &q::POWER);
            if let Some(volts) = pump.drive.supply() {
                self.voltage(volts);
                self.is("P/U");
            }
        } else if quantity == &q::PUMP_EFFICIENCY {
            self.own("Δp", &q::HEAD);
            self.own("Q", &q::FLOW);
            let power = self.own("P", &q::POWER) || self.own("P", &q::SHAFT_POWER);
            let turns = power && self.reason.inputs.last().is_some_and(|input| input.value > 0.0);
            if turns {
                self.is("Q·Δp/P");
            }
        } else if quantity == &q::PUMP_HEAT {
            self.number("k", pump.heat_share, Kind::Fraction);
            if self.own("P", &q::POWER) || self.own("P", &q::SHAFT_POWER) {
                self.is("k·P");
            }
        } else if quantity == &q::TURNING {
            self.own("s", &q::SPEED);
            if let Some(slot) = pump.curve_speed {
                self.number("n₁", slot, Kind::RotationalSpeed);
                self.is("s·n₁");
            }
        } else if quantity == &q::SUCTION_MARGIN || quantity == &q::SUCTION_HEAD {
            let head = quantity == &q::SUCTION_HEAD;
            self.own("p", if head { total } else { pressure });
            self.result("p_a", Id::Site, &q::AMBIENT);
            self.own("p_v", vapour);
            if !head {
                return self.is("p + p_a − p_v");
            }
            if let Some(temperature_k) = self.results.of(self.id, temperature) {
                self.density("ρ", c, temperature_k);
            }
            self.property("g", "acceleration of gravity", (Kind::Number, GRAVITY));
            self.is("(p + p_a − p_v)/(ρ·g)");
        } else if quantity == &q::SUCTION_HEAD_MARGIN {
            self.own("h", &q::SUCTION_HEAD);
            self.own("h_required", &q::SUCTION_HEAD_REQUIRED);
            self.is("h − h_required");
        } else if quantity == &q::SUCTION_HEAD_REQUIRED {
            self.own("s", &q::SPEED);
            self.own("Q", &q::FLOW);
        } else if [&q::SPEED, &q::SPEED_HELD].contains(&quantity) {
            self.drive(at, quantity);
        } else if [&q::POWER, &q::SHAFT_POWER].contains(&quantity) {
            self.own("Q", &q::FLOW);
            self.own("s", &q::SPEED);
        } else if quantity == &q::VISCOUS_PARAMETER {
            self.own("T", temperature);
        } else if [&q::VISCOUS_FLOW, &q::VISCOUS_HEAD, &q::VISCOUS_EFFICIENCY].contains(&quantity) {
            self.own("B", &q::VISCOUS_PARAMETER);
        } else {
            self.tank(c, quantity);
        }
    }

    /// The speed of a machine that is governed: what it is commanded to, and the share of that which goes with what it
    /// feels. Whether it is, and nothing else holds it.
    pub(super) fn governed(&mut self) -> bool {
        let setup = &self.simulator.setup;
        let Model { governors, machines, .. } = setup.model;
        let of = |governor: &Governor| machines[governor.machine].id == self.id;
        let Some(g) = governors.iter().position(of) else { return false };
        let mut wanted = setup.commanded[g];
        self.property("s_0", "speed that it is commanded to", (Kind::Fraction, wanted));
        let mut formula = "s_0";
        if let Some(follows) = &governors[g].follows {
            let (id, felt) = follows.feels.result(setup.model);
            self.result("T", id, felt);
            let felt_k = self.results.of(id, felt).unwrap_or(f64::NAN);
            let [share, _] = follows.share(&setup.values, felt_k);
            self.property("k", "share on its line at that temperature", (Kind::Fraction, share));
            (wanted, formula) = (share * wanted, "k·s_0");
        }
        // On its way there it has no formula of one line.
        let speed = self.results.of(self.id, &q::SPEED).unwrap_or(f64::NAN);
        if (wanted - speed).abs() <= AT_REST * speed {
            self.is(formula);
        }
        true
    }

    /// The voltage that a machine finds: that of its supply, under load where this sags.
    pub(super) fn voltage(&mut self, slot: Slot) {
        let supplies = &self.simulator.setup.model.supplies;
        let supply = supplies.iter().position(|of| of.voltage == slot && of.sag.is_some());
        match supply {
            Some(s) => {
                self.result("U", Id::Supply(s), &q::TERMINAL);
            }
            None => self.number("U", slot, Kind::Voltage),
        }
    }

    /// What turns a pump.
    fn drive(&mut self, (c, r, p): (usize, usize, usize), quantity: &'static Quantity) {
        let circuit = &self.simulator.setup.model.circuits[c];
        let Some(pump) = circuit.runs[r].parts[p].part.as_pump() else { return };
        match pump.drive {
            PumpDrive::Electric(drive) => {
                if quantity == &q::SPEED && self.governed() {
                    return;
                }
                self.number("s_set", drive.commanded, Kind::Fraction);
                self.voltage(drive.voltage);
                if let Some(slot) = drive.rated_voltage {
                    self.number("U₁", slot, Kind::Voltage);
                }
                if let Some(slot) = drive.current_limit {
                    self.number("I_most", slot, Kind::Current);
                }
            }
            PumpDrive::Engine(drive) => {
                self.number("i", drive.ratio, Kind::Number);
                self.number("n", drive.engine_speed, Kind::RotationalSpeed);
                self.number("n₁", drive.curve_speed, Kind::RotationalSpeed);
            }
        }
    }

    /// Several pumps under one name.
    pub(super) fn group(&mut self, (c, g): (usize, usize), quantity: &'static Quantity) {
        let group = &self.simulator.setup.model.circuits[c].groups[g];
        let parallel = group.arrangement == Arrangement::Parallel;
        let joins = if quantity == &q::HEAD && parallel {
            Joins::Most
        } else if quantity == &q::SUCTION_MARGIN {
            Joins::Least
        } else {
            Joins::Sum
        };
        let sums =
            [&q::HEAD, &q::POWER, &q::SHAFT_POWER, &q::CURRENT, &q::PUMP_HEAT, &q::SUCTION_MARGIN];
        let sign = |number| sub("x", number);
        for (k, &(r, p)) in group.units.iter().enumerate() {
            self.result(&sign(k + 1), Id::Part(c, r, p), quantity);
            // In series the same flow goes through all.
            if quantity == &q::FLOW && !parallel {
                return self.same();
            }
        }
        if sums.contains(&quantity) || quantity == &q::FLOW {
            self.all(joins);
        }
    }
}
