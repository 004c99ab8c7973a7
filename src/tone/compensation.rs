//! Compensation: what to ask of a film so that the print is what the plate, or an aim, says.
//!
//! asked → (film printer) → film → (press) → print is undone from its end. A first round knows the press from a wedge printed as it
//! comes, or from a [model](crate::tone::model). A second prints a wedge *through* the first round's curve c₁ and measures m, plate tone →
//! print, which is m = press ∘ film printer ∘ c₁ whatever c₁ was made from. The plate tone that printed what is wanted is m⁻¹(aim), so
//!
//! ```text
//! c₂ = c₁ ∘ m⁻¹ ∘ aim
//! ```
//!
//! prints the aim: an error of the first round, or a press that moved since, goes out in one step, and what is left is the noise of the
//! newest wedge and what its interpolation misses. That is little, for m is nearly straight where the press is not; but noise bends the
//! curve between patches, where the next wedge does not look, so rounds beyond the second or third do harm: readings off by up to 0.9 point
//! at 19 patches left 1.1 points at the worst tone after one round, 1.7 after eight, 2.4 after 32. Smoothed wedges have less to bend.
//! Maps composed stay monotone and keep 0 at 0. Rejected: the difference between aim and print taken off the film's coverage, which goes on correcting where
//! the press is steep, stops short where it is flat, and may turn the curve round; and all rounds' readings pooled into one press, which
//! goes on believing a first wedge that was wrong.

use crate::error::{Error, Result};
use crate::tone::Curve;

impl Curve {
    /// What to ask of a film so that the print holds the tone of the plate, for a press that turns film coverage into
    /// printed coverage by `press`, and a film printer that turns asked coverage into film coverage by `device`.
    ///
    /// The chain asked → film → print is undone from its end: press⁻¹, then device⁻¹.
    pub fn compensation(press: &Self, device: Option<&Self>) -> Self {
        let wanted_on_film = press.inverse();
        match device {
            Some(device) => wanted_on_film.then(&device.inverse()),
            None => wanted_on_film,
        }
    }

    /// The same for a print that follows `aim`, plate tone → printed coverage, in place of the plate itself: such as another press's
    /// curve, to print like it.
    ///
    /// Where the aim is beyond what the press prints, the film is solid.
    pub fn compensation_to(aim: &Self, press: &Self, device: Option<&Self>) -> Self {
        aim.then(&Self::compensation(press, device))
    }

    /// The next round of this compensation: `printed` is what a wedge screened through it printed, plate tone → printed coverage
    /// ([`press_curve`](crate::tone::wedge::press_curve) with plate tones in place of film coverages), and `aim` what it is to print; none
    /// for the plate's own tones.
    ///
    /// A film printer's curve is part of both rounds and need not be told again. What this compensation does not ask for even at solid,
    /// the next one cannot ask for either.
    ///
    /// Errors: a wedge that prints its solid from a tint on, whose plates' solid would no longer be solid on film; the curves of
    /// `press_curve` and of readings never do.
    ///
    /// Each round is evaluated through those before it: its cost grows by that of one inverse a round.
    pub fn refined(&self, printed: &Self, aim: Option<&Self>) -> Result<Self> {
        let to_tone = printed.inverse();
        let solid_from = to_tone.eval(printed.eval(1.0));
        if solid_from < 1.0 {
            let got = format!("as dense as its solid from tint {solid_from:.4} on");
            return Err(Error::value("printed wedge of the first round", got, "below solid at every tint"));
        }
        let update = to_tone.then(self);
        Ok(aim.map_or(update.clone(), |aim| aim.then(&update)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tone::model::Gain;
    use crate::tone::wedge::{Reading, press_curve};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn press() -> Curve {
        Curve::through(&[(0.25, 0.42), (0.5, 0.72), (0.75, 0.91), (1.0, 1.0)]).unwrap()
    }

    /// The wedge that a press prints through `ask`, read at every twentieth of the tones with the given errors in turn.
    fn wedge(press: &Curve, ask: &Curve, errors: &[f64]) -> Curve {
        let readings: Vec<_> = (1..20)
            .map(|i| {
                let tone = f64::from(i) / 20.0;
                let error = errors[i as usize % errors.len()];
                Reading { film: tone, printed: (press.eval(ask.eval(tone)) + error).clamp(0.0, 1.0) }
            })
            .collect();
        press_curve(&readings).unwrap()
    }

    /// Largest difference between what a press prints through `ask` and the aim.
    fn off(press: &Curve, ask: &Curve, aim: &Curve) -> f64 {
        let tones = (0..=400).map(|i| f64::from(i) / 400.0);
        tones.map(|t| (press.eval(ask.eval(t)) - aim.eval(t)).abs()).fold(0.0, f64::max)
    }

    #[test]
    fn chains_and_compensation_undo_press_and_device() {
        let press = press();
        let device = Curve::through(&[(0.5, 0.46), (1.0, 1.0)]).unwrap();
        let aim = Gain::at_half(0.17).unwrap().curve();
        let straight = Curve::compensation(&press, Some(&device));
        let aimed = Curve::compensation_to(&aim, &press, Some(&device));
        for i in 0..=200 {
            let tone = f64::from(i) / 200.0;
            let printed = |ask: &Curve| press.eval(device.eval(ask.eval(tone)));
            assert_abs_diff_eq!(printed(&straight), tone, epsilon = 1e-11);
            assert_abs_diff_eq!(printed(&aimed), aim.eval(tone), epsilon = 1e-11);
        }
        assert_eq!(press.inverse().inverse().eval(0.3), press.eval(0.3));
    }

    #[test]
    fn a_second_round_mends_a_biased_first() {
        let (press, aim) = (press(), Gain::at_half(0.1).unwrap().curve());
        // The first round was made for half the gain of the press.
        let first = Curve::compensation_to(&aim, &Gain::at_half(0.11).unwrap().curve(), None);
        assert!(off(&press, &first, &aim) > 0.07);
        let second = first.refined(&wedge(&press, &first, &[0.0]), Some(&aim)).unwrap();
        assert!(off(&press, &second, &aim) < 0.001, "{}", off(&press, &second, &aim));
        let third = second.refined(&wedge(&press, &second, &[0.0]), Some(&aim)).unwrap();
        assert!(off(&press, &third, &aim) < 0.0002, "{}", off(&press, &third, &aim));
        let straight = first.refined(&wedge(&press, &first, &[0.0]), None).unwrap();
        assert!(off(&press, &straight, &Curve::identity()) < 0.001);
    }

    #[test]
    fn noise_grows_little_over_the_rounds() {
        let (press, aim) = (press(), Curve::identity());
        let mut ask = Curve::compensation(&Gain::at_half(0.35).unwrap().curve(), None);
        let errors = [0.008, -0.006, 0.003, -0.009, 0.005, -0.001, 0.007];
        for round in 0..8 {
            let turned: Vec<f64> = errors.iter().cycle().skip(round).take(7).copied().collect();
            ask = ask.refined(&wedge(&press, &ask, &turned), Some(&aim)).unwrap();
            // Readings are up to 0.009 off, neighbours by 0.015 from each other.
            assert!(off(&press, &ask, &aim) < 0.018, "round {round}: {}", off(&press, &ask, &aim));
            let table = ask.table::<u8>();
            assert!(table.is_sorted() && table[0] == 0 && table[255] == 1 << 32);
        }
    }

    proptest! {
        #[test]
        fn any_wedge_refines_to_a_monotone_curve_from_nothing_to_solid(
            gains in (-0.4f64..0.4, -0.4f64..0.4, -0.4f64..0.4),
            errors in prop::collection::vec(-0.1f64..0.1, 1..20),
        ) {
            let curve = |gain: f64| Gain::at_half(gain).unwrap().curve();
            let first = Curve::compensation(&curve(gains.0), None);
            let printed = wedge(&curve(gains.1), &first, &errors);
            let second = first.refined(&printed, Some(&curve(gains.2))).unwrap();
            let table = second.table::<u8>();
            prop_assert!(table.is_sorted());
            prop_assert_eq!((table[0], table[255]), (0, 1 << 32));
        }
    }

    #[test]
    fn a_wedge_that_closes_before_its_solid_is_refused() {
        let closed = Curve::through(&[(0.5, 0.8), (0.9, 1.0), (1.0, 1.0)]).unwrap();
        let refused = Curve::identity().refined(&closed, None).unwrap_err().to_string();
        assert!(refused.contains("0.9000"), "{refused}");
        // The same readings as a wedge are taken: the solid alone is solid.
        let readings = [Reading { film: 0.5, printed: 0.8 }, Reading { film: 0.9, printed: 1.0 }];
        let second = Curve::identity().refined(&press_curve(&readings).unwrap(), None).unwrap();
        assert_eq!(second.eval(1.0), 1.0);
        // A solid that is held back stays so.
        let held = Curve::through(&[(1.0, 0.9)]).unwrap();
        assert_eq!(held.refined(&Curve::identity(), None).unwrap().eval(1.0), 0.9);
    }
}
