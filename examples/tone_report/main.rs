//! What films hold and what a press makes of them: numbers to go on with, and a picture of each.
//!
//! ```text
//! cargo run --release --example tone_report -- film.tif press.csv --out report
//! ```
//!
//! A film gives `NAME.json`, `NAME-spectrum.csv` and `NAME.svg`, and a line of `films.csv`; a wedge gives `NAME.json`, `NAME-tints.csv`,
//! `NAME-curve.csv` and `NAME.svg`. All of them are written when everything has been measured, or none.

#[path = "../common/mod.rs"]
mod common;
mod film;
#[path = "../common/out.rs"]
mod out;
mod plot;
#[path = "../common/table.rs"]
mod table;
mod wedge;

use std::collections::HashSet;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Parser;
use dotwright::tone::readings::{Form, Scale};
use dotwright::{Error, LineCount, Resolution, Result};

/// Measure films (TIFF, PNG or PBM of one bit) and wedges (tables in text): numbers as JSON and CSV, a picture of each as SVG.
#[derive(Parser)]
struct Options {
    /// Films, and tables of a patch a line: film and printed coverage, or with --scale film coverage and an instrument's reading.
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Folder for the report.
    #[arg(long, default_value = "target/tone_report")]
    out: PathBuf,
    /// Film pixels per inch: 1200, 720x1440, 480/cm [default: what the film says].
    #[arg(long, allow_negative_numbers = true)]
    resolution: Option<Resolution>,
    /// Screen lines that grain is told for: 45 (per inch) or 18/cm [default: those that the film shows].
    #[arg(long, allow_negative_numbers = true)]
    lines: Option<LineCount>,
    /// Tables hold readings: density, reflectance, xyz or lab.
    #[arg(long)]
    scale: Option<Scale>,
    /// How readings become coverage: murray-davies, yule-nielsen:N or spot.
    #[arg(long, default_value = "murray-davies", requires = "scale")]
    form: Form,
}

/// What one file comes to.
pub struct Report {
    /// Files to write, name and content.
    pub files: Vec<(String, Vec<u8>)>,
    /// In words, for the screen.
    pub told: Vec<String>,
}

fn main() -> ExitCode {
    common::end(run(&Options::parse()))
}

fn run(options: &Options) -> Result<()> {
    let (mut files, mut told, mut films) = (Vec::new(), Vec::new(), Vec::new());
    let mut names = HashSet::new();
    for path in &options.files {
        let name = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or("film");
        if !names.insert(name) {
            return Err(Error::Data {
                what: path.display().to_string(),
                why: format!("a second report named {name}; give the file another name, or report it apart"),
            });
        }
        let report = if is_film(path)? {
            let measured = film::measured(path, options.resolution, options.lines)?;
            films.push(measured.row(path));
            measured.report(path, name)?
        } else {
            wedge::report(path, name, options.scale, options.form)?
        };
        files.extend(report.files);
        told.extend(report.told);
    }
    if !films.is_empty() {
        let table = format!("{}\n{}\n", film::HEADINGS, films.join("\n"));
        files.push(("films.csv".to_owned(), table.into_bytes()));
    }
    // A report never takes the place of what it reports.
    for (name, _) in &files {
        let place = options.out.join(name);
        let same =
            |file: &PathBuf| matches!((file.canonicalize(), place.canonicalize()), (Ok(a), Ok(b)) if a == b);
        if options.files.iter().any(same) {
            return Err(Error::Value {
                name: "--out",
                got: options.out.display().to_string(),
                allowed: format!("another folder: the report's {name} would replace a file that it is about"),
            });
        }
    }
    out::write_all(&options.out, &files)?;
    for line in told {
        common::say(format_args!("{line}"))?;
    }
    common::say(format_args!("{} files in {}", files.len(), options.out.display()))
}

/// Whether a file is a picture, by its first bytes; all else is read as a table.
fn is_film(path: &Path) -> Result<bool> {
    let mut magic = Vec::new();
    let file = File::open(path).and_then(|file| file.take(4).read_to_end(&mut magic));
    file.map_err(|source| Error::Io { path: path.to_owned(), source })?;
    let pnm = matches!(magic[..], [b'P', b'1'..=b'7', ..]);
    Ok(pnm || [&b"\x89PNG"[..], b"II", b"MM"].iter().any(|first| magic.starts_with(first)))
}
