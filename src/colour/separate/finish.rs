//! The last steps of a plate's tone: the printable floor and the trim.
//!
//! A mesh holds no dot below some size, so tones below that floor would be lost here and specks there. They are drawn apart: none up to
//! half the floor, then a straight rise to it. The rise is as steep as a plate may be, no steeper: a jump would be a break where the art
//! has none.
//!
//! A trim is the artist's hand on one plate: a curve, then tones below the highlight cut become none and tones above the
//! shadow fill become solid, by request and so with the break that was asked for.

use crate::error::{Error, Result};
use crate::tone::Curve;

/// Steps of the table that holds a trim.
const STEPS: usize = 4096;

/// What an artist changes on one plate.
#[derive(Debug, Clone)]
pub struct Trim {
    /// Tone to tone; the identity changes nothing.
    pub curve: Curve,
    /// Tones below (0…1) become none; 0 cuts nothing.
    pub highlight_cut: f64,
    /// Tones above (0…1) become solid; 1 fills nothing.
    pub shadow_fill: f64,
}

impl Default for Trim {
    fn default() -> Self {
        Self { curve: Curve::identity(), highlight_cut: 0.0, shadow_fill: 1.0 }
    }
}

/// Most of the base (0…1) that may lie where black has a coverage: all of it up to one half, then in a straight line to none under solid black.
pub(crate) fn base_beside(black: f64) -> f64 {
    (2.0 * (1.0 - black)).clamp(0.0, 1.0)
}

/// Floor and trim of one plate.
#[derive(Debug, Clone)]
pub(super) struct Finish {
    floor: f32,
    cut: f32,
    fill: f32,
    curve: Option<Vec<f32>>,
}

impl Finish {
    pub(super) fn new(floor: f64, trim: &Trim) -> Result<Self> {
        let (cut, fill) = (trim.highlight_cut, trim.shadow_fill);
        if !(0.0..=1.0).contains(&cut) {
            return Err(Error::value("highlight cut", cut, "0 to 1"));
        }
        if !(cut..=1.0).contains(&fill) {
            return Err(Error::value("shadow fill", fill, format!("the highlight cut ({cut}) to 1")));
        }
        let at = |step: usize| trim.curve.eval(step as f64 / STEPS as f64) as f32;
        let same = (0..=STEPS).all(|step| at(step) == (step as f64 / STEPS as f64) as f32);
        let curve = (!same).then(|| (0..=STEPS).map(at).collect());
        Ok(Self { floor: floor as f32, cut: cut as f32, fill: fill as f32, curve })
    }

    /// The tone to put on the plate.
    #[inline]
    pub(super) fn of(&self, coverage: f32) -> f32 {
        let mut tone = coverage.clamp(0.0, 1.0);
        if tone < self.floor {
            tone = (2.0 * tone - self.floor).max(0.0);
        }
        if let Some(curve) = &self.curve {
            let along = tone * STEPS as f32;
            let step = (along as usize).min(STEPS - 1);
            tone = curve[step] + (along - step as f32) * (curve[step + 1] - curve[step]);
        }
        match tone {
            tone if tone < self.cut => 0.0,
            tone if tone > self.fill => 1.0,
            tone => tone,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn floor_cut_and_fill_keep_the_order() {
        let curve = Curve::through(&[(0.0, 0.0), (0.5, 0.6), (1.0, 1.0)]).unwrap();
        let trim = Trim { curve, highlight_cut: 0.1, shadow_fill: 0.9 };
        let finish = Finish::new(0.04, &trim).unwrap();
        let tones: Vec<f32> = (0..=1000).map(|i| finish.of(i as f32 / 1000.0)).collect();
        assert!(tones.is_sorted());
        assert!(tones.iter().all(|&t| t == 0.0 || (0.1..=0.9).contains(&t) || t == 1.0));
        assert!((finish.of(0.5) - 0.6).abs() < 1e-6);
        let plain = Finish::new(0.04, &Trim::default()).unwrap();
        assert_eq!([0.02, 0.03, 0.04, 0.5, 1.0].map(|c| plain.of(c)), [0.0, 0.02, 0.04, 0.5, 1.0]);
        for (cut, fill) in [(-0.1, 1.0), (0.5, 0.4), (0.0, f64::NAN), (0.0, 1.1)] {
            let trim = Trim { highlight_cut: cut, shadow_fill: fill, ..Trim::default() };
            assert!(Finish::new(0.0, &trim).is_err());
        }
    }
}
