//! Colours, inks and shelves of inks.

use std::ffi::{CString, c_char};

use crate::colour::{Drawdown, Ink, Shelf, Xyz, ciede2000};
use crate::error::Result;
use crate::ffi::fence::{Out, entry, free, path, shared, sized_mut, text, words};
use crate::ffi::status::{dw_status, guard};

/// A colour, filled in by a call; all numbers under D50. Set `struct_size` to sizeof(dw_colour) before the call.
#[repr(C)]
pub struct dw_colour {
    /// sizeof(dw_colour).
    pub struct_size: usize,
    /// X of 0…100 and more; white is 96.42.
    pub x: f64,
    /// Y; white is 100.
    pub y: f64,
    /// Z; white is 82.49.
    pub z: f64,
    /// L* of 0…100.
    pub l: f64,
    /// a*.
    pub a: f64,
    /// b*.
    pub b: f64,
    /// sRGB of 8 bits; what sRGB does not hold is cut off, channel by channel.
    pub red: u8,
    /// See `red`.
    pub green: u8,
    /// See `red`.
    pub blue: u8,
}

/// An ink: a name and how it looks over any ground. Immutable; may be shared between threads.
pub struct dw_ink {
    pub(super) ink: Ink,
    name: CString,
}

impl dw_ink {
    fn new(ink: Ink) -> Self {
        let name = words(ink.name());
        Self { ink, name }
    }
}

/// A shelf of inks. Immutable; may be shared between threads.
pub struct dw_shelf(Shelf);

/// A colour as it is spelled everywhere in this interface: "#e8b04a" (sRGB), "lab(76.2 12 60)" or "xyz(52.1 50.9 12.3)".
///
/// # Safety
/// As [`text`].
pub(super) unsafe fn spelled(name: &'static str, colour: *const c_char) -> Result<Xyz> {
    // SAFETY: the caller's promise.
    unsafe { text(name, colour) }?.parse()
}

/// # Safety
/// `out` can be read and written for the struct_size it states.
pub(super) unsafe fn tell(out: *mut dw_colour, colour: Xyz) -> Result<()> {
    // SAFETY: the caller's promise.
    let out = unsafe { sized_mut("colour", out) }?;
    let ([x, y, z], lab) = (colour.0.map(|v| 100.0 * v), colour.to_lab());
    let [red, green, blue] = colour.to_linear().to_srgb::<u8>();
    *out =
        dw_colour { struct_size: out.struct_size, x, y, z, l: lab.l, a: lab.a, b: lab.b, red, green, blue };
    Ok(())
}

/// A colour by its spelling, as all calls take it: "#e8b04a" (sRGB), "lab(76.2 12 60)" or "xyz(52.1 50.9 12.3)", white having Y 100;
/// the last two under D50.
///
/// # Safety
/// `spelling` is a NUL-terminated string; `colour` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_colour_of(spelling: *const c_char, colour: *mut dw_colour) -> dw_status {
    // SAFETY: this function's own contract.
    guard(|| unsafe { tell(colour, spelled("spelling", spelling)?) })
}

/// How far two colours are from each other: CIEDE2000 (CIE 142, all factors 1).
///
/// # Safety
/// Both spellings are NUL-terminated strings; `difference` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_colour_difference(
    first: *const c_char,
    second: *const c_char,
    difference: *mut f64,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::new("difference", difference) }?;
        let (first, second) = unsafe { (spelled("first", first)?, spelled("second", second)?) };
        out.set(ciede2000(first.to_lab(), second.to_lab()));
        Ok(())
    })
}

/// An ink from two drawdowns: its colour over a white ground and over a black one, and the grounds' own colours, all spelled as for
/// dw_colour_of. Drawdowns that no layer of ink can show are refused with DW_ERROR_DATA.
///
/// # Safety
/// The five texts are NUL-terminated strings; `ink` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_ink_new(
    name: *const c_char,
    white_ground: *const c_char,
    over_white: *const c_char,
    black_ground: *const c_char,
    over_black: *const c_char,
    ink: *mut *mut dw_ink,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("ink", ink) }?;
        let name = unsafe { text("name", name) }?;
        let white = Drawdown {
            ground: unsafe { spelled("white_ground", white_ground) }?,
            colour: unsafe { spelled("over_white", over_white) }?,
        };
        let black = Drawdown {
            ground: unsafe { spelled("black_ground", black_ground) }?,
            colour: unsafe { spelled("over_black", over_black) }?,
        };
        out.give(dw_ink::new(Ink::new(name, white, black)?));
        Ok(())
    })
}

/// The name of an ink, which belongs to it.
///
/// # Safety
/// `ink` is a live handle; `name` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_ink_name(ink: *const dw_ink, name: *mut *const c_char) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("name", name) }?;
        out.set(unsafe { shared("ink", ink) }?.name.as_ptr());
        Ok(())
    })
}

/// The solid of an ink over a ground, at the thickness of its drawdowns.
///
/// # Safety
/// `ink` is a live handle; `ground` is a NUL-terminated string; `colour` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_ink_over(
    ink: *const dw_ink,
    ground: *const c_char,
    colour: *mut dw_colour,
) -> dw_status {
    guard(|| {
        let ink = unsafe { shared("ink", ink) }?;
        let ground = unsafe { spelled("ground", ground) }?;
        unsafe { tell(colour, ink.ink.over(ground)) }
    })
}

/// Ends an ink. NULL is allowed. Prints made from it live on.
///
/// # Safety
/// `ink` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_ink_free(ink: *mut dw_ink) {
    unsafe { free(ink) }
}

/// Reads a shelf of inks from a TOML file (UTF-8 path); examples/shelf.toml shows the form. Every mistake in it is told with its line.
///
/// # Safety
/// `file` is a NUL-terminated string; `shelf` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_shelf_read(file: *const c_char, shelf: *mut *mut dw_shelf) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("shelf", shelf) }?;
        out.give(dw_shelf(Shelf::read(&unsafe { path("file", file) }?)?));
        Ok(())
    })
}

/// The number of inks on a shelf.
///
/// # Safety
/// `shelf` is a live handle; `count` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_shelf_count(shelf: *const dw_shelf, count: *mut usize) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("count", count) }?;
        out.set(unsafe { shared("shelf", shelf) }?.0.inks().len());
        Ok(())
    })
}

/// An ink of a shelf, counted from 0 in the file's order, as a handle of its own.
///
/// # Safety
/// `shelf` is a live handle; `ink` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_shelf_get(
    shelf: *const dw_shelf,
    index: usize,
    ink: *mut *mut dw_ink,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("ink", ink) }?;
        let shelf = unsafe { shared("shelf", shelf) }?;
        out.give(dw_ink::new(entry(shelf.0.inks(), index)?.clone()));
        Ok(())
    })
}

/// The ink of a name, as a handle of its own.
///
/// # Safety
/// `shelf` is a live handle; `name` is a NUL-terminated string; `ink` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_shelf_find(
    shelf: *const dw_shelf,
    name: *const c_char,
    ink: *mut *mut dw_ink,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("ink", ink) }?;
        let shelf = unsafe { shared("shelf", shelf) }?;
        out.give(dw_ink::new(shelf.0.ink(unsafe { text("name", name) }?)?.clone()));
        Ok(())
    })
}

/// Ends a shelf. NULL is allowed. Its inks that were handed out live on.
///
/// # Safety
/// `shelf` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_shelf_free(shelf: *mut dw_shelf) {
    unsafe { free(shelf) }
}

crate::ffi::layout!(dw_colour, 64: struct_size 0, x 8, y 16, z 24, l 32, a 40, b 48, red 56, green 57, blue 58);
