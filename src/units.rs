//! Resolution, line count, angle and length: the ranges live in these types, so nothing downstream checks again.
//!
//! Guarantees: a [`Resolution`] is 1…100 000 px/inch in x and in y; a [`LineCount`] is 0.1…10 000 lines/inch;
//! an [`Angle`] and a [`Length`] are finite. Every type is spelled in text as a person would write it
//! (`720x1440`, `18/cm`, `22.5`, `0.3mm`) and parsed from the same.
//!
//! 1 inch = 25.4 mm exactly (international yard and pound agreement of 1959), so lines/inch = 2.54 × lines/cm.

use std::fmt;
use std::str::FromStr;

use crate::error::{Error, Result};

/// Centimetres in an inch.
const CM_PER_INCH: f64 = 2.54;

/// Device pixels in a given length, which may differ in x and y.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolution {
    x: f64,
    y: f64,
}

impl Resolution {
    const ALLOWED: &str = "1 to 100000 px/inch, such as 1200, 720x1440 or 480/cm";

    /// The same number of pixels per inch in x and y.
    pub fn per_inch(pixels: f64) -> Result<Self> {
        Self::per_inch_xy(pixels, pixels)
    }

    /// Pixels per inch in x and in y: 1…100 000 each.
    pub fn per_inch_xy(x: f64, y: f64) -> Result<Self> {
        if [x, y].iter().all(|r| (1.0..=100_000.0).contains(r)) {
            Ok(Self { x, y })
        } else if x == y {
            Err(Error::value("resolution", x, Self::ALLOWED))
        } else {
            Err(Error::value("resolution", format!("{x}x{y}"), Self::ALLOWED))
        }
    }

    /// Pixels per centimetre in x and in y.
    pub fn per_cm_xy(x: f64, y: f64) -> Result<Self> {
        Self::per_inch_xy(x * CM_PER_INCH, y * CM_PER_INCH)
    }

    /// Whole pixels per metre, as PNG files state them (ISO/IEC 15948, pHYs).
    ///
    /// A whole number per metre cannot hold most resolutions per inch: 300 px/inch is stored as 11811. Where the stored
    /// number is what a whole number of pixels per inch rounds to, that number is meant and returned.
    pub fn per_metre_xy(x: u32, y: u32) -> Result<Self> {
        let meant = |per_metre: u32| {
            let exact = f64::from(per_metre) * 0.0254;
            let whole = exact.round();
            if (whole / 0.0254).round() == f64::from(per_metre) { whole } else { exact }
        };
        Self::per_inch_xy(meant(x), meant(y))
    }

    /// Pixels per inch along x.
    pub fn x(self) -> f64 {
        self.x
    }

    /// Pixels per inch along y.
    pub fn y(self) -> f64 {
        self.y
    }

    /// The nearest whole pixels per metre, in x and y, as PNG files state them.
    pub fn to_per_metre(self) -> (u32, u32) {
        let whole = |r: f64| (r / 0.0254).round() as u32;
        (whole(self.x), whole(self.y))
    }
}

impl fmt::Display for Resolution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.x == self.y {
            write!(f, "{} px/inch", short(self.x))
        } else {
            write!(f, "{} x {} px/inch", short(self.x), short(self.y))
        }
    }
}

impl FromStr for Resolution {
    type Err = Error;

    /// `1200`, `720x1440`, `480/cm`, `1200/in`.
    fn from_str(text: &str) -> Result<Self> {
        let bad = || Error::value("resolution", text, Self::ALLOWED);
        let (number, per_inch) = per_length(text);
        let (x, y) = number.split_once(['x', '×']).unwrap_or((number, number));
        let parse = |s: &str| s.trim().parse::<f64>().map_err(|_| bad());
        Self::per_inch_xy(parse(x)? * per_inch, parse(y)? * per_inch).map_err(|_| bad())
    }
}

/// Screen lines in a given length.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct LineCount(f64);

impl LineCount {
    const ALLOWED: &str = "0.1 to 10000 lines/inch, such as 45 or 18/cm";

    /// Lines per inch: 0.1…10 000.
    pub fn per_inch(lines: f64) -> Result<Self> {
        if (0.1..=10_000.0).contains(&lines) {
            Ok(Self(lines))
        } else {
            Err(Error::value("line count", lines, Self::ALLOWED))
        }
    }

    /// Lines per centimetre.
    pub fn per_cm(lines: f64) -> Result<Self> {
        Self::per_inch(lines * CM_PER_INCH)
    }

    /// Lines per inch.
    pub fn to_per_inch(self) -> f64 {
        self.0
    }

    /// Lines per centimetre.
    pub fn to_per_cm(self) -> f64 {
        self.0 / CM_PER_INCH
    }

    /// The length of one period of the screen.
    pub fn period(self) -> Length {
        Length(25_400.0 / self.0)
    }
}

impl fmt::Display for LineCount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} lines/inch", short(self.0))
    }
}

impl FromStr for LineCount {
    type Err = Error;

    /// `45`, `45/in`, `18/cm`.
    fn from_str(text: &str) -> Result<Self> {
        let bad = || Error::value("line count", text, Self::ALLOWED);
        let (number, per_inch) = per_length(text);
        let lines: f64 = number.trim().parse().map_err(|_| bad())?;
        Self::per_inch(lines * per_inch).map_err(|_| bad())
    }
}

/// An angle in degrees, counter-clockwise from the x axis as one looks at the readable film. Any finite value.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Angle(f64);

impl Angle {
    /// Degrees, counter-clockwise.
    pub fn degrees(degrees: f64) -> Result<Self> {
        if degrees.is_finite() {
            Ok(Self(degrees))
        } else {
            Err(Error::value("angle", degrees, "any finite number of degrees"))
        }
    }

    /// The angle in degrees, as given.
    pub fn to_degrees(self) -> f64 {
        self.0
    }

    /// Its cosine and sine, exact at whole quarter turns, the same on every processor.
    pub(crate) fn cos_sin(self) -> (f64, f64) {
        // Both steps are exact, whatever the size of the angle: the nearest quarter leaves at most 45° either way.
        let turned = self.0 % 360.0;
        let quarter = libm::floor(turned / 90.0 + 0.5);
        let rest = turned - 90.0 * quarter;
        let radians = rest * (std::f64::consts::PI / 180.0);
        let (c, s) = (libm::cos(radians), libm::sin(radians));
        match (quarter as i64).rem_euclid(4) {
            0 => (c, s),
            1 => (-s, c),
            2 => (-c, -s),
            _ => (s, -c),
        }
    }
}

impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}°", short(self.0))
    }
}

impl FromStr for Angle {
    type Err = Error;

    /// `22.5`, `-45`, `22.5°`.
    fn from_str(text: &str) -> Result<Self> {
        let number = text.trim().trim_end_matches('°');
        let bad = || Error::value("angle", text, "any finite number of degrees, such as 22.5");
        Self::degrees(number.parse().map_err(|_| bad())?).map_err(|_| bad())
    }
}

/// A length on the film or the print. Any finite value.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Length(f64);

impl Length {
    /// Micrometres.
    pub fn um(micrometres: f64) -> Result<Self> {
        if micrometres.is_finite() {
            Ok(Self(micrometres))
        } else {
            Err(Error::value("length", micrometres, "any finite length"))
        }
    }

    /// Millimetres.
    pub fn mm(millimetres: f64) -> Result<Self> {
        Self::um(millimetres * 1000.0)
    }

    /// Inches.
    pub fn inches(inches: f64) -> Result<Self> {
        Self::um(inches * 25_400.0)
    }

    /// The length in micrometres.
    pub fn to_um(self) -> f64 {
        self.0
    }

    /// The length in millimetres.
    pub fn to_mm(self) -> f64 {
        self.0 / 1000.0
    }

    /// The length in inches.
    pub fn to_inches(self) -> f64 {
        self.0 / 25_400.0
    }

    /// The length in device pixels along x and along y.
    pub fn in_pixels(self, resolution: Resolution) -> (f64, f64) {
        let inches = self.to_inches();
        (inches * resolution.x, inches * resolution.y)
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0.abs() < 1000.0 {
            write!(f, "{} µm", short(self.0))
        } else {
            write!(f, "{} mm", short(self.0 / 1000.0))
        }
    }
}

impl FromStr for Length {
    type Err = Error;

    /// `50um`, `50µm`, `0.3mm`, `1.5cm`, `12in`.
    fn from_str(text: &str) -> Result<Self> {
        let bad = || Error::value("length", text, "a number with its unit: 50um, 0.3mm, 1.5cm or 12in");
        let text = text.trim();
        let units = [("um", 1.0), ("µm", 1.0), ("mm", 1000.0), ("cm", 10_000.0), ("in", 25_400.0)];
        let (number, um) =
            units.iter().find_map(|&(unit, um)| Some((text.strip_suffix(unit)?, um))).ok_or_else(bad)?;
        let number: f64 = number.trim().parse().map_err(|_| bad())?;
        Self::um(number * um).map_err(|_| bad())
    }
}

/// Splits `18/cm` into its number and the factor that makes it per inch.
fn per_length(text: &str) -> (&str, f64) {
    let text = text.trim();
    if let Some(number) = text.strip_suffix("/cm") {
        (number, CM_PER_INCH)
    } else {
        (text.strip_suffix("/in").unwrap_or(text), 1.0)
    }
}

/// A number with at most four decimals and no trailing zeros.
fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn per_cm_is_2_54_times_per_inch() {
        // ISO 12647-9:2021, 4.2.2: lines/inch = 2.54 × lines/cm.
        assert_relative_eq!(LineCount::per_cm(18.0).unwrap().to_per_inch(), 45.72);
        assert_relative_eq!("80/cm".parse::<LineCount>().unwrap().to_per_inch(), 203.2);
        assert_relative_eq!("1000/cm".parse::<Resolution>().unwrap().x(), 2540.0);
        assert_relative_eq!(LineCount::per_inch(25.4).unwrap().period().to_mm(), 1.0);
    }

    #[test]
    fn whole_pixels_per_inch_survive_a_png() {
        for inch in [72, 150, 300, 360, 720, 1200, 1440, 2400, 2540, 2880] {
            let resolution = Resolution::per_inch(f64::from(inch)).unwrap();
            let (x, y) = resolution.to_per_metre();
            assert_eq!(Resolution::per_metre_xy(x, y).unwrap(), resolution);
        }
        assert_relative_eq!(Resolution::per_metre_xy(11_815, 11_815).unwrap().x(), 300.101);
    }

    #[test]
    fn text_is_read_as_a_person_writes_it() {
        let resolution: Resolution = "720x1440".parse().unwrap();
        assert_eq!((resolution.x(), resolution.y()), (720.0, 1440.0));
        assert_eq!("-45°".parse::<Angle>().unwrap().to_degrees(), -45.0);
        assert_eq!("0.3 mm".parse::<Length>().unwrap().to_um(), 300.0);
        for bad in ["", "x", "0", "-5", "1e9", "NaN", "inf", "12/mm"] {
            assert!(bad.parse::<LineCount>().is_err(), "{bad}");
            assert!(bad.parse::<Resolution>().is_err(), "{bad}");
        }
        assert!("inf".parse::<Angle>().is_err() && "5".parse::<Length>().is_err());
    }

    #[test]
    fn quarter_turns_are_exact() {
        for (degrees, expected) in [
            (0.0, (1.0, 0.0)),
            (90.0, (0.0, 1.0)),
            (-90.0, (0.0, -1.0)),
            (540.0, (-1.0, 0.0)),
            (360.0 * 1e12, (1.0, 0.0)),
        ] {
            assert_eq!(Angle::degrees(degrees).unwrap().cos_sin(), expected, "{degrees}");
        }
    }
}
