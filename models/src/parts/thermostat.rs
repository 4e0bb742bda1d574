//! A thermostat: a valve at the opening that it is given, or moved by wax.

use coolwright_solver::scalar::Scalar;

use super::own::{Feels, Motion, Moves, Own, OwnState, Seen};
use super::throttle::valve_law;
use super::{CoolantAt, Fall, FlowLaw, LawInputs, Part};
use crate::laws::card::Applied;
use crate::laws::restriction::{Inherent, opening_share, valve_fall};
use crate::laws::uncertainty::{Law, UncertaintyTerm, rated_uncertainty, valve_uncertainty};
use crate::results::quantities::{OPENING, WAX};
use crate::slots::{Slot, Values};

/// Wax in a capsule that lifts the valves of a thermostat. Its states are its temperature, K, and the lift
/// over full lift.
///
/// The two valves of one stem have the same element each, which sees the same coolant: so they move as one.
#[derive(Clone, Copy, Debug)]
pub struct Element {
    /// Temperature at which it begins to open as it warms, K.
    pub opens: Slot,
    /// By how much warmer it is full open, K.
    pub range: Slot,
    /// How much colder it has to get before it begins to shut again, K.
    pub hysteresis: Slot,
    /// Lag of the wax behind the coolant, s.
    pub lag: Slot,
    /// Flow of water at which it lags so, m³/s.
    pub lag_at: Slot,
    /// Where it sees the coolant.
    pub feels: Feels,
    /// Whether it moves the bypass valve here, which shuts with the lift.
    pub bypass: bool,
}

/// Time constant of the stem, s: it follows its wax as fast as that melts (common practice, no source).
const STEM_S: f64 = 1.0;

/// Density of the water of that flow, kg/m³, at 20 °C (IAPWS R6-95).
const WATER: f64 = 998.2;

/// Film at the wax in coolant that stands, over that at the rated flow (common practice, no source: free
/// convection in a housing).
const STILL: f64 = 0.1;

/// Exponent of the film at a cylinder across the flow: 0.618 from Re 4000 to 40 000 (Hilpert 1933, as in
/// Incropera and `DeWitt`, table 7.2, from memory).
const ACROSS: f64 = 0.618;

impl Element {
    /// Lift at a temperature as it warms, and shift K warmer: s(z) = 3 z² − 2 z³ with
    /// z = (T + shift − `T_opens`)/range held to 0…1. Wax melts over a range, so a lift begins and ends
    /// softly; the cubic is the simplest that does.
    fn lift<S: Scalar>(&self, values: &Values, wax_k: S, shift_k: f64) -> S {
        let [opens, range] = [self.opens, self.range].map(|slot| values.get(slot));
        let z = (wax_k + (shift_k - opens)) / range;
        let z = z.max(S::from(0.0)).min(S::from(1.0));
        z * z * (z * -2.0 + 3.0)
    }

    /// Lag of the wax, s: τ = `τ_rated`/√((m/`m_rated`)^(2n) + 0.1²), n = 0.618 of a cylinder across the flow.
    fn lag_s(&self, values: &Values, flow_kg_s: f64) -> f64 {
        let rated = values.get(self.lag_at) * WATER;
        let film = (flow_kg_s.abs() / rated).powf(ACROSS).hypot(STILL);
        values.get(self.lag) / film
    }
}

impl Moves for Element {
    /// dT/dt = (`T_coolant` − T)/τ; dx/dt = (max(u − x, 0) + min(d − x, 0))/`τ_stem`, u the lift as it warms and d ≥ u
    /// that as it cools: between the two the stem stays where it is, so its hysteresis is play. At rest it stands on
    /// the way up, as it does after warming.
    fn motion<S: Scalar>(&self, seen: &Seen<'_, S>, out: &mut Motion<'_, S>) {
        let [wax, lift] = [seen.own[0], seen.own[1]];
        out.rates[0] = (seen.temperature_k - wax) / self.lag_s(seen.values, seen.flow_kg_s);
        let up = self.lift(seen.values, wax, 0.0) - lift;
        out.rates[1] = if seen.at_rest || up.value() > 0.0 {
            up / STEM_S
        } else {
            let down = self.lift(seen.values, wax, seen.values.get(self.hysteresis)) - lift;
            down.min(S::from(0.0)) / STEM_S
        };
    }
}

static STATES: [OwnState; 2] = [
    OwnState { words: "wax", quantity: Some(&WAX), least: 0.0, scale: 1.0, moves_flows: false },
    OwnState {
        words: "opening",
        quantity: Some(&OPENING),
        least: 0.0,
        scale: 0.05,
        moves_flows: true,
    },
];

impl Own for Element {
    fn states(&self) -> &'static [OwnState] {
        &STATES
    }

    fn start(&self, values: &Values, temperature_k: f64, own: &mut [f64]) {
        own[0] = temperature_k;
        own[1] = self.lift(values, temperature_k, 0.0);
    }

    /// Full open: from there every way through the circuit is seen.
    fn start_of_rest(&self, values: &Values, own: &mut [f64]) {
        own[0] = values.get(self.opens) + values.get(self.range);
        own[1] = 1.0;
    }

    /// The lift of the valve here: a bypass shuts as the main valve opens.
    fn told(&self, state: usize, value: f64) -> f64 {
        if state == 1 && self.bypass { 1.0 - value } else { value }
    }

    fn feels(&self) -> Feels {
        self.feels
    }
}

/// What opens a thermostat.
#[derive(Clone, Copy, Debug)]
pub enum Opening {
    /// Lift over full lift as told, 0 shut to 1 full open.
    Told(Slot),
    /// Its wax.
    Wax(Element),
}

/// A thermostat's valve in a run: its main valve, or the bypass valve on the same stem. At the inlet or the
/// outlet of an engine, with a bypass that is shut as it opens or always open: each valve stands in a run of
/// its own.
#[derive(Debug)]
pub struct Thermostat {
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Fall at the rated flow when full open, Pa.
    pub fall: Slot,
    /// Rated flow, m³/s.
    pub flow: Slot,
    /// Density of the liquid of that fall, kg/m³.
    pub density: Slot,
    /// What opens it.
    pub open: Opening,
    /// Area of bleed hole and leaking seat over the full-open area; above 0.
    pub leak: Slot,
    /// Whether this is the bypass valve, which shuts with the lift.
    pub bypass: bool,
}

impl Thermostat {
    /// How far this valve is open: a bypass shuts as the main valve opens.
    fn open<S: Scalar>(&self, place: &LawInputs<'_, S>) -> S {
        let lift = match self.open {
            Opening::Told(slot) => place.get(slot),
            Opening::Wax(_) => place.own(1),
        };
        if self.bypass { -lift + 1.0 } else { lift }
    }

    /// Open area over the full-open area.
    fn area_share<S: Scalar>(&self, place: &LawInputs<'_, S>) -> S {
        opening_share(Inherent::Linear, self.open(place), place.get(self.leak))
    }
}

impl Fall for Thermostat {
    /// fall = Δ ρ/ρ₀ (Q/(a Q₀))²; a = a₀ + (1 − a₀) h: the curtain π d L of a poppet grows with its lift
    /// (geometry), and at equal fall the flow with the area. A bypass has 1 − h in the place of h.
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let [fall, at] = [self.fall, self.flow].map(|s| place.get(s));
        let fall = fall * (place.density / place.get(self.density));
        valve_fall(flow, place.density, fall, at, self.area_share(place))
    }
}

impl Part for Thermostat {
    fn word(&self) -> &'static str {
        "thermostat"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        let [fall, at] = [self.fall, self.flow].map(|s| place.get(s));
        let fall = fall * (place.density / place.get(self.density));
        let per_flow = 1.0 / (place.density * at * self.area_share(place));
        FlowLaw::Rated { per_flow, fall, exponent: 2.0 }
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [self.bore, self.bore]
    }

    fn own(&self) -> Option<&dyn Own> {
        match &self.open {
            Opening::Told(_) => None,
            Opening::Wax(element) => Some(element),
        }
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        let open = self.open(place);
        let [fall, at, density, leak] =
            [self.fall, self.flow, self.density, self.leak].map(|s| place.get(s));
        vec![valve_law(Inherent::Linear, place, flow_kg_s, [fall, at, density, open, leak])]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let share = self.area_share(place);
        let fall = self.fall(place, flow_kg_s);
        let over_rated = flow_kg_s / (place.density * place.get(self.flow));
        vec![
            UncertaintyTerm { law: Law::Valve, pa: valve_uncertainty(fall, share) },
            UncertaintyTerm { law: Law::Rated, pa: rated_uncertainty(fall, over_rated / share) },
        ]
    }
}
