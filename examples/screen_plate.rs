//! Screens one plate, a grey picture, to a 1-bit film.
//!
//! ```text
//! cargo run --release --example screen_plate -- plate.png film.tif --resolution 1200 --lines 45 --angle 22.5
//! ```

mod common;
#[path = "common/table.rs"]
mod table;

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use clap::Parser;
use dotwright::bands::go_on;
use dotwright::io::{FilmFormat, FilmJob, PlateReader};
use dotwright::screen::Shape;
use dotwright::tone::readings::{Direction, Form, Measured, Readings, Scale};
use dotwright::tone::wedge;
use dotwright::{Angle, Curve, Error, LineCount, Mode, Resolution, Result, Sampling, Screen};

/// Screen a plate, a grey picture in which black is ink, to a 1-bit film.
#[derive(Parser)]
struct Options {
    /// The plate: a grey PNG or TIFF of 8 or 16 bits.
    plate: PathBuf,
    /// The film: .tif or .tiff (T.6), .png or .pbm.
    film: PathBuf,
    /// Film pixels per inch: 1200, 720x1440, 480/cm.
    #[arg(long, default_value = "1200", allow_negative_numbers = true)]
    resolution: Resolution,
    /// Screen lines: 45 (per inch) or 18/cm.
    #[arg(long, default_value = "45", allow_negative_numbers = true)]
    lines: LineCount,
    /// Degrees, counter-clockwise as one looks at the film.
    #[arg(long, default_value = "22.5", allow_negative_numbers = true)]
    angle: Angle,
    #[arg(long, default_value = "euclidean", help = Shape::SPELLINGS)]
    dot: Shape,
    /// normal, or inverted: dots in the gaps of a normal screen.
    #[arg(long, default_value = "normal")]
    mode: Mode,
    /// Plate samples per inch, as --resolution [default: what the file says].
    #[arg(long, allow_negative_numbers = true)]
    art_resolution: Option<Resolution>,
    /// nearest or linear.
    #[arg(long, default_value = "nearest")]
    sampling: Sampling,
    /// A measured wedge to compensate for: a text file with a patch a line, film and printed coverage, in parts of 1 or in percent.
    #[arg(long, conflicts_with = "readings")]
    wedge: Option<PathBuf>,
    /// The same as an instrument read it: a text file with a patch a line, film coverage and the values of one reading, bare ground
    /// (0) and solid among them, any patch any number of times.
    #[arg(long)]
    readings: Option<PathBuf>,
    /// What the readings state: density, reflectance, xyz or lab.
    #[arg(long, default_value = "density", requires = "readings")]
    scale: Scale,
    /// How they become coverage: murray-davies, yule-nielsen:N or spot.
    #[arg(long, default_value = "murray-davies", requires = "readings")]
    form: Form,
    /// Take white as solid ink instead of black.
    #[arg(long)]
    light_is_ink: bool,
}

fn main() -> ExitCode {
    common::end(run(&Options::parse()))
}

fn run(options: &Options) -> Result<()> {
    let started = Instant::now();
    let format = FilmFormat::from_path(&options.film)?;
    let plate = PlateReader::open(&options.plate)?.light_is_ink(options.light_is_ink);
    let plate_resolution = options.art_resolution.or(plate.resolution()).ok_or_else(|| Error::Value {
        name: "--art-resolution",
        got: "not given, and the plate's file states none".to_owned(),
        allowed: "plate samples per inch, such as 300".to_owned(),
    })?;
    let mut request =
        options.dot.request(options.resolution, options.lines, options.angle).mode(options.mode);
    if let Some(wedge) = &options.wedge {
        request = request.curve(&compensation(wedge)?);
    }
    let press = options.readings.as_deref().map(|path| measured(path, options)).transpose()?;
    if let Some(press) = &press {
        request = request.curve(&Curve::compensation(&press.curve, None));
    }
    let screen = request.build()?;
    let built = started.elapsed();
    let job = FilmJob {
        screen: &screen,
        resolution: options.resolution,
        plate_resolution,
        sampling: options.sampling,
        format,
    };
    let report = job.run(plate, &options.film, &mut go_on)?;
    let say = common::say;
    say(format_args!("screen  {}", told(&screen, &options.dot, options.resolution)))?;
    if let Some(press) = &press {
        say(format_args!("press   {}", press_told(press)))?;
    }
    let (width, height) = (report.width, report.height);
    let (x, y) = (width as f64 / options.resolution.x(), height as f64 / options.resolution.y());
    say(format_args!("film    {width} x {height} px, {x:.3} x {y:.3} inch at {}", options.resolution))?;
    let (plate, film) = (report.plate_coverage * 100.0, report.film_coverage * 100.0);
    say(format_args!("ink     plate {plate:.3} %, film {film:.3} %"))?;
    let ms = |time: std::time::Duration| time.as_secs_f64() * 1e3;
    say(format_args!(
        "time    {:.0} ms, {:.0} of them to build the screen",
        ms(started.elapsed()),
        ms(built)
    ))?;
    Ok(())
}

/// A press, from readings of its wedge.
fn measured(path: &Path, options: &Options) -> Result<Measured> {
    table::read(path, |name, text| {
        Readings::from_table(name, text, options.scale)?.form(options.form)?.measure()
    })
}

/// What a wedge tells of its press.
fn press_told(press: &Measured) -> String {
    let ink = match press.direction {
        Direction::Darker => "darker",
        Direction::Lighter => "lighter",
    };
    let noise = if press.noise_known { "of repeats" } else { "assumed" };
    format!(
        "{} film coverages, ink {ink} than its ground, {:.1} % printed at 50 %; noise {:.2} points ({noise}), residuals {:.2} points, \
         {:.2} at the most",
        press.patches.len(),
        100.0 * press.curve.eval(0.5),
        100.0 * press.noise,
        100.0 * press.rms_residual,
        100.0 * press.worst_residual
    )
}

/// The compensation of a press, from a table of film and printed coverage.
fn compensation(path: &Path) -> Result<Curve> {
    let press = table::read(path, |name, text| wedge::press_curve(&wedge::read_table(name, text)?))?;
    Ok(Curve::compensation(&press, None))
}

/// What a built screen says of itself. A line screen is told by its lines, every other by the mean of both axes.
fn told(screen: &Screen, dot: &Shape, resolution: Resolution) -> String {
    let Some((lines, degrees)) = dot.built(screen) else {
        let [x, y] = screen.index_pixels();
        let pitch = (resolution.x() / x as f64, resolution.y() / y as f64);
        return format!("index dots of {x} x {y} px, {:.2} x {:.2} to the inch", pitch.0, pitch.1);
    };
    format!("{lines:.4} lines/inch at {degrees:.4}°, {} thresholds", screen.brick().len())
}
