//! Brushes: noise and easing, paths, and the six plates that are painted on. The program that uses them says how many pixels
//! a unit of the picture has: `SCALE`.

use super::lettering::draw_lettering;
use super::moth::{draw_antennae, draw_body, draw_wings};
use super::scene::{draw_frame, draw_hills, draw_lanterns, draw_moon, draw_rays_and_stars, draw_sky};
use std::{error::Error, fs, path::Path as FilePath};
use tiny_skia::{FillRule, LineCap, LineJoin, Mask, Path, PathBuilder, Rect, Stroke, Transform};

/// Size in pixels: 8 x 10 inches. The picture is drawn in units of 1/150 inch, each SCALE pixels wide.
pub const WIDTH: usize = (1200.0 * super::SCALE) as usize;
pub const HEIGHT: usize = (1500.0 * super::SCALE) as usize;

pub const GARMENT: (&str, u32) = ("garment", 0x12_1a_36);
/// Coverage of white, straw, amber, rose, teal and black, 0 to 1: what a colour is in this program.
pub type Mix = [f32; 6];
pub const BARE: Mix = [0.0; 6];
pub const LIGHT: Mix = [1.0, 0.1, 0.0, 0.0, 0.0, 0.0];
pub const FLAT_STRAW: Mix = [1.0, 1.0, 0.0, 0.0, 0.0, 0.0];
pub const FLAT_ROSE: Mix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
pub const FLAT_TEAL: Mix = [0.4, 0.0, 0.0, 0.0, 1.0, 0.0];

/// The picture is symmetrical about this vertical line.
pub const AXIS: f32 = 600.0;
/// The window of the picture is a round arch on straight sides.
pub const WINDOW: &str = "M 110 1165 L 110 560 C 110 289.4 329.4 70 600 70 \
                      C 870.6 70 1090 289.4 1090 560 L 1090 1165 Z";
pub const ARCH_TOP: f32 = 560.0;
pub const ARCH_RADIUS: f32 = 490.0;
pub const ARCH_FOOT: f32 = 1165.0;
/// Middle of the moon, and its radius.
pub const MOON: (f32, f32, f32) = (AXIS, 375.0, 232.0);
/// Height of the roots of the wings.
pub const MOTH_Y: f32 = 560.0;

/// A repeatable "random" number from 0 to 1 for a pair of integers.
pub fn hash(a: i32, b: i32) -> f32 {
    let mut h = (a as u32).wrapping_mul(0x9e37_79b1) ^ (b as u32).wrapping_mul(0x85eb_ca77);
    h = (h ^ (h >> 15)).wrapping_mul(0x2c1b_3c6d);
    h = (h ^ (h >> 12)).wrapping_mul(0x297a_2d39);
    ((h ^ (h >> 15)) >> 8) as f32 / (1 << 24) as f32
}

/// Smooth noise from 0 to 1 with features one unit wide.
pub fn noise(x: f32, y: f32) -> f32 {
    let (fx, fy) = (step(0.0, 1.0, x - x.floor()), step(0.0, 1.0, y - y.floor()));
    let at = |dx, dy| hash(x.floor() as i32 + dx, y.floor() as i32 + dy);
    let row = |dy| lerp(at(0, dy), at(1, dy), fx);
    lerp(row(0), row(1), fy)
}

/// Cloud-like noise: three octaves only, so that it stays smooth from pixel to pixel.
pub fn clouds(x: f32, y: f32) -> f32 {
    (4.0 * noise(x, y) + 2.0 * noise(2.0 * x + 9.0, 2.0 * y) + noise(4.0 * x, 4.0 * y + 5.0)) / 7.0
}

/// From `a` to `b` as `t` goes from 0 to 1.
pub fn lerp(a: f32, b: f32, t: f32) -> f32 {
    a + (b - a) * t
}

/// Smooth step from 0 at `from` to 1 at `to`.
pub fn step(from: f32, to: f32, x: f32) -> f32 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A bell: 1 at nothing, gone at about two.
pub fn bell(x: f32) -> f32 {
    (-x * x).exp()
}

/// Coverage of a line `width` wide, `distance` from its middle.
pub fn line(distance: f32, width: f32) -> f32 {
    let (distance, width) = (distance * super::SCALE, width * super::SCALE);
    (0.5 + width / 2.0 - distance.abs()).clamp(0.0, width.min(1.0))
}

/// Distance to the nearest multiple of `spacing`.
pub fn to_nearest(x: f32, spacing: f32) -> f32 {
    (x / spacing - (x / spacing).round()) * spacing
}

/// From one mix to another as `t` goes from 0 to 1.
pub fn blend(a: Mix, b: Mix, t: f32) -> Mix {
    std::array::from_fn(|i| lerp(a[i], b[i], t))
}

/// Builds a path from absolute M, L, Q, C and Z commands, all set apart by spaces.
pub fn path(commands: &str) -> Path {
    let mut to = PathBuilder::new();
    let mut words = commands.split_whitespace();
    while let Some(command) = words.next() {
        let mut n = || -> f32 { words.next().and_then(|w| w.parse().ok()).expect("a number") };
        match command {
            "M" => to.move_to(n(), n()),
            "L" => to.line_to(n(), n()),
            "Q" => to.quad_to(n(), n(), n(), n()),
            "C" => to.cubic_to(n(), n(), n(), n(), n(), n()),
            _ => to.close(),
        }
    }
    to.finish().expect("a path")
}

/// Stretches a path sideways (-1 mirrors it) and down, then moves it.
pub fn place(path: &Path, stretch: (f32, f32), x: f32, y: f32) -> Path {
    let transform = Transform::from_row(stretch.0, 0.0, 0.0, stretch.1, x, y);
    path.clone().transform(transform).expect("a path")
}

/// A path given for the right of the picture, with its mirror image.
pub fn pair(commands: &str, y: f32) -> [Path; 2] {
    [1.0, -1.0].map(|side| place(&path(commands), (side, 1.0), AXIS, y))
}

/// The outline of a line of the given width along a path.
pub fn stroked(path: &Path, width: f32) -> Path {
    let mut stroke = Stroke { width, ..Stroke::default() };
    (stroke.line_cap, stroke.line_join) = (LineCap::Round, LineJoin::Round);
    path.stroke(&stroke, 4.0).expect("a line")
}

/// An ellipse about a point.
pub fn ellipse(x: f32, y: f32, rx: f32, ry: f32) -> Path {
    let bounds = Rect::from_ltrb(x - rx, y - ry, x + rx, y + ry);
    bounds.and_then(PathBuilder::from_oval).expect("an oval")
}

/// Adds a hair: a thin triangle from a root, `angle` in radians clockwise from right.
pub fn hair(to: &mut PathBuilder, (x, y): (f32, f32), angle: f32, length: f32, width: f32) {
    let (sin, cos) = angle.sin_cos();
    to.move_to(x - sin * width / 2.0, y + cos * width / 2.0);
    to.line_to(x + cos * length, y + sin * length);
    to.line_to(x + sin * width / 2.0, y - cos * width / 2.0);
    to.close();
}

/// The middle of a pixel, in units of the picture.
pub fn middle(pixel: usize) -> (f32, f32) {
    let (column, row) = (pixel % WIDTH, pixel / WIDTH);
    ((column as f32 + 0.5) / super::SCALE, (row as f32 + 0.5) / super::SCALE)
}

/// One value per pixel, 0 to 1: the coverage of a shape.
pub struct Plane(pub Vec<f32>);

impl Plane {
    /// Coverage given by a function of the pixel.
    pub fn of(value: impl Fn(f32, f32) -> f32) -> Plane {
        let at = |i| {
            let (x, y) = middle(i);
            value(x, y)
        };
        Plane((0..WIDTH * HEIGHT).map(at).collect())
    }

    /// The coverage of filled paths.
    pub fn filled(paths: &[Path]) -> Plane {
        let mut mask = Mask::new(WIDTH as u32, HEIGHT as u32).expect("a plate size");
        for path in paths {
            mask.fill_path(path, FillRule::Winding, true, Transform::from_scale(super::SCALE, super::SCALE));
        }
        Plane(mask.data().iter().map(|&v| f32::from(v) / 255.0).collect())
    }

    /// The value of the pixel at a point.
    pub fn at(&self, x: f32, y: f32) -> f32 {
        self.0[(y * super::SCALE) as usize * WIDTH + (x * super::SCALE) as usize]
    }

    /// Softened: three running means each way come close to a Gaussian.
    pub fn blurred(&self, radius: usize) -> Plane {
        let radius = (radius as f32 * super::SCALE) as usize;
        let mut plane = self.0.clone();
        let mut smooth = |start: usize, stride: usize, count: usize| {
            let source: Vec<f32> = (0..count).map(|i| plane[start + i * stride]).collect();
            let at = |i: usize| f64::from(source.get(i).copied().unwrap_or(0.0));
            let mut sum: f64 = (0..radius).map(at).sum();
            for i in 0..count {
                sum += at(i + radius) - at(i.wrapping_sub(radius + 1));
                plane[start + i * stride] = sum as f32 / (2 * radius + 1) as f32;
            }
        };
        for _ in 0..3 {
            (0..HEIGHT).for_each(|y| smooth(y * WIDTH, 1, WIDTH));
            (0..WIDTH).for_each(|x| smooth(x, WIDTH, HEIGHT));
        }
        Plane(plane)
    }
}

/// The whole painting; `finish` makes plates of it.
pub fn painted() -> Plates {
    let everywhere = || Plane::of(|_, _| 1.0);
    let mut plates = Plates { pixels: vec![BARE; WIDTH * HEIGHT], clip: everywhere() };
    draw_frame(&mut plates);
    draw_lettering(&mut plates);
    plates.clip = Plane::filled(&[path(WINDOW)]);
    draw_sky(&mut plates);
    draw_rays_and_stars(&mut plates);
    draw_moon(&mut plates);
    draw_hills(&mut plates);
    draw_lanterns(&mut plates);
    draw_wings(&mut plates);
    plates.clip = everywhere();
    draw_antennae(&mut plates);
    draw_body(&mut plates);
    plates
}

/// The six plates while they are being painted; nothing is painted outside `clip`.
pub struct Plates {
    pub pixels: Vec<Mix>,
    pub clip: Plane,
}

impl Plates {
    /// Covers what is there with a mix of inks that changes from point to point.
    pub fn paint(&mut self, shape: &Plane, mix: impl Fn(f32, f32) -> Mix) {
        for (i, pixel) in self.pixels.iter_mut().enumerate() {
            let cover = shape.0[i] * self.clip.0[i];
            if cover > 0.0 {
                let (x, y) = middle(i);
                let new = mix(x, y);
                *pixel = blend(*pixel, new, cover);
            }
        }
    }

    /// Covers what is there with a flat mix, within some paths.
    pub fn fill(&mut self, paths: &[Path], mix: Mix) {
        self.paint(&Plane::filled(paths), |_, _| mix);
    }

    /// Covers what is there with a flat mix, within all that was added to a builder.
    pub fn fill_all(&mut self, shapes: PathBuilder, mix: Mix) {
        self.fill(&[shapes.finish().expect("a shape")], mix);
    }

    /// Lays more ink over what is there, as a glow or a shadow does.
    pub fn add(&mut self, shape: &Plane, mix: Mix) {
        for (i, pixel) in self.pixels.iter_mut().enumerate() {
            let cover = shape.0[i] * self.clip.0[i];
            *pixel = std::array::from_fn(|k| pixel[k] + (1.0 - pixel[k]) * mix[k] * cover);
        }
    }

    /// Turns the painting into plates that print: colours get their underbase,
    /// black stays on bright ground only (elsewhere the garment is dark enough),
    /// and what heavy black hides is thinned out below it.
    pub fn finish(&mut self) {
        for pixel in &mut self.pixels {
            let [white, straw, amber, rose, teal, black] = *pixel;
            let bright = straw.max(amber).max(rose);
            // Less than in proportion, so that thin tints do not turn milky.
            let white = white.max(0.9 * bright.powf(1.6)).max(0.3 * teal * teal);
            let black = black.min(1.3 * white.max(bright).max(teal)).clamp(0.0, 1.0);
            let kept = 1.0 - 0.85 * step(0.7, 1.0, black);
            *pixel = [white, straw, amber, rose, teal, black / kept].map(|ink| ink * kept);
        }
    }
}

/// Writes a PNG with its size in print.
pub fn write_png(file: &FilePath, color: png::ColorType, pixels: &[u8]) -> Result<(), Box<dyn Error>> {
    let dots = (super::SCALE * 150.0 / 0.0254).round() as u32;
    let (xppu, yppu, unit) = (dots, dots, png::Unit::Meter);
    let mut encoder = png::Encoder::new(fs::File::create(file)?, WIDTH as u32, HEIGHT as u32);
    encoder.set_color(color);
    encoder.set_compression(png::Compression::High);
    // Of all filters, this one packs the plates best.
    encoder.set_filter(png::Filter::Sub);
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu, yppu, unit }));
    Ok(encoder.write_header()?.write_image_data(pixels)?)
}
