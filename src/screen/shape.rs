//! A shape as it is spelled in an option or a job file: growing dots or index dots, each kind that a screen can be made of.

use std::fmt;
use std::str::FromStr;

use crate::error::{Error, Result};
use crate::screen::{Dot, Growth, Request, Screen};
use crate::units::{Angle, LineCount, Resolution};

/// What a screen is made of.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub enum Shape {
    /// Dots that grow.
    Growing(Dot),
    /// Upright index dots of so many film pixels.
    Index(usize),
    /// Upright index dots, so many to the inch.
    IndexPitch(f64),
    /// Index dots that are the cells of the lattice.
    IndexCells,
}

impl Shape {
    /// How a shape is spelled.
    pub const SPELLINGS: &str = "round, euclidean, ellipse (or ellipse:FIRST,SECOND: link-up tones of 0.2 to 0.5 and 0.5 to 0.8), line, diamond, square, \
         index:PIXELS, index:DOTS/in (snapped to whole pixels) or index (a dot for each cell of the screen)";

    /// A request for a screen of this shape. Upright index dots need no line count and no angle.
    pub fn request(&self, resolution: Resolution, lines: LineCount, angle: Angle) -> Request {
        match self {
            Self::Growing(dot) => Screen::cells(resolution, lines, angle, dot.clone()),
            Self::Index(pixels) => Screen::index(resolution, *pixels),
            Self::IndexPitch(dots) => Screen::index_pitch(resolution, *dots),
            Self::IndexCells => Screen::index_cells(resolution, lines, angle),
        }
    }

    /// The dot, if it grows.
    pub fn dot(&self) -> Option<&Dot> {
        match self {
            Self::Growing(dot) => Some(dot),
            _ => None,
        }
    }

    /// Line count and angle of a built screen as a printer counts them: a line screen by its lines, every other by the mean of both
    /// axes. None for upright index dots.
    pub fn built(&self, screen: &Screen) -> Option<(f64, f64)> {
        let lattice = screen.lattice()?;
        Some(match self {
            Self::Growing(Dot::Line) => {
                let across = lattice.second_axis();
                (across.lines, across.degrees - 90.0)
            }
            _ => (lattice.lines_per_inch(), lattice.degrees()),
        })
    }
}

impl FromStr for Shape {
    type Err = Error;

    /// As in [`SPELLINGS`](Self::SPELLINGS).
    fn from_str(text: &str) -> Result<Self> {
        let bad = || Error::value("dot", text, Self::SPELLINGS);
        let text = text.trim();
        match text.strip_prefix("index") {
            Some("") => Ok(Self::IndexCells),
            Some(rest) => {
                let size = rest.strip_prefix(':').ok_or_else(bad)?;
                match size.strip_suffix("/in") {
                    Some(dots) => dots.parse().map(Self::IndexPitch).map_err(|_| bad()),
                    None => size.parse().map(Self::Index).map_err(|_| bad()),
                }
            }
            None => text.parse().map(Self::Growing).map_err(|error: Error| match error {
                Error::Value { name: "dot", .. } => bad(),
                other => other,
            }),
        }
    }
}

impl fmt::Display for Shape {
    /// As it is read; a user's own function has no spelling and is `custom`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Growing(Dot::Round) => f.write_str("round"),
            Self::Growing(Dot::Euclidean) => f.write_str("euclidean"),
            Self::Growing(Dot::Ellipse(links)) => write!(f, "ellipse:{},{}", links.first(), links.second()),
            Self::Growing(Dot::Line) => f.write_str("line"),
            Self::Growing(Dot::Diamond) => f.write_str("diamond"),
            Self::Growing(Dot::Square) => f.write_str("square"),
            Self::Growing(Dot::Custom(_)) => f.write_str("custom"),
            Self::Index(pixels) => write!(f, "index:{pixels}"),
            Self::IndexPitch(dots) => write!(f, "index:{dots}/in"),
            Self::IndexCells => f.write_str("index"),
        }
    }
}

impl FromStr for Growth {
    type Err = Error;

    /// `even` or `straight`.
    fn from_str(text: &str) -> Result<Self> {
        match text.trim() {
            "even" => Ok(Self::Even),
            "straight" => Ok(Self::Straight),
            _ => Err(Error::value("growth", text, "even or straight")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_are_written_as_they_are_read() {
        for text in [
            "round",
            "euclidean",
            "ellipse:0.4,0.6",
            "line",
            "diamond",
            "square",
            "index:3",
            "index:61.5/in",
            "index",
        ] {
            assert_eq!(text.parse::<Shape>().unwrap().to_string(), text);
        }
        assert_eq!("ellipse".parse::<Shape>().unwrap().to_string(), "ellipse:0.4,0.6");
        for text in ["", "oval", "index:", "index:x/in", "indexed", "index:-3"] {
            let message = text.parse::<Shape>().unwrap_err().to_string();
            assert!(message.contains("index:PIXELS"), "{message}");
        }
        assert!("ellipse:0.6,0.4".parse::<Shape>().unwrap_err().to_string().contains("link-up"));
        assert_eq!("straight".parse::<Growth>().unwrap(), Growth::Straight);
        assert!("odd".parse::<Growth>().is_err());
    }
}
