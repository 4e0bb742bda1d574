//! The coolant side of a core: its drop, its coolant, and the core that it gives heat to.

use coolwright_solver::scalar::Scalar;

use super::tank::vessel_law;
use super::{CoolantAt, Fall, FlowLaw, HeatPartner, LawInputs, Part, RatedFall};
use crate::air::Built;
use crate::laws::card::Applied;
use crate::laws::cards::friction::FLAT;
use crate::laws::fittings::{ENTRY_LOSS, EXIT_LOSS, loss_fall};
use crate::laws::friction::flat_tube_fall;
use crate::laws::uncertainty::{Law, UncertaintyTerm, flat_tube_uncertainty, tank_uncertainty};
use crate::slots::{Slot, Values};

/// How many cells the coolant's way through a core is cut into.
pub const CORE_CELLS: usize = 10;

/// How the pressure of the coolant falls through a core.
#[derive(Clone, Copy, Debug)]
pub enum CoreFall {
    /// A fall measured at one flow.
    Rated(RatedFall),
    /// By its tubes.
    Tubes(TubesFall),
}

/// The fall by the tubes of a core: friction and ends of each pass, and the ends of its ports in its tanks.
#[derive(Clone, Copy, Debug)]
pub struct TubesFall {
    /// Its dimensions.
    pub built: Built,
    /// Loss coefficient of the ends of a tube, velocity heads in it.
    pub loss: Slot,
    /// Bore of its ports, m.
    pub port: Slot,
}

/// Velocity heads that a port loses into a tank of a core and another one out of the other.
const PORTS: f64 = EXIT_LOSS + ENTRY_LOSS;

impl TubesFall {
    /// Passes, and the flow of one tube for each kg/s through the core.
    fn share(&self, values: &Values) -> [f64; 2] {
        [values.get(self.built.tubes.passes), 1.0 / self.built.sizes(values).parallel]
    }

    fn at<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let values = place.values.values();
        let [passes, each] = self.share(values);
        let tube = self.built.tube(values, place.get(self.loss));
        let tubes = flat_tube_fall(flow * each, place.density, place.viscosity, &tube);
        tubes * passes + loss_fall(flow, place.density, place.get(self.port), S::from(PORTS))
    }

    fn laws(&self, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> Vec<Applied> {
        let values = place.values.values();
        let [passes, each] = self.share(values);
        let tube = self.built.tube(values, place.get(self.loss));
        let given = [
            ("m", flow_kg_s * each),
            ("ρ", place.density),
            ("μ", place.viscosity),
            ("s", tube.short_m),
            ("w", tube.long_m),
            ("L", tube.length_m),
            ("k", tube.roughness_m),
            ("K", tube.loss),
        ];
        let ports = vessel_law(flow_kg_s, place.density, place.get(self.port), PORTS);
        vec![Applied::fall(&FLAT, &given).times(passes), ports]
    }

    fn uncertainty(&self, place: &LawInputs<'_, f64>, flow_kg_s: f64) -> Vec<UncertaintyTerm> {
        let values = place.values.values();
        let [passes, each] = self.share(values);
        let tube = self.built.tube(values, 0.0);
        let (density, viscosity) = (place.density, place.viscosity);
        let pa = passes * flat_tube_uncertainty(flow_kg_s * each, density, viscosity, &tube);
        let ports = tank_uncertainty(flow_kg_s, density, place.get(self.port));
        vec![
            UncertaintyTerm { law: Law::Friction, pa },
            UncertaintyTerm { law: Law::Tank, pa: ports },
        ]
    }
}

/// The tubes and tanks of a core, as the run sees them.
#[derive(Debug)]
pub struct CoreTubes {
    /// Which core this is.
    pub core: usize,
    /// Bore of its ports, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// Its fall.
    pub drop: CoreFall,
    /// Its dimensions, where they are known.
    pub built: Option<Built>,
    /// Coolant in it, m³.
    pub volume: Slot,
    /// Height gained from inlet to outlet, m; `None` where it is level.
    pub rise: Option<Slot>,
}

impl Fall for CoreTubes {
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        match self.drop {
            CoreFall::Rated(drop) => drop.at(place, flow),
            CoreFall::Tubes(tubes) => tubes.at(place, flow),
        }
    }
}

impl Part for CoreTubes {
    fn word(&self) -> &'static str {
        "core"
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        match self.drop {
            CoreFall::Rated(drop) => drop.flow_law(place, 1.0),
            CoreFall::Tubes(_) => FlowLaw::Other,
        }
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [self.bore, self.bore]
    }

    fn rise(&self) -> Option<Slot> {
        self.rise
    }

    fn cells(&self) -> usize {
        CORE_CELLS
    }

    fn volume_m3(&self, values: &Values) -> f64 {
        values.get(self.volume)
    }

    fn tube_reynolds(&self, values: &Values, viscosity: f64, flow_kg_s: f64) -> Option<f64> {
        Some(self.built?.tube_reynolds(values, flow_kg_s, viscosity))
    }

    fn partner(&self) -> Option<HeatPartner> {
        Some(HeatPartner::Core(self.core))
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        _coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        match self.drop {
            CoreFall::Rated(drop) => vec![drop.law(place, flow_kg_s)],
            CoreFall::Tubes(tubes) => tubes.laws(place, flow_kg_s),
        }
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        match self.drop {
            CoreFall::Rated(drop) => vec![drop.uncertainty(place, flow_kg_s)],
            CoreFall::Tubes(tubes) => tubes.uncertainty(place, flow_kg_s),
        }
    }
}
