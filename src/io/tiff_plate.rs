//! Grey TIFF plates, in strips or tiles: one row of chunks in memory at a time.
//!
//! The `tiff` crate turns `WhiteIsZero` samples round, so that brightness comes out either way.

use std::io::{Read, Seek};
use std::path::Path;

use tiff::ColorType;
use tiff::decoder::ifd::Value;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::Tag;

use crate::error::{Error, Result, filled};
use crate::io::plate_reader::{Depth, Row, Shape, read_error};
use crate::units::Resolution;

/// Most bytes of unpacked samples in a strip or a row of tiles, which are in memory as a whole.
const MAX_CHUNK_BYTES: usize = 1 << 28;

pub(crate) struct TiffPlate<R: Read + Seek> {
    decoder: Decoder<R>,
    width: usize,
    height: usize,
    /// Size of a whole strip or tile.
    chunk: (usize, usize),
    /// The row of chunks that is in memory.
    loaded: Option<usize>,
    /// Its rows; empty until a chunk has been read, since a header alone is not believed.
    rows: Row,
}

impl<R: Read + Seek> TiffPlate<R> {
    pub(crate) fn open(file: R, path: &Path) -> Result<(Self, Shape)> {
        let bad = |e| tiff_error(path, e);
        let mut limits = Limits::default();
        (limits.decoding_buffer_size, limits.intermediate_buffer_size) = (MAX_CHUNK_BYTES, MAX_CHUNK_BYTES);
        let mut decoder = Decoder::new(file).map_err(bad)?.with_limits(limits);
        let (width, height) = decoder.dimensions().map_err(bad)?;
        let depth = match decoder.colortype().map_err(bad)? {
            ColorType::Gray(1..=8) => Depth::U8,
            ColorType::Gray(16) => Depth::U16,
            other => {
                let why = format!(
                    "{other:?} pixels; a plate is a grey picture of 8 or 16 bits without transparency"
                );
                return Err(Error::data(path.display(), why));
            }
        };
        if let ColorType::Gray(bits @ 1..8) = decoder.colortype().map_err(bad)? {
            return Err(Error::data(
                path.display(),
                format!("grey of {bits} bits; a TIFF plate has 8 or 16"),
            ));
        }
        let (width, height) = (width as usize, height as usize);
        if width == 0 || height == 0 {
            return Err(Error::data(path.display(), "the picture is empty"));
        }
        let chunk = decoder.chunk_dimensions();
        let chunk = (chunk.0 as usize, (chunk.1 as usize).min(height));
        if chunk.0 == 0 || chunk.1 == 0 {
            return Err(Error::data(path.display(), "strips or tiles without extent"));
        }
        for (tag, name, only) in [
            (Tag::SampleFormat, "samples that are not unsigned whole numbers", 1),
            (Tag::Orientation, "an orientation other than top left; save it upright", 1),
        ] {
            if decoder.find_tag_unsigned::<u16>(tag).map_err(bad)?.is_some_and(|value| value != only) {
                return Err(Error::data(path.display(), name));
            }
        }
        let resolution = resolution(&mut decoder);
        let (rows, bytes) = match depth {
            Depth::U8 => (Row::U8(Vec::new()), 1),
            Depth::U16 => (Row::U16(Vec::new()), 2),
        };
        let needed = (width as u64).saturating_mul(chunk.1 as u64).saturating_mul(bytes);
        let limit = MAX_CHUNK_BYTES as u64;
        if needed > limit {
            return Err(Error::Limit {
                what: "a strip or a row of tiles of a plate, in bytes,",
                needed,
                limit,
            });
        }
        let plate = Self { decoder, width, height, chunk, loaded: None, rows };
        Ok((plate, Shape { width, height, depth, resolution }))
    }

    /// Copies row `y`.
    pub(crate) fn row(&mut self, y: usize, row: &mut Row, path: &Path) -> Result<()> {
        let chunk_row = y / self.chunk.1;
        if self.loaded != Some(chunk_row) {
            self.load(chunk_row, path)?;
            self.loaded = Some(chunk_row);
        }
        let from = y % self.chunk.1 * self.width;
        match (row, &self.rows) {
            (Row::U8(row), Row::U8(rows)) => row.copy_from_slice(&rows[from..][..self.width]),
            (Row::U16(row), Row::U16(rows)) => row.copy_from_slice(&rows[from..][..self.width]),
            _ => unreachable!("a row has the depth of its plate"),
        }
        Ok(())
    }

    fn load(&mut self, chunk_row: usize, path: &Path) -> Result<()> {
        let across = self.width.div_ceil(self.chunk.0);
        let high = self.chunk.1.min(self.height - chunk_row * self.chunk.1);
        for i in 0..across {
            let index = (chunk_row * across + i) as u32;
            let (wide, _) = self.decoder.chunk_data_dimensions(index);
            let wide = wide as usize;
            let data = self.decoder.read_chunk(index).map_err(|e| tiff_error(path, e))?;
            let place = Place { left: i * self.chunk.0, wide, high, width: self.width };
            let samples = self.width * self.chunk.1;
            let whole = match (&data, &mut self.rows) {
                (DecodingResult::U8(data), Row::U8(rows)) => place.copy(data, fill(rows, samples)?),
                (DecodingResult::U16(data), Row::U16(rows)) => place.copy(data, fill(rows, samples)?),
                _ => false,
            };
            if !whole {
                return Err(Error::data(
                    path.display(),
                    format!("strip or tile {index} is not what the file says"),
                ));
            }
        }
        Ok(())
    }
}

/// The rows, given their length at the first call.
fn fill<T: Clone + Default>(rows: &mut Vec<T>, samples: usize) -> Result<&mut [T]> {
    if rows.is_empty() {
        *rows = filled("a strip of a plate", samples, T::default())?;
    }
    Ok(rows)
}

/// Where a chunk stands in its row of chunks.
struct Place {
    left: usize,
    wide: usize,
    high: usize,
    width: usize,
}

impl Place {
    /// Copies a chunk's samples into rows of the whole width; false if there are too few.
    fn copy<T: Copy>(&self, data: &[T], rows: &mut [T]) -> bool {
        if data.len() < self.wide * self.high || self.left + self.wide > self.width {
            return false;
        }
        for y in 0..self.high {
            let to = &mut rows[y * self.width + self.left..][..self.wide];
            to.copy_from_slice(&data[y * self.wide..][..self.wide]);
        }
        true
    }
}

/// XResolution and YResolution, where the file gives them with a unit.
pub(crate) fn resolution<R: Read + Seek>(decoder: &mut Decoder<R>) -> Option<Resolution> {
    // Inch where the tag is missing (TIFF 6.0, section 8).
    let unit = decoder.find_tag_unsigned::<u16>(Tag::ResolutionUnit).ok()?.unwrap_or(2);
    let mut number = |tag| match decoder.get_tag(tag).ok()? {
        Value::Rational(parts, whole) => Some(f64::from(parts) / f64::from(whole)),
        _ => None,
    };
    let (x, y) = (number(Tag::XResolution)?, number(Tag::YResolution)?);
    match unit {
        2 => Resolution::per_inch_xy(x, y).ok(),
        3 => Resolution::per_cm_xy(x, y).ok(),
        _ => None,
    }
}

pub(crate) fn tiff_error(path: &Path, error: tiff::TiffError) -> Error {
    match error {
        tiff::TiffError::IoError(source) => read_error(path, source),
        other => Error::data(path.display(), other),
    }
}
