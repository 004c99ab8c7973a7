//! A sheet of warm white paper to draw tints, rules and words on, in ink.

use std::io::Cursor;

use dotwright::lettering::Lettering;
use dotwright::{Error, Length, Resolution, Result};
use image::{ImageFormat, Rgb, RgbImage};

pub const PAPER: Rgb<u8> = Rgb([0xf8, 0xf4, 0xea]);
pub const INK: Rgb<u8> = Rgb([0x1c, 0x1a, 0x19]);
/// Of words that come second.
pub const SOFT: Rgb<u8> = Rgb([0x76, 0x6d, 0x62]);
/// Of rules.
pub const FAINT: Rgb<u8> = Rgb([0xd3, 0xca, 0xba]);

/// Dots along a pixel that letters are drawn with.
const FINE: usize = 4;

/// Where a text stands from its place.
#[derive(Clone, Copy)]
pub enum Side {
    Left,
    Middle,
    Right,
}

pub struct Paper(RgbImage);

impl Paper {
    pub fn new(width: usize, height: usize) -> Self {
        Self(RgbImage::from_pixel(width as u32, height as u32, PAPER))
    }

    /// A tint as it is on film, on a ground that a hair's breadth of rule ends.
    pub fn tint(&mut self, [x, y]: [usize; 2], side: usize, ink: impl Fn(usize, usize) -> bool) {
        for i in 0..side * side {
            let (px, py) = (i % side, i / side);
            let edge = px == 0 || py == 0 || px + 1 == side || py + 1 == side;
            let colour = match (ink(px, py), edge) {
                (true, _) => INK,
                (false, true) => FAINT,
                (false, false) => PAPER,
            };
            self.0.put_pixel((x + px) as u32, (y + py) as u32, colour);
        }
    }

    /// A level rule, one pixel high.
    pub fn rule(&mut self, [x, y]: [usize; 2], length: usize, colour: Rgb<u8>) {
        for x in x..x + length {
            self.0.put_pixel(x as u32, y as u32, colour);
        }
    }

    /// Words with capitals so many pixels high, on the line at `y`.
    pub fn text(
        &mut self,
        side: Side,
        [x, y]: [usize; 2],
        height: f64,
        colour: Rgb<u8>,
        text: &str,
    ) -> Result<()> {
        if text.is_empty() {
            return Ok(());
        }
        // A pixel of the sheet is a tenth of a millimetre.
        let resolution = Resolution::per_inch(254.0 * FINE as f64)?;
        let (film, line) = Lettering::new(Length::mm(height / 10.0)?)?.film(resolution, text)?;
        let (width, line) = (film.width().div_ceil(FINE), line as i64 / FINE as i64);
        let left = match side {
            Side::Left => x as i64,
            Side::Middle => x as i64 - width as i64 / 2,
            Side::Right => x as i64 - width as i64,
        };
        for row in 0..film.height().div_ceil(FINE) {
            for column in 0..width {
                let fine = (0..FINE * FINE).map(|i| (column * FINE + i % FINE, row * FINE + i / FINE));
                let inked =
                    fine.filter(|&(x, y)| x < film.width() && y < film.height() && film.get(x, y)).count();
                let (px, py) = (left + column as i64, y as i64 - line + row as i64);
                let (Ok(px), Ok(py)) = (u32::try_from(px), u32::try_from(py)) else { continue };
                if let Some(pixel) = self.0.get_pixel_mut_checked(px, py) {
                    let share = inked as f64 / (FINE * FINE) as f64;
                    let mixed = |i: usize| {
                        f64::from(pixel.0[i]) + share * (f64::from(colour.0[i]) - f64::from(pixel.0[i]))
                    };
                    *pixel = Rgb([0, 1, 2].map(|i| mixed(i).round() as u8));
                }
            }
        }
        Ok(())
    }

    /// The sheet as a PNG.
    pub fn png(&self) -> Result<Vec<u8>> {
        let mut bytes = Cursor::new(Vec::new());
        self.0
            .write_to(&mut bytes, ImageFormat::Png)
            .map_err(|error| Error::Data { what: "the sheet".to_owned(), why: error.to_string() })?;
        Ok(bytes.into_inner())
    }
}
