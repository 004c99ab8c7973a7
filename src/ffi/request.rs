//! Requests: what a screen is to be.

use core::ffi::c_void;

use crate::error::{Error, Result};
use crate::ffi::curve::{dw_curve, optional};
use crate::ffi::fence::{Out, free, shared};
use crate::ffi::plate::rows;
use crate::ffi::screen::dw_screen;
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

impl dw_request {
    /// The request as the library takes it.
    pub(super) fn request(&self) -> Request {
        let request = match &self.pattern {
            Pattern::Dot(dot) => Screen::cells(self.resolution, self.lines, self.angle, dot.clone()),
            Pattern::Index(pixels) => Screen::index(self.resolution, *pixels),
            Pattern::IndexPitch(dots) => Screen::index_pitch(self.resolution, *dots),
            Pattern::IndexCells => Screen::index_cells(self.resolution, self.lines, self.angle),
            Pattern::Array(request) => request.clone(),
        };
        let request = request.mode(self.mode).tolerance(self.tolerance).growth(self.growth);
        let request = match self.smallest {
            Some(Smallest { dot, hole, both_modes: true }) => request.smallest_in_both_modes(dot, hole),
            Some(Smallest { dot, hole, both_modes: false }) => request.smallest(dot, hole),
            None => request,
        };
        let request = self.curve.iter().fold(request, |request, curve| request.curve(curve));
        self.limit.iter().fold(request, |request, &limit| request.limit(limit))
    }
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

/// Screen lines per inch, 0.1…10000.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_lines(request: *mut dw_request, lines_per_inch: f64) -> dw_status {
    told!(request.lines = LineCount::per_inch(lines_per_inch)?)
}

/// Degrees counter-clockwise from the x axis as one looks at the film; any finite value.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_angle(request: *mut dw_request, degrees: f64) -> dw_status {
    told!(request.angle = Angle::degrees(degrees)?)
}

/// Growing dots of one of the DW_DOT_… shapes.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_dot(request: *mut dw_request, dot: u32) -> dw_status {
    told!(
        request.pattern = Pattern::Dot(match dot {
            DW_DOT_ROUND => Dot::Round,
            DW_DOT_EUCLIDEAN => Dot::Euclidean,
            DW_DOT_ELLIPSE => Dot::Ellipse(LinkUps::default()),
            DW_DOT_LINE => Dot::Line,
            DW_DOT_DIAMOND => Dot::Diamond,
            DW_DOT_SQUARE => Dot::Square,
            other => return Err(Error::value("dot", other, "a DW_DOT_… value")),
        })
    )
}

/// Elliptical dots that link up at the tones 0.2 ≤ first ≤ 0.5 ≤ second ≤ 0.8.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_ellipse(request: *mut dw_request, first: f64, second: f64) -> dw_status {
    told!(request.pattern = Pattern::Dot(Dot::ellipse(first, second)?))
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
    told!(
        request.pattern = {
            let spot = spot.ok_or_else(|| Error::value("spot", "NULL", "a function"))?;
            // SAFETY: the caller promised that it may be called with this pointer.
            Pattern::Dot(Dot::custom(move |x, y| unsafe { spot(x, y, user.pointer()) }))
        }
    )
}

/// Upright index dots of `pixels` film pixels (1…256) along the film's coarser axis; others are refused by dw_screen_build.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_index(request: *mut dw_request, pixels: usize) -> dw_status {
    told!(request.pattern = Pattern::Index(pixels))
}

/// Upright index dots, so many per inch, snapped to whole film pixels; dw_screen_get_info tells the result. A pitch that is not
/// 1…256 pixels is refused by dw_screen_build.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_index_pitch(request: *mut dw_request, dots_per_inch: f64) -> dw_status {
    told!(request.pattern = Pattern::IndexPitch(dots_per_inch))
}

/// Index dots that are the cells of the lattice of lines and angle.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_index_cells(request: *mut dw_request) -> dw_status {
    told!(request.pattern = Pattern::IndexCells)
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
    told!(
        request.pattern = {
            let array = unsafe { rows("thresholds", thresholds, bytes, stride, (width, height)) }?;
            Pattern::Array(Screen::array(array)?)
        }
    )
}

/// DW_MODE_NORMAL or DW_MODE_INVERTED.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_mode(request: *mut dw_request, mode: u32) -> dw_status {
    told!(request.mode = mode_of(mode)?)
}

pub(super) fn mode_of(mode: u32) -> Result<Mode> {
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
    told!(request.curve = unsafe { optional("curve", curve) }?.cloned())
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
    told!(request.tolerance = Tolerance::new(degrees, relative)?)
}

/// The order in which growing dots take ink: DW_GROWTH_EVEN unless told.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_growth(request: *mut dw_request, growth: u32) -> dw_status {
    told!(
        request.growth = match growth {
            DW_GROWTH_EVEN => Growth::Even,
            DW_GROWTH_STRAIGHT => Growth::Straight,
            other => return Err(Error::value("growth", other, "a DW_GROWTH_… value")),
        }
    )
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
    told!(
        request.smallest = Some(Smallest {
            dot: Length::um(dot_um)?,
            hole: Length::um(hole_um)?,
            both_modes: both_modes != 0,
        })
    )
}

/// The largest brick in thresholds: 1…2²⁸, 2 Mi unless told (32 Mi for index dots on a lattice and smallest dots); others are refused by
/// dw_screen_build.
///
/// # Safety
/// `request` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_limit(request: *mut dw_request, thresholds: u64) -> dw_status {
    told!(request.limit = Some(thresholds))
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
        let dot = match &asked.pattern {
            // The caller's function is the request's alone: what is kept of it is that it is a shape of the caller's own.
            Pattern::Dot(Dot::Custom(_)) => Some(Dot::custom(|_, _| 0.0)),
            Pattern::Dot(dot) => Some(dot.clone()),
            _ => None,
        };
        out.give(dw_screen { screen: asked.request().build()?, dot, resolution: asked.resolution });
        Ok(())
    })
}

/// Ends a request. NULL is allowed. Screens built from it live on.
///
/// # Safety
/// `request` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_request_free(request: *mut dw_request) {
    unsafe { free(request) }
}
