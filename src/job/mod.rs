//! The job: from a picture, a garment and a shelf of inks to everything that a shop prints from, in one folder.
//!
//! ```text
//! job file ──▶ art ──separate──▶ plates ──curve, screen──▶ films ──▶ sheets
//!                                   └────────▶ proof ──▶ difference ──▶ checks ──▶ report
//! ```
//!
//! A [job file](mod@file) says what is wanted, in TOML. [`Job::read`] reads it, and the shelf and the wedges it names, and builds its
//! screens: what is wrong with it is told then, every mistake with its line. [`Job::run`] does the work and fills a folder:
//!
//! | file | what it is |
//! |---|---|
//! | `plates/NN-ink.png` | coverage, black is solid |
//! | `films/NN-ink.tif` | the film, 1 bit, T.6 |
//! | `sheets/NN-ink.tif`, `.pdf` | the film with marks, label and wedge, at true size |
//! | `proof.png` | the print to expect |
//! | `difference.png` | how far it is from the art, as ΔE00; not for plates |
//! | `dots.png` | a square inch of the print from its films, dot by dot: the worst place, or the one told |
//! | `report.html` | sizes, screens, inks, findings, in words and pictures |
//! | `job.toml` | the job with everything that was used written out: it makes the same films again, bit for bit |
//!
//! NN is the place in printing order. Everything grows in a hidden folder inside of the target and is moved into place when all of it
//! is complete; a job that fails or is cancelled leaves no file behind.
//!
//! **Memory**: art and plates whole, in the art's own sample size, and bands of everything else: for art of 4500 × 5400 and six inks
//! some 0.8 GB, proof and pictures of the art included. Films of any length in flat memory are made by [`FilmJob`](crate::io::FilmJob), from plates in files.
//!
//! Rejected: a job as a structure that a program fills in. It would need a second set of checks that know no lines; a program writes
//! the text.

mod beside;
mod dots;
pub mod file;
mod films;
mod index;
mod inks;
mod picture;
mod place;
mod plates;
mod proof;
mod report;
mod run;
mod screening;
mod separating;
mod together;
mod trap;
mod values;
mod write;

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use crate::colour::Xyz;
use crate::error::Result;
use crate::press::Finding;
use crate::screen::{Sampling, Screen, SideBySide};
use crate::settings;
use crate::sheet::Layout;
use crate::units::{Length, Resolution};

use inks::JobInk;
use picture::Picture;
use separating::Separating;
use together::Together;

/// What a job is: a job file, read and checked.
#[derive(Debug, Clone)]
pub struct Job {
    name: String,
    date: String,
    picture: Picture,
    resolution: Resolution,
    sampling: Sampling,
    garment: Garment,
    together: Together,
    separation: Separating,
    inks: Vec<JobInk>,
    /// One for each ink.
    screens: Vec<Screen>,
    /// That of plates side by side.
    beside: Option<SideBySide>,
    layout: Layout,
    eye: Length,
    /// Of edges of ink, in the proof from films, where it is told.
    growth: Option<Length>,
    /// The middle of that proof, where it is told.
    place: Option<[Length; 2]>,
    make: Make,
}

#[derive(Debug, Clone)]
struct Garment {
    name: String,
    colour: Xyz,
}

/// What is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Make {
    plates: bool,
    films: bool,
    sheets: bool,
    proof: bool,
    report: bool,
}

/// What a job is at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Step {
    /// Art or plates are read.
    Reading,
    /// Art becomes plates.
    Separating,
    /// The print to expect, and how far it is from the art.
    Proofing,
    /// Plates become films and sheets, and all three are written.
    Screening,
    /// Checks, report, and everything moved into place.
    Reporting,
}

/// How far a job has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// The step.
    pub step: Step,
    /// Part of the step, 0…1.
    pub part: f64,
}

impl Progress {
    /// Part of the whole job, 0…1, by what steps usually take.
    pub fn whole(&self) -> f64 {
        let (before, length) = match self.step {
            Step::Reading => (0.0, 0.06),
            Step::Separating => (0.06, 0.24),
            Step::Proofing => (0.3, 0.15),
            Step::Screening => (0.45, 0.52),
            Step::Reporting => (0.97, 0.03),
        };
        before + length * self.part.clamp(0.0, 1.0)
    }
}

impl std::fmt::Display for Step {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Reading => "reading",
            Self::Separating => "separating",
            Self::Proofing => "proofing",
            Self::Screening => "screening",
            Self::Reporting => "reporting",
        })
    }
}

/// The caller's ear: called between pieces of work, on the caller's thread; `Break` stops the job, which then returns
/// [`Cancelled`](crate::Error::Cancelled) and leaves nothing behind.
pub type OnProgress<'a> = &'a mut dyn FnMut(Progress) -> ControlFlow<()>;

/// One ink of a finished job.
#[derive(Debug, Clone, PartialEq)]
pub struct InkDone {
    /// The ink.
    pub name: String,
    /// Mean tone of its plate, 0…1.
    pub plate_coverage: f64,
    /// Ink on its film, 0…1; none if no films were made.
    pub film_coverage: Option<f64>,
    /// The film's size in pixels.
    pub film: [usize; 2],
    /// Whether its dots stand in the gaps of the others.
    pub inverted: bool,
    /// Ink for a hundred prints in cm³: an estimate ([`Mesh::ink_volume`](crate::press::Mesh::ink_volume) × area × film coverage).
    pub ink_per_hundred: Option<f64>,
}

/// How far the proof is from a picture, as ΔE00, as the eye sees both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distance {
    /// Mean over all of the picture.
    pub mean: f64,
    /// What 95 of 100 places do not exceed.
    pub most: f64,
    /// Mean over the worst square inch.
    pub worst: f64,
    /// The middle of that, told from the print's left and top.
    pub worst_place: [Length; 2],
}

/// What a job did.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Done {
    /// Each ink, in printing order.
    pub inks: Vec<InkDone>,
    /// Proof against the art's own colours; none for plates, and where no proof was made.
    pub against_art: Option<Distance>,
    /// Proof against the colours wanted of these inks: the art's, adapted to what they can print.
    pub against_wanted: Option<Distance>,
    /// What the checks found, the heaviest first.
    pub findings: Vec<Finding>,
    /// The files written, in the target folder.
    pub files: Vec<PathBuf>,
    /// Plates, films and sheets that lie beside them from elsewhere.
    pub strangers: Vec<PathBuf>,
}

impl Job {
    /// Reads a job file, and the files that it names, from the folder it lies in.
    ///
    /// Errors: files that cannot be read; every mistake, with its line.
    pub fn read(path: &Path) -> Result<Self> {
        Self::read_for(path, None)
    }

    /// The same for another picture than the file says: a file of art, or a folder of plates.
    pub fn read_for(path: &Path, picture: Option<&Path>) -> Result<Self> {
        let (name, text) = settings::read_text(path)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        Self::parse(&name, &text, folder, picture)
    }

    /// Reads a text; `name` is what messages call it, and `folder` what the paths in it are told from.
    pub fn parse(name: &str, text: &str, folder: &Path, picture: Option<&Path>) -> Result<Self> {
        file::parse(name, text, folder, picture)
    }

    /// The names of its inks, in printing order.
    pub fn inks(&self) -> impl Iterator<Item = &str> {
        self.inks.iter().map(|ink| ink.ink.name())
    }

    /// The screens of its inks, in printing order.
    pub fn screens(&self) -> &[Screen] {
        &self.screens
    }

    /// The job as a file, with everything that was read from other files but the picture written out. Reading it gives the same job.
    pub fn to_toml(&self) -> String {
        write::to_toml(self)
    }

    /// Does the job: everything in the table at the head of this page, in the folder `out`, which is made if it is not there. Files of
    /// the same names are replaced when all is complete.
    ///
    /// Errors: a picture that cannot be read or is too small for a sheet; what cannot be written; `progress` breaking off, which is
    /// heard at the latest after a second or two. With feature `threads` on as many threads as the current `rayon` pool has.
    pub fn run(&self, out: &Path, progress: OnProgress<'_>) -> Result<Done> {
        run::run(self, out, progress)
    }
}
