//! Inks for tests.

use dotwright::colour::{Drawdown, Ink, Xyz};

/// An ink from sRGB drawdowns over pure white and pure black.
pub fn ink(name: &str, over_white: &str, over_black: &str) -> Ink {
    let drawdown = |colour: &str, ground: &str| Drawdown {
        colour: colour.parse::<Xyz>().unwrap(),
        ground: ground.parse::<Xyz>().unwrap(),
    };
    Ink::new(name, drawdown(over_white, "#ffffff"), drawdown(over_black, "#000000")).unwrap()
}
