//! A vehicle's cooling as one model: circuits, bodies, cores, air paths, and all numbers in slots.

use std::sync::Arc;

use crate::air::{AirPath, Core};
use crate::body::Body;
use crate::charge::ChargeAir;
use crate::circuit::Circuit;
use crate::gauge::{Gauge, Reads, Rise};
use crate::govern::Governor;
use crate::inputs::{Inputs, Machine};
use crate::rules::Rules;
use crate::simulate::Shared;
use crate::skin::Bay;
use crate::slots::{Slot, Values};
use crate::supply::Supply;
use crate::switch::{Felt, Switch};

/// The site: the air that everything stands in.
#[derive(Clone, Copy, Debug)]
pub struct SiteSlots {
    /// Air temperature, K.
    pub temperature: Slot,
    /// Altitude, m.
    pub altitude: Slot,
    /// Relative humidity, 0 to 1.
    pub humidity: Slot,
}

/// A vehicle's cooling.
#[derive(Debug)]
pub struct Model {
    /// Every number in it.
    pub values: Values,
    /// What follows from what among them.
    pub rules: Rules,
    /// The site.
    pub site: SiteSlots,
    /// The air around hoses, tanks and blocks.
    pub bay: Bay,
    /// What drives sources and machines from outside.
    pub inputs: Inputs,
    /// Coolant circuits.
    pub circuits: Vec<Circuit>,
    /// Bodies that make heat.
    pub bodies: Vec<Body>,
    /// Radiator cores.
    pub cores: Vec<Core>,
    /// Air paths.
    pub air_paths: Vec<AirPath>,
    /// Ways of charge air.
    pub charge_air: Vec<ChargeAir>,
    /// Machines that take commands.
    pub machines: Vec<Machine>,
    /// Switches.
    pub switches: Vec<Switch>,
    /// What governs the speeds of machines.
    pub governors: Vec<Governor>,
    /// Gauges.
    pub gauges: Vec<Gauge>,
    /// Rises between two gauges.
    pub rises: Vec<Rise>,
    /// Electric supplies that feed something; one where nothing is fed.
    pub supplies: Vec<Supply>,
    /// What has been made from its structure. A model that differs from another by its numbers alone may take that of
    /// the other.
    pub shared: Arc<Shared>,
}

impl Model {
    /// Whether a part has a state of its own that moves flows, as a thermostat has.
    pub fn has_lifts(&self) -> bool {
        let runs = self.circuits.iter().flat_map(|circuit| &circuit.runs);
        let own = runs.flat_map(|run| &run.parts).filter_map(|placed| placed.part.own());
        own.flat_map(crate::parts::Own::states).any(|state| state.moves_flows)
    }

    /// Whether a switch feels a flow or a pressure, which are known once flows are.
    pub fn feels_flows(&self, switch: &Switch) -> bool {
        matches!(switch.feels, Felt::Gauge(gauge) if self.gauges[gauge].reads != Reads::Temperature)
    }

    /// Whether the speed of a machine follows a temperature.
    pub fn has_followers(&self) -> bool {
        self.governors.iter().any(|governor| governor.follows.is_some())
    }

    /// Writes numbers into values of this model, and sets what follows from them.
    pub fn write(&self, values: &mut Values, writes: &[(Slot, f64)]) {
        self.rules.write(values, writes, false);
    }

    /// Writes numbers that change while the vehicle runs. How it was filled and started stays as it
    /// was: cold weather on the way does not refill a circuit.
    pub fn write_running(&self, values: &mut Values, writes: &[(Slot, f64)]) {
        self.rules.write(values, writes, true);
    }

    /// Whether a model made for these numbers would have the same structure, so that this one may be
    /// solved with them.
    pub fn fits(&self, values: &Values) -> bool {
        self.rules.fits(values)
    }
}
