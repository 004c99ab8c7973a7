//! The report: what was made, in words and pictures, as one page beside them.
//!
//! Plain HTML with a style sheet of its own and no script; it refers to the pictures in its folder. Every name that comes from outside is
//! escaped. Numbers say what they are, and estimates that they are.

use std::fmt::Write;

use crate::colour::{Print, Xyz};
use crate::job::picture::Source;
use crate::job::proof::SCALE;
use crate::job::screening::Screening;
use crate::job::together::Together;
use crate::job::{Distance, InkDone, Job};
use crate::press::{Finding, check::Weight};
use crate::screen::{Mode, Screen};
use crate::sheet::{Polarity, Reading, Sheet};
use crate::units::{Length, Resolution};

/// What a report tells of.
pub(super) struct Facts<'a> {
    pub job: &'a Job,
    pub print: &'a Print,
    /// Names of the files without what is before and behind: `01-base-white`.
    pub names: &'a [String],
    pub inks: &'a [InkDone],
    /// Sizes of plates and films, in pixels.
    pub plate: [[usize; 2]; 2],
    pub plate_resolution: Resolution,
    pub sheet: Option<&'a Sheet>,
    /// Size and resolution of the proof.
    pub proof: Option<([usize; 2], Resolution)>,
    /// Against the art's own colours, and against those wanted.
    pub distances: Option<[Distance; 2]>,
    /// The middle of the piece that is shown dot by dot.
    pub dots: Option<[Length; 2]>,
    /// How far edges of each ink have moved there.
    pub growths: &'a [Length],
    pub findings: &'a [Finding],
}

/// The page.
pub(super) fn html(facts: &Facts<'_>) -> String {
    let mut page = String::new();
    let job = facts.job;
    let title = escaped(&job.name);
    // Writing to a string does not fail.
    let _ = write!(
        page,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{title}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n<header>\n<h1>{title}</h1>\n<p>{}</p>\n</header>\n<main>\n",
        summary(facts)
    );
    print(&mut page, facts);
    inks(&mut page, facts);
    screens(&mut page, facts);
    checks(&mut page, facts);
    files(&mut page, facts);
    page += "</main>\n</body>\n</html>\n";
    page
}

fn summary(facts: &Facts<'_>) -> String {
    let job = facts.job;
    let count = job.inks.len();
    let inks = if count == 1 { "1 ink".to_owned() } else { format!("{count} inks") };
    let garment = match job.garment.name.as_str() {
        "" => "the garment".to_owned(),
        name => escaped(name),
    };
    let size = size(facts.plate[0], facts.plate_resolution);
    let date = if job.date.is_empty() { String::new() } else { format!(" · {}", escaped(&job.date)) };
    format!("{inks} on {garment}, {size}{date}")
}

/// The print to expect, and how far it is from the art.
fn print(page: &mut String, facts: &Facts<'_>) {
    if facts.proof.is_none() {
        return;
    }
    *page += "<section>\n<h2>The print to expect</h2>\n<div class=\"pair\">\n<figure><img src=\"proof.png\" alt=\"The print to \
              expect\"><figcaption>Computed from plates, inks, their order and the law by which their screens overlap. Dots are too \
              small to be seen here.</figcaption></figure>\n";
    let Some(distances) = facts.distances else {
        *page += "</div>\n";
        dots(page, facts);
        *page += "</section>\n";
        return;
    };
    *page += "<figure><img src=\"difference.png\" alt=\"Difference from the art\"><figcaption>Difference from the art, ΔE00: <span \
              class=\"scale\">";
    for (at, [r, g, b]) in SCALE {
        let light = if at > 5.0 { " class=\"dark\"" } else { "" };
        let _ = write!(page, "<b{light} style=\"background:rgb({r},{g},{b})\">{at}</b>");
    }
    *page += "</span></figcaption></figure>\n</div>\n<table>\n<thead><tr><th>ΔE00 of the print (CIEDE2000)<th>mean<th>95 of 100 \
              places within<th>worst square inch</thead>\n<tbody>\n";
    let against = ["from the art's own colours", "from what was wanted of these inks"];
    for (against, d) in against.into_iter().zip(distances) {
        let _ = writeln!(
            page,
            "<tr><td>{against}<td>{:.2}<td>{:.2}<td>{:.2}, about {}",
            d.mean,
            d.most,
            d.worst,
            place(d.worst_place)
        );
    }
    let eye = facts.job.eye.to_mm();
    let _ = writeln!(
        page,
        "</tbody>\n</table>\n<p class=\"note\">As an eye sees both from {eye:.0} mm. Inks on a garment cannot print every colour of a \
         screen: what was wanted of them is the art with its black and white brought to the darkest and lightest that they print, and \
         colours beyond their reach drawn in. The first row tells what the print cannot be; the second how well the plates do what can \
         be done. 1 can just be told apart side by side.</p>"
    );
    dots(page, facts);
    *page += "</section>\n";
}

/// One square inch: from films, and the same place of the pictures above, cut out by the style alone.
fn dots(page: &mut String, facts: &Facts<'_>) {
    let (Some(middle), Some((size, resolution))) = (facts.dots, facts.proof) else { return };
    let head = match (facts.job.place, facts.distances) {
        (None, Some(_)) => "The square inch that is worst",
        _ => "One square inch",
    };
    let growths = facts.growths.iter().map(|growth| growth.to_um());
    let (least, most) = growths.fold((f64::MAX, f64::MIN), |(low, high), um| (low.min(um), high.max(um)));
    let why = if facts.job.growth.is_none() { ", as the wedge of the press tells" } else { "" };
    let growth = match (least, most) {
        (0.0, 0.0) => String::new(),
        _ if most - least < 0.05 => format!("; its edges have grown by {most:.1} µm{why}"),
        _ => format!("; its edges have grown by {least:.1} to {most:.1} µm{why}"),
    };
    let _ = writeln!(
        page,
        "<h3>{head}: about {}</h3>\n<div class=\"pair\">\n<figure><img src=\"dots.png\" alt=\"The print dot by \
         dot\"><figcaption>From the films themselves, each dot laid on the others in printing order{growth}.</figcaption></figure>",
        place(middle)
    );
    // An inch is so many pixels of the page wide; the piece lies as far inside as the films' own.
    const SHOWN: f64 = 300.0;
    let whole = [size[0] as f64 / resolution.x(), size[1] as f64 / resolution.y()];
    let corner = [0, 1].map(|axis| {
        let inch = middle[axis].to_inches() - 0.5;
        SHOWN * inch.min(whole[axis] - 1.0).max(0.0)
    });
    let pictures = [("proof.png", "The print to expect"), ("difference.png", "Its difference from the art")];
    let there = if facts.distances.is_some() { 2 } else { 1 };
    for (file, what) in pictures.into_iter().take(there) {
        let _ = writeln!(
            page,
            "<figure><div class=\"crop\" style=\"background-image:url({file});background-size:{:.1}px \
             {:.1}px;background-position:-{:.1}px -{:.1}px\"></div><figcaption>{what}, there.</figcaption></figure>",
            SHOWN * whole[0],
            SHOWN * whole[1],
            corner[0],
            corner[1]
        );
    }
    *page += "</div>\n";
}

/// A place of the print in words.
fn place([x, y]: [Length; 2]) -> String {
    format!("{:.0} mm from the left and {:.0} mm from the top", x.to_mm(), y.to_mm())
}

/// Who prints when, how much of it.
fn inks(page: &mut String, facts: &Facts<'_>) {
    let job = facts.job;
    let model = facts.print;
    let swatch = |colour: Xyz| {
        let [r, g, b] = colour.to_linear().to_srgb::<u8>();
        format!("<i class=\"swatch\" style=\"background:rgb({r},{g},{b})\"></i>")
    };
    *page += "<section>\n<h2>Inks in printing order</h2>\n<table>\n<thead><tr><th>#<th>ink<th>on the garment<th>on \
              white<th>plate<th>film<th>ink for 100 prints<th>mesh</thead>\n<tbody>\n";
    let garment = swatch(job.garment.colour);
    let _ =
        writeln!(page, "<tr><td><td>garment {}<td>{garment}<td><td><td><td><td>", escaped(&job.garment.name));
    for (i, (ink, done)) in job.inks.iter().zip(facts.inks).enumerate() {
        let percent =
            |part: Option<f64>| part.map_or_else(|| "–".to_owned(), |part| format!("{:.1} %", 100.0 * part));
        let volume = done.ink_per_hundred.map_or_else(|| "–".to_owned(), |cm3| format!("{cm3:.0} cm³"));
        let _ = writeln!(
            page,
            "<tr><td>{}<td>{}<td>{}<td>{}<td>{}<td>{}<td>{volume}<td>{}",
            i + 1,
            escaped(ink.ink.name()),
            swatch(model.primaries()[1 << i]),
            swatch(ink.ink.drawdowns()[0].colour),
            percent(Some(done.plate_coverage)),
            percent(done.film_coverage),
            mesh(&ink.screening)
        );
        if ink.flash {
            *page += "<tr class=\"flash\"><td colspan=\"8\">flash-dry\n";
        }
    }
    *page += "</tbody>\n</table>\n<p class=\"note\">Plate: mean tone asked of the print. Film: ink on the film, after the curves of press \
              and film printer. Ink for 100 prints is an estimate: film coverage × area of the film × theoretical ink volume of the mesh \
              (open area × fabric thickness; what the emulsion adds and what stays in the screen are not in it).</p>\n";
    if facts.proof.is_some() {
        *page += "<p class=\"note\">Colours are as a screen that shows sRGB can show them.</p>\n";
    }
    *page += "</section>\n";
}

fn mesh(screening: &Screening) -> String {
    let mesh = &screening.mesh;
    let told = format!(
        "{:.0}/cm ({:.0}/inch), thread {:.0} µm",
        mesh.to_per_cm(),
        mesh.to_per_inch(),
        mesh.thread_um()
    );
    if screening.mesh_told { told } else { format!("{told} <em>not told: taken for usual</em>") }
}

/// Screens as asked for and as built.
fn screens(page: &mut String, facts: &Facts<'_>) {
    let job = facts.job;
    *page += "<section>\n<h2>Screens</h2>\n<table>\n<thead><tr><th>#<th>ink<th>asked for<th>built<th>dot<th>mode<th>curve</thead>\n<tbody>\n";
    for (i, (ink, screen)) in job.inks.iter().zip(&job.screens).enumerate() {
        let asked = &ink.screening;
        let built = match asked.shape.built(screen) {
            Some((lines, degrees)) => {
                format!("{lines:.3} lines/inch ({:.3}/cm) at {degrees:.3}°", lines / 2.54)
            }
            None => index_dots(screen, job.resolution),
        };
        let wanted = match screen.lattice() {
            Some(_) => {
                format!("{:.3} lines/inch at {}°", asked.lines.to_per_inch(), asked.angle.to_degrees())
            }
            None => String::new(),
        };
        let mode = match (job.together, asked.mode) {
            (Together::Free, Mode::Normal) => "normal",
            (Together::Free, Mode::Inverted) => "inverted: in the gaps of the others",
            _ if ink.base => "base, below the others",
            (Together::Index | Together::IndexDiffused, _) => "each dot has one ink",
            (Together::Beside(_), _) => "side by side with the others",
        };
        let curve = match (asked.press.is_empty(), asked.printer.is_empty()) {
            (true, true) => "none",
            (false, true) => "press",
            (true, false) => "film printer",
            (false, false) => "press and film printer",
        };
        let _ = writeln!(
            page,
            "<tr><td>{}<td>{}<td>{wanted}<td>{built}<td>{}<td>{mode}<td>{curve}",
            i + 1,
            escaped(ink.ink.name()),
            escaped(&asked.shape.to_string())
        );
    }
    let reading = match job.layout.reading {
        Reading::Right => "right-reading with the ink side towards you",
        Reading::Mirrored => "mirrored with the ink side towards you",
    };
    let polarity = match job.layout.polarity {
        Polarity::Positive => "positive",
        Polarity::Negative => "negative",
    };
    let sheet = facts.sheet.map_or_else(String::new, |sheet| {
        let size = size([sheet.width(), sheet.height()], job.resolution);
        format!(" Sheets: {size}, {polarity}, {reading}.")
    });
    let _ = write!(
        page,
        "</tbody>\n</table>\n<p class=\"note\">Films: {} × {} pixels at {}, {}.{sheet}</p>\n</section>\n",
        facts.plate[1][0],
        facts.plate[1][1],
        job.resolution,
        size(facts.plate[1], job.resolution)
    );
}

fn index_dots(screen: &Screen, resolution: Resolution) -> String {
    let [wide, high] = screen.index_pixels();
    let um = 25_400.0 * wide as f64 / resolution.x();
    format!("index dots of {um:.0} µm, {wide} × {high} pixels")
}

/// What the checks found.
fn checks(page: &mut String, facts: &Facts<'_>) {
    *page += "<section>\n<h2>Checks</h2>\n<ul class=\"checks\">\n";
    // What is said of several films in the same words is said once.
    let mut told: Vec<(&Finding, Vec<&str>)> = Vec::new();
    for finding in facts.findings {
        let alike = |other: &Finding| {
            (other.weight, &other.text, other.rule) == (finding.weight, &finding.text, finding.rule)
        };
        let films = finding.films.iter().map(String::as_str);
        match told.iter_mut().find(|(other, _)| alike(other)) {
            Some((_, others)) => others.extend(films),
            None => told.push((finding, films.collect())),
        }
    }
    for (finding, films) in told {
        let (class, word) = match finding.weight {
            Weight::Wrong => ("wrong", "wrong"),
            Weight::Care => ("care", "look at this"),
            Weight::Note => ("plain", "note"),
        };
        let _ = writeln!(
            page,
            "<li class=\"{class}\"><b>{word}</b> {}: {}<br><small>Held against: {}. Source: {}.</small>",
            escaped(&films.join(", ")),
            escaped(&finding.text),
            escaped(finding.rule),
            escaped(&finding.source.to_string())
        );
    }
    *page += "</ul>\n</section>\n";
}

/// What lies beside the page.
fn files(page: &mut String, facts: &Facts<'_>) {
    let make = facts.job.make;
    *page += "<section>\n<h2>Files</h2>\n<table>\n<tbody>\n";
    for (i, name) in facts.names.iter().enumerate() {
        let name = escaped(name);
        let mut links = Vec::new();
        for (made, folder, kinds) in [
            (make.plates, "plates", &["png"][..]),
            (make.films, "films", &["tif"]),
            (make.sheets, "sheets", &["tif", "pdf"]),
        ] {
            for kind in kinds.iter().filter(|_| made) {
                links.push(format!("<a href=\"{folder}/{name}.{kind}\">{folder}/{name}.{kind}</a>"));
            }
        }
        let plate = match make.plates {
            true => format!(
                "<img class=\"plate\" src=\"plates/{name}.png\" alt=\"plate {}\" loading=\"lazy\">",
                i + 1
            ),
            false => String::new(),
        };
        let _ = writeln!(page, "<tr><td>{plate}<td>{}", links.join("<br>"));
    }
    let from = match &facts.job.picture.source {
        Source::Art(path) | Source::Plates(path, _) => escaped(&path.to_string_lossy()),
    };
    let _ = write!(
        page,
        "</tbody>\n</table>\n<p class=\"note\">Made from {from}. <a href=\"job.toml\">job.toml</a> holds everything that was used: run \
         again it makes the same films, bit for bit.</p>\n</section>\n"
    );
}

/// A size in pixels, in lengths.
fn size([width, height]: [usize; 2], resolution: Resolution) -> String {
    let inches = [width as f64 / resolution.x(), height as f64 / resolution.y()];
    let [mm_x, mm_y] = inches.map(|side| 25.4 * side);
    format!("{mm_x:.1} × {mm_y:.1} mm ({:.2} × {:.2} inch)", inches[0], inches[1])
}

/// Text as HTML shows it, in attributes too.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => escaped += "&amp;",
            '<' => escaped += "&lt;",
            '>' => escaped += "&gt;",
            '"' => escaped += "&quot;",
            '\'' => escaped += "&#39;",
            c => escaped.push(c),
        }
    }
    escaped
}

const STYLE: &str = include_str!("report.css");

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_become_markup() {
        let name = "<script>alert('a&b')</script>\"";
        let safe = escaped(name);
        assert!(!safe.contains(['<', '>', '"', '\'']), "{safe}");
        assert_eq!(safe.matches('&').count(), 8);
    }
}
