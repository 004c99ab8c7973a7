//! Proof: a picture of the print to expect.
//!
//! * [`plates`]: the whole picture, from plates and the print model.
//! * [`films`]: a piece of it, from films: every dot, edges that grow, films that lie beside their place.
//! * [`eye`]: what is left of a proof from a distance.
//! * [`difference`]: how far a proof is from the art, place by place.
//!
//! All of it in linear light: a [`Picture`] holds X, Y, Z and becomes codes at the very end.

pub mod difference;
pub mod eye;
pub mod films;
mod lines;
pub mod plates;

pub use difference::Differences;
pub use films::{Films, Lay};

use ndarray::{Array2, Array3};

use crate::colour::srgb::Code;
use crate::colour::{Lab, Xyz};
use crate::error::{Error, Result, filled};
use crate::plate::Tone;

/// A picture in light: X, Y, Z (D50; white Y = 1) of each pixel.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    pub(crate) pixels: Array2<[f32; 3]>,
}

impl Picture {
    /// A picture of `width` × `height` pixels from the colour of each `(column, row)`.
    ///
    /// Errors: memory that cannot be had.
    pub fn new(width: usize, height: usize, mut colour: impl FnMut(usize, usize) -> Xyz) -> Result<Self> {
        let mut picture = Self::black(width, height)?;
        for ((y, x), pixel) in picture.pixels.indexed_iter_mut() {
            *pixel = colour(x, y).0.map(|light| light as f32);
        }
        Ok(picture)
    }

    fn black(width: usize, height: usize) -> Result<Self> {
        let needed = width.saturating_mul(height);
        let pixels = filled("a picture", needed, [0.0_f32; 3])?;
        let pixels = Array2::from_shape_vec((height, width), pixels);
        Ok(Self { pixels: pixels.map_err(|e| Error::data("a picture", e))? })
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.pixels.ncols()
    }

    /// Height in rows.
    pub fn height(&self) -> usize {
        self.pixels.nrows()
    }

    /// The colour of a pixel. Panics outside of the picture.
    pub fn at(&self, x: usize, y: usize) -> Xyz {
        Xyz(self.pixels[[y, x]].map(f64::from))
    }

    /// L\*a\*b\* of a pixel. Panics outside of the picture.
    pub fn lab(&self, x: usize, y: usize) -> Lab {
        self.at(x, y).to_lab()
    }

    /// The mean light of all pixels: what is seen from so far that dots are no more. Black for an empty picture.
    pub fn mean(&self) -> Xyz {
        let mut sum = [0.0; 3];
        for pixel in &self.pixels {
            for (sum, &light) in sum.iter_mut().zip(pixel) {
                *sum += f64::from(light);
            }
        }
        Xyz(sum.map(|sum| sum / (self.pixels.len().max(1)) as f64))
    }

    /// The picture as sRGB codes, indexed `[row, column, channel]`. What sRGB does not hold is cut off, channel by channel.
    ///
    /// Errors: memory that cannot be had.
    pub fn to_srgb<T: Code + Tone>(&self) -> Result<Array3<T>> {
        let mut codes = filled("a picture", self.pixels.len() * 3, T::from_level(0))?;
        let work = |(pixel, codes): (&[f32; 3], &mut [T])| {
            codes.copy_from_slice(&Xyz(pixel.map(f64::from)).to_linear().to_srgb::<T>());
        };
        // Pixels in the order of rows, whatever the memory's.
        #[cfg(feature = "threads")]
        if let Some(pixels) = self.pixels.as_slice() {
            use rayon::prelude::*;
            pixels.par_iter().zip(codes.par_chunks_exact_mut(3)).with_min_len(1 << 14).for_each(work);
            return shaped(codes, self.width(), self.height());
        }
        self.pixels.iter().zip(codes.chunks_exact_mut(3)).for_each(work);
        shaped(codes, self.width(), self.height())
    }
}

fn shaped<T>(codes: Vec<T>, width: usize, height: usize) -> Result<Array3<T>> {
    Array3::from_shape_vec((height, width, 3), codes).map_err(|e| Error::data("a picture", e))
}
