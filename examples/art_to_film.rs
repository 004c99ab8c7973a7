//! The main job: a folder of plates to a folder of films, one per ink, the black one inverted, and a picture of all films
//! together.
//!
//! ```text
//! cargo run --release --example art_to_film                      the bundled demo
//! cargo run --release --example art_to_film -- PLATES --out DIR  a folder of your own
//! ```

mod common;
#[path = "common/together.rs"]
mod together;

use std::ffi::OsStr;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use clap::Parser;
use common::DotChoice;
use dotwright::bands::Progress;
use dotwright::io::{FilmFormat, FilmJob, PlateReader, TiffCompression};
use dotwright::{Angle, Curve, Error, LineCount, Mode, Resolution, Result, Sampling, Screen};
use together::{Inks, Layer};

/// Turn plates (grey pictures named NN-ink.png or .tif; black is ink) into films, in the order of their numbers.
#[derive(Parser)]
struct Options {
    /// The folder of plates [default: the bundled demo].
    plates: Option<PathBuf>,
    /// Where films and pictures go.
    #[arg(long, default_value = "target/art_to_film")]
    out: PathBuf,
    /// Film pixels per inch.
    #[arg(long, default_value = "1200", allow_negative_numbers = true)]
    resolution: Resolution,
    /// Screen lines.
    #[arg(long, default_value = "45", allow_negative_numbers = true)]
    lines: LineCount,
    /// Degrees, the same for all plates, so that an inverted plate stands in the gaps of the others.
    #[arg(long, default_value = "22.5", allow_negative_numbers = true)]
    angle: Angle,
    #[arg(long, default_value = "ellipse", help = common::DOTS)]
    dot: DotChoice,
    /// The ink whose dots stand in the gaps of the others [default: black, if there].
    #[arg(long)]
    inverted: Option<String>,
    /// Plate samples per inch [default: what each file says].
    #[arg(long, allow_negative_numbers = true)]
    art_resolution: Option<Resolution>,
    /// nearest or linear.
    #[arg(long, default_value = "linear")]
    sampling: Sampling,
    /// A measured wedge to compensate for [default: press.csv in the folder, if there].
    #[arg(long)]
    wedge: Option<PathBuf>,
}

/// One plate of the job.
struct Ink {
    name: String,
    plate: PathBuf,
    screen: Screen,
}

fn main() -> ExitCode {
    common::end(run(&Options::parse()))
}

fn run(options: &Options) -> Result<()> {
    let started = Instant::now();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/demo");
    let folder = options.plates.as_deref().unwrap_or(&demo);
    let plates = plates_in(folder)?;
    let inks = Inks::read(folder)?;
    let curve = curve(options, folder)?;
    check(options, &plates)?;

    // One lattice for all: an inverted plate then meshes with every normal one.
    let normal = options.dot.request(options.resolution, options.lines, options.angle).build()?;
    let screen = |mode| normal.again(mode, curve.as_ref());
    let (normal, inverted) = (screen(Mode::Normal)?, screen(Mode::Inverted)?);
    let jobs: Vec<Ink> = plates
        .into_iter()
        .map(|(name, plate)| {
            let screen = if name == inverted_ink(options) { &inverted } else { &normal };
            Ink { name, plate, screen: screen.clone() }
        })
        .collect();

    let films = options.out.join("films");
    std::fs::create_dir_all(&films).map_err(|source| Error::Io { path: films.clone(), source })?;
    common::say(format_args!("{}", common::told(&normal, &options.dot, options.resolution)))?;
    for (ink, number) in jobs.iter().zip(1..) {
        let target = films.join(format!("{number:02}-{}.tif", ink.name));
        film(options, ink, &target)?;
    }
    let layers = jobs
        .iter()
        .map(|ink| {
            let plate = PlateReader::open(&ink.plate)?;
            let resolution = art_resolution(options, &plate)?;
            Ok(Layer {
                colour: inks.colour(&ink.name),
                screen: &ink.screen,
                plate: plate.read_all()?,
                resolution,
            })
        })
        .collect::<Result<Vec<_>>>()?;
    let picture = options.out.join("together.png");
    let detail = options.out.join("detail.png");
    together::draw(&layers, inks.garment(), options.resolution, options.sampling, &picture, &detail)?;
    common::say(format_args!("{} and {}", picture.display(), detail.display()))?;
    common::say(format_args!("{:.1} s", started.elapsed().as_secs_f64()))
}

/// The ink to invert: black, where none is named.
fn inverted_ink(options: &Options) -> &str {
    options.inverted.as_deref().unwrap_or("black")
}

/// Refuses what would only come out half-way: a plate that cannot be read, plates of different sizes, an ink twice, an ink to
/// invert that is not there.
fn check(options: &Options, plates: &[(String, PathBuf)]) -> Result<()> {
    let bad = |path: &Path, why: String| Err(Error::Data { what: path.display().to_string(), why });
    let mut size: Option<(f64, f64)> = None;
    for (i, (name, path)) in plates.iter().enumerate() {
        let plate = PlateReader::open(path)?;
        let resolution = art_resolution(options, &plate)?;
        let inches = (plate.width() as f64 / resolution.x(), plate.height() as f64 / resolution.y());
        let first = *size.get_or_insert(inches);
        if (inches.0 - first.0).abs() > 0.01 || (inches.1 - first.1).abs() > 0.01 {
            let (is, was) =
                (format!("{:.3} x {:.3}", inches.0, inches.1), format!("{:.3} x {:.3}", first.0, first.1));
            return bad(path, format!("{is} inch, but the first plate is {was} inch"));
        }
        if plates[..i].iter().any(|(other, _)| other == name) {
            return bad(path, format!("a second plate for the ink {name}"));
        }
    }
    match &options.inverted {
        Some(ink) if plates.iter().all(|(name, _)| name != ink) => Err(Error::Value {
            name: "--inverted",
            got: ink.clone(),
            allowed: plates.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>().join(", "),
        }),
        _ => Ok(()),
    }
}

/// Screens one plate to its film and reports it in one line.
fn film(options: &Options, ink: &Ink, target: &Path) -> Result<()> {
    let plate = PlateReader::open(&ink.plate)?;
    let job = FilmJob {
        screen: &ink.screen,
        resolution: options.resolution,
        plate_resolution: art_resolution(options, &plate)?,
        sampling: options.sampling,
        format: FilmFormat::Tiff(TiffCompression::T6),
    };
    let watched = std::io::stderr().is_terminal();
    let mut show = |progress: Progress| {
        if watched {
            eprint!("\r{} {:3} %", ink.name, 100 * progress.done / progress.total.max(1));
            let _ = std::io::stderr().flush();
        }
        std::ops::ControlFlow::Continue(())
    };
    let report = job.run(plate, target, &mut show)?;
    if watched {
        eprint!("\r");
    }
    common::say(format_args!(
        "{:<12} {:<8}  plate {:6.2} %  film {:6.2} %  {} x {} px  {}",
        ink.name,
        if ink.screen.mode() == Mode::Inverted { "inverted" } else { "normal" },
        report.plate_coverage * 100.0,
        report.film_coverage * 100.0,
        report.width,
        report.height,
        target.display()
    ))
}

fn art_resolution(options: &Options, plate: &PlateReader) -> Result<Resolution> {
    options.art_resolution.or(plate.resolution()).ok_or_else(|| Error::Value {
        name: "--art-resolution",
        got: format!("not given, and {} states none", plate.path().display()),
        allowed: "plate samples per inch, such as 300".to_owned(),
    })
}

/// The compensation asked for, or that of the folder's own press.
fn curve(options: &Options, folder: &Path) -> Result<Option<Curve>> {
    let press = folder.join("press.csv");
    match &options.wedge {
        Some(wedge) => common::compensation(wedge).map(Some),
        None if press.exists() => common::compensation(&press).map(Some),
        None => Ok(None),
    }
}

/// Ink names and plates of a folder: those with a number by their numbers, then the rest by name. The art that the plates were
/// made from, `art.png`, is none.
fn plates_in(folder: &Path) -> Result<Vec<(String, PathBuf)>> {
    let io = |source| Error::Io { path: folder.to_owned(), source };
    let mut plates = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(io)? {
        let path = entry.map_err(io)?.path();
        let extension = path.extension().and_then(OsStr::to_str).map(str::to_ascii_lowercase);
        if !matches!(extension.as_deref(), Some("png" | "tif" | "tiff")) {
            continue;
        }
        let stem = path.file_stem().and_then(OsStr::to_str).unwrap_or_default();
        if stem == "art" {
            continue;
        }
        // NN-ink, where the number only gives the order.
        let (number, name) = match stem.split_once('-') {
            Some((number, ink)) if !ink.is_empty() && number.parse::<u32>().is_ok() => {
                (number.parse().ok(), ink)
            }
            _ => (None, stem),
        };
        plates.push((number.unwrap_or(u32::MAX), name.to_owned(), path.clone()));
    }
    plates.sort();
    if plates.is_empty() {
        return Err(Error::Data {
            what: folder.display().to_string(),
            why: "no plates in it (NN-ink.png or .tif)".to_owned(),
        });
    }
    Ok(plates.into_iter().map(|(_, name, path)| (name, path)).collect())
}
