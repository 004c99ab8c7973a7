//! TIFF films: one bilevel picture in strips (TIFF 6.0, Aldus 1992).
//!
//! Ink is bit 1 under `WhiteIsZero`, which is also how T.6 data are meant (section 11: a run of fax white is white).

use std::io::{self, Seek, Write};

use tiff::encoder::compression::{CompressionAlgorithm, Packbits};

use crate::film::row_bytes;
use crate::io::pbm::last_byte_mask;
use crate::io::t6;
use crate::io::tiff_file::{TiffFile, Value};
use crate::io::{FilmSpec, TiffCompression};

/// Bytes of unpacked rows in a strip. A reader must unpack a strip as a whole; the standard's 8 KB would leave T.6 little to
/// refer to above each row.
pub(crate) const STRIP_BYTES: usize = 1 << 18;

#[derive(Debug)]
pub(crate) struct TiffFilm<W> {
    file: TiffFile<W>,
    spec: FilmSpec,
    packing: Packing,
    /// The current row with its pad bits cleared.
    row: Vec<u8>,
    pad: u8,
    strip: Vec<u8>,
    rows_in_strip: usize,
    rows_per_strip: usize,
}

/// How rows become the bytes of a strip.
#[derive(Debug)]
enum Packing {
    None,
    PackBits,
    T6(t6::Encoder),
}

impl<W: Write + Seek> TiffFilm<W> {
    pub(crate) fn new(out: W, spec: &FilmSpec, compression: TiffCompression) -> io::Result<Self> {
        let bytes = row_bytes(spec.width);
        Ok(Self {
            file: TiffFile::new(out)?,
            spec: *spec,
            packing: match compression {
                TiffCompression::None => Packing::None,
                TiffCompression::PackBits => Packing::PackBits,
                TiffCompression::T6 => Packing::T6(t6::Encoder::new(spec.width as u32)),
            },
            row: vec![0; bytes],
            pad: last_byte_mask(spec.width),
            strip: Vec::new(),
            rows_in_strip: 0,
            rows_per_strip: (STRIP_BYTES / bytes).clamp(1, spec.height),
        })
    }

    pub(crate) fn row(&mut self, row: &[u8]) -> io::Result<()> {
        self.row.copy_from_slice(row);
        if let Some(last) = self.row.last_mut() {
            *last &= self.pad;
        }
        match &mut self.packing {
            Packing::None => self.strip.extend_from_slice(&self.row),
            // Each row is packed by itself (section 9).
            Packing::PackBits => {
                Packbits.write_to(&mut self.strip, &self.row)?;
            }
            Packing::T6(encoder) => encoder.push_row(&self.row, &mut self.strip),
        }
        self.rows_in_strip += 1;
        if self.rows_in_strip == self.rows_per_strip { self.end_strip() } else { Ok(()) }
    }

    fn end_strip(&mut self) -> io::Result<()> {
        if let Packing::T6(encoder) = &mut self.packing {
            encoder.finish(&mut self.strip);
        }
        self.file.strip(&self.strip)?;
        self.strip.clear();
        self.rows_in_strip = 0;
        Ok(())
    }

    pub(crate) fn finish(mut self) -> io::Result<W> {
        if self.rows_in_strip > 0 {
            self.end_strip()?;
        }
        let compression = match self.packing {
            Packing::None => 1,
            Packing::PackBits => 32_773,
            Packing::T6(_) => 4,
        };
        let mut entries = vec![
            (256, Value::Long(self.spec.width as u32)),     // ImageWidth
            (257, Value::Long(self.spec.height as u32)),    // ImageLength
            (258, Value::Short(1)),                         // BitsPerSample
            (259, Value::Short(compression)),               // Compression
            (262, Value::Short(0)),                         // PhotometricInterpretation: WhiteIsZero
            (266, Value::Short(1)),                         // FillOrder: leftmost pixel in the highest bit
            (277, Value::Short(1)),                         // SamplesPerPixel
            (278, Value::Long(self.rows_per_strip as u32)), // RowsPerStrip
        ];
        if compression == 4 {
            entries.push((293, Value::Long(0))); // T6Options: no uncompressed mode
        }
        self.file.finish(entries, self.spec.resolution)
    }
}
