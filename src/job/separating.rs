//! How art is separated, in a job file: `[separation]`, pinned colours, measured overprints.

use crate::colour::Xyz;
use crate::colour::separate::Intent;
use crate::job::inks::{JobInk, number};
use crate::job::values::{Codes, Percent};
use crate::settings::{At, Keys, Mistakes, Text};

/// How art is separated, and how inks lie on each other.
#[derive(Debug, Clone)]
pub(super) struct Separating {
    pub intent: Intent,
    pub knee: f64,
    pub ink_price: f64,
    pub grey_price: f64,
    pub smoothness: f64,
    pub floor: f64,
    /// Which ink is the black, where it is told.
    pub black: Option<usize>,
    pub wet: f64,
    pub yule_nielsen: f64,
    /// Art colours that are one ink.
    pub pins: Vec<([u8; 3], usize)>,
    /// Measured colours of inks on each other.
    pub overprints: Vec<(Vec<usize>, Xyz)>,
}

/// Takes the tables of separation out of a file, for the inks that were sound in it.
pub(super) fn read(
    top: &mut Keys<'_>,
    inks: &[JobInk],
    all_sound: bool,
    mistakes: &mut Mistakes<'_>,
) -> Separating {
    // Names of inks that were wrong themselves are told there.
    let place = |name: &At<Text>, mistakes: &mut Mistakes<'_>| {
        let wanted = name.value.0.trim().to_lowercase();
        let found = inks.iter().position(|ink| ink.ink.name().to_lowercase() == wanted);
        if found.is_none() && all_sound {
            mistakes.add(name.at, format!("{:?} is no ink of this job", name.value.0));
        }
        found
    };
    let mut keys = top.table("separation", mistakes).unwrap_or_else(Keys::none);
    let mut percent = |key, low, high, usual| match keys.value::<Percent>(key, mistakes) {
        Some(part) if (low..=high).contains(&part.value.0) => part.value.0,
        Some(part) => {
            let (low, high) = (Percent(low), Percent(high));
            mistakes.add(part.at, format!("{key} is {}; allowed: {low} to {high}", part.value));
            usual
        }
        None => usual,
    };
    let (knee, floor) = (percent("knee", 0.0, 0.99, 0.9), percent("floor", 0.0, 0.2, 0.0));
    let wet = percent("wet", 0.0, 1.0, 1.0);
    let mut separation = Separating {
        intent: keys.read("intent", mistakes).map_or(Intent::default(), |intent| intent.value),
        knee,
        floor,
        wet,
        ink_price: number(&mut keys, "ink_price", 0.0..=100.0, 0.2, mistakes),
        grey_price: number(&mut keys, "grey_price", 0.0..=100.0, 1.0, mistakes),
        smoothness: number(&mut keys, "smoothness", 1.0..=10_000.0, 100.0, mistakes),
        yule_nielsen: number(&mut keys, "yule_nielsen", 1.0..=10.0, 1.0, mistakes),
        black: keys.read::<Text>("black", mistakes).and_then(|name| place(&name, mistakes)),
        pins: Vec::new(),
        overprints: Vec::new(),
    };
    keys.done(mistakes);
    for mut keys in top.tables("pin", mistakes) {
        let (colour, ink) = (keys.needed::<Codes>("colour", mistakes), keys.needed::<Text>("ink", mistakes));
        keys.done(mistakes);
        let ink = ink.and_then(|name| place(&name, mistakes));
        separation.pins.extend(colour.map(|colour| colour.value.0).zip(ink));
    }
    for mut keys in top.tables("overprint", mistakes) {
        let (colour, names) = (keys.needed::<Xyz>("colour", mistakes), keys.list::<Text>("inks", mistakes));
        let at = keys.at;
        keys.done(mistakes);
        let names = names.map(|names| names.value).unwrap_or_default();
        if names.is_empty() {
            mistakes.add(at, "inks is missing: the names of those that lie on each other");
        }
        let places: Vec<usize> = names.iter().filter_map(|name| place(name, mistakes)).collect();
        if let Some(colour) = colour
            && places.len() == names.len()
        {
            separation.overprints.push((places, colour.value));
        }
    }
    separation
}
