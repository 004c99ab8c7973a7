//! Plates side by side: several plates through one screen, whose dots never overlap.

use crate::error::{Error, Result, reserve};
use crate::ffi::curve::{dw_curve, optional};
use crate::ffi::fence::{Out, free, items, shared};
use crate::ffi::plate::{dw_film_out, dw_plate, film_out, placed};
use crate::ffi::request::dw_request;
use crate::ffi::status::{dw_status, guard};
use crate::film::FilmMut;
use crate::screen::{Placed, Sharing, SideBySide};

/// Each plate has compact dots around a seed of its own in every cell: for growing dots, round or euclidean.
pub const DW_SHARING_COMPACT: u32 = 0;
/// The first plate has the middle of one common dot, each next one a ring around it: for any dots.
pub const DW_SHARING_RINGS: u32 = 1;

/// A screen of several plates whose dots stand side by side: no pixel takes two plates' ink. Immutable; may be shared between threads
/// and used by many at once.
pub struct dw_side_by_side(SideBySide);

/// Builds a screen of `plates` plates (1…12) side by side, shared by one of DW_SHARING_…. The request, which stays as it is, must be
/// one of DW_MODE_NORMAL; its curve, if any, holds for every plate.
///
/// Tone holds to 0.02 of the film for compact dots that touch, to a pixel of the brick else. Where tones add up to more than solid
/// the first plates win: a plate gets what those before it leave.
///
/// # Safety
/// `request` is a live handle; `screen` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_side_by_side_build(
    request: *const dw_request,
    plates: usize,
    sharing: u32,
    screen: *mut *mut dw_side_by_side,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("screen", screen) }?;
        let asked = unsafe { shared("request", request) }?;
        let sharing = match sharing {
            DW_SHARING_COMPACT => Sharing::Compact,
            DW_SHARING_RINGS => Sharing::Rings,
            other => return Err(Error::value("sharing", other, "a DW_SHARING_… value")),
        };
        out.give(dw_side_by_side(SideBySide::build(&asked.request(), plates, sharing)?));
        Ok(())
    })
}

/// The same with a curve of its own for each of `count` plates, NULL for none.
///
/// # Safety
/// `screen` is a live handle; `curves` has `count` entries, each a live handle or NULL; `again` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_side_by_side_curves(
    screen: *const dw_side_by_side,
    curves: *const *const dw_curve,
    count: usize,
    again: *mut *mut dw_side_by_side,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("again", again) }?;
        let screen = unsafe { shared("screen", screen) }?;
        let mut of_plates = reserve("curves", screen.held(count)?)?;
        for &curve in unsafe { items("curves", curves, count) }? {
            of_plates.push(unsafe { optional("curve", curve) }?.cloned());
        }
        out.give(dw_side_by_side(screen.0.with_curves(&of_plates)?));
        Ok(())
    })
}

/// By how many film pixels the dots of a plate, counted from 0, stand to the right of and below those of the ordinary screen of the
/// same request; 0 and 0 for rings.
///
/// # Safety
/// `screen` is a live handle; `right` and `down` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_side_by_side_seed(
    screen: *const dw_side_by_side,
    plate: usize,
    right: *mut i64,
    down: *mut i64,
) -> dw_status {
    guard(|| {
        let (to_right, to_down) = unsafe { (Out::new("right", right)?, Out::new("down", down)?) };
        let screen = unsafe { shared("screen", screen) }?;
        if plate >= screen.0.plates() {
            return Err(Error::value("plate", plate, format!("below {}", screen.0.plates())));
        }
        let [right, down] = screen.0.seed(plate);
        to_right.set(right);
        to_down.set(down);
        Ok(())
    })
}

/// Screens the tile of all films whose upper left pixel is (x, y) in film coordinates: plate i to out i, of which there are `count`
/// each, as many as the screen is for. The tile must lie on every plate; an empty one does nothing. Many threads may run one screen
/// at once.
///
/// # Safety
/// `screen` is a live handle; `plates` and `outs` have `count` entries; plates and what they point at are readable; the rows of outs
/// are writable, belong to nobody else and overlap neither with each other nor with a plate.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_side_by_side_run(
    screen: *const dw_side_by_side,
    plates: *const *const dw_plate,
    outs: *const *const dw_film_out,
    count: usize,
    x: i64,
    y: i64,
) -> dw_status {
    guard(|| {
        let screen = unsafe { shared("screen", screen) }?;
        let (plates, mut films) = unsafe { screen.lanes(plates, outs, count) }?;
        screen.0.run(&plates, (x, y), &mut films)
    })
}

/// As dw_side_by_side_run, with the rows shared out among threads of the library's own, one to a processor, which it starts at the
/// first such call. The same bits.
///
/// # Safety
/// As dw_side_by_side_run.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_side_by_side_run_threaded(
    screen: *const dw_side_by_side,
    plates: *const *const dw_plate,
    outs: *const *const dw_film_out,
    count: usize,
    x: i64,
    y: i64,
) -> dw_status {
    guard(|| {
        let screen = unsafe { shared("screen", screen) }?;
        let (plates, mut films) = unsafe { screen.lanes(plates, outs, count) }?;
        screen.0.run_threaded(&plates, (x, y), &mut films)
    })
}

/// Ends a screen. NULL is allowed.
///
/// # Safety
/// `screen` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_side_by_side_free(screen: *mut dw_side_by_side) {
    unsafe { free(screen) }
}

impl dw_side_by_side {
    /// A number of entries that is that of the plates, before any of them is read.
    fn held(&self, count: usize) -> Result<usize> {
        if count == self.0.plates() {
            return Ok(count);
        }
        Err(Error::value("count", count, format!("{}, one for each plate", self.0.plates())))
    }

    /// # Safety
    /// As [`dw_side_by_side_run`].
    unsafe fn lanes<'a>(
        &self,
        plates: *const *const dw_plate,
        outs: *const *const dw_film_out,
        count: usize,
    ) -> Result<(Vec<Placed<'a>>, Vec<FilmMut<'a>>)> {
        let count = self.held(count)?;
        let (mut of_plates, mut films) = (reserve("plates", count)?, reserve("films", count)?);
        // SAFETY: the caller's promise, here and below.
        let (plates, outs) = unsafe { (items("plates", plates, count)?, items("outs", outs, count)?) };
        for (&plate, &out) in plates.iter().zip(outs) {
            of_plates.push(unsafe { placed(plate) }?);
            films.push(unsafe { film_out(out) }?);
        }
        Ok((of_plates, films))
    }
}
