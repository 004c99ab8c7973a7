//! Halftone screening for screen printing.
//!
//! The way of the data:
//!
//! ```text
//! art (RGB) ──separate──▶ plates (contone, one per ink) ──curve, screen──▶ films (1 bit) ──lay out──▶ sheets ──▶ files
//! ```
//!
#![cfg_attr(feature = "art", doc = "* [`art`]: a colour picture to be printed.")]
#![cfg_attr(not(feature = "art"), doc = "* `art` (feature `art`): a colour picture to be printed.")]
//! * [`plate`]: one ink's contone, 0 (none) to solid, as a borrowed array of `u8`, `u16` or `f32`.
//! * [`tone`]: curves, and the wedges they are made from: what to ask of a film so that the print is right.
//! * [`screen`]: lattices, dots, the order in which they grow, and [`Screen`], which turns plates into films;
//!   [`SideBySide`], plates whose dots never overlap.
//! * [`film`]: 1-bit pictures: count, combine, crop.
//! * [`press`]: what a mesh holds, moiré, register, and a check of a job's films before they are made.
//! * [`colour`]: inks, how they overlap by their screens, the colour that coverages print, and plates separated from art.
//! * [`trap`]: the base choked, and inks spread under the next; a base for plates made without one.
//! * [`proof`]: the print to expect, from plates or from films, as the eye sees it from a distance, and how far it is from the art.
//! * [`sheet`]: a film with its margin: register marks, label, wedge; mirrored and negative films.
#![cfg_attr(feature = "files", doc = "* [`io`]: plates read from files and films written to them, in bands.")]
#![cfg_attr(
    not(feature = "files"),
    doc = "* `io` (feature `files`): plates read from files and films written to them."
)]
#![cfg_attr(
    feature = "job",
    doc = "* [`job`]: from a job file to plates, films, sheets, proof and report in one folder."
)]
#![cfg_attr(
    not(feature = "job"),
    doc = "* `job` (feature `job`): from a job file to everything in one folder."
)]
//!
//! On the ground: [`units`] (ranges live in types), [`error`], [`bands`] (progress and cancel), [`lettering`] (text on film).
//!
//! # Conventions
//!
//! * x runs right, y runs down; pixel (x, y) is sampled at its centre. Film coordinates are global and signed: a tile knows
//!   where it lies.
//! * Angles are in degrees, counter-clockwise from the x axis as one looks at the film.
//! * Tone is ink: 0 none, the highest value solid. Bit 1 is ink.
//! * The same request gives the same bits on every processor, with any number of threads, however a film is cut.
//!
//! # Example
//!
//! ```
//! use dotwright::{Angle, Dot, LineCount, Mode, Resolution, Screen};
//! use ndarray::Array2;
//!
//! let plate = Array2::from_shape_fn((300, 400), |(_, x)| (x * 255 / 399) as u8);
//! let (resolution, lines) = (Resolution::per_inch(720.0)?, LineCount::per_inch(45.0)?);
//! let colour = Screen::cells(resolution, lines, Angle::degrees(22.5)?, Dot::Euclidean).build()?;
//! let black = colour.again(Mode::Inverted, None)?;
//! let (a, b) = (colour.film(plate.view())?, black.film(plate.view())?);
//! assert!((a.coverage() - 0.5).abs() < 0.01);
//! // Their dots stand in each other's gaps: no overlap before the tones add up to solid.
//! assert_eq!(a.and(&b)?.view().coverage_of(dotwright::film::Rect { x: 0, y: 0, width: 199, height: 300 })?, 0.0);
//! # Ok::<(), dotwright::Error>(())
//! ```

#[cfg(feature = "art")]
pub mod art;
pub mod bands;
pub mod colour;
pub mod distance;
pub mod error;
#[cfg(feature = "capi")]
mod ffi;
pub mod film;
#[cfg(feature = "files")]
pub mod io;
#[cfg(feature = "job")]
pub mod job;
pub mod lettering;
pub mod measure;
pub mod plate;
pub mod press;
pub mod proof;
pub mod screen;
#[cfg(feature = "job")]
mod settings;
pub mod sheet;
pub mod tone;
pub mod trap;
pub mod units;

pub use error::{Error, Fault, Result};
pub use film::{Film, FilmMut, FilmView};
#[cfg(feature = "job")]
pub use job::Job;
pub use plate::Plate;
pub use screen::{Dot, Lattice, Mode, Placed, Sampling, Screen, SideBySide, Tolerance};
pub use sheet::Sheet;
pub use tone::Curve;
pub use units::{Angle, Length, LineCount, Resolution};

/// The README's own example, compiled and run with the other examples of the documentation.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
