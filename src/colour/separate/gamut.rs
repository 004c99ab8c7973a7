//! The print's gamut, and how colours beyond it are brought in.
//!
//! A gamut's axis runs from the darkest print to the lightest. From each level of the axis lines go out in every hue, and fan out away from
//! the axis' middle: a colour of chroma C (about the axis) on the line from level l has
//!
//! ```text
//! L* = l + (l − middle) C / FAN
//! ```
//!
//! so that what is brought in along its line keeps its hue, nearly its lightness where it is dark or grey, and gives a little of its lightness for
//! chroma where it is light or dark and strong. Each line's chroma at the boundary is found by halving, with `improve` to tell whether a colour
//! can be printed, and interpolated between lines. A colour at x times that chroma, where the art reaches x_max, is brought to
//!
//! ```text
//! x                                                      up to the knee k
//! k + v / (1 + v (V/W − 1)/V)     v = x − k, V = x_max − k, W = 1 − k     beyond
//! ```
//!
//! which leaves the knee with slope 1 and reaches 1 at x_max with slope (W/V)²: colours beyond the gamut stay apart and in order, and
//! where the art does not go beyond nothing changes. Rejected: the nearest printable colour, which makes one colour of whole ranges; lines to
//! one middle grey, along which dark colours on dark garments became as light as the middle (a navy of L* 16 on navy 39); radii from a
//! cloud of printed colours in sectors, too short wherever a sector's farthest colour is not in the cloud.
//!
//! Source for gamut mapping along lines to a focus, and for its words: CIE 156:2004 (from memory).

use crate::colour::print::Print;
use crate::colour::separate::nearest::{Choice, Coverages, Wanted, improve};
use crate::colour::separate::parallel::each;
use crate::colour::separate::starts::Starts;
use crate::colour::spaces::Lab;

/// Lines: from the axis' dark end to its light one, and around.
const LEVELS: usize = 24;
const AROUND: usize = 48;

/// Chroma at which lines are twice as far from the middle's lightness as where they left the axis.
const FAN: f64 = 100.0;

/// Farther than any colour of sRGB or of a print.
const FARTHEST: f64 = 200.0;

/// How much more room beyond the knee there is at most for art that goes far beyond the gamut, in proportion to how far.
const ROOMIER: f64 = 2.5;

/// Inks that make a gamut a body. With fewer it is a line or a surface, which has no inside: colours are left to the nearest print.
const VOLUME: usize = 3;

/// ΔE00 up to which a colour counts as printed.
const PRINTED: f64 = 0.3;

/// From the darkest print to the lightest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axis {
    pub(super) dark: Lab,
    pub(super) light: Lab,
}

/// Chroma at the boundary on each line.
#[derive(Debug, Clone)]
pub(super) struct Gamut {
    axis: Axis,
    print: Vec<f64>,
    art: Vec<f64>,
    knee: f64,
}

impl Gamut {
    /// The gamut of `print` about its axis, beside that of the art: `in_art` tells whether a colour is one that the art may hold.
    pub(super) fn new(print: &Print, axis: Axis, knee: f64, in_art: impl Fn(Lab) -> bool + Sync) -> Self {
        let starts = Starts::new(print);
        let printed = || {
            let mut coverages: Coverages = [0.5; _];
            let starts = &starts;
            move |colour| {
                let wanted = Wanted::new(colour);
                let last = coverages;
                let mut is_printed = |mut tried: Coverages| {
                    let near = improve(print, &wanted, &Choice::free(), &mut tried, 15) < PRINTED;
                    if near {
                        coverages = tried;
                    }
                    near
                };
                is_printed(last) || starts.nearest(&wanted).is_some_and(is_printed)
            }
        };
        Self::of(axis, knee, print.inks() >= VOLUME, printed, in_art)
    }

    /// The same for a print told by `printed`, which makes for each line what tells whether a colour can be printed; `body` is false
    /// for a gamut that has no inside.
    pub(super) fn of<P: FnMut(Lab) -> bool>(
        axis: Axis,
        knee: f64,
        body: bool,
        printed: impl Fn() -> P + Sync,
        in_art: impl Fn(Lab) -> bool + Sync,
    ) -> Self {
        if !body {
            return Self { axis, print: Vec::new(), art: Vec::new(), knee };
        }
        let nodes: Vec<usize> = (0..(LEVELS + 1) * AROUND).collect();
        let radii = each(&nodes, |&node| {
            let hue = std::f64::consts::TAU * (node % AROUND) as f64 / AROUND as f64;
            let hue = [libm::cos(hue), libm::sin(hue)];
            let at = |chroma: f64| axis.on_line((node / AROUND) as f64 / LEVELS as f64, hue, chroma);
            let mut printed = printed();
            (
                halving(FARTHEST, 11, |chroma| printed(at(chroma))),
                halving(FARTHEST, 14, |chroma| in_art(at(chroma))),
            )
        });
        let (print, art) = radii.into_iter().unzip();
        Self { axis, print, art, knee }
    }

    /// A colour brought into the gamut.
    pub(super) fn bring_in(&self, colour: Lab) -> Lab {
        if self.print.is_empty() {
            return colour;
        }
        let (level, hue, chroma) = self.axis.line_of(colour);
        let around = libm::atan2(hue[1], hue[0]).rem_euclid(std::f64::consts::TAU);
        let (down, around) = (level * LEVELS as f64, around / std::f64::consts::TAU * AROUND as f64);
        let (i, j) = ((down as usize).min(LEVELS - 1), around as usize);
        let (u, v) = (down - i as f64, around - j as f64);
        let between = |radii: &[f64]| {
            let at = |i: usize, j: usize| radii[i * AROUND + j % AROUND];
            (1.0 - u) * ((1.0 - v) * at(i, j) + v * at(i, j + 1))
                + u * ((1.0 - v) * at(i + 1, j) + v * at(i + 1, j + 1))
        };
        let printed = between(&self.print).max(1e-6);
        let chroma = printed * bent(chroma / printed, between(&self.art) / printed, self.knee);
        self.axis.on_line(level, hue, chroma)
    }
}

impl Axis {
    /// Half-way.
    pub(super) fn middle(&self) -> Lab {
        self.at(0.5)
    }

    /// The axis at a level of 0 (dark) to 1 (light).
    fn at(&self, level: f64) -> Lab {
        let between = |dark: f64, light: f64| dark + level * (light - dark);
        let Self { dark, light } = self;
        Lab { l: between(dark.l, light.l), a: between(dark.a, light.a), b: between(dark.b, light.b) }
    }

    fn on_line(&self, level: f64, hue: [f64; 2], chroma: f64) -> Lab {
        let Lab { l, a, b } = self.at(level);
        let fan = (l - self.middle().l) * chroma / FAN;
        Lab { l: l + fan, a: a + chroma * hue[0], b: b + chroma * hue[1] }
    }

    /// The line on which a colour lies: level (ends hold beyond them), hue and chroma.
    fn line_of(&self, colour: Lab) -> (f64, [f64; 2], f64) {
        let (middle, span) = (self.middle().l, self.light.l - self.dark.l);
        // The axis leans, so that level and chroma hang on each other: three steps bring the level to some thousandths.
        let mut level = 0.5;
        let (mut hue, mut chroma) = ([1.0, 0.0], 0.0);
        for _ in 0..4 {
            let from = self.at(level);
            let (a, b) = (colour.a - from.a, colour.b - from.b);
            chroma = (a * a + b * b).sqrt();
            if chroma > 0.0 {
                hue = [a / chroma, b / chroma];
            }
            let l = middle + (colour.l - middle) / (1.0 + chroma / FAN);
            level = if span > 0.0 { ((l - self.dark.l) / span).clamp(0.0, 1.0) } else { 0.5 };
        }
        (level, hue, chroma)
    }
}

/// The curve of the file's head.
fn bent(x: f64, farthest: f64, knee: f64) -> f64 {
    let room = (1.0 - knee) * farthest.clamp(1.0, ROOMIER);
    let knee = 1.0 - room;
    let (v, all) = (x - knee, farthest.max(1.0) - knee);
    if v <= 0.0 || all <= room { x } else { knee + v / (1.0 + v * (all / room - 1.0) / all) }
}

/// Where `inside` ends between 0 and `farthest`.
fn halving(farthest: f64, times: usize, mut inside: impl FnMut(f64) -> bool) -> f64 {
    let (mut low, mut high) = (0.0, farthest);
    for _ in 0..times {
        let middle = 0.5 * (low + high);
        *(if inside(middle) { &mut low } else { &mut high }) = middle;
    }
    low
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_knee_keeps_order_and_what_fits() {
        for farthest in [0.8, 1.0, 1.2, 3.0] {
            let steps: Vec<f64> =
                (0..=100).map(|i| bent(f64::from(i) / 100.0 * farthest, farthest, 0.9)).collect();
            assert!(steps.is_sorted_by(|a, b| a < b));
            assert!(steps[100] <= 1.0 + 1e-12 || farthest < 1.0);
            assert_eq!(bent(0.6, farthest, 0.9), 0.6);
        }
        assert_eq!(bent(0.95, 1.0, 0.9), 0.95);
        assert!((bent(3.0, 3.0, 0.9) - 1.0).abs() < 1e-12);
    }
}
