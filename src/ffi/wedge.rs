//! Wedges: readings to printed coverage and a curve.

use std::ffi::c_char;

use crate::error::{Error, Result};
use crate::ffi::curve::dw_curve;
use crate::ffi::fence::{Out, entry, exclusive, free, items, shared, sized_mut, text};
use crate::ffi::status::{dw_status, guard};
use crate::tone::density::{self, YuleNielsen};
use crate::tone::readings::{Direction, Form, Measured, On, Readings, Scale, State};

/// Reflection or transmission densities, -10…10, one for each filter; may be zeroed anywhere.
pub const DW_SCALE_DENSITY: u32 = 0;
/// Reflectances or transmittances, 0…2 (1 is the white reference), one for each filter or wavelength.
pub const DW_SCALE_REFLECTANCE: u32 = 1;
/// X, Y, Z of 0…200, Y = 100 for a perfect white.
pub const DW_SCALE_XYZ: u32 = 2;
/// L* (0…150), a*, b* (±300).
pub const DW_SCALE_LAB: u32 = 3;

/// Not said.
pub const DW_ON_UNSAID: u32 = 0;
/// On the bare cloth, paper or film.
pub const DW_ON_BARE: u32 = 1;
/// On an underbase.
pub const DW_ON_UNDERBASE: u32 = 2;

/// Not said.
pub const DW_STATE_UNSAID: u32 = 0;
/// Measured wet.
pub const DW_STATE_WET: u32 = 1;
/// Measured flash-dried.
pub const DW_STATE_FLASH_DRIED: u32 = 2;
/// Measured cured.
pub const DW_STATE_CURED: u32 = 3;

/// The ink is darker than its ground.
pub const DW_INK_DARKER: u32 = 0;
/// The ink is lighter than its ground.
pub const DW_INK_LIGHTER: u32 = 1;

/// The readings of one wedge, as an instrument states them: made by dw_readings_new or dw_readings_from_table, told by the other
/// dw_readings_ calls, and turned into a curve by dw_readings_measure. The bare ground counts as it was read, so the ink may be
/// darker or lighter than it. Not to be shared between threads while they are told something.
pub struct dw_readings(Readings);

/// A wedge as measured. Immutable; may be shared between threads.
pub struct dw_wedge(Measured);

/// What a wedge tells. Set `struct_size` to sizeof(dw_wedge_info) before the call.
#[repr(C)]
pub struct dw_wedge_info {
    /// sizeof(dw_wedge_info).
    pub struct_size: usize,
    /// Film coverages that were read, ground and solid included.
    pub patches: usize,
    /// The channel used, counted from 0 (for L*a*b* 0, 1, 2 are X, Y, Z); -1 for the spot-colour form.
    pub channel: i64,
    /// Solid less ground, never negative: light of 0…1 in the channel; for the spot-colour form the length of the way in lightness.
    pub contrast: f64,
    /// Standard deviation of one reading, in coverage.
    pub noise: f64,
    /// Root of the mean square residual of the tints, in coverage.
    pub rms_residual: f64,
    /// Largest residual of a tint, without its sign.
    pub worst_residual: f64,
    /// 1 where repeats or the caller told the noise, and readings were smoothed as far as it allows; 0 where it is assumed.
    pub noise_known: u32,
    /// DW_INK_….
    pub direction: u32,
    /// DW_ON_…, as told.
    pub on: u32,
    /// DW_STATE_…, as told.
    pub state: u32,
}

/// One film coverage of a wedge. Set `struct_size` to sizeof(dw_wedge_patch) before the call.
#[repr(C)]
pub struct dw_wedge_patch {
    /// sizeof(dw_wedge_patch).
    pub struct_size: usize,
    /// Coverage on film, 0…1.
    pub film: f64,
    /// Printed coverage, the mean of its readings: 0 for the ground, 1 for the solid, not clipped.
    pub printed: f64,
    /// How many readings there were.
    pub repeats: usize,
    /// Their standard deviation; NaN for a single reading.
    pub spread: f64,
    /// Printed coverage less that of the curve.
    pub residual: f64,
}

/// Coverage of a tint from the densities of ground, solid and tint (-10…10) by the form of Yule and Nielsen with n (1…1000); n = 1 is
/// that of Murray and Davies. The ink may be darker or lighter than its ground.
///
/// # Safety
/// `coverage` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_density_coverage(
    ground: f64,
    solid: f64,
    tint: f64,
    n: f64,
    coverage: *mut f64,
) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::new("coverage", coverage) }?;
        out.set(density::coverage(ground, solid, tint, n)?);
        Ok(())
    })
}

fn scale_of(scale: u32) -> Result<Scale> {
    match scale {
        DW_SCALE_DENSITY => Ok(Scale::Density),
        DW_SCALE_REFLECTANCE => Ok(Scale::Reflectance),
        DW_SCALE_XYZ => Ok(Scale::Xyz),
        DW_SCALE_LAB => Ok(Scale::Lab),
        other => Err(Error::value("scale", other, "a DW_SCALE_… value")),
    }
}

/// No readings yet, of an instrument that states `scale` (DW_SCALE_…). Unless told otherwise coverage is that of Murray and Davies,
/// which on X, Y, Z and L*a*b* is the colorimetric tone value of ISO 12647-1, along the channel of most contrast.
///
/// # Safety
/// `readings` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_new(scale: u32, readings: *mut *mut dw_readings) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("readings", readings) }?;
        out.give(dw_readings(Readings::new(scale_of(scale)?)));
        Ok(())
    })
}

/// Readings from text in UTF-8: a patch a line, film coverage and then the values, separated by a comma, a semicolon, a tab or
/// spaces. Empty lines, lines that begin with # and one line of headings are passed over. If any film coverage is above 1 all are in
/// percent. `name` stands in the words of a failure.
///
/// # Safety
/// `name` and `table` are NUL-terminated strings; `readings` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_from_table(
    name: *const c_char,
    table: *const c_char,
    scale: u32,
    readings: *mut *mut dw_readings,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("readings", readings) }?;
        let (name, table) = unsafe { (text("name", name)?, text("table", table)?) };
        out.give(dw_readings(Readings::from_table(name, table, scale_of(scale)?)?));
        Ok(())
    })
}

/// Adds one reading of the patch of the given film coverage (0…1): X, Y, Z or L*, a*, b*, or as many densities or reflectances as in
/// the first reading. Ground (0), solid (1) and a tint are needed; any patch may come several times.
///
/// # Safety
/// `readings` is a live handle; `values` holds `count` numbers.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_add(
    readings: *mut dw_readings,
    film: f64,
    values: *const f64,
    count: usize,
) -> dw_status {
    guard(|| {
        let readings = unsafe { exclusive("readings", readings) }?;
        readings.0.add(film, unsafe { items("values", values, count) }?)
    })
}

/// Coverage along one channel by the form of Yule and Nielsen with n of 1…1000.
///
/// # Safety
/// `readings` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_yule_nielsen(readings: *mut dw_readings, n: f64) -> dw_status {
    told!(readings.0 = readings.0.clone().form(Form::Channel(YuleNielsen::new(n)?))?)
}

/// Coverage along all of X, Y, Z or L*a*b*: the spot-colour tone value of ISO 20654 (from memory).
///
/// # Safety
/// `readings` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_spot_colour(readings: *mut dw_readings) -> dw_status {
    told!(readings.0 = readings.0.clone().form(Form::Spot)?)
}

/// The channel to use, counted from 0, in place of that of most contrast. One that the readings do not have is refused by
/// dw_readings_measure.
///
/// # Safety
/// `readings` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_channel(readings: *mut dw_readings, channel: usize) -> dw_status {
    told!(readings.0 = readings.0.clone().channel(channel))
}

/// The white that L*a*b* refers to, 1…200 each with y = 100: D50 (96.42, 100, 82.49) unless told.
///
/// # Safety
/// `readings` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_white(readings: *mut dw_readings, x: f64, y: f64, z: f64) -> dw_status {
    told!(readings.0 = readings.0.clone().white([x, y, z])?)
}

/// The standard deviation of one reading in coverage, 0.0001…0.05, where it is known from elsewhere. Without it repeats tell, if
/// there are enough of them.
///
/// # Safety
/// `readings` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_noise(readings: *mut dw_readings, coverage: f64) -> dw_status {
    told!(readings.0 = readings.0.clone().noise(coverage)?)
}

/// The curve of the film printer, where patches are told by what was asked of a film that was made without undoing it.
///
/// # Safety
/// `readings` and `device` are live handles.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_asked_of(
    readings: *mut dw_readings,
    device: *const dw_curve,
) -> dw_status {
    told!(
        readings.0 = {
            let device = unsafe { shared("device", device) }?;
            readings.0.clone().asked_of(&device.0)
        }
    )
}

/// On what (DW_ON_…) the wedge is printed and in which state (DW_STATE_…) it was measured: kept with the wedge, changing no number.
///
/// # Safety
/// `readings` is a live handle.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_told(readings: *mut dw_readings, on: u32, state: u32) -> dw_status {
    told!(
        readings.0 = {
            let on = match on {
                DW_ON_UNSAID => On::Unsaid,
                DW_ON_BARE => On::Bare,
                DW_ON_UNDERBASE => On::Underbase,
                other => return Err(Error::value("on", other, "a DW_ON_… value")),
            };
            let state = match state {
                DW_STATE_UNSAID => State::Unsaid,
                DW_STATE_WET => State::Wet,
                DW_STATE_FLASH_DRIED => State::FlashDried,
                DW_STATE_CURED => State::Cured,
                other => return Err(Error::value("state", other, "a DW_STATE_… value")),
            };
            readings.0.clone().told(on, state)
        }
    )
}

/// The wedge of these readings, which stay as they are. Repeats are averaged, known noise is smoothed away, and readings that fall
/// are pooled, so that the curve never does.
///
/// Refused as DW_ERROR_DATA: no reading of ground, solid or any tint; too little contrast; a tint beyond ground or solid by more than
/// the noise.
///
/// # Safety
/// `readings` is a live handle; `wedge` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_measure(
    readings: *const dw_readings,
    wedge: *mut *mut dw_wedge,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("wedge", wedge) }?;
        out.give(dw_wedge(unsafe { shared("readings", readings) }?.0.measure()?));
        Ok(())
    })
}

/// Ends readings. NULL is allowed.
///
/// # Safety
/// `readings` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_readings_free(readings: *mut dw_readings) {
    unsafe { free(readings) }
}

/// What a wedge tells.
///
/// # Safety
/// `wedge` is a live handle; `info` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_wedge_get_info(wedge: *const dw_wedge, info: *mut dw_wedge_info) -> dw_status {
    guard(|| {
        let wedge = &unsafe { shared("wedge", wedge) }?.0;
        let info = unsafe { sized_mut("info", info) }?;
        *info = dw_wedge_info {
            struct_size: info.struct_size,
            patches: wedge.patches.len(),
            channel: wedge.channel.map_or(-1, |channel| channel as i64),
            contrast: wedge.contrast,
            noise: wedge.noise,
            rms_residual: wedge.rms_residual,
            worst_residual: wedge.worst_residual,
            noise_known: wedge.noise_known.into(),
            direction: match wedge.direction {
                Direction::Darker => DW_INK_DARKER,
                Direction::Lighter => DW_INK_LIGHTER,
            },
            on: match wedge.on {
                On::Unsaid => DW_ON_UNSAID,
                On::Bare => DW_ON_BARE,
                On::Underbase => DW_ON_UNDERBASE,
            },
            state: match wedge.state {
                State::Unsaid => DW_STATE_UNSAID,
                State::Wet => DW_STATE_WET,
                State::FlashDried => DW_STATE_FLASH_DRIED,
                State::Cured => DW_STATE_CURED,
            },
        };
        Ok(())
    })
}

/// One patch of a wedge: `index` counts film coverages from 0 as they rise.
///
/// # Safety
/// `wedge` is a live handle; `patch` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_wedge_get_patch(
    wedge: *const dw_wedge,
    index: usize,
    patch: *mut dw_wedge_patch,
) -> dw_status {
    guard(|| {
        let wedge = &unsafe { shared("wedge", wedge) }?.0;
        let out = unsafe { sized_mut("patch", patch) }?;
        let patch = entry(&wedge.patches, index)?;
        *out = dw_wedge_patch {
            struct_size: out.struct_size,
            film: patch.film,
            printed: patch.printed,
            repeats: patch.repeats,
            spread: patch.spread.unwrap_or(f64::NAN),
            residual: patch.residual,
        };
        Ok(())
    })
}

/// The curve of a wedge: film coverage to printed coverage, of a press or, for a film's own wedge, of the film printer. What undoes
/// one or both: dw_curve_compensation.
///
/// # Safety
/// `wedge` is a live handle; `curve` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_wedge_curve(wedge: *const dw_wedge, curve: *mut *mut dw_curve) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("curve", curve) }?;
        out.give(dw_curve(unsafe { shared("wedge", wedge) }?.0.curve.clone()));
        Ok(())
    })
}

/// Ends a wedge. NULL is allowed. Its curves live on.
///
/// # Safety
/// `wedge` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_wedge_free(wedge: *mut dw_wedge) {
    unsafe { free(wedge) }
}

crate::ffi::layout!(dw_wedge_info, 72:
    struct_size 0, patches 8, channel 16, contrast 24, noise 32, rms_residual 40, worst_residual 48, noise_known 56, direction 60,
    on 64, state 68);
crate::ffi::layout!(dw_wedge_patch, 48: struct_size 0, film 8, printed 16, repeats 24, spread 32, residual 40);
