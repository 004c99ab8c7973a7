//! Draws the demonstration art: "Moth Lantern Night" in full colour, as an artist would hand it in, on a transparent ground.
//!
//! It is the painting of `draw_demo_plates`, but what was an ink there is a paint here, whose colour drifts from place to place:
//! a sky from indigo to mint, wings from gold to violet, no two pairs of lanterns alike. No small set of inks has all of these.
//! Where nothing was painted the garment is seen, and glows thin out to it.
//!
//! ```text
//! cargo run --release --example draw_demo_art -- [ART.png [PREVIEW.png]]
//! ```
//!
//! The art is `examples/demo/art.png` unless told; the preview shows it on the garment. Nothing is random.

#[path = "../draw_demo_plates/lettering.rs"]
mod lettering;
#[path = "../draw_demo_plates/moth.rs"]
mod moth;
#[path = "../draw_demo_plates/paint.rs"]
mod paint;
mod palette;
#[path = "../draw_demo_plates/scene.rs"]
mod scene;

use std::{env, error::Error, path::Path as FilePath};

use paint::{GARMENT, lerp, middle, painted, write_png};
use palette::{Palette, coded, linear};

/// Pixels in a unit of the picture: 135 to the inch.
const SCALE: f32 = 0.9;

/// The nearest odd code: steps of 2 in 255 are too fine to see, and pack a good deal smaller. Full stays full.
fn odd(code: f32) -> u8 {
    if code < 0.5 { 0 } else { ((code / 2.0).floor() * 2.0 + 1.0) as u8 }
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut plates = painted();
    plates.finish();
    let palette = Palette::new();
    let garment = linear(GARMENT.1);
    let (mut art, mut preview) = (Vec::new(), Vec::new());
    for (i, mix) in plates.pixels.iter().enumerate() {
        let paints = palette.at(i, middle(i));
        // Opaque paints one over the other, in linear light; `light` is weighted by what is covered.
        let (mut light, mut bare) = ([0.0; 3], 1.0);
        for (paint, cover) in paints.iter().zip(mix) {
            light = std::array::from_fn(|k| lerp(light[k], paint[k], *cover));
            bare *= 1.0 - cover;
        }
        let alpha = odd((1.0 - bare) * 255.0);
        // Thinner than 1 in 100 no screen prints.
        let seen = alpha >= 3;
        let own = light.map(|l| if seen { odd(f32::from(coded(l / (1.0 - bare)))) } else { 0 });
        art.extend(own.into_iter().chain([if seen { alpha } else { 0 }]));
        preview.extend((0..3).map(|k| coded(light[k] + bare * garment[k])));
    }
    let file = env::args().nth(1).unwrap_or("examples/demo/art.png".into());
    write_png(FilePath::new(&file), png::ColorType::Rgba, &art)?;
    if let Some(file) = env::args().nth(2) {
        write_png(FilePath::new(&file), png::ColorType::Rgb, &preview)?;
    }
    Ok(())
}
