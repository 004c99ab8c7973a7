//! Sheets: films with their margin, to files.

use std::ffi::c_char;

use crate::error::{Error, Result};
use crate::ffi::fence::{path, shared, sized, text, unless_null};
use crate::ffi::film::format_of;
use crate::ffi::plate::{dw_film, film};
use crate::ffi::screen::dw_screen;
use crate::ffi::status::{dw_status, guard};
use crate::io::write_sheet;
use crate::sheet::{Labels, Layout, Polarity, Reading, Sheet};
use crate::units::{Length, Resolution};

/// What a sheet says and how it lies. 0 and NULL stand for what is usual. Set `struct_size` to sizeof(dw_sheet).
#[repr(C)]
pub struct dw_sheet {
    /// sizeof(dw_sheet).
    pub struct_size: usize,
    /// The ink's name; must be there.
    pub ink: *const c_char,
    /// The ink's place in the printing order, from 1 on.
    pub place: usize,
    /// Number of inks.
    pub inks: usize,
    /// The job's name, or NULL.
    pub job: *const c_char,
    /// The date as it is to be read, or NULL. No clock is looked at.
    pub date: *const c_char,
    /// From the film to the sheet's edge in mm: usually 14, at least the mark, at most 500.
    pub margin_mm: f64,
    /// Across a register mark in mm: usually 9; 3…50.
    pub mark_mm: f64,
    /// Height of letters in mm: usually 2; 1…20.
    pub letters_mm: f64,
    /// Other than 0: left for right, seen with the ink side towards you.
    pub mirrored: u32,
    /// Other than 0: opaque is what does not print, the margin included.
    pub negative: u32,
    /// Other than 0: no step wedge.
    pub no_wedge: u32,
}

/// Lays out a film's sheet, with register marks, label and step wedge, and writes it to `target` (UTF-8); `format` is a DW_FORMAT_… value. `screen`
/// is the film's own, told in the label and seen in the wedge; NULL for line work.
///
/// # Safety
/// `film` and its rows, and `sheet` and its texts, are readable; `screen` is NULL or a live handle; `target` is a NUL-terminated string.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_sheet_write(
    film: *const dw_film,
    x_per_inch: f64,
    y_per_inch: f64,
    screen: *const dw_screen,
    sheet: *const dw_sheet,
    target: *const c_char,
    format: u32,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let film = unsafe { self::film(film) }?;
        let resolution = Resolution::per_inch_xy(x_per_inch, y_per_inch)?;
        let screen = unless_null(screen, || unsafe { shared("screen", screen) })?.map(|s| &s.screen);
        let asked = unsafe { sized("sheet", sheet) }?;
        let (layout, labels) = (layout(asked)?, unsafe { labels(asked) }?);
        let target = unsafe { path("target", target) }?;
        let format = format_of(format)?;
        let sheet = Sheet::new(&layout, [film.width(), film.height()], resolution, screen, &labels)?;
        write_sheet(target, &sheet, &film, format)
    })
}

fn layout(asked: &dw_sheet) -> Result<Layout> {
    let usual = Layout::default();
    let length = |name, mm: f64, usual| match mm {
        0.0 => Ok(usual),
        mm if mm > 0.0 => Length::mm(mm),
        mm => Err(Error::value(name, mm, "0 or a length in mm")),
    };
    Ok(Layout {
        margin: length("sheet.margin_mm", asked.margin_mm, usual.margin)?,
        mark: length("sheet.mark_mm", asked.mark_mm, usual.mark)?,
        letters: length("sheet.letters_mm", asked.letters_mm, usual.letters)?,
        wedge: if asked.no_wedge == 0 { usual.wedge } else { Vec::new() },
        reading: if asked.mirrored == 0 { Reading::Right } else { Reading::Mirrored },
        polarity: if asked.negative == 0 { Polarity::Positive } else { Polarity::Negative },
        ..Layout::default()
    })
}

/// # Safety
/// The texts are NULL or NUL-terminated strings.
unsafe fn labels(asked: &dw_sheet) -> Result<Labels> {
    // SAFETY: the caller's promise, here and below.
    let or_none = |name, words| {
        let words = unless_null(words, || unsafe { text(name, words) })?;
        Ok::<_, Error>(words.unwrap_or_default().to_owned())
    };
    Ok(Labels {
        ink: unsafe { text("sheet.ink", asked.ink) }?.to_owned(),
        order: [asked.place, asked.inks],
        job: or_none("sheet.job", asked.job)?,
        date: or_none("sheet.date", asked.date)?,
    })
}

crate::ffi::layout!(dw_sheet, 88:
    struct_size 0, ink 8, place 16, inks 24, job 32, date 40, margin_mm 48, mark_mm 56, letters_mm 64, mirrored 72, negative 76, no_wedge 80);
