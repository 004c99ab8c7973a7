//! Colours of an embedded ICC profile to sRGB.
//!
//! `moxcms` reads the profile. Three primaries with curves, and a grey curve, are computed here in double precision from the
//! formulas of the format (ICC.1:2010, 8.3, 10.5 and 10.15; relative colorimetric, Bradford): light = M·curve(code). `moxcms`'s
//! own way for these was rejected: it clips, so that what is out of gamut cannot be told. A profile with a table of colours goes
//! through `moxcms` to a wide space of 16 bits, and from there the same way.

use libm::pow;
use moxcms::{ColorProfile, DataColorSpace, Layout, ToneReprCurve, TransformOptions};

use crate::colour::spaces::Xyz;
use crate::colour::srgb::Code;

/// How codes of a picture become sRGB.
pub(crate) struct Profile {
    table: Option<ColorProfile>,
    /// Light of every 16-bit code, a channel each.
    curves: [Vec<f64>; 3],
    /// To linear sRGB.
    matrix: [[f64; 3]; 3],
}

/// Most a code may be off for a profile to count as sRGB itself: half a level of 255.
const SAME: f64 = 0.5 / 255.0;

impl Profile {
    /// Reads a profile for a picture that is grey or not. `None` where it is sRGB. Errors: why it cannot be honoured.
    pub(crate) fn read(bytes: &[u8], grey: bool) -> Result<Option<Self>, String> {
        let read = ColorProfile::new_from_slice(bytes);
        let profile = read.map_err(|e| format!("its colour profile cannot be read ({e})"))?;
        let space = profile.color_space;
        let tables = [
            &profile.lut_a_to_b_perceptual,
            &profile.lut_a_to_b_colorimetric,
            &profile.lut_a_to_b_saturation,
        ];
        let made = match space {
            DataColorSpace::Gray if !grey => return Err("a grey profile in a picture of colours".to_owned()),
            DataColorSpace::Gray if profile.pcs == DataColorSpace::Xyz => match &profile.gray_trc {
                Some(curve) => {
                    let matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
                    let light = light_of(curve)?;
                    Self { table: None, curves: [light.clone(), light.clone(), light], matrix }
                }
                None => return Err("a grey profile without a curve".to_owned()),
            },
            DataColorSpace::Rgb if tables.iter().any(|table| table.is_some()) => {
                let wide = Self::of_primaries(&wide())?;
                Self { table: Some(profile), ..wide }
            }
            DataColorSpace::Rgb if profile.is_matrix_shaper() && profile.pcs == DataColorSpace::Xyz => {
                Self::of_primaries(&profile)?
            }
            other => return Err(format!("its colour profile is of a kind that is not read ({other:?})")),
        };
        // One odd curve tried out: a table that fails must fail here.
        made.linear(&[[0, 32_768, 65_535]])?;
        Ok(if made.is_srgb()? { None } else { Some(made) })
    }

    fn of_primaries(profile: &ColorProfile) -> Result<Self, String> {
        let curve = |curve: &Option<ToneReprCurve>| {
            light_of(curve.as_ref().ok_or("a colour profile without curves".to_owned())?)
        };
        // The format's D50 is this library's.
        let to_srgb = |c: moxcms::Xyzd| Xyz([c.x, c.y, c.z]).to_linear().0;
        let columns = [profile.red_colorant, profile.green_colorant, profile.blue_colorant].map(to_srgb);
        let matrix = std::array::from_fn(|row| columns.map(|column| column[row]));
        if columns.iter().flatten().any(|m| !m.is_finite()) {
            return Err("a colour profile of impossible primaries".to_owned());
        }
        let curves = [curve(&profile.red_trc)?, curve(&profile.green_trc)?, curve(&profile.blue_trc)?];
        Ok(Self { table: None, curves, matrix })
    }

    /// Linear sRGB of codes, beyond 0…1 where they are out of gamut.
    fn linear(&self, codes: &[[u16; 3]]) -> Result<Vec<[f64; 3]>, String> {
        let mut wide_codes = Vec::new();
        let codes = match &self.table {
            None => codes,
            Some(table) => {
                let options = TransformOptions { prefer_fixed_point: false, ..Default::default() };
                let failed = |e| format!("its colour profile cannot be followed ({e})");
                let way = table.create_transform_16bit(Layout::Rgb, &wide(), Layout::Rgb, options);
                wide_codes.resize(codes.len(), [0; 3]);
                let to = wide_codes.as_flattened_mut();
                way.map_err(failed)?.transform(codes.as_flattened(), to).map_err(failed)?;
                &wide_codes
            }
        };
        let light = codes.iter().map(|code| {
            let [r, g, b]: [f64; 3] = std::array::from_fn(|k| self.curves[k][usize::from(code[k])]);
            self.matrix.map(|row| row[0] * r + row[1] * g + row[2] * b)
        });
        Ok(light.collect())
    }

    fn is_srgb(&self) -> Result<bool, String> {
        let level = |i: usize| [0, 8_192, 16_384, 24_576, 32_768, 40_960, 49_152, 57_344, 65_535][i];
        let grid: Vec<[u16; 3]> = (0..729).map(|i| [level(i / 81), level(i / 9 % 9), level(i % 9)]).collect();
        let near = |(code, light): (&[u16; 3], [f64; 3])| {
            (0..3).all(|k| (f64::from(code[k]) - f64::from(u16::of_light(light[k]))).abs() < SAME * 65_535.0)
        };
        Ok(grid.iter().zip(self.linear(&grid)?).all(near))
    }

    /// Turns a row of codes into sRGB; gives the pixels that were out of gamut by more than half a level of 255 and were clipped.
    pub(crate) fn to_srgb(&self, codes: &mut [[u16; 3]]) -> Result<u64, String> {
        // Half a level below 0 and above 255, in light.
        const OUT: std::ops::RangeInclusive<f64> = -0.5 / 255.0 / 12.92..=1.004_5;
        let mut clipped = 0;
        let light = self.linear(codes)?;
        for (code, light) in codes.iter_mut().zip(light) {
            clipped += u64::from(light.iter().any(|l| !OUT.contains(l)));
            *code = light.map(u16::of_light);
        }
        Ok(clipped)
    }
}

/// The space that profiles with tables are brought into: wider than what inks and screens show.
fn wide() -> ColorProfile {
    ColorProfile::new_pro_photo_rgb()
}

/// Light of every 16-bit code by a curve of the profile.
fn light_of(curve: &ToneReprCurve) -> Result<Vec<f64>, String> {
    let light: Vec<f64> = (0..=65_535_u32).map(|code| value(curve, f64::from(code) / 65_535.0)).collect();
    if light.iter().all(|l| l.is_finite()) {
        Ok(light)
    } else {
        Err("a colour profile of an impossible curve".to_owned())
    }
}

/// curveType and parametricCurveType (ICC.1:2010, 10.5 and 10.15).
fn value(curve: &ToneReprCurve, x: f64) -> f64 {
    match curve {
        ToneReprCurve::Lut(table) => match table[..] {
            [] => x,
            [gamma] => pow(x, f64::from(gamma) / 256.0),
            _ => {
                let place = x * (table.len() - 1) as f64;
                let first = (place as usize).min(table.len() - 2);
                let (a, b) = (f64::from(table[first]), f64::from(table[first + 1]));
                (a + (b - a) * (place - first as f64)) / 65_535.0
            }
        },
        ToneReprCurve::Parametric(numbers) => {
            let n = |i: usize| numbers.get(i).map_or(0.0, |&n| f64::from(n));
            let power = |base: f64| pow(base.max(0.0), n(0));
            let bent = n(1) * x + n(2);
            let y = match numbers.len() {
                0 => x,
                1 => power(x),
                3 | 4 => power(if bent >= 0.0 { bent } else { 0.0 }) + n(3),
                _ if x >= n(4) => power(bent) + n(5),
                _ => n(3) * x + n(6),
            };
            y.clamp(0.0, 1.0)
        }
    }
}
