//! What can go wrong, sorted by who must act.
//!
//! A message names the parameter, what it was and what it may be, so that it can be shown to a person as it stands.
//! Nothing is logged in place of being returned.

use std::path::PathBuf;

/// The library's result.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// Everything that a call can be refused for.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A value in the request is outside of what is allowed.
    #[error("{name} is {got}; allowed: {allowed}")]
    Value {
        /// The parameter, in the words of the documentation.
        name: &'static str,
        /// The value that was given.
        got: String,
        /// What it may be.
        allowed: String,
    },
    /// Two things that must agree in size do not.
    #[error("{what} is {got_width} x {got_height}, but {width} x {height} is needed")]
    Extent {
        /// The thing of the wrong size.
        what: &'static str,
        /// Its width, in samples.
        got_width: u64,
        /// Its height, in rows.
        got_height: u64,
        /// The width it must have.
        width: u64,
        /// The height it must have.
        height: u64,
    },
    /// No brick of thresholds within the limit meets the angle and line count asked for.
    #[error("no lattice of at most {limit} thresholds meets {asked}; the best found has {best}")]
    Lattice {
        /// The request, with its tolerances.
        asked: String,
        /// The nearest lattice within the limit.
        best: String,
        /// The largest brick allowed, in thresholds.
        limit: u64,
    },
    /// The request is sound but larger than a limit.
    #[error("{what} needs {needed}; the limit is {limit}")]
    Limit {
        /// What would be too large.
        what: &'static str,
        /// How much it needs.
        needed: u64,
        /// How much it may have.
        limit: u64,
    },
    /// Memory that the system does not have.
    #[error("{what} needs {bytes} bytes, which the system does not have")]
    Memory {
        /// What needs it.
        what: &'static str,
        /// How much, in bytes; the highest number if it cannot be counted.
        bytes: u64,
    },
    /// The data are not what they must be.
    #[error("{what}: {why}")]
    Data {
        /// The file, table or line.
        what: String,
        /// What is wrong with it.
        why: String,
    },
    /// Reading or writing failed.
    #[error("{path}: {source}", path = path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// The system's answer.
        source: std::io::Error,
    },
    /// The caller's progress function asked to stop.
    #[error("cancelled")]
    Cancelled,
}

/// Who must act on an error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Fault {
    /// The caller: change the request.
    Request,
    /// Whoever made the data.
    Data,
    /// The caller or the machine: raise a limit or ask for less.
    Limit,
    /// The system: a file, a disk.
    Io,
    /// Nobody: the caller asked to stop.
    Cancelled,
}

impl Error {
    /// Who must act.
    pub fn fault(&self) -> Fault {
        match self {
            Self::Value { .. } | Self::Extent { .. } => Fault::Request,
            Self::Lattice { .. } | Self::Limit { .. } | Self::Memory { .. } => Fault::Limit,
            Self::Data { .. } => Fault::Data,
            Self::Io { .. } => Fault::Io,
            Self::Cancelled => Fault::Cancelled,
        }
    }

    pub(crate) fn value(name: &'static str, got: impl ToString, allowed: impl Into<String>) -> Self {
        Self::Value { name, got: got.to_string(), allowed: allowed.into() }
    }

    pub(crate) fn data(what: impl ToString, why: impl ToString) -> Self {
        Self::Data { what: what.to_string(), why: why.to_string() }
    }
}

/// An empty buffer for `len` items, or an error where the memory cannot be had.
pub(crate) fn reserve<T>(what: &'static str, len: usize) -> Result<Vec<T>> {
    let mut items = Vec::new();
    let bytes = (len as u64).saturating_mul(size_of::<T>() as u64);
    items.try_reserve_exact(len).map_err(|_| Error::Memory { what, bytes })?;
    Ok(items)
}

/// `len` copies of `item`, or an error where the memory cannot be had.
pub(crate) fn filled<T: Clone>(what: &'static str, len: usize, item: T) -> Result<Vec<T>> {
    let mut items = reserve(what, len)?;
    items.resize(len, item);
    Ok(items)
}
