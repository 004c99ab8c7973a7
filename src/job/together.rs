//! How the films of a job go together: each by itself, as index dots, side by side.

use crate::error::{Error, Result};
use crate::job::inks::JobInk;
use crate::job::picture::{Picture, Source};
use crate::screen::{Mode, Sharing};
use crate::settings::Mistakes;

/// How the films of a job go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Together {
    /// Each plate is screened by itself.
    #[default]
    Free,
    /// Index dots, each of which has one ink, by their place.
    Index,
    /// The same by error diffusion.
    IndexDiffused,
    /// All inks but the base share a lattice, and no dot lies on another.
    Beside(Sharing),
}

impl Together {
    /// How each is spelled.
    const SPELLED: [(&str, Self); 5] = [
        ("free", Self::Free),
        ("index", Self::Index),
        ("index diffused", Self::IndexDiffused),
        ("side by side", Self::Beside(Sharing::Compact)),
        ("side by side in rings", Self::Beside(Sharing::Rings)),
    ];

    /// Whether there are no plates between art and films.
    pub(super) fn is_index(self) -> bool {
        matches!(self, Self::Index | Self::IndexDiffused)
    }
}

impl std::str::FromStr for Together {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let found = Self::SPELLED.iter().find(|(spelled, _)| *spelled == text.trim());
        let allowed = || Self::SPELLED.map(|(spelled, _)| spelled).join(", ");
        found.map(|(_, together)| *together).ok_or_else(|| Error::value("together", text, allowed()))
    }
}

impl std::fmt::Display for Together {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let spelled = Self::SPELLED.iter().find(|(_, together)| together == self);
        f.write_str(spelled.map_or("", |(spelled, _)| spelled))
    }
}

/// What index dots need: all of one kind, from art, without curves, hands and supplied plates.
pub(super) fn check_index(inks: &[JobInk], picture: &Picture, at: usize, mistakes: &mut Mistakes<'_>) {
    let Some(first) = inks.first() else { return };
    if let Source::Plates(..) = picture.source {
        mistakes.add(at, "together = \"index\" makes films from art; these are plates");
    }
    for ink in inks {
        let name = ink.ink.name();
        let screening = &ink.screening;
        let mut wrong = |why: &str| mistakes.add(ink.at, format!("index dots of {name:?}: {why}"));
        if screening.shape.dot().is_some() {
            wrong("the dot is a growing one; allowed: index:PIXELS, index:DOTS/in or index");
        }
        if screening.lattice() != first.screening.lattice() || screening.mode == Mode::Inverted {
            wrong("not those of the first ink; all of a job are the same, and normal");
        }
        if !screening.press.is_empty() || !screening.printer.is_empty() || ink.has_hand() {
            wrong("they take no wedge, no curve, no cut and no fill");
        }
        if ink.held.is_some() || ink.spread.to_um() > 0.0 || ink.choke.to_um() > 0.0 && !ink.base {
            wrong("they take no supplied plate, no spread, and a choke only for the base");
        }
    }
}
