//! The laws of a model that has been evaluated, each with what it may be off by there.

use coolwright_solver::scalar::Dual;

use crate::air::{Built, CoreRating, Element, Met, Outside, Resistances};
use crate::circuit::{End, Joint, Leg};
use crate::fluids::Base;
use crate::fluids::glycol::SOURCE_K;
use crate::ids::Id;
use crate::laws::tee::{plain_joint_spread_pa, tee_spread_pa};
use crate::laws::uncertainty::{
    AIR_FALL, BAY, BOILING, CHARGE_RATING, CORE_RATING, CRITICAL, HEAT, Law, MIXTURE_BEYOND,
    MIXTURE_HEAT_CAPACITY, MIXTURE_VISCOSITY, UncertaintyTerm, fan_curve_uncertainty, film_share,
    fin_fall_share, fin_film_share, pump_curve_uncertainty, pump_label_uncertainty,
    rated_uncertainty,
};
use crate::parts::{CoolantAt, HeatPartner, LawInputs, Pump, bore_area};
use crate::results::pieces;
use crate::simulate::{ExposedOf, Loss, Offset, Setup, Simulator, inside_met};

/// One law at one place, and what it may be off by.
#[derive(Clone, Copy, Debug)]
pub struct Term {
    /// What the law belongs to.
    pub from: Id,
    /// The law.
    pub law: Law,
    /// What it may be off by.
    pub offset: Offset,
}

impl Term {
    /// Whether another term is the same law at the same place, at another moment.
    pub fn is_same_law(&self, other: &Self) -> bool {
        let place = |term: &Self| match term.offset {
            Offset::Tee { run, end, .. } => (run, end),
            Offset::Lane { path, lane, .. } => (path, lane),
            Offset::Viscosity { .. } => (1, 0),
            _ => (0, 0),
        };
        (self.from, self.law, place(self)) == (other.from, other.law, place(other))
    }
}

/// All terms of a model, at the flows and temperatures of its last evaluation.
pub(crate) fn terms(simulator: &Simulator<'_>) -> Vec<Term> {
    let mut terms = Vec::new();
    for part in 0..simulator.setup.layout.parts.len() {
        falls_of_part(simulator, part, &mut terms);
    }
    for circuit in 0..simulator.setup.model.circuits.len() {
        joints(simulator, circuit, &mut terms);
    }
    for part in 0..simulator.setup.layout.parts.len() {
        film(simulator, part, &mut terms);
    }
    for path in 0..simulator.setup.model.air_paths.len() {
        air(simulator, path, &mut terms);
    }
    for circuit in 0..simulator.setup.model.circuits.len() {
        mixture(simulator, circuit, &mut terms);
    }
    if let Some(exposed) = simulator.setup.layout.exposed.first() {
        let from = match exposed.of {
            ExposedOf::Part(index) => {
                let (c, r, p) = simulator.setup.layout.parts[index].at;
                Id::Part(c, r, p)
            }
            ExposedOf::Body(body) => Id::Body(body),
        };
        terms.push(Term { from, law: Law::Bay, offset: Offset::Bay { share: BAY } });
    }
    for (body, heat_w) in simulator.rates.border.bodies.iter().enumerate() {
        let spec = &simulator.setup.model.bodies[body];
        if spec.wall.is_some() {
            let offset = Offset::Critical { body, share: CRITICAL };
            terms.push(Term { from: Id::Body(body), law: Law::Critical, offset });
        }
        if pieces(simulator, body).any(|piece| piece.is_boiling()) {
            let offset = Offset::Boiling { body, share: BOILING };
            terms.push(Term { from: Id::Body(body), law: Law::Boiling, offset });
        }
        if spec.charge.is_some() {
            let offset = Offset::Charge { body, share: CHARGE_RATING };
            terms.push(Term { from: Id::Body(body), law: Law::ChargeRating, offset });
        } else if *heat_w != 0.0 {
            let offset = Offset::Heat { body, share: HEAT };
            terms.push(Term { from: Id::Body(body), law: Law::Heat, offset });
        }
    }
    terms
}

/// What the properties of a mixture may be off by, beyond the temperatures of their source too. Water is known far better, and
/// a liquid by points is as it is told.
fn mixture(simulator: &Simulator<'_>, circuit: usize, terms: &mut Vec<Term>) {
    let setup = &simulator.setup;
    if !matches!(setup.prepared.coolants[circuit].base(), Some(base) if base != Base::Water) {
        return;
    }
    let parts = setup.layout.circuit_parts[circuit]..setup.layout.circuit_parts[circuit + 1];
    let parts = simulator.settled.parts[parts].iter();
    let hottest = parts.fold(0.0_f64, |most, part| most.max(part.temperature_k));
    let times = if hottest > SOURCE_K.1 { MIXTURE_BEYOND } else { 1.0 };
    let (heat, viscosity) = (times * MIXTURE_HEAT_CAPACITY, times * MIXTURE_VISCOSITY);
    let from = Id::Circuit(circuit);
    for offset in [
        Offset::HeatCapacity { circuit, share: heat },
        Offset::Viscosity { circuit, share: viscosity },
    ] {
        terms.push(Term { from, law: Law::Mixture, offset });
    }
}

/// What the fall of a part may be off by, along its run.
fn falls_of_part(simulator: &Simulator<'_>, part: usize, terms: &mut Vec<Term>) {
    let setup = &simulator.setup;
    let (c, r, p) = setup.layout.parts[part].at;
    let placed = &setup.model.circuits[c].runs[r].parts[p];
    let flow = simulator.settled.flows[c][r];
    let state = simulator.settled.parts[part];
    let values = setup.values.reader().owning(state.own);
    let place = LawInputs { values, density: state.density, viscosity: state.viscosity };
    let (found, sign, of) = if let Some(pump) = placed.part.as_pump() {
        let values = setup.values.reader().owning(state.own);
        let place = LawInputs {
            values,
            density: Dual::from(state.density),
            viscosity: Dual::from(state.viscosity),
        };
        let fall = placed.part.fall_and_slope(&place, Dual::variable(flow));
        let place = LawInputs {
            values: setup.values.reader().owning(state.own),
            density: state.density,
            viscosity: state.viscosity,
        };
        let shut_off = -placed.part.fall_at(&place, 0.0);
        (vec![pump_term(pump, -fall.value, flow * fall.slope(), shut_off)], 1.0, None)
    } else {
        let fall = placed.part.fall_at(&place, flow);
        // What moves by itself has another law a little further on: a share of a valve that is all but shut
        // would be a pump for one that opens.
        let moves = placed.part.own().is_some_and(|own| own.states().iter().any(|s| s.moves_flows));
        let of = Some(Loss { flow, fall }).filter(|_| flow != 0.0 && !moves);
        (placed.part.uncertainty_terms(&place, flow), flow.signum(), of)
    };
    for UncertaintyTerm { law, pa } in found.into_iter().filter(|term| term.pa != 0.0) {
        let offset = Offset::Part { part, pa: pa * sign, of };
        terms.push(Term { from: Id::Part(c, r, p), law, offset });
    }
}

/// What a pump's head may be off by. `through_slope` is flow × d fall / d flow, `shut_off` the head at
/// no flow, both at its speed, Pa. A pump that does not turn is a part with one rated point.
fn pump_term(pump: &Pump, head: f64, through_slope: f64, shut_off: f64) -> UncertaintyTerm {
    if shut_off <= 0.0 {
        let pa = rated_uncertainty(head, std::f64::consts::E);
        return UncertaintyTerm { law: Law::Rated, pa };
    }
    if pump.by_label {
        let over_free = (1.0 - head / shut_off).max(0.0).sqrt();
        let pa = pump_label_uncertainty(shut_off, over_free);
        return UncertaintyTerm { law: Law::PumpLabel, pa };
    }
    UncertaintyTerm { law: Law::PumpCurve, pa: pump_curve_uncertainty(head, through_slope) }
}

/// What the tees and the plain joints of a circuit may be off by, leg by leg.
fn joints(simulator: &Simulator<'_>, c: usize, terms: &mut Vec<Term>) {
    let setup = &simulator.setup;
    let circuit = &setup.model.circuits[c];
    for (j, (junction, all)) in circuit.junctions.iter().zip(circuit.legs()).enumerate() {
        let (law, legs) = match &junction.joint {
            Joint::Tee { legs, .. } => (Law::Tee, legs.to_vec()),
            Joint::Plain { known: false } => (Law::PlainJoint, all),
            _ => continue,
        };
        let inward = |leg: &Leg| match leg.end {
            End::To => simulator.settled.flows[c][leg.run],
            End::From => -simulator.settled.flows[c][leg.run],
        };
        let inward: Vec<f64> = legs.iter().map(inward).collect();
        let areas: Vec<f64> =
            legs.iter().map(|leg| bore_area(setup.values.get(leg.bore))).collect();
        let density = simulator.settled.junction_density[c][j];
        let spread = match (&junction.joint, &inward[..], &areas[..]) {
            (Joint::Tee { angle, .. }, &[a, b, side], &[of_a, of_b, of_side]) => {
                let angle = setup.values.get(*angle);
                tee_spread_pa([a, b, side], [of_a, of_b, of_side], angle, density).to_vec()
            }
            _ => plain_joint_spread_pa(&inward, &areas, density),
        };
        for (leg, pa) in legs.iter().zip(spread).filter(|(_, pa)| *pa != 0.0) {
            let (end, pa) = match leg.end {
                End::To => (1, pa),
                End::From => (0, -pa),
            };
            let offset = Offset::Tee { circuit: c, run: leg.run, end, pa };
            terms.push(Term { from: Id::Junction(c, j), law, offset });
        }
    }
}

/// What the film of a pass may be off by.
fn film(simulator: &Simulator<'_>, part: usize, terms: &mut Vec<Term>) {
    let setup = &simulator.setup;
    let Some(HeatPartner::Body(_)) = setup.part(part).partner() else { return };
    let (c, r, p) = setup.layout.parts[part].at;
    let flow = simulator.settled.flows[c][r];
    let coolant =
        CoolantAt::of(&setup.prepared.coolants[c], simulator.settled.parts[part].temperature_k);
    let share = setup.part(part).film_uncertainty(&setup.values, &coolant, flow);
    if share > 0.0 {
        let offset = Offset::Film { part, share };
        terms.push(Term { from: Id::Part(c, r, p), law: Law::Film, offset });
    }
}

/// Reynolds number of the air in a core that is known by its dimensions, on its louvre pitch; infinite between plain fins.
fn air_reynolds(simulator: &Simulator<'_>, built: &Built, met: &Met) -> f64 {
    let Setup { model, values, prepared, .. } = &simulator.setup;
    if built.fins.louvres.is_none() {
        return f64::INFINITY;
    }
    let open = model.cores[met.core].open(values);
    let flux = met.flow.abs() / open / built.sizes(values).free;
    flux * built.air_length(values) / prepared.air.viscosity(met.film_k())
}

/// What the heat of a core may be off by, as a share of its conductance, and whose error that is. Of one that is known by
/// its dimensions, the films on both sides each count with their share of its resistance.
fn core_heat(simulator: &Simulator<'_>, met: &Met) -> (Law, f64) {
    let Setup { model, values, prepared, .. } = &simulator.setup;
    let core = &model.cores[met.core];
    let CoreRating::Built(built) = &core.rating else { return (Law::CoreRating, CORE_RATING) };
    let inside = inside_met(simulator, met);
    let outside = Outside { flow: met.flow, air: &prepared.air, film_k: met.film_k() };
    let Resistances { film, wall, air } =
        prepared.cores[met.core].resistances(values, core, &inside, &outside);
    let whole = film + wall + air;
    let of_air = fin_film_share(air_reynolds(simulator, built, met)) * air / whole;
    let reynolds = built.tube_reynolds(values, inside.flow, inside.coolant[0]);
    (Law::CoreDimensions, of_air.hypot(film_share(reynolds) * film / whole))
}

/// What the fall of the air through a core may be off by, as a share of it.
fn fall_share(simulator: &Simulator<'_>, met: &Met) -> f64 {
    let core = &simulator.setup.model.cores[met.core];
    match (&core.rating, core.fall_of_fins) {
        (CoreRating::Built(built), Some(_)) => fin_fall_share(air_reynolds(simulator, built, met)),
        _ => AIR_FALL,
    }
}

/// What the cores and fans of an air path may be off by.
fn air(simulator: &Simulator<'_>, path: usize, terms: &mut Vec<Term>) {
    let setup = &simulator.setup;
    let spec = &setup.model.air_paths[path];
    let gas = &simulator.settled.gases[path];
    for met in gas.cores() {
        let from = Id::Core(met.core);
        let (law, share) = core_heat(simulator, met);
        terms.push(Term { from, law, offset: Offset::Core { core: met.core, share } });
    }
    for (l, lane) in spec.lanes.iter().enumerate() {
        let flow = gas.flows()[l];
        for element in &lane.elements {
            let (from, law, pa) = match *element {
                Element::Core(k) => {
                    let met = &gas.cores()[k];
                    (Id::Core(met.core), Law::AirFall, fall_share(simulator, met) * met.fall_pa)
                }
                Element::Fan(fan) => {
                    let known = &spec.fans[fan];
                    let at = gas.fans()[fan];
                    let values = setup.values.reader();
                    let fall = known.fall(&values, at.density, at.flow);
                    let values = setup.values.reader();
                    let slope = known
                        .fall(&values, Dual::from(at.density), Dual::variable(at.flow))
                        .slope();
                    (Id::Fan(path, fan), Law::FanCurve, fan_curve_uncertainty(fall, flow * slope))
                }
                Element::Loss { .. } | Element::Ram { .. } => continue,
            };
            if pa != 0.0 && flow != 0.0 {
                let offset = Offset::Lane { path, lane: l, pa };
                terms.push(Term { from, law, offset });
            }
        }
    }
}
