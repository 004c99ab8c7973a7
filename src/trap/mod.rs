//! Underbase and trap: what inks need of each other where a press does not register to the pixel.
//!
//! * [`choke`]: a plate drawn in at its hard edges by a length, so that a base does not look out from under the colours.
//! * [`on_film`]: the base under index dots: the union of their films, choked by exact distance.
//! * [`spread`](mod@spread): an ink drawn out under the next where two solids butt, so that no garment shines between.
//! * [`underbase`]: the white under plates that were made without one.
//!
//! A base for art comes from the separation itself ([`Request::base`](crate::colour::separate::Request::base)); lengths are those of the
//! film, and films are cut after it: plates are choked and spread, then screened.
//!
//! ```
//! use dotwright::trap::Choke;
//! use dotwright::{Length, Resolution};
//! use ndarray::Array2;
//!
//! // A solid 60 pixels wide at 254 to the inch, choked by 0.15 mm: one pixel and a half.
//! let base = Array2::from_shape_fn((40, 100), |(_, x)| if (20..80).contains(&x) { 255_u8 } else { 0 });
//! let choke = Choke::by(Length::mm(0.15)?)?;
//! let choked = choke.plate(base.view(), Resolution::per_inch(254.0)?)?;
//! let wide = choked.row(20).iter().map(|&tone| f64::from(tone) / 255.0).sum::<f64>();
//! assert!((wide - 57.0).abs() < 0.02);
//! # Ok::<(), dotwright::Error>(())
//! ```

pub mod choke;
mod disk;
mod hard;
pub mod on_film;
mod plane;
pub mod spread;
mod thin;
pub mod underbase;

pub use choke::Choke;
pub use on_film::union;
pub use spread::spread;
pub use underbase::Underbase;
