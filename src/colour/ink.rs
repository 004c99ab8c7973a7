//! An ink: a name and the layer that its drawdowns show.
//!
//! An ink is described by what a shop can measure: a drawdown over a white card and one over a black card, and the cards
//! themselves. From these follows its colour over any ground, in linear light ([`layer`](crate::colour::layer)). Rejected:
//! one colour and an opacity in per cent, mixed into the ground: it makes a yellow over blue grey instead of green, and
//! cannot say that a white is bluish over black and yellowish over white.

use crate::colour::layer::{Drawdown, Layer};
use crate::colour::spaces::Xyz;
use crate::error::{Error, Result};

/// Longest name, in characters.
const LONGEST_NAME: usize = 80;

/// An ink.
#[derive(Debug, Clone, PartialEq)]
pub struct Ink {
    name: String,
    over_white: Drawdown,
    over_black: Drawdown,
    layer: Layer,
}

impl Ink {
    /// An ink called `name` (1…80 characters, none of them a control character) from its drawdowns.
    ///
    /// Errors: a name out of range; drawdowns that no layer of ink can show, named with the ink
    /// ([`Layer::from_drawdowns`]).
    pub fn new(name: &str, over_white: Drawdown, over_black: Drawdown) -> Result<Self> {
        let name = name.trim();
        let characters = name.chars().count();
        if !(1..=LONGEST_NAME).contains(&characters) || name.chars().any(char::is_control) {
            return Err(Error::value(
                "name of an ink",
                format!("{:?}", name.chars().take(LONGEST_NAME).collect::<String>()),
                format!("1 to {LONGEST_NAME} characters on one line"),
            ));
        }
        let layer = Layer::from_drawdowns(over_white, over_black).map_err(|error| match error {
            Error::Data { what, why } => Error::data(format!("ink {name:?}: {what}"), why),
            other => other,
        })?;
        Ok(Self { name: name.to_owned(), over_white, over_black, layer })
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The drawdowns it was made from, over white and over black.
    pub fn drawdowns(&self) -> [Drawdown; 2] {
        [self.over_white, self.over_black]
    }

    /// Its layer, at the thickness of the drawdowns.
    pub fn layer(&self) -> &Layer {
        &self.layer
    }

    /// Its solid over a ground.
    pub fn over(&self, ground: Xyz) -> Xyz {
        self.layer.over(ground.to_wide()).to_xyz()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::difference::ciede2000;

    fn drawdown(ground: &str, colour: &str) -> Drawdown {
        Drawdown { ground: ground.parse().unwrap(), colour: colour.parse().unwrap() }
    }

    #[test]
    fn an_ink_gives_back_its_drawdowns() {
        let white = drawdown("lab(95 0 -2)", "lab(88 -4 60)");
        let black = drawdown("lab(14 0 0)", "lab(40 -6 22)");
        let straw = Ink::new(" straw ", white, black).unwrap();
        assert_eq!(straw.name(), "straw");
        for [drawdown, _] in [[white, black], [black, white]] {
            let found = straw.over(drawdown.ground);
            assert!(ciede2000(found.to_lab(), drawdown.colour.to_lab()) < 1e-6);
        }
        // Over a blue it is green: lets through what it does not hold back.
        let over_blue = straw.over("lab(35 10 -50)".parse().unwrap()).to_lab();
        assert!(over_blue.a < -5.0, "{over_blue:?}");
    }

    #[test]
    fn a_refusal_names_the_ink() {
        let [white, black] = [drawdown("#ffffff", "#404040"), drawdown("#000000", "#808080")];
        let message = Ink::new("odd grey", white, black).unwrap_err().to_string();
        assert!(
            message.starts_with("ink \"odd grey\": impossible drawdowns: darker over white"),
            "{message}"
        );
        for name in ["", "  ", "two\nlines", &"x".repeat(81)] {
            assert!(Ink::new(name, white, white).unwrap_err().to_string().contains("name of an ink"));
        }
    }
}
