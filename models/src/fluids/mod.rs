//! Coolants and air: density, heat capacity, viscosity, conductivity, saturation.
//!
//! [`Coolant`] is what a circuit holds, [`Air`] is what an air path carries, [`Site`] is the
//! place and weather. [`water`] and [`glycol`] hold the formulations behind them.
//!
//! ```
//! use coolwright_models::fluids::{Base, Coolant, Share};
//!
//! let coolant = Coolant::new(Base::EthyleneGlycol, Share::ByVolume(0.5))?;
//! let density = coolant.density(353.15);
//! assert!((density - 1038.46).abs() < 1.0, "{density} kg/m³");
//! assert!(coolant.range_warning(353.15).is_none());
//! # Ok::<(), coolwright_models::fluids::FluidError>(())
//! ```

// Printed formulas and units (T_s, MPa) look like identifiers to this lint.
#![allow(clippy::doc_markdown)]

pub mod air;
pub mod atmosphere;
pub mod coolant;
mod curve;
mod fault;
pub mod glycol;
mod saturated;
mod tabled;
pub mod water;

pub use air::Air;
pub use atmosphere::{Site, pressure_at_pa};
pub use coolant::{BESIDE_ICE_K, Base, Coolant, Share};
pub use fault::{FluidError, FluidWarning};
pub use saturated::Saturated;
pub use tabled::{
    BEYOND_K, LEAST_VISCOSITY_M2_S, LiquidError, LiquidRow, LiquidTable, NORMAL_PA, TROUTON,
    VapourPoint,
};
