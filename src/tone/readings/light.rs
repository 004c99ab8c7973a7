//! What an instrument states, as light; and the way from a ground to a solid, on which a tint has its place.
//!
//! L*a*b* are turned back to X, Y, Z by the inverse of CIE 15: f(t) = t^(1/3) above (6/29)³ = 216/24389, else
//! (24389/27 t + 16)/116. Only ratios of differences are used in a channel, so its unit does not matter, and the white only where
//! X, Y, Z meet the spot-colour form or two channels are compared.

use crate::error::{Error, Result};
use crate::tone::density;
use crate::tone::readings::{Direction, Form, Scale};

/// X, Y, Z of D50 at 2°, as ISO 13655 takes it for graphic arts.
pub(super) const D50: [f64; 3] = [96.42, 100.0, 82.49];

/// Least contrast in a channel, in light of 0…1.
const LEAST_LIGHT: f64 = 0.02;

/// Least contrast of the spot-colour form: 5 units of L* between greys, which differ in all three lightnesses alike (√3 × 5).
const LEAST_SPOT: f64 = 8.66;

/// Refuses values that no instrument states.
pub(super) fn check(scale: Scale, values: &[f64]) -> Result<()> {
    let range = |name, value: f64, low: f64, high: f64| {
        if (low..=high).contains(&value) {
            Ok(())
        } else {
            Err(Error::value(name, value, format!("{low} to {high}")))
        }
    };
    values.iter().enumerate().try_for_each(|(i, &value)| match (scale, i) {
        (Scale::Density, _) => range("density", value, -10.0, 10.0),
        (Scale::Reflectance, _) => range("reflectance", value, 0.0, 2.0),
        (Scale::Xyz, _) => range("X, Y or Z", value, 0.0, 200.0),
        (Scale::Lab, 0) => range("L*", value, 0.0, 150.0),
        (Scale::Lab, _) => range("a* or b*", value, -300.0, 300.0),
    })
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Light {
    /// Light in each channel, about 0…1.
    channels: Vec<f64>,
    /// (L* + 1.16 a*, L*, L* − 0.58 b*), where the scale has them: 116 f(V/V_white) − 16 for X, Y, Z.
    lightness: Option<[f64; 3]>,
}

impl Light {
    pub(super) fn of(scale: Scale, values: &[f64], white: [f64; 3]) -> Self {
        match (scale, values) {
            (Scale::Density, _) => {
                Self { channels: values.iter().map(|&d| density::light(d)).collect(), lightness: None }
            }
            (Scale::Xyz, &[x, y, z]) => {
                let part = |v: f64, i: usize| 116.0 * root(v / white[i]) - 16.0;
                Self {
                    channels: [x, y, z].map(|v| v / 100.0).to_vec(),
                    lightness: Some([part(x, 0), part(y, 1), part(z, 2)]),
                }
            }
            (Scale::Lab, &[l, a, b]) => {
                let lightness = [l + 1.16 * a, l, l - 0.58 * b];
                let light = |i: usize| (white[i] / 100.0 * cube((lightness[i] + 16.0) / 116.0)).max(0.0);
                Self { channels: (0..3).map(light).collect(), lightness: Some(lightness) }
            }
            _ => Self { channels: values.to_vec(), lightness: None },
        }
    }

    /// The mean of readings; none of none.
    pub(super) fn mean(readings: &[&Self]) -> Option<Self> {
        let first = readings.first()?;
        let count = readings.len() as f64;
        let channels =
            (0..first.channels.len()).map(|c| readings.iter().map(|r| r.channels[c]).sum::<f64>() / count);
        let lightness = first.lightness.map(|_| {
            [0, 1, 2].map(|i| readings.iter().filter_map(|r| r.lightness).map(|v| v[i]).sum::<f64>() / count)
        });
        Some(Self { channels: channels.collect(), lightness })
    }
}

/// f(t) of CIE 15.
fn root(t: f64) -> f64 {
    if t > 216.0 / 24_389.0 { libm::cbrt(t) } else { (24_389.0 / 27.0 * t + 16.0) / 116.0 }
}

/// Its inverse.
fn cube(f: f64) -> f64 {
    if f > 6.0 / 29.0 { f * f * f } else { (116.0 * f - 16.0) * 27.0 / 24_389.0 }
}

/// The way from a ground to a solid.
pub(super) enum Way {
    /// In one channel: where it begins and how far it goes, in P^(1/n); and in light.
    Channel { channel: usize, n: density::YuleNielsen, from: f64, step: f64, light: f64 },
    /// In lightness.
    Spot { from: [f64; 3], step: [f64; 3], square: f64 },
}

impl Way {
    pub(super) fn between(ground: &Light, solid: &Light, form: Form, channel: Option<usize>) -> Result<Self> {
        let little = |got: f64, unit: &str, least: f64| {
            Error::data(
                "wedge",
                format!(
                    "too little contrast: solid and ground differ by {got:.4} {unit}; at least {least} is needed"
                ),
            )
        };
        let n = match (form, ground.lightness, solid.lightness) {
            (Form::Channel(n), ..) => n,
            (Form::Spot, Some(from), Some(to)) => {
                let step = [0, 1, 2].map(|i| to[i] - from[i]);
                let square: f64 = step.iter().map(|s| s * s).sum();
                if libm::sqrt(square) < LEAST_SPOT {
                    return Err(little(libm::sqrt(square), "units of lightness", LEAST_SPOT));
                }
                return Ok(Self::Spot { from, step, square });
            }
            (Form::Spot, ..) => {
                return Err(Error::value("scale of the spot-colour form", "density", "Xyz or Lab"));
            }
        };
        let count = ground.channels.len();
        let light = |c: usize| solid.channels[c] - ground.channels[c];
        let channel = match channel {
            Some(channel) if channel < count => channel,
            Some(channel) => return Err(Error::value("channel", channel, format!("0 to {}", count - 1))),
            None => (0..count).max_by(|&a, &b| light(a).abs().total_cmp(&light(b).abs())).unwrap_or(0),
        };
        let light = light(channel);
        if light.abs() < LEAST_LIGHT {
            return Err(little(light.abs(), "of white light", LEAST_LIGHT));
        }
        let from = n.root(ground.channels[channel]);
        Ok(Self::Channel { channel, n, from, step: n.root(solid.channels[channel]) - from, light })
    }

    /// The place of a reading: 0 at the ground, 1 at the solid.
    pub(super) fn coverage(&self, reading: &Light) -> f64 {
        match self {
            Self::Channel { channel, n, from, step, .. } => {
                (n.root(reading.channels[*channel]) - from) / step
            }
            Self::Spot { from, step, square } => {
                let v = reading.lightness.unwrap_or(*from);
                let off = [0, 1, 2].map(|i| v[i] - from[i]);
                let along: f64 = (0..3).map(|i| off[i] * step[i]).sum();
                let far = libm::sqrt(off.iter().map(|o| o * o).sum::<f64>() / square);
                if along < 0.0 { -far } else { far }
            }
        }
    }

    pub(super) fn channel(&self) -> Option<usize> {
        match self {
            Self::Channel { channel, .. } => Some(*channel),
            Self::Spot { .. } => None,
        }
    }

    pub(super) fn contrast(&self) -> f64 {
        match self {
            Self::Channel { light, .. } => light.abs(),
            Self::Spot { square, .. } => libm::sqrt(*square),
        }
    }

    pub(super) fn direction(&self) -> Direction {
        let lighter = match self {
            Self::Channel { light, .. } => *light > 0.0,
            Self::Spot { step, .. } => step[1] > 0.0,
        };
        if lighter { Direction::Lighter } else { Direction::Darker }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lab_and_xyz_are_the_same_light() {
        let xyz = [23.5, 17.25, 0.4];
        let from_xyz = Light::of(Scale::Xyz, &xyz, D50);
        let [x, y, z] = from_xyz.lightness.unwrap();
        let from_lab = Light::of(Scale::Lab, &[y, (x - y) / 1.16, (y - z) / 0.58], D50);
        for (a, b) in from_lab.channels.iter().zip(&from_xyz.channels) {
            assert!((a - b).abs() < 1e-12);
        }
    }
}
