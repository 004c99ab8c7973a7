//! Inks in a job file: who they are, and how their plates are screened.
//!
//! What `[screen]` says holds for every ink; what an `[[ink]]` says itself holds for it.

use std::path::{Path, PathBuf};

use crate::colour::separate::Trim;
use crate::colour::{Drawdown, Ink, Shelf, Xyz};
use crate::error::{Error, Result};
use crate::job::screening::Screening;
use crate::job::values::{Number, Percent, Yes};
use crate::press::Mesh;
use crate::screen::{Dot, Growth, Mode, Shape};
use crate::settings::{At, Keys, Mistakes, Text, read_text};
use crate::tone::Curve;
use crate::tone::readings::{Form, Readings, Scale};
use crate::tone::wedge::{Reading, press_curve, read_table};
use crate::units::{Angle, Length, LineCount};

/// An ink of a job.
#[derive(Debug, Clone)]
pub(super) struct JobInk {
    pub ink: Ink,
    /// Whether the print is flash-dried after it.
    pub flash: bool,
    pub screening: Screening,
    /// Whether it is the base, of which none lies under black.
    pub base: bool,
    /// The price of its ink, where it has one of its own.
    pub price: Option<f64>,
    /// How far its plate is drawn in at hard edges, and what thin lines keep, where that is told.
    pub choke: Length,
    pub least_width: Option<Length>,
    /// How far its solids are drawn out under later ones that they butt.
    pub spread: Length,
    /// Its plate's curve, tone to tone; none for the tone itself.
    pub curve: Vec<[f64; 2]>,
    pub highlight_cut: f64,
    pub shadow_fill: f64,
    /// Its plate, where that is supplied for art.
    pub held: Option<PathBuf>,
    /// How far to the right and down its film lies beside its place, in the proof from films.
    pub shift: [Length; 2],
    /// Where the job file tells it, as a byte of its text.
    pub at: usize,
}

impl JobInk {
    /// An ink of which nothing is told but how it is screened.
    pub(super) fn plain(ink: Ink, screening: Screening, at: usize) -> Self {
        Self {
            ink,
            flash: false,
            base: false,
            price: None,
            choke: Length::default(),
            least_width: None,
            spread: Length::default(),
            screening,
            curve: Vec::new(),
            highlight_cut: 0.0,
            shadow_fill: 1.0,
            held: None,
            shift: [Length::default(); 2],
            at,
        }
    }

    /// Whether there is any hand on its plate.
    pub(super) fn has_hand(&self) -> bool {
        !self.curve.is_empty() || self.highlight_cut > 0.0 || self.shadow_fill < 1.0
    }

    /// The artist's hand on its plate. Errors: a curve that is none; a cut above the fill.
    pub(super) fn trim(&self) -> Result<Trim> {
        let points: Vec<(f64, f64)> = self.curve.iter().map(|&[from, to]| (from, to)).collect();
        let curve = if points.is_empty() { Curve::identity() } else { Curve::through(&points)? };
        Ok(Trim { curve, highlight_cut: self.highlight_cut, shadow_fill: self.shadow_fill })
    }
}

/// What a table says of screening; what it does not say is left to another.
#[derive(Debug, Clone, Default)]
pub(super) struct Told {
    lines: Option<LineCount>,
    angle: Option<Angle>,
    shape: Option<Shape>,
    mode: Option<Mode>,
    growth: Option<Growth>,
    smallest_dot: Option<Length>,
    smallest_hole: Option<Length>,
    press: Option<Vec<Reading>>,
    printer: Option<Vec<Reading>>,
    mesh: Option<Mesh>,
}

impl Told {
    /// Takes the keys of screening out of a table.
    pub(super) fn read(keys: &mut Keys<'_>, folder: &Path, mistakes: &mut Mistakes<'_>) -> Self {
        Self {
            lines: keys.value("lines", mistakes).map(|at| at.value),
            angle: keys.value("angle", mistakes).map(|at| at.value),
            shape: keys.value("dot", mistakes).map(|at| at.value),
            mode: keys.value("mode", mistakes).map(|at| at.value),
            growth: keys.value("growth", mistakes).map(|at| at.value),
            smallest_dot: keys.value("smallest_dot", mistakes).map(|at| at.value),
            smallest_hole: keys.value("smallest_hole", mistakes).map(|at| at.value),
            press: wedge(keys, "press", folder, mistakes),
            printer: wedge(keys, "film_printer", folder, mistakes),
            mesh: mesh(keys, mistakes),
        }
    }

    /// What both say, the other where this is silent, and what is usual where both are: 45 lines at 22.5°, elliptical dots in even
    /// growth, and a mesh of 90 threads/cm of 40 µm, five threads a line (*common practice* for textile).
    pub(super) fn or(self, other: &Self) -> Result<Screening> {
        let mesh = self.mesh.or(other.mesh);
        Ok(Screening {
            lines: self.lines.or(other.lines).map_or_else(|| LineCount::per_inch(45.0), Ok)?,
            angle: self.angle.or(other.angle).map_or_else(|| Angle::degrees(22.5), Ok)?,
            shape: self
                .shape
                .or_else(|| other.shape.clone())
                .map_or_else(|| Dot::ellipse(0.4, 0.6).map(Shape::Growing), Ok)?,
            mode: self.mode.or(other.mode).unwrap_or_default(),
            growth: self.growth.or(other.growth).unwrap_or_default(),
            smallest_dot: self.smallest_dot.or(other.smallest_dot).unwrap_or_default(),
            smallest_hole: self.smallest_hole.or(other.smallest_hole).unwrap_or_default(),
            press: self.press.or_else(|| other.press.clone()).unwrap_or_default(),
            printer: self.printer.or_else(|| other.printer.clone()).unwrap_or_default(),
            mesh_told: mesh.is_some(),
            mesh: mesh.map_or_else(|| Mesh::per_cm(90.0, Length::um(40.0)?, Angle::default()), Ok)?,
        })
    }
}

/// A wedge: a list of pairs (film, printed) in percent, the file of such a table, or `{ readings = "FILE", scale = "density" }`.
fn wedge(
    keys: &mut Keys<'_>,
    key: &'static str,
    folder: &Path,
    mistakes: &mut Mistakes<'_>,
) -> Option<Vec<Reading>> {
    let (at, read) = if keys.is_text(key) {
        let file = keys.read::<Text>(key, mistakes)?;
        (file.at, table(&folder.join(file.value.0)))
    } else if keys.is_table(key) {
        let mut keys = keys.table(key, mistakes)?;
        let (at, file) = (keys.at, keys.needed::<Text>("readings", mistakes));
        let scale = keys.needed::<Scale>("scale", mistakes);
        let form = keys.read::<Form>("form", mistakes).map(|form| form.value).unwrap_or_default();
        keys.done(mistakes);
        let (file, scale) = (file?, scale?);
        (at, readings(&folder.join(file.value.0), scale.value, form))
    } else {
        let pairs = keys.pairs::<Percent>(key, mistakes)?;
        let reading = |[film, printed]: [Percent; 2]| Reading { film: film.0, printed: printed.0 };
        (pairs.at, Ok(pairs.value.into_iter().map(reading).collect()))
    };
    match read.and_then(|read: Vec<Reading>| press_curve(&read).map(|_| read)) {
        Ok(read) => Some(read),
        Err(error) => {
            mistakes.add(at, format!("{key}: {error}"));
            None
        }
    }
}

fn table(path: &Path) -> Result<Vec<Reading>> {
    let (name, text) = read_text(path)?;
    read_table(&name, &text)
}

/// Readings of an instrument, as the pairs of their curve at every percent: smoothed as they are, and as exact as a film.
fn readings(path: &Path, scale: Scale, form: Form) -> Result<Vec<Reading>> {
    let (name, text) = read_text(path)?;
    let curve = Readings::from_table(&name, &text, scale)?.form(form)?.measure()?.curve;
    let film = (1..100).map(|percent| f64::from(percent) / 100.0);
    Ok(film.map(|film| Reading { film, printed: curve.eval(film) }).collect())
}

fn mesh(keys: &mut Keys<'_>, mistakes: &mut Mistakes<'_>) -> Option<Mesh> {
    let mut keys = keys.table("mesh", mistakes)?;
    let at = keys.at;
    let (count, thread) =
        (keys.needed_value::<LineCount>("count", mistakes), keys.needed::<Length>("thread", mistakes));
    let angle = keys.value::<Angle>("angle", mistakes).map(|angle| angle.value).unwrap_or_default();
    let fabric = keys.read::<Length>("fabric", mistakes);
    keys.done(mistakes);
    let (count, thread) = (count?, thread?);
    let mesh = Mesh::per_cm(count.value.to_per_cm(), thread.value, angle);
    match mesh.and_then(|mesh| fabric.map_or(Ok(mesh), |fabric| mesh.fabric(fabric.value))) {
        Ok(mesh) => Some(mesh),
        Err(error) => {
            mistakes.add(at, format!("mesh: {error}"));
            None
        }
    }
}

/// An `[[ink]]`: on the shelf by its name, with drawdowns of its own, or of one opaque colour.
pub(super) fn ink(
    mut keys: Keys<'_>,
    shelf: Option<&Shelf>,
    usual: &Told,
    folder: &Path,
    mistakes: &mut Mistakes<'_>,
) -> Option<JobInk> {
    let at = keys.at;
    let name = keys.needed::<Text>("name", mistakes);
    let mut yes = |key| keys.value::<Yes>(key, mistakes).is_some_and(|yes| yes.value.0);
    let (flash, base) = (yes("flash"), yes("base"));
    let price = keys.has("price").then(|| number(&mut keys, "price", 0.0..=100.0, 0.2, mistakes));
    let choke = length(&mut keys, "choke", 0.0, mistakes).unwrap_or_default();
    let least_width = length(&mut keys, "least_width", 0.0, mistakes);
    let spread = length(&mut keys, "spread", 0.0, mistakes).unwrap_or_default();
    let own = drawdowns(&mut keys, mistakes);
    let told = Told::read(&mut keys, folder, mistakes);
    let curve = keys.pairs::<Percent>("curve", mistakes);
    let mut percent = |key, usual| match keys.value::<Percent>(key, mistakes) {
        Some(part) if (0.0..=1.0).contains(&part.value.0) => part.value.0,
        Some(part) => {
            mistakes.add(part.at, format!("{key} is {}; allowed: 0 to 100", part.value));
            usual
        }
        None => usual,
    };
    let (highlight_cut, shadow_fill) = (percent("highlight_cut", 0.0), percent("shadow_fill", 1.0));
    let held = keys.read::<Text>("plate", mistakes).map(|file| folder.join(file.value.0));
    let shift = lengths(&mut keys, "shift", mistakes).unwrap_or_default();
    keys.done(mistakes);
    let name = name?;
    let ink = match own {
        Own::Wrong => return None,
        Own::Drawdowns([over_white, over_black]) => Ink::new(&name.value.0, over_white, over_black),
        Own::None => match shelf {
            Some(shelf) => shelf.ink(&name.value.0).cloned(),
            None => Err(Error::value(
                "ink",
                format!("{:?}", name.value.0),
                "one of a shelf (shelf = \"FILE\"), or with over_white and over_black, or a colour",
            )),
        },
    };
    let ink = match ink {
        Ok(ink) => ink,
        Err(error) => {
            mistakes.add(name.at, error);
            return None;
        }
    };
    let screening = told.or(usual).ok()?;
    let curve = curve.map(|pairs| pairs.value.iter().map(|pair| pair.map(|part| part.0)).collect());
    let curve = curve.unwrap_or_default();
    let ink = JobInk {
        flash,
        base,
        price,
        choke,
        least_width,
        spread,
        curve,
        highlight_cut,
        shadow_fill,
        held,
        shift,
        ..JobInk::plain(ink, screening, at)
    };
    if let Err(error) = ink.trim() {
        mistakes.add(at, error);
    } else if highlight_cut > shadow_fill {
        mistakes.add(at, "highlight_cut is above shadow_fill");
    }
    Some(ink)
}

/// Drawdowns that a job file tells.
enum Own {
    None,
    Drawdowns([Drawdown; 2]),
    Wrong,
}

fn drawdowns(keys: &mut Keys<'_>, mistakes: &mut Mistakes<'_>) -> Own {
    let at = keys.at;
    let is_there = ["over_white", "over_black"].map(|key| keys.has(key));
    let (plain, is_plain) = (keys.has("colour"), keys.read::<Xyz>("colour", mistakes));
    let colours = ["over_white", "over_black"].map(|key| keys.read::<Xyz>(key, mistakes));
    let cards = [("white", "#ffffff"), ("black", "#000000")]
        .map(|(key, usual)| keys.read::<Xyz>(key, mistakes).map_or_else(|| usual.parse(), |at| Ok(at.value)));
    let [Ok(white), Ok(black)] = cards else { return Own::Wrong };
    let pair = |over_white, over_black| {
        let over = |ground, colour| Drawdown { ground, colour };
        Own::Drawdowns([over(white, over_white), over(black, over_black)])
    };
    match (is_there, plain) {
        ([false, false], false) => Own::None,
        ([false, false], true) => is_plain.map_or(Own::Wrong, |colour| pair(colour.value, colour.value)),
        ([true, true], false) => match colours {
            [Some(over_white), Some(over_black)] => pair(over_white.value, over_black.value),
            _ => Own::Wrong,
        },
        _ => {
            mistakes
                .add(at, "an ink has over_white and over_black, or a colour, or neither and is on the shelf");
            Own::Wrong
        }
    }
}

/// A length of at least so many micrometres.
pub(super) fn length(
    keys: &mut Keys<'_>,
    key: &'static str,
    least: f64,
    mistakes: &mut Mistakes<'_>,
) -> Option<Length> {
    let At { value, at }: At<Length> = keys.read(key, mistakes)?;
    if value.to_um() < least {
        let least = Length::um(least).unwrap_or_default();
        mistakes.add(at, format!("{key} is {value}; allowed: from {least} on"));
        return None;
    }
    Some(value)
}

/// Two lengths, along x and y.
pub(super) fn lengths(
    keys: &mut Keys<'_>,
    key: &'static str,
    mistakes: &mut Mistakes<'_>,
) -> Option<[Length; 2]> {
    let list = keys.list::<Length>(key, mistakes)?;
    let lengths: Vec<Length> = list.value.iter().map(|at| at.value).collect();
    let pair = <[Length; 2]>::try_from(lengths).ok();
    if pair.is_none() {
        mistakes.add(list.at, format!("{key}; allowed: two lengths, to the right and down"));
    }
    pair
}

/// A number within a range, or what is usual.
pub(super) fn number(
    keys: &mut Keys<'_>,
    key: &'static str,
    range: std::ops::RangeInclusive<f64>,
    usual: f64,
    mistakes: &mut Mistakes<'_>,
) -> f64 {
    match keys.value::<Number>(key, mistakes) {
        Some(number) if range.contains(&number.value.0) => number.value.0,
        Some(number) => {
            let (low, high) = range.into_inner();
            mistakes.add(number.at, format!("{key} is {}; allowed: {low} to {high}", number.value.0));
            usual
        }
        None => usual,
    }
}
