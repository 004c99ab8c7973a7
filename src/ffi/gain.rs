//! What a press makes of a film: gain of one number, growth of edges.

use crate::error::Error;
use crate::ffi::curve::{bounded, dw_curve, pairs};
use crate::ffi::fence::{Out, items_mut, shared, sized_mut};
use crate::ffi::plate::{dw_film, film};
use crate::ffi::screen::dw_screen;
use crate::ffi::status::{dw_status, guard};
use crate::press::{gain, spread};
use crate::tone::model::Gain;
use crate::tone::wedge::Reading;
use crate::units::{Length, Resolution};

/// The growth that fits a wedge. Set `struct_size` to sizeof(dw_growth) before the call.
#[repr(C)]
pub struct dw_growth {
    /// sizeof(dw_growth).
    pub struct_size: usize,
    /// How far edges moved, in micrometres; negative where ink shrank.
    pub growth_um: f64,
    /// Its standard error in micrometres; NaN for a single tint.
    pub error_um: f64,
    /// Root of the mean square of what is left over, in parts of 1 of coverage.
    pub rms: f64,
}

/// The print curve of a press of which the gain at 0.5 is known, -0.45…0.45: 4 gain a (1 - a) where that stays below solid, and a form that never
/// exceeds it beyond.
///
/// # Safety
/// `curve` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_of_gain(gain_at_half: f64, curve: *mut *mut dw_curve) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("curve", curve) }?;
        out.give(bounded(Gain::at_half(gain_at_half)?.curve())?);
        Ok(())
    })
}

/// What films of a screen print, in its mode and without its curve, where every edge of ink moves outwards by `growth_um` micrometres (inwards, if
/// negative): film coverage to printed coverage, to be undone by dw_curve_compensation. About half a second.
///
/// # Safety
/// `screen` is a live handle; `curve` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_curve_of_growth(
    screen: *const dw_screen,
    growth_um: f64,
    curve: *mut *mut dw_curve,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("curve", curve) }?;
        let screen = unsafe { shared("screen", screen) }?;
        let printed = gain::on_film(&screen.screen, screen.resolution, Length::um(growth_um)?)?;
        out.give(bounded(printed)?);
        Ok(())
    })
}

/// The growth of edges that fits a printed wedge best: `count` tints, 0…1 on the film and as printed, on films of `screen` (its curve is left out).
///
/// # Safety
/// `screen` is a live handle; `films` and `printed` hold `count` numbers; `growth` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_growth_fit(
    screen: *const dw_screen,
    films: *const f64,
    printed: *const f64,
    count: usize,
    growth: *mut dw_growth,
) -> dw_status {
    guard(|| {
        let screen = unsafe { shared("screen", screen) }?;
        let readings = unsafe { pairs(films, printed, count) }?;
        let readings: Vec<Reading> =
            readings.into_iter().map(|(film, printed)| Reading { film, printed }).collect();
        let out = unsafe { sized_mut("growth", growth) }?;
        let fit = gain::fit(&screen.screen, screen.resolution, &readings)?;
        *out = dw_growth {
            struct_size: out.struct_size,
            growth_um: fit.growth.to_um(),
            error_um: fit.uncertainty.unwrap_or(f64::NAN),
            rms: fit.rms,
        };
        Ok(())
    })
}

/// How much of each pixel is covered, 0…1, once every edge of ink has moved outwards by `growth_um` micrometres (inwards, if negative). `covered` takes
/// width · height numbers, row by row; `count` says how many there is room for. Around the film is bare ground.
///
/// # Safety
/// `film` and its rows are readable; `covered` can be written for `count` numbers.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_film_grown(
    film: *const dw_film,
    x_per_inch: f64,
    y_per_inch: f64,
    growth_um: f64,
    covered: *mut f32,
    count: usize,
) -> dw_status {
    guard(|| {
        let film = unsafe { self::film(film) }?;
        let resolution = Resolution::per_inch_xy(x_per_inch, y_per_inch)?;
        let out = unsafe { items_mut("covered", covered, count) }?;
        let needed = film.width().saturating_mul(film.height());
        let Some(out) = out.get_mut(..needed) else {
            return Err(Error::value("count", count, format!("at least {needed}, one for each pixel")));
        };
        let grown = spread::grown(film, resolution, Length::um(growth_um)?)?;
        for (out, &covered) in out.iter_mut().zip(&grown) {
            *out = covered;
        }
        Ok(())
    })
}

crate::ffi::layout!(dw_growth, 32: struct_size 0, growth_um 8, error_um 16, rms 24);
