//! The check before printing: the films' plan and the mesh in one call, findings out.
//!
//! A finding is a number, what it means for which films, the rule that it was held against, and where the rule comes from. Findings
//! of no consequence are told too ([`Weight::Note`]), since a missing line cannot be told from a check that was not made.
//! Rejected: a verdict of pass or fail, which would hang on trade rules that shops rightly bend.

use crate::error::{Error, Result};
use crate::press::{Mesh, Source, Structure};
use crate::screen::{Dot, Mode, Screen};
use crate::units::{Length, Resolution};

mod alone;
mod together;

/// Most films in one check.
const MAX_FILMS: usize = 32;

/// One film of a job.
#[derive(Debug, Clone)]
pub struct Planned {
    name: String,
    screen: Screen,
    dot: Option<Dot>,
    resolution: Resolution,
    mesh: Option<Mesh>,
}

impl Planned {
    /// A film called `name`, screened by `screen` (which tells its true lattice and its mode) with growing dots of the shape `dot`
    /// at `resolution`; no dot for index dots and a user's own array.
    ///
    /// Errors: a resolution other than that of the screen's lattice.
    pub fn new(name: &str, screen: &Screen, dot: Option<&Dot>, resolution: Resolution) -> Result<Self> {
        if let Some(lattice) = screen.lattice().filter(|l| l.resolution() != resolution) {
            let laid = lattice.resolution();
            return Err(Error::value(
                "resolution of a film",
                resolution,
                format!("that of its lattice, {laid}"),
            ));
        }
        Ok(Self { name: name.to_owned(), screen: screen.clone(), dot: dot.cloned(), resolution, mesh: None })
    }

    /// On a mesh of its own, in place of the job's.
    pub fn on(self, mesh: &Mesh) -> Self {
        Self { mesh: Some(*mesh), ..self }
    }

    /// The structure that its growing dots make; none for index dots and arrays.
    fn structure(&self) -> Option<Structure> {
        Some(Structure::screen(self.screen.lattice()?, self.dot.as_ref()?))
    }

    /// Whether both lie on one lattice.
    fn meshes_with(&self, other: &Self) -> bool {
        self.screen.lattice().is_some() && self.screen.lattice() == other.screen.lattice()
    }
}

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// As it should be, or only told.
    Note,
    /// To be looked at before films are made.
    Care,
    /// Against the rule by so much that the print will show it.
    Wrong,
}

/// What a finding is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum About {
    /// Threads for each screen line.
    ThreadsPerLine,
    /// The line count itself.
    LineCount,
    /// Tone steps of a cell.
    Levels,
    /// The lightest tint whose dots the mesh holds.
    LightestTint,
    /// Size of index dots.
    IndexDot,
    /// Angle between screen and threads.
    AngleToMesh,
    /// Moiré of a screen with its mesh.
    MeshMoire,
    /// Moiré of two screens.
    ScreenMoire,
    /// Closure of three screens.
    Closure,
    /// Plates of one lattice: stacked or meshed.
    OneLattice,
    /// The dot shape of plates that mesh.
    MeshedDot,
    /// Overlap of meshed plates when one is shifted.
    Register,
}

/// One finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What it is about.
    pub about: About,
    /// How much it weighs.
    pub weight: Weight,
    /// The films concerned, by name.
    pub films: Vec<String>,
    /// The number.
    pub number: f64,
    /// Its unit.
    pub unit: &'static str,
    /// What it means, in words.
    pub text: String,
    /// The rule it was held against, in words.
    pub rule: &'static str,
    /// Where the rule comes from.
    pub source: Source,
}

impl std::fmt::Display for Finding {
    /// `CARE white, black: … (rule: …; common practice)`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let weight = match self.weight {
            Weight::Note => "note",
            Weight::Care => "CARE",
            Weight::Wrong => "WRONG",
        };
        write!(f, "{weight} {}: {} (rule: {}; {})", self.films.join(", "), self.text, self.rule, self.source)
    }
}

/// Checks a job's films against each other and against the mesh they will be printed through: every film alone, every two, every
/// three. The heaviest findings come first, otherwise in the films' order.
///
/// Errors: no films or more than 32.
///
/// Cost: some milliseconds a film; where moiré must be removed up to some tenths of a second for each pair that has it.
pub fn check(films: &[Planned], mesh: &Mesh) -> Result<Vec<Finding>> {
    if !(1..=MAX_FILMS).contains(&films.len()) {
        return Err(Error::value("films of a check", films.len(), format!("1 to {MAX_FILMS}")));
    }
    let mut findings = Vec::new();
    for film in films {
        alone::check(film, film.mesh.as_ref().unwrap_or(mesh), &mut findings)?;
    }
    together::check(films, &mut findings)?;
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.weight));
    Ok(findings)
}

/// A period in words.
fn long(period: Option<Length>) -> String {
    match period {
        Some(period) => format!("{:.2} mm", period.to_mm()),
        None => "without end".to_owned(),
    }
}

/// The number of a period: infinite where it never repeats.
fn mm(period: Option<Length>) -> f64 {
    period.map_or(f64::INFINITY, Length::to_mm)
}

/// What the mode is called.
fn mode_word(mode: Mode) -> &'static str {
    match mode {
        Mode::Normal => "normal",
        Mode::Inverted => "inverted",
    }
}

#[cfg(test)]
mod tests;
