//! Liquids that are known by points over temperature.

use serde::Deserialize;

use crate::quantity::{
    AbsolutePressure, Conductivity, Density, Fraction, KinematicViscosity, SpecificHeat,
    Temperature, Viscosity,
};
use crate::text::Spanned;

/// A liquid by points over temperature: an oil, a dielectric coolant.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Liquid {
    /// Its properties at two temperatures or more, the coldest first.
    pub table: Spanned<Vec<LiquidRow>>,
    /// Its freezing or pour point; where left out the temperature of its first row, down to which its table has it liquid.
    pub freezes: Option<Temperature>,
    /// Its vapour pressure at one temperature or more, the coldest first. Where neither this nor `boils` is told, nothing
    /// is said of its boiling, and pumps draw it as if it had no vapour.
    pub vapour: Option<Spanned<Vec<(Temperature, AbsolutePressure)>>>,
    /// Its boiling point at 101.325 kPa, in the place of `vapour`.
    pub boils: Option<Temperature>,
    /// Factor on all its densities, as of a sample that was weighed.
    pub density_scale: Option<Fraction>,
    /// Factor on all its heat capacities.
    pub heat_capacity_scale: Option<Fraction>,
    /// Factor on all its viscosities, as of an oil that has aged.
    pub viscosity_scale: Option<Fraction>,
    /// Factor on all its conductivities.
    pub conductivity_scale: Option<Fraction>,
}

/// The properties of a liquid at one temperature.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename = "At", deny_unknown_fields)]
pub struct LiquidRow {
    /// Temperature.
    pub temperature: Temperature,
    /// Density.
    pub density: Density,
    /// Heat capacity by mass.
    pub heat_capacity: SpecificHeat,
    /// Viscosity (dynamic).
    pub viscosity: Option<Viscosity>,
    /// Kinematic viscosity, in the place of `viscosity`.
    pub kinematic_viscosity: Option<KinematicViscosity>,
    /// Thermal conductivity.
    pub conductivity: Conductivity,
}
