//! A film file that is written band by band and appears under its name only when complete.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use crate::error::{Error, Result, reserve};
use crate::film::FilmView;
use crate::io::new_file::NewFile;
use crate::io::pbm::PbmFilm;
use crate::io::pdf_film::PdfFilm;
use crate::io::png_film::PngFilm;
use crate::io::tiff_film::TiffFilm;
use crate::units::Resolution;

/// Longest side of a film file: what every reader's signed 32-bit numbers hold.
pub(crate) const MAX_SIDE: usize = i32::MAX as usize;

/// Bytes gathered before they are handed to the system.
pub(crate) const BUFFER: usize = 1 << 18;

/// How the bits of a TIFF film are packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum TiffCompression {
    /// As they are.
    None,
    /// Runs of bytes (TIFF 6.0, section 9).
    PackBits,
    /// ITU-T T.6 (Group 4): the smallest and the usual one for film.
    #[default]
    T6,
}

/// The format of a film file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum FilmFormat {
    /// Bilevel TIFF; `BigTIFF` where the file outgrows 4 GiB.
    Tiff(TiffCompression),
    /// PNG of bit depth 1.
    Png,
    /// PBM, P4. Holds no resolution.
    Pbm,
    /// PDF: a page of the film's size with the film in T.6.
    Pdf,
}

impl FilmFormat {
    /// The format that a file's extension stands for: `tif` or `tiff` (T.6), `png`, `pbm`, `pdf`.
    pub fn from_path(path: &Path) -> Result<Self> {
        let extension = path.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
        match extension.as_deref() {
            Some("tif" | "tiff") => Ok(Self::Tiff(TiffCompression::T6)),
            Some("png") => Ok(Self::Png),
            Some("pbm") => Ok(Self::Pbm),
            Some("pdf") => Ok(Self::Pdf),
            _ => Err(Error::value(
                "film file",
                path.display(),
                "a name that ends in .tif, .tiff, .png, .pbm or .pdf",
            )),
        }
    }
}

/// What a film file says of itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmSpec {
    /// Pixels in a row: 1…2³¹ − 1.
    pub width: usize,
    /// Rows: 1…2³¹ − 1.
    pub height: usize,
    /// Pixels per inch, which make the size on paper.
    pub resolution: Resolution,
    /// The file format.
    pub format: FilmFormat,
}

/// A film file in the making.
///
/// Dropped before [`finish`](Self::finish) it leaves nothing behind, and whatever stood under the name before stays.
#[derive(Debug)]
pub struct FilmWriter {
    file: NewFile,
    encoder: Encoder,
    spec: FilmSpec,
    rows: usize,
    failed: bool,
}

#[derive(Debug)]
enum Encoder {
    Tiff(Box<TiffFilm<BufWriter<File>>>),
    Png(Box<PngFilm<File>>),
    Pbm(PbmFilm<BufWriter<File>>),
    Pdf(Box<PdfFilm<BufWriter<File>>>),
}

impl Encoder {
    fn new(file: File, spec: &FilmSpec) -> std::io::Result<Self> {
        let buffered = |file| BufWriter::with_capacity(BUFFER, file);
        Ok(match spec.format {
            FilmFormat::Tiff(compression) => {
                Self::Tiff(Box::new(TiffFilm::new(buffered(file), spec, compression)?))
            }
            FilmFormat::Png => Self::Png(Box::new(PngFilm::new(file, spec)?)),
            FilmFormat::Pbm => Self::Pbm(PbmFilm::new(buffered(file), spec)?),
            FilmFormat::Pdf => Self::Pdf(Box::new(PdfFilm::new(buffered(file), spec)?)),
        })
    }
}

impl FilmWriter {
    /// Begins a film file beside `target`, whose folder must exist. A link is followed.
    pub fn create(target: impl Into<PathBuf>, spec: FilmSpec) -> Result<Self> {
        for (name, side) in [("film width", spec.width), ("film height", spec.height)] {
            if !(1..=MAX_SIDE).contains(&side) {
                return Err(Error::value(name, side, format!("1 to {MAX_SIDE} pixels")));
            }
        }
        // The encoders keep a few numbers for each pixel of a row. Asked for and given back, so that a row beyond all memory is an
        // error and not the end of the process.
        drop(reserve::<u64>("a row of a film file", spec.width.saturating_add(1 << 12))?);
        let file = NewFile::create(target)?;
        let handle = file.handle()?;
        let encoder = Encoder::new(handle, &spec).map_err(|e| file.error(e))?;
        Ok(Self { file, encoder, spec, rows: 0, failed: false })
    }

    /// Writes the next rows, any number of them. After a failure nothing more can be written.
    pub fn write_rows(&mut self, rows: &FilmView<'_>) -> Result<()> {
        let left = self.spec.height - self.rows;
        if rows.width() != self.spec.width || rows.height() > left {
            return Err(Error::Extent {
                what: "a band of film",
                got_width: rows.width() as u64,
                got_height: rows.height() as u64,
                width: self.spec.width as u64,
                height: left as u64,
            });
        }
        self.check_sound()?;
        self.failed = true;
        for y in 0..rows.height() {
            let row = rows.row(y);
            match &mut self.encoder {
                Encoder::Tiff(tiff) => tiff.row(row),
                Encoder::Png(png) => png.row(row),
                Encoder::Pbm(pbm) => pbm.row(row),
                Encoder::Pdf(pdf) => pdf.row(row),
            }
            .map_err(|e| self.file.error(e))?;
        }
        self.failed = false;
        self.rows += rows.height();
        Ok(())
    }

    /// Completes the file, syncs it and gives it its name. All rows must have been written.
    pub fn finish(self) -> Result<()> {
        self.check_sound()?;
        if self.rows != self.spec.height {
            return Err(Error::Extent {
                what: "the film written",
                got_width: self.spec.width as u64,
                got_height: self.rows as u64,
                width: self.spec.width as u64,
                height: self.spec.height as u64,
            });
        }
        let Self { file, encoder, .. } = self;
        let end = || -> std::io::Result<()> {
            match encoder {
                Encoder::Tiff(tiff) => tiff.finish()?.flush(),
                Encoder::Png(png) => png.finish(),
                Encoder::Pbm(pbm) => pbm.finish()?.flush(),
                Encoder::Pdf(pdf) => pdf.finish()?.flush(),
            }
        };
        end().map_err(|e| file.error(e))?;
        file.finish()
    }

    fn check_sound(&self) -> Result<()> {
        if self.failed {
            return Err(Error::data(
                self.file.target().display(),
                "writing failed before; the film is not complete",
            ));
        }
        Ok(())
    }
}

/// Writes a whole film to a file.
pub fn write_film(
    target: impl Into<PathBuf>,
    film: &FilmView<'_>,
    resolution: Resolution,
    format: FilmFormat,
) -> Result<()> {
    let spec = FilmSpec { width: film.width(), height: film.height(), resolution, format };
    let mut writer = FilmWriter::create(target, spec)?;
    writer.write_rows(film)?;
    writer.finish()
}
