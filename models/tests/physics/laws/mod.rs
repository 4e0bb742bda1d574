//! Every law against published values, closed forms or general-purpose libraries, and every
//! derivative against central differences.

// Exact comparison is meant: zeros, mirrored values and printed inputs. Equations in the comments
// are plain text.
#![allow(clippy::float_cmp, clippy::doc_markdown)]

mod boiling;
mod cards;
mod curve;
mod cushion;
mod exchanger;
mod film;
mod fins;
mod fittings;
mod friction;
mod nomenclature;
mod pump;
mod quadrants;
mod restriction;
mod skin;
mod support;
mod tee;
mod uncertainty;
