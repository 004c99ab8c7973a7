//! The kinds of readings: what the instrument states, by which form it becomes coverage, what was printed on and how.

use std::str::FromStr;

use crate::error::{Error, Result};
use crate::tone::density::YuleNielsen;

/// What an instrument states.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// Reflection or transmission densities, −10…10, one for each filter. May be zeroed anywhere.
    Density,
    /// Reflectances or transmittances, 0…2 (1 is the white reference), one for each filter or wavelength.
    Reflectance,
    /// X, Y, Z with Y = 100 for a perfect white: 0…200.
    Xyz,
    /// L* (0…150), a*, b* (±300).
    Lab,
}

impl FromStr for Scale {
    type Err = Error;

    /// `density`, `reflectance`, `xyz` or `lab`.
    fn from_str(text: &str) -> Result<Self> {
        match text {
            "density" => Ok(Self::Density),
            "reflectance" => Ok(Self::Reflectance),
            "xyz" => Ok(Self::Xyz),
            "lab" => Ok(Self::Lab),
            _ => Err(Error::value("scale", text, "density, reflectance, xyz or lab")),
        }
    }
}

/// How light becomes coverage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// a = (P₀^(1/n) − P^(1/n)) / (P₀^(1/n) − P_s^(1/n)) in one channel. n = 1 is Murray–Davies, and on X, Y, Z the colorimetric
    /// tone value of ISO 12647-1 (from memory that it is the definition of the 2013 edition; the form itself as in the national
    /// term bank iss.rs, 32261). L*a*b* are turned into X, Y, Z.
    Channel(YuleNielsen),
    /// a = |V − V₀| / |V_s − V₀| with V = (L* + 1.16 a*, L*, L* − 0.58 b*), from X, Y, Z or L*a*b*: ISO 20654:2017, from memory.
    /// A tint on the far side of the ground counts as negative.
    Spot,
}

impl Default for Form {
    fn default() -> Self {
        Self::Channel(YuleNielsen::default())
    }
}

impl FromStr for Form {
    type Err = Error;

    /// `murray-davies`, `yule-nielsen:1.7` or `spot`.
    fn from_str(text: &str) -> Result<Self> {
        const ALLOWED: &str = "murray-davies, yule-nielsen:N with N of 1 to 1000, or spot";
        let bad = || Error::value("form", text, ALLOWED);
        match (text, text.strip_prefix("yule-nielsen:")) {
            ("murray-davies", _) => Ok(Self::default()),
            ("spot", _) => Ok(Self::Spot),
            (_, Some(n)) => {
                let n = n.parse().map_err(|_| bad())?;
                YuleNielsen::new(n).map(Self::Channel).map_err(|_| bad())
            }
            _ => Err(bad()),
        }
    }
}

/// What the wedge is printed on. Only told: the ground is taken as it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[non_exhaustive]
pub enum On {
    /// Not said.
    #[default]
    Unsaid,
    /// The bare cloth, paper or film.
    Bare,
    /// An underbase.
    Underbase,
}

/// In which state the print was measured. Only told: wet ink reads denser, and one wedge must be all of one state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[non_exhaustive]
pub enum State {
    /// Not said.
    #[default]
    Unsaid,
    /// Wet.
    Wet,
    /// Flash-dried.
    FlashDried,
    /// Cured.
    Cured,
}

/// Which way the ink goes from its ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Darker than its ground.
    Darker,
    /// Lighter than its ground.
    Lighter,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_read_and_refused() {
        assert_eq!("lab".parse::<Scale>().unwrap(), Scale::Lab);
        assert_eq!("spot".parse::<Form>().unwrap(), Form::Spot);
        let n = YuleNielsen::new(1.7).unwrap();
        assert_eq!("yule-nielsen:1.7".parse::<Form>().unwrap(), Form::Channel(n));
        assert_eq!("murray-davies".parse::<Form>().unwrap(), Form::default());
        for bad in ["", "Lab", "yule-nielsen", "yule-nielsen:", "yule-nielsen:0.5", "yule-nielsen:NaN"] {
            assert!(bad.parse::<Form>().is_err() && bad.parse::<Scale>().is_err(), "{bad}");
        }
    }
}
