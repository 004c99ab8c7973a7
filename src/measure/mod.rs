//! Measure: what a film really holds.
//!
//! * [`parts()`]: connected dots and holes; [`details`]: the smallest line and gap; [`link_ups`]: the tones at which a shape's dots join; [`perimeter()`]: what a press spreads.
//! * [`coverage_under()`]: ink of any region; [`grain()`]: how even a tint is; [`overlap()`]: what two films share, beside what their screens let expect.
#![cfg_attr(
    feature = "spectrum",
    doc = "* [`repeat()`]: angle and line count, read back from a film alone; [`spectrum()`]: unevenness, coarse to fine; [`report()`]: the usual numbers in one call."
)]
#![cfg_attr(
    not(feature = "spectrum"),
    doc = "* `repeat` (feature `spectrum`): angle and line count, read back."
)]
//!
//! Everything here looks at a film and its resolution, whatever made it; screens are asked only what overlap to expect.

mod coverage;
mod grain;
mod link_up;
mod narrowest;
pub(crate) mod outline;
mod overlap;
mod parts;
mod perimeter;
#[cfg(feature = "spectrum")]
mod repeat;
#[cfg(feature = "spectrum")]
mod report;
#[cfg(feature = "spectrum")]
mod spectrum;

pub use coverage::coverage_under;
pub use grain::grain;
pub use link_up::{LinkUps, link_ups};
pub use narrowest::{Details, Narrowest, details};
pub use overlap::{Overlap, overlap, overlap_in_squares};
pub use parts::{Parts, Touch, parts};
pub use perimeter::perimeter;
#[cfg(feature = "spectrum")]
pub use repeat::{Frequency, Repeat, repeat};
#[cfg(feature = "spectrum")]
pub use report::{Report, report};
#[cfg(feature = "spectrum")]
pub use spectrum::{Ring, spectrum};
