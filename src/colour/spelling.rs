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
        let space = space.trim();
        // X Y Z of 0 to 150 are parts of 1 here; L, a, b are what they are.
        let read = |n| if space == "xyz" { hundredth(n) } else { n.parse().ok() };
        let whole = if space == "xyz" { 100.0 } else { 1.0 };
        let mut numbers = inside.split([' ', ',']).filter(|n| !n.is_empty()).map(read);
        let mut number = |from: f64, to: f64| match numbers.next() {
            Some(Some(n)) if (from / whole..=to / whole).contains(&n) => Ok(n),
            _ => Err(bad()),
        };
        let colour = match space {
            "lab" => {
                let (l, a, b) = (number(0.0, 100.0)?, number(-200.0, 200.0)?, number(-200.0, 200.0)?);
                Lab { l, a, b }.to_xyz()
            }
            "xyz" => Self([number(0.0, 150.0)?, number(0.0, 150.0)?, number(0.0, 150.0)?]),
            _ => return Err(bad()),
        };
        if numbers.next().is_some() { Err(bad()) } else { Ok(colour) }
    }
}

impl fmt::Display for Xyz {
    /// The shortest of the three spellings that reads back as the very same numbers: a code, L\*a\*b\* of few decimals, or X Y Z with
    /// all digits.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [r, g, b] = self.to_linear().to_srgb::<u8>();
        let Lab { l, a, b: blue } = self.to_lab();
        // A zero without its sign.
        let lab = |by: f64| [l, a, blue].map(|v| (v * by).round() / by + 0.0);
        let short = [1.0, 10.0, 100.0, 1000.0].map(|by| {
            let [l, a, b] = lab(by);
            format!("lab({l} {a} {b})")
        });
        let spellings = std::iter::once(format!("#{r:02x}{g:02x}{b:02x}")).chain(short);
        let exact = spellings.into_iter().find(|text| text.parse::<Self>().is_ok_and(|read| read == *self));
        if let Some(exact) = exact {
            return f.write_str(&exact);
        }
        let [x, y, z] = self.0.map(hundredfold);
        write!(f, "xyz({x} {y} {z})")
    }
}

/// A hundredth of a number in text, rounded once, from the text: what [`hundredfold`] wrote comes back as it was.
pub(crate) fn hundredth(text: &str) -> Option<f64> {
    let text = text.trim();
    let moved = match text.split_once(['e', 'E']) {
        None => format!("{text}e-2"),
        Some((digits, exponent)) => format!("{digits}e{}", exponent.parse::<i32>().ok()?.checked_sub(2)?),
    };
    moved.parse().ok()
}

/// A hundred times a number, in text, to the last digit: its decimal point is moved.
pub(crate) fn hundredfold(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let text = format!("{value:e}");
    let Some((digits, exponent)) = text.split_once('e') else { return text };
    let (sign, digits) = digits.strip_prefix('-').map_or(("", digits), |digits| ("-", digits));
    let digits = digits.replace('.', "");
    let point = exponent.parse::<i64>().unwrap_or(0) + 3;
    let length = digits.len() as i64;
    if !(-20..=40).contains(&point) {
        return format!("{sign}{digits}e{}", point - length);
    }
    match point {
        1.. if point >= length => format!("{sign}{digits}{}", "0".repeat((point - length) as usize)),
        1.. => format!("{sign}{}.{}", &digits[..point as usize], &digits[point as usize..]),
        _ => format!("{sign}0.{}{digits}", "0".repeat(-point as usize)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::spaces::White;
    use proptest::prelude::*;

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
    }

    proptest! {
        #[test]
        fn what_is_written_reads_back_bit_for_bit(xyz in prop::array::uniform3(0.0..1.5f64), tiny in 1e-30..1e-3f64) {
            for colour in [Xyz(xyz), Xyz([xyz[0] * tiny, xyz[1], 0.0])] {
                prop_assert_eq!(colour.to_string().parse::<Xyz>().unwrap(), colour);
            }
            for value in [xyz[0], -tiny, 1e9 / tiny, 0.0] {
                prop_assert_eq!(hundredth(&hundredfold(value)), Some(value));
            }
        }
    }

    #[test]
    fn the_shortest_spelling_is_written() {
        for text in ["#12ab00", "lab(33.3 44.4 -55.5)", "lab(15 0.2 0.35)", "xyz(52.1 50.9 12.3)"] {
            assert_eq!(text.parse::<Xyz>().unwrap().to_string(), text);
        }
        let written = [0.5, 1.0, 0.07, 0.0000012, 12.345, 0.0].map(hundredfold);
        assert_eq!(written, ["50", "100", "7", "0.00012", "1234.5", "0"]);
        assert_eq!(
            [hundredth("5"), hundredth("2.5e1"), hundredth("x"), hundredth("inf")],
            [Some(0.05), Some(0.25), None, None]
        );
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
