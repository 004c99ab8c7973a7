//! What the examples share: how a dot is spelled, how a wedge is read, how a run ends.

use std::io::Write;
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

pub const DOTS: &str = "round, euclidean, ellipse (or ellipse:FIRST,SECOND: link-up tones of 0.2 to 0.5 and 0.5 to 0.8), line, diamond, square, \
     index:PIXELS, index:DOTS/in (snapped to whole pixels) or index (a dot for each cell of the screen)";

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
    let press = table(path, |name, text| wedge::press_curve(&wedge::read_table(name, text)?))?;
    Ok(Curve::compensation(&press, None))
}

/// What a table in text holds; what is wrong with it is told with the name of its file.
pub fn table<T>(path: &Path, read: impl FnOnce(&str, &str) -> Result<T>) -> Result<T> {
    let bytes = std::fs::read(path).map_err(|source| Error::Io { path: path.to_owned(), source })?;
    let name = path.display().to_string();
    let bad = |why: String| Error::Data { what: name.clone(), why };
    let text = String::from_utf8(bytes).map_err(|_| bad("not a table in text".to_owned()))?;
    read(&name, &text).map_err(|error| {
        let told = error.to_string();
        if told.starts_with(&name) { error } else { bad(told) }
    })
}

/// What a built screen says of itself. A line screen is told by its lines, every other by the mean of both axes.
pub fn told(screen: &Screen, dot: &DotChoice, resolution: Resolution) -> String {
    let Some(lattice) = screen.lattice() else {
        let [x, y] = screen.index_pixels();
        let pitch = (resolution.x() / x as f64, resolution.y() / y as f64);
        return format!("index dots of {x} x {y} px, {:.2} x {:.2} to the inch", pitch.0, pitch.1);
    };
    let (lines, degrees) = match dot {
        DotChoice::Growing(Dot::Line) => {
            let across = lattice.second_axis();
            (across.lines, across.degrees - 90.0)
        }
        _ => (lattice.lines_per_inch(), lattice.degrees()),
    };
    format!("{lines:.4} lines/inch at {degrees:.4}°, {} thresholds", screen.brick().len())
}

/// Prints a line. A reader that has gone away is no failure of ours; a full disk is.
pub fn say(line: std::fmt::Arguments<'_>) -> Result<()> {
    match writeln!(std::io::stdout(), "{line}") {
        Err(source) if source.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Error::Io { path: "standard output".into(), source })
        }
        _ => Ok(()),
    }
}

/// The option that a value belongs to, where the library names it in its own words.
fn option_of(error: &Error) -> &'static str {
    match error {
        Error::Value { name: "line count", .. } | Error::Lattice { .. } => "--lines: ",
        Error::Value { name: "index dot" | "index dots per inch", .. } => "--dot: ",
        Error::Limit { what, .. } if what.contains("dots this large") => "--dot, --lines: ",
        Error::Limit { what, .. } if what.contains("one cell") => "--lines: ",
        _ => "",
    }
}

/// Ends a run: 0, or 2 with the error in words.
pub fn end(result: Result<()>) -> ExitCode {
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // Where even that cannot be written there is nobody to tell.
            let _ = writeln!(std::io::stderr(), "error: {}{error}", option_of(&error));
            ExitCode::from(2)
        }
    }
}
