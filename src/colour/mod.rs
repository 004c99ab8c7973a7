//! Colour: what a print will look like.
//!
//! * [`spaces`]: linear sRGB, X Y Z, L\*a\*b\*, one white (D50); [`srgb`]: coded pictures to light and back; colours
//!   [in text](self#colours-in-text).
//! * [`difference`](mod@difference): how far apart two colours look, by CIEDE2000.
//! * [`layer`]: a thin layer over a ground; [`ink`]: a named one from its drawdowns.
#![cfg_attr(feature = "job", doc = "* [`shelf`]: a file of inks.")]
#![cfg_attr(not(feature = "job"), doc = "* `shelf` (feature `job`): a file of inks.")]
#![cfg_attr(feature = "art", doc = "* [`knock_out`]: a background taken out of art, soft edges un-mixed.")]
#![cfg_attr(
    not(feature = "art"),
    doc = "* `knock_out` (feature `art`): a background taken out of art, soft edges un-mixed."
)]
//! * [`overlap`]: how much plates fall on each other, by their screens.
//! * [`lay_down`]: garment and inks in order to the colour of every overprint; [`print`](mod@print): with the law, to the
//!   colour of any coverages.
//!
//! Separation and proof need no same bits on every processor, but all of it uses + − × ÷ √ and the `libm` crate alone.
//!
//! # Colours in text
//!
//! [`Xyz`] is read from `#e8b04a`, `lab(76.2 12 60)` or `xyz(52.1 50.9 12.3)`.
//!
//! # Example
//!
//! ```
//! use dotwright::colour::{Drawdown, Ink, Overlap, Print, Xyz, ciede2000};
//!
//! let card = |ground: &str, ink: &str| -> dotwright::Result<Drawdown> {
//!     Ok(Drawdown { ground: ground.parse()?, colour: ink.parse()? })
//! };
//! let (white, black) = ("lab(95.5 -0.5 1)", "lab(15 0 0)");
//! let chalk = Ink::new("chalk", card(white, "lab(95.3 -0.6 1.4)")?, card(black, "lab(89.3 -0.2 0.5)")?)?;
//! let straw = Ink::new("straw", card(white, "lab(88 -3 62)")?, card(black, "lab(60.4 -2.4 26.8)")?)?;
//!
//! let garment: Xyz = "#23252b".parse()?;
//! let print = Print::on(garment).ink(&chalk).flash().ink(&straw).wet(0.9).build(&Overlap::independent(2)?)?;
//! let (alone, on_white) = (print.colour(&[0.0, 1.0]), print.colour(&[1.0, 1.0]));
//! assert!(on_white.l > 80.0 && alone.l < 65.0);
//! assert!(ciede2000(on_white, "lab(88 -3 62)".parse::<Xyz>()?.to_lab()) < 4.0);
//! # Ok::<(), dotwright::Error>(())
//! ```

pub mod difference;
pub mod ink;
#[cfg(feature = "art")]
pub mod knock_out;
pub mod lay_down;
pub mod layer;
pub mod overlap;
pub mod print;
pub mod separate;
#[cfg(feature = "job")]
pub mod shelf;
pub mod spaces;
pub(crate) mod spelling;
pub mod srgb;

pub use difference::ciede2000;
pub use ink::Ink;
#[cfg(feature = "art")]
pub use knock_out::KnockOut;
pub use layer::{Drawdown, Layer};
pub use overlap::{Overlap, Relation};
pub use print::Print;
#[cfg(feature = "job")]
pub use shelf::Shelf;
pub use spaces::{Lab, LinearRgb, White, WideRgb, Xyz};
