//! The job file.
//!
//! ```toml
//! name = "Moth lantern night"     # on every sheet; else the picture's name
//! date = "25 November 2026"       # on every sheet, as it is told; no clock is looked at
//! art = "art.png"                 # PNG, TIFF or JPEG; or plates = "FOLDER" of grey pictures NN-ink.png
//! width = "250mm"                 # of the print; else the size that the picture states
//! shelf = "shelf.toml"            # where inks are found by their names
//!
//! [garment]
//! colour = "#121a36"              # colours as in a shelf: #rrggbb, lab(L a b), xyz(X Y Z)
//!
//! [screen]                        # for every ink that does not say otherwise
//! lines = 45                      # to the inch, or "18/cm"
//! angle = 22.5
//! press = "press.csv"             # film and printed coverage, or a list of pairs in percent
//! mesh = { count = "90/cm", thread = "40um" }
//!
//! [[ink]]                         # in printing order
//! name = "base white"
//! base = true                     # none of it under solid black
//! choke = "0.15mm"                # drawn in, so that it does not look out
//! flash = true
//!
//! [[ink]]
//! name = "soot black"
//! mode = "inverted"               # its dots stand in the gaps of the others
//! ```
//!
//! Paths are told from the folder of the job file. Parts are in percent, lengths have a unit. All keys:
//!
//! | table | keys, and what is usual |
//! |---|---|
//! | top | `name`, `date`; `art` or `plates`; `art_resolution` (what the picture states), `width`, `trim` (`[left, top, width, height]` in pixels of the picture: what is printed of it), `resolution` (1200 film px/inch), `sampling` (`linear`), `shelf`, `make` (all of `["plates", "films", "sheets", "proof", "report"]`) |
//! | `[garment]` | `colour` (must be told), `name` |
//! | `[knock_out]` | if there, the background becomes garment ([`KnockOut`](crate::colour::KnockOut)): `background` (the border's colour), `tolerance` (2), `soft` (3), `everywhere` (false) |
//! | `[separation]` | `intent` (`adapted` or `absolute`), `knee` (90), `ink_price` (0.2), `grey_price` (1), `smoothness` (100), `floor` (0: the lightest tone that prints), `black` (an ink's name), `wet` (100: what of an ink's thickness stays on wet ink), `yule_nielsen` (1) |
//! | `[[pin]]` | `colour` of the art (`#rrggbb`) that is one `ink` in full |
//! | `[[overprint]]` | measured `colour` of `inks` (their names) on each other |
//! | `[screen]` | `together` (`free`: each plate is screened by itself; `index`: every index dot has one ink or none; `index diffused`: the same by error diffusion; `side by side`: all inks but the base share one lattice, each with dots of its own, and none lies on another, which wants round or euclidean dots; `side by side in rings`: as rings about a common middle) |
//! | `[screen]` and every `[[ink]]` | `lines` (45), `angle` (22.5), `dot` (`ellipse:0.4,0.6`), `mode` (`normal`), `growth` (`even`), `smallest_dot` and `smallest_hole` (`0um`: any), `press`, `film_printer` (wedges), `mesh` |
//! | `[[ink]]` | `name`; nothing more if it is on the shelf, else `over_white` and `over_black` (on cards `white` and `black`) or one opaque `colour`; `flash` (false: whether the print is flash-dried after it); `base` (false: whether it is the white that carries the colours, of which none lies under solid black; first of all inks it is made for plates that have none); `price` (that of all inks: 5 for a highlight white printed last, used only where the others are not light enough); `choke` (`0mm`: drawn in at hard edges by this), `least_width` (half of the choke: what thin lines keep), `spread` (`0mm`: solids drawn out under later ones that they butt); `curve` (pairs of tones), `highlight_cut` (0), `shadow_fill` (100); `plate` (supplied: the others are solved for it); `shift` (`["0mm", "0mm"]`: how far right and down its film lies beside its place, in the proof from films) |
//! | `[sheet]` | `margin` (14mm), `mark` (9mm), `line` (0.125mm), `letters` (2mm), `patch` (8mm), `wedge` (list of tones), `reading` (`right` or `mirrored`), `polarity` (`positive` or `negative`) |
//! | `[proof]` | `eye` (`600mm`: how far from the print it is looked at); for the proof from films `growth` of edges of ink (what fits the wedge of the press best; none without a wedge) and `place` (`["X", "Y"]`, its middle told from the print's left and top; the worst place) |
//!
//! A wedge read by an instrument is `{ readings = "FILE", scale = "density", form = "murray-davies" }`. Plates without any `[[ink]]` have
//! the inks that their files are named for, in the order of their numbers, from the shelf.

use std::path::{Path, PathBuf};

use crate::colour::{Overlap, Print, Shelf, Xyz};
use crate::error::{Error, Result};
use crate::job::inks::{self, JobInk, Told, number};
use crate::job::picture::{Background, Picture, Source, file_name, plates_in};
use crate::job::screening::screens;
use crate::job::separating::{self, Separating};
use crate::job::together::{self, Together};
use crate::job::values::{Codes, Count, Percent, Yes};
use crate::job::{Garment, Job, Make, beside};
use crate::screen::{Sampling, Screen};
use crate::settings::{At, Keys, Mistakes, Text};
use crate::sheet::Layout;
use crate::units::{Length, Resolution};

pub(super) fn parse(name: &str, text: &str, folder: &Path, picture: Option<&Path>) -> Result<Job> {
    let (mut found, mut keys) = Mistakes::open(name, text)?;
    let mistakes = &mut found;
    let title = keys.read::<Text>("name", mistakes);
    let date = keys.read::<Text>("date", mistakes).map_or_else(String::new, |date| date.value.0);
    let from = source(&mut keys, folder, picture, mistakes);
    let mut picture = Picture {
        source: Source::Art(PathBuf::new()),
        trim: trim(&mut keys, mistakes),
        resolution: keys.value("art_resolution", mistakes).map(|at| at.value),
        width: inks::length(&mut keys, "width", 1.0, mistakes),
        background: None,
    };
    let resolution = keys.value("resolution", mistakes).map(|at| at.value);
    let sampling = keys.read("sampling", mistakes).map_or(Sampling::Linear, |at| at.value);
    let shelf = shelf(&mut keys, folder, mistakes);
    let make = make(&mut keys, mistakes);
    let garment = garment(&mut keys, mistakes);
    picture.background = background(&mut keys, mistakes);
    let (mut usual, mut together, mut screen_at) = (Told::default(), Together::Free, 0);
    if let Some(mut keys) = keys.table("screen", mistakes) {
        screen_at = keys.at;
        usual = Told::read(&mut keys, folder, mistakes);
        together = keys.read("together", mistakes).map_or(together, |at| at.value);
        keys.done(mistakes);
    }
    let mut inks: Vec<JobInk> = Vec::new();
    // An ink that is wrong has been told; what is said of the others' names must not be told for it.
    let mut all_sound = true;
    for table in keys.tables("ink", mistakes) {
        match inks::ink(table, shelf.as_ref(), &usual, folder, mistakes) {
            Some(ink) if inks.iter().any(|other| other.ink.name() == ink.ink.name()) => {
                mistakes.add(ink.at, format!("ink {:?} is there already", ink.ink.name()));
            }
            Some(ink) => inks.push(ink),
            None => all_sound = false,
        }
    }
    match from {
        Some(At { value: (folder, true), at }) => {
            if let Some(source) = plates(folder, at, &mut inks, all_sound, &shelf, &usual, mistakes) {
                picture.source = source;
            }
        }
        Some(At { value: (path, false), .. }) => {
            picture.source = Source::Art(path);
            if inks.is_empty() && all_sound {
                mistakes.add(0, "no ink; each begins with a line [[ink]]");
            }
            if let Some(ink) = inks.iter().filter(|ink| ink.held.is_some()).nth(1) {
                mistakes.add(ink.at, "a second ink with a plate of its own; allowed: one");
            }
            if let Some(ink) = inks.iter().filter(|ink| ink.base).nth(1) {
                mistakes.add(ink.at, "a second base; allowed: one");
            }
        }
        None => {}
    }
    let separation = separating::read(&mut keys, &inks, all_sound, mistakes);
    let layout = layout(&mut keys, mistakes);
    let (mut eye, mut growth, mut place) = (None, None, None);
    if let Some(mut keys) = keys.table("proof", mistakes) {
        eye = inks::length(&mut keys, "eye", 50_000.0, mistakes);
        growth = keys.read("growth", mistakes).map(|at| at.value);
        place = inks::lengths(&mut keys, "place", mistakes);
        keys.done(mistakes);
    }
    keys.done(mistakes);
    let resolution = resolution.map_or_else(|| Resolution::per_inch(1200.0), Ok)?;
    let screens = built(&inks, resolution, mistakes);
    let mut side_by_side = None;
    if let (Together::Beside(sharing), true) = (together, all_sound && screens.len() == inks.len()) {
        match beside::screen(&inks, sharing, resolution) {
            Ok(screen) => side_by_side = Some(screen),
            Err(error) => mistakes.add(screen_at, error),
        }
    }
    if together.is_index() && all_sound {
        together::check_index(&inks, &picture, screen_at, mistakes);
    }
    let job = Job {
        name: title.map_or_else(|| stem(&picture.source), |title| title.value.0),
        date,
        picture,
        resolution,
        sampling,
        together,
        garment: garment.unwrap_or(Garment { name: String::new(), colour: Xyz::default() }),
        separation,
        inks,
        screens,
        beside: side_by_side,
        layout,
        eye: eye.map_or_else(|| Length::mm(600.0), Ok)?,
        growth,
        place,
        make,
    };
    let is_whole = all_sound && !job.inks.is_empty() && job.screens.len() == job.inks.len();
    if let Some(Err(error)) = is_whole.then(|| job.print()) {
        mistakes.add(0, error);
    }
    found.none(job)
}

impl Job {
    /// The print of its inks on its garment, by the law of its screens.
    pub(super) fn print(&self) -> Result<Print> {
        let law = match self.together {
            Together::Free => Overlap::of(&self.screens.iter().collect::<Vec<&Screen>>())?,
            Together::Index | Together::IndexDiffused => Overlap::side_by_side(self.inks.len())?,
            Together::Beside(_) => beside::law(&self.inks)?,
        };
        let Separating { wet, yule_nielsen, overprints, .. } = &self.separation;
        let mut print = Print::on(self.garment.colour).wet(*wet).yule_nielsen(*yule_nielsen);
        for ink in &self.inks {
            print = print.ink(&ink.ink);
            if ink.flash {
                print = print.flash();
            }
        }
        for (inks, colour) in overprints {
            print = print.overprint(inks, *colour);
        }
        print.build(&law)
    }
}

/// The picture's path, and whether it is a folder of plates.
fn source(
    keys: &mut Keys<'_>,
    folder: &Path,
    instead: Option<&Path>,
    mistakes: &mut Mistakes<'_>,
) -> Option<At<(PathBuf, bool)>> {
    let (art, plates) = (keys.read::<Text>("art", mistakes), keys.read::<Text>("plates", mistakes));
    let (at, path, is_plates) = match (instead, art, plates) {
        (Some(path), _, _) => (0, path.to_owned(), path.is_dir()),
        (None, Some(art), None) => (art.at, folder.join(art.value.0), false),
        (None, None, Some(plates)) => (plates.at, folder.join(plates.value.0), true),
        (None, Some(_), Some(plates)) => {
            mistakes.add(plates.at, "plates beside art; allowed: one of both");
            return None;
        }
        (None, None, None) => {
            mistakes.add(0, "art is missing (or plates, a folder of them)");
            return None;
        }
    };
    // The full path, so that the job can be written elsewhere.
    match path.canonicalize() {
        Ok(path) => Some(At { value: (path, is_plates), at }),
        Err(source) => {
            mistakes.add(at, Error::Io { path, source });
            None
        }
    }
}

/// The plates of a folder, each with its ink; inks come from the files' names where the job tells none.
fn plates(
    folder: PathBuf,
    at: usize,
    inks: &mut Vec<JobInk>,
    all_sound: bool,
    shelf: &Option<Shelf>,
    usual: &Told,
    mistakes: &mut Mistakes<'_>,
) -> Option<Source> {
    let files = match plates_in(&folder) {
        Ok(files) => files,
        Err(error) => {
            mistakes.add(at, error);
            return None;
        }
    };
    if let Some(ink) = inks.iter().find(|ink| ink.held.is_some()) {
        mistakes.add(ink.at, "a plate of its own among plates; it belongs into their folder");
    }
    let is_for = |ink: &str, file: &str| file_name(ink).to_lowercase() == file_name(file).to_lowercase();
    if inks.is_empty() && all_sound {
        for (name, path) in &files {
            let on_shelf = shelf.iter().flat_map(Shelf::inks).find(|ink| is_for(ink.name(), name));
            let Some(ink) = on_shelf else {
                let why = format!("{}: no [[ink]] and none of the shelf is called {name}", path.display());
                mistakes.add(at, why);
                continue;
            };
            let (ink, screening) = (ink.clone(), usual.clone().or(&Told::default()).ok()?);
            inks.push(JobInk::plain(ink, screening, at));
        }
        return Some(Source::Plates(folder, files.into_iter().map(|(_, path)| Some(path)).collect()));
    }
    let mut paths = Vec::new();
    for (i, ink) in inks.iter().enumerate() {
        match files.iter().find(|(name, _)| is_for(ink.ink.name(), name)) {
            Some((_, path)) => paths.push(Some(path.clone())),
            None if ink.base && i == 0 && inks.len() > 1 => paths.push(None),
            None => mistakes.add(
                ink.at,
                format!("ink {:?}: no plate of its name in {}", ink.ink.name(), folder.display()),
            ),
        }
    }
    if all_sound {
        for (_, path) in files.iter().filter(|(_, path)| !paths.contains(&Some(path.clone()))) {
            mistakes.add(at, format!("{}: no [[ink]] of its name", path.display()));
        }
    }
    Some(Source::Plates(folder, paths))
}

fn trim(keys: &mut Keys<'_>, mistakes: &mut Mistakes<'_>) -> Option<[usize; 4]> {
    let list = keys.list::<Count>("trim", mistakes)?;
    let sides: Vec<usize> = list.value.iter().map(|side| side.value.0).collect();
    let trim = <[usize; 4]>::try_from(sides).ok().filter(|[_, _, width, height]| *width > 0 && *height > 0);
    if trim.is_none() {
        mistakes.add(list.at, "trim; allowed: [left, top, width, height] in pixels of the picture");
    }
    trim
}

fn shelf(keys: &mut Keys<'_>, folder: &Path, mistakes: &mut Mistakes<'_>) -> Option<Shelf> {
    let file = keys.read::<Text>("shelf", mistakes)?;
    Shelf::read(&folder.join(file.value.0)).map_err(|error| mistakes.add(file.at, error)).ok()
}

fn make(keys: &mut Keys<'_>, mistakes: &mut Mistakes<'_>) -> Make {
    let Some(list) = keys.list::<Text>("make", mistakes) else {
        return Make { plates: true, films: true, sheets: true, proof: true, report: true };
    };
    let mut make = Make { plates: false, films: false, sheets: false, proof: false, report: false };
    for what in list.value {
        match what.value.0.as_str() {
            "plates" => make.plates = true,
            "films" => make.films = true,
            "sheets" => make.sheets = true,
            "proof" => make.proof = true,
            "report" => make.report = true,
            other => mistakes
                .add(what.at, format!("make: {other:?}; allowed: plates, films, sheets, proof, report")),
        }
    }
    make
}

fn garment(keys: &mut Keys<'_>, mistakes: &mut Mistakes<'_>) -> Option<Garment> {
    if !keys.has("garment") {
        mistakes.add(0, "[garment] is missing, and the colour in it");
    }
    let mut keys = keys.table("garment", mistakes)?;
    let colour = keys.needed::<Xyz>("colour", mistakes);
    let name = keys.read::<Text>("name", mistakes).map_or_else(String::new, |name| name.value.0);
    keys.done(mistakes);
    Some(Garment { name, colour: colour?.value })
}

fn background(keys: &mut Keys<'_>, mistakes: &mut Mistakes<'_>) -> Option<Background> {
    let mut keys = keys.table("knock_out", mistakes)?;
    let background = Background {
        colour: keys.read::<Codes>("background", mistakes).map(|colour| colour.value.0),
        tolerance: number(&mut keys, "tolerance", 0.0..=64.0, 2.0, mistakes),
        soft: number(&mut keys, "soft", 0.0..=64.0, 3.0, mistakes) as u8,
        everywhere: keys.value::<Yes>("everywhere", mistakes).is_some_and(|yes| yes.value.0),
    };
    keys.done(mistakes);
    Some(background)
}

fn layout(top: &mut Keys<'_>, mistakes: &mut Mistakes<'_>) -> Layout {
    let mut layout = Layout::default();
    let Some(mut keys) = top.table("sheet", mistakes) else { return layout };
    let mut side = |key, value: &mut Length| {
        if let Some(told) = keys.read::<Length>(key, mistakes) {
            *value = told.value;
        }
    };
    side("margin", &mut layout.margin);
    side("mark", &mut layout.mark);
    side("line", &mut layout.line);
    side("letters", &mut layout.letters);
    side("patch", &mut layout.patch);
    if let Some(list) = keys.list::<Percent>("wedge", mistakes) {
        if let Some(wrong) = list.value.iter().find(|tone| !(0.0..=1.0).contains(&tone.value.0)) {
            mistakes.add(wrong.at, format!("wedge holds {}; allowed: 0 to 100", wrong.value));
        }
        layout.wedge = list.value.iter().map(|tone| tone.value.0).collect();
    }
    layout.reading = keys.read("reading", mistakes).map_or(layout.reading, |at| at.value);
    layout.polarity = keys.read("polarity", mistakes).map_or(layout.polarity, |at| at.value);
    let at = keys.at;
    keys.done(mistakes);
    if let Err(error) = layout.check() {
        mistakes.add(at, error);
    }
    layout
}

/// The screens of all inks; fewer where some cannot be built, which is told.
fn built(inks: &[JobInk], resolution: Resolution, mistakes: &mut Mistakes<'_>) -> Vec<Screen> {
    let screenings: Vec<_> = inks.iter().map(|ink| &ink.screening).collect();
    let mut built = Vec::new();
    for (ink, screen) in inks.iter().zip(screens(&screenings, resolution)) {
        match screen {
            Some(Ok(screen)) => built.push(screen),
            Some(Err(error)) => mistakes.add(ink.at, format!("screen of {:?}: {error}", ink.ink.name())),
            None => {}
        }
    }
    built
}

fn stem(source: &Source) -> String {
    let (Source::Art(path) | Source::Plates(path, _)) = source;
    path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
}
