//! Numerics that know nothing of what they are used for: networks of runs between junctions,
//! stiff systems of states over time, fits by least squares, sparse factorisation, roots, and a number
//! that carries its derivatives.
//!
//! # A network
//! Junctions joined by runs; each run has a law for the fall of potential along it. Here a source
//! of 100 Pa drives two quadratic resistances side by side:
//!
//! ```
//! use coolwright_solver::network::{Laws, Network, Settings};
//!
//! struct Circuit;
//! impl Laws for Circuit {
//!     fn evaluate(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64], _: &mut [f64]) {
//!         let resistances = [0.0, 1.0, 4.0];
//!         for (run, r) in resistances.into_iter().enumerate() {
//!             falls[run] = r * flows[run] * flows[run].abs();
//!             slopes[run] = 2.0 * r * flows[run].abs();
//!         }
//!         falls[0] -= 100.0;
//!     }
//! }
//!
//! let mut network = Network::new(2, &[(1, 0), (0, 1), (0, 1)], &[])?;
//! let (mut flows, mut pressures) = ([1.0; 3], [0.0; 2]);
//! let none = [None; 2];
//! let solved = network.solve(&mut Circuit, &[0.0; 2], &none, &mut flows, &mut pressures, &Settings::default())?;
//! assert!((flows[1] - 10.0).abs() < 1e-12 && (flows[2] - 5.0).abs() < 1e-12);
//! assert!((flows[0] - 15.0).abs() < 1e-12);
//! assert!((pressures[0] - pressures[1] - 100.0).abs() < 1e-9);
//! assert!(solved.iterations < 10);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # A system over time
//! A state that is fed at a constant rate and drains in proportion to itself, y' = 2 − y, watched
//! until it passes 1:
//!
//! ```
//! use coolwright_solver::integrate::{Integrator, Interrupt, Outcome, Settings, System};
//!
//! struct Tank;
//! impl System for Tank {
//!     fn states(&self) -> usize { 1 }
//!     fn pattern(&self) -> &[(usize, usize)] { &[(0, 0)] }
//!     fn rhs(&mut self, _t: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
//!         rate[0] = 2.0 - y[0];
//!         Ok(())
//!     }
//!     fn jacobian(&mut self, _t: f64, _y: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
//!         values[0] = -1.0;
//!         Ok(())
//!     }
//!     fn switches(&self) -> usize { 1 }
//!     fn switch_values(&mut self, _t: f64, y: &[f64], out: &mut [f64]) { out[0] = y[0] - 1.0; }
//! }
//!
//! let mut tank = Tank;
//! let mut integrator = Integrator::new(&tank, Settings::default())?;
//! integrator.restart(0.0, &[0.0]);
//! let outcome = integrator.advance(&mut tank, 3.0)?;
//! assert_eq!(outcome, Outcome::Crossed { switch: 0, rising: true });
//! assert!((integrator.time() - 2.0_f64.ln()).abs() < 1e-4);
//! assert_eq!(integrator.advance(&mut tank, 3.0)?, Outcome::Reached);
//! assert!((integrator.state()[0] - 2.0 * (1.0 - (-3.0_f64).exp())).abs() < 1e-4);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![forbid(unsafe_code)]

pub mod dense;
pub mod information;
pub mod integrate;
pub mod least_squares;
pub mod minima;
pub mod network;
pub mod propagate;
pub mod robust;
pub mod roots;
pub mod scalar;
pub mod sparse;
