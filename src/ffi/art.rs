//! Art: colour pictures in the caller's memory and in files; backgrounds knocked out of them.

use core::ffi::c_void;
use std::ffi::c_char;

use ndarray::{Array3, ArrayView3, ShapeBuilder};

use crate::art::{Art, Samples};
use crate::colour::KnockOut;
use crate::error::{Error, Result, reserve};
use crate::ffi::colour::spelled;
use crate::ffi::fence::{Out, free, items, path, shared, sized, sized_mut, unless_null};
use crate::ffi::plate::{DW_SAMPLE_U8, DW_SAMPLE_U16, span};
use crate::ffi::status::{dw_status, guard};
use crate::io::read_art;

/// Art in memory: sRGB codes (IEC 61966-2-1), red, green, blue and, with four channels, how opaque the art is, not premultiplied: where it
/// is transparent the garment is seen. Set `struct_size` to sizeof(dw_art).
#[repr(C)]
pub struct dw_art {
    /// sizeof(dw_art).
    pub struct_size: usize,
    /// DW_SAMPLE_U8 or DW_SAMPLE_U16.
    pub sample: u32,
    /// 3 or 4.
    pub channels: u32,
    /// The first row, aligned to its samples: pixel by pixel, channel by channel.
    pub samples: *const c_void,
    /// Bytes that may be read from `samples` on.
    pub bytes: usize,
    /// Bytes from one row to the next: a multiple of the sample's size, at least a row's.
    pub stride: usize,
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Pixels per inch along x, filled in by dw_art_file_get; 0 if the file does not say. Not looked at otherwise.
    pub x_per_inch: f64,
    /// See `x_per_inch`.
    pub y_per_inch: f64,
}

/// Art that the library holds. Immutable; may be shared between threads.
pub struct dw_art_file(Art);

/// Samples of either type.
pub(super) enum ArtView<'a> {
    U8(ArrayView3<'a, u8>),
    U16(ArrayView3<'a, u16>),
}

/// # Safety
/// The structure and the samples it points at are readable and unchanged for `'a`.
pub(super) unsafe fn art<'a>(art: *const dw_art) -> Result<ArtView<'a>> {
    unsafe fn view<'a, T>(art: &dw_art, channels: usize) -> Result<ArrayView3<'a, T>> {
        let row = art.width.checked_mul(channels);
        let row = row.ok_or_else(|| Error::value("art.width", art.width, "what memory can hold"))?;
        let (len, _) = span::<T>("art", art.bytes, art.stride, (row, art.height))?;
        // SAFETY: the caller promised `bytes`, which are no fewer.
        let samples = unsafe { items("art.samples", art.samples.cast::<T>(), len) }?;
        let shape = (art.height, art.width, channels);
        let strides = (art.stride / size_of::<T>(), channels, 1);
        ArrayView3::from_shape(shape.strides(strides), samples)
            .map_err(|why| Error::value("art", why, "rows in memory"))
    }
    // SAFETY: the caller's promise, here and below.
    let art = unsafe { sized("art", art) }?;
    let channels = match art.channels {
        3 | 4 => art.channels as usize,
        other => return Err(Error::value("art.channels", other, "3 or 4")),
    };
    match art.sample {
        DW_SAMPLE_U8 => Ok(ArtView::U8(unsafe { view(art, channels) }?)),
        DW_SAMPLE_U16 => Ok(ArtView::U16(unsafe { view(art, channels) }?)),
        other => Err(Error::value("art.sample", other, "DW_SAMPLE_U8 or DW_SAMPLE_U16")),
    }
}

impl ArtView<'_> {
    fn to_art(&self) -> Result<Art> {
        match self {
            Self::U8(view) => owned(view),
            Self::U16(view) => owned(view),
        }
    }
}

fn owned<T: Clone>(view: &ArrayView3<'_, T>) -> Result<Art>
where
    Samples: From<Array3<T>>,
{
    let mut samples = reserve("art", view.len())?;
    samples.extend(view.iter().cloned());
    let samples = Array3::from_shape_vec(view.dim(), samples);
    Art::new(samples.map_err(|why| Error::value("art", why, "rows in memory"))?)
}

/// Reads a PNG, TIFF or JPEG (UTF-8 path); the kind is told by the first bytes. An embedded profile is followed into sRGB of 16 bits; what
/// cannot be told is refused with a word.
///
/// # Safety
/// `file` is a NUL-terminated string; `art` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_art_read(file: *const c_char, art: *mut *mut dw_art_file) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("art", art) }?;
        out.give(dw_art_file(read_art(unsafe { path("file", file) }?)?.art));
        Ok(())
    })
}

/// Where the samples lie; they belong to the handle.
///
/// # Safety
/// `file` is a live handle; `art` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_art_file_get(file: *const dw_art_file, art: *mut dw_art) -> dw_status {
    guard(|| {
        let file = &unsafe { shared("file", file) }?.0;
        let out = unsafe { sized_mut("art", art) }?;
        let (sample, samples, size) = match file.samples() {
            Samples::U8(samples) => (DW_SAMPLE_U8, samples.as_ptr().cast(), 1),
            Samples::U16(samples) => (DW_SAMPLE_U16, samples.as_ptr().cast(), 2),
        };
        let channels = if file.has_alpha() { 4 } else { 3 };
        let stride = file.width() * channels * size;
        let (x_per_inch, y_per_inch) = file.resolution().map_or((0.0, 0.0), |r| (r.x(), r.y()));
        *out = dw_art {
            struct_size: out.struct_size,
            sample,
            channels: channels as u32,
            samples,
            bytes: stride * file.height(),
            stride,
            width: file.width(),
            height: file.height(),
            x_per_inch,
            y_per_inch,
        };
        Ok(())
    })
}

/// Art freed of its background, which becomes garment from the border in; soft edges are un-mixed in linear light. `background` is a
/// colour spelled as for dw_colour_of, or NULL to find it from the border; `tolerance` says how far a channel may be off it, in levels of
/// 255 (0…64, usually 2), `soft` over how many pixels edges may be soft (0…64, usually 3); with `everywhere` other than 0 areas of that
/// colour inside the art go too.
///
/// # Safety
/// `art` and its samples are readable; `background` is NULL or a NUL-terminated string; `knocked_out` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_art_knock_out(
    art: *const dw_art,
    background: *const c_char,
    tolerance: f64,
    soft: u32,
    everywhere: u32,
    knocked_out: *mut *mut dw_art_file,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("knocked_out", knocked_out) }?;
        let art = unsafe { self::art(art) }?.to_art()?;
        let background = unless_null(background, || unsafe { spelled("background", background) })?;
        let soft = u8::try_from(soft).unwrap_or(u8::MAX);
        let how = KnockOut::default().tolerance(tolerance).soft(soft).everywhere(everywhere != 0);
        let how = match background {
            Some(colour) => how.background(colour.to_linear().to_srgb()),
            None => how,
        };
        out.give(dw_art_file(how.run(&art)?.art));
        Ok(())
    })
}

/// Ends art that the library holds. NULL is allowed.
///
/// # Safety
/// `art` is NULL or a handle that is not used again, and so are the samples that it told of.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_art_free(art: *mut dw_art_file) {
    unsafe { free(art) }
}

crate::ffi::layout!(dw_art, 72:
    struct_size 0, sample 8, channels 12, samples 16, bytes 24, stride 32, width 40, height 48, x_per_inch 56, y_per_inch 64);
