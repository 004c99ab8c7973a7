//! A background colour knocked out of art: it becomes garment, and edges that were mixed with it are un-mixed.
//!
//! *Garment* is what is within a tolerance of the background's colour and reaches the picture's border from pixel to pixel
//! (4-connected); areas of that colour inside the art stay unless asked for. The pixels next to it, as far in as edges are soft,
//! are taken for mixtures
//!
//! ```text
//! pixel = a·f + (1 − a)·background        in linear light
//! ```
//!
//! (T. Porter, T. Duff, Compositing digital images, SIGGRAPH 1984) of the background and a foreground f like the nearest pixels
//! that are clearly inside. Its opacity a is the projection of the pixel on the way from background to f; f is then taken so that
//! the equation holds exactly, with a raised where f would be no colour. So the art laid back on the old background is what it was,
//! to rounding, whether the guess was right or not. One thing is not kept: what lies a little on the far side of the background from
//! the art, which resampling and sharpening leave along edges, becomes garment. It would be a bright or dark rim on any other.
//!
//! A foreground from the pixel's own ring was rejected: a soft edge's own pixels are all mixed, which leaves a halo. Rings are
//! walked from outside in and only behind a ring that was mixed, so that shading inside of a hard edge is left alone.
//!
//! Time grows with the pixels alone; memory: the art twice, and five bytes a pixel.

use ndarray::{Array3, ArrayView3, Axis};
use num_traits::AsPrimitive;

use crate::art::{Art, Samples};
use crate::colour::spaces::LinearRgb;
use crate::colour::srgb::Code;
use crate::error::{Error, Result, filled};

/// How a background is knocked out.
#[derive(Debug, Clone, PartialEq)]
pub struct KnockOut {
    background: Option<[u8; 3]>,
    tolerance: f64,
    soft: u8,
    everywhere: bool,
}

/// What a knock-out did.
#[derive(Debug, Clone, PartialEq)]
pub struct KnockedOut {
    /// The art, with alpha.
    pub art: Art,
    /// The background's colour, as sRGB of 8 bits.
    pub background: [u8; 3],
    /// Pixels that became garment.
    pub garment: usize,
    /// Pixels that became partly transparent.
    pub soft: usize,
}

impl Default for KnockOut {
    /// The background found from the border, to 2 levels of 255; edges up to 3 pixels soft; nothing inside.
    fn default() -> Self {
        Self { background: None, tolerance: 2.0, soft: 3, everywhere: false }
    }
}

impl KnockOut {
    /// Takes this colour, sRGB of 8 bits, for the background. Without one it is the median of the border, which half of the border
    /// must have.
    #[must_use]
    pub fn background(self, colour: [u8; 3]) -> Self {
        Self { background: Some(colour), ..self }
    }

    /// How far a channel of the background may be off, in levels of 255 (0…64); 2 unless told. It is also how far the art, laid back
    /// on the background, may be off where it became garment: more is for backgrounds that are not clean, as a JPEG's.
    #[must_use]
    pub fn tolerance(self, levels: f64) -> Self {
        Self { tolerance: levels, ..self }
    }

    /// Pixels over which edges may be soft (0…64); 3 unless told. 0 leaves edges as they are.
    #[must_use]
    pub fn soft(self, pixels: u8) -> Self {
        Self { soft: pixels, ..self }
    }

    /// Knocks out areas of the background's colour inside the art, too.
    #[must_use]
    pub fn everywhere(self, everywhere: bool) -> Self {
        Self { everywhere, ..self }
    }

    /// Knocks the background out. Alpha that the art has is kept, and lessened.
    ///
    /// Errors: a tolerance or softness out of range; a border without one colour; more than 2³² pixels; memory.
    pub fn run(&self, art: &Art) -> Result<KnockedOut> {
        if !(0.0..=64.0).contains(&self.tolerance) {
            return Err(Error::value("tolerance of a knock-out", self.tolerance, "0 to 64 levels of 255"));
        }
        if self.soft > 64 {
            return Err(Error::value("softness of a knock-out", self.soft, "0 to 64 pixels"));
        }
        let done = match art.samples() {
            Samples::U8(samples) => self.samples(samples.view())?,
            Samples::U16(samples) => self.samples(samples.view())?,
        };
        Ok(KnockedOut { art: done.art.with_resolution(art.resolution()), ..done })
    }

    fn samples<T: Code>(&self, art: ArrayView3<'_, T>) -> Result<KnockedOut>
    where
        Samples: From<Array3<T>>,
    {
        let (height, width, _) = art.dim();
        let pixels = height as u64 * width as u64;
        if pixels > u64::from(u32::MAX) {
            let limit = u64::from(u32::MAX);
            return Err(Error::Limit { what: "pixels of art to knock out", needed: pixels, limit });
        }
        let background = self.colour(art)?;
        let is_background = |x: usize, y: usize| {
            art.get([y, x, 3]) == Some(&T::zero())
                || Self::near([0, 1, 2].map(|k| art[[y, x, k]]), background, self.tolerance)
        };
        let mut rings = Rings { width, height, depth: filled("the depth of art", pixels as usize, INSIDE)? };
        let outside = rings.garment(self.everywhere, is_background);
        let garment = rings.depth.iter().filter(|&&d| d == 0).count();
        let rings_of = rings.grow(outside, self.soft);
        let sources = rings.sources(&rings_of)?;

        let mut own = filled("art with alpha", pixels as usize * 4, T::zero())?;
        for ((to, from), &depth) in own.chunks_exact_mut(4).zip(art.lanes(Axis(2))).zip(&rings.depth) {
            if depth > 0 {
                (0..3).for_each(|k| to[k] = from[k]);
                to[3] = from.get(3).copied().unwrap_or(T::max_value());
            }
        }
        let ground = LinearRgb::from_srgb(background).0;
        let colour = |i: usize| {
            let (x, y) = (i % width, i / width);
            LinearRgb::from_srgb([0, 1, 2].map(|k| art[[y, x, k]])).0
        };
        let mut soft = 0;
        for (ring, depth) in rings_of.iter().zip(1_u8..) {
            for &pixel in ring {
                let behind = |i: usize| rings.depth[i] + 1 == depth && own[4 * i + 3] < T::max_value();
                if depth > 1 && !rings.around(pixel as usize).any(behind) {
                    continue;
                }
                let inside = rings.foreground(sources[pixel as usize] as usize, colour);
                let light = colour(pixel as usize);
                let overshoot =
                    Self::near(LinearRgb(light).to_srgb::<T>(), background, self.tolerance + OVERSHOOT);
                if let Some((opaque, unmixed)) = unmix::<T>(light, ground, inside, overshoot) {
                    let at = 4 * pixel as usize;
                    (0..3).for_each(|k| own[at + k] = unmixed[k]);
                    let had: u32 = own[at + 3].as_();
                    let a = f64::from(had) * f64::from(opaque) / f64::from(T::SOLID);
                    own[at + 3] = T::from_level((a + 0.5) as u32);
                    soft += 1;
                }
            }
        }
        let own = Array3::from_shape_vec((height, width, 4), own).expect("four samples a pixel");
        let background = LinearRgb::from_srgb(background).to_srgb();
        Ok(KnockedOut { art: Art::new(own)?, background, garment, soft })
    }

    fn near<T: Code>(a: [T; 3], b: [T; 3], by: f64) -> bool {
        let level = |v: T| f64::from(AsPrimitive::<u32>::as_(v)) * 255.0 / f64::from(T::SOLID);
        (0..3).all(|k| (level(a[k]) - level(b[k])).abs() <= by)
    }

    /// The background's colour: as told, or the median of what is opaque of the border.
    fn colour<T: Code>(&self, art: ArrayView3<'_, T>) -> Result<[T; 3]> {
        if let Some(colour) = self.background {
            return Ok(colour.map(|c| T::from_level(u32::from(c) * (T::SOLID / 255))));
        }
        let (height, width, _) = art.dim();
        let mut border: Vec<[T; 3]> = border(width, height)
            .filter(|&(x, y)| art.get([y, x, 3]) != Some(&T::zero()))
            .map(|(x, y)| [0, 1, 2].map(|k| art[[y, x, k]]))
            .collect();
        let half = border.len() / 2;
        if border.is_empty() {
            return Err(Error::value("background of art", "a transparent border", "a colour to be given"));
        }
        let median = [0, 1, 2].map(|k| {
            border.sort_unstable_by_key(|colour| colour[k]);
            border[half][k]
        });
        if border.iter().filter(|&&colour| Self::near(colour, median, self.tolerance)).count() < half.max(1) {
            let allowed = "one colour in half of the border, or a colour to be given";
            return Err(Error::value("background of art", "a border of many colours", allowed));
        }
        Ok(median)
    }
}

/// The pixels of the border, corners twice in a thin picture.
fn border(width: usize, height: usize) -> impl Iterator<Item = (usize, usize)> {
    let level = (0..width).flat_map(move |x| [(x, 0), (x, height - 1)]);
    level.chain((0..height).flat_map(move |y| [(0, y), (width - 1, y)]))
}

/// Levels of 255 by which edges may overshoot beyond the background: bicubic resampling does by 7 % of a step (Pillow 13: 0.068).
const OVERSHOOT: f64 = 18.0;

/// Farther in than edges are soft.
const INSIDE: u8 = u8::MAX;

/// How deep pixels lie in the art: 0 is garment, 1 touches it (by a side or a corner).
struct Rings {
    width: usize,
    height: usize,
    depth: Vec<u8>,
}

impl Rings {
    /// Marks the garment, and gives it.
    fn garment(&mut self, everywhere: bool, is_background: impl Fn(usize, usize) -> bool) -> Vec<u32> {
        let (width, height) = (self.width, self.height);
        let depth = &mut self.depth;
        let mut mark = |all: &mut Vec<u32>, x: usize, y: usize| {
            let i = y * width + x;
            if depth[i] == INSIDE && is_background(x, y) {
                depth[i] = 0;
                all.push(i as u32);
            }
        };
        let mut all = Vec::new();
        if everywhere {
            for i in 0..width * height {
                mark(&mut all, i % width, i / width);
            }
            return all;
        }
        for (x, y) in border(width, height) {
            mark(&mut all, x, y);
        }
        // What is found is looked at in turn, so that nothing recurses.
        let mut next = 0;
        while let Some(&i) = all.get(next) {
            let (x, y) = (i as usize % width, i as usize / width);
            for (x, y) in [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)] {
                if x < width && y < height {
                    mark(&mut all, x, y);
                }
            }
            next += 1;
        }
        all
    }

    /// The rings of pixels at the depths of 1 to `soft`.
    fn grow(&mut self, garment: Vec<u32>, soft: u8) -> Vec<Vec<u32>> {
        // The garment itself goes first, and is taken out again.
        let (mut last, mut rings) = (garment, Vec::new());
        for depth in 1..=soft {
            let mut ring = Vec::new();
            for &pixel in &last {
                for i in self.around(pixel as usize) {
                    if self.depth[i] == INSIDE {
                        self.depth[i] = depth;
                        ring.push(i as u32);
                    }
                }
            }
            rings.push(std::mem::replace(&mut last, ring));
        }
        rings.push(last);
        rings.remove(0);
        rings
    }

    /// For each pixel of the rings the nearest that is clearly inside, or the deepest where the art is too thin to have one.
    fn sources(&self, rings: &[Vec<u32>]) -> Result<Vec<u32>> {
        let mut sources = filled("the insides of soft edges", self.depth.len(), 0_u32)?;
        for ring in rings.iter().rev() {
            for &pixel in ring {
                let i = pixel as usize;
                let apart = |other: u32| {
                    let (a, b) = (other as usize % self.width, other as usize / self.width);
                    let (dx, dy) = (a.abs_diff(i % self.width) as u64, b.abs_diff(i / self.width) as u64);
                    dx * dx + dy * dy
                };
                let deeper = self.around(i).filter(|&n| self.depth[n] > self.depth[i]);
                let found = deeper.map(|n| if self.depth[n] == INSIDE { n as u32 } else { sources[n] });
                sources[i] = found.min_by_key(|&source| apart(source)).unwrap_or(pixel);
            }
        }
        Ok(sources)
    }

    /// The mean light of a pixel and of those around it that are as deep.
    fn foreground(&self, pixel: usize, colour: impl Fn(usize) -> [f64; 3]) -> [f64; 3] {
        let (mut sum, mut count) = (colour(pixel), 1.0);
        for i in self.around(pixel).filter(|&i| self.depth[i] >= self.depth[pixel]) {
            let light = colour(i);
            (0..3).for_each(|k| sum[k] += light[k]);
            count += 1.0;
        }
        sum.map(|s| s / count)
    }

    /// The eight pixels around one, or fewer at the border.
    fn around(&self, pixel: usize) -> impl Iterator<Item = usize> + use<> {
        let (width, height) = (self.width, self.height);
        let (x, y) = (pixel % width, pixel / width);
        let rows = y.saturating_sub(1)..(y + 2).min(height);
        rows.flat_map(move |b| (x.saturating_sub(1)..(x + 2).min(width)).map(move |a| b * width + a))
            .filter(move |&i| i != pixel)
    }
}

/// Opacity (as a level) and colour of a pixel that is a mixture of a background and something like `inside`; `None` where it is all
/// foreground.
fn unmix<T: Code>(
    pixel: [f64; 3],
    ground: [f64; 3],
    inside: [f64; 3],
    overshoot: bool,
) -> Option<(u32, [T; 3])> {
    let way: [f64; 3] = std::array::from_fn(|k| inside[k] - ground[k]);
    let off: [f64; 3] = std::array::from_fn(|k| pixel[k] - ground[k]);
    let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let length = dot(way, way);
    let wanted = if length > 0.0 { dot(off, way) / length } else { 1.0 };
    // On the far side of the background from the art lies only what resampling and sharpening overshoot.
    if wanted <= 0.0 && overshoot {
        return Some((0, [T::zero(); 3]));
    }
    // The least opacity for which the foreground is a colour.
    let room = |k: usize| if off[k] > 0.0 { off[k] / (1.0 - ground[k]) } else { -off[k] / ground[k] };
    let least = (0..3).filter(|&k| off[k] != 0.0).map(room).fold(0.0, f64::max);
    let solid = f64::from(T::SOLID);
    let opaque = (wanted * solid + 0.5).floor().max((least * solid - 1e-6).ceil());
    // Within a level of 255 of opaque nothing would be seen.
    if opaque.is_nan() || opaque >= solid * (254.0 / 255.0) || opaque < 1.0 {
        return None;
    }
    let a = opaque / solid;
    let unmixed = std::array::from_fn(|k| ground[k] + off[k] / a);
    Some((opaque as u32, LinearRgb(unmixed).to_srgb()))
}
