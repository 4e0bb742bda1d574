//! The parts of a run: hoses, pumps, passes, cores, tanks and what stands between them.
//!
//! A kind of part is one file here. It writes its law once, as [`Fall`], and says with [`Part`]
//! what else it is: what coolant it holds, what heat it makes, what it exchanges heat with. Nothing
//! outside its file asks what kind it is.

mod barb;
mod bore_change;
mod check_valve;
mod core_tubes;
mod flow_law;
mod hose;
mod ice;
mod meter;
mod own;
mod pass;
mod pump;
mod rated;
mod reducer;
mod restrictor;
mod tank;
mod thermostat;
mod throttle;

pub use barb::Barb;
pub use bore_change::BoreChange;
pub use check_valve::CheckValve;
pub use core_tubes::{CORE_CELLS, CoreFall, CoreTubes, TubesFall};
pub use flow_law::FlowLaw;
pub use hose::{Bend, Corner, Hose};
pub use ice::{HEAT_OF_MELTING, ICE_DENSITY, Ice, WATER_DENSITY};
pub use meter::Meter;
pub use own::{Feels, MOST_OWN, Motion, Moves, MovesAt, Own, OwnState, Seen};
pub(crate) use pass::FilmChannel;
pub use pass::{Channel, Film, PASS_CELLS, Pass, RatedFilm, Tubes};
pub use pump::{
    Duty, ElectricDrive, EngineDrive, Pump, PumpDrive, PumpPower, SpeedHeld, Viscous,
    ViscousFactors,
};
pub use rated::{Rated, RatedFall, RatedLiquid};
pub use reducer::Reducer;
pub use restrictor::Restrictor;
pub use tank::{Tank, TankPort, TankRoom};
pub use thermostat::{Element, Opening, Thermostat};
pub use throttle::Throttle;

use std::fmt::Debug;

use coolwright_solver::scalar::{Dual, Scalar};

use crate::fluids::Coolant;
pub use crate::laws::GRAVITY;
use crate::laws::card::Applied;
use crate::laws::uncertainty::UncertaintyTerm;
use crate::skin::Skin;
use crate::slots::{Reader, Slot, Values};

/// What a law sees where its part stands: the numbers of the model and the coolant there.
#[derive(Clone, Copy, Debug)]
pub struct LawInputs<'a, S> {
    /// The numbers of the model.
    pub values: Reader<'a, S>,
    /// Density of the coolant, kg/m³.
    pub density: S,
    /// Dynamic viscosity of the coolant, Pa·s.
    pub viscosity: S,
}

impl<S: Scalar> LawInputs<'_, S> {
    /// The number in a slot.
    pub fn get(&self, slot: Slot) -> S {
        self.values.get(slot)
    }

    /// A state of the part's own ([`Own`]).
    pub fn own(&self, index: usize) -> S {
        S::from(self.values.own(index))
    }
}

/// The pressure law of a part, written once over any scalar.
pub trait Fall {
    /// Fall of total pressure from the part's inlet to its outlet, in Pa, for a mass flow in kg/s
    /// counted along the run. Height is not part of it. Defined for every flow, reversed too.
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S;
}

/// The pressure law of a part behind a pointer: with and without the slope.
pub trait FallAt {
    /// The fall in Pa at a mass flow in kg/s.
    fn fall_at(&self, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> f64;
    /// The fall with its derivative.
    fn fall_and_slope(&self, place: &LawInputs<'_, Dual<1>>, flow: Dual<1>) -> Dual<1>;
}

impl<T: Fall> FallAt for T {
    fn fall_at(&self, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> f64 {
        self.fall(place, flow_kg_s)
    }

    fn fall_and_slope(&self, place: &LawInputs<'_, Dual<1>>, flow: Dual<1>) -> Dual<1> {
        self.fall(place, flow)
    }
}

/// The coolant at one temperature, for the laws of heat.
#[derive(Clone, Copy, Debug)]
pub struct CoolantAt {
    /// Density, kg/m³.
    pub density: f64,
    /// Dynamic viscosity, Pa·s.
    pub viscosity: f64,
    /// Conductivity, W/(m·K).
    pub conductivity: f64,
    /// Specific heat capacity, J/(kg·K).
    pub heat_capacity: f64,
}

impl CoolantAt {
    /// The coolant at a temperature in K.
    pub fn of(coolant: &Coolant, temperature_k: f64) -> Self {
        Self {
            density: coolant.density(temperature_k),
            viscosity: coolant.viscosity(temperature_k),
            conductivity: coolant.conductivity(temperature_k),
            heat_capacity: coolant.heat_capacity(temperature_k),
        }
    }
}

/// What a part exchanges heat with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeatPartner {
    /// The metal of a body (index among the model's bodies).
    Body(usize),
    /// The wall of a core (index among the model's cores).
    Core(usize),
}

/// A part of a run.
pub trait Part: FallAt + Debug + Send + Sync {
    /// The trade's word for the part.
    fn word(&self) -> &'static str;

    /// How its law goes with the flow while everything else stands still.
    fn flow_law(&self, _place: &LawInputs<'_, f64>) -> FlowLaw {
        FlowLaw::Other
    }

    /// Bore at inlet and outlet; `None` where the part takes the bore of its neighbours.
    fn bores(&self) -> [Option<Slot>; 2] {
        [None, None]
    }

    /// Height gained from inlet to outlet, m.
    fn rise(&self) -> Option<Slot> {
        None
    }

    /// Places between its ends where it changes its direction: those where pressure may be lowest.
    fn corners(&self) -> &[Corner] {
        &[]
    }

    /// How many cells the coolant in the part is cut into; none where it holds no coolant of note.
    fn cells(&self) -> usize {
        0
    }

    /// Coolant in the part, m³.
    fn volume_m3(&self, _values: &Values) -> f64 {
        0.0
    }

    /// What the part swells by for each Pa that its pressure rises, m³/Pa.
    fn swelling_m3_pa(&self, _values: &Values) -> f64 {
        0.0
    }

    /// Heat that the part itself puts into its coolant, W.
    fn own_heat_w(&self, _place: &LawInputs<'_, f64>, _flow_kg_s: f64) -> f64 {
        0.0
    }

    /// The outside of the part; `None` where no heat is counted to go to the air of the bay.
    fn skin(&self) -> Option<&Skin> {
        None
    }

    /// What the part exchanges heat with.
    fn partner(&self) -> Option<HeatPartner> {
        None
    }

    /// Conductance between the part's coolant and the metal of its partner body, W/K.
    fn conductance_w_k(&self, _values: &Values, _coolant: &CoolantAt, _flow_kg_s: f64) -> f64 {
        0.0
    }

    /// Reynolds number in its own tubes, where they are not the bore at its inlet; `flow_kg_s` through
    /// all of them, `viscosity` Pa·s.
    fn tube_reynolds(&self, _values: &Values, _viscosity: f64, _flow_kg_s: f64) -> Option<f64> {
        None
    }

    /// The laws that the part follows at a flow, with their numbers there. Those of its fall add up to it.
    fn laws(
        &self,
        _place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        _flow_kg_s: f64,
    ) -> Vec<Applied> {
        Vec::new()
    }

    /// What the part's fall may be off by at a flow, law by law: the spread of published values.
    fn uncertainty_terms(
        &self,
        _place: &LawInputs<'_, f64>,
        _flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        Vec::new()
    }

    /// Share by which the conductance to its partner body may be off at a flow, −.
    fn film_uncertainty(&self, _values: &Values, _coolant: &CoolantAt, _flow_kg_s: f64) -> f64 {
        0.0
    }

    /// Straight bores that the part wants before and behind it, in diameters.
    fn straight_bores(&self, _values: &Values) -> Option<[f64; 2]> {
        None
    }

    /// The states that the part has of its own.
    fn own(&self) -> Option<&dyn Own> {
        None
    }

    /// The part as a pump, for its operating point.
    fn as_pump(&self) -> Option<&Pump> {
        None
    }

    /// The part as a tank, for its room and its pressure.
    fn as_tank(&self) -> Option<&Tank> {
        None
    }
}

/// Area of a round bore, m².
pub fn bore_area<S: Scalar>(bore: S) -> S {
    bore * bore * std::f64::consts::FRAC_PI_4
}
