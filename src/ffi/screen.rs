//! Requests and screens.

use core::ffi::c_void;

use crate::error::{Error, Result};
use crate::ffi::curve::{dw_curve, optional};
use crate::ffi::fence::{Out, exclusive, free, items_mut, shared, sized_mut};
use crate::ffi::plate::{dw_film_out, dw_plate, film_out, placed, rows};
use crate::ffi::status::{dw_status, guard};
use crate::screen::dot::LinkUps;
use crate::screen::{Dot, Growth, Mode, Request, Screen, Tolerance};
use crate::units::{Angle, Length, LineCount, Resolution};

/// Circles that grow until they meet and beyond.
pub const DW_DOT_ROUND: u32 = 0;
/// Circles, a checkerboard at one half, round holes; its own complement.
pub const DW_DOT_EUCLIDEAN: u32 = 1;
/// Ellipses that link up at 0.40 and 0.60; its own complement. Other tones: dw_request_ellipse.
pub const DW_DOT_ELLIPSE: u32 = 2;
/// Lines along the screen angle; its own complement.
pub const DW_DOT_LINE: u32 = 3;
/// Rounded dots with straight flanks, linked up at 0.425 and 0.575.
pub const DW_DOT_DIAMOND: u32 = 4;
/// Upright squares.
pub const DW_DOT_SQUARE: u32 = 5;

/// Dots at the cells' centres.
pub const DW_MODE_NORMAL: u32 = 0;
/// Dots in the gaps of a normal screen of the same lattice.
pub const DW_MODE_INVERTED: u32 = 1;

/// Cells take turns, so that flat tints show no waves.
pub const DW_GROWTH_EVEN: u32 = 0;
/// By the value of the dot alone.
pub const DW_GROWTH_STRAIGHT: u32 = 1;

/// What a screen is to be: made by dw_request_new, told by the other dw_request_ calls, of which the last of each kind counts, and
/// turned into any number of screens by dw_screen_build. Not to be shared between threads while it is told something.
pub struct dw_request {
    resolution: Resolution,
    lines: LineCount,
    angle: Angle,
    pattern: Pattern,
    mode: Mode,
    curve: Option<crate::tone::Curve>,
    tolerance: Tolerance,
    limit: Option<u64>,
    growth: Growth,
    smallest: Option<Smallest>,
}

/// The smallest dot and hole, told at once.
#[derive(Clone, Copy)]
struct Smallest {
    dot: Length,
    hole: Length,
    both_modes: bool,
}

enum Pattern {
    Dot(Dot),
    Index(usize),
    IndexPitch(f64),
    IndexCells,
    Array(Request),
}

/// A compiled screen. Immutable; may be shared between threads and used by many at once.
pub struct dw_screen(pub(super) Screen);

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

/// A user's own dot: the value at (x, y) in a cell whose corners are ±1; ink comes first where it is highest. Must return finite
/// values, the same for the same place, and must neither throw nor jump out. Called on the thread of dw_screen_build only.
pub type dw_spot = Option<unsafe extern "C" fn(x: f64, y: f64, user: *mut c_void) -> f64>;

/// A request for round dots of 45 lines per inch at 22.5 degrees on films of the given resolution.
///
/// # Safety
/// `request` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_new(
    x_per_inch: f64,
    y_per_inch: f64,
    request: *mut *mut dw_request,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("request", request) }?;
        out.give(dw_request {
            resolution: Resolution::per_inch_xy(x_per_inch, y_per_inch)?,
            lines: LineCount::per_inch(45.0)?,
            angle: Angle::degrees(22.5)?,
            pattern: Pattern::Dot(Dot::Round),
            mode: Mode::Normal,
            curve: None,
            tolerance: Tolerance::default(),
            limit: None,
            growth: Growth::default(),
            smallest: None,
        });
        Ok(())
    })
}

/// Tells a request something that may fail; on failure it stays as it was.
unsafe fn tell(request: *mut dw_request, change: impl FnOnce(&mut dw_request) -> Result<()>) -> dw_status {
    // SAFETY: the caller's contract: a live handle that nothing else uses.
    guard(|| change(unsafe { exclusive("request", request) }?))
}

/// Screen lines per inch, 0.1…10000.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_lines(request: *mut dw_request, lines_per_inch: f64) -> dw_status {
    let change = |r: &mut dw_request| LineCount::per_inch(lines_per_inch).map(|lines| r.lines = lines);
    unsafe { tell(request, change) }
}

/// Degrees counter-clockwise from the x axis as one looks at the film; any finite value.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_angle(request: *mut dw_request, degrees: f64) -> dw_status {
    unsafe { tell(request, |r| Angle::degrees(degrees).map(|angle| r.angle = angle)) }
}

/// Growing dots of one of the DW_DOT_… shapes.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_dot(request: *mut dw_request, dot: u32) -> dw_status {
    let change = |r: &mut dw_request| {
        r.pattern = Pattern::Dot(match dot {
            DW_DOT_ROUND => Dot::Round,
            DW_DOT_EUCLIDEAN => Dot::Euclidean,
            DW_DOT_ELLIPSE => Dot::Ellipse(LinkUps::default()),
            DW_DOT_LINE => Dot::Line,
            DW_DOT_DIAMOND => Dot::Diamond,
            DW_DOT_SQUARE => Dot::Square,
            other => return Err(Error::value("dot", other, "a DW_DOT_… value")),
        });
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// Elliptical dots that link up at the tones 0.2 ≤ first ≤ 0.5 ≤ second ≤ 0.8.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_ellipse(request: *mut dw_request, first: f64, second: f64) -> dw_status {
    unsafe { tell(request, |r| Dot::ellipse(first, second).map(|dot| r.pattern = Pattern::Dot(dot))) }
}

/// Growing dots by the caller's own function, which is kept with `user` and called by dw_screen_build.
///
/// # Safety
/// `request` is a live handle; `spot` may be called with `user` as long as the request lives.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_spot(
    request: *mut dw_request,
    spot: dw_spot,
    user: *mut c_void,
) -> dw_status {
    struct User(*mut c_void);
    // SAFETY: the function is called on the thread of dw_screen_build alone, as the header says.
    unsafe impl Send for User {}
    // SAFETY: as above.
    unsafe impl Sync for User {}
    impl User {
        fn pointer(&self) -> *mut c_void {
            self.0
        }
    }
    let user = User(user);
    let change = |r: &mut dw_request| {
        let spot = spot.ok_or_else(|| Error::value("spot", "NULL", "a function"))?;
        // SAFETY: the caller promised that it may be called with this pointer.
        r.pattern = Pattern::Dot(Dot::custom(move |x, y| unsafe { spot(x, y, user.pointer()) }));
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// Upright index dots of `pixels` film pixels (1…256) along the film's coarser axis; others are refused by dw_screen_build.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_index(request: *mut dw_request, pixels: usize) -> dw_status {
    let change = |r: &mut dw_request| {
        r.pattern = Pattern::Index(pixels);
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// Upright index dots, so many per inch, snapped to whole film pixels; dw_screen_get_info tells the result. A pitch that is not
/// 1…256 pixels is refused by dw_screen_build.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_index_pitch(request: *mut dw_request, dots_per_inch: f64) -> dw_status {
    let change = |r: &mut dw_request| {
        r.pattern = Pattern::IndexPitch(dots_per_inch);
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// Index dots that are the cells of the lattice of lines and angle.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_index_cells(request: *mut dw_request) -> dw_status {
    let change = |r: &mut dw_request| {
        r.pattern = Pattern::IndexCells;
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// The caller's own array of thresholds, which is copied: `height` rows of `width` entries, `stride` bytes apart, in `bytes` bytes.
/// It repeats from film pixel (0, 0) on; the lowest entries take ink first, equal ones together.
///
/// # Safety
/// `request` is a live handle; `thresholds` holds `bytes` readable bytes.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_array(
    request: *mut dw_request,
    thresholds: *const u32,
    bytes: usize,
    stride: usize,
    width: usize,
    height: usize,
) -> dw_status {
    let change = |r: &mut dw_request| {
        let array = unsafe { rows("thresholds", thresholds, bytes, stride, (width, height)) }?;
        r.pattern = Pattern::Array(Screen::array(array)?);
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// DW_MODE_NORMAL or DW_MODE_INVERTED.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_mode(request: *mut dw_request, mode: u32) -> dw_status {
    unsafe { tell(request, |r| mode_of(mode).map(|mode| r.mode = mode)) }
}

fn mode_of(mode: u32) -> Result<Mode> {
    match mode {
        DW_MODE_NORMAL => Ok(Mode::Normal),
        DW_MODE_INVERTED => Ok(Mode::Inverted),
        other => Err(Error::value("mode", other, "a DW_MODE_… value")),
    }
}

/// The curve to screen through; NULL for none. The request keeps a share of it.
///
/// # Safety
/// `request` is a live handle, `curve` one or NULL.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_curve(request: *mut dw_request, curve: *const dw_curve) -> dw_status {
    let change = |r: &mut dw_request| {
        r.curve = unsafe { optional("curve", curve) }?.cloned();
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// How near the built angle (degrees, 1e-6…45) and line count (parts of 1, 1e-8…0.5) must be: 0.01 and 0.0002 unless
/// told.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_tolerance(
    request: *mut dw_request,
    degrees: f64,
    relative: f64,
) -> dw_status {
    unsafe { tell(request, |r| Tolerance::new(degrees, relative).map(|t| r.tolerance = t)) }
}

/// The order in which growing dots take ink: DW_GROWTH_EVEN unless told.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_growth(request: *mut dw_request, growth: u32) -> dw_status {
    let change = |r: &mut dw_request| {
        r.growth = match growth {
            DW_GROWTH_EVEN => Growth::Even,
            DW_GROWTH_STRAIGHT => Growth::Straight,
            other => return Err(Error::value("growth", other, "a DW_GROWTH_… value")),
        };
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// The smallest dot of ink and the smallest hole in ink that the mesh holds, in micrometres: diameters of discs of the same area, of
/// lines the widths; 0 for any size. Below them cells do not grow but switch on one by one, each with a whole smallest dot. They hold
/// in the request's own mode; where `both_modes` is not 0, also in a screen of the other mode made by dw_screen_again. Negative
/// sizes, sizes above 0.4 of a cell and straight growth are refused by dw_screen_build. Growing dots only.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_smallest(
    request: *mut dw_request,
    dot_um: f64,
    hole_um: f64,
    both_modes: i32,
) -> dw_status {
    let change = |r: &mut dw_request| {
        let (dot, hole) = (Length::um(dot_um)?, Length::um(hole_um)?);
        r.smallest = Some(Smallest { dot, hole, both_modes: both_modes != 0 });
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// The largest brick in thresholds: 1…2²⁸, 2 Mi unless told (32 Mi for index dots on a lattice and smallest dots); others are refused by
/// dw_screen_build.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_limit(request: *mut dw_request, thresholds: u64) -> dw_status {
    let change = |r: &mut dw_request| {
        r.limit = Some(thresholds);
        Ok(())
    };
    unsafe { tell(request, change) }
}

/// Ends a request. NULL is allowed. Screens built from it live on.
///
/// # Safety
/// `request` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_free(request: *mut dw_request) {
    unsafe { free(request) }
}

/// Builds a screen. The request stays as it is.
///
/// # Safety
/// `request` is a live handle; `screen` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_screen_build(
    request: *const dw_request,
    screen: *mut *mut dw_screen,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("screen", screen) }?;
        let asked = unsafe { shared("request", request) }?;
        let request = match &asked.pattern {
            Pattern::Dot(dot) => Screen::cells(asked.resolution, asked.lines, asked.angle, dot.clone()),
            Pattern::Index(pixels) => Screen::index(asked.resolution, *pixels),
            Pattern::IndexPitch(dots) => Screen::index_pitch(asked.resolution, *dots),
            Pattern::IndexCells => Screen::index_cells(asked.resolution, asked.lines, asked.angle),
            Pattern::Array(request) => request.clone(),
        };
        let request = request.mode(asked.mode).tolerance(asked.tolerance).growth(asked.growth);
        let request = match asked.smallest {
            Some(Smallest { dot, hole, both_modes: true }) => request.smallest_in_both_modes(dot, hole),
            Some(Smallest { dot, hole, both_modes: false }) => request.smallest(dot, hole),
            None => request,
        };
        let request = asked.curve.iter().fold(request, |request, curve| request.curve(curve));
        let request = asked.limit.iter().fold(request, |request, &limit| request.limit(limit));
        out.give(dw_screen(request.build()?));
        Ok(())
    })
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
        out.give(dw_screen(screen.0.again(mode_of(mode)?, curve)?));
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
        let screen = &unsafe { shared("screen", screen) }?.0;
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
        let array = unsafe { shared("screen", screen) }?.0.thresholds_u8();
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
        let array = unsafe { shared("screen", screen) }?.0.thresholds_u16();
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
        let screen = &unsafe { shared("screen", screen) }?.0;
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
        let (w, h) = unsafe { (Out::new("width", width)?, Out::new("height", height)?) };
        let placed = unsafe { placed(plate) }?;
        w.set(placed.film_width());
        h.set(placed.film_height());
        Ok(())
    })
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
        screen.0.run(&placed, (x, y), unsafe { film_out(out) }?)
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
        screen.0.run_threaded(&placed, (x, y), unsafe { film_out(out) }?)
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
