//! Films: what they hold, and files of them.

use core::ffi::{c_char, c_void};
use std::ops::ControlFlow;

use crate::bands::Progress;
use crate::error::{Error, Result};
use crate::ffi::fence::{Out, exclusive, free, path, shared};
use crate::ffi::plate::{dw_film, dw_plate, film, placed};
use crate::ffi::screen::dw_screen;
use crate::ffi::status::{dw_status, guard};
use crate::film::Rect;
use crate::io::{FilmFormat, FilmSpec, FilmWriter, TiffCompression, write_plate};
use crate::units::Resolution;

/// Bilevel TIFF, uncompressed.
pub const DW_FORMAT_TIFF: u32 = 0;
/// Bilevel TIFF, PackBits.
pub const DW_FORMAT_TIFF_PACKBITS: u32 = 1;
/// Bilevel TIFF, ITU-T T.6 (Group 4).
pub const DW_FORMAT_TIFF_T6: u32 = 2;
/// PNG of bit depth 1.
pub const DW_FORMAT_PNG: u32 = 3;
/// PBM (P4); holds no resolution.
pub const DW_FORMAT_PBM: u32 = 4;

/// A film file in the making: made by dw_writer_new, given its rows from the top down, completed by dw_writer_finish. Freed before
/// that it leaves nothing behind.
pub struct dw_writer(Option<FilmWriter>);

/// Told between bands how many of `total` rows are done, on the caller's thread; any answer but 0 stops the run, which then returns
/// DW_CANCELLED. Must neither throw nor jump out.
pub type dw_progress = Option<unsafe extern "C" fn(done: u64, total: u64, user: *mut c_void) -> i32>;

pub(super) fn format_of(format: u32) -> Result<FilmFormat> {
    match format {
        DW_FORMAT_TIFF => Ok(FilmFormat::Tiff(TiffCompression::None)),
        DW_FORMAT_TIFF_PACKBITS => Ok(FilmFormat::Tiff(TiffCompression::PackBits)),
        DW_FORMAT_TIFF_T6 => Ok(FilmFormat::Tiff(TiffCompression::T6)),
        DW_FORMAT_PNG => Ok(FilmFormat::Png),
        DW_FORMAT_PBM => Ok(FilmFormat::Pbm),
        other => Err(Error::value("format", other, "a DW_FORMAT_… value")),
    }
}

/// Pixels of a film that are ink.
///
/// # Safety
/// `film` and its rows are readable; `count` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_count(film: *const dw_film, count: *mut u64) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::new("count", count) }?;
        out.set(unsafe { self::film(film) }?.count());
        Ok(())
    })
}

/// Ink as a part of a rectangle of a film, 0…1; 0 for an empty one.
///
/// # Safety
/// `film` and its rows are readable; `coverage` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_coverage(
    film: *const dw_film,
    x: usize,
    y: usize,
    width: usize,
    height: usize,
    coverage: *mut f64,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("coverage", coverage) }?;
        let film = unsafe { self::film(film) }?;
        out.set(film.coverage_of(Rect { x, y, width, height })?);
        Ok(())
    })
}

/// Begins a film file beside `target` (UTF-8), whose folder must exist; `format` is a DW_FORMAT_… value, the resolutions are in
/// pixels per inch.
///
/// # Safety
/// `target` is a NUL-terminated string; `writer` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_writer_new(
    target: *const c_char,
    format: u32,
    width: usize,
    height: usize,
    x_per_inch: f64,
    y_per_inch: f64,
    writer: *mut *mut dw_writer,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("writer", writer) }?;
        let target = unsafe { path("target", target) }?;
        let resolution = Resolution::per_inch_xy(x_per_inch, y_per_inch)?;
        let spec = FilmSpec { width, height, resolution, format: format_of(format)? };
        out.give(dw_writer(Some(FilmWriter::create(target, spec)?)));
        Ok(())
    })
}

/// Writes the next rows.
///
/// # Safety
/// `writer` is a live handle; `rows` and what it points at are readable.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_writer_rows(writer: *mut dw_writer, rows: *const dw_film) -> dw_status {
    guard(|| {
        let writer = unsafe { exclusive("writer", writer) }?;
        let rows = unsafe { film(rows) }?;
        writer.0.as_mut().ok_or_else(ended)?.write_rows(&rows)
    })
}

/// Completes the file and gives it its name. All rows must have been written. Whether it succeeds or not, the writer is ended and
/// only dw_writer_free is left to call.
///
/// # Safety
/// `writer` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_writer_finish(writer: *mut dw_writer) -> dw_status {
    guard(|| unsafe { exclusive("writer", writer) }?.0.take().ok_or_else(ended)?.finish())
}

fn ended() -> Error {
    Error::value("writer", "finished", "one that is not finished")
}

/// Ends a writer. NULL is allowed.
///
/// # Safety
/// `writer` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_writer_free(writer: *mut dw_writer) {
    unsafe { free(writer) }
}

/// Screens a whole plate to a film file in bands: `target` in UTF-8, `format` a DW_FORMAT_… value, the film's resolution in pixels
/// per inch; `progress` may be NULL. On failure or cancel whatever stood under the name stays.
///
/// # Safety
/// `screen` is a live handle; `plate` and what it points at are readable; `target` is a NUL-terminated string; `progress` may be
/// called with `user`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_write(
    screen: *const dw_screen,
    plate: *const dw_plate,
    target: *const c_char,
    format: u32,
    x_per_inch: f64,
    y_per_inch: f64,
    progress: dw_progress,
    user: *mut c_void,
) -> dw_status {
    guard(|| {
        let screen = unsafe { shared("screen", screen) }?;
        let placed = unsafe { placed(plate) }?;
        let target = unsafe { path("target", target) }?;
        let resolution = Resolution::per_inch_xy(x_per_inch, y_per_inch)?;
        let mut told = |p: Progress| match progress {
            // SAFETY: the caller promised that it may be called with this pointer.
            Some(progress) if unsafe { progress(p.done, p.total, user) } != 0 => ControlFlow::Break(()),
            _ => ControlFlow::Continue(()),
        };
        write_plate(&screen.screen, &placed, resolution, format_of(format)?, &target, &mut told)
    })
}
