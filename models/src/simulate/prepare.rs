//! What follows from the numbers of a model alone, made once before it is solved: coolants, masses,
//! calibrated cores, the air of the site.

use super::layout::Layout;
use crate::air::{CoreError, CoreRating, CoreSide};
use crate::fluids::{Air, Coolant, FluidError, Share, Site};
use crate::model::Model;
use crate::parts::{CoolantAt, HeatPartner};
use crate::slots::Values;

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
    /// The site's air.
    pub air: Air,
    /// Its temperature, K.
    pub air_k: f64,
    /// Its pressure, Pa absolute.
    pub ambient_pa: f64,
}

impl Prepared {
    /// Prepares a model with the given numbers.
    ///
    /// # Errors
    /// When a coolant, a core's rating or the site is out of range.
    pub fn new(model: &Model, values: &Values, layout: &Layout) -> Result<Self, PrepareError> {
        let get = |slot| values.get(slot);
        let site = Site::new(
            get(model.site.temperature),
            get(model.site.altitude),
            get(model.site.humidity),
        )
        .map_err(PrepareError::Site)?;
        let coolants = model.circuits.iter().enumerate().map(|(circuit, c)| {
            Coolant::new(c.coolant.base, Share::ByVolume(get(c.coolant.share)))
                .map_err(|error| PrepareError::Coolant { circuit, error })
        });
        let coolants = coolants.collect::<Result<Vec<_>, _>>()?;
        let cores = calibrate(model, values, layout, &coolants)?;
        let masses = masses(model, values, layout, &coolants);
        let (air_k, ambient_pa) = (get(model.site.temperature), site.pressure_pa());
        Ok(Self { coolants, masses, cores, air: site.air(), air_k, ambient_pa })
    }
}

/// Mass of coolant in every cell and junction, at the temperature of the start.
fn masses(model: &Model, values: &Values, layout: &Layout, coolants: &[Coolant]) -> Vec<f64> {
    let mut masses = vec![0.0; layout.states];
    for (c, circuit) in model.circuits.iter().enumerate() {
        let density = coolants[c].density(values.get(circuit.start));
        for (j, junction) in circuit.junctions.iter().enumerate() {
            masses[layout.junctions[c] + j] = density * junction.volume_m3(values);
        }
    }
    for cells in &layout.parts {
        let (c, r, p) = cells.at;
        let circuit = &model.circuits[c];
        let volume = circuit.runs[r].parts[p].part.volume_m3(values);
        let density = coolants[c].density(values.get(circuit.start));
        masses[cells.first..cells.first + cells.count].fill(density * volume / cells.count as f64);
    }
    masses
}

/// Calibrates every core on the coolant of the circuit that it stands in.
fn calibrate(
    model: &Model,
    values: &Values,
    layout: &Layout,
    coolants: &[Coolant],
) -> Result<Vec<CoreSide>, PrepareError> {
    let mut circuits = vec![0; model.cores.len()];
    for cells in &layout.parts {
        let (c, r, p) = cells.at;
        if let Some(HeatPartner::Core(core)) = model.circuits[c].runs[r].parts[p].part.partner() {
            circuits[core] = c;
        }
    }
    let side = |(index, core): (usize, &crate::air::Core)| {
        let coolant = &coolants[circuits[index]];
        let temperature = match &core.rating {
            CoreRating::Point(point) => values.get(point.coolant_temperature),
            CoreRating::Table(table) => table.coolant_k,
        };
        let CoolantAt { viscosity, conductivity, heat_capacity, .. } =
            CoolantAt::of(coolant, temperature);
        CoreSide::of(values, core, [viscosity, conductivity, heat_capacity])
            .map_err(|error| PrepareError::Core { core: index, error })
    };
    model.cores.iter().enumerate().map(side).collect()
}
