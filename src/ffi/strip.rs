//! Wedges made for printing, and scans of them.

use core::ffi::c_void;
use std::ffi::{CString, c_char};

use crate::error::{Error, Result};
use crate::ffi::fence::{Out, entry, free, items, items_mut, shared, sized, sized_mut, unless_null, words};
use crate::ffi::plate::{DW_SAMPLE_U8, DW_SAMPLE_U16, rows, rows_mut};
use crate::ffi::status::{dw_status, guard};
use crate::lettering::Lettering;
use crate::plate::Tone;
use crate::tone::scan::{self, Encoding, PatchGrid, Read};
use crate::tone::strip::{Strip, USUAL};
use crate::units::{Length, Resolution};

/// Samples in proportion to light.
pub const DW_ENCODING_LINEAR: u32 = 0;
/// Samples by the curve of sRGB (IEC 61966-2-1), as grey pictures usually have them.
pub const DW_ENCODING_SRGB: u32 = 1;

/// A wedge to be printed: its patches in reading order, rows from the top, each from the left. Immutable; may be shared between
/// threads.
pub struct dw_strip {
    strip: Strip,
    labels: Vec<CString>,
}

/// The extent of a strip. Set `struct_size` to sizeof(dw_strip_info) before the call.
#[repr(C)]
pub struct dw_strip_info {
    /// sizeof(dw_strip_info).
    pub struct_size: usize,
    /// Patches in all.
    pub patches: usize,
    /// Patches to a row.
    pub columns: usize,
    /// Rows of patches; the last may be short.
    pub rows: usize,
    /// Width of the plate in samples.
    pub width: usize,
    /// Height of the plate in samples.
    pub height: usize,
}

/// One patch of a strip. Set `struct_size` to sizeof(dw_strip_patch) before the call.
#[repr(C)]
pub struct dw_strip_patch {
    /// sizeof(dw_strip_patch).
    pub struct_size: usize,
    /// Its coverage, 0…1.
    pub coverage: f64,
    /// Its left side on the plate, in samples.
    pub x: usize,
    /// Its upper side.
    pub y: usize,
    /// Its width.
    pub width: usize,
    /// Its height.
    pub height: usize,
    /// What to write beside it, the coverage in percent: "50" or "2.5". Belongs to the strip.
    pub label: *const c_char,
}

/// A scan in the caller's memory: grey, high is light. Set `struct_size` to sizeof(dw_scan).
#[repr(C)]
pub struct dw_scan {
    /// sizeof(dw_scan).
    pub struct_size: usize,
    /// DW_SAMPLE_U8 or DW_SAMPLE_U16.
    pub sample: u32,
    /// DW_ENCODING_….
    pub encoding: u32,
    /// The first row, aligned to its samples.
    pub samples: *const c_void,
    /// Bytes that may be read from `samples` on.
    pub bytes: usize,
    /// Bytes from one row to the next: a multiple of the sample's size, at least a row's.
    pub stride: usize,
    /// Samples in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

/// Where the patches lie in a scan, in pixels: (0, 0) is the upper left corner of the upper left pixel. Steps are vectors, so that a
/// scan that lies a little turned is read as it lies. Set `struct_size` to sizeof(dw_patch_grid).
#[repr(C)]
pub struct dw_patch_grid {
    /// sizeof(dw_patch_grid).
    pub struct_size: usize,
    /// Centre of the first patch.
    pub first_x: f64,
    /// See `first_x`.
    pub first_y: f64,
    /// From a patch to the next in its row.
    pub along_x: f64,
    /// See `along_x`.
    pub along_y: f64,
    /// From a row to the next.
    pub down_x: f64,
    /// See `down_x`.
    pub down_y: f64,
    /// Width of a patch without the gaps, 8 and more.
    pub patch_width: f64,
    /// Its height, 8 and more.
    pub patch_height: f64,
    /// Patches in a row.
    pub columns: usize,
}

/// A strip of `repeats` times the given coverages (0…1), `columns` patches to a row, each patch_width by patch_height samples, with
/// `gap` samples of bare ground around and between them; at most 4096 patches. Every second repeat lies in the opposite order.
/// NULL and 0 for `coverages` and `count` take those of a usual wedge: 19 from 0 to 1, closer together at both ends.
///
/// A patch should be 10 mm or more: an instrument's opening and twenty cells of the screen.
///
/// # Safety
/// `coverages` holds `count` numbers, or is NULL with none; `strip` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_strip_new(
    coverages: *const f64,
    count: usize,
    repeats: usize,
    columns: usize,
    patch_width: usize,
    patch_height: usize,
    gap: usize,
    strip: *mut *mut dw_strip,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("strip", strip) }?;
        let coverages = match (coverages.is_null(), count) {
            (true, 0) => &USUAL,
            _ => unsafe { items("coverages", coverages, count) }?,
        };
        let strip = Strip::new(coverages, repeats, columns, [patch_width, patch_height], gap)?;
        let labels = strip.patches().iter().map(|patch| words(&patch.label)).collect();
        out.give(dw_strip { strip, labels });
        Ok(())
    })
}

/// The same wedge with each patch's label above it in letters of the given height, for a plate of the given samples per inch. Rows of
/// patches move apart by what the labels take; letters below ten samples cannot be read. A label wider than its patch and one gap is
/// refused.
///
/// # Safety
/// `strip` is a live handle; `labelled` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_strip_labelled(
    strip: *const dw_strip,
    height_mm: f64,
    x_per_inch: f64,
    y_per_inch: f64,
    labelled: *mut *mut dw_strip,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("labelled", labelled) }?;
        let dw_strip { strip, labels } = unsafe { shared("strip", strip) }?;
        let letters = Lettering::new(Length::mm(height_mm)?)?;
        let strip = strip.clone().labelled(letters, Resolution::per_inch_xy(x_per_inch, y_per_inch)?)?;
        out.give(dw_strip { strip, labels: labels.clone() });
        Ok(())
    })
}

/// The extent of a strip.
///
/// # Safety
/// `strip` is a live handle; `info` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_strip_get_info(strip: *const dw_strip, info: *mut dw_strip_info) -> dw_status {
    guard(|| {
        let strip = &unsafe { shared("strip", strip) }?.strip;
        let info = unsafe { sized_mut("info", info) }?;
        let ([columns, rows], [width, height]) = (strip.grid(), strip.size());
        *info = dw_strip_info {
            struct_size: info.struct_size,
            patches: strip.patches().len(),
            columns,
            rows,
            width,
            height,
        };
        Ok(())
    })
}

/// One patch of a strip: `index` counts from 0 in reading order.
///
/// # Safety
/// `strip` is a live handle; `patch` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_strip_get_patch(
    strip: *const dw_strip,
    index: usize,
    patch: *mut dw_strip_patch,
) -> dw_status {
    guard(|| {
        let dw_strip { strip, labels } = unsafe { shared("strip", strip) }?;
        let out = unsafe { sized_mut("patch", patch) }?;
        let (patch, label) = (entry(strip.patches(), index)?, entry(labels, index)?);
        let [x, y, width, height] = strip.place(index);
        *out = dw_strip_patch {
            struct_size: out.struct_size,
            coverage: patch.coverage,
            x,
            y,
            width,
            height,
            label: label.as_ptr(),
        };
        Ok(())
    })
}

/// The plate of a strip, to be screened as any other: coverage in the patches, solid in labels, none elsewhere. `sample` is
/// DW_SAMPLE_U8 or DW_SAMPLE_U16, `width` and `height` are those of dw_strip_get_info; rows lie `stride` bytes apart in `bytes` bytes.
/// A plate of more than 1048576 samples a side is refused with DW_ERROR_LIMIT.
///
/// # Safety
/// `strip` is a live handle; `samples` has room for `bytes` bytes, which belong to nobody else.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_strip_plate(
    strip: *const dw_strip,
    sample: u32,
    samples: *mut c_void,
    bytes: usize,
    stride: usize,
    width: usize,
    height: usize,
) -> dw_status {
    unsafe fn draw<T: Tone>(
        strip: &Strip,
        samples: *mut c_void,
        (bytes, stride): (usize, usize),
        extent: (usize, usize),
    ) -> Result<()> {
        let [width, height] = strip.size();
        if extent != (width, height) {
            let got = format!("{} x {}", extent.0, extent.1);
            return Err(Error::value("width x height", got, format!("{width} x {height}")));
        }
        let plate = strip.plate()?;
        // SAFETY: the caller's promise.
        let mut rows = unsafe { rows_mut::<T>("samples", samples.cast(), bytes, stride, extent) }?;
        rows.assign(&plate);
        Ok(())
    }
    guard(|| {
        let strip = &unsafe { shared("strip", strip) }?.strip;
        match sample {
            DW_SAMPLE_U8 => unsafe { draw::<u8>(strip, samples, (bytes, stride), (width, height)) },
            DW_SAMPLE_U16 => unsafe { draw::<u16>(strip, samples, (bytes, stride), (width, height)) },
            other => Err(Error::value("sample", other, "DW_SAMPLE_U8 or DW_SAMPLE_U16")),
        }
    })
}

/// Ends a strip. NULL is allowed.
///
/// # Safety
/// `strip` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_strip_free(strip: *mut dw_strip) {
    unsafe { free(strip) }
}

/// Reads `count` patches of a scan, row by row: the mean light of each, 0…1 of the scan's white, which serves as a reading of
/// DW_SCALE_REFLECTANCE; and, unless `spreads` is NULL, how much its four quarters differ (their standard deviation), which tells a
/// grid that is off, dust, or an uneven print.
///
/// # Safety
/// `scan` and its samples, and `grid`, are readable; `reflectances` has room for `count` numbers, and `spreads`, unless it is NULL,
/// elsewhere for as many.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_scan_read(
    scan: *const dw_scan,
    grid: *const dw_patch_grid,
    count: usize,
    reflectances: *mut f64,
    spreads: *mut f64,
) -> dw_status {
    guard(|| {
        let reflectances = unsafe { items_mut("reflectances", reflectances, count) }?;
        let spreads = unless_null(spreads, || unsafe { items_mut("spreads", spreads, count) })?;
        let scan = unsafe { sized("scan", scan) }?;
        let grid = unsafe { sized("grid", grid) }?;
        let grid = PatchGrid {
            first: [grid.first_x, grid.first_y],
            along: [grid.along_x, grid.along_y],
            down: [grid.down_x, grid.down_y],
            columns: grid.columns,
            count,
            patch: [grid.patch_width, grid.patch_height],
        };
        let read = match scan.sample {
            DW_SAMPLE_U8 => unsafe { patches::<u8>(scan, &grid) },
            DW_SAMPLE_U16 => unsafe { patches::<u16>(scan, &grid) },
            other => Err(Error::value("scan.sample", other, "DW_SAMPLE_U8 or DW_SAMPLE_U16")),
        }?;
        reflectances.iter_mut().zip(&read).for_each(|(to, read)| *to = read.reflectance);
        spreads.into_iter().flatten().zip(&read).for_each(|(to, read)| *to = read.spread);
        Ok(())
    })
}

/// # Safety
/// The samples are readable and unchanged.
unsafe fn patches<T: Tone>(scan: &dw_scan, grid: &PatchGrid) -> Result<Vec<Read>> {
    let encoding = match scan.encoding {
        DW_ENCODING_LINEAR => Encoding::Linear,
        DW_ENCODING_SRGB => Encoding::Srgb,
        other => return Err(Error::value("scan.encoding", other, "a DW_ENCODING_… value")),
    };
    let samples = scan.samples.cast::<T>();
    // SAFETY: the caller's promise.
    let rows = unsafe { rows("scan", samples, scan.bytes, scan.stride, (scan.width, scan.height)) }?;
    scan::read(rows, encoding, grid)
}

crate::ffi::layout!(dw_strip_info, 48: struct_size 0, patches 8, columns 16, rows 24, width 32, height 40);
crate::ffi::layout!(dw_strip_patch, 56: struct_size 0, coverage 8, x 16, y 24, width 32, height 40, label 48);
crate::ffi::layout!(dw_scan, 56: struct_size 0, sample 8, encoding 12, samples 16, bytes 24, stride 32, width 40, height 48);
crate::ffi::layout!(dw_patch_grid, 80:
    struct_size 0, first_x 8, first_y 16, along_x 24, along_y 32, down_x 40, down_y 48, patch_width 56, patch_height 64, columns 72);
