//! The print: inks in order on a garment, and the colour of any coverages.

use std::ffi::c_char;

use crate::colour::{Overlap, Print, lay_down};
use crate::error::{Error, Result};
use crate::ffi::colour::{dw_colour, dw_ink, spelled, tell};
use crate::ffi::fence::{Out, exclusive, free, items, shared};
use crate::ffi::screen::dw_screen;
use crate::ffi::status::{dw_status, guard};
use crate::screen::Screen;

/// The inks of a print as they are laid down: made by dw_printing_new, told by the other dw_printing_ calls in printing order, and turned
/// into any number of prints by dw_print_build. Not to be shared between threads while it is told something.
pub struct dw_printing {
    request: lay_down::Request,
    inks: usize,
}

/// A compiled print. Immutable; may be shared between threads.
pub struct dw_print(pub(super) Print);

/// A garment of a colour (spelled as for dw_colour_of), with nothing printed on it yet.
///
/// # Safety
/// `garment` is a NUL-terminated string; `printing` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_printing_new(
    garment: *const c_char,
    printing: *mut *mut dw_printing,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("printing", printing) }?;
        let request = Print::on(unsafe { spelled("garment", garment) }?);
        out.give(dw_printing { request, inks: 0 });
        Ok(())
    })
}

/// The next ink; 12 at the most.
///
/// # Safety
/// `printing` and `ink` are live handles.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_printing_ink(printing: *mut dw_printing, ink: *const dw_ink) -> dw_status {
    guard(|| {
        let printing = unsafe { exclusive("printing", printing) }?;
        let ink = unsafe { shared("ink", ink) }?;
        if printing.inks == MOST {
            return Err(Error::value("inks of a print", printing.inks + 1, format!("1 to {MOST}")));
        }
        printing.request = printing.request.clone().ink(&ink.ink);
        printing.inks += 1;
        Ok(())
    })
}

/// Most inks of a print.
const MOST: usize = crate::colour::overlap::MAX_PLATES;

/// A flash: what was printed so far is dry.
///
/// # Safety
/// `printing` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_printing_flash(printing: *mut dw_printing) -> dw_status {
    told!(printing.request = printing.request.clone().flash())
}

/// The part of an ink's thickness, 0…1, that stays where ink below it is still wet; 1 unless told.
///
/// # Safety
/// `printing` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_printing_wet(printing: *mut dw_printing, part: f64) -> dw_status {
    told!(printing.request = printing.request.clone().wet(part))
}

/// Yule and Nielsen's n, 1…10; 1 unless told.
///
/// # Safety
/// `printing` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_printing_yule_nielsen(printing: *mut dw_printing, n: f64) -> dw_status {
    told!(printing.request = printing.request.clone().yule_nielsen(n))
}

/// The measured colour of `count` inks in full (counted from 0 in printing order) on the garment, which is taken before any model.
///
/// # Safety
/// `printing` is a live handle; `inks` holds `count` numbers; `colour` is a NUL-terminated string.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_printing_overprint(
    printing: *mut dw_printing,
    inks: *const usize,
    count: usize,
    colour: *const c_char,
) -> dw_status {
    guard(|| {
        let printing = unsafe { exclusive("printing", printing) }?;
        if !(1..=MOST).contains(&count) {
            return Err(Error::value("count", count, format!("1 to {MOST}")));
        }
        let inks = unsafe { items("inks", inks, count) }?;
        let colour = unsafe { spelled("colour", colour) }?;
        printing.request = printing.request.clone().overprint(inks, colour);
        Ok(())
    })
}

/// The print, for inks that overlap by the law of their `count` screens, one for each ink: those on one lattice nest or keep clear of each
/// other, all others overlap by chance. NULL and 0 for `screens` and `count` take all by chance (Demichel).
///
/// # Safety
/// `printing` and each of the `count` handles that `screens` holds are live; `print` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_print_build(
    printing: *const dw_printing,
    screens: *const *const dw_screen,
    count: usize,
    print: *mut *mut dw_print,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("print", print) }?;
        let printing = unsafe { shared("printing", printing) }?;
        let overlap = if screens.is_null() && count == 0 {
            Overlap::independent(printing.inks)?
        } else {
            let screens = unsafe { items("screens", screens, count) }?;
            let screens: Result<Vec<&Screen>> =
                screens.iter().map(|&screen| Ok(&unsafe { shared("screens", screen) }?.screen)).collect();
            Overlap::of(&screens?)?
        };
        out.give(dw_print(printing.request.build(&overlap)?));
        Ok(())
    })
}

/// Ends the laying down of inks. NULL is allowed. Prints built from it live on.
///
/// # Safety
/// `printing` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_printing_free(printing: *mut dw_printing) {
    unsafe { free(printing) }
}

/// The colour of printed coverages, 0…1, one for each ink in printing order.
///
/// # Safety
/// `print` is a live handle; `coverages` holds `count` numbers; `colour` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_print_colour(
    print: *const dw_print,
    coverages: *const f64,
    count: usize,
    colour: *mut dw_colour,
) -> dw_status {
    guard(|| {
        let print = &unsafe { shared("print", print) }?.0;
        let coverages = unsafe { items("coverages", coverages, count) }?;
        if count != print.inks() {
            return Err(Error::value("count", count, format!("{}, one coverage for each ink", print.inks())));
        }
        if let Some(bad) = coverages.iter().find(|c| !(0.0..=1.0).contains(*c)) {
            return Err(Error::value("coverages", bad, "0 to 1"));
        }
        unsafe { tell(colour, print.xyz(coverages)) }
    })
}

/// Ends a print. NULL is allowed. Separations made for it live on.
///
/// # Safety
/// `print` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_print_free(print: *mut dw_print) {
    unsafe { free(print) }
}
