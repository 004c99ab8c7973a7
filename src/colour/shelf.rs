//! A shelf: the inks of a shop, in a file.
//!
//! ```toml
//! white = "lab(95 0 -2)"      # the cards that all drawdowns lie on,
//! black = "lab(14 0 0)"       # unless an ink tells its own
//!
//! [[ink]]
//! name = "straw"
//! over_white = "lab(88 -4 60)"
//! over_black = "lab(40 -6 22)"
//! ```
//!
//! Colours are spelled as [`Xyz`] reads them. Every mistake is named with its line: unknown keys, colours that are none,
//! drawdowns that no ink can show, two inks of one name. An ink may have `white` and `black` of its own.

use std::path::Path;

use crate::colour::ink::Ink;
use crate::colour::layer::Drawdown;
use crate::colour::spaces::Xyz;
use crate::error::{Error, Result};
use crate::settings::{self, At, Keys, Mistakes, Text};

/// Inks, each name once.
#[derive(Debug, Clone, PartialEq)]
pub struct Shelf {
    inks: Vec<Ink>,
}

impl Shelf {
    /// Reads a file.
    ///
    /// Errors: a file that cannot be read, is longer than a megabyte or is no text; every mistake in it, with its line.
    pub fn read(path: &Path) -> Result<Self> {
        let (name, text) = settings::read_text(path)?;
        Self::parse(&name, &text)
    }

    /// Reads a text; `name` is what messages call it.
    pub fn parse(name: &str, text: &str) -> Result<Self> {
        let (mut mistakes, mut keys) = Mistakes::open(name, text)?;
        let cards = [keys.read("white", &mut mistakes), keys.read("black", &mut mistakes)];
        let tables = keys.tables("ink", &mut mistakes);
        let unknown_before = keys;
        let mut inks: Vec<Ink> = Vec::new();
        for table in tables {
            let at = table.at;
            if let Some(ink) = read_ink(table, &cards, &mut mistakes) {
                if inks.iter().any(|other| same_name(other.name(), ink.name())) {
                    mistakes.add(at, format!("ink {:?} is on the shelf already", ink.name()));
                }
                inks.push(ink);
            }
        }
        unknown_before.done(&mut mistakes);
        let shelf = mistakes.none(Self { inks })?;
        if shelf.inks.is_empty() {
            return Err(Error::data(name, "no ink; each begins with a line [[ink]]"));
        }
        Ok(shelf)
    }

    /// All inks, in the order of the file.
    pub fn inks(&self) -> &[Ink] {
        &self.inks
    }

    /// The ink of a name, in capitals or small letters. Errors: none of that name, with those there are.
    pub fn ink(&self, name: &str) -> Result<&Ink> {
        let found = self.inks.iter().find(|ink| same_name(ink.name(), name.trim()));
        found.ok_or_else(|| {
            let names: Vec<&str> = self.inks.iter().map(Ink::name).collect();
            Error::value("ink", format!("{name:?}"), format!("one of this shelf: {}", names.join(", ")))
        })
    }
}

fn same_name(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}

fn read_ink(mut keys: Keys<'_>, cards: &[Option<At<Xyz>>; 2], mistakes: &mut Mistakes<'_>) -> Option<Ink> {
    let at = keys.at;
    let name = keys.needed::<Text>("name", mistakes);
    let colours = [keys.needed("over_white", mistakes), keys.needed("over_black", mistakes)];
    let own = [keys.read("white", mistakes), keys.read("black", mistakes)];
    keys.done(mistakes);
    let mut drawdowns = Vec::new();
    for (i, (colour, own)) in colours.into_iter().zip(own).enumerate() {
        let ground = own.or_else(|| cards[i].clone());
        if ground.is_none() {
            let card = ["white", "black"][i];
            mistakes.add(
                at,
                format!("{card} is missing: the bare card of the drawdowns, here or above all inks"),
            );
        }
        if let (Some(colour), Some(ground)) = (colour, ground) {
            drawdowns.push(Drawdown { ground: ground.value, colour: colour.value });
        }
    }
    match (name, drawdowns.as_slice()) {
        (Some(name), &[over_white, over_black]) => match Ink::new(&name.value.0, over_white, over_black) {
            Ok(ink) => Some(ink),
            Err(error) => {
                mistakes.add(name.at, error);
                None
            }
        },
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CARDS: &str = "white = \"lab(95 0 -2)\"\nblack = \"lab(14 0 0)\"\n";

    #[test]
    fn inks_are_read_with_their_cards() {
        let text = format!(
            "{CARDS}[[ink]]\nname = \"straw\"\nover_white = \"lab(88 -4 60)\"\nover_black = \"lab(40 -6 22)\"\n\
             [[ink]]\nname = 'Grey'\nwhite = \"#ffffff\"\nblack = \"#000000\"\nover_white = \"#808080\"\n\
             over_black = \"#606060\"\n"
        );
        let shelf = Shelf::parse("test", &text).unwrap();
        assert_eq!(shelf.inks().iter().map(Ink::name).collect::<Vec<_>>(), ["straw", "Grey"]);
        let card: Xyz = "lab(95 0 -2)".parse().unwrap();
        assert_eq!(shelf.ink("Straw").unwrap().drawdowns()[0].ground, card);
        assert_eq!(shelf.ink(" grey ").unwrap().drawdowns()[1].ground, Xyz::default());
        let message = shelf.ink("blue").unwrap_err().to_string();
        assert!(message.contains("straw, Grey"), "{message}");
    }

    #[test]
    fn the_examples_shelf_is_sound() {
        let shelf = Shelf::parse("shelf.toml", include_str!("../../examples/shelf.toml")).unwrap();
        assert!(shelf.inks().len() >= 12);
        for ink in shelf.inks() {
            // What the file says is what the layers give back, and none hides less than it must to be an ink.
            for drawdown in ink.drawdowns() {
                let found = ink.over(drawdown.ground).to_lab();
                assert!(crate::colour::ciede2000(found, drawdown.colour.to_lab()) < 0.3, "{}", ink.name());
            }
            let [white, black] = ink.drawdowns().map(|d| d.colour.to_lab().l);
            assert!(white >= black - 0.1, "{}", ink.name());
        }
    }

    #[test]
    fn every_mistake_is_named_with_its_line() {
        let text = "white = \"lab(95 0 -2)\"\n\
             colour = 3\n\
             [[ink]]\n\
             name = \"straw\"\n\
             over_white = \"lab(88 -4 60)\"\n\
             over_black = \"yellow\"\n\
             [[ink]]\n\
             name = \"grey\"\n\
             black = \"#000000\"\n\
             over_white = \"#303030\"\n\
             over_black = \"#808080\"\n\
             [[ink]]\n\
             nmae = \"plum\"\n\
             over_white = 5\n\
             black = \"#000000\"\n\
             over_black = \"#202020\"\n\
             [[ink]]\n\
             name = \"moss\"\n\
             black = \"#000000\"\n\
             over_white = \"#608040\"\n\
             over_black = \"#102010\"\n\
             [[ink]]\n\
             name = \"MOSS\"\n\
             black = \"#000000\"\n\
             over_white = \"#608040\"\n\
             over_black = \"#102010\"\n";
        let message = Shelf::parse("shelf.toml", text).unwrap_err().to_string();
        let expected = [
            "shelf.toml: line 2: unknown key \"colour\"; known here: white, black, ink",
            "line 3: black is missing",
            "line 6: over_black: colour is yellow; allowed: #rrggbb",
            "line 8: ink \"grey\": impossible drawdowns: darker over white than over black in red light",
            "line 12: name is missing",
            "line 13: unknown key \"nmae\" (name?); known here: name, over_white, over_black, white, black",
            "line 14: over_white is a number; allowed: text in quotes",
            "line 22: ink \"MOSS\" is on the shelf already",
        ];
        let lines: Vec<&str> = message.split("\n  ").collect();
        assert_eq!(lines.len(), expected.len(), "{message}");
        for (line, expected) in lines.iter().zip(expected) {
            assert!(line.starts_with(expected), "{line}\n{expected}");
        }
    }

    #[test]
    fn what_is_no_toml_is_told_with_its_lines() {
        for (text, line) in [
            ("white = \n", "line 1"),
            ("\n\n[[ink]\n", "line 3"),
            ("white = \"#ffffff\"\nwhite = \"#ffffff\"\n", "line 2: duplicate key"),
            ("ink = 3\n", "line 1: ink is a number"),
            ("ink = [3]\n", "line 1: ink holds a number"),
            ("", "no ink"),
            (CARDS, "no ink"),
        ] {
            let message = Shelf::parse("x", text).unwrap_err().to_string();
            assert!(message.contains(line), "{message}");
        }
        let noise = "x y\n".repeat(500);
        let message = Shelf::parse("x", &noise).unwrap_err().to_string();
        assert!(message.contains("more mistakes") && message.lines().count() < 30, "{message}");
        assert!(
            Shelf::read(Path::new("/no/such/shelf.toml")).unwrap_err().to_string().contains("shelf.toml")
        );
    }
}
