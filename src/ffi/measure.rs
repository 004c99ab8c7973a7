//! What a film holds: read back from a file, and measured.

use core::ffi::c_char;

use crate::distance::Part;
use crate::error::{Error, Result};
use crate::ffi::fence::{Out, entry, free, path, shared, sized_mut};
use crate::ffi::plate::{dw_film, film};
use crate::ffi::screen::dw_screen;
use crate::ffi::status::{dw_status, guard};
use crate::film::Film;
use crate::io::read_film;
use crate::measure::{self, Frequency, Narrowest, Ring, Touch};
use crate::units::{LineCount, Resolution};

/// Ink, as dots.
pub const DW_PART_INK: u32 = 0;
/// What is bare, as holes.
pub const DW_PART_BARE: u32 = 1;

/// Pixels of ink are one dot where they have a common side (4-connectivity); holes then also where corners touch.
pub const DW_TOUCH_SIDES: u32 = 0;
/// Pixels of ink are one dot where corners touch (8-connectivity); holes then only across a common side.
pub const DW_TOUCH_CORNERS: u32 = 1;

/// A film read from a file. Immutable; may be shared between threads.
pub struct dw_film_file {
    film: Film,
    resolution: Option<Resolution>,
}

/// The rings of a film's spectrum, coarse to fine. Immutable; may be shared between threads.
pub struct dw_spectrum(Vec<Ring>);

/// Connected dots or holes. Set `struct_size` to sizeof(dw_parts) before the call.
#[repr(C)]
pub struct dw_parts {
    /// sizeof(dw_parts).
    pub struct_size: usize,
    /// Those that lie whole within the film.
    pub whole: u64,
    /// Those that the film's border cuts.
    pub cut: u64,
    /// Pixels of all whole ones.
    pub whole_pixels: u64,
    /// Pixels of the smallest whole one; 0 where there is none.
    pub smallest: u64,
    /// Pixels of the largest whole one.
    pub largest: u64,
}

/// The smallest line of ink and the smallest gap. Set `struct_size` to sizeof(dw_details) before the call.
#[repr(C)]
pub struct dw_details {
    /// sizeof(dw_details).
    pub struct_size: usize,
    /// Width of the smallest line, dot or neck in micrometres; NaN where there is none.
    pub line_um: f64,
    /// Its middle in pixels from the upper left corner, x and y.
    pub line_at: [f64; 2],
    /// Width of the smallest gap or hole in micrometres; NaN where there is none.
    pub gap_um: f64,
    /// Its middle.
    pub gap_at: [f64; 2],
}

/// Angle and line count that a film shows. Set `struct_size` to sizeof(dw_repeat) before the call.
#[repr(C)]
pub struct dw_repeat {
    /// sizeof(dw_repeat).
    pub struct_size: usize,
    /// The angle in degrees, counter-clockwise, 0 to below `modulus`.
    pub degrees: f64,
    /// What may be added to the angle: 90 for a dot alike along both axes, else 180.
    pub modulus: f64,
    /// The line count per inch.
    pub lines_per_inch: f64,
    /// Direction of the first frequency in degrees, 0 to below 180, its repeats per inch, and the height of its wave in coverage.
    pub first: [f64; 3],
    /// The same of the second; NaN for lines, which have none.
    pub second: [f64; 3],
}

/// A ring of a spectrum. Set `struct_size` to sizeof(dw_ring) before the call.
#[repr(C)]
pub struct dw_ring {
    /// sizeof(dw_ring).
    pub struct_size: usize,
    /// Its middle in cycles per pixel, up to 0.5.
    pub frequency: f64,
    /// Mean power; 1 in every ring of white noise.
    pub power: f64,
    /// Anisotropy in decibels; 0 without a direction.
    pub anisotropy: f64,
    /// Samples in it; fewer than eight say little.
    pub samples: u64,
}

/// What two films share. Set `struct_size` to sizeof(dw_overlap) before the call.
#[repr(C)]
pub struct dw_overlap {
    /// sizeof(dw_overlap).
    pub struct_size: usize,
    /// Coverage of each film.
    pub coverages: [f64; 2],
    /// The part of the whole that both cover.
    pub both: f64,
    /// The part that their screens let expect: the product; min on one lattice; max(0, a + b - 1) normal and inverted.
    pub expected: f64,
}

fn part_of(part: u32) -> Result<Part> {
    match part {
        DW_PART_INK => Ok(Part::Ink),
        DW_PART_BARE => Ok(Part::Bare),
        other => Err(Error::value("part", other, "a DW_PART_… value")),
    }
}

/// A film file: TIFF (uncompressed, PackBits, LZW, Deflate, T.6), PNG of bit depth 1 or PBM (P4), told by its first bytes. Black is ink.
///
/// # Safety
/// `path` is a NUL-terminated string; `file` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_read(path: *const c_char, file: *mut *mut dw_film_file) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("file", file) }?;
        let (film, resolution) = read_film(unsafe { self::path("path", path) }?)?;
        out.give(dw_film_file { film, resolution });
        Ok(())
    })
}

/// The rows of a film that was read, which live as long as `file`; and its resolution in pixels per inch, 0 where its file has none.
///
/// # Safety
/// `file` is a live handle; `film` can be read and written for the struct_size it states; `x_per_inch` and `y_per_inch` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_file_get(
    file: *const dw_film_file,
    film: *mut dw_film,
    x_per_inch: *mut f64,
    y_per_inch: *mut f64,
) -> dw_status {
    guard(|| {
        let file = unsafe { shared("file", file) }?;
        let film = unsafe { sized_mut("film", film) }?;
        let (x, y) = unsafe { (Out::new("x_per_inch", x_per_inch)?, Out::new("y_per_inch", y_per_inch)?) };
        let bits = file.film.bits();
        *film = dw_film {
            struct_size: film.struct_size,
            bits: bits.as_ptr(),
            bytes: bits.len(),
            stride: crate::film::row_bytes(file.film.width()),
            width: file.film.width(),
            height: file.film.height(),
        };
        x.set(file.resolution.map_or(0.0, Resolution::x));
        y.set(file.resolution.map_or(0.0, Resolution::y));
        Ok(())
    })
}

/// Ends a film that was read, and its rows. NULL is allowed.
///
/// # Safety
/// `file` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_file_free(file: *mut dw_film_file) {
    unsafe { free(file) }
}

/// The length of all outlines of a film's ink in millimetres: what a press spreads.
///
/// # Safety
/// `film` and its rows are readable; `mm` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_perimeter(
    film: *const dw_film,
    x_per_inch: f64,
    y_per_inch: f64,
    mm: *mut f64,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("mm", mm) }?;
        let film = unsafe { self::film(film) }?;
        out.set(measure::perimeter(&film, Resolution::per_inch_xy(x_per_inch, y_per_inch)?).to_mm());
        Ok(())
    })
}

/// Connected dots (DW_PART_INK) or holes (DW_PART_BARE) of a film, by a DW_TOUCH_… value for the ink.
///
/// # Safety
/// `film` and its rows are readable; `parts` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_parts(
    film: *const dw_film,
    part: u32,
    touch: u32,
    parts: *mut dw_parts,
) -> dw_status {
    guard(|| {
        let film = unsafe { self::film(film) }?;
        let touch = match touch {
            DW_TOUCH_SIDES => Touch::Sides,
            DW_TOUCH_CORNERS => Touch::Corners,
            other => return Err(Error::value("touch", other, "a DW_TOUCH_… value")),
        };
        let part = part_of(part)?;
        let out = unsafe { sized_mut("parts", parts) }?;
        let found = measure::parts(&film, part, touch)?;
        *out = dw_parts {
            struct_size: out.struct_size,
            whole: found.whole.len() as u64,
            cut: found.cut.len() as u64,
            whole_pixels: found.whole.iter().sum(),
            smallest: found.whole.first().copied().unwrap_or(0),
            largest: found.whole.last().copied().unwrap_or(0),
        };
        Ok(())
    })
}

/// The smallest line and the smallest gap of a film.
///
/// # Safety
/// `film` and its rows are readable; `details` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_details(
    film: *const dw_film,
    x_per_inch: f64,
    y_per_inch: f64,
    details: *mut dw_details,
) -> dw_status {
    guard(|| {
        let film = unsafe { self::film(film) }?;
        let resolution = Resolution::per_inch_xy(x_per_inch, y_per_inch)?;
        let out = unsafe { sized_mut("details", details) }?;
        let found = measure::details(&film, resolution)?;
        let told = |place: Option<Narrowest>| {
            place.map_or((f64::NAN, [f64::NAN; 2]), |place| (place.width.to_um(), place.at))
        };
        let ((line_um, line_at), (gap_um, gap_at)) = (told(found.line), told(found.gap));
        *out = dw_details { struct_size: out.struct_size, line_um, line_at, gap_um, gap_at };
        Ok(())
    })
}

/// How uneven a flat tint of a screen is to an eye that no longer sees its dots: the standard deviation of coverage after a Gaussian of one screen
/// period. The film is at least ten periods wide and high.
///
/// # Safety
/// `film` and its rows are readable; `grain` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_grain(
    film: *const dw_film,
    x_per_inch: f64,
    y_per_inch: f64,
    lines_per_inch: f64,
    grain: *mut f64,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("grain", grain) }?;
        let film = unsafe { self::film(film) }?;
        let resolution = Resolution::per_inch_xy(x_per_inch, y_per_inch)?;
        out.set(measure::grain(&film, resolution, LineCount::per_inch(lines_per_inch)?)?);
        Ok(())
    })
}

/// Angle and line count, read back from a film alone. DW_ERROR_DATA where it shows no screen.
///
/// # Safety
/// `film` and its rows are readable; `repeat` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_repeat(
    film: *const dw_film,
    x_per_inch: f64,
    y_per_inch: f64,
    repeat: *mut dw_repeat,
) -> dw_status {
    guard(|| {
        let film = unsafe { self::film(film) }?;
        let resolution = Resolution::per_inch_xy(x_per_inch, y_per_inch)?;
        let out = unsafe { sized_mut("repeat", repeat) }?;
        let found = measure::repeat(&film, resolution)?;
        let told = |f: Frequency| [f.degrees, f.lines_per_inch, f.amplitude];
        *out = dw_repeat {
            struct_size: out.struct_size,
            degrees: found.degrees,
            modulus: found.modulus,
            lines_per_inch: found.lines_per_inch,
            first: told(found.first),
            second: found.second.map_or([f64::NAN; 3], told),
        };
        Ok(())
    })
}

/// The spectrum of a film's middle, averaged around.
///
/// # Safety
/// `film` and its rows are readable; `spectrum` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_spectrum(
    film: *const dw_film,
    spectrum: *mut *mut dw_spectrum,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("spectrum", spectrum) }?;
        out.give(dw_spectrum(measure::spectrum(&unsafe { self::film(film) }?)?));
        Ok(())
    })
}

/// How many rings a spectrum has.
///
/// # Safety
/// `spectrum` is a live handle; `count` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_spectrum_count(spectrum: *const dw_spectrum, count: *mut usize) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("count", count) }?;
        out.set(unsafe { shared("spectrum", spectrum) }?.0.len());
        Ok(())
    })
}

/// A ring of a spectrum.
///
/// # Safety
/// `spectrum` is a live handle; `ring` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_spectrum_get(
    spectrum: *const dw_spectrum,
    index: usize,
    ring: *mut dw_ring,
) -> dw_status {
    guard(|| {
        let spectrum = unsafe { shared("spectrum", spectrum) }?;
        let out = unsafe { sized_mut("ring", ring) }?;
        let ring = entry(&spectrum.0, index)?;
        *out = dw_ring {
            struct_size: out.struct_size,
            frequency: ring.frequency,
            power: ring.power,
            anisotropy: ring.anisotropy,
            samples: ring.samples as u64,
        };
        Ok(())
    })
}

/// Ends a spectrum. NULL is allowed.
///
/// # Safety
/// `spectrum` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_spectrum_free(spectrum: *mut dw_spectrum) {
    unsafe { free(spectrum) }
}

/// What two films of one size share, beside what their screens let expect.
///
/// # Safety
/// Films and their rows are readable; screens are live handles; `overlap` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_films_overlap(
    first: *const dw_film,
    first_screen: *const dw_screen,
    second: *const dw_film,
    second_screen: *const dw_screen,
    overlap: *mut dw_overlap,
) -> dw_status {
    guard(|| {
        let (first, second) = unsafe { (film(first)?, film(second)?) };
        let one = unsafe { shared("first_screen", first_screen) }?;
        let two = unsafe { shared("second_screen", second_screen) }?;
        let out = unsafe { sized_mut("overlap", overlap) }?;
        let found = measure::overlap([&first, &second], [&one.screen, &two.screen])?;
        *out = dw_overlap {
            struct_size: out.struct_size,
            coverages: found.coverages,
            both: found.both,
            expected: found.expected,
        };
        Ok(())
    })
}

/// The tones at which a screen's dots first join to chains, and then across them, in its mode. DW_ERROR_REQUEST for index dots, arrays and dots
/// of the caller's own function, whose shape is not kept.
///
/// # Safety
/// `screen` is a live handle; `first` and `second` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_link_ups(
    screen: *const dw_screen,
    first: *mut f64,
    second: *mut f64,
) -> dw_status {
    guard(|| {
        let outs = unsafe { (Out::new("first", first)?, Out::new("second", second)?) };
        let screen = unsafe { shared("screen", screen) }?;
        let found = measure::link_ups(screen.shape()?, screen.screen.mode())?;
        outs.0.set(found.first);
        outs.1.set(found.second);
        Ok(())
    })
}

crate::ffi::layout!(dw_parts, 48: struct_size 0, whole 8, cut 16, whole_pixels 24, smallest 32, largest 40);
crate::ffi::layout!(dw_details, 56: struct_size 0, line_um 8, line_at 16, gap_um 32, gap_at 40);
crate::ffi::layout!(dw_repeat, 80: struct_size 0, degrees 8, modulus 16, lines_per_inch 24, first 32, second 56);
crate::ffi::layout!(dw_ring, 40: struct_size 0, frequency 8, power 16, anisotropy 24, samples 32);
crate::ffi::layout!(dw_overlap, 40: struct_size 0, coverages 8, both 24, expected 32);
