//! The case file: its text with places, its quantities with units, its types, and the way from
//! there to a model.
//!
//! This crate touches no files: the program hands it the texts.
//!
//! ```
//! use coolwright_cases::case::Reading;
//! use coolwright_cases::diagnostic::Problems;
//! use coolwright_cases::text::Sources;
//!
//! let text = r#"Case(
//!     circuits: { "rig": Circuit(coolant: Water, runs: { "loop": Run(bore: "25 mm", parts: {
//!         "pump": Pump(shut_off: "60 kPa", free_flow: "90 L/min"),
//!         "hose": Hose(length: "4 m"),
//!     }) }) },
//! )"#;
//! let mut sources = Sources::new();
//! let file = sources.add("rig.ron", text);
//! let mut problems = Problems::new();
//! let mut nothing = |_: &str| Err("no such file".to_owned());
//! let reading = Reading::new(&mut sources, file, &mut nothing, &mut problems);
//! let ready = reading.and_then(|reading| reading.build(&mut problems));
//! let ready = ready.expect(&problems.render(&sources, false));
//! assert_eq!(ready.model.circuits[0].runs[0].parts.len(), 2);
//! ```

#![forbid(unsafe_code)]

/// A case of about thirty lines that reads and can be solved as it stands: what a new one starts from.
pub const STARTER: &str = include_str!("../first.ron");

pub mod case;
pub mod diagnostic;
pub mod file;
pub mod lower;
pub mod quantity;
pub mod stand;
pub mod text;
