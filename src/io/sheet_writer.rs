//! A sheet's file, written as its film comes: margin, film rows in their place, foot, and one band of it in memory.

use std::path::PathBuf;

use crate::bands::band_rows;
use crate::error::{Error, Result, filled};
use crate::film::{FilmMut, FilmView, row_bytes};
use crate::io::{FilmFormat, FilmSpec, FilmWriter};
use crate::sheet::Sheet;

/// A sheet's file in the making, fed with the rows of its film.
///
/// Dropped before [`finish`](Self::finish) it leaves nothing behind, and whatever stood under the name before stays.
#[derive(Debug)]
pub struct SheetWriter<'a> {
    sheet: &'a Sheet,
    file: FilmWriter,
    /// Sheet rows written.
    row: usize,
    /// Film rows taken.
    film_row: usize,
    band: Vec<u8>,
}

impl<'a> SheetWriter<'a> {
    /// Begins a file beside `target`, whose folder must exist, and writes the upper margin. A link is followed.
    pub fn create(target: impl Into<PathBuf>, sheet: &'a Sheet, format: FilmFormat) -> Result<Self> {
        let (width, height) = (sheet.width(), sheet.height());
        let spec = FilmSpec { width, height, resolution: sheet.resolution(), format };
        let file = FilmWriter::create(target, spec)?;
        let stride = row_bytes(width);
        let band = filled("a band of a sheet", stride * band_rows(stride).min(height), 0)?;
        let mut writer = Self { sheet, file, row: 0, film_row: 0, band };
        writer.write_to(sheet.film_place().y, &no_rows(sheet)?)?;
        Ok(writer)
    }

    /// Takes the next rows of the film, any number of them. After a failure nothing more can be written.
    pub fn write_rows(&mut self, film: &FilmView<'_>) -> Result<()> {
        let place = self.sheet.film_place();
        let left = place.height - self.film_row;
        if film.width() != place.width || film.height() > left {
            return Err(Error::Extent {
                what: "a band of a sheet's film",
                got_width: film.width() as u64,
                got_height: film.height() as u64,
                width: place.width as u64,
                height: left as u64,
            });
        }
        self.write_to(self.row + film.height(), film)?;
        self.film_row += film.height();
        Ok(())
    }

    /// Writes the foot, completes the file, syncs it and gives it its name. All film rows must have been written.
    pub fn finish(mut self) -> Result<()> {
        self.sheet.check_film(self.sheet.film_place().width, self.film_row)?;
        self.write_to(self.sheet.height(), &no_rows(self.sheet)?)?;
        self.file.finish()
    }

    /// Writes the sheet down to a row; `film` holds the film's rows among them.
    fn write_to(&mut self, end: usize, film: &FilmView<'_>) -> Result<()> {
        let width = self.sheet.width();
        let stride = row_bytes(width);
        while self.row < end {
            let rows = (self.band.len() / stride).min(end - self.row);
            let bits = &mut self.band[..stride * rows];
            self.sheet.run(self.row, film, self.film_row, FilmMut::new(width, rows, stride, bits)?)?;
            self.file.write_rows(&FilmView::new(width, rows, stride, bits)?)?;
            self.row += rows;
        }
        Ok(())
    }
}

/// No rows of a sheet's film: for its margin and foot.
fn no_rows(sheet: &Sheet) -> Result<FilmView<'static>> {
    let width = sheet.film_place().width;
    FilmView::new(width, 0, row_bytes(width), &[])
}

/// Writes the sheet of a film in memory to a file.
pub fn write_sheet(
    target: impl Into<PathBuf>,
    sheet: &Sheet,
    film: &FilmView<'_>,
    format: FilmFormat,
) -> Result<()> {
    sheet.check_film(film.width(), film.height())?;
    let mut writer = SheetWriter::create(target, sheet, format)?;
    writer.write_rows(film)?;
    writer.finish()
}
