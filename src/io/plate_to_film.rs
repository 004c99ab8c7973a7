//! A plate to film, streamed: a window of plate rows, a band of film, and nothing larger in memory.

use std::path::Path;

use ndarray::ArrayView2;
use num_traits::AsPrimitive;

use crate::bands::{OnProgress, band_rows, each_band};
use crate::error::{Error, Result, filled};
use crate::film::{FilmMut, FilmView, row_bytes};
use crate::io::{Depth, FilmFormat, FilmSpec, FilmWriter, PlateReader};
use crate::plate::{Plate, Tone};
use crate::screen::placed::Side;
use crate::screen::{Placed, Sampling, Screen};
use crate::units::Resolution;

/// How a plate file is to become a film file.
#[derive(Debug, Clone)]
pub struct FilmJob<'a> {
    /// The screen.
    pub screen: &'a Screen,
    /// The film's resolution.
    pub resolution: Resolution,
    /// The plate's resolution; that of the film takes sample for pixel.
    pub plate_resolution: Resolution,
    /// How the plate is read between its samples.
    pub sampling: Sampling,
    /// The film's file format.
    pub format: FilmFormat,
}

/// What came out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmReport {
    /// The film's width in pixels.
    pub width: usize,
    /// The film's height in pixels.
    pub height: usize,
    /// Mean tone of the plate, 0…1.
    pub plate_coverage: f64,
    /// Ink on the film, 0…1.
    pub film_coverage: f64,
}

impl FilmJob<'_> {
    /// Screens a plate, from its first row on, to the file `target`.
    ///
    /// On any failure, or when `progress` breaks off, `target` is left as it was. With feature `threads` the rows of a band are
    /// shared out to the current `rayon` pool.
    pub fn run(&self, plate: PlateReader, target: &Path, progress: OnProgress<'_>) -> Result<FilmReport> {
        if let (Ok(from), Ok(to)) = (plate.path().canonicalize(), target.canonicalize())
            && from == to
        {
            return Err(Error::value("film file", target.display(), "another file than the plate's"));
        }
        let [width, height] = self.size(&plate)?;
        let spec = FilmSpec { width, height, resolution: self.resolution, format: self.format };
        let mut writer = FilmWriter::create(target, spec)?;
        let report = self.stream(plate, progress, |rows| writer.write_rows(rows))?;
        writer.finish()?;
        Ok(report)
    }

    /// Width and height of a plate's film in pixels. Errors: a side of more than 2³¹ pixels.
    pub fn size(&self, plate: &PlateReader) -> Result<[usize; 2]> {
        Ok(self.sides(plate)?.map(|side| side.pixels() as usize))
    }

    /// Screens a plate, from its first row on, and hands each band of film to `rows`, top to bottom: to write it to several files at
    /// once, or to count on it. The format does not matter here.
    ///
    /// Stops at the first error of `rows`, and when `progress` breaks off.
    pub fn stream(
        &self,
        plate: PlateReader,
        progress: OnProgress<'_>,
        rows: impl FnMut(&FilmView<'_>) -> Result<()>,
    ) -> Result<FilmReport> {
        // Samples of 8 bits stay so unless they are interpolated; the plate's own type is what the window holds either way.
        match plate.depth() {
            Depth::U8 => self.stream_as::<u8>(plate, progress, rows),
            Depth::U16 => self.stream_as::<u16>(plate, progress, rows),
        }
    }

    fn sides(&self, plate: &PlateReader) -> Result<[Side; 2]> {
        let x = Side::resampled(plate.width(), self.plate_resolution.x(), self.resolution.x())?;
        let y = Side::resampled(plate.height(), self.plate_resolution.y(), self.resolution.y())?;
        Ok([x, y])
    }

    fn stream_as<T: Tone>(
        &self,
        plate: PlateReader,
        progress: OnProgress<'_>,
        mut rows: impl FnMut(&FilmView<'_>) -> Result<()>,
    ) -> Result<FilmReport>
    where
        for<'v> Plate<'v>: From<ArrayView2<'v, T>>,
    {
        let [x, y] = self.sides(&plate)?;
        let [width, height] = [x, y].map(|side| side.pixels() as usize);
        let mut window = Window::<T>::new(plate);
        let mut ink = 0;
        each_film_band(
            width,
            height,
            progress,
            |at, bits| {
                let (first, last) = y.samples_for(at as u64, (at + bits.height()) as u64, self.sampling);
                window.slide(first as usize, last as usize + 1)?;
                let placed = Placed::window(window.view().into(), window.first as u64, x, y, self.sampling);
                run_band(self.screen, &placed, (0, at as i64), bits)
            },
            |band| {
                ink += band.count();
                rows(band)
            },
        )?;
        let plate_coverage = window.coverage()?;
        let film_coverage = ink as f64 / (width as f64 * height as f64);
        Ok(FilmReport { width, height, plate_coverage, film_coverage })
    }
}

/// Screens a plate in memory to the file `target`, band by band.
///
/// On any failure, or when `progress` breaks off, `target` is left as it was. With feature `threads` the rows of a band are shared
/// out to the current `rayon` pool.
pub fn write_plate(
    screen: &Screen,
    plate: &Placed<'_>,
    resolution: Resolution,
    format: FilmFormat,
    target: &Path,
    progress: OnProgress<'_>,
) -> Result<()> {
    let (width, height) = (plate.film_width(), plate.film_height());
    let mut writer = FilmWriter::create(target, FilmSpec { width, height, resolution, format })?;
    screen_plate(screen, plate, progress, |rows| writer.write_rows(rows))?;
    writer.finish()
}

/// Screens a plate in memory and hands each band of film to `rows`, top to bottom: to write it to several files at once.
///
/// Stops at the first error of `rows`, and when `progress` breaks off.
pub fn screen_plate(
    screen: &Screen,
    plate: &Placed<'_>,
    progress: OnProgress<'_>,
    rows: impl FnMut(&FilmView<'_>) -> Result<()>,
) -> Result<()> {
    let origin = plate.origin();
    let run = |at: usize, bits: FilmMut<'_>| {
        run_band(screen, plate, (origin.0, origin.1.saturating_add(at as i64)), bits)
    };
    each_film_band(plate.film_width(), plate.film_height(), progress, run, rows)
}

/// Fills a band of film after the other, told the row it begins with, and hands it on.
fn each_film_band(
    width: usize,
    height: usize,
    progress: OnProgress<'_>,
    mut fill: impl FnMut(usize, FilmMut<'_>) -> Result<()>,
    mut rows: impl FnMut(&FilmView<'_>) -> Result<()>,
) -> Result<()> {
    if width == 0 || height == 0 {
        return Err(Error::value("plate", format!("{width} x {height}"), "at least one sample"));
    }
    let stride = row_bytes(width);
    let band = band_rows(stride).min(height);
    let mut bits = filled("a band of film", stride * band, 0)?;
    each_band(height, band, progress, |range| {
        let bits = &mut bits[..stride * range.len()];
        fill(range.start, FilmMut::new(width, range.len(), stride, bits)?)?;
        rows(&FilmView::new(width, range.len(), stride, bits)?)
    })
}

/// On all threads, where there are threads.
fn run_band(screen: &Screen, plate: &Placed<'_>, at: (i64, i64), out: FilmMut<'_>) -> Result<()> {
    #[cfg(feature = "threads")]
    return screen.run_threaded(plate, at, out);
    #[cfg(not(feature = "threads"))]
    screen.run(plate, at, out)
}

/// Consecutive rows of a plate that is read from the top down.
struct Window<T> {
    plate: PlateReader,
    /// The plate's row that `tones` begins with.
    first: usize,
    tones: Vec<T>,
    rows: usize,
    /// Sum of all tones read.
    sum: u64,
}

impl<T: Tone> Window<T> {
    fn new(plate: PlateReader) -> Self {
        Self { plate, first: 0, tones: Vec::new(), rows: 0, sum: 0 }
    }

    /// Moves on so that the window holds the rows `first..end`, which never lie above those of the call before.
    fn slide(&mut self, first: usize, end: usize) -> Result<()> {
        let width = self.plate.width();
        let gone = (first - self.first).min(self.rows);
        self.tones.drain(..gone * width);
        self.first += gone;
        self.rows -= gone;
        while self.first < first {
            self.skip()?;
            self.first += 1;
        }
        while self.first + self.rows < end {
            let start = self.tones.len();
            let bytes = ((start + width) * size_of::<T>()) as u64;
            let enough = self.tones.try_reserve(width);
            enough.map_err(|_| Error::Memory { what: "rows of a plate", bytes })?;
            self.tones.resize(start + width, T::zero());
            self.read(start)?;
            self.rows += 1;
        }
        Ok(())
    }

    fn view(&self) -> ArrayView2<'_, T> {
        ArrayView2::from_shape((self.rows, self.plate.width()), &self.tones).expect("whole rows")
    }

    /// Reads one row to the place `start`.
    fn read(&mut self, start: usize) -> Result<()> {
        let row = &mut self.tones[start..];
        self.plate.read_row(row)?;
        self.sum += row.iter().map(|&t| u64::from(AsPrimitive::<u32>::as_(t))).sum::<u64>();
        Ok(())
    }

    /// Reads a row that no pixel needs, for the sum.
    fn skip(&mut self) -> Result<()> {
        let start = self.tones.len();
        self.tones.resize(start + self.plate.width(), T::zero());
        self.read(start)?;
        self.tones.truncate(start);
        Ok(())
    }

    /// Mean tone of the whole plate: reads what is left.
    fn coverage(&mut self) -> Result<f64> {
        while self.first + self.rows < self.plate.height() {
            self.skip()?;
            self.first += 1;
        }
        let samples = self.plate.width() as f64 * self.plate.height() as f64;
        Ok(self.sum as f64 / (samples * f64::from(T::SOLID)))
    }
}
