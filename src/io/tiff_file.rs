//! A TIFF file of one picture in strips: strips first, the directory behind them (TIFF 6.0, Aldus 1992, section 2).
//!
//! Only then is it known whether the file has outgrown the 4 GiB of a classic TIFF: the first bytes are written last, as a TIFF's or as a
//! `BigTIFF`'s. The `tiff` crate must choose before the first strip.

use std::io::{self, Seek, SeekFrom, Write};

use crate::units::Resolution;

/// Room at the start for the longer of the two headers.
const HEADER: u64 = 16;

/// XResolution and YResolution are kept to a ten-thousandth of a pixel per inch.
const RESOLUTION_PARTS: u32 = 10_000;

#[derive(Debug)]
pub(crate) struct TiffFile<W> {
    out: W,
    /// Where the next strip goes.
    at: u64,
    offsets: Vec<u64>,
    lengths: Vec<u64>,
}

/// A tag's value.
pub(crate) enum Value {
    Short(u16),
    Shorts(Vec<u16>),
    Long(u32),
    Rational(u32, u32),
    /// Text with its closing NUL.
    Ascii(Vec<u8>),
    /// 32-bit numbers in a TIFF, 64-bit ones in a `BigTIFF`.
    Offsets(Vec<u64>),
}

impl<W: Write + Seek> TiffFile<W> {
    pub(crate) fn new(mut out: W) -> io::Result<Self> {
        out.write_all(&[0; HEADER as usize])?;
        Ok(Self { out, at: HEADER, offsets: Vec::new(), lengths: Vec::new() })
    }

    /// Writes the next strip.
    pub(crate) fn strip(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.out.write_all(bytes)?;
        self.offsets.push(self.at);
        self.lengths.push(bytes.len() as u64);
        self.at += bytes.len() as u64;
        Ok(())
    }

    /// Writes the directory: `entries`, the strips' places, and the resolution.
    pub(crate) fn finish(mut self, mut entries: Vec<(u16, Value)>, resolution: Resolution) -> io::Result<W> {
        // Words begin at even places.
        if self.at % 2 == 1 {
            self.out.write_all(&[0])?;
            self.at += 1;
        }
        let rational =
            |r: f64| Value::Rational((r * f64::from(RESOLUTION_PARTS)).round() as u32, RESOLUTION_PARTS);
        entries.extend([
            (254, Value::Long(0)),               // NewSubfileType: a full picture
            (273, Value::Offsets(self.offsets)), // StripOffsets
            (279, Value::Offsets(self.lengths)), // StripByteCounts
            (282, rational(resolution.x())),     // XResolution
            (283, rational(resolution.y())),     // YResolution
            (296, Value::Short(2)),              // ResolutionUnit: inch
        ]);
        entries.sort_by_key(|entry| entry.0);
        let directory = |big| Directory { big, at: self.at }.bytes(&entries);
        let mut big = false;
        let mut written = directory(big);
        if self.at + written.bytes.len() as u64 > u64::from(u32::MAX) {
            big = true;
            written = directory(big);
        }
        self.out.write_all(&written.bytes)?;
        self.out.seek(SeekFrom::Start(0))?;
        if big {
            self.out.write_all(b"II\x2b\0\x08\0\0\0")?;
            self.out.write_all(&written.start.to_le_bytes())?;
        } else {
            self.out.write_all(b"II\x2a\0")?;
            self.out.write_all(&(written.start as u32).to_le_bytes())?;
        }
        Ok(self.out)
    }
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
                // Values begin at even places.
                bytes.resize(bytes.len().next_multiple_of(2), 0);
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
            Value::Shorts(list) => {
                (3, list.len() as u64, list.iter().flat_map(|n| n.to_le_bytes()).collect())
            }
            Value::Ascii(text) => (2, text.len() as u64, text.clone()),
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
