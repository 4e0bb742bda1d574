//! Circuits, runs and junctions.

use super::{Comes, Joins, Writer, sub};
use crate::circuit::{Hold, Joint, Reference, ReferencePoint};
use crate::ids::Id;
use crate::kind::Kind;
use crate::parts::GRAVITY;
use crate::results::Quantity;
use crate::results::quantities as q;

/// A voltage is where it rests within this share of it.
const AT_REST: f64 = 1e-9;

/// One end of a part, with its temperature and its pressure.
type Point = (Id, &'static Quantity, &'static Quantity);

impl Writer<'_> {
    /// The site, and what a supply gives.
    pub(super) fn site(&mut self, quantity: &'static Quantity) {
        let model = self.simulator.setup.model;
        if quantity == &q::AMBIENT {
            self.number("h", model.site.altitude, Kind::Distance);
            return;
        }
        if [&q::DEW_POINT, &q::AIR_DENSITY, &q::AIR_ENTHALPY].contains(&quantity) {
            self.number("T", model.site.temperature, Kind::Temperature);
            self.number("φ", model.site.humidity, Kind::Fraction);
            self.own("p_a", &q::AMBIENT);
            return;
        }
        let Id::Supply(s) = self.id else { return };
        if let Some(sag) = model.supplies[s].sag.filter(|_| quantity == &q::TERMINAL) {
            self.number("U₀", sag.open, Kind::Voltage);
            self.number("R", sag.resistance, Kind::ElectricResistance);
            self.own("I", &q::SUPPLY);
            // On its way there it has no formula of one line.
            let values = &self.simulator.setup.values;
            let of = |what| self.results.of(self.id, what).unwrap_or(f64::NAN);
            let wanted_v = sag.terminal_v(values, of(&q::SUPPLY));
            if (wanted_v - of(&q::TERMINAL)).abs() <= AT_REST * wanted_v.abs() {
                self.is("U₀ − R·I");
            }
            return;
        }
        let voltage = model.supplies[s].voltage;
        let mut draws = Vec::new();
        for (c, circuit) in model.circuits.iter().enumerate() {
            for (r, run) in circuit.runs.iter().enumerate() {
                for (p, placed) in run.parts.iter().enumerate() {
                    let supply = placed.part.as_pump().and_then(|pump| pump.drive.supply());
                    draws.extend((supply == Some(voltage)).then_some(Id::Part(c, r, p)));
                }
            }
        }
        for (a, path) in model.air_paths.iter().enumerate() {
            let fans = path.fans.iter().enumerate().filter(|(_, fan)| fan.voltage == voltage);
            draws.extend(fans.map(|(f, _)| Id::Fan(a, f)));
        }
        for (k, id) in draws.into_iter().enumerate() {
            self.result(&sub("I", k + 1), id, &q::CURRENT);
        }
        self.all(Joins::Sum);
    }

    /// A circuit: extremes stand somewhere, and there their reason is. Within a part, as over a corner of a hose, it
    /// stands only near its end.
    pub(super) fn circuit(&mut self, c: usize, quantity: &'static Quantity) {
        let of = |id: Id, what| self.results.of(id, what).unwrap_or(f64::NAN);
        let boils = |pa: f64| {
            self.coolant(c).boiling_point_k(pa + self.simulator.setup.prepared.ambient_pa)
        };
        if quantity == &q::HOTTEST {
            let Some((id, t, _)) = self.least(c, &|(id, t, _)| -of(id, t)) else { return };
            self.result("T", id, t);
            self.if_so("T", quantity);
        } else if quantity == &q::LOWEST_PRESSURE {
            let Some((id, _, p)) = self.least(c, &|(id, _, p)| of(id, p)) else { return };
            self.result("p", id, p);
            self.if_so("p", quantity);
        } else if quantity == &q::BAY_HEAT {
            let own = self.simulator.bay_heats().filter(|(of, ..)| *of == c);
            let parts: Vec<Id> = own.map(|(c, r, p, _)| Id::Part(c, r, p)).collect();
            for (k, part) in parts.into_iter().enumerate() {
                self.result(&super::sub("q", k + 1), part, &q::BAY_HEAT);
            }
        } else if quantity == &q::FREEZE_MARGIN {
            let Some((id, t, _)) = self.least(c, &|(id, t, _)| of(id, t)) else { return };
            self.result("T", id, t);
            let freezes = self.coolant(c).freezing_point_k();
            let what = "freezing point of the coolant";
            self.property("T_freeze", what, (Kind::Temperature, freezes));
            self.share_of_glycol(c);
            self.if_so("T − T_freeze", quantity);
        } else if quantity == &q::BOIL_MARGIN {
            let found = self.least(c, &|(id, t, p)| boils(of(id, p)) - of(id, t));
            let Some((id, t, p)) = found else { return };
            let boils_k = boils(of(id, p));
            self.result("T", id, t);
            let what = "boiling point at the pressure there";
            self.property("T_boil", what, (Kind::Temperature, boils_k));
            self.result("p", id, p);
            self.result("p_a", Id::Site, &q::AMBIENT);
            self.if_so("T_boil − T", quantity);
        } else if quantity == &q::COOLANT_VOLUME {
            let setup = &self.simulator.setup;
            let circuit = &setup.model.circuits[c];
            let parts = circuit.runs.iter().flat_map(|run| &run.parts);
            let in_parts: f64 = parts.map(|placed| placed.part.volume_m3(&setup.values)).sum();
            let joints = circuit.junctions.iter();
            let in_joints: f64 = joints.map(|joint| joint.volume_m3(&setup.values)).sum();
            let what = "coolant in all parts, tank included";
            self.property("V_parts", what, (Kind::Volume, in_parts));
            let what = "coolant at all junctions";
            self.property("V_joints", what, (Kind::Volume, in_joints));
            self.if_so("V_parts + V_joints", quantity);
        } else if quantity == &q::BALANCE {
            for r in 0..self.simulator.setup.model.circuits[c].runs.len() {
                self.result(&sub("m", r + 1), Id::Run(c, r), &q::MASS_FLOW);
            }
        }
    }

    /// The end of a part of a circuit where something is least: temperature and pressure there.
    fn least(&self, c: usize, key: &dyn Fn(Point) -> f64) -> Option<Point> {
        let runs = self.simulator.setup.model.circuits[c].runs.iter().enumerate();
        let parts = runs.flat_map(|(r, run)| (0..run.parts.len()).map(move |p| Id::Part(c, r, p)));
        let points = parts.flat_map(|id| {
            [(id, &q::COOLANT_IN, &q::PRESSURE_IN), (id, &q::COOLANT_OUT, &q::PRESSURE_OUT)]
        });
        let keyed = points.map(|point: Point| (key(point), point)).filter(|(key, _)| !key.is_nan());
        keyed.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, point)| point)
    }

    /// It follows from a formula, if that gives it: an extreme may stand within a part.
    fn if_so(&mut self, formula: &str, quantity: &'static Quantity) {
        let value = self.results.of(self.id, quantity).unwrap_or(f64::NAN);
        let near = |found: f64| (found - value).abs() <= 1e-9 * value.abs();
        if self.reason.work(formula).is_some_and(near) {
            self.is(formula);
        }
    }

    /// A run.
    pub(super) fn run(&mut self, (c, r): (usize, usize), quantity: &'static Quantity) {
        let run = &self.simulator.setup.model.circuits[c].runs[r];
        if quantity == &q::FLOW {
            self.own("m", &q::MASS_FLOW);
            let first = self.results.of(Id::Part(c, r, 0), &q::COOLANT_IN);
            if let Some(temperature_k) = first {
                self.density("ρ", c, temperature_k);
                self.is("m/ρ");
            }
        } else if quantity == &q::MASS_FLOW {
            self.result("p₁", Id::Junction(c, run.from), &q::JUNCTION_PRESSURE);
            self.result("p₂", Id::Junction(c, run.to), &q::JUNCTION_PRESSURE);
            let (mut falls, mut count) = (Vec::new(), 0);
            let mut add = |writer: &mut Self, id, quantity| {
                let sign = sub("Δp", count + 1);
                if writer.results.of(id, quantity).is_some_and(|pa| pa != 0.0) {
                    writer.result(&sign, id, quantity);
                    falls.push(sign);
                    count += 1;
                }
            };
            add(self, self.id, &q::ENTRY_FALL);
            for p in 0..run.parts.len() {
                add(self, Id::Part(c, r, p), &q::FALL);
                add(self, Id::Part(c, r, p), &q::LIFT);
            }
            add(self, self.id, &q::EXIT_FALL);
            let sum = if falls.is_empty() { "0".to_owned() } else { falls.join(" + ") };
            self.reason.comes = Comes::Balance(["p₁ − p₂".to_owned(), sum]);
        } else {
            let junction = if quantity == &q::ENTRY_FALL { run.from } else { run.to };
            for (k, (r, _)) in self.meeting(c, junction).into_iter().enumerate() {
                self.result(&sub("m", k + 1), Id::Run(c, r), &q::MASS_FLOW);
            }
        }
    }

    /// The runs that meet at a junction, and whether each ends there.
    fn meeting(&self, c: usize, junction: usize) -> Vec<(usize, bool)> {
        let runs = self.simulator.setup.model.circuits[c].runs.iter().enumerate();
        let ends = runs.flat_map(|(r, run)| {
            let starts = (run.from == junction).then_some((r, false));
            let ends = (run.to == junction).then_some((r, true));
            ends.into_iter().chain(starts)
        });
        ends.collect()
    }

    /// A junction.
    pub(super) fn junction(&mut self, (c, j): (usize, usize), quantity: &'static Quantity) {
        let circuit = &self.simulator.setup.model.circuits[c];
        if quantity == &q::JUNCTION_PRESSURE {
            if let Joint::Held { pressure, .. } = &circuit.junctions[j].joint {
                self.number("p", *pressure, Kind::GaugePressure);
                return self.same();
            }
            self.reference(c);
            self.end_pressure((c, j));
        } else if quantity == &q::JUNCTION_TEMPERATURE {
            for (k, (r, ends)) in self.meeting(c, j).into_iter().enumerate() {
                let flow = self.results.of(Id::Run(c, r), &q::MASS_FLOW).unwrap_or(0.0);
                let parts = circuit.runs[r].parts.len();
                let comes = (flow > 0.0) == ends && flow != 0.0;
                if comes && parts == 0 {
                    // A piece of a header.
                    let other = if ends { circuit.runs[r].from } else { circuit.runs[r].to };
                    self.result(&sub("m", k + 1), Id::Run(c, r), &q::MASS_FLOW);
                    let id = Id::Junction(c, other);
                    self.result(&sub("T", k + 1), id, &q::JUNCTION_TEMPERATURE);
                } else if comes {
                    let (part, at) =
                        if ends { (parts - 1, &q::COOLANT_OUT) } else { (0, &q::COOLANT_IN) };
                    self.result(&sub("m", k + 1), Id::Run(c, r), &q::MASS_FLOW);
                    self.result(&sub("T", k + 1), Id::Part(c, r, part), at);
                }
            }
            if self.reason.inputs.is_empty() {
                // Nothing flows in: it keeps what it had.
                self.number("T_start", circuit.start, Kind::Temperature);
            }
        } else if quantity == &q::JUNCTION_VAPOUR {
            self.own("T", &q::JUNCTION_TEMPERATURE);
            self.share_of_glycol(c);
        } else if quantity == &q::JUNCTION_MARGIN {
            self.own("p", &q::JUNCTION_PRESSURE);
            self.result("p_a", Id::Site, &q::AMBIENT);
            self.own("p_v", &q::JUNCTION_VAPOUR);
            self.is("p + p_a − p_v");
        } else if quantity == &q::JUNCTION_HEIGHT {
            for (r, ends) in self.meeting(c, j) {
                let parts = circuit.runs[r].parts.len();
                if parts > 0 {
                    let (part, at) =
                        if ends { (parts - 1, &q::HEIGHT_OUT) } else { (0, &q::HEIGHT_IN) };
                    self.result("z", Id::Part(c, r, part), at);
                    // Where heights do not close to the last digit, a junction has that of another run.
                    return self.if_so("z", quantity);
                }
            }
            // Pieces of a header lie level.
            if let Some((r, ends)) = self.meeting(c, j).first().copied() {
                let run = &circuit.runs[r];
                let other = if ends { run.from } else { run.to };
                self.result("z", Id::Junction(c, other), &q::JUNCTION_HEIGHT);
                self.if_so("z", quantity);
            }
        } else if quantity == &q::OUTSIDE {
            for (k, (r, _)) in self.meeting(c, j).into_iter().enumerate() {
                self.result(&sub("m", k + 1), Id::Run(c, r), &q::MASS_FLOW);
            }
        } else {
            self.tank(c, quantity);
        }
    }

    /// The total pressure at a junction from that at the end of a run that meets there.
    fn end_pressure(&mut self, (c, j): (usize, usize)) {
        let circuit = &self.simulator.setup.model.circuits[c];
        for (r, ends) in self.meeting(c, j) {
            let parts = circuit.runs[r].parts.len();
            if parts == 0 {
                continue;
            }
            let run = Id::Run(c, r);
            if ends {
                self.result("p_t", Id::Part(c, r, parts - 1), &q::TOTAL_OUT);
                let falls = self.result("Δp", run, &q::EXIT_FALL);
                return self.is(if falls { "p_t − Δp" } else { "p_t" });
            }
            self.result("p_t", Id::Part(c, r, 0), &q::TOTAL_IN);
            let falls = self.result("Δp", run, &q::ENTRY_FALL);
            return self.is(if falls { "p_t + Δp" } else { "p_t" });
        }
    }

    /// Where the pressure of a circuit is known, on which all its pressures hang.
    fn reference(&mut self, c: usize) {
        let Some(Reference { at, .. }) = self.simulator.setup.model.circuits[c].reference else {
            return;
        };
        let id = match at {
            ReferencePoint::Part(run, part) => Id::Part(c, run, part),
            ReferencePoint::Junction(junction) => Id::Junction(c, junction),
        };
        self.result("p_ref", id, &q::PORTS_PRESSURE);
    }

    /// What stands in the tank of a circuit.
    pub(super) fn tank(&mut self, c: usize, quantity: &'static Quantity) {
        let circuit = &self.simulator.setup.model.circuits[c];
        let Some(room) = circuit.reference_tank() else { return };
        if quantity == &q::PORTS_PRESSURE {
            self.own("p", &q::GAS_PRESSURE);
            let temperature = match circuit.reference.map(|reference| reference.at) {
                Some(ReferencePoint::Part(r, p)) => {
                    let index = self.simulator.setup.layout.run_parts[c][r] + p;
                    Some(self.simulator.settled.parts[index].temperature_k)
                }
                Some(ReferencePoint::Junction(j)) => {
                    self.results.of(Id::Junction(c, j), &q::JUNCTION_TEMPERATURE)
                }
                None => None,
            };
            let Some(temperature_k) = temperature else { return };
            self.density("ρ", c, temperature_k);
            self.own("z", &q::LEVEL);
            self.property("g", "acceleration of gravity", (Kind::Number, GRAVITY));
            self.is("p + ρ·g·z");
        } else if quantity == &q::LEVEL {
            self.number("z", room.level, Kind::Length);
            self.same();
        } else if quantity == &q::CONTENTS {
            self.number("V", room.volume, Kind::Volume);
            if self.own("V_gas", &q::GAS_VOLUME) {
                self.is("V − V_gas");
            }
        } else if quantity == &q::GAS_VOLUME {
            self.number("V_air", room.air, Kind::Volume);
            self.own("ΔV", &q::EXPANSION);
            self.own("ΔV_hose", &q::SWELLING);
            self.own("V_lost", &q::LOST);
        } else if quantity == &q::EXPANSION || quantity == &q::SWELLING {
            if let Some(Hold::Cushion(cushion)) = circuit.reference.map(|reference| reference.hold)
            {
                self.number("T_fill", cushion.filled_at, Kind::Temperature);
                self.number("p_fill", cushion.fill_pressure, Kind::GaugePressure);
            }
            if quantity == &q::EXPANSION {
                self.result("V", Id::Circuit(c), &q::COOLANT_VOLUME);
                self.result("T_most", Id::Circuit(c), &q::HOTTEST);
            } else {
                self.own("p", &q::PORTS_PRESSURE);
            }
        } else if [&q::GAS_PRESSURE, &q::CAP, &q::LOST, &q::GAS_OUT, &q::GAS_IN].contains(&quantity)
        {
            self.gas(c, quantity);
        }
    }

    /// What the gas over a surface follows from.
    fn gas(&mut self, c: usize, quantity: &'static Quantity) {
        let circuit = &self.simulator.setup.model.circuits[c];
        match circuit.reference.map(|reference| reference.hold) {
            Some(Hold::Given(slot)) => {
                self.number("p", slot, Kind::GaugePressure);
                if quantity == &q::GAS_PRESSURE {
                    self.same();
                }
            }
            Some(Hold::Cushion(cushion)) => {
                self.own("V", &q::GAS_VOLUME);
                self.number("T_fill", cushion.filled_at, Kind::Temperature);
                self.number("p_fill", cushion.fill_pressure, Kind::GaugePressure);
                self.number("p_open", cushion.opens, Kind::GaugePressure);
                self.number("p_vacuum", cushion.vacuum, Kind::GaugePressure);
            }
            None => {}
        }
    }
}
