//! Readings of a printed wedge, or of a film's own, to coverage and a curve.
//!
//! Each reading is first turned into light, whatever the instrument states, and light into coverage by one of two [forms](Form):
//! along one channel (Murray–Davies, Yule–Nielsen, and with n = 1 on X, Y or Z the tone value of ISO 12647-1), or along all of
//! L*a*b* (the spot-colour tone value of ISO 20654). Both are shares of the way from the ground *as measured* to the solid, so
//! white ink on a black shirt, black on white and an ink on an underbase are one case. The channel is that of most contrast in
//! light, and is told.
//!
//! Noise is what repeats of one patch disagree by. It decides what is refused (too little contrast; tints off the way from ground
//! to solid) and how far readings are [smoothed](Readings::noise) before they are pooled to a curve that never falls. Rejected:
//! clipping tints that read darker than solid, which hides a wrong column, a wrong ground or a dirty patch in a plausible curve.

use crate::error::{Error, Result};
use crate::tone::Curve;
use crate::tone::smooth::{Noisy, smoothed};
use crate::tone::wedge::{Weighted, monotone};

mod kinds;
mod light;
mod table;

pub use kinds::{Direction, Form, On, Scale, State};
use light::Light;

/// The noise taken for single readings: a point of coverage (no source: usual for hand-held readings of textile).
const NOISE_UNTOLD: f64 = 0.01;

/// Repeats never prove less noise than this, 0.05 point: instruments state densities to 0.01 and L*a*b* to 0.01…0.1.
const LEAST_NOISE: f64 = 0.0005;

/// Degrees of freedom from which repeats tell the noise.
const ENOUGH: usize = 4;

/// Noise above which contrast is too little: 5 points of coverage for one reading.
const MOST_NOISE: f64 = 0.05;

/// Standard errors that a tint may lie beyond ground or solid.
const BEYOND: f64 = 3.0;

/// The readings of one wedge. Ground is film coverage 0, solid is 1; both must be among them, and repeats are welcome.
#[derive(Debug, Clone)]
pub struct Readings {
    scale: Scale,
    form: Form,
    channel: Option<usize>,
    white: [f64; 3],
    noise: Option<f64>,
    device: Option<Curve>,
    on: On,
    state: State,
    /// Film coverage, and the values as given.
    patches: Vec<(f64, Vec<f64>)>,
}

/// One film coverage of a wedge, as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Coverage on film.
    pub film: f64,
    /// Printed coverage, the mean of its readings. Not clipped.
    pub printed: f64,
    /// How many readings there were.
    pub repeats: usize,
    /// Their standard deviation; none for a single reading.
    pub spread: Option<f64>,
    /// Printed coverage less that of the curve.
    pub residual: f64,
}

/// What a wedge tells.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Measured {
    /// Film coverage → printed coverage: the press curve, or for a film's own wedge the film printer's.
    pub curve: Curve,
    /// Every film coverage, rising, ground and solid included.
    pub patches: Vec<Patch>,
    /// The channel used, counted from 0 (for L*a*b* 0, 1, 2 are X, Y, Z); none for [`Form::Spot`].
    pub channel: Option<usize>,
    /// Solid less ground: light of 0…1 in the channel, or for [`Form::Spot`] the length of the way in its three lightnesses. Never negative.
    pub contrast: f64,
    /// Darker or lighter than the ground.
    pub direction: Direction,
    /// Standard deviation of one reading, in coverage.
    pub noise: f64,
    /// Whether `noise` was told by repeats or by the caller; otherwise it is assumed to be 0.01, and nothing was smoothed.
    pub noise_known: bool,
    /// Root of the mean square residual of the tints.
    pub rms_residual: f64,
    /// Largest residual of a tint, without its sign.
    pub worst_residual: f64,
    /// As the caller told.
    pub on: On,
    /// As the caller told.
    pub state: State,
}

impl Readings {
    /// No readings yet, of an instrument that states `scale`; along the channel of most contrast with n = 1 unless told.
    pub fn new(scale: Scale) -> Self {
        Self {
            scale,
            form: Form::default(),
            channel: None,
            white: light::D50,
            noise: None,
            device: None,
            on: On::default(),
            state: State::default(),
            patches: Vec::new(),
        }
    }

    /// How light becomes coverage. Errors: the spot-colour form needs X, Y, Z or L*a*b*.
    pub fn form(self, form: Form) -> Result<Self> {
        if form == Form::Spot && matches!(self.scale, Scale::Density | Scale::Reflectance) {
            return Err(Error::value(
                "scale of the spot-colour form",
                format!("{:?}", self.scale),
                "Xyz or Lab",
            ));
        }
        Ok(Self { form, ..self })
    }

    /// The channel to use, counted from 0, in place of that of most contrast.
    pub fn channel(self, channel: usize) -> Self {
        Self { channel: Some(channel), ..self }
    }

    /// The white that L*a*b* refers to, Y = 100; D50 (96.42, 100, 82.49; ISO 13655) unless told. Errors: not within 1…200.
    pub fn white(self, white: [f64; 3]) -> Result<Self> {
        match white.iter().find(|v| !(1.0..=200.0).contains(*v)) {
            Some(bad) => Err(Error::value("white", bad, "X, Y, Z of 1 to 200")),
            None => Ok(Self { white, ..self }),
        }
    }

    /// The standard deviation of one reading in coverage, 0.0001…0.05, where it is known from elsewhere. Without it repeats tell,
    /// from four degrees of freedom on. Known noise is smoothed away: of all curves that fit as well as the noise explains, the
    /// one that bends least.
    pub fn noise(self, coverage: f64) -> Result<Self> {
        if (0.0001..=MOST_NOISE).contains(&coverage) {
            Ok(Self { noise: Some(coverage), ..self })
        } else {
            Err(Error::value("noise of a reading", coverage, format!("0.0001 to {MOST_NOISE}")))
        }
    }

    /// The curve of the film printer, where patches are told by what was *asked* of a film that was printed without undoing it:
    /// each patch then counts with what the film really held.
    pub fn asked_of(self, device: &Curve) -> Self {
        Self { device: Some(device.clone()), ..self }
    }

    /// What the wedge is printed on and in which state it was measured.
    pub fn told(self, on: On, state: State) -> Self {
        Self { on, state, ..self }
    }

    /// Adds one reading of the patch of the given film coverage (0…1): as many values as the scale has.
    ///
    /// Errors: coverage or a value out of range; another number of values than in the first reading.
    pub fn add(&mut self, film: f64, values: &[f64]) -> Result<()> {
        if !(0.0..=1.0).contains(&film) {
            return Err(Error::value("film coverage of a wedge patch", film, "0 to 1"));
        }
        let expected = match (self.scale, self.patches.first()) {
            (Scale::Xyz | Scale::Lab, _) => 3,
            (_, Some((_, first))) => first.len(),
            (_, None) => values.len().clamp(1, 1024),
        };
        if values.len() != expected {
            return Err(Error::value("values of a reading", values.len(), expected.to_string()));
        }
        light::check(self.scale, values)?;
        self.patches.push((film, values.to_vec()));
        Ok(())
    }

    /// Coverage of every patch, and the curve.
    ///
    /// Errors, as bad data, in words: no reading of ground, solid or any tint; too little contrast (below 0.02 of light or 5 units
    /// of L*, or noise above 5 points); a tint beyond ground or solid by more than three standard errors.
    pub fn measure(&self) -> Result<Measured> {
        let lights: Vec<Light> =
            self.patches.iter().map(|(_, values)| Light::of(self.scale, values, self.white)).collect();
        let film = |i: usize| self.patches[i].0;
        let mean_at = |end: f64, name: &str| {
            let of_end: Vec<&Light> =
                (0..lights.len()).filter(|&i| film(i) == end).map(|i| &lights[i]).collect();
            Light::mean(&of_end).ok_or_else(|| Error::data("wedge", format!("no reading of {name}")))
        };
        let ground = mean_at(0.0, "bare ground (film coverage 0)")?;
        let solid = mean_at(1.0, "the solid (film coverage 1)")?;
        let way = light::Way::between(&ground, &solid, self.form, self.channel)?;
        let mut by_film: Vec<(f64, f64)> =
            (0..lights.len()).map(|i| (film(i), way.coverage(&lights[i]))).collect();
        if let Some(device) = &self.device {
            by_film.iter_mut().for_each(|(film, _)| *film = device.eval(*film));
        }
        by_film.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut patches: Vec<Patch> = by_film.chunk_by(|a, b| a.0 == b.0).map(patch).collect();
        if patches.len() < 3 {
            return Err(Error::data("wedge", "no reading of a tint between ground and solid"));
        }
        let (noise, noise_known) = self.noise_of(&patches);
        if noise > MOST_NOISE {
            return Err(Error::data(
                "wedge",
                format!(
                    "too little contrast: repeats differ by {:.1} % of the way from ground to solid; allowed: {} %",
                    100.0 * noise,
                    100.0 * MOST_NOISE
                ),
            ));
        }
        refuse_beyond(&patches, noise)?;
        let curve = through(&patches, noise_known.then_some(noise))?;
        for patch in &mut patches {
            patch.residual = patch.printed - curve.eval(patch.film);
        }
        let tints = &patches[1..patches.len() - 1];
        let square = tints.iter().map(|p| p.residual * p.residual).sum::<f64>() / tints.len() as f64;
        Ok(Measured {
            curve,
            rms_residual: libm::sqrt(square),
            worst_residual: tints.iter().fold(0.0, |worst, p| p.residual.abs().max(worst)),
            patches,
            channel: way.channel(),
            contrast: way.contrast(),
            direction: way.direction(),
            noise,
            noise_known,
            on: self.on,
            state: self.state,
        })
    }

    /// The standard deviation of one reading: as told, or pooled over all repeats, or assumed.
    fn noise_of(&self, patches: &[Patch]) -> (f64, bool) {
        let freedom: usize = patches.iter().map(|p| p.repeats - 1).sum();
        let squares: f64 =
            patches.iter().map(|p| p.spread.unwrap_or(0.0).powi(2) * (p.repeats - 1) as f64).sum();
        match self.noise {
            Some(noise) => (noise, true),
            None if freedom >= ENOUGH => (libm::sqrt(squares / freedom as f64).max(LEAST_NOISE), true),
            None => (NOISE_UNTOLD, false),
        }
    }
}

/// One patch of readings of the same film coverage; never empty.
fn patch(readings: &[(f64, f64)]) -> Patch {
    let count = readings.len() as f64;
    let printed = readings.iter().map(|r| r.1).sum::<f64>() / count;
    let squares = readings.iter().map(|r| (r.1 - printed) * (r.1 - printed)).sum::<f64>();
    let spread = (readings.len() > 1).then(|| libm::sqrt(squares / (count - 1.0)));
    Patch { film: readings[0].0, printed, repeats: readings.len(), spread, residual: 0.0 }
}

/// Refuses tints that lie beyond ground or solid by more than their own noise and that of the end explain.
fn refuse_beyond(patches: &[Patch], noise: f64) -> Result<()> {
    let ends = [&patches[0], &patches[patches.len() - 1]].map(|p| 1.0 / p.repeats as f64);
    for patch in &patches[1..patches.len() - 1] {
        let near_solid = patch.printed > 0.5;
        let end = ends[usize::from(near_solid)];
        let allowed = BEYOND * noise * libm::sqrt(1.0 / patch.repeats as f64 + end);
        if patch.printed < -allowed || patch.printed > 1.0 + allowed || patch.printed.is_nan() {
            return Err(Error::data(
                format!("wedge patch of {:.2} % on film", 100.0 * patch.film),
                format!(
                    "prints {:.2} %, beyond {}; noise explains {:.2} points",
                    100.0 * patch.printed,
                    if near_solid { "the solid" } else { "the ground" },
                    100.0 * allowed
                ),
            ));
        }
    }
    Ok(())
}

/// The curve through the patches: smoothed where noise is known, then pooled.
fn through(patches: &[Patch], noise: Option<f64>) -> Result<Curve> {
    let last = patches.len() - 1;
    let points: Vec<Noisy> = (0..=last)
        .map(|i| {
            let p = &patches[i];
            let (y, end) = match i {
                0 => (0.0, true),
                _ if i == last => (1.0, true),
                _ => (p.printed, false),
            };
            let sigma = if end { 0.0 } else { noise.unwrap_or(0.0) / libm::sqrt(p.repeats as f64) };
            Noisy { x: p.film, y, sigma }
        })
        .collect();
    let smooth = smoothed(&points);
    let tints = patches.iter().zip(&smooth).take(last).skip(1);
    monotone(
        tints.map(|(p, &printed)| Weighted { film: p.film, printed, weight: p.repeats as f64 }).collect(),
    )
}

#[cfg(test)]
mod tests;
