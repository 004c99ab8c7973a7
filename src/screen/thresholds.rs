//! A built screen's thresholds handed out, as an array and as the bytes of an ISO 32000 halftone.

use ndarray::Array2;

use crate::screen::{Screen, Tiling};

/// A threshold array of ISO 32000-2:2020, 10.6.5.6 (halftone type 16): two rectangles of 16-bit thresholds, the second directly
/// below the first, that tile the plane with the translations (width, −height2) and (width2, height), y down.
///
/// In that standard's words a pixel is black where grey < threshold; grey falls from 65 535 as ink rises. It takes a threshold of 0
/// as 1, so that a solid is full ink there whatever the curve: one that holds the solid back cannot be carried.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Type16 {
    /// Columns of the first rectangle.
    pub width: usize,
    /// Rows of the first rectangle.
    pub height: usize,
    /// Columns and rows of the second rectangle; none if one tiles alone.
    pub second: Option<(usize, usize)>,
    /// Thresholds, high byte first, row by row, the first rectangle before the second.
    pub bytes: Vec<u8>,
}

impl Screen {
    /// How the thresholds repeat in film pixels.
    pub fn tiling(&self) -> Tiling {
        self.0.words.tiling()
    }

    /// The thresholds of 8-bit plates, row by row over one [tiling](Self::tiling): ink where tone > threshold.
    pub fn thresholds_u8(&self) -> Array2<u8> {
        self.0.bytes.array()
    }

    /// The thresholds of 16-bit plates, row by row over one [tiling](Self::tiling): ink where tone > threshold.
    pub fn thresholds_u16(&self) -> Array2<u16> {
        self.0.words.array()
    }

    /// The thresholds as a halftone of type 16 of ISO 32000, with mode and curve folded in.
    ///
    /// A brick whose courses stand s to the right of each other is cut after w − s columns; the rest of it is the second
    /// rectangle.
    pub fn type16(&self) -> Type16 {
        let tiling = self.tiling();
        let thresholds = self.thresholds_u16();
        let cut = tiling.width - tiling.shift;
        let mut bytes = Vec::with_capacity(2 * tiling.pixels());
        for columns in [0..cut, cut..tiling.width] {
            for row in thresholds.rows() {
                for column in columns.clone() {
                    // Ink ⇔ tone > t, and grey = 65 535 − tone: black ⇔ grey < 65 535 − t.
                    bytes.extend((u16::MAX - row[column]).to_be_bytes());
                }
            }
        }
        Type16 {
            width: cut,
            height: tiling.height,
            second: (tiling.shift > 0).then_some((tiling.shift, tiling.height)),
            bytes,
        }
    }
}
