//! Beats between screens and meshes, what removes them, closure.

use crate::error::{Error, Result};
use crate::ffi::fence::{Out, entry, free, shared, sized, sized_mut, unless_null};
use crate::ffi::press::{dw_mesh, mesh};
use crate::ffi::screen::dw_screen;
use crate::ffi::status::{dw_status, guard};
use crate::press::Structure;
use crate::press::moire::{Beat, Look, beats, closure};
use crate::press::remedy::{Change, Play, remedies};
use crate::units::{Angle, Length, LineCount};

/// A periodic structure, a screen or a mesh, as beats see it. Immutable; may be shared between threads.
pub struct dw_structure(Structure);

/// The beats between two structures, the longest first. Immutable; may be shared between threads.
pub struct dw_beats(Vec<Beat>);

/// Which beats matter. Set `struct_size` to sizeof(dw_look).
///
/// NULL in its place looks as the trade does (common practice): orders of 5, beats longer than 2 periods, and of an amplitude of 0.01
/// between two screens, 0.005 between a screen and a mesh.
#[repr(C)]
pub struct dw_look {
    /// sizeof(dw_look).
    pub struct_size: usize,
    /// Highest order |k1| + |k2| of the first structure, 1…8.
    pub first_orders: u32,
    /// Highest order of the second.
    pub second_orders: u32,
    /// Least amplitude in coverage, 0…1.
    pub amplitude: f64,
    /// Beats longer than so many periods of the coarser structure, 0…1000.
    pub periods: f64,
}

/// A beat between a harmonic of each of two structures. Set `struct_size` to sizeof(dw_beat) before the call.
#[repr(C)]
pub struct dw_beat {
    /// sizeof(dw_beat).
    pub struct_size: usize,
    /// Orders in the first structure; halves are a weave's.
    pub first_orders: [f64; 2],
    /// Orders in the second.
    pub second_orders: [f64; 2],
    /// Beats per inch.
    pub per_inch: f64,
    /// Direction in which it repeats, degrees counter-clockwise, -90…90.
    pub degrees: f64,
    /// Its period in millimetres; infinite where it never repeats: steady as laid, a very long wave as soon as anything moves.
    pub period_mm: f64,
    /// Its amplitude in coverage, half of what it swings: 2 |c_a| |c_b|.
    pub amplitude: f64,
}

/// How nearly three structures close: the first-order frequencies, one of each, that come nearest to adding up to nothing. Set
/// `struct_size` to sizeof(dw_closure) before the call.
#[repr(C)]
pub struct dw_closure {
    /// sizeof(dw_closure).
    pub struct_size: usize,
    /// Orders in the first structure.
    pub first_orders: [f64; 2],
    /// Orders in the second.
    pub second_orders: [f64; 2],
    /// Orders in the third.
    pub third_orders: [f64; 2],
    /// What is left over, per inch.
    pub per_inch: f64,
    /// Its period in millimetres; infinite where the three close.
    pub period_mm: f64,
}

/// The smallest changes of the first structure that leave no beat that matters. NaN where none helps. Set `struct_size` to
/// sizeof(dw_remedies) before the call.
#[repr(C)]
pub struct dw_remedies {
    /// sizeof(dw_remedies).
    pub struct_size: usize,
    /// Degrees to turn it counter-clockwise, alone; 0 where nothing need change.
    pub turn: f64,
    /// What to multiply its line count by, alone; 1 where nothing need change.
    pub lines: f64,
    /// Where neither alone helps, both together: degrees to turn it …
    pub both_turn: f64,
    /// … and what to multiply its line count by.
    pub both_lines: f64,
}

/// The structure of a screen of growing dots, by its true lattice. Screens of index dots and arrays have none.
///
/// # Safety
/// `screen` is a live handle; `structure` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_structure_screen(
    screen: *const dw_screen,
    structure: *mut *mut dw_structure,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("structure", structure) }?;
        let dw_screen { screen, dot, .. } = unsafe { shared("screen", screen) }?;
        let (Some(lattice), Some(dot)) = (screen.lattice(), dot) else {
            return Err(Error::value("screen", "one of index dots or of an array", "one of growing dots"));
        };
        out.give(dw_structure(Structure::screen(lattice, dot)));
        Ok(())
    })
}

/// The structure of a screen that is not built: dots on a square lattice.
///
/// # Safety
/// `structure` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_structure_dots(
    lines_per_inch: f64,
    degrees: f64,
    structure: *mut *mut dw_structure,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("structure", structure) }?;
        let (lines, angle) = (LineCount::per_inch(lines_per_inch)?, Angle::degrees(degrees)?);
        out.give(dw_structure(Structure::dots(lines, angle)));
        Ok(())
    })
}

/// The structure of a grating: lines that run along the angle.
///
/// # Safety
/// `structure` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_structure_lines(
    lines_per_inch: f64,
    degrees: f64,
    structure: *mut *mut dw_structure,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("structure", structure) }?;
        let (lines, angle) = (LineCount::per_inch(lines_per_inch)?, Angle::degrees(degrees)?);
        out.give(dw_structure(Structure::lines(lines, angle)));
        Ok(())
    })
}

/// The structure of a mesh: threads, and the weave that repeats every two.
///
/// # Safety
/// `mesh` is readable; `structure` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_structure_mesh(
    mesh: *const dw_mesh,
    structure: *mut *mut dw_structure,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("structure", structure) }?;
        out.give(dw_structure(Structure::mesh(&unsafe { self::mesh(mesh) }?)));
        Ok(())
    })
}

/// Ends a structure. NULL is allowed.
///
/// # Safety
/// `structure` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_structure_free(structure: *mut dw_structure) {
    unsafe { free(structure) }
}

/// Two structures, and how to look at them.
///
/// # Safety
/// Live handles; `look` is NULL or readable.
unsafe fn pair<'a>(
    first: *const dw_structure,
    second: *const dw_structure,
    look: *const dw_look,
) -> Result<(&'a Structure, &'a Structure, Look)> {
    // SAFETY: the caller's promise, here and below.
    let (first, second) = unsafe { (&shared("first", first)?.0, &shared("second", second)?.0) };
    let look = match unless_null(look, || unsafe { sized("look", look) })? {
        Some(look) => {
            let order =
                |order: u32| u8::try_from(order).map_err(|_| Error::value("moiré orders", order, "1 to 8"));
            let orders = [order(look.first_orders)?, order(look.second_orders)?];
            Look::new(orders, look.amplitude, look.periods)?
        }
        None => Look::between(first, second),
    };
    Ok((first, second, look))
}

/// A period in millimetres, infinite for one that never repeats.
fn mm(period: Option<Length>) -> f64 {
    period.map_or(f64::INFINITY, Length::to_mm)
}

/// The beats that matter between two structures; `look` may be NULL. Their number: dw_beats_count.
///
/// # Safety
/// `first` and `second` are live handles, `look` is readable or NULL; `beats` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_moire_beats(
    first: *const dw_structure,
    second: *const dw_structure,
    look: *const dw_look,
    beats: *mut *mut dw_beats,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("beats", beats) }?;
        let (first, second, look) = unsafe { pair(first, second, look) }?;
        out.give(dw_beats(self::beats(first, second, &look)));
        Ok(())
    })
}

/// How many beats there are.
///
/// # Safety
/// `beats` is a live handle; `count` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_beats_count(beats: *const dw_beats, count: *mut usize) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("count", count) }?;
        out.set(unsafe { shared("beats", beats) }?.0.len());
        Ok(())
    })
}

/// One beat: `index` counts from 0, the longest first.
///
/// # Safety
/// `beats` is a live handle; `beat` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_beats_get(beats: *const dw_beats, index: usize, beat: *mut dw_beat) -> dw_status {
    guard(|| {
        let out = unsafe { sized_mut("beat", beat) }?;
        let beat = entry(&unsafe { shared("beats", beats) }?.0, index)?;
        *out = dw_beat {
            struct_size: out.struct_size,
            first_orders: beat.orders[0],
            second_orders: beat.orders[1],
            per_inch: beat.per_inch,
            degrees: beat.degrees,
            period_mm: mm(beat.period),
            amplitude: beat.amplitude,
        };
        Ok(())
    })
}

/// Ends beats. NULL is allowed.
///
/// # Safety
/// `beats` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_beats_free(beats: *mut dw_beats) {
    unsafe { free(beats) }
}

/// The smallest changes of the first structure after which no beat that matters is left, wherever the second lies within
/// `play_degrees` (0…10) either way and within `play_relative` (0…0.2) of its count either way: 1 and 0.02 for a stretched mesh, 0 and
/// 0 for a film; `look` may be NULL. Up to some tenths of a second where nothing helps.
///
/// # Safety
/// `first` and `second` are live handles, `look` is readable or NULL; `remedies` can be read and written for the struct_size it
/// states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_moire_remedies(
    first: *const dw_structure,
    second: *const dw_structure,
    look: *const dw_look,
    play_degrees: f64,
    play_relative: f64,
    remedies: *mut dw_remedies,
) -> dw_status {
    guard(|| {
        let (first, second, look) = unsafe { pair(first, second, look) }?;
        let out = unsafe { sized_mut("remedies", remedies) }?;
        let found = self::remedies(first, second, &look, Play::new(play_degrees, play_relative)?);
        let turn = |change: Option<Change>| change.map_or(f64::NAN, |change| change.turn);
        let lines = |change: Option<Change>| change.map_or(f64::NAN, |change| change.lines);
        *out = dw_remedies {
            struct_size: out.struct_size,
            turn: turn(found.turn),
            lines: lines(found.lines),
            both_turn: turn(found.both),
            both_lines: lines(found.both),
        };
        Ok(())
    })
}

/// How nearly three structures close.
///
/// # Safety
/// `first`, `second` and `third` are live handles; `closure` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_moire_closure(
    first: *const dw_structure,
    second: *const dw_structure,
    third: *const dw_structure,
    closure: *mut dw_closure,
) -> dw_status {
    guard(|| {
        let (first, second) = unsafe { (shared("first", first)?, shared("second", second)?) };
        let third = unsafe { shared("third", third) }?;
        let out = unsafe { sized_mut("closure", closure) }?;
        let found = self::closure(&first.0, &second.0, &third.0);
        *out = dw_closure {
            struct_size: out.struct_size,
            first_orders: found.orders[0],
            second_orders: found.orders[1],
            third_orders: found.orders[2],
            per_inch: found.per_inch,
            period_mm: mm(found.period),
        };
        Ok(())
    })
}

crate::ffi::layout!(dw_look, 32: struct_size 0, first_orders 8, second_orders 12, amplitude 16, periods 24);
crate::ffi::layout!(dw_beat, 72:
    struct_size 0, first_orders 8, second_orders 24, per_inch 40, degrees 48, period_mm 56, amplitude 64);
crate::ffi::layout!(dw_closure, 72:
    struct_size 0, first_orders 8, second_orders 24, third_orders 40, per_inch 56, period_mm 64);
crate::ffi::layout!(dw_remedies, 40: struct_size 0, turn 8, lines 16, both_turn 24, both_lines 32);
