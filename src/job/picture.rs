//! The picture of a job: a file of art, or a folder of plates; trimmed, at its size in print.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use ndarray::{Array2, ArrayView2, s};

use crate::art::{Art, Samples};
use crate::colour::KnockOut;
use crate::error::{Error, Result};
use crate::io::{Depth, PlateBuffer, PlateReader, read_art};
use crate::plate::Plate;
use crate::units::{Length, Resolution};

/// Where the picture comes from, and what is printed of it.
#[derive(Debug, Clone)]
pub(super) struct Picture {
    pub source: Source,
    /// Left, top, width, height in pixels of what is printed; all of it unless told.
    pub trim: Option<[usize; 4]>,
    /// In place of what the file says.
    pub resolution: Option<Resolution>,
    /// Of what is printed, on the garment.
    pub width: Option<Length>,
    pub background: Option<Background>,
}

#[derive(Debug, Clone)]
pub(super) enum Source {
    Art(PathBuf),
    /// A folder, and in the order of the job's inks the files in it; none for a base that is still to be made.
    Plates(PathBuf, Vec<Option<PathBuf>>),
}

/// A background to knock out.
#[derive(Debug, Clone)]
pub(super) struct Background {
    pub colour: Option<[u8; 3]>,
    pub tolerance: f64,
    pub soft: u8,
    pub everywhere: bool,
}

/// The plates of a job, all of one size and sample type.
#[derive(Debug, Clone)]
pub(super) enum Plates {
    U8(Vec<Array2<u8>>),
    U16(Vec<Array2<u16>>),
}

impl Plates {
    pub(super) fn each(&self) -> Vec<Plate<'_>> {
        match self {
            Self::U8(plates) => plates.iter().map(|plate| plate.view().into()).collect(),
            Self::U16(plates) => plates.iter().map(|plate| plate.view().into()).collect(),
        }
    }
}

impl Background {
    fn knock_out(&self) -> KnockOut {
        let knock_out =
            KnockOut::default().tolerance(self.tolerance).soft(self.soft).everywhere(self.everywhere);
        match self.colour {
            Some(colour) => knock_out.background(colour),
            None => knock_out,
        }
    }
}

impl Picture {
    /// The art, trimmed and with its background knocked out, and its pixels per inch of print.
    pub(super) fn art(&self, path: &Path) -> Result<(Art, Resolution)> {
        let art = read_art(path)?.art;
        let own = self.resolution.or(art.resolution());
        let [x, y, width, height] = self.trimmed(path, [art.width(), art.height()])?;
        let whole = [width, height] == [art.width(), art.height()];
        let range = s![y..y + height, x..x + width, ..];
        let art = match art.into_samples() {
            samples if whole => Art::new(samples)?,
            Samples::U8(samples) => Art::new(samples.slice(range).to_owned())?,
            Samples::U16(samples) => Art::new(samples.slice(range).to_owned())?,
        };
        let resolution = self.scaled(path, own, width)?;
        match &self.background {
            Some(background) => Ok((background.knock_out().run(&art)?.art, resolution)),
            None => Ok((art, resolution)),
        }
    }

    /// The plates that there are, trimmed, and their samples per inch of print.
    pub(super) fn plates(&self, files: &[Option<PathBuf>]) -> Result<(Plates, Resolution)> {
        let readers = files.iter().flatten().map(PlateReader::open).collect::<Result<Vec<_>>>()?;
        let mut first: Option<(&PlateReader, Option<Resolution>)> = None;
        for reader in &readers {
            let size = [reader.width(), reader.height()];
            let bad = |why: String| Err(Error::data(reader.path().display(), why));
            match first {
                Some((other, _)) if [other.width(), other.height()] != size => {
                    let (is, was) = (told(size), told([other.width(), other.height()]));
                    return bad(format!("{is} pixels, but the first plate has {was}"));
                }
                Some((_, resolution)) if self.resolution.is_none() && resolution != reader.resolution() => {
                    return bad("states another resolution than the first plate".to_owned());
                }
                Some(_) => {}
                None => first = Some((reader, reader.resolution())),
            }
        }
        let Some((reader, own)) = first else {
            return Err(Error::value("plates of a job", 0, "one for each ink"));
        };
        let range = self.trimmed(reader.path(), [reader.width(), reader.height()])?;
        let resolution = self.scaled(reader.path(), self.resolution.or(own), range[2])?;
        let wide = readers.iter().any(|reader| reader.depth() == Depth::U16);
        let buffers = readers.into_iter().map(PlateReader::read_all).collect::<Result<Vec<_>>>()?;
        let plates = if wide {
            Plates::U16(buffers.into_iter().map(|plate| cut(widened(plate), range)).collect())
        } else {
            let bytes = buffers.into_iter().filter_map(|plate| match plate {
                PlateBuffer::U8(samples) => Some(cut(samples, range)),
                PlateBuffer::U16(_) => None,
            });
            Plates::U8(bytes.collect())
        };
        Ok((plates, resolution))
    }

    /// A plate that is supplied for art, of the art's size before it is trimmed.
    pub(super) fn held(&self, path: &Path) -> Result<Array2<u16>> {
        let plate = widened(PlateReader::open(path)?.read_all()?);
        let range = self.trimmed(path, [plate.ncols(), plate.nrows()])?;
        Ok(cut(plate, range))
    }

    /// What is printed of a picture of a size.
    fn trimmed(&self, path: &Path, [width, height]: [usize; 2]) -> Result<[usize; 4]> {
        let Some([x, y, wide, high]) = self.trim else { return Ok([0, 0, width, height]) };
        let fits = |at: usize, length: usize, whole: usize| {
            length > 0 && at.checked_add(length).is_some_and(|end| end <= whole)
        };
        if fits(x, wide, width) && fits(y, high, height) {
            return Ok([x, y, wide, high]);
        }
        let allowed = format!("a piece of the {} pixels of {}", told([width, height]), path.display());
        Err(Error::value("trim", format!("{x}, {y}, {wide}, {high}"), allowed))
    }

    /// Pixels per inch of print, of a picture so many pixels wide that states `own`.
    fn scaled(&self, path: &Path, own: Option<Resolution>, width: usize) -> Result<Resolution> {
        match (self.width, own) {
            (Some(inches), own) => {
                let across = width as f64 / inches.to_inches();
                let oblong = own.map_or(1.0, |own| own.y() / own.x());
                Resolution::per_inch_xy(across, across * oblong)
            }
            (None, Some(own)) => Ok(own),
            (None, None) => Err(Error::value(
                "size of the print",
                format!("not told, and {} states no resolution", path.display()),
                "width (of the print) or art_resolution in the job file",
            )),
        }
    }
}

fn widened(plate: PlateBuffer) -> Array2<u16> {
    match plate {
        PlateBuffer::U8(samples) => samples.mapv(|tone| u16::from(tone) * 257),
        PlateBuffer::U16(samples) => samples,
    }
}

fn cut<T: Clone>(samples: Array2<T>, [x, y, width, height]: [usize; 4]) -> Array2<T> {
    if samples.dim() == (height, width) {
        return samples;
    }
    let piece: ArrayView2<'_, T> = samples.slice(s![y..y + height, x..x + width]);
    piece.to_owned()
}

fn told([width, height]: [usize; 2]) -> String {
    format!("{width} x {height}")
}

/// Ink names and plates of a folder: those with a number (`NN-ink.png`) by their numbers, then the rest by name. Art in it (`art.png`)
/// is none.
///
/// Errors: a folder that cannot be read, or holds no plates; a second plate for an ink.
pub(super) fn plates_in(folder: &Path) -> Result<Vec<(String, PathBuf)>> {
    let io = |source| Error::Io { path: folder.to_owned(), source };
    let mut plates = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(io)? {
        let path = entry.map_err(io)?.path();
        let extension = path.extension().and_then(OsStr::to_str).map(str::to_ascii_lowercase);
        let stem = path.file_stem().and_then(OsStr::to_str).unwrap_or_default();
        if !matches!(extension.as_deref(), Some("png" | "tif" | "tiff")) || stem == "art" {
            continue;
        }
        let (number, name) = match stem.split_once('-') {
            Some((number, ink)) if !ink.is_empty() && number.parse::<u32>().is_ok() => {
                (number.parse().ok(), ink)
            }
            _ => (None, stem),
        };
        plates.push((number.unwrap_or(u32::MAX), name.to_owned(), path.clone()));
    }
    plates.sort();
    for (i, (_, name, path)) in plates.iter().enumerate() {
        if plates[..i].iter().any(|(_, other, _)| other == name) {
            return Err(Error::data(path.display(), format!("a second plate for the ink {name}")));
        }
    }
    if plates.is_empty() {
        return Err(Error::data(folder.display(), "no plates in it (NN-ink.png or .tif)"));
    }
    Ok(plates.into_iter().map(|(_, name, path)| (name, path)).collect())
}

/// An ink's name as a part of a file's: letters and figures, everything else a hyphen.
pub(super) fn file_name(ink: &str) -> String {
    let mut name = String::new();
    for c in ink.trim().chars() {
        let c = if c.is_alphanumeric() { c } else { '-' };
        if name.len() + c.len_utf8() > 80 {
            break;
        }
        if c != '-' || !name.ends_with('-') {
            name.push(c);
        }
    }
    match name.trim_matches('-') {
        "" => "ink".to_owned(),
        name => name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_inks_become_names_of_files() {
        for (ink, file) in [
            ("soot black", "soot-black"),
            ("../up & away/", "up-away"),
            ("Rosé 2", "Rosé-2"),
            ("...", "ink"),
            ("<b>", "b"),
        ] {
            assert_eq!(file_name(ink), file);
        }
        assert!(file_name(&"é".repeat(80)).len() <= 80);
    }
}
