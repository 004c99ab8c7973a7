//! A colour as a person writes it.
//!
//! Three spellings, of what people have at hand: `#e8b04a`, sRGB as a picture editor shows it; `lab(76.2 12 60)`, L\*a\*b\*
//! under D50 as an instrument for print shows it (both as in CSS Color 4); and `xyz(52.1 50.9 12.3)`, X Y Z under D50 with Y
//! = 100 for the perfect white, as in tables of measured data. Commas between numbers are taken too. Rejected: colour names,
//! which every list has otherwise.

use std::fmt;
use std::str::FromStr;

use crate::colour::spaces::{Lab, LinearRgb, Xyz};
use crate::error::{Error, Result};

const ALLOWED: &str = "#rrggbb (sRGB), lab(L a b) with L of 0 to 100, a and b of -200 to 200, or xyz(X Y Z) of 0 to 150, all under D50";

impl FromStr for Xyz {
    type Err = Error;

    /// `#e8b04a`, `lab(76.2 12 60)` or `xyz(52.1 50.9 12.3)`.
    fn from_str(text: &str) -> Result<Self> {
        // Not a whole file, should one be taken for a colour.
        let bad = || Error::value("colour", text.chars().take(60).collect::<String>(), ALLOWED);
        let spelled = text.trim();
        if let Some(code) = spelled.strip_prefix('#') {
            if code.len() != 6 || !code.bytes().all(|c| c.is_ascii_hexdigit()) {
                return Err(bad());
            }
            let code = u32::from_str_radix(code, 16).map_err(|_| bad())?;
            let [_, r, g, b] = code.to_be_bytes();
            return Ok(LinearRgb::from_srgb([r, g, b]).to_xyz());
        }
        let (space, rest) = spelled.split_once('(').ok_or_else(bad)?;
        let inside = rest.strip_suffix(')').ok_or_else(bad)?;
        let mut numbers = inside.split([' ', ',']).filter(|n| !n.is_empty()).map(str::parse::<f64>);
        let mut number = |from: f64, to: f64| match numbers.next() {
            Some(Ok(n)) if (from..=to).contains(&n) => Ok(n),
            _ => Err(bad()),
        };
        let colour = match space.trim() {
            "lab" => {
                let (l, a, b) = (number(0.0, 100.0)?, number(-200.0, 200.0)?, number(-200.0, 200.0)?);
                Lab { l, a, b }.to_xyz()
            }
            "xyz" => Self([number(0.0, 150.0)?, number(0.0, 150.0)?, number(0.0, 150.0)?].map(|v| v / 100.0)),
            _ => return Err(bad()),
        };
        if numbers.next().is_some() { Err(bad()) } else { Ok(colour) }
    }
}

impl fmt::Display for Xyz {
    /// `xyz(52.1 50.9 12.3)`, with as many digits as bring it back.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [x, y, z] = self.0.map(|v| v * 100.0);
        write!(f, "xyz({x} {y} {z})")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::spaces::White;

    #[test]
    fn colours_are_read_as_people_write_them() {
        let read = |text: &str| text.parse::<Xyz>().unwrap();
        let lab = read("lab(50, -20.5 30)").to_lab();
        assert!((lab.l - 50.0).abs() + (lab.a + 20.5).abs() + (lab.b - 30.0).abs() < 1e-9);
        assert_eq!(
            read(" xyz(96.42 100 82.49) ").0.map(|v| (v * 1e4).round()),
            White::D50.xyz().map(|v| v * 1e4)
        );
        assert_eq!(read("#1a2B3c").to_linear().to_srgb::<u8>(), [0x1a, 0x2b, 0x3c]);
        let again = read(&read("lab(33.3 44.4 -55.5)").to_string());
        assert!(again.0.iter().zip(read("lab(33.3 44.4 -55.5)").0).all(|(a, b)| (a - b).abs() < 1e-15));
    }

    #[test]
    fn what_is_no_colour_is_refused() {
        for bad in [
            "",
            "#",
            "#fff",
            "#12345g",
            "#1234567",
            "#+12345",
            "lab(50 0)",
            "lab(50 0 0 0)",
            "lab(101 0 0)",
            "lab(50 0 NaN)",
            "lab(50 0 inf)",
            "xyz(1 2 3",
            "xyz(-1 2 3)",
            "rgb(1 2 3)",
            "red",
            "#é12345",
            "lab()",
        ] {
            let message = bad.parse::<Xyz>().unwrap_err().to_string();
            assert!(message.contains("colour is") && message.contains("#rrggbb"), "{message}");
        }
    }
}
