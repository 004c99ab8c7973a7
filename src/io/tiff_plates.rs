//! TIFF plates: one grey sample, or a sample for each ink with the inks' names (TIFF 6.0, Aldus 1992, sections 13, 14 and 16).
//!
//! Packed with LZW over differences, which are part of TIFF 6.0; Deflate would be smaller, but is a later addition that old readers lack.

use std::io::{self, Seek, Write};

use tiff::encoder::compression::{CompressionAlgorithm, Lzw};

use crate::io::hand_over::differences;
use crate::io::tiff_file::{TiffFile, Value};
use crate::io::tiff_film::STRIP_BYTES;
use crate::plate::Tone;
use crate::units::Resolution;

pub(crate) struct TiffPlates<W> {
    file: TiffFile<W>,
    width: usize,
    height: usize,
    /// The inks' names, each ended by a NUL; none for a grey picture.
    names: Vec<u8>,
    samples: usize,
    strip: Vec<u8>,
    rows_in_strip: usize,
    packed: Vec<u8>,
}

impl<W: Write + Seek> TiffPlates<W> {
    /// One sample of brightness.
    pub(crate) fn grey(out: W, size: [usize; 2]) -> io::Result<Self> {
        Self::new(out, size, Vec::new(), 1)
    }

    /// A sample of tone for each ink.
    pub(crate) fn inks(out: W, size: [usize; 2], names: &[&str]) -> io::Result<Self> {
        let ended = names.iter().flat_map(|name| name.bytes().chain([0])).collect();
        Self::new(out, size, ended, names.len())
    }

    fn new(out: W, [width, height]: [usize; 2], names: Vec<u8>, samples: usize) -> io::Result<Self> {
        let (strip, packed) = (Vec::new(), Vec::new());
        Ok(Self { file: TiffFile::new(out)?, width, height, names, samples, strip, rows_in_strip: 0, packed })
    }

    /// Takes the next row, samples side by side; leaves differences in it.
    pub(crate) fn row<T: Tone>(&mut self, row: &mut [T]) -> io::Result<()> {
        differences(row, self.samples);
        for sample in row.iter() {
            let level: u32 = sample.as_();
            self.strip.push(level as u8);
            if T::SOLID > 255 {
                self.strip.push((level >> 8) as u8);
            }
        }
        self.rows_in_strip += 1;
        if self.rows_in_strip == self.rows_per_strip::<T>() { self.end_strip() } else { Ok(()) }
    }

    fn rows_per_strip<T: Tone>(&self) -> usize {
        (STRIP_BYTES / (self.width * self.samples * size_of::<T>())).clamp(1, self.height)
    }

    fn end_strip(&mut self) -> io::Result<()> {
        self.packed.clear();
        Lzw.write_to(&mut self.packed, &self.strip)?;
        self.file.strip(&self.packed)?;
        self.strip.clear();
        self.rows_in_strip = 0;
        Ok(())
    }

    pub(crate) fn finish<T: Tone>(mut self, resolution: Resolution) -> io::Result<W> {
        if self.rows_in_strip > 0 {
            self.end_strip()?;
        }
        let bits = if T::SOLID == 255 { 8 } else { 16 };
        let is_grey = self.names.is_empty();
        let rows_per_strip = self.rows_per_strip::<T>() as u32;
        let mut entries = vec![
            (256, Value::Long(self.width as u32)),            // ImageWidth
            (257, Value::Long(self.height as u32)),           // ImageLength
            (258, Value::Shorts(vec![bits; self.samples])),   // BitsPerSample
            (259, Value::Short(5)),                           // Compression: LZW
            (262, Value::Short(if is_grey { 1 } else { 5 })), // PhotometricInterpretation: BlackIsZero, Separated
            (277, Value::Short(self.samples as u16)),         // SamplesPerPixel
            (278, Value::Long(rows_per_strip)),               // RowsPerStrip
            (284, Value::Short(1)),                           // PlanarConfiguration: samples side by side
            (317, Value::Short(2)),                           // Predictor: differences
        ];
        if !is_grey {
            entries.extend([
                (332, Value::Short(2)),                   // InkSet: not cyan, magenta, yellow, black
                (333, Value::Ascii(self.names)),          // InkNames
                (334, Value::Short(self.samples as u16)), // NumberOfInks
            ]);
        }
        self.file.finish(entries, resolution)
    }
}
