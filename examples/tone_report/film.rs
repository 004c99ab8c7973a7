//! One film: coverage, screen, dots and holes, smallest line and gap, outline, grain and spectrum.
//!
//! Coverage, dots, outline, angle and line count are those of the whole film. What needs memory many times the film's (smallest line and gap, gain,
//! grain) is measured on a square from its middle, whose side is told. Grain is that of a flat tint: on a film of a picture, the
//! picture counts as grain.

use std::fmt::Write;
use std::path::Path;

use dotwright::distance::Part;
use dotwright::film::Rect;
use dotwright::io::read_film;
use dotwright::measure::{self, Narrowest, Parts, Repeat, Ring, Touch};
use dotwright::press::spread::Spread;
use dotwright::{Error, Length, LineCount, Resolution, Result};
use serde_json::{Value, json};

use crate::Report;
use crate::plot::{Axis, BEFORE, Frame, INK, Svg};

/// Largest side of the square that is looked at closely, in pixels.
const CLOSE: usize = 3000;

/// How far edges move for the gain that is told, in µm.
const GROWTH: f64 = 10.0;

pub const HEADINGS: &str = "film,width_px,height_px,px_per_inch_x,px_per_inch_y,coverage,lines_per_inch,degrees,degrees_modulus,dots,dots_whole,\
     dot_mean_um2,holes,holes_whole,hole_mean_um2,smallest_line_um,smallest_gap_um,perimeter_mm_per_mm2,gain_10um_points,grain";

/// A film's numbers.
pub struct Measured {
    width: usize,
    height: usize,
    resolution: Resolution,
    coverage: f64,
    /// The screen, or why there is none to see; so on below.
    screen: Result<Repeat>,
    dots: Parts,
    holes: Parts,
    line: Option<Narrowest>,
    gap: Option<Narrowest>,
    /// Upper left corner and sides of the close look.
    close: Rect,
    perimeter: Length,
    gain: f64,
    grain: Result<f64>,
    rings: Result<Vec<Ring>>,
}

pub fn measured(path: &Path, resolution: Option<Resolution>, lines: Option<LineCount>) -> Result<Measured> {
    // What the library says of a film it says of this file.
    let named = |error: Error| {
        let (what, why) = (path.display().to_string(), error.to_string());
        if why.contains(&what) { error } else { Error::Data { what, why } }
    };
    let (film, stated) = read_film(path).map_err(named)?;
    let resolution = resolution.or(stated).ok_or_else(|| Error::Value {
        name: "--resolution",
        got: format!("not given, and {} states none", path.display()),
        allowed: "film pixels per inch, such as 1200".to_owned(),
    })?;
    let view = film.view();
    let [width, height] = [film.width().min(CLOSE), film.height().min(CLOSE)];
    let close = Rect { x: (film.width() - width) / 2, y: (film.height() - height) / 2, width, height };
    let look = film.view().crop(close).map_err(named)?;
    let screen = measure::repeat(&view, resolution);
    let lines = match (&lines, &screen) {
        (Some(lines), _) => Some(*lines),
        (None, Ok(screen)) => Some(LineCount::per_inch(screen.lines_per_inch)?),
        (None, Err(_)) => None,
    };
    let grain = match lines {
        Some(lines) => measure::grain(&look.view(), resolution, lines),
        None => Err(Error::Value {
            name: "--lines",
            got: "not given, and the film shows no screen".to_owned(),
            allowed: "the line count that grain is told for".to_owned(),
        }),
    };
    let details = measure::details(&look.view(), resolution).map_err(named)?;
    let spread = Spread::new(resolution, Length::um(GROWTH)?)?;
    // What lies around the piece grows into it: as far as that reaches, the border is left out.
    let [x, y] = spread.reach();
    let inner = Rect { x, y, width: width.saturating_sub(2 * x), height: height.saturating_sub(2 * y) };
    let gain = if inner.width * inner.height > 0 {
        spread.coverage_of(look.view(), inner).map_err(named)?
            - look.view().coverage_of(inner).map_err(named)?
    } else {
        0.0
    };
    Ok(Measured {
        width: film.width(),
        height: film.height(),
        resolution,
        coverage: film.coverage(),
        screen,
        dots: measure::parts(&view, Part::Ink, Touch::Corners).map_err(named)?,
        holes: measure::parts(&view, Part::Bare, Touch::Corners).map_err(named)?,
        line: details.line,
        gap: details.gap,
        close,
        perimeter: measure::perimeter(&view, resolution),
        gain,
        grain,
        rings: measure::spectrum(&view),
    })
}

impl Measured {
    /// Area of the film in mm².
    fn area(&self) -> f64 {
        self.width as f64 * self.height as f64 * self.pixel() / 1e6
    }

    /// Area of a pixel in µm².
    fn pixel(&self) -> f64 {
        25_400.0 / self.resolution.x() * 25_400.0 / self.resolution.y()
    }

    fn edge(&self) -> f64 {
        self.perimeter.to_mm() / self.area()
    }

    /// Its line of `films.csv`.
    pub fn row(&self, path: &Path) -> String {
        let told =
            |value: Option<f64>, digits: usize| value.map_or(String::new(), |v| format!("{v:.digits$}"));
        let screen = self.screen.as_ref().ok();
        let width = |place: &Option<Narrowest>| place.map(|place| place.width.to_um());
        let size = |parts: &Parts| parts.mean().map(|pixels| pixels * self.pixel());
        [
            // A name may hold what separates.
            format!("\"{}\"", path.display().to_string().replace('"', "\"\"")),
            self.width.to_string(),
            self.height.to_string(),
            told(Some(self.resolution.x()), 4),
            told(Some(self.resolution.y()), 4),
            told(Some(self.coverage), 6),
            told(screen.map(|s| s.lines_per_inch), 4),
            told(screen.map(|s| s.degrees), 4),
            told(screen.map(|s| s.modulus), 0),
            self.dots.count().to_string(),
            self.dots.whole.len().to_string(),
            told(size(&self.dots), 1),
            self.holes.count().to_string(),
            self.holes.whole.len().to_string(),
            told(size(&self.holes), 1),
            told(width(&self.line), 1),
            told(width(&self.gap), 1),
            told(Some(self.edge()), 4),
            told(Some(100.0 * self.gain), 3),
            told(self.grain.as_ref().ok().copied(), 6),
        ]
        .join(",")
    }

    fn json(&self, path: &Path) -> Value {
        let mut unknown = serde_json::Map::new();
        let mut why = |what: &str, error: &Error| {
            unknown.insert(what.to_owned(), error.to_string().into());
            Value::Null
        };
        let screen = match &self.screen {
            Ok(s) => {
                let frequency = |f: &measure::Frequency| json!({"degrees": f.degrees, "lines_per_inch": f.lines_per_inch, "amplitude": f.amplitude});
                json!({
                    "degrees": s.degrees, "degrees_modulus": s.modulus, "lines_per_inch": s.lines_per_inch,
                    "first": frequency(&s.first), "second": s.second.as_ref().map(frequency),
                })
            }
            Err(error) => why("screen", error),
        };
        let grain = self.grain.as_ref().map_or_else(|error| why("grain", error), |&grain| grain.into());
        let rings = match &self.rings {
            Ok(rings) => {
                let ring = |r: &Ring| {
                    json!({
                        "cycles_per_px": r.frequency, "power": r.power, "anisotropy_db": r.anisotropy, "samples": r.samples,
                    })
                };
                rings.iter().map(ring).collect()
            }
            Err(error) => why("spectrum", error),
        };
        let parts = |parts: &Parts| {
            json!({
                "count": parts.count(), "whole": parts.whole.len(), "cut_by_border": parts.cut.len(),
                "whole_mean_um2": parts.mean().map(|pixels| pixels * self.pixel()),
                "whole_least_px": parts.whole.first(), "whole_most_px": parts.whole.last(),
            })
        };
        let narrow = |place: &Option<Narrowest>| {
            place.map(|place| {
                let at = [place.at[0] + self.close.x as f64, place.at[1] + self.close.y as f64];
                json!({"um": place.width.to_um(), "at_px": at})
            })
        };
        let mm = |pixels: usize, per_inch: f64| pixels as f64 * 25.4 / per_inch;
        json!({
            "film": path.display().to_string(),
            "size_px": [self.width, self.height],
            "size_mm": [mm(self.width, self.resolution.x()), mm(self.height, self.resolution.y())],
            "px_per_inch": [self.resolution.x(), self.resolution.y()],
            "coverage": self.coverage,
            "screen": screen,
            "connectivity": {"dots": 8, "holes": 4},
            "dots": parts(&self.dots),
            "holes": parts(&self.holes),
            "perimeter_mm": self.perimeter.to_mm(),
            "perimeter_mm_per_mm2": self.edge(),
            "close_look_px": {"at": [self.close.x, self.close.y], "size": [self.close.width, self.close.height]},
            "smallest_line": narrow(&self.line),
            "smallest_gap": narrow(&self.gap),
            "gain_points_of_10_um": 100.0 * self.gain,
            "grain": grain,
            "spectrum": rings,
            "unknown": unknown,
        })
    }

    pub fn report(&self, path: &Path, name: &str) -> Result<Report> {
        let json = serde_json::to_string_pretty(&self.json(path)).expect("keys are text");
        let mut files = vec![(format!("{name}.json"), json.into_bytes())];
        if let Ok(rings) = &self.rings {
            let mut table = "cycles_per_px,power,anisotropy_db,samples\n".to_owned();
            for r in rings {
                let _ =
                    writeln!(table, "{:.6},{:.6e},{:.3},{}", r.frequency, r.power, r.anisotropy, r.samples);
            }
            files.push((format!("{name}-spectrum.csv"), table.into_bytes()));
            files.push((format!("{name}.svg"), self.picture(name, rings).into_bytes()));
        }
        let screen = match &self.screen {
            Ok(s) => {
                format!("{:.3} lines/inch at {:.3}° (modulo {:.0}°)", s.lines_per_inch, s.degrees, s.modulus)
            }
            Err(_) => "no screen to see".to_owned(),
        };
        let grain = self.grain.as_ref().map_or("unknown".to_owned(), |grain| format!("{grain:.5}"));
        let told = vec![
            format!("{}: {} x {} px, {}", path.display(), self.width, self.height, self.resolution),
            format!("  {:.3} % ink, {screen}, grain {grain}", 100.0 * self.coverage),
            format!(
                "  {} dots, {} holes, {:.3} mm of edge per mm², {:+.2} points for {GROWTH} µm of growth",
                self.dots.count(),
                self.holes.count(),
                self.edge(),
                100.0 * self.gain
            ),
        ];
        Ok(Report { files, told })
    }

    /// Power and direction over frequency.
    fn picture(&self, name: &str, rings: &[Ring]) -> String {
        let mut svg = Svg::new(760.0, 560.0);
        svg.title(&format!("{name}: what its unevenness is made of"));
        // Of pixels that are not square the finer side gives the higher frequencies; rings are of pixels.
        let square = (self.resolution.x() - self.resolution.y()).abs() < 1e-6 * self.resolution.x();
        let (scale, unit) =
            if square { (self.resolution.x(), "cycles per inch") } else { (1.0, "cycles per pixel") };
        let across = || Axis::linear(unit, 0.0, 0.5 * scale);
        let lowest = rings.iter().map(|r| r.power).filter(|&p| p > 0.0).fold(1.0, f64::min);
        let highest = rings.iter().map(|r| r.power).fold(1.0, f64::max);
        let power =
            Frame::new([84.0, 92.0, 640.0, 250.0], across().quiet(), Axis::decades("", lowest, highest));
        svg.frame(&power, "power; white noise is 1");
        svg.line(&power, &[(0.0, 1.0), (0.5 * scale, 1.0)], INK, "1", "4 4");
        if let Ok(screen) = self.screen.as_ref()
            && square
        {
            let at = screen.lines_per_inch;
            svg.mark(&power, at, &format!("{at:.2} lines to the inch, {:.2}°", screen.degrees));
        }
        let points = |of: fn(&Ring) -> f64| -> Vec<(f64, f64)> {
            rings.iter().map(|r| (r.frequency * scale, of(r))).collect()
        };
        svg.line(&power, &points(|r| r.power.max(1e-12)), BEFORE, "1.3", "");
        let enough: Vec<&Ring> = rings.iter().filter(|r| r.samples >= 8).collect();
        let (low, high) = enough.iter().fold((0.0_f64, 10.0_f64), |(low, high), r| {
            (low.min(r.anisotropy.max(-30.0)), high.max(r.anisotropy))
        });
        let direction = Frame::new([84.0, 392.0, 640.0, 100.0], across(), Axis::linear("", low, high).few());
        svg.frame(&direction, "anisotropy, dB; without a direction 0");
        let points: Vec<_> =
            enough.iter().map(|r| (r.frequency * scale, r.anisotropy.clamp(low, high))).collect();
        svg.line(&direction, &points, BEFORE, "1", "");
        svg.finish()
    }
}
