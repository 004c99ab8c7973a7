//! Proofs: pictures of the print to expect.

use ndarray::ArrayView2;

use crate::error::{Error, Result};
use crate::ffi::fence::{Out, free, items, items_mut, shared, sized_mut};
use crate::ffi::plate::{dw_plate, placed};
use crate::ffi::print::dw_print;
use crate::ffi::status::{dw_status, guard};
use crate::plate::{Plate, Tone};
use crate::proof::eye::seen_from;
use crate::proof::plates::proof;
use crate::proof::{Differences, Picture};
use crate::units::{Length, Resolution};

/// A picture in light. Immutable; may be shared between threads.
pub struct dw_picture(Picture);

/// How far two pictures are from each other, in CIEDE2000. Set `struct_size` to sizeof(dw_differences) before the call.
#[repr(C)]
pub struct dw_differences {
    /// sizeof(dw_differences).
    pub struct_size: usize,
    /// Mean over all pixels.
    pub mean: f64,
    /// What 95 of 100 pixels do not exceed.
    pub percentile_95: f64,
    /// Mean over the worst square.
    pub worst: f64,
    /// Its left side in pixels.
    pub worst_x: usize,
    /// Its upper side.
    pub worst_y: usize,
}

/// The print to expect of `count` plates of one size and type (8 or 16 bits, a sample for each pixel), one for each ink in printing order. What is
/// printed is taken to be what the plates say: gain is undone by their curves.
///
/// # Safety
/// `print` is a live handle; `plates` holds `count` structures, which are readable with what they point at; `picture` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_proof_plates(
    print: *const dw_print,
    plates: *const dw_plate,
    count: usize,
    picture: *mut *mut dw_picture,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("picture", picture) }?;
        let print = &unsafe { shared("print", print) }?.0;
        let plates = unsafe { items("plates", plates, count) }?;
        let plates: Result<Vec<Plate<'_>>> =
            plates.iter().map(|plate| Ok(unsafe { placed(plate) }?.plate())).collect();
        let plates = plates?;
        let bytes = plates.iter().map(|plate| if let Plate::U8(view) = plate { Some(*view) } else { None });
        let words = plates.iter().map(|plate| if let Plate::U16(view) = plate { Some(*view) } else { None });
        out.give(match (bytes.collect::<Option<Vec<_>>>(), words.collect::<Option<Vec<_>>>()) {
            (Some(bytes), _) => made(print, &bytes),
            (_, Some(words)) => made(print, &words),
            _ => Err(Error::value(
                "plates.sample",
                "of several types",
                "all DW_SAMPLE_U8 or all DW_SAMPLE_U16",
            )),
        }?);
        Ok(())
    })
}

fn made<T: Tone>(print: &crate::colour::Print, plates: &[ArrayView2<'_, T>]) -> Result<dw_picture> {
    proof(print, plates).map(dw_picture)
}

/// The same picture as an eye sees it from a distance in millimetres; the resolution is that of the picture.
///
/// # Safety
/// `picture` is a live handle; `seen` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_picture_seen(
    picture: *const dw_picture,
    x_per_inch: f64,
    y_per_inch: f64,
    distance_mm: f64,
    seen: *mut *mut dw_picture,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("seen", seen) }?;
        let picture = &unsafe { shared("picture", picture) }?.0;
        let resolution = Resolution::per_inch_xy(x_per_inch, y_per_inch)?;
        out.give(dw_picture(seen_from(picture, resolution, Length::mm(distance_mm)?)?));
        Ok(())
    })
}

/// Width and height of a picture in pixels.
///
/// # Safety
/// `picture` is a live handle; `width` and `height` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_picture_size(
    picture: *const dw_picture,
    width: *mut usize,
    height: *mut usize,
) -> dw_status {
    guard(|| {
        let (w, h) = unsafe { (Out::new("width", width)?, Out::new("height", height)?) };
        let picture = &unsafe { shared("picture", picture) }?.0;
        w.set(picture.width());
        h.set(picture.height());
        Ok(())
    })
}

/// The picture as sRGB of 8 bits: red, green, blue of each pixel, row by row, without gaps; `bytes` is 3 · width · height or more. What sRGB does
/// not hold is cut off, channel by channel.
///
/// # Safety
/// `picture` is a live handle; `codes` can be written for `bytes` bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_picture_srgb(
    picture: *const dw_picture,
    codes: *mut u8,
    bytes: usize,
) -> dw_status {
    guard(|| {
        let picture = &unsafe { shared("picture", picture) }?.0;
        let out = unsafe { items_mut("codes", codes, bytes) }?;
        let srgb = picture.to_srgb::<u8>()?;
        let Some(out) = out.get_mut(..srgb.len()) else {
            return Err(Error::value(
                "bytes",
                bytes,
                format!("at least {}, three for each pixel", srgb.len()),
            ));
        };
        out.iter_mut().zip(&srgb).for_each(|(to, &code)| *to = code);
        Ok(())
    })
}

/// How far two pictures of one size are from each other; the worst place is a square of `side` pixels, 1 and more.
///
/// # Safety
/// `one` and `other` are live handles; `differences` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_picture_differences(
    one: *const dw_picture,
    other: *const dw_picture,
    side: usize,
    differences: *mut dw_differences,
) -> dw_status {
    guard(|| {
        let (one, other) = unsafe { (&shared("one", one)?.0, &shared("other", other)?.0) };
        let out = unsafe { sized_mut("differences", differences) }?;
        if side == 0 {
            return Err(Error::value("side", side, "1 and more pixels"));
        }
        let between = Differences::between(one, other)?;
        let ([worst_x, worst_y], worst) = between.worst(side);
        *out = dw_differences {
            struct_size: out.struct_size,
            mean: between.mean(),
            percentile_95: between.quantile(0.95),
            worst,
            worst_x,
            worst_y,
        };
        Ok(())
    })
}

/// Ends a picture. NULL is allowed.
///
/// # Safety
/// `picture` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_picture_free(picture: *mut dw_picture) {
    unsafe { free(picture) }
}

crate::ffi::layout!(dw_differences, 48: struct_size 0, mean 8, percentile_95 16, worst 24, worst_x 32, worst_y 40);
