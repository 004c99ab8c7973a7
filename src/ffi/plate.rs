//! Plates and films as C hands them over: pointer, bytes, stride, extent.

use ndarray::{ArrayView2, ArrayViewMut2, Ix2, ShapeBuilder, StrideShape};

use crate::error::{Error, Result};
use crate::ffi::fence::{Out, items, items_mut, sized};
use crate::ffi::status::{dw_status, guard};
use crate::film::{FilmMut, FilmView};
use crate::plate::Plate;
use crate::screen::{Placed, Sampling};
use crate::units::Resolution;

/// Samples of 8 bits, 0…255.
pub const DW_SAMPLE_U8: u32 = 0;
/// Samples of 16 bits, 0…65535, in the machine's byte order.
pub const DW_SAMPLE_U16: u32 = 1;
/// Samples of 32-bit floating point, 0…1.
pub const DW_SAMPLE_F32: u32 = 2;

/// The sample that holds a pixel's centre.
pub const DW_SAMPLING_NEAREST: u32 = 0;
/// Between the four samples around a pixel's centre.
pub const DW_SAMPLING_LINEAR: u32 = 1;

/// A plate in the caller's memory: one ink's coverage, 0 for none, the highest value for solid.
///
/// Row y begins `stride` · y bytes after `samples`. Set every member; set `struct_size` to sizeof(dw_plate).
#[repr(C)]
pub struct dw_plate {
    /// sizeof(dw_plate).
    pub struct_size: usize,
    /// DW_SAMPLE_….
    pub sample: u32,
    /// DW_SAMPLING_…; ignored where plate and film resolution are the same.
    pub sampling: u32,
    /// The first row, aligned to its samples; NULL only where width or height is 0.
    pub samples: *const core::ffi::c_void,
    /// Bytes that may be read from `samples` on.
    pub bytes: usize,
    /// Bytes from one row to the next: a multiple of the sample's size, at least a row's.
    pub stride: usize,
    /// Samples in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Plate samples per inch along x and y; 0 in all four resolutions takes a sample for each pixel.
    pub plate_x_per_inch: f64,
    /// See `plate_x_per_inch`.
    pub plate_y_per_inch: f64,
    /// Film pixels per inch along x.
    pub film_x_per_inch: f64,
    /// Film pixels per inch along y.
    pub film_y_per_inch: f64,
    /// The film pixel on which the plate's upper left corner lies.
    pub x: i64,
    /// See `x`.
    pub y: i64,
}

/// A packed film in the caller's memory, to read: leftmost pixel in the highest bit, 1 is ink. Set `struct_size` to
/// sizeof(dw_film).
#[repr(C)]
pub struct dw_film {
    /// sizeof(dw_film).
    pub struct_size: usize,
    /// The first row; NULL only where width or height is 0.
    pub bits: *const u8,
    /// Bytes that may be read from `bits` on.
    pub bytes: usize,
    /// Bytes from one row to the next, at least (width + 7) / 8.
    pub stride: usize,
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

/// A packed film in the caller's memory, to write. Bytes between the rows are left alone, but all of `bytes` belongs to the call
/// while it lasts. Set `struct_size` to sizeof(dw_film_out).
#[repr(C)]
pub struct dw_film_out {
    /// sizeof(dw_film_out).
    pub struct_size: usize,
    /// The first row; NULL only where width or height is 0.
    pub bits: *mut u8,
    /// Bytes that may be written from `bits` on.
    pub bytes: usize,
    /// Bytes from one row to the next, at least (width + 7) / 8.
    pub stride: usize,
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

/// A plate in the caller's memory, to write: DW_SAMPLE_U8 or DW_SAMPLE_U16. Bytes between the rows are left alone, but all of `bytes`
/// belongs to the call while it lasts. Set `struct_size` to sizeof(dw_plate_out).
#[repr(C)]
pub struct dw_plate_out {
    /// sizeof(dw_plate_out).
    pub struct_size: usize,
    /// DW_SAMPLE_U8 or DW_SAMPLE_U16.
    pub sample: u32,
    /// The first row, aligned to its samples; NULL only where width or height is 0.
    pub samples: *mut core::ffi::c_void,
    /// Bytes that may be written from `samples` on.
    pub bytes: usize,
    /// Bytes from one row to the next: a multiple of the sample's size, at least a row's.
    pub stride: usize,
    /// Samples in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

/// The size in pixels of the whole film of a plate.
///
/// # Safety
/// `plate` and what it points at are readable; `width` and `height` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_plate_film_size(
    plate: *const dw_plate,
    width: *mut usize,
    height: *mut usize,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let (w, h) = unsafe { (Out::new("width", width)?, Out::new("height", height)?) };
        let placed = unsafe { placed(plate) }?;
        w.set(placed.film_width());
        h.set(placed.film_height());
        Ok(())
    })
}

/// The plate as the library takes it.
///
/// # Safety
/// The structure and the samples it points at are readable and unchanged for `'a`.
pub(super) unsafe fn placed<'a>(plate: *const dw_plate) -> Result<Placed<'a>> {
    // SAFETY: the caller's promise, here and below.
    let plate = unsafe { sized("plate", plate) }?;
    let samples: Plate<'a> = match plate.sample {
        DW_SAMPLE_U8 => unsafe { view::<u8>(plate) }?.into(),
        DW_SAMPLE_U16 => unsafe { view::<u16>(plate) }?.into(),
        DW_SAMPLE_F32 => unsafe { view::<f32>(plate) }?.into(),
        other => return Err(Error::value("plate.sample", other, "a DW_SAMPLE_… value")),
    };
    let sampling = match plate.sampling {
        DW_SAMPLING_NEAREST => Sampling::Nearest,
        DW_SAMPLING_LINEAR => Sampling::Linear,
        other => return Err(Error::value("plate.sampling", other, "a DW_SAMPLING_… value")),
    };
    let [px, py, fx, fy] =
        [plate.plate_x_per_inch, plate.plate_y_per_inch, plate.film_x_per_inch, plate.film_y_per_inch];
    let placed = if [px, py, fx, fy] == [0.0; 4] {
        Placed::new(samples)
    } else {
        let (of_plate, of_film) = (Resolution::per_inch_xy(px, py)?, Resolution::per_inch_xy(fx, fy)?);
        Placed::resampled(samples, of_plate, of_film, sampling)?
    };
    Ok(placed.at(plate.x, plate.y))
}

/// # Safety
/// As [`placed`].
unsafe fn view<'a, T>(plate: &dw_plate) -> Result<ArrayView2<'a, T>> {
    let samples = plate.samples.cast::<T>();
    // SAFETY: the caller's promise.
    unsafe { rows("plate", samples, plate.bytes, plate.stride, (plate.width, plate.height)) }
}

/// Rows of samples, `stride` bytes apart, in `bytes` bytes.
///
/// # Safety
/// `bytes` bytes are readable and unchanged for `'a`.
pub(super) unsafe fn rows<'a, T>(
    name: &'static str,
    samples: *const T,
    bytes: usize,
    stride: usize,
    (width, height): (usize, usize),
) -> Result<ArrayView2<'a, T>> {
    let (len, shape) = span::<T>(name, bytes, stride, (width, height))?;
    // SAFETY: the caller promised `bytes`, which are no fewer.
    let samples = unsafe { items(name, samples, len) }?;
    ArrayView2::from_shape(shape, samples).map_err(|why| Error::value(name, why, "rows in memory"))
}

/// The same, to be written.
///
/// # Safety
/// `bytes` bytes are writable and nobody else's for `'a`.
pub(super) unsafe fn rows_mut<'a, T>(
    name: &'static str,
    samples: *mut T,
    bytes: usize,
    stride: usize,
    (width, height): (usize, usize),
) -> Result<ArrayViewMut2<'a, T>> {
    let (len, shape) = span::<T>(name, bytes, stride, (width, height))?;
    // SAFETY: as above.
    let samples = unsafe { items_mut(name, samples, len) }?;
    ArrayViewMut2::from_shape(shape, samples).map_err(|why| Error::value(name, why, "rows in memory"))
}

/// The samples from the first of some rows to the last, and how they lie; rows without extent have none.
pub(super) fn span<T>(
    name: &'static str,
    bytes: usize,
    stride: usize,
    (width, height): (usize, usize),
) -> Result<(usize, StrideShape<Ix2>)> {
    let size = size_of::<T>();
    let row = width.checked_mul(size);
    if row.is_none_or(|row| stride < row) || !stride.is_multiple_of(size) {
        let allowed = format!("a stride that is a multiple of {size}, at least {width} x {size}");
        return Err(Error::value(name, format!("{stride} bytes from row to row"), allowed));
    }
    if width == 0 || height == 0 {
        return Ok((0, (height, width).into()));
    }
    // The last row needs no padding behind it.
    let needed = stride.checked_mul(height - 1).and_then(|n| n.checked_add(width * size));
    let needed = needed.filter(|&needed| needed <= bytes).ok_or_else(|| {
        Error::value(name, format!("{bytes} bytes"), format!("at least {height} rows of {stride} bytes"))
    })?;
    Ok((needed / size, (height, width).strides((stride / size, 1))))
}

/// # Safety
/// The structure is readable, and the rows it points at are writable and nobody else's for `'a`.
pub(super) unsafe fn plate_out<'a, T>(plate: &dw_plate_out) -> Result<ArrayViewMut2<'a, T>> {
    let samples = plate.samples.cast::<T>();
    // SAFETY: the caller's promise.
    unsafe { rows_mut("out", samples, plate.bytes, plate.stride, (plate.width, plate.height)) }
}

/// # Safety
/// The structure and the rows it points at are readable and unchanged for `'a`.
pub(super) unsafe fn film<'a>(film: *const dw_film) -> Result<FilmView<'a>> {
    // SAFETY: the caller's promise.
    let film = unsafe { sized("film", film) }?;
    let (height, bytes) = rows_and_bytes(film.width, film.height, film.bytes);
    let bits = unsafe { items("film.bits", film.bits, bytes) }?;
    FilmView::new(film.width, height, film.stride, bits)
}

/// # Safety
/// The structure is readable, and the rows it points at are writable and nobody else's for `'a`.
pub(super) unsafe fn film_out<'a>(film: *const dw_film_out) -> Result<FilmMut<'a>> {
    // SAFETY: the caller's promise.
    let film = unsafe { sized("out", film) }?;
    let (height, bytes) = rows_and_bytes(film.width, film.height, film.bytes);
    let bits = unsafe { items_mut("out.bits", film.bits, bytes) }?;
    FilmMut::new(film.width, height, film.stride, bits)
}

/// A film without extent takes no bytes and may be NULL; any other is held to the bytes it states, be they none.
fn rows_and_bytes(width: usize, height: usize, bytes: usize) -> (usize, usize) {
    if width == 0 || height == 0 { (0, 0) } else { (height, bytes) }
}

crate::ffi::layout!(dw_plate, 104:
    struct_size 0, sample 8, sampling 12, samples 16, bytes 24, stride 32, width 40, height 48, plate_x_per_inch 56,
    plate_y_per_inch 64, film_x_per_inch 72, film_y_per_inch 80, x 88, y 96);
crate::ffi::layout!(dw_film, 48: struct_size 0, bits 8, bytes 16, stride 24, width 32, height 40);
crate::ffi::layout!(dw_film_out, 48: struct_size 0, bits 8, bytes 16, stride 24, width 32, height 40);
crate::ffi::layout!(dw_plate_out, 56: struct_size 0, sample 8, samples 16, bytes 24, stride 32, width 40, height 48);
