//! Films read back: TIFF, PNG and PBM of one bit, this library's own and others'.
//!
//! What is black is ink, however the file says so: TIFF's `WhiteIsZero` and `BlackIsZero`, PNG's 0, PBM's 1. A file's head is not believed: rows are
//! taken into memory as they are decoded, up to 2 GiB of them, so that a few bytes cannot ask for more than they hold.
//!
//! T.6 is decoded by the `fax` crate, strip by strip; the `tiff` crate's own way to it ends at 65 535 pixels a side.

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::Path;

use fax::decoder::{DecodeStatus, Group4Decoder};
use tiff::ColorType;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::{CompressionMethod, PhotometricInterpretation, Tag};

use crate::error::{Error, Result};
use crate::film::{Film, row_bytes};
use crate::io::new_file::io_error;
use crate::io::pbm::last_byte_mask;
use crate::io::plate_reader::{png_error, read_error, read_up_to};
use crate::io::tiff_plate::{resolution, tiff_error};
use crate::units::Resolution;

/// Most bytes of packed rows of a film.
const MAX_BYTES: u64 = 1 << 31;

/// Most bytes of a strip, packed or not.
const MAX_STRIP: usize = 1 << 28;

/// Reads a film, and the resolution that its file states, if it does. The format is told by the first bytes, not by the name.
///
/// Errors: a file that cannot be read, is cut off or damaged; pictures of more than one bit; films of more than 2 GiB.
pub fn read_film(path: impl AsRef<Path>) -> Result<(Film, Option<Resolution>)> {
    let path = path.as_ref();
    let mut file = File::open(path).map_err(|e| io_error(path, e))?;
    let mut magic = [0; 4];
    let got = read_up_to(&mut file, &mut magic).map_err(|e| io_error(path, e))?;
    file.rewind().map_err(|e| io_error(path, e))?;
    let file = BufReader::with_capacity(1 << 16, file);
    match &magic[..got] {
        b"\x89PNG" => from_png(file, path),
        b"II\x2a\0" | b"MM\0\x2a" | b"II\x2b\0" | b"MM\0\x2b" => from_tiff(file, path),
        [b'P', b'4', ..] => Ok((from_pbm(file, path)?, None)),
        [] => Err(Error::data(path.display(), "the file is empty")),
        _ => Err(Error::data(path.display(), "neither a TIFF, a PNG nor a PBM (P4)")),
    }
}

/// Rows as they come.
struct Rows<'a> {
    path: &'a Path,
    width: usize,
    height: usize,
    bits: Vec<u8>,
}

impl<'a> Rows<'a> {
    fn new(path: &'a Path, width: usize, height: usize) -> Result<Self> {
        if width == 0 || height == 0 {
            return Err(Error::data(path.display(), "the picture is empty"));
        }
        let needed = (row_bytes(width) as u64).saturating_mul(height as u64);
        if needed > MAX_BYTES {
            return Err(Error::Limit { what: "a film read as a whole, in bytes,", needed, limit: MAX_BYTES });
        }
        Ok(Self { path, width, height, bits: Vec::new() })
    }

    /// A row of packed bits, ink 1, or the complement of one.
    fn push(&mut self, row: &[u8], flip: bool) -> Result<()> {
        let bytes = row_bytes(self.width);
        let (Some(row), true) = (row.get(..bytes), self.bits.len() < bytes * self.height) else {
            return Err(Error::data(self.path.display(), "rows are not as long or as many as it says"));
        };
        self.bits
            .try_reserve(bytes)
            .map_err(|_| Error::Memory { what: "a film", bytes: self.bits.len() as u64 })?;
        let flip = if flip { 0xff } else { 0 };
        self.bits.extend(row.iter().map(|byte| byte ^ flip));
        if let Some(last) = self.bits.last_mut() {
            *last &= last_byte_mask(self.width);
        }
        Ok(())
    }

    fn finish(self) -> Result<Film> {
        if self.bits.len() < row_bytes(self.width) * self.height {
            return Err(Error::data(self.path.display(), "ends before its last row"));
        }
        Film::from_bits(self.width, self.height, self.bits)
    }
}

fn from_png(file: BufReader<File>, path: &Path) -> Result<(Film, Option<Resolution>)> {
    let mut decoder = png::Decoder::new(file);
    decoder.set_transformations(png::Transformations::IDENTITY);
    let mut reader = decoder.read_info().map_err(|e| png_error(path, e))?;
    let info = reader.info();
    if (info.color_type, info.bit_depth) != (png::ColorType::Grayscale, png::BitDepth::One) {
        let kind = format!("{:?} of {:?} bits", info.color_type, info.bit_depth);
        return Err(Error::data(path.display(), format!("{kind}; a film is grey of one bit")));
    }
    if info.interlaced {
        return Err(Error::data(path.display(), "an interlaced PNG; save it without interlacing"));
    }
    let resolution = info.pixel_dims.filter(|dims| dims.unit == png::Unit::Meter);
    let resolution = resolution.and_then(|dims| Resolution::per_metre_xy(dims.xppu, dims.yppu).ok());
    let mut rows = Rows::new(path, info.width as usize, info.height as usize)?;
    while let Some(row) = reader.next_row().map_err(|e| png_error(path, e))? {
        rows.push(row.data(), true)?;
    }
    Ok((rows.finish()?, resolution))
}

fn from_pbm(mut file: BufReader<File>, path: &Path) -> Result<Film> {
    let bad = |why: &str| Error::data(path.display(), why);
    let mut numbers = [0_usize; 2];
    let mut next = || -> Result<u8> {
        let mut byte = [0];
        file.read_exact(&mut byte).map_err(|e| read_error(path, e))?;
        Ok(byte[0])
    };
    next()?;
    next()?;
    let mut byte = next()?;
    for number in &mut numbers {
        // White space and remarks, then digits up to one white space.
        while byte.is_ascii_whitespace() || byte == b'#' {
            if byte == b'#' {
                while byte != b'\n' {
                    byte = next()?;
                }
            }
            byte = next()?;
        }
        if !byte.is_ascii_digit() {
            return Err(bad("its head does not tell width and height"));
        }
        while byte.is_ascii_digit() {
            *number = number.saturating_mul(10).saturating_add(usize::from(byte - b'0'));
            byte = next()?;
        }
    }
    if !byte.is_ascii_whitespace() {
        return Err(bad("its head does not end in white space"));
    }
    let mut rows = Rows::new(path, numbers[0], numbers[1])?;
    let mut row = crate::error::filled("a row of a film", row_bytes(numbers[0]), 0_u8)?;
    for _ in 0..numbers[1] {
        file.read_exact(&mut row).map_err(|e| read_error(path, e))?;
        rows.push(&row, false)?;
    }
    rows.finish()
}

fn from_tiff(file: BufReader<File>, path: &Path) -> Result<(Film, Option<Resolution>)> {
    let bad = |e| tiff_error(path, e);
    let mut limits = Limits::default();
    (limits.decoding_buffer_size, limits.intermediate_buffer_size) = (MAX_STRIP, MAX_STRIP);
    let mut decoder = Decoder::new(file).map_err(bad)?.with_limits(limits);
    let (width, height) = decoder.dimensions().map_err(bad)?;
    match decoder.colortype().map_err(bad)? {
        ColorType::Gray(1) => {}
        other => {
            return Err(Error::data(path.display(), format!("{other:?} pixels; a film has one bit")));
        }
    }
    if decoder.find_tag_unsigned::<u16>(Tag::Orientation).map_err(bad)?.is_some_and(|value| value != 1) {
        let why = "an orientation other than top left; save it upright";
        return Err(Error::data(path.display(), why));
    }
    let resolution = resolution(&mut decoder);
    let rows = Rows::new(path, width as usize, height as usize)?;
    let compression = decoder.find_tag_unsigned::<u16>(Tag::Compression).map_err(bad)?;
    let film = if compression == Some(CompressionMethod::Fax4.to_u16()) {
        from_t6(&mut decoder, rows)?
    } else {
        from_strips(&mut decoder, rows)?
    };
    Ok((film, resolution))
}

/// Strips that the `tiff` crate unpacks. It turns `WhiteIsZero` round, so that 0 is black either way.
fn from_strips(decoder: &mut Decoder<BufReader<File>>, mut rows: Rows<'_>) -> Result<Film> {
    let path = rows.path;
    let bad = |e| tiff_error(path, e);
    let (wide, high) = decoder.chunk_dimensions();
    if wide as usize != rows.width || high == 0 {
        return Err(Error::data(path.display(), "a film in tiles; save it in strips"));
    }
    for strip in 0..(rows.height as u32).div_ceil(high) {
        let (_, high) = decoder.chunk_data_dimensions(strip);
        let DecodingResult::U8(data) = decoder.read_chunk(strip).map_err(bad)? else {
            return Err(Error::data(path.display(), "samples of more than one bit"));
        };
        for row in data.chunks(row_bytes(rows.width)).take(high as usize) {
            rows.push(row, true)?;
        }
    }
    rows.finish()
}

fn from_t6(decoder: &mut Decoder<BufReader<File>>, mut rows: Rows<'_>) -> Result<Film> {
    let path = rows.path;
    let bad = |e| tiff_error(path, e);
    let damaged = || Error::data(path.display(), "its T.6 data are damaged");
    let photometric = decoder.find_tag_unsigned::<u16>(Tag::PhotometricInterpretation).map_err(bad)?;
    // Fax black is ink, unless the file says that its zeros are black.
    let flip = photometric == Some(PhotometricInterpretation::BlackIsZero.to_u16());
    let reversed = decoder.find_tag_unsigned::<u16>(Tag::FillOrder).map_err(bad)? == Some(2);
    let offsets = decoder.get_tag_u64_vec(Tag::StripOffsets).map_err(bad)?;
    let lengths = decoder.get_tag_u64_vec(Tag::StripByteCounts).map_err(bad)?;
    let (_, high) = decoder.chunk_dimensions();
    if lengths.len() != offsets.len() || high == 0 {
        return Err(damaged());
    }
    let width = rows.width as u32;
    for (offset, length) in offsets.into_iter().zip(lengths) {
        let high = (high as usize).min(rows.height - rows.bits.len() / row_bytes(rows.width));
        let file = decoder.inner();
        file.seek(SeekFrom::Start(offset)).map_err(|e| read_error(path, e))?;
        let bytes = file.by_ref().take(length).bytes();
        let bytes = bytes.map(|byte| byte.map(|byte| if reversed { byte.reverse_bits() } else { byte }));
        let mut strip = Group4Decoder::new(bytes, width).map_err(|e| read_error(path, e))?;
        let mut row = crate::error::filled("a row of a film", row_bytes(rows.width), 0_u8)?;
        for _ in 0..high {
            match strip.advance() {
                Ok(DecodeStatus::Incomplete) => {}
                Ok(DecodeStatus::End) | Err(_) => return Err(damaged()),
            }
            row.fill(0);
            // Changes of colour, beginning with white: black from each at an even place to the next.
            let mut last = 0;
            for run in strip.transition().chunks(2) {
                let [from, to] = [run[0], run.get(1).copied().unwrap_or(width)];
                if from < last || to < from || to > width {
                    return Err(damaged());
                }
                fill(&mut row, from as usize, to as usize);
                last = to;
            }
            rows.push(&row, flip)?;
        }
    }
    rows.finish()
}

/// Sets the bits of the columns `from..to`.
fn fill(row: &mut [u8], from: usize, to: usize) {
    if from >= to {
        return;
    }
    let (first, last) = (from / 8, (to - 1) / 8);
    let (head, tail) = (0xff >> (from % 8), !(0x7f >> ((to - 1) % 8)));
    if first == last {
        row[first] |= head & tail;
    } else {
        row[first] |= head;
        row[first + 1..last].fill(0xff);
        row[last] |= tail;
    }
}
