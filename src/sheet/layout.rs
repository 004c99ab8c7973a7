//! What a sheet is to be: the layout that all sheets of a job share, and what each says of its film.

use std::str::FromStr;

use crate::error::{Error, Result};
use crate::lettering::Lettering;
use crate::units::Length;

/// Longest text of a label, in characters.
const MAX_TEXT: usize = 1000;

/// How a sheet looks with its ink side towards you.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Reading {
    /// As the print will.
    #[default]
    Right,
    /// Left for right.
    Mirrored,
}

/// What is opaque.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Polarity {
    /// What prints.
    #[default]
    Positive,
    /// What does not print, the margin included.
    Negative,
}

impl FromStr for Reading {
    type Err = Error;

    /// `right` or `mirrored`.
    fn from_str(text: &str) -> Result<Self> {
        match text.trim() {
            "right" => Ok(Self::Right),
            "mirrored" => Ok(Self::Mirrored),
            _ => Err(Error::value("reading of a sheet", text, "right or mirrored")),
        }
    }
}

impl FromStr for Polarity {
    type Err = Error;

    /// `positive` or `negative`.
    fn from_str(text: &str) -> Result<Self> {
        match text.trim() {
            "positive" => Ok(Self::Positive),
            "negative" => Ok(Self::Negative),
            _ => Err(Error::value("polarity of a sheet", text, "positive or negative")),
        }
    }
}

/// What all sheets of a job share.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// From the film to the sheet's edge, all around: 14 mm. At least the mark, at most 500 mm.
    pub margin: Length,
    /// Across a register mark: 9 mm. 3…50 mm.
    pub mark: Length,
    /// Weight of a mark's lines: 0.125 mm, a third of a point. Above 0, at most an eighth of the mark; drawn in whole pixels, at least
    /// one.
    pub line: Length,
    /// Height of the label's letters: 2 mm. 1…20 mm. The ink's name is twice as high.
    pub letters: Length,
    /// Side of a wedge's patch: 8 mm. 2…50 mm, and wide enough for its label.
    pub patch: Length,
    /// Tones of the wedge's patches, 0…1; none for no wedge.
    pub wedge: Vec<f64>,
    /// Right-reading or mirrored, seen with the ink side towards you.
    pub reading: Reading,
    /// Positive or negative.
    pub polarity: Polarity,
}

impl Default for Layout {
    fn default() -> Self {
        let mm = |mm| Length::mm(mm).unwrap_or_default();
        Self {
            margin: mm(14.0),
            mark: mm(9.0),
            line: mm(0.125),
            letters: mm(2.0),
            patch: mm(8.0),
            wedge: vec![0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 1.0],
            reading: Reading::Right,
            polarity: Polarity::Positive,
        }
    }
}

/// What a sheet says of its film, beside what follows from film and screen. Texts that are too long for their place are shortened with
/// …; each may have 1000 characters.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Labels {
    /// The ink. Must be there.
    pub ink: String,
    /// Its place in the printing order, counted from 1, and the number of inks.
    pub order: [usize; 2],
    /// The job; may be empty.
    pub job: String,
    /// The date, as it is to be read; may be empty. No clock is looked at.
    pub date: String,
}

impl Layout {
    pub(crate) fn check(&self) -> Result<()> {
        let within = |name, length: Length, least: f64, most: f64| {
            let mm = length.to_mm();
            if (least..=most).contains(&mm) && mm > 0.0 {
                return Ok(());
            }
            let from = if least > 0.0 { format!("{least}") } else { "above 0".to_owned() };
            Err(Error::value(name, length, format!("{from} to {most} mm")))
        };
        within("register mark", self.mark, 3.0, 50.0)?;
        within("line of a register mark", self.line, 0.0, self.mark.to_mm() / 8.0)?;
        within("sheet margin", self.margin, self.mark.to_mm(), 500.0)?;
        within("label height", self.letters, 1.0, 20.0)?;
        if !self.wedge.is_empty() {
            within("wedge patch", self.patch, 2.0, 50.0)?;
        }
        Ok(())
    }

    /// Letters of so many times the label's height.
    pub(super) fn lettering(&self, times: f64) -> Result<Lettering> {
        Lettering::new(Length::um(self.letters.to_um() * times)?)
    }
}

impl Labels {
    pub(super) fn check(&self) -> Result<()> {
        if self.ink.trim().is_empty() {
            return Err(Error::value("ink name of a sheet", "empty", "a name"));
        }
        let [place, inks] = self.order;
        if !(1..=inks).contains(&place) {
            return Err(Error::value("order of a sheet", format!("{place} of {inks}"), "1 of 1, 2 of 6 …"));
        }
        for (name, text) in
            [("ink name of a sheet", &self.ink), ("job name of a sheet", &self.job), ("date", &self.date)]
        {
            let length = text.chars().count();
            if length > MAX_TEXT {
                let got = format!("a text of {length} characters");
                return Err(Error::value(name, got, format!("at most {MAX_TEXT}")));
            }
            if text.chars().any(char::is_control) {
                return Err(Error::value(name, format!("{text:?}"), "one line of text"));
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reading_and_polarity_are_spelled_in_words() {
        assert_eq!("mirrored".parse::<Reading>().unwrap(), Reading::Mirrored);
        assert_eq!(" right ".parse::<Reading>().unwrap(), Reading::default());
        assert_eq!("negative".parse::<Polarity>().unwrap(), Polarity::Negative);
        assert_eq!("positive".parse::<Polarity>().unwrap(), Polarity::default());
        assert!("".parse::<Reading>().is_err() && "Negative".parse::<Polarity>().is_err());
    }
}
