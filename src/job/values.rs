//! Small values of a job file that are spelled nowhere else: percent, yes or no, sRGB codes, whole numbers.

use std::fmt;
use std::str::FromStr;

use crate::colour::Xyz;
use crate::colour::spelling::{hundredfold, hundredth};
use crate::error::{Error, Result};

/// A part of 1, written in percent: `12.5` is 0.125, exactly as the text says.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub(super) struct Percent(pub f64);

impl FromStr for Percent {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let number = text.trim().trim_end_matches('%').trim_end();
        let part = hundredth(number).filter(|part| part.is_finite());
        part.map(Self).ok_or_else(|| Error::value("percent", text, "a number such as 12.5"))
    }
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hundredfold(self.0))
    }
}

/// `true` or `false`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Yes(pub bool);

impl FromStr for Yes {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        text.parse().map(Self).map_err(|_| Error::value("this", text, "true or false"))
    }
}

/// A finite number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Number(pub f64);

impl FromStr for Number {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let number = text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
        number.map(Self).ok_or_else(|| Error::value("this", text, "a number"))
    }
}

/// A whole number from 0 on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Count(pub usize);

impl FromStr for Count {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        text.trim().parse().map(Self).map_err(|_| Error::value("this", text, "a whole number from 0 on"))
    }
}

/// A colour of the art: sRGB codes, `#rrggbb`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Codes(pub [u8; 3]);

impl FromStr for Codes {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        // Only a code: what is spelled otherwise need not be one.
        let colour = text.trim().starts_with('#').then(|| text.parse::<Xyz>().ok()).flatten();
        let colour = colour.ok_or_else(|| Error::value("colour of art", text, "#rrggbb (sRGB)"))?;
        Ok(Self(colour.to_linear().to_srgb()))
    }
}

impl fmt::Display for Codes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [r, g, b] = self.0;
        write!(f, "#{r:02x}{g:02x}{b:02x}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percents_and_codes_come_back_as_they_were() {
        for (text, part) in [("12.5", 0.125), ("7 %", 0.07), ("100", 1.0), ("-3", -0.03)] {
            assert_eq!(text.parse::<Percent>().unwrap().0, part);
            assert_eq!(Percent(part).to_string().parse::<Percent>().unwrap().0, part);
        }
        for code in ["#000000", "#0a80ff", "#ffffff"] {
            assert_eq!(code.parse::<Codes>().unwrap().to_string(), code);
        }
        assert!("lab(50 0 0)".parse::<Codes>().is_err() && "nan".parse::<Percent>().is_err());
        assert!("inf".parse::<Number>().is_err() && "-1".parse::<Count>().is_err());
    }
}
