//! The job written as a file: everything that was used, so that it can be run again.
//!
//! Numbers are written with as many digits as bring them back, and inks with their drawdowns and wedges as lists, so that neither shelf
//! nor tables are needed again. The picture stays where it is and is told by its full path.

use std::fmt::Display;
use std::path::Path;

use crate::colour::separate::Intent;
use crate::job::inks::JobInk;
use crate::job::picture::Source;
use crate::job::separating::Separating;
use crate::job::values::{Codes, Percent};
use crate::job::{Job, Make};
use crate::screen::{Growth, Mode, Sampling};
use crate::sheet::{Polarity, Reading};
use crate::tone::wedge;
use crate::units::{Length, Resolution};

pub(super) fn to_toml(job: &Job) -> String {
    let mut text = Text::default();
    text.line("name", quoted(&job.name));
    if !job.date.is_empty() {
        text.line("date", quoted(&job.date));
    }
    match &job.picture.source {
        Source::Art(path) => text.line("art", path_quoted(path)),
        Source::Plates(folder, _) => text.line("plates", path_quoted(folder)),
    }
    if let Some(resolution) = job.picture.resolution {
        text.line("art_resolution", resolved(resolution));
    }
    if let Some(width) = job.picture.width {
        text.line("width", long(width));
    }
    if let Some(trim) = job.picture.trim {
        text.line("trim", list(&trim));
    }
    text.line("resolution", resolved(job.resolution));
    text.line("sampling", quoted(if job.sampling == Sampling::Linear { "linear" } else { "nearest" }));
    let Make { plates, films, sheets, proof, report } = job.make;
    let made =
        [("plates", plates), ("films", films), ("sheets", sheets), ("proof", proof), ("report", report)];
    let made: Vec<String> = made.iter().filter(|(_, made)| *made).map(|(what, _)| quoted(what)).collect();
    text.line("make", list(&made));

    text.table("[garment]");
    text.line("colour", quoted(&job.garment.colour.to_string()));
    if !job.garment.name.is_empty() {
        text.line("name", quoted(&job.garment.name));
    }
    if let Some(background) = &job.picture.background {
        text.table("[knock_out]");
        if let Some(colour) = background.colour {
            text.line("background", quoted(&Codes(colour).to_string()));
        }
        text.line("tolerance", background.tolerance);
        text.line("soft", background.soft);
        text.line("everywhere", background.everywhere);
    }
    text.table("[screen]");
    text.line("together", quoted(&job.together.to_string()));
    separation(job, &mut text);
    for ink in &job.inks {
        text.table("[[ink]]");
        self::ink(ink, &mut text);
    }
    let layout = &job.layout;
    text.table("[sheet]");
    text.line("margin", long(layout.margin));
    text.line("mark", long(layout.mark));
    text.line("line", long(layout.line));
    text.line("letters", long(layout.letters));
    text.line("patch", long(layout.patch));
    text.line("wedge", list(&layout.wedge.iter().map(|&tone| Percent(tone)).collect::<Vec<_>>()));
    text.line("reading", quoted(if layout.reading == Reading::Right { "right" } else { "mirrored" }));
    text.line(
        "polarity",
        quoted(if layout.polarity == Polarity::Positive { "positive" } else { "negative" }),
    );
    text.table("[proof]");
    text.line("eye", long(job.eye));
    if let Some(growth) = job.growth {
        text.line("growth", long(growth));
    }
    if let Some(place) = job.place {
        text.line("place", list(&place.map(long)));
    }
    text.0
}

fn separation(job: &Job, text: &mut Text) {
    let Separating { intent, knee, ink_price, grey_price, smoothness, floor, black, wet, .. } =
        &job.separation;
    let name = |ink: usize| quoted(job.inks[ink].ink.name());
    text.table("[separation]");
    text.line("intent", quoted(if *intent == Intent::Absolute { "absolute" } else { "adapted" }));
    text.line("knee", Percent(*knee));
    text.line("ink_price", ink_price);
    text.line("grey_price", grey_price);
    text.line("smoothness", smoothness);
    text.line("floor", Percent(*floor));
    if let Some(black) = black {
        text.line("black", name(*black));
    }
    text.line("wet", Percent(*wet));
    text.line("yule_nielsen", job.separation.yule_nielsen);
    for (colour, ink) in &job.separation.pins {
        text.table("[[pin]]");
        text.line("colour", quoted(&Codes(*colour).to_string()));
        text.line("ink", name(*ink));
    }
    for (inks, colour) in &job.separation.overprints {
        text.table("[[overprint]]");
        text.line("inks", list(&inks.iter().map(|&ink| name(ink)).collect::<Vec<_>>()));
        text.line("colour", quoted(&colour.to_string()));
    }
}

fn ink(ink: &JobInk, text: &mut Text) {
    let screening = &ink.screening;
    text.line("name", quoted(ink.ink.name()));
    let [over_white, over_black] = ink.ink.drawdowns();
    text.line("over_white", quoted(&over_white.colour.to_string()));
    text.line("over_black", quoted(&over_black.colour.to_string()));
    text.line("white", quoted(&over_white.ground.to_string()));
    text.line("black", quoted(&over_black.ground.to_string()));
    text.line("flash", ink.flash);
    text.line("base", ink.base);
    if let Some(price) = ink.price {
        text.line("price", price);
    }
    text.line("choke", long(ink.choke));
    if let Some(least) = ink.least_width {
        text.line("least_width", long(least));
    }
    text.line("spread", long(ink.spread));
    text.line("lines", screening.lines.to_per_inch());
    text.line("angle", screening.angle.to_degrees());
    text.line("dot", quoted(&screening.shape.to_string()));
    text.line("mode", quoted(if screening.mode == Mode::Normal { "normal" } else { "inverted" }));
    text.line("growth", quoted(if screening.growth == Growth::Even { "even" } else { "straight" }));
    text.line("smallest_dot", long(screening.smallest_dot));
    text.line("smallest_hole", long(screening.smallest_hole));
    for (key, wedge) in [("press", &screening.press), ("film_printer", &screening.printer)] {
        if !wedge.is_empty() {
            let pair = |reading: &wedge::Reading| {
                format!("[{}, {}]", Percent(reading.film), Percent(reading.printed))
            };
            text.line(key, list(&wedge.iter().map(pair).collect::<Vec<_>>()));
        }
    }
    if screening.mesh_told {
        let mesh = &screening.mesh;
        text.line(
            "mesh",
            format!(
                "{{ count = \"{}/cm\", thread = \"{}um\", angle = {}, fabric = \"{}um\" }}",
                mesh.to_per_cm(),
                mesh.thread_um(),
                mesh.angle().to_degrees(),
                mesh.fabric_um()
            ),
        );
    }
    if !ink.curve.is_empty() {
        let pair = |[from, to]: &[f64; 2]| format!("[{}, {}]", Percent(*from), Percent(*to));
        text.line("curve", list(&ink.curve.iter().map(pair).collect::<Vec<_>>()));
    }
    text.line("highlight_cut", Percent(ink.highlight_cut));
    text.line("shadow_fill", Percent(ink.shadow_fill));
    if ink.shift != [Length::default(); 2] {
        text.line("shift", list(&ink.shift.map(long)));
    }
    if let Some(path) = &ink.held {
        text.line("plate", path_quoted(path));
    }
}

#[derive(Default)]
struct Text(String);

impl Text {
    fn line(&mut self, key: &str, value: impl Display) {
        self.0 += &format!("{key} = {value}\n");
    }

    fn table(&mut self, head: &str) {
        self.0 += &format!("\n{head}\n");
    }
}

fn long(length: Length) -> String {
    format!("\"{}um\"", length.to_um())
}

fn resolved(resolution: Resolution) -> String {
    format!("\"{}x{}\"", resolution.x(), resolution.y())
}

fn list(items: &[impl Display]) -> String {
    let items: Vec<String> = items.iter().map(ToString::to_string).collect();
    format!("[{}]", items.join(", "))
}

fn path_quoted(path: &Path) -> String {
    quoted(&path.to_string_lossy())
}

/// A TOML basic string.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if c.is_control() => quoted += &format!("\\u{:04X}", u32::from(c)),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}
