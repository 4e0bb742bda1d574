//! Parts of runs.

use super::{Comes, Writer, sub};
use crate::ids::Id;
use crate::kind::Kind;
use crate::parts::{GRAVITY, HeatPartner};
use crate::results::quantities::{self as q, Ends};
use crate::results::{Quantity, is_forward};

/// Area of a bore in formulas.
const AREA: &str = "(0.25·π·D²)";

impl Writer<'_> {
    /// A part.
    pub(super) fn part(&mut self, at: (usize, usize, usize), quantity: &'static Quantity) {
        for (k, end) in [&q::AT_INLET, &q::AT_OUTLET].into_iter().enumerate() {
            let names = [end.total, end.bore, end.velocity, end.of_bore];
            let more = [end.temperature, end.vapour, end.height, end.margin];
            if names.contains(&quantity) || more.contains(&quantity) {
                return self.end(at, (end, k == 1), quantity);
            }
        }
        let (c, r, p) = at;
        let run = Id::Run(c, r);
        if quantity == &q::FALL {
            self.fall(run);
        } else if quantity == &q::LIFT {
            self.own("z₁", &q::HEIGHT_IN);
            self.own("z₂", &q::HEIGHT_OUT);
            self.mean_density(at);
            self.property("g", "acceleration of gravity", (Kind::Number, GRAVITY));
            self.is("ρ·g·(z₂ − z₁)");
        } else if quantity == &q::VELOCITY {
            self.result("m", run, &q::MASS_FLOW);
            self.own("D", &q::BORE_IN);
            self.mean_density(at);
            self.is(&format!("m/(ρ·{AREA})"));
        } else if quantity == &q::REYNOLDS {
            self.reynolds(at);
        } else if quantity == &q::RISE {
            self.own("T_in", &q::TEMPERATURE_IN);
            self.own("T_out", &q::TEMPERATURE_OUT);
            self.is("T_out − T_in");
        } else if quantity == &q::TEMPERATURE_IN || quantity == &q::TEMPERATURE_OUT {
            let flow = self.simulator.settled.flows[c][r];
            let inlet = (quantity == &q::TEMPERATURE_IN) == is_forward(flow);
            self.own("T", if inlet { &q::COOLANT_IN } else { &q::COOLANT_OUT });
            self.same();
        } else if quantity == &q::HEAT {
            self.heat(at);
        } else if quantity == &q::BAY_HEAT {
            self.number("T_bay", self.simulator.setup.model.bay.air, Kind::Temperature);
            self.own("T", &q::COOLANT_OUT);
        } else if quantity == &q::SHARE {
            self.share(at);
        } else if [&q::WAX, &q::OPENING, &q::ICE].contains(&quantity) {
            self.own("T", &q::COOLANT_IN);
            if quantity == &q::OPENING {
                self.own("T_wax", &q::WAX);
            }
        } else if self.simulator.setup.model.circuits[c].runs[r].parts[p].part.as_pump().is_some() {
            self.pump(at, quantity);
        } else {
            self.tank(c, quantity);
        }
    }

    /// The fall of a part is the sum of those of its laws.
    fn fall(&mut self, run: Id) {
        let laws = self.laws.iter().enumerate();
        let own = laws.filter(|(_, of)| of.id == self.id && of.law.times != 0.0);
        let falls: Vec<(usize, f64)> =
            own.map(|(k, of)| (k, of.law.times * of.law.result().unwrap_or(f64::NAN))).collect();
        // Laws of quotients say nothing where nothing flows.
        if falls.is_empty() || falls.iter().any(|(_, pa)| !pa.is_finite()) {
            self.result("m", run, &q::MASS_FLOW);
            return;
        }
        if let [(law, _)] = falls[..]
            && (self.laws[law].law.times - 1.0).abs() < f64::EPSILON
        {
            self.reason.comes = Comes::Law(law);
            return;
        }
        let mut sum = Vec::new();
        for (k, (law, pa)) in falls.into_iter().enumerate() {
            let sign = sub("Δp", k + 1);
            self.property(&sign, self.laws[law].law.card.name, (Kind::PressureDifference, pa));
            sum.push(sign);
        }
        self.is(&sum.join(" + "));
    }

    /// The density that the laws of a part see.
    fn mean_density(&mut self, (c, r, p): (usize, usize, usize)) {
        let index = self.simulator.setup.layout.run_parts[c][r] + p;
        let density = self.simulator.settled.parts[index].density;
        self.property("ρ", "density of the coolant in the part", (Kind::Density, density));
    }

    fn reynolds(&mut self, at @ (c, r, p): (usize, usize, usize)) {
        let setup = &self.simulator.setup;
        let index = setup.layout.run_parts[c][r] + p;
        let viscosity = self.simulator.settled.parts[index].viscosity;
        let flow = self.simulator.settled.flows[c][r];
        let tubes = setup.part(index).tube_reynolds(&setup.values, viscosity, flow).is_some();
        self.result("m", Id::Run(at.0, at.1), &q::MASS_FLOW);
        self.own("D", &q::BORE_IN);
        self.property("μ", "viscosity of the coolant in the part", (Kind::Viscosity, viscosity));
        if !tubes {
            self.is("4·|m|/(π·D·μ)");
        }
    }

    /// Heat into the coolant, from what is warmer.
    fn heat(&mut self, at: (usize, usize, usize)) {
        self.own("T_in", &q::TEMPERATURE_IN);
        match self
            .simulator
            .setup
            .part(self.simulator.setup.layout.run_parts[at.0][at.1] + at.2)
            .partner()
        {
            Some(HeatPartner::Body(body)) => {
                self.result("T_metal", Id::Body(body), &q::METAL_MEAN);
                self.result("q_in", Id::Body(body), &q::HEAT_IN);
            }
            Some(HeatPartner::Core(core)) => {
                self.result("q_air", Id::Core(core), &q::REJECTED);
            }
            None => {}
        }
    }

    /// The share of a pass in the flow of all passes of its body.
    fn share(&mut self, (c, r, _): (usize, usize, usize)) {
        let setup = &self.simulator.setup;
        let partner = |index: usize| setup.part(index).partner();
        let Id::Part(own_c, own_r, own_p) = self.id else { return };
        let own = partner(setup.layout.run_parts[own_c][own_r] + own_p);
        let runs: Vec<_> = (setup.layout.parts.iter().enumerate())
            .filter(|(index, _)| own.is_some() && partner(*index) == own)
            .map(|(_, cells)| (cells.at.0, cells.at.1))
            .collect();
        self.result("m", Id::Run(c, r), &q::MASS_FLOW);
        let mut all = Vec::new();
        for (k, (c, r)) in runs.into_iter().enumerate() {
            let sign = sub("m", k + 1);
            self.result(&sign, Id::Run(c, r), &q::MASS_FLOW);
            all.push(format!("|{sign}|"));
        }
        self.is(&format!("|m|/({})", all.join(" + ")));
    }

    /// One end of a part; `last` is its outlet.
    fn end(
        &mut self,
        at @ (c, r, p): (usize, usize, usize),
        (end, last): (&'static Ends, bool),
        quantity: &'static Quantity,
    ) {
        if quantity == end.total {
            self.total(at, last);
        } else if quantity == end.velocity {
            self.result("m", Id::Run(c, r), &q::MASS_FLOW);
            self.own("D", end.bore);
            self.end_density(c, end);
            self.is(&format!("m/(ρ·{AREA})"));
        } else if quantity == end.of_bore {
            self.own("p_t", end.total);
            self.own("v", end.velocity);
            self.end_density(c, end);
            self.is("p_t − 0.5·ρ·v²");
        } else if quantity == end.margin {
            self.own("p", end.of_bore);
            self.result("p_a", Id::Site, &q::AMBIENT);
            self.own("p_v", end.vapour);
            self.is("p + p_a − p_v");
        } else if quantity == end.vapour {
            self.own("T", end.temperature);
            self.share_of_glycol(c);
        } else if quantity == end.height {
            self.height(at, last);
        } else if quantity == end.bore {
            self.bore((c, r, p), last);
        } else {
            self.temperature(at, last);
        }
    }

    fn end_density(&mut self, c: usize, end: &Ends) {
        if let Some(temperature_k) = self.results.of(self.id, end.temperature) {
            self.density("ρ", c, temperature_k);
        }
    }

    fn total(&mut self, (c, r, p): (usize, usize, usize), last: bool) {
        if last {
            self.own("p", &q::TOTAL_IN);
            self.own("Δp", &q::FALL);
            self.own("Δp_z", &q::LIFT);
            return self.is("p − Δp − Δp_z");
        }
        if p > 0 {
            self.result("p", Id::Part(c, r, p - 1), &q::TOTAL_OUT);
            return self.same();
        }
        let from = self.simulator.setup.model.circuits[c].runs[r].from;
        self.result("p", Id::Junction(c, from), &q::JUNCTION_PRESSURE);
        let falls = self.result("Δp", Id::Run(c, r), &q::ENTRY_FALL);
        self.is(if falls { "p − Δp" } else { "p" });
    }

    fn height(&mut self, (c, r, p): (usize, usize, usize), last: bool) {
        let run = &self.simulator.setup.model.circuits[c].runs[r];
        if last {
            self.own("z", &q::HEIGHT_IN);
            if let Some(rise) = run.parts[p].part.rise() {
                self.number("Δz", rise, Kind::Length);
                return self.is("z + Δz");
            }
            return self.same();
        }
        if p > 0 {
            self.result("z", Id::Part(c, r, p - 1), &q::HEIGHT_OUT);
        } else {
            // Heights are counted from the reference; that of a junction may be known along another run.
            self.result("z", Id::Junction(c, run.from), &q::JUNCTION_HEIGHT);
        }
        self.same();
    }

    fn bore(&mut self, (c, r, p): (usize, usize, usize), last: bool) {
        let run = &self.simulator.setup.model.circuits[c].runs[r];
        let [inlet, outlet] = run.parts[p].part.bores();
        let own = if last { outlet.or(inlet) } else { inlet };
        if let Some(slot) = own {
            self.number("D", slot, Kind::Length);
        } else if last {
            self.own("D", &q::BORE_IN);
        } else if p > 0 {
            self.result("D", Id::Part(c, r, p - 1), &q::BORE_OUT);
        } else {
            self.number("D", run.bore, Kind::Length);
        }
        let quantity = if last { &q::BORE_OUT } else { &q::BORE_IN };
        let value = self.results.of(self.id, quantity);
        if self.reason.inputs.last().map(|input| input.value) == value {
            self.same();
        }
    }

    /// The coolant at one end comes from upstream.
    fn temperature(&mut self, (c, r, p): (usize, usize, usize), last: bool) {
        let run = &self.simulator.setup.model.circuits[c].runs[r];
        let forward = is_forward(self.simulator.settled.flows[c][r]);
        let cells = run.parts[p].part.cells() > 0;
        if forward == last {
            // It has gone through the part.
            self.own("T", if last { &q::COOLANT_IN } else { &q::COOLANT_OUT });
            if !cells {
                return self.same();
            }
            self.result("m", Id::Run(c, r), &q::MASS_FLOW);
            self.own("q", &q::HEAT);
            self.own("q_pump", &q::PUMP_HEAT);
        } else if forward {
            self.before((c, r, p), (p > 0).then(|| p - 1), (run.from, &q::COOLANT_OUT));
        } else {
            let next = (p + 1 < run.parts.len()).then_some(p + 1);
            self.before((c, r, p), next, (run.to, &q::COOLANT_IN));
        }
    }

    /// The coolant is that of the part before it, or of the junction.
    fn before(
        &mut self,
        (c, r, _): (usize, usize, usize),
        part: Option<usize>,
        (junction, end): (usize, &'static Quantity),
    ) {
        match part {
            Some(part) => self.result("T", Id::Part(c, r, part), end),
            None => self.result("T", Id::Junction(c, junction), &q::JUNCTION_TEMPERATURE),
        };
        self.same();
    }
}
