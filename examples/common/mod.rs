//! What the examples share: how a dot is spelled, how a wedge is read, how a run ends.

use std::path::Path;
use std::process::ExitCode;

use dotwright::screen::Request;
use dotwright::tone::wedge;
use dotwright::{Angle, Curve, Dot, Error, LineCount, Resolution, Result, Screen};

/// A dot as it is spelled in an argument.
#[derive(Debug, Clone)]
pub enum DotChoice {
    Growing(Dot),
    /// Upright index dots of so many film pixels.
    Index(usize),
    /// Upright index dots, so many to the inch.
    IndexPitch(f64),
    /// Index dots that are the cells of the lattice.
    IndexCells,
}

pub const DOTS: &str = "round, euclidean, ellipse, ellipse:FIRST,SECOND, line, diamond, square, index:PIXELS, index:DOTS/in or index";

impl std::str::FromStr for DotChoice {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let bad = || Error::Value { name: "dot", got: text.to_owned(), allowed: DOTS.to_owned() };
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

impl DotChoice {
    /// A request for a screen of this dot.
    pub fn request(&self, resolution: Resolution, lines: LineCount, angle: Angle) -> Request {
        match self {
            Self::Growing(dot) => Screen::cells(resolution, lines, angle, dot.clone()),
            Self::Index(pixels) => Screen::index(resolution, *pixels),
            Self::IndexPitch(dots) => Screen::index_pitch(resolution, *dots),
            Self::IndexCells => Screen::index_cells(resolution, lines, angle),
        }
    }
}

/// The compensation of a press, from a table of film and printed coverage.
pub fn compensation(path: &Path) -> Result<Curve> {
    let text = std::fs::read_to_string(path).map_err(|source| Error::Io { path: path.to_owned(), source })?;
    let readings = wedge::read_table(&path.display().to_string(), &text)?;
    Ok(Curve::compensation(&wedge::press_curve(&readings)?, None))
}

/// What a built screen says of itself.
pub fn told(screen: &Screen, resolution: Resolution) -> String {
    match screen.lattice() {
        Some(lattice) => format!(
            "{:.4} lines/inch at {:.4}°, {} thresholds",
            lattice.lines_per_inch(),
            lattice.degrees(),
            screen.brick().len()
        ),
        None => {
            let [x, y] = screen.index_pixels();
            let pitch = (resolution.x() / x as f64, resolution.y() / y as f64);
            format!("index dots of {x} x {y} px, {:.2} x {:.2} to the inch", pitch.0, pitch.1)
        }
    }
}

/// Ends a run: 0, or 2 with the error in words.
pub fn end(result: Result<()>) -> ExitCode {
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::from(2)
        }
    }
}
