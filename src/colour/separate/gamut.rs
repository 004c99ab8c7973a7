//! The print's gamut, and how colours beyond it are brought in.
//!
//! Seen from its middle (a grey half-way between the darkest and the lightest print) a gamut is a radius in each direction of
//! L\*a\*b\*. Radii lie on a net of directions and are interpolated between them; each is found by halving, with `improve` to tell whether a
//! colour can be printed. A colour at x times the radius, where the art reaches x_max, is brought to
//!
//! ```text
//! x                                                      up to the knee k
//! k + v / (1 + v (V/W − 1)/V)     v = x − k, V = x_max − k, W = 1 − k     beyond
//! ```
//!
//! which leaves the knee with slope 1 and reaches 1 at x_max with slope (W/V)²: colours beyond the gamut stay apart and in order, and
//! where the art does not go beyond nothing changes. Rejected: the nearest printable colour, which makes one colour of whole ranges;
//! radii from a cloud of printed colours in sectors, too short wherever a sector's farthest colour is not in the cloud.
//!
//! Source for gamut mapping along lines to a middle, and for its words: CIE 156:2004 (from memory).

use crate::colour::print::Print;
use crate::colour::separate::nearest::{Choice, Wanted, improve};
use crate::colour::separate::parallel::each;
use crate::colour::spaces::Lab;

/// Directions: from the black pole to the white one, and around.
const DOWN: usize = 24;
const AROUND: usize = 48;

/// Farther than any colour of sRGB or of a print.
const FARTHEST: f64 = 200.0;

/// How much more room beyond the knee there is at most for art that goes far beyond the gamut, in proportion to how far.
const ROOMIER: f64 = 2.5;

/// Inks that make a gamut a body. With fewer it is a line or a surface, which has no inside: colours are left to the nearest print.
const VOLUME: usize = 3;

/// ΔE00 up to which a colour counts as printed.
const PRINTED: f64 = 0.3;

/// Radii in the directions of the net.
#[derive(Debug, Clone)]
pub(super) struct Gamut {
    middle: Lab,
    print: Vec<f64>,
    art: Vec<f64>,
    knee: f64,
}

impl Gamut {
    /// The gamut of `print` about `middle`, beside that of the art: `in_art` tells whether a colour is one that the art may hold.
    pub(super) fn new(print: &Print, middle: Lab, knee: f64, in_art: impl Fn(Lab) -> bool + Sync) -> Self {
        let printed = || {
            let mut coverages = [0.5; _];
            move |colour| {
                let mut tried = coverages;
                let near = improve(print, &Wanted::new(colour), &Choice::free(), &mut tried, 15) < PRINTED;
                if near {
                    coverages = tried;
                }
                near
            }
        };
        Self::of(middle, knee, print.inks() >= VOLUME, printed, in_art)
    }

    /// The same for a print told by `printed`, which makes for each direction what tells whether a colour can be printed; `body` is false
    /// for a gamut that has no inside.
    pub(super) fn of<P: FnMut(Lab) -> bool>(
        middle: Lab,
        knee: f64,
        body: bool,
        printed: impl Fn() -> P + Sync,
        in_art: impl Fn(Lab) -> bool + Sync,
    ) -> Self {
        if !body {
            return Self { middle, print: Vec::new(), art: Vec::new(), knee };
        }
        let nodes: Vec<usize> = (0..=DOWN).flat_map(|i| (0..AROUND).map(move |j| i * AROUND + j)).collect();
        let radii = each(&nodes, |&node| {
            let towards = direction(node / AROUND, node % AROUND);
            let at = |radius: f64| Lab {
                l: middle.l + radius * towards[0],
                a: middle.a + radius * towards[1],
                b: middle.b + radius * towards[2],
            };
            let mut printed = printed();
            (
                halving(FARTHEST, 11, |radius| printed(at(radius))),
                halving(FARTHEST, 14, |radius| in_art(at(radius))),
            )
        });
        let (print, art) = radii.into_iter().unzip();
        Self { middle, print, art, knee }
    }

    /// The part of the way from the middle to the print's boundary: up to 1 inside. And how far the art goes that way.
    fn reach(&self, [l, a, b]: [f64; 3]) -> (f64, f64) {
        let radius = (l * l + a * a + b * b).sqrt();
        let down = libm::acos((l / radius).clamp(-1.0, 1.0)) / std::f64::consts::PI * DOWN as f64;
        let around =
            libm::atan2(b, a).rem_euclid(std::f64::consts::TAU) / std::f64::consts::TAU * AROUND as f64;
        let (i, j) = ((down as usize).min(DOWN - 1), around as usize);
        let (u, v) = (down - i as f64, around - j as f64);
        let between = |radii: &[f64]| {
            let at = |i: usize, j: usize| radii[i * AROUND + j % AROUND];
            (1.0 - u) * ((1.0 - v) * at(i, j) + v * at(i, j + 1))
                + u * ((1.0 - v) * at(i + 1, j) + v * at(i + 1, j + 1))
        };
        let printed = between(&self.print).max(1e-6);
        (radius / printed, between(&self.art) / printed)
    }

    /// A colour brought into the gamut.
    pub(super) fn bring_in(&self, colour: Lab) -> Lab {
        if self.print.is_empty() {
            return colour;
        }
        let off = [colour.l - self.middle.l, colour.a - self.middle.a, colour.b - self.middle.b];
        if off == [0.0; 3] {
            return colour;
        }
        let (at, farthest) = self.reach(off);
        let to = bent(at, farthest, self.knee) / at;
        Lab { l: self.middle.l + to * off[0], a: self.middle.a + to * off[1], b: self.middle.b + to * off[2] }
    }
}

/// The curve of the file's head.
fn bent(x: f64, farthest: f64, knee: f64) -> f64 {
    let room = (1.0 - knee) * farthest.clamp(1.0, ROOMIER);
    let knee = 1.0 - room;
    let (v, all) = (x - knee, farthest.max(1.0) - knee);
    if v <= 0.0 || all <= room { x } else { knee + v / (1.0 + v * (all / room - 1.0) / all) }
}

fn direction(i: usize, j: usize) -> [f64; 3] {
    let down = std::f64::consts::PI * i as f64 / DOWN as f64;
    let around = std::f64::consts::TAU * j as f64 / AROUND as f64;
    let flat = libm::sin(down);
    [libm::cos(down), flat * libm::cos(around), flat * libm::sin(around)]
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
