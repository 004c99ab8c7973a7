//! A picture of all films together: opaque inks over each other in printing order on the garment, averaged in linear light as
//! an eye does that stands too far off to make out the dots; and a small piece of the same, dot by dot.

use std::path::Path;

use dotwright::film::{Film, FilmMut, row_bytes};
use dotwright::io::PlateBuffer;
use dotwright::{Error, Placed, Resolution, Result, Sampling, Screen};
use image::{Rgb, RgbImage};

/// Longest side of the picture, in pixels.
const PICTURE: usize = 1400;

/// Side of the piece that is shown dot by dot, in film pixels.
const DETAIL: usize = 900;

/// One ink of the job.
pub struct Layer<'a> {
    pub colour: [u8; 3],
    pub screen: &'a Screen,
    pub plate: PlateBuffer,
    pub resolution: Resolution,
}

/// The colours of garment and inks: from `inks.csv` in the folder of plates (lines of `name,#rrggbb`), else from plain words.
pub struct Inks(Vec<(String, [u8; 3])>);

impl Inks {
    pub fn read(folder: &Path) -> Result<Self> {
        let path = folder.join("inks.csv");
        if !path.exists() {
            return Ok(Self(Vec::new()));
        }
        let text =
            std::fs::read_to_string(&path).map_err(|source| Error::Io { path: path.clone(), source })?;
        let lines = text.lines().zip(1..).filter(|(line, _)| !line.trim().is_empty());
        let parsed = lines.map(|(line, number)| {
            let (name, colour) = line
                .split_once(',')
                .and_then(|(n, c)| Some((n, hex(c.trim())?)))
                .ok_or_else(|| Error::Data {
                    what: format!("{}, line {number}", path.display()),
                    why: format!("\"{line}\" is not a name and a colour: rose,#cb4462"),
                })?;
            Ok((name.trim().to_owned(), colour))
        });
        parsed.collect::<Result<_>>().map(Self)
    }

    pub fn garment(&self) -> [u8; 3] {
        self.named("garment").unwrap_or([0x22, 0x22, 0x26])
    }

    pub fn colour(&self, ink: &str) -> [u8; 3] {
        let word = |name: &str| match name {
            "white" => Some([0xfa, 0xfa, 0xf5]),
            "black" => Some([0x0c, 0x0c, 0x0e]),
            "red" => Some([0xc8, 0x24, 0x2e]),
            "green" => Some([0x1f, 0x8a, 0x4c]),
            "blue" => Some([0x1f, 0x4e, 0xa8]),
            "yellow" => Some([0xf4, 0xcf, 0x2e]),
            _ => None,
        };
        // Any other name gets a colour of its own, always the same.
        let hash = ink.bytes().fold(17_u32, |h, b| h.wrapping_mul(0x0100_0193) ^ u32::from(b));
        self.named(ink).or(word(ink)).unwrap_or([0, 8, 16].map(|shift| 0x60 + (hash >> shift & 0x7f) as u8))
    }

    fn named(&self, name: &str) -> Option<[u8; 3]> {
        self.0.iter().find(|(n, _)| n == name).map(|(_, colour)| *colour)
    }
}

fn hex(text: &str) -> Option<[u8; 3]> {
    let digits = text.strip_prefix('#').filter(|d| d.len() == 6)?;
    let value = u32::from_str_radix(digits, 16).ok()?;
    Some([(value >> 16) as u8, (value >> 8) as u8, value as u8])
}

/// Draws the whole as `picture` and a piece of it as `detail`.
pub fn draw(
    layers: &[Layer<'_>],
    garment: [u8; 3],
    film: Resolution,
    sampling: Sampling,
    picture: &Path,
    detail: &Path,
) -> Result<()> {
    let placed = layers
        .iter()
        .map(|layer| Placed::resampled(&layer.plate, layer.resolution, film, sampling))
        .collect::<Result<Vec<_>>>()?;
    let width = placed.iter().map(Placed::film_width).min().unwrap_or(0);
    let height = placed.iter().map(Placed::film_height).min().unwrap_or(0);
    let mut stack = vec![linear(garment)];
    stack.extend(layers.iter().map(|layer| linear(layer.colour)));

    // A block of film pixels to a pixel of the picture, square on paper.
    let (x, y) = (film.x(), film.y());
    let inches = (width as f64 / x).max(height as f64 / y) / PICTURE as f64;
    let inches = inches.max(1.0 / x.min(y));
    let (across, down) = ((inches * x).round() as usize, (inches * y).round() as usize);
    let (columns, rows) = ((width / across).max(1), (height / down).max(1));
    let (across, down) = (across.min(width), down.min(height));
    let mut whole = RgbImage::new(columns as u32, rows as u32);
    let stride = row_bytes(width);
    let mut bits = vec![vec![0_u8; stride * down]; layers.len()];
    for row in 0..rows {
        for ((layer, placed), bits) in layers.iter().zip(&placed).zip(&mut bits) {
            let band = FilmMut::new(width, down, stride, bits)?;
            layer.screen.run_threaded(placed, (0, (row * down) as i64), band)?;
        }
        for column in 0..columns {
            let mut sum = [0.0; 3];
            for i in 0..across * down {
                let (x, y) = (column * across + i % across, i / across);
                let has = |film: usize| bits[film][y * stride + x / 8] & (0x80 >> (x % 8)) != 0;
                let top = top_ink(has, layers.len());
                sum.iter_mut().zip(stack[top]).for_each(|(s, c)| *s += c);
            }
            let mean = sum.map(|s| encoded(s / (across * down) as f64));
            whole.put_pixel(column as u32, row as u32, Rgb(mean));
        }
    }
    save(&whole, picture)?;

    // The piece is drawn at the finer of the film's two resolutions.
    let finer = x.max(y);
    let longest = (width as f64 * finer / x).min(height as f64 * finer / y) as usize;
    let side = DETAIL.min(longest).max(1);
    let (across, down) =
        ((side as f64 * x / finer).ceil() as usize, (side as f64 * y / finer).ceil() as usize);
    let (across, down) = (across.clamp(1, width), down.clamp(1, height));
    let at = ((width - across) / 2, (height - down) / 3);
    let mut films = Vec::new();
    for (layer, placed) in layers.iter().zip(&placed) {
        let mut film = Film::new(across, down)?;
        layer.screen.run(placed, (at.0 as i64, at.1 as i64), film.view_mut())?;
        films.push(film);
    }
    let piece = RgbImage::from_fn(side as u32, side as u32, |px, py| {
        let column = ((f64::from(px) * x / finer) as usize).min(across - 1);
        let row = ((f64::from(py) * y / finer) as usize).min(down - 1);
        Rgb(stack[top_ink(|film| films[film].get(column, row), layers.len())].map(encoded))
    });
    save(&piece, detail)
}

/// 1 + the last film that has ink at a place, or 0 for the garment.
fn top_ink(has: impl Fn(usize) -> bool, films: usize) -> usize {
    (0..films).rev().find(|&film| has(film)).map_or(0, |film| film + 1)
}

fn save(picture: &RgbImage, path: &Path) -> Result<()> {
    picture
        .save(path)
        .map_err(|error| Error::Data { what: path.display().to_string(), why: error.to_string() })
}

/// sRGB to linear light (IEC 61966-2-1).
fn linear(colour: [u8; 3]) -> [f64; 3] {
    colour.map(|c| {
        let c = f64::from(c) / 255.0;
        if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    })
}

/// Linear light to sRGB.
fn encoded(light: f64) -> u8 {
    let c = if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    (c * 255.0).round() as u8
}
