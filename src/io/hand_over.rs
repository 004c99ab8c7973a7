//! Plates handed over: to another shop's film printer, to a picture editor, to a proof.
//!
//! | file | plates | a sample is |
//! |---|---|---|
//! | grey PNG or TIFF ([`write_grey`]) | one | brightness: black is solid, which every reader shows so and [`PlateReader`](crate::io::PlateReader) reads back |
//! | TIFF of inks ([`write_inks_tiff`]) | all, with their names | tone: 0 no ink (TIFF 6.0, section 16: Separated, InkSet 2) |
//! | PDF ([`write_inks_pdf`]) | all, with their names | tone: 0 no ink (ISO 32000-1, 8.6.6.4 Separation, 8.6.6.5 DeviceN) |
//!
//! 8-bit plates stay so; 16-bit and floating-point ones are written in 16 bits, and so is a set with one of those in it. Grey TIFFs are
//! `BlackIsZero`: that 0 is white can be said too, but some readers show 16-bit files of that kind inverted (Pillow 13).
//!
//! As films, the files appear only complete, at true size, and follow from samples and names alone.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use png::{BitDepth, ColorType, Filter};

use crate::bands::{OnProgress, each_band};
use crate::error::{Error, Result, filled};
use crate::io::film_writer::{BUFFER, MAX_SIDE};
use crate::io::new_file::NewFile;
use crate::io::pdf_plates::PdfPlates;
use crate::io::png_film::PngFile;
use crate::io::tiff_plates::TiffPlates;
use crate::plate::{Plate, Tone};
use crate::units::Resolution;

/// Most inks in one file: what a DeviceN colour space may have (ISO 32000-1, annex C.2).
const MAX_INKS: usize = 32;

/// Longest name of an ink, in bytes: that of a PDF name (ISO 32000-1, annex C.2).
const MAX_NAME: usize = 127;

/// Rows between two calls of a progress function.
const BAND: usize = 64;

/// The format of a single plate's file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum PlateFormat {
    /// Grey PNG.
    Png,
    /// Grey TIFF, LZW.
    Tiff,
}

impl PlateFormat {
    /// The format that a file's extension stands for: `png`, `tif` or `tiff`.
    pub fn from_path(path: &Path) -> Result<Self> {
        let extension = path.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
        match extension.as_deref() {
            Some("png") => Ok(Self::Png),
            Some("tif" | "tiff") => Ok(Self::Tiff),
            _ => Err(Error::value("plate file", path.display(), "a name that ends in .png, .tif or .tiff")),
        }
    }
}

/// A plate with its ink.
#[derive(Debug, Clone, Copy)]
pub struct InkPlate<'a> {
    /// The ink's name: at most 127 bytes, no control characters. Beyond ASCII it is written as UTF-8, which not every reader expects.
    pub name: &'a str,
    /// The plate.
    pub plate: Plate<'a>,
    /// The solid's colour on a screen, sRGB. Nothing but the look of a PDF follows from it.
    pub shown: [u8; 3],
}

/// How the plates of a PDF lie on its pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum PdfPages {
    /// One page, all inks in one picture (DeviceN).
    #[default]
    Together,
    /// A page for each ink (Separation).
    Apart,
}

/// Writes one plate as a grey picture in which black is solid.
///
/// Errors: an empty plate or a side of more than 2³¹ − 1 samples; what the system cannot do; a `progress` that breaks off. On any of
/// them `target` is left as it was.
pub fn write_grey(
    target: impl Into<PathBuf>,
    plate: Plate<'_>,
    resolution: Resolution,
    format: PlateFormat,
    progress: OnProgress<'_>,
) -> Result<()> {
    let set = PlateSet::new(std::iter::once(plate))?;
    let file = NewFile::create(target)?;
    match set.is_u8 {
        true => grey_as::<u8>(&file, &set, resolution, format, progress)?,
        false => grey_as::<u16>(&file, &set, resolution, format, progress)?,
    }
    file.finish()
}

fn grey_as<T: Tone>(
    file: &NewFile,
    set: &PlateSet<'_>,
    resolution: Resolution,
    format: PlateFormat,
    progress: OnProgress<'_>,
) -> Result<()> {
    let failed = |e| file.error(e);
    let bright = |row: &mut [T]| row.iter_mut().for_each(|tone| *tone = T::from_level(T::SOLID - tone.as_()));
    match format {
        PlateFormat::Png => {
            let depth = if T::SOLID == 255 { BitDepth::Eight } else { BitDepth::Sixteen };
            let size = [set.width as u32, set.height as u32];
            let kind = (ColorType::Grayscale, depth, Filter::Adaptive);
            let mut png = PngFile::new(file.handle()?, size, resolution, kind).map_err(failed)?;
            let mut bytes = Vec::new();
            set.each_row::<T>(progress, |row| {
                bright(row);
                bytes.clear();
                big_endian(row, &mut bytes);
                png.row(&bytes).map_err(failed)
            })?;
            png.finish().map_err(failed)
        }
        PlateFormat::Tiff => {
            let mut tiff = TiffPlates::grey(buffered(file)?, [set.width, set.height]).map_err(failed)?;
            set.each_row::<T>(progress, |row| {
                bright(row);
                tiff.row(row).map_err(failed)
            })?;
            tiff.finish::<T>(resolution).and_then(|mut out| out.flush()).map_err(failed)
        }
    }
}

/// Writes a job's plates to one TIFF with a sample for each ink, in printing order, and the inks' names.
///
/// Errors: plates of different sizes; none or more than 32; names that are empty, alike, too long or not one line; and those of
/// [`write_grey`].
pub fn write_inks_tiff(
    target: impl Into<PathBuf>,
    plates: &[InkPlate<'_>],
    resolution: Resolution,
    progress: OnProgress<'_>,
) -> Result<()> {
    let names = checked_names(plates)?;
    let set = PlateSet::new(plates.iter().map(|ink| ink.plate))?;
    let file = NewFile::create(target)?;
    match set.is_u8 {
        true => inks_tiff_as::<u8>(&file, &set, &names, resolution, progress)?,
        false => inks_tiff_as::<u16>(&file, &set, &names, resolution, progress)?,
    }
    file.finish()
}

fn inks_tiff_as<T: Tone>(
    file: &NewFile,
    set: &PlateSet<'_>,
    names: &[&str],
    resolution: Resolution,
    progress: OnProgress<'_>,
) -> Result<()> {
    let failed = |e| file.error(e);
    let mut tiff = TiffPlates::inks(buffered(file)?, [set.width, set.height], names).map_err(failed)?;
    set.each_row::<T>(progress, |row| tiff.row(row).map_err(failed))?;
    tiff.finish::<T>(resolution).and_then(|mut out| out.flush()).map_err(failed)
}

/// Writes a job's plates to a PDF of true size, as inks of their own names in printing order.
///
/// Where a device has no such inks it shows each as its colour, laid over `ground` (the garment, sRGB) and over the inks before by as much
/// as it covers: a rough look, no proof.
///
/// Errors: an ink named All or None, which mean something else in a PDF; and those of [`write_inks_tiff`].
pub fn write_inks_pdf(
    target: impl Into<PathBuf>,
    plates: &[InkPlate<'_>],
    ground: [u8; 3],
    resolution: Resolution,
    pages: PdfPages,
    progress: OnProgress<'_>,
) -> Result<()> {
    if let Some(name) = checked_names(plates)?.iter().find(|name| ["All", "None"].contains(name)) {
        return Err(Error::value("ink name in a PDF", name, "another one: this means all inks, or none"));
    }
    let set = PlateSet::new(plates.iter().map(|ink| ink.plate))?;
    let file = NewFile::create(target)?;
    let failed = |e| file.error(e);
    let mut pdf =
        PdfPlates::new(buffered(&file)?, [set.width, set.height], resolution, ground).map_err(failed)?;
    match (pages, set.is_u8) {
        (PdfPages::Together, true) => pdf_page::<_, u8>(&file, &mut pdf, plates, &set, progress)?,
        (PdfPages::Together, false) => pdf_page::<_, u16>(&file, &mut pdf, plates, &set, progress)?,
        (PdfPages::Apart, _) => {
            let (mut told, pages) = (0, plates.len() as u64);
            for ink in plates {
                let set = PlateSet::new(std::iter::once(ink.plate))?;
                let rows = set.height as u64;
                let mut on = |p: crate::bands::Progress| {
                    progress(crate::bands::Progress { done: told + p.done, total: rows * pages })
                };
                let alone = std::slice::from_ref(ink);
                match set.is_u8 {
                    true => pdf_page::<_, u8>(&file, &mut pdf, alone, &set, &mut on)?,
                    false => pdf_page::<_, u16>(&file, &mut pdf, alone, &set, &mut on)?,
                }
                told += rows;
            }
        }
    }
    pdf.finish().and_then(|mut out| out.flush()).map_err(failed)?;
    file.finish()
}

fn pdf_page<W: Write, T: Tone>(
    file: &NewFile,
    pdf: &mut PdfPlates<W>,
    inks: &[InkPlate<'_>],
    set: &PlateSet<'_>,
    progress: OnProgress<'_>,
) -> Result<()> {
    let failed = |e| file.error(e);
    let mut page = pdf.page::<T>(inks).map_err(failed)?;
    set.each_row::<T>(progress, |row| page.row(row).map_err(failed))?;
    page.finish().map_err(failed)
}

fn buffered(file: &NewFile) -> Result<BufWriter<File>> {
    Ok(BufWriter::with_capacity(BUFFER, file.handle()?))
}

/// The inks' names, if they can be written.
fn checked_names<'a>(plates: &[InkPlate<'a>]) -> Result<Vec<&'a str>> {
    if !(1..=MAX_INKS).contains(&plates.len()) {
        return Err(Error::value("inks of a file", plates.len(), format!("1 to {MAX_INKS}")));
    }
    let names: Vec<&str> = plates.iter().map(|ink| ink.name).collect();
    for (i, name) in names.iter().enumerate() {
        let bad = |why: String| Err(Error::value("ink name", format!("{name:?}"), why));
        if name.trim().is_empty() || name.len() > MAX_NAME || name.chars().any(char::is_control) {
            return bad(format!("one line of 1 to {MAX_NAME} bytes"));
        }
        if names[..i].contains(name) {
            return bad("a name that no other ink of the file has".to_owned());
        }
    }
    Ok(names)
}

/// Plates of one size.
struct PlateSet<'a> {
    plates: Vec<Plate<'a>>,
    width: usize,
    height: usize,
    /// Whether all samples are of 8 bits.
    is_u8: bool,
}

impl<'a> PlateSet<'a> {
    fn new(plates: impl Iterator<Item = Plate<'a>>) -> Result<Self> {
        let plates: Vec<Plate<'a>> = plates.collect();
        let (width, height) = plates.first().map_or((0, 0), |plate| (plate.width(), plate.height()));
        for side in [width, height] {
            if !(1..=MAX_SIDE).contains(&side) {
                let got = format!("{width} x {height}");
                return Err(Error::value("plate", got, format!("1 to {MAX_SIDE} samples a side")));
            }
        }
        if let Some(other) = plates.iter().find(|plate| (plate.width(), plate.height()) != (width, height)) {
            return Err(Error::Extent {
                what: "a plate beside others",
                got_width: other.width() as u64,
                got_height: other.height() as u64,
                width: width as u64,
                height: height as u64,
            });
        }
        let is_u8 = plates.iter().all(|plate| matches!(plate, Plate::U8(_)));
        Ok(Self { plates, width, height, is_u8 })
    }

    /// Hands over each row, the plates' samples side by side for each place.
    fn each_row<T: Tone>(
        &self,
        progress: OnProgress<'_>,
        mut write: impl FnMut(&mut [T]) -> Result<()>,
    ) -> Result<()> {
        let inks = self.plates.len();
        let mut row = filled("a row of plates", self.width.saturating_mul(inks), T::zero())?;
        each_band(self.height, BAND, progress, |rows| {
            rows.into_iter().try_for_each(|y| {
                for (i, plate) in self.plates.iter().enumerate() {
                    let places = row[i..].iter_mut().step_by(inks);
                    match plate {
                        // Only a set of 8-bit plates is written in 8 bits.
                        Plate::U8(view) if T::SOLID == 255 => {
                            let samples = view.row(y);
                            places.zip(samples).for_each(|(to, &from)| *to = T::from_level(from.into()));
                        }
                        _ => places
                            .enumerate()
                            .for_each(|(x, to)| *to = T::from_level(plate.u16_at(y, x).into())),
                    }
                }
                write(&mut row)
            })
        })
    }
}

/// Each sample less the one before it of the same ink, which packs better (TIFF 6.0, section 14).
pub(crate) fn differences<T: Tone>(row: &mut [T], inks: usize) {
    for i in (inks..row.len()).rev() {
        let (left, here): (u32, u32) = (row[i - inks].as_(), row[i].as_());
        row[i] = T::from_level(here.wrapping_sub(left));
    }
}

/// Samples as bytes, the most significant first.
pub(crate) fn big_endian<T: Tone>(row: &[T], out: &mut Vec<u8>) {
    for sample in row {
        let level: u32 = sample.as_();
        if T::SOLID > 255 {
            out.push((level >> 8) as u8);
        }
        out.push(level as u8);
    }
}
