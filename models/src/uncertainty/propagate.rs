//! The offsets of all laws of one circuit, and what each of them moves.

use std::collections::BTreeMap;

use coolwright_solver::scalar::Dual;

use super::{Entries, Leading, Moved};
use crate::circuit::{Arrangement, Circuit, CircuitLaws, End, Joint, PartState, ReferencePoint};
use crate::ids::Id;
use crate::laws::tee::tee_spread_pa;
use crate::laws::uncertainty::{
    Law, UncertaintyTerm, pump_curve_uncertainty, pump_label_uncertainty, rated_uncertainty,
};
use crate::parts::{LawInputs, Pump, bore_area};
use crate::results::quantities as q;
use crate::results::{Quantity, Recorder};
use crate::simulate::Simulator;

/// Share of a flow below which its uncertainty is rounding.
const LEAST_FLOW: f64 = 1e-9;
/// An uncertainty below this is not worth a word, Pa.
const LEAST_PA: f64 = 0.1;

/// Where along a run an offset stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Site {
    /// The tee at its start.
    Entry,
    /// One of its parts.
    Part(usize),
    /// The tee at its end.
    Exit,
}

/// An offset of one law: the fall of a run is larger by it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Contribution {
    law: Law,
    run: usize,
    site: Site,
    /// Pa, with the sign of a larger loss in the direction of the flow.
    pa: f64,
}

/// Contributions to one number, put together.
#[derive(Clone, Debug, Default)]
pub(super) struct Spread {
    by_law: BTreeMap<Law, f64>,
    squares: f64,
    largest: Option<(usize, f64)>,
}

impl Spread {
    fn take(&mut self, index: usize, law: Law, change: f64) {
        *self.by_law.entry(law).or_default() += change;
        self.squares += change * change;
        if self.largest.is_none_or(|(_, most)| change.abs() > most.abs()) {
            self.largest = Some((index, change));
        }
    }

    /// Adds what another circuit contributes.
    pub(super) fn join(&mut self, other: &Self) {
        for (law, change) in &other.by_law {
            *self.by_law.entry(*law).or_default() += change;
        }
        self.squares += other.squares;
    }

    /// u = √(½ Σ over laws (Σ d)² + ½ Σ d²).
    pub(super) fn half_width(&self) -> f64 {
        let common: f64 = self.by_law.values().map(|sum| sum * sum).sum();
        (0.5 * common + 0.5 * self.squares).sqrt()
    }
}

/// The linear response of a circuit to an offset of 1 Pa in the fall of each run.
#[derive(Debug, Default)]
struct Response {
    /// Change of the flow of each run, kg/s: by the run with the offset, then by run.
    flows: Vec<Vec<f64>>,
    /// Change of the total pressure at each junction, Pa.
    pressures: Vec<Vec<f64>>,
}

/// A circuit with the offsets of its laws and what they move.
#[derive(Debug)]
pub(super) struct Propagated<'m> {
    circuit: &'m Circuit,
    /// Its place among the model's circuits.
    c: usize,
    contributions: Vec<Contribution>,
    response: Option<Response>,
    /// Slope of the fall of each part, run after run, Pa·s/kg.
    slopes: Vec<Vec<f64>>,
    /// Slopes of the fall on leaving the tee at the start of each run, by run.
    entry_slopes: Vec<Vec<(usize, f64)>>,
    /// Flow of each run, kg/s, density and area at the inlet of each of its pumps.
    flows: Vec<f64>,
    parts: Vec<Vec<PartState>>,
    /// Slope of the fall from the inlet of the tank at the reference into it, Pa·s/kg.
    into_tank: f64,
    /// d static / d flow at both ends of each part, Pa·s/kg.
    heads: Vec<Vec<[f64; 2]>>,
}

impl<'m> Propagated<'m> {
    /// Collects the offsets of a circuit of a model that has been evaluated; `carry` asks for what they
    /// move as well.
    pub(super) fn of(simulator: &mut Simulator<'m>, c: usize, carry: bool) -> Self {
        let circuit = &simulator.setup.model.circuits[c];
        let flows = simulator.settled.flows[c].clone();
        let moving = flows.iter().any(|flow| *flow != 0.0);
        let response = if carry && moving { respond(simulator, c) } else { None };
        let mut propagated = Self {
            circuit,
            c,
            contributions: Vec::new(),
            response,
            slopes: Vec::new(),
            entry_slopes: vec![Vec::new(); circuit.runs.len()],
            flows,
            parts: Vec::new(),
            into_tank: 0.0,
            heads: Vec::new(),
        };
        for run in 0..circuit.runs.len() {
            propagated.take_run(simulator, c, run);
        }
        propagated.take_tees(simulator, c);
        propagated.take_reference(simulator, c);
        propagated
    }

    /// A tank at the reference keeps its pressure inside, not at its inlet.
    fn take_reference(&mut self, simulator: &Simulator<'_>, c: usize) {
        let Some(reference) = self.circuit.reference else { return };
        let ReferencePoint::Part(run, part) = reference.at else { return };
        let Some(tank) = self.circuit.runs[run].parts[part].part.as_tank() else { return };
        let setup = &simulator.setup;
        let state = simulator.settled.parts[setup.layout.run_parts[c][run] + part];
        let (density, viscosity) = (state.density, state.viscosity);
        let place = LawInputs { values: setup.values.reader(), density, viscosity };
        let flow = self.flows[run];
        if flow != 0.0 {
            // The loss goes with the square of the flow.
            self.into_tank = 2.0 * tank.fall_inwards(&place, flow) / flow;
        }
    }

    /// Whether the offsets have been carried through the circuit.
    pub(super) fn carried(&self) -> bool {
        self.response.is_some()
    }

    /// The offsets, slopes and velocity heads of a run's parts.
    fn take_run(&mut self, simulator: &Simulator<'_>, c: usize, run: usize) {
        let setup = &simulator.setup;
        let first = setup.layout.run_parts[c][run];
        let flow = self.flows[run];
        let spec = &self.circuit.runs[run];
        let bores = spec.part_bores();
        let (mut slopes, mut states, mut heads) = (Vec::new(), Vec::new(), Vec::new());
        for (k, placed) in spec.parts.iter().enumerate() {
            let state = simulator.settled.parts[first + k];
            let place = LawInputs {
                values: setup.values.reader(),
                density: Dual::from(state.density),
                viscosity: Dual::from(state.viscosity),
            };
            let fall = placed.part.fall_and_slope(&place, Dual::variable(flow));
            let place = LawInputs {
                values: setup.values.reader(),
                density: state.density,
                viscosity: state.viscosity,
            };
            let terms = match placed.part.as_pump() {
                Some(pump) => {
                    let shut_off = -placed.part.fall_at(&place, 0.0);
                    vec![pump_uncertainty(pump, -fall.value, flow * fall.slope(), shut_off)]
                }
                None => placed.part.uncertainty_terms(&place, flow),
            };
            let sign = if placed.part.as_pump().is_some() { 1.0 } else { flow.signum() };
            for UncertaintyTerm { law, pa } in terms.into_iter().filter(|term| term.pa != 0.0) {
                let site = Site::Part(k);
                self.contributions.push(Contribution { law, run, site, pa: pa * sign });
            }
            slopes.push(fall.slope());
            states.push(state);
            heads.push(bores[k].map(|bore| {
                let area = bore_area(setup.values.get(bore));
                -flow / (state.density * area * area)
            }));
        }
        self.slopes.push(slopes);
        self.parts.push(states);
        self.heads.push(heads);
    }

    /// The offsets of the tees, and their slopes at the starts of runs.
    fn take_tees(&mut self, simulator: &Simulator<'_>, c: usize) {
        let setup = &simulator.setup;
        let laws = CircuitLaws {
            circuit: self.circuit,
            values: &setup.values,
            parts: &[],
            junction_density: &simulator.settled.junction_density[c],
            couplings: &[],
        };
        for (j, junction) in self.circuit.junctions.iter().enumerate() {
            let Joint::Tee { legs, angle, .. } = &junction.joint else { continue };
            let inward = legs.map(|leg| match leg.end {
                End::To => self.flows[leg.run],
                End::From => -self.flows[leg.run],
            });
            let areas = legs.map(|leg| bore_area(setup.values.get(leg.bore)));
            let density = simulator.settled.junction_density[c][j];
            let spread = tee_spread_pa(inward, areas, setup.values.get(*angle), density);
            for (leg, pa) in legs.iter().zip(spread).filter(|(_, pa)| *pa != 0.0) {
                let (site, pa) = match leg.end {
                    End::To => (Site::Exit, pa),
                    End::From => (Site::Entry, -pa),
                };
                self.contributions.push(Contribution { law: Law::Tee, run: leg.run, site, pa });
            }
            for (leg, slopes) in legs.iter().zip(laws.tee_slopes(j, &self.flows)) {
                if leg.end == End::From {
                    self.entry_slopes[leg.run] =
                        legs.iter().map(|leg| leg.run).zip(slopes).collect();
                }
            }
        }
    }

    /// Puts together what all offsets change a number by.
    pub(super) fn spread(&self, change: impl Fn(&Contribution) -> f64) -> Spread {
        let mut spread = Spread::default();
        for (index, contribution) in self.contributions.iter().enumerate() {
            spread.take(index, contribution.law, change(contribution));
        }
        spread
    }

    /// Change of a run's mass flow by an offset, kg/s.
    pub(super) fn flow_change(&self, of: &Contribution, run: usize) -> f64 {
        self.response.as_ref().map_or(0.0, |r| r.flows[of.run][run] * of.pa)
    }

    /// Change of a junction's solved total pressure by an offset, Pa.
    fn solved_change(&self, of: &Contribution, junction: usize) -> f64 {
        self.response.as_ref().map_or(0.0, |r| r.pressures[of.run][junction] * of.pa)
    }

    /// Change of the solved total pressure at the inlet of part `k` of a run by an offset, Pa.
    fn along(&self, of: &Contribution, run: usize, k: usize) -> f64 {
        let mut change = self.solved_change(of, self.circuit.runs[run].from);
        for &(leg, slope) in &self.entry_slopes[run] {
            change -= slope * self.flow_change(of, leg);
        }
        let before: f64 = self.slopes[run][..k].iter().sum();
        change -= before * self.flow_change(of, run);
        let own = match of.site {
            Site::Entry => true,
            Site::Part(part) => part < k,
            Site::Exit => false,
        };
        if of.run == run && own { change - of.pa } else { change }
    }

    /// Change of what is added to all solved pressures so that the reference keeps its own, Pa.
    fn shift(&self, of: &Contribution) -> f64 {
        match self.circuit.reference.map(|reference| reference.at) {
            None => 0.0,
            Some(ReferencePoint::Junction(junction)) => -self.solved_change(of, junction),
            Some(ReferencePoint::Part(run, part)) => {
                self.into_tank * self.flow_change(of, run) - self.along(of, run, part)
            }
        }
    }

    /// Change of the static pressure at the inlet of a part, in the direction of its flow, Pa.
    fn static_change(&self, of: &Contribution, run: usize, part: usize) -> f64 {
        let end = usize::from(self.flows[run] < 0.0);
        let head = self.heads[run][part][end] * self.flow_change(of, run);
        self.along(of, run, part + end) + head + self.shift(of)
    }

    /// What each offset alone moves.
    pub(super) fn moved(&self) -> Vec<Moved> {
        if !self.carried() {
            return Vec::new();
        }
        let of = |contribution: &Contribution| {
            let mut pump_inlets = Vec::new();
            for (r, run) in self.circuit.runs.iter().enumerate() {
                for (k, placed) in run.parts.iter().enumerate() {
                    if placed.part.as_pump().is_some() {
                        let id = Id::Part(self.c, r, k);
                        pump_inlets.push((id, self.static_change(contribution, r, k)));
                    }
                }
            }
            let shift = self.shift(contribution);
            let pressure = |j| self.solved_change(contribution, j) + shift;
            Moved {
                from: self.from(contribution),
                law: contribution.law,
                run: contribution.run,
                pa: contribution.pa,
                flows: (0..self.flows.len()).map(|r| self.flow_change(contribution, r)).collect(),
                pressures: (0..self.circuit.junctions.len()).map(pressure).collect(),
                pump_inlets,
            }
        };
        self.contributions.iter().map(of).collect()
    }

    /// Records what each part and each tee states of its own fall.
    pub(super) fn record_own(&self, to: &mut Entries<'_>) {
        for (r, run) in self.circuit.runs.iter().enumerate() {
            let own = |site: Site| {
                let here = self.contributions.iter().filter(|c| c.run == r && c.site == site);
                here.map(|c| c.pa * c.pa).sum::<f64>().sqrt()
            };
            for (site, quantity) in
                [(Site::Entry, &q::ENTRY_FALL_UNCERTAINTY), (Site::Exit, &q::EXIT_FALL_UNCERTAINTY)]
            {
                let pa = own(site);
                if pa > 0.0 {
                    to.put(Id::Run(self.c, r), quantity, pa);
                }
            }
            for k in 0..run.parts.len() {
                to.put(Id::Part(self.c, r, k), &q::FALL_UNCERTAINTY, own(Site::Part(k)));
            }
        }
    }

    /// Records the uncertainty of flows and pressures, and what leads.
    pub(super) fn record(&self, to: &mut Entries<'_>, leading: &mut Vec<Leading>) {
        let before = leading.len();
        let fullest = (0..self.flows.len())
            .max_by(|a, b| self.flows[*a].abs().total_cmp(&self.flows[*b].abs()).then(b.cmp(a)));
        for r in 0..self.circuit.runs.len() {
            let Some(density) = self.parts[r].first().map(|state| state.density) else { continue };
            let spread = self.spread(|of| self.flow_change(of, r) / density);
            let id = Id::Run(self.c, r);
            to.put(id, &q::FLOW_UNCERTAINTY, spread.half_width());
            let moves = spread.half_width() * density > LEAST_FLOW * self.flows[r].abs();
            if fullest == Some(r) && moves {
                leading.extend(self.leading((id, &q::FLOW), &spread));
            }
        }
        let given = leading.len() == before;
        let mut least_sure: Option<(Id, Spread)> = None;
        for j in 0..self.circuit.junctions.len() {
            let spread = self.spread(|of| self.solved_change(of, j) + self.shift(of));
            let id = Id::Junction(self.c, j);
            let pa = spread.half_width();
            to.put(id, &q::PRESSURE_UNCERTAINTY, pa);
            if pa > least_sure.as_ref().map_or(LEAST_PA, |(_, most)| most.half_width()) {
                least_sure = Some((id, spread));
            }
        }
        // Where the flow is given, pressures are what is uncertain.
        if let Some((id, spread)) = least_sure.filter(|_| given) {
            leading.extend(self.leading((id, &q::JUNCTION_PRESSURE), &spread));
        }
        self.record_groups(to);
        for (r, run) in self.circuit.runs.iter().enumerate() {
            for (k, placed) in run.parts.iter().enumerate() {
                if placed.part.as_pump().is_none() {
                    continue;
                }
                let spread = self.spread(|of| self.static_change(of, r, k));
                let id = Id::Part(self.c, r, k);
                let flow = self.spread(|of| self.volume_change(of, r, k));
                to.put(id, &q::FLOW_UNCERTAINTY, flow.half_width());
                to.put(id, &q::PRESSURE_IN_UNCERTAINTY, spread.half_width());
                if spread.half_width() > LEAST_PA {
                    leading.extend(self.leading((id, &q::PRESSURE_IN), &spread));
                }
            }
        }
    }

    /// Change of the volume flow through a part, m³/s.
    fn volume_change(&self, of: &Contribution, run: usize, part: usize) -> f64 {
        self.flow_change(of, run) / self.parts[run][part].density
    }

    /// Records the uncertainty of the flow through several pumps under one name.
    fn record_groups(&self, to: &mut Entries<'_>) {
        for (g, group) in self.circuit.groups.iter().enumerate() {
            let units = match group.arrangement {
                Arrangement::Series => &group.units[..1],
                Arrangement::Parallel => &group.units[..],
            };
            let change = |of: &Contribution| {
                units.iter().map(|&(run, part)| self.volume_change(of, run, part)).sum()
            };
            let flow = self.spread(change).half_width();
            to.put(Id::Group(self.c, g), &q::FLOW_UNCERTAINTY, flow);
        }
    }

    fn leading(&self, of: (Id, &'static Quantity), spread: &Spread) -> Option<Leading> {
        let (index, alone) = spread.largest?;
        let contribution = &self.contributions[index];
        let from = self.from(contribution);
        Some(Leading { of, from, law: contribution.law, alone: alone.abs() })
    }

    /// What an offset belongs to.
    fn from(&self, contribution: &Contribution) -> Id {
        let run = &self.circuit.runs[contribution.run];
        match contribution.site {
            Site::Entry => Id::Junction(self.c, run.from),
            Site::Part(k) => Id::Part(self.c, contribution.run, k),
            Site::Exit => Id::Junction(self.c, run.to),
        }
    }
}

/// What a pump's head may be off by. `through_slope` is flow × d fall / d flow, `shut_off` the head at
/// no flow, both at its speed, Pa. A pump that does not turn is a part with one rated point.
fn pump_uncertainty(pump: &Pump, head: f64, through_slope: f64, shut_off: f64) -> UncertaintyTerm {
    if shut_off <= 0.0 {
        return UncertaintyTerm {
            law: Law::Rated,
            pa: rated_uncertainty(head, std::f64::consts::E),
        };
    }
    if pump.by_label {
        let over_free = (1.0 - head / shut_off).max(0.0).sqrt();
        return UncertaintyTerm {
            law: Law::PumpLabel,
            pa: pump_label_uncertainty(shut_off, over_free),
        };
    }
    UncertaintyTerm { law: Law::PumpCurve, pa: pump_curve_uncertainty(head, through_slope) }
}

/// The response of a circuit to 1 Pa in each run; `None` where its flows are not determined.
fn respond(simulator: &mut Simulator<'_>, c: usize) -> Option<Response> {
    let circuit = &simulator.setup.model.circuits[c];
    let (runs, junctions) = (circuit.runs.len(), circuit.junctions.len());
    let mut response = Response::default();
    let mut rates = vec![0.0; runs];
    for run in 0..runs {
        rates.fill(0.0);
        rates[run] = 1.0;
        let (mut flows, mut pressures) = (vec![0.0; runs], vec![0.0; junctions]);
        simulator.settled.respond(c, &rates, &mut flows, &mut pressures).ok()?;
        response.flows.push(flows);
        response.pressures.push(pressures);
    }
    Some(response)
}
