//! What follows from the numbers of a model alone, before it is solved: coolants, masses, calibrated
//! cores, the air of the site. Of other numbers only what they change is derived anew.

use super::layout::Layout;
use crate::air::{CoreError, CoreRating, CoreSide};
use crate::charge::{ChargeError, ChargeSide};
use crate::fluids::{Air, Base, Coolant, FluidError, Site};
use crate::model::Model;
use crate::parts::{CoolantAt, HeatPartner};
use crate::slots::{Slot, Values};

/// Why a model cannot be solved with its numbers.
#[derive(Clone, Debug)]
pub enum PrepareError {
    /// A circuit's coolant is out of range.
    Coolant {
        /// The circuit.
        circuit: usize,
        /// What is wrong.
        error: FluidError,
    },
    /// A core's rating cannot be.
    Core {
        /// The core.
        core: usize,
        /// What is wrong.
        error: CoreError,
    },
    /// The rating of a charge cooler cannot be.
    Charge {
        /// The body.
        body: usize,
        /// What is wrong.
        error: ChargeError,
    },
    /// The site is out of range.
    Site(FluidError),
}

/// What follows from the numbers alone.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// Coolant of each circuit.
    pub coolants: Vec<Coolant>,
    /// Coolant mass of each coolant state, kg; zero for others.
    pub masses: Vec<f64>,
    /// Calibrated cores.
    pub cores: Vec<CoreSide>,
    /// Conductance of the air side of one node of each body at the rating of its charge side, W/K; zero of
    /// others.
    pub charges: Vec<f64>,
    /// The site's air.
    pub air: Air,
    /// Its temperature, K.
    pub air_k: f64,
    /// Its pressure, Pa absolute.
    pub ambient_pa: f64,
    /// The numbers that coolants and site were made for, bit for bit.
    made_for: MadeFor,
}

/// The numbers behind what is dear to make: tables of a coolant, the air of a site.
#[derive(Clone, Debug, Default)]
struct MadeFor {
    coolants: Vec<Option<u64>>,
    site: [u64; 3],
}

impl Prepared {
    /// Prepares a model with the given numbers.
    ///
    /// # Errors
    /// When a coolant, a core's rating or the site is out of range.
    pub fn new(model: &Model, values: &Values, layout: &Layout) -> Result<Self, PrepareError> {
        let site = site_of(model, values)?;
        let mut coolants = Vec::with_capacity(model.circuits.len());
        for circuit in 0..model.circuits.len() {
            let of = liquid_of(model, values, circuit);
            let made =
                (0..circuit).find(|&other| of.is_some() && liquid_of(model, values, other) == of);
            let coolant = match made {
                Some(same) => Coolant::clone(&coolants[same]),
                None => coolant_of(model, values, circuit)?,
            };
            coolants.push(coolant);
        }
        let made = coolants.iter().enumerate();
        let mixtures = made.filter_map(|(circuit, coolant)| {
            Some((liquid_of(model, values, circuit)?, coolant.clone()))
        });
        model.keep_liquids(mixtures);
        let cores: Result<Vec<_>, _> =
            (0..model.cores.len()).map(|core| calibrated(model, values, core)).collect();
        let bits = |circuit| coolant_bits(model, values, circuit);
        let made_for = MadeFor {
            coolants: (0..model.circuits.len()).map(bits).collect(),
            site: site_bits(model, values),
        };
        let mut prepared = Self {
            cores: cores?,
            charges: vec![0.0; model.bodies.len()],
            coolants,
            masses: vec![0.0; layout.states],
            air: site.air(),
            air_k: values.get(model.site.temperature),
            ambient_pa: site.pressure_pa(),
            made_for,
        };
        prepared.calibrate_charges(model, values)?;
        prepared.fill(model, values, layout);
        Ok(prepared)
    }

    /// Derives anew what other numbers change; what they leave as it was is kept. The masses of
    /// coolant stay ([`Prepared::fill`]). Nothing is allocated as long as coolants keep their share.
    ///
    /// # Errors
    /// As [`Prepared::new`]. What was derived before the fault is then that of the new numbers.
    pub fn update(&mut self, model: &Model, values: &Values) -> Result<(), PrepareError> {
        let site_now = site_bits(model, values);
        if self.made_for.site != site_now {
            let site = site_of(model, values)?;
            self.air = site.air();
            self.air_k = values.get(model.site.temperature);
            self.ambient_pa = site.pressure_pa();
            self.made_for.site = site_now;
        }
        for circuit in 0..model.circuits.len() {
            let bits = coolant_bits(model, values, circuit);
            if self.made_for.coolants[circuit] != bits {
                self.coolants[circuit] = coolant_of(model, values, circuit)?;
                self.made_for.coolants[circuit] = bits;
            }
        }
        // Calibrating a core costs less than to find out whether it must be.
        for core in 0..model.cores.len() {
            self.cores[core] = calibrated(model, values, core)?;
        }
        self.calibrate_charges(model, values)
    }

    /// Calibrates the charge sides of coolers on the coolants of their circuits.
    fn calibrate_charges(&mut self, model: &Model, values: &Values) -> Result<(), PrepareError> {
        for body in 0..model.bodies.len() {
            if let Some(side) = &model.bodies[body].charge {
                let rated = self.charge(model, values, (body, side));
                self.charges[body] = rated.map_err(|error| PrepareError::Charge { body, error })?;
            }
        }
        Ok(())
    }

    /// Conductance of the air side of one node of a charge cooler at its rating, W/K: what its film, which
    /// its part knows, leaves of the rated effectiveness.
    fn charge(
        &self,
        model: &Model,
        values: &Values,
        (body, side): (usize, &ChargeSide),
    ) -> Result<f64, ChargeError> {
        let mut parts = model.circuits.iter().enumerate().flat_map(|(c, circuit)| {
            circuit.runs.iter().flat_map(|run| &run.parts).map(move |placed| (c, &placed.part))
        });
        let through =
            |part: &dyn crate::parts::Part| part.partner() == Some(HeatPartner::Body(body));
        let Some((circuit, part)) = parts.find(|(_, part)| through(part.as_ref())) else {
            return Ok(0.0);
        };
        let local = CoolantAt::of(&self.coolants[circuit], values.get(side.coolant_k));
        let cell = side.rated_cell(values, &local)?;
        let film = side.rated_film(part.as_ref(), values, &local, &cell);
        ChargeSide::air_side(&cell, film)
    }

    /// Whether anything that is prepared follows from a number in which both differ.
    pub fn differs(model: &Model, a: &Values, b: &Values) -> bool {
        let differ = |slot: Slot| a.get(slot).to_bits() != b.get(slot).to_bits();
        let rating = |rating: &CoreRating| match rating {
            CoreRating::Point(p) => {
                let flows = [p.coolant_flow, p.air_flow].into_iter().any(differ);
                let liquid = [p.coolant_viscosity, p.coolant_conductivity, p.coolant_heat_capacity];
                let heat = [p.inlet_difference, p.heat].into_iter().any(differ);
                flows || heat || liquid.into_iter().any(differ)
            }
            CoreRating::Table(table) => differ(table.scale),
            CoreRating::Built(built) => built.slots().any(differ),
        };
        site_slots(model).into_iter().any(differ)
            || model
                .circuits
                .iter()
                .any(|circuit| circuit.coolant.slots().iter().any(|s| differ(*s)))
            || model.bodies.iter().filter_map(|body| body.charge.as_ref()).any(|side| {
                let ChargeSide { effectiveness, air_flow, coolant_flow, coolant_k, .. } = *side;
                [effectiveness, air_flow, coolant_flow, coolant_k].into_iter().any(differ)
            })
            || model.cores.iter().any(|core| {
                differ(core.coolant_share) || differ(core.wall_share) || rating(&core.rating)
            })
    }

    /// Fills every cell and junction with coolant at the temperature of the start.
    pub fn fill(&mut self, model: &Model, values: &Values, layout: &Layout) {
        let masses = &mut self.masses;
        for (c, circuit) in model.circuits.iter().enumerate() {
            let density = self.coolants[c].density(values.get(circuit.start));
            for (j, junction) in circuit.junctions.iter().enumerate() {
                masses[layout.junctions[c] + j] = density * junction.volume_m3(values);
            }
        }
        for cells in &layout.parts {
            let (c, r, p) = cells.at;
            let circuit = &model.circuits[c];
            let volume = circuit.runs[r].parts[p].part.volume_m3(values);
            let density = self.coolants[c].density(values.get(circuit.start));
            let each = density * volume / cells.count as f64;
            masses[cells.first..cells.first + cells.count].fill(each);
        }
    }
}

fn site_slots(model: &Model) -> [Slot; 3] {
    [model.site.temperature, model.site.altitude, model.site.humidity]
}

fn site_bits(model: &Model, values: &Values) -> [u64; 3] {
    site_slots(model).map(|slot| values.get(slot).to_bits())
}

fn site_of(model: &Model, values: &Values) -> Result<Site, PrepareError> {
    let [temperature, altitude, humidity] = site_slots(model).map(|slot| values.get(slot));
    Site::new(temperature, altitude, humidity).map_err(PrepareError::Site)
}

/// The bits of the number that the coolant of a circuit follows from, where there is one.
fn coolant_bits(model: &Model, values: &Values, circuit: usize) -> Option<u64> {
    model.circuits[circuit].coolant.mixture().map(|(_, share)| values.get(share).to_bits())
}

/// What the mixture in a circuit is made for: its base and the bits of its share. Other liquids come with their tables.
fn liquid_of(model: &Model, values: &Values, circuit: usize) -> Option<(Base, u64)> {
    let mixture = model.circuits[circuit].coolant.mixture();
    mixture.map(|(base, share)| (base, values.get(share).to_bits()))
}

fn coolant_of(model: &Model, values: &Values, circuit: usize) -> Result<Coolant, PrepareError> {
    let made_for = liquid_of(model, values, circuit);
    if let Some(known) = made_for.and_then(|made_for| model.known_liquid(made_for)) {
        return Ok(known);
    }
    let coolant = model.circuits[circuit].coolant.liquid(values);
    coolant.map_err(|error| PrepareError::Coolant { circuit, error })
}

/// Calibrates a core on the liquid of its rating.
fn calibrated(model: &Model, values: &Values, core: usize) -> Result<CoreSide, PrepareError> {
    CoreSide::of(values, &model.cores[core]).map_err(|error| PrepareError::Core { core, error })
}
