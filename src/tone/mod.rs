//! Tone: curves that a plate is screened through, and the wedges they are made from.
//!
//! A wedge's way: [`strip`] lists its patches and lays them out as a plate; the print is measured, or scanned and read by
//! [`scan`]; [`readings`] turns what was measured into coverage and a curve (by the forms of [`density`], smoothed
//! where the noise is known); [`compensation`] undoes press and film printer, for the plate's own tones or an aim, round after
//! round. [`model`] stands in for a wedge where only the gain at one half is known.

pub mod compensation;
pub mod curve;
pub mod density;
pub mod model;
pub mod readings;
pub mod scan;
mod smooth;
pub mod strip;
pub mod wedge;

pub use curve::Curve;
pub use readings::{Form, Measured, Readings, Scale};
