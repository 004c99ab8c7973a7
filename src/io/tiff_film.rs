//! TIFF films: one bilevel picture in strips (TIFF 6.0, Aldus 1992).
//!
//! Ink is bit 1 under `WhiteIsZero`, which is also how T.6 data are meant (section 11: a run of fax white is white).
//!
//! The directory is written by hand, behind the strips, since only then is it known whether the file has outgrown the 4 GiB of
//! a classic TIFF: the first bytes are written last, as a TIFF's or as a `BigTIFF`'s. The `tiff` crate must choose before the
//! first strip and has no bilevel pictures.

use std::io::{self, Seek, SeekFrom, Write};

use tiff::encoder::compression::{CompressionAlgorithm, Packbits};

use crate::film::row_bytes;
use crate::io::pbm::last_byte_mask;
use crate::io::t6;
use crate::io::{FilmSpec, TiffCompression};

/// Bytes of unpacked rows in a strip. A reader must unpack a strip as a whole; the standard's 8 KB would leave T.6 little to
/// refer to above each row.
const STRIP_BYTES: usize = 1 << 18;

/// Room at the start for the longer of the two headers.
const HEADER: u64 = 16;

/// XResolution and YResolution are kept to a ten-thousandth of a pixel per inch.
const RESOLUTION_PARTS: u32 = 10_000;

#[derive(Debug)]
pub(crate) struct TiffFilm<W> {
    out: W,
    spec: FilmSpec,
    packing: Packing,
    /// The current row with its pad bits cleared.
    row: Vec<u8>,
    pad: u8,
    strip: Vec<u8>,
    rows_in_strip: usize,
    rows_per_strip: usize,
    /// Where the next strip goes.
    at: u64,
    offsets: Vec<u64>,
    lengths: Vec<u64>,
}

/// How rows become the bytes of a strip.
#[derive(Debug)]
enum Packing {
    None,
    PackBits,
    T6(t6::Encoder),
}

impl<W: Write + Seek> TiffFilm<W> {
    pub(crate) fn new(mut out: W, spec: &FilmSpec, compression: TiffCompression) -> io::Result<Self> {
        out.write_all(&[0; HEADER as usize])?;
        let bytes = row_bytes(spec.width);
        Ok(Self {
            out,
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
            at: HEADER,
            offsets: Vec::new(),
            lengths: Vec::new(),
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
        self.out.write_all(&self.strip)?;
        self.offsets.push(self.at);
        self.lengths.push(self.strip.len() as u64);
        self.at += self.strip.len() as u64;
        self.strip.clear();
        self.rows_in_strip = 0;
        Ok(())
    }

    pub(crate) fn finish(mut self) -> io::Result<W> {
        if self.rows_in_strip > 0 {
            self.end_strip()?;
        }
        // Words begin at even places.
        if self.at % 2 == 1 {
            self.out.write_all(&[0])?;
            self.at += 1;
        }
        let lists = 8 * (self.offsets.len() + self.lengths.len()) as u64 + 1024;
        let big = self.at + lists > u64::from(u32::MAX);
        let directory = Directory { big, at: self.at }.bytes(&self.entries());
        self.out.write_all(&directory.bytes)?;
        self.out.seek(SeekFrom::Start(0))?;
        if big {
            self.out.write_all(b"II\x2b\0\x08\0\0\0")?;
            self.out.write_all(&directory.start.to_le_bytes())?;
        } else {
            self.out.write_all(b"II\x2a\0")?;
            self.out.write_all(&(directory.start as u32).to_le_bytes())?;
        }
        Ok(self.out)
    }

    /// The tags, in rising order as they must be.
    fn entries(&self) -> Vec<(u16, Value)> {
        let resolution =
            |r: f64| Value::Rational((r * f64::from(RESOLUTION_PARTS)).round() as u32, RESOLUTION_PARTS);
        let compression = match self.packing {
            Packing::None => 1,
            Packing::PackBits => 32_773,
            Packing::T6(_) => 4,
        };
        let mut entries = vec![
            (254, Value::Long(0)),                          // NewSubfileType: a full picture
            (256, Value::Long(self.spec.width as u32)),     // ImageWidth
            (257, Value::Long(self.spec.height as u32)),    // ImageLength
            (258, Value::Short(1)),                         // BitsPerSample
            (259, Value::Short(compression)),               // Compression
            (262, Value::Short(0)),                         // PhotometricInterpretation: WhiteIsZero
            (266, Value::Short(1)),                         // FillOrder: leftmost pixel in the highest bit
            (273, Value::Offsets(self.offsets.clone())),    // StripOffsets
            (277, Value::Short(1)),                         // SamplesPerPixel
            (278, Value::Long(self.rows_per_strip as u32)), // RowsPerStrip
            (279, Value::Offsets(self.lengths.clone())),    // StripByteCounts
            (282, resolution(self.spec.resolution.x())),    // XResolution
            (283, resolution(self.spec.resolution.y())),    // YResolution
        ];
        if compression == 4 {
            entries.push((293, Value::Long(0))); // T6Options: no uncompressed mode
        }
        entries.push((296, Value::Short(2))); // ResolutionUnit: inch
        entries
    }
}

enum Value {
    Short(u16),
    Long(u32),
    Rational(u32, u32),
    /// 32-bit numbers in a TIFF, 64-bit ones in a `BigTIFF`.
    Offsets(Vec<u64>),
}

/// Writes values too long for their entry first, then the directory that points at them.
struct Directory {
    big: bool,
    at: u64,
}

struct DirectoryBytes {
    bytes: Vec<u8>,
    /// Where in the file the directory begins.
    start: u64,
}

impl Directory {
    fn bytes(&self, entries: &[(u16, Value)]) -> DirectoryBytes {
        let mut bytes = Vec::new();
        let mut table = Vec::new();
        if self.big {
            table.extend((entries.len() as u64).to_le_bytes());
        } else {
            table.extend((entries.len() as u16).to_le_bytes());
        }
        for (tag, value) in entries {
            let (kind, count, data) = self.field(value);
            table.extend(tag.to_le_bytes());
            table.extend(kind.to_le_bytes());
            self.number(&mut table, count);
            let room = if self.big { 8 } else { 4 };
            if data.len() <= room {
                table.extend(&data);
                table.resize(table.len() + room - data.len(), 0);
            } else {
                self.number(&mut table, self.at + bytes.len() as u64);
                bytes.extend(&data);
            }
        }
        self.number(&mut table, 0); // no further directory
        let start = self.at + bytes.len() as u64;
        bytes.extend(table);
        DirectoryBytes { bytes, start }
    }

    /// Field type, count and bytes of a value.
    fn field(&self, value: &Value) -> (u16, u64, Vec<u8>) {
        match value {
            Value::Short(n) => (3, 1, n.to_le_bytes().to_vec()),
            Value::Long(n) => (4, 1, n.to_le_bytes().to_vec()),
            Value::Rational(n, d) => (5, 1, [n.to_le_bytes(), d.to_le_bytes()].concat()),
            Value::Offsets(list) => {
                let mut data = Vec::new();
                for &n in list {
                    self.number(&mut data, n);
                }
                (if self.big { 16 } else { 4 }, list.len() as u64, data)
            }
        }
    }

    fn number(&self, out: &mut Vec<u8>, n: u64) {
        if self.big {
            out.extend(n.to_le_bytes());
        } else {
            out.extend((n as u32).to_le_bytes());
        }
    }
}
