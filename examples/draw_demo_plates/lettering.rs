//! Hand-drawn letters, and the title set in them.

use super::paint::*;
use tiny_skia::*;

/// Each a letter, its width and its strokes, on a grid ten units high.
pub const GLYPHS: [&str; 11] = [
    "A 6.8 M 0 10 Q 2.6 5 3.3 0 Q 4.4 5 6.8 10 M 1.4 7.2 Q 3.4 6.2 5.5 7.2",
    "E 4.8 M 4.6 0.3 Q 2 -0.2 0 0 L 0 10 Q 3 10.2 4.8 9.6 M 0 6.2 Q 2 5.6 4 6",
    "G 6.6 M 6.2 1.6 C 3.8 -1.2 0 0 0 5 C 0 10.4 4.4 11 6.5 8.8 L 6.6 6 Q 5 5.6 3.8 6",
    "H 6.0 M 0 0 L 0 10 M 6 0 L 6 10 M 0 6.6 Q 3 5.6 6 6.6",
    "I 0.6 M 0.3 0 L 0.3 10",
    "L 4.6 M 0 0 L 0 10 Q 3 10.2 4.6 9.4",
    "M 7.8 M 0 10 Q 0.9 5 0.9 0 Q 2.4 4.6 3.9 7.4 Q 5.4 4.6 6.9 0 Q 6.9 5 7.8 10",
    "N 6.2 M 0 10 L 0 0 Q 2.4 5.6 6.2 10 L 6.2 0",
    "O 7.0 M 3.5 0 C -1.2 0 -1.2 10 3.5 10 C 8.2 10 8.2 0 3.5 0 Z",
    "R 6.0 M 0 10 L 0 0 Q 1 -0.1 2.4 0 C 6.6 0.2 6.6 6.2 2.4 6.3 L 0 6.2 M 2.4 6.3 Q 4 8.6 6 10",
    "T 6.4 M 0 0.4 Q 3.2 -0.4 6.4 0.4 M 3.2 0 L 3.2 10",
];

/// Letters the given number of pixels high, spaced to fill a width. The pen is
/// broader across than down: upright strokes come out heavy, level ones light.
pub fn letters(text: &str, (x, y): (f32, f32), width: f32, height: f32, weight: f32) -> Vec<Path> {
    const BROAD: f32 = 1.7;
    let scale = (0.084 * height, 0.1 * height);
    let glyph = |letter: char| {
        let known = GLYPHS.iter().find(|glyph| glyph.starts_with(letter));
        let (advance, strokes) = known?[2..].split_once(' ')?;
        Some((advance.parse::<f32>().ok()? * scale.0, strokes))
    };
    let space = (2.0 * scale.0, "");
    let glyphs: Vec<_> = text.chars().map(|c| glyph(c).unwrap_or(space)).collect();
    let wide: f32 = glyphs.iter().map(|glyph| glyph.0).sum();
    let gap = (width - wide - weight * BROAD) / (glyphs.len() - 1) as f32;
    let mut left = x + weight * BROAD / 2.0;
    let mut paths = Vec::new();
    for (advance, strokes) in glyphs {
        if !strokes.is_empty() {
            // Stroked while squeezed, then stretched: that makes the pen broad.
            let thin = place(&path(strokes), (scale.0 / BROAD, scale.1), 0.0, 0.0);
            paths.push(place(&stroked(&thin, weight), (BROAD, 1.0), left, y));
        }
        left += advance + gap;
    }
    paths
}

/// The title in flat straw with a flat teal shadow, and two flat rose ribbons.
pub fn draw_lettering(plates: &mut Plates) {
    for (shift, mix) in [(6.0, FLAT_TEAL), (0.0, FLAT_STRAW)] {
        let at = |x: f32, y: f32| (x + shift, y + shift);
        let first = letters("MOTH LANTERN", at(112.0, 1220.0), 976.0, 102.0, 10.5);
        let second = letters("NIGHT", at(418.0, 1366.0), 364.0, 98.0, 10.5);
        plates.fill(&[first, second].concat(), mix);
    }
    let ribbon = "M 212 1384 L 490 1384 L 470 1415 L 490 1446 L 212 1446 L 226 1415 Z";
    plates.fill(&pair(ribbon, 0.0), FLAT_ROSE);
    let rules = pair("M 212 1373 L 490 1373 M 212 1457 L 490 1457", 0.0);
    plates.fill(&rules.map(|rule| stroked(&rule, 1.6)), FLAT_STRAW);
    for (words, x) in [("ALL NIGHT LONG", 143.0), ("IN THE GLOAMING", 839.0)] {
        plates.fill(&letters(words, (x, 1403.0), 218.0, 24.0, 2.1), FLAT_STRAW);
    }
}
