//! Screens: what they tell of themselves, and plates run through them.

use crate::error::{Error, Result};
use crate::ffi::curve::{dw_curve, optional};
use crate::ffi::fence::{Out, free, items_mut, shared, sized_mut};
use crate::ffi::plate::{dw_film_out, dw_plate, film_out, placed};
use crate::ffi::request::mode_of;
use crate::ffi::status::{dw_status, guard};
use crate::screen::{Dot, Screen};
use crate::units::Resolution;

/// A compiled screen. Immutable; may be shared between threads and used by many at once.
pub struct dw_screen {
    pub(super) screen: Screen,
    /// The shape of growing dots and the film's resolution, for what is told of a screen before it is printed.
    pub(super) dot: Option<Dot>,
    pub(super) resolution: Resolution,
}

impl dw_screen {
    /// The shape of its growing dots.
    pub(super) fn shape(&self) -> Result<&Dot> {
        self.dot.as_ref().ok_or_else(|| {
            Error::value(
                "screen",
                "one of index dots, an array or a dot of its own",
                "one of built-in growing dots",
            )
        })
    }
}

/// What a built screen tells of itself. Set `struct_size` to sizeof(dw_screen_info) before the call.
#[repr(C)]
pub struct dw_screen_info {
    /// sizeof(dw_screen_info).
    pub struct_size: usize,
    /// True lines per inch; 0 where there is no lattice (upright index dots, the user's own array).
    pub lines_per_inch: f64,
    /// True angle in degrees, counter-clockwise; 0 where there is no lattice.
    pub degrees: f64,
    /// Cells in the brick; 0 where there is no lattice.
    pub cells: u64,
    /// Columns after which the thresholds repeat, in film pixels.
    pub brick_width: usize,
    /// Rows after which they repeat.
    pub brick_height: usize,
    /// Pixels by which each course of brick_height rows stands to the right of the one above.
    pub brick_shift: usize,
    /// Film pixels to an upright index dot along x; else 1.
    pub index_width: usize,
    /// Film pixels to an upright index dot along y; else 1.
    pub index_height: usize,
}

/// A screen on the same brick with another mode and curve (NULL for none): for plates that mesh.
///
/// # Safety
/// `screen` is a live handle, `curve` one or NULL; `again` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_again(
    screen: *const dw_screen,
    mode: u32,
    curve: *const dw_curve,
    again: *mut *mut dw_screen,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("again", again) }?;
        let screen = unsafe { shared("screen", screen) }?;
        let curve = unsafe { optional("curve", curve) }?;
        let again = screen.screen.again(mode_of(mode)?, curve)?;
        out.give(dw_screen { screen: again, dot: screen.dot.clone(), resolution: screen.resolution });
        Ok(())
    })
}

/// What a screen tells of itself.
///
/// # Safety
/// `screen` is a live handle; `info` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_get_info(
    screen: *const dw_screen,
    info: *mut dw_screen_info,
) -> dw_status {
    guard(|| {
        let screen = &unsafe { shared("screen", screen) }?.screen;
        let info = unsafe { sized_mut("info", info) }?;
        let tiling = screen.tiling();
        let [index_width, index_height] = screen.index_pixels();
        *info = dw_screen_info {
            struct_size: info.struct_size,
            lines_per_inch: screen.lattice().map_or(0.0, |l| l.lines_per_inch()),
            degrees: screen.lattice().map_or(0.0, |l| l.degrees()),
            cells: screen.lattice().map_or(0, |l| l.cells()),
            brick_width: tiling.width,
            brick_height: tiling.height,
            brick_shift: tiling.shift,
            index_width,
            index_height,
        };
        Ok(())
    })
}

/// The thresholds of 8-bit plates over one brick, row by row without gaps: ink where tone > threshold. `count` must be
/// brick_width · brick_height.
///
/// # Safety
/// `screen` is a live handle; `thresholds` has room for `count` bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_thresholds_u8(
    screen: *const dw_screen,
    thresholds: *mut u8,
    count: usize,
) -> dw_status {
    guard(|| {
        let array = unsafe { shared("screen", screen) }?.screen.thresholds_u8();
        hand_out(array.as_slice().unwrap_or_default(), unsafe { items_mut("thresholds", thresholds, count) }?)
    })
}

/// The thresholds of 16-bit plates; else as dw_screen_thresholds_u8.
///
/// # Safety
/// `screen` is a live handle; `thresholds` has room for `count` entries.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_thresholds_u16(
    screen: *const dw_screen,
    thresholds: *mut u16,
    count: usize,
) -> dw_status {
    guard(|| {
        let array = unsafe { shared("screen", screen) }?.screen.thresholds_u16();
        hand_out(array.as_slice().unwrap_or_default(), unsafe { items_mut("thresholds", thresholds, count) }?)
    })
}

/// The thresholds as the sampled data of an ISO 32000 halftone of type 16, mode and curve folded in: 16 bits each, high byte first;
/// first a rectangle of brick_width - brick_shift columns (the halftone's Width), then, where brick_shift is not 0, one of brick_shift
/// columns (its Width2), both of brick_height rows (Height and Height2). `bytes` must be 2 · brick_width · brick_height.
///
/// # Safety
/// `screen` is a live handle; `data` has room for `bytes` bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_type16(
    screen: *const dw_screen,
    data: *mut u8,
    bytes: usize,
) -> dw_status {
    guard(|| {
        let screen = &unsafe { shared("screen", screen) }?.screen;
        hand_out(&screen.type16().bytes, unsafe { items_mut("data", data, bytes) }?)
    })
}

fn hand_out<T: Copy>(from: &[T], to: &mut [T]) -> Result<()> {
    if from.len() != to.len() {
        return Err(Error::value("count", to.len(), format!("{} entries", from.len())));
    }
    to.copy_from_slice(from);
    Ok(())
}

/// Screens the tile of the film whose upper left pixel is (x, y) in film coordinates and whose size is that of `out`. The tile must
/// lie on the plate; an empty one does nothing. Many threads may run one screen at once.
///
/// # Safety
/// `screen` is a live handle; `plate` and what it points at are readable; the rows of `out` are writable, belong to nobody else and
/// do not overlap with the plate.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_run(
    screen: *const dw_screen,
    plate: *const dw_plate,
    x: i64,
    y: i64,
    out: *const dw_film_out,
) -> dw_status {
    guard(|| {
        let screen = unsafe { shared("screen", screen) }?;
        let placed = unsafe { placed(plate) }?;
        screen.screen.run(&placed, (x, y), unsafe { film_out(out) }?)
    })
}

/// As dw_screen_run, with the rows shared out among threads of the library's own, one to a processor, which it starts at the first
/// such call. The same bits.
///
/// # Safety
/// As dw_screen_run.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_run_threaded(
    screen: *const dw_screen,
    plate: *const dw_plate,
    x: i64,
    y: i64,
    out: *const dw_film_out,
) -> dw_status {
    guard(|| {
        let screen = unsafe { shared("screen", screen) }?;
        let placed = unsafe { placed(plate) }?;
        screen.screen.run_threaded(&placed, (x, y), unsafe { film_out(out) }?)
    })
}

/// Ends a screen. NULL is allowed.
///
/// # Safety
/// `screen` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_free(screen: *mut dw_screen) {
    unsafe { free(screen) }
}

crate::ffi::layout!(dw_screen_info, 72:
    struct_size 0, lines_per_inch 8, degrees 16, cells 24, brick_width 32, brick_height 40, brick_shift 48, index_width 56,
    index_height 64);
