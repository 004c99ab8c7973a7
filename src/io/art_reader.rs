//! Art from PNG, TIFF and JPEG files.
//!
//! Pixels are decoded by the `image` crate and become sRGB codes `[row, column, 3 or 4]`: grey is spread over three channels,
//! palettes of PNGs are expanded, colours that are stored multiplied by alpha are divided by it, the picture is turned upright
//! (Exif and TIFF orientation), an embedded profile is followed into sRGB ([`ArtFile::profile`]). What cannot be told for certain
//! is refused with a word: CMYK, L\*a\*b\*, floating point, TIFF palettes, profiles of other kinds.
//!
//! Without a profile codes are taken as sRGB. A PNG's gAMA, cHRM and cICP chunks are not read.

use std::fs::File;
use std::io::{Cursor, Read};
use std::path::Path;

use image::codecs::{jpeg::JpegDecoder, png::PngDecoder, tiff::TiffDecoder};
use image::metadata::Orientation;
use image::{ColorType, ImageDecoder, ImageFormat, Limits};
use ndarray::{Array3, Axis, Slice};
use num_traits::AsPrimitive;

use crate::art::{Art, Samples};
use crate::error::{Error, Result, filled, reserve};
use crate::io::art_head::{Head, head};
use crate::io::art_profile::Profile;
use crate::io::new_file::io_error;
use crate::plate::Tone;
use crate::units::Resolution;

/// Most bytes of a file, and of its pixels once unpacked: 1 GiB, some 22 000 × 16 000 pixels of 8-bit colour.
pub const MAX_ART_BYTES: u64 = 1 << 30;

/// Art as it was found in a file.
#[derive(Debug, Clone, PartialEq)]
pub struct ArtFile {
    /// The picture.
    pub art: Art,
    /// What was done about an embedded profile.
    pub profile: EmbeddedProfile,
}

/// An embedded profile and what was done about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EmbeddedProfile {
    /// There is none: the codes were taken as sRGB.
    None,
    /// It is sRGB to within half a level of 255: the codes are as they were.
    Srgb,
    /// The codes were turned into sRGB of 16 bits.
    Converted {
        /// Pixels whose colour sRGB cannot hold, by more than half a level of 255; they were clipped to its boundary.
        clipped: u64,
    },
}

/// Reads a PNG, TIFF or JPEG; the kind is told by the first bytes. Memory: the file, its pixels and a copy of them.
///
/// Errors: a file that cannot be read, is cut off, or exceeds [`MAX_ART_BYTES`]; pixels or profiles as above.
pub fn read_art(path: impl AsRef<Path>) -> Result<ArtFile> {
    let path = path.as_ref();
    let io = |e| io_error(path, e);
    let file = File::open(path).map_err(io)?;
    let length = file.metadata().map_err(io)?.len();
    within("a file of art, in bytes,", length)?;
    let mut bytes = reserve("a file of art", length as usize)?;
    // A pipe has no length; it is read no further than the limit.
    file.take(MAX_ART_BYTES).read_to_end(&mut bytes).map_err(io)?;
    decode_art(&bytes, path)
}

/// Reads a file that is in memory; `name` stands in errors.
pub fn decode_art(bytes: &[u8], name: impl AsRef<Path>) -> Result<ArtFile> {
    let path = name.as_ref();
    let head = head(bytes, path)?;
    let failed = |e| image_error(path, e);
    match head.format {
        ImageFormat::Png => {
            let limits = Limits::no_limits();
            decoded(PngDecoder::with_limits(Cursor::new(bytes), limits).map_err(failed)?, bytes, head, path)
        }
        ImageFormat::Tiff => {
            decoded(TiffDecoder::new(Cursor::new(bytes)).map_err(failed)?, bytes, head, path)
        }
        _ => decoded(JpegDecoder::new(Cursor::new(bytes)).map_err(failed)?, bytes, head, path),
    }
}

fn within(what: &'static str, needed: u64) -> Result<()> {
    if needed > MAX_ART_BYTES { Err(Error::Limit { what, needed, limit: MAX_ART_BYTES }) } else { Ok(()) }
}

fn decoded(mut decoder: impl ImageDecoder, bytes: &[u8], head: Head, path: &Path) -> Result<ArtFile> {
    let failed = |e| image_error(path, e);
    let (width, height) = decoder.dimensions();
    if width == 0 || height == 0 {
        return Err(Error::data(path.display(), "the picture is empty"));
    }
    let total = decoder.total_bytes();
    within("a picture's pixels, in bytes,", total)?;
    // Deflate packs no better than 1032 to 1 (zlib's own statement): a head that promises more lies.
    if head.format == ImageFormat::Png && total / 1100 > bytes.len() as u64 {
        return Err(Error::data(path.display(), "the file is too short for its picture"));
    }
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(2 * MAX_ART_BYTES);
    decoder.set_limits(limits).map_err(failed)?;
    let orientation = decoder.orientation().map_err(failed)?;
    let icc = match head.profile {
        Some(profile) => Some(profile),
        None => decoder.icc_profile().map_err(failed)?,
    };
    let kind = decoder.color_type();
    let (channels, wide) = match kind {
        ColorType::L8 => (1, false),
        ColorType::La8 => (2, false),
        ColorType::Rgb8 => (3, false),
        ColorType::Rgba8 => (4, false),
        ColorType::L16 => (1, true),
        ColorType::La16 => (2, true),
        ColorType::Rgb16 => (3, true),
        ColorType::Rgba16 => (4, true),
        other => return Err(Error::data(path.display(), format!("{other:?} pixels, which are not read"))),
    };
    let profile = match &icc {
        None => None,
        Some(icc) => Some(Profile::read(icc, channels < 3).map_err(|why| Error::data(path.display(), why))?),
    };
    let mut raw = filled("a picture's pixels", total as usize, 0_u8)?;
    decoder.read_image(&mut raw).map_err(failed)?;

    let picture = Picture { width: width as usize, height: height as usize, channels };
    let mut samples = if wide {
        let words = raw.as_chunks::<2>().0.iter().map(|&b| u16::from_ne_bytes(b));
        Samples::U16(picture.spread(words, head.premultiplied)?)
    } else {
        Samples::U8(picture.spread(raw.iter().copied(), head.premultiplied)?)
    };
    drop(raw);
    let profile = match profile {
        None => EmbeddedProfile::None,
        Some(None) => EmbeddedProfile::Srgb,
        Some(Some(profile)) => {
            let mut wide = widened(samples)?;
            let clipped = convert(&mut wide, &profile).map_err(|why| Error::data(path.display(), why))?;
            samples = Samples::U16(wide);
            EmbeddedProfile::Converted { clipped }
        }
    };
    let samples = match samples {
        Samples::U8(samples) => Samples::U8(upright(samples, orientation)),
        Samples::U16(samples) => Samples::U16(upright(samples, orientation)),
    };
    let sideways = turn(orientation).0;
    let resolution = head.resolution.map(|r| if sideways { swapped(r) } else { r });
    Ok(ArtFile { art: Art::new(samples)?.with_resolution(resolution), profile })
}

/// A picture's size as it is stored.
struct Picture {
    width: usize,
    height: usize,
    channels: usize,
}

impl Picture {
    /// Samples as red, green, blue and, if there is alpha, alpha.
    fn spread<T: Tone>(&self, stored: impl Iterator<Item = T>, premultiplied: bool) -> Result<Array3<T>> {
        let (grey, alpha) = (self.channels < 3, self.channels.is_multiple_of(2));
        let channels = if alpha { 4 } else { 3 };
        let pixels = self.width * self.height;
        let mut samples = reserve("a picture's samples", pixels * channels)?;
        let mut stored = stored.fuse();
        let mut next = || stored.next().unwrap_or_else(T::zero);
        for _ in 0..pixels {
            let first = next();
            let colour = if grey { [first; 3] } else { [first, next(), next()] };
            if !alpha {
                samples.extend(colour);
                continue;
            }
            let opaque = next();
            let own = |sample: T| match (premultiplied, AsPrimitive::<u32>::as_(opaque)) {
                (false, _) => sample,
                (true, 0) => T::zero(),
                (true, a) => {
                    let whole = (u64::from(AsPrimitive::<u32>::as_(sample)) * u64::from(T::SOLID)
                        + u64::from(a) / 2)
                        / u64::from(a);
                    T::from_level(whole.min(u64::from(T::SOLID)) as u32)
                }
            };
            samples.extend(colour.map(own));
            samples.push(opaque);
        }
        let shape = (self.height, self.width, channels);
        Ok(Array3::from_shape_vec(shape, samples).expect("as many samples as counted"))
    }
}

fn widened(samples: Samples) -> Result<Array3<u16>> {
    match samples {
        Samples::U16(samples) => Ok(samples),
        Samples::U8(samples) => {
            let mut wide = reserve("a picture's samples of 16 bits", samples.len())?;
            wide.extend(samples.iter().map(|&s| u16::from(s) * 257));
            Ok(Array3::from_shape_vec(samples.dim(), wide).expect("as many samples"))
        }
    }
}

/// Follows a profile, row by row; gives the pixels that were clipped. What is wholly transparent is nobody's colour.
fn convert(samples: &mut Array3<u16>, profile: &Profile) -> Result<u64, String> {
    let mut clipped = 0;
    let mut colours = Vec::new();
    for mut row in samples.outer_iter_mut() {
        colours.clear();
        colours.extend(row.outer_iter().map(|p| match p.get(3) {
            Some(0) => [0; 3],
            _ => [p[0], p[1], p[2]],
        }));
        clipped += profile.to_srgb(&mut colours)?;
        for (mut pixel, colour) in row.outer_iter_mut().zip(&colours) {
            (pixel[0], pixel[1], pixel[2]) = (colour[0], colour[1], colour[2]);
        }
    }
    Ok(clipped)
}

/// Whether rows and columns change places, and then which way is turned round: left-right, top-bottom.
fn turn(orientation: Orientation) -> (bool, bool, bool) {
    match orientation {
        Orientation::NoTransforms => (false, false, false),
        Orientation::FlipHorizontal => (false, true, false),
        Orientation::Rotate180 => (false, true, true),
        Orientation::FlipVertical => (false, false, true),
        Orientation::Rotate90FlipH => (true, false, false),
        Orientation::Rotate90 => (true, true, false),
        Orientation::Rotate270FlipH => (true, true, true),
        Orientation::Rotate270 => (true, false, true),
    }
}

fn upright<T: Clone>(samples: Array3<T>, orientation: Orientation) -> Array3<T> {
    let (sideways, left_right, top_bottom) = turn(orientation);
    if (sideways, left_right, top_bottom) == (false, false, false) {
        return samples;
    }
    let mut view = samples.view();
    if sideways {
        view.swap_axes(0, 1);
    }
    for (axis, turned) in [(1, left_right), (0, top_bottom)] {
        if turned {
            view.slice_axis_inplace(Axis(axis), Slice::new(0, None, -1));
        }
    }
    view.as_standard_layout().into_owned()
}

fn swapped(resolution: Resolution) -> Resolution {
    Resolution::per_inch_xy(resolution.y(), resolution.x()).unwrap_or(resolution)
}

fn image_error(path: &Path, error: image::ImageError) -> Error {
    match error {
        image::ImageError::IoError(source) => crate::io::plate_reader::read_error(path, source),
        other => Error::data(path.display(), other),
    }
}
