//! What the files of art say of themselves: resolution, alpha, and kinds of pixels that are no red, green and blue.
//!
//! The decoders tell little of this: they turn CMYK into RGB in silence, give up no resolution, and take a JPEG that ends in the
//! middle for a whole one. So the heads are read here first: PNG chunks (ISO/IEC 15948, clause 5 and 11.3.5.3), TIFF tags (TIFF
//! 6.0), JPEG segments (ITU-T T.81, annex B; density by JFIF 1.02).

use std::io::Cursor;
use std::path::Path;

use image::ImageFormat;
use tiff::ColorType;
use tiff::decoder::Decoder;
use tiff::tags::Tag;

use crate::error::{Error, Result};
use crate::io::tiff_plate::{resolution, tiff_error};
use crate::units::Resolution;

/// What a file says of itself.
pub(crate) struct Head {
    pub(crate) format: ImageFormat,
    pub(crate) resolution: Option<Resolution>,
    /// Colours are stored multiplied by alpha.
    pub(crate) premultiplied: bool,
    /// The profile embedded in a TIFF, which the decoder passes over in silence where it is cut off.
    pub(crate) profile: Option<Vec<u8>>,
}

const CUT: &str = "the file ends too soon";
const CMYK: &str = "CMYK pixels; art is red, green and blue: convert it first";

/// Reads the head; the kind of file is told by its first bytes, not by its name.
pub(crate) fn head(bytes: &[u8], path: &Path) -> Result<Head> {
    let bad = |why: &str| Error::data(path.display(), why);
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => {
            let resolution = png(bytes).map_err(bad)?;
            Ok(Head { format: ImageFormat::Png, resolution, premultiplied: false, profile: None })
        }
        [b'I', b'I', 0x2a | 0x2b, 0, ..] | [b'M', b'M', 0, 0x2a | 0x2b, ..] => tiff(bytes, path),
        [0xff, 0xd8, 0xff, ..] => {
            let resolution = jpeg(bytes).map_err(bad)?;
            Ok(Head { format: ImageFormat::Jpeg, resolution, premultiplied: false, profile: None })
        }
        [] => Err(bad("the file is empty")),
        _ => Err(bad("neither a PNG nor a TIFF nor a JPEG")),
    }
}

fn be16(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..)?.get(..2)?.try_into().ok()?))
}

fn be32(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..)?.get(..4)?.try_into().ok()?))
}

/// Walks the chunks to the last, so that a cut file is seen.
fn png(bytes: &[u8]) -> Result<Option<Resolution>, &'static str> {
    let (mut at, mut found) = (8, None);
    loop {
        let length = be32(bytes, at).ok_or(CUT)? as usize;
        // Length, name, data, check.
        let chunk = bytes.get(at + 4..).and_then(|rest| rest.get(..length.checked_add(8)?)).ok_or(CUT)?;
        match (&chunk[..4], length) {
            (b"IEND", _) => return Ok(found),
            // The unit 1 is the metre.
            (b"pHYs", 9) if chunk[12] == 1 => {
                let dots = be32(chunk, 4).zip(be32(chunk, 8));
                found = dots.and_then(|(x, y)| Resolution::per_metre_xy(x, y).ok());
            }
            _ => {}
        }
        at += length + 12;
    }
}

fn tiff(bytes: &[u8], path: &Path) -> Result<Head> {
    let failed = |e| tiff_error(path, e);
    let mut decoder = Decoder::new(Cursor::new(bytes)).map_err(failed)?;
    let refused = match decoder.colortype().map_err(failed)? {
        ColorType::CMYK(_) | ColorType::CMYKA(_) => CMYK.to_owned(),
        ColorType::Gray(1 | 8 | 16) | ColorType::RGB(8 | 16) | ColorType::RGBA(8 | 16) => String::new(),
        other => format!("{other:?} pixels; a TIFF of art is grey or RGB, of 8 or 16 bits"),
    };
    if !refused.is_empty() {
        return Err(Error::data(path.display(), refused));
    }
    let mut first = |tag| {
        let values = decoder.find_tag_unsigned_vec::<u16>(tag).map_err(failed)?;
        Ok(values.and_then(|values| values.first().copied()))
    };
    if first(Tag::SampleFormat)?.is_some_and(|format| format != 1) {
        return Err(Error::data(path.display(), "samples that are not unsigned whole numbers"));
    }
    // 1 is associated alpha (TIFF 6.0, section 18).
    let premultiplied = first(Tag::ExtraSamples)? == Some(1);
    let profile = decoder.find_tag(Tag::IccProfile).map_err(failed)?;
    let profile = profile.map(|value| value.into_u8_vec()).transpose().map_err(failed)?;
    Ok(Head { format: ImageFormat::Tiff, resolution: resolution(&mut decoder), premultiplied, profile })
}

/// Walks the segments to the end of the image.
fn jpeg(bytes: &[u8]) -> Result<Option<Resolution>, &'static str> {
    let (mut at, mut found) = (2, None);
    loop {
        // In coded data FF is followed by 00 or a restart; fill bytes are FF.
        let marker = loop {
            let (&first, &second) = bytes.get(at).zip(bytes.get(at + 1)).ok_or(CUT)?;
            match (first, second) {
                (0xff, 0x00 | 0x01 | 0xd0..=0xd7) => at += 2,
                (0xff, 0xff) => at += 1,
                (0xff, marker) => break marker,
                _ => at += 1,
            }
        };
        if marker == 0xd9 {
            return Ok(found);
        }
        let length = usize::from(be16(bytes, at + 2).ok_or(CUT)?);
        let segment = bytes.get(at + 4..).and_then(|rest| rest.get(..length.checked_sub(2)?)).ok_or(CUT)?;
        match (marker, segment) {
            // A frame: precision, height, width, number of components.
            (0xc0..=0xc3 | 0xc5..=0xc7 | 0xc9..=0xcb | 0xcd..=0xcf, frame) => match frame.get(5) {
                Some(1 | 3) => {}
                Some(4) => return Err(CMYK),
                _ => return Err("a JPEG of neither one nor three components"),
            },
            (0xe0, [b'J', b'F', b'I', b'F', 0, _, _, unit, density @ ..]) => {
                let dots = be16(density, 0).zip(be16(density, 2));
                found = dots.and_then(|(x, y)| match unit {
                    1 => Resolution::per_inch_xy(f64::from(x), f64::from(y)).ok(),
                    2 => Resolution::per_cm_xy(f64::from(x), f64::from(y)).ok(),
                    _ => None,
                });
            }
            _ => {}
        }
        at += 2 + length;
    }
}
