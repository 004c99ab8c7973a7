//! A thin layer: what an ink does to the light of whatever it lies on.
//!
//! A layer that reflects R₀ by itself and lets T through, on a ground of reflectance g, sends light back and forth between
//! both. The sum of it all (G. G. Stokes, Proc. R. Soc. Lond. 11 (1862) 545; the same as P. Kubelka's layer, J. Opt. Soc. Am.
//! 38 (1948) 448; pages from memory):
//!
//! ```text
//! R = R₀ + T² g / (1 − R₀ g)
//! ```
//!
//! in each band of light by itself. (Brightened cloth sends back more than falls on it, g > 1, but glows once only: light
//! that comes back to it from the layer finds g = 1 at the most.) Two drawdowns, R_w over a white g_w and R_b over a black
//! g_b, give both unknowns:
//!
//! ```text
//! R₀ = (g_w R_b − g_b R_w) / (g_w − g_b + g_w g_b (R_b − R_w)),      T² = (R_w − R₀)(1 − R₀ g_w) / g_w
//! ```
//!
//! The bands are those of [`WideRgb`]. The law holds for single wavelengths, and the narrower the bands the nearer they come.
//! Layers of cyan, magenta and yellow were made from their solids over paper and over black in nine free sets of offset data
//! (`tests/reference/solids.csv`), and the overprints CM, CY, MY and CMY predicted by laying one on the other. Mean ΔE00
//! against the measured ones: **BT.2020 at D50 5.1** (ACES AP1, nearly the same primaries, 5.2); linear sRGB 7.7, with R₀
//! down to −0.19 for inks beyond its gamut; ROMM RGB, whose primaries are no colours, 9.3; cone responses 8.5 (sharpened) to
//! 9.7 (Bradford's); X Y Z 10.0.
//!
//! A thicker or thinner layer of the same ink is that of Kubelka and Munk: with p² = ¼((1 − R)² − T²)((1 + R)² − T²), q =
//! ½(1 + R² − T²), θ = asinh(p/T), a layer of `part` the thickness has
//!
//! ```text
//! s = sinh(part θ)/p,      R' = R s / (q s + cosh(part θ)),      T' = 1 / (q s + cosh(part θ))
//! ```
//!
//! which is their a, b, S X form (Z. tech. Phys. 12 (1931) 593, from memory) written so that clear inks (R = 0) and inks that
//! absorb nothing (R + T = 1) need no division by zero. Rejected: T'² = T²^part with R₀ scaled in step, which is right for
//! clear inks only: a white of R₀ 0.6 at half thickness reflects 0.43 by itself, not 0.3.

use crate::colour::spaces::{WideRgb, Xyz};
use crate::error::{Error, Result};

/// How far drawdowns may be beyond what a layer can be, in reflectance. Instruments and 8-bit codes are not exact, and dark
/// inks over a black ground leave little to measure: the nine sets of offset data need up to 0.0094.
pub const TOLERANCE: f64 = 0.01;

/// Least difference of the two grounds in every band: with less, noise in the drawdowns is magnified more than ten times.
const LEAST_CONTRAST: f64 = 0.1;

/// Highest reflectance of a ground in any band; brightened cloth is somewhat above 1 in blue light.
const BRIGHTEST: f64 = 1.5;

/// Least T²: below it nothing can be seen of the ground, and a part of the layer's thickness can still be taken.
const OPAQUE: f64 = 1e-12;

/// An ink's colour over a ground whose own colour is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawdown {
    /// The ground, bare.
    pub ground: Xyz,
    /// The ink over it.
    pub colour: Xyz,
}

/// A layer: in each band its own reflectance R₀ (0…1) and the square of its transmittance T² (0…(1 − R₀)²).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    own: [f64; 3],
    through: [f64; 3],
}

impl Layer {
    /// The layer that two drawdowns show. It gives back both, but for what [`TOLERANCE`] takes off.
    ///
    /// Errors, in words a printer can act on: values that are no numbers or out of range; grounds too much alike; ink darker
    /// over white than over black; less light over black than any ink can leave (R₀ < 0); more light than falls on it
    /// (fluorescent inks are no layers).
    pub fn from_drawdowns(over_white: Drawdown, over_black: Drawdown) -> Result<Self> {
        let [gw, rw] = bands("over white", over_white)?;
        let [gb, rb] = bands("over black", over_black)?;
        let mut layer = Self { own: [0.0; 3], through: [0.0; 3] };
        for (band, light) in ["red", "green", "blue"].into_iter().enumerate() {
            (layer.own[band], layer.through[band]) = solve(light, gw[band], rw[band], gb[band], rb[band])?;
        }
        Ok(layer)
    }

    /// Its own reflectance R₀ and T², in the bands of [`WideRgb`].
    pub fn parts(&self) -> [[f64; 3]; 2] {
        [self.own, self.through]
    }

    /// The layer over a ground.
    pub fn over(&self, ground: WideRgb) -> WideRgb {
        WideRgb([0, 1, 2].map(|i| {
            let (own, g) = (self.own[i], ground.0[i]);
            own + self.through[i] * g / (1.0 - own * g.min(1.0))
        }))
    }

    /// The same ink laid down in `part` of the thickness; 0 is no ink, above 1 more of it. Below 0 (and not a number) counts
    /// as 0.
    #[must_use]
    pub fn of_thickness(&self, part: f64) -> Self {
        let part = part.max(0.0);
        let mut thin = *self;
        for i in 0..3 {
            let (r, t) = (self.own[i], self.through[i].max(OPAQUE).sqrt());
            // Rounding may leave R + T a hair above 1.
            let p2 = 0.25 * (((1.0 - r) * (1.0 - r) - t * t) * ((1.0 + r) * (1.0 + r) - t * t)).max(0.0);
            let (p, q) = (p2.sqrt(), 0.5 * (1.0 + r * r - t * t));
            let theta = libm::asinh(p / t);
            // Where nothing is absorbed p and θ vanish together: sinh(part θ)/p → part/t.
            let s = if p > 1e-8 { libm::sinh(part * theta) / p } else { part / t };
            let all = q * s + libm::cosh(part * theta);
            (thin.own[i], thin.through[i]) = (r * s / all, 1.0 / (all * all));
        }
        thin
    }
}

/// The light of a surface in the bands, or nothing where no surface is like that.
pub(crate) fn surface(colour: Xyz) -> Option<WideRgb> {
    let light = colour.to_wide().0;
    let possible = light.iter().all(|v| (-TOLERANCE..=BRIGHTEST).contains(v));
    possible.then_some(WideRgb(light.map(|v| v.max(0.0))))
}

/// A drawdown's ground and colour in the bands.
fn bands(place: &str, drawdown: Drawdown) -> Result<[[f64; 3]; 2]> {
    let light = |what: &str, colour: Xyz| {
        surface(colour).map(|light| light.0).ok_or_else(|| {
            let [r, g, b] = colour.to_wide().0;
            impossible(format!(
                "{what} {place} is beyond any surface (red light {r:.3}, green {g:.3}, blue {b:.3}; possible: 0 to {BRIGHTEST})"
            ))
        })
    };
    Ok([light("the ground", drawdown.ground)?, light("the ink", drawdown.colour)?])
}

/// R₀ and T² in one band.
fn solve(light: &str, gw: f64, rw: f64, gb: f64, rb: f64) -> Result<(f64, f64)> {
    if gw - gb < LEAST_CONTRAST {
        return Err(impossible(format!(
            "the grounds are too much alike in {light} light: {gw:.3} and {gb:.3}, needed: a difference of {LEAST_CONTRAST}"
        )));
    }
    if rw < rb - TOLERANCE {
        return Err(impossible(format!(
            "darker over white than over black in {light} light: {rw:.3} and {rb:.3}"
        )));
    }
    let sent_back = gw.min(1.0);
    let (square, slope, rest) =
        (gb * (gw - sent_back), gw * (1.0 + rb * gb) - gb * (1.0 + rw * sent_back), gw * rb - gb * rw);
    // The smaller root of square R₀² − slope R₀ + rest = 0; square is 0 but for brightened cards.
    let own = 2.0 * rest / (slope + (slope * slope - 4.0 * square * rest).max(0.0).sqrt());
    if slope <= 0.0 || own < -TOLERANCE {
        return Err(impossible(format!(
            "too dark over black in {light} light: {rb:.3} over {gb:.3}, where its {rw:.3} over {gw:.3} leaves more"
        )));
    }
    let own = own.max(0.0);
    let through = ((rw - own) * (1.0 - own * sent_back) / gw).max(0.0);
    let over_perfect_white = own + through / (1.0 - own);
    if own >= 1.0 || over_perfect_white > 1.0 + TOLERANCE {
        return Err(impossible(format!(
            "more {light} light than falls on it: {rw:.3} over {gw:.3}; fluorescent inks are not modelled"
        )));
    }
    Ok((own, through.min((1.0 - own) * (1.0 - own))))
}

fn impossible(why: String) -> Error {
    Error::data("impossible drawdowns", why)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn wide(value: f64) -> WideRgb {
        WideRgb([value; 3])
    }

    fn drawdown(ground: f64, colour: f64) -> Drawdown {
        Drawdown { ground: wide(ground).to_xyz(), colour: wide(colour).to_xyz() }
    }

    fn grey(own: f64, through: f64) -> Layer {
        Layer { own: [own; 3], through: [through; 3] }
    }

    /// Kubelka and Munk's layer of coefficients K, S and thickness X over a ground, in the form of their paper.
    fn kubelka_munk(k: f64, s: f64, x: f64, ground: f64) -> f64 {
        let a = 1.0 + k / s;
        let b = (a * a - 1.0).sqrt();
        let coth = 1.0 / (b * s * x).tanh();
        (1.0 - ground * (a - b * coth)) / (a - ground + b * coth)
    }

    #[test]
    fn a_layer_is_that_of_kubelka_and_munk() {
        // Figures computed from their formula: K 0.1, S 1 over grounds of 0, 0.05 and 0.8.
        for (x, figures) in [(1.0, [0.461034, 0.471181, 0.712347]), (5.0, [0.637865, 0.638050, 0.643695])] {
            let grounds = [0.0, 0.05, 0.8];
            for (g, figure) in grounds.into_iter().zip(figures) {
                assert_abs_diff_eq!(kubelka_munk(0.1, 1.0, x, g), figure, epsilon = 5e-7);
            }
            // Two grounds give the layer, which then gives the third.
            let layer = Layer::from_drawdowns(drawdown(0.8, figures[2]), drawdown(0.0, figures[0])).unwrap();
            assert_abs_diff_eq!(layer.over(wide(0.05)).0[1], figures[1], epsilon = 1.5e-6);
        }
        // Without end it is K/S alone: 2 − √3 for K = S, over any ground.
        let thick = Layer::from_drawdowns(
            drawdown(0.9, kubelka_munk(1.0, 1.0, 1.0, 0.9)),
            drawdown(0.1, kubelka_munk(1.0, 1.0, 1.0, 0.1)),
        );
        let thick = thick.unwrap().of_thickness(20.0);
        for g in [0.0, 0.5, 1.0] {
            assert_abs_diff_eq!(thick.over(wide(g)).0[0], 2.0 - 3f64.sqrt(), epsilon = 1e-9);
        }
    }

    proptest! {
        #[test]
        fn thickness_is_that_of_kubelka_and_munk(
            k in 0.001..4.0f64, s in 0.01..4.0f64, x in 0.1..2.0f64, part in 0.05..3.0f64, g in 0.0..1.0f64,
        ) {
            let drawn = |ground| drawdown(ground, kubelka_munk(k, s, x, ground));
            let layer = Layer::from_drawdowns(drawn(0.85), drawn(0.03)).unwrap();
            let expected = kubelka_munk(k, s, x * part, g);
            let found = layer.of_thickness(part).over(wide(g)).0;
            // Two drawdowns tell T² by their difference, to some 1e-16: an ink that is nearly opaque has little of it left.
            let b = ((1.0 + k / s) * (1.0 + k / s) - 1.0).sqrt();
            let t = b / ((1.0 + k / s) * (b * s * x).sinh() + b * (b * s * x).cosh());
            let known = (1e-15 / (t * t)).max(1e-9);
            prop_assert!(found.iter().all(|f| (f - expected).abs() < known), "{:?} {}", found, expected);
        }

        #[test]
        fn two_thin_layers_are_one_of_both(
            own in 0.0..0.95f64, share in 0.0..1.0f64, part in 0.01..0.99f64, g in 0.0..1.0f64,
        ) {
            // Also where nothing is absorbed (share 1), nothing scattered (own 0) and nothing let through (share 0).
            for share in [share, 0.0, 1.0] {
                for own in [own, 0.0] {
                    let layer = grey(own, share * share * (1.0 - own) * (1.0 - own));
                    let rest = layer.of_thickness(1.0 - part);
                    let piled = layer.of_thickness(part).over(rest.over(wide(g))).0[2];
                    let whole = layer.over(wide(g)).0[2];
                    prop_assert!((piled - whole).abs() < 1e-6, "{} {} {}", own, piled, whole);
                }
            }
        }

        #[test]
        fn drawdowns_are_given_back(
            own in 0.0..0.95f64, share in 0.0..1.0f64, gw in 0.5..1.2f64, gb in 0.0..0.3f64,
        ) {
            let layer = grey(own, share * (1.0 - own) * (1.0 - own));
            let drawn = |g: f64| drawdown(g, layer.over(wide(g)).0[0]);
            let found = Layer::from_drawdowns(drawn(gw), drawn(gb)).unwrap();
            for i in 0..3 {
                prop_assert!((found.own[i] - layer.own[i]).abs() < 1e-9);
                prop_assert!((found.through[i] - layer.through[i]).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn ends_of_thickness_are_no_ink_and_the_ink() {
        for layer in [grey(0.3, 0.2), grey(0.0, 0.5), grey(0.6, 0.16), grey(0.4, 0.0)] {
            assert_abs_diff_eq!(layer.of_thickness(0.0).over(wide(0.37)).0[1], 0.37, epsilon = 1e-12);
            assert_abs_diff_eq!(
                layer.of_thickness(1.0).over(wide(0.37)).0[1],
                layer.over(wide(0.37)).0[1],
                epsilon = 1e-9
            );
            assert_eq!(layer.of_thickness(f64::NAN), layer.of_thickness(0.0));
        }
        // A white that absorbs nothing: R = S X/(1 + S X), so half of R₀ 0.6 (S X 1.5) is 0.75/1.75.
        assert_abs_diff_eq!(grey(0.6, 0.16).of_thickness(0.5).own[0], 0.75 / 1.75, epsilon = 1e-12);
    }

    #[test]
    fn impossible_drawdowns_are_refused_with_a_word() {
        for (white, black, word) in [
            ((0.9, 0.3), (0.05, 0.4), "darker over white than over black in red light"),
            ((0.9, 0.8), (0.05, 0.0), "too dark over black"),
            ((0.8, 0.85), (0.02, 0.2), "more red light than falls on it"),
            ((0.5, 0.4), (0.45, 0.3), "too much alike"),
            ((0.9, 1.7), (0.05, 0.5), "the ink over white is beyond any surface"),
            ((f64::NAN, 0.5), (0.05, 0.3), "the ground over white is beyond"),
            ((0.9, 0.5), (0.05, f64::INFINITY), "the ink over black is beyond"),
            ((0.9, 0.5), (-0.1, 0.2), "the ground over black is beyond"),
        ] {
            let found = Layer::from_drawdowns(drawdown(white.0, white.1), drawdown(black.0, black.1));
            let message = found.unwrap_err().to_string();
            assert!(message.contains(word), "{message}");
        }
        // As measured, within what instruments are sure of: a clear ink over black a little darker than black.
        let layer = Layer::from_drawdowns(drawdown(0.9, 0.5), drawdown(0.05, 0.02)).unwrap();
        assert_eq!(layer.own, [0.0; 3]);
        assert_abs_diff_eq!(layer.over(wide(0.9)).0[0], 0.5, epsilon = 1e-12);
    }
}
