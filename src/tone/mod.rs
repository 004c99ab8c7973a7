//! Tone: curves that a plate is screened through, and the wedges they are made from.

pub mod curve;
pub mod density;
pub mod wedge;

pub use curve::Curve;
