//! Every dot at eleven tones, normal and inverted, on one sheet to look at, and the numbers beneath them as a table.
//!
//! ```text
//! cargo run --release --example dot_atlas -- --lines 55 --resolution 1200
//! ```
//!
//! What is shown are film pixels as they are, each as one pixel of the picture or as a square of them. Coverage, perimeter, gain and smallest
//! features are measured on the film itself, stairs of its pixels included; beside them stand perimeter and gain of the ideal dot, whose
//! edges are smooth. Lines and gaps of less than some three pixels have more edge than can be measured on the film. An inverted dot is the
//! complement of a normal one: what it gains is what the normal one's holes lose.

mod common;
#[path = "common/out.rs"]
mod out;
#[path = "common/sheet_of_paper.rs"]
mod sheet_of_paper;

use std::fmt::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::Parser;
use dotwright::film::Rect;
use dotwright::measure::{self, LinkUps};
use dotwright::press::gain::Outlined;
use dotwright::press::spread::Spread;
use dotwright::screen::Shape;
use dotwright::{Angle, Dot, Error, Film, Length, LineCount, Mode, Resolution, Result, Screen};
use ndarray::Array2;
use sheet_of_paper::{FAINT, INK, Paper, SOFT, Side};

const TONES: [f64; 11] = [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95];

/// Of every screen: so that dots and pixels meet in many phases, as they do in a job.
const DEGREES: f64 = 22.5;

/// Index dots to a line of the other screens: they are printed finer, and a dozen of them show no pattern.
const INDEX_DOTS: f64 = 2.0;

/// Periods across a tint on the sheet.
const SHOWN: f64 = 5.0;

/// Periods, and film pixels, across a tint that is measured, at the least.
const MEASURED: (f64, f64) = (12.0, 384.0);

/// Pixels of the sheet across a period, at the least.
const CLEAR: f64 = 28.0;

/// Film pixels across a period, at the most: beyond it the sheet is a wall.
const MOST: f64 = 100.0;

/// Link-ups nearer to each other than this are one: each is found to within 0.01.
const ALIKE: f64 = 0.01;

/// How far edges move for the gain that is told, in µm.
const GROWTH: f64 = 10.0;

/// Draw every dot at eleven tones in both modes as one sheet, with a table of what each gains and holds.
#[derive(Parser)]
struct Options {
    /// Folder for atlas.png and atlas.csv.
    #[arg(long, default_value = "target/dot_atlas")]
    out: PathBuf,
    /// Screen lines: 45 (per inch) or 18/cm.
    #[arg(long, default_value = "45", allow_negative_numbers = true)]
    lines: LineCount,
    /// Film pixels per inch: 1440, 720x1440, 480/cm.
    #[arg(long, default_value = "1440", allow_negative_numbers = true)]
    resolution: Resolution,
}

/// A dot in one mode.
struct Row {
    shape: &'static str,
    mode: Mode,
    /// Of the built screen; of index dots, how many to the inch.
    per_inch: f64,
    link_ups: Option<LinkUps>,
    tints: Vec<Tint>,
}

struct Tint {
    tone: f64,
    film: Film,
    coverage: f64,
    /// mm of edge per mm² of film.
    perimeter: f64,
    /// For [`GROWTH`], in parts of 1.
    gain: f64,
    /// The same two of the ideal dot.
    ideal: Option<(f64, f64)>,
    line: Option<f64>,
    gap: Option<f64>,
}

fn main() -> ExitCode {
    common::end(run(&Options::parse()))
}

fn run(options: &Options) -> Result<()> {
    let finer = options.resolution.x().max(options.resolution.y());
    let pixels = finer / options.lines.to_per_inch();
    if pixels > MOST {
        return Err(Error::Value {
            name: "--resolution",
            got: format!("{}, {pixels:.0} px a line of {}", options.resolution, options.lines),
            allowed: format!("{MOST} px a line at the most"),
        });
    }
    let index = Shape::IndexPitch(INDEX_DOTS * options.lines.to_per_inch());
    let shapes = [
        ("round", Dot::Round),
        ("euclidean", Dot::Euclidean),
        ("ellipse", Dot::ellipse(0.4, 0.6)?),
        ("diamond", Dot::Diamond),
        ("square", Dot::Square),
        ("line", Dot::Line),
    ];
    let shapes = shapes.map(|(name, dot)| (name, Shape::Growing(dot)));
    // A thread a shape; each gives the same rows wherever it runs.
    let rows = std::thread::scope(|scope| {
        let works: Vec<_> = shapes
            .iter()
            .map(|(name, dot)| (*name, dot))
            .chain([("index", &index)])
            .map(|(name, dot)| scope.spawn(move || both_modes(name, dot, options)))
            .collect();
        let join = |work: std::thread::ScopedJoinHandle<'_, Result<[Row; 2]>>| {
            work.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        };
        works.into_iter().map(join).collect::<Result<Vec<_>>>()
    })?;
    let rows: Vec<Row> = rows.into_iter().flatten().collect();
    let files = [
        ("atlas.png".to_owned(), drawn(&rows, options)?.png()?),
        ("atlas.csv".to_owned(), table(&rows, options).into_bytes()),
    ];
    out::write_all(&options.out, &files)?;
    for (name, _) in files {
        common::say(format_args!("{}", options.out.join(name).display()))?;
    }
    Ok(())
}

fn both_modes(shape: &'static str, dot: &Shape, options: &Options) -> Result<[Row; 2]> {
    let screen = dot.request(options.resolution, options.lines, Angle::degrees(DEGREES)?).build()?;
    let inverted = screen.again(Mode::Inverted, None)?;
    Ok([row(shape, dot, &screen, options)?, row(shape, dot, &inverted, options)?])
}

fn row(shape: &'static str, dot: &Shape, screen: &Screen, options: &Options) -> Result<Row> {
    let (mode, resolution) = (screen.mode(), options.resolution);
    let per_inch = match screen.lattice() {
        Some(lattice) if shape == "line" => lattice.second_axis().lines,
        Some(lattice) => lattice.lines_per_inch(),
        None => resolution.x() / screen.index_pixels()[0] as f64,
    };
    let (ideals, link_ups) = match dot {
        Shape::Growing(dot) => {
            let ideals = ideals(dot, mode, options.lines)?.into_iter().map(Some).collect();
            (ideals, Some(measure::link_ups(dot, mode)?))
        }
        _ => (vec![None; TONES.len()], None),
    };
    let tints = TONES.into_iter().zip(ideals).map(|(tone, ideal)| tint(screen, tone, ideal, options));
    Ok(Row { shape, mode, per_inch, link_ups, tints: tints.collect::<Result<_>>()? })
}

/// Perimeter and gain of the ideal dot at every tone.
fn ideals(dot: &Dot, mode: Mode, lines: LineCount) -> Result<Vec<(f64, f64)>> {
    // The holes of an inverted dot are the normal dots of the opposite tone, and shrink where its ink grows.
    let (tones, growth) = match mode {
        Mode::Normal => (TONES, GROWTH),
        Mode::Inverted => (TONES.map(|tone| 1.0 - tone), -GROWTH),
    };
    let outlined = Outlined::new(dot, lines, &tones)?;
    let printed = outlined.printed(Length::um(growth)?)?;
    let gains = printed.iter().zip(tones).map(|(printed, tone)| (printed - tone).abs());
    Ok(outlined.perimeter().into_iter().zip(gains).collect())
}

fn tint(screen: &Screen, tone: f64, ideal: Option<(f64, f64)>, options: &Options) -> Result<Tint> {
    let resolution = options.resolution;
    let spread = Spread::new(resolution, Length::um(GROWTH)?)?;
    let [beside, near] = spread.reach();
    let side = |per_inch: f64| {
        let period = per_inch / options.lines.to_per_inch();
        (MEASURED.0 * period).max(MEASURED.1 * per_inch / resolution.x().max(resolution.y())).ceil() as usize
    };
    // What grows into the piece from around it is part of its gain.
    let piece = Rect { x: beside, y: near, width: side(resolution.x()), height: side(resolution.y()) };
    let plate = Array2::from_elem((piece.height + 2 * near, piece.width + 2 * beside), tone as f32);
    let film = screen.film(plate.view())?;
    let view = film.view();
    let coverage = view.coverage_of(piece)?;
    let gain = spread.coverage_of(view, piece)? - coverage;
    let mm2 = (film.width() as f64 * 25.4 / resolution.x()) * (film.height() as f64 * 25.4 / resolution.y());
    let perimeter = measure::perimeter(&view, resolution).to_mm() / mm2;
    let details = measure::details(&view, resolution)?;
    let width = |place: Option<measure::Narrowest>| place.map(|place| place.width.to_um());
    Ok(Tint {
        tone,
        coverage,
        perimeter,
        gain,
        ideal,
        line: width(details.line),
        gap: width(details.gap),
        film,
    })
}

fn mode_name(mode: Mode) -> &'static str {
    match mode {
        Mode::Normal => "normal",
        Mode::Inverted => "inverted",
    }
}

fn table(rows: &[Row], options: &Options) -> String {
    let mut text = format!(
        "# {} at {DEGREES} degrees, {}; gain in points where edges move by {GROWTH} um; ideal: of smooth edges\n",
        options.lines, options.resolution
    );
    text += "shape,mode,tone,per_inch,coverage,perimeter_mm_per_mm2,gain_points,ideal_perimeter_mm_per_mm2,ideal_gain_points,\
             first_link_up,second_link_up,smallest_line_um,smallest_gap_um\n";
    let told = |value: Option<f64>, digits: usize| value.map_or(String::new(), |v| format!("{v:.digits$}"));
    for row in rows {
        for tint in &row.tints {
            let _ = writeln!(
                text,
                "{},{},{},{:.3},{:.5},{:.3},{:.2},{},{},{},{},{},{}",
                row.shape,
                mode_name(row.mode),
                tint.tone,
                row.per_inch,
                tint.coverage,
                tint.perimeter,
                100.0 * tint.gain,
                told(tint.ideal.map(|(perimeter, _)| perimeter), 3),
                told(tint.ideal.map(|(_, gain)| 100.0 * gain), 2),
                told(row.link_ups.map(|tones| tones.first), 3),
                told(row.link_ups.map(|tones| tones.second), 3),
                told(tint.line, 1),
                told(tint.gap, 1),
            );
        }
    }
    text
}

/// The sheet: shapes and modes down, tones across.
fn drawn(rows: &[Row], options: &Options) -> Result<Paper> {
    let resolution = options.resolution;
    let finer = resolution.x().max(resolution.y());
    let period = finer / options.lines.to_per_inch();
    let zoom = (CLEAR / period).ceil().max(1.0);
    let side = (SHOWN * period * zoom).round() as usize;
    // Everything else is in parts of a tint's side.
    let part = |of: f64| (of * side as f64).round() as usize;
    let (margin, names, head, foot) = (part(0.4), part(1.45), part(1.0), part(0.5));
    let (across, down, between) = (side + part(0.12), side + part(0.3), part(0.22));
    let width = 2 * margin + names + TONES.len() * across - part(0.12);
    let height = 2 * margin + head + rows.len() * down + (rows.len() / 2 - 1) * between + foot - part(0.1);
    let mut paper = Paper::new(width, height);
    let [large, middle, small] = [0.16, 0.12, 0.095].map(|of| of * side as f64);
    let left = margin + names;
    let title = format!("Dots at {} lines to the inch", told(options.lines.to_per_inch()));
    paper.text(Side::Left, [margin, margin + part(0.16)], large, INK, &title)?;
    let note = format!("{resolution}, {DEGREES}°");
    paper.text(Side::Right, [width - margin, margin + part(0.16)], middle, SOFT, &note)?;
    for (i, tone) in TONES.iter().enumerate() {
        let middle_of = left + i * across + side / 2;
        let label = format!("{:.0} %", 100.0 * tone);
        paper.text(Side::Middle, [middle_of, margin + head - part(0.14)], middle, INK, &label)?;
    }
    for (i, row) in rows.iter().enumerate() {
        let top = margin + head + i * down + (i / 2) * between;
        if i % 2 == 0 {
            paper.rule([margin, top - part(0.08)], width - 2 * margin, FAINT);
            paper.text(Side::Left, [margin, top + part(0.2)], large, INK, row.shape)?;
        }
        let line = |n: usize| top + part(0.2 + 0.2 * n as f64);
        paper.text(Side::Left, [margin, line(1)], middle, INK, mode_name(row.mode))?;
        let (first, second) = match row.link_ups {
            Some(LinkUps { first, second, .. }) if first > 0.0 && second - first < ALIKE => {
                (format!("joins at {:.0} %", 100.0 * second), String::new())
            }
            Some(LinkUps { first, second, .. }) if first > 0.0 => {
                (format!("joins at {:.0} %", 100.0 * first), format!("and {:.0} %", 100.0 * second))
            }
            Some(_) => ("always joined".to_owned(), String::new()),
            None => (format!("{} to the inch", told(row.per_inch)), String::new()),
        };
        paper.text(Side::Left, [margin, line(2)], small, SOFT, &first)?;
        paper.text(Side::Left, [margin, line(2) + part(0.15)], small, SOFT, &second)?;
        for (j, tint) in row.tints.iter().enumerate() {
            let x = left + j * across;
            let ink = |px: usize, py: usize| {
                let film = |p: usize, per_inch: f64| ((p as f64 + 0.5) / zoom * per_inch / finer) as usize;
                tint.film.get(film(px, resolution.x()), film(py, resolution.y()))
            };
            paper.tint([x, top], side, ink);
            let gain = format!("+{:.1}", 100.0 * tint.gain);
            paper.text(Side::Middle, [x + side / 2, top + side + part(0.15)], small, SOFT, &gain)?;
        }
    }
    let told = format!(
        "Below each tint: the points that it gains on press when the edges of its dots move by {GROWTH} µm."
    );
    paper.text(Side::Left, [left, height - margin], small, SOFT, &told)?;
    Ok(paper)
}

/// A number without digits that say nothing.
fn told(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}
