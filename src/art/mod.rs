//! Art: a colour picture that is to be printed.
//!
//! Samples are sRGB codes (IEC 61966-2-1) of 8 or 16 bits, indexed `[row, column, channel]`: red, green, blue and, if there is a
//! fourth channel, how opaque the art is; not premultiplied. Where it is transparent the garment is seen.
//! Floating point was rejected: files of art have none, and 16 bits are finer than any screen.
//!
//! [`pictures`] holds plates and films as pictures of the `image` crate.

pub mod pictures;

use ndarray::{Array3, ArrayView3};

use crate::error::{Error, Result};
use crate::units::Resolution;

pub use pictures::{picture_of, tones_of};

/// The samples of art.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Samples {
    /// Codes of 0…255.
    U8(Array3<u8>),
    /// Codes of 0…65 535.
    U16(Array3<u16>),
}

impl From<Array3<u8>> for Samples {
    fn from(samples: Array3<u8>) -> Self {
        Self::U8(samples)
    }
}

impl From<Array3<u16>> for Samples {
    fn from(samples: Array3<u16>) -> Self {
        Self::U16(samples)
    }
}

/// A colour picture in memory.
#[derive(Debug, Clone, PartialEq)]
pub struct Art {
    samples: Samples,
    resolution: Option<Resolution>,
}

impl Art {
    /// Art of samples `[row, column, 3 or 4]`. Any other count of channels, and a picture without pixels, is an error.
    pub fn new(samples: impl Into<Samples>) -> Result<Self> {
        let samples = samples.into();
        let (height, width, channels) = match &samples {
            Samples::U8(s) => s.dim(),
            Samples::U16(s) => s.dim(),
        };
        if !matches!(channels, 3 | 4) {
            return Err(Error::value("channels of art", channels, "3 (red, green, blue) or 4 (and alpha)"));
        }
        if width == 0 || height == 0 {
            return Err(Error::value("size of art", format!("{width} x {height}"), "at least 1 x 1"));
        }
        Ok(Self { samples, resolution: None })
    }

    /// The same art with a resolution, or without one.
    #[must_use]
    pub fn with_resolution(self, resolution: Option<Resolution>) -> Self {
        Self { resolution, ..self }
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.dim().1
    }

    /// Height in rows.
    pub fn height(&self) -> usize {
        self.dim().0
    }

    /// Whether there is a fourth channel.
    pub fn has_alpha(&self) -> bool {
        self.dim().2 == 4
    }

    /// The resolution that the art states, if it does.
    pub fn resolution(&self) -> Option<Resolution> {
        self.resolution
    }

    /// The samples.
    pub fn samples(&self) -> &Samples {
        &self.samples
    }

    /// The samples of an 8-bit picture.
    pub fn as_u8(&self) -> Option<ArrayView3<'_, u8>> {
        match &self.samples {
            Samples::U8(samples) => Some(samples.view()),
            Samples::U16(_) => None,
        }
    }

    /// The samples of a 16-bit picture.
    pub fn as_u16(&self) -> Option<ArrayView3<'_, u16>> {
        match &self.samples {
            Samples::U8(_) => None,
            Samples::U16(samples) => Some(samples.view()),
        }
    }

    /// The samples, given away.
    pub fn into_samples(self) -> Samples {
        self.samples
    }

    fn dim(&self) -> (usize, usize, usize) {
        match &self.samples {
            Samples::U8(samples) => samples.dim(),
            Samples::U16(samples) => samples.dim(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn art_has_three_or_four_channels_and_pixels() {
        for (shape, good) in [
            ((2, 5, 3), true),
            ((2, 5, 4), true),
            ((2, 5, 1), false),
            ((2, 5, 5), false),
            ((0, 5, 3), false),
            ((2, 0, 4), false),
        ] {
            assert_eq!(Art::new(Array3::<u8>::zeros(shape)).is_ok(), good, "{shape:?}");
            assert_eq!(Art::new(Array3::<u16>::zeros(shape)).is_ok(), good, "{shape:?}");
        }
        let art = Art::new(Array3::<u16>::zeros((2, 5, 4))).unwrap();
        assert_eq!((art.width(), art.height(), art.has_alpha()), (5, 2, true));
        assert!(art.as_u16().is_some() && art.as_u8().is_none() && art.resolution().is_none());
    }
}
