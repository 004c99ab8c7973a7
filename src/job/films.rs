//! Films and sheets: each plate is screened once, and every band of film goes to all files that hold it.
//!
//! With feature `threads` as many inks are on the way at a time as the current pool has threads. Rejected: one ink after the other with
//! the rows of a band shared out: packing the files takes most of the time, and a file is packed from the top down.

use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use crate::bands::{Progress, band_rows, each_band};
use crate::error::{Error, Result};
use crate::film::{FilmView, row_bytes};
use crate::io::{
    FilmFormat, FilmSpec, FilmWriter, PlateFormat, SheetWriter, TiffCompression, screen_plate, write_grey,
};
use crate::plate::Plate;
use crate::screen::{Placed, Screen};
use crate::sheet::Sheet;
use crate::units::Resolution;

/// What is made of one plate.
pub(super) struct Task<'a> {
    pub screen: &'a Screen,
    pub plate: Plate<'a>,
    pub plate_resolution: Resolution,
    pub placed: Placed<'a>,
    /// The film, where it is there already.
    pub film: Option<FilmView<'a>>,
    pub resolution: Resolution,
    /// Where to: the plate as a picture, the film, the sheet as TIFF and as PDF.
    pub plate_file: Option<PathBuf>,
    pub film_file: Option<PathBuf>,
    pub sheet: Option<(&'a Sheet, [PathBuf; 2])>,
}

impl Task<'_> {
    /// Whether the plate need be screened.
    fn is_screened(&self) -> bool {
        self.film_file.is_some() || self.sheet.is_some()
    }

    /// Rows of work.
    fn rows(&self) -> u64 {
        if self.is_screened() { self.placed.film_height() as u64 } else { 1 }
    }

    /// Does it all; returns the pixels of ink on the film.
    fn run(&self, tell: &dyn Fn(u64) -> ControlFlow<()>) -> Result<u64> {
        if let Some(path) = &self.plate_file {
            let mut hear = |_: Progress| tell(0);
            write_grey(path, self.plate, self.plate_resolution, PlateFormat::Png, &mut hear)?;
        }
        if !self.is_screened() {
            return Ok(0);
        }
        let (width, height) = (self.placed.film_width(), self.placed.film_height());
        let tiff = FilmFormat::Tiff(TiffCompression::T6);
        let film = |path: &PathBuf| {
            let spec = FilmSpec { width, height, resolution: self.resolution, format: tiff };
            FilmWriter::create(path, spec)
        };
        let mut film = self.film_file.as_ref().map(film).transpose()?;
        let mut sheets = Vec::new();
        if let Some((sheet, paths)) = &self.sheet {
            for (path, format) in paths.iter().zip([tiff, FilmFormat::Pdf]) {
                sheets.push(SheetWriter::create(path, sheet, format)?);
            }
        }
        let mut ink = 0;
        let mut hear = |_: Progress| tell(0);
        let mut take = |rows: &FilmView<'_>| {
            ink += rows.count();
            if let Some(film) = &mut film {
                film.write_rows(rows)?;
            }
            for sheet in &mut sheets {
                sheet.write_rows(rows)?;
            }
            match tell(rows.height() as u64) {
                ControlFlow::Break(()) => Err(Error::Cancelled),
                ControlFlow::Continue(()) => Ok(()),
            }
        };
        match &self.film {
            Some(film) => {
                let band = band_rows(row_bytes(width));
                each_band(height, band, &mut hear, |rows| take(&film.rows(rows)?))?;
            }
            None => screen_plate(self.screen, &self.placed, &mut hear, take)?,
        }
        film.map_or(Ok(()), FilmWriter::finish)?;
        sheets.into_iter().try_for_each(SheetWriter::finish)?;
        Ok(ink)
    }
}

/// Does all tasks, and tells the part that is done. Returns the pixels of ink on each film.
pub(super) fn run(tasks: &[Task<'_>], progress: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<Vec<u64>> {
    let total = tasks.iter().map(Task::rows).sum::<u64>().max(1);
    let (stop, done) = (AtomicBool::new(false), AtomicU64::new(0));
    // An answer to stop counts even where all work was done before it came.
    let mut asked = false;
    #[cfg(feature = "threads")]
    let results = on_threads(tasks, &stop, &done, &mut || {
        if progress(done.load(Ordering::Relaxed) as f64 / total as f64).is_break() {
            asked = true;
            stop.store(true, Ordering::Relaxed);
        }
    });
    #[cfg(not(feature = "threads"))]
    let results: Vec<Result<u64>> = {
        let heard = std::cell::RefCell::new((progress, &mut asked));
        let tell = |rows| {
            let part = (done.fetch_add(rows, Ordering::Relaxed) + rows) as f64 / total as f64;
            let (progress, asked) = &mut *heard.borrow_mut();
            let answer = progress(part);
            **asked |= answer.is_break();
            answer
        };
        let each = |task: &Task<'_>| match stop.load(Ordering::Relaxed) {
            true => Err(Error::Cancelled),
            false => task.run(&tell).inspect_err(|_| stop.store(true, Ordering::Relaxed)),
        };
        tasks.iter().map(each).collect()
    };
    // The error that stopped the others, not that they were stopped.
    let mut inks = Vec::with_capacity(tasks.len());
    let mut failure = None;
    for result in results {
        match result {
            Ok(ink) => inks.push(ink),
            Err(Error::Cancelled) if failure.is_some() => {}
            Err(error) if matches!(failure, None | Some(Error::Cancelled)) => failure = Some(error),
            Err(_) => {}
        }
    }
    match failure {
        None if asked => Err(Error::Cancelled),
        None => Ok(inks),
        Some(error) => Err(error),
    }
}

/// Each thread takes the next task; `hear` is called on this one whenever some rows are done.
#[cfg(feature = "threads")]
fn on_threads(
    tasks: &[Task<'_>],
    stop: &AtomicBool,
    done: &AtomicU64,
    hear: &mut dyn FnMut(),
) -> Vec<Result<u64>> {
    use std::sync::{Mutex, mpsc};

    let next = AtomicU64::new(0);
    let results: Vec<Mutex<Result<u64>>> = tasks.iter().map(|_| Mutex::new(Err(Error::Cancelled))).collect();
    std::thread::scope(|scope| {
        let (told, heard) = mpsc::channel();
        for _ in 0..rayon::current_num_threads().clamp(1, tasks.len().max(1)) {
            let (told, next, results) = (told.clone(), &next, &results);
            scope.spawn(move || {
                let tell = |rows| {
                    done.fetch_add(rows, Ordering::Relaxed);
                    // Nobody hears it only where the job is over.
                    let _ = told.send(());
                    if stop.load(Ordering::Relaxed) {
                        ControlFlow::Break(())
                    } else {
                        ControlFlow::Continue(())
                    }
                };
                while let Some(i) = usize::try_from(next.fetch_add(1, Ordering::Relaxed)).ok()
                    && let (Some(task), false) = (tasks.get(i), stop.load(Ordering::Relaxed))
                {
                    let result = task.run(&tell);
                    if result.is_err() {
                        stop.store(true, Ordering::Relaxed);
                    }
                    if let Ok(mut place) = results[i].lock() {
                        *place = result;
                    }
                }
            });
        }
        drop(told);
        for () in heard {
            hear();
        }
    });
    results.into_iter().map(|result| result.into_inner().unwrap_or(Err(Error::Cancelled))).collect()
}
