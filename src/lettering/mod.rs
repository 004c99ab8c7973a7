//! Text on film: letters of single strokes, as high and as heavy as asked in real length, at any resolution.
//!
//! A [`Lettering`] is a height and a weight; it tells how wide a text is and draws it. Nothing of the system is looked at, no font and
//! no locale, so the same text has the same bits everywhere.
//!
//! The set holds ASCII, the usual signs (° µ × ÷ ± – — · • … ² ³ € £, quotation marks) and the Latin letters of Europe's languages;
//! anything else is shown as a crossed box.

mod letters;
mod pen;

use std::fmt;

use crate::error::{Error, Result};
use crate::film::{Film, FilmMut};
use crate::units::{Length, Resolution};
use letters::{CAPITAL, Glyph, Node};
use pen::{Pen, Point};

/// Lowest and highest letters, in micrometres: below a tenth of a millimetre nothing can be read, above a metre nothing is meant.
const HEIGHTS: [f64; 2] = [100.0, 1e6];

/// Heaviest pen, in parts of a capital's height: beyond it letters close.
const MAX_WEIGHT: f64 = 0.25;

/// Between the strokes of two letters, in parts of their height.
const AIR: f64 = 0.2;

/// What a text may take above its capitals and below the line, in parts of their height: accents, tails, brackets.
pub(crate) const ABOVE: f64 = 0.4;
pub(crate) const BELOW: f64 = 0.4;

/// How letters are drawn.
#[derive(Clone, Copy, PartialEq)]
pub struct Lettering {
    /// Of a capital from edge to edge, in micrometres.
    height: f64,
    weight: f64,
}

impl Lettering {
    /// Letters whose capitals are `height` high (0.1 mm to 1 m), with strokes of a tenth of that.
    ///
    /// To be read on a film without a glass they should be 2 mm high.
    pub fn new(height: Length) -> Result<Self> {
        let um = height.to_um();
        if (HEIGHTS[0]..=HEIGHTS[1]).contains(&um) {
            Ok(Self { height: um, weight: um / 10.0 })
        } else {
            Err(Error::value("letter height", height, "0.1 mm to 1 m"))
        }
    }

    /// The same letters with strokes of another weight: above 0, at most a quarter of the height. A stroke below one pixel is drawn as
    /// one pixel.
    pub fn weight(self, weight: Length) -> Result<Self> {
        let um = weight.to_um();
        if um > 0.0 && um <= MAX_WEIGHT * self.height {
            Ok(Self { weight: um, ..self })
        } else {
            let most = self.length(MAX_WEIGHT * self.height);
            Err(Error::value(
                "stroke weight",
                weight,
                format!("above 0, at most {most} for letters this high"),
            ))
        }
    }

    /// The height of a capital.
    pub fn height(&self) -> Length {
        self.length(self.height)
    }

    /// From the left edge of a text's ink to its right edge; 0 for an empty text.
    pub fn width(&self, text: &str) -> Length {
        self.length(self.width_um(text))
    }

    /// The text, shortened with … where it is wider than `room`; nothing where not even that fits.
    pub fn fit(&self, text: &str, room: Length) -> String {
        let fits = |text: &str| self.width_um(text) <= room.to_um();
        if fits(text) {
            return text.to_owned();
        }
        let shortened = |end: usize| format!("{}…", text[..end].trim_end());
        // A mark stays with its letter.
        let ends: Vec<usize> =
            text.char_indices().filter(|(_, c)| !letters::is_mark(*c)).map(|(at, _)| at).collect();
        match ends.partition_point(|&end| fits(&shortened(end))) {
            0 => String::new(),
            fitting => shortened(ends[fitting - 1]),
        }
    }

    /// Draws a text on one line: the left edge of its ink at `x`, the lower edge of its capitals at `y`, both from the film's upper left
    /// corner. What lies outside of the film is left out.
    ///
    /// Cost: the rows of each stroke.
    pub fn draw(&self, film: &mut FilmMut<'_>, resolution: Resolution, text: &str, x: Length, y: Length) {
        let unit = self.unit();
        let mut left = x.to_um() + self.weight / 2.0;
        let top = y.to_um() - self.height + self.weight / 2.0;
        let mut pen = Pen::new(film, resolution, self.weight);
        for glyph in letters::glyphs(text) {
            for stroke in &glyph.strokes {
                draw_stroke(&mut pen, stroke, |node| [left + node.x * unit, top + node.y * unit]);
            }
            left += self.advance(&glyph);
        }
    }

    /// A film as large as the text with room for accents and tails, and the row that its capitals end above.
    ///
    /// Errors: memory that cannot be had.
    pub fn film(&self, resolution: Resolution, text: &str) -> Result<(Film, usize)> {
        let pixels = |um: f64, per_inch: f64| libm::ceil(um * per_inch / 25_400.0) as usize;
        let line = pixels(self.height * (1.0 + ABOVE), resolution.y());
        let height = line + pixels(self.height * BELOW, resolution.y());
        let mut film = Film::new(pixels(self.width_um(text), resolution.x()).max(1), height)?;
        let y = self.length(line as f64 * 25_400.0 / resolution.y());
        self.draw(&mut film.view_mut(), resolution, text, Length::default(), y);
        Ok((film, line))
    }

    fn width_um(&self, text: &str) -> f64 {
        let advances: f64 = letters::glyphs(text).map(|glyph| self.advance(&glyph)).sum();
        (advances - AIR * self.height).max(0.0)
    }

    fn advance(&self, glyph: &Glyph) -> f64 {
        glyph.width * self.unit() + self.weight + AIR * self.height
    }

    /// A unit of the letters' grid.
    fn unit(&self) -> f64 {
        (self.height - self.weight) / CAPITAL
    }

    fn length(&self, um: f64) -> Length {
        // Finite: a sum of as many finite lengths as a text has letters.
        Length::um(um).unwrap_or_default()
    }
}

impl fmt::Debug for Lettering {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Lettering({} µm high, {} µm heavy)", self.height, self.weight)
    }
}

/// Follows one stroke of a glyph.
fn draw_stroke(pen: &mut Pen<'_, '_>, stroke: &[Node], place: impl Fn(&Node) -> Point) {
    for (i, node) in stroke.iter().enumerate().skip(1) {
        let before = &stroke[i - 1];
        match (before.corner, node.corner) {
            (_, true) => {}
            (false, false) => pen.line(place(before), place(node)),
            // The letter set has a point before each corner.
            (true, false) => pen.round(place(&stroke[i.saturating_sub(2)]), place(before), place(node)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(mm: f64) -> Length {
        Length::mm(mm).unwrap()
    }

    fn picture(film: &Film) -> String {
        let row = |y| (0..film.width()).map(|x| if film.get(x, y) { '#' } else { '.' }).collect::<String>();
        (0..film.height()).map(|y| row(y) + "\n").collect()
    }

    #[test]
    fn a_small_label_has_these_bits() {
        let letters = Lettering::new(mm(2.0)).unwrap();
        let (film, line) = letters.film(Resolution::per_inch_xy(240.0, 200.0).unwrap(), "Så 2").unwrap();
        let drawn = picture(&film);
        let expected = include_str!("small_label.txt");
        assert!(drawn == expected, "the label is now\n{drawn}");
        assert_eq!(line, 23);
    }

    #[test]
    fn a_text_is_as_wide_and_as_high_as_it_says() {
        for (x, y, height, weight) in
            [(2540.0, 2540.0, 3.0, 0.3), (720.0, 1440.0, 5.0, 0.2), (300.0, 300.0, 4.0, 1.0)]
        {
            let resolution = Resolution::per_inch_xy(x, y).unwrap();
            let letters = Lettering::new(mm(height)).unwrap().weight(mm(weight)).unwrap();
            for text in ["HEX 28", "E", "ILLUMINATION", "xi"] {
                let (film, line) = letters.film(resolution, text).unwrap();
                let inked = |y: usize| (0..film.width()).filter(|&x| film.get(x, y)).collect::<Vec<_>>();
                let rows: Vec<usize> = (0..film.height()).filter(|&y| !inked(y).is_empty()).collect();
                assert_eq!(*rows.last().unwrap(), line - 1, "{text} stands on its line");
                let (wide, high) =
                    (letters.width(text).in_pixels(resolution).0, mm(height).in_pixels(resolution).1);
                let columns: Vec<usize> = rows.iter().flat_map(|&y| inked(y)).collect();
                let (left, right) = (columns.iter().min().unwrap(), columns.iter().max().unwrap());
                assert!(
                    *left <= 1 && ((right - left + 1) as f64 - wide).abs() <= 1.5,
                    "{text}: {left}…{right} of {wide}"
                );
                if text != "xi" {
                    assert!((rows.len() as f64 - high).abs() <= 1.5, "{text}: {} rows of {high}", rows.len());
                }
            }
        }
        assert_eq!(Lettering::new(mm(3.0)).unwrap().width("").to_um(), 0.0);
    }

    #[test]
    fn what_does_not_fit_is_shortened() {
        let letters = Lettering::new(mm(2.0)).unwrap();
        let text = "Cobalt blue e\u{301}lan";
        let whole = letters.width(text);
        assert_eq!(letters.fit(text, whole), text);
        let mut last = usize::MAX;
        for tenths in (0..whole.to_mm() as usize * 10).rev() {
            let room = mm(tenths as f64 / 10.0);
            let fit = letters.fit(text, room);
            assert!(letters.width(&fit) <= room && fit.chars().count() <= last);
            assert!(fit.is_empty() || text.starts_with(fit.strip_suffix('…').unwrap()), "{fit}");
            // No letter loses its mark.
            assert!(!fit.ends_with("e…") || fit == "Cobalt blue…", "{fit}");
            last = fit.chars().count();
        }
        assert_eq!(last, 0);
        assert_eq!(letters.fit(text, mm(10.0)), "Cobalt…");
    }

    #[test]
    fn text_is_cut_at_the_films_edges() {
        let letters = Lettering::new(mm(10.0)).unwrap();
        let resolution = Resolution::per_inch(300.0).unwrap();
        let (whole, line) = letters.film(resolution, "ÅQ&").unwrap();
        let pixel = 25.4 / 300.0;
        let mut part = Film::new(60, 50).unwrap();
        letters.draw(
            &mut part.view_mut(),
            resolution,
            "ÅQ&",
            mm(-40.0 * pixel),
            mm((line as f64 - 60.0) * pixel),
        );
        let crop = whole.view().crop(crate::film::Rect { x: 40, y: 60, width: 60, height: 50 }).unwrap();
        assert!(part == crop && part.count() > 100, "{}", picture(&part));
    }

    #[test]
    fn letters_that_cannot_be_are_refused() {
        for bad in [0.0, 0.05, -1.0, 1001.0] {
            assert!(Lettering::new(mm(bad)).is_err());
        }
        let letters = Lettering::new(mm(2.0)).unwrap();
        for bad in [0.0, -0.1, 0.51] {
            assert!(letters.weight(mm(bad)).is_err());
        }
    }
}
