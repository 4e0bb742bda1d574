//! Cores, air paths and fans.

use super::Writer;
use crate::air::AirPath;
use crate::ids::Id;
use crate::kind::Kind;
use crate::results::Quantity;
use crate::results::quantities as q;

impl Writer<'_> {
    /// A core.
    pub(super) fn core(&mut self, core: usize, quantity: &'static Quantity) {
        let setup = &self.simulator.setup;
        let capacity = setup.prepared.air.heat_capacity(setup.prepared.air_k);
        let mut met = self.simulator.settled.gases.iter().flat_map(crate::air::GasNetwork::cores);
        let Some(air_kg_s) = met.find(|met| met.core == core).map(|met| met.flow) else { return };
        let (c, r, p) = setup.layout.parts[setup.layout.core_parts[core]].at;
        let part = Id::Part(c, r, p);
        let air = (Kind::MassFlow, air_kg_s);
        if quantity == &q::AIR_OUT {
            self.own("T_in", &q::AIR_IN);
            self.own("q", &q::REJECTED);
            self.property("w", "mass flow of air through the core", air);
            self.property("c", "heat capacity of air", (Kind::SpecificHeat, capacity));
            self.is(if air_kg_s == 0.0 { "T_in" } else { "T_in + q/(|w|·c)" });
        } else if quantity == &q::REJECTED {
            self.own("UA", &q::CORE_UA);
            self.result("T_coolant", part, &q::TEMPERATURE_IN);
            self.own("T_air", &q::AIR_IN);
            self.result("m", Id::Run(c, r), &q::MASS_FLOW);
            self.property("w", "mass flow of air through the core", air);
        } else if quantity == &q::AIR_FACE {
            self.property("w", "mass flow of air through the core", air);
            self.own("T_in", &q::AIR_IN);
            if let Some((slot, entering)) =
                setup.model.cores[core].face.zip(self.results.of(self.id, &q::AIR_IN))
            {
                let density = setup.prepared.air.density(entering);
                self.property(
                    "ρ",
                    "density of the air in front of the core",
                    (Kind::Density, density),
                );
                self.number("A", slot, Kind::Area);
                self.is("w/(ρ·A)");
            }
        } else if quantity == &q::AIR_STRETCH || quantity == &q::COOLANT_STRETCH {
            let side = &setup.prepared.cores[core];
            let spec = &setup.model.cores[core];
            let air_share = spec.piece.as_ref().map_or(1.0, |piece| setup.values.get(piece.face));
            if quantity == &q::AIR_STRETCH {
                self.property("w", "mass flow of air through the core", air);
                self.property(
                    "w₀",
                    "mass flow of air at the rating",
                    (Kind::MassFlow, side.air_flow * air_share),
                );
                self.is("|w|/w₀");
            } else {
                self.result("m", Id::Run(c, r), &q::MASS_FLOW);
                self.property(
                    "m₀",
                    "mass flow of coolant at the rating",
                    (Kind::MassFlow, side.coolant_flow * spec.tubes(&setup.values)),
                );
                self.is("|m|/m₀");
            }
        } else if quantity == &q::AIR_IN {
            self.ahead(core);
        } else if quantity == &q::AIR_FALL {
            self.property("w", "mass flow of air through the core", air);
            self.own("T_in", &q::AIR_IN);
            self.own("T_out", &q::AIR_OUT);
        } else {
            self.own("q", &q::REJECTED);
            self.result("m", Id::Run(c, r), &q::MASS_FLOW);
            self.property("w", "mass flow of air through the core", air);
        }
    }

    /// What the air in front of a core comes from: the site, and cores in the same path.
    fn ahead(&mut self, core: usize) {
        let model = self.simulator.setup.model;
        self.number("T_site", model.site.temperature, Kind::Temperature);
        let path = model.air_paths.iter().position(|path| path.cores.contains(&core));
        if let Some(path) = path {
            let front = Id::AirPath(path);
            if self.results.of(front, &q::AIR_FRONT).is_some() {
                self.result("T_f", front, &q::AIR_FRONT);
            }
        }
        let path = path.map(|path| &model.air_paths[path]);
        for (k, other) in path.into_iter().flat_map(|path| warms(path, core)).enumerate() {
            self.result(&super::sub("T", k + 1), Id::Core(other), &q::AIR_OUT);
        }
        let own = self.results.of(self.id, &q::AIR_IN);
        // In front of all cores it is that of the site, or what a single core leaves.
        let same = self.reason.inputs.iter().find(|input| Some(input.value) == own);
        if let Some(sign) = same.map(|input| input.sign.clone()) {
            self.is(&sign);
        }
    }

    /// An air path.
    pub(super) fn air_path(&mut self, a: usize, quantity: &'static Quantity) {
        let setup = &self.simulator.setup;
        let path = &setup.model.air_paths[a];
        if quantity == &q::AIR_FLOW {
            self.own("w", &q::AIR_MASS_FLOW);
            let density = setup.prepared.air.density(setup.prepared.air_k);
            self.property("ρ", "density of the air of the site", (Kind::Density, density));
            return self.is("w/ρ");
        }
        if quantity == &q::AIR_FRONT || quantity == &q::AIR_LEAVES {
            return self.ends(a, quantity == &q::AIR_FRONT);
        }
        for f in 0..path.fans.len() {
            self.result(&super::sub("Δp_fan", f + 1), Id::Fan(a, f), &q::FAN_PRESSURE);
        }
        for (k, &core) in path.cores.iter().enumerate() {
            self.result(&super::sub("Δp_core", k + 1), Id::Core(core), &q::AIR_FALL);
        }
        if quantity == &q::AIR_MASS_FLOW {
            self.own("Δp_ducts", &q::DUCTS_FALL);
        }
    }

    /// Temperatures in front of the lanes and behind: `T_f = T + s·(T_e − T)` where nothing comes back through a lane.
    fn ends(&mut self, a: usize, front: bool) {
        let setup = &self.simulator.setup;
        let path = &setup.model.air_paths[a];
        let id = Id::AirPath(a);
        if !front {
            self.result("T_f", id, &q::AIR_FRONT);
            for (k, &core) in path.cores.iter().enumerate() {
                self.result(&super::sub("T", k + 1), Id::Core(core), &q::AIR_OUT);
            }
            return;
        }
        let site = setup.model.site.temperature;
        self.number("T", site, Kind::Temperature);
        self.result("T_e", id, &q::AIR_LEAVES);
        let site_k = setup.values.get(site);
        let share = path.round.map_or(0.0, |share| setup.values.get(share));
        if let Some(share) = path.round {
            self.number("s", share, Kind::Fraction);
        }
        let [is, leaves] =
            [&q::AIR_FRONT, &q::AIR_LEAVES].map(|of| self.results.of(id, of).unwrap_or(f64::NAN));
        // What comes back through a lane beside it mixes in.
        if (is - (site_k + share * (leaves - site_k))).abs() < 1e-6 {
            self.is(if path.round.is_some() { "T + s·(T_e − T)" } else { "T" });
        }
    }

    /// One of the lanes of an air path.
    pub(super) fn lane(&mut self, (a, w): (usize, usize), quantity: &'static Quantity) {
        let setup = &self.simulator.setup;
        let path = &setup.model.air_paths[a];
        if quantity == &q::AIR_FLOW {
            self.own("w", &q::AIR_MASS_FLOW);
            let density = setup.prepared.air.density(setup.prepared.air_k);
            self.property("ρ", "density of the air of the site", (Kind::Density, density));
            return self.is("w/ρ");
        }
        let way = &path.ways[w];
        if quantity == &q::DUCTS_FALL {
            self.own("w", &q::AIR_MASS_FLOW);
            return;
        }
        for (k, &core) in way.cores.iter().enumerate() {
            self.result(&super::sub("Δp_core", k + 1), Id::Core(path.cores[core]), &q::AIR_FALL);
        }
        let banks = [true, false].map(|pushes| path.banks(w, pushes).concat()).concat();
        for (k, &fan) in banks.iter().enumerate() {
            self.result(&super::sub("Δp_fan", k + 1), Id::Fan(a, fan), &q::FAN_PRESSURE);
        }
        if way.loss.is_some() {
            self.own("Δp_ducts", &q::DUCTS_FALL);
        }
        self.result("w", Id::AirPath(a), &q::AIR_MASS_FLOW);
    }

    /// A fan.
    pub(super) fn fan(&mut self, (a, f): (usize, usize), quantity: &'static Quantity) {
        let setup = &self.simulator.setup;
        let fan = &setup.model.air_paths[a].fans[f];
        let at = self.simulator.settled.gases[a].fans().get(f);
        let Some((flow, density)) = at.map(|at| (at.flow, at.density)) else { return };
        if quantity == &q::FAN_FLOW {
            self.property("w", "mass flow of air through the fan", (Kind::MassFlow, flow));
            self.property("ρ", "density of the air at the fan", (Kind::Density, density));
            self.is("w/ρ");
        } else if quantity == &q::SPEED {
            if !self.governed() {
                self.number("s_set", fan.commanded, Kind::Fraction);
                self.voltage(fan.voltage);
                if let Some(slot) = fan.rated_voltage {
                    self.number("U₁", slot, Kind::Voltage);
                }
            }
        } else if quantity == &q::CURRENT {
            let power = fan.power_w(&setup.values, density);
            self.property("P", "electric power of the fan", (Kind::ElectricPower, power));
            self.voltage(fan.voltage);
            self.is("P/U");
        } else {
            self.own("Q", &q::FAN_FLOW);
            self.own("s", &q::SPEED);
            self.property("ρ", "density of the air at the fan", (Kind::Density, density));
        }
    }
}

/// The other cores of its row.
fn warms(path: &AirPath, core: usize) -> Vec<usize> {
    let row = path.ways.iter().filter(|way| way.cores.iter().any(|&at| path.cores[at] == core));
    let cores = row.flat_map(|way| &way.cores).map(|&place| path.cores[place]);
    cores.filter(|other| *other != core).collect()
}
