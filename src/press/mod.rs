//! The press: what a mesh holds, where it beats with the screens and they with each other, and what a shifted film does.
//!
//! * [`mesh`]: threads to opening, open area, ink volume, smallest dot, line counts.
//! * [`moire`]: beats between two structures, closure of three; [`remedy`] finds the turn or the line count that removes one.
//! * [`spread`]: what a film prints when its edges move; [`gain`]: what a dot must expect of that, and how far a wedge's edges moved.
//! * [`register`]: overlap and gap of plates that mesh, when one is shifted.
//! * [`check`](check()): all of it for a job's films in one call, each finding with its number, its rule and its source.
//!
//! Nothing here changes a film. Trade rules are marked [`Source::CommonPractice`]: they are what printers say, not what a standard
//! says or a formula gives.

pub(crate) mod along;
pub mod check;
pub mod gain;
pub mod mesh;
pub mod moire;
mod on_film;
mod outline;
pub mod register;
pub mod remedy;
mod runs;
pub mod spread;
pub mod structure;

pub use check::{Finding, Planned, Weight, check};
pub use mesh::Mesh;
pub use structure::Structure;

/// Where a rule comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Source {
    /// A trade rule without a source: *common practice*.
    CommonPractice,
    /// A published text, named.
    Published(&'static str),
    /// Computed; the formula or the way.
    Computed(&'static str),
}

impl std::fmt::Display for Source {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::CommonPractice => f.write_str("common practice"),
            Self::Published(text) | Self::Computed(text) => f.write_str(text),
        }
    }
}
