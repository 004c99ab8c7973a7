//! The foot of a sheet: what film this is, and its wedge.
//!
//! Label and wedge stand side by side where the sheet is wide enough, else one above the other. The foot's height follows from the
//! film's width, the resolution and the layout alone, never from what a label says, so that all sheets of a job are of one size; texts
//! that are too long are shortened.

use crate::error::{Error, Result};
use crate::lettering::{BELOW, Lettering};
use crate::screen::{Mode, Placed, Screen};
use crate::sheet::{Grid, Labels, Layout, Polarity, Reading, Stamp};
use crate::tone::strip::Strip;
use crate::units::{Length, Resolution};

// In heights of the small letters:
/// the heading,
const HEADING: f64 = 2.0;
/// from line to line,
const PITCH: f64 = 1.7;
/// what stands between the heading and the first line besides, and between the wedge and its caption,
const CLEAR: f64 = 0.5;
/// the width of a label beside a wedge; with less, the wedge stands below.
const LABEL: f64 = 40.0;

/// Small lines under the heading.
const LINES: usize = 4;

/// A wedge's gaps, in parts of a patch.
const GAP: f64 = 0.125;

pub(super) struct Foot {
    /// Placed on the whole sheet.
    pub(super) stamps: Vec<Stamp>,
    /// Rows, down to the sheet's lower edge.
    pub(super) height: usize,
}

pub(super) fn foot(layout: &Layout, grid: &Grid, screen: Option<&Screen>, labels: &Labels) -> Result<Foot> {
    let mut foot = Writer::new(layout, grid)?;
    let (top, left, inner) = (grid.foot_top(), grid.edge[0], grid.width() - 2 * grid.edge[0]);
    let wedge =
        if layout.wedge.is_empty() { None } else { Some(Wedge::new(layout, grid, inner, foot.small)?) };
    let beside = wedge.as_ref().filter(|wedge| wedge.beside).map(|wedge| wedge.width);
    let room = inner - beside.map_or(0, |width| width + grid.margin[0]);

    let heading = format!("{} of {}  {}", labels.order[0], labels.order[1], labels.ink.trim());
    foot.write(layout.lettering(HEADING)?, &heading, left, top + foot.rows(HEADING), room)?;
    for (line, text) in lines(layout, grid, screen, labels).iter().enumerate() {
        let feet = top + foot.rows(HEADING + CLEAR + PITCH * (line + 1) as f64);
        foot.write(foot.small, text, left, feet, room)?;
    }
    let mut bottom = top + foot.rows(HEADING + CLEAR + PITCH * LINES as f64 + BELOW);
    if let Some(wedge) = &wedge {
        let at = match beside {
            Some(width) => [left + inner - width, top],
            None => [left, bottom + foot.rows(PITCH)],
        };
        let end = at[1] + wedge.height;
        if let Some(screen) = screen {
            foot.stamps.push(wedge.screened(screen, grid, at)?);
            let caption = match screen.curve() {
                Some(_) => "% asked of the print, through this film's curve",
                None => "% on this film",
            };
            foot.write(foot.small, caption, at[0], end + foot.rows(CLEAR + 1.0), left + inner - at[0])?;
        }
        bottom = bottom.max(end + foot.rows(CLEAR + 1.0 + BELOW));
    }
    Ok(Foot { stamps: foot.stamps, height: bottom + grid.edge[1] - top })
}

/// The small lines: job and date; screen; size; reading.
fn lines(layout: &Layout, grid: &Grid, screen: Option<&Screen>, labels: &Labels) -> [String; LINES] {
    let told: Vec<&str> =
        [labels.job.trim(), labels.date.trim()].into_iter().filter(|text| !text.is_empty()).collect();
    let mm = |axis: usize, per_inch: f64| grid.film[axis] as f64 / per_inch * 25.4;
    let resolution = grid.resolution;
    let size = format!(
        "{:.1} × {:.1} mm, {}",
        mm(0, resolution.x()),
        mm(1, resolution.y()),
        resolution.to_string().replace(" x ", " × ")
    );
    let side = match layout.reading {
        Reading::Right => "ink side towards you as you read this",
        Reading::Mirrored => "ink side away from you as you read this",
    };
    let polarity = match layout.polarity {
        Polarity::Positive => "Positive",
        Polarity::Negative => "Negative",
    };
    [
        told.join(", "),
        screen.map_or("No screen".to_owned(), |screen| told_screen(screen, resolution)),
        size,
        format!("{polarity}, {side}"),
    ]
}

/// Line count and angle as built, not as asked for.
fn told_screen(screen: &Screen, resolution: Resolution) -> String {
    let mut told = match (screen.lattice(), screen.index_pixels()) {
        (Some(lattice), _) => {
            let lines = lattice.lines_per_inch();
            format!("{:.2} lines/inch ({:.2}/cm) at {:.2}°", lines, lines / 2.54, lattice.degrees())
        }
        (None, [1, 1]) => "Own thresholds".to_owned(),
        (None, [wide, high]) => {
            let mm = wide as f64 / resolution.x() * 25.4;
            format!("Index dots of {mm:.3} mm, {wide} × {high} px")
        }
    };
    if screen.mode() == Mode::Inverted {
        told.push_str(", inverted");
    }
    told
}

/// Writes on the foot.
struct Writer<'g> {
    grid: &'g Grid,
    small: Lettering,
    stamps: Vec<Stamp>,
}

impl<'g> Writer<'g> {
    fn new(layout: &Layout, grid: &'g Grid) -> Result<Self> {
        Ok(Self { grid, small: layout.lettering(1.0)?, stamps: Vec::new() })
    }

    /// The nearest whole rows to a number of small letters' heights.
    fn rows(&self, heights: f64) -> usize {
        let (_, rows) = self.small.height().in_pixels(self.grid.resolution);
        libm::floor(heights * rows + 0.5) as usize
    }

    /// A text from column `x` on, standing on row `feet`, shortened to `room` columns.
    fn write(&mut self, letters: Lettering, text: &str, x: usize, feet: usize, room: usize) -> Result<()> {
        let resolution = self.grid.resolution;
        let text = letters.fit(text, Length::inches(room as f64 / resolution.x())?);
        if !text.is_empty() {
            let (film, line) = letters.film(resolution, &text)?;
            self.stamps.push(Stamp { x, y: feet - line, film: film.into() });
        }
        Ok(())
    }
}

/// The wedge's strip, and what of it shows: without the gap around it.
struct Wedge {
    strip: Strip,
    gap: usize,
    width: usize,
    height: usize,
    /// Whether label and wedge stand side by side.
    beside: bool,
}

impl Wedge {
    fn new(layout: &Layout, grid: &Grid, inner: usize, letters: Lettering) -> Result<Self> {
        let patch = grid.pixels(layout.patch).map(|side| side.max(1));
        let gap = (libm::floor(GAP * patch[0] as f64 + 0.5) as usize).min(grid.edge[0]);
        let (count, pitch) = (layout.wedge.len(), patch[0] + gap);
        let (label, _) = letters.height().in_pixels(grid.resolution);
        let beside = (count * pitch + grid.margin[0]) as f64 + LABEL * label <= (inner + gap) as f64;
        let columns = if beside { count } else { (inner + gap) / pitch };
        if columns == 0 {
            let allowed = format!("at most the sheet's {inner} px between its outer marks");
            return Err(Error::value("wedge patch", format!("{} px", patch[0]), allowed));
        }
        // As few rows as they fit in, filled alike.
        let columns = count.div_ceil(count.div_ceil(columns));
        let strip = Strip::new(&layout.wedge, 1, columns, patch, gap)?.labelled(letters, grid.resolution)?;
        let [width, height] = strip.size().map(|side| side - 2 * gap);
        Ok(Self { strip, gap, width, height, beside })
    }

    /// The wedge with its visible corner at a place of the sheet, its dots in step with the film's.
    fn screened(&self, screen: &Screen, grid: &Grid, at: [usize; 2]) -> Result<Stamp> {
        let [x, y] = at.map(|at| at - self.gap);
        let plate = self.strip.plate::<u16>()?;
        let on_film = |at: usize, margin: usize| at as i64 - margin as i64;
        let placed = Placed::new(plate.view()).at(on_film(x, grid.margin[0]), on_film(y, grid.margin[1]));
        Ok(Stamp { x, y, film: screen.film(placed)?.into() })
    }
}
