//! Art to plates: what a separation is to be, the separation, and running it.

use ndarray::ArrayViewMut2;

use crate::colour::separate::{self, Intent, Separation, Trim};
use crate::error::{Error, Result};
use crate::ffi::art::{ArtView, art, dw_art};
use crate::ffi::curve::dw_curve;
use crate::ffi::fence::{Out, free, items, shared, sized, unless_null};
use crate::ffi::plate::{DW_SAMPLE_U8, DW_SAMPLE_U16, dw_plate, dw_plate_out, placed, plate_out};
use crate::ffi::print::dw_print;
use crate::ffi::status::{dw_status, guard};
use crate::plate::Plate;
use crate::tone::Curve;

/// The art's black and white come out as the print's darkest and lightest.
pub const DW_INTENT_ADAPTED: u32 = 0;
/// They come out as they are, as far as they can be printed.
pub const DW_INTENT_ABSOLUTE: u32 = 1;

/// What a separation is to be: made by dw_separating_new, told by the other dw_separating_ calls, of which the last of each kind counts (every
/// pin counts), and turned into any number of separations by dw_separation_build. Plates are counted from 0 in printing order. Values are
/// checked when it is built. Not to be shared between threads while it is told something.
pub struct dw_separating(separate::Request);

/// A compiled separation. Immutable; may be shared between threads.
pub struct dw_separation(Separation);

/// A separation for a print, with everything else as usual.
///
/// # Safety
/// `print` is a live handle; `separating` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_new(
    print: *const dw_print,
    separating: *mut *mut dw_separating,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("separating", separating) }?;
        out.give(dw_separating(Separation::of(&unsafe { shared("print", print) }?.0)));
        Ok(())
    })
}

/// How the art's black and white come out: a DW_INTENT_… value; adapted unless told.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_intent(separating: *mut dw_separating, intent: u32) -> dw_status {
    told!(
        separating.0 = separating.0.clone().intent(match intent {
            DW_INTENT_ADAPTED => Intent::Adapted,
            DW_INTENT_ABSOLUTE => Intent::Absolute,
            other => return Err(Error::value("intent", other, "a DW_INTENT_… value")),
        })
    )
}

/// The part of the way to the gamut's boundary, 0…0.99, within which colours stay what they are; 0.9 unless told.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_knee(separating: *mut dw_separating, part: f64) -> dw_status {
    told!(separating.0 = separating.0.clone().knee(part))
}

/// Price of ink: half of the squared difference (CIEDE2000) that may be lost to save a whole coverage, 0…100; 0.2 unless told.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_ink_price(separating: *mut dw_separating, price: f64) -> dw_status {
    told!(separating.0 = separating.0.clone().ink_price(price))
}

/// Price, in the same unit, of grey that is carried by colours and not by black, 0…100; 1 unless told.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_grey_price(separating: *mut dw_separating, price: f64) -> dw_status {
    told!(separating.0 = separating.0.clone().grey_price(price))
}

/// Which plate is the black one. Unless told, the darkest ink, if it is dark and grey on the garment.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_black(separating: *mut dw_separating, plate: usize) -> dw_status {
    told!(separating.0 = separating.0.clone().black(plate))
}

/// How strongly neighbouring colours are drawn to like coverages, 1…10000; 100 unless told.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_smoothness(separating: *mut dw_separating, weight: f64) -> dw_status {
    told!(separating.0 = separating.0.clone().smoothness(weight))
}

/// The lightest tone that can be printed, 0…0.2 coverage: tones below are drawn to none or to it. 0, no floor, unless told.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_floor(separating: *mut dw_separating, coverage: f64) -> dw_status {
    told!(separating.0 = separating.0.clone().floor(coverage))
}

/// An art colour (sRGB of 8 bits) that comes out as one ink in full and nothing else.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_pin(
    separating: *mut dw_separating,
    red: u8,
    green: u8,
    blue: u8,
    plate: usize,
) -> dw_status {
    told!(separating.0 = separating.0.clone().pin([red, green, blue], plate))
}

/// A plate that is supplied: the others are solved for what it prints.
///
/// # Safety
/// `separating` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_hold(separating: *mut dw_separating, plate: usize) -> dw_status {
    told!(separating.0 = separating.0.clone().hold(plate))
}

/// A plate's trim: a curve (NULL for none), then tones below `highlight_cut` become none and tones above `shadow_fill` solid, both 0…1; 0
/// and 1 change nothing.
///
/// # Safety
/// `separating` is a live handle; `curve` is NULL or a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_trim(
    separating: *mut dw_separating,
    plate: usize,
    curve: *const dw_curve,
    highlight_cut: f64,
    shadow_fill: f64,
) -> dw_status {
    told!(
        separating.0 = separating.0.clone().trim(plate, {
            let curve = unless_null(curve, || unsafe { shared("curve", curve) })?;
            Trim { curve: curve.map_or_else(Curve::identity, |c| c.0.clone()), highlight_cut, shadow_fill }
        })
    )
}

/// Solves a separation: about a second's work of one core for six inks, shared out to all cores.
///
/// # Safety
/// `separating` is a live handle; `separation` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separation_build(
    separating: *const dw_separating,
    separation: *mut *mut dw_separation,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("separation", separation) }?;
        out.give(dw_separation(unsafe { shared("separating", separating) }?.0.build()?));
        Ok(())
    })
}

/// Ends what a separation is to be. NULL is allowed. Separations built from it live on.
///
/// # Safety
/// `separating` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separating_free(separating: *mut dw_separating) {
    unsafe { free(separating) }
}

/// Separates art into `count` plates, one for each ink in printing order, of the art's size and sample type; the work is shared out to all
/// cores. `held` is the plate that dw_separating_hold told of, of that size and type and one sample for each pixel, and NULL otherwise.
///
/// # Safety
/// `separation` is a live handle; `art` and `held` and what they point at are readable; `plates` holds `count` structures whose rows can
/// be written and lie apart from all else.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separation_run(
    separation: *const dw_separation,
    art: *const dw_art,
    held: *const dw_plate,
    plates: *const dw_plate_out,
    count: usize,
) -> dw_status {
    guard(|| {
        let separation = &unsafe { shared("separation", separation) }?.0;
        let plates = unsafe { items("plates", plates, count) }?;
        let held = unless_null(held, || unsafe { placed(held) })?.map(|placed| placed.plate());
        match unsafe { self::art(art) }? {
            ArtView::U8(art) => {
                let held = held.map(|plate| match plate {
                    Plate::U8(view) => Ok(view),
                    _ => Err(other_type()),
                });
                separation.run(art, held.transpose()?, &mut unsafe { outs(plates, DW_SAMPLE_U8) }?)
            }
            ArtView::U16(art) => {
                let held = held.map(|plate| match plate {
                    Plate::U16(view) => Ok(view),
                    _ => Err(other_type()),
                });
                separation.run(art, held.transpose()?, &mut unsafe { outs(plates, DW_SAMPLE_U16) }?)
            }
        }
    })
}

fn other_type() -> Error {
    Error::value("held.sample", "another type", "the art's")
}

/// # Safety
/// The rows of all plates can be written and are nobody else's.
unsafe fn outs<'a, T>(plates: &[dw_plate_out], sample: u32) -> Result<Vec<ArrayViewMut2<'a, T>>> {
    let each = plates.iter().map(|plate| {
        // SAFETY: the caller's promise, here and below.
        let plate = unsafe { sized("plates", plate) }?;
        if plate.sample != sample {
            return Err(Error::value("plates.sample", plate.sample, format!("the art's, {sample}")));
        }
        unsafe { plate_out(plate) }
    });
    each.collect()
}

/// Ends a separation. NULL is allowed.
///
/// # Safety
/// `separation` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_separation_free(separation: *mut dw_separation) {
    unsafe { free(separation) }
}
