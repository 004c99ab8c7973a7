//! Curves.

use crate::error::{Error, Result};
use crate::ffi::fence::{Out, free, items, shared, unless_null};
use crate::ffi::status::{dw_status, guard};
use crate::tone::Curve;
use crate::tone::wedge::{Reading, press_curve};

/// Deepest nest of curves: each level takes some hundred bytes of the caller's stack.
const MAX_DEPTH: u64 = 64;

/// Most evaluations within one: about a millisecond.
const MAX_COST: u64 = 1 << 16;

/// A monotone map of coverage to coverage, 0 to 0. Immutable; may be shared between threads.
pub struct dw_curve(pub(super) Curve);

/// The curve through `count` points (inputs[i], outputs[i]), coverages of 0…1: inputs rise to 1, outputs do not fall. The point
/// (0, 0) may be left out.
///
/// # Safety
/// `inputs` and `outputs` hold `count` numbers each; `curve` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_through(
    inputs: *const f64,
    outputs: *const f64,
    count: usize,
    curve: *mut *mut dw_curve,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("curve", curve) }?;
        let points = unsafe { pairs(inputs, outputs, count) }?;
        out.give(dw_curve(Curve::through(&points)?));
        Ok(())
    })
}

/// The curve of a press (or a film printer) from `count` patches of a wedge: film[i] was asked for, printed[i] measured, coverages
/// of 0…1. Noise is smoothed so that the curve is monotone; bare ground and solid need not be measured.
///
/// # Safety
/// `film` and `printed` hold `count` numbers each; `curve` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_from_wedge(
    film: *const f64,
    printed: *const f64,
    count: usize,
    curve: *mut *mut dw_curve,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("curve", curve) }?;
        let pairs = unsafe { pairs(film, printed, count) }?;
        let readings: Vec<_> = pairs.into_iter().map(|(film, printed)| Reading { film, printed }).collect();
        out.give(dw_curve(press_curve(&readings)?));
        Ok(())
    })
}

/// The generalised inverse of a curve. Curves within curves have limits: see dw_curve_then.
///
/// # Safety
/// `curve` is a live handle; `inverse` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_inverse(curve: *const dw_curve, inverse: *mut *mut dw_curve) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("inverse", inverse) }?;
        let curve = unsafe { shared("curve", curve) }?;
        out.give(bounded(curve.0.inverse())?);
        Ok(())
    })
}

/// First one curve, then the next. Curves are kept within each other, 64 deep at most, and no curve may be so wound up that one
/// evaluation takes more than 65 536 (an inverse counts for 48 of what it inverts): else DW_ERROR_LIMIT.
///
/// # Safety
/// `first` and `next` are live handles; `chain` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_then(
    first: *const dw_curve,
    next: *const dw_curve,
    chain: *mut *mut dw_curve,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("chain", chain) }?;
        let (first, next) = unsafe { (shared("first", first)?, shared("next", next)?) };
        out.give(bounded(first.0.then(&next.0))?);
        Ok(())
    })
}

/// What to ask of a film so that the print holds the plate's tone: undoes the press, then the film printer (`device`, which may be
/// NULL).
///
/// # Safety
/// `press` is a live handle, `device` one or NULL; `compensation` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_compensation(
    press: *const dw_curve,
    device: *const dw_curve,
    compensation: *mut *mut dw_curve,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("compensation", compensation) }?;
        let press = unsafe { shared("press", press) }?;
        let device = unsafe { optional("device", device) }?;
        out.give(bounded(Curve::compensation(&press.0, device))?);
        Ok(())
    })
}

/// dw_curve_compensation for a print that follows `aim`, plate tone to printed coverage, in place of the plate: such as another press's curve.
///
/// # Safety
/// `aim` and `press` are live handles, `device` one or NULL; `compensation` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_compensation_to(
    aim: *const dw_curve,
    press: *const dw_curve,
    device: *const dw_curve,
    compensation: *mut *mut dw_curve,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("compensation", compensation) }?;
        let (aim, press) = unsafe { (shared("aim", aim)?, shared("press", press)?) };
        let device = unsafe { optional("device", device) }?;
        out.give(bounded(Curve::compensation_to(&aim.0, &press.0, device))?);
        Ok(())
    })
}

/// The next round of a compensation: `printed` is what a wedge screened through it printed, plate tone to printed coverage; `aim` what it is to
/// print, NULL for the plate's own tones.
///
/// # Safety
/// `compensation` and `printed` are live handles, `aim` one or NULL; `refined` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_refined(
    compensation: *const dw_curve,
    printed: *const dw_curve,
    aim: *const dw_curve,
    refined: *mut *mut dw_curve,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("refined", refined) }?;
        let compensation = unsafe { shared("compensation", compensation) }?;
        let printed = unsafe { shared("printed", printed) }?;
        let aim = unsafe { optional("aim", aim) }?;
        out.give(bounded(compensation.0.refined(&printed.0, aim)?)?);
        Ok(())
    })
}

/// The output of a curve for a coverage, which is brought into 0…1 first (NaN to 0).
///
/// # Safety
/// `curve` is a live handle; `output` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_eval(curve: *const dw_curve, coverage: f64, output: *mut f64) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("output", output) }?;
        let curve = unsafe { shared("curve", curve) }?;
        out.set(curve.0.eval(coverage));
        Ok(())
    })
}

/// Ends a curve. NULL is allowed. Screens built from it live on.
///
/// # Safety
/// `curve` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_free(curve: *mut dw_curve) {
    unsafe { free(curve) }
}

/// Holds curves within curves to what a small stack and a short wait allow.
pub(super) fn bounded(curve: Curve) -> Result<dw_curve> {
    let (depth, cost) = curve.depth_and_cost();
    for (what, needed, limit) in
        [("a curve, in depth,", depth, MAX_DEPTH), ("a curve, in evaluations,", cost, MAX_COST)]
    {
        if needed > limit {
            return Err(Error::Limit { what, needed, limit });
        }
    }
    Ok(dw_curve(curve))
}

/// A curve that may be NULL.
///
/// # Safety
/// NULL or a live handle.
pub(super) unsafe fn optional<'a>(name: &'static str, curve: *const dw_curve) -> Result<Option<&'a Curve>> {
    // SAFETY: the caller's promise.
    unless_null(curve, || Ok(unsafe { &shared(name, curve)?.0 }))
}

/// # Safety
/// `count` numbers each.
pub(super) unsafe fn pairs(x: *const f64, y: *const f64, count: usize) -> Result<Vec<(f64, f64)>> {
    // More points than any curve has: refused before memory is taken for them.
    if count > 1 << 16 {
        return Err(Error::value("count", count, "at most 65536"));
    }
    // SAFETY: the caller's promise.
    let (x, y) = unsafe { (items("the first array", x, count)?, items("the second array", y, count)?) };
    Ok(x.iter().copied().zip(y.iter().copied()).collect())
}
