//! Plates from grey PNG and TIFF files, row by row.
//!
//! Files hold brightness, so black is solid ink unless the caller says that light is ink; this is the one place where it is
//! turned round. Colour and transparency are refused, not guessed at.

use std::fs::File;
use std::io::{BufReader, ErrorKind, Read, Seek};
use std::path::{Path, PathBuf};

use ndarray::Array2;

use crate::error::{Error, Result, filled, reserve};
use crate::io::new_file::io_error;
use crate::io::tiff_plate::TiffPlate;
use crate::plate::{Plate, Tone};
use crate::units::Resolution;

/// The sample size of a plate file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Depth {
    /// Up to 8 bits.
    U8,
    /// 16 bits.
    U16,
}

/// A grey picture being read as a plate, from the top down.
pub struct PlateReader {
    path: PathBuf,
    source: Source,
    shape: Shape,
    light_is_ink: bool,
    next: usize,
    /// Samples of one row as the file has them.
    row: Row,
}

enum Source {
    Png(Box<png::Reader<BufReader<File>>>),
    Tiff(Box<TiffPlate<BufReader<File>>>),
}

/// What a plate file says of itself.
pub(crate) struct Shape {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) depth: Depth,
    pub(crate) resolution: Option<Resolution>,
}

/// One row of brightness.
pub(crate) enum Row {
    U8(Vec<u8>),
    U16(Vec<u16>),
}

/// A plate read as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlateBuffer {
    /// From up to 8 bits.
    U8(Array2<u8>),
    /// From 16 bits.
    U16(Array2<u16>),
}

impl<'a> From<&'a PlateBuffer> for Plate<'a> {
    fn from(buffer: &'a PlateBuffer) -> Self {
        match buffer {
            PlateBuffer::U8(samples) => samples.view().into(),
            PlateBuffer::U16(samples) => samples.view().into(),
        }
    }
}

impl PlateReader {
    /// Opens a grey PNG of up to 16 bits or a grey TIFF of 8 or 16; the kind is told by the first bytes, not by the name.
    ///
    /// Errors: a file that cannot be read; colour, transparency, floating point; an interlaced PNG (its rows do not come in
    /// order).
    pub fn open(path: impl Into<PathBuf>) -> Result<Self> {
        let path = path.into();
        let mut file = File::open(&path).map_err(|e| io_error(&path, e))?;
        let mut magic = [0; 4];
        let got = read_up_to(&mut file, &mut magic).map_err(|e| io_error(&path, e))?;
        file.rewind().map_err(|e| io_error(&path, e))?;
        let file = BufReader::with_capacity(1 << 16, file);
        let bad = |why: &str| Error::data(path.display(), why);
        let (source, shape) = match &magic[..got] {
            b"\x89PNG" => open_png(file, &path)?,
            b"II\x2a\0" | b"MM\0\x2a" | b"II\x2b\0" | b"MM\0\x2b" => {
                let (tiff, shape) = TiffPlate::open(file, &path)?;
                (Source::Tiff(Box::new(tiff)), shape)
            }
            [] => return Err(bad("the file is empty")),
            _ => return Err(bad("neither a PNG nor a TIFF")),
        };
        let row = match shape.depth {
            Depth::U8 => Row::U8(filled("a row of a plate", shape.width, 0)?),
            Depth::U16 => Row::U16(filled("a row of a plate", shape.width, 0)?),
        };
        Ok(Self { path, source, shape, light_is_ink: false, next: 0, row })
    }

    /// Takes white as solid ink instead of black.
    #[must_use]
    pub fn light_is_ink(self, light_is_ink: bool) -> Self {
        Self { light_is_ink, ..self }
    }

    /// Width in samples.
    pub fn width(&self) -> usize {
        self.shape.width
    }

    /// Height in rows.
    pub fn height(&self) -> usize {
        self.shape.height
    }

    /// Sample size.
    pub fn depth(&self) -> Depth {
        self.shape.depth
    }

    /// The resolution that the file states, if it does.
    pub fn resolution(&self) -> Option<Resolution> {
        self.shape.resolution
    }

    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Reads the next row as tone. Fails past the last row, where the file is damaged, and for a 16-bit plate asked for as
    /// 8 bits; 8-bit samples widen to 16 without loss.
    pub fn read_row<T: Tone>(&mut self, tones: &mut [T]) -> Result<()> {
        if tones.len() != self.shape.width || self.next == self.shape.height {
            return Err(Error::Extent {
                what: "a row of a plate",
                got_width: tones.len() as u64,
                got_height: self.next as u64 + 1,
                width: self.shape.width as u64,
                height: self.shape.height as u64,
            });
        }
        if T::SOLID == 255 && self.shape.depth == Depth::U16 {
            return Err(Error::value("sample type", "8 bits for a plate of 16", "16 bits"));
        }
        match &mut self.source {
            Source::Png(png) => png_row(png, &mut self.row, &self.path)?,
            Source::Tiff(tiff) => tiff.row(self.next, &mut self.row, &self.path)?,
        }
        let turn = |level: u32| if self.light_is_ink { level } else { T::SOLID - level };
        match &self.row {
            Row::U8(row) => {
                let scale = T::SOLID / 255;
                for (tone, &level) in tones.iter_mut().zip(row) {
                    *tone = T::from_level(turn(u32::from(level) * scale));
                }
            }
            Row::U16(row) => {
                for (tone, &level) in tones.iter_mut().zip(row) {
                    *tone = T::from_level(turn(u32::from(level)));
                }
            }
        }
        self.next += 1;
        Ok(())
    }

    /// Reads all rows that are left, as a plate of its own.
    pub fn read_all(mut self) -> Result<PlateBuffer> {
        Ok(match self.shape.depth {
            Depth::U8 => PlateBuffer::U8(self.rest()?),
            Depth::U16 => PlateBuffer::U16(self.rest()?),
        })
    }

    fn rest<T: Tone>(&mut self) -> Result<Array2<T>> {
        let (rows, width) = (self.shape.height - self.next, self.shape.width);
        // Taken up row by row: a header alone is not believed.
        let mut samples = reserve("a plate", rows.saturating_mul(width))?;
        for row in 0..rows {
            samples.resize((row + 1) * width, T::zero());
            self.read_row(&mut samples[row * width..])?;
        }
        Ok(Array2::from_shape_vec((rows, width), samples).expect("rows times width samples"))
    }
}

pub(crate) fn read_up_to(file: &mut File, buffer: &mut [u8]) -> std::io::Result<usize> {
    let mut got = 0;
    while got < buffer.len() {
        match file.read(&mut buffer[got..])? {
            0 => break,
            n => got += n,
        }
    }
    Ok(got)
}

fn open_png(file: BufReader<File>, path: &Path) -> Result<(Source, Shape)> {
    let bad = |why: String| Error::data(path.display(), why);
    let mut decoder = png::Decoder::new(file);
    // Grey of 1, 2 and 4 bits becomes 8.
    decoder.set_transformations(png::Transformations::EXPAND);
    let reader = decoder.read_info().map_err(|e| png_error(path, e))?;
    let info = reader.info();
    if info.interlaced {
        return Err(bad("an interlaced PNG; save it without interlacing".to_owned()));
    }
    let depth = match reader.output_color_type() {
        (png::ColorType::Grayscale, png::BitDepth::Eight) => Depth::U8,
        (png::ColorType::Grayscale, png::BitDepth::Sixteen) => Depth::U16,
        _ => {
            return Err(bad(format!(
                "{:?} pixels; a plate is a grey picture without transparency",
                info.color_type
            )));
        }
    };
    let resolution = info.pixel_dims.filter(|dims| dims.unit == png::Unit::Meter);
    let shape = Shape {
        width: info.width as usize,
        height: info.height as usize,
        depth,
        resolution: resolution.and_then(|dims| Resolution::per_metre_xy(dims.xppu, dims.yppu).ok()),
    };
    Ok((Source::Png(Box::new(reader)), shape))
}

fn png_row(reader: &mut png::Reader<BufReader<File>>, row: &mut Row, path: &Path) -> Result<()> {
    let read = reader.next_row().map_err(|e| png_error(path, e))?;
    let data = read.ok_or_else(|| Error::data(path.display(), "ends before its last row"))?;
    let data = data.data();
    match row {
        Row::U8(row) => {
            let samples = &data[..row.len()];
            row.copy_from_slice(samples);
        }
        Row::U16(row) => {
            for (sample, bytes) in row.iter_mut().zip(data.as_chunks::<2>().0) {
                *sample = u16::from_be_bytes(*bytes);
            }
        }
    }
    Ok(())
}

pub(crate) fn png_error(path: &Path, error: png::DecodingError) -> Error {
    match error {
        png::DecodingError::IoError(source) => read_error(path, source),
        other => Error::data(path.display(), other),
    }
}

/// A file that ends too soon or cannot be unpacked is itself at fault; anything else is the system's answer.
pub(crate) fn read_error(path: &Path, source: std::io::Error) -> Error {
    match source.kind() {
        ErrorKind::UnexpectedEof => Error::data(path.display(), "the file ends too soon"),
        ErrorKind::InvalidData | ErrorKind::InvalidInput => Error::data(path.display(), source),
        _ => io_error(path, source),
    }
}
